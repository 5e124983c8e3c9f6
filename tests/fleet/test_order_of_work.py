"""The order of work: donors before those that get their parts, and PCs that wait for one another told."""

from __future__ import annotations

from partsolver.fleet.assign import PcResult, Piece, circles, in_order_of_work
from partsolver.fleet.records import Column, ColumnKind


def result(pc: str, *donors: str, kind: ColumnKind = "plan") -> PcResult:
    pieces = tuple(Piece("part", 1, "cpu", 0, donor=donor) for donor in donors)
    return PcResult(pc, 0, Column(kind, (), 1, (), (), ()), pieces)


def order(*results: PcResult) -> list[str]:
    return [one.pc for one in in_order_of_work(results)]


def test_donors_come_first() -> None:
    given = (result("a", "b"), result("b", "c"), result("c"), result("z", kind="scrap"), result("d", "z"))
    found = order(*given)
    assert found[0] == "z"
    assert found.index("c") < found.index("b") < found.index("a")
    assert not circles(given)


def test_two_that_get_parts_out_of_each_other_stand_together() -> None:
    given = (result("a", "c"), result("b", "c", "d"), result("c", "a"), result("d"))
    assert circles(given) == (("a", "c"),)
    assert order(*given) == ["d", "a", "c", "b"]


def test_of_circles_the_one_that_waits_for_no_other_comes_first() -> None:
    """a and b wait for each other and for the circle of c, d and e."""
    given = (
        result("a", "b", "c"),
        result("b", "a"),
        result("c", "d"),
        result("d", "e"),
        result("e", "c"),
        result("f", "f"),
    )
    assert circles(given) == (("c", "d", "e"), ("a", "b"))
    assert order(*given) == ["f", "c", "d", "e", "a", "b"]
