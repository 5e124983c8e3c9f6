"""Words of the rules about what fits into the case: outline, holes, rear opening, cards, cooler, paste."""

from __future__ import annotations

from partsolver.plan.draft import Need
from partsolver.plan.findings import Finding
from partsolver.problem.candidates import BOXED_COOLER
from partsolver.report.words.bays import FIT_BAYS
from partsolver.report.words.counts import count_of
from partsolver.report.words.facts import FIT_FACTS
from partsolver.report.words.fit_cards import QUESTIONS as CARD_QUESTIONS
from partsolver.report.words.fit_cards import cards
from partsolver.report.words.fit_cooler import QUESTIONS as COOLER_QUESTIONS
from partsolver.report.words.fit_cooler import cooler_height, cooler_memory
from partsolver.report.words.record import Names, RuleWords, name_of
from partsolver.rules import (
    fit_aperture,
    fit_bays,
    fit_cards,
    fit_cooler_height,
    fit_cooler_memory,
    fit_cooler_mount,
    fit_cooler_power,
    fit_facts,
    fit_holes,
    fit_outline,
    fit_paste,
)

_FORMS = {
    "atx": "ATX",
    "microatx": "microATX",
    "flexatx": "FlexATX",
    "dtx": "DTX",
    "mini-dtx": "Mini-DTX",
    "mini-itx": "Mini-ITX",
    "thin-mini-itx": "Thin Mini-ITX",
    "ssi-ceb": "SSI CEB",
    "ssi-eeb": "SSI EEB",
    "own": "a maker's own shape",
    "btx": "BTX",
    "baby-at": "Baby-AT",
    "lpx": "LPX",
    "nlx": "NLX",
}


def _form(value: object) -> str:
    return _FORMS.get(str(value), str(value))


def _part(finding: Finding, names: Names, position: int) -> str:
    return name_of(names, finding.parts[position]) if len(finding.parts) > position else "the part"


def _today(what: str) -> str:
    return f"{what} stay as they are and work together today."


def _outline(finding: Finding, names: Names) -> str:
    board, case, edge = _part(finding, names, 0), _part(finding, names, 1), finding.fact("edge")
    if finding.fact("today"):
        return _today("Board and case")
    if finding.verdict == "fails" and edge == "form":
        return f"{board} ({_form(finding.value)}) does not go into {case} (made for: {_form(finding.limit)})."
    if finding.verdict == "unknown":
        if edge == "depth" and finding.fact("depth_mm"):
            return (
                f"{board} is {finding.fact('depth_mm')} mm deep; only {finding.fact('certain_mm')} mm are"
                f" certain to be free in {case}. Measure before ordering."
            )
        return f"Whether {board} goes into {case} cannot be said for certain: the {edge} is not known."
    kind = "free width" if edge == "width" else "free depth"
    basis = {
        "form": "by its form",
        "present board": "where the present board sits",
        "smallest board": "in every case of this form",
    }
    why = basis.get(str(finding.fact("basis")), "measured")
    size = "wide" if edge == "width" else "deep"
    if finding.verdict == "fits":
        return (
            f"{board} is {finding.value} mm {size}; {case} has {finding.limit} mm {kind} ({why}):"
            f" {finding.margin} mm spare."
        )
    return (
        f"{board} is {finding.value} mm {size}; {case} has only {finding.limit} mm {kind} ({why}):"
        f" {-(finding.margin or 0)} mm too much."
    )


def _holes(finding: Finding, names: Names) -> str:
    board, case = _part(finding, names, 0), _part(finding, names, 1)
    if finding.fact("today"):
        return _today("Board and case")
    if finding.verdict == "fails" and finding.fact("short"):
        return (
            f"{case} has a fixed standoff at {finding.fact('short')}, where {board} has no hole: it would"
            " short the board."
        )
    if finding.verdict == "unknown":
        if finding.blocks:
            return (
                f"{case} has fixed standoffs and it is not known whether {board} has a hole above each: a"
                " short destroys the board."
            )
        if finding.fact("held") is not None:
            meet = "meets a usual position" if finding.fact("held") == 1 else "meet usual positions"
            return (
                f"{count_of(finding.fact('held'), 'hole')} of {board} {meet} of {case};"
                f" {finding.fact('minimum')} are needed. Look at the tray."
            )
        if finding.fact("remove"):
            return (
                f"Standoffs at {finding.fact('remove')} have to come out of {case}; whether they can is not"
                " known."
            )
        return f"Standoffs of {case} and holes of {board} have to be compared by eye."
    if finding.verdict == "fails":
        return (
            f"Only {finding.value} mounting holes of {board} can be held in {case}; {finding.limit} are"
            " needed."
        )
    text = f"{finding.value} mounting holes of {board} are held ({finding.fact('held')})"
    if finding.fact("add"):
        text += f"; add standoffs at {finding.fact('add')}"
    if finding.fact("remove"):
        text += f"; take out those at {finding.fact('remove')}"
    if finding.fact("look"):
        text += (
            f"; look whether there is a hole at {finding.fact('look')}, and leave no standoff there if not"
        )
    if finding.fact("prop"):
        left, front = finding.fact("unsupported_left_mm"), finding.fact("unsupported_front_mm")
        text += (
            f"; the board hangs free for {left} mm at the left and {front} mm at the front: hold it there"
            " when pushing plugs and cards"
        )
    return f"{text}."


