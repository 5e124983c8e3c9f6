"""os.memory. Outside: the 2021 desktop generation needs 4 GB (windows-itpro-docs commit 00ef75cd) = 4096
MiB."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import KIT, MEMORY, agree, findings, make_problem, make_survey, pick

from partsolver.rules import os_memory as rule
from partsolver.survey.model import OperatingSystem
from partsolver.wishes.brief import Brief


def _problem(family="desktop-2021", capacity=2048, want=None, keep=True, settings=None, **tables):
    survey = make_survey(
        os=OperatingSystem(family=family, licence="retail", keep=keep),
        memory=(MEMORY.model_copy(update={"capacity_mib": capacity}),),
    )
    return make_problem(survey, Brief(budget="10000.00", os=want, settings=settings or {}), **tables)


@pytest.mark.parametrize(
    ("module_mib", "verdict", "margin"), [(2048, "fits", 0), (2047, "fails", -2), (4096, "fits", 4096)]
)
def test_around_the_least(module_mib, verdict, margin):
    (found,) = findings(rule, _problem(memory=[replace(KIT, module_mib=module_mib)]))
    assert (found.verdict, found.value, found.limit, found.margin) == (verdict, 2 * module_mib, 4096, margin)
    assert (found.unit, found.parts, found.facts) == ("MiB", ("kit-a",), (("family", "desktop-2021"),))


@pytest.mark.parametrize(("family", "keep"), [("none", True), ("desktop-2021", False)])
def test_irrelevant(family, keep):
    assert findings(rule, _problem(family, keep=keep, memory=[replace(KIT, module_mib=128)])) == ()


def test_memory_that_a_32_bit_system_cannot_use_does_not_count():
    settings = {"desktop_32bit_min_memory_mib": 4096}
    (found,) = findings(
        rule, _problem("linux-32bit", settings=settings, memory=[replace(KIT, module_mib=8192)])
    )
    assert (found.value, found.margin) == (4096, 0)


def test_unknown_capacity():
    problem = _problem(capacity=None)
    (found,) = findings(rule, problem, pick(problem, memory="kept-memory"))
    assert (found.verdict, found.question, found.fact("least_mib")) == (
        "unknown",
        "memory.capacity_mib",
        4096,
    )
    # The new modules alone are enough: nothing has to be known of the present ones.
    problem = _problem(capacity=None, memory=[replace(KIT, generation="ddr3")])
    assert findings(rule, problem, pick(problem, memory="kit-a*1+kept-memory"))[0].verdict == "fits"


def test_present_memory():
    problem = _problem(capacity=512)
    for parts in (problem.present(), pick(problem, memory="kept-memory")):
        (found,) = findings(rule, problem, parts)
        assert (found.verdict, found.fact("short"), found.value) == ("fits", "yes", 1024)
    problem = _problem("desktop-2015", capacity=512, want="desktop-2021")
    # A system that is asked for is a condition of the finished PC, kept or new.
    assert findings(rule, problem, problem.present())[0].verdict == "fails"
    assert findings(rule, problem, pick(problem, memory="kept-memory"))[0].verdict == "fails"


@pytest.mark.parametrize("want", [None, "desktop-2021"])
@pytest.mark.parametrize("capacity", [512, None])
def test_agreement(want, capacity):
    problem = _problem(
        "desktop-2015" if want else "desktop-2021",
        capacity,
        want,
        memory=[
            replace(KIT, id="kit-s", generation="ddr3", module_mib=1024),
            KIT,
            replace(KIT, id="kit-u", module_mib=None),
        ],
        coolers=(),
    )
    admitted, refused = agree(rule, problem)
    assert admitted > 0 and refused > 0
