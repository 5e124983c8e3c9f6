"""`partsolver tradeoff`: all plans that no other beats on both cost and speed-up."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Literal

import typer

from partsolver.cli import options as o


def tradeoff(
    survey: o.SurveyPath = None,
    lowest: Annotated[
        str | None, typer.Option("--from", metavar="AMOUNT", help="Least cost to look at.")
    ] = None,
    highest: Annotated[
        str | None, typer.Option("--to", metavar="AMOUNT", help="Most cost to look at; default: the budget.")
    ] = None,
    third: Annotated[
        Literal["power", "waste"] | None,
        typer.Option("--third", case_sensitive=False, help="A third column: running cost or waste."),
    ] = None,
    picture: Annotated[Path | None, typer.Option(metavar="FILE.svg|png", help="Draw the trade-off.")] = None,
    catalog: o.CatalogDir = None,
    demo: o.Demo = False,
    use: o.UseName = None,
    min_speedup: o.MinSpeedup = None,
    resolution: o.Resolution = None,
    without: o.Without = None,
    leave_out: o.LeaveOut = None,
    including: o.With = None,
    replace: o.Replace = None,
    need_by: o.NeedBy = None,
    min_memory_gb: o.MinMemory = None,
    today: o.Today = None,
    os: o.Os = None,
    format: o.OutputFormat = "text",
) -> int:
    """What a little more money buys: the exact trade-off as table and picture. Without SURVEY: the demo."""
    o.check_picture(picture)
    changes = o.overrides(
        budget=highest,
        use=use,
        min_speedup=min_speedup,
        resolution_percent=resolution,
        without=without,
        leave_out=leave_out,
        including=including,
        replace=replace,
        need_by=need_by,
        min_memory_gb=min_memory_gb,
        today=today,
        os=os,
    )
    problem = o.load_problem(survey, catalog, changes, "--to", demo=demo)
    from partsolver.base.quantities import given_amount
    from partsolver.cli.progress import counting
    from partsolver.report import tradeoff as report
    from partsolver.solve.left_out import choose_left_out
    from partsolver.solve.tradeoff import tradeoff as solve

    info = problem.catalog
    least = given_amount("--from", lowest, info.digits, info.currency) if lowest is not None else 0
    if least < 0 or (problem.budget is not None and least > problem.budget):
        raise o.refuse("--from", "must lie between 0 and the amount of --to", lowest)
    with counting("trade-off points") as progress:
        problem, _ = choose_left_out(problem)
        found = solve(problem, least, progress=progress)
    if picture is not None and found.points:
        from partsolver.report.charts import draw_tradeoff

        draw_tradeoff(picture, found, problem)
        o.remark(f"picture written to {picture}")
    sys.stdout.write(
        report.tradeoff_json(found, problem, third)
        if format == "json"
        else report.tradeoff_text(found, problem, third)
    )
    return (0 if found.points else 1) if found.proven else 3
