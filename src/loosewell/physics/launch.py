"""The launch: from the loose until the nock has passed the bow, in two planes.

Eight launches run side by side in the lanes of the processor. Everything a lane
needs lives in one work array of constant shape (ROWS, SLOTS, LANES): only then
does the compiler see that the lanes do not overlap, and vectorises. A lane's
numbers do not depend on its neighbours.

Axes: x forward along the plane of the bow, y to the left of a right-handed
archer, z up from the shelf. The strike plate and the shelf stand at x = 0, the
nock starts at x = -draw. A left-handed archer is mirrored before and after,
never here.

Columns of the tables
---------------------
``launch[n, :]``   see the constants DRAW ... LIMB_MASS
``arrow_table[a, 5, nodes, 7]``  block rows (beam.py): bending stiffness, shaft
mass, mass of the parts, axial softening of shaft and of parts
``arrow_number[a, :]`` see LENGTH ... DAMPING_TIME
``bow_table[b, 4, points]``  draw force [N], then the three rows of
bow.string_geometry
``out[n, :]``  see STATUS ... STRING_SHARE
``frame[n, f, :]``  time, nock x, four contact forces, then y and z of the nodes
"""

from __future__ import annotations

import math
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]

LANES = 8
MOST_NODES = 66
ROWS = MOST_NODES + 1
SLOTS = 48

# columns of launch[n, :]
DRAW = 0  # true draw at the loose [m]
BRACE = 1  # brace height [m]
TOP_DRAW = 2  # true draw at the end of the bow's table [m]
FORCE_SCALE = 3  # multiplies the draw force [-]
FORCE_BULGE = 4  # adds FORCE_BULGE u (1 - u) of the table's last force [-]
VIRTUAL_MASS = 5  # losses and a third of the string: what is missing from the arrow's energy [kg]
STRING_THIRD = 6  # a third of the string's mass, moves sideways with the nock [kg]
STRING_Z = 7  # stiffness that holds the nock to the string's path in height [N/m]
PLATE_OFFSET = 8  # plate surface to the left of the string plane [m]
PLATE_STIFFNESS = 9  # [N/m]
PLATE_DAMPING = 10  # [N s/m]
SHELF_STIFFNESS = 11  # [N/m]
SHELF_DAMPING = 12  # [N s/m]
NOCK_HEIGHT = 13  # underside of the arrow at the string above square [m]
LOOSE_PUSH = 14  # sideways way of the fingers, + to the left [m]
LOOSE_TRAVEL = 15  # forward travel in which they push [m]
FINGER_STIFFNESS = 16  # [N/m]
STIFFNESS_SCALE = 17  # multiplies E·I of the arrow [-]
MASS_SCALE = 18  # multiplies the shaft's mass [-]
FLETCHING_STIFFNESS = 19  # of the fletching squeezed against the bow [N/m]
FLETCHING_REACH_Y = 20  # beyond the shaft's surface toward the plate [m]
FLETCHING_REACH_Z = 21  # beyond the shaft's surface toward the shelf [m]
NOCK_PATH = 22  # rise of the string's path against the arrow's line at the loose [m/m]
LIMB_MASS = 23  # of both limbs as if at their tips [kg]
LAUNCH_COLUMNS = 24

# columns of arrow_number[a, :]
LENGTH = 0  # shaft, nock throat to its front [m]
SHAFT_MASS = 1  # [kg]
PART_MASS = 2  # nock, fletching, point [kg]
CENTRE_SHAFT = 3  # centre of mass of the shaft from the nock throat [m]
CENTRE_PART = 4  # centre of mass of the parts from the nock throat [m]
FLETCHING_REAR = 5  # [m], both zero for a bare shaft
FLETCHING_FRONT = 6  # [m]
DAMPING_TIME = 7  # stiffness-proportional damping time [s]
ARROW_COLUMNS = 8

# columns of out[n, :]
STATUS = 0
STRING_LEFT = 1  # time at which the string lets the nock go [s]
SPEED = 2  # forward speed then [m/s]
PASSED = 3  # time at which the nock passes the plate [s]
Y = 4  # centre of mass when the nock has passed [m]
Y_VELOCITY = 5  # [m/s]
YAW = 6  # slope of the rigid motion, nose left positive [rad]
YAW_RATE = 7  # [rad/s]
Z = 8  # [m]
Z_VELOCITY = 9  # [m/s]
PITCH = 10  # nose up positive [rad]
PITCH_RATE = 11  # [rad/s]
PLATE_LEFT = 12  # last touch of shaft and plate while the string drove [s]
PLATE_IMPULSE = 13  # of the plate while the string drove [N s]
TAIL_SHAFT_Y = 14  # impulse of shaft against plate after the string [N s]
TAIL_FLETCHING_Y = 15  # impulse of fletching against plate [N s]
TAIL_SHAFT_Z = 16  # impulse of shaft against shelf after the string [N s]
TAIL_FLETCHING_Z = 17  # impulse of fletching against shelf [N s]
PLATE_PEAK = 18  # largest force on the plate, any part [N]
CLEARANCE_Y = 19  # least gap of shaft surface and plate after the string [m]
BENDING_ENERGY = 20  # left in bending when the nock has passed [J]
LOOSE_WORK = 21  # done on the arrow by the fingers [J]
MOST_SLOPE = 22  # largest slope of the arrow anywhere, any time [-]
SHELF_IMPULSE = 23  # of the shelf while the string drove [N s]
NOCK_SIDE = 24  # y of the nock as the string lets go [m]
STRING_SHARE = 25  # kinetic energy of the arrow along x over stored work [-]
OUT_COLUMNS = 26

FRAME_HEAD = 6

# statuses
FINE = 0
NOT_FINITE = 1
BENT_TOO_FAR = 2
OFF_THE_PLATE = 3
BAD_INPUT = 4

SLOPE_LIMIT = 0.35
"""Slope at which small bending ends. [rad] Modelling choice: cos 0.35 is 0.94."""

