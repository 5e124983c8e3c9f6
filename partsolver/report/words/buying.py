"""Words of the buying rules."""

from __future__ import annotations

from partsolver.plan.findings import Finding
from partsolver.report.page import amount_text, date_words, decimals_text, shortest_text
from partsolver.report.words.record import Names, RuleWords, name_of
from partsolver.rules import (
    buying_arrival,
    buying_budget,
    buying_excluded,
    buying_minimums,
    buying_order,
    buying_stock,
    buying_valid,
)


def _money(value: int | str | None, names: Names) -> str:
    """Findings carry minor units; the decimal places are the currency's."""
    return amount_text(int(value or 0), names.digits)


def _first_name(finding: Finding, names: Names) -> str:
    return name_of(names, finding.parts[0]) if finding.parts else "the order"


def _budget(finding: Finding, names: Names) -> str:
    if finding.verdict == "fits":
        return (
            f"The order costs {_money(finding.value, names)} of a budget of {_money(finding.limit, names)};"
            f" {_money(finding.margin, names)} are left."
        )
    return (
        f"The order costs {_money(finding.value, names)}: {_money(-(finding.margin or 0), names)} more than"
        f" the budget of {_money(finding.limit, names)}."
    )


def _stock(finding: Finding, names: Names) -> str:
    seller = finding.fact("seller")
    if finding.verdict == "fits":
        return (
            f"{_first_name(finding, names)}: {seller} has {finding.value} in stock, {finding.limit} needed."
        )
    return (
        f"{_first_name(finding, names)}: {seller} has only {finding.value} in stock, {finding.limit} needed."
    )


def _arrival(finding: Finding, names: Names) -> str:
    days = finding.margin or 0
    many = f"{abs(days)} day{'' if abs(days) == 1 else 's'}"
    when = f"{many} {'before' if days > 0 else 'after'} the wanted day" if days else "the wanted day itself"
    day, wanted = date_words(str(finding.value)), date_words(str(finding.limit))
    if finding.fact("sent_in"):
        seller = name_of(names, str(finding.fact("seller")))
        return f"The board is back from {seller} ({_first_name(finding, names)}) on {day}, {when} ({wanted})."
    return f"{_first_name(finding, names)} arrives on {day}, {when} ({wanted})."


def _valid(finding: Finding, names: Names) -> str:
    if finding.verdict == "fits":
        return f"The price of {_first_name(finding, names)} is valid until {date_words(str(finding.limit))}."
    return f"The price of {_first_name(finding, names)} ended on {date_words(str(finding.limit))}; ask for a new one."


def _order(finding: Finding, names: Names) -> str:
    seller = name_of(names, str(finding.fact("seller")))
    word = "reaches" if finding.verdict == "fits" else "stays below"
    return (
        f"The order at {seller} ({_money(finding.value, names)}) {word} its least order value of"
        f" {_money(finding.limit, names)}."
    )


def _excluded(finding: Finding, names: Names) -> str:
    if finding.verdict == "fits":
        return f"{_first_name(finding, names)} is in the plan, as demanded."
    if finding.value == "absent":
        return f"{_first_name(finding, names)} is demanded but not in the plan."
    return f"{_first_name(finding, names)} is in the plan although it is excluded."


def _minimums(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        return "Whether the wanted minimum is reached cannot be said: a fact of the present PC is missing."
    if finding.unit == "MiB":
        have, want = int(finding.value or 0) / 1024, int(finding.limit or 0) / 1024
        return f"Usable memory {shortest_text(have)} GB; at least {shortest_text(want)} GB wanted."
    have, want = int(finding.value or 0) / 1000, int(finding.limit or 0) / 1000
    return f"Expected speed-up {decimals_text(have, 2)} times; at least {decimals_text(want, 2)} wanted."


WORDS: dict[str, RuleWords] = {
    buying_budget.ID: RuleWords("budget", _budget),
    buying_stock.ID: RuleWords("stock", _stock),
    buying_arrival.ID: RuleWords("arrival", _arrival),
    buying_valid.ID: RuleWords("price validity", _valid),
    buying_order.ID: RuleWords("least order value", _order),
    buying_excluded.ID: RuleWords("wanted and excluded parts", _excluded),
    buying_minimums.ID: RuleWords("the brief's minimums", _minimums),
}
QUESTIONS: dict[str, str] = {
    "cpu.serial_score": (
        "Which processor is in the PC now (model name in the firmware or the system information)?"
    ),
    "memory.capacity_mib": (
        "How large is each memory module (label on the module, or the system information)?"
    ),
}
