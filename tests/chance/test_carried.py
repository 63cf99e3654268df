"""What was learned carried on: Gaussian algebra against the exact formulas and against scipy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from loosewell.chance import carried
from loosewell.chance.carried import Carried
from loosewell.chance.priors import Uncertain, combine, sample
from tolerances import (
    one_percent,
    round_off,
    solved,
    stated_to_six_figures,
    stated_to_two_figures,
    tenth_of_a_percent,
)

Array = NDArray[np.float64]

LENGTH = Uncertain("draw", 0.60, 0.02)
PUSH = Uncertain("loose_push", 0.007, 0.25, "log")
MASS = Uncertain("virtual_mass", 0.014, 0.002)
ALL = (LENGTH, PUSH, MASS)


def some(seed: int, inputs: tuple[Uncertain, ...] = ALL) -> Carried:
    """A factor such as several measurements of mixtures of the inputs would make."""
    rng = np.random.default_rng(seed)
    ways = rng.standard_normal((2, len(inputs)))
    return Carried(inputs, ways.T @ ways, ways.T @ rng.standard_normal(2))


def posterior(factor: Carried) -> tuple[Array, Array]:
    spread = np.linalg.inv(np.eye(len(factor.inputs)) + factor.precision)
    return spread @ factor.pull, spread


def test_one_measurement_gives_the_exact_posterior_of_two_normal_statements() -> None:
    # A length measured as 0.61 with an error of 0.01: precision-weighted mean, any textbook.
    error, seen = 0.01, 0.61
    part = (LENGTH.spread / error) ** 2
    factor = Carried(
        (LENGTH,), np.array([[part]]), np.array([part * (seen - LENGTH.middle) / LENGTH.spread])
    )
    (now,) = carried.start([LENGTH], factor).inputs
    middle, spread = combine(LENGTH.middle, LENGTH.spread, seen, error)
    assert now.middle == pytest.approx(middle, rel=round_off)
    assert now.spread == pytest.approx(spread, rel=round_off)


def test_a_relative_error_is_learned_on_its_logarithm() -> None:
    factor = Carried((PUSH,), np.array([[3.0]]), np.array([4.0]))
    (now,) = carried.start([PUSH], factor).inputs
    # Posterior of N(0, 1) and the factor: mean 4 / 4 = 1 spread, variance 1 / 4.
    assert now.middle == pytest.approx(0.007 * math.exp(0.25), rel=round_off)
    assert now.spread == pytest.approx(0.125, rel=round_off)


def test_what_is_left_out_is_integrated_out_exactly() -> None:
    factor = some(1)
    mean, spread = posterior(factor)
    left = carried.without(factor, ["loose_push"])
    fewer, narrower = posterior(left)
    # The marginal of a joint normal is its own rows and columns (Johnson and Wichern, 4.2).
    np.testing.assert_allclose(fewer, mean[[0, 2]], rtol=0, atol=round_off)
    np.testing.assert_allclose(narrower, spread[np.ix_([0, 2], [0, 2])], rtol=0, atol=round_off)


def test_a_factor_multiplies_out_against_densities_of_scipy() -> None:
    from scipy.stats import multivariate_normal

    factor = some(2)
    mean, spread = posterior(factor)
    rng = np.random.default_rng(3)
    where = rng.standard_normal((40, 3))
    prior = multivariate_normal(np.zeros(3), np.eye(3)).logpdf(where)
    told = -0.5 * np.einsum("ni,ij,nj->n", where, factor.precision, where) + where @ factor.pull
    whole = multivariate_normal(mean, spread).logpdf(where)
    away = whole - prior - told
    np.testing.assert_allclose(away, away[0], rtol=0, atol=solved)


def test_the_order_of_outings_does_not_matter() -> None:
    one, other, third = some(4), some(5, (PUSH, MASS)), some(6, (MASS, LENGTH))
    forth = carried.together([one, other, third])
    back = carried.together([third, other, one])
    for a, b in zip(carried.start(ALL, forth).inputs, carried.start(ALL, back).inputs, strict=True):
        assert a.middle == pytest.approx(b.middle, rel=round_off)
        assert a.spread == pytest.approx(b.spread, rel=round_off)


def test_other_assumptions_move_the_factor_and_not_what_was_seen() -> None:
    factor = some(7, (LENGTH, MASS))
    other = (Uncertain("draw", 0.63, 0.05), Uncertain("virtual_mass", 0.020, 0.001))
    there = carried.moved(factor, other)
    rng = np.random.default_rng(8)
    values = np.column_stack((0.6 + 0.03 * rng.standard_normal(20), 0.015 + 0.003 * rng.random(20)))

    def told(one: Carried) -> Array:
        middle = np.array([each.middle for each in one.inputs])
        spread = np.array([each.spread for each in one.inputs])
        u = (values - middle) / spread
        return np.asarray(-0.5 * np.einsum("ni,ij,nj->n", u, one.precision, u) + u @ one.pull)

    away = told(factor) - told(there)
    np.testing.assert_allclose(away, away[0], rtol=0, atol=solved)
    back = carried.moved(there, (LENGTH, MASS))
    np.testing.assert_allclose(back.precision, factor.precision, rtol=round_off, atol=round_off)
    np.testing.assert_allclose(back.pull, factor.pull, rtol=0, atol=round_off)


def test_an_input_told_in_another_way_is_integrated_out() -> None:
    factor = some(9)
    thumb = Uncertain("loose_push", -0.007, 0.25, "log")
    found = carried.moved(factor, (LENGTH, thumb, MASS))
    assert found.keys == ["draw", "virtual_mass"]
    np.testing.assert_allclose(
        found.precision, carried.without(factor, ["loose_push"]).precision, atol=round_off
    )


def test_loosening_adds_the_variance_of_the_change() -> None:
    # Exactly known but for an error of 0.5; then a change with variance 2: 0.25 + 2 (Kalman 1960).
    factor = Carried((LENGTH,), np.array([[4.0]]), np.array([4.0 * 1.5]))
    loose = carried.loosened(factor, ["draw"], 2.0)
    assert 1.0 / loose.precision[0, 0] == pytest.approx(2.25, rel=round_off)
    assert loose.pull[0] / loose.precision[0, 0] == pytest.approx(1.5, rel=round_off)


def test_loosening_without_end_leaves_what_is_assumed() -> None:
    factor = some(10)
    gone = carried.loosened(factor, ["draw"], carried.SURE)
    now = carried.start(ALL, gone).inputs
    assert now[0].middle == pytest.approx(LENGTH.middle, rel=stated_to_six_figures)
    assert now[0].spread == pytest.approx(LENGTH.spread, rel=stated_to_six_figures)
    # The others keep a part, and none of them more than before.
    whole = np.diag(posterior(factor)[1])
    assert np.all(np.diag(posterior(gone)[1]) >= whole - round_off)
    assert np.any(gone.precision[1:, 1:] > 1e-3)


def test_ties_between_inputs_are_drawn_as_learned() -> None:
    factor = some(11)
    mean, spread = posterior(factor)
    begun = carried.start(ALL, factor)
    values = sample(list(begun.inputs), 8192, 12, begun.turned)
    u = np.column_stack(
        (
            (values["draw"] - LENGTH.middle) / LENGTH.spread,
            np.log(values["loose_push"] / PUSH.middle) / PUSH.spread,
            (values["virtual_mass"] - MASS.middle) / MASS.spread,
        )
    )
    # Samples are kept within 2.5 errors, which takes about 4 % off a variance.
    np.testing.assert_allclose(u.mean(axis=0), mean, rtol=0, atol=2 * one_percent)
    np.testing.assert_allclose(np.cov(u.T), spread, rtol=0, atol=6 * one_percent)


def test_samples_without_ties_are_those_of_before() -> None:
    plain = sample(list(ALL), 64, 3)
    tied = sample(list(ALL), 64, 3, lambda z: z)
    for key, value in plain.items():
        np.testing.assert_allclose(tied[key], value, rtol=solved)


def test_plain_and_back_is_the_same() -> None:
    factor = some(13)
    back = carried.from_plain(factor.plain())
    assert back.inputs == factor.inputs
    np.testing.assert_array_equal(back.precision, factor.precision)
    np.testing.assert_array_equal(back.pull, factor.pull)


def test_noise_alone_teaches_nothing() -> None:
    """Posterior samples that are prior samples: 200 of 12 unknowns, a hundred times."""
    rng = np.random.default_rng(14)
    learned = 0
    for _ in range(100):
        z = rng.standard_normal((200, 12))
        precision, _ = carried.from_moments(z.mean(axis=0), np.cov(z.T), np.eye(12), 200.0)
        learned += bool(precision.any())
    # The edge of Marchenko and Pastur is that of many unknowns; of 12 a few stray below it.
    assert learned <= 30


def test_a_narrow_direction_is_learned_with_its_middle() -> None:
    # One mixture of five unknowns measured: exact posterior by the rule for normal statements.
    rng = np.random.default_rng(15)
    way = np.array([2.0, -1.0, 0.5, 0.0, 1.0])
    exact = np.linalg.inv(np.eye(5) + np.outer(way, way) / 0.5**2)
    mean = exact @ way * 1.2 / 0.5**2
    z = rng.multivariate_normal(mean, exact, size=20000)
    precision, pull = carried.from_moments(z.mean(axis=0), np.cov(z.T), np.eye(5), 20000.0)
    strongest = np.linalg.eigvalsh(precision)
    assert strongest[-1] == pytest.approx(float(way @ way) / 0.25, rel=stated_to_two_figures)
    assert strongest[-2] < 0.05
    assert np.linalg.solve(np.eye(5) + precision, pull) == pytest.approx(mean, abs=3 * one_percent)


def test_too_few_samples_teach_nothing() -> None:
    precision, pull = carried.from_moments(np.ones(12), 0.01 * np.eye(12), np.eye(12), 20.0)
    assert not precision.any()
    assert not pull.any()


def test_learning_is_told_on_top_of_ties_that_were_there_before() -> None:
    # The prior of this reading is tied; its posterior is that prior times a known factor.
    before = np.array([[1.0, 0.6], [0.6, 1.0]])
    more = np.array([[3.0, 0.5], [0.5, 2.0]])
    after = np.linalg.inv(np.linalg.inv(before) + more)
    mean = after @ np.array([1.0, -0.5])
    precision, pull = carried.from_moments(mean, after, before, 1e9)
    np.testing.assert_allclose(precision, more, rtol=tenth_of_a_percent)
    np.testing.assert_allclose(pull, [1.0, -0.5], atol=tenth_of_a_percent)
