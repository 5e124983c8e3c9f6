"""Where the time goes: ``python -m benchmarks.profiled SPEC``: phases, then the costliest calls (cProfile,
cumulative).

The profiler slows Python code (not the solver) to about half: phase times here are for comparing with one
another.
"""

from __future__ import annotations

import argparse
import cProfile
import json
import pstats
from pathlib import Path

from benchmarks.phases import measure_phases
from benchmarks.specs import CACHE, find


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("spec")
    parser.add_argument("--top", type=int, default=15)
    parser.add_argument("--cache", type=Path, default=CACHE)
    given = parser.parse_args()
    (spec,) = find([given.spec])
    folder = spec.catalog(given.cache)
    profile = cProfile.Profile()
    seconds, outcome = profile.runcall(measure_phases, spec, folder)
    print(json.dumps({"outcome": outcome} | {phase: round(value, 3) for phase, value in seconds.items()}))
    pstats.Stats(profile).strip_dirs().sort_stats("cumulative").print_stats(given.top)


if __name__ == "__main__":
    main()
