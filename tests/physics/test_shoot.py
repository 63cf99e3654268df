"""What a reading at the middle cannot show: closed forms, and the same by plain sampling."""

from __future__ import annotations

import math

import numpy as np
import pytest

from loosewell.physics import beam, shoot
from loosewell.physics.spine import midspan_deflection_varying
from tolerances import (
    one_percent,
    round_off,
    stated_to_six_figures,
    stated_to_three_figures,
    stated_to_two_figures,
    tenth_of_a_percent,
)

LENGTH, SPAN = 0.80, 0.66
EDGE = np.linspace(0.0, LENGTH, 65)
MIDDLE = 0.5 * (EDGE[:-1] + EDGE[1:])
EVEN = np.full(64, 4.0)


def conical_deflection(
    load: float, span: float, modulus: float, rear: float, front: float
) -> float:
    """Closed form of a cone on two supports, its diameters there given.

    Unit-load method: the integral of s² / (a + b s)⁴ is s³ / (3 a (a + b s)³) exactly.
    """
    lean = (front - rear) / span
    half = 0.5 * span

    def part(at: float, slope: float) -> float:
        return half**3 / (3.0 * at * (at + slope * half) ** 3)

    return load / 4.0 * 64.0 / (math.pi * modulus) * (part(rear, lean) + part(front, -lean))


@pytest.mark.parametrize(("rear", "front"), [(0.0095, 0.0078), (0.0078, 0.0095), (0.010, 0.0099)])
def test_a_cone_bends_by_quadrature_as_by_its_closed_form(rear: float, front: float) -> None:
    station = np.array([0.0, SPAN])
    stiffness = 12e9 * math.pi * np.array([rear, front]) ** 4 / 64.0
    told = midspan_deflection_varying(8.9, SPAN, station, stiffness)
    assert told == pytest.approx(
        conical_deflection(8.9, SPAN, 12e9, rear, front), rel=stated_to_six_figures
    )


