"""`partsolver replan`: solve a stored plan again after something changed."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from partsolver.cli import completion
from partsolver.cli import options as o


def replan(
    plan: Annotated[Path, typer.Argument(metavar="PLAN.json", help="File written by `recommend --out`.")],
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
        Path | None, typer.Option(metavar="PLAN.json", help="Write the new recommendation to a file.")
    ] = None,
    full: o.Full = False,
    format: o.OutputFormat = "text",
) -> int:
    """Old and new plan side by side after a part sold out, a price moved, or the wishes changed."""
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
    from partsolver.planfile.plan_file import read_plan_file, write_again
    from partsolver.report import replan as report
    from partsolver.wishes.brief import Brief

    o.change_brief(Brief(), changes)  # refuses bad options before anything is read
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
