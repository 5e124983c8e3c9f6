"""The oracle's rules of power and plugs, in its own words. Same shape as ``oracle_rules``.

Facts that may be None (an open question): a supply's year (counts as old), combined and 5 V / 3.3 V limits,
peak, and pin order or processor plugs, which block wherever anything changes on that plug.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor
from typing import Any

from oracle_ports import drives_of
from oracle_rules import (
    FINE,
    Options,
    Pick,
    Rule,
    Verdict,
    World,
    cpu_power_w,
    placed_cards,
    today,
    verdict,
)

from partsolver.standards.plugs import slot_12v_ma

EVERYTHING = ("board", "cpu", "memory", "psu", "case", "drive")


@dataclass(frozen=True)
class _Draw:
    """What a drive draws: continuous mW, 12 V mA, 5 V mA, and 12 V mA at the start."""

    mw: int
    ma_12v: int
    ma_5v: int
    start_12v_ma: int


def _drive(world: World, drive: Any) -> _Draw:
    get = world.set
    if drive.interface == "m2-nvme":
        return _Draw(get(f"nvme{max(3, min(5, drive.pcie_gen))}_mw"), 0, 0, 0)
    if drive.kind == "hdd35":
        own = getattr(drive, "start_12v_ma", None)
        start = get("hdd35_start_12v_ma") if own is None else own
        return _Draw(get("hdd35_mw"), get("hdd35_12v_ma"), get("hdd35_5v_ma"), start)
    if drive.kind == "hdd25":
        return _Draw(get("hdd25_mw"), 0, get("hdd25_5v_ma"), 0)
    if drive.kind == "optical":  # beside a busy processor it idles; at the start it looks for a disc
        return _Draw(
            get("optical_idle_mw"),
            get("optical_idle_12v_ma"),
            get("optical_idle_5v_ma"),
            get("optical_12v_ma"),
        )
    if drive.kind == "floppy":
        return _Draw(0, 0, 0, 0)
    return _Draw(get("ssd_sata_mw"), 0, get("ssd_sata_5v_ma"), 0)


def cpu_12v_ma(world: World, cpu: Any) -> int:
    """P / (regulator efficiency x lowest 12 V), rounded up."""
    volts = Fraction(world.set("cpu_supply_mv"), 1000)
    return ceil(cpu_power_w(world, cpu) * 1000 / (Fraction(world.set("vrm_efficiency_percent"), 100) * volts))


def continuous_mw(world: World, pick: Pick) -> int:
    """DC power of the whole PC: processor through its regulators and its fan, board, modules, drives, fans,
    cards."""
    cpu = ceil(
        cpu_power_w(world, pick["cpu"].part) * 1000 / Fraction(world.set("vrm_efficiency_percent"), 100)
    )
    board = pick["board"].part.load_mw
    total = cpu + world.set("cpu_fan_12v_ma") * 12
    total += world.set("board_default_mw") if board is None else board
    total += pick["memory"].part.modules * world.set("memory_module_mw")
    total += pick["case"].part.fans * world.set("case_fan_mw")
    total += sum(_drive(world, d).mw for d in drives_of(world, pick))
    return int(total + sum(c.load_mw for c in placed_cards(world, pick)))


def _cards_ma(world: World, pick: Pick) -> int:
    return sum(ceil(Fraction(c.load_mw, 12)) for c in placed_cards(world, pick))


def _label_ma(psu: Any) -> int:
    return sum(psu.rail_12v_ma) if psu.combined_12v_ma is None else psu.combined_12v_ma


def _trusted(world: World, psu: Any, label: int) -> int:
    """Label x factor for age, day-and-night use and a poor label x usable share, rounded down."""
    age = None if psu.year is None else world.problem.today.year - psu.year
    if age is None or age > 12 or (age > 7 and world.survey.pc.always_on and psu.id == world.survey.psu.id):
        factor = world.set("psu_factor_older_percent")
    elif age > 8:
        factor = world.set("psu_factor_upto12_percent")
    else:
        factor = world.set("psu_factor_upto8_percent" if age > 5 else "psu_factor_upto5_percent")
    stated = psu.combined_12v_ma is not None or (
        len(psu.rail_12v_ma) == 1 and psu.combined_5v_3v3_mw is not None
    )
    if not stated or psu.main_plug != "24":
        factor = factor * world.set("psu_factor_no_label_percent") // 100
    return label * factor * world.set("rail_use_percent") // 10_000


def pinout(world: World, pick: Pick) -> Verdict:
    if today(pick, "board", "psu"):
        return FINE
    wanted = world.survey.psu.pinout if pick["board"].kept else "atx"
    return verdict(wanted is not None and pick["psu"].part.pinout == wanted)


def condition(world: World, pick: Pick) -> Verdict:
    sound = pick["psu"].part.condition not in ("bulged", "failed-start")
    return verdict(sound or today(pick, "board", "cpu", "memory", "psu", "drive"))


def main_plug(world: World, pick: Pick) -> Verdict:
    board, psu = pick["board"].part, pick["psu"].part
    if today(pick, "board", "psu", "case"):
        return FINE
    if "own" in (board.main_plug, psu.main_plug):
        return verdict(today(pick, "board", "psu"))
    through = world.set("board_rest_12v_ma")
    for card in placed_cards(world, pick):
        most = (
            slot_12v_ma(card.lanes, graphics=card.kind == "graphics") if card.bus == "pcie" else card.load_mw
        )
        through += min(ceil(Fraction(card.load_mw, 12)), most)
    # A 24-contact plug on a 20-contact header mates one 12 V contact only; the rule counts the plug's (see
    # LEFT_OUT).
    return verdict(through <= world.set(f"main_{psu.main_plug}pin_12v_ma"))


def _plugs_by_power(world: World, pick: Pick) -> tuple[int, int]:
    """(SATA, peripheral) power plugs the drives take: as surveyed, else what the interface usually comes
    with."""
    usual = {"sata": "sata", "pata": "peripheral", "floppy": "floppy"}
    plugs = Counter(
        getattr(d, "power_plug", None) or usual.get(d.interface, "none") for d in drives_of(world, pick)
    )
    return plugs["sata"], plugs["peripheral"]


def _fed(headers: tuple[str, ...], plugs: tuple[str, ...]) -> list[str]:
    """Contacts at which each header is fed: the first header first, its own size before the other one."""
    left, fed = list(plugs), []
    for header in headers:
        other = "4" if header == "8" else "8"
        plug = header if header in left else other if other in left else None
        if plug is not None:
            left.remove(plug)
            fed.append(min(header, plug))
    return fed


def _cpu_adapters(world: World, pick: Pick, needed: int) -> Options:
    """Adapters from free peripheral plugs that feed the first header and carry a current."""
    spare = pick["psu"].part.peripheral_plugs - _plugs_by_power(world, pick)[1]
    header = pick["board"].part.cpu_plugs[0]
    lead = world.set("cpu_plug_from_peripheral_ma")

    def serves(extra: Any) -> int | None:
        feeds = header in extra.gives or (header == "8" and "4" in extra.gives)
        carries = needed <= (lead if extra.limit_ma is None else min(extra.limit_ma, lead))
        return 1 if feeds and carries and extra.count <= spare else None

    return world.options("cpu-plug-adapter", serves)


def cpu_plug(world: World, pick: Pick) -> Verdict:
    """The first header is fed, and what feeds the headers carries the processor's current."""
    board, psu = pick["board"].part, pick["psu"].part
    if today(pick, "board", "cpu", "psu") or not board.cpu_plugs:
        return FINE
    if psu.cpu_plugs is None:
        return verdict(today(pick, "board", "psu") and pick["cpu"].kept)
    if not psu.cpu_plugs:
        options = _cpu_adapters(world, pick, cpu_12v_ma(world, pick["cpu"].part))
        return [options] if options else None
    limit = sum(world.set(f"cpu_plug_{size}pin_hard_ma") for size in _fed(board.cpu_plugs, psu.cpu_plugs))
    return verdict(cpu_12v_ma(world, pick["cpu"].part) <= limit)


