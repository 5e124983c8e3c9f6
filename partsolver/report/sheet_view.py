"""The bench sheet's content in words, once for HTML and terminal alike."""

from __future__ import annotations

import re
from collections.abc import Iterator

from partsolver.assembly.supply import mains_mw
from partsolver.base.quantities import format_amount
from partsolver.plan.draft import Line
from partsolver.plan.findings import Finding
from partsolver.plan.outcome import KeptPart, StandIn
from partsolver.problem.candidates import SLOTS
from partsolver.report.keeping import replacement_words, total_words
from partsolver.report.network import network_view
from partsolver.report.page import (
    amount_text,
    date_text,
    decimals_text,
    number_text,
    shortest_text,
    thousandths_text,
)
from partsolver.report.sheet_provenance import provenance_rows
from partsolver.report.sheet_records import (
    FindingView,
    OrderLine,
    RailView,
    SellerOrder,
    SheetView,
    StepView,
    TimeView,
)
from partsolver.report.text import names_of
from partsolver.report.text_orders import second_order_said
from partsolver.report.words import sheet as w
from partsolver.report.words import steps as words_steps
from partsolver.report.words import steps_before as words_steps_before
from partsolver.report.words import steps_start as words_steps_start
from partsolver.report.words import steps_work as words_steps_work
from partsolver.report.words import suspects as words_suspects
from partsolver.report.words.counts import count_of
from partsolver.report.words.lookup import (
    caution_text,
    finding_caution,
    question_text,
    reason,
    sentence,
    title,
)
from partsolver.report.words.network import narrowest_words
from partsolver.report.words.not_checked import not_checked
from partsolver.report.words.record import SLOT_NAMES, Names
from partsolver.report.words.speed import ten_seconds
from partsolver.rules import buying_budget, buying_order, rule
from partsolver.sheet.context import Context
from partsolver.sheet.leaving import leaving
from partsolver.sheet.pictures import rail_loads, times
from partsolver.sheet.steps import by_phase
from partsolver.sheet.suspects import suspects_of
from partsolver.sheet.tray import tray_of

STEP_WORDS = {**words_steps_before.STEPS, **words_steps_work.STEPS, **words_steps_start.STEPS}


def view(context: Context) -> SheetView:
    """The sheet of one plan."""
    names = names_of(context.problem)
    plan, problem = context.plan, context.problem
    phases = tuple(_phases(context))
    suspects = tuple(words_suspects.SUSPECTS[s.id](s.facts(context)) for s in suspects_of(context))
    cautions = _cautions(context, names)
    tray = tray_of(context)
    read = " ".join([*(f"{s.text} {s.note or ''}" for _, _, steps in phases for s in steps), *suspects])
    return SheetView(
        title=f"Bench sheet: {problem.survey.pc.name}",
        summary=tuple(_summary(context, names)),
        alerts=tuple(_alerts(context, names)),
        cautions=cautions,
        orders=tuple(_orders(context, names)),
        total=_money(context, plan.draft.cost),
        stand_ins=tuple(_stand_in(s, context, names) for s in plan.stand_ins),
        kept=tuple(_kept(context, names)),
        leaving=tuple(_leaving(context)),
        phases=phases,
        suspects=suspects,
        tray=tray,
        positions=(
            ()
            if tray is None
            else tuple((p.letter, _mm(p.x_um), _mm(p.y_um), w.ACTIONS[p.action]) for p in tray.positions)
        ),
        rails=tuple(_rails(context)),
        network=network_view(problem, context.parts),
        times=tuple(_times(context)),
        findings=tuple(_findings(context, names)),
        not_checked=not_checked(plan.findings),
        questions=tuple(question_text(path, names) for path in plan.open_questions),
        terms=tuple(
            (term, meaning)
            for term, (keys, meaning) in w.TERMS.items()
            if any(re.search(rf"\b{re.escape(key)}s?\b", read) for key in keys)
        ),
        provenance=tuple(provenance_rows(context)),
    )


def _money(context: Context, minor: int) -> str:
    return f"{amount_text(minor, context.problem.catalog.digits)} {context.problem.catalog.currency}"


def _mm(um: int) -> str:
    return f"{decimals_text(um / 1000, 2)}"


def _summary(c: Context, names: Names) -> Iterator[tuple[str, str]]:
    plan = c.plan
    bought = [
        (f"{x.quantity} x " if x.quantity > 1 else "") + names.get(x.id or "", x.id or "")
        for x in plan.parts.picked
        if x.id is not None
    ]
    yield "Plan", f"number {plan.rank}: " + (" + ".join(bought) if bought else "nothing is replaced")
    yield "Cost", f"{_money(c, plan.draft.cost)}, delivery included"
    if plan.arrival is not None:
        yield "All there", f"{date_text(plan.arrival)}, when ordered on {date_text(c.problem.today)}"
    if plan.speedup is not None and c.changes:
        s = plan.speedup
        yield (
            "Expected speed-up",
            (
                f"{decimals_text(s.expected_milli / 1000, 2)} times ({decimals_text(s.low_milli / 1000, 2)} to {decimals_text(s.high_milli / 1000, 2)})"
                f" for {c.problem.use.title.lower()}: {ten_seconds(s)}"
            ),
        )
    spare = plan.power_margin_mw
    margin = (
        ""
        if spare is None
        else (f"; {spare // 1000} W to spare" if spare >= 0 else f"; {-(spare // 1000)} W too much")
    )
    if plan.narrowest is not None:
        margin += f" {narrowest_words(plan.narrowest)}"
    mains = mains_mw(plan.parts.psu, plan.power_mw)
    wall = "" if mains is None else f" (from the mains at most about {-(-mains // 1000)} W)"
    yield "Continuous power", f"{-(-plan.power_mw // 1000)} W from the supply{wall}{margin}"


