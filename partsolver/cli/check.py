"""`partsolver check`: every finding for parts that the person chose."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from partsolver.cli import completion
from partsolver.cli import options as o


def check(
    arguments: Annotated[
        list[str],
        typer.Argument(
            metavar="[SURVEY] ID...",
            help="Survey file, then catalogue ids; ID*2 for two kits; +ID adds memory to what is there.",
            autocompletion=completion.parts_or_surveys,
        ),
    ],
    catalog: o.CatalogDir = None,
    demo: o.Demo = False,
    budget: o.Budget = None,
    use: o.UseName = None,
    min_speedup: o.MinSpeedup = None,
    without: o.Without = None,
    leave_out: o.LeaveOut = None,
    replace: o.Replace = None,
    need_by: o.NeedBy = None,
    min_memory_gb: o.MinMemory = None,
    today: o.Today = None,
    os: o.Os = None,
    full: o.Full = False,
    format: o.OutputFormat = "text",
) -> int:
    """Every finding for a set of parts. What is not named stays as it is in the PC: a named board, processor
    or kit takes the place of the present one, +ID adds a kit to the present modules. Of the offers the
    cheapest with which everything fits counts; extras are added as needed."""
    survey = Path(arguments[0]) if o.is_survey(arguments[0]) else None
    ids = arguments[1:] if survey is not None else arguments
    changes = o.overrides(
        budget=budget,
        use=use,
        min_speedup=min_speedup,
        without=without,
        leave_out=leave_out,
        replace=replace,
        need_by=need_by,
        min_memory_gb=min_memory_gb,
        today=today,
        os=os,
    )
    problem = o.load_problem(survey, catalog, changes, demo=demo)
    from partsolver.cli.progress import working
    from partsolver.plan.make import make_plan
    from partsolver.report import json as report_json
    from partsolver.report import text
    from partsolver.report.document import dump
    from partsolver.rules import all_rules
    from partsolver.solve.left_out import chosen_with_left_out

    with working("judging the parts, looking for stand-ins"):
        problem, draft, out = chosen_with_left_out(problem, ids, all_rules())
        plan = make_plan(problem, draft, all_rules(), 1, 0, None)
    if format == "json":
        sys.stdout.write(dump(report_json.check_document(plan, problem, ids, out)))
    else:
        sys.stdout.write(text.check(plan, problem, full, out))
    return 0 if plan.admitted else 1
