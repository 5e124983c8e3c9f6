"""The oracle's rules of fit, platform and memory, in its own words.

A rule takes (world, pick) and returns the needs it has (each a tuple of (extra id, pieces) that serve), or
None when it refuses. ``pick``: slot -> Candidate. An uncured need is a refusal.

Facts that may be None (an open question that lets the plan stand): the case's free width, depth and
standoffs, the sockets and rating of the present cooler, the board's support list, shipped firmware, processor
power class and largest module, the processor's power limit and most memory.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from fractions import Fraction
from itertools import product
from math import ceil, floor
from typing import Any

import typed

from partsolver.problem.candidates import Candidate, MemoryChoice

ACCEPTS = typed.groups("boards", "ACCEPTS")
HOLES = typed.table("boards", "HOLES")
OUTLINES = typed.table("boards", "OUTLINES")

Pick = dict[str, Candidate]
Options = tuple[tuple[str, int], ...]
Verdict = list[Options] | None
FINE: list[Options] = []
TABLE_OF = {
    "memory": "memory",
    "graphics": "graphics",
    **{slot: f"{slot}s" for slot in ("board", "cpu", "cooler", "psu", "case", "drive")},
}


# The rules call the lack of these "never a refusal", "never an exclusion": what nobody can deliver is not
# bought.
NEVER_REFUSING = ("thermal-paste", "os-licence", "io-shield", "standoffs")


@dataclass
class World:
    """A problem with the few questions that many rules ask."""

    problem: Any
    memo: dict[Any, Any] = field(default_factory=dict)
    # Drives of the PC as it is; a question may ask for fewer.
    drives_today: Any = None
    cards_today: Any = None

    def __post_init__(self) -> None:
        self.drives_today, self.cards_today = self.problem.survey.drives, self.problem.survey.cards

    @property
    def survey(self) -> Any:
        return self.problem.survey

    def set(self, name: str) -> int:
        """A figure of the planner: the brief's, else the typed one."""
        return self.chosen[name]

    @property
    def chosen(self) -> dict[str, int]:
        """Every setting: what the brief says, else the typed value."""
        if "settings" not in self.memo:
            self.memo["settings"] = {**typed.settings(), **self.problem.brief.settings}
        found: dict[str, int] = self.memo["settings"]
        return found

    def sold(self, kind: str) -> list[Any]:
        """Extras of a kind that somebody offers and the owner does not exclude."""
        without = self.problem.brief.without
        found = [e for e in self.problem.extras.values() if e.kind == kind and e.id not in without]
        return sorted((e for e in found if self.problem.extra_offers.get(e.id)), key=lambda e: e.id)

    def options(self, kind: str, test: Callable[[Any], int | None]) -> Options:
        """(id, pieces) of the extras for which ``test`` gives a number of pieces."""
        counted = [
            (e.id, test(e)) for e in self.sold(kind) if kind not in NEVER_REFUSING or self.to_be_had(e.id)
        ]
        return tuple((i, pieces) for i, pieces in counted if pieces)

    def usable(self, offer: Any) -> bool:
        """The price is still valid and the goods are there in time."""
        need_by, today = self.problem.brief.need_by, self.problem.today
        expired = offer.valid_until is not None and offer.valid_until < today
        arrives = max(today, offer.available_on or today) + timedelta(
            days=self.problem.sellers[offer.seller].delivery_days
        )
        return not expired and (need_by is None or arrives <= need_by)

    def to_be_had(self, extra: str) -> bool:
        """Whether some usable offer of an extra is in stock."""
        return any(offer.stock != 0 and self.usable(offer) for offer in self.problem.extra_offers[extra])

    def wanted(self, slot: str, candidate: Candidate) -> bool:
        """Whether brief.without and brief.including let a candidate fill its slot."""
        names = {f"kept-{slot}"} if candidate.kept else {candidate.id or candidate.key}
        if slot == "memory" and candidate.part.with_kept:
            names = names | {"kept-memory"}
        brief = self.problem.brief
        table_of = {**self.problem.source.table_of, f"kept-{slot}": slot}
        demanded = {i for i in brief.including if table_of.get(i) in (slot, TABLE_OF[slot])}
        return not names & set(brief.without) and demanded <= names

    def present(self) -> Pick:
        """What is in the PC today, broken or not."""
        pick: Pick = {}
        sizes = sorted((m.capacity_mib for m in self.survey.memory for _ in range(m.count)), reverse=True)
        rates = [m.rate_mts for m in self.survey.memory]
        worn = MemoryChoice(
            "kept-memory",
            None,
            0,
            True,
            self.survey.memory[0].generation,
            self.survey.memory[0].module,
            tuple(sizes),
            min(rates),
            False,
            False,
            len(sizes),
        )
        broken = {"board": self.survey.board, "cpu": self.survey.cpu, "memory": worn}
        for slot, candidates in self.problem.candidates.items():
            kept = [c for c in candidates if c.kept]
            pick[slot] = kept[0] if kept else Candidate(slot, f"kept-{slot}", broken[slot], None, 0, (), True)
        return pick

    @property
    def target(self) -> Any:
        """Requirements of the system that runs afterwards, or None when none is asked for."""
        return self.system if self.problem.brief.os or self.survey.os.keep else None

    @property
    def system(self) -> Any:
        """Requirements of the system that is named, kept or not; None where there is none."""
        family = self.problem.brief.os or self.survey.os.family
        if family == "none":
            return None
        if "system" not in self.memo:
            self.memo["system"] = typed.system(family, self.problem.brief.settings)
        return self.memo["system"]

    @property
    def use(self) -> Any:
        """Shares and working set of the use."""
        return typed.table("uses", "USES")[self.problem.brief.use]

    @property
    def same_system(self) -> bool:
        return self.problem.brief.os in (None, self.survey.os.family)

    @property
    def keeps_installation(self) -> bool:
        return self.survey.os.keep and self.same_system


