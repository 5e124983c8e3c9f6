"""`partsolver why`: why there is no plan, or why a part is not in the first one."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from partsolver.cli import completion
from partsolver.cli import options as o


def why(
    arguments: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[SURVEY] [ID]",
            help="Survey file; a catalogue id.",
            autocompletion=completion.parts_or_surveys,
        ),
    ] = None,
    catalog: o.CatalogDir = None,
    demo: o.Demo = False,
    budget: o.Budget = None,
    use: o.UseName = None,
    goal: o.Goal = None,
    min_speedup: o.MinSpeedup = None,
    resolution: o.Resolution = None,
    without: o.Without = None,
    leave_out: o.LeaveOut = None,
    including: o.With = None,
    replace: o.Replace = None,
    need_by: o.NeedBy = None,
    min_memory_gb: o.MinMemory = None,
    today: o.Today = None,
    os: o.Os = None,
    format: o.OutputFormat = "text",
) -> int:
    """The smallest conflict and the ways out; with an ID, why this part is not in the first plan."""
    words = arguments or []
    survey = Path(words[0]) if words and o.is_survey(words[0]) else None
    ids = words[1:] if survey is not None else words
    if len(ids) > 1:
        raise o.refuse("why", "one part at a time", " ".join(ids), "one id")
    changes = o.overrides(
        budget=budget,
        use=use,
        goal=goal,
        min_speedup=min_speedup,
        resolution_percent=resolution,
        without=without,
        leave_out=leave_out,
        including=including,
        replace=replace,
        need_by=need_by,
        min_memory_gb=min_memory_gb,
        today=today,
        os=os,
    )
    problem = o.load_problem(survey, catalog, changes, demo=demo)
    from partsolver.cli.progress import working
    from partsolver.report import why as report

    if ids:
        from partsolver.explain.whynot import why_not
        from partsolver.solve.left_out import choose_as_answered

        with working("looking for plans with and without the part"):
            problem = choose_as_answered(problem)
            found = why_not(problem, ids[0])
        sys.stdout.write(
            report.why_not_json(found, problem) if format == "json" else report.why_not_text(found, problem)
        )
        if found.verdict in ("barred", "undecided"):
            return 3
        return 0 if found.verdict in ("taken", "worse", "not-needed") else 1
    from partsolver.explain.why import why as explain
    from partsolver.solve.left_out import choose_left_out

    with working("looking for the smallest conflict and the ways out"):
        problem, _ = choose_left_out(problem)
        answer = explain(problem)
    sys.stdout.write(
        report.why_json(answer, problem) if format == "json" else report.why_text(answer, problem)
    )
    if not answer.decided:
        return 3
    return 0 if answer.possible else 1
