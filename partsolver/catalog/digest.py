"""The digest of a catalogue: of what its rows say, however they are written and ordered."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

from partsolver.catalog.table import Table


def content_digest(head: Mapping[str, Any], read: Mapping[str, Table]) -> str:
    """Sixteen hexadecimal digits of SHA-256 over head, rows and what is assumed."""
    digest = hashlib.sha256(repr(sorted((k, str(v)) for k, v in head.items())).encode())
    for table, found in read.items():
        digest.update("".join([f"{table}:{row}\n" for row in sorted(found.stated)]).encode())
    # Rows of sellers and offers that come out of a store stand for no part: None is sorted as no letters.
    taken = sorted(assumed_cells(read), key=lambda row: tuple(text or "" for text in row))
    digest.update(repr(taken).encode())
    return digest.hexdigest()[:16]


def assumed_cells(read: Mapping[str, Table]) -> frozenset[tuple[str, str, str]]:
    """(table, id, column) of what nobody stated and the dictionary assumes."""
    return frozenset((table, part, name) for table, found in read.items() for part, name in found.assumed)
