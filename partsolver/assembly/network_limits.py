"""The limits of the network's places for one set of parts, and the place that is nearest to its limit."""

from __future__ import annotations

from operator import itemgetter

from partsolver.assembly.card_adapters import missing_sockets
from partsolver.assembly.currents import NOTHING
from partsolver.assembly.leads import peripheral_limit_ma
from partsolver.assembly.loads import cpu_load
from partsolver.assembly.network import (
    RAILS,
    Flows,
    Node,
    PlaceLimits,
    cpu_way,
    flows,
    main_contacts_ma,
    network,
    today_flows,
    walk,
)
from partsolver.assembly.plugs import card_sockets, drive_plugs, feeding_plugs
from partsolver.assembly.supply import (
    GROUPS,
    Circuit,
    Mapped,
    Quantity,
    limit_of,
    rail_mappings,
    with_slack,
)
from partsolver.assembly.unproven import ALL_PROVEN, Unproven, shown_today, unproven_cards
from partsolver.catalog.records import Psu
from partsolver.problem.candidates import Candidate, Parts
from partsolver.problem.problem import Problem
from partsolver.standards.plugs import CARD_PLUGS, MAIN_PLUGS, cpu_plugs_limit_ma, main_plug_12v_limit_ma

_QUANTITIES: dict[str, Quantity] = {"12v": "12v", "5v": "5v", "3v3": "3v3"}


def today_mapping(problem: Problem, unproven: Unproven = ALL_PROVEN) -> Mapped:
    """What each group of plugs carries today, at work and while the disks start, as a mapping of its own;
    without what is only supposed (``unproven``)."""
    now = today_flows(problem)
    here = problem.survey
    supposed = {"main": unproven.cards.slot, "card": unproven.cards.plugs}
    if unproven.from_5v:
        way = cpu_way(here.board, here.psu)
        supposed[way] = supposed.get(way, NOTHING) + cpu_load(here.cpu, problem.settings)

    def circuit(group: str) -> Circuit:
        load, less = now.load_of((group,)), supposed.get(group, NOTHING)
        return Circuit(
            (group,),
            with_slack(problem, load.ma_12v - less.ma_12v),
            with_slack(problem, load.start_12v - less.start_12v),
        )

    return tuple(circuit(group) for group in GROUPS)


def most_loaded(mapping: Mapped, drawn: Flows) -> tuple[int, int, bool]:
    """(current, limit, while the disks start) of the circuit of a mapping with the least room: at work
    where one is overloaded then, since that lasts, else of both."""
    loaded = [(drawn.load_of(circuit.groups), circuit) for circuit in mapping]
    at_work = [(load.ma_12v, circuit.work_ma, False) for load, circuit in loaded]
    at_start = [(load.start_12v, circuit.start_ma, True) for load, circuit in loaded]

    def over(found: tuple[int, int, bool]) -> tuple[int, int]:
        return found[0] - found[1], found[0]

    worst = max(at_work, key=over)
    return worst if over(worst)[0] > 0 else max((worst, *at_start), key=over)


def mapping_fits(mapping: Mapped, drawn: Flows) -> bool:
    """Whether every circuit carries what hangs on it."""
    current, limit, _ = most_loaded(mapping, drawn)
    return current <= limit


def likely_mapping(problem: Problem, parts: Parts) -> Mapped:
    """The mapping of plugs to 12 V rails that the picture shows: the first plausible one that fits (the
    design guides' before others), else theirs; none where the label has one rail, or where the supply
    carries as much today."""
    mappings = rail_mappings(parts.psu, problem.settings)
    drawn = flows(problem, parts)
    fitting = [mapping for mapping in mappings if mapping_fits(mapping, drawn)]
    if not fitting and parts.candidate("psu").kept:
        unproven = Unproven(unproven_cards(problem, parts.board, parts.case, parts.graphics))
        if mapping_fits(today_mapping(problem, unproven), drawn):
            return ()
    return (fitting or list(mappings) or [()])[0]


