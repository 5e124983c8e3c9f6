"""Titles: invented ones in five languages and several house styles with their right reading."""

from __future__ import annotations

from pathlib import Path

import pytest
from catalog.titles.styles import Labelled, styled_titles
from hypothesis import HealthCheck, given, settings
from hypothesis.strategies import characters, from_regex

from partsolver.catalog.dictionary import columns, reader
from partsolver.catalog.titles import words
from partsolver.catalog.titles.article import article_of
from partsolver.catalog.titles.gates import GatedPattern
from partsolver.catalog.titles.grammar import patterns, read_title
from partsolver.catalog.titles.kinds import TABLE_OF, kind_of, state_of
from partsolver.catalog.titles.words import plain_title

HERE = Path(__file__).parent / "titles"
# What a title that is no single part of these tables is called in the files.
NO_PART = {"other": "other", "bundle": "bundle", "unclear": "unclear"}
REASONS = {"bundle": {"bundle"}, "unclear": {"unclear"}}


def labelled(name: str) -> list[Labelled]:
    lines = [x for x in (HERE / name).read_text(encoding="utf-8").splitlines() if x and not x.startswith("#")]
    found = []
    for head, title in zip(lines[::2], lines[1::2], strict=True):
        language, kind, facts = (part.strip() for part in head.split("|"))
        cells = dict(fact.split("=", 1) for fact in facts.split(";") if fact)
        found.append((language, kind, cells, title))
    return found


def read(title: str) -> tuple[str, dict[str, str]]:
    """Kind as the files name it, and the facts."""
    plain = plain_title(title)
    kind = kind_of(plain)
    if kind.table is None:
        return (kind.reason if kind.reason in REASONS else "other"), {}
    cells = dict(read_title(plain, kind.table).cells)
    state, _ = state_of(plain)
    if state in ("used", "refurbished"):
        cells["condition"] = state
    return kind.table, cells


def same(column: str, one: str, other: str) -> bool:
    return set(one.split()) == set(other.split()) if column == "sockets" else one == other


def score(titles: list[Labelled]) -> tuple[list[str], int, int]:
    """(wrong facts and kinds, printed facts, facts found)."""
    wrong, printed, found = [], 0, 0
    for _, kind, facts, title in titles:
        told, cells = read(title)
        right_kind = NO_PART.get(kind, kind)
        if told in TABLE_OF.values() and told != right_kind:
            wrong.append(f"{title!r}: {told} instead of {kind}")
        printed += len(facts)
        for column, value in cells.items():
            if told == right_kind and (column not in facts or not same(column, value, facts[column])):
                wrong.append(f"{title!r}: {column}={value} instead of {facts.get(column)}")
        found += sum(told == right_kind and c in cells and same(c, cells[c], v) for c, v in facts.items())
    return wrong, printed, found


KNOWN = [*labelled("known.txt"), *styled_titles()]


@pytest.mark.parametrize("title", KNOWN, ids=lambda t: t[3][:60])
def test_known_titles_are_read_whole(title: Labelled) -> None:
    wrong, printed, found = score([title])
    assert not wrong and found == printed, read(title[3])
    assert read(title[3])[0] == NO_PART.get(title[1], title[1])


HELD_OUT = labelled("held_out.txt")
OTHER_STYLES = labelled("other_styles.txt")
UNSEEN = labelled("unseen.txt")


def test_titles_that_were_only_scored() -> None:
    wrong, printed, found = score(UNSEEN)
    assert not wrong
    assert found * 100 >= printed * 95, f"{found} of {printed}"
    assert not [
        title for _, kind, _, title in UNSEEN if kind in ("other", "bundle") and read(title)[0] in TABLE_OF
    ]


@pytest.mark.parametrize("title", OTHER_STYLES, ids=lambda t: t[3][:60])
def test_titles_in_other_styles_are_read_whole(title: Labelled) -> None:
    wrong, printed, found = score([title])
    assert not wrong and found == printed, read(title[3])
    assert read(title[3])[0] == NO_PART.get(title[1], title[1])


def test_there_are_enough_titles() -> None:
    """At least 300 in five languages, a third of them held out."""
    assert len(KNOWN) + len(HELD_OUT) >= 300 and 3 * len(HELD_OUT) >= len(KNOWN) + len(HELD_OUT)
    assert {title[0] for title in HELD_OUT} == {title[0] for title in KNOWN} == {"en", "de", "fr", "es", "pl"}
    assert not {title[3] for title in HELD_OUT} & {title[3] for title in KNOWN}


def test_titles_written_before_the_grammar() -> None:
    wrong, printed, found = score(HELD_OUT)
    assert not wrong
    assert found * 100 >= printed * 95, f"{found} of {printed}"


