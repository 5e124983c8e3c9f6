"""The column dictionary: name, type, unit, required, default and meaning of every column, and how a cell is
read.

``catalogs/columns.csv`` is the one place that describes columns; loading, messages, templates and
documentation use it, and the survey reads its words by it too. A blank cell, or one that says ``unknown``,
is not known; ``none`` and 0 are written. The few columns with an ``assumed`` value are those where a wrong
one costs the person nothing: what is assumed is listed with the plan. Values are read as people write them
(base/values.py); words without regard to case.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Sequence
from functools import cache, partial
from importlib import resources
from operator import eq
from pathlib import Path
from typing import Any

from partsolver.base.documents import text_of_cell
from partsolver.base.quantities import parse_amount
from partsolver.base.records import record
from partsolver.base.values import choice_word, date_of, whole_number, words_of_list, yes_or_no
from partsolver.catalog.sockets import M2Socket, Slot
from partsolver.standards.memory import GENERATIONS
from partsolver.standards.storage import SATA_MBS

UNKNOWN = "unknown"
NONE = "none"
_ID = re.compile(r"[a-z0-9][a-z0-9._-]*")
_IDS = re.compile(r"[a-z0-9][a-z0-9._-]*(?:\n[a-z0-9][a-z0-9._-]*)*")
_WORD = re.compile(r"[a-z0-9][a-z0-9.+_-]*", re.IGNORECASE)
# Control characters, and those that turn or hide text in a terminal or page (Unicode 15, 2.10 and 23.2).
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]")
_SLOT_KINDS = ("x16", "x8", "x4", "x1", "pci", "agp", "isa")
_HOLES = "ABCFGHJKLMRS"
# Ids that the program itself gives to parts of the survey.
RESERVED = ("kept-", "boxed-")


@record
class Column:
    """One column: how its cells are read and what they mean."""

    table: str
    name: str
    type: str
    unit: str
    required: bool
    assumed: str
    meaning: str

    @property
    def expected(self) -> str:
        """What a cell must look like, in words for messages and templates."""
        kind, _, rest = self.type.partition(":")
        if kind == "choice":
            return "one of " + ", ".join(rest.split("|"))
        if kind == "list":
            return "words from " + ", ".join(rest.split("|")) + ", separated by blanks, or none"
        text = _EXPECTED[kind]
        return f"{text} in {self.unit}" if self.unit else text

    @property
    def bounds(self) -> tuple[int, int]:
        """The least and the most that a number of this column may say: its unit's; the least as the type says it
        (``int:1``), where nothing can be shared out to none."""
        kind, _, least = self.type.partition(":")
        of_unit = BOUNDS[self.unit]
        return (int(least), of_unit[1]) if kind == "int" and least else of_unit


def data_folder() -> Path:
    """The folder ``catalogs``: inside an installed package, or beside it in a checkout."""
    inside = Path(str(resources.files("partsolver"))) / "catalogs"
    return inside if inside.is_dir() else Path(__file__).resolve().parents[2] / "catalogs"


@cache
def columns() -> dict[str, dict[str, Column]]:
    """All columns by table and name, in the order of the dictionary file."""
    tables: dict[str, dict[str, Column]] = {}
    with (data_folder() / "columns.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            column = Column(
                row["table"],
                row["column"],
                row["type"],
                row["unit"],
                row["required"] == "yes",
                row["assumed"],
                row["meaning"],
            )
            tables.setdefault(column.table, {})[column.name] = column
    return tables


@cache
def listed_words(table: str, name: str) -> tuple[str, ...]:
    """The words of a column's closed list."""
    kind, _, rest = columns()[table][name].type.partition(":")
    return tuple(rest.split("|")) if kind in ("choice", "list") else ()


def reader(column: Column, digits: int = 2, currency: str | None = None) -> Callable[[str], Any]:
    """The function that reads a non-empty cell of a column; it raises ValueError naming what was expected."""
    kind, _, rest = column.type.partition(":")
    if kind in ("choice", "list"):
        choices = tuple(rest.split("|"))
        return partial(choice_word if kind == "choice" else _listed, choices=choices)
    if kind == "money":
        return lambda text: _not_negative(parse_amount(text, digits, currency))
    if kind == "int":
        return partial(_int, unit=column.unit, bounds=column.bounds)
    if kind == "ints":
        return partial(_ints, unit=column.unit)
    return _READERS[kind]


