"""Power plugs of cards and drives, with adapters that share the supply's peripheral plugs and their leads.

A peripheral contact and its lead carry 9 A at 18 AWG (AMP catalogue 82181); a card's 8-contact plug is rated
150 W = 12.5 A, a 6-contact one 75 W = 6.25 A (Intel 336521, table 3-5).

A 6-contact socket takes a 6 or a divisible 6+2, an 8-contact one only an 8 (Upgrading and Repairing PCs, pp.
933-935); a SATA plug carries 4.5 A per rail (encyclopaedia copy and a secondary page), a 3.5-inch disk starts
with 2.8 A (disk manuals): two such disks never share a splitter.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from needs_check import same_needs
from support import (
    BOARD,
    PSU,
    SYSTEM_DRIVE,
    agree,
    findings,
    make_problem,
    make_survey,
    needs_of,
    pick,
    plain_draft,
)

from partsolver.assembly.leads import hangs, no_more_than
from partsolver.assembly.loads import card_load
from partsolver.assembly.plugs import free_card_plugs, missing_card_plugs
from partsolver.catalog.records import DrivePart, Extra
from partsolver.catalog.sockets import Slot
from partsolver.plan.draft import Draft
from partsolver.problem.problem import Problem
from partsolver.rules import power_card_plugs, power_drive_plugs, power_leads
from partsolver.survey.model import Card, Drive
from partsolver.wishes.brief import Brief

NEW_PSU = replace(PSU, id="psu-new", name="new supply")


def extra(id: str, kind: str, takes: str, gives: str, count: int = 1, limit_ma: int | None = None) -> Extra:
    return Extra(id=id, name=id, kind=kind, takes=(takes,), gives=(gives,), count=count, limit_ma=limit_ma)


CARD6 = extra("card6", "card-plug-adapter", "peripheral", "6", 2)
CARD8 = extra("card8", "card-plug-adapter", "peripheral", "8", 2)
SPLIT = extra("split", "sata-power-splitter", "sata", "sata", 1, 4500)
FROM_PERIPHERAL = extra("from-perip", "sata-power-from-peripheral", "peripheral", "sata")
FROM_SATA = extra("from-sata", "peripheral-from-sata", "sata", "peripheral")
TWO_FROM_SATA = replace(FROM_SATA, id="of-two", count=2)
CPU4 = extra("cpu4", "cpu-plug-adapter", "peripheral", "4", 2, 12000)
DISK = Drive(name="disk", kind="hdd35", interface="sata")
SSD = Drive(name="second ssd", kind="ssd", interface="sata")
OLD_DISK = Drive(name="old disk", kind="hdd35", interface="pata")


def replace_of(drive: Drive, **changes: Any) -> Drive:
    return drive.model_copy(update=changes)


def graphics(*plugs: str) -> Card:
    return Card(
        name="graphics",
        kind="graphics",
        bus="pcie",
        lanes=16,
        height="full",
        width_slots=1,
        power_plugs=plugs,
    )  # type: ignore[arg-type]


def test_a_card_of_which_nobody_saw_the_plugs_is_asked_for() -> None:
    """The plausible worst is a card with one plug of 8 contacts: 75 + 150 W; a low-profile or PCI card has
    none."""
    card = graphics().model_copy(update={"power_plugs": None, "load_mw": None})
    problem = make_problem(make_survey(cards=(card,)))
    (found,) = findings(power_card_plugs, problem)
    assert (found.verdict, found.blocks, found.question) == ("unknown", False, "card:graphics.power_plugs")
    draw = card_load(card, problem.settings)
    assert (
        draw.slot.mw + draw.plugs.mw == 65_004 and draw.plugs.ma_12v == 0
    )  # measured cards without plugs, 28-60 W
    most = draw.slot.most_mw + draw.plugs.most_mw
    assert 225_000 <= most < 225_100 and draw.plugs.most_12v > 12_000
    for change in ({"height": "low"}, {"bus": "agp"}, {"bus": "pci"}, {"power_plugs": ()}):
        plain = make_problem(make_survey(cards=(card.model_copy(update=change),)))
        assert findings(power_card_plugs, plain) == ()
    # 120 W and no plugs cannot both be: somebody has to look.
    odd = make_problem(make_survey(cards=(card.model_copy(update={"power_plugs": (), "load_mw": 120_000}),)))
    assert findings(power_card_plugs, odd)[0].question == "card:graphics.power_plugs"
    # A stated load above what a slot gives (75 W) runs through plugs, seen or not.
    strong = card_load(card.model_copy(update={"load_mw": 150_000}), problem.settings)
    assert strong.slot.ma_12v < 5500 < strong.plugs.ma_12v
    assert findings(power_card_plugs, problem, problem.present()) == ()


@pytest.mark.parametrize(
    "sockets, plugs, missing",
    [
        (("6",), ("6",), ()),
        (("6",), ("8",), ()),
        (("8",), ("6",), ("8",)),
        (("6", "8"), ("8", "6"), ()),
        (("6", "8"), ("8",), ("6",)),  # the 8 goes where only an 8 fits
        (("6", "6"), ("8", "6"), ()),
        (("16",), ("8", "8"), ("16",)),
    ],
)
def test_missing_card_plugs(
    sockets: tuple[str, ...], plugs: tuple[str, ...], missing: tuple[str, ...]
) -> None:
    assert missing_card_plugs(sockets, plugs) == missing


@pytest.mark.parametrize(
    "wanted, given, peripherals, leads, drives, load_w, fed, verdict",
    [
        (("6",), ("6",), 0, None, (), None, 1, "fits"),
        (("8",), ("6",), 1, 1, (), 200, 0, "fails"),  # the adapter takes two plugs
        (("8",), ("6",), 2, 2, (), 200, 1, "fits"),  # 6.25 A on each of two leads
        (("8",), ("6",), 2, 1, (), 200, 0, "fails"),  # 12.5 A on one lead
        (("8",), ("6",), 2, None, (), 200, 0, "unknown"),  # asked, and blocked until then
        (("8",), ("6",), 2, 1, (), 100, 1, "fits"),  # a card of 100 W draws no more than 8.3 A through it
        (("6",), (), 2, 1, (), None, 1, "fits"),  # 6.25 A on 9 A
        (
            ("6",),
            (),
            3,
            1,
            (OLD_DISK,),
            None,
            1,
            "fits",
        ),  # and a disk of 0.75 A; both at the start: 3.1 + 2.8 A
        (("6", "6"), (), 4, 1, (), None, 0, "fails"),  # 12.5 A on one lead
        (("6", "6"), (), 4, 2, (), None, 2, "fits"),
        (("6", "8"), (), 3, 3, (), None, 0, "fails"),  # two adapters, four plugs
        (("6", "8"), (), 4, 4, (), None, 2, "fits"),
        (("16",), ("8",), 9, 9, (), None, 0, "fails"),
    ],
)
def test_card_plugs(
    wanted: tuple[str, ...],
    given: tuple[str, ...],
    peripherals: int,
    leads: int | None,
    drives: tuple[Drive, ...],
    load_w: int | None,
    fed: int,
    verdict: str,
) -> None:
    survey = make_survey(
        psu=replace(PSU, card_plugs=given, peripheral_plugs=peripherals, peripheral_leads=leads),
        cards=(graphics(*wanted).model_copy(update={"load_mw": None if load_w is None else load_w * 1000}),),
        drives=drives,
    )
    problem = make_problem(survey, extras=[CARD6, CARD8])
    (found,) = (
        findings(power_card_plugs, problem)
        if fed
        else power_card_plugs.admits(Draft(pick(problem), (), (), 0, 0), problem)
    )
    assert (found.verdict, found.admits) == (verdict, verdict == "fits")
    agree(power_card_plugs, problem)
    if verdict == "unknown":
        assert found.question == "psu.peripheral_leads"
        return
    assert (found.value, found.limit, found.margin) == (fed, len(wanted), fed - len(wanted))
    assert (found.fact("sockets"), found.fact("plugs")) == ("+".join(wanted), "+".join(given) or "none")


def test_one_contact_never_feeds_an_eight_contact_socket() -> None:
    """200 W card, adapter from one peripheral plug: 12.5 A through one contact (turn-2 case 2), whatever
    the leads."""
    single = extra("card8-1", "card-plug-adapter", "peripheral", "8", 1)
    card = graphics("8").model_copy(update={"load_mw": 200_000})
    for leads in (1, 3):
        psu = replace(PSU, card_plugs=(), peripheral_plugs=3, peripheral_leads=leads)
        problem = make_problem(make_survey(psu=psu, cards=(card,)), extras=[single])
        assert all(not need.options for need in needs_of(power_card_plugs, pick(problem), problem))
    limited = extra("card8-2", "card-plug-adapter", "peripheral", "8", 2, limit_ma=9000)
    psu = replace(PSU, card_plugs=(), peripheral_plugs=3, peripheral_leads=3)
    problem = make_problem(make_survey(psu=psu, cards=(card,)), extras=[limited])  # its own limit is read
    assert all(not need.options for need in needs_of(power_card_plugs, pick(problem), problem))


def test_card_plugs_leave_the_processor_its_adapter() -> None:
    """Four plugs and leads enough for both adapters; on one lead 8.3 + 6.25 A are too much (9 A wire)."""
    for peripherals, leads, verdict in ((3, 3, "fails"), (4, 4, "fits"), (4, 1, "fails")):
        psu = replace(PSU, card_plugs=(), cpu_plugs=(), peripheral_plugs=peripherals, peripheral_leads=leads)
        problem = make_problem(make_survey(psu=psu, cards=(graphics("6"),)), extras=[CARD6, CPU4])
        options = [need.options for need in needs_of(power_card_plugs, pick(problem), problem)]
        assert all(options) == (verdict == "fits"), (peripherals, leads)


def test_card_plugs_irrelevant_unknown_and_today() -> None:
    assert findings(power_card_plugs, make_problem()) == ()
    problem = make_problem(make_survey(psu=replace(PSU, card_plugs=None), cards=(graphics("6"),)))
    (found,) = findings(power_card_plugs, problem)
    assert (found.verdict, found.question, found.admits) == ("unknown", "psu.card_plugs", True)
    problem = make_problem(make_survey(psu=replace(PSU, card_plugs=()), cards=(graphics("6"),)))
    present = problem.present()
    assert present is not None and findings(power_card_plugs, problem, present)[0].facts == (
        ("today", "yes"),
    )
    without_slot = make_problem(
        make_survey(psu=replace(PSU, card_plugs=()), cards=(graphics("6"),)),
        boards=[replace(BOARD, slots=())],
    )
    assert findings(power_card_plugs, without_slot) == ()


def test_card_plugs_agree() -> None:
    brief = Brief(budget="10000.00", replace=("psu", "drive"))
    drives = [DrivePart(id="pata-disk", name="disk", kind="hdd35", interface="pata", read_mbs=80)]
    psus = [
        replace(NEW_PSU, card_plugs=(), peripheral_plugs=2),
        replace(NEW_PSU, id="psu-8", card_plugs=("8",)),
        replace(NEW_PSU, id="psu-u", card_plugs=None),
        replace(NEW_PSU, id="psu-w", card_plugs=(), cpu_plugs=None, peripheral_plugs=2),
    ]
    # Of one board the slot is too short, and nobody looked at the processor's header.
    boards = [BOARD, replace(BOARD, id="board-x1", slots=(Slot("x1", 1),), cpu_plugs=None)]
    survey = make_survey(cards=(graphics("6"),), psu=replace(PSU, card_plugs=(), peripheral_leads=1))
    for extras in ([CARD6], []):
        problem = make_problem(
            survey,
            brief,
            boards=boards,
            psus=psus,
            drives=drives,
            extras=extras,
            cpus=[],
            memory=[],
            coolers=[],
        )
        assert min(agree(power_card_plugs, problem)) > 0


def drive_problem(
    drives: tuple[Drive, ...],
    sata: int | None,
    peripherals: int | None,
    *extras: Extra,
    cpu: tuple[str, ...] = ("8",),
    **tables: Any,
) -> Problem:
    return make_problem(
        make_survey(
            psu=replace(PSU, sata_plugs=sata, peripheral_plugs=peripherals, cpu_plugs=cpu), drives=drives
        ),
        extras=extras,
        **tables,
    )


@pytest.mark.parametrize(
    "drives, sata, peripherals, extras, bought, verdicts",
    [
        ((SYSTEM_DRIVE, DISK), 2, 0, (), [], ["fits"]),
        ((SYSTEM_DRIVE, DISK), 1, 0, (), [], ["fails"]),
        ((SYSTEM_DRIVE, DISK), 1, 0, (SPLIT,), [("split", 1)], ["fits"]),  # 2.8 A on one plug
        ((DISK, DISK.model_copy(update={"name": "d2"})), 1, 0, (SPLIT,), [], ["fails"]),  # 5.6 A on one plug
        ((SYSTEM_DRIVE, DISK), 0, 0, (SPLIT,), [], ["fails"]),  # nothing to split
        ((SYSTEM_DRIVE, DISK, SSD), 1, 2, (SPLIT, FROM_PERIPHERAL), [("from-perip", 2)], ["fits"]),
        ((SYSTEM_DRIVE, DISK, SSD), 1, 1, (SPLIT, FROM_PERIPHERAL), [], ["fails"]),
        ((OLD_DISK,), 1, 0, (FROM_SATA,), [("from-sata", 1)], ["fits"]),
        # Two disks behind one SATA plug of 4.5 A: 5.6 A at their start; of the 2.0 A kind 4.0 A.
        ((OLD_DISK, replace_of(OLD_DISK, name="d2")), 1, 0, (TWO_FROM_SATA,), [], ["fails"]),
        (
            tuple(replace_of(OLD_DISK, name=name, start_12v_ma=2000) for name in ("d1", "d2")),
            1,
            0,
            (TWO_FROM_SATA,),
            [("of-two", 1)],
            ["fits"],
        ),
        # On two SATA plugs each of them has its own 4.5 A; a lead that takes less itself feeds none.
        ((OLD_DISK, replace_of(OLD_DISK, name="d2")), 2, 0, (FROM_SATA,), [("from-sata", 2)], ["fits"]),
        ((OLD_DISK,), 1, 0, (replace(FROM_SATA, limit_ma=2500),), [], ["fails"]),
        ((OLD_DISK, SYSTEM_DRIVE), 1, 0, (FROM_SATA,), [], ["fits", "fails"]),
        ((OLD_DISK, SYSTEM_DRIVE), 0, 1, (FROM_PERIPHERAL,), [], ["fails", "fits"]),
        ((OLD_DISK, SYSTEM_DRIVE), 0, 2, (FROM_PERIPHERAL,), [("from-perip", 1)], ["fits", "fits"]),
    ],
)
def test_drive_plugs(
    drives: tuple[Drive, ...],
    sata: int,
    peripherals: int,
    extras: tuple[Extra, ...],
    bought: list[tuple[str, int]],
    verdicts: list[str],
) -> None:
    problem = drive_problem(drives, sata, peripherals, *extras)
    parts = next(p for p in [problem.present()] if p is not None)
    new_board = replace(
        parts, picked=(next(c for c in problem.slot("board") if not c.kept), *parts.picked[1:])
    )
    assert [
        option for need in needs_of(power_drive_plugs, new_board, problem) for option in need.options
    ] == bought
    found = findings(power_drive_plugs, problem, new_board)
    assert [f.verdict for f in found] == verdicts
    assert all(f.verdict == "fits" for f in findings(power_drive_plugs, problem, parts))  # connected today


@pytest.mark.parametrize(
    ("headers", "peripherals", "verdict"),
    [
        (("4",), 3, "fails"),
        (("4",), 4, "fits"),
        ((), 3, "fits"),
        (None, 3, "fits"),  # power.cpu_plug asks what the board has, and bars it until then
    ],
)
def test_drive_plugs_leave_the_processor_its_adapter(
    headers: tuple[str, ...] | None, peripherals: int, verdict: str
) -> None:
    drives, board = (SYSTEM_DRIVE, DISK, SSD), replace(BOARD, cpu_plugs=headers)
    problem = drive_problem(drives, 1, peripherals, FROM_PERIPHERAL, CPU4, cpu=(), boards=[board])
    draft = plain_draft(power_drive_plugs, problem, pick(problem)) or Draft(pick(problem), (), (), 0, 0)
    assert power_drive_plugs.admits(draft, problem)[0].verdict == verdict
    agree(power_drive_plugs, problem)


def test_drive_plugs_facts_and_unknown() -> None:
    (found,) = findings(power_drive_plugs, drive_problem((SYSTEM_DRIVE, DISK), 1, 0, SPLIT))
    assert (found.value, found.limit, found.margin, found.unit, found.parts) == (
        2,
        2,
        0,
        "plugs",
        ("kept-psu",),
    )
    assert found.facts == (("added", 1), ("plug", "sata"))
    found_two = findings(power_drive_plugs, drive_problem((SYSTEM_DRIVE, OLD_DISK), None, None))
    assert [f.question for f in found_two] == ["psu.sata_plugs", "psu.peripheral_plugs"] and all(
        f.admits for f in found_two
    )


@pytest.mark.parametrize(
    ("leads", "said"),
    [
        (1, ("fails", 0, 4, False, None)),
        (2, ("fits", 4, 4, False, None)),
        (None, ("unknown", None, None, True, "psu.peripheral_leads")),  # on two leads it would do
    ],
)
def test_a_lack_that_more_leads_would_cure_is_asked_only_where_nobody_counted_them(
    leads: int | None, said: tuple[object, ...]
) -> None:
    """Four disks that start with 2.8 A each, 11.2 A, through adapters: too much for one lead of 9 A, not for two."""
    disks = tuple(DISK.model_copy(update={"name": f"disk {n}", "start_12v_ma": 2800}) for n in range(4))
    psu = replace(PSU, sata_plugs=0, peripheral_plugs=4, peripheral_leads=leads)
    problem = make_problem(make_survey(psu=psu, drives=disks), extras=[FROM_PERIPHERAL])
    draft = plain_draft(power_drive_plugs, problem, pick(problem)) or Draft(pick(problem), (), (), 0, 0)
    (found,) = power_drive_plugs.admits(draft, problem)
    assert (found.verdict, found.value, found.limit, found.blocks, found.question) == said
    assert found.fact("plug") == "sata"


@pytest.mark.parametrize(
    ("now", "plugs", "bought", "verdicts"),
    [
        ((), 0, "ssd", ["fits"]),  # a maker's 12 V supply: the board feeds the drives
        ((DISK,), 1, "ssd", ["fits"]),  # two drives on one plug and a splitter
        ((), 0, "nvme", []),
        ((), 0, "disk", ["fails"]),  # a disk draws more than the solid-state drive that it replaces
        ((), 1, "disk", ["fits"]),
    ],
)
def test_a_drive_takes_the_plug_of_the_one_that_it_replaces(
    now: tuple[Drive, ...], plugs: int, bought: str, verdicts: list[str]
) -> None:
    """Board and supply stay. Makers' supplies of 12 V alone have no drive plugs: their boards feed the drives (loads
    reference, section 7: a maker's 12 V only, 2009 on)."""
    kinds: dict[str, dict[str, Any]] = {
        "ssd": {"kind": "ssd", "interface": "sata", "sata_gbps10": 60},
        "disk": {"kind": "hdd35", "interface": "sata", "sata_gbps10": 60},
        "nvme": {"kind": "ssd", "interface": "m2-nvme"},
    }
    psu = replace(PSU, main_plug="own", pinout="own", sata_plugs=plugs, peripheral_plugs=0)
    problem = make_problem(
        make_survey(psu=psu, drives=(SYSTEM_DRIVE, *now)),
        Brief(budget="10000.00", replace=("drive",)),
        drives=[DrivePart(id=bought, name=bought, read_mbs=500, capacity_gb=480, **kinds[bought])],
    )
    keys = {"board": "kept-board", "cpu": "kept-cpu", "memory": "kept-memory", "drive": bought}
    parts = pick(problem, **keys)
    draft = plain_draft(power_drive_plugs, problem, parts) or Draft(parts, (), (), 0, 0)
    assert [f.verdict for f in power_drive_plugs.admits(draft, problem)] == verdicts
    agree(power_drive_plugs, problem)
    # On another board that is no answer.
    other = pick(problem, **{**keys, "board": "board-a"})
    draft = plain_draft(power_drive_plugs, problem, other) or Draft(other, (), (), 0, 0)
    enough = plugs > len(now) or bought == "nvme"
    assert all(f.admits for f in power_drive_plugs.admits(draft, problem)) == enough


