"""The system drive as connected: port, link and usable read rate.

Link = lower of drive and port (SATA: Serial ATA revision 3.x backward compatibility; PCI Express: lower
generation and width of both ends). A link carries ``storage_protocol_percent`` of its 8b/10b-limited rate in
practice, a SATA link of 3 or 1.5 Gb/s ``storage_protocol_old_percent`` (readings in the settings' sources).
"""

from __future__ import annotations

from collections.abc import Mapping

from partsolver.assembly.ports import drives_of, m2_takes
from partsolver.catalog.records import Board, DrivePart
from partsolver.problem.candidates import DriveChoice
from partsolver.problem.problem import Problem
from partsolver.standards.storage import m2_lanes, pcie_mbs, sata_link_mbs
from partsolver.survey.model import Drive

# Read rates assumed when neither survey nor catalogue states one (MB/s); typical values, from memory.
TYPICAL_READ_MBS = {"ssd": 500, "hdd35": 150, "hdd25": 100, "optical": 20, "floppy": 1}
TYPICAL_NVME_READ_MBS = 2000
# USB 2.0 carries about 35 MB/s in practice (common practice).
USB_READ_MBS = 35
# Rates of SATA ports in tenths of Gb/s, in the order of the board's columns.
PORT_GBPS10 = (60, 30, 15)
PATA_READ_MBS = 100  # Ultra DMA mode 5, ATA/ATAPI-6


def drive_interface(drive: DriveChoice) -> str | None:
    source = drive.kept or drive.part
    return None if source is None else source.interface


def drive_read_mbs(drive: DriveChoice) -> int:
    """Sequential read of the drive itself; a typical value when it is not stated."""
    source = drive.kept or drive.part
    if source is None:
        return TYPICAL_READ_MBS["hdd35"]
    if source.read_mbs is not None:
        return source.read_mbs
    if source.interface == "m2-nvme":
        return TYPICAL_NVME_READ_MBS
    return TYPICAL_READ_MBS.get(source.kind or "hdd35", TYPICAL_READ_MBS["hdd35"])


def best_sata_port_gbps10(board: Board) -> int | None:
    """Rate of the board's fastest SATA port in tenths of Gb/s, the fastest that it may be; None when it
    has none."""
    return next(iter(possible_sata_rates(board)), None)


def possible_sata_rates(board: Board) -> tuple[int, ...]:
    """The rates that the board's fastest SATA port may have, in tenths of Gb/s, the fastest first; several
    where the number of faster ports is not known, none when it has no port."""
    found = []
    ports = (board.sata_6g_ports, board.sata_3g_ports, board.sata_1g5_ports)
    for count, rate in zip(ports, PORT_GBPS10, strict=True):
        if count != 0:
            found.append(rate)
        if count:
            break
    return tuple(found)


def _key_lanes(module_key: str | None, socket_key: str) -> int:
    """Lanes that the keys of module and socket carry together; four where the module's key is not known."""
    return 4 if module_key is None else m2_lanes(module_key, socket_key)


def link_mbs(board: Board, drive: DriveChoice) -> int:
    """Payload of the link in MB/s before protocol losses. Without a port of its own the drive hangs on USB
    2.0; an NVMe module gets the fastest of the sockets that take it."""
    source = drive.kept or drive.part
    if source is None:
        return PATA_READ_MBS
    if hangs_on_card(drive):
        # The card's own link, today and afterwards: no port of a board makes it faster or slower.
        return _own_link_mbs(source)
    fastest = best_sata_port_gbps10(board)
    if source.interface is None and fastest is not None:
        # A drive whose lead nobody looked at counts as SATA (common practice; the range holds the others).
        return sata_link_mbs(fastest, source.sata_gbps10 or fastest)
    if source.interface in ("sata", "m2-sata"):
        port = 60 if source.interface == "m2-sata" else fastest
        return USB_READ_MBS if port is None else sata_link_mbs(port, source.sata_gbps10 or port)
    if source.interface == "m2-nvme":
        links = [
            pcie_mbs(
                min(s.pcie_gen, source.pcie_gen or s.pcie_gen),
                min(s.pcie_lanes, source.pcie_lanes or s.pcie_lanes, _key_lanes(source.m2_key, s.key)),
            )
            for s in board.m2_slots or ()
            if m2_takes(s, source)
        ]
        return max(links) if links else _own_link_mbs(source)
    return PATA_READ_MBS


def hangs_on_card(drive: DriveChoice) -> bool:
    """Whether a system drive that stays hangs on a card of the PC."""
    return drive.kept is not None and drive.kept.controller not in (None, "board")


def _own_link_mbs(source: Drive | DrivePart) -> int:
    """What the drive's own end of the link carries, MB/s."""
    if source.interface == "m2-nvme":
        return pcie_mbs(min(3, source.pcie_gen or 3), source.pcie_lanes or 4)
    return PATA_READ_MBS if source.interface == "pata" else sata_link_mbs(60, source.sata_gbps10 or 60)


def storage_mbs(board: Board, drive: DriveChoice, settings: Mapping[str, int]) -> int:
    """Read rate the system drive reaches on this board, MB/s."""
    link, interface = link_mbs(board, drive), drive_interface(drive)
    if interface == "m2-nvme":
        percent = settings["pcie_protocol_percent"]
    else:
        old = USB_READ_MBS < link < sata_link_mbs(60, 60) and interface in ("sata", "m2-sata", None)
        percent = settings["storage_protocol_old_percent" if old else "storage_protocol_percent"]
    return min(drive_read_mbs(drive), link * percent // 100)


def raid_members(choice: DriveChoice, problem: Problem) -> tuple[Drive, ...]:
    """Kept drives that are, or may be, members of a RAID set of the board's controller."""
    return tuple(
        drive
        for drive in drives_of(choice, problem)
        if isinstance(drive, Drive)
        and (drive.raid not in (None, "none") or (drive.raid is None and drive.storage_mode == "raid"))
    )
