"""The survey as frozen records. ``None`` is an open question: a fact that is not known, never a guess.

Board, processor, cooler, supply and case use the catalogue's records (same names, same units); the tables
that only a survey has are pydantic models here. Every field's ``description`` says what it means and how to
find it.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field

from partsolver.catalog.records import Board, Case, Cooler, Cpu, Psu

YesNo = bool | None


# No capacity, rate, load or score of a part in a PC is larger (bytes are counted in MiB, power in mW).
MOST_NUMBER = 10**9


class Table(BaseModel):
    """Base of the survey's own tables: frozen, no unknown keys, strict types."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True)


class Pc(Table):
    name: str = Field("this PC", description="A name for the PC; no person's name is needed")
    maker_model: str | None = Field(
        None, description="Maker and model on the label, if it was sold as a complete PC"
    )
    brand: YesNo = Field(
        None, description="Whether a maker sold it as a complete PC (own shapes and plugs are likely)"
    )
    # A PC that is surveyed usually runs: these count as true until somebody says otherwise. `Survey.assumed`
    # tells which.
    board_works: bool = Field(True, description="Whether the present board works and may stay")
    cpu_works: bool = Field(True, description="Whether the present processor works and may stay")
    memory_works: bool = Field(
        True, description="Whether the present memory passes a memory test and may stay"
    )
    memory_seen_mib: int | None = Field(
        None, ge=1, le=MOST_NUMBER, description="Memory that the system sees, MiB (measured)"
    )
    cooler_brackets: YesNo = Field(
        None, description="Whether the cooler is held by the case or a bracket that stays"
    )
    always_on: YesNo = Field(None, description="Whether the PC runs day and night (ages the supply faster)")


class MemoryModule(Table):
    generation: Literal["sdr", "ddr", "ddr2", "ddr3", "ddr4", "ddr5"] | None = Field(
        None, description="Memory generation"
    )
    module: Literal["dimm", "so-dimm"] | None = Field(None, description="Kind of module")
    capacity_mib: int | None = Field(None, ge=1, le=MOST_NUMBER, description="Capacity of one module, MiB")
    rate_mts: int | None = Field(
        None, ge=1, le=MOST_NUMBER, description="Rated data rate, MT/s (on the label)"
    )
    count: int = Field(1, ge=1, le=16, description="How many modules of this kind")
    registered: YesNo = Field(None, description="Registered module")
    ecc: YesNo = Field(None, description="Module with error correction")
    voltage_mv: int | None = Field(
        None, ge=1000, le=4000, description="Nominal voltage of the module, mV (PC3 1500, PC3L 1350)"
    )
    chips: int | None = Field(
        None, ge=1, le=64, description="Memory chips of one module without those for error correction"
    )
    ranks: int | None = Field(None, ge=1, le=8, description="Ranks of one module (on its label: 1R, 2R)")
    module_height_mm: int | None = Field(
        None, ge=10, le=100, description="Height of one module above its slot with its heat spreader, mm"
    )


class Drive(Table):
    name: str = Field(description="Name of the drive in this survey")
    kind: Literal["ssd", "hdd35", "hdd25", "optical", "floppy"] | None = Field(
        None, description="Kind of drive"
    )
    interface: Literal["sata", "pata", "m2-sata", "m2-nvme", "floppy", "usb"] | None = Field(
        None, description="How its data lead connects"
    )
    sata_gbps10: Literal[15, 30, 60] | None = Field(
        None, description="SATA rate of the drive in tenths of Gb/s"
    )
    pcie_gen: int | None = Field(None, ge=1, le=6, description="PCI Express generation of an NVMe drive")
    pcie_lanes: int | None = Field(None, ge=1, le=4, description="PCI Express lanes of an NVMe drive")
    m2_key: Literal["m", "b", "b+m"] | None = Field(
        None, description="Key of an M.2 module (place of the notch)"
    )
    m2_length_mm: int | None = Field(None, ge=16, le=110, description="Length of an M.2 module, mm")
    read_mbs: int | None = Field(None, ge=1, le=MOST_NUMBER, description="Sequential read, MB/s")
    random_reads_per_s: int | None = Field(
        None,
        ge=1,
        le=MOST_NUMBER,
        description="Single reads of 4 KiB here and there in a second, as `measure` reads them",
    )
    capacity_gb: int | None = Field(None, ge=0, le=MOST_NUMBER, description="Capacity, GB")
    used_gb: int | None = Field(None, ge=0, le=MOST_NUMBER, description="Space in use on it, GB")
    system: YesNo = Field(None, description="Whether the operating system starts from it")
    partition_table: Literal["gpt", "mbr"] | None = Field(
        None, description="Partition table of the system drive"
    )
    start_mode: Literal["uefi", "legacy"] | None = Field(None, description="How the present system starts")
    storage_mode: Literal["ahci", "ide", "raid"] | None = Field(
        None, description="SATA mode set in the firmware now"
    )
    raid: Literal["none", "0", "1", "5", "10"] | None = Field(
        None, description="Level of the RAID set of board or card that the drive belongs to"
    )
    controller: str | None = Field(
        None,
        description='Where its data lead goes: "board", or the name of the card of this PC that carries it',
    )
    copied: YesNo = Field(
        None, description="Whether all that is on its RAID set is copied to a device outside this PC"
    )
    encrypted: YesNo = Field(
        None, description="Whether the drive is encrypted (a key is needed after the swap)"
    )
    power_plug: Literal["sata", "peripheral", "floppy", "none"] | None = Field(
        None, description="Its power plug"
    )
    start_12v_ma: int | None = Field(
        None, ge=0, le=MOST_NUMBER, description="Start-up current at 12 V on its label, mA"
    )
    bay: Literal["5.25", "3.5", "2.5"] | None = Field(
        None, description="Bay it is made for, inches (a floppy drive: its size)"
    )
    required: bool = Field(True, description="Whether the owner needs it connected")
    year: int | None = Field(None, ge=1980, le=2100, description="Year made")