def test_the_shares_of_a_cone_add_to_its_closed_form() -> None:
    """Pieces of constant stiffness stand for the cone as their number grows."""
    rear, front, errors = 0.0095, 0.0078, []
    for pieces in (64, 128):
        edge = np.linspace(0.0, SPAN, pieces + 1)
        middle = 0.5 * (edge[:-1] + edge[1:])
        diameter = rear + (front - rear) * middle / SPAN
        stiffness = 12e9 * math.pi * diameter**4 / 64.0
        share = shoot.reading_shares(edge, stiffness, SPAN)
        assert share.sum() == pytest.approx(1.0, rel=round_off)
        # Of all the deflection, the part of the rear half is closed too.
        whole = conical_deflection(1.0, SPAN, 12e9, rear, front)
        lean, half = (front - rear) / SPAN, 0.5 * SPAN
        own = half**3 / (3.0 * rear * (rear + lean * half) ** 3)
        own *= 0.25 * 64.0 / (math.pi * 12e9)
        errors.append(abs(share[: pieces // 2].sum() / (own / whole) - 1.0))
    assert errors[0] < tenth_of_a_percent
    assert errors[1] < 0.3 * errors[0]


def test_of_an_even_shaft_the_middle_third_causes_most_of_the_reading() -> None:
    """Closed form: the share up to x from a support is 4 x³ / span³ of a half's half."""
    share = shoot.reading_shares(EDGE, EVEN, SPAN)
    rear = 0.5 * (LENGTH - SPAN)
    third = (rear + SPAN / 3.0 <= MIDDLE) & (rear + 2.0 * SPAN / 3.0 >= MIDDLE)
    assert share[third].sum() == pytest.approx(1.0 - (2.0 / 3.0) ** 3, rel=stated_to_two_figures)
    assert np.all(share[rear - 0.01 > MIDDLE] == 0.0)


def test_supports_beyond_the_shaft_give_no_shares() -> None:
    assert np.isnan(shoot.reading_shares(EDGE, EVEN, 0.9)).all()
    assert np.isnan(shoot.reading_shares(EDGE, EVEN, 0.5, 0.4)).all()


def test_the_bending_shares_are_those_of_the_beam_model() -> None:
    """The engine's own finite elements, another way to the same mode."""
    elements = 64
    blocks = beam.arrow_blocks(
        np.full(elements, 4.0),
        np.full(elements, 0.03),
        LENGTH,
        np.zeros(elements + 1),
        0.0,
        0.0,
        0.0,
    )
    _, shape = beam.free_modes(blocks[0], blocks[1] + blocks[2], 1)
    slope = shape[1::2, 0]
    # Bending energy of an element is about its curvature squared: slopes differ across it.
    energy = np.diff(slope) ** 2
    told = shoot.bending_shares(EDGE)
    assert np.allclose(told, energy / energy.sum(), atol=2e-4)
    assert told.sum() == pytest.approx(1.0, rel=round_off)
    assert told[0] < 1e-5


def test_a_gradient_does_not_show_at_the_middle_and_is_all_slope() -> None:
    read = shoot.reading_shares(EDGE, EVEN, SPAN)
    shot = shoot.bending_shares(EDGE)
    none = np.zeros(0)
    covariance = shoot.stiffness_covariance(MIDDLE, LENGTH, 0.15, 0.0, 0.1, none, none)
    level, slope, place = shoot.left_unread(read, shot, MIDDLE, LENGTH, covariance)
    assert level == pytest.approx(0.0, abs=1e-9)
    assert slope == pytest.approx(0.15, rel=stated_to_six_figures)
    assert place[0] == pytest.approx(0.5 * 0.15, rel=2 * one_percent)
    assert place[32] < 0.002


def test_a_common_error_of_all_places_is_what_the_reading_takes_away() -> None:
    read = shoot.reading_shares(EDGE, EVEN, SPAN)
    shot = shoot.bending_shares(EDGE)
    level, slope, place = shoot.left_unread(read, shot, MIDDLE, LENGTH, np.full((64, 64), 0.04))
    assert level == pytest.approx(0.0, abs=1e-7)
    assert slope == pytest.approx(0.0, abs=1e-7)
    assert np.max(place) < 1e-7


def test_what_is_left_unread_agrees_with_sampled_shafts() -> None:
    """Monte Carlo through the bending itself: each sampled shaft scaled to the same deflection."""
    rng = np.random.default_rng(20260311)
    taper = 1.0 + 0.35 * (0.5 - MIDDLE / LENGTH)
    stiffness = 4.0 * taper**4
    read = shoot.reading_shares(EDGE, stiffness, SPAN)
    shot = shoot.bending_shares(EDGE)
    station = np.array([0.05, 0.4, 0.75])
    covariance = shoot.stiffness_covariance(
        MIDDLE, LENGTH, 0.06, 0.04, 0.08, station, np.array([0.03, 0.03, 0.04])
    )
    level, slope, place = shoot.left_unread(read, shot, MIDDLE, LENGTH, covariance)
    root = np.linalg.cholesky(covariance + 1e-12 * np.eye(64))
    unknown = (root @ rng.standard_normal((64, 4000))).T
    stray = np.exp(unknown)
    # Deflection of each, and its scale to the one that was read.
    gathered = read / np.sum(read)
    scale = (gathered / stray).sum(axis=1)
    left = np.log(stray * scale[:, None])
    lean = MIDDLE / LENGTH
    centre_shot, centre_read = shot @ lean, read @ lean
    spread = shot @ (lean - centre_shot) ** 2
    slopes = left @ (shot * (lean - centre_shot)) / spread
    levels = left @ shot - (centre_shot - centre_read) * slopes
    assert slope == pytest.approx(np.std(slopes), rel=stated_to_two_figures)
    assert level == pytest.approx(np.std(levels), rel=2 * stated_to_two_figures)
    assert place[5] == pytest.approx(np.std(left[:, 5]), rel=stated_to_two_figures)
    assert place[60] == pytest.approx(np.std(left[:, 60]), rel=stated_to_two_figures)


def test_a_diameter_counts_where_it_was_measured() -> None:
    station, error = np.array([0.0, 0.4, 0.8]), np.array([0.05, 0.02, 0.04])
    covariance = shoot.stiffness_covariance(EDGE, LENGTH, 0.0, 0.0, 0.1, station, error)
    own = np.sqrt(np.diag(covariance))
    assert own[[0, 32, 64]] == pytest.approx(error, rel=stated_to_three_figures)
    # Half-way between two stations each counts half.
    assert own[16] == pytest.approx(0.5 * math.hypot(0.05, 0.02), rel=stated_to_three_figures)
