"""The launch: from the loose until the nock has passed the bow, in two planes.

Eight launches run side by side in the lanes of the processor. Everything a lane
needs lives in one work array of constant shape (ROWS, SLOTS, LANES): only then
does the compiler see that the lanes do not overlap, and vectorises. A lane's
numbers do not depend on its neighbours. The steps of the work stand below one
another as small functions on that array, which the compiler merges again.

Axes: x forward along the plane of the bow, y to the left of a right-handed
archer, z up along the bow from the shelf. The strike plate and the shelf stand at
x = 0, the nock starts at x = -draw. A left-handed archer is mirrored before and
after, never here, and a canted bow is turned back after.

The shaft bends about its own two principal axes, 1 and 2, turned by NOCK_ANGLE
against y and z, so that two unlike stiffnesses stay uncoupled inside the shaft;
string, fingers, plate and shelf act along y and z and couple them.

Columns of the tables
---------------------
``launch[n, :]``   see the constants DRAW ... STRING_HOLD
``arrow_table[a, 5, nodes, 7]``  block rows (beam.py): bending stiffness, shaft
mass, mass of the parts, axial softening of shaft and of parts
``arrow_number[a, :]`` see LENGTH ... DAMPING_TIME
``slack[a, nodes - 1, 2]``  of each element: half the play of the joints in it [rad], and what
its ends then take for each radian more [N m]
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
SLOTS = 56

# columns of launch[n, :]
DRAW = 0  # true draw at the loose [m]
BRACE = 1  # brace height [m]
TOP_DRAW = 2  # true draw at the end of the bow's table [m]
FORCE_SCALE = 3  # multiplies the draw force [-]
FORCE_BULGE = 4  # adds FORCE_BULGE u (1 - u) of the table's last force [-]
VIRTUAL_MASS = 5  # losses and a third of the string: what is missing from the arrow's energy [kg]
STRING_THIRD = 6  # what of the string moves sideways with the nock at once [kg]
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
STIFFNESS_ACROSS = 24  # E·I about axis 2 over that about axis 1; 0 stands for 1 [-]
NOCK_ANGLE = 25  # from y to axis 1, turning toward z [rad]
CANT = 26  # top of the bow leaning to the right [rad]
PINCH = 27  # pull at which the nock lets go of the string [N]
PLUCK = 28  # nock held to the left of the string plane at the loose [m]
LOOSE_RISE = 29  # way of the fingers upward, over the same travel [m]
PLATE_DRIFT = 30  # plate moving to the left as the hand turns the bow [m/s]
FLETCHING_DAMPING = 31  # of the fletching squeezed against the bow [N s/m]
SHELF_WIDTH = 32  # of the shelf, from the plate; 0 stands for no edge [m]
STRING_HOLD = 33  # factor on the string's stiffness sideways; 0 stands for 1 [-]
LAUNCH_COLUMNS = 34

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
OFF_THE_SHELF = 5
TOO_LONG = 6

SLOPE_LIMIT = 0.35
"""Slope at which small bending ends. [rad] Modelling choice: cos 0.35 is 0.94."""
LONGEST = 1.6
"""Longest arrow for which the elements of a match were held against finer ones. [m]"""
FALLEN = 0.004
"""Drop of the arrow's surface below the shelf that counts as fallen off. [m]"""
STEEPEST_EVERY = 16
"""Steps between looks at the largest slope."""

