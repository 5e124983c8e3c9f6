"""The ranking of open questions equals brute force: try every answer, solve without a solver, compare,
sort."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations
from typing import Any

from brute import drafts, first
from conftest import FULL
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Instance, instances
from support import CASE, OLD_CPU, PSU, SYSTEM_DRIVE, make_problem, make_survey

from partsolver.assembly.loads import total_load
from partsolver.explain.answers import OpenQuestion, open_questions
from partsolver.explain.favourable import FAVOURABLE, hoped
from partsolver.explain.questions import question_values
from partsolver.performance.present import present_time_ppm
from partsolver.plan.complete import judge
from partsolver.plan.draft import Draft
from partsolver.problem.candidates import SLOTS, Parts
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.survey.model import Card, Display, Drive, OperatingSystem, Pc, Survey
from partsolver.wishes.brief import Brief

SOME = settings(max_examples=80 if FULL else 6)
MORE = settings(max_examples=400 if FULL else 25)
# Facts that may be unknown, each with plausible answers in partsolver.explain.answers.
UNKNOWN: dict[str, dict[str, Any]] = {
    "psu.cpu_plugs": {"psu": replace(PSU, cpu_plugs=None)},
    "psu.pinout": {
        "psu": replace(PSU, pinout=None),
        "pc": Pc(
            name="test PC", brand=True, board_works=True, cpu_works=True, memory_works=True, always_on=False
        ),
    },
    "psu.rated_w": {"psu": replace(PSU, rated_w=None)},
    "psu.rail_12v_ma": {"psu": replace(PSU, rail_12v_ma=None, combined_12v_ma=None, rated_w=None)},
    "case.max_board_depth_mm": {"case": replace(CASE, max_board_depth_mm=None)},
    "case.max_cooler_height_mm": {"case": replace(CASE, max_cooler_height_mm=None)},
    "cpu.year": {"cpu": replace(OLD_CPU, year=None, serial_score=None, parallel_score=None)},
    "drive:ssd.start_mode": {"drives": (SYSTEM_DRIVE.model_copy(update={"start_mode": None}),)},
    "display:monitor.inputs": {
        "displays": (Display(name="monitor", width_px=1680, height_px=1050, refresh_hz=60),)
    },
    "device": {"devices": (), "unlisted": ("device",)},
    "os.licence": {"os": OperatingSystem(family="desktop-2015")},
}


def asked(problem: Problem) -> list[OpenQuestion]:
    """The open questions; an unknown socket of the present board may be any of the processors on sale."""
    sold = {c.part.socket for c in problem.slot("cpu") if not c.kept} - {None}  # type: ignore[union-attr]
    return list(open_questions(problem.survey, tuple(sorted(sold))))  # type: ignore[arg-type]


def answered(problem: Problem, path: str, answer: Any) -> Problem:
    question = next(q for q in asked(problem) if q.path == path)
    return changed(problem, survey=question.answered(answer))


def hoping(problem: Problem, paths: Sequence[str]) -> Problem:
    for path in paths:
        question = next((q for q in asked(problem) if q.path == path), None)
        problem = problem if question is None else answered(problem, path, hoped(question))
    return problem


def standing(known: Problem, everything: list[Draft], today: Draft) -> int | None:
    """Time of today's parts (with whatever cooler) in an answered problem; None when they do not stand
    there."""
    here = [
        d
        for d in everything
        if all(d.parts.candidate(s).key == today.parts.candidate(s).key for s in SLOTS if s != "cooler")
    ]
    return min((d.time_ppm for d in here), default=None)


# (money at risk, share of answers that fail, time, money, matters) of one question
Row = tuple[int, int, int, int, bool]


def value(problem: Problem, question: OpenQuestion, today: Draft | None) -> Row:
    risk = failing = time = money = 0
    matters = False
    bests: list[Draft | None] = []
    for answer in question.answers:
        known = answered(problem, question.path, answer)
        everything = list(drafts(known))
        best = first(known, everything)
        bests.append(best)
        if today is None or best is None:
            matters |= today is not best
            failing += today is not None
            risk = max(risk, 0 if today is None else today.cost)
            continue
        mine = standing(known, everything, today)
        if mine is None:
            failing += 1
            risk = max(risk, today.cost)
        elif best.time_ppm < mine:
            time = max(time, 1000 * (mine - best.time_ppm) // mine)
        if best.parts.keys != today.parts.keys:
            money = max(money, abs(best.cost - today.cost))
        matters |= mine is None or best.parts.keys != today.parts.keys
    if today is None and any(bests) and not all(bests):
        risk = max(best.cost for best in bests if best)
    return risk, 1000 * failing // len(question.answers), time, money, matters


def blocked(problem: Problem, wanted: Draft) -> bool:
    """Whether a guess would be needed that could destroy parts of this draft."""
    picked = [
        next((c for c in problem.slot(s) if c.key == wanted.parts.candidate(s).key), None) for s in SLOTS
    ]
    parts = Parts(tuple(c for c in picked if c is not None))
    return len(parts.picked) == len(SLOTS) and any(
        f.blocks for f in judge(problem, replace(wanted, parts=parts), all_rules())
    )


def smallest(paths: Sequence[str], enough: Any) -> list[tuple[str, ...]]:
    """The smallest sets of questions whose hoped answers are enough, by trying all."""
    for size in range(len(paths) + 1):
        if found := [subset for subset in combinations(paths, size) if enough(subset)]:
            return found
    return [()]


def check(problem: Problem) -> list[tuple[str, int, int, int]]:
    """Compare with the program; returns (question, money at risk, time, money) in order."""
    today = first(problem, list(drafts(problem)))
    questions = asked(problem)
    paths = [question.path for question in questions]
    bright = hoping(problem, paths)
    wanted = first(bright, list(drafts(bright)))
    found = question_values(problem)
    group = [v.path for v in found.values if v.needed]
    assert [v.path for v in found.values[: len(group)]] == group  # they come first

    blockers = (
        smallest(paths, lambda subset: not blocked(hoping(problem, subset), wanted)) if wanted else [()]
    )
    tellers = (
        smallest(paths, lambda subset: present_time_ppm(hoping(problem, subset)) is not None)
        if wanted
        else [()]
    )
    assert set(group) in [{*a, *b} for a in blockers for b in tellers]

    settled = hoping(problem, group)
    supposed = first(settled, list(drafts(settled)))
    rows: list[tuple[bool, Row, str]] = []
    for question in questions:
        if question.path in group:
            others = hoping(problem, [path for path in group if path != question.path])
            rows.append((True, value(others, question, first(others, list(drafts(others)))), question.path))
        else:
            rows.append((False, value(settled, question, supposed), question.path))
    rows.sort(key=lambda r: (not r[0], -r[1][0], -r[1][1], -r[1][2], -r[1][3], not (r[0] or r[1][4]), r[2]))
    for plan, draft in ((found.today, today), (found.supposed, supposed)):
        assert (None if plan is None else plan.parts.keys) == (None if draft is None else draft.parts.keys)
    expected = [(path, risk, time, money) for _, (risk, _, time, money, _), path in rows]
    assert [(v.path, v.at_risk, v.time_permille, v.money) for v in found.values] == expected
    assert [v.matters for v in found.values] == [needed or row[4] for needed, row, _ in rows]
    return expected


@st.composite
def uncertain(draw: st.DrawFn) -> Problem:
    instance: Instance = draw(instances(most=2, survey_changes=1, wishes=False, alternatives=1))
    survey = instance.survey
    for path in draw(st.lists(st.sampled_from(sorted(UNKNOWN)), min_size=1, max_size=4, unique=True)):
        for table, value in UNKNOWN[path].items():
            if table == "psu":  # several facts of the supply may be unknown together
                empty = {
                    key: None
                    for key in ("cpu_plugs", "pinout", "rated_w", "rail_12v_ma", "combined_12v_ma")
                    if getattr(value, key) is None
                }
                value = replace(survey.psu, **empty)
            survey = survey.model_copy(update={table: value})
    return replace(instance, survey=survey).problem()


@SOME
@given(uncertain())
def test_ranking_equals_brute_force(problem: Problem) -> None:
    check(problem)


def test_by_hand() -> None:
    """An unknown CPU plug blocks every new board; the depth of the case changes nothing here (the board is
    220 mm deep and answers are 200, 230, 260 mm: at 200 mm it does not fit)."""
    survey = make_survey(
        psu=replace(PSU, cpu_plugs=None), os=OperatingSystem(family="none", licence="none-needed")
    )
    ranked = check(make_problem(survey, Brief(budget="200.00", alternatives=1, min_speedup="1.1")))
    assert ranked[0][0] == "psu.cpu_plugs" and ranked[0][1] > 0
    known = check(
        make_problem(
            make_survey(case=replace(CASE, max_board_depth_mm=None)), Brief(budget="200.00", alternatives=1)
        )
    )
    assert known[0][0] == "case.max_board_depth_mm" and known[0][1] == 3003


def test_what_blocks_together_comes_first_in_one_group() -> None:
    """Pin order and both plugs of the supply are unknown: no answer alone lets a new board in, so all
    three are needed. Its strength is unknown too, but the new parts draw at most what today's may. The
    processor's year and score are unknown too, but that only widens the range of the speed-up."""
    psu = replace(
        PSU, pinout=None, main_plug=None, cpu_plugs=None, rated_w=None, rail_12v_ma=None, combined_12v_ma=None
    )
    survey = make_survey(
        psu=psu,
        pc=UNKNOWN["psu.pinout"]["pc"],
        cpu=UNKNOWN["cpu.year"]["cpu"],
        case=replace(CASE, max_board_depth_mm=None),
    )
    found = question_values(make_problem(survey, Brief(budget="200.00", alternatives=1)))
    assert {v.path for v in found.needed} == {
        "psu.pinout",
        "psu.main_plug",
        "psu.cpu_plugs",
    }
    assert found.today is not None and found.today.parts.board_kept and found.today.speedup is not None
    assert (
        found.supposed is not None
        and not found.supposed.parts.board_kept
        and found.supposed.speedup is not None
    )
    assert found.values[4].path == "case.max_board_depth_mm"  # at risk once the group is answered


