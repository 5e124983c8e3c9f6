"""Small drawn problems (hypothesis): a base that fits, changed in a few facts, with sellers, extras and
wishes.

``instances()`` draws an ``Instance`` (survey, brief, tables of records) that can be changed and joined as
often as a test likes; ``problems()`` draws the joined problem. The planted parts ``board-0``, ``cpu-0``,
``kit-0`` and ``cooler-0`` are the base parts of ``support``: they fit one another and the base PC and are in
stock at ``seller-0``, so that most problems have several plans, and a survey or brief that excludes them does
it for a reason.
"""

from __future__ import annotations

import csv
import datetime
import io
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

from hypothesis import strategies as st
from support import (
    BOARD,
    CASE,
    COOLER,
    CPU,
    GRAPHICS,
    KIT,
    OLD_BOARD,
    OLD_CPU,
    PSU,
    REFERENCE,
    SYSTEM_DRIVE,
    TODAY,
    make_catalog,
    make_survey,
)

from partsolver.base.quantities import format_amount
from partsolver.catalog.dictionary import columns
from partsolver.catalog.load import Catalog
from partsolver.catalog.records import PART_TABLES, Bundle, DrivePart, Extra, Offer, Seller
from partsolver.catalog.sockets import M2Socket, Slot
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card, Device, Display, Drive, MemoryModule, OperatingSystem, Pc, Survey
from partsolver.wishes.brief import Brief

