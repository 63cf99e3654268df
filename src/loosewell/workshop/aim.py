"""Gaps and point-on: where the point is held for each distance, and what a heavier arrow moves."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.errors import BoundRefusal, ContradictionRefusal, MissingRefusal
from loosewell.records import Archer, Arrow, Bow, Jig, Shaft
from loosewell.workshop.answer import Band, Notice
from loosewell.workshop.paired import SEED

if TYPE_CHECKING:
    from loosewell.workshop.reach import Way
    from loosewell.workshop.session import Progress, Session

Array = NDArray[np.float64]

EYE_ABOVE_IN = {
    "split finger": (3.0, 0.8),
    "three under": (2.0, 0.6),
    "thumb": (3.0, 1.0),
    "mechanical": (3.5, 1.0),
}
EYE_UNKNOWN_IN = (2.75, 1.0)
"""Eye above the arrow's axis at full draw, over the nock, and its standard error, by the hook: at
the corner of the mouth, some 2.7 in under the pupil (from memory). Under the chin it is 4 to 5 in.
Common practice, no source; the anchor moves it by inches, so it is to be measured."""
MEASURED_EYE_ERROR_IN = 0.2
"""Of an eye height measured in a mirror or on a photograph. Common practice, no source."""
DEPARTURE_ERROR = math.radians(0.3)
"""Standard error of the angle between where the arrow points at full draw and where it leaves: the
bow hand gives way and the nock's way is not quite straight. A modelling choice, no source."""
GRID_YD = np.arange(5.0, 120.1, 2.5)
DISTANCES_YD = (10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0)
SAMPLES = 4096
SHOT_GAP_ERROR_IN = (2.0, 0.003)
"""Standard error of a gap that was shot: an amount, and a share of the distance. Hits are read to
half an inch, the place the point is held over to some two inches. Common practice, no source."""
POINT_ON_HONEST_YD = 2.0
"""How well a shot point-on distance is known at best. Common practice, no source."""
LEAST_EFFECTIVE = 40.0
"""Samples that must still count for the shot gaps to agree with the records."""
HEAVIER_GR = 50.0


@dataclass(frozen=True)
class Shot:
    """A gap the person has really shot: the point held so far below the spot, or above it.

    ``below_in`` is measured at the target, positive when the point is held under the spot.
    """

    distance_yd: float
    below_in: float

    def __post_init__(self) -> None:
        if not 3.0 <= self.distance_yd <= 120.0:
            raise BoundRefusal(
                f"A gap at {self.distance_yd:g} yd is outside 3 to 120 yd. Give the distance it "
                "was shot at.",
                code="gap-distance",
            )
        if not -400.0 <= self.below_in <= 200.0:
            raise BoundRefusal(
                f"A gap of {self.below_in:g} in is outside -400 to 200 in. Give how far below the "
                "spot the point is held, as measured at the target; above it is negative.",
                code="gap",
            )


@dataclass(frozen=True)
class Gap:
    """One line of the card. A shot gap stands as it was shot; the others are computed.

    ``below_in`` is at the target, positive when the point is held under the spot;
    ``at_point_in`` the same as it looks at the arrow's point.
    """

    distance_yd: float
    below_in: Band
    at_point_in: Band
    shot: bool
    fall_in: float
    heavier_below_in: float | None


@dataclass(frozen=True)
class Cause:
    """One input, its value and how much of the point-on's range its error causes."""

    name: str
    value: str
    error: str
    assumed: bool
    share_percent: float
    how_to_measure: str


@dataclass(frozen=True)
class AimCard:
    """The gap card; after a hard stop nothing below the stops is filled."""

    bow: str
    archer: str
    hand: str
    invented: bool
    stops: list[Notice]
    warnings: list[Notice]
    arrow: str = ""
    anchor: str = ""
    eye_above_in: Band | None = None
    arrow_length_in: float = 0.0
    arrow_weight_gr: float = 0.0
    speed_fps: Band | None = None
    gaps: list[Gap] = field(default_factory=list)
    curve: list[tuple[float, float, float, float]] = field(default_factory=list)
    """Distance [yd], gap at the target, its low and its high [in], computed."""
    point_on_yd: Band | None = None
    point_on_text: str = ""
    heavier_gr: float = 0.0
    heavier_point_on_yd: Band | None = None
    heavier_shift_yd: Band | None = None
    heavier_speed_fps: float | None = None
    causes: list[Cause] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    weather: str = ""
    launches: int = 0

    def as_dict(self) -> dict[str, Any]:
        """The card as plain dictionaries and lists, ready for JSON."""
        return asdict(self)


