"""The standby output of the supply starts the board, and carries it while it sleeps.

Standby feeds what waits for the switch. Without enough of it a board does not start; with enough for that and
less than sleep takes, sleep and waking fail. Supplies of before about 2004 give 0.7 to 1 A, later ones 2 A
and more. Refused where the board's least is more than the trusted share; the rest is a remark.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from partsolver.assembly.plugs import all_kept, question
from partsolver.assembly.supply import early_standby, supply_trust_percent
from partsolver.catalog.records import Psu
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits, unknown
from partsolver.plan.ranges import within
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.standby"
STATEMENT = (
    "The 5 V standby current that a board needs to start is at most the trusted share of the supply's."
)
SOURCE = (
    "ATX12V design guide 2.0, tables 3 to 6 (2 A); board specifications of 2001 to 2011 as cited in the loads reference,"
    " section 6"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "memory", "psu")
READS: Reads = {"board": (), "memory": ("modules",), "psu": ("main_plug", "rail_5vsb_ma", "year")}
SURVEY: tuple[str, ...] = ("cards", "devices", "pc")


def label_ma(problem: Problem, psu: Psu) -> int | None:
    """Standby current of the label; by its year where the label does not say; None when neither is known."""
    if psu.rail_5vsb_ma is not None:
        return psu.rail_5vsb_ma
    if psu.year is None:
        return None
    return problem.settings["standby_early_ma" if early_standby(psu) else "standby_later_ma"]


def limit_ma(problem: Problem, psu: Psu) -> int | None:
    """Trusted standby current."""
    label = label_ma(problem, psu)
    return None if label is None else label * supply_trust_percent(problem, psu) // 100


def sleep_ma(problem: Problem, modules: int) -> int:
    """Standby current in sleep: board, modules, USB and PS/2 devices, network cards. Leads and hubs that are
    bought are suspended then (USB 2.0, section 7.2.3: 2.5 mA)."""
    settings, survey = problem.settings, problem.survey
    on_port = Counter(device.port for device in survey.devices)
    network = sum(1 for card in problem.cards if card.kind == "network")
    return (
        settings["standby_sleep_ma"]
        + modules * settings["standby_module_ma"]
        + on_port["usb"] * settings["standby_usb_ma"]
        + on_port["ps2"] * settings["standby_ps2_ma"]
        + network * settings["standby_card_ma"]
    )


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    ids = (parts.psu.id, parts.board.id)
    start, sleep = problem.settings["standby_board_ma"], sleep_ma(problem, parts.memory.modules)
    if all_kept(parts, ("board", "psu")):
        return (fits(ID, ids, start, today="yes"),)
    limit = limit_ma(problem, parts.psu)
    if limit is None:
        return (unknown(ID, question(parts.candidate("psu"), "rail_5vsb_ma"), ids, load=start),)
    stated = "label" if parts.psu.rail_5vsb_ma is not None else "year"
    # Supplies of the later kind start any board; only of an early one the label may decide more than sleep.
    asks = stated == "year" and early_standby(parts.psu)
    asked = question(parts.candidate("psu"), "rail_5vsb_ma") if asks else None
    return within(ID, start, max(start, sleep), limit, "mA", ids, asked, stated=stated)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    start = problem.settings["standby_board_ma"]

    def weak(candidate: Candidate[Psu]) -> tuple[bool, bool]:
        limit = limit_ma(problem, candidate.part)
        return limit is not None and limit < start, candidate.kept

    for (too_weak, kept), supply in picks.classes("psu", "power.standby", weak).items():
        if too_weak:
            picks.refuse_new({"psu": (supply, kept)}, ("board", "psu"), on)
