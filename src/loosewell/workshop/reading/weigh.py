"""Evidence against the worlds: how probable each cause is, and what cannot be told apart."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loosewell.chance.posterior import (
    Bell,
    Proposal,
    Weighed,
    effective_size,
    log_normal,
    moment_bell,
    resampled,
    smoothed,
    straight_bell,
    straight_line,
)
from loosewell.records import Fletching
from loosewell.records.outing import Outing
from loosewell.workshop import bridge
from loosewell.workshop.reading import faults, worlds
from loosewell.workshop.reading.evidence import (
    EYE_ERROR,
    UNLIKE,
    Evidence,
    case_of,
    kind_of,
    model_scale,
    used,
)
from loosewell.workshop.reading.worlds import Case, Scatter, Seen, Setting, Worlds

__all__ = [
    "EYE_ERROR",
    "TRADE_LEFT",
    "Cause",
    "Reading",
    "acts",
    "case_of",
    "middle_of",
    "other_way",
    "used",
    "weigh",
]

Array = NDArray[np.float64]
Progress = Callable[[str, float], None]
Proposals = list[Proposal | None]

FIRST, NEXT, ROUNDS = 2048, 2048, 12
ENOUGH = 200.0
"""Effective samples at which no further round is drawn."""
KEPT = 256
"""Worlds kept for what follows: the next step, the pictures, what is learned."""
LEAST_SHOTS = 3
"""Fewer shots never make an answer sure (common practice, no source)."""

TRADE_LEFT = 0.0055
"""Bare against fletched from which archers speak of stiff or weak: 4 in at 20 yd. [rad]
users' figure: the smallest difference three bare shafts can show (common practice)."""


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
    """False where the shots contradict one another or are unlike anything the engine expects."""

    @property
    def confident(self) -> bool:
        """Whether one cause stands out and the weights can be trusted."""
        return (
            self.explained
            and self.weighed.trusted
            and len(used(self.outing)) >= LEAST_SHOTS
            and bool(self.causes)
            and self.causes[0].chance >= 0.8
        )


def middle_of(
    values: dict[str, Array], case: Case, seen: Seen, what: str, distance: float
) -> Array:
    """The engine's figure and its own error together: hits [m], angles [rad]."""
    share = worlds.MODEL_SHARE * values["model_side" if "left" in what else "model_height"]
    off = model_scale(case.bare, what) * values[f"{kind_of(case.bare)}_{what}"]
    said = getattr(seen, what) * np.exp(share)
    return np.asarray(said + off * (distance if what.startswith("hit") else 1.0))


FIRST_CHANCES = 0.5 * faults.CHANCES + 0.5 / len(faults.FAULTS)
"""How often each fault is drawn in the first round: rare ones get enough samples to be fitted."""


def weigh(
    setting: Setting, outing: Outing, seed: int, tell: Progress, bank: Worlds | None = None
) -> Reading:
    """The worlds of one outing, weighted by what was seen.

    Drawn from the prior first; while too few of them explain the evidence, further rounds are
    drawn around those that do, and all rounds are weighed as one mixture. What enters in a
    straight line is integrated out and never drawn.

    Parameters
    ----------
    setting : Setting
        Bow, archer and arrows.
    outing : Outing
        What was seen.
    seed : int
        Repeats the same reading.
    tell : callable
        Progress.
    bank : Worlds or None
        A first round drawn from the prior with FIRST_CHANCES and shot before, to be used again.

    Returns
    -------
    reading : Reading
        Causes that add up to 1, and the worlds behind them.

    Source
    ------
    Adaptive multiple importance sampling: Cornuet et al. 2012, Scand. J. Stat. 39, with part of
    the unknowns integrated out (Rao-Blackwell; Robert and Casella 2004, section 4.2, from
    memory); weights smoothed and judged after Vehtari et al. 2024.
    """
    start = setting.job.launches
    all_worlds: list[Worlds] = []
    drawn_by: list[tuple[Proposals, Array]] = []
    chances = FIRST_CHANCES
    proposals: Proposals = [None] * len(faults.FAULTS)
    scatter: list[Scatter] = []
    logs: list[Array] = []
    evidence: Evidence | None = None
    weighed: Weighed | None = None
    for round_ in range(ROUNDS):
        if round_ == 0 and bank is not None:
            world = bank
        else:
            count = FIRST if round_ == 0 else NEXT
            world = setting.drawn(count, seed + round_, proposals, chances)
            tell("worlds", (round_ + 0.2) / ROUNDS)
            setting.shoot_all(world, "worlds")
        if evidence is None:
            scatter = setting.scatter(world, seed + 50)
            evidence = Evidence(setting, scatter, outing)
        all_worlds.append(world)
        drawn_by.append((proposals, chances))
        logs.append(evidence.log_likelihood(world))
        weighed = _weights(all_worlds, drawn_by, logs)
        tell("worlds", (round_ + 1.0) / ROUNDS)
        if weighed.size >= ENOUGH and weighed.trusted:
            break
        proposals, chances = _next(all_worlds, weighed, evidence)
    assert weighed is not None
    assert evidence is not None
    return settled(
        setting, outing, all_worlds, weighed, scatter, evidence, seed, setting.job.launches - start
    )