def today(pick: Pick, *slots: str) -> bool:
    """Whether these places hold what the PC has now: that works today."""
    return all(pick[s].kept for s in slots)


def verdict(good: bool) -> Verdict:
    return FINE if good else None


# --------------------------------------------------------------------------- fit


def outline(world: World, pick: Pick) -> Verdict:
    """Form accepted, width within the free (or nominal) width, depth within a measured free depth."""
    board, case = pick["board"].part, pick["case"].part
    if today(pick, "board", "case"):
        return FINE
    if board.form_factor == "own" or case.form_factor not in OUTLINES:
        return None
    # It has ATX's holes and is deeper: the free depth decides, which is asked where nobody measured it.
    ceb = (case.form_factor, board.form_factor) == ("atx", "ssi-ceb")
    if board.form_factor not in ACCEPTS[case.form_factor] and not ceb:
        return None
    width = case.max_board_width_mm or OUTLINES[case.form_factor].width_mm
    depth = case.max_board_depth_mm
    return verdict(board.width_mm <= width and (depth is None or board.depth_mm <= depth))


def _holes(board: Any) -> tuple[set[str], set[str]]:
    """(certain, possible) holes: stated, else those of the form whose 5.08 mm pad radius lies on the
    board."""
    if board.holes is not None:
        return set(board.holes), set()
    form = board.form_factor
    nominal = set(OUTLINES[form].holes)
    if form in ("mini-itx", "thin-mini-itx", "dtx", "mini-dtx"):
        return nominal, set()

    def lies_on(letter: str) -> bool:
        hole = HOLES[letter]
        return (
            hole.x_um + 5080 <= board.width_mm * 1000 + 180
            and hole.y_um + 5080 <= board.depth_mm * 1000 + 180
        )

    certain = {h for h in nominal if lies_on(h)}
    if form == "microatx" and lies_on("R"):
        return certain - {"S"}, certain & {
            "S"
        }  # microATX 1.2, section 2.2, table 4: S is optional at full width
    if form in ("atx", "ssi-ceb") and not lies_on("A"):
        return certain, {h for h in "BRS" if lies_on(h)}
    return certain, set()


