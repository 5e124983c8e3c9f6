"""`catalog add`: files and folders into a store, recognised by content; one transaction for all of them."""

from __future__ import annotations

import json
import sqlite3
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, replace
from pathlib import Path

from partsolver.base.errors import Fault, InputRefused, refuse
from partsolver.base.quantities import format_amount, minor_digits
from partsolver.base.records import record
from partsolver.catalog.lists.limits import NOT_READ
from partsolver.catalog.lists.shelf import SHELF, SHELF_CELLS
from partsolver.catalog.records import Reference
from partsolver.catalog.sources import PASTED, FileRead, KeptSeller, Wishes, files_of, read_data, read_file
from partsolver.catalog.store import holds_store
from partsolver.catalog.store.changing import changing
from partsolver.catalog.store.derive import derive
from partsolver.catalog.store.near import Proposal, proposals
from partsolver.catalog.store.platforms import FILE_NAME as PLATFORMS
from partsolver.catalog.store.platforms import PlatformRow, read_platforms, store_platforms
from partsolver.catalog.store.questions import join_parts, mark_counts
from partsolver.catalog.store.reader import read_otherwise
from partsolver.catalog.store.records import WHOLE_SHEET, LeftOut
from partsolver.catalog.store.schema import reading
from partsolver.catalog.store.tables import FolderTables, is_table_folder, read_folder, set_head, store_folder
from partsolver.catalog.store.write import (
    Difference,
    at_several_prices,
    newest_day,
    price_differences,
    seller_prices,
    store_left_out,
    store_seller,
    store_source,
)

# The scale of scores of a store that nobody gave one: that of an empty catalogue (catalog/template.py).
REFERENCE = Reference(1000, 4000, 34133, 500, 1000)


@record
class Prices:
    """How a list's prices are counted: tax, rate, and the words that say so; whether the seller's lists
    were known; the currency they are taken for, where the list names none."""

    tax: str
    tax_percent_x100: int | None
    evidence: str
    known_before: bool
    assumed_currency: str | None = None


@record
class Read:
    """What one argument of `catalog add` gave: files, rows, articles by part table, offers, what was left
    out by reason, how prices are counted, what changed for the seller, labels that nobody knows, parts that a list's
    seller offers in one state at more than one price."""

    origin: str
    form: str
    files: int
    rows: int
    tables: tuple[tuple[str, int], ...]
    offers: int
    left_out: tuple[tuple[str, int], ...] = ()
    not_read: tuple[tuple[str, str, str], ...] = ()
    prices: Prices | None = None
    difference: Difference | None = None
    labels: tuple[tuple[str, str], ...] = ()
    several_prices: tuple[str, ...] = ()


@record
class Added:
    """What `catalog add` did: per argument, how the facts of the whole store stand now, sheets that
    look like an article (joined where that was wanted and sure), files whose time stamp is no day, and files
    (name, day) that another version of this program read."""

    folder: str
    read: tuple[Read, ...]
    marks: tuple[tuple[str, int], ...]
    proposals: tuple[Proposal, ...] = ()
    joined: tuple[Proposal, ...] = ()
    undated: tuple[str, ...] = ()
    read_otherwise: tuple[tuple[str, str], ...] = ()


@record
class _Given:
    """What one argument holds."""

    name: str
    files: tuple[FileRead, ...]
    tables: FolderTables | None = None


def add(
    paths: Sequence[Path],
    into: Path,
    wishes: Wishes,
    pasted: bytes | None = None,
    join_sure: bool = False,
    sent: Sequence[tuple[str, bytes]] = (),
    progress: Callable[[int, int], None] = lambda done, total: None,
) -> Added:
    """Add files and folders to the store of a folder (made where there is none; CSV tables that are in it
    come along). ``pasted``: the text that stands for the path ``-``; ``sent``: files that lie nowhere, by
    name; ``progress``: hears how many of the files are read, all of them once the store is written to.
    Raises InputRefused before anything is written, and Unsettled where a list has to be explained."""
    kept = kept_sellers(into)
    wishes = _with_kept(wishes, into)
    rows: list[PlatformRow] = []
    given: list[_Given] = []
    if is_table_folder(into) and into not in paths:
        given.append(_Given(str(into), (), read_folder(into)))
    listed = [(path, _files(path, pasted)) for path in paths]
    total = sum(len(found) for _, found in listed) + len(sent)
    done = 0
    for path, found in listed:
        read = []
        for file in found:
            progress(done, total)
            done += 1
            if file.name == PLATFORMS:
                rows += read_platforms(file)
            else:
                read.append(read_file(file, wishes, kept))
        if str(path) == PASTED and pasted is not None:
            read = [read_data(pasted, PASTED, "pasted", wishes.today, wishes, kept)]
        tables = read_folder(path) if is_table_folder(path) else None
        given.append(_Given(str(path), tuple(read), tables))
    for name, data in sent:
        progress(done, total)
        done += 1
        given.append(_Given(name, (read_data(data, name, Path(name).stem, wishes.today, wishes, kept),)))
    progress(done, total)
    _refuse_nothing(given, rows)
    return _store(given, rows, into, wishes, kept, join_sure)


