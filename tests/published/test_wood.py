"""Wooden shafts against the Wood Handbook and Rheingans' specimens.

Sources: Wood Handbook, USDA Forest Products Laboratory, FPL-GTR-282, Table 5-3b with its
footnotes on specific gravity and on the 10 % for shear (seen in a public transcription; chapter
4 for density). Rheingans, "Debunking Spine", part 7, Table 2, and Nagler and Rheingans, "Spine
and Arrow Design", parts 1-2, in Archery: the Technical Side, 1947 (archerylibrary.com).
"""

from __future__ import annotations

import math

import pytest

from loosewell.physics import shaft, spine
from loosewell.reference import reader
from loosewell.units import GRAIN, INCH, POUND, POUND_FORCE
from tolerances import one_percent, round_off, stated_to_four_figures, tenth_of_a_percent

PSI = POUND_FORCE / INCH**2
POUND_PER_CUBIC_FOOT = POUND / (12.0 * INCH) ** 3


def pounds(diameter_in: float, modulus_psi: float) -> float:
    stiffness = modulus_psi * PSI * shaft.second_moment_solid(diameter_in * INCH)
    return spine.spine_pounds_from_stiffness(stiffness)


@pytest.mark.parametrize(
    ("diameter", "second_moment", "area", "relative", "modulus_for_fifty"),
    [
        (5 / 16, 468.13, 0.07670, 0.6830, 3.008),
        (11 / 32, 685.39, 0.09281, 1.0000, 2.055),
        (23 / 64, 818.77, 0.10143, 1.1946, 1.720),
        (3 / 8, 970.72, 0.11045, 1.4163, 1.451),
    ],
)
def test_sections_of_the_usual_shaft_sizes(
    diameter: float, second_moment: float, area: float, relative: float, modulus_for_fifty: float
) -> None:
    """Arithmetic on exact fractions, done by hand beforehand."""
    d = diameter * INCH
    second = shaft.second_moment_solid(d)
    assert second / INCH**4 * 1e6 == pytest.approx(second_moment, abs=0.0051)
    assert shaft.area_solid(d) / INCH**2 == pytest.approx(area, abs=5.1e-6)
    assert second / shaft.second_moment_solid(11 / 32 * INCH) == pytest.approx(relative, abs=5.1e-5)
    modulus = spine.stiffness_from_spine_pounds(50.0) / second / PSI / 1e6
    assert modulus == pytest.approx(modulus_for_fifty, abs=5.1e-4)


def test_port_orford_cedar_at_the_tabulated_modulus_and_with_the_shear_note() -> None:
    wood = reader.wood("Port-Orford-cedar")
    assert wood.modulus_dry_million_psi == 1.70
    tabulated = wood.modulus_dry_million_psi * 1e6
    stiffness = tabulated * PSI * shaft.second_moment_solid(11 / 32 * INCH)
    assert stiffness / (POUND_FORCE * INCH**2) == pytest.approx(1165.2, abs=0.05)
    assert spine.wood_deflection_from_stiffness(stiffness) / INCH == pytest.approx(0.6285, abs=5e-5)
    assert spine.later_deflection_from_stiffness(stiffness) / INCH == pytest.approx(
        0.7615, abs=1e-4
    )
    assert pounds(11 / 32, tabulated) == pytest.approx(41.4, abs=0.05)
    assert pounds(11 / 32, shaft.slender_wood_modulus(tabulated)) == pytest.approx(45.5, abs=0.05)
    assert pounds(23 / 64, tabulated) == pytest.approx(49.4, abs=0.05)
    assert pounds(23 / 64, shaft.slender_wood_modulus(tabulated)) == pytest.approx(54.4, abs=0.05)


def test_the_shear_note_is_what_shear_takes_at_fourteen_to_one() -> None:
    # Timoshenko's beam under a centre load: shear adds 1.2·E/G·(h/L)² to a square
    # section's bending. With E/G of 14 to 20, usual for clear wood (Wood Handbook,
    # Table 5-1, from memory), the handbook's 10 % lies within what follows.
    low, high = (1.2 * ratio / 14.0**2 for ratio in (14.0, 20.0))
    assert low < shaft.SHEAR_CORRECTION - 1.0 < high


