"""SMBIOS tables against the published codes, and the raw reader against dmidecode."""

from __future__ import annotations

import csv
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from standards import recorded_codes
from survey.survey_data import CODES, dump_bin, raw_table

from partsolver.standards import cpu_signatures, smbios, smbios_tables
from partsolver.survey import crosscheck
from partsolver.survey.readers import dmidecode, smbios_raw

TABLES = {
    ("3", "chassis type"): "CHASSIS_TYPE",
    ("2", "board type"): "BOARD_TYPE",
    ("4", "processor upgrade"): "PROCESSOR_UPGRADE",
    ("4", "processor type"): "PROCESSOR_TYPE",
    ("4", "processor status bits 2:0"): "PROCESSOR_STATUS",
    ("16", "array location"): "ARRAY_LOCATION",
    ("16", "array use"): "ARRAY_USE",
    ("16", "error correction"): "ERROR_CORRECTION",
    ("17", "form factor"): "MEMORY_FORM_FACTOR",
    ("17", "memory type"): "MEMORY_TYPE",
    ("17", "type detail bit"): "TYPE_DETAIL_BIT",
    ("9", "slot type"): "SLOT_TYPE",
    ("9", "data bus width"): "SLOT_WIDTH",
    ("9", "current usage"): "SLOT_USAGE",
    ("9", "slot length"): "SLOT_LENGTH",
    ("9", "slot height"): "SLOT_HEIGHT",
    ("8", "connector type"): "CONNECTOR_TYPE",
    ("8", "port type"): "PORT_TYPE",
    ("39", "power supply type"): "SUPPLY_TYPE",
    ("39", "power supply status"): "SUPPLY_STATUS",
}


@pytest.mark.skipif(not CODES.exists(), reason="the table of published codes is not here")
def test_every_published_code() -> None:
    # DSP0134 3.9.0 as compared across three implementations: reference/smbios-codes.tsv, 450 rows
    with CODES.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file, delimiter="\t"))
    published: dict[str, dict[int, str]] = {}
    for row in rows:
        published.setdefault(TABLES[(row["smbios_type"], row["field"])], {})[int(row["code"], 16)] = row[
            "meaning"
        ]
    published["PROCESSOR_UPGRADE"][0x24] = "Socket LGA1155"  # renamed in 2.8.0
    published["PROCESSOR_UPGRADE"][0xFF] = "See Socket Type"
    assert {name: getattr(smbios_tables, name) for name in TABLES.values()} == published


# Where the tool and the document differ: renamed in 2.8.0, a slip of the tool, and words that it puts around ours.
OF_THE_TOOL = {"Socket BGA1155": "Socket LGA1155", "CXL FLexbus 1.0": "CXL Flexbus 1.0"}
WIDTHS = {0x01: "Other", 0x02: "Unknown"}
# Add-on cards as homes of memory arrays: not in desktop PCs.
NOT_OURS = {("ARRAY_LOCATION", code) for code in range(0xA0, 0xA5)}


def test_every_code_as_dmidecode_names_it() -> None:
    """415 codes as Debian's dmidecode prints them (recorded_codes.py: one structure for every value)."""
    rows = [line.split("\t") for line in recorded_codes.CODES.read_text(encoding="utf-8").splitlines()]
    assert len(rows) == 415 and {name for name, *_ in rows} == recorded_codes.FIELDS.keys()
    for name, text, word in rows:
        code = int(text, 16)
        if (name, code) in NOT_OURS:
            continue
        ours = getattr(smbios_tables, name)[code]
        if name == "SLOT_WIDTH":
            # The tool puts the width before the type ("x16 PCI Express"); these were asked with the type "Other".
            width = word.removesuffix("Other").strip()
            assert ours == WIDTHS[code] if not width else width.replace("-", " ") in ours.split(" or "), word
        else:
            word = word.removeprefix("Populated, " if name == "PROCESSOR_STATUS" else "Present, ")
            assert ours == OF_THE_TOOL.get(word, word), (name, text)


@pytest.mark.parametrize(
    ("code", "socket"),
    # DSP0134 3.9.0, section 7.5.5
    [
        (0x15, "LGA775"),
        (0x1D, "LGA1156"),
        (0x24, "LGA1155"),
        (0x2D, "LGA1150"),
        (0x32, "LGA1151"),
        (0x1B, "AM3"),
        (0x31, "AM4"),
        (0x49, "AM5"),
        (0x0F, "478"),
        (1, None),
        (4, None),
        (6, None),
        (0xFE, None),
    ],
)
def test_sockets_by_code(code: int, socket: str | None) -> None:
    assert smbios.socket_of(code) == socket


