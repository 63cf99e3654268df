"""What a shot leaves behind: spells of touching, and marks to look for."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.workshop.answer import ContactSpell

Array = NDArray[np.float64]


def marks(frame: Array, string_left: float, fletching_front: float, hand: str) -> list[str]:
    """Which traces a shot leaves, in words: where to look for rub and wear.

    Parameters
    ----------
    frame : ndarray, shape (frames, ...)
        Recorded frames of one launch.
    string_left : float
        When the string let the nock go. [s]
    fletching_front : float
        Front edge of the fletching from the nock throat. [m]
    hand : str
        "right" or "left".

    Returns
    -------
    sentences : list of str
        Empty when nothing worth a trace touched behind the string.
    """
    side = "right" if hand == "right" else "left"
    found = []
    time, station = frame[:, 0], -frame[:, 1] / units.INCH
    step = np.diff(time, prepend=0.0)
    behind = time > string_left * (1.0 + 1e-9)
    for column, least, words in (
        (2, 2.0, f"a rub on the {side} side of the shaft"),
        (3, 1.5, f"the feathers on the {side} worn at the base"),
        (4, 2.0, "a rub under the shaft"),
        (5, 1.5, "the lower feather ruffled by the shelf"),
    ):
        touching = behind & (frame[:, column] > 0.0)
        impulse = 1e3 * float(np.sum(frame[touching, column] * step[touching]))
        if impulse >= least:
            low, high = station[touching].min(), station[touching].max()
            found.append(f"{words}, {low:.1f} to {high:.1f} in from the nock ({impulse:.0f} mN·s)")
    before = ~behind & (frame[:, 2] > 0.0)
    if before.any() and not found:
        ahead = station[before].max()
        if ahead > fletching_front / units.INCH:
            found.append(
                f"only where the arrow lay: the plate touches the shaft from {ahead:.0f} in down "
                f"to {station[before].min():.0f} in from the nock while the string drives"
            )
    return found


def spells(frame: Array, string_left: float) -> list[ContactSpell]:
    """Stretches of time in which a part of the arrow pressed on plate or shelf.

    Parameters
    ----------
    frame : ndarray, shape (frames, ...)
        Recorded frames of one launch, as launch_batch gives them.
    string_left : float
        When the string let the nock go. [s]

    Returns
    -------
    spells : list of ContactSpell
        In order of time; touches below 0.2 mN·s are left out.
    """
    found: list[ContactSpell] = []
    time = frame[:, 0]
    step = np.diff(time, prepend=0.0)
    # The last step on the string ends as it lets go, to the last digits.
    behind = time > string_left * (1.0 + 1e-9)
    for column, part, plane in (
        (2, "shaft", "plate"),
        (3, "fletching", "plate"),
        (4, "shaft", "shelf"),
        (5, "fletching", "shelf"),
    ):
        touching = frame[:, column] > 0.0
        for after in (False, True):
            here = touching & (behind == after)
            edges = np.flatnonzero(np.diff(np.concatenate(([0], here.astype(int), [0]))))
            for start, stop in zip(edges[::2], edges[1::2], strict=True):
                impulse = float(np.sum(frame[start:stop, column] * step[start:stop]))
                if impulse * 1e3 >= 0.2:
                    found.append(
                        ContactSpell(
                            part,  # type: ignore[arg-type]
                            plane,  # type: ignore[arg-type]
                            round(float(time[start]) * 1e3, 3),
                            round(float(time[stop - 1]) * 1e3, 3),
                            round(impulse * 1e3, 2),
                            after,
                        )
                    )
    return sorted(found, key=lambda one: one.from_ms)