def test_one_size_up_is_eleven_to_the_fourth_over_ten() -> None:
    assert pounds(11 / 32, 1.7e6) / pounds(5 / 16, 1.7e6) == pytest.approx(1.1**4, rel=round_off)


def test_mass_of_a_port_orford_shaft() -> None:
    density = shaft.wood_density(0.43)
    assert density == pytest.approx(481.6, abs=0.05)
    per_inch = density * shaft.area_solid(11 / 32 * INCH) * INCH / GRAIN
    assert per_inch == pytest.approx(11.30, abs=0.005)
    assert 30.0 * per_inch == pytest.approx(339.0, abs=0.5)


def test_density_of_white_ash_is_the_handbooks_own_example() -> None:
    """Wood Handbook, equation 4-12 example: 0.605 at 12 % gives 678 kg/m³."""
    assert shaft.wood_density(0.605) == pytest.approx(678.0, abs=0.5)


@pytest.mark.parametrize(
    ("species", "spine_lb", "grains_per_inch"),
    [
        ("Port-Orford-cedar", 46, 11.3),
        ("Western redcedar", 30, 8.4),
        ("Douglas-fir, coast", 52, 12.6),
        ("Sitka spruce", 42, 10.5),
        ("Lodgepole pine", 36, 10.8),
        ("Longleaf pine", 53, 15.5),
        ("Yellow birch", 54, 16.3),
        ("White ash", 47, 15.8),
        ("Hickory, shagbark", 58, 18.9),
        ("Black locust", 55, 18.1),
    ],
)
def test_mean_wood_as_an_eleven_thirty_seconds_shaft(
    species: str, spine_lb: int, grains_per_inch: float
) -> None:
    """Spine and mass worked out by hand beforehand from the table's modulus and gravity."""
    wood = reader.wood(species)
    assert wood.modulus_dry_million_psi is not None
    assert wood.specific_gravity_dry is not None
    modulus = wood.shear_correction * wood.modulus_dry_million_psi * 1e6
    assert pounds(11 / 32, modulus) == pytest.approx(spine_lb, abs=0.55)
    density = shaft.wood_density(wood.specific_gravity_dry)
    per_inch = density * shaft.area_solid(11 / 32 * INCH) * INCH / GRAIN
    assert per_inch == pytest.approx(grains_per_inch, abs=0.055)


@pytest.mark.parametrize(
    ("species", "gravity", "modulus"),
    [
        ("Douglas-fir, coast", 0.48, 1.95),
        ("Western larch", 0.52, 1.87),
        ("Engelmann spruce", 0.35, 1.30),
        ("Western hemlock", 0.45, 1.63),
    ],
)
def test_table_agrees_with_oregon_state_university(
    species: str, gravity: float, modulus: float
) -> None:
    """Oregon State University, Oregon Wood Innovation Center, relative properties table."""
    wood = reader.wood(species)
    assert wood.specific_gravity_dry == gravity
    assert wood.modulus_dry_million_psi == modulus


# Specimen, lb/ft³, psi, printed universal spine number.
RHEINGANS = [
    ("spruce no. 1", 27.1, 2_280_000, 32.3),
    ("Sitka spruce no. 2", 24.7, 1_830_000, 33.3),
    ("Port Orford cedar no. 4", 29.2, 2_380_000, 35.8),
    ("Norway pine no. 10", 29.7, 2_030_000, 43.5),
    ("yellow cedar (Alaska)", 31.0, 2_020_000, 47.8),
    ("bamboo no. 16", 51.5, 5_500_000, 48.4),
    ("cottonwood", 24.0, 1_073_000, 53.8),
    ("birch no. 17", 36.7, 2_480_000, 54.2),
    ("western red cedar", 22.0, 886_000, 55.0),
    ("redwood", 24.0, 1_024_000, 56.0),
]


