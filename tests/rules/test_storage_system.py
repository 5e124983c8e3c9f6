"""The system drive: its link, how it starts, encryption.

A SATA drive moved from a 3 Gb/s to a 6 Gb/s port reads about twice as fast (300 and 600 MB/s after 8b/10b;
usable share
0.92: a drive maker's knowledge base, 285 and 550 MB/s measured). MBR and legacy start need a legacy mode
(cases A27, A45, A47); NVMe needs a driver in the firmware (storage reference, section 2.4).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import (
    BOARD,
    OLD_BOARD,
    SYSTEM_DRIVE,
    agree,
    findings,
    make_problem,
    make_survey,
    pick,
    plain_draft,
)

from partsolver.assembly.storage import link_mbs
from partsolver.catalog.records import DrivePart, Extra
from partsolver.problem.problem import Problem
from partsolver.report.words.record import Names
from partsolver.report.words.storage import WORDS
from partsolver.rules import (
    os_start,
    storage_encryption,
    storage_link,
    storage_pata,
    storage_raid_set,
    storage_start,
)
from partsolver.survey.model import Card, Drive, OperatingSystem
from partsolver.wishes.brief import Brief

REPLACE = Brief(budget="10000.00", replace=("drive",))
KEEP = OperatingSystem(family=None, licence="none-needed", keep=True)
FRESH = OperatingSystem(family=None, licence="none-needed", keep=False)
NVME = DrivePart(
    id="nvme", name="module", kind="ssd", interface="m2-nvme", pcie_gen=3, pcie_lanes=4, read_mbs=2000
)
PATA_CARD = Extra("pata-card", "PATA card", kind="pata-controller", takes=("x1",), gives=("pata",))
BRIDGE = Extra("bridge", "PATA bridge", kind="pata-drive-adapter", takes=("sata",), gives=("pata",))
SATA = DrivePart(id="sata", name="drive", kind="ssd", interface="sata", sata_gbps10=60, read_mbs=500)


def drive(**changes: object) -> Drive:
    return SYSTEM_DRIVE.model_copy(update=changes)


def start_problem(kept: Drive, system: OperatingSystem = KEEP, **board: object) -> Problem:
    return make_problem(make_survey(drives=(kept,), os=system), boards=[replace(BOARD, **board)])  # type: ignore[arg-type]


def test_link_now_and_then() -> None:
    (found,) = findings(storage_link, make_problem())
    assert (found.verdict, found.value, found.unit, found.parts) == (
        "fits",
        540,
        "MB/s",
        ("board-a", "kept-drive"),
    )
    facts = dict(found.facts)
    assert facts == {
        "now_mbs": 255,
        "now_link_mbs": 300,
        "link_mbs": 600,
        "drive_mbs": 540,
        "interface": "sata",
    }
    # Readings on such ports: 250-285 against 520-560 MB/s, a little over twice as much.
    assert 1.8 < int(found.value or 0) / facts["now_mbs"] < 2.2
    assert agree(storage_link, make_problem(memory=[], cpus=[], coolers=[]))[1] == 0
    assert findings(storage_link, make_problem(make_survey(drives=()))) == ()
    assert findings(storage_link, start_problem(drive(interface=None))) == ()  # nobody looked


@pytest.mark.parametrize(
    ("own", "ports", "asked"),
    [
        (60, (None, 2, 0), True),  # 6 or 3 Gb/s
        (60, (None, None, None), True),  # any of the three
        (60, (2, None, None), False),  # the fastest are known
        (60, (0, 2, None), False),  # 3 Gb/s it is
        (60, (0, None, 2), True),  # 3 or 1.5 Gb/s
        (30, (None, 2, 0), False),  # as fast as the slower one
        (30, (None, None, None), True),
        (15, (None, None, None), False),
        (60, (0, 0, 0), False),  # it has no port at all
        (None, (None, 2, 0), True),  # may be of 6 Gb/s
    ],
)
def test_a_rate_of_ports_that_nobody_stated(
    own: int | None, ports: tuple[int | None, ...], asked: bool
) -> None:
    """SATA: 1.5, 3 and 6 Gb/s (Serial ATA revision 3.0); a drive is held back by slower ports than its own rate,
    whether it stays or is bought."""
    facts = dict(zip(("sata_6g_ports", "sata_3g_ports", "sata_1g5_ports"), ports, strict=True))
    board = replace(BOARD, **facts)  # type: ignore[arg-type]
    bought = make_problem(brief=REPLACE, boards=[board], drives=[replace(SATA, sata_gbps10=own)])
    for problem, key in ((start_problem(drive(sata_gbps10=own), **facts), "kept-drive"), (bought, "sata")):
        (found,) = findings(storage_link, problem, pick(problem, drive=key))
        assert (found.verdict == "unknown") == asked
        if asked:  # for the fastest ports that nobody counted
            assert found.question is not None
            assert found.question.endswith("." + next(name for name, count in facts.items() if count is None))


@pytest.mark.parametrize(
    "mode, table, firmware, verdict, value",
    [
        ("uefi", "gpt", ("uefi",), "fits", "uefi"),
        ("legacy", "mbr", ("legacy", "uefi"), "fits", "legacy"),
        ("legacy", "mbr", ("uefi",), "fails", "legacy"),
        (None, "mbr", ("uefi",), "fails", "legacy"),
        (None, "gpt", ("legacy",), "fails", "uefi"),
        ("legacy", "gpt", ("legacy",), "fits", "legacy"),  # some systems start the old way from GPT
    ],
)
def test_start_mode(
    mode: str | None, table: str, firmware: tuple[str, ...], verdict: str, value: str
) -> None:
    kept = drive(start_mode=mode, partition_table=table)
    problem = start_problem(kept, firmware_modes=firmware)
    (found,) = findings(storage_start, problem)
    assert (found.verdict, found.value, found.parts) == (verdict, value, ("board-a", "kept-drive"))
    if verdict == "fails":
        assert found.limit == "+".join(firmware)
    (fresh,) = findings(storage_start, start_problem(kept, FRESH, firmware_modes=firmware))
    assert (fresh.verdict, fresh.fact("fresh")) == ("fits", "yes")
    if verdict == "fails":
        assert (fresh.value, fresh.fact("lacks_start")) == (value, value)
    present = problem.present()
    assert present is not None and findings(storage_start, problem, present)[0].facts == (("today", "yes"),)


@pytest.mark.parametrize(
    ("family", "convertible"),
    [
        ("desktop-2015", "yes"),
        ("linux-x86-64-v2", "yes"),
        ("desktop-2009", None),
        ("desktop-2015-32bit", None),
    ],
)
def test_a_system_of_the_old_way_that_could_be_changed(family: str, convertible: str | None) -> None:
    """Start reference, section 5: in place for the 64-bit generation of 2015 and Linux; not for that of 2009, nor
    of 32 bits. As it is none of them starts."""
    kept = drive(start_mode="legacy", partition_table="mbr")
    problem = start_problem(kept, OperatingSystem(family=family, keep=True), firmware_modes=("uefi",))
    (found,) = findings(storage_start, problem)
    assert (found.verdict, found.fact("convertible")) == ("fails", convertible)


@pytest.mark.parametrize(
    "stored, modes, facts",
    [
        ("ahci", ("ahci",), {"set_mode": "ahci"}),
        ("ide", ("ahci", "ide"), {"set_mode": "ide"}),
        ("ide", ("ahci",), {"lacks_mode": "ide"}),
        ("raid", ("ahci",), {"lacks_mode": "raid"}),
    ],
)
def test_storage_mode_is_a_remark(stored: str, modes: tuple[str, ...], facts: dict[str, str]) -> None:
    (found,) = findings(storage_start, start_problem(drive(storage_mode=stored), storage_modes=modes))
    assert found.verdict == "fits" and dict(found.facts) == facts
    # Linux finds its drive in AHCI and IDE mode alike (start reference, section 2.5).
    linux = OperatingSystem(family="linux-x86-64-v1", keep=True)
    (free,) = findings(storage_start, start_problem(drive(storage_mode=stored), linux, storage_modes=modes))
    assert free.verdict == "fits" and dict(free.facts) == (facts if stored == "raid" else {})


@pytest.mark.parametrize(
    ("channels", "modes", "facts"),
    [
        (0, ("ahci", "ide"), {"set_mode": "ide"}),  # on an adapter at a SATA port it works as it did
        (0, ("ahci",), {"lacks_mode": "ide"}),
        (1, ("ahci",), {}),
    ],
)
def test_a_pata_drive_works_in_ide_mode(channels: int, modes: tuple[str, ...], facts: dict[str, str]) -> None:
    kept = drive(interface="pata", storage_mode=None)
    (found,) = findings(storage_start, start_problem(kept, pata_channels=channels, storage_modes=modes))
    assert found.verdict == "fits" and dict(found.facts) == facts


@pytest.mark.parametrize("modes", [("ahci", "ide"), ("ahci",), None])
def test_a_pata_drive_on_a_card_that_is_bought_wants_no_mode_of_the_board(
    modes: tuple[str, ...] | None,
) -> None:
    """The card has a controller of its own; the mode set for the board's SATA ports is nothing to it (start reference,
    section 1.2: IDE mode is one of the board's controller). With an adapter at such a port it is."""
    kept = drive(interface="pata", storage_mode=None)
    system = OperatingSystem(family="desktop-2001-32bit", keep=True, licence="retail")
    for extra, carded in ((PATA_CARD, True), (BRIDGE, False)):
        board = replace(BOARD, pata_channels=0, storage_modes=modes)
        problem = make_problem(make_survey(drives=(kept,), os=system), boards=[board], extras=(extra,))
        draft = plain_draft(storage_pata, problem, pick(problem))
        assert draft is not None
        first, *_ = storage_start.admits(draft, problem)
        stops = not carded and modes == ("ahci",)  # no adapter is bought: the system does not start from it
        told = {} if carded else {"lacks_mode": "ide"} if stops else {"set_mode": "ide"}
        assert (first.verdict, dict(first.facts)) == ("fits", told)
        # Where the card is bought, nothing is said of an adapter.
        (of_drive, *_) = storage_pata.admits(draft, problem)
        assert (of_drive.verdict, of_drive.fact("no_ide")) == (("fails", "yes") if stops else ("fits", None))


