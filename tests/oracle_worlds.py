"""Small worlds for the oracle: a PC, a catalogue and a brief around the limits of the rules, by hypothesis.

``worlds()``: a feasible plan is planted first (``board-a``, ``cpu-a``, ``kit-a`` fit the PC); then one to
four themes are drawn and the facts of those themes are varied around the limits, in the catalogue, the PC and
the brief. All parts, sellers and prices are invented.
"""

from __future__ import annotations

import datetime
import random
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from hypothesis import strategies as st
from support import (
    BOARD,
    CASE,
    COOLER,
    CPU,
    KIT,
    MEMORY,
    OLD_BOARD,
    OLD_COOLER,
    OLD_CPU,
    PSU,
    SYSTEM_DRIVE,
    TODAY,
    make_catalog,
    make_survey,
)

from partsolver.catalog.records import Bundle, DrivePart, Extra, GraphicsPart, Offer, Seller
from partsolver.catalog.sockets import M2Socket, Slot
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card, Device, Display, Drive, OperatingSystem, Pc
from partsolver.wishes.brief import Brief

# ---------------------------------------------------------------- left out, because product and oracle differ there
# (each with the sentence of the specification; take the line out when the difference is settled) Found by
# this oracle and repaired since (test_repaired.py holds the smallest problem of each); the generator still
# avoids them.
LEFT_OUT: tuple[str, ...] = (
    (
        "psu: unknown pin order of a PC that is known not to be a maker's (pc.brand False): the product asks"
        " and lets the plan stand, power.pinout says 'An unknown pin order therefore blocks'"
    ),
    (
        "brief: Secure Boot wanted where no system is kept or asked for: the product ignores the wish,"
        " os.firmware says 'where the system or the owner wants that'"
    ),
    (
        "sellers: a delivery charge that equals a price difference of two equal parts: pruning then leaves"
        " out the part whose key comes first, design.md section 4 says 'then part ids'"
    ),
    (
        "brief: an excluded extra that nobody has to buy (paste, licence, shield, standoffs): the product"
        " refuses the plan, the rules say 'never a refusal', 'never an exclusion', 'the plan stands'"
    ),
)
SOFT = ("thermal-paste", "os-licence", "io-shield", "standoffs")


THEMES = (
    "fit",
    "cooler",
    "platform",
    "memory",
    "power",
    "storage",
    "picture",
    "ports",
    "system",
    "buying",
    "replace",
)


Choose = Callable[[Sequence[Any]], Any]