def test_drive_plugs_agree() -> None:
    brief = Brief(budget="10000.00", replace=("psu", "drive"))
    drives = [
        DrivePart(id="hdd", name="disk", kind="hdd35", interface="sata", read_mbs=150),
        DrivePart(id="nvme", name="m", kind="ssd", interface="m2-nvme", read_mbs=2000),
    ]
    psus = [
        replace(NEW_PSU, sata_plugs=1),
        replace(NEW_PSU, id="psu-u", sata_plugs=None, cpu_plugs=None),
        replace(NEW_PSU, id="psu-p", sata_plugs=0, cpu_plugs=()),
    ]
    survey = make_survey(drives=(SYSTEM_DRIVE, DISK), psu=replace(PSU, sata_plugs=1, peripheral_plugs=0))
    problem = make_problem(
        survey,
        brief,
        boards=[BOARD, replace(BOARD, id="z-8", cpu_plugs=("8",))],  # before and after the present one
        psus=psus,
        drives=drives,
        extras=[SPLIT, FROM_PERIPHERAL, CPU4],
        cpus=[],
        memory=[],
        coolers=[],
    )
    assert min(agree(power_drive_plugs, problem)) > 0
    assert same_needs(power_drive_plugs, problem)[0] > 0


@pytest.mark.parametrize(
    "starts, plugs, leads, verdict",
    [
        ((2800,) * 3, 4, 1, "fits"),  # 8.4 A on one lead of 9 A
        ((2800,) * 4, 4, 1, "fails"),
        ((2800,) * 4, 4, 2, "fits"),  # two on each
        ((2800,) * 4, 4, None, "unknown"),  # asked: two leads would do
        ((2800,) * 7, 7, 2, "fails"),  # four on one of them
        ((6000,) * 3, 3, 2, "fails"),  # 18 A in all, as two leads carry, and two never share one
        ((2000,) * 4, 4, None, "fits"),  # slow disks: 8 A on whatever lead
    ],
)
def test_leads_of_drives(starts: tuple[int, ...], plugs: int, leads: int | None, verdict: str) -> None:
    drives = tuple(
        Drive(name=f"disk {i}", kind="hdd35", interface="sata", start_12v_ma=start)
        for i, start in enumerate(starts)
    )
    survey = make_survey(psu=replace(PSU, id="p", sata_plugs=plugs, sata_leads=leads), drives=drives)
    new = replace(NEW_PSU, sata_plugs=plugs, sata_leads=leads)
    problem = make_problem(survey, Brief(budget="10000.00", replace=("psu",)), psus=[new])
    (found,) = findings(power_leads, problem, pick(problem, psu="psu-new"))
    assert (found.verdict, found.admits) == (verdict, verdict != "fails")
    if verdict == "fails":  # 9 A on each lead
        total = sum(starts)
        assert leads is not None and (found.value, found.limit) == (total, 9000 * leads)
        assert found.margin == min(-1, 9000 * leads - total)
    assert findings(power_leads, problem)[0].verdict == "fits"  # they hang there today


