"""Screens of the answer: plans, money, why not, sold out."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

from starlette.responses import Response

from partsolver.base.documents import parse_json
from partsolver.base.errors import refuse
from partsolver.base.textfile import read_text, write_text
from partsolver.desk import given_up
from partsolver.desk.asking import uncertain
from partsolver.desk.folder import PcFiles, texts
from partsolver.desk.frame import Asked, go, stale
from partsolver.desk.screens_pc import change_wishes, date_wished, digest_of
from partsolver.desk.tasks import SoldOut
from partsolver.desk.wished import wished_changes
from partsolver.desk.workers import LONG_PATIENCE_S
from partsolver.explain.why import WayOut
from partsolver.planfile.plan_file import PlanFile, write_plan_file
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.report.desk_views import (
    cards,
    money,
    money_points,
    reasons,
    sentence_of,
    ways,
    why_not_lines,
)
from partsolver.report.json import parts_document
from partsolver.report.nothing import nothing_lines
from partsolver.report.text import names_of, only_hoped
from partsolver.report.why import plan_words
from partsolver.report.words import desk as words
from partsolver.survey.edit import with_answers, with_wishes
from partsolver.survey.interview.session import interview_path

# Steps of the trade-off: nobody sees finer ones, and a slider of twenty points can be moved by hand.
STEP_PERCENT = Decimal(5)
MOST_NAMES = 3000


def answers_view(asked: Asked) -> Response:
    """The plans that differ, as cards; or why there is none."""
    pc = asked.pc
    problem, outcome, found, nothing = asked.desk.warm.outcome(pc)
    said = uncertain(asked.desk, pc)
    weighing = asked.desk.warm.weighing(pc) if said in (words.WORTH_COMPUTED, words.WORTH_STOPPED) else None
    if found is None:
        return asked.show(
            "no_plan.html",
            hoped="" if outcome.hoped is None else only_hoped(outcome, problem),
            impossible=outcome.status == "impossible",
            uncertain=said,
            weighing=weighing,
        )
    given = tomllib.loads(pc.survey_text())
    chosen = _chosen_parts(pc)
    looked = set(texts(pc.bench().get("looked")))
    listed = cards(found, problem, lambda path: interview_path(path, given))
    parts = {choice.plan.rank: parts_document(choice.plan.parts, problem) for choice in found.plans}
    return asked.show(
        "answers.html",
        cards=listed,
        looked=looked,
        chosen=next((rank for rank, document in parts.items() if document == chosen), None),
        proven=outcome.status == "optimal" and found.proven,
        nothing=[sentence_of(line) for line in nothing_lines(nothing, problem)],
        uncertain=said,
        weighing=weighing,
        digest=_made_of(pc, problem),
    )


def _chosen_parts(pc: PcFiles) -> Any:
    """The parts of the plan file, None where there is none."""
    path = pc.file_beside("plan")
    if not path.is_file():
        return None
    document = parse_json(read_text(path), str(path), None)
    plans = document.get("plans") if isinstance(document, dict) else None
    if not isinstance(plans, list):
        return None
    chosen = (plan for plan in plans if isinstance(plan, dict) and plan.get("rank") == document.get("chosen"))
    parts = next((plan.get("parts") for plan in chosen), None)
    # The file names the extras among the parts (report/json.py); what a plan needs of them follows from the rest.
    return {key: part for key, part in parts.items() if key != "extras"} if isinstance(parts, dict) else None


def _made_of(pc: PcFiles, problem: Problem) -> str:
    """What the numbers of the cards hang on, and the plan that a card replaces: where any of it has changed,
    the number may be that of another plan by now."""
    return digest_of(repr((problem.survey.text, problem.catalog.digest, pc.plan_digest())))


def choose(asked: Asked) -> Response:
    """The plan of a card as the PC's plan file: the one that `recommend --out` writes."""
    pc = asked.pc
    try:
        rank = int(asked.form.get("rank", ""))
    except ValueError:
        raise refuse("rank", words.UNREADABLE, asked.form.get("rank"), "a plan's number") from None
    problem, outcome, found, _ = asked.desk.warm.outcome(pc, LONG_PATIENCE_S)
    listed = () if found is None else tuple(choice.plan for choice in found.plans)
    if rank not in [plan.rank for plan in listed]:
        raise refuse("rank", words.NO_SUCH_PLAN, rank)
    folder = asked.desk.warm.catalog_folder
    assert folder is not None
    path = pc.file_beside("plan")
    with asked.desk.warm.lock(pc.name):
        if asked.form.get("digest", "") != _made_of(pc, problem):
            wanted = next(plan for plan in listed if plan.rank == rank)
            if _chosen_parts(pc) != parts_document(wanted.parts, problem):
                raise stale()
            return go(asked.address("owner"))  # the button was pressed twice
        before = read_text(path) if path.is_file() else ""
        write_plan_file(path, replace(outcome, plans=listed), problem, rank, folder, before)
    return go(asked.address("owner"))


