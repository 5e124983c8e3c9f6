"""The facts that a title prints, by the patterns of ``patterns.tsv``: the first pattern that takes a piece of
the text keeps it; what contradicts itself states nothing; what no pattern took is leftover.

A pattern's ``columns`` are cells of the dictionary, or notes (``=total_mib``) that the consistency step below
turns into cells; ``-`` takes text that would be misread. ``values`` may name groups (``{1}``) and how to read
them (``low:``, ``up:`` ...), ``times`` the factor to the column's unit.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import cache, lru_cache

from partsolver.base.records import record
from partsolver.catalog.titles.denied import denied, may_deny
from partsolver.catalog.titles.gates import GatedPattern, Gates
from partsolver.catalog.titles.words import (
    links,
    shared_sockets,
    socket_of_chipset,
    state_gates,
    title_patterns,
)
from partsolver.standards.memory import RATES

# In these kinds what stands after "for" is another thing's fact; a board or cooler *is* for its socket.
_PURPOSE = ("memory", "cpus", "drives", "psus", "graphics")
_TAKEN = "\x1f"
# Columns whose values from several places of a title add up; all others must agree.
_LISTS = ("sockets", "memory_rates")
_SIZES = ("atx", "microatx", "mini-itx")  # of a case that names several, the largest counts
_LARGEST_RATE = 10_000
_SEPARATORS = re.compile(r"[\s,;|/()\[\]+*\x1f-]+")


@record
class Reading:
    """Facts of a title: (column, cell text) by column, contradictory columns, what no pattern took."""

    cells: tuple[tuple[str, str], ...]
    contradictory: tuple[str, ...]
    leftover: tuple[str, ...]


@record
class Pattern:
    """One line of the pattern table, compiled."""

    columns: tuple[str, ...]
    pattern: GatedPattern
    values: tuple[str, ...]
    times: tuple[int, ...]


@cache
def patterns(table: str) -> tuple[Pattern, ...]:
    """The patterns of one part table, in order."""
    found = []
    for row, pattern in title_patterns(table):
        names = tuple(row["columns"].split())
        factors = tuple(int(text or 1) for text in row["times"].split("|"))
        found.append(
            Pattern(
                names,
                pattern,
                tuple(row["values"].split("|")),
                factors * len(names) if len(factors) == 1 else factors,
            )
        )
    return tuple(found)


@cache
def _gates(table: str) -> Gates[Pattern]:
    return Gates((pattern, pattern.pattern) for pattern in patterns(table))


def read_title(title: str, table: str) -> Reading:
    """The facts of a title (as plain_title gives it) of an article of a known kind."""
    text = whole = _without_purposes(title, table)
    values: dict[str, list[str]] = {}
    doubted = may_deny(whole)
    for pattern, compiled in _gates(table).opened(whole):  # what was taken away since opens no gate
        if compiled.search(text) is None:
            continue
        for match in list(compiled.finditer(text)):
            stated = not (doubted and denied(text, *match.span()))
            for column, value, times in zip(pattern.columns, pattern.values, pattern.times, strict=False):
                if column != "-" and stated:
                    values.setdefault(column, []).append(_value(value, match.groups(), times))
            text = text[: match.start()] + _TAKEN * len(match[0]) + text[match.end() :]
    cells, contradictory = _SETTLED[table](values) if table in _SETTLED else _plain(values)
    for state, words in state_gates().opened(text):
        if state != "defective":
            text = words.sub(lambda m: _TAKEN * len(m[0]), text)
    leftover = tuple(word for word in _SEPARATORS.split(text) if word)
    return Reading(tuple(sorted(cells.items())), tuple(sorted(contradictory)), leftover)


def _without_purposes(title: str, table: str) -> str:
    """A title without what stands after "for", where that is about another thing."""
    if table not in _PURPOSE:
        return title
    purpose = links(title).get("for")
    for match in () if purpose is None else list(purpose.finditer(title)):
        rest = re.match(r"\s+(?!\d)[^,;|()\[\]]*", title[match.end() :])
        if rest is not None:
            stop = match.end() + len(rest[0])
            title = title[: match.start()] + _TAKEN * (stop - match.start()) + title[stop:]
    return title


# -- values --------------------------------------------------------------------------------------------------------


def _number(text: str) -> Fraction:
    return Fraction(text.replace(",", "."))


def _lga_list(text: str) -> str:
    numbers = re.findall(r"\d{3,4}(?:-3)?|115[xX]", text)
    names: list[str] = []
    for number in numbers:
        wide = number.casefold() == "115x"
        names += ["LGA1150", "LGA1151", "LGA1155", "LGA1156"] if wide else [f"LGA{number}"]
    return " ".join(names)


_READ: Mapping[str, Callable[[str], str]] = {
    "low": lambda text: str(min(map(_number, _pair(text)))),
    "high": lambda text: str(max(map(_number, _pair(text)))),
    "up": lambda text: str(_number(text)),
    "lower": str.lower,
    "dot": lambda text: text.replace(",", "."),
    "lga_list": _lga_list,
}


def _pair(text: str) -> list[str]:
    """Two numbers joined with a comma, each of which may hold a decimal comma itself."""
    return re.findall(r"\d+[.,]\d+|\d+", text)


@lru_cache(maxsize=4096)
def _value(template: str, groups: tuple[str, ...], times: int) -> str:
    """A cell text from a template and the groups of a match; a list says the same again and again."""
    text = re.sub(r"\{(\d)\}", lambda group: groups[int(group[1]) - 1], template)
    how, colon, rest = text.partition(":")
    if colon and how in _READ:
        text = _READ[how](rest)
    if how == "up" or times != 1:
        number = _number(text) * times
        return str(math.ceil(number) if how == "up" else round(number))
    return str(round(_number(text))) if "/" in text and how in ("low", "high") else text


# -- consistency ---------------------------------------------------------------------------------------------------

Settled = tuple[dict[str, str], set[str]]


def _plain(values: Mapping[str, list[str]]) -> Settled:
    """Each column's value where all places agree."""
    cells: dict[str, str] = {}
    contradictory = set()
    for column, found in values.items():
        if column.startswith("="):
            continue
        distinct = list(dict.fromkeys(found))
        if column in _LISTS:
            cells[column] = " ".join(dict.fromkeys(" ".join(distinct).split()))
        elif len({text.casefold() for text in distinct}) == 1:
            cells[column] = distinct[0]
        else:
            contradictory.add(column)
    return cells, contradictory


