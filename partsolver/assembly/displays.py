"""Which display hangs on which output, and which adapter that takes.

Every output carries one display; graphics with few clock generators make only so many pictures of their own
clock (`DisplayUnit`). A display is reached directly (plain cable) or through one adapter that the
catalogue sells, at the pixel clock of its own mode. The assignment that leaves the fewest displays dark, then
shows the fewest below their own rate, then needs the fewest adapters, then the cheapest ones, then comes
first by output, is found by trying all (outputs <= 5, displays <= 3).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from partsolver.base.records import record
from partsolver.catalog.records import Extra
from partsolver.problem.problem import Problem
from partsolver.standards.video import (
    ANALOGUE_LINKS,
    BEST_VERSION,
    NO_LIMITS,
    PAYLOAD_KBITS,
    Connection,
    DisplayUnit,
    connections,
    required_khz,
    sends_tmds,
)
from partsolver.survey.model import Display

# A display whose refresh rate is not known is taken to run at the usual one (common practice).
USUAL_REFRESH_HZ = 60
# Rates that a display of a higher own rate also takes at its own size (common practice; displays reference,
# section 7.3); 30 Hz only the large ones of 3840 pixels and more.
FALLBACK_HZ = (120, 60, 30)
SLOWEST_FROM_PX = {30: 3840}


@record
class Link:
    """How one display is reached: output and input link ids, kind (direct, passive, active), adapters that
    serve.

    needed_khz: clock of its mode on this link (0 when the mode is not known); limit_khz: what the link
    carries, with the first adapter; adapters: extra ids, sorted, empty for a plain cable; fallback_hz: the
    lower rate at which its own size fits, 0 for its own mode.
    """

    output: str
    input: str
    kind: str
    needed_khz: int
    limit_khz: int
    adapters: tuple[str, ...]
    fallback_hz: int = 0


@record
class Reach:
    """One display of the assignment; ``link`` None: dark; ``assumed``: its inputs are not known; ``open``:
    dark with the least that the links of unknown version carry, not with the most: ``outputs`` or
    ``inputs`` of unknown version decide, or whether the display takes reduced blanking on an analogue link
    (``blanking``)."""

    display: str
    link: Link | None
    assumed: bool = False
    open: Literal["", "outputs", "inputs", "blanking"] = ""


def _named(word: str, link: str, digital: bool) -> bool:
    """Whether an adapter's word for its end means this link: the id, its family, or a DVI-D plug in a DVI-I
    socket."""
    if word == link or link.startswith(f"{word}-") or (word == "dp" and link.startswith("dp++")):
        return True
    return digital and word == "dvi-d" and link.startswith("dvi-i")


def needed_khz(display: Display, analogue: bool) -> int:
    """Clock that a display's own mode needs, kHz; 0 where its size is not known."""
    if display.width_px is None or display.height_px is None:
        return 0
    # On an analogue link the usual blanking, unless the display is known to take the reduced one there.
    usual = analogue and not display.reduced_blanking
    return required_khz(display.width_px, display.height_px, display.refresh_hz or USUAL_REFRESH_HZ, usual)


def analogue_khz(problem: Problem, unit: DisplayUnit) -> int | None:
    """Highest clock of the analogue sockets of graphics, where it is less than the setting of all says."""
    return problem.settings["active_vga_adapter_khz"] if unit.converted else unit.analogue_khz


def _carries(problem: Problem, unit: DisplayUnit, output: str, way: Connection) -> int:
    """Highest clock of a way, kHz: what its link carries and what the graphics send."""
    own = None
    if way.analogue and output in ANALOGUE_LINKS:
        own = analogue_khz(problem, unit)
    elif sends_tmds(output, way.kind, way.analogue):
        own = unit.tmds_khz
    return way.limit_khz if own is None else min(way.limit_khz, own)


def _serves(
    problem: Problem, extra: Extra, output: str, entry: str, display: Display, unit: DisplayUnit
) -> Link | None:
    for way in connections(output, entry, settings=problem.settings, adapter_khz=extra.limit_khz):
        works = way.kind == "passive" or (way.kind == "active" and extra.active)
        ends = any(_named(w, output, not way.analogue) for w in extra.takes) and any(
            _named(w, entry, not way.analogue) for w in extra.gives
        )
        needed, limit = needed_khz(display, way.analogue), _carries(problem, unit, output, way)
        if works and ends and needed <= limit:
            return Link(output, entry, way.kind, needed, limit, (extra.id,))
    return None


def link_of(problem: Problem, output: str, display: Display, unit: DisplayUnit = NO_LIMITS) -> Link | None:
    """The best way from an output to a display: its own mode by a plain cable, else through adapters, else a
    lower rate likewise; None when none does."""
    found = _link_at(problem, output, display, unit)
    own = display.refresh_hz or USUAL_REFRESH_HZ
    for rate in FALLBACK_HZ if found is None else ():
        lower = None
        if rate < own and (display.width_px or 0) >= SLOWEST_FROM_PX.get(rate, 0):
            lower = _link_at(problem, output, display.model_copy(update={"refresh_hz": rate}), unit)
        if lower is not None:
            return replace(lower, fallback_hz=rate)
    return found