# slots of a node row (rows 1 .. nodes)
_M = 0  # 7
_K = 7  # 7
_G = 14  # 7
_SI = 21  # 3 for axis 1, inverse of the pivot block; 3 more for axis 2
_P = 27  # 4 for axis 1, elimination factor to the next node; 4 more for axis 2
_U = 35  # displacement and slope about axis 1, then axis 2
_V = 39
_B = 43  # right-hand side, then the middle of the step
_W = 47  # the free motion's load, then the answer to a unit contact force
_R = 51  # radius
_PLAY = 52  # half the play of the joints in the element ahead
_FIRM = 53  # bending stiffness of that element over its length
# slots of row 0, lane numbers
_X = 0
_VX = 1
_DT = 2
_Q = 3
_ETA = 4
_ACC = 5
_KY = 6
_KZ = 7
_TY = 8
_TZ = 9
_SP = 10
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
_SOFTY = 21  # stiffness of the fletching over the plate here and now
_REACHY = 22
_REACHZ = 23
_ZN0 = 24
_ZS = 25
_MS = 26
_EL = 27
_C = 28
_S = 29
_SC = 30  # stiffness scales of axes 1 and 2
_S0 = 32  # 3 for axis 1, 3 for axis 2: pivots of node 0 without the string
_N = 38  # four values of the shape functions at the plate
_E = 42  # element over the plate
_GY = 43
_GZ = 44
_KEND = 45
_ARROW = 46
_KF = 47
_HOLD = 48
_D = 49  # four slopes of the shape functions at the plate
_SLIDE = 53  # forward speed at mid-step
_NEAR = 54  # 1 where this step may touch plate or shelf


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _set_up(w, nl, base, nodes, points, launch, arrow_index, bow_index, arrow_table,
            arrow_number, radius, slack, bow_table, drive_steps, out):  # fmt: skip
    """Lane numbers, matrices and the straight arrow at the loose."""
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
        scale = launch[n, FORCE_SCALE]
        bulge = launch[n, FORCE_BULGE] * bow_table[b, 0, points - 1]
        limb = launch[n, LIMB_MASS]
        # Time on the string, exact for constant acceleration inside each cell. Cells are even in
        # the root of the way, which a start from rest needs; cells twice as wide alongside take
        # off the error that falls with their square.
        cells = 256
        energy = 0.0
        speed = 0.0
        time = 0.0
        before = 0.0
        at = 0.0
        wide_energy = 0.0
        wide_speed = 0.0
        wide_time = 0.0
        wide_before = 0.0
        wide_at = 0.0
        for c in range(cells + 1):
            gone = (draw - brace) * c * c / (cells * cells)
            u = min(max((draw - gone - brace) / stroke, 0.0), 1.0)
            place = u * (points - 1)
            j = max(min(int(place), points - 2), 0)
            part = place - j
            f = bow_table[b, 0, j] + part * (bow_table[b, 0, j + 1] - bow_table[b, 0, j])
            f = scale * (f + bulge * u * (1.0 - u))
            if c > 0:
                ratio = bow_table[b, 2, j] + part * (bow_table[b, 2, j + 1] - bow_table[b, 2, j])
                moving = total + limb * ratio
                energy += 0.5 * (f + before) * (gone - at)
                faster = math.sqrt(max(2.0 * energy / moving, 0.0))
                time += 2.0 * (gone - at) / max(speed + faster, 1e-12)
                speed = faster
                if c % 2 == 0:
                    wide_energy += 0.5 * (f + wide_before) * (gone - wide_at)
                    faster = math.sqrt(max(2.0 * wide_energy / moving, 0.0))
                    wide_time += 2.0 * (gone - wide_at) / max(wide_speed + faster, 1e-12)
                    wide_speed = faster
            if c % 2 == 0:
                wide_before = f
                wide_at = gone
            before = f
            at = gone
        time += (time - wide_time) / 3.0
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
            speed = 10.0
        elif draw > length:
            out[n, STATUS] = OFF_THE_PLATE
        elif length > LONGEST:
            out[n, STATUS] = TOO_LONG
        # Past brace the string pulls back like a plucked one; a pinching nock rides along
        # until that pull exceeds the pinch.
        first = scale * (bow_table[b, 0, 1] + bulge / (points - 1))
        first += limb * bow_table[b, 3, 1] * speed * speed
        end = total * first / (total + limb * bow_table[b, 2, 1]) / bow_table[b, 1, 1]
        ride = launch[n, PINCH] * total / (mass * end)
        time += ride / max(speed, 1.0)
        out[n, STRING_LEFT] = time
        dt = time / drive_steps
        across = launch[n, STIFFNESS_ACROSS]
        if across == 0.0:
            across = 1.0
        c1 = math.cos(launch[n, NOCK_ANGLE])
        s1 = math.sin(launch[n, NOCK_ANGLE])
        w[0, _X, l] = -draw
        w[0, _VX, l] = 0.0
        w[0, _DT, l] = dt
        w[0, _Q, l] = 0.25 * dt * dt
        w[0, _ETA, l] = arrow_number[a, DAMPING_TIME] * math.sqrt(ms / launch[n, STIFFNESS_SCALE])
        w[0, _T, l] = 0.0
        w[0, _MASS, l] = total
        w[0, _MS, l] = mass
        w[0, _KZ, l] = launch[n, STRING_Z]
        w[0, _EL, l] = length / (nodes - 1)
        w[0, _C, l] = c1
        w[0, _S, l] = s1
        w[0, _SC, l] = launch[n, STIFFNESS_SCALE]
        w[0, _SC + 1, l] = launch[n, STIFFNESS_SCALE] * across
        w[0, _GY, l] = -9.80665 * math.sin(launch[n, CANT])
        w[0, _GZ, l] = -9.80665 * math.cos(launch[n, CANT])
        hold = launch[n, STRING_HOLD]
        w[0, _HOLD, l] = hold if hold > 0.0 else 1.0
        w[0, _KEND, l] = end
        w[0, _TY, l] = 0.0
        w[0, _TZ, l] = 0.0
        w[0, _KF, l] = 0.0
        w[0, _KY, l] = 0.0
        w[0, _ACC, l] = 0.0
        out[n, CLEARANCE_Y] = 1.0
        for i in range(nodes):
            r = i + 1
            for c in range(7):
                w[r, _K + c, l] = arrow_table[a, 0, i, c]
                w[r, _M + c, l] = ms * arrow_table[a, 1, i, c] + arrow_table[a, 2, i, c]
                w[r, _G + c, l] = ms * arrow_table[a, 3, i, c] + arrow_table[a, 4, i, c]
            w[r, _R, l] = radius[a, i]
            w[r, _PLAY, l] = slack[a, i, 0] if i < nodes - 1 else 0.0
            w[r, _FIRM, l] = slack[a, i, 1] if i < nodes - 1 else 0.0
        w[1, _M, l] += launch[n, STRING_THIRD]
        # Straight from the string over plate and shelf.
        place = min(draw, length) / length * (nodes - 1)
        j = max(min(int(place), nodes - 2), 0)
        r_plate = radius[a, j] + (place - j) * (radius[a, j + 1] - radius[a, j])
        y_nock = launch[n, PLUCK]
        z_nock = radius[a, 0] + launch[n, NOCK_HEIGHT]
        slope_y = (launch[n, PLATE_OFFSET] + r_plate - y_nock) / draw
        slope_z = (r_plate - z_nock) / draw
        w[0, _ZN0, l] = z_nock
        w[0, _ZS, l] = slope_z + launch[n, NOCK_PATH]
        for i in range(nodes):
            s = length * i / (nodes - 1)
            y = y_nock + slope_y * s
            z = z_nock + slope_z * s
            w[i + 1, _U, l] = c1 * y + s1 * z
            w[i + 1, _U + 1, l] = c1 * slope_y + s1 * slope_z
            w[i + 1, _U + 2, l] = c1 * z - s1 * y
            w[i + 1, _U + 3, l] = c1 * slope_z - s1 * slope_y
            for c in range(4):
                w[i + 1, _V + c, l] = 0.0


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _let_go(w, nl, base, launch, out, pass_steps):
    """The string lets the nock go and keeps its own mass."""
    for l in range(nl):
        n = base + l
        w[1, _M, l] -= launch[n, STRING_THIRD]
        out[n, SPEED] = w[0, _VX, l]
        out[n, NOCK_SIDE] = w[0, _C, l] * w[1, _U, l] - w[0, _S, l] * w[1, _U + 2, l]
        dt = max(-w[0, _X, l], 1e-3) / max(w[0, _VX, l], 1e-3) / pass_steps
        w[0, _DT, l] = dt
        w[0, _Q, l] = 0.25 * dt * dt
        w[0, _ACC, l] = 0.0
        w[0, _KY, l] = 0.0
        w[0, _KF, l] = 0.0
        w[0, _KZ, l] = 0.0


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _along(w, nl, base, points, launch, bow_index, bow_table, driving):
    """Half a drift, a kick, half a drift along x; the string's hold on the nock at mid-step."""
    for l in range(nl):
        n = base + l
        dt = w[0, _DT, l]
        x = w[0, _X, l] + 0.5 * dt * w[0, _VX, l]
        if driving:
            b = bow_index[n]
            brace = launch[n, BRACE]
            stroke = launch[n, TOP_DRAW] - brace
            if -x > brace:
                u = min(max((-x - brace) / stroke, 1e-9), 1.0)
                place = u * (points - 1)
                j = max(min(int(place), points - 2), 0)
                part = place - j
                f = bow_table[b, 0, j] + part * (bow_table[b, 0, j + 1] - bow_table[b, 0, j])
                h = bow_table[b, 1, j] + part * (bow_table[b, 1, j + 1] - bow_table[b, 1, j])
                ratio = bow_table[b, 2, j] + part * (bow_table[b, 2, j + 1] - bow_table[b, 2, j])
                give = bow_table[b, 3, j] + part * (bow_table[b, 3, j + 1] - bow_table[b, 3, j])
                f = launch[n, FORCE_SCALE] * (
                    f + launch[n, FORCE_BULGE] * bow_table[b, 0, points - 1] * u * (1.0 - u)
                )
                # The limbs must be set going too, and give that back as the string
                # straightens: their share of the moving mass falls to nothing at brace.
                limb = launch[n, LIMB_MASS]
                moving = w[0, _MASS, l] + limb * ratio
                give *= limb
                v = w[0, _VX, l]
                v += 0.5 * dt * (f + give * v * v) / moving
                acc = (f + give * v * v) / moving
                stiff = w[0, _MASS, l] * acc / h
            else:
                stiff = w[0, _KEND, l]
                acc = -stiff * (x + brace) / w[0, _MASS, l]
            w[0, _ACC, l] = acc
            w[0, _VX, l] += dt * acc
            travel = x + launch[n, DRAW]
            way = launch[n, LOOSE_TRAVEL]
            w[0, _KF, l] = 0.0
            w[0, _TZ, l] = w[0, _ZN0, l] + w[0, _ZS, l] * travel
            if travel < way + 0.5 * dt * w[0, _VX, l]:
                wave = math.sin(0.5 * math.pi * min(travel / way, 1.0))
                w[0, _TZ, l] += launch[n, LOOSE_RISE] * wave
                push = launch[n, LOOSE_PUSH]
                target = launch[n, PLUCK] + push * wave
                half = 0.5 * dt
                c = w[0, _C, l]
                s = w[0, _S, l]
                ahead = target - c * (w[1, _U, l] + half * w[1, _V, l])
                ahead += s * (w[1, _U + 2, l] + half * w[1, _V + 2, l])
                if ahead * push > 0.0:  # fingers push, they cannot pull
                    # They let go within a step: its share counts, or the order falls to one.
                    share = min(1.0, 0.5 + (way - travel) / (dt * w[0, _VX, l]))
                    w[0, _KF, l] = share * launch[n, FINGER_STIFFNESS]
                    w[0, _TY, l] = target
            w[0, _KY, l] = w[0, _HOLD, l] * stiff + w[0, _KF, l]
        w[0, _X, l] = x + 0.5 * dt * w[0, _VX, l]
        w[0, _SP, l] = -x
        w[0, _T, l] += dt


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _factor(w, nl, last, alike):
    """Factors of both axes' systems, from the point toward the nock.

    The string acts on node 0 alone and so enters the last pivot only. Shafts
    alike all round need the factor of axis 1 alone.
    """
    for axis in range(1 if alike else 2):
        ks = _SC + axis
        si = _SI + 3 * axis
        pp = _P + 4 * axis
        for l in range(nl):
            kap = w[0, ks, l] * (w[0, _Q, l] + 0.5 * w[0, _ETA, l] * w[0, _DT, l])
            soft = w[0, _Q, l] * w[0, _ACC, l]
            a00 = w[last, _M, l] + kap * w[last, _K, l] - soft * w[last, _G, l]
            a01 = w[last, _M + 1, l] + kap * w[last, _K + 1, l] - soft * w[last, _G + 1, l]
            a11 = w[last, _M + 2, l] + kap * w[last, _K + 2, l] - soft * w[last, _G + 2, l]
            det = 1.0 / (a00 * a11 - a01 * a01)
            w[last, si, l] = a11 * det
            w[last, si + 1, l] = -a01 * det
            w[last, si + 2, l] = a00 * det
        for r in range(last - 1, 0, -1):
            for l in range(nl):
                kap = w[0, ks, l] * (w[0, _Q, l] + 0.5 * w[0, _ETA, l] * w[0, _DT, l])
                soft = w[0, _Q, l] * w[0, _ACC, l]
                e00 = w[r, _M + 3, l] + kap * w[r, _K + 3, l] - soft * w[r, _G + 3, l]
                e01 = w[r, _M + 4, l] + kap * w[r, _K + 4, l] - soft * w[r, _G + 4, l]
                e10 = w[r, _M + 5, l] + kap * w[r, _K + 5, l] - soft * w[r, _G + 5, l]
                e11 = w[r, _M + 6, l] + kap * w[r, _K + 6, l] - soft * w[r, _G + 6, l]
                s00 = w[r + 1, si, l]
                s01 = w[r + 1, si + 1, l]
                s11 = w[r + 1, si + 2, l]
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
                w[r, pp, l] = p00
                w[r, pp + 1, l] = p01
                w[r, pp + 2, l] = p10
                w[r, pp + 3, l] = p11
                w[r, si, l] = a11 * det
                w[r, si + 1, l] = -a01 * det
                w[r, si + 2, l] = a00 * det
                if r == 1:
                    w[0, _S0 + 3 * axis, l] = a00
                    w[0, _S0 + 3 * axis + 1, l] = a01
                    w[0, _S0 + 3 * axis + 2, l] = a11


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _right_hand_side(w, nl, last):
    """Load of the system whose answer is the middle of the step, nothing touching.

    With A = M + (q + half the damping) K - q N + q strings, that middle solves
    A u_mid = M (u + dt/2 v) + half the damping K u + q (what the strings pull toward):
    the axial force has no part of its own on this side.
    """
    for r in range(1, last + 1):
        for l in range(nl):
            hd = 0.5 * w[0, _DT, l]
            g1 = w[0, _C, l] * w[0, _GY, l] + w[0, _S, l] * w[0, _GZ, l]
            g2 = w[0, _C, l] * w[0, _GZ, l] - w[0, _S, l] * w[0, _GY, l]
            w[r, _W, l] = w[r, _U, l] + hd * (w[r, _V, l] + hd * g1)
            w[r, _W + 1, l] = w[r, _U + 1, l] + hd * w[r, _V + 1, l]
            w[r, _W + 2, l] = w[r, _U + 2, l] + hd * (w[r, _V + 2, l] + hd * g2)
            w[r, _W + 3, l] = w[r, _U + 3, l] + hd * w[r, _V + 3, l]
    for axis in range(2):
        ku = _U + 2 * axis
        kp = _W + 2 * axis
        kb = _B + 2 * axis
        for r in range(1, last + 1):
            for l in range(nl):
                lag = 0.5 * w[0, _ETA, l] * w[0, _DT, l] * w[0, _SC + axis, l]
                p0 = w[r, kp, l]
                p1 = w[r, kp + 1, l]
                u0 = w[r, ku, l]
                u1 = w[r, ku + 1, l]
                b0 = w[r, _M, l] * p0 + w[r, _M + 1, l] * p1
                b1 = w[r, _M + 1, l] * p0 + w[r, _M + 2, l] * p1
                k0 = w[r, _K, l] * u0 + w[r, _K + 1, l] * u1
                k1 = w[r, _K + 1, l] * u0 + w[r, _K + 2, l] * u1
                if r < last:
                    p0 = w[r + 1, kp, l]
                    p1 = w[r + 1, kp + 1, l]
                    u0 = w[r + 1, ku, l]
                    u1 = w[r + 1, ku + 1, l]
                    b0 += w[r, _M + 3, l] * p0 + w[r, _M + 4, l] * p1
                    b1 += w[r, _M + 5, l] * p0 + w[r, _M + 6, l] * p1
                    k0 += w[r, _K + 3, l] * u0 + w[r, _K + 4, l] * u1
                    k1 += w[r, _K + 5, l] * u0 + w[r, _K + 6, l] * u1
                if r > 1:
                    p0 = w[r - 1, kp, l]
                    p1 = w[r - 1, kp + 1, l]
                    u0 = w[r - 1, ku, l]
                    u1 = w[r - 1, ku + 1, l]
                    b0 += w[r - 1, _M + 3, l] * p0 + w[r - 1, _M + 5, l] * p1
                    b1 += w[r - 1, _M + 4, l] * p0 + w[r - 1, _M + 6, l] * p1
                    k0 += w[r - 1, _K + 3, l] * u0 + w[r - 1, _K + 5, l] * u1
                    k1 += w[r - 1, _K + 4, l] * u0 + w[r - 1, _K + 6, l] * u1
                w[r, kb, l] = b0 + lag * k0
                w[r, kb + 1, l] = b1 + lag * k1
    for l in range(nl):
        q = w[0, _Q, l]
        c = w[0, _C, l]
        s = w[0, _S, l]
        half = 0.5 * w[0, _DT, l]
        fy = w[0, _KF, l] * w[0, _TY, l]
        fz = w[0, _KZ, l] * w[0, _TZ, l]
        # What couples the axes at the nock, taken at the predicted middle of the step.
        couple = c * s * (w[0, _KZ, l] - w[0, _KY, l])
        f1 = c * fy + s * fz - couple * (w[1, _U + 2, l] + half * w[1, _V + 2, l])
        f2 = c * fz - s * fy - couple * (w[1, _U, l] + half * w[1, _V, l])
        w[1, _B, l] += q * f1
        w[1, _B + 2, l] += q * f2


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _rattle(w, nl, last):
    """Loads of the joints that have play: inside it they turn freely, beyond it they hold.

    An element whose ends are turned against each other by an angle carries what exceeds the
    play. The part it does not carry is taken at the predicted middle of the step, in both
    planes together: a joint rocks as far to any side.
    """
    for r in range(1, last):
        for l in range(nl):
            play = w[r, _PLAY, l]
            if play > 0.0:
                half = 0.5 * w[0, _DT, l]
                a1 = w[r + 1, _U + 1, l] - w[r, _U + 1, l]
                a1 += half * (w[r + 1, _V + 1, l] - w[r, _V + 1, l])
                a2 = w[r + 1, _U + 3, l] - w[r, _U + 3, l]
                a2 += half * (w[r + 1, _V + 3, l] - w[r, _V + 3, l])
                angle = math.sqrt(a1 * a1 + a2 * a2)
                free = play / angle if angle > play else 1.0
                q = w[0, _Q, l] * w[r, _FIRM, l] * free
                m1 = q * w[0, _SC, l] * a1
                m2 = q * w[0, _SC + 1, l] * a2
                w[r, _B + 1, l] -= m1
                w[r + 1, _B + 1, l] += m1
                w[r, _B + 3, l] -= m2
                w[r + 1, _B + 3, l] += m2


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _solve(w, nl, last, alike, kb, loaded):
    """Solution in place of both axes, at slots kb .. kb + 3; no load beyond the row loaded."""
    for axis in range(2):
        k = kb + 2 * axis
        own = 0 if alike else axis
        si = _SI + 3 * own
        pp = _P + 4 * own
        s0 = _S0 + 3 * own
        for r in range(loaded - 1, 0, -1):
            for l in range(nl):
                b0 = w[r + 1, k, l]
                b1 = w[r + 1, k + 1, l]
                w[r, k, l] -= w[r, pp, l] * b0 + w[r, pp + 1, l] * b1
                w[r, k + 1, l] -= w[r, pp + 2, l] * b0 + w[r, pp + 3, l] * b1
        for l in range(nl):
            c2 = w[0, _C, l] * w[0, _C, l]
            s2 = w[0, _S, l] * w[0, _S, l]
            if axis == 0:
                hold = c2 * w[0, _KY, l] + s2 * w[0, _KZ, l]
            else:
                hold = s2 * w[0, _KY, l] + c2 * w[0, _KZ, l]
            a00 = w[0, s0, l] + w[0, _Q, l] * hold
            a01 = w[0, s0 + 1, l]
            a11 = w[0, s0 + 2, l]
            det = 1.0 / (a00 * a11 - a01 * a01)
            b0 = w[1, k, l]
            b1 = w[1, k + 1, l]
            w[1, k, l] = det * (a11 * b0 - a01 * b1)
            w[1, k + 1, l] = det * (a00 * b1 - a01 * b0)
        for r in range(2, last + 1):
            for l in range(nl):
                b0 = w[r, k, l]
                b1 = w[r, k + 1, l]
                x0 = w[r - 1, k, l]
                x1 = w[r - 1, k + 1, l]
                y0 = w[r, si, l] * b0 + w[r, si + 1, l] * b1
                y1 = w[r, si + 1, l] * b0 + w[r, si + 2, l] * b1
                w[r, k, l] = y0 - w[r - 1, pp, l] * x0 - w[r - 1, pp + 2, l] * x1
                w[r, k + 1, l] = y1 - w[r - 1, pp + 1, l] * x0 - w[r - 1, pp + 3, l] * x1


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _at_plate(w, r, k, l):
    """Value at the plate of the nodal quantity at slots k, k + 1, by the lane's shape functions."""
    return (
        w[0, _N, l] * w[r, k, l]
        + w[0, _N + 1, l] * w[r, k + 1, l]
        + w[0, _N + 2, l] * w[r + 1, k, l]
        + w[0, _N + 3, l] * w[r + 1, k + 1, l]
    )


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _slope_at_plate(w, r, k, l):
    """Slope along the arrow at the plate of the nodal quantity at slots k, k + 1."""
    return (
        w[0, _D, l] * w[r, k, l]
        + w[0, _D + 1, l] * w[r, k + 1, l]
        + w[0, _D + 2, l] * w[r + 1, k, l]
        + w[0, _D + 3, l] * w[r + 1, k + 1, l]
    )


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _look(w, nl, base, nodes, launch, arrow_index, arrow_number):
    """Gaps of plate and shelf if nothing touched; whether any lane would touch."""
    touching = False
    for l in range(nl):
        n = base + l
        a = arrow_index[n]
        sp = w[0, _SP, l]
        h = w[0, _EL, l]
        w[0, _FY, l] = 0.0
        w[0, _FZ, l] = 0.0
        w[0, _FSY, l] = 0.0
        w[0, _FSZ, l] = 0.0
        w[0, _GAPY, l] = 1.0
        w[0, _GAPZ, l] = 1.0
        w[0, _SOFTY, l] = 0.0
        w[0, _REACHY, l] = 0.0
        w[0, _REACHZ, l] = 0.0
        w[0, _NEAR, l] = 0.0
        inside = sp >= 0.0 and sp <= h * (nodes - 1)
        at = min(max(sp, 0.0), h * (nodes - 1))
        e = max(min(int(at / h), nodes - 2), 0)
        xi = at / h - e
        w[0, _E, l] = e
        w[0, _N, l] = 1.0 - xi * xi * (3.0 - 2.0 * xi)
        w[0, _N + 1, l] = h * xi * (1.0 - xi) * (1.0 - xi)
        w[0, _N + 2, l] = xi * xi * (3.0 - 2.0 * xi)
        w[0, _N + 3, l] = -h * xi * xi * (1.0 - xi)
        w[0, _D, l] = -6.0 * xi * (1.0 - xi) / h
        w[0, _D + 1, l] = 1.0 - xi * (4.0 - 3.0 * xi)
        w[0, _D + 2, l] = 6.0 * xi * (1.0 - xi) / h
        w[0, _D + 3, l] = xi * (3.0 * xi - 2.0)
        w[0, _SLIDE, l] = w[0, _VX, l] - 0.5 * w[0, _DT, l] * w[0, _ACC, l]
        if not inside:
            continue
        r = e + 1
        c = w[0, _C, l]
        s = w[0, _S, l]
        rad = w[r, _R, l] + xi * (w[r + 1, _R, l] - w[r, _R, l])
        two = 2.0 / w[0, _DT, l]
        u1 = _at_plate(w, r, _B, l)
        u2 = _at_plate(w, r, _B + 2, l)
        d1 = u1 - _at_plate(w, r, _U, l)
        d2 = u2 - _at_plate(w, r, _U + 2, l)
        drift = launch[n, PLATE_DRIFT]
        plate = launch[n, PLATE_OFFSET] + drift * (w[0, _T, l] - 0.5 * w[0, _DT, l])
        w[0, _GAPY, l] = c * u1 - s * u2 - rad - plate
        w[0, _GAPZ, l] = s * u1 + c * u2 - rad
        # The gap closes by the arrow's own motion and by its slope sliding through the plate.
        slide = w[0, _SLIDE, l]
        t1 = _slope_at_plate(w, r, _B, l)
        t2 = _slope_at_plate(w, r, _B + 2, l)
        taper = (w[r + 1, _R, l] - w[r, _R, l]) / h
        w[0, _RATEY, l] = two * (c * d1 - s * d2) - slide * (c * t1 - s * t2 - taper) - drift
        w[0, _RATEZ, l] = two * (s * d1 + c * d2) - slide * (s * t1 + c * t2 - taper)
        rear = arrow_number[a, FLETCHING_REAR]
        front = arrow_number[a, FLETCHING_FRONT]
        if rear < sp < front:
            # A fletching rises over the front six tenths and ends steeply behind.
            back = (sp - rear) / (front - rear)
            rise = min(min(1.0, (1.0 - back) / 0.6), back / 0.1)
            w[0, _SOFTY, l] = 1.0
            w[0, _REACHY, l] = launch[n, FLETCHING_REACH_Y] * rise
            w[0, _REACHZ, l] = launch[n, FLETCHING_REACH_Z] * rise
        edge = launch[n, SHELF_WIDTH]
        over = w[0, _GAPY, l] - edge
        if edge > 0.0 and over > 0.0:
            # Its middle past the edge, a round shaft rolls off along its own circle.
            w[0, _GAPZ, l] += min(0.5 * over * over / max(rad, 1e-4), 1.0)
        # A step may meet the bow in its second half.
        half = 0.5 * w[0, _DT, l]
        near_y = w[0, _GAPY, l] + half * min(w[0, _RATEY, l], 0.0) < w[0, _REACHY, l]
        near_z = w[0, _GAPZ, l] + half * min(w[0, _RATEZ, l], 0.0) < w[0, _REACHZ, l]
        w[0, _NEAR, l] = 1.0 if near_y or near_z else 0.0
        if near_y or near_z:
            touching = True
    return touching


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _meeting(start, end):
    """Share of a step in which a gap is closed, and how deep on the mean, from both its ends.

    What is closed from the start counts in full and at its middle: the support's force
    fades before it lets go, so leaving needs no care. Meeting does: a dashpot pushes at once.
    """
    share = 1.0
    if start > 0.0:
        share = -end / (start - end) if end < 0.0 else 0.0
    deep = -0.5 * share * end if start > 0.0 else -0.5 * (start + end)
    return share, deep


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _press(gap, rate, half, give, swift, k, c, soft, damp, reach):
    """Mean force of one one-sided support over a step, and the part of it on the shaft itself.

    Solves force against the gap it opens, gap + give·force at mid-step, at the rate it opens
    it, rate + swift·force, with a soft spring
    (the fletching) from the reach on and a hard one (the plate) from zero on,
    each with a dashpot and neither able to pull. In the step in which they meet, each counts
    for its share of it.
    """
    force = 0.0
    hard = 0.0
    start = gap - half * rate
    share_s, deep_s = _meeting(start - reach, gap + half * rate - reach)
    if share_s > 0.0 and (soft > 0.0 or damp > 0.0):
        force = soft * deep_s - damp * share_s * rate
        force = max(force / (1.0 + share_s * (soft * give + damp * swift)), 0.0)
    share, deep = _meeting(start, gap + give * force + half * (rate + swift * force))
    if share > 0.0 and deep > 0.0:
        share, deep = _meeting(start, gap + half * rate)
        lean = (share_s * soft + share * k) * give + (share_s * damp + share * c) * swift
        force = soft * deep_s + k * deep - (damp * share_s + c * share) * rate
        force = max(force / (1.0 + lean), 0.0)
        folded = soft * (deep_s - share_s * give * force)
        folded -= damp * share_s * (rate + swift * force)
        hard = max(force - max(folded, 0.0), 0.0)
    return force, hard


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _touch(w, nl, base, last, alike, launch):
    """Forces of plate and shelf, and what they change at mid-step."""
    for r in range(1, last + 1):
        for l in range(nl):
            w[r, _W, l] = 0.0
            w[r, _W + 1, l] = 0.0
            w[r, _W + 2, l] = 0.0
            w[r, _W + 3, l] = 0.0
    loaded = 2
    for l in range(nl):
        r = int(w[0, _E, l]) + 1
        loaded = max(loaded, r + 1)
        w[r, _W, l] = w[0, _N, l]
        w[r, _W + 1, l] = w[0, _N + 1, l]
        w[r + 1, _W, l] = w[0, _N + 2, l]
        w[r + 1, _W + 1, l] = w[0, _N + 3, l]
        w[r, _W + 2, l] = w[0, _N, l]
        w[r, _W + 3, l] = w[0, _N + 1, l]
        w[r + 1, _W + 2, l] = w[0, _N + 2, l]
        w[r + 1, _W + 3, l] = w[0, _N + 3, l]
    _solve(w, nl, last, alike, _W, loaded)
    for l in range(nl):
        n = base + l
        gap_y = w[0, _GAPY, l]
        gap_z = w[0, _GAPZ, l]
        if w[0, _NEAR, l] == 0.0:
            continue
        r = int(w[0, _E, l]) + 1
        c = w[0, _C, l]
        s = w[0, _S, l]
        g1 = w[0, _Q, l] * _at_plate(w, r, _W, l)
        g2 = w[0, _Q, l] * _at_plate(w, r, _W + 2, l)
        gyy = c * c * g1 + s * s * g2
        gzz = s * s * g1 + c * c * g2
        gyz = c * s * (g1 - g2)
        two = 2.0 / w[0, _DT, l]
        half = 0.5 * w[0, _DT, l]
        slide = w[0, _SLIDE, l] * w[0, _Q, l]
        t1 = slide * _slope_at_plate(w, r, _W, l)
        t2 = slide * _slope_at_plate(w, r, _W + 2, l)
        swift_y = two * gyy - c * c * t1 - s * s * t2
        swift_z = two * gzz - s * s * t1 - c * c * t2
        swift_yz = two * gyz - c * s * (t1 - t2)
        soft = launch[n, FLETCHING_STIFFNESS] * w[0, _SOFTY, l]
        damp = launch[n, FLETCHING_DAMPING] * w[0, _SOFTY, l]
        fy = 0.0
        fz = 0.0
        hy = 0.0
        hz = 0.0
        for _ in range(3):
            # Unlike stiffnesses let the two supports feel each other a little.
            fy, hy = _press(
                gap_y + gyz * fz, w[0, _RATEY, l] + swift_yz * fz, half, gyy, swift_y,
                launch[n, PLATE_STIFFNESS], launch[n, PLATE_DAMPING], soft, damp,
                w[0, _REACHY, l],
            )  # fmt: skip
            fz, hz = _press(
                gap_z + gyz * fy, w[0, _RATEZ, l] + swift_yz * fy, half, gzz, swift_z,
                launch[n, SHELF_STIFFNESS], launch[n, SHELF_DAMPING], soft, damp,
                w[0, _REACHZ, l],
            )  # fmt: skip
            if gyz == 0.0:
                break
        w[0, _FY, l] = fy
        w[0, _FZ, l] = fz
        w[0, _FSY, l] = hy
        w[0, _FSZ, l] = hz
    for r in range(1, last + 1):
        for l in range(nl):
            q = w[0, _Q, l]
            f1 = q * (w[0, _C, l] * w[0, _FY, l] + w[0, _S, l] * w[0, _FZ, l])
            f2 = q * (w[0, _C, l] * w[0, _FZ, l] - w[0, _S, l] * w[0, _FY, l])
            w[r, _B, l] += f1 * w[r, _W, l]
            w[r, _B + 1, l] += f1 * w[r, _W + 1, l]
            w[r, _B + 2, l] += f2 * w[r, _W + 2, l]
            w[r, _B + 3, l] += f2 * w[r, _W + 3, l]


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _book(w, nl, base, out, driving):
    """Impulses, peaks, clearances and the work of the fingers in this step."""
    for l in range(nl):
        n = base + l
        dt = w[0, _DT, l]
        fy = w[0, _FY, l]
        fsy = w[0, _FSY, l]
        if fy > out[n, PLATE_PEAK]:
            out[n, PLATE_PEAK] = fy
        if -1.0 < w[0, _GAPZ, l] < -FALLEN and w[0, _FZ, l] == 0.0 and out[n, STATUS] == FINE:
            out[n, STATUS] = OFF_THE_SHELF
        if driving:
            out[n, PLATE_IMPULSE] += fy * dt
            out[n, SHELF_IMPULSE] += w[0, _FZ, l] * dt
            if fsy > 0.0:
                out[n, PLATE_LEFT] = w[0, _T, l]
            if w[0, _KF, l] > 0.0:
                c = w[0, _C, l]
                s = w[0, _S, l]
                mid = c * w[1, _B, l] - s * w[1, _B + 2, l]
                step = mid - c * w[1, _U, l] + s * w[1, _U + 2, l]
                out[n, LOOSE_WORK] += w[0, _KF, l] * (w[0, _TY, l] - mid) * 2.0 * step
        else:
            out[n, TAIL_SHAFT_Y] += fsy * dt
            out[n, TAIL_FLETCHING_Y] += (fy - fsy) * dt
            out[n, TAIL_SHAFT_Z] += w[0, _FSZ, l] * dt
            out[n, TAIL_FLETCHING_Z] += (w[0, _FZ, l] - w[0, _FSZ, l]) * dt
            if w[0, _GAPY, l] < out[n, CLEARANCE_Y]:
                out[n, CLEARANCE_Y] = w[0, _GAPY, l]


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _step_on(w, nl, last):
    """End of the step from its middle."""
    for r in range(1, last + 1):
        for l in range(nl):
            four = 4.0 / w[0, _DT, l]
            d0 = w[r, _B, l] - w[r, _U, l]
            d1 = w[r, _B + 1, l] - w[r, _U + 1, l]
            d2 = w[r, _B + 2, l] - w[r, _U + 2, l]
            d3 = w[r, _B + 3, l] - w[r, _U + 3, l]
            w[r, _U, l] += 2.0 * d0
            w[r, _U + 1, l] += 2.0 * d1
            w[r, _U + 2, l] += 2.0 * d2
            w[r, _U + 3, l] += 2.0 * d3
            w[r, _V, l] = four * d0 - w[r, _V, l]
            w[r, _V + 1, l] = four * d1 - w[r, _V + 1, l]
            w[r, _V + 2, l] = four * d2 - w[r, _V + 2, l]
            w[r, _V + 3, l] = four * d3 - w[r, _V + 3, l]


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _steepest(w, nl, base, last, out):
    """Largest slope so far, with a nan kept."""
    for l in range(nl):
        n = base + l
        for r in range(1, last + 1):
            steep = math.sqrt(w[r, _U + 1, l] ** 2 + w[r, _U + 3, l] ** 2)
            if not steep <= out[n, MOST_SLOPE]:
                out[n, MOST_SLOPE] = steep


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _record(w, nl, base, nodes, frame, f):
    """One frame of each lane, turned back to y and z."""
    for l in range(nl):
        n = base + l
        c = w[0, _C, l]
        s = w[0, _S, l]
        frame[n, f, 0] = w[0, _T, l]
        frame[n, f, 1] = w[0, _X, l]
        frame[n, f, 2] = w[0, _FSY, l]
        frame[n, f, 3] = w[0, _FY, l] - w[0, _FSY, l]
        frame[n, f, 4] = w[0, _FSZ, l]
        frame[n, f, 5] = w[0, _FZ, l] - w[0, _FSZ, l]
        for i in range(nodes):
            u1 = w[i + 1, _U, l]
            u2 = w[i + 1, _U + 2, l]
            frame[n, f, FRAME_HEAD + i] = c * u1 - s * u2
            frame[n, f, FRAME_HEAD + nodes + i] = s * u1 + c * u2


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _times(w, block, r, last, k, l):
    """Row r of a block matrix times the nodal quantity at slots k, k + 1."""
    a = w[r, block, l] * w[r, k, l] + w[r, block + 1, l] * w[r, k + 1, l]
    b = w[r, block + 1, l] * w[r, k, l] + w[r, block + 2, l] * w[r, k + 1, l]
    if r < last:
        a += w[r, block + 3, l] * w[r + 1, k, l] + w[r, block + 4, l] * w[r + 1, k + 1, l]
        b += w[r, block + 5, l] * w[r + 1, k, l] + w[r, block + 6, l] * w[r + 1, k + 1, l]
    if r > 1:
        a += w[r - 1, block + 3, l] * w[r - 1, k, l] + w[r - 1, block + 5, l] * w[r - 1, k + 1, l]
        b += w[r - 1, block + 4, l] * w[r - 1, k, l] + w[r - 1, block + 6, l] * w[r - 1, k + 1, l]
    return a, b


