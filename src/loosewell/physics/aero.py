"""Air forces on an arrow, built up from its parts.

Drag is the sum of point, shaft friction, base and fletching. The force square to
the shaft is the sum of a slender nose, the fletching (small fins with vortex
lift) and the cross-flow on the shaft. Everything is an *area* in m², to be
multiplied by half the density and the speed squared, so that no reference area
can be mistaken.

Plain NumPy over whole batches: one evaluation a flight, where the flight itself
(flight.py) is compiled. ``arrow_row`` writes an arrow's geometry, and
``coefficient_rows`` turns it into what the flight needs.

Columns of an arrow row, in order
---------------------------------
0 MASS [kg], 1 INERTIA about a cross axis through the balance [kg m²], 2 BALANCE
from the nock throat [m], 3 TIP nock throat to the tip of the point [m], 4 DIAMETER
mean outer diameter of the shaft [m], 5 POINT_DIAMETER [m], 6 POINT_DRAG drag
coefficient of the point on its own frontal area [1], 7 POINT_NORMAL area times
slope of blades on the point, zero for a round point [m²/rad], 8 COUNT of feathers
or vanes, 9 CHORD their length [m], 10 HEIGHT [m], 11 AREA of one side of one [m²],
12 FLETCH_CENTRE its middle from the nock throat [m], 13 THICKNESS of the edge [m],
14 ROUGHNESS factor on its friction [1], 15 ANGLE effective setting with camber
[rad], 16 SURFACE 0 laminar, 1 turbulent, 17 BEND_FREQUENCY [Hz], 18 BEND_DAMPING
ratio [1], 19 BEND_AMPLITUDE on leaving [m].
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

(
    MASS,
    INERTIA,
    BALANCE,
    TIP,
    DIAMETER,
    POINT_DIAMETER,
    POINT_DRAG,
    POINT_NORMAL,
    COUNT,
    CHORD,
    HEIGHT,
    AREA,
    FLETCH_CENTRE,
    THICKNESS,
    ROUGHNESS,
    ANGLE,
    SURFACE,
    BEND_FREQUENCY,
    BEND_DAMPING,
    BEND_AMPLITUDE,
    ARROW_COLUMNS,
) = range(21)

LAMINAR = 0.0
TURBULENT = 1.0

CROSS_FLOW_DRAG = 1.1
"""Drag coefficient of a long cylinder across the flow. [1]"""
NOSE_SLOPE = 2.0
"""Normal-force slope of a slender nose on its base area. [1/rad]"""
VORTEX_FACTOR = math.pi
"""Vortex lift of a thin low fin over its area and sin² of the angle. [1]"""
LAMINAR_ROUNDNESS = 0.5 * 0.6943 / 1.3282
"""First-order growth of laminar friction on a cylinder, mean over the length. [1]"""
EDGE_DRAG = 1.0
"""Drag coefficient of a fin's blunt edges on thickness times height. [1]"""
FEATHER_ROUGHNESS = 2.0
"""Factor on the friction of a natural feather against a smooth plate; 1 to 5 is
plausible. A modelling choice: no tunnel figure for feathers was found. [1]"""
VANE_ROUGHNESS = 1.0
"""Factor on the friction of a smooth plastic vane. [1]"""
POINT_DRAG_COEFFICIENTS = {
    "field": 0.15,
    "bullet": 0.10,
    "streamlined": 0.05,
    "blunt": 0.80,
    "broadhead": 0.30,
}
"""Drag coefficient by kind of point on its own frontal area; the blunt one after a
flat-faced cylinder in axial flow (Hoerner, from memory), the others modelling
choices. [1]"""


