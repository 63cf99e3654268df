"""Bench reading to bending stiffness and back, for any span, load and standard.

Spine is stored as a bending stiffness E·I. Pounds (26 in span, 2 lb) and inches
of deflection (28 in span, 1.94 lb) are two ways of printing it, no more.

The functions are plain Python on purpose: one bench reading at a time needs no
compiler, and the bench's commands start faster without one. Where an argument
may be an array, NumPy arrays go in and come out.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from loosewell.units import INCH, POUND_FORCE

WOOD_SPAN = 26.0 * INCH
"""Span of the older method used for wooden shafts. [m]"""
WOOD_LOAD = 2.0 * POUND_FORCE
"""Load of the older method used for wooden shafts. [N]"""
LATER_SPAN = 28.0 * INCH
"""Span of the later method (ASTM F2031). [m]"""
LATER_LOAD = 1.94 * POUND_FORCE
"""Load of the later method (ASTM F2031). [N]"""

Value = TypeVar("Value", float, NDArray[np.float64])

_GAUSS_POINT, _GAUSS_WEIGHT = np.polynomial.legendre.leggauss(8)


def midspan_deflection(load: float, span: float, bending_stiffness: Value) -> Value:
    """Deflection at the middle of a shaft resting on two supports.

    Parameters
    ----------
    load : float
        Force hung at mid-span. [N]
    span : float
        Distance between the supports. [m]
    bending_stiffness : float or array, any shape
        E·I, constant along the span. [N m²]

    Returns
    -------
    deflection : float or array
        Downward displacement at mid-span, shape of bending_stiffness. [m]

    Holds
    -----
    Small slopes (deflection below about span/10); no shear, which at the usual
    span of 60 to 90 diameters adds under 1 %; weight of the shaft ignored or
    zeroed on the gauge; uniform shaft.

    Source
    ------
    Euler-Bernoulli beam on simple supports, F L³ / (48 E I).
    """
    return load * span**3 / (48.0 * bending_stiffness)


def bending_stiffness_from_deflection(load: float, span: float, deflection: Value) -> Value:
    """Bending stiffness E·I of a uniform shaft from its mid-span deflection.

    Parameters
    ----------
    load : float
        Force hung at mid-span. [N]
    span : float
        Distance between the supports. [m]
    deflection : float or array, any shape
        Downward displacement at mid-span, above zero. [m]

    Returns
    -------
    bending_stiffness : float or array
        E·I; for a tapered shaft the stiffness of the uniform shaft that would
        read the same on this span. [N m²]

    Holds
    -----
    As midspan_deflection.

    Source
    ------
    Euler-Bernoulli beam on simple supports.
    """
    return load * span**3 / (48.0 * deflection)


def stiffness_error(
    span: float,
    deflection: float,
    load_relative_error: float,
    span_error: float,
    deflection_error: float,
) -> float:
    """Relative standard error of the stiffness from one bench reading.

    Parameters
    ----------
    span : float
        Distance between the supports. [m]
    deflection : float
        Deflection read. [m]
    load_relative_error : float
        Standard error of the load over the load. [1]
    span_error : float
        Standard error of the span. [m]
    deflection_error : float
        Standard error of the deflection. [m]

    Returns
    -------
    relative_error : float
        Standard error of E·I over E·I. [1]

    Holds
    -----
    Independent errors, each small against its value: the span counts three
    times because stiffness goes with its cube.

    Source
    ------
    First-order propagation through E·I = F L³ / (48 δ).
    """
    return float(
        np.sqrt(
            load_relative_error**2
            + (3.0 * span_error / span) ** 2
            + (deflection_error / deflection) ** 2
        )
    )


def wood_deflection_from_stiffness(bending_stiffness: Value) -> Value:
    """Deflection by the wooden-shaft method (26 in span, 2 lb).

    Parameters
    ----------
    bending_stiffness : float or array, any shape
        E·I, uniform. [N m²]

    Returns
    -------
    deflection : float or array
        Deflection at mid-span. [m]

    Holds
    -----
    As midspan_deflection.

    Source
    ------
    Older trade method: 26 in span, 2 lb, as restated in public texts.
    """
    return midspan_deflection(WOOD_LOAD, WOOD_SPAN, bending_stiffness)


def later_deflection_from_stiffness(bending_stiffness: Value) -> Value:
    """Deflection by the later method (28 in span, 1.94 lb).

    Parameters
    ----------
    bending_stiffness : float or array, any shape
        E·I, uniform. [N m²]

    Returns
    -------
    deflection : float or array
        Deflection at mid-span; bigger means weaker. [m]

    Holds
    -----
    As midspan_deflection.

    Source
    ------
    ASTM F2031-05, span and load as restated in public texts.
    """
    return midspan_deflection(LATER_LOAD, LATER_SPAN, bending_stiffness)


def stiffness_from_later_deflection(deflection: Value) -> Value:
    """Bending stiffness from a deflection by the later method (28 in span, 1.94 lb).

    Parameters
    ----------
    deflection : float or array, any shape
        Deflection at mid-span. [m]

    Returns
    -------
    bending_stiffness : float or array
        E·I. [N m²]

    Holds
    -----
    As midspan_deflection.

    Source
    ------
    ASTM F2031-05, span and load as restated in public texts.
    """
    return bending_stiffness_from_deflection(LATER_LOAD, LATER_SPAN, deflection)


def spine_pounds_from_stiffness(bending_stiffness: Value) -> Value:
    """Spine in pounds (26 in span, 2 lb): 26 over the deflection in inches.

    Parameters
    ----------
    bending_stiffness : float or array, any shape
        E·I, uniform. [N m²]

    Returns
    -------
    spine : float or array
        Spine number; proportional to stiffness, bigger means stiffer. [lb]

    Holds
    -----
    Uniform shaft, or the stiffness read on a 26 in span.

    Source
    ------
    Older trade method; 26 / deflection from memory, agreeing with public
    restatements (0.26 in is 100 lb, 0.87 in is 30 lb).
    """
    return 26.0 * INCH / wood_deflection_from_stiffness(bending_stiffness)


def stiffness_from_spine_pounds(spine: Value) -> Value:
    """Bending stiffness from a spine in pounds (26 in span, 2 lb).

    Parameters
    ----------
    spine : float or array, any shape
        Spine number by the wooden-shaft method, above zero. [lb]

    Returns
    -------
    bending_stiffness : float or array
        E·I. [N m²]

    Holds
    -----
    As spine_pounds_from_stiffness.

    Source
    ------
    Older trade method, as in spine_pounds_from_stiffness.
    """
    return bending_stiffness_from_deflection(WOOD_LOAD, WOOD_SPAN, 26.0 * INCH / spine)


def midspan_deflection_varying(
    load: float,
    span: float,
    station: NDArray[np.float64],
    bending_stiffness: NDArray[np.float64],
    rear_support: float | None = None,
) -> float:
    """Deflection under a load at mid-span of a shaft whose stiffness varies.

    Parameters
    ----------
    load : float
        Force hung half-way between the supports. [N]
    span : float
        Distance between the supports. [m]
    station : array (stations,)
        Positions along the shaft from the nock end, not falling; a position
        given twice is a step. [m]
    bending_stiffness : array (stations,)
        E·I at the stations; between them its fourth root runs straight (a solid
        round shaft whose diameter tapers evenly), beyond the first and last it
        stays as it is there. [N m²]
    rear_support : float or None
        Position of the support nearer the nock; None puts the middle of the
        stations half-way between the supports. [m]

    Returns
    -------
    deflection : float
        Downward displacement under the load; nan where span or a stiffness is
        not above zero, or the stations are not in order. [m]

    Holds
    -----
    As midspan_deflection, with stiffness free to vary. A shaft turned end for
    end on the same supports about its middle reads the same.

    Source
    ------
    Unit-load method: δ = ∫ M m / (E I) ds with M = F·m and m = half the distance
    to the nearer support; eight-point Gauss rule between all breaks.
    """
    station = np.asarray(station, dtype=np.float64)
    stiffness = np.asarray(bending_stiffness, dtype=np.float64)
    if not (span > 0.0 and np.all(stiffness > 0.0) and np.all(np.diff(station) >= 0.0)):
        return float("nan")
    rear = 0.5 * (station[0] + station[-1] - span) if rear_support is None else rear_support
    front = rear + span
    middle = rear + 0.5 * span
    inside = station[(station > rear) & (station < front)]
    breaks = np.unique(np.concatenate([inside, [rear, middle, front]]))
    root = stiffness**0.25
    total = 0.0
    for left, right in pairwise(breaks):
        s = 0.5 * (left + right) + 0.5 * (right - left) * _GAUSS_POINT
        # Inside one piece no station is crossed, so a step stays sharp: the pair of
        # stations is picked by the piece, not by each point.
        after = int(np.searchsorted(station, 0.5 * (left + right)))
        if after == 0:
            local = np.full_like(s, root[0])
        elif after == station.size:
            local = np.full_like(s, root[-1])
        else:
            share = (s - station[after - 1]) / (station[after] - station[after - 1])
            local = root[after - 1] + share * (root[after] - root[after - 1])
        arm = 0.5 * np.minimum(s - rear, front - s)
        total += 0.5 * (right - left) * float(np.sum(_GAUSS_WEIGHT * arm**2 / local**4))
    return load * total
