"""Rows of a list with settled columns into sightings, and what is left out with the reason."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from partsolver.base.records import record
from partsolver.catalog.lists.amounts import (
    Amount,
    decimal_sign,
    in_minor_units,
    own_or_only,
    signs_differ,
    thousands_as_decimals,
    written_amount,
)
from partsolver.catalog.lists.around import heading_of, rate_of, tax_said
from partsolver.catalog.lists.columns import PRICE_ROLES, Columns
from partsolver.catalog.lists.sheets import Cell, Sheet
from partsolver.catalog.lists.shelf import SHELF
from partsolver.catalog.lists.stock import Stock, stock_of
from partsolver.catalog.lists.validity import end_above, end_of
from partsolver.catalog.store.identity import gtin14
from partsolver.catalog.store.records import LeftOut, OfferSeen, Sighting, Tax
from partsolver.catalog.titles.article import Article, article_of, articles_of

# A line that is nothing but a text with so many facts is no heading.
_FACTS_OF_AN_ARTICLE = 2
_LOOKS_DAMAGED = re.compile(r"\d[.,]\d+E\+\d+", re.IGNORECASE)


@record
class ListRead:
    """What a list gave."""

    sightings: tuple[Sighting, ...]
    left_out: tuple[LeftOut, ...]
    rows: int


@record
class About:
    """Where rows come from and how they are counted: seller, file, day, currency of the store; ``shelf``:
    they are parts that are there, for nothing unless a worth is said, one piece unless a count is, used
    unless it is said."""

    seller: str
    origin: str
    stated_on: datetime.date
    currency: str
    shelf: bool = False


@record
class _Above:
    """What headings above a row say: the part table, the state of the goods and its word, tax in the prices."""

    kind_word: str | None
    state: str | None
    word: str = ""
    tax: Tax | None = None


@lru_cache(maxsize=256)
def _kind_word(category: str) -> str | None:
    """The part table that a category names."""
    return article_of(category).kind_word


class _Rows:
    """The body of one sheet."""

    def __init__(self, sheet: Sheet, columns: Columns, about: About) -> None:
        self._sheet, self._columns, self._about = sheet, columns, about
        role = next((role for role in PRICE_ROLES if role in columns.roles), None)
        self._price_column = None if role is None else columns.roles[role]
        self._cents = role == "cents"
        self._end_above = end_above(sheet, columns.header_row, about.stated_on)
        body = sheet.rows[columns.header_row + 1 :]
        prices = (
            [] if self._price_column is None else [self._cell_at(row, self._price_column) for row in body]
        )
        self._thousands = thousands_as_decimals(prices)
        written = [written_amount(cell, about.currency) for cell in prices]
        self._amounts = written
        texts = [a.digits for a, c in zip(written, prices, strict=True) if isinstance(c, str) and a.digits]
        self._sign, self._is_mixed = decimal_sign(texts), signs_differ(texts)
        named = columns.currency
        self._header_currency = None if named is None else own_or_only(named, about.currency)
        beside = {amount.currency for amount in written if amount.currency}
        if named is None and len(beside) == 1:
            # Said beside some prices of the column, and none other: it is that of all.
            self._header_currency = beside.pop()

    def _cell_at(self, row: Sequence[Cell], column: int | None) -> Cell:
        return None if column is None or column >= len(row) else row[column]

    def _cell(self, row: Sequence[Cell], role: str) -> Cell:
        return self._cell_at(row, self._columns.roles.get(role))

    def _text(self, row: Sequence[Cell], role: str) -> str | None:
        cell = self._cell(row, role)
        return None if cell is None or isinstance(cell, bool) else " ".join(str(cell).split()) or None

    def read(self) -> ListRead:
        sightings: list[Sighting] = []
        left: list[LeftOut] = []
        goods = list(self._goods())
        named = [(name, above.kind_word) for _, _, name, above in goods if name is not None]
        articles = iter(articles_of(named))
        start = self._columns.header_row + 1
        for number, row, name, above in goods:
            place = f"{self._sheet.name}:{number}" if self._sheet.name else str(number)
            if name is None:
                said = " ".join(str(c) for c in row if c is not None)
                left.append(self._left(place, said, "no-name"))
                continue
            amount = self._amounts[number - start - 1] if self._amounts else Amount("")
            found = self._row(row, place, name, next(articles), amount, above)
            if isinstance(found, Sighting):
                sightings.append(found)
            else:
                left.append(found)
        return ListRead(tuple(sightings), tuple(left), len(goods))

    def _goods(self) -> Iterator[tuple[int, Sequence[Cell], str | None, _Above]]:
        """The rows that are no headings: number, row, name, what headings above say. A state of "used boards" holds
        to the next heading, that of "used parts" to the next that says a state; tax to the next that says tax."""
        usual = _Above(None, self._columns.state)
        above, of_a_kind = usual, False
        start = self._columns.header_row + 1
        for number, row in enumerate(self._sheet.rows[start:], start + 1):
            if not any(cell is not None for cell in row):
                continue
            heading = heading_of(row)
            if heading is not None:
                article = article_of(heading)
                above = replace(above, kind_word=article.kind_word, tax=self._tax_of(heading) or above.tax)
                # A name with several facts is an article whose other cells are blank.
                if article.table is None or len(article.cells) < _FACTS_OF_AN_ARTICLE:
                    if article.state == "new" or (article.state is None and of_a_kind):
                        above, of_a_kind = replace(above, state=usual.state, word=""), False
                    elif article.state is not None:
                        above = replace(above, state=article.state, word=article.detail)
                        of_a_kind = above.kind_word is not None
                    continue
            category = self._text(row, "category")
            kind_word = _kind_word(category) if category else above.kind_word
            yield number, row, self._text(row, "name"), replace(above, kind_word=kind_word)

    def _tax_of(self, heading: str) -> Tax | None:
        """What a heading says of the prices below it; between net and gross the price's own column decides."""
        tax = tax_said(heading)
        if tax == "final" or (tax is not None and not {"net", "gross"} & set(self._columns.roles)):
            return tax
        return None

    def _left(self, place: str, text: str, reason: str, detail: str = "") -> LeftOut:
        return LeftOut(self._about.origin, place, text, reason, detail)

    def _row(
        self,
        row: Sequence[Cell],
        place: str,
        name: str,
        article: Article,
        amount: Amount,
        above: _Above,
    ) -> Sighting | LeftOut:
        if article.table is None:
            return self._left(place, name, article.reason, article.detail)
        condition = self._text(row, "condition")
        own = article.state is not None
        state, word = (article.state, article.detail) if own else (above.state, above.word)
        said = None if condition is None else _condition_of(condition)
        if said is not None and state != "defective":
            state, word = said, str(condition)
        if state == "defective":
            return self._left(place, name, "defective", word)
        for role, reason in (("per", "quantity"), ("minimum", "minimum")):
            if (several := self._several(row, role)) is not None:
                return self._left(place, name, reason, several)
        price = self._price(row, amount)
        if isinstance(price, tuple):
            return self._left(place, name, *price)
        until = self._until(row)
        if isinstance(until, str):
            return self._left(place, name, "bad-until", until)
        stock = stock_of(self._cell(row, "stock"), self._cell(row, "delivery"), self._about.stated_on)
        # Said with each offer: a later list of the seller may count otherwise, and these stay what they are.
        tax, rate = above.tax or self._columns.tax, rate_of(self._cell(row, "tax_rate"))
        rate = self._columns.tax_percent_x100 if rate is None else rate
        offer = OfferSeen(
            price,
            self._about.stated_on,
            self._currency(row, amount),
            tax=tax,
            tax_percent_x100=rate if tax == "net" else None,
            cells=_offer_cells(state, stock, until, self._about.shelf),
        )
        return Sighting(
            self._about.seller,
            article.table,
            name,
            self._about.origin,
            place,
            self._about.stated_on,
            tuple(article.facts(place)),
            (offer,),
            maker=self._text(row, "maker"),
            mpn=self._undamaged(row, "mpn"),
            gtin=gtin14(self._undamaged(row, "gtin")),
            sku=self._undamaged(row, "sku"),
            leftover=article.leftover,
        )

    def _until(self, row: Sequence[Cell]) -> datetime.date | str | None:
        """The last day on which a row's price holds, by its own column or a line above the header; the words of a cell
        that speaks of a day that cannot be read."""
        cell = self._cell(row, "until")
        end = end_of(cell, self._about.stated_on)
        if end is None and any(letter.isdigit() for letter in str(cell or "")):
            return str(cell)
        return min((day for day in (end, self._end_above) if day is not None), default=None)

    def _several(self, row: Sequence[Cell], role: str) -> str | None:
        """Of how many pieces a row's price is, or how many have to be ordered, where that is not one."""
        text = self._text(row, role)
        number = re.search(r"\d+", text) if text is not None else None
        return text if number is not None and int(number[0]) > 1 and not self._about.shelf else None

    def _undamaged(self, row: Sequence[Cell], role: str) -> str | None:
        """A number as text; one that a spreadsheet turned into 4.00596E+12 is lost."""
        text = self._text(row, role)
        return None if text is None or _LOOKS_DAMAGED.fullmatch(text) else text.strip("'`")

    def _currency(self, row: Sequence[Cell], amount: Amount) -> str | None:
        stated = self._text(row, "currency")
        if stated and re.fullmatch(r"[A-Za-z]{3}", stated):
            return stated.upper()
        return amount.currency or self._header_currency

    def _price(self, row: Sequence[Cell], amount: Amount) -> int | tuple[str, str]:
        """Minor units, or (reason, detail) of a price that is none."""
        if self._about.shelf and amount.reason in ("", "no-price") and self._is_nothing(row):
            return 0
        if amount.reason or self._price_column is None:
            cell = self._cell_at(row, self._price_column)
            return amount.reason or "no-price", "" if cell is None else str(cell)
        currency = self._currency(row, amount) or self._about.currency
        written = amount.digits
        number = not isinstance(self._cell_at(row, self._price_column), str)
        if number and self._thousands:
            written = str(round(float(written) * 1000)) if "." in written else written
        found = in_minor_units(written, "." if number else self._sign, currency, self._cents)
        if self._is_mixed and not number and in_minor_units(written, None, currency, self._cents) is None:
            found = None
        if found is None:
            return "bad-price", str(self._cell_at(row, self._price_column))
        return found if found > 0 else ("no-price", written)

    def _is_nothing(self, row: Sequence[Cell]) -> bool:
        """Whether the price of a row is left open, or 0."""
        cell = self._cell_at(row, self._price_column)
        return cell is None or not re.search(r"[1-9]|[^\W\d]{4,}", str(cell))


