"""Words about drive bays."""

from __future__ import annotations

from partsolver.plan.findings import Finding
from partsolver.report.page import amount_text
from partsolver.report.words.counts import count_of
from partsolver.report.words.record import Names, RuleWords, name_of


def on_sale_words(finding: Finding, names: Names) -> str:
    """What is named and not bought costs, as the fact ``minor`` says."""
    amount = amount_text(int(finding.fact("minor") or 0), names.digits)
    return f"for {amount} {names.currency}".strip() + ", not in the sum"


def _bays(finding: Finding, names: Names) -> str:
    case, size = name_of(names, finding.parts[0]), finding.fact("size")
    if finding.verdict == "unknown":
        return f"How many bays {case} has is not known: a drive of {size} inches has to find room there."
    if finding.verdict == "fails":
        drives = f"{count_of(finding.limit, 'drive')} of {size} inches need{'s a bay' if finding.limit == 1 else ' bays'}"
        return f"{drives}; {case} has room for {finding.value}, frames counted."
    frame = finding.fact("frame")
    named = f" ({name_of(names, str(frame))} {on_sale_words(finding, names)})" if frame else ""
    text = []
    if finding.fact("framed"):
        larger = "3.5" if size == "2.5" else "5.25"
        text.append(
            f"{finding.fact('framed')} of the drives of {size} inches takes a frame in a {larger}-inch bay{named}"
        )
    if finding.fact("loose"):
        text.append(
            f"{finding.fact('loose')} of the drives of {size} inches has no bay: a solid-state drive may be fastened anywhere"
            " that holds it still"
        )
    return "; ".join(text) + "." if text else f"The drives of {size} inches have their bays."


FIT_BAYS = RuleWords("drive bays", _bays)
