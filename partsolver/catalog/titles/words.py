"""The word lists beside this file, as compiled patterns."""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Iterable
from functools import cache
from importlib import resources

from partsolver.catalog.titles.gates import GatedPattern, Gates, Phrases, Searched

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
    """Words and phrases as one pattern; they begin and end where a word does."""
    by_first: dict[str, list[str]] = {}
    for word in set(words):
        by_first.setdefault(re.findall(r"\w+", word.casefold())[0], []).append(word)
    phrases = {}
    for first, alike in by_first.items():
        longest_first = sorted(alike, key=lambda word: (-len(word), word))
        inside = "|".join(re.escape(word).replace(r"\ ", r"[\s-]+") for word in longest_first)
        phrases[first] = re.compile(rf"(?:{inside})(?!\w)", re.IGNORECASE)
    return GatedPattern(Phrases(phrases), by_first)


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
def _link_gates() -> Gates[str]:
    words: dict[str, list[str]] = {}
    for row in _rows("link_words.csv"):
        words.setdefault(row["role"], []).extend(row["words"].split("|"))
    return Gates((role, _any_of(listed)) for role, listed in words.items())


def links(text: str) -> dict[str, Searched]:
    """Of with, without and for those whose words may stand in a text, with their patterns."""
    return dict(_link_gates().opened(text))


@cache
def state_gates() -> Gates[str]:
    """State of the goods -> its words in all languages, the worst state first."""
    words: dict[str, list[str]] = {}
    for row in _rows("state_words.csv"):
        words.setdefault(row["state"], []).extend(row["words"].split("|"))
    return Gates((state, _any_of(words[state])) for state in ("defective", "used", "refurbished", "new"))


@cache
def sign_gates() -> Gates[str]:
    """Signs of a kind of article, such as a socket or a latency (signs.tsv)."""
    return Gates((row["sign"], _gated(row["pattern"], row["needs"])) for row in _table("signs.tsv"))


def _gated(pattern: str, needs: str) -> GatedPattern:
    whole = re.compile(with_pieces(pattern), re.IGNORECASE)
    return GatedPattern(whole, pieces=needs.split("|") if needs else ())


@cache
def _pieces() -> dict[str, str]:
    found: dict[str, list[str]] = {}
    for row in _table("pieces.tsv"):
        found.setdefault(row["piece"], []).append(row["pattern"])
    return {piece: f"(?:{'|'.join(alike)})" for piece, alike in found.items()}


def with_pieces(pattern: str) -> str:
    """A pattern with what several share (pieces.tsv: words for "up to", units) in place of ``<up_to>``; a
    piece may name others."""
    return re.sub(r"<([a-z_]+)>", lambda match: with_pieces(_pieces()[match[1]]), pattern)


@cache
def _table(name: str) -> tuple[dict[str, str], ...]:
    """The lines of a table with tabs, in which quotes are what they are."""
    text = resources.files("partsolver.catalog.titles").joinpath(name).read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines(), delimiter="\t", quoting=csv.QUOTE_NONE))


def title_patterns(table: str) -> list[tuple[dict[str, str], GatedPattern]]:
    """The lines of patterns.tsv for a part table, in order, with their patterns."""
    return [
        (row, _gated(row["pattern"], row["needs"]))
        for row in _table("patterns.tsv")
        if table in row["tables"].split()
    ]


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