def elevations(one: Way, distances: Array, rise: float) -> Array:
    """Elevation on leaving that brings the arrow to a place at each distance.

    Parameters
    ----------
    one : Way
        The arrow in its worlds.
    distances : ndarray, shape (k,)
        Level, from leaving. [m]
    rise : float
        Of the place hit above the point of leaving. [m]

    Returns
    -------
    angle : ndarray, shape (n, k)
        Above level; nan where the arrow does not carry so far. [rad]

    Source
    ------
    Secant on flights of the engine, from the closed form without air.
    """
    from loosewell.physics import flight

    coefficients = one.coefficients
    n = len(one.speed)
    angle = np.empty((n, len(distances)))

    def height(at: Array, far: float) -> Array:
        """Height over the line of leaving at a level distance, by the flight along a tilted line.

        The plane stands square to the line; its foot is moved until it is the level distance.
        """
        state = np.zeros((n, flight.STATE_COLUMNS))
        state[:, flight.SPEED] = one.speed
        state[:, flight.ELEVATION] = at
        state[:, flight.HEIGHT] = 1e6
        out = np.empty((n, flight.RESULT_COLUMNS))
        flight.fly_rows(state, coefficients, one.air, far, 0.02, out)
        along, up = out[:, flight.REACH], -out[:, flight.DROP]
        forward, falling = out[:, flight.FORWARD], out[:, flight.END_RISE_SPEED]
        level = along * np.cos(at) - up * np.sin(at)
        high = along * np.sin(at) + up * np.cos(at)
        # A small step along the path to the level distance itself.
        pace = forward * np.cos(at) - falling * np.sin(at)
        climb = forward * np.sin(at) + falling * np.cos(at)
        later = (far - level) / np.maximum(pace, 1.0)
        return np.asarray(high + later * climb - 0.5 * one.air[5] * later**2)

    for j, far in enumerate(distances):
        first = np.arctan2(rise, far) + 0.5 * np.arcsin(
            np.clip(9.80665 * far / one.speed**2, 0.0, 1.0)
        )
        second = first + 0.01
        gap_first, gap_second = height(first, far) - rise, height(second, far) - rise
        for _ in range(5):
            slope = (gap_second - gap_first) / np.where(second == first, 1.0, second - first)
            third = second - gap_second / np.where(np.abs(slope) < 1e-9, 1e-9, slope)
            third = np.clip(third, -0.5, 0.75)
            first, gap_first = second, gap_second
            second, gap_second = third, height(third, far) - rise
        angle[:, j] = np.where(np.abs(gap_second) < 0.02, second, np.nan)
    return angle


def held_below(
    leaves: Array, departure: Array, eye: Array, tip: float, distance: Array
) -> tuple[Array, Array]:
    """How far under the spot the point is held, at the target and as seen at the point.

    Parameters
    ----------
    leaves : ndarray
        Elevation on leaving that hits the spot. [rad]
    departure : ndarray
        How much higher the arrow leaves than its axis points at full draw. [rad]
    eye : ndarray
        Above the axis of the arrow, square over the nock. [m]
    tip : float
        Nock throat to the tip of the point. [m]
    distance : ndarray
        Level, from the eye to the spot, which is level with the eye. [m]

    Returns
    -------
    below : ndarray
        At the target, positive under the spot. [m]
    at_point : ndarray
        The same at the distance of the point from the eye. [m]

    Source
    ------
    Geometry; derived in docs/bench/aim.md.
    """
    axis = leaves - departure
    down = np.arctan2(eye, tip) - axis
    return np.asarray(distance * np.tan(down)), np.asarray(np.hypot(tip, eye) * np.tan(down))


