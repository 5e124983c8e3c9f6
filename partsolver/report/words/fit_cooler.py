"""Words of the rules about the room around the cooler: above it, and beside it."""

from __future__ import annotations

from partsolver.plan.findings import Finding
from partsolver.report.words.record import Names, name_of

_UNDER_SUPPLY = "The supply sits over the board; how much room is under it is not measured."
QUESTIONS: dict[str, str] = {
    "case.height_under_psu_mm": (
        "Measure from the top of the processor to the underside of the supply that sits over the board, in mm."
    ),
    "case.psu_place": (
        "Where does the supply sit: above the board's upper edge, below its lower edge, or over the board itself?"
    ),
    "cooler.memory_clearance_mm": (
        "How high may modules be where the cooler reaches over their slots (its maker's sheet: memory clearance)?"
    ),
    "cooler.over_memory": (
        "Does the cooler reach over the memory slots? Hold its width against the board's picture: slots nearer"
        " to the processor's middle than half of it lie under the cooler."
    ),
    "memory.module_height_mm": "How high is a module above its slot, its heat spreader included, in mm?",
}


def cooler_memory(finding: Finding, names: Names) -> str:
    """Tall modules beside the cooler."""
    cooler = name_of(names, finding.parts[0])
    clearance, height = finding.fact("clearance_mm"), finding.fact("height_mm")
    if finding.verdict != "unknown":
        return (
            f"The modules are {finding.value} mm high; {cooler} leaves {finding.limit} mm above their slots."
        )
    if clearance is None:
        return f"The modules are {height} mm high; what {cooler} leaves above their slots is not stated."
    if height is None:
        return f"{cooler} leaves {clearance} mm above memory slots under it; how high the modules are is not known."
    return (
        f"The modules are {height} mm high, and {cooler} leaves {clearance} mm where it reaches over their slots:"
        " they go together only if it does not reach over them."
    )


def _boxed_height(finding: Finding, case: str) -> str:
    if (finding.question or "").endswith(".height_under_psu_mm"):
        return _UNDER_SUPPLY
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
        if height and (finding.question or "").endswith(".height_under_psu_mm"):
            return f"{cooler} is {height} mm high. {_UNDER_SUPPLY}"
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
