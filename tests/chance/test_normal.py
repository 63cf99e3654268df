"""Joint normal statements: closed forms, plain sampling, and the uncertainties package."""

from __future__ import annotations

import math

import numpy as np
import pytest
import uncertainties

from loosewell.chance.normal import EIGHT_OF_TEN, Normal
from loosewell.chance.priors import combine
from tolerances import one_percent, round_off, stated_to_two_figures

PAIR = Normal(np.array([1.0, -2.0]), np.array([[0.04, 0.03], [0.03, 0.09]]))


def test_one_unknown_measured_is_the_precision_weighted_mean() -> None:
    """Closed form of two normal statements, as chance.priors has it."""
    told = Normal(np.array([5.0]), np.array([[4.0]])).given(np.array([1.0]), 8.0, 1.5)
    mean, error = told.of(np.array([1.0]))
    assert (mean, error) == pytest.approx(combine(5.0, 2.0, 8.0, 1.5), rel=round_off)


def test_what_was_measured_moves_what_goes_with_it() -> None:
    """Closed form: regression of one on the other, variance less by the correlation squared."""
    told = PAIR.given(np.array([1.0, 0.0]), 1.3, 1e-9)
    mean, error = told.of(np.array([0.0, 1.0]))
    assert mean == pytest.approx(-2.0 + 0.03 / 0.04 * 0.3, rel=1e-9)
    assert error == pytest.approx(math.sqrt(0.09 * (1.0 - 0.03**2 / (0.04 * 0.09))), rel=1e-9)


def test_a_measured_sum_agrees_with_sampling() -> None:
    """Monte Carlo: samples weighed by how well they agree with the measurement."""
    rng = np.random.default_rng(8)
    drawn = rng.multivariate_normal(PAIR.mean, PAIR.covariance, 400_000)
    row, seen, error = np.array([0.7, 1.4]), -1.7, 0.2
    weight = np.exp(-0.5 * ((drawn @ row - seen) / error) ** 2)
    mean = weight @ drawn / weight.sum()
    spread = np.sqrt(weight @ (drawn - mean) ** 2 / weight.sum())
    told = PAIR.given(row, seen, error)
    assert told.mean == pytest.approx(mean, abs=0.005)
    assert np.sqrt(np.diag(told.covariance)) == pytest.approx(spread, rel=one_percent)


def test_the_error_of_a_sum_is_that_of_the_uncertainties_package() -> None:
    first, second = uncertainties.correlated_values(PAIR.mean, PAIR.covariance)
    told = 3.0 * first - 2.0 * second + 1.0
    mean, error = PAIR.of(np.array([3.0, -2.0]), 1.0)
    assert mean == pytest.approx(told.nominal_value, rel=round_off)
    assert error == pytest.approx(told.std_dev, rel=round_off)


def test_two_measurements_in_either_order_say_the_same() -> None:
    one, other = np.array([1.0, 0.0]), np.array([1.0, 1.0])
    there = PAIR.given(one, 1.2, 0.1).given(other, -0.5, 0.2)
    back = PAIR.given(other, -0.5, 0.2).given(one, 1.2, 0.1)
    assert there.mean == pytest.approx(back.mean, rel=1e-12)
    assert there.covariance == pytest.approx(back.covariance, rel=1e-12)


def test_a_surprise_counts_both_errors() -> None:
    assert PAIR.surprise(np.array([1.0, 0.0]), 1.5, 0.15) == pytest.approx(0.5 / 0.25, rel=1e-12)


def test_eight_of_ten_lie_inside() -> None:
    values = np.random.default_rng(4).standard_normal(100_000)
    assert np.mean(np.abs(values) < EIGHT_OF_TEN) == pytest.approx(0.8, rel=stated_to_two_figures)
