"""Weights against known tails, an outside package, and posteriors that are known exactly."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import genpareto, multivariate_normal, norm
from scipy.stats import t as student

from loosewell.chance import posterior
from tolerances import one_percent, round_off, stated_to_six_figures, tenth_of_a_percent

Array = NDArray[np.float64]


def log_weights(name: str) -> Array:
    """Draws that anybody can make again: numpy's PCG64 with the seed said."""
    if name.startswith("pareto"):
        shape = float(name.split()[1])
        return np.log(genpareto(shape).rvs(4000, random_state=np.random.default_rng(11)))
    if name == "normal draws for a student":
        x = norm.rvs(size=4000, random_state=np.random.default_rng(3))
        return student(5).logpdf(x) - norm.logpdf(x)
    if name == "student draws for a normal":
        x = student(4).rvs(size=4000, random_state=np.random.default_rng(4))
        return norm.logpdf(x) - student(4).logpdf(x)
    x = norm.rvs(size=20000, random_state=np.random.default_rng(6))
    return norm.logpdf(x, scale=2.0) - norm.logpdf(x)


@pytest.mark.parametrize(
    ("name", "shape", "size"),
    [
        # arviz-stats 0.8.0 (array_stats.psislw), run once on the same draws.
        ("pareto 0.2", 0.16179922390042975, 1587.6549644504855),
        ("pareto 0.5", 0.40723018566433666, 747.7289710537871),
        ("pareto 1.0", 0.8111455437462308, 55.47571840256834),
        ("normal draws for a student", 0.586978628940946, 3350.322338914418),
        ("student draws for a normal", -1.5826722001233535, 3775.0957937905387),
        ("normal draws for a wider normal", 0.721556012992247, 1167.3431497490221),
    ],
)
def test_tail_and_smoothed_weights_are_those_of_an_outside_package(
    name: str, shape: float, size: float
) -> None:
    found = posterior.smoothed(log_weights(name))
    assert found.tail_shape == pytest.approx(shape, rel=stated_to_six_figures)
    assert found.size == pytest.approx(size, rel=stated_to_six_figures)
    assert found.weight.sum() == pytest.approx(1.0, rel=round_off)


@pytest.mark.parametrize("shape", [0.2, 0.5, 1.0])
def test_the_tail_of_pareto_draws_is_found_without_bias_beyond_the_method_s_own(
    shape: float,
) -> None:
    """scipy.stats.genpareto; the method leans toward 0.5 by 10 of n + 10 (Vehtari et al. 2024)."""
    found = []
    for seed in range(60):
        draws = genpareto(shape).rvs(20000, random_state=np.random.default_rng(seed))
        found.append(posterior.smoothed(np.log(draws)).tail_shape)
    tail = min(0.2 * 20000, 3.0 * math.sqrt(20000))
    expected = (tail * shape + 10.0 * 0.5) / (tail + 10.0)
    error = np.std(found, ddof=1) / math.sqrt(len(found))
    assert np.mean(found) == pytest.approx(expected, abs=4.0 * error)
    assert error < 0.02


def test_the_limit_of_trust_parts_light_tails_from_heavy_ones() -> None:
    assert posterior.smoothed(log_weights("pareto 0.5")).trusted
    assert not posterior.smoothed(log_weights("pareto 1.0")).trusted


def test_even_weights_keep_every_sample_and_one_alone_keeps_one() -> None:
    even = posterior.smoothed(np.zeros(500))
    assert even.size == pytest.approx(500.0, rel=round_off)
    assert even.trusted
    alone = np.full(500, -np.inf)
    alone[7] = -3.0
    found = posterior.smoothed(alone)
    assert found.size == pytest.approx(1.0, rel=round_off)
    assert not found.trusted
    with pytest.raises(ValueError, match="no sample"):
        posterior.smoothed(np.full(20, -np.inf))


def test_effective_size_is_kish_s() -> None:
    """Kish 1965: (sum w)² / sum w²; two weights 3 : 1 stand for 1.6 samples."""
    assert posterior.effective_size(np.array([0.75, 0.25])) == pytest.approx(1.6, rel=round_off)


def test_resampling_is_unbiased_and_never_off_by_a_whole_sample() -> None:
    weight = np.array([0.5, 0.013, 0.0, 0.287, 0.2])
    counts = []
    for seed in range(4000):
        places = posterior.resampled(weight, 10, np.random.default_rng(seed))
        counts.append(np.bincount(places, minlength=5))
    table = np.array(counts)
    assert np.all(np.abs(table - 10.0 * weight) < 1.0)
    error = 4.0 * 0.5 / math.sqrt(len(table))
    assert table.mean(axis=0) == pytest.approx(10.0 * weight, abs=error)


