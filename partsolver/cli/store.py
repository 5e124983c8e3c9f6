"""`partsolver catalog add|show|find|set|forget|export`: a catalogue that fills itself."""

from __future__ import annotations

import datetime
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from partsolver.base.errors import nearest, refuse
from partsolver.base.values import FIRST_DAY
from partsolver.cli import options as o
from partsolver.report.words.counts import count_of

if TYPE_CHECKING:
    from partsolver.catalog.sources import Wishes

# More pasted text than this is no paste.
MOST_PASTED = 50_000_001

StoreDir = Annotated[
    Path | None,
    typer.Option("--catalog", metavar="DIR", help="Catalogue folder with a store; default: parts."),
]


def add(
    files: Annotated[
        list[str], typer.Argument(metavar="FILE...", help="Pages, lists, tables, folders; - for pasted text.")
    ],
    into: Annotated[Path, typer.Option(metavar="DIR", help="Catalogue folder to fill.")] = Path(o.OWN_FOLDER),
    currency: Annotated[
        str | None, typer.Option(help="Currency of a new store (ISO 4217); default: the setting, else EUR.")
    ] = None,
    seller: Annotated[
        str | None, typer.Option(metavar="NAME", help="Whose list it is; default: the file's name.")
    ] = None,
    date: Annotated[
        str | None, typer.Option(metavar="DATE", help="Day of the prices; default: as the list or file says.")
    ] = None,
    tax: Annotated[
        Literal["net", "gross", "final"] | None,
        typer.Option(case_sensitive=False, help="What the list's prices hold."),
    ] = None,
    rate: Annotated[
        str | None, typer.Option(metavar="PERCENT", help="Rate of tax that comes on top of net prices.")
    ] = None,
    column: Annotated[
        list[str] | None,
        typer.Option(metavar="ROLE=N", help="What a column of the list holds, such as name=2 (repeat)."),
    ] = None,
    label: Annotated[
        list[str] | None,
        typer.Option(metavar="LABEL=COLUMN", help="What a label of a maker's sheet means (repeat)."),
    ] = None,
    exchange: Annotated[
        list[str] | None,
        typer.Option(metavar="CODE=RATE", help="What one of another currency is worth in yours (repeat)."),
    ] = None,
    shelf: Annotated[
        bool, typer.Option("--shelf", help="The list is what you have: names, counts, a worth if any.")
    ] = False,
    yes: Annotated[
        bool, typer.Option("--yes", help="Join a sheet to the one article of its maker and model.")
    ] = False,
    format: o.OutputFormat = "text",
) -> int:
    """Read saved pages, price lists, makers' sheets and tables into a catalogue."""
    from partsolver.catalog.adding import add as add_files
    from partsolver.catalog.lists.source import Unsettled
    from partsolver.catalog.sources import Wishes
    from partsolver.cli.progress import working
    from partsolver.cli.settings import known_currency, percent_x100, setting
    from partsolver.report.store import added_json, added_text, read_otherwise_text

    today = datetime.date.today()
    own = known_currency("--currency", currency or setting("currency").value or "EUR")
    usual_tax, usual_rate = setting("tax").value, setting("tax_rate").value
    wishes = Wishes(
        own,
        today,
        seller,
        _day(date, today),
        tax,
        None if rate is None else percent_x100("--rate", rate),
        _roles(column),
        _labels(label),
        shelf,
        _exchange(exchange, own),
        usual_tax,  # type: ignore[arg-type]  # checked where it is read
        None if usual_rate is None else percent_x100("tax_rate", usual_rate),
    )
    pasted = sys.stdin.buffer.read(MOST_PASTED) if "-" in files else None
    paths = [Path(name) for name in files]
    while True:
        try:
            with working("reading the files") as doing:
                found = add_files(paths, into, wishes, pasted, yes, progress=_telling(doing))
            break
        except Unsettled as unsettled:
            if pasted is not None or not sys.stdin.isatty():
                raise
            wishes = _asked(unsettled, wishes)
    _tell_of_days(found.undated, into, wishes)
    if found.read_otherwise:
        o.remark(read_otherwise_text(found.read_otherwise))
    sys.stdout.write(added_json(found) if format == "json" else added_text(found))
    return 0