def aim(
    bow: Bow,
    archer: Archer,
    shafts: Sequence[Shaft],
    *,
    arrow: Arrow | None = None,
    eye_above_in: float | None = None,
    anchor: str | None = None,
    shots: Sequence[Shot] = (),
    distances_yd: Sequence[float] = DISTANCES_YD,
    point_weight_gr: float | None = None,
    length_in: float | None = None,
    heavier_gr: float = HEAVIER_GR,
    jigs: Sequence[Jig] = (),
    seed: int = SEED,
    progress: Progress | None = None,
) -> AimCard:
    """The gap card of a bow, an archer and an arrow.

    Parameters
    ----------
    bow, archer : Bow, Archer
        As in match.
    shafts : sequence of Shaft
        The rack.
    arrow : Arrow, optional
        On record; else a plain arrow for the pair.
    eye_above_in : float, optional
        Eye above the arrow at full draw; else by the hook, and listed as assumed.
    anchor : str, optional
        In words, for the card.
    shots : sequence of Shot
        Gaps really shot: they are inked, and all others are worked out so as to agree with them.
    distances_yd : sequence of float
        Of the card.
    point_weight_gr, length_in : optional
        As in match, without an arrow on record.
    heavier_gr : float
        Added to the point for the second arrow.
    jigs, seed, progress : optional
        As in match.

    Returns
    -------
    card : AimCard
        Stops first.

    Raises
    ------
    Refusal
        For what cannot be, in a sentence.
    """
    from loosewell.workshop import bridge, purposes, reach, stops

    _check(eye_above_in, distances_yd, heavier_gr)
    shaft = purposes.shaft_of(arrow, shafts)
    asked = purposes.Asked(point_weight_gr=point_weight_gr, length_in=length_in)
    long_in = arrow.length_in if arrow is not None and arrow.length_in is not None else length_in
    job, found = purposes.paired_for(
        bow, archer, shafts, "target", asked, long_in, jigs, seed, progress, arrow
    )
    unfit = stops.unfit(shaft) if shaft is not None else None
    found = [*found, *([unfit] if unfit is not None else [])]
    invented = bow.invented or archer.invented or bool(arrow and arrow.invented)
    if job is None or found:
        return AimCard(bow.name, archer.name, archer.hand, invented, found, [])
    draw = next(one for one in job.loose.inputs if one.key == "draw")
    doubts = stops.warnings(
        bow, archer, draw.middle / units.INCH, draw.spread / units.INCH,
        datetime.datetime.now(datetime.UTC).astimezone().date(),
    )  # fmt: skip
    part = job.parts
    heavy = bridge.with_point(part, part.point_mass / units.GRAIN + heavier_gr)
    if arrow is None:
        scale, error = 0.9 * job.weight_lb / 50.0, None
        model, other = job.generic(), job.arrow(None, job.length_in, heavy)
    else:
        i = next(k for k, one in enumerate(job.shafts) if one is shaft)
        if job.spines[i] is None or job.shafts[i].length_in is None:
            raise MissingRefusal(
                f"Arrow {arrow.name} is built on shaft {arrow.shaft}, which has no bench reading "
                "or no length on record. Hang a load on it and measure it first.",
                code="missing-bench-reading",
            )
        scale, error = 1.0, job.profile(i).mass_error
        model = job.arrow(i, job.length_in, part)
        other = job.arrow(i, job.length_in, heavy)
    one, good = reach.way(job, model, "trimmed", stiffness_scale=scale, mass_error=error)
    two, good_too = reach.way(job, other, "trimmed", stiffness_scale=scale, mass_error=error)
    both = good & good_too
    one, two = purposes.kept(one, both[good]), purposes.kept(two, both[good_too])
    return _Card(job, one, two, archer, arrow, eye_above_in, anchor, shots, heavier_gr).told(
        AimCard(bow.name, archer.name, archer.hand, invented, [], doubts), distances_yd
    )


