"""Contexts of bench sheets for named situations; each is built once per session."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
import support as s

from partsolver.catalog.records import DrivePart, Extra, MemoryKit, Offer
from partsolver.catalog.sockets import M2Socket, Slot
from partsolver.plan.complete import draft_of
from partsolver.plan.make import make_plan
from partsolver.problem.candidates import Parts
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.sheet.context import Context, Origin
from partsolver.survey.model import Card, Device, Display, Drive, MemoryModule, OperatingSystem, Pc
from partsolver.wishes.brief import Brief

ORIGIN = Origin("plan.json", "1.2.3", solver="a solver", plan_digest="0" * 16, proven=True)
WINDOWS_LIKE = OperatingSystem(family="desktop-2015", licence="oem", tied_software=("accounts program",))
DISK = Drive(
    name="archive disk", kind="hdd35", interface="sata", sata_gbps10=30, power_plug="sata", year=2012
)
PATA = Drive(name="old burner", kind="optical", interface="pata", power_plug="peripheral", required=True)
FLOPPY = Drive(name="floppy drive", kind="floppy", interface="floppy", power_plug="floppy")
LEGACY_SSD = s.SYSTEM_DRIVE.model_copy(
    update={"partition_table": "mbr", "start_mode": "legacy", "storage_mode": None, "encrypted": True}
)
NVME = Drive(
    name="small nvme",
    kind="ssd",
    interface="m2-nvme",
    pcie_gen=3,
    pcie_lanes=4,
    m2_key="m",
    m2_length_mm=80,
    encrypted=False,
)


def context(problem: Problem, parts: Parts) -> Context:
    rules = all_rules()
    plan = make_plan(problem, draft_of(problem, parts, rules), rules, 1, 0, None)
    return Context(problem, plan, ORIGIN)


def _plain() -> Context:
    """New board, processor with its own cooler, memory; one SSD that starts by UEFI; a standoff too many."""
    tray = replace(s.CASE, standoffs=tuple("BCFHJRS"))
    problem = s.make_problem(s.make_survey(case=tray), boards=[replace(s.BOARD, holes=tuple("BCFHJR"))])
    return context(problem, s.pick(problem))


def _nothing() -> Context:
    problem = s.make_problem()
    present = problem.present()
    assert present is not None
    return context(problem, present)


def _memory() -> Context:
    """One more module beside the kept one."""
    kit = MemoryKit("kit-d3", "Kit D3", None, "ddr3", "dimm", 1, 4096, 1333, False, False)
    one = s.MEMORY.model_copy(update={"count": 1})
    problem = s.make_problem(s.make_survey(memory=(one,)), memory=[kit])
    return context(
        problem,
        s.pick(
            problem, board="kept-board", cpu="kept-cpu", memory="kit-d3*1+kept-memory", cooler="kept-cooler"
        ),
    )


def _cpu() -> Context:
    """A newer processor for the present board, whose firmware is too old for it; the present cooler stays."""
    board = replace(s.OLD_BOARD, cpu_families=(("fam-0", "1.00"), ("fam-2", "2.00")), firmware_shipped="1.10")
    cpu = replace(
        s.CPU, id="cpu-b", socket="sock-0", family="fam-2", memory_rates=(("ddr3", 1333),), boxed_cooler=False
    )
    problem = s.make_problem(s.make_survey(board=board), cpus=[cpu])
    return context(
        problem, s.pick(problem, board="kept-board", cpu="cpu-b", memory="kept-memory", cooler="kept-cooler")
    )


def _board_only() -> Context:
    """Another board for the kept processor, cooler and modules."""
    board = replace(
        s.BOARD,
        id="board-b",
        socket="sock-0",
        memory_generation="ddr3",
        cpu_families=(("fam-0", "1.00"),),
        firmware_shipped=None,
        flash_without_cpu=True,
        shield="missing",
        cpu_plugs=("8", "4"),
        slots=(Slot("x16", 16),),
        width_mm=244,
        depth_mm=244,
    )
    survey = s.make_survey(
        pc=Pc(cooler_brackets=True),
        memory=(s.MEMORY,),
        drives=(s.SYSTEM_DRIVE, NVME),
        psu=replace(s.PSU, cpu_plugs=("4",)),
    )
    problem = s.make_problem(survey, boards=[board])
    return context(
        problem, s.pick(problem, board="board-b", cpu="kept-cpu", memory="kept-memory", cooler="kept-cooler")
    )


def _rich() -> Context:
    """Everything old at once: legacy SSD with encryption, disk, PATA, floppy, cards, VGA monitor, old supply,
    maker's plug."""
    board = replace(
        s.BOARD,
        cpu_plugs=("8",),
        pata_channels=1,
        floppy_headers=1,
        outputs=("hdmi-1.4",),
        usb_e_headers=0,
        width_mm=226,
        depth_mm=228,
        firmware_shipped="0.90",
        flash_without_cpu=True,
        shield="included",
        slots=(Slot("x16", 16), Slot("x1", 1)),
    )
    case = replace(
        s.CASE,
        standoffs=tuple("BCFHJR"),
        standoff_positions=tuple("BCFHJLMRS"),
        front_usb3_plugs=1,
        front_usb_e_plugs=1,
        front_audio="ac97",
        front_panel="own",
        fans=3,
        max_board_depth_mm=238,
    )
    psu = replace(s.PSU, main_plug="20", cpu_plugs=("4",), year=2010, condition="noisy", zero_load_12v=None)
    survey = s.make_survey(
        case=case,
        psu=psu,
        os=WINDOWS_LIKE,
        drives=(LEGACY_SSD, DISK, PATA, FLOPPY),
        cards=(
            Card(
                name="graphics card",
                kind="graphics",
                bus="pcie",
                lanes=16,
                height="full",
                width_slots=1,
                power_plugs=("6",),
                outputs=("vga",),
            ),
            Card(name="tuner", kind="tv", bus="pci", required=False),
        ),
        displays=(
            Display(name="old monitor", inputs=("vga",), width_px=1280, height_px=1024, refresh_hz=60),
        ),
        devices=(Device(name="keyboard", port="ps2"), Device(name="printer", port="serial", required=False)),
    )
    extras = [
        Extra("paste", "Paste", kind="thermal-paste"),
        Extra("licence", "System licence", kind="os-licence", gives=("desktop-2015",)),
        Extra("card6", "Card lead", kind="card-plug-adapter", takes=("peripheral",), gives=("6",), count=2),
        Extra("bracket", "Serial bracket", kind="serial-bracket", gives=("serial",)),
    ]
    cooler = replace(s.COOLER, height_mm=140, fan_pins=3, paste_included=False)
    cpu = replace(s.CPU, boxed_cooler=False, year=2018)
    kit = replace(s.KIT, modules=1)
    offers = [
        Offer(
            part=p,
            seller="shop",
            price=1000,
            condition="used",
            tested=False,
            firmware="0.90",
            shield="included",
        )
        for p in ("board-a", "cpu-a", "kit-a", "cooler-a")
    ]
    offers += [Offer(part=e.id, seller="shop", price=500) for e in extras]
    problem = s.make_problem(
        survey,
        Brief(budget="10000.00", replace=("cooler",)),
        boards=[board],
        cpus=[cpu],
        memory=[kit],
        coolers=[cooler],
        extras=extras,
        offers=offers,
    )
    return context(problem, s.pick(problem, cooler="cooler-a"))


