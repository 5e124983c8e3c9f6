"""What the commands on a store print: `catalog add`, `show`, `find`, `forget`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from partsolver.base.quantities import format_amount, minor_digits
from partsolver.catalog.adding import Added, Read
from partsolver.catalog.store.questions import Shown
from partsolver.catalog.store.records import LeftOut
from partsolver.catalog.store.resolve import Cell
from partsolver.report.document import dump
from partsolver.report.page import amount_text, current_page, date_words, shortest_text
from partsolver.report.words.counts import count_of
from partsolver.report.words.lookup import plain_line as plain
from partsolver.report.words.store import (
    FORMS,
    MARK_COUNTS,
    MARKS,
    OLDER_LIST,
    REASONS,
    SHORT_REASONS,
    TAX_WORDS,
    counted,
    several_prices,
)

Row = tuple[str, str, str, str]


def added_text(added: Added) -> str:
    """What each file gave, and how the facts of the store stand."""
    width = max([len(plain(read.origin)) for read in added.read] + [len("facts")])
    lines = []
    for read in added.read:
        first, *more = _read_lines(read)
        lines.append(f" {plain(read.origin):<{width}}  {first}")
        lines += [f" {'':<{width}}    {line}" for line in more]
    lines.append(f" {'facts':<{width}}  {marks_text(added.marks)}")
    for near in added.joined:
        lines.append(f" {'joined':<{width}}  the sheet of {plain(near.name)} with {near.other}")
    for near in added.proposals:
        sure = "the only one of its maker and model; " if near.sure else ""
        lines.append(
            f" {'the same?':<{width}}  the sheet of {plain(near.name)} and {near.other} ({sure}"
            f"partsolver catalog set {near.part} same-as={near.other})"
        )
    return "\n".join(lines) + "\n"


def added_lines(added: Added) -> list[str]:
    """The same as plain lines, one for each thing said."""
    lines = []
    for read in added.read:
        first, *more = _read_lines(read)
        lines += [f"{plain(read.origin)}: {first}", *more]
    return [*lines, marks_text(added.marks)]


def _read_lines(read: Read) -> list[str]:
    parts = ", ".join(counted(count, table) for table, count in read.tables)
    offers = f"{read.offers:,} {'offer' if read.offers == 1 else 'offers'}"
    if read.form == "platforms":
        return [FORMS["platforms"]]
    if read.form == "tables":
        return [f"{FORMS['tables']}: {parts or 'no parts'}; {offers}"]
    left = _left_counts(read)
    if read.prices is not None:
        lines = [
            f"{read.rows:,} {'row' if read.rows == 1 else 'rows'}: {', '.join([parts or 'no parts', *left])}"
        ]
        lines.append(_prices_text(read))
        if read.difference is not None:
            d = read.difference
            counts = ((d.new, "new"), (d.dearer, "dearer"), (d.cheaper, "cheaper"), (d.gone, "gone"))
            said = [f"{count:,} {word}" for count, word in counts if count]
            if d.older_than is not None:
                lines.append(OLDER_LIST.format(date=date_words(d.older_than)))
            lines.append("since the last list: " + (", ".join(said) or "nothing changed"))
        if read.several_prices:
            lines.append(several_prices(read.several_prices))
    else:
        form = FORMS[read.form] if read.files == 1 else f"{read.files} read"
        lines = [f"{form}: {', '.join([parts or 'no parts', offers, *left])}"]
    for origin, reason, detail in read.not_read[:10]:
        lines.append(f"left out {plain(origin)}: {REASONS[reason].format(detail=plain(detail))}")
    for label, value in read.labels:
        lines.append(f"label not known: {plain(label)} = {plain(value)[:60]}")
    return lines


def _left_counts(read: Read) -> list[str]:
    counts: dict[str, int] = {}
    for reason, count in read.left_out:
        word = SHORT_REASONS.get(reason, "left out")
        counts[word] = counts.get(word, 0) + count
    return [f"{count:,} {word}" for word, count in counts.items()]


def _prices_text(read: Read) -> str:
    prices = read.prices
    assert prices is not None
    said = f' ("{plain(prices.evidence)[:40]}")' if prices.evidence else ""
    text = TAX_WORDS[prices.tax].format(rate=_percent(prices.tax_percent_x100)) + said
    if prices.assumed_currency is not None and prices.tax != "shelf":
        text += f"; no currency is named: taken for {prices.assumed_currency}"
    if prices.tax == "shelf":
        return text
    return f"{text}; {'as before' if prices.known_before else 'remembered for this seller'}"


def _percent(hundredths: int | None) -> str:
    if hundredths is None:
        return "the rate of each row"
    return f"{shortest_text(hundredths / 100)} %"


def marks_text(marks: Iterable[tuple[str, int]]) -> str:
    """``96 from makers' sheets, 953 read from titles``."""
    said = [f"{count:,} {MARK_COUNTS[mark]}" for mark, count in marks if count]
    return ", ".join(said) or "none yet"


def added_json(added: Added) -> str:
    """The same as one JSON document."""
    return dump(
        {
            "schema": "partsolver.catalog-add/1",
            "folder": added.folder,
            "read": [
                {
                    "file": read.origin,
                    "form": read.form,
                    "rows": read.rows,
                    "parts": dict(read.tables),
                    "offers": read.offers,
                    "left_out": dict(read.left_out),
                    "not_read": [
                        {"file": origin, "reason": reason, "detail": detail}
                        for origin, reason, detail in read.not_read
                    ],
                    "prices": None if read.prices is None else asdict(read.prices),
                    "since_last": None if read.difference is None else asdict(read.difference),
                    "unknown_labels": dict(read.labels),
                    "several_prices": list(read.several_prices),
                }
                for read in added.read
            ],
            "facts": dict(added.marks),
            "proposals": [asdict(near) for near in added.proposals],
            "joined": [asdict(near) for near in added.joined],
        }
    )


