"""What the plain formula leaves out, and what many readings of one shaft say together."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_bvp
from uncertainties import correlated_values, umath

from loosewell.physics import jig, spine
from loosewell.units import INCH, POUND_FORCE
from tolerances import (
    one_microradian,
    one_percent,
    round_off,
    stated_to_four_figures,
    stated_to_six_figures,
    stated_to_three_figures,
    stated_to_two_figures,
)


def alone(count: int) -> tuple[np.ndarray, np.ndarray]:
    """Nothing shared, no end for end."""
    return np.zeros((1, count)), np.zeros(count)


def elastica_by_collocation(share_guess: float, load: float, span: float, stiffness: float):
    """Mid-span deflection from the whole elastica: half a shaft, by SciPy's boundary solver.

    Unknown length between middle and support; the support pushes square to the shaft.
    Independent of the kernel: other coordinates, no elliptic integral, no parametric slope.
    """
    half = 0.5 * span

    def beam(t, y, p):
        angle, x, z = y
        length, reaction, tip_angle, tip_height = p
        # Everything beyond the section: the reaction at the support, leaning inward.
        across, up = -reaction * np.sin(tip_angle), reaction * np.cos(tip_angle)
        moment = up * (half - x) - across * (tip_height - z)
        return np.vstack([moment / stiffness, np.cos(angle), np.sin(angle)]) * length

    def ends(a, b, p):
        _, reaction, tip_angle, tip_height = p
        return np.array(
            [
                *a,
                b[0] - tip_angle,
                b[1] - half,
                b[2] - tip_height,
                2.0 * reaction * np.cos(tip_angle) - load,
            ]
        )

    t = np.linspace(0.0, 1.0, 41)
    sag = share_guess * span
    guess = np.vstack([3 * share_guess * t, half * t, sag * t**2])
    first = [half, load / 2, 3 * share_guess, sag]
    found = solve_bvp(beam, ends, t, guess, p=first, tol=1e-9, max_nodes=20000)
    assert found.success, found.message
    return float(found.y[2, -1])


@pytest.mark.parametrize("share", [0.02, 0.05, 0.075, 0.1])
def test_a_shaft_bent_far_reads_as_the_whole_elastica_says(share: float) -> None:
    """Independent: scipy.integrate.solve_bvp on thin supports without friction."""
    span, stiffness = 26 * INCH, 4.0
    load = 48.0 * stiffness * share / span**2
    solved = elastica_by_collocation(share, load, span, stiffness)
    told = jig.bent_deflection(load, span, stiffness)
    assert told == pytest.approx(solved, rel=stated_to_six_figures)
    back = spine.bending_stiffness_from_deflection(load, span, told)
    assert back * jig.bending_correction(told / span) == pytest.approx(stiffness, rel=1e-9)


def test_small_bending_is_the_plain_formula_and_grows_with_the_square_of_the_share() -> None:
    """Series of the same elastica by hand: 1 + (72/7) (δ/L)² + ..., 72/7 = 10.286."""
    assert jig.bending_correction(1e-6) == 1.0
    assert jig.bending_correction(0.003) - 1.0 == pytest.approx(72 / 7 * 0.003**2, rel=1e-3)
    assert jig.bent_deflection(0.01, 0.66, 4.0) == pytest.approx(
        spine.midspan_deflection(0.01, 0.66, 4.0), rel=1e-6
    )
    assert math.isnan(jig.bending_correction(0.25))
    assert math.isnan(jig.bent_deflection(1000.0, 0.66, 4.0))


def test_shear_of_a_wooden_beam_at_fourteen_depths_is_the_handbooks_tenth() -> None:
    """Wood Handbook FPL-GTR-282 Table 5-3b, footnote c: 10 % for a square beam at span 14 h.

    A square section carries shear over 5/6, a round one over 0.9 of its area, and a round
    section of the same depth has 3/4 of the square one's ratio of I to A.
    """
    round_one = jig.shear_share(14.0, 1.0, 0.0, jig.WOOD_MODULUS_RATIO)
    square_one = round_one * (0.9 / (5 / 6)) / (3 / 4)
    assert square_one == pytest.approx(0.10, abs=0.005)
    on_the_bench = jig.shear_share(26.0, 11 / 32, 0.0, jig.WOOD_MODULUS_RATIO)
    assert on_the_bench < 0.01
    assert jig.shear_share(13.0, 11 / 32, 0.0, 16.0) == pytest.approx(4 * on_the_bench, rel=1e-9)


def test_round_supports_make_a_shaft_read_stiffer_by_the_contact_geometry() -> None:
    """The touching points solved for, not expanded: circle of the support, plain beam between."""
    load, span, stiffness, radius = 8.9, 0.66, 4.0, 0.004
    slope = 0.0
    for _ in range(60):
        reach = span - 2.0 * radius * math.sin(slope)
        slope = load * reach**2 / (16.0 * stiffness)
    sinks = load * reach**3 / (48.0 * stiffness) + radius * (1.0 - math.cos(slope))
    seen = spine.bending_stiffness_from_deflection(load, span, sinks) / stiffness - 1.0
    assert jig.support_share(span, sinks, radius) == pytest.approx(seen, rel=0.02)


@pytest.mark.parametrize(
    ("celsius", "density"),
    [(0.0, 999.84), (4.0, 999.97), (20.0, 998.21), (25.0, 997.05), (40.0, 992.22)],
)
def test_water_weighs_what_the_tables_say(celsius: float, density: float) -> None:
    """Common tables of the density of air-free water (from memory)."""
    assert jig.water_density(celsius + 273.15) == pytest.approx(density, abs=0.01)


def test_air_bears_water_up_by_an_eighth_of_a_percent() -> None:
    at = 293.15
    assert jig.water_weight(1e-3, at) == pytest.approx(1e-3 * (998.21 - 1.2), rel=1e-5)


def test_own_weight_and_overhang_bend_as_the_unit_load_method_says() -> None:
    """Independent: the moment of a uniform weight, integrated with SciPy."""
    weight, length, span, load, stiffness = 0.22, 0.81, 0.66, 8.9, 4.0
    each, over = weight / length, 0.5 * (length - span)
    held = 0.5 * weight

    def bent(x: float) -> float:
        return (held * x - each * (x + over) ** 2 / 2.0) * (x / 2.0) / stiffness

    sag = 2.0 * quad(bent, 0.0, span / 2.0)[0]
    plain = spine.midspan_deflection(load, span, stiffness)
    assert jig.own_weight_share(weight, length, span, load) == pytest.approx(sag / plain, rel=1e-9)


def test_seven_eighths_of_a_reading_come_from_the_middle_half() -> None:
    """Unit-load method: the square of the distance from the support, integrated."""
    all_of_it = quad(lambda x: x**2, 0.0, 0.5)[0]
    outer = quad(lambda x: x**2, 0.0, 0.25)[0]
    assert jig.middle_share(0.5) == pytest.approx(1.0 - outer / all_of_it, rel=1e-9)
    assert jig.middle_share(0.5) == pytest.approx(7 / 8, rel=round_off)


def oval(turn: np.ndarray, stiff: float, weak: float, where: float) -> np.ndarray:
    """E·I seen under a hanging load: compliances of the principal planes, by cosine squared."""
    along = np.cos(turn - where) ** 2
    return 1.0 / (along / stiff + (1.0 - along) / weak)


def test_stiff_and_weak_side_of_an_oval_shaft_are_found_from_any_rotations() -> None:
    """Closed form: π a³ b / 64 in the two planes of an ellipse."""
    wide, narrow = 0.0090, 0.0085
    stiff, weak = (11e9 * math.pi * a**3 * b / 64 for a, b in ((wide, narrow), (narrow, wide)))
    turn = np.radians([10.0, 55.0, 170.0, 290.0, 350.0])
    rows, ends = alone(5)
    read = oval(turn, stiff, weak, math.radians(130.0))
    found, spread, _, scatter = jig.compliance_round(turn, read, np.full(5, 1e-5), rows, ends, 0.03)
    value, error = jig.stiff_and_weak(found, spread)
    assert value[0] == pytest.approx(stiff, rel=stated_to_six_figures)
    assert value[1] == pytest.approx(weak, rel=stated_to_six_figures)
    assert value[2] == pytest.approx(math.radians(130.0), abs=one_microradian)
    assert value[3] > jig.TOLD
    assert scatter < 1e-6
    assert 0.0 < error[0] < 2e-5


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    st.lists(st.integers(0, 359), min_size=4, max_size=9, unique=True),
    st.floats(0.0, math.pi - 1e-3),
    st.floats(0.03, 0.3),
    st.floats(-math.pi, math.pi),
)
def test_the_stiff_side_turns_with_the_mark_and_the_level_stays(
    degrees: list[int], where: float, unlike: float, shift: float
) -> None:
    turn = np.radians(np.array(degrees, dtype=float))
    if jig.turns_told(turn) < 3 or jig.turns_told(turn + shift) < 3:
        return
    rows, ends = alone(turn.size)
    read = oval(turn, 4.0 * (1.0 + unlike), 4.0, where)
    own = np.full(turn.size, 1e-4)
    one = jig.compliance_round(turn, read, own, rows, ends, 0.03)
    two = jig.compliance_round(turn + shift, read, own, rows, ends, 0.03)
    assert two[0][0] == pytest.approx(one[0][0], rel=1e-8)
    first = jig.stiff_and_weak(one[0], one[1])[0]
    second = jig.stiff_and_weak(two[0], two[1])[0]
    apart = (second[2] - first[2] - shift + math.pi / 2) % math.pi - math.pi / 2
    assert apart == pytest.approx(0.0, abs=1e-6)
    assert first[0] == pytest.approx(4.0 * (1.0 + unlike), rel=1e-4)
    assert first[1] == pytest.approx(4.0, rel=1e-4)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.lists(st.floats(0.0, 359.0), min_size=1, max_size=8))
def test_half_a_turn_more_is_the_same_side(degrees: list[float]) -> None:
    turn = np.radians(np.array(degrees))
    half = turn + np.pi * (np.arange(turn.size) % 2)
    assert jig.turns_told(half) == jig.turns_told(turn)


def test_rotations_that_cannot_tell_leave_one_level_and_no_side() -> None:
    turn = np.radians([0.0, 180.0])
    rows, ends = alone(2)
    found, spread, _, _ = jig.compliance_round(
        turn, np.array([4.0, 4.2]), np.full(2, 0.05), rows, ends, 0.03
    )
    assert jig.turns_told(turn) == 1
    assert found[1] == found[2] == 0.0
    assert jig.stiff_and_weak(found, spread)[0][3] == 0.0
    assert jig.turns_told(np.array([np.nan, np.nan])) == 1
    assert jig.turns_told(np.radians([0.0, 90.0, 180.0])) == 2
    assert jig.turns_told(np.radians([0.0, 45.0, 90.0])) == 3
    assert jig.turns_told(np.radians([0.0, 3.0, 6.0])) < 3


def test_readings_alike_average_their_own_errors_but_not_the_shared_one() -> None:
    """Closed form: a quarter of the squares for four readings, the whole for what they share."""
    unknown = np.full(4, np.nan)
    rows = np.full((1, 4), 0.015)
    found, spread, weight, scatter = jig.compliance_round(
        unknown, np.full(4, 4.0), np.full(4, 0.02), rows, np.zeros(4), 0.03
    )
    assert 1.0 / found[0] == pytest.approx(4.0, rel=1e-12)
    assert math.sqrt(spread[0, 0]) / found[0] == pytest.approx(0.01, rel=1e-9)
    assert abs(rows[0] @ weight[0]) / found[0] == pytest.approx(0.015, rel=1e-9)
    assert scatter == pytest.approx(0.0, abs=1e-9)


def test_a_reading_alone_on_another_jig_is_not_drowned_by_many_on_one() -> None:
    """Closed form: two jigs, weights by (own²/n + shared²) of each."""
    read = np.array([4.0] * 8 + [4.2])
    rows = np.zeros((2, 9))
    rows[0, :8] = 0.03
    rows[1, 8] = 0.03
    found, _, weight, _ = jig.compliance_round(
        np.full(9, np.nan), read, np.full(9, 0.01), rows, np.zeros(9), 0.03
    )
    many, few = 0.01**2 / 8 + 0.03**2, 0.01**2 + 0.03**2
    wanted = (1 / few) / (1 / few + 1 / many)
    told = (1 / 4.0 - found[0]) / (1 / 4.0 - 1 / 4.2)
    assert told == pytest.approx(wanted, rel=0.02)
    assert weight[0][8] / found[0] == pytest.approx(wanted, rel=0.02)


def test_readings_that_differ_more_than_they_may_widen_the_error() -> None:
    """Birge ratio by hand: two readings three standard errors either side of their mean."""
    rows, ends = alone(2)
    read = 1.0 / (0.25 * np.array([1.0 - 0.03, 1.0 + 0.03]))
    found, spread, _, scatter = jig.compliance_round(
        np.full(2, np.nan), read, np.array([0.01 / 0.97, 0.01 / 1.03]), rows, ends, 0.03
    )
    assert scatter == pytest.approx(math.sqrt(2.0) * 3.0, rel=1e-9)
    assert math.sqrt(spread[0, 0]) / found[0] == pytest.approx(0.03, rel=1e-9)


def test_a_step_from_end_to_end_is_told_apart_from_the_level() -> None:
    ends = np.array([0.5, 0.5, -0.5, -0.5])
    read = 1.0 / (0.25 * (1.0 + 0.04 * ends))
    found, _, _, scatter = jig.compliance_round(
        np.full(4, np.nan), read, np.full(4, 0.01), np.zeros((1, 4)), ends, 0.03
    )
    assert found[3] / found[0] == pytest.approx(0.04, rel=1e-9)
    assert 1.0 / found[0] == pytest.approx(4.0, rel=1e-9)
    assert scatter < 1e-6


def test_errors_of_both_sides_agree_with_the_uncertainties_package() -> None:
    """Independent: `uncertainties` carries the covariance through, here and by hand the same."""
    turn = np.radians([0.0, 45.0, 90.0, 135.0])
    rows, ends = alone(4)
    read = oval(turn, 4.4, 4.0, math.radians(20.0))
    found, spread, _, _ = jig.compliance_round(turn, read, np.full(4, 0.002), rows, ends, 0.03)
    value, error = jig.stiff_and_weak(found, spread)
    m, p, q = correlated_values(found[:3], spread[:3, :3])
    swing = umath.sqrt(p * p + q * q)
    stiff, weak = 1 / (m - swing), 1 / (m + swing)
    where = umath.atan2(-q, -p) / 2
    assert error[0] == pytest.approx(stiff.s / stiff.n, rel=one_percent)
    assert error[1] == pytest.approx(weak.s / weak.n, rel=one_percent)
    assert error[2] == pytest.approx(where.s, rel=one_percent)
    assert value[0] == pytest.approx(stiff.n, rel=stated_to_four_figures)


def test_errors_of_both_sides_agree_with_a_thousand_benches() -> None:
    """Monte Carlo: noise on every deflection, the fit each time."""
    rng = np.random.default_rng(41)
    turn = np.radians([0.0, 45.0, 90.0, 135.0] * 2)
    rows, ends = alone(8)
    true = 1.0 / oval(turn, 4.6, 4.0, 1.0)
    sigma = 0.01 * float(np.mean(true))
    values = []
    for _ in range(1500):
        seen = 1.0 / (true + sigma * rng.standard_normal(8))
        found, spread, _, _ = jig.compliance_round(turn, seen, sigma * seen, rows, ends, 0.03)
        values.append(jig.stiff_and_weak(found, spread)[0])
    told = jig.compliance_round(turn, 1.0 / true, sigma / true, rows, ends, 0.03)
    _, error = jig.stiff_and_weak(told[0], told[1])
    scatter = np.std(np.array(values), axis=0)
    assert error[0] == pytest.approx(scatter[0] / 4.6, rel=stated_to_two_figures * 1.5)
    assert error[1] == pytest.approx(scatter[1] / 4.0, rel=stated_to_two_figures * 1.5)
    assert error[2] == pytest.approx(scatter[2], rel=stated_to_two_figures * 1.5)
    assert np.mean(np.array(values)[:, 0]) == pytest.approx(4.6, rel=stated_to_three_figures)
    assert np.mean(np.array(values)[:, 1]) == pytest.approx(4.0, rel=stated_to_three_figures)


def test_a_small_swing_does_not_come_out_too_large_for_its_noise() -> None:
    """Monte Carlo of a swing 2.5 times its noise: plain size would be 0.2 noises too large."""
    rng = np.random.default_rng(5)
    turn = np.radians([0.0, 45.0, 90.0, 135.0])
    rows, ends = alone(4)
    noise = 0.01 * 0.25 * math.sqrt(0.5)
    true = 0.25 + 2.5 * noise * np.cos(2.0 * (turn - 0.4))
    swings = []
    for _ in range(3000):
        seen = 1.0 / (true + 0.0025 * rng.standard_normal(4))
        found, _, _, _ = jig.compliance_round(turn, seen, 0.0025 * seen, rows, ends, 0.03)
        spread = np.eye(4) * noise**2
        value = jig.stiff_and_weak(found, spread)[0]
        swings.append(0.5 * (1.0 / value[1] - 1.0 / value[0]))
    assert np.mean(swings) / noise == pytest.approx(2.5, abs=0.1)


def test_the_two_standards_lie_where_they_bend_a_shaft_a_little() -> None:
    """26 in and 2 lb, 28 in and 1.94 lb (ASTM F2031): a 40 lb shaft bends by 2.5 and 2.8 %."""
    stiffness = spine.stiffness_from_spine_pounds(40.0)
    wood = jig.bent_deflection(2 * POUND_FORCE, 26 * INCH, stiffness) / (26 * INCH)
    later = jig.bent_deflection(1.94 * POUND_FORCE, 28 * INCH, stiffness) / (28 * INCH)
    assert wood == pytest.approx(1 / 40, rel=one_percent)
    assert later == pytest.approx(1 / 40 * 0.97 * (28 / 26) ** 2, rel=one_percent)
