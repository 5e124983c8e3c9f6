"""Replanning against another catalogue than the plan was made for, and what a person may say has happened."""

from __future__ import annotations

import copy
import csv
import json
from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from support import BOARD, CPU, KIT, SELLER, make_catalog, make_survey

from partsolver.base.errors import InputRefused
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.records import Bundle, Extra, Offer, Psu, Seller
from partsolver.cli import run
from partsolver.explain.replan import Replanned, replan, why_none
from partsolver.plan.complete import draft_of
from partsolver.planfile.plan_file import PlanFile, joined, plan_document
from partsolver.problem.join import join
from partsolver.report.replan import replan_json, replan_text
from partsolver.rules import all_rules
from partsolver.sheet.make import context_of
from partsolver.solve.recommend import recommend
from partsolver.survey.model import OperatingSystem
from partsolver.wishes.brief import Brief

# Processor B is slower than processor A (1500 and 6000 points): it is only taken when A cannot be had.
SLOWER = replace(CPU, id="cpu-b", name="Processor B", serial_score=1200, parallel_score=4800)
TWIN = replace(KIT, id="kit-b", name="Kit B")
PRICES = {"board-a": 4000, "cpu-a": 5000, "cpu-b": 4500, "kit-a": 2000, "kit-b": 2150}
TABLES: dict[str, Any] = {"boards": [BOARD], "cpus": [CPU, SLOWER], "memory": [KIT, TWIN]}
# Board, processor A and one kit A, 40.00 + 50.00 + 20.00; the base seller delivers free.
FIRST = {"board": "board-a", "cpu": "cpu-a", "memory": "kit-a*1"}


def offers(**changed: int | None) -> list[Offer]:
    """The usual offers with other prices; None: nobody offers it."""
    prices = {**PRICES, **{name.replace("_", "-"): price for name, price in changed.items()}}
    return [Offer(part, "shop", price) for part, price in prices.items() if price is not None]


def catalog(digest: str = "1" * 16, **tables: Any) -> Any:
    made = make_catalog(**{**TABLES, "offers": offers(), **tables})
    return replace(made, info=replace(made.info, digest=digest))


def document(
    brief: Brief | None = None, survey: Any = None, **tables: Any
) -> tuple[dict[str, Any], Any, Brief]:
    """A plan file's document about the first plan, its survey and brief."""
    survey, brief = survey or make_survey(), brief or Brief(budget="200.00", alternatives=1, min_memory_gb=8)
    problem = join(survey, catalog("0" * 16, **tables), brief)
    outcome = recommend(problem)
    assert outcome.plans
    return (
        json.loads(json.dumps(plan_document(outcome, problem, 1, "", "demo")), parse_float=Decimal),
        survey,
        brief,
    )


def stored(made: tuple[dict[str, Any], Any, Brief], now: Any) -> PlanFile:
    return joined("plan.json", made[0], made[1], now, made[2])


def flat(result: Replanned) -> str:
    json.loads(replan_json(result))  # one document, whatever happened
    text = replan_text(result, why_none(result))
    assert max(len(line) for line in text.splitlines()) <= 80
    return " ".join(text.split())


@pytest.fixture(scope="module")
def first() -> tuple[dict[str, Any], Any, Brief]:
    made = document()
    assert made[0]["plans"][0]["parts"]["cpu"] == "cpu-a" and made[0]["plans"][0]["cost"]["total"] == "110.00"
    return made


def test_a_processor_that_left_the_catalogue_counts_as_gone(first: Any) -> None:
    now = catalog(cpus=[SLOWER], offers=offers(cpu_a=None))
    file = stored(first, now)
    assert [(m.slot, m.id, m.state) for m in file.missing] == [("cpu", "cpu-a", "left")]
    result = replan(file)
    assert not result.still_stands and result.gone == ("cpu-a",) and result.catalog_changed
    assert result.old is not None and result.old.draft.cost == 11000 and result.old.admitted
    assert result.new is not None and result.new.parts.cpu.id == "cpu-b" and result.new.draft.cost == 10500
    assert [(c.slot, c.before, c.after) for c in result.changes] == [("cpu", "cpu-a", "cpu-b")]
    assert result.stand_in is None, "another processor is another plan"
    text = flat(result)
    assert "Processor A is not in the catalogue any more." in text and "Processor A is gone." in text
    assert "110.00 105.00 (-5.00)" in text


