"""What a real browser shows of a page: for tests of the bench sheet, the owner's page and the desk.

Needs the extra `browser`, Debian's chromium and axe-core from the npm registry (`.ci/run` brings them);
without them such tests are left out, except where BROWSER_TESTS=must says that they are there.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[1]
CHROMIUM = shutil.which("chromium")
AXE = Path(os.environ.get("PARTSOLVER_AXE") or ROOT / ".axe" / "node_modules" / "axe-core" / "axe.min.js")
MUST = os.environ.get("BROWSER_TESTS") == "must"
# A phone, a tablet on the bench, a desktop.
WIDTHS = (390, 768, 1280)
# A word that stands in more than one line of the screen. What may be broken anywhere (codes of 40 letters,
# paths) carries break points of its own; hyphens and slashes end a word.
BROKEN_WORDS = """() => {
  const found = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode;
    if (node.parentElement.closest("script, style, svg, code, .code")) continue;
    for (const match of node.data.matchAll(/[\\p{L}\\p{N}]+/gu)) {
      const range = document.createRange();
      range.setStart(node, match.index);
      range.setEnd(node, match.index + match[0].length);
      const tops = new Set([...range.getClientRects()].filter(r => r.width > 0).map(r => Math.round(r.top)));
      if (tops.size > 1) found.push(match[0]);
    }
  }
  return found;
}"""
# WCAG 2.2 AA holds all of 2.0 and 2.1 (W3C Recommendation, 2023-10-05, section 5).
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@pytest.fixture
def browser() -> Iterator[Any]:
    if CHROMIUM is None and not MUST:
        pytest.skip("no chromium here")
    assert CHROMIUM is not None, "BROWSER_TESTS=must needs chromium"
    if not MUST:
        pytest.importorskip("playwright.sync_api")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture
def axe() -> str:
    """The script of axe-core."""
    if not AXE.is_file() and not MUST:
        pytest.skip("no axe-core here (npm install --prefix .axe axe-core)")
    return AXE.read_text(encoding="utf-8")


def fits(page: Any) -> bool:
    """Whether the page needs no sideways scroll."""
    return bool(page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"))


def broken_words(page: Any) -> list[str]:
    """Words that the page breaks in the middle."""
    return list(page.evaluate(BROKEN_WORDS))


def violations(page: Any, axe: str) -> list[tuple[str, str]]:
    """What axe-core finds against WCAG 2.2 A and AA: rule and first place."""
    page.evaluate(axe)
    result = page.evaluate("rules => axe.run({runOnly: rules})", RULES)
    return [(v["id"], v["nodes"][0]["html"][:150]) for v in result["violations"]]
