"""Brute-force oracle: the whole job stated once more, from the specification alone.

``ranked(problem)`` tries every combination of candidates, judges every rule in plain words
(``oracle_rules``, ``oracle_ports``, ``oracle_power``), tries every way to buy what is missing, computes the
expected time in exact fractions, folds plans that are the same choice and sorts. Nothing is imported from
``partsolver.rules``, ``partsolver.model``, the planner, the purchase, ``partsolver.assembly`` or
``partsolver.standards``: the data of the problem are read, and every figure of a table, a setting or a use comes
from the typed tables (``typed``).

Worlds the oracle speaks about (``oracle_worlds`` makes no others): every fact known, except those listed in
``oracle_rules`` and ``oracle_power`` as "may be None"; at most one graphics card; PATA and floppy drives are
never the system drive; memory of a board fills its channels evenly (slots a multiple of channels); bundles
hold a part in the quantity the plan needs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, groupby, product
from math import floor
from typing import Any

import oracle_ports
import oracle_power
import oracle_rules
from oracle_rules import Options, Pick, World

SLOT_ORDER = ("board", "cpu", "memory", "cooler", "psu", "case", "drive", "graphics")
# Ids settle what is equal otherwise (design.md section 4), the cooler's last: it follows from the other parts.
TIE_ORDER = (*(slot for slot in SLOT_ORDER if slot != "cooler"), "cooler")


@dataclass(frozen=True)
class OraclePlan:
    """keys by slot; cost in minor units; time in millionths; step of the resolution; power in whole watts."""

    keys: tuple[str, ...]
    cost: int
    time_ppm: int
    step: int
    power_w: int


# --------------------------------------------------------------------------- expected time (design.md section 5)

FLOOR = Fraction(1, 100)  # slowest speed told apart
HALF = Fraction(1, 2)  # what has no score


def _half_up(value: Fraction) -> int:
    return floor(value + HALF)


def _share(permille: int, speed: Fraction, floor_speed: Fraction = FLOOR) -> int:
    """One term: share of the reference time at this speed, in millionths, rounded half up."""
    return _half_up(Fraction(permille, 1000) / max(speed, floor_speed) * 1_000_000)


def _ratio(score: int | None, reference: int) -> Fraction:
    return HALF if score is None else Fraction(score, reference)


def expected_time(world: World, pick: Pick) -> int:
    """T = sum of share / speed over the resources, plus the time that lack of memory costs; millionths of the
    reference's."""
    ref = world.problem.catalog.reference
    serial, parallel, memory, waiting, streaming, graphics, other = world.use.shares_permille
    cpu = pick["cpu"].part
    kbs = Fraction(oracle_rules.data_rate(pick) or 800) * 8 * oracle_rules.milli_channels(pick)
    width = kbs / (1000 * ref.memory_mbs)
    total = _share(serial, _ratio(cpu.serial_score, ref.serial_score))
    total += _share(parallel, _ratio(cpu.parallel_score, ref.parallel_score))
    total += _share(memory, width)
    total += _share(waiting, Fraction(100, _waiting_percent(world, pick)))
    total += _share(streaming, Fraction(oracle_ports.system_drive_mbs(world, pick), ref.storage_mbs))
    total += other * 1000
    least = Fraction(1, world.set("graphics_3d_slowness_cap" if world.use.is_3d else "graphics_slowness_cap"))
    card = oracle_ports.seeing_card(world, pick)
    if card is not None:
        total += _share(graphics, _ratio(_card_score(world, pick, card), ref.graphics_score), least)
    else:
        own = cpu.graphics_score
        if own == 0 and oracle_ports.board_draws(world, pick):
            stated = pick["board"].part.graphics_score
            usual = ref.graphics_score * world.set("board_graphics_percent") // 100
            own = usual if stated is None else stated
        speed = _ratio(own, ref.graphics_score)
        bound = Fraction(world.set("integrated_graphics_bandwidth_percent"), 100)
        slow = None if speed == 0 else (1 - bound) / speed + bound / (speed * width)
        total += _share(graphics, least if slow is None else 1 / slow, least)
    return total + _lacking(world, pick)


