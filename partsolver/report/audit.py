"""Words and JSON of `audit`."""

from __future__ import annotations

from typing import Any

from partsolver.audit.run import Audit
from partsolver.report.document import dump
from partsolver.report.page import wrap
from partsolver.report.words.counts import count_of

LAW_WORDS = {
    "plans-stand": "plans pass every rule, amounts add up, the order is right",
    "every-combination": "plans, and a no, are what trying every combination gives",
    "without-pruning": "search and solver agree with the solver alone on all parts",
    "more-budget": "more budget is never worse",
    "part-removed": "removing a part is never better",
    "part-sold-out": "a sold-out part never returns, and nothing gets better",
    "trade-off": "the trade-off is monotone and no plan beats it",
}


def audit_text(found: Audit, name: str, written: str | None) -> str:
    """What was asked and what broke."""
    lines = [f"{name}: {count_of(found.trials, 'trial')} of this catalogue and survey.", ""]
    for law, asked in found.asked.items():
        count = asked.with_plan + asked.without_plan
        no = f", {asked.without_plan} of them without a plan" if asked.without_plan else ""
        unknown = f"; {asked.undecided} too large or not decided" if asked.undecided else ""
        lines.append(wrap(f"{LAW_WORDS[law]}: {count_of(count, 'time')}{no}{unknown}.", "  - ", "    "))
    lines.append("")
    if found.broken is None:
        lines.append("No law was broken.")
    else:
        lines.append(wrap(f"BROKEN: {LAW_WORDS[found.broken.law]}.", ""))
        lines.append(wrap(f"Seen: {found.reason}.", "  "))
        if written is not None:
            lines.append(
                wrap(
                    f"The smallest data that show it are in {written}. It holds your own rows: look through it, then send"
                    f" it in. To ask again: partsolver audit {written}.",
                    "  ",
                )
            )
    return "\n".join(lines) + "\n"


def again_text(law: str, reason: str | None) -> str:
    """What asking a counter-example again gave."""
    if reason is None:
        return f"{LAW_WORDS[law]}: holds for this folder.\n"
    return wrap(f"BROKEN: {LAW_WORDS[law]}.", "") + "\n" + wrap(f"Seen: {reason}.", "  ") + "\n"


def audit_json(found: Audit, written: str | None) -> str:
    """The same as one document."""
    broken = found.broken
    return dump(
        {
            "schema": "partsolver.audit/1",
            "trials": found.trials,
            "refused": found.refused,
            "laws": [
                {
                    "law": law,
                    "with_plan": asked.with_plan,
                    "without_plan": asked.without_plan,
                    "undecided": asked.undecided,
                }
                for law, asked in found.asked.items()
            ],
            "broken": None if broken is None else _broken(broken.law, found.reason, written),
        }
    )


def again_json(law: str, reason: str | None) -> str:
    """What asking again gave, as one document of the same shape."""
    return dump(
        {
            "schema": "partsolver.audit/1",
            "trials": 1,
            "refused": 0,
            "laws": [],
            "broken": None if reason is None else _broken(law, reason, None),
        }
    )


def _broken(law: str, reason: str | None, written: str | None) -> dict[str, Any]:
    return {"law": law, "reason": reason, "folder": written}
