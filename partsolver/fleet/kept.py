"""Finished solves of a fleet, kept in an SQLite file beside its surveys: whoever stops a run and starts it
again goes on where it stopped, with the same answer.

Every piece stands under a digest of all it depends on (surveys, catalogue, stock, question, versions): what
changed is asked again. Kept are whole numbers, nothing that could be run. One transaction for each piece (WAL):
a killed run leaves what it had finished, and never half of a piece. What the plans of a class are worth hangs on
the question alone (fleet/columns.py) and is asked again: to read so many plans back takes as long.
Nothing hangs on the file: what came to harm in it is solved again, from its first fault on it is left alone, and
a file that is not ours is not touched.
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
# Raised when a task is answered differently than before, or kept in another way.
FORMAT = "3"
WAIT_MS = 60_000
# A message about damaged text may be none itself.
_DAMAGE = (sqlite3.Error, UnicodeDecodeError)
AWAY = "Move it away or delete it: another one is made"
# As SQLite keeps the text of its statement (sqlite.org/schematab.html).
_TABLE = "CREATE TABLE work(digest TEXT PRIMARY KEY, stock TEXT NOT NULL, answer TEXT NOT NULL) WITHOUT ROWID"


def digest_of(*texts: str) -> str:
    """One name for some texts in their order."""
    return hashlib.sha256("\0".join(texts).encode()).hexdigest()


class WorkFile:
    """The file of finished work. stock: the digest of what the present run depends on; ``tidy``: what is
    kept for another is dropped. used: how often something of an earlier run was taken; damaged: how many
    pieces were not as they were written; lost: why the file is left alone (None: it is not). Raises InputRefused for
    a file that is none, sqlite3.OperationalError where none can be written."""

    def __init__(self, path: Path, stock: str, tidy: bool = True) -> None:
        self.path, self.stock = path, stock
        self.used, self.damaged = 0, 0
        self.lost: str | None = None
        self._file = sqlite3.connect(path, isolation_level=None, timeout=WAIT_MS / 1000)
        self._file.text_factory = lambda data: data.decode(errors="replace")
        try:
            self._begin(tidy)
        except BaseException as error:
            self._file.close()
            if isinstance(error, _DAMAGE) and not isinstance(error, sqlite3.OperationalError):
                raise refuse(str(path), f"holds no finished work ({error})", hint=AWAY) from None
            raise

    def _begin(self, tidy: bool) -> None:
        # Before anything is written: whatever else lies here is somebody's.
        tables = [text for (text,) in self._file.execute("SELECT sql FROM sqlite_master")]
        if tables not in ([], [_TABLE]):
            raise refuse(str(self.path), "holds tables of another program or version", hint=AWAY)
        self._file.execute("PRAGMA journal_mode=WAL")
        self._file.execute(_TABLE.replace("TABLE", "TABLE IF NOT EXISTS", 1))
        if tidy:
            self._file.execute("DELETE FROM work WHERE stock <> ?", (self.stock,))
        self._earlier = {digest for (digest,) in self._file.execute("SELECT digest FROM work")}

    def close(self) -> None:
        """Give the file back."""
        self._file.close()

    def get(self, digest: str) -> Any:
        """What is kept under a digest; None when nothing is, or it came to harm."""
        rows = self._told("SELECT answer FROM work WHERE digest = ? AND stock = ?", (digest, self.stock))
        if not rows:
            return None
        seal, _, text = str(rows[0][0]).partition(" ")
        if seal != digest_of(digest, text):
            self.damaged += 1
            return None
        self.used += digest in self._earlier
        return json.loads(text)

    def put(self, digest: str, answer: Any) -> None:
        """Keep something that JSON can say."""
        text = json.dumps(answer)
        sealed = f"{digest_of(digest, text)} {text}"
        self._told("INSERT OR REPLACE INTO work VALUES (?, ?, ?)", (digest, self.stock, sealed))

    def _told(self, statement: str, values: tuple[str, ...]) -> list[Any]:
        """The rows of a statement; none from the file's first fault on."""
        if self.lost is None:
            try:
                return self._file.execute(statement, values).fetchall()
            except _DAMAGE as error:
                self.lost = str(error)
        return []

    def solved(self, question: Callable[[], str], solve: Callable[[], Any]) -> Any:
        """What was solved before of a question, or is solved now and kept."""
        digest = digest_of("solve", FORMAT, self.stock, question())
        known = self.get(digest)
        if known is None:
            known = solve()
            self.put(digest, known)
        return known
