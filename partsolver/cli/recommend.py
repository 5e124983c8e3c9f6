"""`partsolver recommend`: ranked, explained plans."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from dataclasses import replace as with_fields
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from partsolver.cli import options as o

COARSE_PERCENT = 5

if TYPE_CHECKING:
    from partsolver.plan.choices import Choices
    from partsolver.plan.outcome import Outcome, Plan
    from partsolver.problem.problem import Problem


def recommend(
    survey: o.SurveyPath = None,
    catalog: o.CatalogDir = None,
    demo: o.Demo = False,
    budget: o.Budget = None,
    use: o.UseName = None,
    goal: o.Goal = None,
    min_speedup: o.MinSpeedup = None,
    resolution: o.Resolution = None,
    alternatives: o.Alternatives = None,
    without: o.Without = None,
    leave_out: o.LeaveOut = None,
    including: o.With = None,
    replace: o.Replace = None,
    need_by: o.NeedBy = None,
    min_memory_gb: o.MinMemory = None,
    today: o.Today = None,
    os: o.Os = None,
    limit: o.Seconds = 60.0,
    show: Annotated[
        str | None, typer.Option(metavar="N", help="Also print this plan with its order list (or all).")
    ] = None,
    full: o.Full = False,
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="PLAN.json",
            help="Also write the recommendation to a file; - for standard output instead.",
        ),
    ] = None,
    rank: Annotated[
        int,
        typer.Option(metavar="N", help="Plan that the file of --out is about, as numbered in the answer."),
    ] = 1,
    picture: Annotated[
        Path | None,
        typer.Option(metavar="FILE.svg|png", help="Draw the plans of the answer on the trade-off."),
    ] = None,
    format: o.OutputFormat = "text",
) -> int:
    """Plans for a PC that differ in what they mean for its owner, each proven. Without SURVEY: the demo.

    With --alternatives the exact list of next-best plans instead.
    """
    changes = o.overrides(
        budget=budget,
        use=use,
        goal=goal,
        min_speedup=min_speedup,
        resolution_percent=resolution,
        alternatives=alternatives,
        without=without,
        leave_out=leave_out,
        including=including,
        replace=replace,
        need_by=need_by,
        min_memory_gb=min_memory_gb,
        today=today,
        os=os,
    )
    if rank < 1:
        raise o.refuse("--rank", "there is no plan of this rank", rank, "1 or more")
    seconds = o.seconds(limit)
    o.check_picture(picture)
    o.check_out(out)
    problem = o.load_problem(survey, catalog, changes, demo=demo)
    from partsolver.cli.progress import working
    from partsolver.model.solve import Limits
    from partsolver.report import json as report_json
    from partsolver.report import text
    from partsolver.report.document import dump
    from partsolver.solve.left_out import answer_with_left_out
    from partsolver.solve.short_answer import short_answer

    limits = Limits(deterministic_s=seconds)
    _check_show(show)
    with working("ranking plans") as doing:

        def ranked(done: int, total: int) -> None:
            doing(f"ranking plans: {done} of {total} proven")

        found = None
        if alternatives is None:
            problem, outcome, found = short_answer(
                problem, limits, ranked, lambda done, total: doing("looking for plans that differ")
            )
        else:
            problem, outcome = answer_with_left_out(problem, limits, ranked)
    # `--format` says how the answer is printed, never which plan a number means: the plans of the short answer.
    listed = outcome.plans if found is None else tuple(c.plan for c in found.plans)
    if outcome.plans and rank not in [plan.rank for plan in listed]:
        ranks = ", ".join(str(plan.rank) for plan in listed)
        raise o.refuse("--rank", "there is no plan of this rank", rank, f"one of {ranks}")
    if out is not None:
        kept = o.folder_of_catalog(survey, catalog, demo)
        _keep(out, with_fields(outcome, plans=tuple(listed)), problem, rank, kept)
        if str(out) == "-" and outcome.plans:
            return _exit_code(outcome)
    if picture is not None and outcome.plans:
        _draw(picture, problem, listed)
    if format == "json":
        sys.stdout.write(dump(report_json.recommendation(outcome, problem, found)))
    elif outcome.plans:
        ranks_shown = _ranks(show, full, [plan.rank for plan in listed])
        sys.stdout.write(_text(outcome, found, problem, listed, ranks_shown, full))
    elif outcome.hoped is not None:
        sys.stdout.write(text.only_hoped(outcome, problem))
    elif outcome.status == "impossible":
        sys.stdout.write(text.impossible(outcome, problem))
    else:
        sys.stdout.write(
            "No plan was found within the limit; this does not prove that there is none. Raise --limit.\n"
        )
    return _exit_code(outcome)


def _keep(out: Path, outcome: Outcome, problem: Problem, rank: int, folder: Path | None) -> None:
    """The plan file; nothing is written where there is no plan."""
    from partsolver.planfile.plan_file import write_plan_file

    standard_output = str(out) == "-"
    if not outcome.plans:
        o.remark("no plan, so no plan file is written" + ("" if standard_output else f": {out} is as it was"))
        return
    write_plan_file(out, outcome, problem, rank, folder)
    if not standard_output:
        o.remark(f"plan {rank} written to {out}")


def _draw(picture: Path, problem: Problem, listed: Sequence[Plan]) -> None:
    """The plans of the answer on the trade-off; its steps are coarse, as nobody sees finer ones."""
    from fractions import Fraction

    from partsolver.cli.progress import working
    from partsolver.problem.join import changed
    from partsolver.report.charts import draw_tradeoff
    from partsolver.solve.tradeoff import tradeoff

    percent = max(Fraction(problem.brief.resolution_percent), Fraction(COARSE_PERCENT))
    with working("drawing the trade-off"):
        found = tradeoff(changed(problem, resolution_percent=f"{float(percent):g}", goal="speed"))
        draw_tradeoff(picture, found, problem, [(plan.rank, plan) for plan in listed])
    o.remark(f"picture written to {picture}")


def _exit_code(outcome: Outcome) -> int:
    if outcome.provenance.interrupted:
        return 130
    return {"optimal": 0, "best_found": 0 if outcome.plans else 3, "impossible": 1, "undecided": 3}[
        outcome.status
    ]


def _text(
    outcome: Outcome,
    found: Choices | None,
    problem: Problem,
    listed: Sequence[Plan],
    ranks: Sequence[int],
    full: bool,
) -> str:
    """The short answer with the plans asked for, or the exact list."""
    from partsolver.report import text

    if found is None:
        return text.recommendation(outcome, problem, ranks, full)
    from partsolver.cli.progress import working
    from partsolver.explain.nothing import why_nothing
    from partsolver.report.cards import short_answer
    from partsolver.report.nothing import nothing_lines

    with working("looking why nothing new is bought"):
        lines = nothing_lines(why_nothing(problem, outcome), problem)
    shown = [plan for plan in listed if plan.rank in ranks]
    hoped = "".join(f"{line}\n" for line in text.hoped_block(outcome, problem))
    head = short_answer(outcome, found, problem, lines) + hoped
    return head + text.plans_text(shown, outcome, problem, full)


def _check_show(show: str | None) -> None:
    """Raises InputRefused for what is no rank, before anything is solved."""
    if show is not None and show != "all" and not re.fullmatch(r"[1-9][0-9]{0,2}", show):
        raise o.refuse("--show", "no such plan", show, "a plan's number, or all")


def _ranks(show: str | None, full: bool, ranks: list[int]) -> list[int]:
    """Plans to print one by one."""
    if show is None:
        return ranks[:1] if full else []
    if show == "all":
        return ranks
    if int(show) not in ranks:
        listed = ", ".join(str(rank) for rank in ranks)
        raise o.refuse("--show", "no such plan", show, f"one of {listed}, or all")
    return [int(show)]