@pytest.mark.parametrize(
    ("text", "socket"),
    # free texts of real firmware: reference/survey-formats.md, section 1.4
    [
        ("LGA775", "LGA775"),
        ("LGA 775", "LGA775"),
        ("Socket 775", "LGA775"),
        ("AM4", "AM4"),
        ("SOCKET 0", None),
        ("XU1 PROCESSOR", None),
        ("CPU 1", None),
        ("U3E1", None),
        ("CPUSocket", None),
    ],
)
def test_sockets_in_designations(text: str, socket: str | None) -> None:
    assert smbios.socket_in(text) == socket


def test_words_of_two_numberings() -> None:
    # CIM's own numbers (MicrosoftDocs/win32 @ 47e64c18): 8 = DIMM where SMBIOS has 9; 24 = DDR3 where SMBIOS
    # has 24 = 18h
    assert smbios.CIM_FORM_FACTOR[8] == smbios_tables.MEMORY_FORM_FACTOR[9] == "DIMM"
    assert smbios.CIM_MEMORY_TYPE[21] == smbios_tables.MEMORY_TYPE[0x13] == "DDR2"
    assert smbios.generation_of(0x18) == "ddr3" and smbios.generation_of("SDRAM") is None


@pytest.mark.parametrize(
    ("eax", "family_model"),
    # family and model as dmidecode prints them in public dumps (signature lines): 6/23, 6/42, 15/107, 21/2
    [
        (0x1067A, (6, 23)),
        (0x206A7, (6, 42)),
        (0x60FB2, (15, 107)),
        (0x600F20, (21, 2)),
        (0, None),
        (0x178BFBFF, None),
    ],
)
def test_signatures(eax: int, family_model: tuple[int, int] | None) -> None:
    assert smbios.signature(eax) == family_model


@pytest.mark.parametrize(
    ("vendor", "family", "model", "sockets"),
    # reference/survey-formats.md, sections 1.4 and 2.3 (counts over public dumps)
    [
        ("i", 6, 23, ("LGA775",)),
        ("i", 6, 60, ("LGA1150",)),
        ("i", 6, 94, ("LGA1151",)),
        ("a", 15, 107, ("AM2",)),
        ("a", 21, 2, ("AM3+",)),
        ("a", 23, 113, ("AM4",)),
    ],
)
def test_sockets_by_signature(vendor: str, family: int, model: int, sockets: tuple[str, ...]) -> None:
    made = cpu_signatures.made_for(vendor, family, model)
    assert made is not None and made.sockets == sockets


@pytest.mark.parametrize(
    ("word", "speed", "signature", "value", "suggested"),
    [
        ("DDR2", 667, ("i", 6, 23), "ddr2", None),  # rate and type agree
        ("DDR2", 1067, ("i", 6, 23), None, None),  # a DDR3 board whose firmware says DDR2
        ("DDR3", 1333, ("i", 6, 23), "ddr3", None),
        ("SDRAM", 533, ("i", 6, 15), None, None),
        ("DDR", 800, ("a", 15, 67), "ddr2", None),  # the controller drives DDR2 only
        ("Other", 667, ("a", 21, 2), "ddr3", None),
        ("Other", 667, ("a", 16, 5), None, None),  # DDR2-667, or the clock of DDR3-1333
        ("Other", 1600, ("a", 16, 5), "ddr3", None),
        ("type out of spec", 4800, ("i", 6, 183, 1), "ddr5", None),
        ("type out of spec", 3200, ("i", 6, 183, 1), None, None),  # DDR4-3200 or DDR5-3200
        ("DDR2", 800, ("i", 6, 60), "ddr3", None),  # contradicts the controller, which decides
        ("DDR", 400, ("a", 15, 47), "ddr", None),  # the first generation, by two witnesses
        ("Unknown", 400, ("a", 15, 47), "ddr", None),
        ("DDR", 400, ("i", 15, 2, 7), "ddr", None),  # boards for it take nothing later
        ("DDR", 400, ("i", 6, 23), None, None),  # 400 is also the clock of DDR2-800
        ("DDR3", 2400, ("i", 6, 60), "ddr3", None),  # a rate of an overclocking profile
        ("DDR3", 1600, ("i", 6, 94), "ddr3", None),  # boards of both kinds exist
        ("LPDDR3", 1600, ("i", 6, 94), None, None),
        ("DDR2", None, ("i", 6, 23), None, "ddr2"),
        ("DDR2", 400, None, "ddr2", None),
    ],
)
def test_memory_generation(
    word: str,
    speed: int | None,
    signature: tuple[Any, ...] | None,
    value: str | None,
    suggested: str | None,
) -> None:
    made = cpu_signatures.made_for(*signature) if signature else None
    judged = crosscheck.memory_generation(word, speed, None, made)
    assert (judged.value, judged.suggested) == (value, suggested)
    assert judged.value or judged.why


