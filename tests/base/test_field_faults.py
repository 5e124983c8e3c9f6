"""What validation refuses is said in words for a person: which value, what was expected; never in the
library's own sentences about types and patterns."""

from __future__ import annotations

import datetime
import re
from typing import Annotated, Any, Literal

import pytest
from pydantic import BaseModel, BeforeValidator, Field, TypeAdapter, ValidationError

from partsolver.base.field_faults import field_fault, place
from partsolver.measure.records import Measurement
from partsolver.survey.model import Card, Device, Display, Drive, MemoryModule, OperatingSystem, Pc
from partsolver.wishes.brief import Brief

# How pydantic begins its sentences ("Validation errors" of its documentation).
LIBRARY = re.compile(
    r"Input should|Value error|Field required|Assertion failed|Extra inputs|valid (string|integer|number|date"
    r"|list|tuple|dictionary|boolean)|should (be|have|match)|unable to (parse|interpret)|instance of|\{\d"
)


class Inner(BaseModel):
    number: int


def _refuses(value: Any) -> Any:
    raise ValueError("a reading stands twice")


ONE: list[tuple[Any, Any, str]] = [
    (int, "x", "not a whole number (found 'x'); expected a whole number such as 8"),
    (int, 2.5, "not a whole number (found '2.5'); expected a whole number such as 8"),
    (int, None, "not a whole number; expected a whole number such as 8"),
    (float, "x", "not a number (found 'x'); expected a number such as 1.5"),
    (bool, "perhaps", "neither yes nor no (found 'perhaps'); expected true or false"),
    (str, True, "not a text (found 'true'); expected a text in quotes"),
    (datetime.date, "soon", "not a date (found 'soon'); expected a date such as 2026-12-04"),
    (tuple[int, ...], 4, "not a list (found '4'); expected a list such as [ ... ]"),
    (list[int], 4, "not a list (found '4'); expected a list such as [ ... ]"),
    (dict[str, int], 4, "not a table (found '4'); expected a table of names and values"),
    (Inner, 4, "not a table (found '4'); expected a table of names and values"),
    (Inner, {}, "number: is missing"),
    (Literal["a", "b", "c"], "d", "not one of the words known here (found 'd'); expected a, b or c"),
    (
        Literal["speed", "cost"],
        "sped",
        "not one of the words known here (found 'sped'); expected speed or cost. Did you mean 'speed'?",
    ),
    (Annotated[int, Field(ge=1, le=9)], 0, "too small (found '0'); expected 1 or more"),
    (Annotated[int, Field(ge=1, le=9)], 10, "too large (found '10'); expected 9 or less"),
    (Annotated[int, Field(gt=1, lt=9)], 1, "too small (found '1'); expected more than 1"),
    (Annotated[int, Field(gt=1, lt=9)], 9, "too large (found '9'); expected less than 9"),
    (
        Annotated[datetime.date, Field(ge=datetime.date(2000, 1, 1))],
        datetime.date(1999, 12, 31),
        "too early (found '1999-12-31'); expected 2000-01-01 or later",
    ),
    (Annotated[str, Field(max_length=3)], "abcd", "too long (found 'abcd'); expected 3 characters or less"),
    (Annotated[str, Field(min_length=1)], "", "too short (found ''); expected 1 characters or more"),
    (Annotated[list[int], Field(min_length=2)], [1], "too few (found '[1]'); expected 2 or more"),
    (
        Annotated[str, Field(pattern=r"^\d{1,6}(\.\d{1,6})?$")],
        "-1",
        "not a number (found '-1'); expected a number such as 1.5, without a sign",
    ),
    (Annotated[str, BeforeValidator(_refuses)], "x", "a reading stands twice (found 'x')"),
]


def refused(kind: Any, value: Any) -> str:
    with pytest.raises(ValidationError) as error:
        TypeAdapter(kind, config=None if kind is Inner else {"strict": kind is str}).validate_python(value)
    item = error.value.errors()[0]
    return str(field_fault(item).placed(place(item))).removeprefix(": ")


@pytest.mark.parametrize(("kind", "value", "said"), ONE, ids=lambda value: str(value)[:30])
def test_each_kind_of_error_in_words(kind: Any, value: Any, said: str) -> None:
    assert refused(kind, value) == said


ODD: tuple[Any, ...] = (
    "zz", "", -1, 10**30, 2.5, True, None, [], {}, ["zz", 1], {"a": "b"}, datetime.date(1, 1, 1), b"x", float("nan"),
)  # fmt: skip


@pytest.mark.parametrize(
    "model",
    [Brief, Pc, MemoryModule, Drive, Card, Display, Device, OperatingSystem, Measurement],
    ids=lambda m: m.__name__,
)
def test_no_field_of_any_record_answers_in_the_words_of_the_library(model: type[BaseModel]) -> None:
    seen = 0
    for name, field in model.model_fields.items():
        for value in ODD:
            try:
                model.model_validate({field.alias or name: value})
            except ValidationError as error:
                for item in error.errors():
                    said = str(field_fault(item).placed(place(item)))
                    assert not LIBRARY.search(said), (name, value, said)
                    assert said.partition(": ")[2], (name, value)
                    seen += 1
    assert seen > 10


def test_a_kind_that_is_not_known_yet_is_said_plainly() -> None:
    item = {"type": "some_new_kind", "loc": ("x",), "input": 5, "msg": "Input should be newer"}
    assert str(field_fault(item).placed("x")) == "x: cannot be used (found '5')"


def test_a_long_value_is_shown_by_its_beginning() -> None:
    assert len(refused(int, ["x" * 5000])) < 200
