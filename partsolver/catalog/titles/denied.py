"""What a text says is not there: words of a fact behind "no" or "without", or before "not included" or
"optional", state no fact. Nothing is made of them, not even the contrary."""

from __future__ import annotations

import re
from functools import cache

from partsolver.catalog.titles.words import with_pieces

# So far before a fact its "no" is looked for: "not compatible with" and one fact of a list.
_WINDOW = 60


@cache
def _patterns() -> tuple[re.Pattern[str], re.Pattern[str], re.Pattern[str]]:
    """Any denying word; what stands before a denied fact; what stands behind one. ``\\x1f`` is a fact that was
    taken before: "not for AM4/AM5" denies both. (For Python it is a blank, so blanks are written out.)"""
    before = (
        r"(?<![\w-])(?:<not>|<maybe>)(?: +<fitting>)?(?: +<for_what>)?[ -]+"
        r"(?:\x1f+ ?(?:[/&+]|or|oder|ou|o|und|and|et|y|e) ?)*$"
    )
    end = r" *(?:[,;|)]|$)"
    behind = (
        rf"(?: *<of_a_fact>)* *(?:[:=(]? *<no>{end}"
        rf"|[:=(-]? *(?:(?:is|are|ist|sind) +)?(?:<not_there>(?!\w)|<maybe>{end}))"
    )
    any_word = r"(?<!\w)(?:<not>|<maybe>|<no>|unsupported|unavailable|separately)(?!\w)"
    first, second, third = (
        re.compile(with_pieces(text), re.IGNORECASE) for text in (any_word, before, behind)
    )
    return first, second, third


def may_deny(text: str) -> bool:
    """Whether a text holds a denying word at all."""
    return _patterns()[0].search(text) is not None


def denied(text: str, start: int, end: int) -> bool:
    """Whether the fact at a place of a text is denied there."""
    _, before, behind = _patterns()
    return (
        before.search(text, max(0, start - _WINDOW), start) is not None or behind.match(text, end) is not None
    )
