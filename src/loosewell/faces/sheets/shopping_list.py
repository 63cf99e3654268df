"""The shopping list: shafts and parts in plain specification, and what to check at the counter."""

from __future__ import annotations

from dataclasses import dataclass

from loosewell.faces import wording
from loosewell.faces.sheets import figures, link
from loosewell.faces.sheets.content import Block, Facts, Grid, Lines, Sheet

STRAIGHT = "1/32 in (0.8 mm)"
"""Most light under the middle of a shaft on a flat table. Common practice, no source."""
WOODS = "straight-grained wood, split or sawn true to the grain"


@dataclass(frozen=True)
class Wanted:
    """Shafts that are wanted; None is left to the pencil.

    ``kind`` and ``name`` are the record it leads back to, "" when there is none. Spines are
    pounds (26 in span, 2 lb). ``why`` says where the figures come from.
    """

    count: int | None
    material: str | None
    spine_low_lb: float | None
    spine_high_lb: float | None
    length_in: float | None
    least_arrow_in: float | None
    weight_low_gr: float | None = None
    weight_high_gr: float | None = None
    point_weight_gr: float | None = None
    whom: str = ""
    why: str = ""
    kind: str = ""
    name: str = ""
    invented: bool = False


def sheet(wanted: Wanted) -> Sheet:
    """The list for one lot of shafts with its parts."""
    many = None if wanted.count is None else str(wanted.count)
    spine = None
    if wanted.spine_low_lb is not None and wanted.spine_high_lb is not None:
        spine = wording.spine_range(wanted.spine_low_lb, wanted.spine_high_lb)
    mass = None
    if wanted.weight_low_gr is not None and wanted.weight_high_gr is not None:
        mass = (
            f"{wording.mass(wanted.weight_low_gr)} to {wording.mass(wanted.weight_high_gr)}, bare"
        )
    length = None if wanted.length_in is None else f"{wording.length(wanted.length_in)} or longer"
    blocks: list[Block] = [
        Facts(
            "Shafts",
            (
                ("How many", many),
                ("Material", wanted.material or WOODS),
                ("Spine, span and load", spine),
                ("Length of the bare shaft", length),
                ("Mass of one, bare", mass),
                ("Straight", (f"on a flat table no more than {STRAIGHT} of "
                 "light under the middle")),
                ("Grain", "no line runs off the side steeper than 1 in 15; no knot near an end"),
            ),
        ),
        Facts(
            "Parts",
            (
                ("Points: how many, mass", None if wanted.point_weight_gr is None or many is None
                 else f"{many}, {wording.mass(wanted.point_weight_gr)} each, to fit the taper"),
                ("Nocks: fit on the served string", None),
                ("Feathers: all of one wing", None),
                ("Thread, glue, finish", None),
            ),
        ),
        Grid(
            "At the counter, or when they arrive",
            ("Shaft", "Length, in / mm", "Mass, gr / g", "Deflection, in / mm", "Span and load",
             "Straight", "Grain"),
            (),
            (0.8, 1.1, 1.1, 1.2, 1.2, 0.9, 0.8),
            blank_rows=8,
        ),
        Lines(
            "Say it like this",
            (
                ("Spine only counts with its span and its load. Ask which was used; another one is "
                "another number."),
                "A figure inked on a shaft is a claim until you have bent it.",
                (f"Common practice, no source: {STRAIGHT} of light, grain "
                "of 1 in 15."),
            ),
        ),
    ]  # fmt: skip
    stops = ["Do not shoot a new shaft before it was looked over and bent by hand."]
    if wanted.least_arrow_in is not None:
        stops.insert(
            0,
            f"Never an arrow shorter than {wording.length(wanted.least_arrow_in)}, nock throat to "
            "the back of the point.",
        )
    if wanted.why:
        blocks.insert(1, Lines("", (wanted.why,)))
    return Sheet(
        kind="shopping list",
        title="Shopping list: shafts" + (f" {wanted.whom}" if wanted.whom else ""),
        stops=tuple(stops),
        blocks=tuple(blocks),
        link=link.code(wanted.kind, wanted.name) if wanted.kind else "",
        back=link.command(wanted.kind, wanted.name) if wanted.kind else "",
        foot=(figures.NO_FITNESS,),
        invented=wanted.invented,
    )
