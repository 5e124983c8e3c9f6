"""The words of a short text, as labels and headers are compared: without case, accents and marks."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

# Letters that do not come apart into a plain one and a mark.
_LETTERS = str.maketrans({"ł": "l", "ß": "ss", "ø": "o", "đ": "d", "æ": "ae", "œ": "oe", "ı": "i"})


@lru_cache(maxsize=8192)
def plain_words(text: str) -> tuple[str, ...]:
    """The words of a text: "Référence (fabricant)" -> reference, fabricant."""
    plain = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    return tuple(re.findall(r"[^\W_]+", plain))
