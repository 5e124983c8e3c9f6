"""Shapes of the open questions of a survey."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from partsolver.report.shapes.plans import Amount, Parts, Plan, Shape


class Answer(Shape):
    """One answer to an open question, and what follows from it."""

    value: str
    plan: Parts | None
    cost: Amount | None
    first_plan_stands: bool
    same_parts: bool
    time_saved_permille: int | None
    cost_change: Amount


class OpenQuestion(Shape):
    """An open question by how much its answer matters."""

    fact: str
    text: str
    needed: bool
    matters: bool
    at_risk: Amount
    failing_permille: int
    time_permille: int
    money: Amount
    answers: list[Answer]


class Questions(Shape):
    """`survey questions --format json`."""

    schema_: Literal["partsolver.questions/1"] = Field(alias="schema")
    currency: str
    first_plan: Plan | None
    supposed_plan: Plan | None
    assumed: list[str]
    questions: list[OpenQuestion]
