"""Documents that the program prints, each of a situation made here, whole and as a person reads them.

``documents/NAME.txt`` holds each; ``python -m report.golden`` from the folder ``tests`` writes them again, and what
changed is read in the difference. They say what `golden_tables.tsv` and `golden_said.tsv` do not: the sentences of
``partsolver/report/`` that stand in a document only.
"""

from __future__ import annotations

import datetime
import re
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import support as s
import test_cases as cases
import test_replan_changes as again
from fleets import answer, fleet_of
from measure.samples import promise, sample
from sheet.conftest import CACHED, context

from partsolver.audit.run import Asked, Audit
from partsolver.audit.trial import Trial
from partsolver.catalog.adding import Added, Prices, Read
from partsolver.catalog.records import Bundle, Offer
from partsolver.catalog.store.near import Proposal
from partsolver.catalog.store.questions import Shown
from partsolver.catalog.store.write import Difference
from partsolver.explain.catalog_questions import FactQuestion, FactQuestions
from partsolver.explain.nothing import Nothing
from partsolver.explain.questions import AnswerEffect, Questions, QuestionValue
from partsolver.explain.replan import Purchase, replan, why_none
from partsolver.explain.why import WayOut, Why
from partsolver.fleet.outcome import Changes, FleetOutcome
from partsolver.fleet.records import StageResult
from partsolver.measure.causes import Cause
from partsolver.measure.compare import Comparison, compare
from partsolver.measure.fit import Fit
from partsolver.measure.records import Measurement, Reading
from partsolver.plan.outcome import (
    CompletePc,
    Exposure,
    HopedPlan,
    Keeping,
    KeptPart,
    Look,
    Plan,
    Replaced,
    Risk,
    StandIn,
)
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.report import audit as report_audit
from partsolver.report import catalog as report_catalog
from partsolver.report import (
    catalog_questions,
    charts,
    desk_views,
    drawings,
    guide,
    keeping,
    nothing,
    store,
    survey,
    text,
    tradeoff,
)
from partsolver.report import compare as report_compare
from partsolver.report import fleet as report_fleet
from partsolver.report import measure as report_measure
from partsolver.report import settings as report_settings
from partsolver.report.cards import short_answer
from partsolver.report.owner import owner_text
from partsolver.report.page import Page, use_page
from partsolver.report.replacing import replaced_words
from partsolver.report.replan import replan_text
from partsolver.report.sheet_text import sheet_text
from partsolver.report.survey_questions import questions_text
from partsolver.report.why import way_sentence, why_text
from partsolver.report.words.causes import cause_text
from partsolver.report.words.record import Names
from partsolver.sheet.tray import tray_of
from partsolver.solve.answer import answer as answer_of
from partsolver.solve.choices import choices
from partsolver.solve.recommend import recommend
from partsolver.solve.tradeoff import tradeoff as found_tradeoff
from partsolver.survey.consistency import Clash
from partsolver.survey.facts import Clash as FileClash
from partsolver.survey.importing import Imported
from partsolver.wishes.uses import USES

FOLDER = Path(__file__).parent / "documents"


@contextmanager
def sentences_only() -> Iterator[None]:
    """As ``--no-drawings`` prints: sentences instead of columns."""
    use_page(Page(drawings=False))
    try:
        yield
    finally:
        use_page(Page())


def spoken(document: Callable[[], str]) -> Callable[[], str]:
    """The same document without columns and bars."""

    def made() -> str:
        with sentences_only():
            return document()

    return made


def shortened(document: str, start: str, end: str) -> str:
    """A document without what stands between the two texts, where another golden file states it."""
    before, found, after = document.partition(start)
    return f"{before}{found}\n...{after[after.index(end) :]}"


# -- sheets ----------------------------------------------------------------------------------------------------


