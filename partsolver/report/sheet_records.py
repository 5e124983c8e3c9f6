"""What the bench sheet shows, as records that text and HTML print."""

from __future__ import annotations

from partsolver.base.records import record
from partsolver.report.network import PlaceView
from partsolver.sheet.tray import Tray


@record
class OrderLine:
    """One thing to order; again: what a second order of it would cost."""

    quantity: int
    name: str
    condition: str
    amount: str
    arrival: str
    why: str
    again: str


@record
class SellerOrder:
    """One seller's order: lines, delivery charge and sum (decimal strings), what to know about returns."""

    seller: str
    lines: tuple[OrderLine, ...]
    delivery: str
    total: str
    returns: str


@record
class StepView:
    number: int
    id: str
    text: str
    note: str | None
    reading: str | None


@record
class RailView:
    """One row of the power picture: words, numbers with units, and the plain numbers for the bar."""

    name: str
    load: str
    usable: str
    label: str
    value: int
    limit: int | None
    most: int


@record
class TimeView:
    name: str
    now: str
    then: str
    now_permille: int
    then_permille: int


@record
class FindingView:
    verdict: str
    title: str
    sentence: str
    margin: str
    source: str


@record
class SheetView:
    """Everything on the sheet, in reading order."""

    title: str
    summary: tuple[tuple[str, str], ...]
    alerts: tuple[str, ...]
    cautions: tuple[tuple[str, tuple[str, ...]], ...]
    orders: tuple[SellerOrder, ...]
    total: str
    stand_ins: tuple[str, ...]
    kept: tuple[tuple[str, str], ...]
    leaving: tuple[tuple[str, str, str], ...]
    phases: tuple[tuple[str, str, tuple[StepView, ...]], ...]
    suspects: tuple[str, ...]
    tray: Tray | None
    positions: tuple[tuple[str, str, str, str], ...]
    rails: tuple[RailView, ...]
    network: PlaceView
    times: tuple[TimeView, ...]
    findings: tuple[FindingView, ...]
    not_checked: tuple[str, ...]
    questions: tuple[str, ...]
    terms: tuple[tuple[str, str], ...]
    provenance: tuple[tuple[str, str], ...]
