"""The candidates for the graphics card: what the PC has, or one that is bought in place of its own."""

from __future__ import annotations

from collections.abc import Container, Iterable
from dataclasses import replace
from typing import Any

from partsolver.catalog.records import GraphicsPart
from partsolver.problem.candidates import KEPT_GRAPHICS, Candidate, GraphicsChoice
from partsolver.survey.model import Card, Survey


def graphics_candidates(
    survey: Survey, on_sale: Iterable[Candidate], allowed: bool, paid: bool
) -> tuple[Candidate, ...]:
    """What the PC has, and the graphics cards on sale (``on_sale``: candidates whose part is the
    catalogue's). A card that the owner needs only gives way where the brief allows replacing it; an
    optional one, or none, always does. ``paid``: whether the use pays for faster graphics."""
    result: list[Candidate[Any]] = [
        Candidate(
            "graphics", KEPT_GRAPHICS, GraphicsChoice(KEPT_GRAPHICS, None, None, None), None, 1, (), True
        )
    ]
    if allowed or not needs_its_card(survey):
        own = {card.name for card in survey.cards}
        for sold in on_sale:
            part: Any = sold.part
            counted = part.graphics_score if paid else None
            result.append(replace(sold, part=GraphicsChoice(part.id, part, as_card(part, own), counted)))
    return tuple(sorted(result, key=lambda c: (not c.kept, c.key)))


def needs_its_card(survey: Survey) -> bool:
    """Whether the owner needs a graphics card that the PC has: it gives way only where the brief says so."""
    return any(card.kind == "graphics" and card.required for card in survey.cards)


_CARD_FACTS = (
    *("bus", "lanes", "height", "width_slots", "length_mm", "power_plugs", "load_mw", "graphics_score"),
    *("outputs", "max_displays", "uefi", "legacy_video"),
)


def as_card(part: GraphicsPart, taken: Container[str] = ()) -> Card:
    """A graphics card on sale as a card of the PC; ``taken``: names that the PC's own cards have."""
    # The column dictionary has checked the cells already.
    facts: dict[str, Any] = {name: getattr(part, name) for name in _CARD_FACTS}
    name = part.id if part.name in taken else part.name
    return Card.model_construct(name=name, kind="graphics", required=True, **facts)