# slots of a node row (rows 1 .. nodes)
_M = 0  # 7
_K = 7  # 7
_G = 14  # 7
_SI = 21  # 3, inverse of the pivot block
_P = 24  # 4, elimination factor to the next node
_U = 28  # y, slope y, z, slope z
_V = 32
_B = 36  # right-hand side, then the half step
_W = 40  # answer to a unit contact force, y then z
_R = 44  # radius
# slots of row 0, lane numbers
_X = 0
_VX = 1
_DT = 2
_Q = 3
_KAP = 4
_ACC = 5
_KS = 6
_KF = 7
_TGT = 8
_SP = 9
_F = 10
_T = 11
_MASS = 12
_GAPY = 13
_GAPZ = 14
_RATEY = 15
_RATEZ = 16
_FY = 17
_FZ = 18
_FSY = 19
_FSZ = 20
_KZ = 21
_ZN = 22
_ETA = 23
_MS = 24
_S0 = 25  # 3, pivot of node 0 without string
_EL = 28
_ZS = 29


@njit(cache=True, nogil=True, error_model="numpy")
def launch_chunk(
    low,
    high,
    launch,
    arrow_index,
    bow_index,
    arrow_table,
    arrow_number,
    radius,
    bow_table,
    drive_steps,
    pass_steps,
    out,
    frame,
    frame_every,
):
    """Launches low to high - 1 of a batch, eight at a time; fills out and frame.

    Parameters
    ----------
    low, high : int
        Range of launches. [-]
    launch : ndarray, shape (n, LAUNCH_COLUMNS)
        One row a launch, columns as in the module's head. [SI]
    arrow_index, bow_index : ndarray of int64, shape (n,)
        Which arrow and which bow a launch uses. [-]
    arrow_table : ndarray, shape (arrows, 5, nodes, 7)
        Block rows of each arrow. [SI]
    arrow_number : ndarray, shape (arrows, ARROW_COLUMNS)
        Lengths and masses of each arrow. [SI]
    radius : ndarray, shape (arrows, nodes)
        Surface of the shaft at the nodes. [m]
    bow_table : ndarray, shape (bows, 4, points)
        Draw force and string geometry from brace to TOP_DRAW. [N, m, -, 1/m]
    drive_steps, pass_steps : int
        Time steps on the string, and from there until the nock has passed. [-]
    out : ndarray, shape (n, OUT_COLUMNS)
        Filled in. [SI]
    frame : ndarray, shape (n, frames, FRAME_HEAD + 2 nodes)
        Filled in each frame_every steps, if frame_every > 0. [s, m, N, m]
    frame_every : int
        Steps between frames, 0 for none. [-]

    Returns
    -------
    None

    Holds
    -----
    Small slopes; one constant virtual mass; the same E·I in both planes; plate
    and shelf are points at x = 0; no friction along the arrow. Implicit
    midpoint rule, so second order in the step and without numerical damping;
    one-sided contact is solved exactly in each step as a rank-one correction
    of the banded system.

    Source
    ------
    Equations and their derivation: docs/physics/launch.md.
    """
    nodes = radius.shape[1]
    last = nodes  # row of the point's node; rows 1 .. nodes hold nodes 0 .. nodes - 1
    points = bow_table.shape[2]
    w = np.empty((ROWS, SLOTS, LANES))
    for base in range(low, high, LANES):
        nl = min(LANES, high - base)
        # ---------------------------------------------------------------- set up the lanes
        for l in range(nl):
            n = base + l
            a = arrow_index[n]
            b = bow_index[n]
            for c in range(OUT_COLUMNS):
                out[n, c] = 0.0
            draw = launch[n, DRAW]
            brace = launch[n, BRACE]
            stroke = launch[n, TOP_DRAW] - brace
            ms = launch[n, MASS_SCALE]
            length = arrow_number[a, LENGTH]
            mass = ms * arrow_number[a, SHAFT_MASS] + arrow_number[a, PART_MASS]
            total = mass + launch[n, VIRTUAL_MASS]
            end_force = bow_table[b, 0, points - 1]
            # time on the string: exact for constant acceleration inside each cell
            cells = 256
            dx = (draw - brace) / cells
            energy = 0.0
            speed = 0.0
            time = 0.0
            before = -1.0
            for c in range(cells + 1):
                u = min(max((draw - c * dx - brace) / stroke, 0.0), 1.0)
                place = u * (points - 1)
                j = min(int(place), points - 2)
                f = bow_table[b, 0, j] + (place - j) * (bow_table[b, 0, j + 1] - bow_table[b, 0, j])
                f = launch[n, FORCE_SCALE] * (
                    f + launch[n, FORCE_BULGE] * end_force * u * (1.0 - u)
                )
                if c > 0:
                    energy += 0.5 * (f + before) * dx
                    limb = bow_table[b, 2, j] + (place - j) * (
                        bow_table[b, 2, j + 1] - bow_table[b, 2, j]
                    )
                    moving = total + launch[n, LIMB_MASS] * limb
                    faster = math.sqrt(max(2.0 * energy / moving, 0.0))
                    time += 2.0 * dx / max(speed + faster, 1e-12)
                    speed = faster
                before = f
            ok = (
                draw > brace + 1e-3
                and stroke > 0.0
                and total > 0.0
                and mass > 0.0
                and energy > 0.0
                and math.isfinite(time)
                and draw <= launch[n, TOP_DRAW] * (1.0 + 1e-9)
            )
            if not ok:
                out[n, STATUS] = BAD_INPUT
                draw = brace + 0.1
                time = 0.02
            elif draw > length:
                out[n, STATUS] = OFF_THE_PLATE
            out[n, STRING_LEFT] = time
            dt = time / drive_steps
            eta = arrow_number[a, DAMPING_TIME] * math.sqrt(ms / launch[n, STIFFNESS_SCALE])
            w[0, _X, l] = -draw
            w[0, _VX, l] = 0.0
            w[0, _DT, l] = dt
            w[0, _Q, l] = 0.25 * dt * dt
            w[0, _KAP, l] = 0.25 * dt * dt + 0.5 * eta * dt
            w[0, _ETA, l] = eta
            w[0, _T, l] = 0.0
            w[0, _MASS, l] = total
            w[0, _MS, l] = mass
            w[0, _KZ, l] = launch[n, STRING_Z]
            w[0, _EL, l] = length / (nodes - 1)
            out[n, CLEARANCE_Y] = 1.0
            for i in range(nodes):
                r = i + 1
                for c in range(7):
                    w[r, _K + c, l] = launch[n, STIFFNESS_SCALE] * arrow_table[a, 0, i, c]
                    w[r, _M + c, l] = ms * arrow_table[a, 1, i, c] + arrow_table[a, 2, i, c]
                    w[r, _G + c, l] = ms * arrow_table[a, 3, i, c] + arrow_table[a, 4, i, c]
                w[r, _R, l] = radius[a, i]
            w[1, _M, l] += launch[n, STRING_THIRD]
            # straight from the string over plate and shelf
            place = min(draw, length) / length * (nodes - 1)
            j = min(int(place), nodes - 2)
            r_plate = radius[a, j] + (place - j) * (radius[a, j + 1] - radius[a, j])
            z_nock = radius[a, 0] + launch[n, NOCK_HEIGHT]
            w[0, _R, l] = z_nock  # height of the nock at the loose
            w[0, _ZN, l] = z_nock
            w[0, _ZS, l] = (r_plate - z_nock) / draw + launch[n, NOCK_PATH]
            slope_y = (launch[n, PLATE_OFFSET] + r_plate) / draw
            slope_z = (r_plate - z_nock) / draw
            for i in range(nodes):
                s = length * i / (nodes - 1)
                w[i + 1, _U, l] = slope_y * s
                w[i + 1, _U + 1, l] = slope_y
                w[i + 1, _U + 2, l] = z_nock + slope_z * s
                w[i + 1, _U + 3, l] = slope_z
                for c in range(4):
                    w[i + 1, _V + c, l] = 0.0
        # ---------------------------------------------------------------- march
        count = drive_steps + pass_steps
        for step in range(count):
            driving = step < drive_steps
            if step == drive_steps:
                # the string lets go and keeps its own mass
                for l in range(nl):
                    n = base + l
                    a = arrow_index[n]
                    w[1, _M, l] -= launch[n, STRING_THIRD]
                    out[n, SPEED] = w[0, _VX, l]
                    out[n, NOCK_SIDE] = w[1, _U, l]
                    dt = max(-w[0, _X, l], 1e-3) / max(w[0, _VX, l], 1e-3) / pass_steps
                    w[0, _DT, l] = dt
                    w[0, _Q, l] = 0.25 * dt * dt
                    w[0, _KAP, l] = 0.25 * dt * dt + 0.5 * w[0, _ETA, l] * dt
                    w[0, _ACC, l] = 0.0
                    w[0, _KS, l] = 0.0
                    w[0, _KF, l] = 0.0
                    w[0, _KZ, l] = 0.0
            # along the arrow: half a drift, kick, half a drift
            for l in range(nl):
                n = base + l
                dt = w[0, _DT, l]
                x = w[0, _X, l] + 0.5 * dt * w[0, _VX, l]
                if driving:
                    b = bow_index[n]
                    brace = launch[n, BRACE]
                    stroke = launch[n, TOP_DRAW] - brace
                    u = min(max((-x - brace) / stroke, 1e-9), 1.0)
                    place = u * (points - 1)
                    j = min(int(place), points - 2)
                    part = place - j
                    f = bow_table[b, 0, j] + part * (bow_table[b, 0, j + 1] - bow_table[b, 0, j])
                    h = bow_table[b, 1, j] + part * (bow_table[b, 1, j + 1] - bow_table[b, 1, j])
                    f = launch[n, FORCE_SCALE] * (
                        f + launch[n, FORCE_BULGE] * bow_table[b, 0, points - 1] * u * (1.0 - u)
                    )
                    # The limbs must be set going too, and give that back as the string
                    # straightens: their share of the moving mass falls to nothing at brace.
                    limb = launch[n, LIMB_MASS]
                    moving = w[0, _MASS, l] + limb * (
                        bow_table[b, 2, j] + part * (bow_table[b, 2, j + 1] - bow_table[b, 2, j])
                    )
                    give = limb * (
                        bow_table[b, 3, j] + part * (bow_table[b, 3, j + 1] - bow_table[b, 3, j])
                    )
                    v = w[0, _VX, l]
                    v += 0.5 * dt * (f + give * v * v) / moving
                    acc = (f + give * v * v) / moving
                    w[0, _ACC, l] = acc
                    w[0, _VX, l] += dt * acc
                    w[0, _KS, l] = w[0, _MASS, l] * acc / h
                    travel = x + launch[n, DRAW]
                    w[0, _KF, l] = 0.0
                    w[0, _ZN, l] = w[0, _R, l] + w[0, _ZS, l] * travel
                    way = launch[n, LOOSE_TRAVEL]
                    push = launch[n, LOOSE_PUSH]
                    if travel < way and push != 0.0:
                        target = push * math.sin(0.5 * math.pi * travel / way)
                        ahead = target - (w[1, _U, l] + 0.5 * dt * w[1, _V, l])
                        if ahead * push > 0.0:  # fingers push, they cannot pull
                            w[0, _KF, l] = launch[n, FINGER_STIFFNESS]
                            w[0, _TGT, l] = target
                w[0, _X, l] = x + 0.5 * dt * w[0, _VX, l]
                w[0, _SP, l] = -x
                w[0, _T, l] += dt
            # factor from the point toward the nock, so that the string, which acts on
            # node 0 alone, enters the last pivot only and both planes share the rest
            for l in range(nl):
                kap = w[0, _KAP, l]
                soft = w[0, _Q, l] * w[0, _ACC, l]
                a00 = w[last, _M, l] + kap * w[last, _K, l] - soft * w[last, _G, l]
                a01 = w[last, _M + 1, l] + kap * w[last, _K + 1, l] - soft * w[last, _G + 1, l]
                a11 = w[last, _M + 2, l] + kap * w[last, _K + 2, l] - soft * w[last, _G + 2, l]
                det = 1.0 / (a00 * a11 - a01 * a01)
                w[last, _SI, l] = a11 * det
                w[last, _SI + 1, l] = -a01 * det
                w[last, _SI + 2, l] = a00 * det
            for r in range(last - 1, 0, -1):
                for l in range(nl):
                    kap = w[0, _KAP, l]
                    soft = w[0, _Q, l] * w[0, _ACC, l]
                    e00 = w[r, _M + 3, l] + kap * w[r, _K + 3, l] - soft * w[r, _G + 3, l]
                    e01 = w[r, _M + 4, l] + kap * w[r, _K + 4, l] - soft * w[r, _G + 4, l]
                    e10 = w[r, _M + 5, l] + kap * w[r, _K + 5, l] - soft * w[r, _G + 5, l]
                    e11 = w[r, _M + 6, l] + kap * w[r, _K + 6, l] - soft * w[r, _G + 6, l]
                    s00 = w[r + 1, _SI, l]
                    s01 = w[r + 1, _SI + 1, l]
                    s11 = w[r + 1, _SI + 2, l]
                    p00 = e00 * s00 + e01 * s01
                    p01 = e00 * s01 + e01 * s11
                    p10 = e10 * s00 + e11 * s01
                    p11 = e10 * s01 + e11 * s11
                    a00 = w[r, _M, l] + kap * w[r, _K, l] - soft * w[r, _G, l]
                    a01 = w[r, _M + 1, l] + kap * w[r, _K + 1, l] - soft * w[r, _G + 1, l]
                    a11 = w[r, _M + 2, l] + kap * w[r, _K + 2, l] - soft * w[r, _G + 2, l]
                    a00 -= p00 * e00 + p01 * e01
                    a01 -= p00 * e10 + p01 * e11
                    a11 -= p10 * e10 + p11 * e11
                    det = 1.0 / (a00 * a11 - a01 * a01)
                    w[r, _P, l] = p00
                    w[r, _P + 1, l] = p01
                    w[r, _P + 2, l] = p10
                    w[r, _P + 3, l] = p11
                    w[r, _SI, l] = a11 * det
                    w[r, _SI + 1, l] = -a01 * det
                    w[r, _SI + 2, l] = a00 * det
                    if r == 1:
                        w[0, _S0, l] = a00
                        w[0, _S0 + 1, l] = a01
                        w[0, _S0 + 2, l] = a11
            # right-hand side: half step of the free motion minus the elastic pull
            for plane in range(2):
                ku = _U + 2 * plane
                kv = _V + 2 * plane
                kb = _B + 2 * plane
                drop = 9.80665 if plane == 1 else 0.0
                for r in range(1, last + 1):
                    for l in range(nl):
                        hd = 0.5 * w[0, _DT, l]
                        q = w[0, _Q, l]
                        acc = w[0, _ACC, l]
                        g = hd * drop
                        u0 = w[r, ku, l]
                        u1 = w[r, ku + 1, l]
                        v0 = hd * (w[r, kv, l] - g)
                        v1 = hd * w[r, kv + 1, l]
                        k00 = w[r, _K, l] - acc * w[r, _G, l]
                        k01 = w[r, _K + 1, l] - acc * w[r, _G + 1, l]
                        k11 = w[r, _K + 2, l] - acc * w[r, _G + 2, l]
                        b0 = w[r, _M, l] * v0 + w[r, _M + 1, l] * v1 - q * (k00 * u0 + k01 * u1)
                        b1 = w[r, _M + 1, l] * v0 + w[r, _M + 2, l] * v1 - q * (k01 * u0 + k11 * u1)
                        if r < last:
                            u0 = w[r + 1, ku, l]
                            u1 = w[r + 1, ku + 1, l]
                            v0 = hd * (w[r + 1, kv, l] - g)
                            v1 = hd * w[r + 1, kv + 1, l]
                            b0 += w[r, _M + 3, l] * v0 + w[r, _M + 4, l] * v1
                            b1 += w[r, _M + 5, l] * v0 + w[r, _M + 6, l] * v1
                            b0 -= q * (
                                (w[r, _K + 3, l] - acc * w[r, _G + 3, l]) * u0
                                + (w[r, _K + 4, l] - acc * w[r, _G + 4, l]) * u1
                            )
                            b1 -= q * (
                                (w[r, _K + 5, l] - acc * w[r, _G + 5, l]) * u0
                                + (w[r, _K + 6, l] - acc * w[r, _G + 6, l]) * u1
                            )
                        if r > 1:
                            u0 = w[r - 1, ku, l]
                            u1 = w[r - 1, ku + 1, l]
                            v0 = hd * (w[r - 1, kv, l] - g)
                            v1 = hd * w[r - 1, kv + 1, l]
                            b0 += w[r - 1, _M + 3, l] * v0 + w[r - 1, _M + 5, l] * v1
                            b1 += w[r - 1, _M + 4, l] * v0 + w[r - 1, _M + 6, l] * v1
                            b0 -= q * (
                                (w[r - 1, _K + 3, l] - acc * w[r - 1, _G + 3, l]) * u0
                                + (w[r - 1, _K + 5, l] - acc * w[r - 1, _G + 5, l]) * u1
                            )
                            b1 -= q * (
                                (w[r - 1, _K + 4, l] - acc * w[r - 1, _G + 4, l]) * u0
                                + (w[r - 1, _K + 6, l] - acc * w[r - 1, _G + 6, l]) * u1
                            )
                        w[r, kb, l] = b0
                        w[r, kb + 1, l] = b1
            for l in range(nl):
                q = w[0, _Q, l]
                w[1, _B, l] += q * (
                    w[0, _KF, l] * (w[0, _TGT, l] - w[1, _U, l]) - w[0, _KS, l] * w[1, _U, l]
                    if w[0, _KF, l] > 0.0
                    else -w[0, _KS, l] * w[1, _U, l]
                )
                w[1, _B + 2, l] -= q * w[0, _KZ, l] * (w[1, _U + 2, l] - w[0, _ZN, l])
            # solve both planes
            for r in range(last - 1, 0, -1):
                for l in range(nl):
                    p00 = w[r, _P, l]
                    p01 = w[r, _P + 1, l]
                    p10 = w[r, _P + 2, l]
                    p11 = w[r, _P + 3, l]
                    y0 = w[r + 1, _B, l]
                    y1 = w[r + 1, _B + 1, l]
                    z0 = w[r + 1, _B + 2, l]
                    z1 = w[r + 1, _B + 3, l]
                    w[r, _B, l] -= p00 * y0 + p01 * y1
                    w[r, _B + 1, l] -= p10 * y0 + p11 * y1
                    w[r, _B + 2, l] -= p00 * z0 + p01 * z1
                    w[r, _B + 3, l] -= p10 * z0 + p11 * z1
            for l in range(nl):
                q = w[0, _Q, l]
                a01 = w[0, _S0 + 1, l]
                a11 = w[0, _S0 + 2, l]
                a00 = w[0, _S0, l] + q * (w[0, _KS, l] + w[0, _KF, l])
                det = 1.0 / (a00 * a11 - a01 * a01)
                b0 = w[1, _B, l]
                b1 = w[1, _B + 1, l]
                w[1, _B, l] = det * (a11 * b0 - a01 * b1)
                w[1, _B + 1, l] = det * (a00 * b1 - a01 * b0)
                a00 = w[0, _S0, l] + q * w[0, _KZ, l]
                det = 1.0 / (a00 * a11 - a01 * a01)
                b0 = w[1, _B + 2, l]
                b1 = w[1, _B + 3, l]
                w[1, _B + 2, l] = det * (a11 * b0 - a01 * b1)
                w[1, _B + 3, l] = det * (a00 * b1 - a01 * b0)
            for r in range(2, last + 1):
                for l in range(nl):
                    p00 = w[r - 1, _P, l]
                    p01 = w[r - 1, _P + 1, l]
                    p10 = w[r - 1, _P + 2, l]
                    p11 = w[r - 1, _P + 3, l]
                    s00 = w[r, _SI, l]
                    s01 = w[r, _SI + 1, l]
                    s11 = w[r, _SI + 2, l]
                    b0 = w[r, _B, l]
                    b1 = w[r, _B + 1, l]
                    x0 = w[r - 1, _B, l]
                    x1 = w[r - 1, _B + 1, l]
                    c0 = w[r, _B + 2, l]
                    c1 = w[r, _B + 3, l]
                    z0 = w[r - 1, _B + 2, l]
                    z1 = w[r - 1, _B + 3, l]
                    w[r, _B, l] = s00 * b0 + s01 * b1 - p00 * x0 - p10 * x1
                    w[r, _B + 1, l] = s01 * b0 + s11 * b1 - p01 * x0 - p11 * x1
                    w[r, _B + 2, l] = s00 * c0 + s01 * c1 - p00 * z0 - p10 * z1
                    w[r, _B + 3, l] = s01 * c0 + s11 * c1 - p01 * z0 - p11 * z1
            # would the arrow touch the plate or the shelf?
            touch_y = False
            touch_z = False
            for l in range(nl):
                n = base + l
                a = arrow_index[n]
                sp = w[0, _SP, l]
                h = w[0, _EL, l]
                length = h * (nodes - 1)
                w[0, _FY, l] = 0.0
                w[0, _FZ, l] = 0.0
                w[0, _FSY, l] = 0.0
                w[0, _FSZ, l] = 0.0
                w[0, _GAPY, l] = 1.0
                w[0, _GAPZ, l] = 1.0
                if sp < 0.0 or sp > length:
                    continue
                e = min(int(sp / h), nodes - 2)
                xi = sp / h - e
                n0 = 1.0 - xi * xi * (3.0 - 2.0 * xi)
                n1 = h * xi * (1.0 - xi) * (1.0 - xi)
                n2 = xi * xi * (3.0 - 2.0 * xi)
                n3 = -h * xi * xi * (1.0 - xi)
                r = e + 1
                rad = w[r, _R, l] + xi * (w[r + 1, _R, l] - w[r, _R, l])
                two = 2.0 / w[0, _DT, l]
                dy = (
                    n0 * w[r, _B, l]
                    + n1 * w[r, _B + 1, l]
                    + n2 * w[r + 1, _B, l]
                    + n3 * w[r + 1, _B + 1, l]
                )
                uy = (
                    n0 * w[r, _U, l]
                    + n1 * w[r, _U + 1, l]
                    + n2 * w[r + 1, _U, l]
                    + n3 * w[r + 1, _U + 1, l]
                )
                dz = (
                    n0 * w[r, _B + 2, l]
                    + n1 * w[r, _B + 3, l]
                    + n2 * w[r + 1, _B + 2, l]
                    + n3 * w[r + 1, _B + 3, l]
                )
                uz = (
                    n0 * w[r, _U + 2, l]
                    + n1 * w[r, _U + 3, l]
                    + n2 * w[r + 1, _U + 2, l]
                    + n3 * w[r + 1, _U + 3, l]
                )
                w[0, _GAPY, l] = uy + dy - rad - launch[n, PLATE_OFFSET]
                w[0, _GAPZ, l] = uz + dz - rad
                w[0, _RATEY, l] = two * dy
                w[0, _RATEZ, l] = two * dz
                reach_y = 0.0
                reach_z = 0.0
                if arrow_number[a, FLETCHING_REAR] < sp < arrow_number[a, FLETCHING_FRONT]:
                    chord = arrow_number[a, FLETCHING_FRONT] - arrow_number[a, FLETCHING_REAR]
                    back = (sp - arrow_number[a, FLETCHING_REAR]) / chord
                    rise = min(min(1.0, (1.0 - back) / 0.6), back / 0.1)
                    reach_y = launch[n, FLETCHING_REACH_Y] * rise
                    reach_z = launch[n, FLETCHING_REACH_Z] * rise
                if w[0, _GAPY, l] < reach_y:
                    touch_y = True
                if w[0, _GAPZ, l] < reach_z:
                    touch_z = True
            for plane in range(2):
                if (plane == 0 and not touch_y) or (plane == 1 and not touch_z):
                    continue
                kb = _B + 2 * plane
                kw = _W + 2 * plane
                # answer of the arrow to a unit force at the plate
                for r in range(1, last + 1):
                    for l in range(nl):
                        w[r, kw, l] = 0.0
                        w[r, kw + 1, l] = 0.0
                for l in range(nl):
                    h = w[0, _EL, l]
                    sp = min(max(w[0, _SP, l], 0.0), h * (nodes - 1))
                    e = min(int(sp / h), nodes - 2)
                    xi = sp / h - e
                    r = e + 1
                    w[r, kw, l] = 1.0 - xi * xi * (3.0 - 2.0 * xi)
                    w[r, kw + 1, l] = h * xi * (1.0 - xi) * (1.0 - xi)
                    w[r + 1, kw, l] = xi * xi * (3.0 - 2.0 * xi)
                    w[r + 1, kw + 1, l] = -h * xi * xi * (1.0 - xi)
                for r in range(last - 1, 0, -1):
                    for l in range(nl):
                        b0 = w[r + 1, kw, l]
                        b1 = w[r + 1, kw + 1, l]
                        w[r, kw, l] -= w[r, _P, l] * b0 + w[r, _P + 1, l] * b1
                        w[r, kw + 1, l] -= w[r, _P + 2, l] * b0 + w[r, _P + 3, l] * b1
                for l in range(nl):
                    q = w[0, _Q, l]
                    stiff = w[0, _KZ, l] if plane == 1 else w[0, _KS, l] + w[0, _KF, l]
                    a00 = w[0, _S0, l] + q * stiff
                    a01 = w[0, _S0 + 1, l]
                    a11 = w[0, _S0 + 2, l]
                    det = 1.0 / (a00 * a11 - a01 * a01)
                    b0 = w[1, kw, l]
                    b1 = w[1, kw + 1, l]
                    w[1, kw, l] = det * (a11 * b0 - a01 * b1)
                    w[1, kw + 1, l] = det * (a00 * b1 - a01 * b0)
                for r in range(2, last + 1):
                    for l in range(nl):
                        b0 = w[r, kw, l]
                        b1 = w[r, kw + 1, l]
                        x0 = w[r - 1, kw, l]
                        x1 = w[r - 1, kw + 1, l]
                        y0 = w[r, _SI, l] * b0 + w[r, _SI + 1, l] * b1
                        y1 = w[r, _SI + 1, l] * b0 + w[r, _SI + 2, l] * b1
                        w[r, kw, l] = y0 - w[r - 1, _P, l] * x0 - w[r - 1, _P + 2, l] * x1
                        w[r, kw + 1, l] = y1 - w[r - 1, _P + 1, l] * x0 - w[r - 1, _P + 3, l] * x1
                for l in range(nl):
                    n = base + l
                    a = arrow_index[n]
                    sp = w[0, _SP, l]
                    h = w[0, _EL, l]
                    if sp < 0.0 or sp > h * (nodes - 1):
                        continue
                    e = min(int(sp / h), nodes - 2)
                    xi = sp / h - e
                    r = e + 1
                    n0 = 1.0 - xi * xi * (3.0 - 2.0 * xi)
                    n1 = h * xi * (1.0 - xi) * (1.0 - xi)
                    n2 = xi * xi * (3.0 - 2.0 * xi)
                    n3 = -h * xi * xi * (1.0 - xi)
                    give = w[0, _Q, l] * (
                        n0 * w[r, kw, l]
                        + n1 * w[r, kw + 1, l]
                        + n2 * w[r + 1, kw, l]
                        + n3 * w[r + 1, kw + 1, l]
                    )
                    if plane == 0:
                        gap = w[0, _GAPY, l]
                        rate = w[0, _RATEY, l]
                        k = launch[n, PLATE_STIFFNESS]
                        c = launch[n, PLATE_DAMPING]
                        reach = launch[n, FLETCHING_REACH_Y]
                    else:
                        gap = w[0, _GAPZ, l]
                        rate = w[0, _RATEZ, l]
                        k = launch[n, SHELF_STIFFNESS]
                        c = launch[n, SHELF_DAMPING]
                        reach = launch[n, FLETCHING_REACH_Z]
                    soft = 0.0
                    if arrow_number[a, FLETCHING_REAR] < sp < arrow_number[a, FLETCHING_FRONT]:
                        chord = arrow_number[a, FLETCHING_FRONT] - arrow_number[a, FLETCHING_REAR]
                        back = (sp - arrow_number[a, FLETCHING_REAR]) / chord
                        reach *= min(min(1.0, (1.0 - back) / 0.6), back / 0.1)
                        soft = launch[n, FLETCHING_STIFFNESS]
                    else:
                        reach = 0.0
                    if gap >= reach:
                        continue
                    two = 2.0 / w[0, _DT, l]
                    force = soft * (reach - gap) / (1.0 + soft * give)
                    hard = 0.0
                    if gap + give * force < 0.0:
                        lean = soft + k + c * two
                        force = (soft * (reach - gap) - k * gap - c * rate) / (1.0 + lean * give)
                        if force < 0.0:
                            force = 0.0
                        closed = gap + give * force
                        hard = max(force - soft * max(reach - closed, 0.0), 0.0)
                    if plane == 0:
                        w[0, _FY, l] = force
                        w[0, _FSY, l] = hard
                    else:
                        w[0, _FZ, l] = force
                        w[0, _FSZ, l] = hard
                for r in range(1, last + 1):
                    for l in range(nl):
                        f = w[0, _Q, l] * w[0, _FY + plane, l]
                        w[r, kb, l] += f * w[r, kw, l]
                        w[r, kb + 1, l] += f * w[r, kw + 1, l]
            # books
            for l in range(nl):
                n = base + l
                dt = w[0, _DT, l]
                fy = w[0, _FY, l]
                fsy = w[0, _FSY, l]
                if fy > out[n, PLATE_PEAK]:
                    out[n, PLATE_PEAK] = fy
                if driving:
                    out[n, PLATE_IMPULSE] += fy * dt
                    out[n, SHELF_IMPULSE] += w[0, _FZ, l] * dt
                    if fsy > 0.0:
                        out[n, PLATE_LEFT] = w[0, _T, l]
                    if w[0, _KF, l] > 0.0:
                        mid = w[1, _U, l] + w[1, _B, l]
                        out[n, LOOSE_WORK] += (
                            w[0, _KF, l] * (w[0, _TGT, l] - mid) * 2.0 * w[1, _B, l]
                        )
                else:
                    out[n, TAIL_SHAFT_Y] += fsy * dt
                    out[n, TAIL_FLETCHING_Y] += (fy - fsy) * dt
                    out[n, TAIL_SHAFT_Z] += w[0, _FSZ, l] * dt
                    out[n, TAIL_FLETCHING_Z] += (w[0, _FZ, l] - w[0, _FSZ, l]) * dt
                    if w[0, _GAPY, l] < out[n, CLEARANCE_Y]:
                        out[n, CLEARANCE_Y] = w[0, _GAPY, l]
            # step on
            for r in range(1, last + 1):
                for l in range(nl):
                    four = 4.0 / w[0, _DT, l]
                    d0 = w[r, _B, l]
                    d1 = w[r, _B + 1, l]
                    d2 = w[r, _B + 2, l]
                    d3 = w[r, _B + 3, l]
                    w[r, _U, l] += 2.0 * d0
                    w[r, _U + 1, l] += 2.0 * d1
                    w[r, _U + 2, l] += 2.0 * d2
                    w[r, _U + 3, l] += 2.0 * d3
                    w[r, _V, l] = four * d0 - w[r, _V, l]
                    w[r, _V + 1, l] = four * d1 - w[r, _V + 1, l]
                    w[r, _V + 2, l] = four * d2 - w[r, _V + 2, l]
                    w[r, _V + 3, l] = four * d3 - w[r, _V + 3, l]
            if step % 16 == 0:
                for l in range(nl):
                    n = base + l
                    for r in range(1, last + 1):
                        steep = max(abs(w[r, _U + 1, l]), abs(w[r, _U + 3, l]))
                        if not steep <= out[n, MOST_SLOPE]:
                            out[n, MOST_SLOPE] = steep
            if frame_every > 0 and step % frame_every == 0:
                f = step // frame_every
                if f < frame.shape[1]:
                    for l in range(nl):
                        n = base + l
                        frame[n, f, 0] = w[0, _T, l]
                        frame[n, f, 1] = w[0, _X, l]
                        frame[n, f, 2] = w[0, _FSY, l]
                        frame[n, f, 3] = w[0, _FY, l] - w[0, _FSY, l]
                        frame[n, f, 4] = w[0, _FSZ, l]
                        frame[n, f, 5] = w[0, _FZ, l] - w[0, _FSZ, l]
                        for i in range(nodes):
                            frame[n, f, FRAME_HEAD + i] = w[i + 1, _U, l]
                            frame[n, f, FRAME_HEAD + nodes + i] = w[i + 1, _U + 2, l]
        # ---------------------------------------------------------------- what leaves the bow
        for l in range(nl):
            n = base + l
            a = arrow_index[n]
            ms = launch[n, MASS_SCALE]
            mass = w[0, _MS, l]
            h = w[0, _EL, l]
            centre = (
                ms * arrow_number[a, SHAFT_MASS] * arrow_number[a, CENTRE_SHAFT]
                + arrow_number[a, PART_MASS] * arrow_number[a, CENTRE_PART]
            ) / mass
            inertia = 0.0
            for plane in range(2):
                ku = _U + 2 * plane
                kv = _V + 2 * plane
                mean = 0.0
                drift = 0.0
                turn = 0.0
                spin = 0.0
                inertia = 0.0
                for i in range(nodes):
                    r = i + 1
                    arm = h * i - centre
                    # momenta of node r: M v and M u, with rows of the block matrix
                    mu0 = w[r, _M, l] * w[r, ku, l] + w[r, _M + 1, l] * w[r, ku + 1, l]
                    mu1 = w[r, _M + 1, l] * w[r, ku, l] + w[r, _M + 2, l] * w[r, ku + 1, l]
                    mv0 = w[r, _M, l] * w[r, kv, l] + w[r, _M + 1, l] * w[r, kv + 1, l]
                    mv1 = w[r, _M + 1, l] * w[r, kv, l] + w[r, _M + 2, l] * w[r, kv + 1, l]
                    ma0 = w[r, _M, l] * arm + w[r, _M + 1, l]
                    ma1 = w[r, _M + 1, l] * arm + w[r, _M + 2, l]
                    if i + 1 < nodes:
                        mu0 += (
                            w[r, _M + 3, l] * w[r + 1, ku, l]
                            + w[r, _M + 4, l] * w[r + 1, ku + 1, l]
                        )
                        mu1 += (
                            w[r, _M + 5, l] * w[r + 1, ku, l]
                            + w[r, _M + 6, l] * w[r + 1, ku + 1, l]
                        )
                        mv0 += (
                            w[r, _M + 3, l] * w[r + 1, kv, l]
                            + w[r, _M + 4, l] * w[r + 1, kv + 1, l]
                        )
                        mv1 += (
                            w[r, _M + 5, l] * w[r + 1, kv, l]
                            + w[r, _M + 6, l] * w[r + 1, kv + 1, l]
                        )
                        ma0 += w[r, _M + 3, l] * (arm + h) + w[r, _M + 4, l]
                        ma1 += w[r, _M + 5, l] * (arm + h) + w[r, _M + 6, l]
                    if i > 0:
                        mu0 += (
                            w[r - 1, _M + 3, l] * w[r - 1, ku, l]
                            + w[r - 1, _M + 5, l] * w[r - 1, ku + 1, l]
                        )
                        mu1 += (
                            w[r - 1, _M + 4, l] * w[r - 1, ku, l]
                            + w[r - 1, _M + 6, l] * w[r - 1, ku + 1, l]
                        )
                        mv0 += (
                            w[r - 1, _M + 3, l] * w[r - 1, kv, l]
                            + w[r - 1, _M + 5, l] * w[r - 1, kv + 1, l]
                        )
                        mv1 += (
                            w[r - 1, _M + 4, l] * w[r - 1, kv, l]
                            + w[r - 1, _M + 6, l] * w[r - 1, kv + 1, l]
                        )
                        ma0 += w[r - 1, _M + 3, l] * (arm - h) + w[r - 1, _M + 5, l]
                        ma1 += w[r - 1, _M + 4, l] * (arm - h) + w[r - 1, _M + 6, l]
                    mean += mu0
                    drift += mv0
                    turn += arm * mu0 + mu1
                    spin += arm * mv0 + mv1
                    inertia += arm * ma0 + ma1
                mean /= mass
                drift /= mass
                turn /= inertia
                spin /= inertia
                column = Y if plane == 0 else Z
                out[n, column] = mean
                out[n, column + 1] = drift
                out[n, column + 2] = turn
                out[n, column + 3] = spin
                # energy left in bending: total of the relative motion, both planes
                for i in range(nodes):
                    r = i + 1
                    arm = h * i - centre
                    u0 = w[r, ku, l] - mean - turn * arm
                    u1 = w[r, ku + 1, l] - turn
                    v0 = w[r, kv, l] - drift - spin * arm
                    v1 = w[r, kv + 1, l] - spin
                    out[n, BENDING_ENERGY] += 0.5 * (
                        w[r, _K, l] * u0 * u0
                        + 2.0 * w[r, _K + 1, l] * u0 * u1
                        + w[r, _K + 2, l] * u1 * u1
                    ) + 0.5 * (
                        w[r, _M, l] * v0 * v0
                        + 2.0 * w[r, _M + 1, l] * v0 * v1
                        + w[r, _M + 2, l] * v1 * v1
                    )
                    if i + 1 < nodes:
                        x0 = w[r + 1, ku, l] - mean - turn * (arm + h)
                        x1 = w[r + 1, ku + 1, l] - turn
                        y0 = w[r + 1, kv, l] - drift - spin * (arm + h)
                        y1 = w[r + 1, kv + 1, l] - spin
                        out[n, BENDING_ENERGY] += (
                            u0 * (w[r, _K + 3, l] * x0 + w[r, _K + 4, l] * x1)
                            + u1 * (w[r, _K + 5, l] * x0 + w[r, _K + 6, l] * x1)
                            + v0 * (w[r, _M + 3, l] * y0 + w[r, _M + 4, l] * y1)
                            + v1 * (w[r, _M + 5, l] * y0 + w[r, _M + 6, l] * y1)
                        )
            out[n, PASSED] = w[0, _T, l]
            speed = out[n, SPEED]
            out[n, STRING_SHARE] = mass / w[0, _MASS, l]
            if out[n, STATUS] == FINE:
                sound = math.isfinite(speed)
                for c in range(OUT_COLUMNS):
                    sound = sound and math.isfinite(out[n, c])
                if not sound:
                    out[n, STATUS] = NOT_FINITE
                elif out[n, MOST_SLOPE] > SLOPE_LIMIT:
                    out[n, STATUS] = BENT_TOO_FAR


