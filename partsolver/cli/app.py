"""The application and its commands."""

from __future__ import annotations

from typing import Annotated

import typer

import partsolver
from partsolver.cli import (
    audit,
    catalog,
    check,
    compare,
    desk,
    fleet,
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


app.command("recommend", epilog=EVERYWHERE, short_help="Plans for a PC that differ, each proven.")(
    recommend.recommend
)
app.command("check", epilog=EVERYWHERE, short_help="Every finding for parts that you chose.")(check.check)
app.add_typer(catalog.app, name="catalog")
app.add_typer(survey.app, name="survey")
app.command("why", epilog=EVERYWHERE, short_help="Why there is no plan, or no such part in it.")(why.why)
app.command("replan", epilog=EVERYWHERE, short_help="A new plan after a part sold out or a price moved.")(
    replan.replan
)
app.command("fleet", epilog=EVERYWHERE, short_help="Many PCs, one stock, one budget.")(fleet.fleet)
app.command("tradeoff", epilog=EVERYWHERE, short_help="What a little more money buys.")(tradeoff.tradeoff)
app.command("sheet", epilog=EVERYWHERE, short_help="The work order for the bench, or a page for the owner.")(
    sheet.sheet
)
app.command("measure", epilog=EVERYWHERE, short_help="Measure this PC, before and after the work.")(
    measure.measure
)
app.command("compare", epilog=EVERYWHERE, short_help="Whether the plan's promise held.")(compare.compare)
app.command("desk", epilog=EVERYWHERE, short_help="The tool as a page on this machine.")(desk.desk)
app.command("guide", epilog=EVERYWHERE, short_help="The manual: a page for each task.")(guide.guide)
app.command("settings", epilog=EVERYWHERE, short_help="Each setting and where it comes from.")(
    show_settings.settings
)
app.command("audit", epilog=EVERYWHERE, short_help="Property checks on your own data (extra: audit).")(
    audit.audit
)