def settled(
    setting: Setting,
    outing: Outing,
    drawn: Sequence[Worlds],
    weighed: Weighed,
    scatter: list[Scatter],
    evidence: Evidence,
    seed: int,
    launches: int,
) -> Reading:
    """The reading of worlds that were shot and weighed: what to keep, and the causes."""
    joined = joined_worlds(drawn)
    rng = np.random.default_rng(seed + 99)
    kept = taken(joined, resampled(weighed.weight, KEPT, rng))
    kept.values.update(evidence.drawn(kept, rng))
    explained = not evidence.contradicts and evidence.unlike(joined) <= UNLIKE
    reading = Reading(
        setting, outing, joined, weighed, scatter, kept, [], len(drawn), launches, explained
    )
    reading.causes = causes(reading, drawn[0])
    return reading


def _next(drawn: Sequence[Worlds], weighed: Weighed, evidence: Evidence) -> tuple[Proposals, Array]:
    """Proposals of the next round, one a fault, and how often each fault is drawn.

    A fault that may go either way gets a bell for each way.
    """
    which = np.concatenate([one.fault for one in drawn])
    amount = np.concatenate([one.amount for one in drawn])
    z = np.concatenate([one.z for one in drawn])
    parts = [evidence.summary(one) for one in drawn]
    seen, error = parts[0][1], parts[0][2]
    said = np.concatenate([one[0] for one in parts])
    good = np.concatenate([np.all([one.good for one in world.seen], axis=0) for world in drawn])
    share = np.array([weighed.weight[which == k].sum() for k in range(len(faults.FAULTS))])
    found: Proposals = []
    for k, fault in enumerate(faults.FAULTS):
        ways = (amount > 0.0, amount < 0.0) if fault.both_ways else (np.ones(len(z), dtype=bool),)
        bells, sizes = [], []
        for way in ways:
            mine = (which == k) & way
            bell = _bell(z, mine, mine & good, weighed.weight, said, seen, error)
            if bell is not None:
                bells.append(bell)
                sizes.append(float(weighed.weight[mine].sum()) + 1e-3)
        if not bells:
            found.append(None)
            continue
        parts_of = 0.85 * np.array(sizes) / sum(sizes)
        found.append(Proposal(tuple(bells), tuple(float(one) for one in parts_of)))
    chances = 0.6 * share + 0.3 * faults.CHANCES + 0.1 / len(faults.FAULTS)
    return found, chances / chances.sum()


