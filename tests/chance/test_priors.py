"""Uncertain inputs: quantiles, evenness of the samples, and the exact normal posterior."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from loosewell.chance.priors import FARTHEST, Uncertain, combine, sample
from tolerances import round_off

ONE_UP = stats.norm.cdf(1.0)


def test_quantiles_of_a_normal_input() -> None:
    one = Uncertain("x", 5.0, 0.3)
    at = one.at(np.array([0.5, ONE_UP, 1.0 - ONE_UP, stats.norm.cdf(2.0)]))
    assert at == pytest.approx([5.0, 5.3, 4.7, 5.6], rel=1e-9)


def test_quantiles_of_a_log_normal_input_are_factors() -> None:
    one = Uncertain("x", 8000.0, 0.35, "log")
    at = one.at(np.array([0.5, ONE_UP, 1.0 - ONE_UP]))
    assert at == pytest.approx([8000.0, 8000.0 * math.exp(0.35), 8000.0 / math.exp(0.35)], rel=1e-9)


def test_a_log_normal_input_keeps_the_sign_of_its_middle() -> None:
    """A thumb loose pushes the other way."""
    at = Uncertain("push", -0.0045, 0.3, "log").at(np.linspace(0.0, 1.0, 99))
    assert np.all(at < 0.0)


def test_quantiles_of_an_even_input() -> None:
    one = Uncertain("x", 2.0, 0.5, "even")
    at = one.at(np.array([0.0, 0.25, 0.5, 1.0]))
    assert at == pytest.approx([1.5, 1.75, 2.0, 2.5], rel=round_off)


def test_no_sample_is_absurd() -> None:
    ends = np.array([0.0, 1.0])
    assert Uncertain("x", 0.0, 2.0).at(ends) == pytest.approx([-2.0 * FARTHEST, 2.0 * FARTHEST])
    assert Uncertain("x", 1.0, 2.0, low=0.5, high=1.5).at(ends) == pytest.approx([0.5, 1.5])


def test_a_known_input_is_always_its_middle() -> None:
    assert np.all(Uncertain("x", 3.25, 0.0, "log").at(np.linspace(0.0, 1.0, 9)) == 3.25)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_values_rise_with_their_chance(a: float, b: float) -> None:
    low, high = sorted((a, b))
    for one in (Uncertain("n", 1.0, 0.2), Uncertain("l", 1.0, 0.2, "log")):
        values = one.at(np.array([low, high]))
        assert values[0] <= values[1]


INPUTS = [
    Uncertain("offset", 0.3, 0.12),
    Uncertain("push", 0.0045, 0.3, "log"),
    Uncertain("grain", 1.0, 0.4, "even"),
    Uncertain("brace", 6.5, 0.25),
]


def test_samples_have_the_quantiles_of_their_inputs() -> None:
    """Sobol: every quantile is met to a few in the count, far closer than chance would."""
    drawn = sample(INPUTS, 1024, 5)
    for one in INPUTS:
        for chance in (0.1, 0.25, 0.5, 0.75, 0.9):
            below = np.mean(drawn[one.key] <= one.at(np.array([chance]))[0])
            assert below == pytest.approx(chance, abs=4.0 / 1024)


def test_samples_have_the_moments_of_the_cut_normal() -> None:
    """A normal law cut at 2.5 errors with its tails gathered there has 0.983 of the spread."""
    drawn = sample(INPUTS, 4096, 5)["offset"]
    law = stats.norm
    inside = law.cdf(FARTHEST) - law.cdf(-FARTHEST) - 2.0 * FARTHEST * law.pdf(FARTHEST)
    variance = inside + FARTHEST**2 * 2.0 * law.sf(FARTHEST)
    assert np.mean(drawn) == pytest.approx(0.3, abs=1e-4)
    assert np.std(drawn) == pytest.approx(0.12 * math.sqrt(variance), rel=2e-3)


def test_inputs_are_independent_of_each_other() -> None:
    drawn = sample(INPUTS, 1024, 11)
    table = np.corrcoef([drawn[one.key] for one in INPUTS])
    assert np.abs(table - np.eye(4)).max() < 0.02


def test_the_same_seed_gives_the_same_samples() -> None:
    first, again, other = (sample(INPUTS, 64, seed)["push"] for seed in (3, 3, 4))
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)


@pytest.mark.parametrize("count", [0, -4, 3, 100])
def test_a_count_that_is_no_power_of_two_is_refused(count: int) -> None:
    with pytest.raises(ValueError, match="power of two"):
        sample(INPUTS, count, 1)


@given(st.floats(-5.0, 5.0), st.floats(0.05, 3.0), st.floats(-5.0, 5.0), st.floats(0.05, 3.0))
def test_a_measurement_gives_the_exact_normal_posterior(
    middle: float, spread: float, measured: float, error: float
) -> None:
    """Against the product of the two bell curves, integrated on a fine grid."""
    got_middle, got_spread = combine(middle, spread, measured, error)
    grid = np.linspace(got_middle - 12.0 * got_spread, got_middle + 12.0 * got_spread, 4001)
    logs = stats.norm.logpdf(grid, middle, spread) + stats.norm.logpdf(grid, measured, error)
    product = np.exp(logs - logs.max())
    mean = np.sum(grid * product) / np.sum(product)
    deviation = math.sqrt(np.sum((grid - mean) ** 2 * product) / np.sum(product))
    assert got_middle == pytest.approx(mean, abs=1e-7)
    assert got_spread == pytest.approx(deviation, rel=1e-6)
    assert got_spread < min(spread, error)


def test_order_of_measurements_does_not_matter() -> None:
    once = combine(*combine(14.0, 1.8, 12.2, 1.0), 15.9, 2.0)
    other = combine(*combine(14.0, 1.8, 15.9, 2.0), 12.2, 1.0)
    assert once == pytest.approx(other, rel=round_off)
