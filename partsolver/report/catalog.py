"""The report of `catalog check`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, TypeAlias

from partsolver.catalog.checks import CHECKS, Doubt
from partsolver.catalog.counting import fact_marks
from partsolver.catalog.load import Catalog
from partsolver.explain.catalog_blanks import deciding_blanks
from partsolver.problem.problem import Problem
from partsolver.report.catalog_questions import count_line, question_line, questions_json
from partsolver.report.document import dump
from partsolver.report.page import current_page, wrap
from partsolver.report.store import marks_text, read_otherwise_text

if TYPE_CHECKING:
    from partsolver.explain.catalog_questions import FactQuestions

    # A person's PC and what of its blanks matters.
    Asked: TypeAlias = tuple[FactQuestions, Problem]

# name of the check -> what is doubtful, with the two facts
_SENTENCES = {
    "board-larger-than-outline": "{column} is {value} mm, more than the family's largest ({against})",
    "family-of-another-socket": "lists the processor family {value}, which no processor has for {against}",
    "family-twice": "lists the processor family {value} twice; the higher firmware is used",
    "may-be-the-same": "may be the same product as {against}: no fact of the two differs",
    "module-over-board-limit": "states {value} MiB as its most, but its slots reach only {against}",
    "never-offered": "nobody offers it",
    "price-expired": "the price ended on {value} ({against}); it is not used",
    "price-out-of-line": "asks {value}, far from {against}",
    "rate-off-standard": "{value} MT/s is no standard rate of {against}",
    "score-against-cores": "the all-thread score {value} does not go with {against}",
    "supply-rails-below-label": "12 V gives only {value} mA, less than half of the {against}",
}


def doubt_sentence(doubt: Doubt) -> str:
    """A doubt in one sentence."""
    return _SENTENCES[doubt.check].format(column=doubt.column, value=doubt.value, against=doubt.against)


# So many of the facts that matter for one PC are shown; `catalog ask` has all.
MOST_SHOWN = 3


def check_text(
    catalog: Catalog,
    doubts: Sequence[Doubt],
    asked: Asked | None = None,
    otherwise: Sequence[tuple[str, str]] = (),
) -> str:
    """Sizes of the tables, how the facts stand, files that another version read, blanks that decide, and every
    doubt."""
    info = catalog.info
    head = f"{info.name} ({info.currency}, {info.as_of}): {info.origin}; digest {info.digest}"
    lines = [wrap(head, "", "  "), ""]
    for table, rows in catalog.tables.items():
        lines.append(f"  {table:<9}{len(rows):>8}" if current_page().drawings else f"  {table}: {len(rows)}")
    lines.append("")
    # Tables that every plan with new parts needs something of.
    missing = [
        table for table in ("boards", "cpus", "memory", "sellers", "offers") if not catalog.tables[table]
    ]
    if missing:
        empty = f"Still empty: {', '.join(missing)}. Until they hold something, hardly a plan can be made."
        lines.append(wrap(empty, "", "  "))
    lines += [
        wrap(f"Facts: {marks_text(fact_marks(catalog).items())}.", "", "  "),
        *([wrap(f"{read_otherwise_text(otherwise)}.", "", "  ")] if otherwise else []),
        *_blank_lines(catalog, asked),
    ]
    if not doubts:
        lines.append("Nothing doubtful found in what there is." if missing else "Nothing doubtful found.")
    for name in CHECKS:
        here = [doubt for doubt in doubts if doubt.check == name]
        if here:
            word = "REFUSED" if here[0].refuses else "doubtful"
            lines.append(f"{name} ({len(here)} {word}):")
            lines += [
                wrap(f"{doubt.table}.csv {doubt.part}: {doubt_sentence(doubt)}", "  ", "    ")
                for doubt in here
            ]
    return "\n".join(lines) + "\n"


def _blank_lines(catalog: Catalog, asked: Asked | None) -> list[str]:
    """Blank facts without which a part is at most hoped for, and what the best of them could change."""
    lines = []
    blanks = deciding_blanks(catalog)
    if blanks:
        lines.append("Blank facts that decide (a part without one is at most hoped for):")
    for table in dict.fromkeys(one.table for one in blanks):
        said = ", ".join(f"{b.column} {b.blank:,}" for b in blanks if b.table == table)
        lines.append(wrap(f"{said}, of {len(catalog.tables[table]):,}", f"  {table:<9}", " " * 11))
    if asked is not None:
        found, problem = asked
        lines.append(wrap(count_line(found, problem), ""))
        for number, question in enumerate(found.questions[:MOST_SHOWN], 1):
            lines.append(wrap(question_line(question, problem), f"{number:>3}. ", " " * 5))
    elif blanks:
        lines.append("What the best of them could change for one PC: catalog check --for SURVEY")
    return lines


def check_json(
    catalog: Catalog,
    doubts: Sequence[Doubt],
    asked: Asked | None = None,
    otherwise: Sequence[tuple[str, str]] = (),
) -> str:
    """The same as one JSON document."""
    info = catalog.info
    return dump(
        {
            "schema": "partsolver.catalog-check/1",
            "name": info.name,
            "currency": info.currency,
            "as_of": info.as_of.isoformat(),
            "digest": info.digest,
            "tables": {table: len(rows) for table, rows in catalog.tables.items()},
            "facts": fact_marks(catalog),
            "read_by_other_version": [{"file": origin, "date": day} for origin, day in otherwise],
            "blank": [
                {"table": one.table, "column": one.column, "blank": one.blank, "rows": one.rows}
                for one in deciding_blanks(catalog)
            ],
            "matter": None if asked is None else questions_json(*asked),
            "doubts": [
                {
                    "check": d.check,
                    "table": d.table,
                    "part": d.part,
                    "column": d.column,
                    "value": d.value,
                    "against": d.against,
                    "refuses": d.refuses,
                }
                for d in doubts
            ],
        }
    )
