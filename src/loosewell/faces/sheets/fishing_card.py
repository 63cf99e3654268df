"""The fishing card: line first, then how far below the fish that is seen the arrow points."""

from __future__ import annotations

from typing import TYPE_CHECKING

from loosewell.faces import wording
from loosewell.faces.sheets import figures, link
from loosewell.faces.sheets.content import Block, Facts, Grid, Lines, Sheet

if TYPE_CHECKING:
    from loosewell.workshop.fishing import Fishing
    from loosewell.workshop.purposes import PurposeAnswer

STOPS = (
    "Line ahead of the string, never tied at the nock, never round a hand.",
    "Nobody in the water or beyond it: a flat arrow skips off.",
)


def sheet(answer: PurposeAnswer) -> Sheet:
    """The practice card of one bow and archer."""
    blocks: tuple[Block, ...] = ()
    if not answer.stops:
        assert answer.fishing is not None
        blocks = _blocks(answer, answer.fishing)
    return Sheet(
        kind="fishing card",
        title=f"Fishing: {answer.archer} with {answer.bow}",
        under="A practice table, no promise.",
        stops=(*(one.text for one in answer.stops), *STOPS),
        blocks=blocks,
        link=link.code("bow", answer.bow),
        back=link.command("bow", answer.bow),
        foot=("Whether fish may be taken with a bow, and which, is for the rules where you stand.",
              figures.NO_FITNESS),
        invented=answer.invented,
    )  # fmt: skip


def _blocks(answer: PurposeAnswer, water: Fishing) -> tuple[Block, ...]:
    depths = sorted({one.depth_in for one in water.card})
    aims = {(one.distance_ft, one.depth_in): one for one in water.card}
    rows = []
    for far in sorted({one.distance_ft for one in water.card}):
        cells = [
            f"{one.below_in:.0f} ± {max(one.error_in, 1.0):.0f} in ({one.below_in * 2.54:.0f} cm)"
            + ("\u00a0s" if one.may_skip else "")
            for one in (aims[far, deep] for deep in depths)
        ]
        rows.append((f"{far:g} ft ({far * 0.3048:.1f} m)", *cells))
    reach = tuple(
        (
            f"{one.distance_ft:g} ft ({one.distance_ft * 0.3048:.1f} m)",
            (
                f"{one.fall_in.low:.1f} to {one.fall_in.high:.1f} in "
                f"({one.fall_in.low * 25.4:.0f} to {one.fall_in.high * 25.4:.0f} mm)"
            ),
            f"{one.dip_deg:.0f} deg",
            f"{one.may_skip_percent:.0f} of 100",
        )
        for one in water.entries
    )
    found: list[Block] = [
        Grid(
            "Point this far below the fish you see, by its TRUE depth",
            ("From", *(f"{one:g} in deep ({one * 2.54:.0f} cm)" for one in depths)),
            tuple(rows),
            (1.0, *(1.18 for _ in depths)),
            note=f"Eye {water.eye_height_ft:g} ft ({water.eye_height_ft * 0.3048:.2f} m) above the "
            "water; ± holds ripples, the eye's height and an inch of depth. s: so flat that the "
            "arrow may skip, by a rule for balls; without an s it may skip all the same.",
        ),
        Lines("Before every shot", tuple(water.checks)),
        Facts(
            "The arrow",
            (
                ("Length, throat to back of point", wording.length(answer.length_in)),
                ("Point", wording.mass(answer.point_weight_gr)),
                ("Fletching", answer.fletching or "none"),
                ("Eye above the water, measured", None),
            ),
        ),
        Grid(
            "On its way to a fish a foot (30 cm) down",
            ("From", "Falls in the air", "Meets the water at", "May skip"),
            reach,
            (1.1, 2.0, 1.4, 1.0),
            spare=True,
        ),
        Grid(
            "What I saw",
            ("From, ft / m", "Depth, in / cm", "Pointed below, in / cm", "Arrow passed"),
            (),
            (1.0, 1.0, 1.3, 1.6),
            blank_rows=5,
        ),
    ]
    if answer.warnings:
        found.insert(0, Lines("First", tuple(one.text for one in answer.warnings)))
    return tuple(found)
