"""Leads with several plugs: what hangs on them in amperes, and the adapters that they can feed.

All plugs of one lead share one wire and one contact's current: 9 A at 18 AWG for peripheral plugs ([AMP] in
``standards/plugs``). Peripheral plugs are claimed in this order, in plugs and in amperes: drives that need
one, an adapter for the processor header, SATA drives fed from peripheral plugs, adapters for cards. A later
claim only gets what the earlier ones leave in the worst case. How many leads there are is often not known:
then all plugs hang on one (the plausible worst), and the rules ask where more would do. While the disks
start, adapters carry a part of their current (settings startup_processor_percent, startup_card_percent).
"""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.assembly.loads import cpu_load
from partsolver.assembly.network import load_of_drive
from partsolver.assembly.plugs import Options, drive_plugs, power_plug, spare_peripherals
from partsolver.assembly.ports import drives_of
from partsolver.base.quantities import ceil_div
from partsolver.base.records import record
from partsolver.catalog.records import Board, Cpu, Extra, Psu
from partsolver.problem.candidates import DriveChoice
from partsolver.problem.problem import Problem
from partsolver.standards.plugs import SATA_RAIL_MA


@record
class Piece:
    """What one plug of a lead feeds: 12 V current at work and while the disks start, mA."""

    work: int
    start: int


Pieces = tuple[Piece, ...]


def hangs(pieces: Sequence[int], leads: int, limit: int) -> bool:
    """Whether currents can be shared out over so many leads, none with more than its limit (exact search:
    few)."""
    if sum(pieces) <= limit:
        return True
    if sum(pieces) > leads * limit or max(pieces) > limit:
        return False
    order = sorted((piece for piece in pieces if piece), reverse=True)

    def share(position: int, room: tuple[int, ...]) -> bool:
        if position == len(order):
            return True
        tried = set()
        for lead, left in enumerate(room):
            if order[position] <= left and left not in tried:
                tried.add(left)
                if share(position + 1, (*room[:lead], left - order[position], *room[lead + 1 :])):
                    return True
        return False

    return share(0, (limit,) * leads)


def carried(pieces: Pieces, leads: int, limit: int) -> bool:
    """Whether the leads carry these pieces at work and while the disks start."""
    return hangs([p.work for p in pieces], leads, limit) and hangs([p.start for p in pieces], leads, limit)


def peripheral_limit_ma(problem: Problem) -> int:
    """12 V current of one peripheral contact and of the wire of its lead."""
    return problem.settings["cpu_plug_from_peripheral_ma"]


def peripheral_leads(psu: Psu, best: bool = False) -> int:
    """Leads with peripheral plugs: as stated, else one; ``best``: else one for each plug."""
    if psu.peripheral_leads is not None:
        return psu.peripheral_leads
    return max(1, psu.peripheral_plugs or 1) if best else 1


def lead_counts(psu: Psu, plug: str) -> tuple[int, int]:
    """(worst, best) number of leads with a kind of plug."""
    if plug == "peripheral":
        return peripheral_leads(psu), peripheral_leads(psu, best=True)
    if psu.sata_leads is not None:
        return psu.sata_leads, psu.sata_leads
    return 1, max(1, psu.sata_plugs or 1)


# -- claims, in their order ---------------------------------------------------------------------------------------


def drive_pieces(choice: DriveChoice, problem: Problem, plug: str) -> Pieces:
    """The drives on plugs of a kind, lightest start first."""
    found = []
    for drive in drives_of(choice, problem):
        if power_plug(drive) == plug:
            load = load_of_drive(drive, problem)
            found.append(Piece(load.ma_12v, load.start_12v))
    return tuple(sorted(found, key=lambda piece: (piece.start, piece.work)))


def starting(choice: DriveChoice, problem: Problem, plug: str) -> tuple[int, ...]:
    """Currents at the start of the drives on a kind of plug."""
    return tuple(piece.start for piece in drive_pieces(choice, problem, plug))


def starting_today(problem: Problem, plug: str) -> tuple[int, ...]:
    """Currents at the start of the drives that hang on a kind of plug today."""
    loads = [load_of_drive(d, problem).start_12v for d in problem.survey.drives if power_plug(d) == plug]
    return tuple(sorted(loads))