@pytest.mark.parametrize(
    ("sata", "peripheral", "facts", "told"),
    [
        (1, 1, {}, []),
        (
            1,
            2,
            {},
            [("fits", 5600, 9000, {"plug": "peripheral", "leads": 1})],
        ),  # one kind of plug hides no other
        (2, 1, {}, [("fits", 5600, 9000, {"plug": "sata", "leads": 1})]),
        (
            4,
            2,
            {"sata_leads": 1},
            [
                ("fails", 11200, 9000, {"plug": "sata", "leads": 1}),
                ("fits", 5600, 9000, {"plug": "peripheral", "leads": 1}),
            ],
        ),
        (
            4,
            4,
            {"sata_leads": 2, "peripheral_plugs": 4},
            [
                ("fits", 11200, 18000, {"plug": "sata", "leads": 2}),
                ("unknown", None, None, {"plug": "peripheral", "total": 11200, "limit": 9000}),
            ],
        ),
        (
            0,
            4,
            {"peripheral_leads": 1, "peripheral_plugs": 4},
            [("fails", 11200, 9000, {"plug": "peripheral", "leads": 1})],
        ),
        # A disk without a peripheral plug hangs on the SATA lead: four start there, or three beside it here.
        (
            3,
            4,
            {"peripheral_leads": 1, "sata_leads": 1},
            [
                ("fails", 11200, 9000, {"plug": "sata", "leads": 1}),
                ("fits", 8400, 9000, {"plug": "peripheral", "leads": 1}),
            ],
        ),
        (0, 4, {"peripheral_leads": 1}, [("fits", 8400, 9000, {"plug": "peripheral", "leads": 1})]),
        (4, 0, {}, [("unknown", None, None, {"plug": "sata", "total": 11200, "limit": 9000})]),
    ],
)
def test_what_is_said_of_the_leads_of_each_kind(
    sata: int,
    peripheral: int,
    facts: dict[str, int],
    told: list[tuple[str, int | None, int | None, dict[str, object]]],
) -> None:
    """2.8 A a disk at its start (desktop disk manuals), 9 A a lead of 18 AWG (AMP catalogue, current table)."""
    disks = tuple(
        disk.model_copy(update={"name": f"{disk.name} {number}", "start_12v_ma": 2800})
        for disk, count in ((DISK, sata), (OLD_DISK, peripheral))
        for number in range(count)
    )
    new = replace(NEW_PSU, id="psu-new", **facts)
    kept = replace(PSU, peripheral_plugs=4)
    brief = Brief(budget="10000.00", replace=("psu",))
    problem = make_problem(make_survey(psu=kept, drives=disks), brief, psus=[new])
    found = findings(power_leads, problem, pick(problem, psu="psu-new"))
    assert [(f.verdict, f.value, f.limit, dict(f.facts)) for f in found] == told
    for finding in found:
        assert finding.parts == ("psu-new",) and finding.admits == (finding.verdict != "fails")
        asked = f"psu:psu-new.{finding.fact('plug')}_leads" if finding.verdict == "unknown" else None
        assert finding.question == asked
        assert finding.margin == (None if asked else finding.limit - finding.value)
    agree(power_leads, problem)
    today = findings(power_leads, problem, problem.present())
    assert [(f.verdict, f.value, f.fact("today")) for f in today] == [
        ("fits", 2800 * count, "yes") for count in (sata, peripheral) if count > 1
    ]


