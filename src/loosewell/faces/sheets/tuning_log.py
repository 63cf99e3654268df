"""The tuning log: one change a line, what was seen before it and after, by pencil."""

from __future__ import annotations

from typing import TYPE_CHECKING

from loosewell.faces import wording
from loosewell.faces.sheets import figures, link
from loosewell.faces.sheets.content import Facts, Grid, Lines, Sheet

if TYPE_CHECKING:
    from loosewell.records import Archer, Bow

STOPS = (
    (
        "Bare shafts: only from 5 to 10 yd (4.6 to 9.1 m) into a soft butt, nobody near. One "
        "that strikes sideways snaps."
    ),
    "A tick, a crack or a splinter ends it: no further shot.",
)
"""Common practice, no source."""
WAYS = (
    "One change at a time, three shots or more for each, and the same loose.",
    "Where a shaft lands and how it stands in the butt are two different things: write both.",
    "First string height and nocking point, then point and length. Never below the least length.",
    "Stop as soon as it flies as you want it.",
)
"""Common practice, no source."""


def sheet(bow: Bow | None, archer: Archer | None) -> Sheet:
    """A log for one bow and one archer; either may be left to the pencil."""
    hand = None if archer is None else f"{archer.hand} (draws the string)"
    draw = None
    if archer is not None and archer.draw_length_in is not None:
        draw = figures.draw(archer.draw_length_in, archer.draw_measured)
    limit = None
    if bow is not None and bow.drawn_to_limit_in is not None:
        limit = figures.draw(bow.drawn_to_limit_in, bow.draw_measured)
    least = None
    if archer is not None and archer.draw_length_in is not None:
        from loosewell.workshop import stops

        least = wording.length(stops.minimum_length_in(archer))
    stops_found: tuple[str, ...] = STOPS
    if bow is not None and archer is not None and bow.hand not in ("either", archer.hand):
        stops_found = (
            (
                f"Do not shoot: {bow.name} is built for a {bow.hand}-handed archer and "
                f"{archer.name} draws with the {archer.hand} hand."
            ),
            *STOPS,
        )
    facts = (
        ("Bow", None if bow is None else bow.name),
        ("Archer", None if archer is None else archer.name),
        ("Hand", hand),
        ("Draw", draw),
        ("Bow may be drawn to", limit),
        ("Least arrow, throat to back of point", least),
        ("Brace height at the start",
         None if bow is None else figures.maybe_length(bow.brace_height_in)),
        ("Arrow: shaft, length, point, mass", None),
        ("Day, weather", None),
    )  # fmt: skip
    first = bow if bow is not None else archer
    kind = "bow" if bow is not None else "archer"
    names = [one.name for one in (bow, archer) if one is not None]
    return Sheet(
        kind="tuning log",
        title="Tuning log" + (f": {' and '.join(names)}" if names else ""),
        stops=stops_found,
        blocks=(
            Facts("", facts),
            Grid(
                "",
                (
                    "No.", "Changed: one thing", "Brace, in / mm", "Nock, in / mm", "From, yd / m",
                    "Lands left or right, high or low, in / cm", "Nock stands", "Noise, marks",
                ),
                (),
                (0.5, 2.1, 0.95, 0.9, 0.9, 1.8, 1.1, 1.1),
                blank_rows=14,
                note="Lands: the bare shaft, compared with where the fletched arrows land. Nock "
                "stands: left, right, high or low of its hole.",
            ),
            Lines("", WAYS, spare=True),
        ),
        link="" if first is None else link.code(kind, first.name),
        back="" if first is None else link.command(kind, first.name),
        foot=(wording.SEEN_FROM, figures.DRAWS),
        invented=any(one is not None and one.invented for one in (bow, archer)),
    )  # fmt: skip
