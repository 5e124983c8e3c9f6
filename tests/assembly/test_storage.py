"""The system drive as connected, by hand. SATA 150, 300, 600 MB/s (Serial ATA revision 3.x); PCI Express 250, 500, 985
MB/s a lane for generations 1 to 3; typical drives, USB 2.0 and its share: common practice (`standards/figures.csv`)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, SYSTEM_DRIVE, make_problem, make_survey

from partsolver.assembly.storage import (
    best_sata_port_gbps10,
    drive_interface,
    drive_read_mbs,
    link_mbs,
    possible_sata_rates,
    raid_members,
    storage_mbs,
)
from partsolver.catalog.records import DrivePart
from partsolver.catalog.sockets import M2Socket
from partsolver.problem.candidates import DriveChoice
from partsolver.survey.model import Drive
from partsolver.wishes.brief import Brief

NOTHING = DriveChoice("none", None, None)
SETTINGS = {"pcie_protocol_percent": 80, "storage_protocol_percent": 90, "storage_protocol_old_percent": 70}
FAST = 100_000


def kept(**facts: Any) -> DriveChoice:
    return DriveChoice("kept", Drive(name="drive", **facts), None)


def bought(**facts: Any) -> DriveChoice:
    return DriveChoice("new", None, DrivePart("new", "New", **facts))


def board(six: int | None = 0, three: int | None = 0, one: int | None = 0, **facts: Any) -> Any:
    return replace(
        BOARD, sata_6g_ports=six, sata_3g_ports=three, sata_1g5_ports=one, **{"m2_slots": (), **facts}
    )


def test_the_interface() -> None:
    assert drive_interface(kept(interface="pata")) == "pata"
    assert drive_interface(bought(interface="sata")) == "sata"
    assert drive_interface(kept()) is None and drive_interface(NOTHING) is None


@pytest.mark.parametrize(
    ("facts", "read"),
    [
        ({"kind": "ssd", "read_mbs": 321}, 321),
        ({"kind": "ssd", "interface": "sata"}, 500),
        ({"kind": "hdd35"}, 150),
        ({"kind": "hdd25"}, 100),
        ({"kind": "optical"}, 20),
        ({"kind": "floppy"}, 1),
        ({"kind": None}, 150),
        ({"kind": "ssd", "interface": "m2-nvme"}, 2000),
        ({"kind": "ssd", "interface": "m2-sata"}, 500),
        ({"kind": "ssd", "interface": "m2-nvme", "read_mbs": 3400}, 3400),
    ],
)
def test_what_a_drive_reads(facts: dict[str, Any], read: int) -> None:
    assert drive_read_mbs(kept(**facts)) == read == drive_read_mbs(bought(**facts))


def test_what_nothing_reads() -> None:
    """No system drive: as slow as a disk on a parallel lead."""
    assert drive_read_mbs(NOTHING) == 150
    assert drive_read_mbs(bought(kind="tape")) == 150  # a kind of which nothing is known
    assert link_mbs(board(six=2), NOTHING) == 100


@pytest.mark.parametrize(
    ("ports", "rates"),
    [
        ((1, 4, 4), (60,)),
        ((0, 4, 4), (30,)),
        ((0, 0, 1), (15,)),
        ((0, 0, 0), ()),
        ((None, 4, 0), (60, 30)),
        ((None, None, 2), (60, 30, 15)),
        ((None, 0, 2), (60, 15)),
        ((None, None, None), (60, 30, 15)),
        ((0, None, 0), (30,)),
    ],
)
def test_rates_that_the_fastest_port_may_have(ports: tuple[int | None, ...], rates: tuple[int, ...]) -> None:
    assert possible_sata_rates(board(*ports)) == rates
    assert best_sata_port_gbps10(board(*ports)) == (rates[0] if rates else None)


def socket(gen: int = 3, lanes: int = 4, key: str = "m", protocols: tuple[str, ...] = ("nvme",)) -> M2Socket:
    return M2Socket(key, 80, protocols, gen, lanes, 0, 0)


@pytest.mark.parametrize(
    ("where", "facts", "link"),
    [
        # A lead that nobody looked at counts as SATA where there is a port, else as a parallel one.
        (board(three=2), {"interface": None}, 300),
        (board(three=2), {"interface": None, "sata_gbps10": 15}, 150),
        (board(three=2), {"interface": None, "sata_gbps10": 60}, 300),
        (board(), {"interface": None}, 100),
        (board(six=2), {"interface": "sata"}, 600),
        (board(six=2), {"interface": "sata", "sata_gbps10": 30}, 300),
        (board(one=2), {"interface": "sata", "sata_gbps10": 60}, 150),
        (board(), {"interface": "sata", "sata_gbps10": 60}, 35),  # no port: USB 2.0
        (board(three=2), {"interface": "m2-sata"}, 600),  # its socket's own link
        (board(), {"interface": "m2-sata", "sata_gbps10": 30}, 300),
        (board(six=2), {"interface": "pata"}, 100),
        (board(six=2), {"interface": "usb"}, 100),
        # NVMe: the better of the sockets that take it.
        (board(m2_slots=(socket(),)), {"interface": "m2-nvme"}, 3938),
        (board(m2_slots=(socket(gen=2),)), {"interface": "m2-nvme"}, 2000),
        (board(m2_slots=(socket(lanes=2),)), {"interface": "m2-nvme"}, 1969),
        (board(m2_slots=(socket(),)), {"interface": "m2-nvme", "pcie_gen": 1}, 1000),
        (board(m2_slots=(socket(),)), {"interface": "m2-nvme", "pcie_lanes": 1}, 984),
        (board(m2_slots=(socket(),)), {"interface": "m2-nvme", "m2_key": "m"}, 3938),
        (board(m2_slots=(socket(),)), {"interface": "m2-nvme", "m2_key": "b+m"}, 1969),  # two lanes
        (board(m2_slots=(socket(lanes=1), socket(lanes=2))), {"interface": "m2-nvme"}, 1969),
        # On a slot card where no socket takes it: four lanes of generation 3 at most.
        (board(m2_slots=(socket(protocols=("sata",)),)), {"interface": "m2-nvme"}, 3938),
        (board(m2_slots=None), {"interface": "m2-nvme", "pcie_gen": 4}, 3938),
        (board(m2_slots=None), {"interface": "m2-nvme", "pcie_gen": 2}, 2000),
        (board(m2_slots=None), {"interface": "m2-nvme", "pcie_lanes": 2}, 1969),
        (board(m2_slots=(socket(lanes=1),)), {"interface": "m2-nvme", "m2_length_mm": 110}, 3938),
    ],
)
def test_the_link(where: Any, facts: dict[str, Any], link: int) -> None:
    assert link_mbs(where, kept(kind="ssd", **facts)) == link == link_mbs(where, bought(kind="ssd", **facts))


@pytest.mark.parametrize(
    ("where", "facts", "reads"),
    [
        (board(six=2), {"interface": "sata"}, 540),  # 90 % of 600
        (board(three=2), {"interface": "sata"}, 210),  # an old link: 70 % of 300
        (board(one=2), {"interface": "sata"}, 105),
        (board(six=2), {"interface": "sata", "sata_gbps10": 30}, 210),
        (board(six=2), {"interface": "m2-sata", "sata_gbps10": 30}, 210),
        (board(three=2), {"interface": None}, 210),
        (board(), {"interface": "sata"}, 31),  # USB 2.0: 90 % of 35
        (board(), {"interface": "pata"}, 90),
        (board(), {"interface": None}, 70),
        (board(m2_slots=(socket(),)), {"interface": "m2-nvme"}, 3150),  # 80 % of 3938
        (board(m2_slots=(socket(gen=1, lanes=1),)), {"interface": "m2-nvme"}, 200),
        (board(six=2), {"interface": "sata", "read_mbs": 539}, 539),
        (board(six=2), {"interface": "sata", "read_mbs": 541}, 540),
    ],
)
def test_what_is_read_in_use(where: Any, facts: dict[str, Any], reads: int) -> None:
    assert storage_mbs(where, kept(**{"kind": "ssd", "read_mbs": FAST, **facts}), SETTINGS) == reads


def test_members_of_a_raid_set() -> None:
    """Of a set, or where nobody knows and the controller works in that mode; what stays out is none."""

    def disk(name: str, **facts: Any) -> Drive:
        return Drive(name=name, kind="hdd35", interface="sata", **facts)

    drives = (
        SYSTEM_DRIVE.model_copy(update={"raid": "1"}),
        disk("single", raid="none", storage_mode="raid"),
        disk("open", storage_mode="raid"),
        disk("plain", storage_mode="ahci"),
        disk("unknown"),
        disk("striped", raid="0"),
        disk("out", raid="0", required=False),
        disk("left", raid="0"),
    )
    problem = make_problem(make_survey(drives=drives), Brief(leave_out=("out",)))
    kept_drive = DriveChoice("kept", drives[0], None)
    assert [d.name for d in raid_members(kept_drive, problem)] == ["ssd", "open", "striped", "left"]
    assert [d.name for d in raid_members(bought(kind="ssd"), problem)] == ["open", "striped", "left"]
