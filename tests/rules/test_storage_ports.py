"""PATA channels, M.2 sockets, floppy headers.

Two devices to a PATA channel; M.2 keys and protocols (standards/storage: M.2 leaflet p. 3); a module of 110
mm does not go into a socket for 80 mm; a board without M.2 cannot take an NVMe drive directly (common
practice).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from needs_check import same_needs
from support import BOARD, CASE, SYSTEM_DRIVE, agree, findings, make_problem, make_survey, needs_of, pick

from partsolver.assembly.bought_cards import controller_cards
from partsolver.assembly.ports import free_sata_ports
from partsolver.catalog.records import Board, DrivePart, Extra
from partsolver.catalog.sockets import M2Socket, Slot
from partsolver.problem.candidates import Parts
from partsolver.problem.problem import Problem
from partsolver.report.words.record import Names
from partsolver.report.words.storage import WORDS
from partsolver.rules import storage_floppy, storage_m2, storage_pata, storage_sata
from partsolver.survey.model import Card, Drive, OperatingSystem
from partsolver.wishes.brief import Brief

REPLACE = Brief(budget="10000.00", replace=("drive",))


def extra(id: str, kind: str, takes: str, gives: str, count: int = 1) -> Extra:
    return Extra(id=id, name=id, kind=kind, takes=(takes,), gives=(gives,), count=count)


PATA_CARD = extra("pata-card", "pata-controller", "x1", "pata")
BRIDGE = extra("bridge", "pata-drive-adapter", "sata", "pata")
BOX = extra("box-pata", "usb-enclosure", "usb", "pata")
SATA_CARD = extra("sata-card", "sata-controller", "x1", "sata", 2)
M2_CARD = extra("m2-card", "m2-card", "x4", "m2-nvme")
FLOPPY = extra("usb-floppy", "usb-floppy", "usb", "floppy")


def pata(count: int, kind: str = "hdd35") -> tuple[Drive, ...]:
    return tuple(Drive(name=f"pata {i}", kind=kind, interface="pata") for i in range(count))  # type: ignore[arg-type]


def bought(rule: object, problem: Problem, parts: Parts | None = None) -> list[tuple[str, int]]:
    return [option for need in needs_of(rule, parts or pick(problem), problem) for option in need.options]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "count, channels, places, verdict",
    [(0, 0, None, None), (2, 1, 2, "fits"), (3, 1, 2, "fails"), (1, 0, 0, "fails"), (4, 2, 4, "fits")],
)
def test_pata_channels(count: int, channels: int, places: int | None, verdict: str | None) -> None:
    problem = make_problem(
        make_survey(drives=(SYSTEM_DRIVE, *pata(count))), boards=[replace(BOARD, pata_channels=channels)]
    )
    found = findings(storage_pata, problem)
    if verdict is None:
        assert found == ()
        return
    assert (found[0].value, found[0].limit, found[0].margin, found[0].unit) == (
        places,
        count,
        (places or 0) - count,
        "devices",
    )
    assert (found[0].verdict, found[0].parts, found[0].facts) == (verdict, ("board-a",), (("added", 0),))


@pytest.mark.parametrize(
    "drives, board, extras, options",
    [
        (pata(1), BOARD, (PATA_CARD, BRIDGE, BOX), [("box-pata", 1), ("bridge", 1), ("pata-card", 1)]),
        (
            pata(3),
            BOARD,
            (PATA_CARD, BRIDGE),
            [("bridge", 3)],
        ),  # one channel holds two, four SATA ports hold three more
        (pata(3), replace(BOARD, sata_6g_ports=3), (BRIDGE,), []),  # the system drive has one of three
        (
            pata(3),
            replace(BOARD, sata_6g_ports=None, sata_3g_ports=None, sata_1g5_ports=None),
            (BRIDGE,),
            [("bridge", 3)],
        ),
        (pata(1, "optical"), BOARD, (BOX,), []),  # no enclosure for an optical drive
        # Nor does it help that a disk of SATA would go into one.
        ((*pata(1, "optical"), Drive(name="disk", kind="hdd35", interface="sata")), BOARD, (BOX,), []),
        (pata(1), replace(BOARD, slots=(Slot("pci", 0),)), (PATA_CARD,), []),
        (
            pata(2),
            replace(BOARD, sata_6g_ports=0, slots=(Slot("x1", 1),)),
            (PATA_CARD, SATA_CARD),
            [],
        ),  # one slot, two cards
        (pata(2), replace(BOARD, sata_6g_ports=0), (PATA_CARD, SATA_CARD), [("pata-card", 1)]),
    ],
)
def test_pata_cures(
    drives: tuple[Drive, ...], board: Board, extras: tuple[Extra, ...], options: list[tuple[str, int]]
) -> None:
    problem = make_problem(make_survey(drives=(SYSTEM_DRIVE, *drives)), boards=[board], extras=extras)
    assert bought(storage_pata, problem) == options
    found, *asked = findings(storage_pata, problem)
    # An adapter takes a SATA port: asked where nobody counted them.
    assert [f.question for f in asked] == (
        ["board:board-a.sata_6g_ports"] if board.sata_6g_ports is None else []
    )
    assert found.verdict == ("fits" if options else "fails")
    # No channel on these boards: as many places as the cheapest cure gives, one for each box or adapter, two for
    # a card, which is just what is missing.
    assert (found.value, found.fact("added")) == ((len(drives), len(drives)) if options else (0, 0))


@pytest.mark.parametrize(
    ("interface", "places"),
    [("pata", 1), ("sata", 0), ("m2-sata", 0), ("m2-nvme", 0), ("floppy", 0), ("usb", 0)],
)
def test_only_pata_drives_take_a_place_on_a_channel(interface: str, places: int) -> None:
    other = Drive(name="other", kind=None, interface=interface)  # type: ignore[arg-type]
    problem = make_problem(make_survey(drives=(SYSTEM_DRIVE, other)))
    assert storage_pata.pata_drives(pick(problem).drive, problem) == places


@pytest.mark.parametrize(
    ("family", "modes", "channels", "options", "asked"),
    [
        # No driver for AHCI as delivered: from a SATA port in IDE mode only (start reference, section 1.2).
        ("desktop-2001-32bit", ("ahci",), 0, [("pata-card", 1)], None),
        ("desktop-2001-32bit", ("ahci", "ide"), 0, [("bridge", 1), ("pata-card", 1)], None),
        ("desktop-2001-32bit", None, 0, [("bridge", 1), ("pata-card", 1)], "board:board-a.storage_modes"),
        ("desktop-2001-32bit", ("ahci",), 1, [], None),  # on the board's own channel
        ("desktop-2009-32bit", ("ahci",), 0, [("bridge", 1), ("pata-card", 1)], None),
        (None, ("ahci",), 0, [("bridge", 1), ("pata-card", 1)], None),
    ],
)
def test_an_old_system_on_a_pata_drive_behind_an_adapter(
    family: str | None, modes: Any, channels: int, options: list[tuple[str, int]], asked: str | None
) -> None:
    system = SYSTEM_DRIVE.model_copy(
        update={
            "interface": "pata",
            "start_mode": "legacy",
            "partition_table": "mbr",
            "storage_mode": None,
        }
    )
    survey = make_survey(drives=(system,), os=OperatingSystem(family=family, licence="retail"))
    board = replace(BOARD, pata_channels=channels, storage_modes=modes)
    problem = make_problem(survey, boards=[board], extras=(PATA_CARD, BRIDGE))
    assert bought(storage_pata, problem) == options
    found = findings(storage_pata, problem)
    assert [f.question for f in found if f.question] == ([] if asked is None else [asked])
    assert all(WORDS[storage_pata.ID].sentence(f, Names()).endswith(".") for f in found)
    agree(storage_pata, problem)
    bare = make_problem(survey, boards=[board], extras=(BRIDGE,))
    stopped = options == [("pata-card", 1)]
    (first, *_) = findings(storage_pata, bare)
    assert (first.verdict, first.fact("no_ide")) == (("fails", "yes") if stopped else ("fits", None))
    assert ("has no driver for AHCI" in WORDS[storage_pata.ID].sentence(first, Names())) is stopped
    agree(storage_pata, bare)


def test_pata_unknown_and_today() -> None:
    survey = make_survey(drives=(SYSTEM_DRIVE, *pata(1)))
    problem = make_problem(survey, boards=[replace(BOARD, pata_channels=None)])
    (found,) = findings(storage_pata, problem)
    assert (found.verdict, found.question, found.admits) == ("unknown", "board:board-a.pata_channels", True)
    present = problem.present()
    assert present is not None and findings(storage_pata, problem, present)[0].facts == (("today", "yes"),)


def test_a_card_for_both_drives_of_its_channel_waits_for_slots_that_nobody_looked_at() -> None:
    """ATA/ATAPI: two devices on a channel (common practice)."""
    for drives, admitted in ((1, True), (2, True), (3, False)):
        survey = make_survey(drives=(SYSTEM_DRIVE, *pata(drives)))
        board = replace(BOARD, pata_channels=0, slots=None)
        problem = make_problem(survey, boards=[board], extras=(PATA_CARD,))
        assert any(f.admits for f in findings(storage_pata, problem)) == admitted
        assert (agree(storage_pata, problem)[1] == 0) == admitted


def test_pata_agrees() -> None:
    boards = [
        BOARD,
        replace(BOARD, id="b-one", pata_channels=1),
        replace(BOARD, id="b-u", pata_channels=None),
        replace(BOARD, id="b-pci", slots=(), sata_6g_ports=1),
    ]
    drives = [
        DrivePart(id="pd", name="pata disk", kind="hdd35", interface="pata", read_mbs=80),
        DrivePart(id="sd", name="sata", kind="ssd", interface="sata", read_mbs=500),
    ]
    survey = make_survey(drives=(SYSTEM_DRIVE, *pata(2, "optical")))
    assert bought(storage_pata, make_problem(survey, boards=[replace(BOARD, slots=None)])) == []
    boards += [replace(BOARD, id="b-slots", slots=None)]
    for extras in ([PATA_CARD, BRIDGE], [PATA_CARD], []):
        problem = make_problem(
            survey, REPLACE, boards=boards, drives=drives, extras=extras, cpus=[], memory=[], coolers=[]
        )
        assert min(agree(storage_pata, problem)) > 0
        assert (same_needs(storage_pata, problem)[0] > 0) == bool(extras)


NVME = DrivePart(
    id="nvme",
    name="module",
    kind="ssd",
    interface="m2-nvme",
    pcie_gen=3,
    pcie_lanes=4,
    m2_key="m",
    m2_length_mm=80,
    read_mbs=2000,
)
M2_SATA = DrivePart(
    id="m2-sata",
    name="sata module",
    kind="ssd",
    interface="m2-sata",
    m2_key="b+m",
    m2_length_mm=80,
    read_mbs=500,
)
BOTH = M2Socket("m", 80, ("nvme", "sata"), 3, 4, 0, 0)


@pytest.mark.parametrize(
    "drive, sockets, extras, value, verdict",
    [
        (NVME, (BOTH,), (), 1, "fits"),
        (replace(NVME, m2_length_mm=110), (BOTH,), (), 0, "fails"),
        (NVME, (replace(BOTH, protocols=("sata",)),), (), 0, "fails"),
        (NVME, (replace(BOTH, key="b"),), (), 0, "fails"),
        (NVME, (), (), 0, "fails"),  # no M.2, no NVMe
        (NVME, (), (M2_CARD,), 1, "fits"),  # on a card in the x16 slot
        (M2_SATA, (BOTH,), (), 1, "fits"),
        (
            M2_SATA,
            (replace(BOTH, protocols=("nvme",)),),
            (M2_CARD,),
            0,
            "fails",
        ),  # the card carries NVMe only
    ],
)
def test_m2(
    drive: DrivePart, sockets: tuple[M2Socket, ...], extras: tuple[Extra, ...], value: int, verdict: str
) -> None:
    problem = make_problem(
        brief=REPLACE, boards=[replace(BOARD, m2_slots=sockets)], drives=[drive], extras=extras
    )
    (found,) = findings(storage_m2, problem, pick(problem, drive=drive.id))
    assert (found.value, found.limit, found.margin, found.unit, found.verdict) == (
        value,
        1,
        value - 1,
        "modules",
        verdict,
    )
    assert found.facts == (("added", int(bool(extras) and verdict == "fits")),)


@pytest.mark.parametrize(
    "slots, cards, sata_ports, options",
    [
        ((Slot("x16", 16),), (), 4, [("m2-card", 1)]),
        ((Slot("x16", 1),), (), 4, []),  # long slot, one lane wired
        ((Slot("x1", 1),), (), 4, []),
        ((Slot("x16", 16),), (Card(name="g", kind="graphics", bus="pcie", lanes=16),), 4, []),  # occupied
        ((Slot("x16", 16),), (), 0, []),  # the SATA controller needs the only slot
        ((Slot("x16", 16), Slot("x1", 1)), (), 0, [("m2-card", 1)]),
    ],
)
def test_m2_card_needs_four_free_lanes(
    slots: tuple[Slot, ...], cards: tuple[Card, ...], sata_ports: int, options: list[tuple[str, int]]
) -> None:
    disk = Drive(name="disk", kind="hdd35", interface="sata")
    board = replace(BOARD, m2_slots=(), slots=slots, sata_6g_ports=sata_ports)
    problem = make_problem(
        make_survey(cards=cards, drives=(SYSTEM_DRIVE, disk)),
        REPLACE,
        boards=[board],
        drives=[NVME],
        extras=[M2_CARD, SATA_CARD],
    )
    assert bought(storage_m2, problem, pick(problem, drive="nvme")) == options


def test_m2_irrelevant_unknown_today() -> None:
    assert findings(storage_m2, make_problem()) == ()
    kept = Drive(name="kept nvme", kind="ssd", interface="m2-nvme", system=True)
    problem = make_problem(make_survey(drives=(kept,)), boards=[replace(BOARD, m2_slots=None)])
    (found,) = findings(storage_m2, problem)
    assert (found.verdict, found.question, found.admits) == ("unknown", "board:board-a.m2_slots", True)
    present = problem.present()
    assert present is not None and findings(storage_m2, problem, present)[0].verdict == "fits"


@pytest.mark.parametrize(
    ("sockets", "key", "length", "asked"),
    [
        ((BOTH,), "m", 80, None),
        ((BOTH,), None, None, "m2_length_mm"),
        ((BOTH,), "m", None, "m2_length_mm"),
        ((BOTH,), None, 80, "m2_key"),
        ((replace(BOTH, longest_mm=110),), "m", None, None),  # the longest there is (M.2 leaflet p. 3)
        ((replace(BOTH, longest_mm=110),), None, None, "m2_length_mm"),  # its key may be another
        ((), None, None, None),  # it has no place at all
    ],
)
def test_modules_of_which_nobody_read_the_key_or_the_length(
    sockets: tuple[M2Socket, ...], key: str | None, length: int | None, asked: str | None
) -> None:
    """Asked where some value of it would not go into the socket; of the survey's module, and of a bought one."""
    boards = [replace(BOARD, m2_slots=sockets)]
    kept = Drive(name="kept", kind="ssd", interface="m2-nvme", m2_key=key, m2_length_mm=length)  # type: ignore[arg-type]
    problem = make_problem(make_survey(drives=(SYSTEM_DRIVE, kept)), boards=boards)
    found, *more = findings(storage_m2, problem)
    assert (found.verdict, found.value, found.limit) == ("fits" if sockets else "fails", len(sockets), 1)
    assert [(f.question, f.blocks, f.fact("module")) for f in more] == (
        [] if asked is None else [(f"drive.{asked}", False, "kept")]
    )
    bought = replace(NVME, m2_key=key, m2_length_mm=length)
    problem = make_problem(None, REPLACE, boards=boards, drives=[bought])
    found, *more = findings(storage_m2, problem, pick(problem, drive="nvme"))
    assert (found.verdict, found.value, found.parts) == (
        "fits" if sockets else "fails",
        len(sockets),
        ("board-a",),
    )
    assert [f.question for f in more] == ([] if asked is None else [f"drive:nvme.{asked}"])


