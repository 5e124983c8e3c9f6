"""What people read is plain English: every sentence of report/, the help, the guide and the meanings of columns is
spelled as a word list of open data has it, and names nothing of the program's inside.

The word list is that of the library ``pyspellchecker`` (English, from open subtitles and books); words of the
trade and of this project that it lacks stand in ``tests/words_of_the_trade.txt``, one a line, each looked at.
"""

from __future__ import annotations

import ast
import csv
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from spellchecker import SpellChecker

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "partsolver"
TRADE = Path(__file__).parent / "words_of_the_trade.txt"
# What is code, a placeholder, a tag or an address; then whatever of a name, file, option or number is left.
MARKED = re.compile(r"```.*?```|`[^`]*`|\{[^{}]*\}|<[^<>]*>|\]\([^)]*\)|&[a-z]+;|https?:\S+", re.DOTALL)
CODE = re.compile(r"--[a-z][a-z-]*|%[a-z(]|\S*[_/\\=$@#*]\S*|\S*[a-z0-9]\.[a-z]\S*|\S*\d\S*")
WORD = re.compile(r"[A-Za-z][a-z]+(?:'[a-z]+)?")
LEAST_LETTERS = 4
# Lists of words of other languages and of tools, code as text, and texts that only a developer sees.
NOT_READ = ("catalog/lists", "catalog/titles", "survey/facts.py", "measure/launch.py", "model/")


def is_text(text: str) -> bool:
    """A text for people, or a piece of one: letters with a blank between or beside them."""
    return " " in text and re.search(r"[A-Za-z]{2,}", text) is not None and "SELECT" not in text


@cache
def sentences() -> tuple[tuple[str, str], ...]:
    return tuple(_sentences())


def _sentences() -> Iterator[tuple[str, str]]:
    """(where, text) of everything that people read."""
    for path in sorted(PACKAGE.rglob("*.py")):
        if path.relative_to(PACKAGE).as_posix().startswith(NOT_READ):
            continue
        # Elsewhere than here stand messages about what was given, beside words of tools and of sellers' lists.
        least = 1 if path.relative_to(PACKAGE).parts[0] in ("report", "cli", "rules") else 4
        tree = ast.parse(path.read_text(encoding="utf-8"))
        docs = _docstrings(tree)
        for node in ast.walk(tree):
            text = node.value if isinstance(node, ast.Constant) and id(node) not in docs else None
            if isinstance(text, str) and is_text(text) and len(WORD.findall(text)) >= least:
                yield f"{path.relative_to(ROOT)}:{node.lineno}", text
    for path in sorted((PACKAGE / "report" / "templates").rglob("*")):
        if path.is_file() and path.suffix in (".html", ".txt"):
            text = path.read_text(encoding="utf-8")
            yield (
                str(path.relative_to(ROOT)),
                re.sub(r"\{[%{#].*?[%}#]\}|<style.*?</style>", " ", text, flags=re.DOTALL),
            )
    for path in [ROOT / "README.md", *sorted((PACKAGE / "guide").glob("*.md"))]:
        text = re.sub(r"```.*?```", " ", path.read_text(encoding="utf-8"), flags=re.DOTALL)
        yield str(path.relative_to(ROOT)), text
    with (ROOT / "catalogs" / "columns.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            yield f"columns.csv {row['table']}.{row['column']}", row["meaning"]


def _docstrings(tree: ast.Module) -> set[int]:
    holders = (ast.Module, ast.FunctionDef, ast.ClassDef, ast.AsyncFunctionDef)
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, holders) and node.body and isinstance(node.body[0], ast.Expr):
            found.add(id(node.body[0].value))
    return found


def words_of(text: str) -> set[str]:
    """The words of a text in small letters; names (a capital inside a sentence) are none."""
    plain = CODE.sub(" ", MARKED.sub(" ", text))
    return {word.lower().removesuffix("'s") for word in WORD.findall(plain) if len(word) >= LEAST_LETTERS}


def test_the_reader_of_words_sees_what_it_must() -> None:
    text = "The `psu_form` of {name} --budget x_y recomend a.toml lga1200 suply's <b>bold</b>"
    assert words_of(text) == {"recomend", "suply", "bold"}
    assert SpellChecker(distance=1).unknown(words_of(text)) == {"recomend", "suply"}


def test_every_word_that_people_read_is_spelled() -> None:
    trade = set(TRADE.read_text(encoding="utf-8").split())
    places: dict[str, str] = {}
    for where, text in sentences():
        for word in words_of(text):
            places.setdefault(word, where)
    unknown = SpellChecker(distance=1).unknown(places) - trade
    assert not {word: places[word] for word in sorted(unknown)}


def test_every_word_of_the_trade_is_still_used() -> None:
    used = {word for _, text in sentences() for word in words_of(text)}
    assert not sorted(set(TRADE.read_text(encoding="utf-8").split()) - used)


def test_no_sentence_of_the_report_names_the_inside() -> None:
    """Functions, classes and fields are nobody's words; columns and settings, which people type, stand in
    backquotes or are filled in."""
    names = set()
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.ClassDef):
                names.add(node.name)
    inside = {name for name in names if "_" in name.strip("_") or re.search(r"[a-z][A-Z]", name)}
    bad = []
    folders = "|".join(path.name for path in PACKAGE.iterdir() if path.is_dir() and path.name != "report")
    for where, text in sentences():
        if where.startswith(("partsolver/report", "partsolver/rules")):
            bad += [(where, word) for word in re.findall(rf"\b(?:{folders})/\w+", text)]
        if where.startswith("partsolver/report"):
            plain = re.sub(r"`[^`]*`|\{[^{}]*\}|<[^<>]*>", " ", text)
            bad += [(where, word) for word in re.findall(r"\w+", plain) if word in inside]
    assert not bad
