"""The launch kernel: another integration of the same arrow, energy books, limits, symmetries.

Nothing here is published; the outside anchors of beam and bow stand in their own files.
"""

from __future__ import annotations

import os
import subprocess
import sys
import textwrap
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import integrate, interpolate

from loosewell.physics import beam, bow, launch
from loosewell.units import INCH
from physics.launches import BRACE, DRAW, BuiltArrow, bow_table, built_arrow, row, run, undamped
from physics.launches import untouched as alone
from tolerances import one_micrometre, round_off, tenth_of_a_percent

Array = NDArray[np.float64]

G = 9.80665

SIDEWAYS = [launch.Y, launch.Y_VELOCITY, launch.YAW, launch.YAW_RATE, launch.NOCK_SIDE]
UPWARD = [launch.Z, launch.Z_VELOCITY, launch.PITCH, launch.PITCH_RATE]


def feathered(elements: int = 16, **more: float) -> BuiltArrow:
    return built_arrow(elements, fletching=(1.0 * INCH, 5.0 * INCH), **more)  # type: ignore[arg-type]


# ------------------------------------------------ the same arrow, integrated another way


@dataclass
class Books:
    """What an integration with full matrices found: paths, and the energy that came and went."""

    nock_x: Array
    y: Array
    speed: float
    kinetic: float
    bending: float
    string_work: float
    thrust_work: float
    finger_work: float
    plate_work: float
    started_with: float


class Along:
    """Forward motion of arrow and bow, on its own."""

    def __init__(self, launch_row: Array, arrow: BuiltArrow, table: Array) -> None:
        self.row, self.table = launch_row, table
        self.arrow_mass = (
            launch_row[launch.MASS_SCALE] * arrow.number[launch.SHAFT_MASS]
            + arrow.number[launch.PART_MASS]
        )
        self.moving = self.arrow_mass + launch_row[launch.VIRTUAL_MASS]
        self.grid = np.linspace(
            launch_row[launch.BRACE], launch_row[launch.TOP_DRAW], table.shape[1]
        )

    def look_up(self, x: float) -> tuple[float, float, float, float]:
        force, distance, ratio, slope = (float(np.interp(-x, self.grid, t)) for t in self.table)
        return self.row[launch.FORCE_SCALE] * force, distance, ratio, slope

    def acceleration(self, x: float, v: float) -> float:
        force, _, ratio, slope = self.look_up(x)
        limb = self.row[launch.LIMB_MASS]
        return float((force + limb * slope * v * v) / (self.moving + limb * ratio))

    def side_stiffness(self, x: float, acceleration: float) -> float:
        hold = self.row[launch.STRING_HOLD] or 1.0
        return float(hold * self.moving * acceleration / max(self.look_up(x)[1], 1e-12))


def shapes_at(place: float, length: float, nodes: int) -> tuple[Array, Array]:
    """Hermite shapes that give displacement and slope at a place, for all unknowns."""
    h = length / (nodes - 1)
    e = min(int(place / h), nodes - 2)
    xi = place / h - e
    value, slope = np.zeros(2 * nodes), np.zeros(2 * nodes)
    value[2 * e : 2 * e + 4] = [
        1.0 - 3.0 * xi**2 + 2.0 * xi**3,
        h * (xi - 2.0 * xi**2 + xi**3),
        3.0 * xi**2 - 2.0 * xi**3,
        h * (xi**3 - xi**2),
    ]
    slope[2 * e : 2 * e + 4] = [
        (6.0 * xi**2 - 6.0 * xi) / h,
        1.0 - 4.0 * xi + 3.0 * xi**2,
        (6.0 * xi - 6.0 * xi**2) / h,
        3.0 * xi**2 - 2.0 * xi,
    ]
    return value, slope


