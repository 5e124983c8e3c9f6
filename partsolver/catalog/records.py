"""One frozen record per catalogue table. Field names are the columns of ``catalogs/columns.csv``.

``None`` means unknown (not stated): never a guess. "There is none" is 0, ``()`` or the word ``none``.
Quantities carry their unit in the name; money is in minor units of the catalogue's currency.
"""

from __future__ import annotations

import datetime

from partsolver.base.records import record
from partsolver.catalog.sockets import M2Socket, Slot


@record
class Board:
    """Main board, with the facts of its maker's manual."""

    id: str
    name: str
    maker: str | None = None
    socket: str | None = None
    chipset: str | None = None
    form_factor: str | None = None
    width_mm: int | None = None
    depth_mm: int | None = None
    holes: tuple[str, ...] | None = None
    memory_generation: str | None = None
    memory_module: str | None = None
    memory_slots: int | None = None
    memory_channels: int | None = None
    memory_max_mib: int | None = None
    memory_max_module_mib: int | None = None
    memory_max_rate_mts: int | None = None
    memory_two_per_channel_rate_mts: int | None = None
    memory_voltage_mv: int | None = None
    memory_max_chip_mbit: int | None = None
    memory_ecc: str | None = None
    memory_registered: bool | None = None
    cpu_families: tuple[tuple[str, str], ...] | None = None
    cpu_families_until: tuple[tuple[str, str], ...] | None = None
    firmware_steps: tuple[str, ...] | None = None
    firmware_shipped: str | None = None
    flash_without_cpu: bool | None = None
    cpu_power_limit_w: int | None = None
    main_plug: str | None = None
    cpu_plugs: tuple[str, ...] | None = None
    slots: tuple[Slot, ...] | None = None
    m2_slots: tuple[M2Socket, ...] | None = None
    sata_6g_ports: int | None = None
    sata_3g_ports: int | None = None
    sata_1g5_ports: int | None = None
    pata_channels: int | None = None
    floppy_headers: int | None = None
    outputs: tuple[str, ...] | None = None
    graphics_score: int | None = None
    max_displays: int | None = None
    ps2_ports: int | None = None
    serial_ports: int | None = None
    serial_headers: int | None = None
    parallel_ports: int | None = None
    parallel_headers: int | None = None
    usb_rear_ports: int | None = None
    usb2_headers: int | None = None
    usb3_headers: int | None = None
    usb_e_headers: int | None = None
    front_audio: str | None = None
    fan_headers: int | None = None
    firmware_modes: tuple[str, ...] | None = None
    storage_modes: tuple[str, ...] | None = None
    secure_boot: bool | None = None
    tpm: str | None = None
    nvme_boot: bool | None = None
    revision: str | None = None
    shield: str | None = None
    load_mw: int | None = None
    year: int | None = None
    mass_g: int | None = None
    source: str | None = None


@record
class Cpu:
    """Processor; scores against the catalogue's reference machine."""

    id: str
    name: str
    maker: str | None = None
    socket: str | None = None
    family: str | None = None
    cores: int | None = None
    threads: int | None = None
    base_mhz: int | None = None
    boost_mhz: int | None = None
    serial_score: int | None = None
    parallel_score: int | None = None
    score_origin: str | None = None
    score_error_percent: int | None = None
    score_scale: str | None = None
    tdp_w: int | None = None
    power_limit_w: int | None = None
    memory_rates: tuple[tuple[str, int], ...] | None = None
    memory_channels: int | None = None
    memory_max_mib: int | None = None
    graphics_score: int | None = None
    max_displays: int | None = None
    legacy_video: bool | None = None
    x86_level: int | None = None
    features: tuple[str, ...] | None = None
    architecture_class: str | None = None
    boxed_cooler: bool | None = None
    boxed_cooler_mm: int | None = None
    year: int | None = None
    mass_g: int | None = None
    source: str | None = None


@record
class MemoryKit:
    """Memory as it is sold: ``modules`` alike modules in one pack."""

    id: str
    name: str
    maker: str | None = None
    generation: str | None = None
    module: str | None = None
    modules: int | None = None
    module_mib: int | None = None
    rate_mts: int | None = None
    registered: bool | None = None
    ecc: bool | None = None
    ranks: int | None = None
    chips: int | None = None
    voltage_mv: int | None = None
    module_height_mm: int | None = None
    mass_g: int | None = None
    source: str | None = None


@record
class Cooler:
    """Cooler for a processor."""

    id: str
    name: str
    maker: str | None = None
    sockets: tuple[str, ...] | None = None
    height_mm: int | None = None
    rated_w: int | None = None
    paste_included: bool | None = None
    fan_pins: int | None = None
    back_plate: bool | None = None
    memory_clearance_mm: int | None = None
    mass_g: int | None = None
    source: str | None = None


@record
class Extra:
    """Something small that a plan may need: adapter, lead, bracket, licence, service."""

    id: str
    name: str
    maker: str | None = None
    kind: str = ""
    takes: tuple[str, ...] = ()
    gives: tuple[str, ...] = ()
    count: int = 1
    limit_ma: int | None = None
    limit_khz: int | None = None
    active: bool = False
    low_profile: bool = False
    mass_g: int | None = None
    source: str | None = None


