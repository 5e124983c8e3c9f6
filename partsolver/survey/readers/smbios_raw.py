"""Raw SMBIOS tables: /sys/firmware/dmi/tables/DMI, `dmidecode --dump-bin`, and Windows' firmware table dump.

Layout: [DSP0134] 3.9.0 section 6.1 (structure = header of type, length, handle; formatted part; strings; two
zero bytes) and section 5.2 (entry points); field offsets as named at each decoder, checked against dmidecode
3.4's output.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterator

from partsolver.base.records import record
from partsolver.standards import smbios_tables as tables
from partsolver.standards.smbios import supply_watts
from partsolver.survey.facts import Facts, Notes
from partsolver.survey.readers.dmi_facts import note_records
from partsolver.survey.readers.dmi_records import Record

KIND = "smbios"
_END = 127
_MOST = 4 * 1024 * 1024


@record
class Structure:
    """One raw structure: type, handle, formatted part with its header, strings, offset in the file."""

    type: int
    handle: int
    body: bytes
    strings: tuple[str, ...]
    offset: int

    def byte(self, at: int) -> int | None:
        return self.body[at] if at < len(self.body) else None

    def number(self, at: int, size: int) -> int | None:
        """Little-endian number; None where the structure is too short to have it."""
        return int.from_bytes(self.body[at : at + size], "little") if at + size <= len(self.body) else None

    def text(self, at: int) -> str | None:
        """String a field points to, as dmidecode prints it; None where the field does not exist."""
        index = self.byte(at)
        if index is None:
            return None
        if index == 0:
            return "Not Specified"
        return self.strings[index - 1] if index <= len(self.strings) else "<BAD INDEX>"

    def word(self, at: int, table: dict[int, str], mask: int = 0xFF) -> str | None:
        code = self.byte(at)
        return None if code is None else table.get(code & mask, "<OUT OF SPEC>")


def _table(data: bytes) -> bytes:
    """The structure table inside a file: behind an entry point, behind Windows' head, or the file itself."""
    if data.startswith(b"_SM3_") and len(data) >= 0x18:
        return data[struct.unpack_from("<Q", data, 0x10)[0] :]
    if data.startswith(b"_SM_") and len(data) >= 0x1F:
        return data[struct.unpack_from("<I", data, 0x18)[0] :]
    if data.startswith(b"_DMI_") and len(data) >= 0x0F:
        return data[struct.unpack_from("<I", data, 0x08)[0] :]
    if len(data) > 8 and struct.unpack_from("<I", data, 4)[0] == len(data) - 8 and data[0] in (0, 1):
        return data[8:]
    return data


def structures(data: bytes) -> list[Structure]:
    """All whole structures of a file, up to the end mark or the first that is broken off."""
    return list(_walk(_table(data[:_MOST])))


def _walk(table: bytes) -> Iterator[Structure]:
    at = 0
    while at + 4 <= len(table):
        kind, length, handle = struct.unpack_from("<BBH", table, at)
        end = table.find(b"\0\0", at + length)
        if length < 4 or end < 0:
            return
        raw = table[at + length : end]
        strings = tuple(_string(part) for part in raw.split(b"\0")) if raw else ()
        yield Structure(kind, handle, table[at : at + length], strings, at)
        if kind == _END:
            return
        at = end + 2


def _string(raw: bytes) -> str:
    # dmidecode prints a point for every byte outside ASCII's printing range
    return "".join(chr(byte) if 32 <= byte < 127 else "." for byte in raw)


def reads(data: bytes) -> bool:
    """Whether the bytes are a table: an entry point, or a chain of structures with distinct handles that
    makes sense."""
    found = structures(data)
    kinds = {item.type for item in found}
    if len({item.handle for item in found}) != len(found) or not kinds & {0, 1, 4, 16, 17}:
        return False
    return len(found) >= (2 if found[-1].type == _END else 5)


def read(data: bytes, where: str) -> Facts:
    """Facts of a table. Never fails."""
    notes = Notes(KIND)
    note_records(records_of(data, where), notes)
    return notes.done()


