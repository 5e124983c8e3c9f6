"""Sentences about why a PC is not as fast as was expected, each with its reading and what to look at."""

from __future__ import annotations

from collections.abc import Callable

from partsolver.measure.causes import Cause
from partsolver.report.page import date_words, decimals_text

NOISY = {
    "before": "The measurement before the work is noisy",
    "after": "The measurement after the work is noisy",
}
_AGAINST = {"plan": "of what the plan counts on", "before": "of what it was before"}


def _one_channel(c: Cause) -> str:
    return (
        f"Probably one memory channel only: the bandwidth of {c.fact('measured_mbs')} MB/s is"
        f" {c.fact('percent')} % {_AGAINST[str(c.fact('against'))]}, near half. Look in the board's manual"
        " which sockets make a pair, and whether both modules are seen."
    )


def _memory_rate(c: Cause) -> str:
    return (
        f"Probably memory at a lower rate: the bandwidth of {c.fact('measured_mbs')} MB/s is"
        f" {c.fact('percent')} % {_AGAINST[str(c.fact('against'))]}. Compare the rate that the firmware shows"
        " with the modules' rated one."
    )


def _memory_missing(c: Cause) -> str:
    return (
        f"Memory is missing: the system sees {c.fact('seen_mib')} MiB of {c.fact('expected_mib')} MiB. "
        "Switch off, unplug, and seat the modules again; look for a limit of the operating system."
    )


def _drive_link(c: Cause) -> str:
    rate = int(c.fact("link_gbps10") or 0) / 10
    end = (
        "Use a faster port (board's manual), another data cable, and look at the port's mode in the firmware."
    )
    if c.certainty == "read":
        port = int(c.fact("port_gbps10") or 0) / 10
        able = f" although the port can do {decimals_text(port, 1)} Gb/s" if port > rate else ""
        return (
            f"The drive is linked at {decimals_text(rate, 1)} Gb/s{able} (the system reports it); it reads"
            f" {c.fact('measured_mbs')} MB/s. {end}"
        )
    return (
        f"The drive is probably linked at {decimals_text(rate, 1)} Gb/s: it reads {c.fact('measured_mbs')} MB/s, as such a"
        f" link carries. {end}"
    )


def _drive_slow(c: Cause) -> str:
    return (
        f"The drive reads {c.fact('measured_mbs')} MB/s where the plan counts on {c.fact('expected_mbs')}"
        f" MB/s ({c.fact('percent')} % of the promised gain); no link explains it. Look at its health and how"
        " full it is."
    )


def _fewer_threads(c: Cause) -> str:
    return (
        f"Only {c.fact('seen')} of {c.fact('expected')} threads are there: cores or threads are switched off"
        " in the firmware, or the processor is another one."
    )


def _governor(c: Cause) -> str:
    return (
        f"The clock governor is {c.fact('governor')}, which can hold the clock down: try another power"
        " setting."
    )


def _throttling(c: Cause) -> str:
    words = {
        "throttle_events": "{0} slow-downs for heat counted during the run",
        "temperature_c": "{0} °C at most",
        "clock_one_mhz": "{0} MHz with one thread",
        "clock_all_mhz": "{0} MHz with all",
        "later_permille": "the last rounds reached only {0} of the first",
    }
    readings = ", ".join(
        words[name].format(
            f"{decimals_text(int(value or 0) / 10, 1)} %" if name == "later_permille" else value
        )
        for name, value in c.facts
        if name in words
    )
    start = (
        "The processor slows itself down"
        if c.certainty == "read"
        else "The processor probably slows itself down"
    )
    return (
        f"{start} (throttling): {readings}. Look at cooler, mounting, paste, fan and dust, and at power"
        " limits in the firmware."
    )


def _all_thread_low(c: Cause) -> str:
    return (
        f"All threads together reach {c.fact('percent')} % {_AGAINST[str(c.fact('against'))]} and one thread"
        f" {c.fact('serial_percent')} %: probably heat (throttling) or a power limit, which no sensor that"
        " can be read confirms."
    )


def _noisy_run(c: Cause) -> str:
    return f"{NOISY[str(c.fact('run'))]} (below is why): measure again before judging anything."


def _exchanged(c: Cause) -> str:
    return (
        f"The run after the work is dated {date_words(str(c.fact('after')))}, the one before it"
        f" {date_words(str(c.fact('before')))}: the two files may be exchanged, or the clock of the PC was wrong."
    )


_CAUSES: dict[str, Callable[[Cause], str]] = {
    "one_channel": _one_channel,
    "memory_rate": _memory_rate,
    "memory_missing": _memory_missing,
    "drive_link": _drive_link,
    "drive_slow": _drive_slow,
    "fewer_threads": _fewer_threads,
    "governor": _governor,
    "throttling": _throttling,
    "all_thread_low": _all_thread_low,
    "noisy_run": _noisy_run,
    "exchanged": _exchanged,
}


def cause_text(cause: Cause) -> str:
    """A likely reason with its reading and what to look at."""
    return _CAUSES[cause.code](cause)