def test_without_its_facts_the_old_plan_is_shown_as_the_file_has_it(first: Any) -> None:
    """A file without the rows of its catalogue (written by hand or before they were kept)."""
    bare = copy.deepcopy(first[0])
    del bare["source"]["rows"]
    result = replan(stored((bare, *first[1:]), catalog(cpus=[SLOWER], offers=offers(cpu_a=None))))
    assert result.old is None and not result.still_stands and result.stand_in is None
    assert result.new is not None and result.new.parts.cpu.id == "cpu-b"
    text = flat(result)
    assert (
        "it is shown as the plan file has it" in text and "110.00 105.00 (-5.00)" in text and "cpu-a" in text
    )
    told = json.loads(replan_json(result))
    assert told["old_as_stored"] and told["old"] == json.loads(
        json.dumps(first[0]["plans"][0], default=float)
    )
    assert told["cost_difference"] == "-5.00"
    with pytest.raises(InputRefused, match=r"cpu-a.*partsolver replan"):
        context_of(result.stored)


def test_a_kit_that_nobody_offers_has_its_stand_in(first: Any) -> None:
    result = replan(stored(first, catalog(offers=offers(kit_a=None))))
    assert [(m.slot, m.id, m.state) for m in result.missing] == [("memory", "kit-a", "unsold")]
    assert (
        result.stand_in is not None
        and result.stand_in.parts.memory.id == "kit-b*1"
        and result.stand_in.draft.cost == 11150
    )
    assert "Nobody offers Kit A any more." in flat(result)


def test_two_parts_gone_have_no_stand_in(first: Any) -> None:
    result = replan(stored(first, catalog(cpus=[SLOWER], offers=offers(cpu_a=None, kit_a=None))))
    assert result.gone == ("cpu-a", "kit-a") and result.stand_in is None
    assert result.new is not None and result.new.draft.cost == 4000 + 4500 + 2150


def test_a_board_offered_in_another_state_only() -> None:
    made = document(offers=[Offer("board-a", "shop", 4000, firmware="1.20"), *offers(board_a=None)])
    assert made[0]["plans"][0]["parts"]["board_variant"] == "board-a@1.20/included"
    result = replan(
        stored(made, catalog(offers=[Offer("board-a", "shop", 3900, firmware="1.30"), *offers(board_a=None)]))
    )
    assert [(m.id, m.state) for m in result.missing] == [("board-a", "other-kind")] and result.gone == ()
    assert result.stand_in is not None and result.stand_in.draft.cost == 10900
    assert result.new is not None and result.new.parts.board.firmware_shipped == "1.30"
    assert "Board A is not offered any more in the state" in flat(result)


def test_what_differs_is_said(first: Any) -> None:
    deeper = replace(BOARD, depth_mm=230, source="another sheet")
    moved = [*offers(cpu_a=5200, kit_a=None), Offer("kit-a", "corner", 2500)]
    result = replan(
        stored(
            first, catalog(boards=[deeper], offers=moved, sellers=[SELLER, Seller("corner", "Corner Shop")])
        )
    )
    found = [(d.kind, d.id, d.field, d.before, d.after, d.seller) for d in result.differences]
    assert found == [
        ("fact", "board-a", "depth_mm", 220, 230, None),
        ("price", "cpu-a", None, 5000, 5200, "shop"),
        ("seller", "kit-a", None, 2000, 2500, "shop"),
    ]
    text = flat(result)
    assert (
        "(depth_mm): 220 mm then, 230 mm now." in text
        and "Processor A cost 50.00 at Shop, now 52.00." in text
    )
    assert "Kit A: Shop does not offer it any more; others do, from 25.00." in text
    assert result.still_stands and result.old is not None and result.old.draft.cost == 4000 + 5200 + 2500


def test_a_change_elsewhere_changes_nothing(first: Any) -> None:
    result = replan(stored(first, catalog(offers=offers(cpu_b=4900))))
    assert (
        result.differences == () and result.still_stands and result.changes == () and result.purchases == ()
    )
    assert "nothing that this plan uses differs" in flat(result) and "Nothing changes." in flat(result)


def test_what_the_brief_demands_may_be_gone() -> None:
    made = document(Brief(budget="200.00", alternatives=1, including=("cpu-a",)))
    for result in (
        replan(stored(made, catalog()), gone=["cpu-a"]),
        replan(stored(made, catalog(cpus=[SLOWER], offers=offers(cpu_a=None)))),
    ):
        assert [(n.kind, n.id) for n in result.notes] == [("demand-dropped", "cpu-a")]
        assert (
            result.new is not None
            and result.new.parts.cpu.id == "cpu-b"
            and result.problem.brief.including == ()
        )
        assert "The brief demands Processor A; it is gone, so the demand is dropped." in flat(result)


