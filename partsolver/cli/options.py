"""Options that several commands share, and how files and options become a problem."""

from __future__ import annotations

import datetime
import re
import sys
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, Literal

import typer

from partsolver.base.controls import controls_escaped
from partsolver.base.errors import Fault, InputRefused, refuse
from partsolver.base.field_faults import field_fault
from partsolver.base.preload import begin_loading
from partsolver.base.quantities import given_amount
from partsolver.base.textfile import read_text
from partsolver.catalog import check_folder
from partsolver.cli import completion
from partsolver.cli.general import is_quiet

Format = Literal["text", "json"]
NO_CATALOG = "is missing: which parts can be bought is not known"
NO_CATALOG_HINT = (
    "`partsolver catalog new DIR` makes an empty one to fill (partsolver guide catalog); --demo uses the invented"
    " one, to try out"
)
# The catalogue folder beside a survey that is found by itself.
OWN_FOLDER = "parts"
# The solver's library, and the modules with libraries of their own that the rest needs (base/preload.py).
SOLVERS_LIBRARY = "ortools.sat.python.cp_model_helper"
BEFORE_IT = (
    "array",
    "csv",
    "hashlib",
    "json",
    "numpy",
    "pydantic",
    "random",
    "sqlite3",
    "statistics",
    "zoneinfo",
)
# No currency has more decimal places; how many the catalogue's has is told when that is read.
MOST_PLACES = 9

SurveyPath = Annotated[
    Path | None,
    typer.Argument(
        metavar="[SURVEY]", help="Survey file (TOML), - for standard input; without it the demo PC."
    ),
]
CatalogDir = Annotated[Path | None, typer.Option("--catalog", metavar="DIR", help="Catalogue folder.")]
Demo = Annotated[
    bool, typer.Option("--demo", help="Use the invented catalogue, and without SURVEY the invented PC.")
]
Budget = Annotated[
    str | None, typer.Option(metavar="AMOUNT", help="Most money to spend, everything included.")
]
UseName = Annotated[
    str | None,
    typer.Option(
        "--use",
        metavar="NAME",
        help="office, photo, video, programming, games, server.",
        autocompletion=completion.uses,
    ),
]
Goal = Annotated[
    Literal["speed", "cost"] | None,
    typer.Option(case_sensitive=False, help="speed: least time, then cost; cost: the reverse."),
]
MinSpeedup = Annotated[str | None, typer.Option(metavar="X", help="Least expected speed-up, such as 1.3.")]
Resolution = Annotated[
    str | None, typer.Option(metavar="PERCENT", help="Differences in time below this do not count.")
]
Alternatives = Annotated[
    int | None,
    typer.Option(metavar="N", help="The exact list of the N next-best plans, in place of few that differ."),
]
Full = Annotated[
    bool, typer.Option("--full", help="Everything: cautions, every finding, where the answer comes from.")
]
Without = Annotated[
    list[str] | None,
    typer.Option(
        metavar="ID", help="A part that must not be used (repeat).", autocompletion=completion.part_ids
    ),
]
LeaveOut = Annotated[
    list[str] | None,
    typer.Option(
        "--leave-out",
        metavar="NAME",
        help="An optional card or drive of the PC that stays out (repeat); else those that only stand in the way.",
    ),
]
With = Annotated[
    list[str] | None,
    typer.Option(
        "--with", metavar="ID", help="A part that must be used (repeat).", autocompletion=completion.part_ids
    ),
]
Replace = Annotated[
    list[str] | None,
    typer.Option(
        metavar="WHAT",
        help="A kept part that may be replaced: psu, case, cooler, drive (repeat).",
        autocompletion=completion.replaceable,
    ),
]
NeedBy = Annotated[
    str | None,
    typer.Option(
        metavar="DATE", help="Day by which everything must be there (2026-12-04, 4 December 2026 ...)."
    ),
]
MinMemory = Annotated[str | None, typer.Option("--min-memory-gb", metavar="N", help="Least memory, GB.")]
Today = Annotated[
    str | None, typer.Option(metavar="DATE", help="Day of the order; default: the catalogue's date.")
]
Os = Annotated[
    str | None,
    typer.Option(
        "--os", metavar="FAMILY", help="System that is to run afterwards; default: the present one."
    ),
]
OutputFormat = Annotated[
    Format, typer.Option("--format", case_sensitive=False, help="Text for people, JSON for programs.")
]
Settings = Annotated[
    list[str] | None,
    typer.Option(
        "--setting",
        metavar="NAME=VALUE",
        help="Change a value that rests on judgement, as [brief.settings] does (repeat).",
        autocompletion=completion.setting_names,
    ),
]
Seconds = Annotated[
    float, typer.Option("--limit", metavar="SECONDS", help="Limit of solving (deterministic seconds).")
]
# The limit for each goal of a fleet, planned or planned again.
FLEET_SECONDS = 8.0