# "Like new" is not new.
_NEARLY = re.compile(
    r"\b(?:like|as|wie|comme|como|come|jak|som|quasi|almost|nearly|fast|nieuwstaat)\b", re.IGNORECASE
)


# Whole cells of such a column: new in languages whose titles need no word for it, and how goods are packed or that
# nobody wrote anything, which says nothing of use (both common practice; the words from memory).
_NEW_CELL = re.compile(
    r"nuov[oai]|nieuwe?|nov[ýáéoa]|ny|nya|nytt|nyt|нов(?:ый|ая|ое|ий)|uusi|új|nou|nouă|unused|unbenutzt|sealed",
    re.IGNORECASE,
)
_SILENT_CELL = re.compile(r"[\W_]*|n/?a|ovp|oem|bulk|tray|retail|boxed", re.IGNORECASE)


@lru_cache(maxsize=256)
def _condition_of(text: str) -> str | None:
    """The state that a cell of a column of conditions says, None where it says nothing: a word or grade that nobody
    knows ("good", "B") is of goods that somebody had before."""
    if _SILENT_CELL.fullmatch(text):
        return None
    state = "new" if _NEW_CELL.fullmatch(text) else article_of(text).state or "used"
    return "used" if state == "new" and _NEARLY.search(text) else state


def _offer_cells(
    state: str | None, stock: Stock, until: datetime.date | None, shelf: bool
) -> tuple[tuple[str, str], ...]:
    """Further columns of offers.csv. ``state``: of the goods, None where nothing says it; ``until``: the last day."""
    cells: Mapping[str, str | None] = {
        "stock": str(stock.pieces) if stock.pieces is not None else None if stock.sold_now else "0",
        "available_on": None if stock.available_on is None else stock.available_on.isoformat(),
        "condition": state if state in ("used", "refurbished") else None,
    }
    if shelf:
        cells = {
            "stock": str(1 if stock.pieces is None else stock.pieces),
            "condition": state if state in ("new", "refurbished") else "used",
            "source": SHELF,
        }
    else:
        cells = {**cells, "valid_until": None if until is None else until.isoformat()}
        if stock.available_on is not None and stock.pieces == 0:
            cells = {**cells, "stock": None}
    return tuple(sorted((column, value) for column, value in cells.items() if value is not None))


def read_rows(sheet: Sheet, columns: Columns, about: About) -> ListRead:
    """The rows of a sheet with settled columns."""
    return _Rows(sheet, columns, about).read()
