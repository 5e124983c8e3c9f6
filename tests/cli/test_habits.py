"""Habits of the command line: settings and where they come from, standard input and output, quiet and
verbose, refusals as documents, words by meaning, languages, completion, progress."""

from __future__ import annotations

import io
import json
import os
import pty
import re
import select
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import load_catalog
from partsolver.cli import run
from partsolver.report.measure import measurement_json
from partsolver.report.page import Page, use_page
from tests.measure.samples import sample

SURVEY = data_folder() / "demo-survey.toml"
Ask = Callable[..., tuple[int, str, str]]


@pytest.fixture(autouse=True)
def alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A folder, a user's configuration folder and an environment of the test's own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    for name in list(os.environ):
        if name.startswith("PARTSOLVER_") and name != "PARTSOLVER_FULL":
            monkeypatch.delenv(name)
    yield
    use_page(Page())


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str]) -> Ask:
    def call(*arguments: str) -> tuple[int, str, str]:
        capsys.readouterr()
        code = run(list(arguments))
        printed = capsys.readouterr()
        return code, printed.out, printed.err

    return call


def typed(monkeypatch: pytest.MonkeyPatch, data: bytes) -> None:
    """Standard input with these bytes."""
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data), encoding="utf-8"))


# -- settings ----------------------------------------------------------------------------------------------------------


def values(printed: str) -> dict[str, tuple[str | None, str]]:
    return {row["name"]: (row["value"], row["origin"]) for row in json.loads(printed)["settings"]}


def test_each_setting_comes_from_the_first_place_that_has_it(
    ask: Ask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert values(ask("settings", "--format", "json")[1])["currency"] == ("EUR", "built in")
    users = tmp_path / "config" / "partsolver" / "partsolver.toml"
    users.parent.mkdir(parents=True)
    users.write_text('currency = "gbp"\nuse = "photo"\nlanguage = "de"\n')
    found = values(ask("settings", "--format", "json")[1])
    assert found["currency"] == ("GBP", str(users)) and found["use"] == ("photo", str(users))
    here = tmp_path / "partsolver.toml"
    here.write_text('use = "video"\n')
    below = tmp_path / "a" / "b"
    below.mkdir(parents=True)
    monkeypatch.chdir(below)
    found = values(ask("settings", "--format", "json")[1])
    assert found["use"] == ("video", str(here)) and found["currency"] == ("GBP", str(users))
    monkeypatch.setenv("PARTSOLVER_USE", "server")
    assert values(ask("settings", "--format", "json")[1])["use"] == ("server", "environment, PARTSOLVER_USE")
    text = ask("settings")[1]
    assert f"currency = GBP ({users})" in " ".join(text.split())


def test_settings_are_used(ask: Ask, tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    assert ask("catalog", "new", str(folder))[0] == 0
    assert 'currency = "EUR"' in (folder / "catalog.toml").read_text()
    (tmp_path / "partsolver.toml").write_text(
        f'catalog = "{data_folder() / "demo"}"\nuse = "photo"\ncurrency = "CHF"\nlanguage = "de"\n'
    )
    assert ask("catalog", "new", str(tmp_path / "second"))[0] == 0
    assert 'currency = "CHF"' in (tmp_path / "second" / "catalog.toml").read_text()
    own = tmp_path / "pc.toml"
    own.write_text(
        re.sub(r'^use = "office"\n', "", SURVEY.read_text(encoding="utf-8"), flags=re.M), encoding="utf-8"
    )
    code, out, _ = ask("recommend", "pc.toml")
    assert code == 0 and "photo work, at most 230,00 EUR" in out
    # What the survey or an option says comes first.
    assert "video editing" in ask("recommend", "pc.toml", "--use", "video")[1]
    own.write_text(SURVEY.read_text(encoding="utf-8"), encoding="utf-8")
    assert "writing and web" in ask("recommend", "pc.toml")[1]


def test_a_relative_folder_is_meant_from_the_file_that_names_it(
    ask: Ask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "stock").symlink_to(data_folder() / "demo")
    (tmp_path / "partsolver.toml").write_text('catalog = "stock"\n')
    (tmp_path / "below").mkdir()
    monkeypatch.chdir(tmp_path / "below")
    assert ask("recommend", str(SURVEY))[0] == 0


def test_tax_of_the_settings_counts_where_a_list_does_not_say_it(ask: Ask, tmp_path: Path) -> None:
    board = "Tollmere B550M-99 Micro ATX AM4 DDR4 Motherboard"
    Path("north.csv").write_text(f"Name;Price\n{board};100,00\n", encoding="utf-8")
    Path("south.csv").write_text(f"Name;Price gross\n{board};100,00\n", encoding="utf-8")
    assert ask("catalog", "add", "north.csv")[0] == 2
    Path("partsolver.toml").write_text(
        'tax = "net"\ntax_rate = "8,1 %"\ncurrency = "CHF"\n', encoding="utf-8"
    )
    assert ask("catalog", "add", "north.csv", "south.csv")[0] == 0
    catalog = load_catalog("parts")
    assert catalog.info.currency == "CHF"
    assert sorted((o.seller, o.price) for o in catalog.tables["offers"]) == [
        ("north", 10810),
        ("south", 10000),
    ]
    assert ask("catalog", "add", "north.csv", "--into", "other", "--currency", "FRANCS")[0] == 2


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ('curency = "EUR"', "Did you mean 'currency'?"),
        ("use = 5", "text in quotes"),
        ('use = "gaming"', "Did you mean 'games'?"),
        ('language = "xx_nowhere"', "no such language"),
        ('currency = "Euro"', "ISO 4217"),
        ('tax = "vat"', "net, gross or final"),
        ('tax_rate = "much"', "a percentage"),
        ("use = ", "not valid TOML"),
    ],
)
def test_settings_that_cannot_be_used_are_refused(ask: Ask, tmp_path: Path, content: str, said: str) -> None:
    (tmp_path / "partsolver.toml").write_text(content + "\n")
    code, out, err = ask("settings")
    assert code == 2 and out == "" and said in err and "partsolver.toml" in err


