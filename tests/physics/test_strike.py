"""How an arrow stands: signs, limits, and the even stop behind the formula."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate

from loosewell.physics import strike
from tolerances import round_off


def stand(attitude: float, path: float = 0.0, rate: float = 0.0, depth: float = 0.15) -> float:
    one = (np.array([value]) for value in (attitude, path, rate, 45.0))
    return float(strike.stand_angle(*one, depth)[0])


def test_an_arrow_along_its_path_stands_straight() -> None:
    assert stand(0.03, 0.03) == 0.0


def test_the_nock_stands_on_the_other_side_than_the_nose_points() -> None:
    assert stand(0.02) == pytest.approx(-0.02, rel=round_off)
    assert stand(-0.02) == pytest.approx(0.02, rel=round_off)


def test_a_path_to_the_left_puts_the_nock_of_a_straight_arrow_left_of_it() -> None:
    """Point to the left of the nose's line: the tail lags on the left of the path."""
    assert stand(0.0, 0.01) == pytest.approx(0.01, rel=round_off)


def test_the_tail_swings_on_for_its_share_of_an_even_stop() -> None:
    """Stopping time by integration of an even braking from 45 m/s over the depth."""
    depth, speed = 0.2, 45.0
    braking = speed**2 / (2.0 * depth)
    stop = integrate.solve_ivp(
        lambda _, s: [s[1], -braking],
        (0.0, 1.0),
        [0.0, speed],
        events=lambda _, s: s[1],
        rtol=1e-10,
    )
    time = float(stop.t_events[0][0])
    assert stop.y_events[0][0][0] == pytest.approx(depth, rel=1e-8)
    swung = stand(0.0, 0.0, 2.0, depth)
    assert swung == pytest.approx(-2.0 * time * strike.GRIP_SHARE, rel=1e-8)
    assert np.degrees(abs(swung)) < 0.5


def test_an_arrow_that_hardly_enters_stands_as_it_came() -> None:
    assert stand(0.02, 0.005, 3.0, 0.0) == pytest.approx(-0.015, rel=round_off)


def test_a_still_arrow_gives_a_finite_angle() -> None:
    zero = np.zeros(1)
    assert np.isfinite(strike.stand_angle(zero, zero, zero, zero, 0.15)[0])


def test_depth_grows_with_energy_and_falls_with_resistance() -> None:
    """Klopsteg 1943, Penetration of Arrows: depth goes with kinetic energy for a given force."""
    energy = np.array([20.0, 40.0])
    depth = strike.penetration_depth(energy, 200.0)
    assert depth == pytest.approx([0.1, 0.2], rel=round_off)
    assert strike.penetration_depth(energy, 400.0) == pytest.approx(0.5 * depth, rel=round_off)


def test_depth_and_stopping_time_agree_with_the_momentum() -> None:
    """One steady force stops 30 g at 45 m/s in m v / F, the 2 d / v of the formula."""
    mass, speed, force = 0.030, 45.0, 220.0
    depth = strike.penetration_depth(np.array([0.5 * mass * speed**2]), force)[0]
    swung = stand(0.0, 0.0, 1.0, float(depth))
    assert -swung / strike.GRIP_SHARE == pytest.approx(mass * speed / force, rel=1e-9)
