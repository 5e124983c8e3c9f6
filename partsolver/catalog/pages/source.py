"""A saved page or a sheet as a source: offers of a shop page, facts of a maker's page or text PDF."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import urlsplit

from partsolver.base.records import record
from partsolver.catalog.lists.limits import NotRead
from partsolver.catalog.pages.html import Page, parse_page
from partsolver.catalog.pages.labels import plain_label
from partsolver.catalog.pages.markup import json_ld, linked, microdata, rdfa
from partsolver.catalog.pages.pairs import pairs_of_page
from partsolver.catalog.pages.products import ProductFound, page_products, product_of
from partsolver.catalog.pages.sheets_pdf import pairs_of_pdf
from partsolver.catalog.pages.specification import LEAST_FACTS, read_pairs, table_of_pairs
from partsolver.catalog.store.identity import gtin14, slug
from partsolver.catalog.store.records import Fact, LeftOut, Sighting, Source
from partsolver.catalog.store.write import seller_id
from partsolver.catalog.titles.article import Article, article_of

MAKER = "maker-"


@record
class PageSettings:
    """What is known about pages: the seller given, the day, the currency of the store, labels a person
    mapped."""

    seller: str | None
    stated_on: datetime.date
    currency: str
    labels: Mapping[str, str]


@record
class PageSource:
    """A page read. ``form``: page or sheet; ``sellers``: id -> (name, delivery charge); ``unknown``:
    labels that nobody knows, with their values."""

    source: Source
    form: str
    sellers: tuple[tuple[str, str, int | None], ...] = ()
    unknown: tuple[tuple[str, str], ...] = ()


def read_page(data: bytes, origin: str, digest: str, settings: PageSettings) -> PageSource:
    """A saved page. Raises NotRead for one that gives nothing."""
    page = parse_page(data)
    items, broken = json_ld(page)
    candidates = [linked(items), microdata(page), rdfa(page)]
    found: list[dict[str, Any]] = []
    reason = "no-product"
    for some in candidates:
        found, why = page_products(some, page.headings, page.address)
        reason = why if why == "several" else reason
        if found:
            break
    pairs = pairs_of_page(page)
    products = [product_of(item, settings.currency, settings.stated_on) for item in found]
    if any(product.offers for product in products):
        return _shop_page(page, products, pairs, origin, digest, settings)
    name = products[0].name if len(products) == 1 else next(iter(page.headings), "")
    sheet = _sheet(name, products[0] if len(products) == 1 else None, pairs, origin, digest, settings)
    if sheet is not None:
        return sheet
    if products:
        return _shop_page(page, products, pairs, origin, digest, settings)
    if broken:
        raise NotRead("unreadable", f"the product data is no JSON: {broken[0]}")
    raise NotRead(reason, "" if reason == "no-product" else next(iter(page.headings), ""))


def _site(page: Page) -> str | None:
    if page.site:
        return page.site
    host = urlsplit(page.address or "").hostname
    return host.removeprefix("www.") if host else None


def _shop_page(
    page: Page,
    products: Sequence[ProductFound],
    pairs: list[tuple[str, str]],
    origin: str,
    digest: str,
    settings: PageSettings,
) -> PageSource:
    site = _site(page) or "unnamed shop"
    sightings: list[Sighting] = []
    left: list[LeftOut] = []
    sellers: dict[str, tuple[str, int | None]] = {}
    unknown: list[tuple[str, str]] = []
    for number, product in enumerate(products, 1):
        place = f"product {number}" if len(products) > 1 else "product"
        hint = article_of(product.category).kind_word if product.category else None
        article = article_of(product.name, hint)
        table = article.table
        if table is None and article.reason == "unclear":
            table = table_of_pairs([*product.properties, *pairs])
        if table is None or article.state == "defective":
            reason = "defective" if article.state == "defective" else article.reason
            left.append(LeftOut(origin, place, product.name, reason, article.detail))
            continue
        said = product.properties if len(products) > 1 else (*product.properties, *pairs)
        facts, strange = _facts(article, table, said, "printed", settings.labels)
        unknown += strange
        by_seller: dict[str, list[Any]] = {}
        for offer in product.offers:
            name = settings.seller or offer.seller or site
            if offer.offer is None:
                left.append(LeftOut(origin, f"{place} offer", product.name, offer.reason, offer.detail))
                continue
            sellers[seller_id(name)] = (name, offer.delivery_minor)
            by_seller.setdefault(seller_id(name), []).append(offer.offer)
        if not by_seller:
            name = settings.seller or site
            sellers.setdefault(seller_id(name), (name, None))
            by_seller[seller_id(name)] = []
        for seller, offers in sorted(by_seller.items()):
            sightings.append(
                _sighting(
                    seller, table, product, article, facts, origin, place, settings.stated_on, tuple(offers)
                )
            )
    source = Source(
        origin,
        digest,
        settings.stated_on,
        settings.seller or seller_id(site),
        tuple(sightings),
        tuple(left),
        1,
    )
    listed = tuple((seller, name, charge) for seller, (name, charge) in sorted(sellers.items()))
    return PageSource(source, "page", listed, tuple(unknown))


def _facts(
    article: Article, table: str, pairs: Sequence[tuple[str, str]], mark: Any, labels: Mapping[str, str]
) -> tuple[tuple[Fact, ...], list[tuple[str, str]]]:
    sheet = read_pairs(table, pairs, labels)
    facts = [Fact(column, value, mark, label) for column, value, label in sheet.facts]
    titled = article.facts("title") if article.table == table else ()
    return (*facts, *titled), list(sheet.unknown)


def _sighting(
    seller: str,
    table: str,
    product: ProductFound,
    article: Article,
    facts: tuple[Fact, ...],
    origin: str,
    place: str,
    day: datetime.date,
    offers: tuple[Any, ...],
) -> Sighting:
    state = article.state if article.state in ("used", "refurbished") else None
    stated = tuple(_with_state(offer, state) for offer in offers)
    return Sighting(
        seller,
        table,
        product.name,
        origin,
        place,
        day,
        facts,
        stated,
        maker=product.maker,
        mpn=product.mpn,
        gtin=product.gtin,
        sku=product.sku,
        leftover=article.leftover,
    )


def _with_state(offer: Any, state: str | None) -> Any:
    from dataclasses import replace

    if state is None or "condition" in dict(offer.cells):
        return offer
    return replace(offer, cells=tuple(sorted((*offer.cells, ("condition", state)))))


def _sheet(
    name: str,
    product: ProductFound | None,
    pairs: Sequence[tuple[str, str]],
    origin: str,
    digest: str,
    settings: PageSettings,
) -> PageSource | None:
    """A maker's page or sheet, or None where it states too little to be one."""
    said = (*(product.properties if product else ()), *pairs)
    article = article_of(name) if name else article_of("?")
    table = article.table or table_of_pairs(said)
    if table is None:
        return None
    sheet = read_pairs(table, said, settings.labels)
    if len(sheet.facts) < LEAST_FACTS:
        return None
    identity = dict(reversed(sheet.identity))
    maker = identity.get("maker") or (product.maker if product else None)
    model = identity.get("model")
    numbers = identity.get("number") or (product.mpn if product else None)
    called = _called(maker, model, name)
    sighting = Sighting(
        MAKER + (slug(maker) if maker else "unnamed"),
        table,
        called,
        origin,
        "sheet",
        settings.stated_on,
        tuple(Fact(column, value, "sheet", label) for column, value, label in sheet.facts),
        maker=maker,
        mpn=re.split(r"[,;/]", numbers)[0].strip() if numbers else None,
        gtin=gtin14(identity.get("gtin")) or (product.gtin if product else None),
    )
    source = Source(origin, digest, settings.stated_on, None, (sighting,), (), 1, whole=True)
    return PageSource(source, "sheet", (), sheet.unknown)


def _called(maker: str | None, model: str | None, name: str) -> str:
    """Maker and model where the sheet says them, else its heading."""
    if not model:
        return name or "unnamed"
    if maker and not plain_label(model).startswith(plain_label(maker)):
        return f"{maker} {model}"
    return model


def read_pdf(data: bytes, origin: str, digest: str, settings: PageSettings) -> PageSource:
    """A text PDF with a specification. Raises NotRead."""
    pairs, headings = pairs_of_pdf(data)
    name = next((line for line in headings if any(c.isdigit() for c in line)), next(iter(headings), ""))
    found = _sheet(name, None, pairs, origin, digest, settings)
    if found is None:
        raise NotRead("no-product", "")
    return found
