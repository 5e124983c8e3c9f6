"""From dumps to a ticked bench sheet over the pages alone, and the same files as the commands write."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from desk.desk_client import Client, demo_folder, fewer_parts, hidden, words_of
from measure.samples import sample
from survey.survey_data import DATA

from partsolver.base.errors import InputRefused
from partsolver.cli import run
from partsolver.desk.serve import make_desk
from partsolver.report.measure import measurement_json

DUMPS = ("dmidecode-nx41.txt", "lscpu-comma.txt", "lsblk-text.json", "smartctl-sda.json")
# Nothing is replaced: what is asked with everything open takes a minute.
KEEPS = ["case", "psu", "drive", "cooler"]


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Client:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path.parent / "config"))
    return Client(demo_folder(tmp_path))


def _files(*names: str) -> list[tuple[str, tuple[str, bytes]]]:
    return [("files", (name, (DATA / name).read_bytes())) for name in names]


def test_a_pc_from_dumps_stands_in_the_folder_with_origins(client: Client) -> None:
    page = client.post("/new", title="Old one, by the window", files=_files(*DUMPS))
    assert (client.folder / "old-one-by-the-window.toml").is_file()
    assert "dmidecode-nx41.txt" in page and "Hatched" in page
    assert "url(#hatch)" in page  # the supply: no dump tells it
    assert "Old one, by the window" in words_of(client.get("/"))


def test_dumps_give_the_survey_that_the_command_gives(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.post("/new", title="one", files=_files(*DUMPS))
    monkeypatch.chdir(DATA)
    target = client.folder / "two.toml"
    target.write_text((client.folder / "one.toml").read_text(encoding="utf-8").split("\n[[")[0] and _empty())
    assert run(["survey", "import", *DUMPS, "--out", str(target)]) == 0
    assert target.read_bytes() == (client.folder / "one.toml").read_bytes()


def _empty() -> str:
    from partsolver.survey.interview.build import survey_text
    from partsolver.survey.interview.session import Interview

    return survey_text(Interview({}, {"pc.name": "one"}), None, "x").text


def test_an_answer_is_in_the_survey_at_once_and_dont_know_beside_it(client: Client) -> None:
    client.post("/new", title="bare")
    client.post("/pc/bare/ask", path="psu.rated_w", answer="350", unit="W", was="")
    assert re.search(r"^rated_w = 350 ", client.survey("bare"), re.M)
    client.post("/pc/bare/ask", path="psu.year", dont_know="1", was="")
    assert '"psu.year" = "?"' in (client.folder / "bare.answers.toml").read_text(encoding="utf-8")
    client.post("/pc/bare/ask", path="case.max_board_depth_mm", answer="9 5/8", unit="in", was="")
    # 9 5/8 in = 244.475 mm; a space is rounded down (survey/interview/kinds.py): an error never makes a part
    # fit.
    assert "max_board_depth_mm = 244 " in client.survey("bare")
    page = client.post("/pc/bare/ask", path="psu.rated_w", answer="many", was="350")
    assert "Not understood" in page and "rated_w = 350 " in client.survey("bare")


def test_cards_counted_are_written_down_only_with_their_kinds(client: Client) -> None:
    """A count alone would make each of them some other card, and the picture would be looked for
    elsewhere."""
    client.post("/new", title="cards")
    client.post("/pc/cards/ask", path="card", answer="1", was="")
    assert "\n[[card]]" not in client.survey("cards")
    page = client.get("/pc/cards/ask")
    assert hidden(page, "path").startswith("card[0]")
    client.post("/pc/cards/ask", path="card[0].kind", answer="graphics", was="")
    assert 'kind = "graphics"' in client.survey("cards")
    assert not (client.folder / "cards.answers.toml").exists()


def test_two_browsers_do_not_lose_an_answer_without_a_word(client: Client) -> None:
    first = client.get("/pc/choir/ask?at=psu.rated_w&warned=1")
    was = hidden(first, "was")
    client.post("/pc/choir/ask", path="psu.rated_w", answer="400", unit="W", was=was)
    page = client.post("/pc/choir/ask", 409, path="psu.rated_w", answer="450", unit="W", was=was)
    assert "somebody else has changed this meanwhile" in words_of(page)
    assert "rated_w = 400" in client.survey()
    # Another fact of the same file is no conflict.
    client.post("/pc/choir/ask", path="psu.year", answer="2013", was="2012")
    assert "year = 2013" in client.survey() and "rated_w = 400" in client.survey()
    wishes = client.get("/pc/choir/wishes")
    client.post("/pc/choir/ask", path="psu.year", answer="2012", was="2013")
    client.post("/pc/choir/wishes", 409, use="office", was=hidden(wishes, "was"))


def test_the_sentence_of_wishes_is_the_brief_that_the_commands_read(client: Client) -> None:
    page = client.get("/pc/choir/wishes")
    client.post(
        "/pc/choir/wishes",
        use="photo",
        budget="150",
        need_by="2026-12-12",
        keep=["case", "drive", "cooler"],
        was=hidden(page, "was"),
    )
    text = client.survey()
    assert 'use = "photo"' in text and 'budget = "150"' in text and 'replace = ["psu"]' in text
    assert "need_by = 2026-12-12" in text
    page = client.get("/pc/choir/wishes")
    assert client.post("/pc/choir/wishes", 400, use="office", budget="much", was=hidden(page, "was"))
    assert client.survey() == text


def test_plan_sheet_and_owner_page_are_the_bytes_of_the_commands(
    client: Client, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(client.folder)
    page = client.get("/pc/choir/answers")
    client.post("/pc/choir/choose", rank="2", digest=hidden(page, "digest"))
    assert run(["recommend", "choir.toml", "--rank", "2", "--out", "other.json"]) == 0
    assert (client.folder / "choir.plan.json").read_bytes() == (client.folder / "other.json").read_bytes()
    for reader, address in (("bench", "sheet.html"), ("owner", "owner.html")):
        assert run(["sheet", "choir.plan.json", "--for", reader, "--out", address]) == 0
        assert client.http.get(f"/pc/choir/{address}").content == (client.folder / address).read_bytes()


def test_from_answers_to_a_ticked_sheet_and_measured(client: Client) -> None:
    page = client.get("/pc/choir/answers")
    assert "203.00 EUR" in page and "Take this plan" in page
    owner = client.post("/pc/choir/choose", rank="1", digest=hidden(page, "digest"))
    assert "203.00 EUR altogether" in owner and "It is ordered" in owner
    assert "planned" in words_of(client.get("/"))
    bench = client.post("/pc/choir/ordered", plan=hidden(owner, "plan"))
    assert "ordered" in words_of(client.get("/")) and "Mains voltage" in bench
    for _ in range(3):
        bench = client.post(
            "/pc/choir/bench", step=hidden(bench, "step"), plan=hidden(bench, "plan"), reading="42", was=""
        )
    notes = json.loads((client.folder / "choir.bench.json").read_text(encoding="utf-8"))
    assert len(notes["done"]) == 3 and set(notes["readings"].values()) == {"42"}
    assert "on the bench" in words_of(client.get("/"))
    assert "3 done" in words_of(client.get("/pc/choir/bench"))
    step = hidden(client.get("/pc/choir/bench?step=1"), "step")
    page = client.post("/pc/choir/bench", step=step, plan=hidden(bench, "plan"), undo="1")
    assert "2 done" in words_of(page)
    assert "No picture?" in client.get("/pc/choir/dark?step=1")
    for which, run_of in (("before", sample()), ("after", sample(serial=2000.0, parallel=7600.0))):
        file = ("m.json", measurement_json(run_of).encode())
        page = client.post("/pc/choir/measure", which=which, files=[("files", file)])
    assert "Promised: 2.63 times" in words_of(page)
    assert "measured" in words_of(client.get("/"))


def test_ticks_of_another_plan_count_no_more(client: Client) -> None:
    page = client.get("/pc/choir/answers")
    client.post("/pc/choir/choose", rank="1", digest=hidden(page, "digest"))
    bench = client.get("/pc/choir/bench")
    client.post("/pc/choir/bench", step=hidden(bench, "step"), plan=hidden(bench, "plan"))
    page = client.get("/pc/choir/answers")
    client.post("/pc/choir/choose", rank="2", digest=hidden(page, "digest"))
    assert "0 done" in words_of(client.get("/pc/choir/bench"))
    client.post("/pc/choir/bench", 409, step=hidden(bench, "step"), plan=hidden(bench, "plan"))


def test_money_gives_the_table_and_a_sum_becomes_the_budget(client: Client) -> None:
    page = client.get("/pc/choir/money")
    assert page.count("data-said=") == page.count("At most this") >= 5 and "(knee)" in page
    client.post("/pc/choir/money", budget="139.20", was=hidden(page, "was"))
    assert 'budget = "139.20"' in client.survey()


def test_why_not_names_the_reason_and_a_way_out_is_one_touch(client: Client) -> None:
    assert "is in the first plan" in words_of(client.get("/pc/choir/why?part=Brunnach+B10M"))
    client.http.get("/pc/choir/why?part=no+such+part")
    fewer_parts(client.folder, 5)
    page = client.get("/pc/choir/wishes")
    client.post(
        "/pc/choir/wishes", use="office", budget="40", keep=KEEPS, min_speedup="2", was=hidden(page, "was")
    )
    assert "No plan exists" in client.get("/pc/choir/answers")
    page = client.get("/pc/choir/why")
    assert "Take this way" in page
    kind, what, value = (
        re.findall(rf'name="{key}" value="([^"]*)"', page)[0] for key in ("kind", "what", "value")
    )
    client.post("/pc/choir/why", kind=kind, what=what, value=value, was=hidden(page, "was"))
    assert "Take this plan" in client.get("/pc/choir/answers")


def test_every_way_out_is_one_touch(client: Client) -> None:
    """A card that no board of the catalogue has a slot for: the way out is to do without it, and one touch
    later there are plans. So with a device, a monitor, a drive; and the present installation."""
    fewer_parts(client.folder, 5)
    survey = client.folder / "choir.toml"
    card = client.survey().replace("width_slots = 1\nrequired = false", "width_slots = 1\nrequired = true")
    assert card != client.survey()
    survey.write_text(
        card.replace('bus = "pci"\nheight = "full"', 'bus = "isa"\nheight = "full"'), encoding="utf-8"
    )
    client.post("/pc/choir/wishes", budget="230", use="office", keep=KEEPS, min_speedup="2", was=_was(client))
    page = client.get("/pc/choir/why")
    assert "do without the card" in page.lower() and page.count("Take this way") == page.count(
        "<strong>"
    ) - page.count("<li><strong>")
    client.post("/pc/choir/why", kind="drop-wish", what="cards", value="television card", was=_was(client))
    assert "Take this plan" in client.get("/pc/choir/answers")
    assert 'name = "television card"' in client.survey() and "required = false" in client.survey()
    client.post("/pc/choir/why", kind="drop-wish", what="os", value="desktop-2015", was=_was(client))
    assert re.search(r"^keep = false", client.survey(), re.MULTILINE)
    for what in ("displays", "devices", "drives"):
        client.post(
            "/pc/choir/why", 400, kind="drop-wish", what=what, value="nothing of the kind", was=_was(client)
        )
    client.post("/pc/choir/why", kind="drop-wish", what="displays", value="office monitor", was=_was(client))
    assert client.survey().count("required = false") >= 2


def _was(client: Client) -> str:
    return hidden(client.get("/pc/choir/wishes"), "was")


def test_a_wish_is_named_and_taken_with_one_touch(client: Client) -> None:
    page = client.get("/pc/choir/why?wish=budget&value=100,00")
    assert "Why not at most 100.00 EUR?" in words_of(page) and "It can be had" in page
    client.post("/pc/choir/why", kind="wish", wish=hidden(page, "wish"), was=hidden(page, "was"))
    assert 'budget = "100.00"' in client.survey()
    page = client.get("/pc/choir/why?wish=min_speedup&value=3")
    assert "no plan exists. This is proved" in words_of(page) and "Take this way" in page
    form = page[page.index("Ways out") :]
    taken = {key: hidden(form, key) for key in ("was", "wish", "kind", "what", "value", "budget")}
    assert taken["wish"] == "min_speedup=3" and (taken["kind"], taken["what"]) == ("replace", "drive")
    page = client.post("/pc/choir/why", **taken)
    # The wish, its way out, and the money that it takes.
    text = client.survey()
    assert "Take this plan" in page and 'min_speedup = "3"' in text and 'replace = ["drive"]' in text
    assert f'budget = "{taken["budget"]}"' in text and float(taken["budget"]) > 100
    assert "everything here by 2026-12-30" in words_of(
        client.get("/pc/choir/why?wish=need_by&value=30.12.2026")
    )
    for wish, value in (
        ("budget", "much"),
        ("budget", ""),
        ("min_speedup", "0"),
        ("need_by", "soon"),
        ("x", "1"),
    ):
        client.get(f"/pc/choir/why?wish={wish}&value={value}", 400)


def test_rows_of_a_mail_are_pasted_and_what_is_not_sure_is_asked(client: Client) -> None:
    """A price list that does not say whether tax is in its prices: nothing is read until that is told."""
    rows = "Article;Price\nBrunnach B10M;55.00\nBrunnach B10M rev 2;57.00\n"
    page = client.post("/parts", pasted=rows)
    assert "To be asked before it can be read" in page and "Answer below" in page
    assert not (client.folder / "parts" / "catalog.sqlite").is_file()
    page = client.post("/parts", pasted=rows, seller="By mail", tax="final")
    assert "What was read" in words_of(page) and "To be asked" not in page
    assert "/tmp/" not in page


def test_a_file_named_as_the_folder_is_told_apart(client: Client) -> None:
    with pytest.raises(InputRefused, match="a file, not a folder"):
        make_desk(client.folder / "choir.toml", ["127.0.0.1"], 1)
    with pytest.raises(InputRefused, match="no such folder"):
        make_desk(client.folder / "nowhere", ["127.0.0.1"], 1)


def test_sold_out_shows_both_plans_and_keeps_the_new_one(
    client: Client, capsys: pytest.CaptureFixture[str]
) -> None:
    page = client.get("/pc/choir/answers")
    client.post("/pc/choir/choose", rank="1", digest=hidden(page, "digest"))
    before = (client.folder / "choir.plan.json").read_bytes()
    page = client.get("/pc/choir/sold")
    bought, shown = re.findall(r'name="gone" value="([^"]*)"', page), hidden(page, "plan")
    page = client.post("/pc/choir/sold", gone=bought[0], plan=shown)
    assert "Old plan" in page and "New plan" in page and "Keep the new plan" in page
    assert (client.folder / "choir.plan.json").read_bytes() == before
    plan, other = client.folder / "choir.plan.json", client.folder / "other.json"
    assert run(["replan", str(plan), "--gone", bought[0], "--out", str(other)]) == 0
    client.post("/pc/choir/sold", gone=bought[0], plan=shown, keep="1")
    assert plan.read_bytes() == other.read_bytes()


def test_a_list_dropped_is_read_or_asked_about(client: Client) -> None:
    catalog = Path(__file__).resolve().parents[1] / "catalog" / "files"
    page = client.post("/parts", files=[("files", ("list.xlsx", (catalog / "pricelist.xlsx").read_bytes()))])
    assert "What was read" in page or "To be asked" in page
    assert "/tmp/" not in page


def test_a_fact_is_edited_in_place_with_its_comment(client: Client) -> None:
    page = client.get("/pc/choir")
    assert "written by hand" in page
    client.post("/pc/choir/fact", path="case.max_board_depth_mm", answer="24.4 cm", was="230 mm")
    assert (
        "max_board_depth_mm = 244" in client.survey()
        and "# The supply as its label reads." in client.survey()
    )
    client.post("/pc/choir/fact", 409, path="case.max_board_depth_mm", answer="25 cm", was="230 mm")
    client.post("/pc/choir/fact", 400, path="case.max_board_depth_mm", answer="deep", was="244 mm")
    client.post("/pc/choir/fact", 400, path="case.no_such", answer="1", was="")
