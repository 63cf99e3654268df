"""The launch once more, plainly: dense matrices and scipy's solve_ivp.

The same equations as `loosewell.physics.launch`, from the same element matrices, but
nothing else shared: y and z instead of the shaft's own axes, dense matrices instead of
block elimination, adaptive steps with events instead of equal steps, forces of contact
from the state instead of solved into the step. It stands as an independent check and as
what the kernel is timed against.

State: x and speed of the nock, displacements and slopes in y and z, their rates, and six
running impulses.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from loosewell.physics import beam
from loosewell.physics import launch as kernel

Array = NDArray[np.float64]
GRAVITY = 9.80665
IMPULSES = (
    kernel.PLATE_IMPULSE,
    kernel.SHELF_IMPULSE,
    kernel.TAIL_SHAFT_Y,
    kernel.TAIL_FLETCHING_Y,
    kernel.TAIL_SHAFT_Z,
    kernel.TAIL_FLETCHING_Z,
)


@dataclass
class Plain:
    """One launch as a system of ordinary differential equations.

    Parameters
    ----------
    row : ndarray, shape (LAUNCH_COLUMNS,)
        As launch_batch takes it.
    blocks : ndarray, shape (5, nodes, 7)
        Matrices of the arrow.
    number : ndarray, shape (ARROW_COLUMNS,)
        Its lengths and masses.
    radius : ndarray, shape (nodes,)
        Its surface.
    table : ndarray, shape (4, points)
        The bow.
    sliding : float
        1 counts in the rate of a gap the surface that comes along as the arrow slides past,
        as the kernel does; 0 leaves it out, to see what it does. [-]
    """

    row: Array
    blocks: Array
    number: Array
    radius: Array
    table: Array
    calls: int = 0
    on_string: bool = True
    ridden: bool = False
    sliding: float = 1.0
    end_stiffness: float = 0.0
    closed: list[bool] = field(default_factory=lambda: [True, True])

    def __post_init__(self) -> None:
        r, number = self.row, self.number
        self.nodes = len(self.radius)
        self.size = 2 * self.nodes
        self.length = float(number[kernel.LENGTH])
        self.step = self.length / (self.nodes - 1)
        heavy = float(r[kernel.MASS_SCALE])
        self.arrow_mass = heavy * number[kernel.SHAFT_MASS] + number[kernel.PART_MASS]
        self.moving = self.arrow_mass + r[kernel.VIRTUAL_MASS]
        self.hold = float(r[kernel.STRING_HOLD]) or 1.0
        stiffness, shaft, parts, soft_shaft, soft_parts = map(beam.dense, self.blocks)
        self.mass = heavy * shaft + parts
        self.stiffness = r[kernel.STIFFNESS_SCALE] * stiffness
        self.soft = heavy * soft_shaft + soft_parts
        self.eta = number[kernel.DAMPING_TIME] * math.sqrt(heavy / r[kernel.STIFFNESS_SCALE])
        across = float(r[kernel.STIFFNESS_ACROSS]) or 1.0
        c, s = math.cos(r[kernel.NOCK_ANGLE]), math.sin(r[kernel.NOCK_ANGLE])
        # Energy u1 K u1 + across u2 K u2 with u1 = c y + s z, u2 = c z - s y.
        cross = c * s * (1.0 - across)
        self.turn = np.array([[c * c + across * s * s, cross], [cross, s * s + across * c * c]])
        self.gravity = np.zeros((self.size, 2))
        self.gravity[::2, 0] = -GRAVITY * math.sin(r[kernel.CANT])
        self.gravity[::2, 1] = -GRAVITY * math.cos(r[kernel.CANT])
        at = min(r[kernel.DRAW], self.length)
        grid = np.linspace(0.0, self.length, self.nodes)
        surface = float(np.interp(at, grid, self.radius))
        self.height = float(self.radius[0] + r[kernel.NOCK_HEIGHT])
        self.slope_y = (r[kernel.PLATE_OFFSET] + surface - r[kernel.PLUCK]) / r[kernel.DRAW]
        self.slope_z = (surface - self.height) / r[kernel.DRAW]
        self.points = self.table.shape[1]
        self._matrices()

    def _matrices(self) -> None:
        mass = self.mass.copy()
        if self.on_string:
            mass[0, 0] += self.row[kernel.STRING_THIRD]
        self.inverse = np.linalg.inv(mass)
        self.by_stiffness = self.inverse @ self.stiffness
        self.by_soft = self.inverse @ self.soft

    def start(self) -> Array:
        """The straight arrow at full draw, at rest."""
        r = self.row
        s = np.linspace(0.0, self.length, self.nodes)
        u = np.empty((self.size, 2))
        u[::2, 0], u[1::2, 0] = r[kernel.PLUCK] + self.slope_y * s, self.slope_y
        u[::2, 1], u[1::2, 1] = self.height + self.slope_z * s, self.slope_z
        state = np.zeros(2 + 4 * self.size + len(IMPULSES))
        state[0] = -r[kernel.DRAW]
        state[2 : 2 + 2 * self.size] = u.ravel()
        return state

    def along(self, x: float, v: float) -> tuple[float, float]:
        """Acceleration along x and the string's sideways stiffness at the nock."""
        r = self.row
        if not self.on_string:
            return 0.0, 0.0
        if self.ridden:
            pull = self.end_stiffness * (x + r[kernel.BRACE])
            return -pull / self.moving, self.hold * self.end_stiffness
        u = (-x - r[kernel.BRACE]) / (r[kernel.TOP_DRAW] - r[kernel.BRACE])
        u = min(max(u, 1e-9), 1.0)
        place = u * (self.points - 1)
        j = min(int(place), self.points - 2)
        f, h, ratio, give = self.table[:, j] + (place - j) * (
            self.table[:, j + 1] - self.table[:, j]
        )
        last = self.table[0, -1]
        f = r[kernel.FORCE_SCALE] * (f + r[kernel.FORCE_BULGE] * last * u * (1.0 - u))
        limb = r[kernel.LIMB_MASS]
        a = (f + limb * give * v * v) / (self.moving + limb * ratio)
        return a, self.hold * self.moving * a / h

    def shape(self, x: float) -> tuple[int, Array, Array, float, float] | None:
        """Element over the plate, shape functions and their slopes, radius and its slope."""
        s = -x
        if not 0.0 <= s <= self.length:
            return None
        h = self.step
        e = min(int(s / h), self.nodes - 2)
        q = s / h - e
        n = np.array(
            [
                1.0 - 3.0 * q**2 + 2.0 * q**3,
                h * (q - 2.0 * q**2 + q**3),
                3.0 * q**2 - 2.0 * q**3,
                h * (q**3 - q**2),
            ]
        )
        d = np.array(
            [
                6.0 * (q**2 - q) / h,
                1.0 - 4.0 * q + 3.0 * q**2,
                6.0 * (q - q**2) / h,
                3.0 * q**2 - 2.0 * q,
            ]
        )
        rise = (self.radius[e + 1] - self.radius[e]) / h
        return e, n, d, self.radius[e] + q * h * rise, rise

    def gaps(
        self, t: float, x: float, v: float, u: Array, w: Array
    ) -> tuple[Any, Array, Array] | None:
        """What lies over the plate, and the gaps of plate and shelf with their rates."""
        found = self.shape(x)
        if found is None:
            return None
        e, n, d, radius, rise = found
        part = slice(2 * e, 2 * e + 4)
        drift = self.row[kernel.PLATE_DRIFT]
        gap = n @ u[part] - radius
        # The arrow slides past: the gap follows the surface that comes along, too.
        rate = n @ w[part] - self.sliding * v * (d @ u[part] - rise)
        gap[0] -= self.row[kernel.PLATE_OFFSET] + drift * t
        rate[0] -= drift
        over = gap[0] - self.row[kernel.SHELF_WIDTH]
        if over > 0.0 and self.row[kernel.SHELF_WIDTH] > 0.0:
            gap[1] += min(0.5 * over * over / max(radius, 1e-4), 1.0)
        return (part, n, d), gap, rate

    def contact(
        self, t: float, x: float, v: float, u: Array, w: Array
    ) -> tuple[Any, list[float], list[float]]:
        """What lies over the plate, forces of plate and shelf, the part of them on the shaft."""
        found = self.gaps(t, x, v, u, w)
        if found is None:
            return None, [0.0, 0.0], [0.0, 0.0]
        over, gap, rate = found
        r = self.row
        reach = soft = damp = 0.0
        rear, front = self.number[kernel.FLETCHING_REAR], self.number[kernel.FLETCHING_FRONT]
        if rear < -x < front:
            back = (-x - rear) / (front - rear)
            reach = min(1.0, (1.0 - back) / 0.6, back / 0.1)
            soft, damp = r[kernel.FLETCHING_STIFFNESS], r[kernel.FLETCHING_DAMPING]
        force, hard = [0.0, 0.0], [0.0, 0.0]
        for axis, k, c, far in (
            (0, kernel.PLATE_STIFFNESS, kernel.PLATE_DAMPING, kernel.FLETCHING_REACH_Y),
            (1, kernel.SHELF_STIFFNESS, kernel.SHELF_DAMPING, kernel.FLETCHING_REACH_Z),
        ):
            over_reach = reach * r[far]
            g, q = float(gap[axis]), float(rate[axis])
            if g >= over_reach and not self.closed[axis]:
                continue
            folded = max(soft * max(over_reach - g, 0.0) - damp * q, 0.0)
            force[axis] = folded
            if self.closed[axis]:
                whole = soft * (over_reach - g) - r[k] * g - (r[c] + damp) * q
                force[axis] = max(whole, 0.0)
                hard[axis] = max(force[axis] - folded, 0.0)
        return over, force, hard

    def rates(self, t: float, state: Array) -> Array:
        """Time derivative of the whole state."""
        self.calls += 1
        r, m = self.row, self.size
        x, v = state[0], state[1]
        u = state[2 : 2 + 2 * m].reshape(m, 2)
        w = state[2 + 2 * m : 2 + 4 * m].reshape(m, 2)
        a, hold = self.along(x, v)
        acceleration = self.gravity - self.by_stiffness @ ((u + self.eta * w) @ self.turn)
        if self.on_string:
            acceleration += a * (self.by_soft @ u)
            travel = x + r[kernel.DRAW]
            fy = -hold * u[0, 0]
            aim = self.height + (self.slope_z + r[kernel.NOCK_PATH]) * travel
            if travel < r[kernel.LOOSE_TRAVEL]:
                wave = math.sin(0.5 * math.pi * travel / r[kernel.LOOSE_TRAVEL])
                aim += r[kernel.LOOSE_RISE] * wave
                ahead = r[kernel.PLUCK] + r[kernel.LOOSE_PUSH] * wave - u[0, 0]
                if ahead * r[kernel.LOOSE_PUSH] > 0.0:
                    fy += r[kernel.FINGER_STIFFNESS] * ahead
            fz = r[kernel.STRING_Z] * (aim - u[0, 1])
            acceleration += np.outer(self.inverse[:, 0], (fy, fz))
        over, force, hard = self.contact(t, x, v, u, w)
        out = np.empty_like(state)
        out[0], out[1] = v, a
        if force[0] > 0.0 or force[1] > 0.0:
            part, n, _ = over
            acceleration += np.outer(self.inverse[:, part] @ n, force)
        out[2 : 2 + 2 * m] = w.ravel()
        out[2 + 2 * m : 2 + 4 * m] = acceleration.ravel()
        if self.on_string:
            out[-6:] = (*force, 0.0, 0.0, 0.0, 0.0)
        else:
            tail, feather = hard, (force[0] - hard[0], force[1] - hard[1])
            out[-6:] = (0.0, 0.0, tail[0], feather[0], tail[1], feather[1])
        return out

    def jacobian(self, t: float, state: Array) -> Array:
        """Derivative of the rates over the state, for the implicit methods.

        Left out: how the forces change with the way along x, which is slow.
        """
        r, m = self.row, self.size
        x, v = state[0], state[1]
        u = state[2 : 2 + 2 * m].reshape(m, 2)
        w = state[2 + 2 * m : 2 + 4 * m].reshape(m, 2)
        a, hold = self.along(x, v)
        out = np.zeros((len(state), len(state)))
        out[0, 1] = 1.0
        iu, iw = slice(2, 2 + 2 * m), slice(2 + 2 * m, 2 + 4 * m)
        out[iu, iw] = np.eye(2 * m)
        bend = -np.kron(self.by_stiffness, self.turn)
        by_u = bend.copy()
        by_w = self.eta * bend
        if self.on_string:
            by_u += a * np.kron(self.by_soft, np.eye(2))
            travel = x + r[kernel.DRAW]
            if travel < r[kernel.LOOSE_TRAVEL]:
                wave = math.sin(0.5 * math.pi * travel / r[kernel.LOOSE_TRAVEL])
                ahead = r[kernel.PLUCK] + r[kernel.LOOSE_PUSH] * wave - u[0, 0]
                if ahead * r[kernel.LOOSE_PUSH] > 0.0:
                    hold += r[kernel.FINGER_STIFFNESS]
            by_u[::2, 0] -= hold * self.inverse[:, 0]
            by_u[1::2, 1] -= r[kernel.STRING_Z] * self.inverse[:, 0]
        over, force, hard = self.contact(t, x, v, u, w)
        for axis, k, c in (
            (0, r[kernel.PLATE_STIFFNESS], r[kernel.PLATE_DAMPING]),
            (1, r[kernel.SHELF_STIFFNESS], r[kernel.SHELF_DAMPING]),
        ):
            if force[axis] <= 0.0:
                continue
            part, n, d = over
            folded, pressed = force[axis] > hard[axis], hard[axis] > 0.0
            stiff = pressed * k + folded * r[kernel.FLETCHING_STIFFNESS]
            damp = pressed * c + folded * r[kernel.FLETCHING_DAMPING]
            column = self.inverse[:, part] @ n
            place = np.arange(part.start, part.stop) * 2 + axis
            by_u[axis::2, place] -= np.outer(column, stiff * n - self.sliding * damp * v * d)
            by_w[axis::2, place] -= np.outer(column, damp * n)
        out[iw, iu], out[iw, iw] = by_u, by_w
        return out

    def rigid(self, u: Array) -> tuple[Array, Array]:
        """Mean displacement and slope of the arrow, y and z, by its mass."""
        shift = np.zeros(self.size)
        shift[::2] = 1.0
        s = np.linspace(0.0, self.length, self.nodes)
        swing = np.ones(self.size)
        swing[::2] = s
        total = shift @ self.mass @ shift
        swing = swing - shift * (shift @ self.mass @ swing) / total
        inertia = swing @ self.mass @ swing
        return shift @ self.mass @ u / total, swing @ self.mass @ u / inertia

    def _until(
        self, stop: Any, t: float, state: Array, more: dict[str, Any]
    ) -> tuple[float, Array]:
        """March to the event stop; begin anew wherever the arrow meets or leaves plate or shelf."""
        m = self.size

        def gap(axis: int) -> Any:
            def event(at: float, now: Array) -> float:
                u = now[2 : 2 + 2 * m].reshape(m, 2)
                w = now[2 + 2 * m : 2 + 4 * m].reshape(m, 2)
                found = self.gaps(at, now[0], now[1], u, w)
                if found is None:
                    return -1.0 if self.closed[axis] else 1.0
                return float(found[1][axis]) + (-HAIR if self.closed[axis] else HAIR)

            event.terminal = True  # type: ignore[attr-defined]
            event.direction = 1.0 if self.closed[axis] else -1.0  # type: ignore[attr-defined]
            return event

        stop.terminal = True
        for _ in range(MOST_TOUCHES):
            events = [stop, gap(0), gap(1)]
            # Nothing is kept on the way: the state at the event is all that is needed.
            done = solve_ivp(self.rates, (t, t + 0.2), state, events=events, t_eval=[], **more)
            if done.status != 1:
                raise RuntimeError(f"the launch did not come to its end: {done.message}")
            which = [k for k in range(3) if len(done.t_events[k])]
            t, state = float(done.t_events[which[0]][-1]), done.y_events[which[0]][-1].copy()
            if which[0] == 0:
                return t, state
            for axis in (0, 1):
                if len(done.t_events[1 + axis]):
                    self.closed[axis] = not self.closed[axis]
        raise RuntimeError("the arrow chatters on the plate without end")

    def run(self, method: str = "Radau", rtol: float = 1e-8, atol: float = 1e-10) -> Array:
        """The launch, with the output columns that both solvers share.

        Parameters
        ----------
        method : str
            Of scipy's solve_ivp.
        rtol, atol : float
            Its tolerances; atol is for displacements, [m] and [rad], and a thousand
            times that for the rates.

        Returns
        -------
        out : ndarray, shape (OUT_COLUMNS,)
            Columns this solver does not fill are nan.
        """
        r, m = self.row, self.size
        self.on_string, self.ridden, self.closed, self.calls = True, False, [True, True], 0
        self._matrices()
        scale = np.full(2 + 4 * m + len(IMPULSES), atol)
        scale[2 + 2 * m : 2 + 4 * m] = 1e3 * atol
        scale[1] = 1e3 * atol
        more: dict[str, Any] = {"method": method, "rtol": rtol, "atol": scale}
        if method in ("Radau", "BDF", "LSODA"):
            more["jac"] = self.jacobian

        def at_brace(_: float, now: Array) -> float:
            return float(now[0] + r[kernel.BRACE])

        def at_plate(_: float, now: Array) -> float:
            return float(now[0])

        def end_of_push(_: float, now: Array) -> float:
            return float(now[0] + r[kernel.DRAW] - r[kernel.LOOSE_TRAVEL])

        t, state = 0.0, self.start()
        for stop in (end_of_push, at_brace):
            t, state = self._until(stop, t, state, more)
        ride = 0.0
        if r[kernel.PINCH] > 0.0:
            force, h, ratio, give = self.table[:, 1]
            limb = r[kernel.LIMB_MASS]
            bulge = r[kernel.FORCE_BULGE] * self.table[0, -1] / (self.points - 1)
            force = r[kernel.FORCE_SCALE] * (force + bulge) + limb * give * state[1] ** 2
            self.end_stiffness = self.moving * force / (self.moving + limb * ratio) / h
            ride = r[kernel.PINCH] * self.moving / (self.arrow_mass * self.end_stiffness)
            self.ridden = True

            def let_go(_: float, now: Array) -> float:
                return float(now[0] + r[kernel.BRACE] - ride)

            t, state = self._until(let_go, t, state, more)
        out = np.full(kernel.OUT_COLUMNS, np.nan)
        out[kernel.STRING_LEFT], out[kernel.SPEED] = t, state[1]
        out[kernel.NOCK_SIDE] = state[2]
        self.on_string = False
        self._matrices()
        t, state = self._until(at_plate, t, state, more)
        out[kernel.PASSED] = t
        place, slope = self.rigid(state[2 : 2 + 2 * m].reshape(m, 2))
        speed, spin = self.rigid(state[2 + 2 * m : 2 + 4 * m].reshape(m, 2))
        out[[kernel.Y, kernel.Z]] = place
        out[[kernel.YAW, kernel.PITCH]] = slope
        out[[kernel.Y_VELOCITY, kernel.Z_VELOCITY]] = speed
        out[[kernel.YAW_RATE, kernel.PITCH_RATE]] = spin
        out[list(IMPULSES)] = state[-6:]
        return out


HAIR = 1e-10
"""Gap past which contact changes, so that a root found inexactly is not found again. [m]"""
MOST_TOUCHES = 20_000
"""Meetings and partings of arrow, plate and shelf after which a run gives up."""
