"""memory.os_limit. Outside: 2^32 addresses of one byte are 4 GiB = 4096 MiB (arithmetic)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import KIT, MEMORY, agree, findings, make_problem, make_survey

from partsolver.rules import memory_os_limit as rule
from partsolver.survey.model import OperatingSystem

LIMIT_MIB = 2**32 // 2**20


def _problem(family="desktop-2009-32bit", keep=True, **tables):
    return make_problem(make_survey(os=OperatingSystem(family=family, licence="oem", keep=keep)), **tables)


@pytest.mark.parametrize(
    ("module_mib", "usable", "idle"), [(1024, 2048, 0), (2048, LIMIT_MIB, 0), (4096, LIMIT_MIB, 4096)]
)
def test_around_the_limit(module_mib, usable, idle):
    (found,) = findings(rule, _problem(memory=[replace(KIT, module_mib=module_mib)]))
    assert (found.verdict, found.value, found.limit, found.unit) == ("fits", usable, 2 * module_mib, "MiB")
    assert found.facts == (("bits", 32), ("family", "desktop-2009-32bit"), ("idle_mib", idle))
    assert found.parts == ("kit-a",)


@pytest.mark.parametrize(
    ("family", "keep"), [("desktop-2015", True), ("desktop-2009-32bit", False), ("none", True)]
)
def test_irrelevant(family, keep):
    assert findings(rule, _problem(family, keep)) == ()


def test_unknown_capacity():
    problem = make_problem(
        make_survey(
            os=OperatingSystem(family="linux-32bit", licence="none-needed"),
            memory=(MEMORY.model_copy(update={"capacity_mib": None}),),
        )
    )
    (found,) = findings(rule, problem, problem.present())
    assert (found.verdict, found.question) == ("unknown", "memory.capacity_mib")


def test_never_refuses():
    admitted, refused = agree(rule, _problem(memory=[replace(KIT, module_mib=8192)], coolers=()))
    assert admitted > 0 and refused == 0
