"""`survey import` and `survey new` as commands: exit codes, what is written, clashes, and the whole way to a
plan."""

from __future__ import annotations

import io
import json
import re
import signal
from collections.abc import Callable
from pathlib import Path

import pytest
from survey.survey_data import (
    CARD_62,
    DATA,
    DUMPS,
    MAKERS_41,
    REAL_PC,
    TOWER_41,
    TOWER_62,
    WORN_62,
    raw_table,
)

from partsolver.cli import run
from partsolver.report.words.interview_questions import WORDS
from partsolver.survey.collect import Closed, Collected
from partsolver.survey.interview.build import parsed
from partsolver.survey.interview.questions import BY_PATH
from partsolver.survey.interview.session import Interview
from partsolver.survey.load import load_survey

NX41 = tuple(
    str(DATA / name)
    for name in ("dmidecode-nx41.txt", "lsblk-text.json", "smartctl-sda.json", "lscpu-comma.txt")
)
NX62 = tuple(str(DATA / name) for name in ("dmidecode-nx62.txt", "lscpu-sections.json", "smartctl-sda.json"))

# What a person finds who looks at the invented PC: label and plugs of its supply, its case, its firmware's
# setup.
SEEN = {
    "psu.pinout": "atx",
    "psu.main_plug": "24",
    "psu.cpu_plugs": "4",
    "psu.rated_w": "350",
    "psu.rail_12v_ma": "14 + 15",
    "psu.rail_5v_ma": "21",
    "psu.rail_3v3_ma": "22",
    "psu.year": "2011",
    "psu.condition": "good",
    "psu.sata_plugs": "4",
    "psu.peripheral_plugs": "3",
    "psu.card_plugs": "6",
    "psu.cpu_lead_mm": "450",
    "case.form_factor": "microatx",
    "case.max_board_width_mm": "250",
    "case.max_board_depth_mm": "245",
    "case.aperture": "atx",
    "case.slot_openings": "4",
    "case.slot_height": "full",
    "case.max_cooler_height_mm": "150",
    "case.standoffs": "B C F H J R",
    "case.standoffs_fixed": "none",
    "case.front_usb3_plugs": "0",
    "case.front_audio": "hd",
    "case.front_panel": "separate",
    "cpu.year": "2008",
    "os.licence": "none-needed",
    "board.sata_6g_ports": "0",
    "cooler.height_mm": "60",
    "cooler.rated_w": "65",
}


