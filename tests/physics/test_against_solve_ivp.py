"""The launch kernel against the same equations in scipy's solve_ivp, and against skfem's beam.

`benchmarks/solver.py` writes the launch with dense matrices, in y and z, with events at
every touch of plate and shelf and adaptive steps: it shares the element matrices and the
bow's table with the kernel and nothing else. The last test shares not even those: a beam
assembled by scikit-fem, stepped by a Newmark loop written here.
"""

from __future__ import annotations

import importlib.util
import math
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
import skfem
from numpy.typing import NDArray
from skfem.helpers import d, dd, ddot, dot

from loosewell.physics import launch
from loosewell.units import INCH
from physics.launches import BRACE, DRAW, BuiltArrow, bow_table, built_arrow, row
from tolerances import (
    one_micrometre,
    one_microsecond,
    one_millimetre_per_second,
    tenth_of_a_percent,
)

Array = NDArray[np.float64]
ROOT = Path(__file__).resolve().parents[2]

ELEMENTS = 8
"""Both sides cut the arrow alike, so that few elements test as well as many."""
FINE = 6_400
"""Steps on the string."""

# What is left at FINE steps and a relative tolerance of 1e-6, about three times what was seen.
# A fletched arrow swings at 12 rad/s: 5 mrad/s more or less at the start are 0.025 degrees. The
# widest are pinching nocks, whose moment of parting the kernel takes from the speed at brace.
swing_rate = 5e-3  # [rad/s]
touch_impulse = 6e-5  # [N s]; a step more or less of a soft plate pressing as the string lets go


def load(name: str) -> ModuleType:
    """A file of the benchmarks folder, which is no package."""
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, ROOT / "benchmarks" / f"{name}.py")
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        sys.modules[name] = module
        spec.loader.exec_module(module)
    return sys.modules[name]


solver = load("solver")


def fletched(bending_stiffness: float, **more: float) -> BuiltArrow:
    return built_arrow(
        ELEMENTS,
        bending_stiffness=bending_stiffness,
        fletching=(1.0 * INCH, 5.0 * INCH),
        **more,
    )


def by_kernel(
    arrow: BuiltArrow, one: Array, steps: int = FINE, table: Array | None = None
) -> Array:
    out, _ = launch.launch_batch(
        one[None],
        np.zeros(1, dtype=np.int64),
        np.zeros(1, dtype=np.int64),
        arrow.blocks[None],
        arrow.number[None],
        arrow.radius[None],
        (bow_table() if table is None else table)[None],
        steps,
        steps // 4,
        threads=1,
    )
    return np.asarray(out[0])


def by_solve_ivp(arrow: BuiltArrow, one: Array, method: str = "RK45", rtol: float = 1e-6) -> Array:
    plain = solver.Plain(one, arrow.blocks, arrow.number, arrow.radius, bow_table())
    return np.asarray(plain.run(method, rtol, 1e-2 * rtol))


HARD = {
    "plate_stiffness": 50_000.0,
    "plate_damping": 20.0,
    "shelf_stiffness": 50_000.0,
    "shelf_damping": 20.0,
    "string_hold": 1.9,
    "loose_push": 0.0095,
    "loose_travel": 0.014,
    "finger_stiffness": 10_000.0,
    "limb_mass": 0.105,
}
CASES = {
    "weak shaft, plate short of centre": (2.4, HARD | {"plate_offset": 0.3 * INCH}),
    "matched shaft, plate short of centre": (4.6, HARD | {"plate_offset": 0.3 * INCH}),
    "stiff shaft, plate far out": (7.5, HARD | {"plate_offset": 0.5 * INCH}),
    "matched shaft, plate past centre": (4.6, HARD | {"plate_offset": -0.1 * INCH}),
    "soft plate, bow cut to centre": (4.6, {"plate_offset": 0.0}),
    "thumb": (4.6, HARD | {"plate_offset": 0.2 * INCH, "loose_push": -0.006}),
    "unlike stiffnesses, cant, pinch, pluck, turning hand": (
        4.6,
        HARD
        | {
            "stiffness_across": 0.8,
            "nock_angle": 0.5,
            "cant": 0.3,
            "pinch": 15.0,
            "pluck": 0.002,
            "loose_rise": 0.001,
            "plate_drift": 0.3,
            "fletching_damping": 0.2,
        },
    ),
}


