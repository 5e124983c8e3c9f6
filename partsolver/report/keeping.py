"""Words and JSON of the kept-or-new account."""

from __future__ import annotations

from typing import Any

from partsolver.base.quantities import format_amount
from partsolver.plan.outcome import Keeping, KeptPart, Risk
from partsolver.problem.problem import Problem
from partsolver.report.page import amount_text, number_text
from partsolver.report.words.counts import count_of
from partsolver.report.words.record import SLOT_NAMES, Names

# From this age on a drive's age is worth a word (judgement; back-ups matter at any age).
OLD_DRIVE_YEARS = 5
_CONDITIONS = {
    "noisy": "it is noisy: often the fan, sometimes more",
    "bulged": "it has bulged capacitors: replace it and leave it closed",
    "failed-start": "it has failed to start: replace it and leave it closed",
}


def keeping_lines(account: Keeping, names: Names) -> list[str]:
    """What keeping saves, and the risk it carries: at most two sentences for the report."""
    if not account.parts:
        return []
    priced = [
        f"{part_word(part)} {_money(part.replacement.price, names)}"
        for part in account.parts
        if part.replacement is not None
    ]
    none = [part_word(part) for part in account.parts if part.replacement is None]
    cheapest = f"Keeping them saves {_money(account.saves, names)} {names.currency} at the cheapest offers"
    saved = cheapest if priced else "Nothing on offer would replace them; keeping them saves"
    detail = [", ".join(priced)] if priced else []
    if priced and none:
        detail.append("none on offer that fits: " + ", ".join(none))
    inside = f" ({'; '.join(detail)})" if detail else ""
    lines = [f"{saved}{inside}{', and' if priced else ''} {_waste(account)}."]
    risks = [words for part in account.parts if (words := risk_words(part))]
    if risks:
        lines.append("Risk kept: " + "; ".join(risks) + ".")
    return lines


def _waste(account: Keeping) -> str:
    about, typical = ("", "") if account.stated else ("about ", " (typical masses)")
    return f"{about}{kilograms(account.waste_g)} of waste{typical}"


def part_word(part: KeptPart) -> str:
    """A kept part in a sentence: what it is, by its name where there may be several."""
    return part.name if part.slot == "other-drive" else SLOT_NAMES[part.slot]


def risk_words(part: KeptPart) -> str:
    """The risks of one part, empty when there is none worth a word."""
    told = [words for risk in part.risks if (words := _risk(part, risk))]
    return f"{part_word(part)} {', '.join(told)}" if told else ""


def _risk(part: KeptPart, risk: Risk) -> str:
    if risk.kind == "age":
        if part.slot != "psu" and int(risk.value or 0) < OLD_DRIVE_YEARS:
            return ""
        return f"{count_of(risk.value, 'year')} old"
    if risk.kind == "age-unknown":
        return "of unknown age"
    if risk.kind == "trusted":
        return "" if risk.value == 100 else f"trusted with {risk.value} % of its label"
    if risk.kind == "condition":
        return _CONDITIONS.get(str(risk.value), str(risk.value))
    if risk.kind == "condition-unknown":
        return "its state not looked at"
    return "from the years of faulty capacitors: look at it through its grille, leave it closed"


def replacement_words(part: KeptPart, names: Names) -> str:
    """What one part would be replaced by and its mass, for the bench sheet."""
    mass = ("" if part.mass_basis == "stated" else "about ") + kilograms(part.mass_g)
    if part.replacement is None:
        new = (
            "nothing on offer would replace it"
            if part.searched
            else "none of the cheapest on offer would replace it"
        )
    else:
        new = (
            f"replacing it: {names.get(part.replacement.id, part.replacement.id)},"
            f" {_money(part.replacement.price, names)} {names.currency}"
        )
    risks = ", ".join(words for risk in part.risks if (words := _risk(part, risk)))
    return f"{new}; {mass} of waste saved" + (f"; {risks}" if risks else "")


def total_words(account: Keeping, names: Names) -> str:
    """The sums, for the bench sheet."""
    if all(part.replacement is None for part in account.parts):
        return f"saves {_waste(account)}"
    return (
        f"saves {_money(account.saves, names)} {names.currency} at the cheapest offers, without delivery, and"
        f" {_waste(account)}"
    )


def kilograms(grams: int) -> str:
    """Grams as kilograms with one decimal, halves up; small masses stay grams."""
    tenths = (grams + 50) // 100
    return f"{grams} g" if grams < 1000 else f"{number_text(f'{tenths // 10}.{tenths % 10}')} kg"


def _money(minor: int, names: Names) -> str:
    return amount_text(minor, names.digits)


def keeping_document(account: Keeping | None, problem: Problem) -> dict[str, Any] | None:
    """``parts`` [{slot, name, mass_g, mass_basis, replacement {id, name, price, mass_g} or null,
    searched_all, risks [{kind, value}]}], ``saves`` (decimal string, without delivery), ``waste_g``,
    ``mass_stated``."""
    if account is None:
        return None
    digits = problem.catalog.digits
    return {
        "parts": [
            {
                "slot": part.slot,
                "name": part.name,
                "mass_g": part.mass_g,
                "mass_basis": part.mass_basis,
                "replacement": (
                    None
                    if part.replacement is None
                    else {
                        "id": part.replacement.id,
                        "name": problem.names.get(part.replacement.id, part.replacement.id),
                        "price": format_amount(part.replacement.price, digits),
                        "mass_g": part.replacement.mass_g,
                    }
                ),
                "searched_all": part.searched,
                "risks": [{"kind": risk.kind, "value": risk.value} for risk in part.risks],
            }
            for part in account.parts
        ],
        "saves": format_amount(account.saves, digits),
        "waste_g": account.waste_g,
        "mass_stated": account.stated,
    }


__all__ = ["keeping_document", "keeping_lines", "kilograms", "replacement_words", "total_words"]
