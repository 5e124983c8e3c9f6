"""What a supply is trusted with: its label, its age, what it carries today, and which plug hangs on which 12
V rail.

Each margin is counted once. The share of the label that a supply is trusted with (settings ``psu_trust_*``)
holds age and use; it applies to what heats the whole supply: 12 V together, 5 V, 3.3 V, both together, total
power, standby. A single 12 V rail of the label is a protection limit: it counts as written. What the present
PC draws from its supply today, the same supply carries tomorrow: no lower limit refuses it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from partsolver.assembly.currents import Load
from partsolver.assembly.loads import cpu_load, today_load
from partsolver.assembly.unproven import ALL_PROVEN, Unproven, at_5v
from partsolver.base.quantities import ceil_div
from partsolver.base.records import record
from partsolver.catalog.records import Psu
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.problem.years import is_to_come
from partsolver.standards.rails import guaranteed_efficiency_percent, trust_percent

# Day-and-night use ages a supply as if it were of the oldest class from this age on (60,000 hours are seven
# years; reference "loads, rails, leads" section 8; common practice).
ALWAYS_ON_OLD_YEARS = 7
OLDEST_CLASS_YEARS = 13

#: Label of a supply made for 5 V loads: so much at 5 V in a supply of so little power ("loads, rails, leads"
#: 5d).
EARLY_5V_MA = 28_000
EARLY_RATED_W = 450
#: Single rails of labels up to this year are limited circuits of their own (ATX12V design guide 2.0; dropped
#: about 2007, from memory).
LIMITED_RAILS_TO_YEAR = 2007

#: Standby outputs give 2 A from this year on, 0.7 to 1 A before (loads reference section 6).
STANDBY_2A_FROM = 2004

#: Currents while the disks start. What today's disks draw at their start on today's board is no proof for
#: another board: there the share of the label decides, however the PC starts now.
STARTS = ("start 12v", "start 5v")
#: The same output at work.
AT_WORK: Mapping[Quantity, Quantity] = {"start 12v": "12v", "start 5v": "5v"}
STARTED_TODAY: tuple[SlotName, ...] = ("board", "psu")
Quantity = Literal["12v", "5v", "3v3", "5v+3v3", "total", "start 12v", "start 5v"]


def supply_trust_percent(problem: Problem, psu: Psu) -> int:
    """Share of its label that a supply is trusted with, for age and day-and-night use; an unknown year
    counts as old, and so does one to come."""
    year, today = psu.year, problem.today
    age = None if year is None or is_to_come(year, today) else max(0, today.year - year)
    if age is not None and age > ALWAYS_ON_OLD_YEARS and problem.survey.pc.always_on:
        age = max(age, OLDEST_CLASS_YEARS)
    return trust_percent(age, problem.settings)


def mains_mw(psu: Psu, load_mw: int) -> int | None:
    """Power from the mains for a load, by the efficiency that the supply's 80 PLUS level guarantees there
    (230 V); None where it has none, or its rating is not known."""
    if not psu.rated_w or psu.efficiency in (None, "none"):
        return None
    percent = guaranteed_efficiency_percent(str(psu.efficiency), ceil_div(load_mw, psu.rated_w * 10))
    return None if percent is None else ceil_div(load_mw * 100, percent)


def made_for_5v(psu: Psu) -> bool:
    """Whether a supply is of the time when most of its power was meant for 5 V."""
    if psu.year is not None:
        early = psu.year < 2005
    else:
        early = psu.main_plug == "20"
    heavy = (psu.rail_5v_ma or 0) >= EARLY_5V_MA and (psu.rated_w or EARLY_RATED_W + 1) <= EARLY_RATED_W
    return early and (psu.cpu_plugs == () or heavy)


def early_standby(psu: Psu) -> bool:
    """Whether a supply may be of the time when standby outputs were weak: by its year, else by its main
    plug."""
    return psu.main_plug == "20" if psu.year is None else psu.year < STANDBY_2A_FROM


def label_12v_ma(psu: Psu, settings: Mapping[str, int]) -> int | None:
    """12 V current of the label: its combined limit; one rail's own; else the sum of the rails, at most
    the usual share of the rating (the sum of several rails is more than a supply gives). None when the
    label is not known."""
    if psu.combined_12v_ma is not None:
        return psu.combined_12v_ma
    if not psu.rail_12v_ma:
        return None
    if len(psu.rail_12v_ma) == 1 or psu.rated_w is None:
        return sum(psu.rail_12v_ma)
    share = settings["psu_12v_share_early_percent" if made_for_5v(psu) else "psu_12v_share_percent"]
    return min(sum(psu.rail_12v_ma), psu.rated_w * share * 10 // 12)


def label_start_ma(psu: Psu, settings: Mapping[str, int]) -> int | None:
    """12 V current for some seconds: the label's peak; of a label with several rails that states none the
    design guide's, which lets one of them pass its value (setting rail_peak_extra_ma); else the continuous
    value."""
    if psu.peak_12v_ma is not None:
        return psu.peak_12v_ma
    lasting = label_12v_ma(psu, settings)
    several = lasting is not None and len(psu.rail_12v_ma or ()) > 1
    return lasting + settings["rail_peak_extra_ma"] if lasting is not None and several else lasting


def label_low_mw(psu: Psu, settings: Mapping[str, int]) -> int | None:
    """Power of 5 V and 3.3 V together: the label's, else the usual share of the rating."""
    if psu.combined_5v_3v3_mw is not None or psu.rated_w is None:
        return psu.combined_5v_3v3_mw
    return psu.rated_w * settings["psu_low_share_percent"] * 10


