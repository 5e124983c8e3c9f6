"""The current network of tiny assemblies, by hand: groups of plugs, consumers, contacts, limits, the tightest place.

Main plug: one 12 V contact of 20, two of 24; 5 V four and five, 3.3 V three and four; 6 A each (`standards/plugs.py`).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import (
    BOARD,
    CASE,
    CPU,
    MEMORY,
    OLD_BOARD,
    OLD_CPU,
    PSU,
    SYSTEM_DRIVE,
    make_problem,
    make_survey,
    pick,
)

from partsolver.assembly import loads, network, network_limits
from partsolver.assembly.currents import NOTHING, Load, load_of_currents, times_load
from partsolver.assembly.network import (
    Flows,
    Node,
    PlaceLimits,
    all_drives,
    consumers,
    cpu_way,
    drive_way,
    flows,
    load_of_drive,
    main_contacts_ma,
    main_load,
    main_plug_12v,
    node_over,
    today_flows,
    unknown_card_question,
    walk,
    widest_unstated,
)
from partsolver.assembly.network_limits import (
    likely_mapping,
    main_plug_limits_ma,
    mapping_fits,
    margin_mw,
    most_loaded,
    network_of,
    place_limits,
    tightest_node,
    today_mapping,
)
from partsolver.assembly.supply import Circuit
from partsolver.catalog.records import DrivePart
from partsolver.problem.candidates import KEPT_GRAPHICS, DriveChoice, GraphicsChoice
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card, Device, Drive
from partsolver.wishes.brief import Brief

OWN = GraphicsChoice(KEPT_GRAPHICS, None, None)
DISK = Drive(name="disk", kind="hdd35", interface="sata")
SPARE = Drive(name="spare", kind="hdd25", interface="sata", required=False)
STICK = Drive(name="stick", kind="ssd", interface="usb")
MODULE = Drive(name="module", kind="ssd", interface="m2-nvme")
CARD = Card(name="card", kind="graphics", bus="pcie", lanes=16, power_plugs=("6",), load_mw=100_000)
SOUND = Card(name="sound", kind="sound", bus="pcie", lanes=1, load_mw=3000)
DEVICES = (Device(name="scanner", port="usb"), Device(name="keyboard", port="ps2"))


def pc(board: Any = BOARD, brief: Brief | None = None, **survey: Any) -> Problem:
    tables = {"drives": (SYSTEM_DRIVE, DISK, STICK), "cards": (CARD, SOUND), "devices": DEVICES, **survey}
    return make_problem(make_survey(**tables), brief or Brief(replace=("psu", "drive")), boards=[board])


@pytest.mark.parametrize(
    ("header", "plugs", "way"),
    [
        (("8",), ("8",), "cpu"),
        (("8",), None, "cpu"),
        (("8",), (), "drives"),  # an adapter on the drive leads
        ((), ("8",), "main"),
        ((), (), "main"),
        (None, ("8",), "cpu"),
        (None, (), "drives"),
    ],
)
def test_the_way_to_the_processor(header: Any, plugs: Any, way: str) -> None:
    assert cpu_way(replace(BOARD, cpu_plugs=header), replace(PSU, cpu_plugs=plugs)) == way


def test_the_way_to_a_drive() -> None:
    ways = {kind: drive_way(Drive(name="d", interface=kind)) for kind in ("sata", "pata", "floppy", None)}  # type: ignore[arg-type]
    assert set(ways.values()) == {"drives"}
    for interface in ("m2-nvme", "m2-sata", "usb"):
        assert drive_way(DrivePart("d", "D", interface=interface)) == "main"


def test_all_drives_stay_connected() -> None:
    problem = pc(drives=(SYSTEM_DRIVE, DISK, SPARE), brief=Brief(leave_out=("spare",)))
    kept = DriveChoice("kept", SYSTEM_DRIVE, None)
    part = DrivePart("new", "New", kind="ssd", interface="m2-nvme", pcie_gen=4)
    assert all_drives(kept, problem) == (SYSTEM_DRIVE, DISK)
    assert all_drives(DriveChoice("new", None, part), problem) == (part, DISK)
    assert all_drives(DriveChoice("none", None, None), problem) == (DISK,)
    assert all_drives(kept, pc(drives=(SYSTEM_DRIVE, SPARE))) == (SYSTEM_DRIVE, SPARE)
    assert load_of_drive(DISK, problem) == loads.drive_load(DISK, problem.settings)
    same = Drive(name="d", kind="ssd", interface="m2-nvme", pcie_gen=4)
    assert load_of_drive(part, problem) == loads.drive_load(same, problem.settings)


A, B, C, D = (load_of_currents((n, 0, 0)) for n in (1, 20, 300, 4000))


def test_groups_together() -> None:
    found = Flows(cpu=A, main=B, drives=C, card=D)
    assert found.total.ma_12v == 4321
    assert found.load_of(("cpu", "drives")).ma_12v == 301
    assert found.load_of(()) == NOTHING and Flows().total == NOTHING
    assert found.load_of(("card", "main")).ma_12v == 4020


def summed(*parts: Load) -> Load:
    total = NOTHING
    for part in parts:
        total = total + part
    return total


@pytest.mark.parametrize(
    ("header", "plugs", "way"), [(("4",), ("8",), "cpu"), ((), ("8",), "main"), (("4",), (), "drives")]
)
def test_what_runs_where(header: Any, plugs: Any, way: str) -> None:
    """Each consumer in its group, and all together as `loads.total_load` adds them up."""
    board = replace(BOARD, cpu_plugs=header)
    problem = pc(board, psu=replace(PSU, cpu_plugs=plugs))
    settings, parts = problem.settings, pick(problem)
    drawn = loads.card_load(CARD, settings)
    sound = loads.card_load(SOUND, settings)
    main = summed(
        loads.board_load(board, settings),
        drawn.slot,
        sound.slot,
        loads.case_load(CASE, settings),
        loads.cpu_fan_load(settings),
        loads.usb_devices_load(problem),
        loads.ps2_devices_load(problem),
    )
    assert main_load(problem, board, CASE, OWN) == main
    memory = times_load(loads.module_load("ddr4", settings), 2)
    stick = loads.drive_load(STICK, settings)
    drives = summed(loads.drive_load(SYSTEM_DRIVE, settings), loads.drive_load(DISK, settings))
    expected = {"cpu": NOTHING, "main": summed(main, memory, stick), "drives": drives, "card": drawn.plugs}
    expected[way] = expected[way] + loads.cpu_load(CPU, settings)
    assert flows(problem, parts) == Flows(**expected)
    assert flows(problem, parts).total == loads.total_load(problem, parts)
    cpu = loads.cpu_load(CPU, settings)
    through = summed(main, cpu) if header == () else main
    assert main_plug_12v(problem, board, CPU, CASE, OWN) == (through.ma_12v, through.most_12v)


@pytest.mark.parametrize(
    ("header", "plugs", "way"), [(("4",), ("8",), "cpu"), ((), ("8",), "main"), (("4",), (), "drives")]
)
def test_what_runs_today(header: Any, plugs: Any, way: str) -> None:
    old = replace(OLD_BOARD, cpu_plugs=header)
    survey = make_survey(
        board=old,
        psu=replace(PSU, cpu_plugs=plugs),
        drives=(SYSTEM_DRIVE, DISK, STICK, MODULE),
        cards=(CARD, SOUND),
        devices=DEVICES,
    )
    problem = make_problem(survey)
    settings = problem.settings
    drawn = loads.card_load(CARD, settings)
    main = summed(
        loads.board_load(old, settings),
        drawn.slot,
        loads.card_load(SOUND, settings).slot,
        loads.case_load(CASE, settings),
        loads.cpu_fan_load(settings),
        loads.usb_devices_load(problem),
        loads.ps2_devices_load(problem),
        times_load(loads.module_load(MEMORY.generation, settings), MEMORY.count),
        loads.drive_load(STICK, settings),
        loads.drive_load(MODULE, settings),
    )
    drives = summed(loads.drive_load(SYSTEM_DRIVE, settings), loads.drive_load(DISK, settings))
    expected = {"cpu": NOTHING, "main": main, "drives": drives, "card": drawn.plugs}
    expected[way] = expected[way] + loads.cpu_load(OLD_CPU, settings)
    found = today_flows(problem)
    assert found == Flows(**expected) and today_flows(problem) is found
    assert found.total == loads.today_load(problem)
    mapping = today_mapping(problem)
    assert [circuit.groups for circuit in mapping] == [("cpu",), ("main",), ("drives",), ("card",)]
    slack = settings["today_slack_percent"]
    for circuit in mapping:
        load = expected[circuit.groups[0]]
        assert (circuit.work_ma, circuit.start_ma) == (
            load.ma_12v * (100 + slack) // 100,
            load.start_12v * (100 + slack) // 100,
        )


def test_consumers_one_by_one() -> None:
    problem = pc()
    parts = pick(problem)
    settings = problem.settings
    listed = consumers(problem, parts)
    assert [(group, name) for group, name, _ in listed] == [
        ("cpu", "processor"),
        ("main", "board"),
        ("main", "memory"),
        ("main", "processor fan"),
        ("main", "case fans"),
        ("main", "USB devices"),
        ("main", "PS/2 devices"),
        ("drives", "ssd"),
        ("drives", "disk"),
        ("main", "stick"),
        ("main", "card: slot"),
        ("card", "card: plugs"),
        ("main", "sound: slot"),
    ]
    by_name = {name: load for _, name, load in listed}
    assert by_name["processor"] == loads.cpu_load(CPU, settings)
    assert by_name["memory"] == times_load(loads.module_load("ddr4", settings), 2)
    assert by_name["disk"] == loads.drive_load(DISK, settings)
    assert by_name["card: plugs"] == loads.card_load(CARD, settings).plugs
    assert by_name["sound: slot"] == loads.card_load(SOUND, settings).slot
    assert summed(*by_name.values()) == loads.total_load(problem, parts)


# -- the tree -------------------------------------------------------------------------------------------------------


def leaf(name: str, usual: int, most: int, start: int, limit: int | None = None) -> Node:
    return Node("consumer", name, "12v", usual, most, start, limit)


def test_nodes() -> None:
    over = node_over("lead", "main", "12v", (leaf("a", 1, 2, 3), leaf("b", 10, 20, 30)), 22)
    assert (over.usual, over.most, over.start, over.limit) == (11, 22, 33, 22)
    assert over.share_permille == 500 and leaf("a", 1, 2, 3).share_permille is None
    assert leaf("a", 1, 2, 3, 0).share_permille is None and leaf("a", 2, 2, 2, 3).share_permille == 666
    top = node_over("rail", "12v", "12v", iter((over,)))
    assert [node.name for node in walk(top)] == ["12v", "main", "a", "b"] and top.limit is None
    assert node_over("rail", "12v", "12v", ()).usual == 0


@pytest.mark.parametrize(
    ("plug", "header", "currents"),
    [
        ("24", "24", (12_000, 30_000, 24_000)),
        ("20", "24", (6000, 24_000, 18_000)),
        ("24", "20", (6000, 24_000, 18_000)),
        (None, "24", (None, None, None)),
        ("24", None, (None, None, None)),
        ("own", "24", (None, None, None)),
        ("24", "own", (None, None, None)),
    ],
)
def test_contacts_that_plug_and_header_share(plug: Any, header: Any, currents: Any) -> None:
    supply, board = replace(PSU, main_plug=plug), replace(BOARD, main_plug=header)
    found = tuple(main_contacts_ma(supply, board, rail, 6000) for rail in ("12v", "5v", "3v3"))
    assert found == currents


def test_the_tree_of_a_pc() -> None:
    """Every rail holds its consumers once; places without a current are left out; limits stand where they belong."""
    problem = pc()
    parts = pick(problem)
    circuits = (
        Circuit(("cpu",), 18_000, 20_000),
        Circuit(("main", "drives"), 16_000, 18_000),
        Circuit(("x",), 1, 1),
    )
    limits = PlaceLimits(
        contacts={("main", "12v"): 12_000, ("cpu", "12v"): 28_000},
        leads={("drives", "12v"): 9000},
        rails={"12v": 24_000, "5v": 16_000},
        total_mw=320_000,
        headers={"processor fan": 1000},
        circuits=circuits,
    )
    top = network.network(problem, parts, limits)
    whole = loads.total_load(problem, parts)
    assert (top.kind, top.name, top.rail, top.usual, top.most, top.start, top.limit) == (
        "supply", "old supply", "", whole.mw, whole.most_mw, 0, 320_000,
    )  # fmt: skip
    rail_12v, rail_5v, rail_3v3 = top.below
    assert [(r.kind, r.name, r.rail, r.limit) for r in top.below] == [
        ("rail", "12v", "12v", 24_000),
        ("rail", "5v", "5v", 16_000),
        ("rail", "3v3", "3v3", None),
    ]
    # The circuit of the cards is none of the label's here: what hangs on no circuit is not drawn.
    assert [(n.kind, n.name, n.rail, n.limit) for n in rail_12v.below] == [
        ("circuit", "cpu", "12v", 18_000),
        ("circuit", "main+drives", "12v", 16_000),
    ]
    main, drives = rail_12v.below[1].below
    assert [(n.kind, n.name, n.limit) for n in (main, drives)] == [
        ("lead", "main", None),
        ("lead", "drives", 9000),
    ]
    (contacts,) = main.below
    assert (contacts.kind, contacts.name, contacts.limit) == ("contacts", "main", 12_000)
    fan = next(n for n in contacts.below if n.name == "processor fan")
    assert (fan.kind, fan.limit, fan.rail) == ("consumer", 1000, "12v")
    assert [n.name for n in drives.below[0].below] == ["disk"]  # an SSD takes no 12 V
    disk = drives.below[0].below[0]
    own = loads.drive_load(DISK, problem.settings)
    assert (disk.usual, disk.most, disk.start) == (own.ma_12v, own.most_12v, own.start_12v)
    assert (rail_5v.usual, rail_5v.most, rail_5v.start) == (whole.ma_5v, whole.most_5v, whole.start_5v)
    assert (rail_3v3.usual, rail_3v3.most, rail_3v3.start) == (whole.ma_3v3, whole.most_3v3, whole.ma_3v3)
    assert [n.name for n in rail_5v.below] == ["main", "drives"] and [n.name for n in rail_3v3.below] == [
        "main"
    ]
    plain = network.network(problem, parts, replace(limits, circuits=()))
    assert [n.name for n in plain.below[0].below] == ["cpu", "main", "drives", "card"]
    assert (plain.below[0].usual, plain.below[0].most) == (whole.ma_12v, whole.most_12v)
    assert plain.below[0].start == whole.start_12v


# -- what is not known ----------------------------------------------------------------------------------------------

UNSTATED = Card(name="unstated", kind="graphics", bus="pcie", lanes=16, power_plugs=("6",))
UNSEEN = Card(name="unseen", kind="graphics", bus="pcie", lanes=16)


def test_a_card_whose_load_nobody_stated() -> None:
    assert unknown_card_question(pc(cards=(SOUND, UNSTATED)), BOARD, CASE, OWN) == "card:unstated.load_mw"
    assert unknown_card_question(pc(), BOARD, CASE, OWN) is None
    assert unknown_card_question(pc(cards=()), BOARD, CASE, OWN) is None


@pytest.mark.parametrize(
    ("cpu", "board", "cards", "asked"),
    [
        ({}, {}, (), None),
        ({"power_limit_w": None, "year": 2018}, {}, (), "cpu:cpu-a.power_limit_w"),
        ({}, {"load_mw": None}, (), "board:board-a.load_mw"),
        ({}, {"load_mw": None}, (CARD,), "board:board-a.load_mw"),
        ({}, {}, (UNSEEN,), "card:unseen.power_plugs"),
        ({}, {}, (UNSTATED,), "card:unstated.load_mw"),
        # The widest of several: 90 W of the unseen card's, before some ten of the board's.
        ({}, {"load_mw": None}, (UNSEEN,), "card:unseen.power_plugs"),
        ({}, {"load_mw": None}, (UNSTATED,), "board:board-a.load_mw"),
        # Of equally wide ones the last by name.
        (
            {},
            {},
            (UNSEEN, UNSEEN.model_copy(update={"name": "alike", "lanes": 1})),
            "card:unseen.power_plugs",
        ),
        ({}, {}, (UNSEEN, UNSEEN.model_copy(update={"name": "z", "lanes": 1})), "card:z.power_plugs"),
    ],
)
def test_the_fact_that_would_narrow_most(cpu: Any, board: Any, cards: Any, asked: str | None) -> None:
    problem = make_problem(
        make_survey(cards=cards), boards=[replace(BOARD, **board)], cpus=[replace(CPU, **cpu)]
    )
    assert widest_unstated(problem, pick(problem)) == asked


# -- limits ---------------------------------------------------------------------------------------------------------


def drawn(cpu: tuple[int, int] = (0, 0), main: tuple[int, int] = (0, 0)) -> Flows:
    """12 V at work and while the disks start."""
    return Flows(*(load_of_currents((work, 0, 0), None, (start, 0)) for work, start in (cpu, main)))


PLAIN = (Circuit(("cpu",), 10, 12), Circuit(("main", "drives", "card"), 20, 22))


@pytest.mark.parametrize(
    ("cpu", "main", "found", "fits"),
    [
        ((4, 4), (5, 5), (4, 10, False), True),
        ((10, 10), (5, 5), (10, 10, False), True),
        ((11, 11), (5, 5), (11, 10, False), False),
        ((4, 13), (5, 5), (13, 12, True), False),
        ((4, 12), (5, 5), (12, 12, True), True),
        ((11, 30), (5, 5), (11, 10, False), False),  # what lasts counts first
        ((4, 4), (19, 19), (19, 20, False), True),
        ((4, 4), (19, 22), (22, 22, True), True),
        ((9, 9), (19, 19), (19, 20, False), True),  # of equal room the larger current
        ((8, 11), (5, 21), (21, 22, True), True),
        ((10, 12), (0, 0), (12, 12, True), True),
    ],
)
def test_the_circuit_with_the_least_room(cpu: Any, main: Any, found: Any, fits: bool) -> None:
    assert most_loaded(PLAIN, drawn(cpu, main)) == found
    assert mapping_fits(PLAIN, drawn(cpu, main)) is fits


def test_the_mapping_that_the_picture_shows(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = pc()
    kept = pick(problem)
    narrow = (Circuit(("cpu",), 1, 1), Circuit(("main", "drives", "card"), 1, 1))
    wide = (Circuit(("cpu", "main", "drives", "card"), 90_000, 90_000),)
    wider = (Circuit(("cpu", "main", "drives", "card"), 99_000, 99_000),)

    def shown(mappings: Any, today: Any, parts: Any = kept) -> Any:
        monkeypatch.setattr(network_limits, "rail_mappings", lambda *_: mappings)
        monkeypatch.setattr(network_limits, "today_mapping", lambda *_: today)
        return likely_mapping(problem, parts)

    assert shown((narrow, wide, wider), narrow) == wide  # the first that fits
    assert shown((wide, narrow), wide) == wide  # also where today fits too
    assert shown((narrow,), narrow) == narrow  # none fits: the guide's
    assert shown((narrow,), wide) == ()  # the supply carries as much today
    assert shown((), narrow) == () and shown((), wide) == ()
    bought = replace(kept.candidate("psu"), kept=False)
    new = replace(kept, picked=(*kept.picked[:4], bought, *kept.picked[5:]))
    assert shown((narrow,), wide, new) == narrow  # what the old one carries says nothing of a new one


@pytest.mark.parametrize(
    ("plug", "header", "with_processor", "limits"),
    [
        ("24", "24", False, (12_000, 13_200)),
        ("24", "24", True, (12_000, 12_000)),
        ("20", "24", False, (6000, 6600)),
        ("24", "20", False, (6000, 6600)),
        ("20", "20", True, (6000, 6000)),
    ],
)
def test_the_main_plug(plug: str, header: str, with_processor: bool, limits: tuple[int, int]) -> None:
    """6 A a contact, a tenth more with a warning; a processor behind it gets no tenth."""
    light = pc(cards=(), drives=(SYSTEM_DRIVE,), devices=(), psu=replace(PSU, main_plug=plug))
    kept = pick(light).candidate("psu")
    found = main_plug_limits_ma(light, kept, header, with_processor)
    assert found == limits
    settings = {**light.settings, "main_contact_over_percent": 25}
    usual = limits[0]
    changed = replace(light, settings=settings)
    assert main_plug_limits_ma(changed, kept, header, with_processor)[1] == (
        usual if with_processor else usual * 125 // 100
    )


@pytest.mark.parametrize(
    ("today_plug", "today_header", "header", "counts"),
    [
        ("24", "24", "24", True),
        ("24", "24", "20", False),  # one contact is to carry what two carry today
        ("20", "24", "20", True),
        ("20", "24", "24", True),
        ("24", "20", "24", True),
        ("24", "own", "24", False),
        ("24", None, "24", False),
    ],
)
def test_the_same_contacts_carry_what_they_carry_today(
    monkeypatch: pytest.MonkeyPatch, today_plug: Any, today_header: Any, header: str, counts: bool
) -> None:
    monkeypatch.setattr(network_limits, "today_flows", lambda _: drawn(main=(50_000, 1)))
    survey = make_survey(
        psu=replace(PSU, main_plug=today_plug), board=replace(OLD_BOARD, main_plug=today_header)
    )
    problem = replace(make_problem(survey), settings={**make_problem().settings, "today_slack_percent": 10})
    kept = pick(problem).candidate("psu")
    usual = 6000 if "20" in (today_plug, header) else 12_000
    assert main_plug_limits_ma(problem, kept, header, False) == (
        usual,
        55_000 if counts else usual * 11 // 10,
    )
    new = replace(kept, kept=False)
    assert main_plug_limits_ma(problem, new, header, False) == (usual, usual * 11 // 10)


def test_limits_of_all_places() -> None:
    """A supply of 2018 is trusted with 80 %: 24 A of 30, 16 of 20 at 5 V and 3.3 V, 320 of 400 W."""
    problem = pc()
    parts = pick(problem)
    found = place_limits(problem, parts)
    assert found.contacts == {
        ("main", "12v"): 13_200,
        ("main", "5v"): 30_000,
        ("main", "3v3"): 24_000,
        ("cpu", "12v"): 16_000,  # an 8 plug in a header of 4: two contacts of 8 A
        ("card", "12v"): 6750,
    }
    assert found.leads == {("drives", "12v"): 9000}
    assert found.rails == {"12v": 24_000, "5v": 16_000, "3v3": 16_000}
    assert (found.total_mw, found.headers, found.circuits) == (320_000, {"processor fan": 1000}, ())


@pytest.mark.parametrize(
    ("psu", "survey", "place", "limit"),
    [
        ({"main_plug": "own"}, {}, ("contacts", ("main", "12v")), None),
        ({"cpu_plugs": ()}, {}, ("contacts", ("cpu", "12v")), None),
        ({"cpu_plugs": None}, {}, ("contacts", ("cpu", "12v")), None),
        ({"card_plugs": None}, {}, ("contacts", ("card", "12v")), None),
        ({"card_plugs": ()}, {}, ("contacts", ("card", "12v")), None),
        ({"card_plugs": ("8",)}, {}, ("contacts", ("card", "12v")), 6750),
        ({}, {"cards": (SOUND,)}, ("contacts", ("card", "12v")), None),
        (
            {"card_plugs": ("6", "8")},
            {"cards": (CARD.model_copy(update={"power_plugs": ("6", "8")}),)},
            ("contacts", ("card", "12v")),
            20_250,
        ),
        ({"sata_leads": 2}, {}, ("leads", ("drives", "12v")), 18_000),
        ({"sata_leads": 2, "peripheral_leads": 3}, {}, ("leads", ("drives", "12v")), 18_000),
        (
            {"sata_leads": 2, "peripheral_leads": 3},
            {"drives": (SYSTEM_DRIVE, DISK, Drive(name="old", interface="pata"))},
            ("leads", ("drives", "12v")),
            45_000,
        ),
        ({"peripheral_leads": 3}, {"drives": (Drive(name="old", interface="pata"),)}, ("leads", ("drives", "12v")), 27_000),
        ({}, {"drives": (Drive(name="old", interface="pata"),)}, ("leads", ("drives", "12v")), 9000),
        ({}, {"drives": ()}, ("leads", ("drives", "12v")), None),
    ],
)  # fmt: skip
def test_limits_of_one_place(psu: Any, survey: Any, place: Any, limit: int | None) -> None:
    problem = pc(psu=replace(PSU, **psu), **survey)
    table, key = place
    assert getattr(place_limits(problem, pick(problem)), table).get(key) == limit


def test_labels_that_say_nothing_limit_nothing() -> None:
    bare = dict.fromkeys(
        ("rated_w", "rail_12v_ma", "combined_12v_ma", "rail_5v_ma", "rail_3v3_ma", "combined_5v_3v3_mw")
    )
    problem = pc(psu=replace(PSU, **bare))
    found = place_limits(problem, pick(problem))
    assert (found.rails, found.total_mw) == ({}, None)
    no_header = replace(BOARD, cpu_plugs=())
    problem = pc(no_header)
    found = place_limits(problem, pick(problem))
    assert found.contacts["main", "12v"] == 12_000 and ("cpu", "12v") not in found.contacts
    split = pc(psu=replace(PSU, rail_12v_ma=(18_000, 18_000)))
    circuits = place_limits(split, pick(split)).circuits
    assert [circuit.groups for circuit in circuits] == [("cpu",), ("main", "drives", "card")]
    top = network_of(split, pick(split))
    assert [node.name for node in top.below[0].below] == ["cpu", "main+drives+card"]


def test_the_tightest_place() -> None:
    a, b = leaf("a", 5, 0, 0, 10), leaf("b", 6, 0, 0, 10)
    top = Node("rail", "12v", "12v", 11, 0, 0, 100, (a, b))
    assert tightest_node(top) == b
    equal = Node("rail", "12v", "12v", 60, 0, 0, 100, (a, b))
    assert tightest_node(equal) == equal  # the highest up
    assert tightest_node(leaf("a", 5, 0, 0)) is None
    assert tightest_node(leaf("a", 5, 0, 0, 0)) is None


@pytest.mark.parametrize(
    ("rail", "usual", "limit", "margin"),
    [
        ("", 100, 350, 250),
        ("12v", 100, 350, 3000),
        ("5v", 100, 350, 1250),
        ("3v3", 100, 350, 825),
        ("3v3", 100, 101, 3),
        ("12v", 100, 99, -12),
        ("12v", 100, None, -1200),
    ],
)
def test_room_as_power(rail: str, usual: int, limit: int | None, margin: int) -> None:
    assert margin_mw(Node("x", "x", rail, usual, 0, 0, limit)) == margin
