"""A commercial system whose licence is tied to the old board needs a new licence when the board changes.

Sold with the PC (oem) or not known: the cheapest licence that lists the family is bought; where nobody offers
one, that is an open question and never an exclusion. Boxed (retail) and account licences move: a fact,
because they must be released or linked before the swap. Upgraded licences: the vendor's rules changed with
time (reference case A43), so that is an open question without cost. Where the present system needs no licence
and a commercial one is asked for, there is none that could move: one is bought, for the present board too. So it is
where another generation is asked for than the present one: its licence is for that one (but for an update that the
vendor gives, standards/operating_systems), unless the survey says for which families it is (``os.licence_for``), which
is asked. Not legal advice: the vendor's current terms decide.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.system import kept_system, other_system
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, fits, unknown
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.operating_systems import licence_serves

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


def _short(problem: Problem) -> str:
    """Why the licence at hand does not serve the commercial system that is to run: "none" (the present system needs
    none), "other" (it is for another generation), "perhaps" (so is the present system, and nobody said for what the
    licence is); "" where it serves, or nobody knows the present system."""
    family, own = _family(problem), problem.survey.os
    if family is None:
        return ""
    if own.licence == "none-needed":
        return "none" if other_system(problem) else ""
    if own.licence_for is not None:
        return "" if any(licence_serves(listed, family) for listed in own.licence_for) else "other"
    return "" if own.family is None or licence_serves(own.family, family) else "perhaps"


def _free_board(problem: Problem, board_kept: bool) -> bool:
    """Whether a board takes no licence: the present one, with the system that it runs or one that its licence serves."""
    return board_kept and not (_short(problem) and other_system(problem))


def _licences(problem: Problem) -> tuple[tuple[str, int], ...]:
    """Licences on offer for the family when the present one is tied to the board, of unknown kind, none or for another
    generation."""
    family = _family(problem)
    if family is None or not (problem.survey.os.licence in _TIED or _short(problem)):
        return ()
    return tuple((extra.id, 1) for extra in problem.obtainable("os-licence") if family in extra.gives)


def _facts(problem: Problem, family: str) -> dict[str, str | int]:
    """What the wording needs: family, kind of the present licence, and whether that is for another generation."""
    facts: dict[str, str | int] = {"family": family, "licence": problem.survey.os.licence or "unknown"}
    short = _short(problem)
    return facts | {"generation": short} if short in ("other", "perhaps") else facts


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    family, options = _family(problem), _licences(problem)
    if family is None or not options or _free_board(problem, parts.board_kept):
        return ()
    facts = tuple(sorted(_facts(problem, family).items()))
    return (Need(ID, "licence", "os-licence", options, facts),)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    family = _family(problem)
    parts = draft.parts
    if family is None or _free_board(problem, parts.board_kept):
        return ()
    kind, short = problem.survey.os.licence, _short(problem)
    ids = (parts.board.id,)
    facts = _facts(problem, family)
    if problem.survey.os.tied_software:
        facts["tied_programs"] = len(problem.survey.os.tied_software)
    if kind == "upgraded" and not short:
        return (unknown(ID, "os.licence", ids, False, **facts),)
    if kind == "none-needed" and not short:
        return (fits(ID, ids, kind, **facts),)
    if kind is not None and kind not in _TIED and not short:
        return (fits(ID, ids, kind, move="before the swap", **facts),)
    asked = "os.licence_for" if short == "perhaps" else "os.licence"
    line = draft.bought_for(ID, "licence")
    if line is None:
        return (unknown(ID, asked, ids, False, offered="none", **facts),)
    bought = fits(ID, (*ids, line.item), "bought", **facts)
    # The answer may save the money.
    open_kind = kind is None if not short else short == "perhaps"
    return (bought, unknown(ID, asked, ids, False, **facts)) if open_kind else (bought,)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    options, always = _licences(problem), bool(_short(problem)) and other_system(problem)
    boards = picks.classes("board", "kept", lambda c: c.kept)
    needing = [board for kept, board in boards.items() if always or not kept]
    if options and needing:
        picks.need(ID, "licence", options, needing, on)
