"""Texts of others (catalogue, survey, names of files, dumps) are data wherever they are printed: nothing of them is run by a
browser, a spreadsheet, a terminal or a shell, and none of them breaks a line or a document.

Source of what is tried: OWASP cheat sheets "Cross Site Scripting Prevention" and "CSV Injection"; ECMA-48 (control
functions of terminals); Unicode Standard Annex 9 (marks of direction); TOML 1.0.0 (a comment ends with its line).
"""

from __future__ import annotations

import csv
import io
import json
import os
import re
import tomllib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
import support as s
from fleets import answer, fleet_of
from lxml import html
from sheet.conftest import context

from partsolver.base.controls import controls_escaped
from partsolver.base.documents import parse_json, text_of_cell, told_as_text
from partsolver.base.errors import Fault, InputRefused
from partsolver.catalog.dictionary import columns, data_folder, reader
from partsolver.cli import options, run
from partsolver.measure.records import Reason
from partsolver.report.case_drawing import case_svg
from partsolver.report.charts import draw_tradeoff
from partsolver.report.fleet import fleet_document
from partsolver.report.fleet_files import fleet_files, index_html, plans_csv
from partsolver.report.measure import missing_text, reason_text
from partsolver.report.owner import owner_html
from partsolver.report.sheet_html import sheet_html
from partsolver.solve.tradeoff import tradeoff
from partsolver.survey.model import Card, Device, Display, Drive, OperatingSystem, Pc
from partsolver.wishes.brief import Brief

# Printable, so that a survey or a catalogue may hold them.
HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' onmouseover='alert(1)",
    "</title></style></svg><script>alert(1)</script>",
    "javascript:alert(1)",
    "]]><!--",
    "&lt;b&gt;&#60;i&#62;",
    '=HYPERLINK("http://example.invalid","x")',
    "+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(1)",
    "{{ 7 * 7 }}{% raw %}",
    "{0} {name} %s %(x)s $HOME `id`",
    "$(touch hurt); touch hurt",
    '\\"; \\u0022 \\n # "',
    "../../etc/passwd",
)


def problem_of(name: str) -> Any:
    """A PC and a catalogue in which everything has this name."""
    survey = s.make_survey(
        pc=Pc(name=name),
        case=replace(s.CASE, name=name),
        psu=replace(s.PSU, name=name),
        board=replace(s.OLD_BOARD, name=name),
        cpu=replace(s.OLD_CPU, name=name),
        drives=(s.SYSTEM_DRIVE, Drive(name=name, kind="hdd35", interface="sata", power_plug="sata")),
        cards=(Card(name=name, kind="sound", bus="pcie", lanes=1, required=False),),
        displays=(Display(name=name, inputs=("vga",)),),
        devices=(Device(name=name, port="usb"),),
        os=OperatingSystem(family="desktop-2015", licence="retail", tied_software=(name,)),
    )
    problem = s.make_problem(
        survey,
        Brief(budget="500.00", alternatives=2),
        boards=[replace(s.BOARD, name=name, source=name)],
        cpus=[replace(s.CPU, name=name)],
        memory=[replace(s.KIT, name=name)],
        sellers=(replace(s.SELLER, name=name),),
    )
    return replace(problem, catalog=replace(problem.catalog, name=name, origin=name))


def assert_plain(page: str, name: str) -> None:
    """No element, attribute or address of a page comes from a text; the text is in it as text."""
    tree = html.document_fromstring(page)
    for element in tree.iter():
        if not isinstance(element.tag, str):
            continue
        assert element.tag in ALLOWED, element.tag
        for attribute, value in element.attrib.items():
            assert not str(attribute).startswith("on"), (element.tag, attribute)
            if attribute in ("href", "src", "action"):
                assert not str(value).lstrip().lower().startswith(("javascript:", "data:", "http", "//"))
        if element.tag == "script":
            assert "alert" not in (element.text or "")
    assert not list(tree.iter(html.etree.Comment)) and "49" not in {t.strip() for t in tree.itertext()}
    assert " ".join(name.split()) in " ".join(tree.text_content().split())


# What our own pages are made of.
ALLOWED = frozenset(
    [
        "html",
        "head",
        "meta",
        "title",
        "style",
        "body",
        "header",
        "main",
        "nav",
        "section",
        "article",
        "footer",
        "div",
        "span",
        "p",
        "h1",
        "h2",
        "h3",
        "h4",
        "ul",
        "ol",
        "li",
        "dl",
        "dt",
        "dd",
        "table",
        "caption",
        "thead",
        "tbody",
        "tfoot",
        "tr",
        "th",
        "td",
        "a",
        "strong",
        "em",
        "small",
        "b",
        "i",
        "br",
        "hr",
        "label",
        "input",
        "button",
        "details",
        "summary",
        "form",
        "fieldset",
        "legend",
        "script",
        "noscript",
        "svg",
        "g",
        "rect",
        "line",
        "circle",
        "text",
        "tspan",
        "path",
        "desc",
        "defs",
        "pattern",
        "code",
        "pre",
        "time",
        "figure",
        "figcaption",
    ]
)


