"""What plugs into what: the supply's plugs against headers, drives and cards; free slots for added cards.

Adapters from peripheral plugs, in plugs and in amperes, are in ``leads``. Added cards claim slots in this
order: M.2 card, SATA controller, PATA controller; a later claim only gets what the earlier ones leave in the
worst case.
"""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.assembly.cards import placed_cards, placement
from partsolver.assembly.ports import drives_of, free_sata_ports, sata_drives, seat_modules, slot_takes
from partsolver.catalog.records import Board, Case, DrivePart, Extra, Psu
from partsolver.catalog.sockets import Slot
from partsolver.problem.candidates import Candidate, DriveChoice, GraphicsChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.standards.cards import may_have_plugs
from partsolver.standards.plugs import slot_power_mw
from partsolver.survey.model import Card, Drive

Options = tuple[tuple[str, int], ...]


def question(candidate: Candidate, fact: str) -> str:
    """Path of a missing fact: ``psu.year`` of the survey, ``psu:<id>.year`` of a catalogue part."""
    return f"{candidate.slot}.{fact}" if candidate.kept else f"{candidate.slot}:{candidate.id}.{fact}"


def all_kept(parts: Parts, slots: Sequence[SlotName]) -> bool:
    """Whether all these slots hold what the PC has now (it works today)."""
    return all(parts.candidate(slot).kept for slot in slots)


# -- processor plugs ----------------------------------------------------------------------------------------------


def first_header(board: Board) -> str | None:
    """The header through which the processor is fed whatever else there is: "" where the board has none, None
    where nobody looked."""
    return None if board.cpu_plugs is None else next(iter(board.cpu_plugs), "")


def feeding_plugs(headers: Sequence[str], plugs: Sequence[str]) -> tuple[str, ...]:
    """Sizes ("4" or "8") at which the board's processor headers are fed, in header order, unfed ones left
    out.

    The first header is served first; each takes its own size before the other one. An "8" in a "4" header is
    a divisible 4+4 plug, one half of it used; two loose "4" side by side fill an "8" header, one fills a
    half.
    """
    left = list(plugs)
    fed = []
    for header in headers:
        if header not in left and header == "8" and left.count("4") >= 2:
            left.remove("4")
            left.remove("4")
            fed.append("8")
            continue
        plug = header if header in left else next(iter(left), None)
        if plug is None:
            break
        left.remove(plug)
        fed.append(min(header, plug))
    return tuple(fed)


# -- drives -------------------------------------------------------------------------------------------------------


def power_plug(drive: Drive | DrivePart) -> str:
    """Power plug of a drive: as surveyed, else what its interface usually comes with (common practice)."""
    stated = drive.power_plug if isinstance(drive, Drive) else None
    if stated is not None:
        return stated
    return {"sata": "sata", "pata": "peripheral", "floppy": "floppy"}.get(drive.interface or "", "none")


def drive_plugs(choice: DriveChoice, problem: Problem) -> tuple[int, int]:
    """(SATA, peripheral) power plugs that the drives of the plan take."""
    plugs = [power_plug(drive) for drive in drives_of(choice, problem)]
    return plugs.count("sata"), plugs.count("peripheral")


def spare_peripherals(psu: Psu, peripheral_drives: int) -> int | None:
    """Peripheral plugs the drives leave; negative when they lack some; None when the count is not known."""
    return None if psu.peripheral_plugs is None else psu.peripheral_plugs - peripheral_drives


# -- cards --------------------------------------------------------------------------------------------------------


