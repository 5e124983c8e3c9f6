"""How old the board is on which the new parts are to run. Never refuses.

Money that goes into a present board, or a used one, ends with it. Boards of the years of faulty capacitors
(settings ``faulty_capacitor_from_year`` to ``..._to_year``) are looked at before anything is ordered for them;
from ``old_board_years`` on the age is said. The year of a present board that nobody stated is taken to be its
processor's. Where nothing new hangs on the board, nothing is said. Not checked: what no look shows.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import all_kept
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "platform.board_age"
STATEMENT = (
    "A board of many years, or of the years of faulty capacitors, is looked at before money goes into it."
)
SOURCE = (
    "boards reference, section 14 (faulty electrolytic capacitors of about 1999 to 2007); common practice"
)
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "cooler")
READS: Reads = {"board": ("year",), "cpu": (), "memory": (), "cooler": ()}
SURVEY: tuple[str, ...] = ("cpu",)
REFUSES = False


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts, settings = draft.parts, problem.settings
    if all_kept(parts, SLOTS):
        return ()
    kept, year = parts.board_kept, parts.board.year
    of_processor = problem.survey.cpu.year if kept else None
    facts: dict[str, str | int] = {}
    if year is None and of_processor is not None:
        year, facts["basis"] = of_processor, "processor"
    if year is None:
        return ()
    faulty = settings["faulty_capacitor_from_year"] <= year <= settings["faulty_capacitor_to_year"]
    age = max(0, problem.today.year - year)
    if not faulty and age < settings["old_board_years"]:
        return ()
    facts |= {"year": year, "kept": "yes" if kept else "no"}
    if faulty:
        facts["capacitors"] = "yes"
    return (fits(ID, (parts.board.id,), age, **facts),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing to refuse: the board is looked at."""
