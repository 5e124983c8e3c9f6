"""One trial: a person's data with parts left out and facts of the survey changed, and the law that is
asked of it."""

from __future__ import annotations

import copy
from collections.abc import Collection, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from partsolver.base.documents import parse_toml
from partsolver.base.records import record
from partsolver.base.textfile import read_text
from partsolver.catalog.load import Catalog, load_catalog
from partsolver.catalog.records import PART_TABLES
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.problem.store import Store
from partsolver.survey.load import parse_survey

# The value of a change that takes a key, or a row of a list, away.
GONE = None


@record
class OwnData:
    """A person's data: the survey as it is written, the catalogue, and where they lie."""

    survey: Mapping[str, Any]
    catalog: Catalog
    folder: Path


@record
class Change:
    """One change of the survey file: a key of a table (of its row ``row``), or with key "" a whole row."""

    table: str
    row: int | None
    key: str
    value: Any


@record
class Trial:
    """parts: ids that the catalogue keeps, None for all; part: the part that the law is about, if it is
    about one."""

    law: str
    parts: frozenset[str] | None
    changes: tuple[Change, ...] = ()
    part: str | None = None


def own_data(catalog: Path, survey: Path) -> OwnData:
    """The data of a folder and a survey file. Raises InputRefused."""
    data = parse_toml(read_text(survey), str(survey), "Strings need quotes; tables are written [case]")
    parse_survey(data, str(survey))
    return OwnData(data, load_catalog(catalog), catalog)


def survey_of(own: OwnData, changes: tuple[Change, ...]) -> dict[str, Any]:
    """The survey as it would be written with the changes."""
    data = copy.deepcopy(dict(own.survey))
    leaving: dict[str, set[int]] = {}
    for change in changes:
        if change.row is None:
            target = data.setdefault(change.table, {})
        elif change.key == "":
            leaving.setdefault(change.table, set()).add(change.row)
            continue
        else:
            target = data[change.table][change.row]
        if change.value is GONE:
            target.pop(change.key, None)
        else:
            target[change.key] = change.value
    for table, rows in leaving.items():
        data[table] = [row for place, row in enumerate(data[table]) if place not in rows]
    return data


def catalog_of(catalog: Catalog, parts: Collection[str] | None) -> Catalog:
    """A catalogue of these parts with their offers, and the bundles that hold nothing else."""
    if parts is None:
        return catalog
    tables = dict(catalog.tables)
    for table in PART_TABLES:
        tables[table] = tuple(row for row in tables[table] if row.id in parts)
    tables["offers"] = tuple(offer for offer in tables["offers"] if offer.part in parts)
    tables["bundles"] = tuple(
        bundle for bundle in tables["bundles"] if all(item in parts for item, _ in bundle.items)
    )
    table_of = {part: table for part, table in catalog.table_of.items() if part in parts}
    assumed = frozenset(
        found for found in catalog.assumed if found[1] in parts or found[0] not in PART_TABLES
    )
    return replace(catalog, tables=tables, table_of=table_of, assumed=assumed)


def sold_out(catalog: Catalog, part: str) -> Catalog:
    """The same with no piece of a part left, alone or in a bundle."""
    tables = dict(catalog.tables)
    tables["offers"] = tuple(replace(o, stock=0) if o.part == part else o for o in tables["offers"])
    tables["bundles"] = tuple(
        replace(b, stock=0) if part in {item for item, _ in b.items} else b for b in tables["bundles"]
    )
    return replace(catalog, tables=tables)


def problem_of(own: OwnData, trial: Trial) -> Problem:
    """The problem of a trial. Raises InputRefused where the changes contradict each other."""
    survey, brief = parse_survey(survey_of(own, trial.changes), "the trial's survey")
    return join(survey, catalog_of(own.catalog, trial.parts), brief)


def with_brief(problem: Problem, **wishes: Any) -> Problem:
    """Other wishes of the same problem, nothing remembered."""
    brief = problem.brief.model_copy(update=wishes)
    return replace(join(problem.survey, problem.source, brief), store=Store())
