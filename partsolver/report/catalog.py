"""The report of `catalog check`."""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.catalog.checks import CHECKS, Doubt
from partsolver.catalog.load import Catalog
from partsolver.report.document import dump

# name of the check -> what is doubtful, with the two facts
_SENTENCES = {
    "board-larger-than-outline": "{column} is {value} mm, more than the family's largest ({against})",
    "family-of-another-socket": "lists the processor family {value}, which no processor has for {against}",
    "family-twice": "lists the processor family {value} twice; the higher firmware is used",
    "module-over-board-limit": "states {value} MiB as its most, but its slots reach only {against}",
    "never-offered": "nobody offers it",
    "price-expired": "the price ended on {value} ({against}); it is not used",
    "rate-off-standard": "{value} MT/s is no standard rate of {against}",
    "score-against-cores": "the all-thread score {value} does not go with {against}",
    "supply-rails-below-label": "12 V gives only {value} mA, less than half of the {against}",
}


def doubt_sentence(doubt: Doubt) -> str:
    """A doubt in one sentence."""
    return _SENTENCES[doubt.check].format(column=doubt.column, value=doubt.value, against=doubt.against)


def check_text(catalog: Catalog, doubts: Sequence[Doubt]) -> str:
    """Sizes of the tables and every doubt."""
    info = catalog.info
    lines = [f"{info.name} ({info.currency}, {info.as_of}): {info.origin}; digest {info.digest}", ""]
    for table, rows in catalog.tables.items():
        lines.append(f"  {table:<9}{len(rows):>8}")
    lines.append("")
    # Tables that every plan with new parts needs something of.
    missing = [
        table for table in ("boards", "cpus", "memory", "sellers", "offers") if not catalog.tables[table]
    ]
    if missing:
        lines.append(
            f"Still empty: {', '.join(missing)}. Until they hold something, hardly a plan can be made."
        )
    if not doubts:
        lines.append("Nothing doubtful found in what there is." if missing else "Nothing doubtful found.")
    for name in CHECKS:
        here = [doubt for doubt in doubts if doubt.check == name]
        if here:
            word = "REFUSED" if here[0].refuses else "doubtful"
            lines.append(f"{name} ({len(here)} {word}):")
            lines += [f"  {doubt.table}.csv {doubt.part}: {doubt_sentence(doubt)}" for doubt in here]
    return "\n".join(lines) + "\n"


def check_json(catalog: Catalog, doubts: Sequence[Doubt]) -> str:
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