def _board(values: Mapping[str, list[str]]) -> Settled:
    """Chipsets and sockets in their own spelling; a socket word that two sockets share counts only with its
    chipset."""
    chosen = {
        column: [text.upper() if column in ("chipset", "socket") else text for text in found]
        for column, found in values.items()
    }
    cells, contradictory = _plain(chosen)
    if "=dimm" in values and "memory_module" in cells:
        del cells["memory_module"]
        contradictory.add("memory_module")  # slots of two sorts
    return _with_one_socket(cells, cells.get("chipset", "")), contradictory


def _with_one_socket(cells: dict[str, str], chipset: str) -> dict[str, str]:
    socket = cells.get("socket", "")
    if socket in shared_sockets():
        known = socket_of_chipset().get((socket, chipset))
        cells.pop("socket")
        if known is not None:
            cells["socket"] = known
    return cells


def _cpu(values: Mapping[str, list[str]]) -> Settled:
    cells, contradictory = _plain(
        {c: [v.upper() if c == "socket" else v for v in f] for c, f in values.items()}
    )
    low, high = cells.get("base_mhz"), cells.get("boost_mhz")
    if low and high and int(low) > int(high):
        contradictory |= {"base_mhz", "boost_mhz"}
    cores, threads = cells.get("cores"), cells.get("threads")
    if cores and threads and not int(cores) <= int(threads) <= 2 * int(cores):
        contradictory |= {"cores", "threads"}
    return _with_one_socket({c: v for c, v in cells.items() if c not in contradictory}, ""), contradictory


def _memory(values: Mapping[str, list[str]]) -> Settled:
    """Kit, total and rate must agree with one another (PC3-12800 = DDR3-1600, 2 x 4 = 8); a rate beyond the
    standard or of a profile is not the module's standard rate."""
    cells, contradictory = _plain(values)
    _settle_kit(values, cells, contradictory)
    generation = cells.get("generation")
    rates = {_graded(int(text), generation) for text in values.get("=rate", ())}
    rates |= {_rate_of_bandwidth(text, generation) for text in values.get("=bandwidth", ())}
    if len(rates) == 1 and None not in rates and "=profile" not in values:
        cells["rate_mts"] = str(next(iter(rates)))
    elif len(rates) > 1:
        contradictory.add("rate_mts")
    return {c: v for c, v in cells.items() if c not in contradictory}, contradictory