def rail_12v(world: World, pick: Pick) -> Verdict:
    if today(pick, *EVERYTHING):
        return FINE
    psu = pick["psu"].part
    load = cpu_12v_ma(world, pick["cpu"].part) + world.set("cpu_fan_12v_ma") + world.set("board_rest_12v_ma")
    load += pick["case"].part.fans * world.set("case_fan_12v_ma") + _cards_ma(world, pick)
    load += sum(_drive(world, d).ma_12v for d in drives_of(world, pick))
    return verdict(load <= _trusted(world, psu, _label_ma(psu)))


def rails_low(world: World, pick: Pick) -> Verdict:
    """Worlds: the 3.3 V rail is ample (what M.2 modules take there is not stated)."""
    if today(pick, "board", "psu", "drive"):
        return FINE
    psu = pick["psu"].part
    at_5v = world.set("board_5v_ma") + sum(_drive(world, d).ma_5v for d in drives_of(world, pick))
    at_3v3 = world.set("board_3v3_ma")
    both = at_5v * 5 + floor(Fraction(at_3v3 * 33, 10))
    pairs = ((at_5v, psu.rail_5v_ma), (at_3v3, psu.rail_3v3_ma), (both, psu.combined_5v_3v3_mw))
    return verdict(all(label is None or load <= _trusted(world, psu, label) for load, label in pairs))