def sheet(name: str, **origin: Any) -> Callable[[], str]:
    """The bench sheet of a situation of `sheet/conftest.py` without its steps, which `golden_said.tsv` states."""

    def made() -> str:
        context = CACHED[name]()
        text = sheet_text(replace(context, origin=replace(context.origin, **origin)))
        holes = text[text.index("  Seen from above") : text.index("  [ ]", text.index("  Seen from above"))]
        short = shortened(text, "While the PC still runs", "\nPOWER: LOAD")
        short = shortened(short, "  [fits] facts", "\nNOT CHECKED")
        return short.replace("\n...\n", f"\n...\n{holes}...\n", 1)

    return made


def owners() -> str:
    """The owner's page of the nine situations."""
    return "\n".join(owner_text(build()) for build in CACHED.values())


def pictures() -> str:
    """What the trays of all situations say in words, and the words that stand in them."""
    lines = []
    for name, build in CACHED.items():
        tray = tray_of(build())
        if tray is not None:
            words = re.findall(r"<text[^>]*>([^<]+)</text>", str(drawings.tray_svg(tray)))
            lines += [f"{name}: {drawings.describe(tray)}", f"  in it: {' | '.join(words)}"]
    return "\n".join(lines) + "\n"


# -- measuring -------------------------------------------------------------------------------------------------


def _with_tasks(made: Measurement) -> Measurement:
    """With the rate of one of the tasks that the processor's figure is made of."""
    tasks = (("serial.zlib", 250000), ("parallel.zlib", 900000))
    rates = tuple(Reading.of_values(name, "units/s", [value]) for name, value in tasks)
    return made.model_copy(update={"readings": made.readings + rates})


def measured() -> str:
    """A quiet PC, a busy one that gets hot, and a first look at one that says little of itself."""
    hot = sample(
        shape=(1.0, 0.99, 0.95, 0.86, 0.85),
        state={"busy_permille": 120, "others_permille": 90, "throttle_events": 3, "virtual": True},
        drive={"link_gbps10": 30},
    )
    state = dict.fromkeys(
        ("cpu_model", "cores", "memory_mib", "governor", "power", "busy_permille", "temperature_most_c")
    )
    unknown = sample(state=state, drive={"interface": None, "file_system": None, "file_mib": None})
    bare = unknown.model_copy(
        update={
            "quick": True,
            "rounds": 1,
            "memory": unknown.memory.model_copy(update={"last_level_cache_kib": None}),
        }
    )
    return "\n".join(map(report_measure.measurement_text, (_with_tasks(sample()), hot, bare)))


_CAUSES = (
    Cause(
        "one_channel", "memory", "probable", (("measured_mbs", 10200), ("percent", 51), ("against", "plan"))
    ),
    Cause(
        "memory_rate", "memory", "probable", (("measured_mbs", 13300), ("percent", 66), ("against", "before"))
    ),
    Cause("memory_missing", "capacity", "read", (("seen_mib", 3940), ("expected_mib", 8192))),
    Cause(
        "drive_link", "streaming", "read", (("link_gbps10", 30), ("port_gbps10", 60), ("measured_mbs", 275))
    ),
    Cause("drive_link", "streaming", "probable", (("link_gbps10", 15), ("measured_mbs", 138))),
    Cause(
        "drive_slow", "streaming", "probable", (("measured_mbs", 275), ("expected_mbs", 510), ("percent", 40))
    ),
    Cause("fewer_threads", "parallel", "read", (("seen", 2), ("expected", 4))),
    Cause("governor", "serial", "read", (("governor", "powersave"),)),
    Cause(
        "throttling",
        "serial",
        "read",
        (("throttle_events", 12), ("temperature_c", 98), ("clock_one_mhz", 3600), ("clock_all_mhz", 1800)),
    ),
    Cause("throttling", "serial", "probable", (("later_permille", 862),)),
    Cause(
        "all_thread_low",
        "parallel",
        "probable",
        (("percent", 60), ("against", "plan"), ("serial_percent", 98)),
    ),
    Cause("noisy_run", "", "read", (("run", "after"),)),
    Cause("exchanged", "run", "read", (("before", "2026-11-27"), ("after", "2026-11-20"))),
)


