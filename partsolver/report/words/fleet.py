"""Sentences about a fleet: its goals, how far each is proven, what is done with a PC."""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.fleet.assign import circles
from partsolver.fleet.outcome import FleetOutcome, Judged
from partsolver.fleet.records import StageResult
from partsolver.report.page import amount_text, thousandths_text
from partsolver.report.words.counts import count_of

WHY = {
    "unknown-speed": "how fast it is now is not known (no score of its processor, and none can be estimated)",
    "no-plan": "no plan with this stock makes it faster, whatever the money",
    "elsewhere": "money and parts do not reach for it, or do more for other PCs",
}
GOALS = {
    "most-pcs": "as many PCs as possible at least {speedup} times as fast",
    "most-speed": "the greatest total gain",
    "worst-first": "the slowest PC as fast as possible, then the next",
}
NOT_COUNTED = "Not in it: what lies on the shelf, and what is taken out of the PCs."
CAUTIONS = (
    "Before a part is taken out: shut the PC down, pull the mains lead, wait a minute, touch bare metal of the case."
    " A power supply stays closed: it holds dangerous voltages long after.",
    "Used parts are not new ones: test memory for a night and the processor under load before the PC goes back;"
    " look for bulged capacitors, bent pins and burnt contacts. The makers' manuals come first.",
    "Before a PC is opened its owner's data are copied, and its copy is tried.",
)


def goal_words(outcome: FleetOutcome) -> str:
    """What was asked."""
    wishes = outcome.fleet.wishes
    return GOALS[wishes.goal].format(speedup=wishes.least_speedup)


def stage_words(stage: StageResult, outcome: FleetOutcome) -> str:
    """What one goal reached, and its bound."""
    name, _, limit = stage.name.partition(">=")
    digits, speedup = outcome.fleet.catalog.info.digits, outcome.fleet.wishes.least_speedup
    value, bound = str(stage.value), str(stage.bound)
    if name == "cost":
        value, bound = amount_text(stage.value, digits), amount_text(stage.bound, digits)
    if name == "fine":
        value, bound = (thousandths_text(number, 1) for number in (100 * stage.value, 100 * stage.bound))
    pcs = count_of(stage.value, "PC")
    keep = "keeps the plan it" if stage.value == 1 else "keep the plan they"
    words = {
        "pcs": f"{pcs} at least {speedup} times as fast",
        "gain": f"{value} per cent less time, added up over all PCs{_lost(outcome)}",
        "fine": f"{value} per cent less time, added up over all PCs to the tenth{_lost(outcome)}",
        "speed": f"{pcs} at {limit} per cent of the reference speed or more",
        "cost": f"for {value}",
        "kept": f"{pcs} {keep} had",
    }[name]
    if stage.value == stage.bound:
        return f"{words}: proven best"
    if name == "speed" and not stage.value:
        return f"no PC at {limit} per cent or more was found; {count_of(stage.bound, 'PC')} may be possible"
    if name == "cost":
        return f"{words}: perhaps not the cheapest, but less than {bound} is not possible"
    return f"{words}: perhaps not the best, but more than {bound} is not possible"


def _lost(outcome: FleetOutcome) -> str:
    """How PCs that do not run afterwards count."""
    lost = sum(one.result.column.time_ppm is None and one.why != "unknown-speed" for one in outcome.pcs)
    return f" ({count_of(lost, 'PC')} that will not run: -100 each)" if lost else ""


def no_more_words(stages: Sequence[StageResult]) -> str:
    """That stages reach no more than the answer. Of worst-first the last is the next level: what was not proven of it
    says whether more is excluded."""
    if all(stage.value == stage.bound for stage in stages):
        return "nothing more of this goal"
    return "nothing more of this goal was found; it is not excluded"


def circle_words(outcome: FleetOutcome) -> list[str]:
    """How to work at PCs that wait for parts out of one another."""
    return [
        f"{', '.join(pcs[:-1])} and {pcs[-1]} get parts out of one another: take the parts out of all of them"
        " before anything goes in, and label each with the PC it came from."
        for pcs in circles([one.result for one in outcome.pcs])
    ]


def speedup_words(one: Judged, outcome: FleetOutcome) -> str:
    """How much faster a PC gets. One that does not run now is compared with what it was."""
    found = one.speedup_milli or 0
    times = f"{found // 1000}.{found % 1000 // 10:02d} times as fast"
    runs = outcome.problems[one.result.number].present() is not None
    return times if runs else f"runs again, {times} as it was"
