"""Memory levels, expected time and loads of the model against the plain law, for every combination of small worlds in
which each fact is known, unknown, equal and different; and how far a supply may be loaded, by enumeration."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from itertools import product
from typing import Any

import pytest
from enumerated import solutions
from ortools.sat.python import cp_model
from search.tiny import board as b
from search.tiny import cpu as c
from search.tiny import kit as k
from support import BOARD, CPU, GRAPHICS, PSU, make_problem, make_survey, pick

from partsolver.assembly.bought_cards import plan_load
from partsolver.assembly.memory import channels, effective_rate_mts, milli_channels
from partsolver.assembly.supply import Quantity, amount, carried_today, limit_of
from partsolver.catalog.records import DrivePart, Extra, Psu
from partsolver.catalog.sockets import M2Socket
from partsolver.model import left
from partsolver.model.build import build, post_power, post_time
from partsolver.model.currents import load_groups, post_supplied, sum_of_groups
from partsolver.model.forbid import forbid
from partsolver.model.left import modelled_left
from partsolver.model.picks import Picks
from partsolver.model.time import _relative
from partsolver.performance.law import FALLBACK_RATE_MTS
from partsolver.performance.time import time_ppm
from partsolver.plan.identity import identity
from partsolver.problem.candidates import SLOTS, Parts
from partsolver.problem.problem import Problem
from partsolver.rules import rule
from partsolver.survey.model import Card, Device, Display, Drive, OperatingSystem
from partsolver.wishes.brief import Brief


def few(problem: Problem) -> Problem:
    """One cooler only: nothing here reads it."""
    return replace(problem, candidates={**problem.candidates, "cooler": problem.slot("cooler")[-1:]})


def every(problem: Problem) -> list[Parts]:
    return [Parts(picked) for picked in product(*(problem.slot(slot) for slot in SLOTS))]


def told(picks: Picks, value: Any) -> dict[tuple[str, ...], int]:
    """By the keys of the parts a value of the model; each combination has one."""
    listed = [(c.key, literal) for slot in SLOTS for c, literal in picks.candidates(slot)]
    found = {}
    for *on, number in solutions(picks.model, *(literal for _, literal in listed), value):
        keys = tuple(key for (key, _), held in zip(listed, on, strict=True) if held)
        assert keys not in found
        found[keys] = number
    return found


DISK = DrivePart(
    "disk", "disk", kind="hdd35", interface="sata", sata_gbps10=30, read_mbs=150, capacity_gb=900
)
NVME = DrivePart("nvme", "nvme", None, "ssd", "m2-nvme", None, 3, 4, "m", 80, 2400, 500)
UNKNOWN: dict[str, Any] = {
    "memory_channels": None,
    "memory_max_rate_mts": None,
    "memory_generation": None,
    "memory_slots": None,
}
WORLDS: Mapping[str, Any] = {
    # Two modules to a channel are slower; one channel; more channels than slots.
    "rates": lambda: make_problem(
        boards=[b("two", memory_two_per_channel_rate_mts=2133), b("one", memory_channels=1, memory_max_rate_mts=2000)],
        cpus=[c("fast"), c("slow", memory_rates=(("ddr4", 1866), ("ddr3", 1066)), memory_channels=1)],
        memory=[k("a"), k("b", rate_mts=1600, modules=1)],
        coolers=(),
    ),
    "unknown": lambda: make_problem(
        boards=[b("unknown", **UNKNOWN), b("known")],
        cpus=[c("unknown", memory_rates=None, memory_channels=None), c("known")],
        memory=[k("unknown", rate_mts=None, modules=1), k("ddr3", generation="ddr3", rate_mts=1333)],
        coolers=(),
    ),
    # No limit is known of anything: 800 MT/s are assumed, which nothing else gives.
    "nothing": lambda: make_problem(
        make_survey(board=b("old", **UNKNOWN), cpu=c("old", memory_rates=None), memory=()),
        boards=[b("unknown", **UNKNOWN)],
        cpus=[c("unknown", memory_rates=())],
        memory=[k("unknown", rate_mts=None), k("slow", rate_mts=1066)],
        coolers=(),
    ),
    "always nothing": lambda: make_problem(
        make_survey(board=b("old", **UNKNOWN), cpu=c("old", memory_rates=None), memory=()),
        boards=[b("unknown", **UNKNOWN)],
        cpus=(),
        memory=[k("unknown", rate_mts=None)],
        coolers=(),
    ),
    # Nothing is known of any kit, and something of one board.
    "by one board": lambda: make_problem(
        make_survey(board=b("old", **UNKNOWN), cpu=c("old", memory_rates=None), memory=()),
        boards=[b("known", memory_max_rate_mts=2133)],
        cpus=(),
        memory=[k("unknown", rate_mts=None)],
        coolers=(),
    ),
    # Every board states its rate, not every kit.
    "by every board": lambda: make_problem(
        boards=[b("known")], cpus=[c("unknown", memory_rates=None)], memory=[k("u", rate_mts=None)], coolers=()
    ),
    # The rate that is assumed is also one that a kit has.
    "as slow": lambda: make_problem(
        make_survey(board=b("old", **UNKNOWN), cpu=c("old", memory_rates=None), memory=()),
        boards=[b("unknown", **UNKNOWN)],
        cpus=(),
        memory=[k("unknown", rate_mts=None), k("slow", rate_mts=FALLBACK_RATE_MTS), k("fast", rate_mts=2400)],
        coolers=(),
    ),
    # 3 modules of 4 GiB, 2 of 4 and 1 of 2 ... in two channels; sizes not known.
    "sizes": lambda: make_problem(
        boards=[b("a"), b("three", memory_channels=3, memory_slots=6)],
        cpus=[c("a"), c("four", memory_channels=4)],
        memory=[k("one", modules=1), k("three", modules=3), k("unknown", modules=3, module_mib=None)],
        coolers=(),
    ),
    "drives": lambda: make_problem(
        brief=Brief(budget="900.00", replace=("drive",)),
        boards=[b("slow", sata_6g_ports=0, sata_3g_ports=2, m2_slots=()), b("fast"),
                b("old m2", m2_slots=(M2Socket("m", 80, ("nvme",), 2, 2, 2, 1),))],
        cpus=(),
        memory=[k("small", modules=1, module_mib=2048)],
        drives=[DISK, NVME],
        coolers=(),
    ),
    "games": lambda: make_problem(
        make_survey(cards=(Card(name="old", kind="graphics", bus="pcie", lanes=16, height="low", width_slots=1,
                                length_mm=160, graphics_score=120, outputs=("vga",)),)),
        brief=Brief(budget="900.00", use="games", replace=("graphics",)),
        boards=[b("own", graphics_score=90, slots=()), b("none", graphics_score=0, slots=())],
        cpus=[c("own"), c("none", graphics_score=0), c("unknown", graphics_score=None)],
        memory=[k("a")],
        graphics=[GRAPHICS],
        coolers=(),
    ),
    "by the board": lambda: make_problem(
        brief=Brief(budget="900.00", use="games"),
        boards=[b("score", graphics_score=200), b("unknown", year=2009), b("late"), b("none", graphics_score=0)],
        cpus=[c("own"), c("none", graphics_score=0)],
        memory=[k("a")],
        coolers=(),
    ),
}  # fmt: skip


@cache
def world(name: str) -> Problem:
    return few(WORLDS[name]())


@pytest.mark.parametrize("name", WORLDS)
def test_the_time_of_the_model_is_that_of_the_law(name: str) -> None:
    picks = Picks(cp_model.CpModel(), world(name))
    time = post_time(picks)
    expected = {parts.keys: time_ppm(picks.problem, parts) for parts in every(picks.problem)}
    assert told(picks, time) == expected and (len(set(expected.values())) > 1) is (name != "always nothing")
    assert picks.time is time and max(expected.values()) <= picks.most[time.index] <= 2 * max(
        expected.values()
    )


@pytest.mark.parametrize("name", WORLDS)
def test_the_levels_are_rate_and_channels(name: str) -> None:
    """One rate and one share of channels is true of each combination, and their meeting."""
    problem = world(name)
    picks = Picks(cp_model.CpModel(), problem)
    post_time(picks)
    levels = picks.levels
    for by, plain in (
        (levels.rate, lambda p: effective_rate_mts(p.board, p.cpu, p.memory) or FALLBACK_RATE_MTS),
        (
            levels.milli,
            lambda p: milli_channels(
                p.memory.module_mib, p.memory.modules, channels(p.board, p.cpu), p.board.memory_slots
            ),
        ),
    ):
        number = cp_model.LinearExpr.weighted_sum(list(by.values()), list(by))
        assert told(picks, number) == {parts.keys: plain(parts) for parts in every(problem)}
        assert set(told(picks, sum(by.values())).values()) == {1}
    assert set(told(picks, sum(levels.bandwidth.values())).values()) == {1}
    assert list(levels.milli) == sorted(levels.milli)
    unlimited = any(effective_rate_mts(p.board, p.cpu, p.memory) is None for p in every(problem))
    assert (FALLBACK_RATE_MTS in levels.rate) is (unlimited or name == "as slow")
    assert set(levels.bandwidth) == set(product(levels.rate, levels.milli))


@pytest.mark.parametrize(
    "sizes, relative",
    [
        (None, None),
        ((), ()),
        ((4096, 2048), (2, 1)),
        ((8192, 8192), (1, 1)),
        ((6144, 4096), (6144, 4096)),
        ((3, 2, 1), (3, 2, 1)),
    ],
)
def test_modules_of_the_same_proportions_are_alike(sizes: Any, relative: Any) -> None:
    assert _relative(sizes) == relative


def test_the_time_of_parts_by_hand() -> None:
    """Office on the base parts: 600 / 1.5 + 120 / 1.5 thousandths of compute, 150 of other, as `law.py` states."""
    picks = Picks(cp_model.CpModel(), world("rates"))
    found = told(picks, post_time(picks))
    parts = pick(picks.problem, board="board-two", cpu="cpu-fast", memory="kit-a*1")
    assert found[parts.keys] > 400_000 + 80_000 + 150_000


# -- loads -------------------------------------------------------------------------------------------------------------

MONITOR = Display(name="monitor", inputs=("vga",), width_px=1680, height_px=1050, refresh_hz=60)
SATA = [
    Drive(name=f"disk {n}", kind="hdd35", interface="sata", sata_gbps10=30, power_plug="sata")
    for n in range(3)
]
BUSY = {
    "drives": (Drive(name="ssd", kind="ssd", interface="sata", sata_gbps10=60, capacity_gb=240, system=True,
                     power_plug="sata", start_mode="uefi", storage_mode="ahci", encrypted=False), *SATA),
    "displays": (MONITOR,),
    "devices": (Device(name="scale", port="serial"), Device(name="keyboard", port="ps2")),
    "os": OperatingSystem(family="desktop-2021", licence="retail"),
    "cards": (Card(name="sound", kind="sound", bus="pcie", lanes=1, height="full", width_slots=1, length_mm=100),),
}  # fmt: skip
EXTRAS = [
    Extra("hdmi-vga", "HDMI to VGA", kind="display-adapter", takes=("hdmi",), gives=("vga",), active=True),
    Extra("sata-card", "SATA card", kind="sata-controller", takes=("x1",), gives=("sata",), count=2),
    Extra("serial", "USB to serial", kind="serial-adapter", takes=("usb",), gives=("serial",)),
    Extra("tpm", "module", kind="tpm-module", gives=("2.0", "1.2")),
    Extra("hub", "hub", kind="usb-hub", count=4),
]


@cache
def busy() -> Problem:
    return few(
        make_problem(
            make_survey(**BUSY),
            brief=Brief(budget="900.00", replace=("graphics", "drive", "psu", "case")),
            boards=[
                b("few", sata_6g_ports=2, outputs=("hdmi-1.4",), tpm="header", serial_ports=0, serial_headers=0),
                b("all", sata_6g_ports=6, tpm="2.0", serial_ports=1),
                b("no slots", slots=(), outputs=("vga",), load_mw=None, year=None),
            ],
            cpus=[c("hot", tdp_w=95)],
            memory=[k("a")],
            drives=[DISK],
            graphics=[GRAPHICS, replace(GRAPHICS, id="graphics-b", name="B", outputs=("hdmi-1.4",), load_mw=75000,
                                        power_plugs=("6",))],
            cases=[replace(make_survey().case, id="case-b", name="B", fans=3)],
            psus=[replace(PSU, id="psu-b", name="B", rated_w=300, rail_12v_ma=(9000,), combined_12v_ma=9000, year=2026)],
            extras=EXTRAS,
            coolers=(),
        )
    )  # fmt: skip


def one_supply(problem: Problem) -> Problem:
    """What no load reads is left out."""
    return replace(problem, candidates={**problem.candidates, "psu": problem.slot("psu")[:1]})


QUANTITIES: tuple[Quantity, ...] = ("12v", "5v", "3v3", "5v+3v3", "total", "start 12v", "start 5v")


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_the_loads_of_the_model_are_those_of_the_plan(quantity: Quantity) -> None:
    problem = one_supply(busy())
    picks = Picks(cp_model.CpModel(), problem)
    value = sum_of_groups(load_groups(picks, quantity, lambda load: amount(load, quantity)))
    expected = {parts.keys: amount(plan_load(problem, parts), quantity) for parts in every(problem)}
    found = told(picks, value)
    assert found.keys() == expected.keys() and len(set(expected.values())) > 2
    # The power of each part is rounded up (loads of currents), a sum of theirs with it.
    assert found == expected


def test_the_load_of_a_card_in_each_case() -> None:
    """Without cards of its own: in the first case without the bought card nothing draws, in the second with it."""
    problem = few(
        make_problem(
            brief=Brief(budget="900.00", replace=("graphics", "case")),
            boards=[BOARD],
            cpus=(),
            memory=(),
            graphics=[GRAPHICS],
            cases=[replace(make_survey().case, id="case-b", name="B")],
            coolers=(),
        )
    )
    picks = Picks(cp_model.CpModel(), problem)
    expected = {parts.keys: plan_load(problem, parts).mw for parts in every(problem)}
    assert told(picks, post_power(picks)) == expected and len(set(expected.values())) > 1


def test_power_of_the_model() -> None:
    problem = one_supply(busy())
    picks = Picks(cp_model.CpModel(), problem)
    power = post_power(picks)
    expected = {parts.keys: plan_load(problem, parts).mw for parts in every(problem)}
    assert told(picks, power) == expected and picks.power is power
    assert max(expected.values()) <= picks.most[power.index] <= 2 * max(expected.values())


def supplies(*psus: Psu, survey: Psu = PSU) -> Problem:
    """Supplies to choose between beside a board and a processor."""
    return few(
        make_problem(
            make_survey(psu=survey),
            brief=Brief(budget="900.00", replace=("psu",)),
            boards=[BOARD],
            cpus=[c("hot", tdp_w=140, power_limit_w=180)],
            memory=(),
            psus=psus,
            coolers=(),
        )
    )


NO_LABEL = {"rated_w": None, "rail_12v_ma": None, "combined_12v_ma": None}
SUPPLIES = {
    "strong and weak": supplies(
        replace(PSU, id="psu-b", name="B", rail_12v_ma=(6000,), combined_12v_ma=6000, rated_w=120, year=2026),
        replace(PSU, id="psu-c", name="C", rail_12v_ma=(16000,), combined_12v_ma=16000, rated_w=260, year=2026),
    ),
    "no label": supplies(replace(PSU, id="psu-b", name="B", **NO_LABEL), survey=replace(PSU, **NO_LABEL)),
    "no current": supplies(replace(PSU, id="psu-b", name="B", rail_12v_ma=None, combined_12v_ma=None)),
    "weak today": supplies(survey=replace(PSU, rail_12v_ma=(4000,), combined_12v_ma=4000, rated_w=90, rail_5v_ma=900)),
}  # fmt: skip
WATCHED = ("board", "cpu", "psu")


def carried(problem: Problem, parts: Parts, quantity: Quantity, blocks: bool) -> bool:
    """As the docstrings state it: nothing new, or the load within the supply's limit; where disks start on today's
    board from today's supply, also within what they start on today."""
    new = {slot: not parts.candidate(slot).kept for slot in WATCHED}  # type: ignore[call-overload]
    supply = parts.candidate("psu")
    limit = limit_of(problem, supply, quantity)
    load = amount(plan_load(problem, parts), quantity)
    if not any(new.values()):
        return True
    if limit is not None:
        most = limit.value
        if quantity in ("start 12v", "start 5v") and supply.kept and not new["board"]:
            most = max(most, carried_today(problem, quantity))
        return load <= most
    if not blocks or supply.part.rated_w is not None:
        return True
    return supply.kept and load <= carried_today(problem, quantity)


