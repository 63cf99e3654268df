"""The main job: which shafts fit this bow and this archer, how sure that is, and what next."""

from __future__ import annotations

import datetime
import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.chance import forecast
from loosewell.chance.priors import Uncertain, sample
from loosewell.errors import BoundRefusal, EngineRefusal
from loosewell.records import Archer, Arrow, Bow, Fletching, Shaft, bounds
from loosewell.workshop import bridge, rules, stops
from loosewell.workshop.answer import (
    Band,
    ChosenArrow,
    InputUsed,
    LaunchPicture,
    MatchAnswer,
    Notice,
    RackShaft,
    RuleOfThumb,
    ShaftChange,
    ShareAtSpine,
)
from loosewell.workshop.bench import Spine, shaft_spine

Array = NDArray[np.float64]
Progress = Callable[[str, float], None]


@dataclass(frozen=True)
class CleanLimits:
    """What makes a shot clean. Few, documented, and the user's to change.

    Modelling choices, no source: a knock of 15 mN·s is what turns the tail of a
    30 g arrow by half a metre a second; eight degrees is what a fletched arrow may
    swing near the bow and still stand nearly straight at 20 yd; three degrees in the
    butt put the nock an inch and a half aside.
    """

    knock_mns: float = 15.0
    swing_deg: float = 8.0
    stand_deg: float = 3.0

    def text(self) -> str:
        """The definition in words."""
        return (
            f"A shot is clean when the tail passes the bow with a knock below "
            f"{self.knock_mns:g} mN·s, the arrow never swings more than {self.swing_deg:g}° off "
            f"its path, and it stands within {self.stand_deg:g}° of its path in the butt."
        )


NOVICE_LIMITS = CleanLimits(knock_mns=25.0, swing_deg=12.0, stand_deg=5.0)
"""For beginners and children, whose slow arrows and loose fingers swing further; a
modelling choice, no source."""


@dataclass(frozen=True)
class Purpose:
    """What a purpose changes in the first engine: distance, point, fletching."""

    name: str
    distance_yd: float
    point_weight_gr: float
    point_kind: str
    fletching_length_in: float
    fletching_height_in: float


PURPOSES = {
    "target": Purpose("target", 20.0, 125.0, "field", 4.0, 0.5),
    "field": Purpose("field", 25.0, 125.0, "field", 4.0, 0.5),
    "hunting": Purpose("hunting", 15.0, 145.0, "broadhead", 5.0, 0.55),
    "small game": Purpose("small game", 15.0, 145.0, "blunt", 5.0, 0.55),
}
"""Common practice, no source."""

SHARE_OF_BEST = 0.85
"""The range reaches as far as the share of clean shots stays above this part of the best."""
LEAST_POINT_GR = 60.0
"""Lightest point proposed as a change. [gr]"""
CLEAR_SHARE = 0.30
"""Below this best share the answer says that no spine stands out."""
WORLDS = 128
SHOTS = 4
SPINES = 15
RACK_WORLDS = 64
RACK_SHOTS = 2
PICTURE_STEPS = 6
LEAST_SPINE, MOST_SPINE = 0.42, 1.45
"""Ends of the sweep as shares of the draw weight. Far above it the engine shows a second
stretch of straight flight, where the shaft no longer bends and leaves to the side along
the plate; archers call that too stiff, and it is left out."""


def match(
    bow: Bow,
    archer: Archer,
    shafts: Sequence[Shaft],
    *,
    arrows: Sequence[Arrow] = (),
    purpose: str = "target",
    distance_yd: float | None = None,
    point_weight_gr: float | None = None,
    length_in: float | None = None,
    fletching: Fletching | None = None,
    limits: CleanLimits | None = None,
    temperature_f: float | None = None,
    altitude_ft: float | None = None,
    wind_left_fps: float | None = None,
    seed: int = 20260211,
    today: datetime.date | None = None,
    progress: Progress | None = None,
) -> MatchAnswer:
    """The whole answer for a bow, an archer and a rack.

    Parameters
    ----------
    bow, archer : Bow, Archer
        The bow with a draw reading, the archer with a draw length.
    shafts : sequence of Shaft
        The rack; may be empty.
    arrows : sequence of Arrow
        Builds on shafts of the rack; such a shaft is judged as it is built.
    purpose : str
        One of PURPOSES.
    distance_yd, point_weight_gr, length_in, fletching : optional
        Where given they replace the purpose's own; length is from the nock throat
        to the back of the point.
    limits : CleanLimits, optional
        What counts as clean.
    temperature_f, altitude_ft, wind_left_fps : float, optional
        Of the day; wind pushing to the archer's left is positive.
    seed : int
        Of the samples; the same seed gives the same answer.
    today : date, optional
        For the age of a child's draw.
    progress : callable, optional
        Called with a word and the fraction done.

    Returns
    -------
    answer : MatchAnswer
        With stops first; after a stop on bow and archer nothing is computed.

    Raises
    ------
    Refusal
        For records from which no answer can be had, in a sentence.
    """
    started = time.perf_counter()
    tell = progress or _silent
    wish = _wish(
        bow, archer, purpose, distance_yd, point_weight_gr, length_in, fletching, limits,
        temperature_f, altitude_ft, wind_left_fps, seed,
    )  # fmt: skip
    today = today or datetime.datetime.now(datetime.UTC).astimezone().date()
    loose = bridge.loose_model(archer)
    draw = next(one for one in loose.inputs if one.key == "draw")
    draw_in, draw_error_in = draw.middle / units.INCH, draw.spread / units.INCH
    if not bow.draw_readings:
        bridge.bow_model(bow, draw_in)  # refuses in a sentence
    invented = bow.invented or archer.invented
    found = stops.stops(bow, archer, draw_in, length_in)
    doubts = stops.warnings(bow, archer, draw_in, draw_error_in, today)
    usual = stops.cautions(archer, purpose, [one.material for one in shafts])
    unfit = [notice for shaft in shafts if (notice := stops.unfit(shaft)) is not None]
    draw_band = Band(
        draw_in,
        draw_in - draw_error_in,
        draw_in + draw_error_in,
        f"as recorded, {archer.draw_method or 'method not recorded'}",
    )
    if found:
        return MatchAnswer(
            bow=bow.name,
            archer=archer.name,
            hand=archer.hand,
            purpose=purpose,
            distance_yd=wish.distance_yd,
            invented=invented,
            stops=found + unfit,
            warnings=doubts,
            cautions=usual,
            true_draw_in=draw_band,
            draw_weight_lb=None,
            clean_definition=wish.limits.text(),
            share_stated_percent=0.0,
            best_share_percent=None,
            spine_range_lb=None,
            spine_range_text="Nothing was computed: settle the stop first.",
            spine_range_definition="",
            next_step=found[0].text,
            seconds=time.perf_counter() - started,
        )

    session = _Session(bow, archer, shafts, arrows, wish, loose, draw_in, tell)
    return session.answer(draw_band, doubts, usual, unfit, invented, started)


@dataclass(frozen=True)
class _Wish:
    """What is asked of the arrow, checked and with the purpose's own values filled in."""

    plan: Purpose
    distance_yd: float
    point_gr: float
    length_in: float | None
    fletching: Fletching
    limits: CleanLimits
    air: Array
    weather: str
    seed: int


