"""What an unknown fact may be: the sets of parts with each value, and ranges that hold them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from performance.machines import M2, PROBLEM, interval, machine
from support import BOARD, MEMORY, OLD_BOARD, make_problem, make_survey

from partsolver.assembly.storage import possible_sata_rates
from partsolver.catalog.records import DrivePart
from partsolver.performance.present import present_parts
from partsolver.performance.unknowns import possible_parts, time_questions
from partsolver.problem.candidates import DriveChoice, Parts
from partsolver.survey.model import Drive
from partsolver.wishes.uses import USES


@pytest.mark.parametrize("use", ["office", "photo", "video"])
def test_unknown_ports_hold_every_range_that_they_may_be(use: str) -> None:
    """SATA ports of a rate that nobody looked at: 1.5, 3 or 6 Gbit/s as far as the board's years allow."""
    before, after = machine("old", port_gbps10=None), machine("old", drive="nvme4")
    rates = possible_sata_rates(before.parts.board)
    assert len(rates) > 1
    found = interval(use, before, after)
    for rate in rates:
        known = interval(use, replace(before, port_gbps10=rate), after)
        assert found.low_milli <= known.low_milli and known.high_milli <= found.high_milli, (
            rate,
            known,
            found,
        )


@pytest.mark.parametrize(
    ("facts", "values"),
    [
        ({"kind": "ssd", "interface": "sata", "read_mbs": 500}, set()),  # all is known: nothing to try
        ({"kind": "ssd", "interface": "sata"}, {("ssd", 200), ("ssd", 560)}),
        ({"kind": "hdd35", "interface": "sata"}, {("hdd35", 60), ("hdd35", 250)}),
        (
            {"interface": "sata", "read_mbs": 100},
            {("ssd", 100), ("hdd35", 100), ("hdd25", 100)},
        ),
    ],
)
def test_a_drive_of_which_something_is_unknown(
    facts: dict[str, object], values: set[tuple[str, int]]
) -> None:
    """Each kind and each end of the usual rates (common practice; `standards/figures.csv`)."""
    before, after = machine("mid").parts, machine("new").parts
    drive = DriveChoice("kept", Drive(name="drive", sata_gbps10=60, **facts), None)
    picked = tuple(replace(c, part=drive) if c.slot == "drive" else c for c in before.picked)
    before = replace(before, picked=picked)
    sets = list(possible_parts(PROBLEM, USES["office"], (before, after)))
    found = {(each[0].drive.kept.kind, each[0].drive.kept.read_mbs) for one in sets for each in one}  # type: ignore[union-attr]
    assert found == values and len(sets) == (1 if values else 0)


def values_of(
    change: dict[str, object], slot: str, read: Callable[[Parts], object], use: str = "video"
) -> list[object]:
    """What one part may be when some of its facts are taken away, by the sets that are tried; the other side is
    another PC of which all is known."""
    before, after = machine("mid").parts, machine("new").parts
    picked = tuple(
        replace(c, part=replace(c.part, **change)) if c.slot == slot else c  # type: ignore[type-var]
        for c in before.picked
    )
    changed = replace(before, picked=picked)
    (tried,) = possible_parts(PROBLEM, USES[use], (changed, after))
    assert all(other == after for _, other in tried)
    return [read(one) for one, _ in tried]


def test_all_known_is_nothing_to_try() -> None:
    assert list(possible_parts(PROBLEM, USES["video"], (machine("mid").parts, machine("new").parts))) == []


@pytest.mark.parametrize(
    ("change", "slot", "read", "values"),
    [
        # The ends of the generation's rates (JEDEC: DDR4 1600 to 3200 MT/s).
        ({"rate_mts": None}, "memory", lambda p: p.memory.rate_mts, [1600, 3200]),
        # Two modules of half of every usual size.
        (
            {"module_mib": None},
            "memory",
            lambda p: p.memory.module_mib,
            [(n, n) for n in (512, 1024, 1536, 2048, 4096, 8192, 16384, 32768)],
        ),
        ({"memory_channels": None}, "board", lambda p: p.board.memory_channels, [1, 2]),
        # Slowest first; four ports of one rate and none of another.
        (
            {"sata_6g_ports": None, "sata_3g_ports": None, "sata_1g5_ports": None},
            "board",
            lambda p: (p.board.sata_6g_ports, p.board.sata_3g_ports, p.board.sata_1g5_ports),
            [(0, 0, 4), (0, 4, 0), (4, 0, 0)],
        ),
        (
            {"sata_6g_ports": None, "sata_3g_ports": 2, "sata_1g5_ports": 0},
            "board",
            lambda p: (p.board.sata_6g_ports, p.board.sata_3g_ports, p.board.sata_1g5_ports),
            [(0, 4, 0), (4, 0, 0)],
        ),
        # 0, 8, 60, 160 and 300 % of the reference's 1000 points (`standards/figures.csv`).
        ({"graphics_score": None}, "cpu", lambda p: p.cpu.graphics_score, [0, 80, 600, 1600, 3000]),
    ],
)
def test_every_value_of_an_unknown_fact(
    change: dict[str, object], slot: str, read: Callable[[Parts], object], values: list[object]
) -> None:
    assert values_of(change, slot, read) == values


