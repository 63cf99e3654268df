"""Evidence against the worlds: how probable each cause is, and what cannot be told apart."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.chance import likelihood
from loosewell.chance.posterior import (
    Proposal,
    Weighed,
    log_normal,
    proposal_from,
    resampled,
    smoothed,
    straight_proposal,
)
from loosewell.records import Fletching
from loosewell.records.outing import Outing, ShotSeen
from loosewell.workshop import bridge
from loosewell.workshop.reading import faults, worlds
from loosewell.workshop.reading.worlds import Case, Scatter, Seen, Setting, Worlds

Array = NDArray[np.float64]
Progress = Callable[[str, float], None]
Proposals = list[Proposal | None]

FIRST, NEXT, ROUNDS = 4096, 4096, 10
ENOUGH = 150.0
"""Effective samples at which no further round is drawn."""
KEPT = 256
"""Worlds kept for what follows: the next step, the pictures, what is learned."""

PLACE_ERROR_IN = 0.5
ANGLE_ERROR_DEG = 4.0
SPEED_ERROR_PERCENT = 3.0
EYE_LIMIT = math.radians(3.0)
"""From this angle on an eye calls an arrow crooked. [rad] Modelling choice, no source."""
EYE_ERROR = math.radians(2.0)
SLIP = 0.05
AIM_OFF_SIDE, AIM_OFF_HEIGHT = 0.10, 0.10
"""How far the bow's plane may point beside the mark, as an angle. [rad] An archer aims so that
arrows land on it, wherever the bow throws them: only differences tell. Modelling choices."""
MARK_HALF, MARK_SHARP, MARK_MISS, MARK_FALSE = 15.0, 2.0, 0.10, 0.08
"""A knock of 15 mN s marks the bow or the feather half of the time. Modelling choices."""
TRADE_LEFT = 0.0055
"""Bare against fletched from which archers speak of stiff or weak: 4 in at 20 yd. [rad]
users' figure: the smallest difference three bare shafts can show (common practice)."""
FLOOR = -40.0
"""Logarithm of the chance of evidence in a world whose shot cannot be computed."""


@dataclass(frozen=True)
class Cause:
    """One cause and how probable it is after the evidence, and was before."""

    key: str
    words: str
    chance: float
    before: float


@dataclass
class Reading:
    """The posterior over the worlds of one outing."""

    setting: Setting
    outing: Outing
    worlds: Worlds
    weighed: Weighed
    scatter: list[Scatter]
    kept: Worlds
    causes: list[Cause]
    rounds: int
    launches: int
    explained: bool
    """False where the evidence is so unlike anything the engine expects that nothing is said."""

    @property
    def confident(self) -> bool:
        """Whether one cause stands out and the weights can be trusted."""
        return (
            self.explained
            and self.weighed.trusted
            and bool(self.causes)
            and self.causes[0].chance >= 0.8
        )


def used(outing: Outing) -> list[ShotSeen]:
    """The shots that count: not called bad before looking, not the cold first ones.

    When nothing else is there the cold ones are all there is, and count.
    """
    warm = [one for one in outing.shots if one.called != "bad" and not one.cold]
    return warm or [one for one in outing.shots if one.called != "bad"]


def _model_off(values: dict[str, Array], case: Case, seen: Seen, what: str) -> tuple[Array, Array]:
    """Where a case lands or how it stands with the engine's own error in the world."""
    kind = "bare" if case.bare else "fletched"
    share = worlds.MODEL_SHARE * values["model_side" if "left" in what else "model_height"]
    scale = worlds.MODEL_HIT if what.startswith("hit") else worlds.MODEL_STAND
    scale *= 1.0 if case.bare else 0.5
    off = np.asarray(scale * values[f"{kind}_{what}"])
    return np.asarray(getattr(seen, what) * np.exp(share)), off


def middle_of(
    values: dict[str, Array], case: Case, seen: Seen, what: str, distance: float
) -> Array:
    """The engine's figure and its own error together: hits [m], angles [rad]."""
    said, off = _model_off(values, case, seen, what)
    return np.asarray(said + off * (distance if what.startswith("hit") else 1.0))