@pytest.mark.parametrize(
    ("starts", "plugs", "sata_leads", "olds", "extras", "verdicts", "facts"),
    [
        # 8.4 A on the SATA lead, 2.8 A on the lead with peripheral plugs: nobody hangs 11.2 A on one.
        ((2800,) * 4, 3, 1, 0, (FROM_PERIPHERAL,), ["fits"], {"added": 1}),
        ((2800,) * 4, 3, 1, 2, (FROM_PERIPHERAL,), ["fits", "fits"], {"added": 1}),
        ((2800,) * 4, 3, 1, 3, (FROM_PERIPHERAL,), ["fails", "fits"], {"added": 0}),  # 11.2 A there
        # Behind a splitter all hang on the SATA leads: 10 A.
        ((2000,) * 5, 4, 1, 0, (SPLIT,), ["fails"], {"added": 0}),
        ((2000,) * 5, 4, 2, 0, (SPLIT,), ["fits"], {"added": 1}),
        ((2000,) * 5, 4, None, 0, (SPLIT,), ["fits", "unknown"], {"added": 1}),
        # A solid-state drive moved leaves 11.2 A on the SATA lead, a disk moved 8.4 A.
        ((0, 2800, 2800, 2800, 2800), 4, 1, 0, (FROM_PERIPHERAL,), ["fits"], {"added": 1, "disks": 1}),
        ((0, 2800, 2800, 2800, 2800), 4, 2, 0, (FROM_PERIPHERAL,), ["fits"], {"added": 1}),
        ((2800,) * 5, 4, 1, 0, (FROM_PERIPHERAL,), ["fails"], {"added": 0}),  # four of them stay there
    ],
)
def test_drives_beyond_the_sata_plugs_hang_on_what_feeds_them(
    starts: tuple[int, ...],
    plugs: int,
    sata_leads: int | None,
    olds: int,
    extras: tuple[Extra, ...],
    verdicts: list[str],
    facts: dict[str, int],
) -> None:
    """9 A in one lead of 18 AWG (AMP catalogue 82181), 2.8 A a disk at its start (disk manuals); a lead from a
    peripheral plug hangs on the lead of that plug, a splitter on that of its SATA plug."""
    drives = [DISK.model_copy(update={"name": f"d{n}", "start_12v_ma": ma}) for n, ma in enumerate(starts)]
    drives = [d if d.start_12v_ma else SSD for d in drives]
    drives += [OLD_DISK.model_copy(update={"name": f"old {n}", "start_12v_ma": 2800}) for n in range(olds)]
    new = replace(NEW_PSU, sata_plugs=plugs, sata_leads=sata_leads, peripheral_plugs=4, peripheral_leads=1)
    problem = make_problem(
        make_survey(drives=tuple(drives)),
        Brief(budget="10000.00", replace=("psu",)),
        psus=[new],
        extras=extras,
    )
    parts = pick(problem, psu="psu-new")
    draft = plain_draft(power_drive_plugs, problem, parts) or Draft(parts, (), (), 0, 0)
    found = power_drive_plugs.admits(draft, problem)
    assert [f.verdict for f in found] == verdicts
    assert dict(found[0].facts) == {"plug": "sata", **facts}
    if "unknown" in verdicts:
        assert (found[1].question, found[1].blocks) == ("psu:psu-new.sata_leads", False)
        assert (found[1].fact("total"), found[1].fact("limit")) == (10_000, 9000)
    assert all(f.admits and f.fact("plug") == "peripheral" for f in power_leads.admits(draft, problem))
    for rule in (power_drive_plugs, power_leads):
        agree(rule, problem)


