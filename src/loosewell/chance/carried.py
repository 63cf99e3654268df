"""What was learned of some inputs, carried on as a Gaussian factor on what is assumed of them.

A factor multiplies the assumed prior; factors of separate outings multiply one another. It is
told in the coordinates of the assumed inputs: zero is the assumed middle, one the assumed spread.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loosewell.chance.priors import Uncertain

Array = NDArray[np.float64]

SURE = 1e9
"""A variance that leaves nothing of what was known. [-]"""


@dataclass(frozen=True)
class Carried:
    """A Gaussian factor: exp(-u·precision·u / 2 + pull·u) of the inputs' coordinates u."""

    inputs: tuple[Uncertain, ...]
    precision: Array
    pull: Array

    @property
    def keys(self) -> list[str]:
        """Keys of its inputs, in order."""
        return [one.key for one in self.inputs]

    def plain(self) -> dict[str, Any]:
        """Ready for JSON; ``from_plain`` gives the same factor back."""
        return {
            "keys": self.keys,
            "middle": [one.middle for one in self.inputs],
            "spread": [one.spread for one in self.inputs],
            "kind": [one.kind for one in self.inputs],
            "precision": self.precision.tolist(),
            "pull": self.pull.tolist(),
        }


def from_plain(told: dict[str, Any]) -> Carried:
    """The factor that ``plain`` told.

    Parameters
    ----------
    told : dict
        As written. [-]

    Returns
    -------
    factor : Carried
        The same. [-]
    """
    rows = zip(told["keys"], told["middle"], told["spread"], told["kind"], strict=True)
    inputs = tuple(Uncertain(*row) for row in rows)
    n = len(inputs)
    precision = np.array(told["precision"], dtype=np.float64).reshape(n, n)
    return Carried(inputs, precision, np.array(told["pull"], dtype=np.float64))


def from_moments(mean: Array, spread: Array, before: Array, size: float) -> tuple[Array, Array]:
    """What evidence added, from the mean and covariance of weighted samples of a posterior.

    Parameters
    ----------
    mean : ndarray, shape (n,)
        Of the posterior. [-]
    spread, before : ndarray, shape (n, n)
        Covariance of the posterior, and of the prior whose mean is zero. [-]
    size : float
        Effective number of samples behind the posterior's moments. [-]

    Returns
    -------
    precision : ndarray, shape (n, n)
        Of the factor; nowhere below zero. [-]
    pull : ndarray, shape (n,)
        [-]

    Holds
    -----
    Only directions narrower than so few samples of the prior itself would seem are taken; what
    is left out stays as it was, so that noise is never learned.

    Source
    ------
    Least eigenvalue of a sample covariance: Marchenko and Pastur 1967, Math. USSR Sb. 1 (from
    memory); mean of an inverse Wishart matrix for the correction of the precision.
    """
    from scipy.linalg import solve_triangular

    n = len(mean)
    part = n / size
    if part >= 0.5:
        return np.zeros((n, n)), np.zeros(n)
    root = np.linalg.cholesky(before)
    half = solve_triangular(root, spread, lower=True)
    inner = solve_triangular(root, half.T, lower=True)
    value, vector = np.linalg.eigh(0.5 * (inner + inner.T))
    along = vector.T @ solve_triangular(root, mean, lower=True)
    own = np.maximum(value, 1e-6) / (1.0 - part)
    taken = (value < (1.0 - math.sqrt(part)) ** 2) & (own < 1.0)
    gain = np.where(taken, 1.0 / own - 1.0, 0.0)
    drawn = np.where(taken, along / own, 0.0)
    turn = solve_triangular(root, np.eye(n), lower=True).T @ vector
    return (turn * gain) @ turn.T, turn @ drawn


def place(one: Uncertain) -> float:
    """Where the middle of an input lies on the line its spread is told on.

    Parameters
    ----------
    one : Uncertain
        [any]

    Returns
    -------
    place : float
        The middle; of a log-normal input the logarithm of its size. [any]
    """
    return math.log(abs(one.middle)) if one.kind == "log" else one.middle


def _alike(one: Uncertain, other: Uncertain) -> bool:
    """Whether the coordinates of two inputs differ by a straight line."""
    if one.kind != other.kind or one.kind == "even" or min(one.spread, other.spread) <= 0.0:
        return False
    return one.kind != "log" or one.middle * other.middle > 0.0


def without(factor: Carried, keys: Collection[str]) -> Carried:
    """The factor on the other inputs, what is assumed of these integrated out.

    Parameters
    ----------
    factor : Carried
        [-]
    keys : collection of str
        Those that are left out; unknown ones are passed over. [-]

    Returns
    -------
    factor : Carried
        Exact for normal inputs. [-]

    Source
    ------
    Marginal of a Gaussian in its information form (Schur complement), any textbook.
    """
    gone = np.array([one.key in keys for one in factor.inputs], dtype=bool)
    if not gone.any():
        return factor
    stay = ~gone
    across = factor.precision[np.ix_(stay, gone)]
    own = factor.precision[np.ix_(gone, gone)] + np.eye(int(gone.sum()))
    back = np.linalg.solve(own, np.column_stack((across.T, factor.pull[gone])))
    precision = factor.precision[np.ix_(stay, stay)] - across @ back[:, :-1]
    return Carried(
        tuple(one for one, out in zip(factor.inputs, gone, strict=True) if not out),
        0.5 * (precision + precision.T),
        factor.pull[stay] - across @ back[:, -1],
    )


