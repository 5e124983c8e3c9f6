"""`partsolver survey new`: the interview on the terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from partsolver.cli import options as o
from partsolver.cli.survey_common import look_again, typed_again

if TYPE_CHECKING:
    from partsolver.problem.problem import Problem
    from partsolver.survey.interview.session import Interview


def new(
    out: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Survey to write; default survey.toml, or the one of --from."),
    ] = None,
    answers: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Answers (TOML) in place of asking.")
    ] = None,
    start: Annotated[
        Path | None, typer.Option("--from", metavar="SURVEY", help="A survey whose open facts are asked.")
    ] = None,
    short: Annotated[
        bool,
        typer.Option(
            "--short",
            help="Ask only ten facts: those without which nothing can be told, then what decides most.",
        ),
    ] = False,
    first: Annotated[
        int | None,
        typer.Option(
            metavar="N",
            min=1,
            help="Ask only the N whose answers are worth most, as `survey questions` computes it.",
        ),
    ] = None,
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
) -> int:
    """Ask for the facts of a PC, one question at a time; what was answered is kept, also when interrupted.

    Catalogue and wishes (--budget and so on) are those that --first computes with.
    """
    from partsolver.base.textfile import read_text, write_text
    from partsolver.report.words import interview as words
    from partsolver.survey.interview.answers import load_answers, progress_path, save_answers
    from partsolver.survey.interview.build import evidence, parsed, suggestions, survey_text, unused
    from partsolver.survey.interview.kinds import DONT_KNOW
    from partsolver.survey.interview.session import Interview

    out = out or start or Path("survey.toml")
    if start is not None and start != out and out.exists():
        raise o.refuse(str(out), "the file exists already", None, "a new file, or the one of --from")
    base = start or (out if out.exists() else None)
    present = None if base is None else read_text(base)
    given = {} if present is None else parsed(present, str(base))
    kept_in = progress_path(out)
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
    typed = typed_again(catalog=catalog, demo=demo, **wishes)
    if short and first is not None:
        raise o.refuse("--short", "does not go with --first", None, "one of the two")
    if base is None and first is not None:
        raise o.refuse(
            "--first",
            "there is no survey yet to compute it from",
            None,
            "--from SURVEY",
            "Import one first, or use --short",
        )
    # wishes that the command line tells already
    told = frozenset(f"brief.{key}" for key in ("budget", "use") if wishes[key] is not None)
    if answers is not None:
        session = Interview(given, load_answers(answers), short=short)
    else:
        before = load_answers(kept_in) if kept_in.exists() else {}
        session = Interview(
            given,
            before,
            lambda said: save_answers(kept_in, said, words.ANSWERS_HEADING),
            short,
            evidence(present or ""),
            first,
            suggestions(present or ""),
            told,
        )
        again = " --short" if short else "" if first is None else f" --first {first}{typed}"
        steps: Iterable[None] = (
            (None,)
            if first is None
            else _rounds(session, present or "", str(base), catalog, o.overrides(**wishes), demo)
        )
        code = _talk(session, steps, bool(before), base is not None, kept_in, out, start, again)
        if code is not None:
            return code
    updated = survey_text(session, present, str(base or out))
    # What was asked about is the file as it was read: another one there now is not overwritten.
    write_text(out, updated.text, (present or "") if base == out else "")
    if answers is None:
        kept_in.unlink(missing_ok=True)
    needless = unused(session)
    if needless:
        o.remark(words.unused_line(needless))
    unknown = sum(1 for text in session.answers.values() if text == DONT_KNOW)
    left = sum(1 for path, question in session.plan() if path not in session.answers and question.key)
    look_again(out)
    for line in words.done_lines(
        str(out), len(session.answers) - unknown - len(needless), unknown, left, typed
    ):
        o.remark(line)
    return 0


def _rounds(
    session: Interview,
    present: str,
    where: str,
    catalog: Path | None,
    wishes: Mapping[str, Any],
    demo: bool,
) -> Iterator[None]:
    """Let the interview ask what is worth most, with the answers so far. ``present``: text of the survey."""
    import tomllib
    from decimal import Decimal

    from partsolver.cli.progress import counting
    from partsolver.explain.asking import rounds
    from partsolver.problem.join import changed
    from partsolver.survey.interview.build import survey_text
    from partsolver.survey.load import parse_survey

    start = o.load_problem(Path(where), catalog, wishes, demo=demo)

    def answered() -> Problem:
        text = survey_text(session, present, where).text
        return changed(start, survey=parse_survey(tomllib.loads(text, parse_float=Decimal), where)[0])

    def steps() -> Iterator[None]:
        shown: dict[str, Callable[[int], None]] = {}
        chosen = rounds(session, session.given, answered, lambda done: shown["progress"](done))
        while True:
            with counting("questions weighed") as shown["progress"]:
                done = next(chosen, chosen) is chosen
            if done:
                return
            yield

    return steps()


def _talk(
    session: Interview,
    steps: Iterable[None],
    resumed: bool,
    known: bool,
    kept_in: Path,
    out: Path,
    start: Path | None,
    options: str,
) -> int | None:
    """Ask on the terminal; None when all was asked, else the exit code. Questions go to standard error.
    ``steps``: each chooses what is asked next; ``options``: those of this run, to go on with."""
    from partsolver.report.survey import shell
    from partsolver.report.words import interview as words
    from partsolver.survey.interview.session import Asking, Stopped, Told

    def say(text: str, end: str = "\n") -> None:
        print(text, end=end, file=sys.stderr, flush=True)

    def ask(asking: Asking) -> str:
        say(words.prompt(asking), end="")
        line = sys.stdin.readline()
        if not line:
            raise EOFError
        return words.choice_of_label(asking.question, line.rstrip("\n"))

    def tell(event: Told) -> None:
        say(words.told(event))

    for line in words.intro_lines(
        len(session.answers) if resumed else 0, session.room or len(session.open()), known
    ):
        say(line)
    stopped = False
    try:
        for _ in steps:
            session.run(ask, tell)
        return None
    except Stopped:
        stopped = True
    except (KeyboardInterrupt, EOFError):
        say("")
    command = (
        "partsolver survey new"
        + (f" --from {shell(str(start))}" if start else "")
        + (f" --out {shell(str(out))}" if out != start else "")
    )
    if session.answers:
        o.remark(words.saved_line(str(kept_in), len(session.answers), command + options))
    else:
        o.remark(words.NOTHING_YET)
    return 0 if stopped else 130
