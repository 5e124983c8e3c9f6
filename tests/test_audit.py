"""`partsolver audit`: it finds what is broken on purpose, makes it small, and writes a folder that is a
test case."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from test_laws import IMPORTS
from test_schemas import validate

from partsolver.audit import laws
from partsolver.audit.folder import read_counter_example, write_counter_example
from partsolver.audit.laws import LAWS, Broken, ask, reason_of
from partsolver.audit.run import Audit, audit
from partsolver.audit.shrink import smaller
from partsolver.audit.trial import Change, OwnData, Trial, catalog_of, own_data, sold_out, survey_of
from partsolver.catalog.dictionary import data_folder
from partsolver.cli import run
from partsolver.report.audit import LAW_WORDS
from partsolver.rules import all_rules, buying_stock, fit_cooler_mount, memory_generation
from partsolver.search.bounds import Figures

all_rules()
CASES = sorted(path.parent for path in (Path(__file__).parent / "cases").glob("*/audit.toml"))


@pytest.fixture(scope="module")
def own() -> OwnData:
    return own_data(data_folder() / "demo", data_folder() / "demo-survey.toml")


def test_counter_examples_that_were_sent_in_hold_now() -> None:
    """None was so far; that one is found again from its folder is tested below."""
    for folder in CASES:
        data, trial = read_counter_example(folder)
        assert reason_of(data, trial) is None, folder.name


def test_nothing_is_broken_in_the_demo(own: OwnData) -> None:
    found = audit(own, minutes=60, most=4 * len(LAWS))
    assert found.broken is None, found.reason
    assert all(asked.with_plan + asked.without_plan + asked.undecided for asked in found.asked.values())
    assert sum(asked.without_plan for asked in found.asked.values()) >= 1
    assert found == audit(own, minutes=60, most=4 * len(LAWS)), "the same start draws the same trials"


# -- what is broken on purpose is found --------------------------------------------------------------------------------


@contextmanager
def posts_nothing(rule: Any) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rule, "post", lambda *_: None)
        yield


@contextmanager
def bound_too_high() -> Iterator[None]:
    right = Figures.cost_bounds

    def wrong(self: Figures) -> Any:
        return {slot: bound + 3000 for slot, bound in right(self).items()}

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Figures, "cost_bounds", wrong)
        yield


@contextmanager
def sold_out_is_sold() -> Iterator[None]:
    """Search, model and plain statement agree on it: only the law knows better."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(buying_stock, "allows_offer", lambda *_: True)
        patch.setattr(buying_stock, "allows_bundle", lambda *_: True)
        patch.setattr(buying_stock, "admits", lambda *_: ())
        patch.setattr(laws, "sold_out", lambda catalog, part: _without_counts(sold_out(catalog, part)))
        yield


def _without_counts(catalog: Any) -> Any:
    from dataclasses import replace

    offers = tuple(replace(o, stock=None) for o in catalog.tables["offers"])
    return replace(catalog, tables={**catalog.tables, "offers": offers})


@pytest.mark.parametrize(
    ("broken", "most"),
    [
        (lambda: posts_nothing(memory_generation), 60),
        (lambda: posts_nothing(fit_cooler_mount), 60),
        (bound_too_high, 60),
        (sold_out_is_sold, 60),
    ],
    ids=[
        "memory.generation posts nothing",
        "fit.cooler-mount posts nothing",
        "a bound too high",
        "sold out is sold",
    ],
)
def test_what_is_broken_is_found_made_small_and_written(
    own: OwnData, broken: Callable[[], Any], most: int, tmp_path: Path
) -> None:
    with broken():
        found = audit(own, minutes=60, most=most)
        assert found.broken is not None and found.reason
        assert found.broken.parts is not None and len(found.broken.parts) <= 8
        write_counter_example(tmp_path / "case", own, found.broken, found.reason, "0.0.0")
        data, trial = read_counter_example(tmp_path / "case")
        assert reason_of(data, trial), "the folder shows the same by itself"
    assert reason_of(data, trial) is None, "nothing is wrong once the program is right"
    assert len(data.catalog.table_of) <= 12


def test_delivery_that_is_not_charged_is_found_in_the_sums(own: OwnData) -> None:
    """`plans-stand` adds up lines and deliveries itself."""
    from dataclasses import replace

    problem = laws.problem_of(own, Trial("plans-stand", None))
    outcome = laws._decided(problem)
    first = outcome.plans[0]
    dearer = replace(first, draft=replace(first.draft, cost=first.draft.cost + 1))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(laws, "recommend", lambda *_, **__: replace(outcome, plans=(dearer,)))
        with pytest.raises(Broken, match="sum up to"):
            ask(own, Trial("plans-stand", None))
        patch.setattr(laws, "recommend", lambda *_, **__: replace(outcome, plans=outcome.plans[::-1]))
        with pytest.raises(Broken, match="not in order"):
            ask(own, Trial("plans-stand", None))
        patch.setattr(laws, "recommend", lambda *_, **__: replace(outcome, plans=(first, first)))
        with pytest.raises(Broken, match="same choice"):
            ask(own, Trial("plans-stand", None))


