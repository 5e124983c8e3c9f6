"""`partsolver recommend`: ranked, explained plans."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import Annotated

import typer

from partsolver.cli import options as o


def recommend(
    survey: o.SurveyPath = None,
    catalog: o.CatalogDir = None,
    budget: o.Budget = None,
    use: o.UseName = None,
    goal: o.Goal = None,
    min_speedup: o.MinSpeedup = None,
    resolution: o.Resolution = None,
    alternatives: o.Alternatives = None,
    without: o.Without = None,
    including: o.With = None,
    replace: o.Replace = None,
    need_by: o.NeedBy = None,
    min_memory_gb: o.MinMemory = None,
    today: o.Today = None,
    os: o.Os = None,
    limit: o.Seconds = 60.0,
    show: Annotated[str, typer.Option(metavar="N", help="Plan to print in full (a rank, or all).")] = "1",
    out: Annotated[
        Path | None, typer.Option(metavar="PLAN.json", help="Also write the recommendation to a file.")
    ] = None,
    rank: Annotated[int, typer.Option(metavar="N", help="Plan that the file of --out is about.")] = 1,
    format: o.OutputFormat = "text",
) -> int:
    """Ranked upgrade plans for a PC, each proven best of what is left. Without SURVEY: the demo."""
    changes = o.overrides(
        budget=budget,
        use=use,
        goal=goal,
        min_speedup=min_speedup,
        resolution_percent=resolution,
        alternatives=alternatives,
        without=without,
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
    problem = o.load_problem(survey, catalog, changes)
    from partsolver.model.solve import Limits
    from partsolver.report import json as report_json
    from partsolver.report import text
    from partsolver.report.document import dump
    from partsolver.solve.answer import answer

    limits = Limits(deterministic_s=seconds)
    ranks = _ranks(show, problem.brief.alternatives)
    outcome = answer(problem, limits)
    if outcome.plans and rank > len(outcome.plans):
        raise o.refuse("--rank", "there is no plan of this rank", rank, f"1 to {len(outcome.plans)}")
    if out is not None and outcome.plans:
        from partsolver.planfile.plan_file import write_plan_file

        write_plan_file(out, outcome, problem, rank, survey, catalog or o.own_catalog(survey))
        o.remark(f"plan {rank} written to {out}")
    if format == "json":
        sys.stdout.write(dump(report_json.recommendation(outcome, problem)))
    elif outcome.plans:
        sys.stdout.write(text.recommendation(outcome, problem, ranks))
    elif outcome.hoped is not None:
        sys.stdout.write(text.only_hoped(outcome, problem))
    elif outcome.status == "impossible":
        sys.stdout.write(text.impossible(outcome, problem))
    else:
        sys.stdout.write(
            "No plan was found within the limit; this does not prove that there is none. Raise --limit.\n"
        )
    return {"optimal": 0, "best_found": 0 if outcome.plans else 3, "impossible": 1, "undecided": 3}[
        outcome.status
    ]


def _ranks(show: str, most: int) -> tuple[int, ...]:
    if show == "all":
        return tuple(range(1, most + 1))
    if not re.fullmatch(r"[0-9]{1,3}", show) or not 1 <= int(show) <= most:
        raise o.refuse("--show", "no such plan", show, f"a rank from 1 to {most}, or all")
    return (int(show),)