def _main_plug_today_ma(problem: Problem, mated: str, unproven: Unproven) -> int:
    """What the 12 V contacts of the kept supply's main plug carry today, where no more of them mate than
    ``mated``; else 0. Less what is only supposed."""
    survey = problem.survey
    plugs = (survey.psu.main_plug, survey.board.main_plug)
    if not all(plug in MAIN_PLUGS for plug in plugs) or min(map(str, plugs)) > mated:
        return 0
    less = unproven.cards.slot.ma_12v
    if unproven.from_5v and survey.board.cpu_plugs == ():
        less += cpu_load(survey.cpu, problem.settings).ma_12v
    return with_slack(problem, today_flows(problem).main.ma_12v - less)


def main_plug_limits_ma(
    problem: Problem,
    supply: Candidate[Psu],
    header: str,
    with_processor: bool,
    unproven: Unproven = ALL_PROVEN,
) -> tuple[int, int]:
    """(what the 12 V contacts carry that main plug and header share, what they may never exceed): a tenth
    more, or what the same contacts carry today. Plug and header are "20" or "24". A processor that is fed
    through them (``with_processor``) gets no tenth more: its load lasts, and goes far above the usual one."""
    mated = min(str(supply.part.main_plug), header)
    usual = main_plug_12v_limit_ma(mated, problem.settings)
    over = 0 if with_processor else problem.settings["main_contact_over_percent"]
    most = usual * (100 + over) // 100
    return usual, max(most, _main_plug_today_ma(problem, mated, unproven)) if supply.kept else most


def place_limits(problem: Problem, parts: Parts) -> PlaceLimits:
    """What each place carries: contacts of plugs (settings and ratings), leads of drives at their best,
    rails as far as the supply is trusted or carries today."""
    settings, psu, board = problem.settings, parts.psu, parts.board
    unproven = shown_today(problem, parts)
    contacts: dict[tuple[str, str], int] = {}
    for rail in RAILS:
        found = main_contacts_ma(psu, board, rail, settings["main_20pin_12v_ma"])
        if found is not None:
            contacts["main", rail] = found
    if ("main", "12v") in contacts:
        contacts["main", "12v"] = main_plug_limits_ma(
            problem,
            parts.candidate("psu"),
            str(board.main_plug),
            board.cpu_plugs == (),
            unproven,
        )[1]
    if board.cpu_plugs and psu.cpu_plugs:
        contacts["cpu", "12v"] = cpu_plugs_limit_ma(
            feeding_plugs(board.cpu_plugs, psu.cpu_plugs), settings, hard=True
        )
    sockets = card_sockets(problem, board, parts.case, parts.graphics)
    if (
        sockets
        and psu.card_plugs is not None
        and not missing_sockets(problem, board, parts.case, parts.graphics, psu.card_plugs)
    ):
        contacts["card", "12v"] = sum(CARD_PLUGS[socket].rail_12v_ma for socket in sockets)
    leads: dict[tuple[str, str], int] = {}
    if any(drive_plugs(parts.drive, problem)):
        counts = [psu.sata_leads or 1, psu.peripheral_leads or 1]
        used = sum(n for n, plugs in zip(counts, drive_plugs(parts.drive, problem), strict=True) if plugs)
        leads["drives", "12v"] = used * peripheral_limit_ma(problem)
    supply = parts.candidate("psu")
    rails = {rail: limit_of(problem, supply, quantity, unproven) for rail, quantity in _QUANTITIES.items()}
    total = limit_of(problem, supply, "total", unproven)
    return PlaceLimits(
        contacts,
        leads,
        {rail: limit.value for rail, limit in rails.items() if limit is not None},
        None if total is None else total.value,
        {"processor fan": settings["fan_header_ma"]},
        likely_mapping(problem, parts),
    )


def network_of(problem: Problem, parts: Parts) -> Node:
    """The network of a set of parts with its limits."""
    return network(problem, parts, place_limits(problem, parts))


def tightest_node(root: Node) -> Node | None:
    """The place with the least room in thousandths of its limit; the highest up among equals. None without
    any limit."""
    narrow = [(share, node) for node in walk(root) if (share := node.share_permille) is not None]
    return max(narrow, key=itemgetter(0))[1] if narrow else None


def margin_mw(node: Node) -> int:
    """Room of a node as power: limit less usual load."""
    room = (node.limit or 0) - node.usual
    if node.rail == "":
        return room
    return room * {"12v": 120, "5v": 50, "3v3": 33}[node.rail] // 10
