"""What may be wrong beyond the usual errors, and how the engine shoots it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loosewell import units

Array = NDArray[np.float64]
Values = dict[str, Array]


@dataclass(frozen=True)
class Fault:
    """One fault, signed by its amplitude.

    ``chance`` is how often it is met before anything was seen; the amplitude has at least
    ``least`` and most often not much more than ``least`` and ``more``, in the unit of ``move``.
    All of them are modelling choices without a source.
    """

    key: str
    plus: str
    minus: str
    chance: float
    least: float
    more: float
    both_ways: bool
    move: Callable[[Values, Array, float], None]


def _nocking(values: Values, amount: Array, draw: float) -> None:
    values["nock_height"] = values["nock_height"] + amount
    # The string's way in space stays; seen from the arrow's line it tilts by as much.
    values["nock_path"] = values["nock_path"] + amount / draw


def _contact(values: Values, amount: Array, _: float) -> None:
    values["fletching_stiffness"] = values["fletching_stiffness"] * np.exp(amount)
    values["reach_scale"] = 1.0 + 0.5 * np.minimum(amount, 2.0)


def _pinch(values: Values, amount: Array, _: float) -> None:
    values["nock_pinch"] = np.where(amount > 0.0, amount, values["nock_pinch"])


def _pluck(values: Values, amount: Array, _: float) -> None:
    values["pluck"] = values["pluck"] + amount


def _hand(values: Values, amount: Array, _: float) -> None:
    values["hand_turn"] = values["hand_turn"] + amount


def _draw(values: Values, amount: Array, _: float) -> None:
    values["draw"] = values["draw"] + amount


def _misread(values: Values, amount: Array, _: float) -> None:
    values["stiffness_scale"] = values["stiffness_scale"] * np.exp(amount)


NONE = "none"
FAULTS: tuple[Fault, ...] = (
    Fault(NONE, "nothing beyond the usual errors", "", 0.50, 0.0, 0.0, False, lambda *_: None),
    Fault(
        "nocking point", "the nocking point is too high", "the nocking point is too low",
        0.16, 0.08 * units.INCH, 0.12 * units.INCH, True, _nocking,
    ),
    Fault(
        "contact", "the fletching strikes the bow", "", 0.08, 1.0, 0.8, False, _contact,
    ),
    Fault("nock", "the nock pinches the string", "", 0.06, 15.0, 12.0, False, _pinch),
    Fault(
        "pluck", "the string is plucked away from the bow's face",
        "the string is pushed toward the face", 0.07, 0.002, 0.0015, True, _pluck,
    ),
    Fault(
        "hand", "the bow hand turns the bow away from the arrow's side",
        "the bow hand turns the bow toward the arrow's side", 0.04, 0.15, 0.15, True, _hand,
    ),
    Fault(
        "draw", "the draw is longer than recorded", "the draw is shorter than recorded",
        0.05, 0.7 * units.INCH, 0.6 * units.INCH, True, _draw,
    ),
    Fault(
        "misread", "the shaft is stiffer than its reading",
        "the shaft is weaker than its reading", 0.04, 0.12, 0.08, True, _misread,
    ),
)  # fmt: skip
CHANCES = np.array([one.chance for one in FAULTS])


def apply(values: Values, which: NDArray[np.int64], amount_z: Array, draw: float) -> Array:
    """Faults put into the values of each world; returns their signed amounts, zero for none.

    Parameters
    ----------
    values : dict of ndarray, shape (n,)
        Changed in place. [SI]
    which : ndarray of int64, shape (n,)
        Place in FAULTS. [-]
    amount_z : ndarray, shape (n,)
        Standard normal: its sign is the fault's, its size the size. [-]
    draw : float
        True draw. [m]

    Returns
    -------
    amount : ndarray, shape (n,)
        In the unit of the fault. [any]
    """
    whole = np.zeros(len(which))
    for k, one in enumerate(FAULTS):
        amount = np.where(which == k, one.least + one.more * np.abs(amount_z), 0.0)
        if one.both_ways:
            amount = amount * np.sign(amount_z)
        if one.key != NONE and np.any(which == k):
            one.move(values, amount, draw)
        whole += amount
    return whole
