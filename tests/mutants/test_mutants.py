"""The tool of `run.py`: which changes it makes, which it leaves out, and that it tells killed from survived."""

from __future__ import annotations

import csv
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from scipy.stats import binomtest

pytest.importorskip("cosmic_ray")
pytest.importorskip("coverage")

from mutants.choose import ROOT, read_sources
from mutants.run import changed_lines, draw, interval, known_equivalents, main
from mutants.sites import mutants, sample
from mutants.warm import changed_functions

SOURCE = '''"""Half."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, overload

if TYPE_CHECKING:
    LIMIT = 7


@overload
def half(value: int, least: int = 2) -> int: ...


@lru_cache(maxsize=7)
def half(value: int | None, least: int = 2) -> int | None:
    """Half of it, at least two; None for None."""
    if value is None:
        return None
    return max(value // 2, least)
'''


def test_changes_are_where_something_is_run() -> None:
    found = {
        changed_lines(SOURCE, mutant.text_of(SOURCE))[1]
        for place in mutants(SOURCE).values()
        for mutant in place
    }
    assert {"return max(value * 2, least)", "if value is not None:"} <= {
        " ".join(line.split()) for line in found
    }
    # No annotation, nothing of the type checker's, and no change that means the same.
    same = ("LIMIT", "value == None", "int & None", "maxsize")
    assert not [line for line in found if not line or any(words in line for words in same)]


def test_a_sample_is_the_same_each_time_and_grows_at_its_end() -> None:
    files = {"a.py": SOURCE, "b.py": SOURCE.replace("2", "3")}
    assert sample(files, 4, 1) == sample(files, 4, 1) == sample(files, 9, 1)[:4]
    assert sample(files, 9, 1) != sample(files, 9, 2)
    # A line elsewhere moves nothing but line numbers.
    moved = sample({"a.py": "X = 'x'\n" + SOURCE, "b.py": files["b.py"]}, 9, 1)
    assert [(name, m.operator, m.column) for name, m, _ in moved] == [
        (name, m.operator, m.column) for name, m, _ in sample(files, 9, 1)
    ]


def test_a_change_that_is_no_program_is_not_drawn() -> None:
    source = "BOTH = {**{1: 2}, 3: 4}\n"
    for seed in range(20):
        for _, _, changed in sample({"a.py": source}, 9, seed):
            compile(changed, "a.py", "exec")


def test_tests_are_chosen_by_what_they_name() -> None:
    sources = read_sources()
    rounds = list(sources.rounds("partsolver.rules.power_total", "near"))
    assert rounds[0] == ["tests/rules/test_agreement.py", "-k", "power.total"]
    assert "tests/rules/test_power_rails.py" in rounds[1]
    # The package itself imports modules too, and has no room.
    assert list(sources.rounds("partsolver.plan.outcome", "near"))
    assert "tests/standards/test_typed_tables.py" in next(sources.rounds("partsolver.standards.plugs", "own"))


