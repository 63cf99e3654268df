"""The bow: its draw curve, its energy, and the string against geometry done another way."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import integrate

from loosewell.physics import bow
from loosewell.units import INCH, POUND_FORCE
from tolerances import one_micrometre, round_off

Array = NDArray[np.float64]

BRACE = 6.5 * INCH
TOP = 26.0 * INCH
LENGTH = 68.0 * INCH


@given(
    st.lists(st.floats(0.02, 1.0), min_size=1, max_size=6),
    st.lists(st.floats(0.0, 1.0), min_size=6, max_size=6),
    st.floats(0.34, 0.66),
)
def test_draw_force_rises_all_the_way_through_the_readings(
    steps: list[float], gains: list[float], ratio: float
) -> None:
    draw = BRACE + np.cumsum(steps) / np.sum(steps) * (TOP - BRACE)
    force = 5.0 + 200.0 * np.cumsum(gains[: len(steps)])
    table = bow.force_table(draw, force, BRACE, ratio)
    assert table[0] == 0.0
    assert table[-1] == pytest.approx(force[-1], rel=round_off)
    assert np.all(np.diff(table) >= -1e-9 * force[-1])


def test_draw_curve_passes_through_every_reading() -> None:
    """Readings that fall on points of the table are met to rounding."""
    stroke = TOP - BRACE
    draw = BRACE + stroke * np.array([0.25, 0.5, 0.75, 1.0])
    force = np.array([70.0, 130.0, 182.0, 260.0])
    table = bow.force_table(draw, force, BRACE, 0.52, 257)
    assert table[[64, 128, 192, 256]] == pytest.approx(force, rel=round_off)


@pytest.mark.parametrize("ratio", [0.40, 0.50, 0.52, 0.588, 0.65])
def test_one_reading_stores_the_energy_asked_for(ratio: float) -> None:
    """To what a table of 257 points loses on its curvature, 1.5e-6 of 0.1."""
    stroke = TOP - BRACE
    table = bow.force_table(np.array([TOP]), np.array([250.0]), BRACE, ratio)
    assert bow.stored_energy(table, stroke) / (250.0 * stroke) == pytest.approx(ratio, abs=3e-6)
    exact, _ = integrate.quad(lambda u: float(bow.force_shape(np.array([u]), ratio)[0]), 0.0, 1.0)
    assert exact == pytest.approx(ratio, rel=round_off)


@pytest.mark.parametrize("ratio", [0.2, 1.0 / 3.0, 2.0 / 3.0, 0.9])
def test_an_energy_ratio_that_would_make_the_curve_fall_is_refused(ratio: float) -> None:
    with pytest.raises(ValueError, match="energy ratio"):
        bow.force_shape(np.linspace(0.0, 1.0, 5), ratio)


@pytest.mark.parametrize(
    ("draw", "force"),
    [
        ([BRACE, 0.6], [10.0, 200.0]),
        ([0.5, 0.5], [100.0, 200.0]),
        ([0.6, 0.5], [100.0, 200.0]),
        ([0.5, 0.6], [200.0, 100.0]),
        ([0.5, 0.6], [0.0, 100.0]),
    ],
)
def test_readings_that_do_not_rise_are_refused(draw: list[float], force: list[float]) -> None:
    with pytest.raises(ValueError, match="must rise"):
        bow.force_table(np.array(draw), np.array(force), BRACE, 0.52)


def test_a_linear_bow_stores_half_of_force_times_stroke() -> None:
    table = np.linspace(0.0, 200.0, 41)
    assert bow.stored_energy(table, 0.5) == pytest.approx(50.0, rel=round_off)


def circles(draw: float) -> tuple[float, float]:
    """Tip for a given draw as the crossing of two circles: limb about its hinge, string about nock.

    Nothing of the module's way by the limb's angle is used but its two constants.
    """
    link = bow.HINGE_FRACTION * (0.5 * LENGTH - bow.GRIP_HALF_LENGTH)
    hinge = 0.5 * LENGTH - link
    string = hinge + math.sqrt(link**2 - BRACE**2)
    # hinge at (0, hinge), nock at (draw, 0)
    apart = math.hypot(draw, hinge)
    along = (link**2 - string**2 + apart**2) / (2.0 * apart)
    across = math.sqrt(link**2 - along**2)
    unit = (draw / apart, -hinge / apart)
    return along * unit[0] - across * unit[1], hinge + along * unit[1] + across * unit[0]


def test_string_geometry_against_the_crossing_of_two_circles() -> None:
    table = bow.string_geometry(LENGTH, BRACE, TOP)
    draws = np.linspace(BRACE, TOP, table.shape[1])
    distance = np.array([draw - circles(draw)[0] for draw in draws[1:]])
    assert table[0, 0] == 0.0
    assert table[0, 1:] == pytest.approx(distance, abs=one_micrometre)


def test_speed_ratio_against_differences_of_the_geometry() -> None:
    table = bow.string_geometry(LENGTH, BRACE, TOP)
    draws = np.linspace(BRACE, TOP, table.shape[1])
    small = 1e-6
    ratio = np.array(
        [
            math.dist(circles(draw + small), circles(draw - small)) / (2.0 * small)
            for draw in draws[1:-1]
        ]
    )
    assert table[1, 1:-1] == pytest.approx(ratio**2, rel=1e-4)
    assert table[1, 0] == 0.0
    assert 0.2 < table[1, -1] < 0.6


def test_half_slope_adds_up_to_the_square_of_the_speed_ratio() -> None:
    """What the limbs give back must be what they took, or the launch would make energy."""
    table = bow.string_geometry(LENGTH, BRACE, TOP)
    draws = np.linspace(BRACE, TOP, table.shape[1])
    total = integrate.cumulative_trapezoid(2.0 * table[2], draws, initial=0.0)
    assert total == pytest.approx(table[1], abs=5e-5)  # second order in the table


def test_force_over_distance_tends_to_the_slope_of_the_draw_curve_at_brace() -> None:
    """The nock leaves the tip line as fast as it is drawn, so both limits are the same."""
    draws = np.linspace(BRACE, TOP, bow.TABLE_POINTS)
    force = bow.force_table(np.array([TOP]), np.array([55.0 * POUND_FORCE]), BRACE, 0.52)
    distance = bow.string_geometry(LENGTH, BRACE, TOP)[0]
    slope = 55.0 * POUND_FORCE * (1.0 + 6.0 * 0.02) / (TOP - BRACE)
    stiffness = force[1:] / distance[1:]
    # straight line back to brace from the first two points
    assert 2.0 * stiffness[0] - stiffness[1] == pytest.approx(slope, rel=1e-3)
    assert distance[1] / (draws[1] - draws[0]) == pytest.approx(1.0, abs=2e-2)


def test_a_draw_the_string_cannot_reach_is_refused() -> None:
    with pytest.raises(ValueError, match="does not reach"):
        bow.string_geometry(48.0 * INCH, BRACE, 37.0 * INCH)
    with pytest.raises(ValueError, match="brace height"):
        bow.string_geometry(30.0 * INCH, 20.0 * INCH, 24.0 * INCH)


@given(st.floats(5.0, 120.0), st.floats(0.015, 0.08), st.floats(0.004, 0.03))
def test_stored_work_is_the_energy_of_arrow_and_virtual_mass(
    energy: float, arrow: float, virtual: float
) -> None:
    speed = bow.launch_speed(energy, arrow, virtual)
    assert 0.5 * (arrow + virtual) * speed**2 == pytest.approx(energy, rel=round_off)
    assert bow.virtual_mass_from_speed(energy, arrow, speed) == pytest.approx(virtual, rel=1e-9)


@given(st.floats(0.03, 0.08), st.floats(-0.003, 0.015))
def test_another_string_changes_speed_but_not_energy(moving: float, added: float) -> None:
    speed = bow.speed_with_other_string(47.0, moving, added)
    assert (moving + added / 3.0) * speed**2 == pytest.approx(moving * 47.0**2, rel=round_off)


def test_a_very_stiff_string_gives_the_geometry_of_one_that_does_not_stretch():
    force = bow.force_table(np.array([0.66]), np.array([250.0]), 0.165, 0.52)
    plain = bow.string_geometry(1.73, 0.165, 0.66)
    stiff = bow.stretched_geometry(force, 1.73, 0.165, 0.66, 1e9)
    assert stiff[0] == pytest.approx(plain[0], abs=1e-5)
    assert stiff[1] == pytest.approx(plain[1], abs=2e-4)


def test_a_stretching_string_lets_the_limbs_bend_less_by_what_it_gives():
    """From brace to full draw half the string gains the rise of tension over stiffness."""
    force = bow.force_table(np.array([0.66]), np.array([250.0]), 0.165, 0.52)
    stiffness = 4.0e4
    way = bow.stretched_geometry(force, 1.73, 0.165, 0.66, stiffness)[0]
    half = 0.5 * 1.73
    link = bow.HINGE_FRACTION * (half - bow.GRIP_HALF_LENGTH)
    hinge = half - link

    def half_string(draw: float, distance: float) -> float:
        angle = math.asin((draw - distance) / link)
        return math.hypot(distance, hinge + link * math.cos(angle))

    braced, full = half_string(0.165, 0.0), half_string(0.66, float(way[-1]))
    tension = force[-1] * full / (2.0 * way[-1])
    slope = (4.0 * force[1] - force[2]) / (2.0 * (0.66 - 0.165) / (len(force) - 1))
    at_brace = 0.5 * braced * slope
    assert full - braced == pytest.approx((tension - at_brace) / stiffness, rel=1e-6)
    assert way[-1] > bow.string_geometry(1.73, 0.165, 0.66)[0][-1]


def test_a_string_of_no_stiffness_is_refused():
    force = bow.force_table(np.array([0.66]), np.array([250.0]), 0.165, 0.52)
    with pytest.raises(ValueError, match="brace height"):
        bow.stretched_geometry(force, 1.73, 0.165, 0.66, 0.0)
