"""The oracle's rules of storage, picture, ports and operating systems, in its own words. Same shape as
``oracle_rules``."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import product
from math import ceil
from typing import Any

import oracle_video
import typed
from oracle_rules import (
    FINE,
    Options,
    Pick,
    Rule,
    Verdict,
    World,
    free_slot_for,
    graphics_card,
    placed_cards,
    today,
    usable_mib,
    verdict,
)

M2_FITS = typed.groups("storage", "M2_FITS")

# --------------------------------------------------------------------------- storage


def drives_of(world: World, pick: Pick) -> list[Any]:
    """Drives of the plan: the chosen system drive and the others that the owner needs."""
    chosen = pick["drive"].part
    system = [d for d in (chosen.kept, chosen.part) if d is not None]
    return system + [d for d in world.survey.drives if not d.system and d.required]


def _ports_lost(pairs: Sequence[tuple[Any, Any]]) -> tuple[int, int]:
    """(at worst, at best) lost SATA ports: those with names are a union, bare numbers may be the same
    ports."""
    named: set[str] = set()
    numbers = [0]
    for module, socket in pairs:
        nvme = module.interface == "m2-nvme"
        names = socket.sata_ports_nvme if nvme else socket.sata_ports_sata
        named |= set(names)
        numbers += [] if names else [socket.sata_lost_nvme if nvme else socket.sata_lost_sata]
    return len(named) + sum(numbers), max(len(named), *numbers)


def m2_seating(world: World, pick: Pick) -> tuple[int, int, int]:
    """(modules without a socket, SATA ports lost at worst, at best): fewest left over, then fewest drives
    without a port, then fewest ports lost."""
    board = pick["board"].part
    sockets, drives = board.m2_slots, drives_of(world, pick)
    ports = board.sata_6g_ports + board.sata_3g_ports + board.sata_1g5_ports
    modules = [d for d in drives if d.interface.startswith("m2")]
    best: tuple[tuple[int, ...], tuple[int, int, int]] | None = None
    for wish in product((None, *range(len(sockets))), repeat=len(modules)):
        used = [at for at in wish if at is not None]
        if len(used) != len(set(used)):
            continue
        pairs = [(m, sockets[at]) for m, at in zip(modules, wish, strict=True) if at is not None]
        if all(_m2_takes(s, m) for m, s in pairs):
            worst, easy = _ports_lost(pairs)
            left = [m for m, at in zip(modules, wish, strict=True) if at is None]
            short = max(0, sum(d.interface == "sata" for d in drives) - max(0, ports - worst))
            rank = (len(left), sum(m.interface != "m2-nvme" for m in left), short, worst, easy)
            if best is None or rank < best[0]:
                best = (rank, (len(left), worst, easy))
    assert best is not None
    return best[1]


def _m2_takes(socket: Any, module: Any) -> bool:
    key = module.m2_key is None or socket.key in M2_FITS[module.m2_key]
    length = module.m2_length_mm is None or module.m2_length_mm <= socket.longest_mm
    return key and length and module.interface.removeprefix("m2-") in socket.protocols


def free_sata(world: World, pick: Pick, at_worst: bool = False) -> int:
    board = pick["board"].part
    ports = board.sata_6g_ports + board.sata_3g_ports + board.sata_1g5_ports
    # A socket cannot switch off more ports than there are.
    return max(0, ports - m2_seating(world, pick)[1 if at_worst else 2]) - sum(
        d.interface == "sata" for d in drives_of(world, pick)
    )


def m2(world: World, pick: Pick) -> Verdict:
    if today(pick, "board", "drive"):
        return FINE
    left, _, _ = m2_seating(world, pick)
    if left == 0:
        return FINE
    options = m2_card_options(world, pick)
    return [options] if options else None


def m2_card_options(world: World, pick: Pick) -> Options:
    left, _, _ = m2_seating(world, pick)
    nvme = any(d.interface == "m2-nvme" for d in drives_of(world, pick))
    if left != 1 or not nvme:
        return ()
    return world.options("m2-card", lambda e: 1 if free_slot_for(world, pick, [e]) else None)


def sata(world: World, pick: Pick) -> Verdict:
    if today(pick, "board", "drive") or free_sata(world, pick) >= 0:
        return FINE
    options = sata_card_options(world, pick)
    return [options] if options else None


def sata_card_options(world: World, pick: Pick) -> Options:
    """Cards for the SATA drives without a port, in what an M.2 card leaves whichever it is."""
    short, extras = -free_sata(world, pick), world.problem.extras
    if short <= 0:
        return ()
    beside = [[extras[i]] for i, _ in m2_card_options(world, pick)] or [[]]
    return world.options(
        "sata-controller",
        lambda e: (
            1 if e.count >= short and all(free_slot_for(world, pick, [*b, e]) for b in beside) else None
        ),
    )


def pata(world: World, pick: Pick) -> Verdict:
    """Worlds: at most one PATA drive lacks a place. Its card gets what an M.2 card and a SATA card leave,
    whichever they are."""
    drives = [d for d in drives_of(world, pick) if d.interface == "pata"]
    short = len(drives) - 2 * pick["board"].part.pata_channels
    if today(pick, "board", "drive") or short <= 0:
        return FINE
    extras = world.problem.extras
    added = [m2_card_options(world, pick), sata_card_options(world, pick)]
    beside = [[extras[i] for i, _ in taken] for taken in product(*(each for each in added if each))]
    options = list(
        world.options(
            "pata-controller",
            lambda e: 1 if all(free_slot_for(world, pick, [*b, e]) for b in beside) else None,
        )
    )
    board, kept = pick["board"].part, pick["drive"].part.kept
    # A system without an AHCI driver starts from an adapter in IDE mode only (start reference, section 1.2).
    stopped = kept is not None and kept.interface == "pata" and board.pata_channels == 0
    stopped = stopped and world.keeps_installation and world.system is not None and world.system.id in NO_AHCI
    stopped = stopped and "ide" not in board.storage_modes
    if free_sata(world, pick, at_worst=True) >= short and not stopped:
        options += world.options("pata-drive-adapter", lambda e: short)
    if sum(d.kind.startswith("hdd") and not getattr(d, "system", True) for d in drives) >= short:
        options += world.options("usb-enclosure", lambda e: short if "pata" in e.gives else None)
    return [tuple(options)] if options else None


def floppy(world: World, pick: Pick) -> Verdict:
    short = sum(d.interface == "floppy" for d in drives_of(world, pick)) - pick["board"].part.floppy_headers
    if pick["board"].kept or short <= 0:
        return FINE
    large = sum(d.interface == "floppy" and d.bay == "5.25" for d in drives_of(world, pick))
    if large > pick["board"].part.floppy_headers:
        return None  # USB floppy drives are 3.5-inch ones
    options = world.options("usb-floppy", lambda e: short)
    return [options] if options else None


def bays(world: World, pick: Pick) -> Verdict:
    """5.25-inch drives in their bays, 3.5-inch ones in theirs or with a frame in those; what nobody
    counted is no refusal."""
    case = pick["case"].part
    if today(pick, "case", "drive"):
        return FINE

    def sizes(drives: Sequence[Any]) -> list[str]:
        named = {"optical": "5.25", "hdd35": "3.5", "floppy": "3.5"}
        inside = [d for d in drives if d.interface != "usb" and not d.interface.startswith("m2")]
        return [getattr(d, "bay", None) or named.get(d.kind, "2.5") for d in inside]

    mine, now = sizes(drives_of(world, pick)), sizes(world.drives_today)
    if pick["case"].kept and all(mine.count(size) <= now.count(size) for size in ("5.25", "3.5")):
        return FINE
    large, middle = mine.count("5.25"), mine.count("3.5")
    if case.bays_525 is not None and large > case.bays_525:
        return None
    known = None not in (case.bays_525, case.bays_35)
    return verdict(not known or large + middle <= case.bays_525 + case.bays_35)


def raid_set(world: World, pick: Pick) -> Verdict:
    """Sets of more than mirrors do not move to another board without a copy."""
    sets = [d for d in drives_of(world, pick) if getattr(d, "raid", None) in ("0", "5", "10")]
    return verdict(pick["board"].kept or all(d.copied for d in sets))


def starts_by(world: World, kept: Any) -> str | None:
    """How the installation on a drive starts: seen, the present board's only way, or what its table says."""
    only = set(world.survey.board.firmware_modes or ("legacy", "uefi"))
    free = (world.survey.os.family or "").startswith("linux")  # it starts both ways from GPT
    by_table = {"mbr": "legacy", "gpt": None if free else "uefi", None: None}
    return kept.start_mode or (only.pop() if len(only) == 1 else by_table[kept.partition_table])


