"""A fleet planned again when a part sells out: as few plans as possible change."""

from __future__ import annotations

import datetime
import json
import shutil
from collections import Counter
from collections.abc import Callable
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from fleets import LIMITS, answer, cost_of, fleet_of, options, stock_without

from partsolver.base.errors import InputRefused
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import load_catalog
from partsolver.cli import run
from partsolver.fleet.outcome import FleetOutcome
from partsolver.fleet.records import Fleet, FleetWishes
from partsolver.fleet.stored import read_fleet_file, source_of
from partsolver.fleet.work import Here
from partsolver.report.fleet import changed_pcs
from partsolver.solve.fleet.plan import Before, plan_fleet, stock_of


def again(fleet: Fleet, before: FleetOutcome, gone: tuple[str, ...] = ()) -> FleetOutcome:
    plans = {one.result.pc: one.result.column.name for one in before.pcs}
    return plan_fleet(fleet, Here(fleet.classes, stock_of(fleet)), LIMITS, before=Before(plans, gone))


def bought(outcome: FleetOutcome) -> dict[str, set[str]]:
    """By PC what it gets from sellers."""
    return {one.result.pc: {p.item for p in one.result.pieces if p.donor is None} for one in outcome.pcs}


@pytest.mark.parametrize("seed", range(4))
def test_where_nothing_is_gone_nothing_changes(seed: int) -> None:
    before = answer(fleet_of(seed, "most-pcs", 9000, (2, 2)))
    after = again(before.fleet, before)
    assert changed_pcs(after) == [] and after.changes is not None
    assert after.orders == before.orders and after.proven


def most_kept(fleet: Fleet, before: FleetOutcome) -> int:
    """How many PCs can keep their plan, by trying every assignment."""
    former = {}
    for one in before.pcs:
        column = one.result.column
        own = Counter(dict(column.own))
        wanted = Counter({goods.item: n for goods, n in column.demand}) + own
        former[one.result.pc] = (column.time_ppm, wanted, Counter(dict(column.released)) + own)
    pcs = [(number, pc) for number, one in enumerate(fleet.classes) for pc in one.pcs]
    free = {number: [(None, o) for o in options(fleet, number)] for number, _ in enumerate(fleet.classes)}
    best = 0
    for picked in product(*([(pc, former[pc]), *free[number]] for number, pc in pcs)):
        kept = sum(pc is not None for pc, _ in picked)
        if kept <= best:
            continue
        wanted = sum((own for _, (_, own, _) in picked), Counter[str]())
        left = sum((freed for _, (_, _, freed) in picked), Counter[str]())
        cost = cost_of(fleet, wanted, left) if wanted.keys() <= sold(fleet) else None
        if cost is not None and cost <= (fleet.wishes.budget or 0):
            best = kept
    return best


def sold(fleet: Fleet) -> set[str]:
    return {offer.part for offer in fleet.catalog.tables["offers"]}


@pytest.mark.parametrize("seed", range(4))
def test_as_few_plans_change_as_brute_force_finds(seed: int) -> None:
    """Without any one part that was bought: nobody gets it, and no choice of plans keeps more."""
    before = answer(fleet_of(seed, "most-speed", 6000, (1, 1)))
    gone = sorted({item for items in bought(before).values() for item in items})
    assert gone
    for part in gone:
        fleet = stock_without(before.fleet, part)
        after = again(fleet, before, (part,))
        assert after.changes is not None and after.cost <= 6000
        assert not any(part in items for items in bought(after).values())
        assert len(after.changes.kept) == after.stages[0].value == after.stages[0].bound
        assert len(after.changes.kept) == most_kept(fleet, before)
        assert after.changes.anew[0].value == answer(fleet).stages[0].value


WISHES = FleetWishes("most-speed", 9000, "1.25")
BRIEF = {
    "need_by": datetime.date(2026, 12, 20),
    "today": datetime.date(2026, 12, 1),
    "without": ("br-s10m", "br-t10m"),
    "min_memory_gb": 4,
    "use": "photo",
}


def fleet_file(place: Path, change: Callable[[Any], object] = lambda d: None) -> Path:
    """The file of a fleet that lies in ``place``, without having been planned."""
    for name in ("pcs", "parts", "out"):
        (place / name).mkdir(exist_ok=True)
    source = source_of(place / "out", place / "pcs", place / "parts", WISHES, BRIEF)
    choice = ["board-a", "cpu-a", "kit-a*1"]
    document = {
        "schema": "partsolver.fleet/1",
        "goal": "most-speed",
        "currency": "EUR",
        "budget": "90.00",
        "pcs": [
            {"pc": "desk", "what": "plan", "choice": choice},
            {"pc": "store", "what": "nothing", "choice": []},
        ],
        "source": source.document(),
    }
    change(document)
    path = place / "out" / "fleet.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    return path


