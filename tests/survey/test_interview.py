"""The interview as a library: scripted answers, don't know, back, resume, interruption, units, the file it
ends in."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from survey.survey_data import PC, dump

from partsolver.base.errors import InputRefused
from partsolver.catalog.dictionary import columns
from partsolver.report.words import interview as words
from partsolver.report.words.interview import prompt
from partsolver.report.words.interview_drawings import DRAWINGS, holes_drawing
from partsolver.standards.boards import HOLES
from partsolver.survey.interview.answers import load_answers, save_answers
from partsolver.survey.interview.build import (
    evidence,
    merged_answers,
    parsed,
    suggestions,
    survey_text,
    unused,
)
from partsolver.survey.interview.kinds import KINDS, read_answer
from partsolver.survey.interview.questions import BY_PATH, QUESTIONS, ROW_TABLES
from partsolver.survey.interview.session import Asking, Interview, Stopped, Told
from partsolver.survey.load import RECORDS, load_survey, parse_survey
from partsolver.survey.merge import merge
from partsolver.survey.model import Survey
from partsolver.survey.readers import read_source
from partsolver.survey.update import update
from partsolver.survey.write import described, render


def script(answers: dict[str, str], other: str = "?") -> Callable[[Asking], str]:
    return lambda asking: answers.get(asking.path, other)


def quiet(event: Told) -> None:
    """The interview tells, nobody listens."""


def finished(interview: Interview, present: str | None = None) -> Survey:
    text = survey_text(interview, present, "survey.toml").text
    return parse_survey(tomllib.loads(text), "survey.toml")[0]


def test_scripted_interview_gives_the_survey_of_that_pc() -> None:
    asked: list[str] = []
    interview = Interview({})

    def ask(asking: Asking) -> str:
        asked.append(asking.path)
        return PC[asking.path]  # KeyError: a question that does not apply was asked

    interview.run(ask, quiet)
    assert asked == list(PC)
    survey = finished(interview)
    assert (survey.psu.rail_12v_ma, survey.psu.combined_12v_ma, survey.psu.cpu_lead_mm) == (
        (14000, 15000),
        25000,
        450,
    )
    assert (survey.board.width_mm, survey.board.depth_mm) == (
        244,
        244,
    )  # 9.6 in = 243.84 mm: microATX 1.2, the board's edges
    assert [(s.kind, s.lanes) for s in survey.board.slots or ()] == [
        ("x16", 16),
        ("x1", 1),
        ("pci", 0),
        ("pci", 0),
    ]
    assert (
        survey.board.memory_module,
        survey.board.memory_channels,
        survey.board.memory_max_mib,
        survey.psu.zero_load_12v,
    ) == ("dimm", 2, 8192, False)
    assert (
        survey.board.m2_slots == ()
        and survey.case.standoffs_fixed == ()
        and survey.case.standoffs == tuple("BCFHJR")
    )
    assert [(m.generation, m.capacity_mib, m.count, m.rate_mts) for m in survey.memory] == [
        ("ddr2", 1024, 2, 667)
    ]
    system = survey.system_drive
    assert system is not None and (system.capacity_gb, system.storage_mode, system.power_plug) == (
        250,
        "ide",
        "sata",
    )
    assert (
        survey.drives[1].interface == "pata"
        and survey.devices[0].port == "ps2"
        and survey.displays[0].inputs == ("vga", "dvi-d")
    )
    assert survey.cooler is not None and survey.cooler.height_mm == 60 and survey.cards == ()


@pytest.mark.parametrize("word", ["?", "", "don't know", "unknown"])
def test_knowing_nothing_still_gives_a_survey(word: str) -> None:
    interview = Interview({})
    interview.run(lambda asking: word, quiet)
    survey = finished(interview)
    assert (
        survey.psu.main_plug,
        survey.case.form_factor,
        survey.board.socket,
        survey.drives,
        survey.memory,
    ) == (None, None, None, (), ())


def test_rows_of_which_nothing_is_known() -> None:
    interview = Interview({})
    interview.run(script(dict.fromkeys(ROW_TABLES, "2")), quiet)
    survey = finished(interview)
    assert [
        len(rows) for rows in (survey.memory, survey.drives, survey.cards, survey.displays, survey.devices)
    ] == [2] * 5
    assert [d.name for d in survey.drives] == ["drive 1", "drive 2"] and {c.kind for c in survey.cards} == {
        "other"
    }


def test_back_asks_the_question_before_again_and_enter_keeps() -> None:
    typed = iter(["first name", "back", "second name", "photo", "back", "", "stop"])
    seen: list[tuple[str, str | None]] = []

    def ask(asking: Asking) -> str:
        seen.append((asking.path, asking.present))
        return next(typed)

    interview = Interview({})
    with pytest.raises(Stopped):
        interview.run(ask, quiet)
    assert seen == [
        ("pc.name", None),
        ("brief.use", None),
        ("pc.name", "first name"),
        ("brief.use", None),
        ("brief.budget", None),
        ("brief.use", "photo"),
        ("brief.budget", None),
    ]
    assert interview.answers == {"pc.name": "second name", "brief.use": "photo"}
    assert finished(interview).pc.name == "second name"


def test_back_at_the_first_question_and_a_changed_mind_about_rows() -> None:
    told: list[str] = []
    interview = Interview({}, {"drive": "2", "drive[1].name": "second"})
    typed = iter(["back", "stop"])
    with pytest.raises(Stopped):
        interview.run(lambda asking: next(typed), lambda event: told.append(event.what))
    assert told == ["section", "first"]
    interview.answers["drive"] = "1"
    assert len(finished(interview).drives) == 1 and unused(interview) == ("drive[1].name",)


def interrupted_at(stop: int, path: Path) -> Interview:
    """An interview that is broken off (Ctrl-C) at the n-th question, every answer kept in a file."""
    interview = Interview(
        {}, load_answers(path) if path.exists() else {}, lambda said: save_answers(path, said, "answers")
    )
    count = 0

    def ask(asking: Asking) -> str:
        nonlocal count
        count += 1
        if count > stop:
            raise KeyboardInterrupt
        return PC[asking.path]

    with pytest.raises(KeyboardInterrupt):
        interview.run(ask, quiet)
    return interview


def test_at_every_question_all_answers_so_far_are_in_the_file(tmp_path: Path) -> None:
    """Whatever ends the run while a question waits (Ctrl-C, a closed terminal, a power cut) finds them
    there."""
    path = tmp_path / "a.answers.toml"
    interview = Interview({}, {}, lambda said: save_answers(path, said, "answers"))
    waited = 0

    def ask(asking: Asking) -> str:
        nonlocal waited
        assert (load_answers(path) if waited else {}) == dict(list(PC.items())[:waited])
        waited += 1
        return PC[asking.path]

    interview.run(ask, quiet)
    assert waited == len(PC)


@pytest.mark.parametrize("stop", [1, 16, 40, 90, len(PC) - 1])
def test_an_interrupted_interview_goes_on_to_the_same_survey(tmp_path: Path, stop: int) -> None:
    path = tmp_path / "a.answers.toml"
    interrupted_at(stop, path)
    whole, second = Interview({}), Interview({}, load_answers(path))
    asked: list[str] = []
    whole.run(script(PC), quiet)
    second.run(lambda asking: asked.append(asking.path) or PC[asking.path], quiet)  # type: ignore[func-returns-value]
    assert asked == list(PC)[stop:]
    assert survey_text(second, None, "s").text == survey_text(whole, None, "s").text
    assert [p.name for p in tmp_path.iterdir()] == ["a.answers.toml"]


def test_many_interruptions_in_a_row(tmp_path: Path) -> None:
    path = tmp_path / "a.answers.toml"
    for _ in range(3):
        interrupted_at(20, path)
    assert list(load_answers(path)) == list(PC)[:60]


def test_cautions_come_before_the_first_question_inside() -> None:
    order: list[str] = []
    interview = Interview({})

    def ask(asking: Asking) -> str:
        order.append(asking.question.section)
        return "?"

    interview.run(ask, lambda event: order.append(event.what))
    assert order.count("cautions") == 1 and order.index("cautions") < order.index("inside")
    assert (
        "inside" not in order[: order.index("cautions")] and "outside" not in order[order.index("cautions") :]
    )
    text = words.told(Told("cautions", "inside"))
    for word in (
        "pull the mains plug",
        "wait",
        "Never open the power supply",
        "Static",
        "sharp edges",
        "qualified person",
    ):
        assert word in text


# -- questions as data ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda q: q.path)
def test_question_is_about_a_fact_and_has_words(question) -> None:  # type: ignore[no-untyped-def]
    if question.key:
        assert question.key in described(question.table)
    else:
        assert question.table in ROW_TABLES and question.kind == "rows"
    said = words.question_words(question)
    assert said.text.endswith("?") and said.how and not said.how.endswith(".")
    assert question.kind.partition(" ")[0] in KINDS and question.kind.partition(" ")[0] in words.EXPECTED
    for choice in question.choices:  # every choice can be given by its letter and is a value the survey takes
        read_answer(question, str(choice))
    if question.kind == "choice" and question.table in RECORDS:
        column = columns()[RECORDS[question.table][1]][question.key]
        if column.type.startswith("choice:"):
            assert set(question.choices) <= set(column.type[7:].split("|"))
    if question.when is not None:
        path, values = question.when
        assert path in BY_PATH and all(
            value is None
            or value in BY_PATH[path].choices
            or (isinstance(value, int) and BY_PATH[path].kind in ("yesno", "count"))
            for value in values
        )
    shown = words.prompt(Asking(question, question.path, None, None, 1, 9, None))
    assert max(len(line) for line in shown.splitlines()) <= 80 and shown.isascii()


@pytest.mark.parametrize(
    ("other", "one", "several", "path"),
    [
        ("psu.rail_12v_ma", "14", "8 + 14", "psu.cpu_rail"),
        ("psu.sata_plugs", "1", "4", "psu.sata_leads"),
        ("psu.peripheral_plugs", "1", "3", "psu.peripheral_leads"),
    ],
)
def test_what_tells_several_apart_is_only_asked_of_several(
    other: str, one: str, several: str, path: str
) -> None:
    """One rail, or one plug, leaves nothing to tell apart: rails of a label, leads of plugs."""
    for answer, expected in ((one, False), (several, True), ("?", False)):
        asked: list[str] = []

        def ask(asking: Asking, answer: str = answer, asked: list[str] = asked) -> str:
            asked.append(asking.path)
            return answer if asking.path == other else "?"

        Interview({}).run(ask, quiet)
        assert (path in asked) is expected, answer


def test_the_letters_of_the_choices_answer() -> None:
    interview = Interview({})
    typed = {"case.form_factor": "b", "display": "1", "display[0].inputs": "a, e", "psu.main_plug": "20"}
    interview.run(script(typed), quiet)
    inputs = BY_PATH["display.inputs"].choices
    assert (
        interview.answers["case.form_factor"] == "microatx"
        and interview.answers["display[0].inputs"] == f"{inputs[0]} {inputs[4]}"
    )
    assert interview.answers["psu.main_plug"] == "20"


def test_the_short_interview_asks_ten() -> None:
    """Clock, cores, memory, drive, purpose and budget are among the ten, or known: without them nothing
    can be told of a PC."""
    asked: list[str] = []
    Interview({}, short=True).run(lambda asking: asked.append(asking.path) or "?", quiet)  # type: ignore[func-returns-value]
    assert len(asked) == 10
    figure = {"brief.use", "brief.budget", "cpu.cores", "cpu.base_mhz", "cpu.year"}
    assert figure | {"memory[0].capacity_mib", "memory[0].count", "drive[0].kind"} <= set(asked)
    told = frozenset({"brief.use", "brief.budget"})  # on the command line
    given = parsed(imported(), "s")
    known = [path for path, _ in Interview(given, short=True, without=told).plan()]
    assert len(known) <= 10 and not figure & (set(known) - {"cpu.year"})
    assert {"psu.pinout", "psu.rail_12v_ma", "psu.main_plug", "psu.cpu_plugs", "case.form_factor"} <= set(
        known
    )


def test_enter_takes_what_was_seen() -> None:
    names = ("dmidecode-nx62.txt",)
    text = render(merge([facts for name in names for facts in read_source(dump(name), name)]), names)
    seen = suggestions(text)
    # four slots are listed and two hold modules: asked with a drawing, and Enter says what the firmware says
    assert seen["board.memory_slots"] == "4" and seen["board.firmware_modes"] == "legacy"
    assert "two slots" in DRAWINGS["board.memory_slots"]
    shown: dict[str, str] = {}

    def enter(asking: Asking) -> str:
        shown[asking.path] = prompt(asking)
        return "later" if asking.path == "board.firmware_modes" else ""

    talk = Interview(parsed(text, "s"), seen=evidence(text), suggested=seen)
    talk.run(enter, quiet)
    assert "Enter takes what was seen: 4" in shown["board.memory_slots"]
    assert "boards with fewer list as many" in " ".join(shown["board.memory_slots"].split())
    assert "Enter takes" not in shown["psu.main_plug"]
    # what nothing was seen of, and what was left for later, stays open
    assert set(talk.answers) == set(seen) - {"board.firmware_modes"}
    survey = parse_survey(tomllib.loads(survey_text(talk, text, "s").text), "s")[0]
    assert survey.board.memory_slots == 4 and survey.board.firmware_modes is None


@pytest.mark.parametrize(
    "name", ["dmidecode-nx41.txt", "dmidecode-nx62.txt", "lsblk-text.json", "hwinfo-nx41.txt"]
)
def test_what_was_seen_reads_as_the_value_that_stands_in_the_file(name: str) -> None:
    text = render(merge(read_source(dump(name), name)), [name])
    bare = text.replace("\n#? ", "\n")
    for path, answer in suggestions(text).items():
        table, _, rest = path.partition(".")
        table, _, row = table.partition("[")
        owner = tomllib.loads(bare)[table]
        value = (owner[int(row[:-1])] if row else owner)[rest]
        assert read_answer(BY_PATH[f"{table}.{rest}"], answer) == value


def test_the_drive_of_the_short_interview_is_the_one_the_system_starts_from() -> None:
    answers = {"drive[0].kind": "hdd35", "memory[0].capacity_mib": "2 GB", "memory[0].count": "2"}
    survey = parse_survey(
        {"case": {}, "psu": {}, **merged_answers(Interview({}, answers, short=True)).survey}, "s"
    )[0]
    assert survey.system_drive is not None and survey.system_drive.kind == "hdd35"
    assert [(m.capacity_mib, m.count) for m in survey.memory] == [(2048, 2)]


def test_holes_stand_where_the_drawing_says() -> None:
    """Left to right and rear to front as in the microATX specification 1.2, figure 2 (I/O side right)."""
    rows = [line[2:-1] for line in holes_drawing().splitlines()[2:-2]]
    place = {ch: (y, x) for y, row in enumerate(rows) for x, ch in enumerate(row) if ch != " "}
    assert set(place) == set(HOLES)
    assert [row.replace(" ", "") for row in rows if row.strip()] == ["ABC", "F", "GRSHJ", "KLM"]
    assert place["F"][1] == place["J"][1] == place["M"][1] and place["C"][1] == place["H"][1] == place["L"][1]


# -- units -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "text", "value"),
    [
        # 1 in = 25.4 mm exactly (international yard and pound agreement of 1959); a space is rounded down, a
        # size up
        ("case.max_board_depth_mm", "230", 230),
        ("cooler.height_mm", "30", 30),
        ("cooler.height_mm", "29 mm", 29),  # with its unit, as answers are written
        ("case.max_board_depth_mm", "23 cm", 230),
        ("case.max_board_depth_mm", "9 in", 228),
        ("case.max_board_depth_mm", "23,05cm", 230),
        ("case.max_board_depth_mm", "9 1/2 in", 241),
        ("board.depth_mm", "9 inch", 229),
        ("board.depth_mm", '6.7"', 171),
        ("memory.capacity_mib", "2 GB", 2048),
        ("memory.capacity_mib", "2", 2048),
        ("memory.capacity_mib", "512 MB", 512),
        ("drive.capacity_gb", "1 TB", 1000),
        ("drive.capacity_gb", "500", 500),
        ("drive.capacity_gb", "1.5tb", 1500),
        ("cpu.base_mhz", "3.0 GHz", 3000),
        ("cpu.base_mhz", "2,66", 2660),
        ("cpu.base_mhz", "3000", 3000),
        ("psu.rail_12v_ma", "14", 14000),
        ("psu.rail_12v_ma", "14+15.5 A", [14000, 15500]),
        ("psu.rail_12v_ma", "168 W", 14000),
        ("psu.rail_12v_ma", "14000 mA", 14000),
        ("psu.rail_5v_ma", "100 W", 20000),
        ("psu.rail_3v3_ma", "66 W", 20000),
        ("psu.combined_5v_3v3_mw", "120", 120000),
        ("psu.rated_w", "0.35 kW", 350),
        ("psu.year", "2009", 2009),
        # module names: MB/s = 8 x MT/s, rounded (JEDEC JESD21-C / JESD79 module naming)
        ("memory.rate_mts", "PC3-10600", 1333),
        # PC4 below 10000 and PC5 below 20000 name the rate, with letters of the speed bin (servers' makers
        # print PC4-2133P; common practice)
        ("memory.rate_mts", "PC4-2133P", 2133),
        ("memory.rate_mts", "PC4-2666V", 2666),
        ("memory.rate_mts", "PC4-3200AA", 3200),
        ("memory.rate_mts", "PC4-3200", 3200),
        ("memory.rate_mts", "PC5-6400", 6400),
        ("memory.rate_mts", "PC5-38400", 4800),
        ("board.memory_max_rate_mts", "PC4-2400T", 2400),
        ("memory.rate_mts", "DDR266", 266),
        ("memory.rate_mts", "DDR400", 400),
        ("memory.rate_mts", "DDR2-667", 667),
        ("memory.rate_mts", "DDR2800", 800),
        ("memory.rate_mts", "PC2-3200", 400),
        ("memory.rate_mts", "PC133", 133),  # names of before DDR2 (common practice)
        ("memory.rate_mts", "PC2700", 333),
        ("memory.rate_mts", "DDR-400", 400),
        ("memory.rate_mts", "DDR3-2400", 2400),  # rates that only an overclocking profile has
        ("memory.rate_mts", "DDR4-3600", 3600),
        ("memory.generation", "ddr", "ddr"),
        ("board.memory_generation", "sdr", "sdr"),
        ("memory.rate_mts", "PC2-5300", 667),
        ("memory.rate_mts", "PC4-21300", 2666),
        ("memory.rate_mts", "DDR3-1600", 1600),
        ("memory.rate_mts", "800 MHz", 800),
        ("memory.rate_mts", "12800", 1600),
        ("case.standoffs", "c,f h j", ["C", "F", "H", "J"]),
        ("case.standoffs", "CFHJ", ["C", "F", "H", "J"]),
        ("case.standoffs", "none", "none"),
        ("pc.brand", "y", True),
        ("board.m2_slots", "no", "none"),
        ("board.m2_slots", "yes", None),
        ("board.outputs", "none", "none"),
        ("os.tied_software", "Book keeper, Label maker", ["Book keeper", "Label maker"]),
        ("memory.count", "2", 2),
        ("psu.sata_plugs", "none", 0),
        ("cpu.cores", "dual", 2),
        ("memory.count", "four", 4),
        ("case.form_factor", "Micro-ATX", "microatx"),
        ("board.memory_module", "SODIMM", "so-dimm"),
    ],
)
def test_units(path: str, text: str, value: object) -> None:
    assert read_answer(BY_PATH[path], text) == value


@pytest.mark.parametrize(
    ("path", "text"),
    [
        ("case.max_board_depth_mm", "23 kg"),
        ("cooler.height_mm", "29"),  # mm, or meant in cm?
        ("cooler.height_mm", "15,8"),
        ("case.max_board_depth_mm", "-3"),
        ("case.max_board_depth_mm", "9000"),
        ("case.max_board_depth_mm", "9 1/0 in"),
        ("memory.capacity_mib", "1.3 GB x"),
        ("memory.capacity_mib", "1 TB"),
        ("psu.rated_w", "lots"),
        ("psu.rail_12v_ma", "14 V"),
        ("psu.rail_12v_ma", "14 +"),
        ("memory.rate_mts", "PC3-9999"),
        ("memory.rate_mts", "PC3-1600"),  # no MB/s of DDR3, and 200 MT/s is no rate of it
        ("memory.rate_mts", "PC2-800"),
        ("memory.rate_mts", "DDR3-200"),
        ("memory.rate_mts", "8500"),  # MB/s of a label without its PC2- or PC3-; near a rate of DDR5
        ("memory.rate_mts", "5300"),
        ("memory.rate_mts", "1250"),
        ("case.standoffs", "Q"),
        ("case.standoffs", "C C"),
        ("psu.year", "09"),
        ("psu.cpu_plugs", "5"),
        ("memory.count", "0"),
        ("memory.count", "17"),
        ("drive", "17"),
        ("board.slots", "x3"),
        ("pc.brand", "maybe"),
        ("display.width_px", "20"),
        ("brief.budget", "much"),
        ("board.socket", "two words"),
        ("pc.name", "a\x1b[2J"),
        ("psu.sata_plugs", "\u0663"),
    ],
)
def test_answers_that_cannot_be_meant_are_asked_again(path: str, text: str) -> None:
    with pytest.raises(ValueError):
        read_answer(BY_PATH[path], text)


@pytest.mark.parametrize(
    ("path", "typed", "choice"),
    [
        ("brief.use", "Light games", "games"),
        ("drive.kind", "3.5 inch disk", "hdd35"),
        ("drive.kind", "b", "b"),
        ("psu.pinout", "a maker's own", "own"),
        ("pc.name", "solid-state", "solid-state"),
    ],
)
def test_the_words_behind_a_letter_may_be_typed(path: str, typed: str, choice: str) -> None:
    assert words.choice_of_label(BY_PATH[path], typed) == choice


def test_a_refused_answer_is_asked_again_and_not_kept() -> None:
    typed = iter(["lots", "350"])
    told: list[Told] = []
    interview = Interview({}, {p: "?" for p in BY_PATH if p != "psu.rated_w"})
    interview.run(lambda asking: next(typed), told.append)
    refused = [event for event in told if event.what == "refused"]
    assert len(refused) == 1 and "lots" in words.told(refused[0]) and "350" in words.told(refused[0])
    assert interview.answers["psu.rated_w"] == "350"


# -- the answers file and a survey that is there --------------------------------------------------------------------------


def test_answers_file_as_lines_or_tables(tmp_path: Path) -> None:
    lines, tables = tmp_path / "lines.toml", tmp_path / "tables.toml"
    save_answers(lines, PC, "heading")
    assert load_answers(lines) == PC and lines.read_text().startswith("# heading\n")
    tables.write_text(
        '[psu]\nrated_w = 350\nmain_plug = "unknown"\n[[memory]]\ncount = 2\necc = false\n[case]\nstandoffs ='
        ' ["C", "F"]\n'
    )
    assert load_answers(tables) == {
        "psu.rated_w": "350",
        "psu.main_plug": "?",
        "memory[0].count": "2",
        "memory[0].ecc": "no",
        "case.standoffs": "C F",
    }
    interview = Interview({}, load_answers(tables))
    assert [m.count for m in finished(interview).memory] == [2]  # the number of rows need not be said


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('psu.main_plug = "24"\npsu.rated_v = 3', "psu.rated_v"),
        ('"psu.main_plug" = "26"', "24, 20, own"),
        ("[[psu]]\nx = 1", "no such question"),
        ('"drive.kind" = "ssd"', "no such question"),
        ('"drive[0].kind" = "disk"', "ssd"),
        ("x = ", "not valid TOML"),
        # One of the two won without a word.
        (
            '"psu.rated_w" = "350 W"\n[psu]\nrated_w = "450 W"',
            "psu.rated_w: has two answers (found '350 W, 450 W')",
        ),
        ('"drive[0].kind" = "ssd"\n[[drive]]\nkind = "hdd35"', "drive[0].kind: has two answers"),
    ],
)
def test_answers_file_that_cannot_be_used(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "a.toml"
    path.write_text(text)
    with pytest.raises(InputRefused, match=re.escape(said)):
        load_answers(path)


def imported() -> str:
    names = ("dmidecode-nx41.txt", "lsblk-text.json", "smartctl-sda.json", "lscpu-comma.txt")
    return render(merge([facts for name in names for facts in read_source(dump(name), name)]), names)


def test_only_open_facts_of_a_survey_are_asked() -> None:
    given = parsed(imported(), "s")
    paths = [path for path, _ in Interview(given).plan()]
    assert (
        "board.name" not in paths
        and "cpu.cores" not in paths
        and "memory" not in paths
        and "drive" not in paths
    )
    assert {
        "psu.main_plug",
        "drive[0].storage_mode",
        "drive[1].interface",
        "case.form_factor",
        "device",
    } <= set(paths)
    assert "drive[1].system" not in paths  # the system drive is known
    seen = evidence(imported())
    assert seen["psu.rated_w"][0] == "supply record 'Standard 235' says 125 W (dmidecode-nx41.txt:180)"
    assert (
        seen["drive[1].interface"] == ("transport sata (lsblk-text.json $.blockdevices[3])",)
        and "psu.main_plug" not in seen
    )


def test_answers_fill_an_imported_survey_and_the_next_import_keeps_them(tmp_path: Path) -> None:
    text = imported()
    interview = Interview(parsed(text, "s"))
    interview.run(
        script(
            {
                **PC,
                "board.sata_3g_ports": "2",
                "memory[1].registered": "no",
                "card": "1",
                "card[0].kind": "tv",
            }
        ),
        quiet,
    )
    done = survey_text(interview, text, "s")
    assert done.clashes == ()
    survey, _ = parse_survey(tomllib.loads(done.text), "s")
    assert (survey.board.name, survey.psu.rated_w, survey.board.sata_3g_ports) == ("NX-41", 350, 2)
    assert [(m.capacity_mib, m.registered) for m in survey.memory] == [(1024, False), (512, False)]
    assert (
        "rated_w = 350  # answered in the interview\n" in done.text
        and '\nname = "NX-41"  # from dmidecode-nx41.txt:' in done.text
    )
    # a later import that says something else leaves what the person said
    louder = dump("dmidecode-nx41.txt") + b"\n"
    other = merge(read_source(louder.replace(b"NX41A07", b"NX41A12"), "later.txt"))
    after = update(done.text, other, "s")
    assert (
        'firmware_shipped = "NX41A12"' in after.text
        and "rated_w = 350  # answered in the interview\n" in after.text
    )
    changed = after.text.replace("memory_slots = 4  # from", "memory_slots = 2  # I counted; from")
    assert [clash.path for clash in update(changed, other, "s").clashes] == ["board.memory_slots"]


def test_comments_and_layout_of_a_handmade_survey_stay(tmp_path: Path) -> None:
    text = (
        '# mine\n[case]\nform_factor = "atx"  # measured\n[psu]\nrated_w = "unknown"   # label worn'
        " off\n[[memory]]\n# two green ones\nrate_mts = 800\n"
    )
    interview = Interview(parsed(text, "s"))
    interview.run(script({**PC, "memory[0].capacity_mib": "2 GB"}), quiet)
    path = tmp_path / "s.toml"
    path.write_text(survey_text(interview, text, "s").text)
    survey, brief = load_survey(path)
    written = path.read_text()
    assert (
        "# mine" in written
        and 'form_factor = "atx"  # measured' in written
        and "# two green ones\n" in written
    )
    assert (survey.psu.rated_w, survey.memory[0].capacity_mib, survey.memory[0].rate_mts, brief.budget) == (
        350,
        2048,
        800,
        "250",
    )


def test_questions_are_asked_by_what_has_to_be_at_hand() -> None:
    sections = [question.section for question in QUESTIONS]
    assert sections == sorted(sections, key=["wishes", "running", "outside", "inside"].index)
