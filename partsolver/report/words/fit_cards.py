"""Words of the rule about cards: slots, openings, brackets, length."""

from __future__ import annotations

from partsolver.plan.findings import Finding
from partsolver.report.words.record import Names, name_of

QUESTIONS: dict[str, str] = {
    "graphics.height": "Which bracket comes with the graphics card: full height, low profile, or both?",
    "graphics.length_mm": "How long is the graphics card, in mm (maker's page)?",
    "graphics.width_slots": "How many slots does the graphics card cover (maker's page or a picture)?",
    "card.bus": "Take the card out and look at its edge: PCI Express, PCI, AGP or ISA.",
    "card.height": "Measure the card's bracket: about 120 mm is full height, about 79 mm is low profile.",
    "card.length_mm": "Measure the card from the bracket to its far end, in mm.",
    "card.width_slots": "How many openings at the back does the card cover, its cooler's width included?",
}
_WHY = {
    "bracket": "its bracket is full height, the openings are low",
    "length": "it is too long for the case",
    "kind": "the board has no such slot",
    "taken": "the slots or openings for it are used up",
}


def cards(finding: Finding, names: Names) -> str:
    board = name_of(names, finding.parts[0])
    if finding.fact("today"):
        return "The cards stay where they are."
    if finding.verdict == "unknown":
        return (
            f'Whether the card "{finding.fact("card")}" finds a place on {board} rests on a fact that is not'
            " known."
        )
    optional = finding.fact("left_optional")
    extra = f" Without a place, and not needed: {optional}." if optional else ""
    if finding.fact("narrow"):
        extra += (
            f' The slot of "{finding.fact("narrow")}" is wired for {finding.fact("narrow_lanes")} of its'
            f" {finding.fact('narrow_of')} lanes: it works, slower; the expected time counts that."
        )
    if finding.fact("low_bracket"):
        extra += (
            f' The low bracket of "{finding.fact("low_bracket")}" does not reach the screw of a full-height opening: its'
            " full-height one goes on (it came with many such cards)."
        )
    if finding.verdict == "fits":
        if finding.limit == 0:
            return f"No card is needed.{extra}"
        who = "The needed card finds" if finding.limit == 1 else f"All {finding.limit} needed cards find"
        return f"{who} a place on {board}.{extra}"
    left = zip(str(finding.fact("left")).split("; "), str(finding.fact("why")).split("; "), strict=False)
    reasons = "; ".join(f"{card} ({_WHY.get(why, why)})" for card, why in left)
    return (
        f"Cards with a place on {board}: {finding.value} of {finding.limit} needed; left over:"
        f" {reasons}.{extra}"
    )
