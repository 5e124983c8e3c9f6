"""What a processor's CPUID signature decides: socket, memory, ECC, registered modules, level, class, years.

The table is ``cpu_signatures.csv`` beside this file: one row per maker, family, model and range of steppings;
the ranges of a model never overlap and cover all steppings. Its words: ``sockets`` with the desktop one first
(``bga`` = soldered package), ``socket_rule`` one (on a desktop board only the first occurs), several (the
number does not decide) or soldered; ``memory_by`` cpu or chipset; ``memory_rates`` with the official rates of
the line, lowest to highest, MT/s; ``ecc`` none, some, all, board, chipset; ``registered`` never,
server-board, required.

Sources: [D] linuxhw/DMI 57b21bc (69,871 public dmidecode texts, CC-BY-4.0): sockets, generations and
steppings in use; [I] InstLatx64 087af2c (527 CPUID dumps): levels; [A] both makers' product tables as
tabulated in felixsteinke/cpu-spec-dataset 4c08d88; [K] Debian linux-source 6.1 (model table, EDAC drivers);
[R] coreboot's table of early signatures. A letter of confidence stands with each group of facts: H read in
such a source, M two secondary ones, L memory or one weak page. What is L is never stated: it serves as a
suggestion.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Final

_LETTERS: Final = {"intel": "i", "amd": "a"}  # first letter of CPUID's vendor string
SOLDERED: Final = "bga"
_THIS_YEAR: Final = 9999  # "now" in the column year_last
#: Words of the table for generations; kinds that are only ever soldered (lpddr, gddr) and rdram are left out.
_GENERATION: Final = {"ddr3l": "ddr3", "ddr2fb": "ddr2"} | {
    name: name for name in ("sdr", "ddr", "ddr2", "ddr3", "ddr4", "ddr5")
}


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table, with the words of its columns (see the module's text)."""

    vendor: str
    family: int
    model: int
    steppings: str
    architecture_class: str
    years: tuple[int, int]
    kind: str
    sockets: tuple[str, ...]
    socket_rule: str
    memory_by: str
    memory_rates: tuple[tuple[str, int, int], ...]
    channels: str
    ecc: str
    registered: str
    graphics: str
    x86_levels: tuple[int, int]
    legacy_video: str
    confidence: str  # signature, socket, memory, rest: one letter each

    def has(self, stepping: int) -> bool:
        """Whether a stepping belongs to the row."""
        ranges = (part.partition("-") for part in self.steppings.split(","))
        return any(int(low) <= stepping <= int(high or low) for low, _, high in ranges)


@cache
def table() -> tuple[Row, ...]:
    """All rows, in the order of the file."""
    text = (resources.files("partsolver.standards") / "cpu_signatures.csv").read_text(encoding="utf-8")
    return tuple(_row(cells) for cells in csv.DictReader(text.splitlines()))


def _row(cells: dict[str, str]) -> Row:
    return Row(
        _LETTERS[cells["vendor"]],
        int(cells["family"]),
        int(cells["model"]),
        cells["steppings"],
        cells["class"],
        (int(cells["year_first"]), _THIS_YEAR if cells["year_last"] == "now" else int(cells["year_last"])),
        cells["kind"],
        tuple(cells["sockets"].split("|")),
        cells["socket_rule"],
        cells["memory_by"],
        tuple(_rates(cells["memory_rates"])),
        cells["channels"],
        cells["ecc"],
        cells["registered"],
        cells["graphics"],
        _span(cells["x86_level"]),
        cells["legacy_video"],
        "".join(cells[f"conf_{group}"] for group in ("signature", "socket", "memory", "rest")),
    )


def _span(text: str) -> tuple[int, int]:
    low, _, high = text.partition("-")
    return int(low), int(high or low)


def _rates(text: str) -> list[tuple[str, int, int]]:
    found: list[tuple[str, int, int]] = []
    for word in text.split():
        name, _, rates = word.partition(":")
        if name in _GENERATION and _GENERATION[name] not in [known[0] for known in found]:
            found.append((_GENERATION[name], *_span(rates)))
    return found


@cache
def _by_model() -> dict[tuple[str, int, int], tuple[Row, ...]]:
    found: dict[tuple[str, int, int], tuple[Row, ...]] = {}
    for row in table():
        key = (row.vendor, row.family, row.model)
        found[key] = (*found.get(key, ()), row)
    return found


