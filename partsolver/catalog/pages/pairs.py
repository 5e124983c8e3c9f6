"""Label and value pairs of a saved page: two-column tables, definition lists, and other layouts (lists, blocks of
two, lines with a colon), of these only where the label is a known one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import islice
from typing import Any

from partsolver.catalog.lists.sheets import printable
from partsolver.catalog.pages.html import Page, text_of
from partsolver.catalog.pages.labels import is_label

MOST_PAIRS = 3_000
_LONGEST_LABEL = 80
_LONGEST_VALUE = 600
# A block of more elements is no label with its value.
_MOST_INSIDE = 60
_BLOCKS = ("li", "p", "div", "section", "span", "article")
_LABELS = ("b", "strong", "span", "em", "div", "p", "dt", "label", "h3", "h4", "h5", "h6", "i", "small")

Pair = tuple[str, str]


def pairs_of_page(page: Page) -> list[Pair]:
    """Label and value of every two-column row and definition of a page, then of other layouts."""
    found = [*_rows(page), *_definitions(page)]
    found += _blocks(page)
    pairs = [(label, value) for label, value in found if label and value and len(label) < _LONGEST_LABEL]
    return list(dict.fromkeys(pairs))[:MOST_PAIRS]


# Where a page speaks of other articles, or of none: parts of it by their tag, and by what its maker calls them.
_OTHER_TAGS = ("nav", "footer", "aside", "a", "template", "noscript")
_OTHER_NAMES = re.compile(
    r"relat|simil|recommend|also|bought|cross-?sell|up-?sell|compar|carousel|accessor|sponsor|viewed|zubeh"
    r"|aehnlich|empfehl|review|comment",
    re.IGNORECASE,
)
# So far around an element its surroundings are looked at: what holds a whole page says nothing of a part.
_MOST_AROUND = 6


def _is_elsewhere(node: Any) -> bool:
    """Whether an element stands in a part of the page that is about other articles or none."""
    for around in (node, *islice(node.iterancestors(), _MOST_AROUND)):
        if around.tag in ("body", "html", "main"):
            break
        if around.tag in _OTHER_TAGS or _OTHER_NAMES.search(f"{around.get('class')} {around.get('id')}"):
            return True
    return False


def _rows(page: Page) -> Iterator[Pair]:
    for table in page.root.iter("table"):
        if _is_elsewhere(table):
            continue
        group = ""
        for row in table.iter("tr"):
            cells = [node for node in row if node.tag in ("td", "th")]
            if len(cells) == 1:
                group = text_of(cells[0])
            elif len(cells) == 2:
                yield _in_group(group, text_of(cells[0])), _lines_of(cells[1])
            elif len(cells) == 3 and is_label(text_of(cells[1])):
                # A group stands before label and value; of a comparison the second cell would be a value.
                yield _in_group(text_of(cells[0]), text_of(cells[1])), _lines_of(cells[2])


def _in_group(group: str, label: str) -> str:
    """A label with the heading of its group, where both together are one ("Memory", "Slots")."""
    whole = f"{group} {label}"
    return whole if group and len(whole) < _LONGEST_LABEL and is_label(whole) else label


def _definitions(page: Page) -> Iterator[Pair]:
    for listed in page.root.iter("dl"):
        if _is_elsewhere(listed):
            continue
        label = None
        for node in listed.iter("dt", "dd"):
            if node.tag == "dt":
                label = text_of(node)
            elif label:
                yield label, _lines_of(node)


def _blocks(page: Page) -> Iterator[Pair]:
    """Blocks that begin with a known label: in an element of its own, or before a colon."""
    for block in page.root.iter(*_BLOCKS):
        first = block[0] if len(block) else None
        lead = (block.text or "").strip()
        if first is not None and not lead and first.tag in _LABELS and len(first) <= 2:
            label = text_of(first)
            short = label and len(label) < _LONGEST_LABEL and _is_short(block)
            if short and is_label(label) and not _is_elsewhere(block):
                parts = [first.tail or "", *(text for node in block[1:] for text in _texts(node))]
                yield label, _joined(parts)
                continue
        for text in [lead, *(node.tail or "" for node in block)]:
            label, colon, value = text.partition(":")
            said = colon and 1 < len(label.strip()) < _LONGEST_LABEL and value.strip()
            if said and is_label(label) and not _is_elsewhere(block):
                yield " ".join(label.split()), _joined([value])


def _is_short(block: Any) -> bool:
    """Whether a block holds few elements."""
    return all(count < _MOST_INSIDE for count, _ in enumerate(block.iter()))


def _texts(node: Any) -> Iterator[str]:
    yield from (str(text) for text in node.itertext())
    yield node.tail or ""


def _lines_of(node: Any) -> str:
    """The text of a cell; lines and list entries are joined with commas."""
    return _joined(str(text) for text in node.itertext())


def _joined(texts: Any) -> str:
    parts = [" ".join(printable(text).split()).strip(" :") for text in texts]
    return ", ".join(part for part in parts if part)[:_LONGEST_VALUE]
