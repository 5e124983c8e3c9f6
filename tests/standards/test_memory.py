"""Memory: JEDEC rates, module names by decode-dimms (i2c-tools 4.3), flex mode by Intel 323103-001 p. 44."""

import itertools
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsolver.standards import memory

# JEDEC JESD79-2/-3/-4/-5 rates with module name and peak of one channel in MB/s (tables of memory makers and
# encyclopaedia copies; naming rule: exact rate x 8 bytes cut to a multiple of 100; sdr and ddr: names of the
# trade, common practice).
ROWS = """
sdr 66 PC66 533 1.07 | sdr 100 PC100 800 1.6 | sdr 133 PC133 1067 2.13
ddr 200 PC1600 1600 3.2 | ddr 266 PC2100 2133 4.27 | ddr 333 PC2700 2667 5.33 | ddr 400 PC3200 3200 6.4
ddr2 400 PC2-3200 3200 6.40 | ddr2 533 PC2-4200 4267 8.53 | ddr2 667 PC2-5300 5333 10.67
ddr2 800 PC2-6400 6400 12.80 | ddr2 1066 PC2-8500 8533 17.07 | ddr3 800 PC3-6400 6400 12.80
ddr3 1066 PC3-8500 8533 17.07
ddr3 1333 PC3-10600 10667 21.33 | ddr3 1600 PC3-12800 12800 25.60 | ddr3 1866 PC3-14900 14933 29.87
ddr3 2133 PC3-17000 17067 34.13 | ddr4 1600 PC4-12800 12800 25.60 | ddr4 1866 PC4-14900 14933 29.87
ddr4 2133 PC4-17000 17067 34.13 | ddr4 2400 PC4-19200 19200 38.40 | ddr4 2666 PC4-21300 21333 42.67
ddr4 2933 PC4-23400 23467 46.93 | ddr4 3200 PC4-25600 25600 51.20 | ddr5 3200 PC5-25600 25600 51.2
ddr5 3600 PC5-28800 28800 57.6 | ddr5 4000 PC5-32000 32000 64.0 | ddr5 4400 PC5-35200 35200 70.4
ddr5 4800 PC5-38400 38400 76.8 | ddr5 5200 PC5-41600 41600 83.2 | ddr5 5600 PC5-44800 44800 89.6
ddr5 6000 PC5-48000 48000 96.0 | ddr5 6400 PC5-51200 51200 102.4 | ddr5 6800 PC5-54400 54400 108.8
ddr5 7200 PC5-57600 57600 115.2 | ddr5 7600 PC5-60800 60800 121.6 | ddr5 8000 PC5-64000 64000 128.0
ddr5 8400 PC5-67200 67200 134.4 | ddr5 8800 PC5-70400 70400 140.8
"""
TABLE = [row.split() for row in ROWS.replace("\n", "|").split("|") if row.strip()]


def test_rates_are_those_of_the_table():
    assert [(gen, rate) for gen, rates in memory.RATES.items() for rate in rates] == [
        (r[0], int(r[1])) for r in TABLE
    ]


@pytest.mark.parametrize(
    "call",
    [
        lambda: memory.contacts("ddr3", "simm"),
        lambda: memory.interleave_milli_channels([1, 1, 1], 2),
        lambda: memory.interleave_milli_channels([-1], 2),
        lambda: memory.best_layout([0], 2, 2),
        lambda: memory.best_layout([1], 0, 2),
    ],
)
def test_refusals(call):
    with pytest.raises(ValueError):
        call()


# Textbook data sheet page (DIMM) and encyclopaedia text (SO-DIMM).
@pytest.mark.parametrize(
    ("gen", "dimm", "so_dimm"),
    [
        ("sdr", 168, 144),
        ("ddr", 184, 200),
        ("ddr2", 240, 200),
        ("ddr3", 240, 204),
        ("ddr4", 288, 260),
        ("DDR5", 288, 262),
    ],
)
def test_contacts(gen, dimm, so_dimm):
    assert (memory.contacts(gen), memory.contacts(gen, "so-dimm")) == (dimm, so_dimm)


