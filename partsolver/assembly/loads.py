"""What each part draws: currents by rail, usual and highest, and while the disks start. Integers, additive.

Every consumer has a *usual* load (what it draws at full work) and a *highest* one (the worst its class is
known for). Where a maker or the survey states a load, both are that. Rules refuse by the usual load and warn
by the highest. Values that are stated nowhere are settings with their sources (``standards/setting_rows_*``).
All is what the supply delivers (DC), not what the socket draws.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from partsolver.assembly.cards import placed_cards
from partsolver.assembly.converters import converters_load, converters_today
from partsolver.assembly.currents import NOTHING, Load, load_of_currents, power_of_currents_mw, times_load
from partsolver.base.quantities import ceil_div
from partsolver.base.records import record
from partsolver.catalog.records import Board, Case, Cpu
from partsolver.problem.candidates import DriveChoice, GraphicsChoice, MemoryChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.standards.cards import CardDraw, card_draw
from partsolver.standards.processors import ProcessorPower, processor_power
from partsolver.survey.model import Card, Drive, MemoryModule

Settings = Mapping[str, int]
_NO_CURRENTS = (0, 0, 0)


# -- processor, board, memory, fans -------------------------------------------------------------------------------


def power_of_cpu(cpu: Cpu) -> ProcessorPower | None:
    """Rated heat, long-term and short-term limit of a processor; None when nothing is stated."""
    return processor_power(cpu.tdp_w, cpu.power_limit_w, cpu.socket, cpu.year, cpu.cores)


def cpu_load(cpu: Cpu, settings: Settings) -> Load:
    """The processor at its plug, regulators included, without its fan; nothing when nothing is stated of it.

    Usual: the full load for more than a second through a usual regulator at 12 V (measured at the plug: as it
    is). Highest: the short-term limit through a poor regulator at the lowest permitted 12 V.
    """
    power = power_of_cpu(cpu)
    if power is None:
        return NOTHING
    efficiency = 100 if power.at_plug else settings["vrm_typical_percent"]
    usual = ceil_div(power.typical_w * 100_000, efficiency * 12)
    divisor = settings["vrm_efficiency_percent"] * settings["cpu_supply_mv"]
    most = max(usual, ceil_div(power.short_most_w * 100_000_000, divisor))
    start = usual * settings["startup_processor_percent"] // 100
    return load_of_currents((usual, 0, 0), (most, 0, 0), (start, 0))


def highest_where_adapted(adapted: bool, settings: Settings) -> Callable[[Any], int]:
    """Highest 12 V current of a candidate processor where an adapter feeds it, else 0: what then tells
    processors apart."""
    return lambda candidate: cpu_load(candidate.part, settings).most_12v if adapted else 0


def board_era(year: int | None) -> str:
    """Which boards a board is like (settings ``board_<era>_*``); an unknown year counts as late: see
    ``board_load``."""
    if year is None or year > 2009:
        return "later"
    return "to2005" if year <= 2005 else "to2009"


def board_load(board: Board, settings: Settings) -> Load:
    """The board alone: chipset, network, sound. A stated power is spread over the rails as usual for its
    time.

    Of a board of unknown year the highest currents are those of 2006 to 2009.
    """
    era = board_era(board.year)
    usual = tuple(settings[f"board_{era}_{rail}_ma"] for rail in ("12v", "5v", "3v3"))
    if board.load_mw is not None:
        whole = max(1, power_of_currents_mw(*usual))
        return load_of_currents(tuple(ceil_div(ma * board.load_mw, whole) for ma in usual))  # type: ignore[arg-type]
    worst = "to2009" if board.year is None else era
    most = tuple(settings[f"board_{worst}_{rail}_most_ma"] for rail in ("12v", "5v", "3v3"))
    return load_of_currents(usual, most)  # type: ignore[arg-type]


def module_load(generation: str | None, settings: Settings) -> Load:
    """One memory module; the board's regulator takes it from 5 V (measured boards of 2010 to 2022)."""
    name = generation if f"{generation}_module_mw" in settings else "ddr4"
    usual, most = settings[f"{name}_module_mw"], settings[f"{name}_module_most_mw"]
    return load_of_currents((0, ceil_div(usual, 5), 0), (0, ceil_div(most, 5), 0))


def memory_load(memory: MemoryChoice, settings: Settings) -> Load:
    """All memory modules."""
    return times_load(module_load(memory.generation, settings), memory.modules)


def cpu_fan_load(settings: Settings) -> Load:
    """The processor's fan; it may run at its highest while the disks start."""
    usual, most = settings["cpu_fan_12v_ma"], settings["cpu_fan_most_12v_ma"]
    return load_of_currents((usual, 0, 0), (most, 0, 0), (most, 0))


def case_load(case: Case, settings: Settings) -> Load:
    """The case's fans; one where nobody counted them."""
    usual, most = settings["case_fan_12v_ma"], settings["case_fan_most_12v_ma"]
    fans = case.fans if case.fans is not None else 1
    return load_of_currents((usual, 0, 0), (most, 0, 0), (most, 0), fans)


