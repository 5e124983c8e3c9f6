"""The bench sheet on a terminal: the same content, 80 columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from partsolver.report.network import network_lines
from partsolver.report.page import current_page, row, wrap
from partsolver.report.sheet_records import SellerOrder, SheetView, StepView
from partsolver.report.sheet_view import view
from partsolver.report.words import sheet as w
from partsolver.report.words.not_checked import HEADING, NOTE
from partsolver.sheet.context import Context

BAR = 30


def sheet_text(context: Context) -> str:
    """The whole sheet."""
    shown = view(context)
    lines = [shown.title, "=" * min(len(shown.title), current_page().width), ""]
    lines += _pairs(shown.summary)
    lines += ["", wrap(w.INTRO, "")]
    lines += [wrap(f"! {text}", "", "  ") for text in shown.alerts]
    for part in (_cautions, _orders, _stays_and_goes, _work):
        lines += part(shown)
    lines += [*_power(shown), *network_lines(context.problem, context.parts)]
    for part in (_times, _findings, _not_checked, _questions):
        lines += part(shown)
    lines += [*_heading("Where this sheet comes from"), *_pairs(shown.provenance)]
    return "\n".join(lines) + "\n"


def _cautions(shown: SheetView) -> Iterator[str]:
    if shown.cautions:
        yield from _heading("Cautions")
    for group, texts in shown.cautions:
        yield group
        yield from _bullets(texts)


def _orders(shown: SheetView) -> Iterator[str]:
    if not shown.orders:
        return
    yield from _heading("Order list")
    for order in shown.orders:
        yield from _order(order)
    yield from row((("Total", 58), (shown.total, -20)))
    if shown.stand_ins:
        yield from ("", "Stand-ins: nothing else changes with them")
        yield from _bullets(shown.stand_ins)


def _stays_and_goes(shown: SheetView) -> Iterator[str]:
    yield from (*_heading("What stays, what goes"), "Stays", *_pairs(shown.kept))
    if shown.leaving:
        yield "Goes"
        yield from _bullets([f"{part}, {mass}: {where}" for part, mass, where in shown.leaving])
        yield wrap(
            "Your local rules on electronics waste decide. The coin cell of an old board goes to the battery"
            " collection.",
            "  ",
        )


def _work(shown: SheetView) -> Iterator[str]:
    """The steps by phase, with the tables and lists that belong to one."""
    if shown.phases:
        yield from _heading("Work order of this plan")
        if shown.terms:
            yield "Words used here"
            yield from _bullets([f"{term}: {meaning}" for term, meaning in shown.terms])
    for phase, title, steps in shown.phases:
        yield from ("", title, "-" * len(title))
        if phase == "case" and shown.positions:
            yield wrap(
                "Seen from above, rear panel away from you; from the board's corner at the ports to the left"
                " and to the front:",
                "  ",
            )
            yield from _holes(shown.positions)
        for step in steps:
            yield from _step(step)
        if phase == "start" and shown.suspects:
            yield from ("", "No picture?", wrap(w.NO_PICTURE_INTRO, "  "))
            yield from (wrap(f"{n}. {text}", "  ", "     ") for n, text in enumerate(shown.suspects, 1))


def _holes(positions: Sequence[tuple[str, str, str, str]]) -> Iterator[str]:
    """Letter, distances and what to do of each hole of the tray."""
    if current_page().drawings:
        yield "  hole   left mm  front mm"
    for letter, left, front, action in positions:
        if current_page().drawings:
            yield f"  {letter:<5}{left:>9}{front:>10}  {action}"
        else:
            yield f"  hole {letter}: {left} mm to the left, {front} mm to the front: {action}"


def _power(shown: SheetView) -> Iterator[str]:
    yield from _heading("Power: load against limit")
    for rail in shown.rails:
        yield f"  {rail.name}"
        yield (
            f"    {_bar(rail.value, rail.limit, rail.most)}  load {rail.load}, usable {rail.usable},"
            f" label {rail.label}"
        )
    yield from (wrap(w.POWER_NOTE, "  "), "")


def _times(shown: SheetView) -> Iterator[str]:
    if not shown.times:
        return
    yield from _heading("Speed: where the time goes, now and then")
    for line in shown.times:
        yield f"  {line.name}"
        if not current_page().drawings:
            yield f"    now {line.now}, then {line.then}"
            continue
        yield f"    now  {line.now:>8} {_bar(line.now_permille, None, 1000)}"
        yield f"    then {line.then:>8} {_bar(line.then_permille, None, 1000)}"
    yield wrap(w.SPEED_NOTE, "  ")


def _findings(shown: SheetView) -> Iterator[str]:
    yield from _heading("Findings, margins and sources")
    for found in shown.findings:
        margin = f" Margin {found.margin}." if found.margin else ""
        yield wrap(
            f"[{found.verdict}] {found.title}: {found.sentence}{margin} (Source: {found.source})",
            "  ",
            "    ",
        )


def _not_checked(shown: SheetView) -> Iterator[str]:
    if shown.not_checked:
        yield from _heading(HEADING)
        yield wrap(NOTE, "  ")
    for text in shown.not_checked:
        yield wrap(text, "  - ", "    ")


def _questions(shown: SheetView) -> Iterator[str]:
    if shown.questions:
        yield from _heading("Open questions")
    for question in shown.questions:
        yield wrap(question, "  - ", "    ")
        yield f"    -> {w.ANSWER}: ____________________"


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
        if line.again:
            yield wrap(line.again, "      ")
    for what, amount in (("delivery", order.delivery), ("sum", order.total)):
        yield from row(((what, 58), (amount, -18)), 2)
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
