"""Writing a JSON document: the form that all of them share."""

from __future__ import annotations

import json
from typing import Any


def dump(document: Any) -> str:
    """One JSON document, keys in the order given, with a final newline."""
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"
