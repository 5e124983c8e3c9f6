"""Pixel clocks of display modes, in kHz.

The published tables and the VESA CVT formulas, in whole-number arithmetic.

Documents: [DMT] VESA display monitor timings and [CTA] CTA-861 video formats, both as listed by ``edid-decode
--list-dmts`` / ``--list-vics`` (0.1~git20220315); [CVT] VESA coordinated video timings 1.1 (reduced blanking
version 1) and 1.2 (version 2), re-implemented from the formula and equal to the same tool at the usual
rates (where that cuts an exact kHz off by floating point, ours is exact).
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

#: (width, height, Hz) -> (clock with normal blanking, clock with reduced blanking), kHz; None where there is
#: no such entry.
STANDARD_KHZ: Final[dict[tuple[int, int, int], tuple[int | None, int | None]]] = {
    (640, 480, 60): (25_175, None),  # DMT 0x04
    (640, 480, 73): (31_500, None),  # DMT 0x05
    (640, 480, 75): (31_500, None),  # DMT 0x06
    (640, 480, 85): (36_000, None),  # DMT 0x07
    (800, 600, 56): (36_000, None),  # DMT 0x08
    (800, 600, 60): (40_000, None),  # DMT 0x09
    (800, 600, 72): (50_000, None),  # DMT 0x0a
    (800, 600, 75): (49_500, None),  # DMT 0x0b
    (800, 600, 85): (56_250, None),  # DMT 0x0c
    (848, 480, 60): (33_750, None),  # DMT 0x0e
    (1024, 768, 60): (65_000, None),  # DMT 0x10
    (1024, 768, 70): (75_000, None),  # DMT 0x11
    (1024, 768, 75): (78_750, None),  # DMT 0x12
    (1024, 768, 85): (94_500, None),  # DMT 0x13
    (1152, 864, 75): (108_000, None),  # DMT 0x15
    (1280, 720, 60): (74_250, None),  # DMT 0x55, VIC 4
    (1280, 768, 60): (79_500, 68_250),  # DMT 0x17, 0x16
    (1280, 800, 60): (83_500, 71_000),  # DMT 0x1c, 0x1b
    (1280, 960, 60): (108_000, None),  # DMT 0x20
    (1280, 960, 85): (148_500, None),  # DMT 0x21
    (1280, 1024, 60): (108_000, None),  # DMT 0x23
    (1280, 1024, 75): (135_000, None),  # DMT 0x24
    (1280, 1024, 85): (157_500, None),  # DMT 0x25
    (1360, 768, 60): (85_500, None),  # DMT 0x27
    (1366, 768, 60): (85_500, 72_000),  # DMT 0x51, 0x56
    (1400, 1050, 60): (121_750, 101_000),  # DMT 0x2a, 0x29
    (1440, 900, 60): (106_500, 88_750),  # DMT 0x2f, 0x2e
    (1440, 900, 75): (136_750, None),  # DMT 0x30
    (1600, 900, 60): (None, 108_000),  # DMT 0x53
    (1600, 1200, 60): (162_000, None),  # DMT 0x33
    (1600, 1200, 65): (175_500, None),  # DMT 0x34
    (1600, 1200, 70): (189_000, None),  # DMT 0x35
    (1600, 1200, 75): (202_500, None),  # DMT 0x36
    (1600, 1200, 85): (229_500, None),  # DMT 0x37
    (1680, 1050, 60): (146_250, 119_000),  # DMT 0x3a, 0x39
    (1680, 1050, 75): (187_000, None),  # DMT 0x3b
    (1792, 1344, 60): (204_750, None),  # DMT 0x3e
    (1792, 1344, 75): (261_000, None),  # DMT 0x3f
    (1856, 1392, 60): (218_250, None),  # DMT 0x41
    (1856, 1392, 75): (288_000, None),  # DMT 0x42
    (1920, 1080, 30): (74_250, None),  # VIC 34
    (1920, 1080, 50): (148_500, None),  # VIC 31
    (1920, 1080, 60): (148_500, None),  # DMT 0x52, VIC 16
    (1920, 1080, 100): (297_000, None),  # VIC 64
    (1920, 1080, 120): (297_000, None),  # VIC 63
    (1920, 1200, 60): (193_250, 154_000),  # DMT 0x45, 0x44
    (1920, 1440, 60): (234_000, None),  # DMT 0x49
    (1920, 1440, 75): (297_000, None),  # DMT 0x4a
    (2048, 1152, 60): (None, 162_000),  # DMT 0x54
    (2560, 1080, 60): (198_000, None),  # VIC 90
    (2560, 1600, 60): (348_500, 268_500),  # DMT 0x4d, 0x4c
    (3840, 2160, 24): (297_000, None),  # VIC 93
    (3840, 2160, 30): (297_000, None),  # VIC 95
    (3840, 2160, 50): (594_000, None),  # VIC 96
    (3840, 2160, 60): (594_000, None),  # VIC 97
    (3840, 2160, 100): (1_188_000, None),  # VIC 117
    (3840, 2160, 120): (1_188_000, None),  # VIC 118
    (4096, 2160, 60): (594_000, 556_744),  # VIC 102, DMT 0x57
    (5120, 2160, 60): (742_500, None),  # VIC 126
    (7680, 4320, 60): (2_376_000, None),  # VIC 199
}

# Constants of [CVT].
_CELL = 8
_MIN_V_PORCH = 3
# As [CVT] 1.1; the tool uses 7 lines for version 1, which at 24 to 50 Hz adds 0.25 MHz to some modes.
_MIN_V_BACK_PORCH = 6
_RB_MIN_V_BLANK_US = 460
_RB1_H_BLANK = 160
_RB2_H_BLANK = 80
_RB2_MIN_V_BLANK = 15
_STEP_KHZ = 250
_MIN_VSYNC_BACK_PORCH_US = 550
_V_SYNC_BY_ASPECT = ((4, 3, 4), (16, 9, 5), (16, 10, 6), (5, 4, 7), (15, 9, 7))
_V_SYNC_OTHER = 10


def _check(width: int, height: int, refresh_hz: int) -> None:
    if not (8 <= width <= 20_000 and 8 <= height <= 20_000 and 1 <= refresh_hz <= 1000):
        raise ValueError(
            f"display mode {width}x{height} at {refresh_hz} Hz is not a mode; "
            "give pixels from 8 to 20000 and whole Hz from 1 to 1000"
        )


def _v_sync(width: int, height: int) -> int:
    """Lines of vertical sync, by which [CVT] marks the aspect ratio (compared in whole character cells)."""
    for across, down, lines in _V_SYNC_BY_ASPECT:
        if height * across // down // _CELL * _CELL == width:
            return lines
    return _V_SYNC_OTHER


def cvt_rb_khz(width: int, height: int, refresh_hz: int, version: int = 1) -> int:
    """Pixel clock in kHz with reduced blanking.

    Version 1 ([CVT] 1.1, steps of 0.25 MHz) or 2 ([CVT] 1.2, steps of 1 kHz).

    Raises ``ValueError`` for a mode out of range or another version.
    """
    _check(width, height, refresh_hz)
    if version not in (1, 2):
        raise ValueError(f"reduced blanking version {version} is not known; versions are 1 and 2")
    # lines = floor(460 us / line period) + 1, line period = (10**6 / f - 460 us) / height
    lines = _RB_MIN_V_BLANK_US * height * refresh_hz // (1_000_000 - _RB_MIN_V_BLANK_US * refresh_hz) + 1
    if version == 1:
        cells = width // _CELL * _CELL
        v_blank = max(lines, _MIN_V_PORCH + _v_sync(cells, height) + _MIN_V_BACK_PORCH)
        per_second = (cells + _RB1_H_BLANK) * (height + v_blank) * refresh_hz
        return per_second // (_STEP_KHZ * 1000) * _STEP_KHZ
    v_blank = max(lines, _RB2_MIN_V_BLANK)
    return (width + _RB2_H_BLANK) * (height + v_blank) * refresh_hz // 1000


def cvt_khz(width: int, height: int, refresh_hz: int) -> int:
    """Pixel clock in kHz with normal blanking ([CVT] 1.1), as analogue displays need it.

    ``ValueError`` out of range.

    The clock follows from the estimated line period; the vertical sync does not enter it.
    """
    _check(width, height, refresh_hz)
    cells = width // _CELL * _CELL
    period_us = (Fraction(1_000_000, refresh_hz) - _MIN_VSYNC_BACK_PORCH_US) / (height + _MIN_V_PORCH)
    duty_percent = max(Fraction(30) - Fraction(300, 1000) * period_us, Fraction(20))
    h_blank = cells * duty_percent // ((100 - duty_percent) * 2 * _CELL) * 2 * _CELL
    return (cells + h_blank) * 1000 // (period_us * _STEP_KHZ) * _STEP_KHZ


def required_khz(width: int, height: int, refresh_hz: int, analogue: bool = False) -> int:
    """Pixel clock in kHz that a display mode needs on a link.

    Digital: the lowest standard clock, that is the least of reduced blanking version 1 and the DMT and CTA
    entries.  (Not version 2: older digital displays do not take it.)  A display that knows only the
    television timing needs ``normal_khz``.  Analogue: the DMT or CTA entry with normal blanking, else CVT.
    """
    if analogue:
        return normal_khz(width, height, refresh_hz)
    entries = STANDARD_KHZ.get((width, height, refresh_hz), (None, None))
    return min([cvt_rb_khz(width, height, refresh_hz), *(khz for khz in entries if khz is not None)])


def normal_khz(width: int, height: int, refresh_hz: int) -> int:
    """Pixel clock in kHz with normal blanking: the DMT or CTA entry, else CVT."""
    normal = STANDARD_KHZ.get((width, height, refresh_hz), (None, None))[0]
    return cvt_khz(width, height, refresh_hz) if normal is None else normal
