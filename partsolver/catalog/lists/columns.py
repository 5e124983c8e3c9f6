"""What the columns of a seller's list mean: proposed from header words and contents, settled once per
seller."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Literal

from partsolver.base.records import record
from partsolver.catalog.lists.around import (
    body_of,
    currency_said,
    has_digit,
    header_text,
    rate_of,
    rate_said,
    ratio,
    says,
    state_above,
    tax_above,
    tax_between,
    tax_words,
    words_of,
)
from partsolver.catalog.lists.sheets import Sheet
from partsolver.catalog.plain_words import plain_words
from partsolver.catalog.store.identity import gtin14
from partsolver.catalog.store.records import Tax

ROLES = (
    "sku",
    "mpn",
    "gtin",
    "maker",
    "name",
    "net",
    "gross",
    "price",
    "cents",
    "stock",
    "delivery",
    "condition",
    "tax_rate",
    "currency",
    "category",
    "value",
    "per",
    "minimum",
    "until",
    "several",
)
PRICE_ROLES = ("gross", "net", "price", "cents")
# The header stands in the first so many rows; addresses and dates stand above it (3 of 5 measured lists).
HEADER_WITHIN = 40
Question = Literal["header", "name", "price", "tax", "rate"]


@record
class Columns:
    """The settled columns of a list: row of the header, role -> column number, tax of the prices and its
    rate, the words that say so, the currency that the price column's header or a line above names (a code
    or a sign); ``asked``: what is not sure, to be asked; ``state``: of all goods that say nothing else (used,
    refurbished), as a line above the header says; ``said``: tax and rate as the list itself says them."""

    header_row: int
    roles: Mapping[str, int]
    headers: tuple[str, ...]
    tax: Tax | None = None
    tax_percent_x100: int | None = None
    evidence: str = ""
    currency: str | None = None
    asked: tuple[Question, ...] = ()
    state: str | None = None
    said: tuple[Tax | None, int | None] = (None, None)

    def remembered(self) -> str:
        """What is kept of it for the seller's next list."""
        return json.dumps(
            {"headers": list(self.headers), "roles": dict(self.roles), "said": list(self.said)},
            ensure_ascii=False,
            sort_keys=True,
        )


@cache
def header_words() -> Mapping[str, str]:
    """Header word -> role."""
    return words_of("header_words.csv", "role")


# An abbreviation with a dot behind each letter ("P.V.P.").
_DOTTED = re.compile(r"(?<![\w.])(?:\w\.){2,}(?:\w(?!\w))?")
# The longest header that is compared with the words: a longer one is prose, or no table at all.
MOST_HEADER = 200


# A price of so many pieces or from so many on ("Price (per 100)", "EUR/100", "ab 10 Stk"), not of one; a year and a
# rate of tax are no pieces.
_COUNT = r"(?!(?:19|20)\d\d\b)(?:[2-9]|1\d)\d*(?!\d|\.\d|\s*%)"
_OF_SEVERAL = re.compile(
    rf"(?:\b(?:per|pro|je|par|por|za|for|für|ab|from|od|vanaf|desde)\s*|[^\W\d]\s*/\s*|[€$£]\s*/\s*){_COUNT}"
    rf"|\b{_COUNT}\s*\+?\s*(?:pcs|pieces|units|st|stk|stück|szt|ks|pack|er)\b"
    r"|\b(?:1000|tsd|thousand|k€|k\$|dozen|dutzend)\b"
)
# A header that names nothing but the unit of a price ("EUR/100").
_IN_CURRENCY = re.compile(r"(?:eur|usd|gbp|pln|czk|chf|huf|sek|dkk|nok|[€$£])\s*(?:/|per|pro|je|par|por|za)")
_IN_CENTS = re.compile(
    r"(?<![^\W_])(?:ct|cts|cents?|pence|centimes?|céntimos?|centesimi|halé[řr]e?|groszy|grosze)(?![^\W_])"
)


def role_of(text: str) -> str | None:
    """The role a header word names, with or without a unit or tax word behind it ("Preis EUR netto"). A price that
    is not of one piece in the currency's own unit is none that could be counted with ("several"): it is asked."""
    role = _role_of(text)
    if role is None and _IN_CURRENCY.match(text):
        return "several" if _OF_SEVERAL.search(text) else None
    if role in PRICE_ROLES or role == "value":
        if _OF_SEVERAL.search(text):
            return "several"
        if _IN_CENTS.search(text):
            return "cents" if role in ("price", "cents") else "several"
    return role


