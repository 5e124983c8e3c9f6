"""The other commands a person waits for, whole processes on the demo and on 2,000 parts, and a replan in a
running process."""

from __future__ import annotations

import json
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Any

from benchmarks.specs import FEASIBLE, IMPOSSIBLE, SURVEY, Spec, find

Measured = Callable[[Sequence[str], float], tuple[float, int, int, bytes]]


@dataclass(frozen=True)
class Command:
    """name; arguments of partsolver (PLAN and CATALOG stand for the files of the run); code: its exit code;
    most_s: seconds that are asked for, most_ratio: the same against the floor."""

    name: str
    arguments: tuple[str, ...]
    code: int = 0
    most_s: float | None = None
    most_ratio: float | None = None


def _options(brief: Any) -> tuple[str, ...]:
    return tuple(
        text for name, value in brief.items() for text in (f"--{name.replace('_', '-')}", str(value))
    )


PC = (str(SURVEY), "--catalog", "CATALOG")
COMMANDS = (
    Command("--help", ("--help",), most_ratio=0.25),
    Command("--version", ("--version",), most_ratio=0.25),
    Command("catalog check, demo", ("catalog", "check"), most_s=0.3),
    Command("input error: no such file", ("recommend", "no-such-survey.toml"), 2, most_ratio=0.25),
    Command("input error: not an amount", ("recommend", "--budget", "much"), 2, most_ratio=0.25),
    Command("why, demo", ("why", "--budget", "60.00", "--min-speedup", "3"), 1, most_s=3),
    Command("why, 2000 impossible", ("why", *PC, *_options(IMPOSSIBLE)), 1, most_ratio=2.5),
    Command(
        "replan without the processor, 2000",
        ("replan", "PLAN", "--gone", "CPU", "--catalog", "CATALOG"),
        most_s=2,
    ),
    Command(
        "replan without the memory, 2000",
        ("replan", "PLAN", "--gone", "MEMORY", "--catalog", "CATALOG"),
        most_s=2,
    ),
    Command(
        "trade-off, 2000, to 700.00",
        ("tradeoff", *PC, "--to", "700.00", "--format", "json"),
        most_s=10,
        most_ratio=4,
    ),
)

# In a process that is already running: the plan's processor is gone, then back, then gone.
REPLAN = """
import gc, json, sys, time
from pathlib import Path
from partsolver.explain.replan import replan
from partsolver.planfile.plan_file import read_plan_file
gc.disable()
stored = read_plan_file(Path(sys.argv[1]))
(gone,) = [part.id for part in stored.plan.parts if part.slot == "cpu"]
found = []
for without in ((gone,), (), (gone,)):
    start = time.perf_counter()
    replan(stored, gone=without)
    found.append(time.perf_counter() - start)
print(json.dumps(found))
"""
REPLAN_MOST_S = 0.060


def measure_commands(
    cache: Path, runs: int, limit_s: float, floor: Sequence[str], measured: Measured
) -> list[dict[str, Any]]:
    """Figures of every command: floor and command alternately. Raises SystemExit for an unexpected exit
    code."""
    (spec,) = find(["2000"])
    catalog = spec.catalog(cache)
    with tempfile.TemporaryDirectory() as folder:
        plan = Path(folder) / "plan.json"
        names = _names(spec, catalog, plan, limit_s, measured)
        results = [_figures(command, names, runs, limit_s, floor, measured) for command in COMMANDS]
        times = [
            json.loads(measured([sys.executable, "-c", REPLAN, str(plan)], limit_s)[3])[-1]
            for _ in range(runs)
        ]
        results.append(
            {
                "name": "replan in a running process, 2000",
                "wall_s": median(times),
                "points": None,
                "most_s": REPLAN_MOST_S,
                "ratio": None,
                "most_ratio": None,
            }
        )
    return results


def _names(spec: Spec, catalog: Path, plan: Path, limit_s: float, measured: Measured) -> dict[str, str]:
    """What the words in capitals stand for; writes the plan file."""
    command = [
        sys.executable,
        "-m",
        "partsolver",
        "recommend",
        str(SURVEY),
        "--catalog",
        str(catalog),
        *_options(FEASIBLE),
        "--out",
        str(plan),
    ]
    _, _, code, _ = measured(command, limit_s)
    if code != 0:
        raise SystemExit(f"the plan for replan: exit code {code}")
    parts = json.loads(plan.read_text(encoding="utf-8"))["plans"][0]["parts"]
    return {
        "CATALOG": str(catalog),
        "PLAN": str(plan),
        "CPU": parts["cpu"],
        "MEMORY": parts["memory"][0]["id"],
    }


def _figures(
    command: Command,
    names: dict[str, str],
    runs: int,
    limit_s: float,
    floor: Sequence[str],
    measured: Measured,
) -> dict[str, Any]:
    arguments = [names.get(word, word) for word in command.arguments]
    walls, floors, out = [], [], b""
    for _ in range(runs):
        floors.append(measured(floor, limit_s)[0])
        wall, _, code, out = measured([sys.executable, "-m", "partsolver", *arguments], limit_s)
        if code != command.code:
            raise SystemExit(f"{command.name}: exit code {code}, expected {command.code}")
        walls.append(wall)
    points = len(json.loads(out)["points"]) if "tradeoff" in arguments else None
    return {
        "name": command.name,
        "wall_s": median(walls),
        "ratio": median(walls) / median(floors),
        "points": points,
        "most_s": command.most_s,
        "most_ratio": command.most_ratio,
    }
