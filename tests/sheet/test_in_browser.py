"""The sheet and the owner's page as Chromium shows and prints them: no sideways scroll, no broken word, no
page that ends half empty, nothing against WCAG 2.2 AA."""

from __future__ import annotations

import io
from typing import Any

import pytest
from pypdf import PdfReader

from partsolver.report.owner import owner_html
from partsolver.report.sheet_html import sheet_html
from tests.browser import WIDTHS, axe, broken_words, browser, fits, violations

__all__ = ["axe", "browser"]

# A step of six lines with its note and a reading moves to the next page as a whole: so much may stay white.
MOST_WHITE_MM = 45
# @page in sheet.css.
FOOT_MM = 14
POINTS_PER_MM = 72 / 25.4


def lowest_text_mm(page: Any) -> float:
    """How far above the foot of the printed page its last line stands."""
    heights: list[float] = []

    def visit(text: str, cm: Any, tm: Any, font: Any, size: Any) -> None:
        if text.strip():
            heights.append(tm[5] * cm[3] + cm[5])

    page.extract_text(visitor_text=visit)
    return min(heights) / POINTS_PER_MM


@pytest.mark.parametrize("name", ["plain", "rich", "whole", "odd"])
def test_no_printed_page_ends_in_white(browser: Any, situation: Any, name: str) -> None:
    page = browser.new_page()
    page.set_content(sheet_html(situation(name)))
    pages = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True, format="A4"))).pages
    white = [round(lowest_text_mm(printed) - FOOT_MM) for printed in pages[:-1]]
    assert len(pages) > 4 and max(white) <= MOST_WHITE_MM, white


def test_the_owners_page_prints_on_one_page(browser: Any, situation: Any) -> None:
    page = browser.new_page()
    page.set_content(owner_html(situation("rich")))
    assert len(PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True, format="A4"))).pages) == 1


@pytest.mark.parametrize("width", WIDTHS)
def test_the_screen_breaks_no_word_and_never_scrolls_sideways(
    browser: Any, axe: str, situation: Any, width: int
) -> None:
    page = browser.new_page(viewport={"width": width, "height": 900})
    for make in (sheet_html, owner_html):
        for name in ("rich", "whole", "odd"):
            page.set_content(make(situation(name)))
            assert fits(page), (make.__name__, name)
            assert broken_words(page) == [], (make.__name__, name)
        assert violations(page, axe) == [], make.__name__