def causes() -> str:
    """Every likely reason for a missed promise, in one list."""
    return "\n".join(cause_text(cause) for cause in _CAUSES) + "\n"


def _slower() -> Comparison:
    """A PC that became less fast than promised, measured by other software on a noisy evening."""
    before = sample(serial=500, parallel=1900, memory=10000, storage_sequential=260)
    after = sample(
        serial=520, parallel=2000, memory=10100, storage_sequential=262, state={"busy_permille": 150}
    )
    after = after.model_copy(update={"software": after.software.model_copy(update={"python": "3.13.0"})})
    return compare(before, after, replace(promise(), lost="no catalogue lies beside the plan"))


def compared() -> str:
    """Worse than promised; the same in a virtual machine without a plan; the shares fitted to pairs."""
    shares = {"serial": 600, "parallel": 200, "memory": 100, "waiting": 60, "streaming": 40}
    fit = Fit(shares, 40, dict.fromkeys(shares, 25), 12.5, 5, 3.4, 6.1, 2)
    plain = compare(sample(serial=500), sample(serial=505), use=USES["office"])
    noisy = sample(state={"busy_permille": 150})
    unexplained = replace(_slower(), causes=(), before=noisy, after=sample())
    documents = [report_compare.comparison_text(found) for found in (_slower(), unexplained, plain)]
    return "\n".join([*documents, report_compare.fit_text(fit)])


# -- a fleet ---------------------------------------------------------------------------------------------------


def _swapping(found: FleetOutcome) -> FleetOutcome:
    """The same with two PCs that get a part out of each other."""
    one, other = found.pcs[:2]
    piece = next(piece for judged in found.pcs for piece in judged.result.pieces if piece.donor)
    there = replace(one, result=replace(one.result, pieces=(replace(piece, donor=other.result.pc),)))
    back = replace(other, result=replace(other.result, pieces=(replace(piece, donor=one.result.pc),)))
    return replace(found, pcs=(there, back))


def _idle(found: FleetOutcome) -> FleetOutcome:
    """The same with one PC taken apart and one left alone."""
    one, other, *rest = found.pcs
    scrap = replace(one, result=replace(one.result, column=replace(one.result.column, kind="scrap")))
    idle = replace(
        other, result=replace(other.result, column=replace(other.result.column, kind="nothing"), pieces=())
    )
    return replace(found, pcs=(scrap, idle, *rest))


def fleets() -> str:
    """Three PCs, one taken apart; nothing done; then planned again; goals one after another in words."""
    first = answer(fleet_of(2, "most-pcs", 9000, (2, 1), scrap=True))
    left = replace(first, left=(("kit-a", 2),), following=None)
    broken = replace(
        left, fleet=replace(first.fleet, broken=(("pc-9", ("pc-9.toml:3 psu.rated_w: is no number",)),))
    )
    kept = frozenset(one.result.pc for one in first.pcs)
    plans = {one.result.pc: one.result.column.name for one in first.pcs}
    same = replace(first, changes=Changes(("kit-b",), plans, kept, first.stages))
    other = replace(first, changes=Changes((), plans, frozenset(sorted(kept)[1:]), first.stages))
    stages = [
        StageResult(name, value, bound)
        for name, value, bound in (
            ("pcs", 1, 2),
            ("pcs", 3, 3),
            ("gain", 120, 131),
            ("fine", 1234, 1234),
            ("speed>=150", 1, 1),
            ("speed>=150", 4, 5),
            ("kept", 1, 1),
            ("kept", 12, 13),
            ("cost", 14660, 14000),
        )
    ]
    said = [report_fleet.stage_words(stage, first) for stage in stages]
    said += report_fleet.circle_words(_swapping(first))
    return "\n".join([*map(report_fleet.fleet_text, (_idle(broken), same, other)), *said]) + "\n"


# -- plans, offers, facts --------------------------------------------------------------------------------------


