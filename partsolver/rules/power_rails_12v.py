"""Each 12 V rail of the label carries what hangs on it.

Which plug hangs on which rail stands on few labels: the design guides feed the processor from 12V2, opened
units differ, and some have no separate limits inside. Refused where no plausible mapping of plugs to rails
fits; where only some do, it is asked before anything is ordered; once the processor's rail is found out, the rest
is a remark (where drives and cards hang stands on no label). A rail's limit is a protection circuit: it
counts as written on the label, without a share for age (that share belongs to the whole supply,
power.rail_12v); while the disks start it may pass that by the design guide's peak. What the present PC draws
from each group of plugs, the same supply carries tomorrow.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING, Any

from partsolver.assembly import loads
from partsolver.assembly.currents import Load
from partsolver.assembly.network import flows, gone_card_question, unknown_card_question
from partsolver.assembly.network_limits import mapping_fits, most_loaded, today_mapping
from partsolver.assembly.plugs import all_kept, question
from partsolver.assembly.supply import Mapped, rail_mappings
from partsolver.assembly.unproven import (
    Feed,
    Unproven,
    feeds,
    perhaps_from_5v,
    unproven_cards,
    unseen_header,
)
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.rails_12v"
STATEMENT = "With some plausible mapping of plugs to 12 V rails each rail carries what hangs on it at 12 V."
SOURCE = (
    "Intel 621484 rev 004, rails listed separately (guide's mapping); units opened by a test site and 240 VA limits:"
    " loads reference section 5"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "psu", "case", "drive", "graphics")
READS: Reads = {
    **loads.LOAD_READS,
    "psu": ("cpu_plugs", "cpu_rail", "rail_12v_ma", "year"),
}
SURVEY: tuple[str, ...] = (
    "board", "cards", "case", "cpu", "devices", "drives", "memory", "psu"
)  # fmt: skip


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    mappings = rail_mappings(parts.psu, problem.settings)
    if not mappings:
        return ()
    if all_kept(parts, SLOTS):
        return (fits(ID, (parts.psu.id,), flows(problem, parts).total.ma_12v, today="yes"),)
    ways = feeds(problem, parts.board, parts.board_kept)
    first, *others = (_fed(problem, parts, mappings, way) for way in ways)
    worse = next((found for found in others if not found.admits), None)
    if worse is None or not first.admits or worse.verdict == "unknown":
        return (first if worse is None or not first.admits else worse,)
    header = unseen_header(problem)  # it would do if the boards were known to feed the processor from 12 V
    facts = dict(worse.facts) | {"feed": "5v"}
    if header is None:
        return (replace(worse, facts=tuple(sorted(facts.items()))),)
    drawn, limit = int(worse.value or 0), int(worse.limit or 0)
    return (unknown(ID, header, worse.parts, blocks=True, current=drawn, limit=limit, **facts),)


def _fed(problem: Problem, parts: Parts, mappings: tuple[Mapped, ...], way: Feed) -> Finding:
    """What is found with the processors fed in this way."""
    ids = (parts.psu.id,)
    drawn = flows(problem, parts, way.then)
    worst = [most_loaded(mapping, drawn) for mapping in mappings]
    fitting = [current <= limit for current, limit, _ in worst]
    rails = "+".join(str(ma) for ma in parts.psu.rail_12v_ma or ())
    if all(fitting):
        current, limit, starts = max(worst, key=lambda item: (item[0] - item[1], item[0]))
        return at_most(ID, current, limit, "mA", ids, rails=rails, starting=_word(starts))
    cards = unproven_cards(problem, parts.board, parts.case, parts.graphics)
    kept = parts.candidate("psu").kept
    if kept and mapping_fits(today_mapping(problem, Unproven(cards, way.now)), drawn):
        return fits(ID, ids, drawn.total.ma_12v, today="no more", rails=rails)
    if any(fitting):
        current, limit, starts = worst[fitting.index(False)]
        guide = "no" if fitting[0] else "yes"
        if parts.psu.cpu_rail is not None:  # where drives and cards hang stands on no label: said, not asked
            value, carries, at_start = worst[fitting.index(True)]
            other: dict[str, str | int] = {
                "current": current,
                "other_limit": limit,
                "other_starting": _word(starts),
            }
            return at_most(
                ID, value, carries, "mA", ids, warning="other rail", guide=guide, rails=rails,
                starting=_word(at_start), **other,
            )  # fmt: skip
        asked = question(parts.candidate("psu"), "cpu_rail")
        return unknown(
            ID, asked, ids, current=current, limit=limit, guide=guide, rails=rails, starting=_word(starts)
        )
    current, limit, starts = min(worst, key=lambda item: (item[0] - item[1], item[0]))
    card = unknown_card_question(problem, parts.board, parts.case, parts.graphics)
    if card is not None:
        return unknown(ID, card, ids, blocks=True, current=current, limit=limit, rails=rails)
    if kept and mapping_fits(today_mapping(problem, Unproven(from_5v=way.now)), drawn):
        gone = gone_card_question(problem, parts.board, parts.case, parts.graphics) or ""
        return unknown(ID, gone, ids, blocks=True, current=current, limit=limit, rails=rails, gone="yes")
    return at_most(ID, current, limit, "mA", ids, rails=rails, starting=_word(starts))


def _word(starting: bool) -> str:
    return "yes" if starting else "no"


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    from partsolver.model.currents import feed_ways, unproven_ways, weighted

    settings = problem.settings
    listed: dict[Any, list[Any]] = {}
    for candidate, literal in picks.candidates("psu"):
        mappings = rail_mappings(candidate.part, settings)
        if mappings:
            plugs = candidate.part.cpu_plugs == ()
            listed.setdefault((mappings, plugs, candidate.kept), []).append(literal)
    if not listed:
        return

    at_work = _drawn(picks, problem, lambda load: load.ma_12v, "at 12 V")
    at_start = _drawn(picks, problem, lambda load: load.start_12v, "at 12 V while the disks start")
    headers = picks.classes(
        "board",
        "no processor header, fed from 5 V",
        lambda c: (c.part.cpu_plugs == (), perhaps_from_5v(c.part, settings)),
    )
    changed = picks.anything_new(SLOTS)
    for number, ((mappings, without_plug, kept), literals) in enumerate(listed.items()):
        supply = picks.any_of(literals)
        for ((without_header, early), board), (feed, possible) in product(headers.items(), feed_ways(picks)):
            way = "main" if without_header else "drives" if without_plug else "cpu"
            if feed.then and early:
                way = ""  # at 5 V
            work, start = (
                {name: weighted(terms + (cpu if name == way else [])) for name, terms in groups.items()}
                for cpu, groups in (at_work, at_start)
            )
            always = [(mapping, picks.true) for mapping in mappings]
            # Cards that go and whose load nobody stated prove nothing of today: each way without them is its own.
            today = [
                (today_mapping(problem, Unproven(supposed, feed.now)), gone)
                for supposed, gone in (unproven_ways(picks) if kept else ())
            ]
            ways = []
            for place, (mapping, where) in enumerate([*always, *today]):
                way_literal = model.new_bool_var(f"{ID}:{number}:{without_header}:{early}:{feed}:{place}")
                if not picks.is_true(where):
                    model.add_implication(way_literal, where)
                for circuit in mapping:
                    for drawn, limit in ((work, circuit.work_ma), (start, circuit.start_ma)):
                        together = sum(drawn[name] for name in circuit.groups)
                        model.add(together <= limit).only_enforce_if(way_literal)
                ways.append(way_literal)
            left = [] if picks.is_true(possible) else [~possible]
            picks.clause([~supply, ~board, ~changed, *left, *ways], on)


def _drawn(
    picks: Picks, problem: Problem, value: Callable[[Load], int], name: str
) -> tuple[list[Any], dict[str, list[Any]]]:
    """(the processor's terms, terms of each group without it) of a current."""
    from partsolver.model.currents import card_terms

    settings = problem.settings

    def by_candidate(slot: SlotName, load: Any) -> list[Any]:
        return [(literal, value(load(candidate.part))) for candidate, literal in picks.candidates(slot)]

    cpu = by_candidate("cpu", lambda part: loads.cpu_load(part, settings))
    main = by_candidate("board", lambda part: loads.board_load(part, settings))
    main += by_candidate("case", lambda part: loads.case_load(part, settings))
    main += card_terms(picks, f"slots {name}", lambda card: value(card.slot))
    main.append((picks.true, value(loads.cpu_fan_load(settings))))
    # M.2 modules and drives on USB ports take nothing at 12 V: every drive with a 12 V current hangs on a
    # drive lead.
    drives = by_candidate("drive", lambda part: loads.system_drive_load(part, settings))
    others = [d for d in problem.drives if not d.system]
    drives.append((picks.true, sum(value(loads.drive_load(d, settings)) for d in others)))
    card = card_terms(picks, f"plugs {name}", lambda card: value(card.plugs))
    return cpu, {"main": main, "drives": drives, "card": card, "cpu": []}