def _holes_need(need: Need, names: Names) -> str:
    return f"{dict(need.facts).get('missing')} standoffs are missing under the holes of the new board"


def _holes_caution(finding: Finding, names: Names) -> str | None:
    if (
        finding.fact("remove")
        or finding.fact("look")
        or finding.fact("short")
        or finding.verdict == "unknown"
    ):
        return (
            "A standoff under a place without a hole shorts the board: compare holes and standoffs before the"
            " board goes in."
        )
    return None


def _aperture(finding: Finding, names: Names) -> str:
    board, case = _part(finding, names, 0), _part(finding, names, 1)
    if finding.fact("today"):
        return _today("Board and case")
    if finding.verdict == "fails":
        kinds = {
            "fixed": "a fixed, stamped rear panel",
            "none": "no rear opening for ports",
            "btx": "the rear opening of BTX boards",
        }
        return (
            f"{case} has {kinds.get(str(finding.value), finding.value)}: the ports of {board} do not come"
            " through without metal work."
        )
    shields = {
        "included": "the rear shield comes with the board",
        "integrated": "the rear shield is part of the board",
        "bought": f"the missing rear shield is bought ({_part(finding, names, 2)})",
        "missing": "the rear shield is missing and nobody sells one for this board: the opening stays open",
    }
    shield = shields.get(str(finding.fact("shield")), "")
    if finding.verdict == "unknown":
        if (finding.question or "").endswith("shield"):
            return f"Whether the rear shield comes with {board} is not stated."
        return f"Whether {case} has the usual rear opening is not known" + (f"; {shield}." if shield else ".")
    return f"{case} has the usual rear opening" + (f"; {shield}." if shield else ".")


def _aperture_caution(finding: Finding, names: Names) -> str | None:
    if finding.fact("shield") == "missing":
        return (
            "Without a rear shield sharp edges stay open and dust and small things get in: keep fingers and"
            " metal away from the opening."
        )
    return None


def _aperture_need(need: Need, names: Names) -> str:
    return f"{name_of(names, str(dict(need.facts).get('board')))} comes without its rear shield"


def _mount(finding: Finding, names: Names) -> str:
    cooler, board = _part(finding, names, 0), _part(finding, names, 1)
    if finding.fact("today"):
        return _today("Cooler and board")
    if finding.fact("boxed"):
        return "The cooler in the processor's box is made for its socket."
    if finding.question == "pc.cooler_brackets":
        return (
            f"Whether the case or a bracket that stays behind holds {cooler} is not known: then {board} needs such a"
            " holder too."
        )
    if finding.verdict == "unknown":
        socket = finding.fact("socket")
        where = f"socket {socket}" if socket else f"the socket of {board}"
        return f"Whether {cooler} can be mounted on {where} is not known: find out before relying on it."
    if finding.verdict == "fails":
        return f"{cooler} is not made for socket {finding.value} (it takes: {finding.limit})."
    if finding.fact("bracket") == "case":
        return (
            f"{cooler} stays on {board}, and the case is new: look whether the old case holds the cooler (screws that go"
            " through the board into the tray). Then its holder stays behind, and the cooler comes off."
        )
    bracket = (
        " Its bracket stays with the case or the old board: check that its holes match."
        if finding.fact("bracket")
        else ""
    )
    plate = {
        "yes": " Its own plate goes behind the board: the board comes out of the case, about an hour more, unless the tray has an opening there.",
        "perhaps": " If it has a plate of its own, the board comes out of the case for it, about an hour more.",
    }.get(str(finding.fact("board_out")), "")
    return f"{cooler} can be mounted on socket {finding.value}.{bracket}{plate}"


def _mount_caution(finding: Finding, names: Names) -> str | None:
    if finding.verdict == "unknown" or finding.fact("bracket"):
        return (
            "Never force a cooler's clip or screws: the board cracks and the processor breaks. The cooler's"
            " and the board's manuals decide."
        )
    return None


def _power(finding: Finding, names: Names) -> str:
    cooler, cpu = _part(finding, names, 0), _part(finding, names, 1)
    if finding.fact("today"):
        return _today("Cooler and processor")
    if finding.fact("boxed"):
        return f"The cooler in the box is made for {cpu}."
    if finding.verdict == "unknown":
        heat = finding.fact("heat_w")
        return (
            f"{cpu} gives off {heat} W; how much {cooler} carries away is not known."
            if heat
            else f"The heat of {cpu} is not known."
        )
    if finding.verdict == "fails":
        return (
            f"{cooler} carries away {finding.value} W; {cpu} gives off {finding.limit} W:"
            f" {-(finding.margin or 0)} W too much."
        )
    does = "serves" if finding.fact("basis") else "carries away"
    today = " today" if finding.fact("basis") else ""
    return (
        f"{cooler} {does} {finding.value} W{today}; {cpu} gives off {finding.limit} W: {finding.margin} W"
        " spare."
    )