def _whole() -> Context:
    """Supply, case and system drive are replaced as well; another system is installed; DDR5; firmware not
    stated."""
    board = replace(
        s.BOARD,
        memory_generation="ddr5",
        firmware_shipped=None,
        shield="integrated",
        cpu_plugs=("8", "8"),
        m2_slots=(M2Socket("m", 80, ("nvme",), 4, 4, 2, 0),),
    )
    cpu = replace(s.CPU, memory_rates=(("ddr5", 4800),))
    kit = replace(s.KIT, generation="ddr5", rate_mts=4800, module_mib=16384)
    psu = replace(s.PSU, id="psu-a", name="Supply A", year=2026, cpu_plugs=("8", "8"))
    case = replace(s.CASE, id="case-a", name="Case A", standoffs=None, standoff_positions=None)
    drive = DrivePart("nvme-a", "NVMe A", None, "ssd", "m2-nvme", None, 4, 4, "m", 80, 5000, 1000)
    problem = s.make_problem(
        s.make_survey(os=WINDOWS_LIKE, drives=(s.SYSTEM_DRIVE, DISK)),
        Brief(budget="10000.00", replace=("psu", "case", "drive"), os="linux-x86-64-v2"),
        boards=[board],
        cpus=[cpu],
        memory=[kit],
        psus=[psu],
        cases=[case],
        drives=[drive],
    )
    return context(problem, s.pick(problem, psu="psu-a", case="case-a", drive="nvme-a"))