@pytest.mark.parametrize(
    "command",
    [
        "recommend --demo --show 1",
        "check --demo to-t10m weald-v8s-46 ddr4-2x4-3200",
        "replan plan.json --gone transom-l6s-44",
        "compare before.json after.json --plan plan.json",
        "measure --from before.json",
        "tradeoff --demo --resolution 20",
        "sheet plan.json --format text",
        "catalog check DEMO",
        "catalog show weald-v8s-46",
    ],
)
def test_without_drawings_nothing_stands_in_columns(ask: Ask, command: str) -> None:
    """Where a screen reader reads line by line, a line says what its figures are: no gaps of columns in
    it."""
    assert ask("recommend", "--demo", "--out", "plan.json")[0] == 0
    Path("before.json").write_text(measurement_json(sample()), encoding="utf-8")
    Path("after.json").write_text(measurement_json(sample(serial=2000.0)), encoding="utf-8")
    assert ask("catalog", "add", str(data_folder() / "demo"))[0] == 0
    words = command.replace("DEMO", str(data_folder() / "demo")).split()
    code, out, _ = ask("--no-drawings", *words)
    assert code in (0, 1) and out.strip()
    assert [line for line in out.splitlines() if re.search(r"\S {3,}\S", line)] == []


# -- standard input and output -----------------------------------------------------------------------------------------


