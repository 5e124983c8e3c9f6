"""What ``partsolver/report/`` says, in two files that are read by people.

``documents/*.txt``: documents whole (`documents.py`). ``golden_pages.tsv``: every text of a template. ``golden_tables.tsv``: every text of a table by its address. ``golden_said.tsv``: situations (an address of a function and what
it is given, as Python writes it) with the text that comes of them. A new situation is a line of its own with the first
two columns; ``python -m report.golden`` from the folder ``tests`` writes all files again, and what changed is read in
the difference, line by line. What takes records of the program instead of plain values stands in `test_sentences.py`.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from report.documents import DOCUMENTS, FOLDER
from report.texts import pages, plain, sayings, tables

HERE = Path(__file__).parent
PAGES = HERE / "golden_pages.tsv"
TABLES, SAID = HERE / "golden_tables.tsv", HERE / "golden_said.tsv"


def situations() -> Iterator[tuple[str, str]]:
    """(address, what it is given) of every line of `golden_said.tsv`."""
    for line in SAID.read_text(encoding="utf-8").splitlines()[1:]:
        address, given = line.split("\t")[:2]
        yield address, given


def said(address: str, given: str) -> str:
    """The text that a function makes of plain values (a tuple of positional arguments)."""
    text = sayings()[address](*ast.literal_eval(given))
    return "" if text is None else plain(text)


def written_tables() -> str:
    """The text of `golden_tables.tsv`."""
    return "address\ttext\n" + "".join(f"{address}\t{text}\n" for address, text in sorted(tables().items()))


def written_pages() -> str:
    """The text of `golden_pages.tsv`: what stands in the templates of pages, in their order."""
    return "page\ttext\n" + "".join(f"{page}\t{text}\n" for page, text in pages())


def written_situations() -> str:
    """The text of `golden_said.tsv`, sorted by address."""
    rows = sorted(set(situations()))
    return "address\tgiven\ttext\n" + "".join(
        f"{address}\t{given}\t{said(address, given)}\n" for address, given in rows
    )


if __name__ == "__main__":
    PAGES.write_text(written_pages(), encoding="utf-8")
    TABLES.write_text(written_tables(), encoding="utf-8")
    SAID.write_text(written_situations(), encoding="utf-8")
    FOLDER.mkdir(exist_ok=True)
    for left_over in {path.stem for path in FOLDER.glob("*.txt")} - set(DOCUMENTS):
        (FOLDER / f"{left_over}.txt").unlink()
    for name, document in DOCUMENTS.items():
        (FOLDER / f"{name}.txt").write_text(document(), encoding="utf-8")
