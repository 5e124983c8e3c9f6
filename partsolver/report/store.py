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
from partsolver.report.page import amount_text, current_page, date_words, row, shortest_text, wrap
from partsolver.report.words.counts import count_of
from partsolver.report.words.lookup import plain_line as plain
from partsolver.report.words.store import (
    FORMS,
    MARK_COUNTS,
    MARKS,
    MOST_NAMED,
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
    leads = ["facts", *(["joined"] if added.joined else []), *([_SAME] if added.proposals else [])]
    width = min(
        max(len(lead) for lead in [*leads, *(plain(read.origin) for read in added.read)]), _WIDEST_NAME
    )
    lines = []
    for read in added.read:
        first, *more = _read_lines(read)
        lines += [_beside(plain(read.origin), first, width), *(_beside("", line, width, 4) for line in more)]
    lines.append(_beside("facts", marks_text(added.marks), width))
    for near in added.joined:
        lines.append(_beside("joined", f"the sheet of {plain(near.name)} with {near.other}", width))
    for near in added.proposals:
        sure = ", the only one of its maker and model" if near.sure else ""
        lines.append(_beside(_SAME, f"the sheet of {plain(near.name)} and {near.other}{sure}: if so", width))
        lines.append(_beside("", f"partsolver catalog set {near.part} same-as={near.other}", width, 4))
    return "\n".join(lines) + "\n"


_SAME = "the same?"
# A longer name of a file stands in a line of its own.
_WIDEST_NAME = 30


def _beside(name: str, text: str, width: int, further: int = 2) -> str:
    """What is said beside the name of a file, folded to the page."""
    hanging = " " * (1 + width)
    if len(name) > width:
        return f" {name}\n" + wrap(text, hanging + "  ", hanging + "    ")
    return wrap(text, f" {name:<{width}}" + " " * further, hanging + " " * (further + 2))


def added_lines(added: Added) -> list[str]:
    """The same as plain lines, one for each thing said."""
    lines = []
    for read in added.read:
        first, *more = _read_lines(read)
        lines += [f"{plain(read.origin)}: {first}", *more]
    otherwise = [read_otherwise_text(added.read_otherwise)] if added.read_otherwise else []
    return [*lines, marks_text(added.marks), *otherwise]


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


def read_otherwise_text(files: Sequence[tuple[str, str]]) -> str:
    """Which files another version read, and what to do."""
    named = ", ".join(f"{plain(origin)} ({date_words(day)})" for origin, day in files[:MOST_NAMED])
    more = f" and {count_of(len(files) - MOST_NAMED, 'more file')}" if len(files) > MOST_NAMED else ""
    return (
        f"Read by another version of this program, which may have misread what this one does not: {named}{more};"
        " add them again (`partsolver catalog add FILE`)"
    )


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
    lines = [wrap(f"{found.part}: {plain(found.name)} ({counted(1, found.table)[2:]})", "", "  "), ""]
    lines += _fact_lines(
        [(column, value_text(cell), MARKS[cell.mark], from_text(cell)) for column, cell in found.cells]
    )
    if found.unknown:
        lines += ["", wrap("unknown: " + ", ".join(found.unknown), "  ", "    ")]
    if found.leftover:
        lines += [
            "",
            wrap("not understood in its titles: " + ", ".join(map(plain, found.leftover)), "  ", "    "),
        ]
    if found.offers:
        lines += ["", "  offers:"]
    lines += [wrap(_offer_text(line, head), "    ", "      ") for line in found.offers]
    names = sorted({(seller, plain(name)) for seller, name, _, _ in found.seen if seller != "you"})
    if names:
        lines += ["", "  called:"]
    lines += [wrap(f"{seller}: {name}", "    ", "      ") for seller, name in names]
    return "\n".join(lines) + "\n"


def _fact_lines(rows: Sequence[Row]) -> list[str]:
    """Column, value, mark and origin of facts side by side; what is too long for the page is folded in its place."""
    if not current_page().drawings:
        return [
            wrap(f"{a}: {b} ({', '.join(text for text in (c, d) if text)})", "  ", "    ")
            for a, b, c, d in rows
        ]
    if not rows:
        return []
    name, value, mark, origin = (max(map(len, texts)) for texts in zip(*rows, strict=True))
    free = current_page().width - 8 - name - mark
    if value + origin > free:
        # no word is broken: each of the two has room for its longest, and the value for no more where that is short
        words = [max(len(word) for texts in rows for word in texts[at].split() or [""]) for at in (1, 3)]
        value = min(value, max(words[0], free - words[1]))
    widths = name, value, mark, max(free - value, 1)
    return [line for texts in rows for line in row(tuple(zip(texts, widths, strict=True)), indent=2)]


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
    width = max(len(part) for part, _, _, _ in rows)
    lines = [
        wrap(f"{counted(1, table)[2:]}: {plain(name)}", f"{part:<{width}}  ", " " * (width + 4))
        for part, table, name, _ in rows
    ]
    return "\n".join(lines) + "\n"


def found_json(rows: Sequence[Row]) -> str:
    """The same as one JSON document."""
    parts = [{"id": part, "table": table, "name": name} for part, table, name, _ in rows]
    return dump({"schema": "partsolver.catalog-find/1", "parts": parts})


def left_out_text(rows: Sequence[LeftOut]) -> str:
    """Rows that gave no part, by file, with the reason."""
    if not rows:
        return "nothing was left out\n"
    lines = [
        line
        for left in rows
        for line in (
            wrap(f"{plain(left.origin)} {plain(left.place)}: {plain(left.text)[:100]}", "", "  "),
            wrap(reason_text(left), "    "),
        )
    ]
    return "\n".join(lines) + "\n"


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
    said = f"{seller}: {count_of(count, 'article')} with {whose} offers taken out; what you typed stays"
    return wrap(said, "", "  ") + "\n"
