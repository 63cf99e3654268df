"""An arrow for a purpose: what to build, why, and what changes against the plain target arrow."""

from __future__ import annotations

import datetime
import math
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.errors import BoundRefusal, EngineRefusal, MissingRefusal
from loosewell.records import Archer, Arrow, Bow, Fletching, Jig, Shaft
from loosewell.workshop import purpose_words, stops
from loosewell.workshop.answer import Band, Notice
from loosewell.workshop.fishing import Fishing, Line, Steady, Water
from loosewell.workshop.hunting import ColdDistance, ColdShot, Rule, RuleBeside
from loosewell.workshop.paired import SEED
from loosewell.workshop.reach import FarShot

if TYPE_CHECKING:
    from loosewell.workshop.bridge import ArrowModel
    from loosewell.workshop.reach import Way
    from loosewell.workshop.session import Progress, Session
    from loosewell.workshop.wish import Cut, Purpose

Array = NDArray[np.float64]

TABLE_YD = (5.0, 10.0, 15.0, 20.0, 30.0, 40.0, 50.0)
MISJUDGED = 0.10
"""A distance told by eye is off by so much or more (eye ±15 %, pacing ±5 %; common practice)."""
PRACTICE_WIND_MPH = 10.0
SLOW_SHARE = 0.5
"""Share of its first speed at which a flu-flu is told to be no longer fast. A modelling choice."""
LEAST_CAUSE_PERCENT = 3.0


@dataclass(frozen=True)
class Figure:
    """One figure of the plain target arrow and of this one, and the change in the same worlds."""

    name: str
    unit: str
    digits: int
    this: Band
    plain: Band | None = None
    change: Band | None = None


@dataclass(frozen=True)
class AtDistance:
    """What the arrow does at one distance, loosed level; the plain one's speed beside it."""

    distance_yd: float
    speed_fps: Band
    plain_speed_fps: Band | None
    time_s: Band
    drop_in: Band
    energy_ftlb: Band
    misjudged_yd: float
    misjudged_in: Band
    """How much lower it strikes when the distance was taken so much too short."""


@dataclass(frozen=True)
class Reach:
    """How far it carries at the angle that carries it farthest, and at every other."""

    farthest_yd: Band
    longest_yd: float
    """Of all the worlds reckoned."""
    angle_deg: float
    windy_yd: Band
    """The same with a wind from behind."""
    windy_mph: float
    tail_wind_fps: float
    angles_deg: list[float]
    carry_yd: list[Band]
    plain_yd: Band | None
    plain_carry_yd: list[float]
    calibration: Band | None
    far_shot: str | None
    causes: list[Cause]
    text: str


@dataclass(frozen=True)
class Cause:
    """One input and how much of a range its own error causes."""

    name: str
    value: str
    error: str
    assumed: bool
    share_percent: float
    how_to_measure: str


@dataclass(frozen=True)
class Slowing:
    """Where a flu-flu stops being fast, on a level way."""

    slow_fps: float
    distance_yd: Band | None
    time_s: Band | None
    plain_distance_yd: Band | None
    feather_area_in2: float
    cut: str
    text: str


@dataclass(frozen=True)
class Head:
    """Feathers against a wide head: areas, and push to straighten over push to turn."""

    feather_area_in2: float
    head_area_in2: float | None
    ratio: float | None
    straightens_over_turns: float | None
    text: str


@dataclass(frozen=True)
class Hunting:
    """Numbers without verdicts."""

    head: Head
    cold: ColdDistance
    rules: list[RuleBeside]


@dataclass(frozen=True)
class PurposeAnswer:
    """The whole answer; after a hard stop nothing below the stops is filled."""

    bow: str
    archer: str
    hand: str
    purpose: str
    title: str
    invented: bool
    stops: list[Notice]
    warnings: list[Notice]
    cautions: list[Notice]
    line_checks: list[str] = field(default_factory=list)
    build: list[tuple[str, str]] = field(default_factory=list)
    why: list[str] = field(default_factory=list)
    arrow: str | None = None
    distance_yd: float = 0.0
    length_in: float = 0.0
    point_weight_gr: float = 0.0
    fletching: str = ""
    spine_range_lb: Band | None = None
    spine_text: str = ""
    plain_spine_text: str = ""
    plain_words: str = ""
    figures: list[Figure] = field(default_factory=list)
    table: list[AtDistance] = field(default_factory=list)
    reach: Reach | None = None
    slowing: Slowing | None = None
    fishing: Fishing | None = None
    hunting: Hunting | None = None
    notes: list[str] = field(default_factory=list)
    weather: str = ""
    engine: str = ""
    launches: int = 0
    seconds: float = 0.0

    def as_dict(self) -> dict[str, Any]:
        """The answer as plain dictionaries and lists, ready for JSON."""
        return asdict(self)


