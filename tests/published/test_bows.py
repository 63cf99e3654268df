"""Wooden bows and their strings against measurements in print.

Hickman, "Effect of String Weight on Arrow Velocity and Efficiency of Bows", parts 1-2, and
Nagler, "Bow strings / string weights", in Archery: the Technical Side, 1947
(archerylibrary.com). Pope's arrows as quoted in a field archery bulletin of July 1942.
Tuijn and Kooi, Eur. J. Phys. 13 (1992), Table I.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from loosewell.physics import bow, launch
from loosewell.units import FPS, GRAIN, INCH, POUND_FORCE
from loosewell.workshop import bridge
from physics.launches import built_arrow, run, untouched
from tolerances import one_percent, stated_to_three_figures

OUNCE = 437.5 * GRAIN
FOOT_POUND = 12.0 * INCH * POUND_FORCE


@pytest.mark.parametrize(
    ("speed_fps", "efficiency", "heavy_fps", "tolerance"),
    [
        pytest.param(142.0, 0.62, 136.0, one_percent, id="lemonwood"),
        pytest.param(139.0, 0.67, 130.0, 0.035, id="maple"),
        pytest.param(155.0, 0.68, None, 0.0, id="yew"),
    ],
)
def test_hickmans_bows_with_a_heavier_string(
    speed_fps: float, efficiency: float, heavy_fps: float | None, tolerance: float
) -> None:
    """Energy and virtual mass from the 108 gr string, then the 254 gr string; 400 gr arrow.

    The maple row's own speeds and efficiencies disagree by 5 %, hence its tolerance.
    """
    arrow, speed = 400.0 * GRAIN, speed_fps * FPS
    energy = 0.5 * arrow * speed**2 / efficiency
    virtual = bow.virtual_mass_from_speed(energy, arrow, speed)
    assert bow.launch_speed(energy, arrow, virtual) == pytest.approx(speed, rel=1e-9)
    added = (254.0 - 108.0) * GRAIN
    heavy = bow.speed_with_other_string(speed, arrow + virtual, added) / FPS
    assert bow.launch_speed(energy, arrow, virtual + added / 3.0) / FPS == pytest.approx(heavy)
    if heavy_fps is None:
        print(f"yew bow with the 254 gr string: {heavy:.1f} ft/s predicted, none printed")
        assert 145.0 < heavy < 152.0
    else:
        assert heavy == pytest.approx(heavy_fps, rel=tolerance)


def test_hickmans_lemonwood_bow_in_the_launch_kernel() -> None:
    """The same bow as tables: the kernel must slow down by the same part."""
    arrow = built_arrow(4, length=26.5 * INCH, shaft_mass=265.0 * GRAIN)
    mass = arrow.number[launch.SHAFT_MASS] + arrow.number[launch.PART_MASS]
    assert mass == pytest.approx(400.0 * GRAIN, rel=1e-9)
    virtual = 245.0 * GRAIN
    added = 146.0 / 3.0 * GRAIN
    rows = [
        untouched(draw=24.0 * INCH, virtual_mass=virtual),
        untouched(draw=24.0 * INCH, virtual_mass=virtual + added),
    ]
    light, heavy = run(rows, arrow, drive_steps=1600)[0][:, launch.SPEED]
    assert 142.0 * heavy / light == pytest.approx(136.0, rel=one_percent)


def test_naglers_lighter_string_gains_two_percent() -> None:
    """75 lb bow, 200 gr flight arrow, string 70 to 40 gr: about 300 to 306 ft/s.

    Moving mass 257.5 gr, worked out from that statement; tolerance 0.3 of a percent point.
    """
    gained = bow.speed_with_other_string(300.0, 257.5 * GRAIN, -30.0 * GRAIN) / 300.0 - 1.0
    assert 100.0 * gained == pytest.approx(2.0, abs=0.3)


def test_virtual_mass_of_a_plain_bow_lies_in_the_band_of_popes_arrows() -> None:
    """50 lb bow: 1 oz arrow 20 ft·lb, 1 1/2 oz arrow 22 1/2 ft·lb (fraction blurred in the scan).

    Two energies of one bow give its virtual mass; 12 to 16 g, Hickman's three bows alike.
    """
    # KE = E m / (m + K) for both arrows
    light, heavy = 20.0 * FOOT_POUND, 22.5 * FOOT_POUND
    ratio = light / heavy * 1.5
    virtual = OUNCE * 1.5 * (1.0 - light / heavy) / (ratio - 1.0)
    assert virtual * 1e3 == pytest.approx(14.2, abs=0.1)
    energy = light * (OUNCE + virtual) / OUNCE
    for mass, kinetic in ((OUNCE, light), (1.5 * OUNCE, heavy)):
        speed = bow.launch_speed(energy, mass, virtual)
        assert 0.5 * mass * speed**2 == pytest.approx(kinetic, rel=1e-9)
    hickman = [400.0 * GRAIN * (1.0 / eff - 1.0) for eff in (0.68, 0.62, 0.67)]
    assert [round(1e3 * one, 1) for one in hickman] == [12.2, 15.9, 12.8]
    middle, spread = bridge.VIRTUAL_MASS
    assert 0.012 < middle < 0.016
    assert middle - 1.5 * spread < min(hickman)
    assert max(hickman) < middle + 1.5 * spread


TUIJN_AND_KOOI = [(0.430, 170.5, 42.6), (0.509, 170.0, 50.3), (0.440, 178.0, 45.6),
                  (0.429, 130.0, 33.2)]  # fmt: skip


@pytest.mark.parametrize(("stroke", "force", "stored"), TUIJN_AND_KOOI)
def test_recurves_store_what_tuijn_and_kooi_measured(
    stroke: float, force: float, stored: float
) -> None:
    """Stored energy over force times stroke 0.58 to 0.60, against the tool's own recurve."""
    brace = 0.219
    ratio, spread = bridge.ENERGY_RATIO["recurve"]
    table = bow.force_table(np.array([brace + stroke]), np.array([force]), brace, ratio)
    ours = bow.stored_energy(table, stroke) / (force * stroke)
    assert ours == pytest.approx(stored / (force * stroke), abs=0.01)
    assert 0.58 <= ours <= 0.60
    assert spread >= 0.008


