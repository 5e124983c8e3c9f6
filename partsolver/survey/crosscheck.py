"""Values that firmware often writes wrong, judged against a second witness. Without one they stay open.

Counts behind the rules: 63,098 public dumps ([D-dmi], see ``standards.smbios``): 40 % of socket codes name no
socket and many name a wrong one; modules of boards up to about 2010 carry the type of an older generation;
the chassis is "Desktop" in 90 %; 3 % of supply records have watts, several of them impossible; 4.8 % hold
more memory than their "maximum"; "max speed" is a property of the socket.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from partsolver.base.records import record
from partsolver.standards.cpu_signatures import Made, agree, made_for
from partsolver.standards.memory import LARGEST_MODULE_MIB, RATES
from partsolver.standards.smbios import (
    MODULES,
    PORTABLE_CHASSIS,
    SOLDERED,
    TELLING_CHASSIS,
    generation_of,
    socket_in,
    socket_of,
)
from partsolver.survey.facts import Fact

# Data rates are printed rounded up or down: 1066/1067, 2666/2667 are the same grade.
_NEAR = 2
# Sockets whose processors also run in boards of a neighbouring socket: the processor does not tell the
# board's.
_SHARED = frozenset({"AM2", "AM2+", "AM3", "AM3+", "FM2", "FM2+"})
# Rates that two generations share, or that are another grade's clock written in place of its data rate.
_AMBIGUOUS_RATE = {"ddr2": (400, 1066), "ddr3": (800,)}


@record
class Judged:
    """A value that may stand, or None with what it might be and why it does not stand."""

    value: Any = None
    suggested: Any = None
    why: str = ""


def made_of(facts: Sequence[Fact]) -> Made | None:
    """Sockets and generations of the processor from its id, when all sources give one id."""
    ids = sorted({str(fact.value) for fact in facts if fact.path == "cpu.seen_signature"})
    if len(ids) != 1:
        return None
    vendor, family, model = ids[0].split()
    return made_for(vendor, int(family), int(model))


def cpu_socket(facts: Sequence[Fact]) -> Judged:
    """Socket of the processor: its own id and the firmware's word must agree on one."""
    made = made_of(facts)
    named = [s for f in facts if f.path == "cpu.seen_upgrade" and (s := socket_of(str(f.value)))]
    written = [s for f in facts if f.path == "cpu.seen_designation" and (s := socket_in(str(f.value)))]
    said = [*named, *written]
    possible = made.sockets if made else ()
    if len(possible) == 1:
        if said and all(agree(possible[0], word) for word in said):
            return Judged(possible[0])
        if said:
            return Judged(
                None,
                possible[0],
                f"the processor's id belongs to {possible[0]}, firmware says {', '.join(said)}",
            )
        return Judged(
            None, possible[0], f"the processor's id belongs to {possible[0]}, firmware names no socket"
        )
    fitting = [socket for socket in possible if said and all(agree(socket, word) for word in said)]
    if len(fitting) == 1 and named and written:
        return Judged(fitting[0])
    if possible:
        return Judged(
            None,
            fitting[0] if len(fitting) == 1 else None,
            f"processors with this id exist for {', '.join(possible)}",
        )
    if made and not possible:
        return Judged(None, None, "processors with this id are soldered")
    # without the processor's id two words of the firmware remain; both come from one hand
    suggested = said[0] if said and all(word == said[0] for word in said) else None
    return Judged(
        None, suggested, "no second witness for the firmware's word" if said else "no source names the socket"
    )


def board_socket(cpu: Judged) -> Judged:
    """The board's socket follows from the processor's, except where processors fit a neighbouring socket
    too."""
    if cpu.value is not None and cpu.value in _SHARED:
        return Judged(
            None, cpu.value, f"processors for {cpu.value} also run in boards of a neighbouring socket"
        )
    return cpu


def grade(generation: str, rate_mts: int) -> int | None:
    """The standard data rate that a printed rate stands for."""
    return next((rate for rate in RATES[generation] if abs(rate - rate_mts) <= _NEAR), None)


