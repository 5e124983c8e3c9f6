"""Every card that has a place gets its power plugs.

A 6-contact socket takes a 6-contact plug or a divisible 6+2 (an 8), an 8-contact socket an 8, a 16-contact
socket a 16, or several free plugs put together by an adapter, each with its rated power (150 W for an 8).
Adapters from peripheral plugs cure a lack while such plugs are left over from the drives and a processor
adapter, and while their contacts and leads carry the socket's current: 150 W are 12.5 A, more than one
contact or one lead carries. How many leads there are is taken as one until it is known. A processor plug is
never a card plug: its polarity is reversed. Whether a graphics card has plugs is asked where nobody said.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.card_adapters import card_adapter_options, missing_sockets
from partsolver.assembly.cards import card_question, placed_cards, placement
from partsolver.assembly.leads import claimed_by_sata
from partsolver.assembly.loads import CPU_READS, highest_where_adapted
from partsolver.assembly.plugs import (
    Options,
    all_kept,
    asks_for_plugs,
    card_sockets,
    first_header,
    missing_card_plugs,
    question,
)
from partsolver.catalog.records import Board, Case, Cpu, Psu
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, at_least, fits, unknown
from partsolver.problem.candidates import DriveChoice, GraphicsChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.card_plugs"
STATEMENT = "Every power socket of the cards is fed by a card plug of the supply or an adapter."
SOURCE = (
    "Intel 336521 (ATX 3.0), table 3-5; Upgrading and Repairing PCs, pp. 933-935; AMP catalogue 82181 (9 A in a contact"
    " and lead of 18 AWG)"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "psu", "case", "drive", "graphics")
READS: Reads = {
    "board": ("cpu_plugs", "slots"),
    "cpu": CPU_READS,
    "psu": ("card_plugs", "cpu_plugs", "peripheral_leads", "peripheral_plugs", "sata_leads", "sata_plugs"),
    "case": ("max_card_length_mm", "slot_height", "slot_openings"),
    "drive": ("kept", "part.interface", "part.kind", "part.pcie_gen"),
    "graphics": ("card",),
}
SURVEY: tuple[str, ...] = ("cards", "drives")
TODAY: tuple[SlotName, ...] = ("board", "psu", "case", "graphics")


def _cures(
    problem: Problem,
    board: Board,
    cpu: Cpu,
    psu: Psu,
    case: Case,
    choice: DriveChoice,
    graphics: GraphicsChoice,
    missing: tuple[str, ...],
    best: bool = False,
) -> dict[str, Options]:
    """What cures each kind of missing card plug; ``best``: as if every peripheral plug had a lead of its
    own."""
    claimed = claimed_by_sata(problem, board, cpu, psu, choice)
    return card_adapter_options(problem, board, case, graphics, psu, missing, claimed, best)


def _cures_of(problem: Problem, parts: Parts, missing: tuple[str, ...], best: bool) -> dict[str, Options]:
    return _cures(
        problem, parts.board, parts.cpu, parts.psu, parts.case, parts.drive, parts.graphics, missing, best
    )


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    plugs = parts.psu.card_plugs
    if plugs is None or all_kept(parts, TODAY):
        return ()
    missing = missing_sockets(problem, parts.board, parts.case, parts.graphics, plugs)
    if not missing:
        return ()
    options = _cures_of(problem, parts, missing, best=False)
    return tuple(
        Need(
            ID,
            f"plug-{kind}",
            "card-plug-adapter",
            options[kind],
            (("missing", missing.count(kind)), ("socket", kind)),
        )
        for kind in sorted(options)
    )


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    return (*_fed(draft, problem), *_unseen(draft.parts, problem))


def _unseen(parts: Parts, problem: Problem) -> tuple[Finding, ...]:
    """Graphics cards of which nobody said whether they have power plugs: they are fed today; asked for
    what changes."""
    if all_kept(parts, TODAY):
        return ()
    placed = placed_cards(problem, parts.board, parts.case, parts.graphics)
    return tuple(
        unknown(ID, card_question(parts.graphics, card, "power_plugs"), (parts.psu.id,), card=card.name)
        for card in placed
        if asks_for_plugs(card)
    )


def _fed(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    sockets = card_sockets(problem, parts.board, parts.case, parts.graphics)
    if not sockets:
        return ()
    plugs = parts.psu.card_plugs
    ids = (parts.psu.id,)
    if all_kept(parts, TODAY):
        return (fits(ID, ids, len(sockets), today="yes"),)
    if plugs is None:
        return (unknown(ID, question(parts.candidate("psu"), "card_plugs"), ids),)
    missing = missing_card_plugs(sockets, plugs)
    lines = [draft.bought_for(ID, f"plug-{kind}") for kind in sorted(set(missing))]
    added = sum(line.quantity for line in lines if line is not None)
    fed = len(sockets) - len(missing) + added
    if fed < len(sockets) and _more_leads_would_do(problem, parts, missing):
        return (unknown(ID, question(parts.candidate("psu"), "peripheral_leads"), ids, blocks=True),)
    finding = at_least(
        ID,
        fed,
        len(sockets),
        "plugs",
        ids,
        added=added,
        sockets="+".join(sockets),
        plugs="+".join(plugs) or "none",
    )
    from_peripherals = any(
        "peripheral" in problem.extras[line.item].takes for line in lines if line is not None
    )
    if from_peripherals and parts.psu.peripheral_plugs is None:
        return (finding, unknown(ID, question(parts.candidate("psu"), "peripheral_plugs"), ids))
    return (finding,)


def _more_leads_would_do(problem: Problem, parts: Parts, missing: tuple[str, ...]) -> bool:
    """Whether adapters would carry the cards if the supply's peripheral plugs hung on leads of their own."""
    if parts.psu.peripheral_leads is not None:
        return False
    return all(_cures_of(problem, parts, missing, best=True).values())


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    conditions: dict[Any, Any] = {}  # (kind of plug, options) -> conditions
    for case, graphics, here in picks.cases_and_cards():
        cards = graphics.part
        if not any(card.power_plugs for card in problem.cards_with(cards)):
            continue

        def board_key(candidate: Any, case: Any = case.part, cards: GraphicsChoice = cards) -> Any:
            placed = placement(problem, candidate.part, case, cards).placed
            return tuple(name for name, _ in placed), first_header(candidate.part), candidate.kept

        boards = picks.samples("board", board_key)
        for supply, supply_literal in picks.candidates("psu"):
            psu: Any = supply.part
            if psu.card_plugs is None:
                continue
            # The processor matters only where an adapter shares the leads with the cards.
            adapted = psu.cpu_plugs == ()
            processors = picks.samples("cpu", highest_where_adapted(adapted, problem.settings))
            for (*_, board_kept), (board, board_literal) in boards.items():
                sockets = card_sockets(problem, board, case.part, cards)
                missing = missing_card_plugs(sockets, psu.card_plugs)
                if not missing or (board_kept and supply.kept and case.kept and graphics.kept):
                    continue
                for drive, drive_literal in picks.candidates("drive"):
                    for cpu, cpu_literal in processors.values():
                        cures = _cures(problem, board, cpu, psu, case.part, drive.part, cards, missing)
                        where = picks.both(here, supply_literal, board_literal, cpu_literal, drive_literal)
                        for socket in sorted(cures):
                            conditions.setdefault((socket, cures[socket]), []).append(where)
    for number, ((socket, options), wheres) in enumerate(conditions.items()):
        picks.need(ID, f"{socket}:{number}", options, wheres, on)
