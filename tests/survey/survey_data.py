"""Invented dumps and builders of invented binaries, shared by the tests of the survey's readers."""

from __future__ import annotations

import os
import struct
from collections.abc import Sequence
from pathlib import Path

DATA = Path(__file__).parent / "data"
# Reference tables and public dumps lie beside the project, or where this variable says.
SHARED = Path(os.environ.get("PARTSOLVER_SHARED") or Path(__file__).resolve().parents[3] / "shared")
DUMPS = SHARED / "dumps"
CODES = SHARED / "reference" / "smbios-codes.tsv"

# Words of the invented dumps that belong to a person or a single piece: none may reach any output.
PRIVATE = (
    "TVN7X20931",
    "4C4C4544-0051-4A10-8053-B7C04F334431",
    "CN1374082C0093",
    "annas-pc",
    "8A41C00A",
    "0001-067A",
    "MT70AB0123045",
    "a0b1c2d3-e4f5",
    "9VM0HQ2K",
    "3f9d2c11-7a8b",
    "00:1e:c9:2f:7a:b3",
    "5A77C102",
    "HS24-0091723",
    "0x5000c5001a2b3c4d",
    "SN-RAW-77120",
    "LUM99871",
)


# An invented PC of about 2009 as a person would answer, in units of the person's choice.
PC = {
    "pc.name": "reading room PC",
    "brief.use": "office",
    "brief.budget": "250",
    "brief.open_at_once": "usual",
    "os.family": "linux-x86-64-v1",
    "os.licence": "none-needed",
    "os.tied_software": "none",
    "cpu.name": "Velox Duo V8400",
    "cpu.cores": "2",
    "cpu.threads": "2",
    "cpu.base_mhz": "3.0 GHz",
    "cpu.year": "2008",
    "board.name": "NX-41",
    "board.firmware_shipped": "NX41A07",
    "board.firmware_modes": "legacy",
    "drive": "2",
    "drive[0].name": "system disk",
    "drive[0].kind": "hdd35",
    "drive[0].capacity_gb": "0.25 TB",
    "drive[0].system": "yes",
    "drive[0].partition_table": "mbr",
    "drive[0].start_mode": "legacy",
    "drive[0].storage_mode": "ide",
    "drive[0].encrypted": "no",
    "drive[1].name": "optical drive",
    "drive[1].kind": "optical",
    "pc.board_works": "yes",
    "pc.memory_works": "yes",
    "pc.brand": "no",
    "pc.always_on": "no",
    "display": "1",
    "display[0].name": "monitor",
    "display[0].inputs": "vga dvi-d",
    "display[0].width_px": "1680",
    "display[0].height_px": "1050",
    "device": "1",
    "device[0].name": "keyboard",
    "device[0].port": "ps2",
    "device[0].required": "yes",
    "card": "0",
    "case.form_factor": "microatx",
    "case.slot_openings": "4",
    "case.slot_height": "full",
    "case.aperture": "atx",
    "board.outputs": "vga",
    "board.ps2_ports": "2",
    "board.serial_ports": "1",
    "board.parallel_ports": "0",
    "board.usb_rear_ports": "6",
    "psu.condition": "good",
    "psu.pinout": "atx",
    "psu.rated_w": "350 W",
    "psu.year": "2009",
    "psu.rail_12v_ma": "14 + 15",
    "psu.combined_12v_ma": "300 W",
    "psu.cpu_rail": "2",
    "psu.rail_5v_ma": "21 A",
    "psu.rail_3v3_ma": "22",
    "psu.combined_5v_3v3_mw": "130",
    "psu.rail_5vsb_ma": "2 A",
    "psu.efficiency": "none",
    "psu.main_plug": "24",
    "psu.cpu_plugs": "4",
    "psu.cpu_lead_mm": "45 cm",
    "psu.main_lead_mm": "40 cm",
    "psu.card_plugs": "6",
    "psu.sata_plugs": "4",
    "psu.sata_leads": "2",
    "psu.peripheral_plugs": "3",
    "psu.peripheral_leads": "1",
    "psu.floppy_plugs": "1",
    "psu.zero_load_12v": "no",
    "psu.form": "atx",
    "board.socket": "LGA775",
    "board.chipset": "keel-1",
    "board.form_factor": "microatx",
    "board.width_mm": "9.6 in",
    "board.depth_mm": "9.6 inch",
    "board.holes": "B C F H J L M R S",
    "board.main_plug": "24",
    "board.cpu_plugs": "4",
    "board.memory_generation": "ddr2",
    "board.memory_module": "dimm",
    "board.memory_slots": "4",
    "board.memory_channels": "2",
    "board.memory_max_mib": "8 GB",
    "board.memory_max_module_mib": "2 GB",
    "board.memory_max_rate_mts": "800",
    "board.slots": "x16 x1:1 pci pci",
    "board.m2_slots": "no",
    "board.sata_6g_ports": "0",
    "board.sata_3g_ports": "4",
    "board.pata_channels": "1",
    "board.floppy_headers": "1",
    "board.fan_headers": "1",
    "memory": "1",
    "memory[0].generation": "ddr2",
    "memory[0].capacity_mib": "1 GB",
    "memory[0].count": "2",
    "memory[0].rate_mts": "PC2-5300",
    "memory[0].registered": "no",
    "memory[0].ecc": "no",
    "memory[0].module_height_mm": "30",
    "drive[0].interface": "sata",
    "drive[0].power_plug": "sata",
    "drive[0].sata_gbps10": "30",
    "drive[1].interface": "pata",
    "drive[1].power_plug": "peripheral",
    "pc.cooler_brackets": "no",
    "cooler.height_mm": "60",
    "cooler.rated_w": "65",
    "cooler.fan_pins": "4",
    "case.max_board_width_mm": "250",
    "case.max_board_depth_mm": "24.5 cm",
    "case.psu_place": "top",
    "case.max_cooler_height_mm": "150",
    "case.max_card_length_mm": "300",
    "case.standoffs": "B C F H J R",
    "case.standoffs_fixed": "none",
    "case.psu_form": "atx",
    "case.front_usb2_plugs": "1",
    "case.front_usb3_plugs": "0",
    "case.front_usb_e_plugs": "0",
    "case.front_audio": "hd",
    "case.front_panel": "separate",
    "case.fans": "1",
}

