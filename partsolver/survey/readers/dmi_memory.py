"""Memory facts of the SMBIOS records."""

from __future__ import annotations

import re
from collections.abc import Sequence

from partsolver.standards.smbios import SOLDERED
from partsolver.survey.facts import Notes, clean
from partsolver.survey.readers.dmi_records import Record
from partsolver.survey.readers.units import memory_mib, plain_mhz

MOST_SLOTS = 16


def int_or_none(text: str) -> int | None:
    return int(text) or None if re.fullmatch(r"[0-9]{1,4}", text) else None


def note_memory(by_type: dict[int, list[Record]], notes: Notes) -> None:
    arrays = by_type.get(16, [])
    system = [array for array in arrays if array.get("Use") == "System Memory"]
    handles = {array.handle for array in system if array.handle}
    # every table ends with a mark (DSP0134, type 127); records without handles (`dmidecode -q`) never show it
    broken_off = any(record.handle for listed in by_type.values() for record in listed) and 127 not in by_type
    devices = [device for device in by_type.get(17, []) if _is_system(device, handles, bool(arrays))]
    for array in system:
        most = memory_mib(array.get("Maximum Capacity"))
        said = f"memory array: most {array.get('Maximum Capacity')}"
        notes.add("board.seen_memory_max_mib", most, array.where, said, "doubtful")
    stated = [int_or_none(array.get("Number Of Devices")) for array in system]
    if devices:
        count = len(devices)
        total = sum(number or 0 for number in stated)
        said = f"{count} memory devices listed, memory array says {total or 'nothing'}"
        agree = total == count and count <= MOST_SLOTS and not broken_off
        notes.add("board.memory_slots", count, devices[0].where, said, "likely" if agree else "doubtful")
        if total == 0 or count < total or broken_off:
            said = (
                f"{count} of {total or 'an unknown number of'} memory devices are listed: there may be more"
                " modules"
            )
            notes.add("memory.seen_missing", True, devices[0].where, said, "doubtful")
    if not by_type.get(17):
        _old_modules(by_type.get(6, []), notes)
    index = 0
    corrects = bool(system) and all(
        array.get("Error Correction Type").endswith("-bit ECC") for array in system
    )
    for device in devices:
        size = device.get("Size")
        if size == "Unknown":  # FFFFh, DSP0134 7.18: no word for an empty slot
            said = f"{clean(device.get('Locator'), 40)}: size unknown, so perhaps a module"
            notes.add("memory.seen_missing", True, device.where, said, "doubtful")
        if not re.match(r"[1-9]", size):
            continue
        _module(device, index, corrects, notes)
        index += 1
    if devices:
        notes.add(
            "memory.seen_modules",
            index,
            devices[0].where,
            f"{index} of {len(devices)} memory devices hold a module",
            "doubtful",
        )


def _is_system(device: Record, handles: set[str], has_arrays: bool) -> bool:
    """Firmware chips are memory devices too; their array has another use. Without handles the locator
    tells."""
    array = device.get("Array Handle").lower()
    if array and handles:
        return array in handles
    if array and has_arrays and not handles:
        return False
    return device.get("Type") != "Flash" and "ROM" not in device.get("Locator").upper()


