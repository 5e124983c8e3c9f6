"""The processor's 12 V current stays within what its plugs carry.

Usual current: full load for more than a second, at a usual regulator; highest: the short-term limit at a poor
regulator and the lowest permitted 12 V (standards/processors says which power of which class). Limits:
contacts x current per contact, a usual one and one never to exceed. Refused where the current passes the
latter (the highest current of a processor whose maker states its limit, else the usual one); where the
highest passes the former, the plan stands with a warning. Contacts of the kept supply carry what they carry
today: a processor that draws no more through as many of them fits. A 4-contact plug in an 8-contact header
counts as 4 contacts, two of them as 8. An adapter must carry the highest current. How the kept supply feeds
the kept board may be unknown: then it is asked before more flows than today and than one plug of four
contacts carries, the least there is (through an adapter: than one peripheral plug does), and more than all contacts
of the board's headers carry is refused. Not
checked: wires thinner than 18 AWG, worn contacts.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.currents import Load
from partsolver.assembly.leads import peripheral_leads, peripheral_limit_ma
from partsolver.assembly.loads import CPU_READS, cpu_load, power_of_cpu
from partsolver.assembly.plugs import all_kept, feeding_plugs, question
from partsolver.assembly.supply import with_slack
from partsolver.catalog.records import Cpu
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.plugs import cpu_plugs_limit_ma

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.cpu_current"
STATEMENT = "The 12 V current of the processor stays within what its power plugs carry."
SOURCE = (
    "Intel 336521 (ATX 3.0), section 2.2.1; Upgrading and Repairing PCs, p. 925; AMP catalogue 82181"
    " (adapters)"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "psu")
READS: Reads = {
    "board": ("cpu_plugs",),
    "cpu": CPU_READS,
    "psu": ("cpu_plugs", "peripheral_leads", "peripheral_plugs"),
}
SURVEY: tuple[str, ...] = ("board", "cpu", "psu")
LEAST_PLUG = ("4",)


def contact_ma(cpu: Cpu, load: Load) -> int:
    """Current that decides at the contacts: the highest where the maker states the limit, since heat in a
    contact does not forgive a poor regulator; the usual one where the limit is a range by class, or was
    measured at the plug."""
    power = power_of_cpu(cpu)
    stated = cpu.power_limit_w is not None and power is not None and not power.at_plug
    return load.most_12v if stated else load.ma_12v


def today_ma(problem: Problem, fed: tuple[str, ...]) -> int:
    """What the processor plugs of the present supply carry today, with the slack of the estimate, where no
    more contacts than ``fed`` carry it; else 0."""
    survey = problem.survey
    now = feeding_plugs(survey.board.cpu_plugs or (), survey.psu.cpu_plugs or ())
    if not now or sum(map(int, now)) > sum(map(int, fed)):
        return 0
    return with_slack(problem, contact_ma(survey.cpu, cpu_load(survey.cpu, problem.settings)))


def most_ma(problem: Problem, fed: tuple[str, ...], supply_kept: bool) -> int:
    """The current that plugs of these sizes never exceed; those of the kept supply may what they carry
    today."""
    never = cpu_plugs_limit_ma(fed, problem.settings, hard=True)
    return max(never, today_ma(problem, fed)) if supply_kept else never


def _unseen_most_ma(problem: Problem, contacts: tuple[str, ...]) -> int:
    """The current that kept plugs of which nobody knows never exceed: that of these contacts, and today's."""
    survey = problem.survey
    today = with_slack(problem, contact_ma(survey.cpu, cpu_load(survey.cpu, problem.settings)))
    return max(cpu_plugs_limit_ma(contacts, problem.settings, hard=True), today)


def _unseen_adapter_ma(problem: Problem) -> int:
    """The highest current that an adapter of which nobody knows carries: that of one peripheral plug, and today's."""
    today = with_slack(problem, cpu_load(problem.survey.cpu, problem.settings).most_12v)
    return max(peripheral_limit_ma(problem), today)


def _known_contacts(headers: tuple[str, ...] | None, plugs: tuple[str, ...] | None) -> tuple[str, ...]:
    """Contacts that surely feed the kept board: four where a fact is missing, all of its headers where an
    adapter does it that no fact describes."""
    return LEAST_PLUG if headers is None or plugs is None else headers


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    headers, plugs = parts.board.cpu_plugs, parts.psu.cpu_plugs
    ids = (parts.cpu.id, parts.board.id, parts.psu.id)
    load = cpu_load(parts.cpu, problem.settings)
    if all_kept(parts, ("board", "cpu", "psu")):
        return (fits(ID, ids, load.ma_12v, today="yes"),)
    if load.ma_12v == 0:
        return (unknown(ID, question(parts.candidate("cpu"), "tdp_w"), ids),)
    if headers == ():
        return (fits(ID, ids, load.ma_12v, header="none"),)
    if headers is None or plugs is None:
        return _not_seen(draft, problem, headers, ids)
    if not plugs:
        return _adapted(draft, problem, load.most_12v, ids)
    return _plugged(draft, problem, feeding_plugs(headers, plugs), ids)


