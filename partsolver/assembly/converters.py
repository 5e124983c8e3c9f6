"""Active display adapters that some displays need: converters with a supply current of their own.

A display needs one where only a converter joins any output to any of its inputs (a VGA monitor on a board that
has HDMI and DisplayPort). Counted wherever such adapters are on sale, whatever they cost and whichever output
carries the display in the end: the draw of a plan must not depend on who sells what. A converter from DisplayPort
takes its power from 3.3 V, one from HDMI or a USB plug from 5 V; all are counted at 5 V. On the kept board the
owner has it already: today's PC draws it too.
"""

from __future__ import annotations

from functools import cache

from partsolver.assembly.currents import NOTHING, Load, load_of_currents
from partsolver.assembly.pictures import dark_card, picture_card
from partsolver.catalog.records import Board, Case
from partsolver.problem.candidates import GraphicsChoice
from partsolver.problem.problem import Problem
from partsolver.standards.video import PAYLOAD_KBITS, connection

#: What the number of converters is read from, beside the survey's displays and cards.
BOARD_READS = ("firmware_modes", "outputs", "slots")


def converters_needed(outputs: tuple[str, ...], displays: tuple[tuple[str, ...], ...]) -> int:
    """How many of the displays (link ids of their inputs) get a picture only through a converter, where as
    many as possible get one and as few as possible a converter. Each output carries one display."""
    known = [output for output in outputs if output in PAYLOAD_KBITS]

    @cache
    def best(display: int, used: frozenset[int]) -> tuple[int, int]:
        """(pictures, minus converters) of this display and those after it."""
        if display == len(displays):
            return 0, 0
        found = best(display + 1, used)  # this one stays dark
        for place, output in enumerate(known):
            way = "" if place in used else _way(output, displays[display])
            if way:
                pictures, spared = best(display + 1, used | {place})
                found = max(found, (pictures + 1, spared - (way == "active")))
        return found

    return -best(0, frozenset())[1]


def _way(output: str, inputs: tuple[str, ...]) -> str:
    """The simplest kind of way from an output to a display: direct, passive, active; "" for none."""
    kinds = {connection(output, entry) for entry in inputs if entry in PAYLOAD_KBITS}
    return next((kind for kind in ("direct", "passive", "active") if kind in kinds), "")


def converters(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> int:
    """Converters for the required displays of a plan with this board, case and graphics card."""
    card = picture_card(problem, board, case, graphics)
    return _with_outputs(problem, board.outputs if card is None else card.outputs)


def converters_today(problem: Problem) -> int:
    """Converters on the monitors of today's PC."""
    survey = problem.survey
    cards = [
        c for c in survey.cards if c.kind == "graphics" and not dark_card(c, survey.board.firmware_modes)
    ]
    return _with_outputs(problem, cards[0].outputs if cards else survey.board.outputs)


def _with_outputs(problem: Problem, outputs: tuple[str, ...] | None) -> int:
    known = problem.store.converters
    found = known.get(outputs)
    if found is None:
        displays = tuple(d.inputs for d in problem.survey.displays if d.required and d.inputs is not None)
        sold = any(extra.active for extra in problem.extras_of("display-adapter"))
        found = known[outputs] = converters_needed(outputs or (), displays) if displays and sold else 0
    return found


def converters_load(problem: Problem, number: int) -> Load:
    """What so many converters draw: 5 V through the board."""
    if not number:
        return NOTHING
    usual = problem.settings["display_converter_ma"]
    most = max(usual, problem.settings["display_converter_most_ma"])
    return load_of_currents((0, usual, 0), (0, most, 0), times=number)
