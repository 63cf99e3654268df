"""Tones of a shaft: closed forms, a published standard, packages that know nothing of shafts."""

from __future__ import annotations

import math

import numpy as np
import pytest
import skfem
from numpy.typing import NDArray
from scipy import linalg
from skfem.helpers import dd, ddot

from loosewell.physics import beam, shaft, tone
from physics.thick_beam import frequency as whole_timoshenko
from tolerances import (
    one_percent,
    round_off,
    stated_to_four_figures,
    tenth_of_a_percent,
)

Array = NDArray[np.float64]
EI, MU, L = 3.6, 0.0292, 0.787
MODES = np.arange(1, 9)


def test_roots_are_those_of_the_free_beam() -> None:
    assert tone.free_free_root(np.arange(1, 4)) == pytest.approx(
        np.array(beam.FREE_FREE_ROOTS), rel=round_off
    )
    # Any text on vibration gives the ratios 1 : 2.757 : 5.404 : 8.933 : 13.34.
    found = tone.uniform_frequencies(EI, MU, L, MODES)
    assert found[:5] / found[0] == pytest.approx(
        np.array([1.0, 2.757, 5.404, 8.933, 13.34]), rel=stated_to_four_figures
    )


def test_lowest_mode_stands_still_at_the_supports_of_the_standard() -> None:
    """ASTM E1876 puts the supports of a bar 0.224 of its length from the ends (from memory)."""
    low, high = tone.free_free_shape(np.array([0.2236, 0.2248]), 1)
    assert low > 0.0 > high


@pytest.mark.parametrize("mode", [1, 2, 5, 10])
def test_shapes_are_even_or_odd_and_carry_a_quarter(mode: int) -> None:
    place = np.linspace(0.0, 1.0, 4001)
    shape = tone.free_free_shape(place, mode)
    assert shape == pytest.approx(-((-1.0) ** mode) * shape[::-1], abs=1e-9)
    assert shape[0] == pytest.approx(1.0, rel=1e-9)
    assert np.trapezoid(shape**2, place) == pytest.approx(0.25, rel=1e-5)


def standard_modulus(mass: float, diameter: float, length: float, hertz: float) -> float:
    """Young's modulus of a cylinder by ASTM E1876, its correction for Poisson's ratio 0.3.

    E = 1.6067 (L³/D⁴) m f² T; T as the standard gives it, from memory.
    """
    nu, slim = 0.3, (diameter / length) ** 2
    correction = (
        1.0
        + 4.939 * (1.0 + 0.0752 * nu + 0.8109 * nu**2) * slim
        - 0.4883 * slim**2
        - 4.691
        * (1.0 + 0.2023 * nu + 2.173 * nu**2)
        * slim**2
        / (1.0 + 4.754 * (1.0 + 0.1408 * nu + 1.536 * nu**2) * slim)
    )
    return 1.6067 * length**3 / diameter**4 * mass * hertz**2 * correction


@pytest.mark.parametrize("slenderness", [20.0, 40.0, 90.0])
@pytest.mark.parametrize(
    ("modulus", "density"),
    [(200e9, 7850.0), (68.3e9, 2700.0)],
    ids=["steel, from memory", "6061-T6: density from a tube maker's data, modulus from memory"],
)
def test_rods_ring_as_the_standard_for_impulse_excitation_says(
    modulus: float, density: float, slenderness: float
) -> None:
    diameter = 0.008
    length = slenderness * diameter
    second, area = shaft.second_moment_solid(diameter), shaft.area_solid(diameter)
    thin = tone.uniform_frequencies(modulus * second, density * area, length, np.array([1]))[0]
    # Cowper 1966 for a round section (from memory): E over kappa G = (7 + 6 nu) / 3.
    factor = tone.thickness_factor(0.25 * diameter, length, (7.0 + 1.8) / 3.0, np.array([1]))[0]
    heard = thin / math.sqrt(factor)
    by_standard = standard_modulus(density * area * length, diameter, length, heard)
    assert by_standard == pytest.approx(modulus, rel=tenth_of_a_percent)


