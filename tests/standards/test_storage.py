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


def test_pcie_link_is_the_lesser_end():
    assert storage.pcie_link_mbs(4, 4, 3, 4) == storage.pcie_mbs(3, 4) == 3938
    assert storage.pcie_link_mbs(3, 4, 4, 2) == storage.pcie_mbs(3, 2)


# ATA-4: modes 0-2 16.7/25/33 MB/s; ATA-5 66, ATA-6 100, ATA-7 133; above mode 2 an 80-conductor cable.
@pytest.mark.parametrize(
    ("drive", "port", "conductors", "mbs"),
    [
        (2, 5, 80, 33),
        (5, 5, 80, 100),
        (6, 5, 80, 100),
        (6, 6, 80, 133),
        (5, 5, 40, 33),
        (4, 6, 80, 66),
        (0, 6, 40, 16),
    ],
)
def test_pata(drive, port, conductors, mbs):
    assert storage.pata_mbs(drive, port, conductors) == mbs


# A drive maker's KB article 8142: 550 MB/s behind 6 Gb/s, 285 MB/s behind 3 Gb/s: 0.92 to 0.95.
@pytest.mark.parametrize(("link", "measured"), [(600, 550), (300, 285)])
def test_practical(link, measured):
    assert measured * 0.96 <= storage.practical_mbs(link) <= measured * 1.01
    assert storage.practical_mbs(link, {"storage_protocol_percent": 50}) == link // 2


# Common practice, and the same article: an SSD moved from a 3 Gb/s to a 6 Gb/s port reads about twice as fast
# (275 to 285 -> 550 MB/s).
def test_faster_port_about_doubles():
    slow = storage.practical_mbs(storage.sata_link_mbs(60, 30))
    fast = storage.practical_mbs(storage.sata_link_mbs(60, 60))
    assert 275 * 0.97 <= slow <= 285 and 520 <= fast <= 600 * 0.95
    assert 1.9 <= fast / slow <= 2.1


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


def test_m2_sizes():
    assert storage.m2_size_mm("2280") == (22, 80) and storage.m2_size_mm("22110") == (22, 110)
    assert storage.M2_LENGTHS_MM == (16, 26, 30, 38, 42, 60, 80, 110) and storage.M2_WIDTHS_MM == (
        12,
        16,
        22,
        30,
    )


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
        (lambda: storage.m2_size_mm("2281"), "2281"),
        (lambda: storage.pata_mbs(3, 3), "mode 3"),
    ],
)
def test_refusals(call, words):
    with pytest.raises(ValueError, match=words.replace("+", r"\+")):
        call()