@pytest.mark.parametrize("blocks", [False, True])
@pytest.mark.parametrize("quantity", QUANTITIES)
@pytest.mark.parametrize("name", SUPPLIES)
def test_how_far_a_supply_may_be_loaded(name: str, quantity: Quantity, blocks: bool) -> None:
    problem = SUPPLIES[name]
    picks = Picks(cp_model.CpModel(), problem)
    post_power(picks)
    on = picks.model.new_bool_var("on")
    post_supplied(picks, problem, quantity, WATCHED, on, blocks=blocks)
    picks.model.add(on == 1)
    left = {p.keys for p in every(problem) if carried(problem, p, quantity, blocks)}
    assert set(told(picks, 0 * picks.true)) == left
    assert picks.model.proto.variables[picks.power.index].name == "power_mw"


def test_the_limits_of_supplies_do_refuse_and_let_through() -> None:
    """Else the test before could not tell."""
    decided = {
        (name, carried(problem, parts, quantity, True))
        for name, problem in SUPPLIES.items()
        for quantity in QUANTITIES
        for parts in every(problem)
    }
    assert {name for name, fits in decided if not fits} >= {"strong and weak", "no label", "weak today"}
    assert {name for name, fits in decided if fits} == set(SUPPLIES)


def test_a_supply_that_is_off_limits_only_where_the_rule_is_on() -> None:
    problem = SUPPLIES["strong and weak"]
    picks = Picks(cp_model.CpModel(), problem)
    on = picks.model.new_bool_var("on")
    post_supplied(picks, problem, "12v", WATCHED, on, blocks=False)
    picks.model.add(on == 0)
    assert len(told(picks, on)) == len(every(problem))