Facts = dict[str, Any]
# Each group is one matter (size, socket ...); an option is a set of facts that go together.
BOARD_GROUPS: list[list[Facts]] = [
    [
        {"socket": "sock-2", "chipset": "chip-2", "cpu_families": (("fam-2", "1.00"),)},
        {"socket": "sock-0", "chipset": "chip-0", "cpu_families": (("fam-0", "1.00"),)},
    ],
    [
        {"memory_generation": "ddr3", "memory_max_rate_mts": 1600},
        {"memory_max_rate_mts": 2133},
        {"memory_two_per_channel_rate_mts": 2133},
    ],
    [
        {"form_factor": "mini-itx", "width_mm": 170, "depth_mm": 170},
        {"form_factor": "atx", "width_mm": 305, "depth_mm": 244},
        {"depth_mm": 244},
    ],
    [
        {"memory_slots": 2},
        {"memory_slots": 1, "memory_channels": 1},
        {"memory_max_mib": 8192, "memory_max_module_mib": 4096},
        {"memory_module": "so-dimm"},
    ],
    [
        {"cpu_families": (("fam-1", "2.00"),)},
        {"cpu_families": (("fam-1", "2.00"),), "flash_without_cpu": True},
        {"firmware_shipped": None, "cpu_families": (("fam-1", "1.50"), ("fam-3", "3.00"))},
    ],
    [
        {"cpu_power_limit_w": 65},
        {"cpu_power_limit_w": None},
        {"cpu_plugs": ("8",)},
        {"cpu_plugs": ("8", "4")},
    ],
    [
        {"sata_6g_ports": 1},
        {"sata_6g_ports": 2, "m2_slots": ()},
        {"sata_6g_ports": 0, "sata_3g_ports": 4},
        {"m2_slots": (M2Socket("m", 80, ("nvme",), 3, 2, 2, 0),)},
    ],
    [{"outputs": ("dp", "hdmi-2.0")}, {"outputs": ("dvi-d",)}, {"outputs": ()}],
    [{"ps2_ports": 0}, {"serial_headers": 0}, {"usb2_headers": 0}, {"fan_headers": 0}],
    [{"firmware_modes": ("uefi",)}, {"firmware_modes": None}, {"tpm": "header"}, {"tpm": "none"}],
    [{"slots": (Slot("x16", 16),)}, {"slots": (Slot("x1", 1), Slot("pci", 0))}],
    [{"shield": "missing"}, {"load_mw": 30000}, {"load_mw": None}],
]
CPU_GROUPS: list[list[Facts]] = [
    [
        {"socket": "sock-2", "family": "fam-2"},
        {"socket": "sock-0", "family": "fam-0", "memory_rates": (("ddr3", 1600),)},
        {"family": "fam-3"},
    ],
    [
        {"serial_score": 1200, "parallel_score": 4000},
        {"serial_score": 1505, "parallel_score": 6010},
        {"serial_score": 2400, "parallel_score": 15000, "cores": 8, "threads": 16},
    ],
    [{"tdp_w": 35, "power_limit_w": 45}, {"tdp_w": 95, "power_limit_w": 140}, {"power_limit_w": None}],
    [{"graphics_score": 0}, {"graphics_score": 900}],
    [{"boxed_cooler": False}],
    [
        {"memory_rates": (("ddr3", 1600), ("ddr4", 2133))},
        {"memory_rates": (("ddr4", 3200),)},
        {"memory_max_mib": 8192},
        {"memory_channels": 1},
    ],
    [{"x86_level": 2}, {"x86_level": None}],
]
KIT_GROUPS: list[list[Facts]] = [
    [{"generation": "ddr3", "rate_mts": 1600, "voltage_mv": 1500}, {"rate_mts": 2133}, {"rate_mts": 3200}],
    [{"modules": 1}, {"modules": 1, "module_mib": 8192}, {"module_mib": 8192}, {"module_mib": 2048}],
    [{"ecc": True}, {"registered": True, "ecc": True}, {"module": "so-dimm"}, {"ranks": 2}],
]
COOLER_GROUPS: list[list[Facts]] = [
    [
        {"sockets": ("sock-1", "sock-2")},
        {"sockets": ("sock-0",)},
        {"sockets": ("sock-0", "sock-1", "sock-2")},
    ],
    [{"height_mm": 160}, {"height_mm": 45}],
    [{"rated_w": 65}, {"rated_w": 150}, {"paste_included": False}],
]
GRAPHICS_GROUPS: list[list[Facts]] = [
    [{"graphics_score": 2400}, {"graphics_score": 300}, {"graphics_score": None}],
    [
        {"power_plugs": ("6",), "load_mw": 120000, "height": "full", "width_slots": 2, "length_mm": 240},
        {"power_plugs": ("8",), "load_mw": None, "height": "full", "length_mm": 260},
        {"power_plugs": None, "load_mw": None},
    ],
    [{"outputs": ("dvi-d",)}, {"outputs": ("dp", "dvi-d", "hdmi-2.0")}, {"outputs": None}],
    [{"uefi": False}, {"uefi": None}, {"legacy_video": False}],
    [{"bus": "pci", "lanes": None}, {"max_displays": 1}, {"max_displays": None}],
]
EXTRAS: tuple[Extra, ...] = (
    Extra(
        "extra-vga",
        "HDMI to VGA",
        kind="display-adapter",
        takes=("hdmi",),
        gives=("vga",),
        limit_khz=165000,
        active=True,
    ),
    Extra(
        "extra-vga-dp",
        "DP to VGA",
        kind="display-adapter",
        takes=("dp",),
        gives=("vga",),
        limit_khz=200000,
        active=True,
    ),
    Extra(
        "extra-sata2",
        "two-port card",
        kind="sata-controller",
        takes=("x1",),
        gives=("sata",),
        count=2,
        low_profile=True,
    ),
    Extra("extra-sata4", "four-port card", kind="sata-controller", takes=("x4",), gives=("sata",), count=4),
    Extra("extra-shield", "shield for board-0", kind="io-shield", takes=("board-0", "board-1")),
    Extra("extra-paste", "paste", kind="thermal-paste"),
    Extra(
        "extra-cpu8",
        "8 from peripheral",
        kind="cpu-plug-adapter",
        takes=("peripheral",),
        gives=("8",),
        count=2,
        limit_ma=12000,
    ),
    Extra(
        "extra-split",
        "power splitter",
        kind="sata-power-splitter",
        takes=("sata",),
        gives=("sata",),
        limit_ma=4500,
    ),
    Extra(
        "extra-perip",
        "SATA power lead",
        kind="sata-power-from-peripheral",
        takes=("peripheral",),
        gives=("sata",),
    ),
    Extra("extra-ps2", "USB to PS/2", kind="usb-ps2", takes=("usb",), gives=("ps2",), count=2, active=True),
    Extra("extra-serial", "serial bracket", kind="serial-bracket", gives=("serial",)),
    Extra("extra-pata", "PATA bridge", kind="pata-drive-adapter", takes=("sata",), gives=("pata",)),
    Extra("extra-licence", "licence", kind="os-licence", gives=("desktop-2015", "desktop-2021")),
    Extra("extra-flash", "firmware service", kind="firmware-update"),
    Extra("extra-standoffs", "standoffs", kind="standoffs", count=10),
    Extra("extra-tpm", "module", kind="tpm-module", takes=("header",), gives=("2.0",)),
)
SURVEY_GROUPS: list[list[Facts]] = [
    [
        {
            "drives": (
                SYSTEM_DRIVE,
                Drive(
                    name="disk",
                    kind="hdd35",
                    interface="sata",
                    sata_gbps10=30,
                    read_mbs=120,
                    power_plug="sata",
                ),
            )
        },
        {"drives": (SYSTEM_DRIVE.model_copy(update={"partition_table": "mbr", "start_mode": "legacy"}),)},
        {
            "drives": (
                SYSTEM_DRIVE,
                Drive(name="old disk", kind="hdd35", interface="pata", power_plug="peripheral"),
            )
        },
        {"drives": ()},
    ],
    [
        {
            "displays": (
                Display(name="monitor", inputs=("vga",), width_px=1680, height_px=1050, refresh_hz=60),
            )
        },
        {
            "displays": (
                Display(name="monitor", inputs=("hdmi-1.4",), width_px=1920, height_px=1080, refresh_hz=60),
            )
        },
    ],
    [
        {"devices": (Device(name="keyboard", port="ps2"), Device(name="mouse", port="ps2"))},
        {"devices": (Device(name="till", port="serial", required=True),)},
    ],
    [
        {
            "cards": (
                Card(
                    name="network",
                    kind="network",
                    bus="pcie",
                    lanes=1,
                    height="full",
                    width_slots=1,
                    length_mm=120,
                    load_mw=3000,
                ),
            )
        },
        {
            "cards": (
                Card(
                    name="graphics",
                    kind="graphics",
                    bus="pcie",
                    lanes=16,
                    height="full",
                    width_slots=2,
                    length_mm=200,
                    load_mw=75000,
                    power_plugs=("6",),
                    graphics_score=1500,
                    outputs=("hdmi-1.4", "vga"),
                    uefi=True,
                ),
            )
        },
        {"cards": (Card(name="tuner", kind="tv", bus="pci", height="full", width_slots=1, required=True),)},
    ],
    [
        {
            "psu": replace(
                PSU, cpu_plugs=("4",), rated_w=300, rail_12v_ma=(18000,), combined_12v_ma=18000, year=2011
            )
        },
        {"psu": replace(PSU, cpu_plugs=None)},
        {"psu": replace(PSU, sata_plugs=1)},
        {"psu": replace(PSU, pinout="own")},
    ],
    [
        {
            "case": replace(
                CASE, form_factor="atx", max_board_width_mm=305, standoff_positions=tuple("ABCFGHJKLM")
            )
        },
        {"case": replace(CASE, max_board_depth_mm=225)},
        {"case": replace(CASE, max_cooler_height_mm=60, slot_height="low")},
        {"case": replace(CASE, standoffs=None, max_board_depth_mm=None)},
    ],
    [
        {"board": replace(OLD_BOARD, cpu_families=(("fam-0", "1.00"), ("fam-9", "1.10")))},
        {"board": replace(OLD_BOARD, socket=None)},
        {"cpu": replace(OLD_CPU, serial_score=1900, parallel_score=7000)},
    ],
    [
        {
            "memory": (
                MemoryModule(
                    generation="ddr4",
                    module="dimm",
                    capacity_mib=4096,
                    rate_mts=2133,
                    count=2,
                    registered=False,
                    ecc=False,
                ),
            )
        },
        {"memory": ()},
        {"memory": (MemoryModule(generation=None, capacity_mib=None),)},
    ],
    [
        {"os": OperatingSystem(family="desktop-2015", licence="oem")},
        {"os": OperatingSystem(family="desktop-2021", licence="retail")},
    ],
    [
        {"pc": Pc(name="test PC", board_works=False)},
        {"pc": Pc(name="test PC", cpu_works=False)},
        {"pc": Pc(name="test PC", brand=True)},
    ],
    [{"cooler": None}],
]


