"""Surveys as files: what is refused and how, and that a fact nobody knows stays unknown."""

from __future__ import annotations

import datetime
import json
import tomllib
from dataclasses import fields
from decimal import Decimal
from pathlib import Path
from typing import get_args

import pytest

from partsolver.base.errors import Fault, InputRefused
from partsolver.catalog.dictionary import data_folder
from partsolver.cli import run
from partsolver.survey.load import LISTS, MODELS, RECORDS, load_survey, parse_survey
from partsolver.survey.model import Survey
from partsolver.wishes.brief import Brief

LEAST = "[case]\n[psu]\n"


def parse(text: str) -> tuple[Survey, Brief]:
    return parse_survey(tomllib.loads(text, parse_float=Decimal), "pc.toml")


def faults(text: str) -> tuple[Fault, ...]:
    with pytest.raises(InputRefused) as refused:
        parse(text)
    return refused.value.faults


# survey -> (place, what the message says)
BAD = [
    (
        "[psu]\n",
        "pc.toml",
        "the survey has no [case] table; expected [case]. Add it: its size decides what fits",
    ),
    ("[case]\n", "pc.toml", "the survey has no [psu] table"),
    (LEAST + "[borad]\n", "pc.toml [borad]", "Did you mean 'board'?"),
    (LEAST + "[board]\nwidht_mm = 244\n", "pc.toml [board] widht_mm", "Did you mean 'width_mm'?"),
    (LEAST + "[board]\nid = 'x'\n", "pc.toml [board] id", "no such key"),
    (
        LEAST + "[board]\nwidth_mm = 'wide'\n",
        "pc.toml [board] width_mm",
        "found 'wide'); expected a whole number without sign in mm",
    ),
    (LEAST + "[board]\nwidth_mm = 226.5\n", "pc.toml [board] width_mm", "found '226.5')"),
    (LEAST + "[board]\nwidth_mm = -5\n", "pc.toml [board] width_mm", "found '-5')"),
    (LEAST + "[board]\nsata_6g_ports = true\n", "pc.toml [board] sata_6g_ports", "a whole number"),
    (LEAST + "[board]\nform_factor = 'matz'\n", "pc.toml [board] form_factor", "one of atx, microatx"),
    (
        LEAST + "[board]\nslots = ['x16:16', 'x3:1']\n",
        "pc.toml [board] slots",
        "slots such as x16:16 x1:1 pci, or none",
    ),
    (
        LEAST + "[cpu]\nmemory_rates = { ddr3 = 1333 }\n",
        "pc.toml [cpu] memory_rates",
        "generation:rate pairs",
    ),
    ("[psu]\n[case]\nstandoffs = ['B', 'Z']\n", "pc.toml [case] standoffs", "hole letters"),
    ("case = 3\n[psu]\n", "pc.toml [case]", "must be a table"),
    ("pc = 'mine'\n" + LEAST, "pc.toml [pc]", "must be a table"),
    (
        LEAST + "[pc]\nbrand = 'maybe'\n",
        "pc.toml [pc] brand",
        "cannot be read (found 'maybe'); expected yes or no",
    ),
    (LEAST + '[pc]\nname = """two\nlines"""\n', "pc.toml [pc] name", "control characters"),
    (LEAST + "[drive]\nname = 'a'\n", "pc.toml [drive]", "expected [[drive]]"),
    (LEAST + "[[drive]]\n", "pc.toml [[drive]] 1 name", "is missing"),
    (
        LEAST + "[[drive]]\nname = 'a'\n[[drive]]\nname = 'b'\nkind = 'hdd'\n",
        "pc.toml [[drive]] 2 kind",
        "'hdd35'",
    ),
    (
        LEAST + "[[drive]]\nname = 'a'\nraed_mbs = 5\n",
        "pc.toml [[drive]] 1 raed_mbs",
        "Did you mean 'read_mbs'?",
    ),
    (
        LEAST + "[[drive]]\nname = 'a'\nread_mbs = 0\n",
        "pc.toml [[drive]] 1 read_mbs",
        "too small (found '0'); expected 1 or more",
    ),
    (
        LEAST + "[[drive]]\nname = 'a'\n[[card]]\nname = 'a'\nkind = 'sound'\n",
        "pc.toml [[card]]",
        "two entries have the same name (found 'a')",
    ),
    (
        LEAST + "[[drive]]\nname = 'a'\ncontroller = 'b'\n[[card]]\nname = 'c'\nkind = 'sound'\n",
        "pc.toml [[drive]]",
        "no card of this name (found 'b'); expected board, c",
    ),
    (
        LEAST + "[[drive]]\nname = 'a'\nsystem = true\n[[drive]]\nname = 'b'\nsystem = true\n",
        "pc.toml [[drive]]",
        "one system drive",
    ),
    (
        LEAST + "[[memory]]\ncapacity_mib = 2.5\n",
        "pc.toml [[memory]] 1 capacity_mib",
        "not a whole number (found '2.5')",
    ),
    (
        LEAST + "[[memory]]\ncount = 0\n",
        "pc.toml [[memory]] 1 count",
        "too small (found '0'); expected 1 or more",
    ),
    (LEAST + "[os]\nlicence = 'stolen'\n", "pc.toml [os] licence", "expected oem, retail, account"),
    (LEAST + "[brief]\nbudgte = 5\n", "pc.toml [brief] budgte", "Did you mean 'budget'?"),
    (LEAST + "[brief]\nbudget = true\n", "pc.toml [brief] budget", "not a text (found 'true')"),
    (LEAST + "[brief]\ngoal = 'fast'\n", "pc.toml [brief] goal", "expected speed or cost"),
    (
        LEAST + "[brief]\nalternatives = 0\n",
        "pc.toml [brief] alternatives",
        "too small (found '0'); expected 1 or more",
    ),
    (LEAST + "[brief]\nmin_speedup = 'twice'\n", "pc.toml [brief] min_speedup", "twice"),
    (LEAST + "[brief]\nneed_by = '5/6/2026'\n", "pc.toml [brief] need_by", "2026-06-05 or 2026-05-06"),
    (
        LEAST + "[brief]\nneed_by = 2026-12-24T08:00:00\n",
        "pc.toml [brief] need_by",
        "date",
    ),
    (
        LEAST + "[brief]\nreplace = ['psu', 'board']\n",
        "pc.toml [brief] replace entry 2",
        "(found 'board'); expected psu, case, cooler, drive or graphics",
    ),
    (LEAST + "[brief]\nshares = { serial = 0.5 }\n", "pc.toml [brief] shares.serial", "not a whole number"),
    (LEAST + "[brief]\ntariff_per_kwh = 'cheap'\n", "pc.toml [brief] tariff_per_kwh", "cheap"),
]


