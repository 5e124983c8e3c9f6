"""From a plan file to the context of its bench sheet: the stored parts are bought and judged again as things
are now."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version
from pathlib import PurePath

from partsolver.plan.complete import draft_of
from partsolver.plan.make import make_plan
from partsolver.planfile.plan_file import PlanFile
from partsolver.rules import all_rules
from partsolver.sheet.context import Context, Origin


def context_of(file: PlanFile) -> Context:
    """The context of the chosen plan. Nothing is solved."""
    rules = all_rules()
    stored = file.stored_plan
    draft = draft_of(file.problem, file.parts, rules)
    plan = make_plan(file.problem, draft, rules, file.chosen, _number(stored.get("step")), None)
    return Context(file.problem, plan, _origin(file))


def _number(value: object) -> int:
    return value if isinstance(value, int) and not isinstance(value, bool) else 0


def _origin(file: PlanFile) -> Origin:
    made = file.document.get("provenance")
    made = made if isinstance(made, dict) else {}
    cost = file.stored_plan.get("cost")
    proven = made.get("proven")
    return Origin(
        PurePath(file.path).name,
        program_version(),
        _text(cost.get("total")) if isinstance(cost, dict) else None,
        file.catalog_changed,
        _text(made.get("solver")),
        _text(made.get("catalog_digest")),
        proven if isinstance(proven, bool) else None,
        tuple(missing.id for missing in file.missing),
    )


def _text(value: object) -> str | None:
    return value if isinstance(value, str) else None


def program_version() -> str | None:
    """Version of this program, None when it runs without being installed."""
    try:
        return version("partsolver")
    except PackageNotFoundError:
        return None