def _paste(finding: Finding, names: Names) -> str:
    boxed = bool(finding.parts) and finding.parts[0] == BOXED_COOLER
    cooler = f"the {_part(finding, names, 0)}" if boxed else _part(finding, names, 0)
    if finding.fact("today"):
        return "The cooler is not taken off."
    if finding.verdict == "unknown":
        return f"Whether thermal paste comes with {cooler} is not stated."
    words = {
        "bought": f"{cooler[0].upper()}{cooler[1:]} needs fresh thermal paste; it is bought.",
        "missing": f"{cooler[0].upper()}{cooler[1:]} needs fresh thermal paste; the catalogue sells none, so it has to be at hand.",
    }
    return words.get(str(finding.fact("paste")), f"Thermal paste comes with {cooler}.")


def _paste_need(need: Need, names: Names) -> str:
    facts = dict(need.facts)
    cooler = name_of(names, str(facts.get("cooler")))
    return (
        f"{cooler} is set on again and needs fresh paste"
        if facts.get("why") == "moved"
        else f"{cooler} comes without paste"
    )


def _paste_caution(finding: Finding, names: Names) -> str | None:
    if finding.fact("paste") == "missing":
        return (
            "Do not run the processor without fresh thermal paste: it gets too hot. Clean both faces before"
            " the cooler goes on."
        )
    return None


WORDS: dict[str, RuleWords] = {
    fit_facts.ID: FIT_FACTS,
    fit_outline.ID: RuleWords("board outline", _outline),
    fit_holes.ID: RuleWords("mounting holes", _holes, _holes_need, _holes_caution),
    fit_aperture.ID: RuleWords("rear opening and shield", _aperture, _aperture_need, _aperture_caution),
    fit_cards.ID: RuleWords("cards", cards),
    fit_bays.ID: FIT_BAYS,
    fit_cooler_height.ID: RuleWords("cooler height", cooler_height),
    fit_cooler_mount.ID: RuleWords("cooler mounting", _mount, caution=_mount_caution),
    fit_cooler_power.ID: RuleWords("cooling power", _power),
    fit_cooler_memory.ID: RuleWords("cooler and memory", cooler_memory),
    fit_paste.ID: RuleWords("thermal paste", _paste, _paste_need, _paste_caution),
}
QUESTIONS: dict[str, str] = {
    **COOLER_QUESTIONS,
    **CARD_QUESTIONS,
    "pc.cooler_brackets": (
        "Look how the present cooler is held: by pins or screws in the board, or by the case or a frame that stays?"
    ),
    "case.bays_525": "How many bays for 5.25-inch drives (optical) has the case, used ones too? Count them.",
    "case.bays_35": "How many bays for 3.5-inch drives has the case, used ones too? Count them.",
    "board.form_factor": (
        "Measure the board's two edges in mm and look whether its ports sit in a standard shield."
    ),
    "board.width_mm": "Measure the board along the edge with the rear ports, in mm.",
    "board.depth_mm": "Measure the board from the edge with the rear ports to the front edge, in mm.",
    "board.holes": "Look at the board (or its picture) and note which mounting holes are drilled.",
    "board.shield": "Ask the seller, or look, whether the rear I/O shield comes with the board.",
    "board.slots": "Look at the board and note its card slots in order, beginning next to the processor.",
    "case.form_factor": (
        "Look at the case's label or data sheet for the largest board it takes (ATX, microATX, Mini-ITX)."
    ),
    "case.max_board_width_mm": "Measure the free width along the rear panel of the case, in mm.",
    "case.max_board_depth_mm": (
        "Measure from the rear panel to the nearest obstacle in front of the board (drive, cage, supply),"
        " in mm."
    ),
    "case.aperture": (
        "Look at the back: a loose shield in an opening of 158.75 x 44.45 mm, or ports stamped into the"
        " panel?"
    ),
    "case.standoffs": (
        "Note by hole letter which standoffs stand in the tray, the present board's screws included."
    ),
    "case.standoff_positions": "Note by hole letter which places of the tray have a thread for a standoff.",
    "case.standoffs_fixed": (
        "Look whether any standoff is riveted or pressed from the tray, and cannot be taken out."
    ),
    "case.slot_openings": "Count the openings for card brackets at the back of the case.",
    "case.max_cooler_height_mm": (
        "Measure from the top of the processor (or the board, less its height) to what is first above it: the side"
        " panel, or a supply that sits over the board, in mm."
    ),
    "cooler.height_mm": (
        "Measure the cooler from the processor's top to its highest point, fan included, in mm."
    ),
    "cpu.boxed_cooler_mm": "Look up the height of the boxed cooler in the processor maker's data, in mm.",
    "cooler.sockets": "Look for the cooler's model name and its maker's list of sockets.",
    "cooler.rated_w": (
        "Look for the cooler's model name and its maker's figure for the heat it carries away, in W."
    ),
    "cooler.paste_included": "Ask the seller whether thermal paste is in the box or on the cooler's base.",
}