def _settle_kit(values: Mapping[str, list[str]], cells: dict[str, str], contradictory: set[str]) -> None:
    totals = {int(text) for text in values.get("=total_mib", ())}
    counts = {int(text) for text in values.get("=modules", ())}
    if "modules" in cells:
        count, size = int(cells["modules"]), int(cells["module_mib"])
        # A module's own size may stand beside the kit's.
        right = {count * size, size} if count * size in totals or not totals else {count * size}
        if totals - right or counts - {count} or count < 1 or size < 1:
            contradictory |= {"modules", "module_mib"}
    elif len(counts) == 1 and len(totals) == 1 and "modules" not in contradictory:
        count, total = next(iter(counts)), next(iter(totals))
        if count and total % count == 0:
            cells |= {"modules": str(count), "module_mib": str(total // count)}


def _graded(rate: int, generation: str | None) -> int | None:
    """The standard rate a printed number stands for (1333 and 1334 are one); None where it is none."""
    if generation is None:
        near = [r for listed in RATES.values() for r in listed if abs(r - rate) <= 2]
    else:
        near = [r for r in RATES[generation] if abs(r - rate) <= 2]
    return min(near, key=lambda r: (abs(r - rate), r)) if near else None


def _rate_of_bandwidth(text: str, generation: str | None) -> int | None:
    """The rate of a module name: PC2 and PC3 name MB/s (rate x 8, rounded); PC4 below 10000 and PC5 below
    20000 name the rate (survey-formats 6.1, common practice)."""
    digit, _, number = text.partition(":")
    named, value = f"ddr{digit}" if digit != "0" else generation, int(number)
    if named is None:
        return None
    if (named == "ddr4" and value < 10_000) or (named == "ddr5" and value < 20_000):
        return _graded(value, named)
    near = [r for r in RATES[named] if abs(r * 8 - value) <= 72]
    return min(near, key=lambda r: (abs(r * 8 - value), r)) if near else None


def _drive(values: Mapping[str, list[str]]) -> Settled:
    """Kind and interface out of several words: M.2 alone does not tell SATA from NVMe, HDD without a size not
    which bay it needs. NVMe in a bay (U.2) or on a card of its own is no M.2, and SAS no SATA."""
    cells, contradictory = _plain(values)
    found = {name for name in ("nvme", "sata", "pata", "m2", "ssd", "hdd", "other") if f"={name}" in values}
    sizes = set(values.get("=size", ()))
    interfaces = found & {"nvme", "sata", "pata", "other"}
    if interfaces == {"nvme"} and not sizes:
        cells["interface"] = "m2-nvme"
    elif interfaces == {"sata"} and not ("m2" in found and sizes):
        cells["interface"] = "m2-sata" if "m2" in found else "sata"
    elif interfaces == {"pata"}:
        cells["interface"] = "pata"
    if "ssd" in found or "nvme" in found:
        cells["kind"] = "ssd"
    elif "hdd" in found and len(sizes) == 1:
        cells["kind"] = "hdd35" if sizes == {"3.5"} else "hdd25"
    return cells, contradictory


def _supply(values: Mapping[str, list[str]]) -> Settled:
    """What a supply is rated for. What it gives at most may be for a moment: by itself it states nothing, and
    below the rated power it contradicts it."""
    cells, contradictory = _plain(values)
    if any(int(most) < int(cells.get("rated_w", "0")) for most in values.get("=most_w", ())):
        contradictory.add("rated_w")
        cells.pop("rated_w")
    return cells, contradictory


def _case(values: Mapping[str, list[str]]) -> Settled:
    forms = values.get("form_factor", [])
    largest = next((form for form in _SIZES if form in forms), None)
    return _plain({**values, "form_factor": [largest] if largest else forms} if forms else values)


_SETTLED: Mapping[str, Callable[[Mapping[str, list[str]]], Settled]] = {
    "boards": _board,
    "cpus": _cpu,
    "memory": _memory,
    "drives": _drive,
    "psus": _supply,
    "cases": _case,
}
