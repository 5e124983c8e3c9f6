"""Leads and what they feed, by hand: 9 A for a lead of peripheral plugs, 4.5 A for a SATA plug (`standards/plugs.py`)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CASE, CPU, PSU, SYSTEM_DRIVE, make_problem, make_survey

from partsolver.assembly import leads
from partsolver.assembly.card_adapters import card_adapter_options, missing_sockets, socket_ma
from partsolver.assembly.leads import (
    Claimed,
    Piece,
    adapter_pieces,
    carried,
    carries,
    claimed_by_cpu,
    claimed_by_sata,
    cpu_adapters,
    drive_pieces,
    hangs,
    peripheral_leads,
    peripheral_limit_ma,
    sata_power_options,
)
from partsolver.assembly.loads import cpu_load
from partsolver.catalog.records import Extra
from partsolver.problem.candidates import KEPT_GRAPHICS, DriveChoice, GraphicsChoice
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card, Drive
from partsolver.wishes.brief import Brief

OWN = GraphicsChoice(KEPT_GRAPHICS, None, None)
KEPT = DriveChoice("kept", SYSTEM_DRIVE, None)
NO_DRIVE = DriveChoice("none", None, None)
S = {
    "cpu_plug_from_peripheral_ma": 9000,
    "startup_processor_percent": 50,
    "startup_card_percent": 60,
    "hdd35_12v_ma": 450,
    "hdd35_start_12v_ma": 2000,
}


def pc(*extras: Extra, drives: tuple[Drive, ...] = (), cards: tuple[Card, ...] = ()) -> Problem:
    survey = make_survey(drives=(SYSTEM_DRIVE, *drives), cards=cards)
    problem = make_problem(survey, Brief(), extras=extras)
    return replace(problem, settings={**problem.settings, **S})


def psu(**facts: Any) -> Any:
    return replace(PSU, **{"cpu_plugs": (), "peripheral_plugs": 4, "peripheral_leads": None, **facts})


def disk(name: str, interface: Any = "sata", start: int = 2000) -> Drive:
    return Drive(name=name, kind="hdd35", interface=interface, start_12v_ma=start)


def ids(extras: Any) -> list[str]:
    return [extra.id for extra in extras]


@pytest.mark.parametrize(
    ("pieces", "number", "limit", "fits"),
    [
        ((), 1, 10, True),
        ((10,), 1, 10, True),
        ((11,), 1, 10, False),
        ((11,), 2, 10, False),  # one piece hangs on one lead
        ((6, 6), 1, 10, False),
        ((6, 6), 2, 10, True),
        ((6, 6, 6), 2, 10, False),
        ((5, 5, 5, 5), 2, 10, True),
        ((7, 3, 7, 3), 2, 10, True),
        ((6, 6, 4, 4), 2, 10, True),
        ((7, 7, 4), 2, 10, False),  # 18 of 20 mA, and the 4 finds no 4
        ((0, 6, 6), 2, 10, True),
        ((6, 6), 0, 10, False),
        ((10, 10, 10), 3, 10, True),
        ((5, 4, 3, 3, 3, 2), 2, 10, True),  # 5 + 3 + 2 and 4 + 3 + 3
    ],
)
def test_currents_over_leads(pieces: tuple[int, ...], number: int, limit: int, fits: bool) -> None:
    assert hangs(pieces, number, limit) is fits


def test_both_at_work_and_at_the_start() -> None:
    assert carried((Piece(5, 9), Piece(5, 1)), 1, 10)
    assert not carried((Piece(6, 1), Piece(5, 1)), 1, 10)
    assert not carried((Piece(1, 6), Piece(1, 5)), 1, 10)
    assert carried((Piece(1, 6), Piece(1, 5)), 2, 10)


@pytest.mark.parametrize(
    ("facts", "usual", "best"),
    [
        ({"peripheral_leads": 2, "peripheral_plugs": 5}, 2, 2),
        ({"peripheral_leads": None, "peripheral_plugs": 5}, 1, 5),
        ({"peripheral_leads": None, "peripheral_plugs": 0}, 1, 1),
        ({"peripheral_leads": None, "peripheral_plugs": None}, 1, 1),
        ({"peripheral_leads": 0, "peripheral_plugs": 5}, 0, 0),
    ],
)
def test_leads_with_peripheral_plugs(facts: Any, usual: int, best: int) -> None:
    assert (peripheral_leads(psu(**facts)), peripheral_leads(psu(**facts), best=True)) == (usual, best)


def test_pieces_of_drives() -> None:
    """Lightest start first; of a disk the stated start, 0.45 A at work."""
    drives = (disk("a", "pata", 2500), disk("b", "pata", 1500), disk("c", "sata", 900))
    problem = pc(drives=drives)
    assert drive_pieces(KEPT, problem, "peripheral") == (Piece(450, 1500), Piece(450, 2500))
    assert drive_pieces(KEPT, problem, "sata") == (Piece(0, 0), Piece(450, 900))
    assert drive_pieces(NO_DRIVE, problem, "sata") == (Piece(450, 900),)
    assert drive_pieces(NO_DRIVE, problem, "floppy") == ()
    assert peripheral_limit_ma(problem) == 9000


def test_pieces_of_adapters() -> None:
    problem = pc()
    assert adapter_pieces(problem, 9001, 2) == (Piece(4501, 2250),) * 2
    assert adapter_pieces(problem, 900, 0) == (Piece(900, 450),)
    assert adapter_pieces(problem, 900, 1, "card") == (Piece(900, 540),)


@pytest.mark.parametrize(
    ("count", "limit", "current", "fits"),
    [
        (1, None, 9000, True),
        (1, None, 9001, False),
        (2, None, 18_000, True),
        (2, None, 18_001, False),
        (2, 8000, 8000, True),
        (2, 8000, 8001, False),
        (1, 20_000, 9001, False),
    ],
)
def test_what_an_adapter_carries(count: int, limit: int | None, current: int, fits: bool) -> None:
    extra = Extra("a", "A", kind="cpu-plug-adapter", count=count, limit_ma=limit)
    assert carries(pc(), extra, current) is fits


def cpu_adapter(name: str, gives: str, count: int = 1, takes: str = "peripheral", **facts: Any) -> Extra:
    return Extra(name, name, kind="cpu-plug-adapter", takes=(takes,), gives=(gives,), count=count, **facts)


FOUR, EIGHT, PAIR = cpu_adapter("four", "4"), cpu_adapter("eight", "8", 2), cpu_adapter("pair", "4", 2)


@pytest.mark.parametrize(
    ("extras", "header", "current", "facts", "found"),
    [
        ((FOUR, EIGHT), "4", 6000, {}, ["four"]),
        ((FOUR, EIGHT), "8", 6000, {}, ["eight", "four"]),
        ((cpu_adapter("sata", "4", takes="sata"),), "4", 6000, {}, []),
        ((FOUR, PAIR), "4", 6000, {"peripheral_plugs": 1}, ["four"]),
        ((FOUR, PAIR), "4", 6000, {"peripheral_plugs": 2}, ["four", "pair"]),
        ((FOUR, PAIR), "4", 6000, {"peripheral_plugs": 0}, []),
        ((FOUR, PAIR), "4", 6000, {"peripheral_plugs": None}, ["four", "pair"]),
        ((FOUR, PAIR), "4", 9000, {}, ["four", "pair"]),
        ((FOUR, PAIR), "4", 9001, {}, []),  # both of one lead
        ((FOUR, PAIR), "4", 9001, {"peripheral_leads": 2}, ["pair"]),
        ((FOUR, PAIR), "4", 18_001, {"peripheral_leads": 2}, []),
        ((cpu_adapter("weak", "4", limit_ma=5000),), "4", 6000, {}, []),
    ],
)
def test_adapters_for_a_processor_header(
    extras: Any, header: str, current: int, facts: Any, found: list[str]
) -> None:
    assert ids(cpu_adapters(pc(*extras), header, current, psu(**facts), KEPT)) == found


def test_drives_go_before_the_processor() -> None:
    """A disk on a peripheral plug takes a plug and 0.45 A (2 A while it starts)."""
    problem = pc(FOUR, PAIR, drives=(disk("old", "pata"),))
    assert ids(cpu_adapters(problem, "4", 8550, psu(), KEPT)) == ["four", "pair"]
    assert ids(cpu_adapters(problem, "4", 8551, psu(), KEPT)) == []
    assert ids(cpu_adapters(problem, "4", 8551, psu(), KEPT, best=True)) == ["four", "pair"]
    assert ids(cpu_adapters(problem, "4", 6000, psu(peripheral_plugs=2), KEPT)) == ["four"]
    # While it starts: 2 A beside half of the processor's current.
    heavy = pc(FOUR, drives=(disk("old", "pata", 5000),))
    assert ids(cpu_adapters(heavy, "4", 8001, psu(), KEPT)) == ["four"]
    assert ids(cpu_adapters(heavy, "4", 8002, psu(), KEPT)) == []


def test_what_the_processor_claims(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(leads, "cpu_load", lambda *_: replace(cpu_load(CPU, pc().settings), most_12v=6000))
    problem = pc(FOUR, PAIR, drives=(disk("old", "pata"),))
    board = replace(BOARD, cpu_plugs=("4",))
    own = Piece(450, 2000)
    # Most of the plugs, the whole current on one piece.
    assert claimed_by_cpu(problem, board, CPU, psu(), KEPT) == Claimed(1, (own, Piece(6000, 3000)))
    assert claimed_by_cpu(problem, board, CPU, psu(peripheral_plugs=None), KEPT).spare is None
    untouched = Claimed(3, (own,))
    assert claimed_by_cpu(problem, board, CPU, psu(cpu_plugs=("4",)), KEPT) == untouched
    assert claimed_by_cpu(problem, board, CPU, psu(cpu_plugs=None), KEPT) == untouched
    assert claimed_by_cpu(problem, replace(BOARD, cpu_plugs=()), CPU, psu(), KEPT) == untouched
    assert claimed_by_cpu(problem, replace(BOARD, cpu_plugs=None), CPU, psu(), KEPT) == untouched
    assert claimed_by_cpu(pc(drives=(disk("old", "pata"),)), board, CPU, psu(), KEPT) == untouched
    only_pair = pc(PAIR)
    assert claimed_by_cpu(only_pair, board, CPU, psu(), KEPT) == Claimed(2, (Piece(3000, 1500),) * 2)
    # Its first header is what is fed.
    both = pc(FOUR, EIGHT)
    assert claimed_by_cpu(both, replace(BOARD, cpu_plugs=("4", "8")), CPU, psu(), KEPT).spare == 3
    assert claimed_by_cpu(both, replace(BOARD, cpu_plugs=("8", "4")), CPU, psu(), KEPT).spare == 2


def lead(name: str, kind: str, count: int = 1, limit: int | None = None) -> Extra:
    return Extra(name, name, kind=kind, count=count, limit_ma=limit)


def splitter(count: int = 1, limit: int | None = None) -> Extra:
    return lead("splitter", "sata-power-splitter", count, limit)


def from_peripheral(count: int = 1, limit: int | None = None) -> Extra:
    return lead("from-peripheral", "sata-power-from-peripheral", count, limit)


FREE = Claimed(4, ())


@pytest.mark.parametrize(
    ("extra", "starts", "plugs", "claimed", "options"),
    [
        (splitter(), (2000, 2000), 2, FREE, ()),  # nothing is missing
        (splitter(), (2000, 2000), 1, FREE, (("splitter", 1),)),
        (splitter(), (2000, 2500), 1, FREE, (("splitter", 1),)),  # 4.5 A on one plug
        (splitter(), (2000, 2501), 1, FREE, ()),
        (splitter(limit=4000), (2000, 2000), 1, FREE, (("splitter", 1),)),
        (splitter(limit=3999), (2000, 2000), 1, FREE, ()),
        (splitter(limit=9000), (2000, 2501), 1, FREE, ()),  # the plug's own 4.5 A count too
        (splitter(), (1000, 1000, 4000), 2, FREE, (("splitter", 1),)),  # the two lightest share
        (splitter(), (1000, 1000, 1000), 1, FREE, ()),  # two splitters, one plug
        (splitter(), (1000,) * 4, 2, FREE, (("splitter", 2),)),
        (splitter(2), (1000,) * 4, 2, FREE, (("splitter", 1),)),
        (splitter(), (2000,) * 4, 2, FREE, (("splitter", 2),)),
        (splitter(2), (2000,) * 3, 1, FREE, ()),  # three on one plug: 6 A
        (splitter(), (1000, 1000, 1000, 4000), 2, FREE, ()),  # the heaviest pair may share
        (splitter(), (1000, 1000), 0, FREE, ()),
        (splitter(), (1000, 1000), None, FREE, ()),
        (from_peripheral(), (2000, 2000), 1, FREE, (("from-peripheral", 1),)),
        (from_peripheral(), (2000, 2000), 0, FREE, (("from-peripheral", 2),)),
        (from_peripheral(2), (2000, 2000), 0, FREE, (("from-peripheral", 1),)),
        (from_peripheral(), (2000, 2000), 2, FREE, ()),
        (from_peripheral(), (2000, 2000), 0, Claimed(1, ()), ()),
        (from_peripheral(), (2000, 2000), 0, Claimed(2, ()), (("from-peripheral", 2),)),
        (from_peripheral(), (2000, 2000), 0, Claimed(None, ()), (("from-peripheral", 2),)),
        (from_peripheral(), (4500, 5000), 1, FREE, (("from-peripheral", 1),)),  # the lightest moves
        (from_peripheral(), (4501, 5000), 1, FREE, ()),
        (from_peripheral(2), (4500, 4500), 0, FREE, (("from-peripheral", 1),)),
        (from_peripheral(2), (4500, 4501), 0, FREE, ()),
        (from_peripheral(3), (4000, 4000, 4000), 0, FREE, ()),  # 12 A on one lead
        (from_peripheral(limit=1999), (2000, 2000), 1, FREE, ()),
        (from_peripheral(limit=2000), (2000, 2000), 1, FREE, (("from-peripheral", 1),)),
        (from_peripheral(), (2000, 2000), 1, Claimed(4, (Piece(0, 7000),)), (("from-peripheral", 1),)),
        (from_peripheral(), (2000, 2000), 1, Claimed(4, (Piece(0, 7001),)), ()),
        (from_peripheral(), (2000, 2000), 1, Claimed(4, (Piece(8550, 0),)), (("from-peripheral", 1),)),
        (from_peripheral(), (2000, 2000), 1, Claimed(4, (Piece(8551, 0),)), ()),
    ],
)
def test_power_for_sata_drives(extra: Extra, starts: Any, plugs: Any, claimed: Claimed, options: Any) -> None:
    drives = tuple(disk(f"d{n}", start=start) for n, start in enumerate(starts))
    problem = pc(extra, drives=drives)
    assert sata_power_options(problem, psu(sata_plugs=plugs), NO_DRIVE, claimed) == options


def test_with_a_lead_for_each_plug_more_would_do() -> None:
    drives = tuple(disk(f"d{n}", start=4000) for n in range(3))
    problem = pc(from_peripheral(), drives=drives)
    assert sata_power_options(problem, psu(sata_plugs=0), NO_DRIVE, FREE) == ()
    assert sata_power_options(problem, psu(sata_plugs=0), NO_DRIVE, FREE, best=True) == (
        ("from-peripheral", 3),
    )
    both = pc(from_peripheral(), splitter(), drives=drives[:2])
    assert sata_power_options(both, psu(sata_plugs=1), NO_DRIVE, FREE) == (("from-peripheral", 1),)
    light = pc(from_peripheral(), splitter(), drives=tuple(disk(f"d{n}", start=900) for n in range(2)))
    assert sata_power_options(light, psu(sata_plugs=1), NO_DRIVE, FREE) == (
        ("from-peripheral", 1),
        ("splitter", 1),
    )


def test_what_sata_drives_claim() -> None:
    """Two disks and one plug: the lighter one goes to a lead from a peripheral plug."""
    drives = (disk("a", start=1500), disk("b"))
    one = from_peripheral()
    fed = psu(cpu_plugs=("4",), sata_plugs=1)
    assert claimed_by_sata(pc(one, drives=drives), BOARD, CPU, fed, NO_DRIVE) == Claimed(
        3, (Piece(450, 1500),)
    )
    many = replace(fed, peripheral_plugs=None)
    assert claimed_by_sata(pc(one, drives=drives), BOARD, CPU, many, NO_DRIVE).spare is None
    for problem, supply in (
        (pc(splitter(), drives=drives), fed),
        (pc(one, drives=drives), replace(fed, sata_plugs=2)),
        (pc(one, drives=drives), replace(fed, sata_plugs=None)),
    ):
        assert claimed_by_sata(problem, BOARD, CPU, supply, NO_DRIVE) == Claimed(4, ())
    two = pc(one, lead("triple", "sata-power-from-peripheral", 3), drives=drives)
    found = claimed_by_sata(two, BOARD, CPU, replace(fed, sata_plugs=0), NO_DRIVE)
    assert found == Claimed(2, (Piece(450, 1500), Piece(450, 2000)))  # the most plugs of the two


# -- cards ----------------------------------------------------------------------------------------------------------


def card(name: str = "card", *plugs: Any, **facts: Any) -> Card:
    return Card(
        **{"name": name, "kind": "graphics", "bus": "pcie", "lanes": 16, "power_plugs": plugs, **facts}
    )


@pytest.mark.parametrize(
    ("cards", "socket", "current"),
    [
        ((), "6", 6250),  # 75 W
        ((), "8", 12_500),  # 150 W
        ((), "16", 50_000),  # 600 W
        ((card("a", "6", load_mw=60_000),), "6", 5000),
        ((card("a", "6", load_mw=60_001),), "6", 5001),
        ((card("a", "6", load_mw=90_000),), "6", 6250),
        ((card("a", "6", load_mw=60_000),), "8", 12_500),
        ((card("a", "6"),), "6", 6250),
        ((card("a", "6", load_mw=24_000), card("b", "6", lanes=1, kind="other", load_mw=36_000)), "6", 3000),
        ((card("a", "6", load_mw=24_000), card("b", "6", lanes=1, kind="other")), "6", 6250),
    ],
)
def test_current_of_a_socket(cards: Any, socket: str, current: int) -> None:
    assert socket_ma(pc(cards=cards), BOARD, CASE, OWN, socket) == current


def card_adapter(name: str, takes: str, gives: str, count: int = 2, limit: int | None = None) -> Extra:
    return Extra(
        name, name, kind="card-plug-adapter", takes=(takes,), gives=(gives,), count=count, limit_ma=limit
    )


SIX, EIGHT_PINS = card_adapter("six", "peripheral", "6"), card_adapter("eight", "peripheral", "8")
TO_SIXTEEN = card_adapter("sixteen", "8", "16")
Options = dict[str, tuple[tuple[str, int], ...]]


@pytest.mark.parametrize(
    ("extras", "cards", "plugs", "missing", "claimed", "options"),
    [
        ((SIX,), (card("a", "6"),), (), ("6",), FREE, {"6": (("six", 1),)}),
        ((SIX,), (card("a", "6"),), (), ("6",), Claimed(1, ()), {"6": ()}),
        ((SIX,), (card("a", "6"),), (), ("6",), Claimed(2, ()), {"6": (("six", 1),)}),
        ((SIX,), (card("a", "6"),), (), ("6",), Claimed(None, ()), {"6": (("six", 1),)}),
        ((SIX,), (card("a", "6"),), (), ("6",), Claimed(4, (Piece(2750, 0),)), {"6": (("six", 1),)}),
        ((SIX,), (card("a", "6"),), (), ("6",), Claimed(4, (Piece(2751, 0),)), {"6": ()}),
        # 60 % of its 6250 mA while the disks start.
        ((SIX,), (card("a", "6"),), (), ("6",), Claimed(4, (Piece(0, 5250),)), {"6": (("six", 1),)}),
        ((SIX,), (card("a", "6"),), (), ("6",), Claimed(4, (Piece(0, 5251),)), {"6": ()}),
        ((card_adapter("weak", "peripheral", "6", 2, 6249),), (card("a", "6"),), (), ("6",), FREE, {"6": ()}),
        ((card_adapter("sata", "sata", "6"),), (card("a", "6"),), (), ("6",), FREE, {"6": ()}),
        ((SIX,), (card("a", "8"),), (), ("8",), FREE, {"8": ()}),
        # Two at once: 12.5 A are more than one lead carries.
        ((SIX,), (card("a", "6", "6"),), (), ("6", "6"), FREE, {"6": ()}),
        (
            (SIX,),
            (card("a", "6", "6", load_mw=48_000),),
            (),
            ("6", "6"),
            FREE,
            {"6": (("six", 2),)},
        ),
        ((SIX,), (card("a", "6", "6", load_mw=48_000),), (), ("6", "6"), Claimed(3, ()), {"6": ()}),
        # Each kind leaves the other its plugs.
        (
            (SIX, EIGHT_PINS),
            (card("a", "6", "8", load_mw=48_000),),
            (),
            ("6", "8"),
            FREE,
            {"6": (("six", 1),), "8": (("eight", 1),)},
        ),
        (
            (SIX, EIGHT_PINS),
            (card("a", "6", "8", load_mw=48_000),),
            (),
            ("6", "8"),
            Claimed(3, ()),
            {"6": (), "8": ()},
        ),
        # and its amperes: 4 A and 4 A and one more.
        (
            (SIX, EIGHT_PINS),
            (card("a", "6", "8", load_mw=48_000),),
            (),
            ("6", "8"),
            Claimed(4, (Piece(1001, 0),)),
            {"6": (), "8": ()},
        ),
        (
            (SIX, EIGHT_PINS),
            (card("a", "6", "8", load_mw=48_000),),
            (),
            ("6", "8"),
            Claimed(4, (Piece(1000, 0),)),
            {"6": (("six", 1),), "8": (("eight", 1),)},
        ),
        # Free card plugs put together.
        ((TO_SIXTEEN,), (card("a", "16", load_mw=300_000),), ("8", "8"), ("16",), FREE, {"16": (("sixteen", 1),)}),
        ((TO_SIXTEEN,), (card("a", "16", load_mw=300_012),), ("8", "8"), ("16",), FREE, {"16": ()}),
        ((TO_SIXTEEN,), (card("a", "16", load_mw=300_000),), ("8",), ("16",), FREE, {"16": ()}),
        ((TO_SIXTEEN,), (card("a", "16", load_mw=300_000),), ("8", "6"), ("16",), FREE, {"16": ()}),
        ((TO_SIXTEEN,), (card("a", "16", load_mw=300_000),), None, ("16",), FREE, {"16": ()}),
        ((TO_SIXTEEN,), (card("a", "16", "8", load_mw=200_000),), ("8", "8"), ("16",), FREE, {"16": ()}),
        ((card_adapter("limited", "8", "16", 2, 24_999),), (card("a", "16", load_mw=300_000),), ("8", "8"), ("16",),
         FREE, {"16": ()}),
        ((card_adapter("limited", "8", "16", 2, 25_000),), (card("a", "16", load_mw=300_000),), ("8", "8"), ("16",),
         FREE, {"16": (("limited", 1),)}),
        # Two of a kind take twice the plugs.
        ((TO_SIXTEEN,), (card("a", "16", "16", load_mw=300_000),), ("8",) * 4, ("16", "16"), FREE,
         {"16": (("sixteen", 2),)}),
        ((TO_SIXTEEN,), (card("a", "16", "16", load_mw=300_000),), ("8",) * 3, ("16", "16"), FREE, {"16": ()}),
        # A kind that no adapter serves claims nothing, and gives nothing either.
        ((card_adapter("b", "6", "16"),), (card("a", "16", "8", load_mw=100_000),), ("6",), ("16", "8"), FREE,
         {"16": (), "8": ()}),
        # Two kinds that want the same plugs.
        (
            (card_adapter("a", "6", "8"), card_adapter("b", "6", "16")),
            (card("a", "16", "8", load_mw=100_000),),
            ("6", "6", "6"),
            ("16", "8"),
            FREE,
            {"16": (), "8": ()},
        ),
        (
            (card_adapter("a", "6", "8"), card_adapter("b", "6", "16")),
            (card("a", "16", "8", load_mw=100_000),),
            ("6", "6", "6", "6"),
            ("16", "8"),
            FREE,
            {"16": (("b", 1),), "8": (("a", 1),)},
        ),
        (
            (SIX, card_adapter("from-eight", "8", "6", 1)),
            (card("a", "6", load_mw=48_000),),
            ("8",),
            ("6",),
            FREE,
            {"6": (("six", 1),)},  # the plug of 8 feeds the socket by itself: it is not free
        ),
    ],
)  # fmt: skip
def test_adapters_for_cards(
    extras: Any, cards: Any, plugs: Any, missing: Any, claimed: Claimed, options: Options
) -> None:
    found = card_adapter_options(
        pc(*extras, cards=cards), BOARD, CASE, OWN, psu(card_plugs=plugs), missing, claimed
    )
    assert found == options


def test_a_lead_for_each_plug() -> None:
    problem = pc(SIX, cards=(card("a", "6", "6"),))
    for best, options in ((False, ()), (True, (("six", 2),))):
        found = card_adapter_options(
            problem, BOARD, CASE, OWN, psu(card_plugs=()), ("6", "6"), FREE, best=best
        )
        assert found == {"6": options}


def test_sockets_without_a_plug() -> None:
    problem = pc(cards=(card("a", "8", "6"), card("b", "6", lanes=1, kind="other")))
    assert missing_sockets(problem, BOARD, CASE, OWN, ("6",)) == ("6", "8")
    assert missing_sockets(problem, BOARD, CASE, OWN, ("6", "8")) == ("6",)
    assert missing_sockets(problem, BOARD, CASE, OWN, ("6", "8", "8")) == ()
    assert missing_sockets(pc(), BOARD, CASE, OWN, ()) == ()