def test_what_was_asked_of_a_fleet_comes_back(tmp_path: Path) -> None:
    """A fleet with a date, or with parts left out, could not be planned again at all. And as in plan files:
    no folder of this machine stands in a file that goes to other people."""
    path = fleet_file(tmp_path)
    assert str(tmp_path) not in path.read_text(encoding="utf-8")
    stored = read_fleet_file(path)
    assert dict(stored.changes) == BRIEF
    assert (stored.folder, stored.catalog) == (tmp_path / "pcs", tmp_path / "parts")
    assert stored.plans == {"desk": ("plan", ("board-a", "cpu-a", "kit-a*1")), "store": ("nothing", ())}
    demo = load_catalog(data_folder() / "demo")
    assert stored.wishes(demo) == WISHES
    assert read_fleet_file(path, tmp_path, "40").wishes(demo).budget == 4000


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda d: d["source"].update(min_speedup="abc"), "source.min_speedup: not a speed-up.*abc"),
        (lambda d: d["source"].update(min_speedup="nan"), "source.min_speedup: not a speed-up.*nan"),
        (lambda d: d["source"].update(min_speedup="-1"), "source.min_speedup: not a speed-up.*-1"),
        (lambda d: d.update(budget="-5"), "fleet.json budget: must not be negative.*-5"),
        (lambda d: d.update(budget="1e3"), "fleet.json budget: not an amount.*1e3"),
        (lambda d: d.update(budget=90), "fleet.json budget: not an amount.*90"),
        (lambda d: d.update(currency="XTS"), "another currency.*XTS.*EUR"),
        (lambda d: d.update(goal="cheapest"), "no such goal.*cheapest.*most-pcs"),
        (lambda d: d.update(schema="partsolver.fleet/2"), "another version of partsolver.*fleet/2"),
        (lambda d: d["source"]["brief"].update(need_by="soon"), "source.brief.need_by: not a date.*soon"),
        (lambda d: d["source"]["brief"].update(wish=1), "source.brief.wish: no such key"),
        (lambda d: d["source"].update(folder="/home/anna/pcs"), "source.folder.*not opened by itself.*anna"),
        (lambda d: d["source"].update(catalog="C:\\parts"), "source.catalog.*not opened by itself"),
        (lambda d: d["source"].update(folder="../gone"), "source.folder.*is not there.*gone"),
        (lambda d: d["pcs"].append(d["pcs"][0]), "pcs entry 3: a PC stands twice.*desk"),
        (lambda d: d["pcs"][1].update(choice=["board-a"]), r"pcs entry 2 \(store\): its plan cannot be read"),
        (lambda d: d["pcs"][0].update(choice="abc"), r"pcs entry 1 \(desk\): its plan cannot be read"),
        (lambda d: d["pcs"][0].pop("pc"), "pcs entry 1: lacks what is needed"),
    ],
)
def test_an_altered_file_is_refused_by_name(
    change: Callable[[Any], object], told: str, tmp_path: Path
) -> None:
    """Some of these ended in an internal fault, others were followed without a word."""
    path = fleet_file(tmp_path, change)
    with pytest.raises(InputRefused, match=told):
        read_fleet_file(path).wishes(load_catalog(data_folder() / "demo"))


def test_a_budget_below_nothing_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """It ended in an internal fault."""
    path = fleet_file(tmp_path, lambda d: d["source"].update(catalog="demo"))
    assert run(["replan", str(path), "--budget", "-5"]) == 2
    assert "--budget: must not be negative (found '-5')" in capsys.readouterr().err


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "fleet"
    shutil.copytree(data_folder() / "demo-fleet", folder)
    for name in ("accounts", "library", "reception"):
        (folder / f"{name}.toml").unlink()
    assert run(["fleet", str(folder), "--demo", "--budget", "200", "--out", str(tmp_path / "first")]) == 0
    file = tmp_path / "first" / "fleet.json"
    first = json.loads(file.read_text(encoding="utf-8"))
    gone = first["orders"][0]["lines"][0]["id"]
    capsys.readouterr()
    out = tmp_path / "second"
    assert run(["replan", str(file), "--gone", gone, "--format", "json", "--out", str(out)]) == 0
    second = json.loads(capsys.readouterr().out)
    changes = second["changes"]
    assert changes["gone"] == [gone] and len(changes["changed"]) + changes["kept"] == len(second["pcs"])
    assert gone not in [line["id"] for order in second["orders"] for line in order["lines"]]
    text = (out / "fleet.txt").read_text(encoding="utf-8")
    assert "Sold out: " in text and f"({gone})" in text and "Changed plans" in text
    assert "Planned again" in (out / "index.html").read_text(encoding="utf-8")
    # Its parts may be ordered: that its plan is dropped was not said.
    (folder / "courses-2.toml").rename(folder / "hall.toml")
    assert run(["replan", str(out / "fleet.json"), "--format", "json"]) == 0
    told = capsys.readouterr()
    assert (
        f"courses-2 has a plan, and no survey in {folder} any more" in told.err and "hall has" not in told.err
    )
    assert json.loads(told.out)["changes"]["anew"]

    assert run(["replan", str(file), "--gone", "no-such-part"]) == 2
    assert run(["replan", str(file), "--price", "a=1"]) == 2
    refused = capsys.readouterr().err
    assert "is not for the plans of a fleet (found 'a=1')" in refused
    assert "no such part or bundle (found 'no-such-part'); expected an id of the catalogue" in refused
    for cut in ("source", "pcs", "goal"):
        broken = tmp_path / "broken.json"
        broken.write_text(json.dumps({k: v for k, v in first.items() if k != cut}), encoding="utf-8")
        assert run(["replan", str(broken)]) == 2
        assert "lacks what is needed" in capsys.readouterr().err