def _linux() -> Context:
    """Linux kept on an unencrypted SSD of unknown start mode; tray not looked at; a supply of 2010 with a
    processor of 2018."""
    drive = s.SYSTEM_DRIVE.model_copy(update={"partition_table": None, "start_mode": None})
    survey = s.make_survey(
        os=OperatingSystem(family="linux-x86-64-v2", licence="none-needed"),
        drives=(drive,),
        case=replace(s.CASE, standoffs=None),
        psu=replace(s.PSU, year=2010, zero_load_12v=None),
        memory=(MemoryModule(generation="ddr3", capacity_mib=2048, count=2),),
    )
    problem = s.make_problem(survey)
    return context(problem, s.pick(problem))


def _odd() -> Context:
    """What the others leave out: firmware flashed with the present processor, fixed and missing standoffs,
    driver disk, spare slots."""
    board = replace(
        s.BOARD,
        id="board-c",
        socket="sock-0",
        memory_generation="ddr3",
        cpu_families=(("fam-0", "1.00"), ("fam-2", "2.00")),
        firmware_shipped="1.50",
        sata_6g_ports=1,
        serial_headers=1,
        depth_mm=244,
        holes=tuple("BCFHJLMR"),
        slots=(Slot("x16", 16), Slot("x1", 1), Slot("x1", 1)),
    )
    cpu = replace(s.CPU, socket="sock-0", family="fam-2", memory_rates=(("ddr3", 1333),), graphics_score=0)
    kit = replace(s.KIT, generation="ddr3", rate_mts=1333)
    case = replace(
        s.CASE, standoffs=tuple("BCFHJR"), standoff_positions=tuple("BCFHJRS"), standoffs_fixed=("S",)
    )
    survey = s.make_survey(
        case=case,
        psu=replace(s.PSU, condition="bulged"),
        os=OperatingSystem(family="desktop-2001-32bit", licence="retail"),
        drives=(s.SYSTEM_DRIVE, DISK),
        devices=(Device(name="plotter", port="serial"),),
        cards=(Card(name="network card", kind="network", bus="pcie", lanes=1, height="full", width_slots=1),),
    )
    extras = [
        Extra("bracket", "Serial bracket", kind="serial-bracket", gives=("serial",)),
        Extra("sata2", "SATA card", kind="sata-controller", takes=("x1",), count=2),
    ]
    drive = DrivePart("ssd-a", "SSD A", None, "ssd", "sata", 60, None, None, None, None, 540, 480)
    sellers = [s.SELLER, replace(s.SELLER, id="slow", name="Slow shop", delivery_days=60)]
    offers = [
        Offer(part=p, seller="shop", price=1000)
        for p in ("cpu-a", "kit-a", "bracket", "sata2", "psu-a", "ssd-a")
    ]
    problem = s.make_problem(
        survey,
        Brief(budget="10000.00", replace=("psu", "drive")),
        boards=[board],
        cpus=[cpu],
        memory=[kit],
        extras=extras,
        psus=[replace(s.PSU, id="psu-a", name="Supply A", year=2026)],
        drives=[drive],
        sellers=sellers,
        offers=[*offers, Offer(part="board-c", seller="slow", price=1000)],
    )
    return context(problem, s.pick(problem, psu="psu-a", drive="ssd-a"))


SITUATIONS: dict[str, Callable[[], Context]] = {
    "plain": _plain,
    "nothing": _nothing,
    "memory": _memory,
    "cpu": _cpu,
    "board": _board_only,
    "rich": _rich,
    "whole": _whole,
    "linux": _linux,
    "odd": _odd,
}
CACHED = {name: cache(build) for name, build in SITUATIONS.items()}


@pytest.fixture
def situation() -> Callable[[str], Context]:
    """Context by name of the situation."""
    return lambda name: CACHED[name]()


@pytest.fixture
def build() -> Callable[..., Context]:
    """A context of a problem with changed survey tables and catalogue tables."""

    def make(
        survey: dict[str, Any] | None = None, keys: dict[str, str] | None = None, **tables: Any
    ) -> Context:
        problem = s.make_problem(s.make_survey(**(survey or {})), **tables)
        return context(problem, s.pick(problem, **(keys or {})))

    return make
