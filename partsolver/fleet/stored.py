"""The file ``fleet.json`` as it is read again: whose plans they are, and with what they were asked for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, get_args

import pydantic

from partsolver.base.documents import parse_json
from partsolver.base.errors import nearest, refuse
from partsolver.base.quantities import given_amount
from partsolver.base.records import record
from partsolver.base.textfile import read_text
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import Catalog
from partsolver.fleet.records import FLEET_GOALS, SHELF, TAKEN_OUT, ColumnKind, FleetWishes
from partsolver.fleet.work import ColumnName
from partsolver.wishes.brief import Brief

SCHEMA = "partsolver.fleet/1"
DEMO = "demo"
HINT = "`partsolver fleet FOLDER --out DIR` writes DIR/fleet.json"


@record
class FleetSource:
    """With what a fleet was planned. folder, catalog: paths, or the word ``demo``; changes: fields of every
    brief that options set."""

    folder: str
    catalog: str
    min_speedup: str
    scrap: bool
    changes: Mapping[str, Any]

    def document(self) -> dict[str, Any]:
        """The same for programs."""
        brief = (
            Brief().model_copy(update=dict(self.changes)).model_dump(mode="json", include=set(self.changes))
        )
        return {
            "folder": self.folder,
            "catalog": self.catalog,
            "min_speedup": self.min_speedup,
            "scrap": self.scrap,
            "brief": brief,
        }


@record
class StoredFleet:
    """A fleet's file. goal, budget (text or None), source, and the plan of each PC by name."""

    goal: Any
    budget: str | None
    source: FleetSource
    plans: Mapping[str, ColumnName]

    @property
    def folder(self) -> Path:
        return data_folder() / "demo-fleet" if self.source.folder == DEMO else Path(self.source.folder)

    @property
    def catalog(self) -> Path:
        return data_folder() / "demo" if self.source.catalog == DEMO else Path(self.source.catalog)

    def wishes(self, catalog: Catalog) -> FleetWishes:
        """What was asked of the fleet."""
        info = catalog.info
        budget = (
            None if self.budget is None else given_amount("budget", self.budget, info.digits, info.currency)
        )
        return FleetWishes(self.goal, budget, self.source.min_speedup, self.source.scrap)


def is_fleet_file(path: Path) -> bool:
    """Whether a file holds the plans of a fleet (whatever else may be wrong with it)."""
    return path.is_file() and f'"{SCHEMA}"' in read_text(path)[:200]


def read_fleet_file(path: Path) -> StoredFleet:
    """Read a fleet's file. Raises InputRefused."""
    document = parse_json(read_text(path), str(path), HINT)
    try:
        source = document["source"]
        brief = Brief.model_validate(source["brief"])
        changes = {name: getattr(brief, name) for name in source["brief"]}
        texts = (source["folder"], source["catalog"], source["min_speedup"])
        plans = {pc["pc"]: _name(pc) for pc in document["pcs"]}
        goal, budget, scrap = document["goal"], document["budget"], source["scrap"]
    except (KeyError, TypeError, AttributeError, pydantic.ValidationError):
        raise refuse(str(path), "lacks what is needed to plan the fleet again", None, None, HINT) from None
    if not all(isinstance(text, str) for text in texts) or goal not in FLEET_GOALS or type(scrap) is not bool:
        raise refuse(str(path), "lacks what is needed to plan the fleet again", None, None, HINT)
    if budget is not None and not isinstance(budget, str):
        raise refuse(f"{path} budget", "not an amount", budget, "a text such as 300.00")
    return StoredFleet(goal, budget, FleetSource(*texts, scrap, changes), plans)


def _name(pc: Mapping[str, Any]) -> ColumnName:
    kind, choice = pc["what"], pc["choice"]
    if kind not in get_args(ColumnKind) or not all(isinstance(key, str) for key in choice):
        raise KeyError("choice")
    return kind, tuple(choice)


def catalog_without(catalog: Catalog, gone: tuple[str, ...]) -> Catalog:
    """A catalogue in which nobody sells some parts or bundles any more; what lies on the shelf and in PCs
    stays. Raises InputRefused for an id that nobody sold."""
    bundles = {bundle.id for bundle in catalog.tables["bundles"]}
    for part in gone:
        if part not in bundles and part not in catalog.table_of:
            known = {*bundles, *catalog.table_of}
            raise refuse(
                "--gone", "no such part or bundle", part, "an id of the catalogue", nearest(part, known)
            )
    tables = dict(catalog.tables)
    tables["offers"] = tuple(
        o for o in tables["offers"] if o.part not in gone or o.seller in (SHELF, TAKEN_OUT)
    )
    tables["bundles"] = tuple(b for b in tables["bundles"] if b.id not in gone)
    # The digest names what there is to choose from.
    info = replace(catalog.info, digest="-".join((catalog.info.digest, *gone)))
    return replace(catalog, tables=tables, info=info)
