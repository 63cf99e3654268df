"""Take-down shafts: what an adapter does to the match, against the same wood without a joint."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.errors import BoundRefusal, ContradictionRefusal, EngineRefusal, MissingRefusal
from loosewell.records import Archer, Bow, Fletching, Jig, Joint, Shaft, bounds
from loosewell.workshop import stops
from loosewell.workshop.answer import Band, Notice

if TYPE_CHECKING:
    from loosewell.workshop.bench import Spine
    from loosewell.workshop.bridge import ArrowModel, Profile, Shots
    from loosewell.workshop.session import Progress, Session

Array = NDArray[np.float64]

WORLDS, SHOTS, SPINES = 64, 2, 15
"""Samples for each adapter and spine; the same ones for all, so that differences show."""
OWN_LOW, OWN_HIGH = 0.7, 1.15
"""The sweep reaches at least so far about the shaft's own spine; else as far as a match's."""
RESAMPLES = 200
BEYOND_NOISE = 2.0
"""A difference counts as seen beyond this many standard errors of counting."""
MOST_ADAPTERS = 8
MOST_JOINTS = 6


@dataclass(frozen=True)
class Adapter:
    """One way to join; what is None is not known."""

    name: str
    sleeve_length_in: float | None = None
    sleeve_weight_gr: float | None = None
    stiffness_percent: float | None = None
    give_deg_per_ftlb: float | None = None
    play_deg: float | None = None

    def joint(self, station_in: float) -> Joint:
        """The joint it makes at one place."""
        return Joint(
            station_in=station_in,
            sleeve_length_in=self.sleeve_length_in,
            sleeve_weight_gr=self.sleeve_weight_gr,
            stiffness_percent=self.stiffness_percent,
            give_deg_per_ftlb=self.give_deg_per_ftlb,
            play_deg=self.play_deg,
        )

    def unknown(self) -> list[str]:
        """What is not known of it, with what is taken and how to measure it."""
        found = []
        if self.sleeve_length_in is None:
            found.append("length of the sleeve, taken as 2 in: measure it")
        if self.sleeve_weight_gr is None:
            found.append("mass, taken as none beyond the wood's: weigh sleeve and fittings")
        if self.stiffness_percent is None:
            found.append("stiffness of the jointed stretch, taken as the plain wood's")
        if self.give_deg_per_ftlb is None:
            found.append(
                "give, taken as none, though every joint gives some: read the deflection with the "
                "joint at mid-span and of plain wood on the same rig"
            )
        if self.play_deg is None:
            found.append(
                "play, taken as none: hold one part, rock the other, measure how far its end "
                "moves; 1/16 in at 18 in is 0.2 deg"
            )
        return found


@dataclass(frozen=True)
class Change:
    """A difference from the plain shaft, with the noise of counting, one standard error."""

    value: float
    noise: float

    @property
    def seen(self) -> bool:
        """Whether it stands out of the noise."""
        return abs(self.value) > BEYOND_NOISE * self.noise


@dataclass(frozen=True)
class AdapterResult:
    """What one adapter does; changes are against the same wood in one piece."""

    name: str
    joints_in: tuple[float, ...]
    sleeve_length_in: float | None
    sleeve_weight_gr: float | None
    stiffness_percent: float | None
    give_deg_per_ftlb: float | None
    play_deg: float | None
    bench_spine_lb: float
    arrow_weight_gr: float
    balance_in: float
    foc_percent: float
    share_percent: float
    share_noise_percent: float
    speed_fps: float
    best_spine_lb: float
    best_noise_lb: float
    share_change_percent: Change | None = None
    best_change_lb: Change | None = None
    speed_change_fps: Change | None = None
    hit_left_change_in: Change | None = None
    hit_high_change_in: Change | None = None
    weight_change_gr: float | None = None
    balance_change_in: float | None = None
    best_open: str | None = None
    """Whether the best spines go on beyond the stiff or the weak end of what was reckoned."""
    lost_shots_percent: float = 0.0
    curve: list[tuple[float, float]] = field(default_factory=list)
    """Spine of the plain wood in pounds, share of clean shots in percent."""
    unknown: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Takedown:
    """The comparison of joints on one shaft for one bow and archer."""

    shaft: str
    bow: str
    archer: str
    hand: str
    invented: bool
    stops: list[Notice]
    warnings: list[Notice]
    length_in: float = 0.0
    point_weight_gr: float = 0.0
    distance_yd: float = 0.0
    plain_spine_lb: Band | None = None
    plain: AdapterResult | None = None
    adapters: list[AdapterResult] = field(default_factory=list)
    verdict: list[str] = field(default_factory=list)
    marks: list[str] = field(default_factory=list)
    inspect: list[str] = field(default_factory=list)
    clean_definition: str = ""
    noise_words: str = ""
    engine: str = ""
    launches: int = 0
    stiff_side_deg: float | None = None
    stiffness_unlike_percent: float | None = None

    def as_dict(self) -> dict[str, Any]:
        """The comparison as plain dictionaries and lists, ready for JSON."""
        return asdict(self)


def takedown(
    shaft: Shaft,
    bow: Bow,
    archer: Archer,
    adapters: Sequence[Adapter],
    *,
    at_in: Sequence[float] = (),
    length_in: float | None = None,
    point_weight_gr: float | None = None,
    fletching: Fletching | None = None,
    distance_yd: float | None = None,
    jigs: Sequence[Jig] = (),
    progress: Progress | None = None,
) -> Takedown:
    """Adapters compared on one shaft by what they do to the match.

    Parameters
    ----------
    shaft : Shaft
        Measured, in one piece or with joints on record; its own joints are compared too.
    bow, archer : Bow, Archer
        As in match.
    adapters : sequence of Adapter
        To be tried at every place.
    at_in : sequence of float
        Places from the nock end; without them those of the record, else the middle.
    length_in, point_weight_gr, fletching, distance_yd : optional
        As in match.
    jigs : sequence of Jig
        Of the workshop, for the readings that name one.
    progress : callable, optional
        Told a stage and the share done.

    Returns
    -------
    comparison : Takedown
        With stops first; after a stop nothing is shot.

    Raises
    ------
    Refusal
        For joints that do not fit on the arrow, or records from which nothing can be worked out.
    """
    from loosewell.workshop.bench import shaft_spine
    from loosewell.workshop.paired import pair

    own = _own_adapter(shaft)
    if not adapters and own is None:
        raise MissingRefusal(
            f"Nothing to compare: shaft {shaft.name} has no joint on record and no adapter was "
            'given. Give one with --compare "sleeve 2 in, 45 gr, stiffness 150 %, give '
            '0.5 deg/ftlb, play 0.2 deg".',
            code="missing-adapter",
        )
    if len(adapters) > MOST_ADAPTERS:
        raise BoundRefusal(
            f"{len(adapters)} adapters were given; at most {MOST_ADAPTERS} are compared at once. "
            "Compare the likely ones first.",
            code="too-many-adapters",
        )
    spine = shaft_spine(shaft, jigs)
    if spine is None or shaft.length_in is None:
        raise MissingRefusal(
            f"Shaft {shaft.name} has no bench reading or no length on record, so nothing can be "
            "said of it with a joint. Hang a load on it and measure its length first.",
            code="missing-bench-reading",
        )
    places = _places(shaft, at_in)
    plain_shaft = _without_joints(shaft)
    job, found = pair(
        bow, archer, [plain_shaft], length_in=length_in, point_weight_gr=point_weight_gr,
        fletching=fletching, distance_yd=distance_yd, jigs=jigs, progress=progress,
    )  # fmt: skip
    unfit = stops.unfit(shaft)
    if unfit is not None:
        found = [*found, unfit]
        job = None
    invented = shaft.invented or bow.invented or archer.invented
    if job is None:
        return Takedown(shaft.name, bow.name, archer.name, archer.hand, invented, found, [])
    if shaft.length_in < job.length_in - 1e-6:
        raise ContradictionRefusal(
            f"Shaft {shaft.name} is {shaft.length_in:.2f} in long and an arrow of "
            f"{job.length_in:.2f} in was asked for. Take a longer shaft; do not shorten the arrow "
            f"below {job.minimum_in:.2f} in, the least for {archer.name}.",
            code="cut-longer-than-shaft",
        )
    for place in places:
        if place > job.length_in - 0.5:
            raise ContradictionRefusal(
                f"A joint at {place:g} in from the nock end would be cut away or lie under the "
                f"point: the arrow ends at {job.length_in:.2f} in. Give a place behind that.",
                code="joint-outside",
            )
    variants = [(one, tuple(one.joint(place) for place in places)) for one in adapters]
    if own is not None:
        variants.insert(0, (own, shaft.joints))
    return _Compared(job, shaft, plain_shaft, spine, variants, invented).told()


def _own_adapter(shaft: Shaft) -> Adapter | None:
    """The joints on record as one of the adapters, named so."""
    if not shaft.joints:
        return None
    first = shaft.joints[0]
    return Adapter(
        "as recorded",
        first.sleeve_length_in,
        first.sleeve_weight_gr,
        first.stiffness_percent,
        first.give_deg_per_ftlb,
        first.play_deg,
    )


def _places(shaft: Shaft, at_in: Sequence[float]) -> list[float]:
    assert shaft.length_in is not None
    if at_in:
        places = sorted(at_in)
    elif shaft.joints:
        places = [one.station_in for one in shaft.joints]
    else:
        places = [round(0.5 * shaft.length_in, 2)]
    if len(places) > MOST_JOINTS:
        raise BoundRefusal(
            f"{len(places)} joints were given; at most {MOST_JOINTS} are worked out on one shaft.",
            code="too-many-joints",
        )
    for place in places:
        bounds.check(place, "joint.station_in")
    return places


def _without_joints(shaft: Shaft) -> Shaft:
    """The same wood in one piece: sleeves off the scale too."""
    sleeves = sum(one.sleeve_weight_gr or 0.0 for one in shaft.joints)
    weight = None if shaft.weight_gr is None else shaft.weight_gr - sleeves
    return shaft.model_copy(update={"joints": (), "weight_gr": weight})


def jointed_profile(plain: Profile, plain_shaft: Shaft, joints: Sequence[Joint]) -> Profile:
    """The same wood with joints put in: its own stiffness stays, the joints change theirs.

    Parameters
    ----------
    plain : Profile
        The shaft in one piece.
    plain_shaft : Shaft
        Its record, without joints.
    joints : sequence of Joint
        From the nock end on; what is unknown of them counts as nothing added.

    Returns
    -------
    profile : Profile
        With mass, stiffness and play of the joints.
    """
    from loosewell.physics import shaft as physics
    from loosewell.workshop.bridge.profile import SLEEVE_IN

    Shaft(name=plain_shaft.name, length_in=plain_shaft.length_in, joints=tuple(joints))
    # Finer pieces than the rack's, with an edge at every sleeve's end, so that a short sleeve
    # weighs and bends over its own length.
    ends = [plain.edge, np.linspace(0.0, plain.length, 129)]
    for joint in joints:
        half = 0.5 * (SLEEVE_IN if joint.sleeve_length_in is None else joint.sleeve_length_in)
        ends.append(np.array([joint.station_in - half, joint.station_in + half]) * units.INCH)
    edge = np.unique(np.clip(np.concatenate(ends), 0.0, plain.length))
    edge = edge[np.concatenate(([True], np.diff(edge) > 1e-7))]
    edge[-1] = plain.length
    middle = 0.5 * (edge[:-1] + edge[1:])
    piece = np.clip(np.searchsorted(plain.edge, middle) - 1, 0, len(plain.bending_stiffness) - 1)
    stiffness, mass = plain.bending_stiffness[piece], plain.mass_per_length[piece]
    for joint in joints:
        give = math.radians(joint.give_deg_per_ftlb or 0.0) / units.FOOT_POUND
        sleeve_in = SLEEVE_IN if joint.sleeve_length_in is None else joint.sleeve_length_in
        stiffness, mass = physics.with_joint(
            edge,
            stiffness,
            mass,
            joint.station_in * units.INCH,
            sleeve_in * units.INCH,
            (joint.sleeve_weight_gr or 0.0) * units.GRAIN,
            (joint.stiffness_percent or 100.0) / 100.0,
            give,
        )
    if not np.all(np.isfinite(stiffness)) or not np.all(stiffness > 0.0):
        raise EngineRefusal(
            "The joints given do not make a shaft. Check their places and stiffnesses."
        )
    return replace(
        plain,
        edge=edge,
        bending_stiffness=stiffness,
        mass_per_length=mass,
        radius=np.interp(edge, plain.edge, plain.radius),
        slack=tuple(
            (one.station_in * units.INCH, 0.5 * math.radians(one.play_deg))
            for one in joints
            if one.play_deg
        ),
    )


def bench_spine_lb(profile: Profile) -> float:
    """Spine this shaft would read on the bench, joints in it, as of a parallel shaft. [lb]

    Parameters
    ----------
    profile : Profile
        The shaft, its middle at mid-span.

    Returns
    -------
    spine_lb : float
        26 in span, 2 lb; a shorter span for a shorter shaft.
    """
    from loosewell.physics import spine as physics

    span = min(physics.WOOD_SPAN, 0.96 * profile.length)
    # A place given twice is a step; joints do not taper.
    place = np.repeat(profile.edge, 2)[1:-1]
    stiffness = np.repeat(profile.bending_stiffness, 2)
    deflection = physics.midspan_deflection_varying(physics.WOOD_LOAD, span, place, stiffness)
    alike = physics.bending_stiffness_from_deflection(physics.WOOD_LOAD, span, deflection)
    return float(physics.spine_pounds_from_stiffness(alike))


def plain_level(shaft: Shaft, plain_shaft: Shaft, spine: Spine) -> Profile:
    """The wood of a jointed shaft in one piece, from a reading taken with the joints in.

    Parameters
    ----------
    shaft, plain_shaft : Shaft
        With its joints as read, and without.
    spine : Spine
        As read, joints in it. [N m²]

    Returns
    -------
    profile : Profile
        Without joints, as stiff as the wood must be to read so with them.
    """
    from loosewell.workshop import bridge

    plain = bridge.shaft_profile(
        plain_shaft, spine.bending_stiffness, spine.relative_error, spine.sides
    )
    if not shaft.joints:
        return plain
    target = bench_spine_lb(plain)
    scale = 1.0
    # A joint's give does not scale with the wood, so the level is found step by step.
    for _ in range(30):
        tried = replace(plain, bending_stiffness=plain.bending_stiffness * scale)
        step = target / bench_spine_lb(jointed_profile(tried, plain_shaft, shaft.joints))
        scale *= step
        if abs(step - 1.0) < 1e-10:
            break
        if not 1e-3 < scale < 1e3:
            raise EngineRefusal(
                f"The give of the joints of shaft {shaft.name} is more than its whole reading "
                "bends. Check give and stiffness of the joints on record."
            )
    return replace(plain, bending_stiffness=plain.bending_stiffness * scale)


class _Compared:
    """The shots of every adapter, with the same samples for all."""

    def __init__(
        self,
        job: Session,
        shaft: Shaft,
        plain_shaft: Shaft,
        spine: Spine,
        variants: Sequence[tuple[Adapter, tuple[Joint, ...]]],
        invented: bool,
    ) -> None:
        self.job, self.shaft, self.plain_shaft = job, shaft, plain_shaft
        self.variants, self.invented = variants, invented
        self.sides = spine.sides
        self.plain = plain_level(shaft, plain_shaft, spine)
        self.plain_lb = bench_spine_lb(self.plain)
        self.error = spine.relative_error
        low = min(OWN_LOW * self.plain_lb, float(job.spine[0]))
        high = max(OWN_HIGH * self.plain_lb, float(job.spine[-1]))
        self.spine = np.unique(np.append(np.linspace(low, high, SPINES), self.plain_lb))
        self.own = int(np.argmin(np.abs(self.spine - self.plain_lb)))

    def _models(self, joints: Sequence[Joint]) -> list[ArrowModel]:
        """The arrow on wood of every spine of the sweep; the joints stay what they are."""
        from loosewell.workshop import bridge

        job = self.job
        found = []
        for pounds in self.spine:
            scaled = replace(
                self.plain,
                bending_stiffness=self.plain.bending_stiffness * float(pounds) / self.plain_lb,
            )
            profile = jointed_profile(scaled, self.plain_shaft, joints)
            found.append(bridge.arrow_model(profile, job.length_in * units.INCH, job.parts))
        return found

    def _shots(self, models: Sequence[ArrowModel], word: str) -> Shots:
        from loosewell.chance.priors import Uncertain

        job = self.job
        inputs = [
            *job.shared,
            Uncertain("own_stiffness", 0.0, 1.0),
            Uncertain("own_mass", 0.0, 1.0),
        ]
        _, values = job.values(inputs, WORLDS, SHOTS, job.seed + 23)
        n, count = WORLDS * SHOTS, len(models)
        everything = {key: np.tile(value, count) for key, value in values.items()}
        everything["stiffness_scale"] = np.exp(self.error * everything.pop("own_stiffness"))
        everything["mass_scale"] = np.exp(self.plain.mass_error * everything.pop("own_mass"))
        return job.shoot(models, np.repeat(np.arange(count), n), everything, word)

    def told(self) -> Takedown:
        """Everything there is to say."""
        job = self.job
        plain_models = self._models(())
        plain_shots = self._shots(plain_models, "the plain shaft")
        plain_clean = self._clean(plain_shots)
        if not plain_clean.any():
            raise job.nothing_clean(plain_shots)
        plain_adapter = Adapter("in one piece", 0.0, 0.0, 100.0, 0.0, 0.0)
        plain = self._result(plain_adapter, (), plain_models, plain_shots, None)
        results = []
        for adapter, joints in self.variants:
            models = self._models(joints)
            shots = self._shots(models, f"joint: {adapter.name}")
            results.append(self._result(adapter, joints, models, shots, (plain, plain_shots)))
        n = WORLDS * SHOTS
        return Takedown(
            shaft=self.shaft.name,
            bow=job.bow_record.name,
            archer=job.archer.name,
            hand=job.archer.hand,
            invented=self.invented,
            stops=[],
            warnings=self._warnings(results),
            length_in=round(job.length_in, 3),
            point_weight_gr=round(job.point_gr, 1),
            distance_yd=job.distance_yd,
            plain_spine_lb=Band(
                round(self.plain_lb, 1),
                round(self.plain_lb * (1.0 - self.error), 1),
                round(self.plain_lb * (1.0 + self.error), 1),
                "bench readings" + (", the joints taken out" if self.shaft.joints else ""),
            ),
            plain=plain,
            adapters=results,
            verdict=self._verdict(plain, results),
            marks=self._marks(),
            inspect=_INSPECT,
            clean_definition=job.limits.text(),
            noise_words=(
                f"± is the noise of counting {n} shots ({WORLDS} worlds of {SHOTS}), one standard "
                "error; the same worlds and shots for all, so that differences are far less noisy "
                f"than shares. What is under {BEYOND_NOISE:g} of them is not told from nothing."
            ),
            engine=f"{len(self.spine)} spines, {n} shots each, seed {job.seed}",
            launches=job.launches,
            stiff_side_deg=self.sides.turn_deg if self.sides.told else None,
            stiffness_unlike_percent=self.sides.differ_percent if self.sides.told else None,
        )

    def _clean(self, shots: Shots) -> NDArray[np.bool_]:
        return self.job.clean(shots).reshape(len(self.spine), WORLDS, SHOTS)

    def _best(self, clean: NDArray[np.bool_]) -> float:
        """Middle of the spines near the best share. [lb]"""
        from loosewell.chance import forecast
        from loosewell.workshop.sweep import SHARE_OF_BEST

        share = forecast.share_curve(self.spine, clean).share
        top = float(np.max(share))
        if top <= 0.0:
            return float("nan")
        inside = share >= SHARE_OF_BEST * top
        weight = share[inside] * np.gradient(self.spine)[inside]
        return float(np.sum(weight * self.spine[inside]) / np.sum(weight))

    def _open(self, clean: NDArray[np.bool_]) -> str | None:
        """Whether the best spines go on beyond an end of the sweep, and which."""
        from loosewell.chance import forecast
        from loosewell.workshop.sweep import SHARE_OF_BEST

        share = forecast.share_curve(self.spine, clean).share
        least = SHARE_OF_BEST * float(np.max(share))
        if share[-1] >= least:
            return "stiff"
        return "weak" if share[0] >= least else None

    def _resampled(self) -> list[NDArray[np.int64]]:
        rng = np.random.default_rng(self.job.seed + 29)
        return [rng.integers(0, WORLDS, WORLDS) for _ in range(RESAMPLES)]

    def _result(
        self,
        adapter: Adapter,
        joints: Sequence[Joint],
        models: Sequence[ArrowModel],
        shots: Shots,
        against: tuple[AdapterResult, Shots] | None,
    ) -> AdapterResult:
        from loosewell.chance import forecast
        from loosewell.physics import launch as kernel

        clean = self._clean(shots)
        own, n = self.own, WORLDS * SHOTS
        here = slice(own * n, (own + 1) * n)
        by_world = clean[own].mean(axis=1)
        model = models[own]
        good = shots.status[here] == 0
        speed = shots.launch[here, kernel.SPEED] / units.FPS
        draws = self._resampled()
        bests = np.array([self._best(clean[:, draw]) for draw in draws])
        length_in = model.length / units.INCH
        balance_in = self._balance(model, self._profile(joints)) / units.INCH
        result = AdapterResult(
            name=adapter.name,
            joints_in=tuple(one.station_in for one in joints),
            sleeve_length_in=adapter.sleeve_length_in,
            sleeve_weight_gr=adapter.sleeve_weight_gr,
            stiffness_percent=adapter.stiffness_percent,
            give_deg_per_ftlb=adapter.give_deg_per_ftlb,
            play_deg=adapter.play_deg,
            bench_spine_lb=round(bench_spine_lb(self._profile(joints)), 2),
            arrow_weight_gr=round(model.mass / units.GRAIN, 1),
            balance_in=round(balance_in, 3),
            foc_percent=round(100.0 * (balance_in - 0.5 * length_in) / length_in, 2),
            share_percent=round(100.0 * float(by_world.mean()), 1),
            share_noise_percent=round(100.0 * float(by_world.std(ddof=1)) / math.sqrt(WORLDS), 1),
            speed_fps=round(float(np.mean(speed[good])), 2) if good.any() else 0.0,
            best_spine_lb=round(self._best(clean), 2),
            best_noise_lb=round(float(np.nanstd(bests)), 2),
            best_open=self._open(clean),
            lost_shots_percent=round(100.0 * float(np.mean(~good)), 1),
            curve=[
                (round(float(x), 2), round(100.0 * float(y), 1))
                for x, y in zip(
                    self.spine, forecast.share_curve(self.spine, clean).share, strict=True
                )
            ],
            unknown=adapter.unknown(),
        )
        if against is None:
            return result
        plain, before = against
        other = self._clean(before)
        both = good & (before.status[here] == 0)
        before_best = np.array([self._best(other[:, draw]) for draw in draws])

        def paired(now: Array, then: Array, factor: float = 1.0) -> Change:
            """Mean difference shot by shot, its error from world to world."""
            off = np.where(both, (now - then) * factor, np.nan).reshape(WORLDS, SHOTS)
            known = np.isfinite(off).any(axis=1)
            world = np.nanmean(off[known], axis=1) if known.any() else np.array([np.nan])
            if len(world) < 2:
                return Change(0.0, math.inf)
            noise = float(np.std(world, ddof=1)) / math.sqrt(len(world))
            return Change(round(float(np.mean(world)), 3), round(noise, 3))

        off = by_world - other[own].mean(axis=1)
        apart = bests - before_best
        return replace(
            result,
            share_change_percent=Change(
                round(100.0 * float(off.mean()), 1),
                round(100.0 * max(float(off.std(ddof=1)) / math.sqrt(WORLDS), 0.5 / n), 1),
            ),
            best_change_lb=Change(
                round(result.best_spine_lb - plain.best_spine_lb, 2),
                round(max(float(np.nanstd(apart)), 0.05), 2),
            ),
            speed_change_fps=paired(speed, before.launch[here, kernel.SPEED] / units.FPS),
            hit_left_change_in=paired(
                shots.hit_left[here], before.hit_left[here], 1.0 / units.INCH
            ),
            hit_high_change_in=paired(
                shots.hit_high[here], before.hit_high[here], 1.0 / units.INCH
            ),
            weight_change_gr=round(result.arrow_weight_gr - plain.arrow_weight_gr, 1),
            balance_change_in=round(result.balance_in - plain.balance_in, 3),
        )

    def _balance(self, model: ArrowModel, profile: Profile) -> float:
        """Balance with every sleeve where it is; the engine's elements even it out a little. [m]"""
        length, elements = model.length, len(model.radius) - 1
        edge = np.unique(np.clip(profile.edge, 0.0, length))
        middle = 0.5 * (edge[:-1] + edge[1:])
        piece = np.searchsorted(profile.edge, middle) - 1
        exact = float(np.sum(profile.mass_per_length[piece] * np.diff(edge) * middle))
        _, mass, _ = profile.cut(length, elements)
        step = length / elements
        evened = float(np.sum(mass * step * (np.arange(elements) + 0.5) * step))
        return model.balance + (exact - evened) / model.mass

    def _profile(self, joints: Sequence[Joint]) -> Profile:
        return jointed_profile(self.plain, self.plain_shaft, joints)

    # ---- in words

    def _warnings(self, results: Sequence[AdapterResult]) -> list[Notice]:
        found = []
        if stops.not_looked_over(self.shaft) is not None:
            found.append(
                Notice(
                    "not-inspected",
                    f"Shaft {self.shaft.name} was not looked over yet. A joint hides what a plain "
                    "shaft shows: look at the wood before it goes into a sleeve.",
                )
            )
        for one in results:
            if one.unknown:
                found.append(
                    Notice("adapter-unknown", f"{one.name}: not known: {'; '.join(one.unknown)}.")
                )
            if one.lost_shots_percent > 0.0:
                found.append(
                    Notice(
                        "shots-lost",
                        f"{one.name}: {one.lost_shots_percent:g} % of the shots could not be "
                        "followed to the butt, for the arrow bends or tumbles beyond what the "
                        "engine holds. Do not shoot such an arrow.",
                    )
                )
            if one.play_deg is not None and one.play_deg > 1.0:
                found.append(
                    Notice(
                        "much-play",
                        f"{one.name}: {one.play_deg:g} deg of play can be felt in the hand. Mend "
                        "the joint before the arrow is drawn: what rocks works loose and breaks.",
                    )
                )
        return found

    def _verdict(self, plain: AdapterResult, results: Sequence[AdapterResult]) -> list[str]:
        found = []
        for one in results:
            said = []
            best, share = one.best_change_lb, one.share_change_percent
            speed, left, high = one.speed_change_fps, one.hit_left_change_in, one.hit_high_change_in
            assert best is not None
            assert share is not None
            assert speed is not None
            assert left is not None
            assert high is not None
            if best.seen and plain.best_open is None:
                way = "stiffer" if best.value > 0 else "weaker"
                acts = "weaker" if best.value > 0 else "stiffer"
                said.append(
                    f"the arrow acts {acts}: the best wood is "
                    f"{'at least ' if one.best_open else ''}{abs(best.value):.1f} lb {way}"
                )
            if share.seen:
                more = "more" if share.value > 0 else "fewer"
                said.append(f"{abs(share.value):.0f} of 100 shots {more} come out clean")
            if speed.seen and abs(speed.value) >= 0.5:
                fast = "faster" if speed.value > 0 else "slower"
                said.append(f"{abs(speed.value):.1f} fps {fast}")
            if left.seen and abs(left.value) >= 0.25:
                side = "left" if left.value > 0 else "right"
                said.append(f"lands {abs(left.value):.1f} in further {side}")
            if high.seen and abs(high.value) >= 0.25:
                side = "higher" if high.value > 0 else "lower"
                said.append(f"lands {abs(high.value):.1f} in {side}")
            found.append(
                f"{one.name}: "
                + ("; ".join(said) if said else "nothing that stands out of the noise")
                + "."
            )
        if plain.best_open is not None:
            found.append(
                "The best spines of the wood in one piece go on beyond those reckoned, so that a "
                "shift of them cannot be told here: go by the clean shots."
            )
        return found

    def _marks(self) -> list[str]:
        found = [
            (
                "Put the parts together as they fit best, then pencil one fine line along the "
                "whole "
                "shaft across every joint, and the shaft's name on each part: parts that were "
                "fitted "
                "together stay together."
            ),
            (
                "Beside each joint make as many short ticks across the line as its number from the "
                "nock: one on both parts of the first joint, two on those of the second."
            ),
        ]
        sides = self.sides
        if not sides.told or sides.differ_percent is None:
            found.append(
                "Which side is stiff is not known: read the shaft put together at three turns or "
                "more, and draw the line along the stiff side."
            )
        else:
            found.append(
                f"Draw the line along the stiff side: {sides.mark_text()}. It is "
                f"{sides.differ_percent:.0f} % stiffer than a quarter turn on: a part put together "
                "a quarter turn wrong is that much weaker over its length."
            )
        found.append(
            "A screwed joint with the usual right-hand thread: hold the rear part, turn the front "
            "part clockwise as seen from the "
            "point until it is snug, and see the lines meet. A line that stops short by more than "
            "a pencil's width: shim or turn the insert in its glue, do not force it."
        )
        found.append(
            "A pushed joint: meet the lines first, then push home without turning. Where the "
            "cock feather stands, mark the front part too, so that the marks can be told apart."
        )
        return found


_INSPECT = [
    "joint: run a nail along both edges of every sleeve for cracks in the wood, before each shoot",
    "joint: rock it; more play than on record, or a click, and it is not shot",
    "joint: flex the arrow gently away from the face in four directions; the gap must not open",
    "joint: check that screw, pin or glue holds, and wax or a band keeps it from turning",
    "after a hard hit or a miss: take it apart and look at the wood inside the sleeve",
]