def test_drives_in_the_place_of_others() -> None:
    """None draws more than the one before it, largest first; fewer are no more."""
    assert no_more_than((), (1,)) and no_more_than((), ())
    assert no_more_than((2, 1), (1, 2)) and no_more_than((2,), (1, 3))
    assert not no_more_than((4,), (1, 3)) and not no_more_than((1, 1), (2,))
    assert not no_more_than((2, 2), (3, 1)) and not no_more_than((1,), ())


def test_what_hangs_on_each_kind_of_plug_today() -> None:
    """A floppy drive's small plug is neither of the two."""
    floppy = Drive(name="floppy", kind="floppy", interface="floppy", power_plug="floppy")
    disks = [DISK.model_copy(update={"start_12v_ma": ma, "name": f"disk {ma}"}) for ma in (2800, 2000)]
    old = OLD_DISK.model_copy(update={"start_12v_ma": 1500})
    problem = make_problem(make_survey(drives=(*disks, old, floppy)))
    assert power_leads.starting_today(problem, "sata") == (2000, 2800)
    assert power_leads.starting_today(problem, "peripheral") == (1500,)


@pytest.mark.parametrize(
    ("facts", "sata", "peripheral"),
    [
        ({"sata_leads": 2, "peripheral_leads": 3}, (2, 2), (3, 3)),
        ({"sata_plugs": 5, "peripheral_plugs": 3}, (1, 5), (1, 3)),
        ({"sata_plugs": 0, "peripheral_plugs": 2}, (1, 1), (1, 2)),
        ({"sata_plugs": None, "peripheral_plugs": 1}, (1, 1), (1, 1)),
    ],
)
def test_how_many_leads_a_supply_may_have(
    facts: dict[str, int | None], sata: tuple, peripheral: tuple
) -> None:
    """At worst all plugs on one, at best each on its own."""
    psu = replace(PSU, **facts)
    assert (power_leads.lead_counts(psu, "sata"), power_leads.lead_counts(psu, "peripheral")) == (
        sata,
        peripheral,
    )