class Terminal(io.StringIO):
    """Standard input that says it is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def at(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    return tmp_path


def answers_file(path: Path, answers: dict[str, str]) -> str:
    path.write_text("".join(f'"{key}" = "{text}"\n' for key, text in answers.items()))
    return str(path)


def plan_of(capsys: pytest.CaptureFixture[str], survey: str, *options: str) -> tuple[int, dict]:  # type: ignore[type-arg]
    capsys.readouterr()
    code = run(
        [
            "recommend",
            survey,
            "--demo",
            "--alternatives",
            "5",
            "--budget",
            "250",
            "--format",
            "json",
            *options,
        ]
    )
    return code, json.loads(capsys.readouterr().out)


# -- import ------------------------------------------------------------------------------------------------------------


def test_one_command_from_dumps_to_a_survey_that_recommend_answers(
    at: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["survey", "import", *NX41, "--out", "pc.toml"]) == 0
    told = capsys.readouterr()
    assert told.out == "" and "read dmidecode-nx41.txt (dmidecode): 16 facts" in told.err
    assert "survey new --from pc.toml --short" in told.err and "survey questions pc.toml" in told.err
    survey, brief = load_survey(at / "pc.toml")
    assert survey.board.name == "NX-41" and brief.budget is None
    code, document = plan_of(capsys, "pc.toml")
    # Nothing of supply and case is known: nothing may be connected that draws more than today (more memory
    # draws hardly more), board and processor stay, and the questions are named.
    parts = document["plans"][0]["parts"]
    assert code == 0 and (parts["board"], parts["cpu"]) == ("kept-board", "kept-cpu")
    assert document["plans"][0]["open_questions"]
    assert run(["check", "pc.toml", "--demo", "stile-t2-26", "br-k10m"]) in (0, 1, 2)


def test_the_examples_of_the_brief_work_when_uncommented(at: Path) -> None:
    assert run(["survey", "import", *NX41]) == 0
    path = at / "survey.toml"
    head, _, wishes = path.read_text().partition("[brief]")
    path.write_text(head + "[brief]" + wishes.replace("\n#? ", "\n"))
    _, brief = load_survey(path)
    assert (brief.budget, brief.min_memory_gb, brief.replace) == ("150.00", 8, ("psu",))


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([], "no file given"),
        (["nowhere.txt"], "nowhere.txt: no such file"),
        (["."], "is a folder, not a file"),
        ([str(DATA / "README.md"), NX41[0]], "README.md: the content is of no kind that can be read"),
        ([NX41[0], "--out", "no/such/folder/s.toml"], "cannot be written"),
        ([NX41[0], "--take", "board.nam"], "no clash of this fact"),
        ([NX41[0], "--out", "mine.txt"], "not valid TOML"),
    ],
)
def test_what_cannot_be_used_is_refused_and_nothing_is_written(
    at: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], said: str
) -> None:
    (at / "mine.txt").write_text("my notes")
    assert run(["survey", "import", *arguments]) == 2
    assert said in capsys.readouterr().err
    assert (
        sorted(p.name for p in at.iterdir()) == ["mine.txt"] and (at / "mine.txt").read_text() == "my notes"
    )


def test_names_of_folders_stay_out(at: Path) -> None:
    folder = at / "home-of-anna"
    folder.mkdir()
    for name in ("a", "b"):
        (folder / name).mkdir()
        (folder / name / "dump.txt").write_bytes(Path(NX41[0]).read_bytes())
    assert run(["survey", "import", str(folder / "a/dump.txt"), str(folder / "b/dump.txt")]) == 0
    text = (at / "survey.toml").read_text()
    assert "anna" not in text and "dump.txt no. 2" in text


def test_this_pc_tells_what_stayed_closed(
    at: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    closed = Closed(
        "memory modules and slots", "the table is open to root only", "run the import again with sudo"
    )
    monkeypatch.setattr(
        "partsolver.survey.collect.this_pc", lambda: Collected((("table", raw_table()),), (closed,))
    )
    assert run(["survey", "import", "--this-pc"]) == 0
    assert (
        "not read: memory modules and slots: the table is open to root only; run the import again with sudo"
        in capsys.readouterr().err
    )
    assert load_survey(at / "survey.toml")[0].board.name == "NX-83"


EDITS = (
    ("memory_slots = 4  # from", "memory_slots = 2  # counted, not from"),
    ('#? rated_w = "unknown"\n', "rated_w = 300  # read off the label\n"),
)


def edited(at: Path) -> Path:
    run(["survey", "import", *NX41])
    path = at / "survey.toml"
    text = path.read_text()
    for old, new in EDITS:
        assert old in text
        text = text.replace(old, new, 1)
    path.write_text(text + "\n# my last line\n")
    return path


def test_a_second_import_keeps_what_a_person_wrote_and_says_so(
    at: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = edited(at)
    before = path.read_text()
    capsys.readouterr()
    assert run(["survey", "import", *NX41]) == 0
    said = capsys.readouterr().err
    assert (
        "board.memory_slots: 2 (survey.toml); 4 (dmidecode-nx41.txt:97)" in said
        and "--take 'board.memory_slots'" not in said
    )
    assert (
        "your value stays" in said and "--take board.memory_slots" in said and "1 value of yours kept" in said
    )
    assert path.read_text() == before
    assert run(["survey", "import", *NX41, "--take", "board.memory_slots"]) == 0
    after = path.read_text()
    assert (
        "memory_slots = 4  # from" in after
        and "rated_w = 300  # read off the label" in after
        and after.endswith("# my last line\n")
    )


@pytest.mark.parametrize(
    ("typed", "slots", "code"), [("mine\n", 2, 0), ("what\nnew\n", 4, 0), ("stop\n", 2, 0), ("", 2, 0)]
)
def test_on_a_terminal_a_clash_is_asked(
    at: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    typed: str,
    slots: int,
    code: int,
) -> None:
    path = edited(at)
    before = path.read_text()
    monkeypatch.setattr("sys.stdin", Terminal(typed))
    assert run(["survey", "import", *NX41]) == code
    said = capsys.readouterr().err
    assert "Which is right?" in said
    assert load_survey(path)[0].board.memory_slots == slots
    if typed in ("stop\n", ""):
        assert path.read_text() == before and "nothing was written" in said
    monkeypatch.setattr("sys.stdin", Terminal(typed))
    assert run(["survey", "import", *NX41, "--keep-mine"]) == 0
    assert "Which is right?" not in capsys.readouterr().err


def test_files_of_another_pc_are_not_mixed_in(
    at: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    run(["survey", "import", *NX41])
    path = at / "survey.toml"
    before = path.read_text()
    capsys.readouterr()
    assert run(["survey", "import", *NX62]) == 2
    said = capsys.readouterr().err
    assert "NX-41" in said and "NX-62" in said and "another PC" in said and path.read_text() == before
    monkeypatch.setattr("sys.stdin", Terminal("stop\n"))
    assert run(["survey", "import", *NX62]) == 0 and path.read_text() == before
    assert run(["survey", "import", *NX62, "--keep-mine"]) == 0
    assert load_survey(path)[0].board.name == "NX-41"
    assert run(["survey", "import", NX41[0], NX62[0], "--out", "two.toml"]) == 0
    assert (
        "the files disagree" in capsys.readouterr().err
        and load_survey(at / "two.toml")[0].board.name == "present board"
    )


# -- new ---------------------------------------------------------------------------------------------------------------


def test_new_from_an_answers_file(at: Path, capsys: pytest.CaptureFixture[str]) -> None:
    given = answers_file(
        at / "a.toml",
        {
            **SEEN,
            "display[0].inputs": "vga",
            "drive[0].kind": "ssd",
            "drive[0].system": "yes",
            "pc.maker_model": "x",
        },
    )
    assert run(["survey", "new", "--answers", given, "--out", "pc.toml"]) == 0
    said = capsys.readouterr().err
    assert (
        "pc.toml written with" in said
        and "not used" in said
        and "pc.maker_model" in said
        and "partsolver recommend pc.toml" in said
    )
    survey, _ = load_survey(at / "pc.toml")
    assert (
        survey.psu.rail_12v_ma == (14000, 15000)
        and survey.displays[0].inputs == ("vga",)
        and survey.system_drive is not None
    )
    assert (at / "a.toml").exists() and not (at / "pc.answers.toml").exists()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('"psu.main_plug" = "26"', "24, 20, own"),
        ('"psu.main_plag" = "24"', "psu.main_plug"),
        ("=", "not valid TOML"),
    ],
)
def test_new_refuses_answers_it_cannot_read(
    at: Path, capsys: pytest.CaptureFixture[str], text: str, said: str
) -> None:
    (at / "a.toml").write_text(text)
    assert run(["survey", "new", "--answers", "a.toml"]) == 2
    assert said in capsys.readouterr().err and [p.name for p in at.iterdir()] == ["a.toml"]


class Hands:
    """Standard input of a person who presses Ctrl-C at the n-th question."""

    def __init__(self, lines: list[str], then: Callable[[], str]) -> None:
        self.lines, self.then = lines, then

    def readline(self) -> str:
        return self.lines.pop(0) + "\n" if self.lines else self.then()


def interrupt() -> str:
    raise KeyboardInterrupt


def interrupt_key() -> str:
    """The same where the program may have solved something: the solver must not have taken the key for
    itself."""
    status = Path("/proc/self/status")
    if status.exists() and signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        caught = re.search(r"SigCgt:\s*([0-9a-f]+)", status.read_text())
        assert caught is not None and int(caught[1], 16) & 1 << (signal.SIGINT - 1)
    raise KeyboardInterrupt


@pytest.mark.parametrize(("then", "code"), [(interrupt, 130), (lambda: "", 130), (lambda: "stop\n", 0)])
def test_leaving_keeps_the_answers_and_the_next_run_goes_on(
    at: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    then: Callable[[], str],
    code: int,
) -> None:
    monkeypatch.setattr("sys.stdin", Hands([], then))
    assert run(["survey", "new"]) == code and list(at.iterdir()) == []
    monkeypatch.setattr("sys.stdin", Hands(["school PC", "b", "200"], then))
    capsys.readouterr()
    assert run(["survey", "new"]) == code
    said = capsys.readouterr().err
    assert (
        "3 answers are kept in survey.answers.toml; go on with: partsolver survey new --out survey.toml"
        in said
    )
    assert not (at / "survey.toml").exists()
    monkeypatch.setattr("sys.stdin", Hands([], lambda: "?\n"))
    assert run(["survey", "new", "--out", "survey.toml"]) == 0
    assert "3 answers of an earlier run are kept" in capsys.readouterr().err
    survey, brief = load_survey(at / "survey.toml")
    assert (survey.pc.name, brief.use, brief.budget) == ("school PC", "photo", "200") and not (
        at / "survey.answers.toml"
    ).exists()


def test_an_existing_survey_is_never_written_over(
    at: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = edited(at)
    before = path.read_text()
    assert (
        run(
            [
                "survey",
                "new",
                "--from",
                "survey.toml",
                "--out",
                "a.toml",
                "--answers",
                answers_file(at / "x.toml", {"psu.rated_w": "500"}),
            ]
        )
        == 0
    )
    assert (
        "psu.rated_w" in capsys.readouterr().err and load_survey(at / "a.toml")[0].psu.rated_w == 300
    )  # known there: not used
    assert run(["survey", "new", "--from", "survey.toml", "--out", "a.toml", "--answers", "x.toml"]) == 2
    monkeypatch.setattr("sys.stdin", Hands([], lambda: "?\n"))
    assert (
        run(["survey", "new"]) == 0
    )  # the file is there: only what is open is asked, and nothing was answered
    assert path.read_text() == before


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--first", "3"], "there is no survey yet"),
        (["--first", "3", "--short", "--from", "pc.toml"], "does not go with --first"),
    ],
)
def test_questions_by_worth_need_a_survey(
    at: Path, capsys: pytest.CaptureFixture[str], options: list[str], said: str
) -> None:
    assert run(["survey", "import", *NX41, "--out", "pc.toml"]) == 0
    assert run(["survey", "new", *options]) == 2 and said in capsys.readouterr().err


def test_a_talk_of_few_questions_that_is_left_goes_on_with_the_rest(
    at: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run(["survey", "import", *NX41, "--out", "my pc.toml"]) == 0
    command = [
        "survey",
        "new",
        "--from",
        "my pc.toml",
        "--first",
        "2",
        "--demo",
        "--budget",
        "250",
        "--without",
        "stile-l2s-37",
    ]
    before = (at / "my pc.toml").read_text()
    monkeypatch.setattr("sys.stdin", Hands(["atx"], interrupt_key))
    assert run(command) == 130 and (at / "my pc.toml").read_text() == before
    said = capsys.readouterr().err
    assert (
        "go on with: partsolver survey new --from 'my pc.toml' --first 2 --demo --budget 250 --without stile-l2s-37\n"
        in said
    )
    hands = Hands(["a"], lambda: pytest.fail("a third question"))
    monkeypatch.setattr("sys.stdin", hands)
    assert run(command) == 0 and hands.lines == []
    said = capsys.readouterr().err
    assert (
        "[2 of at most 2]" in said
        and "next: partsolver recommend 'my pc.toml' --demo --budget 250 --without stile-l2s-37\n" in said
    )


def test_facts_that_clash_are_told_at_once_with_where_they_come_from(
    at: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["survey", "import", *NX41, "--out", "pc.toml"]) == 0
    given = answers_file(
        at / "a.toml",
        {"psu.rated_w": "500", "psu.rail_12v_ma": "14", "psu.rail_5v_ma": "20", "psu.rail_3v3_ma": "20"},
    )
    text = (at / "pc.toml").read_text()
    (at / "pc.toml").write_text(text.replace("rate_mts = 667  #", "rate_mts = 1600  #", 1))
    capsys.readouterr()
    assert run(["survey", "new", "--from", "pc.toml", "--answers", given]) == 0
    assert "look again: the supply's label does not add up" in capsys.readouterr().err
    assert run(["survey", "check", "pc.toml"]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "2 pairs of facts do not go together" in said
    assert (
        "memory 1.rate_mts is 1600 (written by hand), but memory 1.generation is ddr2 (from"
        " dmidecode-nx41.txt:97)" in said
    )
    # 14 A x 12 V + 20 A x 5 V + 20 A x 3.3 V = 334 W
    assert (
        "psu.rated_w is 500 (answered in the interview), but psu.rail_12v_ma is 14000, with 5 V and 3.3 V 334"
        " W in all (answered in the interview)" in said
    )
    assert run(["survey", "check", "pc.toml", "--format", "json"]) == 1
    first = json.loads(capsys.readouterr().out)["clashes"][0]
    assert [first[side]["origin"] for side in ("first", "second")] == [
        "written by hand",
        "from dmidecode-nx41.txt:97",
    ]


# -- the whole way -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("dumps", "generation"), [(NX41, "ddr2"), (NX62, "ddr3")])
def test_a_survey_in_one_command_and_a_recommendation_after_ten_short_questions(
    at: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    dumps: tuple[str, ...],
    generation: str,
) -> None:
    """Ten answers from the terminal lead to the plan that all answers lead to."""
    assert run(["survey", "import", *dumps, "--out", "pc.toml"]) == 0
    assert load_survey(at / "pc.toml")[0].board.memory_generation == generation
    told = ["--budget", "250", "--use", "office"]
    given = parsed((at / "pc.toml").read_text(), "pc.toml")
    wishes = frozenset({"brief.budget", "brief.use"})
    rest = [path for path, _ in Interview(given, short=True, without=wishes).plan()]
    assert 0 < len(rest) <= 10 and not wishes & set(rest)
    # the only disk is the one that the system starts from
    drive = {"drive[0].kind": "hdd35", "drive[0].system": "yes"} if "drive[0].kind" in rest else {}
    facts = {**drive, **SEEN}
    full = answers_file(at / "all.toml", facts)
    assert run(["survey", "new", "--from", "pc.toml", "--answers", full, "--out", "full.toml"]) == 0
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{facts[path]}\n" for path in rest)))
    assert run(["survey", "new", "--from", "pc.toml", "--short", *told]) == 0
    assert "BEFORE THE CASE IS OPENED" in capsys.readouterr().err
    code, document = plan_of(capsys, "pc.toml")
    _, known = plan_of(capsys, "full.toml")
    assert code == 0 and document["outcome"] == "optimal"
    first, best = document["plans"][0], known["plans"][0]
    assert (
        first["parts"] == best["parts"]
        and first["parts"]["board"] != "kept-board"
        and float(first["speedup"]["low"]) > 1
    )


def test_ten_answers_about_a_pc_that_printed_nothing_end_in_a_figure(
    at: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before, clock and cores were not among them and the speed-up was not known."""
    facts = {
        **SEEN,
        **{"brief.use": "office", "brief.budget": "250", "cpu.cores": "2", "cpu.base_mhz": "2.5 GHz"},
        **{"memory[0].capacity_mib": "1 GB", "memory[0].count": "2", "drive[0].kind": "hdd35"},
    }
    order = [path for path, _ in Interview({}, short=True).plan()]
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{facts[path]}\n" for path in order)))
    assert len(order) == 10 and run(["survey", "new", "--short", "--out", "pc.toml"]) == 0
    code, document = plan_of(capsys, "pc.toml")
    assert code == 0 and document["plans"]
    for plan in document["plans"]:
        low, expected, high = (float(plan["speedup"][key]) for key in ("low", "expected", "high"))
        assert 0 < low <= expected <= high


