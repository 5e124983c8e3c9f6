"""Words that people use for a command, and the page's language from the settings."""

from __future__ import annotations

import re
from dataclasses import replace

# A command by what it is for, where its name is another word.
_MEANT = {
    "suggest": "recommend",
    "propose": "recommend",
    "upgrade": "recommend",
    "solve": "recommend",
    "plan": "recommend",
    "fits": "check",
    "fit": "check",
    "test": "check",
    "explain": "why",
    "reason": "why",
    "again": "replan",
    "update": "replan",
    "soldout": "replan",
    "pareto": "tradeoff",
    "curve": "tradeoff",
    "print": "sheet",
    "report": "sheet",
    "export": "sheet",
    "benchmark": "measure",
    "bench": "measure",
    "diff": "compare",
    "manual": "guide",
    "docs": "guide",
    "help": "guide",
    "config": "settings",
    "configure": "settings",
    "import": "survey import",
    "parts": "catalog",
    "database": "catalog",
}


def meant_command(message: str) -> str:
    """A hint for a command that does not exist but whose meaning is known; empty otherwise."""
    match = re.search(r"No such command '([^']*)'", message)
    meant = None if match is None else _MEANT.get(match[1].lower())
    return "" if meant is None else f"`partsolver {meant}` does that. "


def page_setting() -> None:
    """Let the page write numbers and dates as the settings say."""
    from partsolver.cli.settings import setting
    from partsolver.report.page import current_page, use_page

    language = setting("language").value
    if language:
        use_page(replace(current_page(), language=language))
