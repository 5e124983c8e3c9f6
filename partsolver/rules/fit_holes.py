"""The board rests on standoffs, and no standoff stands where it has no hole.

Holes: as stated, else from form and size; where the form leaves a hole open (S of a full-width microATX
board; B, R and S of a narrow ATX board) it holds nothing and has to be looked at. A loose standoff without a
hole above it is taken out; a fixed one shorts the board, so the plan fails (and where it is not known whether
there is a hole, the plan is blocked). At least ``minimum_supported_holes`` must be held, or as many as the
board has. A standoff beyond the board's edges touches nothing and may stay. Tray positions that nobody stated
are those of the case's form; many trays have more, so a lack of those is a question, not a refusal. Standoffs
that come out go to the new places; what is still short is bought where the catalogue sells some (a bought
case brings its own: common practice). The overhang past the last held column and row is stated.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.plugs import all_kept, question
from partsolver.assembly.tray import Letters, board_holes, standing_under, standoff_changes, standoff_places
from partsolver.base.quantities import ceil_div
from partsolver.catalog.records import Board, Case
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, at_least, fails, fits, unknown
from partsolver.problem.candidates import Candidate, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.boards import standoff_under, unsupported_mm

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "fit.holes"
STATEMENT = (
    "Enough mounting holes of the board meet a standoff, and no fixed standoff stands where it has no hole."
)
SOURCE = (
    "microATX Motherboard Interface Specification 1.2, figure 2, section 2.2, table 4 and page 10; least"
    " number: common practice"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "case")
READS: Reads = {
    "board": ("depth_mm", "form_factor", "holes", "width_mm"),
    "case": ("form_factor", "standoff_positions", "standoffs", "standoffs_fixed"),
}
SURVEY: tuple[str, ...] = ()


def _minimum(certain: Letters, problem: Problem) -> int:
    return min(problem.settings["minimum_supported_holes"], len(certain))


def _options(problem: Problem, missing: int) -> tuple[tuple[str, int], ...]:
    return tuple((extra.id, ceil_div(missing, extra.count)) for extra in problem.obtainable("standoffs"))


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    holes = board_holes(parts.board)
    if parts.board_kept or not parts.candidate("case").kept or parts.case.standoffs is None or holes is None:
        return ()
    _, _, missing = standoff_changes(holes, parts.board, parts.case)
    options = _options(problem, missing) if missing > 0 else ()
    return (Need(ID, "standoffs", "standoffs", options, (("missing", missing),)),) if options else ()


def _row(letters: Letters) -> str:
    return " ".join(sorted(letters))


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, case, place = parts.board, parts.case, parts.candidate("case")
    ids = (board.id, case.id)
    if all_kept(parts, ("board", "case")):
        return (fits(ID, ids, today="yes"),)
    holes = board_holes(board)
    fixed = standing_under(board, frozenset(case.standoffs_fixed or ()))
    if holes is None:
        return (unknown(ID, question(parts.candidate("board"), "holes"), ids, blocks=bool(fixed)),)
    certain, possible = holes
    if fixed - possible:
        return (fails(ID, ids, "fixed", short=_row(fixed - possible)),)
    if fixed - certain:
        return (
            unknown(
                ID, question(parts.candidate("board"), "holes"), ids, blocks=True, short=_row(fixed - certain)
            ),
        )
    held, minimum = certain & standoff_places(case), _minimum(certain, problem)
    add, remove, _ = standoff_changes(holes, board, case)
    found: list[Finding] = []
    if len(held) < minimum and case.standoff_positions is None:
        found.append(unknown(ID, question(place, "standoff_positions"), ids, held=len(held), minimum=minimum))
    else:
        found.append(
            at_least(ID, len(held), minimum, "holes", ids, **_work(draft, holes, held, add, remove, problem))
        )
    if case.standoffs is None and place.kept:
        found.append(unknown(ID, question(place, "standoffs"), ids))
    elif remove and case.standoffs_fixed is None:
        found.append(unknown(ID, question(place, "standoffs_fixed"), ids, remove=_row(remove)))
    return tuple(found)


def _work(
    draft: Draft,
    holes: tuple[Letters, Letters],
    held: Letters,
    add: Letters,
    remove: Letters,
    problem: Problem,
) -> dict[str, str | int]:
    """Facts for the work: standoffs to add and remove, holes to look at, overhang that needs a hand under
    it."""
    board, case = draft.parts.board, draft.parts.case
    facts: dict[str, str | int] = {"held": _row(held)}
    looked = case.standoffs is not None or not draft.parts.candidate("case").kept
    listed = {
        "add": add if looked else frozenset(),
        "remove": remove,
        "look": (holes[1] - holes[0]) & standoff_places(case),
    }
    facts.update({name: _row(letters) for name, letters in listed.items() if letters})
    line = draft.bought_for(ID, "standoffs")
    if line is not None:
        facts["bought"] = line.item
    if board.width_mm is not None and board.depth_mm is not None:
        left, front = unsupported_mm(board.width_mm, board.depth_mm, held)
        facts.update(unsupported_left_mm=left, unsupported_front_mm=front)
        if max(left, front) > problem.settings["unsupported_warn_mm"]:
            facts["prop"] = "yes"
    return facts


def _is_short(case: Case, holes: Any, width_mm: int | None, depth_mm: int | None) -> bool:
    """Whether a fixed standoff stands below the board where it has no hole, or may have none."""
    below = set(case.standoffs_fixed or ())
    if width_mm is not None and depth_mm is not None:
        below = {letter for letter in below if standoff_under(letter, width_mm, depth_mm)}
    return any(holes is None or letter not in holes[0] for letter in below)


def _too_few(case: Case, holes: Any, problem: Problem) -> bool:
    """Whether too few of the board's certain holes have a place for a standoff, where the places are
    listed."""
    if holes is None or case.standoff_positions is None:
        return False
    supported = sum(letter in standoff_places(case) for letter in holes[0])
    return supported < _minimum(holes[0], problem)


def _standoffs_missing(case: Case, holes: tuple[Letters, Letters]) -> int:
    """How many standoffs the board needs beyond those that stand in a case and can be moved."""
    certain, possible = holes
    standing, fixed = set(case.standoffs or ()), set(case.standoffs_fixed or ())
    empty = sum(letter in standoff_places(case) and letter not in standing | fixed for letter in certain)
    return empty - sum(letter not in possible for letter in standing - fixed)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    def outline(candidate: Candidate[Board]) -> tuple[Any, int | None, int | None, bool]:
        board = candidate.part
        return board_holes(board), board.width_mm, board.depth_mm, candidate.kept

    boards = picks.classes("board", "fit.holes", outline)
    wanted: dict[Any, list[Any]] = {}  # options -> conditions
    for candidate, case_literal in picks.candidates("case"):
        for (holes, width, depth, board_kept), board in boards.items():
            if board_kept and candidate.kept:
                continue
            if _is_short(candidate.part, holes, width, depth):
                picks.never_together(board, case_literal, on)  # a short, or a hole that may not be there
                continue
            if _too_few(candidate.part, holes, problem):
                picks.never_together(board, case_literal, on)
            if holes is None or not candidate.kept or candidate.part.standoffs is None:
                continue  # nothing to count, or a new case brings its own
            missing = _standoffs_missing(candidate.part, holes)
            if missing > 0:
                both = picks.both(case_literal, board)
                wanted.setdefault(_options(problem, missing), []).append(both)
    for number, (options, conditions) in enumerate(wanted.items()):
        if options:
            picks.need(ID, f"standoffs:{number}", options, conditions, on)