class Person:
    """Standard input of somebody who knows one PC and reads what is printed: every question is answered by
    its words."""

    def __init__(self, capsys: pytest.CaptureFixture[str], facts: dict[str, str]) -> None:
        self.capsys, self.facts = capsys, facts
        self.shown = ""
        self.asked: dict[str, str] = {}

    def readline(self) -> str:
        self.shown += self.capsys.readouterr().err
        head = re.search(
            r"^\[(\d+) of at most 10(?:, (\w+) (\d+)[^\]]*)?\]\n((?:(?!^\[\d).)*)\Z", self.shown, re.S | re.M
        )
        assert head is not None and int(head[1]) == len(self.asked) + 1, self.shown[-2000:]
        text = " ".join(head[4].split())
        (general,) = [
            path
            for path, words in WORDS.items()
            if text.startswith(f"{words.text} How: ") and head[2] in (None, path.partition(".")[0])
        ]
        path = general if head[2] is None else f"{head[2]}[{int(head[3]) - 1}].{general.partition('.')[2]}"
        assert BY_PATH[general].section != "inside" or "BEFORE THE CASE IS OPENED" in self.shown
        self.asked[path] = self.facts[path]
        return self.facts[path] + "\n"


REAL = ("dmidecode/dmi015.txt", "dmidecode/dmi009.txt", "lshw/lsh001.json", "bundles/bun001.json")
PERSONS = [
    pytest.param(NX41, TOWER_41, True, id="tower-ddr2"),
    pytest.param(NX62, TOWER_62, True, id="tower-ddr3"),
    pytest.param(NX62, CARD_62, False, id="graphics-card-ddr3", marks=pytest.mark.full),
    pytest.param(NX41, MAKERS_41, False, id="makers-own-ddr2", marks=pytest.mark.full),
    pytest.param(NX62, WORN_62, False, id="worn-label-ddr3", marks=pytest.mark.full),
    *(
        pytest.param(
            (str(DUMPS / name),), REAL_PC, False, id=name, marks=[] if name == REAL[0] else pytest.mark.full
        )
        for name in REAL
    ),
]