def _wish(
    bow: Bow,
    archer: Archer,
    purpose: str,
    distance_yd: float | None,
    point_weight_gr: float | None,
    length_in: float | None,
    fletching: Fletching | None,
    limits: CleanLimits | None,
    temperature_f: float | None,
    altitude_ft: float | None,
    wind_left_fps: float | None,
    seed: int,
) -> _Wish:
    if purpose not in PURPOSES:
        raise BoundRefusal(
            f"Purpose '{purpose}' is not known yet. Accepted are {', '.join(PURPOSES)}."
        )
    plan = PURPOSES[purpose]
    distance_yd = plan.distance_yd if distance_yd is None else distance_yd
    point_gr = plan.point_weight_gr if point_weight_gr is None else point_weight_gr
    if point_weight_gr is None and bow.draw_readings:
        point_gr = min(point_gr, _usual_point_gr(max(r.weight_lb for r in bow.draw_readings)))
    for value, low, high, what, advice in (
        (distance_yd, 3.0, 120.0, "A distance of {} yd is outside 3 to 120 yd.",
         "Give the distance from the shooting line to the butt."),
        (point_gr, 20.0, 500.0, "A point of {} gr is outside 20 to 500 gr.",
         "Weigh the point; grains (gr) are not grams (g)."),
        (temperature_f, -40.0, 130.0, "A temperature of {} °F is outside -40 to 130 °F.",
         "Give the temperature of the air, such as 60 F or 15 C."),
        (altitude_ft, -1500.0, 20000.0, "An altitude of {} ft is outside -1500 to 20000 ft.",
         "Give the height of the place above the sea."),
        (wind_left_fps, -75.0, 75.0, "A wind of {} fps is outside -75 to 75 fps.",
         "Give its speed square to the line of aim, to the left positive."),
    ):  # fmt: skip
        if value is not None and not low <= value <= high:
            raise BoundRefusal(f"{what.format(f'{value:g}')} {advice}")
    if length_in is not None:
        bounds.check(length_in, "arrow.length_in")
    air, weather = bridge.weather_row(temperature_f, altitude_ft, wind_left_fps)
    return _Wish(
        plan,
        distance_yd,
        point_gr,
        length_in,
        fletching
        or Fletching(
            material="feather",
            length_in=plan.fletching_length_in,
            height_in=plan.fletching_height_in,
            count=3,
            angle_deg=2.0,
            rear_in=1.0,
        ),
        limits or (NOVICE_LIMITS if stops.is_novice(archer) else CleanLimits()),
        air,
        weather,
        seed,
    )


def picture_only(
    bow: Bow,
    archer: Archer,
    shafts: Sequence[Shaft] = (),
    *,
    spine_lb: float,
    point_weight_gr: float | None = None,
    length_in: float | None = None,
    purpose: str = "target",
    distance_yd: float | None = None,
    fletching: Fletching | None = None,
) -> LaunchPicture:
    """One shot of a plain parallel shaft by the middle of everything known, for a slider.

    Parameters
    ----------
    bow, archer : Bow, Archer
        As in match.
    shafts : sequence of Shaft
        The rack, for the usual mass of a shaft.
    spine_lb : float
        Of the shaft (26 in span, 2 lb).
    point_weight_gr, length_in, purpose, distance_yd, fletching : optional
        As in match.

    Returns
    -------
    picture : LaunchPicture
        Labelled "this shaft"; its share of clean shots is 100 or 0, for this one shot.

    Raises
    ------
    Refusal
        For a pair that must not shoot, or an arrow the engine cannot follow.
    """
    wish = _wish(
        bow, archer, purpose, distance_yd, point_weight_gr, length_in, fletching, None,
        None, None, None, 1,
    )  # fmt: skip
    bounds.check(spine_lb, "shaft.spine_lb")
    loose = bridge.loose_model(archer)
    draw_in = next(one for one in loose.inputs if one.key == "draw").middle / units.INCH
    if bow.draw_readings:
        found = stops.stops(bow, archer, draw_in, length_in)
        if found:
            raise EngineRefusal(found[0].text, code=found[0].code)
    session = _Session(bow, archer, shafts, (), wish, loose, draw_in, _silent)
    return session.one_picture(spine_lb)


def _silent(word: str, part: float) -> None:
    """Progress for nobody."""


def _usual_point_gr(weight_lb: float) -> float:
    """Heaviest point usual for a bow: light bows throw light points. Common practice, no source."""
    for limit, point in ((22.0, 70.0), (32.0, 100.0)):
        if weight_lb < limit:
            return point
    return 500.0


def _band(values: Array, reason: str = "", digits: int = 6) -> Band:
    """Median and the stretch that holds eight of ten values."""
    low, middle, high = np.quantile(values, (0.1, 0.5, 0.9))
    return Band(
        round(float(middle), digits), round(float(low), digits), round(float(high), digits), reason
    )


