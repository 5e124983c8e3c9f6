"""Every sentence of ``partsolver/report/`` is stated by a test, in the situation in which it is said."""

from __future__ import annotations

import re

import pytest
from report import golden, texts
from report.documents import DOCUMENTS, FOLDER

WRITTEN_AGAIN = "if meant: cd tests && PYTHONPATH=..:. python -m report.golden, and read the difference"


def test_the_texts_of_tables_are_those_that_were_read() -> None:
    assert golden.written_tables().splitlines() == golden.TABLES.read_text("utf-8").splitlines(), (
        WRITTEN_AGAIN
    )


def test_the_texts_of_pages_are_those_that_were_read() -> None:
    """They stand in the pages as they are; what is filled in between them is stated elsewhere."""
    assert golden.written_pages().splitlines() == golden.PAGES.read_text("utf-8").splitlines(), WRITTEN_AGAIN


def test_what_is_said_of_plain_facts_is_what_was_read() -> None:
    assert golden.written_situations().splitlines() == golden.SAID.read_text("utf-8").splitlines(), (
        WRITTEN_AGAIN
    )


def test_every_sentence_is_stated_by_a_test() -> None:
    """Each text of the source, cut where something is filled in, stands in a golden file, in what another test
    states, or in an example of the guide (which are run). A new sentence: a line in `golden_said.tsv`, a document in
    `documents.py`, a test in `test_sentences.py`, or for a rule a finding in `rules/rare_situations.py`. One that
    nothing can say is taken out."""
    assert texts.unstated() == []


@pytest.mark.parametrize("name", list(DOCUMENTS))
def test_a_document_is_what_was_read(name: str) -> None:
    golden_text = (FOLDER / f"{name}.txt").read_text(encoding="utf-8")
    assert DOCUMENTS[name]().splitlines() == golden_text.splitlines(), WRITTEN_AGAIN


def test_no_document_is_left_over() -> None:
    assert {path.stem for path in FOLDER.glob("*.txt")} == set(DOCUMENTS)


# "1 drives", "1 PCs": what is counted is one. What follows a place ("plan 1 keeps") or is a fact's name is no noun.
_NO_NOUN = "times|is|was|has|as|plus|minus|less|marks|matters|hangs|keeps"
_ONE_OF_MANY = re.compile(rf"(?<![\w.,:*/+-])1 (?!(?:{_NO_NOUN})\b)[a-z-]+[^s\W]s\b(?!=)")


def test_one_is_no_plural() -> None:
    """In all golden files; a number and its noun are joined by `report/words/counts.py`."""
    tests = texts.REPORT.parents[1] / "tests"
    files = [*tests.glob("*/golden_*.tsv"), *FOLDER.glob("*.txt"), *tests.glob("cases/*/expected.txt")]
    found = [
        (path.name, match.group())
        for path in files
        for match in _ONE_OF_MANY.finditer(path.read_text(encoding="utf-8"))
    ]
    assert found == []


def test_the_reader_of_texts_sees_what_it_must() -> None:
    """A law that reads nothing would pass."""
    assert len(texts.pieces()) > 2500 and len(texts.tables()) > 1200 and len(texts.sayings()) > 800
    assert texts.is_text("a few words of {name}") and not texts.is_text('<line x1="{x}" y1="0" />')
    assert texts.spoken("Never open the power supply") in texts.stated()
    assert texts.spoken("Nobody says this sentence") + "!" not in texts.stated()
