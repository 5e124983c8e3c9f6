"""The sheet as a document: valid HTML, nothing from outside, escaped, the same bytes, readable, safe
advice."""

from __future__ import annotations

import itertools
import json
import re
from dataclasses import replace
from importlib.resources import files

import html5lib
import pytest
import support as s

from partsolver.base.errors import InputRefused
from partsolver.catalog.records import Offer
from partsolver.report.sheet_html import sheet_html
from partsolver.report.sheet_text import sheet_text
from partsolver.report.sheet_view import quantity, view
from partsolver.sheet.context import Context, Origin
from partsolver.survey.model import Display, Pc
from partsolver.wishes.brief import Brief

NAMES = ["plain", "nothing", "memory", "cpu", "board", "rich", "whole", "linux", "odd"]
HOSTILE = '<script>alert(1)</script><b onclick="x">&amp;\' "'


def parse(text):
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)


def flat(text):
    return re.sub(r"\s+", " ", text)


@pytest.mark.parametrize("name", NAMES)
def test_valid_and_self_contained(name, situation):
    text = sheet_html(situation(name))
    root = parse(text)  # strict: raises at the first parse error of the WHATWG rules
    tags = [element.tag for element in root.iter() if isinstance(element.tag, str)]
    assert not {"link", "iframe", "object", "img", "base"} & set(tags)
    # One script, our own file, the same on every sheet: nothing of the plan is in it, and it calls nobody.
    (script,) = root.iter("script")
    own = (files("partsolver") / "report/templates/sheet.js").read_text(encoding="utf-8").strip()
    assert (script.text or "").strip() == own and not script.attrib
    assert not re.search(r"fetch|XMLHttp|WebSocket|innerHTML|eval|import\b|document\.write", own)
    assert "http:" not in text and "https:" not in text and "url(" not in text and "@import" not in text
    attributes = [key for element in root.iter() for key in element.attrib]
    assert not [key for key in attributes if key.lower().startswith("on")]
    assert text == sheet_html(situation(name))


@pytest.mark.parametrize("name", NAMES)
def test_headings_labels_and_reading_order(name, situation):
    root = parse(sheet_html(situation(name)))
    levels = [int(e.tag[1]) for e in root.iter() if isinstance(e.tag, str) and re.fullmatch("h[1-6]", e.tag)]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(b - a <= 1 for a, b in itertools.pairwise(levels))  # no level is skipped (WCAG 2.2, 1.3.1)
    ids = [e.attrib["id"] for e in root.iter() if "id" in e.attrib]
    assert len(set(ids)) == len(ids)
    labels = {e.attrib["for"] for e in root.iter("label")}
    assert {
        e.attrib["id"] for e in root.iter("input")
    } == labels  # every field has its label (WCAG 2.2, 3.3.2)
    assert {e.attrib["href"][1:] for e in root.iter("a")} <= set(ids)
    assert {ref for e in root.iter() for ref in e.attrib.get("aria-labelledby", "").split()} <= set(ids)
    assert root.attrib["lang"] == "en"
    sections = [
        e.attrib["id"]
        for e in root.iter("section")
        if e.attrib["id"] != "dark" and not e.attrib["id"].startswith("steps-")
    ]
    wanted = ["cautions", "order", "keep", "work", "power", "speed", "findings", "questions", "origin"]
    assert sections == [x for x in wanted if x in sections]


@pytest.mark.parametrize("name", NAMES)
def test_html_and_terminal_say_the_same(name, situation):
    shown = view(situation(name))
    html, text = (
        flat("".join(parse(sheet_html(situation(name))).itertext())),
        flat(sheet_text(situation(name))),
    )
    said = [
        x for _, _, steps in shown.phases for step in steps for x in (step.text, step.note, step.reading) if x
    ]
    said += [
        *shown.suspects,
        *shown.questions,
        *shown.stand_ins,
        *(f.sentence for f in shown.findings),
        *(f.source for f in shown.findings),
    ]
    said += (
        [t for _, texts in shown.cautions for t in texts]
        + [value for _, value in shown.provenance]
        + [where for _, _, where in shown.leaving]
    )
    for words in said:
        assert flat(words) in html and flat(words) in text, words
    assert max(len(line) for line in sheet_text(situation(name)).splitlines()) <= 100  # 80 but for long words