def _role_of(text: str) -> str | None:
    words = header_words()
    text = text.strip(" :*.")
    if len(text) > MOST_HEADER:
        return None
    for candidate in (text, text + ".", re.sub(r"\s*[(\[][^()\[\]]*[)\]]\s*", " ", text).strip()):
        if candidate in words:
            return words[candidate]
    plain = re.sub(
        r"(?<!\w)(?:eur|usd|gbp|pln|czk|chf|huf|sek|dkk|nok|in|en|w)(?!\w)|[€$£()\[\]]|zł", " ", text
    )
    plain = _DOTTED.sub(lambda match: match[0].replace(".", ""), " ".join(plain.split())).strip(" :*./")
    if plain in words:
        return words[plain]
    tax = next((kind for word, kind in tax_words().items() if says(plain, word)), None)
    if tax in ("net", "gross"):
        return tax if any(words.get(token) == "price" for token in plain.split()) else None
    return _role_by_words(text)


# Words that say nothing of what a column holds: currencies, "per piece", "in", "the".
_NEUTRAL = frozenset(
    [
        "eur",
        "usd",
        "gbp",
        "pln",
        "czk",
        "chf",
        "huf",
        "sek",
        "dkk",
        "nok",
        "ron",
        "rub",
        "bgn",
        "uah",
        "try",
        "kr",
        "zl",
        "kc",
        "ft",
        "lei",
        "руб",
        "р",
        "грн",
        "лв",
        "euro",
        "per",
        "piece",
        "pc",
        "pcs",
        "st",
        "stk",
        "stuck",
        "je",
        "pro",
        "a",
        "the",
        "in",
        "en",
        "w",
        "za",
        "1",
        "szt",
        "ks",
        "kus",
        "unit",
        "unite",
        "unidad",
        "unita",
        "stuks",
        "stuk",
        "pezzo",
        "pz",
        "шт",
        "за",
        "our",
        "notre",
        "il",
        "la",
        "le",
        "der",
        "die",
        "das",
        "of",
        "de",
        "di",
        "do",
    ]
)


@cache
def _role_words() -> Mapping[tuple[str, ...], str]:
    found: dict[tuple[str, ...], str] = {}
    for word, role in header_words().items():
        found.setdefault(plain_words(word), role)
    return found


def _role_by_words(text: str) -> str | None:
    """The role of a header whose words, but for neutral ones, are those of one ("Prijs per stuk", "Цена,
    руб.")."""
    left = tuple(word for word in plain_words(text) if word not in _NEUTRAL)
    return _role_words().get(left) if left else None


def proposed(sheet: Sheet, kept: str | None = None, said: Mapping[str, int] | None = None) -> Columns | None:
    """The columns of a sheet: those kept for the seller where the header is the same, else proposed; what the
    person ``said`` beats both. None for a sheet without a price list."""
    best: tuple[int, int, dict[str, int], tuple[str, ...]] | None = None
    for number, row in enumerate(sheet.rows[:HEADER_WITHIN]):
        headers = tuple(header_text(cell) for cell in row)
        for headers_here, last in ((headers, number), (_with_next(sheet, number, headers), number + 1)):
            roles = _roles(headers_here)
            worth = len(roles) + 2 * ("name" in roles) + 2 * any(role in roles for role in PRICE_ROLES)
            if len(roles) >= 2 and (best is None or worth > best[0]):
                best = (worth, last, roles, headers_here)
    if best is None:
        return _without_header(sheet, said or {})
    _, last, roles, headers_here = best
    same = json.loads(kept) if kept else {}
    if same.get("headers") == list(headers_here):
        roles = {role: int(column) for role, column in same["roles"].items()}
    roles = as_said(_by_contents(sheet, last, roles), said or {})
    return _settled(sheet, last, roles, headers_here)


def as_said(roles: Mapping[str, int], said: Mapping[str, int]) -> dict[str, int]:
    """The roles with those that the person said: of the prices only theirs, where they said one."""
    if not set(PRICE_ROLES).isdisjoint(said):
        roles = {role: column for role, column in roles.items() if role not in PRICE_ROLES}
    return {**roles, **said}


def _with_next(sheet: Sheet, number: int, headers: tuple[str, ...]) -> tuple[str, ...]:
    """Two header rows as one: a group above, names below."""
    if number + 1 >= len(sheet.rows):
        return headers
    below = [header_text(cell) for cell in sheet.rows[number + 1]]
    if any(isinstance(cell, int | float) for cell in sheet.rows[number + 1]):
        return headers
    width = max(len(headers), len(below))
    above = [*headers, *[""] * (width - len(headers))]
    below += [""] * (width - len(below))
    merged = []
    for top, bottom in zip(above, below, strict=True):
        both = f"{top} {bottom}".strip()
        merged.append(bottom if role_of(bottom) and not role_of(both) else both)
    return tuple(merged)


