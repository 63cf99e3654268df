"""From shots to a share, a range and its reasons, on cases worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from loosewell.chance import forecast
from tolerances import round_off

Array = NDArray[np.float64]


def test_range_of_a_tent_is_cut_between_the_spines() -> None:
    spine = np.array([40.0, 45.0, 50.0, 55.0, 60.0])
    share = np.array([0.0, 0.4, 0.8, 0.4, 0.0])
    assert forecast.range_over(spine, share, 0.6) == (47.5, 52.5, False, False)
    assert forecast.range_over(spine, share, 0.3) == (43.75, 56.25, False, False)


def test_range_that_leaves_the_sweep_says_so() -> None:
    spine = np.array([40.0, 50.0, 60.0])
    assert forecast.range_over(spine, np.array([0.9, 0.8, 0.0]), 0.4) == (40.0, 55.0, True, False)
    assert forecast.range_over(spine, np.array([0.0, 0.8, 0.9]), 0.4) == (45.0, 60.0, False, True)
    assert forecast.range_over(spine, np.full(3, 0.7), 0.4) == (40.0, 60.0, True, True)


def test_no_range_when_even_the_best_is_too_poor() -> None:
    assert forecast.range_over(np.array([40.0, 50.0]), np.array([0.1, 0.2]), 0.3) is None


def test_a_second_stretch_beyond_a_gap_is_not_part_of_the_range() -> None:
    spine = np.arange(6.0)
    share = np.array([0.0, 1.0, 0.0, 0.0, 0.8, 0.8])
    assert forecast.range_over(spine, share, 0.5) == (0.5, 1.5, False, False)
    assert forecast.range_over(spine, share[::-1], 0.5) == (3.5, 4.5, False, False)


def test_share_curve_of_even_worlds_is_the_share_itself() -> None:
    spine = np.linspace(40.0, 60.0, 5)
    clean = np.zeros((5, 8, 4), dtype=bool)
    clean[:, :, :3] = True
    curve = forecast.share_curve(spine, clean)
    assert curve.share == pytest.approx(np.full(5, 0.75), rel=round_off)
    assert curve.low == pytest.approx(curve.high, rel=round_off)


def test_share_curve_spreads_a_quarter_to_each_neighbour() -> None:
    clean = np.zeros((5, 2, 4), dtype=bool)
    clean[2] = True
    curve = forecast.share_curve(np.arange(5.0), clean)
    assert curve.share == pytest.approx([0.0, 0.25, 0.5, 0.25, 0.0], rel=round_off)


def test_share_curve_keeps_eight_of_ten_worlds_between_low_and_high() -> None:
    """Eleven worlds with shares 0, 0.1 ... 1: one tenth below 0.1, one tenth above 0.9."""
    clean = np.zeros((3, 11, 10), dtype=bool)
    for world in range(11):
        clean[:, world, :world] = True
    curve = forecast.share_curve(np.arange(3.0), clean)
    assert curve.share == pytest.approx(np.full(3, 0.5))
    assert curve.low == pytest.approx(np.full(3, 0.1))
    assert curve.high == pytest.approx(np.full(3, 0.9))


def boxes(spine: Array, middle: Array, half: float) -> NDArray[np.bool_]:
    """Worlds in which exactly the spines within half of the middle are clean; one shot each."""
    return (np.abs(spine[:, None] - middle[None, :]) <= half)[:, :, None]


SPINE = np.linspace(0.0, 100.0, 2001)
RNG = np.random.default_rng(17)
FIRST, SECOND, IDLE = (RNG.standard_normal(512) for _ in range(3))


def test_known_inputs_leave_only_the_width_of_the_box() -> None:
    """An even box has a third of the square of its half width as variance."""
    found = forecast.spread_of_range(
        SPINE, boxes(SPINE, np.full(64, 50.0), 9.0), {"constant": np.full(64, 3.0)}
    )
    assert found.within == 1.0
    assert found.by_input == {}
    assert found.rest == 0.0
    assert found.middle == pytest.approx(50.0, abs=0.05)
    assert found.deviation**2 == pytest.approx(9.0**2 / 3.0, rel=0.01)


def test_variance_is_shared_out_as_the_inputs_caused_it() -> None:
    """Middle 50 + 3 a + 4 b, box of half width 6: variances 9, 16 and 12 of 37."""
    middle = 50.0 + 3.0 * FIRST + 4.0 * SECOND
    found = forecast.spread_of_range(
        SPINE, boxes(SPINE, middle, 6.0), {"a": FIRST, "b": SECOND, "idle": IDLE}
    )
    total = 9.0 * np.var(FIRST) + 16.0 * np.var(SECOND) + 12.0
    assert found.by_input["a"] == pytest.approx(9.0 * np.var(FIRST) / total, abs=0.02)
    assert found.by_input["b"] == pytest.approx(16.0 * np.var(SECOND) / total, abs=0.02)
    assert found.within == pytest.approx(12.0 / total, abs=0.02)
    assert found.by_input["idle"] < 1e-3
    assert abs(found.rest) < 0.03
    assert found.middle == pytest.approx(np.mean(middle), abs=0.1)
    assert found.deviation**2 == pytest.approx(total, rel=0.05)


def test_parts_add_up_to_one() -> None:
    middle = 50.0 + 3.0 * FIRST + 2.0 * FIRST * SECOND
    found = forecast.spread_of_range(
        SPINE, boxes(SPINE, middle, 5.0), {"a": FIRST, "b": SECOND, "idle": IDLE}
    )
    assert found.within + sum(found.by_input.values()) + found.rest == pytest.approx(1.0, rel=1e-9)
    assert all(part >= 0.0 for part in found.by_input.values())


def test_what_two_inputs_do_only_together_is_left_as_the_rest() -> None:
    """Middle 50 + 4 a b: no straight line in a or b, so the 16 of variance stay unshared."""
    middle = 50.0 + 4.0 * FIRST * SECOND
    found = forecast.spread_of_range(SPINE, boxes(SPINE, middle, 6.0), {"a": FIRST, "b": SECOND})
    assert max(found.by_input.values()) < 0.03
    assert found.rest == pytest.approx(np.var(middle) / (np.var(middle) + 12.0), abs=0.04)


def test_a_world_without_a_clean_shot_counts_for_nothing() -> None:
    middle = 50.0 + 3.0 * FIRST
    clean = boxes(SPINE, middle, 5.0)
    found = forecast.spread_of_range(SPINE, clean, {"a": FIRST})
    emptied = np.concatenate((clean, np.zeros_like(clean[:, :100])), axis=1)
    other = forecast.spread_of_range(
        SPINE, emptied, {"a": np.concatenate((FIRST, np.full(100, 40.0)))}
    )
    assert other.middle == pytest.approx(found.middle, rel=1e-9)
    assert other.deviation == pytest.approx(found.deviation, rel=1e-9)
    assert other.by_input["a"] == pytest.approx(found.by_input["a"], rel=1e-6)


def test_too_few_worlds_blame_no_input() -> None:
    found = forecast.spread_of_range(
        SPINE, boxes(SPINE, np.array([45.0, 55.0]), 5.0), {"a": FIRST[:2], "b": SECOND[:2]}
    )
    assert found.within == 1.0
    assert found.by_input == {"a": 0.0, "b": 0.0}