def test_steel_rod_rings_at_the_tone_a_handbook_gives() -> None:
    """f = 0.8893 (D/L²) sqrt(E/rho) of a slender free rod: 22.373/(2 pi)/4, any handbook."""
    diameter, length, modulus, density = 0.0095, 0.6, 200e9, 7850.0
    second, area = shaft.second_moment_solid(diameter), shaft.area_solid(diameter)
    found = tone.uniform_frequencies(modulus * second, density * area, length, np.array([1]))[0]
    by_hand = 22.373 / (2.0 * math.pi) / 4.0 * diameter / length**2 * math.sqrt(modulus / density)
    assert found == pytest.approx(by_hand, rel=stated_to_four_figures)
    assert found == pytest.approx(118.6, rel=stated_to_four_figures)


@pytest.mark.parametrize("shear_ratio", [3.0, 18.0, 35.0])
def test_thickness_against_the_whole_timoshenko_beam(shear_ratio: float) -> None:
    """First order: off by no more than its own square."""
    gyration = 0.0022
    factor = tone.thickness_factor(gyration, L, shear_ratio, MODES)
    thin = tone.uniform_frequencies(EI, MU, L, MODES)
    ours = thin / np.sqrt(factor)
    for mode in range(8):
        theirs = whole_timoshenko(EI, MU, L, gyration, shear_ratio, float(ours[mode]))
        part = factor[mode] - 1.0
        assert abs((thin[mode] / theirs) ** 2 - factor[mode]) < 1.0 * part**2 + 1e-7


@pytest.mark.parametrize("point", [0.0, 0.0065])
def test_varying_shaft_with_a_point_against_a_general_package(point: float) -> None:
    """scikit-fem's Hermite elements take the taper as it is; ours in 64 steps."""
    elements = 64

    def stiff(s: object) -> object:
        return EI * (1.0 - 0.3 * s / L)  # type: ignore[operator]

    def heavy(s: object) -> object:
        return MU * (1.0 - 0.15 * s / L)  # type: ignore[operator]

    basis = skfem.Basis(
        skfem.MeshLine(np.linspace(0.0, L, 41)), skfem.ElementLineHermite(), intorder=8
    )

    @skfem.BilinearForm
    def bending(u: object, v: object, w: object) -> object:
        return stiff(w.x[0]) * ddot(dd(u), dd(v))  # type: ignore[attr-defined, operator]

    @skfem.BilinearForm
    def inertia(u: object, v: object, w: object) -> object:
        return heavy(w.x[0]) * u * v  # type: ignore[attr-defined, operator]

    K, M = bending.assemble(basis).toarray(), inertia.assemble(basis).toarray()
    front = int(basis.get_dofs(lambda x: np.isclose(x[0], L)).all("u")[0])
    M[front, front] += point
    theirs = np.sqrt(linalg.eigh(K, M, eigvals_only=True)[2:8]) / (2.0 * np.pi)
    middle = (np.arange(elements) + 0.5) * L / elements
    ours = tone.shaft_frequencies(
        np.asarray(stiff(middle)), np.asarray(heavy(middle)), L, 0.0, point, 6
    )
    assert ours == pytest.approx(theirs, rel=2e-4)


def test_masses_on_either_end_do_the_same_to_an_even_shaft() -> None:
    even = (np.full(40, EI), np.full(40, MU), L)
    front = tone.shaft_frequencies(*even, 0.0, 0.008, 4)
    rear = tone.shaft_frequencies(*even, 0.008, 0.0, 4)
    bare = tone.shaft_frequencies(*even, 0.0, 0.0, 4)
    assert front == pytest.approx(rear, rel=1e-7)
    assert np.all(front < 0.97 * bare)


def test_air_along_is_a_quarter_percent_of_a_wooden_shaft() -> None:
    """What a cylinder displaces: 1.2 kg/m³ times its area (potential flow)."""
    assert tone.air_along(0.00873) == pytest.approx(1.2 * math.pi * 0.00873**2 / 4.0)
    assert 0.002 < tone.air_along(0.00873) / MU < 0.003