def _link_at(problem: Problem, output: str, display: Display, unit: DisplayUnit) -> Link | None:
    if display.inputs is None:
        return Link(output, "unknown", "direct", 0, 0, ())
    for entry in display.inputs:
        if output not in PAYLOAD_KBITS or entry not in PAYLOAD_KBITS:
            continue
        for way in connections(output, entry, settings=problem.settings):
            needed, limit = needed_khz(display, way.analogue), _carries(problem, unit, output, way)
            if way.kind == "direct" and needed <= limit:
                return Link(output, entry, "direct", needed, limit, ())
    found: list[Link] = []
    for extra in problem.extras_of("display-adapter"):
        links = [
            _serves(problem, extra, output, entry, display, unit)
            for entry in display.inputs
            if {output, entry} <= set(PAYLOAD_KBITS)
        ]
        found += [link for link in links if link is not None][:1]
    if not found:
        return None
    first = found[0]
    ids = tuple(link.adapters[0] for link in found)
    return Link(first.output, first.input, first.kind, first.needed_khz, first.limit_khz, ids)


def assign(
    problem: Problem, given: tuple[str, ...], most: int | None = None, unit: DisplayUnit = NO_LIMITS
) -> tuple[Reach, ...]:
    """The best assignment of the required displays, in the survey's order, to outputs; ``most``: pictures
    that their source makes at once (None: as many as there are outputs); ``unit``: what it does less than the
    outputs say."""
    most = len(given) if most is None else min(most, len(given))
    key = (given, most, unit)
    found = problem.store.displays.get(key)
    if found is None:
        found = problem.store.displays[key] = _assign(problem, given, most, unit)
    return found


def _assign(problem: Problem, given: tuple[str, ...], most: int, unit: DisplayUnit) -> tuple[Reach, ...]:
    """The assignment with the least that every link carries, and what a version nobody knows, or reduced
    blanking, leaves open."""
    displays = [display for display in problem.survey.displays if display.required]
    sure = _best(problem, displays, given, most, unit)
    if all(reach.link is not None for reach in sure):
        return sure
    # In the survey's order: of equal ways the first display gets the picture here as it does above.
    best_given = tuple(BEST_VERSION.get(link, link) for link in given)
    versions = [_of_best_version(display) for display in displays]
    reduced = [_of_reduced_blanking(display) for display in versions]

    def lit(wishful: Sequence[Display]) -> set[str]:
        """The displays that get a picture so; none where nothing is hoped for."""
        if best_given == given and wishful == displays:
            return set()
        reached = _best(problem, wishful, best_given, most, unit)
        return {reach.display for reach in reached if reach.link is not None}

    where: Literal["outputs", "inputs"] = "outputs" if best_given != given else "inputs"
    by_version = lit(versions)
    by_blanking = lit(reduced) if reduced != versions else set()

    def left_open(reach: Reach) -> Literal["", "outputs", "inputs", "blanking"]:
        if reach.link is not None:
            return ""
        if reach.display in by_version:
            return where
        return "blanking" if reach.display in by_blanking else ""

    return tuple(replace(reach, open=left_open(reach)) for reach in sure)


def _of_best_version(display: Display) -> Display:
    """A display whose inputs of unknown version are the best there are."""
    if display.inputs is None:
        return display
    return display.model_copy(update={"inputs": tuple(BEST_VERSION.get(i, i) for i in display.inputs)})


def _of_reduced_blanking(display: Display) -> Display:
    """A display that takes reduced blanking on its analogue input where nobody knows it."""
    if display.reduced_blanking is not None or not ANALOGUE_LINKS.intersection(display.inputs or ()):
        return display
    return display.model_copy(update={"reduced_blanking": True})


def clocks_taken(links: Sequence[Link]) -> int:
    """Clock generators that pictures take: one each, all those over DisplayPort together one."""
    over_dp = [link.output.startswith("dp") and link.kind != "passive" for link in links]
    return over_dp.count(False) + any(over_dp)


def _best(
    problem: Problem, displays: Sequence[Display], given: tuple[str, ...], most: int, unit: DisplayUnit
) -> tuple[Reach, ...]:
    links = [[link_of(problem, output, display, unit) for output in given] for display in displays]
    best: tuple[tuple[int, int, int, int], tuple[int | None, ...]] | None = None

    def cost(link: Link) -> tuple[int, int, int]:
        """1 below its own rate, 1 with an adapter, the adapter's least price."""
        slower = int(link.fallback_hz > 0)
        if not link.adapters:
            return slower, 0, 0
        return slower, 1, min(offer.price for i in link.adapters for offer in problem.extra_offers[i])

    def has_clock(chosen: tuple[int | None, ...], link: Link) -> bool:
        """Whether there is a clock generator for one picture more."""
        if unit.clocks is None:
            return True
        lit = [found for row, i in zip(links, chosen, strict=False) if i is not None and (found := row[i])]
        return clocks_taken([*lit, link]) <= unit.clocks

    def search(depth: int, spent: tuple[int, int, int, int], chosen: tuple[int | None, ...]) -> None:
        nonlocal best
        if best is not None and spent >= best[0]:
            return
        if depth == len(displays):
            best = (spent, chosen)
            return
        dark, slow, adapters, price = spent
        for index, link in enumerate(links[depth]):
            lit = len(chosen) - chosen.count(None)
            if link is not None and index not in chosen and lit < most and has_clock(chosen, link):
                slower, adapter, its_price = cost(link)
                sums = (dark, slow + slower, adapters + adapter, price + its_price)
                search(depth + 1, sums, (*chosen, index))
        search(depth + 1, (dark + 1, slow, adapters, price), (*chosen, None))

    search(0, (0, 0, 0, 0), ())
    assert best is not None
    return tuple(
        Reach(display.name, None if index is None else links[i][index], display.inputs is None)
        for i, (display, index) in enumerate(zip(displays, best[1], strict=True))
    )
