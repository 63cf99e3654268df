"""Tube shafts from diameter, wall, modulus and density.

Sources: MIL-HDBK-5J for 7075-T6 (10.3 million psi from memory, 2,800 kg/m³ seen second-hand in a
public file of sourced constants). The figures expected are arithmetic on these and on nominal
walls, done by hand beforehand; they are no maker's table.
"""

from __future__ import annotations

import pytest

from loosewell.physics import shaft, spine
from loosewell.reference import reader
from loosewell.units import GRAIN, INCH, POUND_FORCE
from tolerances import stated_to_three_figures

PSI = POUND_FORCE / INCH**2


@pytest.mark.parametrize(
    ("sixty_fourths", "wall_thousandths", "trade_ei", "later", "pounds", "grains_per_inch"),
    [
        (15, 16, 677.6, 1.309, 24.1, 7.77),
        (16, 16, 833.1, 1.065, 29.6, 8.33),
        (17, 16, 1010.8, 0.878, 35.9, 8.88),
        (18, 16, 1212.2, 0.732, 43.0, 9.44),
        (19, 16, 1438.7, 0.617, 51.1, 10.00),
        (20, 16, 1691.8, 0.524, 60.1, 10.55),
        (20, 18, 1866.6, 0.475, 66.3, 11.79),
        (20, 20, 2033.9, 0.436, 72.2, 13.01),
        (21, 17, 2077.0, 0.427, 73.7, 11.77),
        (22, 13, 1905.5, 0.466, 67.7, 9.56),
        (23, 15, 2482.6, 0.357, 88.1, 11.49),
    ],
)
def test_aluminium_tube_by_diameter_and_wall(
    sixty_fourths: int,
    wall_thousandths: int,
    trade_ei: float,
    later: float,
    pounds: float,
    grains_per_inch: float,
) -> None:
    outer = sixty_fourths / 64.0 * INCH
    inner = outer - 2.0 * wall_thousandths / 1000.0 * INCH
    stiffness = 10.3e6 * PSI * shaft.second_moment_tube(outer, inner)
    assert stiffness / (POUND_FORCE * INCH**2) == pytest.approx(trade_ei, abs=0.06)
    assert spine.later_deflection_from_stiffness(stiffness) / INCH == pytest.approx(
        later, abs=0.00055
    )
    assert spine.spine_pounds_from_stiffness(stiffness) == pytest.approx(pounds, abs=0.055)
    per_inch = 2800.0 * shaft.area_tube(outer, inner) * INCH / GRAIN
    assert per_inch == pytest.approx(grains_per_inch, abs=0.0055)


def test_the_tables_modulus_is_10_3_million_psi() -> None:
    row = reader.tube("aluminium 7075-T6")
    assert row.modulus_gpa is not None
    assert row.modulus_gpa * 1e9 / PSI == pytest.approx(10.3e6, rel=stated_to_three_figures)
    assert row.density_kg_m3 == 2800.0


@pytest.mark.parametrize("material", ["aluminium 7075-T6", "aluminium 6061-T6"])
def test_modulus_and_shear_modulus_agree_at_the_usual_poisson_ratio(material: str) -> None:
    """E = 2 G (1 + ν) with ν = 0.33 (from memory): two independent figures within 2.5 %."""
    row = reader.tube(material)
    assert row.modulus_gpa is not None
    assert row.shear_modulus_gpa is not None
    assert 2.0 * row.shear_modulus_gpa * 1.33 == pytest.approx(row.modulus_gpa, rel=0.025)
