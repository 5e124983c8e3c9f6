"""Memory generations: data rates, module names, bandwidth, contacts, voltage, capacity, channel interleaving.

Documents: [JESD79] rate tables of JESD79-2/-3/-4/-5 as printed in memory makers' and encyclopaedia texts;
[DD] decode-dimms of i2c-tools 4.3 (naming rule, voltages); [FLEX] Intel Xeon C5500/C3500 datasheet vol. 1
(323103-001) section 2.1.3.7.3, p. 44 (flex mode).  Generations are written "sdr" (single data rate), "ddr"
(the first double one), "ddr2" to "ddr5"; functions take any letter case.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

#: Standard data rates in MT/s.  [JESD79], high (ddr2 1066: later revision, from memory, medium). sdr: PC66,
#: PC100 and PC133, from memory (medium). The order is that of time.
RATES: Final[dict[str, tuple[int, ...]]] = {
    "sdr": (66, 100, 133),
    "ddr": (200, 266, 333, 400),
    "ddr2": (400, 533, 667, 800, 1066),
    "ddr3": (800, 1066, 1333, 1600, 1866, 2133),
    "ddr4": (1600, 1866, 2133, 2400, 2666, 2933, 3200),
    "ddr5": (3200, 3600, 4000, 4400, 4800, 5200, 5600, 6000, 6400, 6800, 7200, 7600, 8000, 8400, 8800),
}

#: Numbers in the module names of the first DDR generation by data rate (JEDEC JESD79, common practice).
EARLY_NAMES: Final[dict[int, int]] = {200: 1600, 266: 2100, 333: 2700, 400: 3200}

#: Memory generations in the order of time.
GENERATIONS: Final[tuple[str, ...]] = tuple(RATES)

#: Data rates above the standard that modules are sold with (an overclocking profile of their own), MT/s.
#: Common practice: what labels of such modules say; from memory (medium). They are read as they are printed.
SOLD_RATES: Final[dict[str, tuple[int, ...]]] = {
    "sdr": (),
    "ddr": (433, 466, 500, 533, 550, 600),
    "ddr2": (900, 1000, 1100, 1142, 1150, 1200),
    "ddr3": (1800, 2000, 2200, 2400, 2500, 2600, 2666, 2800, 2933, 3000, 3100),
    "ddr4": (
        *(2800, 3000, 3100, 3333, 3400, 3466, 3600, 3733, 3800, 3866, 4000, 4133, 4200, 4266, 4300, 4333),
        *(4400, 4500, 4600, 4700, 4800, 5000, 5066, 5100, 5333),
    ),
    "ddr5": (4600, 5000, 5400, 5800, 6200, 6600, 7000, 7800, 8200, 8266, 8600, 9000, 9200, 9600),
}

#: Contacts by (generation, module).  Textbook data sheet page and encyclopaedia text, high.
CONTACTS: Final[dict[tuple[str, str], int]] = {
    ("sdr", "dimm"): 168,
    ("sdr", "so-dimm"): 144,
    ("ddr", "dimm"): 184,
    ("ddr", "so-dimm"): 200,
    ("ddr2", "dimm"): 240,
    ("ddr2", "so-dimm"): 200,
    ("ddr3", "dimm"): 240,
    ("ddr3", "so-dimm"): 204,  # 240 as DDR2, but the notch is elsewhere: no cross-insertion
    ("ddr4", "dimm"): 288,
    ("ddr4", "so-dimm"): 260,
    ("ddr5", "dimm"): 288,
    ("ddr5", "so-dimm"): 262,
}

#: Nominal voltage in mV.  [DD] and a memory maker's text, high.
VOLTAGE_MV: Final[dict[str, int]] = {
    "sdr": 3300,
    "ddr": 2500,
    "ddr2": 1800,
    "ddr3": 1500,
    "ddr4": 1200,
    "ddr5": 1100,
}
LOW_VOLTAGE_MV: Final[dict[str, int]] = {"ddr3": 1350}  # "DDR3L": also runs at 1.5 V; medium

#: Highest voltage of modules by socket and generation, in mV, where it is below the generation's own. DDR3
#: slots of the LGA1151 generations of 2015 to 2017: the processor's maker allows 1.35 V only; 1.5 V and more
#: may damage the memory controller in time, though boards list such modules (several press reports of 2015
#: agree; medium).
LOW_VOLTAGE_ONLY_MV: Final[dict[tuple[str, str], int]] = {("lga1151", "ddr3"): 1350}

#: Largest memory chip by socket and generation, in Mbit, from boards' specifications: 4-series 2 Gbit (Intel
#: DG43GT technical product specification p. 16, high; LGA1156 by documents of 2009 and 2010, medium), LGA1155
#: and LGA1150 4 Gbit (Intel DZ77BH-55K technical product specification, table 4, high). Single boards take
#: more: where the board itself states nothing it is asked.
LARGEST_CHIP_MBIT: Final[dict[tuple[str, str], int]] = {
    ("lga775", "ddr2"): 2048,
    ("lga775", "ddr3"): 2048,
    ("lga1156", "ddr3"): 2048,
    ("lga1155", "ddr3"): 4096,
    ("lga1150", "ddr3"): 4096,
}

#: Sockets of these for which the limit is certain: among 25,806 modules of public firmware reports from PCs with
#: LGA1155 and LGA1150 not one has 16 GB (start reference, section 4.2, high).
SURE_CHIP_LIMIT_SOCKETS: Final = frozenset(("lga1150", "lga1155"))

#: Sockets whose controllers take no two-sided modules of 16-bit chips: Intel DG43GT technical product
#: specification p. 16 and two board manuals of LGA775 and AM2 (high).
NO_TWO_SIDED_X16_SOCKETS: Final = frozenset(("lga775", "am2"))

#: Most and usual numbers of chips on an unbuffered module, without those for error correction (common
#: practice).
USUAL_CHIPS: Final = (8, 16)

#: Largest unbuffered module in MiB.  sdr, ddr: from memory (medium); ddr2, ddr3: encyclopaedia texts (medium;
#: see the settings *_usual_module_mib); ddr4 on sale since 2019 (high); ddr5 32 Gbit chips, two ranks, since
#: 2024: a maker's page (high).
LARGEST_MODULE_MIB: Final[dict[str, int]] = {
    "sdr": 512,
    "ddr": 1024,
    "ddr2": 4096,
    "ddr3": 16384,
    "ddr4": 32768,
    "ddr5": 65536,
}

#: Bytes a 64-bit channel moves per transfer; a DDR5 module's two 32-bit sub-channels count as one channel.
BYTES_PER_TRANSFER: Final = 8


def chip_width_bits(ranks: int, chips: int) -> int | None:
    """Width of the chips of a 64-bit module: 8 chips in one rank are 8 bits wide, 16 chips in one rank 4
    bits. None where the two numbers do not go together (JEDEC: 4, 8 or 16 bits)."""
    width, rest = divmod(64 * ranks, chips)
    return width if not rest and width in (4, 8, 16) else None


def contacts(gen: str, module: str = "dimm") -> int:
    """Contacts of a "dimm" or "so-dimm"; ``ValueError`` for an unknown pair."""
    try:
        return CONTACTS[gen.lower(), module]
    except KeyError:
        raise ValueError(
            f"memory module {gen!r} {module!r} is not known; modules are dimm and so-dimm"
        ) from None


def interleave_milli_channels(channel_mib: Sequence[int], channels: int) -> int:
    """Effective number of channels x 1000 for the capacity on each channel, rounded half up.

    Two channels, [FLEX]: 2 x min(A, B) is interleaved, the rest |A - B| is on one channel.  With uniform
    accesses the mean bandwidth is the harmonic mix 1 / (phi / 2 + (1 - phi)) channels, phi = 2 min / (A + B),
    which is (A + B) / max(A, B). More channels (derived): each layer of capacity that j channels have in
    common is interleaved over those j; the same mix gives total / largest again.  It is an upper estimate
    where a controller cannot interleave over three channels. No memory at all gives 0.  Raises ``ValueError``
    for more capacities than channels or a negative one.
    """
    if channels < 1 or len(channel_mib) > channels:
        raise ValueError(
            f"{len(channel_mib)} channel capacities for {channels} channels; give at most one each"
        )
    if any(mib < 0 for mib in channel_mib):
        raise ValueError(f"channel capacities {tuple(channel_mib)} MiB: none may be below 0")
    if not any(channel_mib):
        return 0
    largest = max(channel_mib)
    return (2000 * sum(channel_mib) + largest) // (2 * largest)


def slots_per_channel(channels: int, slots: int) -> tuple[int, ...]:
    """Slots of each channel; where they do not divide evenly.

    The first channels have one more (common practice).
    """
    if channels < 1 or slots < 0:
        raise ValueError(
            f"{slots} memory slots on {channels} channels is not a board; channels must be 1 or more"
        )
    return tuple(slots // channels + (1 if channel < slots % channels else 0) for channel in range(channels))


def best_layout(module_mib: Sequence[int], channels: int, slots: int) -> tuple[tuple[int, ...], ...] | None:
    """Distribute modules over channels so that capacity is balanced best.

    Returns the modules of each channel, largest first, or None if there are more modules than slots.  Wanted
    are, in this order: the smallest largest channel (most interleaving, see above), the fewest modules in the
    fullest channel (two in a channel run slower), the least sum of squares of the capacities; then the layout
    that fills the first channels most. The answer does not depend on the order of ``module_mib``.
    """
    if any(mib < 1 for mib in module_mib):
        raise ValueError(f"module capacities {tuple(module_mib)} MiB: all must be above 0")
    room = slots_per_channel(channels, slots)
    if len(module_mib) > slots:
        return None
    return _search(tuple(sorted(module_mib, reverse=True)), room)


@lru_cache(maxsize=4096)
def _search(modules: tuple[int, ...], room: tuple[int, ...]) -> tuple[tuple[int, ...], ...]:
    """Exact search over channel states, one module at a time, largest first; equal states are kept once."""
    states: set[tuple[tuple[int, ...], ...]] = {tuple(() for _ in room)}
    for mib in modules:
        following: set[tuple[tuple[int, ...], ...]] = set()
        for state in states:
            tried: set[tuple[int, tuple[int, ...]]] = set()
            for channel, placed in enumerate(state):
                alike = (room[channel], placed)
                if (
                    len(placed) < room[channel] and alike not in tried
                ):  # channels in the same state are interchangeable
                    tried.add(alike)
                    following.add((*state[:channel], (*placed, mib), *state[channel + 1 :]))
        states = following

    def unevenness(state: tuple[tuple[int, ...], ...]) -> tuple[int, int, int]:
        sums = [sum(placed) for placed in state]
        return max(sums), max(len(placed) for placed in state), sum(total * total for total in sums)

    # Of equals the first one counts: that which fills the first channels most.
    return min(sorted(states, reverse=True), key=unevenness)
