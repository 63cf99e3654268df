"""Gaps and point-on: geometry, the parabola, directions, and gaps that were shot."""

from __future__ import annotations

import math

import numpy as np
import pytest

from loosewell.errors import BoundRefusal, ContradictionRefusal
from loosewell.units import FPS, INCH, YARD
from loosewell.workshop.aim import AimCard, Shot, aim, elevations, held_below
from tolerances import one_microradian, round_off
from workshop.test_reach import AIRLESS, one_way
from workshop.test_scrape import pair

TIP = 0.77


def test_without_air_the_elevation_is_the_low_root_of_the_parabola() -> None:
    """tan a = (v² - sqrt(v⁴ - g(g x² + 2 y v²))) / (g x): any textbook."""
    g, v, y = 9.80665, 45.0, 0.08
    for x in (10.0, 40.0, 100.0):
        wanted = math.atan((v**2 - math.sqrt(v**4 - g * (g * x**2 + 2 * y * v**2))) / (g * x))
        # The tip stands ahead of the balance point, so the way is shorter by what it reaches.
        found = elevations(one_way(v, AIRLESS), np.array([x]), y)[0, 0]
        assert found == pytest.approx(wanted, abs=50 * one_microradian)


def test_an_arrow_that_does_not_carry_has_no_elevation() -> None:
    assert np.isnan(elevations(one_way(25.0), np.array([110.0]), 0.0)).all()


def test_held_on_the_spot_the_arrow_points_up_by_eye_over_length() -> None:
    """Point-on: the line eye to tip is level, so the axis rises by atan(eye / length)."""
    eye = np.array([3.0 * INCH])
    axis = np.arctan2(eye, TIP)
    below, seen = held_below(axis, np.zeros(1), eye, TIP, np.array([40.0]))
    assert below[0] == pytest.approx(0.0, abs=round_off)
    assert seen[0] == pytest.approx(0.0, abs=round_off)


def test_a_flat_arrow_is_held_below_by_similar_triangles() -> None:
    """Level arrow, eye e above it: the line over the tip meets the target e D / L below the eye."""
    eye = np.array([0.1])
    below, seen = held_below(np.zeros(1), np.zeros(1), eye, 0.8, np.array([20.0]))
    assert below[0] == pytest.approx(0.1 * 20.0 / 0.8, rel=round_off)
    assert seen[0] == pytest.approx(math.hypot(0.1, 0.8) * 0.1 / 0.8, rel=round_off)


def test_what_leaves_higher_than_it_points_is_pointed_lower() -> None:
    eye = np.array([0.08])
    plain, _ = held_below(np.full(1, 0.06), np.zeros(1), eye, TIP, np.array([30.0]))
    high, _ = held_below(np.full(1, 0.06), np.full(1, 0.005), eye, TIP, np.array([30.0]))
    assert high[0] > plain[0]


def point_on(speed: float, eye_in: float, tip: float) -> float:
    """Where the gap is nothing, by the engine's flights, in yards."""
    far = np.arange(10.0, 100.0, 1.0) * YARD
    leaves = elevations(one_way(speed * FPS), far, eye_in * INCH)
    below, _ = held_below(leaves[0], np.zeros(len(far)), np.full(len(far), eye_in * INCH), tip, far)
    return float(np.interp(0.0, -below[np.isfinite(below)], far[np.isfinite(below)])) / YARD


def test_directions_of_point_on() -> None:
    plain = point_on(150.0, 3.0, TIP)
    assert 30.0 < plain < 60.0
    assert point_on(165.0, 3.0, TIP) > plain
    assert point_on(150.0, 2.0, TIP) < plain
    assert point_on(150.0, 3.0, TIP + 2.0 * INCH) < plain


@pytest.fixture(scope="module")
def card() -> AimCard:
    bow, archer = pair()
    return aim(bow, archer, (), eye_above_in=3.0)


def test_a_heavier_arrow_brings_point_on_nearer(card: AimCard) -> None:
    assert card.heavier_shift_yd is not None
    assert card.heavier_shift_yd.high < 0.0
    assert card.heavier_speed_fps is not None
    assert card.speed_fps is not None
    assert card.heavier_speed_fps < card.speed_fps.middle
    for gap in card.gaps:
        assert gap.heavier_below_in is not None
        assert gap.heavier_below_in < gap.below_in.middle


def test_a_lighter_one_takes_it_farther() -> None:
    bow, archer = pair()
    told = aim(bow, archer, (), eye_above_in=3.0, heavier_gr=-40.0)
    assert told.heavier_shift_yd is not None
    assert told.heavier_shift_yd.low > 0.0


def test_nothing_is_inked_that_was_not_shot(card: AimCard) -> None:
    assert not any(gap.shot for gap in card.gaps)
    assert card.point_on_text.startswith("Computed point-on")
    assert "±2 yd" in card.point_on_text
    assert sum(one.share_percent for one in card.causes) == pytest.approx(100.0, abs=3.0)


def test_shot_gaps_stand_as_they_were_shot_and_narrow_the_rest(card: AimCard) -> None:
    seen = next(gap for gap in card.gaps if gap.distance_yd == 20.0).below_in
    shot = round(seen.middle + 3.0, 1)
    bow, archer = pair()
    told = aim(bow, archer, (), eye_above_in=3.0, shots=[Shot(20.0, shot)])
    inked = [gap for gap in told.gaps if gap.shot]
    assert [(gap.distance_yd, gap.below_in.middle) for gap in inked] == [(20.0, shot)]
    for before, after in zip(card.gaps, told.gaps, strict=True):
        if after.shot:
            continue
        width = after.below_in.high - after.below_in.low
        assert width < before.below_in.high - before.below_in.low
        if after.distance_yd < 45.0:
            assert after.below_in.middle > before.below_in.middle


def test_a_shot_point_on_is_told_as_shot() -> None:
    bow, archer = pair()
    told = aim(bow, archer, (), shots=[Shot(42.0, 0.0)])
    assert told.point_on_text.startswith("You shot point-on at 42 yd")
    assert told.point_on_yd is not None
    assert told.point_on_yd.middle == pytest.approx(42.0, abs=2.0)


def test_gaps_that_no_anchor_explains_are_refused() -> None:
    bow, archer = pair()
    with pytest.raises(ContradictionRefusal, match="do not go with the records"):
        aim(bow, archer, (), eye_above_in=3.0, shots=[Shot(20.0, -100.0)])


def test_a_short_arrow_is_a_stop_and_nothing_is_computed() -> None:
    bow, archer = pair()
    told = aim(bow, archer, (), length_in=20.0)
    assert [one.code for one in told.stops] == ["arrow-too-short"]
    assert told.gaps == []


@pytest.mark.parametrize(
    ("words", "says"),
    [({"eye_above_in": 14.0}, "outside 0 to 9 in"), ({"distances_yd": [500.0]}, "outside 3 to 120"),
     ({"heavier_gr": 0.0}, "outside -200 to 400 gr")],
)  # fmt: skip
def test_what_cannot_be_is_refused(words: dict[str, object], says: str) -> None:
    bow, archer = pair()
    with pytest.raises(BoundRefusal, match=says):
        aim(bow, archer, (), **words)  # type: ignore[arg-type]
