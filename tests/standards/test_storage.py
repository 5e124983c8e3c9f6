"""Storage: SATA 8b/10b (Intel CS-009260), Linux PCIE_SPEED2MBS_ENC (commit 9cb3985af635), M.2 leaflet
(Samsung, p. 3).
"""

import pytest

from partsolver.standards import storage


@pytest.mark.parametrize(
    ("drive", "port", "mbs"),
    [
        (15, 15, 150),
        (30, 30, 300),
        (60, 60, 600),
        (60, 30, 300),
        (15, 60, 150),
        (30, 15, 150),
    ],
)
def test_sata(drive, port, mbs):
    assert storage.sata_link_mbs(drive, port) == mbs


def test_line_coding():
    for rate, mbs in {**storage.SATA_MBS, **storage.SAS_MBS}.items():
        assert mbs == rate * 100 * 8 // 10 // 8  # tenths of Gb/s, 8 data bits of 10, 8 bits per byte


# Check values of the kernel macro, Mb/s per lane, truncated.
def test_pcie_kernel_integers():
    assert [storage.PCIE_LANE_MBITS[gen] for gen in range(1, 6)] == [2000, 4000, 7876, 15753, 31507]


# GB/s before packet overhead, computed from GT/s x encoding (8/10, then 128/130).
@pytest.mark.parametrize(
    ("gen", "values"),
    [
        (1, (0.250, 0.500, 1.000, 2.000, 4.000)),
        (2, (0.500, 1.000, 2.000, 4.000, 8.000)),
        (3, (0.985, 1.969, 3.938, 7.877, 15.754)),
        (4, (1.969, 3.938, 7.877, 15.754, 31.508)),
        (5, (3.938, 7.877, 15.754, 31.508, 63.015)),
    ],
)
def test_pcie_table(gen, values):
    for lanes, gbs in zip((1, 2, 4, 8, 16), values, strict=True):
        assert abs(storage.pcie_mbs(gen, lanes) - gbs * 1000) <= 2  # the kernel truncates a lane's rate


# Exact integers, by hand: lane rate of the kernel macro x width / 8, cut (7876 x 16 / 8 = 15752).
@pytest.mark.parametrize(
    ("gen", "lanes", "mbs"),
    [
        (1, 1, 250),
        (2, 4, 2000),
        (3, 1, 984),
        (3, 2, 1969),
        (3, 4, 3938),
        (3, 16, 15752),
        (4, 4, 7876),
        (5, 16, 63014),
    ],
)
def test_pcie_integers(gen, lanes, mbs):
    assert storage.pcie_mbs(gen, lanes) == mbs


# Leaflet p. 3: key B PCIe x2 and SATA, key M PCIe x4 and SATA, keys A and E PCIe x1; B+M modules fit both, x2
# at most.
@pytest.mark.parametrize(
    ("module", "socket", "lanes"),
    [
        ("m", "m", 4),
        ("m", "b", 0),
        ("b", "b", 2),
        ("b", "m", 0),
        ("b+m", "b", 2),
        ("b+m", "m", 2),
        ("e", "m", 0),
        ("a+e", "e", 1),
        ("e", "e", 1),
        ("b+m", "e", 0),
    ],
)
def test_m2(module, socket, lanes):
    assert storage.m2_lanes(module, socket) == lanes
    assert storage.m2_key_fits(module, socket) is (lanes > 0)


def test_sas_takes_sata_but_not_the_reverse():  # HP SAS technology brief, 4th edition
    assert ("sata", "sas") in storage.DRIVE_ON_PORT and ("sas", "sata") not in storage.DRIVE_ON_PORT
    assert storage.MBR_LIMIT_BYTES == 2 * 1024**4


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: storage.sata_link_mbs(6, 60), "of the drive is 6"),
        (lambda: storage.sata_link_mbs(60, 0), "of the port is 0"),
        (lambda: storage.pcie_mbs(9, 4), "generation 9"),
        (lambda: storage.pcie_mbs(3, 3), "x3"),
        (lambda: storage.m2_key_fits("x", "m"), "module key"),
        (lambda: storage.m2_key_fits("m", "b+m"), "socket key"),
    ],
)
def test_refusals(call, words):
    with pytest.raises(ValueError, match=words.replace("+", r"\+")):
        call()