class _Session:
    """One match at work: the samples, the models, and the steps from sweep to picture."""

    def __init__(
        self,
        bow: Bow,
        archer: Archer,
        shafts: Sequence[Shaft],
        arrows: Sequence[Arrow],
        wish: _Wish,
        loose: bridge.LooseModel,
        draw_in: float,
        tell: Progress,
    ) -> None:
        self.bow_record, self.archer = bow, archer
        self.shafts, self.arrows = list(shafts), list(arrows)
        self.plan, self.distance_yd = wish.plan, wish.distance_yd
        self.distance = wish.distance_yd * units.YARD
        self.point_gr, self.fletching = wish.point_gr, wish.fletching
        self.limits, self.seed = wish.limits, wish.seed
        self.air, self.weather = wish.air, wish.weather
        self.tell = tell
        self.loose = loose
        self.draw_in = draw_in
        self.launches = 0
        length_in, plan, point_gr, fletching = (
            wish.length_in,
            wish.plan,
            wish.point_gr,
            wish.fletching,
        )
        scatter = next(one for one in loose.shots if one.key == "draw_scatter").spread
        draw = next(one for one in loose.inputs if one.key == "draw")
        room_in = 2.6 * math.hypot(scatter, draw.spread) / units.INCH
        self.bow = bridge.bow_model(bow, draw_in, room_in)
        self.minimum_in = stops.minimum_length_in(archer)
        self.length_in = length_in if length_in is not None else math.ceil(self.minimum_in * 4) / 4
        self.parts = bridge.parts(point_gr, fletching, plan.point_kind)
        self.spines = [shaft_spine(one) if one.bench_readings else None for one in self.shafts]
        self.mass_per_inch, self.mass_spread, self.mass_reason = self._usual_mass()
        shared = [*self.bow.inputs, *loose.inputs]
        self.shared = shared
        self.sweep_inputs = [
            *shared,
            Uncertain("mass_scale", 1.0, self.mass_spread, "log"),
        ]
        weight = self.bow.weight_at(draw_in)
        self.weight_lb = weight
        low = max(12.0, LEAST_SPINE * weight)
        self.spine = np.linspace(low, max(MOST_SPINE * weight, weight + 22.0), SPINES)
        self._tune_nocking_point()

    def _tune_nocking_point(self) -> None:
        """Set the string's path so that the plain arrow leaves level: the nocking point as tuned.

        What is wanted is the sideways match; an untuned nocking point would drown it, and is
        set right first at the range too.
        """
        slopes = np.linspace(-0.012, 0.012, 9)
        values = {one.key: np.full(len(slopes), one.middle) for one in self.sweep_inputs}
        values["nock_path"] = slopes
        values["stiffness_scale"] = np.full(len(slopes), 0.9 * self.weight_lb / 50.0)
        shots = self._shoot(
            [self._generic()], np.zeros(len(slopes), dtype=np.int64), values, "nocking point"
        )
        from loosewell.physics import launch as kernel

        out = shots.launch
        speed = out[:, kernel.SPEED]
        tilt = out[:, kernel.PITCH] - out[:, kernel.Z_VELOCITY] / speed
        # A fletched arrow swings about 0.22 rad for each metre flown, whatever its speed.
        swing = np.hypot(tilt, out[:, kernel.PITCH_RATE] / (0.22 * speed))
        self.nock_path = float(slopes[int(np.argmin(swing))])
        for inputs in (self.shared, self.sweep_inputs):
            for i, one in enumerate(inputs):
                if one.key == "nock_path":
                    inputs[i] = replace(one, middle=self.nock_path)

    def _nothing_clean(self, shots: bridge.Shots) -> EngineRefusal:
        """The refusal when not one shot came out clean, with what went wrong most often."""
        wrong = shots.status[shots.status != 0]
        why = self.limits.text()
        if 2 * len(wrong) > len(shots.status):
            values, counts = np.unique(wrong, return_counts=True)
            worst = int(values[int(np.argmax(counts))])
            why = f"In most of them {bridge.STATUS_SENTENCES.get(worst, f'status {worst}')}."
        return EngineRefusal(
            f"Of {len(shots.status)} shots of {self.archer.name} with {self.bow_record.name} "
            f"reckoned over spines from {self.spine[0]:.0f} to {self.spine[-1]:.0f} lb (26 in "
            f"span, 2 lb) not one comes out clean at {self.distance_yd:g} yd. {why} Check draw, "
            "draw weights and point, or ask for a shorter distance."
        )

    # -------------------------------------------------------------------- the pieces

    def _usual_mass(self) -> tuple[float, float, str]:
        """Mass an inch of the wooden shafts on the rack, or of mean arrow wood. [gr/in]"""
        known = [
            one.weight_gr / one.length_in
            for one in self.shafts
            if one.weight_gr and one.length_in and (one.kind or "solid") == "solid"
        ]
        if len(known) >= 5:
            middle = float(np.median(known))
            return middle, max(float(np.std(known)) / middle, 0.03), "median of the rack"
        return 11.5, 0.14, "mean arrow wood, 11/32 in (handbook woods)"

    def _values(
        self, inputs: Sequence[Uncertain], worlds: int, shots: int, seed: int
    ) -> tuple[dict[str, Array], dict[str, Array]]:
        """Samples of the worlds, and of every shot in every world."""
        world = sample(list(inputs), worlds, seed)
        each = sample(list(self.loose.shots), worlds * shots, seed + 1)
        values = {key: np.repeat(value, shots) for key, value in world.items()}
        values.update(each)
        return world, values

    def _shoot(
        self,
        models: Sequence[bridge.ArrowModel],
        index: NDArray[np.int64],
        values: dict[str, Array],
        word: str,
        frame_every: int = 0,
    ) -> bridge.Shots:
        self.launches += len(index)
        return bridge.shoot(
            self.bow,
            models,
            index,
            values,
            self.archer.hand,
            self.distance,
            self.air,
            frame_every=frame_every,
            progress=lambda part: self.tell(word, part),
        )

    def _clean(self, shots: bridge.Shots) -> NDArray[np.bool_]:
        stand = np.hypot(shots.stand_left, shots.stand_high)
        from loosewell.physics import flight

        with np.errstate(invalid="ignore"):
            return np.asarray(
                (shots.status == 0)
                & (shots.tail_knock * 1e3 <= self.limits.knock_mns)
                & (np.degrees(shots.flight[:, flight.LARGEST_ANGLE]) <= self.limits.swing_deg)
                & (np.degrees(stand) <= self.limits.stand_deg)
            )

    def _generic(self) -> bridge.ArrowModel:
        """A plain parallel shaft of the usual mass, 50 lb, scaled in the sweep."""
        from loosewell.physics import spine

        mass = self.mass_per_inch * units.GRAIN / units.INCH
        profile = bridge.uniform_profile(
            spine.stiffness_from_spine_pounds(50.0),
            mass,
            11.0 / 32.0 * units.INCH,
            (self.length_in + 1.0) * units.INCH,
        )
        return bridge.arrow_model(profile, self.length_in * units.INCH, self.parts)

    # --------------------------------------------------------------------- the answer

    def answer(
        self,
        draw_band: Band,
        doubts: list[Notice],
        usual: list[Notice],
        unfit: list[Notice],
        invented: bool,
        started: float,
    ) -> MatchAnswer:
        sweep = self._sweep()
        rack = self._rack(sweep)
        chosen, model = self._choose(sweep, rack)
        light = stops.mass_warning(self.bow_record, chosen.total_weight.middle, sweep.weight.middle)
        if light is not None:
            doubts = [*doubts, light]
        thumb = rules.rules_of_thumb(
            sweep.weight.middle,
            self.draw_in,
            self.length_in,
            self.point_gr,
            self.bow_record.plate_offset_in,
            self.bow_record.make,
            self.bow_record.string_material,
        )
        assert sweep.band is not None
        pictures = self._pictures(sweep, rack, model, chosen)
        spread_lb = max(one.spine_lb for one in thumb) - min(one.spine_lb for one in thumb)
        self.tell("done", 1.0)
        return MatchAnswer(
            bow=self.bow_record.name,
            archer=self.archer.name,
            hand=self.archer.hand,
            purpose=self.plan.name,
            distance_yd=self.distance_yd,
            invented=invented,
            stops=unfit,
            warnings=doubts,
            cautions=usual,
            true_draw_in=draw_band,
            draw_weight_lb=sweep.weight,
            clean_definition=self.limits.text(),
            share_stated_percent=round(100.0 * sweep.least, 1),
            best_share_percent=round(100.0 * sweep.best_share, 1),
            spine_range_lb=sweep.band,
            spine_range_text=sweep.text,
            spine_range_definition=sweep.definition,
            curve=[
                ShareAtSpine(
                    round(float(s), 2),
                    round(100 * float(a), 1),
                    round(100 * float(b), 1),
                    round(100 * float(c), 1),
                )
                for s, a, b, c in zip(
                    sweep.curve.spine,
                    sweep.curve.share,
                    sweep.curve.low,
                    sweep.curve.high,
                    strict=True,
                )
            ],
            inputs=self._inputs(sweep),
            narrow_next=self._narrow(sweep),
            rules=thumb,
            rules_spread_lb=round(spread_lb, 1),
            rules_against_engine=_against(thumb, sweep.band, spread_lb),
            rack=rack,
            chosen=chosen,
            next_step=self._next_step(sweep, rack, chosen),
            pictures=pictures,
            launches=self.launches,
            seconds=round(time.perf_counter() - started, 2),
            weather=self.weather,
            forgiveness_lb=round(sweep.band.high - sweep.band.low, 1),
            fall_weak_percent_per_lb=_fall(sweep.curve, -1),
            fall_stiff_percent_per_lb=_fall(sweep.curve, 1),
            engine=(
                f"{bridge.ELEMENTS} beam elements, two planes, {WORLDS} worlds of {SHOTS} shots "
                f"for each of {SPINES} spines, seed {self.seed}"
            ),
        )

    def _sweep(self) -> _Sweep:
        world, values = self._values(self.sweep_inputs, WORLDS, SHOTS, self.seed)
        n = WORLDS * SHOTS
        everything = {key: np.tile(value, SPINES) for key, value in values.items()}
        everything["stiffness_scale"] = np.repeat(self.spine / 50.0, n)
        model = self._generic()
        shots = self._shoot([model], np.zeros(n * SPINES, dtype=np.int64), everything, "spines")
        clean = self._clean(shots).reshape(SPINES, WORLDS, SHOTS)
        curve = forecast.share_curve(self.spine, clean)
        best = int(np.argmax(curve.share))
        best_share = float(curve.share[best])
        if best_share <= 0.0:
            raise self._nothing_clean(shots)
        least = SHARE_OF_BEST * best_share
        spread = forecast.spread_of_range(self.spine, clean, world)
        stretch = forecast.range_over(self.spine, curve.share, least)
        assert stretch is not None
        low, high, open_low, open_high = stretch
        inside = (self.spine >= low) & (self.spine <= high)
        weights = curve.share[inside] if inside.any() else np.array([1.0])
        places = self.spine[inside] if inside.any() else np.array([self.spine[best]])
        middle = float(np.clip(np.sum(weights * places) / np.sum(weights), low, high))
        drawn = np.clip(world["draw"], self.bow.brace + 0.05, self.bow.top)
        force = np.interp(
            drawn, np.linspace(self.bow.brace, self.bow.top, len(self.bow.force)), self.bow.force
        )
        weight = _band(
            force * world["force_scale"] / units.POUND_FORCE,
            f"at this archer's draw, from {_readings_words(len(self.bow_record.draw_readings))}, "
            "with the errors of scale and draw",
            2,
        )
        definition = (
            f"Spines (26 in span, 2 lb) for which at least {100 * least:.0f} of 100 shots come out "
            f"clean ({100 * SHARE_OF_BEST:.0f} % of the best spine's {100 * best_share:.0f}), "
            "averaged over everything that is not known exactly, for a parallel shaft "
            f"cut to {self.length_in:.2f} in with a {self.point_gr:.0f} gr point."
        )
        below = "from below " if open_low else ""
        above = " or more" if open_high else ""
        band = Band(round(middle, 1), round(low, 1), round(high, 1), definition)
        later = 31.4992
        text = (
            f"{below}{band.low:.0f} to {band.high:.0f} lb{above} (26 in span, 2 lb), "
            f"best near {band.middle:.0f} lb; the same as {later / band.high:.3f} to "
            f"{later / band.low:.3f} in (28 in span, 1.94 lb)"
        )
        if best_share < CLEAR_SHARE:
            text += (
                f". No spine stands out: even the best leaves only {100 * best_share:.0f} of 100 "
                "shots clean by these limits, so bow, loose or point weigh more than the spine"
            )
        return _Sweep(
            world, curve, spread, band, text, definition, least, best_share, weight, shots, clean,
            model,
        )  # fmt: skip

    # ----------------------------------------------------------------------- the rack

    def _build(self, shaft: Shaft) -> _Build | str:
        """How a shaft of the rack is judged, or why it cannot be."""
        arrow = next((one for one in self.arrows if one.shaft == shaft.name), None)
        length_in = self.length_in
        part = self.parts
        if arrow is not None:
            length_in = arrow.length_in if arrow.length_in is not None else length_in
            part = bridge.parts(
                arrow.point_weight_gr if arrow.point_weight_gr is not None else self.point_gr,
                arrow.fletching or self.fletching,
                arrow.point_kind or self.plan.point_kind,
                arrow.nock_kind,
                arrow.nock_weight_gr,
            )
            part = bridge.fitted(part, arrow)
        if shaft.length_in is None:
            return "length not measured"
        if shaft.length_in < length_in - 1e-6:
            if shaft.length_in < self.minimum_in - 1e-6:
                return "too short"
            length_in = shaft.length_in
        if length_in < self.minimum_in - 1e-6:
            return "too short"
        return _Build(length_in, part, arrow)

    def _rack(self, sweep: _Sweep) -> list[RackShaft]:
        rows: dict[int, RackShaft] = {}
        judged: list[tuple[int, _Build, bridge.Profile, Spine]] = []
        for i, shaft in enumerate(self.shafts):
            spine = self.spines[i]
            band = (
                None
                if spine is None
                else Band(spine.spine_26in_2lb_lb, spine.low, spine.high, "; ".join(spine.reasons))
            )
            build = self._build(shaft)
            acts, note = "not measured", "hang a load on it: no spine without a bench reading"
            if stops.unfit(shaft) is not None:
                acts, note = "unfit", "failed its inspection"
            elif build == "too short":
                acts = "too short"
                note = f"needs {self.minimum_in:.2f} in from nock throat to back of point"
            elif build == "length not measured":
                note = "measure its length"
            elif spine is not None:
                assert isinstance(build, _Build)
                profile = bridge.shaft_profile(shaft, spine.bending_stiffness, spine.relative_error)
                judged.append((i, build, profile, spine))
            rows[i] = RackShaft(
                shaft.name,
                shaft.material or "",
                band,
                None if spine is None else spine.deflection_28in_1_94lb_in,
                shaft.weight_gr,
                None,
                acts,  # type: ignore[arg-type]
                note,
            )
        if judged:
            self._judge(judged, rows, sweep)
        return sorted(
            rows.values(), key=lambda row: (row.chance_percent is None, -(row.chance_percent or 0))
        )

    def _chances(
        self,
        models: Sequence[bridge.ArrowModel],
        profiles: Sequence[bridge.Profile],
        scales: Array,
        word: str,
        worlds: int = RACK_WORLDS,
    ) -> Array:
        """Chance of a clean shot of each model, stiffness scaled by scales."""
        inputs = [
            *self.shared,
            Uncertain("own_stiffness", 0.0, 1.0),
            Uncertain("own_mass", 0.0, 1.0),
        ]
        _, values = self._values(inputs, worlds, RACK_SHOTS, self.seed + 7)
        n, count = worlds * RACK_SHOTS, len(models)
        everything = {key: np.tile(value, count) for key, value in values.items()}
        stiff = np.repeat([one.stiffness_error for one in profiles], n)
        heavy = np.repeat([one.mass_error for one in profiles], n)
        everything["stiffness_scale"] = np.repeat(scales, n) * np.exp(
            stiff * everything.pop("own_stiffness")
        )
        everything["mass_scale"] = np.exp(heavy * everything.pop("own_mass"))
        shots = self._shoot(models, np.repeat(np.arange(count), n), everything, word)
        return np.asarray(self._clean(shots).reshape(count, n).mean(axis=1))

    def _judge(
        self,
        judged: list[tuple[int, _Build, bridge.Profile, Spine]],
        rows: dict[int, RackShaft],
        sweep: _Sweep,
    ) -> None:
        models = [
            bridge.arrow_model(profile, build.length_in * units.INCH, build.parts)
            for _, build, profile, _ in judged
        ]
        profiles = [one[2] for one in judged]
        least = max(sweep.least, SHARE_OF_BEST * CLEAR_SHARE)
        ones = np.ones(len(judged))
        chance = self._chances(models, profiles, ones, "rack")
        # Which way is better? The engine is asked, with the same shaft weaker and stiffer.
        doubtful = [k for k in range(len(judged)) if chance[k] < least]
        leaning = {}
        if doubtful:
            some = [models[k] for k in doubtful]
            these = [profiles[k] for k in doubtful]
            few = RACK_WORLDS // 2
            weaker = self._chances(some, these, np.full(len(some), 0.80), "weaker", few)
            stiffer = self._chances(some, these, np.full(len(some), 1.25), "stiffer", few)
            for place, k in enumerate(doubtful):
                leaning[k] = weaker[place] - stiffer[place]
        near = []
        for k, (i, _, _, spine) in enumerate(judged):
            percent = round(100.0 * float(chance[k]), 0)
            acts = "fits"
            note = self._shaft_note(self.shafts[i], judged[k][1], sweep.weight.middle)
            if spine.spine_26in_2lb_lb > self.spine[-1]:
                # Stiff as a rod it may fly straight, but off to the side of the aim.
                acts = "acts stiff"
                note = "; ".join(filter(None, [note, "far stiffer than the bow bends"]))
            elif chance[k] < least:
                assert sweep.band is not None
                lean = leaning[k]
                if abs(lean) < 0.04:
                    lean = spine.spine_26in_2lb_lb - sweep.band.middle
                acts = "acts stiff" if lean > 0 else "acts weak"
                if chance[k] > 0.4 * least:
                    near.append((k, acts))
            rows[i] = RackShaft(
                **{
                    **rows[i].__dict__,
                    "chance_percent": percent,
                    "acts": acts,
                    "note": note,
                }
            )
        for k, change in self._changes(judged, near, chance, least, sweep.weight.middle).items():
            i = judged[k][0]
            rows[i] = RackShaft(**{**rows[i].__dict__, "change": change})

    def _whole_gr(self, shaft: Shaft, length_in: float, part: bridge.Parts) -> float | None:
        """Mass of the arrow built, or None when the shaft was not weighed."""
        if shaft.weight_gr is None or shaft.length_in is None:
            return None
        own = shaft.weight_gr * length_in / shaft.length_in
        return own + (part.point_mass + part.nock_mass + part.fletching_mass) / units.GRAIN

    def _light(
        self, shaft: Shaft, length_in: float, part: bridge.Parts, weight_lb: float
    ) -> float | None:
        """Mass of the arrow when it is too light for the bow, else None."""
        whole = self._whole_gr(shaft, length_in, part)
        if whole is None or stops.mass_warning(self.bow_record, whole, weight_lb) is None:
            return None
        return whole

    def _shaft_note(self, shaft: Shaft, build: _Build, weight_lb: float) -> str:
        notes = []
        if build.arrow is not None:
            notes.append(f"as built: {build.arrow.name}, {build.length_in:.2f} in")
        elif build.length_in < self.length_in - 1e-6:
            notes.append(f"taken at its full {build.length_in:.2f} in")
        light = self._light(shaft, build.length_in, build.parts, weight_lb)
        if light is not None:
            least_gr = self.bow_record.maker_minimum_arrow_gr
            if least_gr is not None:
                notes.append(f"too light: {light:.1f} gr, the bow's maker asks for {least_gr:g}")
            else:
                notes.append(
                    f"light: {light / weight_lb:.2f} grains per pound, usual are at least "
                    f"{stops.USUAL_LEAST_GRAINS_PER_POUND:.0f}"
                )
        if shaft.weight_gr is None:
            notes.append("not weighed: the mass of mean arrow wood is assumed")
        if shaft.inspection is None:
            notes.append("not inspected yet")
        return "; ".join(notes)

    @staticmethod
    def _length_words(length_in: float, more: float) -> str:
        verb = "cut to" if more < 0.0 else "leave it"
        return f"{verb} {length_in + more:.2f} in" + ("" if more < 0.0 else " long")

    def _changes(
        self,
        judged: list[tuple[int, _Build, bridge.Profile, Spine]],
        near: list[tuple[int, str]],
        chance: Array,
        least: float,
        weight_lb: float,
    ) -> dict[int, ShaftChange]:
        """The cheapest change for each near miss that brings it over the limit, or helps most.

        No change is tried that would make the arrow too light for the bow, or lighter if it is.
        """
        tries: list[tuple[int, str, float, float]] = []
        for k, acts in near:
            build, profile = judged[k][1], judged[k][2]
            point = build.parts.point_mass / units.GRAIN
            blank_in = profile.length / units.INCH
            length_in = build.length_in
            points: tuple[float, ...] = (25.0, 50.0, 75.0)
            lengths: tuple[float, ...] = (0.5, 1.0, 1.5)
            if acts == "acts weak":
                points, lengths = (-25.0, -50.0), (-0.5, -1.0)
            tries += [
                (k, f"point {point + more:.0f} gr", length_in, point + more)
                for more in points
                if point + more >= LEAST_POINT_GR
            ]
            if build.arrow is None or lengths[0] < 0.0:
                tries += [
                    (k, self._length_words(length_in, more), length_in + more, point)
                    for more in lengths
                    if self.minimum_in - 1e-6 <= length_in + more <= blank_in + 1e-6
                ]

        def goes(one: tuple[int, str, float, float]) -> bool:
            k, _, length_in, point = one
            i, build = judged[k][0], judged[k][1]
            lighter = length_in < build.length_in or point < build.parts.point_mass / units.GRAIN
            part = bridge.with_point(build.parts, point)
            return not lighter or self._light(self.shafts[i], length_in, part, weight_lb) is None

        tries = [one for one in tries if goes(one)]
        if not tries:
            return {}
        models, profiles = [], []
        for k, _, length_in, point in tries:
            build, profile = judged[k][1], judged[k][2]
            part = bridge.with_point(build.parts, point)
            models.append(bridge.arrow_model(profile, length_in * units.INCH, part))
            profiles.append(profile)
        after = self._chances(models, profiles, np.ones(len(tries)), "changes", RACK_WORLDS // 2)
        found: dict[int, ShaftChange] = {}
        for k, _ in near:
            own = [(t, float(after[t])) for t, one in enumerate(tries) if one[0] == k]
            own = [one for one in own if one[1] >= chance[k] + 0.08]
            if not own:
                continue
            reaching = [one for one in own if one[1] >= least]
            # Tries stand in order of cost: points first, then length; the smallest step first.
            t, reached = reaching[0] if reaching else max(own, key=lambda one: one[1])
            _, what, length_in, point = tries[t]
            found[k] = ShaftChange(
                what,
                round(length_in, 2),
                round(point, 1),
                round(100.0 * float(chance[k])),
                round(100.0 * reached),
            )
        return found

    # -------------------------------------------------------------------- the arrow

    def _best(self, rack: list[RackShaft], sweep: _Sweep) -> RackShaft | None:
        """The shaft to build on: it fits, is not too light, and was looked over, in that order."""

        def rank(row: RackShaft) -> tuple[bool, bool, float]:
            shaft = next(one for one in self.shafts if one.name == row.shaft)
            build = self._build(shaft)
            assert isinstance(build, _Build)
            light = self._light(shaft, build.length_in, build.parts, sweep.weight.middle)
            return light is not None, shaft.inspection is None, -(row.chance_percent or 0.0)

        return min((row for row in rack if row.acts == "fits"), key=rank, default=None)

    def _choose(
        self, sweep: _Sweep, rack: list[RackShaft]
    ) -> tuple[ChosenArrow, tuple[bridge.ArrowModel, bridge.Profile | None]]:
        """The best sound shaft of the rack, or a shaft to look for when none fits."""
        best = self._best(rack, sweep)
        inputs = self.sweep_inputs
        profile = None
        if best is not None:
            i = next(k for k, one in enumerate(self.shafts) if one.name == best.shaft)
            shaft, spine = self.shafts[i], self.spines[i]
            build = self._build(shaft)
            assert isinstance(build, _Build)
            assert spine is not None
            profile = bridge.shaft_profile(shaft, spine.bending_stiffness, spine.relative_error)
            model = bridge.arrow_model(profile, build.length_in * units.INCH, build.parts)
            name, length_in, part = shaft.name, build.length_in, build.parts
            mass_error = profile.mass_error
            inputs = [*self.shared, Uncertain("mass_scale", 1.0, mass_error, "log")]
        else:
            assert sweep.band is not None
            model = sweep.model
            name = f"a shaft of {sweep.band.low:.0f} to {sweep.band.high:.0f} lb, not on the rack"
            length_in, part = self.length_in, self.parts
            mass_error = self.mass_spread
        _, values = self._values(inputs, RACK_WORLDS, 1, self.seed + 11)
        scale = 1.0
        if best is None:
            assert sweep.band is not None
            scale = sweep.band.middle / 50.0
        values["stiffness_scale"] = np.full(RACK_WORLDS, scale)
        shots = self._shoot([model], np.zeros(RACK_WORLDS, dtype=np.int64), values, "arrow")
        from loosewell.physics import launch as kernel

        good = shots.status == 0
        if not good.any():
            raise self._nothing_clean(shots)
        speed = shots.launch[good, kernel.SPEED]
        shaft_mass = model.mass - (part.point_mass + part.nock_mass + part.fletching_mass)
        mass = shaft_mass * values["mass_scale"] + (model.mass - shaft_mass)
        parts_error = 3.0 * units.GRAIN
        mass = (
            mass
            + parts_error
            * np.linspace(-1.0, 1.0, RACK_WORLDS)[
                np.argsort(np.random.default_rng(self.seed).random(RACK_WORLDS))
            ]
        )
        weight = np.asarray(values["force_scale"]) * self.weight_lb
        length = model.length
        balance = np.array([model.balance + units.INCH * d for d in (-0.15, 0.0, 0.15)])
        foc = 100.0 * (balance - 0.5 * length) / length
        kept = mass[good]
        energy = 0.5 * kept * speed**2
        momentum = kept * speed
        arrow = ChosenArrow(
            shaft=name,
            cut_length_in=round(length_in, 2),
            cut_length_definition="nock throat to the back of the point",
            minimum_length_in=round(self.minimum_in, 2),
            point_weight_gr=round(part.point_mass / units.GRAIN, 1),
            fletching=_fletching_words(part),
            total_weight=_band(mass / units.GRAIN, "shaft as weighed, parts as usual", 1),
            grains_per_pound=_band(mass / units.GRAIN / weight, "over the draw weight", 2),
            balance_from_nock_throat_in=_band(balance / units.INCH, "parts not yet weighed", 2),
            foc_percent=_band(foc, "from the balance", 1),
            foc_definition=(
                "100 × (balance - half the length) / length, both from the nock throat, the length "
                "to the back of the point"
            ),
            speed_fps=_band(speed / units.FPS, "from draw weight, stroke and virtual mass", 1),
            energy_ftlb=_band(energy / units.FOOT_POUND, "at the bow", 2),
            momentum_slug_fps=_band(momentum / units.SLUG / units.FPS, "at the bow", 4),
            momentum_kg_mps=_band(momentum, "at the bow", 3),
        )
        return arrow, (model, profile)

    # ------------------------------------------------------------------ the pictures

    def _pictures(
        self,
        sweep: _Sweep,
        rack: list[RackShaft],
        chosen: tuple[bridge.ArrowModel, bridge.Profile | None],
        arrow: ChosenArrow | None,
    ) -> list[LaunchPicture]:
        assert sweep.band is not None
        model, profile = chosen
        fits_lb = sweep.band.middle
        fits_share = float(np.interp(fits_lb, sweep.curve.spine, sweep.curve.share))
        if profile is not None:
            row = next(
                k
                for k, one in enumerate(self.shafts)
                if arrow is not None and one.name == arrow.shaft
            )
            spine = self.spines[row]
            assert spine is not None
            fits_lb = spine.spine_26in_2lb_lb
            fits_share = next(
                (row.chance_percent or 0.0) / 100.0
                for row in rack
                if arrow is not None and row.shaft == arrow.shaft
            )
        share = sweep.curve.share
        low = int(np.argmin(np.where(self.spine < sweep.band.low, share, 9.0)))
        high = int(np.argmin(np.where(self.spine > sweep.band.high, share, 9.0)))
        # Where the range is open, a picture of its other side lies beyond the sweep.
        weak_lb = float(self.spine[low])
        if weak_lb >= min(sweep.band.low, fits_lb):
            weak_lb = 0.6 * min(sweep.band.low, fits_lb)
        stiff_lb = float(self.spine[high])
        if stiff_lb <= max(sweep.band.high, fits_lb):
            stiff_lb = 1.5 * max(sweep.band.high, fits_lb)
        best = "fits" if sweep.best_share >= CLEAR_SHARE else "no arrow fits well"
        wanted: list[tuple[str, float, bridge.ArrowModel, float]] = [
            (best, fits_lb, model, 1.0 if profile is not None else fits_lb / 50.0),
            ("too weak", weak_lb, sweep.model, weak_lb / 50.0),
            ("too stiff", stiff_lb, sweep.model, stiff_lb / 50.0),
        ]
        middle = {one.key: np.full(3, one.middle) for one in self.sweep_inputs}
        middle["stiffness_scale"] = np.array([one[3] for one in wanted])
        models = [model, sweep.model]
        index = np.array([0, 1, 1], dtype=np.int64)
        shots = self._shoot(models, index, middle, "pictures", frame_every=1)
        out = []
        for k, (label, lb, own, _) in enumerate(wanted):
            at = int(np.argmin(np.abs(self.spine - lb)))
            n = WORLDS * SHOTS
            stand = np.degrees(sweep.shots.stand_left[at * n : (at + 1) * n])
            stand = stand[np.isfinite(stand)]
            out.append(
                picture(
                    label,
                    lb,
                    own,
                    shots,
                    k,
                    hand=self.archer.hand,
                    plate_offset=float(middle["plate_offset"][0]),
                    brace=self.bow.brace,
                    draw=float(middle["draw"][0]),
                    bow_length_in=self.bow_record.length_in
                    or bridge.BOW_LENGTH_IN[self.bow_record.make or "plain wooden"],
                    distance_yd=self.distance_yd,
                    point_gr=self.point_gr if k else own.parts.point_mass / units.GRAIN,
                    stand_range=(
                        float(np.quantile(stand, 0.1)),
                        float(np.quantile(stand, 0.9)),
                    ),
                    share=fits_share if k == 0 else float(np.interp(lb, sweep.curve.spine, share)),
                    knock_limit_mns=self.limits.knock_mns,
                )
            )
        return out

    def one_picture(self, spine_lb: float) -> LaunchPicture:
        """One shot of a plain shaft of that spine, by the middle of every input."""
        model = self._generic()
        values = {one.key: np.full(1, one.middle) for one in self.sweep_inputs}
        values["stiffness_scale"] = np.full(1, spine_lb / 50.0)
        shots = self._shoot([model], np.zeros(1, dtype=np.int64), values, "picture", frame_every=1)
        if shots.status[0] != 0:
            raise refuse_status(int(shots.status[0]))
        stand = math.degrees(float(shots.stand_left[0]))
        return picture(
            "this shaft",
            spine_lb,
            model,
            shots,
            0,
            hand=self.archer.hand,
            plate_offset=float(values["plate_offset"][0]),
            brace=self.bow.brace,
            draw=float(values["draw"][0]),
            bow_length_in=self.bow_record.length_in
            or bridge.BOW_LENGTH_IN[self.bow_record.make or "plain wooden"],
            distance_yd=self.distance_yd,
            point_gr=self.point_gr,
            stand_range=(stand, stand),
            share=float(self._clean(shots)[0]),
            knock_limit_mns=self.limits.knock_mns,
        )

    # --------------------------------------------------------------------- the words

    def _inputs(self, sweep: _Sweep) -> list[InputUsed]:
        notes = [*self.bow.notes, *self.loose.notes]
        notes.append(
            bridge.Assumed(
                "mass_scale",
                "Mass of a shaft of a given spine",
                f"{self.mass_per_inch:.1f} gr/in, {self.mass_reason}",
                f"±{100 * self.mass_spread:.0f} %",
                self.mass_reason != "median of the rack",
                "weigh and bend the shafts of the rack",
                0.02,
            )
        )
        by_input = sweep.spread.by_input
        rows = [
            InputUsed(
                one.name,
                one.value,
                one.error,
                one.assumed,
                round(100.0 * by_input.get(one.key, 0.0), 1),
                one.how_to_measure,
            )
            for one in notes
        ]
        rows.append(
            InputUsed(
                "The bow's own tolerance and the scatter of the loose",
                "computed",
                "",
                False,
                round(100.0 * sweep.spread.within, 1),
                "a steadier loose widens what fits; it is no error",
            )
        )
        if sweep.spread.rest > 0.005:
            rows.append(
                InputUsed(
                    "Several inputs together",
                    "computed",
                    "",
                    False,
                    round(100.0 * sweep.spread.rest, 1),
                )
            )
        return sorted(rows, key=lambda row: -row.share_of_width_percent)

    def _narrow(self, sweep: _Sweep) -> str:
        """The one measurement that would narrow the range most, and by how much."""
        assert sweep.band is not None
        width = sweep.band.high - sweep.band.low
        notes = {one.key: one for one in [*self.bow.notes, *self.loose.notes]}
        gains = []
        for one in self.shared:
            note = notes.get(one.key)
            if note is None or note.measured_error <= 0.0 or one.spread <= 0.0:
                continue
            left = min(1.0, note.measured_error / one.spread)
            gain = sweep.spread.by_input.get(one.key, 0.0) * (1.0 - left**2)
            gains.append((gain, note))
        gain, note = max(gains, key=lambda pair: pair[0], default=(0.0, None))
        narrower = width * math.sqrt(max(1.0 - gain, 0.0))
        if note is not None and width - narrower >= 0.5:
            return (
                f"{note.name}: {note.how_to_measure}. The range would narrow from {width:.1f} lb "
                f"wide to about {narrower:.1f} lb."
            )
        text = "No single bench measurement would narrow the range by half a pound."
        if sweep.spread.within > 0.5:
            text += " Most of its width is what the bow forgives and the loose scatters."
        unseen = [
            (share, notes[key].name)
            for key, share in sweep.spread.by_input.items()
            if key in notes and notes[key].measured_error <= 0.0 and share >= 0.01
        ]
        if unseen:
            text += (
                f" Of what no bench can measure, “{max(unseen)[1]}” costs most; only shooting "
                "shows it."
            )
        return text

    def _next_step(self, sweep: _Sweep, rack: list[RackShaft], chosen: ChosenArrow) -> str:
        fitting = [row for row in rack if row.acts == "fits"]
        if not fitting and sweep.best_share < CLEAR_SHARE:
            return (
                "Build nothing for this pair yet: no spine stands out. Try a shorter distance, a "
                "heavier or lighter point, or another bow for this archer, and ask again."
            )
        if not fitting:
            return (
                "No measured shaft on the rack fits as it is: look for "
                f"{chosen.shaft}, weigh and bend "
                "it, and ask again."
            )
        best = next((row for row in fitting if row.shaft == chosen.shaft), fitting[0])
        spare = ""
        shaft = next(one for one in self.shafts if one.name == best.shaft)
        built = any(one.shaft == best.shaft for one in self.arrows)
        if built:
            return (
                f"Shoot the arrow on shaft {best.shaft} as it is: six fletched shots at 10 yd, "
                "note where they land and how they stand, and change nothing until then."
            )
        if shaft.length_in is not None and shaft.length_in >= chosen.cut_length_in + 0.9:
            spare = " Leave it an inch longer at first: cutting cannot be undone."
        inspect = " Inspect it first." if shaft.inspection is None else ""
        return (
            f"Build one arrow on shaft {best.shaft}: "
            f"{chosen.cut_length_in:.2f} in from nock throat "
            f"to back of point, {chosen.point_weight_gr:.0f} gr "
            f"point.{spare}{inspect} Shoot it six "
            "times at 10 yd and note where it lands and how it stands before building more."
        )


@dataclass(frozen=True)
class _Build:
    length_in: float
    parts: bridge.Parts
    arrow: Arrow | None


@dataclass(frozen=True)
class _Sweep:
    world: dict[str, Array]
    curve: forecast.Curve
    spread: forecast.Spread
    band: Band | None
    text: str
    definition: str
    least: float
    best_share: float
    weight: Band
    shots: bridge.Shots
    clean: NDArray[np.bool_]
    model: bridge.ArrowModel


def _readings_words(count: int) -> str:
    return "one reading" if count == 1 else f"{count} readings"


def _fall(curve: forecast.Curve, way: int) -> float | None:
    """How fast the share falls from its best to half of it, in percent a pound; None if never."""
    best = int(np.argmax(curve.share))
    top = float(curve.share[best])
    i = best
    while 0 <= i + way < len(curve.spine):
        i += way
        if curve.share[i] <= 0.5 * top:
            before = i - way
            part = (curve.share[before] - 0.5 * top) / (curve.share[before] - curve.share[i])
            spine = curve.spine[before] + part * (curve.spine[i] - curve.spine[before])
            return round(50.0 * top / max(abs(float(spine - curve.spine[best])), 0.1), 2)
    return None


def _fletching_words(part: bridge.Parts) -> str:
    if not part.count:
        return "none (bare shaft)"
    kind = {"feather": "feathers", "vane": "vanes", "tape": "tape vanes"}.get(
        part.material, "feathers"
    )
    return (
        f"{part.count} {kind}, {part.chord / units.INCH:.3g} in long, "
        f"{part.height / units.INCH:.2g} in high"
    )


def _against(thumb: Sequence[RuleOfThumb], band: Band | None, spread_lb: float) -> str:
    """Where the rules and the engine agree or not, and why that may be."""
    assert band is not None
    inside = [one for one in thumb if band.low <= one.spine_lb <= band.high]
    above = [one for one in thumb if one.spine_lb > band.high]
    below = [one for one in thumb if one.spine_lb < band.low]
    text = (
        f"The rules stand {spread_lb:.0f} lb apart. {len(inside)} of {len(thumb)} fall inside the "
        f"engine's {band.low:.0f} to {band.high:.0f} lb"
    )
    if above:
        text += "; stiffer: " + ", ".join(one.name.lower() for one in above)
    if below:
        text += "; weaker: " + ", ".join(one.name.lower() for one in below)
    return (
        text + ". Each rule starts from another usual arrow and bow; none of them knows this plate "
        "offset, this string or this loose, and the engine knows neither exactly."
    )


def picture(
    label: str,
    spine_lb: float,
    model: bridge.ArrowModel,
    shots: bridge.Shots,
    n: int,
    *,
    hand: str,
    plate_offset: float,
    brace: float,
    draw: float,
    bow_length_in: float,
    distance_yd: float,
    point_gr: float,
    stand_range: tuple[float, float],
    share: float,
    knock_limit_mns: float,
) -> LaunchPicture:
    """One recorded shot as the drawing takes it, in inches and the archer's own hand.

    Parameters
    ----------
    label : str
        What the arrow is in this answer.
    spine_lb : float
        26 in span, 2 lb.
    model : ArrowModel
        The arrow.
    shots : Shots
        With a frame for each step; the first shot is the one hits are told against.
    n : int
        Which shot.
    hand : str
        "right" or "left".
    plate_offset, brace, draw : float
        Metres.
    bow_length_in, distance_yd, point_gr : float
        Trade units.
    stand_range : tuple of float
        Degrees, eight of ten shots.
    share : float
        Of clean shots, 0 to 1.
    knock_limit_mns : float
        Knock of the tail that a clean shot stays below.

    Returns
    -------
    picture : LaunchPicture
        See its own description for axes and signs.
    """
    from loosewell.physics import flight
    from loosewell.physics import launch as kernel

    frame, out = shots.frame[n], shots.launch[n]
    used = frame[:, 0] > 0.0
    frame = frame[used]
    contacts = bridge.spells(frame, float(out[kernel.STRING_LEFT]))
    front = model.parts.rear + model.parts.chord if model.parts.count else 0.0
    traces = bridge.marks(frame, float(out[kernel.STRING_LEFT]), front, hand)
    last = len(frame) - 1
    frame = frame[np.unique(np.append(np.arange(0, last, PICTURE_STEPS), last))]
    nodes = (frame.shape[1] - kernel.FRAME_HEAD) // 2
    mirror = 1.0 if hand == "right" else -1.0
    side = mirror * frame[:, kernel.FRAME_HEAD : kernel.FRAME_HEAD + nodes] / units.INCH
    high = frame[:, kernel.FRAME_HEAD + nodes :] / units.INCH
    part = model.parts
    left = out[kernel.PLATE_LEFT]
    touches_at_end = left >= out[kernel.STRING_LEFT] * 0.999
    return LaunchPicture(
        label=label,  # type: ignore[arg-type]
        hand=hand,  # type: ignore[arg-type]
        spine_26in_2lb_lb=round(spine_lb, 1),
        length_in=round(model.length / units.INCH, 2),
        point_weight_gr=round(point_gr, 1),
        point_length_in=round(part.point_length / units.INCH, 3),
        diameter_in=round(model.diameter / units.INCH, 4),
        fletching_rear_in=round(part.rear / units.INCH, 3) if part.count else 0.0,
        fletching_front_in=round((part.rear + part.chord) / units.INCH, 3) if part.count else 0.0,
        fletching_height_in=round(part.height / units.INCH, 3),
        fletching_count=part.count,
        plate_offset_in=round(mirror * plate_offset / units.INCH, 4),
        brace_height_in=round(brace / units.INCH, 3),
        draw_in=round(draw / units.INCH, 3),
        bow_length_in=bow_length_in,
        time_ms=[round(float(t) * 1e3, 4) for t in frame[:, 0]],
        station_in=[round(float(s) / units.INCH, 4) for s in np.linspace(0.0, model.length, nodes)],
        nock_x_in=[round(float(x) / units.INCH, 4) for x in frame[:, 1]],
        path_y_in=[[round(float(y), 4) for y in row] for row in side],
        path_z_in=[[round(float(z), 4) for z in row] for row in high],
        plate_left_ms=None if left <= 0.0 or touches_at_end else round(float(left) * 1e3, 3),
        string_left_ms=round(float(out[kernel.STRING_LEFT]) * 1e3, 3),
        nock_past_plate_ms=round(float(out[kernel.PASSED]) * 1e3, 3),
        contacts=contacts,
        tail_knock_mns=round(float(shots.tail_knock[n]) * 1e3, 2),
        distance_yd=distance_yd,
        flight_time_s=round(float(shots.flight[n, flight.TIME]), 4),
        strike_speed_fps=round(float(shots.flight[n, flight.END_SPEED]) / units.FPS, 1),
        hit_left_in=round(float(shots.hit_left[n] - shots.hit_left[0]) / units.INCH, 2),
        hit_high_in=round(float(shots.hit_high[n] - shots.hit_high[0]) / units.INCH, 2),
        stand_nock_left_deg=round(math.degrees(float(shots.stand_left[n])), 2),
        stand_nock_high_deg=round(math.degrees(float(shots.stand_high[n])), 2),
        stand_low_deg=round(min(stand_range[0], math.degrees(float(shots.stand_left[n]))), 2),
        stand_high_deg=round(max(stand_range[1], math.degrees(float(shots.stand_left[n]))), 2),
        share_clean_percent=round(100.0 * share, 1),
        acts={"fits": "fits", "too weak": "acts weak", "too stiff": "acts stiff"}.get(label, label),
        clean_knock_mns=knock_limit_mns,
        marks=traces,
        straight_after_yd=_straight_after(model, shots, n, distance_yd),
        bend_left_in=round(float(shots.flight[n, flight.BEND]) / units.INCH, 3),
    )


STRAIGHT = 0.001
"""Swing of the nock by bending below which an arrow counts as straightened. [m]"""


def _straight_after(
    model: bridge.ArrowModel, shots: bridge.Shots, n: int, distance_yd: float
) -> float | None:
    """How far from the bow the bending of one shot has rung down, if before the butt. [yd]"""
    from loosewell.physics import aero, flight

    left = float(shots.flight[n, flight.BEND])
    time = float(shots.flight[n, flight.TIME])
    decay = 2.0 * math.pi * float(model.aero[aero.BEND_FREQUENCY] * model.aero[aero.BEND_DAMPING])
    if left > STRAIGHT or decay <= 0.0 or time <= 0.0:
        return None
    start = left * math.exp(decay * time)
    if start <= STRAIGHT:
        return 0.0
    return round(distance_yd * min(math.log(start / STRAIGHT) / decay / time, 1.0), 1)


def refuse_status(status: int) -> EngineRefusal:
    """The refusal that belongs to a status of the engine.

    Parameters
    ----------
    status : int
        Not 0.

    Returns
    -------
    refusal : EngineRefusal
        With a sentence for people.
    """
    why = bridge.STATUS_SENTENCES.get(status, f"status {status}")
    return EngineRefusal(f"The engine refused this shot: {why}.")
