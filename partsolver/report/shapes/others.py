"""Shapes of the documents about surveys, measurements, settings and refusals."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from partsolver.report.shapes.plans import FactValue, Shape, Speedup


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
    """Measured speed-up of one use, and the time of each resource before and after, in millionths of the
    whole time before."""

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
