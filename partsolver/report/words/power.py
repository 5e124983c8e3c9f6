"""Words of the rules about power."""

from __future__ import annotations

from collections.abc import Callable

from partsolver.plan.draft import Need
from partsolver.plan.findings import Finding
from partsolver.report.words import power_currents
from partsolver.report.words.cautions import CAUTIONS
from partsolver.report.words.counts import count_of
from partsolver.report.words.record import Names, RuleWords, name_of
from partsolver.rules import (
    power_card_plugs,
    power_condition,
    power_cpu_plug,
    power_drive_plugs,
    power_lead_reach,
    power_low_load,
    power_pinout,
    power_supply_size,
)

Sentence = Callable[[Finding, Names], str]
_KINDS = {"sata": "SATA", "peripheral": "peripheral"}
# What it means that a fact beside the main ones is unknown.
_OPEN = {
    "power_plugs": "Which power plugs the graphics card has, is not known: one with plugs draws more than the 75 W of its slot, and needs them fed",
    "cpu_lead_mm": "Whether the processor lead reaches the far edge of the board is not known",
    "peripheral_plugs": "How many peripheral plugs the supply has is not known",
    "peripheral_leads": "How many leads carry the peripheral plugs is not known; on one lead they do not carry the adapters",
}
_CONDITIONS = {
    "bulged": "shows bulged capacitors",
    "failed-start": "has failed to start",
    "noisy": "is noisy",
    "good": "looks sound",
}


def _known(sentence: Sentence, today: str, open_point: str) -> Sentence:
    """The sentence, or the words for what works today and for what is not known."""

    def words(finding: Finding, names: Names) -> str:
        if finding.verdict == "unknown":
            fact = (finding.question or "").rpartition(".")[2]
            open_words = open_point if finding.rule == power_low_load.ID else _OPEN.get(fact, open_point)
            return f"{open_words}{'; until that is answered nothing new may be connected' if finding.blocks else ''}."
        return f"{today}." if finding.fact("today") else sentence(finding, names)

    return words


def _pinout(finding: Finding, names: Names) -> str:
    if finding.verdict == "fits":
        return "Supply and board use the standard pin order."
    return "Supply and board do not share a pin order: the plug may go in, and both would be destroyed."


def _condition(finding: Finding, names: Names) -> str:
    supply = name_of(names, finding.parts[0]) if finding.parts else "the supply"
    state = _CONDITIONS.get(str(finding.value), str(finding.value))
    if finding.verdict == "fails":
        return f'The supply "{supply}" {state}: nothing new may hang on it. Replace it; never open it.'
    return f'The supply "{supply}" {state}.'


def _cpu_plug(finding: Finding, names: Names) -> str:
    if finding.verdict == "fails":
        return (
            f"The supply has no processor plug for the {finding.limit}-contact header, and no adapter with"
            " enough free peripheral plugs carries this processor."
        )
    if finding.value == "none":
        return "The board has no processor power header."
    if finding.fact("adapter"):
        return (
            f"An adapter from {count_of(finding.fact('peripheral_plugs'), 'peripheral plug')} feeds the"
            f" {finding.fact('header')}-contact processor header."
        )
    words = f"The {finding.fact('header')}-contact processor header is fed"
    if finding.fact("two_loose"):
        words += " by two loose 4-contact plugs side by side"
    elif finding.fact("half"):
        words += " in one half by a 4-contact plug; the board's manual says which half"
    elif finding.fact("divisible"):
        words += " by one half of the 8-contact plug: see that it divides"
    if finding.fact("empty_headers"):
        words += "; the second processor header stays empty, which is enough at rated power"
    if finding.fact("lead_mm"):
        words += (
            f"; its lead is {finding.fact('lead_mm')} mm long and may not reach the far edge of the board"
            f" ({finding.fact('lead_needed_mm')} mm)"
        )
    return words + "."


