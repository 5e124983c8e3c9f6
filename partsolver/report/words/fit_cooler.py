"""Words of the rule about the height of the cooler."""

from __future__ import annotations

from partsolver.plan.findings import Finding
from partsolver.report.words.record import Names, name_of


def _boxed_height(finding: Finding, case: str) -> str:
    if finding.verdict == "unknown":
        return f"How much room {case} has above the processor is not measured."
    if finding.limit is None:
        return f"The cooler in the processor's box is lower than the cards {case} takes."
    about = "at least about" if finding.fact("boxed") == "least" else ""
    high = f"{about} {finding.value}".strip()
    if finding.verdict == "fails":
        return (
            f"The cooler in the processor's box is {high} mm high; {case} has room for {finding.limit} mm:"
            f" {-(finding.margin or 0)} mm too high."
        )
    return f"The cooler in the processor's box is {high} mm high; {case} has room for {finding.limit} mm."


def cooler_height(finding: Finding, names: Names) -> str:
    cooler, case = name_of(names, finding.parts[0]), name_of(names, finding.parts[1])
    if finding.fact("today"):
        return "Cooler and case stay as they are and work together today."
    if finding.fact("boxed"):
        return _boxed_height(finding, case)
    if finding.verdict == "unknown":
        if (finding.question or "").endswith(".boxed_cooler_mm"):
            limit = finding.fact("limit_mm")
            room = (
                f"{case} takes coolers up to {limit} mm"
                if limit is not None
                else f"{case} is low or not measured"
            )
            return f"{room}; the height of the cooler in the processor's box is not stated."
        height = finding.fact("height_mm")
        return (
            f"{cooler} is {height} mm high; the room in {case} is not measured."
            if height
            else f"The height of {cooler} is not known."
        )
    where = "the present cooler has" if finding.fact("basis") else f"{case} allows"
    if finding.verdict == "fails":
        return (
            f"{cooler} is {finding.value} mm high; {where} {finding.limit} mm: {-(finding.margin or 0)} mm"
            " too high."
        )
    tight = " Tight: measure again." if finding.fact("tight") else ""
    return (
        f"{cooler} is {finding.value} mm high; {where} {finding.limit} mm: {finding.margin} mm spare.{tight}"
    )