@dataclass(frozen=True)
class Asked:
    """What was asked for beyond bow, archer and purpose; None takes the purpose's own."""

    point_weight_gr: float | None = None
    length_in: float | None = None
    fletching: Fletching | None = None
    cut: Cut | None = None
    distance_yd: float | None = None
    temperature_f: float | None = None
    altitude_ft: float | None = None
    wind_left_fps: float | None = None
    tail_wind_fps: float | None = None
    far_shot: FarShot | None = None
    slow_fps: float | None = None
    water: Water = field(default_factory=Water)
    line: Line = field(default_factory=Line)
    fish_distance_ft: float | None = None
    fish_depth_in: float | None = None
    head_width_in: float | None = None
    head_length_in: float | None = None
    rules: tuple[Rule, ...] = ()
    cold: tuple[ColdShot, ...] = ()
    circle_in: float | None = None


def purpose(
    bow: Bow,
    archer: Archer,
    shafts: Sequence[Shaft],
    name: str,
    asked: Asked | None = None,
    *,
    arrow: Arrow | None = None,
    jigs: Sequence[Jig] = (),
    seed: int = SEED,
    today: datetime.date | None = None,
    progress: Progress | None = None,
) -> PurposeAnswer:
    """The arrow for a purpose, beside the plain target arrow of the same bow and archer.

    Parameters
    ----------
    bow, archer : Bow, Archer
        As in match.
    shafts : sequence of Shaft
        The rack.
    name : str
        One of wish.PURPOSES.
    asked : Asked, optional
        What replaces the purpose's own.
    arrow : Arrow, optional
        An arrow on record, in place of one to be built.
    jigs : sequence of Jig
        Of the workshop.
    seed : int
        Of the samples; both arrows are loosed in the same ones.
    today : date, optional
        For the age of a child's draw and of a rule.
    progress : callable, optional
        Called with a word and the fraction done.

    Returns
    -------
    answer : PurposeAnswer
        Stops first; after a stop nothing is computed.

    Raises
    ------
    Refusal
        For what cannot be, in a sentence.
    """
    from loosewell.workshop import fishing, hunting
    from loosewell.workshop.wish import PURPOSES

    started = time.perf_counter()
    asked = asked or Asked()
    if name not in PURPOSES:
        raise BoundRefusal(
            f"Purpose '{name}' is not known. Accepted are {', '.join(PURPOSES)}.", code="purpose"
        )
    plan = PURPOSES[name]
    today = today or datetime.datetime.now(datetime.UTC).astimezone().date()
    _check(asked)
    if name == "fishing":
        _check_fishing(asked)
    for rule in asked.rules:
        hunting.beside(rule, None, today)
    shaft = shaft_of(arrow, shafts)
    words = purpose_words.WORDS[name]
    rig = fishing.line_stops(asked.line) if name == "fishing" else []
    length_in = asked.length_in
    if arrow is not None and arrow.length_in is not None:
        length_in = arrow.length_in
    job, found = paired_for(
        bow, archer, shafts, name, asked, length_in, jigs, seed, progress, arrow
    )
    unfit = stops.unfit(shaft) if shaft is not None else None
    found = [*rig, *found, *([unfit] if unfit is not None else [])]
    head: dict[str, Any] = {
        "bow": bow.name, "archer": archer.name, "hand": archer.hand, "purpose": name,
        "title": words.title,
        "invented": bow.invented or archer.invented or bool(arrow and arrow.invented),
        "stops": found,
        "cautions": _cautions(archer, name, shafts),
        "line_checks": fishing.line_checks(asked.line) if name == "fishing" else [],
    }  # fmt: skip
    if found or job is None:
        return PurposeAnswer(**head, warnings=[], seconds=time.perf_counter() - started)
    draw = next(one for one in job.loose.inputs if one.key == "draw")
    doubts = stops.warnings(bow, archer, draw.middle / units.INCH, draw.spread / units.INCH, today)
    plain, _ = paired_for(
        bow, archer, shafts, "target",
        replace(asked, point_weight_gr=None, fletching=None, cut=None, distance_yd=None),
        length_in, jigs, seed, progress, None,
    )  # fmt: skip
    assert plain is not None
    work = _Work(job, plain, plan, asked, arrow, shaft, bow, today)
    return work.told(head, doubts, words, started)


def _cautions(archer: Archer, name: str, shafts: Sequence[Shaft]) -> list[Notice]:
    """What the purpose asks to mind, then what holds for any arrow."""
    first = purpose_words.cautions(name)
    return [
        *first,
        *(
            one
            for one in stops.cautions(archer, name, [shaft.material for shaft in shafts])
            if one not in first
        ),
    ]


