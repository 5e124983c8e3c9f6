"""The manual's pages (``partsolver/guide/*.md``) as text for a terminal."""

from __future__ import annotations

import re
from importlib import resources

from partsolver.base.errors import nearest, refuse

# The order in which somebody new needs them; a page that is not named here comes after these.
_ORDER = (
    "answer",
    "survey",
    "catalog",
    "price-list",
    "no",
    "sold-out",
    "bench",
    "measure",
    "options",
    "audit",
    "script",
    "words",
    "changes",
)
# Other words for the same subject.
_SAME = {
    "recommend": "answer",
    "check": "answer",
    "tradeoff": "answer",
    "interview": "survey",
    "catalogue": "catalog",
    "why": "no",
    "conflict": "no",
    "replan": "sold-out",
    "sheet": "bench",
    "compare": "measure",
    "python": "script",
    "schema": "json",
    "glossary": "words",
    "settings": "options",
    "completion": "options",
    "language": "options",
    "version": "changes",
}


def topics() -> tuple[str, ...]:
    """Names of all pages, in the order of the list."""
    found = sorted(
        path.name.removesuffix(".md")
        for path in resources.files("partsolver").joinpath("guide").iterdir()
        if path.name.endswith(".md")
    )
    return tuple(
        sorted(found, key=lambda name: (_ORDER.index(name) if name in _ORDER else len(_ORDER), name))
    )


def page(topic: str) -> str:
    """Markdown of one page, by its name or another word for it. Raises InputRefused for an unknown topic."""
    known = topics()
    name = topic.strip().lower()
    name = name if name in known else _SAME.get(name, name)
    if name not in known:
        near = nearest(name, [*known, *_SAME])
        raise refuse("guide", "no such page", topic, ", ".join(known), near)
    return resources.files("partsolver").joinpath("guide", f"{name}.md").read_text(encoding="utf-8")


def title_of(markdown: str) -> str:
    """The heading of a page."""
    return markdown.partition("\n")[0].removeprefix("# ")


def topics_text() -> str:
    """The list of pages."""
    listed = [f"  {name:<10} {title_of(page(name))}" for name in topics()]
    return "\n".join(["Pages of the guide, printed by `partsolver guide TOPIC`:", "", *listed]) + "\n"


def page_text(markdown: str) -> str:
    """A page as it is read on a terminal: headings underlined, examples without their fences."""
    lines: list[str] = []
    fenced = False
    for line in markdown.splitlines():
        heading = None if fenced else re.fullmatch(r"(#+) (.*)", line)
        if line.startswith("```"):
            fenced = not fenced
        elif heading is not None:
            lines += [heading[2], ("=" if heading[1] == "#" else "-") * len(heading[2])]
        else:
            lines.append(line)
    return "\n".join(lines) + "\n"