def holes(world: World, pick: Pick) -> Verdict:
    board, case = pick["board"].part, pick["case"].part
    if today(pick, "board", "case") or board.form_factor == "own":
        return FINE
    certain, possible = _holes(board)
    fixed, standing = set(case.standoffs_fixed or ()), set(case.standoffs or ())
    # A standoff more than half a pad (0.2 in) beyond the left or front edge touches nothing.
    beyond = {
        letter
        for letter in fixed
        if HOLES[letter].x_um >= 1000 * board.width_mm + 5260
        or HOLES[letter].y_um >= 1000 * board.depth_mm + 5260
    }
    if fixed - certain - beyond:
        return None  # a short, or (where there may be a hole) nobody knows: blocked
    stated = case.standoff_positions is not None
    usual = OUTLINES[case.form_factor].holes if case.form_factor in OUTLINES else ()
    places = set(case.standoff_positions if stated else usual) | standing | fixed
    least = min(world.set("minimum_supported_holes"), len(certain))
    if stated and len(certain & places) < least:
        return None
    if pick["case"].kept and case.standoffs is not None:
        add = (certain & places) - standing - fixed
        spare = standing - fixed - certain - possible
        short = len(add) - len(spare)
        options = world.options("standoffs", lambda e: ceil(Fraction(short, e.count))) if short > 0 else ()
        return [options] if options else FINE
    return FINE


def aperture(world: World, pick: Pick) -> Verdict:
    board, case = pick["board"].part, pick["case"].part
    if today(pick, "board", "case"):
        return FINE
    if case.aperture != "atx":
        return None
    options: Options = ()
    if board.shield == "missing":
        options = world.options("io-shield", lambda e: 1 if pick["board"].id in e.takes else None)
    return [options] if options else FINE


def _slot_takes(slot: Any, card: Any) -> bool:
    if card.bus == "pcie":
        return slot.kind.startswith("x") and int(slot.kind[1:]) >= card.lanes
    return bool(slot.kind == card.bus)


def cards_of(world: World, pick: Pick) -> list[Any]:
    """The cards of the finished PC: a bought graphics card takes the place of the PC's own."""
    bought = pick["graphics"].part.card
    own = [c for c in world.survey.cards if bought is None or c.kind != "graphics"]
    return own if bought is None else [bought, *own]


def placements(world: World, pick: Pick) -> list[dict[str, int]]:
    """All best placements (card name -> slot) of the plan's cards: required ones first, graphics next, others
    last."""
    board, case = pick["board"].part, pick["case"].part
    key = ("placements", pick["board"].key, pick["case"].key, pick["graphics"].key)
    if key in world.memo:
        found: list[dict[str, int]] = world.memo[key]
        return found
    cards = sorted(cards_of(world, pick), key=lambda c: (not c.required, c.kind != "graphics"))
    same = today(pick, "board", "case", "graphics")
    openings = len(board.slots) if case.slot_openings is None else case.slot_openings
    best: list[dict[str, int]] = []
    best_rank: tuple[bool, ...] = ()
    for wish in product((None, *range(len(board.slots))), repeat=len(cards)):
        used: list[int] = []
        good = True
        for card, at in zip(cards, wish, strict=True):
            if at is None:
                continue
            covers = range(at, at + (card.width_slots or 1))
            used += covers
            bracket = not (card.height == "full" and case.slot_height == "low")
            length = (
                card.length_mm is None
                or case.max_card_length_mm is None
                or card.length_mm <= case.max_card_length_mm
            )
            good = (
                good
                and _slot_takes(board.slots[at], card)
                and covers[-1] < openings
                and (same or (bracket and length))
            )
        if not good or len(used) != len(set(used)):
            continue
        rank = tuple(at is not None for at in wish)
        if rank > best_rank or not best:
            best, best_rank = [], rank
        if rank == best_rank:
            best.append({c.name: at for c, at in zip(cards, wish, strict=True) if at is not None})
    world.memo[key] = best
    return best


def placed_cards(world: World, pick: Pick) -> list[Any]:
    best = placements(world, pick)[0]
    return [c for c in cards_of(world, pick) if c.name in best]