# Whole invented PCs behind the dumps: everything that a person would find who looks, and "?" for what none
# could know. NX-41: a tower with a supply bought on its own, and the same board in a maker's own case on a
# maker's own supply.
_OWN = {key: text for key, text in PC.items() if not key.startswith("drive")}
_DISK = {
    "drive[0].storage_mode": "ide",
    "drive[0].start_mode": "legacy",
    "drive[0].power_plug": "sata",
    "drive[0].system": "yes",
    "drive[0].partition_table": "mbr",
    "drive[0].encrypted": "no",
}
TOWER_41 = {
    **_OWN,
    **_DISK,
    "drive[1].interface": "sata",
    "drive[1].power_plug": "sata",
    "drive[1].encrypted": "no",
    "drive[1].sata_gbps10": "60",
    "drive[1].capacity_gb": "2 TB",
    "drive[2].power_plug": "sata",
    "memory[1].registered": "no",
}
MAKERS_41 = {
    **TOWER_41,
    "pc.brand": "yes",
    "case.form_factor": "own",
    "case.aperture": "fixed",
    "case.standoffs_fixed": "A F",
    "case.front_panel": "own",
    "case.max_board_depth_mm": "?",
    "psu.pinout": "own",
    "psu.rated_w": "240",
    "psu.rail_12v_ma": "16",
    "psu.combined_12v_ma": "?",
    "psu.card_plugs": "none",
}
# NX-62: a tower; with a graphics card; and one whose supply's label is worn off and whose maker is not known.
TOWER_62 = {
    **_OWN,
    **_DISK,
    "pc.maker_model": "?",
    "cpu.year": "2009",
    "case.form_factor": "atx",
    "case.slot_openings": "7",
    "case.max_board_width_mm": "305",
    "case.max_board_depth_mm": "260",
    "case.standoffs": "A C F G H J K L M",
    "psu.rated_w": "430",
    "psu.rail_12v_ma": "28",
    "psu.combined_12v_ma": "28",
    "psu.year": "2010",
    "psu.cpu_plugs": "8",
    "psu.card_plugs": "6",
    "board.memory_max_mib": "16 GB",
    "board.memory_max_module_mib": "4 GB",
    "board.memory_max_rate_mts": "1333",
    "board.form_factor": "microatx",
    "psu.main_plug": "24",
}
CARD_62 = {
    **TOWER_62,
    "card": "1",
    "card[0].name": "picture card",
    "card[0].kind": "graphics",
    "card[0].bus": "pcie",
    "card[0].lanes": "16",
    "card[0].height": "full",
    "card[0].width_slots": "1",
    "card[0].length_mm": "170",
    "card[0].power_plugs": "none",
    "card[0].outputs": "dvi-d vga",
    "card[0].required": "no",
}
# What stands around a real board here is invented: the files tell nothing of it.
REAL_PC = {
    **TOWER_62,
    "drive": "1",
    "drive[0].kind": "hdd35",
    "drive[0].interface": "sata",
    "drive[0].name": "disk",
    "drive[0].encrypted": "no",
    "drive[1].kind": "optical",
    "drive[1].interface": "sata",
    "drive[1].power_plug": "sata",
    "cpu.cores": "2",
    "cpu.threads": "2",
    "cpu.base_mhz": "2.8 GHz",
    "board.socket": "?",
    "board.memory_generation": "ddr2",
    "memory[0].generation": "ddr2",
    "memory[0].rate_mts": "667",
    "memory[1].rate_mts": "667",
    "memory[1].generation": "ddr2",
}
WORN_62 = {
    **TOWER_62,
    "psu.pinout": "?",
    "psu.rail_12v_ma": "?",
    "psu.combined_12v_ma": "?",
    "psu.rated_w": "?",
}


