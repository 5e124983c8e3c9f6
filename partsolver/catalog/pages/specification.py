"""Facts out of label and value: rows of two-column tables and definition lists of saved pages, lines of
sheets. The labels (in several languages) and the patterns of values are data beside this file; the title
grammar serves for what titles print too. A label that is not known is shown; a person maps it once
(`--label`)."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cache
from importlib import resources

from partsolver.base.records import record
from partsolver.catalog.dictionary import columns, reader
from partsolver.catalog.pages.labels import IDENTITY, topic_of
from partsolver.catalog.records import PART_TABLES
from partsolver.catalog.titles.denied import denied, may_deny
from partsolver.catalog.titles.grammar import read_title
from partsolver.catalog.titles.words import plain_title, with_pieces
from partsolver.standards.memory import RATES

# A page or sheet that states fewer facts is none of a part.
LEAST_FACTS = 3
# Topics whose values titles print as well: the title grammar reads them.
_BY_TITLE = {
    ("boards", "socket"): ("socket",),
    ("boards", "chipset"): ("chipset",),
    ("boards", "form"): ("form_factor",),
    ("boards", "memory"): ("memory_generation",),
    ("cpus", "socket"): ("socket",),
    ("memory", "type"): ("generation", "module", "registered", "ecc"),
    ("memory", "kit"): ("modules", "module_mib"),
    ("memory", "rate"): ("rate_mts",),
    ("memory", "ecc"): ("ecc", "registered"),
    ("memory", "registered"): ("registered", "ecc"),
    ("memory", "voltage"): ("voltage_mv",),
    ("memory", "rank"): ("ranks",),
    ("coolers", "sockets"): ("sockets",),
    ("psus", "form"): ("form",),
    ("psus", "efficiency"): ("efficiency",),
    ("cases", "form"): ("form_factor",),
    ("drives", "capacity"): ("capacity_gb",),
    ("drives", "interface"): ("interface", "pcie_gen", "pcie_lanes"),
    ("drives", "form"): ("m2_length_mm", "kind"),
    ("graphics", "bus"): ("bus", "lanes"),
}


@record
class Sheet:
    """What label and value pairs say: facts (column, value, label), identity (topic, text), unknown
    labels."""

    facts: tuple[tuple[str, str, str], ...]
    identity: tuple[tuple[str, str], ...]
    unknown: tuple[tuple[str, str], ...]


@record
class _Line:
    """One pattern of values."""

    columns: tuple[str, ...]
    pattern: re.Pattern[str]
    values: tuple[str, ...]
    how: str


_GRADE = re.compile(r"(?:white|standard|bronze|silver|gold|platinum|titanium)", re.IGNORECASE)
# Topics in which the label says a part of what the value is.
_LABEL_SAYS = (("boards", "memory"), ("psus", "plugs"), ("psus", "watts"))


@cache
def _lines(table: str, topic: str) -> tuple[_Line, ...]:
    text = (
        resources.files("partsolver.catalog.pages").joinpath("sheet_patterns.tsv").read_text(encoding="utf-8")
    )
    found = []
    for line in text.splitlines()[1:]:
        of_table, of_topic, names, pattern, values, how = line.split("\t")
        if of_table in (table, "*") and of_topic == topic:
            found.append(
                _Line(
                    tuple(names.split()),
                    re.compile(with_pieces(pattern), re.IGNORECASE),
                    tuple(values.split("|")),
                    how,
                )
            )
    return tuple(found)


def table_of_pairs(pairs: Sequence[tuple[str, str]], own: Mapping[str, str] | None = None) -> str | None:
    """The part table of which the pairs state the most facts, where no other comes near."""
    counts = sorted(
        ((len(read_pairs(table, pairs, own).facts), table) for table in PART_TABLES), reverse=True
    )
    (most, table), (next_most, _) = counts[:2]
    return table if most >= LEAST_FACTS and most >= next_most + 2 else None


def _beside(table: str, pairs: Iterable[tuple[str, str]], own: Mapping[str, str]) -> dict[str, str]:
    """By topic, what another topic of the same sheet adds to its value: the chipset tells two sockets of one
    name apart, the form of a drive whether its SATA or NVMe is an M.2 one."""
    topic = {"boards": "chipset", "drives": "form"}.get(table)
    said = [plain_title(value) for label, value in pairs if topic and topic_of(table, label, own) == topic]
    if topic == "form":
        return {"interface": " ".join(said)}
    named = {dict(read_title(text, "boards").cells).get("chipset", "") for text in said}
    return {"socket": named.pop()} if len(named) == 1 else {}


def read_pairs(table: str, pairs: Sequence[tuple[str, str]], own: Mapping[str, str] | None = None) -> Sheet:
    """The facts of label and value pairs about a part of a table. Values that two labels state differently
    are no facts; what a column does not take is shown like an unknown label."""
    found: dict[str, list[tuple[str, str]]] = {}
    identity, unknown = [], []
    beside = _beside(table, pairs, own or {})
    for label, value in pairs:
        topic = topic_of(table, label, own or {})
        if topic is None:
            unknown.append((label, value))
        elif topic in IDENTITY:
            identity.append((topic, value))
        else:
            cells = _cells(table, topic, label, value, beside.get(topic, ""))
            for column, text in cells.items():
                found.setdefault(column, []).append((text, label))
            if not cells:
                unknown.append((label, value))
    facts = []
    for column, said in found.items():
        if len({text for text, _ in said}) == 1:
            facts.append((column, said[0][0], said[0][1]))
        else:
            unknown += [(label, text) for text, label in said]
    return Sheet(tuple(sorted(facts)), tuple(identity), tuple(unknown))


def _cells(table: str, topic: str, label: str, value: str, beside: str) -> dict[str, str]:
    """Cells of one value, checked against the columns' own types. ``beside``: what another row adds to it."""
    text = plain_title(value)
    cells: dict[str, str] = {}
    if topic.startswith("="):
        cells[topic[1:]] = value.strip()
    if (table, topic) in _BY_TITLE:
        wanted = _BY_TITLE[(table, topic)]
        said = f"Socket {text}" if topic in ("socket", "sockets") and re.match(r"\d", text) else text
        said = f"{said} {beside}" if beside else said
        said = f"80 PLUS {said}" if topic == "efficiency" and _GRADE.fullmatch(said) else said
        cells |= {column: cell for column, cell in read_title(said, table).cells if column in wanted}
    # "Max. memory: 64 GB" says in its label what the value is.
    said = f"{plain_title(label).replace(':', ' ')}: {text}" if (table, topic) in _LABEL_SAYS else text
    cells |= _by_lines(_lines(table, topic), said)
    return {column: cell for column, cell in cells.items() if _readable(table, column, cell)}


