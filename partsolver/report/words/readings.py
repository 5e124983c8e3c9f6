"""Words of the steps that read what the new board says of itself: memory, links, rails, speed."""

from __future__ import annotations

from partsolver.report.page import decimals_text, shortest_text
from partsolver.report.words.steps import StepWords, gib
from partsolver.sheet.context import Facts


def rate_words(f: Facts) -> str | None:
    if f["rate_mts"] is None:
        return "Data rate (a tool may show half of it, as MHz)"
    return (
        f"Data rate; expected {f['rate_mts']} MT/s (tools that show the clock say {(f['rate_mts'] + 1) // 2}"
        " MHz)"
    )


def size_words(f: Facts) -> str:
    if f["total_mib"] is None:
        return "Memory shown"
    limit = f" (this system uses {gib(f['limit_mib'])} of it)" if f["limit_mib"] else ""
    shared = ", less what the graphics take" if f["shared"] else ""
    return f"Memory shown; expected {gib(f['total_mib'])}{limit}{shared}"


def channels_words(f: Facts) -> str:
    filled = f["filled"]
    if filled is None:
        return f"Channels in use; {f['channels']} possible"
    if filled < f["channels"]:
        return (
            f"Channels in use; expected {filled} of {f['channels']}: one module only, so half the memory"
            " speed lies idle"
        )
    return f"Channels in use; expected {filled}" + ("" if f["equal"] else ", unequally filled")


def link_words(f: Facts) -> str:
    if f["sata_gbps10"] is not None:
        return f"Link of {f['drive']}; expected {shortest_text(f['sata_gbps10'] / 10)} Gb/s"
    if f["interface"] == "m2-nvme" and f["gen"] and f["lanes"]:
        return (
            f"Link of {f['drive']}; expected about {f['link_mbs']} MB/s at most (PCI Express, the drive:"
            f" generation {f['gen']}, {f['lanes']} lanes)"
        )
    return f"Link of {f['drive']}"


def rails_words(f: Facts) -> str:
    volts = [
        f"{name} {shortest_text(low / 1000)} to {shortest_text(high / 1000)} V"
        for name, (low, high) in (("12 V:", f["12v"]), ("5 V:", f["5v"]), ("3.3 V:", f["3v3"]))
    ]
    return "Voltages; allowed " + ", ".join(volts)


def _times(milli: int) -> str:
    return f"{decimals_text(milli / 1000, 2)}"


def speed_words(f: Facts) -> str:
    if f["expected_milli"] is None:
        return "Measured speed-up"
    return (
        f"Measured speed-up; promised {_times(f['expected_milli'])} times ({_times(f['low_milli'])} to"
        f" {_times(f['high_milli'])}) for {f['use'].lower()}"
    )


RAILS_NOW = StepWords(
    "While the old PC still runs, read the supply voltages in its firmware setup (a page about the PC's health or the"
    " hardware monitor): the new parts shall hang on this supply.",
    "Leave blank what the page does not show. Sensors of boards are rough: a value outside its range, or one that wanders"
    " while you watch, is a reason to have somebody qualified measure at a plug before anything is ordered. Never open the"
    " supply.",
    rails_words,
)
RAILS_THEN = StepWords(
    lambda f: (
        "Read the supply voltages in the firmware setup"
        + (" and hold them against those of the old setup." if f["kept"] else ".")
    ),
    "Sensors of boards are rough. Outside the range: have somebody qualified measure them at a plug.",
    rails_words,
)
