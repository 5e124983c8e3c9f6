"""What a source says about a PC: facts with their origin, and what is left open after comparing them.

A path names a key of the survey file: ``board.name``, ``memory[0].capacity_mib``, ``drive[sda].kind``. A last
part that begins with ``seen_`` is a witness: something a source says that is no key of the survey but serves
to judge one.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import field
from typing import Any, Literal

from partsolver.base.records import record

# sure: the source decides it. likely: stands unless another source disagrees. doubtful: only evidence for a
# question.
Certainty = Literal["sure", "likely", "doubtful"]
RANK: Mapping[str, int] = {"sure": 2, "likely": 1, "doubtful": 0}

# Witness of a drive that is not built into the PC, under the system's name of it: another source may not see
# what it hangs on.
OUTSIDE = "seen_outside"
# Witness of a disk behind a controller that shows a set of them as one: the system's name of the set.
BEHIND = "seen_behind"
# Witness of what a controller set to RAID shows: one disk, or a set of several.
PERHAPS_SET = "seen_perhaps_set"
# Name of the system drive in the paths of a measurement, which does not know the system's name of it.
MEASURED_DRIVE = "measured"
MEASURED_NAME = "system drive"
# Figures that a measurement reads better than any statement.
MEASURED_KEYS = frozenset(
    {
        "cores",
        "threads",
        "serial_score",
        "parallel_score",
        "score_origin",
        "memory_seen_mib",
        "score_error_percent",
        "score_scale",
        "read_mbs",
        "random_reads_per_s",
    }
)

_UUID = re.compile(
    r"(?<![0-9a-f])[0-9a-f]{8}-?[0-9a-f]{4}-?[0-9a-f]{4}-?[0-9a-f]{4}-?[0-9a-f]{12}(?![0-9a-f])",
    re.IGNORECASE,
)
_MAC = re.compile(r"(?<![0-9a-f])[0-9a-f]{2}([:-])(?:[0-9a-f]{2}\1){4}[0-9a-f]{2}(?![0-9a-f])", re.IGNORECASE)
_PRIVATE_KEY = re.compile(
    r"serial|uuid|guid|asset|\bmac\b|mac ?address|host"
    r" ?name|user|owner|systemname|computername|csname|wwn|unique ?id|objectid|identifyingnumber",
    re.IGNORECASE,
)
_HOST_KEY = re.compile(r"host ?name|user|owner|systemname|computername|csname", re.IGNORECASE)
_PLACEHOLDER = re.compile(
    r"(?:to be )?fill(?:ed)?(?: by)? ?o\.?e\.?m\.?|to be filled|tbd|default|(?:\$\()?default[ _]string\)?"
    r"|(?:system[ _])?(?:manufacturer|product(?:[ _]name)?)|system (?:name|version)|(?:mother|main) ?board"
    r"|(?:type ?\d ?- ?)?(?:chassis|base ?board|board) (?:manufacture\w*|product(?: name)?|vendor(?: name)?"
    r"|version|name)\d?|oem (?:manufacturer|product)|\(none\)|none provided|bad index|not"
    r" (?:specified|provided|available|applicable|settable|present)"
    r"|<[a-z ]+>|\[?empty\]?|none|null|unknown?|undefined|invalid|n/?a|no"
    r" ?(?:dimm|enclosure)|o\.?e\.?m\.?|string|all series|sku"
    r"|system sku\w*|(?:manufacturer|partnum|modulepartnumber)\d*|a\d_\w+|x+\.?x*|rev x\.?\w*|[0.*?#x"
    r" -]*|0x0+|f{4,}|0?123456789\d*|\.+",
    re.IGNORECASE,
)


@record
class Fact:
    """One thing one source says.

    ``value`` is as the survey file holds it (text, int, bool, list of text), ``where`` is file:line or file
    and path, ``evidence`` quotes the source in a few words.
    """

    path: str
    value: Any
    where: str
    certainty: Certainty
    evidence: str

    @property
    def key(self) -> str:
        """Last part of the path."""
        return self.path.rpartition(".")[2]


@record
class Facts:
    """All facts of one source. ``private`` holds words that must not reach any output (never printed
    themselves)."""

    kind: str
    facts: tuple[Fact, ...] = ()
    remarks: tuple[str, ...] = ()
    private: frozenset[str] = field(default=frozenset(), repr=False)


@record
class Question:
    """A key that stays open: what the sources say about it, and a likely answer where they suggest one."""

    path: str
    evidence: tuple[str, ...]
    suggested: Any = None


@record
class Clash:
    """Two values for one key: (value, where) of each. A person decides."""

    path: str
    values: tuple[tuple[Any, str], ...]


@record
class Merged:
    """Everything the sources agree on, ready to be written as a survey.

    ``survey`` has the shape of a survey file; ``origin`` tells by path where a value comes from; list rows
    are named by index in both (``memory[0].capacity_mib``).
    """

    survey: dict[str, Any]
    origin: dict[str, str]
    questions: tuple[Question, ...] = ()
    clashes: tuple[Clash, ...] = ()
    remarks: tuple[str, ...] = ()
    overruled: tuple[Clash, ...] = ()


class Notes:
    """Collects the facts of one source. Everything written through it is cleaned; private words are
    remembered."""

    def __init__(self, kind: str) -> None:
        self.kind = kind
        self._facts: list[Fact] = []
        self._remarks: list[str] = []
        self._private: set[str] = set()

    def add(self, path: str, value: Any, where: str, evidence: str, certainty: Certainty = "likely") -> None:
        """Note a fact; nothing is noted for None, "" or a placeholder."""
        if isinstance(value, str):
            value = clean(value)
            if is_placeholder(value):
                return
        if value is None or value == []:
            return
        self._facts.append(Fact(path, value, clean(where, 200), certainty, clean(evidence, 240)))

    def remark(self, text: str) -> None:
        """Note something about the source as a whole (each text once)."""
        if clean(text, 300) not in self._remarks:
            self._remarks.append(clean(text, 300))

    def hide(self, key: str, value: object) -> None:
        """Remember a value that belongs to a person or a single piece, if its key says so."""
        if not _PRIVATE_KEY.search(key) or not isinstance(value, str):
            return
        word = value.strip()
        enough = (
            len(word) >= 3 if _HOST_KEY.search(key) else len(word) >= 5 and any(ch.isdigit() for ch in word)
        )
        if enough and not is_placeholder(word):
            self._private.add(word)

    def hide_all(self, items: Iterable[tuple[str, object]]) -> None:
        """``hide`` for many."""
        for key, value in items:
            self.hide(key, value)

    def done(self) -> Facts:
        """The collected facts."""
        return Facts(self.kind, tuple(self._facts), tuple(self._remarks), frozenset(self._private))


def clean(text: str, longest: int = 100) -> str:
    """Text on one line of characters that can be printed (a survey holds no others), without hardware
    addresses and unique ids, blanks collapsed, cut."""
    plain = "".join(ch if ch.isprintable() and ch != "\ufffd" else " " for ch in text)
    plain = _MAC.sub("(removed)", _UUID.sub("(removed)", plain))
    plain = " ".join(plain.split())
    return plain if len(plain) <= longest else plain[: longest - 3].rstrip() + "..."


def is_placeholder(text: str) -> bool:
    """Whether a text says nothing: empty, or a stand-in that firmware or a tool writes."""
    return _PLACEHOLDER.fullmatch(text.strip()) is not None


def without_private(sources: Iterable[Facts]) -> list[Facts]:
    """The same sources without any fact or remark that repeats a private word of any of them."""
    listed = list(sources)
    words = sorted(
        {word for source in listed for word in source.private}, key=lambda word: (-len(word), word)
    )
    if not words:
        return listed
    pattern = re.compile(
        r"(?<!\w)(?:" + "|".join(re.escape(" ".join(word.split())) for word in words) + r")(?!\w)",
        re.IGNORECASE,
    )

    def kept(fact: Fact) -> bool:
        texts = [str(fact.value), fact.evidence, fact.path]
        return not any(pattern.search(text) for text in texts)

    return [
        Facts(
            source.kind,
            tuple(fact for fact in source.facts if kept(fact)),
            tuple(remark for remark in source.remarks if not pattern.search(remark)),
            source.private,
        )
        for source in listed
    ]