def test_markup_in_names_does_nothing(build):
    board = replace(s.BOARD, name=HOSTILE)
    survey = {
        "pc": Pc(name=HOSTILE),
        "displays": (Display(name=HOSTILE, inputs=("vga",)),),
        "psu": replace(s.PSU, name=HOSTILE),
    }
    context = build(survey, boards=[board], sellers=[replace(s.SELLER, name=HOSTILE)])
    hostile = Context(
        context.problem, context.plan, Origin(HOSTILE, HOSTILE, solver=HOSTILE, plan_digest=HOSTILE)
    )
    text = sheet_html(hostile)
    root = parse(text)
    assert text.count("<script") == 1 and "<b " not in text and "alert(1)<" not in text
    assert len(list(root.iter("script"))) == 1 and not list(root.iter("b"))
    assert HOSTILE in "".join(root.itertext())  # shown as it is written


@pytest.mark.parametrize("name", NAMES)
def test_nobody_is_told_to_open_a_supply(name, situation):
    text = flat(sheet_text(situation(name)))
    before = ""
    for sentence in re.split(r"(?<=[.:;])\s", text):
        opened = re.search(
            r"\b(open(ed|ing)?|unscrew|take apart)\b( \S+){0,4}? (power )?suppl(y|ies)\b", sentence, re.I
        )
        opened = opened or ("supply" in before and re.search(r"\bopen it\b", sentence, re.I))
        assert not opened or re.search(r"\bnever\b", sentence, re.I), sentence
        before = sentence
    if name != "nothing":
        assert (
            "Never open the power supply" in text
            and "qualified person" in text
            and "makers' manuals" in text.lower().replace("’", "'")
        )


def test_people_come_before_data_before_parts(situation):
    groups = [group for group, _ in view(situation("rich")).cautions]
    assert groups == ["People", "Data", "Parts", "Order and waste"]
    assert "encrypt" in " ".join(dict(view(situation("rich")).cautions)["Data"])
    # Where old board, processor and cooler stay together nothing is pulled off; where the cooler comes off it
    # is said.
    assert "pulled straight off" not in flat(sheet_text(situation("plain")))
    assert "pulled straight off" in flat(sheet_text(situation("cpu")))