def remark(text: str) -> None:
    """A remark on standard error, unless --quiet."""
    if not is_quiet():
        print(f"partsolver: {controls_escaped(text, lines=True)}", file=sys.stderr)


def check_out(out: Path | None, new_folder: bool = False) -> None:
    """Refuse a file (or a new folder) to write that cannot be written, before the work for it is done."""
    if out is not None:
        from partsolver.base.textfile import check_writable

        check_writable(out, "--out", new_folder)


def check_picture(picture: Path | None) -> None:
    """Raise InputRefused for a kind of picture that cannot be drawn, or a file that cannot be written."""
    if picture is not None and picture.suffix.lower() not in (".svg", ".png"):
        raise refuse("--picture", "not a kind of picture", picture.name, "a file name ending in .svg or .png")
    if picture is not None:
        from partsolver.base.textfile import check_writable

        check_writable(picture, "--picture")


def is_survey(word: str) -> bool:
    """Whether a word of the command line names a survey: a file ending in .toml, or - for standard input."""
    return word.endswith(".toml") or word == "-"


def parse_date(name: str, text: str | None) -> datetime.date | None:
    """A date option. Raises InputRefused."""
    if text is None:
        return None
    from partsolver.base.dates import read_date

    try:
        return read_date(text)
    except ValueError as error:
        raise refuse(name, "not a date", text, str(error)) from None


def read_settings(given: list[str] | None) -> dict[str, int]:
    """Settings from NAME=VALUE options. Raises InputRefused for what is not one, an unknown name, or a bad
    value."""
    from partsolver.standards.settings import apply

    found: dict[str, int] = {}
    for text in given or ():
        name, equals, value = text.partition("=")
        if not equals or not re.fullmatch(r"\s*-?[0-9]{1,12}\s*", value):
            raise refuse(
                "--setting",
                "not a setting",
                text,
                "NAME=VALUE with a whole number, such as run_to_run_processor_percent=4",
            )
        found[name.strip()] = int(value)
    try:
        apply(found)
    except ValueError as error:
        raise refuse("--setting", str(error)) from None
    return found


def _gigabytes(option: str, text: str) -> int:
    """A size in GB as a person writes it: 8, "8 GB"."""
    from partsolver.base.values import whole_number

    try:
        return whole_number(text, "GB")
    except ValueError as error:
        raise refuse(option, "no size", text, "a whole number of GB", str(error) or None) from None


def overrides(**options: Any) -> dict[str, Any]:
    """Brief fields from options that were given (None and empty lists were not)."""
    chosen = {name: value for name, value in options.items() if value is not None}
    for name in ("without", "leave_out", "including", "replace"):
        if name in chosen:
            chosen[name] = tuple(dict.fromkeys(chosen[name]))
    for name in {"use", "os"} & chosen.keys():
        from partsolver.survey.written import known_word

        chosen[name] = known_word(name, chosen[name])
    if "min_memory_gb" in chosen:
        chosen["min_memory_gb"] = _gigabytes("--min-memory-gb", chosen["min_memory_gb"])
    if "need_by" in chosen:
        chosen["need_by"] = parse_date("--need-by", chosen["need_by"])
    if "today" in chosen:
        chosen["today"] = parse_date("--today", chosen["today"])
    return chosen


