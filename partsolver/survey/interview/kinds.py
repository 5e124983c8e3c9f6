"""How an answer is read: the units a person chooses become the integers of the survey file, once, here.

Spaces are rounded down and sizes up to whole millimetres, currents and watts down: an error never makes a
part fit.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal, InvalidOperation
from typing import Any

from partsolver.base.quantities import parse_amount
from partsolver.base.values import choice_word, whole_number
from partsolver.catalog.dictionary import columns, reader
from partsolver.standards.memory import EARLY_NAMES, RATES, SOLD_RATES
from partsolver.survey.interview.questions import Question
from partsolver.survey.load import RECORDS
from partsolver.survey.write import row_model

DONT_KNOW = "?"
_MM = {
    "mm": Decimal(1),
    "cm": Decimal(10),
    "in": Decimal("25.4"),
    "inch": Decimal("25.4"),
    "inches": Decimal("25.4"),
    '"': Decimal("25.4"),
    "m": Decimal(1000),
}
_MIB = {
    "mb": Decimal(1),
    "mib": Decimal(1),
    "gb": Decimal(1024),
    "gib": Decimal(1024),
    "g": Decimal(1024),
    "m": Decimal(1),
}
_GB = {"gb": Decimal(1), "tb": Decimal(1000), "mb": Decimal("0.001"), "g": Decimal(1), "t": Decimal(1000)}
_MHZ = {"mhz": Decimal(1), "ghz": Decimal(1000)}
_NUMBER = re.compile(
    r"([0-9]{1,7}(?:[.,][0-9]{1,4})?)\s*([a-z\"]*)(?:\s+([0-9]{1,2})\s*/\s*([0-9]{1,2})\s*([a-z\"]*))?",
    re.IGNORECASE,
)
# A smaller number without a unit may well be meant in cm; the shortest M.2 module is of 30 mm (2230).
_LEAST_BARE_MM = 30
_MOST = {"rows": 16, "count": 20000}
# Below this, the number of a module's name is no MB/s but the rate itself (common practice; labels show both).
_LEAST_MB_S = {"ddr4": 10_000, "ddr5": 20_000}


def read_answer(question: Question, text: str) -> Any:
    """Value of an answer as the survey file holds it. Raises ValueError when it cannot be read or cannot be
    meant."""
    kind, _, rest = question.kind.partition(" ")
    value = _READERS[kind](question, text.strip(), rest)
    if question.key and value is not None:
        _accepted(question, value)
    return value


def answer_text(question: Question, value: Any) -> str | None:
    """A value of the survey file as an answer that reads as it (with the unit that the answer needs); None
    where there is none."""
    unit = {"memory": " MB", "clock": " MHz", "disk": " GB", "length": " mm"}.get(
        question.kind.partition(" ")[0], ""
    )
    if isinstance(value, bool):
        text = "yes" if value else "no"
    elif isinstance(value, list):
        text = " ".join(str(item) for item in value) or "none"
    else:
        text = f"{value}{unit}"
    try:
        return text if read_answer(question, text) == value else None
    except ValueError:
        return None


def _accepted(question: Question, value: Any) -> None:
    """The survey's own reader must take the value (limits of the model, words of the dictionary)."""
    if question.table in RECORDS:
        column = columns()[RECORDS[question.table][1]][question.key]
        if isinstance(value, bool):
            text = "yes" if value else "no"
        elif isinstance(value, list):
            text = ("+" if column.type in ("plugs", "ints") else " ").join(str(v) for v in value) or "none"
        else:
            text = str(value)
        reader(column)(text)
        return
    model = row_model(question.table)
    given: dict[str, Any] = {
        name: "other" if name == "kind" else "x"
        for name, field in model.model_fields.items()
        if field.is_required()
    }
    given[question.key] = tuple(value) if isinstance(value, list) else value
    model(**given)  # pydantic's ValidationError is a ValueError


