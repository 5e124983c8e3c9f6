"""Shapes of the documents about catalogues."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from partsolver.report.shapes.plans import Amount, Day, Shape


class CatalogQuestion(Shape):
    """A fact of a part on sale that matters: what is said of it so far, with what the first plan would not
    stand."""

    fact: str
    table: str
    id: str
    name: str
    column: str
    text: str
    expected: str
    value: str | None
    mark: str
    decides: Literal["barred", "first"]
    fails_with: list[str]
    at_stake: str


class BlankColumn(Shape):
    """A column without which a part is at most hoped for, and in how many rows it is blank."""

    table: str
    column: str
    blank: int
    rows: int


class Doubt(Shape):
    """One doubtful row of a catalogue."""

    check: str
    table: str
    part: str
    column: str | None
    value: str
    against: str
    refuses: bool


class OtherReading(Shape):
    """A file, as it was on a day, that another version of this program read."""

    file: str
    date: str


class CatalogCheck(Shape):
    """`catalog check --format json`."""

    schema_: Literal["partsolver.catalog-check/1"] = Field(alias="schema")
    name: str
    currency: str
    as_of: Day
    digest: str
    tables: dict[str, int]
    facts: dict[str, int]
    read_by_other_version: list[OtherReading]
    blank: list[BlankColumn]
    matter: list[CatalogQuestion] | None
    doubts: list[Doubt]


class NotReadFile(Shape):
    """A file that gave nothing, and why."""

    file: str
    reason: str
    detail: str


class ListPrices(Shape):
    """How the prices of a list are counted; the currency they are taken for, where the list names none."""

    tax: str
    tax_percent_x100: int | None
    evidence: str
    known_before: bool
    assumed_currency: str | None


class SinceLast(Shape):
    """What a list changed for its seller."""

    new: int
    dearer: int
    cheaper: int
    gone: int
    older_than: Day | None


class ReadFile(Shape):
    """What one file or folder gave; several_prices: ids of parts that the seller of a list offers in one state at
    more than one price."""

    file: str
    form: str
    rows: int
    parts: dict[str, int]
    offers: int
    left_out: dict[str, int]
    not_read: list[NotReadFile]
    prices: ListPrices | None
    since_last: SinceLast | None
    unknown_labels: dict[str, str]
    several_prices: list[str]


class SamePart(Shape):
    """A maker's sheet and a seller's article that may be one."""

    part: str
    other: str
    name: str
    sure: bool


class CatalogAdd(Shape):
    """`catalog add --format json`."""

    schema_: Literal["partsolver.catalog-add/1"] = Field(alias="schema")
    folder: str
    read: list[ReadFile]
    facts: dict[str, int]
    proposals: list[SamePart]
    joined: list[SamePart]


class CatalogQuestions(Shape):
    """`catalog ask --format json`."""

    schema_: Literal["partsolver.catalog-questions/1"] = Field(alias="schema")
    currency: str
    missing: int
    matter: int
    questions: list[CatalogQuestion]


class FactPlace(Shape):
    """Where a fact comes from."""

    file: str
    place: str
    date: str


class FactAgainst(Shape):
    """Another word on the same fact."""

    value: str
    mark: str
    file: str
    place: str


class PartFact(Shape):
    """One fact of a part with its mark; the value is null where its sources contradict each other."""

    column: str
    value: str | None
    mark: str
    from_: FactPlace = Field(alias="from")
    against: list[FactAgainst]


class PartOffer(Shape):
    """One offer of a part, current or past; what else it says as cells of offers.csv."""

    seller: str
    date: Day
    price: Amount
    currency: str
    current: bool
    file: str
    place: str
    stated: dict[str, str]


class PartName(Shape):
    """What a source calls a part."""

    seller: str
    name: str
    file: str
    place: str


class FoundPart(Shape):
    """A part that was looked for."""

    id: str
    table: str
    name: str


class LeftOutRow(Shape):
    """A row or file that gave no part, and why."""

    file: str
    place: str
    text: str
    reason: str
    words: str


class CatalogPart(Shape):
    """`catalog show ID --format json`."""

    schema_: Literal["partsolver.catalog-part/1"] = Field(alias="schema")
    id: str
    table: str
    name: str
    facts: list[PartFact]
    unknown: list[str]
    leftover: list[str]
    offers: list[PartOffer]
    names: list[PartName]


class CatalogFind(Shape):
    """`catalog find --format json`."""

    schema_: Literal["partsolver.catalog-find/1"] = Field(alias="schema")
    parts: list[FoundPart]


class CatalogLeftOut(Shape):
    """`catalog show --left-out --format json`."""

    schema_: Literal["partsolver.catalog-left-out/1"] = Field(alias="schema")
    rows: list[LeftOutRow]
