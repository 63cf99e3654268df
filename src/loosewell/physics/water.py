"""Water at the end of the flight: entry, travel below, and how to aim past refraction.

The flight ends when the point touches still, level water (flight.py, WATER_SURFACE).
From there: whether the arrow enters or may skip, how it slows on a straight path
below, and where a fish truly is when it seems to be elsewhere.

Angles below the horizontal are positive downward. Lengths along the path and depths
are those of the tip of the point, from the surface. Plain NumPy over whole batches;
only the way under water is compiled.

Columns of an arrival row, in order
-----------------------------------
0 ARRIVAL_SPEED [m/s], 1 PATH_DIP of the path below the horizontal [rad], 2 AXIS_DIP
of the arrow's axis below the horizontal [rad], 3 SLANT angle between axis and path
[rad].

Columns of an entry row, in order
---------------------------------
0 ENTRY_STATUS (see below), 1 CRITICAL_DIP below which it may skip [rad], 2 GRAZE the
lesser of path and axis below the horizontal [rad], 3 WATER_SPEED just below the
surface [m/s], 4 ENTRY_LOSS kinetic energy lost to the water on entering [J].

Entry status
------------
0 ENTERS, steeper than the critical angle; 1 MAY_SKIP, at or below it; 2 REFUSED, an
input that cannot be: all other columns are nan; 3 SLANTED, steeper, but the arrow
stands at more than 5 degrees to its path, so that the straight path below does not
hold. A status is what a rule of thumb says, never a promise: an arrow told to enter
may still skip, and one that enters may come out again.

Columns of a diver row, in order
--------------------------------
0 DIVE_SPEED at the surface, in the water [m/s], 1 DIVE_DIP of the path below the
horizontal [rad], 2 MASS [kg], 3 VOLUME of water the whole arrow displaces [m³], 4
LENGTH nock throat to the tip [m], 5 DIAMETER of the shaft [m], 6 POINT_DIAMETER [m],
7 POINT_DRAG coefficient on the point's frontal area [1], 8 WETTED length behind the
tip that water touches [m].

The water row
-------------
0 density [kg/m³], 1 viscosity [Pa s], 2 gravity [m/s²].

Columns of a track, one row a station
-------------------------------------
0 TRACK_SPEED [m/s], 1 TRACK_TIME [s], 2 TRACK_DEPTH of the tip [m]; nan beyond the
end.

Columns of an end row, in order
-------------------------------
0 END_STATUS: 0 SLOWED to the least speed, 1 PASSED the last station before that, 2
REFUSED, all else nan; 1 END_LENGTH of path [m], 2 END_TIME [s], 3 END_DEPTH [m], 4
END_SPEED [m/s].

Columns of a sight row, in order
--------------------------------
0 SIGHT_STATUS: 0 SEEN or 2 REFUSED, all else nan; 1 CROSSING level distance from the
eye at which the ray from the fish leaves the water [m], 2 SIGHT_DIP of the line of
sight below the horizontal [rad], 3 TRUE_DIP of the straight line from eye to fish
[rad], 4 LIFT by which the fish seems too high, TRUE_DIP less SIGHT_DIP [rad], 5
SEEN_DEPTH at which the line of sight meets the upright through the fish [m].

Columns of an aim row, in order
-------------------------------
0 AIM_STATUS: 0 SEEN or 2 REFUSED, all else nan; 1 BELOW the seen fish, on the upright
through it [m], 2 ARROW_DIP of the straight line from the bow's arrow to the fish
[rad], 3 AIM_ANGLE between the lines from the arrow to the seen and to the true fish
[rad], 4 SHORT of the line of sight's crossing at which the arrow meets the water,
below zero when beyond it [m].
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import ArrayLike, NDArray

from loosewell.physics import flight

Array = NDArray[np.float64]

ARRIVAL_SPEED, PATH_DIP, AXIS_DIP, SLANT, ARRIVAL_COLUMNS = range(5)
ENTRY_STATUS, CRITICAL_DIP, GRAZE, WATER_SPEED, ENTRY_LOSS, ENTRY_COLUMNS = range(6)
(
    DIVE_SPEED,
    DIVE_DIP,
    MASS,
    VOLUME,
    LENGTH,
    DIAMETER,
    POINT_DIAMETER,
    POINT_DRAG,
    WETTED,
    DIVER_COLUMNS,
) = range(10)
TRACK_SPEED, TRACK_TIME, TRACK_DEPTH, TRACK_COLUMNS = range(4)
END_STATUS, END_LENGTH, END_TIME, END_DEPTH, END_SPEED, END_COLUMNS = range(6)
SIGHT_STATUS, CROSSING, SIGHT_DIP, TRUE_DIP, LIFT, SEEN_DEPTH, SIGHT_COLUMNS = range(7)
AIM_STATUS, BELOW, ARROW_DIP, AIM_ANGLE, SHORT, AIM_COLUMNS = range(6)

ENTERS = 0
MAY_SKIP = 1
REFUSED = 2
SLANTED = 3

SLOWED = 0
PASSED = 1

SEEN = 0

REFRACTIVE_INDEX = 1.333
"""Of fresh water against air, visible light, 20 °C. [1] From memory; sea water is
1.339 to 1.34, from memory."""
SPHERE_DIP = math.radians(18.0)
"""Angle to the surface below which a fast ball as dense as water ricochets. [rad]
Birkhoff and others 1944 and Johnson & Reid 1975, from memory."""
LARGEST_SLANT = math.radians(5.0)
"""Angle between axis and path up to which the path below is taken as straight. [rad]
A modelling choice, no source."""
WATER_POINT_DRAG = {"blunt": 0.8, "cone": 0.4, "slender cone": 0.3}
"""Drag coefficient of a point under water on its own frontal area, a cavity behind its
rim. [1] A flat face 0.8 and cones 0.3 to 0.5, from memory; the figure taken inside
that span is a modelling choice."""
FINEST_STEP = 0.005
"""Longest stretch of path integrated at once under water. [m]"""
FARTHEST_STATION = 100.0
"""Longest path under water told of, far beyond any arrow's. [m]"""


