"""power.lead_reach. Lengths needed are settings (common practice); least lengths of old leads: ATX12V design
guide 2.0, 280 mm for the processor lead and 250 mm for others."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import CASE, PSU, agree, findings, make_problem, make_survey, pick

from partsolver.report.words.power import WORDS
from partsolver.report.words.record import Names
from partsolver.rules import power_lead_reach
from partsolver.standards.settings import defaults

USUAL = defaults()["main_lead_needed_mm"]
MORE = defaults()["bottom_lead_more_mm"]
CPU_LEAD = defaults()["cpu_lead_needed_mm"]


@pytest.mark.parametrize(
    ("place", "main", "cpu", "short"),
    [
        (None, None, None, []),
        ("top", USUAL, 280, []),
        ("top", USUAL - 1, 280, [("main", USUAL)]),
        (None, 250, CPU_LEAD, [("main", USUAL)]),
        ("bottom", USUAL + MORE, CPU_LEAD + MORE, []),
        ("bottom", USUAL + MORE - 1, CPU_LEAD + MORE - 1, [("main", USUAL + MORE), ("cpu", CPU_LEAD + MORE)]),
        ("bottom", None, 280, [("cpu", CPU_LEAD + MORE)]),
    ],
)
def test_what_falls_short_is_said_and_never_refused(
    place: str | None, main: int | None, cpu: int | None, short: list[tuple[str, int]]
) -> None:
    psu = replace(PSU, main_lead_mm=main, cpu_lead_mm=cpu)
    problem = make_problem(make_survey(psu=psu, case=replace(CASE, psu_place=place)))
    found = findings(power_lead_reach, problem, pick(problem))
    assert [(f.fact("lead"), f.fact("short_of_mm")) for f in found] == short
    for finding in found:
        assert finding.admits and f"{finding.value} mm" in WORDS[power_lead_reach.ID].sentence(
            finding, Names()
        )
    assert agree(power_lead_reach, problem)[1] == 0


def test_what_stays_together_reaches() -> None:
    problem = make_problem(make_survey(psu=replace(PSU, main_lead_mm=100)))
    assert findings(power_lead_reach, problem, problem.present()) == ()
