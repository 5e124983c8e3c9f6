"""What an unknown fact may be: the sets of parts with each value, and ranges that hold them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from performance.machines import PROBLEM, interval, machine

from partsolver.assembly.storage import possible_sata_rates
from partsolver.performance.unknowns import possible_parts
from partsolver.problem.candidates import DriveChoice
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
