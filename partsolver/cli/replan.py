"""`partsolver replan`: solve a stored plan again after something changed."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

import typer

from partsolver.cli import completion
from partsolver.cli import options as o


def replan(
    plan: Annotated[
        Path,
        typer.Argument(
            metavar="PLAN.json", help="File written by `recommend --out`, or fleet.json of `fleet --out`."
        ),
    ],
    gone: Annotated[
        list[str] | None,
        typer.Option(
            metavar="ID",
            help="A part, extra, bundle or kept part that cannot be had or used any more (repeat).",
            autocompletion=completion.part_ids,
        ),
    ] = None,
    price: Annotated[
        list[str] | None,
        typer.Option(
            metavar="ID=AMOUNT",
            help="A new price of a part or bundle (repeat).",
            autocompletion=completion.part_prices,
        ),
    ] = None,
    ordered: Annotated[
        list[str] | None,
        typer.Option(
            metavar="ID",
            help="A part already ordered: it stays in, as it was bought (repeat).",
            autocompletion=completion.part_ids,
        ),
    ] = None,
    catalog: o.CatalogDir = None,
    budget: o.Budget = None,
    use: o.UseName = None,
    goal: o.Goal = None,
    min_speedup: o.MinSpeedup = None,
    resolution: o.Resolution = None,
    replace: o.Replace = None,
    need_by: o.NeedBy = None,
    min_memory_gb: o.MinMemory = None,
    today: o.Today = None,
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="PLAN.json", help="Write the new recommendation to a file (of a fleet: into a folder)."
        ),
    ] = None,
    full: o.Full = False,
    format: o.OutputFormat = "text",
) -> int:
    """Old and new plan side by side after a part sold out, a price moved, or the wishes changed. Of a fleet as
    few plans as possible change; what was kept for it is read again from its folder."""
    changes = o.overrides(
        budget=budget,
        use=use,
        goal=goal,
        min_speedup=min_speedup,
        resolution_percent=resolution,
        replace=replace,
        need_by=need_by,
        min_memory_gb=min_memory_gb,
        today=today,
    )
    from partsolver.cli.progress import working
    from partsolver.explain.replan import replan as solve_again
    from partsolver.explain.replan import why_none
    from partsolver.fleet.stored import is_fleet_file
    from partsolver.planfile.plan_file import read_plan_file, write_again
    from partsolver.report import replan as report
    from partsolver.wishes.brief import Brief

    o.change_brief(Brief(), changes)  # refuses bad options before anything is read
    if is_fleet_file(plan):
        _refuse_for_fleets(price, ordered, changes)
        return replan_fleet(plan, tuple(gone or ()), catalog, budget, out, format)
    o.check_out(out)
    with working("reading the plan and the catalogue"):
        stored = read_plan_file(plan, catalog)
    prices: dict[str, str] = {}
    for text in price or []:
        part, equals, amount = text.partition("=")
        if not equals:
            raise o.refuse("--price", "not a price", text, "ID=AMOUNT, such as kit-a=19.90")
        prices[part] = amount
    with working("solving again"):
        result = solve_again(stored, gone or (), prices, ordered or (), changes)
        none = why_none(result, gone or ())
    if out is not None and result.new is not None:
        write_again(out, stored, result.outcome, result.problem)
        if str(out) == "-":
            return 0
        o.remark(f"the new plan is in {out}")
    sys.stdout.write(
        report.replan_json(result, none) if format == "json" else report.replan_text(result, none, full)
    )
    return 0 if result.new is not None else (1 if result.outcome.status == "impossible" else 3)


def _refuse_for_fleets(
    price: list[str] | None, ordered: list[str] | None, changes: Mapping[str, object]
) -> None:
    """What a fleet's plans are asked again with is --gone, --catalog and --budget."""
    given = {"--price": price, "--ordered": ordered, **{_option(name): changes[name] for name in changes}}
    for name, value in given.items():
        if value and name != "--budget":
            hint = "Change the catalogue, the shelf or the surveys, or plan the fleet anew with `partsolver fleet`."
            words = " ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)
            raise o.refuse(name, "is not for the plans of a fleet", words, None, hint)


def _option(field: str) -> str:
    return "--" + field.removesuffix("_percent").replace("_", "-")


def replan_fleet(
    path: Path,
    gone: tuple[str, ...],
    catalog: Path | None,
    budget: str | None,
    out: Path | None,
    format: str,
) -> int:
    """A fleet planned again from its file: as few plans as possible change."""
    from partsolver.catalog.load import load_catalog
    from partsolver.cli.fleet_run import planned, put_out, told_of_broken
    from partsolver.fleet.reading import read_fleet
    from partsolver.fleet.stored import catalog_without, read_fleet_file, source_of
    from partsolver.solve.fleet.plan import Before

    o.check_out(out, new_folder=True)
    stored = read_fleet_file(path, catalog, budget)
    loaded = load_catalog(stored.catalog)
    wishes = stored.wishes(loaded)
    read = read_fleet(stored.folder, catalog_without(loaded, gone), wishes, dict(stored.changes))
    told_of_broken(read, stored.folder, stored.plans)
    folder = None if stored.demo else stored.folder
    outcome = planned(read, folder, o.FLEET_SECONDS, before=Before(stored.plans, gone))
    source = source_of(out, folder, None if stored.demo_catalog else stored.catalog, wishes, stored.changes)
    put_out(outcome, source, out, format)
    return 0
