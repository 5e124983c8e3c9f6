"""Finished work of a fleet, kept in an SQLite file beside its surveys: whoever stops a run and starts it
again goes on where it stopped, with the same answer.

Every piece stands under a digest of all it depends on (surveys, catalogue, stock, question, versions): what
changed is asked again. Kept are names of plans and whole numbers, nothing that could be run. One transaction
for each piece (WAL): a killed run leaves what it had finished, and never half of a piece.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

from partsolver.base.errors import refuse
from partsolver.fleet.prices import Prices
from partsolver.fleet.work import Again, Begun, First, Former, Question, Task, Workers

FILE = "fleet-work.sqlite"
# Raised when a task is answered differently than before.
FORMAT = "1"
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


class Keeping(Workers):
    """Workers whose finished work is kept."""

    def __init__(self, workers: Workers, file: WorkFile) -> None:
        super().__init__(workers.classes, workers.stock)
        self.workers, self.file = workers, file
        self._prices: tuple[Prices | None, str] = (None, "")

    def each(self, tasks: Sequence[Task]) -> Iterator[tuple[int, Any]]:
        if tasks and isinstance(tasks[0], Former):
            yield from self.workers.each(tasks)
            return
        digests = [self._digest(task) for task in tasks]
        asked: list[Task] = []
        for task, digest in zip(tasks, digests, strict=True):
            known = self.file.get(digest)
            asked.append(task if known is None else _again(task.number, known))
        for place, answer in self.workers.each(asked):
            if not isinstance(asked[place], Again):
                self.file.put(digests[place], _names(answer))
            yield place, answer

    def _digest(self, task: Task) -> str:
        key = self.classes[task.number].key
        if isinstance(task, First):
            return digest_of("first", FORMAT, self.stock.digest, key)
        assert isinstance(task, Question)
        if task.prices is not self._prices[0]:
            # The prices of a round are the same for all classes.
            self._prices = task.prices, _price_text(task.prices)
        rest = repr((task.worth.terms, task.floor, task.wanted))
        return digest_of("question", FORMAT, self.stock.digest, key, self._prices[1], rest)


def _price_text(prices: Prices) -> str:
    named = (prices.goods, prices.offers, prices.money, prices.least_price, prices.taken_out)
    return digest_of(*(repr(sorted((repr(key), value) for key, value in one.items())) for one in named))


def _names(answer: Any) -> Any:
    """An answer as names of columns: [values or none, names, complete]."""
    if isinstance(answer, Begun):
        return [None, [[c.kind, c.keys] for c in answer.columns], True]
    plans, complete = answer
    return [[value for value, _ in plans], [[c.kind, c.keys] for _, c in plans], complete]


def _again(number: int, known: Any) -> Again:
    values, names, complete = known
    return Again(
        number,
        tuple((kind, tuple(keys)) for kind, keys in names),
        None if values is None else tuple(values),
        complete,
    )
