"""USB headers: Intel DX58SO2 manual table 11 (9-pin, two ports), USB 3 header pinout (19-pin, two), USB-IF
2017 (Type-E, one).
"""

import pytest

from partsolver.standards import usb


@pytest.mark.parametrize(
    ("kind", "contacts", "ports", "mbits"),
    [
        ("usb2", 9, 2, 480),
        ("usb3", 19, 2, 5000),
        ("usb-e", 20, 1, 10000),
    ],
)
def test_headers(kind, contacts, ports, mbits):
    header = usb.HEADERS[kind]
    assert (header.contacts, header.ports, header.rate_mbits) == (contacts, ports, mbits)


# Common practice: a USB 3 front cable works on a USB 2 header at 480 Mbit/s, and the other way round, by
# adapter.
@pytest.mark.parametrize(
    ("plug", "header", "result"),
    [
        ("usb2", "usb2", (480, False)),
        ("usb3", "usb3", (5000, False)),
        ("usb3", "usb2", (480, True)),
        ("usb2", "usb3", (480, True)),
        ("usb-e", "usb3", None),
        ("usb-e", "usb-e", (10000, False)),
    ],
)
def test_front(plug, header, result):
    assert usb.front_rate_mbits(plug, header) == result


# Reference tables: USB 1.1 12 Mbit/s, 2.0 480, 3.0 = 3.1 Gen 1 = 3.2 Gen 1 5000, Gen 2 10 000, 2x2 20 000,
# USB4 40 000.
@pytest.mark.parametrize(
    ("name", "mbits"),
    [
        ("usb-1.1", 12),
        ("usb-2.0", 480),
        ("usb-3-gen1", 5_000),
        ("usb-3-gen2", 10_000),
        ("usb-3-gen2x2", 20_000),
        ("usb4-40", 40_000),
    ],
)
def test_rates(name, mbits):
    assert usb.RATE_MBITS[name] == mbits