def startup(world: World, pick: Pick) -> Verdict:
    if today(pick, "board", "psu", "drive"):
        return FINE
    psu = pick["psu"].part
    starts = world.set("startup_board_12v_ma") + sum(
        _drive(world, d).start_12v_ma for d in drives_of(world, pick)
    )
    return verdict(starts <= (_label_ma(psu) if psu.peak_12v_ma is None else psu.peak_12v_ma))


def total(world: World, pick: Pick) -> Verdict:
    rated = pick["psu"].part.rated_w
    good = rated is None or continuous_mw(world, pick) <= _trusted(world, pick["psu"].part, rated * 1000)
    return verdict(today(pick, *EVERYTHING) or good)


def _reserved_for_cpu(world: World, pick: Pick) -> int:
    """Peripheral plugs the largest adapter that could feed the processor takes."""
    if pick["psu"].part.cpu_plugs or not pick["board"].part.cpu_plugs:
        return 0
    return max((world.problem.extras[i].count for i, _ in _cpu_adapters(world, pick, 0)), default=0)


def _sata_power(world: World, pick: Pick) -> tuple[int, Options]:
    """(SATA power plugs that lack, what cures it)."""
    psu = pick["psu"].part
    drives = [d for d in drives_of(world, pick) if (getattr(d, "power_plug", None) or d.interface) == "sata"]
    short = len(drives) - psu.sata_plugs
    spare = psu.peripheral_plugs - _plugs_by_power(world, pick)[1] - _reserved_for_cpu(world, pick)
    starts = sorted(_drive(world, d).start_12v_ma for d in drives)

    def splitter(extra: Any) -> int | None:
        pieces = ceil(Fraction(short, extra.count))
        shared = starts[: short + pieces][
            -(extra.count + 1) :
        ]  # the heaviest of the lightest that may share one
        return pieces if pieces <= psu.sata_plugs and sum(shared) <= extra.limit_ma else None

    def lead(extra: Any) -> int | None:
        pieces = ceil(Fraction(short, extra.count))
        return pieces if pieces <= spare else None

    if short <= 0:
        return short, ()
    return short, world.options("sata-power-splitter", splitter) + world.options(
        "sata-power-from-peripheral", lead
    )


def drive_plugs(world: World, pick: Pick) -> Verdict:
    """Worlds: SATA and peripheral plugs do not both lack."""
    if today(pick, "board", "psu", "drive"):
        return FINE
    psu, (sata, peripheral) = pick["psu"].part, _plugs_by_power(world, pick)
    needs: list[Options] = []
    short, cures = _sata_power(world, pick)
    if short > 0:
        if not cures:
            return None
        needs.append(cures)
    lacking = peripheral - psu.peripheral_plugs
    if lacking > 0:
        spare = psu.sata_plugs - sata
        options = world.options(
            "peripheral-from-sata", lambda e: p if (p := ceil(Fraction(lacking, e.count))) <= spare else None
        )
        if not options:
            return None
        needs.append(options)
    return needs


def card_plugs(world: World, pick: Pick) -> Verdict:
    """Worlds: at most one card with one socket of 6 or 8 contacts."""
    if today(pick, "board", "psu", "case", "drive"):
        return FINE
    sockets = [s for c in placed_cards(world, pick) for s in c.power_plugs or ()]
    plugs = list(pick["psu"].part.card_plugs)
    for socket in sockets:
        if socket in plugs or (socket == "6" and "8" in plugs):
            continue
        spare = (
            pick["psu"].part.peripheral_plugs
            - _plugs_by_power(world, pick)[1]
            - _reserved_for_cpu(world, pick)
        )
        extras = world.problem.extras
        leads = [n for i, n in _sata_power(world, pick)[1] if extras[i].kind == "sata-power-from-peripheral"]
        spare -= max(leads, default=0)
        options = world.options(
            "card-plug-adapter", lambda e, s=socket, n=spare: 1 if s in e.gives and e.count <= n else None
        )
        return [options] if options else None
    return FINE


RULES: list[tuple[tuple[str, ...], Rule]] = [
    (("board", "psu"), pinout),
    (("board", "cpu", "memory", "psu", "drive"), condition),
    (("board", "psu", "case"), main_plug),
    (("board", "cpu", "psu", "drive"), cpu_plug),
    (EVERYTHING, rail_12v),
    (("board", "psu", "drive"), rails_low),
    (("board", "psu", "drive"), startup),
    (EVERYTHING, total),
    (("board", "psu", "case", "drive"), card_plugs),
    (("board", "psu", "drive"), drive_plugs),
]
