"""Snell through a surface that a wave tilts: against the level case, small angles and Fermat."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import optimize

from loosewell.physics import water
from loosewell.units import FOOT, INCH
from tolerances import one_micrometre, round_off

EYE = 5.5 * FOOT


def test_a_level_surface_gives_what_aim_below_gives() -> None:
    far = np.array([5.0, 10.0, 20.0]) * FOOT
    deep = np.array([1.0, 3.0, 1.0]) * FOOT
    level = water.aim_below(EYE, 4.5 * FOOT, far, deep)[:, water.BELOW]
    tilted = water.below_through_slope(EYE, far, deep, 0.0)
    assert tilted == pytest.approx(level, abs=one_micrometre)


@pytest.mark.parametrize(("angle", "share"), [(15, 0.739), (30, 0.701), (45, 0.626), (60, 0.493)])
def test_apparent_depth_has_the_tabled_shares(angle: float, share: float) -> None:
    """Snell with 1.333, tangent in water over tangent in air (worked beforehand by hand)."""
    sine = math.sin(math.radians(angle)) / 1.333
    deep = 0.5
    far = EYE * math.tan(math.radians(angle)) + deep * math.tan(math.asin(sine))
    below = water.below_through_slope(EYE, far, deep, 0.0, 1.333)[0]
    assert (deep - below) / deep == pytest.approx(share, abs=6e-4)


@pytest.mark.parametrize("slope_deg", [-6.0, -2.0, 3.0, 8.0])
def test_the_ray_through_a_tilted_surface_takes_the_least_time(slope_deg: float) -> None:
    """Fermat: light's way over the tilted surface is stationary at the crossing that was found."""
    far, deep, slope = 12.0 * FOOT, 2.0 * FOOT, math.radians(slope_deg)
    below = water.below_through_slope(EYE, far, deep, slope, 1.333)[0]
    seen = deep - below
    crossing = EYE * far / (EYE + seen)

    def time(along: float) -> float:
        x = crossing + along * math.cos(slope)
        z = along * math.sin(slope)
        return math.hypot(x, EYE - z) + 1.333 * math.hypot(far - x, deep + z)

    best = optimize.minimize_scalar(time, bounds=(-0.3, 0.3), method="bounded",
                                    options={"xatol": 1e-10})  # fmt: skip
    assert best.x == pytest.approx(0.0, abs=5 * one_micrometre)


def test_water_that_faces_the_eye_shows_the_fish_deeper() -> None:
    """A surface that rises away from the eye is met more squarely: it bends the ray less aside."""
    toward, level, away = water.below_through_slope(
        EYE, 20.0 * FOOT, 1.0 * FOOT, np.radians([4.0, 0.0, -4.0])
    )
    assert toward < level < away


def test_an_eye_under_water_or_a_wall_of_water_is_no_question() -> None:
    assert np.isnan(water.below_through_slope([-1.0, 1.0, 1.0], 3.0, [1.0, -0.1, 1.0],
                                              [0.0, 0.0, 0.5])).all()  # fmt: skip


def test_no_bending_of_light_needs_no_aim_below() -> None:
    below = water.below_through_slope(EYE, 10.0 * FOOT, 12.0 * INCH, 0.05, 1.0)[0]
    assert below == pytest.approx(0.0, abs=round_off)
