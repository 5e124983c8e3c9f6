"""Small problems for tests: a base PC and base parts that fit one another, changed one fact at a time.

``make_problem(boards=[...], cpus=[...], ...)`` takes records; each gets one cheap offer unless offers are
given. ``agree(rule, problem)`` compares the plain predicate with the posted constraints over every
combination of parts.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from partsolver.audit.every_plan import combinations
from partsolver.catalog.load import Catalog
from partsolver.catalog.records import (
    Board,
    Bundle,
    Case,
    CatalogInfo,
    Cooler,
    Cpu,
    DrivePart,
    Extra,
    GraphicsPart,
    MemoryKit,
    Offer,
    Psu,
    Reference,
    Seller,
)
from partsolver.catalog.sockets import M2Socket, Slot
from partsolver.model.build import build
from partsolver.model.solve import Limits, solve
from partsolver.performance.time import time_ppm
from partsolver.plan.complete import allowed_by, buy
from partsolver.plan.draft import Draft, Need
from partsolver.problem.candidates import SLOTS, Parts
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.rules.base import Rule
from partsolver.survey.model import Drive, MemoryModule, OperatingSystem, Pc, Survey
from partsolver.wishes.brief import Brief

TODAY = datetime.date(2026, 11, 20)
REFERENCE = Reference(1000, 4000, 34133, 500, 1000)

# Parts that fit one another and the base PC.
BOARD = Board(
    id="board-a",
    name="Board A",
    socket="sock-1",
    chipset="chip-1",
    form_factor="microatx",
    width_mm=244,
    depth_mm=220,
    memory_generation="ddr4",
    memory_module="dimm",
    memory_slots=4,
    memory_channels=2,
    memory_max_mib=65536,
    memory_max_module_mib=16384,
    memory_max_rate_mts=2666,
    memory_ecc="no",
    memory_registered=False,
    cpu_families=(("fam-1", "1.00"),),
    firmware_shipped="1.10",
    flash_without_cpu=False,
    cpu_power_limit_w=150,
    main_plug="24",
    cpu_plugs=("4",),
    slots=(Slot("x16", 16), Slot("x1", 1)),
    m2_slots=(M2Socket("m", 80, ("nvme", "sata"), 3, 4, 2, 1),),
    sata_6g_ports=4,
    sata_3g_ports=0,
    sata_1g5_ports=0,
    pata_channels=0,
    floppy_headers=0,
    outputs=("hdmi-1.4", "vga"),
    ps2_ports=1,
    serial_ports=0,
    serial_headers=1,
    parallel_ports=0,
    parallel_headers=0,
    usb_rear_ports=6,
    usb2_headers=2,
    usb3_headers=1,
    usb_e_headers=0,
    front_audio="hd",
    fan_headers=2,
    firmware_modes=("legacy", "uefi"),
    storage_modes=("ahci", "ide"),
    secure_boot=True,
    tpm="2.0",
    nvme_boot=True,
    shield="included",
    load_mw=20000,
    year=2018,
    mass_g=600,
)
CPU = Cpu(
    id="cpu-a",
    name="Processor A",
    socket="sock-1",
    family="fam-1",
    cores=4,
    threads=8,
    base_mhz=3000,
    boost_mhz=4000,
    serial_score=1500,
    parallel_score=6000,
    score_origin="published",
    tdp_w=65,
    power_limit_w=80,
    memory_rates=(("ddr4", 2666),),
    memory_channels=2,
    memory_max_mib=65536,
    graphics_score=500,
    x86_level=3,
    boxed_cooler=True,
    year=2018,
)
KIT = MemoryKit(
    id="kit-a",
    name="Kit A",
    generation="ddr4",
    module="dimm",
    modules=2,
    module_mib=4096,
    rate_mts=2400,
    registered=False,
    ecc=False,
    ranks=1,
    voltage_mv=1200,
)
COOLER = Cooler(
    id="cooler-a", name="Cooler A", sockets=("sock-1",), height_mm=120, rated_w=95, paste_included=True
)
SELLER = Seller(id="shop", name="Shop")

# The base PC: an older board, processor and memory in a case and with a supply that suit the base parts.
OLD_BOARD = replace(
    BOARD,
    id="kept-board",
    name="old board",
    socket="sock-0",
    chipset="chip-0",
    memory_generation="ddr3",
    memory_slots=2,
    memory_max_rate_mts=1333,
    memory_max_mib=16384,
    memory_max_module_mib=8192,
    cpu_families=(("fam-0", "1.00"),),
    sata_6g_ports=0,
    sata_3g_ports=4,
    m2_slots=(),
    tpm="none",
    year=2012,
)
OLD_CPU = replace(
    CPU,
    id="kept-cpu",
    name="old processor",
    socket="sock-0",
    family="fam-0",
    cores=2,
    threads=2,
    serial_score=800,
    parallel_score=1500,
    memory_rates=(("ddr3", 1333),),
    graphics_score=150,
    boxed_cooler=None,
    year=2012,
    x86_level=2,
)
OLD_COOLER = Cooler(id="kept-cooler", name="old cooler", sockets=("sock-0",), height_mm=60, rated_w=70)
PSU = Psu(
    id="kept-psu",
    name="old supply",
    form="atx",
    pinout="atx",
    rated_w=400,
    year=2018,
    main_plug="24",
    cpu_plugs=("8",),
    cpu_lead_mm=600,
    card_plugs=("6",),
    sata_plugs=4,
    peripheral_plugs=3,
    floppy_plugs=1,
    rail_12v_ma=(30000,),
    combined_12v_ma=30000,
    rail_5v_ma=20000,
    rail_3v3_ma=20000,
    combined_5v_3v3_mw=110000,
    zero_load_12v=True,
    condition="good",
    efficiency="bronze",
)
CASE = Case(
    id="kept-case",
    name="old case",
    form_factor="microatx",
    max_board_width_mm=244,
    max_board_depth_mm=244,
    aperture="atx",
    slot_openings=4,
    slot_height="full",
    max_card_length_mm=280,
    max_cooler_height_mm=150,
    standoffs=tuple("BCFHJLMR"),
    standoff_positions=tuple("BCFHJLMRS"),
    standoffs_fixed=(),
    psu_form="atx",
    front_usb2_plugs=1,
    front_usb3_plugs=0,
    front_usb_e_plugs=0,
    front_audio="hd",
    front_panel="separate",
    fans=1,
)
SYSTEM_DRIVE = Drive(
    name="ssd",
    kind="ssd",
    interface="sata",
    sata_gbps10=60,
    read_mbs=540,
    capacity_gb=240,
    system=True,
    partition_table="gpt",
    start_mode="uefi",
    storage_mode="ahci",
    encrypted=False,
    power_plug="sata",
)
GRAPHICS = GraphicsPart(
    id="graphics-a",
    name="Graphics A",
    bus="pcie",
    lanes=16,
    height="low",
    width_slots=1,
    length_mm=160,
    power_plugs=(),
    load_mw=30000,
    graphics_score=900,
    outputs=("hdmi-1.4", "vga"),
    max_displays=2,
    uefi=True,
    legacy_video=True,
)
MEMORY = MemoryModule(
    generation="ddr3", module="dimm", capacity_mib=2048, rate_mts=1333, count=2, registered=False, ecc=False
)


def make_survey(**changes: Any) -> Survey:
    """The base PC with changed tables (board=..., drives=(...,), ...)."""
    tables: dict[str, Any] = {
        "pc": Pc(name="test PC", brand=False),
        "case": CASE,
        "psu": PSU,
        "board": OLD_BOARD,
        "cpu": OLD_CPU,
        "cooler": OLD_COOLER,
        "memory": (MEMORY,),
        "drives": (SYSTEM_DRIVE,),
        "cards": (),
        "displays": (),
        "devices": (),
        "os": OperatingSystem(family="none", licence="none-needed"),
    }
    return Survey(**{**tables, **changes})


def make_catalog(
    boards: Iterable[Board] = (BOARD,),
    cpus: Iterable[Cpu] = (CPU,),
    memory: Iterable[MemoryKit] = (KIT,),
    coolers: Iterable[Cooler] = (COOLER,),
    extras: Iterable[Extra] = (),
    psus: Iterable[Psu] = (),
    cases: Iterable[Case] = (),
    drives: Iterable[DrivePart] = (),
    graphics: Iterable[GraphicsPart] = (),
    sellers: Iterable[Seller] = (SELLER,),
    offers: Sequence[Offer] | None = None,
    more_offers: Iterable[Offer] = (),
    bundles: Iterable[Bundle] = (),
) -> Catalog:
    """A catalogue; every part gets one offer of the seller ``shop`` (price 10.00 + position) unless offers
    are given."""
    tables: dict[str, Any] = {
        "boards": boards,
        "cpus": cpus,
        "memory": memory,
        "coolers": coolers,
        "extras": extras,
        "psus": psus,
        "cases": cases,
        "drives": drives,
        "graphics": graphics,
        "sellers": sellers,
        "bundles": bundles,
    }
    tables = {name: tuple(sorted(rows, key=lambda r: r.id)) for name, rows in tables.items()}
    parts = [
        p
        for t in ("boards", "cpus", "memory", "coolers", "extras", "psus", "cases", "drives", "graphics")
        for p in tables[t]
    ]
    if offers is None:
        offers = [Offer(part=p.id, seller="shop", price=1000 + i) for i, p in enumerate(parts)]
    tables["offers"] = (*offers, *more_offers)
    table_of = {p.id: t for t in tables if t not in ("offers", "sellers", "bundles") for p in tables[t]}
    info = CatalogInfo("test", "EUR", 2, TODAY, "invented for tests", "0" * 16, REFERENCE)
    return Catalog(info, tables, table_of, "test")


def make_problem(survey: Survey | None = None, brief: Brief | None = None, **tables: Any) -> Problem:
    """A problem of the base PC (or a changed survey) and a small catalogue."""
    return join(survey or make_survey(), make_catalog(**tables), brief or Brief(budget="10000.00"))


def pick(problem: Problem, **keys: str) -> Parts:
    """Parts by candidate key per slot; the first candidate that is bought where a slot is left out for
    board, cpu, memory; the boxed cooler if there is one; kept ones elsewhere."""
    picked = []
    for slot in SLOTS:
        candidates = problem.slot(slot)
        if slot in keys:
            picked.append(next(c for c in candidates if c.key == keys[slot]))
        elif slot in ("board", "cpu", "memory"):
            picked.append(next((c for c in candidates if c.id is not None), candidates[0]))
        else:
            picked.append(candidates[0])
    return Parts(tuple(picked))


def plain_draft(rule: Rule, problem: Problem, parts: Parts) -> Draft | None:
    """The parts bought for one rule alone, or None when they cannot be bought."""
    all_rules()  # a module that was imported by itself gets its defaults when it is registered
    basket = buy(problem, parts, [rule], allowed_by(problem, [rule]))
    if basket is None:
        return None
    return Draft(parts, basket.lines, basket.deliveries, basket.cost, time_ppm(problem, parts))


def findings(rule: Rule, problem: Problem, parts: Parts | None = None) -> tuple[Any, ...]:
    """Findings of one rule for parts (default: `pick(problem)`)."""
    draft = plain_draft(rule, problem, parts or pick(problem))
    assert draft is not None
    return rule.admits(draft, problem)


def admitted(rule: Rule, problem: Problem, parts: Parts) -> bool:
    """Whether the plain predicate admits the parts, bought for this rule alone."""
    if any(not need.options for need in needs_of(rule, parts, problem)):
        # A need without any option must show as a finding that does not admit.
        draft = Draft(parts, (), (), 0, time_ppm(problem, parts))
        assert any(not f.admits for f in rule.admits(draft, problem)), (
            "a need without options, but no finding fails"
        )
        return False
    draft_or_none = plain_draft(rule, problem, parts)
    return draft_or_none is not None and all(f.admits for f in rule.admits(draft_or_none, problem))


def agree(rule: Rule, problem: Problem) -> tuple[int, int]:
    """Assert predicate == posted constraints for every combination; returns (admitted, refused)."""
    counts = [0, 0]
    built = build(problem, [rule])
    for parts in combinations(problem):
        expected = admitted(rule, problem, parts)
        trial = built.model.clone()
        for candidate in parts.picked:
            trial.add(built.picks.literal(candidate.slot, candidate.key) == 1)
        solved = solve(trial, Limits())
        assert solved.status in ("optimal", "feasible", "impossible")
        assert solved.found == expected, (rule.ID, parts.keys, "plain", expected, "model", solved.status)
        counts[0 if expected else 1] += 1
    return counts[0], counts[1]


def needs_of(rule: Any, parts: Parts, problem: Problem) -> tuple[Need, ...]:
    """What a rule needs bought; ``rule`` may be a module that was imported by itself, before it was
    registered."""
    all_rules()
    found: tuple[Need, ...] = rule.needs(parts, problem)
    return found


POSSIBLE = Brief(budget="200.00", alternatives=5, resolution_percent="1")


def shop(brief: Brief = POSSIBLE) -> Problem:
    """Several boards, processors and kits at different prices and speeds: about a hundred combinations."""
    boards = [replace(BOARD, id=f"board-{n}", name=f"Board {n}", sata_6g_ports=4 + n) for n in range(4)]
    cpus = [
        replace(
            CPU,
            id=f"cpu-{n}",
            name=f"Processor {n}",
            serial_score=1500 + 150 * n,
            parallel_score=6000 + 900 * n,
        )
        for n in range(4)
    ]
    kits = [replace(KIT, id=f"kit-{n}", name=f"Kit {n}", module_mib=4096 * (1 + n)) for n in range(3)]
    parts = [*boards, *cpus, *kits]
    offers = [Offer(part.id, "shop", 2000 + 170 * number) for number, part in enumerate(parts)]
    return make_problem(boards=boards, cpus=cpus, memory=kits, offers=offers, coolers=(), brief=brief)