def label_of(psu: Psu, quantity: Quantity, settings: Mapping[str, int]) -> int | None:
    """The label's value (mA or mW) for a quantity; None when it is not known."""
    if quantity == "12v":
        return label_12v_ma(psu, settings)
    if quantity == "start 12v":
        return label_start_ma(psu, settings)
    if quantity in ("5v", "start 5v"):
        return psu.rail_5v_ma
    if quantity == "3v3":
        return psu.rail_3v3_ma
    if quantity == "5v+3v3":
        return label_low_mw(psu, settings)
    return None if psu.rated_w is None else psu.rated_w * 1000


def trusted(problem: Problem, psu: Psu, quantity: Quantity) -> int | None:
    """Part of a label value that a plan may use, rounded down; None when the label does not say."""
    label = label_of(psu, quantity, problem.settings)
    return None if label is None else label * supply_trust_percent(problem, psu) // 100


def amount(load: Load, quantity: Quantity, highest: bool = False) -> int:
    """Usual (or highest) value of a load in a quantity: mA, or mW for powers. While the disks start there
    is one."""
    if quantity in ("start 12v", "start 5v"):
        return load.start_12v if quantity == "start 12v" else load.start_5v
    if quantity == "total":
        return load.most_mw if highest else load.mw
    if quantity == "5v+3v3":
        whole, at_12v = (load.most_mw, load.most_12v) if highest else (load.mw, load.ma_12v)
        return whole - at_12v * 12
    fields = {
        "12v": (load.ma_12v, load.most_12v),
        "5v": (load.ma_5v, load.most_5v),
        "3v3": (load.ma_3v3, load.most_3v3),
    }
    return fields[quantity][highest]


def with_slack(problem: Problem, value: int) -> int:
    """A value of today with what still counts as no more than today (setting today_slack_percent), rounded
    down."""
    return value * (100 + problem.settings["today_slack_percent"]) // 100


def carried_today(
    problem: Problem, quantity: Quantity, highest: bool = False, unproven: Unproven = ALL_PROVEN
) -> int:
    """What the present supply carries today, usually (or at most), with the slack of the estimate.
    ``unproven``: what of it is only supposed."""
    cards = unproven.cards.slot + unproven.cards.plugs
    proven = amount(today_load(problem), quantity, highest) - amount(cards, quantity, highest)
    if unproven.from_5v:
        proven += moved_to_5v(cpu_load(problem.survey.cpu, problem.settings), quantity, highest)
    return with_slack(problem, proven)


