"""Requirements of operating-system families, by generic names.

Documents: [D21] the 2021 desktop generation's requirements page, windows-itpro-docs commit 00ef75cd
(2023-02-13), high; [D24] press reports on its 2024 update (SSE4.2 and POPCNT needed to start), high; [PSABI]
release notes of the Linux families built for x86-64 levels; [OEM] vendor licence FAQ quoted in a
small-business blog, 2007-10-12, high; [BOX] start reference, section 1.2: drivers and start modes in the box
(vendor knowledge base copies and field reports, medium; from memory, low); [AGE] the same, section 1.4: last
platforms with drivers (press, medium); least disks and further instructions: the same, section 1.1 (requirement
pages, medium).
Memory sizes of the other families are settings (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from .settings import SETTINGS, value_of


@dataclass(frozen=True, slots=True)
class OperatingSystem:
    """What a family needs.  None or 0 = no such requirement.

    ``bits``: width of the kernel.  ``memory_limit_mib``: most memory it can use.  ``licence_kind_matters``: a
    commercial licence that may be tied to the board.  ``needs_supported_cpu_year``: about the first year of
    processors on the vendor's support list.  ``needs_storage_driver``: its setup does not know SATA
    controllers in AHCI mode. ``has_nvme_driver``: it can use an NVMe drive as delivered.
    ``usb3_only_trouble``: its setup has no xHCI driver, so keyboard and mouse are dead on a board whose USB
    ports all hang on xHCI. ``min_features``: instructions that it does not start without, beside those of the level.
    """

    id: str
    meaning: str
    bits: int
    min_x86_level: int
    needs_uefi: bool
    needs_secure_boot_capable: bool
    needs_tpm: str | None
    min_memory_mib: int
    min_cores: int
    min_disk_gb: int
    memory_limit_mib: int | None
    licence_kind_matters: bool
    needs_supported_cpu_year: int | None
    needs_storage_driver: bool
    has_nvme_driver: bool
    confidence: str
    min_clock_mhz: int = 0
    usb3_only_trouble: bool = False
    uefi_start: str = "yes"
    nvme_by_update: bool = False
    sorts_drivers: bool = True
    last_platform_year: int | None = None
    last_card_year: int | None = None
    min_features: tuple[str, ...] = ()


#: Address space of a 32-bit system (common practice; somewhat less is usable).
LIMIT_32BIT_MIB: Final = 4096

_MEMORY_SETTING: Final[dict[str, str]] = {
    "desktop-2015": "desktop_2015_min_memory_mib",
    "desktop-2009": "desktop_2009_min_memory_mib",
    "desktop-2015-32bit": "desktop_32bit_min_memory_mib",
    "desktop-2009-32bit": "desktop_32bit_min_memory_mib",
    "desktop-2001-32bit": "desktop_32bit_min_memory_mib",
    "linux-32bit": "desktop_32bit_min_memory_mib",
    "linux-x86-64-v1": "linux_min_memory_mib",
    "linux-x86-64-v2": "linux_min_memory_mib",
    "linux-x86-64-v3": "linux_min_memory_mib",
}
_PLATFORM_YEAR_SETTING: Final[dict[str, str]] = {
    "desktop-2009": "desktop_2009_last_platform_year",
    "desktop-2009-32bit": "desktop_2009_last_platform_year",
    "desktop-2001-32bit": "desktop_2001_last_platform_year",
}
#: Last year of first sale of graphics cards with drivers, [AGE]: of the generation of 2009 to the makers' last drivers of
#: 2021 (medium), of that of 2001 to the Maxwell class (from memory, low).
_LAST_CARD_YEAR: Final[dict[str, int]] = {
    "desktop-2009": 2021,
    "desktop-2009-32bit": 2021,
    "desktop-2001-32bit": 2014,
}
_CPU_YEAR_SETTING: Final[dict[str, str]] = {"desktop-2021": "desktop_2021_cpu_year"}


def _system(
    system_id: str,
    meaning: str,
    bits: int = 64,
    level: int = 1,
    commercial: bool = False,
    *,
    disk_gb: int,
    ahci: bool = True,
    nvme: bool = True,
    confidence: str = "medium",
    xhci: bool = True,
    uefi: str = "yes",
    features: tuple[str, ...] = (),
) -> OperatingSystem:
    """A family without firmware requirements (common practice: on Linux TPM and Secure Boot are optional)."""
    memory = SETTINGS[_MEMORY_SETTING[system_id]].value
    return OperatingSystem(
        system_id,
        meaning,
        bits,
        level,
        False,
        False,
        None,
        memory,
        1,
        disk_gb,
        LIMIT_32BIT_MIB if bits == 32 else None,
        commercial,
        None,
        not ahci,
        nvme,
        confidence,
        usb3_only_trouble=not xhci,
        uefi_start=uefi,
        nvme_by_update=not nvme and ahci,
        sorts_drivers=xhci,
        last_platform_year=SETTINGS[_PLATFORM_YEAR_SETTING[system_id]].value if not xhci else None,
        last_card_year=_LAST_CARD_YEAR.get(system_id),
        min_features=features,
    )


OPERATING_SYSTEMS: Final[dict[str, OperatingSystem]] = {
    s.id: s
    for s in (
        OperatingSystem(  # [D21]; level 2 from [D24]; the year is a setting
            "desktop-2021",
            "commercial desktop system, generation of 2021 or later",
            64,
            2,
            True,
            True,
            "2.0",
            4096,
            2,
            64,
            None,
            True,
            SETTINGS["desktop_2021_cpu_year"].value,
            False,
            True,
            "high",
            min_clock_mhz=1000,
        ),
        _system(
            "desktop-2015",
            "commercial desktop system, generation of 2015",
            commercial=True,
            disk_gb=32,
            features=("cmpxchg16b", "lahf-sahf", "nx", "prefetchw"),
        ),
        # 32-bit systems start on a 32-bit UEFI at most, which desktop boards do not have [BOX].
        _system(
            "desktop-2015-32bit",
            "the same, 32-bit",
            32,
            0,
            True,
            disk_gb=32,
            uefi="no",
            features=("nx", "pae", "sse2"),
        ),
        # No NVMe driver as delivered, SATA in AHCI mode known: from memory. No xHCI driver in setup: a field
        # report of 2015 with a 100-series chipset, medium; for the generation of 2001 from memory.
        _system(
            "desktop-2009",
            "commercial desktop system, generation of 2009",
            commercial=True,
            nvme=False,
            confidence="low",
            xhci=False,
            disk_gb=20,
            uefi="legacy-video",
        ),
        _system(
            "desktop-2009-32bit",
            "the same, 32-bit",
            32,
            0,
            True,
            nvme=False,
            confidence="low",
            xhci=False,
            disk_gb=16,
            uefi="no",
        ),
        # Setup needs a driver disk for SATA in AHCI mode: common practice.
        _system(
            "desktop-2001-32bit",
            "commercial desktop system, generation of 2001, 32-bit",
            32,
            0,
            True,
            ahci=False,
            nvme=False,
            confidence="low",
            xhci=False,
            disk_gb=2,
            uefi="no",
        ),
        _system("linux-x86-64-v1", "Linux built for the 64-bit baseline", level=1, disk_gb=10),
        _system(
            "linux-x86-64-v2",
            "Linux built for x86-64 level 2 (one enterprise family's release 9: high)",
            level=2,
            confidence="high",
            disk_gb=10,
        ),
        _system(
            "linux-x86-64-v3",
            "Linux built for x86-64 level 3 (the same family's release 10: high)",
            level=3,
            confidence="high",
            disk_gb=10,
        ),
        _system("linux-32bit", "Linux for 32-bit processors", 32, 0, disk_gb=5, uefi="no"),
    )
}

#: Kinds of licence.  "none" = no-cost system.
LICENCE_KINDS: Final = ("oem", "retail", "none", "unknown")


#: Generations for which a licence of another one serves as well: the vendor gives that of 2021 to PCs with that of 2015
#: (from memory; it may end this).
LICENCE_SERVES: Final[dict[str, str]] = {"desktop-2015": "desktop-2021"}


def generation_of(family: str) -> str:
    """The generation of a family: its editions of 32 and 64 bits take one licence (from memory)."""
    return family.removesuffix("-32bit")


def licence_serves(family: str, wanted: str) -> bool:
    """Whether the licence of one family serves another."""
    own, other = generation_of(family), generation_of(wanted)
    return own == other or LICENCE_SERVES.get(own) == other


def names_linux(family: str | None) -> bool:
    """Whether the id of a family, of its requirements or of what the owner has, is one of Linux."""
    return (family or "").startswith("linux")


def requirements(system_id: str, settings: Mapping[str, int] | None = None) -> OperatingSystem:
    """The family's requirements with changed settings put in; ``ValueError`` for an unknown id."""
    system = OPERATING_SYSTEMS.get(system_id)
    if system is None:
        raise ValueError(
            f"operating system {system_id!r} is not known; known are {', '.join(OPERATING_SYSTEMS)}"
        )
    if system_id in _MEMORY_SETTING:
        system = replace(system, min_memory_mib=value_of(_MEMORY_SETTING[system_id], settings))
    if system_id in _CPU_YEAR_SETTING:
        system = replace(system, needs_supported_cpu_year=value_of(_CPU_YEAR_SETTING[system_id], settings))
    if system_id in _PLATFORM_YEAR_SETTING:
        system = replace(system, last_platform_year=value_of(_PLATFORM_YEAR_SETTING[system_id], settings))
    return system
