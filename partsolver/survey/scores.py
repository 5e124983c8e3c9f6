"""Measured scores turned to the scale of a person's catalogue before they are written."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from partsolver.base.errors import refuse
from partsolver.base.quantities import round_half_up
from partsolver.survey.facts import Fact, Facts
from partsolver.survey.importing import Gathered


def scaled(gathered: Gathered, factor: str) -> Gathered:
    """The same sources with measured scores times a factor, on the catalogue's scale. Raises InputRefused."""
    if not re.fullmatch(r"\d{1,6}(\.\d{1,9})?", factor) or Fraction(factor) == 0:
        raise refuse("--scale-by", "not a factor", factor, "a positive decimal such as 1.35")
    if not any("measurement" in kinds for _, kinds, _ in gathered.read):
        raise refuse("--scale-by", "only has a meaning with a measurement among the files", factor)
    return replace(gathered, facts=tuple(_scaled(source, Fraction(factor)) for source in gathered.facts))


def _scaled(source: Facts, factor: Fraction) -> Facts:
    if source.kind != "measurement":
        return source

    def turned(fact: Fact) -> Fact:
        if fact.key not in ("serial_score", "parallel_score"):
            return fact
        return replace(fact, value=max(1, round_half_up(fact.value * factor)))

    return replace(source, facts=tuple(turned(f) for f in source.facts if f.key != "score_scale"))
