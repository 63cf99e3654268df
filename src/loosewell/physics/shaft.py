"""Stiffness and mass along a shaft: solid, hollow, oval, tapered, stepped.

Plain Python and NumPy: a shaft's profile is worked out once a match, so there is
nothing to gain from compiling, and the bench starts faster without it. Stations
run from the nock throat (0) to the front of the shaft.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from loosewell.physics.spine import Value, midspan_deflection_varying

SHEAR_CORRECTION = 1.10
"""Factor on the tabulated stiffness of wood for a slender shaft. [1]"""

_GAUSS_POINT, _GAUSS_WEIGHT = np.polynomial.legendre.leggauss(4)


def second_moment_solid(diameter: Value) -> Value:
    """Second moment of area of a solid round shaft.

    Parameters
    ----------
    diameter : float or array, any shape
        Outer diameter. [m]

    Returns
    -------
    second_moment : float or array
        I about a diameter. [m⁴]

    Holds
    -----
    Round section.

    Source
    ------
    Geometry, π D⁴ / 64.
    """
    return math.pi * diameter**4 / 64.0


def second_moment_tube(outer: Value, inner: Value) -> Value:
    """Second moment of area of a round tube.

    Parameters
    ----------
    outer : float or array, any shape
        Outer diameter. [m]
    inner : float or array, shape of outer
        Inner diameter, below outer; zero for a solid shaft. [m]

    Returns
    -------
    second_moment : float or array
        I about a diameter. [m⁴]

    Holds
    -----
    Round, bore on the axis.

    Source
    ------
    Geometry, π (D⁴ − d⁴) / 64.
    """
    return math.pi * (outer**4 - inner**4) / 64.0


def second_moment_oval(in_plane: Value, across: Value) -> Value:
    """Second moment of area of a solid oval shaft for bending in one plane.

    Parameters
    ----------
    in_plane : float or array, any shape
        Diameter in the plane of bending. [m]
    across : float or array, shape of in_plane
        Diameter square to the plane of bending. [m]

    Returns
    -------
    second_moment : float or array
        I about the axis square to the plane of bending. [m⁴]

    Holds
    -----
    Elliptic section, principal axes in and across the plane.

    Source
    ------
    Geometry, π a³ b / 64.
    """
    return math.pi * in_plane**3 * across / 64.0


def area_solid(diameter: Value) -> Value:
    """Area of a solid round section.

    Parameters
    ----------
    diameter : float or array, any shape
        Outer diameter. [m]

    Returns
    -------
    area : float or array
        Area of the section. [m²]

    Holds
    -----
    Round section.

    Source
    ------
    Geometry, π D² / 4.
    """
    return math.pi * diameter**2 / 4.0


def area_tube(outer: Value, inner: Value) -> Value:
    """Area of the wall of a round tube.

    Parameters
    ----------
    outer : float or array, any shape
        Outer diameter. [m]
    inner : float or array, shape of outer
        Inner diameter, below outer; zero for a solid shaft. [m]

    Returns
    -------
    area : float or array
        Area of the wall. [m²]

    Holds
    -----
    Round section.

    Source
    ------
    Geometry, π (D² − d²) / 4.
    """
    return math.pi * (outer**2 - inner**2) / 4.0


def frustum(wide: float, narrow: float, length: float) -> tuple[float, float]:
    """Volume of a cut-off cone and where its middle lies: the taper that takes a point or a nock.

    Parameters
    ----------
    wide : float
        Diameter at the wide end. [m]
    narrow : float
        Diameter at the narrow end, from 0 up to wide. [m]
    length : float
        Along the axis. [m]

    Returns
    -------
    volume : float
        Of the solid cone; nan for one that cannot be. [m³]
    centre : float
        Centre of volume from the wide end. [m]

    Holds
    -----
    Round, solid, straight taper.

    Source
    ------
    Geometry, V = π l (D² + D d + d²) / 12, centre l (D² + 2 D d + 3 d²) / (4 (D² + D d + d²)).
    """
    if not (0.0 <= narrow <= wide and wide > 0.0 and length >= 0.0):
        return math.nan, math.nan
    squares = wide**2 + wide * narrow + narrow**2
    volume = math.pi * length * squares / 12.0
    centre = length * (wide**2 + 2.0 * wide * narrow + 3.0 * narrow**2) / (4.0 * squares)
    return volume, centre


def taper_length(wide: float, narrow: float, half_angle: float) -> float:
    """Length of a taper from one diameter to another.

    Parameters
    ----------
    wide : float
        Diameter where the taper begins. [m]
    narrow : float
        Diameter of its flat end. [m]
    half_angle : float
        Between the axis and the side of the taper. [rad]

    Returns
    -------
    length : float
        Along the axis; 0 where the shaft is no thicker than the flat end. [m]

    Holds
    -----
    Straight taper, half angle above zero.

    Source
    ------
    Geometry, (D − d) / (2 tan α).
    """
    return max(wide - narrow, 0.0) / (2.0 * math.tan(half_angle))


def bending_stress_solid(moment: Value, diameter: Value) -> Value:
    """Largest bending stress in a solid round shaft.

    Parameters
    ----------
    moment : float or array, any shape
        Bending moment. [N m]
    diameter : float or array, shape of moment
        Outer diameter. [m]

    Returns
    -------
    stress : float or array
        In the outermost fibre, pull on one side and push on the other. [Pa]

    Holds
    -----
    Elastic, small bending, one material across the section, round.

    Source
    ------
    Geometry, σ = M c / I = 32 M / (π D³).
    """
    return 32.0 * moment / (math.pi * diameter**3)


def profile_elements(
    station: NDArray[np.float64],
    diameter: NDArray[np.float64],
    inner: NDArray[np.float64],
    length: float,
    elements: int,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean second moment and mean area of each of a number of equal elements.

    Parameters
    ----------
    station : array (stations,)
        Positions from the nock throat, not falling; a position given twice is a
        step. [m]
    diameter : array (stations,)
        Outer diameter, straight between stations and constant beyond the
        outermost. [m]
    inner : array (stations,)
        Inner diameter, zeros for a solid shaft, below diameter. [m]
    length : float
        Length of the shaft. [m]
    elements : int
        Number of equal elements. [1]

    Returns
    -------
    second_moment : array (elements,)
        Mean I over each element; all nan for a profile that cannot be. [m⁴]
    area : array (elements,)
        Mean area of material over each element. [m²]

    Holds
    -----
    Round sections. The mean keeps the mass exact; the mean of I is what a beam
    element of constant stiffness takes, and converges with the square of the
    element's length.

    Source
    ------
    Geometry; four-point Gauss rule between all breaks, exact for straight tapers.
    """
    station = np.asarray(station, dtype=np.float64)
    diameter = np.asarray(diameter, dtype=np.float64)
    inner = np.asarray(inner, dtype=np.float64)
    second = np.full(elements, np.nan)
    area = np.full(elements, np.nan)
    if not (
        length > 0.0
        and np.all(diameter > inner)
        and np.all(inner >= 0.0)
        and np.all(np.diff(station) >= 0.0)
    ):
        return second, area
    edge = np.linspace(0.0, length, elements + 1)
    for e in range(elements):
        inside = station[(station > edge[e]) & (station < edge[e + 1])]
        breaks = np.unique(np.concatenate([inside, edge[e : e + 2]]))
        second_sum = 0.0
        area_sum = 0.0
        for left, right in pairwise(breaks):
            half = 0.5 * (right - left)
            s = 0.5 * (left + right) + half * _GAUSS_POINT
            outer_here = _between(station, diameter, s, 0.5 * (left + right))
            inner_here = _between(station, inner, s, 0.5 * (left + right))
            second_sum += half * float(
                np.sum(_GAUSS_WEIGHT * second_moment_tube(outer_here, inner_here))
            )
            area_sum += half * float(np.sum(_GAUSS_WEIGHT * area_tube(outer_here, inner_here)))
        second[e] = second_sum / (edge[e + 1] - edge[e])
        area[e] = area_sum / (edge[e + 1] - edge[e])
    return second, area


