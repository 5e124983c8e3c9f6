"""The JSON documents. Field names are fixed by the design; amounts are decimal strings in the problem's
currency."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from partsolver.base.quantities import format_amount
from partsolver.plan.choices import Choices
from partsolver.plan.draft import Line
from partsolver.plan.findings import Finding
from partsolver.plan.outcome import CompletePc, Conflict, Interval, LeftOut, Outcome, Plan, Proof, SecondOrder
from partsolver.planfile.stored import RECOMMENDATION
from partsolver.problem.candidates import Parts
from partsolver.problem.problem import Problem
from partsolver.problem.variants import OVERRIDES
from partsolver.report.hoped import assumed_document, hoped_document
from partsolver.report.keeping import keeping_document
from partsolver.report.looks import looks_document, price_note
from partsolver.report.words.lookup import caution_text, question_text
from partsolver.report.words.prices import price_words
from partsolver.report.words.speed import seconds_of

SCHEMA = RECOMMENDATION


def recommendation(outcome: Outcome, problem: Problem, choices: Choices | None = None) -> dict[str, Any]:
    """The document of `recommend`; ``choices``: the plans of the short answer, null where the exact list was
    asked for."""
    return {
        "schema": SCHEMA,
        "outcome": outcome.status,
        "currency": problem.catalog.currency,
        "goal": problem.brief.goal,
        "use": problem.use.name,
        "budget": None if problem.budget is None else money(problem, problem.budget),
        "plans": [plan_document(plan, problem) for plan in outcome.plans],
        "choices": None if choices is None else choices_document(choices, problem),
        "complete_pcs": [complete_pc_document(pc, problem) for pc in outcome.complete_pcs],
        "hoped_plan": hoped_document(
            outcome.hoped,
            problem,
            None if outcome.hoped is None else plan_document(outcome.hoped.plan, problem),
        ),
        "conflict": None if outcome.conflict is None else conflict_document(outcome.conflict),
        "left_out": left_out_document(outcome.left_out, problem),
        "provenance": {
            "catalog_name": problem.catalog.name,
            "catalog_digest": outcome.provenance.catalog_digest,
            "catalog_date": outcome.provenance.catalog_date,
            "catalog_origin": problem.catalog.origin,
            "order_date": problem.today.isoformat(),
            "solver": outcome.provenance.solver,
            "limits": {"deterministic_seconds": outcome.provenance.deterministic_limit_s},
            "proven": outcome.status in ("optimal", "impossible"),
            "proof": proof_document(outcome.provenance.proof),
            "interrupted": outcome.provenance.interrupted,
            "better_percent": outcome.provenance.better_percent,
            "bound": {
                "least_time_ppm": outcome.provenance.least_time_ppm,
                "proven_time_ppm": outcome.provenance.proven_bound_ppm,
                "present_time_ppm": outcome.present_time_ppm,
            },
        },
    }


def choices_document(found: Choices, problem: Problem) -> dict[str, Any]:
    """``plans`` [{rank, kinds, proven, gain, plan}] and the complete PC that stands among them."""
    return {
        "plans": [
            {
                "rank": choice.plan.rank,
                "kinds": list(choice.kinds),
                "proven": choice.proven,
                "gain": milli(choice.gain_milli) if choice.gain_milli else None,
                "plan": plan_document(choice.plan, problem),
            }
            for choice in found.plans
        ],
        "complete_pc": (
            None
            if found.complete_pc is None
            else {"rank": found.pc_rank, **complete_pc_document(found.complete_pc, problem)}
        ),
    }


def complete_pc_document(pc: CompletePc, problem: Problem) -> dict[str, Any]:
    """A complete PC: what it is, its cost, speed-up and day of arrival."""
    return {
        "id": pc.bundle.id,
        "name": pc.bundle.name,
        "condition": pc.bundle.condition,
        "seller": pc.bundle.seller,
        "seller_name": problem.sellers[pc.bundle.seller].name,
        "cost": money(problem, pc.cost),
        "speedup": speedup_document(pc.speedup),
        "time_ppm": pc.time_ppm,
        "arrival": pc.arrival.isoformat(),
    }


def name(problem: Problem, part: str | None) -> str | None:
    """The name beside an id; an id without a name stands for itself."""
    return None if part is None else problem.names.get(part, part)


def proof_document(proof: Proof) -> dict[str, Any]:
    """By what an answer is proven ("search", "model"), and how many combinations the model chose among."""
    return {"by": list(proof.by), "combinations": proof.combinations}


def left_out_document(left: LeftOut, problem: Problem) -> dict[str, Any] | None:
    """Optional cards and drives that stay out, and the first plan with all of them kept; None where all
    stay."""
    if not left.names:
        return None
    kept = left.kept
    return {
        "names": list(left.names),
        "cost_with_them": None if kept is None else money(problem, kept.draft.cost),
        "speedup_with_them": None if kept is None else speedup_document(kept.speedup),
    }


def money(problem: Problem, minor: int) -> str:
    """Minor units as a decimal string."""
    return format_amount(minor, problem.catalog.digits)


def parts_document(parts: Parts, problem: Problem) -> dict[str, Any]:
    """board, cpu, memory [{id, name, count}] and the replaced kept parts; the name of each beside it."""
    memory = []
    if parts.memory.kit is not None:
        kit = parts.memory.kit.id
        memory.append({"id": kit, "name": name(problem, kit), "count": parts.memory.kits})
    if parts.memory.with_kept:
        kept = parts.memory.kept_key
        memory.append({"id": kept, "name": name(problem, kept), "count": 1})
    ids = {
        "board": parts.candidate("board").id or "kept-board",
        "cpu": parts.candidate("cpu").id or "kept-cpu",
        "cooler": parts.cooler.id,
        "psu": parts.psu.id,
        "case": parts.case.id,
        "drive": parts.drive.id,
        "graphics": parts.graphics.id,
    }
    return {
        "board": ids["board"],
        "board_name": name(problem, ids["board"]),
        # The state (firmware, shield, cooler in the box ...) where one part is sold in several.
        **{f"{slot}_variant": parts.candidate(slot).key for slot in OVERRIDES},
        "cpu": ids["cpu"],
        "cpu_name": name(problem, ids["cpu"]),
        "memory": memory,
        **{
            key: value
            for slot in ("cooler", "psu", "case", "drive", "graphics")
            for key, value in ((slot, ids[slot]), (f"{slot}_name", name(problem, ids[slot])))
        },
    }


def line_document(line: Line, problem: Problem) -> dict[str, Any]:
    source = line.offer or line.bundle
    return {
        "id": line.item,
        "name": name(problem, line.item),
        "count": line.quantity,
        "amount": money(problem, line.amount),
        "seller": None if source is None else source.seller,
        "seller_name": None if source is None else problem.sellers[source.seller].name,
        "bundle": line.bundle.id if line.bundle is not None and line.slot is not None else None,
        "condition": None if source is None else source.condition,
        "arrival": None if source is None else problem.arrival(source).isoformat(),
        "needed_by_rule": None if line.need is None else line.need.rule,
        "price_note": _price_note(line, problem),
    }


def _price_note(line: Line, problem: Problem) -> dict[str, Any] | None:
    """What a store knows of an offer beside its price."""
    note = price_note(problem, line)
    if note is None:
        return None
    return {
        "stated_on": note.stated_on.isoformat(),
        "above_lowest_percent": note.above_lowest_percent,
        "times": note.times,
        "sold_out": note.sold_out,
        "text": price_words(note, problem.today),
    }


def plan_document(plan: Plan, problem: Problem) -> dict[str, Any]:
    draft = plan.draft
    lines = [line_document(line, problem) for line in draft.lines]
    for seller, charge in draft.deliveries:
        if charge:
            lines.append(
                {
                    "id": f"delivery:{seller}",
                    "name": f"delivery, {problem.sellers[seller].name}",
                    "count": 1,
                    "amount": money(problem, charge),
                    "seller": seller,
                    "seller_name": problem.sellers[seller].name,
                    "bundle": None,
                    "condition": None,
                    "arrival": None,
                    "needed_by_rule": None,
                }
            )
    extras: dict[str, int] = {}
    for line in draft.lines:
        if line.need is not None or line.slot == "cooler":
            extras[line.item] = extras.get(line.item, 0) + line.quantity
    return {
        "rank": plan.rank,
        "parts": {
            **parts_document(plan.parts, problem),
            "extras": _extras_document(extras, problem),
        },
        "extras": _extras_document(extras, problem),
        "cost": {"total": money(problem, draft.cost), "lines": lines},
        "speedup": speedup_document(plan.speedup),
        **speed_account(plan),
        "step": plan.step,
        "assumed": assumed_document(problem, draft),
        "looks": looks_document(problem, draft),
        "time_ppm": draft.time_ppm,
        "equal_to_previous": plan.equal_to_previous,
        "arrival": None if plan.arrival is None else plan.arrival.isoformat(),
        "power": {
            "continuous_w": -(-plan.power_mw // 1000),
            "margin_w": None if plan.power_margin_mw is None else plan.power_margin_mw // 1000,
        },
        "findings": [finding_document(finding, problem) for finding in plan.findings],
        "stand_ins": [
            {
                "replaces": s.replaces,
                "replaces_name": name(problem, s.replaces),
                "id": s.id,
                "name": name(problem, s.id),
                "count": s.count,
                "difference": money(problem, s.difference),
            }
            for s in plan.stand_ins
        ],
        "second_orders": [_second_order_document(order, problem) for order in plan.second_orders],
        "kept_or_new": keeping_document(plan.keeping, problem),
        "replaced": [
            {
                "slot": item.slot,
                "refused_with_present": [finding_document(finding, problem) for finding in item.refused],
                "best_keeping_it": (
                    None
                    if item.keeping is None
                    else {
                        "rank": item.rank,
                        "parts": parts_document(item.keeping.parts, problem),
                        "cost": money(problem, item.keeping.draft.cost),
                        "time_ppm": item.keeping.draft.time_ppm,
                        "speedup": speedup_document(item.keeping.speedup),
                    }
                ),
                "proven": item.proven,
            }
            for item in plan.replaced
        ],
        "fragile": list(plan.fragile),
        "fragile_names": [name(problem, part) for part in plan.fragile],
        "exposure": [
            {
                "part": e.part,
                "part_name": name(problem, e.part),
                "stand_in": e.stand_in,
                "stand_in_name": name(problem, e.stand_in),
                "best_left_rank": e.rank,
                "best_left_time_ppm": e.time_ppm,
                "best_left_cost": None if e.cost is None else money(problem, e.cost),
                "fragile": e.fragile,
            }
            for e in plan.exposure
        ],
        "cautions": [{"id": name, "text": caution_text(name)} for name in plan.cautions],
        "open_questions": [
            {"fact": path, "text": question_text(path, problem.names)} for path in plan.open_questions
        ],
    }


def _second_order_document(order: SecondOrder, problem: Problem) -> dict[str, Any]:
    return {
        "part": order.part,
        "part_name": name(problem, order.part),
        "id": order.id,
        "name": name(problem, order.id),
        "seller": order.seller,
        "seller_name": None if order.seller is None else problem.sellers[order.seller].name,
        "cost": None if order.cost is None else money(problem, order.cost),
        "arrival": None if order.arrival is None else order.arrival.isoformat(),
        "back": None if order.back is None else money(problem, order.back),
    }


def _extras_document(extras: dict[str, int], problem: Problem) -> list[dict[str, Any]]:
    return [{"id": item, "name": name(problem, item), "count": extras[item]} for item in sorted(extras)]


def speed_account(plan: Plan) -> dict[str, Any]:
    """What took 10 seconds, what holds the new PC back, where the gain comes from, how fast programs
    start."""
    if plan.speedup is None or plan.account is None:
        return dict.fromkeys(
            ("ten_seconds", "held_back_by", "gain_by_resource", "gain_by_part", "program_start"), None
        )
    expected, low, high = seconds_of(plan.speedup)
    account = plan.account
    return {
        "ten_seconds": {"expected": expected, "low": low, "high": high},
        "held_back_by": {"resource": account.held_back_by, "percent": account.held_back_percent},
        "gain_by_resource": dict(account.gain_by_resource),
        "gain_by_part": dict(account.gain_by_part),
        "program_start": speedup_document(account.program_start),
    }


def speedup_document(interval: Interval | None) -> dict[str, Any] | None:
    if interval is None:
        return None
    return {
        "expected": milli(interval.expected_milli),
        "low": milli(interval.low_milli),
        "high": milli(interval.high_milli),
    }


def milli(value: int) -> float:
    """Thousandths as a JSON number with three decimals."""
    return float(Decimal(value) / 1000)


def finding_document(finding: Finding, problem: Problem) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "verdict": finding.verdict,
        "value": finding.value,
        "limit": finding.limit,
        "margin": finding.margin,
        "unit": finding.unit,
        "parts": list(finding.parts),
        "part_names": [name(problem, part) for part in finding.parts],
        "facts": dict(finding.facts),
        "blocks": finding.blocks,
        "question": finding.question,
    }


def conflict_document(conflict: Conflict) -> dict[str, Any]:
    boards, cpus, memory = conflict.totals
    return {
        "rules": list(conflict.rules),
        "totals": {"boards": boards, "cpus": cpus, "memory": memory},
        "counts": [
            {"rule": c.rule, "boards": c.boards, "cpus": c.cpus, "memory": c.memory} for c in conflict.counts
        ],
        "empty": list(conflict.empty_slots),
    }


def check_document(
    plan: Plan, problem: Problem, ids: Sequence[str], left_out: Sequence[str] = ()
) -> dict[str, Any]:
    """The document of `check`; ``left_out``: optional things of the PC that have to stay out for it."""
    return {
        "schema": "partsolver.check/1",
        "fits": plan.admitted,
        "asked": list(ids),
        "left_out": list(left_out),
        "currency": problem.catalog.currency,
        **{
            k: v
            for k, v in plan_document(plan, problem).items()
            if k not in ("rank", "step", "equal_to_previous")
        },
    }
