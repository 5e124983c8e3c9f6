"""Which findings that fit are worth a line in the short report: those that ask for work, attention or a wish
given up.

A finding that fits and asks for nothing (the socket matches) is listed by `check` and in JSON only.
"""

from __future__ import annotations

from collections.abc import Callable

from partsolver.plan.findings import Finding


def _any_fact(*names: str) -> Callable[[Finding], bool]:
    return lambda finding: any(finding.fact(name) is not None for name in names)


def _fact_is(name: str, *values: str) -> Callable[[Finding], bool]:
    return lambda finding: finding.fact(name) in values


def _below(finding: Finding) -> bool:
    return isinstance(finding.value, int) and isinstance(finding.limit, int) and finding.value < finding.limit


NOTABLE: dict[str, Callable[[Finding], bool]] = {
    "fit.holes": _any_fact("add", "remove", "prop"),
    "fit.aperture": _fact_is("shield", "missing"),
    "fit.cards": _any_fact("left_optional"),
    "fit.cooler_height": _any_fact("tight"),
    "fit.paste": _fact_is("paste", "missing"),
    "platform.firmware": _any_fact("flash"),
    "memory.buffering": _any_fact("ecc"),
    "memory.rate": lambda f: _below(f) and f.fact("by") != "module",
    "memory.channels": _below,
    "memory.mixing": lambda f: True,
    "memory.os_limit": _below,
    "power.condition": _any_fact("caution"),
    "power.main_plug": lambda f: f.fact("today") is None and f.fact("plug") != f.fact("header"),
    "power.cpu_plug": lambda f: (
        f.fact("half") is not None or f.fact("adapter") is not None or f.fact("lead_mm") is not None
    ),
    "power.cpu_current": _any_fact("warning"),
    "power.low_load": _fact_is("risk", "yes"),
    "storage.link": lambda f: f.fact("now_mbs") is not None and f.fact("now_mbs") != f.value,
    "storage.start": lambda f: any(name not in ("today",) for name, _ in f.facts),
    "storage.encryption": _any_fact("save_key"),
    "picture.source": _any_fact("card_uefi"),
    "picture.displays": lambda f: f.fact("kind") not in (None, "direct"),
    "ports.front_usb": _below,
    "ports.front_audio": lambda f: f.fact("plug") is not None and f.fact("plug") != f.fact("header"),
    "ports.fans": _any_fact("missing"),
    "ports.front_panel": _any_fact("repin", "brand"),
    "os.processor": _any_fact("short", "few_cores", "older_than_list"),
    "os.firmware": _any_fact("short", "convert"),
    "os.tpm": _any_fact("short"),
    "os.memory": _any_fact("short"),
    "os.disk": _any_fact("short"),
    "os.usb_driver": lambda f: True,
    "os.licence": _any_fact("move"),
}


def notable(finding: Finding) -> bool:
    """Whether a finding that fits has something to say."""
    test = NOTABLE.get(finding.rule)
    return finding.verdict == "fits" and finding.fact("today") is None and test is not None and test(finding)