# -- trials ------------------------------------------------------------------------------------------------------------


def test_a_trial_changes_what_it_says_and_nothing_else(own: OwnData) -> None:
    before = survey_of(own, ())
    changed = survey_of(
        own,
        (
            Change("psu", None, "rated_w", "unknown"),
            Change("drive", 1, "", None),
            Change("card", 0, "lanes", 4),
            Change("brief", None, "need_by", None),
        ),
    )
    assert changed["psu"] == {**before["psu"], "rated_w": "unknown"}
    assert [row["name"] for row in changed["drive"]] == ["solid-state drive", "optical drive"]
    assert changed["card"][0] == {**before["card"][0], "lanes": 4}
    assert "need_by" not in changed["brief"] and "need_by" in before["brief"]
    assert {k: v for k, v in changed.items() if k not in ("psu", "drive", "card", "brief")} == {
        k: v for k, v in before.items() if k not in ("psu", "drive", "card", "brief")
    }


def test_a_catalogue_of_fewer_parts_has_their_offers_and_whole_bundles(own: OwnData) -> None:
    bundle = next(b for b in own.catalog.tables["bundles"] if b.kind == "parts")
    items = {item for item, _ in bundle.items}
    less = catalog_of(own.catalog, items)
    assert set(less.table_of) == items and bundle in less.tables["bundles"]
    assert {offer.part for offer in less.tables["offers"]} <= items
    assert bundle not in catalog_of(own.catalog, items - {min(items)}).tables["bundles"]
    gone = sold_out(less, min(items))
    assert all(o.stock == 0 for o in gone.tables["offers"] if o.part == min(items))
    assert all(b.stock == 0 for b in gone.tables["bundles"])
    assert any(o.stock != 0 for o in gone.tables["offers"])


def test_what_is_made_small_keeps_only_what_is_needed() -> None:
    trial = Trial("more-budget", None, tuple(Change("psu", None, str(n), n) for n in range(9)))

    def breaks(tried: Trial) -> bool:
        parts = set(range(40)) if tried.parts is None else {int(part) for part in tried.parts}
        return {3, 17, 18} <= parts and any(change.value == 5 for change in tried.changes)

    found = smaller(trial, [str(n) for n in range(40)], breaks)
    assert found.parts == {"3", "17", "18"} and [change.value for change in found.changes] == [5]


# -- the command -------------------------------------------------------------------------------------------------------


def test_the_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(["audit", str(data_folder() / "demo"), "--trials", "8", "--format", "json"]) == 0
    document = json.loads(capsys.readouterr().out)
    validate("audit-1", document)
    assert document["broken"] is None and document["trials"] >= 1
    assert not (tmp_path / "counter-example").exists()
    with posts_nothing(memory_generation):
        assert run(["audit", "--trials", "60", "--format", "json"]) == 4
        document = json.loads(capsys.readouterr().out)
        validate("audit-1", document)
        assert document["broken"]["folder"] == "counter-example"
        assert run(["audit", "counter-example"]) == 4
        assert "BROKEN" in capsys.readouterr().out
        assert run(["audit", "--trials", "1"]) == 2, "what was written is not written over"
    assert "is there already" in capsys.readouterr().err
    assert run(["audit", "counter-example"]) == 0
    assert "holds for this folder" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--minutes", "0"], "not a time"),
        (["nowhere"], "nowhere"),
        (["--survey", "none.toml"], "no such file"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else value,
)
def test_bad_input_is_refused(arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["audit", *arguments]) == 2
    assert says in capsys.readouterr().err


def test_a_folder_with_another_question_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "audit.toml").write_text('law = "gravity"\n', encoding="utf-8")
    assert run(["audit", str(tmp_path)]) == 2
    assert "no such law" in capsys.readouterr().err


def test_every_law_has_words() -> None:
    assert set(LAW_WORDS) == set(LAWS)


def test_hypothesis_is_imported_in_one_place_only() -> None:
    """Everything but `audit` runs without it."""
    found = {(i.file, i.function) for i in IMPORTS if i.top == "hypothesis"}
    assert found == {("partsolver/audit/draw.py", None), ("partsolver/cli/audit.py", "audit")}
    users = {(i.file, i.function) for i in IMPORTS if i.module == "partsolver.audit.draw"}
    assert users == {("partsolver/audit/run.py", "audit")}


def test_the_result_of_an_empty_audit() -> None:
    assert Audit({}, 0, None, None).trials == 0