def _readable(table: str, column: str, cell: str) -> bool:
    described = columns()[table].get(column)
    if described is None or column in ("id", "name"):
        return False
    try:
        reader(described)(cell)
    except ValueError:
        return False
    return True


def _by_lines(lines: Iterable[_Line], text: str) -> dict[str, str]:
    found: dict[str, tuple[str, list[str]]] = {}
    doubted = may_deny(text)
    for line in lines:
        for match in list(line.pattern.finditer(text)):
            stated = not (doubted and denied(text, *match.span()))
            for column, template in zip(line.columns, line.values, strict=False):
                if column != "-" and stated:
                    found.setdefault(column, (line.how, []))[1].append(_value(template, match))
            text = text[: match.start()] + "\x1f" * len(match[0]) + text[match.end() :]
    cells = {column: _SETTLED[how](values) for column, (how, values) in found.items()}
    return {column: cell for column, cell in cells.items() if cell}


def _value(template: str, match: re.Match[str]) -> str:
    text = re.sub(r"\{(\d)\}", lambda group: match[int(group[1])] or "", template)
    how, colon, rest = text.partition(":")
    return _READ[how](rest) if colon and how in _READ else text


def _number(text: str) -> Fraction:
    return Fraction(text.replace(",", "."))


_MM = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "in": Fraction(254, 10),
    "inch": Fraction(254, 10),
    '"': Fraction(254, 10),
    "мм": Fraction(1),
    "см": Fraction(10),
}
_MIB = {
    "gb": 1024,
    "gib": 1024,
    "go": 1024,
    "гб": 1024,
    "tb": 1024 * 1024,
    "to": 1024 * 1024,
    "тб": 1024 * 1024,
    "mb": 1,
}