def plain_texts(column: Column, cells: Sequence[str]) -> bool:
    """Whether the reader of a column gives back each of these cells as it stands, told of all at once; only
    ids and texts are told."""
    if column.type == "id":
        joined = "\n".join(cells)
        if joined.count("\n") != len(cells) - 1 or UNKNOWN in cells:
            return False
        return _IDS.fullmatch(joined) is not None and not any(word in joined for word in RESERVED)
    if column.type != "text" or not all(cells):
        return False
    # One line end between two cells, and no other sign that a text must not hold.
    joined = "\n".join(cells)
    plain = (
        len(_CONTROL.findall(joined)) == len(cells) - 1 and not joined.startswith("'") and "\n'" not in joined
    )
    return plain and all(map(eq, map(str.strip, cells), cells)) and UNKNOWN not in map(str.casefold, cells)


def _listed(text: str, choices: tuple[str, ...]) -> tuple[str, ...]:
    """Each word once, in the order written."""
    return tuple(dict.fromkeys(words_of_list(text, choices)))


def _not_negative(value: int) -> int:
    if value < 0:
        raise ValueError("an amount that is not negative")
    return value


# By unit: the least and the most that a cell may say; "" are counts. Far outside of what is sold (common
# practice), and far inside of what later sums bear.
BOUNDS: dict[str, tuple[int, int]] = {
    "": (0, 1_000_000),
    "mm": (1, 5_000),
    "MiB": (1, 2**30),
    "MT/s": (1, 100_000),
    "W": (0, 100_000),
    "mW": (0, 10**8),
    "mA": (0, 10**6),
    "mV": (0, 100_000),
    "MHz": (1, 1_000_000),
    "kHz": (1, 10**9),
    "MB/s": (1, 10**7),
    "GB": (1, 10**7),
    "0.1 Gb/s": (15, 60),
    "Mbit": (1, 10**7),
    "g": (0, 10**6),
    "%": (0, 1_000),
    "d": (0, 3_650),
    "points": (0, 10**9),
}


def _int(text: str, unit: str = "", bounds: tuple[int, int] | None = None) -> int:
    number = int(text) if text.isascii() and text.isdigit() and len(text) <= 12 else whole_number(text, unit)
    least, most = bounds or BOUNDS[unit]
    if not least <= number <= most:
        raise ValueError(f"a whole number from {least} to {most}{' ' + unit if unit else ''}")
    if unit == "0.1 Gb/s" and number not in SATA_MBS:
        raise ValueError("15, 30 or 60 (1.5, 3 or 6 Gb/s)")
    return number


def _yesno(text: str) -> bool:
    return yes_or_no(text)


def _id(text: str) -> str:
    if not _ID.fullmatch(text):
        raise ValueError
    if text.startswith(RESERVED):
        raise ValueError("an id that does not begin with kept- or boxed- (the program uses those)")
    return text


def _text(text: str) -> str:
    if _CONTROL.search(text):
        raise ValueError("text without control characters")
    return text_of_cell(text)


def _word(text: str) -> str:
    """A free word (a socket, a family): compared without regard to case, so kept in small letters."""
    return _version(text).casefold()


def _version(text: str) -> str:
    if not _WORD.fullmatch(text):
        raise ValueError
    return text


def _currency(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z]{3}", text):
        raise ValueError
    return text.upper()


def _none(text: str) -> bool:
    return text.strip().casefold() == NONE


def _words(text: str) -> tuple[str, ...]:
    return () if _none(text) else tuple(_word(word) for word in re.split(r"[\s,;]+", text.strip()) if word)


def _letters(text: str) -> tuple[str, ...]:
    if _none(text):
        return ()
    letters = re.split(r"[\s,;]+", text.upper()) if re.search(r"[\s,;]", text) else list(text.upper())
    if any(letter not in _HOLES for letter in letters) or len(set(letters)) != len(letters):
        raise ValueError
    return tuple(sorted(letters))


def _plugs(text: str) -> tuple[str, ...]:
    """Plug sizes; "6+2" is one divisible plug of 8 contacts, "2 x 8" two of them."""
    if _none(text):
        return ()
    plugs: list[str] = []
    for written in re.split(r"\s*[+,;]\s*", re.sub(r"\b6\s*\+\s*2\b", "8", text.strip())):
        match = re.fullmatch(r"(?:([1-9])\s*[x×]\s*)?(.+)", written, re.IGNORECASE)
        if match is None:
            raise ValueError
        plugs += [choice_word(match[2], ("4", "6", "8", "16"))] * int(match[1] or 1)
    return tuple(sorted(plugs, key=int, reverse=True))


