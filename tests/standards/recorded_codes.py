"""What Debian's dmidecode calls each SMBIOS code, and what its edid-decode lists: recorded, for machines without them.

``python tests/standards/recorded_codes.py`` (with the tests on the path and both tools installed: packages
``dmidecode`` 3.4-1 and ``edid-decode`` 0.1~git20220315.cb74358c2896-1 of Debian 12) writes ``recorded/*.txt`` again.
The dump that dmidecode is given holds one structure for every value of every field.
"""

from __future__ import annotations

import re
import struct
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from survey.survey_data import dump_bin, structure

RECORDED = Path(__file__).parent / "recorded"
CODES = RECORDED / "dmidecode-codes.txt"
TIMINGS = RECORDED / "edid-decode-timings.txt"
# Reduced blanking of modes that the tool is asked for (width, height, Hz).
MODES = [
    (width, height, hz)
    for width, height in (
        (1024, 768),
        (1280, 1024),
        (1366, 768),
        (1600, 1200),
        (1920, 1080),
        (1920, 1200),
        (2560, 1440),
        (3840, 2160),
    )
    for hz in (60, 75, 100, 120)
]


def _with_byte(
    length: int, at: int, shape: Callable[[int], int] = lambda code: code
) -> Callable[[int], bytes]:
    """Bodies of ``length`` bytes with the field's byte at offset ``at`` of the structure ([DSP0134] counts the header)."""

    def body(code: int) -> bytes:
        found = bytearray(length)
        found[at - 4] = shape(code)
        return bytes(found)

    return body


def _with_word(length: int, at: int, shape: Callable[[int], int]) -> Callable[[int], bytes]:
    def body(code: int) -> bytes:
        found = bytearray(length)
        found[at - 4 : at - 2] = struct.pack("<H", shape(code))
        return bytes(found)

    return body


def _slot(type_code: int, width: int, usage: int, length: int) -> bytes:
    return bytes([0, type_code, width, usage, length, 0, 0, 0x0C, 1])


# Our table -> structure type, the line that dmidecode prints it in, codes, bodies. Offsets: DSP0134 chapters 7.3 to 7.40.
FIELDS: dict[str, tuple[int, str, range, Callable[[int], bytes]]] = {
    "CHASSIS_TYPE": (3, "Type", range(1, 128), _with_byte(9, 0x05)),
    "BOARD_TYPE": (2, "Type", range(1, 256), _with_byte(11, 0x0D)),
    "PROCESSOR_UPGRADE": (4, "Upgrade", range(1, 256), _with_byte(0x1A - 4, 0x19)),
    "PROCESSOR_TYPE": (4, "Type", range(1, 256), _with_byte(0x1A - 4, 0x05)),
    "PROCESSOR_STATUS": (4, "Status", range(8), _with_byte(0x1A - 4, 0x18, lambda code: 0x40 | code)),
    "ARRAY_LOCATION": (16, "Location", range(1, 256), _with_byte(11, 0x04)),
    "ARRAY_USE": (16, "Use", range(1, 256), _with_byte(11, 0x05)),
    "ERROR_CORRECTION": (16, "Error Correction Type", range(1, 256), _with_byte(11, 0x06)),
    "MEMORY_FORM_FACTOR": (17, "Form Factor", range(1, 256), _with_byte(0x15 - 4, 0x0E)),
    "MEMORY_TYPE": (17, "Type", range(1, 256), _with_byte(0x15 - 4, 0x12)),
    "TYPE_DETAIL_BIT": (17, "Type Detail", range(1, 16), _with_word(0x15 - 4, 0x13, lambda bit: 1 << bit)),
    "SLOT_TYPE": (9, "Type", range(1, 256), lambda code: _slot(code, 2, 4, 4)),
    "SLOT_WIDTH": (9, "Type", range(1, 256), lambda code: _slot(1, code, 4, 4)),
    "SLOT_USAGE": (9, "Current Usage", range(1, 256), lambda code: _slot(1, 2, code, 4)),
    "SLOT_LENGTH": (9, "Length", range(1, 256), lambda code: _slot(1, 2, 4, code)),
    "CONNECTOR_TYPE": (8, "Internal Connector Type", range(256), _with_byte(5, 0x05)),
    "PORT_TYPE": (8, "Port Type", range(256), _with_byte(5, 0x08)),
    "SUPPLY_TYPE": (39, "Type", range(1, 16), _with_word(12, 0x0E, lambda code: code << 10)),
    "SUPPLY_STATUS": (39, "Status", range(1, 8), _with_word(12, 0x0E, lambda code: 2 | code << 7)),
}


def _ask_dmidecode(table: bytes) -> str:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "table.bin"
        path.write_bytes(dump_bin(table))
        asked = ["dmidecode", "--from-dump", str(path)]
        return subprocess.run(asked, capture_output=True, text=True, check=True).stdout


def codes_by_tool() -> Iterator[str]:
    """Lines ``table <tab> code <tab> word``, of the codes that the tool knows."""
    for name, (kind, line, codes, body) in FIELDS.items():
        for some in (codes[start : start + 16] for start in range(0, len(codes), 16)):
            table = b"".join(structure(kind, code, body(code)) for code in some)
            yield from _words_of(name, kind, line, _ask_dmidecode(table + structure(127, 0xFEFF, b"")))


def _words_of(name: str, kind: int, line: str, printed: str) -> Iterator[str]:
    for block in printed.split("\n\n"):
        handle = re.search(r"^Handle 0x([0-9A-F]{4}), DMI type (\d+)", block, re.MULTILINE)
        word = re.search(rf"^\t{re.escape(line)}: *(.*)$", block, re.MULTILINE)
        if handle and word and int(handle[2]) == kind and "<OUT OF SPEC>" not in word[1]:
            yield f"{name}\t{int(handle[1], 16):#04x}\t{word[1].strip()}"


def timings_by_tool() -> Iterator[str]:
    """The tool's lists, and a line for each mode and version of reduced blanking."""
    for option in ("--list-dmts", "--list-vics"):
        yield f"# {option}"
        asked = subprocess.run(["edid-decode", option], capture_output=True, text=True, check=True)
        yield from (line.rstrip() for line in asked.stdout.splitlines())
    for version in (1, 2):
        for width, height, hz in MODES:
            words = f"w={width},h={height},fps={hz},rb={version}"
            asked = subprocess.run(
                ["edid-decode", "--cvt", words], capture_output=True, text=True, check=True
            )
            yield f"# --cvt {words}"
            yield asked.stdout.splitlines()[0].rstrip()


if __name__ == "__main__":
    CODES.write_text("\n".join(codes_by_tool()) + "\n", encoding="utf-8")
    TIMINGS.write_text("\n".join(timings_by_tool()) + "\n", encoding="utf-8")
