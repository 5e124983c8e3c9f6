"""Trips of a board to the seller of its update, by hand: days there and back (common practice)."""

from __future__ import annotations

import datetime
from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, TODAY, make_problem

from partsolver.catalog.records import Bundle, Extra, Offer, Seller
from partsolver.plan.allowed import Allowed
from partsolver.plan.buying_ways import Wish
from partsolver.plan.draft import Need
from partsolver.plan.purchase import _trip
from partsolver.plan.seller_search import Trip
from partsolver.plan.services import SentIn, possible_trips, trip_of
from partsolver.problem.problem import Problem

SHOP, WORKSHOP = Seller("shop", "Shop", delivery_days=2), Seller("workshop", "Workshop", delivery_days=4)
UPDATE = Extra("update", "Update", kind="firmware-update")
SECOND = Extra("second", "Second", kind="firmware-update")


def day(number: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=number)


def pc(*offers: Offer, extras: Any = (UPDATE, SECOND), **tables: Any) -> Problem:
    return make_problem(sellers=(SHOP, WORKSHOP), offers=offers, extras=extras, **tables)


BOARD_OFFER = Offer("board-a", "shop", 100)


@pytest.mark.parametrize(
    ("source", "service", "trip"),
    [
        (BOARD_OFFER, Offer("update", "shop", 1), None),  # it updates what it sends
        (BOARD_OFFER, Offer("update", "workshop", 1), SentIn("workshop", 8, day(10))),
        (
            replace(BOARD_OFFER, available_on=day(5)),
            Offer("update", "workshop", 1),
            SentIn("workshop", 8, day(15)),
        ),
        (None, Offer("update", "workshop", 1), SentIn("workshop", 8, day(8))),  # the board is in the PC
        (None, Offer("update", "shop", 1), SentIn("shop", 4, day(4))),
        # The service itself is to be had only later.
        (None, Offer("update", "workshop", 1, available_on=day(20)), SentIn("workshop", 8, day(24))),
        (Bundle("s", "S", "parts", (), "workshop", 1), Offer("update", "shop", 1), SentIn("shop", 4, day(8))),
        (Bundle("s", "S", "parts", (), "shop", 1), Offer("update", "shop", 1), None),
    ],
)
def test_days_there_and_back(source: Any, service: Offer, trip: SentIn | None) -> None:
    assert trip_of(pc(), source, service) == trip


def told(problem: Problem) -> list[tuple[str | None, str]]:
    return [
        (None if source is None else source.seller, service.seller)
        for source, service in possible_trips(problem)
    ]


def test_every_way_once() -> None:
    """Two boards at one shop on the same day are one source; so are two services at one workshop."""
    twice = [BOARD_OFFER, Offer("board-b", "shop", 200), Offer("board-b", "workshop", 200)]
    services = [Offer("update", "workshop", 1), Offer("second", "workshop", 2)]
    problem = pc(*twice, *services, boards=[BOARD, replace(BOARD, id="board-b")])
    assert sorted(told(problem), key=str) == [
        ("shop", "workshop"),
        ("workshop", "workshop"),
        (None, "workshop"),
    ]
    later = replace(BOARD_OFFER, available_on=day(3))
    assert len(told(pc(BOARD_OFFER, later, *services))) == 3  # two days at the shop, and the PC's own
    other_day = [services[0], replace(services[1], available_on=day(3))]
    assert len(told(pc(BOARD_OFFER, *other_day))) == 4
    assert told(pc(BOARD_OFFER)) == [] and told(pc(BOARD_OFFER, *services, extras=())) == []


def test_boards_in_sets_are_sources_too() -> None:
    service = Offer("update", "shop", 1)
    kit = Bundle("set", "Set", "parts", (("board-a", 1), ("cpu-a", 1)), "workshop", 1)
    parts = [Offer("cpu-a", "shop", 1), Offer("kit-a", "shop", 1)]
    assert told(pc(*parts, service, bundles=(kit,))) == [("workshop", "shop"), (None, "shop")]
    without = replace(kit, items=(("cpu-a", 1), ("kit-a", 1)))
    assert told(pc(*parts, service, bundles=(without,))) == [(None, "shop")]


def test_between_which_wishes_a_board_travels() -> None:
    """From the place of its wish, else from the set that holds it, else from the PC, to the place of its service;
    nowhere where nothing is updated, or every trip is in time."""
    with_board, without = (
        Bundle(name, name, "parts", items, "workshop", 1)
        for name, items in (
            ("with", (("cpu-a", 1), ("board-a", 1))),
            ("without", (("cpu-a", 1), ("kit-a", 1))),
        )
    )
    offers = [Offer(part, "shop", 1) for part in ("board-a", "cpu-a", "kit-a")]
    problem = pc(*offers, bundles=(with_board, without))
    cpu, board = Wish((), slot="cpu"), Wish((), slot="board")
    cable, paste, update = (
        Wish((), need=Need("rule", kind, kind, ())) for kind in ("cable", "paste", "firmware-update")
    )
    some = Allowed(lambda *_: True, lambda _: True, allows_trip=lambda *_: True)

    def trip(bundles: Any, *wishes: Wish, rules: Allowed = some) -> Trip | None:
        return _trip(problem, bundles, wishes, rules)

    assert trip((), cpu, board, cable, paste, update) == Trip(1, None, 4)
    assert trip((without, with_board), paste, update) == Trip(None, with_board, 1)
    assert trip((without,), update, cpu) == Trip(None, None, 0)
    assert trip((), cpu, board, paste) is None and trip(()) is None
    assert trip((), board, update, rules=replace(some, allows_trip=None)) is None
