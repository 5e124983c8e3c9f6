"""Bytes to text, lines and JSON values, whatever encoding and line ends a tool or a shell wrote."""

from __future__ import annotations

import codecs
import json
import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from partsolver.survey.readers.loose_json import is_broken_off as json_is_broken_off
from partsolver.survey.readers.loose_json import values as loose_values

_LINE = re.compile(r"\r*\n|\r")
# UTF-16 that went through a tool which took it for Latin-1 and wrote UTF-8: its byte order mark begins like
# this.
_TWICE = "ÿþ".encode(), "þÿ".encode()


@lru_cache(maxsize=8)
def text_of(data: bytes) -> str | None:
    """The text of a file, or None for binary data. UTF-8, UTF-16 with or without mark, else Windows-1252."""
    if data.startswith(_TWICE):
        data = data.decode("utf-8", "ignore").encode("latin-1", "ignore")
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return _plain(data.decode("utf-16", "replace"))
    if data.startswith(codecs.BOM_UTF8):
        return _plain(data.decode("utf-8-sig", "replace"))
    head = data[:4096]
    if head.count(0) * 3 > len(head):
        for encoding, zeros in (("utf-16-le", head[1::2]), ("utf-16-be", head[::2])):
            if zeros.count(0) * 10 > len(zeros) * 8:
                return _plain(data.decode(encoding, "replace"))
    try:
        return _plain(data.decode("utf-8"))
    except UnicodeDecodeError:
        return _plain(data.decode("cp1252", "replace"))


def _plain(text: str) -> str | None:
    """None when control characters show that it is no text."""
    odd = sum(1 for ch in text[:65536] if ch < " " and ch not in "\t\n\r\f\x1b")
    return None if "\0" in text or odd * 50 > len(text[:65536]) else text


def lines_of(data: bytes) -> list[str]:
    """Lines without their ends; none for binary data. LF, CRLF, CR CR LF and CR all end a line.

    A last line without an end is left out: it may be broken off in the middle of a number.
    """
    return _LINE.split(text_of(data) or "")[:-1]


@lru_cache(maxsize=8)
def json_of(data: bytes) -> tuple[Any, ...]:
    """All JSON values of a file, one after another. Damaged JSON gives what can be read; no JSON gives
    none."""
    text = text_of(data)
    if text is None or not text.lstrip().startswith(("{", "[")):
        return ()
    try:
        return (json.loads(text, strict=False),)
    except (ValueError, RecursionError):
        pass
    return tuple(_several(text)) or tuple(loose_values(text))


def is_broken_off(data: bytes) -> bool:
    """Whether JSON ends before everything that was opened is closed."""
    text = text_of(data)
    return text is not None and text.lstrip().startswith(("{", "[")) and json_is_broken_off(text)


def _several(text: str) -> Iterator[Any]:
    decoder = json.JSONDecoder(strict=False)
    values: list[Any] = []
    at = 0
    while at < len(text):
        blank = re.compile(r"[\s,]*").match(text, at)
        at = blank.end() if blank else at
        if at >= len(text):
            break
        try:
            value, at = decoder.raw_decode(text, at)
        except (ValueError, RecursionError):
            # text behind JSON is another tool's output; damage inside it is for the loose reader
            if not values or text[at] in "{[":
                return
            break
        values.append(value)
    yield from values


def number(text: object) -> float | None:
    """A number with decimal point or decimal comma, or None."""
    match = re.fullmatch(r"\s*([0-9]{1,15})(?:[.,]([0-9]{1,9}))?\s*", str(text))
    return float(f"{match[1]}.{match[2] or 0}") if match else None


def whole(text: object) -> int | None:
    """A whole number that is not negative, from an int or its digits; None else (True is no number)."""
    if isinstance(text, bool):
        return None
    if isinstance(text, int):
        return text if text >= 0 else None
    return int(text) if isinstance(text, str) and re.fullmatch(r"\s*[0-9]{1,20}\s*", text) else None
