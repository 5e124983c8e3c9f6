"""The board's outline goes into the case.

Three conditions: the case is made for boards of this form; the board is not wider than the free width; it is
not deeper than the free depth. A measured free width or depth decides over the nominal outline: a case of the
right form can be shallow (a drive or its cage in front of the board), and a measured ATX case takes the
deeper SSI CEB board. Without a measured depth only these depths are certain: that of the present board in the
present case, and that of the smallest board the case is made for; a deeper board stands with an open
question. A maker's own shape fits only where it is: the present board in the present case. Not checked: tall
parts on the board under a drive cage or a low supply.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from partsolver.assembly.plugs import all_kept, question
from partsolver.catalog.records import Board, Case
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fails, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.boards import ACCEPTS, CONDITIONS, OUTLINES

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "fit.outline"
STATEMENT = (
    "The case is made for boards of this form, and the board is no wider and no deeper than the free room."
)
SOURCE = (
    "microATX Motherboard Interface Specification 1.2, section 1.5 and table 3; Mini-ITX Addendum 1.1,"
    " section 2.4.1; free depth in front of the board: common practice"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "case")
READS: Reads = {
    "board": ("depth_mm", "form_factor", "width_mm"),
    "case": ("form_factor", "max_board_depth_mm", "max_board_width_mm"),
}
SURVEY: tuple[str, ...] = ("board",)


def _width_limit_mm(case: Case) -> int | None:
    """Measured free width, else the nominal one of the case's form."""
    outline = OUTLINES.get(case.form_factor or "")
    return case.max_board_width_mm or (outline.width_mm if outline is not None else None)


def _certain_depth(case: Case, kept: bool, problem: Problem) -> tuple[int, str]:
    """Depth that is free without measuring, and why: ``present board`` or ``smallest board``."""
    forms = ACCEPTS.get(case.form_factor or "", frozenset())
    smallest = min((OUTLINES[form].depth_mm for form in forms), default=0)
    present = problem.survey.board.depth_mm if kept else None
    if present is not None and present > smallest:
        return present, "present board"
    return smallest, "smallest board"


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, case = parts.board, parts.case
    ids = (board.id, case.id)
    if all_kept(parts, ("board", "case")):
        return (fits(ID, ids, board.form_factor, today="yes"),)
    form, tray = board.form_factor, case.form_factor
    if form == "own" or tray == "own":
        return (fails(ID, ids, form or "not known", tray or "not known", edge="form"),)
    found: list[Finding] = []
    if form is None:
        found.append(unknown(ID, question(parts.candidate("board"), "form_factor"), ids, edge="form"))
    elif tray is None:
        found.append(unknown(ID, question(parts.candidate("case"), "form_factor"), ids, edge="form"))
    elif form not in ACCEPTS[tray] and CONDITIONS.get((tray, form)) != "depth-clear":
        return (fails(ID, ids, form, tray, edge="form"),)
    found += _width(parts.candidate("board"), board, case, ids)
    found += _depth(draft, board, case, ids, problem)
    return tuple(found)


def _width(candidate: Candidate, board: Board, case: Case, ids: tuple[str, ...]) -> list[Finding]:
    limit = _width_limit_mm(case)
    if board.width_mm is None:
        return [unknown(ID, question(candidate, "width_mm"), ids, edge="width")]
    if limit is None:
        return []  # the question about the case's form is asked already
    basis = "measured" if case.max_board_width_mm is not None else "form"
    return [at_most(ID, board.width_mm, limit, "mm", ids, edge="width", basis=basis)]


def _depth(draft: Draft, board: Board, case: Case, ids: tuple[str, ...], problem: Problem) -> list[Finding]:
    candidate = draft.parts.candidate("case")
    if board.depth_mm is None:
        return [unknown(ID, question(draft.parts.candidate("board"), "depth_mm"), ids, edge="depth")]
    if case.max_board_depth_mm is not None:
        return [
            at_most(ID, board.depth_mm, case.max_board_depth_mm, "mm", ids, edge="depth", basis="measured")
        ]
    certain, basis = _certain_depth(case, candidate.kept, problem)
    if board.depth_mm <= certain:
        return [at_most(ID, board.depth_mm, certain, "mm", ids, edge="depth", basis=basis)]
    asked = question(candidate, "max_board_depth_mm")
    return [unknown(ID, asked, ids, edge="depth", depth_mm=board.depth_mm, certain_mm=certain)]


def _kept_with(fact: Callable[[Any], Any]) -> Callable[[Candidate[Any]], tuple[Any, bool]]:
    """A fact of a candidate's part, and whether it is kept."""
    return lambda candidate: (fact(candidate.part), candidate.kept)


def _goes_or_stays(goes: Callable[[Any, Any], bool]) -> Callable[[Any, Any], bool]:
    """Whether a board goes into a case by one fact of each, or both stay as they are."""
    return lambda board, case: (board[1] and case[1]) or goes(board[0], case[0])


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    taken = {tray: set(forms) for tray, forms in ACCEPTS.items()}
    for (tray, form), condition in CONDITIONS.items():
        if condition == "depth-clear":
            taken[tray].add(form)

    def form_goes(form: Any, tray: Any) -> bool:
        return "own" not in (form, tray) and (None in (form, tray) or form in taken[tray])

    def not_more(size: Any, free: Any) -> bool:
        return None in (size, free) or size <= free

    rows: tuple[
        tuple[str, Callable[[Board], Any], Callable[[Case], Any], Callable[[Any, Any], bool]], ...
    ] = (
        ("form", lambda board: board.form_factor, lambda case: case.form_factor, form_goes),
        ("width", lambda board: board.width_mm, _width_limit_mm, not_more),
        ("depth", lambda board: board.depth_mm, lambda case: case.max_board_depth_mm, not_more),
    )
    for edge, of_board, of_case, compatible in rows:
        picks.support(
            ("board", "case"),
            (f"fit.outline {edge}", f"fit.outline {edge}"),
            (_kept_with(of_board), _kept_with(of_case)),
            _goes_or_stays(compatible),
            on,
        )
