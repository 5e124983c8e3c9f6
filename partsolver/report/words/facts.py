"""Words of what has to be known before a part is bought, and of what a seller has not said."""

from __future__ import annotations

from partsolver.plan.findings import Finding
from partsolver.report.words.record import Names, RuleWords, name_of

_FACTS = {
    "memory_generation": "which generation of memory the board's slots take",
    "generation": "of which generation the modules are",
    "memory_module": "whether the board's slots take DIMM or SO-DIMM",
    "module": "whether the modules are DIMM or SO-DIMM",
    "registered": "whether the modules are registered",
    "memory_registered": "whether the board takes registered modules",
    "memory_slots": "how many slots for modules the board has",
    "form_factor": "which outline it has",
    "width_mm": "how wide the board is",
    "depth_mm": "how deep the board is",
    "slots": "which slots for cards the board has",
    "form": "which size the supply has",
    "psu_form": "which size of supply the case takes",
    "sockets": "on which sockets the cooler goes",
    "socket": "which socket the board has",
    "interface": "how the drive is connected",
    "m2_slots": "which M.2 sockets the board has",
}


def _facts(finding: Finding, names: Names) -> str:
    if finding.verdict == "fits":
        return "What decides whether the parts go together at all is known of all that is bought."
    fact = (finding.question or "").rpartition(".")[2]
    bought = " and ".join(name_of(names, part) for part in finding.parts)
    what = _FACTS.get(fact, f"its {fact.replace('_', ' ')}")
    return f"Not to be bought before it is known {what}: {bought} may be useless otherwise."


FIT_FACTS = RuleWords("facts for the purchase", _facts)
WORDS: dict[str, RuleWords] = {}
QUESTIONS: dict[str, str] = {
    "drive.interface": "How is the drive connected: SATA, PATA or M.2? Its label or data sheet says it.",
    "cpu.boxed_cooler": (
        "Ask the seller whether the maker's cooler comes along with the processor: then none has to be bought."
    ),
}
