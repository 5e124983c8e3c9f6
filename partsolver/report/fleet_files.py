"""The answer of a fleet as files of one folder: tables (CSV), JSON, text, an index page and a bench sheet
for each PC."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from partsolver.base.documents import told_as_text
from partsolver.fleet.assign import circles
from partsolver.fleet.columns import rules_of_parts
from partsolver.fleet.outcome import FleetOutcome, Judged
from partsolver.fleet.stored import FleetSource
from partsolver.plan.make import make_plan
from partsolver.report.document import dump
from partsolver.report.fleet import anew_words, fleet_document, fleet_text, following_words, gone_names
from partsolver.report.page import amount_text
from partsolver.report.page_templates import page_environment
from partsolver.report.sheet_html import sheet_html
from partsolver.report.words.counts import count_of
from partsolver.report.words.fleet import (
    CAUTIONS,
    NOT_COUNTED,
    WHY,
    circle_words,
    goal_words,
    speedup_words,
    stage_words,
)
from partsolver.report.words.lookup import question_text
from partsolver.sheet.context import Context, Origin, Passing
from partsolver.sheet.make import program_version

DOCUMENT, TEXT, INDEX = "fleet.json", "fleet.txt", "index.html"
PLANS = (
    "step",
    "pc",
    "what",
    "speedup",
    "slot",
    "id",
    "name",
    "count",
    "from",
    "source",
    "price",
    "condition",
)
ORDERS = ("seller", "id", "name", "count", "price", "amount")
# Bytes of a PC's name in the name of a file, of which file systems take 255 (from memory), and signs that no name on
# Windows may have (Microsoft, "Naming Files, Paths, and Namespaces").
MOST_OF_NAME = 200
_NOT_IN_NAMES = re.compile(r'[<>:"/\\|?*]')
PICKING = ("step", "for", "id", "name", "count", "from", "source")


def fleet_files(outcome: FleetOutcome, source: FleetSource, sheets: bool = True) -> dict[str, str]:
    """The text of each file by its name; ``source``: with what the fleet was planned; ``sheets``: with a
    bench sheet for each PC that is built."""
    document = fleet_document(outcome, source)
    found = {
        DOCUMENT: dump(document),
        TEXT: fleet_text(outcome),
        "plans.csv": plans_csv(document),
        "orders.csv": _table(ORDERS, _orders(document)),
        "picking-list.csv": _table(PICKING, _picking(document)),
    }
    built = [one for one in outcome.pcs if one.draft is not None] if sheets else []
    names = sheet_names(one.result.pc for one in built)
    found.update((names[one.result.pc], fleet_sheet(outcome, one)) for one in built)
    found[INDEX] = index_html(outcome, names)
    return found


def plans_csv(document: dict[str, Any]) -> str:
    """One row for each kind of piece of each PC, in the order of work; one row for a PC that gets nothing."""
    return _table(PLANS, _plans(document))


def _plans(document: dict[str, Any]) -> Iterator[Sequence[Any]]:
    for step, pc in enumerate(document["pcs"], 1):
        head = (step, pc["pc"], pc["what"], pc["speedup"])
        if not pc["parts"]:
            yield (*head, *[None] * 8)
        for part in pc["parts"]:
            yield (
                *head,
                *(part[k] for k in ("slot", "id", "name", "count", "from", "source", "price", "condition")),
            )


def _orders(document: dict[str, Any]) -> Iterator[Sequence[Any]]:
    for order in document["orders"]:
        for line in order["lines"]:
            yield (order["seller"], line["id"], line["name"], line["count"], line["price"], line["amount"])
        yield order["seller"], "delivery", "delivery", 1, order["delivery"], order["delivery"]


def _picking(document: dict[str, Any]) -> Iterator[Sequence[Any]]:
    for step, line in enumerate(document["picking_list"], 1):
        yield step, line["pc"], line["id"], line["name"], line["count"], line["from"], line["source"]


def _table(head: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(head)
    writer.writerows([_cell(cell) for cell in row] for row in rows)
    return text.getvalue()


def _cell(cell: Any) -> Any:
    return "" if cell is None else told_as_text(cell) if isinstance(cell, str) else cell


def sheet_names(pcs: Iterable[str]) -> dict[str, str]:
    """The file of each PC's bench sheet, such as every file system can hold: short, without signs that some refuse,
    and apart where case does not count."""
    found: dict[str, str] = {}
    taken: set[str] = set()
    for pc in pcs:
        short = _NOT_IN_NAMES.sub("_", pc).encode()[:MOST_OF_NAME].decode(errors="ignore")
        endings = ("", *(f"-{number}" for number in range(2, len(taken) + 2)))
        names = (f"sheet-{short}{ending}.html" for ending in endings)
        found[pc] = next(name for name in names if name.casefold() not in taken)
        taken.add(found[pc].casefold())
    return found


def fleet_sheet(outcome: FleetOutcome, one: Judged) -> str:
    """The bench sheet of one PC that is built, as HTML."""
    assert one.draft is not None
    problem = outcome.problems[one.result.number]
    survey = problem.survey
    named = survey.model_copy(update={"pc": survey.pc.model_copy(update={"name": one.result.pc})})
    problem = replace(problem, survey=named)
    plan = make_plan(problem, one.draft, rules_of_parts(), 1, 0, None, with_stand_ins=False)
    return sheet_html(
        Context(problem, plan, Origin(DOCUMENT, program_version()), passing=_passing(outcome, one))
    )


def _passing(outcome: FleetOutcome, one: Judged) -> Passing:
    """What one PC gives to others of the fleet and gets from them."""
    fleet, result = outcome.fleet, one.result
    slot_of = {t.item: t.slot for t in fleet.take_outs[fleet.classes[result.number].key]}
    given: Counter[tuple[str, str]] = Counter()
    for other in outcome.pcs:
        for piece in other.result.pieces:
            if piece.donor == result.pc:
                given[slot_of[piece.item], other.result.pc] += piece.pieces
    got: Counter[tuple[str, str]] = Counter()
    for piece in result.pieces:
        if piece.donor is not None:
            got[piece.item, piece.donor] += piece.pieces
    return Passing(
        tuple((slot, pieces, pc) for (slot, pc), pieces in given.items()),
        tuple((slot_of[item], pieces) for item, pieces in result.column.own),
        tuple((item, pieces, pc) for (item, pc), pieces in got.items()),
        any(result.pc in pcs for pcs in circles([each.result for each in outcome.pcs])),
    )


def index_html(outcome: FleetOutcome, sheets: dict[str, str]) -> str:
    """The page that leads to all: plans with their sheets, orders, picking list, what stays, who gets
    nothing."""
    environment = page_environment()
    document = fleet_document(outcome)
    fleet = outcome.fleet
    digits = fleet.catalog.info.digits
    following = outcome.following
    return (
        environment.get_template("fleet.html").render(
            document=document,
            count=count_of(len(outcome.pcs), "PC"),
            sellers={name: seller.name for name, seller in fleet.sellers.items()},
            goal=goal_words(outcome),
            goals=[stage_words(stage, outcome) for stage in outcome.stages],
            more=None
            if following is None
            else (amount_text(following.budget, digits), following_words(outcome)),
            speedups={one.result.pc: speedup_words(one, outcome) for one in outcome.pcs},
            looks={
                one.result.pc: sorted({question_text(f.question) for f in one.open_findings if f.question})
                for one in outcome.pcs
            },
            sheets=sheets,
            why=WHY,
            anew=anew_words(outcome),
            gone=gone_names(outcome),
            not_counted=NOT_COUNTED if document["picking_list"] else "",
            cautions=CAUTIONS,
            circles=circle_words(outcome),
        )
        + "\n"
    )
