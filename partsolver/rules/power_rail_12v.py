"""The 12 V load of the whole PC stays within what the aged supply is trusted with.

Limit = combined 12 V current of the label (else the sum of its rails; the sum is more than most supplies
give, hence a further factor) x factor for age and day-and-night use x share of a rating that a plan may use.
An unknown year counts as old. Not checked: how the load spreads over several 12 V rails.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from partsolver.assembly import loads
from partsolver.assembly.plugs import all_kept, label_12v_ma, question, supply_factor_percent, usable
from partsolver.catalog.records import Psu
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.rail_12v"
STATEMENT = (
    "The continuous 12 V current of the PC is at most label x age factor x the share of a rating that may be"
    " used."
)
SOURCE = (
    "ATX12V design guide 2.0 (combined limits); ageing factors and share: common practice (power reference"
    " section 14)"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "psu", "case", "drive")
READS: Reads = loads.LOAD_READS
SURVEY: tuple[str, ...] = ("cards", "drives", "pc")


def limit_ma(problem: Problem, psu: Psu) -> int | None:
    """Usable 12 V current of a supply; None when its label is not known."""
    return usable(problem, psu, label_12v_ma(psu))


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    psu = parts.psu
    load = loads.total_load(problem, parts).ma_12v
    limit = limit_ma(problem, psu)
    if all_kept(parts, SLOTS):
        return (fits(ID, (psu.id,), load, today="yes"),)
    candidate = parts.candidate("psu")
    if limit is None:
        # Without rails and without a rating nothing at all is known of its strength.
        return (
            unknown(
                ID, question(candidate, "rail_12v_ma"), (psu.id,), blocks=psu.rated_w is None, load_ma=load
            ),
        )
    label = label_12v_ma(psu) or 0
    finding = at_most(
        ID,
        load,
        limit,
        "mA",
        (psu.id,),
        label_ma=label,
        factor_percent=supply_factor_percent(problem, psu),
        use_percent=problem.settings["rail_use_percent"],
    )
    if psu.year is None:
        return (finding, unknown(ID, question(candidate, "year"), (psu.id,)))
    return (finding,)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    settings = problem.settings
    terms = [(picks.true, loads.fixed_load(problem).ma_12v)]

    def add(slot: SlotName, name: str, load: Callable[[Any], int], *conditions: Any) -> None:
        for value, literal in picks.classes(slot, name, load).items():
            terms.append((picks.both(literal, *conditions), value))

    add("board", "12 V of the board", lambda c: loads.board_load(c.part, settings).ma_12v)
    add("cpu", "12 V of the processor", lambda c: loads.cpu_load(c.part, settings).ma_12v)
    add("memory", "12 V of the memory", lambda c: loads.memory_load(c.part, settings).ma_12v)
    add("drive", "12 V of the drive", lambda c: loads.system_drive_load(c.part, settings).ma_12v)
    add("case", "12 V of the fans", lambda c: loads.case_load(c.part, settings).ma_12v)
    if problem.survey.cards:
        for case, literal in picks.of("case"):

            def cards(candidate: Any, case: Any = case.part) -> int:
                return loads.cards_load(problem, candidate.part, case).ma_12v

            add("board", f"12 V of the cards in {case.key}", cards, literal)
    total = sum(value * literal for literal, value in terms if value)
    new = []
    for slot in SLOTS:
        changed = picks.classes(slot, "kept", lambda c: c.kept).get(False)
        if changed is not None:
            new.append(changed)
    anything_new = picks.any_of(new) if new else ~picks.true
    supplies = picks.classes(
        "psu", "power.rail_12v", lambda c: (limit_ma(problem, c.part), c.part.rated_w is None)
    )
    for (limit, unrated), supply in supplies.items():
        if limit is not None:
            picks.require(total <= limit, picks.both(on, supply, anything_new))
        elif unrated:
            picks.never_together(supply, anything_new, on)