def graphics_card(world: World, pick: Pick) -> Any:
    return next((c for c in placed_cards(world, pick) if c.kind == "graphics"), None)


def cards(world: World, pick: Pick) -> Verdict:
    there = placed_cards(world, pick)
    same = today(pick, "board", "case", "graphics")
    return verdict(same or all(c in there for c in cards_of(world, pick) if c.required))


def free_slot_for(world: World, pick: Pick, added: Sequence[Any]) -> bool:
    """Whether added cards (extras that take a slot) find free slots and openings beside the kept cards."""
    board, case = pick["board"].part, pick["case"].part
    for placed in placements(world, pick):
        used = {
            n
            for c in cards_of(world, pick)
            if c.name in placed
            for n in range(placed[c.name], placed[c.name] + (c.width_slots or 1))
        }
        free = [i for i in range(len(board.slots)) if i not in used]
        if case.slot_openings is not None:
            free = [i for i in free if i < case.slot_openings]

        def seat(cards_left: Sequence[Any], free: Sequence[int]) -> bool:
            if not cards_left:
                return True
            extra = cards_left[0]
            if case.slot_height == "low" and not extra.low_profile:
                return False
            return any(
                _added_goes(board.slots[i], extra) and seat(cards_left[1:], [j for j in free if j != i])
                for i in free
            )

        if seat(added, free):
            return True
    return False


def _added_goes(slot: Any, extra: Any) -> bool:
    kind = extra.takes[0]
    if not kind.startswith("x"):
        return bool(slot.kind == kind)
    enough = extra.kind != "m2-card" or slot.lanes >= 4  # an NVMe module on a card wants four wired lanes
    return slot.kind.startswith("x") and int(slot.kind[1:]) >= int(kind[1:]) and enough


def cooler_height(world: World, pick: Pick) -> Verdict:
    cooler, case = pick["cooler"].part.cooler, pick["case"].part
    rooms = [room for room in (case.max_cooler_height_mm, case.height_under_psu_mm) if room]
    if today(pick, "cooler", "case") or not rooms:
        return FINE
    highest = min(rooms)
    if pick["cooler"].part.boxed:  # what is not stated is no lower than any of its kind
        return verdict((pick["cpu"].part.boxed_cooler_mm or world.set("boxed_cooler_least_mm")) <= highest)
    return verdict(cooler.height_mm <= highest)


def cooler_choice(world: World, pick: Pick) -> Verdict:
    """The cooler in the box comes with a new processor that brings one."""
    return verdict(
        not pick["cooler"].part.boxed or (not pick["cpu"].kept and pick["cpu"].part.boxed_cooler is True)
    )


def cooler_mount(world: World, pick: Pick) -> Verdict:
    if pick["cooler"].part.boxed or today(pick, "board", "cooler"):
        return FINE
    sockets = pick["cooler"].part.cooler.sockets
    return verdict(sockets is None or pick["board"].part.socket in sockets)


def cooler_power(world: World, pick: Pick) -> Verdict:
    if pick["cooler"].part.boxed or today(pick, "cpu", "cooler"):
        return FINE
    rated = pick["cooler"].part.cooler.rated_w
    return verdict(rated is None or pick["cpu"].part.tdp_w <= rated)


def paste(world: World, pick: Pick) -> Verdict:
    cooler = pick["cooler"]
    if cooler.part.boxed:
        return FINE
    again = not today(pick, "board", "cpu") if cooler.kept else not cooler.part.cooler.paste_included
    options = world.options("thermal-paste", lambda e: 1) if again else ()
    return [options] if options else FINE


# --------------------------------------------------------------------------- platform


def socket(world: World, pick: Pick) -> Verdict:
    return verdict(today(pick, "board", "cpu") or pick["board"].part.socket == pick["cpu"].part.socket)


def support(world: World, pick: Pick) -> Verdict:
    listed = pick["board"].part.cpu_families
    named = listed is None or any(family == pick["cpu"].part.family for family, _ in listed)
    return verdict(today(pick, "board", "cpu") or named)


def _version(text: str) -> tuple[int, ...]:
    return tuple(int(n) for n in text.split("."))


