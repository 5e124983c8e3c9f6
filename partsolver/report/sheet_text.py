"""The bench sheet on a terminal: the same content, 80 columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from partsolver.report.network import network_lines
from partsolver.report.page import current_page, row, wrap
from partsolver.report.sheet_records import SellerOrder, StepView
from partsolver.report.sheet_view import view
from partsolver.report.words import sheet as w
from partsolver.sheet.context import Context

BAR = 30


def sheet_text(context: Context) -> str:
    """The whole sheet."""
    shown = view(context)
    lines = [shown.title, "=" * min(len(shown.title), current_page().width), ""]
    lines += _pairs(shown.summary)
    lines += ["", wrap(w.INTRO, "")]
    lines += [wrap(f"! {text}", "", "  ") for text in shown.alerts]
    if shown.cautions:
        lines += _heading("Cautions")
        for group, texts in shown.cautions:
            lines += [group, *_bullets(texts)]
    if shown.orders:
        lines += _heading("Order list")
        for order in shown.orders:
            lines += _order(order)
        lines += [f"{'Total':<60}{shown.total:>20}"]
        if shown.stand_ins:
            lines += ["", "Stand-ins: nothing else changes with them", *_bullets(shown.stand_ins)]
    lines += [*_heading("What stays, what goes"), "Stays", *_pairs(shown.kept)]
    if shown.leaving:
        lines += ["Goes", *_bullets([f"{part}, {mass}: {where}" for part, mass, where in shown.leaving])]
        lines += [
            wrap(
                "Your local rules on electronics waste decide. The coin cell of an old board goes to the"
                " battery collection.",
                "  ",
            )
        ]
    if shown.phases:
        lines += _heading("Work order of this plan")
        if shown.terms:
            lines += ["Words used here", *_bullets([f"{term}: {meaning}" for term, meaning in shown.terms])]
        for phase, title, steps in shown.phases:
            lines += ["", title, "-" * len(title)]
            if phase == "case" and shown.positions:
                lines += [
                    wrap(
                        "Seen from above, rear panel away from you; from the board's corner at the ports to"
                        " the left and to the front:",
                        "  ",
                    )
                ]
                lines += ["  hole   left mm  front mm"]
                lines += [
                    f"  {letter:<5}{left:>9}{front:>10}  {action}"
                    for letter, left, front, action in shown.positions
                ]
            for step in steps:
                lines += _step(step)
            if phase == "start" and shown.suspects:
                lines += ["", "No picture?", wrap(w.NO_PICTURE_INTRO, "  ")]
                lines += [wrap(f"{n}. {text}", "  ", "     ") for n, text in enumerate(shown.suspects, 1)]
    lines += _heading("Power: load against limit")
    for rail in shown.rails:
        lines += [
            f"  {rail.name}",
            (
                f"    {_bar(rail.value, rail.limit, rail.most)}  load {rail.load}, usable {rail.usable},"
                f" label {rail.label}"
            ),
        ]
    lines += [wrap(w.POWER_NOTE, "  "), "", *network_lines(context.problem, context.parts)]
    if shown.times:
        lines += _heading("Speed: where the time goes, now and then")
        for row in shown.times:
            lines += [f"  {row.name}"]
            lines += [
                f"    now  {row.now:>8} {_bar(row.now_permille, None, 1000)}",
                f"    then {row.then:>8} {_bar(row.then_permille, None, 1000)}",
            ]
        lines += [wrap(w.SPEED_NOTE, "  ")]
    lines += _heading("Findings, margins and sources")
    for found in shown.findings:
        margin = f" Margin {found.margin}." if found.margin else ""
        lines += [
            wrap(
                f"[{found.verdict}] {found.title}: {found.sentence}{margin} (Source: {found.source})",
                "  ",
                "    ",
            )
        ]
    if shown.questions:
        lines += _heading("Open questions")
        for question in shown.questions:
            lines += [wrap(question, "  - ", "    "), f"    -> {w.ANSWER}: ____________________"]
    lines += [*_heading("Where this sheet comes from"), *_pairs(shown.provenance)]
    return "\n".join(lines) + "\n"


def _heading(title: str) -> list[str]:
    return ["", title.upper(), "=" * len(title)]


def _bullets(items: Sequence[str]) -> Iterator[str]:
    return (wrap(item, "  - ", "    ") for item in items)


def _pairs(rows: Sequence[tuple[str, str]]) -> Iterator[str]:
    return (wrap(f"{name}: {value}", "  ", "    ") for name, value in rows)


def _order(order: SellerOrder) -> Iterator[str]:
    yield order.seller
    for line in order.lines:
        count = f"{line.quantity} x " if line.quantity > 1 else ""
        yield from row(((count + line.name, 58), (line.amount, -18)), 2)
        yield wrap(
            f"{line.condition}; arrives {line.arrival}" + (f"; {line.why}" if line.why else ""), "      "
        )
    yield f"  {'delivery':<58}{order.delivery:>20}"
    yield f"  {'sum':<58}{order.total:>20}"
    yield wrap(order.returns, "  ")
    yield ""


def _step(step: StepView) -> Iterator[str]:
    yield wrap(f"[ ] {step.number}. {step.text}", "  ", "      ")
    if step.note:
        yield wrap(step.note, "      ")
    if step.reading:
        yield wrap(f"{step.reading}: ____________________", "      -> ", "         ")


def _bar(value: int, limit: int | None, most: int) -> str:
    """A bar of BAR cells; ``|`` marks the limit."""
    if not current_page().drawings:
        return ""
    scale = max(most, value, 1)
    cells = ["#" if cell < BAR * value // scale else "." for cell in range(BAR)]
    if limit is not None:
        cells[min(BAR - 1, BAR * limit // scale)] = "|"
    return "".join(cells)
