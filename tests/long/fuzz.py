"""Long run: inputs for every reader (``fuzz_targets``), found by coverage with atheris (libFuzzer), or drawn.

    PYTHONPATH=.:tests python tests/long/fuzz.py --inputs 1000000 --folder /tmp/fuzz [--drawn]

By coverage: one process per reader, one after the other, round by round; each keeps its corpus in the folder and
goes on from it. Half of the inputs are made by libFuzzer, half by replacing pieces of a whole input. ``--drawn``:
only the latter, all readers in this process, the same for the same ``--seed``. What is neither read nor refused
within 5 s of processor time is written into the folder ``found`` once per place, and the run goes on; so is an input
that takes more than 500 MB. The table of inputs per reader is printed at the end, and stands in ``counts.json``.
Exit 1 where something was found.
"""

from __future__ import annotations

import argparse
import json
import random
import resource
import signal
import subprocess
import sys
import time
import traceback
from collections.abc import Callable
from pathlib import Path

sys.dont_write_bytecode = True  # what is imported late would be seen as written elsewhere

BATCH_SECONDS = 20


def main() -> int:
    """Let each reader have its turn until so many inputs were tried."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--inputs", type=int, default=1_000_000)
    wanted.add_argument("--folder", type=Path, default=Path("fuzz"))
    wanted.add_argument("--seconds", type=float, default=float("inf"))
    wanted.add_argument("--target", help="one reader, in this process (as the run starts it)")
    wanted.add_argument("--batch", type=int, default=BATCH_SECONDS, help="seconds of a reader's turn")
    wanted.add_argument("--drawn", action="store_true", help="without coverage")
    wanted.add_argument("--seed", type=int, default=1)
    given = wanted.parse_args()
    if given.drawn:
        return _drawn(given)
    if given.target:
        _fuzz(given.target, given.folder, given.batch)
    from fuzz_targets import TARGETS

    began, counts = time.monotonic(), _counts(given.folder)
    while sum(counts.values()) < given.inputs and time.monotonic() - began < given.seconds:
        for name in TARGETS:
            command = [sys.executable, __file__, "--target", name, "--folder", str(given.folder)]
            ended = subprocess.run([*command, "--batch", str(given.batch)], capture_output=True, check=False)
            if ended.returncode:  # libFuzzer's own verdict: too slow, too large
                (given.folder / "found").mkdir(parents=True, exist_ok=True)
                (given.folder / "found" / f"{name}-ended.txt").write_bytes(ended.stderr[-4000:])
        counts = _counts(given.folder)
    return _told(given.folder, counts)


def _told(folder: Path, counts: dict[str, int]) -> int:
    found = sorted(path.name for path in (folder / "found").glob("*"))
    for name, count in sorted(counts.items()):
        print(f"{name}: {count}")
    print(f"{sum(counts.values())} inputs, found: {', '.join(found) or 'nothing'}")
    return 1 if found else 0


def _counts(folder: Path) -> dict[str, int]:
    path = folder / "counts.json"
    counts: dict[str, int] = json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}
    return counts


def _drawn(given: argparse.Namespace) -> int:
    """Whole inputs with pieces replaced, so many for each reader in turn."""
    import fuzz_targets

    seeds = {name: target.seeds() for name, target in fuzz_targets.TARGETS.items()}
    (given.folder / "found").mkdir(parents=True, exist_ok=True)
    fuzz_targets.watch_writes(str(given.folder))
    signal.signal(signal.SIGVTALRM, _hangs)
    chance, counts, began = random.Random(given.seed), _counts(given.folder), time.monotonic()
    while sum(counts.values()) < given.inputs and time.monotonic() - began < given.seconds:
        for name, target in fuzz_targets.TARGETS.items():
            until, tried = time.process_time() + given.batch / 40, 0
            while time.process_time() < until:
                one = fuzz_targets.changed(chance.choice(seeds[name]), chance, seeds[name])
                _try(name, target.read, one, given.folder / "found")
                tried += 1
            counts[name] = counts.get(name, 0) + tried
        (given.folder / "counts.json").write_text(json.dumps(counts), encoding="utf-8")
    return _told(given.folder, counts)


def _try(name: str, read: Callable[[bytes], object], data: bytes, found: Path) -> None:
    """One input; what is wrong with it is kept once per place."""
    import fuzz_targets

    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    signal.setitimer(signal.ITIMER_VIRTUAL, fuzz_targets.SECONDS)  # a busy machine makes nothing slower
    kept = None
    try:
        fuzz_targets.refused(read, data)
    except Exception as fault:
        place = traceback.extract_tb(fault.__traceback__)[-1]
        kept = found / f"{name}-{type(fault).__name__}-{Path(place.filename).stem}-{place.lineno}"
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
    grown_mb = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024
    if grown_mb > fuzz_targets.MOST_MB:
        kept = found / f"{name}-memory"
    if kept is not None and not kept.exists():
        kept.write_bytes(data)


def _hangs(number: int, frame: object) -> None:
    raise TimeoutError("hangs")


def _fuzz(name: str, folder: Path, seconds: int) -> None:
    """Fuzz one reader for so long; does not come back (libFuzzer ends the process)."""
    import atheris

    with atheris.instrument_imports(include=["partsolver"]):
        import fuzz_targets
    target = fuzz_targets.TARGETS[name]
    seeds = target.seeds()
    corpus, found = folder / "corpus" / name, folder / "found"
    for place in (corpus, found):
        place.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(seeds):
        (corpus / f"seed-{number}").write_bytes(seed)
    before = _counts(folder)
    fuzz_targets.watch_writes(str(folder))
    signal.signal(signal.SIGVTALRM, _hangs)
    tried = 0

    def one(data: bytes) -> None:
        nonlocal tried
        tried += 1
        if tried % 50 == 0:
            (folder / "counts.json").write_text(
                json.dumps(before | {name: before.get(name, 0) + tried}), encoding="utf-8"
            )
        _try(name, target.read, data, found)

    def mutated(data: bytes, most: int, seed: int) -> bytes:
        chance = random.Random(seed)
        if seed % 2:
            return fuzz_targets.changed(data or chance.choice(seeds), chance, seeds)[:most]
        made: bytes = atheris.Mutate(data, most)
        return made

    options = [
        sys.argv[0],
        str(corpus),
        f"-max_total_time={seconds}",
        "-timeout=600",  # where a library hangs that no signal of Python's reaches
        f"-rss_limit_mb={fuzz_targets.MOST_MB + 300}",  # libraries and instrumentation take 300 MB alone
        f"-max_len={fuzz_targets.MOST_BYTES}",
        f"-artifact_prefix={found}/{name}-",
        "-report_slow_units=3600",
        "-verbosity=0",
    ]
    atheris.Setup(options, one, custom_mutator=mutated)
    atheris.Fuzz()


if __name__ == "__main__":
    sys.exit(main())
