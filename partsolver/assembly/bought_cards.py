"""What the controller cards draw that a plan buys as extras, and the load of a whole plan with all extras.

A card is counted wherever one may be bought (a SATA or PATA controller, where drives find no port and such
cards are on sale), also where a lead or an adapter turns out cheaper: the draw of a plan must not depend on
who sells what. A card for an M.2 module is a passive board (its module is counted); passive adapters and leads
draw nothing; the processor's fan is counted once whatever cooler turns it; a USB stand-in for a floppy or PATA
drive takes the place of that drive, which is counted.
"""

from __future__ import annotations

from partsolver.assembly import bought_devices
from partsolver.assembly.bought_devices import NONE, load_of_pieces, pieces_bought
from partsolver.assembly.converters import converters, converters_load
from partsolver.assembly.currents import NOTHING, Load, load_of_currents, times_load
from partsolver.assembly.loads import LOAD_READS, total_load
from partsolver.assembly.ports import board_drives, free_sata_ports, sata_drives
from partsolver.base.quantities import ceil_div
from partsolver.catalog.records import Board
from partsolver.problem.candidates import Candidate, DriveChoice, Parts
from partsolver.problem.problem import Problem
from partsolver.standards.cards import SMALL_CARD_MOST_3V3_MA
from partsolver.standards.storage import PATA_DEVICES_PER_CHANNEL

#: What the number of cards is read from, beside the survey's drives.
BOARD_READS = ("m2_slots", "pata_channels", "sata_1g5_ports", "sata_3g_ports", "sata_6g_ports")
DRIVE_READS = ("kept", "part.interface", "part.kind", "part.m2_key", "part.m2_length_mm")

#: What the load of a whole plan reads of its board: also of cards, small pieces and converters that are bought.
PLAN_LOAD_BOARD_READS = (
    *LOAD_READS["board"], *BOARD_READS, *bought_devices.BOARD_READS, "firmware_modes", "outputs"
)  # fmt: skip


def one_card_load(problem: Problem) -> Load:
    """A small controller card: its 3.3 V only (what a small card usually draws; at most what a slot gives
    at 3.3 V, [CEM] in ``standards/cards``)."""
    most = SMALL_CARD_MOST_3V3_MA
    usual = min(most, ceil_div(problem.settings["card_small_mw"] * 10, 33))
    return load_of_currents((0, 0, usual), (0, 0, most))


def _needs_sata_card(problem: Problem, board: Board, choice: DriveChoice) -> bool:
    ports = free_sata_ports(board, choice, problem)
    return ports is not None and sata_drives(choice, problem) > ports


def _needs_pata_card(problem: Problem, board: Board, choice: DriveChoice) -> bool:
    drives = sum(drive.interface == "pata" for drive in board_drives(choice, problem))
    return board.pata_channels is not None and drives > PATA_DEVICES_PER_CHANNEL * board.pata_channels


def controller_cards(problem: Problem, board: Candidate[Board], drive: Candidate[DriveChoice]) -> int:
    """How many controller cards may be bought for the drives on this board: none for what is connected
    today."""
    sata_on_sale = next(problem.extras_of("sata-controller"), None) is not None
    pata_on_sale = next(problem.extras_of("pata-controller"), None) is not None
    if not sata_on_sale and not pata_on_sale:
        return 0
    facts = tuple(getattr(board.part, name) for name in BOARD_READS)
    key = (facts, board.kept, drive)
    found = problem.store.controller_cards.get(key)
    if found is None:
        sata = sata_on_sale and not board.kept and _needs_sata_card(problem, board.part, drive.part)
        stays = board.kept and drive.kept
        pata = pata_on_sale and not stays and _needs_pata_card(problem, board.part, drive.part)
        found = problem.store.controller_cards[key] = sata + pata
    return found


def bought_cards_load(problem: Problem, board: Candidate[Board], drive: Candidate[DriveChoice]) -> Load:
    """What the bought controller cards draw, through the board."""
    number = controller_cards(problem, board, drive)
    return times_load(one_card_load(problem), number) if number else NOTHING


def plan_load(problem: Problem, parts: Parts) -> Load:
    """The whole PC with the extras that are bought for it. At 12 V it is ``loads.total_load``."""
    board = parts.candidate("board")
    load = total_load(problem, parts)
    cards = bought_cards_load(problem, board, parts.candidate("drive"))
    pieces = pieces_bought(problem, board, parts.candidate("case"), parts.graphics)
    if cards is not NOTHING:
        load = load + cards
    if pieces != NONE:
        load = load + load_of_pieces(problem, pieces)
    number = converters(problem, parts.board, parts.case, parts.graphics)
    return load + converters_load(problem, number) if number else load
