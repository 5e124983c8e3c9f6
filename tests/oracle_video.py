"""Ways from an output to a display and the clocks they carry, stated once more for the oracle.

Documents: VESA CVT 1.1 (coordinated video timings: the two formulas, their constants C' = 30 and M' = 300, the
least duty cycle of 20 %), DMT and CTA-861 entries, links and adapters as typed in ``standards/data/video.csv`` and
``video_timings.csv``. Nothing is taken from ``partsolver.standards``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import floor

import typed

ANALOGUE = ("vga", "dvi-a", "dvi-i", "dvi-i-dual")


@dataclass(frozen=True)
class Way:
    """A cable ("direct") or an adapter ("passive", "active") with the highest clock it carries."""

    kind: str
    limit_khz: int
    analogue: bool = False


def _digital_khz(link: str) -> int | None:
    """24 bits per pixel of the payload; None without digital contacts."""
    payload = typed.table("video", "PAYLOAD_KBITS")[link]
    return None if payload is None else payload // 24


def ways(output: str, entry: str, chosen: Mapping[str, int], adapter_khz: int | None = None) -> list[Way]:
    """Every way of the trade. ``chosen``: settings for what an adapter of unknown limit carries."""
    vga, one_link = chosen["vga_max_khz"], typed.number("video", "SINGLE_LINK_KHZ")
    ends = [_digital_khz(output), _digital_khz(entry)]
    rates = [khz for khz in ends if khz is not None]
    digital, least = None not in ends, min(rates, default=0)
    source, target = output.split("-")[0], entry.split("-")[0]
    found: list[Way] = []

    def through(kind: str, limit: int, setting: str | None, analogue: bool = False) -> None:
        own = chosen[setting] if adapter_khz is None and setting else adapter_khz
        found.append(Way(kind, limit if own is None else min(limit, own), analogue))

    ports = {source.rstrip("+"), target.rstrip("+")}
    shared_analogue = output in ANALOGUE and entry in ANALOGUE
    if shared_analogue and source == target:
        found.append(Way("direct", vga, True))
    elif shared_analogue:
        through("passive", vga, None, True)
    elif "vga" in ports and rates:
        through("active", min(least, vga), "active_vga_adapter_khz", True)
    if not digital:
        return found
    if len(ports) == 1:
        found.append(Way("direct", least))
    elif ports == {"dvi", "hdmi"}:
        through("passive", min(least, one_link), None)
    else:  # DisplayPort and one of the two others
        if source == "dp++":
            most = typed.number("video", "DUAL_MODE_TYPE2_KHZ") if target == "hdmi" else one_link
            through("passive", min(least, most), "dp_dual_mode_adapter_khz")
        through("active", least, "active_adapter_khz")
    return found


def _constant(name: str) -> int:
    return typed.number("video_timings", name)


def _entries(mode: tuple[int, int, int]) -> tuple[int | None, int | None]:
    """Listed clocks of a mode: normal blanking, reduced blanking."""
    listed: dict[str, tuple[int | None, int | None]] = dict(typed.table("video_timings", "STANDARD_KHZ"))
    return listed.get(",".join(map(str, mode)), (None, None))


@cache
def _aspects() -> list[tuple[int, int, int]]:
    return list(typed.table("video_timings", "_V_SYNC_BY_ASPECT").values())


def _in_steps(khz: Fraction) -> int:
    return floor(khz / _constant("_STEP_KHZ")) * _constant("_STEP_KHZ")


def reduced_khz(width: int, height: int, hz: int) -> int:
    """CVT 1.1, reduced blanking."""
    cell, blank_us = _constant("_CELL"), _constant("_RB_MIN_V_BLANK_US")
    active = width - width % cell
    line_us = (Fraction(10**6, hz) - blank_us) / height
    named = [lines for across, down, lines in _aspects() if height * across // down // cell * cell == active]
    sync = named[0] if named else _constant("_V_SYNC_OTHER")
    least = _constant("_MIN_V_PORCH") + sync + _constant("_MIN_V_BACK_PORCH")
    blank = max(floor(blank_us / line_us) + 1, least)
    return _in_steps(Fraction((active + _constant("_RB1_H_BLANK")) * (height + blank) * hz, 1000))


def full_khz(width: int, height: int, hz: int) -> int:
    """CVT 1.1, normal blanking."""
    cell = _constant("_CELL")
    active = width - width % cell
    line_us = (Fraction(10**6, hz) - _constant("_MIN_VSYNC_BACK_PORCH_US")) / (
        height + _constant("_MIN_V_PORCH")
    )
    duty = max(Fraction(20), 30 - 300 * line_us / 1000)
    blank = floor(active * duty / (100 - duty) / (2 * cell)) * 2 * cell
    return _in_steps(1000 * (active + blank) / line_us)


def clock_khz(mode: tuple[int, int, int], analogue: bool) -> int:
    """What a display needs: on an analogue line normal blanking, on a digital one the least that is listed."""
    normal, reduced = _entries(mode)
    if analogue:
        return full_khz(*mode) if normal is None else normal
    return min(khz for khz in (normal, reduced, reduced_khz(*mode)) if khz is not None)
