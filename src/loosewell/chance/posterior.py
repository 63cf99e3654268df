"""From samples of what may be to what is likely after something was seen.

Worlds are drawn from a prior, or from a proposal made from an earlier round, and
weighted by how well they explain the evidence. The weights are smoothed in their
tail and judged by the shape of that tail: a published method with a diagnostic of
its own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

TRUSTED_K = 0.7
"""Tail shape up to which smoothed weights may be trusted (Vehtari et al. 2024, section 2)."""


@dataclass(frozen=True)
class Weighed:
    """Smoothed weights that sum to 1, with their diagnostic.

    ``tail_shape`` is the shape k of the generalized Pareto tail of the raw weights, ``size`` the
    effective number of samples of the smoothed ones.
    """

    weight: Array
    tail_shape: float
    size: float

    @property
    def trusted(self) -> bool:
        """Whether the tail lets the weights be used."""
        return self.tail_shape <= TRUSTED_K


def effective_size(weight: Array) -> float:
    """Effective number of samples of normalised weights.

    Parameters
    ----------
    weight : ndarray, shape (n,)
        Not negative, sum 1. [-]

    Returns
    -------
    size : float
        One over the sum of squares. [-]

    Source
    ------
    Kish 1965, Survey Sampling (from memory).
    """
    return float(1.0 / np.sum(weight * weight))


def smoothed(log_weight: Array) -> Weighed:
    """Importance weights with their largest ones smoothed by a fitted Pareto tail.

    Parameters
    ----------
    log_weight : ndarray, shape (n,)
        Logarithms of the raw weights, any constant added; minus infinity for the impossible. [-]

    Returns
    -------
    weighed : Weighed
        Weights in the order given, and the tail's shape: infinite when fewer than five samples
        have any weight. [-]

    Raises
    ------
    ValueError
        When no sample has any weight.

    Source
    ------
    Vehtari, Simpson, Gelman, Yao and Gabry 2024, Pareto Smoothed Importance Sampling, J. Mach.
    Learn. Res. 25, algorithm 1; tail of min(n/5, 3 sqrt(n)) samples; scipy's genpareto fit.
    """
    top = float(np.max(log_weight))
    if not math.isfinite(top):
        raise ValueError("no sample explains the evidence at all")
    weight = np.exp(log_weight - top)
    count = len(weight)
    tail = int(min(0.2 * count, 3.0 * math.sqrt(count)))
    shape = math.inf
    order = np.argsort(weight, kind="stable")
    alive = int(np.sum(weight > 0.0))
    if tail >= 5 and alive > tail:
        rows = order[-tail:]
        below = float(weight[order[-tail - 1]])
        excess = weight[rows] - below
        if excess[-1] <= 1e-12 * weight[order[-1]]:
            shape = -math.inf  # all alike: nothing sticks out
        else:
            shape, scale = _pareto_tail(excess)
            if math.isfinite(shape):
                from scipy.stats import genpareto

                middle = (np.arange(tail) + 0.5) / tail
                fitted = below + genpareto.ppf(middle, shape, scale=scale)
                weight[rows] = np.minimum(fitted, 1.0)
    weight = weight / weight.sum()
    return Weighed(weight, shape, effective_size(weight))


def _pareto_tail(excess: Array) -> tuple[float, float]:
    """Shape and scale of a generalized Pareto distribution over rising excesses.

    The estimate of Zhang and Stephens 2009, Technometrics 51, as Vehtari et al. 2024 use it,
    their weak prior toward 0.5 included.
    """
    n = len(excess)
    grid = 30 + int(math.sqrt(n))
    quarter = excess[max(int(n / 4 + 0.5) - 1, 0)]
    quarter = max(float(quarter), 1e-300)
    theta = 1.0 / excess[-1] + (1.0 - np.sqrt(grid / (np.arange(1, grid + 1) - 0.5))) / (
        3.0 * quarter
    )
    inside = np.log1p(-theta[:, None] * excess[None, :])
    k = inside.mean(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        profile = n * (np.log(-theta / k) - k - 1.0)
    profile = np.where(np.isfinite(profile), profile, -np.inf)
    chance = np.exp(profile - profile.max())
    chance /= chance.sum()
    best = float(np.sum(theta * chance))
    shape = float(np.log1p(-best * excess).mean())
    scale = -shape / best
    shape = (n * shape + 10.0 * 0.5) / (n + 10.0)
    return shape, float(scale)


def resampled(weight: Array, count: int, rng: np.random.Generator) -> NDArray[np.int64]:
    """Places of samples drawn with their weights, as evenly as can be.

    Parameters
    ----------
    weight : ndarray, shape (n,)
        Sum 1. [-]
    count : int
        How many. [-]
    rng : numpy.random.Generator
        One number is taken. [-]

    Returns
    -------
    places : ndarray of int64, shape (count,)
        Rising. [-]

    Source
    ------
    Systematic resampling: Kitagawa 1996, J. Comput. Graph. Stat. 5 (from memory).
    """
    marks = (rng.random() + np.arange(count)) / count
    return np.minimum(np.searchsorted(np.cumsum(weight), marks), len(weight) - 1).astype(np.int64)


def quantiles(values: Array, weight: Array, chances: tuple[float, ...]) -> Array:
    """Weighted quantiles.

    Parameters
    ----------
    values, weight : ndarray, shape (n,)
        Samples and their weights, sum 1. [any], [-]
    chances : tuple of float
        Cumulative chances. [-]

    Returns
    -------
    found : ndarray, shape (len(chances),)
        In the unit of the values. [any]
    """
    order = np.argsort(values, kind="stable")
    middle = np.cumsum(weight[order]) - 0.5 * weight[order]
    return np.asarray(np.interp(chances, middle, values[order]))


@dataclass(frozen=True)
class Bell:
    """A normal density by its mean and the lower root of its covariance."""

    centre: Array
    root: Array

    def log_density(self, z: Array) -> Array:
        """Logarithm of the density of each row."""
        from scipy.linalg import solve_triangular

        inner = solve_triangular(self.root, (z - self.centre).T, lower=True).T
        return np.asarray(log_normal(inner) - float(np.sum(np.log(np.diag(self.root)))))


@dataclass(frozen=True)
class Proposal:
    """Where to draw the next round: the prior, and bells around what the last round liked.

    In the space of standard normal numbers, one for each unknown. ``shares`` are the parts drawn
    from the bells; the rest comes from the prior, so that no weight can grow without bound.
    """

    bells: tuple[Bell, ...]
    shares: tuple[float, ...]

    def drawn(self, normal: Array, uniform: Array) -> Array:
        """Samples from standard normal ones, shape (n, d), and uniform ones, shape (n,)."""
        found = normal.copy()
        low = 0.0
        for bell, share in zip(self.bells, self.shares, strict=True):
            here = (uniform >= low) & (uniform < low + share)
            found[here] = bell.centre + normal[here] @ bell.root.T
            low += share
        return found

    def log_density(self, z: Array) -> Array:
        """Logarithm of the density, shape (n,)."""
        total = log_normal(z) + math.log(max(1.0 - sum(self.shares), 1e-12))
        for bell, share in zip(self.bells, self.shares, strict=True):
            total = np.logaddexp(total, math.log(share) + bell.log_density(z))
        return np.asarray(total)


def log_normal(z: Array) -> Array:
    """Logarithm of the standard normal density of each row.

    Parameters
    ----------
    z : ndarray, shape (n, d)
        [-]

    Returns
    -------
    density : ndarray, shape (n,)
        [-]
    """
    return np.asarray(-0.5 * np.sum(z * z, axis=1) - 0.5 * z.shape[1] * math.log(2.0 * math.pi))


def _widened(spread: Array, wider: float) -> Array:
    """Root of a covariance widened where something was learned, never beyond the prior there.

    Widening all of many directions costs most of the samples; where nothing was learned the
    covariance is the prior's already and needs none.
    """
    value, axis = np.linalg.eigh(0.5 * (spread + spread.T))
    value = np.maximum(value, 1e-6)
    value = np.minimum(wider * wider * value, np.maximum(value, 1.0))
    return np.asarray(np.linalg.cholesky((axis * value) @ axis.T + 1e-9 * np.eye(len(value))))


def moment_bell(
    z: Array, weight: Array, wider: float = 1.15, toward: tuple[Array, Array] | None = None
) -> Bell:
    """A bell from the mean and covariance of weighted samples.

    Parameters
    ----------
    z : ndarray, shape (n, d)
        Samples in standard normal space. [-]
    weight : ndarray, shape (n,)
        Sum 1. [-]
    wider : float
        Factor on the bell's width where something was learned. [-]
    toward : (ndarray, ndarray) or None
        Mean and covariance that few samples are drawn to; the prior's if None. [-]

    Returns
    -------
    bell : Bell
        Drawn to ``toward`` the more, the fewer samples carry it.

    Source
    ------
    Adaptive importance sampling: Cornuet, Marin, Mira and Robert 2012, Scand. J. Stat. 39. The
    shrinkage is a modelling choice.
    """
    size, d = effective_size(weight), z.shape[1]
    mean, other = (np.zeros(d), np.eye(d)) if toward is None else toward
    trust = size / (size + d)
    own = weight @ z
    away = z - own
    spread = trust * (away * weight[:, None]).T @ away + (1.0 - trust) * other
    return Bell(trust * own + (1.0 - trust) * mean, _widened(spread, wider))


def straight_line(z: Array, said: Array, seen: Array, error: Array) -> tuple[Array, Array]:
    """Mean and covariance of the posterior from a straight-line fit of what worlds say.

    Parameters
    ----------
    z : ndarray, shape (n, d)
        Unknowns of worlds near where the lines are wanted; the prior is standard normal. [-]
    said : ndarray, shape (n, m)
        What each world says of m things. [any]
    seen : ndarray, shape (m,)
        What was seen of them. [any]
    error : ndarray, shape (m, m)
        Covariance of what was seen about what the world says. [any squared]

    Returns
    -------
    mean : ndarray, shape (d,)
        [-]
    covariance : ndarray, shape (d, d)
        The exact posterior if the worlds spoke in straight lines; what the lines miss is added
        to the error. [-]

    Source
    ------
    Linear Bayesian update on a sample: the analysis step of the ensemble Kalman filter, Evensen
    1994, J. Geophys. Res. 99; used here to propose only, the weights correct it.
    """
    n, d = z.shape
    about = z - z.mean(axis=0)
    # A little ridge keeps few samples from bending the lines, and does nothing to many.
    gram = about.T @ about + min(0.02 * n, float(d)) * np.eye(d)
    slope = np.linalg.solve(gram, about.T @ (said - said.mean(axis=0)))
    middle = said.mean(axis=0) - z.mean(axis=0) @ slope
    rest = said - middle - z @ slope
    noise = error + rest.T @ rest / n
    inner = slope.T @ slope + noise
    gain = np.linalg.solve(inner, slope.T).T
    spread = np.eye(d) - gain @ slope.T
    return gain @ (seen - middle), 0.5 * (spread + spread.T)


def straight_bell(z: Array, said: Array, seen: Array, error: Array, wider: float = 1.15) -> Bell:
    """The bell of straight_line, widened where something was learned.

    Parameters
    ----------
    z, said, seen, error : ndarray
        As in straight_line. [any]
    wider : float
        Factor on its width there. [-]

    Returns
    -------
    bell : Bell
        [-]
    """
    mean, spread = straight_line(z, said, seen, error)
    return Bell(mean, _widened(spread, wider))
