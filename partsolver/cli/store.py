"""`partsolver catalog add|show|find|set|forget|export`: a catalogue that fills itself."""

from __future__ import annotations

import datetime
import sys
from contextlib import closing
from pathlib import Path
from typing import Annotated

import typer

from partsolver.base.errors import refuse
from partsolver.cli import options as o

StoreDir = Annotated[
    Path | None,
    typer.Option("--catalog", metavar="DIR", help="Catalogue folder with a store; default: parts."),
]


def add(
    files: Annotated[
        list[str], typer.Argument(metavar="FILE...", help="Pages, lists, tables, folders; - for pasted text.")
    ],
    into: Annotated[Path, typer.Option(metavar="DIR", help="Catalogue folder to fill.")] = Path(o.OWN_FOLDER),
    currency: Annotated[str, typer.Option(help="Currency of a new store (ISO 4217).")] = "EUR",
    format: o.OutputFormat = "text",
) -> int:
    """Read saved pages, price lists and tables into a catalogue."""
    from partsolver.catalog.adding import add as add_files
    from partsolver.report.store import added_json, added_text

    found = add_files([Path(name) for name in files], into, currency, datetime.date.today())
    sys.stdout.write(added_json(found) if format == "json" else added_text(found))
    return 0


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
    from partsolver.catalog.store.schema import open_store
    from partsolver.report import store as report

    folder = store_folder(catalog)
    if part is None and not left_out:
        raise refuse("catalog show", "no part given", None, "an ID, or --left-out")
    with closing(open_store(folder)) as connection:
        if left_out:
            rows = rows_left_out(connection)
            text = report.left_out_json(rows) if format == "json" else report.left_out_text(rows)
        else:
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
    from partsolver.catalog.store.schema import open_store
    from partsolver.report.store import found_json, found_text

    with closing(open_store(store_folder(catalog))) as connection:
        rows = found_parts(connection, words)
    sys.stdout.write(found_json(rows) if format == "json" else found_text(rows))
    return 0 if rows else 1


def set_(
    part: Annotated[str, typer.Argument(metavar="ID", help="Part.")],
    cells: Annotated[list[str], typer.Argument(metavar="COLUMN=VALUE...", help="What you know of it.")],
    catalog: StoreDir = None,
) -> int:
    """Keep your own word on a part: it beats what pages and lists say."""
    from partsolver.catalog.store.questions import set_cells
    from partsolver.catalog.store.schema import changing

    pairs = []
    for text in cells:
        column, equals, value = text.partition("=")
        if not equals or not column.strip() or not value.strip():
            raise refuse("catalog set", "not a fact", text, "COLUMN=VALUE, such as depth_mm=226")
        pairs.append((column.strip(), value.strip()))
    with changing(store_folder(catalog)) as connection:
        kept = set_cells(connection, part, pairs, datetime.date.today())
    for column, value in pairs:
        print(f"{kept} {column} = {value}")
    return 0


def forget(
    seller: Annotated[str, typer.Argument(metavar="SELLER", help="Id of the seller.")],
    catalog: StoreDir = None,
) -> int:
    """Take out a seller with all that came from it; what you typed stays."""
    from partsolver.catalog.store.questions import forget_seller
    from partsolver.catalog.store.schema import changing
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