@pytest.mark.parametrize(
    "changes, board, questions",
    [
        ({"start_mode": None, "partition_table": None}, {}, ["drive.start_mode"]),
        ({"storage_mode": None}, {}, [None, "drive.storage_mode"]),
        ({}, {"firmware_modes": None}, ["board:board-a.firmware_modes"]),
        ({"interface": "m2-nvme"}, {"nvme_boot": None}, [None, "board:board-a.nvme_boot"]),
    ],
)
def test_start_unknown(
    changes: dict[str, object], board: dict[str, object], questions: list[str | None]
) -> None:
    found = findings(storage_start, start_problem(drive(**changes), **board))
    assert sorted(map(str, (f.question for f in found))) == sorted(map(str, questions)) and all(
        f.admits for f in found
    )
    # No mode is to be set for a drive of which none was read, or that knows none.
    assert all(f.facts == () for f in found)


@pytest.mark.parametrize("nvme_boot, verdict", [(True, "fits"), (None, "unknown"), (False, "fails")])
def test_nvme_start(nvme_boot: bool | None, verdict: str) -> None:
    kept = findings(storage_start, start_problem(drive(interface="m2-nvme"), nvme_boot=nvme_boot))
    assert kept[-1].verdict == verdict  # an unknown is listed after what is known
    problem = make_problem(brief=REPLACE, boards=[replace(BOARD, nvme_boot=nvme_boot)], drives=[NVME, SATA])
    (found,) = findings(storage_start, problem, pick(problem, drive="nvme"))
    assert (found.verdict, found.admits, found.fact("fresh")) == (verdict, verdict != "fails", "yes")
    (found,) = findings(storage_start, problem, pick(problem, drive="sata"))
    assert (found.verdict, found.facts) == ("fits", (("fresh", "yes"),))


