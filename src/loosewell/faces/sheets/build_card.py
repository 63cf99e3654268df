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
            "No archer was named, so no least length is known. Do not cut before you know whose "
            "draw it must hold.",
        )
    return (
        f"Never shorter than {wording.length(plan.minimum_length_in)}, nock throat to the back of "
        "the point: a short arrow goes through the hand.",
    )


def _blocks(plan: BuildPlan, shaft: Shaft, spine: Spine | None) -> tuple[Block, ...]:
    weight, balance = plan.weight, plan.balance_in
    assert weight is not None
    assert balance is not None
    told = "not bent yet"
    if spine is not None:
        told = f"{spine.spine_text()} / {spine.deflection_text()}"
    facts: list[tuple[str, str | None]] = [
        ("Arrow, throat to back of point", f"{wording.length(plan.length_in)}, "
         f"{plan.length_reason}"),
        ("Cut the shaft to, end to end", "as it is: already cut" if plan.already_cut
         else f"{wording.length(plan.cut_in)}, from the squared nock end"),
        ("Spine of the shaft", told),
        ("Mass expected", _around(weight.middle, weight.high - weight.low)),
        ("Balance expected, from throat", f"{wording.length(balance.middle)} ± "
         f"{0.5 * (balance.high - balance.low):.2f} in"),
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
        Grid(
            "Marks to pencil",
            ("From the squared nock end", "From the nock throat", "What"),
            marks,
            (1.2, 1.2, 2.6),
            spare=True,
        ),
        Lines("In this order", tuple(plan.steps), numbered=True),
    ]
    if plan.warnings:
        blocks.insert(0, Lines("First", tuple(one.text for one in plan.warnings)))
    if shaft.inspection is None or shaft.inspection.result != "passed":
        line = f"Shaft {plan.shaft} was not looked over to the end. Do that before the first cut."
        blocks.insert(0, Lines("", (line,)))
    return tuple(blocks)


def _around(middle_gr: float, wide_gr: float) -> str:
    return f"{wording.mass(middle_gr)} ± {0.5 * wide_gr:.1f} gr"


def _picture(heading: str, drawn: Drawing) -> Picture:
    svg = resolved(drawn.svg().replace(PAPER, "#ffffff"), SHEET_FACE)
    words = "; ".join(text for text, _, _ in drawn.lines if " in (" in text)
    return Picture(heading, svg, drawn.width, drawn.height, words or drawn.title)