def of(case: str) -> tuple[BuiltArrow, Array]:
    bending_stiffness, changes = CASES[case]
    return fletched(bending_stiffness), row(**changes)


@cache
def settled(case: str) -> Array:
    return by_solve_ivp(*of(case), rtol=1e-8)


@pytest.mark.parametrize("case", CASES, ids=lambda name: name)
def test_kernel_agrees_with_solve_ivp_on_the_same_equations(case: str) -> None:
    arrow, one = of(case)
    ours, theirs = by_kernel(arrow, one), settled(case)
    assert ours[launch.STATUS] == launch.FINE
    assert ours[launch.STRING_LEFT] == pytest.approx(
        theirs[launch.STRING_LEFT], abs=one_microsecond
    )
    for column in (launch.SPEED, launch.Y_VELOCITY, launch.Z_VELOCITY):
        assert ours[column] == pytest.approx(theirs[column], abs=one_millimetre_per_second)
    for column in (launch.YAW_RATE, launch.PITCH_RATE):
        assert ours[column] == pytest.approx(theirs[column], abs=swing_rate)
    for column in (launch.Y, launch.Z, launch.YAW, launch.PITCH, launch.NOCK_SIDE):
        assert ours[column] == pytest.approx(theirs[column], abs=2e-5)  # [m] or [rad]
    for column in solver.IMPULSES:
        assert ours[column] == pytest.approx(theirs[column], rel=2e-3, abs=touch_impulse)


def test_a_tapered_arrow_of_ten_elements_agrees_too() -> None:
    """Stiffness and surface vary along the shaft."""
    taper = np.linspace(1.15, 0.85, 11)
    arrow = built_arrow(
        10,
        bending_stiffness=4.6 * taper[:10] ** 4,  # type: ignore[arg-type]
        fletching=(1.0 * INCH, 5.0 * INCH),
    )
    arrow = replace(arrow, radius=arrow.radius * taper)
    one = row(**HARD, plate_offset=0.2 * INCH)
    ours, theirs = by_kernel(arrow, one, 6_400), by_solve_ivp(arrow, one)
    assert ours[launch.YAW_RATE] == pytest.approx(theirs[launch.YAW_RATE], abs=2.0 * swing_rate)
    assert ours[launch.PLATE_IMPULSE] == pytest.approx(theirs[launch.PLATE_IMPULSE], rel=2e-3)


def test_two_methods_of_solve_ivp_agree_with_each_other() -> None:
    """So that what the kernel is held against is itself settled."""
    arrow, one = fletched(4.6), row(**HARD, plate_offset=0.3 * INCH)
    first, second = by_solve_ivp(arrow, one), by_solve_ivp(arrow, one, "LSODA", 1e-6)
    assert first[launch.YAW_RATE] == pytest.approx(second[launch.YAW_RATE], abs=0.2 * swing_rate)
    assert first[launch.PLATE_IMPULSE] == pytest.approx(
        second[launch.PLATE_IMPULSE], rel=tenth_of_a_percent
    )


def test_kernel_comes_closer_with_every_shorter_step() -> None:
    """Over all cases together: one alone may come close by luck."""
    away = []
    for steps in (100, 400, 1_600, 6_400):
        errors = []
        for case in CASES:
            arrow, one = of(case)
            ours, theirs = by_kernel(arrow, one, steps), settled(case)
            errors.append(ours[launch.YAW_RATE] - theirs[launch.YAW_RATE])
        away.append(float(np.sqrt(np.mean(np.square(errors)))))
    # Second order on the whole, contact with dashpots included: a sixteenth for a quarter step.
    assert away[1] < 0.12 * away[0]
    assert away[2] < 0.12 * away[1]
    assert away[3] < 0.6 * away[2]


# ---------------------------------------------------- another package, another way to step


@skfem.BilinearForm
def bending(u, v, _):  # type: ignore[no-untyped-def]
    return ddot(dd(u), dd(v))


@skfem.BilinearForm
def inertia(u, v, _):  # type: ignore[no-untyped-def]
    return u * v