def test_m2_agrees() -> None:
    boards = [
        BOARD,
        replace(BOARD, id="b-none", m2_slots=()),
        replace(BOARD, id="b-u", m2_slots=None),
        replace(BOARD, id="b-no-slot", m2_slots=(), slots=()),
    ]
    kept = Drive(name="data", kind="ssd", interface="m2-sata", m2_length_mm=80)
    for drives in ((SYSTEM_DRIVE,), (SYSTEM_DRIVE, kept)):
        problem = make_problem(
            make_survey(drives=drives),
            REPLACE,
            boards=boards,
            drives=[NVME, M2_SATA],
            extras=[M2_CARD],
            cpus=[],
            memory=[],
            coolers=[],
        )
        assert min(agree(storage_m2, problem)) > 0


@pytest.mark.parametrize(
    "headers, extras, value, verdict",
    [(1, (), 1, "fits"), (0, (), 0, "fails"), (0, (FLOPPY,), 1, "fits"), (None, (), None, "unknown")],
)
def test_floppy(headers: int | None, extras: tuple[Extra, ...], value: int | None, verdict: str) -> None:
    survey = make_survey(
        drives=(SYSTEM_DRIVE, Drive(name="floppy", kind="floppy", interface="floppy", bay="3.5"))
    )
    problem = make_problem(survey, boards=[replace(BOARD, floppy_headers=headers)], extras=extras)
    (found,) = findings(storage_floppy, problem)
    assert (found.value, found.verdict) == (value, verdict)
    assert found.question == ("board:board-a.floppy_headers" if verdict == "unknown" else None)
    if value is not None:
        assert (found.limit, found.margin, found.unit) == (1, value - 1, "drives")
    if not extras:
        survey_problem = make_problem(
            survey,
            boards=[BOARD, replace(BOARD, id="b-f", floppy_headers=headers)],
            memory=[],
            cpus=[],
            coolers=[],
        )
        assert min(agree(storage_floppy, survey_problem)) > 0


