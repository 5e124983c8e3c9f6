"""Text sheets (PDF): label and value from the layout of the lines. A scanned sheet has no text and is said
so."""

from __future__ import annotations

import io
import logging
import re

from partsolver.catalog.lists.limits import MOST_BYTES, NotRead
from partsolver.catalog.lists.sheets import printable

MOST_PAGES = 40
MOST_TEXT = 400_000
_GAP = re.compile(r"\s{2,}|\t|\s*:\s+")


def pairs_of_pdf(data: bytes) -> tuple[list[tuple[str, str]], list[str]]:
    """Label and value pairs, and the lines before the first of them (which name the product). Raises
    NotRead."""
    from pypdf import PdfReader

    if len(data) > MOST_BYTES:
        raise NotRead("too-large", f"{MOST_BYTES // 1_000_000} MB")
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)  # what it repairs is no news for a person
    try:
        sheet = PdfReader(io.BytesIO(data))
        if sheet.is_encrypted:
            raise NotRead("unreadable", "protected by a password")
        if len(sheet.pages) > MOST_PAGES:
            raise NotRead("too-large", f"{MOST_PAGES} pages; save the pages with the specification only")
        text = ""
        for page in sheet.pages:
            text += page.extract_text(extraction_mode="layout") + "\n"
            if len(text) > MOST_TEXT:
                raise NotRead("too-large", f"{MOST_TEXT:,} characters of text")
    except NotRead:
        raise
    except Exception as error:  # a broken document may make the library raise anything
        raise NotRead("unreadable", f"{type(error).__name__}: {str(error)[:80]}") from None
    if not text.strip():
        raise NotRead("unreadable", "no text in it (a scan?)")
    return pairs_of_lines(text)


def pairs_of_lines(text: str) -> tuple[list[tuple[str, str]], list[str]]:
    """Lines of ``label   value``; a line that begins far to the right goes on with the value above."""
    pairs: list[tuple[str, str]] = []
    headings: list[str] = []
    for line in map(printable, text.splitlines()):
        if not line.strip():
            continue
        indent = len(line) - len(line.lstrip())
        parts = _GAP.split(line.strip(), maxsplit=1)
        if pairs and indent > 12:
            label, value = pairs[-1]
            pairs[-1] = (label, f"{value}, {' '.join(line.split())}")
        elif len(parts) == 2 and len(parts[0]) < 60:
            pairs.append((parts[0], " ".join(parts[1].split())))
        elif not pairs:
            headings.append(" ".join(line.split()))
    return pairs, headings