def _day(text: str | None, today: datetime.date) -> datetime.date | None:
    """The day of the prices. Raises InputRefused for one that is still to come: each later list would count as
    older."""
    day = o.parse_date("--date", text)
    if day is not None and not FIRST_DAY <= day <= today:
        raise refuse(
            "--date", "no list can be of this day", text, f"a day from {FIRST_DAY} to today, {today}"
        )
    return day


def _tell_of_days(undated: tuple[str, ...], into: Path, wishes: Wishes) -> None:
    """Say which days cannot be: of files whose day counts, and in the store. The clock of this machine may be wrong."""
    from partsolver.catalog.store.questions import latest_price

    today = wishes.today
    if wishes.stated_on is None and undated:
        more = f" and of {count_of(len(undated) - 1, 'more file')}" if undated[1:] else ""
        o.remark(
            f"the time stamp of {undated[0]}{more} is none, or to come: where no day is said inside, its prices"
            f" count as of today, {today} (--date states the day)"
        )
    day, seller = latest_price(into)
    if day > today.isoformat():
        o.remark(
            f"{into} holds prices of {seller} of {day}, and today is {today}: is the clock of this machine right?"
            f" Later lists count as older until then; `partsolver catalog forget {seller} --catalog {into}` takes them out"
        )


def _telling(doing: Callable[[str], None]) -> Callable[[int, int], None]:
    """What is done with which of many files."""

    def tell(done: int, total: int) -> None:
        doing("writing the store" if done == total else f"reading file {done + 1} of {total}")

    return tell


def _roles(given: list[str] | None) -> dict[str, int] | None:
    """Role -> column number from 0. Raises InputRefused."""
    from partsolver.catalog.lists.columns import ROLES

    found = {}
    for text in given or ():
        role, equals, number = text.partition("=")
        if role not in ROLES or not equals or not re.fullmatch(r"[1-9][0-9]{0,2}", number):
            raise refuse("--column", "not a column", text, f"ROLE=NUMBER; roles are {', '.join(ROLES)}")
        found[role] = int(number) - 1
    return found or None


def _exchange(given: list[str] | None, own: str) -> dict[str, str] | None:
    """Code -> rate as a decimal string. Raises InputRefused."""
    from partsolver.base.values import number

    found = {}
    for text in given or ():
        code, _, rate = text.partition("=")
        code = code.strip().upper()
        try:
            value = number(rate)
        except ValueError:
            value = None
        if value is None or value <= 0 or not re.fullmatch(r"[A-Z]{3}", code) or code == own.upper():
            raise refuse("--exchange", "not a rate of exchange", text, "CODE=RATE, such as PLN=0.23")
        found[code] = f"{float(value):.12f}".rstrip("0").rstrip(".")
    return found or None


def _labels(given: list[str] | None) -> dict[str, str] | None:
    """Label -> column of the dictionary. Raises InputRefused."""
    from partsolver.catalog.dictionary import columns
    from partsolver.catalog.pages.labels import plain_label

    known = {name for table in columns().values() for name in table}
    found = {}
    for text in given or ():
        label, equals, name = text.rpartition("=")
        if not equals or not label.strip() or name.strip() not in known:
            near = nearest(name.strip(), known)
            raise refuse("--label", "not a label with a column", text, "LABEL=COLUMN of the dictionary", near)
        found[plain_label(label)] = name.strip()
    return found or None


def _asked(unsettled: Any, wishes: Any) -> Any:
    """The wishes with a person's answers to what is not sure about a list."""
    from dataclasses import replace

    from partsolver.cli.settings import percent_x100

    for fault in unsettled.faults:
        o.remark(str(fault))
    for question in unsettled.questions:
        answer = typer.prompt(f"{question}?").strip()
        if question == "tax":
            if answer not in ("net", "gross", "final"):
                raise refuse("tax", "not an answer", answer, "net, gross or final")
            wishes = replace(wishes, tax=answer)
        elif question == "rate":
            wishes = replace(wishes, tax_percent_x100=percent_x100("rate", answer))
        else:
            wishes = replace(
                wishes, roles={**(wishes.roles or {}), **(_roles([f"{question}={answer}"]) or {})}
            )
    return wishes


