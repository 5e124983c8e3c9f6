"""Values that firmware often writes wrong, judged against a second witness. Without one they stay open.

Counts behind the rules: 63,098 public dumps ([D-dmi], see ``standards.smbios``): 40 % of socket codes name no
socket and many name a wrong one; modules of boards up to about 2010 carry the type of an older generation;
the chassis is "Desktop" in 90 %; 3 % of supply records have watts, several of them impossible; 4.8 % hold
more memory than their "maximum"; "max speed" is a property of the socket.
"""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.standards.cpu_signatures import Made
from partsolver.standards.memory import GENERATIONS, LARGEST_MODULE_MIB, RATES, SOLD_RATES, VOLTAGE_MV
from partsolver.standards.smbios import MODULES, PORTABLE_CHASSIS, SOLDERED, TELLING_CHASSIS, generation_of
from partsolver.survey.processor import BY_ID, Judged

# Data rates are printed rounded up or down: 1066/1067, 2666/2667 are the same grade.
_NEAR = 2
# Rates that two generations share, or that are another grade's clock written in place of its data rate.
_AMBIGUOUS_RATE = {"ddr": (200,), "ddr2": (400, 1066), "ddr3": (800,)}


def grade(generation: str, rate_mts: int) -> int | None:
    """The standard data rate that a printed rate stands for."""
    return next((rate for rate in RATES[generation] if abs(rate - rate_mts) <= _NEAR), None)


def sold_rate(generation: str, rate_mts: int) -> int | None:
    """The same for standard rates and those of overclocking profiles."""
    listed = (*RATES[generation], *SOLD_RATES[generation])
    return next((rate for rate in listed if abs(rate - rate_mts) <= _NEAR), None)


def memory_generation(
    word: str, speed_mts: int | None, millivolt: int | None, made: Made | None, running_mts: int | None = None
) -> Judged:
    """Generation of a module from its type word, rate and voltage, and from what the processor's controller
    drives (or, where the chipset has it, what boards for the processor take)."""
    typed = generation_of(word)
    if word.startswith("LPDDR"):
        return Judged(None, None, "memory of this kind is soldered")
    rates = [rate for rate in (speed_mts, running_mts) if rate]
    if made is not None and made.generations:
        return _driven(typed, rates, made)
    return _by_chipset(typed, rates, millivolt, made.memory_kinds if made is not None else ())


def _driven(typed: str | None, rates: Sequence[int], made: Made) -> Judged:
    """The controller sits in the processor: nothing but what it drives can work."""
    drives = made.generations
    against = () if typed is None or typed in drives else (typed,)
    if len(drives) == 1:
        if not made.memory_sure and typed != drives[0]:
            return Judged(None, drives[0], f"the processor probably drives {drives[0]} only")
        return Judged(drives[0], against=against, basis="" if typed == drives[0] else BY_ID)
    fitting = [g for g in drives if rates and all(grade(g, rate) for rate in rates)]
    if typed in drives and (not rates or any(sold_rate(str(typed), rate) for rate in rates)):
        return Judged(typed)
    # a rate of one generation may be the clock of another's
    alone = len(fitting) == 1 and not any(grade(g, 2 * rates[0]) for g in drives if g not in fitting)
    if typed not in drives and alone and made.memory_sure:
        return Judged(fitting[0], against=against, basis=BY_ID)
    return Judged(None, None, f"the processor drives {' or '.join(drives)}")


def _by_chipset(
    typed: str | None, rates: Sequence[int], millivolt: int | None, kinds: Sequence[str]
) -> Judged:
    """The chipset decides, and nothing tells which it is: firmware's word with a second witness."""
    if typed is None:
        return Judged(None, None, "the memory type says nothing of the generation")
    if kinds and typed not in kinds:
        return Judged(None, None, f"boards for this processor take {', '.join(kinds)}, firmware says {typed}")
    if millivolt is not None and millivolt == VOLTAGE_MV[typed]:
        return Judged(typed)
    if typed in ("sdr", "ddr"):
        # the word of the first generation is also written for later ones, whose clocks are its rates
        later = [g for g in kinds if GENERATIONS.index(g) > GENERATIONS.index(typed)]
        if kinds and not later:
            return Judged(typed)
        return Judged(None, None, f"{typed} is also written for later generations")
    speed = rates[0] if rates else None
    if speed is None or sold_rate(typed, speed) is None:
        why = "no data rate to compare with" if speed is None else f"{speed} MT/s is no rate of {typed}"
        return Judged(None, typed, why)
    if typed == "ddr2" and speed >= 1000:
        # the type word of an older generation on a newer board is the usual fault, and ddr3 shares this rate
        return Judged(None, None, f"{speed} MT/s occurs with ddr2 and, more often, with ddr3")
    return Judged(typed)


def memory_rate(generation: str | None, speed_mts: int | None, running_mts: int | None) -> Judged:
    """Rated data rate. Half values occur (the clock), and some rates may be another grade's clock. Rates of
    overclocking profiles are taken as they are."""
    if generation is None or speed_mts is None:
        return Judged(None, None, "the data rate stands on the module's label")
    found = grade(generation, speed_mts)
    if found is not None and found not in _AMBIGUOUS_RATE.get(generation, ()):
        return Judged(found)
    double = grade(generation, 2 * speed_mts) if generation != "sdr" else None
    if found is not None:
        if double is None:
            return Judged(found)
        return Judged(None, None, f"{speed_mts} may be the clock of {double} MT/s")
    if double is not None:
        return Judged(
            None, double, f"{speed_mts} is no rate of {generation}; it is the clock of {double} MT/s"
        )
    sold = sold_rate(generation, speed_mts)
    if sold is not None:
        return Judged(sold)
    return Judged(None, None, f"{speed_mts} is no rate that {generation} modules are sold with")


def memory_slots(listed: int, modules: int) -> Judged:
    """Slots that firmware lists. Boards with two slots list four as well (778 of 782 dumps of one chipset
    family whose firmware lists four hold at most two modules, [D-dmi]): more than two are believed only where
    modules fill more than half of them."""
    if listed <= 2 or modules * 2 > listed:
        return Judged(listed)
    return Judged(
        None,
        listed,
        f"firmware lists {listed}, {modules} hold a module; boards with fewer list as many: count",
    )


def error_correction(wide: bool | None, corrects: bool, registered: bool | None, made: Made | None) -> Judged:
    """Whether a module has check bits. 64 bits of width mean none. 72 bits are also canned text (14 of 69
    desktop dumps that say so, [D-dmi]): they are believed where the controller has nothing else, or where
    the module is registered."""
    if not wide:
        return Judged(False if wide is False else None)
    if made is not None and made.one("ecc") == "none":
        return Judged(None, None, "firmware says 72 bits, but this processor's controller corrects nothing")
    if corrects and (registered is True or (made is not None and made.one("ecc") == "all")):
        return Judged(True)
    why = "72 bits of width are sometimes canned text; count the chips of a module"
    return Judged(None, True if corrects else None, why)


def registered_modules(said: bool | None, made: Made | None) -> Judged:
    """Whether a module is registered: what the controller cannot run is not in a PC that runs."""
    rule = made.one("registered") if made is not None and made.memory_sure else None
    if rule in ("never", "required"):
        must = rule == "required"
        return Judged(
            must, against=() if said in (None, must) else (str(said),), basis="" if said == must else BY_ID
        )
    return Judged(said)


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
