"""A speed-up in words: what took 10 seconds before takes so long afterwards."""

from __future__ import annotations

from fractions import Fraction

from partsolver.base.quantities import round_half_up
from partsolver.plan.outcome import Interval
from partsolver.report.page import number_text

BEFORE_S = 10


def seconds_after(milli: int) -> str:
    """What takes 10 seconds today takes so many with a speed-up in thousandths: one decimal, none from 9.95 on."""
    tenths = round_half_up(Fraction(10 * BEFORE_S * 1000, milli))
    return number_text(f"{tenths // 10}.{tenths % 10}" if tenths % 10 else str(tenths // 10))


def ten_seconds(interval: Interval, short: bool = False) -> str:
    """ "what took 10 seconds takes about 2.7 (2.3 to 3.2)"."""
    about = seconds_after(interval.expected_milli)
    low, high = seconds_after(interval.high_milli), seconds_after(interval.low_milli)
    span = about if low == high == about else f"{about} ({low} to {high})"
    return f"about {span}" if short else f"what took {BEFORE_S} seconds takes about {span}"


def gain_words(milli: int) -> str:
    """A least speed-up as a person says it."""
    known = {2000: "half the time", 1500: "two thirds of the time", 1250: "four fifths of the time"}
    return known.get(milli) or f"1 / {milli / 1000:g} of the time"
