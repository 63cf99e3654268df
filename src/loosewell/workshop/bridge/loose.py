"""An archer as the engine takes them: draw and loose, with errors and scatter."""

from __future__ import annotations

import math
from dataclasses import dataclass

from loosewell import units
from loosewell.chance.priors import Uncertain
from loosewell.errors import MissingRefusal
from loosewell.records import Archer
from loosewell.workshop.bridge.inputs import Assumed, true_draw_in


@dataclass(frozen=True)
class LooseModel:
    """An archer's draw and loose: middles with errors, and scatter from shot to shot."""

    inputs: tuple[Uncertain, ...]
    notes: tuple[Assumed, ...]
    shots: tuple[Uncertain, ...]


# Sideways push of the fingers and its scatter from shot to shot. [m] No measurement was found; the
# string must roll off a fingertip about as thick, a modelling choice.
LOOSE_PUSH = {"steady": (0.0071, 0.18, 0.0010), "unsteady": (0.0085, 0.25, 0.0025)}
LOOSE_UNKNOWN = (0.0077, 0.25, 0.0016)
PLUCK = {"steady": 0.0004, "unsteady": 0.0016}
"""Scatter of the nock's place beside the string plane at the loose. [m] No source."""
HAND_TURN = {"steady": 0.03, "unsteady": 0.12}
"""Scatter of the plate's sideways speed as the bow hand turns. [m/s] No source."""
CHILD_FINGER = 0.7
"""Thickness of a child's fingertip over a grown one's. Modelling choice, no source."""
DRAW_SCATTER_IN = {"steady": 0.12, "unsteady": 0.40}


def loose_model(archer: Archer) -> LooseModel:
    """The archer's draw and loose as uncertain inputs.

    Parameters
    ----------
    archer : Archer
        With a draw length.

    Returns
    -------
    model : LooseModel
        ``inputs`` stay the same from shot to shot, ``shots`` are drawn anew for each.

    Raises
    ------
    MissingRefusal
        Without a draw length.
    """
    if archer.draw_length_in is None:
        raise MissingRefusal(
            f"The draw length of {archer.name} is not recorded, and without it no arrow length can "
            "be checked. Draw a light bow three times with a marked arrow while a helper reads it, "
            'and record it: loosewell archer change ... --draw-length "27 in" --draw-measured '
            "standard."
        )
    notes: list[Assumed] = []
    draw_in = true_draw_in(archer.draw_length_in, archer.draw_measured)
    by_method = {"marked arrow": 0.25, "arm span": 1.2, "told": 0.75}
    error = archer.draw_error_in
    if error is None:
        error = by_method.get(archer.draw_method or "", 0.5)
        if archer.experience == "beginner" or archer.child:
            error = max(error, 0.6)
    inputs = [Uncertain("draw", draw_in * units.INCH, error * units.INCH)]
    notes.append(
        Assumed(
            "draw",
            "Draw length",
            f"{draw_in:.2f} in true draw",
            f"±{error:.2g} in",
            archer.draw_method in (None, "arm span", "told") and archer.draw_error_in is None,
            "draw a light bow three times with a marked arrow, a helper reading",
            0.25 * units.INCH,
        )
    )
    push, relative, scatter = LOOSE_PUSH.get(archer.loose or "", LOOSE_UNKNOWN)
    if archer.child:
        push, scatter = CHILD_FINGER * push, CHILD_FINGER * scatter
    sign = 1.0
    if archer.hook == "thumb":
        sign = -1.0  # the string rolls off the other side of a thumb
    if archer.hook == "mechanical":
        push, scatter = 0.0004, 0.0002
    inputs.append(Uncertain("loose_push", sign * push, relative, "log"))
    inputs.append(Uncertain("loose_travel", 0.014, 0.20, "log", high=0.045))
    notes.append(
        Assumed(
            "loose_push",
            "Sideways push of the fingers",
            f"{push * 1e3:.1f} mm "
            + ("to the right" if (sign > 0) == (archer.hand == "left") else "to the left"),
            f"±{relative * 100:.0f} %",
            True,
            "cannot be measured at the bench; shooting results narrow it",
            0.0,
        )
    )
    notes.append(
        Assumed(
            "loose_travel",
            "Travel in which the fingers push",
            "14 mm",
            "±20 %",
            True,
            "cannot be measured at the bench; shooting results narrow it",
            0.0,
        )
    )
    if archer.hook == "three under":
        inputs.append(Uncertain("loose_rise", 0.0006, 0.0004))
    cant = archer.cant_deg
    inputs.append(
        Uncertain("cant", math.radians(cant or 0.0), math.radians(8.0 if cant is None else 3.0))
    )
    notes.append(
        Assumed(
            "cant",
            "Cant of the bow",
            "upright" if cant is None else f"{cant:.0f}° toward the string hand",
            "±8°" if cant is None else "±3°",
            cant is None,
            "have a helper hold a hanging thread before the string at full draw",
            math.radians(3.0),
        )
    )
    loose_word = archer.loose or ""
    shots = (
        Uncertain("pluck", 0.0, PLUCK.get(loose_word, 0.0008)),
        Uncertain("hand_turn", 0.0, HAND_TURN.get(loose_word, 0.05)),
        Uncertain("push_scatter", 0.0, scatter),
        Uncertain(
            "draw_scatter",
            0.0,
            DRAW_SCATTER_IN.get(archer.loose or "", 0.25) * units.INCH,
        ),
        Uncertain("path_scatter", 0.0, 0.0008 if archer.loose == "steady" else 0.0015),
    )
    return LooseModel(tuple(inputs), tuple(notes), shots)
