"""The tables of a store, and how its file is opened.

Everything a person or a seller said stands in ``sightings``, ``facts``, ``offers`` and ``sellers``; ``parts``
and the ``wide_`` tables are derived from them within the same transaction. WAL: a reader sees the state
before a running import or after it, never half of it (sqlite.org/wal.html).
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from itertools import islice
from pathlib import Path

from partsolver.base.errors import refuse
from partsolver.catalog.dictionary import columns
from partsolver.catalog.records import PART_TABLES
from partsolver.catalog.store import store_path

FORMAT = "1"
# Two imports at once: the second waits for the first so long.
WAIT_MS = 60_000

_TABLES = """
CREATE TABLE meta(key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE imports(digest TEXT PRIMARY KEY, origin TEXT NOT NULL, stated_on TEXT NOT NULL, seller TEXT,
    series TEXT, rows INTEGER NOT NULL) WITHOUT ROWID;
CREATE TABLE sightings(key TEXT PRIMARY KEY, seller TEXT NOT NULL, tab TEXT NOT NULL, name TEXT NOT NULL,
    maker TEXT, mpn TEXT, gtin TEXT, sku TEXT, own_id TEXT, leftover TEXT NOT NULL, origin TEXT NOT NULL,
    place TEXT NOT NULL, stated_on TEXT NOT NULL, part TEXT) WITHOUT ROWID;
CREATE INDEX sightings_part ON sightings(part);
CREATE INDEX sightings_seller ON sightings(seller);
CREATE TABLE facts(sighting TEXT NOT NULL, col TEXT NOT NULL, mark TEXT NOT NULL, value TEXT NOT NULL,
    origin TEXT NOT NULL, place TEXT NOT NULL, stated_on TEXT NOT NULL,
    PRIMARY KEY(sighting, col, mark, origin)) WITHOUT ROWID;
CREATE TABLE offers(sighting TEXT NOT NULL, stated_on TEXT NOT NULL, origin TEXT NOT NULL,
    nth INTEGER NOT NULL, price_minor INTEGER NOT NULL, currency TEXT, tax TEXT, tax_percent_x100 INTEGER,
    cells TEXT NOT NULL, series TEXT, place TEXT NOT NULL,
    PRIMARY KEY(sighting, stated_on, origin, nth)) WITHOUT ROWID;
CREATE TABLE current_offers(part TEXT NOT NULL, seller TEXT NOT NULL, sighting TEXT NOT NULL,
    nth INTEGER NOT NULL, stated_on TEXT NOT NULL, price_minor INTEGER NOT NULL, currency TEXT,
    cells TEXT NOT NULL, PRIMARY KEY(part, seller, sighting, nth)) WITHOUT ROWID;
CREATE TABLE sellers(id TEXT PRIMARY KEY, name TEXT NOT NULL, tax TEXT, tax_percent_x100 INTEGER,
    currency TEXT, mapping TEXT, cells TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE bundles(id TEXT PRIMARY KEY, cells TEXT NOT NULL, origin TEXT NOT NULL, place TEXT NOT NULL)
    WITHOUT ROWID;
CREATE TABLE platforms(tab TEXT NOT NULL, by TEXT NOT NULL, word TEXT NOT NULL, col TEXT NOT NULL,
    value TEXT NOT NULL, origin TEXT NOT NULL, place TEXT NOT NULL, PRIMARY KEY(tab, by, word, col)) WITHOUT ROWID;
CREATE TABLE joins(one TEXT NOT NULL, other TEXT NOT NULL, PRIMARY KEY(one, other)) WITHOUT ROWID;
CREATE TABLE labels(label TEXT NOT NULL, tab TEXT NOT NULL, col TEXT NOT NULL, PRIMARY KEY(label, tab))
    WITHOUT ROWID;
CREATE TABLE left_out(origin TEXT NOT NULL, place TEXT NOT NULL, text TEXT NOT NULL, reason TEXT NOT NULL,
    detail TEXT NOT NULL, PRIMARY KEY(origin, place)) WITHOUT ROWID;
CREATE TABLE aliases(old TEXT PRIMARY KEY, part TEXT NOT NULL) WITHOUT ROWID;
"""


# What one piece of an offer `o` of a seller `v` costs with tax, and in which currency: its own words, else those of
# its seller.
PAID_MINOR = (
    "CASE WHEN COALESCE(o.tax, v.tax) = 'net'"
    " THEN (o.price_minor * (10000 + COALESCE(o.tax_percent_x100, v.tax_percent_x100, 0)) + 5000) / 10000"
    " ELSE o.price_minor END"
)
CURRENCY = "COALESCE(o.currency, v.currency)"

# Rows written in one statement, during which nothing else of the program runs.
_BATCH = 5_000


def execute_many(connection: sqlite3.Connection, statement: str, rows: Iterable[Sequence[object]]) -> None:
    """A statement for every row, in batches: between two of them signals are heard (progress, Ctrl-C)."""
    left = iter(rows)
    while batch := list(islice(left, _BATCH)):
        connection.executemany(statement, batch)


def wide_table(table: str) -> str:
    """The name of the derived table with one row per part, columns of the dictionary, and ``marks``."""
    return f"wide_{table}"


def create(connection: sqlite3.Connection) -> None:
    for statement in _TABLES.split(";"):
        if statement.strip():
            connection.execute(statement)
    connection.execute("INSERT INTO meta VALUES('format', ?)", (FORMAT,))


def fit_columns(connection: sqlite3.Connection) -> None:
    """The tables of parts, and who read which file: also a store made with an older column dictionary gets the
    columns that are new."""
    connection.execute(
        "CREATE TABLE IF NOT EXISTS read_by(origin TEXT NOT NULL, stated_on TEXT NOT NULL, version TEXT NOT NULL,"
        " PRIMARY KEY(origin, stated_on)) WITHOUT ROWID"
    )
    for table in PART_TABLES:
        name = wide_table(table)
        connection.execute(
            f"CREATE TABLE IF NOT EXISTS {name}(id TEXT PRIMARY KEY, marks TEXT NOT NULL) WITHOUT ROWID"
        )
        for column in _lacking(connection, table):
            connection.execute(f'ALTER TABLE {name} ADD COLUMN "{column}" TEXT')


def _lacking(connection: sqlite3.Connection, table: str) -> list[str]:
    """Columns of the dictionary that a store made with an older one does not have."""
    here = {row[1] for row in connection.execute(f"PRAGMA table_info({wide_table(table)})")}
    return [column for column in columns()[table] if column not in here]


def _show_columns(connection: sqlite3.Connection) -> None:
    """What a store made with an older column dictionary lacks is unknown to its readers; the file stays as
    it is. (A name that is no column would be read as a text: sqlite.org/quirks.html, section 8.)"""
    for table in PART_TABLES:
        lacking = _lacking(connection, table)
        if lacking:
            name, blank = wide_table(table), ", ".join(f'NULL AS "{column}"' for column in lacking)
            connection.execute(f"CREATE TEMP VIEW {name} AS SELECT *, {blank} FROM main.{name}")


def open_store(folder: Path) -> sqlite3.Connection:
    """An open store for reading. Raises InputRefused for a file that is none."""
    path = store_path(folder)
    try:
        connection = sqlite3.connect(path, timeout=WAIT_MS / 1000, isolation_level=None)
        found = connection.execute("SELECT value FROM meta WHERE key = 'format'").fetchone()
    except sqlite3.Error as error:
        raise refuse(
            str(path),
            f"cannot be read as a store: {error}",
            hint="Make it again with `partsolver catalog add`",
        ) from None
    if found is None or found[0] != FORMAT:
        raise refuse(
            str(path),
            "a store of another version of this program",
            None if found is None else found[0],
            FORMAT,
            "Export it with the version that wrote it, and add the folder again",
        )
    _show_columns(connection)
    return connection


# What cells of a kind that this program never writes make of its readers.
NOT_OURS = (
    sqlite3.Error,
    TypeError,
    ValueError,
    LookupError,
    AttributeError,
    ArithmeticError,
    RecursionError,
)


@contextmanager
def reading(folder: Path) -> Iterator[sqlite3.Connection]:
    """An open store for reading only, closed afterwards. Raises InputRefused for a file that is none, and for
    one that holds what this program did not write (a damaged disk, a hand in it)."""
    connection = open_store(folder)
    try:
        yield connection
    except NOT_OURS as error:
        raise refuse(
            str(store_path(folder)),
            f"the store is damaged: it holds what this program does not write ({type(error).__name__}: {error})",
            hint="Put back a copy from before, or make it again with `partsolver catalog add`",
        ) from error
    finally:
        connection.close()