@pytest.mark.parametrize(("text", "where", "told"), BAD)
def test_bad_survey(text: str, where: str, told: str) -> None:
    assert [f for f in faults(text) if f.where == where and told in str(f)], [str(f) for f in faults(text)]


def test_all_faults_at_once() -> None:
    text = (
        "[psu]\nrated_w = 'strong'\n[board]\nwidth_mm = 'wide'\nnaem = 'x'\n[[drive]]\nkind ="
        " 'tape'\n[brief]\ngoal = 'fast'\n"
    )
    places = [f.where.removeprefix("pc.toml").strip() for f in faults(text)]
    assert sorted(places) == sorted(
        [
            "",
            "[psu] rated_w",
            "[board] width_mm",
            "[board] naem",
            "[[drive]] 1 name",
            "[[drive]] 1 kind",
            "[brief] goal",
        ]
    )


@pytest.mark.parametrize("table", list(RECORDS))
def test_unknown_and_absent_are_the_same_open_question(table: str) -> None:
    """No default of a catalogue column becomes a guess about the PC in front of us."""
    record = RECORDS[table][0]
    names = [f.name for f in fields(record) if f.name not in ("id", "name", "source")]
    others = "".join(f"[{name}]\n" for name in ("case", "psu") if name != table)
    absent = getattr(parse(f"{others}[{table}]\n")[0], table)
    unknown = getattr(
        parse(f"{others}[{table}]\n" + "".join(f'{name} = "unknown"\n' for name in names))[0], table
    )
    assert absent == unknown
    assert {getattr(absent, name) for name in names} == {None}