def loosened(factor: Carried, keys: Collection[str], variance: float) -> Carried:
    """The factor after some inputs may have changed by an unknown amount.

    Parameters
    ----------
    factor : Carried
        On the inputs as they were. [-]
    keys : collection of str
        Those that may have changed. [-]
    variance : float
        Of the change, over the square of the assumed spread; SURE leaves nothing known. [-]

    Returns
    -------
    factor : Carried
        On the inputs as they are. [-]

    Source
    ------
    Prediction step of a Kalman filter in information form, any textbook.
    """
    some = np.array([one.key in keys for one in factor.inputs], dtype=bool)
    if not some.any() or variance <= 0.0:
        return factor
    across = factor.precision[:, some]
    own = factor.precision[np.ix_(some, some)] + np.eye(int(some.sum())) / variance
    back = np.linalg.solve(own, np.column_stack((across.T, factor.pull[some])))
    precision = factor.precision - across @ back[:, :-1]
    return Carried(
        factor.inputs, 0.5 * (precision + precision.T), factor.pull - across @ back[:, -1]
    )


def moved(factor: Carried, inputs: Sequence[Uncertain]) -> Carried:
    """The same factor in the coordinates of inputs as they are assumed now.

    Parameters
    ----------
    factor : Carried
        [-]
    inputs : sequence of Uncertain
        Assumed now; what they lack, or tell in another way, is integrated out. [any]

    Returns
    -------
    factor : Carried
        On those inputs that both have, in the order of ``inputs``. [-]
    """
    now = {one.key: one for one in inputs}
    lost = [one.key for one in factor.inputs if one.key not in now or not _alike(one, now[one.key])]
    left = without(factor, lost)
    scale = np.array([now[one.key].spread / one.spread for one in left.inputs])
    shift = np.array([(place(now[one.key]) - place(one)) / one.spread for one in left.inputs])
    precision = scale[:, None] * left.precision * scale
    pull = scale * (left.pull - left.precision @ shift)
    keys = [one.key for one in left.inputs]
    order = [keys.index(one.key) for one in inputs if one.key in keys]
    fresh = tuple(now[keys[i]] for i in order)
    return Carried(fresh, precision[np.ix_(order, order)], pull[order])


def together(factors: Sequence[Carried]) -> Carried:
    """Several factors as one, in the coordinates of the last that tells an input.

    Parameters
    ----------
    factors : sequence of Carried
        At least one; of separate evidence. [-]

    Returns
    -------
    factor : Carried
        Their product. [-]
    """
    every: dict[str, Uncertain] = {}
    for one in factors:
        every.update({each.key: each for each in one.inputs})
    inputs = tuple(every.values())
    places = {key: i for i, key in enumerate(every)}
    precision, pull = np.zeros((len(inputs), len(inputs))), np.zeros(len(inputs))
    for one in factors:
        own = moved(one, inputs)
        at = [places[key] for key in own.keys]
        precision[np.ix_(at, at)] += own.precision
        pull[at] += own.pull
    return Carried(inputs, precision, pull)


@dataclass(frozen=True)
class Start:
    """Inputs after what was learned: each with its middle and spread, and what ties them."""

    inputs: tuple[Uncertain, ...]
    """All of them, in the order given."""
    places: tuple[int, ...]
    """Which of them were learned of."""
    root: Array
    """Lower triangle: independent standard normal numbers times its transpose are theirs."""

    def turned(self, z: Array) -> Array:
        """Standard normal numbers with the ties put in, shape (n, at least all inputs)."""
        found = z.copy()
        at = list(self.places)
        found[:, at] = z[:, at] @ self.root.T
        return found


def start(inputs: Sequence[Uncertain], factor: Carried) -> Start:
    """What is assumed of inputs and what was learned of them, together.

    Parameters
    ----------
    inputs : sequence of Uncertain
        As assumed. [any]
    factor : Carried
        What was learned. [-]

    Returns
    -------
    start : Start
        The posterior of normal statements, exact. [any]
    """
    own = moved(factor, inputs)
    if not own.inputs:
        return Start(tuple(inputs), (), np.zeros((0, 0)))
    spread = np.linalg.inv(np.eye(len(own.inputs)) + own.precision)
    spread = 0.5 * (spread + spread.T)
    middle = spread @ own.pull
    width = np.sqrt(np.diag(spread))
    found = list(inputs)
    keys = [one.key for one in inputs]
    places = [keys.index(key) for key in own.keys]
    for i, at in enumerate(places):
        one = found[at]
        off = one.spread * float(middle[i])
        value = one.middle * math.exp(off) if one.kind == "log" else one.middle + off
        found[at] = replace(one, middle=value, spread=one.spread * float(width[i]))
    root = np.linalg.cholesky(spread / np.outer(width, width))
    return Start(tuple(found), tuple(places), root)
