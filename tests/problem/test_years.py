"""A year to come, of a slip of the pen or a clock that is wrong: an old supply is never trusted as a new one."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest
from support import OLD_BOARD, OLD_CPU, PSU, make_problem, make_survey

from partsolver.assembly.supply import supply_trust_percent
from partsolver.base.errors import InputRefused
from partsolver.survey.model import Drive
from partsolver.wishes.brief import Brief

TODAY = datetime.date(2026, 11, 20)


def asked(today: datetime.date, psu: int | None, drive: int | None = None, cpu: int | None = None) -> None:
    disk = Drive(name="archive", kind="hdd35", interface="sata", year=drive)
    board, rest = replace(OLD_BOARD, year=2009), replace(OLD_CPU, year=cpu)
    survey = make_survey(psu=replace(PSU, year=psu), drives=(disk,), board=board, cpu=rest)
    make_problem(survey, Brief(today=today))


@pytest.mark.parametrize(
    ("today", "psu", "drive", "cpu", "told"),
    [
        (TODAY, 2026, 2026, 2026, ()),
        # A catalogue of November, a supply of January.
        (TODAY, 2027, 2027, 2027, ()),
        (TODAY, None, None, None, ()),
        # 2013 with its last two digits exchanged.
        (TODAY, 2031, None, None, ("psu.year",)),
        (TODAY, 2012, 2028, 2028, ("cpu.year", "drive archive.year")),
        # The clock of a PC whose battery is flat.
        (datetime.date(2010, 1, 1), 2012, None, 2011, ("psu.year",)),
        (datetime.date(2010, 12, 31), 2011, None, 2011, ()),
    ],
)
def test_a_year_after_the_day_of_the_order_is_refused(
    today: datetime.date, psu: int | None, drive: int | None, cpu: int | None, told: tuple[str, ...]
) -> None:
    try:
        asked(today, psu, drive, cpu)
        found: tuple[str, ...] = ()
    except InputRefused as refused:
        found = tuple(fault.where for fault in refused.faults)
        assert all(
            f"at most {today.year + 1}" in str(fault) and "--today" in str(fault) for fault in refused.faults
        )
    assert found == told


def test_the_year_that_the_message_names_passes() -> None:
    with pytest.raises(InputRefused, match="at most 2027"):
        asked(TODAY, 2028)
    asked(TODAY, 2027)


@pytest.mark.parametrize(("year", "percent"), [(2026, 85), (2027, 85), (2028, 65), (None, 65)])
def test_a_supply_of_a_year_to_come_counts_as_old(year: int | None, percent: int) -> None:
    """Of a catalogue's row, as of an unknown year (settings psu_trust_*: 85 % new, 65 % of the oldest class)."""
    problem = make_problem(make_survey(psu=replace(PSU, year=2020)), Brief(today=TODAY))
    assert supply_trust_percent(problem, replace(PSU, id="psu-new", year=year)) == percent