def replanned() -> str:
    """What became of a plan: nothing; a stand-in; another seller; a processor gone; nothing found; a no."""
    first = again.document()
    bare = {**first[0], "source": {k: v for k, v in first[0]["source"].items() if k != "rows"}}
    corner = [*again.offers(cpu_a=5200, kit_a=None), Offer("kit-a", "corner", 2500)]
    sellers = [s.SELLER, replace(s.SELLER, id="corner", name="Corner Shop")]
    now = {
        "elsewhere": again.catalog(offers=again.offers(cpu_b=4900)),
        "stand-in": again.catalog(offers=again.offers(kit_a=None)),
        "bought otherwise": again.catalog(
            boards=[replace(s.BOARD, depth_mm=230)], offers=corner, sellers=sellers
        ),
        "gone": again.catalog(cpus=[again.SLOWER], offers=again.offers(cpu_a=None)),
        "nothing left": again.catalog(offers=again.offers(board_a=None)),
    }
    results = {name: replan(again.stored(first, catalog)) for name, catalog in now.items()}
    results["gone, file without its rows"] = replan(again.stored((bare, *first[1:]), now["gone"]))
    none = replace(results["stand-in"].outcome, plans=(), status="undecided")
    gone = results["gone"]
    new = gone.outcome.plans[0]
    open_ = tuple(f for f in CACHED["rich"]().plan.findings if f.verdict == "unknown")
    plans_ = (replace(new, findings=new.findings + open_),)
    results["gone, with more to ask"] = replace(gone, outcome=replace(gone.outcome, plans=plans_))
    parts = replace(
        results["bought otherwise"], changes=(), purchases=(Purchase("cooler-a", ("shop", 900), None),)
    )
    results["bought otherwise, nothing else"] = parts
    results["not decided"] = replace(results["stand-in"], outcome=none, stand_in=None)
    said = []
    for name, result in results.items():
        none = None if name == "not decided" else why_none(result)
        changed, _, plan = replan_text(result, none, full=False).partition("\nNEW PLAN\n")
        said.append(f"[{name}]\n{changed.rstrip()}\n" + ("\nNEW PLAN\n...\n" if plan else ""))
    return "\n".join(said)


def kept_or_new() -> str:
    """The kept-or-new account in all its words."""
    names = Names({"psu-b": "Supply B"})
    risks = [
        Risk("age", 1),
        Risk("age", 14),
        Risk("age-unknown"),
        Risk("trusted", 65),
        *(Risk("condition", word) for word in ("noisy", "bulged", "failed-start")),
        Risk("condition-unknown"),
        Risk("capacitor-years", 2004),
    ]
    parts = [KeptPart("psu", "old supply", 1500, "usual", None, True, (risk,)) for risk in risks]
    few = KeptPart("other-drive", "archive disk", 600, "stated", None, False, ())
    lines = [keeping.risk_words(part) for part in parts]
    lines += [keeping.replacement_words(part, names) for part in (parts[1], few)]
    account = Keeping((parts[1], few), 0, 2100, False)
    return (
        "\n".join([*lines, *keeping.keeping_lines(account, names), keeping.total_words(account, names)])
        + "\n"
    )


def stores() -> str:
    """What `catalog add` and the other commands on a store say."""
    seen = Prices("net", 1900, "zzgl. 19 % MwSt.", True)
    taken = Prices("net", None, "", False, "EUR")
    shop = Read("list.csv", "list", 1, 1, (("boards", 1),), 1, (("no-price", 2),), (), seen, Difference())
    other = Read("b.csv", "list", 1, 70, (), 70, (), (), taken, Difference(1, 2, 3, 4))
    pages = Read(
        "pages",
        "page",
        3,
        3,
        (),
        0,
        (),
        (("a.html", "no-product", ""), ("b.xlsx sheet Used row 1", "no-tax", "")),
        None,
        None,
        (("Sockel-Art", "LGA 1200"),),
    )
    tables = Read("demo", "tables", 1, 0, (), 0)
    proposals = (
        Proposal("sheet-1", "br-k10m", "Brunnach K10M", True),
        Proposal("sheet-2", "br-s1", "S1", False),
    )
    added = Added("parts", (shop, other, pages, tables), (), proposals, proposals[:1])
    shown = Shown("br-k10m", "boards", "Brunnach K10M", (), ("depth_mm",), (), (), ("rev", "v2"))
    return "\n".join(
        [
            store.added_text(added),
            store.shown_text(shown, {"currency": "EUR"}),
            store.found_text([]) + store.left_out_text([]),
            store.forgotten_text("attic-finds", 1) + store.forgotten_text("attic-finds", 12),
        ]
    )


