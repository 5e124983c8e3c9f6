"""The product a page is about, out of the items it marks up (schema.org release 30.0): Product,
ProductGroup with hasVariant, Offer, AggregateOffer (a price range is no price), priceSpecification,
additionalProperty."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from typing import Any
from urllib.parse import urlsplit

from partsolver.base.records import record
from partsolver.catalog.lists.amounts import decimal_sign, in_minor_units, written_amount
from partsolver.catalog.lists.sheets import printable
from partsolver.catalog.lists.stock import BUYABLE_NOW
from partsolver.catalog.pages.markup import MOST_DEPTH, Item, type_names
from partsolver.catalog.store.identity import gtin14
from partsolver.catalog.store.records import OfferSeen, Tax

_PRODUCTS = frozenset(("Product", "IndividualProduct", "ProductModel", "SomeProducts", "ProductGroup"))
# Products inside these properties are others than the page's.
_OTHERS = frozenset(
    ("review", "reviews", "itemReviewed", "isRelatedTo", "isSimilarTo", "isAccessoryOrSparePartFor", "isConsumableFor",
     "isVariantOf", "aggregateRating", "breadcrumb", "author")
)  # fmt: skip
# PriceTypeEnumeration: what is not what the buyer pays, beside a price that is.
_NOT_PAID = frozenset(
    ("ListPrice", "MSRP", "SRP", "StrikethroughPrice", "RegularPrice", "MinimumAdvertisedPrice")
)
# OfferItemCondition, all members.
CONDITIONS = {
    "NewCondition": None,
    "UsedCondition": "used",
    "RefurbishedCondition": "refurbished",
    "DamagedCondition": "defective",
}
_AVAILABILITY = {name.casefold(): name for name in BUYABLE_NOW}
_GTINS = ("gtin", "gtin13", "gtin14", "gtin12", "gtin8", "productID")


@record
class OfferFound:
    """One offer of a product: what is stored of it, the seller it names, or the reason it is none."""

    offer: OfferSeen | None
    seller: str | None = None
    reason: str = ""
    detail: str = ""
    delivery_minor: int | None = None


@record
class ProductFound:
    """A product that a page marks up; ``properties``: (name, value with unit) of additionalProperty."""

    name: str
    maker: str | None
    mpn: str | None
    gtin: str | None
    sku: str | None
    category: str | None
    properties: tuple[tuple[str, str], ...]
    offers: tuple[OfferFound, ...]


def products(items: list[Item]) -> list[Item]:
    """Product items, the page's own before those inside others; variants stand for their group."""
    found: list[Item] = []

    def walk(value: Any, depth: int) -> None:
        if depth > MOST_DEPTH or len(found) > 2000:
            return
        if isinstance(value, list):
            for inner in value:
                walk(inner, depth + 1)
        elif isinstance(value, dict):
            if type_names(value) & _PRODUCTS:
                variants = [v for v in _list(value.get("hasVariant")) if isinstance(v, dict)]
                shared = {
                    k: v for k, v in value.items() if k not in ("hasVariant", "offers", "name", "sku", "mpn")
                }
                found.extend({**shared, "name": value.get("name"), **variant} for variant in variants)
                if not variants:
                    found.append(value)
                return
            for key, inner in value.items():
                if key not in _OTHERS:
                    walk(inner, depth + 1)

    walk(items, 0)
    return [item for item in found if _text(item.get("name"))]


def page_products(
    items: list[Item], headings: tuple[str, ...], address: str | None
) -> tuple[list[Item], str]:
    """The products a page is about, and the reason where that cannot be told. A page with a list of
    products is about all of them; of a product and its recommendations it is the one that heading or
    address name."""
    found = products(items)
    with_offers = [item for item in found if _list(item.get("offers"))] or found
    if len(with_offers) <= 1:
        return with_offers, "" if with_offers else "no-product"
    groups = {
        _text(item.get("productGroupID")) or _text(item.get("inProductGroupWithID")) for item in with_offers
    }
    if len(groups) == 1 and groups != {None}:
        return with_offers, ""
    named = [item for item in with_offers if _is_about(item, headings, address)]
    if len(named) == 1:
        return named, ""
    lists = [i for i in items if type_names(i) & {"ItemList", "CollectionPage", "OfferCatalog"}]
    listed = products(lists)
    if len(listed) == len(with_offers):
        return with_offers, ""
    return [], "several"


