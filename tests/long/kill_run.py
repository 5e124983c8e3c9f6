"""Long run: kill -9 at random moments, so many times for each kind of file that the program writes.

    PYTHONPATH=.:tests python tests/long/kill_run.py --times 200

Prints how often each was killed midway; ends with a message at the first file that is neither old nor new, or at
something that is left behind.
"""

from __future__ import annotations

import argparse
import random
import tempfile
from pathlib import Path

from kills import KINDS, begin, kill_at_random


def main() -> None:
    """Kill each kind."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--times", type=int, default=200)
    wanted.add_argument("--kind", choices=sorted(KINDS))
    given = wanted.parse_args()
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        begin(place / "begun")
        for kind in [given.kind] if given.kind else KINDS:
            counts = kill_at_random(kind, place / "begun", place, given.times, random.Random(f"kill {kind}"))
            print(
                f"{kind}: {counts['killed']} times killed, {counts['ended before']} times ended before",
                flush=True,
            )


if __name__ == "__main__":
    main()