def _check(eye_above_in: float | None, distances_yd: Sequence[float], heavier_gr: float) -> None:
    if eye_above_in is not None and not 0.0 <= eye_above_in <= 9.0:
        raise BoundRefusal(
            f"An eye {eye_above_in:g} in above the arrow is outside 0 to 9 in. Measure it at full "
            "draw from the side, on a photograph or with a helper.",
            code="eye",
        )
    for far in distances_yd:
        if not 3.0 <= far <= 120.0:
            raise BoundRefusal(
                f"A distance of {far:g} yd is outside 3 to 120 yd. Give the distances of the card "
                "in yards or metres, with the unit.",
                code="gap-distance",
            )
    if not -200.0 <= heavier_gr <= 400.0 or heavier_gr == 0.0:
        raise BoundRefusal(
            f"A second arrow of {heavier_gr:g} gr more is outside -200 to 400 gr. Give how much "
            "heavier its point is, such as 50 gr.",
            code="heavier",
        )


class _Card:
    """One gap card at work."""

    def __init__(
        self,
        job: Session,
        one: Way,
        two: Way,
        archer: Archer,
        arrow: Arrow | None,
        eye_above_in: float | None,
        anchor: str | None,
        shots: Sequence[Shot],
        heavier_gr: float,
    ) -> None:
        from loosewell.chance.priors import Uncertain, sample
        from loosewell.physics import aero

        self.job, self.one, self.two = job, one, two
        self.archer, self.arrow, self.anchor = archer, arrow, anchor
        self.shots, self.heavier_gr = list(shots), heavier_gr
        self.measured_eye = eye_above_in is not None
        usual, spread = EYE_ABOVE_IN.get(archer.hook or "", EYE_UNKNOWN_IN)
        if eye_above_in is not None:
            usual, spread = eye_above_in, MEASURED_EYE_ERROR_IN
        self.usual, self.spread = usual, spread
        world = sample(
            [
                Uncertain("eye", usual * units.INCH, spread * units.INCH, low=0.0),
                Uncertain("departure", 0.0, DEPARTURE_ERROR),
            ],
            SAMPLES,
            job.seed + 23,
        )
        self.eye, self.departure = world["eye"], world["departure"]
        self.world = np.random.default_rng(job.seed + 29).integers(0, len(one.speed), SAMPLES)
        self.tip = float(one.rows[0][aero.TIP])
        self.heavy_tip = float(two.rows[0][aero.TIP])
        self.notes: list[str] = []
        self.weight = np.full(SAMPLES, 1.0 / SAMPLES)

    def _gaps(self, way: Way, tip: float) -> tuple[Array, Array]:
        """Gap at the target and at the point, samples by distances of the grid. [m]"""
        far = GRID_YD * units.YARD
        self.job.tell("aim", 0.0)
        leaves = elevations(way, far, self.usual * units.INCH)[self.world]
        self.job.tell("aim", 1.0)
        return held_below(leaves, self.departure[:, None], self.eye[:, None], tip, far[None, :])

    def _at(self, gaps: Array, far_yd: float) -> Array:
        """Of each sample at a distance between the grid's. [m]"""
        j = int(np.clip(np.searchsorted(GRID_YD, far_yd) - 1, 0, len(GRID_YD) - 2))
        part = (far_yd - GRID_YD[j]) / (GRID_YD[j + 1] - GRID_YD[j])
        return np.asarray((1.0 - part) * gaps[:, j] + part * gaps[:, j + 1])

    def _learn(self, gaps: Array) -> None:
        """Weigh the samples by the gaps that were shot."""
        if not self.shots:
            return
        total = np.zeros(SAMPLES)
        for shot in self.shots:
            base, share = SHOT_GAP_ERROR_IN
            error = math.hypot(base, share * shot.distance_yd * 36.0) * units.INCH
            off = (self._at(gaps, shot.distance_yd) - shot.below_in * units.INCH) / error
            total -= 0.5 * np.where(np.isfinite(off), off, 50.0) ** 2
        best = float(total.max())
        weight = np.exp(total - best)
        self.weight = weight / weight.sum()
        effective = 1.0 / float(np.sum(self.weight**2))
        if best < -4.5 * len(self.shots) or effective < LEAST_EFFECTIVE / 8.0:
            told = "; ".join(f"{s.below_in:g} in below at {s.distance_yd:g} yd" for s in self.shots)
            raise ContradictionRefusal(
                f"The gaps that were shot ({told}) do not go with the records of this bow, archer "
                "and arrow, nor with one another. Below the spot is positive, above it negative, "
                "measured at the target; check them, the eye above the arrow, the draw weights and "
                "the arrow's length.",
                code="gaps-contradict",
            )
        if effective < LEAST_EFFECTIVE:
            self.notes.append(
                "The gaps that were shot lie far out in what the records allow; the computed lines "
                "between them rest on few samples. Measure the eye above the arrow."
            )

    def _band(self, values: Array, digits: int, reason: str = "") -> Band | None:
        """Weighted median and the stretch that holds eight of ten; None when most are unknown."""
        known = np.isfinite(values)
        if self.weight[known].sum() < 0.9:
            return None
        order = np.argsort(values[known])
        mass = np.cumsum(self.weight[known][order])
        mass = (mass - 0.5 * self.weight[known][order]) / mass[-1]
        low, middle, high = np.interp((0.1, 0.5, 0.9), mass, values[known][order])
        return Band(
            round(float(middle), digits), round(float(low), digits), round(float(high), digits),
            reason,
        )  # fmt: skip

    def _point_on(self, gaps: Array) -> Array:
        """Distance at which the gap is nothing, of each sample; inf beyond the grid. [yd]"""
        found = np.full(len(gaps), np.inf)
        for i, row in enumerate(gaps):
            below = np.where(np.isfinite(row), row, -1.0) <= 0.0
            over = np.flatnonzero(below)
            if len(over) == 0:
                continue
            j = int(over[0])
            if j == 0 or not math.isfinite(row[j]):
                found[i] = GRID_YD[j]
                continue
            share = row[j - 1] / (row[j - 1] - row[j])
            found[i] = GRID_YD[j - 1] + share * (GRID_YD[j] - GRID_YD[j - 1])
        return found

    def told(self, empty: AimCard, distances_yd: Sequence[float]) -> AimCard:
        """The finished card."""
        gaps, at_point = self._gaps(self.one, self.tip)
        heavy, _ = self._gaps(self.two, self.heavy_tip)
        self._learn(gaps)
        on, heavy_on = self._point_on(gaps), self._point_on(heavy)
        known = np.isfinite(on) & np.isfinite(heavy_on)
        point_on = self._band(np.where(np.isfinite(on), on, np.nan), 1)
        shift = self._band(np.where(known, heavy_on - on, np.nan), 1, "in the same worlds")
        from loosewell.workshop import reach

        shot_at = {one.distance_yd: one for one in self.shots}
        rows = []
        places = sorted({*distances_yd, *shot_at})
        _, _, drop = reach.along(self.one, np.array([d * units.YARD for d in places]))
        for j, far in enumerate(places):
            below = self._band(self._at(gaps, far) / units.INCH, 1)
            seen = self._band(self._at(at_point, far) / units.INCH, 2)
            more = self._band(self._at(heavy, far) / units.INCH, 1)
            if below is None or seen is None:
                self.notes.append(f"At {far:g} yd this arrow does not arrive; left out.")
                continue
            shot = shot_at.get(far)
            if shot is not None:
                below = Band(shot.below_in, shot.below_in, shot.below_in, "as you shot it")
                part = math.hypot(self.tip, self.usual * units.INCH) / (far * units.YARD)
                inches = round(shot.below_in * part, 2)
                seen = Band(inches, inches, inches, "as you shot it")
            rows.append(
                Gap(far, below, seen, shot is not None,
                    round(float(np.median(drop[:, j])) / units.INCH, 1),
                    None if more is None else more.middle)
            )  # fmt: skip
        curve = []
        for j, far in enumerate(GRID_YD):
            line = self._band(gaps[:, j] / units.INCH, 1)
            if line is not None:
                curve.append((float(far), line.middle, line.low, line.high))
        speed = self.one.speed[self.world] / units.FPS
        grains = float(np.median(self.one.mass)) / units.GRAIN
        return replace(
            empty,
            arrow=self._arrow_words(grains),
            anchor=self.anchor or (self.archer.hook or "not said"),
            eye_above_in=self._band(self.eye / units.INCH, 2),
            arrow_length_in=round(self.job.length_in, 2),
            arrow_weight_gr=round(grains, 0),
            speed_fps=self._band(speed, 0),
            gaps=rows,
            curve=curve,
            point_on_yd=point_on,
            point_on_text=self._point_on_words(point_on),
            heavier_gr=self.heavier_gr,
            heavier_point_on_yd=self._band(np.where(known, heavy_on, np.nan), 1),
            heavier_shift_yd=shift,
            heavier_speed_fps=round(float(np.median(self.two.speed)) / units.FPS, 0),
            causes=self._causes(on),
            notes=self.notes,
            weather=self.job.weather,
            launches=self.job.launches,
        )

    def _arrow_words(self, grains: float) -> str:
        name = "a plain arrow" if self.arrow is None else f"arrow {self.arrow.name}"
        point = self.job.parts.point_mass / units.GRAIN
        return (
            f"{name}, {self.job.length_in:.2f} in to the back of the point, {grains:.0f} gr with a "
            f"{point:.0f} gr point"
        )

    def _point_on_words(self, point_on: Band | None) -> str:
        shot = [one for one in self.shots if abs(one.below_in) < 1.0]
        if shot:
            return (
                f"You shot point-on at {shot[0].distance_yd:g} yd: good to about "
                f"±{POINT_ON_HONEST_YD:g} yd at best."
            )
        if point_on is None:
            return (
                "Point-on is not within 120 yd in most of what was reckoned: the point is held "
                "below the spot at every distance of the card."
            )
        wide = 0.5 * (point_on.high - point_on.low)
        text = (
            f"Computed point-on: {point_on.middle:.0f} yd, {point_on.low:.0f} to "
            f"{point_on.high:.0f} yd in eight of ten."
        )
        if wide > POINT_ON_HONEST_YD:
            text += (
                f" Shooting it tells more: that is good to about ±{POINT_ON_HONEST_YD:g} yd "
                "(common practice)."
            )
        return text

    def _causes(self, on: Array) -> list[Cause]:
        """What of the point-on's range each input causes, by a straight line through them."""
        known = np.isfinite(on)
        if known.sum() < SAMPLES // 2:
            return []
        w = self.weight[known] / self.weight[known].sum()
        speed = self.one.speed[self.world]
        columns = {
            "eye": self.eye, "departure": self.departure, "speed": speed,
            "drag": np.log(self.one.drag_area())[self.world],
        }  # fmt: skip
        table = []
        for values in columns.values():
            x = values[known]
            x = x - np.sum(w * x)
            table.append(x / max(math.sqrt(float(np.sum(w * x**2))), 1e-30))
        y = on[known] - np.sum(w * on[known])
        root = np.sqrt(w)
        slope = np.linalg.lstsq((np.stack(table) * root).T, y * root, rcond=None)[0]
        shares = {k: float(s**2) for k, s in zip(columns, slope, strict=True)}
        whole = sum(shares.values()) or 1.0
        told = {
            "eye": (
                "Eye above the arrow", f"{self.usual:.2f} in", f"±{self.spread:.2g} in",
                not self.measured_eye, "a photograph from the side at full draw, --eye-above",
            ),
            "departure": (
                "Angle of leaving from where it points", "0°",
                f"±{math.degrees(DEPARTURE_ERROR):.1f}°", True, "shoot one gap and give it: --shot",
            ),
            "speed": (
                "Arrow speed", f"{float(np.median(speed)) / units.FPS:.0f} fps",
                f"±{float(np.std(speed)) / units.FPS:.0f} fps", True,
                "measure the speed of one weighed arrow and record it with the bow",
            ),
            "drag": ("Drag", "as reckoned", "±15 % and the feathers' own", True, "shoot a far gap"),
        }  # fmt: skip
        found = [
            Cause(
                told[key][0], told[key][1], told[key][2], told[key][3],
                round(100.0 * share / whole, 0), told[key][4],
            )
            for key, share in shares.items()
        ]  # fmt: skip
        return sorted(found, key=lambda one: -one.share_percent)