def integrated(
    launch_row: Array, arrow: BuiltArrow, table: Array, end_time: float, steps: int
) -> Books:
    """Sideways motion on the string by the midpoint rule, full matrices and a plain solver.

    The plate is a spring and a dashpot that feels the gap close, under the arrow's own motion
    and under its slant as it slides past; in the step of meeting it counts from then on.
    """
    stiffness, mass_shaft, mass_parts, soft_shaft, soft_parts = (
        beam.dense(one) for one in arrow.blocks
    )
    scale = launch_row[launch.MASS_SCALE]
    K = launch_row[launch.STIFFNESS_SCALE] * stiffness
    M = scale * mass_shaft + mass_parts
    soft = scale * soft_shaft + soft_parts
    M[0, 0] += launch_row[launch.STRING_THIRD]
    eta = arrow.number[launch.DAMPING_TIME] * np.sqrt(scale / launch_row[launch.STIFFNESS_SCALE])
    along = Along(launch_row, arrow, table)
    length, nodes = arrow.number[launch.LENGTH], len(arrow.radius)
    place = np.linspace(0.0, length, nodes)
    radius = float(np.interp(launch_row[launch.DRAW], place, arrow.radius))
    slant = (launch_row[launch.PLATE_OFFSET] + radius) / launch_row[launch.DRAW]
    u = np.column_stack((slant * place, np.full(nodes, slant))).ravel()
    v = np.zeros(2 * nodes)
    x, speed, dt = -launch_row[launch.DRAW], 0.0, end_time / steps
    books = Books(np.zeros(steps), np.zeros((steps, nodes)), 0, 0, 0, 0, 0, 0, 0, 0)
    books.started_with = float(0.5 * u @ K @ u)
    for step in range(steps):
        middle = x + 0.5 * dt * speed
        acc = along.acceleration(middle, speed + 0.5 * dt * along.acceleration(middle, speed))
        side = along.side_stiffness(middle, acc)
        slide = speed + 0.5 * dt * acc
        speed += dt * acc
        x = middle + 0.5 * dt * speed
        fingers, target = 0.0, 0.0
        travel = middle + launch_row[launch.DRAW]
        push, way = launch_row[launch.LOOSE_PUSH], launch_row[launch.LOOSE_TRAVEL]
        if push != 0.0 and travel < way + 0.5 * dt * speed:
            target = push * np.sin(0.5 * np.pi * min(travel / way, 1.0))
            if (target - (u[0] + 0.5 * dt * v[0])) * push > 0.0:
                share = min(1.0, 0.5 + (way - travel) / (dt * speed))
                fingers = share * launch_row[launch.FINGER_STIFFNESS]
        # unknown: the middle displacement; the rule says v_mid = 2 (u_mid - u) / dt
        elastic = K - acc * soft
        elastic[0, 0] += side + fingers
        left = M * 4.0 / dt**2 + elastic + eta * K * 2.0 / dt
        right = M @ (v * 2.0 / dt + u * 4.0 / dt**2) + eta * K @ u * 2.0 / dt
        right[0] += fingers * target
        u_mid = np.linalg.solve(left, right)
        force = 0.0
        k, c = launch_row[launch.PLATE_STIFFNESS], launch_row[launch.PLATE_DAMPING]
        if k > 0.0 and 0.0 <= -middle <= length:
            at, slant_at = shapes_at(-middle, length, nodes)
            answer = np.linalg.solve(left, at)
            gap = at @ u_mid - radius - launch_row[launch.PLATE_OFFSET]
            closing = (2.0 / dt) * at - slide * slant_at
            rate = closing @ u_mid - (2.0 / dt) * (at @ u)
            first, last = gap - 0.5 * dt * rate, gap + 0.5 * dt * rate
            # In the step in which they meet the plate counts for its share of it.
            share = 1.0 if first <= 0.0 else max(0.0, last / (last - first))
            deep = -gap if first <= 0.0 else -0.5 * share * last
            if share > 0.0 and deep > 0.0:
                give = k * (at @ answer) + c * (closing @ answer)
                force = max(0.0, (k * deep - c * share * rate) / (1.0 + share * give))
                u_mid = u_mid + force * answer
            books.plate_work += force * float(at @ (u_mid - u)) * 2.0
        moved = 2.0 * (u_mid - u)
        books.string_work += -side * u_mid[0] * moved[0]
        books.finger_work += fingers * (target - u_mid[0]) * moved[0]
        books.thrust_work += acc * float(u_mid @ soft @ moved)
        u, v = u + moved, 2.0 * moved / dt - v
        books.nock_x[step], books.y[step] = x, u[::2]
    books.speed, books.kinetic = speed, float(0.5 * v @ M @ v)
    books.bending = float(0.5 * u @ K @ u)
    return books


STEPS = 160


@pytest.mark.parametrize(
    "changes",
    [
        pytest.param({"plate_stiffness": 0.0, "loose_push": 0.0}, id="string"),
        pytest.param({"plate_stiffness": 0.0}, id="fingers"),
        pytest.param(
            {"plate_stiffness": 0.0, "loose_travel": 0.2, "loose_push": -0.003},
            id="fingers that only push",
        ),
        pytest.param({"plate_damping": 0.0}, id="plate"),
        pytest.param({}, id="plate with dashpot"),
        pytest.param({"plate_stiffness": 5e4, "plate_damping": 20.0}, id="hard plate"),
        pytest.param({"string_hold": 2.0, "loose_push": 0.009}, id="firmer string"),
        pytest.param({"stiffness_scale": 0.7, "mass_scale": 1.2}, id="scaled"),
    ],
)
def test_kernel_agrees_with_full_matrices_and_a_plain_solver(changes: dict[str, float]) -> None:
    """The banded elimination, its lanes and the rank-one contact against numpy.linalg.solve."""
    arrow, table = built_arrow(10), bow_table()
    one = row(**({"fletching_stiffness": 0.0} | changes))
    if one[launch.PLATE_STIFFNESS] == 0.0:
        one[launch.PLATE_DAMPING] = 0.0
    out, frame = run([one], arrow, table, drive_steps=STEPS, pass_steps=4, frame_every=1)
    books = integrated(one, arrow, table, float(out[0, launch.STRING_LEFT]), STEPS)
    nodes = len(arrow.radius)
    ours = frame[0, :STEPS, launch.FRAME_HEAD : launch.FRAME_HEAD + nodes]
    assert np.abs(books.y).max() > 0.005
    assert frame[0, :STEPS, 1] == pytest.approx(books.nock_x, abs=1e-12)
    assert ours == pytest.approx(books.y, abs=1e-10)
    assert out[0, launch.SPEED] == pytest.approx(books.speed, rel=1e-11)
    assert out[0, launch.LOOSE_WORK] == pytest.approx(books.finger_work, abs=1e-10)
    if changes.get("plate_stiffness", 1.0) > 0.0:
        assert out[0, launch.PLATE_IMPULSE] > 0.01


def test_energy_of_the_sideways_motion_is_the_work_done_on_it() -> None:
    """Undamped arrow: string, thrust, fingers and plate account for every microjoule."""
    arrow, table = undamped(built_arrow(10)), bow_table()
    for one in (
        row(plate_stiffness=0.0, plate_damping=0.0, loose_push=0.0),
        row(plate_stiffness=0.0, plate_damping=0.0),
        row(fletching_stiffness=0.0, plate_damping=0.0),
        row(fletching_stiffness=0.0, string_hold=2.0, loose_push=0.009),
    ):
        end = float(run([one], arrow, table, drive_steps=STEPS)[0][0, launch.STRING_LEFT])
        books = integrated(one, arrow, table, end, STEPS)
        work = books.string_work + books.thrust_work + books.finger_work + books.plate_work
        change = books.kinetic + books.bending - books.started_with
        assert change > 1e-3
        assert abs(books.string_work) > 1e-3
        assert abs(books.thrust_work) > 1e-3
        assert change == pytest.approx(work, abs=1e-9)