def log_likelihood(
    setting: Setting, world: Worlds, scatter: list[Scatter], outing: Outing
) -> Array:
    """How well each world explains the shots of the outing."""
    n = len(world)
    total = np.zeros(n)
    aim = world.values["aim_scatter"] * setting.distance
    groups: dict[str, list[list[float]]] = {"left": [], "high": []}
    middles: dict[str, list[Array]] = {"left": [], "high": []}
    errors: dict[str, list[Array]] = {"left": [], "high": []}
    for k, case in enumerate(setting.cases):
        shots = [one for one in used(outing) if case_of(setting, one) == k]
        seen, own = world.seen[k], scatter[k]
        if not shots:
            continue
        for way in ("left", "high"):
            places = [
                (getattr(one, f"{way}_in"), one.place_error_in or PLACE_ERROR_IN)
                for one in shots
                if one.left_in is not None
            ]
            if not places:
                continue
            where = np.array([one[0] for one in places]) * units.INCH
            error = float(np.sqrt(np.mean([one[1] ** 2 for one in places]))) * units.INCH
            loose = own.hit_left if way == "left" else own.hit_high
            groups[way].append(
                [len(where), float(where.mean()), float(np.sum((where - where.mean()) ** 2))]
            )
            middles[way].append(middle_of(world.values, case, seen, f"hit_{way}", setting.distance))
            errors[way].append(np.sqrt(aim**2 + loose**2 + error**2))
        for way, word, angle in (
            ("left", "nock_sideways", "nock_left_deg"),
            ("high", "nock_upright", "nock_high_deg"),
        ):
            middle = middle_of(world.values, case, seen, f"stand_{way}", setting.distance)
            loose = own.stand_left if way == "left" else own.stand_high
            for one in shots:
                if getattr(one, angle) is not None:
                    error = math.radians(one.angle_error_deg or ANGLE_ERROR_DEG)
                    wide = math.hypot(error, loose)
                    off = (math.radians(getattr(one, angle)) - middle) / wide
                    # A few angles are misread: a tail that a Gaussian would not forgive.
                    total += np.log(
                        (1.0 - SLIP) * np.exp(-0.5 * off**2) / (wide * math.sqrt(2 * math.pi))
                        + SLIP / math.radians(120.0)
                    )
                elif getattr(one, word) is not None:
                    step = {"left": 1, "high": 1, "straight": 0, "right": -1, "low": -1}
                    total += likelihood.class_log_chance(
                        step[getattr(one, word)], middle,
                        np.full(n, math.hypot(EYE_ERROR, loose)), EYE_LIMIT, SLIP,
                    )  # fmt: skip
        looked = [one for one in shots if one.marks]
        for one in looked[:6]:
            total += likelihood.mark_log_chance(
                "none" not in one.marks, seen.knock, MARK_HALF, MARK_SHARP, MARK_MISS, MARK_FALSE
            )
        for one in shots:
            if one.speed_fps is not None:
                error = (one.speed_error_percent or SPEED_ERROR_PERCENT) / 100.0 * one.speed_fps
                off = (one.speed_fps - seen.speed / units.FPS) / error
                # A chronograph errs alike for all shots of a day.
                total += -0.5 * off**2 / sum(s.speed_fps is not None for s in shots)
        total += np.where(seen.good, 0.0, FLOOR)
    _add_reference(outing, groups, middles, errors, setting, world, aim)
    for way, off in (("left", AIM_OFF_SIDE), ("high", AIM_OFF_HEIGHT)):
        if groups[way]:
            count, mean, square = np.array(groups[way]).T
            total += likelihood.group_log_likelihood(
                count, mean, square, np.array(middles[way]).T, np.array(errors[way]).T,
                off * setting.distance,
            )  # fmt: skip
    return total


def _add_reference(
    outing: Outing,
    groups: dict[str, list[list[float]]],
    middles: dict[str, list[Array]],
    errors: dict[str, list[Array]],
    setting: Setting,
    world: Worlds,
    aim: Array,
) -> None:
    """Places told from the fletched group without its shots: the group is taken as six at zero."""
    if outing.positions_from != "fletched group" or not groups["left"]:
        return
    fletched = next((k for k, one in enumerate(setting.cases) if not one.bare), None)
    listed = {case_of(setting, one) for one in used(outing) if one.left_in is not None}
    if fletched is None or fletched in listed:
        return
    for way in ("left", "high"):
        groups[way].append([6.0, 0.0, 0.0])
        middles[way].append(
            middle_of(
                world.values, setting.cases[fletched], world.seen[fletched], f"hit_{way}",
                setting.distance,
            )
        )  # fmt: skip
        # Its own spread is not known, and says nothing: only its mean is held to.
        errors[way].append(aim)