@pytest.mark.parametrize(("headers", "bought"), [(0, 4), (1, 3), (3, 1), (4, 0)])
def test_as_many_usb_floppy_drives_as_headers_are_missing(headers: int, bought: int) -> None:
    drives = tuple(Drive(name=f"floppy {n}", kind="floppy", interface="floppy", bay="3.5") for n in range(4))
    problem = make_problem(
        make_survey(drives=(SYSTEM_DRIVE, *drives)),
        boards=[replace(BOARD, floppy_headers=headers)],
        extras=(FLOPPY,),
        cpus=[],
        memory=[],
        coolers=[],
    )
    (found,) = findings(storage_floppy, problem)
    assert (found.verdict, found.value, found.limit, found.fact("added")) == ("fits", 4, 4, bought)
    missing = [dict(need.facts)["missing"] for need in needs_of(storage_floppy, pick(problem), problem)]
    assert missing == ([bought] if bought else [])
    # On the present board they hang today.
    assert same_needs(storage_floppy, problem) == ((1, 1) if bought else (0, 2))


def test_floppy_irrelevant() -> None:
    assert findings(storage_floppy, make_problem()) == ()
    usb = make_survey(drives=(SYSTEM_DRIVE, Drive(name="floppy", kind="floppy", interface="usb")))
    assert findings(storage_floppy, make_problem(usb)) == ()


