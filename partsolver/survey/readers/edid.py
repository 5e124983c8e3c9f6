"""EDID of a monitor: name, its own mode, and the input it is connected by.

Layout: VESA Enhanced EDID standard, Release A Revision 2 (EDID 1.4): header and checksum 3.3 and 3.11, video
input definition 3.6.1 (byte 14h), detailed timing descriptors 3.10.2, display descriptors 3.10.3 (offsets
from memory, checked against a worked example in the tests).
"""

from __future__ import annotations

from partsolver.survey.facts import Facts, Notes

KIND = "edid"
_HEADER = bytes.fromhex("00ffffffffffff00")
# Pixels between two lines of a mode with reduced blanking, whatever its size (VESA CVT 1.1, version 1).
REDUCED_BLANKING_PX = 160
_DIGITAL = {1: "dvi-d", 2: "hdmi", 3: "hdmi", 5: "dp"}


def reads(data: bytes) -> bool:
    """Whether it begins with a whole EDID block whose checksum is right."""
    return len(data) >= 128 and data.startswith(_HEADER) and sum(data[:128]) % 256 == 0


def read(data: bytes, where: str) -> Facts:
    """Facts of the first block. Never fails."""
    notes = Notes(KIND)
    if not reads(data):
        return notes.done()
    name, serial = "", ""
    for at in range(54, 126, 18):
        block = data[at : at + 18]
        if block[:3] == b"\0\0\0":
            text = "".join(chr(b) for b in block[5:].split(b"\n")[0] if 32 <= b < 127).strip()
            name, serial = (
                (text, serial) if block[3] == 0xFC else (name, text if block[3] == 0xFF else serial)
            )
    notes.hide("serial", serial)
    notes.add(
        "display[0].name",
        name or "monitor",
        f"{where}@54",
        f"monitor name {name!r}",
        "sure" if name else "likely",
    )
    digital = bool(data[20] & 0x80)
    _mode(data[54:72], where, notes, digital)
    plug = (
        _DIGITAL.get(data[20] & 0x0F)
        if digital and (data[18], data[19]) >= (1, 4)
        else None
        if digital
        else "vga"
    )
    said = f"connected now by {plug or 'a digital input'}; other inputs are not listed"
    notes.add("display[0].inputs", [plug] if plug else ["dvi-d"], f"{where}@20", said, "doubtful")
    return notes.done()


def _mode(block: bytes, where: str, notes: Notes, digital: bool) -> None:
    """The first detailed timing is the preferred mode, which is the panel's own for flat panels."""
    clock = int.from_bytes(block[:2], "little") * 10_000
    across, across_blank = block[2] | (block[4] & 0xF0) << 4, block[3] | (block[4] & 0x0F) << 8
    down, down_blank = block[5] | (block[7] & 0xF0) << 4, block[6] | (block[7] & 0x0F) << 8
    total = (across + across_blank) * (down + down_blank)
    if not clock or not total or across < 320 or down < 200 or block[17] & 0x80:
        return
    refresh = round(clock / total)
    said = f"preferred mode {across} x {down} at {refresh} Hz"
    notes.add("display[0].width_px", across, f"{where}@54", said, "sure")
    notes.add("display[0].height_px", down, f"{where}@54", said, "sure")
    if 20 <= refresh <= 500:
        notes.add("display[0].refresh_hz", refresh, f"{where}@54", said, "sure")
    if not digital and across_blank == REDUCED_BLANKING_PX:
        notes.add(
            "display[0].reduced_blanking", True, f"{where}@54", f"{said}, with reduced blanking", "sure"
        )
