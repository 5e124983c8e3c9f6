"""What a list of processor families says about the firmware that a board arrives with."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD

from partsolver.assembly.firmware import firmware_state, first_firmware, stepping_stones


def board(listed: tuple[tuple[str, str], ...] | None = (("fam", "1.20"),), **facts: Any) -> Any:
    return replace(BOARD, cpu_families=listed, **{"firmware_shipped": "1.20", **facts})


@pytest.mark.parametrize(
    ("listed", "family", "first"),
    [
        ((("fam", "1.20"),), "fam", "1.20"),
        ((("other", "1.20"),), "fam", None),
        (None, "fam", None),
        ((), "fam", None),
        ((("fam", "1.20"),), None, None),
        ((("fam", "1.20"), ("fam", "1.30")), "fam", "1.30"),  # named twice: the newer entry
        ((("fam", "1.30"), ("fam", "1.20")), "fam", "1.30"),
        ((("fam", "1.30"), ("other", "1.90")), "fam", "1.30"),
        ((("fam", "1.30"), ("fam", "F7")), "fam", "F7"),  # no known order: the last one
        ((("fam", "F7"), ("fam", "1.30")), "fam", "1.30"),
    ],
)
def test_the_first_firmware_that_surely_knows_a_family(
    listed: tuple[tuple[str, str], ...] | None, family: str | None, first: str | None
) -> None:
    assert first_firmware(board(listed), family) == first


@pytest.mark.parametrize(
    ("facts", "state"),
    [
        ({"firmware_shipped": "1.20"}, "knows"),
        ({"firmware_shipped": "1.30"}, "knows"),
        ({"firmware_shipped": "1.10"}, "old"),
        ({"firmware_shipped": None}, "unstated"),
        ({"listed": None}, "silent"),
        ({"listed": (("other", "1.20"),)}, "silent"),
        ({"listed": (("other", "1.20"),), "firmware_shipped": None}, "silent"),
        ({"firmware_shipped": "F7"}, "unsure"),  # another maker's numbering: no order
        # The name of an update's file: what the board reports may be newer.
        ({"listed": (("fam", "7C02v19"),), "firmware_shipped": "7C02v18"}, "unsure"),
        ({"listed": (("fam", "7C02v17"),), "firmware_shipped": "7C02v18"}, "knows"),
        # Two entries: both have to be met.
        ({"listed": (("fam", "1.10"), ("fam", "1.30"))}, "old"),
        ({"listed": (("fam", "1.10"), ("fam", "F7"))}, "unsure"),
        ({"listed": (("fam", "1.30"), ("fam", "F7"))}, "unsure"),
        # Dropped by later firmware.
        ({"firmware_shipped": "1.60", "cpu_families_until": (("fam", "1.50"),)}, "dropped"),
        ({"firmware_shipped": "1.50", "cpu_families_until": (("fam", "1.50"),)}, "knows"),
        ({"firmware_shipped": "1.40", "cpu_families_until": (("fam", "1.50"),)}, "knows"),
        ({"firmware_shipped": "1.60", "cpu_families_until": (("other", "1.50"),)}, "knows"),
        ({"firmware_shipped": "1.60", "cpu_families_until": (("fam", "F7"),)}, "unsure"),
        ({"firmware_shipped": "1.60", "cpu_families_until": (("fam", "F7"), ("fam", "1.50"))}, "dropped"),
        ({"firmware_shipped": "1.10", "cpu_families_until": (("fam", "1.50"),)}, "old"),
    ],
)
def test_the_shipped_firmware_against_the_list(facts: dict[str, Any], state: str) -> None:
    assert firmware_state(board(**facts), "fam") == state


@pytest.mark.parametrize(
    ("facts", "steps"),
    [
        ({"firmware_shipped": "1.10"}, ("1.14", "1.18")),
        ({"firmware_shipped": "1.14"}, ("1.18",)),
        ({"firmware_shipped": "1.18"}, ()),
        ({"firmware_shipped": "1.20"}, ()),
        ({"firmware_shipped": None}, ()),
        ({"firmware_shipped": "1.10", "listed": None}, ()),
        ({"firmware_shipped": "1.10", "firmware_steps": None}, ()),
        ({"firmware_shipped": "1.10", "listed": (("fam", "1.18"),)}, ("1.14",)),
        ({"firmware_shipped": "1.10", "listed": (("fam", "1.40"),)}, ("1.14", "1.18", "1.20", "1.30")),
        ({"firmware_shipped": "F2"}, ()),
    ],
)
def test_versions_on_the_way(facts: dict[str, Any], steps: tuple[str, ...]) -> None:
    """Newer than the shipped one and older than the needed one; the last of them is the needed one itself."""
    assert (
        stepping_stones(board(**{"firmware_steps": ("1.14", "1.18", "1.20", "1.30"), **facts}), "fam")
        == steps
    )
