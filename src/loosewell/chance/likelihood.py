"""How likely what was seen is in a world where the engine says what should come.

Every kind of evidence has its own error, and a part for the engine's own. A wrong
model then widens an answer instead of bending it.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def scatter_log_density(count: Array, square: Array, shot: Array) -> Array:
    """Logarithm of the chance of how groups scatter about their own means.

    Parameters
    ----------
    count : ndarray, shape (groups,)
        Shots in each group, at least 1. [-]
    square : ndarray, shape (groups,)
        Sum of squares of its shots about their mean. [any squared]
    shot : ndarray, shape (..., groups)
        Standard error of one shot, the reading's own included. [any]

    Returns
    -------
    chance : ndarray, shape (...)
        Logarithm of the density. [-]

    Holds
    -----
    Normal shots. Together with means_log_density, whose covariance holds shot²/count, it is the
    density of all shots.

    Source
    ------
    Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., section 3.2 (equations rederived in
    docs/physics/inference.md).
    """
    variance = shot * shot
    inside = square / variance + (count - 1.0) * np.log(2.0 * math.pi * variance) + np.log(count)
    return np.asarray(-0.5 * np.sum(inside, axis=-1))


def means_log_density(off: Array, covariance: Array) -> Array:
    """Logarithm of the chance of how far the means of groups lie from where a world puts them.

    Parameters
    ----------
    off : ndarray, shape (worlds, groups)
        Mean seen less mean expected. [any]
    covariance : ndarray, shape (groups, groups)
        Of the means about the world's: scatter of the shots over their number, the common offset
        of the aim in every place, and the engine's own error. [any squared]

    Returns
    -------
    chance : ndarray, shape (worlds,)
        Logarithm of the density. [-]

    Holds
    -----
    Everything that enters a mean in a straight line and is normal is integrated out exactly by
    standing in the covariance.

    Source
    ------
    Normal linear model: Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., section 14.7.
    """
    root = np.linalg.cholesky(covariance)
    inner = np.linalg.inv(root) @ off.T  # a few groups, thousands of worlds
    log_det = 2.0 * float(np.sum(np.log(np.diag(root))))
    return np.asarray(
        -0.5 * np.sum(inner * inner, axis=0)
        - 0.5 * (log_det + len(covariance) * math.log(2.0 * math.pi))
    )


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