def dump(name: str) -> bytes:
    """Bytes of an invented dump."""
    return (DATA / name).read_bytes()


def all_dumps() -> dict[str, bytes]:
    """Every invented dump, text and built."""
    found = {path.name: path.read_bytes() for path in sorted(DATA.iterdir()) if path.name != "README.md"}
    found["raw-table.bin"] = raw_table()
    found["monitor.edid"] = monitor()
    return found


def structure(kind: int, handle: int, body: bytes, strings: Sequence[str] = ()) -> bytes:
    """An SMBIOS structure: header, formatted part, strings ([DSP0134] section 6.1)."""
    texts = b"".join(text.encode() + b"\0" for text in strings) or b"\0"
    return struct.pack("<BBH", kind, len(body) + 4, handle) + body + texts + b"\0"


def raw_table() -> bytes:
    """A table of an invented board with LGA1155's code, one empty slot, ECC-less DDR3, a TPM, a supply
    without watts."""
    bios = bytes([1, 2, 0, 0xF0, 3, 0x0F]) + bytes(8) + bytes([0x03, 0x0D, 4, 6, 255, 255])
    system = bytes([1, 2, 3, 4]) + bytes(range(16)) + bytes([6, 0, 0])
    board = bytes([1, 2, 3, 4, 0, 0x01, 0]) + struct.pack("<H", 0x0300) + bytes([0x0A, 0])
    case = bytes([1, 0x80 | 0x07, 0, 2, 0, 3, 3, 3, 2]) + bytes(4) + bytes([0, 1, 0, 0])
    cpu = (
        bytes([1, 3, 0xC6, 2])
        + bytes.fromhex("A9060300FFFBEBBF")
        + bytes([3, 0x8B])
        + struct.pack("<HHH", 100, 3800, 3400)
        + bytes([0x41, 0x24])
        + struct.pack("<HHH", 0xFFFF, 0xFFFF, 0xFFFF)
        + bytes([4, 5, 6, 4, 4, 8])
        + struct.pack("<HH", 4, 0xC6)
    )
    slot = bytes([1, 0xB6, 0x0D, 4, 4]) + struct.pack("<H", 1) + bytes([0x0C, 1])
    port = bytes([1, 0, 0, 0x22, 0x20])
    array = bytes([3, 3, 3]) + struct.pack("<IHH", 32 * 1024 * 1024, 0xFFFE, 4)
    flash = bytes([3, 5, 3]) + struct.pack("<IHH", 8192, 0xFFFE, 1)

    def module(array_handle: int, size: int, form: int, kind: int, speed: int, name: int) -> bytes:
        head = struct.pack(
            "<HHHHH", array_handle, 0xFFFE, 64 if size else 0xFFFF, 64 if size else 0xFFFF, size
        )
        return (
            head
            + bytes([form, 0, name, 0, kind])
            + struct.pack("<HH", 0x0080, speed)
            + bytes([0, 2, 0, 3, 0])
            + struct.pack("<IH", 0, speed)
        )

    names = ["DIMM1", "SN-RAW-77120", "QM3-1600-4G"]
    supply = bytes([0, 0, 1, 0, 0, 0, 0, 0]) + struct.pack("<HH", 0x8000, 0x1102)
    tpm = b"TPMX" + bytes([2, 0]) + bytes(8) + bytes([0]) + bytes(8) + bytes(4)
    return b"".join(
        [
            structure(0, 0x0000, bios, ["Quillon", "K01 v02.05", "06/18/2012"]),
            structure(1, 0x0100, system, ["Torvane", "Desk 830 SFF", "A1", "SN-RAW-77120"]),
            structure(2, 0x0200, board, ["Torvane", "NX-83", "A1", "SN-RAW-77120"]),
            structure(3, 0x0300, case, ["Torvane", "SN-RAW-77120"]),
            structure(
                4,
                0x0400,
                cpu,
                ["SOCKET 0", "GenuineIntel", "Velox(R) Quad CPU V3770 @ 3.40GHz", "0", "0", "0"],
            ),
            structure(9, 0x0900, slot, ["PCIEX16"]),
            structure(8, 0x0800, port, ["SATA0"]),
            structure(16, 0x1000, array),
            structure(17, 0x1100, module(0x1000, 4096, 9, 0x18, 1600, 1), names),
            structure(17, 0x1101, module(0x1000, 0, 2, 2, 0, 1), ["DIMM2", "", ""][:1]),
            structure(17, 0x1102, module(0x1000, 4096, 9, 0x18, 1600, 1), ["DIMM3", *names[1:]]),
            structure(
                17,
                0x1103,
                module(0x1000, 0x7FFF, 9, 0x18, 1600, 1)[:0x18] + struct.pack("<IH", 16384, 1600),
                ["DIMM4", *names[1:]],
            ),
            structure(16, 0x1001, flash),
            structure(17, 0x1104, module(0x1001, 0x8000 | 8192, 5, 9, 0, 1), ["SYSTEM ROM"]),
            structure(39, 0x2700, supply, ["To Be Filled By O.E.M."]),
            structure(43, 0x2B00, tpm, []),
            structure(127, 0xFEFF, b""),
        ]
    )


