"""The word lists beside this file, as compiled patterns."""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Iterable
from functools import cache
from importlib import resources

from partsolver.catalog.titles.gates import GatedPattern, Gates

# Times signs that sellers type: the multiplication sign, and the Cyrillic letter that looks like x (seen in
# all 130 titles of one shop, titles-and-pages 2).
_TIMES = re.compile(r"(?<=[\d\s])[×хХ](?=[\d\s])|(?<=[BОoб])[×хХ](?=\d)")


def plain_title(text: str) -> str:
    """A title as the patterns expect it: composed letters, ordinary blanks, one sort of times sign and inch
    sign; text that was decoded twice is mended where that is certain."""
    text = _mended(unicodedata.normalize("NFC", text))
    if not text.isprintable():  # blanks other than the ordinary one are not printable
        text = "".join(c if c.isprintable() else " " for c in text)
    text = (
        text.replace("″", '"').replace("”", '"').replace("''", '"').replace("\u2011", "-").replace("–", "-")
    )
    return " ".join(_TIMES.sub("x", text).split())


def _mended(text: str) -> str:
    """UTF-8 that was read as Latin-1 once: valid when read back, and shorter."""
    if not re.search(r"[ÃÂÅÄÐ][\x80-\xbf]", text):
        return text
    try:
        return text.encode("latin-1").decode("utf-8")
    except UnicodeError:
        return text


def _rows(name: str) -> Iterable[dict[str, str]]:
    text = resources.files("partsolver.catalog.titles").joinpath(name).read_text(encoding="utf-8")
    return csv.DictReader(text.splitlines())


def _any_of(words: Iterable[str]) -> GatedPattern:
    words = set(words)
    first = [re.match(r"\w+", word.casefold()) for word in words]
    longest_first = sorted(words, key=lambda word: (-len(word), word))
    inside = "|".join(re.escape(word).replace(r"\ ", r"[\s-]+") for word in longest_first)
    gate = [match[0] for match in first if match is not None]
    pattern = re.compile(rf"(?<!\w)(?:{inside})(?!\w)", re.IGNORECASE)
    return GatedPattern(pattern, gate if len(gate) == len(first) else ())


@cache
def kind_patterns() -> dict[str, GatedPattern]:
    """Kind of article -> its words in all languages."""
    words: dict[str, list[str]] = {}
    for row in _rows("kind_words.csv"):
        words.setdefault(row["kind"], []).extend(row["words"].split("|"))
    return {kind: _any_of(listed) for kind, listed in words.items()}


@cache
def kind_gates() -> Gates[str]:
    """The kinds with their gates looked at together."""
    return Gates(kind_patterns().items())


@cache
def link_patterns() -> dict[str, GatedPattern]:
    """with, without, for -> their words in all languages."""
    words: dict[str, list[str]] = {}
    for row in _rows("link_words.csv"):
        words.setdefault(row["role"], []).extend(row["words"].split("|"))
    return {role: _any_of(listed) for role, listed in words.items()}


@cache
def state_patterns() -> dict[str, GatedPattern]:
    """State of the goods -> its words in all languages, the worst state first."""
    words: dict[str, list[str]] = {}
    for row in _rows("state_words.csv"):
        words.setdefault(row["state"], []).extend(row["words"].split("|"))
    return {state: _any_of(words[state]) for state in ("defective", "used", "refurbished", "new")}


@cache
def socket_of_chipset() -> dict[tuple[str, str], str]:
    """(a socket word that two incompatible sockets share, chipset) -> the socket it is."""
    return {
        (row["socket"], chipset): row["is"]
        for row in _rows("two_sockets.csv")
        for chipset in row["chipsets"].split()
    }


@cache
def shared_sockets() -> frozenset[str]:
    """Socket words that two incompatible sockets share."""
    return frozenset(row["socket"] for row in _rows("two_sockets.csv"))
