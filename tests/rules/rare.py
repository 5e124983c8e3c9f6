"""What rules say in rare situations, stated as findings and needs: what neither `golden.py`'s worlds nor they in turn
meet. Their sentences stand in `golden_rare.tsv`; ``python -m rules.rare`` from the folder ``tests`` writes it again.
"""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import Any

from partsolver.plan.draft import Need
from partsolver.plan.findings import Finding, Verdict
from partsolver.report.words.record import Names, RuleWords

GOLDEN = Path(__file__).parent / "golden_rare.tsv"
NAMES = Names(
    {
        "b": "Board B",
        "c": "Processor C",
        "m": "Kit M",
        "d": "Drive D",
        "k": "Case K",
        "x": "Lead X",
        "s": "Shop S",
    }
)
NAMES.currency = "EUR"


def _finding(
    rule: str,
    verdict: Verdict,
    value: Any = None,
    limit: Any = None,
    parts: str = "",
    ask: str | None = None,
    **facts: Any,
) -> Finding:
    unit, margin = str(facts.pop("unit", "")), facts.pop("margin", None)
    more = facts.pop("facts", {})
    told = tuple((facts | more).items())
    return Finding(
        rule,
        verdict,
        value=value,
        limit=limit,
        margin=margin,
        unit=unit,
        parts=tuple(parts),
        question=ask,
        facts=told,
    )


def _need(rule: str, **facts: Any) -> Need:
    return Need(rule, "1", "extra", (), tuple(facts.items()))