def _knows(board: Any, cpu: Any) -> bool | None:
    """Whether the shipped firmware knows the processor's family; None when that cannot be told."""
    needed = [_version(v) for family, v in board.cpu_families or () if family == cpu.family]
    if not needed or board.firmware_shipped is None:
        return None
    return _version(board.firmware_shipped) >= max(needed)


def firmware(world: World, pick: Pick) -> Verdict:
    board, cpu = pick["board"].part, pick["cpu"].part
    if today(pick, "board", "cpu") or _knows(board, cpu) is not False:
        return FINE
    works = world.survey.pc.cpu_works
    if (pick["board"].kept and works) or board.flash_without_cpu:
        return FINE
    service = world.options(
        "firmware-update", lambda e: 1 if not e.takes or pick["board"].id in e.takes else None
    )
    if service:
        return [service]
    old = world.survey.cpu
    return verdict(works and old.socket == board.socket and _knows(board, old) is True)


def board_power(world: World, pick: Pick) -> Verdict:
    """A board's class is one of rated heat."""
    limit = pick["board"].part.cpu_power_limit_w
    return verdict(today(pick, "board", "cpu") or limit is None or pick["cpu"].part.tdp_w <= limit)


# --------------------------------------------------------------------------- memory


def memory_generation(world: World, pick: Pick) -> Verdict:
    generation = pick["memory"].part.generation
    drives = any(generation == g for g, _ in pick["cpu"].part.memory_rates)
    return verdict(
        today(pick, "board", "cpu", "memory")
        or (generation == pick["board"].part.memory_generation and drives)
    )


def memory_module(world: World, pick: Pick) -> Verdict:
    return verdict(
        today(pick, "board", "memory") or pick["memory"].part.module == pick["board"].part.memory_module
    )


def _kept_rows(world: World, left_out: int) -> list[Any]:
    """The present modules without the smallest (of equals the slowest) ``left_out``, one row each."""
    each = [m for m in world.survey.memory for _ in range(m.count)]
    each.sort(key=lambda m: (m.capacity_mib, m.rate_mts), reverse=True)
    return each[: len(each) - left_out]


def _sets(world: World, pick: Pick) -> list[tuple[bool, int | None, bool, bool]]:
    """(works on this board today, MiB, registered, ecc) of every set of equal modules."""
    memory: MemoryChoice = pick["memory"].part
    sets = []
    if memory.kit is not None:
        sets.append((False, memory.kit.module_mib, memory.kit.registered, memory.kit.ecc))
    if memory.with_kept:
        sets += [
            (pick["board"].kept, m.capacity_mib, m.registered, m.ecc)
            for m in _kept_rows(world, memory.left_out)
        ]
    return sets


def buffering(world: World, pick: Pick) -> Verdict:
    board, sets = pick["board"].part, _sets(world, pick)
    if len({registered for _, _, registered, _ in sets}) > 1:
        return None
    for works, _, registered, ecc in sets:
        if not works and registered and not board.memory_registered:
            return None
        if not works and ecc and not registered and board.memory_ecc == "no":
            return None
    return FINE


def memory_slots(world: World, pick: Pick) -> Verdict:
    return verdict(
        today(pick, "board", "memory")
        or (pick["memory"].part.modules <= pick["board"].part.memory_slots and not _idle_module(pick))
    )


def _idle_module(pick: Pick) -> bool:
    """Whether a present module stays out although a slot is free."""
    free: bool = pick["memory"].part.modules < pick["board"].part.memory_slots
    return pick["memory"].part.left_out > 0 and free


def module_capacity(world: World, pick: Pick) -> Verdict:
    most = pick["board"].part.memory_max_module_mib
    return verdict(most is None or all(works or mib <= most for works, mib, _, _ in _sets(world, pick)))


def memory_voltage(world: World, pick: Pick) -> Verdict:
    """Slots for less than the usual voltage of their generation take no module of more than that."""
    board = pick["board"].part
    usual = {"ddr2": 1800, "ddr3": 1500, "ddr4": 1200, "ddr5": 1100}[board.memory_generation]
    limit = board.memory_voltage_mv
    if today(pick, "board", "memory") or limit is None or limit >= usual:
        return FINE
    return verdict(all(mv is None or mv <= limit for mv, *_ in _makes(world, pick)))


