"""`partsolver catalog new|check`: make and verify a catalogue folder (its other commands: cli/store.py)."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from partsolver.cli import ask, store
from partsolver.cli import options as o

app = typer.Typer(help="Make and verify a catalogue.", no_args_is_help=True, rich_markup_mode=None)


@app.command("new", short_help="Empty tables, and a guide to every column.")
def new(
    folder: Annotated[
        Path, typer.Argument(metavar="DIR", help="Folder to write; it must not hold a catalogue yet.")
    ],
    currency: Annotated[
        str | None,
        typer.Option(metavar="CODE", help="Currency (ISO 4217); default: the setting, else EUR."),
    ] = None,
) -> int:
    """Write empty tables and a guide to every column."""
    from partsolver.catalog.template import write_template
    from partsolver.cli.settings import setting

    for path in write_template(folder, currency or setting("currency").value or "EUR"):
        print(path)
    return 0


@app.command("check", short_help="How its facts stand, and what is doubtful.")
def check(
    folder: Annotated[
        Path | None,
        typer.Argument(
            metavar="[DIR]",
            help="Catalogue folder; default: parts, else that of the settings, else the demo.",
        ),
    ] = None,
    survey: Annotated[
        Path | None,
        typer.Option(
            "--for", metavar="SURVEY", help="Also which blank facts could change this PC's first plan."
        ),
    ] = None,
    strict: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="A data check that refuses instead of warning (repeat)."),
    ] = None,
    format: o.OutputFormat = "text",
) -> int:
    """Read a catalogue and report how its facts stand and what is doubtful in it."""
    from partsolver.catalog.checks import run_checks
    from partsolver.catalog.load import load_catalog
    from partsolver.cli.progress import working
    from partsolver.report.catalog import check_json, check_text

    folder = folder or _usual_folder(survey)
    with working("reading the catalogue") as doing:
        catalog = load_catalog(folder)
        doing("looking for doubtful rows")
        doubts = run_checks(catalog, strict or ())
        otherwise = _read_otherwise(folder)
        asked = None
        if survey is not None:
            from partsolver.explain.catalog_questions import fact_questions

            doing("solving with the better and the worse end")
            problem = o.load_problem(survey, folder, {})
            asked = (fact_questions(problem), problem)
    sys.stdout.write((check_json if format == "json" else check_text)(catalog, doubts, asked, otherwise))
    return 2 if any(found.refuses for found in doubts) else 0


def _read_otherwise(folder: Path) -> tuple[tuple[str, str], ...]:
    """Files of a store that another version read."""
    from partsolver.catalog.store import holds_store
    from partsolver.catalog.store.reader import read_otherwise
    from partsolver.catalog.store.schema import reading

    if not holds_store(folder):
        return ()
    with reading(folder) as connection:
        return read_otherwise(connection)


def _usual_folder(survey: Path | None) -> Path:
    """The catalogue beside the survey, or here, else that of the settings, else the demo, which is said."""
    from partsolver.catalog.dictionary import data_folder
    from partsolver.cli.settings import catalog_folder

    usual = o.own_catalog(survey or Path("survey.toml")) or catalog_folder()
    if usual is None:
        o.remark("no folder given: checking the demo catalogue, whose data are invented")
    return usual or data_folder() / "demo"


app.command("add", short_help="Read saved pages, lists, sheets and tables.")(store.add)
app.command("ask", short_help="Which missing facts matter for this PC.")(ask.ask)
app.command("show", short_help="The facts of a part and where they come from.")(store.show)
app.command("find", short_help="Parts by words of their names.")(store.find)
app.command("set", short_help="Type in facts of a part.")(store.set_)
app.command("forget", short_help="Take a seller's offers out.")(store.forget)
app.command("export", short_help="The store as tables.")(store.export)