def card_sockets(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> tuple[str, ...]:
    """Power sockets ("6", "8", "16") of the cards that have a place, sorted."""
    placed = placed_cards(problem, board, case, graphics)
    return tuple(sorted(plug for card in placed for plug in card.power_plugs or ()))


def asks_for_plugs(card: Card) -> bool:
    """Whether a card may have power plugs and nobody looked, or none are said to be there and its slot
    alone cannot give what it is said to draw."""
    if card.power_plugs is not None:
        strong = card.kind == "graphics" and card.bus in ("pcie", None)
        return strong and not card.power_plugs and (card.load_mw or 0) > slot_power_mw(16)
    return may_have_plugs(card.kind, card.bus, card.height)


def missing_card_plugs(sockets: Sequence[str], plugs: Sequence[str]) -> tuple[str, ...]:
    """Sockets without a plug: like feeds like first, then an "8" (divisible 6+2) feeds a "6"."""
    return _plugged_sockets(sockets, plugs)[0]


def free_card_plugs(sockets: Sequence[str], plugs: Sequence[str]) -> tuple[str, ...]:
    """Card plugs that are left over once the sockets that find one are fed."""
    return _plugged_sockets(sockets, plugs)[1]


def _plugged_sockets(sockets: Sequence[str], plugs: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """(sockets without a plug, plugs left over)."""
    left = list(plugs)
    open_sockets = []
    for socket in sockets:
        if socket in left:
            left.remove(socket)
        else:
            open_sockets.append(socket)
    missing = []
    for socket in open_sockets:
        if socket == "6" and "8" in left:
            left.remove("8")
        else:
            missing.append(socket)
    return tuple(missing), tuple(left)


# -- slots for added cards ----------------------------------------------------------------------------------------


def m2_leftover(board: Board, choice: DriveChoice, problem: Problem) -> tuple[Drive | DrivePart, ...]:
    """M.2 modules without a socket, the fewest possible; among equals those that a slot card can carry
    (NVMe)."""
    return seat_modules(board, choice, problem).left


def _opening_takes(extra: Extra, case: Case) -> bool:
    return extra.low_profile or case.slot_height != "low"


def _goes_in(slot: Slot, extra: Extra) -> bool:
    # An NVMe module gets its four lanes (the time model counts on them); other cards go into any slot that
    # takes them.
    wired = extra.kind != "m2-card" or slot.lanes >= 4
    return wired and any(slot_takes(slot, kind) for kind in extra.takes)


def _seated(slots: Sequence[Slot], claims: Sequence[Sequence[Extra]]) -> bool:
    """Whether every choice of one card per claim finds slots of its own."""
    if not claims:
        return True
    return all(
        any(
            _goes_in(slots[i], card) and _seated([*slots[:i], *slots[i + 1 :]], claims[1:])
            for i in range(len(slots))
        )
        for card in claims[0]
    )


def seatable(
    problem: Problem,
    board: Board,
    case: Case,
    graphics: GraphicsChoice,
    cards: Sequence[Extra],
    claims: Sequence[Sequence[Extra]] = (),
) -> tuple[Extra, ...]:
    """Those added cards that find a free slot and opening while the claims of other rules still find
    theirs."""
    free = [board.slots[i] for i in placement(problem, board, case, graphics).free] if board.slots else []
    return tuple(card for card in cards if _opening_takes(card, case) and _seated(free, [[card], *claims]))


def sata_claims(
    problem: Problem, board: Board, case: Case, choice: DriveChoice, graphics: GraphicsChoice
) -> list[tuple[Extra, ...]]:
    """The slot that a SATA controller claims (storage.sata), if one is needed."""
    ports = free_sata_ports(board, choice, problem)
    missing = 0 if ports is None else sata_drives(choice, problem) - ports
    if missing <= 0:
        return []
    cards = [extra for extra in problem.extras_of("sata-controller") if extra.count >= missing]
    cards = list(seatable(problem, board, case, graphics, cards))
    return [tuple(cards)] if cards else []


def m2_cards(
    problem: Problem, board: Board, case: Case, choice: DriveChoice, graphics: GraphicsChoice
) -> tuple[Extra, ...]:
    """Cards that carry the one NVMe module without a socket; empty when that is not the case or none goes
    in."""
    left = m2_leftover(board, choice, problem)
    if len(left) != 1 or left[0].interface != "m2-nvme":
        return ()
    cards = list(problem.extras_of("m2-card"))
    return seatable(
        problem, board, case, graphics, cards, sata_claims(problem, board, case, choice, graphics)
    )
