"""fit.bays and storage.accessories. Outside: bay sizes of SFF-8551, SFF-8301, SFF-8201; frames, two SATA
leads in the box of a new board, lost M.2 screws: common practice."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from support import BOARD, CASE, OLD_BOARD, SYSTEM_DRIVE, agree, findings, make_problem, make_survey, pick

from partsolver.assembly.bays import bay_of
from partsolver.catalog.records import DrivePart, Extra, Offer
from partsolver.catalog.sockets import M2Socket
from partsolver.problem.problem import Problem
from partsolver.rules import fit_bays, storage_accessories
from partsolver.survey.model import Drive
from partsolver.wishes.brief import Brief

OPTICAL = Drive(name="optical", kind="optical", interface="sata")
DISK = Drive(name="disk", kind="hdd35", interface="sata")
BOTH = Brief(budget="10000.00", replace=("case", "drive"))
BIG = DrivePart("disk-n", "new disk", kind="hdd35", interface="sata", read_mbs=150)
SSD = DrivePart("ssd-n", "new ssd", kind="ssd", interface="sata", read_mbs=500)
NVME = DrivePart(
    "nvme-n", "new module", kind="ssd", interface="m2-nvme", read_mbs=2000, m2_key="m", m2_length_mm=80
)
FRAME = Extra("frame", "frame", kind="drive-frame", takes=("3.5",), gives=("2.5",))
LARGE_FRAME = Extra("frame-525", "large frame", kind="drive-frame", takes=("5.25",), gives=("3.5",))
# Cheaper than both, and neither from a 3.5-inch bay nor for a 3.5-inch drive.
OTHER_FRAME = Extra(
    "another", "small drive in a large bay", kind="drive-frame", takes=("5.25",), gives=("2.5",)
)


def problem(
    bays: tuple[int | None, int | None, int | None], drives: tuple[Drive, ...] = (SYSTEM_DRIVE,)
) -> Problem:
    """A case on sale with so many bays (5.25, 3.5, 2.5 inches), and three drives on sale."""
    case = replace(CASE, id="case-n", name="new case", bays_525=bays[0], bays_35=bays[1], bays_25=bays[2])
    return make_problem(
        make_survey(drives=drives),
        BOTH,
        cases=[case],
        drives=[BIG, SSD],
        extras=[FRAME, LARGE_FRAME, OTHER_FRAME],
        coolers=[],
    )


@pytest.mark.parametrize(
    "bays, drives, verdict, facts",
    [
        ((1, 1, 1), (SYSTEM_DRIVE, OPTICAL, DISK), None, {}),
        ((0, 2, 1), (SYSTEM_DRIVE, OPTICAL), "fails", {"size": "5.25"}),
        ((1, 0, 1), (SYSTEM_DRIVE, OPTICAL, DISK), "fails", {"size": "3.5"}),
        (
            (2, 0, 1),
            (SYSTEM_DRIVE, OPTICAL, DISK),
            "fits",
            {"size": "3.5", "framed": 1, "frame": "frame-525", "minor": 1005},
        ),
        ((None, 2, 1), (SYSTEM_DRIVE, OPTICAL), "unknown", {"size": "5.25"}),
        ((None, 0, 1), (SYSTEM_DRIVE, DISK), "unknown", {"size": "3.5"}),  # a frame might do
        ((None, 1, 1), (SYSTEM_DRIVE, DISK), None, {}),
        ((0, None, 1), (SYSTEM_DRIVE, DISK), "unknown", {"size": "3.5"}),
        ((0, 1, 0), (SYSTEM_DRIVE,), "fits", {"size": "2.5", "framed": 1, "frame": "frame", "minor": 1004}),
        ((0, 0, 0), (SYSTEM_DRIVE,), "fits", {"size": "2.5", "loose": 1}),
        ((0, 0, None), (SYSTEM_DRIVE,), None, {}),  # a solid-state drive needs none
    ],
)
def test_a_new_case(
    bays: tuple[int | None, int | None, int | None],
    drives: tuple[Drive, ...],
    verdict: str | None,
    facts: dict[str, str | int],
) -> None:
    here = problem(bays, drives)
    found = findings(fit_bays, here, pick(here, case="case-n", drive="kept-drive"))
    assert [f.verdict for f in found] == ([] if verdict is None else [verdict])
    assert [dict(f.facts) for f in found] == [facts] * len(found) and not any(f.blocks for f in found)
    assert findings(fit_bays, here, pick(here, case="kept-case", drive="kept-drive")) == ()
    agree(fit_bays, here)


def test_small_drives_beyond_their_bays_take_frames_and_the_rest_is_fastened_elsewhere() -> None:
    """Four of them, one bay of their size, one of the next."""
    here = problem((0, 1, 1), (SYSTEM_DRIVE, *(SYSTEM_DRIVE.model_copy(update={"system": False}),) * 3))
    (found,) = findings(fit_bays, here, pick(here, case="case-n", drive="kept-drive"))
    assert found.value == 4
    assert dict(found.facts) == {"size": "2.5", "framed": 1, "loose": 2, "frame": "frame", "minor": 1004}


def test_a_new_drive_in_the_case_that_stays() -> None:
    """As large as what it replaces, or smaller: nothing is asked. A larger one has to find room."""
    for kept, new, asked in ((DISK, "disk-n", False), (DISK, "ssd-n", False), (SYSTEM_DRIVE, "disk-n", True)):
        system = kept.model_copy(update={"system": True})
        here = problem((0, 0, 0), (system,))
        found = findings(fit_bays, here, pick(here, case="kept-case", drive=new))
        assert [f.question for f in found] == (["case.bays_35"] if asked else [])
    for counted in range(3):
        survey = make_survey(case=replace(CASE, bays_525=0, bays_35=counted), drives=(SYSTEM_DRIVE, DISK))
        here = make_problem(survey, BOTH, drives=[BIG], coolers=[])
        found = findings(fit_bays, here, pick(here, drive="disk-n"))
        assert all(f.admits for f in found) == (counted == 2)
        agree(fit_bays, here)


def test_both_statements_agree_over_small_numbers() -> None:
    for bays in product((None, 0, 2), (None, 0, 1)):
        agree(fit_bays, problem((*bays, 0), (SYSTEM_DRIVE, OPTICAL, DISK)))


def test_a_case_that_holds_more_than_was_counted_holds_less_as_well() -> None:
    """Two drives sit where nobody counted a bay: one of them may be exchanged for a small one."""
    wide = SYSTEM_DRIVE.model_copy(update={"bay": "5.25"})
    survey = make_survey(case=replace(CASE, bays_525=0, bays_35=0), drives=(wide, OPTICAL))
    here = make_problem(survey, Brief(budget="10000.00", replace=("drive",)), drives=[SSD], coolers=[])
    assert agree(fit_bays, here)[1] == 0


def test_the_bay_of_a_drive() -> None:
    assert [bay_of(d) for d in (OPTICAL, DISK, SYSTEM_DRIVE, NVME)] == ["5.25", "3.5", "2.5", None]
    assert bay_of(Drive(name="f", kind="floppy", interface="floppy", bay="5.25")) == "5.25"
    assert bay_of(Drive(name="u", kind="hdd35", interface="usb")) is None


def test_leads_and_screws() -> None:
    lead = Extra("lead", "SATA lead", kind="sata-data-cable", takes=("sata",), gives=("sata",))
    disks = tuple(Drive(name=f"d{n}", kind="hdd35", interface="pata") for n in range(1))
    board = replace(BOARD, m2_slots=(M2Socket("m", 80, ("nvme",), 3, 4, 0, 0),))

    def facts(
        condition: str, new_drive: str, drives: tuple[Drive, ...] = (SYSTEM_DRIVE,)
    ) -> dict[str, str | int]:
        here = make_problem(
            make_survey(drives=(*drives, *disks)),
            BOTH,
            boards=[board],
            drives=[SSD, NVME],
            extras=[lead],
            offers=[
                Offer(part, "shop", 1000, 5, condition=condition if part == BOARD.id else "new")
                for part in (BOARD.id, "cpu-a", "kit-a", "cooler-a", "ssd-n", "nvme-n", "lead")
            ],
        )
        found = findings(storage_accessories, here, pick(here, drive=new_drive))
        assert all(f.admits for f in found)
        assert agree(storage_accessories, here)[1] == 0
        return dict(found[0].facts) if found else {}

    assert facts("new", "ssd-n") == {} and facts("used", "ssd-n") == {}  # today's lead stays
    pata_system = SYSTEM_DRIVE.model_copy(update={"interface": "pata"})
    assert facts("used", "ssd-n", (pata_system,)) == {"leads": 1, "lead": "lead", "minor": 1000}
    assert facts("new", "ssd-n", (pata_system,)) == {}  # two in the box
    assert facts("used", "nvme-n") == {"screws": 1} and facts("new", "nvme-n") == {}


@pytest.mark.parametrize("keys", [{"board": "kept-board", "drive": "nvme-n"}, {"drive": "kept-drive"}])
def test_a_module_that_is_new_or_moves_wants_its_screw(keys: dict[str, str]) -> None:
    """The one that stays in its socket has it; those of a used board are often lost."""
    sockets = (M2Socket("m", 80, ("nvme",), 3, 4, 0, 0),) * 2
    present = Drive(name="module", kind="ssd", interface="m2-nvme", m2_key="m", m2_length_mm=80)
    here = make_problem(
        make_survey(drives=(SYSTEM_DRIVE, present), board=replace(OLD_BOARD, m2_slots=sockets)),
        BOTH,
        boards=[replace(BOARD, m2_slots=sockets)],
        drives=[NVME],
        offers=[
            Offer(part, "shop", 1000, 5, condition="used" if part == "board-a" else "new")
            for part in ("board-a", "cpu-a", "kit-a", "nvme-n")
        ],
    )
    (found,) = findings(storage_accessories, here, pick(here, **keys))
    assert dict(found.facts) == {"screws": 1}


def test_leads_are_looked_at_only_where_a_drive_is_connected_anew() -> None:
    here, bare = make_problem(), make_problem(make_survey(drives=()))
    assert [f.facts for f in findings(storage_accessories, here)] == [()]  # today's lead on the new board
    assert findings(storage_accessories, here, here.present()) == ()  # everything stays
    assert findings(storage_accessories, bare) == ()
