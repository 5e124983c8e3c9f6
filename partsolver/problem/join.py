"""Join survey, catalogue, offers and brief into a Problem. Pure: no file, clock or environment."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from partsolver.base.errors import nearest, nearest_part, refuse
from partsolver.base.quantities import given_amount
from partsolver.base.records import exchanged
from partsolver.catalog.load import Catalog, bundled_parts
from partsolver.catalog.records import PART_TABLES, Bundle, Cpu, Offer, Psu
from partsolver.performance.estimate import with_estimates_beside
from partsolver.problem.candidates import (
    BOXED_COOLER,
    KEPT_GRAPHICS,
    KEPT_MEMORY,
    SLOTS,
    Candidate,
    CoolerChoice,
    DriveChoice,
    SlotName,
)
from partsolver.problem.graphics_choices import graphics_candidates
from partsolver.problem.memory_choices import by_key, memory_candidates, sorted_offers
from partsolver.problem.problem import Problem
from partsolver.problem.store import Reads, Store
from partsolver.problem.variants import variants, with_condition
from partsolver.problem.years import check_years
from partsolver.standards import operating_systems, settings
from partsolver.survey.model import Survey
from partsolver.wishes.brief import Brief
from partsolver.wishes.uses import Use, find_use

NO_SYSTEM = "none"


def join(survey: Survey, catalog: Catalog, brief: Brief, like: Problem | None = None) -> Problem:
    """The problem of one survey, catalogue and brief. Raises InputRefused for wishes that name nothing.

    ``like``: a problem of the same catalogue; what reads the same facts of both is taken from there.
    """
    digits = catalog.info.digits
    today = brief.today or catalog.info.as_of
    _check_names(brief, catalog)
    _check_left_out(brief, survey)
    check_years(survey, today)
    try:
        chosen_settings = settings.apply(brief.settings)
    except ValueError as error:
        raise refuse("brief.settings", str(error)) from None
    family = brief.os or survey.os.family or NO_SYSTEM
    known = operating_systems.OPERATING_SYSTEMS
    for named in (family, *(survey.os.licence_for or ())):
        if named != NO_SYSTEM and named not in known:
            raise refuse(
                "os", "no such family of operating systems", named, ", ".join(known), nearest(named, known)
            )
    offers = _offers(catalog) if like is None else {}
    use = use_of(brief, chosen_settings)
    problem = Problem(
        survey=survey,
        brief=brief,
        catalog=catalog.info,
        settings=chosen_settings,
        today=today,
        budget=_amount("budget", brief.budget, digits, catalog.info.currency),
        candidates=_candidates(survey, catalog, brief, use, like),
        extras={extra.id: extra for extra in catalog.tables["extras"]},
        extra_offers=like.extra_offers if like is not None else _extra_offers(catalog, offers),
        bundles=_bundles(catalog, "parts"),
        complete_pcs=_bundles(catalog, "complete-pc"),
        sellers={seller.id: seller for seller in catalog.tables["sellers"]},
        use=use,
        os=None if family == NO_SYSTEM else operating_systems.requirements(family, chosen_settings),
        not_offered=like.not_offered if like is not None else _not_offered(catalog, offers),
        names=like.names if like is not None and like.survey is survey else _names(survey, catalog),
        source=catalog,
        store=Store(),
    )
    return problem if like is None else replace(problem, store=_still_true(like, problem))


def use_of(brief: Brief, chosen_settings: Mapping[str, int]) -> Use:
    """The use that a brief asks for. Raises InputRefused."""
    return find_use(
        brief.use,
        brief.shares,
        brief.working_set_mib,
        brief.open_at_once,
        brief.shares_concentration,
        chosen_settings,
    )


def changed(problem: Problem, survey: Survey | None = None, **brief: Any) -> Problem:
    """The same problem with another survey or other wishes. Raises InputRefused like `join`."""
    return join(survey or problem.survey, problem.source, problem.brief.model_copy(update=brief), problem)


def _offers(catalog: Catalog) -> Mapping[str, list[Offer]]:
    """The offers of every part that is sold: none for one that is sold only inside a bundle."""
    offers: dict[str, list[Offer]] = defaultdict(list)
    sellers = {seller.id: seller for seller in catalog.tables["sellers"]}
    for offer in catalog.tables["offers"]:
        offers[offer.part].append(with_condition(offer, sellers))
    for part in sorted(bundled_parts(catalog)):
        offers.setdefault(part, [])
    return offers


def _bundles(catalog: Catalog, kind: str) -> tuple[Bundle, ...]:
    sellers = {seller.id: seller for seller in catalog.tables["sellers"]}
    return tuple(with_condition(b, sellers) for b in catalog.tables["bundles"] if b.kind == kind)


def _holding(catalog: Catalog) -> Mapping[str, list[Bundle]]:
    """The bundles of parts that hold each part."""
    holding: dict[str, list[Bundle]] = defaultdict(list)
    for bundle in _bundles(catalog, "parts"):
        for item, _ in bundle.items:
            holding[item].append(bundle)
    return holding


def _sold(
    slot: SlotName, parts: Iterable[Any], catalog: Catalog, offers: Mapping[str, list[Offer]]
) -> Iterator[Candidate]:
    """Catalogue parts, one candidate per state in which they are sold (problem/variants.py)."""
    holding = _holding(catalog)
    for part in parts:
        if part.id in offers:
            for key, sold, own in variants(slot, part, offers[part.id], holding.get(part.id, ())):
                yield Candidate(slot, key, sold, part.id, 1, sorted_offers(own), False)


def _extra_offers(catalog: Catalog, offers: Mapping[str, list[Offer]]) -> Mapping[str, tuple[Offer, ...]]:
    return {
        extra: sorted_offers(offers[extra])
        for extra in sorted(extra.id for extra in catalog.tables["extras"])
        if extra in offers
    }


def _not_offered(catalog: Catalog, offers: Mapping[str, list[Offer]]) -> Mapping[str, int]:
    return {
        table: sum(1 for row in catalog.tables[table] if row.id not in offers)
        for table in ("boards", "cpus", "memory")
    }


def _read_by(survey: Survey, brief: Brief, use: Use) -> dict[SlotName, Any]:
    """What the candidates of each slot read beside the catalogue."""
    pc, replace = survey.pc, brief.replace
    return {
        "board": (survey.board, pc.board_works),
        "cpu": (survey.cpu, survey.board.year, pc.cpu_works),
        "memory": (survey.memory, pc.memory_works, pc.memory_seen_mib),
        "cooler": survey.cooler,
        "psu": (survey.psu, "psu" in replace),
        "case": (survey.case, "case" in replace),
        "drive": (survey.system_drive, "drive" in replace),
        "graphics": (survey.cards, "graphics" in replace, use.share("graphics") > 0),
    }


def _candidates(
    survey: Survey, catalog: Catalog, brief: Brief, use: Use, like: Problem | None
) -> dict[SlotName, tuple[Candidate, ...]]:
    reads = _read_by(survey, brief, use)
    same: dict[SlotName, tuple[Candidate, ...]] = {}
    if like is not None:
        before = _read_by(like.survey, like.brief, like.use)
        same = {slot: like.candidates[slot] for slot in SLOTS if reads[slot] == before[slot]}
        if len(same) == len(SLOTS):
            return same
    offers = _offers(catalog)
    replace = brief.replace
    make: dict[SlotName, Callable[[], tuple[Candidate, ...]]] = {
        "board": lambda: _boards(survey, catalog, offers),
        "cpu": lambda: _cpus(survey, catalog, offers),
        "memory": lambda: memory_candidates(survey, catalog, offers),
        "cooler": lambda: _coolers(survey, catalog, offers),
        "psu": lambda: _replaceable(
            survey.psu, _supplies(catalog, offers), catalog, offers, "psu" in replace
        ),
        "case": lambda: _replaceable(
            survey.case, catalog.tables["cases"], catalog, offers, "case" in replace, "case"
        ),
        "drive": lambda: _drives(survey, catalog, offers, "drive" in replace),
        "graphics": lambda: graphics_candidates(
            survey,
            _sold("graphics", catalog.tables["graphics"], catalog, offers),
            "graphics" in replace,
            use.share("graphics") > 0,
        ),
    }
    return {slot: same[slot] if slot in same else make[slot]() for slot in SLOTS}


# Wishes that only a ranking as a whole reads: nothing that is remembered of a problem hangs on them.
_OF_RANKINGS = {"budget", "goal", "min_speedup", "min_memory_gb", "resolution_percent", "alternatives"}
# Wishes that the expected time reads, and no rule about parts.
_OF_TIME = {"use", "shares", "shares_concentration", "working_set_mib", "open_at_once"}
# Wishes that beside them no rule about parts reads (by what day, and what must not be bought, only where other extras
# can be had).
_NOT_RULED = {*_OF_RANKINGS, *_OF_TIME, "replace", "including", "without", "need_by"}


def _still_true(like: Problem, problem: Problem) -> Store:
    """What a problem remembers that holds for another survey and other wishes too."""
    survey, brief = problem.survey, problem.brief
    before, reads = _read_by(like.survey, like.brief, like.use), _read_by(survey, brief, problem.use)
    differing = {name for name in Brief.model_fields if getattr(brief, name) != getattr(like.brief, name)}
    same_slots = {slot for slot in SLOTS if reads[slot] == before[slot]}
    same_survey = _same_facts(survey, like.survey)
    if differing <= _OF_RANKINGS and len(same_slots) == len(SLOTS) and same_survey:
        return like.store
    changed_wishes: set[Reads] = set()
    if not differing <= _NOT_RULED or problem.obtainable_extras() != like.obtainable_extras():
        changed_wishes |= {"rule wishes", "time wishes"}
    if differing & _OF_TIME:
        changed_wishes.add("time wishes")
    return like.store.carried(same_slots, changed_wishes, same_survey)


def _same_facts(survey: Survey, other: Survey) -> bool:
    """Whether two surveys state the same, however it is written."""
    return survey is other or survey.model_copy(update={"text": other.text}) == other


def _amount(name: str, text: str | None, digits: int, currency: str) -> int | None:
    if text is None:
        return None
    value = given_amount(name, text, digits, currency)
    if value < 0:
        raise refuse(name, "must not be negative", text, "an amount of 0 or more")
    return value


def _check_names(brief: Brief, catalog: Catalog) -> None:
    known = {
        *catalog.table_of,
        "kept-board",
        "kept-cpu",
        KEPT_MEMORY,
        "kept-cooler",
        "kept-psu",
        "kept-case",
        "kept-drive",
        KEPT_GRAPHICS,
    }
    known |= {bundle.id for bundle in catalog.tables["bundles"]}
    for option, ids in (("without", brief.without), ("with", brief.including)):
        for part in ids:
            if part not in known:
                raise refuse(
                    f"--{option}",
                    "no such part in this catalogue",
                    part,
                    "an id of the catalogue",
                    nearest_part(part, _known_names(catalog, known)),
                )
    both = sorted(set(brief.without) & set(brief.including))
    if both:
        raise refuse("--with / --without", "the same part is both demanded and excluded", both[0])


def optional_names(survey: Survey) -> tuple[str, ...]:
    """Cards and drives that the owner can do without, by name."""
    drives = [drive.name for drive in survey.drives if not drive.required and not drive.system]
    return (*(card.name for card in survey.cards if not card.required), *drives)


def _check_left_out(brief: Brief, survey: Survey) -> None:
    optional = optional_names(survey)
    for name in brief.leave_out:
        if name not in optional:
            known = {card.name for card in survey.cards} | {drive.name for drive in survey.drives}
            what = "the owner needs it (required)" if name in known else "no such card or drive in the survey"
            listed = ", ".join(optional) or "there is no optional card or drive"
            raise refuse("leave_out", what, name, listed, nearest(name, optional))


def _known_names(catalog: Catalog, known: Iterable[str]) -> dict[str, str]:
    """Names of the parts that may be named; an id without a name stands for itself."""
    names = {row.id: row.name for table in (*PART_TABLES, "bundles") for row in catalog.tables[table]}
    return {part: names.get(part, part) for part in known}


def _boards(survey: Survey, catalog: Catalog, offers: Mapping[str, list[Offer]]) -> tuple[Candidate, ...]:
    result = [*_sold("board", catalog.tables["boards"], catalog, offers)]
    if survey.pc.board_works:
        result.append(Candidate("board", "kept-board", survey.board, None, 1, (), True))
    return tuple(sorted(result, key=by_key))


def _cpus(survey: Survey, catalog: Catalog, offers: Mapping[str, list[Offer]]) -> tuple[Candidate, ...]:
    cpus = catalog.tables["cpus"]
    estimated: Mapping[str, Cpu] = with_estimates_beside(survey, catalog.info, cpus)
    result = [*_sold("cpu", [estimated[cpu.id] for cpu in cpus], catalog, offers)]
    if survey.pc.cpu_works:
        result.append(Candidate("cpu", "kept-cpu", estimated[survey.cpu.id], None, 1, (), True))
    return tuple(sorted(result, key=by_key))


def _coolers(survey: Survey, catalog: Catalog, offers: Mapping[str, list[Offer]]) -> tuple[Candidate, ...]:
    """The present cooler, the one in the processor's box, and those on sale. Key order = preference among
    equals."""
    result = [Candidate("cooler", BOXED_COOLER, CoolerChoice(BOXED_COOLER, None, True), None, 1, (), False)]
    kept = CoolerChoice("kept-cooler", survey.cooler)
    result.append(Candidate("cooler", "kept-cooler", kept, None, 1, (), True))
    for sold in _sold("cooler", catalog.tables["coolers"], catalog, offers):
        result.append(exchanged(sold, {"part": CoolerChoice(sold.id or "", sold.part)}))  # type: ignore[arg-type]
    return tuple(sorted(result, key=lambda c: (c.id is not None, c.key)))


def _replaceable(
    kept: Any,
    parts: Iterable[Any],
    catalog: Catalog,
    offers: Mapping[str, list[Offer]],
    allowed: bool,
    slot: SlotName = "psu",
) -> tuple[Candidate, ...]:
    result = [Candidate(slot, kept.id, kept, None, 1, (), True)]
    if allowed:
        result += _sold(slot, parts, catalog, offers)
    return tuple(sorted(result, key=lambda c: (not c.kept, c.key)))


def _supplies(catalog: Catalog, offers: Mapping[str, list[Offer]]) -> Iterator[Psu]:
    """Supplies as they are sold: one that is only sold new and whose year nobody stated is of this year."""
    for psu in catalog.tables["psus"]:
        yield sold_as_new(psu, offers.get(psu.id, ()), catalog.info.as_of.year)


def sold_as_new(psu: Psu, offers: Iterable[Offer], year: int) -> Psu:
    """A supply without a year that is sold new by everybody, made in ``year``; any other as it is."""
    listed = list(offers)
    new = psu.year is None and listed and all(offer.condition == "new" for offer in listed)
    return replace(psu, year=year) if new else psu


def _drives(
    survey: Survey, catalog: Catalog, offers: Mapping[str, list[Offer]], allowed: bool
) -> tuple[Candidate, ...]:
    kept = DriveChoice("kept-drive", survey.system_drive, None)
    result = [Candidate("drive", "kept-drive", kept, None, 1, (), True)]
    if allowed:
        for drive in catalog.tables["drives"]:
            if drive.id in offers:
                choice = DriveChoice(drive.id, None, drive)
                result.append(
                    Candidate("drive", drive.id, choice, drive.id, 1, sorted_offers(offers[drive.id]), False)
                )
    return tuple(sorted(result, key=lambda c: (not c.kept, c.key)))


def _names(survey: Survey, catalog: Catalog) -> dict[str, str]:
    """Part id -> name for reports."""
    names = {
        "kept-board": survey.board.name,
        "kept-cpu": survey.cpu.name,
        KEPT_MEMORY: "present memory",
        "kept-cooler": survey.cooler.name if survey.cooler else "present cooler",
        "kept-psu": survey.psu.name,
        "kept-case": survey.case.name,
        "kept-drive": survey.system_drive.name if survey.system_drive else "present drive",
        KEPT_GRAPHICS: next((c.name for c in survey.cards if c.kind == "graphics"), "no graphics card"),
        BOXED_COOLER: "cooler in the processor's box",
    }
    total = sum(module.count for module in survey.memory)
    for n in range(1, total):
        names[f"{KEPT_MEMORY}*{n}"] = f"the best {n} of the {total} present modules"
    for table, rows in catalog.tables.items():
        if table != "offers":
            names.update((row.id, row.name) for row in rows)
    return names


__all__ = ["changed", "join", "sold_as_new"]
