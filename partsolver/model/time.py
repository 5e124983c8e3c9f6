"""Expected time and continuous power as linear expressions over the picks.

Both are sums over single parts but for three things that two or three parts make together: the memory's data
rate (lowest of module, processor and board), the channels it runs on, and integrated graphics fed by that
bandwidth. They become one-hot levels, so the sum stays linear in literals. The terms are those of the law
(``performance/law.py``); here stands only which literals carry which, and it is compared for every plan.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from typing import Any, cast

from partsolver.assembly.memory import board_rate_mts, milli_channels
from partsolver.assembly.pictures import drawing_card, own_graphics_score
from partsolver.base.records import record
from partsolver.catalog.records import Board
from partsolver.model.currents import Terms, load_groups
from partsolver.model.picks import BoolVar, Picks
from partsolver.performance.law import FALLBACK_RATE_MTS, bandwidth_kbs, law_of
from partsolver.problem.candidates import Candidate, DriveChoice, SlotName
from partsolver.problem.problem import Problem


@record
class Levels:
    """One-hot literals: data rate, thousandths of a channel, and their combinations (bandwidth in kB/s)."""

    rate: dict[int, BoolVar]
    milli: dict[int, BoolVar]
    bandwidth: dict[tuple[int, int], BoolVar]


def post_levels(picks: Picks) -> Levels:
    """Post the memory levels."""
    rate = _post_rate(picks)
    milli = _post_milli(picks)
    bandwidth: dict[tuple[int, int], BoolVar] = {}
    for mts, rate_literal in rate.items():
        for channel, milli_literal in milli.items():
            bandwidth[mts, channel] = picks.both(rate_literal, milli_literal)
    return Levels(rate, milli, bandwidth)


def _cap_board_one(candidate: Candidate) -> Hashable:
    return candidate.part.memory_max_rate_mts  # type: ignore[union-attr]


def _board_rates(candidate: Candidate) -> Hashable:
    board = candidate.part
    return board.memory_channels, board.memory_max_rate_mts, board.memory_two_per_channel_rate_mts  # type: ignore[union-attr]


def _board_limits(picks: Picks) -> Iterator[tuple[int, BoolVar]]:
    """What boards allow with so many modules, each with the literal of where it holds."""
    modules = picks.classes("memory", "modules", lambda c: c.part.modules)
    sample = {_board_rates(c): c.part for c, _ in picks.candidates("board")}
    for key, literal in picks.classes("board", "rates", _board_rates).items():
        by_limit: dict[int, list[BoolVar]] = {}
        for count, count_literal in modules.items():
            limit = board_rate_mts(sample[key], count)
            if limit is not None:
                by_limit.setdefault(limit, []).append(count_literal)
        for limit, counts in by_limit.items():
            everyone = len(counts) == len(modules)
            yield limit, literal if everyone else picks.both(literal, picks.any_of(counts))


def _processor_limits(picks: Picks) -> Iterator[tuple[int, BoolVar]]:
    """What processors allow with the board's generation, else with the modules'."""
    boards = picks.classes("board", "memory generation", lambda c: c.part.memory_generation)
    modules = picks.classes("memory", "generation", lambda c: c.part.generation)
    for rates, literal in picks.classes("cpu", "memory rates", lambda c: c.part.memory_rates).items():
        for name, value in rates or ():
            for generation, board in boards.items():
                if generation == name:
                    yield value, picks.both(literal, board)
                elif generation is None and name in modules:
                    yield value, picks.both(literal, board, modules[name])


def _post_rate(picks: Picks) -> dict[int, BoolVar]:
    """Rate = lowest of the known limits: ``at_least[r]`` is false exactly when some limit is below r."""
    own = picks.classes("memory", "rate", lambda c: c.part.rate_mts)
    limits = [(value, literal) for value, literal in own.items() if value is not None]
    limits += [*_board_limits(picks), *_processor_limits(picks)]
    steps = sorted({value for value, _ in limits}) or [FALLBACK_RATE_MTS]
    no_limit = _nothing_known(picks, [lit for _, lit in limits])
    at_least: list[BoolVar] = [picks.true]
    for step in steps[1:]:
        below = [literal for value, literal in limits if value < step]
        at_least.append(~picks.any_of([*below, *no_limit]))
    result = {}
    for i, step in enumerate(steps):
        higher = at_least[i + 1] if i + 1 < len(steps) else None
        result[step] = at_least[i] if higher is None else picks.both(at_least[i], ~higher)
    if no_limit and steps[0] != FALLBACK_RATE_MTS:
        # Nothing known at all: the fallback rate, as in the plain sum.
        lowest = result[steps[0]]
        result[steps[0]] = picks.both(lowest, ~no_limit[0])
        result[FALLBACK_RATE_MTS] = no_limit[0]
    return result


def _nothing_known(picks: Picks, limits: list[BoolVar]) -> list[BoolVar]:
    """The literal "no limit is known" if that can happen, else empty."""
    if any(map(picks.is_true, limits)):
        return []
    unlimited = [c for c, _ in picks.candidates("memory") if c.part.rate_mts is None]
    if not unlimited or all(c.part.memory_max_rate_mts is not None for c, _ in picks.candidates("board")):
        return []
    return [~picks.any_of(limits)] if limits else [picks.true]


def _post_milli(picks: Picks) -> dict[int, BoolVar]:
    """Thousandths of a channel by (channels of board and processor, slots) and the set of modules."""
    boards = picks.classes("board", "channels", lambda c: (c.part.memory_channels, c.part.memory_slots))
    cpus = picks.classes("cpu", "channels", lambda c: c.part.memory_channels)
    sets = picks.classes(
        "memory", "modules and sizes", lambda c: (_relative(c.part.module_mib), c.part.modules)
    )
    ways: dict[tuple[int, Any], list[BoolVar]] = {}
    for board_key, board in boards.items():
        board_channels, slots = cast("tuple[int | None, int | None]", board_key)
        for cpu_channels, cpu in cpus.items():
            count = min(board_channels or 1, cast("int | None", cpu_channels) or board_channels or 1)
            ways.setdefault((count, slots), []).append(picks.both(board, cpu))
    by_milli: dict[int, list[BoolVar]] = {}
    for (count, slots), pairs in ways.items():
        here: dict[int, list[BoolVar]] = {}
        for set_key, literal in sets.items():
            sizes, modules = cast("tuple[tuple[int, ...] | None, int]", set_key)
            here.setdefault(milli_channels(sizes, modules, count, slots), []).append(literal)
        for milli, literals in here.items():
            by_milli.setdefault(milli, []).append(picks.both(picks.any_of(pairs), picks.any_of(literals)))
    return {milli: picks.any_of(by_milli[milli]) for milli in sorted(by_milli)}


def _relative(sizes: tuple[int, ...] | None) -> tuple[int, ...] | None:
    """Sizes up to a common factor: only their proportions matter for interleaving."""
    if not sizes:
        return sizes
    least = min(sizes)
    return sizes if any(size % least for size in sizes) else tuple(size // least for size in sizes)


def time_terms(picks: Picks, levels: Levels) -> list[Terms]:
    """Groups of (literal, millionths of the reference time); one literal of a group is true at most."""
    law = law_of(picks.problem)
    compute: Terms = [(literal, law.compute_ppm(c.part)) for c, literal in picks.candidates("cpu")]
    memory: Terms = [
        (literal, law.memory_ppm(bandwidth_kbs(rate, milli)))
        for (rate, milli), literal in levels.bandwidth.items()
    ]
    groups = [
        [(picks.true, law.other_ppm)],
        compute,
        memory,
        _with_drive(picks, "board", "read by", law.drive_ppm),
        _with_drive(picks, "memory", "capacity on", law.capacity_ppm),
        _graphics_terms(picks, levels, picks.problem),
    ]
    return [[(literal, ppm) for literal, ppm in group if ppm] for group in groups]


def _with_drive(picks: Picks, slot: SlotName, name: str, term: Callable[[Any, DriveChoice], int]) -> Terms:
    """A term that a part of a slot and the system drive decide together."""
    result: Terms = []
    for drive, drive_literal in picks.candidates("drive"):

        def ppm(candidate: Candidate, part: Any = drive.part) -> int:
            return term(candidate.part, part)

        for value, literal in picks.classes(slot, f"{name} {drive.key}", ppm).items():
            result.append((picks.both(drive_literal, literal), value))
    return result


def card_literals(picks: Picks, problem: Problem) -> dict[Any, BoolVar]:
    """One literal per graphics card that makes the picture (None: no card), by board, case and graphics
    card."""
    ways: dict[Any, list[BoolVar]] = {}
    for case, graphics, here in picks.cases_and_cards():

        def card_of(candidate: Candidate[Board], case: Any = case.part, cards: Any = graphics.part) -> Any:
            return drawing_card(problem, candidate.part, case, cards)

        which = f"graphics card in {case.key} with {graphics.key}"
        for card, literal in picks.classes("board", which, card_of).items():
            ways.setdefault(card, []).append(picks.both(here, literal))
    return {card: picks.any_of(literals) for card, literals in ways.items()}


def _own_scores(picks: Picks, problem: Problem) -> dict[int | None, BoolVar]:
    """One literal per score of the graphics without a card: the processor's, else the board's."""
    ways: dict[int | None, list[BoolVar]] = {}
    boards = picks.classes(
        "board", "board graphics", lambda c: own_graphics_score(problem, c.part, c.kept, 0)
    )
    for score, cpu in picks.classes("cpu", "graphics", lambda c: c.part.graphics_score).items():
        for own, board in boards.items() if score == 0 else ():
            ways.setdefault(own, []).append(picks.both(cpu, board))
        if score != 0:
            ways.setdefault(score, []).append(cpu)
    return {score: picks.any_of(literals) for score, literals in ways.items()}


def _graphics_terms(picks: Picks, levels: Levels, problem: Problem) -> Terms:
    law = law_of(problem)
    if not law.use.share("graphics"):
        return []
    result: Terms = []
    own = _own_scores(picks, problem)
    for card, card_literal in card_literals(picks, problem).items():
        if card is not None:
            result.append((card_literal, law.card_ppm(card)))
            continue
        for score, score_literal in own.items():
            for (rate, milli), literal in levels.bandwidth.items():
                ppm = law.integrated_ppm(score, bandwidth_kbs(rate, milli))
                result.append((picks.both(card_literal, score_literal, literal), ppm))
    return result


def power_terms(picks: Picks) -> list[Terms]:
    """Groups of (literal, mW); one literal of a group is true at most. Their sum is the power at full
    load."""
    return load_groups(picks, "total", lambda load: load.mw)