def test_another_system_is_a_fresh_installation() -> None:
    survey = make_survey(drives=(drive(start_mode="legacy"),), os=OperatingSystem(family="none", keep=True))
    boards = [replace(BOARD, firmware_modes=("uefi",))]
    assert findings(storage_start, make_problem(survey, boards=boards))[0].verdict == "fails"
    other = Brief(budget="10000.00", os="desktop-2021")
    assert findings(storage_start, make_problem(survey, other, boards=boards))[0].fact("fresh") == "yes"


@pytest.mark.parametrize("system", [KEEP, FRESH])
@pytest.mark.parametrize(
    "kept",
    [
        drive(start_mode="legacy", partition_table="mbr"),
        drive(interface="m2-nvme"),
        drive(start_mode=None, partition_table=None),
    ],
)
def test_start_agrees(kept: Drive, system: OperatingSystem) -> None:
    boards = [
        BOARD,
        replace(BOARD, id="b-uefi", firmware_modes=("uefi",), nvme_boot=False),
        replace(BOARD, id="z-uefi", firmware_modes=("uefi",), nvme_boot=True),  # after the present one
        replace(BOARD, id="b-u", firmware_modes=None, nvme_boot=None),
    ]
    survey = make_survey(
        drives=(kept,), os=system, board=replace(OLD_BOARD, firmware_modes=("legacy",), nvme_boot=False)
    )
    problem = make_problem(
        survey, REPLACE, boards=boards, drives=[NVME, SATA], memory=[], cpus=[], coolers=[]
    )
    assert min(agree(storage_start, problem)) > 0