def test_a_demand_of_another_plan_may_have_left() -> None:
    """A brief written by hand may demand what its plan does not hold any facts of."""
    made = document(Brief(budget="200.00", alternatives=1))
    file = stored(
        (
            made[0],
            made[1],
            made[2].model_copy(update={"including": ("old-thing",), "without": ("older-thing",)}),
        ),
        catalog(),
    )
    assert file.dropped == ("old-thing",)
    assert [(n.kind, n.id) for n in replan(file).notes] == [("demand-dropped", "old-thing")]


def test_what_the_brief_excludes_may_be_ordered() -> None:
    made = document(Brief(budget="200.00", alternatives=1, without=("cpu-a",)))
    assert made[0]["plans"][0]["parts"]["cpu"] == "cpu-b"
    result = replan(stored(made, catalog()), ordered=["cpu-a"])
    assert {(n.kind, n.id) for n in result.notes} == {
        ("exclusion-dropped", "cpu-a"),
        ("order-not-in-plan", "cpu-a"),
    }
    assert result.new is not None and result.new.parts.cpu.id == "cpu-a" and not result.still_stands
    text = flat(result)
    assert (
        "it is ordered, so the exclusion is dropped" in text
        and "Processor A is ordered, and the old plan does not use it." in text
    )
    assert "demanded but not in the plan" not in text


@pytest.mark.parametrize(
    "now",
    [
        {"offers": [*offers(cpu_a=None), Offer("cpu-a", "shop", 5000, stock=0)]},
        {"offers": [*offers(cpu_a=None), Offer("cpu-a", "shop", 9000)]},
        {"offers": offers(cpu_a=None)},
        {"cpus": [SLOWER], "offers": offers(cpu_a=None)},
        {
            "sellers": [Seller("corner", "Corner Shop")],
            "offers": [replace(o, seller="corner") for o in offers(cpu_a=None)],
        },
    ],
    ids=["last-one-bought", "dearer-now", "nobody", "left", "seller-left"],
)
def test_what_is_ordered_stays_as_it_was_bought(first: Any, now: dict[str, Any]) -> None:
    result = replan(stored(first, catalog(**now)), ordered=["cpu-a"])
    assert result.new is not None and result.still_stands and result.gone == () and result.missing == ()
    assert [(line.item, line.amount) for line in result.new.draft.lines] == [
        ("board-a", 4000),
        ("cpu-a", 5000),
        ("kit-a", 2000),
    ]
    flat(result)


def test_a_new_price_of_an_order_counts(first: Any) -> None:
    result = replan(
        stored(first, catalog(offers=offers(cpu_a=9000))), prices={"cpu-a": "48.00"}, ordered=["cpu-a"]
    )
    assert result.new is not None and result.new.draft.cost == 10800


SET = Bundle("set-a", "Set A", "parts", (("board-a", 1), ("cpu-a", 1)), "shop", 8500)
WHOLE = Bundle("pc-a", "Whole PC", "complete-pc", (("board-a", 1), ("cpu-a", 1), ("kit-a", 1)), "shop", 12000)


@pytest.fixture(scope="module")
def bundled() -> tuple[dict[str, Any], Any, Brief]:
    made = document(bundles=[SET, WHOLE])
    assert made[0]["plans"][0]["cost"]["total"] == "105.00"  # 85.00 + 20.00
    return made


def test_a_bundle_gone_is_bought_singly(bundled: Any) -> None:
    for result in (
        replan(stored(bundled, catalog(bundles=[SET, WHOLE])), gone=["set-a"]),
        replan(stored(bundled, catalog(bundles=[WHOLE]))),
    ):
        assert result.gone == ("set-a",) and not result.still_stands and result.changes == ()
        assert result.old is not None and result.old.draft.cost == 10500
        assert result.new is not None and result.new.draft.cost == 11000
        assert {(p.item, p.after) for p in result.purchases} == {
            ("set-a", None),
            ("board-a", ("shop", 4000)),
            ("cpu-a", ("shop", 5000)),
        }
        assert "Set A is gone." in flat(result) and "The same parts, bought otherwise:" in flat(result)


