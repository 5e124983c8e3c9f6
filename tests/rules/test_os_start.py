"""os.start: system family x start mode x storage mode x driver x age of the platform (start reference,
sections 1.2, 1.4 and 2.2)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import (
    BOARD,
    CPU,
    GRAPHICS,
    OLD_BOARD,
    SYSTEM_DRIVE,
    agree,
    findings,
    make_problem,
    make_survey,
    pick,
)

from partsolver.catalog.records import DrivePart
from partsolver.report.words.os import QUESTIONS, WORDS
from partsolver.report.words.record import Names
from partsolver.rules import os_start, storage_start
from partsolver.survey.model import Card, OperatingSystem
from partsolver.wishes.brief import Brief

NVME = DrivePart(
    id="nvme", name="module", kind="ssd", interface="m2-nvme", pcie_gen=3, pcie_lanes=4, read_mbs=2000
)
SATA = DrivePart(id="sata", name="drive", kind="ssd", interface="sata", sata_gbps10=60, read_mbs=500)
CARD = Card(name="card", kind="graphics", bus="pcie", lanes=16)
LEGACY = SYSTEM_DRIVE.model_copy(
    update={"partition_table": "mbr", "start_mode": "legacy", "storage_mode": "ide"}
)
OLD = {"year": 2010}


def problem_of(family: str | None, drive=SYSTEM_DRIVE, cards=(), cpu=None, brief=None, **board):
    survey = make_survey(os=OperatingSystem(family=family, licence="retail"), drives=(drive,), cards=cards)
    boards = [replace(BOARD, **{**OLD, **board})]
    return make_problem(
        survey, brief, boards=boards, cpus=[replace(CPU, **{**OLD, **(cpu or {})})], drives=(NVME, SATA)
    )


def found(problem, **keys: str):
    listed = findings(os_start, problem, pick(problem, **keys))
    for finding in listed:
        assert WORDS["os.start"].sentence(finding, Names()).endswith(".")
        if finding.question:
            table, _, fact = finding.question.partition(".")
            assert f"{table.partition(':')[0]}.{fact}" in QUESTIONS
    return listed


@pytest.mark.parametrize(
    ("family", "modes", "verdict"),
    [
        ("desktop-2015-32bit", ("uefi",), "fails"),
        ("desktop-2015-32bit", ("legacy", "uefi"), None),
        ("desktop-2015-32bit", ("legacy",), None),
        ("desktop-2015-32bit", None, "unknown"),
        ("desktop-2009-32bit", ("uefi",), "fails"),
        ("desktop-2001-32bit", ("uefi",), "fails"),
        ("linux-32bit", ("uefi",), "fails"),
        ("desktop-2009", ("uefi",), "fails"),  # its start screen needs the old video service
        ("desktop-2015", ("uefi",), None),
        ("linux-x86-64-v1", ("uefi",), None),
    ],
)
def test_start_mode_of_the_system(family: str, modes: tuple[str, ...] | None, verdict: str | None) -> None:
    listed = found(problem_of(family, firmware_modes=modes))
    assert [f.verdict for f in listed] == ([] if verdict is None else [verdict])


@pytest.mark.parametrize(
    ("year", "video", "cards", "score", "drive", "verdict"),
    [
        (2020, None, (), 500, LEGACY, None),
        (2021, None, (), 500, LEGACY, "unknown"),
        (2021, True, (), 500, LEGACY, None),
        (2020, False, (), 500, LEGACY, "fails"),
        (2021, False, (CARD,), 500, LEGACY, None),  # the card's own video service
        (2021, False, (), 0, LEGACY, None),  # no picture at all: picture.source says so
        (2021, False, (), 500, SYSTEM_DRIVE, None),
        (None, None, (), 500, LEGACY, None),
    ],
)
def test_picture_at_a_legacy_start(year, video, cards, score, drive, verdict) -> None:
    cpu = {"year": year, "legacy_video": video, "graphics_score": score}
    listed = found(problem_of(None, drive, cards, cpu))
    assert [f.verdict for f in listed] == ([] if verdict is None else [verdict])


@pytest.mark.parametrize(
    ("board", "score", "dark"),
    [
        ({"outputs": ()}, 500, True),
        ({}, 500, False),  # the processor's picture
        ({"graphics_score": 0}, 0, True),
        ({"graphics_score": 200}, 0, False),  # the board's
        ({"year": 2012}, 0, False),  # perhaps the board's: chipsets had graphics until then (common practice)
        ({"year": 2013}, 0, True),
        ({"graphics_score": 0}, None, False),  # perhaps the processor's
    ],
)
def test_a_card_that_draws_nothing_at_a_legacy_start(board: dict, score: int | None, dark: bool) -> None:
    blind = CARD.model_copy(update={"legacy_video": False})
    problem = problem_of(None, LEGACY, (blind,), {"graphics_score": score}, **board)
    assert [(f.verdict, f.fact("video")) for f in found(problem)] == ([("fails", "card")] if dark else [])
    assert (agree(os_start, problem)[1] > 0) is dark


@pytest.mark.parametrize("family", [None, "desktop-2015"])
@pytest.mark.parametrize(
    ("start_mode", "partition_table", "legacy"),
    [
        ("legacy", "mbr", True),
        ("legacy", "gpt", True),  # it is seen to start so
        ("legacy", None, True),
        ("uefi", "mbr", False),
        ("uefi", "gpt", False),
        (None, "mbr", True),  # a table that only the old start is installed on (start reference, 2.2)
        (None, "gpt", False),
        (None, None, False),
    ],
)
def test_what_the_installation_says_of_its_start(family, start_mode, partition_table, legacy) -> None:
    """A processor whose graphics have no old video service stops an installation that starts the old way."""
    facts = {"start_mode": start_mode, "partition_table": partition_table, "storage_mode": "ahci"}
    problem = problem_of(family, SYSTEM_DRIVE.model_copy(update=facts), (), {"legacy_video": False})
    assert ("fails" in {f.verdict for f in found(problem)}) is legacy
    admitted, refused = agree(os_start, problem)
    assert admitted and (refused > 0) is legacy


@pytest.mark.parametrize(("modes", "legacy"), [(("legacy",), True), (("uefi",), False), (None, False)])
def test_the_present_board_says_how_linux_starts(modes: tuple[str, ...] | None, legacy: bool) -> None:
    """Linux on a GPT (start reference, section 5: legacy firmware starts it from a BIOS boot partition)."""
    drive = SYSTEM_DRIVE.model_copy(update={"start_mode": None, "partition_table": "gpt"})
    survey = make_survey(
        os=OperatingSystem(family="linux-x86-64-v1"),
        drives=(drive,),
        board=replace(OLD_BOARD, firmware_modes=modes),
    )
    boards = [replace(BOARD, firmware_modes=("uefi",))]
    problem = make_problem(survey, boards=boards, cpus=[replace(CPU, legacy_video=False)])
    assert ("fails" in {f.verdict for f in found(problem)}) is legacy
    starts = findings(storage_start, problem)
    assert ("fails" in {f.verdict for f in starts}) is legacy
    asked = [f.question for f in starts if f.verdict == "unknown"]
    assert ("drive.start_mode" in asked) is (modes is None)
    for rule in (os_start, storage_start):
        assert (agree(rule, problem)[1] > 0) is legacy


@pytest.mark.parametrize(
    ("mode", "modes", "verdict"),
    [
        ("ide", ("ahci",), "fails"),
        (None, ("ahci",), "fails"),
        ("ide", ("ahci", "ide"), None),
        ("ide", None, "unknown"),
        ("ahci", ("ahci",), "fits"),  # it has a driver, of another maker perhaps: said
    ],
)
def test_system_without_an_ahci_driver(mode, modes, verdict) -> None:
    drive = LEGACY.model_copy(update={"storage_mode": mode})
    listed = found(problem_of("desktop-2001-32bit", drive, storage_modes=modes))
    assert [f.verdict for f in listed] == ([] if verdict is None else [verdict])
    assert found(problem_of("desktop-2009-32bit", drive, storage_modes=modes)) == ()


def test_installed_afresh_the_driver_is_wanted_at_set_up() -> None:
    brief = Brief(budget="10000.00", replace=("drive",))
    (finding,) = found(
        problem_of("desktop-2001-32bit", LEGACY, brief=brief, storage_modes=("ahci",)), drive="sata"
    )
    assert (finding.verdict, finding.fact("driver")) == ("fits", "storage")
    # So it is on the present drive, where another system is asked for.
    brief = Brief(budget="10000.00", os="desktop-2001-32bit")
    (finding,) = found(problem_of("desktop-2009-32bit", LEGACY, brief=brief, storage_modes=("ahci",)))
    assert (finding.verdict, finding.fact("driver")) == ("fits", "storage")


@pytest.mark.parametrize(
    ("family", "verdict"),
    [
        ("desktop-2001-32bit", "fails"),
        ("desktop-2009", "fits"),
        ("desktop-2015", None),
        # Started from in UEFI mode only, which no 32-bit system can (start reference, sections 1.2 and 2.4).
        ("desktop-2009-32bit", "fails"),
        ("desktop-2015-32bit", "fails"),
        ("linux-32bit", "fails"),
        ("linux-x86-64-v1", None),
    ],
)
def test_nvme_driver(family: str, verdict: str | None) -> None:
    brief = Brief(budget="10000.00", replace=("drive",))
    listed = found(problem_of(family, LEGACY, brief=brief), drive="nvme")
    assert [(f.verdict, f.fact("driver")) for f in listed] == ([] if verdict is None else [(verdict, "nvme")])
    agree(os_start, problem_of(family, LEGACY, brief=brief))


def test_an_nvme_drive_that_starts_a_32_bit_system_today() -> None:
    """Some early ones bring their own code for the legacy start (memory reference, section 2.4, exception); a
    fresh installation on it is not taken for that."""
    drive = LEGACY.model_copy(update={"interface": "m2-nvme", "storage_mode": None})
    kept = problem_of("desktop-2015-32bit", drive)
    assert found(kept) == ()
    fresh = problem_of("desktop-2015", drive, brief=Brief(budget="10000.00", os="desktop-2015-32bit"))
    assert [(f.verdict, f.limit) for f in found(fresh)] == [("fails", "uefi")]
    assert agree(os_start, kept)[1] == 0 and agree(os_start, fresh)[0] == 0


@pytest.mark.parametrize(
    ("board_year", "cpu_year", "value"),
    [(2016, 2016, None), (2017, 2016, 2017), (2016, 2018, 2018), (None, 2016, "?"), (None, 2019, 2019)],
)
def test_platforms_without_drivers_are_said(board_year, cpu_year, value) -> None:
    listed = found(problem_of("desktop-2009", cpu={"year": cpu_year}, year=board_year))
    if value is None:
        assert listed == ()
    elif value == "?":
        assert [f.question for f in listed] == ["board:board-a.year"]
    else:
        assert [(f.verdict, f.value, f.fact("drivers")) for f in listed] == [("fits", value, "none")]
    assert found(problem_of("desktop-2015", cpu={"year": cpu_year}, year=board_year)) == ()


@pytest.mark.parametrize(
    ("family", "year", "last"),
    [
        # Last drivers of the cards' makers: 2021 for the generation of 2009, the Maxwell class of 2014 for that of 2001
        # (start reference, section 1.4).
        ("desktop-2009", 2022, 2021),
        ("desktop-2009", 2021, None),
        ("desktop-2009-32bit", 2022, 2021),
        ("desktop-2001-32bit", 2015, 2014),
        ("desktop-2001-32bit", 2014, None),
        ("desktop-2009", None, None),
        ("desktop-2015", 2025, None),
    ],
)
def test_a_bought_card_without_drivers_is_said(family: str, year: int | None, last: int | None) -> None:
    survey = make_survey(os=OperatingSystem(family=family, licence="retail"))
    parts = {"boards": [replace(BOARD, **OLD)], "cpus": [replace(CPU, **OLD)]}
    problem = make_problem(survey, graphics=[replace(GRAPHICS, year=year)], **parts)
    said = [f for f in found(problem, graphics="graphics-a") if f.fact("card")]
    assert [(f.verdict, f.value, f.fact("last_year")) for f in said] == (
        [("fits", year, last)] if last else []
    )
    assert not [f for f in found(problem) if f.fact("card")]


@pytest.mark.parametrize("family", ["desktop-2001-32bit", "desktop-2009", "desktop-2015-32bit", None])
@pytest.mark.parametrize("drive", [LEGACY, SYSTEM_DRIVE])
@pytest.mark.parametrize("wanted", [None, "desktop-2009-32bit"])
def test_both_statements_agree(family: str | None, drive, wanted: str | None) -> None:
    boards = [
        replace(BOARD, id=name, firmware_modes=modes, storage_modes=storage, slots=slots)
        for name, modes, storage, slots in [
            ("b-0", ("uefi",), ("ahci",), BOARD.slots),
            ("b-1", None, None, BOARD.slots),
            ("b-2", ("legacy", "uefi"), ("ide",), ()),
            ("z-3", ("legacy",), ("ahci",), ()),  # behind the present board
        ]
    ]
    cpus = [
        replace(CPU, id="c-new", year=2021, legacy_video=False),
        replace(CPU, id="c-dark", year=2021, legacy_video=False, graphics_score=0),
        replace(CPU, id="c-old", year=2012),
        replace(CPU, id="c-asked", year=2022),
    ]
    survey = make_survey(
        os=OperatingSystem(family=family, licence="retail"),
        drives=(drive,),
        cards=(CARD,),
        board=replace(OLD_BOARD, firmware_modes=("uefi",), storage_modes=("ahci",)),
    )
    brief = Brief(budget="10000.00", replace=("drive",), os=wanted)
    problem = make_problem(
        survey, brief, boards=boards, cpus=cpus, memory=(), coolers=(), drives=(NVME, SATA)
    )
    admitted, refused = agree(os_start, problem)
    assert admitted and (refused or (family is None and wanted is None and drive is SYSTEM_DRIVE))
