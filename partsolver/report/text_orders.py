"""Order lines, what stays, every finding and where the answer comes from, as text."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from partsolver.assembly.cards import placement
from partsolver.assembly.memory import effective_rate_mts
from partsolver.performance.present import present_parts
from partsolver.plan.draft import Line
from partsolver.plan.outcome import Outcome, Plan
from partsolver.problem.candidates import Candidate, Parts
from partsolver.problem.problem import Problem
from partsolver.report.looks import price_note
from partsolver.report.page import (
    amount_text,
    date_text,
    date_words,
    decimals_text,
    number_text,
    row,
    shortest_text,
    wrap,
)
from partsolver.report.replacing import replaced_words
from partsolver.report.words.counts import count_of
from partsolver.report.words.lookup import reason, sentence, title
from partsolver.report.words.prices import price_words
from partsolver.report.words.record import SLOT_NAMES, Names
from partsolver.report.words.second_order import second_order_summary, second_order_words
from partsolver.report.words.speed import speed_sentences


def order_lines_text(plan: Plan, problem: Problem, names: Names) -> Iterator[str]:
    draft = plan.draft
    for line in draft.lines:
        yield from _order_line(line, problem, names)
    for seller, charge in draft.deliveries:
        words = "delivery free" if charge == 0 else "delivery"
        amount = amount_text(charge, problem.catalog.digits)
        yield from row(((f"{words}, {problem.sellers[seller].name}", 60), (amount, -10)), 4)
    total = amount_text(draft.cost, problem.catalog.digits)
    yield from row(((f"total in {problem.catalog.currency}", 60), (total, -10)), 4)
    if plan.arrival is not None:
        yield f"    all there on {date_text(plan.arrival)} when ordered on {date_text(problem.today)}"
    again = second_order_line(plan, problem, names)
    if again:
        yield wrap(again, "    ", "      ")
    if plan.speedup is not None:
        low, high = times_sign(plan.speedup.low_milli), times_sign(plan.speedup.high_milli)
        yield f"    expected speed-up {times_sign(plan.speedup.expected_milli)} times ({low} to {high})"
    for said in speed_sentences(plan):
        yield wrap(said, "    ", "      ")


def second_order_lines(plan: Plan, problem: Problem, names: Names) -> list[str]:
    """What ordering each bought part again would cost, with its name in front."""
    said = second_order_said(plan, problem, names)
    return [f"{names.get(part, part)}: {words}" for part, words in said.items()]


def second_order_said(plan: Plan, problem: Problem, names: Names) -> dict[str, str]:
    """What ordering a bought part again would cost, by part."""
    found = {}
    for order in plan.second_orders:
        cost, back = (
            "" if amount is None else amount_text(amount, problem.catalog.digits)
            for amount in (order.cost, order.back)
        )
        day = "" if order.arrival is None else date_text(order.arrival)
        seller = "" if order.seller is None else problem.sellers[order.seller].name
        found[order.part] = second_order_words(order, names, cost, back, day, seller)
    return found


def second_order_line(plan: Plan, problem: Problem, names: Names) -> str:
    """The dearest of them in one sentence."""
    most = max((order.cost for order in plan.second_orders if order.cost is not None), default=0)
    return second_order_summary(plan.second_orders, names, amount_text(most, problem.catalog.digits))


def _order_line(line: Line, problem: Problem, names: Names) -> Iterator[str]:
    name = names.get(line.item, line.item)
    count = f"{line.quantity} x " if line.quantity > 1 else ""
    source = line.offer or line.bundle
    amount = amount_text(line.amount, problem.catalog.digits)
    if line.bundle is not None and line.slot is not None:
        amount = "in bundle"
    state = (
        "" if source is None or source.condition == "new" else f", {source.condition or 'state not stated'}"
    )
    seller = "" if source is None else problem.sellers[source.seller].name
    yield from row(((count + name, 36), (seller + state, 22), (amount, -10)), 4)
    note = price_note(problem, line)
    said = "" if note is None else price_words(note, problem.today)
    if said:
        yield wrap(said, "      ")


def kept_text(parts: Parts, problem: Problem, names: Names) -> list[str]:
    kept = [
        f"{SLOT_NAMES[c.slot]}: {_kept_name(c, problem, names)}"
        for c in parts.picked
        if c.kept
        and c.slot != "graphics"  # stands among the cards
        and not (c.slot == "drive" and problem.survey.system_drive is None)
    ]
    if parts.memory.mixed:
        kept.append(f"memory: {_of_present(parts, names)} beside the new ones")
    elif parts.memory.left_out:
        kept.append(f"memory: {_of_present(parts, names)}")
    others = [d.name for d in problem.drives if not d.system]
    if others:
        kept.append("other drives: " + ", ".join(others))
    placed = {name for name, _ in placement(problem, parts.board, parts.case, parts.graphics).placed}
    cards = [card.name for card in problem.cards_with(parts.graphics) if card.name in placed]
    cards = [name for name in cards if parts.graphics.card is None or name != parts.graphics.card.name]
    if cards:
        kept.append("cards: " + ", ".join(cards))
    return ["; ".join(kept)] if kept else []


def _of_present(parts: Parts, names: Names) -> str:
    return names[parts.memory.kept_key] if parts.memory.left_out else "the present modules stay"


def _kept_name(candidate: Candidate, problem: Problem, names: Names) -> str:
    if candidate.slot == "memory":
        total = candidate.part.total_mib  # type: ignore[union-attr]
        return "present modules" if total is None else f"present modules, {gib(total)}"
    return names.get(candidate.key, candidate.key)


def gib(mib: int) -> str:
    return f"{shortest_text(mib / 1024)} GB"


def extras_text(plan: Plan, names: Names) -> list[str]:
    return [
        f"{names.get(line.item, line.item)}: {reason(line.need, names)}"
        for line in plan.draft.lines
        if line.need is not None
    ]


def changes_text(plan: Plan, problem: Problem, names: Names) -> list[str]:
    """What the new parts change for the owner."""
    if plan.parts.unchanged:
        return []
    old, new = present_parts(problem), plan.parts
    found = []
    if not new.candidate("cpu").kept and old.cpu.cores and new.cpu.cores:
        found.append(f"processor: {count_of(old.cpu.cores, 'core')} before, {new.cpu.cores} after")
    if not new.candidate("memory").kept and new.memory.total_mib is not None:
        before = "unknown" if old.memory.total_mib is None else gib(old.memory.total_mib)
        rate = effective_rate_mts(new.board, new.cpu, new.memory)
        speed = "" if rate is None else f" at {rate} MT/s"
        found.append(f"memory: {before} before, {gib(new.memory.total_mib)} after{speed}")
    for slot in ("psu", "case", "drive"):
        candidate = new.candidate(slot)
        if not candidate.kept:
            found.append(f"{SLOT_NAMES[slot]} is replaced by {names.get(candidate.key, candidate.key)}")
    return [*found, *(replaced_words(item, plan, names) for item in plan.replaced)]


def times_sign(milli: int) -> str:
    return number_text(f"{decimals_text(Fraction(milli, 1000).__float__(), 2)}")


def provenance_lines(outcome: Outcome, problem: Problem) -> Iterator[str]:
    made = outcome.provenance
    yield wrap(
        f"Catalogue {problem.catalog.name}, {date_words(str(made.catalog_date))}, {problem.catalog.origin}; digest"
        f" {made.catalog_digest}. {made.solver}. Figures are estimates: the makers' manuals decide.",
        "",
    )


def finding_lines(plan: Plan, names: Names) -> Iterator[str]:
    """Every finding of a plan with its verdict."""
    yield "  Every finding"
    mark = {"fits": "fits   ", "fails": "FAILS  ", "unknown": "unknown"}
    for finding in plan.findings:
        verdict = "BLOCKS " if finding.blocks else mark[finding.verdict]
        yield wrap(f"{title(finding.rule)}: {sentence(finding, names)}", f"    {verdict} ", " " * 12)