def shown_text(found: Shown, head: Mapping[str, Any]) -> str:
    """One part: facts with value, mark and origin; offers; unknown facts; what no pattern took."""
    lines = [f"{found.part}: {plain(found.name)} ({counted(1, found.table)[2:]})", ""]
    rows = [(column, value_text(cell), MARKS[cell.mark], from_text(cell)) for column, cell in found.cells]
    widths = [max(map(len, texts)) for texts in zip(*rows, strict=True)] if rows else [0, 0, 0, 0]
    if current_page().drawings:
        lines += [
            f"  {a:<{widths[0]}}  {b:<{widths[1]}}  {c:<{widths[2]}}  {d}".rstrip() for a, b, c, d in rows
        ]
    else:
        lines += [f"  {a}: {b} ({', '.join(text for text in (c, d) if text)})" for a, b, c, d in rows]
    if found.unknown:
        lines += ["", "  unknown: " + ", ".join(found.unknown)]
    if found.leftover:
        lines += ["", "  not understood in its titles: " + ", ".join(map(plain, found.leftover))]
    if found.offers:
        lines += ["", "  offers:"]
    lines += [f"    {_offer_text(line, head)}" for line in found.offers]
    names = sorted({(seller, plain(name)) for seller, name, _, _ in found.seen if seller != "you"})
    if names:
        lines += ["", "  called:"]
    lines += [f"    {seller}: {name}" for seller, name in names]
    return "\n".join(lines) + "\n"


def value_text(cell: Cell) -> str:
    """A fact of a part, or what contradicts itself about it."""
    if cell.value is None:
        others = sorted({cell.fact.value, *(fact.value for fact in cell.against)})
        return "? " + " or ".join(map(plain, others))
    return plain(cell.value)


def from_text(cell: Cell) -> str:
    """Where a fact of a part comes from."""
    facts = (cell.fact, *cell.against) if cell.value is None else (cell.fact,)
    return "; ".join(plain(f"{fact.origin} {fact.place}") for fact in facts)


def _offer_text(line: Any, head: Mapping[str, Any]) -> str:
    currency = line.currency or head["currency"]
    amount = f"{amount_text(line.price_minor, minor_digits(currency))} {currency}"
    said = " ".join(f"{name}={value}" for name, value in line.cells if name != "source")
    past = "" if line.current else "  (past)"
    return f"{line.stated_on}  {line.seller}  {amount}  {plain(said)}{past}".rstrip()


def shown_json(found: Shown, head: Mapping[str, Any]) -> str:
    """The same as one JSON document."""
    return dump(
        {
            "schema": "partsolver.catalog-part/1",
            "id": found.part,
            "table": found.table,
            "name": found.name,
            "facts": [
                {
                    "column": column,
                    "value": cell.value,
                    "mark": cell.mark,
                    "from": {"file": cell.fact.origin, "place": cell.fact.place, "date": cell.fact.stated_on},
                    "against": [
                        {"value": fact.value, "mark": fact.mark, "file": fact.origin, "place": fact.place}
                        for fact in cell.against
                    ],
                }
                for column, cell in found.cells
            ],
            "unknown": list(found.unknown),
            "leftover": list(found.leftover),
            "offers": [
                {
                    "seller": line.seller,
                    "date": line.stated_on,
                    "price": format_amount(line.price_minor, minor_digits(line.currency or head["currency"])),
                    "currency": line.currency or head["currency"],
                    "current": line.current,
                    "file": line.origin,
                    "place": line.place,
                    **{"stated": dict(line.cells)},
                }
                for line in found.offers
            ],
            "names": [
                {"seller": seller, "name": name, "file": origin, "place": place}
                for seller, name, origin, place in found.seen
            ],
        }
    )


def found_text(rows: Sequence[Row]) -> str:
    """Ids and names of found parts."""
    if not rows:
        return "no part in whose names or numbers all these words stand\n"
    width = max(len(row[0]) for row in rows)
    return "".join(
        f"{part:<{width}}  {counted(1, table)[2:]}: {plain(name)}\n" for part, table, name, _ in rows
    )


def found_json(rows: Sequence[Row]) -> str:
    """The same as one JSON document."""
    parts = [{"id": part, "table": table, "name": name} for part, table, name, _ in rows]
    return dump({"schema": "partsolver.catalog-find/1", "parts": parts})


def left_out_text(rows: Sequence[LeftOut]) -> str:
    """Rows that gave no part, by file, with the reason."""
    if not rows:
        return "nothing was left out\n"
    return "".join(
        f"{plain(row.origin)} {plain(row.place)}: {plain(row.text)[:100]}\n    {reason_text(row)}\n"
        for row in rows
    )


def reason_text(row: LeftOut) -> str:
    """Why a row was left out, in words."""
    return REASONS[row.reason].format(detail=plain(row.detail))


def left_out_json(rows: Sequence[LeftOut]) -> str:
    """The same as one JSON document."""
    return dump(
        {
            "schema": "partsolver.catalog-left-out/1",
            "rows": [
                {
                    "file": row.origin,
                    "place": row.place,
                    "text": row.text,
                    "reason": row.reason,
                    "words": reason_text(row),
                }
                for row in rows
            ],
        }
    )


def forgotten_text(seller: str, count: int) -> str:
    """What went with a seller."""
    whose = "its" if count == 1 else "their"
    return f"{seller}: {count_of(count, 'article')} with {whose} offers taken out; what you typed stays\n"