# -- drives and USB devices ---------------------------------------------------------------------------------------


def drive_load(drive: Drive, settings: Settings) -> Load:
    """A drive by its kind; its own start-up current where the survey states one. A drive on a USB port: 5
    V only."""
    if drive.interface == "usb":
        usual = settings["usb_drive_ma"]
        return load_of_currents((0, usual, 0), (0, max(usual, ceil_div(settings["usb3_port_mw"], 5)), 0))
    if drive.interface == "m2-nvme":
        most = settings[f"nvme{min(max(drive.pcie_gen or 3, 3), 5)}_mw"]
        usual = min(settings["nvme_mw"], most)
        return load_of_currents((0, 0, ceil_div(usual * 10, 33)), (0, 0, ceil_div(most * 10, 33)))
    if drive.interface == "m2-sata":
        # 3.3 V in an M.2 socket; the power of a SATA drive.
        usual, most = (
            ceil_div(settings[name] * 50, 33) for name in ("ssd_sata_5v_ma", "ssd_sata_most_5v_ma")
        )
        return load_of_currents((0, 0, usual), (0, 0, most))
    return _cabled_drive_load(drive, settings)


def _cabled_drive_load(drive: Drive, settings: Settings) -> Load:
    if drive.kind == "hdd35" or drive.kind is None:
        start = drive.start_12v_ma if drive.start_12v_ma is not None else settings["hdd35_start_12v_ma"]
        run = settings["hdd35_12v_ma"], settings["hdd35_5v_ma"]
        return load_of_currents(
            (*run, 0),
            (settings["hdd35_most_12v_ma"], settings["hdd35_most_5v_ma"], 0),
            (max(start, run[0]), max(run[1], settings["hdd35_start_5v_ma"])),
        )
    if drive.kind == "hdd25":
        run_5v, start_5v = settings["hdd25_5v_ma"], settings["hdd25_start_5v_ma"]
        return load_of_currents((0, run_5v, 0), (0, max(run_5v, start_5v), 0), (0, max(run_5v, start_5v)))
    if drive.kind == "ssd":
        return load_of_currents((0, settings["ssd_sata_5v_ma"], 0), (0, settings["ssd_sata_most_5v_ma"], 0))
    if drive.kind == "optical":
        # Nobody burns a disc while the processor is at its peak; at the start it looks for a disc.
        work = settings["optical_12v_ma"], settings["optical_5v_ma"]
        return load_of_currents(
            (settings["optical_idle_12v_ma"], settings["optical_idle_5v_ma"], 0), (*work, 0), work
        )
    return load_of_currents(_NO_CURRENTS, (0, settings["floppy_5v_ma"], 0))


def bought_drive_load(choice: DriveChoice, settings: Settings) -> Load:
    """A system drive that is bought."""
    part = choice.part
    if part is None:
        return NOTHING
    return drive_load(
        Drive(name=part.id, kind=part.kind, interface=part.interface, pcie_gen=part.pcie_gen),  # type: ignore[arg-type]
        settings,
    )


def system_drive_load(choice: DriveChoice, settings: Settings) -> Load:
    """The chosen system drive."""
    return (
        drive_load(choice.kept, settings) if choice.kept is not None else bought_drive_load(choice, settings)
    )


def usb_devices_load(problem: Problem) -> Load:
    """The devices on USB ports: 5 V through the board."""
    settings = problem.settings
    number = sum(1 for device in problem.survey.devices if device.port == "usb")
    usual = settings["usb_device_ma"]
    most = max(usual, ceil_div(settings["usb2_port_mw"], 5))
    return load_of_currents((0, usual, 0), (0, most, 0), times=number)


def ps2_devices_load(problem: Problem) -> Load:
    """Keyboard and mouse of the old kind: 5 V through the board, also behind a lead from USB."""
    settings = problem.settings
    number = sum(1 for device in problem.survey.devices if device.port == "ps2")
    usual = settings["ps2_device_ma"]
    most = max(usual, settings["ps2_device_most_ma"])
    return load_of_currents((0, usual, 0), (0, most, 0), times=number)


def fixed_load(problem: Problem) -> Load:
    """What stays whatever is chosen: drives beside the system drive, the owner's devices, the processor's
    fan."""
    total = problem.store.fixed_load
    if total is None:
        total = cpu_fan_load(problem.settings) + usb_devices_load(problem) + ps2_devices_load(problem)
        for drive in problem.drives:
            if not drive.system:
                total = total + drive_load(drive, problem.settings)
        problem.store.fixed_load = total
    return total


# -- cards --------------------------------------------------------------------------------------------------------


@record
class CardLoad:
    """A card: through its slot, through its plugs, and whether the load is stated or follows from a card
    without plugs.

    Of a card with plugs whose load nobody stated, the most its slot and plugs may carry counts, and it is
    asked for.
    """

    slot: Load
    plugs: Load
    known: bool


NO_CARDS = CardLoad(NOTHING, NOTHING, True)


