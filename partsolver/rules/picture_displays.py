"""Every display the owner needs is reached, directly or through an adapter that is on sale.

Its own mode first; where no link carries that, its own size at a lower rate (120 or 60 Hz, 30 for 3840 pixels
and more), which is said.

The outputs are those of the graphics card if it has a place and is not dark (assembly/pictures), else the
board's. Each carries one display, and their source makes so many pictures at once as its maker states; two
where nobody stated it, more are asked. Graphics of known processors send less over HDMI than the version of
the board's socket says, or have clock generators for fewer pictures. On an analogue link a mode needs the clock of
the usual blanking; where only that of reduced blanking fits, it is asked whether the display takes it. The adapters
are chosen by assembly/displays. A mode that is not known is taken to fit. Not checked: sound, and copy protection.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from partsolver.assembly.cards import card_question
from partsolver.assembly.displays import (
    USUAL_REFRESH_HZ,
    Link,
    Reach,
    analogue_khz,
    assign,
    needed_khz,
)
from partsolver.assembly.pictures import (
    SURE_PICTURES,
    Source,
    board_makes_picture,
    display_unit,
    picture_card,
    source_of,
)
from partsolver.assembly.plugs import all_kept, question
from partsolver.catalog.records import Case
from partsolver.plan.draft import Draft, Line, Need
from partsolver.plan.findings import Finding, at_most, fails, fits, unknown
from partsolver.problem.candidates import Candidate, GraphicsChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.video import NO_LIMITS, DisplayUnit
from partsolver.survey.model import Display

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "picture.displays"
STATEMENT = (
    "Every required display is reached at its own size by an output of its own, directly or through an"
    " adapter."
)
SOURCE = (
    "DVI 1.0, HDMI and DisplayPort payloads, adapters and VESA CVT clocks; limits of processor graphics: start"
    " reference, section 7.1"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "case", "graphics")
READS: Reads = {
    "board": ("firmware_modes", "graphics_score", "max_displays", "outputs", "slots", "year"),
    "cpu": ("graphics_score", "max_displays", "socket", "year"),
    "case": ("max_card_length_mm", "slot_height", "slot_openings"),
    "graphics": ("card",),
}
SURVEY: tuple[str, ...] = ("cards", "cpu", "displays")


def _assigned(problem: Problem, source: Source | None, given: tuple[str, ...]) -> tuple[Reach, ...]:
    if source is None:
        return assign(problem, given)
    return assign(problem, given, source.max_displays, source.unit)


def _why_dark(
    problem: Problem, source: Source | None, given: tuple[str, ...], display: str
) -> dict[str, int]:
    """What of the source leaves a display dark, beside its outputs."""
    if source is None:
        return {}
    most, unit = source.max_displays, source.unit

    def lit_with(freer: DisplayUnit) -> bool:
        freed = assign(problem, given, most, freer)
        return any(reach.display == display and reach.link is not None for reach in freed)

    if unit.clocks is not None and lit_with(replace(unit, clocks=None)):
        return {"clocks": unit.clocks}
    if unit.tmds_khz is not None and lit_with(replace(unit, tmds_khz=None)):
        return {"tmds_khz": unit.tmds_khz}
    analogue = analogue_khz(problem, unit)
    if analogue is not None and lit_with(replace(unit, analogue_khz=None, converted=False)):
        return {"analogue_khz": analogue}
    return {} if most is None else {"max_displays": most}


def _options(reach: Reach) -> tuple[tuple[str, int], ...]:
    return () if reach.link is None else tuple((extra, 1) for extra in reach.link.adapters)


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    source = source_of(problem, parts)
    given = () if source is None else source.outputs
    if given is None or all_kept(parts, SLOTS):
        return ()
    return tuple(
        Need(ID, reach.display, "display-adapter", _options(reach), _facts(reach))
        for reach in _assigned(problem, source, given)
        if not reach.open and (reach.link is None or reach.link.adapters)
    )


def _facts(reach: Reach) -> tuple[tuple[str, str | int], ...]:
    if reach.link is None:
        return (("display", reach.display),)
    return (("display", reach.display), ("input", reach.link.input), ("output", reach.link.output))


def _left_open(draft: Draft, problem: Problem, reach: Reach, wanted: Sequence[Display]) -> Finding:
    """What decides whether a display stays dark: the version of a socket (its own, the card's or the board's),
    or reduced blanking, with the two clocks of its own mode."""
    ids = (draft.parts.board.id,)
    if reach.open == "blanking":
        screen = next(display for display in wanted if display.name == reach.display)
        return unknown(
            ID,
            "display.reduced_blanking",
            ids,
            display=reach.display,
            usual_khz=needed_khz(screen, True),
            reduced_khz=needed_khz(screen, False),
        )
    asked = "display.inputs" if reach.open == "inputs" else _asked_of(draft.parts, problem, "outputs")
    return unknown(ID, asked, ids, display=reach.display, version="unknown")


def _asked_of(parts: Parts, problem: Problem, fact: str) -> str:
    """The question of a fact of the source that makes the picture (its outputs are the card's or the
    board's)."""
    source = source_of(problem, parts)
    if source is not None and source.kind == "card":
        card = parts.graphics.card
        return f"card.{fact}" if card is None else card_question(parts.graphics, card, fact)
    of_cpu = source is not None and source.kind == "processor" and fact != "outputs"
    return question(parts.candidate("cpu" if of_cpu else "board"), fact)


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
        own_hz = next((d.refresh_hz for d in wanted if d.name == reach.display), None)
        facts["own_hz"] = own_hz or USUAL_REFRESH_HZ
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
    source = source_of(problem, parts)
    given = () if source is None else source.outputs
    if given is None:
        return (unknown(ID, _asked_of(parts, problem, "outputs"), ids),)
    most = None if source is None else source.max_displays
    findings: list[Finding] = []
    reached = _assigned(problem, source, given)
    if most is None and sum(reach.link is not None for reach in reached) > SURE_PICTURES:
        asked = _asked_of(parts, problem, "max_displays")
        findings.append(unknown(ID, asked, ids, False, wanted=len(wanted), sure=SURE_PICTURES))
    for reach in reached:
        link = reach.link
        line = draft.bought_for(ID, reach.display)
        if reach.open:
            findings.append(_left_open(draft, problem, reach, wanted))
            continue
        if link is None or (link.adapters and line is None):
            facts = _why_dark(problem, source, given, reach.display)
            shown = " ".join(given) or "none"
            findings.append(fails(ID, ids, "dark", display=reach.display, outputs=shown, **facts))
        elif reach.assumed:
            findings.append(unknown(ID, "display.inputs", ids, display=reach.display))
        else:
            findings += _shown(reach, link, line, wanted, ids)
    return tuple(findings)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    if not any(display.required for display in problem.survey.displays):
        return
    processors = picks.classes(
        "cpu",
        "no graphics",
        lambda c: (c.part.graphics_score == 0, c.part.max_displays, display_unit(c.part), c.kept),
    )
    conditions: dict[Any, Any] = {}  # (display, options) -> conditions, one of them true at most
    for case, graphics, place in picks.cases_and_cards():

        def shown(
            candidate: Candidate[Any], case: Case = case.part, cards: GraphicsChoice = graphics.part
        ) -> Any:
            board = candidate.part
            card = picture_card(problem, board, case, cards)
            dark = board_makes_picture(problem, board, candidate.kept) is False
            of_card = None if card is None else (card.outputs, card.max_displays)
            return of_card, dark, board.outputs, board.max_displays, candidate.kept

        which = f"{ID} in {case.key} with {graphics.key}"
        for (of_card, no_board, outputs, of_board, board_kept), board in picks.classes(
            "board", which, shown
        ).items():
            for (no_graphics, of_cpu, unit, cpu_kept), cpu in processors.items():
                if of_card is not None:
                    given, most = of_card
                elif no_graphics and no_board:
                    given, most = (), None
                else:
                    given, most = outputs, of_board if no_graphics else of_cpu
                kept = board_kept and cpu_kept and case.kept and graphics.kept
                if given is None or (kept and not problem.graphics_left_out):
                    continue
                here = picks.both(place, board, cpu)
                of_processor = of_card is None and not no_graphics
                for reach in assign(problem, given, most, unit if of_processor else NO_LIMITS):
                    if not reach.open and (reach.link is None or reach.link.adapters):
                        conditions.setdefault((reach.display, _options(reach)), []).append(here)
    for number, ((display, options), wheres) in enumerate(conditions.items()):
        picks.need(ID, f"{display}:{number}", options, wheres, on)