@pytest.mark.parametrize(("table", "model"), [*MODELS.items(), *LISTS.items()])
def test_unknown_in_the_survey_tables_is_none(table: str, model: type) -> None:
    """Every fact that may be unknown is None when the survey says `unknown`, whatever it is when left out."""
    open_facts = [n for n, f in model.model_fields.items() if type(None) in get_args(f.annotation)]  # type: ignore[attr-defined]
    stated = {"name": "'x'", "kind": "'sound'"} if table != "drive" else {"name": "'x'"}
    needed = "".join(
        f"{n} = {v}\n" for n, v in stated.items() if n in model.model_fields and n not in open_facts
    )  # type: ignore[attr-defined]
    head = f"[[{table}]]" if table in LISTS else f"[{table}]"
    survey, _ = parse(LEAST + f"{head}\n{needed}" + "".join(f"{n} = 'unknown'\n" for n in open_facts))
    found = getattr(
        survey,
        {"drive": "drives", "card": "cards", "display": "displays", "device": "devices"}.get(table, table),
    )
    found = found[0] if table in LISTS else found
    assert open_facts and {getattr(found, name) for name in open_facts} == {None}


def test_least_survey() -> None:
    survey, brief = parse(LEAST)
    assert (
        survey.cooler is None
        and survey.memory == survey.drives == survey.cards == survey.displays == survey.devices == ()
    )
    assert survey.system_drive is None
    assert brief == Brief()


@pytest.mark.parametrize(
    ("written", "budget"),
    [("'120.00'", "120.00"), ("120", "120"), ("120.50", "120.50"), ("1e2", "100"), ("0.1", "0.1")],
)
def test_amounts_keep_their_exact_digits(written: str, budget: str) -> None:
    assert parse(LEAST + f"[brief]\nbudget = {written}\n")[1].budget == budget


def test_numbers_dates_and_lists_of_the_brief() -> None:
    text = (
        "[brief]\nmin_speedup = 1.3\nresolution_percent = 2\nneed_by = 2026-12-24\nwithout = ['a',"
        " 'b']\nreplace = ['psu']\nsettings = { age = 5 }\n"
    )
    brief = parse(LEAST + text)[1]
    assert (brief.min_speedup, brief.resolution_percent, brief.need_by) == (
        "1.3",
        "2",
        datetime.date(2026, 12, 24),
    )
    assert (brief.without, brief.replace, brief.settings) == (("a", "b"), ("psu",), {"age": 5})


def test_cells_and_lists_say_the_same() -> None:
    one = parse(
        "[psu]\n[case]\nstandoffs = ['B', 'C']\n[board]\nslots = ['x16:16', 'pci']\ncpu_plugs = ['8',"
        " '4']\ntpm = 'none'\nm2_slots = []\n"
    )[0]
    two = parse(
        "[psu]\n[case]\nstandoffs = 'C B'\n[board]\nslots = 'x16:16 pci'\ncpu_plugs = '4+8'\ntpm ="
        " 'none'\nm2_slots = 'none'\n"
    )[0]
    assert (one.board, one.case) == (two.board, two.case)
    assert one.board.m2_slots == () and one.board.cpu_plugs == ("8", "4")


