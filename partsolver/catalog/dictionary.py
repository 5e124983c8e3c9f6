"""The column dictionary: name, type, unit, required, default and meaning of every column, and how a cell is
read.

``catalogs/columns.csv`` is the one place that describes columns; loading, messages, templates and
documentation use it. A cell reads as ``None`` where it says ``unknown`` or is empty without a default;
``none`` means "there is none".
"""

from __future__ import annotations

import csv
import datetime
import re
from collections.abc import Callable
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from partsolver.base.quantities import parse_amount
from partsolver.base.records import record
from partsolver.catalog.records import M2Socket, Slot
from partsolver.standards.memory import GENERATIONS

UNKNOWN = "unknown"
NONE = "none"
_ID = re.compile(r"[a-z0-9][a-z0-9._-]*")
_WORD = re.compile(r"[a-z0-9][a-z0-9.+_-]*", re.IGNORECASE)
_CONTROL = re.compile(r"[\x00-\x1f\x7f]")
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
    default: str
    meaning: str

    @property
    def expected(self) -> str:
        """What a cell must look like, in words for messages and templates."""
        kind, _, rest = self.type.partition(":")
        if kind == "choice":
            return "one of " + ", ".join(rest.split("|"))
        text = _EXPECTED[kind]
        return f"{text} in {self.unit}" if self.unit else text


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
                row["default"],
                row["meaning"],
            )
            tables.setdefault(column.table, {})[column.name] = column
    return tables


def reader(column: Column, digits: int = 2) -> Callable[[str], Any]:
    """The function that reads a non-empty cell of a column; it raises ValueError naming what was expected."""
    kind, _, rest = column.type.partition(":")
    if kind == "choice":
        choices = tuple(rest.split("|"))

        def choice(text: str) -> str:
            if text not in choices:
                raise ValueError
            return text

        return choice
    if kind == "money":
        return lambda text: _not_negative(parse_amount(text, digits))
    return _READERS[kind]


def _not_negative(value: int) -> int:
    if value < 0:
        raise ValueError("an amount that is not negative")
    return value


def _int(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,12}", text):
        raise ValueError
    return int(text)


def _yesno(text: str) -> bool:
    if text not in ("yes", "no"):
        raise ValueError
    return text == "yes"


def _id(text: str) -> str:
    if not _ID.fullmatch(text):
        raise ValueError
    if text.startswith(RESERVED):
        raise ValueError("an id that does not begin with kept- or boxed- (the program uses those)")
    return text


def _text(text: str) -> str:
    if _CONTROL.search(text):
        raise ValueError("text without control characters")
    return text


def _word(text: str) -> str:
    if not _WORD.fullmatch(text):
        raise ValueError
    return text


def _words(text: str) -> tuple[str, ...]:
    return () if text == NONE else tuple(_word(word) for word in text.split())


def _letters(text: str) -> tuple[str, ...]:
    if text == NONE:
        return ()
    letters = text.split() if " " in text else list(text)
    if any(letter not in _HOLES for letter in letters) or len(set(letters)) != len(letters):
        raise ValueError
    return tuple(sorted(letters))


def _plugs(text: str) -> tuple[str, ...]:
    if text == NONE:
        return ()
    plugs = text.split("+")
    if any(plug not in ("4", "6", "8", "16") for plug in plugs):
        raise ValueError
    return tuple(sorted(plugs, key=int, reverse=True))


def _ints(text: str) -> tuple[int, ...]:
    return tuple(_int(part) for part in text.split("+"))


def _levels(text: str) -> tuple[tuple[str, str], ...]:
    pairs = []
    for token in () if text == NONE else text.split():
        family, colon, version = token.partition(":")
        if not colon or not _WORD.fullmatch(family) or not _WORD.fullmatch(version):
            raise ValueError
        pairs.append((family, version))
    return tuple(sorted(pairs))


def _rates(text: str) -> tuple[tuple[str, int], ...]:
    pairs = []
    for token in text.split():
        generation, _, rate = token.partition(":")
        if generation not in GENERATIONS:
            raise ValueError
        pairs.append((generation, _int(rate)))
    return tuple(sorted(pairs))


def _slots(text: str) -> tuple[Slot, ...]:
    if text == NONE:
        return ()
    slots = []
    for token in text.split():
        kind, colon, lanes = token.partition(":")
        if kind not in _SLOT_KINDS or (kind.startswith("x") != bool(colon)):
            raise ValueError
        slots.append(Slot(kind, _int(lanes) if colon else 0))
    return tuple(slots)


def _m2(text: str) -> tuple[M2Socket, ...]:
    if text == NONE:
        return ()
    sockets = []
    for token in text.split():
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


def _date(text: str) -> datetime.date:
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        raise ValueError
    return datetime.date.fromisoformat(text)


_READERS: dict[str, Callable[[str], Any]] = {
    "id": _id,
    "text": _text,
    "word": _word,
    "words": _words,
    "int": _int,
    "ints": _ints,
    "yesno": _yesno,
    "letters": _letters,
    "plugs": _plugs,
    "levels": _levels,
    "rates": _rates,
    "slots": _slots,
    "m2": _m2,
    "counts": _counts,
    "date": _date,
    "version": _word,
}
_EXPECTED = {
    "id": "an id of lower-case letters, digits and . _ - that does not begin with kept- or boxed-",
    "text": "text",
    "word": "one word without blanks",
    "words": "words separated by blanks, or none",
    "int": "a whole number without sign, blanks or separators",
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
    "money": "an amount such as 129.90",
}
