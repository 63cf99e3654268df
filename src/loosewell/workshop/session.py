"""One match at work: bow, archer and rack as models, the samples, and the shots asked of them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.chance.carried import Start, start
from loosewell.chance.priors import Uncertain, sample
from loosewell.errors import EngineRefusal
from loosewell.records import Archer, Arrow, Bow, Jig, Shaft
from loosewell.workshop import bridge, stops
from loosewell.workshop.answer import Band
from loosewell.workshop.bench import shaft_spine
from loosewell.workshop.reading.learn import Learned
from loosewell.workshop.wish import Wish

Array = NDArray[np.float64]
Progress = Callable[[str, float], None]


WORLDS = 128
SHOTS = 4
SPINES = 15
RACK_WORLDS = 64
RACK_SHOTS = 2
LEAST_SPINE, MOST_SPINE = 0.42, 1.45
"""Ends of the sweep as shares of the draw weight. Far above it the engine shows a second
stretch of straight flight, where the shaft no longer bends and leaves to the side along
the plate; archers call that too stiff, and it is left out."""


NEAR_SPINE_LB = 15.0
"""Shafts this near the draw weight in spine tell the usual mass of a shaft. [lb]"""
LEAST_SHAFTS = 5
"""Fewer weighed shafts tell nothing about the usual one."""
DEVIATION_PER_MAD = 1.4826
"""Standard deviation over median absolute deviation, for normal errors. Exact constant."""


class Session:
    """One match at work: the samples, the models, and the shots."""

    def __init__(
        self,
        bow: Bow,
        archer: Archer,
        shafts: Sequence[Shaft],
        arrows: Sequence[Arrow],
        wish: Wish,
        loose: bridge.LooseModel,
        draw_in: float,
        tell: Progress,
        jigs: Sequence[Jig] = (),
        learned: Learned | None = None,
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
        self.spines = [shaft_spine(one, jigs) for one in self.shafts]
        weight = self.bow.weight_at(draw_in)
        self.weight_lb = weight
        self.mass_per_inch, self.mass_spread, self.mass_reason = self._usual_mass()
        self._models: dict[tuple[int | None, float, bridge.Parts], bridge.ArrowModel] = {}
        self._profiles: dict[int | None, bridge.Profile] = {}
        shared = [*self.bow.inputs, *loose.inputs]
        self.learned = learned
        self.assumed = tuple(shared)
        self.start: Start | None = None
        if learned is not None:
            self.start = start(shared, learned.factor)
            shared = list(self.start.inputs)
            self.bow = replace(self.bow, notes=learned.told(self.bow.notes, self.assumed, shared))
            self.loose = replace(loose, notes=learned.told(loose.notes, self.assumed, shared))
        self.shared = shared
        self.sweep_inputs = [
            *shared,
            Uncertain("mass_scale", 1.0, self.mass_spread, "log"),
        ]
        low = max(12.0, LEAST_SPINE * weight)
        self.spine = np.linspace(low, max(MOST_SPINE * weight, weight + 22.0), SPINES)
        bridge.wake(lambda part: self.tell("engine", part))
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
        shots = self.shoot(
            [self.generic()], np.zeros(len(slopes), dtype=np.int64), values, "nocking point"
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

    def nothing_clean(self, shots: bridge.Shots) -> EngineRefusal:
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

    def _usual_mass(self) -> tuple[float, float, str]:
        """Mass an inch of the wooden shafts on the rack, or of mean arrow wood. [gr/in]

        Shafts about as stiff as the bow is strong tell it, where there are some; and the
        spread is that of most of them, so that a few heavy woods widen nothing for the rest.
        """
        known = [
            (one.weight_gr / one.length_in, spine)
            for one, spine in zip(self.shafts, self.spines, strict=True)
            if one.weight_gr and one.length_in and (one.kind or "solid") == "solid"
        ]
        near = [
            mass
            for mass, spine in known
            if spine is not None and abs(spine.spine_26in_2lb_lb - self.weight_lb) <= NEAR_SPINE_LB
        ]
        for masses, which in (
            (near, f"median of the rack within {NEAR_SPINE_LB:.0f} lb of the draw weight"),
            ([mass for mass, _ in known], "median of the rack"),
        ):
            if len(masses) >= LEAST_SHAFTS:
                middle = float(np.median(masses))
                away = float(np.median(np.abs(np.array(masses) - middle)))
                return middle, max(DEVIATION_PER_MAD * away / middle, 0.03), which
        return 11.5, 0.14, "mean arrow wood, 11/32 in (handbook woods)"

    def values(
        self, inputs: Sequence[Uncertain], worlds: int, shots: int, seed: int
    ) -> tuple[dict[str, Array], dict[str, Array]]:
        """Samples of the worlds, and of every shot in every world."""
        # What was learned ties inputs together; they stand first in every list of inputs.
        turn = None if self.start is None else self.start.turned
        world = sample(list(inputs), worlds, seed, turn)
        each = sample(list(self.loose.shots), worlds * shots, seed + 1)
        values = {key: np.repeat(value, shots) for key, value in world.items()}
        values.update(each)
        return world, values

    def shoot(
        self,
        models: Sequence[bridge.ArrowModel],
        index: NDArray[np.int64],
        values: dict[str, Array],
        word: str,
        frame_every: int = 0,
    ) -> bridge.Shots:
        """Shots of this bow and archer, counted."""
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

    def clean(self, shots: bridge.Shots) -> NDArray[np.bool_]:
        """Which shots are clean by the limits."""
        with np.errstate(invalid="ignore"):
            return np.asarray(
                (shots.status == 0)
                & (shots.knock_mns <= self.limits.knock_mns)
                & (shots.swing_deg <= self.limits.swing_deg)
                & (shots.stand_off_deg <= self.limits.stand_deg)
            )

    def generic(self) -> bridge.ArrowModel:
        """A plain parallel shaft of the usual mass, 50 lb, scaled in the sweep."""
        return self.arrow(None, self.length_in, self.parts)

    def profile(self, shaft: int | None) -> bridge.Profile:
        """The measured shaft of that place on the rack, or for None the plain one; made once."""
        from loosewell.physics import spine as physics

        if shaft not in self._profiles:
            if shaft is None:
                self._profiles[shaft] = bridge.uniform_profile(
                    physics.stiffness_from_spine_pounds(50.0),
                    self.mass_per_inch * units.GRAIN / units.INCH,
                    11.0 / 32.0 * units.INCH,
                    (self.length_in + 1.0) * units.INCH,
                )
            else:
                spine = self.spines[shaft]
                assert spine is not None
                self._profiles[shaft] = bridge.shaft_profile(
                    self.shafts[shaft], spine.bending_stiffness, spine.relative_error, spine.sides
                )
        return self._profiles[shaft]

    def arrow(self, shaft: int | None, length_in: float, parts: bridge.Parts) -> bridge.ArrowModel:
        """The arrow of a shaft of the rack (None: the plain one), a length and parts; made once."""
        key = shaft, length_in, parts
        if key not in self._models:
            self._models[key] = bridge.arrow_model(
                self.profile(shaft), length_in * units.INCH, parts
            )
        return self._models[key]

    def chances(
        self,
        models: Sequence[bridge.ArrowModel],
        profiles: Sequence[bridge.Profile],
        scales: Array,
        word: str,
        worlds: int = RACK_WORLDS,
    ) -> Array:
        """Chance of a clean shot of each model, stiffness scaled by scales."""
        clean = self.clean_shots(models, profiles, scales, word, worlds)
        return np.asarray(clean.mean(axis=(1, 2)))

    def clean_shots(
        self,
        models: Sequence[bridge.ArrowModel],
        profiles: Sequence[bridge.Profile],
        scales: Array,
        word: str,
        worlds: int = RACK_WORLDS,
        leanings: Sequence[tuple[bridge.ArrowModel, bridge.ArrowModel]] | None = None,
    ) -> NDArray[np.bool_]:
        """Which shots of each model are clean: models, worlds, shots.

        All models meet the same worlds and the same loose. A shaft of which it is not known
        toward which end it grows stiffer stands for three: as told, and leaning either way
        (``leanings``, else its own profile tilted).
        """
        inputs = [
            *self.shared,
            Uncertain("own_stiffness", 0.0, 1.0),
            Uncertain("own_mass", 0.0, 1.0),
        ]
        _, values = self.values(inputs, worlds, RACK_SHOTS, self.seed + 7)
        n, count = worlds * RACK_SHOTS, len(models)
        everything = {key: np.tile(value, count) for key, value in values.items()}
        stiff = np.repeat([one.stiffness_error for one in profiles], n)
        heavy = np.repeat([one.mass_error for one in profiles], n)
        everything["stiffness_scale"] = np.repeat(scales, n) * np.exp(
            stiff * everything.pop("own_stiffness")
        )
        everything["mass_scale"] = np.exp(heavy * everything.pop("own_mass"))
        pool = list(models)
        index = np.repeat(np.arange(count), n)
        way = np.repeat(self._leaning_ways(worlds), RACK_SHOTS)
        for k, (model, profile) in enumerate(zip(models, profiles, strict=True)):
            if profile.slope_error == 0.0:
                continue
            pair = leanings[k] if leanings is not None else self.leaning(model, profile)
            own = index[k * n : (k + 1) * n]
            own[way < 0] = len(pool)
            own[way > 0] = len(pool) + 1
            pool += pair
        shots = self.shoot(pool, index, everything, word)
        return self.clean(shots).reshape(count, worlds, RACK_SHOTS)

    def _leaning_ways(self, worlds: int) -> NDArray[np.int64]:
        """Of each world, whether a shaft leans stiffer to its nock end, its front end, or not.

        Three points with the weights 1/6, 2/3, 1/6 at ∓√3 standard errors stand for a normal
        error up to its fifth moment (the three-point rule of Gauss and Hermite).
        """
        rank = np.random.default_rng(self.seed + 13).permutation(worlds)
        part = (rank + 0.5) / worlds
        return np.where(part < 1.0 / 6.0, -1, np.where(part > 5.0 / 6.0, 1, 0))

    def leaning(
        self, model: bridge.ArrowModel, profile: bridge.Profile, turned: bool = False
    ) -> tuple[bridge.ArrowModel, bridge.ArrowModel]:
        """The arrow with its shaft stiffer to the nock end and stiffer to the front end.

        For a shaft turned round the ends are those of the shaft as it lay before.
        """
        reach = math.sqrt(3.0) * profile.slope_error * (-1.0 if turned else 1.0)
        return (
            bridge.arrow_model(profile.tilted(-reach), model.length, model.parts),
            bridge.arrow_model(profile.tilted(reach), model.length, model.parts),
        )


def band_of(values: Array, reason: str = "", digits: int = 6) -> Band:
    """Median and the stretch that holds eight of ten values."""
    low, middle, high = np.quantile(values, (0.1, 0.5, 0.9))
    return Band(
        round(float(middle), digits), round(float(low), digits), round(float(high), digits), reason
    )


def silent(word: str, part: float) -> None:
    """Progress for nobody."""
