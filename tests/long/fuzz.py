"""Long run: inputs for every reader (``fuzz_targets``), found by coverage with atheris (libFuzzer).

    PYTHONPATH=.:tests python tests/long/fuzz.py --inputs 1000000 --folder /tmp/fuzz

One process per reader, one after the other, round by round; each keeps its corpus in the folder and goes on from
it. Half of the inputs are made by libFuzzer, half by replacing words of a whole input. What is neither read nor
refused within 5 s of processor time is written into the folder ``found`` once per place, and the run goes on; libFuzzer itself ends the
process, with the input saved, above 500 MB. The table of inputs per reader is printed at the end, and
stands in ``counts.json``. Exit 1 where something was found.
"""

from __future__ import annotations

import argparse
import json
import random
import signal
import subprocess
import sys
import time
import traceback
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
    wanted.add_argument("--batch", type=int, default=BATCH_SECONDS)
    given = wanted.parse_args()
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
    found = sorted(path.name for path in (given.folder / "found").glob("*"))
    for name, count in sorted(counts.items()):
        print(f"{name}: {count}")
    print(f"{sum(counts.values())} inputs, found: {', '.join(found) or 'nothing'}")
    return 1 if found else 0


def _counts(folder: Path) -> dict[str, int]:
    path = folder / "counts.json"
    counts: dict[str, int] = json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}
    return counts


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
        # Processor time: a busy machine makes nothing slower.
        signal.setitimer(signal.ITIMER_VIRTUAL, fuzz_targets.SECONDS)
        try:
            fuzz_targets.refused(target.read, data)
        except Exception as fault:
            place = traceback.extract_tb(fault.__traceback__)[-1]
            kept = found / f"{name}-{type(fault).__name__}-{Path(place.filename).stem}-{place.lineno}"
            if not kept.exists():
                kept.write_bytes(data)
        finally:
            signal.setitimer(signal.ITIMER_VIRTUAL, 0)

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