# -- files and the command line ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (None, "no such file. Check the spelling and the folder"),
        (b"[case\n", "not valid TOML"),
        (b"[case]\nname = tower\n", "Strings need quotes"),
        (b"[case]\na = 1\na = 2\n", "not valid TOML"),
        ("[case]\nname = 'Größe'\n".encode("latin-1"), ":2: the text is not UTF-8 (found 'f6')"),
        (b"", "the survey has no [case] table"),
        (b"[psu]\nrated_w = 'x'\n", "the survey has no [case] table"),
        (b"\x00", "not valid TOML"),
    ],
)
def test_command_line_refuses(
    tmp_path: Path, data: bytes | None, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "pc.toml"
    if data is not None:
        path.write_bytes(data)
    for arguments in (
        ["recommend", str(path)],
        ["check", str(path), "kept-board"],
        ["why", str(path)],
        ["tradeoff", str(path)],
    ):
        assert run([*arguments, "--format", "json"]) == 2
        printed = capsys.readouterr()
        (fault,) = json.loads(printed.out)["faults"][:1]  # the refusal as a document, and nothing else
        assert (
            str(path) in fault["where"]
            and str(path) in printed.err
            and told in printed.err
            and "Traceback" not in printed.err
        )


@pytest.mark.parametrize(
    ("brief", "told"),
    [
        ("budget = 'much'", "[brief] budget: not an amount (found 'much')"),
        ("budget = -5", "[brief] budget: must not be negative"),
        ("budget = inf", "[brief] budget: not an amount"),
        ("use = 'offic'", "[brief] use: no such use (found 'offic')"),
        (
            "shares = { serial = 900 }",
            "[brief] shares: the shares must not be negative and must sum to 1000 (found '900')",
        ),
        ("shares = { serial = 500, paralel = 500 }", "Did you mean 'parallel'?"),
        ("settings = { nonesuch = 5 }", "nonesuch"),
        ("without = ['nonesuch']", "no such part in this catalogue (found 'nonesuch')"),
        ("os = 'desktop-2014'", "no such family of operating systems"),
    ],
)
def test_wishes_are_refused_with_their_place(
    tmp_path: Path, brief: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "pc.toml"
    path.write_text(f"{LEAST}[brief]\n{brief}\n", encoding="utf-8")
    assert run(["recommend", str(path), "--demo"]) == 2
    assert told in capsys.readouterr().err


def test_demo_survey_loads_and_a_bom_does_not_matter(tmp_path: Path) -> None:
    text = (data_folder() / "demo-survey.toml").read_text(encoding="utf-8")
    (tmp_path / "pc.toml").write_text("\ufeff" + text.replace("\n", "\r\n"), encoding="utf-8", newline="")
    plain, marked = load_survey(data_folder() / "demo-survey.toml"), load_survey(tmp_path / "pc.toml")
    same = {"where": "", "text": ""}
    assert plain[0].model_copy(update=same) == marked[0].model_copy(update=same)
    assert plain[1] == marked[1] and plain[1].budget == "230.00"


def test_values_as_people_write_them() -> None:
    """Words in any case, values with their units: the tables of the survey read them as a catalogue does."""
    said = tomllib.loads(
        """
        [case]
        form_factor = "Micro-ATX"
        max_board_depth_mm = "24.4 cm"
        [psu]
        main_plug = "20+4"
        rated_w = "350 W"
        rail_12v_ma = "16 A + 16 A"
        [board]
        socket = "Brig"
        memory_channels = "dual"
        outputs = ["VGA", "HDMI"]
        [pc]
        brand = "No"
        [[memory]]
        generation = "DDR3"
        capacity_mib = "2 GB"
        [[drive]]
        name = "disk"
        interface = "SATA"
        capacity_gb = "1 TB"
        sata_gbps10 = "3 Gb/s"
        [[display]]
        name = "monitor"
        inputs = "VGA, DVI-D"
        [os]
        keep = "yes"
        [brief]
        min_memory_gb = "8 GB"
        need_by = "24.12.2026"
        """
    )
    survey, brief = parse_survey(said, "pc.toml")
    assert (survey.case.form_factor, survey.case.max_board_depth_mm) == ("microatx", 244)
    assert (survey.psu.main_plug, survey.psu.rated_w, survey.psu.rail_12v_ma) == ("24", 350, (16000, 16000))
    assert (survey.board.socket, survey.board.memory_channels) == ("brig", 2)
    assert survey.board.outputs == ("vga", "hdmi") and survey.pc.brand is False
    assert (survey.memory[0].generation, survey.memory[0].capacity_mib) == ("ddr3", 2048)
    drive = survey.drives[0]
    assert (drive.interface, drive.capacity_gb, drive.sata_gbps10) == ("sata", 1000, 30)
    assert survey.displays[0].inputs == ("vga", "dvi-d") and survey.os.keep
    assert (brief.min_memory_gb, brief.need_by) == (8, datetime.date(2026, 12, 24))


def test_words_outside_the_closed_list_and_two_readings_are_refused() -> None:
    """Nothing a person wrote is dropped or guessed."""
    said = {"case": {}, "psu": {"rated_w": "1.234"}, "display": [{"name": "m", "inputs": ["scart"]}]}
    with pytest.raises(InputRefused) as caught:
        parse_survey(said, "pc.toml")
    shown = str(caught.value)
    assert "1234 or 1.234" in shown and "[[display]] 1 inputs: cannot be read" in shown and "vga" in shown