@pytest.mark.parametrize(
    ("prices", "ordered", "cost", "notes"),
    [
        ({"cpu-a": "60.00"}, [], 10500, {("covered", "cpu-a", "set-a")}),  # its own price is not what is paid
        ({"cpu-a": "40.00"}, [], 10000, {("covered", "cpu-a", "set-a")}),  # cheaper alone: 40 + 40 + 20
        ({"set-a": "80.00"}, [], 10000, set()),
        ({"set-a": "99.00"}, ["set-a"], 11900, set()),
        ({}, ["cpu-a"], 10500, {("covered", "cpu-a", "set-a")}),  # ordering one of it is ordering it
        ({"pc-a": "50.00"}, [], 10500, {("complete-pc", "pc-a", None)}),
    ],
)
def test_prices_and_orders_of_a_bundle(
    bundled: Any, prices: dict[str, str], ordered: list[str], cost: int, notes: set[Any]
) -> None:
    result = replan(stored(bundled, catalog(bundles=[SET, WHOLE])), prices=prices, ordered=ordered)
    assert result.new is not None and result.new.draft.cost == cost
    assert {(n.kind, n.id, n.other) for n in result.notes} == notes
    flat(result)


def test_a_complete_pc_competes(bundled: Any) -> None:
    result = replan(stored(bundled, catalog(bundles=[SET, WHOLE])), prices={"pc-a": "50.00"})
    assert [(pc.bundle.id, pc.cost) for pc in result.outcome.complete_pcs] == [("pc-a", 5000)]
    gone = replan(stored(bundled, catalog(bundles=[SET, WHOLE])), gone=["pc-a"])
    assert gone.outcome.complete_pcs == () and gone.still_stands
    assert "Whole PC is a complete PC" in flat(gone)


def test_an_extra_gone() -> None:
    """A boxed licence of 9.00 for the new board; its stand-in costs 11.00."""
    survey = make_survey(os=OperatingSystem(family="desktop-2015", licence="oem"))
    extras = [
        Extra("lic-a", "Licence A", kind="os-licence", gives=("desktop-2015",)),
        Extra("lic-b", "Licence B", kind="os-licence", gives=("desktop-2015",)),
    ]
    both = [*offers(), Offer("lic-a", "shop", 900), Offer("lic-b", "shop", 1100)]
    made = document(survey=survey, extras=extras, offers=both)
    for result in (
        replan(stored(made, catalog(extras=extras, offers=both)), gone=["lic-a"]),
        replan(stored(made, catalog(extras=extras[1:], offers=[o for o in both if o.part != "lic-a"]))),
    ):
        assert result.gone == ("lic-a",) and not result.still_stands and result.changes == ()
        assert (
            result.old is not None
            and result.old.draft.cost == 11900
            and result.new is not None
            and result.new.draft.cost == 12100
        )
        assert "Licence A is gone." in flat(result)


SUPPLY = Psu(id="psu-a", name="Supply A", form="atx", year=2026)


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ({"gone": ["cpu-x"]}, "--gone: no such part.*Did you mean 'cpu-"),
        ({"gone": ["shop"]}, "--gone: no such part"),
        ({"gone": ["kept-psu"]}, "Add --replace psu"),
        ({"gone": ["cpu-a"], "prices": {"cpu-a": "1"}}, "both gone and given a price"),
        ({"gone": ["cpu-a"], "ordered": ["cpu-a"]}, "both gone and ordered"),
        ({"ordered": ["pc-a"]}, "a complete PC is not part of a plan"),
        ({"ordered": ["psu-a"]}, "--ordered: the plan keeps the present supply.*Add --replace psu"),
        ({"ordered": ["cpu-a", "cpu-b"]}, "a second processor; the first is cpu-a"),
        ({"ordered": ["cpu-c"]}, "nobody offers it, and it is not in this plan"),
        ({"prices": {"cpu-c": "1"}}, "--price: nobody offers it"),
        ({"prices": {"cpu-y": "1"}}, "--price: no such part"),
        ({"prices": {"kept-cpu": "1"}}, "--price: no such part"),
        ({"prices": {"set-a": "-1"}}, "must not be negative"),
    ],
)
def test_what_cannot_be_followed_is_refused_in_the_words_of_replan(
    bundled: Any, options: dict[str, Any], told: str
) -> None:
    cpus = [CPU, SLOWER, replace(CPU, id="cpu-c")]
    now = catalog(
        cpus=cpus, psus=[SUPPLY], bundles=[SET, WHOLE], offers=[*offers(), Offer("psu-a", "shop", 3000)]
    )
    with pytest.raises(InputRefused, match=told):
        replan(stored(bundled, now), **options)