def _is_about(item: Item, headings: tuple[str, ...], address: str | None) -> bool:
    name = " ".join((_text(item.get("name")) or "").casefold().split())
    if any(" ".join(heading.casefold().split()).startswith(name) for heading in headings):
        return True
    url = _text(item.get("url"))
    return bool(url and address and urlsplit(url).path.rstrip("/") == urlsplit(address).path.rstrip("/"))


def product_of(item: Item, currency: str, day: datetime.date) -> ProductFound:
    """What a product item says."""
    return ProductFound(
        _text(item.get("name")) or "",
        _name(item.get("brand")) or _name(item.get("manufacturer")),
        _text(item.get("mpn")),
        _gtin(item),
        _text(item.get("sku")),
        _text(item.get("category")),
        tuple(_properties(item)),
        tuple(_offers(item, currency, day)),
    )


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [] if value is None else [value]


def _text(value: Any) -> str | None:
    """One text of a value; a list's first."""
    for one in _list(value):
        if isinstance(one, dict):
            one = one.get("@value", one.get("value", one.get("name")))
        if isinstance(one, str | int | float) and not isinstance(one, bool):
            return " ".join(printable(str(one)).split())[:500] or None
    return None


def _name(value: Any) -> str | None:
    for one in _list(value):
        return _text(one.get("name")) if isinstance(one, dict) else _text(one)
    return None


def _gtin(item: Item) -> str | None:
    for key in _GTINS:
        for value in _list(item.get(key)):
            text = _text(value) or ""
            link = re.search(r"/01/(\d{14})", text)
            digits = link[1] if link else text.rpartition(":")[2]
            if digits.isdigit() and len(digits) < 12 and not isinstance(value, str):
                digits = digits.zfill(13)  # a number lost its zeros in front
            found = gtin14(digits)
            if found is not None:
                return found
    return None


def _properties(item: Item) -> Iterator[tuple[str, str]]:
    for value in _list(item.get("additionalProperty")):
        if isinstance(value, dict) and (name := _text(value.get("name"))):
            amount = value.get("value")
            if isinstance(amount, dict):  # QuantitativeValue
                unit = _text(amount.get("unitText")) or _UNITS.get(_text(amount.get("unitCode")) or "", "")
                amount = amount.get("value")
            else:
                unit = _text(value.get("unitText")) or _UNITS.get(_text(value.get("unitCode")) or "", "")
            texts = [text for one in _list(amount) if (text := _text(one))]
            if texts:
                yield name, f"{', '.join(texts)} {unit}".strip()


# UN/CEFACT Recommendation 20 common codes (from memory).
_UNITS = {"MMT": "mm", "CMT": "cm", "INH": "in", "WTT": "W", "GRM": "g", "KGM": "kg", "MHZ": "MHz", "A86": "GHz", "E34": "GB",
          "4L": "MB", "E35": "TB", "VLT": "V", "AMP": "A"}  # fmt: skip


def _offers(item: Item, currency: str, day: datetime.date) -> Iterator[OfferFound]:
    for offer in _list(item.get("offers")):
        if not isinstance(offer, dict):
            continue
        if "AggregateOffer" in type_names(offer):
            inner = [one for one in _list(offer.get("offers")) if isinstance(one, dict) and _has_price(one)]
            if inner:
                shared = offer.get("priceCurrency")
                yield from (_offer({"priceCurrency": shared, **one}, currency, day) for one in inner)
                continue
            yield OfferFound(None, reason="from-price", detail=_text(offer.get("lowPrice")) or "")
            continue
        yield _offer(offer, currency, day)


def _has_price(offer: Item) -> bool:
    return offer.get("price") is not None or bool(_list(offer.get("priceSpecification")))


def _price_holder(offer: Item) -> Item:
    """Where the price the buyer pays stands: the offer itself, or one of its price specifications."""
    specifications = [one for one in _list(offer.get("priceSpecification")) if isinstance(one, dict)]
    paid = [
        one
        for one in specifications
        if not _last(one.get("priceType")) & _NOT_PAID and one.get("price") is not None
    ]
    if offer.get("price") is not None:
        first = paid[0] if len(paid) == 1 else {}
        return {**{k: v for k, v in first.items() if k == "valueAddedTaxIncluded"}, **offer}
    return {**offer, **paid[0]} if len(paid) == 1 else {**offer, "several": len(paid)}


def _last(value: Any) -> set[str]:
    return {re.split(r"[/#:]", text)[-1] for one in _list(value) if (text := _text(one))}