@dataclass(frozen=True)
class Instance:
    """A drawn problem before the join: survey, brief, and the catalogue's records by table."""

    survey: Survey
    brief: Brief
    tables: Mapping[str, tuple[Any, ...]]

    def catalog(self) -> Catalog:
        return make_catalog(**self.tables)  # type: ignore[arg-type]

    def problem(self, **brief: Any) -> Problem:
        """Joined anew, with some wishes changed."""
        return join(self.survey, self.catalog(), self.brief.model_copy(update=brief))

    def with_tables(self, **tables: Sequence[Any]) -> Instance:
        return replace(self, tables={**self.tables, **{name: tuple(rows) for name, rows in tables.items()}})

    def parts(self) -> list[str]:
        """Ids of all parts, in order."""
        return sorted(row.id for table in PART_TABLES for row in self.tables[table])

    def without_part(self, part: str) -> Instance:
        """The same catalogue without a part, its offers and its bundles."""
        tables = {
            name: tuple(r for r in rows if getattr(r, "id", None) != part)
            for name, rows in self.tables.items()
        }
        tables["offers"] = tuple(o for o in tables["offers"] if o.part != part)
        tables["bundles"] = tuple(b for b in tables["bundles"] if part not in [item for item, _ in b.items])
        return replace(self, tables=tables)

    def scaled(self, factor: int) -> Instance:
        """All amounts of money times a factor, as if the currency's unit were smaller."""
        tables = {
            **self.tables,
            "offers": tuple(replace(o, price=o.price * factor) for o in self.tables["offers"]),
            "bundles": tuple(replace(b, price=b.price * factor) for b in self.tables["bundles"]),
            "sellers": tuple(
                replace(
                    s,
                    delivery=s.delivery * factor,
                    minimum_order=s.minimum_order * factor,
                    free_from=None if s.free_from is None else s.free_from * factor,
                )
                for s in self.tables["sellers"]
            ),
        }
        budget = None if self.brief.budget is None else format_amount(minor(self.brief.budget) * factor)
        return replace(self, tables=tables, brief=self.brief.model_copy(update={"budget": budget}))

    def renamed(self) -> tuple[Instance, Mapping[str, str]]:
        """Other ids in the same order, everywhere; old id -> new id."""
        ids = [row.id for table in (*PART_TABLES, "sellers", "bundles") for row in self.tables[table]]
        new = {
            old: old.translate({ord(d): chr(ord("b") + 2 * i) for i, d in enumerate("0123456789")})
            for old in ids
        }
        assert sorted(ids, key=lambda i: new[i]) == sorted(ids) and len(set(new.values())) == len(set(ids))
        tables: dict[str, tuple[Any, ...]] = {}
        for table in (*PART_TABLES, "sellers", "bundles"):
            tables[table] = tuple(replace(row, id=new[row.id]) for row in self.tables[table])
        tables["extras"] = tuple(
            replace(e, takes=tuple(new.get(t, t) for t in e.takes)) for e in tables["extras"]
        )
        tables["offers"] = tuple(
            replace(o, part=new[o.part], seller=new[o.seller]) for o in self.tables["offers"]
        )
        tables["bundles"] = tuple(
            replace(b, seller=new[b.seller], items=tuple(sorted((new[item], n) for item, n in b.items)))
            for b in tables["bundles"]
        )
        wishes = {
            "without": tuple(new.get(i, i) for i in self.brief.without),
            "including": tuple(new.get(i, i) for i in self.brief.including),
        }
        return replace(self, tables=tables, brief=self.brief.model_copy(update=wishes)), new


