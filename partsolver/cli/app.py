"""The application and its commands."""

from __future__ import annotations

from typing import Annotated

import typer

import partsolver
from partsolver.cli import (
    catalog,
    check,
    compare,
    guide,
    measure,
    recommend,
    replan,
    sheet,
    survey,
    tradeoff,
    why,
)

app = typer.Typer(
    name="partsolver",
    help="Find the best new board, processor and memory for a PC whose case, supply and drives stay.",
    epilog="The manual: partsolver guide",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _print_version(wanted: bool) -> None:
    if wanted:
        print(f"partsolver {partsolver.__version__}")
        raise typer.Exit


@app.callback()
def _common(
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_print_version, is_eager=True, help="Print the version and leave."
        ),
    ] = False,
) -> None:
    """Options of the program itself."""


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
app.command("guide")(guide.guide)