def records_of(data: bytes, where: str) -> list[Record]:
    """All structures; those that a survey reads with their fields, in dmidecode's words."""
    records = []
    for item in structures(data):
        decode = _DECODERS.get(item.type)
        record = Record(item.type, f"0x{item.handle:04x}", f"{where}@0x{item.offset:x}")
        if decode is not None:
            for key, value in decode(item):
                if isinstance(value, list):
                    record.lists[key] = value
                elif value is not None:
                    record.fields[key] = value
        records.append(record)
    return records


Pairs = Iterator[tuple[str, str | list[str] | None]]


def _bios(s: Structure) -> Pairs:  # 7.1
    yield "Vendor", s.text(0x04)
    yield "Version", s.text(0x05)
    yield "Release Date", s.text(0x08)
    extension = s.byte(0x13) or 0
    items = [
        (0x01, "BIOS boot specification is supported"),
        (0x08, "UEFI is supported"),
        (0x10, "System is a virtual machine"),
    ]
    yield "Characteristics", [words for bit, words in items if extension & bit]


def _system(s: Structure) -> Pairs:  # 7.2; serial number and UUID are not read
    yield "Manufacturer", s.text(0x04)
    yield "Product Name", s.text(0x05)
    yield "Version", s.text(0x06)
    yield "Serial Number", s.text(0x07)


def _board(s: Structure) -> Pairs:  # 7.3
    yield from _system(s)
    features = s.byte(0x09) or 0
    yield "Features", ["Board is a hosting board"] if features & 1 else []
    yield "Type", s.word(0x0D, tables.BOARD_TYPE)


def _chassis(s: Structure) -> Pairs:  # 7.4
    yield "Manufacturer", s.text(0x04)
    yield "Type", s.word(0x05, tables.CHASSIS_TYPE, 0x7F)


def _count(s: Structure, short: int, long: int) -> str | None:
    value = s.byte(short)
    if value == 0xFF and s.number(long, 2) is not None:
        value = s.number(long, 2)
    return str(value) if value else None


def _mhz(s: Structure, at: int) -> str | None:
    value = s.number(at, 2)
    return None if value is None else f"{value} MHz" if value else "Unknown"


def _processor(s: Structure) -> Pairs:  # 7.5
    yield "Socket Designation", s.text(0x04)
    yield "Type", s.word(0x05, tables.PROCESSOR_TYPE)
    yield "Manufacturer", s.text(0x07)
    yield "ID", " ".join(f"{byte:02X}" for byte in s.body[0x08:0x10])
    yield "Version", s.text(0x10)
    yield "Max Speed", _mhz(s, 0x14)
    yield "Current Speed", _mhz(s, 0x16)
    status = s.byte(0x18)
    if status is not None:
        word = tables.PROCESSOR_STATUS.get(status & 7, "<OUT OF SPEC>")
        yield "Status", f"Populated, {word}" if status & 0x40 else "Unpopulated"
    yield (
        "Upgrade",
        s.text(0x32) if s.byte(0x19) == 0xFF and s.byte(0x32) else s.word(0x19, tables.PROCESSOR_UPGRADE),
    )
    yield "Serial Number", s.text(0x20)
    yield "Core Count", _count(s, 0x23, 0x2A)
    yield "Core Enabled", _count(s, 0x24, 0x2C)
    yield "Thread Count", _count(s, 0x25, 0x2E)


def _old_module(s: Structure) -> Pairs:  # type 6, obsolete
    yield "Socket Designation", s.text(0x04)
    code = s.byte(0x09)
    if code is not None:
        size = code & 0x7F
        yield (
            "Installed Size",
            {0x7D: "Not Determinable", 0x7E: "Disabled", 0x7F: "Not Installed"}.get(
                size, f"{1 << min(size, 20)} MB"
            ),
        )


def _port(s: Structure) -> Pairs:  # 7.9
    yield "Internal Reference Designator", s.text(0x04)
    yield "Internal Connector Type", s.word(0x05, tables.CONNECTOR_TYPE)
    yield "External Reference Designator", s.text(0x06)
    yield "External Connector Type", s.word(0x07, tables.CONNECTOR_TYPE)
    yield "Port Type", s.word(0x08, tables.PORT_TYPE)