def facts_of_parts() -> str:
    """`catalog check` and `catalog ask` where little or much is missing."""
    problem = s.make_problem()
    name = {"board": "boards"}
    asked = [
        FactQuestion(
            f"{kind}:{part}.{column}",
            name[kind],
            part,
            column,
            value,
            mark,
            decides,
            (190,),
            1000,
            "a number",
        )  # type: ignore[arg-type]
        for kind, part, column, value, mark, decides in (
            ("board", "board-a", "depth_mm", None, "contradictory", "barred"),
            ("board", "board-a", "width_mm", 244, "platform", "first"),
        )
    ]
    found = FactQuestions(412, None, None, tuple(asked))
    one = FactQuestions(1, None, None, ())
    blank = s.make_catalog(boards=[replace(s.BOARD, depth_mm=None, socket=None)], memory=())  # type: ignore[arg-type]
    full = s.make_catalog(
        boards=[s.BOARD], cpus=[s.CPU], memory=[s.KIT], offers=[Offer("board-a", "shop", 1000)]
    )
    return "\n".join(
        [
            catalog_questions.ask_text(found, problem, None),
            catalog_questions.ask_text(one, problem, " --catalog parts"),
            *(report_catalog.check_text(catalog, ()) for catalog in (blank, full)),
            report_catalog.check_text(full, (), None, [(f"list-{n}.csv", "2026-11-20") for n in range(7)]),
        ]
    )


def surveys() -> str:
    """`survey check` and `survey import` in words."""
    made = s.make_survey()
    clash = Clash("supply-label", ("psu.rated_w", "300"), ("psu.rail_12v_ma", "30000"))
    file_clash = FileClash("psu.rated_w", ((400, "yours"), (350, "dmidecode.txt")))
    read = (("dmidecode.txt", ("dmidecode",), 1), ("notes.txt", (), 0))
    done = Imported((file_clash,), (file_clash,), 3, True, (), True, (file_clash,), ("cpu.serial_score",))
    origin = {"psu.rated_w": "label"}.get
    lines = [
        *(survey.check_text(made, clashes, origin) for clashes in ((), (clash,), (clash, clash))),
        *survey.read_lines(read),
        *survey.taken_lines(done),
        *survey.import_lines(1, 1, 1, "pc.toml", True),
        *survey.import_lines(40, 0, 12, "my pc.toml", False),
        *survey.clash_lines((clash,), origin, "my pc.toml"),
    ]
    return "\n".join(lines) + "\n"


def audited() -> str:
    """Nothing broken; a law broken with and without a folder; a counter-example asked again."""
    asked = {"plans-stand": Asked(1, 0, 0), "more-budget": Asked(7, 2, 3), "part-removed": Asked(12, 0, 1)}
    broken = Audit(asked, 0, Trial("more-budget", None), "40.00 gives 2.1 times, 50.00 gives 2.0 times")
    return "\n".join(
        [
            report_audit.audit_text(Audit({"plans-stand": Asked(1, 0, 0)}, 0, None, None), "parts", None),
            report_audit.audit_text(broken, "parts", "counter-example"),
            report_audit.audit_text(broken, "parts", None),
            report_audit.again_text("more-budget", None),
            report_audit.again_text("more-budget", broken.reason),
        ]
    )


# -- answers ---------------------------------------------------------------------------------------------------


def _case(name: str) -> Problem:
    """The problem of a folder of `tests/cases`."""
    return cases.build_problem(cases.read_case(name))