_NOTHING = "Nothing was changed. `partsolver guide price-list` tells what can be read"


def _refuse_nothing(given: Sequence[_Given], rows: Sequence[PlatformRow]) -> None:
    """Raise InputRefused where not one of all the files could be read: then nothing is added, and what they said
    before stays."""
    read = [file for one in given for file in one.files]
    if read and not rows and all(file.form == "none" for file in read):
        left = [row for file in read for row in file.source.left_out]
        raise InputRefused(
            [Fault(row.origin, NOT_READ[row.reason].format(detail=row.detail), hint=_NOTHING) for row in left]
        )


def _files(path: Path, pasted: bytes | None) -> list[Path]:
    """The files to read at a path; none of pasted text and of a folder of tables, which is read as one.
    Raises InputRefused for a folder that holds a store."""
    if (str(path) == PASTED and pasted is not None) or is_table_folder(path):
        return []
    if path.is_dir() and holds_store(path):
        raise refuse(
            str(path),
            "this folder holds a store itself",
            hint="Write it as tables with `partsolver catalog export DIR`, and add those",
        )
    return list(files_of(path))


def _with_kept(wishes: Wishes, folder: Path) -> Wishes:
    """The wishes with the currency that the store counts in, and the labels a person mapped before."""
    if not holds_store(folder):
        return wishes
    with reading(folder) as connection:
        found = connection.execute("SELECT value FROM meta WHERE key = 'currency'").fetchone()
        labels = dict(connection.execute("SELECT label, col FROM labels"))
    currency = found[0] if found else wishes.currency
    return replace(wishes, currency=currency, labels={**labels, **(wishes.labels or {})})


def kept_sellers(folder: Path) -> dict[str, KeptSeller]:
    """What a store knows of its sellers' lists."""
    if not holds_store(folder):
        return {}
    with reading(folder) as connection:
        query = "SELECT id, tax, tax_percent_x100, mapping, currency FROM sellers"
        return {row[0]: KeptSeller(*row[1:]) for row in connection.execute(query)}


def _store(
    given: Sequence[_Given],
    rows: Sequence[PlatformRow],
    into: Path,
    wishes: Wishes,
    kept: Mapping[str, KeptSeller],
    join_sure: bool,
) -> Added:
    with changing(into) as connection:
        _make_head(connection, into, wishes)
        known = {wishes.currency, *_rates(connection, wishes)}
        before = {
            seller: (seller_prices(connection, seller), newest_day(connection, seller)) for seller in kept
        }
        given = [
            replace(one, files=tuple(_in_known_currencies(file, known) for file in one.files))
            for one in given
        ]
        touched: set[str] = set()
        for one in given:
            if one.tables is not None:
                touched |= store_folder(connection, one.tables)
            for file in one.files:
                touched |= _store_file(connection, file, wishes.currency)
        connection.executemany(
            "INSERT OR REPLACE INTO labels VALUES(?, '*', ?)", sorted((wishes.labels or {}).items())
        )
        store_platforms(connection, rows)
        derive(connection, touched, everything=bool(rows))
        near = proposals(connection)
        joined = [proposal for proposal in near if join_sure and proposal.sure]
        for proposal in joined:
            join_parts(connection, proposal.part, proposal.other)
        changes = {
            seller: replace(price_differences(prices, seller_prices(connection, seller)), older_than=newest)
            for seller, (prices, newest) in before.items()
        }
        several = {
            seller: at_several_prices(connection, seller)
            for one in given
            for file in one.files
            if file.columns is not None and (seller := file.source.seller) is not None and seller != SHELF
        }
        marks = tuple(mark_counts(connection).items())
        otherwise = read_otherwise(connection)
    read = tuple(_read(one, changes, kept, wishes.currency, several) for one in given)
    undated = tuple(file.source.origin for one in given for file in one.files if not file.dated)
    left = tuple(p for p in near if p not in joined)
    return Added(str(into), read, marks, left, tuple(joined), undated, otherwise)


def _rates(connection: sqlite3.Connection, wishes: Wishes) -> dict[str, str]:
    """The store's rates of exchange, with those given now."""
    held = connection.execute("SELECT value FROM meta WHERE key = 'rates'").fetchone()
    rates: dict[str, str] = json.loads(held[0] if held else "{}") | dict(wishes.rates or {})
    if wishes.rates:
        value = json.dumps(rates, sort_keys=True)
        connection.execute("INSERT OR REPLACE INTO meta VALUES('rates', ?)", (value,))
    return rates


