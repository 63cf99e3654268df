"""How to hang or hold a shaft for its tone: where, where to tap, and which modes live on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

NODE_SHARE = 0.2242
"""Of the length from either end, where the lowest mode stands still."""
LIVES, FAINT = 0.03, 0.2
"""Motion squared at a support, over that at the ends, up to which a mode rings on, or still does
for a moment. Modelling choices, no source."""


@dataclass(frozen=True)
class Support:
    """One way to carry the shaft, and for each of the first modes whether it rings on."""

    name: str
    how: str
    modes: tuple[str, ...]
    """For mode 1, 2, 3 ...: "rings on", "fades" or "dies"."""


@dataclass(frozen=True)
class Hanging:
    """What the drawing and the instructions show, for a shaft of this length."""

    length_in: float
    node_in: float
    """From either end to the thread loop."""
    tap_in: float
    """From the end, where a tap wakes every mode."""
    shapes: tuple[tuple[float, ...], ...]
    """Motion of the first modes at even steps along the shaft; 1 at the first end."""
    supports: tuple[Support, ...]

    def lines(self) -> list[str]:
        """What to do, in order, as sentences."""
        node, metric = self.node_in, self.node_in * 25.4
        loops = (
            f"Hang the bare shaft level in two loops of thread, each {node:.2f} in "
            f"({metric:.0f} mm) from an end: 22.4 % of the length, where the lowest mode stands "
            "still. Threads of a foot or more."
        )
        tap = (
            "Tap it sideways, level with the floor, with a pencil or a knuckle, "
            f"{self.tap_in:.1f} in from one end: the ends move in every mode. Threads do not hold "
            "a sideways swing. A tap in the middle wakes modes 1, 3 and 5 only."
        )
        microphone = (
            "Hold the microphone a hand's breadth from the other end, on the side the shaft swings "
            "to, not above it: a thin shaft is loud to its sides and silent above."
        )
        fingers = (
            "No loops? Hold it hanging down, lightly between two fingertips, at the same place. "
            "The lowest mode rings on, the others only for a moment."
        )
        trap = (
            "Do not strike it on its end: it then rings lengthwise (1 : 2 : 3), which is not its "
            "spine."
        )
        return [
            loops,
            tap,
            microphone,
            "Start the recorder, wait half a second, tap once, keep still for two seconds.",
            fingers,
            trap,
            "Turn it a quarter round and tap again: wood is often stiffer one way.",
        ]


def hanging(length_in: float) -> Hanging:
    """Places and modes for a shaft of a length.

    Parameters
    ----------
    length_in : float
        End to end. [in]

    Returns
    -------
    hanging : Hanging
        Places in inches; modes by each support. [in]

    Source
    ------
    Shapes of a uniform free beam, docs/physics/tone.md; the limits are modelling choices.
    """
    from loosewell.physics import tone

    place = np.linspace(0.0, 1.0, 81)
    shapes = tuple(
        tuple(float(y) for y in tone.free_free_shape(place, mode)) for mode in range(1, 6)
    )

    def kept(*places: float) -> tuple[str, ...]:
        words = []
        for mode in range(1, 6):
            motion = float(np.max(tone.free_free_shape(np.array(places), mode) ** 2))
            words.append("rings on" if motion < LIVES else "fades" if motion < FAINT else "dies")
        return tuple(words)

    return Hanging(
        length_in,
        NODE_SHARE * length_in,
        0.06 * length_in,
        shapes,
        (
            Support("loops, tapped sideways", "threads let it swing", ("rings on",) * 5),
            Support(
                "loops, tapped up and down",
                "threads hold it at 22.4 %",
                kept(NODE_SHARE, 1.0 - NODE_SHARE),
            ),
            Support("two fingertips at 22.4 %", "held at one place", kept(NODE_SHARE)),
            Support("held in the middle", "the wrong place for mode 1", kept(0.5)),
        ),
    )
