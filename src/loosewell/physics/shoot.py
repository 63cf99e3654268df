"""What one bend reading at the middle cannot show of a stiffness that varies along a shaft.

A reading weighs each place by how much of the deflection it causes; a launch weighs
the places otherwise. What differs is left unread, and is told here as errors. Plain
Python and NumPy: once a shaft is often enough.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

FIRST_ROOT = 4.730040744862704
"""First root of cosh x cos x = 1: the first bending of a free uniform rod. [1]"""
_GAUSS_POINT, _GAUSS_WEIGHT = np.polynomial.legendre.leggauss(8)


def reading_shares(
    edge: Array, bending_stiffness: Array, span: float, rear_support: float | None = None
) -> Array:
    """Share of the mid-span deflection that each piece of a shaft causes.

    Parameters
    ----------
    edge : array (pieces + 1,)
        Ends of the pieces from the nock end, rising. [m]
    bending_stiffness : array (pieces,)
        E·I of each piece. [N m²]
    span : float
        Distance between the supports. [m]
    rear_support : float or None
        Position of the support nearer the nock; None centres the shaft. [m]

    Returns
    -------
    share : array (pieces,)
        Sums to 1; zero beyond the supports. All nan when the supports do not lie
        under the shaft. [1]

    Holds
    -----
    Small slopes; load half-way between the supports.

    Source
    ------
    Unit-load method, ∫ m² / (E I) ds with m half the distance to the nearer support,
    integrated exactly over each piece.
    """
    edge = np.asarray(edge, dtype=np.float64)
    rear = 0.5 * (edge[0] + edge[-1] - span) if rear_support is None else rear_support
    hair = 1e-9
    if not (span > 0.0 and rear >= edge[0] - hair and rear + span <= edge[-1] + hair):
        return np.full(edge.size - 1, np.nan)
    along = np.clip(edge - rear, 0.0, span)
    half = 0.5 * span
    gathered = np.where(along <= half, along**3 / 12.0, half**3 / 6.0 - (span - along) ** 3 / 12.0)
    flexibility = np.diff(gathered) / bending_stiffness
    return np.asarray(flexibility / np.sum(flexibility))


def bending_shares(edge: Array) -> Array:
    """Share of the bending energy of a free rod's first bending that lies in each piece.

    Parameters
    ----------
    edge : array (pieces + 1,)
        Ends of the pieces from the nock end, rising. [m]

    Returns
    -------
    share : array (pieces,)
        Sums to 1. [1]

    Holds
    -----
    Uniform free rod. An arrow's point moves its bending backward, by about a tenth of
    the length at usual points; that the plain shape stands for it is a modelling choice.

    Source
    ------
    Curvature of the free-free mode, cosh κ − cos κ − σ (sinh κ − sin κ) with
    κ = β s (Rayleigh 1894, Theory of Sound, chapter 8); eight-point Gauss rule.
    """
    edge = np.asarray(edge, dtype=np.float64)
    root = FIRST_ROOT
    ratio = (math.cosh(root) - math.cos(root)) / (math.sinh(root) - math.sin(root))
    left, right = edge[:-1, None], edge[1:, None]
    place = 0.5 * (left + right) + 0.5 * (right - left) * _GAUSS_POINT
    k = root * (place - edge[0]) / (edge[-1] - edge[0])
    # The curvature of a free rod has the shape of a clamped rod's deflection.
    curvature = np.cosh(k) - np.cos(k) - ratio * (np.sinh(k) - np.sin(k))
    energy = np.sum(curvature**2 * _GAUSS_WEIGHT, axis=1) * np.diff(edge)
    return np.asarray(energy / np.sum(energy))


def stiffness_covariance(
    middle: Array,
    length: float,
    gradient: float,
    local: float,
    local_length: float,
    station: Array,
    station_error: Array,
) -> Array:
    """Covariance of the unknown part of ln E·I between places along a shaft.

    Parameters
    ----------
    middle : array (pieces,)
        Where the pieces lie from the nock end. [m]
    length : float
        Length of the shaft. [m]
    gradient : float
        Standard error of ln E·I from one end to the other, beyond what the diameters
        say. [1]
    local : float
        Standard deviation of ln E·I from place to place: knots, nodes, pith. [1]
    local_length : float
        Distance over which such places forget each other. [m]
    station : array (stations,)
        Where diameters were measured, rising. [m]
    station_error : array (stations,)
        Standard error of ln E·I that each diameter's error makes, four times that of
        its logarithm for a solid shaft. [1]

    Returns
    -------
    covariance : array (pieces, pieces)
        Of ln E·I. [1]

    Holds
    -----
    Errors small beside 1; between stations they run straight, beyond the outermost
    they stay.

    Source
    ------
    Derived in docs/physics: independent causes add; exponential correlation of the
    local part is a modelling choice.
    """
    middle = np.asarray(middle, dtype=np.float64)
    lean = middle / length - 0.5
    total = gradient**2 * np.outer(lean, lean)
    apart = np.abs(middle[:, None] - middle[None, :])
    total = total + local**2 * np.exp(-apart / local_length)
    if len(station) > 0:
        hats = np.column_stack([np.interp(middle, station, row) for row in np.eye(len(station))])
        total = total + (hats * np.asarray(station_error) ** 2) @ hats.T
    return np.asarray(total)


def left_unread(
    read: Array, shot: Array, middle: Array, length: float, covariance: Array
) -> tuple[float, float, Array]:
    """Errors of level, slope and place of a stiffness whose mid-span reading is known.

    Parameters
    ----------
    read : array (pieces,)
        Share of the read deflection each piece causes; sums to 1. [1]
    shot : array (pieces,)
        Share of the bending each piece takes in a launch; sums to 1. [1]
    middle : array (pieces,)
        Where the pieces lie from the nock end. [m]
    length : float
        Length of the shaft. [m]
    covariance : array (pieces, pieces)
        Of ln E·I before the reading. [1]

    Returns
    -------
    level : float
        Standard error of ln E·I as the launch takes it, once the slope below and the
        reading's own error are set aside. [1]
    slope : float
        Standard error of ln E·I from one end to the other. [1]
    place : array (pieces,)
        Standard error of ln E·I of each piece, without the reading's own error. [1]

    Holds
    -----
    Small errors, for the reading weighs the logarithms linearly. Level and slope are
    handed on as independent.

    Source
    ------
    Derived in docs/physics: the reading takes the weighted mean of ln E·I away; least
    squares with the launch's weights splits the rest in level and slope.
    """
    pieces = len(middle)
    lean = np.asarray(middle) / length
    left = np.eye(pieces) - np.outer(np.ones(pieces), read)
    centre_shot, centre_read = float(shot @ lean), float(read @ lean)
    spread = float(shot @ (lean - centre_shot) ** 2)
    slope_row = (shot * (lean - centre_shot) / spread) @ left
    level_row = shot @ left - (centre_shot - centre_read) * slope_row
    after = left @ covariance @ left.T
    level = math.sqrt(max(float(level_row @ covariance @ level_row), 0.0))
    slope = math.sqrt(max(float(slope_row @ covariance @ slope_row), 0.0))
    return level, slope, np.sqrt(np.maximum(np.diag(after), 0.0))
