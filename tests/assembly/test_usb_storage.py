"""USB floppy drives in place of 3.5-inch ones (a USB floppy drive is a 3.5-inch one: common practice)."""

from __future__ import annotations

from typing import Any

import pytest
from support import SYSTEM_DRIVE, make_problem, make_survey

from partsolver.assembly.usb_storage import (
    floppy_drives,
    floppy_size,
    large_floppy_drives,
    usb_floppy_options,
    usb_storage_ports,
)
from partsolver.catalog.records import Extra
from partsolver.problem.problem import Problem
from partsolver.survey.model import Drive
from partsolver.wishes.brief import Brief

ONE = Extra("usb-floppy", "USB floppy", kind="usb-floppy", takes=("usb",), gives=("floppy",))
TWO = Extra("usb-pair", "Pair", kind="usb-floppy", takes=("usb",), gives=("floppy",), count=2)


def floppy(name: str = "floppy", **facts: Any) -> Drive:
    return Drive(**{"name": name, "kind": "floppy", "interface": "floppy", **facts})


LARGE = floppy("large", bay="5.25")
STICK = Drive(name="stick", kind="ssd", interface="usb")


def pc(*drives: Drive, extras: tuple[Extra, ...] = (ONE,), leave_out: tuple[str, ...] = ()) -> Problem:
    return make_problem(
        make_survey(drives=(SYSTEM_DRIVE, *drives)), Brief(leave_out=leave_out), extras=extras
    )


@pytest.mark.parametrize(
    ("drive", "counts"),
    [
        (floppy(), True),
        (floppy(kind=None), True),
        (floppy(interface=None), True),
        (floppy(interface="usb"), False),
        (floppy(required=False), False),
        (STICK, False),
        (Drive(name="d", kind="hdd35", interface="sata"), False),
    ],
)
def test_drives_that_need_a_header(drive: Drive, counts: bool) -> None:
    assert [found.name for found in floppy_drives(pc(drive))] == ([drive.name] if counts else [])


def test_what_is_left_out_needs_none() -> None:
    assert floppy_drives(pc(floppy(required=False), leave_out=("floppy",))) == []


@pytest.mark.parametrize(
    ("name", "bay", "size"),
    [
        ("floppy", "5.25", "5.25"),
        ("floppy 5.25", None, "5.25"),
        ("3.5 inch", None, "3.5"),
        ("3.5 inch", "5.25", "5.25"),
        ("floppy", None, None),
    ],
)
def test_the_size(name: str, bay: str | None, size: str | None) -> None:
    assert floppy_size(floppy(name, bay=bay)) == size


def test_large_ones() -> None:
    assert large_floppy_drives(pc(LARGE, floppy(), floppy("5.25 b"))) == 2
    assert large_floppy_drives(pc(floppy())) == 0


@pytest.mark.parametrize(
    ("drives", "headers", "options"),
    [
        ((floppy(),), 0, (("usb-floppy", 1), ("usb-pair", 1))),
        ((floppy(),), 1, ()),
        ((), 0, ()),
        ((floppy(), floppy("b")), 0, (("usb-floppy", 2), ("usb-pair", 1))),
        ((floppy(), floppy("b"), floppy("c")), 0, (("usb-floppy", 3), ("usb-pair", 2))),
        ((floppy(), floppy("b"), floppy("c")), 1, (("usb-floppy", 2), ("usb-pair", 1))),
        ((LARGE,), 0, ()),  # nothing replaces it
        ((LARGE, floppy()), 1, (("usb-floppy", 1), ("usb-pair", 1))),  # it gets the header
        ((LARGE, floppy("5.25 b"), floppy()), 1, ()),
        ((LARGE,), 1, ()),
    ],
)
def test_usb_drives_in_their_place(
    drives: tuple[Drive, ...], headers: int, options: tuple[tuple[str, int], ...]
) -> None:
    assert usb_floppy_options(pc(*drives, extras=(ONE, TWO)), headers) == options


@pytest.mark.parametrize(
    ("drives", "headers", "extras", "ports"),
    [
        ((STICK,), 0, (ONE,), 1),
        ((floppy(interface=None),), 1, (ONE,), 0),
        ((STICK.model_copy(update={"required": False}),), 0, (ONE,), 0),
        ((STICK, floppy()), 0, (ONE,), 2),
        ((STICK, floppy()), None, (ONE,), 1),
        ((STICK, floppy()), 1, (ONE,), 1),
        ((floppy(), floppy("b")), 0, (ONE,), 2),
        ((floppy(), floppy("b")), 0, (ONE, TWO), 1),  # the fewest pieces
        ((floppy(),), 0, (), 0),
    ],
)
def test_usb_ports_that_storage_takes(
    drives: tuple[Drive, ...], headers: int | None, extras: tuple[Extra, ...], ports: int
) -> None:
    assert usb_storage_ports(pc(*drives, extras=extras), headers) == ports
