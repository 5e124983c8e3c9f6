"""What `fleet` and the `replan` of a fleet share: workers, finished work, output."""

from __future__ import annotations

import sys
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from partsolver.cli import options as o

if TYPE_CHECKING:
    from partsolver.fleet.kept import WorkFile
    from partsolver.fleet.outcome import FleetOutcome
    from partsolver.fleet.records import Fleet
    from partsolver.fleet.stored import FleetSource
    from partsolver.solve.fleet.plan import Before


def planned(
    read: Fleet,
    kept_in: Path | None,
    seconds: float,
    workers: int = 1,
    scheduler: str | None = None,
    before: Before | None = None,
) -> FleetOutcome:
    """The answer for a fleet that was read. kept_in: the folder in which finished work is kept."""
    from partsolver.cli.progress import working
    from partsolver.fleet.cluster import workers_of
    from partsolver.model.solve import Limits
    from partsolver.solve.fleet.plan import plan_fleet, stock_of

    stock, limits = stock_of(read), Limits(deterministic_s=seconds)
    with (
        _kept(kept_in, stock.digest, before is None) as file,
        working("planning the fleet") as doing,
        workers_of(read.classes, stock, workers, scheduler) as doers,
    ):
        if file is None:
            return plan_fleet(read, doers, limits, doing, before=before)
        return plan_fleet(read, doers, limits, doing, file.solved, before)


@contextmanager
def _kept(folder: Path | None, stock: str, tidy: bool) -> Iterator[WorkFile | None]:
    """The file of finished work in a fleet's folder; none for the demo, and where nothing can be written."""
    import sqlite3

    from partsolver.fleet.kept import FILE, WorkFile

    file = None
    if folder is not None:
        try:
            file = WorkFile(folder / FILE, stock, tidy)
        except sqlite3.OperationalError as error:
            o.remark(f"finished work is not kept: {folder / FILE} cannot be used ({error})")
    try:
        yield file
    finally:
        if file is not None:
            _told_of(file)
            file.close()


def _told_of(file: WorkFile) -> None:
    from partsolver.report.words.counts import count_of

    if file.used:
        o.remark(f"finished work of an earlier run was taken from {file.path}")
    if file.damaged:
        told = count_of(file.damaged, "finished solve")
        o.remark(f"{told} in {file.path} came to harm, done again (is the disk failing?)")
    if file.lost is not None:
        o.remark(
            f"finished work is not kept any more: {file.path} fails ({file.lost}). Free some room, or delete the file"
        )


def told_of_broken(read: Fleet, folder: Path, planned: Collection[str] = ()) -> None:
    """Say which surveys are left out, and which PCs that were ``planned`` have none any more. Raises InputRefused when
    none is left."""
    for pc, faults in read.broken:
        for fault in faults:
            o.remark(f"{pc} is left out: {fault}")
    there = {pc for one in read.classes for pc in one.pcs} | {pc for pc, _ in read.broken}
    for pc in sorted(set(planned) - there):
        o.remark(
            f"{pc} has a plan, and no survey in {folder} any more: was it renamed? What it was to get is free"
        )
    if not read.classes:
        raise o.refuse(str(folder), "none of its surveys can be read", None, "at least one whole survey")


def put_out(outcome: FleetOutcome, source: FleetSource, out: Path | None, format: str) -> None:
    """Write the answer into a folder, and print it."""
    from partsolver.base.textfile import write_folder
    from partsolver.report.document import dump
    from partsolver.report.fleet import fleet_document, fleet_text
    from partsolver.report.fleet_files import fleet_files, plans_csv

    if out is not None:
        write_folder(out, fleet_files(outcome, source))
        o.remark(f"index page, bench sheets and tables written to {out}")
    document = fleet_document(outcome)
    writers = {
        "json": lambda: dump(document),
        "csv": lambda: plans_csv(document),
        "text": lambda: fleet_text(outcome),
    }
    sys.stdout.write(writers[format]())
