"""Samples of one arrow on its way: speed and fall along the line, and how far it carries."""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.errors import BoundRefusal, ContradictionRefusal
from loosewell.workshop.answer import Band

if TYPE_CHECKING:
    from loosewell.workshop.bridge import ArrowModel
    from loosewell.workshop.session import Session
    from loosewell.workshop.wish import Cut

Array = NDArray[np.float64]

WORLDS = 128
"""Samples of everything that is not known exactly; the same ones for every arrow compared."""
PLAIN_DRAG_ERROR = 0.15
"""Standard error of the drag of point, shaft and rear end, as a share: tunnel figures of like
arrows differ so much (docs/physics/flight.md)."""
FEATHER_DRAG = {"trimmed": (1.0, 0.40), "full height": (1.55, 0.56), "spiral": (1.0, 0.50)}
"""What the feathers' drag is multiplied by, and its standard error as a logarithm. Trimmed: the
engine's roughness of 2, 1 to 5 being plausible. Full height: half way, as a ratio, between a smooth
plate and the upper bound that Pope's figure for large feathers gives (0.093 of drag area for each
area of one side), both at two standard errors. Spiral: see SPIRAL_DRAG. Modelling choices."""
AREA_SHARE = {"trimmed": 0.67, "full height": 0.85, "spiral": 0.85}
"""Area of a feather over length times height: a parabola's segment, or full (common practice)."""
SPIRAL_DRAG = 0.6
"""Drag coefficient of feathers wound in a spiral on the area of the ring they fill. [1] A modelling
choice, no source: a brush lets air through, a plate has about 1.1."""
LEAVING_HEIGHT = 1.5
"""Of the arrow above flat ground on leaving. [m] Common practice, no source."""
ELEVATIONS_DEG = np.array([5.0, 10, 15, 20, 25, 28, 31, 34, 37, 40, 43, 46, 50, 55, 60, 70, 80])
"""Angles at which carries are flown; between them a parabola through three."""
FALL_ROOM = 60.0
"""How far an arrow loosed level may fall before its way along the line counts as over. [m]"""
FAR_AWAY = 5000.0
"""Beyond any carry. [m]"""
LONGEST_STEP = 0.02
"""Of a far flight: the carry changes by less than 1 mm with half of it. [s]"""
LEAST_SCALE, MOST_SCALE = 0.2, 12.0
"""How far a far shot may move the whole drag from the engine's middle."""
ANGLE_ERROR = 0.04
"""Standard error, as a share of the carry, of a far shot whose angle was not measured and of the
gusts of one day. A modelling choice, no source."""


@dataclass(frozen=True)
class Way:
    """One arrow in many worlds: how fast it leaves and what brakes it, SI."""

    speed: Array
    mass: Array
    rows: Array
    air: Array
    plain_factor: Array
    feather_factor: Array
    values: dict[str, Array]
    """Of every sampled input, for telling what causes a range."""
    ring_area: float = 0.0
    """Drag area of a spiral, before its factor; zero for laid feathers. [m²]"""
    scale: Array | None = None
    """What a far shot multiplies the whole drag by."""
    keeps_straight: bool = True
    """Whether its own fletching holds it along its path; else a helping one without drag does."""

    @property
    def coefficients(self) -> Array:
        """Rows for the flight, with the errors of the drag."""
        from loosewell.physics import aero

        out = aero.coefficient_rows(
            self.rows, float(self.air[0]), float(self.air[1]), np.maximum(self.speed, 1.0)
        )
        out[:, aero.C_MASS] = self.mass
        scale = np.ones_like(self.speed) if self.scale is None else self.scale
        for column in (aero.C_FIXED_DRAG, aero.C_FRICTION):
            out[:, column] *= self.plain_factor * scale
        if self.ring_area:
            out[:, aero.C_FLETCH_DRAG] = self.ring_area
        out[:, aero.C_FLETCH_DRAG] *= self.feather_factor * scale
        if not self.keeps_straight:
            # A tail without drag: what such an arrow would do if it never turned its side.
            out[:, aero.C_FLETCH] = 8e-4
            out[:, aero.C_FLETCH_ARM] = out[:, aero.C_REAR_ARM]
        return out

    def with_scale(self, scale: Array) -> Way:
        """The same with the whole drag multiplied."""
        return replace(self, scale=scale)

    def in_air(self, air: Array) -> Way:
        """The same in other air."""
        return replace(self, air=air)

    def drag_area(self) -> Array:
        """Drag over dynamic pressure on leaving, of each world. [m²]"""
        from loosewell.physics import aero

        c = self.coefficients
        return np.asarray(
            c[:, aero.C_FIXED_DRAG] + c[:, aero.C_FRICTION] + c[:, aero.C_FLETCH_DRAG]
        )


