"""Force along the draw, stored energy, string geometry: what the bow gives.

A bow is four tables over the same grid, u from 0 at brace to 1 at the end of the
table: the draw force, the distance from the nock to the line through the limb
tips, the square of the speed ratio of tip and nock, and half its slope. The
launch kernel reads them linearly.

Everything here runs once for a bow, so it is plain numpy and scipy.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

TABLE_POINTS = 257
"""Points of a draw table. Read linearly it is then good to about 1e-5 of the draw force."""

GRIP_HALF_LENGTH = 0.10
"""Half of the stiff grip and fades. [m] Modelling choice for plain wooden bows."""

HINGE_FRACTION = 0.75
"""A bending limb turns like a rigid one of this fraction of its length. Hickman's
equivalent, from memory; only the nock-to-tip distance depends on it."""


def force_shape(fraction: NDArray[np.float64], energy_ratio: float) -> NDArray[np.float64]:
    """Draw force over its full-draw value for a bow known by one weight only.

    Parameters
    ----------
    fraction : ndarray, shape (n,)
        Travel from brace over the power stroke, 0 to 1. [-]
    energy_ratio : float
        Stored energy over full-draw force times power stroke. [-]

    Returns
    -------
    shape : ndarray, shape (n,)
        Force over full-draw force, 0 at brace and 1 at full draw. [-]

    Holds
    -----
    The plainest curve with the wanted energy: a line plus one parabola. Rises
    everywhere for energy_ratio between 1/3 and 2/3; ValueError outside.

    Source
    ------
    Derived in docs/physics/bow.md; the ratios themselves from measurement
    (Tuijn and Kooi 1992, Table I, for recurves).
    """
    if not 1.0 / 3.0 < energy_ratio < 2.0 / 3.0:
        raise ValueError(f"energy ratio {energy_ratio} outside 1/3 to 2/3")
    bulge = 6.0 * (energy_ratio - 0.5)
    return np.asarray(fraction + bulge * fraction * (1.0 - fraction), dtype=np.float64)


def force_table(
    draw: NDArray[np.float64],
    force: NDArray[np.float64],
    brace: float,
    energy_ratio: float,
    points: int = TABLE_POINTS,
) -> NDArray[np.float64]:
    """Draw force at equal steps from brace to the longest measured draw.

    Parameters
    ----------
    draw : ndarray, shape (n,)
        True draws of the readings, rising. [m]
    force : ndarray, shape (n,)
        Draw force at those draws, rising. [N]
    brace : float
        Brace height. [m]
    energy_ratio : float
        Used with one reading only: stored energy over force times stroke. [-]
    points : int
        Number of points of the table. [-]

    Returns
    -------
    table : ndarray, shape (points,)
        Draw force from brace (0 N) to draw[-1]. [N]

    Holds
    -----
    Two or more readings are interpolated through zero at brace by a monotone
    cubic, so a stacking bow is followed and no hump is invented. ValueError
    for draws not beyond brace or readings that do not rise.

    Source
    ------
    Fritsch and Butland 1984 as in scipy.interpolate.PchipInterpolator; one
    reading: force_shape.
    """
    if (
        draw[0] <= brace
        or np.any(np.diff(draw) <= 0)
        or np.any(np.diff(force) < 0)
        or force[0] <= 0
    ):
        raise ValueError("draw readings must rise and lie beyond brace")
    fraction = np.linspace(0.0, 1.0, points)
    if len(draw) == 1:
        return force_shape(fraction, energy_ratio) * float(force[0])
    from scipy.interpolate import PchipInterpolator

    curve = PchipInterpolator(np.concatenate(([brace], draw)), np.concatenate(([0.0], force)))
    return np.asarray(curve(brace + fraction * (draw[-1] - brace)), dtype=np.float64)


def stored_energy(table: NDArray[np.float64], stroke: float) -> float:
    """Work to draw the bow from brace to the end of its table.

    Parameters
    ----------
    table : ndarray, shape (n,)
        Draw force at equal steps. [N]
    stroke : float
        From brace to the end of the table. [m]

    Returns
    -------
    energy : float
        Stored work. [J]

    Holds
    -----
    Trapezoid rule, the same as the linear reading of the table; no hysteresis.

    Source
    ------
    Definition of work.
    """
    return float((np.sum(table) - 0.5 * (table[0] + table[-1])) * stroke / (len(table) - 1))


def string_geometry(
    bow_length: float, brace: float, longest_draw: float, points: int = TABLE_POINTS
) -> NDArray[np.float64]:
    """Nock-to-tip-line distance and speed ratio of limb tip and nock along the draw.

    Parameters
    ----------
    bow_length : float
        Tip to tip along the back. [m]
    brace : float
        Brace height. [m]
    longest_draw : float
        True draw at the end of the table. [m]
    points : int
        Number of points, equally spaced in draw. [-]

    Returns
    -------
    table : ndarray, shape (3, points)
        Distance from the nock to the line through the tips, 0 at brace [m]; the
        square of tip speed over nock speed, 0 at brace [-]; half the slope of that
        square over draw [1/m].

    Holds
    -----
    Symmetric bow, straight string that does not stretch, each limb a rigid link
    on a hinge. Recurve tips that carry string at brace are not modelled. The
    string's forward pull over the distance is its sideways stiffness; at brace
    both vanish and the ratio stays finite. ValueError if the string cannot reach
    that draw.

    Source
    ------
    Derived in docs/physics/bow.md; hinged-limb bow with the geometric speed ratio
    of arrow and limb after Hickman, The Dynamics of a Bow and Arrow, part 2, in
    Archery: the Technical Side (1947).
    """
    half = 0.5 * bow_length
    link = HINGE_FRACTION * (half - GRIP_HALF_LENGTH)
    hinge = half - link
    sine = brace / link
    if not 0.0 < sine < 1.0:
        raise ValueError("brace height does not fit a bow of this length")
    braced = math.asin(sine)
    string_half = hinge + link * math.cos(braced)
    # Steps that start with their square: the nock leaves brace with the root of the angle.
    angle = braced + (0.5 * math.pi - braced) * np.linspace(0.0, 1.0, 8001) ** 2
    height = hinge + link * np.cos(angle)
    distance = np.sqrt(np.maximum(string_half**2 - height**2, 0.0))
    draw = link * np.sin(angle) + distance
    if longest_draw > draw[-1]:
        raise ValueError("the string of a bow of this length does not reach that draw")
    # The nock moves by dp = (link cos + height link sin / distance) d(angle), the tip by link.
    ratio = distance / (distance * np.cos(angle) + height * np.sin(angle))
    wanted = np.linspace(brace, longest_draw, points)
    out = np.empty((3, points))
    out[0] = np.interp(wanted, draw, distance)
    out[1] = np.interp(wanted, draw, ratio) ** 2
    out[0, 0] = out[1, 0] = 0.0
    out[2] = 0.5 * np.gradient(out[1], wanted, edge_order=2)
    out[2, 0] = 0.0
    return out


def stretched_geometry(
    force: NDArray[np.float64],
    bow_length: float,
    brace: float,
    longest_draw: float,
    string_stiffness: float,
) -> NDArray[np.float64]:
    """The table of string_geometry for a string that stretches along its length.

    Parameters
    ----------
    force : ndarray, shape (points,)
        Draw force at equal steps from brace (0 N) to longest_draw. [N]
    bow_length : float
        Tip to tip along the back. [m]
    brace : float
        Brace height. [m]
    longest_draw : float
        True draw at the end of the table. [m]
    string_stiffness : float
        Tension over the stretch of half the string. [N/m]

    Returns
    -------
    table : ndarray, shape (3, points)
        As string_geometry. [m, -, 1/m]

    Holds
    -----
    As string_geometry, but the string lengthens with its tension: at brace by the
    tension that the slope of the draw curve tells, on the way by what the draw force
    and the angle of the string ask. The stretch is that of a slow draw; a string
    that rings during the shot is not modelled. ValueError if the string cannot
    reach that draw.

    Source
    ------
    Derived in docs/physics/bow.md: length from geometry equals unstretched length
    and tension over stiffness, solved by bisection at every draw.
    """
    half = 0.5 * bow_length
    link = HINGE_FRACTION * (half - GRIP_HALF_LENGTH)
    hinge = half - link
    sine = brace / link
    if not 0.0 < sine < 1.0 or not string_stiffness > 0.0:
        raise ValueError("brace height does not fit a bow of this length")
    braced = math.asin(sine)
    draw = np.linspace(brace, longest_draw, len(force))
    string_half = hinge + link * math.cos(braced)
    # At brace the pull over the way to the tip line tends to the slope of the draw curve.
    slope = (4.0 * force[1] - force[2]) / (2.0 * (draw[1] - draw[0]))
    unstretched = string_half - 0.5 * string_half * slope / string_stiffness
    low = np.full(len(draw) - 1, braced)
    high = np.arcsin(np.minimum(draw[1:] / link, 1.0))
    for _ in range(60):
        angle = 0.5 * (low + high)
        way = draw[1:] - link * np.sin(angle)
        length = np.hypot(way, hinge + link * np.cos(angle))
        tension = force[1:] * length / (2.0 * np.maximum(way, 1e-12))
        # A larger angle shortens the string and tightens it: one root between the two ends.
        slack = length - unstretched - tension / string_stiffness > 0.0
        low = np.where(slack, angle, low)
        high = np.where(slack, high, angle)
    angle = np.concatenate(([braced], 0.5 * (low + high)))
    if angle[-1] > 0.499 * math.pi or np.any(np.diff(angle) < 0.0):
        raise ValueError("the string of a bow of this length does not reach that draw")
    out = np.empty((3, len(draw)))
    out[0] = draw - link * np.sin(angle)
    out[1] = (link * np.gradient(angle, draw, edge_order=2)) ** 2
    out[0, 0] = out[1, 0] = 0.0
    out[2] = 0.5 * np.gradient(out[1], draw, edge_order=2)
    out[2, 0] = 0.0
    return out


def launch_speed(energy: float, arrow_mass: float, virtual_mass: float) -> float:
    """Speed of an arrow that shares the stored energy with the virtual mass.

    Parameters
    ----------
    energy : float
        Stored work. [J]
    arrow_mass : float
        Mass of the whole arrow. [kg]
    virtual_mass : float
        Mass that moves with the arrow and stands for limbs, string and losses. [kg]

    Returns
    -------
    speed : float
        Speed on leaving the string. [m/s]

    Holds
    -----
    One constant virtual mass, losses included. Good over a factor of two in arrow mass.

    Source
    ------
    Klopsteg's virtual mass, as used by Nagler and by Hickman in Archery: the
    Technical Side (1947).
    """
    return math.sqrt(2.0 * energy / (arrow_mass + virtual_mass))


def virtual_mass_from_speed(energy: float, arrow_mass: float, speed: float) -> float:
    """Virtual mass that explains one measured arrow speed.

    Parameters
    ----------
    energy : float
        Stored work at the draw of that shot. [J]
    arrow_mass : float
        Mass of that arrow. [kg]
    speed : float
        Speed on leaving the string. [m/s]

    Returns
    -------
    virtual_mass : float
        May come out negative where speed, mass and draw curve contradict each other. [kg]

    Holds
    -----
    As launch_speed.

    Source
    ------
    launch_speed turned round.
    """
    return 2.0 * energy / speed**2 - arrow_mass


def speed_with_other_string(speed: float, moving_mass: float, added_string_mass: float) -> float:
    """Arrow speed after the string became heavier, from the speed before.

    Parameters
    ----------
    speed : float
        Speed with the lighter string. [m/s]
    moving_mass : float
        Arrow and virtual mass with the lighter string. [kg]
    added_string_mass : float
        Extra mass of the string, negative for a lighter one. [kg]

    Returns
    -------
    speed : float
        Speed with the other string. [m/s]

    Holds
    -----
    Same stored energy; a third of the string's mass counts as arrow mass.

    Source
    ------
    Hickman, Effect of String Weight on Arrow Velocity and Efficiency of Bows,
    part 2, in Archery: the Technical Side (1947).
    """
    return speed * math.sqrt(moving_mass / (moving_mass + added_string_mass / 3.0))
