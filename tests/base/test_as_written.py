"""Amounts and dates as people write them: one reading, or a refusal that shows the readings."""

from __future__ import annotations

import datetime

import pytest
from babel.dates import format_date
from babel.numbers import format_decimal
from hypothesis import given
from hypothesis import strategies as st

from partsolver.base.dates import MONTHS, read_date
from partsolver.base.errors import InputRefused
from partsolver.base.quantities import format_amount, given_amount, parse_amount


@pytest.mark.parametrize(
    ("text", "minor"),
    [
        ("129.90", 12990),
        ("129,90", 12990),
        ("129", 12900),
        ("1.299,90", 129990),
        ("1,299.90", 129990),
        ("1 299,90", 129990),
        ("1\u202f299,90", 129990),
        ("1'299.90", 129990),
        ("1.234.567", 123456700),
        ("129,-", 12900),
        ("129.\u2013", 12900),
        ("129,5", 12950),
        ("EUR 129.90", 12990),
        ("129,90 €", 12990),
        ("€129", 12900),
        ("0.005000", None),
        ("-5", -500),
        ("0,10", 10),
        ("1234.50", 123450),
    ],
)
def test_amounts(text: str, minor: int | None) -> None:
    if minor is None:
        with pytest.raises(InputRefused, match="at most 2 decimal places"):
            given_amount("--budget", text, 2, "EUR")
    else:
        assert given_amount("--budget", text, 2, "EUR") == minor


@pytest.mark.parametrize("locale", ["de", "en_GB", "fr", "de_CH", "sv", "pl", "it", "en_US", "cs", "es"])
@pytest.mark.parametrize("minor", [5, 99, 12990, 129990, 123456789])
def test_what_a_language_writes_is_read_again(locale: str, minor: int) -> None:
    """Source: CLDR's decimal formats, through babel."""
    from decimal import Decimal

    shown = format_decimal(Decimal(format_amount(minor, 2)), format="#,##0.00", locale=locale)
    assert given_amount("--budget", shown, 2) == minor


@pytest.mark.parametrize("text", ["1.234", "1,234", "12.345", "999,999"])
def test_an_amount_that_can_be_read_in_two_ways_is_refused_with_both(text: str) -> None:
    with pytest.raises(InputRefused) as refused:
        given_amount("--budget", text, 2)
    whole = text.replace(".", "").replace(",", "")
    assert f"{whole}.00 or" in str(refused.value)


@pytest.mark.parametrize(
    "text", ["", "much", "1.2.3", "1,2,3", "12..5", "1.23,456,7", "--5", "5-", "1e3", "EUR", "½"]
)
def test_what_is_no_amount_is_refused(text: str) -> None:
    with pytest.raises(InputRefused, match="not an amount"):
        given_amount("--budget", text, 2)


@pytest.mark.parametrize("text", ["129.90 GBP", "$129.90", "£ 129", "JPY 12"])
def test_another_currency_is_refused(text: str) -> None:
    with pytest.raises(InputRefused, match="an amount in EUR"):
        given_amount("--budget", text, 2, "EUR")


def test_a_dollar_sign_fits_every_dollar() -> None:
    assert given_amount("--budget", "$10", 2, "CAD") == given_amount("--budget", "10 USD", 2, "USD") == 1000


@pytest.mark.parametrize(
    "text",
    [
        "2026-12-04",
        "4.12.2026",
        "04.12.2026",
        "4. 12. 2026",
        "4 December 2026",
        "4 Dec 2026",
        "Dec 4, 2026",
        "December 4th, 2026",
        "4th of"[:3] + " dec. 2026",
        " 2026-12-4 ",
    ],
)
def test_dates(text: str) -> None:
    assert read_date(text) == datetime.date(2026, 12, 4)


@pytest.mark.parametrize(("text", "day"), [("13/12/2026", 13), ("12/13/2026", 13), ("12/12/2026", 12)])
def test_slashes_where_they_can_be_read_in_one_way(text: str, day: int) -> None:
    assert read_date(text) == datetime.date(2026, 12, day)


def test_slashes_that_can_be_read_in_two_ways_are_refused_with_both() -> None:
    with pytest.raises(ValueError, match="2026-12-04 or 2026-04-12"):
        read_date("04/12/2026")


@pytest.mark.parametrize(
    "text", ["", "soon", "2026-13-01", "30.2.2026", "4 ju 2026", "4 December", "20261204", "1/2"]
)
def test_what_is_no_date_is_refused(text: str) -> None:
    with pytest.raises(ValueError):
        read_date(text)


@pytest.mark.parametrize("month", range(1, 13))
def test_month_names_are_those_of_the_language(month: int) -> None:
    """Source: CLDR's English month names, long and short, through babel."""
    day = datetime.date(2026, month, 17)
    assert format_date(day, "MMMM", locale="en").lower() == MONTHS[month - 1]
    for form in ("d MMMM y", "MMM d, y", "d MMM y"):
        assert read_date(format_date(day, form, locale="en")) == day


@given(st.integers(0, 10**12 - 1), st.text("0123456789", max_size=4), st.sampled_from([0, 2, 3]))
def test_a_plain_amount_is_what_it_is_with_its_currency(whole: int, decimals: str, digits: int) -> None:
    """The short way of amounts as machines write them says what the long way does."""

    def read(text: str) -> object:
        try:
            return parse_amount(text, digits)
        except ValueError:
            return None

    text = f"{whole}.{decimals}" if decimals else str(whole)
    assert read(text) == read(f"{text} XTS")