def test_a_bought_module_named_like_a_kept_drive_takes_its_own_ports() -> None:
    """Sharing between M.2 and SATA (power and ports reference; common practice) goes by drive, not by
    name."""
    kept = Drive(name="module", kind="hdd35", interface="sata")
    board = replace(
        BOARD, sata_6g_ports=4, sata_3g_ports=0, m2_slots=(replace(BOTH, sata_lost_nvme=2, sata_lost_sata=1),)
    )
    problem = make_problem(make_survey(drives=(SYSTEM_DRIVE, kept)), REPLACE, boards=[board], drives=[NVME])
    parts = pick(problem, drive="nvme")
    assert NVME.name == kept.name and free_sata_ports(parts.board, parts.drive, problem) == 2


@pytest.mark.parametrize(
    ("name", "bay", "headers", "verdicts"),
    [
        ("floppy", "5.25", 0, ["fails"]),
        ("floppy, 5.25 inches", None, 0, ["fails"]),
        ("floppy", "5.25", 1, ["fits"]),
        ("floppy", "3.5", 0, ["fits"]),
        ("floppy", None, 0, ["fits", "unknown"]),
    ],
)
def test_no_usb_drive_replaces_a_large_floppy_drive(name, bay, headers, verdicts) -> None:
    """USB floppy drives are 3.5-inch ones (common practice)."""
    drive = Drive(name=name, kind="floppy", interface="floppy", bay=bay)
    survey = make_survey(drives=(SYSTEM_DRIVE, drive))
    problem = make_problem(survey, boards=[replace(BOARD, floppy_headers=headers)], extras=(FLOPPY,))
    found = findings(storage_floppy, problem)
    assert [f.verdict for f in found] == verdicts
    # Said where it is why nothing on sale helps, and only there.
    assert found[0].fact("large") == (1 if "fails" in verdicts else None)
    assert (agree(storage_floppy, problem)[1] > 0) == ("fails" in verdicts)


