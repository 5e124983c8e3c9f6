"""Read a fleet: a folder of surveys, and beside them `shelf.csv` (what lies there) and `price-breaks.csv`."""

from __future__ import annotations

import hashlib
import json
import os
import unicodedata
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from partsolver.base.controls import controls_escaped, shows_whole
from partsolver.base.documents import csv_rows
from partsolver.base.errors import Fault, InputRefused, nearest, refuse
from partsolver.base.quantities import given_amount
from partsolver.base.textfile import read_bytes, read_text
from partsolver.catalog.load import Catalog
from partsolver.catalog.records import Offer
from partsolver.fleet.columns import problem_of
from partsolver.fleet.records import SHELF, Break, Fleet, FleetWishes, PcClass
from partsolver.fleet.takeouts import extended
from partsolver.survey.load import is_survey_name, load_survey
from partsolver.survey.model import Survey
from partsolver.wishes.brief import Brief

SHELF_FILE, BREAKS_FILE = "shelf.csv", "price-breaks.csv"
SHELF_COLUMNS, BREAK_COLUMNS = ("part", "count", "condition"), ("part", "seller", "from", "price")
CONDITIONS = ("new", "used", "refurbished")


def read_fleet(folder: Path, catalog: Catalog, wishes: FleetWishes, changes: dict[str, Any]) -> Fleet:
    """The fleet of a folder. A survey that cannot be read is reported, the rest goes on. ``changes``:
    fields of every brief. Raises InputRefused for a folder without surveys and for faults of the stock."""
    if not folder.is_dir():
        raise refuse(str(folder), "no such folder", None, "a folder of surveys (*.toml)")
    broken: list[tuple[str, tuple[Fault, ...]]] = []
    paths = list(_surveys(folder, broken))
    if not paths and not broken:
        raise refuse(str(folder), "holds no survey", None, "one TOML file per PC")
    groups: dict[str, list[tuple[str, Survey, Brief]]] = defaultdict(list)
    read: dict[bytes, tuple[Survey, Brief]] = {}
    for path in paths:
        try:
            # Of a hundred files that say the same, one is read.
            text = read_bytes(path)
            if text not in read:
                read[text] = load_survey(path)
            survey, brief = read[text]
        except InputRefused as error:
            broken.append((path.stem, error.faults))
            continue
        except OSError as error:
            broken.append((path.stem, (Fault(str(path), f"cannot be read ({error.strerror})"),)))
            continue
        brief = brief.model_copy(update=changes)
        groups[_digest(survey, brief)].append((path.stem, survey, brief))
    for key, found in list(groups.items()):
        try:
            # What only shows beside the catalogue (a use that does not exist) breaks this kind of PC, not the
            # fleet.
            problem_of(PcClass(key, found[0][1], found[0][2], ()), catalog, ())
        except InputRefused as error:
            broken += [(name, error.faults) for name, _, _ in groups.pop(key)]
    broken.sort(key=lambda item: item[0])
    listed = sorted(groups.items(), key=lambda item: item[1][0][0])
    classes = tuple(
        PcClass(key, found[0][1], found[0][2], tuple(name for name, _, _ in found)) for key, found in listed
    )
    shelf = _shelf(folder / SHELF_FILE, catalog)
    whole, take_outs = extended(catalog, classes, shelf)
    return Fleet(classes, whole, wishes, take_outs, _breaks(folder / BREAKS_FILE, catalog), tuple(broken))


def _surveys(folder: Path, broken: list[tuple[str, tuple[Fault, ...]]]) -> Iterator[Path]:
    """The surveys by their names; a name that would mislead is reported in ``broken``, one of a table refused."""
    names: set[str] = set()
    for path in sorted(folder.iterdir()):
        beside = path.name.lower()
        if beside in (SHELF_FILE, BREAKS_FILE) and path.name != beside:
            raise refuse(str(path), "is not read under this name", path.name, beside, "Rename it")
        if not is_survey_name(beside):
            continue
        # It stands in tables, pages and on the terminal, where two ways to write one letter look the same
        # (Unicode Standard Annex 15, section 1.1).
        shown = unicodedata.normalize("NFC", path.stem)
        problem = None
        if not shows_whole(path.stem):
            problem = "has characters in its name that do not show"
        elif path.suffix != ".toml":
            problem = f"is not read: it ends in {path.suffix}, not .toml"
        elif shown in names:
            problem = "has the name of another survey, with letters composed in another way"
        if problem is None:
            names.add(shown)
            yield path
        else:
            broken.append((controls_escaped(path.stem), (Fault(str(path), problem, hint="Rename it"),)))


