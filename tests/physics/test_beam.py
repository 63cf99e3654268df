"""The beam of an arrow: textbook columns and modes, a general-purpose solver, the lever rule.

Roots and buckling loads of uniform beams are textbook values, from memory.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import skfem
from numpy.typing import NDArray
from scipy import linalg, optimize
from skfem.helpers import dd, ddot

from loosewell.physics import beam
from loosewell.units import GRAIN, INCH
from physics.launches import built_arrow
from tolerances import round_off, tenth_of_a_percent

Array = NDArray[np.float64]

ELEMENTS = 40
EI = 4.85
MU = 0.0292
L = 29.0 * INCH


def matrices(elements: int = ELEMENTS) -> tuple[Array, Array]:
    stiffness = beam.stiffness_blocks(np.full(elements, EI), L)
    return beam.dense(stiffness), beam.dense(beam.mass_blocks(np.full(elements, MU), L))


def root(angular_frequency: float) -> float:
    return math.sqrt(angular_frequency * L**2 * math.sqrt(MU / EI))


def softest(stiffness: Array, softening: Array, held: list[int]) -> float:
    """Smallest load factor at which the column gives way, with some unknowns held at zero."""
    free = np.setdiff1d(np.arange(len(stiffness)), held)
    # Softening over stiffness: the column's largest value is the inverse of the smallest load.
    value = linalg.eigh(
        softening[np.ix_(free, free)], stiffness[np.ix_(free, free)], eigvals_only=True
    )
    return float(1.0 / value[-1])


def test_free_free_roots() -> None:
    blocks = (
        beam.stiffness_blocks(np.full(ELEMENTS, EI), L),
        beam.mass_blocks(np.full(ELEMENTS, MU), L),
    )
    rate, _ = beam.free_modes(*blocks, 3)
    assert [root(w) for w in rate] == pytest.approx([4.73004, 7.85320, 10.99561], rel=1e-5)
    assert pytest.approx([4.73004, 7.85320, 10.99561], rel=1e-6) == beam.FREE_FREE_ROOTS


def test_free_free_nodes_of_the_first_mode() -> None:
    _, shape = beam.free_modes(
        beam.stiffness_blocks(np.full(ELEMENTS, EI), L),
        beam.mass_blocks(np.full(ELEMENTS, MU), L),
        1,
    )
    place, displacement = np.linspace(0.0, 1.0, ELEMENTS + 1), shape[::2, 0]
    at = np.flatnonzero(np.diff(np.sign(displacement)))
    crossing = [
        place[i] + displacement[i] / (displacement[i] - displacement[i + 1]) / ELEMENTS for i in at
    ]
    assert crossing == pytest.approx([0.2242, 0.7758], rel=tenth_of_a_percent)


def test_mode_shapes_have_unit_modal_mass() -> None:
    arrow = built_arrow(ELEMENTS)
    mass = beam.dense(arrow.blocks[1] + arrow.blocks[2])
    _, shape = beam.free_modes(arrow.blocks[0], arrow.blocks[1] + arrow.blocks[2], 3)
    assert shape.T @ mass @ shape == pytest.approx(np.eye(3), abs=1e-9)


def test_root_of_a_cantilever_beam() -> None:
    """1.8751, textbook, from memory."""
    stiffness, mass = matrices()
    value = linalg.eigh(stiffness[2:, 2:], mass[2:, 2:], eigvals_only=True)
    assert root(math.sqrt(value[0])) == pytest.approx(1.8751, rel=1e-5)


def test_cantilever_deflects_by_the_cube_law() -> None:
    stiffness, _ = matrices(7)
    load = np.zeros(len(stiffness) - 2)
    load[-2] = 3.0
    assert linalg.solve(stiffness[2:, 2:], load)[-2] == pytest.approx(3.0 * L**3 / (3.0 * EI))


def test_pinned_column_under_end_load() -> None:
    """9.8696 E·I/L²: the buckling load of a column pinned at both ends."""
    stiffness, _ = matrices()
    even = beam.dense(beam.axial_blocks(np.ones((ELEMENTS, 2)), L))
    load = softest(stiffness, even, [0, 2 * ELEMENTS])
    assert load * L**2 / EI == pytest.approx(9.8696, rel=tenth_of_a_percent)


@pytest.mark.parametrize(
    ("held", "published"),
    [pytest.param([0, 1], 7.837, id="fixed-free"), pytest.param([0, -2], 18.57, id="pinned")],
)
def test_column_under_its_own_inertia(held: list[int], published: float) -> None:
    """q·L³/E·I with q the mass of a metre times the acceleration, pushed at the nock."""
    stiffness, _ = matrices()
    ahead = beam.mass_ahead_of_elements(np.full(ELEMENTS, MU), L, np.zeros(ELEMENTS + 1))
    softening = beam.dense(beam.axial_blocks(ahead, L))
    held = [i % len(stiffness) for i in held]
    acceleration = softest(stiffness, softening, held)
    assert MU * acceleration * L**3 / EI == pytest.approx(published, rel=tenth_of_a_percent)


def test_frequencies_converge_with_the_fourth_power_of_the_element() -> None:
    exact = (4.730040744862704 / L) ** 2 * math.sqrt(EI / MU)

    def error(elements: int) -> float:
        rate, _ = beam.free_modes(
            beam.stiffness_blocks(np.full(elements, EI), L),
            beam.mass_blocks(np.full(elements, MU), L),
            1,
        )
        return float(rate[0]) / exact - 1.0

    assert error(8) / error(16) == pytest.approx(16.0, rel=0.1)
    assert 0.0 < error(8) < 1e-4


def test_beam_with_a_mass_at_its_end_against_the_transcendental_equation() -> None:
    """Free-free beam with a point mass: cosh cos - 1 = r b (sinh cos - cosh sin), derived here.

    At x = 0 neither moment nor shear, at x = L no moment and a shear of mass times
    acceleration.
    """
    point = 0.5 * MU * L

    def balance(b: float) -> float:
        c, s, ch, sh = math.cos(b), math.sin(b), math.cosh(b), math.sinh(b)
        return (ch * c - 1.0) - 0.5 * b * (ch * s - sh * c)

    exact = optimize.brentq(balance, 3.5, 4.7)
    parts = np.zeros((ELEMENTS + 1, 7))
    parts[-1, 0] = point
    rate, _ = beam.free_modes(
        beam.stiffness_blocks(np.full(ELEMENTS, EI), L),
        beam.mass_blocks(np.full(ELEMENTS, MU), L) + parts,
        1,
    )
    assert root(rate[0]) == pytest.approx(exact, rel=1e-6)


def test_arrow_matrices_against_a_general_finite_element_package() -> None:
    """scikit-fem, Hermite elements on the same mesh: same modes with a point mass at the front."""
    point = 125.0 * GRAIN
    basis = skfem.Basis(
        skfem.MeshLine(np.linspace(0.0, L, ELEMENTS + 1)), skfem.ElementLineHermite()
    )

    @skfem.BilinearForm
    def bending(u: object, v: object, _: object) -> object:
        return EI * ddot(dd(u), dd(v))

    @skfem.BilinearForm
    def inertia(u: object, v: object, _: object) -> object:
        return MU * u * v

    K, M = bending.assemble(basis).toarray(), inertia.assemble(basis).toarray()
    front = int(basis.get_dofs(lambda x: np.isclose(x[0], L)).all("u")[0])
    M[front, front] += point
    theirs = np.sqrt(linalg.eigh(K, M, eigvals_only=True)[2:5])
    blocks = beam.arrow_blocks(
        np.full(ELEMENTS, EI), np.full(ELEMENTS, MU), L, np.zeros(ELEMENTS + 1), point, 0.0, 0.0
    )
    ours, _ = beam.free_modes(blocks[0], blocks[1] + blocks[2], 3)
    assert ours == pytest.approx(theirs, rel=1e-7)


def test_softening_against_a_general_finite_element_package() -> None:
    """The same package integrates thrust times slope times slope."""
    basis = skfem.Basis(
        skfem.MeshLine(np.linspace(0.0, L, 6)), skfem.ElementLineHermite(), intorder=8
    )

    @skfem.BilinearForm
    def thrust(u: object, v: object, w: object) -> object:
        return MU * (L - w.x[0]) * u.grad[0] * v.grad[0]

    theirs = thrust.assemble(basis).toarray()
    ahead = beam.mass_ahead_of_elements(np.full(5, MU), L, np.zeros(6))
    ours = beam.dense(beam.axial_blocks(ahead, L))
    assert np.linalg.eigvalsh(ours) == pytest.approx(np.linalg.eigvalsh(theirs), abs=1e-13)


def test_tapered_shaft_against_a_fine_solution() -> None:
    def rate(elements: int) -> float:
        edge = np.linspace(0.0, L, elements + 1)
        middle = 0.5 * (edge[1:] + edge[:-1])
        slim = 1.0 - 0.1 * np.clip(1.0 - middle / (0.25 * L), 0.0, 1.0)  # toward the nock
        return float(
            beam.free_modes(
                beam.stiffness_blocks(EI * slim**4, L), beam.mass_blocks(MU * slim**2, L), 1
            )[0][0]
        )

    fine = rate(160)
    assert rate(16) == pytest.approx(fine, rel=tenth_of_a_percent)
    assert abs(rate(32) - fine) < 0.3 * abs(rate(16) - fine)
    plain = (4.73004 / L) ** 2 * math.sqrt(EI / MU)
    assert fine > 1.02 * plain  # a slimmer, lighter end swings faster


def test_rigid_motions_carry_mass_moment_and_inertia_of_the_whole_arrow() -> None:
    """Energies of an even drift and of an even turn, added up part by part."""
    shaft, point, centre, turning, nock = 0.0215, 0.0081, 0.012, 5e-7, 0.0006
    arrow = built_arrow(
        9,
        length=L,
        shaft_mass=shaft,
        point_mass=point,
        point_centre=centre,
        point_inertia=turning,
        nock_mass=nock,
    )
    stiffness, mass_shaft, mass_parts, soft_shaft, soft_parts = (
        beam.dense(one) for one in arrow.blocks
    )
    drift = np.tile([1.0, 0.0], 10)
    turn = np.column_stack((np.linspace(0.0, L, 10), np.ones(10))).ravel()
    mass = mass_shaft + mass_parts
    moment = 0.5 * shaft * L + point * (L + centre)
    assert drift @ mass @ drift == pytest.approx(shaft + point + nock, rel=round_off)
    assert drift @ mass @ turn == pytest.approx(moment, rel=1e-11)
    assert turn @ mass @ turn == pytest.approx(
        shaft * L**2 / 3.0 + point * (L + centre) ** 2 + turning, rel=1e-11
    )
    assert np.abs(stiffness @ turn).max() < 1e-7 * np.abs(stiffness).max()
    # Pushed at the nock, a slanting arrow tips over with acceleration times first moment.
    assert turn @ (soft_shaft + soft_parts) @ turn == pytest.approx(moment, rel=1e-11)
    assert np.abs((soft_shaft + soft_parts) @ drift).max() < 1e-12


@pytest.mark.parametrize("centre", [0.0, 0.021, 0.1, 0.4, L])
def test_a_mass_between_nodes_follows_the_lever_rule(centre: float) -> None:
    nodes = 17
    share = beam.shared_to_nodes(2.5e-3, centre, L, nodes)
    place = np.linspace(0.0, L, nodes)
    over = float(share @ (place - centre) ** 2)
    assert share.sum() == pytest.approx(2.5e-3, rel=round_off)
    assert share @ place == pytest.approx(2.5e-3 * centre, rel=1e-9, abs=1e-15)
    assert np.all(share >= 0.0)
    assert np.count_nonzero(share > 1e-9) <= 2
    assert over <= 2.5e-3 * (L / 16) ** 2 / 4.0 * (1.0 + 1e-9)


def test_a_mass_off_the_shaft_is_kept_on_it() -> None:
    assert beam.shared_to_nodes(1.0, -0.1, L, 5)[0] == 1.0
    assert beam.shared_to_nodes(1.0, 2.0 * L, L, 5)[-1] == 1.0


@pytest.mark.parametrize("centre", [0.0, 0.031, 0.1, 0.35, 0.7])
def test_a_lump_between_nodes_carries_its_mass_balance_and_inertia(centre: float) -> None:
    length, nodes, mass = 0.7, 8, 0.003
    moving, softening = (beam.dense(one) for one in beam.lump_blocks(mass, centre, length, nodes))
    place = np.linspace(0.0, length, nodes)
    shift, swing = np.zeros(2 * nodes), np.ones(2 * nodes)
    shift[::2], swing[::2] = 1.0, place
    assert shift @ moving @ shift == pytest.approx(mass, rel=1e-12)
    assert shift @ moving @ swing == pytest.approx(mass * centre, rel=1e-12, abs=1e-18)
    assert swing @ moving @ swing == pytest.approx(mass * centre**2, rel=1e-12, abs=1e-18)
    # Turning as a whole against a thrust that reaches from the nock to the lump.
    assert swing @ softening @ swing == pytest.approx(mass * centre, rel=1e-12, abs=1e-18)
    assert np.abs(softening @ shift).max() == pytest.approx(0.0, abs=1e-15)


def test_a_lump_at_a_node_is_the_nodes_own_mass() -> None:
    length, nodes = 0.7, 8
    moving, softening = beam.lump_blocks(0.003, 0.3, length, nodes)
    expected = np.zeros((nodes, 7))
    expected[3, 0] = 0.003
    assert moving == pytest.approx(expected, abs=1e-18)
    lumps = np.zeros(nodes)
    lumps[3] = 0.003
    ahead = beam.mass_ahead_of_elements(np.zeros(nodes - 1), length, lumps)
    assert softening == pytest.approx(beam.axial_blocks(ahead, length), abs=1e-15)
