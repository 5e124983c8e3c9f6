"""Windows management classes printed by PowerShell or wmic: list, CSV or JSON, UTF-8 or UTF-16.

Codes: [CIM] where they differ from SMBIOS (form factor, MemoryType), raw SMBIOS where newer Windows gives
them (SMBIOSMemoryType, UpgradeMethod, ChassisTypes); reference/survey-formats.md, section 3.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable
from typing import Any

from partsolver.standards.cpu_signatures import vendor_letter
from partsolver.standards.smbios import CIM_FORM_FACTOR, CIM_MEMORY_TYPE
from partsolver.standards.smbios_tables import CHASSIS_TYPE, MEMORY_TYPE, PROCESSOR_UPGRADE
from partsolver.survey.facts import OUTSIDE, PERHAPS_SET, Certainty, Facts, Notes, clean, is_placeholder
from partsolver.survey.readers.dmi_facts import (
    Signature,
    bios_year,
    is_brand,
    note_base_clock,
    note_cpuid,
    note_firmware_version,
    signature_of,
)
from partsolver.survey.readers.dmi_memory import MOST_SLOTS, note_capacity, note_widths
from partsolver.survey.readers.text import is_broken_off, whole
from partsolver.survey.readers.units import brand_cores
from partsolver.survey.readers.wmi_rows import Row, instances

KIND = "wmi"
# BusType of MSFT_PhysicalDisk (MicrosoftDocs/windows-driver-docs, msft-physicaldisk.md); PowerShell shows
# words.
_BUS = {
    "3": "ata",
    "4": "1394",
    "6": "fibre channel",
    "7": "usb",
    "8": "raid",
    "9": "iscsi",
    "11": "sata",
    "12": "sd",
    "13": "mmc",
    "14": "virtual",
    "15": "file backed virtual",
    "16": "storage spaces",
    "17": "nvme",
}
_UNBUILT = frozenset(
    {"1394", "fibre channel", "usb", "iscsi", "sd", "mmc", "virtual", "file backed virtual", "storage spaces"}
)
# Models of disks that Windows makes up: a mounted image, a pool of drives (from memory).
_MADE_UP = re.compile(r"(?:Microsoft|Msft) (?:Virtual Disk|Storage Space)", re.IGNORECASE)
_MEDIA = {"3": "hdd", "4": "ssd"}


def reads(data: bytes) -> bool:
    """Whether an instance of a known class stands in it."""
    return bool(instances(data, ""))


def read(data: bytes, where: str) -> Facts:
    """Facts of all instances. Never fails."""
    notes = Notes(KIND)
    found = instances(data, where)
    once: list[tuple[str, Row, str]] = []
    for item in found:
        if not any(item[:2] == other[:2] for other in once):
            once.append(item)
    doubled = len(once) < len(found)
    found = once
    for _, row, _ in found:
        notes.hide_all(row.items())
    by_class: dict[str, list[tuple[Row, str]]] = {}
    for name, row, at in found:
        by_class.setdefault(name, []).append((row, at))
    _memory(
        by_class.get("Win32_PhysicalMemory", []),
        by_class.get("Win32_PhysicalMemoryArray", []),
        doubled or is_broken_off(data),
        notes,
    )
    _processors(by_class.get("Win32_Processor", []), notes)
    for name, reader in _FIRST_OF.items():
        for row, at in by_class.get(name, [])[:1]:
            reader(row, at, notes)
    for row, at in [*by_class.get("Win32_DiskDrive", []), *by_class.get("MSFT_PhysicalDisk", [])]:
        _disk(row, at, notes)
    for row, at in by_class.get("Win32_VideoController", []):
        said = f"graphics {clean(_text(row, 'Name'))!r}: a card, or the processor's own"
        notes.add("card.seen_graphics", _text(row, "Name"), at, said, "doubtful")
    return notes.done()


def _board(row: Row, at: str, notes: Notes) -> None:
    notes.add("board.name", _text(row, "Product"), at, f"board product {_text(row, 'Product')!r}")
    notes.add("board.maker", _text(row, "Manufacturer"), at, f"board maker {_text(row, 'Manufacturer')!r}")


def _system(row: Row, at: str, notes: Notes) -> None:
    maker, model = _text(row, "Manufacturer"), _text(row, "Model")
    if not is_placeholder(maker) and not is_placeholder(model):
        notes.add("pc.maker_model", f"{maker} {model}", at, f"system {maker!r} {model!r}")
    if "virtual" in model.lower():
        notes.add("pc.seen_virtual", True, at, "system of a virtual machine", "sure")


def _enclosure(row: Row, at: str, notes: Notes) -> None:
    code = whole(re.sub(r"[^0-9].*$", "", _text(row, "ChassisTypes").lstrip("{[ ")))
    word = CHASSIS_TYPE.get((code or 0) & 0x7F)
    notes.add("case.seen_chassis", word, at, f"chassis type {word}", "doubtful")


def _tpm(row: Row, at: str, notes: Notes) -> None:
    version = _text(row, "SpecVersion").split(",")[0].strip()
    notes.add("board.tpm", version if version in ("1.2", "2.0") else None, at, f"TPM version {version}")


def _text(row: Row, key: str) -> str:
    value: Any = row.get(key)
    if isinstance(value, list):
        value = value[0] if value else ""
    return str(value).strip() if isinstance(value, str | int | float) and not isinstance(value, bool) else ""


def _firmware(row: Row, at: str, notes: Notes) -> None:
    note_firmware_version(notes, _text(row, "SMBIOSBIOSVersion"), at)
    date = _text(row, "ReleaseDate")
    stamp = re.fullmatch(r"\\?/Date\((\d{1,14})(?:[+-]\d{4})?\)\\?/", date)
    if stamp:
        year: int | None = (
            datetime.datetime.fromtimestamp(int(stamp[1]) // 1000, datetime.UTC).year
            if int(stamp[1]) < 4_102_444_800_000
            else None
        )
    else:
        year = bios_year(date)
    notes.add("board.seen_firmware_year", year, at, f"firmware dated {date}", "doubtful")


# Classes of which the first instance counts.
_FIRST_OF: dict[str, Callable[[Row, str, Notes], None]] = {
    "Win32_BaseBoard": _board,
    "Win32_ComputerSystem": _system,
    "Win32_BIOS": _firmware,
    "Win32_SystemEnclosure": _enclosure,
    "Win32_Tpm": _tpm,
}


def _processors(rows: list[tuple[Row, str]], notes: Notes) -> None:
    if rows:
        notes.add("cpu.seen_sockets_filled", len(rows), rows[0][1], f"{len(rows)} processors", "doubtful")
    for row, at in rows[:1]:
        name = _text(row, "Name")
        # an old Windows calls a processor that it does not know by a family of its own time
        sure: Certainty = "likely" if is_brand(name) else "doubtful"
        notes.add("cpu.name", name, at, f"processor {clean(name)!r}", sure)
        notes.add(
            "cpu.maker", _text(row, "Manufacturer"), at, f"processor maker {_text(row, 'Manufacturer')!r}"
        )
        vendor = vendor_letter(f"{_text(row, 'Manufacturer')} {name}")
        note_base_clock(notes, name, vendor, whole(_text(row, "MaxClockSpeed")), None, at)
        notes.add("cpu.seen_brand_cores", brand_cores(name), at, f"processor {clean(name)!r}", "doubtful")
        word = PROCESSOR_UPGRADE.get(whole(_text(row, "UpgradeMethod")) or 0)
        notes.add("cpu.seen_upgrade", word, at, f"socket code {word!r}", "doubtful")
        designation = _text(row, "SocketDesignation")
        notes.add(
            "cpu.seen_designation", designation, at, f"socket designation {clean(designation)!r}", "doubtful"
        )
        note_cpuid(notes, vendor, _signature(row), at)
        cores, threads = whole(_text(row, "NumberOfCores")), whole(_text(row, "NumberOfLogicalProcessors"))
        if cores and threads and cores <= threads <= 2 * cores:
            said = f"{cores} cores, {threads} logical processors"
            notes.add("cpu.cores", cores, at, said)
            notes.add("cpu.threads", threads, at, said)


def _signature(row: Row) -> Signature | None:
    """From the processor's id (its lower half is CPUID's EAX), else from the caption."""
    raw = _text(row, "ProcessorId")
    if re.fullmatch(r"[0-9A-Fa-f]{16}", raw) and (found := signature_of(int(raw[8:], 16))):
        return found
    numbers = re.search(r"Family (\d+) Model (\d+) Stepping (\d+)", _text(row, "Caption"))
    return (int(numbers[1]), int(numbers[2]), int(numbers[3])) if numbers else None


def _memory(rows: list[tuple[Row, str]], arrays: list[tuple[Row, str]], doubtful: bool, notes: Notes) -> None:
    index = 0
    # MemoryErrorCorrection: 5 single-bit, 6 multi-bit ECC, [CIM]
    corrects = bool(arrays) and all(_text(row, "MemoryErrorCorrection") in ("5", "6") for row, _ in arrays)
    for row, at in rows:
        size = whole(_text(row, "Capacity"))
        if not size or "ROM" in _text(row, "DeviceLocator").upper():
            continue
        path, slot = f"memory[{index}]", clean(_text(row, "DeviceLocator") or _text(row, "BankLabel"), 40)
        word = MEMORY_TYPE.get(whole(_text(row, "SMBIOSMemoryType")) or 0) or CIM_MEMORY_TYPE.get(
            whole(_text(row, "MemoryType")) or 0
        )
        if word == "Flash":
            continue
        mib = size // 1024**2 if size % 1024**2 == 0 else None
        note_capacity(notes, path, mib, at, f"{slot}: capacity {size} bytes", word or "")
        shown = "type unknown" if word in (None, "Unknown") else word
        notes.add(
            f"{path}.seen_type",
            shown,
            at,
            f"{slot}: memory type {word or 'not known to this Windows'}",
            "doubtful",
        )
        form = CIM_FORM_FACTOR.get(whole(_text(row, "FormFactor")) or 0)
        notes.add(f"{path}.seen_form", form, at, f"{slot}: form factor {form}", "doubtful")
        for key, target in (("Speed", "seen_speed_mts"), ("ConfiguredClockSpeed", "seen_running_mts")):
            rate = whole(_text(row, key))
            notes.add(f"{path}.{target}", rate or None, at, f"{slot}: {key} {rate}", "doubtful")
        note_widths(notes, path, _text(row, "TotalWidth"), _text(row, "DataWidth"), at, slot, corrects)
        index += 1
    if rows and doubtful:
        said = "instances are repeated or the file is broken off: count the modules"
        notes.add("memory.seen_missing", True, rows[0][1], said, "doubtful")
    system = [(row, at) for row, at in arrays if _text(row, "Use") in ("3", "")]
    counts = [whole(_text(row, "MemoryDevices")) or 0 for row, _ in system]
    if system and sum(counts):
        fits = index <= sum(counts) <= MOST_SLOTS
        notes.add(
            "board.memory_slots",
            sum(counts),
            system[0][1],
            f"memory array has {sum(counts)} devices",
            "likely" if fits else "doubtful",
        )
    for row, at in system:
        kib = whole(_text(row, "MaxCapacityEx")) or whole(_text(row, "MaxCapacity"))
        notes.add(
            "board.seen_memory_max_mib",
            (kib or 0) // 1024 or None,
            at,
            f"memory array: most {kib} kB",
            "doubtful",
        )


def _disk(row: Row, at: str, notes: Notes) -> None:
    number = _text(row, "Index") or _text(row, "DeviceId") or re.sub(r"\D", "", _text(row, "DeviceID"))
    model = _text(row, "FriendlyName") or _text(row, "Model")
    bus = _BUS.get(_text(row, "BusType"), _text(row, "BusType").lower())
    known = bus or _text(row, "InterfaceType")  # without it a stick and a drive look the same
    if not number.isdecimal() or not model or not known:
        return
    path = f"drive[disk{int(number)}]"
    media = _MEDIA.get(_text(row, "MediaType"), _text(row, "MediaType").lower())
    made_up = _MADE_UP.match(model) is not None
    # "External hard disk media" is what tells a USB drive that Windows drives as SCSI
    outside = _text(row, "InterfaceType") in ("USB", "1394") or "removable" in media or "external" in media
    if bus in _UNBUILT or made_up or outside:
        notes.add(f"{path}.{OUTSIDE}", True, at, f"bus type {bus}, media type {media}", "doubtful")
        if "storage space" in f"{bus} {model}".lower():
            said = f"disk {int(number)} is a pool of several drives: each of them is a drive of this list"
            notes.add("drive.seen_pool", True, at, said, "doubtful")
        notes.remark(f"A removable, USB or virtual drive is left out ({at})")
        return
    if bus == "raid":
        said = "bus type RAID: a disk on a controller set to RAID, or a set of several"
        notes.add(f"{path}.{PERHAPS_SET}", True, at, said, "doubtful")
    notes.add(f"{path}.seen_model", model, at, f"model {clean(model)!r}", "doubtful")
    size = whole(_text(row, "Size"))
    notes.add(
        f"{path}.capacity_gb", ((size or 0) + 500_000_000) // 10**9 or None, at, f"size {size} bytes", "sure"
    )
    if media == "ssd":
        notes.add(f"{path}.kind", "ssd", at, "media type SSD", "sure")
    elif media == "hdd":
        notes.add(f"{path}.kind", "hdd35", at, "media type HDD; 3.5 or 2.5 inch is not said", "doubtful")
    if bus == "nvme" or "VEN_NVME" in _text(row, "PNPDeviceID").upper():
        notes.add(f"{path}.interface", "m2-nvme", at, "NVMe device")
        notes.add(f"{path}.kind", "ssd", at, "NVMe device", "sure")
    elif bus == "sata":
        notes.add(
            f"{path}.interface", "sata", at, "bus type SATA", "likely" if media == "hdd" else "doubtful"
        )
