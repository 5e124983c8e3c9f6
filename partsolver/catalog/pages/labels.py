"""What a label of a sheet is about. Known labels stand whole in ``labels.csv``; others are understood by their
words (``label_words.tsv``): a label names a topic when it holds a head word of it and nothing but words that
go with it ("Anzahl der DDR4-Steckplätze"). A word that nobody knows makes the label unknown: "recommended
power" is not the power."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from functools import cache, lru_cache
from importlib import resources

from partsolver.base.records import record
from partsolver.catalog.plain_words import plain_words

# Topics that say what the article is called, not a fact.
IDENTITY = ("number", "model", "maker", "gtin")
# What joins the parts of a compound ("Arbeitsspeicher-s-teckplätze", "uitbreiding-s-sloten").
_JOINTS = ("", "s", "e", "n", "en", "es")
_LEAST_PART = 3
# Labels of something beside the topic that they seem to name: negative rails, the ECC inside the chips, one of
# two sorts of cores.
_BESIDE_THE_TOPIC = re.compile(
    r"^\W*[-−–]\d|on[ -]?die|(?<!\w)[PE][ -]?(?:cores?|kerne|c(?:oe|œ)urs?|n[úu]cleos|nuclei|rdzenie|jádra|ядра)(?!\w)",
    re.IGNORECASE,
)


@record
class _Topic:
    """What labels of one topic are made of: head words as tuples, and the words that may stand beside."""

    table: str
    topic: str
    heads: frozenset[tuple[str, ...]]
    beside: frozenset[str]
    longest: int


@cache
def _exact() -> Mapping[tuple[str, str], str]:
    """(table or *, label) -> topic."""
    text = resources.files("partsolver.catalog.pages").joinpath("labels.csv").read_text(encoding="utf-8")
    return {
        (row["table"], label): row["topic"]
        for row in csv.DictReader(text.splitlines())
        for label in row["labels"].split("|")
    }


@cache
def _topics() -> Mapping[str, tuple[_Topic, ...]]:
    """Table -> its topics, those of all tables among them."""
    text = resources.files("partsolver.catalog.pages").joinpath("label_words.tsv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines(), delimiter="\t", quoting=csv.QUOTE_NONE))
    always = {word for row in rows if row["topic"] == "*" for word in row["beside"].split("|")}
    found: dict[str, list[_Topic]] = {}
    for row in rows:
        if row["topic"] == "*":
            continue
        heads = frozenset(plain_words(head) for head in row["heads"].split("|"))
        beside = {word for text in row["beside"].split("|") for word in plain_words(text)}
        beside |= {word for text in always for word in plain_words(text)}
        topic = _Topic(row["table"], row["topic"], heads, frozenset(beside), max(map(len, heads)))
        found.setdefault(row["table"], []).append(topic)
    everywhere = tuple(found.pop("*"))
    return {table: (*topics, *everywhere) for table, topics in found.items()}


def plain_label(text: str) -> str:
    """A label as it is compared."""
    return " ".join(text.casefold().replace("\u00a0", " ").split()).strip(" :*.•-–")


def topic_of(table: str, label: str, own: Mapping[str, str]) -> str | None:
    """The topic of a label; ``own``: what a person mapped it to (a column, as ``=column``)."""
    plain = plain_label(label)
    if plain in own:
        return f"={own[plain]}"
    if _BESIDE_THE_TOPIC.search(label):
        return None
    return _topic_of(table, plain)


@lru_cache(maxsize=8192)
def _topic_of(table: str, plain: str) -> str | None:
    exact = _exact()
    known = exact.get((table, plain)) or exact.get(("*", plain))
    if known is not None:
        return known
    words = plain_words(plain)
    if not words or len(words) > 9:
        return None
    best: dict[int, set[str]] = {}
    for topic in _topics().get(table, ()):
        worth = _worth(topic, words)
        if worth:
            best.setdefault(worth, set()).add(topic.topic)
    if not best:
        return None
    likely = best[max(best)]
    return likely.pop() if len(likely) == 1 else None


def is_label(text: str) -> bool:
    """Whether a text is a known label of any table."""
    plain = plain_label(text)
    return any(_topic_of(table, plain) is not None for table in _topics())


def _worth(topic: _Topic, words: tuple[str, ...]) -> int:
    """How many letters of a label are head words of a topic, at most, where every word belongs to it; else
    0."""
    best: list[int | None] = [*[None] * len(words), 0]  # of the words from a place on
    for at in range(len(words) - 1, -1, -1):
        ways = []
        for length in range(1, min(topic.longest, len(words) - at) + 1):
            behind = best[at + length]
            if behind is not None and words[at : at + length] in topic.heads:
                ways.append(behind + sum(map(len, words[at : at + length])))
        behind = best[at + 1]
        if behind is not None:
            word = words[at]
            inside = 0 if word in topic.beside or word.isdigit() else _compound(topic, word)
            ways += [] if inside is None else [behind + inside]
        best[at] = max(ways, default=None)
    return best[0] or 0


def _compound(topic: _Topic, word: str) -> int | None:
    """How many letters of a compound are head words; None where it is none of this topic's words."""
    for cut in range(_LEAST_PART, len(word) - _LEAST_PART + 1):
        first, second = word[:cut], word[cut:]
        for joint in _JOINTS:
            if joint and not first.endswith(joint):
                continue
            left = first.removesuffix(joint) if joint else first
            parts = [(part,) in topic.heads for part in (left, second)]
            known = [head or part in topic.beside for head, part in zip(parts, (left, second), strict=True)]
            if all(known):
                return sum(len(part) for head, part in zip(parts, (left, second), strict=True) if head)
    return None
