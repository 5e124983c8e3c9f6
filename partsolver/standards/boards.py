"""Board outlines, mounting holes, case acceptance, rear opening and card sizes.

Orientation: component side up, rear (connector) edge at the top, slots to the left.  Width runs along the
rear edge, depth from rear to front.  Hole ``x`` is measured from the right-hand (I/O side) edge to the left,
``y`` from the rear edge to the front; all boards of the ATX family share that corner, so a hole has one
position on every board.

Documents: [uATX] microATX Motherboard Interface Specification 1.2 (Intel); [ITX] Mini-ITX Addendum 1.1 to it
(Intel); [EEB] SSI EEB 2011 rev 1.0.1 section 2.1, as cited by encyclopaedia copies; [DTX] encyclopaedia
article on DTX.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Outline:
    """Largest nominal size of a form factor; ``slots`` = card positions.

    ``holes`` = letters of the nominal hole set.

    ``slots`` is 0 where the cards sit on a riser or the form sets no number; ``holes`` is empty where the
    form has a pattern of its own that the twelve ATX-family letters do not describe.
    """

    form: str
    width_mm: int
    depth_mm: int
    slots: int
    holes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Hole:
    """Centre of a mounting hole in micrometres, from the I/O side edge (x) and from the rear edge (y)."""

    x_um: int
    y_um: int


# [uATX] figure 2 and tables for the letters; coordinates: four independent open-hardware drawings agree
# (high).  The specification gives them from hole B as datum: x = 209.55 mm - offset.
HOLES: Final[dict[str, Hole]] = {
    "A": Hole(288_290, 10_160),
    "B": Hole(209_550, 10_160),
    "C": Hole(163_830, 10_160),
    "F": Hole(6_350, 33_020),
    "G": Hole(288_290, 165_100),
    "H": Hole(163_830, 165_100),
    "J": Hole(6_350, 165_100),
    "K": Hole(288_290, 237_490),
    "L": Hole(163_830, 237_490),
    "M": Hole(6_350, 237_490),
    "R": Hole(229_870, 165_100),
    "S": Hole(209_550, 165_100),
}

_ATX_HOLES = tuple("ACFGHJKLM")  # [uATX] figure 2, high
_MICROATX_HOLES = tuple("BCFHJLMRS")  # [uATX] figure 2 and table 4, high
_FLEXATX_HOLES = tuple("BCFHJS")  # encyclopaedia article citing the FlexATX addendum 1.0 (1999), medium
_ITX_HOLES = tuple("CFHJ")  # [ITX]: four of the ATX holes; two open-hardware drawings, medium to high
_DTX_HOLES = tuple("CFHJLM")  # derived: B at 209.55 mm lies outside 203.2 mm; low to medium

OUTLINES: Final[dict[str, Outline]] = {
    o.form: o
    for o in (
        Outline("atx", 305, 244, 7, _ATX_HOLES),  # [uATX] table 3 (size, high); slots: [DTX] table (medium)
        Outline("microatx", 244, 244, 4, _MICROATX_HOLES),  # [uATX] tables 3, 5, section 2.3.1, high
        Outline(
            "flexatx", 229, 191, 3, _FLEXATX_HOLES
        ),  # encyclopaedia, medium; slots low (2, 3 and 4 are all stated)
        Outline("dtx", 203, 244, 2, _DTX_HOLES),  # 203.2 x 243.8 mm, [DTX], medium
        Outline("mini-dtx", 203, 170, 2, _ITX_HOLES),  # 203.2 x 170.2 mm, [DTX], medium
        Outline("mini-itx", 170, 170, 1, _ITX_HOLES),  # [ITX] table 1 (170.18 mm), high; slot: [DTX], medium
        Outline("thin-mini-itx", 170, 170, 1, _ITX_HOLES),  # outline as [ITX]; 0 or 1 slot, low
        Outline(
            "ssi-ceb", 305, 267, 7, _ATX_HOLES
        ),  # 266.7 mm deep, [EEB], medium; holes "many as ATX", slots: memory
        Outline("ssi-eeb", 305, 330, 7, ()),  # [EEB], medium: a pattern of its own; slots: memory
        # Forms that no ATX-family board fits (handbook and encyclopaedia tables, medium; NLX low).
        Outline("baby-at", 216, 330, 0, ()),
        Outline("lpx", 229, 330, 0, ()),
        Outline("nlx", 228, 345, 0, ()),
        Outline("btx", 325, 267, 7, ()),
        Outline("microbtx", 264, 267, 4, ()),
    )
}

#: Forms of fixed size: their holes do not depend on the size stated.  The others may be smaller than nominal
#: ([uATX] section 2.2: any combination of the nine holes that fits is allowed).
FIXED_SIZE_FORMS: Final = frozenset({"dtx", "mini-dtx", "mini-itx", "thin-mini-itx"})

#: [uATX] section 2.2, table 4 (high): on a board of full width R is compulsory and S optional.  Look before
#: counting on S.
MICROATX_OPTIONAL_HOLE: Final = "S"

#: [uATX] figure 2 (high): compulsory from ATX 2.1 only; a mid-1990s ATX case may lack this position.
HOLE_MISSING_IN_OLD_CASES: Final = "F"

HOLE_DIAMETER_UM: Final = 3_960  # open-hardware drawing, medium
PAD_RADIUS_UM: Final = 5_080  # diameter 0.400 in, open-hardware drawing, medium
STANDOFF_HEIGHT_UM: Final = 6_350  # 0.25 in below the board, open-hardware drawings, medium
BOARD_THICKNESS_UM: Final = 1_570  # 0.062 in, [uATX] figure 4 note, high

#: Sizes are stated in whole millimetres, the smallest board's 170.18 mm as 170.
_ROUNDING_UM: Final = 180

_ITX_FAMILY = frozenset({"mini-itx", "thin-mini-itx"})
_MICROATX_TAKES = frozenset({"microatx", "flexatx", "dtx", "mini-dtx", *_ITX_FAMILY})
_ATX_TAKES = frozenset({"atx", *_MICROATX_TAKES})

#: Which boards a case made for a form takes.  [uATX] section 1.5, [ITX] section 2.4.1 and table 1, [EEB],
#: [DTX]; rows of FlexATX, DTX, Mini-DTX and Mini-ITX cases derived from the outlines.  Pairs that depend on a
#: look at the case are in ``CONDITIONS``.  A maker's own tray ("own") takes no standard board.
ACCEPTS: Final[dict[str, frozenset[str]]] = {
    "atx": _ATX_TAKES,
    "microatx": _MICROATX_TAKES,
    "flexatx": frozenset({"flexatx", "mini-dtx", *_ITX_FAMILY}),
    "dtx": frozenset({"dtx", "mini-dtx", *_ITX_FAMILY}),
    "mini-dtx": frozenset({"mini-dtx", *_ITX_FAMILY}),
    "mini-itx": _ITX_FAMILY,
    "ssi-ceb": frozenset({"ssi-ceb", *_ATX_TAKES}),
    "ssi-eeb": frozenset({"ssi-ceb", "ssi-eeb", *_ATX_TAKES}),
    "baby-at": frozenset(),
    "lpx": frozenset(),
    "nlx": frozenset(),
    # Boards of these two families are no longer to be had, and no board of the ATX family fits.
    "btx": frozenset(),
    "microbtx": frozenset(),
    "own": frozenset(),
}

#: (case form, board form) -> what has to be true of the case: "depth-clear" (the board's whole depth is free)
#: or "atx-standoffs" (the tray also has the ATX positions; the EEB pattern is another one).  [EEB], medium.
#: The pair atx, ssi-ceb is not in ``ACCEPTS``: a depth of 267 mm has to be measured first.
CONDITIONS: Final[dict[tuple[str, str], str]] = {
    ("atx", "ssi-ceb"): "depth-clear",
    **{("ssi-eeb", form): "atx-standoffs" for form in sorted({"ssi-ceb", *_ATX_TAKES})},
}

# Rear I/O opening, [uATX] figures 4 and 5 (high), +-0.2 mm.
APERTURE_WIDTH_UM: Final = 158_750
APERTURE_HEIGHT_UM: Final = 44_450
APERTURE_DATUM_UM: Final = 3_810  # lower edge below the top of the board
APERTURE_CORNER_RADIUS_MAX_UM: Final = 990
APERTURE_KEEP_OUT_UM: Final = 2_540  # bare metal around it, needed from ATX 2.1
PANEL_THICKNESS_UM: Final = (940, 1_320)  # range in which shield clips hold
CONNECTOR_ZONE_UM: Final = (152_150, 37_340)  # width, height of the area connectors may use
BTX_SHIELD_UM: Final = (169_980, 39_890)  # a board maker's technical product specification, figure 22 (high)

#: Rear openings of cases.  A loose shield of an ATX-family board fits "atx" alone.
APERTURES: Final = ("atx", "btx", "fixed", "none")

SLOT_PITCH_UM: Final = 20_320  # 0.800 in, encyclopaedia and open-hardware drawing, medium

# Cards: PCI low-profile article and an instrument maker's knowledge base 12395932 (medium).  Heights of PCI
# Express cards are known from memory only (111.15 and 68.9 mm).
CARD_HEIGHT_UM: Final[dict[str, int]] = {"full": 106_680, "low": 64_410}
BRACKET_HEIGHT_UM: Final[dict[str, int]] = {"full": 120_000, "low": 79_200}
CARD_LENGTH_MAX_UM: Final[dict[str, int]] = {
    "full": 312_000,
    "half": 175_000,
    "low-md1": 119_910,
    "low-md2": 167_640,
}

#: The main plug of 24 contacts goes into a header of 20 if nothing of this height stands beside it (Intel
#: nettop white paper 2008, table 7 text, medium to high).
MAIN_PLUG_NEIGHBOUR_MAX_UM: Final = 3_500


def hole_exists(letter: str, width_mm: int, depth_mm: int) -> bool:
    """Whether a board of this size reaches far enough for the hole and its pad (derived; see module text)."""
    hole, reach = HOLES[letter], PAD_RADIUS_UM
    return (
        hole.x_um + reach <= width_mm * 1000 + _ROUNDING_UM
        and hole.y_um + reach <= depth_mm * 1000 + _ROUNDING_UM
    )


def standoff_under(letter: str, width_mm: int, depth_mm: int) -> bool:
    """Whether a standoff at this place reaches under a board of this size (derived: the pad kept free around
    a hole is the room a standoff takes). One beyond the edge touches nothing."""
    hole, reach = HOLES[letter], PAD_RADIUS_UM
    return (
        hole.x_um - reach < width_mm * 1000 + _ROUNDING_UM
        and hole.y_um - reach < depth_mm * 1000 + _ROUNDING_UM
    )


def holes_of(form: str, width_mm: int, depth_mm: int) -> tuple[str, ...]:
    """Return the mounting holes of a board, as sorted letters.

    Forms of fixed size have their nominal set.  The others have those of their nominal set that their size
    leaves; of an "atx" or "ssi-ceb" board too narrow for the column A, G, K only the holes are counted
    that ATX and microATX share: whether B, R or S was drilled is not known (derived).  Forms with a pattern
    of their own give an empty tuple.  Raises ``ValueError`` for an unknown form or a size below 1 mm.
    """
    outline = OUTLINES.get(form)
    if outline is None:
        raise ValueError(f"form factor {form!r} is not known; known are {', '.join(OUTLINES)}")
    if width_mm < 1 or depth_mm < 1:
        raise ValueError(f"board size {width_mm} x {depth_mm} mm is not a size; give millimetres above 0")
    if form in FIXED_SIZE_FORMS:
        return outline.holes
    return tuple(letter for letter in outline.holes if hole_exists(letter, width_mm, depth_mm))


def tray_holes(case_form: str) -> tuple[str, ...]:
    """Standoff positions a case of this form is made with.

    Those of its own board ([uATX] section 2.2), as sorted letters.

    Many trays have more; look.  Empty for forms outside the ATX family and for a maker's own tray.
    """
    outline = OUTLINES.get(case_form)
    return outline.holes if outline else ()


def unsupported_mm(
    width_mm: int, depth_mm: int, supported_holes: tuple[str, ...] | frozenset[str]
) -> tuple[int, int]:
    """How far a board overhangs its last supported hole column (left) and row (front), in millimetres.

    Rounded half up; a board with no supported hole overhangs by its whole size.  Raises ``KeyError`` for a
    letter that is no hole.
    """
    if not supported_holes:
        return width_mm, depth_mm
    holes = [HOLES[letter] for letter in supported_holes]
    left_um = width_mm * 1000 - max(hole.x_um for hole in holes)
    front_um = depth_mm * 1000 - max(hole.y_um for hole in holes)
    return max(0, (left_um + 500) // 1000), max(0, (front_um + 500) // 1000)
