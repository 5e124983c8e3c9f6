"""One peer on one spec, in a process of its own: ``python -m benchmarks.peers PEER SPEC``. Prints one JSON
line.

=========  ==========================================================================================
ours       recommend(), all rules, as many plans as the brief asks for
unpruned   the same without pruning
model      CP-SAT alone on what can be bought and used (`prune.screened`), the same plans: no search, no window
join       brute-force join with numpy, all rules, the same plans, no card bought (peer_join.py)
ours-core  recommend() on the core problem (core.py), one plan
highs      the core problem as a mixed integer program for HiGHS, one plan (peer_milp.py)
=========  ==========================================================================================

Seconds count from the joined problem; reading files and imports are left out, for all peers alike.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from benchmarks.phases import load_problem
from benchmarks.specs import CACHE, ROOT, Spec, find
from partsolver.performance.present import store_of_fewer

if TYPE_CHECKING:
    from partsolver.plan.outcome import Outcome
    from partsolver.problem.problem import Problem

PEERS = ("ours", "unpruned", "model", "join", "ours-core", "highs")


def answer_of(outcome: Any) -> list[list[int]]:
    """Time and cost of every plan."""
    return [[plan.draft.time_ppm, plan.draft.cost] for plan in outcome.plans]


def without_bought_cards(problem: Problem) -> Problem:
    """The problem for the join, which chooses no graphics card. (Where one were worth its money the answers would
    differ, and the table says so.)"""
    kept = tuple(card for card in problem.slot("graphics") if card.kept)
    return replace(
        problem, candidates={**problem.candidates, "graphics": kept}, store=store_of_fewer(problem)
    )


def model_alone(problem: Problem) -> Outcome:
    """What a good engineer would write in a day: the candidates that can be bought, have partners and keep money
    and time, and CP-SAT for all the rest."""
    from partsolver.rules import all_rules
    from partsolver.search.prune import screened
    from partsolver.solve.recommend import recommend

    left = screened(problem, all_rules())
    return recommend(problem if left is None else left.pool.restricted(), prune=False)


def run_peer(peer: str, spec: Spec, folder: Path, limit_s: float) -> dict[str, Any]:
    """The peer's answer and seconds."""
    from benchmarks.core import core_problem, core_rules
    from benchmarks.peer_join import timed
    from benchmarks.peer_milp import solve_core
    from partsolver.solve.recommend import recommend

    problem = load_problem(spec, folder)
    if peer == "join":
        return timed(without_bought_cards(problem), problem.brief.alternatives)
    if peer == "highs":
        return solve_core(core_problem(problem), limit_s)
    if peer == "ours-core":
        small, rules = core_problem(problem), core_rules()
        start = time.perf_counter()
        outcome = recommend(small, rules=rules)
        seconds = time.perf_counter() - start
        plan = outcome.plans[0].draft if outcome.plans else None
        least = outcome.provenance.least_time_ppm
        return {
            "solve_s": seconds,
            "answer": {} if plan is None else {"time_ppm": least, "cost": plan.cost},
            "status": outcome.status,
        }
    start = time.perf_counter()
    outcome = model_alone(problem) if peer == "model" else recommend(problem, prune=peer == "ours")
    return {"solve_s": time.perf_counter() - start, "answer": answer_of(outcome), "status": outcome.status}


def in_process(peer: str, spec: Spec, cache: Path, limit_s: float) -> dict[str, Any]:
    """Run a peer in a process of its own with a time limit (building and loading included)."""
    command = [
        sys.executable,
        "-m",
        "benchmarks.peers",
        peer,
        spec.name,
        "--cache",
        str(cache),
        "--limit",
        str(limit_s),
    ]
    try:
        done = subprocess.run(
            command, cwd=ROOT, capture_output=True, text=True, timeout=limit_s + 20, check=False
        )
    except subprocess.TimeoutExpired:
        return {"note": f"not done in {limit_s:.0f} s"}
    if done.returncode != 0:
        return {"note": "failed: " + (done.stderr.strip().splitlines() or ["no message"])[-1][:160]}
    result: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return result


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("peer", choices=PEERS)
    parser.add_argument("spec")
    parser.add_argument("--cache", type=Path, default=CACHE)
    parser.add_argument("--limit", type=float, default=120)
    given = parser.parse_args()
    (spec,) = find([given.spec])
    print(json.dumps(run_peer(given.peer, spec, spec.catalog(given.cache), given.limit)))


if __name__ == "__main__":
    main()
