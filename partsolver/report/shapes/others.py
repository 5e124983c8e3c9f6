"""Shapes of the documents about surveys, catalogues, measurements, settings and refusals."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from partsolver.report.shapes.plans import Amount, Day, FactValue, Shape, Speedup


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
    value: FactValue
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
    value: str
    against: str
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


class Promise(Shape):
    """What the plan promised: its rank, the use, the speed-up, and the time lost by resource (per mille)."""

    rank: int
    use: str
    speedup: Speedup | None
    by_resource_lost: dict[str, FactValue] | None


class UseResult(Shape):
    """Measured speed-up of one use, and the time of each resource before and after, in millionths of the whole time
    before."""

    use: str
    speedup: Speedup | None
    before_ppm: dict[str, FactValue]
    after_ppm: dict[str, FactValue]
    not_measured: list[str]
    basis: FactValue


class Cause(Shape):
    """A reason why a promise was missed or exceeded."""

    code: str
    resource: str | None
    certainty: FactValue
    facts: dict[str, FactValue]
    text: str


class Run(Shape):
    """Whether a measurement can be trusted, and why not."""

    verdict: str
    reasons: list[dict[str, FactValue]]


class Runs(Shape):
    """The two measurements that are compared."""

    before: Run
    after: Run


class SoftwareDifference(Shape):
    """Software that is not the same in both measurements."""

    name: str
    before: str | None
    after: str | None


class Comparison(Shape):
    """`compare --format json`."""

    schema_: Literal["partsolver.comparison/1"] = Field(alias="schema")
    outcome: str | None
    promised: Promise | None
    measured: Speedup | None
    resources: list[Resource]
    uses: list[UseResult]
    causes: list[Cause]
    runs: Runs
    software_differs: list[SoftwareDifference]


class Fit(Shape):
    """`compare --fit --format json`."""

    schema_: Literal["partsolver.fit/1"] = Field(alias="schema")
    shares_permille: dict[str, int]
    reference_s: float
    pairs: int
    misfit_percent: float
    left_out_percent: float
    noisy_runs: int


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


class ReadFile(Shape):
    """What one file or folder gave."""

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
