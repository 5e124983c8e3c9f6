"""Adapters that feed cards: from peripheral plugs, in plugs and in amperes, and from the supply's own card plugs."""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.assembly.cards import placed_cards
from partsolver.assembly.leads import (
    Claimed,
    adapter_pieces,
    carried,
    carries,
    peripheral_leads,
    peripheral_limit_ma,
)
from partsolver.assembly.plugs import Options, card_sockets, free_card_plugs, missing_card_plugs
from partsolver.base.quantities import ceil_div
from partsolver.catalog.records import Board, Case, Extra, Psu
from partsolver.problem.candidates import GraphicsChoice
from partsolver.problem.problem import Problem
from partsolver.standards.plugs import CARD_PLUGS


def socket_ma(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice, socket: str) -> int:
    """12 V current through a plug for a card's socket: the plug's rating, at most the largest load of a
    card with it."""
    rated = ceil_div(CARD_PLUGS[socket].rated_mw, 12)
    loads = [
        card.load_mw
        for card in placed_cards(problem, board, case, graphics)
        if socket in (card.power_plugs or ())
    ]
    if not loads or any(load is None for load in loads):
        return rated
    return min(rated, ceil_div(max(load for load in loads if load is not None), 12))


def card_adapter_options(
    problem: Problem,
    board: Board,
    case: Case,
    graphics: GraphicsChoice,
    psu: Psu,
    missing: Sequence[str],
    claimed: Claimed,
    best: bool = False,
) -> dict[str, Options]:
    """Adapters per missing kind of card plug; each kind leaves the others the most plugs and amperes they
    could take."""
    from_peripherals = _from_peripherals(problem, board, case, graphics, psu, missing, claimed, best)
    from_card_plugs = _from_card_plugs(problem, board, case, graphics, psu, missing)
    return {
        kind: tuple(sorted((*from_peripherals[kind], *from_card_plugs[kind])))
        for kind in sorted(set(missing))
    }


def _from_card_plugs(
    problem: Problem, board: Board, case: Case, graphics: GraphicsChoice, psu: Psu, missing: Sequence[str]
) -> dict[str, Options]:
    """Adapters that put the supply's free card plugs together to another one, say two of 8 contacts to one
    of 16. Each plug gives its rated power ([PSDG] table 3-5 in ``standards/plugs``): what a socket of 16
    may draw is announced by that."""
    free = free_card_plugs(card_sockets(problem, board, case, graphics), psu.card_plugs or ())

    def taken(extra: Extra) -> str | None:
        return next((size for size in extra.takes if size in CARD_PLUGS), None)

    def serves(extra: Extra, kind: str) -> bool:
        size = taken(extra)
        if size is None or kind not in extra.gives:
            return False
        current = socket_ma(problem, board, case, graphics, kind)
        rated = CARD_PLUGS[size].rated_mw * extra.count // 12
        return current <= min(rated, extra.limit_ma or rated)

    usable = {
        kind: [e for e in problem.extras_of("card-plug-adapter") if serves(e, kind)] for kind in set(missing)
    }

    def claimed_elsewhere(kind: str, size: str | None) -> int:
        return sum(
            max((e.count for e in usable[other] if taken(e) == size), default=0) * missing.count(other)
            for other in usable
            if other != kind
        )

    return {
        kind: tuple(
            (extra.id, missing.count(kind))
            for extra in usable[kind]
            if extra.count * missing.count(kind) + claimed_elsewhere(kind, taken(extra))
            <= free.count(taken(extra) or "")
        )
        for kind in usable
    }


def _from_peripherals(
    problem: Problem,
    board: Board,
    case: Case,
    graphics: GraphicsChoice,
    psu: Psu,
    missing: Sequence[str],
    claimed: Claimed,
    best: bool,
) -> dict[str, Options]:
    kinds = sorted(set(missing))
    amps = {kind: socket_ma(problem, board, case, graphics, kind) for kind in kinds}
    usable = {
        kind: [
            extra
            for extra in problem.extras_of("card-plug-adapter")
            if "peripheral" in extra.takes and kind in extra.gives and carries(problem, extra, amps[kind])
        ]
        for kind in kinds
    }
    most = {kind: max((e.count * missing.count(kind) for e in usable[kind]), default=0) for kind in kinds}
    result: dict[str, Options] = {}
    for kind in kinds:
        number = missing.count(kind)
        others = [other for other in kinds if other != kind]
        plugs = sum(most[other] for other in others)
        pieces = [
            piece
            for other in others
            for piece in adapter_pieces(
                problem, amps[other], min((e.count for e in usable[other]), default=1), "card"
            )
            * missing.count(other)
        ]
        result[kind] = tuple(
            (extra.id, number)
            for extra in usable[kind]
            if (claimed.spare is None or extra.count * number + plugs <= claimed.spare)
            and carried(
                (
                    *claimed.pieces,
                    *pieces,
                    *adapter_pieces(problem, amps[kind], extra.count, "card") * number,
                ),
                peripheral_leads(psu, best),
                peripheral_limit_ma(problem),
            )
        )
    return result


def missing_sockets(
    problem: Problem, board: Board, case: Case, graphics: GraphicsChoice, plugs: Sequence[str]
) -> tuple[str, ...]:
    """Sockets of the placed cards without a plug of the supply, sorted as ``missing_card_plugs`` has them."""
    return missing_card_plugs(card_sockets(problem, board, case, graphics), plugs)
