"""What the page costs beside the library: a changed budget, and a part marked gone, on a desk that is warm.

``python -m benchmarks.desk [--parts 2000] [--runs 5]``; ``--smoke``: the demo, once, no timing. Both sides
have the problem joined and one answer given before the first figure; then each run changes the budget to one
that was not asked for yet, first to more money than ever before, then to less. *Desk*: from the form sent to the whole page with the plans, over the application
(no socket), the work in its pool. *Library*: the same calls in this process. The answers are compared.
"""

from __future__ import annotations

import argparse
import re
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

from benchmarks.specs import CACHE, SURVEY, find
from partsolver.catalog.load import load_catalog
from partsolver.explain.nothing import why_nothing
from partsolver.explain.replan import replan
from partsolver.planfile.plan_file import read_plan_file
from partsolver.problem.join import changed, join
from partsolver.report.desk_views import money
from partsolver.solve.short_answer import short_answer
from partsolver.survey.load import load_survey

PORT = 4711
HOST = f"127.0.0.1:{PORT}"


def hidden(page: str, name: str) -> str:
    """The value of a hidden field of a form."""
    found = re.search(rf'name="{name}" value="([^"]*)"', page)
    assert found is not None, name
    return found[1]


class Page:
    """A desk of a folder, asked without a socket."""

    def __init__(self, folder: Path) -> None:
        from starlette.testclient import TestClient

        from partsolver.desk.app import application
        from partsolver.desk.serve import make_desk

        self.desk = make_desk(folder, ["127.0.0.1"], PORT)
        self.http = TestClient(application(self.desk), base_url=f"http://{HOST}")
        self.http.get("/", params={"t": self.desk.session.token})

    def get(self, address: str) -> str:
        """The page once what it waits for is there."""
        text = self.http.get(address).text
        while 'data-then="load"' in text:
            text = self.http.get(address).text
        return str(text)

    def post(self, address: str, **fields: str | list[str]) -> str:
        """The page that a form leads to."""
        data = {"token": self.desk.session.form_token, **fields}
        answer = self.http.post(address, data=data, headers={"origin": f"http://{HOST}"})
        shown = answer.url.raw_path.decode("ascii")
        return self.get(shown) if 'data-then="load"' in answer.text else str(answer.text)

    def budget(self, amount: str) -> str:
        was = hidden(self.get("/pc/pc/wishes"), "was")
        return self.post(
            "/pc/pc/wishes", use="office", budget=amount, keep=["case", "psu", "drive", "cooler"], was=was
        )

    def first_amount(self, page: str) -> str:
        found = re.search(r'class="amount">([^<]*)<', page)
        assert found is not None, page[:2000]
        return found[1].replace("\N{NO-BREAK SPACE}", " ")


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    start = time.perf_counter()
    result = work()
    return time.perf_counter() - start, result


def measure(catalog: Path, runs: int) -> tuple[dict[str, tuple[float, float]], list[str]]:
    """Median seconds (desk, library) by what was changed, and what was not equal."""
    figures: dict[str, list[tuple[float, float]]] = {"more money": [], "less money": [], "part gone": []}
    faults = []
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        shutil.copy(SURVEY, folder / "pc.toml")
        shutil.copytree(catalog, folder / "parts")
        page = Page(folder)
        try:
            answers = page.budget("230.00")
            survey, brief = load_survey(folder / "pc.toml")
            problem = join(survey, load_catalog(folder / "parts"), brief)

            def library(amount: str) -> Any:
                nonlocal problem
                problem = changed(problem, budget=amount)
                chosen, outcome, found = short_answer(problem)
                assert found is not None
                why_nothing(chosen, outcome)
                return found.plans[0].plan

            library("230.00")
            page.http.post(
                "/pc/pc/choose",
                data={
                    "token": page.desk.session.form_token,
                    "rank": "1",
                    "digest": hidden(answers, "digest"),
                },
                headers={"origin": f"http://{HOST}"},
            )
            stored = read_plan_file(folder / "pc.plan.json", folder / "parts")
            gone = [
                part.id for part in stored.plan.parts if part.slot in ("cpu", "memory", "board") and part.id
            ]
            for number in range(runs):
                for name, amount in (
                    ("more money", f"{231 + number}.00"),
                    ("less money", f"229.{number:02d}"),
                ):
                    ours, text = timed(lambda amount=amount: page.budget(amount))  # type: ignore[misc]
                    theirs, plan = timed(lambda amount=amount: library(amount))  # type: ignore[misc]
                    figures[name].append((ours, theirs))
                    expected = money(plan.draft.cost, problem).replace("\N{NO-BREAK SPACE}", " ")
                    if page.first_amount(text) != expected:
                        faults.append(
                            f"at most {amount}: {page.first_amount(text)} on the page, {expected} here"
                        )
                part = str(gone[number % len(gone)])
                plan_shown = hidden(page.get("/pc/pc/sold"), "plan")
                ours, text = timed(  # type: ignore[misc]
                    lambda part=part, shown=plan_shown: page.post("/pc/pc/sold", gone=part, plan=shown)
                )
                theirs, result = timed(lambda part=part: replan(stored, (part,)))  # type: ignore[misc]
                figures["part gone"].append((ours, theirs))
                if result.new is not None and money(result.new.draft.cost, result.problem) not in text:
                    faults.append(f"without {part}: the new plan of the library is not on the page")
        finally:
            page.desk.warm.pool.close()
    return {
        name: (median(a for a, _ in rows), median(b for _, b in rows)) for name, rows in figures.items()
    }, faults


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--parts", default="2000", help="spec of the catalogue")
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--smoke", action="store_true", help="the demo, once, no timing: answers are equal")
    parser.add_argument("--cache", type=Path, default=CACHE, help="where generated catalogues are kept")
    given = parser.parse_args()
    (spec,) = find(["demo" if given.smoke else given.parts])
    figures, faults = measure(spec.catalog(given.cache), 1 if given.smoke else given.runs)
    if not given.smoke:
        print("| changed | desk s | library s | desk against library |\n|---|---|---|---|")
        for name, (desk, library) in figures.items():
            print(f"| {name} | {desk:.3f} | {library:.3f} | {desk / library:.2f} |")
    print("\n".join(faults) or "desk: its answers are those of the library", file=sys.stderr)
    raise SystemExit(1 if faults else 0)


if __name__ == "__main__":
    main()
