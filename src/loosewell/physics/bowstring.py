"""What a string carries, stretches, weighs and takes up: strength, twist, mass, length.

Everything runs once for a string, so it is plain numpy. Linear density is mass over
length; specific modulus and specific strength are force over linear density, so that
1 N/tex is 1e6 N m/kg.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from loosewell.physics.bow import GRIP_HALF_LENGTH, HINGE_FRACTION

Array = NDArray[np.float64]


def static_tension(draw_force: float, string_angle: float) -> float:
    """Tension in either leg of a string that is held drawn.

    Parameters
    ----------
    draw_force : float
        Force at the nocking point. [N]
    string_angle : float
        Whole angle between the legs at the nocking point. [rad]

    Returns
    -------
    tension : float
        F / (2 cos(α/2)); nan for an angle that is not between 0 and π. [N]

    Holds
    -----
    Both legs alike, string at rest and without mass.

    Source
    ------
    Balance of three forces.
    """
    if not 0.0 <= string_angle < math.pi:
        return math.nan
    return draw_force / (2.0 * math.cos(0.5 * string_angle))


def draw_tension(force: Array, distance: Array, half_length: float, stroke: float) -> Array:
    """Tension in the string along the draw, brace included.

    Parameters
    ----------
    force : ndarray, shape (n,)
        Draw force at equal steps, 0 at brace. [N]
    distance : ndarray, shape (n,)
        From the nock to the line through the limb tips, 0 at brace. [m]
    half_length : float
        Half of the string between the tips. [m]
    stroke : float
        From brace to the end of the table. [m]

    Returns
    -------
    tension : ndarray, shape (n,)
        F L / (2 d) on the way, and its limit L/2 dF/dx at brace. [N]

    Holds
    -----
    Symmetric bow; the string's own stretch is left out of its length (below 3 %). At
    brace the result is as good as the slope of the draw curve there.

    Source
    ------
    static_tension with the angle from the geometry; limit as in
    bow.stretched_geometry.
    """
    step = stroke / (len(force) - 1)
    slope = (4.0 * force[1] - force[2]) / (2.0 * step)
    out = np.empty(len(force))
    out[0] = 0.5 * half_length * slope
    out[1:] = 0.5 * force[1:] * half_length / distance[1:]
    return out


def closing_tension(brace_tension: float, string_stiffness: float, energy: float) -> float:
    """Most tension a string can see as it pulls straight and stops the limbs.

    Parameters
    ----------
    brace_tension : float
        Tension at rest at brace. [N]
    string_stiffness : float
        Tension over the stretch of the whole string. [N/m]
    energy : float
        Energy of motion that the string must take up. [J]

    Returns
    -------
    tension : float
        T + √(2 k E). [N]

    Holds
    -----
    The limbs go on pulling with the brace tension, the string is a spring without mass
    or loss, and all of the energy goes into it: an upper bound, for real limbs keep
    part of it in swinging.

    Source
    ------
    Energy balance: E + T x = T x + k x²/2.
    """
    return brace_tension + math.sqrt(2.0 * string_stiffness * energy)


def helix_angle(turns: float, length: float, radius: float) -> float:
    """Angle between an outer strand and the line of a twisted string.

    Parameters
    ----------
    turns : float
        Full turns over the length. [-]
    length : float
        Of the twisted string. [m]
    radius : float
        From the string's middle to the strand. [m]

    Returns
    -------
    angle : float
        0 for a string without twist. [rad]

    Holds
    -----
    Even twist along the string.

    Source
    ------
    Geometry of a helix.
    """
    return math.atan2(2.0 * math.pi * radius * turns, length)


def ply_path(length: float, turns: float, radius: float) -> float:
    """Length of a ply that winds about the string's middle.

    Parameters
    ----------
    length : float
        Of the twisted string. [m]
    turns : float
        Full turns over the length. [-]
    radius : float
        From the string's middle to the middle of the ply. [m]

    Returns
    -------
    path : float
        √(L² + (2 π r N)²). [m]

    Holds
    -----
    Even twist; a ply lays itself without stretching.

    Source
    ------
    Geometry of a helix.
    """
    return math.hypot(length, 2.0 * math.pi * radius * turns)


def bundle_path(length: float, turns: float, radius: float) -> float:
    """Mean length of the strands of a round bundle that is twisted as a whole.

    Parameters
    ----------
    length : float
        Of the twisted string. [m]
    turns : float
        Full turns over the length. [-]
    radius : float
        Of the bundle. [m]

    Returns
    -------
    path : float
        (2/3) (sec³α − 1) / tan²α times the length, α at the surface. [m]

    Holds
    -----
    Strands fill the round evenly and share what they must take up, as they do when
    they change places; the thickness does not change with the twist.

    Source
    ------
    Mean of √(L² + (2 π r N)²) over the round; to second order Hearle's contraction
    factor (1 + sec α)/2 (Hearle, Grosberg and Backer 1969, from memory).
    """
    square = (2.0 * math.pi * radius * turns / length) ** 2
    if square < 1e-7:
        return length * (1.0 + 0.25 * square)
    return length * (2.0 / 3.0) * ((1.0 + square) * math.sqrt(1.0 + square) - 1.0) / square


def twisted_length(path: float, turns: float, radius: float, plied: bool) -> float:
    """Length that is left of strands of a known length once they are twisted.

    Parameters
    ----------
    path : float
        Length of the strands laid straight. [m]
    turns : float
        Full turns over the whole string. [-]
    radius : float
        Of the bundle, or to the middle of a ply. [m]
    plied : bool
        Whether plies wind about each other, or one bundle is twisted. [yes or no]

    Returns
    -------
    length : float
        nan when so many turns cannot be put in. [m]

    Holds
    -----
    As ply_path and bundle_path. For plies √(s² − (2 π r N)²).

    Source
    ------
    Either path turned round; the bundle by bisection.
    """
    way = 2.0 * math.pi * radius * turns
    if plied:
        return math.sqrt(path**2 - way**2) if way < path else math.nan
    # A bundle of no length still has two thirds of the outer way as its mean path.
    if way * 2.0 / 3.0 >= path:
        return math.nan
    low, high = 1e-6 * path, path
    for _ in range(80):
        middle = 0.5 * (low + high)
        if bundle_path(middle, turns, radius) > path:
            high = middle
        else:
            low = middle
    return 0.5 * (low + high)


def twist_share(angle: float) -> float:
    """Stiffness and first-break strength of a twisted bundle over those of its strands.

    Parameters
    ----------
    angle : float
        Helix angle of the outer strands. [rad]

    Returns
    -------
    share : float
        cos²α. [-]

    Holds
    -----
    Strands of one kind that keep their places, all filling the round evenly; breaking
    counts from the first strand, the straight one in the middle. Friction between
    strands, which helps short fibres, is left out.

    Source
    ------
    Gégauff 1907 (from memory); the mean of cos⁴ of the helix angle over the round is
    exactly cos²α, derived in docs/physics/bowstring.md.
    """
    return math.cos(angle) ** 2


def bundle_share(variation: float, strands: int) -> float:
    """Strength of many parallel strands over the sum of their single strengths.

    Parameters
    ----------
    variation : float
        Standard deviation over mean of the single strands' strength. [-]
    strands : int
        How many carry together. [-]

    Returns
    -------
    share : float
        1 for a single strand or strands that are all alike. [-]

    Holds
    -----
    Weibull strengths, equal stiffness, every broken strand's load shared by all that
    are left; many strands. A few strands come out a little stronger.

    Source
    ------
    Daniels 1945, Proc. R. Soc. A 183: for Weibull strands (m e)^(−1/m) of the scale
    (from memory).
    """
    if strands <= 1 or variation <= 0.0:
        return 1.0
    shape = weibull_shape(variation)
    return math.exp(-math.log(shape * math.e) / shape) / math.gamma(1.0 + 1.0 / shape)


def weibull_shape(variation: float) -> float:
    """Shape of a Weibull distribution with a known relative spread.

    Parameters
    ----------
    variation : float
        Standard deviation over mean. [-]

    Returns
    -------
    shape : float
        Between 1 and 300. [-]

    Holds
    -----
    variation between 0.005 and 1; beyond, the nearer end.

    Source
    ------
    Moments of the distribution: (sd/mean)² = Γ(1 + 2/m) / Γ(1 + 1/m)² − 1, bisected.
    """
    low, high = 1.0, 300.0
    for _ in range(80):
        middle = 0.5 * (low + high)
        first = math.lgamma(1.0 + 1.0 / middle)
        spread = math.sqrt(math.expm1(math.lgamma(1.0 + 2.0 / middle) - 2.0 * first))
        if spread > variation:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def tolerance_factor(samples: int, share: float, confidence: float) -> float:
    """Standard deviations below the mean that leave a share of all pieces above.

    Parameters
    ----------
    samples : int
        Pieces broken, two or more. [-]
    share : float
        Share of all such pieces that shall lie above. [-]
    confidence : float
        Chance that the bound holds. [-]

    Returns
    -------
    factor : float
        k of mean − k s. [-]

    Holds
    -----
    Normal strengths, pieces drawn alike, mean and deviation both from the samples.

    Source
    ------
    One-sided tolerance limit by the noncentral t distribution, as in Natrella,
    Experimental Statistics (NBS Handbook 91, 1963), Table A-7 (from memory).
    """
    from scipy.stats import nct, norm

    root = math.sqrt(samples)
    return float(nct.ppf(confidence, samples - 1, norm.ppf(share) * root)) / root


def lower_bound(loads: Array, share: float, confidence: float) -> float:
    """Load that a share of all such pieces bears, with a stated confidence.

    Parameters
    ----------
    loads : ndarray, shape (n,)
        Breaking loads of two or more pieces. [N]
    share, confidence : float
        As in tolerance_factor. [-]

    Returns
    -------
    bound : float
        Zero or less when so few pieces that differ so much bound nothing. [N]

    Holds
    -----
    As tolerance_factor.

    Source
    ------
    As tolerance_factor.
    """
    factor = tolerance_factor(len(loads), share, confidence)
    return float(np.mean(loads) - factor * np.std(loads, ddof=1))


def bundle_diameter(linear_density: float, density: float, packing: float) -> float:
    """Thickness of a round bundle of fibre.

    Parameters
    ----------
    linear_density : float
        Mass of fibre over length. [kg/m]
    density : float
        Of the fibre. [kg/m³]
    packing : float
        Share of the round that is fibre. [-]

    Returns
    -------
    diameter : float
        √(4 λ / (π ρ φ)). [m]

    Holds
    -----
    Round section.

    Source
    ------
    Area of a circle.
    """
    return math.sqrt(4.0 * linear_density / (math.pi * density * packing))


def serving_density(core: float, thread: float, density: float, packing: float) -> float:
    """Linear density of a thread wound side by side about a core.

    Parameters
    ----------
    core : float
        Thickness under the thread. [m]
    thread : float
        Thickness of the thread. [m]
    density : float
        Of its fibre. [kg/m³]
    packing : float
        Share of the round thread that is fibre. [-]

    Returns
    -------
    linear_density : float
        Added by the serving for each length of string. [kg/m]

    Holds
    -----
    Turns touch; thread round.

    Source
    ------
    A torus of thread for each thread's thickness along: π² (D + t) t ρ φ / 4.
    """
    return math.pi**2 * (core + thread) * thread * density * packing / 4.0


def hinged_string(bow_length: float, brace: float) -> tuple[float, float]:
    """Braced string of a bow whose limbs turn like links, and how it goes with brace.

    Parameters
    ----------
    bow_length : float
        Nock to nock along the back. [m]
    brace : float
        Brace height. [m]

    Returns
    -------
    length : float
        Tip to tip, string under tension; nan where the brace does not fit. [m]
    slope : float
        Change of that length over change of brace height, negative. [-]

    Holds
    -----
    As bow.string_geometry: the geometry that the engine launches with.

    Source
    ------
    As bow.string_geometry; slope −2 tan of the limb's angle.
    """
    half = 0.5 * bow_length
    link = HINGE_FRACTION * (half - GRIP_HALF_LENGTH)
    sine = brace / link if link > 0.0 else 2.0
    if not 0.0 < sine < 1.0:
        return math.nan, math.nan
    angle = math.asin(sine)
    return 2.0 * (half - link + link * math.cos(angle)), -2.0 * math.tan(angle)


def arc_string(bow_length: float, brace: float) -> tuple[float, float]:
    """Braced string of a bow that bends to an arc of a circle, and how it goes with brace.

    Parameters
    ----------
    bow_length : float
        Nock to nock along the back. [m]
    brace : float
        Brace height, taken as the height of the arc. [m]

    Returns
    -------
    length : float
        The chord; nan where the brace does not fit. [m]
    slope : float
        Change of that length over change of brace height, negative. [-]

    Holds
    -----
    A bow that bends evenly from nock to nock; up to a half circle.

    Source
    ------
    Chord S sin φ / φ and height S (1 − cos φ) / (2 φ) of an arc S of half angle φ.
    """
    ratio = 2.0 * brace / bow_length
    if not 0.0 < ratio < 2.0 / math.pi:
        return math.nan, math.nan
    low, high = 0.0, 0.5 * math.pi
    for _ in range(80):
        half = 0.5 * (low + high)
        if (1.0 - math.cos(half)) / half < ratio:
            low = half
        else:
            high = half
    half = 0.5 * (low + high)
    slope = 2.0 * (half * math.cos(half) - math.sin(half))
    slope /= half * math.sin(half) - 1.0 + math.cos(half)
    return bow_length * math.sin(half) / half, slope


def string_stiffness(specific_modulus: float, linear_density: float, length: float) -> float:
    """Tension over the stretch of a whole string.

    Parameters
    ----------
    specific_modulus : float
        Of the string as it is laid up: force over linear density for a strain of 1. [N m/kg]
    linear_density : float
        Of the strands together. [kg/m]
    length : float
        Of the string. [m]

    Returns
    -------
    stiffness : float
        E λ / L. [N/m]

    Holds
    -----
    A straight load line: a first, slow pull of fibre that is not yet settled gives more.

    Source
    ------
    Hooke's law.
    """
    return specific_modulus * linear_density / length