def test_an_order_whose_facts_are_lost_is_refused(first: Any) -> None:
    bare = copy.deepcopy(first[0])
    del bare["source"]["rows"]
    file = stored((bare, *first[1:]), catalog(cpus=[SLOWER], offers=offers(cpu_a=None)))
    with pytest.raises(InputRefused, match="Put its row back"):
        replan(file, ordered=["cpu-a"])


@pytest.mark.parametrize(
    ("damage", "told"),
    [
        (lambda d: d["source"].update(rows=[]), "source.rows"),
        (lambda d: d["source"]["rows"].update(cpus=[{"id": "cpu-a"}]), "source.rows.cpus entry 1 name"),
        (
            lambda d: d["source"]["rows"].update(cpus=[{"id": "cpu-a", "name": "A", "cores": "many"}]),
            "source.rows.cpus entry 1 cores",
        ),
        (
            lambda d: d["source"]["rows"].update(
                boards=[{"id": "board-a", "name": "A", "form_factor": "round"}]
            ),
            "form_factor.*round",
        ),
        (lambda d: d.update(currency="XTS"), "another currency.*XTS"),
        (
            lambda d: d["source"]["rows"].update(cpus=[{"id": "cpu-a", "name": "A", "tdp_w": -65}]),
            "cpus entry 1 tdp_w: out of bounds.*-65",
        ),
        (
            lambda d: d["source"]["rows"].update(
                extras=[{"id": "extra-a", "name": "A", "kind": "thermal-paste", "count": 0}]
            ),
            "extras entry 1 count: out of bounds.*0",
        ),
        (
            lambda d: d["source"]["rows"]["offers"][0].update(price=-4000),
            "offers entry 1 price: out of bounds.*-4000",
        ),
        # The program's own fault, once the seller had left the catalogue as well.
        (lambda d: d["source"]["rows"].update(sellers=[]), "offers entry 1 seller: no such seller.*shop"),
        (lambda d: d["plans"][0]["parts"].update(cpu=7), "parts.cpu: cannot be read.*7.*a text"),
        (lambda d: d["plans"][0]["parts"].pop("cpu"), "parts.cpu: is missing"),
        (
            lambda d: d["plans"][0]["parts"].update(board="cpu-b", cpu="board-a"),
            "parts.board: is no board.*cpu-b",
        ),
        (lambda d: d["plans"][0]["parts"].update(board="kept-psu"), "parts.board: is no board.*kept-psu"),
        (lambda d: d["plans"][0]["parts"]["memory"][0].update(count="2"), "memory.count: cannot be read"),
        (lambda d: d["plans"][0]["parts"]["memory"].append({"id": "kit-b"}), "more than one kind of kit"),
        (lambda d: d["plans"][0]["cost"].update(lines=[{"id": "cpu-a"}]), "entry 1.amount: is missing"),
        (lambda d: d["plans"][0]["cost"]["lines"][1].update(amount="5O.00"), "entry 2.amount.*5O.00"),
        (lambda d: d["plans"][0]["cost"]["lines"][1].update(amount="-50.00"), "entry 2.amount.*-50.00"),
        # 40.00 + 50.00 + 20.00 are 110.00: a line twice, a line altered, the sum altered.
        (lambda d: d["plans"][0]["cost"].update(lines=3 * d["plans"][0]["cost"]["lines"]), "110.00.*330.00"),
        (lambda d: d["plans"][0]["cost"]["lines"][1].update(amount="5.00"), "not the sum.*110.00.*65.00"),
        (lambda d: d["plans"][0]["cost"].update(total="11.00"), "not the sum.*11.00.*110.00"),
        (lambda d: d["plans"].append(d["plans"][0]), "several plans have this rank.*1"),
        (lambda d: d.update(chosen=7), "no plan of this rank.*7.*here: 1"),
    ],
)
def test_damaged_rows_are_refused_by_name(first: Any, damage: Callable[[Any], None], told: str) -> None:
    broken = copy.deepcopy(first[0])
    damage(broken)
    with pytest.raises(InputRefused, match=told):
        stored((broken, *first[1:]), catalog(cpus=[SLOWER], offers=offers(cpu_a=None)))


def test_the_same_catalogue_cannot_lack_a_part(first: Any) -> None:
    """Where nothing has changed, a part that nobody knows is a damaged file."""
    broken = copy.deepcopy(first[0])
    broken["plans"][0]["parts"]["cpu"] = "cpu-z"
    with pytest.raises(InputRefused, match="cpu-z"):
        stored((broken, *first[1:]), catalog("0" * 16))