def card_load(card: Card, settings: Settings) -> CardLoad:
    """What one card draws. Raises nothing: an unknown bus counts as PCI Express."""
    draw = card_draw(card.kind, card.bus, card.lanes, card.height, card.power_plugs, card.load_mw, settings)

    def starting(load: Load) -> Load:
        percent = settings["startup_card_percent"] if card.kind == "graphics" else 100
        start = load.ma_12v * percent // 100
        return Load(
            load.ma_12v, load.ma_5v, load.ma_3v3, load.most_12v, load.most_5v, load.most_3v3, start, load.ma_5v,
            load.mw, load.most_mw,
        )  # fmt: skip

    usual, most = draw
    slot, plugs = (
        starting(load_of_currents(_currents(usual, place), _currents(most, place)))
        for place in ("slot", "plugs")
    )
    return CardLoad(slot, plugs, card.load_mw is not None or not card.power_plugs)


def _currents(draw: CardDraw, place: str) -> tuple[int, int, int]:
    return draw.slot if place == "slot" else (draw.plugs_12v, 0, 0)


def cards_load(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> CardLoad:
    """All cards that have a place, remembered by what it depends on."""
    key = (board.slots, case.id, graphics.id)
    found = problem.store.card_loads.get(key)
    if found is None:
        found = problem.store.card_loads[key] = sum_of_cards(
            placed_cards(problem, board, case, graphics), problem.settings
        )
    return found


def sum_of_cards(cards: tuple[Card, ...], settings: Settings) -> CardLoad:
    """Some cards together."""
    slot, plugs, known = NOTHING, NOTHING, True
    for card in cards:
        own = card_load(card, settings)
        slot, plugs, known = slot + own.slot, plugs + own.plugs, known and own.known
    return CardLoad(slot, plugs, known)


# -- the whole PC -------------------------------------------------------------------------------------------------

#: What a processor's figures are read from.
CPU_READS = ("cores", "power_limit_w", "socket", "tdp_w", "year")
#: What the supply's limits are read from (assembly/supply).
SUPPLY_READS = (
    "combined_12v_ma",
    "combined_5v_3v3_mw",
    "cpu_plugs",
    "main_plug",
    "rail_12v_ma",
    "rail_5v_ma",
    "rated_w",
    "year",
)
#: What the load of the whole PC and the limits of its supply read of the parts.
LOAD_READS: Mapping[SlotName, tuple[str, ...]] = {
    "board": ("cpu_plugs", "load_mw", "slots", "year"),
    "cpu": CPU_READS,
    "memory": ("generation", "modules"),
    "psu": SUPPLY_READS,
    "case": ("fans", "max_card_length_mm", "slot_height", "slot_openings"),
    "drive": ("kept", "part.interface", "part.kind", "part.pcie_gen"),
    "graphics": ("card",),
}
#: Tables of the survey that the load of today's PC is read from.
TODAY_SURVEY = ("board", "cards", "case", "cpu", "devices", "displays", "drives", "memory", "pc")


_OF_SLOT: Mapping[SlotName, Callable[[Any, Settings], Load]] = {
    "board": board_load, "cpu": cpu_load, "memory": memory_load, "drive": system_drive_load, "case": case_load
}  # fmt: skip


def total_load(problem: Problem, parts: Parts) -> Load:
    """Sum over the whole PC without extras that are bought (``bought_cards.plan_load``); of the parts asked
    for last it is remembered (several rules ask one after the other)."""
    last = problem.store.last_total_load
    if last is not None and last[0] == parts.picked:
        return last[1]
    known = problem.store.part_loads
    cards = cards_load(problem, parts.board, parts.case, parts.graphics)
    total = cards.slot + cards.plugs + fixed_load(problem)
    for candidate in parts.picked:
        if candidate.slot in _OF_SLOT:
            own = known.get(candidate)
            if own is None:
                own = known[candidate] = _OF_SLOT[candidate.slot](candidate.part, problem.settings)
            total = total + own
    problem.store.last_total_load = parts.picked, total
    return total


def today_modules_load(memory: tuple[MemoryModule, ...], settings: Settings) -> Load:
    """The modules that are in the PC today."""
    total = NOTHING
    for row in memory:
        total = total + times_load(module_load(row.generation, settings), row.count)
    return total


def today_load(problem: Problem) -> Load:
    """The PC as it is, by the same figures, with all that the brief leaves out of the next one: what its supply
    carries today."""
    found = problem.store.today_load
    if found is None:
        survey, settings = problem.survey, problem.settings
        cards = sum_of_cards(survey.cards, settings)
        found = (
            board_load(survey.board, settings)
            + cpu_load(survey.cpu, settings)
            + today_modules_load(survey.memory, settings)
            + case_load(survey.case, settings)
            + cards.slot
            + cards.plugs
            + cpu_fan_load(settings)
            + usb_devices_load(problem)
            + ps2_devices_load(problem)
            + converters_load(problem, converters_today(problem))
        )
        for drive in survey.drives:
            found = found + drive_load(drive, settings)
        problem.store.today_load = found
    return found
