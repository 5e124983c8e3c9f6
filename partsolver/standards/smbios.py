"""SMBIOS: what codes and printed words mean for a survey.

Documents: [DSP0134] DMTF System Management BIOS Reference Specification 3.9.0 (2025-07-07), sections at each
table in ``smbios_tables``; [DMI] dmidecode 3.6, commit b70f6ee0 (words it prints); [CIM] MicrosoftDocs/win32,
commit 47e64c18, Win32_PhysicalMemory (codes that differ from SMBIOS); [D-dmi] a count over 63,098 public
dumps (linuxhw/DMI, commit 57b21bc6) of what real tables get wrong.
"""

from __future__ import annotations

import re
from typing import Final

from .smbios_tables import MEMORY_TYPE, PROCESSOR_UPGRADE

#: [DMI] still prints the name that 24h had before DSP0134 2.8.0.
OLD_WORDS: Final[dict[str, str]] = {"Socket BGA1155": "Socket LGA1155"}

#: Upgrade words that name no socket: 40 % of machines ([D-dmi]).
NO_SOCKET: Final = frozenset(
    {"Other", "Unknown", "Daughter Board", "ZIF Socket", "Replaceable Piggy Back", "None", "LIF Socket"}
)

#: Memory type words of generations that this project knows, [DSP0134] 7.18.2. Soldered kinds (LPDDR) are left
#: out.
GENERATIONS: Final[dict[str, str]] = {
    "DDR": "ddr",
    "DDR2": "ddr2",
    "DDR2 FB-DIMM": "ddr2",
    "DDR3": "ddr3",
    "DDR4": "ddr4",
    "DDR5": "ddr5",
}
#: Type words of an earlier or another kind that firmware also writes for DDR2 and DDR3 modules ([D-dmi]).
VAGUE_TYPES: Final = frozenset(
    {"Other", "Unknown", "DRAM", "RAM", "SDRAM", "Flash", "<OUT OF SPEC>", "Reserved"}
)

#: Module by form factor word, [DSP0134] 7.18.1. RIMM is also written for DDR4 DIMMs ([D-dmi]): not listed.
MODULES: Final[dict[str, str]] = {"DIMM": "dimm", "SODIMM": "so-dimm"}
#: Form factors of memory that is soldered to the board (common practice).
SOLDERED: Final = frozenset({"Chip", "Row Of Chips", "Die"})

#: [CIM] FormFactor and MemoryType use another numbering than SMBIOS. MemoryType 0 = "this system does not
#: know it".
CIM_FORM_FACTOR: Final[dict[int, str]] = {7: "SIMM", 8: "DIMM", 11: "RIMM", 12: "SODIMM", 13: "SRIMM"}
CIM_MEMORY_TYPE: Final[dict[int, str]] = {
    17: "SDRAM",
    20: "DDR",
    21: "DDR2",
    22: "DDR2 FB-DIMM",
    24: "DDR3",
    25: "FBD2",
    26: "DDR4",
}

#: Chassis words that say what the case is; "Desktop" stands in 90 % of tables whatever the case is ([D-dmi]).
TELLING_CHASSIS: Final = frozenset(
    {
        "Low Profile Desktop",
        "Pizza Box",
        "Mini Tower",
        "Space-saving",
        "Lunch Box",
        "All In One",
        "Mini PC",
        "Stick PC",
    }
)
#: Chassis words of machines that are no desktop PCs. Laptop words also occur on desktop boards: a remark, no
#: refusal.
PORTABLE_CHASSIS: Final = frozenset(
    {
        "Portable",
        "Laptop",
        "Notebook",
        "Hand Held",
        "Docking Station",
        "Sub Notebook",
        "Tablet",
        "Convertible",
        "Detachable",
    }
)

_SOCKET: Final = re.compile(
    r"(?:Socket )?((?:m|r)?(?:LGA|BGA|PGA)[0-9]+[A-Z]?(?:-[0-9])?|AM[0-9]|FM[0-9]|FS[0-9]|SP[0-9](?:r2)?|[0-9]{3,4})$"
)
_DESIGNATION: Final = re.compile(
    r"(?:^|[^A-Z0-9])(?:FC)?(?:(LGA|PGA|SOCKET|SKT)["
    r" _-]?)?(AM[2-5](?:\+|R2)?|FM[12]\+?|[0-9]{3,4}(?:-3)?)(?:[^A-Z0-9]|$)",
    re.IGNORECASE,
)


def socket_of(upgrade: str | int) -> str | None:
    """Socket named by an upgrade code or its printed word ("LGA775", "AM3", "478"); None when it names
    none."""
    word = PROCESSOR_UPGRADE.get(upgrade, "") if isinstance(upgrade, int) else upgrade.strip()
    word = OLD_WORDS.get(word, word)
    match = _SOCKET.match(word)
    return match[1] if match and word not in NO_SOCKET else None


def socket_in(designation: str) -> str | None:
    """Socket that a socket designation names ("LGA 775", "Socket 775" -> "LGA775"; "AM3" -> "AM3"), else
    None.

    The designation is free text of the firmware; numbers count only behind a word that says socket.
    """
    known = {socket_of(code) for code in PROCESSOR_UPGRADE}
    for match in _DESIGNATION.finditer(designation):
        # "AM3R2" (second revision) is what firmware calls AM3+ (common practice)
        prefix, name = match[1], match[2].upper().replace("R2", "+")
        if not name.startswith(("AM", "FM")):  # a number
            if not prefix:
                continue
            name = f"LGA{name}" if f"LGA{name}" in known else name
        if name in known:
            return name
        if name.rstrip("+") in known:  # AM2+, AM3+, FM2+ have no code of their own
            return name
    return None


def generation_of(memory_type: str | int) -> str | None:
    """Generation id of a memory type code or word; None where it names no generation this project knows."""
    word = MEMORY_TYPE.get(memory_type, "") if isinstance(memory_type, int) else memory_type
    return GENERATIONS.get(word)


def signature(eax: int) -> tuple[int, int] | None:
    """(family, model) of CPUID leaf 1 EAX; None for 0 or where reserved bits are set.

    Rule: extended family added when the family is 15, extended model when it is 6 or 15 (as dmidecode prints
    it).
    """
    if eax == 0 or eax >> 28 or eax >> 14 & 3:
        return None
    family, model = eax >> 8 & 15, eax >> 4 & 15
    if family in (6, 15):
        model |= (eax >> 16 & 15) << 4
    if family == 15:
        family += eax >> 20  # nothing stands above its eight bits
    return family, model


def stepping(eax: int) -> int:
    """Stepping of CPUID leaf 1 EAX: bits 3-0. It decides where the model alone leaves two sockets."""
    return eax & 15


def supply_watts(word: int) -> int | None:
    """Maximum power of type 39 in watts, [DSP0134] 7.40: 8000h = unknown. Hardly ever to be believed
    ([D-dmi])."""
    return None if word == 0x8000 else word
