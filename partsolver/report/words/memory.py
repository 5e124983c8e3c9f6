"""Words of the memory rules."""

from __future__ import annotations

from partsolver.plan.findings import Finding
from partsolver.report.page import decimals_text, shortest_text
from partsolver.report.words.counts import count_of
from partsolver.report.words.record import Names, RuleWords, name_of
from partsolver.rules import (
    memory_buffering,
    memory_capacity,
    memory_channels,
    memory_generation,
    memory_mixing,
    memory_module,
    memory_module_capacity,
    memory_organisation,
    memory_os_limit,
    memory_rate,
    memory_slots,
    memory_voltage,
)

_LIMITED_BY = {
    "module": "the modules' own rated rate",
    "processor": "the processor",
    "board": "the board",
    "two-per-channel": "having two modules in a channel",
}
_RETURN = (
    "Old and new modules together may run slower or not start: keep the right to return the new ones and run"
    " a memory test."
)

_RETURN_KITS = (
    "Several memory kits of the same kind were not tested together: keep the right to return them, run a memory test, and"
    " prefer one kit of all modules."
)


def _gib(mib: int | str | None) -> str:
    return f"{shortest_text(int(mib or 0) / 1024)} GiB"


def _upper(generation: int | str | None) -> str:
    return str(generation or "unknown").upper()


def _part(finding: Finding, names: Names) -> str:
    return name_of(names, finding.parts[-1]) if finding.parts else "the board"


def _modules(finding: Finding, names: Names) -> str:
    return name_of(names, finding.parts[0]) if finding.parts else "the modules"


def _generation(finding: Finding, names: Names) -> str:
    if finding.fact("processor"):
        cpu, what = _modules(finding, names), _upper(finding.value)
        if finding.verdict == "unknown":
            return f"Whether {cpu} drives this memory cannot be said: a memory generation is not known."
        if finding.verdict == "fails":
            return f"{cpu} does not drive {what} memory (it drives: {_upper(finding.limit)})."
        return f"{cpu} drives the memory in use." if finding.value is None else f"{cpu} drives {what} memory."
    if finding.verdict == "unknown":
        return (
            "Whether the modules go into the board's slots cannot be said: a memory generation is not known."
        )
    if finding.verdict == "fails":
        return (
            f"{_modules(finding, names)} is {_upper(finding.value)}; the slots of {_part(finding, names)}"
            f" take {_upper(finding.limit)} only."
        )
    if finding.fact("today"):
        return "The memory works in this board today."
    return f"Modules and board are both {_upper(finding.value)}."


