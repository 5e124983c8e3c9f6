"""The case's front audio plug and the board's header. Never refuses.

HD Audio and AC'97 share the plug's shape. An AC'97 panel on an HD header plays, but the board cannot sense
what is plugged in, and the firmware may need the setting for it (reference case A19). Not checked: separate
wires.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import part_question, together_today
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "ports.front_audio"
STATEMENT = "The front audio plug of the case suits the board's header."
SOURCE = (
    "Intel front panel I/O connectivity design guide (A29286); board manual DG41AN, tables 6 and 7; case A19"
)
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "case")
READS: Reads = {"board": ("front_audio",), "case": ("front_audio",)}
SURVEY: tuple[str, ...] = ()
REFUSES = False


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    plug, header = parts.case.front_audio, parts.board.front_audio
    ids = (parts.board.id, parts.case.id)
    if plug == "none":
        return ()
    if together_today(parts, "board", "case"):
        return (fits(ID, ids, plug or header, today="yes"),)
    if plug is None:
        return (unknown(ID, part_question(parts.candidate("case"), "front_audio"), ids),)
    if header is None:
        return (unknown(ID, part_question(parts.candidate("board"), "front_audio"), ids, plug=plug),)
    facts: dict[str, str] = {"header": header, "plug": plug}
    if header == "none":
        facts["unused"] = "yes"
    elif header != plug:
        facts["jack_sense"] = "no"
        adapters = (
            e for e in problem.extras_of("front-audio-adapter") if plug in e.gives and header in e.takes
        )
        suggested = next(adapters, None)
        if suggested is not None:
            facts["adapter"] = suggested.id
    return (fits(ID, ids, plug, **facts),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing to refuse and nothing bought: an adapter is a suggestion."""