FINDINGS = (
    _finding(
        "buying.arrival", "fails", "2026-12-04", "2026-12-01", "b", margin=-3, sent_in="yes", seller="s"
    ),
    _finding("buying.arrival", "fits", "2026-11-30", "2026-12-01", "b", margin=1),
    _finding("buying.arrival", "fits", "2026-12-01", "2026-12-01", "b", margin=0),
    _finding("buying.valid", "fails", limit="2026-11-01", parts="b"),
    _finding("buying.minimums", "unknown", ask="memory.capacity_mib"),
    _finding("buying.stock", "fails", 1, 2, "m", seller="Shop S"),
    _finding("buying.excluded", "fails", "absent", parts="m"),
    _finding("buying.excluded", "fails", "present", parts="m"),
    _finding("buying.minimums", "fails", 4096, 8192, unit="MiB"),
    _finding("fit.cards", "fits", 1, 1, "b", narrow="scanner card", narrow_lanes=4, narrow_of=8),
    _finding("os.start", "fails", parts="b", video="card"),
    _finding("storage.start", "fails", "nvme", fresh="yes"),
    _finding(
        "power.rails_12v",
        "unknown",
        ask="psu.cpu_rail",
        facts={"guide": "yes", "current": 19000, "limit": 18000},
    ),
    _finding("power.rails_12v", "fails", 21000, 18000, unit="mA"),
    _finding(
        "power.cpu_current",
        "fits",
        14655,
        16000,
        unit="mA",
        plugs="4",
        warning="over usual",
        usual_ma=12000,
        most=14655,
    ),
    _finding("power.leads", "fails", 13500, 9000, unit="mA", plug="peripheral"),
    _finding("power.standby", "fits", 900, 1000, unit="mA", stated="year", warning="asleep", most=1300),
    _finding("fit.bays", "fails", 2, 3, "k", size="3.5"),
    _finding("fit.bays", "fits", 3, 3, "k", size="2.5", framed=1, frame="x", minor=450),
    _finding("fit.bays", "fits", 3, 3, "k", size="2.5", loose=1),
    _finding("fit.bays", "fits", 3, 3, "k", size="2.5"),
    _finding("memory.organisation", "unknown", parts="mb", ask="memory:m.chips", limit_mbit=1024),
    _finding(
        "memory.organisation", "unknown", parts="mb", ask="board:b.memory_max_chip_mbit", limit_mbit=1024
    ),
    _finding("memory.organisation", "fails", 4, parts="mb", facts={"ask": "width"}),
    _finding("memory.organisation", "fails", 8192, 4096, "mb"),
    _finding("memory.voltage", "unknown", parts="mb", ask="memory:m.voltage_mv", limit_mv=1350),
    _finding("memory.mixing", "fits", parts="mb", returns_days=0, kits=2),
    _finding("os.processor", "fits", parts="c", short="yes", family="windows11", min_cores=2),
    _finding("os.processor", "fits", parts="c", today="yes", family="windows11"),
    _finding(
        "os.firmware", "fits", "secure-boot", parts="b", short="yes", family="windows11", convert="maybe"
    ),
    _finding("os.firmware", "fits", "uefi", parts="b", family="windows11", convert="yes"),
    _finding("os.disk", "fits", today="yes", family="windows11"),
    _finding("os.disk", "unknown", family="windows11", least_gb=64),
    _finding("os.disk", "fits", 40, 64, family="windows11", least_gb=64, short="yes"),
    _finding("os.licence", "unknown", family="windows11", offered="none"),
    _finding("os.licence", "fits", "none-needed"),
    _finding("picture.source", "unknown", ask="card.uefi", card="Radiance 3"),
    _finding("picture.source", "fails", missing="uefi", card="Radiance 3"),
    _finding("picture.source", "fails", missing="legacy", card="Radiance 3", bought="yes"),
    _finding("picture.source", "fits", "board"),
    _finding("picture.source", "fits", "card", card="Radiance 3", card_legacy="no"),
    _finding("picture.source", "fits", "card", card="Radiance 3", card_uefi="unknown"),
    _finding("picture.displays", "unknown", wanted=3, sure=2, ask="board.max_displays"),
    _finding("picture.displays", "fails", "dark", display="left", max_displays=1, outputs="vga, dvi-d"),
    _finding("platform.socket", "fits", parts="cb"),
    _finding("platform.board_age", "fits", 14, parts="b", capacitors="yes"),
    _finding("platform.firmware", "fits", "1.10", "1.20", "bc", flash="needed"),
    _finding(
        "platform.firmware",
        "fits",
        "1.10",
        "1.20",
        "bc",
        flash="service",
        send_to="s",
        send_days=6,
        send_back="2026-12-09",
        steps="1.15",
    ),
    _finding(
        "ports.devices",
        "unknown",
        parts="b",
        ask="device.direct_hardware_access",
        device="plotter",
        port="parallel",
    ),
    _finding("ports.devices", "unknown", parts="b", ask="device.port", device="plotter"),
    _finding("ports.devices", "fails", 0, 1, "b", port="serial", direct="plotter"),
    _finding(
        "ports.front_usb",
        "fits",
        1,
        2,
        "b",
        missing=1,
        plug="usb3",
        adapter="x",
        adapted=1,
        adapter_mbits=480,
    ),
    _finding("ports.front_audio", "fits", "hd", parts="b", jack_sense="no", header="ac97", adapter="x"),
    _finding("ports.fans", "fits", 2, 3, "b", missing=1, splitter="x", splitters=1, minor=390),
    _finding("ports.fans", "fits", 2, 3, "b", missing=1, cooler_fan_pins=3),
    _finding("power.cpu_plug", "fits", "none", parts="b"),
    _finding("power.cpu_plug", "fits", "8", parts="b", header="8", two_loose="yes"),
    _finding(
        "power.cpu_plug", "fits", "4", parts="b", header="4", adapter="x", peripheral_plugs=2, plugs="none"
    ),
    _finding("power.drive_plugs", "fits", 1, 1, plug="floppy", lacking=1),
    _finding("power.low_load", "fits", risk="yes", psu_year=2008, cpu_year=2021),
    _finding("power.rail_12v", "fits", 9000, 12000, unit="mA", today="no more", trust_percent=70),
    _finding("power.rails_12v", "fits", 9000, 12000, unit="mA", today="yes"),
    _finding("power.rails_low", "unknown", ask="psu.rail_5v_ma", rail="rail_5v_ma"),
    _finding("power.main_plug", "fits", 5000, 12000, unit="mA", plug="24", header="20", processor="yes"),
    _finding("power.cpu_current", "unknown", ask="cpu:c.power_limit_w"),
    _finding("power.cpu_current", "fits", parts="c"),
    _finding("power.cpu_current", "fits", 8000, 9000, unit="mA", plugs="adapter"),
    _finding(
        "power.leads", "unknown", ask="psu.sata_leads", facts={"plug": "sata", "total": 9000, "limit": 8000}
    ),
    _finding("storage.sata", "unknown", ask="drive.interface", drive="old disk"),
    _finding("storage.sata", "unknown", ask="board:b.sata_shared", least=1),
    _finding("storage.sata", "unknown", ask="board:b.slots"),
    _finding("storage.pata", "unknown", ask="board:b.sata_ports", bridge="yes"),
    _finding("storage.pata", "unknown", ask="board:b.slots"),
    _finding("storage.start", "fits", "legacy", lacks_start="nvme"),
    _finding("storage.start", "fits", "legacy", lacks_mode="ide"),
    _finding("storage.capacity", "unknown", parts="d", ask="drive.used_gb", holds=240),
    _finding("storage.capacity", "fits", 240, parts="d", fresh="yes", usable_gb=2200),
    _finding("storage.accessories", "fits", leads=2, lead="x", minor=190),
    _finding("storage.accessories", "fits", leads=1, screws="yes"),
    _finding("storage.accessories", "fits"),
    _finding("storage.raid_set", "unknown", ask="drive.raid", drive="old disk"),
)
NEEDS = (
    _need("fit.holes", missing=2),
    _need("fit.aperture", board="b"),
    _need("fit.paste", cooler="c"),
    _need("picture.displays", display="left"),
    _need("picture.displays", display="left", output="vga", input="dvi-d"),
    _need("platform.firmware", shipped="1.10", needed="1.20"),
    _need("storage.sata", missing=1),
    _need("storage.sata", missing=2),
)  # fmt: skip


def words_of(rule: str) -> RuleWords:
    """The words of a rule by its id."""
    family = rule.partition(".")[0]
    words: RuleWords = importlib.import_module(f"partsolver.report.words.{family}").WORDS[rule]
    return words


def written() -> str:
    """The file's text: rule, verdict and facts, sentence and caution."""
    lines = ["rule\tsituation\tsentence\tcaution"]
    for finding in FINDINGS:
        words = words_of(finding.rule)
        caution = (words.caution(finding, NAMES) if words.caution else None) or ""
        facts = " ".join(f"{name}={value}" for name, value in finding.facts)
        asked = f" ?{finding.question}" if finding.question else ""
        situation = f"{finding.verdict} {finding.value} {finding.limit} {facts}{asked}"
        lines.append("\t".join((finding.rule, situation, words.sentence(finding, NAMES), caution)))
    for need in NEEDS:
        told = words_of(need.rule).need
        assert told is not None
        facts = " ".join(f"{name}={value}" for name, value in need.facts)
        lines.append("\t".join((need.rule, f"need {facts}", told(need, NAMES), "")))
    return "".join(f"{line}\n" for line in lines)


if __name__ == "__main__":
    GOLDEN.write_text(written(), encoding="utf-8")
