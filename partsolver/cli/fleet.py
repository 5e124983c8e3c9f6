"""`partsolver fleet`: many PCs, one stock, one budget."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from partsolver.cli import options as o

if TYPE_CHECKING:
    from partsolver.fleet.kept import WorkFile


def fleet(
    folder: Annotated[
        Path | None,
        typer.Argument(
            metavar="FOLDER", help="Folder of surveys, one TOML file per PC (not needed with --demo)."
        ),
    ] = None,
    catalog: o.CatalogDir = None,
    demo: o.Demo = False,
    budget: Annotated[
        str | None, typer.Option(metavar="AMOUNT", help="Most money for all PCs together.")
    ] = None,
    goal: Annotated[
        Literal["most-pcs", "most-speed", "worst-first"],
        typer.Option(
            case_sensitive=False,
            help="most-pcs: as many as possible over --min-speedup; most-speed: the greatest total gain; "
            "worst-first: the slowest PC as fast as possible.",
        ),
    ] = "most-pcs",
    min_speedup: Annotated[
        str, typer.Option(metavar="X", help="Least speed-up that counts with the goal most-pcs.")
    ] = "1.25",
    scrap: Annotated[
        bool, typer.Option("--scrap", help="PCs that run may be taken apart for the others, too.")
    ] = False,
    use: o.UseName = None,
    without: o.Without = None,
    need_by: o.NeedBy = None,
    min_memory_gb: o.MinMemory = None,
    today: o.Today = None,
    workers: Annotated[int, typer.Option(metavar="N", help="Worker processes.")] = 1,
    scheduler: Annotated[
        str | None,
        typer.Option(
            metavar="ADDRESS",
            help="Do the work on a cluster: address of a Dask scheduler (extra fleet), such as tcp://10.0.0.5:8786.",
        ),
    ] = None,
    limit: o.Seconds = 8.0,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="DIR",
            help="Write everything into a folder: index.html, a bench sheet per PC, tables as CSV, text and JSON.",
        ),
    ] = None,
    format: Annotated[
        Literal["text", "json", "csv"],
        typer.Option(case_sensitive=False, help="csv: one row for each part of each PC."),
    ] = "text",
) -> int:
    """A plan for every PC of a folder from one stock and one budget, parts taken out of one PC for another
    included.

    Beside the surveys may lie shelf.csv (part,count,condition) and price-breaks.csv (part,seller,from,price).
    Finished work is kept there in fleet-work.sqlite: a run that was stopped goes on where it stopped.
    """
    _check(min_speedup, workers)
    if scheduler is not None and workers != 1:
        raise o.refuse("--workers", "does not go with --scheduler", workers, "one of the two")
    seconds = o.seconds(limit)
    changes = o.overrides(use=use, without=without, need_by=need_by, min_memory_gb=min_memory_gb, today=today)
    from partsolver.base.quantities import given_amount
    from partsolver.base.textfile import write_folder
    from partsolver.catalog.load import load_catalog
    from partsolver.cli.progress import working
    from partsolver.fleet.cluster import workers_of
    from partsolver.fleet.kept import Keeping
    from partsolver.fleet.reading import read_fleet
    from partsolver.fleet.records import FleetWishes
    from partsolver.model.solve import Limits
    from partsolver.report.document import dump
    from partsolver.report.fleet import fleet_document, fleet_text
    from partsolver.report.fleet_files import fleet_files, plans_csv
    from partsolver.solve.fleet.plan import plan_fleet, stock_of

    given = folder
    folder, catalog = _places(folder, catalog, demo, out)
    loaded = load_catalog(catalog)
    money = (
        None if budget is None else given_amount("--budget", budget, loaded.info.digits, loaded.info.currency)
    )
    if money is not None and money < 0:
        raise o.refuse("--budget", "must not be negative", budget, "an amount of 0 or more")
    read = read_fleet(folder, loaded, FleetWishes(goal, money, min_speedup, scrap), changes)
    for pc, faults in read.broken:
        for fault in faults:
            o.remark(f"{pc} is left out: {fault}")
    if not read.classes:
        raise o.refuse(str(folder), "none of its surveys can be read", None, "at least one whole survey")
    limits = Limits(deterministic_s=seconds)
    stock = stock_of(read)
    with (
        _kept(None if demo and given is None else folder, stock.digest) as file,
        working("planning the fleet") as doing,
        workers_of(read.classes, stock, workers, scheduler) as doers,
    ):
        if file is None:
            outcome = plan_fleet(read, doers, limits, doing)
        else:
            outcome = plan_fleet(read, Keeping(doers, file), limits, doing, file.solved)
    if out is not None:
        write_folder(out, fleet_files(outcome))
        o.remark(f"index page, bench sheets and tables written to {out}")
    document = fleet_document(outcome)
    writers = {
        "json": lambda: dump(document),
        "csv": lambda: plans_csv(document),
        "text": lambda: fleet_text(outcome),
    }
    sys.stdout.write(writers[format]())
    return 0


@contextmanager
def _kept(folder: Path | None, stock: str) -> Iterator[WorkFile | None]:
    """The file of finished work in a fleet's folder; none for the demo, and where nothing can be written."""
    import sqlite3

    from partsolver.fleet.kept import FILE, WorkFile

    file = None
    if folder is not None:
        try:
            file = WorkFile(folder / FILE, stock)
        except sqlite3.OperationalError as error:
            o.remark(f"finished work is not kept: {folder / FILE} cannot be written ({error})")
    try:
        yield file
        if file is not None and file.used:
            o.remark(f"finished work of an earlier run was taken from {file.path}")
    finally:
        if file is not None:
            file.close()


def _check(min_speedup: str, workers: int) -> None:
    if not 1 <= workers <= 256:
        raise o.refuse("--workers", "not a number of processes", workers, "1 to 256")
    if not re.fullmatch(r"[0-9]{1,3}(\.[0-9]{1,3})?", min_speedup) or float(min_speedup) <= 0:
        raise o.refuse("--min-speedup", "not a speed-up", min_speedup, "a number above 0, such as 1.5")


def _places(folder: Path | None, catalog: Path | None, demo: bool, out: Path | None) -> tuple[Path, Path]:
    """The folders of the surveys and of the catalogue: the demo's where it is asked for."""
    from partsolver.catalog.dictionary import data_folder

    if catalog is not None and demo:
        raise o.refuse("--demo", "does not go with --catalog", str(catalog), "one of the two")
    if catalog is None and not demo:
        raise o.refuse("--catalog", o.NO_CATALOG, None, "the folder of a catalogue", o.NO_CATALOG_HINT)
    if folder is None and not demo:
        raise o.refuse("FOLDER", "is missing", None, "a folder of surveys, one TOML file per PC")
    if out is not None and out.exists() and (not out.is_dir() or any(out.iterdir())):
        raise o.refuse("--out", "is there already and not empty", str(out), "a new or an empty folder")
    if folder is None:
        o.remark("the demo fleet: six PCs of an invented community house, with a shelf")
    return folder or data_folder() / "demo-fleet", catalog or data_folder() / "demo"
