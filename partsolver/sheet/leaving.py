"""What leaves the PC: parts that are replaced, their mass, and where they belong."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Literal

from partsolver.assembly.waste import drive_mass, typical
from partsolver.base.records import record
from partsolver.problem.candidates import SLOTS, SlotName
from partsolver.sheet.context import Context

# hand-on: works and can be used by somebody; waste: electronics waste; wipe: data first, then hand on.
Where = Literal["hand-on", "waste", "wipe"]


@record
class Leaving:
    """One part that goes: slot, name, how many, mass in grams (of all), whether that is only usual, where it
    belongs; pc: the PC of the fleet that gets it."""

    slot: SlotName
    name: str
    count: int
    mass_g: int
    usual: bool
    where: Where
    pc: str | None = None


def leaving(context: Context) -> tuple[Leaving, ...]:
    """Replaced parts in slot order."""
    found: list[Leaving] = []
    for slot in SLOTS:
        memory = context.parts.memory
        if not context.new(slot) or (slot == "memory" and memory.with_kept and not memory.left_out):
            continue
        part = _one(context, slot)
        if part is not None:
            found += _shared_out(part, context)
    return tuple(found)


def _shared_out(part: Leaving, c: Context) -> Iterator[Leaving]:
    """What each other PC of a fleet gets of a part, and what is left to go."""
    each, left = part.mass_g // part.count, part.count
    left -= sum(pieces for slot, pieces in c.passing.again if slot == part.slot)
    for slot, pieces, pc in c.passing.given:
        if slot == part.slot:
            left -= pieces
            yield replace(part, count=pieces, mass_g=each * pieces, where="hand-on", pc=pc)
    if left:
        yield replace(part, count=left, mass_g=each * left)


def _one(c: Context, slot: SlotName) -> Leaving | None:
    survey = c.problem.survey
    if slot == "memory":
        memory = c.parts.memory
        count = memory.left_out if memory.with_kept else sum(m.count for m in survey.memory)
        works = survey.pc.memory_works
        mass = typical(c.problem, "module")
        return (
            Leaving(
                slot, c.name("kept-memory"), count, count * mass.grams, True, "hand-on" if works else "waste"
            )
            if count
            else None
        )
    if slot == "cooler":
        if survey.cooler is None:
            return None
        mass = typical(c.problem, slot, survey.cooler.mass_g)
        return Leaving(slot, c.name("kept-cooler"), 1, mass.grams, not mass.stated, "hand-on")
    if slot == "drive":
        drive = survey.system_drive
        if drive is None:
            return None
        return Leaving(slot, drive.name, 1, drive_mass(c.problem, drive).grams, True, "wipe")
    if slot == "graphics":
        cards = c.replaced_cards
        mass = typical(c.problem, "card")
        name = ", ".join(card.name for card in cards)
        return Leaving(slot, name, len(cards), len(cards) * mass.grams, True, "hand-on") if cards else None
    works = {
        "board": survey.pc.board_works,
        "cpu": survey.pc.cpu_works,
        "psu": survey.psu.condition in ("good", None) and not _doubtful_years(c),
        "case": True,
    }[slot]
    stated = {
        "board": survey.board.mass_g,
        "cpu": survey.cpu.mass_g,
        "psu": survey.psu.mass_g,
        "case": survey.case.mass_g,
    }[slot]
    mass = typical(c.problem, slot, stated)
    return Leaving(
        slot, c.name(f"kept-{slot}"), 1, mass.grams, not mass.stated, "hand-on" if works else "waste"
    )


def _doubtful_years(c: Context) -> bool:
    """Whether the present supply is from the years of faulty capacitors: nobody gets it handed on."""
    year, settings = c.problem.survey.psu.year, c.problem.settings
    return (
        year is not None
        and settings["faulty_capacitor_from_year"] <= year <= settings["faulty_capacitor_to_year"]
    )