def _millimetres(text: str) -> Fraction:
    number, unit = text.split()
    return _number(number) * _MM[unit.lower()]


def _sides(text: str) -> tuple[int, int] | None:
    """The two sides of a board, where the first is the longer or equal: makers print the edge with the
    rear ports first (common practice); the other way round tells nothing."""
    first, second = (_millimetres(side.strip()) for side in text.split(", "))
    return (math.ceil(first), math.ceil(second)) if first >= second else None


def _longest_side(text: str) -> str:
    """The longest of three sides: a card is longer than high, and higher than thick."""
    *sides, unit = text.split()
    return str(max(math.ceil(_millimetres(f"{side} {unit}")) for side in sides))


def _slot_words(text: str) -> str:
    count, kind, lanes = text.split()
    return " ".join(["pci" if kind == "pci" else f"x{kind}:{lanes}"] * int(count))


def _each_slot(text: str) -> str:
    """Two slots of x16 with lanes of their own ("2 x PCIe x16 (x16/x4)"); what else stands in brackets
    (modes, other counts) is no slot that could be read."""
    count, first, second, *more = text.split()
    return f"x16:{first} x16:{second}" if count == "2" and not more else "?"


def _plug(text: str) -> str:
    """A divisible plug counts as the whole: 4+4 and 6+2 are 8."""
    return {"4+4": "8", "6+2": "8"}.get(text.replace(" ", ""), text.strip())


def _repeated(text: str) -> str:
    count, rest = text.split(" ", 1)
    return " ".join([_plug(rest.removeprefix("plug "))] * int(count))


_READ: Mapping[str, Callable[[str], str]] = {
    "long_mm": lambda text: str((_sides(text) or ("", ""))[0]),
    "short_mm": lambda text: str((_sides(text) or ("", ""))[1]),
    "up_mm": lambda text: str(math.ceil(_millimetres(text))),
    "down_mm": lambda text: str(math.floor(_millimetres(text))),
    "mib": lambda text: str(int(_number(text.split()[0]) * _MIB[text.split()[1].lower()])),
    "mhz": lambda text: str(
        round(_number(text.split()[0]) * (1000 if text.split()[1].lower() in ("ghz", "ггц") else 1))
    ),
    "longest_mm": _longest_side,
    "up": lambda text: str(math.ceil(_number(text))),
    "milli": lambda text: str(int(text) * 1000),
    "ma": lambda text: str(round(_number(text) * 1000)),
    "grams": lambda text: str(
        round(_number(text.split()[0]) * (1000 if text.split()[1].lower() == "kg" else 1))
    ),
    "slots": _slot_words,
    "slots_each": _each_slot,
    "plug": _plug,
    "repeat": _repeated,
}


def _agreed(values: list[str]) -> str:
    return values[0] if len(set(values)) == 1 else ""


def _rated(values: list[str]) -> str:
    """The rated power where nothing contradicts it: what a supply gives at most (``most 600``) may be for a
    moment, states nothing by itself, and is never below it."""
    most = [text.removeprefix("most ") for text in values if text.startswith("most ")]
    rated = _agreed([text for text in values if not text.startswith("most ")] or [""])
    return rated if rated and all(int(text) >= int(rated) for text in most) else ""


def _most_standard(values: list[str]) -> str:
    """The highest of the rates that a standard lists: those above are overclocks."""
    standard = {rate for listed in RATES.values() for rate in listed}
    near = [rate for text in values for rate in standard if abs(rate - int(text)) <= 2]
    return str(max(near)) if near else ""


def _highest_rates(values: list[str]) -> str:
    best: dict[str, int] = {}
    for text in values:
        generation, _, rate = text.partition(":")
        best[generation] = max(best.get(generation, 0), int(rate))
    return " ".join(f"{generation}:{rate}" for generation, rate in sorted(best.items()))


_SETTLED: Mapping[str, Callable[[list[str]], str]] = {
    "agree": _agreed,
    "join": lambda values: (
        " ".join(dict.fromkeys(values)) if values[0][:1] != "x" and "pci" not in values else " ".join(values)
    ),
    "sum": lambda values: str(sum(map(int, values))),
    "rated": _rated,
    "most": _most_standard,
    "plus": "+".join,
    "plugs": lambda values: "+".join(" ".join(values).split()),
    "rates": _highest_rates,
}
