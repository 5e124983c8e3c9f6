"""The core problem as a mixed integer program for HiGHS (scipy.optimize.milp): stated from the parts' facts
alone.

One binary per part, one per bandwidth level (data rate x channel layout). Rows by attribute value, not by
pair. The graphics term depends on processor and level together: it is a variable of its own, bounded below
for each level.
"""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix

INFINITE = float("inf")


class Rows:
    """Linear rows low <= sum(coefficient x variable) <= high."""

    def __init__(self) -> None:
        self.data: list[float] = []
        self.columns: list[int] = []
        self.starts = [0]
        self.low: list[float] = []
        self.high: list[float] = []

    def add(self, terms: Mapping[int, float], low: float, high: float) -> None:
        self.columns += list(terms)
        self.data += list(terms.values())
        self.starts.append(len(self.columns))
        self.low.append(low)
        self.high.append(high)

    def constraint(self, width: int) -> LinearConstraint:
        matrix = csr_matrix((self.data, self.columns, self.starts), shape=(len(self.low), width))
        return LinearConstraint(matrix, self.low, self.high)


class Core:
    """Variables and rows of one core problem. Column order: boards, processors, kits, levels, graphics
    time."""

    def __init__(self, problem: Any) -> None:
        from partsolver.assembly.memory import milli_channels
        from partsolver.performance.law import bandwidth_kbs, law_of, slowed_ppm

        law = law_of(problem)
        self.boards, self.cpus, self.kits = (problem.slot(s) for s in ("board", "cpu", "memory"))
        drive = problem.slot("drive")[0].part
        b, c, k = (range(len(x)) for x in (self.boards, self.cpus, self.kits))
        self.at_cpu, self.at_kit = len(b), len(b) + len(c)
        at_level = self.at_kit + len(k)
        layout = [
            milli_channels(m.part.module_mib, m.part.modules, 2, max(4, m.part.modules)) for m in self.kits
        ]
        rates = {m.part.rate_mts for m in self.kits}
        rates |= {
            r
            for x in self.boards
            for r in (x.part.memory_max_rate_mts, x.part.memory_two_per_channel_rate_mts)
            if r
        }
        rates |= {rate for x in self.cpus for _, rate in x.part.memory_rates}
        self.levels = [(rate, milli) for rate in sorted(rates) for milli in sorted(set(layout))]
        self.graphics = at_level + len(self.levels)
        self.width = self.graphics + 1
        rows = self.rows = Rows()
        board_of, cpu_of, kit_of = (
            self._by(self.boards, 0),
            self._by(self.cpus, self.at_cpu),
            self._by(self.kits, self.at_kit),
        )
        for first, count in (
            (0, len(b)),
            (self.at_cpu, len(c)),
            (self.at_kit, len(k)),
            (at_level, len(self.levels)),
        ):
            rows.add({first + i: 1 for i in range(count)}, 1, 1)

        def same(left: Mapping[Any, list[int]], right: Mapping[Any, list[int]]) -> None:
            for value in sorted({*left, *right}):
                rows.add(
                    dict.fromkeys(left.get(value, ()), 1) | dict.fromkeys(right.get(value, ()), -1), 0, 0
                )

        same(board_of("socket"), cpu_of("socket"))
        same(board_of("memory_generation"), kit_of("generation"))
        same(board_of("memory_module"), kit_of("module"))
        for family, members in sorted(cpu_of("family").items()):
            listed = [i for i in b if family in dict(self.boards[i].part.cpu_families)]
            rows.add(dict.fromkeys(members, 1) | dict.fromkeys(listed, -1), -INFINITE, 0)
        generations = board_of("memory_generation")
        for generation, members in sorted(generations.items()):
            driving = [self.at_cpu + i for i in c if generation in dict(self.cpus[i].part.memory_rates)]
            rows.add(dict.fromkeys(members, 1) | dict.fromkeys(driving, -1), -INFINITE, 0)
        capacities: tuple[tuple[Any, Any, str], ...] = (
            (lambda m: m.modules, board_of, "memory_slots"),
            (lambda m: m.module_mib[0], board_of, "memory_max_module_mib"),
            (lambda m: m.total_mib, board_of, "memory_max_mib"),
            (lambda m: m.total_mib, cpu_of, "memory_max_mib"),
        )
        for of_kit, owners, limit in capacities:
            limits = owners(limit)
            for bound in sorted(limits):
                small = [i for value, members in limits.items() if value <= bound for i in members]
                large = [self.at_kit + i for i in k if of_kit(self.kits[i].part) > bound]
                if large:
                    rows.add(dict.fromkeys([*small, *large], 1), -INFINITE, 1)
        # The level's rate is no higher than any limit; its layout is the kit's.
        double = [self.at_kit + i for i in k if self.kits[i].part.modules > 2]
        for rate in sorted(rates):
            above = {at_level + i: 1 for i, (r, _) in enumerate(self.levels) if r > rate}
            if not above:
                continue
            rows.add(
                above | {self.at_kit + i: 1 for i in k if self.kits[i].part.rate_mts <= rate}, -INFINITE, 1
            )
            rows.add(
                above | {i: 1 for i in b if self.boards[i].part.memory_max_rate_mts <= rate}, -INFINITE, 1
            )
            slow = {
                i: 1 for i in b if (self.boards[i].part.memory_two_per_channel_rate_mts or INFINITE) <= rate
            }
            if slow and double:
                rows.add(above | slow | dict.fromkeys(double, 1), -INFINITE, 2)
            for members in generations.values():
                generation = self.boards[members[0]].part.memory_generation
                limited = {
                    self.at_cpu + i: 1
                    for i in c
                    if dict(self.cpus[i].part.memory_rates).get(generation, INFINITE) <= rate
                }
                if limited:
                    rows.add(above | limited | dict.fromkeys(members, 1), -INFINITE, 2)
        for milli in sorted(set(layout)):
            of_level = {at_level + i: 1 for i, (_, value) in enumerate(self.levels) if value == milli}
            rows.add(of_level | {self.at_kit + i: -1 for i in k if layout[i] == milli}, 0, 0)
        big = slowed_ppm(law.use.share("graphics"), law.graphics_cap, 1)
        for number, (rate, milli) in enumerate(self.levels):
            kbs = bandwidth_kbs(rate, milli)
            own = {self.at_cpu + i: -law.integrated_ppm(self.cpus[i].part.graphics_score, kbs) for i in c}
            rows.add(own | {self.graphics: 1, at_level + number: -big}, -big, INFINITE)
        self.time = np.zeros(self.width)
        self.time[: self.at_cpu] = [law.drive_ppm(x.part, drive) + law.other_ppm for x in self.boards]
        self.time[self.at_cpu : self.at_kit] = [law.compute_ppm(x.part) for x in self.cpus]
        self.time[self.at_kit : at_level] = [law.capacity_ppm(x.part, drive) for x in self.kits]
        self.time[at_level : self.graphics] = [law.memory_ppm(bandwidth_kbs(*level)) for level in self.levels]
        self.time[self.graphics] = 1
        self.price = np.zeros(self.width)
        for first, parts in ((0, self.boards), (self.at_cpu, self.cpus), (self.at_kit, self.kits)):
            self.price[first : first + len(parts)] = [x.offers[0].price * x.quantity for x in parts]
        if problem.budget is not None:
            rows.add({i: float(p) for i, p in enumerate(self.price) if p}, 0, problem.budget)

    @staticmethod
    def _by(parts: Sequence[Any], first: int) -> Any:
        def by(name: str) -> dict[Any, list[int]]:
            found: dict[Any, list[int]] = defaultdict(list)
            for i, candidate in enumerate(parts):
                found[getattr(candidate.part, name)].append(first + i)
            return found

        return by


