"""`partsolver survey new|import|questions|check`: make, fill and question a survey."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from partsolver.cli import options as o

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from partsolver.survey.facts import Clash
    from partsolver.survey.interview import Interview
    from partsolver.survey.model import Survey

app = typer.Typer(help="Make, fill and question a survey.", no_args_is_help=True, rich_markup_mode=None)


@app.command("new")
def new(
    out: Annotated[Path | None, typer.Option(metavar="FILE", help="Survey to write; default survey.toml, or the one of --from.")] = None,
    answers: Annotated[Path | None, typer.Option(metavar="FILE", help="Answers (TOML) in place of asking.")] = None,
    start: Annotated[Path | None, typer.Option("--from", metavar="SURVEY", help="A survey whose open facts are asked.")] = None,
    short: Annotated[bool, typer.Option("--short", help="Ask only the ten facts that usually decide most.")] = False,
    first: Annotated[
        int | None, typer.Option(metavar="N", min=1, help="Ask only the N whose answers are worth most, as `survey questions` computes it.")
    ] = None,
    catalog: o.CatalogDir = None,
    budget: o.Budget = None,
    use: o.UseName = None,
    goal: o.Goal = None,
    min_speedup: o.MinSpeedup = None,
    without: o.Without = None,
    replace: o.Replace = None,
    min_memory_gb: o.MinMemory = None,
    os: o.Os = None,
) -> int:
    """Ask for the facts of a PC, one question at a time; what was answered is kept, also when interrupted.

    Catalogue and wishes (--budget and so on) are those that --first computes with.
    """
    from partsolver.report import words_interview as words
    from partsolver.report.survey import shell
    from partsolver.survey import interview as talk
    from partsolver.textfile import read_text, write_text

    out = out or start or Path("survey.toml")
    if start is not None and start != out and out.exists():
        raise o.refuse(str(out), "the file exists already", None, "a new file, or the one of --from")
    base = start or (out if out.exists() else None)
    present = None if base is None else read_text(base)
    given = {} if present is None else talk.parsed(present, str(base))
    kept_in = talk.progress_path(out)
    wishes = {
        "budget": budget, "use": use, "goal": goal, "min_speedup": min_speedup, "without": without, "replace": replace,
        "min_memory_gb": min_memory_gb, "os": os,
    }  # fmt: skip
    typed = _typed(catalog=catalog, **wishes)
    if short and first is not None:
        raise o.refuse("--short", "does not go with --first", None, "one of the two")
    chosen = None if first is None else _worth_most(base, given, first, catalog, o.overrides(**wishes))
    if answers is not None:
        session = talk.Interview(given, talk.load_answers(answers), short=short, first=chosen, most=first)
    else:
        before = talk.load_answers(kept_in) if kept_in.exists() else {}
        session = talk.Interview(
            given, before, lambda said: talk.save_answers(kept_in, said, words.ANSWERS_HEADING), short, talk.evidence(present or ""), chosen, first
        )
        again = " --short" if short else "" if first is None else f" --first {first}{typed}"
        code = _talk(session, bool(before), base is not None, kept_in, out, start, again)
        if code is not None:
            return code
    updated = talk.survey_text(session, present, str(base or out))
    write_text(out, updated.text)
    if answers is None:
        kept_in.unlink(missing_ok=True)
    needless = talk.unused(session)
    if needless:
        o.remark(words.unused_line(needless))
    unknown = sum(1 for text in session.answers.values() if text == talk.DONT_KNOW)
    left = sum(1 for path, question in session.plan() if path not in session.answers and question.key)
    _look_again(out)
    for line in words.done_lines(str(out), len(session.answers) - unknown - len(needless), unknown, left, typed):
        o.remark(line)
    return 0


def _look_again(out: Path) -> None:
    """Name the facts of a survey just written that contradict one another."""
    from partsolver.report.survey import clash_lines
    from partsolver.survey.consistency import clashes
    from partsolver.survey.load import load_survey

    loaded, _ = load_survey(out)
    for line in clash_lines(clashes(loaded), _origin(loaded, out), str(out)):
        o.remark(line)


def _origin(loaded: Survey, path: Path) -> Callable[[str], str | None]:
    """Where the facts of a survey come from, as its file says."""
    from partsolver.survey.origins import origin_of, origins
    from partsolver.textfile import read_text

    known, drives = origins(read_text(path)), [drive.name for drive in loaded.drives]
    return lambda fact: origin_of(fact, drives, known)


def _typed(**options: Any) -> str:
    """Options as they were given, to be typed again with another command."""
    from partsolver.report.survey import shell

    found = ""
    for name, value in options.items():
        for item in value if isinstance(value, list) else [value]:
            found += "" if item is None else f" --{name.replace('_', '-')} {shell(str(item))}"
    return found


def _worth_most(base: Path | None, given: Mapping[str, Any], most: int, catalog: Path | None, wishes: Mapping[str, Any]) -> tuple[str, ...]:
    """The interview's paths of the questions of a survey whose answers are worth most, the most valuable one first."""
    from partsolver.cli.progress import counting
    from partsolver.explain.questions import first_questions
    from partsolver.survey.interview import interview_path

    if base is None:
        raise o.refuse("--first", "there is no survey yet to compute it from", None, "--from SURVEY", "Import one first, or use --short")
    problem = o.load_problem(base, catalog, wishes)
    with counting("questions solved") as progress:
        found = first_questions(problem, most, askable=lambda path: interview_path(path, given) is not None, progress=progress)
    paths = (interview_path(path, given) for path in found)
    return tuple(path for path in paths if path is not None)


