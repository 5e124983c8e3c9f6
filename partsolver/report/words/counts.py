"""Numbers with their noun: one statement of when it is one."""

from __future__ import annotations


def count_of(number: int | str | None, noun: str, nouns: str | None = None) -> str:
    """``1 drive``, ``2 drives``; ``nouns`` where the plural is more than an ``s``."""
    return f"{number} {noun if number == 1 else nouns or noun + 's'}"


__all__ = ["count_of"]
