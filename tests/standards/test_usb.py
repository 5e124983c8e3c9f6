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


def test_power():  # USB 2.0: 0.5 A, 3.x: 0.9 A, Type-C 3 A, at 5 V
    assert [usb.port_mw(kind) for kind in ("usb2", "usb3", "charging", "type-c-3.0")] == [
        2500,
        4500,
        7500,
        15000,
    ]
    with pytest.raises(ValueError, match="known are usb2"):
        usb.front_rate_mbits("usb4", "usb2")
