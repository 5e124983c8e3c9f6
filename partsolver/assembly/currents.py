"""Currents of a consumer on the three rails, and how they add. Integers; the power of a sum is the sum of the powers."""

from __future__ import annotations

from partsolver.base.quantities import ceil_div
from partsolver.base.records import record


@record
class Load:
    """Currents at 12 V, 5 V, 3.3 V in mA: usual (``ma_``), highest (``most_``), while the disks start
    (``start_``).

    mw, most_mw: power of all three. Loads add: the power of a sum is the sum of the powers.
    """

    ma_12v: int = 0
    ma_5v: int = 0
    ma_3v3: int = 0
    most_12v: int = 0
    most_5v: int = 0
    most_3v3: int = 0
    start_12v: int = 0
    start_5v: int = 0
    mw: int = 0
    most_mw: int = 0

    def __add__(self, other: Load) -> Load:
        return Load(
            self.ma_12v + other.ma_12v,
            self.ma_5v + other.ma_5v,
            self.ma_3v3 + other.ma_3v3,
            self.most_12v + other.most_12v,
            self.most_5v + other.most_5v,
            self.most_3v3 + other.most_3v3,
            self.start_12v + other.start_12v,
            self.start_5v + other.start_5v,
            self.mw + other.mw,
            self.most_mw + other.most_mw,
        )


NOTHING = Load()


def power_of_currents_mw(ma_12v: int, ma_5v: int, ma_3v3: int) -> int:
    """Power of three currents at nominal voltage, rounded up."""
    return ma_12v * 12 + ma_5v * 5 + ceil_div(ma_3v3 * 33, 10)


def load_of_currents(
    usual: tuple[int, int, int],
    most: tuple[int, int, int] | None = None,
    start: tuple[int, int] | None = None,
    times: int = 1,
) -> Load:
    """A load from its currents at 12 V, 5 V, 3.3 V; ``most`` and ``start`` (12 V, 5 V) as the usual ones
    unless given."""
    usual = (usual[0] * times, usual[1] * times, usual[2] * times)
    most = usual if most is None else (most[0] * times, most[1] * times, most[2] * times)
    starting = usual[:2] if start is None else (start[0] * times, start[1] * times)
    return Load(*usual, *most, *starting, power_of_currents_mw(*usual), power_of_currents_mw(*most))


def times_load(load: Load, number: int) -> Load:
    """So many alike loads."""
    return load_of_currents(
        (load.ma_12v, load.ma_5v, load.ma_3v3),
        (load.most_12v, load.most_5v, load.most_3v3),
        (load.start_12v, load.start_5v),
        number,
    )