def test_a_damped_arrow_keeps_less_than_the_work_done_on_it() -> None:
    arrow, table = built_arrow(10, damping_ratio=0.05), bow_table()
    one = row(plate_stiffness=0.0, plate_damping=0.0)
    end = float(run([one], arrow, table, drive_steps=STEPS)[0][0, launch.STRING_LEFT])
    books = integrated(one, arrow, table, end, STEPS)
    work = books.string_work + books.thrust_work + books.finger_work
    assert books.kinetic + books.bending < work - 1e-4


def test_bending_energy_rings_on_without_loss_behind_the_string() -> None:
    """The midpoint rule has no damping of its own: any number of steps keeps the energy."""
    arrow = undamped(built_arrow(12))
    energy = [
        run([alone()], arrow, pass_steps=steps)[0][0, launch.BENDING_ENERGY]
        for steps in (10, 60, 300)
    ]
    assert energy[0] > 1e-3
    assert energy[1:] == pytest.approx([energy[0], energy[0]], rel=1e-9)


def test_fletching_contact_changes_momentum_by_its_impulse() -> None:
    """Two shots alike but for the fletching: what differs afterwards is the knock it took."""
    arrow = feathered(12)
    # Far from plate and shelf with the shaft, near enough for a high fletching.
    base = {"plate_stiffness": 0.0, "plate_damping": 0.0, "shelf_stiffness": 0.0}
    base |= {"shelf_damping": 0.0, "fletching_reach_z": 0.0, "fletching_reach_y": 0.03}
    rows = [row(**base, fletching_stiffness=stiff) for stiff in (0.0, 400.0)]
    out, frame = run(rows, arrow, frame_every=1)
    mass = arrow.number[launch.SHAFT_MASS] + arrow.number[launch.PART_MASS]
    driven = frame[1, frame[1, :, 0] <= out[1, launch.STRING_LEFT] * (1.0 + 1e-12), 3]
    assert driven.max() == 0.0  # it touches behind the string only
    knock = out[1, launch.TAIL_FLETCHING_Y]
    assert knock > 1e-3
    gained = mass * (out[1, launch.Y_VELOCITY] - out[0, launch.Y_VELOCITY])
    assert gained == pytest.approx(knock, rel=1e-8)
    assert out[1, launch.YAW_RATE] < out[0, launch.YAW_RATE]  # a knock on the tail: nose right
    lower = run([row(**(base | {"fletching_reach_y": 0.02}), fletching_stiffness=400.0)], arrow)[0]
    assert 1e-3 < lower[0, launch.TAIL_FLETCHING_Y] < knock - 1e-3


def test_a_shaft_that_sinks_into_the_plate_is_pushed_out_by_more_than_the_spring() -> None:
    """While the gap closes, spring and dashpot push alike, so the force exceeds the spring's.

    The gap closes in the plate's own eyes: the arrow slides past and stands at a slant.
    """
    arrow, one = built_arrow(32), row(plate_offset=0.1 * INCH)
    _, frames = run([one], arrow, frame_every=1, drive_steps=800, pass_steps=180)
    place = np.linspace(0.0, arrow.number[launch.LENGTH], 33)
    before = frames[0, :-1]
    sunk = 0
    gaps = np.array(
        [
            interpolate.CubicSpline(place, one_frame[launch.FRAME_HEAD :][:33])(-one_frame[1])
            - arrow.radius[0]
            - one[launch.PLATE_OFFSET]
            for one_frame in frames[0]
        ]
    )
    for i in range(len(before)):
        middle = 0.5 * (gaps[i] + gaps[i + 1])
        if middle < -5e-5 and gaps[i + 1] < gaps[i]:
            sunk += 1
            # 5 % for the spline between nodes
            assert frames[0, i + 1, 2] > 0.95 * one[launch.PLATE_STIFFNESS] * -middle
    assert sunk > 10


def test_behind_the_string_the_middle_of_the_arrow_falls_freely() -> None:
    arrow = built_arrow(24)
    frame = run([alone()], arrow, frame_every=1, drive_steps=400, pass_steps=100)[1][0, 400:]
    assert frame[-1, 0] - frame[0, 0] > 1e-3
    place = np.linspace(0.0, arrow.number[launch.LENGTH], 25)
    weight = np.tile([1.0, 0.0], 25) @ beam.dense(arrow.blocks[1] + arrow.blocks[2])
    path = []
    for heights in frame[:, launch.FRAME_HEAD + 25 :]:
        slopes = interpolate.CubicSpline(place, heights)(place, 1)
        path.append(weight @ np.column_stack((heights, slopes)).ravel() / weight[::2].sum())
    fall = 2.0 * np.polyfit(frame[:, 0] - frame[0, 0], path, 2)[0]
    assert fall == pytest.approx(-G, rel=1e-3)


# ------------------------------------------------------------------- convergence