def _text(question: Question, text: str, rest: str) -> str:
    if not text or len(text) > 100 or not text.isprintable():
        raise ValueError
    return text


def _texts(question: Question, text: str, rest: str) -> list[str]:
    return (
        []
        if text.lower() == "none"
        else [_text(question, part.strip(), rest) for part in text.split(",") if part.strip()]
    )


def _yesno(question: Question, text: str, rest: str) -> bool:
    word = text.lower()
    if word in ("yes", "y", "true"):
        return True
    if word in ("no", "n", "false"):
        return False
    raise ValueError


def _absent(question: Question, text: str, rest: str) -> str | None:
    """No: there is none. Yes: the details stay an open question."""
    return None if _yesno(question, text, rest) else "none"


def _count(question: Question, text: str, rest: str) -> int:
    if text.lower() in ("none", "no"):
        return 0
    number = int(text) if re.fullmatch(r"[0-9]{1,5}", text) else whole_number(text)  # "dual", "four"
    if number > _MOST[question.kind]:
        raise ValueError
    return number


def _choice(question: Question, text: str, rest: str) -> Any:
    for choice in question.choices:
        if text.lower() == str(choice):
            return choice
    words = {str(choice): choice for choice in question.choices}
    return words[choice_word(text, tuple(words))]  # "Micro-ATX", "24-pin"


def _several(question: Question, text: str, rest: str) -> Any:
    words = [] if text.lower() == "none" else [word for word in re.split(r"[\s,]+", text) if word]
    chosen = [_choice(question, word, rest) for word in words]
    if not words and text.lower() != "none":
        raise ValueError
    return chosen or ("none" if question.table in RECORDS else [])


def _decimal(text: str) -> Decimal:
    try:
        return Decimal(text.replace(",", "."))
    except InvalidOperation:
        raise ValueError from None


def _measured(text: str, units: dict[str, Decimal], default: str) -> Decimal:
    """A number with a unit; fractions as in 9 5/8 in."""
    match = _NUMBER.fullmatch(text)
    if match is None:
        raise ValueError
    number = _decimal(match[1])
    unit = match[2].lower()
    if match[3]:
        if unit or match[4] == "0":
            raise ValueError
        number += Decimal(match[3]) / Decimal(match[4])
        unit = match[5].lower()
    if (unit or default) not in units:
        raise ValueError
    return number * units[unit or default]


def _whole(number: Decimal, rounding: str) -> int:
    return int(number.to_integral_value(rounding))


def _length(question: Question, text: str, rest: str) -> int:
    mm = _whole(_measured(text, _MM, "mm"), ROUND_FLOOR if rest == "space" else ROUND_CEILING)
    if not 1 <= mm <= 2000 or (mm < _LEAST_BARE_MM and not re.search(r"[a-z\"]", text, re.IGNORECASE)):
        raise ValueError
    return mm


def _memory(question: Question, text: str, rest: str) -> int:
    mib = _measured(text, _MIB, "gb")
    if mib != mib.to_integral_value() or not 64 <= mib <= 256 * 1024:
        raise ValueError
    return int(mib)


def _disk(question: Question, text: str, rest: str) -> int:
    gb = _whole(_measured(text, _GB, "gb"), ROUND_HALF_UP)
    if not 1 <= gb <= 100_000:
        raise ValueError
    return gb


def _clock(question: Question, text: str, rest: str) -> int:
    mhz = _whole(_measured(text, _MHZ, "ghz" if "." in text or "," in text else "mhz"), ROUND_HALF_UP)
    if not 100 <= mhz <= 10_000:
        raise ValueError
    return mhz


def _current(question: Question, text: str, rest: str) -> int:
    """Milliamperes; watts are divided by the rail's voltage (``rest``)."""
    units = {"a": Decimal(1000), "ma": Decimal(1), "w": Decimal(1000) / Decimal(rest)}
    ma = _whole(_measured(text, units, "a"), ROUND_FLOOR)
    if not 100 <= ma <= 200_000:
        raise ValueError
    return ma