def arrow_row(
    *,
    mass: float,
    inertia: float,
    balance: float,
    tip: float,
    diameter: float,
    point_diameter: float | None = None,
    point_drag: float = POINT_DRAG_COEFFICIENTS["field"],
    point_normal: float = 0.0,
    count: float = 0.0,
    chord: float = 0.0,
    height: float = 0.0,
    area: float = 0.0,
    fletch_centre: float = 0.0,
    thickness: float = 0.0004,
    roughness: float = FEATHER_ROUGHNESS,
    angle: float = 0.0,
    surface: float = TURBULENT,
    bend_frequency: float = 0.0,
    bend_damping: float = 0.0,
    bend_amplitude: float = 0.0,
) -> NDArray[np.float64]:
    """One arrow as a row of numbers, in the order of this file's columns.

    Parameters
    ----------
    mass : float
        Whole mass. [kg]
    inertia : float
        Moment of inertia about a cross axis through the balance. [kg m²]
    balance : float
        Balance point from the nock throat. [m]
    tip : float
        Nock throat to the tip of the point. [m]
    diameter : float
        Mean outer diameter of the shaft. [m]
    point_diameter : float or None
        Largest diameter of the point; None for that of the shaft. [m]
    point_drag : float
        Drag coefficient of the point on its own frontal area. [1]
    point_normal : float
        Area times slope of blades on the point; zero for a round point. [m²/rad]
    count : float
        Number of feathers or vanes; zero for a bare shaft. [1]
    chord : float
        Length of a feather. [m]
    height : float
        Height of a feather above the shaft. [m]
    area : float
        Area of one side of one feather. [m²]
    fletch_centre : float
        Middle of the feathers from the nock throat. [m]
    thickness : float
        Thickness of a feather's edge. [m]
    roughness : float
        Factor on the friction of the feathers. [1]
    angle : float
        Effective setting of the feathers, camber counted in. [rad]
    surface : float
        0 for a laminar, 1 for a turbulent boundary layer. [1]
    bend_frequency : float
        Frequency of the bending left on leaving the bow. [Hz]
    bend_damping : float
        Its damping ratio. [1]
    bend_amplitude : float
        Its amplitude on leaving the bow. [m]

    Returns
    -------
    row : array (ARROW_COLUMNS,)
        The numbers in order. [as above]

    Holds
    -----
    Straight arrow, feathers evenly spaced round the shaft.

    Source
    ------
    None needed: a list of the arrow's own measures. Defaults are modelling choices;
    all wooden feathered shafts are taken as turbulent.
    """
    row = np.zeros(ARROW_COLUMNS)
    row[MASS] = mass
    row[INERTIA] = inertia
    row[BALANCE] = balance
    row[TIP] = tip
    row[DIAMETER] = diameter
    row[POINT_DIAMETER] = diameter if point_diameter is None else point_diameter
    row[POINT_DRAG] = point_drag
    row[POINT_NORMAL] = point_normal
    row[COUNT] = count
    row[CHORD] = chord
    row[HEIGHT] = height
    row[AREA] = area
    row[FLETCH_CENTRE] = fletch_centre
    row[THICKNESS] = thickness
    row[ROUGHNESS] = roughness
    row[ANGLE] = angle
    row[SURFACE] = surface
    row[BEND_FREQUENCY] = bend_frequency
    row[BEND_DAMPING] = bend_damping
    row[BEND_AMPLITUDE] = bend_amplitude
    return row


