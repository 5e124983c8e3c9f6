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
    show_settings,
    survey,
    tradeoff,
    why,
)
from partsolver.cli.general import EVERYWHERE

app = typer.Typer(
    name="partsolver",
    help="Find the best new board, processor and memory for a PC whose case, supply and drives stay.",
    epilog="The manual: partsolver guide",
    add_completion=True,
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
    quiet: Annotated[
        bool, typer.Option("--quiet", "-q", help="No remarks and no progress, only results and refusals.")
    ] = False,
    verbose: Annotated[
        bool, typer.Option("--verbose", "-v", help="Tell on standard error what is done, with times.")
    ] = False,
    no_drawings: Annotated[
        bool,
        typer.Option(
            "--no-drawings", help="Sentences in place of columns and drawings, for a screen reader."
        ),
    ] = False,
    language: Annotated[
        str | None,
        typer.Option(metavar="CODE", help="Numbers and dates as written there (de, en_GB ...)."),
    ] = None,
) -> None:
    """Options of the program itself; `run` acts on all but --version, wherever they stand."""


app.command("recommend", epilog=EVERYWHERE)(recommend.recommend)
app.command("check", epilog=EVERYWHERE)(check.check)
app.add_typer(catalog.app, name="catalog")
app.add_typer(survey.app, name="survey")
app.command("why", epilog=EVERYWHERE)(why.why)
app.command("replan", epilog=EVERYWHERE)(replan.replan)
app.command("tradeoff", epilog=EVERYWHERE)(tradeoff.tradeoff)
app.command("sheet", epilog=EVERYWHERE)(sheet.sheet)
app.command("measure", epilog=EVERYWHERE)(measure.measure)
app.command("compare", epilog=EVERYWHERE)(compare.compare)
app.command("guide", epilog=EVERYWHERE)(guide.guide)
app.command("settings", epilog=EVERYWHERE)(show_settings.settings)
