"""``@record``: a dataclass with slots that nobody changes. The type checker refuses an assignment to a field
(mypy runs in CI); at run time nothing does, because that check makes a record of fifty fields twelve times as
slow to make, and a catalogue has a hundred thousand of them. Records are equal and hashed by their values.

The class gets its slots at once, and each method that ``dataclass`` writes when somebody first calls it: a
program imports some two hundred records and makes half of them, and writing all methods of all of them took
a quarter of the time of the imports. `dataclasses` still writes them; only the moment is ours.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import Field, dataclass
from functools import cache
from operator import attrgetter
from typing import Any, TypeVar, dataclass_transform

T = TypeVar("T")

_FIELDS = "__dataclass_fields__"
_WRITTEN_BY = {"__init__": "init", "__repr__": "repr", "__eq__": "eq", "__hash__": "unsafe_hash"}


@dataclass_transform(frozen_default=True)
def record(cls: type[T]) -> type[T]:
    """Make a class a record."""
    return _slotted(cls, ("__init__", "__repr__", "__eq__", "__hash__"))


@dataclass_transform(frozen_default=True, eq_default=False)
def unique_record(cls: type[T]) -> type[T]:
    """Make a class a record that equals nothing but itself."""
    return _slotted(cls, ("__init__", "__repr__"))


def _slotted(cls: type[T], methods: tuple[str, ...]) -> type[T]:
    """The class with a slot for each field, and ``methods`` (where it has none of its own) to be written."""
    stated: dict[str, Any] = {
        name: value for name, value in vars(cls).items() if name not in ("__dict__", "__weakref__")
    }
    slots = tuple(stated.get("__annotations__", ()))
    defaults = {name: stated.pop(name) for name in slots if name in stated}
    of_class: dict[str, Any] = {
        name: stated[name] for name in ("__annotations__", "__module__", "__orig_bases__") if name in stated
    }
    later = _Later({"__doc__": "fields", **of_class, **defaults})
    written = {method: later.stub(method) for method in methods if method not in stated}
    kind: Any = type(cls)
    made: Any = kind(
        cls.__name__,
        cls.__bases__,
        {**stated, **written, "__slots__": slots, "__match_args__": slots, _FIELDS: later},
    )
    later.owner = made
    return made  # type: ignore[no-any-return]


class _Later:
    """What `dataclasses` writes for one record, when it is asked for. It stands in the class where the library
    looks for its fields."""

    def __init__(self, stated: Mapping[str, Any]) -> None:
        self._stated = stated
        self.owner: Any = None

    def __get__(self, instance: object, owner: type) -> dict[str, Field[Any]]:
        fields: dict[str, Field[Any]] = getattr(self._dataclass(), _FIELDS)
        setattr(self.owner, _FIELDS, fields)
        return fields

    def stub(self, method: str) -> Callable[..., Any]:
        """A method that has itself written and takes the call."""

        def write(*args: Any, **named: Any) -> Any:
            made = vars(self._dataclass(**{_WRITTEN_BY[method]: True}))[method]
            setattr(self.owner, method, made)
            return made(*args, **named)

        return write

    def _dataclass(self, **written: bool) -> type:
        """The same fields as a dataclass, with only what is asked for."""
        owner = self.owner
        plain = type(owner.__name__, owner.__bases__, dict(self._stated))
        return dataclass(**{"init": False, "repr": False, "eq": False, **written})(plain)


def exchanged(row: T, changes: Mapping[str, Any]) -> T:
    """A record with other values in some fields: as ``dataclasses.replace``, in a tenth of its time (a
    catalogue's offers are exchanged by the hundred thousand)."""
    made: Any = type(row)
    places, values_of = _places_of(made)
    values = list(values_of(row))
    for name, value in changes.items():
        values[places[name]] = value
    same: T = made(*values)
    return same


@cache
def _places_of(cls: Any) -> tuple[Mapping[str, int], Callable[[Any], tuple[Any, ...]]]:
    """By field its place, and what reads all of them from a record of at least two."""
    names = cls.__match_args__
    return {name: place for place, name in enumerate(names)}, attrgetter(*names)


__all__ = ["exchanged", "record", "unique_record"]
