"""How much of a file is read (documented in the guide page "I have a price list"), and what is said of one
that is more."""

from __future__ import annotations

MOST_BYTES = 50_000_000
MOST_ROWS = 200_000
MOST_COLUMNS = 200
MOST_CELL = 4_000
# What a spreadsheet unpacks to, and the cells of the rectangle that a sheet becomes.
MOST_UNPACKED = 300_000_000
MOST_CELLS = 6_000_000


# Why a whole file gave nothing; ``detail`` is what it is about.
NOT_READ = {
    "no-product": "no product data in this page; save it again after it has loaded",
    "unreadable": "cannot be read: {detail}",
    "too-large": "larger than {detail}",
    "several": "several products on one page, and nothing says which it is about ({detail})",
}


class NotRead(Exception):
    """A file that cannot be read: reason (a key of NOT_READ) and what it is about."""

    def __init__(self, reason: str, detail: str) -> None:
        super().__init__(f"{reason}: {detail}")
        self.reason, self.detail = reason, detail