def test_leads_carry_what_they_carry_today() -> None:
    """Five disks start on one lead today; a solid-state drive in place of one of them is less."""
    disks = tuple(DISK.model_copy(update={"name": f"disk {n}"}) for n in range(4))
    system = SYSTEM_DRIVE.model_copy(update={"kind": "hdd35"})
    ssd = DrivePart(id="ssd-n", name="new ssd", kind="ssd", interface="sata", read_mbs=500)
    brief = Brief(budget="10000.00", replace=("drive", "psu"))
    one = replace(PSU, sata_leads=1, sata_plugs=5)
    survey = make_survey(psu=one, drives=(system, *disks))
    other = replace(one, id="psu-n", name="other supply")
    problem = make_problem(survey, brief, psus=[other], drives=[ssd], memory=[], cpus=[], coolers=[])
    (found,) = findings(power_leads, problem, pick(problem, drive="ssd-n"))
    assert (found.verdict, found.fact("today")) == ("fits", "no more")
    assert findings(power_leads, problem, pick(problem, drive="ssd-n", psu="psu-n"))[0].verdict == "fails"
    assert min(agree(power_leads, problem)) > 0


def test_leads_agree() -> None:
    brief = Brief(budget="10000.00", replace=("psu", "drive"))
    disks = tuple(Drive(name=f"disk {i}", kind="hdd35", interface="sata") for i in range(3))
    psus = [
        replace(NEW_PSU, sata_leads=1),
        replace(NEW_PSU, id="psu-2", sata_leads=2),
        replace(NEW_PSU, id="psu-u"),
    ]
    parts = [
        DrivePart(id="hdd", name="disk", kind="hdd35", interface="sata", read_mbs=150),
        DrivePart(id="nvme", name="m", kind="ssd", interface="m2-nvme", read_mbs=2000),
    ]
    # Behind the present drive, and a disk more than the kept supply's one lead starts.
    parts[0] = replace(parts[0], id="z-hdd")
    problem = make_problem(
        make_survey(drives=(SYSTEM_DRIVE, *disks), psu=replace(PSU, sata_leads=1)),
        brief,
        psus=psus,
        drives=parts,
        boards=[],
        cpus=[],
        memory=[],
        coolers=[],
    )
    assert min(agree(power_leads, problem)) > 0