def way(
    job: Session,
    model: ArrowModel,
    cut: Cut,
    *,
    stiffness_scale: float = 1.0,
    mass_error: float | None = None,
    worlds: int = WORLDS,
) -> tuple[Way, NDArray[np.bool_]]:
    """An arrow loosed in many worlds, and which of them the engine could follow.

    Parameters
    ----------
    job : Session
        The pair at work; its seed makes the worlds alike for every arrow.
    model : ArrowModel
        The arrow.
    cut : str
        How its feathers are cut.
    stiffness_scale : float
        Of its shaft.
    mass_error : float, optional
        Of its shaft as a share; else the rack's usual spread.
    worlds : int
        A power of two.

    Returns
    -------
    way : Way
        Of the worlds that were followed.
    good : ndarray of bool, shape (worlds,)
        Which those are.

    Raises
    ------
    Refusal
        When hardly one could be.
    """
    from loosewell.chance.priors import Uncertain
    from loosewell.physics import aero
    from loosewell.physics import launch as kernel

    error = job.mass_spread if mass_error is None else mass_error
    inputs = [
        *job.shared,
        Uncertain("own_mass", 0.0, 1.0),
        Uncertain("plain_drag", 0.0, 1.0),
        Uncertain("feather_drag", 0.0, 1.0),
    ]
    sampled, values = job.values(inputs, worlds, 1, job.seed + 11)
    values["mass_scale"] = np.exp(error * values.pop("own_mass"))
    values["stiffness_scale"] = np.full(worlds, stiffness_scale)
    shots = job.shoot([model], np.zeros(worlds, dtype=np.int64), values, "arrow")
    good = shots.launch[:, kernel.STATUS] == kernel.FINE
    if good.sum() < worlds // 8:
        raise job.nothing_clean(shots)
    part = model.parts
    shaft = model.mass - part.mass
    mass = shaft * values["mass_scale"] + part.mass
    middle, spread = FEATHER_DRAG[cut]
    radius = 0.5 * model.diameter
    ring = math.pi * ((radius + part.height) ** 2 - radius**2) if part.count else 0.0
    rows = np.repeat(model.aero[None], int(good.sum()), axis=0)
    rows[:, aero.BEND_AMPLITUDE] = 0.0
    return (
        Way(
            speed=shots.launch[good, kernel.SPEED],
            mass=mass[good],
            rows=rows,
            air=job.air.copy(),
            plain_factor=np.exp(PLAIN_DRAG_ERROR * values["plain_drag"][good]),
            feather_factor=middle * np.exp(spread * values["feather_drag"][good]),
            values={one.key: sampled[one.key][good] for one in inputs},
            ring_area=SPIRAL_DRAG * ring if cut == "spiral" else 0.0,
            keeps_straight=part.count > 0,
        ),
        good,
    )


def _states(speed: Array, elevation: float, height: float) -> Array:
    from loosewell.physics import flight

    state = np.zeros((len(speed), flight.STATE_COLUMNS))
    state[:, flight.SPEED] = speed
    state[:, flight.ELEVATION] = elevation
    state[:, flight.HEIGHT] = height
    return state


def along(one: Way, distances: Array) -> tuple[Array, Array, Array]:
    """Speed along the line, time and fall at distances, loosed level.

    Parameters
    ----------
    one : Way
        The arrow.
    distances : ndarray, shape (k,)
        From leaving. [m]

    Returns
    -------
    speed, time, drop : ndarray, shape (n, k)
        Speed along the line [m/s], time [s], fall of the balance point below the line [m];
        nan where it has fallen FALL_ROOM before.
    """
    from loosewell.physics import flight

    coefficients = one.coefficients
    state = _states(one.speed, 0.0, FALL_ROOM)
    n, k = len(one.speed), len(distances)
    speed, time, drop = np.empty((n, k)), np.empty((n, k)), np.empty((n, k))
    out = np.empty((n, flight.RESULT_COLUMNS))
    for j, far in enumerate(distances):
        flight.fly_rows(state, coefficients, one.air, float(far), 0.0, out)
        speed[:, j], time[:, j] = out[:, flight.FORWARD], out[:, flight.TIME]
        drop[:, j] = out[:, flight.DROP]
        lost = out[:, flight.STATUS] == flight.GROUNDED
        speed[lost, j] = time[lost, j] = drop[lost, j] = np.nan
    return speed, time, drop