def solve_core(problem: Any, limit_s: float) -> dict[str, Any]:
    """Least time, then least cost within one step of 1 %; seconds of building and of the two solves."""
    start = time.perf_counter()
    core = Core(problem)
    built = time.perf_counter()
    whole = np.ones(core.width)
    whole[core.graphics] = 0
    upper = np.ones(core.width)
    upper[core.graphics] = INFINITE
    bounds = Bounds(np.zeros(core.width), upper)
    found: dict[str, Any] = {"build_s": built - start}
    values = {}
    for name, goal in (("time_ppm", core.time), ("cost", core.price)):
        left = max(1.0, limit_s - (time.perf_counter() - built))
        answer = milp(
            goal,
            integrality=whole,
            bounds=bounds,
            constraints=core.rows.constraint(core.width),
            options={"time_limit": left, "mip_rel_gap": 0},
        )
        if answer.status != 0:
            found["note"] = "impossible" if answer.status == 2 else f"not proved in {limit_s:.0f} s"
            break
        values[name] = round(answer.fun)
        if name == "time_ppm":
            # step 0: 100 (T - T*) < T*
            core.rows.add(
                {i: float(t) for i, t in enumerate(core.time) if t},
                0,
                values[name] + (values[name] - 1) // 100,
            )
    found |= {"solve_s": time.perf_counter() - built, "answer": values}
    return found
