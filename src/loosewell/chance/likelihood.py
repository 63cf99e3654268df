"""How likely what was seen is in a world where the engine says what should come.

Every kind of evidence has its own error, and a part for the engine's own. A wrong
model then widens an answer instead of bending it.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def group_log_likelihood(
    count: Array, mean: Array, square: Array, middle: Array, shot: Array, aim_error: float
) -> Array:
    """Logarithm of the chance of where groups lie, with an aim that is off by an unknown way.

    Parameters
    ----------
    count : ndarray, shape (groups,)
        Shots in each group, at least 1. [-]
    mean : ndarray, shape (groups,)
        Mean place of each group. [any]
    square : ndarray, shape (groups,)
        Sum of squares of its shots about their mean. [any squared]
    middle : ndarray, shape (worlds, groups)
        Where the world puts the group for a true aim. [any]
    shot : ndarray, shape (worlds, groups)
        Standard error of one shot in the world, the reading's own included. [any]
    aim_error : float
        Standard error of the common offset of the aim; 0 where there is none. [any]

    Returns
    -------
    chance : ndarray, shape (worlds,)
        Logarithm of the density. [-]

    Holds
    -----
    Normal shots, independent given the world; the offset is the same for all groups and is
    integrated out exactly.

    Source
    ------
    Normal model with a common normal effect: Gelman et al. 2013, Bayesian Data Analysis, 3rd ed.,
    sections 2.5 and 5.4 (equations rederived in docs/physics/inference.md).
    """
    variance = shot * shot
    inside = -0.5 * (square / variance + (count - 1.0) * np.log(2.0 * math.pi * variance))
    inside -= 0.5 * np.log(count)
    # What is left of each group is its mean, with the variance of a mean of so many shots.
    of_mean = variance / count
    off = mean - middle
    inside += -0.5 * (off * off / of_mean + np.log(2.0 * math.pi * of_mean))
    total = np.sum(inside, axis=1)
    if aim_error > 0.0:
        precision = np.sum(1.0 / of_mean, axis=1)
        pull = np.sum(off / of_mean, axis=1)
        prior = 1.0 / aim_error**2
        total += 0.5 * pull * pull / (precision + prior)
        total -= 0.5 * np.log1p(precision / prior)
    return np.asarray(total)


def class_log_chance(seen: int, middle: Array, error: Array, limit: float, slip: float) -> Array:
    """Logarithm of the chance that an angle is called left, straight or right.

    Parameters
    ----------
    seen : int
        1 for the positive side, 0 for straight, -1 for the negative side. [-]
    middle : ndarray, shape (n,)
        Angle the world says. [any]
    error : ndarray, shape (n,)
        Standard error of one shot's angle and of the eye. [any]
    limit : float
        From which angle on the eye stops calling it straight. [any]
    slip : float
        Chance that the call is a slip and says nothing. [-]

    Returns
    -------
    chance : ndarray, shape (n,)
        [-]

    Source
    ------
    Ordered probit: McKelvey and Zavoina 1975, J. Math. Sociol. 4 (from memory).
    """
    from scipy.special import ndtr

    above = ndtr((middle - limit) / error)
    below = ndtr((-middle - limit) / error)
    chance = above if seen > 0 else below if seen < 0 else 1.0 - above - below
    return np.asarray(np.log((1.0 - slip) * np.maximum(chance, 0.0) + slip / 3.0))


def mark_log_chance(
    seen: bool, knock: Array, half: float, sharpness: float, miss: float, false: float
) -> Array:
    """Logarithm of the chance that a mark of contact is seen, or that none is.

    Parameters
    ----------
    seen : bool
        Whether there was a mark. [-]
    knock : ndarray, shape (n,)
        Impulse of the contact in each world. [any]
    half : float
        Impulse that leaves a mark half of the time. [any]
    sharpness : float
        Slope of the log odds over the logarithm of the impulse. [-]
    miss, false : float
        Chance that a hard knock leaves no mark, and that a mark comes from elsewhere. [-]

    Returns
    -------
    chance : ndarray, shape (n,)
        [-]

    Source
    ------
    Modelling choice: logistic in the logarithm of the impulse.
    """
    ratio = np.maximum(knock, 1e-9) / half
    shown = 1.0 / (1.0 + ratio**-sharpness)
    chance = false + (1.0 - miss - false) * shown
    return np.asarray(np.log(chance if seen else 1.0 - chance))