def carries(
    one: Way,
    elevations: Array,
    *,
    tail_wind: float = 0.0,
    height: float = LEAVING_HEIGHT,
) -> Array:
    """Level distance to where the arrow comes down, loosed at stated angles.

    Parameters
    ----------
    one : Way
        The arrow; it leaves along its own axis, which carries it farthest.
    elevations : ndarray, shape (k,)
        Of the line it leaves along. [rad]
    tail_wind : float
        Along the ground, from behind positive. [m/s]
    height : float
        Of leaving above flat ground. [m]

    Returns
    -------
    carry : ndarray, shape (n, k)
        To where the balance point meets the ground. [m]
    """
    from loosewell.physics import flight

    coefficients = one.coefficients

    def at(angle: float) -> Array:
        air = one.air.copy()
        air[2] += tail_wind * math.cos(angle)
        air[4] -= tail_wind * math.sin(angle)
        out = np.empty((len(one.speed), flight.RESULT_COLUMNS))
        flight.fly_rows(
            _states(one.speed, angle, height), coefficients, air, FAR_AWAY, LONGEST_STEP, out
        )
        return out[:, flight.GROUND_REACH]

    with ThreadPoolExecutor(2) as pool:
        return np.stack(list(pool.map(at, [float(one) for one in elevations])), axis=1)


def farthest(carry: Array, elevations: Array) -> tuple[Array, Array]:
    """The longest carry over all angles, and the angle it is loosed at.

    Parameters
    ----------
    carry : ndarray, shape (n, k)
        At each angle. [m]
    elevations : ndarray, shape (k,)
        Rising. [rad]

    Returns
    -------
    longest, angle : ndarray, shape (n,)
        Top of the parabola through the best angle and its neighbours. [m], [rad]
    """
    best = np.clip(np.argmax(carry, axis=1), 1, len(elevations) - 2)
    row = np.arange(len(carry))
    x0, x1, x2 = (elevations[best + i] for i in (-1, 0, 1))
    y0, y1, y2 = (carry[row, best + i] for i in (-1, 0, 1))
    first, second = (y1 - y0) / (x1 - x0), (y2 - y1) / (x2 - x1)
    bend = (second - first) / (x2 - x0)
    with np.errstate(divide="ignore", invalid="ignore"):
        top = np.where(bend < 0.0, 0.5 * (x0 + x1) - 0.5 * first / bend, x1)
    top = np.clip(top, x0, x2)
    value = y0 + first * (top - x0) + bend * (top - x0) * (top - x1)
    return np.maximum(value, carry.max(axis=1)), top


@dataclass(frozen=True)
class FarShot:
    """A far shot of the person's own: how far, with which error, and at what angle if known."""

    carry_yd: float
    error_yd: float
    angle_deg: float | None = None

    def __post_init__(self) -> None:
        if not 5.0 <= self.carry_yd <= 900.0:
            raise BoundRefusal(
                f"A far shot of {self.carry_yd:g} yd is outside 5 to 900 yd. Give the level "
                "distance from the shooting line to where the arrow came down.",
                code="far-shot",
            )
        if not 0.1 <= self.error_yd <= 0.3 * self.carry_yd:
            raise BoundRefusal(
                f"An error of {self.error_yd:g} yd for a far shot of {self.carry_yd:g} yd is "
                "outside 0.1 yd to 30 % of it. A tape gives about 1 %, pacing 5 %.",
                code="far-shot-error",
            )
        if self.angle_deg is not None and not 0.0 <= self.angle_deg <= 75.0:
            raise BoundRefusal(
                f"An angle of {self.angle_deg:g} deg for a far shot is outside 0 to 75 deg. Give "
                "the angle above level, or leave it out for a shot at the farthest angle.",
                code="far-shot-angle",
            )

    def text(self) -> str:
        """The shot in words."""
        at = (
            "loosed at the angle that goes farthest"
            if self.angle_deg is None
            else f"loosed at {self.angle_deg:g}°"
        )
        return f"{self.carry_yd:g} ± {self.error_yd:g} yd, {at}"


