"""USB: data rates, internal headers, currents.

Documents: [HDR2] Intel DX58SO2 board manual, table 11; [HDR3] pinout guide of the USB 3 header, and Intel
"USB 3.0 Internal Connector and Cable Specification"; [HDRE] USB-IF "USB 3.1/Type-C Desktop Front Panel Cable
and Connector Implementation Document" 1.0 (2017-01-17); rates: pinout and reference tables (high).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

#: Data rate in Mbit/s by name.  3.0, 3.1 Gen 1 and 3.2 Gen 1 are one and the same; so are 3.1 Gen 2 and 3.2
#: Gen 2.
RATE_MBITS: Final[dict[str, int]] = {
    "usb-1.1": 12,
    "usb-2.0": 480,
    "usb-3-gen1": 5_000,
    "usb-3-gen2": 10_000,
    "usb-3-gen2x2": 20_000,  # Type-C only
    "usb4-20": 20_000,
    "usb4-40": 40_000,
}


@dataclass(frozen=True, slots=True)
class Header:
    """Internal header or the front plug made for it.

    Contacts fitted, ports it serves, highest rate of each.
    """

    kind: str
    contacts: int
    ports: int
    rate_mbits: int


HEADERS: Final[dict[str, Header]] = {
    "usb2": Header("usb2", 9, 2, 480),  # 2x5 less the key, [HDR2], high
    "usb3": Header("usb3", 19, 2, 5_000),  # 2x10 less pin 20, [HDR3], high; carries the USB 2.0 pairs as well
    "usb-e": Header(
        "usb-e", 20, 1, 10_000
    ),  # Key-A, one Type-C port; the controller sets the rate (5, 10, 20), [HDRE], high
}

#: Current a port gives at 5 V, mA.  USB 2.0 and 3.x (high); charging ports (medium).
PORT_MA: Final[dict[str, int]] = {
    "usb2": 500,
    "usb3": 900,
    "charging": 1_500,
    "type-c-1.5": 1_500,
    "type-c-3.0": 3_000,
}

#: (front plug, header) -> rate in Mbit/s through a passive adapter (common practice, medium).
ADAPTER_MBITS: Final[dict[tuple[str, str], int]] = {("usb3", "usb2"): 480, ("usb2", "usb3"): 480}


def front_rate_mbits(plug: str, header: str) -> tuple[int, bool] | None:
    """Rate of a front plug on a header and whether an adapter is needed; None if they cannot be joined.

    Raises ``ValueError`` for an unknown kind.
    """
    for kind in (plug, header):
        if kind not in HEADERS:
            raise ValueError(f"USB header {kind!r} is not known; known are {', '.join(HEADERS)}")
    if plug == header:
        return HEADERS[plug].rate_mbits, False
    rate = ADAPTER_MBITS.get((plug, header))
    return None if rate is None else (rate, True)