def test_a_survey_and_a_plan_from_standard_input(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    usual = ask("recommend", str(SURVEY), "--demo")[1]
    typed(monkeypatch, SURVEY.read_bytes())
    assert ask("recommend", "-", "--demo")[1] == usual
    typed(monkeypatch, SURVEY.read_bytes())
    code, plan, _ = ask("recommend", "-", "--demo", "--out", "-")
    assert (
        code == 0 and json.loads(plan)["chosen"] == 1 and "choir" in json.loads(plan)["source"]["survey_toml"]
    )
    typed(monkeypatch, plan.encode())
    code, page, _ = ask("sheet", "-", "--for", "owner", "--out", "-")
    assert code == 0 and page.startswith("<!DOCTYPE html>")
    typed(monkeypatch, plan.encode())
    assert ask("replan", "-")[0] == 0
    typed(monkeypatch, SURVEY.read_bytes())
    assert ask("check", "-", "to-t10m", "--demo")[0] in (0, 1)
    typed(monkeypatch, b"")
    code, _, err = ask("recommend", "-", "--demo")
    assert code == 2 and "the survey has no [case] table" in err


# -- quiet, verbose, refusals, words -----------------------------------------------------------------------------------


def test_quiet_and_verbose_wherever_they_stand(ask: Ask) -> None:
    told = ask("recommend", "--demo")
    for arguments in (
        ["--quiet", "recommend", "--demo"],
        ["recommend", "-q", "--demo"],
        ["recommend", "--demo", "-q"],
    ):
        assert ask(*arguments) == (0, told[1], "")
    code, out, err = ask("recommend", "--demo", "--verbose")
    assert (code, out) == (0, told[1]) and re.search(r"partsolver: +\d+ ms  ranking plans", err)
    assert ask("recommend", "--demo") == told, "nothing of it stays for the next command"
    assert "ms  " not in ask("recommend", "--demo")[2]


def test_nothing_is_cut_in_the_list_of_commands(ask: Ask) -> None:
    for words in ([], ["catalog"], ["survey"]):
        listed = ask(*words, "-h")[1].partition("Commands:")[2]
        assert listed and "..." not in listed


def test_general_options_stand_in_every_help(ask: Ask) -> None:
    assert all(option in ask("-h")[1] for option in ("--quiet", "--verbose", "--no-drawings", "--language"))
    for command in (
        "recommend",
        "check",
        "why",
        "replan",
        "tradeoff",
        "sheet",
        "measure",
        "compare",
        "guide",
    ):
        assert "--quiet, --verbose" in " ".join(ask(command, "-h")[1].split())


@pytest.mark.parametrize(
    ("arguments", "where", "value"),
    [
        (["recommend", "--demo", "--budget", "much"], "--budget", "much"),
        (["recommend", "--demo", "--use", "gaming"], "--use", "gaming"),
        (["why", "--demo", "nonesuch"], "nonesuch", "nonesuch"),
        (["recommend", "missing.toml"], "missing.toml", None),
    ],
)
def test_refusals_are_documents_with_format_json(
    ask: Ask, arguments: list[str], where: str, value: str | None
) -> None:
    code, out, err = ask(*arguments, "--format", "json")
    document = json.loads(out)
    assert code == 2 and document["schema"] == "partsolver.refusal/1"
    (fault,) = document["faults"]
    assert where in fault["where"] and fault["value"] == value and fault["problem"]
    assert err.startswith("partsolver: ")
    assert ask(*arguments)[1] == "", "people read it on standard error only"


@pytest.mark.parametrize(
    ("written", "plain"),
    [
        (["--use", "Office"], ["--use", "office"]),
        (["--os", "DESKTOP-2015"], ["--os", "desktop-2015"]),
        (["--min-memory-gb", "8 GB"], ["--min-memory-gb", "8"]),
    ],
)
def test_options_as_people_write_them(ask: Ask, written: list[str], plain: list[str]) -> None:
    """The same bytes whatever the case and the unit."""
    first, second = (ask("recommend", "--demo", *given, "--format", "json") for given in (written, plain))
    assert first == second and first[0] == 0


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["recommend", "--demo", "--use", "gaming"], "Did you mean 'games'?"),
        (["recommend", "--demo", "--use", "Browsing"], "Did you mean 'office'?"),
        (["recommend", "--demo", "--use", "coding"], "Did you mean 'programming'?"),
        (["recommend", "--demo", "--without", "weald v6s"], "'weald-v6s-44' (Ostrelle Weald V6s-44)"),
        (["check", "--demo", "Tollmere T10M"], "Did you mean 'to-t10m' (Tollmere T10M)?"),
        (["why", "--demo", "tollmere t10m"], "Did you mean 'to-t10m' (Tollmere T10M)?"),
        (["suggest"], "`partsolver recommend` does that"),
        (["explain"], "`partsolver why` does that"),
        (["recomend"], "recommend"),
        (["recommend", "--demo", "--need-by", "04/12/2026"], "2026-12-04 or 2026-04-12"),
    ],
)
def test_suggestions_by_meaning(ask: Ask, arguments: list[str], said: str) -> None:
    code, out, err = ask(*arguments)
    assert code == 2 and out == "" and said in err


