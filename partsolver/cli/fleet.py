"""`partsolver fleet`: many PCs, one stock, one budget."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from partsolver.cli import options as o


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
    limit: o.Seconds = o.FLEET_SECONDS,
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
    from partsolver.catalog.load import load_catalog
    from partsolver.cli.fleet_run import planned, put_out, told_of_broken
    from partsolver.fleet.reading import read_fleet
    from partsolver.fleet.records import FleetWishes
    from partsolver.fleet.stored import fleet_budget, source_of

    surveys, parts = _places(folder, catalog, demo, out)
    loaded = load_catalog(parts)
    wishes = FleetWishes(goal, fleet_budget("--budget", budget, loaded), min_speedup, scrap)
    read = read_fleet(surveys, loaded, wishes, changes)
    told_of_broken(read, surveys)
    outcome = planned(read, folder, seconds, workers, scheduler)
    source = source_of(out, folder, catalog, wishes, changes)
    put_out(outcome, source, out, format)
    return 0


def _check(min_speedup: str, workers: int) -> None:
    from partsolver.fleet.stored import LEAST_SPEEDUP, is_least_speedup

    if not 1 <= workers <= 256:
        raise o.refuse("--workers", "not a number of processes", workers, "1 to 256")
    if not is_least_speedup(min_speedup):
        raise o.refuse("--min-speedup", "not a speed-up", min_speedup, LEAST_SPEEDUP)


def _places(folder: Path | None, catalog: Path | None, demo: bool, out: Path | None) -> tuple[Path, Path]:
    """The folders of the surveys and of the catalogue: the demo's where it is asked for."""
    from partsolver.catalog.dictionary import data_folder

    if catalog is not None and demo:
        raise o.refuse("--demo", "does not go with --catalog", str(catalog), "one of the two")
    if catalog is None and not demo:
        raise o.refuse("--catalog", o.NO_CATALOG, None, "the folder of a catalogue", o.NO_CATALOG_HINT)
    if folder is None and not demo:
        raise o.refuse("FOLDER", "is missing", None, "a folder of surveys, one TOML file per PC")
    o.check_out(out, new_folder=True)
    if folder is None:
        o.remark("the demo fleet: six PCs of an invented community house, with a shelf")
    return folder or data_folder() / "demo-fleet", catalog or data_folder() / "demo"