# -- facts that count as favourable while they are unknown -------------------------------------------------------------


def blank(survey: Survey, path: str) -> Survey:
    """The survey without a fact (``drive.kind``: of all drives)."""
    table, _, key = path.partition(".")
    if not key:
        return survey.model_copy(update={f"{table}s": (), "unlisted": (table,)})
    if table == "pc":
        return survey.model_copy(
            update={
                "pc": Pc(
                    **{k: v for k in survey.pc.model_fields_set if k != key for v in [getattr(survey.pc, k)]}
                )
            }
        )
    if table == "drive":
        return survey.model_copy(
            update={"drives": tuple(d.model_copy(update={key: None}) for d in survey.drives)}
        )
    record = getattr(survey, table)
    return survey if record is None else survey.model_copy(update={table: replace(record, **{key: None})})


def test_facts_that_decide_currents_are_open_questions() -> None:
    """Rails of a label, leads of four disks, the load of a card with plugs: asked where they may decide,
    else not."""
    disks = tuple(
        Drive(name=f"disk {n}", kind="hdd35", interface="sata", power_plug="sata") for n in range(4)
    )
    card = Card(name="card", kind="graphics", bus="pcie", lanes=16, power_plugs=("6", "8"))
    two = make_survey(
        psu=replace(PSU, rail_12v_ma=(8000, 14000), cpu_rail=None, sata_leads=None, peripheral_leads=None),
        drives=(SYSTEM_DRIVE, *disks),
        cards=(card,),
    )
    found = {question.path: question.answers for question in open_questions(two)}
    assert set(found["psu.cpu_rail"]) == {0, 1, 2} and found["psu.sata_leads"] == (1, 2)
    assert found["psu.peripheral_leads"] == (1, 2)  # an adapter for the card may hang there
    assert found["card:card.load_mw"][0] == 300_000  # slot 75 + 6 contacts 75 + 8 contacts 150 W
    early = make_survey(psu=replace(PSU, year=2002, rail_5vsb_ma=None))
    assert "psu.rail_5vsb_ma" in {question.path for question in open_questions(early)}
    plain = make_survey(psu=replace(PSU, rail_12v_ma=(18000,), cpu_rail=None, sata_leads=None))
    paths = {question.path for question in open_questions(plain)}
    assert not paths & {
        "psu.rail_5vsb_ma",
        "psu.cpu_rail",
        "psu.sata_leads",
        "psu.peripheral_leads",
        "card:card.load_mw",
    }
    stated = two.model_copy(update={"cards": (card.model_copy(update={"load_mw": 150_000}),)})
    assert "card:card.load_mw" not in {question.path for question in open_questions(stated)}


