"""Stored small instances with their optimum: ``python -m benchmarks.instances`` checks, ``--record`` writes
anew.

An instance is a catalogue folder, a survey (``survey.toml`` beside them) and wishes. ``expected.json`` holds
what brute force found: every combination of board, processor and memory completed by plain purchase and
judged by the plain predicates, without the model, without pruning and without bounds. Record again after a
rule changed on purpose.
"""

from __future__ import annotations

import argparse
import itertools
import json
import os
import shutil
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

from benchmarks.generate import generate
from benchmarks.phases import load_problem
from benchmarks.specs import FEASIBLE, IMPOSSIBLE, SURVEY, TIGHT, Spec

HERE = Path(__file__).resolve().parent / "instances"
WANTED = 5
# name: size and making, wishes. "twins" repeats every part at the same price under another id: ties
# everywhere.
INSTANCES: Mapping[str, tuple[Mapping[str, int], Mapping[str, object]]] = {
    "feasible": ({"parts": 80, "seed": 11}, FEASIBLE),
    "tight-many-extras": ({"parts": 90, "seed": 12, "extras_permille": 400}, TIGHT),
    "many-sellers": ({"parts": 70, "seed": 13, "seller_count": 20, "most_offers": 5}, {"budget": "180.00"}),
    "twins": ({"parts": 50, "seed": 14}, FEASIBLE),
    "impossible": ({"parts": 60, "seed": 15}, IMPOSSIBLE),
}


def problem_of(name: str) -> Any:
    """The problem of a stored instance."""
    spec = Spec(name, None, INSTANCES[name][1])
    return load_problem(spec, HERE / name, survey_path=HERE / "survey.toml", alternatives=WANTED)


def brute_force(problem: Any) -> list[dict[str, Any]]:
    """The best plans by (step, cost, watts, part keys), every combination looked at; empty when there is
    none."""
    from partsolver.assembly.loads import total_load
    from partsolver.plan.complete import allowed_by, complete, judge
    from partsolver.plan.identity import identity
    from partsolver.plan.steps import step_of
    from partsolver.problem.candidates import SLOTS, Parts
    from partsolver.rules import all_rules

    rules = all_rules()
    allowed = allowed_by(problem, rules)
    rest = [problem.slot(slot)[0] for slot in SLOTS[3:]]
    drafts = []
    for three in itertools.product(*(problem.slot(slot) for slot in SLOTS[:3])):
        if not _may_fit(*three):
            continue
        draft = complete(problem, Parts((*three, *rest)), rules, allowed)
        if draft is not None and all(finding.admits for finding in judge(problem, draft, rules)):
            drafts.append(draft)
    if not drafts:
        return []
    least = min(draft.time_ppm for draft in drafts)
    resolution = Fraction(problem.brief.resolution_percent)

    def order(draft: Any) -> Any:
        return (
            step_of(draft.time_ppm, least, resolution),
            draft.cost,
            -(-total_load(problem, draft.parts).mw // 1000),
            draft.parts.keys,
        )

    found: dict[Any, Any] = {}
    for draft in sorted(drafts, key=order):
        found.setdefault(identity(draft.parts), draft)
        if len(found) == problem.brief.alternatives:
            break
    return [{"time_ppm": d.time_ppm, "cost": d.cost, "step": order(d)[0]} for d in found.values()]


def _may_fit(board: Any, cpu: Any, memory: Any) -> bool:
    """Parts of different sockets or memory generations never fit; this only saves time."""
    sockets = board.part.socket == cpu.part.socket or None in (board.part.socket, cpu.part.socket)
    generations = (board.part.memory_generation, memory.part.generation)
    return sockets and (generations[0] == generations[1] or None in generations)


def record() -> None:
    """Generate the instances again and store what brute force finds."""
    HERE.mkdir(exist_ok=True)
    if not (HERE / "survey.toml").is_file():
        shutil.copy(SURVEY, HERE / "survey.toml")
    expected = {}
    for name, (made, _) in INSTANCES.items():
        generate(HERE / name, **made)
        if name == "twins":
            _double(HERE / name)
        problem = problem_of(name)
        plans = brute_force(problem)
        expected[name] = {
            "digest": problem.catalog.digest,
            "outcome": "optimal" if plans else "impossible",
            "plans": plans,
        }
        print(name, expected[name]["outcome"], [(p["time_ppm"], p["cost"]) for p in plans])
    text = (
        json.dumps({"how": "python -m benchmarks.instances --record", "instances": expected}, indent=1) + "\n"
    )
    waiting = HERE / "expected.json.part"
    waiting.write_text(text, encoding="utf-8")
    os.replace(waiting, HERE / "expected.json")


def _double(folder: Path) -> None:
    """Every board, processor and kit a second time under another id, with the same offers."""
    doubled: set[str] = set()
    for table in ("boards", "cpus", "memory", "offers"):
        path = folder / f"{table}.csv"
        head, *lines = path.read_text(encoding="utf-8").splitlines()
        if table != "offers":
            doubled |= {line.split(",")[0] for line in lines}
        twins = ["twin-" + line for line in lines if line.split(",")[0] in doubled]
        waiting = path.with_name(path.name + ".part")
        waiting.write_text("\n".join([head, *lines, *twins]) + "\n", encoding="utf-8", newline="\n")
        os.replace(waiting, path)


def check(name: str, prune: bool = True) -> list[str]:
    """What differs between the stored optimum and the product's answer (empty: nothing)."""
    from partsolver.solve.recommend import recommend

    stored = json.loads((HERE / "expected.json").read_text(encoding="utf-8"))["instances"][name]
    problem = problem_of(name)
    if problem.catalog.digest != stored["digest"]:
        return [f"{name}: the catalogue's digest is {problem.catalog.digest}, stored is {stored['digest']}"]
    outcome = recommend(problem, prune=prune)
    faults = []
    if outcome.status != stored["outcome"]:
        faults.append(f"{name}: outcome {outcome.status}, expected {stored['outcome']}")
    found = [{"time_ppm": p.draft.time_ppm, "cost": p.draft.cost, "step": p.step} for p in outcome.plans]
    if found != stored["plans"]:
        faults.append(f"{name}: plans {found}, expected {stored['plans']}")
    return faults


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument(
        "--record", action="store_true", help="generate the instances and find their optimum by brute force"
    )
    if parser.parse_args().record:
        record()
        return
    faults = [fault for name in INSTANCES for prune in (True, False) for fault in check(name, prune)]
    print(
        "\n".join(faults)
        or f"{len(INSTANCES)} instances: every answer is the one brute force found, with and without pruning"
    )
    raise SystemExit(1 if faults else 0)


if __name__ == "__main__":
    main()