def _card_plugs(finding: Finding, names: Names) -> str:
    added = f", {finding.fact('added')} of them through adapters" if finding.fact("added") else ""
    return f"Power sockets of the cards: {finding.value} of {finding.limit} fed{added}."


def _drive_plugs(finding: Finding, names: Names) -> str:
    if finding.fact("total"):
        return power_currents.unknown_leads(finding)
    return _known(
        _fed_drives, "The drives are fed today", "How many plugs for drives the supply has is not known"
    )(finding, names)


def _fed_drives(finding: Finding, names: Names) -> str:
    if finding.fact("plug") == "floppy":
        if not finding.fact("lacking"):
            return "The supply has the small plug of the floppy drive."
        return (
            "The supply has no small floppy plug left: a short lead from a peripheral plug to a floppy plug feeds the drive"
            " (not in every catalogue; look that a peripheral plug is free)."
        )
    kind = _KINDS.get(str(finding.fact("plug")), "")
    added = f" ({finding.fact('added')} of them added)" if finding.fact("added") else ""
    disks = finding.fact("disks")
    where = ""
    if disks:
        where = (
            f"; hang {count_of(disks, 'disk')} on the leads from peripheral plugs (disks, not solid-state drives: the SATA"
            " leads do not carry the start of all disks)"
        )
    return f"{count_of(finding.value, f'{kind} power plug')}{added} for {count_of(finding.limit, 'drive')}{where}."


def _low_load(finding: Finding, names: Names) -> str:
    if finding.fact("risk") != "yes":
        return "Supply and processor get on at idle."
    return (
        f"The supply of {finding.fact('psu_year')} may switch off or fail to wake when the processor of"
        f" {finding.fact('cpu_year')} idles: switch the deepest processor idle states off in the firmware if"
        " that happens."
    )


def _lead_reach(finding: Finding, names: Names) -> str:
    plug = "main plug" if finding.fact("lead") == "main" else "processor plug"
    where = ", since the supply sits at the bottom of the case" if finding.fact("bottom") else ""
    return (
        f"The lead of the {plug} is {finding.value} mm long and may not reach its header"
        f" ({finding.fact('short_of_mm')} mm{where}): lay a tape along its way, or have an extension lead at hand."
    )


def _supply_size(finding: Finding, names: Names) -> str:
    if finding.verdict == "fails":
        return f"A supply of size {finding.value} does not go into the case's bay for {finding.limit}."
    how = {
        "plate": "with a mounting plate",
        "depth": "if the bay is deep enough: measure first",
        "direct": "directly",
    }
    return (
        f"The supply of size {finding.value} goes into the case's bay"
        f" {how.get(str(finding.fact('how')), '')}."
    )


def _need_cpu(need: Need, names: Names) -> str:
    return f"the supply has no processor plug; the board needs {dict(need.facts).get('header')} contacts"


def _need_card(need: Need, names: Names) -> str:
    facts = dict(need.facts)
    return f"the supply lacks {count_of(facts.get('missing'), 'card plug')} of {facts.get('socket')} contacts"


def _need_drive(need: Need, names: Names) -> str:
    facts = dict(need.facts)
    return (
        "the supply lacks"
        f" {count_of(facts.get('missing'), _KINDS.get(str(facts.get('plug')), '') + ' power plug')} for the"
        " drives"
    )


def _condition_caution(finding: Finding, names: Names) -> str | None:
    if finding.verdict == "fails" or finding.fact("caution"):
        return CAUTIONS["supply-closed"]
    return None


def _pinout_caution(finding: Finding, names: Names) -> str | None:
    if finding.verdict == "fits":
        return None
    return (
        "A maker's own plug can look like the standard one. Never connect a supply whose pin order is not"
        " known to be the board's."
    )


def _adapter_caution(finding: Finding, names: Names) -> str | None:
    return CAUTIONS["adapters"] if finding.fact("adapter") or finding.fact("added") else None