def test_the_list_of_favourable_facts_names_questions() -> None:
    for path in FAVOURABLE:
        paths = [q.path for q in open_questions(blank(make_survey(), path))]
        assert any(
            p == path or (p.startswith("drive:") and p.endswith(path.partition(".")[2])) for p in paths
        ), path


@MORE
# Plain sellers: what an answer makes necessary may lift an order to its least value, or to free delivery.
@given(
    instances(most=2, survey_changes=2, wishes=False, alternatives=1, plain=True),
    st.sampled_from(sorted(FAVOURABLE)),
)
def test_an_answer_to_a_favourable_fact_only_takes_away(instance: Instance, path: str) -> None:
    """Every plan of every answered problem exists in the open one, at most as dear, at most as slow, drawing
    no more."""
    problem = replace(instance, survey=blank(instance.survey, path)).problem()
    key = path.partition(".")[2] or path
    before = {draft.parts.keys: draft for draft in drafts(problem)}
    for question in open_questions(problem.survey):
        if question.path == path or (
            question.path.startswith("drive:")
            and path.startswith("drive.")
            and question.path.endswith(f".{key}")
        ):
            for answer in question.answers:
                known = changed(problem, survey=question.answered(answer))
                for draft in drafts(known):
                    other = before.get(draft.parts.keys)
                    assert other is not None, (path, answer, draft.parts.keys)
                    assert (other.cost, other.time_ppm) <= (
                        draft.cost,
                        draft.time_ppm,
                    ) and other.time_ppm <= draft.time_ppm
                    assert total_load(problem, other.parts).mw <= total_load(known, draft.parts).mw