@pytest.mark.parametrize("name", HOSTILE)
def test_pages_hold_names_as_text(name: str) -> None:
    problem = problem_of(name)
    made = context(problem, s.pick(problem))
    for page in (sheet_html(made), owner_html(made)):
        assert_plain(page, name)
    drawing = ElementTree.fromstring(str(case_svg({"psu": name, "card": name, "drive": name}, {"psu"})))
    assert {element.tag.rpartition("}")[2] for element in drawing.iter()} <= ALLOWED
    assert name in drawing.attrib["aria-label"]


@pytest.mark.parametrize("name", HOSTILE)
def test_terminal_and_json_hold_names_as_text(
    name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(options, "load_problem", lambda *arguments, **further: problem_of(name))
    for command in (["recommend", "--full"], ["check", "board-a", "cpu-a", "kit-a"]):
        assert run(command) in (0, 1)
        text = capsys.readouterr().out
        assert name.split()[0] in text and all(c.isprintable() or c in "\n\xa0" for c in text)
        assert run([*command, "--format", "json"]) in (0, 1)
        assert json.loads(capsys.readouterr().out)


def test_tables_hold_no_formula() -> None:
    """Every text that a spreadsheet would run stands behind an apostrophe, and is read back as it was."""
    found = answer(fleet_of(2, "most-pcs", 9000, (2, 1), scrap=True))
    for name in HOSTILE:
        document = fleet_document(found)
        for pc in document["pcs"]:
            pc["pc"] = name
            for part in pc["parts"]:
                part["name"] = name
        rows = list(csv.reader(io.StringIO(plans_csv(document))))
        cells = [cell for row in rows[1:] for cell in row]
        assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@"))]
        assert told_as_text(name) in cells and text_of_cell(told_as_text(name)) == name


def test_an_exported_catalogue_holds_no_formula_and_is_read_back(tmp_path: Path) -> None:
    column = columns()["boards"]["name"]
    for name in HOSTILE:
        assert reader(column)(told_as_text(name)) == name == reader(column)(name)
    tables = tmp_path / "tables"
    tables.mkdir()
    demo = data_folder() / "demo"
    for table in demo.iterdir():
        (tables / table.name).write_bytes(table.read_bytes())
    boards = list(csv.reader(io.StringIO((tables / "boards.csv").read_text(encoding="utf-8"))))
    place = boards[0].index("name")
    for number, name in enumerate(HOSTILE, 1):
        boards[number][place] = name
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(boards)
    (tables / "boards.csv").write_text(out.getvalue(), encoding="utf-8")
    assert run(["catalog", "add", str(tables), "--into", str(tmp_path / "store")]) == 0
    assert run(["catalog", "export", str(tmp_path / "out"), "--catalog", str(tmp_path / "store")]) == 0
    written = list(csv.reader(io.StringIO((tmp_path / "out" / "boards.csv").read_text(encoding="utf-8"))))
    names = {row[written[0].index("name")] for row in written[1:]}
    assert {told_as_text(name) for name in HOSTILE} <= names
    assert not [name for name in names if name.startswith(("=", "+", "-", "@"))]


@pytest.mark.parametrize("name", [r"a \1 \g<0> \f \u0022 <b>", *HOSTILE[:4]])
def test_the_picture_tells_names_as_text(name: str, tmp_path: Path) -> None:
    """A backslash was an escape of a template: a form feed, which no SVG may hold, or a fault."""
    problem = s.shop()
    survey = problem.survey
    survey = survey.model_copy(update={"pc": survey.pc.model_copy(update={"name": name})})
    file = tmp_path / "picture.svg"
    draw_tradeoff(file, tradeoff(problem), replace(problem, survey=survey))
    drawing = ElementTree.fromstring(file.read_text(encoding="utf-8"))
    title = next(element for element in drawing.iter() if element.tag.endswith("}title"))
    assert (title.text or "").startswith(f"{name}: cost against expected speed-up")
    assert not [
        element for element in drawing.iter() if element.tag.rpartition("}")[2] in ("script", "b", "img")
    ]


# -- names of files ----------------------------------------------------------------------------------------------------

UNSEEN = ("\x1b]0;hurt\x07\x1b[31m", "two\nlines", "\u202egpj.exe", "\u200b", "a\rb", "\x9b31m")


def seen(text: str) -> Iterator[str]:
    return (letter for letter in text if letter != "\n" and controls_escaped(letter) != letter)


@pytest.mark.parametrize("name", UNSEEN)
def test_a_message_shows_a_name_in_one_line_and_moves_nothing(name: str) -> None:
    for fault in (Fault(name, "is missing"), Fault("a", "no such file", name), Fault("a", "b", None, "c")):
        assert not list(seen(str(fault))) and "\n" not in str(fault)
    assert controls_escaped("plain \u0416 caf\u00e9\u00a0%") == "plain \u0416 caf\u00e9\u00a0%"


@pytest.mark.parametrize("text", ["\x1b[31m", "a\x00", "\x9b31m", "\b\f", "\x7f"])
@pytest.mark.parametrize("raw", [True, False])
def test_a_document_of_others_holds_no_control_functions(text: str, raw: bool) -> None:
    """Plan files and measurements that are passed on: the solver's name went to the terminal as it was."""
    for data in ({"provenance": {"solver": text}}, {"rows": [{text: 1}]}, [text]):
        written = json.dumps(data, ensure_ascii=not raw)
        with pytest.raises(InputRefused, match="holds control characters") as refused:
            parse_json(written, "plan.json")
        assert not list(seen(str(refused.value)))
    whole = {"survey": "[pc]\n\tname = 'caf\u00e9'\r\n", "path": "C:\\bin\\u001b"}
    assert parse_json(json.dumps(whole), "plan.json") == whole


@pytest.mark.parametrize("key", ["name", "origin"])
def test_the_head_of_a_catalogue_shows_what_it_says(
    key: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for table in (data_folder() / "demo").iterdir():
        (tmp_path / table.name).write_bytes(table.read_bytes())
    head = tmp_path / "catalog.toml"
    text = re.sub(
        rf'^{key} = ".*"$', rf'{key} = "a\\u001b[31m"', head.read_text(encoding="utf-8"), flags=re.M
    )
    assert "u001b" in text
    head.write_text(text, encoding="utf-8")
    assert run(["catalog", "check", str(tmp_path)]) == 2
    said = capsys.readouterr().err
    assert f"catalog.toml {key}: holds characters that do not show" in said and not list(seen(said))


def test_a_reason_of_another_version_is_no_template() -> None:
    """A measurement file may name reasons that this version does not know; they were filled in like sentences of ours."""
    for code in ("{0}", "{value.__class__}", "{", "%s"):
        assert reason_text(Reason(code=code)) == code
        assert missing_text(Reason(code=code, about="memory")) == f"memory: {code}"


@pytest.mark.skipif(os.name != "posix", reason="names that only POSIX takes")
@pytest.mark.parametrize("name", UNSEEN)
def test_names_of_files_are_data(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "fleet"
    folder.mkdir()
    survey = (data_folder() / "demo-survey.toml").read_bytes()
    (folder / f"{name}.toml").write_bytes(survey)
    dump = folder / f"{name}.txt"
    dump.write_text("Architecture: x86_64\nModel name: Invented 4c\nCPU(s): 4\n" + f"# {name}\n")
    imported = tmp_path / "pc.toml"
    for command in (
        ["recommend", str(folder / f"{name}.toml"), "--budget", "x"],
        ["survey", "check", str(folder / f"{name}.toml")],
        ["survey", "import", str(dump), "--out", str(imported)],
        ["fleet", str(folder), "--demo"],
        ["catalog", "add", str(dump), "--into", str(tmp_path / "parts")],
        ["catalog", "check", str(folder)],
    ):
        run(command)
        said = capsys.readouterr()
        assert not list(seen(said.out)) and not list(seen(said.err.replace("\r", ""))), command
    if imported.exists():
        text = imported.read_text(encoding="utf-8")
        assert tomllib.loads(text) and not list(seen(text))
        assert not re.search(r"^lines", text, re.M)


ODD_MODELS = ("\x1b[31m red", 'a"\n[psu]\nrated_w = 9\n#', "\u202egpj", "\x00", "'" * 3, '"' * 3)


@pytest.mark.parametrize("name", [*HOSTILE, *ODD_MODELS])
def test_what_a_tool_prints_becomes_one_value_of_a_survey(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A drive may call itself anything; the survey that is written has no other table or key for it, and shows whole."""
    data = Path(__file__).parent / "survey" / "data" / "lsblk-text.json"
    dump = json.loads(data.read_text(encoding="utf-8"))
    disks = [device for device in dump["blockdevices"] if device.get("type") == "disk"]
    file, written = tmp_path / "lsblk.json", []
    for model in ("Plain 1", name):
        for disk in disks:
            disk["model"] = model
        file.write_text(json.dumps(dump), encoding="utf-8")
        target = tmp_path / f"{len(written)}.toml"
        assert run(["survey", "import", str(file), "--out", str(target)]) == 0
        said = capsys.readouterr()
        assert not list(seen(said.out)) and not list(seen(said.err))
        written.append(target.read_text(encoding="utf-8"))
    assert not list(seen(written[1]))
    one, other = map(tomllib.loads, written)
    assert one.keys() == other.keys() and one.get("psu") == other.get("psu")
    assert len(one["drive"]) == len(other["drive"])
    assert {key for row in other["drive"] for key in row} <= {key for row in one["drive"] for key in row} | {
        "name"
    }


def test_the_fleet_page_links_to_sheets_by_escaped_names() -> None:
    found = answer(fleet_of(2, "most-pcs", 9000, (2, 1)))
    files = fleet_files(found, None)  # type: ignore[arg-type]
    assert "index.html" in files
    for name in HOSTILE:
        renamed = tuple(replace(one, result=replace(one.result, pc=name)) for one in found.pcs)
        page = index_html(replace(found, pcs=renamed), {name: f"sheet-{name}.html"})
        assert_plain(page, name)
