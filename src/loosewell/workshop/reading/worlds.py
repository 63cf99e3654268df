"""Samples of bow, archer, arrow and faults, and what each of them would show in the butt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.chance.posterior import Proposal, log_normal
from loosewell.chance.priors import Uncertain
from loosewell.workshop import bridge
from loosewell.workshop.reading import faults
from loosewell.workshop.session import Session

Array = NDArray[np.float64]
Index = NDArray[np.int64]

AIM_SCATTER = {"beginner": 0.020, None: 0.010, "experienced": 0.007}
"""Standard error of one shot's aim and hold, each way, as an angle. [rad] Common practice, no
source: 7 mrad is 5 in at 20 yd."""
AIM_SCATTER_ERROR = 0.45
"""Its relative error before any group was seen. [-] Modelling choice."""
MODEL_HIT, MODEL_STAND, MODEL_SHARE = 0.0025, 0.030, 0.25
"""How far the engine itself may be off where an arrow lands and how it stands, as an angle [rad]
and as a share of what it says [-]. Modelling choices; bare by all of it, fletched by half."""


@dataclass(frozen=True)
class Case:
    """One kind of arrow shot in the outing."""

    label: str
    bare: bool
    profile: bridge.Profile
    length: float
    """Nock throat to back of point. [m]"""
    parts: bridge.Parts

    @property
    def model(self) -> bridge.ArrowModel:
        """The arrow as built; worked out once and kept by the bridge."""
        return bridge.arrow_model(self.profile, self.length, self.parts)


@dataclass(frozen=True)
class Seen:
    """What the engine expects of a case in every world, left and high positive. SI."""

    hit_left: Array
    hit_high: Array
    stand_left: Array
    stand_high: Array
    knock: Array
    """[mN s]"""
    speed: Array
    swing: Array
    """Farthest off its path on the way. [deg]"""
    good: NDArray[np.bool_]


@dataclass
class Worlds:
    """Samples: unknowns as standard normal numbers, faults, and what came of them."""

    z: Array
    fault: Index
    amount: Array
    values: dict[str, Array]
    log_prior: Array
    seen: list[Seen] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.z)


@dataclass(frozen=True)
class Scatter:
    """Standard error of one shot that the loose causes, for a case. SI."""

    hit_left: float
    hit_high: float
    stand_left: float
    stand_high: float


class Setting:
    """Bow, archer and day of one outing, ready to be sampled and shot."""

    def __init__(self, job: Session, cases: Sequence[Case], faults_off: bool = False) -> None:
        self.job, self.cases = job, list(cases)
        self.distance = job.distance
        self.inputs: list[Uncertain] = list(job.shared)
        self.draw = job.draw_in * units.INCH
        self.faults_off = faults_off
        aim = AIM_SCATTER.get(job.archer.experience, AIM_SCATTER[None])
        self.aim = Uncertain("aim_scatter", aim, AIM_SCATTER_ERROR, "log")
        engine = [Uncertain("own_stiffness", 0.0, 1.0), Uncertain("own_mass", 0.0, 1.0)]
        self.unknown = [*self.inputs, *engine]
        # The engine is not run for these: the evidence integrates them out.
        self.beside = [
            self.aim,
            *(
                Uncertain(f"{kind}_{what}", 0.0, 1.0)
                for kind in ("bare", "fletched")
                for what in ("hit_left", "hit_high", "stand_left", "stand_high")
            ),
            Uncertain("model_side", 0.0, 1.0),
            Uncertain("model_height", 0.0, 1.0),
        ]

    @property
    def size(self) -> int:
        """Unknowns of the engine, as standard normal numbers; the last is a fault's amount."""
        return len(self.unknown) + 1

    def drawn(
        self,
        count: int,
        seed: int,
        proposals: Sequence[Proposal | None] | None = None,
        chances: Array | None = None,
    ) -> Worlds:
        """So many worlds from the prior, or from a proposal a fault; not yet shot."""
        from scipy.special import ndtr, ndtri
        from scipy.stats import qmc

        rng = np.random.default_rng(seed)
        width = self.size + 2 + len(self.beside)
        cube = qmc.Sobol(width, scramble=True, rng=rng).random_base2(int(np.log2(count)))
        cube = np.clip(cube, 1e-9, 1.0 - 1e-9)
        z = ndtri(cube[:, : self.size])
        drawn_by = faults.CHANCES if chances is None else chances
        which = np.searchsorted(np.cumsum(drawn_by), cube[:, self.size]).astype(np.int64)
        which = np.minimum(which, len(faults.FAULTS) - 1)
        if self.faults_off:
            which[:] = 0
        for k, one in enumerate(proposals or ()):
            here = which == k
            if one is not None:
                z[here] = one.drawn(z[here], cube[here, self.size + 1])
        start = self.job.start
        tied = z if start is None else start.turned(z)
        values = {one.key: one.at(ndtr(tied[:, i])) for i, one in enumerate(self.unknown)}
        for i, other in enumerate(self.beside, self.size + 2):
            values[other.key] = other.at(cube[:, i])
        values["nock_pinch"] = np.full(count, self.cases[0].model.parts.nock_pinch)
        values["pluck"], values["hand_turn"] = np.zeros(count), np.zeros(count)
        values["stiffness_scale"], values["mass_scale"] = np.ones(count), np.ones(count)
        values["reach_scale"] = np.ones(count)
        amount = faults.apply(values, which, z[:, -1], self.draw)
        log_prior = log_normal(z) + np.log(faults.CHANCES[which])
        return Worlds(z, which, amount, values, log_prior)

    def shoot(self, values: dict[str, Array], case: Case, word: str) -> Seen:
        """The middle shot of every world with one case: no scatter of the loose."""
        from loosewell.physics import flight
        from loosewell.physics import launch as kernel

        n = len(values["draw"])
        own = dict(values)
        own["stiffness_scale"] = own["stiffness_scale"] * np.exp(
            case.profile.stiffness_error * own["own_stiffness"]
        )
        own["mass_scale"] = own["mass_scale"] * np.exp(case.profile.mass_error * own["own_mass"])
        shots = self.job.shoot([case.model], np.zeros(n, dtype=np.int64), own, word)
        good = shots.status == 0

        def kept(one: Array) -> Array:
            return np.where(good, one, 0.0)

        return Seen(
            kept(shots.hit_left),
            kept(shots.hit_high),
            kept(shots.stand_left),
            kept(shots.stand_high),
            kept(shots.knock_mns),
            kept(shots.launch[:, kernel.SPEED]),
            kept(np.degrees(shots.flight[:, flight.LARGEST_ANGLE])),
            good,
        )

    def shoot_all(self, worlds: Worlds, word: str) -> None:
        """What every case would show in every world, kept with the worlds."""
        worlds.seen = [self.shoot(worlds.values, case, word) for case in self.cases]

    def scattered(self, values: dict[str, Array], shots: int, seed: int) -> dict[str, Array]:
        """The same worlds, each loosed several times with the archer's scatter."""
        from loosewell.chance.priors import sample

        n = len(values["draw"]) * shots
        count = 1 << (n - 1).bit_length()
        each = sample(list(self.job.loose.shots), count, seed)
        many = {key: np.repeat(one, shots) for key, one in values.items()}
        for key, one in each.items():
            # What belongs to the world stays, the shot's own comes on top.
            many[key] = many[key] + one[:n] if key in many else one[:n]
        return many

    def scatter(self, worlds: Worlds, seed: int) -> list[Scatter]:
        """What the loose alone does to hits and stand, over a part of the worlds."""
        some = slice(0, 192)
        values = {key: one[some] for key, one in worlds.values.items()}
        found = []
        for case, seen in zip(self.cases, worlds.seen, strict=True):
            away = self.shoot(self.scattered(values, 2, seed), case, "scatter of the loose")
            fine = away.good & np.repeat(seen.good[some], 2)
            sizes = []
            for what in ("hit_left", "hit_high", "stand_left", "stand_high"):
                off = getattr(away, what) - np.repeat(getattr(seen, what)[some], 2)
                # A robust width: single shots that strike hard must not widen all.
                width = np.quantile(np.abs(off[fine]), 0.68) if fine.any() else 0.0
                sizes.append(float(width))
            found.append(Scatter(*sizes))
        return found
