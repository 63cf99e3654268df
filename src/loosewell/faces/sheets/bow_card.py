"""The bow card: what hangs on the bow, its limit and its hand before everything else."""

from __future__ import annotations

from typing import TYPE_CHECKING

from loosewell.faces import wording
from loosewell.faces.sheets import figures, link
from loosewell.faces.sheets.content import Block, Facts, Grid, Sheet

if TYPE_CHECKING:
    from loosewell.records import Bow


def sheet(bow: Bow) -> Sheet:
    """The card of one bow."""
    blocks: list[Block] = []
    if bow.draw_readings:
        readings = sorted(bow.draw_readings, key=lambda one: one.draw_in)
        blocks.append(
            Grid(
                "Draw weight, as read",
                ("Draw", "Draw weight"),
                tuple(
                    (
                        figures.draw(one.draw_in, bow.draw_measured),
                        figures.pull(one.weight_lb, one.error_lb()),
                    )
                    for one in readings
                ),
                (2.1, 1.0),
            )
        )
    blocks.append(
        Facts(
            "The bow",
            (
                ("Make", bow.make),
                ("Length, nock to nock", figures.maybe_length(bow.length_in, 1)),
                ("Brace height", figures.maybe_length(bow.brace_height_in)),
                ("Plate, from the string's plane", _plate(bow)),
                ("Shelf", bow.shelf_material),
                ("Nocking height above square", figures.maybe_small(bow.nocking_height_in)),
                ("String", _string(bow)),
                ("Lightest arrow its maker allows", _least(bow)),
                ("Lent out", None if bow.loaner is None else ("yes" if bow.loaner else "no")),
            ),
        )
    )
    blocks.append(
        Grid(
            "Read again",
            ("Day", "Brace height, in / mm", "Draw, in / mm, which", "Weight, lb / kg", "By"),
            (),
            (0.9, 1.3, 1.4, 1.0, 0.8),
            blank_rows=5,
        )
    )
    return Sheet(
        kind="bow card",
        title=f"Bow {bow.name}",
        under=_hand(bow),
        stops=(*_stops(bow),),
        blocks=tuple(blocks),
        link=link.code("bow", bow.name),
        back=link.command("bow", bow.name),
        foot=(figures.DRAWS, wording.SEEN_FROM, figures.NO_FITNESS),
        invented=bow.invented,
    )


def _hand(bow: Bow) -> str:
    if bow.hand == "either":
        return "Built for either hand."
    return f"Built for a {bow.hand}-handed archer, who draws the string with the {bow.hand} hand."


def _stops(bow: Bow) -> list[str]:
    if bow.drawn_to_limit_in is None:
        limit = (
            "Do not lend: how far this bow may be drawn is not recorded. Ask its maker, and draw "
            "it no further than it has been drawn."
        )
    else:
        limit = f"Never draw it past {figures.draw(bow.drawn_to_limit_in, bow.draw_measured)}."
    found = [limit]
    if bow.hand != "either":
        found.append(f"Only for {bow.hand}-handed archers.")
    return found


def _plate(bow: Bow) -> str | None:
    if bow.plate_offset_in is None:
        return None
    size = figures.maybe_small(abs(bow.plate_offset_in))
    where = "short of centre" if bow.plate_offset_in > 0.0 else "cut past centre"
    what = "" if bow.plate_material is None else f", {bow.plate_material}"
    return f"in the plane{what}" if bow.plate_offset_in == 0.0 else f"{size} {where}{what}"


def _string(bow: Bow) -> str | None:
    parts = [bow.string_material, figures.maybe_mass(bow.string_mass_gr)]
    told = ", ".join(one for one in parts if one is not None)
    return told or None


def _least(bow: Bow) -> str | None:
    return figures.maybe_mass(bow.maker_minimum_arrow_gr)
