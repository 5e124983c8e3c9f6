"""Steps inside the case: taking out, tray and shield, fitting, connecting."""

from __future__ import annotations

from partsolver.sheet.context import TALL_COOLER_MM, Context, Facts
from partsolver.sheet.named import CARD_KINDS, names
from partsolver.sheet.step import Applies, FactsOf, Step, when
from partsolver.sheet.steps_before import cleans
from partsolver.sheet.steps_connect import bay_drives
from partsolver.sheet.tray import Action, tray_of

# A board that reaches further than this past its last screw is held while plugs are pushed in (judgement).
OVERHANG_MM = 40
# With less room than this in front of the board, leads go on before other things are in the way (judgement).
TIGHT_MM = 15


def card_slots(later: bool) -> FactsOf:
    """Facts: (card, slot counted from the processor, kind of slot) of the cards for now, or of those for
    later."""

    def facts(c: Context) -> Facts:
        slots, wanted = c.board.slots or (), c.later_cards
        rows = [
            (name, index + 1, slots[index].kind if index < len(slots) else "")
            for name, index in c.placement.placed
            if (name in wanted) == later
        ]
        return {"cards": tuple(sorted(rows, key=lambda row: row[1]))}

    return facts


def _reused(c: Context) -> Facts:
    return {"reused": c.parts.memory.with_kept, "left_out": c.parts.memory.left_out}


def _moves_memory(c: Context) -> bool:
    if c.passing.gives("memory") or c.passing.again:
        return True
    if c.new("board"):
        return c.parts.memory.with_kept
    memory = c.parts.memory
    return c.new("memory") and (not memory.with_kept or memory.left_out > 0)


def _screws(c: Context) -> Facts:
    holes = c.old.board.holes
    return {"screws": None if holes is None else len(holes), "letters": holes}


def _letters(*actions: Action) -> tuple[Applies, FactsOf]:
    """(applies, facts) of a step about the positions with these actions."""

    def letters(c: Context) -> tuple[str, ...]:
        tray = tray_of(c)
        return () if tray is None else tray.letters(*actions)

    return (lambda c: bool(letters(c))), (lambda c: {"letters": letters(c)})


def _overhang(c: Context) -> Facts:
    tray = tray_of(c)
    return {"left_mm": 0 if tray is None else tray.left_mm, "front_mm": 0 if tray is None else tray.front_mm}


def _shield(c: Context) -> Facts:
    bought = c.extras("io-shield")
    state = "bought" if bought else (c.board.shield or "unknown")
    return {
        "new": c.new("board"),
        "new_case": c.new("case"),
        "state": state,
        "item": c.name(bought[0].item) if bought else "",
        "aperture": c.case.aperture or "unknown",
    }


def _board_screws(c: Context) -> Facts:
    tray = tray_of(c)
    if tray is None:
        return {"letters": (), "maybe": ()}
    looked = c.case.standoffs is not None or c.new("case")
    return {
        "letters": tray.letters("keep", "add") if looked else (),
        "maybe": tray.letters("look") if looked else (),
    }


def tall_cooler(c: Context) -> bool:
    record = c.cooler_record
    return c.new("board") and record is not None and (record.height_mm or 0) >= TALL_COOLER_MM


_REMOVE, _REMOVE_FACTS = _letters("remove")
_ADD, _ADD_FACTS = _letters("add")
_KEEP, _KEEP_FACTS = _letters("keep")
_FIXED, _FIXED_FACTS = _letters("fixed")
_OPEN, _OPEN_FACTS = _letters("open")
_LOOK, _LOOK_FACTS = _letters("look")

