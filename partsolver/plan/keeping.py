"""The kept-or-new account of a plan: what keeping supply, case, drives and cooler saves, and what risk it
carries.

For each kept part the cheapest part on offer is looked for that would do its work in this very plan: put in
its place, all rules that read the place still hold and nothing else has to be bought. No solving: a few plain
rule evaluations per part, cheapest first. A drive's replacement is of its kind or a solid-state drive, goes
on the same lead and holds at least as much; how fast it reads is not compared.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache
from typing import Any

from partsolver.assembly.supply import supply_trust_percent
from partsolver.assembly.waste import Mass, drive_mass, typical
from partsolver.catalog.records import DrivePart, Offer
from partsolver.plan.complete import allowed_by
from partsolver.plan.draft import Draft
from partsolver.plan.outcome import Keeping, KeptPart, Outcome, Plan, Replacement, Risk
from partsolver.problem.candidates import SLOTS, Candidate, CoolerChoice, DriveChoice, Parts, SlotName
from partsolver.problem.join import sold_as_new
from partsolver.problem.problem import Problem
from partsolver.problem.store import Store
from partsolver.rules import all_rules, family_of
from partsolver.rules.base import Rule
from partsolver.survey.model import Drive

# Parts on offer that are tried per kept part, cheapest first.
MOST_TRIED = 48
_TABLES = {"psu": "psus", "case": "cases", "cooler": "coolers", "drive": "drives"}


def with_keeping(problem: Problem, outcome: Outcome) -> Outcome:
    """The outcome with the account of every plan."""
    return replace(
        outcome, plans=tuple(replace(plan, keeping=keeping(problem, plan)) for plan in outcome.plans)
    )


def keeping(problem: Problem, plan: Plan) -> Keeping:
    """The account of one plan: kept case, supply, system drive, other drives, cooler. Remembered: no rule
    about buying is asked."""
    draft = plan.draft
    key = (draft.parts, draft.lines)
    found = problem.store.keeping.get(key)
    if found is None:
        found = problem.store.keeping[key] = _keeping(problem, draft)
    return found


def _keeping(problem: Problem, draft: Draft) -> Keeping:
    parts = tuple(_kept_parts(problem, draft))
    return Keeping(
        parts,
        saves=sum(part.replacement.price for part in parts if part.replacement is not None),
        waste_g=sum(part.mass_g for part in parts),
        stated=all(part.mass_basis == "stated" for part in parts),
    )


def _kept_parts(problem: Problem, draft: Draft) -> Iterator[KeptPart]:
    survey, parts = problem.survey, draft.parts
    if parts.candidate("case").kept:
        yield _slot(
            problem, draft, "case", survey.case.name, typical(problem, "case", survey.case.mass_g), ()
        )
    if parts.candidate("psu").kept:
        mass = typical(problem, "psu", survey.psu.mass_g)
        yield _slot(problem, draft, "psu", survey.psu.name, mass, tuple(_supply_risks(problem)))
    system = survey.system_drive
    if parts.candidate("drive").kept and system is not None:
        serves = _like(system)
        yield _slot(
            problem,
            draft,
            "drive",
            system.name,
            drive_mass(problem, system),
            tuple(_age(problem, system.year)),
            serves,
        )
    for drive in survey.drives:
        if not drive.system:
            yield _other_drive(problem, draft, drive)
    if parts.candidate("cooler").kept and survey.cooler is not None:
        yield _slot(
            problem, draft, "cooler", survey.cooler.name, typical(problem, "cooler", survey.cooler.mass_g), ()
        )


# -- risks --------------------------------------------------------------------------------------------------------


def _supply_risks(problem: Problem) -> Iterator[Risk]:
    psu, settings = problem.survey.psu, problem.settings
    yield from _age(problem, psu.year)
    if psu.year is None:
        yield Risk("age-unknown")
    yield Risk("trusted", supply_trust_percent(problem, psu))
    if psu.condition is None:
        yield Risk("condition-unknown")
    elif psu.condition != "good":
        yield Risk("condition", psu.condition)
    if (
        psu.year is not None
        and settings["faulty_capacitor_from_year"] <= psu.year <= settings["faulty_capacitor_to_year"]
    ):
        yield Risk("capacitor-years", psu.year)


def _age(problem: Problem, year: int | None) -> Iterator[Risk]:
    if year is not None:
        yield Risk("age", max(0, problem.today.year - year))


# -- replacements -------------------------------------------------------------------------------------------------


def _slot(
    problem: Problem,
    draft: Draft,
    slot: SlotName,
    name: str,
    mass: Mass,
    risks: tuple[Risk, ...],
    serves: Callable[[Any], bool] | None = None,
) -> KeptPart:
    """A kept part that fills a slot of the problem."""
    rules = _rules_of(slot)

    def fits(part: Any) -> bool:
        picked = list(draft.parts.picked)
        picked[SLOTS.index(slot)] = Candidate(slot, part.id, _filling(slot, part), part.id, 1, (), False)
        return (serves is None or serves(part)) and _serves(
            problem, replace(draft, parts=Parts(tuple(picked))), rules
        )

    found, searched = _cheapest(problem, _TABLES[slot], fits)
    return KeptPart(slot, name, mass.grams, mass.basis, found, searched, risks)  # type: ignore[arg-type]


def _filling(slot: SlotName, part: Any) -> Any:
    if slot == "drive":
        return DriveChoice(part.id, None, part)
    return CoolerChoice(part.id, part) if slot == "cooler" else part


def _other_drive(problem: Problem, draft: Draft, drive: Drive) -> KeptPart:
    """A drive beside the system drive: its place in the survey is taken by the new one."""
    rules = _rules_of("other-drive")
    alike = _like(drive)

    def fits(part: DrivePart) -> bool:
        if not alike(part):
            return False
        names = (
            "kind",
            "interface",
            "sata_gbps10",
            "pcie_gen",
            "pcie_lanes",
            "m2_key",
            "m2_length_mm",
            "read_mbs",
            "capacity_gb",
        )
        facts = {name: getattr(part, name) for name in names}
        plug = "sata" if part.interface == "sata" else drive.power_plug
        new = Drive.model_construct(
            **{**drive.model_dump(), **facts, "power_plug": plug, "start_12v_ma": None}
        )
        others = tuple(new if other is drive else other for other in problem.survey.drives)
        changed = replace(problem, survey=problem.survey.model_copy(update={"drives": others}), store=Store())
        return _serves(changed, draft, rules)

    found, searched = _cheapest(problem, "drives", fits)
    mass = drive_mass(problem, drive)
    return KeptPart(
        "other-drive", drive.name, mass.grams, mass.basis, found, searched, tuple(_age(problem, drive.year))
    )


def _like(drive: Drive) -> Callable[[DrivePart], bool]:
    """Whether a drive of the catalogue can do a drive's work: kind, lead, capacity."""
    kinds = {"ssd": ("ssd",), "hdd35": ("hdd35", "ssd"), "hdd25": ("hdd25", "ssd")}.get(drive.kind or "", ())

    def like(part: DrivePart) -> bool:
        enough = drive.capacity_gb is None or (part.capacity_gb or 0) >= drive.capacity_gb
        return part.kind in kinds and enough and part.interface == drive.interface

    return like


