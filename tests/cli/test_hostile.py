"""What a hostile or clumsy world does to the command line: odd cells, full output, other names for one
thing."""

from __future__ import annotations

import json
import os
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from strategies import set_cell

from partsolver.catalog.dictionary import BOUNDS, columns, data_folder, reader
from partsolver.cli import _unwritten, run
from partsolver.survey.load import MOST_ROWS

DATA = Path(__file__).resolve().parents[1] / "survey" / "data"


def catalogue(folder: Path) -> Path:
    shutil.copytree(data_folder() / "demo", folder / "parts")
    return folder / "parts"


@pytest.mark.parametrize(
    ("table", "column", "cell", "said"),
    [
        ("offers", "available_on", "9999-12-31", "a day from 1980-01-01 to 2099-12-31"),
        ("offers", "valid_until", "0001-01-01", "a day from 1980-01-01 to 2099-12-31"),
        ("sellers", "delivery_days", "4000000", "from 0 to 3650 d"),
        ("boards", "width_mm", "0", "from 1 to 5000 mm"),
        ("memory", "rate_mts", "0", "from 1 to 100000 MT/s"),
        ("cpus", "score_error_percent", "1000000", "from 0 to 1000 %"),
        ("boards", "memory_slots", "9" * 5000, "cannot be read"),
        ("boards", "name", "Board\u202egnp.exe", "text without control characters"),
        ("boards", "name", "Bo\u200bard", "text without control characters"),
        ("boards", "name", "Bo\u0085ard", "text without control characters"),
    ],
)
def test_one_odd_cell_is_a_message_with_file_line_and_column(
    table: str, column: str, cell: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    parts = catalogue(tmp_path)
    set_cell(parts, table, 2, column, cell)
    code = run(["recommend", str(data_folder() / "demo-survey.toml"), "--catalog", str(parts)])
    err = capsys.readouterr().err
    assert code == 2 and f"{table}.csv:2 {column}:" in err and said in err and "internal fault" not in err


def test_the_day_of_the_catalogue_and_of_the_order(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    parts = catalogue(tmp_path)
    head = parts / "catalog.toml"
    head.write_text(
        "\n".join(
            "as_of = 9999-12-31" if line.startswith("as_of") else line
            for line in head.read_text().splitlines()
        )
    )
    survey = str(data_folder() / "demo-survey.toml")
    assert run(["recommend", survey, "--catalog", str(parts)]) == 2
    assert "as_of: no order can have this day" in capsys.readouterr().err
    assert run(["recommend", survey, "--demo", "--today", "9999-12-31"]) == 2
    assert "9999" in capsys.readouterr().err


@pytest.mark.parametrize("table", list(columns()))
def test_every_number_of_a_table_has_bounds(table: str) -> None:
    for column in columns()[table].values():
        if column.type.partition(":")[0] == "int":
            least, most = column.bounds
            if (table, column.name) != ("extras", "count"):
                assert (least, most) == BOUNDS[column.unit]
            assert reader(column)(str(least)) == least and reader(column)(str(most)) == most
            with pytest.raises(ValueError, match="a whole number from"):
                reader(column)(str(most + 1))


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_full_output_is_said_and_is_no_fault() -> None:
    with open("/dev/full", "w") as full:
        found = subprocess.run(
            [sys.executable, "-m", "partsolver", "recommend", "--demo"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            env=os.environ,
            cwd=Path(__file__).resolve().parents[2],
            check=False,
        )
    assert found.returncode == 2 and "the output cannot be written: No space left" in found.stderr
    assert "Traceback" not in found.stderr and "internal fault" not in found.stderr


def _run_command(*arguments: str, shell: str = "") -> subprocess.CompletedProcess[str]:
    """The command in a process of its own, with closed streams (``>&-``) where the shell's words say so."""
    words = shlex.join([sys.executable, "-m", "partsolver", *arguments])
    root = str(Path(__file__).resolve().parents[2])
    return subprocess.run(
        ["/bin/sh", "-c", f"exec {words} {shell}"],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": root},
        check=False,
        timeout=60,
    )


@pytest.mark.skipif(os.name != "posix", reason="modes, links and devices of POSIX")
def test_closed_standard_streams_are_no_fault() -> None:
    """What a shell writes as ``>&-``, ``<&-`` and ``2>&-``: Python has no object for such a stream."""
    closed = _run_command("guide", shell=">&-")
    assert (closed.returncode, closed.stdout) == (2, "") and "the output cannot be written" in closed.stderr
    assert "internal fault" not in closed.stderr
    for command in (
        ["guide"],
        ["survey", "check", str(data_folder() / "demo-survey.toml")],
    ):
        usual, silent, deaf = (_run_command(*command, shell=words) for words in ("", "2>&-", "<&-"))
        # Messages never land in the output instead.
        assert usual.returncode == silent.returncode == deaf.returncode == 0
        assert usual.stdout == silent.stdout == deaf.stdout != ""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_messages_that_nobody_takes_change_neither_work_nor_exit_code(tmp_path: Path) -> None:
    """A full standard error ended refusals and even finished work with exit code 1."""
    made = tmp_path / "new.toml"
    done = ["survey", "import", str(DATA / "lsblk-text.json"), "--out", str(made)]
    refused = ["catalog", "find", "board", "--catalog", str(tmp_path)]
    for words, code in ((done, 0), (refused, 2), (["guide", "no-such-page"], 2)):
        for where in ("2>/dev/full", "2>&-"):
            assert _run_command(*words, shell=where).returncode == code, (words, where)
    assert made.read_text()


def test_audit_leaves_nothing_where_the_person_stands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The library that draws the trials kept a folder `.hypothesis` there."""
    monkeypatch.chdir(tmp_path)
    assert run(["audit", "--trials", "1"]) == 0
    assert list(tmp_path.iterdir()) == [] and "1 trial" in capsys.readouterr().out


@pytest.mark.skipif(os.name != "posix", reason="modes, links and devices of POSIX")
@pytest.mark.parametrize("source", ["pipe", "endless"])
def test_catalog_add_waits_for_nothing(
    source: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("partsolver.base.textfile.MOST_WAIT_S", 0.1)
    monkeypatch.setattr("partsolver.catalog.sources.MOST_BYTES", 1 << 20)
    path = tmp_path / "list.csv"
    if source == "pipe":
        os.mkfifo(path)
    else:
        path.symlink_to("/dev/zero")
    assert run(["catalog", "add", str(path), "--into", str(tmp_path / "parts")]) == 2
    message = capsys.readouterr().err
    assert "list.csv" in message and ("sends nothing" in message or "too large" in message)
    assert not (tmp_path / "parts").exists()


def test_a_system_drive_of_another_name_is_asked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The file says which drive holds the system, the dump names another: never two, and never silently
    one."""
    survey = tmp_path / "pc.toml"
    shutil.copy(data_folder() / "demo-survey.toml", survey)
    assert run(["survey", "import", str(DATA / "lsblk-text.json"), "--out", str(survey), "--keep-mine"]) == 0
    err = capsys.readouterr().err
    assert "drive[0].system" in err and "internal fault" not in err
    assert survey.read_text().count("\nsystem = true") == 1
    shutil.copy(data_folder() / "demo-survey.toml", survey)
    command = [
        "survey",
        "import",
        str(DATA / "lsblk-text.json"),
        "--out",
        str(survey),
        "--take",
        "drive[0].system",
    ]
    assert run(command) == 0
    text = survey.read_text()
    assert text.count("\nsystem = true") == 1
    assert text.index("HOLM") < text.index("\nsystem = true")


# -- lists that are too long, sizes that no display has ----------------------------------------------------------------

ROWS = {
    "memory": 'generation = "ddr3"',
    "drive": 'name = "d{n}"\nkind = "hdd35"',
    "card": 'name = "c{n}"\nkind = "sound"\nbus = "pci"',
    "display": 'name = "m{n}"\ninputs = ["vga"]',
    "device": 'name = "k{n}"\nport = "usb"',
}


@pytest.mark.parametrize("table", list(ROWS))
def test_a_list_longer_than_a_pc_is_refused(
    table: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """300 cards or 10,000 drives were searched for ever, 1,000 displays ended in a fault."""
    most = MOST_ROWS[table]
    survey = tmp_path / "pc.toml"
    for number, code in ((most, 0), (most + 1, 2), (10_000, 2)):
        rows = "".join(f"[[{table}]]\n{ROWS[table].format(n=n)}\n" for n in range(number))
        survey.write_text('[case]\nname = "case"\n[psu]\nname = "supply"\n' + rows)
        assert run(["survey", "check", str(survey)]) == code
        if code:
            err = capsys.readouterr().err
            assert (
                f"[[{table}]]: the list is too long (found '{number} entries'); expected at most {most}"
                in err
            )


@pytest.mark.parametrize(
    ("table", "key", "value"),
    [
        ("display", "width_px", 20001),
        ("display", "height_px", 20001),
        ("card", "load_mw", 10**12),
        ("drive", "capacity_gb", 10**12),
    ],
)
def test_a_size_beyond_any_part_is_refused_with_its_place(
    table: str, key: str, value: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    survey = tmp_path / "pc.toml"
    row = f"[[{table}]]\n{ROWS[table].format(n=0)}\n{key} = {value}\n"
    survey.write_text('[case]\nname = "case"\n[psu]\nname = "supply"\n' + row)
    assert run(["recommend", str(survey), "--demo"]) == 2
    err = capsys.readouterr().err
    assert f"[[{table}]] 1 {key}" in err and str(value) in err


# -- names are data ----------------------------------------------------------------------------------------------------


def test_dollar_signs_in_a_name_are_no_formula(tmp_path: Path) -> None:
    survey = tmp_path / "pc.toml"
    text = (data_folder() / "demo-survey.toml").read_text()
    survey.write_text(text.replace('name = "the choir', 'name = "a $x$ of $\\\\frac{$ the choir'))
    assert "frac" in survey.read_text()
    picture = tmp_path / "t.png"
    command = ["tradeoff", str(survey), "--demo", "--resolution", "20", "--picture", str(picture)]
    assert run(command) == 0
    assert picture.stat().st_size > 1000


def test_a_plan_file_names_no_folder_of_this_machine_and_opens_none_of_another(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    survey, parts, plan = tmp_path / "pc.toml", tmp_path / "parts", tmp_path / "out" / "plan.json"
    shutil.copy(data_folder() / "demo-survey.toml", survey)
    shutil.copytree(data_folder() / "demo", parts)
    plan.parent.mkdir()
    assert run(["recommend", str(survey), "--catalog", str(parts), "--out", str(plan)]) == 0
    text = plan.read_text()
    assert str(tmp_path) not in text and '"catalog": "../parts"' in text
    assert run(["replan", str(plan)]) == 0, "found again from where the file lies"
    plan.write_text(text.replace('"catalog": "../parts"', f'"catalog": "{parts}"'))
    capsys.readouterr()
    assert run(["replan", str(plan)]) == 2
    assert "is not opened by itself" in capsys.readouterr().err
    assert run(["replan", str(plan), "--catalog", str(parts)]) == 0


@pytest.mark.parametrize(
    "locale",
    [{"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}, {"PYTHONIOENCODING": "latin-1"}],
)
@pytest.mark.parametrize("command", [["guide", "words"], ["recommend", "--demo", "--full"]], ids=" ".join)
def test_no_locale_ends_in_a_fault(locale: dict[str, str], command: list[str]) -> None:
    found = subprocess.run(
        [sys.executable, "-m", "partsolver", *command],
        capture_output=True,
        env={**os.environ, **locale},
        cwd=Path(__file__).resolve().parents[2],
        check=False,
    )
    assert found.returncode == 0 and found.stdout and b"fault" not in found.stderr


def test_a_name_that_is_no_text_is_known_by_itself() -> None:
    """Not by the words of an error, which other versions of Python may change."""
    named = UnicodeEncodeError("utf-8", "pr\udcfc.csv", 2, 3, "some other words")
    assert _unwritten(named) == "pr\udcfc.csv"
    assert _unwritten(UnicodeEncodeError("ascii", "\u0416", 0, 1, "surrogates not allowed")) is None
    assert _unwritten(ValueError("surrogates not allowed")) is None


@pytest.mark.skipif(os.name != "posix", reason="modes, links and devices of POSIX")
def test_names_that_the_output_or_the_system_cannot_spell(tmp_path: Path) -> None:
    """A Cyrillic name on an output of ASCII, a file name in another character set: escaped or refused, no fault."""
    survey = tmp_path / "pc.toml"
    text = (data_folder() / "demo-survey.toml").read_text(encoding="utf-8")
    survey.write_text(text.replace('name = "', 'name = "\u0416', 1), encoding="utf-8")
    words = [sys.executable, "-m", "partsolver", "survey", "check"]
    root = str(Path(__file__).resolve().parents[2])
    plain = {**os.environ, "PYTHONPATH": root, "PYTHONIOENCODING": "ascii"}
    found = subprocess.run([*words, str(survey)], capture_output=True, env=plain, check=False)
    assert found.returncode == 0 and b"fault" not in found.stderr and b"\\u0416" in found.stdout
    printed = subprocess.run(
        [*words, str(survey), "--format", "json"], capture_output=True, env=plain, check=False
    )
    assert json.loads(printed.stdout)["schema"].startswith("partsolver.survey-check")
    lists = tmp_path / "lists"
    lists.mkdir()
    odd = os.path.join(os.fsencode(lists), b"pr\xfc.csv")
    with open(odd, "w") as file:
        file.write("name;price\nBrunnach B10M board;55.00\n")
    into = tmp_path / "parts"
    add = ["catalog", "add", "--tax", "gross", "--into", str(into)]
    for given in (str(lists), os.fsdecode(odd)):
        refused = subprocess.run(
            [sys.executable, "-m", "partsolver", *add, given], capture_output=True, env=plain, check=False
        )
        assert refused.returncode == 2 and b"cannot be written as text" in refused.stderr
        assert not list(into.glob("*"))