# -- one rule alone, and a plan that was shown -------------------------------------------------------------------------


def test_a_plan_that_was_shown_goes_with_all_that_are_the_same_choice() -> None:
    problem = world("rates")
    shown = pick(problem, board="board-two", cpu="cpu-fast", memory="kit-a*1")
    built = build(problem, [])
    forbid(built, shown)
    left = {p.keys for p in every(problem) if identity(p) != identity(shown)}
    assert _left(built, problem) == left and len(left) < len(every(problem))


def _left(built: Any, problem: Problem) -> set[tuple[str, ...]]:
    listed = [(c.key, literal) for slot in SLOTS for c, literal in built.picks.candidates(slot)]
    found = solutions(built.model, *(literal for _, literal in listed))
    return {tuple(k for (k, _), on in zip(listed, row, strict=True) if on) for row in found}


PLACES: list[Any] = [("board", "board-a"), ("board", "kept-board"), ("cpu", "cpu-b"), ("cpu", "cpu-a")]


@pytest.mark.parametrize("most", [60, 4, 3])
def test_what_one_rule_leaves(most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A processor of a socket that no board has goes; asked one by one, and by presolve."""
    asked = []
    monkeypatch.setattr("partsolver.model.left.EXACT_UP_TO", most)
    problem = make_problem(cpus=[CPU, replace(CPU, id="cpu-b", name="B", socket="other")], coolers=())
    plain = left.fixed_at_zero

    def probed(model: cp_model.CpModel) -> set[int] | None:
        asked.append(model)
        return plain(model)

    monkeypatch.setattr(left, "fixed_at_zero", probed)
    assert modelled_left(problem, rule("platform.socket"), PLACES) == set(PLACES) - {("cpu", "cpu-b")}
    assert len(asked) == (most < 4)
    assert modelled_left(problem, rule("platform.socket"), []) == set()


@pytest.mark.parametrize("most", [60, 0])
def test_what_a_rule_of_time_or_power_leaves(most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Sums of time and power are posted for the rules that read them."""
    monkeypatch.setattr("partsolver.model.left.EXACT_UP_TO", most)
    problem = make_problem(brief=Brief(budget="100.00", min_speedup="20"), coolers=())
    assert modelled_left(problem, rule("buying.minimums"), PLACES[:2]) == set()
    problem = supplies(replace(PSU, id="psu-b", name="B", rated_w=10), replace(PSU, id="psu-c", name="C"))
    places: list[Any] = [("psu", "kept-psu"), ("psu", "psu-b"), ("psu", "psu-c")]
    assert modelled_left(problem, rule("power.total"), places) == {("psu", "kept-psu"), ("psu", "psu-c")}


def test_the_built_model_names_its_numbers() -> None:
    built = build(world("rates"), [])
    names = [built.model.proto.variables[v.index].name for v in (built.time, built.cost, built.power)]
    assert names == ["time_ppm", "cost", "power_mw"] and built.picks.cost is built.cost
