"""Files that somebody else wrote, or wrote into, while the desk shows them: an editor, another browser, a stick that
was pulled out. The guide (desk.md): whoever would overwrite something that has changed meanwhile is told so."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path

import pytest
from desk.desk_client import Client, demo_folder, hidden, words_of
from measure.samples import sample

from partsolver.report.measure import measurement_json

STALE = "somebody else has changed this meanwhile"
SCREENS = (
    "",
    "/ask",
    "/wishes",
    "/answers",
    "/money",
    "/why",
    "/sold",
    "/owner",
    "/bench",
    "/dark",
    "/measure",
)


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Client:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path.parent / "config"))
    return Client(demo_folder(tmp_path))


def _take(client: Client, rank: str) -> str:
    return client.post(
        "/pc/choir/choose", rank=rank, digest=hidden(client.get("/pc/choir/answers"), "digest")
    )


def _budget(client: Client, amount: str) -> None:
    was = hidden(client.get("/pc/choir/wishes"), "was")
    client.post("/pc/choir/wishes", use="office", keep=["psu", "case", "drive"], budget=amount, was=was)


# -- two browsers ------------------------------------------------------------------------------------------------------


def test_a_card_of_other_wishes_takes_no_plan(client: Client) -> None:
    """The number of a card is that of another plan once the wishes have changed."""
    shown = hidden(client.get("/pc/choir/answers"), "digest")
    _budget(client, "150")
    assert STALE in words_of(client.post("/pc/choir/choose", 409, rank="1", digest=shown))
    assert not (client.folder / "choir.plan.json").exists()


def test_the_plan_that_somebody_else_took_stays(client: Client) -> None:
    shown = hidden(client.get("/pc/choir/answers"), "digest")
    _take(client, "2")
    plan = (client.folder / "choir.plan.json").read_bytes()
    client.post("/pc/choir/choose", 409, rank="1", digest=shown)
    # The same plan again is no conflict: the button was pressed twice.
    assert "139.20 EUR altogether" in client.post("/pc/choir/choose", rank="2", digest=shown)
    assert (client.folder / "choir.plan.json").read_bytes() == plan
    assert client.get("/pc/choir/answers").count("Chosen: open it") == 1


def test_a_measurement_takes_the_place_of_none_that_its_sender_has_not_seen(client: Client) -> None:
    """After the work nobody can measure before it again."""
    first, second = (measurement_json(sample(serial=points)) for points in (1000, 1100))

    def drop(which: str, text: str, status: int, **fields: str) -> str:
        file = ("m.json", text.encode())
        return client.post("/pc/choir/measure", status, which=which, files=[("files", file)], **fields)

    drop("before", first, 200)
    path = client.folder / "choir.before.json"
    assert STALE in words_of(drop("before", second, 409))
    assert path.read_text(encoding="utf-8") == first
    page = client.get("/pc/choir/measure")
    assert "Keep in place of the one that is there" in words_of(page)
    # The run before the work is none after it.
    assert "is the same run as" in words_of(drop("after", first, 400))
    assert not (client.folder / "choir.after.json").exists()
    drop("before", second, 200, was=hidden(page, "was"))
    assert path.read_text(encoding="utf-8") == second


def test_only_the_plan_that_is_shown_is_ordered(client: Client) -> None:
    """'It is ordered' below one plan never stands behind another."""
    shown = hidden(_take(client, "1"), "plan")
    _take(client, "2")
    assert STALE in words_of(client.post("/pc/choir/ordered", 409, plan=shown))
    assert "Ordered on" not in client.get("/pc/choir/owner")


def test_a_new_plan_is_made_only_of_the_plan_that_is_shown(client: Client) -> None:
    _take(client, "1")
    shown = hidden(client.get("/pc/choir/sold"), "plan")
    answer = client.http.post(
        "/pc/choir/sold",
        data={"token": client.desk.session.form_token, "gone": "br-b10m", "plan": shown},
        headers={"origin": "http://127.0.0.1:4711"},
        follow_redirects=False,
    )
    _take(client, "2")
    plan = (client.folder / "choir.plan.json").read_bytes()
    client.get(answer.headers["location"], 409)
    client.post("/pc/choir/sold", 409, gone="br-b10m", plan=shown, keep="1")
    assert (client.folder / "choir.plan.json").read_bytes() == plan


def test_sums_and_ways_out_of_other_wishes_are_not_taken(client: Client) -> None:
    sums, ways = (
        hidden(client.get(f"/pc/choir/{screen}"), "was") for screen in ("money", "why?wish=budget&value=9")
    )
    _budget(client, "150")
    text = client.survey()
    client.post("/pc/choir/money", 409, budget="139.20", was=sums)
    for way in (
        {"kind": "wish", "wish": "budget=99"},
        {"kind": "budget", "value": "99"},
        {"kind": "drop-wish", "what": "cards", "value": "television card"},
        {"kind": "answer", "what": "psu.year", "value": "2015"},
    ):
        client.post("/pc/choir/why", 409, was=ways, **way)
    assert client.survey() == text


# -- an editor ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["[", "\x00", "[pc]\nname = 3\n", "[psu]\n[psu]\n"])
def test_a_slip_in_an_editor_is_named_on_every_screen(client: Client, text: str) -> None:
    _take(client, "1")
    (client.folder / "choir.toml").write_text(text, encoding="utf-8")
    assert "choir.toml" in words_of(client.get("/"))
    for screen in ("", "/ask", "/ask?at=psu.year", "/wishes", "/answers", "/money", "/why"):
        assert "could not be done choir" in words_of(client.get(f"/pc/choir{screen}", 400)), screen
    for address, fields in (
        ("ask", {"path": "psu.year", "answer": "2012", "was": ""}),
        ("fact", {"path": "psu.year", "answer": "2012", "was": "2013"}),
        ("money", {"budget": "100"}),
    ):
        client.post(f"/pc/choir/{address}", 400, **fields)
    assert client.survey() == text


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("plan", '{"plans": [1], "chosen": 1}'),
        ("plan", '{"plans": [{"rank": 1}], "chosen": [1]}'),
        ("bench", '{"notes": 1, "looked": 3}'),
        ("bench", '{"notes": 1, "looked": [[1], 2, "a"]}'),
        ("bench", '{"notes": 1, "looked": null, "done": 3, "readings": []}'),
    ],
)
def test_odd_files_beside_the_survey_are_no_fault_of_the_program(
    client: Client, name: str, text: str
) -> None:
    _take(client, "1")
    (client.folder / f"choir.{name}.json").write_text(text, encoding="utf-8")
    for screen in SCREENS:
        answer = client.http.get(f"/pc/choir{screen}")
        assert answer.status_code in (200, 400), (screen, words_of(answer.text))
    if name == "bench":
        client.post("/pc/choir/look", path="psu.year")
        notes = json.loads((client.folder / "choir.bench.json").read_text(encoding="utf-8"))
        assert "psu.year" in notes["looked"] and all(isinstance(text, str) for text in notes["looked"])


# -- what else lies in the folder --------------------------------------------------------------------------------------


@pytest.mark.skipif(os.name != "posix", reason="names of bytes and links of POSIX")
def test_one_odd_name_does_not_hide_the_other_pcs(client: Client) -> None:
    (client.folder / "loop.toml").symlink_to("loop.toml")
    odd = os.fsencode(client.folder) + b"/\xff.toml"
    with open(odd, "wb") as file:
        file.write(client.survey().encode())
    (client.folder / "left\u202eright.toml").write_text(client.survey(), encoding="utf-8")
    page = words_of(client.get("/"))
    assert "choir" in page
    # The habit of `fleet`: names that do not show are named and not used.
    assert page.count("has characters in its name that do not show") == 2 and "\\udcff" in page
    assert "u202e" in page and "\u202e" not in page
    client.get("/pc/choir")


def test_a_folder_that_is_gone_is_said(client: Client) -> None:
    """A stick that was pulled out is no fault of the program."""
    shutil.rmtree(client.folder)
    page = words_of(client.get("/", 400))
    assert "cannot be used" in page and "fault of the program" not in page


@pytest.mark.parametrize("title", ["left\u202eright", "a\x85b", "zero\u200bwidth"])
def test_a_name_that_does_not_show_is_refused_before_anything_is_written(client: Client, title: str) -> None:
    before = sorted(client.folder.iterdir())
    client.post("/new", 400, title=title)
    assert sorted(client.folder.iterdir()) == before


@pytest.mark.parametrize("value", ["soon", "2026-02-30", "29.2.2027", "\x00"])
def test_a_day_that_is_none_is_refused(client: Client, value: str) -> None:
    was = hidden(client.get("/pc/choir/wishes"), "was")
    client.post("/pc/choir/why", 400, kind="need-by", value=value, was=was)
