"""hwinfo text: numbered blocks of one device each; the block of the firmware repeats the SMBIOS table.

Layout and words as hwinfo prints them (public dump beside the project; the SMBIOS codes stand in front of its
words, so that they are read by code: DMTF DSP0134).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from partsolver.standards.smbios_tables import (
    CHASSIS_TYPE,
    CONNECTOR_TYPE,
    MEMORY_FORM_FACTOR,
    MEMORY_TYPE,
    PORT_TYPE,
    PROCESSOR_UPGRADE,
)
from partsolver.survey.facts import OUTSIDE, Facts, Notes, clean
from partsolver.survey.readers.dmi_facts import note_records
from partsolver.survey.readers.dmi_records import Record
from partsolver.survey.readers.processor_text import note_processor
from partsolver.survey.readers.text import lines_of, whole

KIND = "hwinfo"
_HEAD = re.compile(r"(\d{2,3}): (\S+) ([0-9a-f.]+): ([0-9a-f]{4,5}) (.*)$")
_PAIR = re.compile(r"( +)([A-Z][A-Za-z0-9 ./()#-]*?): ?(.*)$")
_SECTION = re.compile(r"  ([A-Z][A-Za-z ]+): #(\d+)$")
_TYPES = {
    "BIOS Info": 0,
    "System Info": 1,
    "Board Info": 2,
    "Chassis Info": 3,
    "Processor Info": 4,
    "Port Connector": 8,
    "System Slot": 9,
    "Physical Memory Array": 16,
    "Memory Device": 17,
}
# Keys of hwinfo that the SMBIOS facts know under dmidecode's name.
_KEYS = {
    (0, "Date"): "Release Date",
    (1, "Product"): "Product Name",
    (2, "Product"): "Product Name",
    (4, "Socket"): "Socket Designation",
    (4, "Max. Speed"): "Max Speed",
    (8, "Type"): "Port Type",
    (8, "Internal Designator"): "Internal Reference Designator",
    (8, "External Connector"): "External Connector Type",
    (8, "Internal Connector"): "Internal Connector Type",
    (9, "Status"): "Current Usage",
    (16, "Max. Size"): "Maximum Capacity",
    (16, "Slots"): "Number Of Devices",
    (17, "Location"): "Locator",
    (17, "Memory Array"): "Array Handle",
}
_CODES = {
    (3, "Type"): CHASSIS_TYPE,
    (4, "Socket Type"): PROCESSOR_UPGRADE,
    (8, "Type"): PORT_TYPE,
    (8, "External Connector"): CONNECTOR_TYPE,
    (8, "Internal Connector"): CONNECTOR_TYPE,
    (17, "Form Factor"): MEMORY_FORM_FACTOR,
    (17, "Type"): MEMORY_TYPE,
}
_CORRECTION = {5: "Single-bit ECC", 6: "Multi-bit ECC", 3: "None"}


@dataclass(slots=True)
class Block:
    """One device: its head, first value of each key, all values of repeated keys, place."""

    bus: str
    title: str
    where: str
    fields: dict[str, str] = field(default_factory=dict)
    repeated: dict[str, list[str]] = field(default_factory=dict)

    def get(self, key: str) -> str:
        """First value without its quotes; "" when there is none."""
        return self.fields.get(key, "").strip().strip('"')


def reads(data: bytes) -> bool:
    """Whether numbered blocks with a hardware class stand in it."""
    lines = lines_of(data)
    return any(_HEAD.match(line) for line in lines) and any(
        line.startswith("  Hardware Class: ") for line in lines
    )


def read(data: bytes, where: str) -> Facts:
    """Facts of all blocks. Never fails."""
    notes = Notes(KIND)
    lines = _first_run(lines_of(data))
    records = _records(lines, where)
    if records:
        note_records(records, notes)
    blocks = _blocks(lines, where)
    for block in blocks:
        notes.hide_all(block.fields.items())
    processors = [block for block in blocks if block.get("Hardware Class") == "cpu"]
    if processors:
        _processor(processors[0], notes)
    names: set[str] = set()
    for block in blocks:
        kind = block.get("Hardware Class")
        if kind in ("disk", "cdrom"):
            _drive(block, kind == "cdrom", names, notes)
    monitors = [block for block in blocks if block.get("Hardware Class") == "monitor"]
    if len(monitors) == 1:
        _monitor(monitors[0], notes)
    return notes.done()


def _first_run(lines: list[str]) -> list[str]:
    """Lines up to a block whose number stood before: files of two runs may have been put together."""
    numbers: set[str] = set()
    for at, line in enumerate(lines):
        head = _HEAD.match(line)
        if head and head[1] in numbers:
            return lines[:at]
        if head:
            numbers.add(head[1])
    return lines


def _blocks(lines: list[str], where: str) -> list[Block]:
    found: list[Block] = []
    for number, line in enumerate(lines, 1):
        head = _HEAD.match(line)
        if head:
            found.append(Block(head[2], head[5], f"{where}:{number}"))
            continue
        pair = _PAIR.match(line)
        if pair and found and len(pair[1]) == 2:
            found[-1].fields.setdefault(pair[2], pair[3])
            found[-1].repeated.setdefault(pair[2], []).append(pair[3])
    return found


def _records(lines: list[str], where: str) -> list[Record]:
    """The SMBIOS structures of the firmware's block, with dmidecode's keys and words."""
    found: list[Record] = []
    current: Record | None = None
    for number, line in enumerate(lines, 1):
        section = _SECTION.match(line)
        if section:
            current = None
            if section[1] in _TYPES:
                current = Record(_TYPES[section[1]], f"#{section[2]}", f"{where}:{number}")
                found.append(current)
            continue
        pair = _PAIR.match(line)
        if not line.startswith("    ") and not (pair and len(pair[1]) > 2):
            current = None
        if pair and current is not None and len(pair[1]) == 4:
            _field(current, pair[2], pair[3])
    if found:
        # hwinfo shows no end mark; the block of the next device stands for it
        found.append(Record(127, "#end", found[-1].where))
    return found


def _field(record: Record, key: str, text: str) -> None:
    """One line of a structure, under dmidecode's key and word."""
    value = text.strip().strip('"')
    code = re.match(r"0x([0-9a-f]{2})\b", value)
    table = _CODES.get((record.type, key))
    if table is not None and code:
        value = table.get(int(code[1], 16), "")
        key = "Upgrade" if key == "Socket Type" else key
    elif (record.type, key) == (4, "Processor ID"):
        key, value = "ID", _id_bytes(value)
    elif (record.type, key) == (4, "Socket Status"):
        key = "Status"
    elif (record.type, key) == (4, "Type"):
        value = "Central Processor" if value.startswith("0x03") else value
    elif (record.type, key) == (4, "Status"):
        return  # the state; whether the socket is filled stands in another line
    elif (record.type, key) == (16, "Use"):
        value = "System Memory" if value.startswith("0x03") else value
    elif (record.type, key) == (16, "ECC") and code:
        key, value = "Error Correction Type", _CORRECTION.get(int(code[1], 16), "")
    elif (plain := re.fullmatch(r"0x[0-9a-f]+ \((.*)\)", value)) is not None:
        value = plain[1]
    record.fields.setdefault(_KEYS.get((record.type, key), key), value)