def test_every_labelled_fact_is_a_cell_its_column_takes() -> None:
    for _, kind, facts, title in [*KNOWN, *HELD_OUT, *OTHER_STYLES]:
        for column, value in facts.items():
            if column != "condition":
                reader(columns()[kind][column])(value)
        assert facts == {} or kind in TABLE_OF.values(), title


@pytest.mark.parametrize("table", list(TABLE_OF.values()))
def test_every_pattern_reads_its_own_example(table: str) -> None:
    """Beside each pattern stands an example of what it takes; and its columns exist."""
    text = (Path(words.__file__).parent / "patterns.tsv").read_text(encoding="utf-8").splitlines()[1:]
    lines = [line.split("\t") for line in text if table in line.split("\t")[0].split()]
    assert len(lines) == len(patterns(table)) > 1
    for cells, pattern in zip(lines, patterns(table), strict=True):
        assert cells[8], "a pattern without a source"
        assert any(
            pattern.pattern.pattern.search(plain_title(part))
            for part in (
                cells[7],
                cells[7].split(":")[0],
                cells[7].split(",")[0],
                cells[7].split(";")[-1],
                cells[7].split(" = ")[0],
            )
        ), cells
        for column in pattern.columns:
            assert column[0] in "-=" or column in columns()[table]


@pytest.mark.parametrize(
    ("title", "column"),
    [
        ("Cadmora 8GB DDR4-2666 memory", "modules"),
        ("Cadmora 8GB DDR4-2666 memory", "registered"),
        ("Cadmora 8GB DDR4-2666 memory", "ecc"),
        ("Cadmora 8GB DDR4-2666 memory", "module"),
        ("Halvorn Stile Q6 6-Core LGA1700 processor boxed", "boxed_cooler"),
        ("Halvorn Stile Q6 6-Core LGA1700 processor tray", "boxed_cooler"),
        ("Halvorn Stile Q6 6-Core LGA1700 processor", "graphics_score"),
        ("Tollmere LGA1151 mATX motherboard", "socket"),
        ("Drovane 512GB M.2 SSD", "interface"),
    ],
)
def test_absence_and_doubt_state_nothing(title: str, column: str) -> None:
    assert column not in read(title)[1]


def test_what_no_pattern_took_is_shown() -> None:
    article = article_of("Petrigan 16GB DDR4-2666 Registriertes Modul memory")
    assert "Registriertes" in article.leftover and "registered" not in dict(article.cells)
    assert article_of("Cadmora 48GB (1x16GB) DDR4 memory").contradictory == ("module_mib", "modules")


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("Memoria RAM 16\xa0GB 2×8GB", "Memoria RAM 16 GB 2x8GB"),
        ("4 ГБ х 2 шт", "4 ГБ x 2 шт"),
        ("Festplatte 3,5\u2033", 'Festplatte 3,5"'),
        ("GehÃ¤use schwarz", "Gehäuse schwarz"),
        ("a\x00b\x1b[31m", "a b [31m"),
    ],
)
def test_text_is_mended_where_that_is_certain(text: str, plain: str) -> None:
    assert plain_title(text) == plain


@pytest.mark.parametrize(
    "title",
    [
        "x" * 400,
        "2x" * 200,
        "DDR4-" * 80,
        "(" * 400,
        "with " * 80,
        "1,2 GHz / " * 40,
        "LGA1150/" * 50,
        "- " * 200,
    ],
)
def test_no_title_takes_long(title: str) -> None:
    """Patterns that could run away on drawn text would hang here (the suite's own limit)."""
    for table in TABLE_OF.values():
        read_title(plain_title(title), table)
    article_of(title)


GATED = [
    (f"{table}: {row['example']}", gate)
    for table in TABLE_OF.values()
    for row, gate in words.title_patterns(table)
]
SIGNS = [(name, gate) for name, gate in words.sign_gates().listed]


PLAIN = characters(exclude_categories=("C", "Z", "Nd"), include_characters=" 0123456789")


@pytest.mark.parametrize(("name", "gate"), [pair for pair in [*GATED, *SIGNS] if pair[1].pieces])
def test_whatever_a_pattern_matches_holds_a_piece_it_needs(name: str, gate: GatedPattern) -> None:
    """Texts made from the pattern itself by a general-purpose library (hypothesis, ``from_regex``), of the
    characters that plain_title leaves."""

    @settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
    @given(from_regex(gate.pattern, alphabet=PLAIN))
    def holds(text: str) -> None:
        match = gate.pattern.search(text)
        assert match is not None and any(piece in text.casefold() for piece in gate.pieces)

    holds()
