"""What plugs into what: the supply's plugs against headers and drives, adapters, trusted share of a label,
free slots.

Peripheral plugs are claimed in this order: drives that need one, an adapter for the processor header, SATA
drives fed from peripheral plugs, adapters for cards. A later claim only gets what the earlier ones leave in
the worst case, so the rules never promise one plug twice. Added cards claim slots likewise: M.2 card, SATA
controller, PATA controller.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from partsolver.assembly.cards import placement
from partsolver.assembly.loads import bought_drive_load, drive_load
from partsolver.assembly.ports import drives_of, free_sata_ports, sata_drives, seat_modules, slot_takes
from partsolver.base.quantities import ceil_div
from partsolver.catalog.records import Board, Case, DrivePart, Extra, Psu, Slot
from partsolver.problem.candidates import Candidate, DriveChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.standards.plugs import SATA_RAIL_MA
from partsolver.standards.rails import age_factor_percent
from partsolver.survey.model import Drive

Options = tuple[tuple[str, int], ...]

# Day-and-night use ages a supply as if it were of the oldest class from this age on (power reference section
# 14: "> 12 years, or 24/7 use > 7 years"; common practice).
ALWAYS_ON_OLD_YEARS = 7
OLDEST_CLASS_YEARS = 13


def question(candidate: Candidate, fact: str) -> str:
    """Path of a missing fact: ``psu.year`` of the survey, ``psu:<id>.year`` of a catalogue part."""
    return f"{candidate.slot}.{fact}" if candidate.kept else f"{candidate.slot}:{candidate.id}.{fact}"


def all_kept(parts: Parts, slots: Sequence[SlotName]) -> bool:
    """Whether all these slots hold what the PC has now (it works today)."""
    return all(parts.candidate(slot).kept for slot in slots)


# -- what a supply is trusted with --------------------------------------------------------------------------------


def label_12v_ma(psu: Psu) -> int | None:
    """12 V current on the label: the combined limit, else the sum of the rails, else None."""
    if psu.combined_12v_ma is not None:
        return psu.combined_12v_ma
    return sum(psu.rail_12v_ma) if psu.rail_12v_ma else None


def labelled(psu: Psu) -> bool:
    """Whether the label states combined limits and the supply has the later 24-contact plug.

    One 12 V rail is its own combined limit, if the label has a combined line at all.
    """
    single = psu.rail_12v_ma is not None and len(psu.rail_12v_ma) == 1 and psu.combined_5v_3v3_mw is not None
    return (psu.combined_12v_ma is not None or single) and psu.main_plug != "20"


def supply_factor_percent(problem: Problem, psu: Psu) -> int:
    """Share of its label a supply is trusted with: age, day-and-night use, label (power reference section
    14)."""
    age = None if psu.year is None else max(0, problem.today.year - psu.year)
    if age is not None and age > ALWAYS_ON_OLD_YEARS and problem.survey.pc.always_on:
        age = max(age, OLDEST_CLASS_YEARS)
    return age_factor_percent(age, problem.settings, labelled(psu))


def usable(problem: Problem, psu: Psu, label: int | None) -> int | None:
    """Part of a label value (mA or mW) that a plan may use, rounded down; None when the label does not
    say."""
    if label is None:
        return None
    return label * supply_factor_percent(problem, psu) * problem.settings["rail_use_percent"] // 10_000


# -- processor plugs ----------------------------------------------------------------------------------------------


def feeding_plugs(headers: Sequence[str], plugs: Sequence[str]) -> tuple[str, ...]:
    """Sizes ("4" or "8") at which the board's processor headers are fed, in header order, unfed ones left
    out.

    The first header is served first; each takes its own size before the other one. An "8" in a "4" header is
    a divisible 4+4 plug, one half of it used; a "4" in an "8" header fills one half.
    """
    left = list(plugs)
    fed = []
    for header in headers:
        plug = header if header in left else next(iter(left), None)
        if plug is None:
            break
        left.remove(plug)
        fed.append(min(header, plug))
    return tuple(fed)


def adapter_limit_ma(extra: Extra, settings: Mapping[str, int]) -> int:
    """12 V current through an adapter from peripheral plugs.

    A second plug does not raise it: peripheral plugs mostly hang on one lead, whose wire is the limit.
    """
    limit = settings["cpu_plug_from_peripheral_ma"]
    return limit if extra.limit_ma is None else min(extra.limit_ma, limit)


def cpu_adapters(problem: Problem, header: str, spare: int | None) -> tuple[Extra, ...]:
    """Adapters from at most ``spare`` peripheral plugs (None: not known, taken as enough) that feed a header,
    by id."""
    wanted = ("4", "8") if header == "8" else (header,)
    return tuple(
        extra
        for extra in problem.extras_of("cpu-plug-adapter")
        if "peripheral" in extra.takes
        and any(plug in wanted for plug in extra.gives)
        and (spare is None or extra.count <= spare)
    )


# -- drives -------------------------------------------------------------------------------------------------------


def power_plug(drive: Drive | DrivePart) -> str:
    """Power plug of a drive: as surveyed, else what its interface usually comes with (common practice)."""
    stated = drive.power_plug if isinstance(drive, Drive) else None
    if stated is not None:
        return stated
    return {"sata": "sata", "pata": "peripheral", "floppy": "floppy"}.get(drive.interface or "", "none")


def drive_plugs(choice: DriveChoice, problem: Problem) -> tuple[int, int]:
    """(SATA, peripheral) power plugs that the drives of the plan take."""
    plugs = [power_plug(drive) for drive in drives_of(choice, problem)]
    return plugs.count("sata"), plugs.count("peripheral")


def spare_peripherals(psu: Psu, peripheral_drives: int) -> int | None:
    """Peripheral plugs the drives leave; negative when they lack some; None when the count is not known."""
    return None if psu.peripheral_plugs is None else psu.peripheral_plugs - peripheral_drives


def reserved_for_cpu(problem: Problem, headers: Sequence[str] | None, psu: Psu, spare: int | None) -> int:
    """Peripheral plugs the largest usable processor adapter takes where the supply has no processor plug,
    else 0."""
    if not headers or psu.cpu_plugs != ():
        return 0
    return max((extra.count for extra in cpu_adapters(problem, headers[0], spare)), default=0)


def _start_12v_ma(drive: Drive | DrivePart, problem: Problem) -> int:
    if isinstance(drive, Drive):
        load = drive_load(drive, problem.settings)
    else:
        load = bought_drive_load(DriveChoice(drive.id, None, drive), problem.settings)
    return load.ma_12v + load.start_12v_ma


def sata_starts(choice: DriveChoice, problem: Problem) -> tuple[int, ...]:
    """12 V start-up currents of the drives on SATA power plugs, lightest first, mA."""
    return tuple(
        sorted(_start_12v_ma(d, problem) for d in drives_of(choice, problem) if power_plug(d) == "sata")
    )


def sata_power_options(problem: Problem, psu: Psu, starts: tuple[int, ...], spare: int | None) -> Options:
    """What cures a lack of SATA power plugs: splitters, or leads from ``spare`` peripheral plugs; sorted by
    id.

    Each splitter takes one plug, adds ``count``, and must carry the start-up of the drives on it: the
    lightest drives go there, and the heaviest of those that could share one are counted.
    """
    plugs = psu.sata_plugs or 0
    missing = len(starts) - plugs
    options = []
    for extra in problem.extras_of("sata-power-splitter"):
        number = ceil_div(missing, extra.count)
        sharing = starts[: number * (extra.count + 1)]
        heaviest = sum(sharing[-(extra.count + 1) :])
        if number <= plugs and heaviest <= min(SATA_RAIL_MA, extra.limit_ma or SATA_RAIL_MA):
            options.append((extra.id, number))
    for extra in problem.extras_of("sata-power-from-peripheral"):
        number = ceil_div(missing, extra.count)
        if spare is None or number <= spare:
            options.append((extra.id, number))
    return tuple(sorted(options))


def reserved_for_sata(problem: Problem, psu: Psu, starts: tuple[int, ...], spare: int | None) -> int:
    """Most peripheral plugs that leads to SATA drives take."""
    if psu.sata_plugs is None or len(starts) <= psu.sata_plugs:
        return 0
    options = sata_power_options(problem, psu, starts, spare)
    return max((n for i, n in options if problem.extras[i].kind == "sata-power-from-peripheral"), default=0)


# -- cards --------------------------------------------------------------------------------------------------------


def card_sockets(problem: Problem, board: Board, case: Case) -> tuple[str, ...]:
    """Power sockets ("6", "8", "16") of the kept cards that have a place, sorted."""
    names = {name for name, _ in placement(problem, board, case).placed}
    return tuple(
        sorted(plug for card in problem.survey.cards if card.name in names for plug in card.power_plugs or ())
    )


def missing_card_plugs(sockets: Sequence[str], plugs: Sequence[str]) -> tuple[str, ...]:
    """Sockets without a plug: like feeds like first, then an "8" (divisible 6+2) feeds a "6"."""
    left = list(plugs)
    open_sockets = []
    for socket in sockets:
        if socket in left:
            left.remove(socket)
        else:
            open_sockets.append(socket)
    missing = []
    for socket in open_sockets:
        if socket == "6" and "8" in left:
            left.remove("8")
        else:
            missing.append(socket)
    return tuple(missing)


def card_adapter_options(problem: Problem, missing: Sequence[str], spare: int | None) -> dict[str, Options]:
    """Adapters per missing kind of card plug; each kind leaves the others the most plugs they could take."""
    kinds = sorted(set(missing))
    usable_extras = {
        kind: [
            e for e in problem.extras_of("card-plug-adapter") if "peripheral" in e.takes and kind in e.gives
        ]
        for kind in kinds
    }
    most = {
        kind: max((e.count * missing.count(kind) for e in usable_extras[kind]), default=0) for kind in kinds
    }
    result: dict[str, Options] = {}
    for kind in kinds:
        number = missing.count(kind)
        others = sum(most[other] for other in kinds if other != kind)
        result[kind] = tuple(
            (e.id, number) for e in usable_extras[kind] if spare is None or e.count * number + others <= spare
        )
    return result


# -- slots for added cards ----------------------------------------------------------------------------------------


def m2_leftover(board: Board, choice: DriveChoice, problem: Problem) -> tuple[Drive | DrivePart, ...]:
    """M.2 modules without a socket, the fewest possible; among equals those that a slot card can carry
    (NVMe)."""
    return seat_modules(board, choice, problem).left


def _opening_takes(extra: Extra, case: Case) -> bool:
    return extra.low_profile or case.slot_height != "low"


def _goes_in(slot: Slot, extra: Extra) -> bool:
    # An NVMe module gets its four lanes (the time model counts on them); other cards go into any slot that
    # takes them.
    wired = extra.kind != "m2-card" or slot.lanes >= 4
    return wired and any(slot_takes(slot, kind) for kind in extra.takes)


def _seated(slots: Sequence[Slot], claims: Sequence[Sequence[Extra]]) -> bool:
    """Whether every choice of one card per claim finds slots of its own."""
    if not claims:
        return True
    return all(
        any(
            _goes_in(slots[i], card) and _seated([*slots[:i], *slots[i + 1 :]], claims[1:])
            for i in range(len(slots))
        )
        for card in claims[0]
    )


def seatable(
    problem: Problem, board: Board, case: Case, cards: Sequence[Extra], claims: Sequence[Sequence[Extra]] = ()
) -> tuple[Extra, ...]:
    """Those added cards that find a free slot and opening while the claims of other rules still find
    theirs."""
    free = [board.slots[i] for i in placement(problem, board, case).free] if board.slots else []
    return tuple(card for card in cards if _opening_takes(card, case) and _seated(free, [[card], *claims]))


def sata_claims(problem: Problem, board: Board, case: Case, choice: DriveChoice) -> list[tuple[Extra, ...]]:
    """The slot that a SATA controller claims (storage.sata), if one is needed."""
    ports = free_sata_ports(board, choice, problem)
    missing = 0 if ports is None else sata_drives(choice, problem) - ports
    if missing <= 0:
        return []
    cards = [extra for extra in problem.extras_of("sata-controller") if extra.count >= missing]
    cards = list(seatable(problem, board, case, cards))
    return [tuple(cards)] if cards else []


def m2_cards(problem: Problem, board: Board, case: Case, choice: DriveChoice) -> tuple[Extra, ...]:
    """Cards that carry the one NVMe module without a socket; empty when that is not the case or none goes
    in."""
    left = m2_leftover(board, choice, problem)
    if len(left) != 1 or left[0].interface != "m2-nvme":
        return ()
    cards = list(problem.extras_of("m2-card"))
    return seatable(problem, board, case, cards, sata_claims(problem, board, case, choice))
