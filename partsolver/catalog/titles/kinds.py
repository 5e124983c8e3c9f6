"""What an article is, before any of its facts: out of several signs, in the order of titles-and-pages 6.

Of 2,688 measured titles that name a processor four are processors. So whole computers, bundles and things
*for* a part come first, words after "with", "without" and "for" do not count, and doubt is an answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from partsolver.base.records import record
from partsolver.catalog.titles.gates import Searched
from partsolver.catalog.titles.words import kind_gates, links, sign_gates, state_gates, with_pieces

# Kind word -> part table.
TABLE_OF = {
    "board": "boards",
    "cpu": "cpus",
    "memory": "memory",
    "cooler": "coolers",
    "psu": "psus",
    "drive": "drives",
    "case": "cases",
    "graphics": "graphics",
}
_SEPARATOR = re.compile(r"[,;|()\[\]]|\s[-/+]\s")
_NOT_FOR = re.compile(r"\s*(?:max\.?\s*)?\d")
_PROMOTION = re.compile(
    r"buy .{1,30} get|gratis bij|offert pour|送|贈|任搭|gratis dazu|zugabe|free gift|→|=>", re.IGNORECASE
)
_AT_MOST = re.compile(
    with_pieces(r"(?<!\w)<up_to>\s*:?\s*\d{1,4}\s?(?:<gb>|<tb>)(?!\w)"),
    re.IGNORECASE,
)
# Signs that a size is a part of.
_SIZES = {"size", "kit", "ram size", "drive size"}
# A board for one of these is of a shape of its own, whatever computer words stand after "for".
_PORTABLE = re.compile(
    r"(?<!\w)(?:laptops?|notebooks?|port[áa]til|portable|all[ -]in[ -]one|aio|ultrabook|przenośny\w*)(?!\w)",
    re.IGNORECASE,
)
_JOINED = re.compile(r"\s[+&]\s|(?<!\w)(?:und|et|and)(?!\w)", re.IGNORECASE)


@record
class Kind:
    """What an article is: a part table, or the reason (report/words/store.py) why it is none; ``word``
    says by what it was told."""

    table: str | None
    reason: str = ""
    word: str = ""


def kind_of(title: str, hint: str | None = None) -> Kind:
    """The kind of an article by its title (as plain_title gives it). ``hint``: the part table that a
    heading or column of the list names; it decides only where the title itself does not say."""
    signs = _signs(title)
    words = _head_words(title)
    for test in (_not_goods, _computer, _bundle, _accessory, _graphics):
        found = test(title, words, signs)
        if found is not None:
            return found
    found = _by_word(words, signs) or _by_signs(signs)
    if found is not None:
        return found
    if hint in TABLE_OF.values() and not words:
        return Kind(hint, word="heading")
    return Kind(None, "unclear")


def _signs(title: str) -> set[str]:
    """The signs in a title; how much a board takes at most is no sign of memory."""
    found = {name for name, _ in sign_gates().found(title)}
    if not found & _SIZES:
        return found
    free = _AT_MOST.sub(" ", title)
    return found if free == title else {name for name, _ in sign_gates().found(free)}


def state_of(title: str) -> tuple[str | None, str]:
    """State of the goods by their title (used, refurbished, defective, new), and the word that says so."""
    for state, match in state_gates().found(title):
        return state, match[0]
    return None, ""


def _head_words(title: str) -> dict[str, str]:
    """Kind -> the first word of it that says what the article is: none that stands after with, without, or
    for."""
    free = title
    known = links(title)
    for match in _matches(known, "for", title):
        if _NOT_FOR.match(title[match.end() :]):
            continue
        end = _SEPARATOR.search(title, match.end())
        stop = end.start() if end else len(title)
        free = free[: match.start()] + " " * (stop - match.start()) + free[stop:]
    for role in ("without", "with"):
        for match in _matches(known, role, free):
            stop = match.end() + _reach(free[match.end() :])
            free = free[: match.start()] + " " * (stop - match.start()) + free[stop:]
    return {kind: hit[0] for kind, hit in kind_gates().found(free)}


def _matches(known: Mapping[str, Searched], role: str, text: str) -> Iterator[re.Match[str]]:
    """Where the words of with, without or for stand."""
    pattern = known.get(role)
    return iter(()) if pattern is None else pattern.finditer(text)


def _reach(rest: str) -> int:
    """How far "with" and "without" reach: to the next kind word, over two words at most ("with 65 W
    cooler"); else over one word."""
    ecc = re.match(r"\s*(?:on-die\s+)?ECC(?!\w)", rest, re.IGNORECASE)
    if ecc is not None:
        return len(ecc[0])
    window = re.match(r"(?:\s*[^\s,;|()]+){1,3}", rest)
    if window is None:
        return 0
    hits = [hit.span() for _, hit in kind_gates().found(window[0])]
    if hits:
        start, _ = min(hits)
        # "without CPU cooler": of a compound all words, the longest that begins with the first.
        reach = max(end for begin, end in hits if begin == start)
        behind = re.match(r"-\w+", window[0][reach:])
        return reach + (len(behind[0]) if behind else 0)
    first = re.match(r"\s*[^\s,;|()]+", rest)
    return len(first[0]) if first else 0


def _not_goods(title: str, words: dict[str, str], signs: set[str]) -> Kind | None:
    promotion = _PROMOTION.search(title)
    if promotion is not None:
        return Kind(None, "promotion", promotion[0])
    if "service" in words:
        return Kind(None, "service", words["service"])
    return None


def _computer(title: str, words: dict[str, str], signs: set[str]) -> Kind | None:
    contents = signs & {"ram size", "drive size", "screen", "system"}
    if "computer" in words:
        module = ("memory" in words or {"ddr", "size"} <= signs) and "chipset" not in signs
        module = module and not contents & {"drive size", "screen", "system"}
        if "board" in words and "form" in signs and not contents:
            return None
        if module and ("ram size" not in contents or "sodimm" in signs or "memory" in words):
            return None
        if "accessory" in words and not contents:
            return None
        return Kind(None, "computer", words["computer"])
    inside = len(contents & {"ram size", "drive size"}) + bool({"cores", "clock"} & signs or "cpu" in words)
    if contents >= {"ram size", "drive size"} or ("screen" in contents and signs & _SIZES):
        return Kind(None, "computer", "memory and drive")
    part = {"board", "memory", "bundle"} & set(words) or {"kit", "latency"} & signs
    if inside >= 2 and not part:
        return Kind(None, "computer", "processor and sizes")
    return None


def _parts_named(words: dict[str, str], signs: set[str]) -> set[str]:
    """Which of board, processor and memory a title speaks of."""
    named: set[str] = {kind for kind in ("board", "cpu", "memory") if kind in words}
    if "chipset" in signs and not {"gddr"} & signs:
        named.add("board")
    if {"ddr", "size"} <= signs:
        named.add("memory")
    if {"cores", "clock"} & signs:
        named.add("cpu")
    return named


def _bundle(title: str, words: dict[str, str], signs: set[str]) -> Kind | None:
    named = _parts_named(words, signs)
    if len(named) < 2 or "graphics" in words:
        return None
    if "bundle" in words:
        return Kind(None, "bundle", words["bundle"])
    joined = _JOINED.search(title)
    if joined is not None and ("board" in named or {"cpu", "memory"} <= set(words)):
        # A board's own memory and processors stand there without a sign that joins them.
        sides = title[: joined.start()], title[joined.end() :]
        kinds = [_parts_named(_head_words(side), _signs(side)) for side in sides]
        if kinds[0] and kinds[1] and len(kinds[0] | kinds[1]) >= 2:
            return Kind(None, "bundle", joined[0].strip())
    return None


def _strong(signs: set[str], words: dict[str, str]) -> bool:
    return (
        ("chipset" in signs and bool(signs & {"form", "socket", "ddr"}) and "board" in words)
        or ("socket" in signs and bool(signs & {"cores", "clock"}))
        or ({"ddr", "size"} <= signs and bool(signs & {"rate", "latency", "kit", "sodimm"}))
        or {"watts", "eighty"} <= signs
    )


def _accessory(title: str, words: dict[str, str], signs: set[str]) -> Kind | None:
    if "accessory" in words and not _strong(signs, words):
        return Kind(None, "accessory", words["accessory"])
    if "fan" in words and not set(words) & set(TABLE_OF):
        return Kind(None, "accessory", words["fan"])
    if "board" in words and _PORTABLE.search(title):
        return Kind(None, "for-something", "portable")
    return None


def _graphics(title: str, words: dict[str, str], signs: set[str]) -> Kind | None:
    """A graphics card; GDDR alone is a sign of one only with its size (a cooler, a supply or a drive may
    speak of it too)."""
    if "graphics" not in words and "gddr" not in signs:
        return None
    others = set(words) & {"board", "drive", "cooler", "psu", "case", "cpu"}
    if others or ("graphics" not in words and not signs & {"size", "card bus"}):
        return Kind(None, "unclear")
    return Kind("graphics", word=words.get("graphics", "GDDR"))


def _by_word(words: dict[str, str], signs: set[str]) -> Kind | None:
    """By the head noun: what stands first here holds the others as its properties."""
    if "cooler" in words:
        return _cooler(words, signs)
    if "board" in words:
        if "cpu" in words and (signs & {"cores", "clock"} or "chipset" not in signs):
            return Kind(None, "unclear")
        return Kind("boards", word=words["board"])
    for kind in ("case", "psu"):
        if kind in words and not {"case", "psu"} <= set(words):
            return Kind(TABLE_OF[kind], word=words[kind])
    if "drive" in words and "memory" not in words:
        return Kind("drives", word=words["drive"])
    if "cpu" in words:
        if "memory" in words and not ("socket" in signs and signs & {"cores", "clock"}):
            return Kind(None, "unclear")
        return Kind("cpus", word=words["cpu"])
    if "memory" in words:
        if "ddr" not in signs or "drive" in words:
            return Kind(None, "unclear")
        return Kind("memory", word=words["memory"])
    return None


def _cooler(words: dict[str, str], signs: set[str]) -> Kind:
    """A cooler of a processor; what speaks of a processor's cores is one with its cooler, and a heat sink
    of another part is none. A case may say how high a cooler it takes."""
    if "case" in words:
        return Kind(None, "unclear")
    others = {"drive", "memory"} & set(words) or "cools another" in signs
    if (signs & {"cores", "clock"} and "cpu" in words) or (
        others and "cpu" not in words and "socket" not in signs
    ):
        return Kind(None, "unclear")
    return Kind("coolers", word=words["cooler"])


def _by_signs(signs: set[str]) -> Kind | None:
    """Two strong signs of one kind, and none of another."""
    board = "chipset" in signs and len(signs & {"form", "socket", "ddr"}) >= 2
    cpu = "socket" in signs and bool(signs & {"cores", "clock"})
    memory = {"ddr", "size"} <= signs and bool(signs & {"rate", "latency", "kit", "sodimm"})
    supply = {"watts", "eighty"} <= signs
    kinds = [
        table
        for table, holds in (("boards", board), ("cpus", cpu), ("psus", supply), ("memory", memory))
        if holds
    ]
    if kinds == ["boards"] or (kinds == ["boards", "memory"] and "size" not in signs):
        return Kind("boards", word="chipset")
    if kinds == ["memory"] and "chipset" in signs:
        return None
    return Kind(kinds[0], word="signs") if len(kinds) == 1 else None
