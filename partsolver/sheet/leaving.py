"""What leaves the PC: parts that are replaced, their mass, and where they belong."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from partsolver.problem import SLOTS, SlotName
from partsolver.sheet.context import Context

# hand-on: works and can be used by somebody; waste: electronics waste; wipe: data first, then hand on.
Where = Literal["hand-on", "waste", "wipe"]
#: Usual mass in grams where neither survey nor catalogue states one (from memory; weigh when it matters).
USUAL_MASS_G: dict[str, int] = {
    "board": 600, "cpu": 40, "module": 30, "cooler": 300, "psu": 1500, "case": 6000, "ssd": 60, "hdd35": 600, "hdd25": 100,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Leaving:
    """One part that goes: slot, name, how many, mass in grams (of all), whether that is only usual, where it belongs."""

    slot: SlotName
    name: str
    count: int
    mass_g: int
    usual: bool
    where: Where


def leaving(context: Context) -> tuple[Leaving, ...]:
    """Replaced parts in slot order."""
    found = []
    for slot in SLOTS:
        if not context.new(slot) or (slot == "memory" and context.parts.memory.with_kept):
            continue
        part = _one(context, slot)
        if part is not None:
            found.append(part)
    return tuple(found)


def _one(c: Context, slot: SlotName) -> Leaving | None:
    survey = c.problem.survey
    if slot == "memory":
        count = sum(m.count for m in survey.memory)
        works = survey.pc.memory_works
        mass = count * USUAL_MASS_G["module"]
        return Leaving(slot, c.name("kept-memory"), count, mass, True, "hand-on" if works else "waste") if count else None
    if slot == "cooler":
        if survey.cooler is None:
            return None
        stated = survey.cooler.mass_g
        return Leaving(slot, c.name("kept-cooler"), 1, stated or USUAL_MASS_G[slot], stated is None, "hand-on")
    if slot == "drive":
        drive = survey.system_drive
        if drive is None:
            return None
        mass = USUAL_MASS_G.get(drive.kind or "hdd35", USUAL_MASS_G["hdd35"])
        return Leaving(slot, drive.name, 1, mass, True, "wipe")
    works = {
        "board": survey.pc.board_works, "cpu": survey.pc.cpu_works, "psu": survey.psu.condition in ("good", None), "case": True,
    }[slot]  # fmt: skip
    stated = {"board": survey.board.mass_g, "cpu": survey.cpu.mass_g, "psu": survey.psu.mass_g, "case": survey.case.mass_g}[slot]
    return Leaving(slot, c.name(f"kept-{slot}"), 1, stated or USUAL_MASS_G[slot], stated is None, "hand-on" if works else "waste")