def case_of(setting: Setting, shot: ShotSeen) -> int:
    """Which case a shot belongs to."""
    for k, case in enumerate(setting.cases):
        if case.bare == shot.bare and (shot.arrow is None or case.label in ("", shot.arrow)):
            return k
    return next(k for k, case in enumerate(setting.cases) if case.bare == shot.bare)


def weigh(setting: Setting, outing: Outing, seed: int, tell: Progress) -> Reading:
    """The worlds of one outing, weighted by what was seen.

    Drawn from the prior first; while too few of them explain the evidence, further rounds are
    drawn around those that do, and all rounds are weighed as one mixture.

    Source
    ------
    Adaptive multiple importance sampling: Cornuet et al. 2012, Scand. J. Stat. 39; weights
    smoothed and judged after Vehtari et al. 2024.
    """
    start = setting.job.launches
    all_worlds: list[Worlds] = []
    drawn_by: list[tuple[Proposals, Array]] = []
    # Rare faults get enough samples of their own in the first round to be fitted.
    chances = 0.5 * faults.CHANCES + 0.5 / len(faults.FAULTS)
    proposals: Proposals = [None] * len(faults.FAULTS)
    scatter: list[Scatter] = []
    logs: list[Array] = []
    weighed = None
    for round_ in range(ROUNDS):
        world = setting.drawn(FIRST if round_ == 0 else NEXT, seed + round_, proposals, chances)
        tell("worlds", (round_ + 0.2) / ROUNDS)
        setting.shoot_all(world, "worlds")
        if round_ == 0:
            scatter = setting.scatter(world, seed + 50)
        all_worlds.append(world)
        drawn_by.append((proposals, chances))
        logs.append(log_likelihood(setting, world, scatter, outing))
        weighed = _weights(all_worlds, drawn_by, logs)
        tell("worlds", (round_ + 1.0) / ROUNDS)
        if weighed.size >= ENOUGH and weighed.trusted:
            break
        proposals, chances = _next(setting, all_worlds, weighed, scatter, outing, round_)
    assert weighed is not None
    joined = _joined(all_worlds)
    rng = np.random.default_rng(seed + 99)
    places = resampled(weighed.weight, KEPT, rng)
    kept = _taken(joined, places)
    best = float(np.max(np.concatenate(logs)))
    reading = Reading(
        setting, outing, joined, weighed, scatter, kept, [], len(all_worlds), 0,
        best > FLOOR * 0.9 or math.isfinite(best),
    )  # fmt: skip
    reading.causes = causes(reading)
    reading.launches = setting.job.launches - start
    return reading


def _summary(
    setting: Setting, world: Worlds, scatter: list[Scatter], outing: Outing
) -> tuple[Array, Array, Array]:
    """What the worlds say of the means of what was seen, what was seen, and its covariance.

    Only to propose worlds from: calls by eye stand as angles here, marks are left out.
    """
    said, seen, errors, common = [], [], [], []
    aim = float(np.median(world.values["aim_scatter"])) * setting.distance
    call = {"left": 1.0, "high": 1.0, "straight": 0.0, "right": -1.0, "low": -1.0}
    for k, case in enumerate(setting.cases):
        shots = [one for one in used(outing) if case_of(setting, one) == k]
        for way, word, angle in (
            ("left", "nock_sideways", "nock_left_deg"),
            ("high", "nock_upright", "nock_high_deg"),
        ):
            own = scatter[k]
            hits = [getattr(one, f"{way}_in") for one in shots if one.left_in is not None]
            if hits:
                middle = middle_of(
                    world.values, case, world.seen[k], f"hit_{way}", setting.distance
                )
                loose = getattr(own, f"hit_{way}")
                said.append(middle)
                seen.append(float(np.mean(hits)) * units.INCH)
                errors.append((aim**2 + loose**2 + (0.5 * units.INCH) ** 2) / len(hits))
                off = AIM_OFF_SIDE if way == "left" else AIM_OFF_HEIGHT
                common.append((way, off * setting.distance))
            stands = [
                math.radians(getattr(one, angle))
                if getattr(one, angle) is not None
                else math.radians(6.0) * call[getattr(one, word)]
                for one in shots
                if getattr(one, angle) is not None or getattr(one, word) is not None
            ]
            if stands:
                said.append(
                    middle_of(world.values, case, world.seen[k], f"stand_{way}", setting.distance)
                )
                seen.append(float(np.mean(stands)))
                errors.append(math.radians(4.0) ** 2 / len(stands))
                common.append(("", 0.0))
        speeds = [one.speed_fps * units.FPS for one in shots if one.speed_fps is not None]
        if speeds:
            said.append(world.seen[k].speed)
            seen.append(float(np.mean(speeds)))
            errors.append((0.03 * seen[-1]) ** 2)
            common.append(("", 0.0))
    covariance = np.diag(errors)
    for i, (way, off) in enumerate(common):
        for j, (other, _) in enumerate(common):
            if way and way == other:
                covariance[i, j] += off**2
    return np.array(said).reshape(len(seen), len(world)).T, np.array(seen), covariance


