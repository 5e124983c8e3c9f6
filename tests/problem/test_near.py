"""Words of a survey a slip away from the catalogue's, named with the number of rows that have them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import BOARD, CPU, OLD_BOARD, OLD_CPU, make_catalog, make_survey

from partsolver.problem.near import NearMiss, near_misses


@pytest.mark.parametrize(
    ("socket", "meant"),
    [
        ("sock-1", None),  # it is there
        ("sock-11", "sock-1"),
        ("sock 1", "sock-1"),
        ("sokc-1", "sock-1"),
        ("plinth", None),  # another word
        (None, None),
    ],
)
def test_a_socket(socket: str | None, meant: str | None) -> None:
    survey = make_survey(board=replace(OLD_BOARD, socket=socket, cpu_families=None))
    catalog = make_catalog(boards=[BOARD, replace(BOARD, id="board-b")], cpus=[CPU])
    found = [miss for miss in near_misses(survey, catalog) if miss.path == "board.socket"]
    assert found == ([] if meant is None else [NearMiss("board.socket", str(socket), meant, 3)])


def test_a_socket_of_the_trade_is_no_slip_of_its_neighbour() -> None:
    survey = make_survey(
        board=replace(OLD_BOARD, socket="lga1155", cpu_families=None),
        cpu=replace(OLD_CPU, socket="lga1155", family=None),
    )
    catalog = make_catalog(boards=[replace(BOARD, socket="lga1156")], cpus=[replace(CPU, socket="lga1156")])
    assert near_misses(survey, catalog) == ()


def test_families_of_processor_and_board() -> None:
    survey = make_survey(
        board=replace(OLD_BOARD, socket="sock-1", cpu_families=(("fam1", "1.00"),)),
        cpu=replace(OLD_CPU, socket="sock-1", family="fam 1"),
    )
    found = near_misses(survey, make_catalog())
    assert [(miss.path, miss.meant, miss.rows) for miss in found] == [
        ("cpu.family", "fam-1", 2),
        ("board.cpu_families", "fam-1", 2),
    ]