@pytest.mark.parametrize(
    ("generation", "speed", "value", "suggested"),
    # JEDEC grades (JESD79): 1067 is 1066, 2667 is 2666; half values occur (933 for 1866 in 158 public files)
    [
        ("ddr3", 1067, 1066, None),
        ("ddr4", 2667, 2666, None),
        ("ddr3", 933, None, 1866),
        ("ddr2", 333, None, 667),
        ("ddr3", 800, None, None),
        ("ddr2", 400, None, None),
        ("ddr2", 52217, None, None),
        ("ddr3", 2400, 2400, None),  # overclocking profiles: as the label says (common practice)
        ("ddr4", 3600, 3600, None),
        ("ddr4", 3602, 3600, None),
        ("ddr3", 1200, None, None),
        ("ddr", 400, 400, None),
        ("ddr", 200, None, None),  # or the clock of 400
        ("sdr", 133, 133, None),
        (None, 1600, None, None),
    ],
)
def test_memory_rate(generation: str | None, speed: int, value: int | None, suggested: int | None) -> None:
    judged = crosscheck.memory_rate(generation, speed, None)
    assert (judged.value, judged.suggested) == (value, suggested)


# What dmidecode 3.4 (Debian 12) printed for the table of survey_data.raw_table(), recorded; compared live
# where it is installed.
RECORDED = {
    0: {"Vendor": "Quillon", "Version": "K01 v02.05", "Release Date": "06/18/2012"},
    2: {"Manufacturer": "Torvane", "Product Name": "NX-83", "Type": "Motherboard"},
    3: {"Type": "Tower"},
    4: {
        "Version": "Velox(R) Quad CPU V3770 @ 3.40GHz",
        "ID": "A9 06 03 00 FF FB EB BF",
        "Max Speed": "3800 MHz",
        "Status": "Populated, Enabled",
        "Upgrade": "Socket BGA1155",
        "Core Count": "4",
        "Core Enabled": "4",
        "Thread Count": "8",
    },
    8: {
        "Internal Reference Designator": "SATA0",
        "External Connector Type": "SAS/SATA Plug Receptacle",
        "Port Type": "SATA",
    },
    9: {
        "Designation": "PCIEX16",
        "Type": "x16 PCI Express 3 x16",
        "Current Usage": "In Use",
        "Length": "Long",
    },
    16: {"Use": "System Memory", "Maximum Capacity": "32 GB", "Number Of Devices": "4"},
    17: {
        "Size": "4 GB",
        "Form Factor": "DIMM",
        "Locator": "DIMM1",
        "Type": "DDR3",
        "Type Detail": "Synchronous",
        "Speed": "1600 MT/s",
        "Total Width": "64 bits",
        "Configured Memory Speed": "1600 MT/s",
    },
    39: {"Name": "To Be Filled By O.E.M.", "Max Power Capacity": "Unknown"},
    43: {"Specification Version": "2.0"},
}


def test_raw_reader_against_recorded_output() -> None:
    records = smbios_raw.records_of(raw_table(), "raw")
    for kind, expected in RECORDED.items():
        record = next(r for r in records if r.type == kind)
        expected = {key: smbios.OLD_WORDS.get(value, value) for key, value in expected.items()}
        assert {key: record.fields.get(key) for key in expected} == expected
    assert [r.fields["Size"] for r in records if r.type == 17] == [
        "4 GB",
        "No Module Installed",
        "4 GB",
        "16 GB",
        "8 MB",
    ]
    characteristics = next(r for r in records if r.type == 0).lists["Characteristics"]
    assert characteristics == ["BIOS boot specification is supported", "UEFI is supported"]


@pytest.mark.skipif(shutil.which("dmidecode") is None, reason="dmidecode is not installed")
def test_raw_reader_against_dmidecode(tmp_path: Path) -> None:
    path = tmp_path / "table.bin"
    path.write_bytes(dump_bin(raw_table()))
    printed = subprocess.run(["dmidecode", "--from-dump", str(path)], capture_output=True, check=True).stdout
    theirs = dmidecode.records_of(printed.decode().split("\n"), "text")
    for ours in smbios_raw.records_of(path.read_bytes(), "raw"):
        other = next(r for r in theirs if r.handle == ours.handle)
        assert other.type == ours.type
        for key, value in ours.fields.items():
            if key in other.fields:
                assert value == smbios.OLD_WORDS.get(other.fields[key], other.fields[key]), (ours.type, key)
        shared = set(ours.fields) & set(other.fields)
        assert len(shared) >= min(2, len(ours.fields)), ours
    for kind, expected in RECORDED.items():
        record = next(r for r in theirs if r.type == kind)
        assert {key: record.fields.get(key) for key in expected} == expected
