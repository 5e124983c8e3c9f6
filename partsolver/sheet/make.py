"""From a plan file to the context of its bench sheet: the stored parts are bought and judged again as things are now."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version
from pathlib import PurePath

from partsolver.planfile import PlanFile
from partsolver.planner import draft_of
from partsolver.plans import make_plan
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
    total = cost.get("total") if isinstance(cost, dict) else None
    details = []
    for name, key in (("Solver of the plan", "solver"), ("Catalogue digest of the plan", "catalog_digest")):
        if made.get(key) is not None:
            details.append((name, str(made[key])))
    if isinstance(made.get("proven"), bool):
        details.append(("Plan proven best", "yes" if made["proven"] else "no, best found within the limit"))
    # Only the file's name: a folder may carry a person's name.
    name = PurePath(file.path).name
    return Origin(
        f"partsolver replan {name} (survey and brief are inside the plan file)", program(), total if isinstance(total, str) else None,
        file.catalog_changed, tuple(details),
    )  # fmt: skip


def program() -> str:
    """Name and version of this program."""
    try:
        return f"partsolver {version('partsolver')}"
    except PackageNotFoundError:
        return "partsolver, version not known (run from its sources)"