def arrival(landed: Array, elevation: ArrayLike) -> Array:
    """Speed, dip and attitude of arrows that came down on level water.

    Parameters
    ----------
    landed : ndarray, shape (n, RESULT_COLUMNS of flight.py)
        Results of the flight. [as there]
    elevation : float or ndarray, shape (n,)
        Elevation of the line of aim of each. [rad]

    Returns
    -------
    arriving : ndarray, shape (n, ARRIVAL_COLUMNS)
        Nan for every arrow whose flight did not end with WATER. [as in the columns]

    Holds
    -----
    As the flight; the velocity is that of the balance point, the turning of the arrow
    adds to it at the tip (3 % at 4 rad/s and 45 m/s).

    Source
    ------
    Geometry; derived in docs/physics/water.md.
    """
    landed = np.atleast_2d(landed)
    sine, cosine = np.sin(elevation), np.cos(elevation)

    def level_and_upright(x: Array, y: Array, z: Array) -> Array:
        return np.stack([x * cosine - z * sine, y, x * sine + z * cosine], axis=-1)

    velocity = level_and_upright(
        landed[:, flight.FORWARD],
        landed[:, flight.END_SIDE_SPEED],
        landed[:, flight.END_RISE_SPEED],
    )
    yaw, pitch = landed[:, flight.END_YAW], landed[:, flight.END_PITCH]
    axis = level_and_upright(
        np.cos(pitch) * np.cos(yaw), np.cos(pitch) * np.sin(yaw), np.sin(pitch)
    )
    across = np.linalg.norm(np.cross(axis, velocity), axis=-1)
    along = np.sum(axis * velocity, axis=-1)
    arriving = np.empty((landed.shape[0], ARRIVAL_COLUMNS))
    arriving[:, ARRIVAL_SPEED] = np.linalg.norm(velocity, axis=-1)
    arriving[:, PATH_DIP] = np.arctan2(-velocity[:, 2], np.hypot(velocity[:, 0], velocity[:, 1]))
    arriving[:, AXIS_DIP] = np.arctan2(-axis[:, 2], np.hypot(axis[:, 0], axis[:, 1]))
    arriving[:, SLANT] = np.arctan2(across, along)
    arriving[landed[:, flight.STATUS] != flight.WATER] = np.nan
    return arriving


