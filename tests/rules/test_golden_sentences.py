"""What each rule says, sentence by sentence: `golden_sentences.tsv` (`golden.py` says how it is written again)."""

from __future__ import annotations

from rules import rare
from rules.golden import GOLDEN, sentences, written

from partsolver.rules import all_rules


def test_every_sentence_is_the_one_that_was_read() -> None:
    found = written(sentences()).splitlines()
    golden = GOLDEN.read_text(encoding="utf-8").splitlines()
    assert found == golden, "if meant: cd tests && python -m rules.golden, and read the difference"


def test_every_rule_says_something() -> None:
    rows = [line.split("\t") for line in GOLDEN.read_text(encoding="utf-8").splitlines()[1:]]
    said, known = {rule for rule, *_ in rows}, {rule.ID for rule in all_rules()}
    # What only says something speaks where somebody states a rare fact: its own tests have its sentences.
    assert said <= known and {rule.ID for rule in all_rules() if rule.REFUSES} <= said
    assert all(sentence.endswith((".", "?")) for *_, sentence in rows)


def test_what_is_said_in_rare_situations_is_what_was_read() -> None:
    found, read = rare.written().splitlines(), rare.GOLDEN.read_text(encoding="utf-8").splitlines()
    assert found == read, "if meant: cd tests && python -m rules.rare, and read the difference"