@record
class Psu:
    """Power supply, with its plugs and what its rails carry."""

    id: str
    name: str
    maker: str | None = None
    form: str | None = None
    pinout: str | None = None
    rated_w: int | None = None
    year: int | None = None
    main_plug: str | None = None
    cpu_plugs: tuple[str, ...] | None = None
    cpu_lead_mm: int | None = None
    main_lead_mm: int | None = None
    card_plugs: tuple[str, ...] | None = None
    sata_plugs: int | None = None
    peripheral_plugs: int | None = None
    sata_leads: int | None = None
    peripheral_leads: int | None = None
    floppy_plugs: int | None = None
    rail_12v_ma: tuple[int, ...] | None = None
    combined_12v_ma: int | None = None
    cpu_rail: int | None = None
    rail_5v_ma: int | None = None
    rail_3v3_ma: int | None = None
    combined_5v_3v3_mw: int | None = None
    rail_5vsb_ma: int | None = None
    peak_12v_ma: int | None = None
    zero_load_12v: bool | None = None
    condition: str | None = None
    efficiency: str | None = None
    mass_g: int | None = None
    source: str | None = None


@record
class Case:
    """Case, with what fits into it and its front plugs."""

    id: str
    name: str
    maker: str | None = None
    form_factor: str | None = None
    max_board_width_mm: int | None = None
    max_board_depth_mm: int | None = None
    aperture: str | None = None
    slot_openings: int | None = None
    slot_height: str | None = None
    max_card_length_mm: int | None = None
    max_cooler_height_mm: int | None = None
    standoffs: tuple[str, ...] | None = None
    standoff_positions: tuple[str, ...] | None = None
    standoffs_fixed: tuple[str, ...] | None = None
    psu_place: str | None = None
    height_under_psu_mm: int | None = None
    psu_form: str | None = None
    front_usb2_plugs: int | None = None
    front_usb3_plugs: int | None = None
    front_usb_e_plugs: int | None = None
    front_audio: str | None = None
    front_panel: str | None = None
    bays_525: int | None = None
    bays_35: int | None = None
    bays_25: int | None = None
    fans: int | None = None
    mass_g: int | None = None
    source: str | None = None


@record
class DrivePart:
    """Drive on sale."""

    id: str
    name: str
    maker: str | None = None
    kind: str | None = None
    interface: str | None = None
    sata_gbps10: int | None = None
    pcie_gen: int | None = None
    pcie_lanes: int | None = None
    m2_key: str | None = None
    m2_length_mm: int | None = None
    read_mbs: int | None = None
    capacity_gb: int | None = None
    mass_g: int | None = None
    source: str | None = None


@record
class GraphicsPart:
    """Graphics card on sale, with its place, its plugs, its outputs and what it needs to start."""

    id: str
    name: str
    maker: str | None = None
    bus: str | None = None
    lanes: int | None = None
    height: str | None = None
    width_slots: int | None = None
    length_mm: int | None = None
    power_plugs: tuple[str, ...] | None = None
    load_mw: int | None = None
    graphics_score: int | None = None
    outputs: tuple[str, ...] | None = None
    max_displays: int | None = None
    uefi: bool | None = None
    legacy_video: bool | None = None
    year: int | None = None
    mass_g: int | None = None
    source: str | None = None


@record
class Seller:
    """Who sells: delivery charge, value from which it is free, least order, days."""

    id: str
    name: str
    delivery: int = 0
    free_from: int | None = None
    minimum_order: int = 0
    delivery_days: int = 3
    returns_days: int = 14
    kind: str = "shop"


@record
class Offer:
    """One seller's price of one part. What it says of the part (shield, firmware, boxed cooler, paste)
    overrides the part's row: None = nothing said, the word ``unknown`` = said to be unknown
    (problem/variants.py)."""

    part: str
    seller: str
    price: int
    stock: int | None = None
    available_on: datetime.date | None = None
    valid_until: datetime.date | None = None
    condition: str | None = "new"
    tested: bool | None = None
    made_for: str | None = None
    revision: str | None = None
    shield: str | None = None
    firmware: str | None = None
    boxed_cooler: bool | str | None = None
    paste_included: bool | str | None = None
    currency: str | None = None
    source: str | None = None

    def __hash__(self) -> int:
        """Of what tells most offers apart: offers are looked up by the million."""
        return hash((self.part, self.seller, self.price))


@record
class Bundle:
    """Parts (or a whole PC) sold together at one price."""

    id: str
    name: str
    kind: str
    items: tuple[tuple[str, int], ...]
    seller: str
    price: int
    stock: int | None = None
    available_on: datetime.date | None = None
    valid_until: datetime.date | None = None
    condition: str | None = "new"
    shield: str | None = None
    firmware: str | None = None
    boxed_cooler: bool | str | None = None
    paste_included: bool | str | None = None
    currency: str | None = None
    mass_g: int | None = None
    source: str | None = None

    def __hash__(self) -> int:
        return hash((self.id, self.seller, self.price))


@record
class Reference:
    """The reference machine of the catalogue: the scale of all scores."""

    serial_score: int
    parallel_score: int
    memory_mbs: int
    storage_mbs: int
    graphics_score: int


@record
class CatalogInfo:
    """Name, currency, date, origin and digest of the catalogue."""

    name: str
    currency: str
    digits: int
    as_of: datetime.date
    origin: str
    digest: str
    reference: Reference


Part = Board | Cpu | MemoryKit | Cooler | Extra | Psu | Case | DrivePart | GraphicsPart

TABLES: dict[str, type] = {
    "boards": Board,
    "cpus": Cpu,
    "memory": MemoryKit,
    "coolers": Cooler,
    "extras": Extra,
    "psus": Psu,
    "cases": Case,
    "drives": DrivePart,
    "graphics": GraphicsPart,
    "sellers": Seller,
    "offers": Offer,
    "bundles": Bundle,
}
# The tables whose rows are parts: what can be bought or kept, with the small things a plan needs.
PART_TABLES = tuple(table for table in TABLES if table not in ("sellers", "offers", "bundles"))
