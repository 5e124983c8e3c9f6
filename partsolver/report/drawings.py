"""Drawings of the bench sheet as inline SVG: the tray to scale, and bars for power and time.

Everything that comes from survey or catalogue is escaped. Shapes and words carry the meaning; colour never
does alone.
"""

from __future__ import annotations

from markupsafe import Markup, escape

from partsolver.sheet.tray import Action, Position, Tray

MARGIN_MM = 12
TOP_MM = 22
BOTTOM_MM = 24
HOLE_R_MM = 4
# So large on paper that the work steps find room beside it.
PAPER_SCALE = 0.4
INK, LINE, BOARD, FREE = "#1a1a1a", "#4a4a4a", "#eef3ee", "#dfe6df"
ACTION_WORDS: dict[Action, str] = {
    "keep": "stays",
    "add": "add",
    "remove": "take out",
    "fixed": "fixed!",
    "open": "no position",
    "look": "look",
}


def mm(um: int) -> str:
    """Micrometres as millimetres with as few decimals as are exact."""
    return f"{um / 1000:.3f}".rstrip("0").rstrip(".")


def tray_svg(tray: Tray) -> Markup:
    """Tray and board, component side up, rear edge at the top; user units are millimetres of the board.

    ``data-origin-x`` and ``data-origin-y`` are the board's rear corner at the ports, from which the published
    hole coordinates count to the left and to the front.
    """
    widest = max([tray.width_mm * 1000, *(p.x_um + 12_000 for p in tray.positions)])
    deepest = max(
        [
            tray.depth_mm * 1000,
            *(p.y_um + 14_000 for p in tray.positions),
            (tray.free_depth_mm or 0) * 1000 + 8_000,
        ]
    )
    width, height = -(-widest // 1000) + 2 * MARGIN_MM, -(-deepest // 1000) + TOP_MM + BOTTOM_MM
    right, top = width - MARGIN_MM, TOP_MM
    parts = [
        (
            f'<svg class="tray" viewBox="0 0 {width} {height}" style="width:{width * PAPER_SCALE:g}mm" role="img"'
            f' aria-labelledby="tray-title tray-desc" data-origin-x="{right}" data-origin-y="{top}">'
        ),
        '<title id="tray-title">Tray and board with the standoff positions, to scale</title>',
        f'<desc id="tray-desc">{escape(describe(tray))}</desc>',
        _area(right - tray.width_mm, top, tray.width_mm, tray.depth_mm, BOARD),
    ]
    if tray.front_mm > 15:
        parts.append(
            _area(right - tray.width_mm, top + tray.depth_mm - tray.front_mm, tray.width_mm, tray.front_mm)
        )
    if tray.left_mm > 15:
        parts.append(_area(right - tray.width_mm, top, tray.left_mm, tray.depth_mm))
    parts.append(
        f'<rect x="{right - tray.width_mm}" y="{top}" width="{tray.width_mm}" height="{tray.depth_mm}"'
        f' fill="none" stroke="{INK}" stroke-width="0.8"/>'
    )
    # Words of the picture lie between the rows of holes (y = 33 and 165 mm; [uATX] figure 2).
    middle = right - tray.width_mm / 2
    row = top + min(100, tray.depth_mm * 0.55)
    parts.append(_text(middle, row, f"board {tray.width_mm} × {tray.depth_mm} mm", 9, "middle"))
    if tray.front_mm > 15:
        parts.append(
            _text(middle, row + 13, f"shaded at the front: {tray.front_mm} mm without support", 7, "middle")
        )
    if tray.left_mm > 15:
        parts.append(
            _text(middle, row + 23, f"shaded at the left: {tray.left_mm} mm without support", 7, "middle")
        )
    parts.append(
        f'<line x1="{MARGIN_MM / 2:g}" y1="{top - 3}" x2="{right}" y2="{top - 3}" stroke="{INK}"'
        ' stroke-width="2"/>'
    )
    parts.append(_text(right, top - 7, "rear of the case: ports here", 8, "end"))
    parts.append(_text(MARGIN_MM / 2, top - 7, "slots here", 8, "start"))
    if tray.free_depth_mm is not None:
        y = top + tray.free_depth_mm
        parts.append(
            f'<line x1="{MARGIN_MM / 2:g}" y1="{y}" x2="{right}" y2="{y}" stroke="{LINE}" stroke-width="0.8"'
            ' stroke-dasharray="5 3"/>'
        )
        parts.append(_text(right, y + 7.5, f"free up to here: {tray.free_depth_mm} mm", 7, "end"))
    parts += [_hole(position, right, top) for position in tray.positions]
    parts.append(_ruler(MARGIN_MM, height - 6))
    parts.append("</svg>")
    return Markup("".join(parts))


def describe(tray: Tray) -> str:
    """The drawing in words."""
    rows = []
    for action, words in (
        ("keep", "standoffs that stay"),
        ("add", "standoffs to add"),
        ("remove", "standoffs to take out"),
        ("fixed", "fixed standoffs without a hole"),
        ("open", "holes without a position"),
        ("look", "positions to look at"),
    ):
        letters = tray.letters(action)  # type: ignore[arg-type]
        if letters:
            rows.append(f"{words}: {' '.join(letters)}")
    said = "; ".join(rows)
    return f"Board {tray.width_mm} by {tray.depth_mm} mm seen from above, rear edge at the top." + (
        f" {said[0].upper()}{said[1:]}." if said else ""
    )


def _text(x: float, y: float, words: str, size: float, anchor: str) -> str:
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" text-anchor="{anchor}"'
        f' fill="{INK}">{escape(words)}</text>'
    )


