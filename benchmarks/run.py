"""One command for all figures: ``python -m benchmarks.run``; ``--smoke`` for CI; ``--peers`` adds the other
ways.

Whole process: wall time and peak memory of ``python -m partsolver recommend SURVEY --catalog DIR --format
json`` against the floor, a process that only imports ortools.sat.python.cp_model and pandas. Both run
alternately in the same session; figures are medians with their spread. The last table and the plot go into
README.md and growth.png.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from statistics import median
from typing import Any

from benchmarks.specs import CACHE, ROOT, SURVEY, Spec, find

FLOOR = [sys.executable, "-c", "import ortools.sat.python.cp_model, pandas"]
DEFAULT = (
    "demo",
    "demo-store",
    "2000",
    "2000-store",
    "2000-tight",
    "2000-impossible",
    "2000-many-extras",
    "2000-many-sellers",
    "20000",
    "20000-store",
    "100000",
    "100000-store",
)
PEER_SPECS = ("demo", "2000", "5000", "20000")
EXIT_OF = {"optimal": 0, "impossible": 1}


def environment() -> dict[str, str]:
    """As on a machine where the program has run before: the compiled modules are kept, the libraries' and
    ours alike."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return kept | {"PYTHONPYCACHEPREFIX": os.environ.get("PYTHONPYCACHEPREFIX") or str(CACHE / "compiled")}


def measured(command: Sequence[str], limit_s: float) -> tuple[float, int, int, bytes]:
    """Wall seconds, peak resident KiB, exit code and standard output of a process; exit code -9 when stopped
    at the limit.

    wait4 gives the resources of exactly this child (getrusage of all children keeps the largest of the
    session).
    """
    with tempfile.TemporaryFile() as out:
        start = time.perf_counter()
        child = subprocess.Popen(command, cwd=ROOT, env=environment(), stdout=out, stderr=subprocess.DEVNULL)
        while True:
            done, status, usage = os.wait4(child.pid, os.WNOHANG)
            if done:
                break
            if time.perf_counter() - start > limit_s:
                child.kill()
                os.wait4(child.pid, 0)
                child.returncode = -9
                return limit_s, 0, -9, b""
            time.sleep(0.002)
        wall = time.perf_counter() - start
        child.returncode = os.waitstatus_to_exitcode(status)
        # macOS counts ru_maxrss in bytes, Linux in KiB (getrusage(2)).
        peak = usage.ru_maxrss // (1024 if sys.platform == "darwin" else 1)
        out.seek(0)
        return wall, peak, child.returncode, out.read()


def whole(spec: Spec, folder: Path, runs: int, limit_s: float) -> dict[str, Any]:
    """Figures of one spec: floor and recommendation alternately."""
    command = [
        sys.executable,
        "-m",
        "partsolver",
        "recommend",
        str(SURVEY),
        "--catalog",
        str(folder),
        "--format",
        "json",
        *spec.options(),
    ]
    floors, walls, peaks, floor_peaks, outputs = [], [], [], [], set()
    for number in range(runs):
        wall, peak, _, _ = measured(FLOOR, limit_s)
        floors.append(wall)
        floor_peaks.append(peak)
        wall, peak, code, out = measured(command, limit_s)
        print(
            f"  {spec.name} {number + 1}/{runs}: {wall:.2f} s (floor {floors[-1]:.2f} s), {peak // 1024} MiB",
            file=sys.stderr,
        )
        if code == -9:
            return {"spec": spec.name, "note": f"not done in {limit_s:.0f} s", "floor_s": median(floors)}
        found = json.loads(out)["outcome"] if out else f"exit code {code}"
        if found != spec.outcome or code != EXIT_OF[spec.outcome]:
            raise SystemExit(f"{spec.name}: outcome {found} (exit code {code}), expected {spec.outcome}")
        walls.append(wall)
        peaks.append(peak)
        outputs.add(out)
    if len(outputs) > 1:
        raise SystemExit(f"{spec.name}: the answer differs between runs")
    ratios = [w / f for w, f in zip(walls, floors, strict=True)]
    return {
        "spec": spec.name,
        "parts": spec.parts,
        "wall_s": median(walls),
        "floor_s": median(floors),
        "ratio": median(walls) / median(floors),
        "low": min(ratios),
        "high": max(ratios),
        "peak_mib": median(peaks) / 1024,
        "memory_ratio": median(peaks) / median(floor_peaks),
        "wall_limit": spec.wall_limit,
        "memory_limit": spec.memory_limit,
    }


