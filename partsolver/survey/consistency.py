"""Facts of a survey that do not go together. Each finding names both facts; none is corrected silently."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from partsolver.base.records import record
from partsolver.standards.boards import ACCEPTS, OUTLINES
from partsolver.standards.cards import AGP_SLOT_MW
from partsolver.standards.memory import RATES, SOLD_RATES
from partsolver.standards.plugs import PCI_SLOT_MW, SLOT_POWER, plugs_power_mw, slot_power_mw
from partsolver.survey.model import Card, Survey

# First year of each SATA rate and memory generation in desktop PCs (common practice).
FIRST_YEAR = {
    "sata-30": 2005,
    "sata-60": 2010,
    "sdr": 1996,
    "ddr": 2000,
    "ddr2": 2004,
    "ddr3": 2007,
    "ddr4": 2014,
    "ddr5": 2021,
}


@record
class Clash:
    """Two facts that do not go together: name of the check, (path, value) of each."""

    check: str
    first: tuple[str, str]
    second: tuple[str, str]


def modules_against_slots(survey: Survey) -> Iterator[Clash]:
    """More modules than slots."""
    modules = sum(m.count for m in survey.memory)
    slots = survey.board.memory_slots
    if slots is not None and modules > slots:
        yield Clash(
            "modules-against-slots", ("memory", f"{modules} modules"), ("board.memory_slots", str(slots))
        )


def memory_against_board(survey: Survey) -> Iterator[Clash]:
    """Modules of another generation than the board, or more memory than it takes."""
    for number, module in enumerate(survey.memory, 1):
        if (
            module.generation
            and survey.board.memory_generation
            and module.generation != survey.board.memory_generation
        ):
            yield Clash(
                "memory-against-board",
                (f"memory {number}.generation", module.generation),
                ("board.memory_generation", survey.board.memory_generation),
            )
        if module.module and survey.board.memory_module and module.module != survey.board.memory_module:
            yield Clash(
                "memory-against-board",
                (f"memory {number}.module", module.module),
                ("board.memory_module", survey.board.memory_module),
            )
        limit = survey.board.memory_max_module_mib
        if module.capacity_mib and limit and module.capacity_mib > limit:
            yield Clash(
                "memory-against-board",
                (f"memory {number}.capacity_mib", str(module.capacity_mib)),
                ("board.memory_max_module_mib", str(limit)),
            )


def rate_against_generation(survey: Survey) -> Iterator[Clash]:
    """A data rate outside the range that modules of the generation are sold with."""
    for number, module in enumerate(survey.memory, 1):
        if module.generation and module.rate_mts:
            rates = (*RATES[module.generation], *SOLD_RATES[module.generation])
            if not min(rates) <= module.rate_mts <= max(rates):
                yield Clash(
                    "rate-against-generation",
                    (f"memory {number}.rate_mts", str(module.rate_mts)),
                    (f"memory {number}.generation", module.generation),
                )


def years(survey: Survey) -> Iterator[Clash]:
    """Parts older than the technology they are said to have."""
    board_year = survey.board.year
    if board_year is not None:
        generation = survey.board.memory_generation
        if generation is not None and board_year < FIRST_YEAR[generation]:
            yield Clash("years", ("board.year", str(board_year)), ("board.memory_generation", generation))
        for fact, key in (("sata_6g_ports", "sata-60"), ("sata_3g_ports", "sata-30")):
            if getattr(survey.board, fact) and board_year < FIRST_YEAR[key]:
                yield Clash(
                    "years",
                    ("board.year", str(board_year)),
                    (f"board.{fact}", str(getattr(survey.board, fact))),
                )
        for drive in survey.drives:
            if (
                drive.sata_gbps10 == 60
                and board_year < FIRST_YEAR["sata-60"]
                and not survey.board.sata_6g_ports
            ):
                yield Clash(
                    "years",
                    ("board.year", str(board_year)),
                    (f"drive {drive.name}.sata_gbps10", "60 (it links at the port's rate)"),
                )


def supply_label(survey: Survey) -> Iterator[Clash]:
    """A supply whose rails sum below its rated power, or whose combined limit is above the sum of its
    rails."""
    psu = survey.psu
    if psu.rail_12v_ma is not None and psu.rated_w is not None:
        twelve = psu.combined_12v_ma or sum(psu.rail_12v_ma)
        low = psu.combined_5v_3v3_mw
        if low is None and psu.rail_5v_ma is not None and psu.rail_3v3_ma is not None:
            low = psu.rail_5v_ma * 5 + psu.rail_3v3_ma * 33 // 10
        if low is not None and twelve * 12 + low < psu.rated_w * 1000:
            yield Clash(
                "supply-label",
                ("psu.rated_w", str(psu.rated_w)),
                ("psu.rail_12v_ma", f"{twelve}, with 5 V and 3.3 V {(twelve * 12 + low) // 1000} W in all"),
            )
    if (
        psu.combined_12v_ma is not None
        and psu.rail_12v_ma is not None
        and psu.combined_12v_ma > sum(psu.rail_12v_ma)
    ):
        yield Clash(
            "supply-label",
            ("psu.combined_12v_ma", str(psu.combined_12v_ma)),
            ("psu.rail_12v_ma", str(sum(psu.rail_12v_ma))),
        )


def rails_of_label(survey: Survey) -> Iterator[Clash]:
    """A processor said to hang on a 12 V rail that the label does not have."""
    rails, own = survey.psu.rail_12v_ma, survey.psu.cpu_rail
    if rails is not None and own is not None and own > len(rails):
        yield Clash(
            "rails-of-label", ("psu.cpu_rail", str(own)), ("psu.rail_12v_ma", f"{len(rails)} rail(s) at 12 V")
        )


# Late AGP cards took a plug of the drives, which the survey does not list.
_DRIVE_PLUG = {"agp": " (of a card that takes a plug of the drives, leave power_plugs out)"}


def card_against_plugs(survey: Survey) -> Iterator[Clash]:
    """A card said to draw more than its slot (PCI Express: 75 W for graphics at x16, else 25 W; AGP: 42 W; PCI: 25 W)
    and its plugs may carry (75, 150 or 600 W each)."""
    for card in survey.cards:
        most = _most_card_mw(card)
        if card.load_mw is not None and most is not None and card.load_mw > most:
            plugs = "+".join(card.power_plugs or ()) or "none"
            yield Clash(
                "card-against-plugs",
                (f"card {card.name}.load_mw", str(card.load_mw)),
                (
                    f"card {card.name}.power_plugs",
                    f"{plugs}: {most} at most{_DRIVE_PLUG.get(card.bus or '', '')}",
                ),
            )


def _most_card_mw(card: Card) -> int | None:
    """What slot and plugs of a card carry at most; None where that is not known."""
    if card.bus == "pci":
        return PCI_SLOT_MW
    if card.bus not in ("pcie", "agp", None) or card.power_plugs is None:
        return None
    lanes = card.lanes if card.lanes in SLOT_POWER else 16
    slot = AGP_SLOT_MW if card.bus == "agp" else slot_power_mw(lanes, graphics=card.kind == "graphics")
    return slot + plugs_power_mw(card.power_plugs)


def board_against_case(survey: Survey) -> Iterator[Clash]:
    """A present board that does not go into the present case."""
    board, case = survey.board, survey.case
    for measure, free in (("width_mm", case.max_board_width_mm), ("depth_mm", case.max_board_depth_mm)):
        value = getattr(board, measure)
        if value is not None and free is not None and value > free:
            yield Clash(
                "board-against-case",
                (f"board.{measure}", str(value)),
                (f"case.max_board_{measure}", str(free)),
            )
    outline = OUTLINES.get(board.form_factor or "")
    # A tray of a maker's own shape may hold a board of a standard size.
    if (
        outline is not None
        and case.form_factor in ACCEPTS
        and case.form_factor != "own"
        and board.form_factor not in ACCEPTS[case.form_factor]
    ):
        yield Clash(
            "board-against-case",
            ("board.form_factor", str(board.form_factor)),
            ("case.form_factor", str(case.form_factor)),
        )


def plugs_against_board(survey: Survey) -> Iterator[Clash]:
    """A present board with a processor power header and a supply said to have no plug for it."""
    if survey.board.cpu_plugs and survey.psu.cpu_plugs == ():
        yield Clash(
            "plugs-against-board",
            ("board.cpu_plugs", "+".join(survey.board.cpu_plugs)),
            ("psu.cpu_plugs", "none"),
        )


def drives_against_ports(survey: Survey) -> Iterator[Clash]:
    """More SATA drives than ports, PATA drives than places."""
    board = survey.board
    counts = (board.sata_6g_ports, board.sata_3g_ports, board.sata_1g5_ports)
    sata = sum(1 for d in survey.drives if d.interface == "sata")
    if None not in counts and sata > sum(c or 0 for c in counts):
        yield Clash(
            "drives-against-ports",
            ("drive", f"{sata} SATA drives"),
            ("board.sata_6g_ports", f"{sum(c or 0 for c in counts)} SATA ports"),
        )
    pata = sum(1 for d in survey.drives if d.interface == "pata")
    if board.pata_channels is not None and pata > 2 * board.pata_channels:
        yield Clash(
            "drives-against-ports",
            ("drive", f"{pata} PATA drives"),
            ("board.pata_channels", str(board.pata_channels)),
        )


CHECKS: dict[str, Callable[[Survey], Iterator[Clash]]] = {
    "modules-against-slots": modules_against_slots,
    "memory-against-board": memory_against_board,
    "rate-against-generation": rate_against_generation,
    "years": years,
    "supply-label": supply_label,
    "rails-of-label": rails_of_label,
    "card-against-plugs": card_against_plugs,
    "board-against-case": board_against_case,
    "plugs-against-board": plugs_against_board,
    "drives-against-ports": drives_against_ports,
}


def clashes(survey: Survey) -> tuple[Clash, ...]:
    """All clashes, in the order of the checks."""
    return tuple(clash for check in CHECKS.values() for clash in check(survey))
