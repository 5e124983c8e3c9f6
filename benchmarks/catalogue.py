"""How long a catalogue takes to fill and to load, as ratios: ``python -m benchmarks.catalogue [ROWS]
[PARTS]``.

- a price list of ROWS rows (default 20,000) added to a store, against reading the same sheet into cells
  alone;
- a store of PARTS parts (default 100,000) loaded, against the folder of CSV tables that it was made from.

Processor time of all processes (a long list's titles are read on two), and time by the clock, which on a
machine with a second core free is what a person waits; the best of three (adding: of one). All names are
invented.
"""

from __future__ import annotations

import datetime
import gc
import os
import random
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from benchmarks.generate import generate
from partsolver.catalog.adding import add
from partsolver.catalog.lists.sheets import sheets_of
from partsolver.catalog.load import load_catalog
from partsolver.catalog.sources import Wishes, read_file

TODAY = datetime.date(2026, 11, 29)
MAKERS = ("Tollmere", "Kestevan", "Virdano", "Brunnach", "Ambrosch")


def titles(count: int, seed: int = 1) -> list[str]:
    """Titles of a mixed list, each another one."""
    dice = random.Random(seed)
    made = []
    for number in range(count):
        maker, cores = dice.choice(MAKERS), dice.choice((4, 6, 8))
        made.append(
            dice.choice(
                (
                    f"{maker} B550M-{number} Micro ATX AM4 DDR4 Mainboard, 4x DIMM, HDMI",
                    f"{maker} Stile Q{cores}-{number} {cores}x 3.60 GHz So.1700 65W boxed ohne Grafik",
                    f"{maker} 16GB (2x8GB) DDR4-3200 CL16 DIMM Kit {number}",
                    f"{maker} Flach {number} Kühler für AM4/1700, 65 mm hoch",
                    f"{maker} Slate {number} Notebook, 8 GB RAM, 256 GB SSD",
                    f"SATA-Kabel 50 cm gewinkelt {number}",
                )
            )
        )
    return made


def write_list(path: Path, count: int) -> None:
    """A price list as a workbook (ECMA-376, smallest form)."""
    sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))
    from catalog.files.make_files import write_workbook

    dice = random.Random(2)
    header = [
        "Art.-Nr.",
        "Hersteller-Nr.",
        "Hersteller",
        "Bezeichnung",
        "Preis brutto EUR",
        "Bestand",
        "Lieferzeit",
    ]
    rows: list[list[str | int | float | None]] = [list(header)]
    for number, title in enumerate(titles(count)):
        price = round(dice.uniform(5, 300), 2)
        rows.append(
            [f"A{number}", f"M{number:06d}X", title.split()[0], title, price, dice.randrange(20), "3 Tage"]
        )
    write_workbook(path, {"Liste": (rows, "visible")})


def _used() -> tuple[float, float]:
    """(processor time of this process and of those it waited for, time by the clock)."""
    spent = os.times()
    return sum(spent[:4]), time.monotonic()


def seconds(work: Callable[[], object], times: int = 3) -> tuple[float, float]:
    """Least (processor time, time by the clock) of some runs."""
    runs = []
    for _ in range(times):
        begun = _used()
        work()
        runs.append(tuple(after - before for before, after in zip(begun, _used(), strict=True)))
    return min(run[0] for run in runs), min(run[1] for run in runs)


Ratio = tuple[float, float]


def _against(one: tuple[float, float], other: tuple[float, float]) -> Ratio:
    return one[0] / other[0], one[1] / other[1]


def list_ratios(folder: Path, rows: int) -> tuple[Ratio, Ratio]:
    """(reading a list whole, adding it to a store), each against reading its sheet alone, in processor time
    and by the clock."""
    path = folder / "north.xlsx"
    write_list(path, rows)
    data = path.read_bytes()
    alone = seconds(lambda: sheets_of(data))
    wishes = Wishes("EUR", TODAY)
    read = seconds(lambda: read_file(path, wishes, {}), 1)
    added = seconds(lambda: add([path], folder / "store", wishes), 1)
    return _against(read, alone), _against(added, alone)


def store_ratio(folder: Path, parts: int) -> float:
    """Loading a store against loading the CSV tables that it was made from."""
    generate(folder / "tables", parts)
    add([folder / "tables"], folder / "filled", Wishes("EUR", TODAY))
    filled, tables = (
        seconds(lambda where=where: load_catalog(folder / where)) for where in ("filled", "tables")
    )
    return filled[0] / tables[0]


def main(arguments: list[str]) -> int:
    gc.disable()  # as the command line does
    rows = int(arguments[0]) if arguments else 20_000
    parts = int(arguments[1]) if arguments[1:] else 100_000
    with tempfile.TemporaryDirectory() as name:
        read, added = list_ratios(Path(name), rows)
        print(
            f"{rows:,} rows: read {read[0]:.1f} times, added {added[0]:.1f} times the processor time of reading the"
            f" sheet alone; by the clock {read[1]:.1f} and {added[1]:.1f} times"
        )
        print(
            f"{parts:,} parts: the store loads in {store_ratio(Path(name), parts):.2f} times the time of the CSV tables"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
