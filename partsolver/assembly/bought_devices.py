"""What small things draw that a plan buys for the owner's devices and system: USB leads, hubs, a platform
module.

As with controller cards (``bought_cards``) they are counted wherever they may be bought, whichever of several
on sale it turns out to be. What hangs on a lead or a hub is counted by itself; brackets and adapters for front
plugs are passive.
"""

from __future__ import annotations

from typing import NamedTuple

from partsolver.assembly.currents import NOTHING, Load, load_of_currents
from partsolver.assembly.device_ports import (
    LEGACY,
    Front,
    Sockets,
    bracket_openings,
    front_of,
    serve,
    sockets_of,
)
from partsolver.assembly.system import kept_system, same_system
from partsolver.assembly.usb_storage import usb_storage_ports
from partsolver.base.quantities import ceil_div
from partsolver.catalog.records import Board, Case
from partsolver.problem.candidates import Candidate, GraphicsChoice
from partsolver.problem.problem import Problem

#: What the number of pieces is read from, beside the survey's devices and system.
BOARD_READS = (*Sockets._fields, "tpm")
CASE_READS = Front._fields


class Pieces(NamedTuple):
    """How many may be bought: leads from USB (ports they give), USB hubs, platform modules."""

    leads: int = 0
    hubs: int = 0
    modules: int = 0


NONE = Pieces()


def pieces_bought(
    problem: Problem, board: Candidate[Board], case: Candidate[Case], graphics: GraphicsChoice
) -> Pieces:
    """What may be bought for the devices and the system with this board and these cards in this case."""
    openings = None if board.kept else bracket_openings(problem, board.part, case.part, graphics)
    known, key = problem.store.small_pieces, (board, case, openings)
    found = known.get(key)
    if found is None:
        leads, hubs = (0, 0) if board.kept else _for_devices(problem, board.part, case.part, openings)
        found = known[key] = Pieces(leads, hubs, _modules(problem, board))
    return found


def _for_devices(problem: Problem, board: Board, case: Case, openings: int | None) -> tuple[int, int]:
    """(ports of leads, hubs); of several hubs on sale the number of the smallest."""
    named = any(device.port in ("usb", *LEGACY) for device in problem.survey.devices)
    if not named and not usb_storage_ports(problem, board.floppy_headers):
        return 0, 0
    wishes = serve(problem, sockets_of(board), front_of(case), openings).wishes
    leads = sum(wish.ports for wish in wishes if wish.usb)
    hubs = max((count for wish in wishes if wish.kind == "usb-hub" for _, count in wish.options), default=0)
    return leads, hubs


def _modules(problem: Problem, board: Candidate[Board]) -> int:
    """One platform module on a board with a header for it, where the system needs one and such are sold."""
    system = kept_system(problem)
    version = None if system is None else system.needs_tpm
    if version is None or board.part.tpm != "header" or (board.kept and same_system(problem)):
        return 0
    return int(any(version in extra.gives for extra in problem.extras_of("tpm-module")))


def load_of_pieces(problem: Problem, pieces: Pieces) -> Load:
    """What they draw through the board: leads and hubs at 5 V, a module at 3.3 V."""
    if pieces == NONE:
        return NOTHING
    settings = problem.settings
    usual = settings["usb_device_ma"]
    most = max(usual, ceil_div(settings["usb2_port_mw"], 5))
    hubs, module = settings["usb_hub_ma"] * pieces.hubs, settings["tpm_module_ma"] * pieces.modules
    return load_of_currents((0, usual * pieces.leads + hubs, module), (0, most * pieces.leads + hubs, module))