def _between(
    station: NDArray[np.float64],
    value: NDArray[np.float64],
    s: NDArray[np.float64],
    middle: float,
) -> NDArray[np.float64]:
    """Value at points of one piece; the pair of stations is picked by the piece's middle."""
    after = int(np.searchsorted(station, middle))
    if after == 0:
        return np.full_like(s, value[0])
    if after == station.size:
        return np.full_like(s, value[-1])
    share = (s - station[after - 1]) / (station[after] - station[after - 1])
    return np.asarray(value[after - 1] + share * (value[after] - value[after - 1]))


def element_properties(
    station: NDArray[np.float64],
    diameter: NDArray[np.float64],
    inner: NDArray[np.float64],
    length: float,
    elements: int,
    modulus: float,
    density: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Bending stiffness and mass per length of each of a number of equal elements.

    Parameters
    ----------
    station : array (stations,)
        Positions from the nock throat, not falling. [m]
    diameter : array (stations,)
        Outer diameter at the stations. [m]
    inner : array (stations,)
        Inner diameter at the stations, zeros for a solid shaft. [m]
    length : float
        Length of the shaft. [m]
    elements : int
        Number of equal elements. [1]
    modulus : float
        Young's modulus along the shaft. [Pa]
    density : float
        Density of the material. [kg/m³]

    Returns
    -------
    bending_stiffness : array (elements,)
        Mean E·I of each element. [N m²]
    mass_per_length : array (elements,)
        Mean mass per length of each element. [kg/m]

    Holds
    -----
    As profile_elements; one material along the whole shaft.

    Source
    ------
    Geometry and the definition of modulus and density.
    """
    second, area = profile_elements(station, diameter, inner, length, elements)
    return modulus * second, density * area


def modulus_from_deflection(
    station: NDArray[np.float64],
    diameter: NDArray[np.float64],
    inner: NDArray[np.float64],
    load: float,
    span: float,
    deflection: float,
    rear_support: float | None = None,
) -> float:
    """Young's modulus that makes a shaft of this profile read this deflection.

    Parameters
    ----------
    station : array (stations,)
        Positions from the nock throat, not falling. [m]
    diameter : array (stations,)
        Outer diameter at the stations. [m]
    inner : array (stations,)
        Inner diameter at the stations, zeros for a solid shaft. [m]
    load : float
        Force hung half-way between the supports. [N]
    span : float
        Distance between the supports. [m]
    deflection : float
        Deflection read. [m]
    rear_support : float or None
        Position of the support nearer the nock; None centres the stations. [m]

    Returns
    -------
    modulus : float
        Young's modulus; nan where the profile or the span cannot be. [Pa]

    Holds
    -----
    One material along the shaft, round sections.

    Source
    ------
    Deflection goes with 1/E, so one reading at E = 1 gives E.
    """
    second = second_moment_tube(
        np.asarray(diameter, dtype=np.float64), np.asarray(inner, dtype=np.float64)
    )
    return midspan_deflection_varying(load, span, station, second, rear_support) / deflection


def stiffness_scale(
    load: float,
    span: float,
    station: NDArray[np.float64],
    bending_stiffness: NDArray[np.float64],
    deflection: float,
    rear_support: float | None = None,
) -> float:
    """Factor on a stiffness profile that makes it read the measured deflection.

    Parameters
    ----------
    load : float
        Force hung half-way between the supports. [N]
    span : float
        Distance between the supports. [m]
    station : array (stations,)
        Positions along the shaft, not falling. [m]
    bending_stiffness : array (stations,)
        E·I of the profile before scaling. [N m²]
    deflection : float
        Deflection read. [m]
    rear_support : float or None
        Position of the support nearer the nock; None centres the stations. [m]

    Returns
    -------
    factor : float
        Multiply the profile by it. [1]

    Holds
    -----
    The shape of the profile is right, its level is not.

    Source
    ------
    Deflection goes with 1/(E I).
    """
    return (
        midspan_deflection_varying(load, span, station, bending_stiffness, rear_support)
        / deflection
    )


def mass_scale(mass_per_length: NDArray[np.float64], length: float, mass: float) -> float:
    """Factor on a mass profile of equal elements that makes it weigh what was weighed.

    Parameters
    ----------
    mass_per_length : array (elements,)
        Mass per length of equal elements before scaling. [kg/m]
    length : float
        Length of the shaft. [m]
    mass : float
        Mass weighed. [kg]

    Returns
    -------
    factor : float
        Multiply the profile by it. [1]

    Holds
    -----
    The shape of the profile is right, its level is not.

    Source
    ------
    Definition of mass per length.
    """
    return mass / (float(np.mean(mass_per_length)) * length)


def arrow_mass_properties(
    mass_per_length: NDArray[np.float64],
    length: float,
    point_mass: float,
    point_centre: float,
    point_inertia: float,
    rear_mass: NDArray[np.float64],
    rear_centre: NDArray[np.float64],
) -> tuple[float, float, float]:
    """Mass, balance point and transverse inertia of a whole arrow.

    Parameters
    ----------
    mass_per_length : array (elements,)
        Mass per length of equal elements of the shaft. [kg/m]
    length : float
        Nock throat to front of the shaft. [m]
    point_mass : float
        Mass of the point. [kg]
    point_centre : float
        Centre of mass of the point ahead of the front of the shaft; negative
        when a socket takes it behind. [m]
    point_inertia : float
        Transverse inertia of the point about its own centre of mass. [kg m²]
    rear_mass : array (parts,)
        Masses of nock, fletching, binding. [kg]
    rear_centre : array (parts,)
        Their centres of mass from the nock throat. [m]

    Returns
    -------
    mass : float
        Whole mass. [kg]
    balance : float
        Centre of mass from the nock throat. [m]
    inertia : float
        Moment of inertia about a cross axis through the centre of mass. [kg m²]

    Holds
    -----
    Straight arrow; each element's own inertia is that of a thin rod.

    Source
    ------
    Parallel-axis theorem.
    """
    elements = mass_per_length.size
    step = length / elements
    centre = (np.arange(elements) + 0.5) * step
    piece = mass_per_length * step
    part_mass = np.concatenate([piece, [point_mass], np.asarray(rear_mass, dtype=np.float64)])
    part_centre = np.concatenate(
        [centre, [length + point_centre], np.asarray(rear_centre, dtype=np.float64)]
    )
    mass = float(np.sum(part_mass))
    balance = float(np.sum(part_mass * part_centre) / mass)
    own = float(np.sum(piece) * step**2 / 12.0) + point_inertia
    return mass, balance, own + float(np.sum(part_mass * (part_centre - balance) ** 2))


def front_of_centre(balance: float, length: float) -> float:
    """Front of centre: how far the balance lies ahead of mid-length, over the length.

    Parameters
    ----------
    balance : float
        Nock throat to balance point. [m]
    length : float
        Nock throat to the front of the shaft, point not counted. [m]

    Returns
    -------
    front_of_centre : float
        Share of the length; 0.10 is printed as 10 %. [1]

    Holds
    -----
    Length without the point; taking it to the tip instead lowers the figure by
    about one percentage point.

    Source
    ------
    Balance method and base length after ASTM F1435-08 (abstract); the formula
    (A − L/2)/L from memory.
    """
    return (balance - 0.5 * length) / length


def wood_density(specific_gravity: float, moisture: float = 0.12) -> float:
    """Density of wood at a moisture content from its tabulated specific gravity.

    Parameters
    ----------
    specific_gravity : float
        Oven-dry weight over volume at this moisture. [1]
    moisture : float
        Water over oven-dry wood, 0.12 for 12 %. [1]

    Returns
    -------
    density : float
        Mass of wood and water per volume. [kg/m³]

    Holds
    -----
    Specific gravity given for the same moisture content.

    Source
    ------
    Wood Handbook FPL-GTR-190/282, chapter 4, ρ = 1000 G (1 + M).
    """
    return 1000.0 * specific_gravity * (1.0 + moisture)


def slender_wood_modulus(tabulated_modulus: float) -> float:
    """Modulus of a slender wooden shaft from a tabulated static-bending modulus.

    Parameters
    ----------
    tabulated_modulus : float
        Modulus of elasticity from a test at span 14 times depth. [Pa]

    Returns
    -------
    modulus : float
        Modulus without the part of the deflection that was shear. [Pa]

    Holds
    -----
    Clear wood; spans above about 50 diameters, where shear no longer counts.

    Source
    ------
    Wood Handbook FPL-GTR-282, Table 5-3b, footnote c: raise by 10 % for shear.
    """
    return SHEAR_CORRECTION * tabulated_modulus


def modulus_at_moisture(
    dry_modulus: float, green_modulus: float, moisture: float, meeting_moisture: float = 0.25
) -> float:
    """Modulus of wood at a moisture content, from its 12 % and green values.

    Parameters
    ----------
    dry_modulus : float
        Modulus at 12 % moisture. [Pa]
    green_modulus : float
        Modulus of green wood. [Pa]
    moisture : float
        Water over oven-dry wood, 0.12 for 12 %. [1]
    meeting_moisture : float
        Moisture at which drying begins to change the property. [1]

    Returns
    -------
    modulus : float
        Modulus at this moisture; the green value above the meeting point. [Pa]

    Holds
    -----
    Clear wood near room temperature, moisture 6 % to green.

    Source
    ------
    Wood Handbook chapter 5 (from memory): P = P12 (P12/Pg)^((12 − M)/(Mp − 12)).
    """
    held = min(moisture, meeting_moisture)
    power = (0.12 - held) / (meeting_moisture - 0.12)
    return dry_modulus * math.pow(dry_modulus / green_modulus, power)


def equilibrium_moisture(temperature: float, humidity: float) -> float:
    """Moisture content at which wood settles in air of this temperature and humidity.

    Parameters
    ----------
    temperature : float
        Air temperature. [K]
    humidity : float
        Relative humidity, 0 to 1. [1]

    Returns
    -------
    moisture : float
        Water over oven-dry wood. [1]

    Holds
    -----
    Wood left long enough (weeks for a shaft); about 0 to 60 °C.

    Source
    ------
    Simpson 1998, FPL-RN-0268 (Hailwood-Horrobin form), constants as carried by a
    public source file citing it.
    """
    t = temperature - 273.15
    w = 349.0 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * humidity
    percent = (
        1800.0
        / w
        * (kh / (1.0 - kh) + (k1 * kh + 2.0 * k1 * k2 * kh**2) / (1.0 + k1 * kh + k1 * k2 * kh**2))
    )
    return percent / 100.0


def with_joint(
    edge: NDArray[np.float64],
    bending_stiffness: NDArray[np.float64],
    mass_per_length: NDArray[np.float64],
    station: float,
    sleeve_length: float,
    sleeve_mass: float,
    stiffness_ratio: float,
    compliance: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Stiffness and mass along a shaft with one joint put in.

    Parameters
    ----------
    edge : array (pieces + 1,)
        Ends of the pieces from the nock throat, rising. [m]
    bending_stiffness : array (pieces,)
        E·I of the plain shaft. [N m²]
    mass_per_length : array (pieces,)
        Mass per length of the plain shaft. [kg/m]
    station : float
        Middle of the joint. [m]
    sleeve_length : float
        Length of the stretch the sleeve stiffens. [m]
    sleeve_mass : float
        Mass of sleeve and fittings, spread over that stretch. [kg]
    stiffness_ratio : float
        E·I of that stretch over the plain shaft's. [1]
    compliance : float
        Extra angle of the joint for each unit of bending moment. [rad/(N m)]

    Returns
    -------
    bending_stiffness : array (pieces,)
        With the joint; all nan for a joint that cannot be. [N m²]
    mass_per_length : array (pieces,)
        With the joint. [kg/m]

    Holds
    -----
    Any number of joints, one call each. The extra angle is smeared over the
    stretch, at least one piece long, so that the whole turn under a moment is
    exact. Play (a joint that moves without moment) is not stiffness: it enters as
    an unknown kink elsewhere.

    Source
    ------
    Derived: flexibilities in series add, 1/(E I) + compliance/length.
    """
    edge = np.asarray(edge, dtype=np.float64)
    length = np.diff(edge)
    half = 0.5 * max(sleeve_length, float(np.max(length)))
    low = max(station - half, float(edge[0]))
    high = min(station + half, float(edge[-1]))
    if not (
        edge[0] <= station <= edge[-1]
        and stiffness_ratio > 0.0
        and compliance >= 0.0
        and sleeve_mass >= 0.0
        and sleeve_length >= 0.0
    ):
        return np.full(length.size, np.nan), np.full(length.size, np.nan)
    inside = np.clip(np.minimum(edge[1:], high) - np.maximum(edge[:-1], low), 0.0, None)
    part = inside / length
    flexibility = (1.0 - part) / bending_stiffness
    flexibility = flexibility + part / (bending_stiffness * stiffness_ratio)
    flexibility = flexibility + compliance / (high - low) * part
    mass = mass_per_length + sleeve_mass / (high - low) * part
    return np.asarray(1.0 / flexibility), np.asarray(mass)
