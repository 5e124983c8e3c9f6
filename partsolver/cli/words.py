"""Words that people use for a command, and the page's language from the settings."""

from __future__ import annotations

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


# An option by what it is for: what is written instead.
_MEANT_OPTIONS = {
    "json": "--format json",
    "text": "--format text",
    "output": "--out FILE",
    "max": "--budget AMOUNT",
    "price-limit": "--budget AMOUNT",
    "money": "--budget AMOUNT",
    "max-price": "--budget AMOUNT",
    "max-cost": "--budget AMOUNT",
    "cheap": "--goal cost",
    "cheapest": "--goal cost",
    "fast": "--goal speed",
    "fastest": "--goal speed",
    "usage": "--use NAME",
    "purpose": "--use NAME",
    "workload": "--use NAME",
    "ram": "--min-memory-gb N",
    "memory": "--min-memory-gb N",
    "min-memory": "--min-memory-gb N",
    "min-ram": "--min-memory-gb N",
    "by": "--need-by DATE",
    "deadline": "--need-by DATE",
    "until": "--need-by DATE",
    "date": "--need-by DATE",
    "exclude": "--without ID",
    "not": "--without ID",
    "include": "--with ID",
    "must": "--with ID",
    "swap": "--replace WHAT",
    "change": "--replace WHAT",
    "number": "--alternatives N",
    "count": "--alternatives N",
    "top": "--alternatives N",
    "all": "--full",
    "details": "--full",
    "long": "--full",
    "parts": "--catalog DIR",
    "database": "--catalog DIR",
    "example": "--demo",
    "silent": "--quiet",
    "debug": "--verbose",
    "lang": "--language CODE",
    "locale": "--language CODE",
    "timeout": "--limit SECONDS",
    "time": "--limit SECONDS",
}
_KEPT = "what the PC has stays unless --replace names it"


def meant_command(name: str) -> str | None:
    """A hint for a command that does not exist but whose meaning is known."""
    meant = _MEANT.get(name.lower())
    return None if meant is None else f"`partsolver {meant}` does that."


def meant_option(name: str) -> str | None:
    """A hint for an option that does not exist but whose meaning is known."""
    word = name.lstrip("-").lower()
    if word.startswith("keep"):
        return f"Nothing needs to be said: {_KEPT}."
    meant = _MEANT_OPTIONS.get(word)
    return None if meant is None else f"Did you mean `{meant}`?"


def page_setting() -> None:
    """Let the page write numbers and dates as the settings say."""
    from partsolver.cli.settings import setting
    from partsolver.report.page import current_page, use_page

    language = setting("language").value
    if language:
        use_page(replace(current_page(), language=language))
