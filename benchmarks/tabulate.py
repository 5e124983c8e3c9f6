"""Tables (Markdown) and the growth plot from the figures of a run."""

from __future__ import annotations

import math
import os
import platform
from collections.abc import Mapping, Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any

from benchmarks.specs import PHASES

HERE = Path(__file__).resolve().parent
BEGIN, END = "<!-- figures: begin -->", "<!-- figures: end -->"


def growth_exponent(results: Sequence[Mapping[str, Any]], kind: str = "") -> float | None:
    """Slope of log(wall time beyond the floor) from 2,000 to 100,000 parts (``kind``: "-store" for stores); None
    without both."""
    beyond = {r["spec"]: r["wall_s"] - r["floor_s"] for r in results if "note" not in r}
    few, many = beyond.get(f"2000{kind}", 0), beyond.get(f"100000{kind}", 0)
    return math.log(many / few) / math.log(100000 / 2000) if few > 0 and many > 0 else None


def _goal(value: float, limit: float | None) -> str:
    return "" if limit is None else f" ({'within' if value <= limit else 'over'} {limit:g})"


def main_table(results: Sequence[Mapping[str, Any]]) -> list[str]:
    lines = [
        "| spec | wall s | floor s | wall against floor | spread | peak MiB | peak against floor |",
        "|---|---|---|---|---|---|---|",
    ]
    for r in results:
        if "note" in r:
            lines.append(f"| {r['spec']} | {r['note']} | {r['floor_s']:.2f} | | | | |")
            continue
        wall, memory = _goal(r["ratio"], r["wall_limit"]), _goal(r["memory_ratio"], r["memory_limit"])
        lines.append(
            f"| {r['spec']} | {r['wall_s']:.2f} | {r['floor_s']:.2f} | {r['ratio']:.2f}{wall} |"
            f" {r['low']:.2f} to {r['high']:.2f} | {r['peak_mib']:.0f} | {r['memory_ratio']:.2f}{memory} |"
        )
    for kind, where, most in (("", "tables", 0.8), ("-store", "store", 0.5)):
        exponent = growth_exponent(results, kind)
        if exponent is not None:
            lines += [
                "",
                f"Growth exponent from 2,000 to 100,000 parts, beyond the floor, from the {where}: {exponent:.2f}"
                f" (asked for: at most {most}).",
            ]
    return lines


def phase_table(phases: Mapping[str, Mapping[str, float] | None]) -> list[str]:
    lines = [
        "| spec | " + " | ".join(f"{phase} s" for phase in PHASES) + " |",
        "|---" * (len(PHASES) + 1) + "|",
    ]
    for name, seconds in phases.items():
        cells = (
            ["not done"] * len(PHASES)
            if seconds is None
            else [f"{seconds[p]:.3f}" if seconds[p] else "-" for p in PHASES]
        )
        lines.append(f"| {name} | " + " | ".join(cells) + " |")
    return lines


def command_table(commands: Sequence[Mapping[str, Any]]) -> list[str]:
    lines = ["| command | wall s | wall against floor |", "|---|---|---|"]
    for c in commands:
        name = c["name"] if c["points"] is None else f"{c['name']} ({c['points']} points)"
        digits = 3 if c["wall_s"] < 1 else 2
        ratio = "" if c["ratio"] is None else f"{c['ratio']:.2f}{_goal(c['ratio'], c['most_ratio'])}"
        lines.append(f"| {name} | {c['wall_s']:.{digits}f}{_goal(c['wall_s'], c['most_s'])} | {ratio} |")
    return lines


