"""A bow and an archer ready to shoot in the engine, or the stop that says why not."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from loosewell import units
from loosewell.records import Archer, Arrow, Bow, Fletching, Jig, Shaft
from loosewell.workshop import stops
from loosewell.workshop.answer import Notice

if TYPE_CHECKING:
    from loosewell.workshop.session import Progress, Session

SEED = 20260211


def pair(
    bow: Bow,
    archer: Archer,
    shafts: Sequence[Shaft] = (),
    *,
    length_in: float | None = None,
    point_weight_gr: float | None = None,
    fletching: Fletching | None = None,
    purpose: str = "target",
    distance_yd: float | None = None,
    jigs: Sequence[Jig] = (),
    seed: int = SEED,
    progress: Progress | None = None,
) -> tuple[Session | None, list[Notice]]:
    """A session of this pair as a match uses it; None after a hard stop.

    Parameters
    ----------
    bow, archer : Bow, Archer
        As in match.
    shafts : sequence of Shaft
        The rack.
    length_in, point_weight_gr, fletching, purpose, distance_yd : optional
        As in match.
    jigs : sequence of Jig
        Of the workshop, for the readings that name one.
    seed : int
        Of the samples.
    progress : callable, optional
        Called with a word and the fraction done.

    Returns
    -------
    job : Session or None
        Ready to shoot.
    stops : list of Notice
        Why not, when it is None.

    Raises
    ------
    Refusal
        For records from which nothing can be worked out.
    """
    from loosewell.workshop import bridge
    from loosewell.workshop.session import Session, silent
    from loosewell.workshop.wish import wish_of

    wish = wish_of(
        bow, archer, purpose, distance_yd, point_weight_gr, length_in, fletching, None,
        None, None, None, seed,
    )  # fmt: skip
    loose = bridge.loose_model(archer)
    draw_in = next(one for one in loose.inputs if one.key == "draw").middle / units.INCH
    if not bow.draw_readings:
        bridge.bow_model(bow, draw_in)  # refuses in a sentence
    found = stops.stops(bow, archer, draw_in, length_in)
    if found:
        return None, found
    no_arrows: tuple[Arrow, ...] = ()
    tell = progress or silent
    return Session(bow, archer, shafts, no_arrows, wish, loose, draw_in, tell, jigs), []