OUT: tuple[Step, ...] = (
    Step("out.photos", "out", when("board", "case", "psu"), lambda c: {"panel": c.old.case.front_panel}),
    Step(
        "out.cooler",
        "out",
        lambda c: c.cooler_off,
        lambda c: {"runs": c.runs, "reused": not c.new("cooler")},
    ),
    Step(
        "out.cards",
        "out",
        lambda c: bool(c.problem.survey.cards if c.new("board", "case") else c.replaced_cards),
        lambda c: {
            "cards": tuple(
                x.name for x in (c.problem.survey.cards if c.new("board", "case") else c.replaced_cards)
            )
        },
    ),
    Step("out.leads", "out", when("board", "case", "psu"), lambda c: {"all": c.new("board", "case")}),
    Step(
        "out.m2",
        "out",
        lambda c: c.new("board") and bool(c.kept_modules()),
        lambda c: {"drives": c.kept_modules()},
    ),
    Step(
        "out.cpu",
        "out",
        lambda c: (c.new("board", "cpu") and not c.cpu_on_bench) or c.passing.gives("board", "cpu"),
        lambda c: {"reused": not c.new("cpu") or c.flash_with_present or c.passing.gives("cpu")},
    ),
    Step("out.memory", "out", _moves_memory, _reused),
    Step("out.board", "out", when("board", "case"), _screws),
    Step(
        "out.given",
        "out",
        lambda c: bool(c.passing.given),
        lambda c: {"given": c.passing.given},
    ),
    Step("out.together", "out", lambda c: c.old_three_stay, lambda c: {"runs": c.runs}),
    Step("out.psu", "out", when("psu")),
    Step(
        "out.move",
        "out",
        when("case"),
        lambda c: {"psu": not c.new("psu"), "drives": tuple(d.name for d in c.kept_drives())},
    ),
    Step("out.system-drive", "out", lambda c: c.new("drive") and c.problem.survey.system_drive is not None),
    Step(
        "out.back-plate",
        "out",
        lambda c: c.fact("fit.cooler_mount", "board_out") is not None,
        lambda c: {"certain": c.fact("fit.cooler_mount", "board_out") == "yes"},
    ),
    Step("out.clean", "out", cleans),
)

CASE: tuple[Step, ...] = (
    Step("case.screws", "case", when("board", "case")),
    Step("case.standoffs-remove", "case", _REMOVE, _REMOVE_FACTS),
    Step("case.standoffs-fixed", "case", _FIXED, _FIXED_FACTS),
    Step(
        "case.standoffs-add",
        "case",
        _ADD,
        lambda c: {**_ADD_FACTS(c), "bought": names(c, "standoffs"), "new_case": c.new("case")},
    ),
    Step("case.standoffs-keep", "case", _KEEP, _KEEP_FACTS),
    Step("case.standoffs-open", "case", _OPEN, _OPEN_FACTS),
    Step(
        "case.standoffs-look",
        "case",
        lambda c: _LOOK(c) or (c.new("board", "case") and tray_of(c) is None),
        _LOOK_FACTS,
    ),
    Step("case.shield", "case", when("board", "case"), _shield),
    Step("case.psu", "case", when("psu", "case"), lambda c: {"new": c.new("psu")}),
)

FIT: tuple[Step, ...] = (
    Step("fit.cpu-lead-early", "fit", tall_cooler),
    Step(
        "fit.tight",
        "fit",
        lambda c: (
            c.new("board", "case")
            and None not in (c.case.max_board_depth_mm, c.board.depth_mm)
            and (c.case.max_board_depth_mm or 0) - (c.board.depth_mm or 0) < TIGHT_MM
        ),
        lambda c: {"room_mm": (c.case.max_board_depth_mm or 0) - (c.board.depth_mm or 0)},
    ),
    Step("fit.board", "fit", when("board", "case"), _board_screws),
    Step("fit.support", "fit", lambda c: max(_overhang(c).values()) > OVERHANG_MM, _overhang),
    Step(
        "fit.kept-drives",
        "fit",
        lambda c: c.new("case") and bool(bay_drives(c)),
        lambda c: {"drives": bay_drives(c)},
    ),
    Step(
        "fit.cards",
        "fit",
        lambda c: c.new("board", "case", "graphics") and c.card is not None,
        card_slots(later=False),
    ),
    Step(
        "fit.cards-left",
        "fit",
        lambda c: (c.new("board", "case") and bool(c.placement.left)) or bool(c.problem.brief.leave_out),
        lambda c: {"cards": c.placement.left, "chosen": c.problem.brief.leave_out},
    ),
    Step(
        "fit.extra-cards",
        "fit",
        lambda c: bool(c.extras(*CARD_KINDS)),
        lambda c: {"cards": names(c, *CARD_KINDS)},
    ),
    Step(
        "fit.drive",
        "fit",
        lambda c: c.parts.drive.part is not None and c.parts.drive.part.interface in ("sata", "pata"),
        lambda c: {
            "drive": c.name(c.parts.drive.id),
            "kind": None if c.parts.drive.part is None else c.parts.drive.part.kind,
        },
    ),
)
