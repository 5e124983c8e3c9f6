"""What lscpu and /proc/cpuinfo share: names, counts and flags of one processor."""

from __future__ import annotations

from partsolver.standards.cpu_signatures import vendor_letter
from partsolver.standards.isa import early_features, level_of
from partsolver.survey.facts import Notes, clean
from partsolver.survey.readers.dmi_facts import is_brand, note_cpuid
from partsolver.survey.readers.text import number
from partsolver.survey.readers.units import brand_cores, brand_mhz, nominal_mhz


def note_processor(
    notes: Notes,
    where: str,
    name: str,
    vendor: str,
    family: int | None,
    model: int | None,
    stepping: int | None,
    flags: str,
    said: str,
) -> None:
    """Name, base clock, CPUID witness, x86-64 level. ``said`` names the source's lines."""
    notes.add("cpu.name", name, where, f"{said} {clean(name)!r}", "sure" if is_brand(name) else "doubtful")
    notes.add("cpu.base_mhz", brand_mhz(name), where, f"{said} {clean(name)!r}", "sure")
    notes.add("cpu.seen_brand_cores", brand_cores(name), where, f"{said} {clean(name)!r}", "doubtful")
    if vendor:
        notes.add("cpu.maker", vendor, where, f"vendor {vendor!r}")
    if family is not None and model is not None:
        note_cpuid(notes, vendor_letter(f"{vendor} {name}"), (family, model, stepping), where)
    words = flags.split()
    # a short list is a broken-off one: every processor of this kind has dozens
    if len(words) >= 20 and "fpu" in words:
        # a 32-bit system does not list syscall, which every 64-bit processor has
        level = level_of([*words, "syscall"]) if "lm" in words else 0
        notes.add("cpu.x86_level", level, where, f"flags of x86-64 level {level}", "sure")
        early = early_features(words, level)
        # A list that ends early lacks the last ones, which says nothing of the processor.
        if {"cmpxchg16b", "lahf-sahf"} <= set(early):
            notes.add("cpu.features", list(early), where, f"flags {' '.join(early)}", "sure")
    if "hypervisor" in words:
        notes.add("pc.seen_virtual", True, where, "processor flag of a virtual machine", "sure")


def note_top_clock(notes: Notes, where: str, text: str, base_maker: bool = False) -> None:
    """The kernel's limit: with or without the boost clock, depending on the driver. ``base_maker``: a
    processor of the maker and the years whose driver (acpi-cpufreq) never counts the boost clock."""
    value = number(text)
    if value and base_maker and nominal_mhz(round(value)):
        said = f"kernel's highest clock {round(value)} MHz"
        notes.add("cpu.base_mhz", round(value), where, said)
    elif value:
        notes.add(
            "cpu.seen_max_mhz", round(value), where, f"kernel's highest clock {round(value)} MHz", "doubtful"
        )