@pytest.mark.parametrize(
    ("arguments", "fault"),
    [
        ("recommend --goal fast", ("--goal", "not one of the words known here", "fast", "speed or cost")),
        (
            "fleet --demo --goal worst",
            ("--goal", "not one of the words known here", "worst", "most-pcs, most-speed or worst-first"),
        ),
        ("recommend --limit soon", ("--limit", "not a number", "soon", "a number such as 1.5")),
        ("recommend --alternatives 2.5", ("--alternatives", "not a whole number", "2.5", "a whole number such as 8")),
        (
            "recommend --demo --alternatives 0",
            ("--alternatives", "too small", "0", "1 or more"),
        ),
        (
            "recommend --demo --replace wheels",
            ("--replace", "not one of the words known here", "wheels", "psu, case, cooler, drive or graphics"),
        ),
        ("desk --port 70000", ("--port", "too large", "70000", "65535 or less")),
        ("check", ("[SURVEY] ID...", "is missing", None, None)),
        ("recommend one.toml two.toml", ("two.toml", "more words than the command takes", None, None)),
        ("recommend --without", ("--without", "is missing its value", None, None)),
        ("recommend --full=2", ("--full", "takes no value", None, None)),
        ("recommend --gole speed", ("--gole", "no such option", None, None)),
        ("catalog ad", ("ad", "no such command", None, "new, check, add, ask, show, find, set, forget, export")),
    ],
)  # fmt: skip
def test_a_wrong_command_line_says_which_word_and_what_was_expected(
    ask: Ask, arguments: str, fault: tuple[str | None, ...]
) -> None:
    """One field each, no sentence of the parser's or of the library that checks values."""
    words = arguments.split()
    # An option without its value would take the next word, and two commands have no --format.
    document = words[0] not in ("desk", "catalog") and words[-1] != "--without"
    code, out, err = ask(*words, *(("--format", "json") if document else ()))
    said = "".join(line for line in err.splitlines() if "this is the demo" not in line)
    where, problem, value, expected = fault
    found = "" if value is None else f" (found {value!r})"
    wanted = "" if expected is None else f"; expected {expected}"
    assert code == 2 and f"partsolver: {where}: {problem}{found}{wanted}" in said
    assert not re.search(r"Invalid value|Value error|Input should|Got unexpected|No such|Missing", said)
    assert bool(out) is document
    if document:
        (written,) = json.loads(out)["faults"]
        assert (written["where"], written["problem"], written["value"], written["expected"]) == fault


@pytest.mark.parametrize(
    ("option", "said"),
    [
        ("--json", "`--format json`"),
        ("--cheapest", "`--goal cost`"),
        ("--max-price", "`--budget AMOUNT`"),
        ("--deadline", "`--need-by DATE`"),
        ("--keep", "stays unless --replace names it"),
        ("--budgit", "'--budget'"),
    ],
)
def test_options_by_meaning(ask: Ask, option: str, said: str) -> None:
    code, out, err = ask("recommend", option)
    assert code == 2 and out == "" and said in err and "See `partsolver recommend --help`" in err


def test_words_of_an_option_in_any_case(ask: Ask) -> None:
    plain = ask("recommend", "--demo", "--goal", "cost", "--format", "json")
    assert ask("recommend", "--demo", "--goal", "Cost", "--format", "JSON") == plain and plain[0] == 0


# -- languages ---------------------------------------------------------------------------------------------------------


def test_numbers_and_dates_by_language_and_only_where_asked(ask: Ask) -> None:
    """Source: CLDR through babel: German decimal comma and dates with points."""
    plain = ask("recommend", "--demo", "--show", "1")[1]
    german = ask("recommend", "--demo", "--show", "1", "--language", "de")[1]
    amount = re.search(r"total in EUR +(\d+)\.(\d\d)", plain)
    day = re.search(r"all there on 2026-(\d\d)-(\d\d)", plain)
    factor = re.search(r"expected speed-up (\d)\.(\d\d) times", plain)
    assert amount is not None and day is not None and factor is not None
    assert f"{amount[1]},{amount[2]}" in german and f"{amount[1]}.{amount[2]}" not in german
    assert f"{day[2]}.{day[1]}.2026" in german and f"{factor[1]},{factor[2]} times" in german
    assert ask("recommend", "--demo", "--format", "json", "--language", "de") == ask(
        "recommend", "--demo", "--format", "json"
    ), "documents for programs are the same in every language"
    code, _, err = ask("recommend", "--demo", "--language", "xx_yy")
    assert code == 2 and "--language" in err
    assert ask("recommend", "--demo", "--language")[0] == 2
    # What is printed can be typed again.
    assert ask("recommend", "--demo", "--budget", "230,00", "--language", "de")[0] == 0


# What looks like a number with a point and is none: rails and lists of standards by their names, versions,
# tables of standards, file names, and amounts that are to be typed.
NAMES_WITH_POINTS = r"\d\.\d GHz|3\.3 V|USB \d\.\d|[Vv]ersions? \d[\d.]*|(?:firmware|needs|needed:|stated:) \d+\.\d+|-\d+\.\d+\b|\d+\.\d+\.\d+|2\.5-inch|3\.5-inch"


