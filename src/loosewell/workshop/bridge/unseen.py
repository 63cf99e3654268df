"""What a reading at the middle leaves unknown of a grown shaft, as errors the match can use."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.records import Shaft

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Growth:
    """How far grown wood strays from its diameters, as standard errors of ln E·I."""

    gradient: float
    """From end to end: young wood, a thicker pith or a thinner wall toward one end. [1]"""
    local: float
    """From place to place: knots, nodes, a crook's cross grain. [1]"""
    local_length: float
    """Over which such places forget each other. [m]"""
    density_gradient: float
    """Of the mass per length, from end to end, beyond the diameters. [1]"""


GROWTH = {
    "shoot": Growth(0.15, 0.10, 0.075, 0.06),
    "cane": Growth(0.20, 0.12, 0.10, 0.10),
}
"""By kind of shaft; others are sawn or drawn, and taken as alike along their length. Modelling
choices, no source: no measurement of stiffness along single shoots was found."""
UNKNOWN_TAPER = 0.60
"""Of a grown stem without two stations: 4 times 15 % of diameter, end to end. Modelling choice."""
UNKNOWN_BELLY = 0.10
"""Of one measured at two stations only: it may be thicker between. Modelling choice, no source."""
CALIPER_IN = 0.004
"""Error of a diameter of a shoot, bark off. [in] Common practice, no source."""
SAID_GRADIENT = {
    "shoot": "wood that grows stiffer or softer from one end to the other, pith included",
    "cane": "a wall that grows thicker or thinner from one end to the other",
}
SAID_LOCAL = {"shoot": "knots and crooks", "cane": "nodes and kinks"}


@dataclass(frozen=True)
class Unseen:
    """What no reading showed: standard errors of ln E·I, and where they come from."""

    level: float
    slope: float
    place: Array
    reasons: tuple[tuple[float, float, str], ...]
    """Of each cause: its part of the level's error, of the slope's, and its words."""


def unseen(shaft: Shaft, edge: Array, stiffness: Array, span: float) -> Unseen | None:
    """What a reading at the middle of a grown shaft leaves unknown; None for other kinds.

    Parameters
    ----------
    shaft : Shaft
        Its kind and its stations.
    edge : ndarray, shape (pieces + 1,)
        Ends of the pieces. [m]
    stiffness : ndarray, shape (pieces,)
        E·I by the diameters. [N m²]
    span : float
        Of the reading, the shaft lying with its middle over the middle. [m]

    Returns
    -------
    unseen : Unseen or None
        Causes add as squares, so the parts of the reasons do too.
    """
    growth = GROWTH.get(shaft.kind or "")
    if growth is None:
        return None
    from loosewell.physics import shoot

    length = float(edge[-1] - edge[0])
    middle = 0.5 * (edge[:-1] + edge[1:])
    read = shoot.reading_shares(edge, stiffness, min(span, length))
    shot = shoot.bending_shares(edge)
    stations = sorted(shaft.stations, key=lambda one: one.station_in)
    at = np.array([one.station_in for one in stations]) * units.INCH
    thickness = np.array([4.0 * CALIPER_IN / one.mean_in() for one in stations])
    none = np.zeros(0)
    kind = shaft.kind or ""
    causes = [
        (growth.gradient, 0.0, none, none, SAID_GRADIENT[kind]),
        (0.0, growth.local, none, none, SAID_LOCAL[kind]),
    ]
    if len(stations) < 2:
        causes.append((UNKNOWN_TAPER, 0.0, none, none, "a taper that was not measured"))
    elif len(stations) == 2:
        words = "two stations only: it may be thicker or thinner between them"
        causes.append((0.0, UNKNOWN_BELLY, none, none, words))
    if len(stations) >= 2:
        words = f"diameters known to {CALIPER_IN:g} in"
        causes.append((0.0, 0.0, at, thickness, words))
    reasons = []
    place = np.zeros(len(middle))
    for gradient, local, where, error, words in causes:
        spread = growth.local_length if local == growth.local else 0.25 * length
        covariance = shoot.stiffness_covariance(
            middle, length, gradient, local, spread, where, error
        )
        level, slope, own = shoot.left_unread(read, shot, middle, length, covariance)
        reasons.append((level, slope, words))
        place = np.hypot(place, own)
    return Unseen(
        math.sqrt(sum(one[0] ** 2 for one in reasons)),
        math.sqrt(sum(one[1] ** 2 for one in reasons)),
        place,
        tuple(reasons),
    )


def span_correction(shaft: Shaft, middle: Array, stiffness: Array, standard_span: float) -> float:
    """E·I that the standard span would read over what the spans used read, by the diameters.

    Parameters
    ----------
    shaft : Shaft
        Its readings' spans.
    middle, stiffness : ndarray, shape (pieces,)
        Places [m] and E·I [N m²] by the diameters.
    standard_span : float
        The span for which a stiffness is told. [m]

    Returns
    -------
    factor : float
        1 for a parallel shaft, and for readings on the standard span. [1]
    """
    from loosewell.physics import spine

    def told(span: float) -> float:
        sinks = spine.midspan_deflection_varying(1.0, span, middle, stiffness)
        return float(spine.bending_stiffness_from_deflection(1.0, span, sinks))

    spans = [one.span_in * units.INCH for one in shaft.bench_readings]
    if not spans:
        return 1.0
    read = float(np.mean([math.log(told(span)) for span in spans]))
    return told(standard_span) / math.exp(read)


def oval(shaft: Shaft) -> tuple[float, float]:
    """Weak plane over stiff plane and stiff plane over the mean, by both diameters of a stem.

    Only for grown stems: what makes a turned shaft unlike its sides is its grain.
    """
    if shaft.kind not in GROWTH:
        return 1.0, 1.0
    ratios = [
        math.log(one.across_in / one.diameter_in)
        for one in shaft.stations
        if one.across_in is not None
    ]
    if not ratios:
        return 1.0, 1.0
    # In the plane of the diameter a, E·I goes with a³b: the planes differ as (b/a)².
    weak = math.exp(-2.0 * abs(sum(ratios) / len(ratios)))
    return weak, 2.0 / (1.0 + weak)


def unread_side(shaft: Shaft) -> float:
    """Error of ln E·I of an oval stem that was not bent in both planes: which one was read? [1]"""
    weak, _ = oval(shaft)
    turns = [one.rotation_deg for one in shaft.bench_readings if one.rotation_deg is not None]
    both = any(abs((a - b) % 180.0 - 90.0) <= 20.0 for a in turns for b in turns)
    # At a chance turn E·I is its mean and the swing times the cosine of twice the turn.
    return 0.0 if both else (1.0 - weak) / (1.0 + weak) / math.sqrt(2.0)