def test_only_what_reads_large_disks_keeps_a_usb_floppy_drive_out() -> None:
    """An optical drive is as wide; a floppy drive of which nobody knows how it is connected is one."""
    small = Drive(name="floppy", kind="floppy", interface="floppy", bay="3.5")
    wide = Drive(name="dvd", kind="optical", interface="sata", bay="5.25")
    large = Drive(name="old", kind="floppy", interface=None, bay="5.25")
    board = replace(BOARD, floppy_headers=0)
    for drives, refused in (((small, wide), False), ((large,), True)):
        survey = make_survey(drives=(SYSTEM_DRIVE, *drives))
        problem = make_problem(survey, boards=[board], extras=(FLOPPY,))
        assert bought(storage_floppy, problem) == ([] if refused else [("usb-floppy", 1)])
        assert (agree(storage_floppy, problem)[1] > 0) == refused


DISKS = tuple(Drive(name=f"disk {n}", kind="hdd35", interface="sata") for n in range(1, 4))
KEPT_NVME = Drive(name="module", kind="ssd", interface="m2-nvme", pcie_gen=3, pcie_lanes=4)


def shared(lost: int, names: tuple[str, ...] = ()) -> M2Socket:
    return replace(BOTH, sata_lost_nvme=lost, sata_ports_nvme=names)