@cache
def _rules_of(place: str) -> tuple[Rule, ...]:
    """The rules to ask again when one place is filled otherwise: those that read it, wishes and buying left
    out."""
    if place == "other-drive":
        return tuple(rule for rule in all_rules() if family_of(rule.ID) in ("storage", "power"))
    return tuple(rule for rule in all_rules() if place in rule.SLOTS and rule.KIND != "buying")


def _serves(problem: Problem, trial: Draft, rules: Sequence[Rule]) -> bool:
    """Whether every rule admits the trial and asks for nothing that the plan does not buy already."""
    for rule in rules:
        for need in rule.needs(trial.parts, problem):
            line = trial.bought_for(need.rule, need.key)
            if need.options and (line is None or line.item not in {extra for extra, _ in need.options}):
                return False
        if any(not finding.admits for finding in rule.admits(trial, problem)):
            return False
    return True


def _cheapest(problem: Problem, table: str, fits: Callable[[Any], bool]) -> tuple[Replacement | None, bool]:
    """The cheapest part of a table on offer that fits, and whether all were looked at."""
    offered = _offered(problem, table)
    for price, part in offered[:MOST_TRIED]:
        if fits(part):
            return Replacement(part.id, price, part.mass_g), True
    return None, len(offered) <= MOST_TRIED


def _offered(problem: Problem, table: str) -> list[tuple[int, Any]]:
    """(price, part) of a catalogue table by price, then id: offers that the buying rules allow, one piece
    each."""
    found = problem.store.offered.get(table)
    if found is None:
        rows = {row.id: row for row in problem.source.tables[table]}
        if table == "psus":
            sold: dict[str, list[Offer]] = {key: [] for key in rows}
            for offer in problem.source.tables["offers"]:
                if offer.part in sold:
                    sold[offer.part].append(offer)
            rows = {key: sold_as_new(row, sold[key], problem.today.year) for key, row in rows.items()}
        allowed = allowed_by(problem, all_rules())
        least: dict[str, int] = {}
        for offer in problem.source.tables["offers"]:
            if offer.part in rows and allowed.offer(offer, 1):
                least[offer.part] = min(offer.price, least.get(offer.part, offer.price))
        found = problem.store.offered[table] = [
            (price, rows[part]) for price, part in sorted((price, part) for part, price in least.items())
        ]
    return found


__all__ = ["MOST_TRIED", "keeping", "with_keeping"]
