"""The case seen from its open side, as SVG: what is known is drawn, what nobody has looked at is hatched,
what a plan brings is outlined twice and says so. Not to scale: places are the usual ones of an upright
case (the rear at the left, the supply at the top, the board behind the cards, drives at the front: common
practice)."""

from __future__ import annotations

import textwrap
from collections.abc import Collection, Mapping

from markupsafe import Markup, escape

from partsolver.plan.outcome import Plan
from partsolver.problem.problem import Problem
from partsolver.report.text import names_of
from partsolver.report.words import desk as words
from partsolver.report.words.counts import count_of
from partsolver.survey.model import Survey

INK, ACCENT, PALE, FREE = "#1a1a1a", "#1f3f6e", "#eef1ec", "#ffffff"
WIDTH, HEIGHT = 420, 400
# Part: (x, y, width, height) of its place.
PLACES = {
    "psu": (24, 24, 150, 84),
    "board": (24, 124, 206, 252),
    "cpu": (34, 134, 102, 90),
    "memory": (142, 134, 80, 124),
    "card": (34, 264, 186, 72),
    "drive": (268, 130, 128, 220),
}
# A line of the labels, and about how wide a letter of them is.
LINE, LETTER = 16, 7.2


def survey_parts(survey: Survey) -> dict[str, str | None]:
    """What is known of each place, in a few words; None where nobody has looked."""
    psu, board, cpu = survey.psu, survey.board, survey.cpu
    memory = [m for m in survey.memory if m.capacity_mib is not None]
    drives = [d.name for d in survey.drives]
    cards = [c.name for c in survey.cards]
    return {
        "psu": f"{psu.rated_w} W" if psu.rated_w is not None else None,
        "board": board.form_factor or board.socket or None,
        "cpu": (count_of(cpu.cores, "core") if cpu.cores is not None else None),
        "memory": " + ".join(f"{m.capacity_mib / 1024:g} GB" for m in memory for _ in range(m.count)) or None  # type: ignore[operator]
        if "memory" not in survey.unlisted
        else None,
        "card": None if "card" in survey.unlisted else (", ".join(cards) or "none"),
        "drive": None if "drive" in survey.unlisted else (", ".join(drives) or "none"),
    }


def plan_parts(survey: Survey, plan: Plan, problem: Problem) -> tuple[dict[str, str | None], set[str]]:
    """The same with a plan's parts in their places, and the places that get something new."""
    shown, names = survey_parts(survey), names_of(problem)
    new: set[str] = set()
    for candidate in plan.parts.picked:
        if candidate.id is not None and candidate.slot in PLACES:
            count = f"{candidate.quantity} x " if candidate.quantity > 1 else ""
            shown[candidate.slot] = count + names.get(candidate.id, candidate.id)
            new.add(candidate.slot)
    return shown, new


def case_svg(parts: Mapping[str, str | None], new: Collection[str] = (), number: str = "") -> Markup:
    """The drawing. ``number`` keeps ids apart where a page has several."""
    mark = f"hatch{number}"
    said = _described(parts, new)
    pieces = [
        f'<svg class="case" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-label="{escape(said)}">'
        f'<defs><pattern id="{mark}" width="8" height="8" patternUnits="userSpaceOnUse"'
        f' patternTransform="rotate(45)"><rect width="8" height="8" fill="{FREE}"/>'
        f'<line x1="0" y1="0" x2="0" y2="8" stroke="#767676" stroke-width="2"/></pattern></defs>'
        f'<rect x="10" y="10" width="{WIDTH - 20}" height="{HEIGHT - 20}" rx="6" fill="{FREE}" stroke="{INK}"'
        ' stroke-width="3"/>'
        f'<line x1="256" y1="24" x2="256" y2="376" stroke="{INK}" stroke-width="1" stroke-dasharray="3 4"/>'
    ]
    for part, (x, y, width, height) in PLACES.items():
        text = parts.get(part)
        fill = f"url(#{mark})" if text is None else PALE if part == "board" else FREE
        pieces.append(_box(x, y, width, height, fill, part in new))
        pieces.append(_label(part, text, part in new))
    return Markup("".join(pieces) + "</svg>")


def _box(x: int, y: int, width: int, height: int, fill: str, is_new: bool) -> str:
    line, thick = (ACCENT, 4) if is_new else (INK, 1.5)
    again = (
        f'<rect x="{x + 5}" y="{y + 5}" width="{width - 10}" height="{height - 10}" rx="1" fill="none"'
        f' stroke="{ACCENT}" stroke-width="1"/>'
        if is_new
        else ""
    )
    return (
        f'<rect x="{x}" y="{y}" width="{width}" height="{height}" rx="3" fill="{fill}" stroke="{line}"'
        f' stroke-width="{thick}"/>{again}'
    )


def _label(part: str, text: str | None, is_new: bool) -> str:
    """Name of the place and what is in it, on a ground of its own, so that no line runs through it."""
    x, y, width, height = PLACES[part]
    name = words.DRAWING_PARTS[part]
    title = [f"{name}, {words.NEW}"] if is_new and width > 140 else [name, words.NEW] if is_new else [name]
    # The board's own label stands at its lower edge, below the cards that cover it.
    room = 2 if part == "board" else (height - 8) // LINE
    lines = [*title, *_wrapped(text or "", int((width - 8) / LETTER), room - len(title))]
    top = y + height - 8 - LINE * (len(lines) - 1) if part == "board" else y + height / 2 + 5
    top -= 0 if part == "board" else LINE / 2 * (len(lines) - 1)
    found = []
    for index, line in enumerate(lines):
        bold = index < len(title)
        wide = min(width - 2, LETTER * len(line) + 8)
        middle, base = x + width / 2, top + LINE * index
        found.append(
            f'<rect x="{middle - wide / 2:g}" y="{base - 12:g}" width="{wide:g}" height="{LINE}" fill="{FREE}"'
            f' fill-opacity="0.92"/><text x="{middle:g}" y="{base:g}" font-size="{13 if bold else 12}"'
            f' text-anchor="middle" fill="{ACCENT if is_new else INK}"{" font-weight=" + chr(34) + "bold" + chr(34) if bold else ""}>'
            f"{escape(line)}</text>"
        )
    return "".join(found)


def _wrapped(text: str, width: int, most: int) -> list[str]:
    """The text in at most so many lines; what finds no room is left out behind a whole word."""
    if not text or most < 1:
        return []
    return textwrap.wrap(text, width, max_lines=most, placeholder=" …", break_on_hyphens=False)


def _described(parts: Mapping[str, str | None], new: Collection[str]) -> str:
    known = [f"{words.DRAWING_PARTS[p]} ({t})" for p, t in parts.items() if t is not None and p in PLACES]
    unknown = [words.DRAWING_PARTS[p] for p, t in parts.items() if t is None and p in PLACES]
    said = words.DRAWING_KNOWN.format(
        known=", ".join(known) or "nothing", unknown=", ".join(unknown) or "nothing"
    )
    fresh = [words.DRAWING_PARTS[p] for p in PLACES if p in new]
    return said + (words.DRAWING_NEW.format(new=", ".join(fresh)) if fresh else "")
