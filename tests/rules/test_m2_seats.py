"""M.2 modules in sockets and the SATA ports they take, by hand.

PCI Express M.2 specification: a module goes into a socket of its protocol that is as long as it; boards' manuals say which
SATA ports a socket takes, by number or by name (sockets that only state a number may take the same ones).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, SYSTEM_DRIVE, make_problem, make_survey

from partsolver.assembly.ports import (
    free_sata_ports,
    m2_takes,
    sata_ports_lost,
    seat_modules,
    slot_takes,
    stated_sata_ports,
    unknown_sata_column,
)
from partsolver.catalog.sockets import M2Socket, Slot
from partsolver.problem.candidates import DriveChoice
from partsolver.problem.problem import Problem
from partsolver.survey.model import Drive

BOTH = ("nvme", "sata")


def socket(
    protocols: tuple[str, ...] = BOTH, lost: int = 0, names: tuple[str, ...] = (), longest: int = 80
) -> M2Socket:
    return M2Socket("m", longest, protocols, 3, 4, lost, lost, names, names)


def module(name: str, interface: str = "m2-nvme", **facts: Any) -> Drive:
    return Drive(name=name, kind="ssd", interface=interface, m2_length_mm=80, **facts)  # type: ignore[arg-type]


def pc(*drives: Drive) -> tuple[Problem, DriveChoice]:
    """A PC whose system drive hangs on SATA, with these drives beside it."""
    problem = make_problem(make_survey(drives=(SYSTEM_DRIVE, *drives)))
    return problem, DriveChoice("kept-drive", SYSTEM_DRIVE, None)


def board(*sockets: M2Socket, sata: tuple[int | None, int | None, int | None] = (4, 0, 0)) -> Any:
    six, three, one = sata
    return replace(BOARD, m2_slots=sockets, sata_6g_ports=six, sata_3g_ports=three, sata_1g5_ports=one)


def seated(of: Any, *drives: Drive) -> tuple[dict[str, int], list[str], int, int]:
    problem, choice = pc(*drives)
    found = seat_modules(of, choice, problem)
    return {m.name: at for m, at in found.placed}, [m.name for m in found.left], found.least, found.most


def test_first_sockets_first_and_none_twice() -> None:
    assert seated(board(socket(), socket()), module("a"), module("b")) == ({"a": 0, "b": 1}, [], 0, 0)
    assert seated(board(socket()), module("a"), module("b")) == ({"a": 0}, ["b"], 0, 0)
    assert seated(board(), module("a")) == ({}, ["a"], 0, 0)
    assert seated(board(socket(), socket())) == ({}, [], 0, 0)


def test_as_few_as_possible_stay_out() -> None:
    """The first socket takes both protocols, the second NVMe alone: the SATA module needs the first."""
    of = board(socket(), socket(("nvme",)))
    assert seated(of, module("n"), module("s", "m2-sata")) == ({"n": 1, "s": 0}, [], 0, 0)
    # Of two for one socket the NVMe module stays out, since a slot card carries it.
    assert seated(board(socket()), module("n"), module("s", "m2-sata")) == ({"s": 0}, ["n"], 0, 0)


def test_the_socket_that_costs_fewer_ports() -> None:
    of = board(socket(lost=2), socket(lost=1))
    assert seated(of, module("a")) == ({"a": 1}, [], 1, 1)
    # Two that state only numbers may take the same ports: at least two, at most three.
    assert seated(of, module("a"), module("b")) == ({"a": 0, "b": 1}, [], 2, 3)


def test_ports_that_are_named_are_counted_once() -> None:
    one, two = socket(lost=1, names=("sata3",)), socket(lost=2, names=("sata3", "sata4"))
    assert seated(board(one, two), module("a"), module("b")) == ({"a": 0, "b": 1}, [], 2, 2)
    # One whose ports have no names may take one of them, or another.
    assert seated(board(two, socket(lost=1)), module("a"), module("b")) == ({"a": 0, "b": 1}, [], 2, 3)


@pytest.mark.parametrize(
    ("sata", "free", "certain"), [((4, 0, 0), 2, 1), ((2, 1, 1), 2, 1), ((3, 0, 0), 1, 0), ((2, 0, 0), 0, 0)]
)
def test_ports_that_are_left(sata: tuple[int, int, int], free: int, certain: int) -> None:
    of = board(socket(lost=2), socket(lost=1), sata=sata)
    problem, choice = pc(module("a"), module("b"))
    assert sata_ports_lost(of, choice, problem) == 3
    assert free_sata_ports(of, choice, problem) == free
    assert free_sata_ports(of, choice, problem, certain=True) == certain


def test_ports_of_which_some_are_not_known() -> None:
    """Two are stated, the system drive needs one: enough for one more, not for two."""
    of = board(sata=(2, None, 0))
    problem, choice = pc()
    assert stated_sata_ports(of) == 2 and unknown_sata_column(of) == "sata_3g_ports"
    assert free_sata_ports(of, choice, problem) == 2
    assert free_sata_ports(of, choice, problem, more=1) == 2
    assert free_sata_ports(of, choice, problem, more=2) is None
    assert unknown_sata_column(board(sata=(None, None, 0))) == "sata_6g_ports"
    assert unknown_sata_column(board()) is None and stated_sata_ports(board(sata=(1, 2, 3))) == 6


@pytest.mark.parametrize(
    ("protocols", "longest", "interface", "takes"),
    [
        (("nvme",), 80, "m2-nvme", True),
        (("nvme",), 80, "m2-sata", False),
        (("sata",), 80, "m2-sata", True),
        (("sata",), 80, "m2-nvme", False),
        (BOTH, 80, "m2-sata", True),
        (BOTH, 79, "m2-sata", False),
        (BOTH, 110, "m2-nvme", True),
    ],
)
def test_protocol_and_length(protocols: tuple[str, ...], longest: int, interface: str, takes: bool) -> None:
    assert m2_takes(socket(protocols, longest=longest), module("a", interface)) is takes


def test_what_nobody_stated_refuses_nothing_but_is_not_certain() -> None:
    """The longest module is 110 mm; keys B, M and B+M are in use."""
    unknown = Drive(name="a", kind="ssd", interface="m2-nvme")
    assert m2_takes(socket(), unknown) and not m2_takes(socket(), unknown, certain=True)
    assert not m2_takes(socket(longest=110), unknown, certain=True)  # its key may be B
    keyed = unknown.model_copy(update={"m2_key": "m"})
    assert m2_takes(socket(longest=110), keyed, certain=True) and not m2_takes(
        socket(longest=109), keyed, certain=True
    )
    assert not m2_takes(socket(), unknown.model_copy(update={"m2_key": "b"}))


@pytest.mark.parametrize(
    ("slot", "kind", "takes"),
    [
        ("x1", "x1", True),
        ("x1", "x4", False),
        ("x16", "x4", True),
        ("x8", "x8", True),
        ("pci", "pci", True),
        ("pci", "x1", False),
        ("x16", "pci", False),
    ],
)
def test_slots_for_added_cards(slot: str, kind: str, takes: bool) -> None:
    assert slot_takes(Slot(slot, 1), kind) is takes