def memory_chips(world: World, pick: Pick) -> Verdict:
    """Worlds: no socket with limits of its own. Size of a chip = size of the module / chips; 16 chips at
    best."""
    limit = pick["board"].part.memory_max_chip_mbit
    if today(pick, "board", "memory") or limit is None:
        return FINE
    return verdict(all(Fraction(8 * mib, chips or 16) < limit + 1 for _, chips, mib in _makes(world, pick)))


def _makes(world: World, pick: Pick) -> list[tuple[int | None, int | None, int]]:
    """(voltage, chips, MiB) of the modules that do not work on this board today."""
    memory: MemoryChoice = pick["memory"].part
    kit = memory.kit
    found = [] if kit is None else [(kit.voltage_mv, kit.chips, kit.module_mib)]
    if memory.with_kept and not pick["board"].kept:
        found += [(m.voltage_mv, m.chips, m.capacity_mib) for m in _kept_rows(world, memory.left_out)]
    return found


def memory_capacity(world: World, pick: Pick) -> Verdict:
    total = pick["memory"].part.total_mib
    board, cpu = pick["board"].part.memory_max_mib, pick["cpu"].part.memory_max_mib
    on_board = today(pick, "board", "memory") or total <= board
    return verdict(on_board and (today(pick, "cpu", "memory") or cpu is None or total <= cpu))


def data_rate(pick: Pick) -> int | None:
    """Lowest rate of module, processor, board, and of the board with two modules in a channel."""
    board, memory = pick["board"].part, pick["memory"].part
    rates = [
        memory.rate_mts,
        board.memory_max_rate_mts,
        dict(pick["cpu"].part.memory_rates).get(memory.generation),
    ]
    if ceil(Fraction(memory.modules, board.memory_channels)) > 1:
        rates.append(board.memory_two_per_channel_rate_mts)
    return min(rate for rate in rates if rate is not None)


def milli_channels(pick: Pick) -> int:
    """Total / largest channel, in thousandths, of the most even layout of the modules on the channels."""
    board, memory = pick["board"].part, pick["memory"].part
    channels = min(board.memory_channels, pick["cpu"].part.memory_channels)
    room = board.memory_slots // channels
    sizes = memory.module_mib
    largest = None
    for layout in product(range(channels), repeat=len(sizes)):
        if any(layout.count(c) > room for c in range(channels)):
            continue
        fullest = max(sum(s for s, at in zip(sizes, layout, strict=True) if at == c) for c in range(channels))
        largest = fullest if largest is None else min(largest, fullest)
    return 1000 if largest is None else floor(Fraction(1000 * sum(sizes), largest) + Fraction(1, 2))


def usable_mib(world: World, memory: MemoryChoice) -> int | None:
    limit = None if world.system is None else world.system.memory_limit_mib
    return memory.total_mib if limit is None or memory.total_mib is None else min(limit, memory.total_mib)


Rule = Callable[[World, Pick], Verdict]
RULES: list[tuple[tuple[str, ...], Rule]] = [
    (("board", "case"), outline),
    (("board", "case"), holes),
    (("board", "case"), aperture),
    (("board", "case", "graphics"), cards),
    (("cpu", "cooler", "case"), cooler_height),
    (("cpu", "cooler"), cooler_choice),
    (("board", "cooler"), cooler_mount),
    (("cpu", "cooler"), cooler_power),
    (("board", "cpu", "cooler"), paste),
    (("board", "cpu"), socket),
    (("board", "cpu"), support),
    (("board", "cpu"), firmware),
    (("board", "cpu"), board_power),
    (("board", "cpu", "memory"), memory_generation),
    (("board", "memory"), memory_module),
    (("board", "memory"), buffering),
    (("board", "memory"), memory_slots),
    (("board", "memory"), module_capacity),
    (("board", "memory"), memory_voltage),
    (("board", "memory"), memory_chips),
    (("board", "cpu", "memory"), memory_capacity),
]
