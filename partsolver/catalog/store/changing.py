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
    or nothing. Raises InputRefused where the disk or the file refuses."""
    path = store_path(folder)
    connection = None
    try:
        folder.mkdir(parents=True, exist_ok=True)
        connection = sqlite3.connect(path, timeout=WAIT_MS / 1000, isolation_level=None)
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("BEGIN IMMEDIATE")
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
            connection.close()


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