def _digest(survey: Survey, brief: Brief) -> str:
    """Of all that matters: what a PC is called, where it stands and how its file is written does not. The
    budget, the goal and the least speed-up are the fleet's."""
    pc = survey.pc.model_dump(mode="json")
    pc.pop("name")
    known = sorted(survey.pc.model_fields_set - {"name"})
    own = {"budget", "min_speedup", "goal", "alternatives", "replace", "including"}
    rest = [
        repr(getattr(survey, name))
        for name in sorted(Survey.model_fields)
        if name not in ("pc", "where", "text")
    ]
    text = json.dumps([pc, known, rest, brief.model_dump(mode="json", exclude=own)], sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()


def _rows(path: Path, wanted: tuple[str, ...], needed: int) -> list[tuple[str, dict[str, str]]]:
    """Rows of a small table with where they stand; none where the file is absent."""
    if not os.path.lexists(path):
        return []
    lines = [(line, row) for line, row in csv_rows(read_text(path), str(path)) if any(map(str.strip, row))]
    names = [name.strip() for name in lines[0][1]] if lines else []
    missing = [name for name in wanted[:needed] if name not in names]
    unknown = [name for name in names if name not in wanted]
    if missing or unknown or len(set(names)) < len(names):
        raise refuse(str(path), "wrong columns", ",".join(names), ",".join(wanted))
    for line, row in lines[1:]:
        if len(row) > len(names):
            # 49,90 without quotation marks would be 49.
            hint = "Write a decimal point, or put the cell into quotation marks"
            raise refuse(
                f"{path}:{line}", "has more cells than columns", ",".join(row), ",".join(names), hint
            )
    return [
        (f"{path}:{line}", dict.fromkeys(names, "") | dict(zip(names, map(str.strip, row), strict=False)))
        for line, row in lines[1:]
    ]


def _shelf(path: Path, catalog: Catalog) -> list[Offer]:
    counts: Counter[tuple[str, str | None]] = Counter()
    for where, row in _rows(path, SHELF_COLUMNS, 2):
        part = _part(where, row["part"], catalog)
        count = _count(where, "count", row["count"], 0)
        condition = row.get("condition", "").casefold() or None
        if condition not in (None, *CONDITIONS):
            raise refuse(f"{where} condition", "no such state", condition, ", ".join(CONDITIONS))
        # What lies in two boxes is one stock.
        counts[part, condition] += count
    return [
        Offer(part, SHELF, 0, stock=count, condition=condition, source="the shelf")
        for (part, condition), count in counts.items()
    ]


def _breaks(path: Path, catalog: Catalog) -> tuple[Break, ...]:
    found: dict[tuple[str, str, int], Break] = {}
    offered = {(offer.part, offer.seller): offer.price for offer in catalog.tables["offers"]}
    for where, row in _rows(path, BREAK_COLUMNS, 4):
        part = _part(where, row["part"], catalog)
        if (part, row["seller"]) not in offered:
            raise refuse(
                f"{where} seller", f"does not offer {part!r}", row["seller"], "a seller of that part"
            )
        price = given_amount(f"{where} price", row["price"], catalog.info.digits, catalog.info.currency)
        if price < 0:
            raise refuse(f"{where} price", "must not be negative", row["price"], "an amount")
        pieces = _count(where, "from", row["from"], 2)
        if (known := found.get((part, row["seller"], pieces))) is not None and known.price != price:
            raise refuse(f"{where} price", "another price for so many pieces stands above", row["price"])
        found[part, row["seller"], pieces] = Break(part, row["seller"], pieces, price)
    return tuple(sorted(found.values(), key=lambda b: (b.part, b.seller, b.from_pieces, b.price)))


def _part(where: str, part: str, catalog: Catalog) -> str:
    if part not in catalog.table_of:
        raise refuse(
            f"{where} part", "no such part in the catalogue", part, None, nearest(part, catalog.table_of)
        )
    return part


def _count(where: str, column: str, text: str, least: int) -> int:
    if not (text.isascii() and text.isdigit()) or len(text) > 6 or int(text) < least:
        raise refuse(f"{where} {column}", "not a count", text, f"a whole number from {least} to 999999")
    return int(text)
