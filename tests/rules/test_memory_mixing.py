"""memory.mixing. Outside: mixed pairs may run slower or fail to start (Intel support article 000088926)."""

from __future__ import annotations

from dataclasses import replace

from support import BOARD, KIT, MEMORY, SELLER, agree, findings, make_problem, make_survey, pick

from partsolver.rules import memory_mixing as rule

MIXED = "kit-a*1+kept-memory"


def _problem(**kept):
    return make_problem(
        make_survey(memory=(MEMORY.model_copy(update={"generation": "ddr4", "rate_mts": 2400, **kept}),)),
        memory=[KIT],
        sellers=[replace(SELLER, returns_days=30)],
        coolers=(),
    )


def test_one_kit_alone_is_irrelevant():
    problem = _problem()
    assert findings(rule, problem, pick(problem, memory="kit-a*1")) == ()
    assert findings(rule, problem, pick(problem, memory="kept-memory")) == ()


def test_facts_exactly():
    problem = _problem(count=1)
    (found,) = findings(rule, problem, pick(problem, memory=MIXED))
    assert (found.verdict, found.parts, found.question) == ("fits", ("kit-a", "kept-memory"), None)
    # One present and two new modules on two channels.
    assert found.facts == (
        ("kept", 1),
        ("mixed", "yes"),
        ("new", 2),
        ("returns_days", 30),
        ("two_per_channel", "yes"),
    )


def test_differences_are_facts():
    problem = _problem(rate_mts=2133, ecc=True)
    (found,) = findings(rule, problem, pick(problem, memory=MIXED))
    assert (found.fact("rates"), found.fact("ecc")) == ("differ", "differ")


def test_one_module_each_fills_the_channels_once():
    problem = make_problem(
        make_survey(memory=(MEMORY.model_copy(update={"generation": "ddr4", "count": 1}),)),
        memory=[replace(KIT, modules=1)],
    )
    (found,) = findings(rule, problem, pick(problem, memory=MIXED))
    assert (found.fact("new"), found.fact("kept"), found.fact("two_per_channel")) == (1, 1, None)


def test_never_refuses():
    problem = make_problem(
        make_survey(memory=(MEMORY.model_copy(update={"generation": None, "rate_mts": None}),)),
        boards=[BOARD],
        coolers=(),
    )
    admitted, refused = agree(rule, problem)
    assert admitted > 0 and refused == 0
