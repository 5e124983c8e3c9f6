"""Words and JSON of `tradeoff`."""

from __future__ import annotations

from typing import Any

from partsolver.assembly.waste import discarded_g
from partsolver.base.quantities import format_amount
from partsolver.plan.outcome import Plan
from partsolver.problem.problem import Problem
from partsolver.report import json as report_json
from partsolver.report.document import dump
from partsolver.report.page import amount_text, current_page, decimals_text, wrap
from partsolver.report.text import names_of
from partsolver.report.words.counts import count_of
from partsolver.solve.tradeoff import Point, Tradeoff

_THIRD = {"power": "running", "waste": "waste"}


def change_words(plan: Plan, problem: Problem) -> str:
    """What a plan changes, in a few words: names of the bought parts, or "keep the PC"."""
    names = names_of(problem)
    bought = []
    for candidate in plan.parts.picked:
        if candidate.id is not None:
            count = f"{candidate.quantity} x " if candidate.quantity > 1 else ""
            bought.append(count + names.get(candidate.id, candidate.id))
    return " + ".join(bought) or "keep the PC as it is"


def yearly_cost_minor(plan: Plan, problem: Problem) -> int | None:
    """Electricity of a year at continuous power, minor units; None without a tariff in the brief."""
    from fractions import Fraction

    tariff = problem.brief.tariff_per_kwh
    if tariff is None:
        return None
    kwh = Fraction(plan.power_mw * problem.brief.hours_per_year, 1_000_000)
    return int(kwh * Fraction(tariff) * 10**problem.catalog.digits + Fraction(1, 2))


def _third(plan: Plan, problem: Problem, third: str | None) -> str:
    if third == "power":
        cost = yearly_cost_minor(plan, problem)
        return f"{-(-plan.power_mw // 1000)} W" if cost is None else amount_text(cost, problem.catalog.digits)
    if third == "waste":
        mass, complete = discarded_g(plan.parts, problem)
        return f"{'' if complete else '>'}{mass} g"
    return ""


def tradeoff_text(found: Tradeoff, problem: Problem, third: str | None) -> str:
    """The trade-off as a table, or as sentences."""
    budget = (
        ""
        if problem.budget is None
        else f" up to {amount_text(problem.budget, problem.catalog.digits)} {problem.catalog.currency}"
    )
    lines = [
        wrap(
            f"{problem.survey.pc.name}: trade-off of cost and speed-up for"
            f" {problem.use.title.lower()}{budget}",
            "",
        )
    ]
    if not found.points:
        return lines[0] + "\nNo plan exists. `partsolver why` says why.\n"
    state = "exact and proven" if found.proven else "not finished within the limit"
    resolution = problem.brief.resolution_percent
    lines += [
        wrap(
            f"{count_of(len(found.points), 'point')}, {state}; steps below {resolution} % are left out.", ""
        ),
        "",
    ]
    if not current_page().drawings:
        lines += [_point_sentence(point, problem, third) for point in found.points]
        return "\n".join(lines) + "\n"
    heading = _THIRD.get(third or "", "")
    lines.append(f"{'cost':>9}  {'speed-up (range)':<19}{'per %':>7} {heading:>8}  what changes")
    for point in found.points:
        lines += _point_lines(point, problem, third)
    lines.append("")
    lines.append(
        wrap(
            "per % = price of one more percent of speed-up in this step; < marks a knee: the next percent"
            " costs at least twice as much.",
            "",
        )
    )
    if third == "power":
        lines.append(wrap(_running_note(problem), ""))
    if third == "waste":
        lines.append(
            wrap("waste = mass of the parts thrown away; > where the mass of some part is not known.", "")
        )
    return "\n".join(lines) + "\n"


def _running_note(problem: Problem) -> str:
    if problem.brief.tariff_per_kwh is None:
        return "running = continuous power; with tariff_per_kwh in the brief it is the cost of a year."
    hours, tariff = problem.brief.hours_per_year, problem.brief.tariff_per_kwh
    return (
        f"running = electricity of a year at continuous power: {hours} h at {tariff}"
        f" {problem.catalog.currency} per kWh (an upper estimate)."
    )


def _point_sentence(point: Point, problem: Problem, third: str | None) -> str:
    """One point for a screen reader."""
    plan, digits = point.plan, problem.catalog.digits
    speed = "speed not known"
    if plan.speedup is not None:
        low, high = plan.speedup.low_milli / 1000, plan.speedup.high_milli / 1000
        speed = (
            f"{decimals_text(plan.speedup.expected_milli / 1000, 2)} times as fast"
            f" ({decimals_text(low, 2)} to {decimals_text(high, 2)})"
        )
    said = [f"{amount_text(plan.draft.cost, digits)} {problem.catalog.currency}: {speed}"]
    if point.price_per_percent_minor is not None:
        said.append(f"one more percent costs {amount_text(point.price_per_percent_minor, digits)} here")
    if point.knee:
        said.append("the next percent costs at least twice as much")
    if third is not None:
        said.append(f"{_THIRD[third]} {_third(plan, problem, third)}")
    return wrap(f"{'; '.join(said)}. {change_words(plan, problem)}.", "", "  ")


def _point_lines(point: Point, problem: Problem, third: str | None) -> list[str]:
    import textwrap

    plan = point.plan
    digits = problem.catalog.digits
    speed = "not known"
    if plan.speedup is not None:
        low, high = plan.speedup.low_milli / 1000, plan.speedup.high_milli / 1000
        speed = f"{decimals_text(plan.speedup.expected_milli / 1000, 2)}x ({decimals_text(low, 2)}-{decimals_text(high, 2)})"
    price = (
        "" if point.price_per_percent_minor is None else amount_text(point.price_per_percent_minor, digits)
    )
    mark = "<" if point.knee else " "
    first, *rest = textwrap.wrap(change_words(plan, problem), current_page().width - 49) or [""]
    lines = [
        f"{amount_text(plan.draft.cost, digits):>9} "
        f" {speed:<19}{price:>7}{mark}{_third(plan, problem, third):>8}  {first}"
    ]
    return lines + [" " * 49 + more for more in rest]


def tradeoff_json(found: Tradeoff, problem: Problem, third: str | None) -> str:
    """The same as one JSON document."""
    return dump(
        {
            "schema": "partsolver.tradeoff/1",
            "proven": found.proven,
            "proof": report_json.proof_document(found.proof),
            "currency": problem.catalog.currency,
            "resolution_percent": problem.brief.resolution_percent,
            "points": [_point_document(point, problem, third) for point in found.points],
        }
    )


def _point_document(point: Point, problem: Problem, third: str | None) -> dict[str, Any]:
    plan = point.plan
    digits = problem.catalog.digits
    document: dict[str, Any] = {
        "cost": format_amount(plan.draft.cost, digits),
        "speedup": report_json.speedup_document(plan.speedup),
        "time_ppm": plan.draft.time_ppm,
        "price_per_percent": (
            None
            if point.price_per_percent_minor is None
            else format_amount(point.price_per_percent_minor, digits)
        ),
        "knee": point.knee,
        "parts": report_json.parts_document(plan.parts, problem),
        "power_w": -(-plan.power_mw // 1000),
    }
    if third == "power":
        yearly = yearly_cost_minor(plan, problem)
        document["running_cost_per_year"] = None if yearly is None else format_amount(yearly, digits)
    if third == "waste":
        mass, complete = discarded_g(plan.parts, problem)
        document["discarded_g"], document["discarded_complete"] = mass, complete
    return document