def _card_score(world: World, pick: Pick, card: Any) -> int | None:
    """The card's score on the lanes that its slot is wired for (the best of its places)."""
    if not card.graphics_score or card.bus != "pcie":
        return card.graphics_score
    slots = pick["board"].part.slots
    wired = max(slots[placed[card.name]].lanes for placed in oracle_rules.placements(world, pick))
    if wired >= card.lanes:
        return card.graphics_score
    step = max(n for n in (1, 4, 8) if n <= wired)
    return max(1, int(card.graphics_score) * world.set(f"graphics_lanes_{step}_percent") // 100)


def _disk(pick: Pick) -> bool:
    drive = pick["drive"].part.kept or pick["drive"].part.part
    return drive.kind.startswith("hdd")


def _waiting_percent(world: World, pick: Pick) -> int:
    """How long the drive lets wait, a SATA solid-state drive being 100."""
    drive = pick["drive"].part.kept or pick["drive"].part.part
    if drive.kind == "ssd" and drive.interface != "m2-nvme":
        return 100
    return world.set(f"waiting_{drive.kind if drive.kind.startswith('hdd') else 'nvme'}_percent")


def _lacking(world: World, pick: Pick) -> int:
    """Cost x^2 / (x^2 + knee^2) with x the lacking part of the working set."""
    use = world.use
    have = oracle_rules.usable_mib(world, pick["memory"].part)
    if have is None or have >= use.working_set_mib:
        return 0
    name = "capacity_cost_disk_percent" if _disk(pick) else "capacity_cost_ssd_percent"
    cost = Fraction(world.set(name) * use.capacity_percent // 100, 100)
    lacking = Fraction(use.working_set_mib - have, use.working_set_mib)
    knee = Fraction(world.set("capacity_knee_percent"), 100)
    return _half_up(cost * lacking**2 / (lacking**2 + knee**2) * 1_000_000)


# --------------------------------------------------------------------------- what it costs


# What is sold in several states: new, or used without all that lay in its box.
SEVERAL_STATES = ("board", "cpu", "cooler", "psu")


@dataclass(frozen=True)
class _Want:
    """One thing to buy: id, pieces, offers; ``usual`` False where it is not sold as its maker packs it: a
    bundle of new goods holds those that are."""

    id: str
    pieces: int
    offers: tuple[Any, ...]
    usual: bool = True


def _wants(world: World, pick: Pick, needs: Sequence[Options]) -> Iterator[list[_Want]]:
    """Every list of things that serves: the parts, and one option for each need."""
    parts = [
        _Want(c.id, c.quantity, c.offers, slot not in SEVERAL_STATES or c.key == c.id)
        for slot, c in pick.items()
        if c.id is not None
    ]
    for options in product(*needs):
        yield parts + [_Want(extra, pieces, world.problem.extra_offers[extra]) for extra, pieces in options]


def _bundle_sets(world: World, wants: Sequence[_Want]) -> Iterator[tuple[tuple[Any, ...], set[int]]]:
    """Sets of bundles whose items lie within the wants, and the wants they cover."""
    fitting = []
    for bundle in world.problem.bundles:
        if not world.usable(bundle) or bundle.id in world.problem.brief.without or bundle.stock == 0:
            continue
        covered = set()
        for item, pieces in bundle.items:
            found = [
                i for i, want in enumerate(wants) if (want.id, want.pieces) == (item, pieces) and want.usual
            ]
            covered.update(found[:1])
        if len(covered) == len(bundle.items):
            fitting.append((bundle, covered))
    for size in range(len(fitting) + 1):
        for chosen in combinations(fitting, size):
            every = [i for _, covered in chosen for i in covered]
            if len(every) == len(set(every)):
                yield tuple(bundle for bundle, _ in chosen), set(every)


def _bill(world: World, goods: Sequence[tuple[str, int]]) -> int | None:
    """Goods by seller with delivery; None when an order is below the seller's least value."""
    values: dict[str, int] = {}
    for seller, amount in goods:
        values[seller] = values.get(seller, 0) + amount
    total = 0
    for seller, value in values.items():
        terms = world.problem.sellers[seller]
        if value < terms.minimum_order:
            return None
        free = terms.free_from is not None and value >= terms.free_from
        total += value + (0 if free else terms.delivery)
    return total


def _services(problem: Any) -> set[str]:
    """Firmware updates that a seller does."""
    return {extra.id for extra in problem.extras.values() if extra.kind == "firmware-update"}


def _back_in_time(world: World, pick: Pick, bundles: Sequence[Any], chosen: dict[str, Any]) -> bool:
    """A firmware service of another seller than the board's takes the board there and back, from the day on
    which it has arrived; it is back by the wanted day."""
    problem, board = world.problem, pick["board"].id
    wanted = problem.brief.need_by
    service = next((o for i, o in chosen.items() if i in _services(problem)), None)
    if wanted is None or service is None:
        return True
    source = chosen.get(board) or next((b for b in bundles if board in dict(b.items)), None)
    there = 0
    if board is not None:
        if source.seller == service.seller:
            return True
        there = max(0, ((source.available_on or problem.today) - problem.today).days)
        there += problem.sellers[source.seller].delivery_days
    days = there + 2 * problem.sellers[service.seller].delivery_days
    return bool(days <= (wanted - problem.today).days)


def cheapest(world: World, pick: Pick, needs: Sequence[Options]) -> int | None:
    """Least cost of the parts and of what they need, or None when it cannot be bought."""
    best: int | None = None
    tables = world.problem.source.table_of
    demanded = {i for i in world.problem.brief.including if tables.get(i) == "extras"}
    bundled = {i for i in world.problem.brief.including if i not in tables and not i.startswith("kept-")}
    for wants in _wants(world, pick, needs):
        if not demanded <= {want.id for want in wants}:
            continue
        usable = [
            [o for o in want.offers if world.usable(o) and (o.stock is None or o.stock >= want.pieces)]
            for want in wants
        ]
        for bundles, covered in _bundle_sets(world, wants):
            if not bundled <= {b.id for b in bundles}:
                continue
            left = [i for i in range(len(wants)) if i not in covered]
            base = [(b.seller, b.price) for b in bundles]
            for offers in product(*(usable[i] for i in left)):
                taken: dict[int, int] = {}
                for i, offer in zip(left, offers, strict=True):
                    taken[id(offer)] = taken.get(id(offer), 0) + wants[i].pieces
                if any(o.stock is not None and taken[id(o)] > o.stock for o in offers):
                    continue
                goods = base + [
                    (o.seller, o.price * wants[i].pieces) for i, o in zip(left, offers, strict=True)
                ]
                chosen = {wants[i].id: offer for i, offer in zip(left, offers, strict=True)}
                if not _back_in_time(world, pick, bundles, chosen):
                    continue
                bill = _bill(world, goods)
                if bill is not None and (best is None or bill < best):
                    best = bill
    return best


# --------------------------------------------------------------------------- all plans


def _allowed(world: World, pick: Pick, slot: str) -> bool:
    """Excluded and demanded parts of one slot (buying.excluded)."""
    return world.wanted(slot, pick[slot])


def _admitted(world: World) -> Iterator[tuple[Pick, list[Options]]]:
    """Every combination that all rules admit, with what it needs. A rule is asked as soon as its parts are
    chosen."""
    rules = oracle_rules.RULES + oracle_ports.RULES + oracle_power.RULES
    order = {slot: i for i, slot in enumerate(SLOT_ORDER)}
    due: list[list[Any]] = [[] for _ in SLOT_ORDER]
    for slots, rule in rules:
        due[max(order[s] for s in slots)].append((slots, rule))
    memo: dict[Any, Any] = {}

    def verdict(slots: tuple[str, ...], rule: Any, pick: Pick) -> list[Options] | None:
        key = (rule.__name__, *(pick[s].key for s in slots))
        if key not in memo:
            memo[key] = rule(world, pick)
        found: list[Options] | None = memo[key]
        return found

    def extend(depth: int, pick: Pick, needs: list[Options]) -> Iterator[tuple[Pick, list[Options]]]:
        if depth == len(SLOT_ORDER):
            yield pick, needs
            return
        slot = SLOT_ORDER[depth]
        for candidate in world.problem.candidates[slot]:
            longer = {**pick, slot: candidate}
            if not _allowed(world, longer, slot):
                continue
            more: list[Options] | None = list(needs)
            for slots, rule in due[depth]:
                got = verdict(slots, rule, longer)
                if got is None:
                    more = None
                    break
                more += got
            if more is not None and all(more):
                yield from extend(depth + 1, longer, more)

    yield from extend(0, {}, [])


# Facts of a board that make no other choice of it. The last three are read by rules (fit.holes,
# platform.firmware, fit.aperture), but two boards that differ in nothing else are one choice to the owner.
NO_CHOICE = ("id", "name", "maker", "mass_g", "source", "year", "holes", "firmware_shipped", "shield")


def _board_facts(candidate: Any) -> Any:
    """What the rules read of a board; the present one is like no other."""
    board = candidate.part
    return (
        "kept" if candidate.kept else tuple(getattr(board, f) for f in board.__slots__ if f not in NO_CHOICE)
    )


def identity(world: World, pick: Pick) -> Any:
    """Equal for plans that are the same choice (design.md section 4)."""
    drive = pick["drive"]
    bought = drive.part.part
    return (
        pick["cpu"].key,
        _board_facts(pick["board"]),
        pick["memory"].part.total_mib,
        oracle_rules.data_rate(pick),
        pick["psu"].kept,
        pick["case"].kept,
        None if bought is None else (bought.interface, bought.kind, bought.read_mbs, bought.capacity_gb),
        *_card_choice(world, pick),
    )


def _card_choice(world: World, pick: Pick) -> tuple[Any, ...]:
    """A bought graphics card is another choice by its score, where the use has any work for it."""
    card = pick["graphics"].part.bought
    counts = world.use.shares_permille[5] > 0
    return (card.graphics_score if card is not None and counts else None,)


@dataclass(frozen=True)
class Row:
    """One way to fill all slots that every rule admits, bought as cheaply as can be: before budget and wishes
    about speed."""

    time: int
    cost: int
    place: tuple[int, ...]
    pick: Pick


class Every:
    """All that a problem admits, listed once and asked for any budget, goal, resolution, least speed-up or
    number of plans."""

    def __init__(self, problem: Any, as_it_is: Any = None) -> None:
        """``as_it_is``: the survey of the PC today where the problem's own leaves things out."""
        self.world = World(problem)
        today = as_it_is or problem.survey
        self.world.drives_today, self.world.cards_today = today.drives, today.cards
        position = {slot: {c.key: i for i, c in enumerate(problem.candidates[slot])} for slot in SLOT_ORDER}
        times: dict[Any, int] = {}
        self.rows: list[Row] = []
        for pick, needs in _admitted(self.world):
            cost = cheapest(self.world, pick, needs)
            if cost is None:
                continue
            key = tuple(pick[s].key for s in SLOT_ORDER if s not in ("cooler", "psu"))
            if key not in times:
                times[key] = expected_time(self.world, pick)
            place = tuple(position[s][pick[s].key] for s in TIE_ORDER)
            self.rows.append(Row(times[key], cost, place, pick))
        self.now = expected_time(self.world, self.world.present())
        self._watts: dict[tuple[int, ...], int] = {}

    def _watts_of(self, row: Row) -> int:
        if row.place not in self._watts:
            self._watts[row.place] = -(-oracle_power.continuous_mw(self.world, row.pick) // 1000)
        return self._watts[row.place]

    def ranked(self, budget: int | None, brief: Any) -> list[OraclePlan]:
        """The best plans of a brief, best first; empty when there is none. ``budget``: minor units. Only the
        wishes named above may differ from those of the problem that was listed."""
        least_speedup = Fraction(brief.min_speedup) if brief.min_speedup is not None else None
        rows = [
            row
            for row in self.rows
            if (budget is None or row.cost <= budget)
            and (least_speedup is None or self.now >= least_speedup * row.time)
        ]
        if not rows:
            return []
        least = min(row.time for row in rows)
        resolution = Fraction(brief.resolution_percent)

        # The step belongs to goal speed only: goal cost compares times exactly.
        def step(time: int) -> int:
            if brief.goal == "cost":
                return 0
            return (
                time - least if resolution == 0 else floor(100 * Fraction(time - least, least) / resolution)
            )

        def wanted(row: Row) -> tuple[int, int]:
            return (row.cost, row.time) if brief.goal == "cost" else (step(row.time), row.cost)

        seen: set[Any] = set()
        plans: list[OraclePlan] = []
        # Of those wanted equally the one that draws least comes first: nobody else's power is asked.
        for _, equal in groupby(sorted(rows, key=wanted), key=wanted):
            for row in sorted(equal, key=lambda row: (self._watts_of(row), row.place)):
                who = identity(self.world, row.pick)
                if who in seen:
                    continue
                seen.add(who)
                keys = tuple(row.pick[s].key for s in SLOT_ORDER)
                plans.append(OraclePlan(keys, row.cost, row.time, step(row.time), self._watts_of(row)))
                if len(plans) == brief.alternatives:
                    return plans
        return plans


def ranked(problem: Any) -> list[OraclePlan]:
    """The best plans of a problem, as many as its brief asks for; empty when there is none."""
    return Every(problem).ranked(problem.budget, problem.brief)
