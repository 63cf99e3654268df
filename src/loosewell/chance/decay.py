"""A value that falls toward an unknown rest: what a few readings of it allow.

One curve, rest × (1 + excess × exp(−t / time constant)), with every constant unknown.
Few early readings hardly fix it, so what is usual enters as a prior and is told.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

MOST_EXCESS = 1.6
"""Largest excess over the rest that is thought of: above it lies no wood. [-]"""
GRID = 181
ROUNDS = 3


@dataclass(frozen=True)
class Decay:
    """Equally likely curves, arrays of one length; time counts from the first reading."""

    rest: Array
    excess: Array
    time_constant: Array

    def at(self, time: float) -> Array:
        """Values of all curves at a time.

        Parameters
        ----------
        time : float
            Since the first reading.

        Returns
        -------
        values : ndarray, shape (curves,)
            In the unit of the readings.
        """
        return np.asarray(self.rest * (1.0 + self.excess * np.exp(-time / self.time_constant)))

    def time_of_loss(self, within: float, loss: float) -> Array:
        """When the loss over a stretch of time falls below a limit, for all curves.

        Parameters
        ----------
        within : float
            The stretch, such as a week.
        loss : float
            The limit, in the unit of the readings.

        Returns
        -------
        time : ndarray, shape (curves,)
            When such a stretch ends for the first time; ``within`` where the first one does.
        """
        start = self.rest * self.excess * -np.expm1(-within / self.time_constant)
        waited = self.time_constant * np.log(np.maximum(start / loss, 1.0))
        return np.asarray(waited + within)


def decay_posterior(
    time: Array,
    value: Array,
    error: Array,
    usual_time: float,
    usual_factor: float,
    count: int,
    seed: int,
) -> Decay:
    """Curves that agree with the readings and with what is usual, by their chance.

    Parameters
    ----------
    time : ndarray, shape (readings,)
        Not falling, the first 0.
    value, error : ndarray, shape (readings,)
        Readings and their standard errors.
    usual_time, usual_factor : float
        Prior of the time constant: its middle, and the factor that is one standard error.
    count : int
        Curves to draw.
    seed : int
        Repeats the same curves.

    Returns
    -------
    decay : Decay
        Excess even from 0 to MOST_EXCESS beforehand, rest unknown beforehand; the posterior
        is summed over a grid that is drawn in on where it lies, the rest by its exact normal.
    """
    time, value = np.asarray(time, dtype=np.float64), np.asarray(value, dtype=np.float64)
    weight = 1.0 / np.asarray(error, dtype=np.float64) ** 2
    spread = np.log(usual_factor)
    low_time, high_time = np.log(usual_time) - 4.0 * spread, np.log(usual_time) + 4.0 * spread
    # The excess on a square grid: fine near nothing, where a dry shaft lies.
    low_root, high_root = 0.0, np.sqrt(MOST_EXCESS)
    for _ in range(ROUNDS):
        log_time = _middles(low_time, high_time)
        root = _middles(low_root, high_root)
        fall = np.exp(-time[None, :] / np.exp(log_time)[:, None])
        shape = 1.0 + (root**2)[None, :, None] * fall[:, None, :]
        precision = (shape**2) @ weight
        rest = (shape @ (weight * value)) / precision
        misfit = np.sum(weight * (value - rest[..., None] * shape) ** 2, axis=-1)
        chance = -0.5 * misfit - 0.5 * np.log(precision)
        chance = chance - 0.5 * (((log_time - np.log(usual_time)) / spread) ** 2)[:, None]
        # Even in the excess is not even in its root.
        chance = chance + np.log(root)[None, :]
        chance = chance - chance.max()
        inside = np.argwhere(chance > -16.0)
        step_time = log_time[1] - log_time[0]
        step_root = root[1] - root[0]
        (first_time, first_root), (last_time, last_root) = inside.min(axis=0), inside.max(axis=0)
        bounds = (low_time, high_time, low_root, high_root)
        low_time = max(log_time[first_time] - step_time, bounds[0])
        high_time = min(log_time[last_time] + step_time, bounds[1])
        low_root = max(root[first_root] - step_root, bounds[2])
        high_root = min(root[last_root] + step_root, bounds[3])
    share = np.exp(chance).ravel()
    rng = np.random.default_rng(seed)
    cell = rng.choice(share.size, size=count, p=share / share.sum())
    i, j = np.unravel_index(cell, chance.shape)
    drawn_time = np.exp(log_time[i] + step_time * (rng.random(count) - 0.5))
    drawn_excess = np.maximum(root[j] + step_root * (rng.random(count) - 0.5), 0.0) ** 2
    # The rest follows the curve drawn, not the middle of its cell: their errors go together.
    fall = np.exp(-time[None, :] / drawn_time[:, None])
    shape = 1.0 + drawn_excess[:, None] * fall
    precision = (shape**2) @ weight
    middle = (shape @ (weight * value)) / precision
    drawn_rest = middle + rng.standard_normal(count) / np.sqrt(precision)
    return Decay(np.asarray(drawn_rest), np.asarray(drawn_excess), np.asarray(drawn_time))


def _middles(low: float, high: float) -> Array:
    edge = np.linspace(low, high, GRID + 1)
    return 0.5 * (edge[:-1] + edge[1:])


@dataclass(frozen=True)
class Fit:
    """The curve of least squares with standard errors; ``scatter`` above 1: more than the errors.

    ``rest_error`` and the other two are inf where the readings do not fix the curve.
    """

    rest: float
    rest_error: float
    excess: float
    excess_error: float
    time_constant: float
    time_constant_error: float
    scatter: float


def decay_fit(time: Array, value: Array, error: Array, usual_time: float) -> Fit | None:
    """The curve by least squares alone, without what is usual.

    Parameters
    ----------
    time, value, error : ndarray, shape (readings,)
        As in decay_posterior.
    usual_time : float
        Where the search for the time constant begins.

    Returns
    -------
    fit : Fit or None
        None for fewer than four unlike times, or when no curve is found.
    """
    if len(np.unique(time)) < 4:
        return None
    import warnings

    from scipy.optimize import OptimizeWarning, curve_fit

    def curve(at: Array, rest: float, drop: float, log_time: float) -> Array:
        return np.asarray(rest + drop * np.exp(-at / np.exp(log_time)))

    start = (value[-1], max(value[0] - value[-1], error[0]), np.log(usual_time))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OptimizeWarning)
            found, covariance = curve_fit(
                curve, time, value, start, sigma=error, absolute_sigma=True, maxfev=4000
            )
    except RuntimeError:
        return None
    rest, drop, log_time = (float(one) for one in found)
    if not (rest > 0.0 and np.isfinite(covariance).all() and abs(log_time) < 20.0):
        return None
    errors = np.sqrt(np.diag(covariance))
    excess = drop / rest
    row = np.array([-excess / rest, 1.0 / rest, 0.0])
    degrees = len(time) - 3
    misfit = float(np.sum(((value - curve(time, *found)) / error) ** 2))
    scatter = float(np.sqrt(misfit / degrees)) if degrees > 0 else 1.0
    return Fit(
        rest,
        float(errors[0]),
        excess,
        float(np.sqrt(row @ covariance @ row)),
        float(np.exp(log_time)),
        float(np.exp(log_time) * errors[2]),
        scatter,
    )