def _not_seen(
    draft: Draft, problem: Problem, headers: tuple[str, ...] | None, ids: tuple[str, ...]
) -> tuple[Finding, ...]:
    """The current through plugs of which a fact is missing."""
    parts = draft.parts
    path = question(parts.candidate("board" if headers is None else "psu"), "cpu_plugs")
    if not all_kept(parts, ("board", "psu")):
        return (unknown(ID, path, ids),)  # power.cpu_plug blocks
    drawn = contact_ma(parts.cpu, cpu_load(parts.cpu, problem.settings))
    most = _unseen_most_ma(problem, headers or LEAST_PLUG)
    if headers is not None and drawn > most:
        return (at_most(ID, drawn, most, "mA", ids, plugs="+".join(headers)),)
    least = _unseen_most_ma(problem, LEAST_PLUG)
    if drawn > least:
        return (unknown(ID, path, ids, blocks=True, drawn=drawn, least=least),)
    return (unknown(ID, path, ids),)


def _adapted(draft: Draft, problem: Problem, current: int, ids: tuple[str, ...]) -> tuple[Finding, ...]:
    """The highest current through the adapter that is bought."""
    if all_kept(draft.parts, ("board", "psu")):
        headers = draft.parts.board.cpu_plugs or ()
        drawn = contact_ma(draft.parts.cpu, cpu_load(draft.parts.cpu, problem.settings))
        most = _unseen_most_ma(problem, headers)
        if drawn > most:
            return (at_most(ID, drawn, most, "mA", ids, plugs="+".join(headers)),)
        least = _unseen_adapter_ma(problem)
        if current > least:
            return (unknown(ID, "psu.cpu_plugs", ids, blocks=True, drawn=current, least=least),)
        return (unknown(ID, "psu.cpu_plugs", ids),)  # fed in a way the survey does not describe
    line = draft.bought_for("power.cpu_plug", "plug")
    if line is None:
        return ()  # power.cpu_plug asks for an adapter that carries it, and refuses where there is none
    extra = problem.extras[line.item]
    contacts = min(extra.count, peripheral_leads(draft.parts.psu)) * peripheral_limit_ma(problem)
    limit = contacts if extra.limit_ma is None else min(contacts, extra.limit_ma)
    return (at_most(ID, current, limit, "mA", ids, plugs="adapter"),)


def _plugged(
    draft: Draft, problem: Problem, fed: tuple[str, ...], ids: tuple[str, ...]
) -> tuple[Finding, ...]:
    """The current through the processor plugs of the supply."""
    parts, settings = draft.parts, problem.settings
    load = cpu_load(parts.cpu, settings)
    drawn = contact_ma(parts.cpu, load)
    hard = most_ma(problem, fed, parts.candidate("psu").kept)
    usual, what = min(cpu_plugs_limit_ma(fed, settings), hard), "+".join(fed)
    if load.most_12v <= usual:
        return (at_most(ID, drawn, usual, "mA", ids, plugs=what, most=load.most_12v),)
    facts: dict[str, str | int] = {"plugs": what, "most": load.most_12v, "usual_ma": usual}
    if drawn > hard:
        return (at_most(ID, drawn, hard, "mA", ids, **facts),)
    finding = at_most(ID, drawn, hard, "mA", ids, warning="over usual", **facts)
    if parts.cpu.power_limit_w is not None:
        return (finding,)
    return (finding, unknown(ID, question(parts.candidate("cpu"), "power_limit_w"), ids))


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    settings = problem.settings
    supplies = picks.classes(
        "psu",
        "processor plugs",
        lambda c: (c.part.cpu_plugs, c.kept),
    )
    boards = picks.classes("board", "power.cpu_current", lambda c: (c.part.cpu_plugs, c.kept))
    drawn = picks.classes(
        "cpu",
        "12 V at the contacts, highest, kept",
        lambda c: (
            contact_ma(c.part, cpu_load(c.part, settings)),
            cpu_load(c.part, settings).most_12v,
            c.kept,
        ),
    )
    here = problem.survey
    present_contacts = sum(
        int(size) for size in feeding_plugs(here.board.cpu_plugs or (), here.psu.cpu_plugs or ())
    )
    present = with_slack(problem, contact_ma(here.cpu, cpu_load(here.cpu, settings)))
    for (plugs, psu_kept), supply in supplies.items():
        for (headers, board_kept), board in boards.items():
            seen = bool(headers and plugs)
            if headers == () or (not seen and not (psu_kept and board_kept)):
                continue  # no header, or power.cpu_plug asks or has an adapter bought
            contacts = feeding_plugs(headers, plugs) if seen else _known_contacts(headers, plugs)
            most = sum(settings[f"cpu_plug_{size}pin_hard_ma"] for size in contacts)
            as_many = sum(int(size) for size in contacts) >= present_contacts > 0
            if psu_kept and (as_many or not seen):
                most = max(most, present)
            for (current, highest, cpu_kept), cpu in drawn.items():
                adapted = plugs == () and headers is not None
                if current > most or (adapted and highest > _unseen_adapter_ma(problem)):
                    where: dict[SlotName, tuple[BoolVar, bool]] = {
                        "board": (board, board_kept),
                        "psu": (supply, psu_kept),
                        "cpu": (cpu, cpu_kept),
                    }
                    picks.refuse_new(where, ("board", "cpu", "psu"), on)