def test_weighted_quantiles_of_even_weights_are_those_of_numpy() -> None:
    values = np.random.default_rng(2).standard_normal(5001)
    chances = (0.05, 0.5, 0.9)
    even = np.full(5001, 1.0 / 5001)
    found = posterior.quantiles(values, even, chances)
    assert found == pytest.approx(np.quantile(values, chances, method="hazen"), rel=1e-9)


D, M = 30, 4


def linear_problem() -> tuple[Array, Array, Array, Array, Array]:
    """Four measurements of thirty standard normal unknowns, with the exact posterior.

    Exact: mean A' (A A' + R)⁻¹ y and covariance I - A' (A A' + R)⁻¹ A (normal linear model, any
    textbook).
    """
    rng = np.random.default_rng(8)
    slope = rng.standard_normal((M, D)) / math.sqrt(D)
    error = np.diag([0.3, 0.2, 0.5, 0.1]) ** 2 + 0.02
    seen = np.array([1.0, -0.7, 0.4, 0.9])
    inner = slope @ slope.T + error
    gain = np.linalg.solve(inner, slope).T
    return slope, error, seen, gain @ seen, np.eye(D) - gain @ slope


def test_the_straight_line_of_straight_worlds_is_the_exact_posterior() -> None:
    slope, error, seen, mean, spread = linear_problem()
    z = np.random.default_rng(1).standard_normal((200_000, D))
    found_mean, found_spread = posterior.straight_line(z, z @ slope.T, seen, error)
    # Many worlds fit straight lines exactly but for the ridge of d in n, 0.015 %.
    assert found_mean == pytest.approx(mean, abs=tenth_of_a_percent)
    assert found_spread == pytest.approx(spread, abs=tenth_of_a_percent)


@pytest.mark.parametrize("how", ["straight", "moments"])
def test_importance_sampling_finds_a_linear_posterior_of_thirty_unknowns(how: str) -> None:
    slope, error, seen, mean, spread = linear_problem()
    rng = np.random.default_rng(4)

    def log_chance(z: Array) -> Array:
        return np.asarray(multivariate_normal(np.zeros(M), error).logpdf(seen - z @ slope.T))

    z = rng.standard_normal((4000, D))
    bell = posterior.straight_bell(z, z @ slope.T, seen, error)
    if how == "moments":
        # The round after: what the first bell found, told by its own mean and covariance.
        z = posterior.Proposal((bell,), (0.9,)).drawn(z, rng.random(len(z)))
        logs = log_chance(z) + posterior.log_normal(z)
        logs -= posterior.Proposal((bell,), (0.9,)).log_density(z)
        bell = posterior.moment_bell(z, posterior.smoothed(logs).weight)
    proposal = posterior.Proposal((bell,), (0.9,))
    n = 40_000
    drawn = proposal.drawn(rng.standard_normal((n, D)), rng.random(n))
    logs = log_chance(drawn) + posterior.log_normal(drawn) - proposal.log_density(drawn)
    found = posterior.smoothed(logs)
    assert found.trusted
    assert found.size > 0.5 * n
    own = found.weight @ drawn
    error_of_mean = 4.5 / math.sqrt(found.size)
    assert own == pytest.approx(mean, abs=error_of_mean)
    away = drawn - own
    covariance = (away * found.weight[:, None]).T @ away
    assert covariance == pytest.approx(spread, abs=1.5 * error_of_mean)


def test_the_density_of_a_proposal_is_the_mixture_that_is_drawn() -> None:
    """Against scipy's normal densities; and the prior, reweighed, is the prior again."""
    root = np.array([[0.5, 0.0], [0.2, 0.4]])
    bells = (
        posterior.Bell(np.array([1.0, -1.0]), root),
        posterior.Bell(np.array([-2.0, 0.0]), np.eye(2) * 0.3),
    )
    proposal = posterior.Proposal(bells, (0.5, 0.3))
    z = np.random.default_rng(2).standard_normal((50, 2))
    expected = (
        0.5 * multivariate_normal([1.0, -1.0], root @ root.T).pdf(z)
        + 0.3 * multivariate_normal([-2.0, 0.0], 0.09 * np.eye(2)).pdf(z)
        + 0.2 * multivariate_normal([0.0, 0.0], np.eye(2)).pdf(z)
    )
    assert np.exp(proposal.log_density(z)) == pytest.approx(expected, rel=1e-9)
    rng = np.random.default_rng(5)
    n = 60_000
    drawn = proposal.drawn(rng.standard_normal((n, 2)), rng.random(n))
    back = posterior.smoothed(posterior.log_normal(drawn) - proposal.log_density(drawn))
    own = back.weight @ drawn
    assert own == pytest.approx([0.0, 0.0], abs=4.5 / math.sqrt(back.size))
    assert drawn[:, 0].mean() == pytest.approx(0.5 * 1.0 - 0.3 * 2.0, abs=2.0 * one_percent)