def _next(
    setting: Setting,
    drawn: Sequence[Worlds],
    weighed: Weighed,
    scatter: list[Scatter],
    outing: Outing,
    round_: int,
) -> tuple[Proposals, Array]:
    """Proposals of the next round, one a fault, and how often each fault is drawn."""
    which = np.concatenate([one.fault for one in drawn])
    share = np.array([weighed.weight[which == k].sum() for k in range(len(faults.FAULTS))])
    found: Proposals = []
    # The lines are fitted where the last round looked: near what explains the evidence.
    parts = [_summary(setting, one, scatter, outing) for one in drawn]
    seen, error = parts[0][1], parts[0][2]
    z = np.concatenate([one.z for one in drawn])
    good = np.concatenate([np.all([one.good for one in world.seen], axis=0) for world in drawn])
    all_said = np.concatenate([one[0] for one in parts])
    last = np.concatenate([np.full(len(one), i) for i, one in enumerate(drawn)])
    for k in range(len(faults.FAULTS)):
        mine = which == k
        weight = np.where(mine, weighed.weight, 0.0)
        own = weight / weight.sum() if weight.sum() > 0.0 else weight
        if round_ > 0 and own.sum() > 0.0 and 1.0 / np.sum(own * own) > 2.0 * z.shape[1]:
            found.append(proposal_from(z, own))
            continue
        here = mine & good
        near = here & (last == round_)
        here = near if near.sum() >= 4 * z.shape[1] else here
        if len(seen) and here.sum() >= 40:
            found.append(straight_proposal(z[here], all_said[here], seen, error))
        else:
            found.append(None)
    chances = 0.5 * share + 0.35 * faults.CHANCES + 0.15 / len(faults.FAULTS)
    return found, chances / chances.sum()


def _weights(
    drawn: Sequence[Worlds], drawn_by: Sequence[tuple[Proposals, Array]], logs: Sequence[Array]
) -> Weighed:
    """All rounds as one mixture."""
    z = np.concatenate([one.z for one in drawn])
    which = np.concatenate([one.fault for one in drawn])
    prior = np.concatenate([one.log_prior for one in drawn])
    total = np.full(len(z), -np.inf)
    for world, (proposals, chances) in zip(drawn, drawn_by, strict=True):
        base = np.empty(len(z))
        for k, proposal in enumerate(proposals):
            here = which == k
            plain = log_normal(z[here])
            base[here] = plain if proposal is None else proposal.log_density(z[here])
        total = np.logaddexp(total, math.log(len(world) / len(z)) + base + np.log(chances[which]))
    return smoothed(np.concatenate(logs) + prior - total)


def _joined(drawn: Sequence[Worlds]) -> Worlds:
    first = drawn[0]
    if len(drawn) == 1:
        return first
    seen = [
        Seen(*(np.concatenate([getattr(one.seen[k], name) for one in drawn])
               for name in Seen.__dataclass_fields__))
        for k in range(len(first.seen))
    ]  # fmt: skip
    return Worlds(
        np.concatenate([one.z for one in drawn]),
        np.concatenate([one.fault for one in drawn]),
        np.concatenate([one.amount for one in drawn]),
        {key: np.concatenate([one.values[key] for one in drawn]) for key in first.values},
        np.concatenate([one.log_prior for one in drawn]),
        seen,
    )


def _taken(world: Worlds, places: NDArray[np.int64]) -> Worlds:
    return Worlds(
        world.z[places], world.fault[places], world.amount[places],
        {key: one[places] for key, one in world.values.items()},
        world.log_prior[places],
        [Seen(*(getattr(one, name)[places] for name in Seen.__dataclass_fields__))
         for one in world.seen],
    )  # fmt: skip


