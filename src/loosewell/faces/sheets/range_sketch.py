"""The range sketch: typed rules side by side, the reach to scale, blanks for the leader."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from loosewell.faces import wording
from loosewell.faces.drawing import range_plan
from loosewell.faces.drawing.pen import PAPER, SHEET_FACE, resolved
from loosewell.faces.sheets import link
from loosewell.faces.sheets.content import Block, Facts, Grid, Lines, Picture, Sheet

if TYPE_CHECKING:
    from loosewell.records.class_ import ClassRoster, RangeRule

STOP = "Nobody ahead of the shooting line while anyone shoots. Someone beyond: all let down."
UNKNOWN = "How far these bows carry is not reckoned here: treat it as unknown."
DISAGREE = "Rules that disagree stand side by side; none is chosen here."


def sheet(
    kept: ClassRoster,
    target_yd: float | None,
    farthest_yd: float | None,
    whose: str = "",
) -> Sheet:
    """The sketch of one class's range; ``whose`` says which bow and archer the reach is of."""
    rules = kept.rules
    rows = tuple(_row(number, one, target_yd) for number, one in enumerate(rules, 1))
    drawn = range_plan.range_plan(rules, target_yd, farthest_yd)
    svg = resolved(drawn.svg().replace(PAPER, "#ffffff"), SHEET_FACE)
    reach = None if farthest_yd is None else f"{wording.distance(farthest_yd)}, {whose}"
    blocks: list[Block] = [
        Picture("From above, to scale", svg, drawn.width, drawn.height, drawn.words),
        Facts(
            "",
            (
                ("Farthest reach reckoned", reach),
                ("Target line at", None if target_yd is None else wording.distance(target_yd)),
                ("Lanes, waiting line", None),
                ("Beyond, and to the sides", None),
                ("Responsible, telephone, first aid", None),
            ),
        ),
        Grid(
            "Rules as they were typed",
            ("No.", "What", "Figure", "In its words", "Source, date"),
            rows,
            (0.45, 0.9, 1.6, 2.4, 1.9),
            blank_rows=0 if rows else 3,
            note=DISAGREE,
        ),
    ]
    missing = _not_drawn(rules, target_yd)
    if missing:
        blocks.append(Lines("", (missing,)))
    return Sheet(
        kind="range sketch",
        title=f"Range: class {kept.name}",
        under=kept.on.isoformat() if kept.on else "",
        stops=(STOP,) if farthest_yd is not None else (STOP, UNKNOWN),
        blocks=tuple(blocks),
        link=link.code("class", kept.name),
        back=link.command("class", kept.name),
        foot=(
            (
                "The reach is of flat ground, without a skip or a slide, and no margin is in it. "
                "It says nothing of whether this place will do."
            ),
        ),
        invented=kept.invented,
    )


def _row(number: int, rule: RangeRule, target_yd: float | None) -> tuple[str, ...]:
    figure = "–"
    if rule.figure_yd is not None:
        figure = f"{wording.distance(rule.figure_yd)} from the {rule.counted_from}"
        if rule.what == "side":
            figure = wording.distance(rule.figure_yd)
            figure += f" at {wording.distance(rule.at_yd)}" if rule.at_yd is not None else ""
        at = range_plan.place_yd(rule, target_yd)
        if at is not None and rule.counted_from == "target line":
            figure += f" = {wording.distance(at)}"
    return (str(number), rule.what, figure, rule.text, f"{rule.source}, {rule.on.isoformat()}")


def _not_drawn(rules: Sequence[RangeRule], target_yd: float | None) -> str:
    left = [
        str(number)
        for number, one in enumerate(rules, 1)
        if one.what != "side" and range_plan.place_yd(one, target_yd) is None
    ]
    if not left:
        return ""
    return (
        f"Not drawn: rule {', '.join(left)} (words or widths alone, or counted from a target line "
        "whose distance was not given: --distance)."
    )
