"""The interview itself: which question comes next, back, skip, don't know. It neither prints nor reads.

Answers are kept as the person gave them, by path (``drive[0].kind`` -> ``hdd35``); the same texts are the
answers file.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, Literal

from partsolver.base.records import record
from partsolver.survey.interview.kinds import DONT_KNOW, read_answer
from partsolver.survey.interview.questions import (
    BY_PATH,
    ESSENTIAL,
    FOLLOWS,
    OF_SEVERAL,
    OPEN_CASE,
    QUESTIONS,
    ROW_TABLES,
    SHORT,
    SHORTEST,
    SPARED,
    Question,
    Section,
)

BACK, STOP, SKIP, LATER = "back", "stop", "", "later"
LABELS = "abcdefghijklmnopqrstuvwxyz"


@record
class Asking:
    """One question on its way to the person. row: number of the row from 1; name: the row's name;
    number of total: place among all questions as far as is known; present: the answer given before; seen:
    what the files of an import say about it; at_most: total is only the most there can be; suggested: the
    answer that those files suggest, which Enter takes."""

    question: Question
    path: str
    row: int | None
    name: str | None
    number: int
    total: int
    present: str | None
    seen: tuple[str, ...] = ()
    at_most: bool = False
    suggested: str | None = None


@record
class Told:
    """Something to show: a section that begins, the cautions, an answer that cannot be read, or nothing to go
    back to."""

    what: Literal["section", "cautions", "refused", "first"]
    section: Section | None = None
    asking: Asking | None = None
    text: str = ""


Ask = Callable[[Asking], str]
Tell = Callable[[Told], None]


class Stopped(Exception):
    """The person left; every answer so far is kept."""


class Interview:
    """Questions still open against a survey file (``given``: its parsed TOML) and the answers so far."""

    def __init__(
        self,
        given: Mapping[str, Any],
        answers: Mapping[str, str] | None = None,
        keep: Callable[[Mapping[str, str]], None] = lambda answers: None,
        short: bool = False,
        seen: Mapping[str, tuple[str, ...]] | None = None,
        most: int | None = None,
        suggested: Mapping[str, str] | None = None,
        without: frozenset[str] = frozenset(),
    ) -> None:
        """``most``: only what `choose` names is asked, at most so many questions (answers of a run that was
        left count); ``suggested``: what was seen, as an answer, by path; ``without``: questions that are
        answered elsewhere."""
        self._suggested, self._without = suggested or {}, without
        self.given = given
        self._most = most
        self._keep_free = 0
        self._chosen: dict[str, None] = {}
        self.seen = seen or {}
        self.answers: dict[str, str] = dict(answers or {})
        self._keep = keep
        self.short = short
        # What was asked in a run of chosen questions, in that order.
        self._asked: list[str] = [] if most is None or len(self.answers) >= most else list(self.answers)
        self._skipped: set[str] = set()
        self._shown: set[str] = set()

    # -- what is known

    def value(self, path: str, question: Question) -> Any:
        """Value of a fact by its answer or the file; None when open."""
        raw = self.answers.get(path)
        if raw is not None and raw != DONT_KNOW:
            return read_answer(question, raw)
        found = self.given_value(path)
        return True if found is None and raw is None and self._implied(path, question) else found

    def _implied(self, path: str, question: Question) -> bool:
        """Whether few questions are not spent on one that only one row can answer with yes: the system is on
        the only disk (common practice). It is written down when the person says how it starts from there."""
        if self._most is None or not question.once or question.when is None:
            return False
        other, disks = question.when
        key, own = BY_PATH[other].key, path.rpartition(".")[0]
        kinds = {
            f"{question.table}[{row}]": self.value(f"{question.table}[{row}].{key}", BY_PATH[other])
            for row in range(self.rows(question.table))
        }
        return kinds.get(own) in disks and all(kind not in disks for row, kind in kinds.items() if row != own)

    def given_value(self, path: str) -> Any:
        """Value in the file; None when it is open there."""
        owner, _, key = path.rpartition(".")
        table, _, index = owner.partition("[")
        found = self.given.get(table)
        if index:
            rows = found if isinstance(found, list) else []
            number = int(index[:-1])
            found = rows[number] if number < len(rows) else None
        value = found.get(key) if isinstance(found, Mapping) else None
        return None if value == "unknown" else value

    def rows(self, table: str) -> int:
        """Number of rows: those of the file, or as many as were said (or answered about) where it has
        none."""
        given = self.given.get(table)
        if given:
            return len(given)
        said = self.answers.get(table)
        if said is not None and said != DONT_KNOW:
            return int(read_answer(BY_PATH[table], said))
        numbers = [
            int(path.partition("[")[2].partition("]")[0])
            for path in self.answers
            if path.startswith(f"{table}[")
        ]
        return max(numbers) + 1 if numbers else 0

    def none(self, table: str) -> bool:
        """Whether the person said that there is nothing of a list."""
        said = self.answers.get(table)
        return said is not None and said != DONT_KNOW and not self.rows(table) and table not in self.given

    # -- what is asked

    def plan(self, everything: bool = False) -> list[tuple[str, Question]]:
        """Every question that applies as far as is known, in order, answered ones included. ``everything``:
        those that the short interview, or one of chosen questions, leaves out as well."""
        short = self.short and not everything
        found: list[tuple[str, Question]] = []
        for table, group in _groups():
            if table not in ROW_TABLES:
                found += [(q.path, q) for q in group if self._applies(q.path, q, short)]
                continue
            found += [(q.path, q) for q in group if not q.key and table not in self.given and not short]
            least = 1 if short and table not in self.given else 0
            for row in range(max(self.rows(table), least)):
                paths = [(f"{table}[{row}].{q.key}", q) for q in group if q.key]
                found += [(path, q) for path, q in paths if self._applies(path, q, short)]
        if short:
            found = self._few(found)
        return found if self._most is None or everything else self._of_run(dict(found))

    def _few(self, found: list[tuple[str, Question]]) -> list[tuple[str, Question]]:
        """The questions of the short interview: those that no figure can do without first, as many as
        there is room for, in the order in which they are asked."""
        ranked = sorted(found, key=lambda item: SHORT.index(item[1].path))
        kept = {path for path, _ in ranked[:SHORTEST]}
        return [item for item in found if item[0] in kept]

    # -- a run of chosen questions

    def choose(self, paths: Sequence[str], keep_free: int = 0) -> None:
        """Questions to ask next in a run of chosen ones, the most valuable one first. A list's name stands
        for its essential facts as well, and some answers need a second figure: these count too, so that the
        least valuable ones give way. ``keep_free``: how many questions stay for later."""
        self._chosen, self._keep_free = dict.fromkeys(paths), keep_free

    @property
    def room(self) -> int:
        """How many questions may still be asked in a run of chosen ones."""
        return 0 if self._most is None else max(0, self._most - len(self._asked))

    @property
    def inside(self) -> bool:
        """Whether the case had to be opened for a question of this run."""
        return bool(self._shown & OPEN_CASE)

    def askable(self) -> frozenset[str]:
        """Paths of the questions that apply as far as is known and were neither asked in this run nor
        answered before."""
        return frozenset(
            path
            for path, _ in self.plan(everything=True)
            if path not in self._asked and path not in self.answers
        )

    def _of_run(self, found: dict[str, Question]) -> list[tuple[str, Question]]:
        """What was asked in this run, in that order, then what was chosen and still may be asked."""
        asked = [path for path in self._asked if path in found]
        left = [path for path in self._with_more(found) if path not in asked][
            : max(0, self.room - self._keep_free)
        ]
        return [(path, found[path]) for path in (*asked, *(path for path in found if path in left))]

    def _with_more(self, found: dict[str, Question]) -> list[str]:
        """The chosen questions, each with those that its answer makes necessary behind it."""
        wanted: dict[str, None] = {}
        for name in self._chosen:
            follow = FOLLOWS.get(name) if self._several(name) else None
            for path, question in found.items():
                if path in (name, follow) or (question.table == name and self._essential(path, question)):
                    wanted.setdefault(path)
        return list(wanted)

    def _essential(self, path: str, question: Question) -> bool:
        """Whether a question of a row has to be answered before anything can be said about the row."""
        if question.path in SPARED:
            other, values = SPARED[question.path]
            if self.value(f"{path.rpartition('.')[0]}.{BY_PATH[other].key}", BY_PATH[other]) in values:
                return False
        return question.key in ESSENTIAL.get(question.table, ())

    def _several(self, path: str) -> bool:
        """Whether the answer to a question holds more than one figure, or counts more than one thing."""
        if path not in FOLLOWS and path not in OF_SEVERAL.values():
            return False
        question = BY_PATH[path]
        value = self.value(path, question)
        if question.kind == "count":
            return value is not None and value > 1
        return isinstance(value, (list, tuple)) and len(value) > 1

    def _applies(self, path: str, question: Question, short: bool) -> bool:
        if path in self._without or (short and question.path not in SHORT):
            return False
        if self.given_value(path) is not None or self._implied(path, question):
            return False
        if path in OF_SEVERAL and not self._several(OF_SEVERAL[path]):
            return False
        if question.when is not None:
            wanted, values = question.when
            other = BY_PATH[wanted]
            if other.table == question.table and question.table in ROW_TABLES:
                wanted = f"{path.rpartition('.')[0]}.{other.key}"
            if self.value(wanted, other) not in values:
                return False
        if question.once:
            table = question.table
            others = [f"{table}[{row}].{question.key}" for row in range(self.rows(table))]
            return not any(self.value(other, question) is True for other in others if other != path)
        return True

    def open(self) -> list[tuple[str, Question]]:
        """Questions still to be asked in this run."""
        return [
            (path, q) for path, q in self.plan() if path not in self.answers and path not in self._skipped
        ]

    # -- the run

    def run(self, ask: Ask, tell: Tell) -> None:
        """Ask until nothing is open. Raises Stopped when the person leaves; ``keep`` is called after every
        answer."""
        here: str | None = None
        while True:
            plan = self.plan()
            paths = [path for path, _ in plan]
            if here is None or here not in paths:
                rest = self.open()
                if not rest:
                    return
                here = rest[0][0]
            question = plan[paths.index(here)][1]
            self._announce(question, tell)
            if self._most is not None and here not in self._asked:
                self._asked.append(here)
            asking = self._asking(here, question, paths)
            here = self._answered(asking, ask(asking).strip(), paths, tell)

    def _announce(self, question: Question, tell: Tell) -> None:
        if question.section in self._shown:
            return
        self._shown.add(question.section)
        if question.section in OPEN_CASE:
            tell(Told("cautions", question.section))
        tell(Told("section", question.section))

    def _asking(self, path: str, question: Question, paths: list[str]) -> Asking:
        owner = path.rpartition(".")[0]
        row = int(owner.partition("[")[2][:-1]) + 1 if "[" in owner else None
        name = (
            self.value(f"{owner}.name", BY_PATH[f"{question.table}.name"])
            if row and question.table != "memory"
            else None
        )
        return Asking(
            question,
            path,
            row,
            name,
            paths.index(path) + 1,
            self._most or len(paths),
            self.answers.get(path),
            self.seen.get(path, ()),
            self._most is not None,
            self._suggested.get(path),
        )

    def _answered(self, asking: Asking, text: str, paths: list[str], tell: Tell) -> str | None:
        """Deal with what was typed; returns the path to ask next, or None for the next open one."""
        path, word = asking.path, text.lower()
        if word == STOP:
            raise Stopped
        if word == BACK:
            at = paths.index(path)
            if at == 0:
                tell(Told("first"))
                return path
            self._skipped.discard(paths[at - 1])
            return paths[at - 1]
        if word in (SKIP, LATER) and (
            word == LATER or asking.suggested is None or asking.present is not None
        ):
            if asking.present is None:
                self._skipped.add(path)
            return None
        if word == SKIP:
            text, word = str(asking.suggested), str(asking.suggested).lower()
        raw = (
            DONT_KNOW
            if word in (DONT_KNOW, "unknown", "don't know", "dont know")
            else _by_letter(asking.question, text)
        )
        if raw != DONT_KNOW:
            try:
                read_answer(asking.question, raw)
            except ValueError:
                tell(Told("refused", asking=asking, text=text))
                return path
        self.answers[path] = raw
        self._keep(self.answers)
        return None


def interview_path(path: str, given: Mapping[str, Any]) -> str | None:
    """The interview's path of an open question (``drive:NAME.kind`` -> ``drive[0].kind``); None when it has
    none."""
    owner, _, key = path.rpartition(".")
    table, colon, name = owner.partition(":")
    if not owner:
        return path if path in BY_PATH else None
    if f"{table}.{key}" not in BY_PATH:
        return None
    if table not in ROW_TABLES:
        return path
    if table == "memory":
        return f"memory[{int(name) - 1 if colon else 0}].{key}"
    rows = given.get(table) or []
    return next(
        (f"{table}[{index}].{key}" for index, row in enumerate(rows) if row.get("name") == name), None
    )


def _by_letter(question: Question, text: str) -> str:
    """Letters of the shown choices as their values; anything else as typed."""
    if question.kind not in ("choice", "several"):
        return text
    letters = [word for word in text.lower().replace(",", " ").split() if word]
    if question.kind == "choice" and len(letters) > 1:
        return text
    known = {LABELS[i]: str(choice) for i, choice in enumerate(question.choices)}
    return " ".join(known.get(word, word) for word in letters) or text


def _groups() -> Iterator[tuple[str, list[Question]]]:
    """Runs of questions about one table, so that each row's questions stay together."""
    group: list[Question] = []
    for question in QUESTIONS:
        if group and (question.table != group[0].table or question.section != group[0].section):
            yield group[0].table, group
            group = []
        group.append(question)
    if group:
        yield group[0].table, group
