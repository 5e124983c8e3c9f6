"""Facts and witnesses from SMBIOS structures. What firmware writes is often wrong: see
``survey.crosscheck``."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from partsolver.standards.cpu_signatures import vendor_letter
from partsolver.standards.smbios import signature, stepping
from partsolver.survey.facts import Notes, clean, is_placeholder
from partsolver.survey.readers.dmi_memory import int_or_none, note_memory
from partsolver.survey.readers.dmi_records import Record
from partsolver.survey.readers.units import (
    brand_cores,
    brand_mhz,
    firmware_version,
    nominal_mhz,
    plain_mhz,
    watts,
)


def note_records(records: Sequence[Record], notes: Notes) -> None:
    """Note what the structures say. Order of the structures does not matter."""
    for record in records:
        notes.hide_all(record.fields.items())
    by_type: dict[int, list[Record]] = {}
    for record in records:
        by_type.setdefault(record.type, []).append(record)
    if _virtual(by_type):
        notes.add("pc.seen_virtual", True, records[0].where, "firmware tables of a virtual machine", "sure")
    _system(by_type.get(1, []), notes)
    _board(by_type.get(2, []), notes)
    _bios(by_type.get(0, []), notes)
    for record in by_type.get(3, [])[:1]:
        notes.add(
            "case.seen_chassis",
            record.get("Type"),
            record.where,
            f"chassis type {record.get('Type')}",
            "doubtful",
        )
    _processors(by_type.get(4, []), notes)
    note_memory(by_type, notes)
    _ports(by_type.get(8, []), notes)
    _slots(by_type.get(9, []), notes)
    for record in by_type.get(39, []):
        value = watts(record.get("Max Power Capacity"))
        if value is not None:
            name = clean(record.get("Name"), 40)
            notes.add(
                "psu.seen_rated_w", value, record.where, f"supply record {name!r} says {value} W", "doubtful"
            )
    for record in by_type.get(43, [])[:1]:
        version = record.get("Specification Version")[:3]
        if version in ("1.2", "2.0"):
            notes.add("board.tpm", version, record.where, f"TPM device, specification version {version}")


def _virtual(by_type: dict[int, list[Record]]) -> bool:
    """The firmware's own bit is set by few: a system that calls itself virtual, or a processor named like the
    system."""
    if any(
        "System is a virtual machine" in record.lists.get("Characteristics", ())
        for record in by_type.get(0, [])
    ):
        return True
    for system in by_type.get(1, []):
        name = f"{system.get('Manufacturer')} {system.get('Product Name')}".lower()
        version = system.get("Version")
        if "virtual" in name:
            return True
        if not is_placeholder(version) and any(cpu.get("Version") == version for cpu in by_type.get(4, [])):
            return True
    return False


def _system(records: Sequence[Record], notes: Notes) -> None:
    for record in records[:1]:
        maker, model = record.get("Manufacturer"), record.get("Product Name")
        if not is_placeholder(maker) and not is_placeholder(model):
            notes.add("pc.seen_system", model, record.where, f"system product {model!r}", "doubtful")
            notes.add("pc.maker_model", f"{maker} {model}", record.where, f"system {maker!r} {model!r}")


def _board(records: Sequence[Record], notes: Notes) -> None:
    """Several boards are listed by a few machines: the hosting motherboard counts, else the first."""
    boards = [record for record in records if record.get("Type") == "Motherboard"] or list(records)
    hosting = [
        record for record in boards if "Board is a hosting board" in record.lists.get("Features", ())
    ] or boards
    for record in hosting[:1]:
        notes.add(
            "board.name",
            record.get("Product Name"),
            record.where,
            f"board product {record.get('Product Name')!r}",
        )
        notes.add(
            "board.maker",
            record.get("Manufacturer"),
            record.where,
            f"board maker {record.get('Manufacturer')!r}",
        )


def _bios(records: Sequence[Record], notes: Notes) -> None:
    for record in records[:1]:
        note_firmware_version(notes, record.get("Version"), record.where)
        year = bios_year(record.get("Release Date"))
        notes.add(
            "board.seen_firmware_year",
            year,
            record.where,
            f"firmware dated {record.get('Release Date')}",
            "doubtful",
        )
        items = record.lists.get("Characteristics", [])
        if "UEFI is supported" in items:
            notes.add(
                "board.seen_uefi", True, record.where, "firmware says that UEFI is supported", "doubtful"
            )
        elif items and year is not None:
            notes.add("board.seen_uefi", False, record.where, "firmware does not mention UEFI", "doubtful")


def note_firmware_version(notes: Notes, text: str, where: str) -> None:
    """Version of the firmware. One of several words stays whole, as evidence: a survey's version is one word,
    and a part of it would be another version."""
    said = f"firmware version now {clean(text)!r}"
    if firmware_version(text) is not None:
        notes.add("board.firmware_shipped", firmware_version(text), where, said)
    else:
        notes.add("board.seen_firmware_version", text, where, said, "doubtful")


def bios_year(text: str) -> int | None:
    """Year of a firmware date in one of its usual spellings: MM/DD/YYYY, MM/DD/YY, YYYY-MM-DD, YYYYMMDD..."""
    text = text.strip()
    match = re.fullmatch(r"[0-9]{1,2}/[0-9]{1,2}/([0-9]{4}|[0-9]{2})", text) or re.match(
        r"((?:19|20)[0-9]{2})[-/]?[01][0-9]", text
    )
    if match is None:
        return None
    year = int(match[1])
    year += 0 if year > 99 else 1900 if year >= 80 else 2000
    return year if 1980 <= year <= 2100 else None


Signature = tuple[int, int, int | None]  # family, model, stepping where the source tells it


def signature_of(eax: int) -> Signature | None:
    """(family, model, stepping) of CPUID leaf 1 EAX."""
    found = signature(eax)
    return None if found is None else (*found, stepping(eax))


def cpuid_of(text: str) -> Signature | None:
    """The signature in dmidecode's ID bytes; some firmware writes the two halves in the wrong order."""
    raw = [part for part in text.split() if re.fullmatch(r"[0-9A-Fa-f]{2}", part)]
    if len(raw) != 8:
        return None
    data = bytes(int(part, 16) for part in raw)
    first = signature_of(int.from_bytes(data[:4], "little"))
    return first or signature_of(int.from_bytes(data[4:], "little"))