def minor(amount: str) -> int:
    """An amount with two decimals in minor units."""
    whole, _, part = amount.partition(".")
    return int(whole) * 100 + int(part.ljust(2, "0") or 0)


@st.composite
def facts(draw: st.DrawFn, groups: list[list[Facts]], most: int) -> Facts:
    """Facts of up to ``most`` groups, one option each; later groups win where they touch the same fact."""
    chosen = draw(st.lists(st.sampled_from(range(len(groups))), max_size=most, unique=True))
    changed: Facts = {}
    for group in sorted(chosen):
        changed.update(draw(st.sampled_from(groups[group])))
    return changed


@st.composite
def sellers(draw: st.DrawFn, most: int = 3, plain: bool = False) -> tuple[Seller, ...]:
    """Sellers; ``seller-0`` has no least order. ``plain``: neither thresholds nor least orders."""
    result = []
    for number in range(draw(st.integers(1, most))):
        free = None if plain else draw(st.sampled_from([None, None, 3000, 9000]))
        least = 0 if plain or number == 0 else draw(st.sampled_from([0, 0, 2500]))
        delivery, days = draw(st.sampled_from([0, 390, 650])), draw(st.integers(1, 9))
        result.append(Seller(f"seller-{number}", f"Seller {number}", delivery, free, least, days))
    return tuple(result)