def _id_bytes(text: str) -> str:
    """0xbfebfbff000006f6 as dmidecode prints it, lowest byte first."""
    match = re.fullmatch(r"0x([0-9a-f]{16})", text)
    if match is None:
        return ""
    return " ".join(f"{byte:02X}" for byte in reversed(bytes.fromhex(match[1])))


def _processor(block: Block, notes: Notes) -> None:
    model = re.match(r'(\d+)\.(\d+)\.(\d+) "(.*)"', block.fields.get("Model", ""))
    if model is None:
        return
    note_processor(
        notes,
        block.where,
        model[4],
        block.get("Vendor"),
        whole(model[1]),
        whole(model[2]),
        whole(model[3]),
        block.get("Features").replace(",", " "),
        "Model",
    )


def _drive(block: Block, optical: bool, names: set[str], notes: Notes) -> None:
    device = re.match(r"/dev/(sd[a-z]+|hd[a-z]|nvme\d+n\d+|sr\d+)\b", block.get("Device File"))
    drivers = block.fields.get("Driver", "")
    if device is None or device[1] in names:
        return
    if "usb" in drivers or "uas" in drivers or block.bus == "USB":
        notes.add(f"drive[{device[1]}].{OUTSIDE}", True, block.where, "a USB device", "doubtful")
        notes.remark(f"A removable or USB drive is left out ({block.where})")
        return
    names.add(device[1])
    at, where = f"drive[{device[1]}]", block.where
    notes.add(f"{at}.seen_name", device[1], where, f"device {device[1]}", "doubtful")
    model = block.get("Model")
    notes.add(f"{at}.seen_model", model, where, f"model {clean(model)!r}", "doubtful")
    if optical:
        notes.add(f"{at}.kind", "optical", where, "hardware class cdrom", "sure")
    else:
        size = re.search(r"\((\d+) bytes\)", block.fields.get("Capacity", ""))
        gigabytes = (int(size[1]) + 500_000_000) // 10**9 if size else None
        notes.add(
            f"{at}.capacity_gb", gigabytes or None, where, f"size {size[1] if size else ''} bytes", "sure"
        )
    if "nvme" in drivers or device[1].startswith("nvme"):
        notes.add(f"{at}.kind", "ssd", where, "NVMe device", "sure")
        notes.add(f"{at}.interface", "m2-nvme", where, "NVMe device")
    elif '"ahci"' in drivers:
        # this driver serves controllers set to RAID as well: their class tells them apart
        if "RAID" not in block.get("Attached to"):
            said = "its controller runs with the driver ahci"
            notes.add(f"{at}.storage_mode", "ahci", where, said, "sure")
        said = "driver ahci; a module in an M.2 socket looks the same"
        notes.add(f"{at}.interface", "sata", where, said, "likely" if optical else "doubtful")


def _monitor(block: Block, notes: Notes) -> None:
    """The largest mode that the monitor's data lists."""
    where, name = block.where, block.get("Model")
    if not name and "Config Status" not in block.fields:
        return  # cut off before or within its name
    notes.add("display[0].name", name or "monitor", where, f"monitor {clean(name)!r}")
    modes = [
        (int(m[1]), int(m[2]), int(m[3]))
        for text in block.repeated.get("Resolution", [])
        if (m := re.fullmatch(r"(\d{3,5})x(\d{3,5})@(\d{2,3})Hz", text.strip()))
    ]
    if not modes or "Config Status" not in block.fields:
        return  # a block ends with that line: without it modes may be missing
    wide, high, refresh = max(modes, key=lambda mode: (mode[0] * mode[1], mode[2]))
    said = f"largest mode listed {wide} x {high} at {refresh} Hz"
    notes.add("display[0].width_px", wide, where, said)
    notes.add("display[0].height_px", high, where, said)
    notes.add("display[0].refresh_hz", refresh, where, said)
