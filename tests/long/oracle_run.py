"""Long run: the product against the oracle on numbered worlds, several questions each.

    PYTHONPATH=.:tests python tests/long/oracle_run.py --first 10000 --questions 100000 --log oracle.log

Differences are appended to the log as they are found; the summary is its last lines. Exit 1 where there is one.
A run that was ended goes on where its log last counted, with those counts.
"""

from __future__ import annotations

import argparse
import ast
import re
import sys
import time
from collections import Counter
from pathlib import Path
from typing import Any

from oracle_worlds import World, world_of
from world_questions import Question, difference, enlarged, questions

from partsolver.search import prune

SMALL = prune.SMALL
EVERY_PRINT = 50
ENLARGED = 200_000  # plans of 10^9 minor units and more


def main() -> int:
    """Ask until so many questions are answered."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--first", type=int, default=10_000, help="number of the first world")
    wanted.add_argument("--questions", type=int, default=100_000)
    wanted.add_argument("--seconds", type=float, default=float("inf"))
    wanted.add_argument("--log", type=Path, default=Path("oracle.log"))
    given = wanted.parse_args()
    number, seen = _where_it_ended(given.log, given.first)
    began = time.monotonic()
    while seen["questions"] < given.questions and time.monotonic() - began < given.seconds:
        _ask(number, seen, given.log)
        number += 1
        if number % EVERY_PRINT == 0:
            _say(given.log, f"next {number}: {dict(sorted(seen.items()))} {time.monotonic() - began:.0f} s")
    _say(given.log, f"ended before {number}: {dict(sorted(seen.items()))} {time.monotonic() - began:.0f} s")
    return 1 if seen["differences"] or seen["faults"] else 0


def _where_it_ended(log: Path, first: int) -> tuple[int, Counter[str]]:
    """The number of the next world and what was counted before it, as the log tells."""
    lines = log.read_text(encoding="utf-8").splitlines() if log.exists() else []
    told = [found for line in lines if (found := re.match(r"next (\d+): (\{.*\}) ", line))]
    return (int(told[-1][1]), Counter(ast.literal_eval(told[-1][2]))) if told else (first, Counter())


def _ask(number: int, seen: Counter[str], log: Path) -> None:
    # Worlds are so small that the search for bounds would not be tried: in half of them it is.
    prune.SMALL = SMALL if number % 2 else 0
    world = world_of(number)
    if number % 10 == 0:
        world = enlarged(world, ENLARGED)
        seen["worlds with amounts of 10^9 minor units"] += 1
    seen["worlds"] += 1
    seen.update(_features(world))
    for at, question in enumerate(questions(world, number)):
        seen["questions"] += 1
        seen["with a plan" if question.expected else "without a plan"] += 1
        seen.update(_of_plans(question))
        try:
            found = difference(question)
        except Exception as fault:  # the run goes on: every kind is to be found
            seen["faults"] += 1
            _say(log, f"FAULT world {number} question {at}: {fault!r}")
            continue
        if found is not None:
            seen["differences"] += 1
            _say(log, f"DIFFERENCE world {number} question {at}: {found}")


def _features(world: World) -> list[str]:
    problem = world.problem
    tables: Any = problem.source.tables
    named = {
        "worlds with several sellers": len(tables["sellers"]) > 1,
        "worlds with extras": bool(tables["extras"]),
        "worlds with bundles": bool(tables["bundles"]),
        "worlds with facts from titles": bool(problem.source.marks),
        "worlds with optional things": any(
            not row.required
            for rows in ("cards", "drives", "displays", "devices")
            for row in getattr(problem.survey, rows)
        ),
    }
    return [name for name, there in named.items() if there]


def _of_plans(question: Question) -> list[str]:
    """What the first plan of the oracle takes: the features that matter to an answer."""
    if not question.expected:
        return []
    keys = question.expected[0].keys
    found = []
    if keys[7] not in ("none", "kept-graphics") and not keys[7].startswith("kept"):
        found.append("first plans with a bought graphics card")
    if any(not key.startswith("kept") for key in keys[4:7]):
        found.append("first plans with a kept part replaced")
    return found


def _say(log: Path, line: str) -> None:
    with log.open("a", encoding="utf-8") as out:
        out.write(line + "\n")


if __name__ == "__main__":
    sys.exit(main())
