"""The oracle's rules of power and plugs, written anew from the reference "loads, rails, leads" (sections in
brackets), not from the rules. Same shape as ``oracle_rules``.

One list of consumers is made of a set of parts: who draws what at which voltage, through which plug. Every
condition is a sum over that list. Currents are whole milliamperes, rounded up for each consumer.

Facts that may be None (an open question): a supply's year (counts as old), combined and 5 V / 3.3 V limits,
peak, leads, standby, which rail feeds the processor; a processor's limit and a card's load (then classes and
plugs tell); and pin order or processor plugs, which block wherever anything changes on that plug. Processors
of these worlds: 2012, 2018, 2020, 2021, four cores, below 105 W where no limit is stated.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, product
from math import ceil, floor
from typing import Any

import oracle_video
from oracle_ports import drives_of, free_sata, leads_and_hubs, seeing_card, sold_to_anybody
from oracle_rules import FINE, Options, Pick, Rule, Verdict, World, placed_cards, today, verdict

EVERYTHING = ("board", "cpu", "memory", "psu", "case", "drive", "graphics")
VOLTS = {"12": Fraction(12), "5": Fraction(5), "3.3": Fraction(33, 10)}
# What a card needs to show something in a start mode.
START_PARTS = (("uefi", "uefi"), ("legacy", "legacy_video"))
PLUG_W = {"6": 75, "8": 150, "16": 600}  # rated power of a card plug
WIRE_MA = 9000  # a peripheral contact and its lead, 18 AWG [7]


@dataclass(frozen=True)
class Consumer:
    """Who draws: through which plug, at which voltage, milliamperes at work, at most, and while the disks
    start."""

    plug: str
    rail: str
    work: int
    most: int
    start: int


def _ma(mw: int | Fraction, volts: Fraction) -> int:
    return ceil(Fraction(mw) / volts)


# --------------------------------------------------------------------------- what each part draws


def _processor(world: World, cpu: Any, plug: str) -> Consumer:
    """[1b, 1c] Up to 2016 measured at the plug at no more than rated heat; later the maker's limit through
    a regulator."""
    late = cpu.year > 2016
    percent = 135 if late else 125 if cpu.year > 2010 else 100
    limit = cpu.power_limit_w
    full = cpu.tdp_w
    if limit is None:
        limit = floor(Fraction(cpu.tdp_w * percent, 100) + Fraction(1, 2))
        if cpu.year >= 2020:
            # [1a-1c] Whose law a socket of these worlds follows is open: the least is 135 percent, and parts of
            # 2020 on reach it (65 W: 76 of 88 W); the most is the short-term limit of four cores.
            full, limit = limit, max(limit, 69 if cpu.tdp_w <= 35 else 89)
    elif late:
        full = limit
    full = min(full, limit)
    regulator = Fraction(world.set("vrm_typical_percent"), 100) if late else 1
    work = _ma(full * 1000 / Fraction(regulator), VOLTS["12"])
    worst = Fraction(world.set("vrm_efficiency_percent"), 100) * Fraction(world.set("cpu_supply_mv"), 1000)
    most = max(work, _ma(limit * 1000, worst))
    return Consumer(plug, "12", work, most, work * world.set("startup_processor_percent") // 100)


def _board(world: World, board: Any) -> list[Consumer]:
    """[2] The boards of these worlds are of 2010 or later: 0.6, 2.0, 0.8 A usual; a stated power keeps
    their shares."""
    usual = {
        rail: world.set(f"board_later_{name}_ma")
        for rail, name in (("12", "12v"), ("5", "5v"), ("3.3", "3v3"))
    }
    most = {
        rail: world.set(f"board_later_{name}_most_ma")
        for rail, name in (("12", "12v"), ("5", "5v"), ("3.3", "3v3"))
    }
    if board.load_mw is not None:
        whole = ceil(sum(VOLTS[rail] * ma for rail, ma in usual.items()))
        usual = most = {rail: ceil(Fraction(ma * board.load_mw, whole)) for rail, ma in usual.items()}
    return [Consumer("main", rail, usual[rail], most[rail], usual[rail]) for rail in usual]


def _drive(world: World, drive: Any) -> list[Consumer]:
    """[3] A drive on its lead, or in the board's socket."""
    get = world.set
    if drive.interface == "m2-nvme":
        top = get(f"nvme{max(3, min(5, drive.pcie_gen))}_mw")
        work = _ma(min(get("nvme_mw"), top), VOLTS["3.3"])
        return [Consumer("main", "3.3", work, _ma(top, VOLTS["3.3"]), work)]
    if drive.interface == "m2-sata":
        work, most = (_ma(get(name) * 5, VOLTS["3.3"]) for name in ("ssd_sata_5v_ma", "ssd_sata_most_5v_ma"))
        return [Consumer("main", "3.3", work, most, work)]
    if drive.interface == "usb":
        work = get("usb_drive_ma")
        return [Consumer("main", "5", work, max(work, _ma(get("usb3_port_mw"), VOLTS["5"])), work)]
    if drive.kind == "hdd35":
        own = getattr(drive, "start_12v_ma", None)
        start = max(get("hdd35_12v_ma"), get("hdd35_start_12v_ma") if own is None else own)
        start_5v = max(get("hdd35_5v_ma"), get("hdd35_start_5v_ma"))
        return [
            Consumer("drives", "12", get("hdd35_12v_ma"), get("hdd35_most_12v_ma"), start),
            Consumer("drives", "5", get("hdd35_5v_ma"), get("hdd35_most_5v_ma"), start_5v),
        ]
    if drive.kind == "hdd25":
        start = max(get("hdd25_5v_ma"), get("hdd25_start_5v_ma"))
        return [Consumer("drives", "5", get("hdd25_5v_ma"), start, start)]
    if drive.kind == "optical":  # beside a busy processor it idles; at the start it looks for a disc
        return [
            Consumer("drives", f"{volts}", get(f"optical_idle_{volts}v_ma"), get(f"optical_{volts}v_ma"), get(f"optical_{volts}v_ma"))
            for volts in (12, 5)
        ]  # fmt: skip
    if drive.kind == "floppy":
        return [Consumer("drives", "5", 0, get("floppy_5v_ma"), 0)]
    work = get("ssd_sata_5v_ma")
    return [Consumer("drives", "5", work, get("ssd_sata_most_5v_ma"), work)]


