"""Flight of an arrow from the bow to the target plane, the ground or the water.

A rigid, straight, slender body that yaws and pitches freely. At the nose, along
the shaft and at the fletching the air pushes square to the shaft according to the
*local* sideways speed there, so that turning is damped and a yawing arrow drifts.
Bending dies away on top without moving the path. Spin averages the fletching over
all rolls; its gyroscopic effect is below 1 % of the restoring moment and left out.

Axes: x along the line of aim (raised by the elevation), y left, z square to both,
up. Yaw is the angle of the arrow's axis to x in the x-y plane, positive with the
nose to the left; pitch is positive with the nose up. The origin is the arrow's
balance point on leaving.

Columns of a state row, in order
--------------------------------
0 SPEED along x [m/s], 1 ELEVATION of the line of aim [rad], 2 SIDE_SPEED along y
[m/s], 3 RISE_SPEED along z [m/s], 4 YAW [rad], 5 YAW_RATE [rad/s], 6 PITCH [rad],
7 PITCH_RATE [rad/s], 8 HEIGHT of the balance point above flat ground [m].

The air row
-----------
0 density [kg/m³], 1 viscosity [Pa s], 2-4 wind along x, y, z [m/s], 5 gravity
[m/s²].

Columns of a result row, in order
---------------------------------
0 STATUS (see below), 1 TIME [s], 2 FORWARD speed along x [m/s], 3 HIT_Y and 4 HIT_Z
of the tip of the point from the line of aim [m], 5 END_YAW [rad], 6 END_YAW_RATE
[rad/s], 7 END_PITCH [rad], 8 END_PITCH_RATE [rad/s], 9 DROP of the balance point
below the line of aim [m], 10 BEND left [m], 11 END_SPEED [m/s], 12 LARGEST_ANGLE
between arrow and air on the way [rad], 13 REACH along the line of aim [m], 14
GROUND_REACH level distance [m], 15 TURNS of spin [1], 16 END_SIDE_SPEED along y and
17 END_RISE_SPEED along z [m/s].

What lies at height zero
------------------------
GROUND stops the balance point there, as it always did; WATER_SURFACE ends the flight
when the tip of the point touches it, since the water takes over from there (water.py).

Status codes
------------
0 REACHED the target plane; 1 GROUNDED before it; 2 REFUSED, an input that cannot
be (a nan, no mass, no speed forward, no distance): all other columns are nan; 3
TUMBLED, the arrow stood at more than 30 degrees to the air somewhere, where these
forces no longer hold: the numbers are there but are not to be trusted; 4 SPENT,
the step limit or 60 s passed first; 5 WATER, the tip touched the water before the
target plane. A start with the tip under water is refused.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

from loosewell.physics import aero

(
    SPEED,
    ELEVATION,
    SIDE_SPEED,
    RISE_SPEED,
    YAW,
    YAW_RATE,
    PITCH,
    PITCH_RATE,
    HEIGHT,
    STATE_COLUMNS,
) = range(10)

(
    STATUS,
    TIME,
    FORWARD,
    HIT_Y,
    HIT_Z,
    END_YAW,
    END_YAW_RATE,
    END_PITCH,
    END_PITCH_RATE,
    DROP,
    BEND,
    END_SPEED,
    LARGEST_ANGLE,
    REACH,
    GROUND_REACH,
    TURNS,
    END_SIDE_SPEED,
    END_RISE_SPEED,
    RESULT_COLUMNS,
) = range(19)

AIR_COLUMNS = 6
PATH_COLUMNS = 6

REACHED = 0
GROUNDED = 1
REFUSED = 2
TUMBLED = 3
SPENT = 4
WATER = 5

GROUND = 0
WATER_SURFACE = 1

LARGEST_HELD_ANGLE = math.radians(30.0)
"""Angle between arrow and air up to which the forces hold. [rad]"""
LARGEST_STEP = 0.010
"""Longest time step taken when none is asked for. [s]"""

# The order of the coefficients is written out again here, not imported: the
# compiler's cache watches this file only, and a changed order elsewhere would
# silently leave old code behind. A test holds the two lists together.
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


@njit(cache=True, nogil=True, error_model="numpy")
def _rates(s, c, density, wx, wy, wz, gx, gz, d):
    """Rates of (position, velocity, axis, turning rate) in d; returns sin² of the angle to the air.

    s and d hold (x, y, z, vx, vy, vz, ux, uy, uz, ox, oy, oz); the second value returned is the
    speed of the air along the axis, below zero when the arrow flies tail first.
    """
    half = 0.5 * density
    ux = s[6]
    uy = s[7]
    uz = s[8]
    ox = s[9]
    oy = s[10]
    oz = s[11]
    # Swing of the axis: du/dt = ω × u.
    dux = oy * uz - oz * uy
    duy = oz * ux - ox * uz
    duz = ox * uy - oy * ux
    # Velocity through the air, along and across the axis.
    rx = s[3] - wx
    ry = s[4] - wy
    rz = s[5] - wz
    square = rx * rx + ry * ry + rz * rz
    along = rx * ux + ry * uy + rz * uz
    cx = rx - along * ux
    cy = ry - along * uy
    cz = rz - along * uz
    speed = math.sqrt(square)
    pace = abs(along)

    # Pressure drag acts along the axis, friction along the local flow.
    fixed = -half * c[C_FIXED_DRAG] * along * pace
    fx = fixed * ux
    fy = fixed * uy
    fz = fixed * uz
    # Sum of (arm × cross force): the moment is u × that vector.
    ax = 0.0
    ay = 0.0
    az = 0.0

    friction = c[C_FRICTION]
    if speed > 0.0:
        friction *= math.exp(-c[C_EXPONENT] * math.log(speed / c[C_SPEED]))
    middle = 0.5 * (c[C_REAR_ARM] + c[C_TIP_ARM])
    k = -half * friction * speed
    fx += k * (rx + middle * dux)
    fy += k * (ry + middle * duy)
    fz += k * (rz + middle * duz)
    ax += k * middle * (cx + middle * dux)
    ay += k * middle * (cy + middle * duy)
    az += k * middle * (cz + middle * duz)

    # Nose: slender body, straight in the angle.
    arm = c[C_NOSE_ARM]
    k = -half * c[C_NOSE] * pace
    px = k * (cx + arm * dux)
    py = k * (cy + arm * duy)
    pz = k * (cz + arm * duz)
    fx += px
    fy += py
    fz += pz
    ax += arm * px
    ay += arm * py
    az += arm * pz

    # Fletching: fins with vortex lift, and its own drag along the local flow.
    if c[C_FLETCH] > 0.0:
        arm = c[C_FLETCH_ARM]
        lx = cx + arm * dux
        ly = cy + arm * duy
        lz = cz + arm * duz
        cross = math.sqrt(lx * lx + ly * ly + lz * lz)
        drag = -half * c[C_FLETCH_DRAG] * speed
        k = -half * (c[C_FLETCH] * pace + c[C_VORTEX] * cross) + drag
        fx += k * lx + drag * along * ux
        fy += k * ly + drag * along * uy
        fz += k * lz + drag * along * uz
        ax += k * arm * lx
        ay += k * arm * ly
        az += k * arm * lz

    # Cross-flow along the shaft: three Gauss points see the turning as well.
    span = c[C_TIP_ARM] - c[C_REAR_ARM]
    for i in range(3):
        arm = middle + (i - 1) * 0.3872983346207417 * span
        weight = 0.4444444444444444 if i == 1 else 0.2777777777777778
        lx = cx + arm * dux
        ly = cy + arm * duy
        lz = cz + arm * duz
        cross = math.sqrt(lx * lx + ly * ly + lz * lz)
        k = -half * c[C_CROSS] * span * weight * cross
        fx += k * lx
        fy += k * ly
        fz += k * lz
        ax += k * arm * lx
        ay += k * arm * ly
        az += k * arm * lz

    mass = c[C_MASS]
    inertia = c[C_INERTIA]
    d[0] = s[3]
    d[1] = s[4]
    d[2] = s[5]
    d[3] = fx / mass + gx
    d[4] = fy / mass
    d[5] = fz / mass + gz
    d[6] = dux
    d[7] = duy
    d[8] = duz
    d[9] = (uy * az - uz * ay) / inertia
    d[10] = (uz * ax - ux * az) / inertia
    d[11] = (ux * ay - uy * ax) / inertia
    if square > 0.0:
        return (cx * cx + cy * cy + cz * cz) / square, along
    return 0.0, along


@njit(cache=True, nogil=True, error_model="numpy")
def _step(s, h, c, density, wx, wy, wz, gx, gz, k, work, after):
    """One fourth-order Runge-Kutta step from s to after; k[0] must hold the rates at s."""
    n = s.shape[0]
    for i in range(n):
        work[i] = s[i] + 0.5 * h * k[0, i]
    _rates(work, c, density, wx, wy, wz, gx, gz, k[1])
    for i in range(n):
        work[i] = s[i] + 0.5 * h * k[1, i]
    _rates(work, c, density, wx, wy, wz, gx, gz, k[2])
    for i in range(n):
        work[i] = s[i] + h * k[2, i]
    _rates(work, c, density, wx, wy, wz, gx, gz, k[3])
    for i in range(n):
        after[i] = s[i] + h / 6.0 * (k[0, i] + 2.0 * k[1, i] + 2.0 * k[2, i] + k[3, i])
    # Rounding would let the axis drift from unit length over thousands of steps.
    size = math.sqrt(after[6] * after[6] + after[7] * after[7] + after[8] * after[8])
    after[6] /= size
    after[7] /= size
    after[8] /= size


@njit(cache=True, nogil=True, error_model="numpy")
def _mark(path, rows, t, s):
    """Write one row of the path while there is room; the number of rows then written."""
    if rows >= path.shape[0]:
        return rows
    path[rows, 0] = t
    path[rows, 1] = s[0]
    path[rows, 2] = s[1]
    path[rows, 3] = s[2]
    path[rows, 4] = math.atan2(s[7], s[6])
    path[rows, 5] = math.asin(min(1.0, max(-1.0, s[8])))
    return rows + 1


@njit(cache=True, nogil=True, error_model="numpy")
def _tip(s, arm, e, low):
    """Advance of the tip along the aim; height and rise of what comes down first.

    That is the station `low` ahead of the balance point, its height over where the
    balance point began: zero for the ground, the tip's arm for the water.
    """
    sine = math.sin(e)
    cosine = math.cos(e)
    height = s[0] * sine + s[2] * cosine
    rise = s[3] * sine + s[5] * cosine
    if low != 0.0:
        height += low * (s[6] * sine + s[8] * cosine)
        dux = s[10] * s[8] - s[11] * s[7]
        duz = s[9] * s[7] - s[10] * s[6]
        rise += low * (dux * sine + duz * cosine)
    return s[0] + arm * s[6], height, rise


@njit(cache=True, nogil=True, error_model="numpy")
def _fly(state, c, air, distance, dt, out, path, surface):
    """One flight into out; rows of (time, x, y, z, yaw, pitch) into path. Returns rows written."""
    for i in range(out.shape[0]):
        out[i] = np.nan
    out[STATUS] = REFUSED
    good = distance > 0.0 and state[SPEED] > 0.0 and c[C_MASS] > 0.0 and c[C_INERTIA] > 0.0
    for i in range(state.shape[0]):
        good = good and math.isfinite(state[i])
    for i in range(COEFFICIENT_COLUMNS):
        good = good and math.isfinite(c[i])
    for i in range(air.shape[0]):
        good = good and math.isfinite(air[i])
    good = good and (surface == GROUND or surface == WATER_SURFACE)
    if not (good and air[0] >= 0.0 and math.isfinite(distance)):
        return 0

    density = air[0]
    wx = air[2]
    wy = air[3]
    wz = air[4]
    e = state[ELEVATION]
    gx = -air[5] * math.sin(e)
    gz = -air[5] * math.cos(e)
    arm = c[C_TIP_ARM]

    s = np.zeros(12)
    after = np.zeros(12)
    work = np.zeros(12)
    k = np.zeros((4, 12))
    yaw = state[YAW]
    pitch = state[PITCH]
    ux = math.cos(pitch) * math.cos(yaw)
    uy = math.cos(pitch) * math.sin(yaw)
    uz = math.sin(pitch)
    yr = state[YAW_RATE]
    pr = state[PITCH_RATE]
    dux = -pr * math.sin(pitch) * math.cos(yaw) - yr * uy
    duy = -pr * math.sin(pitch) * math.sin(yaw) + yr * ux
    duz = pr * math.cos(pitch)
    s[3] = state[SPEED]
    s[4] = state[SIDE_SPEED]
    s[5] = state[RISE_SPEED]
    s[6] = ux
    s[7] = uy
    s[8] = uz
    s[9] = uy * duz - uz * duy
    s[10] = uz * dux - ux * duz
    s[11] = ux * duy - uy * dux
    start = arm * ux
    low = arm if surface == WATER_SURFACE else 0.0
    if surface == WATER_SURFACE and state[HEIGHT] + _tip(s, arm, e, low)[1] < 0.0:
        return 0

    # A step short against the fastest yaw: the restoring moment at a good angle.
    moment = c[C_FLETCH] * abs(c[C_FLETCH_ARM]) + 0.3 * c[C_VORTEX] * abs(c[C_FLETCH_ARM])
    moment += c[C_NOSE] * c[C_NOSE_ARM]
    rate = abs(s[3] - wx) * math.sqrt(0.5 * density * moment / c[C_INERTIA])
    h = LARGEST_STEP if dt <= 0.0 else dt
    if rate * h > 0.2:
        h = 0.2 / rate
    t = 0.0
    largest = 0.0
    status = SPENT
    rows = 0
    for _ in range(1000000):
        sine2, along = _rates(s, c, density, wx, wy, wz, gx, gz, k[0])
        largest = max(largest, 1.0 if along < 0.0 else sine2)
        rows = _mark(path, rows, t, s)
        if t > 60.0:
            break
        _step(s, h, c, density, wx, wy, wz, gx, gz, k, work, after)
        advance, height, rise = _tip(after, arm, e, low)
        past = advance - start >= distance
        ground = state[HEIGHT] + height <= 0.0 and rise < 0.0
        if past or ground:
            # Land exactly on the plane or the ground: Newton on the length of the last step.
            last = h
            for _ in range(8):
                advance, height, rise = _tip(after, arm, e, low)
                if past:
                    # Speed of the tip along the aim, with the swing of the axis.
                    swing = after[10] * after[8] - after[11] * after[7]
                    short = (distance + start - advance) / (after[3] + arm * swing)
                else:
                    short = -(state[HEIGHT] + height) / rise
                last += short
                _step(s, last, c, density, wx, wy, wz, gx, gz, k, work, after)
                if abs(short) < 1e-12:
                    break
            advance, height, rise = _tip(after, arm, e, low)
            if past and ground and state[HEIGHT] + height < -1e-9:
                # Both lay inside the last step and the ground came first: solve for it.
                past = False
                for _ in range(20):
                    advance, height, rise = _tip(after, arm, e, low)
                    short = -(state[HEIGHT] + height) / rise
                    last += short
                    _step(s, last, c, density, wx, wy, wz, gx, gz, k, work, after)
                    if abs(short) < 1e-12:
                        break
            t += last
            for i in range(12):
                s[i] = after[i]
            status = REACHED
            if not past:
                status = WATER if surface == WATER_SURFACE else GROUNDED
            break
        t += h
        for i in range(12):
            s[i] = after[i]

    sine2, along = _rates(s, c, density, wx, wy, wz, gx, gz, k[0])
    largest = max(largest, 1.0 if along < 0.0 else sine2)
    rows = _mark(path, rows, t, s)
    out[LARGEST_ANGLE] = math.asin(math.sqrt(min(1.0, largest)))
    if out[LARGEST_ANGLE] > LARGEST_HELD_ANGLE:
        status = TUMBLED
    level = s[6] * s[6] + s[7] * s[7]
    duy = s[11] * s[6] - s[9] * s[8]
    dux = s[10] * s[8] - s[11] * s[7]
    duz = s[9] * s[7] - s[10] * s[6]
    out[STATUS] = status
    out[TIME] = t
    out[FORWARD] = s[3]
    out[HIT_Y] = s[1] + arm * s[7]
    out[HIT_Z] = s[2] + arm * s[8]
    out[END_YAW] = math.atan2(s[7], s[6])
    out[END_YAW_RATE] = (s[6] * duy - s[7] * dux) / level
    out[END_PITCH] = math.asin(min(1.0, max(-1.0, s[8])))
    out[END_PITCH_RATE] = duz / math.sqrt(level)
    out[DROP] = -s[2]
    out[BEND] = c[C_BEND_AMPLITUDE] * math.exp(-c[C_BEND_RATE] * t)
    out[END_SPEED] = math.sqrt(s[3] * s[3] + s[4] * s[4] + s[5] * s[5])
    out[END_SIDE_SPEED] = s[4]
    out[END_RISE_SPEED] = s[5]
    out[REACH] = s[0]
    out[GROUND_REACH] = s[0] * math.cos(e) - s[2] * math.sin(e)
    build = c[C_SPIN_DISTANCE]
    flown = out[REACH] if out[REACH] > 0.0 else 0.0
    out[TURNS] = c[C_SPIN] / (2.0 * math.pi) * (flown - build * (1.0 - math.exp(-flown / build)))
    return rows


@njit(cache=True, nogil=True, error_model="numpy")
def fly_rows(state, coefficients, air, distance, dt, out, surface=GROUND):
    """Where and how each arrow of a batch arrives, from force coefficients directly.

    Parameters
    ----------
    state : array (n, STATE_COLUMNS)
        How each arrow leaves the bow. [as in the columns]
    coefficients : array (n, COEFFICIENT_COLUMNS) or (1, COEFFICIENT_COLUMNS)
        As aero.coefficient_rows gives them; one row may serve all. [as there]
    air : array (AIR_COLUMNS,)
        Air, wind and gravity. [as in the air row]
    distance : float
        How far the tip of the point travels along the line of aim; beyond any reach
        for a flight to the ground. [m]
    dt : float
        Longest time step; zero or below leaves the choice to the flight. [s]
    out : array (n, RESULT_COLUMNS)
        Results, overwritten. [as in the columns]
    surface : int
        What lies at height zero, GROUND or WATER_SURFACE. [code]

    Returns
    -------
    nothing : None
        Results are in out. [1]

    Holds
    -----
    As fly_batch.

    Source
    ------
    As fly_batch.
    """
    none = np.empty((0, PATH_COLUMNS))
    for n in range(state.shape[0]):
        row = n if coefficients.shape[0] > 1 else 0
        _fly(state[n], coefficients[row], air, distance, dt, out[n], none, surface)


def _air_speed(state: NDArray[np.float64], air: NDArray[np.float64]) -> NDArray[np.float64]:
    """Speed of each arrow through the air on leaving; a bad row gets any number, to be refused."""
    through = state[:, [SPEED, SIDE_SPEED, RISE_SPEED]] - air[2:5]
    speed = np.sqrt(np.sum(through**2, axis=1))
    held: NDArray[np.float64] = np.maximum(np.nan_to_num(speed, nan=1.0, posinf=1.0), 1.0)
    return held


def fly_batch(
    state: NDArray[np.float64],
    arrow: NDArray[np.float64],
    air: NDArray[np.float64],
    distance: float,
    dt: float,
    out: NDArray[np.float64],
    surface: int = GROUND,
) -> None:
    """Where and how each arrow of a batch arrives, written into out.

    Parameters
    ----------
    state : array (n, STATE_COLUMNS)
        How each arrow leaves the bow. [as in the columns]
    arrow : array (n, ARROW_COLUMNS) or (1, ARROW_COLUMNS)
        Arrow rows as in aero.py; a single row serves the whole batch. [as there]
    air : array (AIR_COLUMNS,)
        Air, wind and gravity. [as in the air row]
    distance : float
        How far the tip of the point travels along the line of aim; beyond any reach
        for a flight to the ground. [m]
    dt : float
        Longest time step; zero or below leaves the choice to the flight (10 ms or
        a thirtieth of a yaw, whichever is shorter). [s]
    out : array (n, RESULT_COLUMNS)
        Results, overwritten. [as in the columns]
    surface : int
        What lies at height zero, GROUND or WATER_SURFACE. [code]

    Returns
    -------
    nothing : None
        Results are in out. The lock of the interpreter is released during the
        flights, so threads may share a batch by slices. [1]

    Holds
    -----
    Angles to the air below 30 degrees; flat ground or still water at height zero; steady even
    wind; density and viscosity as at the bow all the way.

    Source
    ------
    Rigid-body mechanics with the forces of aero.py; fourth-order Runge-Kutta.
    """
    if arrow.shape[0] == 1:
        arrow = np.broadcast_to(arrow, (state.shape[0], arrow.shape[1]))
    speed = _air_speed(state, air)
    coefficients = aero.coefficient_rows(arrow, float(air[0]), float(air[1]), speed)
    fly_rows(state, coefficients, air, float(distance), float(dt), out, int(surface))


def fly(
    state: NDArray[np.float64],
    arrow: NDArray[np.float64],
    air: NDArray[np.float64],
    distance: float,
    dt: float = 0.0,
    surface: int = GROUND,
) -> NDArray[np.float64]:
    """Where and how each arrow of a batch arrives, as a new array.

    Parameters
    ----------
    state : array (n, STATE_COLUMNS) or (STATE_COLUMNS,)
        How each arrow leaves the bow. [as in the columns]
    arrow : array (n, ARROW_COLUMNS) or (ARROW_COLUMNS,)
        Arrow rows as in aero.py. [as there]
    air : array (AIR_COLUMNS,)
        Air, wind and gravity. [as in the air row]
    distance : float
        How far the tip of the point travels along the line of aim; beyond any reach
        for a flight to the ground. [m]
    dt : float
        Longest time step; zero leaves the choice to the flight. [s]
    surface : int
        What lies at height zero, GROUND or WATER_SURFACE. [code]

    Returns
    -------
    out : array (n, RESULT_COLUMNS)
        Results. [as in the columns]

    Holds
    -----
    As fly_batch.

    Source
    ------
    As fly_batch.
    """
    state = np.atleast_2d(np.asarray(state, dtype=np.float64))
    arrow = np.atleast_2d(np.asarray(arrow, dtype=np.float64))
    out = np.empty((state.shape[0], RESULT_COLUMNS))
    fly_batch(state, arrow, np.asarray(air, dtype=np.float64), distance, dt, out, surface)
    return out


def fly_path(
    state: NDArray[np.float64],
    arrow: NDArray[np.float64],
    air: NDArray[np.float64],
    distance: float,
    dt: float = 0.0,
    rows: int = 20000,
    surface: int = GROUND,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """One arrow's whole path, step by step, and how it arrives.

    Parameters
    ----------
    state : array (STATE_COLUMNS,)
        How the arrow leaves the bow. [as in the columns]
    arrow : array (ARROW_COLUMNS,)
        Its arrow row as in aero.py. [as there]
    air : array (AIR_COLUMNS,)
        Air, wind and gravity. [as in the air row]
    distance : float
        How far the tip of the point travels along the line of aim; beyond any reach
        for a flight to the ground. [m]
    dt : float
        Longest time step; zero leaves the choice to the flight. [s]
    rows : int
        Most rows kept. [1]
    surface : int
        What lies at height zero, GROUND or WATER_SURFACE. [code]

    Returns
    -------
    path : array (steps, PATH_COLUMNS)
        Time [s], balance point x, y, z [m], yaw, pitch [rad], from leaving to
        arrival.
    out : array (RESULT_COLUMNS,)
        Results. [as in the columns]

    Holds
    -----
    As fly_batch.

    Source
    ------
    As fly_batch.
    """
    state = np.asarray(state, dtype=np.float64)
    air = np.asarray(air, dtype=np.float64)
    speed = _air_speed(state[np.newaxis, :], air)
    coefficients = aero.coefficient_rows(
        np.atleast_2d(np.asarray(arrow, dtype=np.float64)), float(air[0]), float(air[1]), speed
    )
    out = np.empty(RESULT_COLUMNS)
    path = np.empty((rows, PATH_COLUMNS))
    count = _fly(state, coefficients[0], air, float(distance), float(dt), out, path, int(surface))
    return path[:count].copy(), out


def still_air(density: float, viscosity: float, gravity: float = 9.80665) -> NDArray[np.float64]:
    """An air row without wind.

    Parameters
    ----------
    density : float
        Density. [kg/m³]
    viscosity : float
        Dynamic viscosity. [Pa s]
    gravity : float
        Acceleration of free fall. [m/s²]

    Returns
    -------
    air : array (AIR_COLUMNS,)
        Density [kg/m³], viscosity [Pa s], wind x, y, z [m/s], gravity [m/s²].

    Holds
    -----
    Any.

    Source
    ------
    None needed: a list of numbers; standard gravity is exact by definition.
    """
    return np.array([density, viscosity, 0.0, 0.0, 0.0, gravity])
