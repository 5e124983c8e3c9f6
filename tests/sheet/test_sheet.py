"""The sheet as a document: valid HTML, nothing from outside, escaped, the same bytes, readable, safe
advice."""

from __future__ import annotations

import itertools
import json
import re
from dataclasses import replace

import html5lib
import pytest
import support as s

from partsolver.base.errors import InputRefused
from partsolver.report.sheet_html import sheet_html
from partsolver.report.sheet_text import sheet_text
from partsolver.report.sheet_view import quantity, view
from partsolver.sheet.context import Context, Origin
from partsolver.survey.model import Display, Pc

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
    assert not {"script", "link", "iframe", "object", "img", "base"} & set(tags)
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
    sections = [e.attrib["id"] for e in root.iter("section") if e.attrib["id"] != "dark"]
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
    assert "<script" not in text and "<b " not in text
    assert not list(root.iter("script")) and not list(root.iter("b"))
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
        (4096, "MiB", "4 GB"),
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
    from partsolver.wishes.brief import Brief

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
    write_plan_file(path, outcome, problem, 1, None, None)
    return path


def test_command(plan_file, tmp_path, capsys):
    from partsolver.cli.sheet import sheet

    out = tmp_path / "sheet.html"
    assert sheet(plan_file, out) == 0 and list(tmp_path.iterdir()) == [out]
    first = out.read_bytes()
    parse(first.decode())
    assert sheet(plan_file, out) == 0 and out.read_bytes() == first
    capsys.readouterr()
    assert sheet(plan_file, None, None, "text") == 0
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