TASK = 64
"""Launches in one task of the pool: long against handing out work, short for progress."""


def launch_batch(
    launch: Array,
    arrow_index: Index,
    bow_index: Index,
    arrow_table: Array,
    arrow_number: Array,
    radius: Array,
    bow_table: Array,
    drive_steps: int = 800,
    pass_steps: int = 180,
    frame_every: int = 0,
    threads: int = 2,
    progress: Callable[[float], None] | None = None,
) -> tuple[Array, Array]:
    """A batch of launches over several threads.

    Parameters
    ----------
    launch : ndarray, shape (n, LAUNCH_COLUMNS)
        One row a launch. [SI]
    arrow_index, bow_index : ndarray of int64, shape (n,)
        Which arrow and bow each launch uses. [-]
    arrow_table : ndarray, shape (arrows, 5, nodes, 7)
        Block rows of each arrow. [SI]
    arrow_number : ndarray, shape (arrows, ARROW_COLUMNS)
        Lengths and masses of each arrow. [SI]
    radius : ndarray, shape (arrows, nodes)
        Surface of the shaft. [m]
    bow_table : ndarray, shape (bows, 4, points)
        Draw force and string geometry. [N, m, -, 1/m]
    drive_steps, pass_steps : int
        Time steps on the string and behind it. [-]
    frame_every : int
        Steps between recorded frames, 0 for none. [-]
    threads : int
        Threads that share the work. [-]
    progress : callable, optional
        Called with the fraction done, from the calling thread. [-]

    Returns
    -------
    out : ndarray, shape (n, OUT_COLUMNS)
        What left the bow, with a status for each launch. [SI]
    frame : ndarray, shape (n, frames, FRAME_HEAD + 2 nodes)
        The frames, of length 0 without frame_every. [SI]

    Holds
    -----
    As launch_chunk. Results do not depend on the number of threads or on what
    else is in the batch. ValueError for shapes that do not fit.

    Source
    ------
    docs/physics/launch.md.
    """
    n = len(launch)
    nodes = radius.shape[1]
    if nodes > MOST_NODES or launch.shape[1] != LAUNCH_COLUMNS or arrow_table.shape[2] != nodes:
        raise ValueError("launch tables do not fit together")
    out = np.zeros((n, OUT_COLUMNS))
    frames = 0 if frame_every == 0 else 1 + (drive_steps + pass_steps - 1) // frame_every
    frame = np.zeros((n if frames else 0, frames, FRAME_HEAD + 2 * nodes))
    if frames == 0:
        frame = np.zeros((1, 0, FRAME_HEAD + 2 * nodes))

    def task(low: int) -> int:
        high = min(low + TASK, n)
        launch_chunk(
            low, high, launch, arrow_index, bow_index, arrow_table, arrow_number, radius,
            bow_table, drive_steps, pass_steps, out, frame, frame_every,
        )  # fmt: skip
        return high

    lows = range(0, n, TASK)
    if threads <= 1 or n <= TASK:
        for low in lows:
            done = task(low)
            if progress is not None:
                progress(done / n)
    else:
        with ThreadPoolExecutor(threads) as pool:
            for number, _ in enumerate(pool.map(task, lows), 1):
                if progress is not None:
                    progress(min(number * TASK, n) / n)
    return out, frame