WORDS: dict[str, RuleWords] = {
    **power_currents.WORDS,
    power_pinout.ID: RuleWords(
        "pin order",
        _known(
            _pinout,
            "Supply and board work together today",
            "Whether the supply has the standard pin order is not known",
        ),
        caution=_pinout_caution,
    ),
    power_condition.ID: RuleWords(
        "supply's state",
        _known(_condition, "", "The state of the supply is not known"),
        caution=_condition_caution,
    ),
    power_cpu_plug.ID: RuleWords(
        "processor plug",
        _known(
            _cpu_plug,
            "The processor header is fed today",
            "Which processor plugs or headers there are is not known",
        ),
        _need_cpu,
        _adapter_caution,
    ),
    power_card_plugs.ID: RuleWords(
        "card plugs",
        _known(
            _card_plugs,
            "The cards are fed today",
            "Whether the supply has the plugs that the cards need is not known",
        ),
        _need_card,
        _adapter_caution,
    ),
    power_drive_plugs.ID: RuleWords(
        "drive plugs",
        _drive_plugs,
        _need_drive,
        _adapter_caution,
    ),
    power_low_load.ID: RuleWords(
        "idle load",
        _known(
            _low_load,
            "Supply and processor run together today",
            "Whether the supply stands the idle load of this processor is not known",
        ),
    ),
    power_lead_reach.ID: RuleWords("lead lengths", _lead_reach),
    power_supply_size.ID: RuleWords(
        "supply's size",
        _known(
            _supply_size,
            "The supply sits in this case today",
            "Whether the supply fits the case's bay is not known",
        ),
    ),
}

QUESTIONS: dict[str, str] = {
    **power_currents.QUESTIONS,
    "psu.pinout": (
        "Is the supply a standard one? Look for the maker's name on its label; for a complete PC look up the"
        " pin order of its main plug in the service manual."
    ),
    "psu.condition": (
        "Look through the grille from outside and listen: bulged capacitors, noise, starts that failed? Never"
        " open it."
    ),
    "psu.main_plug": "How many contacts has the main plug: 24 (or 20 and 4), 20, or is it a maker's own?",
    "psu.cpu_plugs": (
        "Which processor plugs has the supply: 4 contacts, 8 (or 4 and 4), or none? A card plug of 8 contacts"
        " is not one."
    ),
    "psu.cpu_lead_mm": (
        "How long is the processor lead from the supply to its plug (tape measure, laid along its way)?"
    ),
    "psu.peripheral_plugs": (
        "How many peripheral plugs (four round contacts in a row) does the supply have, used ones included?"
    ),
    "psu.sata_plugs": "How many flat SATA power plugs does the supply have, used ones included?",
    "graphics.load_mw": "How much power does the graphics card draw at most, in watts (maker's page)?",
    "graphics.power_plugs": "Which power plugs does the graphics card need (maker's page or a picture of its edge)?",
    "psu.card_plugs": "Which card plugs has the supply (6, 6 and 2, 8 or 16 contacts)?",
    "psu.floppy_plugs": "How many small floppy power plugs does the supply have?",
    "psu.rail_12v_ma": "What current does the label state for each 12 V rail, and for all of them together?",
    "psu.rail_5v_ma": "What current does the label state at 5 V?",
    "psu.rail_3v3_ma": "What current does the label state at 3.3 V?",
    "psu.combined_5v_3v3_mw": "What power does the label state for 5 V and 3.3 V together?",
    "psu.rated_w": "How many watts does the label state in total?",
    "psu.year": "When was the supply made (date code on the label; else when the PC was bought)?",
    "psu.form": "How large is the supply (width x height x depth in mm)?",
    "case.psu_form": "How large is the opening for the supply in the rear panel, and how deep is its bay?",
    "board.main_plug": "How many contacts has the board's main power header (board manual or a look)?",
    "board.cpu_plugs": "Which processor power headers has the board (board manual or a look)?",
    "cpu.tdp_w": "What heat does the maker rate this processor at (data sheet)?",
    "cpu.year": "In which year did the maker bring this processor out (data sheet)?",
}
