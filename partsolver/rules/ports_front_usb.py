"""The case's front USB plugs and the board's headers for them. Never refuses: an unused front port costs
comfort only.

A plug without a header of its kind may be joined to another kind by an adapter (at the lower rate); the
finding names one the catalogue sells for a header that is left over, as a suggestion that is not bought. Not
checked: the reach of the front lead.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from partsolver.assembly.modules import part_question, together_today
from partsolver.catalog.records import Board, Case
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.usb import HEADERS, front_rate_mbits

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "ports.front_usb"
STATEMENT = "Front USB plugs of the case find headers on the board."
SOURCE = "Intel USB 3.0 internal connector and cable specification; USB-IF front panel document 1.0"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "case")
READS: Reads = {
    "board": ("usb2_headers", "usb3_headers", "usb_e_headers"),
    "case": ("front_usb2_plugs", "front_usb3_plugs", "front_usb_e_plugs"),
}
SURVEY: tuple[str, ...] = ()
REFUSES = False
_COLUMN = {"usb2": "usb2", "usb3": "usb3", "usb-e": "usb_e"}


def _plugs(case: Case, kind: str) -> int | None:
    found: int | None = getattr(case, f"front_{_COLUMN[kind]}_plugs")
    return found


def _headers(board: Board, kind: str) -> int | None:
    found: int | None = getattr(board, f"{_COLUMN[kind]}_headers")
    return found


def _adapters(problem: Problem, board: Board, case: Case, kind: str) -> Iterator[tuple[str, int, int]]:
    """(extra, rate in Mbit/s, plugs it can serve) for adapters on offer from a header that is left over."""
    for extra in problem.extras_of("front-usb-adapter"):
        for header in HEADERS:
            headers = _headers(board, header)
            if kind not in extra.gives or header not in extra.takes or not headers:
                continue
            spare = headers - (_plugs(case, header) or 0)
            rate = front_rate_mbits(kind, header)
            if spare > 0 and rate is not None:
                yield extra.id, rate[0], spare


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, case = parts.board, parts.case
    ids = (board.id, case.id)
    found: list[Finding] = []
    for kind in HEADERS:
        plugs, headers = _plugs(case, kind), _headers(board, kind)
        if plugs == 0:
            continue
        if plugs is None:
            found.append(
                unknown(
                    ID, part_question(parts.candidate("case"), f"front_{_COLUMN[kind]}_plugs"), ids, plug=kind
                )
            )
            continue
        facts: dict[str, int | str] = {"plug": kind}
        if together_today(parts, "board", "case"):
            # Whatever is connected stays as it is.
            found.append(
                Finding(ID, "fits", plugs, plugs, None, "plugs", ids, (("plug", kind), ("today", "yes")))
            )
            continue
        if headers is None:
            found.append(
                unknown(
                    ID, part_question(parts.candidate("board"), f"{_COLUMN[kind]}_headers"), ids, plug=kind
                )
            )
            continue
        missing = max(0, plugs - headers)
        if missing:
            facts["missing"] = missing
            suggested = next(_adapters(problem, board, case, kind), None)
            if suggested is not None:
                facts["adapter"], facts["adapter_mbits"] = suggested[0], suggested[1]
                facts["adapted"] = min(missing, suggested[2])
        found.append(
            Finding(ID, "fits", plugs - missing, plugs, None, "plugs", ids, tuple(sorted(facts.items())))
        )
    return tuple(found)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing to refuse and nothing bought: adapters are suggestions."""