class _Draw:
    """Chooses by theme: the first value is the base one, and the only one where the theme is not chosen."""

    def __init__(self, choose: Choose) -> None:
        self.any = choose
        self.themes: tuple[str, ...] = ()
        self.themes = tuple(self.some(THEMES, 1, 3))

    def one(self, theme: str, *values: Any) -> Any:
        usual = (values[0],) * (len(values) // 2)  # a good part of the facts stays where the plan was planted
        return self.any(usual + values) if theme in self.themes else values[0]

    def some(self, values: Sequence[Any], least: int, most: int) -> list[Any]:
        """Different members of ``values``, at least and at most so many."""
        left, chosen = list(values), []
        for _ in range(self.any(range(min(least, len(left)), min(most, len(left)) + 1))):
            chosen.append(left.pop(self.any(range(len(left)))))
        return chosen

    def many(self, theme: str, values: Sequence[Any], most: int) -> list[Any]:
        return self.some(values, 1, most) if theme in self.themes else []


FORMS = (
    ("microatx", 244, 220),
    ("microatx", 244, 244),
    ("microatx", 226, 185),
    ("mini-itx", 170, 170),
    ("atx", 305, 244),
    ("atx", 240, 244),
    ("flexatx", 229, 191),
    ("ssi-ceb", 305, 267),
    ("own", 244, 220),
)
HOLES = (None, None, tuple("CFHJ"), tuple("BCFHJR"), tuple("CFH"), tuple("CFHJLM"))
X16, X4, X1, PCI = Slot("x16", 16), Slot("x4", 4), Slot("x1", 1), Slot("pci", 0)
M2 = M2Socket("m", 80, ("nvme", "sata"), 3, 4, 2, 1)
OLD = replace(
    OLD_BOARD,
    slots=(X16, X1, PCI),
    pata_channels=1,
    floppy_headers=1,
    ps2_ports=2,
    serial_ports=1,
    parallel_ports=1,
    outputs=("vga", "dvi-d"),
    load_mw=24000,
)

EXTRAS = (
    Extra("paste-1", "paste", kind="thermal-paste"),
    Extra("paste-2", "paste, more", kind="thermal-paste"),
    Extra("standoff-1", "one standoff", kind="standoffs", count=1),
    Extra("standoff-4", "four standoffs", kind="standoffs", count=4),
    Extra("shield-a", "shield", kind="io-shield", takes=("board-a", "board-c")),
    Extra("shield-b", "shield", kind="io-shield", takes=("board-b",)),
    Extra("flash-any", "update", kind="firmware-update"),
    Extra("flash-b", "update of one board", kind="firmware-update", takes=("board-b",)),
    Extra(
        "cpu4",
        "4 from one peripheral",
        kind="cpu-plug-adapter",
        takes=("peripheral",),
        gives=("4",),
        count=1,
        limit_ma=9000,
    ),
    Extra(
        "cpu8",
        "8 from two",
        kind="cpu-plug-adapter",
        takes=("peripheral",),
        gives=("8",),
        count=2,
        limit_ma=12000,
    ),
    Extra(
        "card6",
        "6 from two",
        kind="card-plug-adapter",
        takes=("peripheral",),
        gives=("6",),
        count=2,
        limit_ma=6250,
    ),
    Extra(
        "card16",
        "16 from two 8",
        kind="card-plug-adapter",
        takes=("8",),
        gives=("16",),
        count=2,
    ),
    Extra(
        "card6-one",
        "6 from one",
        kind="card-plug-adapter",
        takes=("peripheral",),
        gives=("6",),
        count=1,
        limit_ma=6250,
    ),
    Extra(
        "split",
        "SATA splitter",
        kind="sata-power-splitter",
        takes=("sata",),
        gives=("sata",),
        count=1,
        limit_ma=4500,
    ),
    Extra(
        "split-weak",
        "weak splitter",
        kind="sata-power-splitter",
        takes=("sata",),
        gives=("sata",),
        count=1,
        limit_ma=1000,
    ),
    Extra(
        "sata-lead",
        "SATA lead",
        kind="sata-power-from-peripheral",
        takes=("peripheral",),
        gives=("sata",),
        count=1,
    ),
    Extra(
        "perip-lead",
        "peripheral lead",
        kind="peripheral-from-sata",
        takes=("sata",),
        gives=("peripheral",),
        count=1,
    ),
    Extra(
        "sata-2",
        "two ports",
        kind="sata-controller",
        takes=("x1",),
        gives=("sata",),
        count=2,
        low_profile=True,
    ),
    Extra("sata-4", "four ports", kind="sata-controller", takes=("x4",), gives=("sata",), count=4),
    Extra("pata-card", "PATA card", kind="pata-controller", takes=("x1",), gives=("pata",), count=1),
    Extra("pata-bridge", "bridge", kind="pata-drive-adapter", takes=("sata",), gives=("pata",), count=1),
    Extra("usb-box", "USB case", kind="usb-enclosure", takes=("usb",), gives=("pata",), count=1),
    Extra(
        "m2-card", "NVMe card", kind="m2-card", takes=("x4",), gives=("m2-nvme",), count=1, low_profile=True
    ),
    Extra("usb-floppy", "USB floppy", kind="usb-floppy", takes=("usb",), gives=("floppy",), count=1),
    Extra(
        "hdmi-vga",
        "converter",
        kind="display-adapter",
        takes=("hdmi",),
        gives=("vga",),
        active=True,
        limit_khz=165000,
    ),
    Extra(
        "hdmi-vga-slow",
        "converter",
        kind="display-adapter",
        takes=("hdmi",),
        gives=("vga",),
        active=True,
        limit_khz=108000,
    ),
    Extra(
        "dp-vga",
        "converter",
        kind="display-adapter",
        takes=("dp",),
        gives=("vga",),
        active=True,
        limit_khz=200000,
    ),
    Extra("hdmi-dvi", "lead", kind="display-adapter", takes=("hdmi",), gives=("dvi-d",), limit_khz=165000),
    Extra(
        "dp-hdmi",
        "converter",
        kind="display-adapter",
        takes=("dp",),
        gives=("hdmi",),
        active=True,
        limit_khz=340000,
    ),
    Extra("bracket-ser", "serial bracket", kind="serial-bracket", gives=("serial",), low_profile=True),
    Extra("bracket-par", "parallel bracket", kind="parallel-bracket", gives=("parallel",)),
    Extra("usb-ser", "serial lead", kind="usb-serial", takes=("usb",), gives=("serial",)),
    Extra("usb-par", "parallel lead", kind="usb-parallel", takes=("usb",), gives=("parallel",)),
    Extra("hub", "USB hub", kind="usb-hub", takes=("usb",), gives=("usb",), count=4),
    Extra("usb-ps2", "PS/2 lead", kind="usb-ps2", takes=("usb",), gives=("ps2",), count=2),
    Extra("tpm", "module", kind="tpm-module", takes=("header",), gives=("2.0",)),
    Extra("licence-a", "licence", kind="os-licence", gives=("desktop-2021", "desktop-2015")),
    Extra("licence-b", "licence", kind="os-licence", gives=("desktop-2015",)),
)
EXTRAS_OF = {
    "fit": ("standoffs", "io-shield"),
    "cooler": ("thermal-paste",),
    "platform": ("firmware-update", "thermal-paste"),
    "power": (
        "cpu-plug-adapter",
        "card-plug-adapter",
        "sata-power-splitter",
        "sata-power-from-peripheral",
        "peripheral-from-sata",
    ),
    "storage": (
        "sata-controller",
        "pata-controller",
        "pata-drive-adapter",
        "usb-enclosure",
        "m2-card",
        "usb-floppy",
        "sata-power-splitter",
    ),
    "picture": ("display-adapter",),
    "ports": ("serial-bracket", "parallel-bracket", "usb-serial", "usb-parallel", "usb-ps2", "usb-hub"),
    "system": ("tpm-module", "os-licence"),
    "buying": ("thermal-paste", "os-licence"),
    "replace": ("thermal-paste", "standoffs"),
}


def _board(d: _Draw, name: str) -> Any:
    form, width, depth = d.one("fit", *FORMS)
    old = d.one("platform", False, False, False, True)
    six, three = d.one("storage", (4, 0), (1, 0), (2, 0), (0, 2), (1, 1))
    families = (
        (("fam-0", "1.00"),)
        if old
        else d.one(
            "platform",
            (("fam-1", "1.00"),),
            (("fam-1", "1.20"),),
            (("fam-1", "1.00"), ("fam-2", "1.9")),
            (("fam-2", "1.00"),),
            (("fam-1", "1.05"), ("fam-1", "1.15")),
            None,
        )
    )
    return replace(
        BOARD,
        id=name,
        name=name,
        form_factor=form,
        width_mm=width,
        depth_mm=depth,
        holes=tuple("CFHJ") if form == "own" else d.one("fit", *HOLES),
        socket="sock-0" if old else d.one("platform", "sock-1", "sock-1", "sock-1", "sock-2"),
        cpu_families=families,
        firmware_shipped=d.one("platform", "1.10", "1.9", "1.20", "1.04", None),
        flash_without_cpu=d.one("platform", False, True),
        cpu_power_limit_w=d.one("platform", 150, 80, 79, 65, None),
        memory_generation="ddr3" if old else d.one("memory", "ddr4", "ddr4", "ddr3"),
        memory_module=d.one("memory", "dimm", "dimm", "so-dimm"),
        memory_slots=d.one("memory", 4, 2),
        memory_channels=d.one("memory", 2, 1),
        memory_max_mib=d.one("memory", 65536, 16384, 8192),
        memory_max_module_mib=d.one("memory", 16384, 8192, 4096, None),
        memory_voltage_mv=d.one("memory", None, None, 1500, 1100),
        memory_max_chip_mbit=d.one("memory", None, 8192, 4096, 2048),
        memory_max_rate_mts=d.one("memory", 2666, 2400, 3200, 2133),
        memory_two_per_channel_rate_mts=d.one("memory", None, 2133, 2400),
        memory_registered=(registered := d.one("memory", False, False, True)),
        memory_ecc="yes" if registered else d.one("memory", "no", "tolerated", "yes"),
        main_plug=d.one("power", "24", "24", "20", "own"),
        cpu_plugs=d.one("power", ("4",), ("8",), ("8", "4"), ()),
        slots=(
            d.one("storage", (X16, X1), (X16,), (X16, X1, X4), (X1,))
            if "picture" not in d.themes
            else d.one("picture", (X16, X1), (X1, X16), (X16,), (X1,), (X16, PCI))
        ),
        m2_slots=d.one(
            "storage",
            (M2,),
            (),
            (replace(M2, longest_mm=60),),
            (replace(M2, protocols=("sata",), key="b"),),
            (M2, replace(M2, sata_lost_nvme=1)),
            (replace(M2, sata_ports_nvme=("s1", "s2")), replace(M2, sata_ports_nvme=("s1", "s2"))),
        ),
        sata_6g_ports=six,
        sata_3g_ports=three,
        pata_channels=d.one("storage", 0, 1),
        floppy_headers=d.one("storage", 0, 1),
        outputs=d.one("picture", ("hdmi-1.4", "vga"), ("hdmi-1.4",), ("dp-1.2", "hdmi-1.4"), ("dvi-d",), ()),
        ps2_ports=d.one("ports", 1, 0, 2),
        serial_ports=d.one("ports", 0, 1),
        serial_headers=d.one("ports", 1, 0),
        parallel_ports=d.one("ports", 0, 1),
        parallel_headers=d.one("ports", 0, 1),
        usb_rear_ports=d.one("ports", 6, 2, 3, 1),
        usb2_headers=d.one("ports", 2, 0),
        firmware_modes=(
            d.one("system", ("legacy", "uefi"), ("uefi",), ("legacy",))
            if "storage" not in d.themes
            else d.one("storage", ("legacy", "uefi"), ("uefi",), ("legacy",))
        ),
        storage_modes=d.one("system", ("ahci", "ide"), ("ahci",)),
        secure_boot=d.one("system", True, False),
        tpm=d.one("system", "2.0", "header", "none"),
        nvme_boot=d.one("storage", True, False),
        shield=d.one("fit", "included", "missing", "integrated"),
        load_mw=d.one("power", 20000, None, 40000),
    )


def _cpu(d: _Draw, name: str) -> Any:
    old = d.one("platform", False, False, False, True)
    power = (
        d.one("platform", (65, 80), (65, 79), (65, None), (95, 120), (40, None))
        if "platform" in d.themes
        else d.one("power", (65, 80), (95, 150), (65, None), (35, 35), (125, 180))
    )
    if "cooler" in d.themes:
        power = d.one("cooler", (65, 80), (95, 80), (96, 80))
    return replace(
        CPU,
        id=name,
        name=name,
        tdp_w=power[0],
        power_limit_w=power[1],
        socket="sock-0" if old else d.one("platform", "sock-1", "sock-1", "sock-2"),
        family="fam-0" if old else d.one("platform", "fam-1", "fam-1", "fam-2"),
        memory_rates=(
            (("ddr3", 1600),)
            if old
            else d.one("memory", (("ddr4", 2666),), (("ddr4", 2400),), (("ddr3", 1600), ("ddr4", 2133)))
        ),
        memory_channels=d.one("memory", 2, 1),
        memory_max_mib=d.one("memory", 65536, None, 8192),
        serial_score=d.any((1500, 1490, 1510, 1200, 2000)),
        parallel_score=d.any((6000, 5900, 9000, 4000)),
        graphics_score=d.one("picture", 500, 0, 800),
        max_displays=d.one("picture", None, 1, 2),
        x86_level=d.one("system", 3, 2, 1),
        year=d.one("system", 2018, 2020, 2021),
        legacy_video=d.one("system", None, True, False),
        boxed_cooler=d.one("cooler", True, False),
        boxed_cooler_mm=d.one("cooler", None, 52),
    )


def _kit(d: _Draw, name: str) -> Any:
    registered = d.one("memory", False, False, False, True)
    return replace(
        KIT,
        id=name,
        name=name,
        modules=d.any((2, 1)),
        module_mib=d.any((4096, 2048, 8192)),
        rate_mts=d.any((2400, 2133, 2666)),
        registered=registered,
        generation=(
            "ddr3"
            if "platform" in d.themes and d.one("platform", False, True)
            else d.one("memory", "ddr4", "ddr4", "ddr3")
        ),
        ecc=registered or d.one("memory", False, False, True),
        module=d.one("memory", "dimm", "dimm", "so-dimm"),
        voltage_mv=d.one("memory", 1200, 1350, None, 1650),
        chips=d.one("memory", None, 8, 16),
        ranks=d.one("memory", None, 1, 2),
    )


def _cooler(d: _Draw, name: str) -> Any:
    return replace(
        COOLER,
        id=name,
        name=name,
        sockets=d.one("cooler", ("sock-1", "sock-0", "sock-2"), ("sock-1",), ("sock-0", "sock-2")),
        height_mm=d.one("cooler", 120, 150, 151, 60),
        rated_w=d.one("cooler", 95, 65, 64, 125),
        paste_included=d.one("cooler", True, False),
    )


def _survey(d: _Draw) -> Any:
    drives: list[Drive] = [SYSTEM_DRIVE]
    if "storage" in d.themes:
        drives[0] = SYSTEM_DRIVE.model_copy(
            update={
                "start_mode": (mode := d.one("storage", "uefi", "legacy", None)),
                "partition_table": (
                    d.one("storage", "gpt", "mbr") if mode is None else "mbr" if mode == "legacy" else "gpt"
                ),
                "sata_gbps10": d.one("storage", 60, 30),
                "read_mbs": d.one("storage", 540, 250),
            }
        )
        more = (
            Drive(
                name="disk",
                kind="hdd35",
                interface="sata",
                sata_gbps10=30,
                read_mbs=150,
                raid=d.one("storage", None, "none", "1", "5"),
                copied=d.one("storage", None, True),
            ),
            Drive(name="optical", kind="optical", interface="sata", sata_gbps10=15),
            Drive(name="old optical", kind="optical", interface="pata"),
            Drive(name="old disk", kind="hdd35", interface="pata", read_mbs=60),
            Drive(name="floppy", kind="floppy", interface="floppy", bay=d.one("storage", "3.5", "5.25")),
        )
        drives += d.many("storage", more, 3)
    elif "power" in d.themes:
        more = (
            Drive(
                name="disk",
                kind="hdd35",
                interface="sata",
                sata_gbps10=30,
                read_mbs=150,
                start_12v_ma=d.one("power", None, 2000),
            ),
            Drive(name="disk 2", kind="hdd35", interface="sata", sata_gbps10=30, read_mbs=150),
            Drive(name="small disk", kind="hdd25", interface="sata", sata_gbps10=30, read_mbs=90),
        )
        drives += d.many("power", more, 3)
    if "picture" in d.themes and "storage" not in d.themes and d.one("picture", False, False, True):
        drives[0] = drives[0].model_copy(update={"start_mode": "legacy", "partition_table": "mbr"})
    pata = sum(x.interface == "pata" for x in drives)
    cards: list[Card] = []
    if "power" in d.themes or "picture" in d.themes:
        load, plugs, length = d.any(
            ((24000, (), 170), (60000, (), 200), (120000, ("6",), 240), (200000, ("16",), 240))
        )
        load = d.one("power", load, load, None) if plugs else load
        graphics = Card(
            name="graphics",
            kind="graphics",
            bus="pcie",
            lanes=16,
            height="full",
            width_slots=d.one("picture", 1, 2),
            length_mm=length,
            power_plugs=plugs,
            load_mw=load,
            graphics_score=700,
            outputs=("dvi-i", "vga"),
            required=d.one("picture", True, False),
            uefi=d.one("picture", None, True, False),
            legacy_video=d.one("picture", None, False),
            max_displays=d.one("picture", None, 1),
        )
        cards += d.any(((graphics,), (graphics,), ()))
        if not cards or cards[0].width_slots == 1:
            net = Card(
                name="net",
                kind="network",
                bus="pcie",
                lanes=1,
                height="full",
                width_slots=1,
                power_plugs=(),
                load_mw=6000,
            )
            cards += d.one("picture", (), (net,), (net.model_copy(update={"required": False}),))
    plain = Display(name="screen", inputs=("vga",), width_px=1680, height_px=1050, refresh_hz=60)
    screens = [
        plain,
        plain.model_copy(update={"inputs": ("dvi-d",), "width_px": 1920, "height_px": 1080}),
        plain.model_copy(update={"inputs": ("hdmi-1.4",), "width_px": 1920, "height_px": 1200}),
        plain.model_copy(update={"inputs": ("vga", "dvi-d"), "width_px": 1280, "height_px": 1024}),
    ]
    gadgets = (
        Device(name="keyboard", port="ps2"),
        Device(name="mouse", port="ps2"),
        Device(name="plotter", port="serial", direct_hardware_access=d.one("ports", False, True)),
        Device(name="printer", port="parallel", direct_hardware_access=d.one("ports", False, True)),
        Device(name="scanner", port="usb"),
        Device(name="camera", port="usb"),
    )
    case = replace(
        CASE,
        max_board_width_mm=d.one("fit", 244, None, 243, 305),
        max_board_depth_mm=d.one("fit", 244, None, 230, 220),
        form_factor=d.one("fit", "microatx", "atx", "mini-itx"),
        aperture=d.one("fit", "atx", "atx", "atx", "fixed"),
        max_cooler_height_mm=d.one("cooler", 150, None, 119, 45, 39),
        psu_place=d.one("cooler", None, "top", "over-board"),
        height_under_psu_mm=d.one("cooler", None, 140, 70, 44),
        standoffs=d.one("fit", tuple("BCFHJLMR"), tuple("CFHJ"), tuple("BCFHJLM"), None),
        standoff_positions=d.one("fit", tuple("BCFHJLMRS"), None, tuple("BCFHJ")),
        standoffs_fixed=d.one("fit", (), (), ("L",), ("R",)),
        fans=d.one("power", 1, 3),
        bays_525=d.one("storage", None, 1, 0),
        bays_35=d.one("storage", None, 1, 2),
    )
    peripheral = d.one("power", 3, 0, 1, 2) if "power" in d.themes else 3
    psu = replace(
        PSU,
        year=d.one("power", 2018, 2022, 2012, None),
        rated_w=d.one("power", 400, 300, 250),
        main_plug=d.one("power", "24", "24", "20"),
        cpu_plugs=d.one("power", ("8",), (), ("4",), (), ("4", "4"), None),
        card_plugs=d.one("power", ("6",), (), (), ("8",), ("8", "8")),
        sata_plugs=d.one("power", 4, 2, 1, 3),
        peripheral_plugs=max(peripheral, pata),
        pinout=d.one("power", "atx", "atx", "own", None),
        condition=d.one("power", "good", "good", "good", "bulged", "noisy"),
        peripheral_leads=d.one("power", None, 1, 2),
        sata_leads=d.one("power", None, 1, 2),
        cpu_rail=d.one("power", None, 0, 1, 2),
        rail_5vsb_ma=d.one("power", None, 2000, 700, 600),
    )
    if "power" in d.themes:
        label = d.one(
            "power",
            ((30000,), 30000, 110000),
            ((18000,), None, 90000),
            ((10000, 10000), None, None),
            ((8000, 14000), None, None),
            ((9000, 8000), 16000, None),
            ((14000,), 14000, 60000),
        )
        psu = replace(
            psu,
            rail_12v_ma=label[0],
            combined_12v_ma=label[1],
            combined_5v_3v3_mw=label[2],
            peak_12v_ma=d.one("power", None, 9000, 12000),
            rail_5v_ma=d.one("power", 20000, 8000),
        )
    system = d.one(
        "system",
        ("linux-x86-64-v1", "none-needed"),
        ("desktop-2015", "oem"),
        ("desktop-2015", "retail"),
        ("desktop-2021", None),
        ("linux-x86-64-v2", "none-needed"),
        ("linux-32bit", "none-needed"),
        ("desktop-2015", "upgraded"),
        ("desktop-2009", "retail"),
        ("desktop-2001-32bit", "retail"),
    )
    drives[0] = drives[0].model_copy(update={"storage_mode": d.one("system", "ahci", "ide", None)})
    if "buying" in d.themes and "system" not in d.themes:
        system = d.one("buying", ("linux-x86-64-v1", "none-needed"), ("desktop-2015", "oem"))
    return make_survey(
        pc=Pc(
            name="test PC",
            brand=psu.pinout is None,
            always_on=d.one("power", False, True),
            board_works=d.one("platform", True, True, False),
            memory_works=d.one("memory", True, True, False),
        ),
        board=replace(
            OLD,
            slots=(X16, PCI, X1) if any(c.width_slots == 2 for c in cards) else OLD.slots,
            cpu_plugs=("8",) if psu.cpu_plugs else ("4",),
            main_plug="20" if psu.main_plug == "20" else "24",
        ),
        cpu=OLD_CPU,
        case=case,
        psu=psu,
        drives=tuple(drives),
        cards=tuple(cards),
        cooler=replace(
            OLD_COOLER,
            sockets=d.one("cooler", ("sock-0",), ("sock-0", "sock-1"), None),
            rated_w=d.one("cooler", 70, 65, None),
        ),
        memory=(
            MEMORY.model_copy(
                update={
                    "generation": "ddr3",
                    "capacity_mib": d.one("memory", 2048, 4096, 1024),
                    "count": d.one("memory", 2, 1),
                    "rate_mts": d.one("memory", 1333, 1600),
                    "voltage_mv": d.one("memory", None, 1500, 1350),
                    "chips": d.one("memory", None, 8, 16),
                }
            ),
        ),
        displays=tuple(
            screen.model_copy(update={"name": f"screen {n}"})
            for n, screen in enumerate(d.some(screens, 1, 2) if "picture" in d.themes else ())
        ),
        devices=tuple(d.many("ports", gadgets, 4)),
        os=OperatingSystem(family=system[0], licence=system[1], keep=d.one("system", True, True, False)),
    )


def _day(n: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=n)


def _offers(d: _Draw, parts: Sequence[Any], sellers: Sequence[Seller]) -> list[Offer]:
    offers = []
    for part in parts:
        count = d.one("buying", 1, 2, 2, 0) if part.id != "board-a" else 1
        for n in range(count):
            board = part.id.startswith("board")
            offers.append(
                Offer(
                    part=part.id,
                    seller=d.any(sellers).id,
                    price=d.any((1000, 1200, 1500, 990, 2500, 400)) + n,
                    stock=d.one("buying", None, 1, 2, 0),
                    available_on=d.one("buying", None, None, _day(4), _day(-3)),
                    valid_until=d.one("buying", None, None, _day(0), _day(-1)),
                    firmware=d.one("platform", None, None, "1.20", "1.04") if board else None,
                    shield=d.one("fit", None, None, "missing", "included") if board else None,
                )
            )
    return offers


def _extras(d: _Draw) -> list[Extra]:
    kinds = {kind for theme in d.themes for kind in EXTRAS_OF.get(theme, ())}
    listed = [e for e in EXTRAS if e.kind in kinds]
    if not listed:
        return []
    return sorted(d.some(listed, 4, 8), key=lambda e: e.id)


def _some(
    d: _Draw, make: Callable[[_Draw, str], Any], base: Any, kind: str, least: int, most: int
) -> list[Any]:
    """The planted part and varied others; now and then a copy of another one, as a stand-in."""
    found = [base] if base is not None else []
    count = d.any(range(least, most + 1))
    for n in range(len(found), count):
        name = f"{kind}-{'abcde'[n]}"
        twin = found and d.any((False, False, False, True))
        found.append(replace(d.any(found), id=name, name=name) if twin else make(d, name))
    return found


def _replacements(d: _Draw) -> dict[str, list[Any]]:
    if "replace" not in d.themes:
        return {"psus": [], "cases": [], "drives": []}
    psu = replace(PSU, year=2026, rail_12v_ma=(40000,), combined_12v_ma=40000, rated_w=500)
    psus = [
        replace(
            psu,
            id="psu-a",
            form=d.one("replace", "atx", "sfx", "tfx"),
            cpu_plugs=d.one("replace", ("8",), ("4",)),
        ),
        replace(psu, id="psu-b", rated_w=d.one("replace", 500, 300), sata_plugs=d.one("replace", 4, 2)),
    ]
    case = replace(CASE, form_factor="atx", max_board_width_mm=305)
    cases = [
        replace(
            case,
            id="case-a",
            psu_form=d.one("replace", "atx", "sfx"),
            max_cooler_height_mm=d.one("replace", 150, 110),
            fans=d.one("replace", 1, 2),
            slot_height=d.one("replace", "full", "low"),
        ),
        replace(
            case,
            id="case-b",
            standoffs=None,
            standoff_positions=d.one("replace", tuple("ABCFGHJKLMRS"), None),
            slot_openings=d.one("replace", 7, 1),
            max_card_length_mm=d.one("replace", 280, 180),
        ),
    ]
    nvme = DrivePart(
        id="drive-a",
        name="nvme",
        kind="ssd",
        interface="m2-nvme",
        pcie_gen=3,
        pcie_lanes=4,
        m2_key="m",
        m2_length_mm=80,
        read_mbs=d.one("replace", 2000, 1500),
        capacity_gb=500,
    )
    sata = DrivePart(
        id="drive-b", name="sata", kind="ssd", interface="sata", sata_gbps10=60, read_mbs=550, capacity_gb=480
    )
    disk = DrivePart(
        id="drive-c",
        name="disk",
        kind="hdd35",
        interface="sata",
        sata_gbps10=60,
        read_mbs=180,
        capacity_gb=1000,
    )
    return {
        "psus": psus[: d.any(range(3))],
        "cases": cases[: d.any(range(3))],
        "drives": d.many("replace", (nvme, sata, disk), 2),
    }


def _graphics(d: _Draw) -> list[GraphicsPart]:
    """Graphics cards on sale, in worlds of the picture, of power and of replacing."""
    if not {"power", "picture", "replace"} & set(d.themes):
        return []
    found = []
    for n in range(d.any((0, 1, 2))):
        load, plugs, length = d.any(
            ((24000, (), 170), (75000, (), 200), (120000, ("6",), 240), (180000, ("8",), 260))
        )
        found.append(
            GraphicsPart(
                id=f"graphics-{'ab'[n]}",
                name=f"card {n}",
                bus="pcie",
                lanes=d.any((16, 16, 8)),
                height=d.any(("full", "full", "low")),
                width_slots=d.any((1, 2)),
                length_mm=length,
                power_plugs=plugs,
                load_mw=d.one("power", load, load, None) if plugs else load,
                graphics_score=d.any((300, 700, 1500)),
                outputs=d.any((("dvi-i", "vga"), ("hdmi-1.4", "dp-1.2"), ("dvi-d",))),
                max_displays=d.one("picture", None, 1, 2),
                uefi=d.one("picture", True, False),
                legacy_video=d.one("picture", True, False),
            )
        )
    return found


def _bundles(d: _Draw, parts: dict[str, list[Any]], sellers: Sequence[Seller]) -> list[Bundle]:
    bundles = []
    for n in range(d.one("buying", 0, 1, 2)):
        items = [(d.any(parts["boards"]).id, 1), (d.any(parts["cpus"]).id, 1)]
        items += d.one("buying", (), ((d.any((parts["memory"])).id, 1),))
        items += (
            [(d.any(parts["coolers"]).id, 1)] if parts["coolers"] and d.one("buying", False, True) else []
        )
        items = items[d.one("buying", 0, 0, 1) :]
        bundles.append(
            Bundle(
                id=f"bundle-{n}",
                name="bundle",
                kind=d.one("buying", "parts", "parts", "complete-pc"),
                items=tuple(items),
                seller=d.any(sellers).id,
                price=d.any((1800, 2400, 1200)),
                stock=d.one("buying", None, 1, 0),
                valid_until=d.one("buying", None, _day(0), _day(-1)),
                available_on=d.one("buying", None, None, _day(4)),
            )
        )
    return bundles


def _brief(d: _Draw, ids: Sequence[str], keep: bool) -> Brief:
    without, including = (), ()
    wish = d.one("buying", None, "without", "with", None)
    names = [*ids, "kept-board", "kept-cpu", "kept-memory", "kept-cooler"]
    if wish == "without":
        without = tuple(d.some(names, 1, 2))
    elif wish == "with":
        including = tuple(d.some(names, 1, 2))
    return Brief(
        budget=d.one("buying", "100.00", "45.00", "36.00", "60.00", None),
        use=d.any(("office", "games", "video", "server")),
        goal=d.any(("speed", "speed", "cost")),
        resolution_percent=d.any(("1", "0", "2.5", "10")),
        alternatives=d.any((3, 5, 8)),
        min_speedup=d.any((None, None, None, None, "1.3", "2.05")),
        min_memory_gb=d.one("memory", None, 8, 6),
        need_by=d.one("buying", None, _day(3), _day(5)),
        without=without,
        including=including,
        replace=tuple(d.many("replace", ("psu", "case", "drive", "graphics"), 3))
        if "replace" in d.themes
        else (),
        os=(family := d.one("system", None, None, "linux-x86-64-v3", "linux-x86-64-v2")),
        secure_boot=d.one("system", False, False, True) if keep or family else False,
        settings=d.one("system", {}, {"linux_min_memory_mib": 8192, "desktop_2015_min_memory_mib": 4096}),
    )


def _changes(base: Any, record: Any) -> str:
    names = getattr(type(record), "model_fields", None) or record.__slots__
    pairs = ((n, getattr(record, n), getattr(base, n)) for n in names if n not in ("id", "name"))
    return ", ".join(f"{n}={value!r}" for n, value, usual in pairs if value != usual) or "as planted"


class World:
    """A problem that prints as what differs from the base PC and the planted parts."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem

    def __repr__(self) -> str:
        survey, tables = self.problem.survey, self.problem.source.tables
        base = make_survey(board=OLD)
        lines = [
            f"survey {part}: {_changes(getattr(base, part), getattr(survey, part))}"
            for part in ("pc", "case", "psu", "board", "cooler", "os")
        ]
        plain = {"drives": SYSTEM_DRIVE, "memory": MEMORY}
        lines += [
            f"survey {rows}: {_changes(plain[rows], r)}"
            for rows in ("drives", "memory")
            for r in getattr(survey, rows)
        ]
        lines += [f"survey: {row!r}" for row in (*survey.cards, *survey.displays, *survey.devices)]
        planted = {"boards": BOARD, "cpus": CPU, "memory": KIT, "coolers": COOLER, "psus": PSU, "cases": CASE}
        planted |= {
            "extras": Extra("", ""),
            "drives": DrivePart("", ""),
            "graphics": GraphicsPart("", ""),
            "sellers": Seller("", ""),
        }
        lines += [f"{row.id}: {_changes(planted[table], row)}" for table in planted for row in tables[table]]
        lines += [f"offer: {_changes(Offer('', '', 0), row)}" for row in tables["offers"]]
        lines += [repr(bundle) for bundle in tables["bundles"]] + [
            f"brief: {_changes(Brief(), self.problem.brief)}"
        ]
        return "World:\n  " + "\n  ".join(lines)


@st.composite
def worlds(draw: Callable[..., Any]) -> World:
    """A small problem by hypothesis. Shrinks towards the planted parts, one seller and no wishes."""
    return _world(_Draw(lambda values: draw(st.sampled_from(values))))


def world_of(number: int) -> World:
    """A small problem by its number. Numbered worlds are independent; hypothesis makes many relatives of one
    world."""
    return _world(_Draw(random.Random(number).choice))


def _world(d: _Draw) -> World:
    survey = _survey(d)
    parts: dict[str, list[Any]] = {
        "boards": _some(d, _board, BOARD, "board", 2, 4),
        "cpus": _some(d, _cpu, CPU, "cpu", 2, 4),
        "memory": _some(d, _kit, KIT, "kit", 2, 3),
        "coolers": _some(d, _cooler, None, "cooler", 0, 3),
        "extras": _extras(d),
        **_replacements(d),
        "graphics": _graphics(d),
    }
    sellers = [
        Seller(
            f"shop-{n}",
            "Shop",
            delivery=d.one("buying", 0, 487, 313),
            free_from=d.one("buying", None, 2000, 3500),
            minimum_order=d.one("buying", 0, 0, 1100, 2500),
            delivery_days=d.one("buying", 3, 1, 5),
        )
        for n in range(1 if "buying" not in d.themes else d.any((1, 2, 3)))
    ]
    everything = [p for rows in parts.values() for p in rows]
    bundles = _bundles(d, parts, sellers)
    offers = _offers(d, everything, sellers)
    if d.one("buying", False, False, True):
        # Something is sold only inside a bundle.
        inside = {bundle.items[0][0] for bundle in bundles}
        offers = [offer for offer in offers if offer.part not in inside]
    catalog = make_catalog(**parts, sellers=sellers, offers=offers, bundles=bundles)
    ids = [p.id for p in everything if getattr(p, "kind", "") not in SOFT] + [b.id for b in bundles]
    brief = _brief(d, ids, survey.os.keep)
    catalog = replace(catalog, marks=_marks(d, everything))
    return World(join(_optional(d, survey), catalog, brief))


def _optional(d: _Draw, survey: Any) -> Any:
    """Now and then the owner can do without something more of what the PC has."""
    rows = {
        name: tuple(
            row.model_copy(update={"required": False})
            if not getattr(row, "system", False) and d.any((False,) * 5 + (True,))
            else row
            for row in getattr(survey, name)
        )
        for name in ("cards", "drives", "displays", "devices")
    }
    return survey.model_copy(update=rows)


# Facts that a seller's title may hold.
TITLE_FACTS = (
    "form_factor",
    "socket",
    "memory_slots",
    "modules",
    "module_mib",
    "rate_mts",
    "tdp_w",
    "rated_w",
)


def _marks(d: _Draw, parts: Sequence[Any]) -> dict[str, str]:
    """In some worlds facts were read from titles: to be looked at before ordering, but facts."""
    if not d.any((False, False, True)):
        return {}
    held = {part.id: [name for name in TITLE_FACTS if name in part.__slots__] for part in parts}
    return {part: " ".join(f"{n}:title" for n in sorted(names)) for part, names in held.items() if names}