def moved_to_5v(cpu: Load, quantity: Quantity, highest: bool = False) -> int:
    """What a quantity gains (or loses) where a processor is fed from 5 V and not from 12 V."""
    if quantity == "total":
        return 0  # the same power
    return amount(at_5v(cpu), quantity, highest) - amount(cpu, quantity, highest)


@record
class Limit:
    """What a plan may draw: ``value``; basis "label" (trusted share) or "today" (what the kept supply
    carries now)."""

    value: int
    basis: Literal["label", "today"]


def limit_of(
    problem: Problem, supply: Candidate, quantity: Quantity, unproven: Unproven = ALL_PROVEN
) -> Limit | None:
    """The higher of the trusted share and, of the kept supply, what it carries today; None: label not
    known and more than today would be unknown too (then see ``carried_today``). For the moment of the start
    only what it carries at work is known of today: a board may start its disks one after the other."""
    share = trusted(problem, supply.part, quantity)  # type: ignore[arg-type]
    if share is None:
        return None
    if supply.kept:
        today = carried_today(problem, AT_WORK.get(quantity, quantity), unproven=unproven)
        if today > share:
            return Limit(today, "today")
    return Limit(share, "label")


# -- rails --------------------------------------------------------------------------------------------------------

#: Groups of consumers that hang together: processor plug, main plug (board, slots, fans), drive leads, card
#: plugs.
GROUPS = ("cpu", "main", "drives", "card")


@record
class Circuit:
    """One limited 12 V circuit: what hangs on it (groups of consumers), its current at work and while the
    disks start."""

    groups: tuple[str, ...]
    work_ma: int
    start_ma: int


#: A way the plugs may hang on the rails.
Mapped = tuple[Circuit, ...]


def rail_limits_ma(psu: Psu, settings: Mapping[str, int]) -> tuple[int, ...]:
    """Limit of each 12 V rail of the label, if it states several; those of early dual-rail units at most
    what their 240 VA protection lets through (setting rail_240va_ma)."""
    rails = psu.rail_12v_ma or ()
    if len(rails) < 2 or psu.cpu_rail == 0:
        return ()
    if psu.year is not None and psu.year <= LIMITED_RAILS_TO_YEAR:
        return tuple(min(rail, settings["rail_240va_ma"]) for rail in rails)
    return rails


def rail_mappings(psu: Psu, settings: Mapping[str, int]) -> tuple[Mapped, ...]:
    """Every plausible way in which plugs hang on the rails of a label, the design guides' first.

    Guides: 12V1 = main plug and drives, 12V2 = processor, 12V3 and 12V4 = card plugs. Units opened by a test
    site: the processor on 12V1 in two of five; drives, or a card plug, beside the processor in one each.
    ``psu.cpu_rail`` (found out) leaves those with the processor there. Empty: no single rail limits.
    """
    rails = rail_limits_ma(psu, settings)
    if not rails:
        return ()

    def circuit(groups: tuple[str, ...], rail_ma: int) -> Circuit:
        return Circuit(groups, rail_ma, rail_ma + settings["rail_peak_extra_ma"])

    ways: list[Mapped] = []
    for cpu_rail in (2, 1) if psu.cpu_rail is None else (psu.cpu_rail,):
        cpu = rails[min(cpu_rail, len(rails)) - 1]
        rest = [ma for i, ma in enumerate(rails) if i != min(cpu_rail, len(rails)) - 1]
        if len(rails) == 2:
            ways += [
                (circuit(("cpu",), cpu), circuit(("main", "drives", "card"), rest[0])),
                (circuit(("cpu", "drives"), cpu), circuit(("main", "card"), rest[0])),
                (circuit(("cpu", "card"), cpu), circuit(("main", "drives"), rest[0])),
            ]
        else:
            ways.append(
                (
                    circuit(("cpu",), cpu),
                    circuit(("main", "drives"), rest[0]),
                    circuit(("card",), sum(rest[1:])),
                )
            )
    return tuple(dict.fromkeys(ways))