def friction_coefficient(
    reynolds: NDArray[np.float64], surface: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Mean friction coefficient of a smooth surface along the flow.

    Parameters
    ----------
    reynolds : array, any shape
        Reynolds number on the length along the flow, above zero. [1]
    surface : array, shape of reynolds
        0 for laminar, 1 for turbulent. [1]

    Returns
    -------
    friction : array, shape of reynolds
        Friction force over wetted area and dynamic pressure. [1]

    Holds
    -----
    Flat plate. Turbulent about 1e5 to 1e9, from the front edge on.

    Source
    ------
    Blasius, 1.328 / √Re; one-seventh power law, 0.031 / Re^(1/7) (White, Fluid
    Mechanics; both from memory).
    """
    reynolds = np.maximum(reynolds, 1.0)  # keeps a flight in a vacuum finite
    laminar = 1.328 / np.sqrt(reynolds)
    turbulent = 0.031 * reynolds ** (-1.0 / 7.0)
    return np.where(surface > 0.5, turbulent, laminar)


def shaft_friction_area(
    arrow: NDArray[np.float64], density: float, viscosity: float, speed: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Drag area of the friction along the shaft.

    Parameters
    ----------
    arrow : array (n, ARROW_COLUMNS)
        Arrow rows. [as in the columns]
    density : float
        Density of the air. [kg/m³]
    viscosity : float
        Dynamic viscosity of the air. [Pa s]
    speed : array (n,)
        Speed through the air. [m/s]

    Returns
    -------
    area : array (n,)
        Drag over dynamic pressure. [m²]

    Holds
    -----
    As friction_coefficient, on the whole length from nock to tip. The laminar layer
    is thickened by the shaft's roundness to first order; turbulent, it is thin.

    Source
    ------
    Wetted area times the friction coefficient; laminar on a cylinder, first order in
    ξ = (4/radius) √(ν x / U) after Seban and Bond 1951 (method from memory; the slope
    0.6943/1.3282 derived by solving their equation, as the tests do again).
    """
    reynolds = density * speed * arrow[:, TIP] / viscosity
    wetted = math.pi * arrow[:, DIAMETER] * arrow[:, TIP]
    roundness = 8.0 * arrow[:, TIP] / (arrow[:, DIAMETER] * np.sqrt(np.maximum(reynolds, 1.0)))
    thickened = np.where(arrow[:, SURFACE] > 0.5, 1.0, 1.0 + LAMINAR_ROUNDNESS * roundness)
    return friction_coefficient(reynolds, arrow[:, SURFACE]) * thickened * wetted


def fletching_drag_area(
    arrow: NDArray[np.float64], density: float, viscosity: float, speed: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Drag area of the fletching: friction on both sides, edges, and its setting.

    Parameters
    ----------
    arrow : array (n, ARROW_COLUMNS)
        Arrow rows. [as in the columns]
    density : float
        Density of the air. [kg/m³]
    viscosity : float
        Dynamic viscosity of the air. [Pa s]
    speed : array (n,)
        Speed through the air. [m/s]

    Returns
    -------
    area : array (n,)
        Drag over dynamic pressure; zero for a bare shaft. [m²]

    Holds
    -----
    Small settings; a spinning arrow meets the air nearly edge on, so the setting's
    own drag counts only while the spin builds up and is left out.

    Source
    ------
    Friction as friction_coefficient times ROUGHNESS; edges by thickness times
    height (modelling choice). Structure K₃ F after Rheingans 1936.
    """
    bare = arrow[:, COUNT] < 0.5
    chord = np.where(bare, 1.0, arrow[:, CHORD])
    reynolds = density * speed * chord / viscosity
    friction = friction_coefficient(reynolds, arrow[:, SURFACE]) * arrow[:, ROUGHNESS]
    sides = 2.0 * arrow[:, COUNT] * arrow[:, AREA]
    edges = EDGE_DRAG * arrow[:, COUNT] * arrow[:, THICKNESS] * arrow[:, HEIGHT]
    return np.where(bare, 0.0, friction * sides + edges)


def point_drag_area(arrow: NDArray[np.float64]) -> NDArray[np.float64]:
    """Drag area of the point.

    Parameters
    ----------
    arrow : array (n, ARROW_COLUMNS)
        Arrow rows. [as in the columns]

    Returns
    -------
    area : array (n,)
        Drag over dynamic pressure. [m²]

    Holds
    -----
    Pressure drag only; its friction is counted with the shaft's.

    Source
    ------
    Coefficient times frontal area; structure K₁ B D² after Rheingans 1936.
    """
    return arrow[:, POINT_DRAG] * math.pi / 4.0 * arrow[:, POINT_DIAMETER] ** 2


def base_drag_area(
    arrow: NDArray[np.float64], friction_area: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Drag area of the blunt rear end.

    Parameters
    ----------
    arrow : array (n, ARROW_COLUMNS)
        Arrow rows. [as in the columns]
    friction_area : array (n,)
        Drag area of the shaft's friction. [m²]

    Returns
    -------
    area : array (n,)
        Drag over dynamic pressure. [m²]

    Holds
    -----
    Rear end cut square; a long body has a thick boundary layer and little suction.

    Source
    ------
    Hoerner, Fluid-Dynamic Drag, 0.029 / √(C_D of the forebody) on base area (from
    memory).
    """
    base = math.pi / 4.0 * arrow[:, DIAMETER] ** 2
    return 0.029 * base / np.sqrt(friction_area / base)


def drag_coefficient(
    arrow: NDArray[np.float64], density: float, viscosity: float, speed: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Drag coefficient of the whole arrow on the frontal area of its shaft.

    Parameters
    ----------
    arrow : array (n, ARROW_COLUMNS)
        Arrow rows. [as in the columns]
    density : float
        Density of the air. [kg/m³]
    viscosity : float
        Dynamic viscosity of the air. [Pa s]
    speed : array (n,)
        Speed through the air. [m/s]

    Returns
    -------
    coefficient : array (n,)
        Drag over dynamic pressure and frontal area. [1]

    Holds
    -----
    Arrow pointing along its flight; the parts do not disturb each other.

    Source
    ------
    Sum of the parts of this file.
    """
    friction = shaft_friction_area(arrow, density, viscosity, speed)
    total = (
        friction
        + base_drag_area(arrow, friction)
        + point_drag_area(arrow)
        + fletching_drag_area(arrow, density, viscosity, speed)
    )
    return total / (math.pi / 4.0 * arrow[:, DIAMETER] ** 2)


def fletching_normal_area(
    arrow: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Normal-force areas of the fletching: a straight part and a vortex part.

    Parameters
    ----------
    arrow : array (n, ARROW_COLUMNS)
        Arrow rows. [as in the columns]

    Returns
    -------
    linear : array (n,)
        Normal force over dynamic pressure and small angle, averaged over the roll
        of the arrow. [m²/rad]
    vortex : array (n,)
        Normal force over dynamic pressure and sin² of the angle. [m²]

    Holds
    -----
    Low fins, angles to about 30 degrees, two to about six evenly spaced; no loss
    from one fin shadowing another.

    Source
    ------
    Helmbold's low-aspect slope 2π A / (2 + √(4 + A²)); slender wing with body,
    factor (1 + r/(r + h))² (Pitts, Nielsen, Kaattari 1957); vortex lift π sin²
    (Polhamus 1966). All from memory.
    """
    bare = arrow[:, COUNT] < 0.5
    area = np.where(bare, 1.0, arrow[:, AREA])
    aspect = 2.0 * arrow[:, HEIGHT] ** 2 / area
    slope = 2.0 * math.pi * aspect / (2.0 + np.sqrt(4.0 + aspect**2))
    radius = 0.5 * arrow[:, DIAMETER]
    body = (1.0 + radius / (radius + arrow[:, HEIGHT])) ** 2
    # Round the shaft each fin sees the angle times a sine: squared it averages 1/2,
    # cubed 4/(3π).
    linear = np.where(bare, 0.0, 0.5 * arrow[:, COUNT] * area * slope * body)
    vortex = np.where(bare, 0.0, 4.0 / (3.0 * math.pi) * arrow[:, COUNT] * area * VORTEX_FACTOR)
    return linear, vortex


def spin_per_metre(angle: float, diameter: float, height: float) -> float:
    """Settled spin of an arrow, as turning angle for each metre flown.

    Parameters
    ----------
    angle : float
        Effective setting of the feathers, camber counted in. [rad]
    diameter : float
        Outer diameter of the shaft. [m]
    height : float
        Height of a feather above the shaft. [m]

    Returns
    -------
    spin : float
        Angle turned per distance flown. [rad/m]

    Holds
    -----
    Settled: the feather at its middle height meets the air edge on. Fully built up
    after a few metres.

    Source
    ------
    Derived: tan(angle) over the radius at half height.
    """
    return math.tan(angle) / (0.5 * diameter + 0.5 * height)


(
    C_MASS,
    C_INERTIA,
    C_FIXED_DRAG,
    C_FRICTION,
    C_SPEED,
    C_EXPONENT,
    C_FLETCH_DRAG,
    C_NOSE,
    C_NOSE_ARM,
    C_FLETCH,
    C_VORTEX,
    C_FLETCH_ARM,
    C_CROSS,
    C_REAR_ARM,
    C_TIP_ARM,
    C_BEND_RATE,
    C_BEND_AMPLITUDE,
    C_SPIN,
    C_SPIN_DISTANCE,
    COEFFICIENT_COLUMNS,
) = range(20)


def coefficient_rows(
    arrow: NDArray[np.float64], density: float, viscosity: float, speed: NDArray[np.float64]
) -> NDArray[np.float64]:
    """What the flight needs of each arrow, from its geometry and launch speed.

    Parameters
    ----------
    arrow : array (n, ARROW_COLUMNS)
        Arrow rows. [as in the columns]
    density : float
        Density of the air. [kg/m³]
    viscosity : float
        Dynamic viscosity of the air. [Pa s]
    speed : array (n,)
        Speed through the air on leaving, at which friction is fixed; its change in
        flight follows the friction law's own power. [m/s]

    Returns
    -------
    coefficients : array (n, COEFFICIENT_COLUMNS)
        Columns in the order of the C_ names: mass [kg], inertia [kg m²], fixed drag
        area [m²], friction area on leaving [m²], air speed on leaving [m/s], power
        [1], fletching drag area [m²], nose normal area [m²/rad], nose arm [m],
        fletching linear area [m²/rad], vortex area [m²], arm [m], cross-flow
        coefficient times diameter [m], arm of nock [m], arm of tip [m], bending
        decay [1/s], bending amplitude [m], spin [rad/m], spin build-up distance [m].

    Holds
    -----
    As the functions it calls.

    Source
    ------
    The functions of this file; slender nose 2 per radian on frontal area and
    cross-flow coefficient 1.1 (textbook values, from memory).
    """
    out = np.zeros((arrow.shape[0], COEFFICIENT_COLUMNS))
    balance = arrow[:, BALANCE]
    diameter = arrow[:, DIAMETER]
    friction = shaft_friction_area(arrow, density, viscosity, speed)
    linear, vortex = fletching_normal_area(arrow)
    out[:, C_MASS] = arrow[:, MASS]
    out[:, C_INERTIA] = arrow[:, INERTIA]
    out[:, C_FIXED_DRAG] = point_drag_area(arrow) + base_drag_area(arrow, friction)
    out[:, C_FRICTION] = friction
    out[:, C_SPEED] = speed
    out[:, C_EXPONENT] = np.where(arrow[:, SURFACE] > 0.5, 1.0 / 7.0, 0.5)
    out[:, C_FLETCH_DRAG] = fletching_drag_area(arrow, density, viscosity, speed)
    out[:, C_NOSE] = NOSE_SLOPE * math.pi / 4.0 * diameter**2 + arrow[:, POINT_NORMAL]
    out[:, C_NOSE_ARM] = arrow[:, TIP] - balance
    out[:, C_FLETCH] = linear
    out[:, C_VORTEX] = vortex
    out[:, C_FLETCH_ARM] = np.where(
        arrow[:, COUNT] > 0.5, arrow[:, FLETCH_CENTRE] - balance, -balance
    )
    out[:, C_CROSS] = CROSS_FLOW_DRAG * diameter
    out[:, C_REAR_ARM] = -balance
    out[:, C_TIP_ARM] = arrow[:, TIP] - balance
    out[:, C_BEND_RATE] = 2.0 * math.pi * arrow[:, BEND_FREQUENCY] * arrow[:, BEND_DAMPING]
    out[:, C_BEND_AMPLITUDE] = arrow[:, BEND_AMPLITUDE]
    arm = 0.5 * (diameter + arrow[:, HEIGHT])
    fletched = linear > 0.0
    out[:, C_SPIN] = np.where(fletched, np.tan(arrow[:, ANGLE]) / arm, 0.0)
    # A solid shaft's roll inertia is m d²/8; the fins' slope without the averaging
    # over roll is twice the linear area.
    roll = arrow[:, MASS] * diameter**2 / 8.0
    grip = max(density, 1e-9) * 2.0 * np.where(fletched, linear, 1.0) * arm**2
    out[:, C_SPIN_DISTANCE] = 2.0 * roll / grip
    return out
