"""Options that several commands share, and how files and options become a problem."""

from __future__ import annotations

import datetime
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Literal

import typer

from partsolver.errors import refuse

Format = Literal["text", "json"]

SurveyPath = Annotated[Path | None, typer.Argument(metavar="[SURVEY]", help="Survey file (TOML); without it the demo PC.")]
CatalogDir = Annotated[Path | None, typer.Option("--catalog", metavar="DIR", help="Catalogue folder.")]
Budget = Annotated[str | None, typer.Option(metavar="AMOUNT", help="Most money to spend, everything included.")]
UseName = Annotated[str | None, typer.Option("--use", metavar="NAME", help="office, photo, video, programming, games, server.")]
Goal = Annotated[Literal["speed", "cost"] | None, typer.Option(help="speed: least time, then cost; cost: the reverse.")]
MinSpeedup = Annotated[str | None, typer.Option(metavar="X", help="Least expected speed-up, such as 1.3.")]
Resolution = Annotated[str | None, typer.Option(metavar="PERCENT", help="Differences in time below this do not count.")]
Alternatives = Annotated[int | None, typer.Option(metavar="N", help="How many plans.")]
Without = Annotated[list[str] | None, typer.Option(metavar="ID", help="A part that must not be used (repeat).")]
With = Annotated[list[str] | None, typer.Option("--with", metavar="ID", help="A part that must be used (repeat).")]
Replace = Annotated[list[str] | None, typer.Option(metavar="WHAT", help="A kept part that may be replaced: psu, case, cooler, drive (repeat).")]
NeedBy = Annotated[str | None, typer.Option(metavar="DATE", help="Day by which everything must be there (YYYY-MM-DD).")]
MinMemory = Annotated[int | None, typer.Option("--min-memory-gb", metavar="N", help="Least memory, GB.")]
Today = Annotated[str | None, typer.Option(metavar="DATE", help="Day of the order; default: the catalogue's date.")]
Os = Annotated[str | None, typer.Option("--os", metavar="FAMILY", help="System that is to run afterwards; default: the present one.")]
OutputFormat = Annotated[Format, typer.Option("--format", help="Text for people, JSON for programs.")]
Seconds = Annotated[float, typer.Option("--limit", metavar="SECONDS", help="Limit of solving (deterministic seconds).")]


def remark(text: str) -> None:
    """A remark on standard error."""
    print(f"partsolver: {text}", file=sys.stderr)


def parse_date(name: str, text: str | None) -> datetime.date | None:
    """A date option. Raises InputRefused."""
    if text is None:
        return None
    try:
        if len(text) != 10:
            raise ValueError
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise refuse(name, "not a date", text, "a date as YYYY-MM-DD") from None


def overrides(**options: Any) -> dict[str, Any]:
    """Brief fields from options that were given (None and empty lists were not)."""
    chosen = {name: value for name, value in options.items() if value is not None}
    for name in ("without", "including", "replace"):
        if name in chosen:
            chosen[name] = tuple(dict.fromkeys(chosen[name]))
    if "need_by" in chosen:
        chosen["need_by"] = parse_date("--need-by", chosen["need_by"])
    if "today" in chosen:
        chosen["today"] = parse_date("--today", chosen["today"])
    return chosen


def load_problem(survey_path: Path | None, catalog_dir: Path | None, changes: Mapping[str, Any]) -> Any:
    """Read survey and catalogue, put the options over the brief, and join. Says on standard error when it is the demo."""
    from partsolver.catalog.dictionary import data_folder
    from partsolver.catalog.load import load_catalog
    from partsolver.join import join
    from partsolver.survey.load import load_survey

    if survey_path is None:
        remark("no survey given: this is the demo PC; every maker, seller, part and price in it is invented")
        survey_path = data_folder() / "demo-survey.toml"
        catalog_dir = catalog_dir or data_folder() / "demo"
    elif catalog_dir is None:
        remark("no --catalog given: using the demo catalogue, whose parts and prices are invented")
        catalog_dir = data_folder() / "demo"
    survey, brief = load_survey(survey_path)
    catalog = load_catalog(catalog_dir)
    return join(survey, catalog, change_brief(brief, changes))


def change_brief(brief: Any, changes: Mapping[str, Any]) -> Any:
    """The brief with options put over it. Raises InputRefused naming the option."""
    from pydantic import ValidationError

    from partsolver.brief import Brief

    try:
        return Brief(**{**brief.model_dump(), **changes})
    except ValidationError as error:
        item = error.errors()[0]
        name = ".".join(str(part) for part in item["loc"])
        field = Brief.model_fields.get(str(item["loc"][0]))
        raise refuse(
            "--" + name.split(".")[0].replace("_", "-"), item["msg"], item.get("input"), None, None if field is None else field.description
        ) from None


__all__ = ["Annotated", "Any", "refuse"]