def _module(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        return "Whether the modules have the right size (DIMM or SO-DIMM) cannot be said."
    if finding.verdict == "fails":
        return (
            f"{_modules(finding, names)} is {_upper(finding.value)}; the slots of {_part(finding, names)}"
            f" take {_upper(finding.limit)}."
        )
    return "The modules have the size of the board's slots."


def _buffering(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        return "Whether the board takes these modules cannot be said: registered or ECC is not known."
    if finding.value == "mixed":
        return "Registered and unbuffered modules together do not work."
    if finding.verdict == "fails" and finding.value == "registered":
        return (
            f"{_modules(finding, names)} is registered memory: it goes into {_part(finding, names)} but does"
            " not work there."
        )
    if finding.verdict == "fails":
        return (
            f"{_modules(finding, names)} has error correction; {_part(finding, names)} may not start with it."
        )
    if finding.fact("ecc") == "idle":
        return "The ECC modules work, but this board does not use their error correction."
    return "The board takes this kind of module."


def _slots(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        return f"{count_of(finding.fact('modules'), 'module')}: the number of slots on {_part(finding, names)} is not known."
    if finding.fact("needless"):
        return (
            f"{finding.fact('needless')} of the present modules would stay out without need:"
            f" {_part(finding, names)} has slots for them."
        )
    if finding.verdict == "fails":
        return f"{count_of(finding.value, 'module')}, but only {count_of(finding.limit, 'slot')} on {_part(finding, names)}."
    out = finding.fact("left_out")
    more = f" {out} of the present modules stay out: the largest are kept." if out else ""
    return f"{count_of(finding.value, 'module')} in {count_of(finding.limit, 'slot')}.{more}"


def _module_capacity(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        return "Whether the board takes modules of this size cannot be said."
    if finding.value is None:
        return "The modules work in this board today."
    text = f"Largest new module {_gib(finding.value)}, the board takes {_gib(finding.limit)} per slot"
    if finding.fact("basis") == "usual":
        return f"{text} (usual for its generation; its manual was not at hand)."
    return f"{text}." if finding.verdict == "fits" else f"{text}: too large."


def _capacity(finding: Finding, names: Names) -> str:
    by = finding.fact("by")
    if finding.verdict == "unknown":
        return f"Whether this much memory is within the {by}'s limit cannot be said."
    if finding.value is None:
        return f"The {by} works with this memory today."
    text = f"Memory {_gib(finding.value)} in all, the {by} takes {_gib(finding.limit)}"
    return f"{text}." if finding.verdict == "fits" else f"{text}: too much."


def _rate(finding: Finding, names: Names) -> str:
    if finding.value is None:
        return "The rate the memory will run at cannot be said: no limit is known."
    limited = _LIMITED_BY[str(finding.fact("by"))]
    text = f"The memory runs at {finding.value} MT/s, limited by {limited}"
    if finding.limit is not None and finding.limit != finding.value:
        text += f" (the modules could do {finding.limit})"
    return f"{text}." if finding.verdict == "fits" else f"{text}, as far as the limits are known."


def _channels(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        return "How many memory channels the board has is not known; one is assumed."
    if finding.fact("half_bandwidth"):
        return (
            "One module on two channels: half the memory bandwidth. Two equal modules would give all of it."
        )
    share = int(finding.fact("milli_channels") or 0) / 1000
    text = f"{finding.value} of {finding.limit} memory channels filled"
    return (
        f"{text}."
        if share == finding.limit
        else f"{text}, on average as fast as {decimals_text(share, 2)} channels."
    )


def _organisation(finding: Finding, names: Names) -> str:
    modules, board = _modules(finding, names), _part(finding, names)
    if finding.verdict == "unknown":
        limit = int(finding.fact("limit_mbit") or 0)
        if (finding.question or "").endswith("chips"):
            return (
                f"{board} takes memory chips of at most {shortest_text(limit / 1024)} Gbit: modules of this size need 16 of"
                f" them, and how many {modules} has nobody said."
            )
        return (
            f"Boards with this socket take memory chips of at most {shortest_text(limit / 1024)} Gbit as a rule; those of"
            f" {modules} are larger: look into the board's memory list."
        )
    if finding.verdict == "fails" and finding.fact("ask"):
        return f"The chips of {modules} are {finding.value} bits wide: {board} does not take such modules."
    if finding.verdict == "fails":
        have, most = (shortest_text(int(mbit or 0) / 1024) for mbit in (finding.value, finding.limit))
        return f"{modules} has chips of {have} Gbit; {board} takes {most} Gbit at most."
    return f"The memory controller of {board} takes the chips of {modules}."


def _voltage(finding: Finding, names: Names) -> str:
    def volts(millivolts: int | str | None) -> str:
        return f"{decimals_text(int(millivolts or 0) / 1000, 2)} V"

    modules, board = _modules(finding, names), _part(finding, names)
    if finding.verdict == "unknown":
        return (
            f"{board} takes modules of {volts(finding.fact('limit_mv'))} only; the voltage of {modules} is not known."
            " A higher one may damage the memory controller."
        )
    if finding.verdict == "fails":
        return (
            f"{modules} needs {volts(finding.value)}; {board} takes {volts(finding.limit)} only. The module goes in, and may"
            " damage the memory controller in time."
        )
    if finding.fact("raised"):
        return (
            f"{modules} is sold for {volts(finding.value)}, the standard is {volts(finding.fact('standard_mv'))}: leave the"
            " standard profile; the printed rate may need the raised voltage."
        )
    return f"The slots of {board} give {modules} its voltage."


def _mixing(finding: Finding, names: Names) -> str:
    if finding.fact("kits"):
        return _two_kits(finding)
    text = f"{finding.fact('kept')} present and {finding.fact('new')} new modules together"
    if finding.fact("rates"):
        text += ", of different rates (all run at the lowest)"
    if finding.fact("ecc"):
        text += ", with and without error correction (it is then off)"
    if finding.fact("two_per_channel"):
        text += ", two in a channel"
    return f"{text}: they may run slower or not start.{_taken_back(finding)}"


def _two_kits(finding: Finding) -> str:
    pairs = ", two in a channel" if finding.fact("two_per_channel") else ""
    return (
        f"{finding.fact('kits')} kits of the same kind{pairs}: each was tested alone and may have other chips; together they"
        f" may run slower or not start. A kit of all modules is surer.{_taken_back(finding)}"
    )


def _taken_back(finding: Finding) -> str:
    days = finding.fact("returns_days")
    if days == 0:
        return " The seller does not take the new ones back."
    return "" if days is None else f" The seller takes the new ones back for {count_of(days, 'day')}."


def _os_limit(finding: Finding, names: Names) -> str:
    if finding.verdict == "unknown":
        return "How much of the memory the 32-bit system can use cannot be said."
    idle = int(finding.fact("idle_mib") or 0)
    if idle:
        return (
            f"The 32-bit system uses at most {_gib(finding.value)} of {_gib(finding.limit)}; the rest lies"
            " idle."
        )
    return f"The 32-bit system reaches {_gib(finding.value)} (a little less is usable near 4 GiB)."


def _keep_the_return(finding: Finding, names: Names) -> str:
    return _RETURN_KITS if finding.fact("kits") else _RETURN


WORDS: dict[str, RuleWords] = {
    memory_generation.ID: RuleWords("memory generation", _generation),
    memory_module.ID: RuleWords("memory module size", _module),
    memory_buffering.ID: RuleWords("registered and ECC memory", _buffering),
    memory_slots.ID: RuleWords("memory slots", _slots),
    memory_module_capacity.ID: RuleWords("largest module", _module_capacity),
    memory_capacity.ID: RuleWords("memory in all", _capacity),
    memory_rate.ID: RuleWords("memory rate", _rate),
    memory_channels.ID: RuleWords("memory channels", _channels),
    memory_mixing.ID: RuleWords("memory of several sets", _mixing, caution=_keep_the_return),
    memory_organisation.ID: RuleWords("memory chips", _organisation),
    memory_voltage.ID: RuleWords("memory voltage", _voltage),
    memory_os_limit.ID: RuleWords("memory the system uses", _os_limit),
}
_ON_LABEL = "Read the label on the module, or the memory page of a system information program."
QUESTIONS: dict[str, str] = {
    memory_generation.ID: f"Which generation are the memory modules (DDR3, DDR4 ...)? {_ON_LABEL}",
    memory_module.ID: "Are the modules DIMM (about 133 mm long) or SO-DIMM (about 68 mm)? Measure one.",
    "memory.registered": (
        "Are the modules registered (R at the end of the PC3-/PC4- name) or unbuffered (U or E)? Read the"
        " label."
    ),
    "memory.ecc": (
        "Have the modules error correction (E or R at the end of the PC3-/PC4- name; 9 equal chips on a"
        " side)? Read the label."
    ),
    "memory.capacity_mib": f"How large is each memory module? {_ON_LABEL}",
    "memory.voltage_mv": (
        "Which voltage are the modules for? PC3 (without L) is 1.5 V, PC3L is 1.35 V; the label or its part number says it."
    ),
    "memory.chips": (
        "How many memory chips has one module (count the equal black ones on both sides: 8 or 16, 9 or 18 with error"
        " correction)?"
    ),
    "board.memory_max_chip_mbit": (
        "Which memory chips does the board take (1, 2, 4 Gbit)? Its manual or memory list says it, or names modules of this"
        " size with 8 chips."
    ),
    "memory.module_mib": f"How large is each memory module? {_ON_LABEL}",
    "memory.rate_mts": f"What rate are the modules rated for (PC3-10600 = 1333 MT/s)? {_ON_LABEL}",
    "board.memory_generation": (
        "Which memory generation do the board's slots take? Look into its manual or at the modules in it."
    ),
    "board.memory_module": (
        "Does the board take DIMM or SO-DIMM modules? Look at its slots or into its manual."
    ),
    "board.memory_slots": "How many memory slots has the board? Count them.",
    "board.memory_channels": "How many memory channels has the board? Its manual says it (two are usual).",
    "board.memory_registered": (
        "Does the board take registered modules? Its manual says it (desktop boards do not)."
    ),
    "board.memory_ecc": (
        "Does the board start with unbuffered ECC modules? Its manual or memory list says it."
    ),
    "board.memory_max_mib": "How much memory does the board take in all? Its manual says it.",
    "board.memory_max_module_mib": "How large may one module be on this board? Its manual says it.",
    "board.memory_max_rate_mts": "What is the board's highest memory rate? Its manual says it.",
    "cpu.memory_rates": (
        "Which memory generations and rates does the processor drive? Its data sheet says it."
    ),
    "cpu.memory_max_mib": "How much memory does the processor address? Its data sheet says it.",
}
