"""Words of the rules about currents: usual and highest load, limits, and what would settle a doubt."""

from __future__ import annotations

from partsolver.plan.findings import Finding
from partsolver.report.page import thousandths_text
from partsolver.report.words.cautions import CAUTIONS
from partsolver.report.words.record import Names, RuleWords
from partsolver.rules import (
    power_cpu_current,
    power_leads,
    power_main_plug,
    power_rail_12v,
    power_rails_12v,
    power_rails_low,
    power_standby,
    power_startup,
    power_total,
)

_RAILS = {
    "rail_5v_ma": "5 V",
    "rail_3v3_ma": "3.3 V",
    "combined_5v_3v3_mw": "5 V and 3.3 V together",
    "12v": "12 V",
    "5v": "5 V",
}
_OPEN_FACTS = {
    "power_limit_w": "the processor's short-term limit from its maker's data sheet",
    "load_mw": "the stated power of the card or board",
    "power_plugs": "a look whether the graphics card has power plugs",
    "rail_5vsb_ma": "the standby current on the label",
}


def amps(value: int | str | None) -> str:
    """mA as amperes, one decimal."""
    return f"{thousandths_text(int(value or 0), 1)} A"


def watts(value: int | str | None) -> str:
    return f"{thousandths_text(int(value or 0), 0)} W"


def show(value: int | str | None, unit: str) -> str:
    """A current or a power."""
    return watts(value) if unit == "mW" else amps(value)


def _today(finding: Finding, today: str) -> str | None:
    if finding.fact("today") == "no more":
        return "The PC draws no more than today, and this supply carries it today."
    return f"{today}." if finding.fact("today") else None


def _open(finding: Finding, open_point: str) -> str:
    """The words for what is not known: a card's load, a fact that narrows a range, or the open point
    itself."""
    path = finding.question or ""
    fact = path.rpartition(".")[2]
    if finding.blocks and fact == "load_mw":
        card = path.partition(":")[2].rpartition(".")[0]
        most = finding.value if isinstance(finding.value, int) else finding.fact("current")
        limit = finding.limit if isinstance(finding.limit, int) else finding.fact("limit")
        unit = finding.unit or "mA"
        if finding.fact("gone"):
            return (
                f'What the card "{card}" draws is not known, and it goes: that the supply carries {show(most, unit)}'
                f" today is not sure, and it is trusted with {show(limit, unit)}. Nothing new is connected before that"
                " card's load is known."
            )
        return (
            f'What the card "{card}" draws is not known; its slot and plugs may carry so much that'
            f" {show(most, unit)} would be drawn of {show(limit, unit)}: nothing new is connected before its load is known."
        )
    if finding.blocks and finding.fact("feed"):
        drawn = finding.value if isinstance(finding.value, int) else finding.fact("current")
        limit = finding.limit if isinstance(finding.limit, int) else finding.fact("limit")
        unit = finding.unit or "mA"
        return (
            "Whether the present board has a plug for the processor is not known. Without one a board of its time may feed"
            f" the processor from 5 V, and then the supply is sure to carry {show(limit, unit)}, not {show(drawn, unit)}:"
            " nothing new is connected before somebody has looked."
        )
    if finding.fact("narrows") is not None:
        what = _OPEN_FACTS.get(fact, "one fact")
        return f"Usual loads fit, the highest do not: {what} would settle it."
    if fact == "year":
        return "How old the supply is, is not known; it counts as old."
    stop = "; until that is answered nothing new may be connected" if finding.blocks else ""
    return f"{open_point}{stop}."


def _feed(finding: Finding) -> str:
    """Why a load is too much that would do if the processor were surely fed from 12 V."""
    if not finding.fact("feed"):
        return ""
    return (
        " A board of that time without a plug for the processor may feed it from 5 V as well as from 12 V: it has to do"
        " either way, and today proves neither. If the board's manual says 12 V: --setting cpu_from_5v_to_year=0."
    )


def _doubt(finding: Finding) -> str:
    """What a warning adds: the highest load beside the limit."""
    if not finding.fact("warning"):
        return _feed(finding)
    most, limit = show(finding.fact("most"), finding.unit), show(finding.limit, finding.unit)
    return f" At the highest load of these parts it would be {most}, above {limit}: the supply may switch off then."


def _basis(finding: Finding, label: str) -> str:
    """Where a limit comes from."""
    limit = show(finding.limit, finding.unit)
    if finding.fact("basis") == "today":
        return f"this supply carries {limit} today (with the slack of the estimate)"
    return f"of the {label} the supply is trusted with {finding.fact('trust_percent')} %: {limit}"


