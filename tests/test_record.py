"""Records: equal and hashed by value, or only themselves; without room for other attributes."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest

from partsolver.base.records import exchanged
from partsolver.plan.draft import Need
from partsolver.problem.candidates import Candidate, CoolerChoice


def test_records_of_the_same_values_are_equal() -> None:
    one = Need("fit.paste", "paste", "thermal-paste", (("paste", 1),))
    assert one == replace(one) and hash(one) == hash(replace(one)) and one is not replace(one)
    assert one != replace(one, key="other")
    assert [f.name for f in fields(one)] == ["rule", "key", "kind", "options", "facts"]


def test_a_candidate_equals_only_itself() -> None:
    one = Candidate("cooler", "boxed-cooler", CoolerChoice("boxed-cooler", None, True), None, 1, (), False)
    assert one == one and one != replace(one) and len({one, replace(one)}) == 2


def test_a_record_has_no_other_attributes() -> None:
    with pytest.raises(AttributeError):
        Need("a", "b", "c", ()).colour = "red"  # type: ignore[attr-defined]


def test_an_exchanged_record_is_what_the_standard_library_makes() -> None:
    one = Need("fit.paste", "paste", "thermal-paste", (("paste", 1),))
    assert exchanged(one, {"key": "other", "options": ()}) == replace(one, key="other", options=())
    assert exchanged(one, {}) == one and exchanged(one, {}) is not one