def _complete(plan: Plan, time_ppm: int, cost: int) -> CompletePc:
    bundle = Bundle(
        "ex-office", "Ex-office PC", "complete-pc", (("board-0", 1),), "shop", cost, condition="refurbished"
    )
    return CompletePc(bundle, cost, time_ppm, plan.speedup, s.TODAY)


def answers() -> str:
    """Exact lists with all that may stand above and below the table; a no; a set that fits."""
    problem, cheap = s.shop(), s.shop(s.Brief(goal="cost", min_speedup="1.5"))
    outcome = recommend(problem)
    outcome = replace(outcome, provenance=replace(outcome.provenance, solver="a solver"))
    first, second = outcome.plans[:2]
    late = s.TODAY + datetime.timedelta(days=40)
    hangs = replace(
        first,
        arrival=late,
        exposure=(Exposure("board-0", None, None, None, None, True),),
        stand_ins=(StandIn("kit-0", "kit-1", 1, 0), StandIn("kit-0", "kit-2", 2, -150)),
    )
    marked = replace(
        outcome,
        plans=(hangs, replace(second, equal_to_previous=True, speedup=None)),
        complete_pcs=(_complete(first, 1, 9900), _complete(first, 10**9, 100)),
    )
    looks = (
        Look("psu.main_plug", "24", 2000, "power.main_plug"),
        Look("board:board-0.depth_mm", None, 500, "x"),
    )
    hoped = replace(outcome, plans=(), hoped=HopedPlan(first, looks))
    no = answer_of(s.shop(s.Brief(budget="1.00", min_speedup="3")))
    assert no.conflict is not None
    few = replace(no, conflict=replace(no.conflict, totals=(1, 1, 1), empty_slots=("board",)))
    bare = replace(outcome, plans=(), complete_pcs=marked.complete_pcs)
    kept = s.make_problem(s.make_survey(psu=replace(s.PSU, main_plug=None)), s.Brief(budget="0.00"))
    return "\n".join(
        [
            shortened(text.recommendation(marked, problem, full=True), "  Every finding", "\n\n"),
            text.recommendation(recommend(cheap), cheap, show=(), full=False),
            text.recommendation(recommend(kept), kept, full=False),
            "\n".join(text.complete_lines(bare, problem)) + "\n",
            text.only_hoped(hoped, problem),
            text.impossible(few, problem),
            text.check(first, problem),
        ]
    )


def bundles() -> str:
    """Orders with a bundle, tested and untested used parts, a seller without returns, and a private one."""
    shop = replace(s.SELLER, returns_days=0)
    attic = replace(s.SELLER, id="attic", name="Attic", kind="private", returns_days=1)
    bundle = Bundle(
        "set", "Board and processor", "parts", (("board-a", 1), ("cpu-a", 1)), "attic", 6000, condition="used"
    )
    offers = [
        Offer("kit-a", "shop", 2000, condition="used", tested=True),
        Offer("kit-b", "shop", 2000, condition="used", tested=None),
        Offer("cooler-a", "shop", 900, condition="used"),
    ]
    kits = [replace(s.KIT, modules=1), replace(s.KIT, id="kit-b", name="Kit B", modules=1, generation="ddr3")]
    problem = s.make_problem(
        memory=kits, coolers=[s.COOLER], sellers=(shop, attic), bundles=[bundle], offers=offers
    )
    cooled = s.make_problem(
        s.make_survey(memory=(s.MEMORY.model_copy(update={"count": 1}),)),
        memory=[replace(kits[1], rate_mts=1333)],
        sellers=(shop, attic),
        offers=offers,
    )
    keys = {"board": "kept-board", "cpu": "kept-cpu", "cooler": "kept-cooler"}
    mixed = next(c.key for c in cooled.slot("memory") if c.id and "kept" in c.key)
    made = [
        context(problem, recommend(problem).plans[0].parts),
        context(cooled, s.pick(cooled, memory=mixed, **keys)),
    ]
    said = []
    for found in made:
        plan = replace(
            found.plan, stand_ins=(StandIn("kit-a", "kit-b", 2, 0), StandIn("kit-a", "kit-b", 1, 150))
        )
        shown = sheet_text(replace(found, plan=plan))
        said.append(shown[shown.index("ORDER LIST") : shown.index("WORK ORDER")])
        said += [*text.plan_lines(plan, found.problem, text.names_of(found.problem), full=False), ""]
    return "\n".join(said) + "\n"


