"""Order of firmware versions: the test rows of the firmware reference (section 3.1 and 3.2; counted over
63,098 public dumps against release dates)."""

from __future__ import annotations

import pytest

from partsolver.standards.firmware_versions import firmware_order, names_a_file

OLDER = [
    ("F12a", "F12"),
    ("F12a", "F12b"),
    ("F9", "F12a"),
    ("F12", "F13a"),
    ("F9c", "F10"),
    ("FA", "FBa"),
    ("FBa", "FB"),
    ("1.90", "1.A0"),
    ("1.A1", "1.A0"),
    ("1.A0", "1.B0"),
    ("7C02v18", "7C02v1C"),
    ("7C02v19", "7C02v1H"),
    ("V17.2", "V17.10"),
    ("P3.40", "L3.41"),
    ("P1.40", "P1.50"),
    ("A04", "A29"),
    ("1.9.0", "1.11.0"),
    ("1.11.0", "2.2.0"),
    ("K22 v02.53", "K22 v02.57"),
    ("v02.9", "v02.15"),
    ("M1AKT31A", "M1AKT4AA"),
    ("FBKT99AUS", "FBKTA6AUS"),
    ("9SKT87AUS", "9SKT9CAUS"),
    ("M2VKT1FA", "M2VKT20A"),
    ("XY1234.86A.0042.2009.0312.1520", "XY1234.86A.0109.2008.0101.0000"),
    ("V5.0 R1.9.0 for D3000", "V5.0 R1.19.0 for D3000"),
    ("P01-A3", "P01-B1"),
    ("F.10", "F.50"),
    ("0802", "1203"),
    ("1.9", "1.10"),
    ("1.04", "1.10"),
    ("1.30", "2.10"),
    ("1.40", "1.41"),
    ("P1.40", "1.41"),
    # Neighbours of each scheme's numbers and letters.
    ("0100", "0101"),
    ("0199", "0200"),
    ("4998", "4999"),
    ("F12y", "F12z"),
    ("F12z", "F12"),
    ("FY", "FZ"),
    ("1.A1", "1.A2"),
    ("1.AZ", "1.A0"),
    ("1.J0", "1.K0"),
    ("1.K9", "1.K0"),
    ("7C02v1C1", "7C02v1C"),
    ("7C02v1C1", "7C02v1C2"),
    ("7C02v18", "7C02v1C1"),
    ("7c02V18", "7C02v19"),
    ("P1.40A", "P1.40B"),
    ("P1.40", "P1.40A"),
    ("P9.99", "P10.00"),
    ("A09", "A10"),
    ("1.2.0", "1.2.1"),
    ("1.2.3.4", "1.2.3.5"),
    ("K22 Ver. 02.05.01", "K22 ver. 02.05.02"),
    ("M1AKT31", "M1AKT32A"),
    ("R1.9.0", "R1.19.0"),
    ("R1.9.0", "R2.0.0"),
    ("R1.9.0", "R1.9.1"),
    ("P01-A3", "P01-A4"),
    ("R01-A9", "R01-B0"),
    ("80.10", "80.11"),
    ("A0.09", "A0.10"),
]
NOT_KNOWN = [
    ("P1.40", "1.40"),  # the same number under two names
    ("7C02v18", "7c02V18"),
    ("9017", "2001"),
    ("0075", "0802"),
    ("FA", "F9"),
    ("5.12", "5.13"),
    ("5.12", "1.40"),  # one of the two is the core's
    ("080015", "080016"),
    ("A29", "1.2.0"),
    ("1.A0", "2.B0"),
    ("7C02v18", "7B07v1C"),
    ("V17.2", "V18.1"),
    ("1.Q5", "1.A0"),
    ("v2", "2.0"),
    ("K22 v02.53", "L01 v02.57"),
    # One of the two is of no scheme, or the two have no common ground.
    ("0099", "0100"),
    ("4999", "5000"),
    ("1.K0", "1.L0"),
    ("7C02v1C", "7C02v1L"),
    ("7C02v18", "7C02v28"),
    ("A9", "A10"),
    ("1.2.0", "1.2"),
    ("v02.15", "v02.9.1"),
    ("v02.9", "K22 v02.15"),
    ("M1AKT31A", "M2AKT32A"),
    ("XY1234.86A.0042.2009.0312.1520", "XY1235.86A.0043.2009.0312.1520"),
    ("R1.9.0 for D3000", "R1.19.0 for D3001"),
    ("R1.9.0", "R1.19.0 for D3000"),
    ("P01-A3", "P02-A4"),
    ("F.10", "80.20"),
    ("080015", "0802"),
    ("6.00 PG", "6.01"),
    ("4.51 PG", "4.52"),
    ("4.6.4", "4.6.5"),
    ("5.6.5.1", "6.6.5.2"),
]


@pytest.mark.parametrize("old, new", OLDER)
def test_older(old: str, new: str) -> None:
    assert firmware_order(old, new) == -1 and firmware_order(new, old) == 1


@pytest.mark.parametrize("one, other", NOT_KNOWN)
def test_not_known(one: str, other: str) -> None:
    assert firmware_order(one, other) is None and firmware_order(other, one) is None


def test_the_same_is_the_same_in_any_scheme() -> None:
    assert firmware_order("anything", "anything ") == 0 and firmware_order("anything", "else") is None


def test_a_file_name_is_no_report_of_a_board() -> None:
    assert names_a_file("7C02v18") and not names_a_file("1.80") and not names_a_file("F12")
    assert names_a_file(" 7C02V1C1 ") and not names_a_file("7C02v1L") and not names_a_file("7C02v1C12")