def _roles(headers: Sequence[str]) -> dict[str, int]:
    """Role -> column; of two columns with one role the first."""
    found: dict[str, int] = {}
    for column, text in enumerate(headers):
        role = role_of(text) if text else None
        if role in ROLES and role not in found:
            found[role] = column
    return found


def _by_contents(sheet: Sheet, header_row: int, roles: dict[str, int]) -> dict[str, int]:
    """A column of GTINs is one whatever its header says; one without any is none."""
    taken = set(roles.values())
    width = max((len(row) for row in body_of(sheet, header_row)), default=0)
    found = dict(roles)
    for column in range(width):
        cells = [
            str(row[column])
            for row in body_of(sheet, header_row)
            if len(row) > column and row[column] is not None
        ]
        valid = sum(gtin14(cell) is not None and len(cell) >= 8 for cell in cells)
        if "gtin" not in found and column not in taken and len(cells) >= 3 and valid * 10 >= len(cells) * 9:
            found["gtin"] = column
    return found


def _without_header(sheet: Sheet, said: Mapping[str, int]) -> Columns | None:
    """Pasted lines without a header: the one column of long texts is the name, the last of amounts the
    price."""
    rows = [row for row in sheet.rows if len(row) >= 2]
    if not rows or len(rows) * 2 < len(sheet.rows):
        return None
    width = max(map(len, rows))
    names, prices = [], []
    for column in range(width):
        cells = [row[column] for row in rows if len(row) > column and row[column] is not None]
        texts = [cell for cell in cells if isinstance(cell, str)]
        if texts and sum(len(text) > 12 and " " in text for text in texts) * 10 >= len(cells) * 8:
            names.append(column)
        amounts = [c for c in cells if isinstance(c, float) or (isinstance(c, str) and _AMOUNT.fullmatch(c))]
        if cells and len(amounts) * 10 >= len(cells) * 8:
            prices.append(column)
    if len(names) != 1 or len(prices) != 1:
        return None
    return _settled(sheet, -1, as_said({"name": names[0], "price": prices[0]}, said), ())


_AMOUNT = re.compile(
    r"[^\d]{0,5}\d[\d .,'’\u00a0\u202f]*[.,](?:\d{2}|-{1,2})\s*[^\d]{0,5}|[€£$]\s?\d+|\d[\d .]*\s?(?:[€£$]|zł|Kč|kr|Ft)"
)


def _settled(sheet: Sheet, header_row: int, roles: dict[str, int], headers: tuple[str, ...]) -> Columns:
    asked: list[Question] = []
    if "name" not in roles:
        asked.append("name")
    prices = [role for role in PRICE_ROLES if role in roles]
    if not prices:
        asked.append("price")
    tax, evidence, percent = None, "", None
    between = tax_between(sheet, header_row) if prices else set()
    if has_both_taxes(roles):
        tax, evidence = "gross", headers[roles["gross"]] if headers else ""
        percent = ratio(sheet, header_row, roles["net"], roles["gross"])
    elif prices:
        role = prices[0]
        if role in ("net", "gross"):
            tax, evidence = role, headers[roles[role]] if headers else ""
        said, line = tax_above(sheet, header_row, roles[role])
        if tax is None:
            tax, evidence = said, line
        elif (said is not None and said != tax) or between & {"net", "gross"} - {tax}:
            tax = None
        percent = rate_said(line) if said else None
    if prices and tax is None:
        asked.append("tax")
    kinds: dict[str, Tax] = {"net": "net", "gross": "gross", "final": "final"}
    settled = kinds.get(tax or "")
    # Headings speak of net and gross only where no column does: then some rows are net beside others.
    nets = settled == "net" or ("net" in between and {"net", "gross"}.isdisjoint(roles))
    if nets and not each_has_a_rate(sheet, header_row, roles):
        asked.append("rate")
    currency = currency_said(sheet, header_row, roles[prices[0]]) if prices else None
    state = state_above(sheet, header_row)
    said_here = settled, percent
    return Columns(
        header_row, roles, headers, settled, percent, evidence, currency, tuple(asked), state, said_here
    )


def has_both_taxes(roles: Mapping[str, int]) -> bool:
    """Whether both the net and the gross price of each article stand there: the gross one is counted."""
    return "net" in roles and "gross" in roles


def each_has_a_rate(sheet: Sheet, header_row: int, roles: Mapping[str, int]) -> bool:
    """Whether a column says the rate of tax of each row that has a price: without it a net price would pass as what
    is paid."""
    price = next((roles[role] for role in PRICE_ROLES if role in roles), None)
    rate = roles.get("tax_rate")
    return rate is not None and all(
        len(row) > rate and rate_of(row[rate]) is not None
        for row in sheet.rows[header_row + 1 :]
        if price is not None and len(row) > price and has_digit(row[price])
    )
