"""What a bending jig leaves out, and what many readings of one shaft say together.

A jig is two supports, something hung half-way between them, and a way to see how
far the shaft sinks. The plain formula F L³ / (48 E I) leaves out the slope at the
supports, the width of the supports, shear, and the shaft's own weight; each has
its size here. Plain Python and NumPy, as in spine.py.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

WOOD_MODULUS_RATIO = 16.0
"""Young's modulus along the grain over the shear modulus, of shaft woods. [1]
What the Wood Handbook's 10 % of shear at a span of 14 depths comes from (FPL-GTR-282, Table
5-3b, footnote c: 1.2 · 16 / 14²); its ratios of elasticity lie between 12 and 20 (from memory)."""
METAL_MODULUS_RATIO = 2.66
"""The same of steel and aluminium, 2 (1 + ν) with ν = 0.33. [1]"""
SHEAR_AREA = 0.9
"""Share of a round section that carries shear (Cowper 1966, ν = 0.3, from memory). [1]"""
AIR_DENSITY = 1.2
"""Of the air that bears a hung weight up a little. [kg/m³]"""
TOLD = -2.0 * math.log(0.05)
"""Squared distance from nothing beyond which chance plays with 5 in 100: χ² of two. [1]"""

_GAUSS_POINT, _GAUSS_WEIGHT = np.polynomial.legendre.leggauss(16)
_STEEPEST = 0.6


def _bent(slope: float) -> tuple[float, float]:
    """Half the span and the sag, in units of the square root of E·I over the reaction."""
    root = math.sqrt(slope)
    u = 0.5 * root * (_GAUSS_POINT + 1.0)
    along = math.sqrt(2.0 * math.sin(slope))
    across = 0.5 * root * float(np.sum(_GAUSS_WEIGHT * 2.0 * u * np.sqrt(np.sin(u**2))))
    across /= math.sqrt(2.0)
    half = along * math.cos(slope) + across * math.sin(slope)
    return half, along * math.sin(slope) - across * math.cos(slope)


def bending_correction(share: float) -> float:
    """Stiffness of a shaft bent this far, over what the small-bending formula makes of it.

    Parameters
    ----------
    share : float
        Deflection over span. [1]

    Returns
    -------
    correction : float
        Above 1; about 1 + 10.3 share². nan beyond a fifth of the span. [1]

    Holds
    -----
    Two supports that stay where they are, thin and without friction, so that they
    push square to the shaft and more of it slides in between as it sinks; the
    shaft does not stretch.

    Source
    ------
    The elastica, derived in docs/physics/jig.md: with the slope φ counted from the
    support, half span and sag are closed forms in the slope at the support and
    ∫ √(sin φ) dφ.
    """
    if not 0.0 <= share <= 0.2:
        return math.nan
    if share < 1e-5:
        return 1.0
    slope = 3.0 * share
    for _ in range(30):
        half, sag = _bent(slope)
        step = 1e-6 * slope
        half_on, sag_on = _bent(slope + step)
        miss = sag / (2.0 * half) - share
        change = miss * step / (sag_on / (2.0 * half_on) - sag / (2.0 * half))
        slope -= change
        if abs(change) < 1e-13 * slope:
            break
    half, _ = _bent(slope)
    # E·I in units of load times span squared: the reaction is half the load over the cosine.
    exact = 1.0 / (8.0 * math.cos(slope) * half**2)
    return exact * 48.0 * share


def bent_deflection(load: float, span: float, bending_stiffness: float) -> float:
    """Deflection at mid-span, however far the shaft bends.

    Parameters
    ----------
    load : float
        Force hung at mid-span. [N]
    span : float
        Distance between the supports. [m]
    bending_stiffness : float
        E·I, constant along the shaft. [N m²]

    Returns
    -------
    deflection : float
        Downward displacement at mid-span; nan when the shaft would bend beyond a
        fifth of the span. [m]

    Holds
    -----
    As bending_correction.

    Source
    ------
    The elastica, as in bending_correction.
    """
    small = load * span**2 / (48.0 * bending_stiffness)
    low, high = 0.0, _STEEPEST
    wanted = load * span**2 / bending_stiffness
    half, _ = _bent(high)
    if not 0.0 < wanted < 8.0 * math.cos(high) * half**2:
        return 0.0 if small == 0.0 else math.nan
    for _ in range(80):
        slope = 0.5 * (low + high)
        half, _ = _bent(slope)
        if 8.0 * math.cos(slope) * half**2 < wanted:
            low = slope
        else:
            high = slope
    half, sag = _bent(0.5 * (low + high))
    share = sag / (2.0 * half)
    return share * span if share <= 0.2 else math.nan


def shear_share(span: float, diameter: float, inner: float, modulus_ratio: float) -> float:
    """Part of the deflection that is shear, over the part that is bending.

    Parameters
    ----------
    span : float
        Distance between the supports. [m]
    diameter : float
        Outer diameter. [m]
    inner : float
        Inner diameter, zero for a solid shaft. [m]
    modulus_ratio : float
        Young's modulus along the shaft over the shear modulus. [1]

    Returns
    -------
    share : float
        Deflection from shear over deflection from bending. [1]

    Holds
    -----
    Load at mid-span; uniform round shaft. A solid section is taken to carry shear
    over 0.9 of its area, a thin tube over half of it.

    Source
    ------
    Timoshenko beam: F L / (4 κ G A) over F L³ / (48 E I).
    """
    thin = inner / diameter
    area = SHEAR_AREA - (SHEAR_AREA - 0.5) * thin
    return 12.0 * modulus_ratio * (diameter**2 + inner**2) / (16.0 * area * span**2)


def support_share(span: float, deflection: float, radius: float) -> float:
    """How much too stiff a shaft reads because it rolls inward on round supports.

    Parameters
    ----------
    span : float
        Distance between the middles of the supports. [m]
    deflection : float
        Deflection at mid-span. [m]
    radius : float
        Radius of a support and half the shaft's thickness, together. [m]

    Returns
    -------
    share : float
        Stiffness read too high, over the stiffness. [1]

    Holds
    -----
    Small slopes. The shaft touches a round support where both have the same slope,
    3 δ/L: each support stands radius times slope nearer the middle, and half of
    radius times slope squared lower.

    Source
    ------
    Geometry: 3 · 2 · radius · slope / L for the span, less radius · slope² / (2 δ).
    """
    return 13.5 * radius * deflection / span**2


def own_weight_share(weight: float, length: float, span: float, load: float) -> float:
    """Sag under the shaft's own weight, over the deflection under the load.

    Parameters
    ----------
    weight : float
        Weight of the whole shaft. [N]
    length : float
        Length of the shaft, its middle half-way between the supports. [m]
    span : float
        Distance between the supports. [m]
    load : float
        Force hung at mid-span. [N]

    Returns
    -------
    share : float
        What hangs over beyond the supports lifts the middle and is taken off. [1]

    Holds
    -----
    Uniform shaft, small slopes. Read before and after the load is hung, this cancels.

    Source
    ------
    Beam tables (closed forms): 5 w L⁴ / (384 E I) less w a² L² / (16 E I), over
    F L³ / (48 E I).
    """
    each = weight / length
    over = 0.5 * (length - span)
    return (5.0 / 8.0 * each * span - 3.0 * each * over**2 / span) / load


def middle_share(part: float) -> float:
    """How much of a mid-span deflection comes from the middle part of the span.

    Parameters
    ----------
    part : float
        The middle part, over the span. [1]

    Returns
    -------
    share : float
        7/8 for the middle half. [1]

    Holds
    -----
    Uniform shaft.

    Source
    ------
    Unit-load method: the integral of the square of the distance from the support.
    """
    return 1.0 - (1.0 - part) ** 3


def water_density(temperature: float) -> float:
    """Density of fresh water.

    Parameters
    ----------
    temperature : float
        Of the water. [K]

    Returns
    -------
    density : float
        At ordinary pressure. [kg/m³]

    Holds
    -----
    0 to 100 °C, free of air; within 0.01 kg/m³ up to 40 °C.

    Source
    ------
    Kell 1975, J. Chem. Eng. Data 20, 97, eq. 16 (from memory).
    """
    t = temperature - 273.15
    top = 999.83952 + 16.945176 * t - 7.9870401e-3 * t**2
    top += -46.170461e-6 * t**3 + 105.56302e-9 * t**4 - 280.54253e-12 * t**5
    return top / (1.0 + 16.879850e-3 * t)


def water_weight(volume: float, temperature: float) -> float:
    """Pull of water hung in a jug, as a mass on a scale would show it.

    Parameters
    ----------
    volume : float
        Of the water. [m³]
    temperature : float
        Of the water. [K]

    Returns
    -------
    mass : float
        Mass of water less that of the air it pushes away. [kg]

    Holds
    -----
    As water_density; air near the ground.

    Source
    ------
    Archimedes; water_density.
    """
    return volume * (water_density(temperature) - AIR_DENSITY)


def turns_told(rotation: Array) -> int:
    """How many of level, cosine and sine of twice the turn a set of rotations can tell apart.

    Parameters
    ----------
    rotation : array (readings,)
        Turn of the shaft at each reading, nan where it was not noted. [rad]

    Returns
    -------
    told : int
        1: one way round only; 2: two ways; 3: the stiff side can be found. [1]

    Holds
    -----
    Turns that lie close together do not count as unlike.

    Source
    ------
    Singular values of the least-squares columns; least value a modelling choice.
    """
    known = rotation[np.isfinite(rotation)]
    if known.size == 0:
        return 1
    value = np.linalg.svd(_columns(known), compute_uv=False)
    return max(1, int(np.sum(value / math.sqrt(known.size) > 0.2)))


def _columns(rotation: Array) -> Array:
    twice = 2.0 * rotation
    return np.column_stack([np.ones_like(twice), np.cos(twice), np.sin(twice)])


def compliance_round(
    rotation: Array,
    stiffness: Array,
    own_error: Array,
    shared: Array,
    ends: Array,
    unlike: float,
) -> tuple[Array, Array, Array, float]:
    """Level and swing of a shaft's compliance round its axis, from all its readings.

    Parameters
    ----------
    rotation : array (readings,)
        Turn of the shaft about its axis, nan where it was not noted. [rad]
    stiffness : array (readings,)
        E·I from each reading. [N m²]
    own_error : array (readings,)
        Relative standard error that each reading has to itself. [1]
    shared : array (effects, readings)
        Relative standard errors shared between readings, one row for each thing
        that errs, such as the load of one jig; zero where it has no part. [1]
    ends : array (readings,)
        +1/2 lying end for end, −1/2 not, 0 where it was not noted. [1]
    unlike : float
        Usual spread of the swing over the level, used only when the rotations
        leave the swing half told. [1]

    Returns
    -------
    found : array (4,)
        Level m, swing p with the cosine and q with the sine of twice the turn, and
        the step from one end to the other; zero where it cannot be told. A shaft
        turned by θ gives m + p cos 2θ + q sin 2θ. [1/(N m²)]
    spread : array (4, 4)
        Covariance of the four from what readings have to themselves, the scatter
        included. [1/(N² m⁴)]
    weight : array (4, readings)
        What each reading's relative error does to the four. [1/(N m²)]
    scatter : float
        Root of the mean square misfit per degree of freedom; above 1 the readings
        differ by more than their errors, which have been widened by it: those they
        have to themselves, and those that only some of them share. [1]

    Holds
    -----
    A shaft free to move sideways on its supports under a hanging load, so that
    compliances (not stiffnesses) add as the square of cosine and sine. Errors well
    below 1. Shared errors are part of the weights, so that many readings on one jig
    do not drown a few on another; they are not part of the spread.

    Source
    ------
    Generalised least squares; scale factor of Birge 1932, Phys. Rev. 40, 207 (from
    memory).
    """
    compliance = 1.0 / stiffness
    level = float(np.mean(compliance))
    told = turns_told(rotation)
    known = np.isfinite(rotation)
    columns = np.zeros((stiffness.size, 4))
    columns[:, :3] = _columns(np.where(known, rotation, 0.0))
    columns[~known, 1:3] = 0.0
    columns[:, 3] = ends
    use = [0]
    if told > 1:
        use += [1, 2]
    both = np.any(ends > 0.0) and np.any(ends < 0.0)
    if both and np.linalg.matrix_rank(columns[:, [*use, 3]], tol=0.1) > np.linalg.matrix_rank(
        columns[:, use], tol=0.1
    ):
        use.append(3)
    prior = np.zeros(len(use))
    if told == 2:
        prior[1:3] = 1.0 / (unlike * level) ** 2
    mean = compliance.copy()
    # A ruler errs by so much, not by a share: its error does not shrink with a small reading.
    own = own_error * compliance
    partial = ~np.all(shared != 0.0, axis=1)
    swing = 0.0
    scatter = 1.0
    for turn in range(3):
        extra = np.where(known | (told == 1), 0.0, 0.5 * swing**2)
        cross = (shared.T @ shared) * np.outer(mean, mean)
        cross += np.diag(own**2 + extra)
        inverse = np.linalg.inv(cross)
        here = columns[:, use]
        gain = np.linalg.solve(here.T @ inverse @ here + np.diag(prior), here.T @ inverse)
        part = gain @ compliance
        if told > 1:
            swing = float(np.hypot(part[1], part[2]))
        # What readings share is a share of what is there, not of what was read.
        mean = here @ part
        if turn == 1:
            free = stiffness.size - len(use) + int(told == 2)
            miss = compliance - mean
            if free > 0:
                scatter = float(np.sqrt(miss @ inverse @ miss / free))
            own = own * max(1.0, scatter)
            shared = np.where(partial[:, None], max(1.0, scatter), 1.0) * shared
    found = np.zeros(4)
    spread = np.zeros((4, 4))
    weight = np.zeros((4, stiffness.size))
    found[use] = part
    within = gain @ np.diag(own**2 + extra) @ gain.T
    if told == 2:
        # What the prior holds in place is as unsure as the prior.
        left = np.eye(len(use)) - gain @ here
        kept = np.zeros(len(use))
        kept[1:3] = (unlike * level) ** 2
        within = within + left @ np.diag(kept) @ left.T
    spread[np.ix_(use, use)] = within
    weight[use] = gain * mean
    return found, spread, weight, scatter


def stiff_and_weak(found: Array, spread: Array) -> tuple[Array, Array]:
    """Stiff and weak side of a shaft, the turn of the stiff one, and how well each is told.

    Parameters
    ----------
    found : array (4,)
        From compliance_round. [1/(N m²)]
    spread : array (4, 4)
        From compliance_round. [1/(N² m⁴)]

    Returns
    -------
    value : array (4,)
        0 E·I of the stiff side [N m²], 1 of the weak side [N m²], 2 turn at which the
        shaft lies stiff side up, 0 to π [rad], 3 squared distance of the swing from
        none, in standard errors [1]. Below TOLD the sides cannot be told apart.
    error : array (3,)
        0 relative standard error of the stiff side [1], 1 of the weak side [1], 2
        standard error of the turn [rad]; from the readings' own errors alone.

    Holds
    -----
    Swing well below the level. Noise makes a swing come out too large, and the part
    that is expected is taken off.

    Source
    ------
    First-order propagation; the principal axes of the compliance.
    """
    level, p, q = (float(one) for one in found[:3])
    block = spread[1:3, 1:3]
    raw = math.hypot(p, q)
    value = np.full(4, np.nan)
    error = np.full(3, np.nan)
    if raw <= 1e-12 * level or not np.all(np.linalg.eigvalsh(block) > 0.0):
        value[:2] = 1.0 / level
        value[3] = 0.0
        error[:2] = math.sqrt(float(spread[0, 0])) / level
        return value, error
    value[3] = float(found[1:3] @ np.linalg.solve(block, found[1:3]))
    along = np.array([p, q]) / raw
    across = np.array([-q, p]) / raw
    aside = float(across @ block @ across)
    swing = math.sqrt(max(raw**2 - aside, 0.0))
    # The stiff side is where the compliance is least.
    value[0] = 1.0 / (level - swing)
    value[1] = 1.0 / (level + swing)
    value[2] = (0.5 * math.atan2(-q, -p)) % math.pi
    var_level = float(spread[0, 0])
    var_swing = float(along @ block @ along)
    both = float(along @ spread[0, 1:3])
    error[0] = math.sqrt(max(var_level + var_swing - 2.0 * both, 0.0)) * value[0]
    error[1] = math.sqrt(max(var_level + var_swing + 2.0 * both, 0.0)) * value[1]
    error[2] = 0.5 * math.sqrt(aside) / raw
    return value, error
