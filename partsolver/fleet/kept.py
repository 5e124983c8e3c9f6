"""Finished solves of a fleet, kept in an SQLite file beside its surveys: whoever stops a run and starts it
again goes on where it stopped, with the same answer.

Every piece stands under a digest of all it depends on (surveys, catalogue, stock, question, versions): what
changed is asked again. Kept are whole numbers, nothing that could be run. One transaction for each piece (WAL):
a killed run leaves what it had finished, and never half of a piece. What the plans of a class are worth hangs on
the question alone (fleet/columns.py) and is asked again: to read so many plans back takes as long.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

from partsolver.base.errors import refuse

FILE = "fleet-work.sqlite"
# Raised when a task is answered differently than before.
FORMAT = "2"
WAIT_MS = 60_000
_TABLE = "CREATE TABLE IF NOT EXISTS work(digest TEXT PRIMARY KEY, stock TEXT NOT NULL, answer TEXT NOT NULL) WITHOUT ROWID"


def digest_of(*texts: str) -> str:
    """One name for some texts in their order."""
    return hashlib.sha256("\0".join(texts).encode()).hexdigest()


class WorkFile:
    """The file of finished work. stock: the digest of what the present run depends on; ``tidy``: what is
    kept for another is dropped. Raises InputRefused for a file that is none."""

    def __init__(self, path: Path, stock: str, tidy: bool = True) -> None:
        self.path, self.stock = path, stock
        # How often something of an earlier run was taken.
        self.used = 0
        try:
            self._file = sqlite3.connect(path, isolation_level=None, timeout=WAIT_MS / 1000)
            self._file.execute("PRAGMA journal_mode=WAL")
            self._file.execute(_TABLE)
            if tidy:
                self._file.execute("DELETE FROM work WHERE stock <> ?", (stock,))
            self._earlier = {digest for (digest,) in self._file.execute("SELECT digest FROM work")}
        except sqlite3.DatabaseError as error:
            if isinstance(error, sqlite3.OperationalError):
                raise
            raise refuse(
                str(path), f"holds no finished work ({error})", None, None, "Delete it: it is made again."
            ) from None

    def close(self) -> None:
        """Give the file back."""
        self._file.close()

    def get(self, digest: str) -> Any:
        """What is kept under a digest; None when nothing is."""
        row = self._file.execute(
            "SELECT answer FROM work WHERE digest = ? AND stock = ?", (digest, self.stock)
        ).fetchone()
        if row is None:
            return None
        self.used += digest in self._earlier
        return json.loads(row[0])

    def put(self, digest: str, answer: Any) -> None:
        """Keep something that JSON can say."""
        self._file.execute(
            "INSERT OR REPLACE INTO work VALUES (?, ?, ?)", (digest, self.stock, json.dumps(answer))
        )

    def solved(self, question: Callable[[], str], solve: Callable[[], Any]) -> Any:
        """What was solved before of a question, or is solved now and kept."""
        digest = digest_of("solve", FORMAT, self.stock, question())
        known = self.get(digest)
        if known is None:
            known = solve()
            self.put(digest, known)
        return known
