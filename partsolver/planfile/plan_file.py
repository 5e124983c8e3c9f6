"""Plan files: a recommendation with what is needed to solve again.

The document is the one of ``recommend --format json`` with three more fields: ``chosen`` (rank of the plan
the file is about), ``brief`` and ``source`` (survey text, folder and digest of the catalogue, and ``rows``:
what its plans use of it). A plan file made against another state of the catalogue is accepted, also where a
part, an offer or a seller of the plan has left; what differs is said by whoever reads it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any, Literal

from partsolver.base.documents import parse_json
from partsolver.base.errors import InputRefused, refuse
from partsolver.base.records import record
from partsolver.base.textfile import read_text, write_text
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import Catalog, load_catalog
from partsolver.plan.chosen import chosen_parts
from partsolver.plan.outcome import Outcome
from partsolver.planfile.agree import check_agreement, order_day
from partsolver.planfile.rows import Remembered, put_back, recall, remember
from partsolver.planfile.stored import (
    PLAN_FILE_HINT,
    StoredPlan,
    check_plan_file,
    chosen_plan,
    stored_plan,
)
from partsolver.planfile.told import DEMO, told_folder, told_from, told_wishes
from partsolver.problem.candidates import TABLE_OF_SLOT, Parts, SlotName
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.report import json as report_json
from partsolver.report.document import dump
from partsolver.report.page import plain_language
from partsolver.survey.load import read_survey
from partsolver.survey.model import Survey
from partsolver.wishes.brief import Brief


@record
class Missing:
    """Something of the stored plan that cannot be had any more.

    slot: None for an extra or a bundle; state: left (the catalogue does not have it), unsold (nobody offers
    it), other-kind (a board or kit that is only offered in another state or number).
    """

    slot: SlotName | None
    id: str
    state: Literal["left", "unsold", "other-kind"]


@dataclass(frozen=True)
class PlanFile:
    """A plan file as read.

    problem: joined again from the embedded survey and brief and the catalogue of today, with the rows of the
    chosen plan that have left it put back, so that the plan can be judged; found: the chosen plan's parts in
    it, None when the file has no row of a part that left; document: as stored; chosen: rank; catalog_changed:
    whether the catalogue's digest differs from the stored one; today: the catalogue without the rows put back
    (parts that left are in it, and nobody offers them); dropped: ids that the brief demands and the catalogue
    does not have any more.
    """

    document: dict[str, Any]
    chosen: int
    problem: Problem
    found: Parts | None
    catalog_changed: bool
    path: str
    today: Catalog | None = None
    rows: Remembered = field(default_factory=lambda: Remembered({}))
    missing: tuple[Missing, ...] = ()
    dropped: tuple[str, ...] = ()

    @property
    def stored_plan(self) -> dict[str, Any]:
        """The chosen plan as stored."""
        return dict(chosen_plan(self.path, self.document))

    @cached_property
    def plan(self) -> StoredPlan:
        """The chosen plan's values as stored."""
        return stored_plan(self.path, self.stored_plan, self.problem.catalog.digits)

    @property
    def parts(self) -> Parts:
        """The chosen plan's parts. Raises InputRefused when the facts of one are lost."""
        if self.found is None:
            lost = next(m.id for m in self.missing if m.slot is not None)
            hint = "`partsolver replan` makes a new plan"
            raise refuse(
                f"{self.path} plans",
                "a part of the plan is not in the catalogue any more, and the file has no facts of it",
                lost,
                hint=hint,
            )
        return self.found

    @property
    def catalog(self) -> Catalog:
        """The catalogue as it is today."""
        catalog: Catalog = self.today or self.problem.source
        return catalog


def write_plan_file(
    path: Path,
    outcome: Outcome,
    problem: Problem,
    rank: int,
    catalog: Path | None,
    was: str | None = None,
) -> None:
    """Write a plan file whole or not at all (``was``: see `write_text`), with the survey as it was read
    and solved, whatever its file holds by now. Raises InputRefused when it cannot be written."""
    told = DEMO if catalog is None else told_from(path, catalog)
    write_text(path, dump(plan_document(outcome, problem, rank, problem.survey.text, told)), was)


def write_again(path: Path, stored: PlanFile, outcome: Outcome, problem: Problem) -> None:
    """Write a recommendation solved again from a plan file."""
    write_text(path, text_again(stored, outcome, problem))


def text_again(stored: PlanFile, outcome: Outcome, problem: Problem) -> str:
    """The plan file of a recommendation solved again from another one."""
    source = stored.document["source"]
    return dump(plan_document(outcome, problem, 1, source["survey_toml"], source["catalog"]))


def plan_document(
    outcome: Outcome, problem: Problem, rank: int, survey_toml: str, catalog: str
) -> dict[str, Any]:
    """The document of a plan file; catalog: folder, or demo."""
    with plain_language():
        recommendation = report_json.recommendation(outcome, problem)
    return {
        **recommendation,
        "chosen": rank,
        "brief": problem.brief.model_dump(mode="json"),
        "source": {
            "survey_toml": survey_toml,
            "catalog": catalog,
            "catalog_digest": problem.catalog.digest,
            "rows": remember(problem, outcome.plans),
        },
    }