def _ints(text: str, unit: str = "") -> tuple[int, ...]:
    """Numbers joined with +; a unit behind the last one is that of all."""
    parts = [part.strip() for part in text.split("+")]
    behind = re.sub(r"^[0-9.,\s]+", "", parts[-1])
    return tuple(_int(part if re.search(r"[^0-9.,\s]", part) else part + behind, unit) for part in parts)


def _levels(text: str) -> tuple[tuple[str, str], ...]:
    pairs = []
    for token in () if _none(text) else text.split():
        family, colon, version = token.partition(":")
        if not colon:
            raise ValueError
        pairs.append((_word(family), _version(version)))
    return tuple(sorted(pairs))


def _rates(text: str) -> tuple[tuple[str, int], ...]:
    pairs = []
    for token in text.split():
        generation, _, rate = token.replace("-", ":", 1).partition(":")
        pairs.append((choice_word(generation, GENERATIONS), _int(rate, "MT/s")))
    return tuple(sorted(pairs))


def _slots(text: str) -> tuple[Slot, ...]:
    if _none(text):
        return ()
    slots = []
    for token in text.casefold().split():
        kind, colon, lanes = token.partition(":")
        if kind not in _SLOT_KINDS or (kind.startswith("x") != bool(colon)):
            raise ValueError
        slots.append(Slot(kind, _int(lanes) if colon else 0))
    return tuple(slots)


def _m2(text: str) -> tuple[M2Socket, ...]:
    if _none(text):
        return ()
    sockets = []
    for token in text.casefold().split():
        parts = token.split(":")
        if len(parts) != 6 or parts[0] not in ("m", "b", "e", "a"):
            raise ValueError
        protocols = tuple(sorted(parts[2].split(",")))
        gen, x, lanes = parts[3].partition("x")
        if any(p not in ("nvme", "sata") for p in protocols) or not x:
            raise ValueError
        lost = [_ports(field) for field in parts[4:]]
        counts, names = zip(*lost, strict=True)
        sockets.append(M2Socket(parts[0], _int(parts[1]), protocols, _int(gen), _int(lanes), *counts, *names))
    return tuple(sockets)


def _ports(text: str) -> tuple[int, tuple[str, ...]]:
    """SATA ports that a module takes: a number, or their names such as s5,s6."""
    if text.isdigit():
        return _int(text), ()
    names = tuple(sorted(text.split(",")))
    if len(set(names)) != len(names) or not all(re.fullmatch(r"s[0-9]{1,2}", name) for name in names):
        raise ValueError
    return len(names), names


def _counts(text: str) -> tuple[tuple[str, int], ...]:
    pairs = []
    for token in text.split():
        part, star, count = token.partition("*")
        pairs.append((_id(part), _int(count) if star else 1))
    if not pairs or any(count < 1 for _, count in pairs):
        raise ValueError
    return tuple(sorted(pairs))


_READERS: dict[str, Callable[[str], Any]] = {
    "id": _id,
    "text": _text,
    "word": _word,
    "words": _words,
    "yesno": _yesno,
    "letters": _letters,
    "plugs": _plugs,
    "levels": _levels,
    "rates": _rates,
    "slots": _slots,
    "m2": _m2,
    "counts": _counts,
    "date": date_of,
    "version": _version,
    "currency": _currency,
}
_EXPECTED = {
    "id": "an id of lower-case letters, digits and . _ - that does not begin with kept- or boxed-",
    "text": "text",
    "word": "one word without blanks",
    "words": "words separated by blanks, or none",
    "int": "a whole number without sign",
    "ints": "whole numbers joined with +",
    "yesno": "yes or no",
    "letters": "hole letters from A B C F G H J K L M R S, or none",
    "plugs": "plug sizes 4, 6, 8 or 16 joined with +, or none",
    "levels": "family:firmware pairs separated by blanks",
    "rates": "generation:rate pairs such as ddr4:2666",
    "slots": "slots such as x16:16 x1:1 pci, or none",
    "m2": "sockets such as m:80:nvme,sata:3x4:2:1 (or the ports' names: m:80:nvme:3x4:s5,s6:0), or none",
    "counts": "part*count pairs separated by blanks",
    "date": "a date as YYYY-MM-DD",
    "version": "a firmware version without blanks",
    "currency": "a currency code of three letters (ISO 4217)",
    "money": "an amount such as 129.90",
}