def test_voltages_and_sizes():
    assert memory.VOLTAGE_MV == {
        **{"sdr": 3300, "ddr": 2500, "ddr2": 1800},
        **{"ddr3": 1500, "ddr4": 1200, "ddr5": 1100},
    }
    assert [memory.LARGEST_MODULE_MIB[g] // 1024 for g in ("ddr2", "ddr3", "ddr4", "ddr5")] == [4, 16, 32, 64]


# Flex mode (323103-001 p. 44), hand computed: total / largest channel.  4+4 interleaved wholly; 8+4: 8 of
# 12 at two channels and 4 at one, 12/8; 3 GiB + 1 GiB: 4/3; 16+8+8 on three: layers 24 over 3 and 8 over 1:
# 32/16.
@pytest.mark.parametrize(
    ("channels", "capacities", "milli"),
    [
        (2, [4096, 4096], 2000),
        (2, [4096, 0], 1000),
        (2, [4096], 1000),
        (2, [8192, 4096], 1500),
        (2, [3072, 1024], 1333),
        (2, [5120, 3072], 1600),
        (2, [6, 5], 1833),
        (1, [8192], 1000),
        (3, [2048, 2048, 2048], 3000),
        (3, [16384, 8192, 8192], 2000),
        (4, [4096] * 4, 4000),
        (4, [4096] * 3, 3000),
        (2, [], 0),
        (2, [0, 0], 0),
    ],
)
def test_interleaving(channels, capacities, milli):
    assert memory.interleave_milli_channels(capacities, channels) == milli
    assert memory.interleave_milli_channels(capacities[::-1], channels) == milli


def test_interleaving_is_the_harmonic_mix():
    for a, b in itertools.product((1, 2, 3, 4, 7, 8, 16), repeat=2):
        phi = 2 * min(a, b) / (a + b)
        assert abs(memory.interleave_milli_channels([a, b], 2) - 1000 / (phi / 2 + 1 - phi)) <= 0.5000001


# Two plus one equal modules on two channels: 4096 of 3 x 2048 in one channel, 1500.
@pytest.mark.parametrize(
    ("modules", "channels", "slots", "layout", "milli"),
    [
        ([2048, 2048, 2048], 2, 4, ((2048, 2048), (2048,)), 1500),
        ([4096, 4096], 2, 4, ((4096,), (4096,)), 2000),
        ([4096, 4096], 2, 2, ((4096,), (4096,)), 2000),
        ([4096], 2, 4, ((4096,), ()), 1000),
        (
            [2048, 8192, 2048, 4096],
            2,
            4,
            ((8192, 2048), (4096, 2048)),
            1600,
        ),  # two slots a channel: best is 10 + 6
        ([2048, 4096, 2048], 2, 4, ((4096,), (2048, 2048)), 2000),
        ([4096, 2048, 2048], 3, 6, ((4096,), (2048,), (2048,)), 2000),
        ([4096, 2048, 1024, 1024], 3, 6, ((4096,), (2048,), (1024, 1024)), 2000),  # not 3 + 1 beside the 4
        ([4096] * 4, 4, 4, ((4096,),) * 4, 4000),
        ([4096, 4096, 4096], 1, 4, ((4096, 4096, 4096),), 1000),
        ([2048] * 3, 2, 3, ((2048, 2048), (2048,)), 1500),
        # 16 in each channel either way: three modules in each, not two of 8 beside four of 4.
        ([8, 8, 4, 4, 4, 4], 2, 8, ((8, 4, 4), (8, 4, 4)), 2000),
        # Two slots and one: either way as even, and the larger module goes to the first channel.
        ([4096, 2048], 2, 3, ((4096,), (2048,)), 1500),
        ([], 2, 4, ((), ()), 0),
    ],
)
def test_best_layout(modules, channels, slots, layout, milli):
    assert memory.best_layout(modules, channels, slots) == layout
    assert memory.best_layout(modules[::-1], channels, slots) == layout
    assert memory.interleave_milli_channels([sum(c) for c in layout], channels) == milli


def test_best_layout_without_room():
    assert memory.best_layout([1024] * 3, 2, 2) is None
    assert memory.best_layout([1024], 1, 0) is None


def test_best_layout_against_brute_force():
    for channels, slots in ((2, 4), (3, 6), (2, 3)):
        room = memory.slots_per_channel(channels, slots)
        for size in range(1, slots + 1):
            for modules in itertools.combinations_with_replacement((1, 2, 4), size):
                best = None
                for where in itertools.product(range(channels), repeat=size):
                    if all(where.count(c) <= room[c] for c in range(channels)):
                        worst = max(
                            sum(m for m, w in zip(modules, where, strict=True) if w == c)
                            for c in range(channels)
                        )
                        best = worst if best is None else min(best, worst)
                layout = memory.best_layout(modules, channels, slots)
                assert layout is not None and max(map(sum, layout)) == best
                assert sorted(m for c in layout for m in c) == sorted(modules)
                assert all(len(c) <= r for c, r in zip(layout, room, strict=True))


def layered_milli(capacities):
    """Flex mode told layer by layer: what j channels have in common is read at j times one channel's rate."""
    left, time = [c for c in capacities if c], Fraction(0)
    while left:
        height = min(left)
        time += Fraction(height * len(left), len(left))  # capacity of the layer / its rate
        left = [c - height for c in left if c > height]
    return int(sum(capacities) / time * 1000 + Fraction(1, 2)) if time else 0


@given(st.lists(st.integers(0, 65536), min_size=1, max_size=4), st.integers(1, 8))
def test_interleaving_by_layers(capacities, factor):
    milli = memory.interleave_milli_channels(capacities, len(capacities))
    assert milli == layered_milli(capacities)
    populated = sum(1 for c in capacities if c)
    assert milli == 0 if not populated else 1000 <= milli <= 1000 * populated
    assert milli == memory.interleave_milli_channels([c * factor for c in capacities], len(capacities))


# Up to eight modules: no placement that the slots allow interleaves more, whatever the order given.
@given(
    st.lists(st.sampled_from([512, 1024, 2048, 4096, 8192]), min_size=1, max_size=8),
    st.sampled_from([(1, 4), (2, 2), (2, 3), (2, 4), (3, 4), (3, 6), (4, 8)]),
    st.randoms(use_true_random=False),
)
def test_no_placement_interleaves_more(modules, board, random):
    channels, slots = board
    layout = memory.best_layout(modules, channels, slots)
    if len(modules) > slots:
        assert layout is None
        return
    room = memory.slots_per_channel(channels, slots)
    assert sum(room) == slots and max(room) - min(room) <= 1
    best = memory.interleave_milli_channels([sum(c) for c in layout], channels)
    for _ in range(20):
        where = random.sample([c for c in range(channels) for _ in range(room[c])], len(modules))
        capacities = [0] * channels
        for module, channel in zip(modules, where, strict=True):
            capacities[channel] += module
        assert memory.interleave_milli_channels(capacities, channels) <= best
    assert memory.best_layout(random.sample(modules, len(modules)), channels, slots) == layout