def test_stiffness_comes_back_from_the_modes_and_its_error_covers_it() -> None:
    """Monte Carlo: errors drawn as stated must fall inside the error given back as often."""
    chance = np.random.default_rng(4)
    model = tone.uniform_frequencies(EI, MU, L, MODES[:5])
    own, shear = np.linspace(0.015, 0.03, 5), np.linspace(0.001, 0.03, 5)
    off = []
    for _ in range(600):
        log = own * chance.standard_normal(5) + shear * chance.standard_normal()
        heard = model * np.exp(0.5 * log) * (1.0 + 1e-3 * chance.standard_normal(5))
        found, error, scatter, each = tone.stiffness_from_modes(
            heard, 1e-3 * heard, model, EI, own, shear
        )
        assert each == pytest.approx(EI * (heard / model) ** 2, rel=1e-9)
        off.append(math.log(found / EI) / (error / max(1.0, scatter)))
    # 600 draws: the spread of one is known to 3 %, here to three times that.
    assert np.std(off) == pytest.approx(1.0, abs=0.09)


def test_modes_that_disagree_widen_the_error() -> None:
    model = tone.uniform_frequencies(EI, MU, L, MODES[:3])
    small, none = np.full(3, 0.001), np.zeros(3)
    _, alike, scatter, _ = tone.stiffness_from_modes(model, 1e-4 * model, model, EI, small, none)
    heard = model * np.array([1.0, 1.02, 0.98])
    _, apart, wide, _ = tone.stiffness_from_modes(heard, 1e-4 * model, model, EI, small, none)
    assert scatter < 1.0 < 10.0 < wide
    assert apart > 10.0 * alike


SLACK = np.full(10, 0.012)
RATIOS = tone.uniform_frequencies(EI, MU, L, np.arange(1, 11))


@pytest.mark.parametrize(
    "modes",
    [
        (1, 2),
        (2, 3),
        (3, 4),
        (1, 2, 3),
        (2, 3, 4, 5),
        (3, 4, 5),
        (1, 3, 5),
        (1, 2, 4, 6),
        (2, 4, 5),
    ],
)
@pytest.mark.parametrize("scale", [0.4, 1.0, 1.7])
def test_ratios_alone_tell_which_modes_were_heard(modes: tuple[int, ...], scale: float) -> None:
    chance = np.random.default_rng(sum(modes))
    heard = scale * RATIOS[np.array(modes) - 1] * np.exp(0.004 * chance.standard_normal(len(modes)))
    _, found, read = tone.match_modes(heard, np.full(len(modes), 0.7), RATIOS, SLACK)[0]
    assert tuple(read) == modes
    assert found == pytest.approx(scale, rel=one_percent)


def test_a_stray_tone_and_a_second_side_do_not_mislead() -> None:
    heard = np.array([1.0, 1.02, 2.757, 3.9, 5.404, 8.933]) * RATIOS[0]
    strength = np.array([0.9, 0.5, 0.9, 0.3, 0.7, 0.6])
    _, scale, read = tone.match_modes(heard, strength, RATIOS, SLACK)[0]
    assert tuple(read) == (1, 1, 2, 0, 3, 4)
    assert scale == pytest.approx(1.0, rel=one_percent)


def test_a_mode_missing_between_others_costs_and_one_missing_at_the_top_does_not() -> None:
    def best(*modes: int) -> float:
        heard = RATIOS[np.array(modes) - 1]
        score, _, read = tone.match_modes(heard, np.full(len(modes), 0.7), RATIOS, SLACK)[0]
        assert tuple(read) == modes
        return score

    assert best(1, 2, 3) - best(1, 3, 4) == pytest.approx(1.4, abs=0.01)
    assert best(1, 2, 3) - best(2, 3, 4) == pytest.approx(0.7, abs=0.01)


def test_one_tone_alone_is_left_open() -> None:
    readings = tone.match_modes(np.array([177.0]), np.array([1.0]), RATIOS, SLACK)
    assert {int(read[0]) for _, _, read in readings} >= {1, 2, 3}
    first, second = readings[0][0], readings[1][0]
    assert first - second < 1.0


