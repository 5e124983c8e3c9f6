"""Each 12 V rail of the label carries what hangs on it.

Which plug hangs on which rail stands on few labels: the design guides feed the processor from 12V2, opened units differ,
and some have no separate limits inside. Refused where no plausible mapping of plugs to rails fits; where only some do, it
is asked before anything is ordered. A rail's limit is a protection circuit: it counts as written on the label, without a
share for age (that share belongs to the whole supply, power.rail_12v). What the present PC draws from each group of plugs,
the same supply carries tomorrow.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly import loads
from partsolver.assembly.network import Flows, flows, today_flows, unknown_card_question
from partsolver.assembly.plugs import all_kept, question
from partsolver.assembly.supply import GROUPS, Mapped, rail_mappings, with_slack
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import SlotName
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
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "psu", "case", "drive")
READS: Reads = {
    **loads.LOAD_READS,
    "board": ("cpu_plugs", "load_mw", "slots", "year"),
    "psu": ("cpu_plugs", "cpu_rail", "rail_12v_ma", "year"),
}
SURVEY: tuple[str, ...] = (
    "board", "cards", "case", "cpu", "devices", "drives", "memory", "psu"
)  # fmt: skip


def today_mapping(problem: Problem) -> Mapped:
    """What each group of plugs carries today, as a mapping of its own."""
    now = today_flows(problem)
    return tuple(((group,), with_slack(problem, getattr(now, group).ma_12v)) for group in GROUPS)


def _over(mapping: Mapped, drawn: Flows) -> tuple[int, int]:
    """(current, limit) of the circuit of a mapping that is loaded most."""
    loaded = [(drawn.of(groups).ma_12v, limit) for groups, limit in mapping]
    return max(loaded, key=lambda pair: (pair[0] - pair[1], pair[0]))


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    mappings = rail_mappings(parts.psu, problem.settings)
    if not mappings:
        return ()
    ids = (parts.psu.id,)
    drawn = flows(problem, parts)
    if all_kept(parts, SLOTS):
        return (fits(ID, ids, drawn.total.ma_12v, today="yes"),)
    worst = [_over(mapping, drawn) for mapping in mappings]
    fitting = [current <= limit for current, limit in worst]
    rails = "+".join(str(ma) for ma in parts.psu.rail_12v_ma or ())
    if all(fitting):
        current, limit = max(worst, key=lambda pair: (pair[0] - pair[1], pair[0]))
        return (at_most(ID, current, limit, "mA", ids, rails=rails),)
    if parts.candidate("psu").kept and all(
        drawn.of(groups).ma_12v <= limit for groups, limit in today_mapping(problem)
    ):
        return (fits(ID, ids, drawn.total.ma_12v, today="no more", rails=rails),)
    if any(fitting):
        current, limit = worst[fitting.index(False)]
        guide = "no" if fitting[0] else "yes"
        asked = question(parts.candidate("psu"), "cpu_rail")
        return (unknown(ID, asked, ids, current=current, limit=limit, guide=guide, rails=rails),)
    current, limit = min(worst, key=lambda pair: (pair[0] - pair[1], pair[0]))
    card = unknown_card_question(problem, parts.board, parts.case)
    if card is not None:
        return (unknown(ID, card, ids, blocks=True, current=current, limit=limit, rails=rails),)
    return (at_most(ID, current, limit, "mA", ids, rails=rails),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    from partsolver.model.currents import card_terms, weighted

    settings = problem.settings
    listed: dict[Any, list[Any]] = {}
    for candidate, literal in picks.of("psu"):
        mappings = rail_mappings(candidate.part, settings)
        if mappings:
            plugs = candidate.part.cpu_plugs == ()
            listed.setdefault((mappings, plugs, candidate.kept), []).append(literal)
    if not listed:
        return

    def by_candidate(slot: SlotName, load: Any) -> list[Any]:
        return [(literal, load(candidate.part).ma_12v) for candidate, literal in picks.of(slot)]

    cpu = by_candidate("cpu", lambda part: loads.cpu_load(part, settings))
    main = by_candidate("board", lambda part: loads.board_load(part, settings))
    main += by_candidate("case", lambda part: loads.case_load(part, settings))
    main += card_terms(picks, "slots at 12 V", lambda card: card.slot.ma_12v)
    main.append((picks.true, loads.cpu_fan_load(settings).ma_12v))
    # M.2 modules and drives on USB ports take nothing at 12 V: every drive with a 12 V current hangs on a drive lead.
    drives = by_candidate("drive", lambda part: loads.system_drive_load(part, settings))
    others = [d for d in problem.survey.drives if not d.system]
    drives.append((picks.true, sum(loads.drive_load(d, settings).ma_12v for d in others)))
    card = card_terms(picks, "plugs at 12 V", lambda card: card.plugs.ma_12v)
    groups = {"main": main, "drives": drives, "card": card, "cpu": []}
    headers = picks.classes("board", "no processor header", lambda c: c.part.cpu_plugs == ())
    changed = picks.anything_new(SLOTS)
    for number, ((mappings, without_plug, kept), literals) in enumerate(listed.items()):
        supply = picks.any_of(literals)
        for without_header, board in headers.items():
            way = "main" if without_header else "drives" if without_plug else "cpu"
            drawn = {name: weighted(terms + (cpu if name == way else [])) for name, terms in groups.items()}
            ways = []
            for place, mapping in enumerate((*mappings, today_mapping(problem)) if kept else mappings):
                way_literal = model.new_bool_var(f"{ID}:{number}:{without_header}:{place}")
                for names, limit in mapping:
                    model.add(sum(drawn[name] for name in names) <= limit).only_enforce_if(way_literal)
                ways.append(way_literal)
            picks.clause([~supply, ~board, ~changed, *ways], on)