def _module(device: Record, index: int, corrects: bool, notes: Notes) -> None:
    at, where = f"memory[{index}]", device.where
    locator = clean(device.get("Locator"), 40)
    size = memory_mib(device.get("Size"))
    note_capacity(notes, at, size, where, f"{locator}: size {device.get('Size')}", device.get("Type"))
    form, kind = device.get("Form Factor"), device.get("Type")
    notes.add(f"{at}.seen_form", form, where, f"{locator}: form factor {form}", "doubtful")
    _note_kind(notes, at, kind, where, locator)
    rate = plain_mhz(device.get("Speed"))
    running = plain_mhz(device.get("Configured Memory Speed", "Configured Clock Speed"))
    notes.add(f"{at}.seen_speed_mts", rate, where, f"{locator}: speed {rate}", "doubtful")
    notes.add(f"{at}.seen_running_mts", running, where, f"{locator}: runs at {running}", "doubtful")
    volts = re.fullmatch(r"([0-9])(?:\.([0-9]{1,3}))? V", device.get("Configured Voltage"))
    if volts:
        notes.add(
            f"{at}.seen_mv",
            int(volts[1]) * 1000 + int((volts[2] or "0").ljust(3, "0")),
            where,
            f"{locator}: {volts[0]}",
            "doubtful",
        )
    detail = device.get("Type Detail")
    if "Registered" in detail and "Unregistered" not in detail:
        notes.add(f"{at}.registered", True, where, f"{locator}: type detail {detail}")
    elif "Unbuffered" in detail:
        notes.add(f"{at}.registered", False, where, f"{locator}: type detail {detail}")
    note_widths(notes, at, device.get("Total Width"), device.get("Data Width"), where, locator, corrects)
    if form in SOLDERED:
        notes.remark(f"{locator}: firmware says that this memory is soldered to the board ({where})")


def _note_kind(notes: Notes, at: str, kind: str, where: str, locator: str) -> None:
    # words such as <OUT OF SPEC> or Unknown are placeholders elsewhere; here they are what the cross-check
    # needs
    word = kind.strip("<>") or "not given"
    word = {"Unknown": "type unknown", "OUT OF SPEC": "type out of spec"}.get(word, word)
    notes.add(f"{at}.seen_type", word, where, f"{locator}: memory type {kind or 'not given'}", "doubtful")


def note_capacity(notes: Notes, at: str, mib: int | None, where: str, said: str, kind: str = "") -> None:
    """A module's capacity. Desktop modules come in powers of two, from DDR5 on also in halves between (common
    practice)."""
    if mib is None or not 0 < mib <= 1024 * 1024:
        return
    power = mib & (mib - 1) == 0
    between = (
        mib % 3 == 0
        and (mib // 3) & (mib // 3 - 1) == 0
        and mib >= 12288
        and kind in ("DDR5", "<OUT OF SPEC>")
    )
    notes.add(
        f"{at}.capacity_mib", mib, where, said, "likely" if (power or between) and mib >= 16 else "doubtful"
    )


def note_widths(
    notes: Notes, at: str, total: str, data: str, where: str, locator: str, corrects: bool
) -> None:
    """ECC from the widths: 72 of 64 bits has check bits, 64 of 64 has none; other pairs are noise (D-dmi).

    Check bits are believed where the memory array says that it corrects errors (``corrects``).
    """
    pair = (total.removesuffix(" bits"), data.removesuffix(" bits"))
    if pair in (("72", "64"), ("64", "64")):
        ecc = pair[0] == "72"
        said = f"{locator}: width {pair[0]} bits, data {pair[1]} bits"
        notes.add(f"{at}.ecc", ecc, where, said, "likely" if corrects or not ecc else "doubtful")


def _old_modules(records: Sequence[Record], notes: Notes) -> None:
    """Type 6 of boards that have no type 17: sizes only, and the double-bank remark says nothing about
    modules."""
    index = 0
    for record in records:
        # 7Dh and 7Eh, DSP0134 7.7.2 (from memory): something is there
        if (size := record.get("Installed Size")) in ("Not Determinable", "Disabled"):
            said = f"old record {record.get('Socket Designation')}: {size}, so perhaps a module"
            notes.add("memory.seen_missing", True, record.where, said, "doubtful")
        mib = memory_mib(record.get("Installed Size"))
        if mib:
            note_capacity(
                notes,
                f"memory[{index}]",
                mib,
                record.where,
                f"old record {record.get('Socket Designation')}: {record.get('Installed Size')}",
            )
            index += 1
    if records:
        notes.add(
            "board.memory_slots",
            len(records),
            records[0].where,
            f"{len(records)} old memory records",
            "doubtful",
        )