def _rail_12v(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        return _open(finding, "What the supply gives at 12 V is not known")
    today = _today(finding, "The supply carries this PC today")
    if today:
        return today
    label = f"{amps(finding.fact('label'))} of its label"
    return f"The PC draws {amps(finding.value)} at 12 V; {_basis(finding, label)}.{_doubt(finding)}"


def _starting(finding: Finding) -> str:
    return " while the disks start" if finding.fact("starting") == "yes" else ""


def _rails_12v(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        if finding.blocks:
            return _open(finding, "")
        how = "as the design guides have it" if finding.fact("guide") == "yes" else "as some supplies have it"
        return (
            f"Which 12 V rail of the label feeds the processor plug is not known: with the plugs {how},{_starting(finding)}"
            f" {amps(finding.fact('current'))} would hang on a rail of {amps(finding.fact('limit'))}. Look before ordering."
        )
    today = _today(finding, "The rails carry this PC today")
    if today:
        return today
    if finding.verdict == "fails":
        return (
            f"However the plugs hang on the 12 V rails of the label,{_starting(finding)} one of them has to carry"
            f" {amps(finding.value)} of {amps(finding.limit)}.{_feed(finding)}"
        )
    plain = f"The 12 V rail that is loaded most carries{_starting(finding)} {amps(finding.value)} of {amps(finding.limit)}."
    if not finding.fact("warning"):
        return plain
    beside = "drives or a card hang beside the processor"
    guides = "as the design guides have it"
    way, other = (
        (f"where {beside}", guides) if finding.fact("guide") == "yes" else (guides, f"where {beside}")
    )
    when = " while the disks start" if finding.fact("other_starting") == "yes" else ""
    return (
        f"{plain} That is so {way}; {other},{when} {amps(finding.fact('current'))} would hang on a rail of"
        f" {amps(finding.fact('other_limit'))}: a PC that switches itself off then has met that limit."
    )


def _rails_low(finding: Finding, names: Names) -> str:
    rail = _RAILS.get(str(finding.fact("rail")), "the low rails")
    if finding.verdict == "unknown":
        return _open(finding, f"What the supply gives at {rail} is not known")
    today = _today(finding, "The supply carries this PC today")
    if today:
        return today
    label = f"label's {show(finding.fact('label'), finding.unit)}"
    return f"At {rail} the PC draws {show(finding.value, finding.unit)}; {_basis(finding, label)}.{_doubt(finding)}"


def _startup(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        return _open(finding, "Whether the supply stands the start of the disks is not known")
    today = _today(finding, "The disks start on this supply today")
    if today:
        return today
    rail = _RAILS.get(str(finding.fact("rail")), "12 V")
    kind = "short peak" if finding.fact("stated") == "peak" else "continuous current (no peak on the label)"
    label = f"label's {kind} of {amps(finding.fact('label'))}"
    return f"While the disks start, {amps(finding.value)} are drawn at {rail}; {_basis(finding, label)}.{_feed(finding)}"


def _standby(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        return _open(finding, "What the standby output of the supply gives is not known")
    today = _today(finding, "The supply starts this board today")
    if today:
        return today
    words = f"To start, the board needs about {amps(finding.value)} of standby; the supply is trusted with {amps(finding.limit)}"
    if finding.fact("stated") == "year":
        words += " (by its year; the label decides)"
    if finding.fact("warning"):
        words += f"; asleep it may take {amps(finding.fact('most'))}: sleep and waking may fail, switching off does not"
    return words + "."


def _total(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        return _open(finding, "The rating of the supply is not known")
    today = _today(finding, "The supply carries this PC today")
    if today:
        return today
    label = f"{finding.fact('rated_w')} W of its rating"
    return f"The PC needs {watts(finding.value)} at full load; {_basis(finding, label)}.{_doubt(finding)}"


def _main_plug(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        return _open(finding, "Which main plug or header there is, is not known")
    today = _today(finding, "The main plug is in use today")
    if today:
        return today
    plug, header = finding.fact("plug"), finding.fact("header")
    if finding.unit != "mA":
        return (
            "The main plug or the main header is of a maker's own kind: they do not go together, and no"
            " adapter helps."
        )
    words = f"The {plug}-contact plug goes into the {header}-contact header"
    if (plug, header) == ("24", "20"):
        words += " and overhangs it by four contacts: see that nothing stands in its way"
    who = "the board, its fans and cards"
    if finding.fact("processor") == "yes":
        who += " and the processor (this board has no processor header)"
    word = "within" if finding.verdict == "fits" else "more than"
    lasting = finding.fact("usual_ma")
    over = finding.verdict == "fits" and isinstance(lasting, int) and lasting < int(finding.value or 0)
    if over:
        word = f"above the usual {amps(lasting)}, but within"
    contacts = "one 12 V contact" if "20" in (plug, header) else "two 12 V contacts"
    words += f"; {who} draw {amps(finding.value)} at 12 V through it, {word} the {amps(finding.limit)} of its {contacts}"
    if finding.fact("warning"):
        words += f", at the highest load {amps(finding.fact('most'))}"
    if finding.fact("warning") or over:
        words += ": feel after an hour whether the plug gets hot"
    if finding.fact("isa"):
        words += (
            f'. The card "{finding.fact("isa")}" is an ISA card: some need -5 V, which most supplies no longer give'
            " (look at the card's manual and at the supply's label)"
        )
    return f"{words}.{_feed(finding)}"


def _cpu_current(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        if (finding.question or "").endswith("power_limit_w"):
            return (
                "The processor's short-term limit is not stated: it would settle whether its plug stays cool."
            )
        if finding.blocks:
            return (
                f"The processor would draw {amps(finding.fact('drawn'))} at 12 V. How the supply feeds the board is not known:"
                f" up to {amps(finding.fact('least'))} is safe."
            )
        return _open(finding, "The current in the processor plug cannot be worked out")
    today = _today(finding, "The processor runs on these plugs today")
    if today:
        return today
    if finding.unit != "mA":
        return "The processor has no power header of its own on this board."
    plugs = str(finding.fact("plugs") or "")
    if plugs == "adapter":
        return f"The processor draws up to {amps(finding.value)} at 12 V; the adapter carries {amps(finding.limit)}."
    what = f"its {plugs}-contact plug carries" if plugs in ("4", "8") else "its plugs carry"
    words = f"The processor draws {amps(finding.value)} at 12 V; {what} {amps(finding.limit)}"
    if finding.fact("warning"):
        words += (
            f" at most and {amps(finding.fact('usual_ma'))} usually, and at the highest load of such processors it would be"
            f" {amps(finding.fact('most'))}: feel after an hour whether the plug gets hot"
        )
    if finding.verdict == "fails":
        words += f": {amps(-(finding.margin or 0))} too much"
    return words + "."


_LEAD_KINDS = {"sata": "SATA", "peripheral": "peripheral"}


def unknown_leads(finding: Finding) -> str:
    """On how many leads the disks start, where nobody counted them."""
    kind = _LEAD_KINDS.get(str(finding.fact("plug")), "")
    return (
        f"How many leads carry the {kind} power plugs is not known: on one lead the disks would draw"
        f" {amps(finding.fact('total'))} of {amps(finding.fact('limit'))} while they start. Spread them over two leads."
    )


def _leads(finding: Finding, names: Names) -> str:
    kind = _LEAD_KINDS.get(str(finding.fact("plug")), "")
    if finding.verdict == "unknown":
        return unknown_leads(finding)
    today = _today(finding, "The drives hang on these leads today")
    if today:
        return today
    if finding.verdict == "fails":
        return f"The {kind} leads cannot carry {amps(finding.value)} while the disks start."
    return f"While the disks start, the {kind} leads carry {amps(finding.value)} of {amps(finding.limit)}."


def _old_supply(finding: Finding, names: Names) -> str | None:
    """An old supply, and one that is used as far as it carries today."""
    share = finding.fact("trust_percent")
    old = isinstance(share, int) and share <= 70
    return CAUTIONS["old-supply"] if old or finding.fact("today") == "no more" else None


WORDS: dict[str, RuleWords] = {
    power_main_plug.ID: RuleWords("main plug", _main_plug),
    power_cpu_current.ID: RuleWords("processor current", _cpu_current),
    power_rail_12v.ID: RuleWords("12 V current", _rail_12v, caution=_old_supply),
    power_rails_12v.ID: RuleWords("12 V rails", _rails_12v),
    power_rails_low.ID: RuleWords("low-voltage rails", _rails_low),
    power_startup.ID: RuleWords("start-up current", _startup),
    power_standby.ID: RuleWords("standby", _standby),
    power_total.ID: RuleWords("power at full load", _total),
    power_leads.ID: RuleWords("leads of the drives", _leads),
}

QUESTIONS: dict[str, str] = {
    "psu.cpu_rail": (
        "Which 12 V rail of the label feeds the processor plug: 12V1 or 12V2? The maker's data sheet or a wire colour of"
        " its own (yellow with a stripe) tells; some supplies have no separate limits inside. Never open the supply."
    ),
    "psu.sata_leads": "How many leads leave the supply that carry the flat SATA power plugs?",
    "psu.peripheral_leads": "How many leads leave the supply that carry the four-contact peripheral plugs?",
    "psu.rail_5vsb_ma": "What current does the label state for the standby output (+5VSB)?",
    "card.load_mw": (
        "What does the card draw at most (its maker's data sheet: board power in W)? Count its power plugs as well."
    ),
    "card.power_plugs": (
        "Which power plugs does the graphics card need (sockets on its far edge: 6 or 8 contacts, or none)?"
    ),
    "cpu.power_limit_w": (
        "What is the processor's short-term limit (maximum turbo or package power in W, its maker's data sheet)?"
    ),
    "board.load_mw": "How much power does the board itself draw (its manual: power consumption, without processor)?",
}