def deflection_times_mass_squared(weight: float, modulus: float, diameter: float) -> float:
    density = weight * POUND_PER_CUBIC_FOOT
    mass = density * shaft.area_solid(diameter) * 28.0 * INCH
    stiffness = modulus * PSI * shaft.second_moment_solid(diameter)
    return spine.midspan_deflection(spine.WOOD_LOAD, spine.WOOD_SPAN, stiffness) * mass**2


@pytest.mark.parametrize(("name", "weight", "modulus", "printed"), RHEINGANS)
@pytest.mark.parametrize("diameter_in", [0.25, 11 / 32, 0.5])
def test_rheingans_ten_woods(
    name: str, weight: float, modulus: float, printed: float, diameter_in: float
) -> None:
    """Deflection times mass squared, relative to Sitka spruce; the diameter must cancel."""
    _, sitka_weight, sitka_modulus, sitka_printed = RHEINGANS[1]
    diameter = diameter_in * INCH
    got = deflection_times_mass_squared(weight, modulus, diameter)
    got /= deflection_times_mass_squared(sitka_weight, sitka_modulus, 0.3 * INCH)
    # Three printed figures on each of the quantities.
    assert got == pytest.approx(printed / sitka_printed, rel=one_percent)


def test_square_bar_against_round_dowel_is_0_955() -> None:
    """Nagler and Rheingans print 0.95 for the factor; 3/π from theory."""
    side = 0.34 * INCH
    modulus, density = 1.2e10, 480.0

    def number(second_moment: float, area: float) -> float:
        deflection = spine.midspan_deflection(
            spine.WOOD_LOAD, spine.WOOD_SPAN, modulus * second_moment
        )
        return deflection * (density * area * 28.0 * INCH) ** 2

    square = number(side**4 / 12.0, side**2)
    dowel = number(shaft.second_moment_solid(side), shaft.area_solid(side))
    assert square / dowel == pytest.approx(3.0 / math.pi, rel=round_off)
    assert square / dowel == pytest.approx(0.955, rel=tenth_of_a_percent)
    assert square / dowel == pytest.approx(0.95, rel=one_percent)


def test_balance_of_a_made_up_arrow_worked_by_hand() -> None:
    """340 gr uniform over 28 in, 125 gr at its end, 20 gr at 2.5 in: 17.134 in, 11.19 %."""
    import numpy as np

    length = 28.0 * INCH
    _, balance, _ = shaft.arrow_mass_properties(
        np.full(16, 340.0 * GRAIN / length),
        length,
        125.0 * GRAIN,
        0.0,
        0.0,
        np.array([20.0 * GRAIN]),
        np.array([2.5 * INCH]),
    )
    assert balance / INCH == pytest.approx(17.134, abs=5e-4)
    assert 100.0 * shaft.front_of_centre(balance, length) == pytest.approx(11.19, abs=0.005)


@pytest.mark.parametrize(
    ("percent", "modulus"),
    [
        (6, 1.924),
        (8, 1.846),
        (10, 1.772),
        (12, 1.700),
        (15, 1.598),
        (18, 1.502),
        (25, 1.300),
    ],
)
def test_moisture_of_port_orford_cedar(percent: float, modulus: float) -> None:
    """Wood Handbook, chapter 5 relation (from memory), worked by hand from 1.70 and 1.30."""
    got = shaft.modulus_at_moisture(1.70, 1.30, percent / 100.0)
    assert got == pytest.approx(modulus, rel=stated_to_four_figures)


@pytest.mark.parametrize(
    ("celsius", "humidity", "percent"),
    [
        (20, 0.30, 6.19),
        (20, 0.50, 9.27),
        (20, 0.65, 12.00),
        (20, 0.80, 16.04),
        (5, 0.80, 16.49),
        (30, 0.90, 19.99),
    ],
)
def test_equilibrium_moisture_of_the_handbook(
    celsius: float, humidity: float, percent: float
) -> None:
    """Simpson 1998, FPL-RN-0268, worked beforehand from a public source file citing it.

    The Wood Handbook's own table gives 12.0 % at 21 °C and 65 % (from memory).
    """
    got = 100.0 * shaft.equilibrium_moisture(273.15 + celsius, humidity)
    assert got == pytest.approx(percent, abs=0.005)
