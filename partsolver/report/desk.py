"""The pages of the desk, made of templates; autoescaped. One style sheet for them and the bench sheet."""

from __future__ import annotations

from functools import cache
from typing import Any

from partsolver.report.page_templates import page_environment
from partsolver.report.words import desk as words


def page(template: str, **values: Any) -> str:
    """A page of the desk. Values from people and files are escaped, drawings of ours are not."""
    return page_environment().get_template(f"desk/{template}").render(words=words, **values) + "\n"


@cache
def static_file(name: str) -> str:
    """The style sheet or the script of the desk."""
    environment = page_environment()
    names = {"desk.css": ("sheet.css", "desk/desk.css"), "desk.js": ("desk/desk.js",)}[name]
    return "".join(environment.loader.get_source(environment, part)[0] for part in names)  # type: ignore[union-attr]


def refusal_page(reason: str) -> str:
    """The page for who is not let in, and for what is not there."""
    title, text = words.REFUSALS.get(reason, words.REFUSALS["404"])
    return page("plain.html", title=title, text=text)


def code_page(wrong: bool) -> str:
    """The page that asks a phone for its code."""
    return page("code.html", wrong=wrong)
