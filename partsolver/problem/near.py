"""Words of a survey that no row of the catalogue has, and that one letter or blank would make one of them."""

from __future__ import annotations

import difflib
import re
from collections import Counter
from collections.abc import Iterator

from partsolver.base.records import record
from partsolver.catalog.load import Catalog
from partsolver.standards.cpu_signatures import table
from partsolver.survey.model import Survey

# How alike two words must be, 1 the same (a slip of one letter in five).
ALIKE = 0.8


@record
class NearMiss:
    """path: where the survey says ``word``; meant: the word of so many ``rows`` of the catalogue."""

    path: str
    word: str
    meant: str
    rows: int


def near_misses(survey: Survey, catalog: Catalog) -> tuple[NearMiss, ...]:
    """Sockets and processor families of a survey that are a slip away from words of a catalogue."""
    listed = [("board.cpu_families", family) for family, _ in survey.board.cpu_families or ()]
    said = (
        ("board.socket", survey.board.socket, _sockets),
        ("cpu.socket", survey.cpu.socket, _sockets),
        ("cpu.family", survey.cpu.family, _families),
        *((path, family, _families) for path, family in listed),
    )
    found = []
    for path, word, words_of in said:
        if word is None or word in words_of(catalog) or _is_real(word):
            continue
        known = Counter(words_of(catalog))
        meant = _meant(word, known)
        if meant is not None:
            found.append(NearMiss(path, word, meant, known[meant]))
    return tuple(found)


def _sockets(catalog: Catalog) -> Iterator[str]:
    """The socket of every board and processor on sale."""
    for name in ("boards", "cpus"):
        yield from (row.socket for row in catalog.tables[name] if row.socket is not None)


def _families(catalog: Catalog) -> Iterator[str]:
    """The family of every processor on sale, and all that boards support."""
    yield from (row.family for row in catalog.tables["cpus"] if row.family is not None)
    for row in catalog.tables["boards"]:
        yield from (family for family, _ in row.cpu_families or ())


def _is_real(word: str) -> bool:
    """Whether it is a socket of the trade: one that nobody sells parts for is no slip of its neighbour."""
    return word in {socket.casefold() for row in table() for socket in row.sockets}


def _meant(word: str, known: Counter[str]) -> str | None:
    """The known word that this one comes nearest to; blanks and marks do not count."""
    plain = {_plain(other): other for other in sorted(known)}
    near = difflib.get_close_matches(_plain(word), list(plain), n=1, cutoff=ALIKE)
    return plain[near[0]] if near else None


def _plain(word: str) -> str:
    return re.sub(r"[^a-z0-9]", "", word.casefold())
