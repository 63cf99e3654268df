"""Air, gravity and units against published values and independent packages.

Sources: CIPM-2007 (Picard, Davis, Gläser, Fujii 2008, Metrologia 45, 149), values worked from
two public source files of its terms; the standard atmosphere through the packages ambiance
(ICAO) and fluids (US 1976); WGS 84 normal gravity from public navigation texts; unit
definitions through scipy.constants and pint.
"""

from __future__ import annotations

import math

import ambiance
import pint
import pytest
from fluids.atmosphere import ATMOSPHERE_1976
from scipy import constants

from loosewell import units
from loosewell.physics import air
from tolerances import exact_factors, stated_to_four_figures


@pytest.mark.parametrize(
    ("celsius", "humidity", "pressure", "density", "ideal"),
    [
        (20.0, 0.5, 101325.0, 1.19931, 1.19890),
        (30.0, 0.8, 101325.0, 1.15001, 1.14967),
        (0.0, 0.5, 101325.0, 1.29158, 1.29085),
        (15.0, 0.0, 101325.0, 1.22552, 1.22505),
        (20.0, 0.5, 84556.0, 0.99990, 0.99961),
    ],
)
def test_moist_air_agrees_with_the_formula(
    celsius: float, humidity: float, pressure: float, density: float, ideal: float
) -> None:
    """CIPM-2007 to the last figure; an ideal-gas moist-air library within 0.06 %."""
    got = air.air_density(273.15 + celsius, pressure, humidity)
    assert got == pytest.approx(density, abs=5.1e-6)
    assert got == pytest.approx(ideal, rel=6e-4)


@pytest.mark.parametrize(
    ("height", "temperature", "pressure", "density"),
    [
        (0.0, 288.150, 101325.0, 1.22500),
        (500.0, 284.900, 95461.3, 1.16727),
        (1000.0, 281.651, 89876.3, 1.11166),
        (1500.0, 278.402, 84559.7, 1.05810),
        (2000.0, 275.154, 79501.4, 1.00655),
        (3000.0, 268.659, 70121.1, 0.90925),
    ],
)
def test_standard_atmosphere_agrees_with_two_packages(
    height: float, temperature: float, pressure: float, density: float
) -> None:
    got = air.standard_atmosphere(height)
    assert got[0] == pytest.approx(temperature, abs=5.1e-4)
    assert got[1] == pytest.approx(pressure, abs=0.06)
    assert got[2] == pytest.approx(density, abs=5.1e-6)
    icao = ambiance.Atmosphere(height)
    us = ATMOSPHERE_1976(height)
    # The two packages round the gas constant differently: they agree with each other to
    # 4 parts in a million.
    for other in (
        (float(icao.temperature[0]), float(icao.pressure[0]), float(icao.density[0])),
        (us.T, us.P, us.rho),
    ):
        assert got == pytest.approx(other, rel=1e-5)
    assert air.viscosity(got[0]) == pytest.approx(float(icao.dynamic_viscosity[0]), rel=1e-4)
    assert air.viscosity(got[0]) == pytest.approx(us.mu, rel=1e-4)


@pytest.mark.parametrize(
    ("degrees", "sea_level", "kilometre"),
    [
        (0, 9.780325, 9.777238),
        (30, 9.793247, 9.790161),
        (45, 9.806198, 9.803113),
        (60, 9.819177, 9.816093),
        (90, 9.832185, 9.829102),
    ],
)
def test_normal_gravity_of_the_ellipsoid(
    degrees: float, sea_level: float, kilometre: float
) -> None:
    latitude = math.radians(degrees)
    assert air.normal_gravity(latitude, 0.0) == pytest.approx(sea_level, abs=6e-7)
    assert air.normal_gravity(latitude, 1000.0) == pytest.approx(kilometre, abs=6e-7)


def test_units_against_scipy() -> None:
    assert pytest.approx(constants.inch, rel=exact_factors) == units.INCH
    assert pytest.approx(constants.foot, rel=exact_factors) == units.FOOT
    assert pytest.approx(constants.yard, rel=exact_factors) == units.YARD
    assert pytest.approx(constants.pound, rel=exact_factors) == units.POUND
    assert pytest.approx(constants.grain, rel=exact_factors) == units.GRAIN
    assert pytest.approx(constants.g, rel=exact_factors) == units.GRAVITY
    assert pytest.approx(constants.pound_force, rel=exact_factors) == units.POUND_FORCE
    assert pytest.approx(constants.psi, rel=exact_factors) == units.POUND_FORCE / units.INCH**2


def test_units_against_pint() -> None:
    registry = pint.UnitRegistry()
    for ours, theirs, si in (
        (units.INCH, "inch", "meter"),
        (units.GRAIN, "grain", "kilogram"),
        (units.POUND, "pound", "kilogram"),
        (units.POUND_FORCE, "force_pound", "newton"),
        (units.FPS, "foot / second", "meter / second"),
        (units.SLUG, "slug", "kilogram"),
        (units.FOOT_POUND, "foot * force_pound", "joule"),
    ):
        assert ours == pytest.approx(float(registry(theirs).to(si).magnitude), rel=1e-12)


def test_seven_thousand_grains_make_a_pound() -> None:
    """International yard and pound, 1959."""
    assert pytest.approx(units.POUND, rel=exact_factors) == 7000.0 * units.GRAIN


def test_energy_and_momentum_of_a_500_grain_arrow_at_45_metres_a_second() -> None:
    """Worked by hand from the exact units: 32.80 J, 24.20 ft·lbf, 1.458 kg·m/s, 147.64 fps."""
    mass = 500.0 * units.GRAIN
    energy = 0.5 * mass * 45.0**2
    assert energy == pytest.approx(32.80, abs=0.005)
    assert energy / units.FOOT_POUND == pytest.approx(24.20, abs=0.005)
    assert mass * 45.0 == pytest.approx(1.458, abs=0.0005)
    fps = 45.0 / units.FPS
    assert fps == pytest.approx(147.64, abs=0.005)
    # The trade's short form: grains × fps² / 450,437.
    assert 500.0 * fps**2 / 450_437.0 == pytest.approx(
        energy / units.FOOT_POUND, rel=stated_to_four_figures / 100
    )


def test_cord_and_linen_figures_by_the_exact_units() -> None:
    """Type III cord (MIL-C-5040): 225 ft to the pound, 550 lbf; linen string, Pope 1923.

    Worked by hand: 6.614 g/m and 2,446.5 N; 3/4 oz is 328.1 gr, and 60 strands of 6 lb, 360 lb,
    are 6.0 times the draw weight of a 60 lb bow.
    """
    assert pytest.approx(6.614e-3, abs=5e-7) == units.POUND / (225.0 * units.FOOT)
    assert pytest.approx(2446.5, abs=0.05) == 550.0 * units.POUND_FORCE
    assert pytest.approx(328.1, abs=0.05) == 0.75 * units.OUNCE / units.GRAIN
    linen = 60.0 * units.quantity("6 lb", "lb", what="Strand strength")
    assert linen / units.quantity("60 lb", "lb", what="Draw weight") == pytest.approx(6.0)
