"""Files of any kind as sources, recognised by content: saved pages, price lists, sheets, pasted text."""

from __future__ import annotations

import datetime
import email
import email.policy
import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from partsolver.base import textfile
from partsolver.base.errors import InputRefused
from partsolver.base.records import record
from partsolver.base.values import FIRST_DAY
from partsolver.catalog.lists.columns import Columns
from partsolver.catalog.lists.limits import MOST_BYTES, NotRead
from partsolver.catalog.lists.sheets import is_spreadsheet, text_of
from partsolver.catalog.lists.shelf import SHELF, SHELF_NAME
from partsolver.catalog.lists.source import ListSource, Settings, list_sheets, read_list, rows_of_json
from partsolver.catalog.pages.html import is_html
from partsolver.catalog.pages.source import PageSettings, PageSource, read_page, read_pdf
from partsolver.catalog.store.records import LeftOut, Source, Tax

# What a browser saves beside a page, and what is no text.
_BESIDE = (
    ".js",
    ".css",
    ".png",
    ".jpg",
    ".jpeg",
    ".gif",
    ".svg",
    ".webp",
    ".ico",
    ".woff",
    ".woff2",
    ".ttf",
    ".mp4",
    ".avif",
)
PASTED = "-"


@record
class KeptSeller:
    """What the store knows of a seller's lists."""

    tax: Tax | None
    tax_percent_x100: int | None
    mapping: str | None
    currency: str | None


@record
class Wishes:
    """What the person said with the command; None = nothing. rates: what one of another currency is worth
    in the store's own, as decimal strings; usual_tax, usual_tax_percent_x100: what counts where a list
    does not say it."""

    currency: str
    today: datetime.date
    seller: str | None = None
    stated_on: datetime.date | None = None
    tax: Tax | None = None
    tax_percent_x100: int | None = None
    roles: Mapping[str, int] | None = None
    labels: Mapping[str, str] | None = None
    shelf: bool = False
    rates: Mapping[str, str] | None = None
    usual_tax: Tax | None = None
    usual_tax_percent_x100: int | None = None


@record
class FileRead:
    """One file read: what it gave, and what of it is kept. ``form``: list, page, sheet, text, none; ``dated``:
    whether its time stamp is a day."""

    source: Source
    form: str
    columns: Columns | None = None
    tax: Tax | None = None
    tax_percent_x100: int | None = None
    sellers: tuple[tuple[str, str, int | None], ...] = ()
    unknown: tuple[tuple[str, str], ...] = ()
    dated: bool = True


def files_of(path: Path) -> Iterator[Path]:
    """The files of a folder that may hold something, in order; not what a browser saves beside its pages. Raises
    InputRefused where a name is no text."""
    if not path.is_dir():
        if not textfile.name_is_text(str(path)):
            raise InputRefused(textfile.no_text(str(path)))
        yield path
        return
    for inner in sorted(path.rglob("*")):
        parts = inner.relative_to(path).parts
        hidden = any(part.startswith(".") or part.endswith("_files") for part in parts)
        if inner.is_file() and not hidden and inner.suffix.lower() not in _BESIDE:
            if not textfile.name_is_text(str(inner)):
                raise InputRefused(textfile.no_text(str(inner)))
            yield inner


def _day_of(stamp: float, today: datetime.date) -> datetime.date | None:
    """The day of a file's time stamp; None where it is none (the first moment of a file system) or is still to
    come."""
    try:
        day = datetime.date.fromtimestamp(stamp)
    except (OverflowError, ValueError, OSError):
        return None
    return day if FIRST_DAY < day <= today else None


def read_file(path: Path, wishes: Wishes, kept: Mapping[str, KeptSeller]) -> FileRead:
    """One file, opened once. A file that gives nothing is read as such, with the reason. Raises InputRefused
    where it is not there, Unsettled where a list has to be explained."""
    try:
        data, stamp = textfile.read_stamped(path, MOST_BYTES)
    except textfile.TooLarge:
        too_large = NotRead("too-large", f"{MOST_BYTES // 1_000_000} MB")
        return _nothing(path.as_posix(), "too large", wishes, too_large)
    day = _day_of(stamp, wishes.today)
    read = read_data(data, path.as_posix(), path.stem, day or wishes.today, wishes, kept)
    return replace(read, dated=day is not None)