def note_cpuid(notes: Notes, vendor: str | None, found: Signature | None, where: str) -> None:
    """Witness for socket and memory generation: "letter family model stepping"."""
    if vendor and found:
        family, model, step = found
        known = "" if step is None else f" {step}"
        said = f"processor id: family {family} model {model}" + (f" stepping {step}" if known else "")
        notes.add("cpu.seen_signature", f"{vendor} {family} {model}{known}", where, said, "doubtful")


def _processors(records: Sequence[Record], notes: Notes) -> None:
    central = [
        r
        for r in records
        if r.get("Type") in ("Central Processor", "")
        and r.get("Status", "Status").startswith(("Populated", "Status"))
    ]
    present = [r for r in central if "Disabled By BIOS" not in r.get("Status")] or central
    notes.add(
        "cpu.seen_sockets_filled",
        len(present) or None,
        present[0].where if present else "",
        f"{len(present)} processors",
        "doubtful",
    )
    for record in present[:1]:
        where, name = record.where, record.get("Version")
        notes.add(
            "cpu.name", name, where, f"processor {clean(name)!r}", "likely" if is_brand(name) else "doubtful"
        )
        notes.add(
            "cpu.maker", record.get("Manufacturer"), where, f"processor maker {record.get('Manufacturer')!r}"
        )
        notes.add("cpu.seen_brand_cores", brand_cores(name), where, f"processor {clean(name)!r}", "doubtful")
        vendor = vendor_letter(f"{record.get('Manufacturer')} {name}")
        top = plain_mhz(record.get("Max Speed"))
        note_base_clock(notes, name, vendor, plain_mhz(record.get("Current Speed")), top, where)
        notes.add(
            "cpu.seen_max_mhz",
            top,
            where,
            f"max speed {top} MHz (of the socket, not of the processor)",
            "doubtful",
        )
        upgrade = record.get("Upgrade")
        notes.add("cpu.seen_upgrade", upgrade, where, f"socket code {upgrade!r}", "doubtful")
        designation = record.get("Socket Designation")
        notes.add(
            "cpu.seen_designation",
            designation,
            where,
            f"socket designation {clean(designation)!r}",
            "doubtful",
        )
        note_cpuid(notes, vendor, cpuid_of(record.get("ID")), where)
        cores, enabled, threads = (
            int_or_none(record.get(key)) for key in ("Core Count", "Core Enabled", "Thread Count")
        )
        if cores:
            fits = enabled in (None, cores) and threads is not None and cores <= threads <= 2 * cores
            said = f"cores {cores}, enabled {enabled or 'not given'}, threads {threads or 'not given'}"
            notes.add("cpu.cores", cores, where, said, "likely" if fits else "doubtful")
            notes.add("cpu.threads", threads, where, said, "likely" if fits else "doubtful")


