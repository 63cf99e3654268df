"""The gap card: where the point is held at each distance; inked is only what was shot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from loosewell.faces import wording
from loosewell.faces.drawing.aim import held
from loosewell.faces.sheets import figures, link
from loosewell.faces.sheets.content import Block, Facts, Grid, Lines, Sheet

if TYPE_CHECKING:
    from loosewell.workshop.aim import AimCard

STOP = "Only where the stop behind the butt holds a miss too. Never draw above it."
INKED = (
    "SHOT stands as it was shot. What is computed is not yours until it was shot: write over it "
    "with a pencil."
)


def sheet(card: AimCard) -> Sheet:
    """The card of one bow, archer and arrow."""
    stops = (*(one.text for one in card.stops), *(() if card.stops else (STOP,)))
    blocks: tuple[Block, ...] = () if card.stops else _blocks(card)
    return Sheet(
        kind="gap card",
        title=f"Gaps: {card.archer} with {card.bow}",
        under=card.arrow,
        stops=stops,
        blocks=blocks,
        link=link.code("bow", card.bow),
        back=link.command("bow", card.bow),
        foot=("A change of arrow, point, string, brace height or anchor moves all of it.",
              figures.NO_FITNESS),
        invented=card.invented,
    )  # fmt: skip


def _blocks(card: AimCard) -> tuple[Block, ...]:
    eye, speed = card.eye_above_in, card.speed_fps
    assert eye is not None
    assert speed is not None
    rows = tuple(
        (
            wording.distance(one.distance_yd),
            "SHOT" if one.shot else "computed",
            f"{held(one.below_in.middle)} ({abs(one.below_in.middle) * 2.54:.0f} cm)",
            "–" if one.shot else f"{held(one.below_in.low)} to {held(one.below_in.high)}",
            "",
        )
        for one in card.gaps
    )
    facts = (
        ("Anchor", card.anchor or None),
        ("Eye above the arrow", (f"{eye.low:.1f} to {eye.high:.1f} in "
         f"({eye.low * 25.4:.0f} to {eye.high * 25.4:.0f} mm)")),
        ("Speed at the bow", (f"{speed.low:.0f} to {speed.high:.0f} fps "
         f"({speed.low * 0.3048:.0f} to {speed.high * 0.3048:.0f} m/s)")),
        ("Arrow", f"{wording.length(card.arrow_length_in)}, {wording.mass(card.arrow_weight_gr)}"),
        ("Day, weather", None),
    )  # fmt: skip
    found: list[Block] = [
        Grid(
            "Hold the point, at the target",
            ("From", "", "Computed or shot", "Eight of ten", "My own, by pencil"),
            rows,
            (1.3, 1.0, 1.8, 2.0, 1.4),
            note=INKED,
        ),
        Lines("Point-on", (card.point_on_text,)),
        Facts("", facts),
    ]
    if card.warnings:
        found.insert(0, Lines("First", tuple(one.text for one in card.warnings)))
    if card.causes:
        lines = tuple(
            f"{one.share_percent:.0f} %: {one.name}, {one.value}, {one.error}"
            + (" (assumed)" if one.assumed else "")
            for one in card.causes[:4]
        )
        found.append(Lines("What makes it uncertain", lines, spare=True))
    return tuple(found)
