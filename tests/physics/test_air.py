"""Air: directions and limits that must hold whatever the constants."""

from __future__ import annotations

import math

import pytest

from loosewell.physics import air


def test_damp_air_is_lighter_than_dry() -> None:
    assert air.air_density(303.15, 101325.0, 0.9) < air.air_density(303.15, 101325.0, 0.1)


def test_warm_air_is_lighter_and_dense_air_heavier() -> None:
    assert air.air_density(303.15, 101325.0, 0.5) < air.air_density(283.15, 101325.0, 0.5)
    assert air.air_density(293.15, 90000.0, 0.5) < air.air_density(293.15, 101325.0, 0.5)


def test_dry_air_comes_close_to_the_ideal_gas() -> None:
    ideal = 101325.0 * 0.02896546 / (8.314472 * 288.15)
    assert air.air_density(288.15, 101325.0, 0.0) == pytest.approx(ideal, rel=5e-4)


def test_pressure_falls_with_height_as_the_air_above_weighs() -> None:
    # Hydrostatic balance, dp/dz = −ρ g, by central differences; the gravity of the
    # convention falls with the square of the distance to the Earth's centre.
    for height in (0.0, 700.0, 2500.0):
        below = air.standard_atmosphere(height - 1.0)[1]
        above = air.standard_atmosphere(height + 1.0)[1]
        density = air.standard_atmosphere(height)[2]
        gravity = 9.80665 * (air.EARTH_RADIUS / (air.EARTH_RADIUS + height)) ** 2
        assert (above - below) / 2.0 == pytest.approx(-density * gravity, rel=1e-6)


def test_viscosity_grows_with_warmth() -> None:
    assert air.viscosity(303.15) > air.viscosity(273.15)


def test_gravity_is_the_same_north_and_south() -> None:
    assert air.normal_gravity(0.7, 100.0) == air.normal_gravity(-0.7, 100.0)
    assert air.normal_gravity(math.pi / 2, 0.0) > air.normal_gravity(0.0, 0.0)