def calibrate(one: Way, shot: FarShot, seed: int, tail_wind: float = 0.0) -> tuple[Way, Band]:
    """The drag that a person's own far shot asks for, in every world, in place of the guess.

    Parameters
    ----------
    one : Way
        The arrow with the guessed drag.
    shot : FarShot
        What was measured.
    seed : int
        Of the samples of its error.
    tail_wind : float
        On that day. [m/s]

    Returns
    -------
    way : Way
        The same worlds, each with the drag that brings the arrow down there.
    scale : Band
        The whole drag over the guessed middle.

    Raises
    ------
    ContradictionRefusal
        When no drag between a fifth and twelve times the guess does so.

    Source
    ------
    The carry of each world is a falling function of its drag, solved by interpolation in the
    logarithm of both; the error of the shot is sampled, the guess of the drag is dropped.
    """
    from scipy.special import ndtri

    middle = replace(
        one,
        plain_factor=np.ones_like(one.speed),
        feather_factor=np.full_like(one.feather_factor, float(np.median(one.feather_factor))),
    )
    nodes = np.geomspace(LEAST_SCALE, MOST_SCALE, 8)
    angles = (
        np.radians(np.array([24.0, 31, 37, 43, 49]))
        if shot.angle_deg is None
        else np.radians(np.array([shot.angle_deg]))
    )
    table = np.empty((len(one.speed), len(nodes)))
    for j, scale in enumerate(nodes):
        carry = carries(
            middle.with_scale(np.full_like(one.speed, scale)), angles, tail_wind=tail_wind
        )
        table[:, j] = farthest(carry, angles)[0] if len(angles) > 1 else carry[:, 0]
    n = len(one.speed)
    order = np.random.default_rng(seed + 17).permutation(n)
    normal = np.clip(ndtri((order + 0.5) / n), -2.5, 2.5)
    vague = ANGLE_ERROR * shot.carry_yd if shot.angle_deg is None else 0.0
    seen = (shot.carry_yd + math.hypot(shot.error_yd, vague) * normal) * units.YARD
    inside = (seen < table[:, 0]) & (seen > table[:, -1])
    if inside.mean() < 0.5:
        low, high = np.median(table[:, -1]) / units.YARD, np.median(table[:, 0]) / units.YARD
        raise ContradictionRefusal(
            f"A far shot of {shot.carry_yd:g} yd cannot be: with {LEAST_SCALE:g} to "
            f"{MOST_SCALE:g} times the drag reckoned for these feathers this bow and arrow carry "
            f"{low:.0f} to {high:.0f} yd. Check the distance (yards are not metres), the bow's "
            "draw weights and the mass of the arrow.",
            code="far-shot-contradicts",
        )
    scale = np.empty(n)
    for i in range(n):
        scale[i] = math.exp(
            np.interp(-math.log(max(seen[i], 1.0)), -np.log(table[i]), np.log(nodes))
        )
    kept = replace(middle, scale=scale, values={**one.values, "far_shot": normal})
    low, mid, high = np.quantile(scale, (0.1, 0.5, 0.9))
    band = Band(
        round(float(mid), 2), round(float(low), 2), round(float(high), 2),
        f"from your own far shot, {shot.text()}",
    )  # fmt: skip
    return kept, band


def vacuum_carry(speed: float, angle: float, height: float, gravity: float = 9.80665) -> float:
    """Carry without air, in closed form.

    Parameters
    ----------
    speed : float
        On leaving. [m/s]
    angle : float
        Above level. [rad]
    height : float
        Of leaving. [m]
    gravity : float
        Acceleration of free fall. [m/s²]

    Returns
    -------
    carry : float
        Level distance. [m]

    Source
    ------
    The parabola, any textbook.
    """
    up = speed * math.sin(angle)
    return speed * math.cos(angle) * (up + math.sqrt(up**2 + 2.0 * gravity * height)) / gravity