@pytest.fixture(scope="module")
def german_plan(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A plan file that was written while German was asked for."""
    path = tmp_path_factory.mktemp("plan") / "plan.json"
    assert run(["recommend", "--demo", "--out", str(path), "--language", "de"]) == 0
    return path.read_bytes()


def test_files_are_the_same_in_every_language(ask: Ask, tmp_path: Path, german_plan: bytes) -> None:
    assert ask("recommend", "--demo", "--out", "plan.json")[0] == 0
    assert german_plan == (tmp_path / "plan.json").read_bytes()


SOURCES = r"\(Source:.*?(?= \[fits\]| \[open\]| OPEN|$)"


@pytest.mark.parametrize(
    "arguments",
    [
        ["recommend", "--demo", "--full"],
        ["tradeoff", "--demo", "--resolution", "8"],
        ["why", "--demo", "to-t10m"],
        ["sheet", "plan.json", "--format", "text"],
        ["sheet", "plan.json", "--for", "owner", "--format", "text"],
        ["replan", "plan.json", "--gone", "transom-l6s-44"],
        ["survey", "questions", "--demo"],
        ["measure", "--from", "before.json"],
        ["compare", "before.json", "after.json"],
    ],
    ids=" ".join,
)
def test_every_text_writes_numbers_as_asked(
    ask: Ask, tmp_path: Path, german_plan: bytes, arguments: list[str]
) -> None:
    """The same text in both forms, but for the marks: source of the marks: CLDR through babel."""
    (tmp_path / "plan.json").write_bytes(german_plan)
    (tmp_path / "before.json").write_text(measurement_json(sample()), encoding="utf-8")
    (tmp_path / "after.json").write_text(measurement_json(sample(serial=2000.0)), encoding="utf-8")
    plain, german = ask(*arguments)[1], ask(*arguments, "--language", "de")[1]
    decimals = r"(?<![\w.,])\d+\.\d{1,2}(?![\w.])"
    assert re.search(decimals, plain), "there is something to see"
    left = re.sub(SOURCES, "", " ".join(german.split()))
    left = re.sub(NAMES_WITH_POINTS, "", left)
    assert re.findall(f".{{0,40}}{decimals}.{{0,20}}", left) == [] and not re.search(
        r"\b20\d\d-\d\d-\d\d\b", left
    )


@pytest.mark.parametrize(
    "arguments",
    [
        ["tradeoff", "--demo", "--resolution", "8"],
        ["recommend", "--demo", "--alternatives", "3", "--full"],
        ["sheet", "plan.json", "--format", "text"],
    ],
    ids=" ".join,
)
def test_a_screen_reader_gets_sentences(
    ask: Ask, tmp_path: Path, german_plan: bytes, arguments: list[str]
) -> None:
    """No columns (two words far apart) and no bars, and the same amounts of money as with them."""
    (tmp_path / "plan.json").write_bytes(german_plan)
    drawn, said = ask(*arguments)[1], ask(*arguments, "--no-drawings")[1]
    assert re.search(r"\S {8,}\S", drawn)
    amounts = r"(?<!\d)\d+\.\d\d(?!\d)"
    assert set(re.findall(amounts, drawn)) == set(re.findall(amounts, said))
    assert "###" not in said and "what changes\n" not in said


# -- completion --------------------------------------------------------------------------------------------------------


def completed(line: str) -> list[str]:
    """What bash is offered for a line: the program asked as the completion script asks it."""
    environment = {
        **os.environ,
        "_PARTSOLVER_COMPLETE": "complete_bash",
        "COMP_WORDS": line,
        "COMP_CWORD": str(len(line.split(" ")) - 1),
        "PYTHONPATH": os.pathsep.join(sys.path),
    }
    done = subprocess.run(
        [sys.executable, "-m", "partsolver"], env=environment, capture_output=True, text=True, check=False
    )
    assert "Traceback" not in done.stderr
    return done.stdout.split()


def test_completion_of_commands_ids_uses_settings_and_pages() -> None:
    assert completed("partsolver rec") == ["recommend"]
    assert completed("partsolver recommend --without to-t1") == ["to-t10m"]
    assert "weald-v6s-44" in completed("partsolver recommend --demo --with weald-v6s")
    assert completed("partsolver recommend --use ph") == ["photo"]
    assert completed("partsolver guide sold") == ["sold-out"]
    assert "run_to_run_memory_percent=" in completed("partsolver measure --setting run_to")
    assert completed("partsolver replan plan.json --price to-t10") == ["to-t10m="]


def test_completion_takes_the_catalogue_that_is_named(tmp_path: Path) -> None:
    (tmp_path / "boards.csv").write_text("id,name\nown-board,My board\n")
    assert completed(f"partsolver recommend --catalog {tmp_path} --without own") == ["own-board"]
    assert completed(f"partsolver recommend --catalog {tmp_path} --without to-t1") == []
    assert completed("partsolver recommend --catalog /nowhere --without x") == []


@pytest.mark.skipif(not Path("/bin/bash").exists(), reason="needs bash")
def test_completion_in_bash(tmp_path: Path) -> None:
    """The script that --show-completion prints is understood by bash, and completes an id."""
    program = tmp_path / "partsolver"
    program.write_text(f'#!/bin/bash\nexec {sys.executable} -m partsolver "$@"\n')
    program.chmod(0o755)
    environment = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(sys.path),
        "SHELL": "/bin/bash",
        "PATH": f"{tmp_path}:{os.environ['PATH']}",
    }
    script = """
source <(_PARTSOLVER_COMPLETE=source_bash partsolver)
complete -p partsolver
COMP_WORDS=(partsolver recommend --without to-t1) COMP_CWORD=3
_partsolver_completion partsolver
echo "completed: ${COMPREPLY[*]}"
COMP_WORDS=(partsolver recommend --use ph) COMP_CWORD=3
_partsolver_completion partsolver
echo "completed: ${COMPREPLY[*]}"
"""
    done = subprocess.run(
        ["/bin/bash", "-c", script], env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "partsolver_completion" in done.stdout
    assert re.findall("completed: (.*)", done.stdout) == ["to-t10m", "photo"]


# -- progress ----------------------------------------------------------------------------------------------------------


def test_nothing_moves_in_a_pipe(ask: Ask) -> None:
    assert "\r" not in "".join(ask("recommend", "--demo")[1:])


def on_terminal(code: str, seconds: float = 120.0) -> str:
    """Everything a Python program writes to a terminal."""
    main, second = pty.openpty()
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path), "TERM": "xterm"}
    process = subprocess.Popen([sys.executable, "-c", code], stdout=second, stderr=second, env=environment)
    os.close(second)
    shown, end = b"", time.monotonic() + seconds
    while time.monotonic() < end:
        if select.select([main], [], [], 0.2)[0]:
            try:
                piece = os.read(main, 65536)
            except OSError:
                break
            if not piece:
                break
            shown += piece
    process.wait(timeout=seconds)
    os.close(main)
    return shown.decode()


def test_what_takes_longer_than_two_seconds_says_what_it_does_on_a_terminal() -> None:
    code = """
import time
from partsolver.cli.general import begin
from partsolver.cli.progress import working
begin()
with working("one long step"):
    time.sleep(2.6)
with working("one short step"):
    time.sleep(0.1)
print("the end")
"""
    shown = on_terminal(code)
    assert "one long step ... 2 s" in shown and "one short step" not in shown
    assert re.search(r"\r +\r", shown), "the line is wiped"
    quiet = on_terminal(
        code.replace(
            "begin()\n",
            "begin()\nfrom partsolver.cli.general import take_general_options\ntake_general_options(['-q'])\n",
        )
    )
    assert "one long step" not in quiet and "the end" in quiet


def test_emphasis_on_a_terminal_unless_no_color() -> None:
    """NO_COLOR: no-color.org (informal standard), any value but empty."""
    code = "import sys; from partsolver.cli import run; sys.exit(run(['recommend', '--demo', '-q']))"
    assert "\x1b[1m" in on_terminal(code)
    plain: Any = on_terminal("import os; os.environ['NO_COLOR'] = '1'; " + code)
    assert "\x1b" not in plain and "choir" in plain


def test_the_plan_file_holds_the_survey_that_was_solved(
    ask: Ask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not the file as it is afterwards: somebody may write into it while the plans are ranked."""
    from partsolver.solve import short_answer

    solved, answer = SURVEY.read_text(), short_answer.short_answer
    survey, plan = tmp_path / "pc.toml", tmp_path / "plan.json"
    survey.write_text(solved)

    def overwritten(*arguments: Any) -> Any:
        survey.write_text(solved.replace("choir", "quilters"))
        return answer(*arguments)

    monkeypatch.setattr(short_answer, "short_answer", overwritten)
    assert ask("recommend", str(survey), "--demo", "--out", str(plan))[0] == 0
    assert (
        "quilters" in survey.read_text() and json.loads(plan.read_text())["source"]["survey_toml"] == solved
    )