def dump_bin(table: bytes) -> bytes:
    """The file form of `dmidecode --dump-bin`: a 32-bit entry point of version 2.7, table at 20h ([DSP0134]
    section 5.2.1)."""
    middle = b"_DMI_\0" + struct.pack("<HIHB", len(table), 0x20, 17, 0x27)
    middle = middle[:5] + bytes([-sum(middle) % 256]) + middle[6:]
    head = b"_SM_\0" + bytes([0x1F, 2, 7]) + struct.pack("<H", 256) + bytes(6)
    entry = head + middle
    entry = entry[:4] + bytes([-sum(entry) % 256]) + entry[5:]
    return entry.ljust(0x20, b"\0") + table


def monitor(name: str = "Lumen 22W", serial: str = "LUM99871", digital: bool = True) -> bytes:
    """An EDID 1.4 block: 1680 x 1050 at 60 Hz by the CVT reduced-blanking timing 119.0 MHz, 1840 x 1080
    total, HDMI (or VGA).

    Timing: VESA Coordinated Video Timings 1.2, table of 1.76MA-R (from memory): 119.00 MHz, 1840, 1080,
    59.883 Hz.
    """
    block = bytearray(128)
    block[:8] = bytes.fromhex("00ffffffffffff00")
    block[18:20] = bytes([1, 4])
    block[20] = 0x80 | 0x20 | 2 if digital else 0
    across, across_blank, down, down_blank = 1680, 160, 1050, 30
    block[54:72] = (
        struct.pack(
            "<HBBBBBB",
            11900,
            across & 255,
            across_blank & 255,
            (across >> 8) << 4 | across_blank >> 8,
            down & 255,
            down_blank & 255,
            (down >> 8) << 4 | down_blank >> 8,
        )
        + bytes(9)
        + bytes([0x1A])
    )
    for at, tag, text in ((72, 0xFC, name), (90, 0xFF, serial)):
        block[at : at + 18] = bytes([0, 0, 0, tag, 0]) + (text + "\n").encode().ljust(13)[:13]
    block[127] = -sum(block[:127]) % 256
    return bytes(block)