@njit(cache=True, nogil=True, error_model="numpy", inline="always")
def _leave(w, nl, base, last, launch, arrow_index, arrow_number, out):
    """Rigid motion and bending energy with which the arrow leaves the bow."""
    for l in range(nl):
        n = base + l
        a = arrow_index[n]
        mass = w[0, _MS, l]
        h = w[0, _EL, l]
        c = w[0, _C, l]
        s = w[0, _S, l]
        centre = (
            launch[n, MASS_SCALE] * arrow_number[a, SHAFT_MASS] * arrow_number[a, CENTRE_SHAFT]
            + arrow_number[a, PART_MASS] * arrow_number[a, CENTRE_PART]
        ) / mass
        # Inertia from the same matrix that carried the motion: rigid turning in the slots of W.
        for r in range(1, last + 1):
            w[r, _W, l] = h * (r - 1) - centre
            w[r, _W + 1, l] = 1.0
        inertia = 0.0
        for r in range(1, last + 1):
            p, t = _times(w, _M, r, last, _W, l)
            inertia += w[r, _W, l] * p + t
        for axis in range(2):
            ku = _U + 2 * axis
            kv = _V + 2 * axis
            mean = 0.0
            drift = 0.0
            turn = 0.0
            spin = 0.0
            for r in range(1, last + 1):
                arm = h * (r - 1) - centre
                p, t = _times(w, _M, r, last, ku, l)
                mean += p
                turn += arm * p + t
                p, t = _times(w, _M, r, last, kv, l)
                drift += p
                spin += arm * p + t
            mean /= mass
            drift /= mass
            turn /= inertia
            spin /= inertia
            # Axis 1 adds to y with the cosine and to z with the sine.
            cy = c if axis == 0 else -s
            cz = s if axis == 0 else c
            out[n, Y] += cy * mean
            out[n, Y_VELOCITY] += cy * drift
            out[n, YAW] += cy * turn
            out[n, YAW_RATE] += cy * spin
            out[n, Z] += cz * mean
            out[n, Z_VELOCITY] += cz * drift
            out[n, PITCH] += cz * turn
            out[n, PITCH_RATE] += cz * spin
            for r in range(1, last + 1):
                arm = h * (r - 1) - centre
                w[r, _B, l] = w[r, ku, l] - mean - turn * arm
                w[r, _B + 1, l] = w[r, ku + 1, l] - turn
                w[r, _B + 2, l] = w[r, kv, l] - drift - spin * arm
                w[r, _B + 3, l] = w[r, kv + 1, l] - spin
            for r in range(1, last + 1):
                p, t = _times(w, _K, r, last, _B, l)
                stored = w[r, _B, l] * p + w[r, _B + 1, l] * t
                out[n, BENDING_ENERGY] += 0.5 * w[0, _SC + axis, l] * stored
                p, t = _times(w, _M, r, last, _B + 2, l)
                out[n, BENDING_ENERGY] += 0.5 * (w[r, _B + 2, l] * p + w[r, _B + 3, l] * t)
        for r in range(1, last):
            # Less what the matrices count for turning inside the play, which holds nothing.
            play = w[r, _PLAY, l]
            if play > 0.0:
                a1 = w[r + 1, _U + 1, l] - w[r, _U + 1, l]
                a2 = w[r + 1, _U + 3, l] - w[r, _U + 3, l]
                angle = math.sqrt(a1 * a1 + a2 * a2)
                firm = w[r, _FIRM, l] * (w[0, _SC, l] * a1 * a1 + w[0, _SC + 1, l] * a2 * a2)
                held = max(angle - play, 0.0) / max(angle, 1e-30)
                out[n, BENDING_ENERGY] -= 0.5 * firm * (1.0 - held * held)
        out[n, PASSED] = w[0, _T, l]
        out[n, STRING_SHARE] = mass / w[0, _MASS, l]
        if out[n, STATUS] == FINE:
            sound = True
            for k in range(OUT_COLUMNS):
                sound = sound and math.isfinite(out[n, k])
            if not sound:
                out[n, STATUS] = NOT_FINITE
        # A shaft bent past the theory may seem to drop off the shelf: the bending is the cause.
        if out[n, STATUS] == FINE or out[n, STATUS] == OFF_THE_SHELF:
            if out[n, MOST_SLOPE] > SLOPE_LIMIT:
                out[n, STATUS] = BENT_TOO_FAR


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
    slack,
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
    slack : ndarray, shape (arrows, nodes - 1, 2)
        Half the play of the joints in each element, and its stiffness over its length;
        zeros without play. [rad, N m]
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
    Small slopes; plate and shelf are points at x = 0; no friction along the arrow;
    the two stiffnesses of a shaft stand in one ratio along its whole length. Implicit
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
        _set_up(
            w, nl, base, nodes, points, launch, arrow_index, bow_index, arrow_table,
            arrow_number, radius, slack, bow_table, drive_steps, out,
        )  # fmt: skip
        alike = True
        for l in range(nl):
            alike = alike and w[0, _SC, l] == w[0, _SC + 1, l]
        rattling = False
        for r in range(1, last):
            for l in range(nl):
                rattling = rattling or w[r, _PLAY, l] > 0.0
        for step in range(drive_steps + pass_steps):
            driving = step < drive_steps
            if step == drive_steps:
                _let_go(w, nl, base, launch, out, pass_steps)
            _along(w, nl, base, points, launch, bow_index, bow_table, driving)
            if driving or step == drive_steps:
                # Behind the string nothing changes the system any more.
                _factor(w, nl, last, alike)
            _right_hand_side(w, nl, last)
            if rattling:
                _rattle(w, nl, last)
            _solve(w, nl, last, alike, _B, last)
            if _look(w, nl, base, nodes, launch, arrow_index, arrow_number):
                _touch(w, nl, base, last, alike, launch)
            _book(w, nl, base, out, driving)
            _step_on(w, nl, last)
            if step % STEEPEST_EVERY == 0:
                _steepest(w, nl, base, last, out)
            if frame_every > 0 and step % frame_every == 0:
                f = step // frame_every
                if f < frame.shape[1]:
                    _record(w, nl, base, nodes, frame, f)
        _leave(w, nl, base, last, launch, arrow_index, arrow_number, out)


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
    slack: Array | None = None,
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
    slack : ndarray, shape (arrows, nodes - 1, 2), optional
        Joints with play, as in launch_chunk; none without it. [rad, N m]

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
    if slack is None:
        slack = np.zeros((len(radius), nodes - 1, 2))
    if slack.shape != (len(radius), nodes - 1, 2):
        raise ValueError("the table of slack joints does not fit the arrows")
    # A row with a number missing must not reach the kernel, whose places in the tables come
    # from these numbers: it runs as a sound one and is refused afterwards.
    arrows = np.isfinite(arrow_table).all(axis=(1, 2, 3)) & np.isfinite(radius).all(axis=1)
    arrows &= np.isfinite(arrow_number).all(axis=1) & np.isfinite(slack).all(axis=(1, 2))
    bows = np.isfinite(bow_table).all(axis=(1, 2))
    sound = np.asarray(np.isfinite(launch).all(axis=1))
    sound &= np.asarray(arrows)[arrow_index] & np.asarray(bows)[bow_index]
    if not sound.all():
        if not sound.any():
            refused = np.zeros((n, OUT_COLUMNS))
            refused[:, STATUS] = BAD_INPUT
            return refused, np.zeros((0, 0, FRAME_HEAD + 2 * nodes))
        good = int(np.flatnonzero(sound)[0])
        launch = np.where(sound[:, None], launch, launch[good])
        arrow_index = np.where(sound, arrow_index, arrow_index[good])
        bow_index = np.where(sound, bow_index, bow_index[good])
    out = np.zeros((n, OUT_COLUMNS))
    frames = 0 if frame_every == 0 else 1 + (drive_steps + pass_steps - 1) // frame_every
    frame = np.zeros((n if frames else 0, frames, FRAME_HEAD + 2 * nodes))
    if frames == 0:
        frame = np.zeros((1, 0, FRAME_HEAD + 2 * nodes))

    def task(low: int) -> int:
        high = min(low + TASK, n)
        launch_chunk(
            low, high, launch, arrow_index, bow_index, arrow_table, arrow_number, radius, slack,
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
    if not sound.all():
        out[~sound] = 0.0
        out[~sound, STATUS] = BAD_INPUT
    return out, frame
