"""Storage links: SATA, parallel ATA, SAS, PCI Express and M.2.

Documents: [SATA] an Intel support article CS-009260 (rate x 8/10) and the HP SAS technology brief (4th ed.),
table 2; [PCIE] Linux drivers/pci/pci.h, macro PCIE_SPEED2MBS_ENC, commit 9cb3985af635; [M2] Samsung M.2
leaflet (MZ-V6E1T0), p. 3.
"""

from __future__ import annotations

from typing import Final

#: SATA line rate in tenths of Gb/s -> MB/s after 8b/10b.  [SATA], high.
SATA_MBS: Final[dict[int, int]] = {15: 150, 30: 300, 60: 600}

#: SAS line rate in tenths of Gb/s -> MB/s per lane.  HP brief table 2 (3, 6 Gb/s high; 12 medium).
SAS_MBS: Final[dict[int, int]] = {30: 300, 60: 600, 120: 1200}

#: Ultra DMA mode -> MB/s as the modes are named.  0-2: ATA-4 (high); 4: ATA-5, 5: ATA-6, 6: ATA-7 (medium).
UDMA_MBS: Final[dict[int, int]] = {0: 16, 1: 25, 2: 33, 4: 66, 5: 100, 6: 133}
UDMA_FASTEST_ON_40_CONDUCTORS: Final = 2  # above it an 80-conductor cable is needed (high)
PATA_DEVICES_PER_CHANNEL: Final = 2  # device 0 and device 1 on one cable (common practice)

#: PCI bus, 32 bit at 33 MHz, shared by all its slots, MB/s (from memory; a fact of the trade).
PCI_BUS_MBS: Final = 133

#: A partition table of the old kind (MBR) counts 2**32 sectors of 512 bytes; larger boot disks need GPT and
#: UEFI.
MBR_LIMIT_BYTES: Final = 2**32 * 512

#: PCI Express generation -> usable Mb/s per lane and direction, truncated as [PCIE] does: 8b/10b for 1 and 2
#: (2.5 and 5 GT/s, ten bits on the line for a byte of eight), then 128b/130b.
PCIE_LANE_MBITS: Final[dict[int, int]] = {
    1: 250 * 8,
    2: 500 * 8,
    3: 8_000 * 128 // 130,
    4: 16_000 * 128 // 130,
    5: 32_000 * 128 // 130,
}
PCIE_WIDTHS: Final = (1, 2, 4, 8, 16)

# M.2, [M2] (high): what a socket key can carry.  The protocols of a real socket are a subset: read the
# board's manual.
M2_KEY_CARRIES: Final[dict[str, frozenset[str]]] = {
    "a": frozenset({"pcie", "usb"}),
    "b": frozenset({"pcie", "sata", "usb"}),
    "e": frozenset({"pcie", "usb"}),
    "m": frozenset({"pcie", "sata"}),
}
M2_KEY_LANES: Final[dict[str, int]] = {"a": 1, "b": 2, "e": 1, "m": 4}  # a, e: two links of one lane each

#: Module key -> socket keys it goes into.  B+M: encyclopaedia text (high); A+E: the same principle, from
#: memory.
M2_FITS: Final[dict[str, frozenset[str]]] = {
    "a": frozenset("a"),
    "a+e": frozenset("ae"),
    "b": frozenset("b"),
    "b+m": frozenset("bm"),
    "e": frozenset("e"),
    "m": frozenset("m"),
}
M2_WIDTHS_MM: Final = (12, 16, 22, 30)
M2_LENGTHS_MM: Final = (16, 26, 30, 38, 42, 60, 80, 110)

#: (drive, port) pairs that work, with the drive's own plug (HP SAS brief, high): SAS controllers also take
#: SATA drives.
DRIVE_ON_PORT: Final = frozenset({("sata", "sata"), ("sata", "sas"), ("sas", "sas"), ("pata", "pata")})


def sata_link_mbs(drive_gbps10: int, port_gbps10: int) -> int:
    """MB/s of a SATA link: the slower of drive and port (15, 30 or 60 tenths of Gb/s).

    ``ValueError`` for others.
    """
    for what, rate in (("drive", drive_gbps10), ("port", port_gbps10)):
        if rate not in SATA_MBS:
            raise ValueError(f"SATA rate of the {what} is {rate}; known are 15, 30 and 60 (tenths of Gb/s)")
    return min(SATA_MBS[drive_gbps10], SATA_MBS[port_gbps10])


def pcie_mbs(gen: int, lanes: int) -> int:
    """MB/s of a PCI Express link in one direction before packet overhead, rounded down.

    Lane rate x width, as [PCIE].  Raises ``ValueError`` for an unknown generation or width.
    """
    if gen not in PCIE_LANE_MBITS:
        raise ValueError(f"PCI Express generation {gen} is not known; known are {sorted(PCIE_LANE_MBITS)}")
    if lanes not in PCIE_WIDTHS:
        raise ValueError(
            f"PCI Express width x{lanes} is not known; known are {', '.join(f'x{n}' for n in PCIE_WIDTHS)}"
        )
    return PCIE_LANE_MBITS[gen] * lanes // 8


def m2_key_fits(module_key: str, socket_key: str) -> bool:
    """Whether a module's key ("m", "b", "b+m", ...) goes into a socket's.

    The protocol has to match as well.
    """
    if module_key not in M2_FITS:
        raise ValueError(f"M.2 module key {module_key!r} is not known; known are {', '.join(M2_FITS)}")
    if socket_key not in M2_KEY_CARRIES:
        raise ValueError(f"M.2 socket key {socket_key!r} is not known; known are {', '.join(M2_KEY_CARRIES)}")
    return socket_key in M2_FITS[module_key]


def m2_lanes(module_key: str, socket_key: str) -> int:
    """Most PCI Express lanes of a module in a socket: 0 if it does not fit.

    A B+M module has two at most ([M2]).
    """
    if not m2_key_fits(module_key, socket_key):
        return 0
    return min(M2_KEY_LANES[key] for key in (*module_key.split("+"), socket_key))