def _check(asked: Asked) -> None:
    for value, low, high, what, how in (
        (asked.tail_wind_fps, -75.0, 75.0, "A tail wind of {} fps is outside -75 to 75 fps.",
         "Give its speed along the line, from behind positive."),
        (asked.slow_fps, 10.0, 200.0, "A slow speed of {} fps is outside 10 to 200 fps.",
         "Give the speed below which the arrow no longer counts as fast."),
        (asked.head_width_in, 0.3, 4.0, "A head {} in wide is outside 0.3 to 4 in.",
         "Measure it from edge to edge."),
        (asked.head_length_in, 0.2, 6.0, "Blades {} in long are outside 0.2 to 6 in.",
         "Measure them along the arrow."),
    ):  # fmt: skip
        if value is not None and not low <= value <= high:
            raise BoundRefusal(f"{what.format(f'{value:g}')} {how}")
    if (asked.head_width_in is None) != (asked.head_length_in is None):
        raise MissingRefusal(
            "One of the two measures of the broadhead is missing. Give --head-width and "
            "--head-length, or neither.",
            code="head",
        )


def _check_fishing(asked: Asked) -> None:
    from loosewell.workshop import fishing

    if (asked.fish_distance_ft is None) != (asked.fish_depth_in is None):
        raise MissingRefusal(
            "A fish is told by its distance and its true depth; one of the two is missing. Give "
            "--fish-distance and --fish-depth.",
            code="fish",
        )
    if asked.fish_distance_ft is not None and asked.fish_depth_in is not None:
        fishing.check_fish(asked.fish_distance_ft, asked.fish_depth_in)


def shaft_of(arrow: Arrow | None, shafts: Sequence[Shaft]) -> Shaft | None:
    """The shaft an arrow is built on, None without an arrow; refused when it is not in use."""
    if arrow is None:
        return None
    found = next((one for one in shafts if one.name == arrow.shaft), None)
    if found is None:
        raise MissingRefusal(
            f"Arrow {arrow.name} is built on shaft {arrow.shaft}, which is not in use in this "
            "workshop. Restore it, or name another arrow.",
            code="missing-shaft",
        )
    return found


def paired_for(
    bow: Bow,
    archer: Archer,
    shafts: Sequence[Shaft],
    name: str,
    asked: Asked,
    length_in: float | None,
    jigs: Sequence[Jig],
    seed: int,
    progress: Progress | None,
    arrow: Arrow | None,
) -> tuple[Session | None, list[Notice]]:
    """The pair as the engine takes it, in the weather asked for, feathers cut as asked."""
    from loosewell.workshop import bridge
    from loosewell.workshop.paired import pair
    from loosewell.workshop.reach import AREA_SHARE
    from loosewell.workshop.wish import PURPOSES, wish_of

    fletching = asked.fletching
    point = asked.point_weight_gr
    if arrow is not None:
        fletching = arrow.fletching or fletching
        point = arrow.point_weight_gr if arrow.point_weight_gr is not None else point
    wish = wish_of(
        bow, archer, name, asked.distance_yd, point, length_in, fletching, None,
        asked.temperature_f, asked.altitude_ft, asked.wind_left_fps, seed,
    )  # fmt: skip
    job, found = pair(
        bow, archer, shafts, length_in=length_in, point_weight_gr=point, fletching=fletching,
        purpose=name, distance_yd=asked.distance_yd, jigs=jigs, seed=seed, progress=progress,
    )  # fmt: skip
    if job is None:
        return None, found
    job.air, job.weather = wish.air, wish.weather
    cut = asked.cut or PURPOSES[name].cut
    kind = PURPOSES[name].point_kind
    nock: tuple[str | None, float | None] = (None, None)
    if arrow is not None:
        kind = arrow.point_kind or kind
        nock = (arrow.nock_kind, arrow.nock_weight_gr)
    part = bridge.parts(job.point_gr, job.fletching, kind, *nock)
    if arrow is not None:
        part = bridge.fitted(part, arrow)
    if asked.head_width_in is not None and asked.head_length_in is not None:
        area = 0.5 * asked.head_width_in * asked.head_length_in * units.INCH**2
        part = replace(part, blade_area=area)
    job.parts = replace(part, area_share=AREA_SHARE[cut])
    return job, found


def band(values: Array, digits: int, reason: str = "") -> Band:
    """Median and the stretch that holds eight of ten."""
    low, middle, high = np.nanquantile(values, (0.1, 0.5, 0.9))
    return Band(
        round(float(middle), digits), round(float(low), digits), round(float(high), digits), reason
    )