@pytest.mark.parametrize(
    "pieces, leads, limit, fits",
    [
        ((6, 6, 6), 2, 9, False),  # 18 A in all, but two of them never share 9 A
        ((6, 6, 3, 3), 2, 9, True),
        ((10,), 3, 9, False),
        ((), 1, 9, True),
        ((5, 4), 1, 9, True),
        ((5, 5, 4, 4), 2, 9, True),
    ],
)
def test_pieces_hang_on_leads(pieces: tuple[int, ...], leads: int, limit: int, fits: bool) -> None:
    assert hangs(pieces, leads, limit) is fits


def test_free_card_plugs() -> None:
    assert free_card_plugs(("6",), ("8", "6", "8")) == ("8", "8")
    assert free_card_plugs(("6",), ("8",)) == ()
    assert free_card_plugs(("16",), ("8", "8")) == ("8", "8")


@pytest.mark.parametrize(
    "sockets, plugs, load_w, fed",
    [
        (("16",), ("8", "8"), 300, 1),  # two of 150 W (Intel 336521, table 3-5)
        (("16",), ("8", "8"), 301, 0),
        (("16",), ("8", "8"), None, 0),  # up to 600 W until somebody says what it draws
        (("16",), ("8",), 150, 0),  # the adapter has two sockets
        (("16", "6"), ("8", "8", "6"), 280, 2),
        (("16", "6"), ("8", "8"), 280, 1),  # the 6 takes one of them
        (("16",), ("16",), 450, 1),
        (("16", "16"), ("8", "8", "8"), 280, 0),
        (("16", "16"), ("8", "8", "8", "8"), 280, 2),
    ],
)
def test_free_card_plugs_put_together_feed_a_socket_of_sixteen(
    sockets: tuple[str, ...], plugs: tuple[str, ...], load_w: int | None, fed: int
) -> None:
    adapter = extra("card16", "card-plug-adapter", "8", "16", 2)
    card = graphics(*sockets).model_copy(update={"load_mw": None if load_w is None else load_w * 1000})
    psu = replace(PSU, card_plugs=plugs, peripheral_plugs=None)
    problem = make_problem(make_survey(psu=psu, cards=(card,)), extras=[adapter])
    found = (
        findings(power_card_plugs, problem)
        if fed == len(sockets)
        else power_card_plugs.admits(Draft(pick(problem), (), (), 0, 0), problem)
    )
    # No peripheral plug is taken: their number decides nothing.
    assert [f.verdict for f in found if not f.question] == (["fits"] if fed == len(sockets) else ["fails"])
    assert not any("peripheral_plugs" in (f.question or "") for f in found)
    agree(power_card_plugs, problem)