def note_base_clock(
    notes: Notes, name: str, vendor: str | None, now: int | None, top: int | None, where: str
) -> None:
    """Base clock: the one in the name. One maker's names have none: there the firmware sets the clock that it
    starts with, which is the base clock if it is one that a maker would name (common practice; [D-dmi])."""
    base = brand_mhz(name)
    if base:
        notes.add("cpu.base_mhz", base, where, f"processor {clean(name)!r}", "sure")
    elif now:
        nominal = vendor == "a" and nominal_mhz(now) is not None and (top is None or now <= top)
        said = f"clock at start {now} MHz"
        notes.add("cpu.base_mhz", now, where, said, "likely" if nominal else "doubtful")


def is_brand(name: str) -> bool:
    """Whether a processor's text names a model: words with a number, not the family alone."""
    return re.search(r"[A-Za-z].* .*[0-9]|[A-Za-z].*[0-9].* ", clean(name)) is not None


def _ports(records: Sequence[Record], notes: Notes) -> None:
    """Counts of listed ports. Half of all machines list no SATA port at all: evidence only."""
    counts: Counter[str] = Counter()
    first: dict[str, str] = {}
    for record in records:
        inside = (
            f"{record.get('Internal Connector Type')} {record.get('Internal Reference Designator')}".upper()
        )
        outside, port = record.get("External Connector Type"), record.get("Port Type")
        key = None
        if port == "SATA" or "SATA" in inside:
            key = "sata_ports"
        elif "ON BOARD IDE" in inside:
            key = "pata_channels"
        elif "ON BOARD FLOPPY" in inside:
            key = "floppy_headers"
        elif outside == "PS/2" or port in ("Keyboard Port", "Mouse Port"):
            key = "ps2_ports"
        elif port.startswith("Serial Port") and outside.startswith("DB-9"):
            key = "serial_ports"
        elif port.startswith("Parallel Port") and outside.startswith("DB-25"):
            key = "parallel_ports"
        if key:
            counts[key] += 1
            first.setdefault(key, record.where)
    for key in sorted(counts):
        target = "board.seen_sata_ports" if key == "sata_ports" else f"board.{key}"
        notes.add(
            target,
            counts[key],
            first[key],
            f"firmware lists {counts[key]} of them; such lists are often incomplete",
            "doubtful",
        )


def _slots(records: Sequence[Record], notes: Notes) -> None:
    listed = [
        f"{clean(r.get('Designation'), 24)}: {clean(r.get('Type'), 24)}, {r.get('Current Usage').lower()}"
        for r in records[:12]
    ]
    if listed:
        notes.add(
            "board.seen_slots",
            "; ".join(listed),
            records[0].where,
            "slots listed by firmware: " + "; ".join(listed),
            "doubtful",
        )