def test_what_the_time_does_not_read_is_not_tried() -> None:
    """A measured size needs no module sizes; graphics that the use has no share of need no score."""
    seen = replace(machine("mid").parts.memory, module_mib=None, seen_mib=8192)
    blind = replace(machine("mid").parts.cpu, graphics_score=None)
    for slot, part, use in (("memory", seen, "video"), ("cpu", blind, "office")):
        before = machine("mid").parts
        picked = tuple(replace(c, part=part) if c.slot == slot else c for c in before.picked)
        assert USES["office"].share("graphics") == 0 < USES["video"].share("graphics")
        assert (
            list(possible_parts(PROBLEM, USES[use], (replace(before, picked=picked), machine("new").parts)))
            == []
        )


def test_memory_of_an_unknown_generation_is_as_slow_or_fast_as_any_with_dual_channels() -> None:
    """DDR2 at 400 to DDR5 at 8800 MT/s (the ends of `RATES`); what the board takes decides where that is known."""
    board = {"memory_generation": None}
    before = machine("mid").parts
    parts = replace(
        before,
        picked=tuple(
            replace(c, part=replace(c.part, **board))  # type: ignore[type-var]
            if c.slot == "board"
            else replace(c, part=replace(c.part, rate_mts=None, generation=None))  # type: ignore[type-var]
            if c.slot == "memory"
            else c
            for c in before.picked
        ),
    )
    (tried,) = possible_parts(PROBLEM, USES["video"], (parts, machine("new").parts))
    assert [one.memory.rate_mts for one, _ in tried] == [400, 8800]
    known = replace(
        parts,
        picked=tuple(before.candidate("board") if c.slot == "board" else c for c in parts.picked),
    )
    (tried,) = possible_parts(PROBLEM, USES["video"], (known, machine("new").parts))
    assert [one.memory.rate_mts for one, _ in tried] == [1600, 3200]


def test_one_part_of_two_sets_has_the_same_value_in_both() -> None:
    """A kept drive of unknown kind is one drive, before and after; each of its values is tried once."""
    before = machine("mid", drive="unknown").parts
    after = replace(
        machine("new").parts,
        picked=tuple(
            before.candidate("drive") if c.slot == "drive" else c for c in machine("new").parts.picked
        ),
    )
    (tried,) = possible_parts(PROBLEM, USES["office"], (before, after))
    assert all(one.drive == two.drive for one, two in tried)
    assert {(one.drive.kept.kind, one.drive.kept.read_mbs) for one, _ in tried} == {  # type: ignore[union-attr]
        *(("ssd", 200), ("ssd", 560), ("hdd35", 60), ("hdd35", 250), ("hdd25", 40), ("hdd25", 140))
    }


@pytest.mark.parametrize(
    ("facts", "m2", "values"),
    [
        ({"interface": "m2-nvme"}, True, {("ssd", "m2-nvme", 1000), ("ssd", "m2-nvme", 7000)}),
        ({"interface": "m2-sata"}, True, {("ssd", "m2-sata", 200), ("ssd", "m2-sata", 560)}),
        ({"kind": "ssd", "read_mbs": 500}, False, {("ssd", "sata", 500)}),
        ({"kind": "ssd", "read_mbs": 500}, True, {("ssd", "sata", 500), ("ssd", "m2-nvme", 500)}),
        ({"kind": "hdd35", "read_mbs": 100}, True, {("hdd35", "sata", 100), ("hdd35", "pata", 100)}),
        # Its lead is known, its kind is not.
        (
            {"interface": "sata", "read_mbs": 100},
            True,
            {("ssd", "sata", 100), ("hdd35", "sata", 100), ("hdd25", "sata", 100)},
        ),
    ],
)
def test_the_leads_of_a_drive_that_nobody_looked_at(
    facts: dict[str, object], m2: bool, values: set[tuple[str, str, int]]
) -> None:
    """A solid-state drive is an M.2 module only where the PC that it was surveyed in has a socket for one; a disk hangs
    on SATA or the older parallel cable. Bought drives and the PC's own alike."""
    board = replace(OLD_BOARD, m2_slots=(M2,) if m2 else ())
    problem = make_problem(make_survey(board=board))
    for bought in (False, True):
        part = (
            DriveChoice("d", None, DrivePart("d", "drive", **facts))  # type: ignore[arg-type]
            if bought
            else DriveChoice("d", Drive(name="drive", sata_gbps10=60, **facts), None)
        )
        before = machine("mid").parts
        picked = tuple(replace(c, part=part) if c.slot == "drive" else c for c in before.picked)
        sets = list(
            possible_parts(problem, USES["office"], (replace(before, picked=picked), machine("new").parts))
        )
        tried = [one.drive for each in sets for one, _ in each]
        found = {(d.kind, d.interface, d.read_mbs) for d in (one.part or one.kept for one in tried)}  # type: ignore[union-attr]
        assert found == values
        assert all((one.part is None) != bought and one.id == "d" for one in tried)


def test_the_questions_that_the_time_asks() -> None:
    """Only of what the PC has: a bought board of unknown channels is no question about the PC."""
    survey = make_survey(
        board=replace(OLD_BOARD, memory_channels=None), memory=(MEMORY.model_copy(update={"rate_mts": None}),)
    )
    problem = make_problem(survey, boards=[replace(BOARD, memory_channels=None)])
    assert time_questions(problem, present_parts(problem)) == ("memory.rate_mts", "board.memory_channels")
    bought = replace(
        present_parts(problem),
        picked=tuple(
            next(c for c in problem.slot("board") if not c.kept) if c.slot == "board" else c
            for c in present_parts(problem).picked
        ),
    )
    assert time_questions(problem, bought) == ("memory.rate_mts",)