def _alerts(c: Context, names: Names) -> Iterator[str]:
    for finding in c.plan.findings:
        if not finding.admits:
            yield f"DOES NOT FIT, do not order: {title(finding.rule)}. {sentence(finding, names)}"
    origin = c.origin
    now = format_amount(c.plan.draft.cost, c.problem.catalog.digits)
    if origin.catalog_changed:
        yield (
            "The catalogue has changed since this plan was made: this sheet shows prices, stock and facts as"
            " they are now."
        )
    for part in origin.missing:
        yield (
            f"{names.get(part, part)} is not on offer any more as the plan has it: it is shown as the plan"
            " file remembers it. If it is not ordered yet, make a new plan (`partsolver replan`)."
        )
    if origin.stored_cost is not None and origin.stored_cost != now:
        yield (
            f"The plan file says {number_text(origin.stored_cost)} {c.problem.catalog.currency}; bought now it costs"
            f" {_money(c, c.plan.draft.cost)}."
        )


def _cautions(c: Context, names: Names) -> tuple[tuple[str, tuple[str, ...]], ...]:
    grouped: dict[str, list[str]] = {group: [] for group in w.GROUPS}
    # Where old board, processor and cooler stay together, nothing is pulled off.
    for name in [n for n in c.plan.cautions if n != "cooler-removal" or c.cooler_off]:
        grouped[w.CAUTION_GROUPS.get(name, "parts")].append(caution_text(name))
    for finding in c.plan.findings:
        text = finding_caution(finding, names)
        group = "data" if finding.rule.startswith(("storage.", "os.")) else "parts"
        if text and not any(text in texts for texts in grouped.values()):
            grouped[group].append(text)
    return tuple((w.GROUPS[group], tuple(texts)) for group, texts in grouped.items() if texts)


def _orders(c: Context, names: Names) -> Iterator[SellerOrder]:
    digits = c.problem.catalog.digits
    draft = c.plan.draft
    charges = dict(draft.deliveries)
    sellers = list(dict.fromkeys(s.seller for ln in draft.lines if (s := ln.offer or ln.bundle) is not None))
    for seller_id in sorted(sellers):
        lines = [
            ln for ln in draft.lines if (s := ln.offer or ln.bundle) is not None and s.seller == seller_id
        ]
        seller = c.problem.sellers[seller_id]
        charge = charges.get(seller_id, 0)
        private = " Private seller: agree on a test before paying." if seller.kind == "private" else ""
        back = (
            f"Returns within {count_of(seller.returns_days, 'day')}."
            if seller.returns_days
            else "No returns."
        )
        yield SellerOrder(
            seller.name,
            tuple(_order_line(ln, c, names) for ln in lines),
            "free" if charge == 0 else amount_text(charge, digits),
            amount_text(sum(ln.amount for ln in lines) + charge, digits),
            back + private,
        )


def _order_line(line: Line, c: Context, names: Names) -> OrderLine:
    again = second_order_said(c.plan, c.problem, names).get(line.item, "")
    source = line.offer or line.bundle
    assert source is not None
    condition = source.condition or "state not stated"
    if line.offer is not None and condition != "new":
        own = any(line.item == item for item, _, _ in c.passing.got)
        condition += w.tested_words(line.offer.tested, own)
    amount = amount_text(line.amount, c.problem.catalog.digits)
    why = "" if line.need is None else reason(line.need, names)
    if line.bundle is not None and line.slot is not None:
        amount, why = "in bundle", f"part of {line.bundle.name}"
    return OrderLine(
        line.quantity,
        names.get(line.item, line.item),
        condition,
        amount,
        date_text(c.problem.arrival(source)),
        why,
        again and f"A second one: {again}",
    )


def _stand_in(stand_in: StandIn, c: Context, names: Names) -> str:
    difference = stand_in.difference
    money = amount_text(abs(difference), c.problem.catalog.digits)
    words = "at the same cost" if difference == 0 else f"{money} {'more' if difference > 0 else 'less'}"
    count = f"{stand_in.count} x " if stand_in.count > 1 else ""
    return (
        f"If {names.get(stand_in.replaces, stand_in.replaces)} is gone:"
        f" {count}{names.get(stand_in.id, stand_in.id)} ({words})"
    )


