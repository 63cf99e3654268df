"""Chances of what was seen against scipy's densities and against their own limits."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import multivariate_normal, norm

from loosewell.chance import likelihood
from tolerances import round_off


def test_scatter_and_means_together_are_the_density_of_every_shot() -> None:
    """Against scipy.stats.multivariate_normal over all shots with a common offset of the aim."""
    rng = np.random.default_rng(3)
    counts, shot, aim, model = [4, 3, 1], np.array([2.0, 3.0, 1.5]), 5.0, 1.2
    middle = np.array([1.0, -2.0, 0.5])
    group = np.repeat(np.arange(3), counts)
    seen = middle[group] + shot[group] * rng.standard_normal(8) + 3.0
    # The second and third group share an error of the engine.
    shares = (group[:, None] > 0) & (group[None, :] > 0)
    covariance = np.diag(shot[group] ** 2) + aim**2 + model**2 * shares
    expected = multivariate_normal(middle[group], covariance).logpdf(seen)

    mean = np.array([seen[group == g].mean() for g in range(3)])
    square = np.array([np.sum((seen[group == g] - mean[g]) ** 2) for g in range(3)])
    count = np.array(counts, dtype=float)
    small = np.diag(shot**2 / count) + aim**2 + model**2 * np.outer([0, 1, 1], [0, 1, 1])
    found = likelihood.scatter_log_density(count, square, shot)
    found = found + likelihood.means_log_density((mean - middle)[None, :], small)
    assert found[0] == pytest.approx(expected, rel=1e-12)


def test_a_common_offset_leaves_only_differences_when_nothing_is_known_of_it() -> None:
    """With an aim off by anything, shifting all groups alike changes next to nothing."""
    covariance = np.diag([1.0, 2.0]) + 1e6
    near = likelihood.means_log_density(np.array([[0.0, 3.0]]), covariance)
    far = likelihood.means_log_density(np.array([[50.0, 53.0]]), covariance)
    apart = likelihood.means_log_density(np.array([[0.0, 9.0]]), covariance)
    assert near == pytest.approx(far, abs=0.01)
    # Exactly the difference of the two means is left, with the sum of the variances.
    expected = norm(0.0, np.sqrt(3.0)).logpdf(9.0) - norm(0.0, np.sqrt(3.0)).logpdf(3.0)
    assert apart - near == pytest.approx([expected], abs=0.01)


def test_normal_prior_and_normal_shots_give_the_exact_posterior() -> None:
    """Importance weights of a conjugate case (Gelman et al. 2013, section 2.5)."""
    from loosewell.chance import posterior

    rng = np.random.default_rng(9)
    seen = np.array([2.1, 1.4, 2.9])
    world = rng.standard_normal(200_000)
    logs = likelihood.means_log_density(seen.mean() - world[:, None], np.array([[1.0 / 3.0]]))
    weighed = posterior.smoothed(logs)
    precision = 1.0 + 3.0
    error = 4.5 / np.sqrt(weighed.size)
    mean = weighed.weight @ world
    assert mean == pytest.approx(seen.sum() / precision, abs=error / np.sqrt(precision))
    spread = weighed.weight @ (world - mean) ** 2
    assert spread == pytest.approx(1.0 / precision, rel=2.0 * error)


def test_left_straight_and_right_share_one_chance() -> None:
    middle = np.linspace(-0.5, 0.5, 41)
    error = np.full_like(middle, 0.04)
    total = sum(
        np.exp(likelihood.class_log_chance(side, middle, error, 0.05, 0.05)) for side in (-1, 0, 1)
    )
    assert total == pytest.approx(np.ones_like(middle), rel=round_off)


def test_a_call_mirrors_and_ends_in_what_a_slip_leaves() -> None:
    middle, error = np.array([-2.0, -0.03, 0.0, 0.03, 2.0]), np.full(5, 0.04)
    left = np.exp(likelihood.class_log_chance(1, middle, error, 0.05, 0.06))
    right = np.exp(likelihood.class_log_chance(-1, middle, error, 0.05, 0.06))
    assert left == pytest.approx(right[::-1], rel=round_off)
    assert left[0] == pytest.approx(0.02, rel=1e-9)
    assert left[-1] == pytest.approx(0.96, rel=1e-9)
    at_limit = likelihood.class_log_chance(1, np.array([0.05]), np.array([0.01]), 0.05, 0.0)
    assert np.exp(at_limit) == pytest.approx([0.5], rel=round_off)


def test_a_mark_or_none_share_one_chance_between_their_limits() -> None:
    knock = np.array([0.0, 1.0, 15.0, 60.0, 1e9])
    told = (15.0, 2.0, 0.10, 0.08)
    shown = np.exp(likelihood.mark_log_chance(True, knock, *told))
    none = np.exp(likelihood.mark_log_chance(False, knock, *told))
    assert shown + none == pytest.approx(np.ones(5), rel=round_off)
    assert shown[0] == pytest.approx(0.08, abs=1e-9)
    assert shown[-1] == pytest.approx(0.90, rel=1e-9)
    assert shown[2] == pytest.approx(0.08 + 0.82 / 2.0, rel=round_off)
    assert np.all(np.diff(shown) > 0.0)