def look(asked: Asked) -> Response:
    """A look ticked, or its tick taken away."""
    pc, path = asked.pc, asked.form.get("path", "")
    with asked.desk.warm.lock(pc.name):
        notes = pc.bench()
        looked = set(texts(notes.get("looked")))
        looked = looked - {path} if "undo" in asked.form else looked | {path[:120]}
        pc.write_bench({**notes, "looked": sorted(looked)})
    return go(asked.address("answers"))


# -- money -------------------------------------------------------------------------------------------------------------


def money_view(asked: Asked) -> Response:
    """The exact trade-off: a slider with script, a table without."""
    problem, found = asked.desk.warm.tradeoff(asked.pc, STEP_PERCENT)
    points, chart = money_points(found, problem)
    return asked.show(
        "money.html",
        points=points,
        chart=chart,
        proven=found.proven,
        currency=problem.catalog.currency,
        budget="" if problem.budget is None else money(problem.budget, problem),
        was=digest_of(problem.survey.text),
    )


def take_sum(asked: Asked) -> Response:
    """A sum of the trade-off as the budget."""
    change_wishes(asked, asked.pc, {"budget": asked.form.get("budget", "")}, asked.form.get("was", ""))
    return go(asked.address("answers"))


# -- why not -----------------------------------------------------------------------------------------------------------


def why_view(asked: Asked) -> Response:
    """A part or a wish named: why the first plan is not so, and what it would take. Neither: the conflict
    and the ways out."""
    pc, warm = asked.pc, asked.desk.warm
    named = asked.query.get("part", "").strip()
    wish = asked.query.get("wish", "")
    value = asked.query.get("value", "").strip()
    problem = warm.problem(pc)
    shown: dict[str, Any] = {
        "named": named,
        "name": problem.names.get(named, named),
        "names": sorted(problem.names.items(), key=lambda item: item[1])[:MOST_NAMES],
        "wish": wish,
        "value": value,
        "wished": "",
        "text": [],
        "ways": [],
        "reasons": [],
        "possible": True,
        "plan": "",
        "was": digest_of(problem.survey.text),
    }
    if named:
        part = next((key for key, name in shown["names"] if name == named), named)
        _, found = warm.why(pc, "why-part", part)
        shown |= {"text": why_not_lines(found, problem), "reasons": list(reasons(found.reasons, problem))}
    else:
        changes = wished_changes(f"{wish}={value}") if wish else {}
        problem, answer = warm.why(pc, *(("why-wish", f"{wish}={value}") if wish else ()))
        problem = changed(problem, **changes) if changes else problem
        shown |= {
            "wished": words.wished(wish, changes[wish], problem.catalog.currency) if wish else "",
            "text": [] if answer.decided else [words.not_decided(pc.name)],
            "possible": answer.possible,
            "plan": "" if answer.plan is None else plan_words(answer.plan, problem, names_of(problem)),
            "reasons": list(reasons(answer.reasons, problem)),
            "ways": ways([way for way in answer.ways_out if not _gives_up(way, wish)], problem),
        }
    return asked.show("why.html", **shown, decided=not shown["text"] or bool(named))


def _gives_up(way: WayOut, wish: str) -> bool:
    """Whether a way out is to give up the very wish that is asked about."""
    return bool(wish) and (way.what == wish or way.kind.replace("-", "_") == wish)


