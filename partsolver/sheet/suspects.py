"""No picture at the first start: what to look at, in the order of likelihood for this plan.

The weights are judgement after public reports of board swaps (power plug of the processor, memory not seated,
monitor on the wrong socket, firmware older than the processor and a stray standoff are named most often) and
facts of the plan that make a cause likelier. Only their order is shown.
"""

from __future__ import annotations

from collections.abc import Callable

from partsolver.base.records import record
from partsolver.rules import picture_source
from partsolver.sheet.context import Context, Facts
from partsolver.sheet.step import no_facts
from partsolver.sheet.steps_connect import cpu_plug_facts
from partsolver.sheet.steps_start import displays, memory_touched, old_supply
from partsolver.sheet.steps_work import tall_cooler
from partsolver.sheet.tray import tray_of


@record
class Suspect:
    """One possible cause: id, weight for a plan (0 = cannot be the cause here), facts for its words."""

    id: str
    weight: Callable[[Context], int]
    facts: Callable[[Context], Facts] = no_facts


def _used(c: Context) -> bool:
    return any(
        source.condition != "new"
        for line in c.plan.draft.lines
        if line.slot in ("board", "cpu", "memory") and (source := line.offer or line.bundle) is not None
    )


def _powered_anew(c: Context) -> bool:
    return c.new("board", "psu", "case")


def _cpu_plug_weight(c: Context) -> int:
    if not _powered_anew(c) or c.board.cpu_plugs == ():
        return 0
    plug = cpu_plug_facts(c)
    awkward = bool(plug["adapter"]) or plug["fed"][:1] != plug["headers"][:1]
    return 40 + 10 * tall_cooler(c) + 10 * awkward


def _monitor_weight(c: Context) -> int:
    if not c.new("board", "cpu", "case") or not c.problem.survey.displays:
        return 0
    card, adapters = c.card, any(row[2] for row in displays(c))
    return 42 + 15 * (card is not None and bool(c.board.outputs)) + 5 * adapters


def _firmware_weight(c: Context) -> int:
    if not c.new("board", "cpu"):
        return 0
    return {"old": 60, "unknown": 45, "enough": 6}[c.firmware_state]


def _standoff_weight(c: Context) -> int:
    if not c.new("board", "case"):
        return 0
    tray = tray_of(c)
    doubtful = tray is None or bool(tray.letters("remove", "fixed", "look"))
    return 14 + 14 * doubtful


SUSPECTS: tuple[Suspect, ...] = (
    Suspect(
        "nothing-turns",
        lambda c: 50 if _powered_anew(c) else 25,
        lambda c: {"front": c.new("board", "case"), "panel": c.case.front_panel},
    ),
    Suspect(
        "monitor",
        _monitor_weight,
        lambda c: {
            "displays": displays(c),
            "card": None if c.card is None else c.card.name,
            "board_outputs": bool(c.board.outputs),
        },
    ),
    Suspect("cpu-plug", _cpu_plug_weight, cpu_plug_facts),
    Suspect(
        "memory",
        lambda c: (38 + 10 * c.parts.memory.mixed) if memory_touched(c) else 0,
        lambda c: {"modules": c.parts.memory.modules},
    ),
    Suspect("training", lambda c: 44 if memory_touched(c) and c.board.memory_generation == "ddr5" else 0),
    Suspect(
        "firmware",
        _firmware_weight,
        lambda c: {
            "needed": c.firmware_needed,
            "shipped": c.board.firmware_shipped,
            "state": c.firmware_state,
        },
    ),
    Suspect(
        "card",
        lambda c: 26 if c.card is not None and c.new("board", "case") else 0,
        lambda c: {"card": None if c.card is None else c.card.name},
    ),
    Suspect(
        "card-uefi",
        lambda c: 43 if c.fact(picture_source.ID, "card_uefi") is not None else 0,
        lambda c: {"card": c.fact(picture_source.ID, "card")},
    ),
    Suspect("standoff", _standoff_weight),
    Suspect("main-plug", lambda c: 20 if _powered_anew(c) else 0),
    Suspect("old-supply", lambda c: 18 if c.changes and old_supply(c) else 0),
    Suspect("setup-memory", lambda c: 10 if memory_touched(c) else 0),
    Suspect("socket", lambda c: (9 + 8 * _used(c)) if c.new("board", "cpu") else 0),
    Suspect(
        "dead",
        lambda c: (8 + 11 * _used(c)) if c.new("board", "cpu", "memory", "psu") else 0,
        lambda c: {"used": _used(c)},
    ),
)


def suspects_of(context: Context) -> tuple[Suspect, ...]:
    """Possible causes for a plan, the likeliest first; empty where nothing is changed."""
    if not context.changes:
        return ()
    weighed = [(suspect.weight(context), -place, suspect) for place, suspect in enumerate(SUSPECTS)]
    return tuple(s for weight, _, s in sorted(weighed, key=lambda row: (-row[0], -row[1])) if weight > 0)