def _kept(c: Context, names: Names) -> Iterator[tuple[str, str]]:
    """What stays, with what it would cost new, its mass and its risk; then the sums."""
    survey, kept = c.problem.survey, c.keeping
    account: dict[str, list[KeptPart]] = {}
    for part in kept.parts:
        account.setdefault(part.slot, []).append(part)
    for slot in SLOTS:
        candidate = c.parts.candidate(slot)
        if (
            not candidate.kept
            or slot == "graphics"  # stands among the cards
            or (slot == "drive" and survey.system_drive is None)
            or (slot == "cooler" and survey.cooler is None)
        ):
            continue
        new = "" if slot not in account else f" ({replacement_words(account[slot][0], names)})"
        yield SLOT_NAMES[slot], names.get(candidate.key, candidate.key) + new
    if c.parts.memory.mixed:
        which = "the present modules"
        if c.parts.memory.left_out:
            which = names[c.parts.memory.kept_key]
        yield "memory", f"{which}, beside the new ones"
    elif c.parts.memory.left_out:
        yield "memory", names[c.parts.memory.kept_key]
    others = [f"{part.name} ({replacement_words(part, names)})" for part in account.get("other-drive", ())]
    for heading, items in (
        ("other drives", others),
        ("cards", [x.name for x in c.kept_cards]),
        ("monitors", [d.name for d in survey.displays]),
        ("devices", [d.name for d in survey.devices]),
    ):
        if items:
            yield heading, ", ".join(items)
    if c.placement.left:
        yield "cards without a place", ", ".join(c.placement.left)
    if kept.parts:
        yield "keeping instead of new", total_words(kept, names)


def _leaving(c: Context) -> Iterator[tuple[str, str, str]]:
    for part in leaving(c):
        count = f"{part.count} x " if part.count > 1 else ""
        name = "present module" + ("s" if part.count > 1 else "") if part.slot == "memory" else part.name
        mass = f"about {part.mass_g} g (usual)" if part.usual else f"{part.mass_g} g"
        yield f"{SLOT_NAMES[part.slot]}: {count}{name}", mass, w.where_words(part.where, part.pc)


def _phases(c: Context) -> Iterator[tuple[str, str, tuple[StepView, ...]]]:
    number = 0
    for phase, steps in by_phase(c):
        shown = []
        for step in steps:
            number += 1
            words, facts = STEP_WORDS[step.id], step.facts(c)
            said = words_steps.said
            shown.append(
                StepView(
                    number,
                    step.id,
                    said(words.text, facts) or "",
                    said(words.note, facts),
                    said(words.reading, facts),
                )
            )
        yield phase, words_steps.phase_title(phase, c.runs), tuple(shown)


def _rails(c: Context) -> Iterator[RailView]:
    for row in rail_loads(c):
        unknown = "not known"
        yield RailView(
            w.RAILS[row.rail],
            quantity(row.load, row.unit),
            unknown if row.limit is None else quantity(row.limit, row.unit),
            unknown if row.label is None else quantity(row.label, row.unit),
            row.load,
            row.limit,
            row.label or max(row.load, row.limit or 0),
        )


def _times(c: Context) -> Iterator[TimeView]:
    rows = times(c)
    for row in rows:
        yield TimeView(
            w.RESOURCES[row.resource],
            _percent(row.now_permille),
            _percent(row.then_permille),
            row.now_permille,
            row.then_permille,
        )
    if rows:
        # The shares of now are rounded one by one: together they are the whole.
        then = sum(row.then_permille for row in rows)
        yield TimeView("Altogether", _percent(1000), _percent(then), 1000, then)


def _percent(permille: int) -> str:
    return f"{decimals_text(permille / 10, 1)} %"


def quantity(value: int, unit: str) -> str:
    """A finding's number with its unit as people write it."""
    if unit == "mA":
        return f"{thousandths_text(value, 1)} A"
    if unit == "mW":
        return f"{thousandths_text(value, 0)} W"
    if unit == "MiB":
        return f"{shortest_text(value / 1024)} GiB"
    if unit == "kHz":
        return f"{decimals_text(value / 1000, 1)} MHz"
    if abs(value) == 1 and unit.endswith("s") and not unit.endswith("/s"):
        unit = unit[:-1]
    return f"{value} {unit}".strip()


def _findings(c: Context, names: Names) -> Iterator[FindingView]:
    order = {True: 0, False: 1}
    ranked = sorted(c.plan.findings, key=lambda f: (order[not f.admits], f.verdict == "fits"))
    for finding in ranked:
        yield FindingView(
            _verdict(finding),
            title(finding.rule),
            sentence(finding, names),
            _margin(finding, c),
            rule(finding.rule).SOURCE,
        )


def _verdict(finding: Finding) -> str:
    if finding.blocks:
        return "open, blocks"
    return {"fits": "fits", "fails": "DOES NOT FIT", "unknown": "open"}[finding.verdict]


def _margin(finding: Finding, c: Context) -> str:
    if finding.margin is None:
        return ""
    if finding.rule in (buying_budget.ID, buying_order.ID):
        return _money(c, finding.margin)
    if rule(finding.rule).KIND == "buying" and finding.unit == "milli":
        return f"{decimals_text(finding.margin / 1000, 2)}"
    return quantity(finding.margin, finding.unit)
