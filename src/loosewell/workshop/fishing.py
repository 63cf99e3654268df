"""Fishing with a bow: where to aim for the true depth, how deep an arrow goes, and the line."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.errors import BoundRefusal, MissingRefusal
from loosewell.workshop.answer import Band, Notice
from loosewell.workshop.reach import Way

Array = NDArray[np.float64]

DISTANCES_FT = (6.0, 9.0, 12.0, 15.0, 18.0, 20.0)
DEPTHS_IN = (6.0, 12.0, 18.0, 24.0, 36.0)
"""Of the practice card: fish within about 3 ft of the surface, under about 20 ft out (common
practice, no source)."""
FARTHEST_FT = 20.0
EYE_HEIGHT_FT = 5.5
EYE_ERROR_FT = 0.25
ARROW_BELOW_EYE_FT = 0.5
"""Eye above the water for somebody who stands at its edge, and the arrow below it. Common practice,
no source."""
SLOPE_DEG = 4.0
"""Tilt of a slightly ruffled surface. A ripple of length L and height H tilts by up to pi H / L:
1/4 in high and 12 in long 3.7 deg. Which ripple it is, is a modelling choice."""
INDEX = {"fresh": 1.333, "sea": 1.34}
DENSITY = {"fresh": 998.2, "sea": 1025.0}
"""At 20 °C. [kg/m³] From memory."""
VISCOSITY = {"fresh": 1.002e-3, "sea": 1.08e-3}
"""At 20 °C. [Pa s] From memory."""
SLOW_FPS = 16.4
"""Speed (5 m/s) to which the depth of reach is told. A modelling choice, no source; it says nothing
of what such an arrow still does."""


@dataclass(frozen=True)
class Line:
    """The line as it is rigged; None is not looked at.

    ``on`` says whether there is one, ``ahead`` that it runs ahead of the string at full draw,
    ``at_nock`` that it is tied at the nock, ``round_hand`` that it lies round hand, wrist or a
    finger.
    """

    on: bool | None = None
    ahead: bool | None = None
    at_nock: bool | None = None
    round_hand: bool | None = None


def line_stops(line: Line) -> list[Notice]:
    """Hard stops of the line as it is rigged.

    Parameters
    ----------
    line : Line
        As looked at. [code]

    Returns
    -------
    notices : list of Notice
        Empty when nothing bad was said. That is no statement that the rig is fit. [text]

    Source
    ------
    Common practice, no source.
    """
    found: list[Notice] = []
    if line.on is False:
        return found
    if line.at_nock:
        found.append(
            Notice(
                "line-at-nock",
                "Do not shoot: the line is tied at the nock. It can catch on the string and throw "
                "the arrow back into the face. Tie it to a slide on the shaft or at the front.",
            )
        )
    if line.ahead is False:
        found.append(
            Notice(
                "line-behind",
                "Do not shoot: the line does not run ahead of the string. Behind or across it, it "
                "fouls the string at the loose and brings the arrow back. Lead it forward of the "
                "bow before drawing.",
            )
        )
    if line.round_hand:
        found.append(
            Notice(
                "line-round-hand",
                "Do not shoot: the line lies round the hand, the wrist or a finger. A running line "
                "cuts and pulls. Clear it, and hold no line while the arrow is on the string.",
            )
        )
    return found


def line_checks(line: Line) -> list[str]:
    """What of the line has not been looked at yet; to be settled before an arrow is nocked."""
    if line.on is False:
        return []
    checks = []
    if line.ahead is None:
        checks.append("At full draw the line runs ahead of the string, to the front of the bow.")
    if line.at_nock is None:
        checks.append("It is not tied at the nock: a slide or the front of the shaft holds it.")
    if line.round_hand is None:
        checks.append("It lies round no hand, wrist, finger, button or foot, and runs off free.")
    return checks


@dataclass(frozen=True)
class Water:
    """Where the archer stands and what the water is like; None takes the usual and says so."""

    eye_height_ft: float | None = None
    arrow_height_ft: float | None = None
    kind: str = "fresh"
    slope_deg: float | None = None

    def __post_init__(self) -> None:
        if self.kind not in INDEX:
            raise BoundRefusal(
                f"Water '{self.kind}' is not known. Accepted are {', '.join(INDEX)}.", code="water"
            )
        for value, low, high, what, unit, how in (
            (self.eye_height_ft, 1.0, 40.0, "An eye height", "ft",
             "Give the height of the eye above the water."),
            (self.arrow_height_ft, 0.5, 40.0, "An arrow height", "ft",
             "Give the height of the arrow above the water."),
            (self.slope_deg, 0.0, 15.0, "A tilt of the surface", "deg",
             "A smooth surface is 0 deg, a ruffled one 3 to 8 deg; rougher water hides the fish."),
        ):  # fmt: skip
            if value is not None and not low <= value <= high:
                raise BoundRefusal(
                    f"{what} of {value:g} {unit} is outside {low:g} to {high:g} {unit}. {how}",
                    code="water",
                )
        if self.arrow_ft >= self.eye_ft + 1e-9:
            raise BoundRefusal(
                f"The arrow ({self.arrow_ft:g} ft above the water) lies above the eye "
                f"({self.eye_ft:g} ft). Give both heights above the water.",
                code="water",
            )

    @property
    def eye_ft(self) -> float:
        """Height of the eye. [ft]"""
        return EYE_HEIGHT_FT if self.eye_height_ft is None else self.eye_height_ft

    @property
    def arrow_ft(self) -> float:
        """Height of the arrow. [ft]"""
        if self.arrow_height_ft is not None:
            return self.arrow_height_ft
        return max(self.eye_ft - ARROW_BELOW_EYE_FT, 0.5)

    @property
    def tilt_deg(self) -> float:
        """Tilt of the surface. [deg]"""
        return SLOPE_DEG if self.slope_deg is None else self.slope_deg

    def assumed(self) -> list[str]:
        """What was not said, in words."""
        found = []
        if self.eye_height_ft is None:
            found.append(
                f"eye {EYE_HEIGHT_FT:g} ± {EYE_ERROR_FT:g} ft above the water: measure it where "
                "you stand"
            )
        if self.arrow_height_ft is None:
            found.append(f"arrow {ARROW_BELOW_EYE_FT:g} ft below the eye")
        if self.slope_deg is None:
            found.append(
                f"ripples that tilt the surface by up to {SLOPE_DEG:g}°, as 1/4 in high and 12 in "
                "long do"
            )
        found.append(f"refractive index {INDEX[self.kind]:g} ({self.kind} water, from memory)")
        return found


@dataclass(frozen=True)
class Aim:
    """Where to point for a fish at one distance and true depth.

    ``below_in`` is how far under the fish as it is seen, on the upright through it; ``error_in``
    what ripples, eye height and an inch of depth make of it. ``may_skip`` is a rule of thumb for
    balls, no promise either way.
    """

    distance_ft: float
    depth_in: float
    below_in: float
    error_in: float
    wave_in: float
    seen_depth_in: float
    dip_deg: float
    critical_dip_deg: float
    may_skip: bool


@dataclass(frozen=True)
class Entry:
    """What the arrow does at one distance, aimed at a fish a foot down."""

    distance_ft: float
    fall_in: Band
    dip_deg: float
    may_skip_percent: float
    path_wet_ft: float
    path_dry_ft: float
    depth_wet_in: float
    depth_dry_in: float
    beyond: bool


@dataclass(frozen=True)
class Steady:
    """How the bare arrow swings on its way, eight of ten shots, and how many tumble."""

    distance_ft: float
    swing_deg: Band
    stand_deg: Band
    tumbles_percent: float


@dataclass(frozen=True)
class Fishing:
    """Everything about the water."""

    eye_height_ft: float
    arrow_height_ft: float
    water: str
    slope_deg: float
    card: list[Aim]
    entries: list[Entry]
    steady: list[Steady]
    asked: Aim | None
    checks: list[str]
    assumed: list[str]


def check_fish(distance_ft: float, depth_in: float) -> None:
    """A fish that can be, or the refusal.

    Raises
    ------
    BoundRefusal
        For a fish above the water, or out of any reach.
    """
    if depth_in < 0.0:
        raise BoundRefusal(
            f"A fish at {depth_in:g} in of depth is above the surface. Give how far it is under "
            'the water, such as "18 in"; a fish that jumps is not shot at by a table.',
            code="fish-above-water",
        )
    if not 3.0 <= distance_ft <= 60.0:
        raise BoundRefusal(
            f"A fish {distance_ft:g} ft out is outside 3 to 60 ft. Give the level distance from "
            "your eye to the place above the fish.",
            code="fish-distance",
        )
    if depth_in > 120.0:
        raise BoundRefusal(
            f"A fish {depth_in:g} in down is outside 0 to 120 in. An arrow is slow long before "
            "that; give its true depth.",
            code="fish-depth",
        )


def aims(water: Water, distances_ft: Array, depths_in: Array, critical_dip: float) -> list[Aim]:
    """Where to point, for each distance with its depth.

    Parameters
    ----------
    water : Water
        Where the archer stands.
    distances_ft, depths_in : ndarray, shape (n,)
        Level, from the eye; true.
    critical_dip : float
        At or below which the arrow may skip. [rad]

    Returns
    -------
    aims : list of Aim
        With the error of ripples (the tilt either way along the line of sight), of the eye's
        height and of an inch of depth, added as squares.
    """
    from loosewell.physics import water as physics

    n = INDEX[water.kind]
    far = distances_ft * units.FOOT
    deep = depths_in * units.INCH
    eye = np.full_like(far, water.eye_ft * units.FOOT)
    arrow = np.full_like(far, water.arrow_ft * units.FOOT)
    aim = physics.aim_below(eye, arrow, far, deep, n)
    below = aim[:, physics.BELOW]
    tilt = math.radians(water.tilt_deg)
    over = physics.below_through_slope(eye, far, deep, -tilt, n)
    under = physics.below_through_slope(eye, far, deep, tilt, n)
    wave = np.nanmax(np.abs(np.stack([over - below, under - below])), axis=0)
    higher = physics.aim_below(eye + EYE_ERROR_FT * units.FOOT, arrow, far, deep, n)
    deeper = physics.aim_below(eye, arrow, far, deep + units.INCH, n)
    error = np.sqrt(
        wave**2 + (higher[:, physics.BELOW] - below) ** 2 + (deeper[:, physics.BELOW] - below) ** 2
    )
    return [
        Aim(
            float(distances_ft[i]),
            float(depths_in[i]),
            round(float(below[i]) / units.INCH, 1),
            round(float(error[i]) / units.INCH, 1),
            round(float(wave[i]) / units.INCH, 1),
            round(float(deep[i] - below[i]) / units.INCH, 1),
            round(math.degrees(float(aim[i, physics.ARROW_DIP])), 1),
            round(math.degrees(critical_dip), 1),
            bool(aim[i, physics.ARROW_DIP] <= critical_dip),
        )
        for i in range(len(far))
    ]


def volume_of(one: Way) -> float:
    """Water that the whole arrow displaces: its shaft as a full cylinder. [m³]"""
    from loosewell.physics import aero

    row = one.rows[0]
    return float(0.25 * math.pi * row[aero.DIAMETER] ** 2 * row[aero.TIP])


def critical_of(one: Way, kind: str) -> float:
    """Dip at or below which this arrow may skip, by the rule for balls. [rad]"""
    from loosewell.physics import water as physics

    gravity = float(np.median(one.mass)) / (volume_of(one) * DENSITY[kind])
    return float(physics.critical_dip(gravity))


def entries(one: Way, water: Water, depth_in: float = 12.0) -> list[Entry]:
    """What the arrow does at each distance of the card.

    Parameters
    ----------
    one : Way
        The arrow in all its worlds.
    water : Water
        Where the archer stands.
    depth_in : float
        Of the fish it is pointed at.

    Returns
    -------
    entries : list of Entry
        How deep it goes lies between a shaft wetted all along and one that its cavity leaves dry.
    """
    from loosewell.physics import aero, flight
    from loosewell.physics import water as physics

    found = []
    n = len(one.speed)
    row = one.rows[0]
    basin = np.array([DENSITY[water.kind], VISCOSITY[water.kind], 9.80665])
    coefficients = one.coefficients
    volume = volume_of(one)
    diameter = float(row[aero.DIAMETER])
    above = water.arrow_ft * units.FOOT
    for far_ft in DISTANCES_FT:
        dip = math.atan2(above + depth_in * units.INCH, far_ft * units.FOOT)
        state = np.zeros((n, flight.STATE_COLUMNS))
        state[:, flight.SPEED] = one.speed
        state[:, flight.ELEVATION] = -dip
        state[:, flight.HEIGHT] = above
        out = np.empty((n, flight.RESULT_COLUMNS))
        flight.fly_rows(state, coefficients, one.air, 100.0, 0.0, out, flight.WATER_SURFACE)
        arriving = physics.arrival(out, np.full(n, -dip))
        met = np.isfinite(arriving[:, 0])
        if not met.any():
            raise MissingRefusal(
                "The arrow does not come down on the water from so low above it. Give how high "
                "the arrow is above the water.",
                code="water",
            )
        entering = physics.entry(
            arriving[met], one.mass[met], volume, diameter, DENSITY[water.kind]
        )
        skips = entering[:, physics.ENTRY_STATUS] == physics.MAY_SKIP
        ends = {}
        for word, wetted in (("wet", float(row[aero.TIP])), ("dry", 0.0)):
            divers = np.empty((int(met.sum()), physics.DIVER_COLUMNS))
            divers[:, physics.DIVE_SPEED] = entering[:, physics.WATER_SPEED]
            divers[:, physics.DIVE_DIP] = arriving[met, physics.PATH_DIP]
            divers[:, physics.MASS] = one.mass[met]
            divers[:, physics.VOLUME] = volume
            divers[:, physics.LENGTH] = row[aero.TIP]
            divers[:, physics.DIAMETER] = diameter
            divers[:, physics.POINT_DIAMETER] = diameter
            divers[:, physics.POINT_DRAG] = physics.WATER_POINT_DRAG["cone"]
            divers[:, physics.WETTED] = wetted
            _, end = physics.travel(divers, basin, np.array([20.0]), SLOW_FPS * units.FPS)
            ends[word] = end
        low, mid, high = np.quantile(out[met, flight.DROP] / units.INCH, (0.1, 0.5, 0.9))
        wet, dry = ends["wet"], ends["dry"]
        found.append(
            Entry(
                far_ft,
                Band(round(float(mid), 2), round(float(low), 2), round(float(high), 2)),
                round(math.degrees(float(np.median(arriving[met, physics.PATH_DIP]))), 1),
                round(100.0 * float(skips.mean()), 0),
                round(float(np.quantile(wet[:, physics.END_LENGTH], 0.1)) / units.FOOT, 1),
                round(float(np.quantile(dry[:, physics.END_LENGTH], 0.9)) / units.FOOT, 1),
                round(float(np.quantile(wet[:, physics.END_DEPTH], 0.1)) / units.INCH, 0),
                round(float(np.quantile(dry[:, physics.END_DEPTH], 0.9)) / units.INCH, 0),
                bool((dry[:, physics.END_STATUS] == physics.PASSED).any()),
            )
        )
    return found


def card(water: Water, critical_dip: float) -> list[Aim]:
    """The practice card: every distance with every depth, row by row."""
    far, deep = np.meshgrid(np.array(DISTANCES_FT), np.array(DEPTHS_IN), indexing="ij")
    return aims(water, far.ravel(), deep.ravel(), critical_dip)