def _talk(session: Interview, resumed: bool, known: bool, kept_in: Path, out: Path, start: Path | None, options: str) -> int | None:
    """Ask on the terminal; None when all was asked, else the exit code. Questions go to standard error. ``options``: those
    of this run, to go on with."""
    from partsolver.report import words_interview as words
    from partsolver.report.survey import shell
    from partsolver.survey.interview import Asking, Stopped, Told

    def say(text: str, end: str = "\n") -> None:
        print(text, end=end, file=sys.stderr, flush=True)

    def ask(asking: Asking) -> str:
        say(words.prompt(asking), end="")
        line = sys.stdin.readline()
        if not line:
            raise EOFError
        return line

    def tell(event: Told) -> None:
        say(words.told(event))

    for line in words.intro_lines(len(session.answers) if resumed else 0, len(session.open()), known):
        say(line)
    stopped = False
    try:
        session.run(ask, tell)
        return None
    except Stopped:
        stopped = True
    except (KeyboardInterrupt, EOFError):
        say("")
    command = "partsolver survey new" + (f" --from {shell(str(start))}" if start else "") + (f" --out {shell(str(out))}" if out != start else "")
    if session.answers:
        o.remark(words.saved_line(str(kept_in), len(session.answers), command + options))
    else:
        o.remark(words.NOTHING_YET)
    return 0 if stopped else 130


@app.command("import")
def import_(
    files: Annotated[list[Path] | None, typer.Argument(metavar="[FILE]...", help="Outputs of general system tools; - for standard input.")] = None,
    this_pc: Annotated[bool, typer.Option("--this-pc", help="Also read the running Linux system (as root it tells more).")] = False,
    out: Annotated[Path, typer.Option(metavar="FILE", help="Survey to write or to bring up to date.")] = Path("survey.toml"),
    take: Annotated[list[str] | None, typer.Option(metavar="FACT", help="Where yours differs take the new value (repeat).")] = None,
    keep_mine: Annotated[bool, typer.Option("--keep-mine", help="Where yours differs keep it, without asking.")] = False,
) -> int:
    """Read what system tools print into a survey; what a person wrote stays. The kind of a file is found by its content."""
    from partsolver.explain.answers import open_questions
    from partsolver.report import survey as words
    from partsolver.survey.collect import this_pc as collect
    from partsolver.survey.importing import OtherPc, gather, write_import
    from partsolver.survey.load import load_survey

    if not files and not this_pc:
        raise o.refuse("survey import", "no file given", None, "files to read, --this-pc, or both")
    collected = collect() if this_pc else None
    gathered = gather([_source(path) for path in files or ()], collected)
    for line in [*words.read_lines(gathered.read), *words.closed_lines(gathered.closed)]:
        o.remark(line)
    asking = sys.stdin.isatty() and not any(str(path) == "-" for path in files or ())
    try:
        done = write_import(out, gathered, _decide if asking else None, frozenset(take or ()), keep_mine)
    except OtherPc as error:
        for clash in error.clashes:
            o.remark(words.import_clash(clash))
        raise o.refuse(str(out), words.OTHER_PC, None, None, words.OTHER_PC_HINT.format(path=error.clashes[0].path)) from None
    for text in done.remarks:
        o.remark(text)
    for clash in done.differing:
        o.remark(f"{words.import_clash(clash)}: {words.SOURCES_DIFFER}")
    for clash in done.kept:
        o.remark(f"{words.import_clash(clash)}: {words.KEPT_MINE}{words.shell(clash.path)}")
    if not done.written:
        o.remark(words.STOPPED)
        return 0
    loaded, _ = load_survey(out)
    _look_again(out)
    for line in words.import_lines(done.facts, len(done.kept), sum(1 for _ in open_questions(loaded)), str(out), done.existed):
        o.remark(line)
    return 0


def _source(path: Path) -> tuple[Path, bytes]:
    """Name and bytes of a file; ``-`` is standard input. Raises InputRefused."""
    if str(path) == "-":
        return Path("standard input"), sys.stdin.buffer.read()
    try:
        return path, path.read_bytes()
    except FileNotFoundError:
        raise o.refuse(str(path), "no such file", hint="Check the spelling and the folder") from None
    except OSError as error:
        raise o.refuse(str(path), f"cannot be read: {error.strerror}") from None


def _decide(clash: Clash) -> bool | None:
    """Ask on the terminal which of two values is right."""
    from partsolver.report import survey as words
    from partsolver.survey.merge import IDENTITY

    o.remark(words.import_clash(clash))
    while True:
        print(words.ASK_OTHER if clash.path in IDENTITY else words.ASK_CLASH, end="", file=sys.stderr, flush=True)
        line = sys.stdin.readline()
        if not line:
            return None
        if line.strip().lower() in ("mine", "new", "stop"):
            return {"mine": False, "new": True, "stop": None}[line.strip().lower()]


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
    wishes = {
        "budget": budget, "use": use, "goal": goal, "min_speedup": min_speedup, "without": without, "replace": replace,
        "min_memory_gb": min_memory_gb, "os": os,
    }  # fmt: skip
    problem = o.load_problem(survey, catalog, o.overrides(**wishes))
    from partsolver.cli.progress import counting
    from partsolver.explain.questions import question_values
    from partsolver.report import survey_questions as report

    with counting("questions solved") as progress:
        found = question_values(problem, progress=lambda done, total: progress(done))
    if format == "json":
        sys.stdout.write(report.questions_json(found, problem))
    else:
        sys.stdout.write(report.questions_text(found, problem, _typed(catalog=catalog, **wishes)))
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
    sys.stdout.write((report.check_json if format == "json" else report.check_text)(loaded, found, _origin(loaded, survey)))
    return 1 if found else 0