def test_a_straight_draw_curve_stores_half() -> None:
    table = bow.force_table(np.array([0.7]), np.array([200.0]), 0.2, 0.5)
    assert bow.stored_energy(table, 0.5) / (200.0 * 0.5) == pytest.approx(0.50, abs=1e-9)


def test_plain_bows_store_less_than_recurves() -> None:
    """Common practice, no source: plain wooden bows 0.50 to 0.55."""
    order = [bridge.ENERGY_RATIO[make][0] for make in ("plain wooden", "backed", "reflex-deflex")]
    assert 0.50 <= order[0] <= 0.55
    assert order == sorted(order)
    assert order[-1] < bridge.ENERGY_RATIO["recurve"][0]


def test_no_energy_is_made_or_lost_in_the_lumped_launch() -> None:
    """Hickman's identity: arrow and moving bow share what was stored, to one part in a million."""
    energy, arrow, virtual = 39.2, 400.0 * GRAIN, 245.0 * GRAIN
    speed = bow.launch_speed(energy, arrow, virtual)
    assert 0.5 * arrow * speed**2 + 0.5 * virtual * speed**2 == pytest.approx(energy, rel=1e-6)


@pytest.mark.parametrize("kind", sorted(bridge.DAMPING))
def test_damping_of_wooden_shafts_is_of_the_order_of_measurement(kind: str) -> None:
    """0.002 to 0.008: loss tangent of dry wood after Ono and Norimoto, from memory.

    And the kernel gets the ratio that was meant.
    """
    assert 0.002 <= bridge.DAMPING[kind] <= 0.008
    profile = bridge.uniform_profile(4.85, 0.029, 11.0 / 32.0 * INCH, 0.75)
    model = bridge.arrow_model(profile, 0.73, bridge.parts(125.0, bridge.standard_fletching()))
    ratio = 0.5 * model.number[launch.DAMPING_TIME] * model.bend_rate
    assert ratio == pytest.approx(bridge.DAMPING["solid"], rel=1e-9)


def test_loss_tangent_of_spruce_gives_the_default_damping() -> None:
    """Ono and Norimoto, from memory: tan d = 10^-1.23 (E/rho)^-0.68, half of it is the ratio."""
    ratio = 0.5 * 10.0**-1.23 * 27.0**-0.68
    assert ratio == pytest.approx(0.0031, rel=10 * stated_to_three_figures)
    assert math.isclose(bridge.DAMPING["solid"], ratio, rel_tol=0.1)