@pytest.mark.parametrize(
    ("sockets", "modules", "drives", "verdict", "value"),
    [
        ((shared(2, ("s5", "s6")),) * 2, 2, 2, "fits", 2),  # the same two ports: a union, not a sum
        ((shared(2, ("s3", "s4")), shared(2, ("s1", "s2"))), 2, 2, "fails", 0),
        ((shared(2), shared(2)), 2, 2, "unknown", None),  # the same ones or not: nobody says
        ((shared(2), shared(2)), 2, 3, "fails", 2),  # too few at best
        ((shared(1), shared(1)), 2, 2, "fits", 3),  # enough at worst
        ((shared(2),), 2, 3, "fails", 2),  # a second module on a slot card frees no port of the first
        ((shared(2),), 2, 2, "fits", 2),
        ((shared(2, ("s3", "s4")),), 1, 3, "fails", 2),
    ],
)
def test_ports_taken_by_modules(sockets, modules, drives, verdict, value) -> None:
    """Board manuals of three makers (storage reference, section 2.3): per socket the set of ports lost, free
    ports = all minus the union."""
    kept = (SYSTEM_DRIVE, *DISKS[: drives - 1], *(KEPT_NVME,) * modules)
    board = replace(BOARD, m2_slots=sockets, sata_6g_ports=4, sata_3g_ports=0)
    problem = make_problem(make_survey(drives=kept), boards=[board], extras=(M2_CARD,))
    (found,) = findings(storage_sata, problem)
    assert (found.verdict, found.value) == (verdict, value)
    assert (agree(storage_sata, problem)[1] > 0) == (verdict == "fails")