def show(
    part: Annotated[str | None, typer.Argument(metavar="[ID]", help="Part to show.")] = None,
    catalog: StoreDir = None,
    left_out: Annotated[bool, typer.Option("--left-out", help="Rows and files that gave no part.")] = False,
    format: o.OutputFormat = "text",
) -> int:
    """Every fact of a part with its mark and where it comes from, its offers and their past."""
    from partsolver.catalog.store.load import store_head
    from partsolver.catalog.store.questions import left_out as rows_left_out
    from partsolver.catalog.store.questions import shown
    from partsolver.catalog.store.schema import reading
    from partsolver.report import store as report

    folder = store_folder(catalog)
    if part is None and not left_out:
        raise refuse("catalog show", "no part given", None, "an ID, or --left-out")
    if left_out:
        with reading(folder) as connection:
            rows = rows_left_out(connection)
        text = report.left_out_json(rows) if format == "json" else report.left_out_text(rows)
    else:
        with reading(folder) as connection:
            found = shown(connection, part or "")
        head = store_head(folder)
        text = report.shown_json(found, head) if format == "json" else report.shown_text(found, head)
    sys.stdout.write(text)
    return 0


def find(
    words: Annotated[list[str], typer.Argument(metavar="WORDS...", help="Words of a name, maker or number.")],
    catalog: StoreDir = None,
    format: o.OutputFormat = "text",
) -> int:
    """Parts in whose names or numbers all words stand."""
    from partsolver.catalog.store.questions import found_parts
    from partsolver.catalog.store.schema import reading
    from partsolver.report.store import found_json, found_text

    with reading(store_folder(catalog)) as connection:
        rows = found_parts(connection, words)
    sys.stdout.write(found_json(rows) if format == "json" else found_text(rows))
    return 0 if rows else 1


def set_(
    part: Annotated[str, typer.Argument(metavar="ID", help="Part.")],
    cells: Annotated[
        list[str],
        typer.Argument(metavar="COLUMN=VALUE...", help="What you know of it; same-as=ID joins two parts."),
    ],
    catalog: StoreDir = None,
) -> int:
    """Keep your own word on a part: it beats what pages and lists say."""
    from partsolver.catalog.store.changing import changing
    from partsolver.catalog.store.questions import join_parts, set_cells

    pairs = []
    for text in cells:
        column, equals, value = text.partition("=")
        if not equals or not column.strip() or not value.strip():
            raise refuse("catalog set", "not a fact", text, "COLUMN=VALUE, such as depth_mm=226")
        pairs.append((column.strip(), value.strip()))
    same = [value for column, value in pairs if column == "same-as"]
    pairs = [pair for pair in pairs if pair[0] != "same-as"]
    with changing(store_folder(catalog)) as connection:
        kept = part
        for other in same:
            kept = join_parts(connection, kept, other)
        if pairs:
            kept = set_cells(connection, kept, pairs, datetime.date.today())
    for other in same:
        print(f"{kept} is {other}")
    for column, value in pairs:
        print(f"{kept} {column} = {value}")
    return 0


def forget(
    seller: Annotated[str, typer.Argument(metavar="SELLER", help="Id of the seller.")],
    catalog: StoreDir = None,
) -> int:
    """Take out a seller with all that came from it; what you typed stays."""
    from partsolver.catalog.store.changing import changing
    from partsolver.catalog.store.questions import forget_seller
    from partsolver.report.store import forgotten_text

    with changing(store_folder(catalog)) as connection:
        count = forget_seller(connection, seller)
    sys.stdout.write(forgotten_text(seller, count))
    return 0


def export(
    target: Annotated[Path, typer.Argument(metavar="DIR", help="New folder for the tables.")],
    catalog: StoreDir = None,
) -> int:
    """Write a store as CSV tables."""
    from partsolver.catalog.store.tables import export_folder

    for path in export_folder(store_folder(catalog), target):
        print(path)
    return 0


def store_folder(catalog: Path | None) -> Path:
    """The folder of a store: the one given, else `parts` here. Raises InputRefused where it holds none."""
    from partsolver.catalog.store import holds_store

    folder = Path(o.OWN_FOLDER) if catalog is None else catalog
    if not holds_store(folder):
        raise refuse(
            str(folder),
            "there is no store in this folder",
            hint="Make one with `partsolver catalog add FILE...`",
        )
    return folder
