"""The file ``fleet.json`` as it is read again: whose plans they are, and with what they were asked for."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, get_args

from partsolver.base.documents import check_schema, parse_json
from partsolver.base.errors import nearest, refuse
from partsolver.base.quantities import given_amount
from partsolver.base.records import record
from partsolver.base.textfile import read_text
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import Catalog
from partsolver.fleet.records import FLEET_GOALS, SHELF, TAKEN_OUT, ColumnKind, FleetWishes
from partsolver.fleet.work import ColumnName
from partsolver.planfile.told import DEMO, told_folder, told_from, told_wishes
from partsolver.wishes.brief import Brief

SCHEMA = "partsolver.fleet/1"
LEAST_SPEEDUP = "a number above 0 and below 1000 with at most three decimals, such as 1.5"
HINT = "`partsolver fleet FOLDER --out DIR` writes DIR/fleet.json"


@record
class FleetSource:
    """With what a fleet was planned, as its file tells it (`source_of`). folder, catalog: as reached from the
    file, or the word ``demo``; changes: fields of every brief that options set."""

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


def source_of(
    out: Path | None,
    folder: Path | None,
    catalog: Path | None,
    wishes: FleetWishes,
    changes: Mapping[str, Any],
) -> FleetSource:
    """What a fleet's file tells of its source. out: the folder in which the file is to lie (without one no
    file is written); folder, catalog: None for the demo's."""
    file = (out or Path()) / "fleet.json"
    surveys, parts = (DEMO if place is None else told_from(file, place) for place in (folder, catalog))
    return FleetSource(surveys, parts, wishes.least_speedup, wishes.scrap, changes)


@record
class StoredFleet:
    """A fleet's file as read. budget: where it stands, and its text or None; currency: of its amounts; demo,
    demo_catalog: whether fleet and catalogue are the demo's; folder, catalog: where they lie; min_speedup, scrap, changes: as in
    `FleetSource`; plans: of each PC by name."""

    goal: Any
    budget: tuple[str, str | None]
    currency: Any
    demo: bool
    demo_catalog: bool
    folder: Path
    catalog: Path
    min_speedup: str
    scrap: bool
    changes: Mapping[str, Any]
    plans: Mapping[str, ColumnName]

    def wishes(self, catalog: Catalog) -> FleetWishes:
        """What was asked of the fleet. Raises InputRefused."""
        info, (where, text) = catalog.info, self.budget
        if isinstance(self.currency, str) and self.currency != info.currency:
            problem = "the plans count in another currency than the catalogue"
            raise refuse("currency of the fleet", problem, self.currency, info.currency)
        return FleetWishes(self.goal, fleet_budget(where, text, catalog), self.min_speedup, self.scrap)


def fleet_budget(where: str, text: str | None, catalog: Catalog) -> int | None:
    """A budget of a fleet in minor units. Raises InputRefused."""
    if text is None:
        return None
    money = given_amount(where, text, catalog.info.digits, catalog.info.currency)
    if money < 0:
        raise refuse(where, "must not be negative", text, "an amount of 0 or more")
    return money


def is_fleet_file(path: Path) -> bool:
    """Whether a file holds the plans of a fleet (whatever else may be wrong with it)."""
    return path.is_file() and f'"{SCHEMA.partition("/")[0]}/' in read_text(path)[:200]


def read_fleet_file(path: Path, catalog: Path | None = None, budget: str | None = None) -> StoredFleet:
    """Read a fleet's file; ``catalog`` and ``budget``: in place of those that it tells. Raises InputRefused."""
    document = parse_json(read_text(path), str(path), HINT)
    check_schema(document, str(path), SCHEMA, "not the plans of a fleet", HINT)
    source = _of_kind(path, "source", document, dict)
    goal, told = _of_kind(path, "goal", document, str), document.get("budget")
    if goal not in FLEET_GOALS:
        raise refuse(f"{path} goal", "no such goal", goal, ", ".join(FLEET_GOALS), HINT)
    if told is not None and not isinstance(told, str):
        raise refuse(f"{path} budget", "not an amount", told, "a text such as 300.00")
    speedup = _of_kind(path, "source.min_speedup", source, str)
    if not is_least_speedup(speedup):
        raise refuse(f"{path} source.min_speedup", "not a speed-up", speedup, LEAST_SPEEDUP)
    changes = _of_kind(path, "source.brief", source, dict)
    brief = told_wishes(path, "source.brief", changes)
    scrap = _of_kind(path, "source.scrap", source, bool)
    plans = _plans(path, _of_kind(path, "pcs", document, list))
    hint = f"Write there how the folder is reached from this file; {HINT}"
    surveys = told_folder(path, "source.folder", source.get("folder"), data_folder() / "demo-fleet", hint)
    of_demo = catalog is None and source.get("catalog") == DEMO
    if catalog is None:
        hint = "Name the catalogue with --catalog DIR"
        catalog = told_folder(path, "source.catalog", source.get("catalog"), data_folder() / "demo", hint)
    return StoredFleet(
        goal,
        ("--budget", budget) if budget is not None else (f"{path} budget", told),
        document.get("currency"),
        source.get("folder") == DEMO,
        of_demo,
        surveys,
        catalog,
        speedup,
        scrap,
        {name: getattr(brief, name) for name in changes},
        plans,
    )


def _of_kind(path: Path, field: str, table: Mapping[str, Any], kind: type) -> Any:
    """A field that a fleet cannot be planned again without. Raises InputRefused."""
    found = table.get(field.rpartition(".")[2])
    if type(found) is not kind:
        shown = None if found is None else str(found)[:80]
        raise refuse(f"{path} {field}", "lacks what is needed to plan the fleet again", shown, None, HINT)
    return found


def _plans(path: Path, pcs: Sequence[Any]) -> dict[str, ColumnName]:
    """The plan of each PC, each PC once."""
    plans: dict[str, ColumnName] = {}
    for number, pc in enumerate(pcs, 1):
        where = f"{path} pcs entry {number}"
        name = pc.get("pc") if isinstance(pc, dict) else None
        if not isinstance(name, str):
            raise refuse(
                where, "lacks what is needed to plan the fleet again", None, "the name of a PC", HINT
            )
        if name in plans:
            raise refuse(where, "a PC stands twice", name, "each PC once", HINT)
        kind, choice = pc.get("what"), pc.get("choice")
        keys = isinstance(choice, list) and all(isinstance(key, str) for key in choice)
        if kind not in get_args(ColumnKind) or not keys or bool(choice) != (kind == "plan"):
            expected = "what is done with it, and the choice of parts of a plan"
            raise refuse(f"{where} ({name})", "its plan cannot be read", None, expected, HINT)
        plans[name] = kind, tuple(choice)
    return plans


def is_least_speedup(text: str) -> bool:
    """Whether a text is a least speed-up that can be asked of a fleet."""
    return re.fullmatch(r"[0-9]{1,3}(\.[0-9]{1,3})?", text) is not None and float(text) > 0


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
