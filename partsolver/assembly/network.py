"""The current network: supply, rails, leads, plugs, contacts and consumers, as a small tree.

``flows`` tells what runs through each group of plugs; the power rules compare these with limits. ``network``
draws the same as a tree for the person: every node holds what its consumers draw, so each consumer's current
is counted exactly once on its way up (tests/properties/test_network.py adds them up again).
"""

from __future__ import annotations

from collections.abc import Iterable

from partsolver.assembly import loads
from partsolver.assembly.bought_cards import bought_cards_load, plan_load
from partsolver.assembly.bought_devices import load_of_pieces, pieces_bought
from partsolver.assembly.cards import card_question, placed_cards
from partsolver.assembly.converters import converters, converters_load
from partsolver.assembly.currents import NOTHING, Load
from partsolver.assembly.plugs import asks_for_plugs, question
from partsolver.assembly.supply import Circuit
from partsolver.assembly.unproven import cards_that_go
from partsolver.base.records import record
from partsolver.catalog.records import Board, Case, Cpu, DrivePart, Psu
from partsolver.problem.candidates import DriveChoice, GraphicsChoice, Parts
from partsolver.problem.problem import Problem
from partsolver.standards.plugs import MAIN_PLUGS
from partsolver.survey.model import Drive

RAILS = ("12v", "5v", "3v3")


@record
class Flows:
    """What runs through the processor plugs, the main plug, the leads of drives (an adapter too), the card
    plugs."""

    cpu: Load = NOTHING
    main: Load = NOTHING
    drives: Load = NOTHING
    card: Load = NOTHING

    @property
    def total(self) -> Load:
        return self.cpu + self.main + self.drives + self.card

    def load_of(self, groups: Iterable[str]) -> Load:
        """Some groups together."""
        found = NOTHING
        for group in groups:
            found = found + getattr(self, group)
        return found


def cpu_way(board: Board, psu: Psu) -> str:
    """Group through which the processor is fed: the main plug of a board without a processor header, an
    adapter on the drive leads where the supply has no processor plug, else the processor plugs."""
    if board.cpu_plugs == ():
        return "main"
    return "drives" if psu.cpu_plugs == () else "cpu"


def drive_way(drive: Drive | DrivePart) -> str:
    """Group through which a drive is fed: a lead of its own kind, or the board (M.2 sockets, USB ports)."""
    return "main" if drive.interface in ("m2-nvme", "m2-sata", "usb") else "drives"


def load_of_drive(drive: Drive | DrivePart, problem: Problem) -> Load:
    """Load of a kept or bought drive."""
    if isinstance(drive, Drive):
        return loads.drive_load(drive, problem.settings)
    return loads.bought_drive_load(DriveChoice(drive.id, None, drive), problem.settings)


def all_drives(choice: DriveChoice, problem: Problem) -> tuple[Drive | DrivePart, ...]:
    """The system drive and all others of the survey, the unneeded too: they stay connected."""
    system = choice.kept or choice.part
    others = [drive for drive in problem.drives if not drive.system]
    return (*([system] if system is not None else []), *others)