def _slot(s: Structure) -> Pairs:  # 7.10
    yield "Designation", s.text(0x04)
    width = s.word(0x06, tables.SLOT_WIDTH) or ""
    prefix = {
        "32 bit": "32-bit ",
        "64 bit": "64-bit ",
        "8 bit": "8-bit ",
        "16 bit": "16-bit ",
        "128 bit": "128-bit ",
    }
    lanes = width.split(" or ")[1] + " " if " or " in width else prefix.get(width, "")
    yield "Type", f"{lanes}{s.word(0x05, tables.SLOT_TYPE)}"
    yield "Current Usage", s.word(0x07, tables.SLOT_USAGE)
    yield "Length", s.word(0x08, tables.SLOT_LENGTH)


def _kib(value: int) -> str:
    for power, unit in ((3, "TB"), (2, "GB"), (1, "MB")):
        if value and value % 1024**power == 0:
            return f"{value // 1024**power} {unit}"
    return f"{value} kB"


def _array(s: Structure) -> Pairs:  # 7.17
    yield "Location", s.word(0x04, tables.ARRAY_LOCATION)
    yield "Use", s.word(0x05, tables.ARRAY_USE)
    yield "Error Correction Type", s.word(0x06, tables.ERROR_CORRECTION)
    capacity = s.number(0x07, 4)
    if capacity == 0x80000000:
        extended = s.number(0x0F, 8)
        yield "Maximum Capacity", "Unknown" if extended is None else _kib(extended // 1024)
    elif capacity is not None:
        yield "Maximum Capacity", _kib(capacity)
    count = s.number(0x0D, 2)
    yield "Number Of Devices", None if count is None else str(count)


def _width(s: Structure, at: int) -> str | None:
    value = s.number(at, 2)
    return None if value is None else "Unknown" if value in (0, 0xFFFF) else f"{value} bits"


def _rate(s: Structure, short: int, long: int) -> str | None:
    value = s.number(short, 2)
    if value == 0xFFFF:
        value = s.number(long, 4)
    return None if value is None else f"{value} MT/s" if value else "Unknown"


def _size(s: Structure) -> str | None:
    value = s.number(0x0C, 2)
    if value is None:
        return None
    if value in (0, 0xFFFF):
        return "Unknown" if value else "No Module Installed"
    if value == 0x7FFF and s.number(0x1C, 4) is not None:
        return _kib(((s.number(0x1C, 4) or 0) & 0x7FFFFFFF) * 1024)
    return _kib(value & 0x7FFF) if value & 0x8000 else _kib(value * 1024)


def _device(s: Structure) -> Pairs:  # 7.18
    array = s.number(0x04, 2)
    yield "Array Handle", None if array is None else f"0x{array:04X}"
    yield "Total Width", _width(s, 0x08)
    yield "Data Width", _width(s, 0x0A)
    yield "Size", _size(s)
    yield "Form Factor", s.word(0x0E, tables.MEMORY_FORM_FACTOR)
    yield "Locator", s.text(0x10)
    yield "Bank Locator", s.text(0x11)
    yield "Type", s.word(0x12, tables.MEMORY_TYPE)
    detail = s.number(0x13, 2)
    if detail is not None:
        words = [tables.TYPE_DETAIL_BIT[bit] for bit in range(1, 16) if detail >> bit & 1]
        yield "Type Detail", " ".join(words) or "None"
    yield "Speed", _rate(s, 0x15, 0x54)
    yield "Serial Number", s.text(0x18)
    yield "Configured Memory Speed", _rate(s, 0x20, 0x58)
    voltage = s.number(0x26, 2)
    if voltage is not None:
        yield "Configured Voltage", f"{voltage / 1000:g} V" if voltage else "Unknown"


def _supply(s: Structure) -> Pairs:  # 7.40
    yield "Name", s.text(0x06)
    yield "Serial Number", s.text(0x08)
    power = s.number(0x0C, 2)
    if power is not None:
        watts = supply_watts(power)
        yield "Max Power Capacity", "Unknown" if watts is None else f"{watts} W"


def _tpm(s: Structure) -> Pairs:  # 7.44
    major, minor = s.byte(0x08), s.byte(0x09)
    if major is not None and minor is not None:
        yield "Specification Version", f"{major}.{minor}"


_DECODERS: dict[int, Callable[[Structure], Pairs]] = {
    0: _bios,
    1: _system,
    2: _board,
    3: _chassis,
    4: _processor,
    6: _old_module,
    8: _port,
    9: _slot,
    16: _array,
    17: _device,
    39: _supply,
    43: _tpm,
}