def phases_of(spec: Spec, cache: Path, runs: int, limit_s: float) -> dict[str, float] | None:
    """Median seconds by phase over fresh processes; None when the limit was reached."""
    code = (
        "import json,sys;from pathlib import Path;from benchmarks.phases import measure_phases;from"
        " benchmarks.specs import find;"
    )
    code += "(s,)=find([sys.argv[1]]);print(json.dumps(measure_phases(s,s.catalog(Path(sys.argv[2])))[0]))"
    found = []
    for _ in range(runs):
        _, _, status, out = measured([sys.executable, "-c", code, spec.name, str(cache)], limit_s)
        if status != 0:
            return None
        found.append(json.loads(out))
    return {phase: median(one[phase] for one in found) for phase in found[0]}


def smoke(cache: Path) -> int:
    """Every spec once at tiny size: the outcome is proven, and equal with and without pruning; stored
    instances agree."""
    from benchmarks.instances import INSTANCES, check
    from benchmarks.peer_join import best
    from benchmarks.peers import answer_of
    from benchmarks.phases import load_problem
    from partsolver.solve.recommend import recommend

    faults = []
    seen = set()
    for spec in find([]):
        made = (
            spec.parts is None,
            spec.stored,
            spec.tiny,
            tuple(spec.make.items()),
            tuple(spec.brief.items()),
        )
        if made in seen:
            continue
        seen.add(made)
        problem = load_problem(spec, spec.catalog(cache, tiny=True))
        outcome, unpruned = recommend(problem), recommend(problem, prune=False)
        ours = [(p.parts.keys, p.draft.cost, p.draft.time_ppm, p.step) for p in outcome.plans]
        if outcome.status != spec.outcome:
            faults.append(f"{spec.name}: outcome {outcome.status}, expected {spec.outcome}")
        if (outcome.status, ours) != (
            unpruned.status,
            [(p.parts.keys, p.draft.cost, p.draft.time_ppm, p.step) for p in unpruned.plans],
        ):
            faults.append(f"{spec.name}: with and without pruning differ")
        joined = (
            [[p["time_ppm"], p["cost"]] for p in best(problem, problem.brief.alternatives)]
            if spec.parts and len(problem.slot("graphics")) == 1
            else answer_of(outcome)
        )
        # The join does not order plans of equal step and cost, and chooses no graphics card.
        if sorted(joined) != sorted(answer_of(outcome)):
            faults.append(f"{spec.name}: the join finds {joined}, the model {answer_of(outcome)}")
        print(f"{spec.name}: {outcome.status}, {len(ours)} plans")
    for name in INSTANCES:
        faults += check(name)
    print("\n".join(faults) or "smoke run: all outcomes proven and equal")
    return 1 if faults else 0


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("specs", nargs="*", help=f"specs to run (default: {' '.join(DEFAULT)})")
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--limit", type=float, default=300, help="seconds for one process")
    parser.add_argument("--smoke", action="store_true", help="tiny sizes, no timing, checks only")
    parser.add_argument(
        "--peers", action="store_true", help="also HiGHS, the brute-force join and the model without pruning"
    )
    parser.add_argument("--peer-limit", type=float, default=120)
    parser.add_argument(
        "--cache", type=Path, default=CACHE, help="where generated catalogues are kept; safe to delete"
    )
    parser.add_argument("--out", type=Path, help="write the tables here instead of into README.md")
    given = parser.parse_args()
    if given.smoke:
        raise SystemExit(smoke(given.cache))
    from benchmarks.commands import measure_commands
    from benchmarks.peers import PEERS, in_process
    from benchmarks.tabulate import write

    measured(FLOOR, given.limit)  # once for the file cache
    measured([sys.executable, "-m", "partsolver", "recommend"], given.limit)
    results, phases, peers = [], {}, {}
    commands = [] if given.specs else measure_commands(given.cache, given.runs, given.limit, FLOOR, measured)
    for spec in find(given.specs or list(DEFAULT)):
        folder = spec.catalog(given.cache)
        result = whole(spec, folder, given.runs, given.limit)
        results.append(result)
        if "note" not in result:
            phases[spec.name] = phases_of(spec, given.cache, given.runs, given.limit)
    if given.peers:
        for spec in find(list(PEER_SPECS)):
            spec.catalog(given.cache)
            for peer in PEERS:
                print(f"  {peer} {spec.name}", file=sys.stderr)
                peers[spec.name, peer] = in_process(peer, spec, given.cache, given.peer_limit)
    write(results, phases, peers, commands, given.out, given.runs)


if __name__ == "__main__":
    main()