@pytest.mark.parametrize(("ports", "options"), [(6, []), (7, [("bridge", 2)])])
def test_adapters_count_on_the_ports_that_modules_leave_at_worst(
    ports: int, options: list[tuple[str, int]]
) -> None:
    """Two modules take two ports each, the same ones or not: of seven ports three are left for certain, one
    of them for the system drive, two for adapters."""
    survey = make_survey(drives=(SYSTEM_DRIVE, KEPT_NVME, KEPT_NVME, *pata(2)))
    board = replace(BOARD, m2_slots=(shared(2), shared(2)), sata_6g_ports=ports)
    problem = make_problem(survey, boards=[board], extras=(BRIDGE,))
    assert bought(storage_pata, problem) == options
    assert (agree(storage_pata, problem)[1] == 0) == bool(options)


@pytest.mark.parametrize(("ports", "asked"), [(6, ["board:board-a.sata_3g_ports"]), (7, [])])
def test_adapters_ask_for_more_ports_where_modules_may_leave_too_few(ports: int, asked: list[str]) -> None:
    """The same drives, where nobody counted the ports of the slower kind: of six fast ones two may be left,
    of seven three, as many as the system drive and two adapters take."""
    survey = make_survey(drives=(SYSTEM_DRIVE, KEPT_NVME, KEPT_NVME, *pata(2)))
    board = replace(BOARD, m2_slots=(shared(2), shared(2)), sata_6g_ports=ports, sata_3g_ports=None)
    problem = make_problem(survey, boards=[board], extras=(BRIDGE,))
    found, *more = findings(storage_pata, problem)
    assert (found.verdict, [f.question for f in more]) == ("fits", asked)


def test_a_kept_drive_whose_lead_nobody_looked_at_is_asked_about_and_does_not_block() -> None:
    """It runs in this PC today: the answer decides which ports are left, and no plan is withheld for it."""
    problem = make_problem(make_survey(drives=(SYSTEM_DRIVE.model_copy(update={"interface": None}),)))
    asked = [found for found in findings(storage_sata, problem) if found.verdict == "unknown"]
    assert [(found.question, found.blocks) for found in asked] == [("drive.interface", False)]


def test_the_module_goes_where_it_takes_ports_that_nobody_needs() -> None:
    board = replace(BOARD, m2_slots=(shared(2), shared(0)), sata_6g_ports=4, sata_3g_ports=0)
    problem = make_problem(make_survey(drives=(SYSTEM_DRIVE, *DISKS, KEPT_NVME)), boards=[board])
    (found,) = findings(storage_sata, problem)
    assert (found.verdict, found.value) == ("fits", 4)


@pytest.mark.parametrize(
    ("modules", "at_best"),
    [
        (0, 1),
        (2, 2),
    ],  # one port for two drives; two of four for them, or none, as the modules take the same or not
)
def test_the_ports_that_nobody_counted_are_asked_for(modules: int, at_best: int) -> None:
    survey = make_survey(drives=(SYSTEM_DRIVE, DISKS[0], *(KEPT_NVME,) * modules))
    board = replace(
        BOARD, m2_slots=(shared(2), shared(2)), sata_6g_ports=at_best + modules, sata_3g_ports=None
    )
    problem = make_problem(survey, boards=[board])
    (found,) = findings(storage_sata, problem)
    assert (found.verdict, found.question) == ("unknown", "board:board-a.sata_3g_ports")


@pytest.mark.parametrize(
    ("low", "height", "goes_in"),
    [(False, "low", False), (True, "low", True), (False, "full", True), (False, None, True)],
)
def test_a_port_card_of_full_height_goes_into_no_flat_case(
    low: bool, height: str | None, goes_in: bool
) -> None:
    survey = make_survey(drives=(SYSTEM_DRIVE, DISKS[0]), case=replace(CASE, slot_height=height))
    boards = [replace(BOARD, sata_6g_ports=1, m2_slots=())]
    problem = make_problem(survey, boards=boards, extras=[replace(SATA_CARD, low_profile=low)])
    assert bought(storage_sata, problem) == ([("sata-card", 1)] if goes_in else [])