@st.composite
def offers(
    draw: st.DrawFn, part: str, shops: Sequence[Seller], board: bool = False, planted: bool = False
) -> list[Offer]:
    """One or two offers of a part; the first of a planted part is in stock and open."""
    result = []
    names = draw(st.lists(st.sampled_from([s.id for s in shops]), min_size=1, max_size=2))
    for number, seller in enumerate(["seller-0", *names[1:]] if planted else names):
        price = draw(st.integers(2, 55)) * 100 - draw(st.sampled_from([0, 0, 10, 99]))
        offer = Offer(part, seller, price)
        if not (planted and number == 0):
            offer = replace(
                offer,
                stock=draw(st.sampled_from([None, 0, 1, 2, 9])),
                available_on=draw(st.sampled_from([None, None, TODAY + datetime.timedelta(days=6)])),
                valid_until=draw(st.sampled_from([None, None, TODAY, TODAY - datetime.timedelta(days=1)])),
                condition=draw(st.sampled_from(["new", "used"])),
            )
            if board:
                offer = replace(
                    offer,
                    firmware=draw(st.sampled_from([None, None, "2.00"])),
                    shield=draw(st.sampled_from([None, None, "missing"])),
                )
        result.append(offer)
    return result


@st.composite
def briefs(draw: st.DrawFn, ids: Sequence[str], wishes: bool = True, **fixed: Any) -> Brief:
    """A brief; ``ids`` may be excluded or demanded."""
    chosen: dict[str, Any] = {
        "budget": draw(st.sampled_from([None, "20.00", "90.00", "160.00", "400.00"])),
        "use": draw(st.sampled_from(["office", "programming", "games", "server"])),
        "goal": draw(st.sampled_from(["speed", "speed", "cost"])),
        "resolution_percent": draw(st.sampled_from(["1", "0", "2.5"])),
        "alternatives": draw(st.integers(1, 5)),
    }
    if wishes:
        chosen |= {
            "min_speedup": draw(st.sampled_from([None, None, "1.2", "2"])),
            "min_memory_gb": draw(st.sampled_from([None, None, 8])),
            "need_by": draw(st.sampled_from([None, None, TODAY + datetime.timedelta(days=7)])),
            "replace": tuple(
                draw(st.sampled_from([(), (), ("psu",), ("case", "drive"), ("cooler",), ("graphics",)]))
            ),
        }
        unwanted = draw(st.lists(st.sampled_from(ids), max_size=1))
        chosen["without"] = tuple(unwanted)
        if draw(st.integers(0, 5)) == 0:
            chosen["including"] = tuple(
                draw(st.lists(st.sampled_from([i for i in ids if i not in unwanted]), max_size=1))
            )
    return Brief(**{**chosen, **fixed})


