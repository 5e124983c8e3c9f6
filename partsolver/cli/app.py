"""The application and its commands."""

from __future__ import annotations

import typer

from partsolver.cli import catalog, check, compare, measure, recommend, replan, sheet, survey, tradeoff, why

app = typer.Typer(
    name="partsolver",
    help="Find the best new board, processor and memory for a PC whose case, supply and drives stay.",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
app.command("recommend")(recommend.recommend)
app.command("check")(check.check)
app.add_typer(catalog.app, name="catalog")
app.add_typer(survey.app, name="survey")
app.command("why")(why.why)
app.command("replan")(replan.replan)
app.command("tradeoff")(tradeoff.tradeoff)
app.command("sheet")(sheet.sheet)
app.command("measure")(measure.measure)
app.command("compare")(compare.compare)
