"""The build card: where to cut, both ends at true scale, and a ruler to check the print."""

from __future__ import annotations

from typing import TYPE_CHECKING

from loosewell.faces import wording
from loosewell.faces.drawing import true_scale
from loosewell.faces.drawing.pen import PAPER, SHEET_FACE, resolved
from loosewell.faces.sheets import figures, link
from loosewell.faces.sheets.content import Block, Facts, Grid, Lines, Picture, Ruler, Sheet

if TYPE_CHECKING:
    from loosewell.faces.drawing.pen import Sheet as Drawing
    from loosewell.records import Shaft
    from loosewell.workshop.bench import Spine
    from loosewell.workshop.build import BuildPlan


def sheet(plan: BuildPlan, shaft: Shaft, spine: Spine | None) -> Sheet:
    """The card of one cut plan; after a stop there is nothing to cut on it."""
    kind, name = ("arrow", plan.arrow) if plan.arrow else ("shaft", plan.shaft)
    whom = [f"for {plan.archer}" if plan.archer else "", f"on {plan.bow}" if plan.bow else ""]
    blocks: tuple[Block, ...]
    if plan.stops:
        blocks = (Lines("", tuple(plan.steps)),)
    else:
        blocks = _blocks(plan, shaft, spine)
    return Sheet(
        kind="build card",
        title=f"Build: {kind} {name}",
        under=" ".join(one for one in whom if one),
        stops=_stops(plan),
        blocks=blocks,
        link=link.code(kind, name),
        back=link.command(kind, name),
        foot=(figures.NO_FITNESS,),
        invented=plan.invented,
    )


def _stops(plan: BuildPlan) -> tuple[str, ...]:
    if plan.stops:
        return tuple(one.text for one in plan.stops)
    if plan.minimum_length_in is None:
        return (
            (
                "No archer was named, so no least length is known. Do not cut before you know "
                "whose draw it must hold."
            ),
        )
    return (
        (
            f"Never shorter than {wording.length(plan.minimum_length_in)}, nock throat to the back "
            "of the point: a short arrow goes through the hand."
        ),
    )


def _blocks(plan: BuildPlan, shaft: Shaft, spine: Spine | None) -> tuple[Block, ...]:
    weight, balance = plan.weight, plan.balance_in
    assert weight is not None
    assert balance is not None
    told = "not bent yet"
    if spine is not None:
        told = f"{spine.spine_text()} / {spine.deflection_text()}"
    facts: list[tuple[str, str | None]] = [
        ("Arrow, throat to back of point", (f"{wording.length(plan.length_in)}, "
         f"{plan.length_reason}")),
        ("Cut the shaft to, end to end", "as it is: already cut" if plan.already_cut
         else f"{wording.length(plan.cut_in)}, from the squared nock end"),
        ("Spine of the shaft", told),
        ("Mass expected", _around(weight.middle, weight.high - weight.low)),
        ("Balance expected, from throat", (f"{wording.length(balance.middle)} ± "
         f"{0.5 * (balance.high - balance.low):.2f} in")),
        ("Weighed / balanced when built", None),
    ]  # fmt: skip
    marks = tuple(
        (wording.length(one.from_end_in), wording.length(one.from_throat_in), one.what)
        for one in plan.marks
    )
    blocks: list[Block] = [
        Facts("", tuple(facts)),
        Ruler(),
        _picture("Nock end, true scale", true_scale.nock_end(plan)),
        _picture("Point end, true scale", true_scale.point_end(plan)),
        Lines("In this order", _steps(plan), numbered=True, spare=True),
        Grid(
            "Marks to pencil",
            ("From the nock end", "From the throat", "What"),
            marks,
            (1.2, 1.2, 2.6),
            spare=True,
        ),
    ]
    if plan.warnings:
        blocks.insert(0, Lines("First", tuple(one.text for one in plan.warnings)))
    if shaft.inspection is None or shaft.inspection.result != "passed":
        line = f"Shaft {plan.shaft} was not looked over to the end. Do that before the first cut."
        blocks.insert(0, Lines("", (line,)))
    return tuple(blocks)


def _steps(plan: BuildPlan) -> tuple[str, ...]:
    """The plan's steps, each in a line or two."""
    if plan.already_cut:
        return tuple(plan.steps)
    first, last = wording.length(plan.first_cut_in), wording.length(plan.cut_in)
    steps = [
        (
            "Look it over. Pencil the stiff side along the whole shaft and its name under "
            "the feathers."
        ),
        (
            f"Square the nock end: {figures.maybe_small(plan.squaring_in)} off. All marks count "
            "from there."
        ),
    ]
    taper = next((one for one in plan.tapers if one.what == "nock"), None)
    if plan.nock_kind in ("self", "reinforced self"):
        steps.append(
            f"Slot {figures.maybe_small(plan.throat_in)} deep, across the rings; bind below it."
        )
    elif taper is not None:
        steps.append(
            f"Taper the nock end at {taper.half_angle_deg:g} deg to the axis; nock on, string "
            "across the rings."
        )
    if plan.first_cut_in - plan.cut_in > 0.05:
        steps += [
            f"First cut at {first}. Point on, feathers on, and shoot it.",
            (
                "Then shorten from the front, at most 1/2 in (13 mm) at a time, with a few shots "
                "after each. Stop as soon as it flies as you want it."
            ),
        ]
    steps += [
        f"Last cut, if it comes to that: {last}. Nothing beyond.",
        "Hot glue and a heated point burn and fume: pliers, window open.",
    ]
    return tuple(steps)


def _around(middle_gr: float, wide_gr: float) -> str:
    return f"{wording.mass(middle_gr)} ± {0.5 * wide_gr:.1f} gr"


def _picture(heading: str, drawn: Drawing) -> Picture:
    svg = resolved(drawn.svg().replace(PAPER, "#ffffff"), SHEET_FACE)
    words = "; ".join(text for text, _, _ in drawn.lines if " in (" in text)
    return Picture(heading, svg, drawn.width, drawn.height, words or drawn.title)
