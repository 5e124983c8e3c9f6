"""A commercial system whose licence is tied to the old board needs a new licence when the board changes.

Sold with the PC (oem) or not known: the cheapest licence that lists the family is bought; where nobody offers
one, that is an open question and never an exclusion. Boxed (retail) and account licences move: a fact,
because they must be released or linked before the swap. Upgraded licences: the vendor's rules changed with
time (reference case A43), so that is an open question without cost. Where the present system needs no licence
and a commercial one is asked for, there is none that could move: one is bought, for the present board too. Not
legal advice: the vendor's current terms decide.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.system import kept_system, other_system
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, fits, unknown
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "os.licence"
STATEMENT = "The operating system is licensed for the new board."
SOURCE = (
    "vendor licence FAQ quoted in a small-business blog, 2007-10-12; cases A25, A39, A43 (memory reference,"
    " 5.3)"
)
KIND: Kind = "parts"
NATURE: Nature = "money"
SLOTS: tuple[SlotName, ...] = ("board",)
READS: Reads = {"board": ()}
SURVEY: tuple[str, ...] = ("os",)
_TIED = ("oem", None)


def _family(problem: Problem) -> str | None:
    """The commercial family whose licence matters, or None."""
    system = kept_system(problem)
    return system.id if system is not None and system.licence_kind_matters else None


def _has_none(problem: Problem) -> bool:
    """Whether the owner has no licence for the commercial system that is asked for: the present one needs none."""
    return problem.survey.os.licence == "none-needed" and other_system(problem)


def _licences(problem: Problem) -> tuple[tuple[str, int], ...]:
    """Licences on offer for the family when the present one is tied to the board, of unknown kind or none."""
    family = _family(problem)
    if family is None or not (problem.survey.os.licence in _TIED or _has_none(problem)):
        return ()
    return tuple((extra.id, 1) for extra in problem.obtainable("os-licence") if family in extra.gives)


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    family, options = _family(problem), _licences(problem)
    if family is None or not options or (parts.board_kept and not _has_none(problem)):
        return ()
    kind = problem.survey.os.licence or "unknown"
    return (Need(ID, "licence", "os-licence", options, (("family", family), ("licence", kind))),)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    family = _family(problem)
    parts = draft.parts
    lacks = _has_none(problem)
    if family is None or (parts.board_kept and not lacks):
        return ()
    kind = problem.survey.os.licence
    ids = (parts.board.id,)
    facts: dict[str, str | int] = {"family": family, "licence": kind or "unknown"}
    if problem.survey.os.tied_software:
        facts["tied_programs"] = len(problem.survey.os.tied_software)
    if kind == "upgraded":
        return (unknown(ID, "os.licence", ids, False, **facts),)
    if kind == "none-needed" and not lacks:
        return (fits(ID, ids, kind, **facts),)
    if kind is not None and kind not in _TIED and not lacks:
        return (fits(ID, ids, kind, move="before the swap", **facts),)
    line = draft.bought_for(ID, "licence")
    if line is None:
        return (unknown(ID, "os.licence", ids, False, offered="none", **facts),)
    bought = fits(ID, (*ids, line.item), "bought", **facts)
    # The answer may save the money.
    return (bought,) if kind is not None else (bought, unknown(ID, "os.licence", ids, False, **facts))


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    options, always = _licences(problem), _has_none(problem)
    boards = picks.classes("board", "kept", lambda c: c.kept)
    needing = [board for kept, board in boards.items() if always or not kept]
    if options and needing:
        picks.need(ID, "licence", options, needing, on)