def start(world: World, pick: Pick) -> Verdict:
    board, drive = pick["board"].part, pick["drive"].part
    if drive.part is not None:
        return verdict(drive.part.interface != "m2-nvme" or board.nvme_boot)
    if pick["board"].kept or not world.keeps_installation:
        return FINE
    mode = starts_by(world, drive.kept)
    starts = mode is None or mode in board.firmware_modes
    return verdict(starts and (drive.kept.interface != "m2-nvme" or board.nvme_boot))


def system_drive_mbs(world: World, pick: Pick) -> int:
    """Lower of what the drive reads and what its link carries in practice (whole MB/s)."""
    board, drive = pick["board"].part, pick["drive"].part
    system = drive.kept or drive.part
    if system.interface == "m2-nvme":  # in a socket, else on a card in a slot of four lanes
        of_key = 2 if system.m2_key and "b" in system.m2_key else 4  # contacts of key B carry two lanes
        ends = [
            (s.pcie_gen, min(of_key, 2 if s.key == "b" else 4, s.pcie_lanes))
            for s in board.m2_slots
            if _m2_takes(s, system)
        ] or [(system.pcie_gen, 4)]
        link = max(
            typed.table("storage", "PCIE_LANE_MBITS")[str(min(gen, system.pcie_gen))]
            * min(lanes, system.pcie_lanes)
            // 8
            for gen, lanes in ends
        )
        return int(min(system.read_mbs, link * world.set("pcie_protocol_percent") // 100))
    ports = [(60, board.sata_6g_ports), (30, board.sata_3g_ports), (15, board.sata_1g5_ports)]
    port = max((rate for rate, count in ports if count), default=15)
    slower = min(system.sata_gbps10, port)
    percent = world.set("storage_protocol_percent" if slower == 60 else "storage_protocol_old_percent")
    return int(min(system.read_mbs, typed.table("storage", "SATA_MBS")[str(slower)] * percent // 100))


# --------------------------------------------------------------------------- picture and ports


def board_draws(world: World, pick: Pick) -> bool | None:
    """Whether the board's chipset makes a picture: stated, or proven by the PC that has one today without a
    card and without graphics in its processor; boards after 2012 have none (worlds: years are known). None:
    nobody knows, which is asked and lets the plan stand; its speed is then not counted on."""
    board, survey = pick["board"].part, world.survey
    if board.graphics_score is not None:
        return bool(board.graphics_score > 0)
    cards = [card for card in survey.cards if card.kind == "graphics"]
    if pick["board"].kept and survey.cpu.graphics_score == 0 and not cards:
        return bool(board.outputs)
    return False if not board.outputs or board.year > 2012 else None


def seeing_card(world: World, pick: Pick) -> Any:
    """The graphics card with a place that shows a picture in some start mode of the board; None without
    one."""
    card, modes = graphics_card(world, pick), set(pick["board"].part.firmware_modes)
    if card is None:
        return None
    if world.problem.brief.secure_boot and "uefi" in modes:  # start reference 2.2: excludes the legacy start
        modes = {"uefi"}
    shows = {mode for mode, part in (("uefi", card.uefi), ("legacy", card.legacy_video)) if part is not False}
    return card if modes & shows else None


def source(world: World, pick: Pick) -> Verdict:
    drawn = bool(pick["cpu"].part.graphics_score) or board_draws(world, pick) is not False
    own = drawn and bool(pick["board"].part.outputs)
    same = today(pick, "board", "cpu", "case", "graphics")
    return verdict(same or seeing_card(world, pick) is not None or own)


def _named(word: str, link: str) -> bool:
    """Whether an adapter's word for its end means a link: its id or its family; DVI-D also goes into
    DVI-I."""
    return word in (link, link.split("-")[0]) or (word == "dvi-d" and link.startswith("dvi-i"))


def _clock(display: Any, analogue: bool) -> int:
    usual = analogue and not display.reduced_blanking
    return oracle_video.clock_khz((display.width_px, display.height_px, display.refresh_hz), usual)


def _way(world: World, output: str, display: Any) -> tuple[int, Options] | None:
    """(1 below its own rate, how an output reaches a display: () by cable, the adapters that serve), or
    None."""
    for rate in (display.refresh_hz, 120, 60, 30 if display.width_px >= 3840 else 60):
        if rate == display.refresh_hz or rate < display.refresh_hz:
            way = _way_at(world, output, display.model_copy(update={"refresh_hz": rate}))
            if way is not None:
                return int(rate != display.refresh_hz), way
    return None


def _way_at(world: World, output: str, display: Any) -> Options | None:
    """How an output reaches a display: () by cable, the adapters that serve, or None."""
    for entry in display.inputs:
        ways = oracle_video.ways(output, entry, world.chosen)
        if any(w.kind == "direct" and w.limit_khz >= _clock(display, w.analogue) for w in ways):
            return ()
    serving = []
    for extra in world.sold("display-adapter"):
        for entry in display.inputs:
            if not any(_named(w, output) for w in extra.takes) or not any(
                _named(w, entry) for w in extra.gives
            ):
                continue
            ways = oracle_video.ways(output, entry, world.chosen, extra.limit_khz)
            kind = "active" if extra.active else "passive"
            if any(w.kind == kind and w.limit_khz >= _clock(display, w.analogue) for w in ways):
                serving.append((extra.id, 1))
                break
    return tuple(serving) or None


def displays(world: World, pick: Pick) -> Verdict:
    """Worlds: an adapter serves one kind of output, so that the cheapest assignment needs no second
    thought."""
    if today(pick, "board", "cpu", "case", "graphics"):
        return FINE
    card, board, cpu = seeing_card(world, pick), pick["board"].part, pick["cpu"].part
    given, most = (), 0
    if card is not None:
        given, most = card.outputs, card.max_displays
    elif cpu.graphics_score:
        given, most = board.outputs, cpu.max_displays
    elif board_draws(world, pick) is not False:
        given, most = board.outputs, board.max_displays
    wanted = [d for d in world.survey.displays if d.required]
    best: tuple[Any, Any] | None = None
    if most is not None and len(wanted) > most:
        return None
    for chosen in product(range(len(given)), repeat=len(wanted)):
        if len(set(chosen)) != len(chosen):
            continue
        ways = [_way(world, given[at], d) for at, d in zip(chosen, wanted, strict=True)]
        if any(w is None for w in ways):
            continue
        slower = sum(w[0] for w in ways if w is not None)
        needs = [w[1] for w in ways if w is not None and w[1]]
        price = sum(min(world.problem.extra_offers[i][0].price for i, _ in w) for w in needs)
        rank = (slower, len(needs), price, chosen)
        if best is None or rank < best[0]:
            best = (rank, needs)
    return None if best is None else best[1]


def bracket_openings(world: World, pick: Pick) -> int:
    """Openings of the case for brackets: neither behind a card nor taken by a card for the drives that the PC has."""
    board, case = pick["board"].part, pick["case"].part
    behind = sum(card.width_slots or 1 for card in placed_cards(world, pick))
    drives = [d.interface for d in world.survey.drives if d.required]
    ports = board.sata_6g_ports + board.sata_3g_ports + board.sata_1g5_ports
    lacking = {"sata": drives.count("sata") > ports, "pata": drives.count("pata") > 2 * board.pata_channels}
    added = sum(
        lacks and bool(sold_to_anybody(world, f"{kind}-controller")) for kind, lacks in lacking.items()
    )
    return 99 if case.slot_openings is None else max(0, case.slot_openings - behind - added)


def devices(world: World, pick: Pick) -> Verdict:
    """Own ports, then brackets on headers and in openings (worlds: of one port), then leads from USB; each lead
    takes a USB port."""
    board, low = pick["board"].part, pick["case"].part.slot_height == "low"
    if pick["board"].kept:
        return FINE
    needs: list[Options] = []
    leads, openings = 0, bracket_openings(world, pick)
    for port in ("ps2", "serial", "parallel"):
        wanted = [d for d in world.survey.devices if d.required and d.port == port]
        short = len(wanted) - getattr(board, f"{port}_ports")
        real = getattr(board, f"{port}_ports")
        headers = getattr(board, f"{port}_headers", 0)
        brackets = (
            world.options(f"{port}-bracket", lambda e: 1 if e.low_profile or not low else None)
            if headers
            else ()
        )
        fed = min(short, headers, openings) if brackets else 0
        if fed > 0:
            needs.append(tuple((i, fed) for i, _ in brackets))
            short, real, openings = short - fed, real + fed, openings - fed
        if sum(bool(d.direct_hardware_access) for d in wanted) > real:
            return None
        if short > 0:
            options = world.options(f"usb-{port}", lambda e: ceil(Fraction(short, e.count)))
            if not options:
                return None
            needs.append(options)
            leads += min(pieces for _, pieces in options)
    usb = leads + sum(d.required and d.port == "usb" for d in world.survey.devices) + _usb_drives(world, pick)
    have = board.usb_rear_ports + _front_usb(board, pick["case"].part)
    if usb > have:  # a hub takes a port and gives the rest
        hubs = world.options("usb-hub", lambda e: _hubs(usb - have, e.count, have))
        return [*needs, hubs] if hubs else None
    return needs


def sold_to_anybody(world: World, kind: str) -> list[Any]:
    """Extras of a kind on sale, those that the owner excludes too: they are no plan, but a load."""
    return [
        e for e in world.problem.extras.values() if e.kind == kind and world.problem.extra_offers.get(e.id)
    ]


def leads_and_hubs(world: World, pick: Pick) -> tuple[int, int]:
    """(ports that leads from USB give, hubs) on a new board; of several kinds of hub as many as of the one
    that takes most."""
    board, case, given, leads = pick["board"].part, pick["case"].part, 0, 0
    openings = bracket_openings(world, pick)
    for port in ("ps2", "serial", "parallel"):
        wanted = [d for d in world.survey.devices if d.required and d.port == port]
        real, headers = getattr(board, f"{port}_ports"), getattr(board, f"{port}_headers", 0)
        brackets = sold_to_anybody(world, f"{port}-bracket")
        if headers and any(e.low_profile or case.slot_height != "low" for e in brackets):
            fed = min(headers, max(0, len(wanted) - real), openings)
            real, openings = real + fed, openings - fed
        direct = 0 if port == "ps2" else sum(bool(d.direct_hardware_access) for d in wanted)
        short = len(wanted) - max(real, direct)  # what has to reach the hardware is on no lead
        sold = sold_to_anybody(world, f"usb-{port}")
        if short > 0 and sold:
            given += short
            leads += min(ceil(Fraction(short, e.count)) for e in sold)
    usb = leads + sum(d.required and d.port == "usb" for d in world.survey.devices) + _usb_drives(world, pick)
    have = board.usb_rear_ports + _front_usb(board, case)
    pieces = (
        [_hubs(usb - have, e.count, have) for e in sold_to_anybody(world, "usb-hub")] if usb > have else []
    )
    return given, max((n for n in pieces if n), default=0)


def _usb_drives(world: World, pick: Pick) -> int:
    """Drives on USB, and USB floppy drives in place of those without a header where such are sold."""
    drives = [d for d in world.survey.drives if d.required]  # worlds: no system drive on USB
    plugged = sum(d.interface == "usb" for d in drives)
    sizes = [d.bay for d in drives if d.interface == "floppy"]
    headers = pick["board"].part.floppy_headers
    replaced = bool(sold_to_anybody(world, "usb-floppy")) and sizes.count("5.25") <= headers
    return plugged + (max(0, len(sizes) - headers) if replaced else 0)


def _front_usb(board: Any, case: Any) -> int:
    """Ports in front: two behind each USB 2.0 or USB 3 plug with a header, one behind a Type-E plug."""
    pairs = (
        (2, case.front_usb2_plugs, board.usb2_headers),
        (2, case.front_usb3_plugs, board.usb3_headers),
        (1, case.front_usb_e_plugs, board.usb_e_headers),
    )
    return sum(each * min(plugs or 0, headers or 0) for each, plugs, headers in pairs)


def _hubs(short: int, ports: int, have: int) -> int | None:
    pieces = ceil(Fraction(short, ports - 1))
    return pieces if pieces <= have else None


# --------------------------------------------------------------------------- operating system and wishes


def _excused(world: World, pick: Pick, slot: str) -> bool:
    # A system that is asked for and does not run today is a condition of what stays as well.
    return world.same_system and (today(pick, "board", "cpu") or pick[slot].kept)


def os_processor(world: World, pick: Pick) -> Verdict:
    least = world.target.min_x86_level if world.target else 0
    return verdict(_excused(world, pick, "cpu") or pick["cpu"].part.x86_level >= least)


def os_firmware(world: World, pick: Pick) -> Verdict:
    target, board = world.target, pick["board"].part
    secure = world.problem.brief.secure_boot or bool(target and target.needs_secure_boot_capable)
    uefi = secure or bool(target and target.needs_uefi)
    good = (not uefi or "uefi" in board.firmware_modes) and (not secure or board.secure_boot)
    if world.problem.brief.secure_boot and target and target.id in NEED_LEGACY:
        good = False  # start reference 1.2: these know no Secure Boot
    return verdict(_excused(world, pick, "board") or good)


# What starts how, from the start reference, section 1.2: no start in UEFI mode alone; no AHCI driver; NVMe.
NEED_LEGACY = {
    "desktop-2001-32bit",
    "desktop-2009-32bit",
    "desktop-2009",
    "desktop-2015-32bit",
    "linux-32bit",
}
NO_AHCI = {"desktop-2001-32bit"}
NO_NVME = {"desktop-2001-32bit"}
NO_UEFI = NEED_LEGACY - {"desktop-2009"}


def os_start(world: World, pick: Pick) -> Verdict:
    board, cpu, drive = pick["board"].part, pick["cpu"].part, pick["drive"].part
    family = world.target.id if world.target else None
    legacy = family in NEED_LEGACY
    if legacy and not _excused(world, pick, "board") and "legacy" not in board.firmware_modes:
        return None
    kept = drive.kept
    installed = kept is not None and world.keeps_installation
    if installed:
        legacy = legacy or starts_by(world, kept) == "legacy"
    card = graphics_card(world, pick)
    seen = card is not None and card.legacy_video is not False
    if legacy and not seen and not today(pick, "board", "cpu", "graphics"):
        if cpu.graphics_score and cpu.legacy_video is False:
            return None
        own = board.outputs and (cpu.graphics_score or board_draws(world, pick) is not False)
        if card is not None and not own:
            return None
    disk = kept or drive.part
    if world.same_system and today(pick, "board", "drive"):
        return FINE
    if disk.interface == "m2-nvme":
        # Firmware starts from NVMe in UEFI mode only (start reference, section 1.2).
        return verdict(family not in NO_NVME and (installed or family not in NO_UEFI))
    ide = installed and kept.storage_mode in ("ide", None)
    wants_ide = family in NO_AHCI and ide and disk.interface in ("sata", "m2-sata")
    return verdict(not wants_ide or "ide" in board.storage_modes)


def os_tpm(world: World, pick: Pick) -> Verdict:
    target, board = world.target, pick["board"].part
    if (
        _excused(world, pick, "board")
        or not target
        or target.needs_tpm is None
        or board.tpm == target.needs_tpm
    ):
        return FINE
    options = world.options("tpm-module", lambda e: 1 if target.needs_tpm in e.gives else None)
    return [options] if board.tpm == "header" and options else None


def os_memory(world: World, pick: Pick) -> Verdict:
    least = world.target.min_memory_mib if world.target else 0
    return verdict(_excused(world, pick, "memory") or usable_mib(world, pick["memory"].part) >= least)


def drive_holds(world: World, pick: Pick) -> Verdict:
    """A bought system drive holds the used space of the present one, where that is known (worlds: below 2
    TiB)."""
    new, present = pick["drive"].part.part, world.survey.system_drive
    if new is None or present is None or present.used_gb is None or not world.keeps_installation:
        return verdict(True)
    return verdict(new.capacity_gb >= present.used_gb)


def os_disk(world: World, pick: Pick) -> Verdict:
    """The finished PC's system drive holds what the system asks for (vendors' requirements pages)."""
    drive = pick["drive"].part.kept or pick["drive"].part.part
    least = world.target.min_disk_gb if world.target else 0
    capacity = None if drive is None else drive.capacity_gb
    return verdict(_excused(world, pick, "drive") or capacity is None or capacity >= least)


def licence(world: World, pick: Pick) -> Verdict:
    target = world.system
    if (
        pick["board"].kept
        or not world.keeps_installation
        or target is None
        or not target.licence_kind_matters
    ):
        return FINE
    if world.survey.os.licence not in ("oem", None):
        return FINE
    options = world.options("os-licence", lambda e: 1 if target.id in e.gives else None)
    return [options] if options else FINE


def least_memory(world: World, pick: Pick) -> Verdict:
    least = world.problem.brief.min_memory_gb
    return verdict(least is None or usable_mib(world, pick["memory"].part) >= 1024 * least)


def supply_size(world: World, pick: Pick) -> Verdict:
    """Its own size, or one that a plate or a deeper bay takes in (SFX into the bay of SFX-L: common practice)."""
    bay, form = pick["case"].part.psu_form, pick["psu"].part.form
    others = {tuple(pair.split(",")) for pair in typed.table("supplies", "BAY_CONDITIONS")} | {
        ("sfx-l", "sfx")
    }
    fits = "own" not in (bay, form) and (bay == form or (bay, form) in others)
    return verdict(today(pick, "psu", "case") or fits)


RULES: list[tuple[tuple[str, ...], Rule]] = [
    (("board", "case", "drive", "graphics"), m2),
    (("board", "case", "drive", "graphics"), sata),
    (("board", "case", "drive", "graphics"), pata),
    (("board", "drive"), floppy),
    (("case", "drive"), bays),
    (("board", "drive"), raid_set),
    (("board", "drive"), start),
    (("board", "cpu", "case", "graphics"), source),
    (("board", "cpu", "case", "graphics"), displays),
    (("board", "case", "graphics"), devices),
    (("board", "cpu"), os_processor),
    (("board", "cpu"), os_firmware),
    (("board", "cpu", "case", "drive", "graphics"), os_start),
    (("board", "cpu"), os_tpm),
    (("board", "cpu", "memory"), os_memory),
    (("board", "cpu", "drive"), os_disk),
    (("board", "drive"), drive_holds),
    (("board",), licence),
    (("memory",), least_memory),
    (("psu", "case"), supply_size),
]
