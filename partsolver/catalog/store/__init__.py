"""The store: a catalogue folder's one SQLite file with parts, facts, offers, sellers and what was left out.

What a source says of one article stands as a *sighting* with its facts and its offers; parts are derived from
sightings (identity.py), each part's cells from the facts of its sightings (resolve.py), and both are kept
beside them, once more packed, so that loading reads neither facts nor rows (kept.py). Nothing a person typed is ever derived.
"""

import sqlite3
from contextlib import closing
from pathlib import Path

FILE_NAME = "catalog.sqlite"
# A file of one page may hold no table yet: SQLite writes that page when it is told the journal's mode
# (SQLite, "Write- Ahead Logging", section 3.3; page size 4,096 bytes by default since 3.12).
ONE_PAGE = 4096


def store_path(folder: Path) -> Path:
    """Where the store of a catalogue folder stands."""
    return folder / FILE_NAME


def holds_store(folder: Path) -> bool:
    """Whether a catalogue folder holds a store: a folder of CSV tables does not, nor one in which the
    first `catalog add` was ended before its transaction was."""
    path = store_path(folder)
    return path.is_file() and (path.stat().st_size > ONE_PAGE or _has_tables(path))


def _has_tables(path: Path) -> bool:
    try:
        with closing(sqlite3.connect(path)) as connection:
            return (
                connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'meta'").fetchone() is not None
            )
    except sqlite3.Error:
        return True  # whoever reads it says what is wrong
