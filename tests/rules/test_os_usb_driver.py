"""os.usb_driver. Outside: set-up programs without an xHCI driver see no keyboard on 100-series-class boards
(case C06)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import BOARD, agree, findings, make_problem, make_survey

from partsolver.rules import os_usb_driver as rule
from partsolver.survey.model import OperatingSystem


def _problem(family="desktop-2009", year=2018, ps2=0):
    survey = make_survey(os=OperatingSystem(family=family, licence="retail"))
    return make_problem(survey, boards=[replace(BOARD, year=year, ps2_ports=ps2)])


@pytest.mark.parametrize(
    ("family", "year"),
    [("desktop-2015", 2018), ("desktop-2009", 2014), ("desktop-2009", None), ("none", 2018)],
)
def test_irrelevant(family, year):
    assert findings(rule, _problem(family, year)) == ()


def test_first_year_and_facts():
    (found,) = findings(rule, _problem(year=2015, ps2=1))
    assert (found.verdict, found.value) == ("fits", 2015)
    assert dict(found.facts) == {"family": "desktop-2009", "ps2_ports": 1}


def test_never_refuses():
    admitted, refused = agree(rule, _problem())
    assert admitted > 0 and refused == 0
