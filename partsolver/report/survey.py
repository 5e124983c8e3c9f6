"""Words and JSON of `survey check`, words of `survey import`."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from partsolver.base.controls import controls_escaped
from partsolver.report.document import dump
from partsolver.report.page import wrap
from partsolver.report.words.counts import count_of
from partsolver.survey.consistency import Clash
from partsolver.survey.facts import Clash as FileClash
from partsolver.survey.model import Survey

if TYPE_CHECKING:
    from partsolver.survey.collect import Closed
    from partsolver.survey.importing import Imported

# Where a fact comes from, by its name in a clash.
Origin = Callable[[str], str | None]
_CLASHES = {
    "modules-against-slots": "there are more modules than slots",
    "memory-against-board": "the module does not go with the board",
    "rate-against-generation": "the data rate is outside the generation's standard range",
    "years": "the board is older than this technology",
    "supply-label": "the supply's label does not add up",
    "rails-of-label": "the label has no such rail",
    "card-against-plugs": "the card is said to draw more than its slot and its plugs may carry",
    "board-against-case": "the present board does not go into the present case",
    "plugs-against-board": "the board needs a plug that the supply does not have",
    "drives-against-ports": "there are more drives than places for them",
}


def answer_words(value: Any) -> str:
    """An answer as a person would say it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return " + ".join(str(v) for v in value) if value else "none"
    return str(value)


def clash_sentence(clash: Clash, origin: Origin) -> str:
    """A clash in one sentence with both facts, each with where it comes from."""
    first, second = (
        f"{fact} is {value}" + (f" ({where})" if (where := origin(fact)) else "")
        for fact, value in (clash.first, clash.second)
    )
    return f"{_CLASHES[clash.check]}: {first}, but {second}"


def check_text(survey: Survey, clashes: Sequence[Clash], origin: Origin = lambda fact: None) -> str:
    """Clashes of a survey. ``origin`` tells where a fact comes from, None where the file does not say."""
    if not clashes:
        return f"{survey.pc.name}: no facts that contradict one another.\n"
    what = "one pair of facts does" if len(clashes) == 1 else f"{len(clashes)} pairs of facts do"
    lines = [f"{survey.pc.name}: {what} not go together; look again at both"]
    lines += [wrap(clash_sentence(clash, origin) + ".", "  - ", "    ") for clash in clashes]
    lines.append(
        f"Correct them in {survey.where}, then check again: partsolver survey check {shell(survey.where)}"
    )
    return "\n".join(lines) + "\n"


def check_json(survey: Survey, clashes: Sequence[Clash], origin: Origin = lambda fact: None) -> str:
    """The same as one JSON document."""
    return dump(
        {
            "schema": "partsolver.survey-check/1",
            "survey": survey.where,
            "consistent": not clashes,
            "clashes": [
                {
                    "check": clash.check,
                    "first": {
                        "fact": clash.first[0],
                        "value": clash.first[1],
                        "origin": origin(clash.first[0]),
                    },
                    "second": {
                        "fact": clash.second[0],
                        "value": clash.second[1],
                        "origin": origin(clash.second[0]),
                    },
                }
                for clash in clashes
            ],
        }
    )


# -- survey import -----------------------------------------------------------------------------------------------------


def read_lines(read: Sequence[tuple[str, Sequence[str], int]]) -> Iterator[str]:
    """What was read: (name, kinds, number of facts) of each source."""
    for name, kinds, facts in read:
        what = count_of(facts, "fact") if facts else "nothing that can stand as a fact"
        yield f"read {name} ({' and '.join(kinds) or 'nothing of use'}): {what}"


def closed_lines(closed: Sequence[Closed]) -> Iterator[str]:
    """What stayed closed and how to open it."""
    for item in closed:
        yield f"not read: {item.what}: {item.why}; {item.hint}"


def taken_lines(done: Imported) -> Iterator[str]:
    """What an import took, and where it stands against what was there."""
    yield from done.remarks
    if done.replaced:
        yield MEASURED_TAKEN.format(", ".join(done.replaced))
    for clash in done.differing:
        yield f"{import_clash(clash)}: {SOURCES_DIFFER}"
    for clash in done.overruled:
        yield overruled_line(clash)
    for clash in done.kept:
        yield f"{import_clash(clash)}: {KEPT_MINE}{shell(clash.path)}"


def import_lines(facts: int, kept: int, open_count: int, out: str, existed: bool) -> Iterator[str]:
    """The end of an import: what was written and what to do next."""
    clashes = f"; {count_of(kept, 'value')} of yours kept against it" if kept else ""
    yield f"{out} {'brought up to date' if existed else 'written'} with {count_of(facts, 'fact')}{clashes}"
    most = ", most of which decide nothing" if open_count > 1 else ""
    yield f"{count_of(open_count, 'open question')} left{most}"
    yield f"next, the ten that decide most for this PC: partsolver survey new --from {shell(out)} --first 10"
    yield f"or at once, the ten that usually do: partsolver survey new --from {shell(out)} --short"
    yield f"what each answer is worth: partsolver survey questions {shell(out)}"
    yield f"straight on: partsolver recommend {shell(out)}"
    yield (
        "each of these takes the parts that can be bought: --catalog DIR (--demo: the invented ones), and what may be"
        " spent at most: --budget AMOUNT"
    )


def clash_lines(clashes: Sequence[Clash], origin: Origin, out: str) -> Iterator[str]:
    """Facts of a survey just written that contradict one another, and where to look again."""
    for clash in clashes:
        yield f"look again: {clash_sentence(clash, origin)}"
    if clashes:
        yield f"correct it in {out}; partsolver survey check {shell(out)} looks again"


def shell(path: str) -> str:
    """A path as it can be typed in a shell; one that cannot be shown, as Python writes it."""
    return shlex.quote(controls_escaped(path))


def import_clash(clash: FileClash) -> str:
    """Two values of one fact, with where each stands."""
    said = "; ".join(f"{value_words(value)} ({where})" for value, where in clash.values)
    return f"{clash.path}: {said}"


def overruled_line(clash: FileClash) -> str:
    """A value that stands although a source says otherwise."""
    (value, basis), *others = clash.values
    said = "; ".join(f"{value_words(other)} ({where})" for other, where in others)
    return f"{clash.path}: {value_words(value)} {basis}, although the file says {said}".replace("  ", " ")


def value_words(value: Any) -> str:
    """A value of the file as a person would say it."""
    return ", ".join(str(v) for v in value) or "none" if isinstance(value, list) else answer_words(value)


KEPT_MINE = "your value stays; to have the new one run again with --take "
MEASURED_TAKEN = "measured figures stand now in place of stated ones: {}"
OTHER_PC = "another name of the board or processor: the files may be of another PC, so nothing was written"
OTHER_PC_HINT = (
    "Choose another file with --out; or say that it is this PC: --keep-mine keeps your name, --take {path}"
    " takes the new one"
)
SOURCES_DIFFER = "the files disagree, so it stays an open question"
ASK_CLASH = (
    "Which is right? Type mine to keep your value, new to take the file's, stop to leave without writing: "
)
ASK_OTHER = (
    "Is it the same PC? Type mine to keep your name, new to take the file's, stop to leave without writing: "
)
STOPPED = "stopped; nothing was written"
