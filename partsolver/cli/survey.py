"""`partsolver survey new|import|questions|check`: make, fill and question a survey."""

from __future__ import annotations

import sys

import typer

from partsolver.cli import options as o

app = typer.Typer(help="Make, fill and question a survey.", no_args_is_help=True, rich_markup_mode=None)


@app.command("questions")
def questions(
    survey: o.SurveyPath = None,
    catalog: o.CatalogDir = None,
    budget: o.Budget = None,
    use: o.UseName = None,
    goal: o.Goal = None,
    min_speedup: o.MinSpeedup = None,
    without: o.Without = None,
    replace: o.Replace = None,
    min_memory_gb: o.MinMemory = None,
    os: o.Os = None,
    format: o.OutputFormat = "text",
) -> int:
    """Open questions by how much their answer matters, each solved for its plausible answers."""
    changes = o.overrides(
        budget=budget, use=use, goal=goal, min_speedup=min_speedup, without=without, replace=replace, min_memory_gb=min_memory_gb, os=os,
    )  # fmt: skip
    problem = o.load_problem(survey, catalog, changes)
    from partsolver.cli.progress import counting
    from partsolver.explain.questions import question_values
    from partsolver.report import survey as report

    with counting("questions solved") as progress:
        today, values = question_values(problem, progress=lambda done, total: progress(done))
    document = report.questions_json if format == "json" else report.questions_text
    sys.stdout.write(document(today, values, problem))
    return 0


@app.command("check")
def check(survey: o.SurveyPath = None, format: o.OutputFormat = "text") -> int:
    """Facts of a survey that contradict one another."""
    from partsolver.catalog.dictionary import data_folder
    from partsolver.report import survey as report
    from partsolver.survey.consistency import clashes
    from partsolver.survey.load import load_survey

    if survey is None:
        o.remark("no survey given: checking the demo survey, whose facts are invented")
        survey = data_folder() / "demo-survey.toml"
    loaded, _ = load_survey(survey)
    found = clashes(loaded)
    sys.stdout.write(report.check_json(loaded, found) if format == "json" else report.check_text(loaded, found))
    return 1 if found else 0