@pytest.mark.parametrize(
    "encrypted, verdict, save", [(False, None, None), (True, "fits", "yes"), (None, "unknown", "yes")]
)
def test_encryption(encrypted: bool | None, verdict: str | None, save: str | None) -> None:
    optical = Drive(name="optical", kind="optical", interface="sata")
    problem = make_problem(make_survey(drives=(drive(encrypted=encrypted), optical)))
    found = findings(storage_encryption, problem)
    assert all(f.admits for f in found)
    assert [(f.verdict, f.fact("save_key"), f.fact("drive")) for f in found] == (
        [] if verdict is None else [(verdict, save, "ssd")]
    )
    assert [f.question for f in found] == {None: [], "fits": [None], "unknown": ["drive.encrypted"]}[verdict]
    present = problem.present()
    assert present is not None and all(
        f.verdict == "fits" and f.fact("save_key") is None
        for f in findings(storage_encryption, problem, present)
    )
    assert (
        agree(
            storage_encryption,
            make_problem(make_survey(drives=(drive(encrypted=encrypted),)), memory=[], coolers=[]),
        )[1]
        == 0
    )


@pytest.mark.parametrize(
    "facts, verdict, blocks, question",
    [
        ({"raid": "none"}, None, False, None),
        ({}, None, False, None),  # nobody spoke of RAID
        ({"raid": "0"}, "unknown", True, "drive.copied"),
        ({"raid": "5", "copied": False}, "fails", False, None),
        ({"raid": "10", "copied": True}, "fits", False, None),
        ({"raid": "1"}, "unknown", False, "drive.copied"),  # a member reads as a plain disk, usually
        ({"raid": "1", "copied": False}, "unknown", False, "drive.copied"),
        ({"raid": "1", "copied": True}, "fits", False, None),
        ({"storage_mode": "raid"}, "unknown", False, "drive.raid"),
        ({"storage_mode": "raid", "raid": "none"}, None, False, None),
    ],
)
def test_raid_set(facts: dict[str, Any], verdict: str | None, blocks: bool, question: str | None) -> None:
    """Sets of board controllers: what dmraid and mdadm list as readable, no firmware of another maker
    reads (start reference, section 2.6); a set that is made anew is empty (common practice)."""
    disk = Drive(name="data", kind="hdd35", interface="sata", **facts)
    for drives in ((drive(), disk), (drive(**facts),)):
        problem = make_problem(make_survey(drives=drives), REPLACE, drives=[SATA], memory=[], coolers=[])
        found = findings(storage_raid_set, problem)
        assert [(f.verdict, f.blocks, f.question) for f in found] == (
            [] if verdict is None else [(verdict, blocks, question)]
        )
        present = problem.present()
        assert present is not None
        assert all(f.verdict == "fits" for f in findings(storage_raid_set, problem, present))
        agree(storage_raid_set, problem)
    # A system drive that is replaced takes its set with it out of the plan.
    assert findings(storage_raid_set, problem, pick(problem, drive=SATA.id)) == ()


