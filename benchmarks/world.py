"""The invented world of a generated catalogue: sockets with a long tail, families, chipsets, and the rows of
parts.

Only ``random.Random.random`` is drawn from (its sequence for a seed is guaranteed by the Python library
reference, module random, "Notes on Reproducibility") and only correctly rounded arithmetic is used, so bytes
do not change with the Python version or the machine.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TypeVar

from benchmarks.tables import (
    BOARD_MAKERS,
    CASES,
    CPU_MAKERS,
    DRIVES,
    EXTRAS,
    FORMS,
    GENERATIONS,
    MEMORY_MAKERS,
    PSUS,
    SYLLABLES,
    Row,
)

T = TypeVar("T")
# The socket and families of the demo survey's PC, so that a faster processor for the present board is in the
# list.
PRESENT_SOCKET, PRESENT_FAMILIES = "brig", ("tansy", "yarrow")
THIS_YEAR = 2026


class Dice:
    """Draws from one seeded sequence."""

    def __init__(self, seed: str) -> None:
        self._random = random.Random(seed).random

    def chance(self, share: float) -> bool:
        return self._random() < share

    def between(self, low: float, high: float) -> float:
        return low + (high - low) * self._random()

    def whole(self, low: int, high: int) -> int:
        """A whole number from low to high, both included."""
        return low + int(self._random() * (high - low + 1))

    def pick(self, items: Sequence[T]) -> T:
        return items[int(self._random() * len(items))]

    def weighted(self, items: Sequence[T], weights: Sequence[float]) -> T:
        at = self._random() * sum(weights)
        for item, weight in zip(items, weights, strict=True):
            at -= weight
            if at < 0:
                return item
        return items[-1]


@dataclass(frozen=True)
class Family:
    name: str
    maker: str
    year: int
    points_per_mhz: float
    rates: str


@dataclass(frozen=True)
class Socket:
    """name, year of first boards, weight (share in the list), memory generations of its boards, families,
    chipsets."""

    name: str
    year: int
    weight: float
    generations: tuple[str, ...]
    families: tuple[Family, ...]
    # chipset name, index of the family it came with, whether its boards show a picture over VGA
    chipsets: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Part:
    """A row with its table, price of a new piece, and whether it is still sold new."""

    table: str
    row: Row
    price: float
    new: bool


def socket_count(parts: int) -> int:
    """Sockets grow with the logarithm of the list: 8 at 200 parts, 11 at 2,000, 15 at 20,000, 17 at
    100,000."""
    return parts.bit_length()


def rate_of(generation: str, share: float) -> int:
    """A data rate of a generation: 0 = the slowest, 1 = the fastest."""
    rates = next(g[3] for g in GENERATIONS if g[0] == generation)
    return rates[min(len(rates) - 1, int(share * len(rates)))]


def sockets(dice: Dice, parts: int) -> tuple[Socket, ...]:
    """Newest first; every older socket has 0.8 of the weight of the next newer one: a long tail."""
    count = socket_count(parts)
    words = [first + second for first in SYLLABLES for second in SYLLABLES if first != second]
    result = []
    for number in range(count):
        year = 2024 - (number * 19) // max(1, count - 1)
        present = number == round((2024 - 2011) * (count - 1) / 19)
        if present:
            year = 2011
        generations = tuple(g[0] for g in GENERATIONS if g[1] <= year + 1 and year <= g[2])
        maker = CPU_MAKERS[0] if present else CPU_MAKERS[number % 2]
        families = []
        for step in range(2 if present else dice.whole(2, 4)):
            name = PRESENT_FAMILIES[step] if present else words.pop(dice.whole(0, len(words) - 1))
            rates = " ".join(
                f"{g}:{rate_of(g, 0.25 + 0.25 * step + dice.between(0, 0.2))}" for g in generations
            )
            speed = (0.135 + 0.0135 * (year + 1.5 * step - 2004)) * dice.between(0.93, 1.07)
            families.append(Family(name, maker, year + (3 * step) // 2, speed, rates))
        name = PRESENT_SOCKET if present else "s-" + words.pop(dice.whole(0, len(words) - 1))
        chipsets = tuple(
            (f"{name.removeprefix('s-')[:4]}-{(i + 1) * 10}", min(len(families) - 1, i * len(families) // 3))
            for i in range(dice.whole(3, 5))
        )
        weight = 1.0
        for _ in range(number):
            weight *= 0.8
        result.append(Socket(name, year, weight, generations, tuple(families), chipsets))
    return tuple(result)


def cpu(dice: Dice, all_sockets: Sequence[Socket], number: int, last: Part | None) -> Part:
    """A processor. Four in ten are the one before again: tray or boxed, or one clock step apart."""
    if last is not None and dice.chance(0.4):
        row, price = dict(last.row), last.price
        row |= {"id": f"cpu-{number:06d}", "boxed_cooler": "yes" if dice.chance(0.5) else "no"}
        row["name"] = f"{str(row['name']).split(' / ')[0]} / {number}"
        if dice.chance(0.4):
            factor = dice.between(0.98, 1.04)
            for column in ("boost_mhz", "serial_score", "parallel_score"):
                if row.get(column):
                    row[column] = round(int(str(row[column])) * factor)
        return Part("cpus", row, price * dice.between(0.95, 1.06), last.new)
    socket = dice.weighted(all_sockets, [s.weight for s in all_sockets])
    family = dice.pick(socket.families)
    choices = (
        (1, 2, 2, 4)
        if family.year < 2010
        else (
            (2, 2, 4, 4)
            if family.year < 2016
            else (2, 4, 6, 6, 8)
            if family.year < 2020
            else (4, 6, 6, 8, 10, 12)
        )
    )
    cores = dice.pick(choices)
    smt = dice.chance(0.55)
    mhz = 100 * dice.whole(24 if family.year < 2012 else 29, 33 + (family.year - 2004))
    serial = round(family.points_per_mhz * mhz * dice.between(0.985, 1.015))
    parallel = max(
        serial,
        round(
            serial
            * cores
            * (1.2 if smt else 0.95)
            * (1 - 0.012 * max(0, cores - 4))
            * dice.between(0.98, 1.02)
        ),
    )
    tdp = dice.pick((35, 51, 65, 65, 65, 84, 95, 105, 125)) if cores > 2 else dice.pick((35, 51, 65))
    bare = dice.chance(0.35)
    row = {
        "id": f"cpu-{number:06d}",
        "name": f"{family.maker} {family.name.title()} {cores}{'s' if smt else ''}-{mhz // 100}",
        "maker": family.maker,
        "socket": socket.name,
        "family": family.name,
        "cores": cores,
        "threads": cores * 2 if smt else cores,
        "base_mhz": mhz - 100 * dice.whole(2, 8),
        "boost_mhz": mhz,
        "tdp_w": tdp,
        "power_limit_w": "" if dice.chance(0.15) else tdp * dice.whole(100, 160) // 100,
        "memory_rates": family.rates,
        "memory_max_mib": 16384 if family.year < 2010 else 32768 if family.year < 2015 else 131072,
        "graphics_score": 0 if bare else round((120 + 75 * (family.year - 2004)) * dice.between(0.85, 1.2)),
        "x86_level": 2 if family.year < 2013 else 3,
        "architecture_class": family.name,
        "boxed_cooler": "yes" if dice.chance(0.3) else "no",
        "year": family.year,
        "source": "generated",
    }
    if not dice.chance(0.08):
        row |= {
            "serial_score": serial,
            "parallel_score": parallel,
            "score_origin": "measured" if dice.chance(0.1) else "published",
        }
    s, p = serial / 1000, parallel / 4000
    price = (2 + 14 * s * s * s + 12 * p * sqrt(p)) * dice.between(0.88, 1.18) * (0.93 if bare else 1)
    return Part("cpus", row, price, family.year >= 2020)


def board(dice: Dice, all_sockets: Sequence[Socket], number: int, last: Part | None) -> Part:
    """A board. Six in ten are the one before again: another revision or colour with at most one small
    difference."""
    if last is not None and dice.chance(0.6):
        row = dict(last.row)
        row |= {"id": f"board-{number:06d}", "name": f"{str(row['name']).split(' rev')[0]} rev {number}"}
        for share, change in (
            (0.15, {"fan_headers": dice.whole(1, 4)}),
            (0.1, {"usb2_headers": dice.whole(0, 3)}),
            (0.1, {"load_mw": dice.whole(14, 36) * 1000}),
            (0.1, {"firmware_shipped": f"{dice.whole(1, 5)}.{dice.whole(0, 9)}0"}),
            (0.1, {"flash_without_cpu": dice.pick(("yes", "no"))}),
        ):
            if dice.chance(share):
                row |= change
        return Part("boards", row, last.price * dice.between(0.93, 1.09), last.new)
    socket = dice.weighted(all_sockets, [s.weight for s in all_sockets])
    chipset, first = dice.pick(socket.chipsets)
    form, widths, depths, _ = dice.weighted(FORMS, [f[3] for f in FORMS])
    generation = dice.pick(socket.generations)
    age = THIS_YEAR - socket.year
    small = form == "mini-itx"
    slots = 2 if small else dice.pick((2, 4, 4))
    module = {"ddr2": 2048, "ddr3": 8192, "ddr4": 32768, "ddr5": 49152}[generation]
    listed = [f"{family.name}:1.00" for family in socket.families[: first + 1]]
    for later, family in enumerate(socket.families[first + 1 :]):
        if not dice.chance(0.85):
            break
        listed.append(f"{family.name}:{2 + later}.{dice.whole(0, 9)}0")
    rate = rate_of(generation, dice.between(0.3, 1))
    vga = dice.chance(0.75 if age > 9 else 0.35)
    digital = (
        "dvi-d"
        if age > 13
        else "hdmi-1.4"
        if age > 7
        else dice.pick(("hdmi-2.0", "hdmi-2.0 dp-1.4", "hdmi-2.1 dp-1.4"))
    )
    old = age > 12
    maker = dice.pick(BOARD_MAKERS)
    row = {
        "id": f"board-{number:06d}",
        "name": f"{maker} {chipset.upper()} {form[0].upper()}",
        "maker": maker,
        "socket": socket.name,
        "chipset": chipset,
        "form_factor": form,
        "width_mm": dice.pick(widths),
        "depth_mm": dice.pick(depths),
        "memory_generation": generation,
        "memory_module": "dimm",
        "memory_slots": slots,
        "memory_channels": 2,
        "memory_max_mib": slots * module,
        "memory_max_module_mib": module,
        "memory_max_rate_mts": rate,
        "memory_two_per_channel_rate_mts": (
            rate_of(generation, 0.3) if slots == 4 and dice.chance(0.4) else ""
        ),
        "memory_ecc": dice.pick(("no", "no", "tolerated")),
        "cpu_families": " ".join(listed),
        "firmware_shipped": "" if dice.chance(0.1) else f"{dice.whole(1, 4)}.{dice.whole(0, 9)}0",
        "flash_without_cpu": "yes" if age < 7 and dice.chance(0.4) else "no",
        "cpu_power_limit_w": dice.pick(("", "95", "105", "125", "150")),
        "main_plug": "24",
        "cpu_plugs": (
            "8+4" if form == "atx" and dice.chance(0.2) else "4" if age > 9 or dice.chance(0.3) else "8"
        ),
        "slots": (
            "x16:16"
            if small
            else (
                "x16:16 x1:1 x1:1 pci"
                if old
                else "x16:16 x1:1 x1:1"
                if form != "atx"
                else "x16:16 x1:1 x1:1 x16:4"
            )
        ),
        "m2_slots": (
            "none"
            if old
            else "m:80:nvme,sata:3x4:0:1"
            if age > 6
            else "m:80:nvme:4x4:0:0 m:80:nvme,sata:3x4:0:1"
        ),
        "sata_6g_ports": 0 if age > 15 else dice.pick((2, 4, 4, 6)),
        "sata_3g_ports": dice.pick((2, 4)) if old else 0,
        "pata_channels": 1 if age > 16 and dice.chance(0.5) else 0,
        "floppy_headers": 1 if age > 16 else 0,
        "outputs": f"vga {digital}" if vga else digital,
        "ps2_ports": dice.whole(0, 2),
        "serial_headers": 1 if dice.chance(0.5) else 0,
        "parallel_headers": 1 if old and dice.chance(0.4) else 0,
        "usb_rear_ports": dice.pick((4, 6, 6, 8)),
        "usb2_headers": dice.whole(1, 3),
        "usb3_headers": 0 if old else 1,
        "usb_e_headers": 1 if age < 5 else 0,
        "front_audio": "hd",
        "fan_headers": dice.whole(1, 4),
        "firmware_modes": "legacy" if age > 14 else "uefi" if age < 4 else "uefi legacy",
        "storage_modes": "ahci ide" if old else "ahci",
        "secure_boot": "no" if old else "yes",
        "tpm": "none" if old else "header" if age > 8 else "2.0",
        "nvme_boot": "no" if old else "yes",
        "shield": "integrated" if age < 5 and dice.chance(0.4) else "included",
        "load_mw": dice.whole(14, 34) * 1000 if dice.chance(0.6) else "",
        "year": socket.year + 1,
        "source": "generated",
    }
    # Newer, larger and better equipped costs more; the oldest cost more again, because few are left.
    price = (
        22
        + 4.2 * max(0, 18 - age)
        + 6 * (slots == 4)
        + 9 * (form == "atx")
        + 20 * small
        + 2.5 * max(0, age - 13)
    ) * dice.between(0.85, 1.25)
    return Part("boards", row, price, age <= 7)


def memory(dice: Dice, number: int) -> Part:
    """A kit. The facts come from a small grid, so a long list is full of twins that differ in price and
    maker."""
    generation, first, _, _, sizes, per_gib, millivolts = dice.weighted(GENERATIONS, (1, 5, 8, 6))
    rate = rate_of(generation, dice.between(0, 1))
    size, modules = dice.pick(sizes), dice.weighted((1, 2, 4), (5, 5, 1))
    registered, small = dice.chance(0.05), dice.chance(0.08)
    ecc = registered or dice.chance(0.03)
    maker = dice.pick(MEMORY_MAKERS)
    row: Row = {
        "id": f"kit-{number:06d}",
        "name": f"{maker} {modules} x {size} GiB {generation.upper()}-{rate} {number}",
        "maker": maker,
        "generation": generation,
        "module": "so-dimm" if small else "dimm",
        "modules": modules,
        "module_mib": size * 1024,
        "rate_mts": rate,
        "registered": "yes" if registered else "no",
        "ecc": "yes" if ecc else "no",
        "ranks": 1 if size < 8 else dice.pick((1, 2)),
        "voltage_mv": millivolts,
        "source": "generated",
    }
    faster = 1 + 0.05 * (rate - rate_of(generation, 0)) / 500
    price = (2.5 + per_gib * size * modules * faster) * dice.between(0.85, 1.3) * (0.5 if registered else 1)
    return Part("memory", row, price, first > 2009)


def small_part(
    dice: Dice, table: str, number: int, all_sockets: Sequence[Socket], board_ids: Sequence[str]
) -> Part:
    """A cooler, extra, supply, case or drive: a template with a little noise."""
    part = f"{table[:-1]}-{number:06d}"
    if table == "coolers":
        height, watts = dice.weighted(
            ((45, 65), (60, 95), (118, 130), (155, 190), (165, 250)), (3, 3, 3, 2, 1)
        )
        fits = [s.name for s in all_sockets if dice.chance(0.3)] or [all_sockets[0].name]
        row: Row = {
            "id": part,
            "name": f"Kaltwinkel {watts} / {number}",
            "sockets": " ".join(fits),
            "height_mm": height + dice.whole(-4, 4),
            "rated_w": watts + dice.whole(-5, 5),
            "paste_included": "no" if dice.chance(0.2) else "yes",
            "fan_pins": 3 if dice.chance(0.2) else 4,
            "source": "generated",
        }
        return Part(table, row, (4 + watts * watts / 900) * dice.between(0.85, 1.3), True)
    if table == "extras":
        if dice.chance(0.1) and board_ids:
            served = " ".join(sorted({dice.pick(board_ids) for _ in range(6)}))
            return Part(
                table,
                {
                    "id": part,
                    "name": f"Rear shield {number}",
                    "kind": "io-shield",
                    "takes": served,
                    "gives": "none",
                    "count": 1,
                    "source": "generated",
                },
                7.0,
                True,
            )
        kind, name, takes, gives, count, price, more = EXTRAS[number % len(EXTRAS)]
        row = {
            "id": part,
            "name": f"{name} / {number}",
            "kind": kind,
            "takes": takes,
            "gives": gives,
            "count": count,
            "source": "generated",
        } | more
        return Part(table, row, price * dice.between(0.7, 1.4), True)
    if table == "psus":
        watts, plugs, cards, sata, peripheral, milliamps, price = dice.pick(PSUS)
        row = {
            "id": part,
            "name": f"Wattenholm {watts} / {number}",
            "rated_w": watts,
            "year": dice.whole(2019, 2026),
            "main_plug": "24",
            "cpu_plugs": plugs,
            "card_plugs": cards,
            "sata_plugs": sata,
            "peripheral_plugs": peripheral,
            "floppy_plugs": 1,
            "rail_12v_ma": milliamps,
            "combined_12v_ma": milliamps,
            "rail_5v_ma": 16000,
            "rail_3v3_ma": 16000,
            "combined_5v_3v3_mw": 103000,
            "zero_load_12v": dice.pick(("", "yes")),
            "source": "generated",
        }
        return Part(table, row, price * dice.between(0.85, 1.25), True)
    if table == "cases":
        form, depth, openings, cooler, price = dice.pick(CASES)
        row = {
            "id": part,
            "name": f"Holmgate {form} / {number}",
            "form_factor": form,
            "max_board_depth_mm": depth + dice.whole(0, 20),
            "slot_openings": openings,
            "max_cooler_height_mm": cooler + dice.whole(-8, 8),
            "front_usb2_plugs": 1,
            "front_audio": "hd",
            "fans": 1,
            "psu_form": "sfx" if form == "mini-itx" else "atx",
            "source": "generated",
        }
        return Part(table, row, price * dice.between(0.85, 1.25), True)
    kind, interface, read, capacity, price, more = dice.pick(DRIVES)
    row = {
        "id": part,
        "name": f"Silvanta {capacity} / {number}",
        "kind": kind,
        "interface": interface,
        "read_mbs": read,
        "capacity_gb": capacity,
        "source": "generated",
    } | more
    return Part("drives", row, price * dice.between(0.85, 1.25), True)
