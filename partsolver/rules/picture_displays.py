"""Every display the owner needs is reached, directly or through an adapter that is on sale.

Its own mode first; where no link carries that, its own size at a lower rate (120 or 60 Hz, 30 for 3840 pixels and more), which is said.

The outputs are those of the kept graphics card if it has a place, else the board's. Each carries one display;
the adapters are chosen by assembly/displays. A mode that is not known is taken to fit. Not checked: how many
displays the graphics drive at once, sound, and copy protection.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from partsolver.assembly.cards import graphics_card
from partsolver.assembly.displays import Link, Reach, assign, outputs
from partsolver.assembly.pictures import board_makes_picture
from partsolver.assembly.plugs import all_kept, question
from partsolver.catalog.records import Case
from partsolver.plan.draft import Draft, Line, Need
from partsolver.plan.findings import Finding, at_most, fails, fits, unknown
from partsolver.problem.candidates import Candidate, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.survey.model import Display

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "picture.displays"
STATEMENT = (
    "Every required display is reached at its own size by an output of its own, directly or through an"
    " adapter."
)
SOURCE = "DVI 1.0, HDMI and DisplayPort payloads, adapters and VESA CVT clocks: standards/video"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "case")
READS: Reads = {
    "board": ("graphics_score", "outputs", "slots", "year"),
    "cpu": ("graphics_score",),
    "case": ("max_card_length_mm", "slot_height", "slot_openings"),
}
SURVEY: tuple[str, ...] = ("cards", "cpu", "displays")


def _options(reach: Reach) -> tuple[tuple[str, int], ...]:
    return () if reach.link is None else tuple((extra, 1) for extra in reach.link.adapters)


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    given = outputs(problem, parts.board, parts.board_kept, parts.cpu, parts.case)
    if given is None or all_kept(parts, SLOTS):
        return ()
    return tuple(
        Need(ID, reach.display, "display-adapter", _options(reach), _facts(reach))
        for reach in assign(problem, given)
        if not reach.open and (reach.link is None or reach.link.adapters)
    )


def _facts(reach: Reach) -> tuple[tuple[str, str | int], ...]:
    if reach.link is None:
        return (("display", reach.display),)
    return (("display", reach.display), ("input", reach.link.input), ("output", reach.link.output))


def _version_question(draft: Draft, problem: Problem, where: str) -> str:
    """Which socket's version decides: the display's, the card's or the board's."""
    if where == "inputs":
        return "display.inputs"
    parts = draft.parts
    if graphics_card(problem, parts.board, parts.case) is not None:
        return "card.outputs"
    return question(parts.candidate("board"), "outputs")


def _shown(
    reach: Reach, link: Link, line: Line | None, wanted: Sequence[Display], ids: tuple[str, ...]
) -> list[Finding]:
    """What is said of a display that gets a picture; ``line``: the adapter that is bought for it."""
    facts: dict[str, str | int] = {
        "display": reach.display,
        "input": link.input,
        "kind": link.kind,
        "output": link.output,
    }
    if link.fallback_hz:
        facts["fallback_hz"] = link.fallback_hz
        facts["own_hz"] = next((d.refresh_hz for d in wanted if d.name == reach.display), None) or 60
    if line is not None:
        facts["adapter"] = line.item
    # The limit shown is the link's with the first adapter that serves; each of them carries the mode.
    if link.needed_khz and line is None:
        return [at_most(ID, link.needed_khz, link.limit_khz, "kHz", ids, **facts)]
    found = [fits(ID, ids, link.needed_khz or None, **facts)]
    if not link.needed_khz:
        # the plug fits; whether the link carries the picture depends on a size that nobody told
        found.append(unknown(ID, "display.width_px", ids, display=reach.display))
    return found


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    ids = (parts.board.id,)
    wanted = [display for display in problem.survey.displays if display.required]
    if not wanted:
        return ()
    if all_kept(parts, SLOTS) and not problem.graphics_left_out:
        return (fits(ID, ids, len(wanted), today="yes"),)
    given = outputs(problem, parts.board, parts.board_kept, parts.cpu, parts.case)
    if given is None:
        if graphics_card(problem, parts.board, parts.case) is not None:
            return (unknown(ID, "card.outputs", ids),)
        return (unknown(ID, question(parts.candidate("board"), "outputs"), ids),)
    findings: list[Finding] = []
    for reach in assign(problem, given):
        link = reach.link
        line = draft.bought_for(ID, reach.display)
        if reach.open:
            asked = _version_question(draft, problem, reach.open)
            findings.append(unknown(ID, asked, ids, display=reach.display, version="unknown"))
            continue
        if link is None or (link.adapters and line is None):
            findings.append(fails(ID, ids, "dark", display=reach.display, outputs=" ".join(given) or "none"))
        elif reach.assumed:
            findings.append(unknown(ID, "display.inputs", ids, display=reach.display))
        else:
            findings += _shown(reach, link, line, wanted, ids)
    return tuple(findings)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    if not any(display.required for display in problem.survey.displays):
        return
    processors = picks.classes("cpu", "no graphics", lambda c: (c.part.graphics_score == 0, c.kept))
    conditions: dict[Any, Any] = {}  # (display, options) -> conditions, one of them true at most
    for case, case_literal in picks.candidates("case"):

        def shown(candidate: Candidate[Any], case: Case = case.part) -> Any:
            card = graphics_card(problem, candidate.part, case)
            dark = board_makes_picture(problem, candidate.part, candidate.kept) is False
            given = candidate.part.outputs if card is None else card.outputs
            return card is not None or not dark, given, candidate.kept

        for (without_cpu, given, board_kept), board in picks.classes(
            "board", f"{ID} in {case.key}", shown
        ).items():
            for (no_graphics, cpu_kept), cpu in processors.items():
                working = () if no_graphics and not without_cpu else given
                today = board_kept and cpu_kept and case.kept and not problem.graphics_left_out
                if working is None or today:
                    continue
                here = picks.both(case_literal, board, cpu)
                for reach in assign(problem, working):
                    if not reach.open and (reach.link is None or reach.link.adapters):
                        conditions.setdefault((reach.display, _options(reach)), []).append(here)
    for number, ((display, options), wheres) in enumerate(conditions.items()):
        picks.need(ID, f"{display}:{number}", options, wheres, on)