def critical_dip(specific_gravity: ArrayLike) -> Array:
    """Angle to the surface at or below which a fast body may skip off water.

    Parameters
    ----------
    specific_gravity : float or ndarray
        Mean density of the body over that of the water. [1]

    Returns
    -------
    dip : ndarray
        Critical angle of the path below the horizontal. [rad]

    Holds
    -----
    Fast balls, where weight matters little beside the push of the water. For an arrow
    it is a yardstick only: its nose, its length and the way it stands all matter, and
    no figure for arrows was found.

    Source
    ------
    18 degrees over the root of the specific gravity: Birkhoff and others 1944, Ricochet
    off Water; Johnson & Reid 1975, J. Mech. Eng. Sci. 17, 71. Both from memory.
    """
    density = np.asarray(specific_gravity, dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(SPHERE_DIP / np.sqrt(density), dtype=np.float64)


def added_mass(point_diameter: ArrayLike, density: float) -> Array:
    """Mass of water that moves along with the front of the arrow.

    Parameters
    ----------
    point_diameter : float or ndarray
        Of the point. [m]
    density : float
        Of the water. [kg/m³]

    Returns
    -------
    mass : ndarray
        To be added to the arrow's own, along its axis. [kg]

    Holds
    -----
    A flat front; more than a sharp point carries. A tenth of a gram for a 0.35 in
    point, so the difference is below half a percent of a light arrow.

    Source
    ------
    Half of the 8/3 · density · radius³ of a disc moved through water (Lamb,
    Hydrodynamics, from memory), as von Kármán 1929 used it for entry, from memory.
    """
    radius = 0.5 * np.asarray(point_diameter, dtype=np.float64)
    return np.asarray(4.0 / 3.0 * density * radius**3, dtype=np.float64)


def entry(
    arriving: Array,
    mass: ArrayLike,
    volume: ArrayLike,
    point_diameter: ArrayLike,
    density: float,
) -> Array:
    """Whether each arrow enters or may skip, and its speed just below the surface.

    Parameters
    ----------
    arriving : ndarray, shape (n, ARRIVAL_COLUMNS)
        As arrival gives them. [as in the columns]
    mass : float or ndarray, shape (n,)
        Of the whole arrow. [kg]
    volume : float or ndarray, shape (n,)
        Of water the whole arrow displaces. [m³]
    point_diameter : float or ndarray, shape (n,)
        Of the point. [m]
    density : float
        Of the water; zero for none. [kg/m³]

    Returns
    -------
    entering : ndarray, shape (n, ENTRY_COLUMNS)
        The speed is that of an arrow that does enter, whatever the status; it keeps
        the direction of its path. [as in the columns]

    Holds
    -----
    Level, still water; fast arrows. Comparing the *lesser* of the dips of path and
    axis with the critical angle is a modelling choice: an arrow that stands flatter
    than its path shows the water its belly.

    Source
    ------
    Momentum shared with the added mass at a stroke (von Kármán 1929, from memory);
    critical_dip for the angle; derived in docs/physics/water.md.
    """
    arriving = np.atleast_2d(np.asarray(arriving, dtype=np.float64))
    n = arriving.shape[0]
    m, v, d = (
        np.broadcast_to(np.asarray(x, dtype=np.float64), (n,))
        for x in (mass, volume, point_diameter)
    )
    speed, path, axis, slant = arriving.T
    with np.errstate(divide="ignore", invalid="ignore"):
        good = (speed > 0.0) & (path > 0.0) & (m > 0.0) & (v > 0.0) & (d >= 0.0)
        good &= np.isfinite(arriving).all(axis=1) & np.isfinite(m + v + d)
        good &= bool(np.isfinite(density)) and density >= 0.0
        critical = critical_dip(m / (v * density))
        carried = m + added_mass(d, density)
        inside = speed * m / carried
        graze = np.minimum(path, axis)
        loss = 0.5 * m * speed**2 - 0.5 * carried * inside**2
    out = np.stack([np.full(n, float(ENTERS)), critical, graze, inside, loss], axis=1)
    out[slant > LARGEST_SLANT, ENTRY_STATUS] = SLANTED
    out[graze <= critical, ENTRY_STATUS] = MAY_SKIP
    out[~good] = np.nan
    out[~good, ENTRY_STATUS] = REFUSED
    return out


@njit(cache=True, nogil=True, error_model="numpy")
def _areas(square, s, a, density, viscosity):
    """Drag coefficient times area of point and wetted skin together, the tip s below the surface.

    Friction on a plate as turbulent as the whole wetted length has it.
    """
    area = a[POINT_DRAG] * 0.25 * math.pi * a[POINT_DIAMETER] ** 2
    if a[WETTED] > 0.0 and density > 0.0 and viscosity > 0.0 and square > 0.0:
        reynolds = density * math.sqrt(square) * a[WETTED] / viscosity
        area += 0.031 * reynolds ** (-1.0 / 7.0) * math.pi * a[DIAMETER] * min(s, a[WETTED])
    return area


@njit(cache=True, nogil=True, error_model="numpy")
def _gain(square, s, a, density, viscosity, gravity):
    """Change of the speed squared with the path, the tip s below the surface."""
    carried = a[MASS] + 4.0 / 3.0 * density * (0.5 * a[POINT_DIAMETER]) ** 3
    under = min(s / a[LENGTH], 1.0) * a[VOLUME]
    push = gravity * math.sin(a[DIVE_DIP]) * (a[MASS] - density * under)
    drag = 0.5 * density * _areas(square, s, a, density, viscosity) * square
    return 2.0 * (push - drag) / carried


@njit(cache=True, nogil=True, error_model="numpy")
def _stretch(square, s, h, a, density, viscosity, gravity):
    """Speed squared and time taken over one stretch of path, fourth-order Runge-Kutta."""
    k1 = _gain(square, s, a, density, viscosity, gravity)
    w2 = square + 0.5 * h * k1
    k2 = _gain(w2, s + 0.5 * h, a, density, viscosity, gravity)
    w3 = square + 0.5 * h * k2
    k3 = _gain(w3, s + 0.5 * h, a, density, viscosity, gravity)
    w4 = square + h * k3
    k4 = _gain(w4, s + h, a, density, viscosity, gravity)
    after = square + h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
    lowest = min(min(w2, w3), min(w4, after))
    if lowest <= 0.0:
        return lowest, math.inf
    slow = 1.0 / math.sqrt(square) + 2.0 / math.sqrt(w2) + 2.0 / math.sqrt(w3) + 1.0 / math.sqrt(w4)
    return after, h / 6.0 * slow


@njit(cache=True, nogil=True, error_model="numpy")
def _dive(a, water, stations, least, track, end):
    """One arrow along the stations of its path."""
    for j in range(stations.shape[0]):
        for i in range(TRACK_COLUMNS):
            track[j, i] = np.nan
    for i in range(END_COLUMNS):
        end[i] = np.nan
    end[END_STATUS] = REFUSED
    good = a[MASS] > 0.0 and a[LENGTH] > 0.0 and a[DIVE_SPEED] > 0.0
    good = good and a[DIVE_DIP] > 0.0 and a[DIVE_DIP] <= 0.5 * math.pi + 1e-12
    for i in range(DIVER_COLUMNS):
        good = good and math.isfinite(a[i]) and a[i] >= 0.0
    for i in range(water.shape[0]):
        good = good and math.isfinite(water[i]) and water[i] >= 0.0
    if not (good and a[WETTED] <= a[LENGTH]):
        return

    density = water[0]
    viscosity = water[1]
    gravity = water[2]
    square = a[DIVE_SPEED] ** 2
    floor = least * least
    sine = math.sin(a[DIVE_DIP])
    s = 0.0
    t = 0.0
    status = PASSED if square > floor else SLOWED
    for j in range(stations.shape[0]):
        while s < stations[j] and status == PASSED:
            # The forces have corners where the skin and where the whole arrow is under.
            goal = stations[j]
            if s < a[WETTED] < goal:
                goal = a[WETTED]
            if s < a[LENGTH] < goal:
                goal = a[LENGTH]
            # Short against the path over which the speed squared changes by a twentieth.
            gain = abs(_gain(square, s, a, density, viscosity, gravity))
            h = min(FINEST_STEP, goal - s)
            if gain * h > 0.05 * square:
                h = 0.05 * square / gain
            after, took = _stretch(square, s, h, a, density, viscosity, gravity)
            # Slower than the least speed at the end of it: end where it is reached.
            if after <= floor:
                low = 0.0
                high = h
                for _ in range(60):
                    h = 0.5 * (low + high)
                    after, took = _stretch(square, s, h, a, density, viscosity, gravity)
                    if after <= floor:
                        high = h
                    else:
                        low = h
                h = low
                after, took = _stretch(square, s, h, a, density, viscosity, gravity)
                status = SLOWED
            s = goal if h == goal - s else s + h
            t += took
            square = after
        if status == SLOWED:
            break
        track[j, TRACK_SPEED] = math.sqrt(square)
        track[j, TRACK_TIME] = t
        track[j, TRACK_DEPTH] = s * sine
    end[END_STATUS] = status
    end[END_LENGTH] = s
    end[END_TIME] = t
    end[END_DEPTH] = s * sine
    end[END_SPEED] = math.sqrt(square)


@njit(cache=True, nogil=True, error_model="numpy")
def _dive_rows(divers, water, stations, least, track, end):
    """Every arrow of a batch."""
    for n in range(divers.shape[0]):
        _dive(divers[n], water, stations, least, track[n], end[n])


def travel(divers: Array, water: Array, stations: Array, least_speed: float) -> tuple[Array, Array]:
    """Speed, time and depth along straight paths under water, down to a least speed.

    Parameters
    ----------
    divers : ndarray, shape (n, DIVER_COLUMNS) or (DIVER_COLUMNS,)
        The arrows. [as in the columns]
    water : ndarray, shape (3,)
        The water row; density zero for none. [as there]
    stations : ndarray, shape (k,)
        Lengths of path at which to tell, rising. [m]
    least_speed : float
        Where the travel ends. [m/s]

    Returns
    -------
    track : ndarray, shape (n, k, TRACK_COLUMNS)
        At each station. [as in the columns]
    end : ndarray, shape (n, END_COLUMNS)
        Where each travel ends. [as in the columns]

    Holds
    -----
    Point first, along a straight path; the tip's cavity neither opens nor closes on
    the way, the wetted length says how much of the shaft it leaves dry. Friction
    turbulent, Reynolds number of the wetted length 5e5 to 1e8; shaft as even in
    volume from tip to nock. No line, no fletching, no bottom.

    Source
    ------
    Newton's law with quadratic drag, derived in docs/physics/water.md; friction
    0.031/Re^(1/7), as in aero.py; fourth-order Runge-Kutta.
    """
    rows = np.atleast_2d(np.ascontiguousarray(divers, dtype=np.float64))
    along = np.atleast_1d(np.ascontiguousarray(stations, dtype=np.float64))
    basin = np.ascontiguousarray(water, dtype=np.float64)
    if rows.shape[1] != DIVER_COLUMNS or basin.shape != (3,):
        raise ValueError("diver rows or water row do not have their columns")
    rising = along.size > 0 and bool(np.all(np.diff(along) > 0.0)) and along[0] >= 0.0
    if not (rising and along[-1] <= FARTHEST_STATION):
        raise ValueError("stations along the path must rise, from zero at least to 100 m at most")
    if not (math.isfinite(least_speed) and least_speed > 0.0):
        raise ValueError(f"least speed {least_speed} must be above zero")
    track = np.empty((rows.shape[0], along.size, TRACK_COLUMNS))
    end = np.empty((rows.shape[0], END_COLUMNS))
    _dive_rows(rows, basin, along, float(least_speed), track, end)
    return track, end


def coast(
    speed: ArrayLike, path: ArrayLike, carried: ArrayLike, drag_area: ArrayLike, density: float
) -> tuple[Array, Array]:
    """Speed and time over a path with nothing but even quadratic drag, in closed form.

    Parameters
    ----------
    speed : float or ndarray
        At the start. [m/s]
    path : float or ndarray
        Length of path. [m]
    carried : float or ndarray
        Mass with the added mass. [kg]
    drag_area : float or ndarray
        Drag coefficient times area. [m²]
    density : float
        Of the water. [kg/m³]

    Returns
    -------
    after : ndarray
        Speed at the end of the path. [m/s]
    time : ndarray
        Taken over it. [s]

    Holds
    -----
    No weight, no buoyancy, a drag area that does not change.

    Source
    ------
    v = v₀ exp(−s/λ), t = λ/v₀ (exp(s/λ) − 1), λ = 2 m / (density · area); derived in
    docs/physics/water.md.
    """
    v, s, m, area = (np.asarray(x, dtype=np.float64) for x in (speed, path, carried, drag_area))
    share = 0.5 * density * area / m * s
    # expm1(x)/x tends to 1 where there is no drag.
    stretched = np.where(share > 0.0, np.expm1(share) / np.where(share > 0.0, share, 1.0), 1.0)
    return v * np.exp(-share), s / v * stretched


def _broadcast(*values: ArrayLike) -> list[Array]:
    """All as arrays of one length."""
    rows = (np.atleast_1d(np.asarray(x, dtype=np.float64)) for x in values)
    return list(np.broadcast_arrays(*rows))


def refraction(
    eye_height: ArrayLike,
    distance: ArrayLike,
    depth: ArrayLike,
    index: ArrayLike = REFRACTIVE_INDEX,
) -> Array:
    """Where a fish seems to be and where it is, seen from above still water.

    Parameters
    ----------
    eye_height : float or ndarray, shape (n,)
        Above the water. [m]
    distance : float or ndarray, shape (n,)
        Level distance from the eye to the fish. [m]
    depth : float or ndarray, shape (n,)
        True depth of the fish. [m]
    index : float or ndarray, shape (n,)
        Refractive index of the water against the air. [1]

    Returns
    -------
    sight : ndarray, shape (n, SIGHT_COLUMNS)
        What is seen. [as in the columns]

    Holds
    -----
    Level water without waves. The seen depth is where the lines of sight of two level
    eyes meet: on the upright through the fish, by symmetry about it. With one eye, or
    the head tilted, only the line of sight is certain, not how far along it.

    Source
    ------
    Snell's law with the crossing solved to rounding; derived in docs/physics/water.md.
    """
    h, far, d, n = _broadcast(eye_height, distance, depth, index)
    with np.errstate(invalid="ignore"):
        good = (h > 0.0) & (far >= 0.0) & (d >= 0.0) & (n >= 1.0) & np.isfinite(h + far + d + n)
    h, far, d, n = (
        np.where(good, x, fill) for x, fill in ((h, 1.0), (far, 1.0), (d, 1.0), (n, 1.0))
    )

    # With u the tangent of the ray from the upright in air, its tangent in water is
    # u / root, root² = n² + (n² − 1) u², and h u + d u / root = distance. The left side
    # rises and bends downward, so Newton's steps from below close in from below.
    u = far / (h + d / n)
    for _ in range(60):
        root = np.sqrt(n**2 + (n**2 - 1.0) * u**2)
        step = (far - h * u - d * u / root) / (h + d * n**2 / root**3)
        u = u + step
        if np.all(np.abs(step) <= 4e-16 * u):
            break
    root = np.sqrt(n**2 + (n**2 - 1.0) * u**2)
    sight_dip = np.arctan2(1.0, u)
    true_dip = np.arctan2(h + d, far)
    seen = d / root
    out = np.stack(
        [np.full(h.shape, float(SEEN)), h * u, sight_dip, true_dip, true_dip - sight_dip, seen],
        axis=1,
    )
    out[~good] = np.nan
    out[~good, SIGHT_STATUS] = REFUSED
    return out


def true_depth(
    eye_height: ArrayLike,
    distance: ArrayLike,
    seen_depth: ArrayLike,
    index: ArrayLike = REFRACTIVE_INDEX,
) -> Array:
    """Depth at which a fish is that seems to be at another.

    Parameters
    ----------
    eye_height : float or ndarray, shape (n,)
        Above the water. [m]
    distance : float or ndarray, shape (n,)
        Level distance from the eye to the fish. [m]
    seen_depth : float or ndarray, shape (n,)
        At which the line of sight meets the upright through the fish. [m]
    index : float or ndarray, shape (n,)
        Refractive index of the water against the air. [1]

    Returns
    -------
    depth : ndarray, shape (n,)
        True depth, nan where the question cannot be. [m]

    Holds
    -----
    As refraction, of which it is the inverse.

    Source
    ------
    Snell's law, closed form; derived in docs/physics/water.md.
    """
    h, far, seen, n = _broadcast(eye_height, distance, seen_depth, index)
    with np.errstate(invalid="ignore"):
        good = (h > 0.0) & (far >= 0.0) & (seen >= 0.0) & (n >= 1.0)
        good &= np.isfinite(h + far + seen + n)
        u = far / np.where(good, h + seen, 1.0)
        return np.where(good, seen * np.sqrt(n**2 + (n**2 - 1.0) * u**2), np.nan)


def aim_below(
    eye_height: ArrayLike,
    arrow_height: ArrayLike,
    distance: ArrayLike,
    depth: ArrayLike,
    index: ArrayLike = REFRACTIVE_INDEX,
) -> Array:
    """How far below the fish it sees an arrow that goes straight must be pointed.

    Parameters
    ----------
    eye_height : float or ndarray, shape (n,)
        Above the water. [m]
    arrow_height : float or ndarray, shape (n,)
        Of the arrow on the bow above the water. [m]
    distance : float or ndarray, shape (n,)
        Level distance from eye and arrow to the fish. [m]
    depth : float or ndarray, shape (n,)
        True depth of the fish. [m]
    index : float or ndarray, shape (n,)
        Refractive index of the water against the air. [1]

    Returns
    -------
    aim : ndarray, shape (n, AIM_COLUMNS)
        BELOW is true less seen depth, and so the same for every arrow height; the
        other columns are not. [as in the columns]

    Holds
    -----
    As refraction; eye and arrow on one upright; a straight path through air and water
    alike: no fall in the air, no turning at the surface.

    Source
    ------
    Geometry on refraction; derived in docs/physics/water.md.
    """
    h, a, far, d, n = _broadcast(eye_height, arrow_height, distance, depth, index)
    sight = refraction(h, far, d, n)
    with np.errstate(invalid="ignore"):
        good = (sight[:, SIGHT_STATUS] == SEEN) & (a > 0.0) & np.isfinite(a)
        seen = sight[:, SEEN_DEPTH]
        dip = np.arctan2(a + d, far)
        angle = dip - np.arctan2(a + seen, far)
        short = sight[:, CROSSING] - far * (a / np.where(good, a + d, 1.0))
    out = np.stack([np.full(h.shape, float(SEEN)), d - seen, dip, angle, short], axis=1)
    out[~good] = np.nan
    out[~good, AIM_STATUS] = REFUSED
    return out


def below_through_slope(
    eye_height: ArrayLike,
    distance: ArrayLike,
    depth: ArrayLike,
    slope: ArrayLike,
    index: ArrayLike = REFRACTIVE_INDEX,
) -> Array:
    """How far below the seen fish it truly is, seen through a surface that a wave tilts.

    Parameters
    ----------
    eye_height : float or ndarray, shape (n,)
        Above the water. [m]
    distance : float or ndarray, shape (n,)
        Level distance from the eye to the fish. [m]
    depth : float or ndarray, shape (n,)
        True depth of the fish. [m]
    slope : float or ndarray, shape (n,)
        Tilt of the surface where the ray crosses it, positive when it rises away from the
        eye, so that the water faces the eye. [rad]
    index : float or ndarray, shape (n,)
        Refractive index of the water against the air. [1]

    Returns
    -------
    below : ndarray, shape (n,)
        On the upright through the fish, as BELOW of aim_below; nan where the question
        cannot be. [m]

    Holds
    -----
    The surface tilted up or down along the line of sight, not raised; tilts to about 15
    degrees; a ray that still meets the water from above.

    Source
    ------
    Snell's law about the tilted upright; derived in docs/physics/water.md.
    """
    h, far, d, tilt, n = _broadcast(eye_height, distance, depth, slope, index)
    with np.errstate(invalid="ignore"):
        good = (h > 0.0) & (far > 0.0) & (d >= 0.0) & (n >= 1.0) & (np.abs(tilt) < 0.3)
        good &= np.isfinite(h + far + d + n + tilt)
    h, far, d, tilt, n = (
        np.where(good, x, fill)
        for x, fill in ((h, 1.0), (far, 1.0), (d, 1.0), (tilt, 0.0), (n, 1.0))
    )
    # The crossing by halving: farther out the ray goes on farther under water as well.
    near, beyond = np.zeros_like(far), far + d
    for _ in range(80):
        middle = 0.5 * (near + beyond)
        meets = np.arctan2(middle, h) - tilt
        under = np.arcsin(np.clip(np.sin(meets) / n, -1.0, 1.0)) + tilt
        short = middle + d * np.tan(under) < far
        near, beyond = np.where(short, middle, near), np.where(short, beyond, middle)
    crossing = 0.5 * (near + beyond)
    seen = h * (far - crossing) / np.maximum(crossing, 1e-12)
    met = np.arctan2(crossing, h) - tilt < 0.5 * math.pi
    return np.asarray(np.where(good & met, d - seen, np.nan), dtype=np.float64)