def plans() -> str:
    """Plans with extras, replaced parts, and assumptions; what `recommend` says of each in short."""
    said = []
    for name in ("rich", "whole", "odd"):
        found = CACHED[name]()
        said += [
            name,
            *text.plan_lines(found.plan, found.problem, text.names_of(found.problem), full=False),
            "",
        ]
    return "\n".join(said)


def short_answers() -> str:
    """What `recommend` prints without options; and a plan of facts that are assumed or only inferred."""
    catalog = s.make_catalog(sellers=(s.SELLER,))
    assumed = frozenset({("sellers", "shop", "delivery"), ("sellers", "shop", "returns_days")})
    told = replace(catalog, assumed=assumed, marks={"board-a": "depth_mm:title width_mm:platform"})
    problem = join(s.make_survey(), told, s.Brief(budget="200.00", resolution_percent="1"))
    outcome = answer_of(problem)
    found = choices(problem, outcome)
    first = replace(found.plans[0], kinds=("fastest",))
    fastest = replace(found, plans=(first, *found.plans[1:]))
    names = text.names_of(problem)
    return "\n".join(
        [
            short_answer(outcome, found, problem),
            short_answer(outcome, fastest, problem),
            *text.plan_lines(outcome.plans[0], problem, names, full=False),
            "",
        ]
    )


def ways_out() -> str:
    """What may be given up, and a kept part of which there is none."""
    problem = s.shop()
    plan = recommend(problem).plans[0]
    names = text.names_of(problem)
    ways = [
        WayOut("drop-wish", what, "old tape drive", plan, what == "drives")
        for what in ("drives", "cards", "without")
    ]
    none = Why(False, (), (0, 3, 4), (), None, empty_slots=("board",))
    return "\n".join([*(way_sentence(way, problem, names) for way in ways), why_text(none, problem)])


def settings() -> str:
    """`settings` and the list of the guide's pages."""
    rows = [
        ("catalog", None, "built in", "folder of the catalogue"),
        ("tax", "gross", "partsolver.toml", "tax of lists"),
    ]
    return (
        report_settings.settings_text(rows, "/home/me/.config/partsolver/partsolver.toml")
        + "\n"
        + guide.topics_text()
    )


def picture() -> str:
    """The words in the picture of the trade-off."""
    import matplotlib

    problem = s.shop()
    found = found_tradeoff(problem)
    marked = replace(found, points=tuple(replace(point, knee=True) for point in found.points))
    with tempfile.TemporaryDirectory() as folder, matplotlib.rc_context({"svg.fonttype": "none"}):
        file = Path(folder) / "picture.svg"
        charts.draw_tradeoff(file, marked, problem)
        words = re.findall(r"<text[^>]*>([^<]*)</text>", file.read_text(encoding="utf-8"))
    return "\n".join(word for word in words if re.search("[a-z]", word)) + "\n"


def tradeoffs() -> str:
    """The trade-off as a table with each third column, cut short, and where there is no plan; its picture in words."""
    problem = s.shop()
    priced = s.shop(s.POSSIBLE.model_copy(update={"tariff_per_kwh": "0.30"}))
    found = found_tradeoff(problem)
    unknown = replace(found.points[0], plan=replace(found.points[0].plan, speedup=None))
    short = replace(found, points=(unknown, replace(found.points[-1], knee=True)), proven=False)
    return "\n".join(
        [
            tradeoff.tradeoff_text(short, problem, "power"),
            tradeoff.tradeoff_text(short, priced, "power"),
            tradeoff.tradeoff_text(short, problem, "waste"),
            tradeoff.tradeoff_text(replace(found, points=()), problem, None),
            charts.description(found, problem) + "\n",
            *("step of the desk: " + point.step for point in desk_views.money_points(found, problem)[0]),
        ]
    )


