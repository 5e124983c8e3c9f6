"""The reports of `compare`: before against after, and fitted shares, as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from partsolver.measure.compare import SCHEMA, Comparison, UseResult
from partsolver.measure.fit import Fit
from partsolver.measure.speeds import Ratio
from partsolver.plan.outcome import Interval
from partsolver.report.document import dump
from partsolver.report.json import speedup_document
from partsolver.report.measure import VIRTUAL, reason_text
from partsolver.report.page import current_page, decimals_text, wrap
from partsolver.report.words.causes import NOISY, cause_text

RESOURCE_NAMES = {
    "serial": "processor, one thread",
    "parallel": "processor, all threads",
    "memory": "memory",
    "waiting": "drive, felt of that",
    "streaming": "drive, one after another",
    "storage_random": "drive, here and there",
    "launch": "start of an application",
    "graphics": "graphics",
    "other": "waiting no part changes",
    "capacity": "waiting for lack of memory",
}
# Rows of the table: the reads here and there before what is felt of them.
_ROWS = ("serial", "parallel", "memory", "streaming", "storage_random", "waiting", "launch")
OUTCOMES = {
    "held": "HELD: the measured speed-up lies within what the plan promised.",
    "better": "BETTER: the PC became faster than the plan promised.",
    "worse": "WORSE: the PC did not become as fast as the plan promised.",
    "undecided": (
        "UNDECIDED: the measured speed-up lies outside the promise, but the measurement is too coarse to be"
        " sure. Measure again."
    ),
}
# Undecided though the figure lies within the promise.
NOT_MEASURED = (
    "UNDECIDED: what was measured fits the promise, but it is only reached with what was not measured and counts as"
    " promised. Time a task of the owner's by the clock."
)
NOT_SHOWN = (
    "UNDECIDED: the measured speed-up lies within the promise, but the runs are too coarse to show that the PC became"
    " faster at all. Measure again."
)


def comparison_text(found: Comparison) -> str:
    """A comparison for people."""
    return "\n".join(_lines(found)) + "\n"


def _times(milli: int) -> str:
    return f"{decimals_text(milli / 1000, 2)}"


def _span(interval: Interval) -> str:
    return f"{_times(interval.expected_milli)}x ({_times(interval.low_milli)}-{_times(interval.high_milli)})"


def _lines(found: Comparison) -> Iterator[str]:
    yield from _promise_lines(found)
    if current_page().drawings:
        yield (
            f"{'':<27}{'before':>9}{'after':>9}"
            f" {'unit':<9}{'faster':<21}{'promised' if found.promised_ratio else ''}".rstrip()
        )
    for name, ratio in sorted(found.ratios.items(), key=lambda item: _ROWS.index(item[0])):
        yield _ratio_line(name, ratio, found.promised_ratio.get(name))
    if current_page().drawings and not all(ratio.shown for ratio in found.ratios.values()):
        yield "  = no change is shown: 1.00x lies within the interval (95 %)"
    yield ""
    yield "Speed-up by use (95 % interval)"
    for result in found.uses:
        basis = "   shares of the plan" if result.basis == "plan" else ""
        even = result.speedup.low_milli <= 1000 <= result.speedup.high_milli
        if current_page().drawings:
            yield f"  {result.use.title:<36}{_span(result.speedup)}{' =' if even else ''}{basis}"
        else:
            told = f"{result.use.title}: {_span(result.speedup)}{', no change is shown' if even else ''}"
            yield wrap(f"{told}{', shares of the plan' if basis else ''}", "  ", "    ")
    for line in _remarks(found):
        yield wrap(line, "  ")
    yield from _reason_lines(found)


def outcome_words(found: Comparison) -> str:
    """Whether the promise held; found with a plan only."""
    assert found.promise is not None and found.outcome is not None
    promised, main = found.promise.speedup, found.main
    within = promised.low_milli <= main.speedup.expected_milli <= promised.high_milli
    if found.outcome == "undecided" and within:
        return NOT_MEASURED if main.measured_milli < promised.low_milli else NOT_SHOWN
    return OUTCOMES[found.outcome]


def _promise_lines(found: Comparison) -> Iterator[str]:
    """What the plan promised against what was measured, where there is a plan."""
    promise = found.promise
    if promise is None or found.outcome is None:
        return
    yield wrap(outcome_words(found), "")
    yield wrap(
        f"promised {_span(promise.speedup)}, measured {_span(found.main.speedup)} for"
        f" {found.main.use.title.lower()} (plan {promise.rank})",
        "  ",
    )
    if promise.lost is not None:
        yield wrap(
            f"The promise by resource is not known: {promise.lost}. Name the catalogue with --catalog DIR.",
            "  ",
        )
    yield ""


def _reason_lines(found: Comparison) -> Iterator[str]:
    """Why a promise was missed, and why a measurement is not to be trusted."""
    if found.causes:
        yield ""
        yield "Likely reasons"
        for cause in found.causes:
            yield wrap(cause_text(cause), "  - ", "    ")
    elif found.outcome == "worse":
        yield ""
        yield wrap("No reading explains it: look at the firmware's settings and measure again.", "")
    for name, run in (("before", found.before), ("after", found.after)):
        if run.reasons:
            yield ""
            yield NOISY[name]
            for reason in run.reasons:
                yield wrap(reason_text(reason), "  - ", "    ")


def _ratio_line(name: str, ratio: Ratio, promised: float | None) -> str:
    faster = f"{decimals_text(ratio.expected, 2)}x ({decimals_text(ratio.low, 2)}-{decimals_text(ratio.high, 2)}){'' if ratio.shown else ' ='}"
    wanted = "" if promised is None else f"{decimals_text(promised, 2)}x"
    if not current_page().drawings:
        span = faster.removesuffix(" =")
        more = ("" if ratio.shown else ", no change is shown") + (f", promised {wanted}" if wanted else "")
        said = (
            f"{RESOURCE_NAMES[name]}: {ratio.before} {ratio.unit} before, {ratio.after} after: {span}{more}"
        )
        return wrap(said, "  ", "    ")
    return (
        f"  {RESOURCE_NAMES[name]:<25}{ratio.before:>9}{ratio.after:>9}"
        f" {ratio.unit:<9}{faster:<21}{wanted:>8}".rstrip()
    )


def _remarks(found: Comparison) -> Iterator[str]:
    for result in found.uses[:1]:
        if result.not_measured:
            names = ", ".join(RESOURCE_NAMES[name] for name in result.not_measured)
            how = "as the plan promises it" if result.basis == "plan" else "as unchanged"
            yield f"Not measured and counted {how}: {names}."
    if any(result.basis == "readings" for result in found.uses):
        yield (
            "The shares of the built-in uses are engineering judgement; --fit replaces them by measured ones."
        )
    if found.differences:
        pairs = "; ".join(f"{name} {old} before, {new} after" for name, old, new in found.differences)
        yield f"Different software did the work, so the figures also compare that: {pairs}."
    if found.before.conditions.virtual or found.after.conditions.virtual:
        yield VIRTUAL


def comparison_json(found: Comparison) -> str:
    """The document of `compare`."""
    promise = found.promise
    return dump(
        {
            "schema": SCHEMA,
            "outcome": found.outcome,
            "promised": (
                None
                if promise is None
                else {
                    "rank": promise.rank,
                    "use": promise.use.name,
                    "speedup": speedup_document(promise.speedup),
                    "by_resource_lost": promise.lost,
                }
            ),
            "measured": speedup_document(found.main.speedup),
            "resources": [
                {
                    "name": name,
                    "unit": ratio.unit,
                    "before": ratio.before,
                    "after": ratio.after,
                    "speedup": {
                        "expected": round(ratio.expected, 3),
                        "low": round(ratio.low, 3),
                        "high": round(ratio.high, 3),
                    },
                    "promised": (
                        None if name not in found.promised_ratio else round(found.promised_ratio[name], 3)
                    ),
                }
                for name, ratio in found.ratios.items()
            ],
            "uses": [_use_document(result) for result in found.uses],
            "causes": [
                {
                    "code": cause.code,
                    "resource": cause.resource,
                    "certainty": cause.certainty,
                    "facts": dict(cause.facts),
                    "text": cause_text(cause),
                }
                for cause in found.causes
            ],
            "runs": {
                name: {
                    "verdict": run.verdict,
                    "reasons": [reason.model_dump(mode="json") for reason in run.reasons],
                }
                for name, run in (("before", found.before), ("after", found.after))
            },
            "software_differs": [
                {"name": name, "before": old, "after": new} for name, old, new in found.differences
            ],
        }
    )


def _use_document(result: UseResult) -> dict[str, Any]:
    return {
        "use": result.use.name,
        "speedup": speedup_document(result.speedup),
        "before_ppm": dict(result.before_ppm),
        "after_ppm": dict(result.after_ppm),
        "not_measured": list(result.not_measured),
        "basis": result.basis,
    }


def fit_text(fit: Fit) -> str:
    """Fitted shares for people, with the lines for a brief."""
    lines = [
        wrap(
            f"Shares fitted to {fit.pairs} PCs before and after ({2 * fit.pairs} times). The times are met"
            f" within {decimals_text(fit.misfit_percent, 1)} % (root mean square); a PC left out of the fit is predicted"
            f" within {decimals_text(fit.left_out_percent, 1)} %.",
            "",
        )
    ]
    if fit.noisy:
        lines.append(
            wrap(f"{fit.noisy} of the {2 * fit.pairs} measurements are noisy: the shares are rough.", "")
        )
    lines.append("")
    lines += [
        f"  {RESOURCE_NAMES[name]:<27}{decimals_text(share / 10, 1):>5} %  +- {decimals_text(fit.error_permille[name] / 10, 1)}"
        for name, share in fit.shares_permille.items()
    ]
    lines += [
        f"  {'time on the reference PC':<27}{decimals_text(fit.reference_s, 1):>5} s",
        "",
        "For the survey file (graphics is not measured and has no share):",
        "",
    ]
    shares = ", ".join(f"{name} = {share}" for name, share in fit.shares_permille.items())
    brief = ["  [brief]", f"  shares = {{ {shares} }}", f"  shares_concentration = {fit.concentration}"]
    return "\n".join([*lines, *brief]) + "\n"


def fit_json(fit: Fit) -> str:
    """Fitted shares as one JSON document."""
    return dump(
        {
            "schema": "partsolver.fit/1",
            "shares_permille": fit.shares_permille,
            "shares_concentration": fit.concentration,
            "error_permille": fit.error_permille,
            "reference_s": round(fit.reference_s, 3),
            "pairs": fit.pairs,
            "misfit_percent": round(fit.misfit_percent, 3),
            "left_out_percent": round(fit.left_out_percent, 3),
            "noisy_runs": fit.noisy,
        }
    )