def test_every_excuse_is_of_a_change_that_can_be_made() -> None:
    with (ROOT / "tests/mutants/equivalent.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == len(known_equivalents())
    for module in {row["module"] for row in rows}:
        own = [row for row in rows if row["module"] == module]
        source = (ROOT / module).read_text(encoding="utf-8")
        lines, begin = source.splitlines(), {row["line"][:20] for row in own}
        made = {
            changed_lines(source, mutant.text_of(source))
            for (line, _), place in mutants(source).items()
            if any(words in lines[line - 1] for words in begin)
            for mutant in place
        }
        for row in own:
            assert (row["line"], row["changed"]) in made and row["reason"], row


def test_killed_and_survived(tmp_path: Path) -> None:
    """A program of one module with a test that looks at one number."""
    for folder in ("partsolver/rules", "tests/rules", "catalogs", "benchmarks"):
        (tmp_path / folder).mkdir(parents=True)
    shutil.copytree(
        ROOT / "tests/mutants",
        tmp_path / "tests/mutants",
        ignore=shutil.ignore_patterns("test_*", "__pycache__"),
    )
    (tmp_path / "tests/mutants/equivalent.csv").write_text("module,line,changed,reason\n", encoding="utf-8")
    for name in (
        "pyproject.toml",
        "README.md",
        "DEVELOPERS.md",
        "partsolver/__init__.py",
        "partsolver/rules/__init__.py",
    ):
        (tmp_path / name).write_text("", encoding="utf-8")
    (tmp_path / "partsolver/rules/half.py").write_text(SOURCE, encoding="utf-8")
    test = "from partsolver.rules.half import half\n\ndef test_half():\n    assert half(10) == 5\n"
    (tmp_path / "tests/rules/test_half.py").write_text(test, encoding="utf-8")
    out, reach = tmp_path / "out.jsonl", tmp_path / "reach"

    def ask(*words: str) -> tuple[int, str]:
        run = subprocess.run(
            [sys.executable, "-m", *words],
            cwd=tmp_path / "tests",
            env={**os.environ, "PYTHONPATH": ""},
            capture_output=True,
            text=True,
            check=False,
        )
        return run.returncode, run.stdout + run.stderr

    code, told = ask("mutants.reach", "--folder", str(reach))
    assert code == 0 and "tests/rules/test_half.py: 1 tests" in told, told
    words = ("--room", "rules", "--count", "30", "--out", str(out), "--reach", str(reach))
    code, told = ask("mutants.run", *words)
    assert code == 1 and "rules: " in told, told
    rows = [json.loads(line) for line in out.read_text(encoding="utf-8").splitlines()]
    outcomes = {(row["line"], " ".join(row["changed"].split())): row for row in rows}
    of_if = [row for (line, _), row in outcomes.items() if "value is None" in line]
    of_default = [row for (line, _), row in outcomes.items() if "least: int = 2" in line]
    assert {row["outcome"] for row in of_if} == {"killed"}
    assert {row["outcome"] for row in of_default} == {"survived"}
    # What is inside the function needs no new import; a default is worked out at the import.
    assert {row["by"] for row in of_if} == {"tests/rules/test_half.py::test_half"}
    assert {row["by"] for row in of_default} == {"round 1"}
    # Gone on from: nothing is tried again.
    assert ask("mutants.run", *words)[0] == 1
    assert len(out.read_text(encoding="utf-8").splitlines()) == len(rows)


def test_a_function_is_exchanged_only_where_nothing_else_changed() -> None:
    def changes(before: str, after: str) -> list[str] | None:
        assert before in SOURCE
        old, new = (compile(text, "half.py", "exec") for text in (SOURCE, SOURCE.replace(before, after)))
        pairs = changed_functions(old, new)
        return None if pairs is None else [one.co_name for _, one in pairs]

    assert changes("value // 2", "value * 2") == ["half"]
    assert changes("least: int = 2", "least: int = 3") is None
    assert changes("LIMIT = 7", "LIMIT = 8") is None
    assert changes("value is None", "value is None") == []


def test_the_interval_of_a_share() -> None:
    """As scipy works it out (binomtest, method "wilson")."""
    for killed, judged in ((15, 50), (40, 40), (0, 7), (148, 152)):
        ends = binomtest(killed, judged).proportion_ci(0.95, method="wilson")
        assert interval(killed, judged) == (round(100 * ends.low, 1), round(100 * ends.high, 1))


def test_a_run_may_be_of_some_modules_only() -> None:
    drawn = draw("plan", 10_000, 1, ["delivery"])
    assert {one.row["module"] for one in drawn} == {"partsolver/plan/delivery.py"}
    source = (ROOT / "partsolver/plan/delivery.py").read_text(encoding="utf-8")
    assert len(drawn) == len(mutants(source))  # one change of each place
    with pytest.raises(SystemExit, match="no module of plan is called nowhere"):
        main(["--room", "plan", "--module", "nowhere"])


def test_a_run_may_be_of_lines_that_are_new() -> None:
    files = {"a.py": SOURCE, "b.py": SOURCE}
    line = next(line.strip() for line in SOURCE.splitlines() if "value //" in line)
    left = sample(files, 100, 1, {"a.py": frozenset({line})})
    texts = SOURCE.splitlines()
    of_a = [texts[mutant.line - 1].strip() for name, mutant, _ in left if name == "a.py"]
    assert of_a and line not in of_a
    of_b = [one for one in sample(files, 100, 1) if one[0] == "b.py"]
    assert [one for one in left if one[0] == "b.py"] == of_b
    with pytest.raises(SystemExit, match="no commit nowhere"):
        main(["--room", "plan", "--module", "delivery", "--since", "nowhere"])