def test_second_order_in_the_time_step_without_contact() -> None:
    arrow = built_arrow(12)
    fine = run([alone()], arrow, drive_steps=12800, pass_steps=3200)[0][0]

    def error(steps: int) -> Array:
        out = run([alone()], arrow, drive_steps=steps, pass_steps=steps // 4)[0][0]
        return np.abs((out - fine)[[launch.Y_VELOCITY, launch.YAW_RATE, launch.Y, launch.YAW]])

    ratio = error(400) / error(800)
    assert np.all(error(400) > 1e-9)
    assert ratio == pytest.approx(np.full(4, 4.0), rel=0.15)


def test_exit_converges_with_more_elements() -> None:
    """Bare shaft without contact: each doubling leaves a small part of the error."""

    def leaving(elements: int) -> Array:
        out = run([alone()], built_arrow(elements), drive_steps=1600, pass_steps=400)[0][0]
        return np.array(out[[launch.Y_VELOCITY, launch.YAW_RATE, launch.YAW]])

    fine = leaving(64)
    coarse, usual = np.abs(leaving(8) - fine), np.abs(leaving(16) - fine)
    assert np.all(usual < 0.2 * coarse)
    assert usual[1] < 0.01  # rad/s


def test_contact_converges_with_steps_and_elements() -> None:
    """The steps the bridge takes against a fine solution, plate, shelf and fletching in play."""
    rows = [row(stiffness_scale=s) for s in (0.7, 0.9, 1.2)]
    fine = run(rows, feathered(48), drive_steps=6400, pass_steps=1440)[0]
    usual = run(rows, feathered(16), drive_steps=400, pass_steps=90)[0]
    better = run(rows, feathered(24), drive_steps=1600, pass_steps=360)[0]
    rate = launch.YAW_RATE
    assert np.abs(usual[:, rate] - fine[:, rate]).max() < 0.05  # rad/s
    assert np.abs(better[:, rate] - fine[:, rate]).max() < 0.02
    assert usual[:, launch.PLATE_IMPULSE] == pytest.approx(fine[:, launch.PLATE_IMPULSE], rel=0.02)


# --------------------------------------------------------------------- exact limits


@pytest.mark.parametrize("limb_mass", [0.0, 0.075, 0.2])
def test_speed_is_that_of_the_stored_work(limb_mass: float) -> None:
    """The limbs give back what they took: at brace only arrow and virtual mass move."""
    # Slope and square of the speed ratio are tables of their own and agree to the square of
    # their spacing: 7e-5 of the speed with heavy limbs and the usual table, 5e-6 with this one.
    arrow, table = built_arrow(8), bow_table(points=1025)
    out = run([alone(limb_mass=limb_mass)], arrow, table, drive_steps=6400)[0][0]
    mass = arrow.number[launch.SHAFT_MASS] + arrow.number[launch.PART_MASS]
    energy = bow.stored_energy(table[0], DRAW - BRACE)
    assert out[launch.SPEED] == pytest.approx(bow.launch_speed(energy, mass, 0.014), rel=1e-5)
    assert out[launch.STRING_SHARE] == pytest.approx(mass / (mass + 0.014), rel=round_off)


def test_heavier_limbs_take_longer_but_end_as_fast() -> None:
    light, heavy = run([alone(limb_mass=0.02), alone(limb_mass=0.15)])[0]
    assert heavy[launch.STRING_LEFT] > light[launch.STRING_LEFT] + 5e-4
    assert heavy[launch.SPEED] == pytest.approx(light[launch.SPEED], rel=1e-4)


def test_time_on_the_string_of_a_linear_bow_is_a_quarter_period() -> None:
    """A spring of F/stroke on a mass lets go after pi/2 sqrt(m/k)."""
    table = bow_table(energy_ratio=0.5)
    out = run([alone(limb_mass=0.0)], table=table, drive_steps=1600)[0][0]
    arrow = built_arrow()
    moving = arrow.number[launch.SHAFT_MASS] + arrow.number[launch.PART_MASS] + 0.014
    quarter = 0.5 * np.pi * np.sqrt(moving * (DRAW - BRACE) / table[0, -1])
    assert out[launch.STRING_LEFT] == pytest.approx(quarter, rel=2e-4)


def test_very_stiff_arrow_moves_like_a_rigid_rod_pushed_at_its_nock() -> None:
    """solve_ivp on the two equations of a rod: sideways force at the nock, thrust that tips it."""
    arrow, table = undamped(built_arrow(6)), bow_table()
    one = alone(stiffness_scale=1e4)
    along = Along(one, arrow, table)
    drift = np.tile([1.0, 0.0], 7)
    turn = np.column_stack((np.linspace(0.0, arrow.number[launch.LENGTH], 7), np.ones(7))).ravel()
    mass = beam.dense(arrow.blocks[1] + arrow.blocks[2])
    moment, about_nock = drift @ mass @ turn, turn @ mass @ turn
    M = np.array([[along.arrow_mass + one[launch.STRING_THIRD], moment], [moment, about_nock]])
    slant = (one[launch.PLATE_OFFSET] + arrow.radius[0]) / DRAW

    def motion(_: float, s: Array) -> list[float]:
        acc = along.acceleration(s[0], s[1])
        force = [-along.side_stiffness(s[0], acc) * s[2], acc * moment * s[3]]
        return [s[1], acc, s[4], s[5], *np.linalg.solve(M, force)]

    out = run([one], arrow, table, drive_steps=1600, pass_steps=100)[0]
    end = float(out[0, launch.STRING_LEFT])
    found = integrate.solve_ivp(
        motion, (0.0, end), [-DRAW, 0.0, 0.0, slant, 0.0, 0.0], "LSODA", rtol=1e-9, atol=1e-12
    )
    _, speed, nock, slope, nock_rate, slope_rate = found.y[:, -1]
    assert out[0, launch.SPEED] == pytest.approx(speed, rel=1e-5)
    assert out[0, launch.NOCK_SIDE] == pytest.approx(nock, abs=one_micrometre)
    balance = moment / along.arrow_mass
    assert abs(slope_rate) > 0.5
    # Behind the string a rigid rod keeps its rate and drift.
    assert out[0, launch.YAW_RATE] == pytest.approx(slope_rate, rel=1e-3)
    assert out[0, launch.Y_VELOCITY] == pytest.approx(nock_rate + balance * slope_rate, rel=1e-3)
    way = out[0, launch.PASSED] - end
    assert out[0, launch.YAW] == pytest.approx(slope + way * slope_rate, rel=1e-3)


def slack_of(arrow: BuiltArrow, element: int, play_deg: float) -> Array:
    """One joint with play in one element, for launch_batch."""
    n = len(arrow.radius) - 1
    table = np.zeros((1, n, 2))
    h = arrow.number[launch.LENGTH] / n
    # Of an element of even stiffness the moments at its ends are E.I over its length.
    table[0, :, 1] = beam.dense(arrow.blocks[0])[1, 1] * h / 4.0 / h
    table[0, element, 0] = 0.5 * np.radians(play_deg)
    return table


@pytest.mark.parametrize("play_deg", [0.6, 2.0])
def test_a_joint_with_play_moves_as_solve_ivp_says(play_deg: float) -> None:
    """Full matrices, both planes, and a joint that carries only what exceeds its play.

    Free of plate, shelf and fingers; the string holds sideways only. The moment of the joint is a
    function of its angle with a corner at the end of the play, in any direction of the two planes.
    """
    arrow, table = undamped(built_arrow(6)), bow_table()
    one = alone(string_z=0.0)
    slack = slack_of(arrow, 3, play_deg)
    half, firm = slack[0, 3]
    along = Along(one, arrow, table)
    stiff, shaft, parts, soft_shaft, soft_parts = (beam.dense(b) for b in arrow.blocks)
    mass, soft = shaft + parts, soft_shaft + soft_parts
    on_string = mass.copy()
    on_string[0, 0] += one[launch.STRING_THIRD]
    inverse = [np.linalg.inv(on_string), np.linalg.inv(mass)]
    n = len(mass)
    fall = -G * on_string @ np.tile([1.0, 0.0], n // 2)
    place = np.linspace(0.0, arrow.number[launch.LENGTH], n // 2)
    start = np.zeros((2, n))
    for plane, (nock, far) in enumerate(
        ((0.0, one[launch.PLATE_OFFSET] + arrow.radius[0]),
         (arrow.radius[0] + one[launch.NOCK_HEIGHT], arrow.radius[0]))
    ):  # fmt: skip
        slope = (far - nock) / DRAW
        start[plane] = np.column_stack((nock + slope * place, np.full(n // 2, slope))).ravel()

    def motion(_: float, s: Array) -> Array:
        u, v = s[2 : 2 + 2 * n].reshape(2, n), s[2 + 2 * n :].reshape(2, n)
        acc = along.acceleration(s[0], s[1])
        turned = u[:, 9] - u[:, 7]  # slopes of nodes 4 and 3
        angle = float(np.hypot(*turned))
        free = turned * (1.0 if angle <= half else half / angle)
        force = -u @ stiff + acc * u @ soft
        force[1] += fall
        force[:, 9] += firm * free
        force[:, 7] -= firm * free
        force[0, 0] -= along.side_stiffness(s[0], acc) * u[0, 0]
        return np.concatenate(([s[1], acc], v.ravel(), (force @ inverse[0]).ravel()))

    out, frame = run(
        [one], arrow, table, drive_steps=3200, pass_steps=100, frame_every=1, slack=slack
    )
    end = float(out[0, launch.STRING_LEFT])
    first = np.concatenate(([-DRAW, 0.0], start.ravel(), np.zeros(2 * n)))
    found = integrate.solve_ivp(motion, (0.0, end), first, "LSODA", rtol=1e-9, atol=1e-11)
    theirs = found.y[2 : 2 + 2 * n, -1].reshape(2, n)[:, ::2]
    nodes = n // 2
    at = frame[0, 3199, launch.FRAME_HEAD :]
    assert at[:nodes] == pytest.approx(theirs[0], abs=2 * one_micrometre)
    assert at[nodes:] == pytest.approx(theirs[1], abs=2 * one_micrometre)
    tight, _ = run([one], arrow, table, drive_steps=3200, pass_steps=100)
    assert abs(tight[0, launch.NOCK_SIDE] - out[0, launch.NOCK_SIDE]) > 50 * one_micrometre


def test_play_that_is_never_used_up_is_a_hinge() -> None:
    """An element with a play of 90 degrees against one without stiffness at all."""
    arrow = undamped(built_arrow(6))
    h = arrow.number[launch.LENGTH] / 6
    hinged = arrow.blocks.copy()
    ei = beam.dense(arrow.blocks[0])[1, 1] * h / 4.0
    # Without the part of constant curvature an element still resists shear, as hinged ones do.
    for node, block, sign in ((3, 2, 1.0), (4, 2, 1.0), (3, 6, -1.0)):
        hinged[0, node, block] -= sign * ei / h
    loose, _ = run([alone()], arrow, slack=slack_of(arrow, 3, 90.0), drive_steps=3200)
    other, _ = run([alone()], replace(arrow, blocks=hinged), drive_steps=3200)
    for column in (launch.Y, launch.YAW, launch.YAW_RATE, launch.NOCK_SIDE):
        assert loose[0, column] == pytest.approx(other[0, column], rel=2 * tenth_of_a_percent)


def test_an_arrow_whose_joints_fit_tightly_is_an_arrow_without_play() -> None:
    arrow = feathered(12)
    tight = np.zeros((1, 12, 2))
    tight[:, :, 1] = 60.0
    one = row(nock_angle=0.4, stiffness_across=0.9)
    assert np.array_equal(run([one], arrow)[0], run([one], arrow, slack=tight)[0])


def test_tables_of_slack_joints_that_do_not_fit_are_refused() -> None:
    with pytest.raises(ValueError, match="slack joints"):
        run([row()], feathered(12), slack=np.zeros((1, 13, 2)))
    bad = np.full((1, 12, 2), np.nan)
    out, _ = run([row()], feathered(12), slack=bad)
    assert out[0, launch.STATUS] == launch.BAD_INPUT


def test_arrows_up_to_the_longest_are_as_close_and_a_longer_one_is_refused() -> None:
    for length in (1.1, launch.LONGEST):
        same = {
            "length": length,
            "shaft_mass": 0.042 * length,
            "bending_stiffness": 9.4 * length**2,
        }
        coarse = run([row()], feathered(12, **same), drive_steps=400, pass_steps=90)[0][0]
        fine = run([row()], feathered(48, **same), drive_steps=6400, pass_steps=1600)[0][0]
        assert fine[launch.STATUS] == launch.FINE
        assert coarse[launch.YAW_RATE] == pytest.approx(
            fine[launch.YAW_RATE], rel=2 * tenth_of_a_percent
        )
        assert coarse[launch.PLATE_IMPULSE] == pytest.approx(
            fine[launch.PLATE_IMPULSE], rel=2 * tenth_of_a_percent
        )
    long = run([row()], feathered(12, length=1.61))[0][0]
    assert long[launch.STATUS] == launch.TOO_LONG


def test_an_arrow_in_the_plane_of_the_string_stays_there() -> None:
    """Plate surface one radius past centre, straight loose: nothing pushes sideways."""
    radius = built_arrow().radius[0]
    out = run([alone(plate_offset=-radius)])[0][0]
    assert np.all(out[SIDEWAYS] == 0.0)
    assert out[launch.PLATE_IMPULSE] == out[launch.LOOSE_WORK] == 0.0


def test_matched_arrow_leaves_the_plate_before_the_string_and_rings_on() -> None:
    """Order of events on a bow cut past centre, and the bending that is left in flight.

    Kooi 1998, J. Sports Sci. 16, 721-731, abstract: the arrow leaves its one-sided elastic
    support before it leaves the string.
    """
    out = run([row(plate_offset=-0.1 * INCH)], feathered())[0][0]
    assert out[launch.STATUS] == launch.FINE
    assert 0.0 < out[launch.PLATE_LEFT] < 0.9 * out[launch.STRING_LEFT]
    assert out[launch.PLATE_IMPULSE] > 0.0
    assert out[launch.BENDING_ENERGY] > 1e-3


# ------------------------------------------------------- batches, mirror, scales


def varied(count: int) -> list[Array]:
    rng = np.random.default_rng(4)
    return [
        row(
            stiffness_scale=float(rng.uniform(0.5, 1.6)),
            plate_offset=float(rng.uniform(-0.1, 0.5)) * INCH,
            loose_push=float(rng.uniform(-0.005, 0.006)),
            draw=DRAW - float(rng.uniform(0.0, 0.05)),
        )
        for _ in range(count)
    ]


def test_results_do_not_depend_on_threads_or_on_the_batch() -> None:
    """Bit for bit: lanes, tasks of the pool and their order leave no trace."""
    rows, arrow = varied(150), feathered(8)
    steps = {"drive_steps": 120, "pass_steps": 30}
    one = run(rows, arrow, threads=1, **steps)[0]
    two = run(rows, arrow, threads=2, **steps)[0]
    assert np.array_equal(one, two)
    backwards = run(rows[::-1], arrow, threads=2, **steps)[0]
    assert np.array_equal(one, backwards[::-1])
    for i in (0, 3, 77, 149):
        assert np.array_equal(run([rows[i]], arrow, **steps)[0][0], one[i])
    assert len(np.unique(one[:, launch.YAW_RATE])) == len(rows)


def test_recording_frames_changes_nothing() -> None:
    rows = varied(9)
    assert np.array_equal(run(rows, frame_every=7)[0], run(rows)[0])


def test_progress_rises_to_one() -> None:
    seen: list[float] = []
    run(varied(150), built_arrow(4), drive_steps=20, pass_steps=5, progress=seen.append)
    assert seen == sorted(seen)
    assert len(seen) == 3
    assert seen[-1] == 1.0


def test_mirrored_start_and_push_give_the_mirrored_motion() -> None:
    """Without a plate the two sides are alike, so every sideways number changes its sign only."""
    arrow = built_arrow(12, radius=2.0**-8)
    offset, push = 2.0**-7, 2.0**-8
    right = alone(plate_offset=offset, loose_push=push)
    left = alone(plate_offset=-offset - 2.0 * 2.0**-8, loose_push=-push)
    a, b = run([right, left], arrow)[0]
    assert np.all(np.abs(a[SIDEWAYS]) > 1e-6)
    assert np.array_equal(a[SIDEWAYS], -b[SIDEWAYS])
    assert np.array_equal(a[UPWARD], b[UPWARD])


def test_turning_an_even_shaft_in_the_string_changes_nothing() -> None:
    """But for the splitting of the string's hold between the axes: second order, small."""
    arrow = feathered(10)

    def apart(steps: int) -> Array:
        rows = [row(nock_angle=angle) for angle in (0.0, 0.4, 0.8, -2.0)]
        out = run(rows, arrow, drive_steps=steps, pass_steps=steps // 4)[0]
        assert np.all(out[:, launch.STATUS] == launch.FINE)
        return np.array(
            np.abs(out - out[0])[:, [launch.YAW_RATE, launch.Y_VELOCITY, launch.Z_VELOCITY]].max(0)
        )

    coarse, fine = apart(400), apart(1600)
    assert np.all(coarse < 1e-3)
    assert np.all(fine < 0.1 * coarse)


def test_a_quarter_turn_swaps_the_stiff_and_the_weak_way_of_a_shaft() -> None:
    arrow = undamped(feathered(10))
    one = row(stiffness_scale=0.9, stiffness_across=1.25)
    quarter = row(stiffness_scale=0.9 * 1.25, stiffness_across=1.0 / 1.25, nock_angle=0.5 * np.pi)
    even = row(stiffness_scale=0.9)
    a, b, c = run([one, quarter, even], arrow)[0]
    columns = [*SIDEWAYS, *UPWARD, launch.PLATE_IMPULSE]
    assert b[columns] == pytest.approx(a[columns], rel=1e-7, abs=1e-11)
    # Held with one axis along y, stiffness across is felt in height only.
    assert a[SIDEWAYS] == pytest.approx(c[SIDEWAYS], rel=1e-9, abs=1e-12)
    assert a[launch.PITCH_RATE] != pytest.approx(c[launch.PITCH_RATE], rel=1e-3)


def test_a_canted_bow_lets_the_arrow_fall_to_the_side() -> None:
    """Top of the bow to the right: down is then to the right of the bow's own left."""
    upright, canted = run([alone(string_z=0.0), alone(string_z=0.0, cant=0.3)], built_arrow(8))[0]
    side = (canted - upright)[launch.Y_VELOCITY]
    lift = (canted - upright)[launch.Z_VELOCITY]
    assert side < -0.005
    assert lift > 0.0


def test_a_pinching_nock_rides_past_brace_until_the_string_has_pulled_it_off() -> None:
    """The arrow loses to the string the work of a spring pulled to that force."""
    arrow = built_arrow(8)
    mass = arrow.number[launch.SHAFT_MASS] + arrow.number[launch.PART_MASS]
    moving = mass + 0.014
    rows = [alone(limb_mass=0.0), alone(limb_mass=0.0, pinch=6.0)]
    free, held = run(rows, arrow, drive_steps=3200)[0]
    table = bow_table()
    string = table[0, 1] / table[1, 1]  # sideways and along alike at brace
    ride = 6.0 * moving / (mass * string)
    assert held[launch.STRING_LEFT] - free[launch.STRING_LEFT] == pytest.approx(
        ride / free[launch.SPEED], rel=0.02
    )
    lost = 0.5 * moving * (free[launch.SPEED] ** 2 - held[launch.SPEED] ** 2)
    assert lost == pytest.approx(0.5 * string * ride**2, rel=0.1)


def test_everything_twice_as_heavy_stiff_and_strong_moves_alike() -> None:
    """Masses, stiffnesses and forces by one factor: same motion, twice the impulses."""
    arrow = feathered(10)
    number = arrow.number.copy()
    number[[launch.SHAFT_MASS, launch.PART_MASS]] *= 2.0
    double = replace(arrow, blocks=2.0 * arrow.blocks, number=number)
    one = row()
    two = one.copy()
    for column in (
        launch.FORCE_SCALE,
        launch.VIRTUAL_MASS,
        launch.STRING_THIRD,
        launch.STRING_Z,
        launch.PLATE_STIFFNESS,
        launch.PLATE_DAMPING,
        launch.SHELF_STIFFNESS,
        launch.SHELF_DAMPING,
        launch.FINGER_STIFFNESS,
        launch.FLETCHING_STIFFNESS,
        launch.LIMB_MASS,
    ):
        two[column] *= 2.0
    a, b = run([one], arrow)[0][0], run([two], double)[0][0]
    assert a[launch.STATUS] == b[launch.STATUS] == launch.FINE
    motion = [launch.STRING_LEFT, launch.SPEED, launch.PASSED, *SIDEWAYS, *UPWARD]
    assert b[motion] == pytest.approx(a[motion], rel=1e-9)
    force = [
        launch.PLATE_IMPULSE,
        launch.SHELF_IMPULSE,
        launch.PLATE_PEAK,
        launch.BENDING_ENERGY,
        launch.LOOSE_WORK,
    ]
    assert np.all(a[force] > 0.0)
    assert b[force] == pytest.approx(2.0 * a[force], rel=1e-9)


def test_four_times_the_size_at_half_the_pace_moves_alike() -> None:
    """Gravity fixes the scale: lengths by 4, times by 2, masses and forces as they are."""
    damping = {"damping_ratio": 0.004}
    small = feathered(10)
    large = built_arrow(
        10,
        bending_stiffness=16.0 * 4.85,
        length=4.0 * small.number[launch.LENGTH],
        point_centre=4.0 * 0.012,
        point_inertia=16.0 * 5e-7,
        fletching=(4.0 * INCH, 20.0 * INCH),
        radius=4.0 * small.radius[0],
        **damping,
    )
    table = bow_table()
    wide = table * np.array([1.0, 4.0, 1.0, 0.25])[:, None]
    one = row()
    two = one.copy()
    for column in (
        launch.DRAW,
        launch.BRACE,
        launch.TOP_DRAW,
        launch.PLATE_OFFSET,
        launch.NOCK_HEIGHT,
        launch.LOOSE_PUSH,
        launch.LOOSE_TRAVEL,
        launch.FLETCHING_REACH_Y,
        launch.FLETCHING_REACH_Z,
    ):
        two[column] *= 4.0
    for column in (
        launch.STRING_Z,
        launch.PLATE_STIFFNESS,
        launch.SHELF_STIFFNESS,
        launch.FINGER_STIFFNESS,
        launch.FLETCHING_STIFFNESS,
    ):
        two[column] *= 0.25
    for column in (launch.PLATE_DAMPING, launch.SHELF_DAMPING):
        two[column] *= 0.5
    a, b = run([one], small, table)[0][0], run([two], large, wide)[0][0]
    assert large.rate == pytest.approx(0.5 * small.rate, rel=1e-9)
    factors = {
        launch.STRING_LEFT: 2.0,
        launch.SPEED: 2.0,
        launch.Y: 4.0,
        launch.Y_VELOCITY: 2.0,
        launch.YAW: 1.0,
        launch.YAW_RATE: 0.5,
        launch.Z: 4.0,
        launch.PITCH_RATE: 0.5,
        launch.PLATE_IMPULSE: 2.0,
        launch.BENDING_ENERGY: 4.0,
    }
    for column, factor in factors.items():
        assert b[column] == pytest.approx(factor * a[column], rel=1e-6), column


# -------------------------------------------------------------------- what is refused


@pytest.mark.parametrize(
    ("changes", "status"),
    [
        ({"draw": float("nan")}, launch.BAD_INPUT),
        ({"draw": BRACE - 0.01}, launch.BAD_INPUT),
        ({"draw": BRACE + 0.0005}, launch.BAD_INPUT),
        ({"draw": DRAW + 0.01}, launch.BAD_INPUT),
        ({"mass_scale": -3.0}, launch.BAD_INPUT),
        ({"stiffness_scale": float("nan")}, launch.BAD_INPUT),
        ({"plate_offset": float("nan")}, launch.BAD_INPUT),
        ({"plate_stiffness": float("nan")}, launch.BAD_INPUT),
    ],
)
def test_absurd_rows_get_a_status_and_their_neighbours_keep_theirs(
    changes: dict[str, float], status: int
) -> None:
    good = run([row()])[0][0]
    out = run([row(), row(**changes), row()])[0]
    assert out[1, launch.STATUS] == status
    assert np.array_equal(out[0], good)
    assert np.array_equal(out[2], good)


NOT_NUMBERS = """
import sys
sys.path[:0] = {paths!r}
import numpy as np
from loosewell.physics import launch
from physics.launches import built_arrow, row, run
usual = row()
rows = [usual]
for column in range(launch.LAUNCH_COLUMNS):
    for value in (np.nan, np.inf):
        rows.append(usual.copy())
        rows[-1][column] = value
rows.append(row(force_scale=0.0))
with np.errstate(all="ignore"):
    out = run(rows, built_arrow(4), drive_steps=6, pass_steps=3)[0]
assert out[0, launch.STATUS] == launch.FINE
wrong = np.flatnonzero(out[1:, launch.STATUS] == launch.FINE)
assert len(wrong) == 0, f"taken for fine: {{[(i // 2, i % 2) for i in wrong]}}"
"""


def test_no_row_with_a_nan_crashes_or_passes_for_fine() -> None:
    """In plain Python, where an index made of nan raises; compiled it would write anywhere."""
    code = NOT_NUMBERS.format(paths=[p for p in sys.path if p])
    environment = os.environ | {"NUMBA_DISABLE_JIT": "1"}
    done = subprocess.run(
        [sys.executable, "-c", code], env=environment, capture_output=True, text=True, timeout=120
    )
    assert done.returncode == 0, done.stderr[-600:]


def test_an_arrow_shorter_than_the_draw_falls_behind_the_plate() -> None:
    short = built_arrow(length=DRAW - 0.01)
    assert run([row()], short)[0][0, launch.STATUS] == launch.OFF_THE_PLATE
    assert run([row()], built_arrow(length=DRAW + 0.01))[0][0, launch.STATUS] == launch.FINE


@pytest.mark.parametrize("scale", [0.1, 0.01, 1e-4, 1e-8])
def test_an_absurdly_weak_shaft_is_told_and_never_counted(scale: float) -> None:
    out = run([row(stiffness_scale=scale)])[0][0]
    assert out[launch.STATUS] in (launch.BENT_TOO_FAR, launch.NOT_FINITE, launch.OFF_THE_SHELF)


def test_bent_too_far_is_told_before_dropping_off_the_shelf() -> None:
    """Both happen to this shaft; the bending comes first and is what to mend."""
    out = run([row(stiffness_scale=0.1)])[0][0]
    assert out[launch.MOST_SLOPE] > launch.SLOPE_LIMIT
    assert out[launch.STATUS] == launch.BENT_TOO_FAR


@pytest.mark.parametrize(
    "changes", [{"stiffness_scale": 0.3, "loose_push": 0.02}, {"loose_push": 0.08}]
)
def test_a_shaft_bent_beyond_small_slopes_is_told(changes: dict[str, float]) -> None:
    out = run([row(**changes)])[0][0]
    assert out[launch.MOST_SLOPE] > launch.SLOPE_LIMIT
    assert out[launch.STATUS] == launch.BENT_TOO_FAR


def test_what_is_called_fine_is_finite() -> None:
    rng = np.random.default_rng(9)
    rows = np.array(varied(200))
    rows *= rng.choice([0.5, 1.0, 1.0, 1.0, 1.0, 1.0, 1.3], size=rows.shape)
    out = run(list(rows), feathered(8), drive_steps=100, pass_steps=25)[0]
    fine = out[:, launch.STATUS] == launch.FINE
    assert 5 < fine.sum() < 195
    assert np.all(np.isfinite(out[fine]))
    assert np.all(out[fine, launch.SPEED] > 0.0)


def test_tables_that_do_not_fit_are_refused() -> None:
    with pytest.raises(ValueError, match="do not fit"):
        run([row()], built_arrow(launch.MOST_NODES))
    with pytest.raises(ValueError, match="do not fit"):
        run([row()[:-1]])


TINY = """
import sys
sys.path[:0] = {paths!r}
import numba
import numpy as np
from physics.launches import built_arrow, row, run
from loosewell.units import INCH
assert numba.config.DISABLE_JIT == {plain}
arrow = built_arrow(4, fletching=(1.0 * INCH, 5.0 * INCH))
rows = [row(), row(stiffness_scale=0.8)]
out, frame = run(rows, arrow, drive_steps=24, pass_steps=12, frame_every=6)
np.save({path!r}, np.concatenate((out.ravel(), frame.ravel())))
"""


def test_compiled_and_plain_python_give_the_same_numbers(tmp_path: Path) -> None:
    found = []
    for plain in (0, 1):
        path = str(tmp_path / f"{plain}.npy")
        code = TINY.format(paths=[p for p in sys.path if p], plain=plain, path=path)
        environment = os.environ | {"NUMBA_DISABLE_JIT": str(plain)}
        subprocess.run(
            [sys.executable, "-c", textwrap.dedent(code)], check=True, env=environment, timeout=120
        )
        found.append(np.load(path))
    assert np.all(np.isfinite(found[0]))
    assert np.abs(found[0]).max() > 1.0
    assert found[0] == pytest.approx(found[1], rel=1e-9, abs=1e-12)
