"""What the builders of sensitivity.md and forgiveness.md share: tuned bows, samples, clean."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loosewell.chance.priors import Uncertain, sample
from loosewell.physics import flight
from loosewell.physics import launch as kernel
from loosewell.records import Archer, Bow
from loosewell.units import INCH
from loosewell.workshop import bridge, demo
from loosewell.workshop.match import CleanLimits

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

SEED = 20_260_419
LIMITS = CleanLimits()


@dataclass(frozen=True)
class Stand:
    """A bow and an archer ready to shoot: models, middles, shot scatter."""

    bow: bridge.BowModel
    loose: bridge.LooseModel
    hand: str
    draw_in: float
    inputs: tuple[Uncertain, ...]

    @property
    def weight_lb(self) -> float:
        """Draw weight at the archer's draw. [lb]"""
        return self.bow.weight_at(self.draw_in)

    def middles(self, n: int) -> dict[str, Array]:
        """Every input at its middle, for n shots."""
        return {one.key: np.full(n, one.middle) for one in self.inputs}

    def shots(self, n: int, seed: int = SEED) -> dict[str, Array]:
        """What changes from shot to shot, n times."""
        return sample(list(self.loose.shots), n, seed)


def bow_of(name: str) -> Bow:
    """A bow of the invented camp."""
    return next(one for one in demo.bows() if one.name == name)


def archer_of(name: str) -> Archer:
    """An archer of the invented camp."""
    return next(one for one in demo.archers() if one.name == name)


def stand(bow: Bow, archer: Archer, arrow: bridge.ArrowModel) -> Stand:
    """Bow and archer with the nocking point tuned to that arrow, as `match` does it.

    The nocking point is set right first at the range too: untuned it would drown everything
    sideways.
    """
    loose = bridge.loose_model(archer)
    draw = next(one for one in loose.inputs if one.key == "draw")
    scatter = next(one for one in loose.shots if one.key == "draw_scatter")
    room_in = 2.6 * math.hypot(scatter.spread, draw.spread) / INCH
    draw_in = draw.middle / INCH
    model = bridge.bow_model(bow, draw_in, room_in)
    slopes = np.linspace(-0.012, 0.012, 25)
    inputs = [*model.inputs, *loose.inputs]
    values = {one.key: np.full(len(slopes), one.middle) for one in inputs}
    values["nock_path"] = slopes
    out = bridge.shoot(
        model, [arrow], np.zeros(len(slopes), dtype=np.int64), values, archer.hand, 18.0
    ).launch
    speed = out[:, kernel.SPEED]
    tilt = out[:, kernel.PITCH] - out[:, kernel.Z_VELOCITY] / speed
    # A fletched arrow swings about 0.22 rad for each metre flown, whatever its speed.
    swing = np.hypot(tilt, out[:, kernel.PITCH_RATE] / (0.22 * speed))
    best = float(slopes[int(np.argmin(swing))])
    tuned = tuple(
        Uncertain(one.key, best, one.spread) if one.key == "nock_path" else one for one in inputs
    )
    return Stand(model, loose, archer.hand, draw_in, tuned)


def clean(shots: bridge.Shots, limits: CleanLimits = LIMITS) -> Flags:
    """Which shots are clean, by the limits `match` uses."""
    angle = np.degrees(np.hypot(shots.stand_left, shots.stand_high))
    with np.errstate(invalid="ignore"):
        return np.asarray(
            (shots.status == 0)
            & (1e3 * shots.tail_knock <= limits.knock_mns)
            & (np.degrees(shots.flight[:, flight.LARGEST_ANGLE]) <= limits.swing_deg)
            & (angle <= limits.stand_deg)
        )