@pytest.mark.parametrize(("missing", "waits"), [(1, True), (2, True), (3, False)])
def test_only_a_card_with_ports_enough_waits_for_slots(missing: int, waits: bool) -> None:
    """The card on sale has two ports."""
    survey = make_survey(drives=(SYSTEM_DRIVE, *DISKS))
    boards = [replace(BOARD, sata_6g_ports=4 - missing, m2_slots=(), slots=None)]
    problem = make_problem(survey, boards=boards, extras=[SATA_CARD])
    (found,) = findings(storage_sata, problem)
    assert (found.verdict, found.admits) == (("unknown", True) if waits else ("fails", False))


def test_a_port_card_waits_for_slots_that_nobody_looked_at() -> None:
    """One port, two drives, a card on sale: refused only where it is known that no slot takes it."""
    disk = Drive(name="disk", kind="hdd35", interface="sata")
    survey = make_survey(drives=(SYSTEM_DRIVE, disk))
    short = replace(BOARD, sata_6g_ports=1, m2_slots=())
    boards = [
        replace(short, slots=None),
        replace(short, id="board-b", slots=()),
        replace(short, id="board-c"),
    ]
    problem = make_problem(survey, boards=boards, extras=[SATA_CARD])
    found = {key: findings(storage_sata, problem, pick(problem, board=key)) for key in ("board-a", "board-c")}
    assert [(f.verdict, f.question) for f in found["board-a"]] == [("unknown", "board:board-a.slots")]
    assert [f.verdict for f in found["board-c"]] == ["fits"]
    assert bought(storage_sata, problem, pick(problem, board="board-a")) == []
    admitted, refused = agree(storage_sata, problem)
    assert admitted and refused


RAID_CARD = Card(name="raid card", kind="controller", bus="pcie", lanes=1, height="full", width_slots=1)


# A drive whose lead goes to a card of the PC needs no port of the board while that card goes along (Serial ATA: one
# device for each port, of whichever controller). Where nobody said where it goes, it counts on the board, and is asked.
@pytest.mark.parametrize(
    ("interface", "board", "rule", "cure"),
    [
        ("sata", replace(BOARD, sata_6g_ports=1, sata_3g_ports=0, sata_1g5_ports=0), storage_sata, SATA_CARD),
        ("pata", replace(BOARD, pata_channels=0), storage_pata, PATA_CARD),
        ("m2-nvme", replace(BOARD, m2_slots=()), storage_m2, M2_CARD),
    ],
)
@pytest.mark.parametrize(
    ("controller", "required", "carried", "asked"),
    [
        ("raid card", True, True, False),
        ("raid card", False, False, False),  # the owner can do without it: its drive needs another place
        ("board", True, False, False),
        (None, True, False, True),
    ],
)
def test_a_drive_on_a_card_of_the_pc(
    interface: Any,
    board: Board,
    rule: Any,
    cure: Extra,
    controller: str | None,
    required: bool,
    carried: bool,
    asked: bool,
) -> None:
    disk = Drive(name="disk", kind="hdd35", interface=interface, controller=controller)
    card = RAID_CARD.model_copy(update={"required": required})
    system = SYSTEM_DRIVE.model_copy(update={"controller": "board"})
    survey = make_survey(drives=(system, disk), cards=(card,))
    problem = make_problem(survey, boards=[board], extras=(cure,), coolers=())
    assert bought(rule, problem) == ([] if carried else [(cure.id, 1)])
    found = findings(rule, problem)
    assert all(f.verdict == "fits" for f in found[:1])
    questions = [f.question for f in found if f.question]
    # A module on a card was never counted as on a controller card: nothing is asked of it.
    assert questions == (["drive.controller"] if asked and interface != "m2-nvme" else [])
    assert all(WORDS[rule.ID].sentence(f, Names()).endswith(".") for f in found)
    agree(rule, problem)
    # Nor is a card for it counted in what the plan draws.
    parts = pick(problem)
    cards = controller_cards(problem, parts.candidate("board"), parts.candidate("drive"))
    assert cards == (0 if carried or interface == "m2-nvme" else 1)
