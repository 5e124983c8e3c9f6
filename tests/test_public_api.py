"""The public API as a user's script has it: both forms of import, twice, with plain strings, and strictly
typed."""

from __future__ import annotations

import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

import partsolver

ROOT = Path(__file__).resolve().parents[1]
SCRIPT = """
from partsolver import Outcome, Plan, answer, join, load_catalog, load_survey
import partsolver

survey, brief = load_survey({survey!r})
for _ in range(2):
    outcome: Outcome = answer(join(survey, load_catalog({catalog!r}), brief))
    again: Outcome = partsolver.answer(partsolver.join(survey, partsolver.load_catalog({catalog!r}), brief))
    plans: tuple[Plan, ...] = outcome.plans
    assert [p.parts.keys for p in plans] == [p.parts.keys for p in again.plans]
    assert len(plans) >= 5 and plans[0].speedup is not None
print(partsolver.__version__, outcome.status, plans[0].draft.cost)
"""


def script() -> str:
    data = ROOT / "catalogs"
    return SCRIPT.format(survey=str(data / "demo-survey.toml"), catalog=str(data / "demo"))


@pytest.mark.parametrize("name", partsolver.__all__)
def test_every_public_name_is_there_again_after_its_module_was_imported(name: str) -> None:
    before = getattr(partsolver, name)
    assert getattr(partsolver, name) is before and name in dir(partsolver)


def test_a_users_script_runs_in_a_fresh_process() -> None:
    found = subprocess.run(
        [sys.executable, "-c", script()], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert found.returncode == 0, found.stderr
    assert found.stdout.split()[:2] == [partsolver.__version__, "optimal"]


def test_a_users_script_is_typed(tmp_path: Path) -> None:
    """``py.typed`` is shipped, and a strict type check of the script finds nothing (mypy of the extra
    ``dev``)."""
    assert files("partsolver").joinpath("py.typed").is_file()
    pytest.importorskip("mypy")
    path = tmp_path / "script.py"
    path.write_text(script(), encoding="utf-8")
    command = [
        sys.executable,
        "-m",
        "mypy",
        "--strict",
        "--config-file=",
        "--cache-dir",
        str(tmp_path / "cache"),
        "--follow-imports=silent",
        str(path),
    ]
    found = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert found.returncode == 0, found.stdout


def test_what_is_no_public_name_is_refused_as_python_does() -> None:
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        partsolver.nothing  # noqa: B018


def test_tables_of_a_catalogue_and_of_an_outcome() -> None:
    """`catalog.frame` and `outcome.frame`: the same values as the records, one row each."""
    survey, brief = partsolver.load_survey(ROOT / "catalogs" / "demo-survey.toml")
    catalog = partsolver.load_catalog(ROOT / "catalogs" / "demo")
    outcome = partsolver.answer(partsolver.join(survey, catalog, brief))
    frame = outcome.frame()
    assert list(frame["rank"]) == [plan.rank for plan in outcome.plans]
    assert list(frame["cost_minor"]) == [plan.draft.cost for plan in outcome.plans]
    assert list(frame["board"]) == [plan.parts.candidate("board").id for plan in outcome.plans]
    first = outcome.plans[0]
    assert first.speedup is not None and frame["speedup"][0] == first.speedup.expected_milli / 1000
    boards = catalog.frame("boards")
    assert list(boards["id"]) == [board.id for board in catalog.tables["boards"]]
    assert frame.merge(boards, left_on="board", right_on="id").shape[0] == len(outcome.plans)