class _Work:
    """One purpose at work: two arrows of one pair in the same worlds."""

    def __init__(
        self,
        job: Session,
        plain: Session,
        plan: Purpose,
        asked: Asked,
        arrow: Arrow | None,
        shaft: Shaft | None,
        bow: Bow,
        today: datetime.date,
    ) -> None:
        self.job, self.plain, self.plan, self.asked = job, plain, plan, asked
        self.arrow, self.shaft, self.bow, self.today = arrow, shaft, bow, today
        self.cut: Cut = asked.cut or plan.cut
        self.notes: list[str] = []
        self.spine: Band | None = None
        self.spine_text = self.plain_spine_text = ""
        self.lb = self.plain_lb = 0.0

    # ---- arrows

    def _spines(self) -> None:
        """The range of spine of either arrow; for one on record its own shaft."""
        from loosewell.workshop.sweep import sweep_spines

        for word, job in (("plain", self.plain), ("this", self.job)):
            if word == "this" and self.arrow is not None:
                continue
            if word == "plain" and self.plan.name == "target" and self.arrow is None:
                continue
            try:
                found = sweep_spines(job)
                text, at, got = found.text, found.band.middle if found.band else 0.0, found.band
            except EngineRefusal as refusal:
                text, at, got = f"none: {refusal.message}", 0.9 * job.weight_lb, None
                self.notes.append(
                    "No spine leaves this arrow clean by the limits; the figures below are for "
                    f"{at:.0f} lb (26 in span, 2 lb)."
                )
            if word == "plain":
                self.plain_spine_text, self.plain_lb = text, at
            else:
                self.spine_text, self.lb, self.spine = text, at, got

    def _models(self) -> tuple[tuple[ArrowModel, float, float | None], ...]:
        """Model, stiffness scale and mass error of this arrow and of the plain one."""
        if self.arrow is None:
            this = self.job.generic(), self.lb / 50.0, None
            plain = self.plain.generic(), (self.plain_lb or self.lb) / 50.0, None
            return this, plain
        i = next(k for k, one in enumerate(self.job.shafts) if one is self.shaft)
        spine = self.job.spines[i]
        if spine is None or self.job.shafts[i].length_in is None:
            raise MissingRefusal(
                f"Arrow {self.arrow.name} is built on shaft {self.arrow.shaft}, which has no bench "
                "reading or no length on record. Hang a load on it and measure it first.",
                code="missing-bench-reading",
            )
        self.lb = self.plain_lb = spine.spine_26in_2lb_lb
        self.spine_text = f"shaft {self.arrow.shaft}: {spine.spine_text()}"
        profile = self.job.profile(i)
        model = self.job.arrow(i, self.job.length_in, self.job.parts)
        if self.arrow.weight_gr is not None:
            off = model.mass / units.GRAIN - self.arrow.weight_gr
            if abs(off) > 5.0:
                self.notes.append(
                    f"Arrow {self.arrow.name} weighs {self.arrow.weight_gr:.0f} gr on record and "
                    f"{model.mass / units.GRAIN:.0f} gr by its shaft and parts; the latter is "
                    "used. Weigh again."
                )
        other = self.plain.arrow(i, self.plain.length_in, self.plain.parts)
        return (model, 1.0, profile.mass_error), (other, 1.0, profile.mass_error)

    def told(
        self,
        head: dict[str, Any],
        doubts: list[Notice],
        words: purpose_words.Words,
        started: float,
    ) -> PurposeAnswer:
        from loosewell.workshop import reach
        from loosewell.workshop.words import fletching_words

        self._spines()
        (model, scale, error), (plain_model, plain_scale, plain_error) = self._models()
        if not self.plain_lb:
            plain_scale = scale
        one, good = reach.way(self.job, model, self.cut, stiffness_scale=scale, mass_error=error)
        other, good_too = reach.way(
            self.plain, plain_model, "trimmed", stiffness_scale=plain_scale, mass_error=plain_error
        )
        same = self.plan.name == "target" and self.arrow is None
        both = good & good_too
        one, other = kept(one, both[good]), kept(other, both[good_too])
        calibration = None
        tail = (self.asked.tail_wind_fps or 0.0) * units.FPS
        if self.asked.far_shot is not None:
            self.job.tell("far shot", 0.0)
            one, calibration = reach.calibrate(one, self.asked.far_shot, self.job.seed, tail)
            self.job.tell("far shot", 1.0)
        figures = self._figures(one, other, model, plain_model, same)
        weight = next(f for f in figures if f.name == "Mass").this.middle
        light = stops.mass_warning(self.bow, weight, self.job.weight_lb)
        if light is not None:
            doubts = [*doubts, light]
        part = self.job.parts
        build = [
            *words.build,
            ("Point mass", _mass_words(part.point_mass)),
            ("Length", _length_words(self.job.length_in)),
        ]
        table = self._table(one, None if same else other)
        return PurposeAnswer(
            **head,
            warnings=doubts,
            build=build,
            why=list(words.why),
            arrow=None if self.arrow is None else self.arrow.name,
            distance_yd=self.job.distance_yd,
            length_in=round(self.job.length_in, 2),
            point_weight_gr=round(part.point_mass / units.GRAIN, 1),
            fletching=_feathers(fletching_words(part), part.count, self.cut),
            spine_range_lb=self.spine,
            spine_text=self.spine_text,
            plain_spine_text="" if same else self.plain_spine_text,
            plain_words="" if same else _plain_words(self.plain),
            figures=figures,
            table=table,
            reach=self._reach(one, None if same else other, calibration, tail),
            slowing=self._slowing(one, other) if self.plan.name == "flu-flu" else None,
            fishing=self._fishing(one, model, scale) if self.plan.name == "fishing" else None,
            hunting=self._hunting(model, figures) if self.plan.name == "hunting" else None,
            notes=self.notes,
            weather=self.job.weather,
            engine=f"{len(one.speed)} worlds, the same ones for both arrows, seed {self.job.seed}",
            launches=self.job.launches + self.plain.launches,
            seconds=round(time.perf_counter() - started, 2),
        )

    # ---- figures

    def _figures(
        self, one: Way, other: Way, model: ArrowModel, plain: ArrowModel, same: bool
    ) -> list[Figure]:
        from loosewell.workshop import reach

        distance = np.array([self.job.distance_yd * units.YARD])

        def of(way: Way, arrow: ArrowModel) -> dict[str, Array]:
            n = len(way.speed)
            speed, taken, drop = (x[:, 0] for x in reach.along(way, distance))
            balance = arrow.balance / units.INCH + np.linspace(-0.15, 0.15, n)
            length = arrow.length / units.INCH
            return {
                "Mass": way.mass / units.GRAIN,
                "Grains per pound": way.mass / units.GRAIN / self.job.weight_lb,
                "Balance from the nock throat": balance,
                "Front of centre": 100.0 * (balance - 0.5 * length) / length,
                "Speed at the bow": way.speed / units.FPS,
                "Energy at the bow": 0.5 * way.mass * way.speed**2 / units.FOOT_POUND,
                "Momentum at the bow": way.mass * way.speed / units.SLUG / units.FPS,
                "Drag area": way.drag_area() * 1e4,
                "Speed there": speed / units.FPS,
                "Energy there": 0.5 * way.mass * speed**2 / units.FOOT_POUND,
                "Time to there": taken,
                "Fall to there": drop / units.INCH,
            }

        at = f"at {self.job.distance_yd:g} yd"
        rows = (
            ("Mass", "gr", 0, ""), ("Grains per pound", "gr/lb", 1, ""),
            ("Balance from the nock throat", "in", 2, ""), ("Front of centre", "%", 1, ""),
            ("Speed at the bow", "fps", 0, ""), ("Energy at the bow", "ft-lb", 1, ""),
            ("Momentum at the bow", "slug-ft/s", 3, ""), ("Drag area", "cm²", 2, ""),
            ("Speed there", "fps", 0, f"Speed {at}"), ("Energy there", "ft-lb", 1, f"Energy {at}"),
            ("Time to there", "s", 3, f"Time of flight {at}"),
            ("Fall to there", "in", 1, f"Fall below the line {at}"),
        )  # fmt: skip
        this, that = of(one, model), of(other, plain)
        return [
            Figure(
                name or key, unit, digits, band(this[key], digits),
                None if same else band(that[key], digits),
                None if same else band(this[key] - that[key], digits, "in the same worlds"),
            )
            for key, unit, digits, name in rows
        ]  # fmt: skip

    def _table(self, one: Way, other: Way | None) -> list[AtDistance]:
        from loosewell.workshop import reach

        most = 10.0 if self.plan.name == "fishing" else max(40.0, 1.5 * self.job.distance_yd)
        places = [d for d in TABLE_YD if d <= most]
        wrong = [max(1.0, float(round(MISJUDGED * d))) for d in places]
        far = np.array([d * units.YARD for d in places])
        longer = np.array([(d + w) * units.YARD for d, w in zip(places, wrong, strict=True)])
        speed, taken, drop = reach.along(one, far)
        _, _, lower = reach.along(one, longer)
        beside = None if other is None else reach.along(other, far)[0]
        rows = []
        for j, place in enumerate(places):
            # Aimed for this distance the line rises by drop/distance; farther out it is still up.
            miss = lower[:, j] - drop[:, j] * longer[j] / far[j]
            rows.append(
                AtDistance(
                    place,
                    band(speed[:, j] / units.FPS, 0),
                    None if beside is None else band(beside[:, j] / units.FPS, 0),
                    band(taken[:, j], 3),
                    band(drop[:, j] / units.INCH, 1),
                    band(0.5 * one.mass * speed[:, j] ** 2 / units.FOOT_POUND, 1),
                    wrong[j],
                    band(miss / units.INCH, 1),
                )
            )
        return rows

    def _reach(self, one: Way, other: Way | None, calibration: Band | None, tail: float) -> Reach:
        from loosewell.workshop import reach

        self.job.tell("carry", 0.0)
        angles = np.radians(reach.ELEVATIONS_DEG)
        carry = reach.carries(one, angles, tail_wind=tail) / units.YARD
        longest, best = reach.farthest(carry, angles)
        self.job.tell("carry", 0.4)
        wind = PRACTICE_WIND_MPH * 0.44704
        near = angles[(angles > math.radians(18.0)) & (angles < math.radians(58.0))]
        blown, _ = reach.farthest(
            reach.carries(one, near, tail_wind=tail + wind) / units.YARD, near
        )
        self.job.tell("carry", 0.7)
        plain = None if other is None else reach.carries(other, angles, tail_wind=tail) / units.YARD
        self.job.tell("carry", 1.0)
        told = band(longest, 0)
        top = float(np.ceil(max(blown.max(), longest.max())))
        if self.asked.far_shot is not None:
            top = max(top, math.ceil(self.asked.far_shot.carry_yd + self.asked.far_shot.error_yd))
        text = (
            f"Loosed at the angle that carries it farthest (about {np.degrees(np.median(best)):.0f}"
            f"°) it comes down {told.low:.0f} to {told.high:.0f} yd out on flat ground, eight of "
            f"ten; the longest of {len(longest)} reckoned, with a {PRACTICE_WIND_MPH:g} mph wind "
            f"from behind, {top:.0f} yd ({top * 0.9144:.0f} m). No margin is in it, no slope, no "
            "skip and no slide after it lands; your rule or your range's own says what is added."
        )
        if self.job.parts.count == 0:
            text += (
                " An arrow without feathers may turn its side and come down nearer; this is what "
                "it does if it never does so."
            )
        return Reach(
            told, top, round(float(np.degrees(np.median(best))), 0), band(blown, 0),
            PRACTICE_WIND_MPH, round(tail / units.FPS, 1), [float(a) for a in reach.ELEVATIONS_DEG],
            [band(carry[:, j], 0) for j in range(len(angles))],
            None if plain is None else band(reach.farthest(plain, angles)[0], 0),
            [] if plain is None else [round(float(v), 0) for v in np.median(plain, axis=0)],
            calibration, None if self.asked.far_shot is None else self.asked.far_shot.text(),
            self._causes(one, longest, calibration is not None), text,
        )  # fmt: skip

    def _causes(self, one: Way, outcome: Array, measured: bool) -> list[Cause]:
        """What of the range each input causes, by a straight line through the worlds."""
        keys = [key for key, value in one.values.items() if float(np.std(value)) > 0.0]
        if measured:
            keys = [key for key in keys if key not in ("plain_drag", "feather_drag")]
        table = np.stack([one.values[key] for key in keys], axis=1)
        table = (table - table.mean(axis=0)) / table.std(axis=0)
        wanted = np.log(outcome)
        wanted = wanted - wanted.mean()
        slope = np.linalg.lstsq(table, wanted, rcond=None)[0]
        total = float(np.mean(wanted**2))
        if total <= 0.0:
            return []
        noise = total / len(wanted)
        shares = {k: float(s**2) - noise for k, s in zip(keys, slope, strict=True)}
        whole = sum(value for value in shares.values() if value > 0.0)
        notes = {note.key: note for note in (*self.job.bow.notes, *self.job.loose.notes)}
        found = []
        for key, share in shares.items():
            percent = 100.0 * share / whole if whole > 0.0 else 0.0
            if percent < LEAST_CAUSE_PERCENT:
                continue
            found.append(self._cause(key, percent, notes))
        return sorted(found, key=lambda cause: -cause.share_percent)

    def _cause(self, key: str, percent: float, notes: dict[str, Any]) -> Cause:
        from loosewell.workshop import reach

        percent = round(percent, 0)
        if key == "far_shot" and self.asked.far_shot is not None:
            return Cause(
                "Your far shot", f"{self.asked.far_shot.carry_yd:g} yd",
                f"±{self.asked.far_shot.error_yd:g} yd"
                + ("" if self.asked.far_shot.angle_deg else ", its angle and the gusts"),
                False, percent, "more far shots, taped, the angle seen from the side",
            )  # fmt: skip
        if key == "feather_drag":
            spread = reach.FEATHER_DRAG[self.cut][1]
            return Cause(
                "Drag of the feathers", f"as reckoned for feathers cut {self.cut}",
                f"within a factor of {math.exp(spread):.1f}", True, percent,
                "shoot one far in a large empty place and give its distance: --far-shot",
            )  # fmt: skip
        if key == "plain_drag":
            return Cause(
                "Drag of point and shaft", "as reckoned",
                f"±{100 * reach.PLAIN_DRAG_ERROR:.0f} %", True, percent,
                "shoot one far in a large empty place and give its distance: --far-shot",
            )  # fmt: skip
        if key == "own_mass":
            return Cause(
                "Mass of the shaft", f"{self.job.mass_per_inch:.1f} gr/in ({self.job.mass_reason})",
                f"±{100 * self.job.mass_spread:.0f} %", self.arrow is None, percent,
                "weigh the shaft",
            )  # fmt: skip
        note = notes.get(key)
        if note is None:
            return Cause(key.replace("_", " "), "usual", "usual", True, percent, "")
        return Cause(note.name, note.value, note.error, note.assumed, percent, note.how_to_measure)

    # ---- what belongs to one purpose

    def _feather_area_in2(self) -> float:
        part = self.job.parts
        return part.count * part.area_share * part.chord * part.height / units.INCH**2

    def _slowing(self, one: Way, other: Way) -> Slowing:
        from loosewell.workshop import reach

        slow = self.asked.slow_fps
        if slow is None:
            slow = round(SLOW_SHARE * float(np.median(one.speed)) / units.FPS, 0)
        stops_yd = np.arange(2.5, 152.6, 5.0)
        found = []
        for way in (one, other):
            speed, taken, _ = reach.along(way, stops_yd * units.YARD)
            places, times = [], []
            for row, when, first in zip(
                speed / units.FPS, taken, way.speed / units.FPS, strict=True
            ):
                # Fallen far below the line before it got there: it is no longer on its way.
                row, when = np.nan_to_num(row, nan=0.0), np.nan_to_num(when, nan=np.nanmax(when))
                falling = np.concatenate(([first], row))
                where = np.concatenate(([0.0], stops_yd))
                clock = np.concatenate(([0.0], when))
                if falling[-1] > slow:
                    places.append(np.inf)
                    times.append(np.inf)
                else:
                    places.append(float(np.interp(-slow, -falling, where)))
                    times.append(float(np.interp(-slow, -falling, clock)))
            found.append((np.array(places), np.array(times)))
        (place, when), (plain_place, _) = found
        seen = np.isfinite(place).mean() > 0.95
        plain_seen = np.isfinite(plain_place).mean() > 0.95
        area = self._feather_area_in2()
        beyond = "not within 150 yd"
        plainly = _yards(plain_place) if plain_seen else beyond
        here = beyond
        if seen:
            p, t = band(place, 0), band(when, 2)
            here = f"{p.low:.0f} to {p.high:.0f} yd out, after {t.low:.1f} to {t.high:.1f} s"
        text = (
            f"On a level way it is down to {slow:.0f} fps ({slow * 0.3048:.0f} m/s) {here}; the "
            f"plain arrow {plainly}. Common practice says full "
            "speed to 15 to 25 yd and down by 40 to 60 yd (no source); where that disagrees with "
            "the figures here, plan by the longer. Slow is not the same as harmless."
        )
        return Slowing(
            slow, band(place, 0) if seen else None, band(when, 2) if seen else None,
            band(plain_place, 0) if plain_seen else None, round(area, 1), self.cut, text,
        )  # fmt: skip

    def _fishing(self, one: Way, model: ArrowModel, scale: float) -> Fishing:
        from loosewell.workshop import fishing

        asked = self.asked
        water = asked.water
        critical = fishing.critical_of(one, water.kind)
        fish = None
        if asked.fish_distance_ft is not None and asked.fish_depth_in is not None:
            fish = fishing.aims(
                water, np.array([asked.fish_distance_ft]), np.array([asked.fish_depth_in]), critical
            )[0]
            if asked.fish_distance_ft > fishing.FARTHEST_FT:
                self.notes.append(
                    f"{asked.fish_distance_ft:g} ft is farther than the {fishing.FARTHEST_FT:g} ft "
                    "within which an arrow without feathers is usually shot (common practice)."
                )
        return Fishing(
            water.eye_ft,
            water.arrow_ft,
            water.kind,
            water.tilt_deg,
            fishing.card(water, critical),
            fishing.entries(one, water),
            [self._steady(model, scale, feet) for feet in (10.0, fishing.FARTHEST_FT)],
            fish,
            fishing.line_checks(asked.line),
            water.assumed(),
        )

    def _steady(self, model: ArrowModel, scale: float, feet: float) -> Steady:
        """How far the arrow swings up to a distance."""
        worlds = 128
        _, values = self.job.values(self.job.sweep_inputs, worlds, 1, self.job.seed + 11)
        values["stiffness_scale"] = np.full(worlds, scale)
        before = self.job.distance
        self.job.distance = feet * units.FOOT
        try:
            shots = self.job.shoot([model], np.zeros(worlds, dtype=np.int64), values, "steadiness")
        finally:
            self.job.distance = before
        told = (shots.status == 0) | (shots.status == 103)
        if not told.any():
            raise self.job.nothing_clean(shots)
        return Steady(
            feet,
            band(shots.swing_deg[told], 1),
            band(shots.stand_off_deg[told], 1),
            round(100.0 * float((shots.status[told] == 103).mean()), 0),
        )

    def _hunting(self, model: ArrowModel, figures: list[Figure]) -> Hunting:
        from loosewell.workshop import hunting

        own: dict[str, Band | None] = {one.name: one.this for one in figures}
        drawn = next(u for u in self.job.bow.inputs if u.key == "force_scale")
        pounds = self.job.weight_lb
        width = self.asked.head_width_in
        if width is None and self.arrow is not None:
            width = self.arrow.point_width_in
        values = {
            "draw weight": Band(
                round(pounds, 1), round(pounds * (1.0 - 1.28 * drawn.spread), 1),
                round(pounds * (1.0 + 1.28 * drawn.spread), 1),
            ),
            "arrow mass": own["Mass"],
            "grains per pound": own["Grains per pound"],
            "head width": None if width is None else Band(width, width, width),
            "energy": own["Energy at the bow"],
            "speed": own["Speed at the bow"],
        }  # fmt: skip
        return Hunting(
            self._head(model),
            hunting.cold_distance(self.asked.cold, self.asked.circle_in),
            [hunting.beside(rule, values[rule.what], self.today) for rule in self.asked.rules],
        )

    def _head(self, model: ArrowModel) -> Head:
        from loosewell.physics import aero

        feathers = self._feather_area_in2()
        blades = self.job.parts.blade_area / units.INCH**2
        if not blades:
            return Head(
                round(feathers, 2), None, None, None,
                f"Feathers {feathers:.1f} sq in ({feathers * 6.4516:.0f} cm²), one side of all; "
                "the head's area is not known. Give --head-width and --head-length, or record them "
                "with the arrow.",
            )  # fmt: skip
        air = self.job.air
        row = aero.coefficient_rows(model.aero[None], air[0], air[1], np.array([50.0]))[0]
        turn = row[aero.C_NOSE] * row[aero.C_NOSE_ARM]
        straighten = -row[aero.C_FLETCH] * row[aero.C_FLETCH_ARM]
        text = (
            f"Feathers {feathers:.1f} sq in ({feathers * 6.4516:.0f} cm²), one side of all; blades "
            f"{blades:.2f} sq in ({blades * 6.4516:.1f} cm²) seen from the side: "
            f"{feathers / blades:.1f} to 1. At small angles the feathers push to straighten "
            f"{straighten / turn:.1f} times as hard as head and point push to turn; "
            "below 1 the nose swings aside until the shaft's own side catches it."
        )
        return Head(
            round(feathers, 2), round(blades, 2), round(feathers / blades, 2),
            round(float(straighten / turn), 2), text,
        )  # fmt: skip


def kept(way: Way, which: NDArray[np.bool_]) -> Way:
    """The same arrow in some of its worlds."""
    return replace(
        way,
        speed=way.speed[which],
        mass=way.mass[which],
        rows=way.rows[which],
        plain_factor=way.plain_factor[which],
        feather_factor=way.feather_factor[which],
        values={key: value[which] for key, value in way.values.items()},
    )


def _mass_words(mass: float) -> str:
    return f"{mass / units.GRAIN:.0f} gr ({mass * 1e3:.1f} g)"


def _length_words(length_in: float) -> str:
    return f"{length_in:.2f} in ({length_in * 25.4:.0f} mm), nock throat to the back of the point"


def _yards(places: Array) -> str:
    told = band(places, 0)
    return f"{told.low:.0f} to {told.high:.0f} yd out"


def _feathers(words: str, count: int, cut: str) -> str:
    return words if not count else f"{words}, cut {cut}"


def _plain_words(plain: Session) -> str:
    from loosewell.workshop.words import fletching_words

    return (
        f"The plain target arrow beside it: {plain.length_in:.2f} in, {plain.point_gr:.0f} gr "
        f"field point, {fletching_words(plain.parts)}."
    )