def main_load(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> Load:
    """What the board passes on or draws itself, without processor, memory and drives: itself, slots, fans,
    USB."""
    settings = problem.settings
    return (
        loads.board_load(board, settings)
        + loads.cards_load(problem, board, case, graphics).slot
        + loads.case_load(case, settings)
        + loads.cpu_fan_load(settings)
        + loads.usb_devices_load(problem)
        + loads.ps2_devices_load(problem)
    )


def main_plug_12v(
    problem: Problem, board: Board, cpu: Cpu, case: Case, graphics: GraphicsChoice, cpu_from_5v: bool = False
) -> tuple[int, int]:
    """(usual, highest) 12 V current through the main plug: M.2 modules, memory and USB devices take none."""
    load = main_load(problem, board, case, graphics)
    if board.cpu_plugs == () and not cpu_from_5v:
        load = load + loads.cpu_load(cpu, problem.settings)
    return load.ma_12v, load.most_12v


def flows(problem: Problem, parts: Parts, cpu_from_5v: bool = False) -> Flows:
    """Currents of a set of parts by group. Their total is ``loads.total_load``: bought extras, which
    take 5 V and 3.3 V through the board, are left out (the limits of groups are at 12 V), and so is a processor
    that is fed from 5 V."""
    settings = problem.settings
    found = {
        "cpu": NOTHING,
        "drives": NOTHING,
        "card": loads.cards_load(problem, parts.board, parts.case, parts.graphics).plugs,
    }
    found["main"] = main_load(problem, parts.board, parts.case, parts.graphics) + loads.memory_load(
        parts.memory, settings
    )
    if not cpu_from_5v:
        way = cpu_way(parts.board, parts.psu)
        found[way] = found[way] + loads.cpu_load(parts.cpu, settings)
    for drive in all_drives(parts.drive, problem):
        way = drive_way(drive)
        found[way] = found[way] + load_of_drive(drive, problem)
    return Flows(**found)


def today_flows(problem: Problem) -> Flows:
    """Currents of the PC as it is, by group."""
    found = problem.store.today_flows
    if found is None:
        survey, settings = problem.survey, problem.settings
        cards = loads.sum_of_cards(survey.cards, settings)
        main = (
            loads.board_load(survey.board, settings)
            + cards.slot
            + loads.case_load(survey.case, settings)
            + loads.cpu_fan_load(settings)
            + loads.usb_devices_load(problem)
            + loads.ps2_devices_load(problem)
            + loads.today_modules_load(survey.memory, settings)
        )
        groups = {"cpu": NOTHING, "drives": NOTHING, "card": cards.plugs, "main": main}
        way = cpu_way(survey.board, survey.psu)
        groups[way] = groups[way] + loads.cpu_load(survey.cpu, settings)
        for drive in survey.drives:
            way = drive_way(drive)
            groups[way] = groups[way] + loads.drive_load(drive, settings)
        found = problem.store.today_flows = Flows(**groups)
    return found


# -- the tree -----------------------------------------------------------------------------------------------------


@record
class Node:
    """One place of the network on one rail.

    kind: supply, rail, circuit (a 12 V rail of the label), lead, contacts, consumer. name: what it is (a word
    of the network or a part's name). rail: "12v", "5v", "3v3", "" for the supply (then mW). usual, most,
    start: what runs through it, mA (supply: mW, start 0). limit: what it carries for good, None where nothing
    narrow is there or it is not known. below: the nodes it feeds.
    """

    kind: str
    name: str
    rail: str
    usual: int
    most: int
    start: int
    limit: int | None = None
    below: tuple[Node, ...] = ()

    @property
    def share_permille(self) -> int | None:
        """Usual load in thousandths of the limit; None without a limit."""
        return None if not self.limit else 1000 * self.usual // self.limit


def consumers(problem: Problem, parts: Parts) -> tuple[tuple[str, str, Load], ...]:
    """(group, name, load) of every consumer; a card that has plugs stands in two groups with its two
    shares."""
    settings = problem.settings
    found = [
        (cpu_way(parts.board, parts.psu), "processor", loads.cpu_load(parts.cpu, settings)),
        ("main", "board", loads.board_load(parts.board, settings)),
        ("main", "memory", loads.memory_load(parts.memory, settings)),
        ("main", "processor fan", loads.cpu_fan_load(settings)),
        ("main", "case fans", loads.case_load(parts.case, settings)),
        ("main", "USB devices", loads.usb_devices_load(problem)),
        ("main", "PS/2 devices", loads.ps2_devices_load(problem)),
    ]
    for drive in all_drives(parts.drive, problem):
        name = drive.name if isinstance(drive, Drive) else problem.names.get(drive.id, drive.id)
        found.append((drive_way(drive), name, load_of_drive(drive, problem)))
    for card in placed_cards(problem, parts.board, parts.case, parts.graphics):
        own = loads.card_load(card, settings)
        found.append(("main", f"{card.name}: slot", own.slot))
        if own.plugs.most_12v:
            found.append(("card", f"{card.name}: plugs", own.plugs))
    bought = bought_cards_load(problem, parts.candidate("board"), parts.candidate("drive"))
    if bought.most_mw:
        found.append(("main", "bought controller cards", bought))
    pieces = load_of_pieces(
        problem,
        pieces_bought(problem, parts.candidate("board"), parts.candidate("case"), parts.graphics),
    )
    if pieces.most_mw:
        found.append(("main", "bought adapters, hubs and modules", pieces))
    number = converters(problem, parts.board, parts.case, parts.graphics)
    if number:
        found.append(("main", "display converters", converters_load(problem, number)))
    return tuple(found)


def _currents_on(load: Load, rail: str) -> tuple[int, int, int]:
    """(usual, highest, starting) current of a load on a rail."""
    if rail == "12v":
        return load.ma_12v, load.most_12v, load.start_12v
    if rail == "5v":
        return load.ma_5v, load.most_5v, load.start_5v
    return load.ma_3v3, load.most_3v3, load.ma_3v3


def node_over(kind: str, name: str, rail: str, below: Iterable[Node], limit: int | None = None) -> Node:
    """A node that feeds others: its currents are their sums."""
    nodes = tuple(below)
    return Node(
        kind,
        name,
        rail,
        sum(n.usual for n in nodes),
        sum(n.most for n in nodes),
        sum(n.start for n in nodes),
        limit,
        nodes,
    )


@record
class PlaceLimits:
    """Limits by (place, rail): contacts of the plugs, leads, rails; of the supply (mW); of board headers
    by consumer; 12 V circuits of the label with their limits (none: one circuit)."""

    contacts: dict[tuple[str, str], int]
    leads: dict[tuple[str, str], int]
    rails: dict[str, int]
    total_mw: int | None
    headers: dict[str, int]
    circuits: tuple[Circuit, ...] = ()


def main_contacts_ma(psu: Psu, board: Board, rail: str, per_contact_ma: int) -> int | None:
    """Current of a rail through the main plug: the contacts that both plug and header have; None where
    unknown or a maker's own."""
    plug, header = MAIN_PLUGS.get(psu.main_plug or ""), MAIN_PLUGS.get(board.main_plug or "")
    if plug is None or header is None:
        return None
    return min(plug.rail_contacts[rail], header.rail_contacts[rail]) * per_contact_ma


def network(problem: Problem, parts: Parts, limits: PlaceLimits) -> Node:
    """The whole tree: supply, rails, leads, contacts, consumers. Places without any current are left out."""
    listed = consumers(problem, parts)
    rails = []
    for rail in RAILS:
        places = []
        for group in ("cpu", "main", "drives", "card"):
            leaves = [
                Node("consumer", name, rail, *_currents_on(load, rail), limits.headers.get(name))
                for where, name, load in listed
                if where == group and any(_currents_on(load, rail))
            ]
            if leaves:
                contacts = node_over("contacts", group, rail, leaves, limits.contacts.get((group, rail)))
                places.append(node_over("lead", group, rail, (contacts,), limits.leads.get((group, rail))))
        if rail == "12v" and limits.circuits:
            places = _on_circuits(places, limits.circuits)
        rails.append(node_over("rail", rail, rail, places, limits.rails.get(rail)))
    whole = plan_load(problem, parts)
    return Node("supply", parts.psu.name, "", whole.mw, whole.most_mw, 0, limits.total_mw, tuple(rails))


def _on_circuits(places: Iterable[Node], circuits: Iterable[Circuit]) -> list[Node]:
    """The places of the 12 V rail by the circuit of the label that they hang on."""
    by_group = {place.name: place for place in places}
    found = []
    for circuit in circuits:
        hanging = [by_group[group] for group in circuit.groups if group in by_group]
        if hanging:
            found.append(node_over("circuit", "+".join(circuit.groups), "12v", hanging, circuit.work_ma))
    return found


def walk(node: Node) -> Iterable[Node]:
    """A node and all below it, top down."""
    yield node
    for below in node.below:
        yield from walk(below)


# -- what is not known --------------------------------------------------------------------------------------------


def unknown_card_question(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> str | None:
    """The question of a placed card with plugs whose load nobody stated; None when there is none."""
    for card in placed_cards(problem, board, case, graphics):
        if not loads.card_load(card, problem.settings).known:
            return card_question(graphics, card, "load_mw")
    return None


def gone_card_question(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> str | None:
    """The same of a card of today that has no place in the plan: what it draws tells what the supply carries
    today."""
    gone = cards_that_go(problem, board, case, graphics)
    return f"card:{gone[0].name}.load_mw" if gone else None


def widest_unstated(problem: Problem, parts: Parts) -> str | None:
    """Question of the fact that would narrow the whole load most: processor limit, card load or board
    power that is not stated; None when all are."""
    settings = problem.settings
    ranges: list[tuple[int, str]] = []
    if parts.cpu.power_limit_w is None:
        load = loads.cpu_load(parts.cpu, settings)
        ranges.append((load.most_mw - load.mw, question(parts.candidate("cpu"), "power_limit_w")))
    for card in placed_cards(problem, parts.board, parts.case, parts.graphics):
        if card.load_mw is None:
            own = loads.card_load(card, settings)
            whole = own.slot + own.plugs
            fact = "power_plugs" if asks_for_plugs(card) else "load_mw"
            ranges.append((whole.most_mw - whole.mw, card_question(parts.graphics, card, fact)))
    if parts.board.load_mw is None:
        load = loads.board_load(parts.board, settings)
        ranges.append((load.most_mw - load.mw, question(parts.candidate("board"), "load_mw")))
    return max(ranges)[1] if ranges else None
