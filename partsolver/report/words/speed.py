"""Sentences about a speed-up: seconds instead of factors, where the gain comes from, what holds the new PC
back."""

from __future__ import annotations

import math
from collections.abc import Iterator

from partsolver.plan.outcome import Account, Interval, Plan
from partsolver.report.page import decimals_text, number_text, shortest_text

BEFORE_S = 10
RESOURCES = {
    "serial": "one core of the processor",
    "parallel": "all cores of the processor together",
    "memory": "the speed of the memory",
    "waiting": "waits for the drive",
    "streaming": "reading large files",
    "graphics": "graphics",
    "other": "waiting that no part changes",
    "capacity": "too little memory",
}
PARTS = {
    "processor": "the processor",
    "memory_speed": "the speed of the memory",
    "memory_size": "the size of the memory",
    "drive": "the drive",
    "graphics": "graphics",
}
# Shares of the gain below this are not worth a word.
LEAST_PERCENT = 5
# Starts of programs are worth a word of their own from this factor against the use's own.
START_DIFFERS = 1.2


def seconds_of(interval: Interval) -> tuple[float, float, float]:
    """What took 10 seconds: expected, least, most, in seconds to one decimal."""
    return (
        round(10_000 / interval.expected_milli, 1),
        round(10_000 / interval.high_milli, 1),
        round(10_000 / interval.low_milli, 1),
    )


def ten_seconds(interval: Interval, short: bool = False) -> str:
    """ "what took 10 seconds takes about 3 (2.5 to 3.5)": to half seconds from one second on, bounds outwards.
    ``short``: "about 3 (2.5 to 3.5)"."""
    expected, low, high = (
        10_000 / interval.expected_milli,
        10_000 / interval.high_milli,
        10_000 / interval.low_milli,
    )
    step = 0.5 if low >= 1 else 0.1
    middle = round(expected / step) * step
    least, most = math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step
    about, bounds = f"{middle:g}", (f"{round(least, 1):g}", f"{round(most, 1):g}")
    span = about if bounds == (about, about) else f"{about} ({bounds[0]} to {bounds[1]})"
    return number_text(f"about {span}" if short else f"what took {BEFORE_S} seconds takes about {span}")


def seconds_after(milli: int) -> str:
    """What takes 10 seconds today takes so many with a speed-up in thousandths, to tenths."""
    return number_text(f"{round(10 * BEFORE_S * 1000 / milli) / 10:g}")


def gain_words(milli: int) -> str:
    """A least speed-up as a person says it."""
    known = {2000: "half the time", 1500: "two thirds of the time", 1250: "four fifths of the time"}
    return known.get(milli) or f"1 / {shortest_text(milli / 1000)} of the time"


def gain_sentence(account: Account) -> str | None:
    """Where the gain comes from; None where there is none."""
    worth = sorted(
        ((share, name) for name, share in account.gain_by_part.items() if abs(share) >= LEAST_PERCENT),
        reverse=True,
    )
    if not worth:
        return None
    gains = [f"{share} % from {PARTS[name]}" for share, name in worth if share > 0]
    losses = [f"{-share} % is lost by {PARTS[name]}" for share, name in worth if share < 0]
    return "of the gain " + ", ".join([*gains, *losses])


def held_back_sentence(account: Account) -> str:
    """What the new PC spends most of its time on."""
    name = RESOURCES[account.held_back_by]
    return f"what then holds the PC back most: {name} ({account.held_back_percent} % of its time)"


def start_sentence(interval: Interval) -> str:
    """How fast programs start that are not in memory."""
    low, high = interval.low_milli / 1000, interval.high_milli / 1000
    return (
        f"programs start {decimals_text(interval.expected_milli / 1000, 1)} times as fast"
        f" ({decimals_text(low, 1)} to {decimals_text(high, 1)})"
    )


def speed_sentences(plan: Plan) -> Iterator[str]:
    """All of it for a plan that is faster; nothing for the PC as it is."""
    if plan.speedup is None or plan.account is None or plan.speedup.expected_milli <= 1010:
        return
    yield ten_seconds(plan.speedup)
    gain = gain_sentence(plan.account)
    if gain is not None:
        yield gain
    yield held_back_sentence(plan.account)
    if plan.account.program_start.expected_milli > START_DIFFERS * plan.speedup.expected_milli:
        yield start_sentence(plan.account.program_start)