def no_more_than(starts: tuple[int, ...], now: tuple[int, ...]) -> bool:
    """Whether the drives can take the places of today's, none drawing more than the one before it."""
    pairs = zip(sorted(starts, reverse=True), sorted(now, reverse=True), strict=False)
    return len(starts) <= len(now) and all(new <= old for new, old in pairs)


def adapter_pieces(problem: Problem, current_ma: int, plugs: int, consumer: str = "processor") -> Pieces:
    """An adapter that shares a current over its plugs; what it feeds (processor, card) tells its part while
    the disks start."""
    share = ceil_div(current_ma, max(1, plugs))
    return (Piece(share, share * problem.settings[f"startup_{consumer}_percent"] // 100),) * max(1, plugs)


def carries(problem: Problem, extra: Extra, current_ma: int) -> bool:
    """Whether an adapter's own limit and its contacts carry a current."""
    own = extra.limit_ma
    return current_ma <= peripheral_limit_ma(problem) * extra.count and (own is None or current_ma <= own)


def cpu_adapters(
    problem: Problem, header: str, current_ma: int, psu: Psu, choice: DriveChoice, best: bool = False
) -> tuple[Extra, ...]:
    """Adapters that feed a processor header with a current from the free peripheral plugs, by id.
    ``best``: as if every plug had a lead of its own."""
    wanted = ("4", "8") if header == "8" else (header,)
    spare = spare_peripherals(psu, drive_plugs(choice, problem)[1])
    before, limit = drive_pieces(choice, problem, "peripheral"), peripheral_limit_ma(problem)
    return tuple(
        extra
        for extra in problem.extras_of("cpu-plug-adapter")
        if "peripheral" in extra.takes
        and any(plug in wanted for plug in extra.gives)
        and (spare is None or extra.count <= spare)
        and carries(problem, extra, current_ma)
        and carried(
            (*before, *adapter_pieces(problem, current_ma, extra.count)), peripheral_leads(psu, best), limit
        )
    )


@record
class Claimed:
    """Peripheral plugs and amperes that are claimed already, at most: plugs left (None: not known), pieces
    that hang."""

    spare: int | None
    pieces: Pieces


def claimed_by_cpu(problem: Problem, board: Board, cpu: Cpu, psu: Psu, choice: DriveChoice) -> Claimed:
    """After the drives and the processor adapter: its most plugs, its whole current on one piece."""
    spare = spare_peripherals(psu, drive_plugs(choice, problem)[1])
    pieces = drive_pieces(choice, problem, "peripheral")
    if not board.cpu_plugs or psu.cpu_plugs != ():
        return Claimed(spare, pieces)
    current = cpu_load(cpu, problem.settings).most_12v
    adapters = cpu_adapters(problem, board.cpu_plugs[0], current, psu, choice)
    if not adapters:
        return Claimed(spare, pieces)
    plugs = max(extra.count for extra in adapters)
    return Claimed(
        None if spare is None else spare - plugs,
        (*pieces, *adapter_pieces(problem, current, min(extra.count for extra in adapters))),
    )


def hang_on_sata(problem: Problem, psu: Psu, starts: Sequence[int], best: bool = True) -> bool:
    """Whether the SATA leads carry so many starting drives; ``best``: on as many leads as there may be."""
    return hangs(starts, lead_counts(psu, "sata")[best], peripheral_limit_ma(problem))


def _on_peripherals(
    problem: Problem, psu: Psu, pieces: Pieces, extra: Extra, claimed: Claimed, best: bool
) -> Pieces:
    """Which of the SATA drives hang on leads from peripheral plugs, so many as find no SATA plug: the lightest
    that both kinds of leads carry, next to one another by weight; none where no choice will do."""
    missing = len(pieces) - (psu.sata_plugs or 0)
    limit = min(extra.limit_ma or SATA_RAIL_MA * extra.count, peripheral_limit_ma(problem))
    for first in range(len(pieces) - missing + 1):
        moved = pieces[first : first + missing]
        rest = [piece.start for piece in (*pieces[:first], *pieces[first + missing :])]
        if (
            sum(piece.start for piece in moved[-extra.count :]) <= limit
            and hang_on_sata(problem, psu, rest)
            and carried((*claimed.pieces, *moved), peripheral_leads(psu, best), peripheral_limit_ma(problem))
        ):
            return moved
    return ()


def sata_power_options(
    problem: Problem, psu: Psu, choice: DriveChoice, claimed: Claimed, best: bool = False
) -> Options:
    """What cures a lack of SATA power plugs: splitters, or leads from peripheral plugs; sorted by id.

    Each splitter takes one plug, adds ``count``, and must carry the start-up of the drives on it: the
    lightest drives go there, and the heaviest of those that could share one are counted; all drives hang on the
    SATA leads then. With leads from peripheral plugs some hang on those, and the others on the SATA leads.
    """
    pieces = drive_pieces(choice, problem, "sata")
    plugs = psu.sata_plugs or 0
    missing = len(pieces) - plugs
    if missing <= 0:
        return ()
    options = []
    together = hang_on_sata(problem, psu, [piece.start for piece in pieces])
    for extra in problem.extras_of("sata-power-splitter"):
        number = ceil_div(missing, extra.count)
        sharing = [piece.start for piece in pieces[: number * (extra.count + 1)]]
        heaviest = sum(sharing[-(extra.count + 1) :])
        if together and number <= plugs and heaviest <= min(SATA_RAIL_MA, extra.limit_ma or SATA_RAIL_MA):
            options.append((extra.id, number))
    for extra in problem.extras_of("sata-power-from-peripheral"):
        number = ceil_div(missing, extra.count)
        room = claimed.spare is None or number <= claimed.spare
        if room and _on_peripherals(problem, psu, pieces, extra, claimed, best):
            options.append((extra.id, number))
    return tuple(sorted(options))


def sata_places(
    problem: Problem, psu: Psu, choice: DriveChoice, claimed: Claimed, extra: Extra
) -> tuple[Pieces, Pieces]:
    """(SATA drives that hang on the SATA leads, those on leads from peripheral plugs) with what was bought for a
    lack of SATA plugs."""
    pieces = drive_pieces(choice, problem, "sata")
    if extra.kind != "sata-power-from-peripheral":
        return pieces, ()
    moved = _on_peripherals(problem, psu, pieces, extra, claimed, best=False)
    first = next(at for at in range(len(pieces)) if pieces[at : at + len(moved)] == moved)
    return (*pieces[:first], *pieces[first + len(moved) :]), moved


def peripheral_power_options(problem: Problem, psu: Psu, choice: DriveChoice) -> Options:
    """What cures a lack of peripheral plugs: leads from SATA plugs, sorted by id. The lightest drives go
    there; the plug that a lead takes carries 4.5 A, for everything behind it."""
    pieces = drive_pieces(choice, problem, "peripheral")
    missing = 0 if psu.peripheral_plugs is None else len(pieces) - psu.peripheral_plugs
    if missing <= 0:
        return ()
    free = None if psu.sata_plugs is None else psu.sata_plugs - drive_plugs(choice, problem)[0]
    options = []
    for extra in problem.extras_of("peripheral-from-sata"):
        number = ceil_div(missing, extra.count)
        heaviest = sum(piece.start for piece in pieces[:missing][-extra.count :])
        carried_there = heaviest <= min(SATA_RAIL_MA, extra.limit_ma or SATA_RAIL_MA)
        if carried_there and (free is None or number <= free):
            options.append((extra.id, number))
    return tuple(sorted(options))


def claimed_by_sata(problem: Problem, board: Board, cpu: Cpu, psu: Psu, choice: DriveChoice) -> Claimed:
    """After leads from peripheral plugs to SATA drives, where such leads may be bought: the most plugs, the heaviest
    drives."""
    claimed = claimed_by_cpu(problem, board, cpu, psu, choice)
    if psu.sata_plugs is None:
        return claimed
    options = sata_power_options(problem, psu, choice, claimed)
    leads = [(problem.extras[i], n) for i, n in options]
    leads = [(extra, n) for extra, n in leads if extra.kind == "sata-power-from-peripheral"]
    if not leads:
        return claimed
    hanging = (sata_places(problem, psu, choice, claimed, extra)[1] for extra, _ in leads)
    spare = None if claimed.spare is None else claimed.spare - max(number for _, number in leads)
    heaviest = max(hanging, key=lambda pieces: [(piece.start, piece.work) for piece in pieces])
    return Claimed(spare, (*claimed.pieces, *heaviest))
