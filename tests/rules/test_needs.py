"""What a rule has bought: ``needs`` and ``post`` name the same goods for every combination of parts.

One small world for each rule that has something bought, with combinations that need something and some that need
nothing; one more where nothing is on sale. `test_agreement.py` compares verdicts, which do not see whether a need was
posted that the offers can meet anyway.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from needs_check import same_needs
from support import (
    BOARD,
    CPU,
    GRAPHICS,
    OLD_BOARD,
    PSU,
    SYSTEM_DRIVE,
    agree,
    make_problem,
    make_survey,
)

from partsolver.catalog.records import DrivePart, Extra
from partsolver.catalog.sockets import M2Socket
from partsolver.problem.problem import Problem
from partsolver.rules import (
    os_licence,
    os_tpm,
    picture_displays,
    power_card_plugs,
    power_cpu_plug,
    power_drive_plugs,
    storage_floppy,
    storage_m2,
    storage_pata,
    storage_sata,
)
from partsolver.survey.model import Card, Display, Drive, OperatingSystem
from partsolver.wishes.brief import Brief

DISK = Drive(name="disk", kind="hdd35", interface="sata")
OLD_DISK = Drive(name="old disk", kind="hdd35", interface="pata")
OPTICAL = Drive(name="optical", kind="optical", interface="pata")
FLOPPY = Drive(name="floppy", kind="floppy", interface="floppy", bay="3.5")
MODULE = Drive(
    name="module", kind="ssd", interface="m2-nvme", m2_key="m", m2_length_mm=80, pcie_gen=3, pcie_lanes=4
)
SOCKET = M2Socket("m", 80, ("nvme", "sata"), 3, 4, 0, 0)
SSD = DrivePart(id="ssd-n", name="", kind="ssd", interface="sata", sata_gbps10=60, read_mbs=500)
CARD = Card(name="card", kind="graphics", bus="pcie", lanes=16, power_plugs=("6",), length_mm=200)


def sale(id: str, kind: str, takes: str, gives: str, count: int = 1, **facts: Any) -> Extra:
    return Extra(id=id, name=id, kind=kind, takes=(takes,), gives=(gives,), count=count, **facts)


def world(
    survey: dict[str, Any], extras: tuple[Extra, ...], brief: Brief | None = None, **tables: Any
) -> Problem:
    few: dict[str, Any] = {"cpus": [], "memory": [], "coolers": [], "extras": extras}
    return make_problem(make_survey(**survey), brief, **{**few, **tables})


def boards(*facts: dict[str, Any]) -> list[Any]:
    return [replace(BOARD, id=f"board-{number}", **changes) for number, changes in enumerate(facts)]


def sata(*extras: Extra) -> Problem:
    short = {"sata_6g_ports": 1, "m2_slots": ()}
    several = boards(
        {}, short, short | {"sata_6g_ports": 2}, short | {"slots": None}, short | {"sata_6g_ports": None}
    )
    return world({"drives": (SYSTEM_DRIVE, DISK, DISK)}, extras, boards=several)


def pata(*extras: Extra) -> Problem:
    several = boards(
        {}, {"pata_channels": 1}, {"slots": ()}, {"slots": None, "sata_6g_ports": 0}, {"pata_channels": None}
    )
    brief = Brief(budget="10000.00", replace=("drive",))
    return world({"drives": (SYSTEM_DRIVE, OLD_DISK, OPTICAL)}, extras, brief, boards=several, drives=[SSD])


def m2(*extras: Extra) -> Problem:
    several = boards(
        {},
        {"m2_slots": ()},
        {"m2_slots": (SOCKET, SOCKET)},
        {"m2_slots": (), "slots": ()},
        {"m2_slots": None},
    )
    return world({"drives": (SYSTEM_DRIVE, MODULE)}, extras, boards=several)


def floppy(*extras: Extra) -> Problem:
    several = boards({}, {"floppy_headers": 1}, {"floppy_headers": 2}, {"floppy_headers": None})
    return world({"drives": (SYSTEM_DRIVE, FLOPPY)}, extras, boards=several)


def drive_plugs(*extras: Extra) -> Problem:
    new = replace(PSU, id="psu-n", name="new", year=2026)
    psus = [
        replace(new, id="psu-a"),
        replace(new, id="psu-b", sata_plugs=2, peripheral_leads=2),
        replace(new, id="psu-c", peripheral_plugs=0),
        replace(new, id="psu-d", sata_plugs=3, peripheral_plugs=1),
        replace(new, id="psu-e", sata_plugs=None, peripheral_plugs=None),
    ]
    drives = (SYSTEM_DRIVE, DISK, DISK, OLD_DISK)
    return world(
        {"drives": drives}, extras, Brief(budget="10000.00", replace=("psu",)), psus=psus, boards=[BOARD]
    )


def cpu_plug(*extras: Extra) -> Problem:
    new = replace(PSU, id="psu-n", name="new", cpu_plugs=(), year=2026)
    psus = [replace(new, id="psu-a"), replace(new, id="psu-b", cpu_plugs=("4",))]
    several = boards({}, {"cpu_plugs": ()}, {"cpu_plugs": None})
    cpus = [CPU, replace(CPU, id="cpu-hot", tdp_w=125, power_limit_w=200)]
    brief = Brief(budget="10000.00", replace=("psu",))
    return world({"psu": replace(PSU, cpu_plugs=())}, extras, brief, psus=psus, boards=several, cpus=cpus)


def card_plugs(*extras: Extra) -> Problem:
    brief = Brief(budget="10000.00", replace=("graphics",))
    cards = [
        replace(GRAPHICS, id="card-6", power_plugs=("6",), load_mw=100_000),
        replace(GRAPHICS, id="card-66", power_plugs=("6", "6"), load_mw=150_000),
        GRAPHICS,
    ]
    survey = {"psu": replace(PSU, card_plugs=(), peripheral_leads=3), "cards": (CARD,)}
    return world(survey, extras, brief, graphics=cards, boards=[BOARD])


def tpm(*extras: Extra) -> Problem:
    several = boards({}, {"tpm": "header"}, {"tpm": "1.2"}, {"tpm": "none"}, {"tpm": None})
    system = OperatingSystem(family="desktop-2021", licence="retail")
    return world(
        {"os": system, "board": replace(OLD_BOARD, tpm="header")}, extras, boards=several, cpus=[CPU]
    )


def licence(*extras: Extra) -> Problem:
    return world({"os": OperatingSystem(family="desktop-2015", licence="oem")}, extras, boards=[BOARD])


def displays(*extras: Extra) -> Problem:
    shown = (Display(name="monitor", inputs=("vga",), width_px=1280, height_px=1024, refresh_hz=60),)
    several = boards({}, {"outputs": ("hdmi-1.4",)}, {"outputs": ()}, {"outputs": None})
    cpus = [CPU, replace(CPU, id="cpu-dark", graphics_score=0)]
    brief = Brief(budget="10000.00", replace=("graphics",))
    digital = replace(GRAPHICS, id="card-d", outputs=("dvi-i",))
    return world({"displays": shown}, extras, brief, boards=several, cpus=cpus, graphics=[digital])


WORLDS: dict[Any, tuple[Any, tuple[Extra, ...]]] = {
    storage_sata: (
        sata,
        (sale("card-2", "sata-controller", "x1", "sata", 2), sale("card-1", "sata-controller", "x1", "sata")),
    ),
    storage_pata: (
        pata,
        (
            sale("bridge", "pata-drive-adapter", "sata", "pata"),
            sale("controller", "pata-controller", "x1", "pata"),
            sale("box", "usb-enclosure", "usb", "pata"),
        ),
    ),
    storage_m2: (m2, (sale("m2-card", "m2-card", "x4", "m2-nvme"),)),
    storage_floppy: (floppy, (sale("usb-floppy", "usb-floppy", "usb", "floppy"),)),
    power_drive_plugs: (
        drive_plugs,
        (
            sale("splitter", "sata-power-splitter", "sata", "sata", 2, limit_ma=4500),
            sale("from-sata", "peripheral-from-sata", "sata", "peripheral"),
        ),
    ),
    power_cpu_plug: (
        cpu_plug,
        (sale("cpu4-lead", "cpu-plug-adapter", "peripheral", "4", 2, limit_ma=12000),),
    ),
    power_card_plugs: (
        card_plugs,
        (sale("card-lead", "card-plug-adapter", "peripheral", "6", 2, limit_ma=6250),),
    ),
    os_tpm: (
        tpm,
        (sale("tpm-2", "tpm-module", "header", "2.0"), sale("tpm-1", "tpm-module", "header", "1.2")),
    ),
    os_licence: (licence, (sale("licence-a", "os-licence", "pc", "desktop-2015"),)),
    picture_displays: (
        displays,
        (
            sale("converter", "display-adapter", "hdmi", "vga", active=True),
            sale("plug", "display-adapter", "dvi-i", "vga"),
        ),
    ),
}


@pytest.mark.parametrize("rule", WORLDS, ids=lambda rule: rule.ID)
def test_both_statements_have_the_same_bought(rule: Any) -> None:
    made, extras = WORLDS[rule]
    with_needs, without = same_needs(rule, made(*extras))
    assert with_needs and without
    agree(rule, made(*extras))


@pytest.mark.parametrize("rule", WORLDS, ids=lambda rule: rule.ID)
def test_where_nothing_is_on_sale_nothing_is_bought(rule: Any) -> None:
    """The verdicts agree, and what needs nothing is admitted as before."""
    made, extras = WORLDS[rule]
    admitted, refused = agree(rule, made())
    assert admitted
    assert refused > agree(rule, made(*extras))[1] or rule is os_licence  # a licence is a question, no bar