@dataclass(frozen=True, slots=True)
class Made:
    """What all rows that a signature may belong to say together: one row where the stepping is known."""

    rows: tuple[Row, ...]

    @property
    def sockets(self) -> tuple[str, ...]:
        """Desktop sockets the processor may sit in; empty: it is soldered."""
        listed = [
            row.sockets[:1] if row.socket_rule == "one" else row.sockets
            for row in self.rows
            if row.socket_rule != "soldered"
        ]
        return tuple(dict.fromkeys(s for sockets in listed for s in sockets if s != SOLDERED))

    @property
    def may_be_soldered(self) -> bool:
        """Whether processors with this signature are also sold soldered, where the number does not decide."""
        return any(row.socket_rule == "several" and SOLDERED in row.sockets for row in self.rows)

    @property
    def has_mobile_package(self) -> bool:
        """Whether the same number occurs in portable PCs and all-in-ones in another package."""
        return any(len(row.sockets) > 1 or row.kind == "mobile" for row in self.rows)

    @property
    def socket_sure(self) -> bool:
        """Whether the table's word for the socket may be stated."""
        return all(row.confidence[1] != "L" for row in self.rows)

    @property
    def memory_sure(self) -> bool:
        """The same for generations, rates, channels and ECC."""
        return all(row.confidence[2] != "L" for row in self.rows)

    @property
    def rest_sure(self) -> bool:
        """The same for level, graphics, class and years."""
        return all(row.confidence[3] != "L" for row in self.rows)

    @property
    def generations(self) -> tuple[str, ...]:
        """Memory generations of the processor's own controller; empty where the chipset has it."""
        return self.memory_kinds if all(row.memory_by == "cpu" for row in self.rows) else ()

    @property
    def memory_kinds(self) -> tuple[str, ...]:
        """Generations that boards with this processor take, whoever drives them."""
        return tuple(dict.fromkeys(name for row in self.rows for name, _, _ in row.memory_rates))

    @property
    def rates(self) -> tuple[tuple[str, int, int], ...]:
        """(generation, lowest, highest official data rate over the line), MT/s."""
        found: dict[str, tuple[int, int]] = {}
        for row in self.rows:
            for name, low, high in row.memory_rates:
                before = found.get(name, (low, high))
                found[name] = min(before[0], low), max(before[1], high)
        return tuple((name, low, high) for name, (low, high) in found.items())

    def one(self, field: str) -> str | None:
        """The word of a column in which all rows agree, else None."""
        word, *others = {str(getattr(row, field)) for row in self.rows}
        return None if others else word

    @property
    def channels(self) -> int | None:
        """Memory channels of the desktop part, where the processor decides them."""
        word = self.one("channels")
        return int(word) if word is not None and word.isdigit() and word != "0" else None

    @property
    def x86_level(self) -> int | None:
        """x86-64 level, where it is the same over the line."""
        level, *others = {level for row in self.rows for level in row.x86_levels}
        return None if others else level

    @property
    def years(self) -> tuple[int, int] | None:
        """First and last year of sale; None for what never was sold."""
        sold = [row.years for row in self.rows if any(row.years)]
        return (min(first for first, _ in sold), max(last for _, last in sold)) if sold else None


#: Words for a socket that firmware also uses for another one that has no code of its own in DSP0134, or that
#: its maker never renewed ([D]; counts in the reference of the table: LGA1155 on 4,476 LGA1150 boards).
STANDS_FOR: Final[dict[str, tuple[str, ...]]] = {
    "AM2+": ("AM2",),
    "AM3+": ("AM3",),
    "FM2+": ("FM2",),
    "AM1": ("FS1",),
    "LGA1151-2": ("LGA1151",),
    "LGA1150": ("LGA1155",),
    "TR4": ("SP3", "SP3r2"),
    "sTRX4": ("SP3", "SP3r2"),
    "sWRX8": ("SP3", "SP3r2"),
}

#: Words that firmware writes on boards of other sockets by mistake ([D]): word -> those sockets. "bga" are
#: boards with a soldered processor.
WRONG_WORDS: Final[dict[str, tuple[str, ...]]] = {
    "478": ("LGA775", "LGA1155", "LGA1156", "LGA1366"),
    "423": ("478", "LGA775", "LGA1155", "LGA1156", "LGA1366"),
    "754": ("AM2", "AM2+", "AM3", "AM3+", "FM1"),
    "939": ("754", "AM2", "AM2+", "AM3", "AM3+", "FM1"),
    "940": ("754", "AM2", "AM2+", "AM3"),
    "AM2": ("AM3", "AM3+", "FM1"),
    "LGA771": ("LGA1366",),
    "LGA1151": ("LGA1200",),
    "LGA1155": (SOLDERED,),
    "LGA2011": ("LGA2066", "LGA1151", "LGA2011-3"),
    "LGA2011-3": ("LGA2066", "LGA1151"),
}

#: Sockets whose processors also run in boards of a neighbouring one (common practice: one package, more
#: contacts or another voltage plan): the processor alone does not tell the board's.
NEIGHBOURS: Final[dict[str, tuple[str, ...]]] = {
    "AM2": ("AM2", "AM2+"),
    "AM2+": ("AM2+", "AM2"),
    "AM3": ("AM3", "AM3+", "AM2+"),
    "AM3+": ("AM3+", "AM3"),
    "FM2": ("FM2", "FM2+"),
}


def vendor_letter(text: str) -> str | None:
    """ "i" or "a" of a processor maker as firmware and CPUID write it; None for others."""
    lowered = text.lower()
    if "intel" in lowered:
        return "i"
    if "amd" in lowered or lowered.startswith("advanced micro"):
        return "a"
    return None


def made_for(vendor: str | None, family: int, model: int, stepping: int | None = None) -> Made | None:
    """What the table says of a processor, or None where it does not know it (never the neighbour's row).
    Without a stepping all rows of the model count."""
    rows = _by_model().get((vendor or "", family, model), ())
    if stepping is not None:
        rows = tuple(row for row in rows if row.has(stepping))
    return Made(rows) if rows else None


def agree(socket: str, named: str) -> bool:
    """Whether a socket and the one that firmware names are the same, or the nearest that it has a word
    for."""
    return named == socket or named in STANDS_FOR.get(socket, ())


def may_mean(word: str, sockets: tuple[str, ...]) -> tuple[str, ...]:
    """Those of the sockets for which firmware writes a word, rightly or by mistake; empty where it names none
    of them."""
    if not any(agree(socket, word) for socket in sockets):
        return ()
    return tuple(s for s in sockets if agree(s, word) or s in WRONG_WORDS.get(word, ()))
