"""Names and texts of others as they may stand on a terminal, in a message or in a line of a file."""

from __future__ import annotations

import unicodedata

# Control and format characters (marks of direction, zero width), separators of lines, halves of a pair: Unicode
# Standard 15.0, table 4-4 (general category).
_UNSEEN = ("Cc", "Cf", "Cs", "Zl", "Zp")


def shows_whole(text: str) -> bool:
    """Whether every character shows, in one line, and moves nothing."""
    return (text.isascii() and text.isprintable()) or not any(map(_is_unseen, text))


def controls_escaped(text: str, lines: bool = False) -> str:
    """What does not show as Python writes it (``\\x1b``); ``lines``: line ends stay."""
    if shows_whole(text):
        return text
    return "".join(
        repr(letter)[1:-1] if _is_unseen(letter) and not (lines and letter == "\n") else letter
        for letter in text
    )


def _is_unseen(letter: str) -> bool:
    return unicodedata.category(letter) in _UNSEEN


__all__ = ["shows_whole", "controls_escaped"]
