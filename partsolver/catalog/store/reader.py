"""Which version of the readers read what a store holds: a file that another one read may say something else today,
and what was misread then stands until it is added again."""

from __future__ import annotations

import hashlib
import sqlite3
from functools import cache
from importlib import resources

# What decides how a page, a list or a sheet is read, in the folder catalog/.
_READERS = ("titles", "pages", "lists")
_KINDS = (".py", ".csv", ".tsv")


@cache
def reader_version() -> str:
    """Of the readers of this program: the words, patterns and modules that they are made of."""
    made = hashlib.sha256()
    for folder in _READERS:
        files = resources.files("partsolver.catalog").joinpath(folder).iterdir()
        for file in sorted(files, key=lambda one: one.name):
            if file.name.endswith(_KINDS):
                made.update(file.name.encode() + b"\0" + file.read_bytes() + b"\0")
    return made.hexdigest()[:16]


def note_reader(connection: sqlite3.Connection, origin: str, day: str) -> None:
    """Keep that this program read a file of a day."""
    connection.execute("INSERT OR REPLACE INTO read_by VALUES(?, ?, ?)", (origin, day, reader_version()))


def read_otherwise(connection: sqlite3.Connection) -> tuple[tuple[str, str], ...]:
    """Files (name, day) that another version read, and from which facts of parts on sale come. In a store of a
    version that did not keep it these are all."""
    known = connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'read_by'").fetchone() is not None
    query = (
        "SELECT DISTINCT f.origin, f.stated_on FROM facts f JOIN sightings s ON s.key = f.sighting"
        " WHERE f.mark IN ('sheet', 'printed', 'title') AND s.part IN (SELECT part FROM current_offers)"
    )
    if known:
        query += (
            " AND NOT EXISTS (SELECT 1 FROM read_by r WHERE r.origin = f.origin AND r.stated_on = f.stated_on"
            " AND r.version = ?)"
        )
    found = connection.execute(query + " ORDER BY 1, 2", (reader_version(),) if known else ())
    return tuple((origin, day) for origin, day in found)
