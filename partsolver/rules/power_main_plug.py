"""The supply's main plug serves the board's main header, and its 12 V contacts carry what runs through them.

Through the 12 V contacts run the board, the fans on its headers, the slots, and the processor of a board
without a processor header of its own. As many contacts count as plug and header share: a 20-contact plug in a
24-contact header (or the other way round) mates one, 24 in 24 two. An adapter from 20 to 24 contacts adds no
contact on the supply's side and does not help. A tenth more than the contacts' limit is a warning (they get a
little warmer); what the same contacts of the kept supply carry today they carry tomorrow. A maker's own plug
or header matches nothing but its partner of today. A supply that is bought may lack the -5 V that some ISA
cards need (dropped from 2002 on): that is stated. Not checked: parts beside a 20-contact header that the
longer plug may touch.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from partsolver.assembly.cards import placed_cards
from partsolver.assembly.loads import CPU_READS, NO_CARDS, CardLoad, cpu_load
from partsolver.assembly.network import (
    gone_card_question,
    main_load,
    main_plug_12v,
    unknown_card_question,
)
from partsolver.assembly.network_limits import main_plug_limits_ma
from partsolver.assembly.plugs import all_kept, question
from partsolver.assembly.unproven import Feed, Unproven, feeds, perhaps_from_5v, unproven_cards
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.plan.ranges import within
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.main_plug"
STATEMENT = "The main plug fits the main header, and its contacts carry what runs through it at 12 V."
SOURCE = (
    "Upgrading and Repairing PCs, pp. 918, 1142 (contacts); PCI Express card electromechanical"
    " specification 1.1 (slots)"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "psu", "case", "graphics")
READS: Reads = {
    "board": ("cpu_plugs", "load_mw", "main_plug", "slots", "year"),
    "cpu": CPU_READS,
    "psu": ("main_plug",),
    "case": ("fans", "max_card_length_mm", "slot_height", "slot_openings"),
    "graphics": ("card",),
}
SURVEY: tuple[str, ...] = ("board", "cards", "case", "cpu", "devices", "drives", "memory", "psu")


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    header, plug = parts.board.main_plug, parts.psu.main_plug
    ids = (parts.board.id, parts.psu.id)
    if all_kept(parts, SLOTS):
        return (fits(ID, ids, plug, today="yes"),)
    if plug is None or header is None:
        if all_kept(parts, ("board", "psu")):
            return (fits(ID, ids, plug, today="yes"),)
        slot: SlotName = "psu" if plug is None else "board"
        return (unknown(ID, question(parts.candidate(slot), "main_plug"), ids, blocks=True),)
    if "own" in (header, plug):
        together = all_kept(parts, ("board", "psu"))
        return (fits(ID, ids, plug, today="yes") if together else fails(ID, ids, plug, header),)
    supply, with_processor = parts.candidate("psu"), parts.board.cpu_plugs == ()
    here = problem, parts.board, parts.case, parts.graphics
    supposed, card = unproven_cards(*here), unknown_card_question(*here)
    facts = {"processor": "yes" if with_processor else "no"}
    isa = next((c.name for c in placed_cards(*here) if c.bus == "isa"), None)
    if isa is not None and not supply.kept:
        facts["isa"] = isa

    def way(feed: Feed, cards: CardLoad) -> tuple[int, int, int, int]:
        """(usual and highest current, lasting limit, the one never to exceed) with the processors fed so."""
        drawn = main_plug_12v(problem, parts.board, parts.cpu, parts.case, parts.graphics, feed.then)
        limits = main_plug_limits_ma(problem, supply, header, with_processor, Unproven(cards, feed.now))
        return *drawn, *limits

    ways = feeds(problem, parts.board, parts.board_kept)
    usual, most, lasting, never = max((way(feed, supposed) for feed in ways), key=lambda w: w[0] - w[3])

    def would_do(cards: CardLoad) -> bool:
        """Whether it would be carried if all processors were fed from 12 V."""
        drawn, _, _, limit = way(ways[0], cards)
        return drawn <= limit

    if card is None and usual > never:
        if would_do(supposed):
            facts["feed"] = "5v"
        elif would_do(NO_CARDS):
            card = gone_card_question(*here)
            facts["gone"] = "yes"
    return within(
        ID,
        usual,
        most,
        never if lasting < usual <= never else lasting,
        "mA",
        ids,
        None,
        card,
        0,
        plug=plug,
        header=header,
        usual_ma=lasting,
        **facts,
    )


def _go_together(plug: str | None, header: str | None) -> bool:
    return plug in ("20", "24") and header in ("20", "24")


def _contacts_ma(
    plug: str | None, header: str | None, settings: Mapping[str, int], feeds_processor: bool
) -> int | None:
    """The 12 V current that a plug and a header of these contacts carry; None when they do not go
    together."""
    if not _go_together(plug, header):
        return None
    contacts = settings["main_20pin_12v_ma" if "20" in (plug, header) else "main_24pin_12v_ma"]
    over = 0 if feeds_processor else settings["main_contact_over_percent"]
    return contacts * (100 + over) // 100


def _post_contacts(picks: Picks, plugs: Mapping[Any, BoolVar], on: BoolVar) -> None:
    """Plugs and headers that do not go together."""
    headers = picks.classes("board", "main header", lambda c: (c.part.main_plug, c.kept))
    for (plug, psu_kept), plug_literal in plugs.items():
        for (header, board_kept), header_literal in headers.items():
            if not (psu_kept and board_kept) and not _go_together(plug, header):
                picks.never_together(plug_literal, header_literal, on)


def _refuse_over(
    picks: Picks,
    where: Mapping[SlotName, tuple[BoolVar, bool]],
    drawn: int,
    limit: int,
    processors: Mapping[tuple[int, bool], BoolVar],
    on: BoolVar,
) -> None:
    """What draws more than the limit is refused; with each of the processors that are fed there (if any)."""
    if not processors and drawn > limit:
        picks.refuse_new(where, SLOTS, on)
    for (current, cpu_kept), cpu in processors.items():
        if drawn + current > limit:
            picks.refuse_new({**where, "cpu": (cpu, cpu_kept)}, SLOTS, on)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    from partsolver.model.currents import feed_ways

    settings = problem.settings
    plugs = picks.classes("psu", "main plug", lambda c: (c.part.main_plug, c.kept))
    supplies = {(c.part.main_plug, c.kept): c for c, _ in picks.candidates("psu")}
    _post_contacts(picks, plugs, on)
    processors = picks.classes(
        "cpu", "usual 12 V, kept", lambda c: (cpu_load(c.part, settings).ma_12v, c.kept)
    )
    for case, graphics, here in picks.cases_and_cards():

        def key(candidate: Any, case: Any = case.part, cards: Any = graphics.part) -> Any:
            drawn = main_load(problem, candidate.part, case, cards).ma_12v
            supposed = unproven_cards(problem, candidate.part, case, cards)
            plugged = candidate.part.cpu_plugs == (), candidate.part.main_plug
            early = perhaps_from_5v(candidate.part, settings)
            return drawn, supposed, *plugged, candidate.kept, early

        boards = picks.classes("board", f"{ID} in {case.key} with {graphics.key}", key)
        for (drawn, supposed, feeds_processor, header, board_kept, early), board in boards.items():
            for (plug, psu_kept), supply in plugs.items():
                contacts_ma = _contacts_ma(plug, header, settings, feeds_processor)
                if contacts_ma is None:
                    continue
                where: dict[SlotName, tuple[BoolVar, bool]] = {
                    "board": (board, board_kept), "psu": (supply, psu_kept),
                    "case": (here, case.kept), "graphics": (here, graphics.kept),
                }  # fmt: skip
                for feed, _ in feed_ways(picks):
                    if board_kept and feed.now != feed.then:
                        continue  # the same board feeds it in the same way
                    limit = contacts_ma
                    if psu_kept:
                        unproven = Unproven(supposed, feed.now)
                        kept = supplies[plug, psu_kept]
                        today = main_plug_limits_ma(problem, kept, header, feeds_processor, unproven)[1]
                        limit = max(limit, today)
                    through = feeds_processor and not (feed.then and early)
                    _refuse_over(picks, where, drawn, limit, processors if through else {}, on)