def test_tones_in_whole_numbers_are_no_bending_modes() -> None:
    score, _, read = tone.match_modes(
        np.array([300.0, 600.0, 900.0, 1200.0, 1500.0]), np.full(5, 0.8), RATIOS, SLACK
    )[0]
    whole, _, _ = tone.match_modes(RATIOS[:5], np.full(5, 0.8), RATIOS, SLACK)[0]
    assert np.sum(read > 0) <= 3
    assert score < 0.4 * whole


def test_damping_from_the_envelope_of_a_known_decay() -> None:
    time = np.linspace(0.0, 0.5, 200)
    chance = np.random.default_rng(2)
    envelope = 0.3 * np.exp(-0.004 * 2.0 * np.pi * 64.0 * time)
    exact, error = tone.damping_from_envelope(time, envelope, 64.0)
    assert exact == pytest.approx(0.004, rel=1e-9)
    assert error < 1e-9
    rough, error = tone.damping_from_envelope(
        time, envelope * np.exp(0.05 * chance.standard_normal(200)), 64.0
    )
    assert abs(rough - 0.004) < 3.0 * error < 1e-3


@pytest.mark.parametrize("window_decay", [0.0, 4.0])
def test_damping_from_the_width_is_freed_from_the_window(window_decay: float) -> None:
    """The transform of the sound itself, by numpy, read at half of its peak's power."""
    rate, seconds, hertz, damping = 2000.0, 40.0, 64.0, 0.004
    time = np.arange(int(rate * seconds)) / rate
    sound = np.exp(-damping * 2.0 * np.pi * hertz * time) * np.sin(2.0 * np.pi * hertz * time)
    power = np.abs(np.fft.rfft(sound * np.exp(-window_decay * time), 8 * len(time))) ** 2
    step = rate / (8 * len(time))
    half = np.nonzero(power > 0.5 * power.max())[0]
    width = (half[-1] - half[0]) * step
    assert tone.damping_from_width(hertz, width, window_decay) == pytest.approx(damping, rel=0.02)


def test_a_fit_in_a_band_finds_two_close_rings_within_its_errors() -> None:
    """Monte Carlo: two decaying tones 2 Hz apart and hum beside them, in white noise."""
    chance = np.random.default_rng(7)
    rate, samples = 2000.0, 4000
    time = np.arange(samples) / rate
    truth, decay = np.array([64.0, 66.0]), np.array([1.2, 1.3])
    frequency = np.fft.rfftfreq(samples, 1.0 / rate)
    band = (frequency > 55.0) & (frequency < 75.0)
    off, off_decay, left = [], [], []
    for _ in range(120):
        sound = sum(
            a * np.exp(-d * time) * np.sin(2.0 * np.pi * f * time + p)
            for a, d, f, p in zip((0.5, 0.3), decay, truth, (0.4, 2.0), strict=True)
        )
        sound = sound + 0.2 * np.sin(2.0 * np.pi * 60.02 * time + 1.0)
        sound = sound + 0.1 * chance.standard_normal(samples)
        found, slow, error, slow_error, misfit, size = tone.ring_fit(
            np.fft.rfft(sound)[band], frequency[band], samples, rate,
            np.array([63.8, 66.3]), np.array([2.0, 2.0]), np.array([60.0]),
        )  # fmt: skip
        off.append((found - truth) / error)
        off_decay.append((slow - decay) / slow_error)
        assert size == pytest.approx(np.array([0.5, 0.3]), rel=0.15)
        left.append(misfit)
    # White noise of this size has so much power in a bin.
    assert np.mean(left) == pytest.approx(samples * 0.1**2, rel=0.1)
    assert np.std(off) == pytest.approx(1.0, abs=0.2)
    assert np.std(off_decay) == pytest.approx(1.0, abs=0.2)
    assert abs(float(np.mean(off))) < 0.25


def test_a_band_with_too_few_bins_is_refused_by_nan() -> None:
    found = tone.ring_fit(
        np.ones(3, dtype=complex), np.array([63.0, 64.0, 65.0]), 1000, 1000.0,
        np.array([64.0]), np.array([1.0]), np.array([]),
    )  # fmt: skip
    assert all(np.all(np.isnan(part)) for part in found)
