"""What the link of the system drive carries, pair by pair: the slower end decides (Serial ATA revision 3.x, 8b/10b: 150, 300
and 600 MB/s; PCI Express 3 and 4: 985 and 1969 MB/s a lane, 128b/130b), and what is left of it in use (settings.csv)."""

from __future__ import annotations

from dataclasses import replace

import pytest
import typed
from support import BOARD

from partsolver.assembly.storage import link_mbs, storage_mbs
from partsolver.catalog.records import M2Socket
from partsolver.problem.candidates import DriveChoice
from partsolver.survey.model import Drive

SATA = {15: 150, 30: 300, 60: 600}
FAST = 100_000  # a drive that reads more than any link carries


def board(port: int, **facts: object) -> object:
    ports = {"sata_6g_ports": 0, "sata_3g_ports": 0, "sata_1g5_ports": 0, "m2_slots": ()}
    named = {60: "sata_6g_ports", 30: "sata_3g_ports", 15: "sata_1g5_ports"}
    return replace(BOARD, **{**ports, named[port]: 2, **facts})


def choice(**facts: object) -> DriveChoice:
    return DriveChoice("kept-drive", Drive(name="drive", **{"kind": "ssd", "read_mbs": FAST, **facts}), None)


@pytest.mark.parametrize("port", SATA)
@pytest.mark.parametrize("own", [*SATA, None])
def test_sata(port: int, own: int | None) -> None:
    drive = choice(interface="sata", sata_gbps10=own)
    link = SATA[min(port, own or port)]
    assert link_mbs(board(port), drive) == link
    percent = {150: 85, 300: 85, 600: 92}[link]
    assert storage_mbs(board(port), drive, dict(typed.settings())) == link * percent // 100


def test_the_fastest_port_is_taken() -> None:
    drive = choice(interface="sata", sata_gbps10=60)
    assert link_mbs(board(30, sata_1g5_ports=2, sata_6g_ports=1), drive) == 600


@pytest.mark.parametrize("own", [*SATA, None])
def test_a_sata_module_hangs_on_its_socket(own: int | None) -> None:
    drive = choice(interface="m2-sata", sata_gbps10=own)
    socket = M2Socket("m", 80, ("sata",), 3, 4, 0, 0)
    assert link_mbs(board(30, m2_slots=(socket,)), drive) == SATA[own or 60]


@pytest.mark.parametrize(
    ("socket", "drive", "lane_mbits", "lanes"),
    [
        ((3, 4), (3, 4), 7876, 4),
        ((3, 4), (4, 4), 7876, 4),  # the older end decides
        ((4, 4), (3, 4), 7876, 4),
        ((4, 4), (4, 4), 15753, 4),
        ((3, 2), (3, 4), 7876, 2),  # the narrower end decides
        ((3, 4), (3, 2), 7876, 2),
        ((4, 4), (None, None), 15753, 4),  # what nobody knows of the drive is what the socket gives
        ((2, 4), (3, 4), 4000, 4),
    ],
)
def test_nvme(
    socket: tuple[int, int], drive: tuple[int | None, int | None], lane_mbits: int, lanes: int
) -> None:
    where = board(60, m2_slots=(M2Socket("m", 80, ("nvme",), *socket, 0, 0),))
    module = choice(interface="m2-nvme", pcie_gen=drive[0], pcie_lanes=drive[1], m2_key="m", m2_length_mm=80)
    assert link_mbs(where, module) == lane_mbits * lanes // 8
    assert storage_mbs(where, module, dict(typed.settings())) == lane_mbits * lanes // 8 * 85 // 100
    slow = choice(interface="m2-nvme", pcie_gen=drive[0], pcie_lanes=drive[1], read_mbs=900)
    assert storage_mbs(where, slow, dict(typed.settings())) == 900


def test_the_better_of_two_sockets_is_taken() -> None:
    sockets = (M2Socket("m", 80, ("nvme",), 3, 2, 0, 0), M2Socket("m", 80, ("nvme",), 3, 4, 0, 0))
    module = choice(interface="m2-nvme", pcie_gen=3, pcie_lanes=4)
    assert link_mbs(board(60, m2_slots=sockets), module) == 3938
