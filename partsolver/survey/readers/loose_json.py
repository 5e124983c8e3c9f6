"""A forgiving JSON reader for one known fault: hardware listers that drop the key ``children`` and misplace
commas.

Rules (reference/survey-formats.md, section 2.2): commas are blanks; an object where a key is expected is a
child; ``]`` or the end of the text closes what is open; several values may follow one another; control
characters may stand in strings. It invents nothing: what cannot be read ends the value that holds it.
"""

from __future__ import annotations

import json
import re
from typing import Any

_TOKEN = re.compile(r'[\s,]*(?:([{}\[\]:])|("(?:[^"\\]|\\.)*")|([^\s,{}\[\]:"]+))', re.DOTALL)
_DEEPEST = 200


class _Reader:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.broken_off = False

    def _match(self) -> re.Match[str] | None:
        match = _TOKEN.match(self.text, self.at)
        # a word that touches the end of the text may be the half of a number
        return None if match is None or (match[3] and match.end() == len(self.text)) else match

    def peek(self) -> str | None:
        """Next token without taking it; None at the end or at an unfinished string or word."""
        match = self._match()
        return None if match is None else match[1] or match[2] or match[3]

    def take(self) -> str | None:
        match = self._match()
        if match is None:
            self.broken_off = True
            return None
        self.at = match.end()
        return match[1] or match[2] or match[3]

    def value(self, depth: int) -> Any:
        token = self.take()
        if token == "{" and depth < _DEEPEST:
            return self.object(depth)
        if token == "[" and depth < _DEEPEST:
            return self.list(depth)
        return None if token is None or token in "{}[]:" else _scalar(token)

    def object(self, depth: int) -> dict[str, Any]:
        result: dict[str, Any] = {}
        while (token := self.peek()) is not None and token != "]":
            if token == "{":
                children = result.setdefault("children", [])
                child = self.value(depth + 1)
                if isinstance(children, list):
                    children.append(child)
                continue
            self.take()
            if token == "}":
                return result
            if token.startswith('"') and self.peek() == ":":
                self.take()
                if self.peek() in (None, "}", "]"):
                    break
                result[str(_scalar(token))] = self.value(depth + 1)
        self.broken_off = self.broken_off or self.peek() is None
        return result

    def list(self, depth: int) -> list[Any]:
        result: list[Any] = []
        while (token := self.peek()) is not None:
            if token == "]":
                self.take()
                break
            if token in "}:":
                self.take()
                continue
            result.append(self.value(depth + 1))
        else:
            self.broken_off = True
        return result


def _scalar(token: str) -> Any:
    try:
        return json.loads(token, strict=False)
    except ValueError:
        return token.strip('"') if token.startswith('"') else None


def is_broken_off(text: str) -> bool:
    """Whether the text ends inside an object or a list."""
    reader = _Reader(text)
    if reader.peek() in ("{", "["):
        reader.value(0)
    return reader.broken_off


def values(text: str) -> list[Any]:
    """Objects and lists of a damaged JSON text, in order."""
    reader = _Reader(text)
    found = []
    while reader.peek() is not None:
        if reader.peek() in ("{", "["):
            found.append(reader.value(0))
        else:
            reader.take()
    return found