def load_problem(
    survey_path: Path | None,
    catalog_dir: Path | None,
    changes: Mapping[str, Any],
    budget_option: str = "--budget",
    demo: bool = False,
) -> Any:
    """Read survey and catalogue, put the options over the brief, and join. Says on standard error when it is
    the demo; a PC of one's own is never answered with invented parts unless ``demo`` asks for it.

    ``budget_option`` names the option that sets the budget, for messages.
    """
    from partsolver.cli.progress import working
    from partsolver.cli.settings import setting

    # What can be told at once is told before anything large is loaded.
    if survey_path is not None and not survey_path.is_file():
        read_text(survey_path)
    if catalog_dir is not None:
        if demo and survey_path is not None:
            raise refuse("--demo", "does not go with --catalog", str(catalog_dir), "one of the two")
        check_folder(catalog_dir)
    if changes.get("budget") is not None:
        given_amount(budget_option, changes["budget"], MOST_PLACES)
    begin_loading(SOLVERS_LIBRARY, BEFORE_IT)
    from partsolver.catalog.dictionary import data_folder
    from partsolver.catalog.load import load_catalog
    from partsolver.problem.join import join
    from partsolver.problem.near import near_misses
    from partsolver.survey.load import load_survey

    chosen = folder_of_catalog(survey_path, catalog_dir, demo)
    if survey_path is None:
        remark("no survey given: this is the demo PC; every maker, seller, part and price in it is invented")
    elif demo:
        remark("this is the demo catalogue: every part, seller and price in it is invented")
    if chosen is None and (survey_path is None or demo):
        chosen = data_folder() / "demo"
    survey_path = survey_path or data_folder() / "demo-survey.toml"
    survey, brief = load_survey(survey_path)
    if not demo and "use" not in changes and "use" not in brief.model_fields_set:
        usual = setting("use").value
        changes = changes if usual is None else {**changes, "use": usual}
    brief = change_brief(brief, changes)
    if chosen is None:
        raise refuse("--catalog", NO_CATALOG, None, "the folder of a catalogue", NO_CATALOG_HINT)
    with working("reading the catalogue") as doing:
        catalog = load_catalog(chosen)
        for miss in near_misses(survey, catalog):
            rows = "1 row" if miss.rows == 1 else f"{miss.rows} rows"
            remark(
                f"{survey_path} {miss.path}: no row of the catalogue has {miss.word!r}; {rows} have {miss.meant!r}:"
                " is that meant?"
            )
        doing("joining survey and catalogue")
        return _joined(join, survey, catalog, brief, changes, survey_path, budget_option)


def _joined(
    join: Any,
    survey: Any,
    catalog: Any,
    brief: Any,
    changes: Mapping[str, Any],
    survey_path: Path,
    budget_option: str,
) -> Any:
    """The problem. Raises InputRefused naming the option or the place in the survey."""
    try:
        return join(survey, catalog, brief)
    except InputRefused as error:
        raise InputRefused(
            [_located(fault, changes, survey_path, budget_option) for fault in error.faults]
        ) from None


def folder_of_catalog(survey_path: Path | None, catalog_dir: Path | None, demo: bool) -> Path | None:
    """The catalogue of a command: the one that is named; else beside the survey, else that of the
    settings. None for the demo, and where none is known."""
    if catalog_dir is not None or survey_path is None or demo:
        return catalog_dir
    from partsolver.cli.settings import catalog_folder

    return own_catalog(survey_path) or catalog_folder()


def own_catalog(survey_path: Path | None) -> Path | None:
    """The folder `parts` beside a survey, where it holds a catalogue."""
    if survey_path is None:
        return None
    folder = survey_path.parent / OWN_FOLDER
    return folder if (folder / "catalog.toml").is_file() or (folder / "catalog.sqlite").is_file() else None


def _located(fault: Fault, changes: Mapping[str, Any], survey_path: Path, budget_option: str) -> Fault:
    """A fault of a wish with the place it came from: the option, or the brief in the survey file."""
    name = fault.where.removeprefix("brief.")
    if name in changes:
        return replace(fault, where=budget_option if name == "budget" else _option(name))
    if name in ("budget", "use", "shares", "settings"):
        return replace(fault, where=f"{survey_path} [brief] {name}")
    return replace(fault, where=f"{survey_path} [os] family") if name == "os" else fault


def _option(field: str) -> str:
    """The option that sets a field of the brief."""
    return {"including": "--with", "resolution_percent": "--resolution"}.get(
        field, "--" + field.replace("_", "-")
    )


MOST_SECONDS = 1_000_000


def seconds(limit: float) -> float:
    """The limit of solving. Raises InputRefused for what is no time."""
    if not 0 < limit < MOST_SECONDS:
        raise refuse("--limit", "not a time", limit, f"seconds above 0 and below {MOST_SECONDS}, such as 60")
    return limit


def change_brief(brief: Any, changes: Mapping[str, Any]) -> Any:
    """The brief with options put over it. Raises InputRefused naming the option."""
    from pydantic import ValidationError

    from partsolver.wishes.brief import Brief

    try:
        return Brief(**{**brief.model_dump(), **changes})
    except ValidationError as error:
        item = error.errors()[0]
        name = str(item["loc"][0])
        field = Brief.model_fields.get(name)
        fault = field_fault(item).placed(_option(name), None if field is None else field.description)
        raise InputRefused(fault) from None


__all__ = ["Annotated", "Any", "refuse"]
