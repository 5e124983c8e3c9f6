"""What a person wrote in the survey's own tables, as their fields hold it: "64 GB" in ``capacity_gb``,
"DDR4", "yes", "VGA". The tables that share the catalogue's columns are read by those (catalog/dictionary.py);
words for links are the same closed list here.
"""

from __future__ import annotations

import datetime
import types
from typing import Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from partsolver.base.values import choice_word, date_of, whole_number, words_of_list, yes_or_no
from partsolver.catalog.dictionary import columns, listed_words, reader
from partsolver.standards.operating_systems import OPERATING_SYSTEMS
from partsolver.wishes.uses import USES

# Unit of a field by the end of its name.
_UNITS = {
    "_mib": "MiB", "_mts": "MT/s", "_mm": "mm", "_ma": "mA", "_mw": "mW", "_mbs": "MB/s", "_gb": "GB",
    "_gbps10": "0.1 Gb/s", "_px": "px", "_hz": "Hz",
}  # fmt: skip
# Fields that hold video links: the words of a board's outputs.
_LINKS = ("inputs", "outputs")

# Names without a closed list in the record: families of systems, and uses beside one's own.
_FREE_WORDS = ("family", "os", "use")


def known_word(key: str, text: str) -> str:
    """A family of systems or a use in any case as the program knows it; another word as it stands."""
    folded = text.strip().casefold()
    return folded if folded in (USES if key == "use" else (*OPERATING_SYSTEMS, "none", "unknown")) else text


def written_value(model: type[BaseModel], key: str, value: Any) -> Any:
    """A value of a survey table or brief as its field holds it; what is no text stays as it is. Raises
    ValueError with what was expected."""
    if key in _LINKS:
        return _links(value)
    if key == "power_plugs" and isinstance(value, str):
        return reader(columns()["psus"]["card_plugs"])(value)
    if key in _FREE_WORDS and isinstance(value, str):
        return known_word(key, value)
    kind = _kind(model.model_fields[key].annotation)
    if isinstance(value, list | tuple):
        inner = get_args(kind)[0] if get_origin(kind) is tuple else None
        return tuple(_of_kind(inner, key, item) if isinstance(item, str) else item for item in value)
    return _of_kind(kind, key, value) if isinstance(value, str) else value


def _links(value: Any) -> Any:
    known = listed_words("boards", "outputs")
    texts = [value] if isinstance(value, str) else value
    if not isinstance(texts, list | tuple) or not all(isinstance(text, str) for text in texts):
        return value
    try:
        return tuple(dict.fromkeys(link for text in texts for link in words_of_list(text, known)))
    except ValueError as error:
        raise ValueError(f"words from {', '.join(known)}") from error


def _kind(annotation: Any) -> Any:
    """The type of a field without "or None"."""
    if get_origin(annotation) in (Union, types.UnionType):
        return next((kind for kind in get_args(annotation) if kind is not type(None)), None)
    return annotation


def _of_kind(kind: Any, key: str, text: str) -> Any:
    if get_origin(kind) is Literal:
        options = get_args(kind)
        if isinstance(options[0], int):
            return whole_number(text, _unit(key))
        try:
            return choice_word(text, options)
        except ValueError:
            return text  # the record says which words there are
    if kind is bool:
        return yes_or_no(text)
    if kind is int:
        return whole_number(text, "GB" if key == "min_memory_gb" else _unit(key))
    if kind is datetime.date:
        return date_of(text)
    return text


def _unit(key: str) -> str:
    return next((unit for end, unit in _UNITS.items() if key.endswith(end)), "")


_EXPECTED = {int: "a whole number", bool: "yes or no", datetime.date: "a date as YYYY-MM-DD"}


def expected_value(model: type[BaseModel], key: str) -> str:
    """What a field expects, in words."""
    kind = _kind(model.model_fields[key].annotation)
    text = _EXPECTED.get(kind, "a whole number" if get_origin(kind) is Literal else "text")
    return f"{text} in {_unit(key)}" if _unit(key) else text