@st.composite
def instances(
    draw: st.DrawFn,
    most: int = 3,
    plain: bool = False,
    wishes: bool = True,
    bundles: bool = True,
    survey_changes: int = 4,
    **brief: Any,
) -> Instance:
    """A small instance: up to ``most`` boards, processors and kits.

    plain: no thresholds and least orders at sellers; wishes: minimums, dates, exclusions, replacements in the
    brief;
    bundles: up to one; survey_changes: how many matters of the PC may differ from the base; ``brief`` fixes
    wishes.
    """
    tables: dict[str, tuple[Any, ...]] = {}
    for table, base, groups, stem, changes in (
        ("boards", BOARD, BOARD_GROUPS, "board", 6),
        ("cpus", CPU, CPU_GROUPS, "cpu", 3),
        ("memory", KIT, KIT_GROUPS, "kit", 2),
        ("coolers", COOLER, COOLER_GROUPS, "cooler", 2),
    ):
        rows = [replace(base, id=f"{stem}-0", name=f"{stem} 0")]
        for number in range(1, draw(st.integers(1, most if table != "coolers" else 2))):
            changed = draw(facts(groups, changes))
            rows.append(replace(base, id=f"{stem}-{number}", name=f"{stem} {number}", **changed))
        tables[table] = tuple(rows)
    chosen = draw(st.lists(st.sampled_from(EXTRAS), min_size=4, max_size=len(EXTRAS), unique=True))
    tables["extras"] = tuple(sorted(chosen, key=lambda e: e.id))
    tables["psus"] = (
        (replace(PSU, id="psu-0", name="psu 0", rated_w=450, cpu_plugs=("8", "4")),)
        if draw(st.booleans())
        else ()
    )
    tables["cases"] = (
        (replace(CASE, id="case-0", name="case 0", max_cooler_height_mm=165),) if draw(st.booleans()) else ()
    )
    drive = DrivePart("drive-0", "drive 0", None, "ssd", "m2-nvme", None, 3, 4, "m", 80, 2400, 500)
    tables["drives"] = (drive,) if draw(st.booleans()) else ()
    tables["graphics"] = ()
    if draw(st.integers(0, 2)) == 0:
        rows = [replace(GRAPHICS, id="graphics-0", name="card 0", **draw(facts(GRAPHICS_GROUPS, 2)))]
        if draw(st.booleans()):
            changed = draw(facts(GRAPHICS_GROUPS, 1))
            rows.append(replace(rows[0], id="graphics-1", name="card 1", **changed))
        tables["graphics"] = tuple(rows)
    tables["sellers"] = shops = draw(sellers(plain=plain))
    listed: list[Offer] = []
    for table in PART_TABLES:
        for row in tables[table]:
            listed += draw(
                offers(row.id, shops, table == "boards", row.id in ("board-0", "cpu-0", "kit-0", "cooler-0"))
            )
    tables["offers"] = tuple(listed)
    tables["bundles"] = ()
    if bundles and draw(st.integers(0, 2)) == 0:
        items = [
            (f"board-{draw(st.integers(0, len(tables['boards']) - 1))}", 1),
            (f"cpu-{draw(st.integers(0, len(tables['cpus']) - 1))}", 1),
        ]
        if draw(st.booleans()):
            items.append(("kit-0", draw(st.integers(1, 2))))
        if draw(st.booleans()):
            items.append((f"cooler-{draw(st.integers(0, len(tables['coolers']) - 1))}", 1))
        items = items[draw(st.sampled_from([0, 0, 1])) :]
        price, stock = draw(st.integers(4, 80)) * 100, draw(st.sampled_from([None, 0, 1]))
        tables["bundles"] = (
            Bundle(
                "set-0", "set 0", "parts", tuple(sorted(items)), draw(st.sampled_from(shops)).id, price, stock
            ),
        )
    survey = make_survey(**draw(facts(SURVEY_GROUPS, survey_changes)))
    ids = [row.id for table in PART_TABLES for row in tables[table]]
    return Instance(survey, draw(briefs(ids, wishes, **brief)), tables)


