"""A saved page as a tree (lxml), with limits: size, depth, no network, no entities of its own."""

from __future__ import annotations

import re
from typing import Any

from lxml import etree

from partsolver.base.records import record
from partsolver.catalog.lists.limits import MOST_BYTES, NotRead
from partsolver.catalog.lists.sheets import printable

_CHARSET = re.compile(rb"charset\s*=\s*[\"']?\s*([A-Za-z0-9_:.-]{2,40})", re.IGNORECASE)
# Elements of a page that are looked at; a page of more is cut off with a message.
MOST_ELEMENTS = 300_000


@record
class Page:
    """A parsed page: root element, title words that say which product it is about, address, name of the
    site."""

    root: Any
    headings: tuple[str, ...]
    address: str | None
    site: str | None


def is_html(data: bytes) -> bool:
    """Whether bytes look like a page."""
    start = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    return start.startswith(
        (b"<!doctype html", b"<html", b"<!--", b"<script", b"<head", b"<body", b"<div")
    ) or (b"<html" in start)


def parse_page(data: bytes) -> Page:
    """The tree of a page. Raises NotRead for one that is too large or no page."""
    if len(data) > MOST_BYTES:
        raise NotRead("too-large", f"{MOST_BYTES // 1_000_000} MB")
    parser = etree.HTMLParser(
        encoding="utf-8", recover=True, no_network=True, huge_tree=False, remove_pis=True
    )
    try:
        root = etree.fromstring(_decoded(data).encode("utf-8", "replace"), parser)
    except (etree.XMLSyntaxError, ValueError) as error:
        raise NotRead("unreadable", str(error)[:100]) from None
    if root is None:
        raise NotRead("unreadable", "an empty page")
    for count, _ in enumerate(root.iter(), 1):
        if count > MOST_ELEMENTS:
            raise NotRead("too-large", f"{MOST_ELEMENTS:,} elements")
    headings = [text_of(node) for node in root.iter("h1")]
    headings += [
        node.get("content") or "" for node in root.iter("meta") if node.get("property") == "og:title"
    ]
    headings += [text_of(node) for node in root.iter("title")]
    address = next(
        (n.get("href") for n in root.iter("link") if (n.get("rel") or "").lower() == "canonical"), None
    )
    site = next((n.get("content") for n in root.iter("meta") if n.get("property") == "og:site_name"), None)
    return Page(root, tuple(text for text in headings if text), address, site)


def _decoded(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", "replace")
    said = _CHARSET.search(data[:4096])
    for name in (said[1].decode("ascii") if said else "utf-8", "utf-8"):
        try:
            return data.decode("utf-8-sig" if name.lower() in ("utf-8", "utf8") else name)
        except (LookupError, UnicodeDecodeError):
            continue
    return data.decode("cp1252", "replace")


def text_of(node: Any) -> str:
    """The text of an element, blanks folded."""
    return " ".join(printable(" ".join(str(text) for text in node.itertext() if text)).split())
