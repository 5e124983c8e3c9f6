"""What could replace a part that is kept: drives that do the work of a drive, and the cheapest offers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import PSU, make_problem

from partsolver.catalog.records import DrivePart, Offer
from partsolver.plan.keeping import _cheapest, _like, _offered
from partsolver.plan.outcome import Replacement
from partsolver.survey.model import Drive


@pytest.mark.parametrize(
    ("old", "new", "serves"),
    [
        ({}, {}, True),  # as large
        ({}, {"capacity_gb": 499}, False),
        ({}, {"capacity_gb": None}, False),
        ({"capacity_gb": None}, {"capacity_gb": None}, True),
        ({"capacity_gb": None}, {"capacity_gb": 1}, True),
        ({"capacity_gb": 1}, {"capacity_gb": None}, False),
        ({}, {"kind": "ssd"}, True),
        ({}, {"kind": "hdd25"}, False),
        ({}, {"interface": "pata"}, False),
        ({"kind": "hdd25"}, {"kind": "hdd25"}, True),
        ({"kind": "hdd25"}, {"kind": "ssd"}, True),
        ({"kind": "hdd25"}, {}, False),  # of another size
        ({"kind": "ssd"}, {"kind": "ssd"}, True),
        ({"kind": "ssd"}, {}, False),
        ({"kind": None}, {}, False),
        ({"kind": "optical"}, {}, False),
    ],
)
def test_what_does_the_work_of_a_drive(old: dict[str, Any], new: dict[str, Any], serves: bool) -> None:
    """Of its kind or a solid-state drive, on the same lead, no smaller."""
    drive = Drive(name="old", **{"kind": "hdd35", "interface": "sata", "capacity_gb": 500, **old})
    facts = {"kind": "hdd35", "interface": "sata", "capacity_gb": 500, **new}
    assert _like(drive)(DrivePart("new", "New", **facts)) is serves


def test_the_cheapest_offers_of_a_table_come_first() -> None:
    """The cheapest allowed offer of each, by price and then id; what nobody sells is left out. A supply of unknown year
    that everybody sells new is of this year (2026)."""
    psus = [replace(PSU, id=name, year=None, mass_g=1700) for name in ("b", "a", "c", "none", "out")]
    offers = [
        Offer("b", "shop", 2000),
        Offer("b", "shop", 1000),
        Offer("b", "shop", 3000),
        Offer("a", "shop", 1000, stock=1),
        Offer("c", "shop", 900),
        Offer("out", "shop", 100, stock=0),
        Offer("c", "shop", 950, condition="used"),
    ]
    problem = make_problem(offers=offers, psus=psus)
    found = _offered(problem, "psus")
    assert [(price, row.id) for price, row in found] == [(900, "c"), (1000, "a"), (1000, "b")]
    assert found is _offered(problem, "psus")
    assert [row.year for _, row in found] == [None, 2026, 2026]
    seen: list[str] = []

    def fits(row: Any) -> bool:
        seen.append(row.id)
        return bool(row.id == "a")

    assert _cheapest(problem, "psus", fits) == (Replacement("a", 1000, 1700), True) and seen == ["c", "a"]
    assert _cheapest(problem, "psus", lambda _: False) == (None, True)
