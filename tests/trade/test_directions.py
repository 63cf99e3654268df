"""What archers find at the butt, asked of the engine: common practice, no source.

A right-handed archer with a steady loose and a plain wooden bow, through the bridge and its
defaults. The best spine is the one whose arrow leaves without turning: the yaw rate, averaged
over fixed samples of all that is uncertain, crosses zero there, negative (nose right) below
and positive above. A shaft *acts weaker* when that spine moves up.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from loosewell.chance.priors import sample
from loosewell.physics import launch, spine
from loosewell.records import Archer, Bow, Fletching
from loosewell.records.bow import DrawReading
from loosewell.units import GRAIN, INCH
from loosewell.workshop import bridge, match

Array = NDArray[np.float64]

SPINES = np.arange(30.0, 94.0, 4.0)
WORLDS = 64
LIMITS = match.CleanLimits()


@dataclass(frozen=True)
class SetUp:
    """Stated inputs: 60 lb at 28 in standard, archer 27 in standard, plate 0.2 in, 28.5 in arrow.

    String mass None is the bridge's own guess, 170 gr.
    """

    weight_lb: float = 60.0
    standard_draw_in: float = 27.0
    plate_offset_in: float = 0.2
    length_in: float = 28.5
    point_gr: float = 125.0
    string_gr: float | None = None
    bare: bool = False


@dataclass(frozen=True)
class Sweep:
    """Shots of every spine in every world."""

    yaw_rate: Array
    hit_left: Array
    clean: Array

    def best_lb(self) -> float:
        """Spine at which the mean yaw rate first crosses zero from below."""
        mean = self.yaw_rate.mean(axis=1)
        at = np.flatnonzero((mean[:-1] < 0.0) & (mean[1:] >= 0.0))
        assert len(at) > 0, f"no spine leaves straight: {np.round(mean, 1)}"
        i = int(at[0])
        return float(SPINES[i] - mean[i] * (SPINES[i + 1] - SPINES[i]) / (mean[i + 1] - mean[i]))

    def share(self) -> Array:
        return np.asarray(self.clean.mean(axis=1))


def bow_of(one: SetUp) -> Bow:
    return Bow(
        name="invented",
        make="plain wooden",
        length_in=68.0,
        brace_height_in=6.5,
        draw_measured="standard",
        draw_readings=(DrawReading(draw_in=28.0, weight_lb=one.weight_lb, weight_error_lb=0.5),),
        plate_offset_in=one.plate_offset_in,
        string_mass_gr=one.string_gr,
        hand="right",
        invented=True,
    )


def archer_of(one: SetUp) -> Archer:
    return Archer(
        name="invented",
        draw_length_in=one.standard_draw_in,
        draw_measured="standard",
        draw_method="marked arrow",
        hand="right",
        hook="split finger",
        loose="steady",
        invented=True,
    )


@cache
def sweep(one: SetUp) -> Sweep:
    loose = bridge.loose_model(archer_of(one))
    draw_in = one.standard_draw_in - bridge.TRUE_BELOW_STANDARD_IN
    bow = bridge.bow_model(bow_of(one), draw_in, room_in=1.0)
    drawn = sample([*bow.inputs, *loose.inputs, *loose.shots], WORLDS, seed=1)
    values = {key: np.tile(value, len(SPINES)) for key, value in drawn.items()}
    values["stiffness_scale"] = np.repeat(SPINES / 50.0, WORLDS)
    fletching = Fletching(material="none") if one.bare else bridge.standard_fletching()
    shaft = bridge.uniform_profile(
        spine.stiffness_from_spine_pounds(50.0), 12.0 * GRAIN / INCH, 11.0 / 32.0 * INCH, 0.9
    )
    arrow = bridge.arrow_model(shaft, one.length_in * INCH, bridge.parts(one.point_gr, fletching))
    which = np.zeros(len(SPINES) * WORLDS, dtype=np.int64)
    shots = bridge.shoot(bow, [arrow], which, values, "right", 18.0)
    out = shots.launch
    knock = out[:, launch.TAIL_SHAFT_Y] + out[:, launch.TAIL_FLETCHING_Y]
    # Sideways only: height has its own cure, the nocking point.
    clean = (
        (shots.status == 0)
        & (knock * 1e3 <= LIMITS.knock_mns)
        & (np.abs(np.degrees(shots.stand_left)) <= LIMITS.stand_deg)
    )
    shape = (len(SPINES), WORLDS)
    return Sweep(
        out[:, launch.YAW_RATE].reshape(shape),
        shots.hit_left.reshape(shape),
        clean.reshape(shape).astype(np.float64),
    )


PLAIN = SetUp()


@pytest.mark.parametrize(
    ("change", "least_lb"),
    [
        # Right way, but less than the 3 to 5 lb for 25 gr that archers allow.
        pytest.param({"point_gr": 175.0}, 0.8, id="heavier point"),
        pytest.param({"length_in": 30.5}, 2.0, id="longer shaft"),
        pytest.param({"weight_lb": 70.0}, 3.0, id="stronger bow"),
        pytest.param({"standard_draw_in": 28.5, "length_in": 28.5}, 1.0, id="longer draw"),
        pytest.param(
            {"string_gr": 90.0},
            2.0,
            id="lighter, faster string",
        ),
    ],
)
def test_what_makes_a_shaft_act_weaker(change: dict[str, float], least_lb: float) -> None:
    plain, changed = sweep(PLAIN).best_lb(), sweep(replace(PLAIN, **change)).best_lb()
    print(f"{change}: {plain:.1f} -> {changed:.1f} lb (26 in span, 2 lb)")
    assert changed > plain + least_lb


@pytest.mark.parametrize(
    ("change", "least_lb"),
    [
        pytest.param({"point_gr": 85.0}, 0.5, id="lighter point"),
        pytest.param({"length_in": 27.0}, 2.0, id="shorter shaft"),
        pytest.param({"weight_lb": 50.0}, 3.0, id="weaker bow"),
    ],
)
def test_what_makes_a_shaft_act_stiffer(change: dict[str, float], least_lb: float) -> None:
    plain, changed = sweep(PLAIN).best_lb(), sweep(replace(PLAIN, **change)).best_lb()
    print(f"{change}: {plain:.1f} -> {changed:.1f} lb (26 in span, 2 lb)")
    assert changed < plain - least_lb


def test_best_spine_of_a_plain_bow_is_near_its_draw_weight() -> None:
    """57 lb at this archer's draw, arrow and point near the usual: within a fifth."""
    assert 0.8 * 57.3 < sweep(PLAIN).best_lb() < 1.2 * 57.3


