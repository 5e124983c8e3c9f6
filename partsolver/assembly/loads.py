"""What each part draws: currents by rail and continuous power, all integers, all additive.

The processor is fed from 12 V through regulators of ``vrm_efficiency_percent`` at the lowest permitted 12 V
(ATX12V power supply design guide: 12 V - 5 %); typical loads of drives, memory and fans are settings with
their sources in ``standards/settings.py``. Continuous power is what the supply delivers (DC), not what the
socket draws.
"""

from __future__ import annotations

from collections.abc import Mapping

from partsolver.assembly.cards import placement
from partsolver.base.quantities import ceil_div
from partsolver.base.records import record
from partsolver.catalog.records import Board, Case, Cpu
from partsolver.problem.candidates import DriveChoice, MemoryChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.standards.plugs import cpu_power_limit_w
from partsolver.survey.model import Card, Drive


@record
class Load:
    """Continuous currents by rail, start-up current at 12 V, continuous power. Loads add."""

    ma_12v: int = 0
    ma_5v: int = 0
    ma_3v3: int = 0
    start_12v_ma: int = 0
    mw: int = 0

    def __add__(self, other: Load) -> Load:
        return Load(
            self.ma_12v + other.ma_12v,
            self.ma_5v + other.ma_5v,
            self.ma_3v3 + other.ma_3v3,
            self.start_12v_ma + other.start_12v_ma,
            self.mw + other.mw,
        )


def cpu_power_w(cpu: Cpu, settings: Mapping[str, int]) -> int:
    """Highest power the processor draws for more than a second; 0 when nothing is stated.

    Where the maker states only the rated heat: that x ``cpu_power_limit_percent``.
    """
    if cpu.power_limit_w is not None:
        return cpu.power_limit_w
    return 0 if cpu.tdp_w is None else cpu_power_limit_w(cpu.tdp_w, settings)


def cpu_12v_ma(cpu: Cpu, settings: Mapping[str, int]) -> int:
    """Current in the processor plug: P / (efficiency x supply voltage), rounded up."""
    return ceil_div(
        cpu_power_w(cpu, settings) * 1000 * 1000 * 100,
        settings["vrm_efficiency_percent"] * settings["cpu_supply_mv"],
    )


def cpu_load(cpu: Cpu, settings: Mapping[str, int]) -> Load:
    """The processor with its regulators and fan."""
    fan_ma = settings["cpu_fan_12v_ma"]
    mw = ceil_div(cpu_power_w(cpu, settings) * 1000 * 100, settings["vrm_efficiency_percent"])
    return Load(ma_12v=cpu_12v_ma(cpu, settings) + fan_ma, mw=mw + fan_ma * 12)


def board_load(board: Board, settings: Mapping[str, int]) -> Load:
    """The board without processor, memory and cards. Its current counts at 12 V as the design guide reserves
    it."""
    mw = board.load_mw if board.load_mw is not None else settings["board_default_mw"]
    ma = settings["board_rest_12v_ma"]
    return Load(
        ma_12v=ma,
        ma_5v=settings["board_5v_ma"],
        ma_3v3=settings["board_3v3_ma"],
        start_12v_ma=max(0, settings["startup_board_12v_ma"] - ma),
        mw=mw,
    )


def memory_load(memory: MemoryChoice, settings: Mapping[str, int]) -> Load:
    """Memory modules: power counts; their current is inside the board's reserve at 12 V."""
    return Load(mw=memory.modules * settings["memory_module_mw"])


