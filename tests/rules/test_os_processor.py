"""os.processor. Outside: psABI levels (AVX2 comes with level 3, POPCNT and SSE4.2 with level 2); the
enterprise Linux family's release 9 needs level 2, release 10 level 3 (release notes, memory reference
5.2)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import CPU, OLD_CPU, agree, findings, make_problem, make_survey, pick

from partsolver.report.words.os import WORDS
from partsolver.report.words.record import Names
from partsolver.rules import os_processor as rule
from partsolver.survey.model import OperatingSystem
from partsolver.wishes.brief import Brief

LEVEL_2 = ("cx16", "lahf_lm", "popcnt", "pni", "sse4_1", "sse4_2", "ssse3")


def _problem(family, cpu=CPU, keep=True, old=OLD_CPU, want=None, **tables):
    survey = make_survey(os=OperatingSystem(family=family, licence="none-needed", keep=keep), cpu=old)
    return make_problem(survey, Brief(budget="10000.00", os=want), cpus=[cpu], **tables)


@pytest.mark.parametrize(
    ("family", "level", "features", "verdict"),
    [
        ("linux-x86-64-v2", 2, None, "fits"),
        ("linux-x86-64-v2", 1, None, "fails"),
        ("linux-x86-64-v2", 1, LEVEL_2, "fits"),
        ("linux-x86-64-v3", 2, None, "fails"),
        ("linux-x86-64-v3", 3, None, "fits"),
        ("linux-x86-64-v2", None, None, "unknown"),
        ("linux-x86-64-v2", None, LEVEL_2, "unknown"),  # nobody said that it has those of level 1
        ("linux-x86-64-v1", 0, None, "fails"),  # a 32-bit processor
        (
            "linux-x86-64-v2",
            None,
            (*LEVEL_2, "cmov", "cx8", "fpu", "fxsr", "mmx", "syscall", "sse", "sse2"),
            "fits",
        ),
        ("linux-32bit", 0, None, "fits"),
        ("desktop-2021", 1, None, "fails"),
    ],
)
def test_table(family, level, features, verdict):
    (found,) = findings(rule, _problem(family, replace(CPU, x86_level=level, features=features)))
    assert found.verdict == verdict and found.parts == ("cpu-a",)
    # The processor's own level; where nobody stated it, the one that its features prove.
    assert found.value == (2 if level is None and verdict == "fits" else level)


# The 64-bit generation of 2015 needs CMPXCHG16B, LAHF/SAHF, PREFETCHW and NX, that of 32 bits PAE, NX and SSE2 (start
# reference, section 1.1); 64-bit processors before 2006 may lack some (1.1, test rows). What has SSSE3 (2006) has all of
# them, 3DNow! has PREFETCHW, tools name neither PREFETCHW nor a switched-off NX (from memory).
@pytest.mark.parametrize(
    ("family", "level", "year", "features", "verdict", "told"),
    [
        ("desktop-2015", 1, 2004, None, "unknown", "features"),
        ("desktop-2015", 1, 2006, None, "unknown", "features"),  # still sold in that year
        ("desktop-2015", 1, None, None, "unknown", "features"),
        ("desktop-2015", 1, 2007, None, "fits", None),
        ("desktop-2015", 2, 2004, None, "fits", None),  # level 2 came with all of them
        ("desktop-2015", 1, 2005, ("nx", "3dnow", "lahf_lm", "pni"), "fails", "cmpxchg16b"),
        ("desktop-2015", 1, 2005, ("nx", "cx16", "pni"), "fails", "lahf-sahf prefetchw"),
        ("desktop-2015", 1, 2004, (), "fails", "cmpxchg16b lahf-sahf nx prefetchw"),
        ("desktop-2015", 1, 2006, ("nx", "3dnow", "lahf_lm", "cx16"), "fits", None),
        ("desktop-2015", 1, 2006, ("nx", "3dnowprefetch", "lahf_lm", "cx16"), "fits", None),
        ("desktop-2015", 1, 2005, ("nx", "lahf_lm", "cx16"), "unknown", "features"),
        ("desktop-2015", 1, 2005, ("lahf_lm", "cx16"), "unknown", "features"),
        ("desktop-2015", 1, 2006, ("cx16", "lahf_lm", "ssse3"), "fits", None),
        ("desktop-2015", None, 2004, None, "unknown", "x86_level"),
        ("desktop-2015", 0, 2008, None, "fails", None),
        ("desktop-2015-32bit", 1, 2005, None, "unknown", "features"),  # NX
        ("desktop-2015-32bit", 1, 2005, ("nx",), "fits", None),
        ("desktop-2015-32bit", 0, 2003, ("cmov", "sse"), "fails", "nx pae sse2"),
        ("desktop-2015-32bit", 0, 2003, ("pae", "sse2"), "unknown", "features"),
        ("desktop-2015-32bit", 0, 2004, ("nx", "pae", "sse2"), "fits", None),
        ("desktop-2015-32bit", 0, 2008, None, "fits", None),
        ("desktop-2015-32bit", None, 2004, None, "unknown", "features"),
        ("desktop-2009", 1, 2004, None, "fits", None),
        ("linux-x86-64-v1", 1, 2004, None, "fits", None),
    ],
)
def test_instructions_that_the_first_64_bit_processors_lack(family, level, year, features, verdict, told):
    cpu = replace(CPU, x86_level=level, year=year, features=features)
    problem = _problem(family, cpu, coolers=())
    (found,) = findings(rule, problem)
    assert found.verdict == verdict
    sentence = WORDS[rule.ID].sentence(found, Names())
    if verdict == "unknown":
        assert (found.question, found.admits) == (f"cpu:cpu-a.{told}", True)
        assert ("of 2006 and before" in sentence) is (told == "features")
    elif told is not None:
        assert (found.fact("missing"), found.fact("further")) == (told, "yes")
        assert "level" not in sentence
    admitted, refused = agree(rule, problem)
    assert (refused > 0) is (verdict == "fails") and (verdict == "fails" or admitted > 0)
    # The year for which they are sure is a setting.
    later = make_problem(
        problem.survey, Brief(budget="10000.00", settings={"desktop_2015_cpu_year": 2004}), cpus=[cpu]
    )
    if year == 2004 and level == 1:
        assert findings(rule, later)[0].verdict == "fits"


def test_an_early_processor_goes_on_running_what_it_runs():
    """It starts today, so that it has what the system needs."""
    old = replace(OLD_CPU, x86_level=1, year=2005, features=None)
    problem = _problem("desktop-2015", old=old, coolers=())
    assert findings(rule, problem, problem.present())[0].fact("today") == "yes"
    wanted = _problem("desktop-2009", old=old, want="desktop-2015", coolers=())
    (found,) = findings(rule, wanted, wanted.present())
    assert (found.verdict, found.question) == ("unknown", "cpu.features")
    agree(rule, wanted)


def test_facts_of_failure():
    (found,) = findings(rule, _problem("linux-x86-64-v3", replace(CPU, x86_level=2)))
    assert (found.value, found.limit) == (2, 3)
    assert found.facts == (
        ("family", "linux-x86-64-v3"),
        ("missing", "avx avx2 bmi1 bmi2 f16c fma lzcnt movbe osxsave"),
    )


def test_vendor_wishes_are_facts_only():
    (found,) = findings(rule, _problem("desktop-2021", replace(CPU, cores=1, year=2012)))
    assert found.verdict == "fits"
    assert (found.fact("min_cores"), found.fact("supported_from_year")) == (2, 2018)  # [D21]; hwcooling 2021


@pytest.mark.parametrize(("family", "keep"), [("none", True), ("linux-x86-64-v3", False)])
def test_irrelevant(family, keep):
    assert findings(rule, _problem(family, replace(CPU, x86_level=1), keep)) == ()


def test_question():
    (found,) = findings(rule, _problem("linux-x86-64-v2", replace(CPU, x86_level=None)))
    assert (found.question, found.admits) == ("cpu:cpu-a.x86_level", True)


def test_present_processor():
    problem = _problem("linux-x86-64-v3", old=replace(OLD_CPU, x86_level=1))
    assert findings(rule, problem, problem.present())[0].fact("short") == "yes"
    # Another system is wanted: it is a condition of the finished PC, kept or new.
    problem = _problem("desktop-2015", old=replace(OLD_CPU, x86_level=1), want="linux-x86-64-v3")
    (found,) = findings(rule, problem, problem.present())
    assert (found.verdict, found.fact("short")) == ("fails", None)
    assert findings(rule, problem, pick(problem, cpu="kept-cpu"))[0].verdict == "fails"


@pytest.mark.parametrize("want", [None, "desktop-2021"])
@pytest.mark.parametrize("level", [1, 3, None])
def test_agreement(want, level):
    problem = _problem(
        "linux-x86-64-v2",
        replace(CPU, x86_level=1),
        old=replace(OLD_CPU, x86_level=level),
        want=want,
        coolers=(),
    )
    admitted, refused = agree(rule, problem)
    # Where another system is asked for, no processor of level 1 stands, the kept one neither.
    assert refused > 0 and (admitted > 0) == (want is None or level != 1)
