"""What the processor's own number decides about a PC, against the words of its firmware.

The number (CPUID signature) wins over a word; the word is kept as evidence (``Judged.against``). Where the
number leaves several sockets, a word decides only if it is not one that firmware writes on boards of another
of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from partsolver.base.records import record
from partsolver.standards.cpu_signatures import (
    NEIGHBOURS,
    SOLDERED,
    STANDS_FOR,
    Made,
    agree,
    made_for,
    may_mean,
)
from partsolver.standards.smbios import PORTABLE_CHASSIS, socket_in, socket_of
from partsolver.survey.facts import Fact, Facts

# Cases in which a processor of the desktop line's number may sit in another package.
_CLOSED_SHAPES = PORTABLE_CHASSIS | {"All In One", "Mini PC", "Stick PC"}


@record
class Judged:
    """A value that may stand, or None with what it might be and why it does not stand.

    ``against``: what a source says otherwise of a value that stands all the same; ``basis``: what it rests on
    where that is not the source's own word.
    """

    value: Any = None
    suggested: Any = None
    why: str = ""
    against: tuple[str, ...] = ()
    basis: str = ""


BY_ID = "by the processor's id"


def made_of(facts: Sequence[Fact]) -> Made | None:
    """What the processor's number decides, when all sources give one number (some without its stepping)."""
    ids = {tuple(str(fact.value).split()) for fact in facts if fact.path == "cpu.seen_signature"}
    longest = {item for item in ids if not any(item != other and other[: len(item)] == item for other in ids)}
    if len(longest) != 1:
        return None
    vendor, family, model, *stepping = longest.pop()
    return made_for(vendor, int(family), int(model), int(stepping[0]) if stepping else None)


# Classes built of modules of two cores that share a part of their units. Systems call such a module a core of two
# threads (Linux, Documentation/x86/topology.rst: AMD's compute unit core is a thread there, from memory); makers,
# sellers and firmware count its cores.
_OF_MODULES = frozenset({"bulldozer", "piledriver", "steamroller", "excavator"})


def with_cores_of_modules(sources: Sequence[Facts]) -> list[Facts]:
    """The sources with the cores of such a processor counted as its maker does, so that it is not another one
    than in a catalogue."""
    made = made_of([fact for source in sources for fact in source.facts])
    if made is None or made.one("architecture_class") not in _OF_MODULES:
        return list(sources)
    return [replace(source, facts=tuple(_cores(fact, source) for fact in source.facts)) for source in sources]


def _cores(fact: Fact, source: Facts) -> Fact:
    threads = [other.value for other in source.facts if other.path == "cpu.threads"]
    if fact.path != "cpu.cores" or threads[:1] != [2 * fact.value]:
        return fact
    return replace(
        fact, value=threads[0], evidence=f"{fact.evidence}: {fact.value} modules of two cores by its id"
    )


def _words(facts: Sequence[Fact]) -> tuple[list[str], list[str]]:
    """Sockets that firmware names: in its free text, and by its code."""
    written = [s for f in facts if f.path == "cpu.seen_designation" and (s := socket_in(str(f.value)))]
    named = [s for f in facts if f.path == "cpu.seen_upgrade" and (s := socket_of(str(f.value)))]
    return written, named


def cpu_socket(facts: Sequence[Fact]) -> Judged:
    """Socket of the processor. ``facts``: those of the processor, and the chassis word."""
    made = made_of(facts)
    written, named = _words(facts)
    said = list(dict.fromkeys([*written, *named]))
    if made is None:
        # without the processor's id two words of the firmware remain; both come from one hand
        suggested = said[0] if len(said) == 1 else None
        why = "no second witness for the firmware's word" if said else "no source names the socket"
        return Judged(None, suggested, why)
    possible = made.sockets
    if not possible:
        return Judged(None, None, "processors with this id are soldered")
    if len(possible) == 1 and not made.may_be_soldered:
        return _only(possible[0], made, said, facts)
    return _one_of(possible, made, written, named)