def peer_table(peers: Mapping[tuple[str, str], Mapping[str, Any]]) -> list[str]:
    """Seconds from the joined problem; the second number is how many times ours it takes."""
    pairs = (("unpruned", "ours"), ("model", "ours"), ("join", "ours"), ("highs", "ours-core"))
    lines = [
        "| spec | ours s | without pruning | CP-SAT alone, screened | join | ours, core s | HiGHS, core | answers |",
        "|---|---|---|---|---|---|---|---|",
    ]

    def cell(name: str, peer: str, base: str | None) -> str:
        found = peers[name, peer]
        if "note" in found:
            return str(found["note"])
        text = f"{found['solve_s']:.2f}"
        other = peers[name, base] if base else {}
        return (
            text
            if "solve_s" not in other or "note" in other
            else f"{text} s, {found['solve_s'] / other['solve_s']:.1f} x"
        )

    for name in dict.fromkeys(spec for spec, _ in peers):
        differs = [
            p
            for p, b in pairs
            if "note" not in peers[name, p]
            and "note" not in peers[name, b]
            and not _same(peers[name, p]["answer"], peers[name, b]["answer"])
        ]
        verdict = "equal where given" if not differs else "DIFFERENT: " + ", ".join(differs)
        cells = [
            cell(name, "ours", None),
            cell(name, "unpruned", "ours"),
            cell(name, "model", "ours"),
            cell(name, "join", "ours"),
            cell(name, "ours-core", None),
            cell(name, "highs", "ours-core"),
        ]
        lines.append(f"| {name} | " + " | ".join(cells) + f" | {verdict} |")
    return lines


def _same(a: Any, b: Any) -> bool:
    return bool(sorted(a) == sorted(b)) if isinstance(a, list) else bool(a == b)


def plot(results: Sequence[Mapping[str, Any]], path: Path) -> None:
    """Wall time and floor against the number of parts, both axes logarithmic, with a line of exponent 1."""
    import matplotlib

    matplotlib.use("Agg")
    from matplotlib import pyplot

    grown = sorted(
        (r["parts"], r["wall_s"], r["floor_s"])
        for r in results
        if "note" not in r and str(r["spec"]).isdigit()
    )
    if len(grown) < 2:
        return
    figure, axes = pyplot.subplots(figsize=(6.4, 4))
    sizes = [size for size, _, _ in grown]
    axes.loglog(sizes, [wall for _, wall, _ in grown], "o-", label="recommend, whole process")
    axes.loglog(sizes, [floor for _, _, floor in grown], "s--", label="floor: imports alone")
    axes.loglog(sizes, [max(wall - floor, 1e-3) for _, wall, floor in grown], "^-", label="beyond the floor")
    first = max(grown[0][1] - grown[0][2], 1e-3)
    axes.loglog(sizes, [first * size / sizes[0] for size in sizes], ":", color="grey", label="exponent 1")
    axes.set_xlabel("parts in the catalogue")
    axes.set_ylabel("seconds")
    axes.grid(True, which="both", alpha=0.3)
    axes.legend()
    figure.tight_layout()
    waiting = path.with_name("part." + path.name)
    figure.savefig(waiting, dpi=120, metadata={"Software": None})
    os.replace(waiting, path)


def write(
    results: Sequence[Mapping[str, Any]],
    phases: Mapping[str, Any],
    peers: Mapping[Any, Any],
    commands: Sequence[Mapping[str, Any]],
    out: Path | None,
    runs: int,
) -> None:
    """Put the tables between the markers of README.md (or into ``out``), and the plot beside it."""
    machine = (
        f"{os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}, ortools"
        f" {version('ortools')}, pandas {version('pandas')}"
    )
    lines = [f"Median of {runs} runs on {machine}.", "", *main_table(results)]
    if any(seconds for seconds in phases.values()):
        lines += ["", "Phases inside one process, imports left out:", "", *phase_table(phases)]
    if commands:
        lines += [
            "",
            "Other commands (in brackets: the seconds, or the ratio, that were asked for):",
            "",
            *command_table(commands),
        ]
    if peers:
        lines += [
            "",
            "Other ways, seconds from the joined problem (in brackets of x: times ours):",
            "",
            *peer_table(peers),
        ]
    readme = HERE / "README.md"
    where = readme if out is None else out
    plot(results, where.with_name("growth.png"))
    if where.with_name("growth.png").is_file():
        lines += ["", "![Growth of wall time with the catalogue](growth.png)"]
    text = "\n".join(lines) + "\n"
    print(text)
    if out is None:
        before, _, rest = readme.read_text(encoding="utf-8").partition(BEGIN)
        _, _, after = rest.partition(END)
        text = f"{before}{BEGIN}\n{text}{END}{after}"
    waiting = where.with_name(where.name + ".part")
    waiting.write_text(text, encoding="utf-8", newline="\n")
    os.replace(waiting, where)
