"""Fleets of many PCs: time, memory and gap by the number of PCs and of workers.

``python -m benchmarks.fleet [--pcs 100] [--kinds 40] [--workers 1] [--goal most-speed] [--catalog DIR]``. The kinds are
the demo survey with other memory, processors, boards' limits and uses; all of it invented.
"""

from __future__ import annotations

import argparse
import json
import random
import resource
import tempfile
import time
from pathlib import Path

from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import Catalog, load_catalog
from partsolver.fleet.pool import Pool
from partsolver.fleet.reading import read_fleet
from partsolver.fleet.records import FLEET_GOALS, FleetWishes
from partsolver.fleet.work import Here
from partsolver.model.solve import Limits
from partsolver.report.fleet import fleet_document
from partsolver.solve.fleet.plan import plan_fleet, stock_of

PER_PC_MINOR = 6000  # of the budget
BOTH = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)


def used(who: int) -> tuple[float, float, int]:
    """User and system seconds, and most memory in KiB, of this process or of its children."""
    found = resource.getrusage(who)
    return found.ru_utime, found.ru_stime, found.ru_maxrss


def kind_text(number: int) -> str:
    """The survey of one kind of PC."""
    draw = random.Random(number)
    text = (data_folder() / "demo-survey.toml").read_text(encoding="utf-8")
    serial = draw.randrange(420, 760, 4)
    cores = draw.choice([2, 2, 4])
    changes = {
        "count = 2\nregistered": f"count = {draw.choice([1, 2, 4])}\nregistered",
        "capacity_mib = 2048": f"capacity_mib = {draw.choice([1024, 2048, 4096])}",
        "serial_score = 602\nparallel_score = 1140": f"serial_score = {serial}\nparallel_score = {serial * cores * 19 // 20}",
        "cores = 2\nthreads = 2": f"cores = {cores}\nthreads = {cores}",
        "max_board_depth_mm = 230": f"max_board_depth_mm = {draw.choice([200, 230, 244])}",
        "max_cooler_height_mm = 128": f"max_cooler_height_mm = {draw.choice([70, 128, 160])}",
        'use = "office"': f'use = "{draw.choice(["office", "photo"])}"',
    }
    for before, after in changes.items():
        if before not in text:
            raise SystemExit(f"the demo survey does not hold {before!r} any more")
        text = text.replace(before, after)
    return text


def shelf_text(catalog: Catalog, pieces: int) -> str:
    """The shelf: so many boards, processors, kits and coolers of the catalogue in turn, used ones."""
    parts = [row.id for table in ("boards", "cpus", "memory", "coolers") for row in catalog.tables[table]]
    counts = {part: pieces // len(parts) + (place < pieces % len(parts)) for place, part in enumerate(parts)}
    rows = [f"{part},{count},used" for part, count in counts.items() if count]
    return "\n".join(["part,count,condition", *rows]) + "\n"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pcs", type=int, default=100)
    parser.add_argument("--kinds", type=int, default=40)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--goal", choices=FLEET_GOALS, default="most-speed")
    parser.add_argument("--catalog", type=Path, default=data_folder() / "demo")
    parser.add_argument("--shelf", type=int, default=2000, help="pieces that lie on the shelf")
    given = parser.parse_args()
    kinds = [kind_text(number) for number in range(given.kinds)]
    with tempfile.TemporaryDirectory() as folder:
        for number in range(given.pcs):
            text = kinds[number % given.kinds]
            (Path(folder) / f"pc{number:05}.toml").write_text(text, encoding="utf-8")
        catalog = load_catalog(given.catalog)
        (Path(folder) / "shelf.csv").write_text(shelf_text(catalog, given.shelf), encoding="utf-8")
        begun = time.perf_counter()
        wishes = FleetWishes(given.goal, PER_PC_MINOR * given.pcs, "1.25")
        fleet = read_fleet(Path(folder), catalog, wishes, {})
        read = time.perf_counter()
        if given.workers == 1:
            outcome = plan_fleet(fleet, Here(fleet.classes, stock_of(fleet)), Limits())
        else:
            with Pool(fleet.classes, stock_of(fleet), given.workers) as pool:
                outcome = plan_fleet(fleet, pool, Limits())
    done = time.perf_counter()
    told = {
        "pcs": given.pcs,
        "kinds": len(fleet.classes),
        "workers": given.workers,
        "goal": given.goal,
        "read_s": round(read - begun, 1),
        "plan_s": round(done - read, 1),
        # Goal by goal: value, bound, and the gap in per cent of the bound.
        "stages": [
            (s.name, s.value, s.bound, round(100 * abs(s.bound - s.value) / max(1, abs(s.bound)), 2))
            for s in outcome.stages
        ],
        "cpu_s": round(sum(sum(used(who)[:2]) for who in BOTH), 1),
        "cost": fleet_document(outcome)["cost"],
        # Of this process and, with several, of the largest worker.
        "memory_mib": [used(who)[2] // 1024 for who in BOTH],
    }
    print(json.dumps(told))


if __name__ == "__main__":
    main()