@pytest.mark.parametrize(("dumps", "truth", "new_board"), PERSONS)
def test_at_most_ten_of_the_most_valuable_questions_lead_to_a_plan_that_stands(
    at: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    dumps: tuple[str, ...],
    truth: dict[str, str],
    new_board: bool,
) -> None:
    """Import, answer what the program asks first (ten questions at most, as far as a person can know),
    recommend: a proved plan with a speed-up, which stands on everything that is true of the PC."""
    if not all(Path(name).exists() for name in dumps):
        pytest.skip("no real dumps here")
    assert run(["survey", "import", *dumps, "--out", "pc.toml"]) == 0
    fresh = (at / "pc.toml").read_text()
    (at / "full.toml").write_text(fresh)
    person = Person(capsys, truth)
    capsys.readouterr()
    monkeypatch.setattr("sys.stdin", person)
    assert run(["survey", "new", "--from", "pc.toml", "--first", "10", "--demo", "--budget", "250"]) == 0
    assert 1 <= len(person.asked) <= 10
    known = Interview(parsed(fresh, "pc.toml"))
    assert [path for path in person.asked if known.given_value(path) is not None] == []  # the files had told
    assert "partsolver recommend pc.toml --demo --budget 250" in capsys.readouterr().err
    code, document = plan_of(capsys, "pc.toml")
    first = document["plans"][0]
    assert code == 0 and document["outcome"] == "optimal" and first["speedup"] is not None
    assert not new_board or (first["parts"]["board"] != "kept-board" and float(first["speedup"]["low"]) > 1)

    assert (
        run(["survey", "new", "--from", "full.toml", "--answers", answers_file(at / "all.toml", truth)]) == 0
    )
    parts = first["parts"]
    ids = [
        parts[slot] for slot in ("board_variant", "cpu", "graphics") if not parts[slot].startswith("kept-")
    ]
    ids += [f"{kit['id']}*{kit['count']}" if kit["count"] else kit["id"] for kit in parts["memory"]]
    capsys.readouterr()
    assert run(["check", "full.toml", *ids, "--demo", "--budget", "250", "--format", "json"]) == 0
    assert all(finding["verdict"] != "fails" for finding in json.loads(capsys.readouterr().out)["findings"])