def _card(world: World, card: Any) -> list[Consumer]:
    """[3] A third through the slot where it has plugs, 0.5 A at 3.3 V; a small card at 3.3 V first; PCI at
    5 V."""
    plugs = card.power_plugs or ()
    load = card.load_mw
    if load is None:  # worlds: a graphics card with plugs: all that slot and plugs may carry
        load = 75_000 + sum(PLUG_W[plug] * 1000 for plug in plugs)
    if card.bus == "pci":
        at_5v = _ma(load, VOLTS["5"])
        return [Consumer("main", "5", at_5v, at_5v, at_5v)]
    if card.kind != "graphics" and not plugs:
        low = min(_ma(load, VOLTS["3.3"]), 3000)
        high = _ma(max(0, load - floor(low * VOLTS["3.3"])), VOLTS["12"])
        return [Consumer("main", "3.3", low, low, low), Consumer("main", "12", high, high, high)]
    share = Fraction(world.set("startup_card_percent"), 100)
    if not plugs:
        slot = min(5500, _ma(load, VOLTS["12"]))
        low = _ma(max(0, load - slot * 12), VOLTS["3.3"])
        return [
            Consumer("main", "12", slot, slot, floor(slot * share)),
            Consumer("main", "3.3", low, low, low),
        ]
    low = min(500, _ma(load, VOLTS["3.3"]))
    rest = _ma(load - floor(low * VOLTS["3.3"]), VOLTS["12"])
    slot = min(5500, rest // 3)
    return [
        Consumer("main", "12", slot, slot, floor(slot * share)),
        Consumer("main", "3.3", low, low, low),
        Consumer("card", "12", rest - slot, rest - slot, floor((rest - slot) * share)),
    ]


def consumers(world: World, pick: Pick) -> list[Consumer]:
    """Everything that draws from the supply; five laws ask it of the same parts."""
    parts = ("consumers", *(pick[slot].key for slot in pick))
    if parts not in world.memo:
        world.memo[parts] = _consumers(world, pick, None, world.survey.drives)
    found: list[Consumer] = world.memo[parts]
    return found


def _consumers(world: World, pick: Pick, cards: Any, drives: Any) -> list[Consumer]:
    get = world.set
    board, psu = pick["board"].part, pick["psu"].part
    plug = "main" if board.cpu_plugs == () else "drives" if psu.cpu_plugs == () else "cpu"
    found = [_processor(world, pick["cpu"].part, plug), *_board(world, board)]
    memory = pick["memory"].part
    work, most = (get(f"{memory.generation}_module{name}_mw") for name in ("", "_most"))
    found += [
        Consumer("main", "5", _ma(work, VOLTS["5"]), _ma(most, VOLTS["5"]), _ma(work, VOLTS["5"]))
    ] * memory.modules
    fan, fast = get("cpu_fan_12v_ma"), get("cpu_fan_most_12v_ma")
    found.append(Consumer("main", "12", fan, fast, fast))
    fan, fast = get("case_fan_12v_ma"), get("case_fan_most_12v_ma")
    found += [Consumer("main", "12", fan, fast, fast)] * pick["case"].part.fans
    for device in world.survey.devices:
        if device.port == "usb":
            work = get("usb_device_ma")
            found.append(Consumer("main", "5", work, max(work, _ma(get("usb2_port_mw"), VOLTS["5"])), work))
        elif device.port == "ps2":  # [3] keyboard, mouse: 0.1 A, planned 0.25 A
            work = get("ps2_device_ma")
            found.append(Consumer("main", "5", work, max(work, get("ps2_device_most_ma")), work))
    chosen = pick["drive"].part
    every = [d for d in (chosen.kept, chosen.part) if d is not None]
    for drive in every + [d for d in drives if not d.system]:
        found += _drive(world, drive)
    for card in placed_cards(world, pick) if cards is None else cards:
        found += _card(world, card)
    card = seeing_card(world, pick)
    if cards is not None:  # as it is: the first card that shows something in a start mode of the board
        blind = {mode: {c.name for c in cards if getattr(c, part) is False} for mode, part in START_PARTS}
        card = next(
            (
                c
                for c in cards
                if c.kind == "graphics" and any(c.name not in blind[mode] for mode in board.firmware_modes)
            ),
            None,
        )
    found += _converters(world, (board.outputs if card is None else card.outputs) or ())
    return found + _bought_cards(world, pick) + _bought_small(world, pick)


def _converters(world: World, outputs: tuple[str, ...]) -> list[Consumer]:
    """An active adapter for each monitor that no plain or passive lead serves: every way to hang the monitors
    on the outputs is tried, most pictures first, then fewest converters. At 5 V."""
    wanted = [d.inputs for d in world.survey.displays if d.required and d.inputs is not None]
    if not any(extra.active for extra in sold_to_anybody(world, "display-adapter")):
        return []
    tried = []
    for way in product([None, *enumerate(outputs)], repeat=len(wanted)):
        used = [place for place in way if place is not None]
        if len(set(used)) < len(used):
            continue
        kinds = [
            {w.kind for entry in inputs for w in oracle_video.ways(place[1], entry, world.chosen)}
            for place, inputs in zip(way, wanted, strict=True)
            if place is not None
        ]
        if all(kinds):
            tried.append((-len(kinds), sum(found == {"active"} for found in kinds)))
    number = min(tried)[1] if tried else 0
    work, most = world.set("display_converter_ma"), world.set("display_converter_most_ma")
    return [Consumer("main", "5", work, max(work, most), work)] * number


def _bought_cards(world: World, pick: Pick) -> list[Consumer]:
    """[3] A controller card for SATA or PATA drives without a port, where such cards are sold: a small
    card at 3.3 V, up to the 3 A of its slot."""
    sold = {e.kind for e in world.problem.extras.values() if world.problem.extra_offers.get(e.id)}
    pata = sum(d.interface == "pata" for d in drives_of(world, pick))
    cards = 0
    if "sata-controller" in sold and not pick["board"].kept:
        cards += free_sata(world, pick) < 0
    if "pata-controller" in sold and not today(pick, "board", "drive"):
        cards += pata > 2 * pick["board"].part.pata_channels
    work = min(3000, _ma(world.set("card_small_mw"), VOLTS["3.3"]))
    return [Consumer("main", "3.3", work, 3000, work)] * cards


def _bought_small(world: World, pick: Pick) -> list[Consumer]:
    """[3] A USB device for each old port that a lead gives, 0.1 A for each hub (USB 2.0, 7.2.1.1), 0.05 A at
    3.3 V for a platform module on a header, where the system needs one and such are sold."""
    get = world.set
    ports, hubs = (0, 0) if pick["board"].kept else leads_and_hubs(world, pick)
    work, hub, module = get("usb_device_ma"), get("usb_hub_ma"), get("tpm_module_ma")
    most = max(work, _ma(get("usb2_port_mw"), VOLTS["5"]))
    found = [Consumer("main", "5", work, most, work)] * ports + [Consumer("main", "5", hub, hub, hub)] * hubs
    wanted = world.target.needs_tpm if world.target else None
    header = pick["board"].part.tpm == "header" and not (pick["board"].kept and world.same_system)
    if wanted and header and any(wanted in e.gives for e in sold_to_anybody(world, "tpm-module")):
        found.append(Consumer("main", "3.3", module, module, module))
    return found


def continuous_mw(world: World, pick: Pick) -> int:
    """Power of all rails, rounded up for each consumer."""
    return _power_mw(consumers(world, pick))


def _power_mw(listed: list[Consumer], rails: tuple[str, ...] = ("12", "5", "3.3")) -> int:
    return sum(ceil(VOLTS[c.rail] * c.work) for c in listed if c.rail in rails)


# --------------------------------------------------------------------------- what a supply is trusted with


def _share(world: World, psu: Any) -> Fraction:
    """[8] 0.85, 0.80, 0.75, 0.65 by age; day and night use of more than seven years counts as old."""
    age = None if psu.year is None else world.problem.today.year - psu.year
    if age is not None and age > 7 and world.survey.pc.always_on:
        age = 99
    name = "older" if age is None or age > 12 else "upto12" if age > 8 else "upto8" if age > 5 else "upto5"
    return Fraction(world.set(f"psu_trust_{name}_percent"), 100)


def _label_12v(world: World, psu: Any) -> int:
    """[5d] Combined limit; one rail; else the rails' sum, at most the usual part of the rating."""
    if psu.combined_12v_ma is not None:
        return int(psu.combined_12v_ma)
    if len(psu.rail_12v_ma) == 1:
        return int(psu.rail_12v_ma[0])
    # Worlds: nothing of before 2005; an unknown year with a 20-contact plug and no processor plug counts as
    # early.
    early = psu.year is None and psu.main_plug == "20" and psu.cpu_plugs == ()
    part = Fraction(world.set("psu_12v_share_early_percent" if early else "psu_12v_share_percent"), 100)
    return min(sum(psu.rail_12v_ma), floor(psu.rated_w * 1000 * part / 12))


def _sum(listed: list[Consumer], rail: str, what: str = "work") -> int:
    return sum(getattr(c, what) for c in listed if c.rail == rail)


def _now(world: World) -> list[Consumer]:
    """What the PC draws today: all its cards and drives are in it, those as well that will be left out."""
    if "consumers now" not in world.memo:
        world.memo["consumers now"] = _consumers(
            world, world.present(), world.cards_today, world.drives_today
        )
    found: list[Consumer] = world.memo["consumers now"]
    return found


def _slack(world: World, value: int) -> int:
    return floor(value * Fraction(100 + world.set("today_slack_percent"), 100))


def _carried(world: World, pick: Pick, value: int, label: int | None, now: int) -> bool:
    """Within the trusted share of a label; on the kept supply also no more than today."""
    if label is None:
        return True
    limit = floor(label * _share(world, pick["psu"].part))
    if pick["psu"].kept:
        limit = max(limit, _slack(world, now))
    return value <= limit


def rail_12v(world: World, pick: Pick) -> Verdict:
    if today(pick, *EVERYTHING):
        return FINE
    value = _sum(consumers(world, pick), "12")
    return verdict(_carried(world, pick, value, _label_12v(world, pick["psu"].part), _sum(_now(world), "12")))


def rails_low(world: World, pick: Pick) -> Verdict:
    if today(pick, *EVERYTHING):
        return FINE
    psu, listed = pick["psu"].part, consumers(world, pick)
    both = psu.combined_5v_3v3_mw
    if both is None:
        both = psu.rated_w * world.set("psu_low_share_percent") * 10
    power, power_now = (_power_mw(each, ("5", "3.3")) for each in (listed, _now(world)))
    return verdict(
        _carried(world, pick, _sum(listed, "5"), psu.rail_5v_ma, _sum(_now(world), "5"))
        and _carried(world, pick, _sum(listed, "3.3"), psu.rail_3v3_ma, _sum(_now(world), "3.3"))
        and _carried(world, pick, power, both, power_now)
    )


def total(world: World, pick: Pick) -> Verdict:
    if today(pick, *EVERYTHING):
        return FINE
    rated = pick["psu"].part.rated_w
    now = _power_mw(_now(world))
    return verdict(_carried(world, pick, continuous_mw(world, pick), rated * 1000, now))


def startup(world: World, pick: Pick) -> Verdict:
    """The trusted share of the peak [5d: of several rails without one, 2 A more]; what starts today counts
    only where board and supply stay."""
    if today(pick, *EVERYTHING):
        return FINE
    psu, listed = pick["psu"].part, consumers(world, pick)
    more = world.set("rail_peak_extra_ma") if len(psu.rail_12v_ma) > 1 else 0
    peak = _label_12v(world, psu) + more if psu.peak_12v_ma is None else psu.peak_12v_ma
    for rail, label in (("12", peak), ("5", psu.rail_5v_ma)):
        if label is None:
            continue
        limit = floor(label * _share(world, psu))
        if pick["psu"].kept:  # what it carries at work it carries at the start
            limit = max(limit, _slack(world, _sum(_now(world), rail)))
        if today(pick, "board", "psu"):
            limit = max(limit, _slack(world, _sum(_now(world), rail, "start")))
        if _sum(listed, rail, "start") > limit:
            return None
    return FINE


def single_rails(world: World, pick: Pick) -> Verdict:
    """[5a] Worlds: one or two rails of the label, no year before 2008. Some plausible way to hang the
    plugs on them fits, at work and, with the guide's 2 A more [5d], while the disks start."""
    psu = pick["psu"].part
    if today(pick, *EVERYTHING) or len(psu.rail_12v_ma) < 2 or psu.cpu_rail == 0:
        return FINE

    def at(listed: list[Consumer], what: str, *plugs: str) -> int:
        return sum(getattr(c, what) for c in listed if c.rail == "12" and c.plug in plugs)

    def carries(listed: list[Consumer], rail: int, *plugs: str) -> bool:
        peak = rail + world.set("rail_peak_extra_ma")
        return at(listed, "work", *plugs) <= rail and at(listed, "start", *plugs) <= peak

    listed, now = consumers(world, pick), _now(world)
    for own in (1, 2) if psu.cpu_rail is None else (psu.cpu_rail,):
        mine, other = psu.rail_12v_ma[own - 1], psu.rail_12v_ma[2 - own]
        for beside in ((), ("drives",), ("card",)):
            rest = tuple(p for p in ("main", "drives", "card") if p not in beside)
            if carries(listed, mine, "cpu", *beside) and carries(listed, other, *rest):
                return FINE
    plugs = ("cpu", "main", "drives", "card")
    same = pick["psu"].kept and all(
        at(listed, what, p) <= _slack(world, at(now, what, p)) for p in plugs for what in ("work", "start")
    )
    return verdict(same)


def standby(world: World, pick: Pick) -> Verdict:
    """[6] 0.5 A to start; a label, else 2 A (these worlds: no supply of before 2004)."""
    psu = pick["psu"].part
    label = (
        psu.rail_5vsb_ma
        if psu.rail_5vsb_ma is not None
        else None
        if psu.year is None
        else world.set("standby_later_ma")
    )
    enough = label is None or floor(label * _share(world, psu)) >= world.set("standby_board_ma")
    return verdict(today(pick, "board", "psu") or enough)


def pinout(world: World, pick: Pick) -> Verdict:
    if today(pick, "board", "psu"):
        return FINE
    wanted = world.survey.psu.pinout if pick["board"].kept else "atx"
    return verdict(wanted is not None and pick["psu"].part.pinout == wanted)


def condition(world: World, pick: Pick) -> Verdict:
    sound = pick["psu"].part.condition == "good"
    return verdict(sound or today(pick, "board", "cpu", "memory", "psu", "drive", "graphics"))


def main_plug(world: World, pick: Pick) -> Verdict:
    """[BCP 5] As many 12 V contacts as both sides have, 6 A each, a tenth more without the processor;
    through them all that the board passes on. The same contacts of the kept supply carry what they carry
    today."""
    board, psu = pick["board"].part, pick["psu"].part
    if today(pick, "board", "cpu", "psu", "case", "graphics"):
        return FINE
    if "own" in (board.main_plug, psu.main_plug):
        return verdict(today(pick, "board", "psu"))
    through = sum(c.work for c in consumers(world, pick) if c.plug == "main" and c.rail == "12")
    contacts = min(psu.main_plug, board.main_plug)
    more = 0 if board.cpu_plugs == () else world.set("main_contact_over_percent")
    limit = world.set(f"main_{contacts}pin_12v_ma") * Fraction(100 + more, 100)
    here = world.survey
    if pick["psu"].kept and min(here.psu.main_plug or "own", here.board.main_plug or "own") <= contacts:
        now = sum(c.work for c in _now(world) if c.plug == "main" and c.rail == "12")
        limit = max(limit, Fraction(_slack(world, now)))
    return verdict(through <= limit)


# --------------------------------------------------------------------------- plugs and leads


def _kind_of_plug(drive: Any) -> str:
    usual = {"sata": "sata", "pata": "peripheral", "floppy": "floppy"}
    return getattr(drive, "power_plug", None) or usual.get(drive.interface, "none")


def _plugs_by_power(world: World, pick: Pick) -> tuple[int, int]:
    """(SATA, peripheral) power plugs the drives take."""
    plugs = Counter(_kind_of_plug(d) for d in drives_of(world, pick))
    return plugs["sata"], plugs["peripheral"]


def _pieces(world: World, pick: Pick | None, plug: str) -> list[tuple[int, int]]:
    """(12 V at work, at the start) of each drive on a kind of plug, the lightest start first; without a pick of
    those in the PC today, with what will be left out."""
    found = []
    for drive in world.drives_today if pick is None else drives_of(world, pick):
        if _kind_of_plug(drive) == plug:
            at = [c for c in _drive(world, drive) if c.rail == "12"]
            found.append((sum(c.work for c in at), sum(c.start for c in at)))
    return sorted(found, key=lambda piece: (piece[1], piece[0]))


def _shares_out(pieces: list[int], leads: int, limit: int = WIRE_MA) -> bool:
    """Whether some way to hang the pieces on the leads loads none too much."""
    for way in product(range(leads), repeat=len(pieces)):
        if all(
            sum(p for p, at in zip(pieces, way, strict=True) if at == lead) <= limit for lead in range(leads)
        ):
            return True
    return False


def _hang(pieces: list[tuple[int, int]], leads: int) -> bool:
    return _shares_out([work for work, _ in pieces], leads) and _shares_out(
        [start for _, start in pieces], leads
    )


def _leads(psu: Any) -> int:
    """[7] Not known: all on one."""
    return psu.peripheral_leads or 1


def _split(world: World, current: int, plugs: int, feeds: str = "processor") -> list[tuple[int, int]]:
    """[3] At the start a card draws 55 to 60 percent (idle 17 of 28-32 W), a processor works on one core."""
    each = ceil(Fraction(current, plugs))
    return [(each, each * world.set(f"startup_{feeds}_percent") // 100)] * plugs


def _fed(headers: tuple[str, ...], plugs: tuple[str, ...]) -> list[str]:
    """Contacts at which each header is fed: its own size, two loose fours, else the other size."""
    left, fed = list(plugs), []
    for header in headers:
        if header in left:
            left.remove(header)
            fed.append(header)
        elif header == "8" and left.count("4") >= 2:
            left = left[:]
            left.remove("4")
            left.remove("4")
            fed.append("8")
        elif left:
            fed.append(min(header, left.pop(0)))
    return fed


def _adapter_current(world: World, pick: Pick) -> int:
    return _processor(world, pick["cpu"].part, "").most


def _cpu_adapters(world: World, pick: Pick) -> Options:
    """Adapters from free peripheral plugs that feed the first header, and that their contacts and leads
    carry."""
    psu, current = pick["psu"].part, _adapter_current(world, pick)
    spare = psu.peripheral_plugs - _plugs_by_power(world, pick)[1]
    header = pick["board"].part.cpu_plugs[0]
    there = _pieces(world, pick, "peripheral")

    def serves(extra: Any) -> int | None:
        feeds = header in extra.gives or (header == "8" and "4" in extra.gives)
        own = current <= extra.count * WIRE_MA and (extra.limit_ma is None or current <= extra.limit_ma)
        if (
            feeds
            and own
            and extra.count <= spare
            and _hang(there + _split(world, current, extra.count), _leads(psu))
        ):
            return 1
        return None

    return world.options("cpu-plug-adapter", serves)


def cpu_plug(world: World, pick: Pick) -> Verdict:
    """The first header is fed, and what feeds the headers carries the processor's current."""
    board, psu = pick["board"].part, pick["psu"].part
    if today(pick, "board", "cpu", "psu") or not board.cpu_plugs:
        return FINE
    unseen = not psu.cpu_plugs and today(pick, "board", "psu")  # fed today in a way that nobody described
    if not psu.cpu_plugs and not unseen:
        options = None if psu.cpu_plugs is None else _cpu_adapters(world, pick)
        return [options] if options else None
    fed = _fed(board.cpu_plugs, psu.cpu_plugs or ())
    if unseen:  # at least one plug of four contacts; through an adapter at most all contacts of the headers
        fed = board.cpu_plugs if psu.cpu_plugs == () else ("4",)
    if unseen and psu.cpu_plugs == ():  # an adapter from one peripheral plug at least, or as much as today
        now = _slack(world, _processor(world, world.survey.cpu, "").most)
        if _adapter_current(world, pick) > max(WIRE_MA, now):
            return None
    limit = sum(world.set(f"cpu_plug_{size}pin_hard_ma") for size in fed)
    cpu = pick["cpu"].part

    # What a maker states is reached, and a contact does not forgive a poor regulator.
    def at_contacts(cpu: Any) -> int:
        drawn = _processor(world, cpu, "cpu")
        return drawn.most if cpu.power_limit_w is not None and cpu.year > 2016 else drawn.work

    here = world.survey
    now = _fed(here.board.cpu_plugs or (), here.psu.cpu_plugs or ())
    if unseen or (pick["psu"].kept and now and sum(map(int, now)) <= sum(map(int, fed))):
        limit = max(limit, _slack(world, at_contacts(here.cpu)))  # the same contacts carry it today
    return verdict(at_contacts(cpu) <= limit)


def _after_cpu(world: World, pick: Pick) -> tuple[int, list[tuple[int, int]]]:
    """(peripheral plugs, pieces that hang) after drives and a processor adapter: its most plugs, its
    fewest pieces."""
    psu = pick["psu"].part
    spare, there = psu.peripheral_plugs - _plugs_by_power(world, pick)[1], _pieces(world, pick, "peripheral")
    if psu.cpu_plugs != () or not pick["board"].part.cpu_plugs:
        return spare, there
    counts = [world.problem.extras[i].count for i, _ in _every_cpu_adapter(world, pick)]
    if not counts:
        return spare, there
    return spare - max(counts), there + _split(world, _adapter_current(world, pick), min(counts))


def _every_cpu_adapter(world: World, pick: Pick) -> Options:
    """Also those that the owner excludes: a claim is a claim."""
    without = world.problem.brief.without
    if not without:
        return _cpu_adapters(world, pick)
    free = World(world.problem)
    free.sold = lambda kind: sorted(  # type: ignore[method-assign]
        (e for e in world.problem.extras.values() if e.kind == kind and world.problem.extra_offers.get(e.id)),
        key=lambda e: e.id,
    )
    return _cpu_adapters(free, pick)


def _sata_leads_of(psu: Any) -> Any:
    """[7] All plugs of a lead share a wire; at best each has a lead of its own."""
    return lambda starts: _shares_out(starts, psu.sata_leads or max(1, psu.sata_plugs))


def _moved(
    extra: Any,
    pieces: list[tuple[int, int]],
    short: int,
    there: list[tuple[int, int]],
    leads: int,
    others: Any,
) -> list[list[tuple[int, int]]]:
    """Every choice of drives that may hang on leads from peripheral plugs, while the others hang on their own."""
    found = []
    for places in combinations(range(len(pieces)), short):
        moved = [pieces[at] for at in places]
        rest = [start for at, (_, start) in enumerate(pieces) if at not in places]
        limit = min(extra.limit_ma or 4500 * extra.count, WIRE_MA)
        if (
            sum(start for _, start in moved[-extra.count :]) <= limit
            and _hang(there + moved, leads)
            and others(rest)
        ):
            found.append(moved)
    return found


def _sata_power(world: World, pick: Pick, excluded: bool = False) -> tuple[int, Options]:
    """(SATA power plugs that lack, what cures it)."""
    psu = pick["psu"].part
    pieces = _pieces(world, pick, "sata")
    short = len(pieces) - psu.sata_plugs
    spare, there = _after_cpu(world, pick)
    starts = [start for _, start in pieces]

    on_sata_leads = _sata_leads_of(psu)

    def splitter(extra: Any) -> int | None:
        number = ceil(Fraction(short, extra.count))
        shared = starts[: number * (extra.count + 1)][-(extra.count + 1) :]
        fits = number <= psu.sata_plugs and sum(shared) <= extra.limit_ma and on_sata_leads(starts)
        return number if fits else None

    def lead(extra: Any) -> int | None:
        number = ceil(Fraction(short, extra.count))
        ways = _moved(extra, pieces, short, there, _leads(psu), on_sata_leads)
        return number if number <= spare and ways else None

    if short <= 0:
        return short, ()
    source = world
    if excluded and world.problem.brief.without:
        source = World(world.problem)
        source.sold = lambda kind: sorted(  # type: ignore[method-assign]
            (
                e
                for e in world.problem.extras.values()
                if e.kind == kind and world.problem.extra_offers.get(e.id)
            ),
            key=lambda e: e.id,
        )
    return short, source.options("sata-power-splitter", splitter) + source.options(
        "sata-power-from-peripheral", lead
    )


def drive_plugs(world: World, pick: Pick) -> Verdict:
    """Worlds: SATA and peripheral plugs do not both lack."""
    if today(pick, "board", "psu", "drive"):
        return FINE
    psu, (sata, peripheral) = pick["psu"].part, _plugs_by_power(world, pick)
    needs: list[Options] = []
    short, cures = _sata_power(world, pick)

    def as_today(plug: str) -> bool:
        """On today's board and supply: no drive that draws more than the one whose plug it takes."""
        mine, now = (
            sorted((start for _, start in _pieces(world, here, plug)), reverse=True) for here in (pick, None)
        )
        fewer = len(mine) <= len(now) and all(a <= b for a, b in zip(mine, now, strict=False))
        return today(pick, "board", "psu") and fewer

    if short > 0 and not as_today("sata"):
        if not cures:
            return None
        needs.append(cures)
    lacking = peripheral - psu.peripheral_plugs
    if lacking > 0 and not as_today("peripheral"):
        spare = psu.sata_plugs - sata
        moved = [start for _, start in _pieces(world, pick, "peripheral")][:lacking]

        def lead(extra: Any) -> int | None:  # [7] SATA to peripheral: 4.5 A for everything behind it
            number = ceil(Fraction(lacking, extra.count))
            light = sum(moved[-extra.count :]) <= min(extra.limit_ma or 4500, 4500)
            return number if number <= spare and light else None

        options = world.options("peripheral-from-sata", lead)
        if not options:
            return None
        needs.append(options)
    return needs


def leads(world: World, pick: Pick) -> Verdict:
    """[7] The disks start on as many leads as there are, at best one for each plug."""
    if today(pick, "psu", "drive"):
        return FINE
    psu = pick["psu"].part

    def there(here: Pick | None, plug: str) -> list[int]:
        """Disks without a peripheral plug, the lightest of them, hang on a SATA lead."""
        sata, other = ([start for _, start in _pieces(world, here, kind)] for kind in ("sata", "peripheral"))
        moved = max(0, len(other) - psu.peripheral_plugs)
        return sata + other[:moved] if plug == "sata" else other[moved:]

    sata, other = _plugs_by_power(world, pick)
    for plug, known, plugs in (
        ("sata", psu.sata_leads, psu.sata_plugs),
        ("peripheral", psu.peripheral_leads, psu.peripheral_plugs),
    ):
        if plug == "sata" and sata > psu.sata_plugs and other <= psu.peripheral_plugs:
            continue  # where each of them hangs, drive_plugs decides
        starts = there(pick, plug)
        if pick["psu"].kept:
            now = sorted(there(None, plug))[::-1]
            mine = sorted(starts)[::-1]
            if len(mine) <= len(now) and all(a <= b for a, b in zip(mine, now, strict=False)):
                continue  # no more than hangs there today
        if len(starts) > 1 and not _shares_out(starts, known or max(1, plugs)):
            return None
    return FINE


def card_plugs(world: World, pick: Pick) -> Verdict:
    """Worlds: at most one card with one socket of 6, 8 or 16 contacts; an adapter may put card plugs of 8
    together."""
    if today(pick, "board", "psu", "case", "graphics"):
        return FINE
    plugs, psu = list(pick["psu"].part.card_plugs), pick["psu"].part
    for card in placed_cards(world, pick):
        for socket in card.power_plugs or ():
            if socket in plugs or (socket == "6" and "8" in plugs):
                continue
            rated = PLUG_W[socket] * 1000
            current = _ma(rated if card.load_mw is None else min(rated, card.load_mw), VOLTS["12"])
            spare, there = _after_cpu(world, pick)
            cures = _sata_power(world, pick, excluded=True)[1]
            extras = world.problem.extras
            taken = [(extras[i], n) for i, n in cures if extras[i].kind == "sata-power-from-peripheral"]
            if taken:
                spare -= max(n for _, n in taken)
                pieces = _pieces(world, pick, "sata")
                short = len(pieces) - psu.sata_plugs
                there = there + max(
                    _moved(extra, pieces, short, there, _leads(psu), _sata_leads_of(psu))[0]
                    for extra, _ in taken
                )

            def serves(
                extra: Any,
                socket: str = socket,
                current: int = current,
                spare: int = spare,
                there: Any = there,
            ) -> int | None:
                if extra.takes == ("8",):  # each with its rated 150 W
                    strong = current <= min(extra.count * 12_500, extra.limit_ma or 99_999)
                    return 1 if socket in extra.gives and strong and extra.count <= plugs.count("8") else None
                own = current <= extra.count * WIRE_MA and (
                    extra.limit_ma is None or current <= extra.limit_ma
                )
                hung = there + _split(world, current, extra.count, "card")
                return (
                    1
                    if socket in extra.gives and own and extra.count <= spare and _hang(hung, _leads(psu))
                    else None
                )

            options = world.options("card-plug-adapter", serves)
            return [options] if options else None
    return FINE


RULES: list[tuple[tuple[str, ...], Rule]] = [
    (("board", "psu"), pinout),
    (("board", "cpu", "memory", "psu", "drive", "graphics"), condition),
    (EVERYTHING, main_plug),
    (("board", "cpu", "psu", "drive"), cpu_plug),
    (EVERYTHING, rail_12v),
    (EVERYTHING, single_rails),
    (EVERYTHING, rails_low),
    (EVERYTHING, startup),
    (EVERYTHING, total),
    (("board", "psu"), standby),
    (("psu", "drive"), leads),
    (("board", "cpu", "psu", "case", "drive", "graphics"), card_plugs),
    (("board", "cpu", "psu", "drive"), drive_plugs),
]