def _only(socket: str, made: Made, said: Sequence[str], facts: Sequence[Fact]) -> Judged:
    """The number gives one socket."""
    shapes = {str(fact.value) for fact in facts if fact.path == "case.seen_chassis"}
    if not made.socket_sure:
        return Judged(None, socket, f"the processor's id probably belongs to {socket}")
    if shapes & _CLOSED_SHAPES and made.has_mobile_package:
        return Judged(None, socket, f"on a desktop board {socket}; in a PC of this shape perhaps soldered")
    against = tuple(word for word in said if not agree(socket, word))
    return Judged(socket, against=against, basis="" if said and not against else BY_ID)


def _one_of(possible: tuple[str, ...], made: Made, written: Sequence[str], named: Sequence[str]) -> Judged:
    """The number leaves several: firmware's text first, then its code, each only if it can mean one of them
    alone."""
    places = (*possible, SOLDERED) if made.may_be_soldered else possible
    told = f"processors with this id exist for {', '.join(possible)}" + (
        " and soldered" if made.may_be_soldered else ""
    )
    for words in (written, named):
        meant = {may_mean(word, places) for word in words} - {()}
        if len(meant) == 1 and len(only := meant.pop()) == 1 and made.socket_sure:
            return Judged(only[0])
        if meant:
            break
    likely = {socket for word in (*written, *named) for socket in possible if agree(socket, word)}
    if len(likely) == 1:
        return Judged(None, likely.pop(), told)
    return Judged(None, None if likely else possible[0], told)


def board_socket(cpu: Judged, facts: Sequence[Fact], generation: str | None = None) -> Judged:
    """The board's socket follows from the processor's, except where processors fit a neighbouring socket
    too: there firmware's text (a name that only the board can have), else a person decides.
    ``generation``: that of the modules in it."""
    if cpu.value is None or cpu.value not in NEIGHBOURS:
        return cpu
    near = NEIGHBOURS[cpu.value]
    written, _ = _words(facts)
    newer = [socket for socket in near if socket in STANDS_FOR and socket in written]
    if len(newer) == 1:
        return Judged(newer[0], against=cpu.against)
    likely = near
    if cpu.value == "AM3" and generation is not None:
        # AM3 and AM3+ boards have slots for DDR3, AM2+ boards for DDR2 (common practice)
        likely = ("AM2+",) if generation == "ddr2" else ("AM3", "AM3+")
    return Judged(
        None, likely[0], f"processors for {cpu.value} also run in boards with {' or '.join(near[1:])}"
    )


def from_signature(made: Made) -> dict[str, Judged]:
    """Further facts of processor and board by path that the number decides or bounds."""
    found: dict[str, Judged] = {}
    if made.rest_sure:
        name = made.one("architecture_class")
        found["cpu.architecture_class"] = Judged(name, basis=BY_ID)
        if made.x86_level is not None:
            found["cpu.x86_level"] = Judged(made.x86_level, basis=BY_ID)
        if made.one("graphics") == "none":
            found["cpu.graphics_score"] = Judged(0, basis=BY_ID)
    if made.years is not None:
        first, last = made.years
        until = "today" if last > 2100 else str(last)
        found["cpu.year"] = Judged(None, first, f"processors with this id were sold from {first} to {until}")
    if made.generations:
        found |= _memory_facts(made)
    if made.memory_sure and made.one("registered") in ("never", "required"):
        found["board.memory_registered"] = Judged(made.one("registered") == "required", basis=BY_ID)
    return found


def _memory_facts(made: Made) -> dict[str, Judged]:
    """Rates and channels of the processor's own controller."""
    text = " ".join(f"{name}:{low}" for name, low, _ in sorted(made.rates))
    spread = [f"{name} {low} to {high} MT/s" for name, low, high in made.rates if low != high]
    why = f"over the line of this id: {', '.join(spread)}" if spread else "from one weak source"
    found = {"cpu.memory_rates": Judged(None, text, why)}
    if made.memory_sure and not spread:
        found["cpu.memory_rates"] = Judged(text, basis=BY_ID)
    if made.channels is not None and made.memory_sure:
        found["cpu.memory_channels"] = Judged(made.channels, basis=BY_ID)
        one = made.channels == 1  # a board cannot have more than the processor; it may have fewer
        found["board.memory_channels"] = (
            Judged(1, basis=BY_ID)
            if one
            else Judged(
                None, made.channels, f"the processor drives {made.channels}; the board may have fewer"
            )
        )
    return found
