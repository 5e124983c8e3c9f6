"""Shapes of the documents about surveys, catalogues, measurements, settings and refusals."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from partsolver.report.shapes.plans import Day, Shape, Speedup


class Fault(Shape):
    """One thing that was refused."""

    where: str
    problem: str
    value: str | None
    expected: str | None
    hint: str | None


class Refusal(Shape):
    """What any command prints with --format json when it refuses its input (exit code 2)."""

    schema_: Literal["partsolver.refusal/1"] = Field(alias="schema")
    faults: list[Fault]


class Setting(Shape):
    """One setting and where its value comes from."""

    name: str
    value: str | None
    origin: str
    meaning: str


class Settings(Shape):
    """`settings --format json`."""

    schema_: Literal["partsolver.settings/1"] = Field(alias="schema")
    settings: list[Setting]
    user_file: str


class ClashingFact(Shape):
    """One of two facts that contradict each other."""

    fact: str
    value: Any
    origin: str | None


class Clash(Shape):
    """Two facts of a survey that contradict each other."""

    check: str
    first: ClashingFact
    second: ClashingFact


class SurveyCheck(Shape):
    """`survey check --format json`."""

    schema_: Literal["partsolver.survey-check/1"] = Field(alias="schema")
    survey: str
    consistent: bool
    clashes: list[Clash]


class CatalogQuestion(Shape):
    """A fact of a part on sale that matters: what is said of it so far, with what the first plan would not stand."""

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
    value: Any
    against: Any
    refuses: bool


class CatalogCheck(Shape):
    """`catalog check --format json`."""

    schema_: Literal["partsolver.catalog-check/1"] = Field(alias="schema")
    name: str
    currency: str
    as_of: Day
    digest: str
    tables: dict[str, int]
    facts: dict[str, int]
    blank: list[BlankColumn]
    matter: list[CatalogQuestion] | None
    doubts: list[Doubt]


class Ratio(Shape):
    """How much faster, with the 95 % interval."""

    expected: float
    low: float
    high: float


class Resource(Shape):
    """One measured resource before and after."""

    name: str
    unit: str
    before: float
    after: float
    speedup: Ratio
    promised: float | None


class Comparison(Shape):
    """`compare --format json`."""

    schema_: Literal["partsolver.comparison/1"] = Field(alias="schema")
    outcome: str | None
    promised: dict[str, Any] | None
    measured: Speedup | None
    resources: list[Resource]
    uses: list[dict[str, Any]]
    causes: list[dict[str, Any]]
    runs: dict[str, Any]
    software_differs: list[dict[str, Any]]


class Fit(Shape):
    """`compare --fit --format json`."""

    schema_: Literal["partsolver.fit/1"] = Field(alias="schema")
    shares_permille: dict[str, int]
    reference_s: float
    pairs: int
    misfit_percent: float
    left_out_percent: float
    noisy_runs: int


class CatalogAdd(Shape):
    """`catalog add --format json`."""

    schema_: Literal["partsolver.catalog-add/1"] = Field(alias="schema")
    folder: str
    read: list[dict[str, Any]]
    facts: dict[str, int]


class CatalogQuestions(Shape):
    """`catalog ask --format json`."""

    schema_: Literal["partsolver.catalog-questions/1"] = Field(alias="schema")
    currency: str
    missing: int
    matter: int
    questions: list[CatalogQuestion]


class CatalogPart(Shape):
    """`catalog show ID --format json`."""

    schema_: Literal["partsolver.catalog-part/1"] = Field(alias="schema")
    id: str
    table: str
    name: str
    facts: list[dict[str, Any]]
    unknown: list[str]
    leftover: list[str]
    offers: list[dict[str, Any]]
    names: list[dict[str, Any]]


class CatalogFind(Shape):
    """`catalog find --format json`."""

    schema_: Literal["partsolver.catalog-find/1"] = Field(alias="schema")
    parts: list[dict[str, Any]]


class CatalogLeftOut(Shape):
    """`catalog show --left-out --format json`."""

    schema_: Literal["partsolver.catalog-left-out/1"] = Field(alias="schema")
    rows: list[dict[str, Any]]


class AuditedLaw(Shape):
    """How often a law was asked."""

    law: str
    with_plan: int
    without_plan: int
    undecided: int


class BrokenLaw(Shape):
    """A law that did not hold, how, and the folder that shows it."""

    law: str
    reason: str
    folder: str | None


class Audit(Shape):
    """`audit --format json`."""

    schema_: Literal["partsolver.audit/1"] = Field(alias="schema")
    trials: int
    refused: int
    laws: list[AuditedLaw]
    broken: BrokenLaw | None
