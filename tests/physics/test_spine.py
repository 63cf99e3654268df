"""Bench reading and bending stiffness: closed forms, round trips, errors, tapers."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loosewell.physics import shaft, spine
from loosewell.units import INCH
from tolerances import round_off

SPANS = st.floats(0.2, 1.0)
LOADS = st.floats(1.0, 30.0)
STIFFNESSES = st.floats(0.3, 30.0)


@given(load=LOADS, span=SPANS, stiffness=STIFFNESSES)
def test_stiffness_comes_back_from_its_own_deflection(
    load: float, span: float, stiffness: float
) -> None:
    deflection = spine.midspan_deflection(load, span, stiffness)
    assert spine.bending_stiffness_from_deflection(load, span, deflection) == pytest.approx(
        stiffness, rel=round_off
    )


@given(stiffness=STIFFNESSES)
def test_both_standards_lead_back_to_the_same_stiffness(stiffness: float) -> None:
    pounds = spine.spine_pounds_from_stiffness(stiffness)
    later = spine.later_deflection_from_stiffness(stiffness)
    assert spine.stiffness_from_spine_pounds(pounds) == pytest.approx(stiffness, rel=round_off)
    assert spine.stiffness_from_later_deflection(later) == pytest.approx(stiffness, rel=round_off)


def test_deflection_goes_with_the_cube_of_the_span() -> None:
    one = spine.midspan_deflection(9.0, 0.5, 4.0)
    assert spine.midspan_deflection(9.0, 1.0, 4.0) == pytest.approx(8.0 * one, rel=round_off)
    assert spine.midspan_deflection(18.0, 0.5, 4.0) == pytest.approx(2.0 * one, rel=round_off)


def test_a_uniform_profile_bends_as_the_closed_form_wherever_it_lies() -> None:
    station = np.array([0.0, 0.11, 0.4, 0.76])
    closed = spine.midspan_deflection(9.0, 0.66, 4.0)
    for rear in (None, 0.0, 0.07):
        got = spine.midspan_deflection_varying(9.0, 0.66, station, np.full(4, 4.0), rear)
        assert got == pytest.approx(closed, rel=round_off)


def test_a_step_at_mid_span_averages_the_two_halves_compliances() -> None:
    # Each half gives half of the deflection in proportion to 1/EI.
    station = np.array([0.0, 0.38, 0.38, 0.76])
    stiffness = np.array([3.0, 3.0, 6.0, 6.0])
    closed = 0.5 * (
        spine.midspan_deflection(9.0, 0.66, 3.0) + spine.midspan_deflection(9.0, 0.66, 6.0)
    )
    got = spine.midspan_deflection_varying(9.0, 0.66, station, stiffness)
    assert got == pytest.approx(closed, rel=round_off)


def test_a_straight_taper_agrees_with_its_closed_integral() -> None:
    # Diameter (1 + x/L) over the half nearer the rear support and mirrored: the
    # integral of x²/(1 + x/L)⁴ from 0 to h is h³ / (3 (1 + h/L)³) for slope 1/L.
    half, length, stiffness = 0.33, 0.5, 2.0
    widest = stiffness * (1.0 + half / length) ** 4
    station = np.array([0.0, half, 2.0 * half])
    got = spine.midspan_deflection_varying(
        9.0, 2.0 * half, station, np.array([stiffness, widest, stiffness])
    )
    closed = 9.0 * 2.0 * half**3 / (4.0 * 3.0 * (1.0 + half / length) ** 3) / stiffness
    assert got == pytest.approx(closed, rel=1e-9)


def test_a_shaft_turned_end_for_end_reads_the_same() -> None:
    station = np.array([0.0, 0.2, 0.5, 0.76])
    stiffness = np.array([2.0, 3.0, 3.5, 5.0])
    turned = spine.midspan_deflection_varying(9.0, 0.66, 0.76 - station[::-1], stiffness[::-1])
    got = spine.midspan_deflection_varying(9.0, 0.66, station, stiffness)
    assert got == pytest.approx(turned, rel=round_off)


def test_a_tapered_shaft_differs_between_the_two_standards() -> None:
    # Full over the middle, tapered over the last 10 in to 5/16 in: the longer span
    # takes in more of the taper, so the two standards disagree.
    inch = INCH
    station = np.array([0.0, 10.0, 32.0]) * inch
    stiffness = 1.2e10 * shaft.second_moment_solid(np.array([5 / 16, 11 / 32, 11 / 32]) * inch)
    wood = spine.midspan_deflection_varying(
        spine.WOOD_LOAD, spine.WOOD_SPAN, station, stiffness, 3.0 * inch
    )
    later = spine.midspan_deflection_varying(
        spine.LATER_LOAD, spine.LATER_SPAN, station, stiffness, 2.0 * inch
    )
    uniform = spine.LATER_LOAD * spine.LATER_SPAN**3 / (spine.WOOD_LOAD * spine.WOOD_SPAN**3)
    assert later / wood > uniform * 1.002


def test_a_profile_that_cannot_be_gives_no_number() -> None:
    good = np.array([0.0, 0.7])
    assert math.isnan(spine.midspan_deflection_varying(9.0, 0.0, good, np.array([4.0, 4.0])))
    assert math.isnan(spine.midspan_deflection_varying(9.0, 0.6, good, np.array([4.0, -4.0])))
    assert math.isnan(spine.midspan_deflection_varying(9.0, 0.6, good[::-1], np.array([4.0, 4.0])))


def test_an_eighth_of_an_inch_of_span_counts_three_times() -> None:
    error = spine.stiffness_error(26.0 * INCH, 0.5 * INCH, 0.0, 0.125 * INCH, 0.0)
    assert error == pytest.approx(3.0 * 0.125 / 26.0, rel=round_off)


def test_the_error_of_one_reading_agrees_with_drawing_it_many_times() -> None:
    rng = np.random.default_rng(20)
    n = 200_000
    load = 9.0 * (1.0 + 0.01 * rng.standard_normal(n))
    span = 0.66 + 0.002 * rng.standard_normal(n)
    deflection = 0.013 + 0.0002 * rng.standard_normal(n)
    drawn = load * span**3 / (48.0 * deflection)
    told = spine.stiffness_error(0.66, 0.013, 0.01, 0.002, 0.0002)
    assert np.std(np.log(drawn)) == pytest.approx(told, rel=0.01)
