"""What the reader's page is like: width, emphasis, drawings. Set once by whoever prints, read by the reports."""

from __future__ import annotations

import textwrap

from partsolver.base.records import record

# Columns of a pipe, a file, or a terminal that does not say (VT100 and everything after it: 80 columns).
USUAL_WIDTH = 80
NARROWEST, WIDEST = 40, 100


@record
class Page:
    """width: columns; emphasis: whether bold and colour may be used; drawings: columns and pictures made of
    characters, else sentences (for a screen reader)."""

    width: int = USUAL_WIDTH
    emphasis: bool = False
    drawings: bool = True


_current = [Page()]


def use_page(page: Page) -> None:
    """From now on reports are made for this page."""
    _current[0] = page


def current_page() -> Page:
    """The page that reports are made for."""
    return _current[0]


def wrap(text: str, indent: str = "  ", hanging: str | None = None) -> str:
    """Text wrapped to the page's width; no word is broken."""
    return textwrap.fill(
        text,
        current_page().width,
        initial_indent=indent,
        subsequent_indent=indent if hanging is None else hanging,
        break_long_words=False,
        break_on_hyphens=False,
    )


def bold(text: str) -> str:
    """Text in bold where the page has it (ECMA-48 SGR 1)."""
    return f"\x1b[1m{text}\x1b[0m" if current_page().emphasis else text


def green(text: str) -> str:
    """Text in green where the page has colour (ECMA-48 SGR 32)."""
    return f"\x1b[32m{text}\x1b[0m" if current_page().emphasis else text


def row(cells: tuple[tuple[str, int], ...], indent: int = 0, gap: int = 2) -> list[str]:
    """Cells side by side, each wrapped to its width (a negative width: set to the right); no word is broken and
    nothing is cut: a longer word sticks out."""
    columns = [
        textwrap.wrap(text, abs(width), break_long_words=False, break_on_hyphens=False) or [""]
        for text, width in cells
    ]
    lines = []
    for i in range(max(len(column) for column in columns)):
        parts = [column[i] if i < len(column) else "" for column in columns]
        shown = [
            f"{part:>{-width}}" if width < 0 else f"{part:<{width}}"
            for part, (_, width) in zip(parts, cells, strict=True)
        ]
        lines.append((" " * indent + (" " * gap).join(shown)).rstrip())
    return lines
