"""The order of work: donors before those that get their parts, and PCs that wait for one another told."""

from __future__ import annotations

from fleets import LEAST, answer, fleet_of

from partsolver.fleet.assign import PcResult, Piece, circles, in_order_of_work
from partsolver.fleet.goals import ClassFigures
from partsolver.fleet.records import Column, ColumnKind
from partsolver.report.fleet import fleet_text
from partsolver.solve.fleet.plan import _left_alone


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


def test_nobody_takes_a_pc_apart_for_nothing() -> None:
    """A dead PC without money was "taken apart for the others", though there were none; and a plan of bought parts
    alone was told without the cautions."""
    dead = [
        PcResult("a", 0, Column("scrap", (), None, (), (), (("x", 1),)), ()),
        PcResult("b", 0, Column("scrap", (), None, (), (), (("x", 1),)), ()),
        result("c", "a"),
    ]
    nothing = Column("nothing", (), None, (), (), ())
    figures = (ClassFigures(1_000_000, False, LEAST),)
    left = _left_alone(dead, figures, [[nothing, dead[0].column]])
    assert [one.column.kind for one in left] == ["scrap", "nothing", "plan"]
    # One that runs keeps what was chosen for it.
    running = (ClassFigures(1_000_000, True, LEAST),)
    assert _left_alone(dead, running, [[nothing]]) == tuple(dead)


def test_every_plan_is_told_with_the_cautions() -> None:
    text = fleet_text(answer(fleet_of(0, "most-pcs", None, (1, 1))))
    assert "A power supply stays closed" in text
    assert "A power supply stays closed" not in fleet_text(answer(fleet_of(1, "most-pcs", 0, (1, 1))))