@skfem.BilinearForm
def thrust(u, v, w):  # type: ignore[no-untyped-def]
    return (1.0 - w.x[0] / w.length) * dot(d(u), d(v))


def test_kernel_agrees_with_a_beam_of_another_package_pushed_past_a_stop() -> None:
    """A bare rod without point, pushed by an even force, bent past a one-sided spring.

    Assembled by scikit-fem with 24 elements, stepped by Newmark's average acceleration with the
    spring closed or open by trial; axial motion in closed form. In the kernel the even force is a
    flat draw table, and the string's hold on the nock is given no way sideways but the push.
    """
    ei, mass, length, force = 4.6, 0.024, 0.74, 120.0
    stop, gap, pluck = 20_000.0, 0.006, -0.006
    points = bow_table().shape[1]
    flat = np.ones((4, points))
    flat[0], flat[2:] = force, 0.0  # force [N], distance 1 m, no limbs
    arrow = built_arrow(
        24,
        bending_stiffness=ei,
        length=length,
        shaft_mass=mass,
        point_mass=1e-12,
        point_centre=0.0,
        point_inertia=0.0,
        nock_mass=0.0,
        damping_ratio=0.0,
    )
    nothing = {
        "shelf_stiffness": 0.0,
        "shelf_damping": 0.0,
        "string_third": 0.0,
        "string_z": 0.0,
        "virtual_mass": 0.0,
        "limb_mass": 0.0,
        "plate_damping": 0.0,
        "loose_push": 0.0,
        "pluck": pluck,
    }
    one = row(**(nothing | {"plate_stiffness": stop, "plate_offset": gap - arrow.radius[0]}))
    ours = by_kernel(arrow, one, 6_400, flat)

    basis = skfem.Basis(
        skfem.MeshLine(np.linspace(0.0, length, 25)), skfem.ElementLineHermite(), intorder=8
    )
    stiff = ei * bending.assemble(basis).toarray()
    heavy = mass / length * inertia.assemble(basis).toarray()
    acceleration = force / mass
    stiff -= force * thrust.assemble(basis, length=length).toarray()
    place = basis.doflocs[0]
    at_nodes, slopes = basis.nodal_dofs
    order = np.argsort(place[at_nodes])
    nock = at_nodes[order[0]]
    stiff[nock, nock] += force  # the string's pull over one metre
    slope = (gap - pluck) / DRAW
    u = np.zeros(basis.N)
    u[at_nodes], u[slopes] = pluck + slope * place[at_nodes], slope
    v = np.zeros(basis.N)
    end = math.sqrt(2.0 * (DRAW - BRACE) / acceleration)
    steps = 4_000
    dt = end / steps
    free = np.linalg.inv(heavy + 0.25 * dt * dt * stiff)
    impulse, h = 0.0, length / 24
    for step in range(steps):
        # Newmark's average acceleration, told as the way to the middle of the step.
        middle = DRAW - 0.5 * acceleration * ((step + 0.5) * dt) ** 2
        e = min(int(middle / h), 23)
        q = middle / h - e
        over = np.zeros(basis.N)
        left, right = order[e], order[e + 1]
        over[at_nodes[left]] = 1.0 - 3.0 * q**2 + 2.0 * q**3
        over[slopes[left]] = h * (q - 2.0 * q**2 + q**3)
        over[at_nodes[right]] = 3.0 * q**2 - 2.0 * q**3
        over[slopes[right]] = h * (q**3 - q**2)
        move = free @ (0.5 * dt * heavy @ v - 0.25 * dt * dt * stiff @ u)
        inside = gap - over @ (u + move)
        if inside > 0.0:
            answer = 0.25 * dt * dt * free @ over
            push = stop * inside / (1.0 + stop * over @ answer)
            move += push * answer
            impulse += push * dt
        u = u + 2.0 * move
        v = 4.0 / dt * move - v
    assert impulse > 0.01
    assert ours[launch.STRING_LEFT] == pytest.approx(end, abs=one_microsecond)
    assert ours[launch.PLATE_IMPULSE] == pytest.approx(impulse, rel=1e-4)
    assert ours[launch.NOCK_SIDE] == pytest.approx(u[nock], abs=one_micrometre)