def tackle_left(setting: Setting, world: Worlds) -> Array:
    """How far left of the fletched ones a bare shaft would land without any fault, as an angle.

    What the tackle itself does: archers read left as stiff and right as weak for a right-handed
    archer, the other way round for a left-handed one. The sign here is the right-handed one.
    """
    values = dict(world.values)
    count = len(world)
    plain = setting.cases[0]
    values["pluck"], values["hand_turn"] = np.zeros(count), np.zeros(count)
    values["nock_pinch"] = np.full(count, plain.parts.nock_pinch)
    values["reach_scale"] = np.ones(count)
    # Faults of height and draw are taken out too; a misread shaft is the tackle's own.
    fault = np.array([faults.FAULTS[k].key for k in world.fault])
    off = np.where(fault == "nocking point", world.amount, 0.0)
    values["nock_height"] = values["nock_height"] - off
    values["nock_path"] = values["nock_path"] - off / setting.draw
    values["draw"] = values["draw"] - np.where(fault == "draw", world.amount, 0.0)
    stiff = np.where(fault == "contact", world.amount, 0.0)
    values["fletching_stiffness"] = values["fletching_stiffness"] * np.exp(-stiff)
    bare = next((one for one in setting.cases if one.bare), None)
    fletched = next((one for one in setting.cases if not one.bare), None)
    job = setting.job
    if bare is None or fletched is None:
        own = setting.cases[0]
        pair = (own, other_way(own))
        bare, fletched = pair if own.bare else pair[::-1]
    left = setting.shoot(values, bare, "tackle")
    straight = setting.shoot(values, fletched, "tackle")
    sign = 1.0 if job.archer.hand == "right" else -1.0
    off_angle = (left.hit_left - straight.hit_left) / setting.distance
    said = off_angle * np.exp(worlds.MODEL_SHARE * values["model_side"])
    return np.asarray(np.where(left.good & straight.good, sign * said, np.nan))


def other_way(case: Case) -> Case:
    """The same arrow without its fletching, or with the usual one."""
    usual = bridge.parts(125.0, bridge.standard_fletching())
    none = bridge.parts(125.0, Fletching(material="none"))
    source = usual if case.bare else none
    keep = ("material", "fletching_mass", "count", "chord", "height", "rear", "angle")
    part = replace(case.parts, **{key: getattr(source, key) for key in keep})
    return replace(case, bare=not case.bare, parts=part)


TACKLE = {
    1: ("stiff", "the arrow acts stiff for this bow and loose"),
    2: ("weak", "the arrow acts weak for this bow and loose"),
    0: ("none", "bow, loose and arrow fit, within what shots show"),
}


def acts(setting: Setting, world: Worlds) -> NDArray[np.int64]:
    """How the tackle acts in each world without its faults: 0 fits, 1 stiff, 2 weak."""
    left = tackle_left(setting, world)
    with np.errstate(invalid="ignore"):
        found = np.where(left > TRADE_LEFT, 1, np.where(left < -TRADE_LEFT, 2, 0))
    return np.asarray(found, dtype=np.int64)


def causes(reading: Reading) -> list[Cause]:
    """Every cause with its chance, adding up to 1, the most probable first.

    A world either has a fault, or its tackle acts stiff or weak or fits.
    """
    setting, world, weight = reading.setting, reading.worlds, reading.weighed.weight
    found = []
    for k, fault in enumerate(faults.FAULTS):
        here = world.fault == k
        if fault.key == faults.NONE:
            kept, prior = reading.kept, setting.drawn(KEPT, 7)
            setting_acts, before = acts(setting, kept), acts(setting, prior)
            clear, usual = kept.fault == 0, prior.fault == 0
            share = float(weight[here].sum())
            for way, (key, words) in TACKLE.items():
                now = float(np.mean(setting_acts[clear] == way)) if clear.any() else float(way == 0)
                was = float(np.mean(before[usual] == way))
                found.append(Cause(key, words, share * now, fault.chance * was))
            continue
        for sign, words in ((1.0, fault.plus), (-1.0, fault.minus)):
            if not words:
                continue
            mine = here & (world.amount * sign > 0.0) if fault.both_ways else here
            was = fault.chance * (0.5 if fault.both_ways else 1.0)
            key = fault.key + ("" if not fault.both_ways else " +" if sign > 0.0 else " -")
            found.append(Cause(key, words, float(weight[mine].sum()), was))
    return sorted(found, key=lambda one: -one.chance)
