"""`partsolver survey new|import|questions|check`: make, fill and question a survey."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from partsolver.cli import options as o
from partsolver.cli.survey_common import look_again, origin, typed_again
from partsolver.cli.survey_new import new

if TYPE_CHECKING:
    from partsolver.survey.facts import Clash

app = typer.Typer(help="Make, fill and question a survey.", no_args_is_help=True, rich_markup_mode=None)
app.command("new", short_help="Ask for the facts of a PC, one at a time.")(new)


@app.command("import", short_help="Read what system tools print into a survey.")
def import_(
    files: Annotated[
        list[Path] | None,
        typer.Argument(metavar="[FILE]...", help="Outputs of general system tools; - for standard input."),
    ] = None,
    this_pc: Annotated[
        bool, typer.Option("--this-pc", help="Also read the running Linux system (as root it tells more).")
    ] = False,
    out: Annotated[Path, typer.Option(metavar="FILE", help="Survey to write or to bring up to date.")] = Path(
        "survey.toml"
    ),
    take: Annotated[
        list[str] | None,
        typer.Option(metavar="FACT", help="Where yours differs take the new value (repeat)."),
    ] = None,
    scale_by: Annotated[
        str | None,
        typer.Option(
            metavar="FACTOR",
            help="Points of your catalogue per point of `measure`; then its scale is the catalogue's.",
        ),
    ] = None,
    keep_mine: Annotated[
        bool, typer.Option("--keep-mine", help="Where yours differs keep it, without asking.")
    ] = False,
) -> int:
    """Read what system tools print into a survey; what a person wrote stays. The kind of a file is found by
    its content."""
    from partsolver.explain.answers import open_questions
    from partsolver.report import survey as words
    from partsolver.survey.collect import this_pc as collect
    from partsolver.survey.importing import OtherPc, gather, write_import
    from partsolver.survey.load import load_survey
    from partsolver.survey.scores import scaled

    if not files and not this_pc:
        raise o.refuse("survey import", "no file given", None, "files to read, --this-pc, or both")
    collected = collect() if this_pc else None
    gathered = gather([_source(path) for path in files or ()], collected)
    if scale_by is not None:
        gathered = scaled(gathered, scale_by)
    for line in [*words.read_lines(gathered.read), *words.closed_lines(gathered.closed)]:
        o.remark(line)
    asking = sys.stdin.isatty() and not any(str(path) == "-" for path in files or ())
    try:
        done = write_import(out, gathered, _decide if asking else None, frozenset(take or ()), keep_mine)
    except OtherPc as error:
        for clash in error.clashes:
            o.remark(words.import_clash(clash))
        raise o.refuse(
            str(out), words.OTHER_PC, None, None, words.OTHER_PC_HINT.format(path=error.clashes[0].path)
        ) from None
    for line in words.taken_lines(done):
        o.remark(line)
    if not done.written:
        o.remark(words.STOPPED)
        return 0
    loaded, _ = load_survey(out)
    look_again(out)
    for line in words.import_lines(
        done.facts, len(done.kept), sum(1 for _ in open_questions(loaded)), str(out), done.existed
    ):
        o.remark(line)
    return 0


def _source(path: Path) -> tuple[Path, bytes]:
    """Name and bytes of a file; ``-`` is standard input. Raises InputRefused."""
    from partsolver.base.textfile import MOST_BYTES, read_bytes

    if str(path) == "-":
        found = sys.stdin.buffer.read(MOST_BYTES + 1)
        if len(found) > MOST_BYTES:
            raise o.refuse("standard input", "is too large", None, f"at most {MOST_BYTES} bytes")
        return Path("standard input"), found
    return path, read_bytes(path)


def _decide(clash: Clash) -> bool | None:
    """Ask on the terminal which of two values is right."""
    from partsolver.report import survey as words
    from partsolver.survey.draft import IDENTITY

    o.remark(words.import_clash(clash))
    while True:
        print(
            words.ASK_OTHER if clash.path in IDENTITY else words.ASK_CLASH,
            end="",
            file=sys.stderr,
            flush=True,
        )
        line = sys.stdin.readline()
        if not line:
            return None
        if line.strip().lower() in ("mine", "new", "stop"):
            return {"mine": False, "new": True, "stop": None}[line.strip().lower()]


@app.command("questions", short_help="Open questions, by how much they matter.")
def questions(
    survey: o.SurveyPath = None,
    catalog: o.CatalogDir = None,
    demo: o.Demo = False,
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
    wishes = {
        "budget": budget,
        "use": use,
        "goal": goal,
        "min_speedup": min_speedup,
        "without": without,
        "replace": replace,
        "min_memory_gb": min_memory_gb,
        "os": os,
    }
    problem = o.load_problem(survey, catalog, o.overrides(**wishes), demo=demo)
    from partsolver.cli.progress import counting
    from partsolver.explain.questions import question_values
    from partsolver.report import survey_questions as report

    with counting("questions solved") as progress:
        found = question_values(problem, progress=lambda done, total: progress(done))
    if format == "json":
        sys.stdout.write(report.questions_json(found, problem))
    else:
        sys.stdout.write(
            report.questions_text(found, problem, typed_again(catalog=catalog, demo=demo, **wishes))
        )
    return 0


@app.command("check", short_help="Facts of a survey that contradict one another.")
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
    sys.stdout.write(
        (report.check_json if format == "json" else report.check_text)(loaded, found, origin(loaded, survey))
    )
    return 1 if found else 0
