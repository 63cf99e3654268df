"""A fall toward an unknown rest: recovered from synthetic readings, with honest ranges."""

from __future__ import annotations

import numpy as np
import pytest

from loosewell.chance import decay
from tolerances import one_percent, round_off, stated_to_three_figures

REST, EXCESS, DAYS = 400.0, 0.55, 24.0


def readings(days: np.ndarray, error: float, seed: int) -> np.ndarray:
    noise = error * np.random.default_rng(seed).standard_normal(len(days))
    return REST * (1.0 + EXCESS * np.exp(-days / DAYS)) + noise


def test_exact_readings_give_the_curve_back() -> None:
    days = 7.0 * np.arange(10)
    fit = decay.decay_fit(days, readings(days, 0.0, 1), np.full(10, 1.0), 30.0)
    assert fit is not None
    assert fit.rest == pytest.approx(REST, rel=1e-7)
    assert fit.excess == pytest.approx(EXCESS, rel=1e-7)
    assert fit.time_constant == pytest.approx(DAYS, rel=1e-7)


def test_the_errors_of_the_fit_are_the_scatter_of_many_fits() -> None:
    """Monte Carlo of the same drying weighed again and again."""
    days = 7.0 * np.arange(14)
    fits = [
        decay.decay_fit(days, readings(days, 2.0, seed), np.full(14, 2.0), 30.0)
        for seed in range(300)
    ]
    good = [one for one in fits if one is not None]
    assert len(good) == 300
    for name in ("rest", "excess", "time_constant"):
        spread = np.std([getattr(one, name) for one in good])
        said = np.median([getattr(one, f"{name}_error") for one in good])
        assert said == pytest.approx(spread, rel=0.12), name
    assert np.mean([one.scatter for one in good]) == pytest.approx(1.0, abs=0.05)


def test_eight_of_ten_ranges_hold_the_truth() -> None:
    """Simulation-based: truths drawn from the prior, as it stands in the docstring."""
    rng = np.random.default_rng(20260302)
    held = {"rest": 0, "time": 0, "steady": 0}
    trials = 250
    for trial in range(trials):
        time = 30.0 * np.exp(np.log(2.5) * rng.standard_normal())
        excess = rng.uniform(0.0, decay.MOST_EXCESS)
        days = 7.0 * np.arange(rng.integers(2, 10))
        error = rng.choice([1.5, 4.5])
        value = REST * (1.0 + excess * np.exp(-days / time))
        value = value + error * rng.standard_normal(len(days))
        told = decay.decay_posterior(days, value, np.full(len(days), error), 30.0, 2.5, 2000, trial)
        truth = decay.Decay(np.array([REST]), np.array([excess]), np.array([time]))
        for name, values, true in (
            ("rest", told.rest, REST),
            ("time", told.time_constant, time),
            ("steady", told.time_of_loss(7.0, error), truth.time_of_loss(7.0, error)[0]),
        ):
            low, high = np.quantile(values, (0.1, 0.9))
            held[name] += low <= true <= high
    # Binomial: 8 of 10 within three standard errors of 250 trials. A steady day at once is a tie.
    for name in ("rest", "time"):
        assert abs(held[name] / trials - 0.8) < 3.0 * (0.16 / trials) ** 0.5, (name, held)
    assert held["steady"] / trials > 0.8 - 3.0 * (0.16 / trials) ** 0.5


def test_few_readings_agree_with_sampling_from_the_prior() -> None:
    """Monte Carlo: curves of the prior weighed by how well they meet three readings."""
    rng = np.random.default_rng(17)
    count = 2_000_000
    time = 30.0 * np.exp(np.log(2.5) * rng.standard_normal(count))
    excess = rng.uniform(0.0, decay.MOST_EXCESS, count)
    # The rest is unknown beforehand, even over all that can matter; drawn by where it begins.
    rest = rng.uniform(560.0, 640.0, count) / (1.0 + excess)
    days, value, error = np.array([0.0, 7.0, 14.0]), np.array([600.0, 575.0, 552.0]), 8.0
    misfit = np.zeros(count)
    for at, seen in zip(days, value, strict=True):
        misfit += ((rest * (1.0 + excess * np.exp(-at / time)) - seen) / error) ** 2
    weight = np.exp(-0.5 * misfit) / (1.0 + excess)
    told = decay.decay_posterior(days, value, np.full(3, error), 30.0, 2.5, 40_000, 5)
    for drawn, sampled in ((told.rest, rest), (told.excess, excess), (told.time_constant, time)):
        order = np.argsort(sampled)
        gathered = np.cumsum(weight[order]) / weight.sum()
        for part in (0.1, 0.5, 0.9):
            true = sampled[order][np.searchsorted(gathered, part)]
            assert np.quantile(drawn, part) == pytest.approx(true, rel=3 * one_percent)


def test_many_precise_readings_leave_the_prior_behind() -> None:
    days = 7.0 * np.arange(20)
    told = decay.decay_posterior(
        days, readings(days, 0.5, 3), np.full(20, 0.5), 200.0, 2.0, 4000, 5
    )
    assert np.median(told.time_constant) == pytest.approx(DAYS, rel=2 * one_percent)
    assert np.median(told.rest) == pytest.approx(REST, rel=stated_to_three_figures)
    fit = decay.decay_fit(days, readings(days, 0.5, 3), np.full(20, 0.5), 30.0)
    assert fit is not None
    assert np.std(told.rest) == pytest.approx(fit.rest_error, rel=0.1)


def test_the_day_of_a_small_loss_is_the_closed_form() -> None:
    """A (1 − e^(−7/τ)) e^(−t/τ) = loss, solved for t, and the week behind it."""
    told = decay.Decay(np.array([REST]), np.array([EXCESS]), np.array([DAYS]))
    day = told.time_of_loss(7.0, 4.5)[0]
    assert told.at(day - 7.0)[0] - told.at(day)[0] == pytest.approx(4.5, rel=1e-9)
    dry = decay.Decay(np.array([REST]), np.array([0.001]), np.array([DAYS]))
    assert dry.time_of_loss(7.0, 4.5)[0] == pytest.approx(7.0, rel=round_off)


def test_the_same_seed_draws_the_same_curves() -> None:
    days = 7.0 * np.arange(5)
    asked = (days, readings(days, 2.0, 2), np.full(5, 2.0), 30.0, 2.5, 100)
    assert np.array_equal(
        decay.decay_posterior(*asked, 3).rest, decay.decay_posterior(*asked, 3).rest
    )
    assert not np.array_equal(
        decay.decay_posterior(*asked, 3).rest, decay.decay_posterior(*asked, 4).rest
    )


def test_three_days_fix_no_curve() -> None:
    days = np.array([0.0, 7.0, 14.0])
    assert decay.decay_fit(days, readings(days, 1.0, 1), np.full(3, 1.0), 30.0) is None
