"""Inputs that are not known exactly, and even samples of what they may be.

An input is a middle and a spread. A *world* is one draw of every input that stays
the same from shot to shot (the true plate offset, the true draw weight); a *shot*
draws what changes with each loose. Worlds and shots come from a scrambled Sobol
sequence, so that a few hundred stand for many thousands.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

FARTHEST = 2.5
"""Samples are kept within this many standard errors, so that no world is absurd."""


@dataclass(frozen=True)
class Uncertain:
    """One input with its error.

    ``spread`` is one standard error: in the unit of the middle for a normal
    input, as a relative error for a log-normal one, half the width for an even
    one. ``low`` and ``high`` are hard limits.
    """

    key: str
    middle: float
    spread: float
    kind: Literal["normal", "log", "even"] = "normal"
    low: float = -math.inf
    high: float = math.inf

    def at(self, uniform: Array) -> Array:
        """Values of the input at given cumulative chances.

        Parameters
        ----------
        uniform : ndarray, shape (n,)
            Numbers from 0 to 1. [-]

        Returns
        -------
        values : ndarray, shape (n,)
            In the unit of the middle.
        """
        if self.spread == 0.0:
            return np.full_like(uniform, self.middle)
        if self.kind == "even":
            value = self.middle + self.spread * (2.0 * uniform - 1.0)
        else:
            from scipy.special import ndtri

            inside = np.clip(uniform, 1e-12, 1.0 - 1e-12)
            normal = np.clip(ndtri(inside), -FARTHEST, FARTHEST)
            if self.kind == "log":
                value = self.middle * np.exp(self.spread * normal)
            else:
                value = self.middle + self.spread * normal
        return np.asarray(np.clip(value, self.low, self.high), dtype=np.float64)


def sample(
    inputs: list[Uncertain],
    count: int,
    seed: int,
    turn: Callable[[Array], Array] | None = None,
) -> dict[str, Array]:
    """Even samples of a list of inputs, independent unless they are tied.

    Parameters
    ----------
    inputs : list of Uncertain
        At least one.
    count : int
        A power of two, so that the sequence stays even.
    seed : int
        Repeats the same samples.
    turn : callable, optional
        Puts ties between inputs into standard normal numbers, shape (count, inputs).

    Returns
    -------
    values : dict of ndarray, shape (count,)
        By the key of each input.

    Raises
    ------
    ValueError
        For a count that is no power of two.
    """
    if count & (count - 1) or count < 1:
        raise ValueError(f"count {count} is no power of two")
    from scipy.stats import qmc

    rng = np.random.default_rng(seed)
    cube = qmc.Sobol(len(inputs), scramble=True, rng=rng).random_base2(int(math.log2(count)))
    if turn is not None:
        from scipy.special import ndtr, ndtri

        cube = ndtr(turn(ndtri(np.clip(cube, 1e-12, 1.0 - 1e-12))))
    return {one.key: one.at(cube[:, i]) for i, one in enumerate(inputs)}


def combine(middle: float, spread: float, measured: float, error: float) -> tuple[float, float]:
    """A normal prior and one measurement of the same thing, together.

    Parameters
    ----------
    middle, spread : float
        The prior and its standard error.
    measured, error : float
        The measurement and its standard error, same unit.

    Returns
    -------
    middle, spread : float
        Precision-weighted mean and its standard error: the exact posterior of
        two normal statements.
    """
    weight, other = 1.0 / spread**2, 1.0 / error**2
    total = weight + other
    return (weight * middle + other * measured) / total, math.sqrt(1.0 / total)