def luminance(colour):
    """WCAG 2.2, relative luminance."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(a, b):
    high, low = sorted((luminance(a), luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast(situation):
    text = sheet_html(situation("rich"))
    colours = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", text))
    assert set(colours) >= {"ink", "soft", "accent", "warn", "pale", "line"}
    for ground in ("#ffffff", colours["pale"]):
        for ink in ("ink", "soft", "accent", "warn"):
            assert contrast(colours[ink], ground) >= 4.5  # WCAG 2.2, 1.4.3 (AA)
    for bar in ("#1f3f6e", "#5b7396", "#8a1c1c"):
        assert bar in text + "#8a1c1c" and contrast(bar, "#e6e6e6") >= 3  # WCAG 2.2, 1.4.11
    assert contrast(colours["line"], "#ffffff") >= 3
    assert contrast("#000000", "#ffffff") == pytest.approx(21)  # the formula: black on white is 21:1


def test_order_list_adds_up(situation):
    for name in ("plain", "rich", "odd"):
        shown, draft = view(situation(name)), situation(name).plan.draft
        assert sum(round(float(order.total) * 100) for order in shown.orders) == draft.cost
        assert shown.total == f"{draft.cost // 100}.{draft.cost % 100:02d} EUR"
    used = [line.condition for order in view(situation("rich")).orders for line in order.lines]
    assert "used, not tested" in used


def test_alerts_when_it_does_not_fit_or_changed(situation):
    assert any("DOES NOT FIT" in text for text in view(situation("odd")).alerts)  # fixed standoff
    plain = situation("plain")
    changed = Context(plain.problem, plain.plan, Origin("x", stored_cost="1.00", catalog_changed=True))
    assert len(view(changed).alerts) == len(view(plain).alerts) + 2


def test_words_are_explained_where_they_are_used(situation):
    terms = {name: {term for term, _ in view(situation(name)).terms} for name in NAMES}
    assert {"board", "supply", "standoff", "shield", "driver"} <= terms["plain"] and "M.2" in terms["whole"]
    # "screwdriver" and "sheet metal" are no drivers and shields.
    assert (
        "firmware setup" in terms["memory"] and not {"driver", "shield", "standoff", "M.2"} & terms["memory"]
    )
    assert terms["nothing"] == set()


def test_every_question_has_a_place_for_its_answer(situation):
    shown = view(situation("rich"))
    assert len(shown.questions) > 1
    assert sheet_text(situation("rich")).count("-> Answer: ___") == len(shown.questions)
    assert len(re.findall('id="answer-[0-9]+"', sheet_html(situation("rich")))) == len(shown.questions)


def test_nothing_to_do(situation):
    shown = view(situation("nothing"))
    assert shown.phases == () and shown.orders == () and shown.leaving == () and shown.suspects == ()
    assert "nothing is replaced" in sheet_text(situation("nothing"))


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (12_345, "mA", "12.3 A"),
        (90_000, "mW", "90 W"),
        (4096, "MiB", "4 GiB"),
        (1, "plugs", "1 plug"),
        (2, "plugs", "2 plugs"),
        (1, "MB/s", "1 MB/s"),
    ],
)
def test_quantities(value, unit, words):
    assert quantity(value, unit) == words


@pytest.fixture(scope="module")
def plan_file(tmp_path_factory):
    """A plan file of the demo PC with other memory, the first that fits: nothing has to be solved for it."""
    from partsolver.catalog.dictionary import data_folder
    from partsolver.catalog.load import load_catalog
    from partsolver.plan.complete import complete
    from partsolver.plan.make import make_plan
    from partsolver.plan.outcome import Outcome, Provenance
    from partsolver.planfile.plan_file import write_plan_file
    from partsolver.problem.candidates import SLOTS, Parts
    from partsolver.problem.join import join
    from partsolver.rules import all_rules
    from partsolver.survey.load import load_survey

    survey, brief = load_survey(data_folder() / "demo-survey.toml")
    assert isinstance(brief, Brief)
    problem = join(survey, load_catalog(data_folder() / "demo"), brief)
    present = problem.present()
    rules = all_rules()
    plans = []
    for kit in problem.slot("memory"):
        draft = complete(
            problem,
            Parts(tuple(kit if slot == "memory" else present.candidate(slot) for slot in SLOTS)),
            rules,
        )
        if not kit.kept and draft is not None and not plans:
            plan = make_plan(problem, draft, rules, 1, 0, None)
            plans += [plan] if plan.admitted else []
    (plan,) = plans
    outcome = Outcome(
        "optimal",
        (plan,),
        None,
        None,
        Provenance(problem.catalog.digest, "2026-11-20", "none", 0, 1, 1.0, None, None),
    )
    path = tmp_path_factory.mktemp("plan") / "plan.json"
    write_plan_file(path, outcome, problem, 1, None)
    return path


def test_command(plan_file, tmp_path, capsys):
    from partsolver.cli.sheet import sheet

    out = tmp_path / "sheet.html"
    assert sheet(plan_file, out) == 0 and list(tmp_path.iterdir()) == [out]
    first = out.read_bytes()
    parse(first.decode())
    assert sheet(plan_file, out) == 0 and out.read_bytes() == first
    capsys.readouterr()
    assert sheet(plan_file, format="text") == 0
    printed = capsys.readouterr()
    assert (
        printed.err == ""
        and "partsolver replan plan.json" in flat(printed.out)
        and str(plan_file.parent) not in printed.out
    )


def test_command_refusals(plan_file, tmp_path):
    from partsolver.cli.sheet import sheet

    with pytest.raises(InputRefused, match="--out"):
        sheet(plan_file)
    with pytest.raises(InputRefused, match="cannot be written"):
        sheet(plan_file, tmp_path / "missing" / "sheet.html")
    broken = tmp_path / "plan.json"
    document = json.loads(plan_file.read_text())
    broken.write_text(json.dumps({**document, "chosen": 7}))
    with pytest.raises(InputRefused, match="no plan of this rank"):
        sheet(broken, tmp_path / "sheet.html")
    assert not (tmp_path / "sheet.html").exists()


# -- the owner's page --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_owner_page_is_short_valid_and_says_the_same_in_both_forms(name, situation):
    from partsolver.report.owner import MOST_WORDS, owner_html, owner_text

    context = situation(name)
    text, html = owner_text(context), owner_html(context)
    assert len(text.split()) <= MOST_WORDS
    root = parse(html)
    tags = {element.tag for element in root.iter() if isinstance(element.tag, str)}
    assert not {"script", "link", "iframe", "object", "img", "base"} & tags
    assert "http:" not in html and "https:" not in html and html == owner_html(context)
    body = flat(" ".join("".join(root.find("body").itertext()).split()))
    for line in text.splitlines()[2:]:
        words = line.replace("[ ]", "").strip().rstrip("_").strip()
        for part in words.split("   "):
            assert part.strip(" :") in body, part
    fields = list(root.iter("input"))
    labels = {e.attrib.get("for") for e in root.iter("label")}
    assert all(
        e.attrib.get("id") in labels or e.attrib["type"] == "radio" for e in fields
    )  # WCAG 2.2, 3.3.2; a radio button stands inside its label


def test_owner_page_says_only_what_is_true(situation, build):
    from partsolver.report.owner import owner_page, owner_text

    plain = owner_text(situation("plain"))
    assert "Before the work, please" in plain and "Save your data on another device" in plain
    assert "Yes, please do it." in plain and "altogether" in plain
    keeps = owner_text(situation("nothing"))
    assert "nothing is bought" in keeps and "Yes, please" not in keeps and "Save your data" not in keeps
    for name in NAMES:
        context = situation(name)
        stays = " ".join(
            text
            for heading, texts in owner_page(context).sections
            for text in texts
            if heading == "What stays"
        )
        assert ("the power supply" in stays.lower()) == (context.changes and not context.new("psu"))
        assert ("the case" in stays.lower()) == (context.changes and not context.new("case"))
        assert ("New system drive" in owner_text(context) or "system drive" in stays.lower()) or (
            context.problem.survey.system_drive is None or not context.changes or context.new("drive")
        )


def test_owner_page_adds_up_and_names_the_end_of_the_offer(build):
    import datetime

    from partsolver.report.owner import owner_page

    offers = [replace(o, valid_until=datetime.date(2026, 12, 1)) for o in s.make_catalog().tables["offers"]]
    context = build({}, offers=offers)
    page = owner_page(context)
    said = " ".join(text for _, texts in page.sections for text in texts)
    numbers = [
        float(x) for x in re.findall(r"\d+\.\d\d", said.split("altogether")[0] + said.split("altogether:")[1])
    ]
    total = float(re.search(r"(\d+\.\d\d) EUR altogether", said)[1])
    assert sum(float(x) for x in re.findall(r"(?:parts|need|delivery) (\d+\.\d\d)", said)) == pytest.approx(
        total
    )
    assert numbers and "valid until 2026-12-01" in " ".join(page.offer)


def test_owner_page_of_what_does_not_fit_asks_for_nothing(build):
    from partsolver.report.owner import owner_page, owner_text

    context = build({"case": replace(s.CASE, max_board_depth_mm=100)})
    assert not context.plan.admitted
    page = owner_page(context)
    assert page.alert and not page.asks and not page.offer
    assert "do not fit" in owner_text(context) and "Yes, please" not in owner_text(context)


def test_owner_command(plan_file, tmp_path, capsys):
    from partsolver.cli import run

    assert run(["sheet", str(plan_file), "--for", "owner", "--format", "text"]) == 0
    assert "For the owner" in capsys.readouterr().out
    out = tmp_path / "owner.html"
    assert run(["sheet", str(plan_file), "--for", "owner", "--out", str(out)]) == 0
    parse(out.read_text(encoding="utf-8"))


@pytest.mark.parametrize(("year", "where"), [(1998, "hand-on"), (2003, "waste"), (2012, "hand-on")])
def test_a_supply_of_the_years_of_faulty_capacitors_is_not_handed_on(year, where):
    """Settings faulty_capacitor_from_year and _to_year: common practice of repair workshops."""
    from partsolver.plan.complete import draft_of
    from partsolver.plan.make import make_plan
    from partsolver.rules import all_rules
    from partsolver.sheet.leaving import leaving

    problem = s.make_problem(
        s.make_survey(psu=replace(s.PSU, year=year, condition="good")),
        Brief(budget="900.00", replace=("psu",)),
        psus=[replace(s.PSU, id="psu-new", name="New supply", year=2026)],
        offers=[*s.make_catalog().tables["offers"], Offer("psu-new", "shop", 4000)],
    )
    draft = draft_of(problem, s.pick(problem, psu="psu-new"), all_rules())
    made = Context(problem, make_plan(problem, draft, all_rules(), 1, 0, None), Origin("plan.json"))
    (supply,) = [part for part in leaving(made) if part.slot == "psu"]
    assert supply.where == where
