"""What makes the picture: the sources of a plan as one list, each with what it needs and what it drives.

A graphics card (kept or bought) that has a place, the processor's graphics, graphics in the board's chipset:
the first that is not known to stay dark makes the picture. A card without a UEFI part stays dark on a board
that starts in UEFI mode only, one without a legacy part where there is nothing but legacy start; then the
next source does.
"""

from __future__ import annotations

from dataclasses import replace

from partsolver.assembly.cards import graphics_card, working_graphics
from partsolver.base.records import record
from partsolver.catalog.records import Board, Case, Cpu
from partsolver.problem.candidates import GraphicsChoice, Parts
from partsolver.problem.problem import Problem
from partsolver.standards.video import LIMITED_UNTIL, NO_LIMITS, PROCESSOR_DISPLAYS, DisplayUnit
from partsolver.survey.model import Card

# Last year in which boards with graphics in their chipset were first sold (the chipsets of 2010-2012 were the
# last: common practice; displays reference, section 7.1).
BOARD_GRAPHICS_LAST_YEAR = 2012
# Every source drives so many pictures at once: processor and chipset graphics from 2004 on, cards from before
# (start reference, sections 7.1 and 7.2: two or more but for chipsets of 2002-2003).
SURE_PICTURES = 2


@record
class Source:
    """What can make the picture. kind: card, processor, board; name: of a card; outputs: link ids, None
    where not known; max_displays: pictures at once, None where nobody stated it; dark: it is known to show
    nothing on this board (``uefi``: for want of a UEFI part, ``legacy``: of a part for the legacy start),
    "" where not; unit: what it does less than its sockets say."""

    kind: str
    name: str
    outputs: tuple[str, ...] | None
    max_displays: int | None
    dark: str = ""
    unit: DisplayUnit = NO_LIMITS


def display_unit(cpu: Cpu) -> DisplayUnit:
    """What the graphics of a processor do less than a board's sockets say."""
    socket = cpu.socket or ""
    unit = PROCESSOR_DISPLAYS.get(socket, NO_LIMITS)
    until = LIMITED_UNTIL.get(socket)
    if until is not None and cpu.year is not None and cpu.year > until:
        return replace(unit, tmds_khz=None)
    return unit


def start_modes(problem: Problem, board: Board) -> tuple[str, ...] | None:
    """The modes in which a board may start: those of its firmware; with Secure Boot, if the owner wants it, the
    legacy one is off (start reference, section 2.2)."""
    modes = board.firmware_modes
    return ("uefi",) if problem.brief.secure_boot and (modes is None or "uefi" in modes) else modes


def dark_card(card: Card, modes: tuple[str, ...] | None) -> str:
    """The start mode for want of which a card is known to show nothing where a board starts in these: uefi,
    legacy, or "" for none."""
    lacks = {"uefi": card.uefi is False, "legacy": card.legacy_video is False}
    return modes[-1] if modes and all(lacks.get(mode, False) for mode in modes) else ""


def picture_sources(
    problem: Problem, board: Board, kept: bool, cpu: Cpu, case: Case, graphics: GraphicsChoice
) -> tuple[Source, ...]:
    """All that may make the picture, in the order in which it does; ``kept``: the board is the present
    one."""
    found = []
    card = graphics_card(problem, board, case, graphics)
    if card is not None:
        dark = dark_card(card, start_modes(problem, board))
        found.append(Source("card", card.name, card.outputs, card.max_displays, dark))
    if cpu.graphics_score != 0:
        found.append(Source("processor", "", board.outputs, cpu.max_displays, unit=display_unit(cpu)))
    if cpu.graphics_score == 0 and board_makes_picture(problem, board, kept) is not False:
        found.append(Source("board", "", board.outputs, board.max_displays))
    return tuple(found)


def making_source(
    problem: Problem, board: Board, kept: bool, cpu: Cpu, case: Case, graphics: GraphicsChoice
) -> Source | None:
    """The source that makes the picture; None when there is none."""
    sources = picture_sources(problem, board, kept, cpu, case, graphics)
    return next((source for source in sources if not source.dark), None)


def picture_card(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> Card | None:
    """The graphics card that makes the picture: one with a place that is not known to stay dark on this
    board."""
    card = graphics_card(problem, board, case, graphics)
    return None if card is None or dark_card(card, start_modes(problem, board)) else card


def drawing_card(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> Card | None:
    """`picture_card` with the score that it reaches on the lanes of its slot."""
    if picture_card(problem, board, case, graphics) is None:
        return None
    return working_graphics(problem, board, case, graphics)


def board_makes_picture(problem: Problem, board: Board, kept: bool) -> bool | None:
    """Whether the board's chipset has graphics; None when it is not known.

    The present board proves it where the PC has neither a graphics card nor a processor with graphics: it has
    a picture today.
    """
    survey = problem.survey
    proven = survey.cpu.graphics_score == 0 and not any(card.kind == "graphics" for card in survey.cards)
    if board.graphics_score is not None:
        return board.graphics_score > 0
    if kept and proven:
        return board.outputs != ()
    if board.outputs == () or (board.year is not None and board.year > BOARD_GRAPHICS_LAST_YEAR):
        return False
    return None


def own_graphics_score(problem: Problem, board: Board, kept: bool, cpu_score: int | None) -> int | None:
    """Score of the graphics without a card: the processor's (``cpu_score``), else the board's. Of chipset
    graphics that make the picture and whose score nobody stated, the usual one (setting
    ``board_graphics_percent``)."""
    if cpu_score != 0:
        return cpu_score
    if board.graphics_score is not None or not board_makes_picture(problem, board, kept):
        return board.graphics_score or 0
    return problem.catalog.reference.graphics_score * problem.settings["board_graphics_percent"] // 100


def own_picture(problem: Problem, board: Board, kept: bool, cpu: Cpu) -> bool | str:
    """Whether the PC makes a picture without a card; the name of the fact that decides it where that is
    missing."""
    if board.outputs == ():
        return False
    by_board = board_makes_picture(problem, board, kept)
    if cpu.graphics_score == 0 and by_board is False:
        return False
    if not cpu.graphics_score and not by_board:
        return "cpu.graphics_score" if cpu.graphics_score is None else "board.graphics_score"
    return True if board.outputs is not None else "board.outputs"


def source_of(problem: Problem, parts: Parts) -> Source | None:
    """The source that makes the picture of a plan."""
    return making_source(problem, parts.board, parts.board_kept, parts.cpu, parts.case, parts.graphics)
