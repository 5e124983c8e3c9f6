"""What the reader's page is like: width, emphasis, drawings. Set once by whoever prints, read by the
reports."""

from __future__ import annotations

import datetime
import textwrap
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from decimal import Decimal

from partsolver.base.quantities import format_amount
from partsolver.base.records import record

# Columns of a pipe, a file, or a terminal that does not say (VT100 and everything after it: 80 columns).
USUAL_WIDTH = 80
NARROWEST, WIDEST = 40, 100


@record
class Page:
    """width: columns; emphasis: whether bold and colour may be used; drawings: columns and pictures made
    of characters, else sentences (for a screen reader); language: the locale (CLDR) in which numbers and
    dates are written, None for 1234.50 and 2026-11-20."""

    width: int = USUAL_WIDTH
    emphasis: bool = False
    drawings: bool = True
    language: str | None = None


_current = [Page()]


def use_page(page: Page) -> None:
    """From now on reports are made for this page."""
    _current[0] = page


def current_page() -> Page:
    """The page that reports are made for."""
    return _current[0]


@contextmanager
def plain_language() -> Iterator[None]:
    """While a document for programs is made: numbers and dates the same in every language."""
    before = current_page()
    use_page(replace(before, language=None))
    try:
        yield
    finally:
        use_page(before)


def amount_text(minor: int, digits: int) -> str:
    """An amount of money as the page's language writes it, without its currency."""
    plain = format_amount(minor, digits)
    if current_page().language is None:
        return plain
    from babel.numbers import format_decimal

    pattern = "#,##0" + ("." + "0" * digits if digits else "")
    return str(format_decimal(Decimal(plain), format=pattern, locale=current_page().language))


def date_text(day: datetime.date) -> str:
    """A date as the page's language writes it (CLDR's medium form); ISO 8601 without a language."""
    if current_page().language is None:
        return day.isoformat()
    from babel.dates import format_date

    return str(format_date(day, format="medium", locale=current_page().language))


def date_words(text: str) -> str:
    """A date of a file (ISO 8601) as the page's language writes it; other text as it is."""
    try:
        return date_text(datetime.date.fromisoformat(text))
    except ValueError:
        return text


def number_text(text: str) -> str:
    """A number written with a decimal point, as the page's language writes it."""
    if current_page().language is None:
        return text
    from babel.numbers import get_decimal_symbol

    return text.replace(".", get_decimal_symbol(current_page().language))


def decimals_text(value: float, places: int) -> str:
    """A number with so many decimals, as the page's language writes it."""
    return number_text(f"{value:.{places}f}")


def thousandths_text(value: int, places: int) -> str:
    """A whole number of thousandths (mA, mW) in units with 0 to 2 decimals, halves away from zero: one quantity
    reads alike wherever it stands (a float of 4.55 would be cut to 4.5)."""
    step = 10 ** (3 - places)
    units, rest = divmod((abs(value) + step // 2) // step, 10**places)
    sign = "-" if value < 0 and (units or rest) else ""
    return number_text(f"{sign}{units}.{rest:0{places}d}" if places else f"{sign}{units}")


def shortest_text(value: float) -> str:
    """A number with as few decimals as it has, as the page's language writes it."""
    return number_text(f"{value:g}")


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
    """Cells side by side, each wrapped to its width (a negative width: set to the right); no word is
    broken and nothing is cut: a longer word sticks out. Without drawings the same as one sentence: what it
    is, and its figures."""
    if not current_page().drawings:
        words = ", ".join(text for text, width in cells if text and width > 0)
        figures = ", ".join(text for text, width in cells if text and width < 0)
        said = f"{words}: {figures}" if words and figures else words or figures
        return [wrap(said, " " * indent, " " * (indent + 2))]
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