class Card(Table):
    name: str = Field(description="Name of the card in this survey")
    kind: Literal["graphics", "network", "sound", "tv", "controller", "ports", "other"] = Field(
        description="Kind of card"
    )
    bus: Literal["pcie", "pci", "agp", "isa"] | None = Field(None, description="Slot kind it needs")
    lanes: int | None = Field(None, ge=1, le=16, description="Lanes of its edge connector (x1, x4, x8, x16)")
    height: Literal["full", "low"] | None = Field(
        None, description="Bracket it carries: full height or low profile"
    )
    width_slots: int | None = Field(None, ge=1, le=4, description="Slots it covers")
    length_mm: int | None = Field(None, ge=1, le=MOST_NUMBER, description="Length, mm")
    power_plugs: tuple[Literal["6", "8", "16"], ...] | None = Field(None, description="Power plugs it needs")
    load_mw: int | None = Field(None, ge=0, le=MOST_NUMBER, description="Highest continuous power, mW")
    graphics_score: int | None = Field(
        None, ge=0, le=MOST_NUMBER, description="Score of a graphics card on the catalogue's scale"
    )
    outputs: tuple[str, ...] | None = Field(None, description="Video outputs of a graphics card")
    max_displays: int | None = Field(
        None, ge=0, le=16, description="Pictures that a graphics card makes at once"
    )
    legacy_video: YesNo = Field(
        None, description="Whether a graphics card makes a picture at a legacy start (without UEFI)"
    )
    uefi: YesNo = Field(
        None, description="Whether its firmware has a UEFI part (cards before about 2013 often have none)"
    )
    required: bool = Field(True, description="Whether the owner needs it")


class Display(Table):
    name: str = Field(description="Name of the display in this survey")
    inputs: tuple[str, ...] | None = Field(None, description="Video inputs")
    width_px: int | None = Field(None, ge=320, le=20000, description="Width of its own mode, pixels")
    height_px: int | None = Field(None, ge=200, le=20000, description="Height of its own mode, pixels")
    refresh_hz: int | None = Field(None, ge=20, le=500, description="Refresh rate of its own mode, Hz")
    reduced_blanking: YesNo = Field(
        None,
        description="Whether it takes its own mode with reduced blanking (CVT-RB) on its analogue input",
    )
    required: bool = Field(True, description="Whether the owner needs it")


class Device(Table):
    name: str = Field(description="Name of the device in this survey")
    port: Literal["ps2", "serial", "parallel", "usb"] | None = Field(None, description="Port it plugs into")
    required: bool = Field(True, description="Whether the owner needs it")
    direct_hardware_access: YesNo = Field(
        None, description="Whether its software writes to the port's hardware address"
    )


class OperatingSystem(Table):
    family: str | None = Field(
        None, description="Family of the installed system (see standards/operating_systems)"
    )
    licence: Literal["oem", "retail", "account", "upgraded", "none-needed"] | None = Field(
        None,
        description="Kind of licence: sold with the PC (oem), boxed (retail), linked to an account, upgraded",
    )
    licence_for: tuple[str, ...] | None = Field(
        None,
        description="Families that the licence at hand is for, where they are others than the installed one",
    )
    keep: bool = Field(True, description="Whether this system is to run after the upgrade")
    tied_software: tuple[str, ...] | None = Field(
        None, description="Programs whose licence is tied to this PC"
    )


class _CheckedBefore:
    """A part of a survey: it was checked when it was made, and is not taken apart once more. (A schema of all
    fields of all records takes longer to write than the file takes to be read.)"""

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        return handler(Any)


_Part = TypeVar("_Part")
_Made = Annotated[_Part, _CheckedBefore()]


class Survey(BaseModel):
    """One PC as it is."""

    model_config = ConfigDict(frozen=True, arbitrary_types_allowed=True, defer_build=True)

    pc: _Made[Pc]
    case: _Made[Case]
    psu: _Made[Psu]
    board: _Made[Board]
    cpu: _Made[Cpu]
    cooler: _Made[Cooler | None]
    memory: _Made[tuple[MemoryModule, ...]]
    drives: _Made[tuple[Drive, ...]]
    cards: _Made[tuple[Card, ...]]
    displays: _Made[tuple[Display, ...]]
    devices: _Made[tuple[Device, ...]]
    os: _Made[OperatingSystem]
    where: str = "survey"
    # The file as it was read; "" where it came from no file.
    text: str = Field("", repr=False)
    # Lists the file does not mention at all: an empty one counts as "there is none" only where the file says
    # so.
    unlisted: tuple[str, ...] = ()
    # Facts that follow from another stated fact: (path, path it follows from).
    inferred: tuple[tuple[str, str], ...] = ()

    @property
    def assumed(self) -> tuple[str, ...]:
        """Facts nobody stated that are taken as true until somebody does."""
        return tuple(
            f"pc.{key}"
            for key in ("board_works", "cpu_works", "memory_works")
            if key not in self.pc.model_fields_set
        )

    @property
    def system_drive(self) -> Drive | None:
        """The drive the system starts from, if the survey names one."""
        return next((drive for drive in self.drives if drive.system), None)
