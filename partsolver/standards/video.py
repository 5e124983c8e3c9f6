"""Video links: payload, highest pixel clock, and what connects a source to a display.

Documents: [DVI] DVI 1.0 limit of 165 MHz for one link (two connector makers' pages, high); [HDMI] Intel HDMI
FPGA IP user guide 683798; [DP] Intel DisplayPort FPGA IP user guide 683273, table 1; [DUAL] Linux commit
b3daa5ef52c2 (dual-mode adaptors); [UNIT] start reference, section 7.1; [ADAPT] a cable maker's page on active and passive adapters, and two
support articles.

Link ids: vga, dvi-a, dvi-i, dvi-i-dual, dvi-d, dvi-d-dual, hdmi-1.2 ... hdmi-2.1, dp-1.0 ... dp-2.0, and
"dp++-1.x" for a DisplayPort output that also speaks TMDS (dual mode); dvi, hdmi, dp, dp++ where the version
is not known.  The same ids name outputs and display inputs.  The version gives an upper bound only: where a
maker states a lower limit of the port, that one counts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from .settings import value_of
from .video_timings import STANDARD_KHZ, cvt_khz, cvt_rb_khz, normal_khz, required_khz

__all__ = [
    "ANALOGUE_LINKS",
    "BEST_VERSION",
    "NO_LIMITS",
    "PAYLOAD_KBITS",
    "PROCESSOR_DISPLAYS",
    "STANDARD_KHZ",
    "Connection",
    "DisplayUnit",
    "connection",
    "connections",
    "cvt_khz",
    "cvt_rb_khz",
    "is_digital",
    "max_khz",
    "normal_khz",
    "required_khz",
    "sends_tmds",
]

_DP_KBITS: Final[dict[str, int]] = {
    "1.0": 5_184_000,  # 4 lanes of 1.62 Gb/s, 8b/10b, [DP], high; the rate every 1.0 port has
    "1.1": 8_640_000,  # 4 x 2.7, [DP], high
    "1.2": 17_280_000,  # 4 x 5.4, [DP], high
    "1.4": 25_920_000,  # 4 x 8.1, [DP], high
    "2.0": 38_690_000,  # 4 x 10, 128b/132b: the least of the three (52.22 and 77.37 are optional), high
}

#: Payload in kbit/s after line coding; None for purely analogue links, whose limit is the converter's.
PAYLOAD_KBITS: Final[dict[str, int | None]] = {
    "vga": None,
    "dvi-a": None,
    "dvi-i": 3_960_000,  # [DVI]: 3 x 1.65 Gb/s, 8b/10b
    "dvi-i-dual": 7_920_000,  # two links (high; nominal)
    "dvi-d": 3_960_000,
    "dvi-d-dual": 7_920_000,
    "hdmi-1.2": 3_960_000,  # 1.0 to 1.2: 165 MHz, computer encyclopaedia table, high
    "hdmi-1.4": 8_160_000,  # 1.3 and 1.4: 340 MHz, [HDMI], high
    "hdmi-2.0": 14_400_000,  # 600 MHz, [HDMI], high
    "hdmi-2.1": 48_000_000 * 16 // 18,  # FRL6: 4 x 12 Gb/s, 16b/18b, [HDMI] section 5.5, high
    # What stands on a socket when nobody knows its version: what every version of it carries.
    "dvi": 3_960_000,
    "hdmi": 3_960_000,
    "dp": _DP_KBITS["1.0"],
    "dp++": _DP_KBITS["1.0"],
    **{f"dp-{version}": kbits for version, kbits in _DP_KBITS.items()},
    **{f"dp++-{version}": kbits for version, kbits in _DP_KBITS.items()},
}

#: Links of unknown version, and the most that one of their versions can do.
BEST_VERSION: Final[dict[str, str]] = {
    "dvi": "dvi-i-dual",
    "hdmi": "hdmi-2.1",
    "dp": "dp++-2.0",
    "dp++": "dp++-2.0",
}

#: Links with analogue contacts: the dvi-i ones carry both.
ANALOGUE_LINKS: Final = frozenset({"vga", "dvi-a", "dvi-i", "dvi-i-dual"})

#: One TMDS link of DVI 1.0, [DVI]; also the limit of any passive connection between DVI and another
#: connector.
SINGLE_LINK_KHZ: Final = 165_000
#: Highest clock of a type 2 dual-mode adaptor, [DUAL]; one of unknown type counts by the setting
#: dp_dual_mode_adapter_khz.
DUAL_MODE_TYPE2_KHZ: Final = 300_000


@dataclass(frozen=True, slots=True)
class DisplayUnit:
    """What graphics do less than the versions of their sockets say; None: no such limit is known.

    tmds_khz: highest clock that they send over TMDS themselves (`sends_tmds`); clocks: clock generators. Each
    picture takes one, all those over DisplayPort together one. analogue_khz: highest clock of their own analogue
    output; converted: they have none, an analogue socket is that of a converter on the board (setting
    active_vga_adapter_khz).
    """

    tmds_khz: int | None = None
    clocks: int | None = None
    analogue_khz: int | None = None
    converted: bool = False


NO_LIMITS: Final = DisplayUnit()

#: Graphics in processors by socket, [UNIT]: HDMI clocks from Linux 6.1 (intel_hdmi.c), high; two clock generators of
#: the third generation from its maker's slide, medium (the second makes two pictures). Analogue output: of the 4th and
#: 5th generation 180 MHz, from the 6th on none (intel_crt.c, high).
PROCESSOR_DISPLAYS: Final[dict[str, DisplayUnit]] = {
    "lga1156": DisplayUnit(225_000),
    "lga1155": DisplayUnit(225_000, 2),
    "lga1150": DisplayUnit(300_000, analogue_khz=180_000),
    "lga1151": DisplayUnit(300_000, converted=True),
    "lga1151-2": DisplayUnit(300_000, converted=True),
    "lga1200": DisplayUnit(300_000, converted=True),
    "lga1700": DisplayUnit(converted=True),
}
#: Last year of the processors of these sockets that send so little over HDMI, where later ones share a socket, [UNIT].
LIMITED_UNTIL: Final[dict[str, int]] = {"lga1200": 2020}


@dataclass(frozen=True, slots=True)
class Connection:
    """One way from an output to a display input.

    "direct" (plain cable), "passive" or "active" adapter, and its limit.
    """

    kind: str
    limit_khz: int
    analogue: bool


def _known(link: str) -> str:
    if link not in PAYLOAD_KBITS:
        raise ValueError(f"video link {link!r} is not known; known are {', '.join(PAYLOAD_KBITS)}")
    return link


def _family(link: str) -> str:
    return _known(link).split("-")[0]


def is_digital(link: str) -> bool:
    """Whether a link carries a digital signal (dvi-i does, besides the analogue one)."""
    return PAYLOAD_KBITS[_known(link)] is not None


def max_khz(link: str, bits_per_pixel: int = 24, settings: Mapping[str, int] | None = None) -> int:
    """Highest pixel clock in kHz: digital payload / bits per pixel, rounded down.

    Analogue: setting vga_max_khz.
    """
    payload = PAYLOAD_KBITS[_known(link)]
    if payload is None:
        return value_of("vga_max_khz", settings)
    if bits_per_pixel < 1:
        raise ValueError(f"{bits_per_pixel} bits per pixel is not a depth; 24 is usual, 30 for deep colour")
    return payload // bits_per_pixel


def sends_tmds(output: str, kind: str, analogue: bool) -> bool:
    """Whether graphics send TMDS themselves over an output on a way of this kind: HDMI up to 1.4, digital DVI, a
    dual-mode DisplayPort with a passive adapter. (HDMI 2.0 beside graphics that do less hangs on a converter chip of
    the board.)"""
    if output.startswith("dp"):
        return kind == "passive"
    if output.startswith("dvi"):
        return is_digital(output) and (kind == "active" or not analogue)
    return output in ("hdmi", "hdmi-1.2", "hdmi-1.4")


def connections(
    source_link: str,
    display_input: str,
    bits_per_pixel: int = 24,
    settings: Mapping[str, int] | None = None,
    adapter_khz: int | None = None,
) -> tuple[Connection, ...]:
    """All ways of the trade from an output to an input, simplest first; empty if no single adapter does it.

    ``adapter_khz`` is the limit of the adapter at hand; without it the settings dp_dual_mode_adapter_khz,
    active_adapter_khz and active_vga_adapter_khz stand for an unknown one.  Source: [ADAPT], [DUAL]; VGA
    output to a DVI input with analogue contacts: common practice.  Raises ``ValueError`` for an unknown link.
    """
    source, display = _family(source_link), _family(display_input)
    both_digital = is_digital(source_link) and is_digital(display_input)
    both_analogue = source_link in ANALOGUE_LINKS and display_input in ANALOGUE_LINKS
    # What both ends carry, the analogue one by its setting.
    link_khz = min(max_khz(link, bits_per_pixel, settings) for link in (source_link, display_input))
    analogue_khz = value_of("vga_max_khz", settings)
    ways: list[Connection] = []

    def adapter(kind: str, limit_khz: int, setting: str, analogue: bool = False) -> None:
        own = value_of(setting, settings) if adapter_khz is None else adapter_khz
        ways.append(Connection(kind, min(limit_khz, own), analogue))

    if source in ("vga", "dvi") and display in ("vga", "dvi"):
        if both_digital:
            ways.append(Connection("direct", link_khz, False))
        if both_analogue:
            kind = "direct" if source == display else "passive"
            limit = (
                analogue_khz if kind == "direct" or adapter_khz is None else min(analogue_khz, adapter_khz)
            )
            ways.append(Connection(kind, limit, True))
        if not ways and source != display:  # dvi-d to vga, vga to dvi-d
            adapter("active", link_khz, "active_vga_adapter_khz", True)
    elif source == display or (
        source.startswith("dp") and display.startswith("dp")
    ):  # hdmi to hdmi, dp to dp
        ways.append(Connection("direct", link_khz, False))
    elif {source, display} == {"dvi", "hdmi"} and both_digital:
        limit = min(link_khz, SINGLE_LINK_KHZ)
        ways.append(Connection("passive", limit if adapter_khz is None else min(limit, adapter_khz), False))
    elif "vga" in (source, display):  # hdmi or dp to vga, vga to hdmi or dp
        adapter("active", link_khz, "active_vga_adapter_khz", True)
    elif both_digital:  # dp to hdmi or dvi, hdmi or dvi to dp
        if source == "dp++":
            limit = min(link_khz, DUAL_MODE_TYPE2_KHZ if display == "hdmi" else SINGLE_LINK_KHZ)
            adapter("passive", limit, "dp_dual_mode_adapter_khz")
        adapter("active", link_khz, "active_adapter_khz")
    return tuple(ways)


def connection(source_link: str, display_input: str) -> str | None:
    """The simplest way from an output to a display input.

    "direct", "passive", "active", or None (no single adapter).
    """
    ways = connections(source_link, display_input)
    return ways[0].kind if ways else None
