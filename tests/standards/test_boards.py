"""Boards against microATX Motherboard Interface Specification 1.2 [uATX], Mini-ITX addendum 1.1 [ITX], SSI
EEB, DTX.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsolver.standards import boards
from partsolver.standards.boards import (
    ACCEPTS,
    CONDITIONS,
    HOLES,
    OUTLINES,
    holes_of,
    unsupported_mm,
)


# [uATX] figure 2: ATX A C F G H J K L M, microATX B C F H J L M R S; FlexATX addendum 1.0 (as cited): B C F H
# J S; [ITX]: C F H J.
@pytest.mark.parametrize(
    ("form", "letters"),
    [
        ("atx", "ACFGHJKLM"),
        ("microatx", "BCFHJLMRS"),
        ("flexatx", "BCFHJS"),
        ("mini-itx", "CFHJ"),
        ("thin-mini-itx", "CFHJ"),
        ("dtx", "CFHJLM"),
        ("mini-dtx", "CFHJ"),
        ("ssi-eeb", ""),
        ("btx", ""),
    ],
)
def test_nominal_hole_sets(form, letters):
    outline = OUTLINES[form]
    assert outline.holes == tuple(letters)
    assert holes_of(form, outline.width_mm, outline.depth_mm) == tuple(letters)


# [uATX] figures 4, 5 give the holes as offsets from B (right +, front +), in inches here: 3.10 in = 78.74 mm
# and so on.
OFFSETS_FROM_B_MM = {
    "A": (-78.74, 0),
    "B": (0, 0),
    "C": (45.72, 0),
    "F": (203.20, 22.86),
    "G": (-78.74, 154.94),
    "H": (45.72, 154.94),
    "J": (203.20, 154.94),
    "K": (-78.74, 227.33),
    "L": (45.72, 227.33),
    "M": (203.20, 227.33),
    "R": (-20.32, 154.94),
    "S": (0, 154.94),
}


def test_hole_coordinates_from_datum_b():
    assert list(HOLES) == sorted(OFFSETS_FROM_B_MM)
    for letter, (right, front) in OFFSETS_FROM_B_MM.items():
        assert HOLES[letter].x_um == HOLES["B"].x_um - round(right * 1000), letter
        assert HOLES[letter].y_um == HOLES["B"].y_um + round(front * 1000), letter


# Derived from the coordinates with a pad radius of 0.2 in: L, M, K need 242.6 mm of depth, R 235.0 mm of
# width, B and S 214.6, A, G and K 293.4.
@pytest.mark.parametrize(
    ("form", "width", "depth", "letters"),
    [
        ("microatx", 226, 244, "BCFHJLMS"),
        ("microatx", 226, 185, "BCFHJS"),
        ("microatx", 226, 171, "BCFHJS"),
        ("microatx", 244, 226, "BCFHJRS"),
        ("microatx", 190, 171, "CFHJ"),
        ("atx", 305, 225, "ACFGHJ"),
        ("microatx", 244, 243, "BCFHJLMRS"),
        ("microatx", 244, 242, "BCFHJRS"),
        ("microatx", 235, 244, "BCFHJLMRS"),
        ("microatx", 234, 244, "BCFHJLMS"),
        ("microatx", 215, 244, "BCFHJLMS"),
        ("microatx", 214, 244, "CFHJLM"),
        ("atx", 294, 244, "ACFGHJKLM"),
        ("atx", 293, 244, "CFHJLM"),
        ("mini-itx", 170, 170, "CFHJ"),
    ],
)
def test_holes_of_smaller_boards(form, width, depth, letters):
    assert holes_of(form, width, depth) == tuple(letters)


def test_holes_of_refuses():
    with pytest.raises(ValueError, match="known are atx"):
        holes_of("atx2", 305, 244)
    for width, depth in ((0, 244), (305, 0)):
        with pytest.raises(ValueError, match=f"{width} x {depth} mm is not a size"):
            holes_of("atx", width, depth)
    assert holes_of("atx", 1, 1) == ()


# Consequences stated for these cases: 80 mm of the left side of a microATX board hangs free in a pure ATX
# tray; 60 mm of the front of a shallow board; 5 mm past the last row of a 170 mm deep one.
@pytest.mark.parametrize(
    ("width", "depth", "holes", "left", "front"),
    [
        (244, 244, "CFHJLM", 80, 7),
        (305, 225, "ACFGHJ", 17, 60),
        (226, 170, "BCFHJS", 16, 5),
        (170, 170, "", 170, 170),
    ],
)
def test_unsupported(width, depth, holes, left, front):
    assert unsupported_mm(width, depth, tuple(holes)) == (left, front)


# Sizes: [uATX] table 3 (12.0 x 9.6 in), [ITX] table 1, SSI EEB 12 x 13 in, CEB 12 x 10.5 in, DTX 8.0 x 9.6
# in.
@pytest.mark.parametrize(
    ("form", "inches", "slots"),
    [
        ("atx", (12.0, 9.6), 7),
        ("microatx", (9.6, 9.6), 4),
        ("flexatx", (9.0, 7.5), 3),
        ("dtx", (8.0, 9.6), 2),
        ("mini-dtx", (8.0, 6.7), 2),
        ("mini-itx", (6.7, 6.7), 1),
        ("ssi-ceb", (12.0, 10.5), 7),
        ("ssi-eeb", (12.0, 13.0), 7),
    ],
)
def test_outline_sizes(form, inches, slots):
    outline = OUTLINES[form]
    assert abs(outline.width_mm - inches[0] * 25.4) <= 0.6 and abs(outline.depth_mm - inches[1] * 25.4) <= 0.6
    assert outline.slots == slots


# [uATX] section 1.5, [ITX] section 2.4.1: smaller boards of the family go into larger cases; SSI EEB has its
# own pattern.
@pytest.mark.parametrize(
    ("case", "board", "accepted"),
    [
        ("atx", "mini-itx", True),
        ("atx", "microatx", True),
        ("atx", "ssi-eeb", False),
        ("atx", "ssi-ceb", False),
        ("microatx", "atx", False),
        ("microatx", "dtx", True),
        ("flexatx", "dtx", False),
        ("flexatx", "mini-dtx", True),
        ("dtx", "flexatx", False),
        ("mini-dtx", "dtx", False),
        ("mini-itx", "thin-mini-itx", True),
        ("mini-itx", "mini-dtx", False),
        ("ssi-ceb", "atx", True),
        ("ssi-ceb", "ssi-eeb", False),
        ("ssi-eeb", "atx", True),
        ("btx", "atx", False),
        ("baby-at", "atx", False),
        ("lpx", "mini-itx", False),
        ("nlx", "microatx", False),
        ("own", "mini-itx", False),
        ("btx", "microbtx", False),
    ],
)
def test_acceptance(case, board, accepted):
    assert (board in ACCEPTS[case]) is accepted


def test_acceptance_follows_outlines_and_conditions():
    for case, accepted in ACCEPTS.items():
        for board in accepted:
            assert OUTLINES[board].width_mm <= OUTLINES[case].width_mm
            assert OUTLINES[board].depth_mm <= OUTLINES[case].depth_mm
            if (case, board) not in CONDITIONS and case not in ("ssi-ceb",) and board != "flexatx":
                missing = set(OUTLINES[board].holes) - set(OUTLINES[case].holes)
                assert missing <= {"B", "R", "S"}, (case, board)
    assert CONDITIONS["atx", "ssi-ceb"] == "depth-clear" and CONDITIONS["ssi-eeb", "atx"] == "atx-standoffs"


def test_opening_slots_and_cards():
    # [uATX] figure 4: 6.25 x 1.75 in, datum 0.150 in; slot pitch 0.800 in; low-profile PCI bracket 79.2 mm.
    assert (boards.APERTURE_WIDTH_UM, boards.APERTURE_HEIGHT_UM) == (6.25 * 25_400, 1.75 * 25_400)
    assert boards.APERTURE_DATUM_UM == 0.150 * 25_400
    assert boards.SLOT_PITCH_UM == 0.8 * 25_400
    assert boards.CARD_HEIGHT_UM == {"full": 106_680, "low": 64_410}
    assert boards.BRACKET_HEIGHT_UM["low"] == 79_200
    assert boards.BTX_SHIELD_UM[0] > boards.APERTURE_WIDTH_UM  # not interchangeable


def test_tray_holes():
    assert boards.tray_holes("microatx") == tuple("BCFHJLMRS")  # [uATX] section 2.2: all nine
    assert boards.tray_holes("own") == ()


# Four independent open-hardware drawings agree on the twelve centres (inches from the I/O side and rear
# edges).
@pytest.mark.parametrize(
    ("letter", "x_inch", "y_inch"),
    [
        ("A", "11.35", "0.40"),
        ("B", "8.25", "0.40"),
        ("C", "6.45", "0.40"),
        ("F", "0.25", "1.30"),
        ("G", "11.35", "6.50"),
        ("H", "6.45", "6.50"),
        ("J", "0.25", "6.50"),
        ("K", "11.35", "9.35"),
        ("L", "6.45", "9.35"),
        ("M", "0.25", "9.35"),
        ("R", "9.05", "6.50"),
        ("S", "8.25", "6.50"),
    ],
)
def test_hole_coordinates_from_the_edges(letter, x_inch, y_inch):
    def um(inch):  # 0.01 in = 254 um exactly
        return int(inch.replace(".", "")) * 254

    assert (HOLES[letter].x_um, HOLES[letter].y_um) == (um(x_inch), um(y_inch))


SIZES = st.integers(min_value=100, max_value=360)


@given(st.sampled_from(sorted(OUTLINES)), SIZES, SIZES, SIZES, SIZES)
def test_a_larger_board_of_a_form_never_has_fewer_holes(form, w1, w2, d1, d2):
    small = holes_of(form, min(w1, w2), min(d1, d2))
    large = holes_of(form, max(w1, w2), max(d1, d2))
    assert set(small) <= set(large) and list(large) == sorted(large)


def test_every_case_form_of_the_catalogue_has_a_row():
    # Common practice: a microATX board goes into an ATX case and not the other way round; cases of other
    # families and makers' own trays take no standard board.
    assert "microatx" in ACCEPTS["atx"] and "atx" not in ACCEPTS["microatx"]
    for form in ("btx", "baby-at", "lpx", "nlx", "own"):
        assert ACCEPTS[form] == frozenset()
    # [ITX] section 2.4.1: a Mini-ITX board can go in any chassis of the family.
    for form in ("atx", "microatx", "flexatx", "dtx", "mini-dtx", "mini-itx", "ssi-ceb", "ssi-eeb"):
        assert {"mini-itx", "thin-mini-itx"} <= ACCEPTS[form]


def test_pad_and_thresholds():
    # Derived with a pad radius of 0.2 in: least width for R 235.0, B and S 214.6, A, G, K 293.4; depth L, M,
    # K 242.6.
    reach = boards.PAD_RADIUS_UM
    assert reach == 5080
    for letters, limit_um in (("R", 235_000), ("BS", 214_600), ("AGK", 293_400)):
        assert all(abs(HOLES[letter].x_um + reach - limit_um) <= 50 for letter in letters)
    assert all(abs(HOLES[letter].y_um + reach - 242_600) <= 50 for letter in "LMK")