def take_way(asked: Asked) -> Response:
    """One way out taken: a wish changed, or a question answered so."""
    pc, kind, what, value = asked.pc, *(asked.form.get(key, "") for key in ("kind", "what", "value"))
    wish = asked.form.get("wish", "")
    # What was asked for with this way out becomes a wish as well, and the money that it takes.
    wished = wished_changes(wish) if wish else {}
    if asked.form.get("budget"):
        wished |= wished_changes(f"budget={asked.form['budget']}")
    brief = asked.desk.warm.problem(pc).brief
    changes: dict[str, Callable[[], dict[str, Any]]] = {
        "budget": lambda: {"budget": value},
        "replace": lambda: {"replace": tuple(sorted({*brief.replace, what}))},
        "need-by": lambda: {"need_by": date_wished(value)},
        "without": lambda: {"without": tuple(p for p in brief.without if p != value) or None},
        "with": lambda: {"including": tuple(p for p in brief.including if p != value) or None},
        "min_speedup": lambda: {"min_speedup": None},
        "min_memory_gb": lambda: {"min_memory_gb": None},
        "secure_boot": lambda: {"secure_boot": None},
    }
    was = asked.form.get("was", "")
    if (kind == "drop-wish" and what in given_up.TABLES) or kind == "answer":
        with asked.desk.warm.lock(pc.name):
            text = pc.survey_text()
            if digest_of(text) != was:
                raise stale()
            if kind == "answer":
                path = interview_path(what, tomllib.loads(text))
                if path is None:
                    raise refuse(what, words.NO_SUCH_FACT)
                without = with_answers(text, {path: value}, str(pc.survey))
            else:
                without = given_up.survey_without(text, what, value, str(pc.survey))
            write_text(pc.survey, with_wishes(without, wished, str(pc.survey)) if wished else without, text)
    elif kind == "wish" and wished:
        change_wishes(asked, pc, wished, was)
    elif (change := changes.get(kind) or changes.get(what)) is not None:
        change_wishes(asked, pc, {**wished, **change()}, was)
    else:
        raise refuse(kind, words.NO_SUCH_FACT)
    return go(asked.address("answers"))


# -- sold out ----------------------------------------------------------------------------------------------------------


def sold_view(asked: Asked) -> Response:
    """What the chosen plan buys, to be marked as gone or dearer; old and new plan side by side once that was
    solved again."""
    stored, plan = _stored(asked), asked.pc.plan_digest()
    job = asked.desk.warm.pool.find(asked.query.get("work", ""))
    if job is None or (job.task.kind, job.task.name) != ("replan", asked.pc.name):
        return _sold(asked, stored, None, {"gone": [], "prices": {}, "ordered": [], "plan": plan})
    if job.task.text != read_text(asked.pc.file_beside("plan")):
        raise stale()
    said = {**json.loads(job.task.what), "plan": plan}
    return _sold(asked, stored, asked.desk.warm.pool.result(job), said)


def _stored(asked: Asked) -> PlanFile:
    pc = asked.pc
    if not pc.has("plan"):
        raise refuse(pc.name, words.NO_PLAN_CHOSEN, hint=words.CHOOSE_FIRST)
    return asked.desk.warm.plan_file(pc)


def _sold(asked: Asked, stored: PlanFile, result: SoldOut | None, said: dict[str, Any]) -> Response:
    names = names_of(stored.problem)
    digits = stored.problem.catalog.digits
    sellers = {key: seller.name for key, seller in stored.problem.sellers.items()}
    lines = [
        (
            line.item,
            names.get(line.item, line.item),
            sellers.get(line.seller or "", ""),
            f"{Decimal(line.amount).scaleb(-digits):f}",
        )
        for line in stored.plan.lines
    ]
    currency = stored.problem.catalog.currency
    return asked.show("sold.html", lines=lines, result=result, currency=currency, **said)


def sold_out(asked: Asked) -> Response:
    """Solve again with what is gone and dearer; kept when that is asked for."""
    pc, warm = asked.pc, asked.desk.warm
    _stored(asked)
    if asked.form.get("plan") != pc.plan_digest():
        raise stale()
    prices = {
        key.removeprefix("price-"): value.strip()
        for key, value in asked.form.items()
        if key.startswith("price-") and value.strip()
    }
    to_keep = "keep" in asked.form
    job = warm.sold_out(pc, asked.several.get("gone", ()), prices, asked.several.get("ordered", ()), to_keep)
    if not to_keep:
        return go(asked.address("sold") + f"?work={job.id}")
    found: SoldOut = warm.pool.result(job, LONG_PATIENCE_S)
    if not found.document:
        raise refuse(pc.name, words.NO_NEW_PLAN)
    with warm.lock(pc.name):
        write_text(pc.file_beside("plan"), found.document, job.task.text)
    return go(asked.address("owner"))