def test_two_six_contact_plugs_feed_an_eight_as_far_as_they_go() -> None:
    """2 x 75 W: the whole of an 8-contact socket; an adapter's own limit counts as well."""
    for limit_ma, good in ((None, True), (12_500, True), (12_499, False)):
        adapter = extra("card8", "card-plug-adapter", "6", "8", 2, limit_ma=limit_ma)
        problem = make_problem(
            make_survey(psu=replace(PSU, card_plugs=("6", "6")), cards=(graphics("8"),)), extras=[adapter]
        )
        assert all(bool(need.options) == good for need in needs_of(power_card_plugs, pick(problem), problem))


def test_a_floppy_drive_on_a_new_supply() -> None:
    """Common practice: late supplies have no floppy plug, and a lead from a peripheral plug stands in.
    Nothing is refused."""
    floppy = Drive(name="floppy", kind="floppy", interface="floppy", power_plug="floppy")
    for plugs, value, lacking in ((2, 1, None), (1, 1, None), (0, 0, 1), (None, None, None)):
        problem = make_problem(
            make_survey(drives=(SYSTEM_DRIVE, SSD, floppy)),
            Brief(budget="10000.00", replace=("psu",)),
            psus=[replace(NEW_PSU, floppy_plugs=plugs)],
            cpus=[],
            memory=[],
            coolers=[],
        )
        found = findings(power_drive_plugs, problem, pick(problem, psu="psu-new"))[-1]
        assert found.admits and (found.value, found.fact("lacking")) == (value, lacking)
        assert found.question == ("psu:psu-new.floppy_plugs" if plugs is None else None)
        kept = findings(power_drive_plugs, problem, pick(problem, psu="kept-psu"))
        assert all(f.fact("plug") != "floppy" for f in kept)
        agree(power_drive_plugs, problem)
