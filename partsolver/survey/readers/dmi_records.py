"""SMBIOS structures as dmidecode prints them, whether they came from its text or from a raw table."""

from __future__ import annotations

from dataclasses import dataclass, field

# Titles of the structures that a survey reads (dmidecode 2.x to 3.6, commit b70f6ee0).
TITLES = {
    "BIOS Information": 0,
    "System Information": 1,
    "Base Board Information": 2,
    "Chassis Information": 3,
    "Processor Information": 4,
    "Memory Controller Information": 5,
    "Memory Module Information": 6,
    "Cache Information": 7,
    "Port Connector Information": 8,
    "System Slot Information": 9,
    "Physical Memory Array": 16,
    "Memory Device": 17,
    "System Power Supply": 39,
    "TPM Device": 43,
}


@dataclass(slots=True)
class Record:
    """One structure: DMI type, handle ("0x0011" or ""), keys with values, keys with list items, place in the
    source."""

    type: int
    handle: str
    where: str
    fields: dict[str, str] = field(default_factory=dict)
    lists: dict[str, list[str]] = field(default_factory=dict)

    def get(self, *keys: str) -> str:
        """Value of the first key that is there, blanks stripped; "" when none is."""
        for key in keys:
            if key in self.fields:
                return self.fields[key].strip()
        return ""