def problems(**choices: Any) -> st.SearchStrategy[Problem]:
    """Joined problems; arguments as for ``instances``."""
    return instances(**choices).map(lambda instance: instance.problem())


@st.composite
def hard_problems(draw: st.DrawFn) -> Problem:
    """Tiny catalogues with wishes that are hard to meet."""
    wishes: dict[str, Any] = {
        "budget": draw(st.sampled_from(["12.00", "30.00", "80.00", None])),
        "min_speedup": draw(st.sampled_from(["1.2", "2", "9", None])),
        "min_memory_gb": draw(st.sampled_from([None, 16, 256])),
        "need_by": draw(
            st.sampled_from([None, TODAY + datetime.timedelta(days=2), TODAY + datetime.timedelta(days=6)])
        ),
        "replace": draw(st.sampled_from([(), (), ("psu",)])),
    }
    instance = draw(instances(most=2, survey_changes=3, **wishes))
    return instance.problem()


# -- a catalogue as files ----------------------------------------------------------------------------------------------

_JOINERS = {"plugs": "+", "ints": "+"}


def cell(value: Any, kind: str) -> str:
    """A value as the cell of a column of that type (the inverse of what the loader reads)."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if kind == "money":
        return format_amount(value)
    if isinstance(value, tuple):
        return _JOINERS.get(kind, " ").join(_item(item, kind) for item in value) or "none"
    return str(value)


def _item(item: Any, kind: str) -> str:
    if isinstance(item, Slot):
        return f"{item.kind}:{item.lanes}" if item.lanes else item.kind
    if isinstance(item, M2Socket):
        lost = [
            ",".join(names) or str(count)
            for count, names in (item.ports_taken("m2-nvme"), item.ports_taken("m2-sata"))
        ]
        link = f"{item.pcie_gen}x{item.pcie_lanes}"
        return ":".join([item.key, str(item.longest_mm), ",".join(item.protocols), link, *lost])
    if isinstance(item, tuple):
        return ("*" if kind == "counts" else ":").join(str(part) for part in item)
    return str(item)


def table_text(table: str, rows: Sequence[Any]) -> str:
    """One table as CSV text with every column."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns()[table])
    for row in rows:
        writer.writerow(
            [
                _cell_of(row, name, column.type.partition(":")[0], column.required)
                for name, column in columns()[table].items()
            ]
        )
    return out.getvalue()


def _cell_of(row: Any, name: str, kind: str, required: bool) -> str:
    value = getattr(row, name)
    return "" if value is None and not required and kind in ("money", "date", "text") else cell(value, kind)


def shuffled(text: str, rng: random.Random) -> str:
    """The same table with rows and columns in another order, CRLF line ends, empty lines and a byte order
    mark."""
    header, *rows = csv.reader(io.StringIO(text, newline=""))
    rng.shuffle(rows)
    order = rng.sample(range(len(header)), len(header))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    for row in (header, *rows):
        writer.writerow([row[i] for i in order])
        if rng.random() < 0.1:
            writer.writerow([])
    return "\ufeff" + out.getvalue()


def set_cell(folder: Path, table: str, line: int, column: str, value: str) -> None:
    """One cell of a table."""
    path = folder / f"{table}.csv"
    rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8"))))
    rows[line - 1][rows[0].index(column)] = value
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    path.write_text(out.getvalue(), encoding="utf-8")


def write_catalog(folder: Path, tables: Mapping[str, Sequence[Any]], currency: str = "EUR") -> Path:
    """A catalogue folder that loads as these tables."""
    folder.mkdir(parents=True, exist_ok=True)
    reference = "\n".join(f"{f.name} = {getattr(REFERENCE, f.name)}" for f in fields(REFERENCE))
    head = (
        f'name = "test"\ncurrency = "{currency}"\nas_of = {TODAY}\norigin = "invented for'
        f' tests"\n[reference]\n{reference}\n'
    )
    (folder / "catalog.toml").write_text(head, encoding="utf-8")
    for table in columns():
        (folder / f"{table}.csv").write_text(table_text(table, tables.get(table, ())), encoding="utf-8")
    return folder