RAID_CARD = Card(name="raid card", kind="controller", bus="pcie", lanes=1)


@pytest.mark.parametrize(
    ("controller", "copied", "verdict", "blocks", "question"),
    [
        ("raid card", None, "fits", False, None),  # controller and set stay together
        ("raid card", False, "fits", False, None),
        ("board", None, "unknown", True, "drive.copied"),
        ("board", False, "fails", False, None),
        (None, None, "unknown", True, "drive.controller"),  # nobody looked: nothing is risked
        (None, False, "unknown", True, "drive.controller"),
        (None, True, "fits", False, None),
    ],
)
def test_a_set_of_a_card_goes_along_with_it(
    controller: str | None, copied: bool | None, verdict: str, blocks: bool, question: str | None
) -> None:
    """A set is bound to its controller (formats that dmraid and mdadm list), not to the board beside it."""
    member = drive(raid="5", copied=copied, controller=controller, storage_mode="raid")
    problem = make_problem(make_survey(drives=(member,), cards=(RAID_CARD,)), coolers=())
    (found,) = findings(storage_raid_set, problem)
    assert (found.verdict, found.blocks, found.question) == (verdict, blocks, question)
    words = WORDS[storage_raid_set.ID]
    assert ("goes along" in words.sentence(found, Names())) is (
        controller == "raid card" or question == "drive.controller"
    )
    assert words.caution is not None
    assert (words.caution(found, Names()) is None) is (controller == "raid card")
    agree(storage_raid_set, problem)


def test_a_system_drive_on_a_card_asks_nothing_of_the_ports_of_the_board() -> None:
    """Neither a SATA mode nor a faster port: the card's own link stays what it is."""
    system = OperatingSystem(family="desktop-2001-32bit", keep=True, licence="retail")
    member = drive(controller="raid card", storage_mode="ide", sata_gbps10=30)
    survey = make_survey(drives=(member,), cards=(RAID_CARD,), os=system)
    problem = make_problem(survey, boards=[replace(BOARD, storage_modes=("ahci",))], coolers=())
    (starts,) = findings(storage_start, problem)
    assert (starts.verdict, dict(starts.facts)) == ("fits", {"card": "raid card"})
    assert "start from that card" in WORDS[storage_start.ID].sentence(starts, Names())
    assert [f for f in findings(os_start, problem) if f.fact("driver")] == []
    agree(os_start, problem)
    assert findings(storage_link, problem) == ()
    parts = pick(problem)
    assert link_mbs(parts.board, parts.drive) == link_mbs(problem.survey.board, parts.drive) == 300
    # On a port of the board the same system does not start.
    moved = survey.model_copy(update={"drives": (member.model_copy(update={"controller": "board"}),)})
    refused = make_problem(moved, boards=[replace(BOARD, storage_modes=("ahci",))], coolers=())
    assert [f.verdict for f in findings(os_start, refused) if f.fact("driver")] == ["fails"]