def _bell(
    z: Array, mine: NDArray[np.bool_], good: NDArray[np.bool_], weight: Array,
    said: Array, seen: Array, error: Array,
) -> Bell | None:  # fmt: skip
    """Where the worlds of one fault and way explain the evidence.

    From the straight lines through the worlds nearest to what was seen while few of them have
    weight, from their own mean and covariance, drawn to those lines, once more have.
    """
    if len(seen) == 0 or good.sum() < 40:
        return None
    d = z.shape[1]
    # The lines are fitted near what was seen: the better half until few are left.
    rows = np.flatnonzero(good)
    inner = np.linalg.solve(error, (said[rows] - seen).T)
    far = np.sum((said[rows] - seen).T * inner, axis=0)
    near = rows[np.argsort(far, kind="stable")[: max(6 * d, len(rows) // 4)]]
    own = np.where(mine, weight, 0.0)
    if own.sum() > 0.0:
        own = own / own.sum()
        if effective_size(own) > 0.5 * d:
            return moment_bell(z, own, toward=straight_line(z[near], said[near], seen, error))
    return straight_bell(z[near], said[near], seen, error)


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


def joined_worlds(drawn: Sequence[Worlds]) -> Worlds:
    """All rounds as one set of worlds."""
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


def taken(world: Worlds, places: NDArray[np.int64]) -> Worlds:
    """Some of the worlds."""
    return Worlds(
        world.z[places], world.fault[places], world.amount[places],
        {key: one[places] for key, one in world.values.items()},
        world.log_prior[places],
        [Seen(*(getattr(one, name)[places] for name in Seen.__dataclass_fields__))
         for one in world.seen],
    )  # fmt: skip


def tackle_left(setting: Setting, world: Worlds) -> Array:
    """How far left of the fletched ones a bare shaft lands in worlds without a fault, as an angle.

    What the tackle itself does: archers read left as stiff and right as weak for a right-handed
    archer, the other way round for a left-handed one. The sign here is the right-handed one.
    """
    bare = next((k for k, one in enumerate(setting.cases) if one.bare), None)
    fletched = next((k for k, one in enumerate(setting.cases) if not one.bare), None)
    if bare is None or fletched is None:
        own = world.seen[0]
        turned = setting.shoot(world.values, other_way(setting.cases[0]), "tackle")
        left, straight = (own, turned) if fletched is None else (turned, own)
    else:
        left, straight = world.seen[bare], world.seen[fletched]
    sign = 1.0 if setting.job.archer.hand == "right" else -1.0
    off_angle = (left.hit_left - straight.hit_left) / setting.distance
    said = off_angle * np.exp(worlds.MODEL_SHARE * world.values["model_side"])
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
    """How the tackle acts in worlds without a fault: 0 fits, 1 stiff, 2 weak; 0 in all others."""
    found = np.zeros(len(world), dtype=np.int64)
    clear = np.flatnonzero(world.fault == 0)
    if len(clear):
        left = tackle_left(setting, taken(world, clear))
        with np.errstate(invalid="ignore"):
            found[clear] = np.where(left > TRADE_LEFT, 1, np.where(left < -TRADE_LEFT, 2, 0))
    return found


def causes(reading: Reading, prior: Worlds) -> list[Cause]:
    """Every cause with its chance, adding up to 1, the most probable first.

    A world either has a fault, or its tackle acts stiff or weak or fits. ``prior`` are worlds
    whose unknowns were drawn from the prior, whatever their faults.
    """
    setting, world, weight = reading.setting, reading.worlds, reading.weighed.weight
    kept = reading.kept
    clear, usual = kept.fault == 0, prior.fault == 0
    now, before = acts(setting, kept)[clear], acts(setting, prior)[usual]
    found = []
    for k, fault in enumerate(faults.FAULTS):
        here = world.fault == k
        if fault.key == faults.NONE:
            share = float(weight[here].sum())
            for way, (key, words) in TACKLE.items():
                part = float(np.mean(now == way)) if len(now) else float(way == 0)
                was = float(np.mean(before == way)) if len(before) else float(way == 0)
                found.append(Cause(key, words, share * part, fault.chance * was))
            continue
        for sign, words in ((1.0, fault.plus), (-1.0, fault.minus)):
            if not words:
                continue
            mine = here & (world.amount * sign > 0.0) if fault.both_ways else here
            was = fault.chance * (0.5 if fault.both_ways else 1.0)
            key = fault.key + ("" if not fault.both_ways else " +" if sign > 0.0 else " -")
            found.append(Cause(key, words, float(weight[mine].sum()), was))
    return sorted(found, key=lambda one: -one.chance)