def _offer(offer: Item, currency: str, day: datetime.date) -> OfferFound:
    seller = _name(offer.get("seller")) or _name(offer.get("offeredBy"))
    holder = _price_holder(offer)
    if holder.get("several", 0) > 1:
        return OfferFound(None, seller, "from-price", "several prices")
    quantity = _quantity(holder)
    if quantity is not None:
        return OfferFound(None, seller, "quantity", quantity)
    price, said, reason = _amount(holder, currency)
    if price is None:
        return OfferFound(None, seller, reason, _text(holder.get("price")) or "")
    condition = next(iter(_condition(offer)), None)
    if condition == "defective":
        return OfferFound(None, seller, "defective", "DamagedCondition")
    cells = dict(_offer_cells(offer, holder, day))
    if condition:
        cells["condition"] = condition
    taxed: dict[str | None, Tax | None] = {"true": "gross", "false": "net"}
    tax = taxed.get(str(holder.get("valueAddedTaxIncluded") if not isinstance(holder.get("valueAddedTaxIncluded"), list)
                        else _text(holder.get("valueAddedTaxIncluded"))).casefold())  # fmt: skip
    found = OfferSeen(price, day, said, tax, None, tuple(sorted(cells.items())))
    return OfferFound(found, seller, delivery_minor=_delivery(offer, said or currency))


def _amount(holder: Item, currency: str) -> tuple[int | None, str | None, str]:
    """(minor units, currency said, reason of none)."""
    said = _text(holder.get("priceCurrency"))
    code = said.upper() if said and re.fullmatch(r"[A-Za-z]{3}", said) else None
    value = next((one for one in _list(holder.get("price")) if one is not None), None)
    written = written_amount(value, code or currency)
    if written.reason:
        return None, code, written.reason
    code = code or written.currency
    number = not isinstance(value, str)
    sign = "." if number else decimal_sign([written.digits])
    price = in_minor_units(written.digits, sign, code or currency)
    return (price, code, "") if price else (None, code, "bad-price")


def _quantity(holder: Item) -> str | None:
    for key in ("eligibleQuantity", "referenceQuantity"):
        for value in _list(holder.get(key)):
            least = value.get("minValue", value.get("value")) if isinstance(value, dict) else value
            text = _text(least)
            if text and re.fullmatch(r"\d+(?:\.0+)?", text) and float(text) > 1:
                return text
    return None


def _condition(offer: Item) -> Iterator[str]:
    known = {name.casefold(): state for name, state in CONDITIONS.items()}
    for name in _last(offer.get("itemCondition")):
        state = known.get(name.casefold(), known.get(f"{name.casefold()}condition"))
        if state:
            yield state


def _offer_cells(offer: Item, holder: Item, day: datetime.date) -> Iterator[tuple[str, str]]:
    stated = [
        _AVAILABILITY[name.casefold()]
        for name in _last(offer.get("availability"))
        if name.casefold() in _AVAILABILITY
    ]
    starts = _date(offer.get("availabilityStarts"))
    level = _text(offer.get("inventoryLevel"))
    if level and re.fullmatch(r"\d{1,7}(?:\.0+)?", level):
        yield "stock", str(int(float(level)))
    elif stated and not BUYABLE_NOW[stated[0]] and not (starts and starts > day):
        yield "stock", "0"
    if starts and starts > day:
        yield "available_on", starts.isoformat()
    until = _date(holder.get("priceValidUntil")) or _date(holder.get("validThrough"))
    if until:
        yield "valid_until", until.isoformat()


def _date(value: Any) -> datetime.date | None:
    text = (_text(value) or "")[:10]
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        return None


def _delivery(offer: Item, currency: str) -> int | None:
    """The one delivery charge that an offer states; several destinations tell none."""
    rates = []
    for one in _list(offer.get("shippingDetails")):
        rate = one.get("shippingRate") if isinstance(one, dict) else None
        for amount in _list(rate):
            if isinstance(amount, dict) and (_text(amount.get("currency")) or currency) == currency:
                written = written_amount(_text(amount.get("value")), currency)
                zero = (_text(amount.get("value")) or "").strip("0.") == "" and amount.get(
                    "value"
                ) is not None
                rates.append(
                    0 if zero else in_minor_units(written.digits, decimal_sign([written.digits]), currency)
                )
    return rates[0] if len(rates) == 1 else None
