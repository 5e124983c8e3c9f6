"""The survey while it is put together from several sources: values, open questions, what was overruled."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from typing import Any

from partsolver.survey.facts import RANK, Clash, Fact, Merged, Question
from partsolver.survey.processor import Judged

_LABELS = ("name", "maker", "maker_model")
IDENTITY = ("board.name", "cpu.name")


class Draft:
    """The survey while it is being put together."""

    def __init__(self) -> None:
        self.survey: dict[str, Any] = {"pc": {}, "case": {}, "psu": {}, "board": {}, "cpu": {}}
        self.origin: dict[str, str] = {}
        self.questions: dict[str, Question] = {}
        self.clashes: list[Clash] = []
        self.remarks: list[str] = []
        self.overruled: list[Clash] = []

    def ask(self, path: str, evidence: Sequence[str], suggested: Any = None) -> None:
        """Leave a key open; evidence of several calls adds up, the first suggestion stays."""
        before = self.questions.get(path)
        lines = [*(before.evidence if before else ()), *evidence]
        kept = before.suggested if before and before.suggested is not None else suggested
        self.questions[path] = Question(path, tuple(dict.fromkeys(lines)), kept)

    def put(self, path: str, value: Any, where: str) -> None:
        """Set a key of a plain table."""
        table, _, key = path.partition(".")
        self.survey.setdefault(table, {})[key] = value
        self.origin[path] = where

    def judge(self, path: str, judged: Judged, where: str, evidence: Sequence[str] = ()) -> None:
        """Put a judged value, keeping what was said against it, or leave its key open."""
        if judged.value is None:
            self.ask(path, [*([judged.why] if judged.why else []), *evidence], judged.suggested)
            return
        self.put(path, judged.value, origin(judged, where))
        self.overrule(path, judged, where)

    def overrule(self, path: str, judged: Judged, where: str) -> None:
        """Remember what was said against a value that stands."""
        if judged.against:
            self.overruled.append(
                Clash(path, ((judged.value, judged.basis), *((said, where) for said in judged.against)))
            )

    def remark(self, text: str) -> None:
        if text not in self.remarks:
            self.remarks.append(text)

    def done(self) -> Merged:
        questions = tuple(self.questions[path] for path in sorted(self.questions))
        return Merged(
            self.survey,
            self.origin,
            questions,
            tuple(self.clashes),
            tuple(self.remarks),
            tuple(self.overruled),
        )


def quoted(fact: Fact) -> str:
    """Evidence with its place, for a comment."""
    return f"{fact.evidence} ({fact.where})"


def origin(judged: Judged, where: str) -> str:
    """Where a judged value comes from, for the comment behind it: its place, what it rests on, and what is
    said against it."""
    against = f", against its word {', '.join(judged.against)}" if judged.against else ""
    return f"{where} {judged.basis}{against}" if judged.basis or against else where


def same(path: str, left: Any, right: Any) -> bool:
    """Whether two values say the same; names may be cut or spelled with other marks."""
    if (
        path.rpartition(".")[2] not in (*_LABELS, "seen_model")
        or not isinstance(left, str)
        or not isinstance(right, str)
    ):
        return bool(left == right) and isinstance(left, bool) == isinstance(right, bool)
    less, more = sorted((left, right), key=lambda name: len(plain_name(name)))
    short, long = plain_name(less), plain_name(more)
    if path in IDENTITY and short and short != long:
        return _longer(short, _words(more))
    return long.startswith(short) if short else not long


def _longer(short: str, words: Sequence[str]) -> bool:
    """Whether words begin with a name and go on with words of no other model: "3600 6-Core" is a 3600; 3600X
    and "1230 v2" are others."""
    ends = list(itertools.accumulate(words))
    return short in ends and re.fullmatch(r"v[0-9]", words[ends.index(short) + 1]) is None


def _words(name: str) -> list[str]:
    name = re.sub(
        r"\((?:r|tm)\)|\bcpu\b|\bprocessor\b|@.*$|\bdefault string\b", " ", name, flags=re.IGNORECASE
    )
    return re.findall(r"[a-z0-9]+", name.lower())


def plain_name(name: str) -> str:
    """A name without marks, clock and blanks, to compare spellings."""
    return "".join(_words(name))


def settle(path: str, facts: Sequence[Fact], draft: Draft) -> Fact | None:
    """The fact that stands for one key, or None after leaving a question. The best source's spelling is
    kept."""
    strong = [fact for fact in facts if RANK[fact.certainty]]
    if not strong:
        values = [fact.value for fact in facts]
        agreed = values[0] if values and all(same(path, values[0], value) for value in values) else None
        if facts:
            draft.ask(path, [quoted(fact) for fact in facts], agreed)
        return None
    best = max(strong, key=lambda fact: RANK[fact.certainty])  # max keeps the first of equals
    if all(same(path, best.value, fact.value) for fact in strong):
        return best
    if path.rpartition(".")[2] in _LABELS and path not in IDENTITY:
        return best
    if path in IDENTITY:
        draft.clashes.append(Clash(path, tuple((fact.value, fact.where) for fact in strong)))
        draft.remark(
            f"The sources name different {path.partition('.')[0]}s: they may come from different PCs"
        )
    sure = [fact.value for fact in strong if fact.certainty == "sure"]
    draft.ask(
        path,
        [quoted(fact) for fact in strong],
        sure[0] if sure and all(same(path, sure[0], v) for v in sure) else None,
    )
    return None


def unique(name: str, taken: Sequence[str]) -> str:
    """The name, with a number behind it where it is taken."""
    if name not in taken:
        return name
    return next(f"{name} {n}" for n in range(2, len(taken) + 3) if f"{name} {n}" not in taken)
