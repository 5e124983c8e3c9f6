"""`partsolver compare`: before against after, promised against measured; or shares fitted to many PCs."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from partsolver.cli import options as o


def compare(
    before: Annotated[
        Path | None, typer.Argument(metavar="BEFORE.json", help="Measurement before the work.")
    ] = None,
    after: Annotated[Path | None, typer.Argument(metavar="AFTER.json", help="Measurement after it.")] = None,
    plan: Annotated[
        Path | None,
        typer.Option(metavar="PLAN.json", help="Plan whose promise is checked (recommend --out)."),
    ] = None,
    catalog: o.CatalogDir = None,
    use: o.UseName = None,
    fit: Annotated[
        Path | None,
        typer.Option(metavar="PAIRS.csv", help="Fit shares: columns before,after,before_s,after_s."),
    ] = None,
    setting: o.Settings = None,
    format: o.OutputFormat = "text",
) -> int:
    """Measured speed-up by resource and by use, against the plan's promise, with likely reasons. Exit 1: not
    held."""
    from partsolver.report import compare as words

    if fit is not None:
        from partsolver.measure.fit import fit_shares, read_pairs

        if before is not None or plan is not None or use is not None:
            raise o.refuse("--fit", "stands alone", hint="Name only the file of pairs")
        found = fit_shares(read_pairs(fit))
        sys.stdout.write(words.fit_json(found) if format == "json" else words.fit_text(found))
        return 0
    if before is None or after is None:
        raise o.refuse(
            "compare", "two measurements are needed", hint="partsolver compare BEFORE.json AFTER.json"
        )
    if catalog is not None and plan is None:
        raise o.refuse("--catalog", "only has a meaning with --plan")
    from partsolver.measure.compare import compare as run
    from partsolver.measure.judge import read_run
    from partsolver.measure.promise import read_promise
    from partsolver.wishes.uses import find_use

    chosen = o.read_settings(setting)
    promise = None if plan is None else read_promise(plan, catalog)
    settings = chosen if promise is None else {**promise.settings, **chosen}
    first, second = read_run(before), read_run(after)
    if first == second:
        both = f"{before}, {after}"
        hint = "Name the file of `partsolver measure --out` made before the work, then the one made after it"
        raise o.refuse("compare", "both files hold the same run", both, "two runs", hint)
    result = run(first, second, promise, None if use is None else find_use(use), settings)
    sys.stdout.write(words.comparison_json(result) if format == "json" else words.comparison_text(result))
    return 1 if result.outcome == "worse" else 0
