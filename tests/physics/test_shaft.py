"""Stiffness and mass along a shaft: geometry, scaling to readings, balance, moisture."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate

from loosewell.physics import shaft, spine
from tolerances import round_off


def test_second_moments_agree_with_integration_over_the_section() -> None:
    radius = 0.0044
    ring = integrate.quad(lambda r: math.pi * r**3, 0.003, radius)[0]
    assert shaft.second_moment_tube(2 * radius, 0.006) == pytest.approx(ring, rel=1e-9)
    disc = integrate.quad(lambda r: math.pi * r**3, 0.0, radius)[0]
    assert shaft.second_moment_solid(2 * radius) == pytest.approx(disc, rel=1e-9)
    oval = integrate.quad(lambda z: 4.0 * z**2 * 0.003 * math.sqrt(1 - (z / 0.005) ** 2), 0, 0.005)
    assert shaft.second_moment_oval(0.010, 0.006) == pytest.approx(oval[0], rel=1e-8)


def test_a_tube_without_a_bore_is_a_solid_shaft() -> None:
    assert shaft.second_moment_tube(0.008, 0.0) == shaft.second_moment_solid(0.008)
    assert shaft.area_tube(0.008, 0.0) == shaft.area_solid(0.008)
    assert shaft.second_moment_oval(0.008, 0.008) == pytest.approx(
        shaft.second_moment_solid(0.008), rel=round_off
    )


def test_elements_of_a_taper_keep_its_mass_and_its_integral_of_stiffness() -> None:
    station = np.array([0.0, 0.25, 0.76])
    diameter = np.array([0.0079, 0.0087, 0.0087])
    for elements in (1, 7, 16):
        ei, mu = shaft.element_properties(
            station, diameter, np.zeros(3), 0.76, elements, 1.2e10, 480.0
        )
        exact_mass = integrate.quad(
            lambda s: 480.0 * shaft.area_solid(float(np.interp(s, station, diameter))),
            0.0,
            0.76,
            points=[0.25],
        )[0]
        exact_ei = integrate.quad(
            lambda s: 1.2e10 * shaft.second_moment_solid(float(np.interp(s, station, diameter))),
            0.0,
            0.76,
            points=[0.25],
        )[0]
        assert np.sum(mu) * 0.76 / elements == pytest.approx(exact_mass, rel=1e-9)
        assert np.sum(ei) * 0.76 / elements == pytest.approx(exact_ei, rel=1e-9)


def test_a_footing_steps_inside_one_element() -> None:
    station = np.array([0.0, 0.5, 0.5, 1.0])
    diameter = np.array([0.008, 0.008, 0.010, 0.010])
    second, area = shaft.profile_elements(station, diameter, np.zeros(4), 1.0, 1)
    assert area[0] == pytest.approx(
        0.5 * (shaft.area_solid(0.008) + shaft.area_solid(0.010)), rel=round_off
    )
    assert second[0] == pytest.approx(
        0.5 * (shaft.second_moment_solid(0.008) + shaft.second_moment_solid(0.010)), rel=round_off
    )


def test_a_profile_that_cannot_be_gives_no_number() -> None:
    second, area = shaft.profile_elements(
        np.array([0.0, 1.0]), np.array([0.008, 0.008]), np.array([0.009, 0.0]), 1.0, 4
    )
    assert np.all(np.isnan(second))
    assert np.all(np.isnan(area))


def test_the_modulus_found_from_a_reading_reads_the_same_again() -> None:
    station = np.array([0.0, 0.3, 0.8])
    diameter = np.array([0.0075, 0.0085, 0.0090])
    inner = np.array([0.002, 0.003, 0.003])
    modulus = shaft.modulus_from_deflection(station, diameter, inner, 9.0, 0.66, 0.014)
    again = spine.midspan_deflection_varying(
        9.0, 0.66, station, modulus * shaft.second_moment_tube(diameter, inner)
    )
    assert again == pytest.approx(0.014, rel=round_off)


def test_scaled_profiles_read_and_weigh_what_was_measured() -> None:
    station = np.array([0.0, 0.8])
    stiffness = np.array([3.0, 5.0])
    factor = shaft.stiffness_scale(9.0, 0.66, station, stiffness, 0.012)
    assert spine.midspan_deflection_varying(
        9.0, 0.66, station, factor * stiffness
    ) == pytest.approx(0.012, rel=round_off)
    mass_per_length = np.array([0.02, 0.03, 0.04])
    scaled = shaft.mass_scale(mass_per_length, 0.75, 0.024) * mass_per_length
    assert np.sum(scaled) * 0.25 == pytest.approx(0.024, rel=round_off)


def test_a_bare_uniform_rod_has_the_inertia_of_the_textbook() -> None:
    mass, balance, inertia = shaft.arrow_mass_properties(
        np.full(16, 0.03), 0.75, 0.0, 0.0, 0.0, np.zeros(0), np.zeros(0)
    )
    assert mass == pytest.approx(0.0225, rel=round_off)
    assert balance == pytest.approx(0.375, rel=round_off)
    assert inertia == pytest.approx(0.0225 * 0.75**2 / 12.0, rel=round_off)


def test_heavier_point_moves_the_balance_forward() -> None:
    def balance(point_mass: float) -> float:
        return shaft.arrow_mass_properties(
            np.full(16, 0.03), 0.75, point_mass, 0.01, 0.0, np.array([0.001]), np.array([0.06])
        )[1]

    assert balance(0.010) > balance(0.008) > balance(0.0)


def test_wood_stiffens_as_it_dries_and_keeps_its_green_value_when_wet() -> None:
    values = [shaft.modulus_at_moisture(11.7e9, 9.0e9, m) for m in (0.06, 0.12, 0.20, 0.25, 0.40)]
    assert values == sorted(values, reverse=True)
    assert values[1] == pytest.approx(11.7e9, rel=round_off)
    assert values[3] == pytest.approx(9.0e9, rel=round_off)
    assert values[4] == values[3]


def test_joints_turn_of_a_jointed_beam_is_the_sum_of_its_parts():
    """A constant moment turns the ends by the integral of 1/EI plus moment times compliance."""
    edge = np.linspace(0.0, 0.72, 37)
    ei = np.full(36, 4.0)
    mu = np.full(36, 0.03)
    with_one, _ = shaft.with_joint(edge, ei, mu, 0.31, 0.05, 0.003, 1.5, 0.002)
    turn = float(np.sum(np.diff(edge) / with_one))
    expected = (0.72 - 0.05) / 4.0 + 0.05 / 6.0 + 0.002
    assert turn == pytest.approx(expected, rel=1e-12)


def test_joints_mass_of_a_jointed_shaft_grows_by_the_sleeve():
    edge = np.linspace(0.0, 0.72, 37)
    _, mass = shaft.with_joint(
        edge, np.full(36, 4.0), np.full(36, 0.03), 0.31, 0.05, 0.003, 1.5, 0.0
    )
    assert float(np.sum(mass * np.diff(edge))) == pytest.approx(0.72 * 0.03 + 0.003, rel=1e-12)


def test_joints_that_cannot_be_give_no_number():
    edge = np.linspace(0.0, 0.72, 37)
    flat = np.full(36, 4.0)
    for station, ratio, compliance in ((0.9, 1.0, 0.0), (0.3, 0.0, 0.0), (0.3, 1.0, -1.0)):
        stiff, _ = shaft.with_joint(edge, flat, flat, station, 0.05, 0.0, ratio, compliance)
        assert np.all(np.isnan(stiff))