def replacements() -> str:
    """What replacing the supply brings, in every way it can be said."""
    problem = s.shop()
    first, second = recommend(problem).plans[:2]
    slow = replace(second, rank=2, speedup=None, draft=replace(second.draft, cost=first.draft.cost))
    names = text.names_of(problem)
    faster = replace(second, draft=replace(first.draft, cost=first.draft.cost + 4000))
    items = [
        (Replaced("psu", (), None, None, False), first),
        (Replaced("psu", (), slow, 1, True), replace(first, rank=2)),
        (Replaced("psu", (), faster, None, True), first),
        (Replaced("psu", (), slow, None, True), first),
    ]
    return "\n".join(replaced_words(item, plan, names) for item, plan in items) + "\n"


def questions() -> str:
    """`survey questions`: nothing open; no plan; what answers are worth."""
    problem = s.shop()
    first, second = recommend(problem).plans[:2]

    def value(path: str, *effects: AnswerEffect, **worth: int) -> QuestionValue:
        return QuestionValue(path, effects, **{"at_risk": 0, "time_permille": 0, "money": 0, **worth})

    none = AnswerEffect("noisy", None, False, 0, 0, False)
    same = AnswerEffect("good", first, True, 0, 0, True)
    other = AnswerEffect("bulged", second, True, 10, 100, False)
    bad = AnswerEffect("noisy", second, False, 10, 100, False)
    values = (
        value("psu.condition", same, bad, none, at_risk=12345),
        value(
            "case.max_board_depth_mm", replace(same, value=230), replace(other, value=190), time_permille=12
        ),
        value("case.fans", replace(same, value=1), replace(other, value=2)),
        value("drive:ssd.encrypted", replace(same, value=False), replace(same, value=True)),
    )
    return "\n".join(
        questions_text(found, problem)
        for found in (
            Questions(None, None, ()),
            Questions(None, None, values[:1]),
            Questions(first, first, values),
        )
    )


def no_new_board() -> str:
    """Why a first plan buys no board and no processor."""
    problem = s.shop()
    plan = recommend(problem).plans[0]
    way = WayOut("budget", "", "90.00", plan)
    found = (
        Nothing(False, ("psu.main_plug", "psu.pinout"), 1500, (), None),
        Nothing(True, (), 1500, ("power.total", "buying.minimums"), way),
    )
    return "\n".join(line for one in found for line in nothing.nothing_lines(one, problem)) + "\n"


# The name of each document and what makes it.
DOCUMENTS: dict[str, Callable[[], str]] = {
    "sheet-of-everything-old": sheet("rich"),
    "sheet-of-a-plan-that-is-out-of-date": sheet(
        "whole", catalog_changed=True, missing=("kit-a",), stored_cost="12.00", version=None, proven=False
    ),
    "sheet-spoken": spoken(sheet("odd")),
    "trays-in-words": pictures,
    "measurements": measured,
    "measurement-spoken": spoken(measured),
    "causes": causes,
    "comparisons": compared,
    "comparisons-spoken": spoken(compared),
    "fleets": fleets,
    "owner-pages": owners,
    "plans-made-again": replanned,
    "plans-made-again-spoken": spoken(replanned),
    "kept-or-new": kept_or_new,
    "stores": stores,
    "facts-of-parts": facts_of_parts,
    "surveys": surveys,
    "audits": audited,
    "plans": plans,
    "short-answers": short_answers,
    "ways-out": ways_out,
    "settings-and-topics": settings,
    "picture-of-the-trade-off": picture,
    "answers": answers,
    "answers-spoken": spoken(answers),
    "orders-of-bundles": bundles,
    "trade-offs": tradeoffs,
    "trade-offs-spoken": spoken(tradeoffs),
    "replacements": replacements,
    "questions": questions,
    "no-new-board": no_new_board,
}
