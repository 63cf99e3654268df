"""The build-up of air forces: scaling of each part, limits, stability."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate, optimize

from loosewell.physics import aero, flight
from physics.arrows import VISCOSITY, wooden
from tolerances import round_off

RHO = 1.225
SPEED = np.array([45.0])


def test_both_lists_of_coefficients_are_in_the_same_order() -> None:
    names = [name for name in vars(aero) if name.startswith("C_")] + ["COEFFICIENT_COLUMNS"]
    assert len(names) == aero.COEFFICIENT_COLUMNS + 1
    assert {n: getattr(flight, n) for n in names} == {n: getattr(aero, n) for n in names}


def test_the_laminar_layer_on_a_cylinder_thickens_as_its_equation_says() -> None:
    # First-order term of the boundary layer along a cylinder, solved here afresh:
    # f0''' + f0 f0'' = 0 and
    # f1''' + f0 f1'' − f0' f1' + 2 f0'' f1 = −(η f0'')', f1' → 0 far out.
    def far(shear: float, slope: float) -> np.ndarray:
        def rates(eta: float, y: np.ndarray) -> list[float]:
            f, f1, f2, g, g1, g2 = y
            f3 = -f * f2
            return [f1, f2, f3, g1, g2, -(f2 + eta * f3) - f * g2 + f1 * g1 - 2 * f2 * g]

        start = [0.0, 0.0, shear, 0.0, 0.0, slope]
        return integrate.solve_ivp(rates, [0.0, 6.0], start, rtol=1e-10, atol=1e-12).y[:, -1]

    shear = optimize.brentq(lambda s: far(s, 0.0)[1] - 2.0, 1.0, 2.0)
    slope = optimize.brentq(lambda s: far(shear, s)[4], 0.0, 2.0)
    assert pytest.approx(0.5 * slope / shear, rel=1e-4) == aero.LAMINAR_ROUNDNESS


def test_friction_falls_with_reynolds_number_and_is_higher_when_turbulent() -> None:
    reynolds = np.array([1e5, 1e6, 1e7])
    laminar = aero.friction_coefficient(reynolds, np.zeros(3))
    turbulent = aero.friction_coefficient(reynolds, np.ones(3))
    assert np.all(np.diff(laminar) < 0.0)
    assert np.all(np.diff(turbulent) < 0.0)
    assert np.all(turbulent > laminar)
    assert laminar[1] == pytest.approx(1.328e-3, rel=round_off)


def test_a_bare_shaft_has_no_fletching_forces() -> None:
    bare = wooden(fletched=False)[np.newaxis]
    assert aero.fletching_drag_area(bare, RHO, VISCOSITY, SPEED)[0] == 0.0
    linear, vortex = aero.fletching_normal_area(bare)
    assert linear[0] == 0.0
    assert vortex[0] == 0.0


def test_rougher_bigger_and_more_feathers_each_drag_more() -> None:
    def area(**changes: float) -> float:
        row = wooden(**changes)[np.newaxis]
        return float(aero.fletching_drag_area(row, RHO, VISCOSITY, SPEED)[0])

    usual = area()
    assert area(roughness=3.0) > usual
    assert area(count=4.0) == pytest.approx(usual * 4.0 / 3.0, rel=round_off)
    assert area(area=2.0 * wooden()[aero.AREA]) > 1.5 * usual


def test_a_very_low_fin_tends_to_the_slender_wing() -> None:
    # A pair of fins of height h seen flat on: 2π h² per radian; the average over the
    # roll of n fins is n/4 of that, on a shaft of no thickness.
    row = wooden(chord=1.0, height=0.001, area=0.001, diameter=1e-9, count=4.0)[np.newaxis]
    linear, _ = aero.fletching_normal_area(row)
    assert linear[0] == pytest.approx(2.0 * math.pi * 0.001**2, rel=2e-3)


def test_a_feathered_arrow_is_steady_and_a_bare_one_less_so() -> None:
    def moment(fletched: bool) -> float:
        rows = aero.coefficient_rows(wooden(fletched=fletched)[np.newaxis], RHO, VISCOSITY, SPEED)
        c = rows[0]
        middle = 0.5 * (c[aero.C_REAR_ARM] + c[aero.C_TIP_ARM])
        return float(
            c[aero.C_NOSE] * c[aero.C_NOSE_ARM]
            + c[aero.C_FLETCH] * c[aero.C_FLETCH_ARM]
            + c[aero.C_FRICTION] * middle
        )

    # Negative restores; a bare shaft's nose upsets it at the smallest angles and only
    # the cross-flow behind its balance point holds it at larger ones.
    assert moment(True) < 0.0 < moment(False)
    bare = aero.coefficient_rows(wooden(fletched=False)[np.newaxis], RHO, VISCOSITY, SPEED)[0]
    assert bare[aero.C_REAR_ARM] + bare[aero.C_TIP_ARM] < 0.0


def test_spin_is_one_turn_in_the_pitch_of_the_feather() -> None:
    # At a setting of 45 degrees the middle of the feather goes round its own
    # circumference in one turn.
    spin = aero.spin_per_metre(math.pi / 4.0, 0.008, 0.012)
    assert 2.0 * math.pi / spin == pytest.approx(2.0 * math.pi * 0.010, rel=round_off)


def test_round_the_roll_the_fins_average_as_quadrature_says() -> None:
    # Each fin at roll φ sees the angle times sin φ and gives sin φ of its push: the
    # straight part averages sin², the vortex part |sin|³ with π sin² of lift (Polhamus).
    row = wooden()[np.newaxis]
    linear, vortex = aero.fletching_normal_area(row)
    roll = np.linspace(0.0, 2.0 * math.pi, 3601)[:-1]
    sides = 3.0 * row[0, aero.AREA]
    cubed = float(np.mean(np.abs(np.sin(roll)) ** 3))
    assert vortex[0] == pytest.approx(sides * math.pi * cubed, rel=1e-6)
    # The straight part lies below the slender wing's of the same span, with its body.
    span, radius = row[0, aero.HEIGHT], 0.5 * row[0, aero.DIAMETER]
    slender = 0.75 * 2.0 * math.pi * span**2 * (1.0 + radius / (radius + span)) ** 2
    assert 0.9 * slender < linear[0] < slender