def test_too_weak_leaves_nose_right_and_too_stiff_nose_left() -> None:
    found = sweep(PLAIN)
    best = found.best_lb()
    mean = found.yaw_rate.mean(axis=1)
    assert np.all(mean[best - 20.0 >= SPINES] < -1.0)
    assert np.all(mean[(best + 8.0 <= SPINES) & (best + 24.0 >= SPINES)] > 0.5)


OFFSETS = (0.0, 0.2, 0.4)


def test_a_plate_further_from_centre_forgives_less() -> None:
    """Fewer clean shots at the best spine, once the plate stands well out; near centre all are.

    Archers say too that weak shafts suffer first. The engine does not bear that out: over
    the spines weaker than the best one it counts as many clean shots or a few more.
    """
    best = [float(sweep(replace(PLAIN, plate_offset_in=at)).share().max()) for at in OFFSETS]
    print("best shares", np.round(best, 2))
    assert min(best[0], best[1]) > best[2] + 0.03
    assert best[0] > 0.95


def test_a_plate_further_from_centre_wants_no_stiffer_shaft() -> None:
    """Archers give such a bow a weaker shaft."""
    best = [sweep(replace(PLAIN, plate_offset_in=at)).best_lb() for at in OFFSETS]
    print("best spines", np.round(best, 1))
    assert best[0] > best[1] > best[2]


def test_bare_shaft_lands_left_when_too_stiff_and_right_when_too_weak() -> None:
    """Against the fletched arrow of the same shaft at 18 m."""
    fletched, bare = sweep(PLAIN), sweep(replace(PLAIN, bare=True))
    apart = (bare.hit_left - fletched.hit_left).mean(axis=1) / INCH
    best = fletched.best_lb()
    print("bare left of fletched [in]:", np.round(apart, 1))
    weak, stiff = best - 16.0, best + 16.0
    assert np.interp(weak, SPINES, apart) < -2.0
    assert np.interp(stiff, SPINES, apart) > 2.0


def test_a_plain_bow_of_fifty_six_pounds_wants_what_archers_give_it() -> None:
    """60 lb at 28 in standard is about 57 lb at 27 in; a plate 0.2 in short: 55 to 60 lb."""
    answer = match.match(bow_of(PLAIN), archer_of(PLAIN), [], length_in=PLAIN.length_in)
    band = answer.spine_range_lb
    print(answer.draw_weight_lb, band, answer.best_share_percent)
    assert band is not None
    assert 55.0 < answer.draw_weight_lb.middle < 59.0
    assert band.low < 60.0
    assert band.high > 55.0
    assert band.high - band.low < 30.0  # a range that says something


def test_right_and_left_hand_are_exact_mirrors() -> None:
    one = PLAIN
    loose = bridge.loose_model(archer_of(one))
    bow = bridge.bow_model(bow_of(one), 25.25, room_in=1.0)
    values = sample([*bow.inputs, *loose.inputs, *loose.shots], 16, seed=3)
    shaft = bridge.uniform_profile(4.85, 0.03, 11.0 / 32.0 * INCH, 0.9)
    arrow = bridge.arrow_model(shaft, 28.5 * INCH, bridge.parts(125.0, bridge.standard_fletching()))
    which = np.zeros(16, dtype=np.int64)
    right, left = (
        bridge.shoot(bow, [arrow], which, values, hand, 18.0) for hand in ("right", "left")
    )
    assert np.all(np.abs(right.hit_left) > 1e-3)
    assert np.array_equal(right.hit_left, -left.hit_left)
    assert np.array_equal(right.stand_left, -left.stand_left)
    assert np.array_equal(right.hit_high, left.hit_high)
    assert np.array_equal(right.stand_high, left.stand_high)
    assert np.array_equal(right.tail_knock, left.tail_knock)