def _in_known_currencies(file: FileRead, known: set[str]) -> FileRead:
    """A file without the offers in a currency that the store has no rate for; they are left out and said."""
    source = file.source
    sightings, left = [], list(source.left_out)
    for sighting in source.sightings:
        strange = [offer for offer in sighting.offers if (offer.currency or min(known)) not in known]
        for offer in strange:
            left.append(
                LeftOut(source.origin, sighting.place, sighting.name, "currency", offer.currency or "")
            )
        offers = tuple(offer for offer in sighting.offers if offer not in strange)
        sightings.append(replace(sighting, offers=offers) if strange else sighting)
    return replace(file, source=replace(source, sightings=tuple(sightings), left_out=tuple(left)))


def _store_file(connection: sqlite3.Connection, file: FileRead, currency: str) -> set[str]:
    if file.form == "none":
        store_left_out(connection, file.source)  # what it said when it could be read still stands
        return set()
    for seller, name, delivery in file.sellers:
        known = connection.execute("SELECT cells FROM sellers WHERE id = ?", (seller,)).fetchone()
        cells = {} if delivery is None else {"delivery": format_amount(delivery, minor_digits(currency))}
        if known is not None and "delivery" in json.loads(known[0]):
            cells = {}
        if seller == SHELF:
            cells = dict(SHELF_CELLS)
        mapping = None if file.columns is None else file.columns.remembered()
        store_seller(
            connection,
            seller,
            name,
            tax=file.tax,
            tax_percent_x100=file.tax_percent_x100,
            mapping=mapping,
            cells=cells,
        )
    return store_source(connection, file.source)


def _read(
    one: _Given,
    changes: Mapping[str, Difference],
    kept: Mapping[str, KeptSeller],
    currency: str,
    several: Mapping[str, tuple[str, ...]],
) -> Read:
    sources = [one.tables.source] if one.tables is not None else [file.source for file in one.files]
    counts: Counter[str] = Counter()
    offers = rows = 0
    for source in sources:
        rows += source.rows
        for sighting in source.sightings:
            offers += len(sighting.offers)
            if one.tables is None or not sighting.offers:
                counts[sighting.table] += 1
    rows_and_sheets = [row for source in sources for row in source.left_out]
    left = Counter(row.reason for row in rows_and_sheets if row.reason not in WHOLE_SHEET)
    sheets = [row for row in rows_and_sheets if row.reason in WHOLE_SHEET]
    whole = [row for file in one.files if file.form == "none" for row in file.source.left_out]
    listed = next((file for file in one.files if file.columns is not None), None)
    prices = None if listed is None or listed.columns is None else _prices(listed, kept, currency)
    seller = None if listed is None else listed.source.seller
    change = changes.get(seller or "")
    if change is not None and listed is not None:
        day = listed.source.stated_on.isoformat()
        change = change if (change.older_than or "") > day else replace(change, older_than=None)
    labels = Counter(label for file in one.files for label, _ in file.unknown if file.form == "sheet")
    examples = {label: value for file in one.files for label, value in file.unknown}
    return Read(
        one.name,
        "tables" if one.tables is not None else _form(one.files),
        len(sources),
        rows,
        tuple(counts.items()),
        offers,
        tuple(sorted(left.items())),
        (
            *((row.origin, row.reason, row.detail) for row in whole),
            *((f"{row.origin} {row.place}", row.reason, row.detail) for row in sheets),
        ),
        prices,
        change,
        tuple((label, examples[label]) for label, _ in labels.most_common(8)),
        several.get(seller or "", ()),
    )


def _form(files: Sequence[FileRead]) -> str:
    forms = {file.form for file in files if file.form != "none"}
    return forms.pop() if len(forms) == 1 else "files" if forms else "none" if files else "platforms"


def _prices(file: FileRead, kept: Mapping[str, KeptSeller], currency: str) -> Prices:
    assert file.columns is not None
    known = (file.source.seller or "") in kept
    said = any(offer.currency for sighting in file.source.sightings for offer in sighting.offers)
    tax = SHELF if file.source.seller == SHELF else file.tax or ""
    assumed = None if said or file.columns.currency or not file.source.sightings else currency
    return Prices(tax, file.tax_percent_x100, file.columns.evidence, known, assumed)


def _make_head(connection: sqlite3.Connection, into: Path, wishes: Wishes) -> None:
    """The head of a store that has none yet."""
    if connection.execute("SELECT 1 FROM meta WHERE key = 'currency'").fetchone() is None:
        head = {
            "name": into.name or "my parts",
            "currency": wishes.currency,
            "as_of": wishes.today.isoformat(),
            "origin": "added files",
            "reference": json.dumps(asdict(REFERENCE)),
            "rates": "{}",
        }
        set_head(connection, head)