def read_data(
    data: bytes,
    origin: str,
    stem: str,
    modified: datetime.date,
    wishes: Wishes,
    kept: Mapping[str, KeptSeller],
) -> FileRead:
    """Bytes of a file or of pasted text, recognised by content."""
    digest = hashlib.sha256(data).hexdigest()[:32]
    pages = PageSettings(
        wishes.seller, wishes.stated_on or min(modified, wishes.today), wishes.currency, wishes.labels or {}
    )
    try:
        if len(data) > MOST_BYTES:
            raise NotRead("too-large", f"{MOST_BYTES // 1_000_000} MB")
        if data[:5] == b"%PDF-":
            return _page(read_pdf(data, origin, digest, pages))
        data = _page_of_archive(data)
        if is_spreadsheet(data):
            return _list(data, True, origin, stem, digest, modified, wishes, kept)
        if is_html(data):
            return _page(read_page(data, origin, digest, pages))
        if b"\x00" in data[:4096] and data[:2] not in (b"\xff\xfe", b"\xfe\xff"):
            raise NotRead("unreadable", "not a page, a table or text")
        if data.lstrip()[:1] in (b"{", b"["):
            found = _json(data, origin, stem, digest, modified, wishes, kept, pages)
            if found is not None:
                return found
        return _list(data, False, origin, stem, digest, modified, wishes, kept)
    except NotRead as error:
        return _nothing(origin, digest, wishes, error)


def _page_of_archive(data: bytes) -> bytes:
    """The page inside a web archive (.mhtml, RFC 2557); other data as they are."""
    if b"multipart/related" not in data[:4096] or data.lstrip()[:4].lower() not in (
        b"from",
        b"mime",
        b"subj",
        b"date",
    ):
        return data
    message = email.message_from_bytes(data, policy=email.policy.default)
    for part in message.walk():
        if part.get_content_type() == "text/html":
            content = part.get_payload(decode=True)
            return content if isinstance(content, bytes) else data
    return data


def _page(found: PageSource) -> FileRead:
    return FileRead(found.source, found.form, sellers=found.sellers, unknown=found.unknown)


def _nothing(origin: str, digest: str, wishes: Wishes, error: NotRead) -> FileRead:
    left = LeftOut(origin, "", Path(origin).name, error.reason, error.detail)
    return FileRead(Source(origin, digest, wishes.today, None, (), (left,), 0), "none")


def _list(
    data: bytes,
    spreadsheet: bool,
    origin: str,
    stem: str,
    digest: str,
    modified: datetime.date,
    wishes: Wishes,
    kept: Mapping[str, KeptSeller],
) -> FileRead:
    return _listed(list_sheets(data, spreadsheet), origin, stem, digest, modified, wishes, kept)


def _listed(
    sheets: Sequence[object],
    origin: str,
    stem: str,
    digest: str,
    modified: datetime.date,
    wishes: Wishes,
    kept: Mapping[str, KeptSeller],
) -> FileRead:
    from partsolver.catalog.lists.source import seller_of_file

    seller = SHELF if wishes.shelf else wishes.seller or seller_of_file(stem)
    before = kept.get(seller)
    settings = Settings(
        seller,
        wishes.stated_on,
        wishes.tax,
        wishes.tax_percent_x100,
        wishes.roles,
        wishes.currency,
        None if before is None else before.mapping,
        wishes.shelf,
        wishes.usual_tax,
        wishes.usual_tax_percent_x100,
        today=wishes.today,
    )
    if before is not None and settings.tax is None:
        settings = replace(settings, kept_tax=before.tax, kept_tax_percent_x100=before.tax_percent_x100)
    found: ListSource = read_list(sheets, origin, stem, digest, modified, settings)  # type: ignore[arg-type]
    return FileRead(
        found.source,
        "text" if origin == PASTED else "list",
        found.columns,
        found.tax,
        found.tax_percent_x100,
        ((seller, SHELF_NAME if wishes.shelf else wishes.seller or seller, None),),
    )


def _json(
    data: bytes,
    origin: str,
    stem: str,
    digest: str,
    modified: datetime.date,
    wishes: Wishes,
    kept: Mapping[str, KeptSeller],
    pages: PageSettings,
) -> FileRead | None:
    """A JSON file: product data as a page would carry them, or a list of alike rows."""
    try:
        value = json.loads(text_of(data), strict=False)
    except (ValueError, RecursionError):
        return None
    if b"schema.org" in data or b'"@type"' in data:
        script = (
            b'<script type="application/ld+json">'
            + json.dumps(value).replace("</", "<\\/").encode()
            + b"</script>"
        )
        return _page(read_page(script, origin, digest, pages))
    table = rows_of_json(value)
    return None if table is None else _listed((table,), origin, stem, digest, modified, wishes, kept)