def drive_load(drive: Drive, settings: Mapping[str, int]) -> Load:
    """A kept drive by its kind; its own start-up current where the survey states one."""
    if drive.interface == "m2-nvme":
        gen = min(max(drive.pcie_gen or 3, 3), 5)
        mw = settings[f"nvme{gen}_mw"]
        return Load(ma_3v3=ceil_div(mw * 10, 33), mw=mw)
    if drive.kind == "hdd35" or drive.kind is None:
        run = settings["hdd35_12v_ma"]
        start = drive.start_12v_ma if drive.start_12v_ma is not None else settings["hdd35_start_12v_ma"]
        return Load(
            ma_12v=run,
            ma_5v=settings["hdd35_5v_ma"],
            start_12v_ma=max(0, start - run),
            mw=settings["hdd35_mw"],
        )
    if drive.kind == "hdd25":
        return Load(ma_5v=settings["hdd25_5v_ma"], mw=settings["hdd25_mw"])
    if drive.kind == "ssd":
        return Load(ma_5v=settings["ssd_sata_5v_ma"], mw=settings["ssd_sata_mw"])
    if drive.kind == "optical":
        # Nobody burns a disc while the processor is at its peak: the idle values count.
        return Load(
            ma_12v=settings["optical_idle_12v_ma"],
            ma_5v=settings["optical_idle_5v_ma"],
            mw=settings["optical_idle_mw"],
        )
    return Load()


def bought_drive_load(choice: DriveChoice, settings: Mapping[str, int]) -> Load:
    """A system drive that is bought."""
    part = choice.part
    if part is None:
        return Load()
    return drive_load(
        Drive(name=part.id, kind=part.kind, interface=part.interface, pcie_gen=part.pcie_gen),  # type: ignore[arg-type]
        settings,
    )


def card_load(card: Card) -> Load:
    """A kept card: its stated power, else the most its slot and plugs carry (75 W for graphics, 25 W
    others)."""
    mw = card.load_mw
    if mw is None:
        mw = 75_000 if card.kind == "graphics" else 10_000
    return Load(ma_12v=ceil_div(mw, 12), mw=mw)


def fixed_load(problem: Problem) -> Load:
    """What stays whatever is chosen: the drives other than the system drive. Fans belong to the case."""
    total = Load()
    for drive in problem.survey.drives:
        if not drive.system and drive.interface != "usb":
            total = total + drive_load(drive, problem.settings)
    return total


def system_drive_load(choice: DriveChoice, settings: Mapping[str, int]) -> Load:
    """The chosen system drive."""
    return (
        drive_load(choice.kept, settings) if choice.kept is not None else bought_drive_load(choice, settings)
    )


def case_load(case: Case, settings: Mapping[str, int]) -> Load:
    """The case's fans."""
    fans = case.fans if case.fans is not None else 1
    return Load(ma_12v=fans * settings["case_fan_12v_ma"], mw=fans * settings["case_fan_mw"])


def cards_load(problem: Problem, board: Board, case: Case) -> Load:
    """The kept cards that have a place on this board."""
    names = {name for name, _ in placement(problem, board, case).placed}
    total = Load()
    for card in problem.survey.cards:
        if card.name in names:
            total = total + card_load(card)
    return total


# What the load of the whole PC and the trust in its supply (plugs.supply_factor_percent) read of the parts,
# for the rules that compare the two.
LOAD_READS: Mapping[SlotName, tuple[str, ...]] = {
    "board": ("load_mw", "slots"),
    "cpu": ("power_limit_w", "tdp_w"),
    "memory": ("modules",),
    "psu": ("combined_12v_ma", "combined_5v_3v3_mw", "main_plug", "rail_12v_ma", "rated_w", "year"),
    "case": ("fans", "max_card_length_mm", "slot_height", "slot_openings"),
    "drive": ("kept", "part.interface", "part.kind", "part.pcie_gen"),
}


def total_load(problem: Problem, parts: Parts) -> Load:
    """Sum over the whole PC."""
    settings = problem.settings
    return (
        board_load(parts.board, settings)
        + cpu_load(parts.cpu, settings)
        + memory_load(parts.memory, settings)
        + system_drive_load(parts.drive, settings)
        + case_load(parts.case, settings)
        + cards_load(problem, parts.board, parts.case)
        + fixed_load(problem)
    )