def read_plan_file(path: Path, catalog_dir: Path | None = None, catalog: Catalog | None = None) -> PlanFile:
    """Read a plan file and join its problem again. ``catalog``: that of the folder, where it is loaded
    already. Raises InputRefused."""
    document = parse_json(read_text(path), str(path), PLAN_FILE_HINT)
    check_plan_file(document, str(path))
    chosen_plan(str(path), document)
    source = document.get("source")
    if not isinstance(source, dict):
        raise refuse(f"{path} source", "is missing", None, "survey and catalogue of the plan", PLAN_FILE_HINT)
    survey_toml = source.get("survey_toml")
    if not isinstance(survey_toml, str):
        raise refuse(f"{path} source.survey_toml", "is missing")
    survey, _ = read_survey(survey_toml, f"{path} (survey)")
    brief = told_wishes(path, "brief", document.get("brief"))
    if catalog is None:
        demo, hint = data_folder() / "demo", "Name the catalogue with --catalog DIR"
        catalog = load_catalog(
            catalog_dir or told_folder(path, "source.catalog", source.get("catalog"), demo, hint)
        )
    return joined(str(path), document, survey, catalog, brief)


def joined(path: str, document: dict[str, Any], survey: Survey, catalog: Catalog, brief: Brief) -> PlanFile:
    """The chosen plan of a document in a catalogue. Raises InputRefused when it cannot be read there."""
    currency, source, chosen = document.get("currency"), document["source"], document["chosen"]
    if isinstance(currency, str) and currency != catalog.info.currency:
        raise refuse(
            f"{path} currency",
            "the plan counts in another currency than the catalogue",
            currency,
            catalog.info.currency,
        )
    rows = recall(f"{path} source.rows", source.get("rows"))
    stored = stored_plan(path, chosen_plan(path, document), catalog.info.digits)
    changed = catalog.info.digest != source.get("catalog_digest")
    parts = {part: row for part, row in rows.parts.items() if part in stored.bought}
    today = put_back(catalog, parts, sellers=rows.sellers)
    _check_slots(path, stored, today)
    kept = rows if source.get("rows") is not None else None
    ordered_on = order_day(path, document, brief.today)
    check_agreement(path, chosen_plan(path, document), stored, kept, catalog.info.digits, ordered_on)
    known = {*today.table_of, *(bundle.id for bundle in today.tables["bundles"])}
    # A wish about something that has left: what cannot be had needs no exclusion, and a demand for it cannot
    # be met.
    without = tuple(part for part in brief.without if part in known or part.startswith("kept-"))
    including = tuple(part for part in brief.including if part in known or part.startswith("kept-"))
    dropped = tuple(part for part in brief.including if part not in including)
    try:
        problem = join(survey, today, brief.model_copy(update={"without": without, "including": including}))
    except InputRefused as error:
        raise _within(f"{path} brief", error) from None
    missing = _missing(problem, catalog, stored) if changed else ()
    gone = {m.id for m in missing}
    if gone:
        prices = {(line.item, line.seller, line.amount) for line in stored.lines if line.item in gone}
        counts = {line.item: line.count for line in stored.lines}
        offers = [o for o in rows.offers if (o.part, o.seller, o.price * counts.get(o.part, 1)) in prices]
        bundles = [b for b in rows.bundles if b.id in gone]
        problem = join(survey, put_back(today, {}, offers, bundles), problem.brief)
    found: Parts | None
    try:
        found = _stored_parts(path, problem, stored)
    except InputRefused:
        if not any(m.slot is not None for m in missing):
            raise
        found = None
    return PlanFile(document, chosen, problem, found, changed, path, today, rows, missing, dropped)


def _check_slots(path: str, stored: StoredPlan, catalog: Catalog) -> None:
    """Refuse a part in the place of another: a processor cannot stand where the board does."""
    for part in stored.parts:
        own, table = f"kept-{part.slot}", TABLE_OF_SLOT[part.slot]
        if part.id is not None and catalog.table_of.get(part.id, table) != table:
            found = part.id
        elif part.id is None and part.key.partition("*")[0] not in (own, f"boxed-{part.slot}"):
            found = part.key
        else:
            continue
        expected = f"a part of {table}.csv, or {own}"
        raise refuse(f"{path} plans.parts.{part.slot}", f"is no {part.slot}", found, expected, PLAN_FILE_HINT)


def _missing(problem: Problem, catalog: Catalog, stored: StoredPlan) -> tuple[Missing, ...]:
    """What of the stored plan nobody offers today, in slot order, then extras and bundles."""
    offered = {offer.part for offer in catalog.tables["offers"]}
    found: list[Missing] = []
    for part in stored.parts:
        if part.id is not None and not any(c.key == part.key for c in problem.slot(part.slot)):
            found.append(Missing(part.slot, part.id, _state(part.id, catalog, offered)))
    slots = {part.id for part in stored.parts}
    bundles = {bundle.id for bundle in catalog.tables["bundles"]}
    for item in stored.bought:
        if item not in slots and item not in bundles and item not in offered:
            found.append(Missing(None, item, _state(item, catalog, offered)))
    return tuple(found)


def _state(part: str, catalog: Catalog, offered: set[str]) -> Literal["left", "unsold", "other-kind"]:
    if part not in catalog.table_of:
        return "left"
    return "other-kind" if part in offered else "unsold"


def _stored_parts(path: str, problem: Problem, stored: StoredPlan) -> Parts:
    """The stored plan's parts as candidates of the problem."""
    try:
        return chosen_parts(problem, stored.named)
    except InputRefused as error:
        raise _within(f"{path} plans", error) from None


def _within(where: str, error: InputRefused) -> InputRefused:
    return InputRefused([replace(fault, where=f"{where}: {fault.where}") for fault in error.faults])


__all__ = [
    "Missing",
    "PlanFile",
    "joined",
    "plan_document",
    "read_plan_file",
    "text_again",
    "write_again",
    "write_plan_file",
]
