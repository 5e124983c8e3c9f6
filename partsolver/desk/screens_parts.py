"""Screens of the catalogue: files dropped, parts looked up with the origin of each fact."""

from __future__ import annotations

import datetime
import secrets
from collections.abc import Sequence

from starlette.exceptions import HTTPException
from starlette.responses import Response

from partsolver.base.errors import InputRefused, refuse
from partsolver.base.quantities import format_amount
from partsolver.catalog.adding import Added
from partsolver.catalog.load import Catalog
from partsolver.catalog.sources import Wishes
from partsolver.catalog.store import holds_store
from partsolver.catalog.store.questions import Shown, left_out, shown
from partsolver.catalog.store.schema import reading
from partsolver.desk.frame import Asked, go
from partsolver.desk.tasks import Task
from partsolver.report.desk_views import PartFact, part_facts, store_facts
from partsolver.report.store import added_lines, reason_text
from partsolver.report.words import desk as words
from partsolver.report.words.lookup import plain_line as plain

MOST_FOUND, MOST_LEFT = 60, 200
_TABLES = ("boards", "cpus", "memory", "coolers", "psus", "cases", "drives", "graphics", "extras", "bundles")


def parts_view(asked: Asked) -> Response:
    """Counts, a search, and the place to drop pages and lists; what was read of those that were dropped."""
    job = asked.desk.warm.pool.find(asked.query.get("work", ""))
    if job is None or job.task.kind != "add":
        return _screen(asked, ())
    try:
        added: Added = asked.desk.warm.pool.result(job)
    except InputRefused:
        if job.state != "unsettled":
            raise
        faults, questions = job.value
        return _screen(asked, (), [str(fault) for fault in faults], questions)
    root = f"{asked.desk.folder.root}/"
    return _screen(asked, tuple(line.replace(root, "") for line in added_lines(added)))


def _screen(
    asked: Asked, said: tuple[str, ...], faults: Sequence[str] = (), questions: tuple[str, ...] = ()
) -> Response:
    warm = asked.desk.warm
    wanted = asked.query.get("find", "").strip()
    catalog, fault = None, ""
    if warm.catalog_folder is not None:
        try:
            catalog = warm.catalog()
        except InputRefused as error:
            fault = str(error.faults[0]).replace(f"{asked.desk.folder.root}/", "")
    skipped = []
    if asked.desk.folder.has_parts and holds_store(asked.desk.folder.parts):
        with reading(asked.desk.folder.parts) as connection:
            skipped = [
                (
                    f"{plain(row.origin)} {plain(row.place)}".replace(f"{asked.desk.folder.root}/", ""),
                    plain(row.text)[:90],
                    reason_text(row),
                )
                for row in left_out(connection)[:MOST_LEFT]
            ]
    return asked.show(
        "parts.html",
        counts=[] if catalog is None else _counts(catalog),
        fault=fault,
        find=wanted,
        found=[] if catalog is None or not wanted else _found(catalog, wanted),
        shelf=[] if catalog is None else _shelf(catalog),
        said=said,
        skipped=skipped,
        questions=questions,
        faults=faults,
        currency="EUR" if catalog is None else catalog.info.currency,
    )


def _counts(catalog: Catalog) -> list[tuple[str, int, int]]:
    offered = {offer.part for offer in catalog.tables["offers"]}
    return [
        (
            words.TABLES[table],
            len(catalog.tables[table]),
            sum(part.id in offered for part in catalog.tables[table]),
        )
        for table in _TABLES
        if catalog.tables[table]
    ]


def _found(catalog: Catalog, wanted: str) -> list[tuple[str, str, str]]:
    said = wanted.casefold().split()
    rows = [
        (part.id, part.name, words.TABLES[table])
        for table in _TABLES
        for part in catalog.tables[table]
        if all(word in f"{part.id} {part.name}".casefold() for word in said)
    ]
    return rows[:MOST_FOUND]


def _shelf(catalog: Catalog) -> list[tuple[str, str, str]]:
    """What is in stock in known numbers: name, seller, count."""
    names = {part.id: part.name for table in _TABLES for part in catalog.tables[table]}
    sellers = {seller.id: seller.name for seller in catalog.tables["sellers"]}
    return [
        (names.get(offer.part, offer.part), sellers.get(offer.seller, offer.seller), str(offer.stock))
        for offer in catalog.tables["offers"]
        if offer.price == 0 and offer.stock is not None
    ][:MOST_FOUND]


def part_view(asked: Asked) -> Response:
    """One part: each fact with where it comes from, and its offers."""
    part = asked.path["part"]
    catalog = asked.desk.warm.catalog()
    table = catalog.table_of.get(part)
    if table is None:
        raise HTTPException(404)
    found = next(row for row in catalog.tables[table] if row.id == part)
    facts: list[PartFact] = part_facts(found, table)
    folder = asked.desk.warm.catalog_folder
    if folder is not None and holds_store(folder):
        with reading(folder) as connection:
            stored: Shown = shown(connection, part)
        facts = store_facts(stored)
    sellers = {seller.id: seller.name for seller in catalog.tables["sellers"]}
    offers = [
        (
            sellers.get(offer.seller, offer.seller),
            f"{format_amount(offer.price, catalog.info.digits)}",
            offer.stock,
        )
        for offer in catalog.tables["offers"]
        if offer.part == part
    ]
    return asked.show(
        "part.html",
        part=part,
        name=found.name,
        facts=facts,
        offers=offers,
        currency=catalog.info.currency,
    )


def add_files(asked: Asked) -> Response:
    """Pages and lists into the folder's store, as `catalog add` does."""
    pasted = asked.form.get("pasted", "").strip()
    if not asked.files and not pasted:
        raise refuse(words.FILES_NAME, words.NO_FILES)
    task = Task(
        "add",
        words.PARTS_NAME,
        secrets.token_hex(8),
        asked.desk.folder.parts,
        files=tuple(asked.files),
        pasted=pasted.encode() if pasted else None,
        wishes=_wishes(asked),
    )
    return go(f"/parts?work={asked.desk.warm.pool.job(task).id}")


def _wishes(asked: Asked) -> Wishes:
    form = asked.form
    tax = form.get("tax")
    rate = form.get("rate", "").strip().replace(",", ".").removesuffix("%").strip()
    try:
        percent = None if not rate else round(float(rate) * 100)
    except ValueError:
        raise refuse("rate", words.UNREADABLE, rate, "a percentage such as 19") from None
    if percent is not None and not 0 <= percent < 10_000:
        raise refuse("rate", words.UNREADABLE, rate, "a percentage such as 19")
    currency = form.get("currency", "EUR").strip().upper() or "EUR"
    return Wishes(
        currency,
        datetime.date.today(),
        form.get("seller", "").strip() or None,
        None,
        tax if tax in ("net", "gross", "final") else None,  # type: ignore[arg-type]
        percent,
    )