def memory_generation(
    word: str, speed_mts: int | None, millivolt: int | None, made: Made | None, running_mts: int | None = None
) -> Judged:
    """Generation of a module from its type word, rate and voltage, and from what the processor's controller
    drives."""
    typed = generation_of(word)
    drives = tuple(g for g in made.generations if g in RATES) if made else ()
    rates = [rate for rate in (speed_mts, running_mts) if rate]
    if made and made.generations and not drives:
        return Judged(None, None, "the processor drives a generation older than ddr2")
    if word.startswith("LPDDR"):
        return Judged(None, None, "memory of this kind is soldered")
    if drives:
        if typed in drives:
            return Judged(typed)
        if typed is None and len(drives) == 1:
            return Judged(drives[0])  # the controller sits in the processor: nothing else can work
        fitting = [g for g in drives if rates and all(grade(g, rate) for rate in rates)]
        # a rate of one generation may be the clock of another's
        alone = len(fitting) == 1 and not any(grade(g, 2 * rates[0]) for g in drives if g not in fitting)
        if typed is None and alone:
            return Judged(fitting[0])
        if typed is not None:
            return Judged(
                None,
                drives[0] if len(drives) == 1 else None,
                f"the processor drives {' or '.join(drives)} only",
            )
        return Judged(None, None, f"the processor drives {' or '.join(drives)}")
    if typed is None:
        return Judged(None, None, "the memory type says nothing of the generation")
    volts = {"ddr2": 1800, "ddr3": 1500, "ddr4": 1200, "ddr5": 1100}.get(typed)
    if millivolt is not None and millivolt == volts:
        return Judged(typed)
    if speed_mts is None or grade(typed, speed_mts) is None:
        why = (
            "no data rate to compare with" if speed_mts is None else f"{speed_mts} MT/s is no rate of {typed}"
        )
        return Judged(None, typed, why)
    if typed == "ddr2" and speed_mts >= 1000:
        # the type word of an older generation on a newer board is the usual fault, and ddr3 shares this rate
        return Judged(None, None, f"{speed_mts} MT/s occurs with ddr2 and, more often, with ddr3")
    return Judged(typed)


def memory_rate(generation: str | None, speed_mts: int | None, running_mts: int | None) -> Judged:
    """Rated data rate. Half values occur (the clock), and 400, 800 and 1066 may be another grade's."""
    if generation is None or speed_mts is None:
        return Judged(None, None, "the data rate stands on the module's label")
    found = grade(generation, speed_mts)
    if found is not None and found not in _AMBIGUOUS_RATE.get(generation, ()):
        return Judged(found)
    double = grade(generation, 2 * speed_mts)
    if found is not None:
        if double is None:
            return Judged(found)
        return Judged(None, None, f"{speed_mts} may be the clock of {double} MT/s")
    if double is not None:
        return Judged(
            None, double, f"{speed_mts} is no rate of {generation}; it is the clock of {double} MT/s"
        )
    return Judged(None, None, f"{speed_mts} is no standard rate of {generation}")


def module_kind(form: str | None) -> Judged:
    """Kind of module from the form factor word; RIMM and the like are noise on boards of DDR2 and later."""
    kind = MODULES.get(form or "")
    if kind:
        return Judged(kind)
    why = "firmware says the memory is soldered" if form in SOLDERED else f"form factor {form or 'not given'}"
    return Judged(None, None, why)


def memory_maximum(most_mib: int, installed_mib: int, slots: int | None, generation: str | None) -> Judged:
    """Maximum memory stays open always; a plausible figure is suggested."""
    if most_mib < max(installed_mib, 1):
        return Judged(None, None, f"less than the {installed_mib} MiB installed: wrong")
    plausible = most_mib & (most_mib - 1) == 0 or ((slots or 0) and most_mib % (slots or 1) == 0)
    if slots and generation and most_mib > slots * LARGEST_MODULE_MIB[generation]:
        return Judged(None, None, f"more than {slots} of the largest {generation} modules: wrong")
    if most_mib < 512 or not plausible:
        return Judged(None, None, "not plausible")
    return Judged(None, most_mib, "often wrong; the board's manual tells")


def supply(watts: int) -> Judged:
    """Supply watts are never taken from firmware: canned texts and other supplies' figures are common."""
    if 80 <= watts <= 2000:
        return Judged(None, None, "firmware's figure may be another supply's; the label tells")
    return Judged(None, None, "impossible figure; the label tells")


def chassis(word: str) -> tuple[str, str | None]:
    """(evidence, remark) of a chassis word."""
    if word in PORTABLE_CHASSIS:
        return (
            f"chassis type {word}",
            f"Firmware calls this PC {word!r}: portable PCs are outside what can be planned here",
        )
    if word in TELLING_CHASSIS:
        return f"chassis type {word}: probably a maker's small case, measure it", None
    return f"chassis type {word} says nothing of the size", None