def _currents(question: Question, text: str, rest: str) -> int | list[int]:
    rails = [_current(question, part.strip(), rest) for part in re.split(r"\+|\band\b", text)]
    return rails[0] if len(rails) == 1 else rails


def _power(question: Question, text: str, rest: str) -> int:
    watts = _measured(text, {"w": Decimal(1), "kw": Decimal(1000)}, "w")
    if not 1 <= watts <= 3000:
        raise ValueError
    return _whole(watts * 1000 if rest == "mw" else watts, ROUND_FLOOR)


def _year(question: Question, text: str, rest: str) -> int:
    if not re.fullmatch(r"(19[89]|20[0-9])[0-9]", text):
        raise ValueError
    return int(text)


def _rate(question: Question, text: str, rest: str) -> int:
    """1333, DDR3-1333 or PC3-10600: the module's name gives MB/s, 8 bytes a transfer (JEDEC module names), but
    PC4 below 10000 and PC5 below 20000 name the rate (PC4-2133P); PC133 and PC3200 are names of before DDR2,
    the first by its clock."""
    old = re.fullmatch(r"pc-?(66|100|133|1600|2100|2700|3200)[a-z]?", text, re.IGNORECASE)
    if old is not None:
        number = int(old[1])
        return next((rate for rate, name in EARLY_NAMES.items() if name == number), number)
    match = re.fullmatch(
        r"(?:(ddr-?(?=(?:200|266|333|400)$)|ddr[2-5]l?-?|ddr1?-|sdr-?)|(pc[2-5]?l?-?))?([0-9]{2,5})[a-z]{0,2}"
        r"\s*(?:mt/s|mhz)?",
        text,
        re.IGNORECASE,
    )
    if match is None:
        raise ValueError
    number = int(match[3])
    digit = re.search(r"[2-5]", match[1] or match[2] or "")
    named = f"ddr{digit[0]}" if digit else None
    by_size = number > 9000 if match[2] is None else number >= _LEAST_MB_S.get(named or "", 0)
    wanted = number / 8 if by_size else number
    listed = (named,) if named else RATES
    known = sorted({rate for name in listed for rate in (*RATES[name], *SOLD_RATES[name])})
    near = min(known, key=lambda rate: (abs(rate - wanted), rate))
    # names in MB/s are rounded; printed rates are to the next whole number
    if abs(near - wanted) > (wanted * 0.02 if by_size else 2):
        raise ValueError
    return near


def _letters(question: Question, text: str, rest: str) -> Any:
    if text.lower() == "none":
        return "none"
    letters = re.findall(r"[A-Z]", text.upper())
    if not letters or re.sub(r"[\s,]", "", text).upper() != "".join(letters):
        raise ValueError
    return letters


def _slots(question: Question, text: str, rest: str) -> Any:
    """x16 x1 pci: an x slot without a number of lanes has as many as it is long."""
    if text.lower() == "none":
        return "none"
    return [
        f"{word}:{word[1:]}" if re.fullmatch(r"x[0-9]+", word) else word
        for word in re.split(r"[\s,]+", text.lower().strip())
    ]


def _price(question: Question, text: str, rest: str) -> str:
    parse_amount(text, 2)
    return text


_READERS: dict[str, Callable[[Question, str, str], Any]] = {
    "text": _text,
    "word": _text,
    "texts": _texts,
    "yesno": _yesno,
    "absent": _absent,
    "count": _count,
    "rows": _count,
    "choice": _choice,
    "several": _several,
    "length": _length,
    "memory": _memory,
    "disk": _disk,
    "clock": _clock,
    "current": _current,
    "currents": _currents,
    "power": _power,
    "year": _year,
    "rate": _rate,
    "letters": _letters,
    "slots": _slots,
    "price": _price,
}
KINDS = tuple(_READERS)