def _area(x: float, y: float, width: float, height: float, fill: str = FREE) -> str:
    return f'<rect x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}" fill="{fill}"/>'


def _hole(position: Position, right: int, top: int) -> str:
    """Symbol, letter and word of one position: filled = standoff stays, plus = add, cross = take out."""
    x, y, r = right - position.x_um / 1000, top + position.y_um / 1000, HOLE_R_MM
    cx, cy = mm(right * 1000 - position.x_um), mm(top * 1000 + position.y_um)
    fill = INK if position.action == "keep" else "#ffffff"
    dash = ' stroke-dasharray="2 1.5"' if position.action in ("open", "look") else ""
    symbol = [f'<circle cx="{cx}" cy="{cy}" r="{r}" fill="{fill}" stroke="{INK}" stroke-width="1.2"{dash}/>']
    if position.action == "keep":
        symbol.append(f'<circle cx="{cx}" cy="{cy}" r="1.2" fill="#ffffff"/>')
    if position.action == "add":
        symbol.append(_strokes((x - 2.6, y, x + 2.6, y), (x, y - 2.6, x, y + 2.6)))
    if position.action in ("remove", "fixed"):
        symbol.append(_strokes((x - 4.5, y - 4.5, x + 4.5, y + 4.5), (x - 4.5, y + 4.5, x + 4.5, y - 4.5)))
    if position.action == "look":
        symbol.append(_text(x, y + 2.4, "?", 7, "middle"))
    # Words stand inwards, so that they stay on the drawing; above or below where the next hole is near (R, S
    # and H; B and C).
    side, line, anchor = (x - 7, y + 3, "end") if position.x_um < 60_000 else (x + 7, y + 3, "start")
    if position.letter in "BRS":
        side, line, anchor = x, y + (-7 if position.letter == "R" else 12), "middle"
    words = (
        f'<text x="{side:g}" y="{line:g}" font-size="9" text-anchor="{anchor}" fill="{INK}"><tspan'
        f' font-weight="bold">{position.letter}</tspan><tspan font-size="6.5">'
        f" {ACTION_WORDS[position.action]}</tspan></text>"
    )
    return f'<g data-letter="{position.letter}" data-action="{position.action}">{"".join(symbol)}{words}</g>'


def _strokes(*lines: tuple[float, float, float, float]) -> str:
    return "".join(
        f'<line x1="{a:g}" y1="{b:g}" x2="{c:g}" y2="{d:g}" stroke="{INK}" stroke-width="1.4"/>'
        for a, b, c, d in lines
    )


def _ruler(x: float, y: float) -> str:
    ticks = "".join(
        f'<line x1="{x + t:g}" y1="{y - 2:g}" x2="{x + t:g}" y2="{y:g}" stroke="{INK}" stroke-width="0.8"/>'
        for t in (0, 50, 100)
    )
    return (
        f'<line x1="{x:g}" y1="{y:g}" x2="{x + 100:g}" y2="{y:g}" stroke="{INK}" stroke-width="0.8"/>{ticks}'
        + _text(x + 104, y, "100 mm", 7, "start")
    )


def bar_svg(value: int, limit: int | None, most: int, dark: bool = True) -> Markup:
    """A bar of ``value`` on a track of ``most``, with a mark at ``limit``; decoration of the numbers beside
    it."""
    scale = max(most, value, 1)
    width = 1000 * value // scale
    over = limit is not None and value > limit
    fill = "#8a1c1c" if over else ("#1f3f6e" if dark else "#5b7396")
    mark = ""
    if limit is not None:
        at = min(996, 1000 * limit // scale)
        mark = f'<rect x="{at - 4}" y="0" width="8" height="24" fill="{INK}"/>'
    return Markup(
        '<svg class="bar" viewBox="0 0 1000 24" preserveAspectRatio="none" aria-hidden="true"'
        ' focusable="false"><rect x="0" y="4" width="1000" height="16" fill="#e6e6e6"/><rect x="0" y="4"'
        f' width="{width}" height="16" fill="{fill}"/>{mark}</svg>'
    )
