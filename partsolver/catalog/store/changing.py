"""Every change of a store: one transaction, at whose end what loading reads is packed anew (kept.py)."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from partsolver.base.errors import Fault, refuse
from partsolver.base.quantities import minor_digits
from partsolver.catalog.digest import content_digest
from partsolver.catalog.store import store_path
from partsolver.catalog.store.derive import derive
from partsolver.catalog.store.kept import facts_changed, stop_watching, watch, write_kept
from partsolver.catalog.store.load import all_rows, head_of, tables_of_rows
from partsolver.catalog.store.prices import Key, price_notes
from partsolver.catalog.store.schema import NOT_OURS, WAIT_MS, create, fit_columns


@contextmanager
def changing(folder: Path) -> Iterator[sqlite3.Connection]:
    """One transaction on the store of a folder, which is made where it does not exist yet: all of it is kept,
    or nothing, neither file nor folder. Raises InputRefused where the disk or the file refuses."""
    path = store_path(folder)
    connection, new, done = None, not path.exists(), False
    missing = [above for above in (folder, *folder.parents) if not above.exists()]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        connection = _begun(path)
        made = connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'meta'").fetchone()
        if made is None:
            create(connection)
        fit_columns(connection)
        foreign = facts_changed(connection)
        stop_watching(connection)
        yield connection
        if foreign:
            derive(connection, (), everything=True)
        connection.execute("DELETE FROM kept")
        watch(connection)
        with suppress(*NOT_OURS):  # what cannot be read is said by whoever loads it
            _keep(connection, path)
        connection.execute("COMMIT")
        done = True
    except OSError as error:
        raise refuse(
            str(folder), f"cannot be written: {error.strerror}", hint="Choose a folder that is yours"
        ) from None
    except sqlite3.Error as error:
        raise refuse(
            str(path),
            f"the store refuses: {error}; nothing was changed",
            hint="Free some disk space, or wait",
        ) from None
    finally:
        if connection is not None:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            if new and not done:
                _discard(connection, path)
            connection.close()
        if not done:
            with suppress(OSError):  # not empty, or somebody else's
                for above in missing:
                    above.rmdir()


def _begun(path: Path) -> sqlite3.Connection:
    """A connection in a transaction on the file that lies there. One that another process has just taken away
    again (`_discard`) is left, and opened anew."""
    while True:
        connection = sqlite3.connect(path, timeout=WAIT_MS / 1000, isolation_level=None)
        try:
            connection.execute("PRAGMA journal_mode=WAL")
            connection.execute("PRAGMA synchronous=FULL")
            opened = _identity(path)
            connection.execute("BEGIN IMMEDIATE")
        except BaseException:
            connection.close()
            raise
        if opened is not None and opened == _identity(path):
            return connection
        connection.close()


def _identity(path: Path) -> tuple[int, int] | None:
    """Which file lies there; None where there is none."""
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    return found.st_dev, found.st_ino


def _discard(connection: sqlite3.Connection, path: Path) -> None:
    """Take a store away again that was begun and holds nothing; one that another process has open stays. (Leaving the
    write-ahead log needs the file for oneself, and the lock is kept until it is gone.)"""
    with suppress(sqlite3.Error, OSError):
        if connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'meta'").fetchone() is not None:
            return
        connection.execute("PRAGMA busy_timeout=0")
        if connection.execute("PRAGMA journal_mode=DELETE").fetchone() == ("delete",):
            connection.execute("BEGIN EXCLUSIVE")
            path.unlink()
            connection.execute("ROLLBACK")


def _keep(connection: sqlite3.Connection, path: Path) -> None:
    """Pack what loading reads; rows that give a message are not packed."""
    head = head_of(connection)
    digits = minor_digits(head["currency"])
    marks: dict[str, str] = {}
    days: dict[Key, str] = {}
    faults: list[Fault] = []
    rows = all_rows(connection, digits, marks, days)
    read = tables_of_rows(str(path), rows, digits, head["currency"], faults, records=False)
    if not faults:
        write_kept(connection, rows, marks, price_notes(connection, days), content_digest(head, read))