def test_wishes_that_cannot_be_meant_are_named_with_the_file(first: Any) -> None:
    with pytest.raises(InputRefused, match=r"plan\.json brief: budget: must not be negative.*-5"):
        joined(
            "plan.json", first[0], first[1], catalog("0" * 16), first[2].model_copy(update={"budget": "-5"})
        )


def test_an_order_of_which_nobody_knows_the_price_is_refused(first: Any) -> None:
    """It was searched for minutes why no plan can be bought with it."""
    bare = copy.deepcopy(first[0])
    del bare["plans"][0]["cost"]
    left = stored((bare, *first[1:]), catalog(cpus=[SLOWER], offers=offers(cpu_a=None)))
    with pytest.raises(InputRefused, match=r"--ordered: nobody offers it now.*cpu-a"):
        replan(left, ordered=["cpu-a"])


@pytest.mark.parametrize("version", ["partsolver.recommendation/2", "partsolver.recommendation/0"])
def test_a_file_of_another_version_is_told_apart_from_what_is_none(
    version: str, first: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "plan.json"
    path.write_text(json.dumps({**first[0], "schema": version}, default=str))
    assert run(["replan", str(path)]) == 2
    told = capsys.readouterr().err
    assert "another version of partsolver" in told and version in told and "recommendation/1" in told


def test_the_sheet_of_a_plan_whose_part_left(first: Any) -> None:
    """It may be ordered already: the sheet shows it as the file remembers it, and says so."""
    from partsolver.report.sheet_view import view

    context = context_of(stored(first, catalog(cpus=[SLOWER], offers=offers(cpu_a=None))))
    assert [line.item for line in context.plan.draft.lines] == ["board-a", "cpu-a", "kit-a"]
    assert any("Processor A is not on offer any more" in alert for alert in view(context).alerts)


def test_no_way_out_brings_back_what_is_gone(first: Any) -> None:
    result = replan(
        stored(first, catalog()), gone=["cpu-a", "cpu-b"], changes={"min_speedup": "2", "min_memory_gb": None}
    )
    assert result.new is None
    none = why_none(result, ["cpu-a", "cpu-b"])
    assert none is not None and [way.what for way in none.ways_out] == ["min_speedup"]
    assert "no plan exists" in flat(result)


def _edited(folder: Path, table: str, change: Callable[[dict[str, str]], Sequence[dict[str, str]]]) -> None:
    path = folder / f"{table}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(new for row in rows for new in change(row))


def test_through_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The demo's first plan, kept; then its processor and its kit leave the catalogue."""
    import shutil

    plan, folder = tmp_path / "plan.json", tmp_path / "catalogue"
    assert run(["recommend", "--alternatives", "1", "--out", str(plan), "--format", "json"]) == 0
    gone = json.loads(plan.read_text(encoding="utf-8"))["plans"][0]["parts"]["cpu"]
    shutil.copytree(data_folder() / "demo", folder)
    _edited(folder, "cpus", lambda row: [] if row["id"] == gone else [row])
    _edited(folder, "offers", lambda row: [] if row["part"] == gone else [row])
    _edited(folder, "bundles", lambda row: [] if gone in row["items"].split() else [row])
    capsys.readouterr()
    again = tmp_path / "again.json"
    assert run(["replan", str(plan), "--catalog", str(folder), "--out", str(again)]) == 0
    printed = capsys.readouterr()
    assert (
        "is not in the catalogue any more." in printed.out
        and "NEW PLAN" in printed.out
        and "Traceback" not in printed.err
    )
    assert json.loads(again.read_text(encoding="utf-8"))["plans"][0]["parts"]["cpu"] != gone
    assert run(["replan", str(again), "--catalog", str(folder), "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out)["changes"] == []
    for command in (
        ["sheet", str(plan), "--catalog", str(folder), "--format", "text"],
        ["replan", str(plan), "--catalog", str(folder), "--ordered", gone],
    ):
        assert run(command) == 0


def test_the_rows_of_a_plan_file_judge_it_alone(first: Any) -> None:
    """With every part and offer gone the old plan is still bought and judged as it was."""
    other = [replace(p, id=p.id + "-2") for p in (BOARD, CPU, KIT)]
    now = catalog(
        boards=other[:1], cpus=other[1:2], memory=other[2:], offers=[Offer(p.id, "shop", 3000) for p in other]
    )
    file = stored(first, now)
    assert len(file.missing) == 3 and file.found is not None
    assert draft_of(file.problem, file.parts, all_rules()).cost == 11000
