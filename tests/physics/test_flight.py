"""The flight: closed forms, an independent solver, convergence, symmetry, scaling, energy."""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import integrate

from loosewell.physics import aero, flight
from loosewell.units import INCH
from physics.arrows import STILL, VISCOSITY, leaving, weightless, wooden
from tolerances import hundredth_millimetre, one_degree, one_microradian, round_off

G = 9.80665


def disturbed(**more: float) -> NDArray[np.float64]:
    """A launch with everything astir, so that no force is ever exactly zero."""
    return leaving(
        **(
            {
                "elevation": 0.05,
                "side_speed": 0.3,
                "rise_speed": -0.2,
                "yaw": 0.05,
                "yaw_rate": 1.0,
                "pitch": -0.03,
                "pitch_rate": 2.0,
            }
            | more
        )
    )


def test_in_a_vacuum_the_arrow_follows_the_parabola() -> None:
    vacuum = flight.still_air(0.0, VISCOSITY)
    out = flight.fly(leaving(elevation=0.1), wooden(), vacuum, 60.0)[0]
    t = out[flight.TIME]
    # Along the raised line of aim gravity has a part forward as well.
    assert 45.0 * t - 0.5 * G * math.sin(0.1) * t**2 == pytest.approx(60.0, abs=1e-9)
    assert out[flight.DROP] == pytest.approx(0.5 * G * math.cos(0.1) * t**2, abs=1e-9)
    assert out[flight.FORWARD] == pytest.approx(45.0 - G * math.sin(0.1) * t, abs=1e-9)


def test_in_a_vacuum_a_level_carry_is_the_textbook_range() -> None:
    vacuum = flight.still_air(0.0, VISCOSITY)
    state = leaving(elevation=0.6, height=0.0)
    out = flight.fly(state, wooden(), vacuum, 1e6)[0]
    assert out[flight.GROUND_REACH] == pytest.approx(45.0**2 * math.sin(1.2) / G, rel=1e-9)
    assert out[flight.TIME] == pytest.approx(2.0 * 45.0 * math.sin(0.6) / G, rel=1e-9)


def test_in_a_vacuum_a_swinging_arrow_turns_evenly() -> None:
    vacuum = weightless(0.0)
    out = flight.fly(leaving(yaw=0.1, yaw_rate=0.4), wooden(), vacuum, 20.0)[0]
    assert out[flight.END_YAW] == pytest.approx(0.1 + 0.4 * out[flight.TIME], abs=1e-9)
    assert out[flight.END_YAW_RATE] == pytest.approx(0.4, abs=1e-9)


def test_the_path_runs_from_the_bow_to_the_target() -> None:
    path, out = flight.fly_path(disturbed(), wooden(), STILL, 18.0)
    assert path[0, 1] == 0.0
    assert path[0, 4] == pytest.approx(0.05, abs=1e-12)
    assert path[-1, 0] == out[flight.TIME]
    assert path[-1, 1] == out[flight.REACH]
    assert np.all(np.diff(path[:, 0]) > 0.0)
    alone = flight.fly(disturbed(), wooden(), STILL, 18.0)[0]
    assert np.array_equal(alone, out)


def yaw_only(t_end: float, state: NDArray[np.float64], row: NDArray[np.float64]) -> object:
    """One plane without gravity, written out anew: angle instead of axis, 400 stations of shaft."""
    c = aero.coefficient_rows(row[np.newaxis], 1.225, VISCOSITY, np.array([state[0]]))[0]
    half = 0.5 * 1.225
    station = np.linspace(c[aero.C_REAR_ARM], c[aero.C_TIP_ARM], 401)

    def rates(_: float, y: NDArray[np.float64]) -> list[float]:
        vx, vy, angle, turn = y[2], y[3], y[4], y[5]
        along = vx * math.cos(angle) + vy * math.sin(angle)
        across = -vx * math.sin(angle) + vy * math.cos(angle)
        speed = math.hypot(vx, vy)

        def local(arm: float) -> float:
            return across + arm * turn

        friction = c[aero.C_FRICTION] * (speed / c[aero.C_SPEED]) ** -c[aero.C_EXPONENT]
        middle = 0.5 * (c[aero.C_REAR_ARM] + c[aero.C_TIP_ARM])
        nose = -half * c[aero.C_NOSE] * abs(along) * local(c[aero.C_NOSE_ARM])
        tail = local(c[aero.C_FLETCH_ARM])
        fin = -half * (c[aero.C_FLETCH] * abs(along) + c[aero.C_VORTEX] * abs(tail)) * tail
        fin -= half * c[aero.C_FLETCH_DRAG] * speed * tail
        skin = -half * friction * speed * local(middle)
        each = local(station)  # type: ignore[arg-type]
        cross = -half * c[aero.C_CROSS] * np.abs(each) * each
        normal = nose + fin + skin + float(integrate.simpson(cross, x=station))
        axial = (
            -half
            * along
            * (c[aero.C_FIXED_DRAG] * abs(along) + (friction + c[aero.C_FLETCH_DRAG]) * speed)
        )
        moment = (
            nose * c[aero.C_NOSE_ARM]
            + fin * c[aero.C_FLETCH_ARM]
            + skin * middle
            + float(integrate.simpson(cross * station, x=station))
        )
        fx = axial * math.cos(angle) - normal * math.sin(angle)
        fy = axial * math.sin(angle) + normal * math.cos(angle)
        return [vx, vy, fx / c[aero.C_MASS], fy / c[aero.C_MASS], turn, moment / c[aero.C_INERTIA]]

    start = [0.0, 0.0, state[0], state[2], state[4], state[5]]
    return integrate.solve_ivp(rates, [0.0, t_end], start, rtol=1e-9, atol=1e-11).y[:, -1]


@pytest.mark.parametrize("fletched", [True, False])
def test_an_independent_solver_of_the_same_forces_agrees(fletched: bool) -> None:
    row = wooden(fletched=fletched)
    state = leaving(yaw=0.06, yaw_rate=-1.5, side_speed=0.4)
    out = flight.fly(state, row, weightless(), 25.0, 1e-3)[0]
    x, y, vx, _, angle, turn = yaw_only(float(out[flight.TIME]), state, row)  # type: ignore[misc]
    arm = row[aero.TIP] - row[aero.BALANCE]
    assert x == pytest.approx(out[flight.REACH], abs=2 * hundredth_millimetre)
    # Three Gauss points are not exact where the cross-flow changes sign along the shaft.
    assert y + arm * math.sin(angle) == pytest.approx(out[flight.HIT_Y], abs=2e-4)
    assert vx == pytest.approx(out[flight.FORWARD], abs=1e-4)
    assert angle == pytest.approx(out[flight.END_YAW], abs=0.02 * one_degree)
    assert turn == pytest.approx(out[flight.END_YAW_RATE], abs=0.01)


def test_yaw_swings_at_the_wavelength_and_dies_at_the_rate_of_its_linear_equation() -> None:
    row = wooden()
    c = aero.coefficient_rows(row[np.newaxis], 1.225, VISCOSITY, np.array([45.0]))[0]
    middle = 0.5 * (c[aero.C_REAR_ARM] + c[aero.C_TIP_ARM])
    areas = np.array([c[aero.C_NOSE], c[aero.C_FLETCH] + c[aero.C_FLETCH_DRAG], c[aero.C_FRICTION]])
    arms = np.array([c[aero.C_NOSE_ARM], c[aero.C_FLETCH_ARM], middle])
    half = 0.5 * 1.225 * 45.0
    m, inertia = c[aero.C_MASS], c[aero.C_INERTIA]
    f0, f1, f2 = (half * float(np.sum(areas * arms**n)) for n in range(3))
    drag = half * 45.0 * float(c[aero.C_FIXED_DRAG] + c[aero.C_FRICTION] + c[aero.C_FLETCH_DRAG])
    # Cross speed at a station is v − V θ + arm θ'; the drag along the axis pushes
    # sideways by −D θ.
    matrix = np.array(
        [
            [-f0 / m, (45.0 * f0 - drag) / m, -f1 / m],
            [0.0, 0.0, 1.0],
            [-f1 / inertia, 45.0 * f1 / inertia, -f2 / inertia],
        ]
    )
    root = max(np.linalg.eigvals(matrix), key=lambda z: z.imag)
    path, _ = flight.fly_path(leaving(yaw=0.001), row, weightless(), 60.0, 1e-3)
    x, yaw = path[:, 1], path[:, 4]
    turns = [
        (x[i], yaw[i])
        for i in range(2, len(x) - 1)
        if (yaw[i] - yaw[i - 1]) * (yaw[i + 1] - yaw[i]) < 0.0
    ]
    wavelength = 2.0 * (turns[2][0] - turns[1][0])
    decay = math.log(abs(turns[1][1] / turns[3][1])) / (turns[3][0] - turns[1][0])
    assert wavelength == pytest.approx(2.0 * math.pi * 45.0 / root.imag, rel=0.005)
    # Along the distance θ'' gains −(D/mV²) θ' because the arrow slows: half of it comes
    # off the decay.
    assert decay == pytest.approx(-root.real / 45.0 - 0.5 * drag / (m * 45.0**2), rel=0.01)


def test_a_feathered_wooden_arrow_steadies_within_some_tens_of_yards() -> None:
    path, _ = flight.fly_path(leaving(yaw=2.0 * one_degree), wooden(), weightless(), 60.0, 1e-3)
    far = np.abs(path[path[:, 1] > 35.0, 4])
    assert np.max(far) < 0.5 * 2.0 * one_degree
    crossings = path[1:, 1][np.sign(path[1:, 4]) != np.sign(path[:-1, 4])]
    wavelength = 2.0 * float(np.mean(np.diff(crossings)))
    # Plausible only: a full fishtail somewhere between 8 and 25 m.
    assert 8.0 < wavelength < 25.0


def test_a_bare_shaft_drifts_further_and_steadies_less() -> None:
    state = leaving(yaw=2.0 * one_degree)
    fletched = flight.fly(state, wooden(), weightless(), 18.288)[0]
    bare = flight.fly(state, wooden(fletched=False), weightless(), 18.288)[0]
    assert bare[flight.STATUS] == flight.REACHED
    assert bare[flight.HIT_Y] > fletched[flight.HIT_Y] > 0.0
    assert bare[flight.LARGEST_ANGLE] > fletched[flight.LARGEST_ANGLE]


def test_an_arrow_flying_nose_left_is_carried_left() -> None:
    out = flight.fly(leaving(yaw=0.05), wooden(), weightless(), 5.0)[0]
    arm = wooden()[aero.TIP] - wooden()[aero.BALANCE]
    assert out[flight.HIT_Y] - arm * math.sin(out[flight.END_YAW]) > 0.0
    up = flight.fly(leaving(pitch=0.05), wooden(), weightless(), 5.0)[0]
    assert up[flight.DROP] < 0.0


def test_halving_the_step_cuts_the_error_sixteen_times() -> None:
    exact = flight.fly(disturbed(), wooden(), STILL, 18.0, 1e-4)[0]
    errors = []
    for dt in (8e-3, 4e-3, 2e-3):
        out = flight.fly(disturbed(), wooden(), STILL, 18.0, dt)[0]
        errors.append(
            math.hypot(
                out[flight.HIT_Y] - exact[flight.HIT_Y], out[flight.HIT_Z] - exact[flight.HIT_Z]
            )
        )
    orders = [math.log2(errors[0] / errors[1]), math.log2(errors[1] / errors[2])]
    assert all(3.4 < order < 4.8 for order in orders), (errors, orders)


def test_the_step_the_flight_chooses_is_fine_enough() -> None:
    chosen = flight.fly(disturbed(), wooden(), STILL, 18.288)[0]
    fine = flight.fly(disturbed(), wooden(), STILL, 18.288, 2e-4)[0]
    assert chosen[flight.HIT_Y] == pytest.approx(fine[flight.HIT_Y], abs=hundredth_millimetre)
    assert chosen[flight.HIT_Z] == pytest.approx(fine[flight.HIT_Z], abs=hundredth_millimetre)
    assert chosen[flight.END_YAW] == pytest.approx(fine[flight.END_YAW], abs=30 * one_microradian)


def test_a_quickly_yawing_arrow_gets_shorter_steps() -> None:
    # Six tall feathers on a light fast arrow: 10 ms would be a third of a yaw.
    quick = wooden(count=6.0, height=1.1 * INCH, area=5.0 * INCH**2, inertia=2e-4)
    state = disturbed(speed=70.0)
    chosen, _ = flight.fly_path(state, quick, STILL, 18.288)
    asked, out = flight.fly_path(state, quick, STILL, 18.288, 1e-4)
    assert np.max(np.diff(chosen[:, 0])) < 0.5 * flight.LARGEST_STEP
    assert chosen[-1, 2] == pytest.approx(asked[-1, 2], abs=1e-4)
    assert out[flight.STATUS] == flight.REACHED


def test_left_and_right_mirror_bit_for_bit() -> None:
    state = disturbed()
    mirrored = state.copy()
    for column in (flight.SIDE_SPEED, flight.YAW, flight.YAW_RATE):
        mirrored[column] = -state[column]
    wind, opposite = STILL.copy(), STILL.copy()
    wind[3], opposite[3] = 2.0, -2.0
    left = flight.fly(state, wooden(), wind, 18.0)[0]
    right = flight.fly(mirrored, wooden(), opposite, 18.0)[0]
    for column in (flight.HIT_Y, flight.END_YAW, flight.END_YAW_RATE, flight.END_SIDE_SPEED):
        right[column] = -right[column]
    assert np.array_equal(left, right)


def test_without_gravity_up_and_left_are_alike() -> None:
    left = flight.fly(leaving(yaw=0.05, yaw_rate=1.0, side_speed=0.3), wooden(), weightless(), 18.0)
    up = flight.fly(
        leaving(pitch=0.05, pitch_rate=1.0, rise_speed=0.3), wooden(), weightless(), 18.0
    )
    assert up[0, flight.HIT_Z] == pytest.approx(left[0, flight.HIT_Y], abs=1e-12)
    assert up[0, flight.END_PITCH] == pytest.approx(left[0, flight.END_YAW], abs=1e-12)
    assert up[0, flight.END_PITCH_RATE] == pytest.approx(left[0, flight.END_YAW_RATE], abs=1e-10)


def test_a_scaled_arrow_in_scaled_air_flies_the_same_path() -> None:
    # Lengths times a, times times b, air of the same density and of viscosity that
    # keeps the Reynolds number: every angle stays, every hit scales.
    a, b = 2.0, 3.0
    row = wooden()
    scaled = row.copy()
    scaled[aero.MASS] *= a**3
    scaled[aero.INERTIA] *= a**5
    for column in (
        aero.BALANCE,
        aero.TIP,
        aero.DIAMETER,
        aero.POINT_DIAMETER,
        aero.CHORD,
        aero.HEIGHT,
        aero.FLETCH_CENTRE,
        aero.THICKNESS,
    ):
        scaled[column] *= a
    scaled[aero.AREA] *= a**2
    state = disturbed()
    moved = state.copy()
    for column in (flight.SPEED, flight.SIDE_SPEED, flight.RISE_SPEED):
        moved[column] *= a / b
    for column in (flight.YAW_RATE, flight.PITCH_RATE):
        moved[column] /= b
    moved[flight.HEIGHT] *= a
    air = np.array([1.225, VISCOSITY * a**2 / b, 0.0, 0.0, 0.0, G * a / b**2])
    small = flight.fly(state, row, STILL, 18.0, 4e-3)[0]
    large = flight.fly(moved, scaled, air, 18.0 * a, 4e-3 * b)[0]
    assert large[flight.HIT_Y] == pytest.approx(a * small[flight.HIT_Y], rel=1e-9)
    assert large[flight.HIT_Z] == pytest.approx(a * small[flight.HIT_Z], rel=1e-9)
    assert large[flight.TIME] == pytest.approx(b * small[flight.TIME], rel=1e-9)
    assert large[flight.END_YAW] == pytest.approx(small[flight.END_YAW], rel=1e-8)
    assert large[flight.TURNS] == pytest.approx(small[flight.TURNS], rel=1e-9)


def test_energy_only_ever_leaves_the_arrow() -> None:
    row = wooden()

    def energy(out: NDArray[np.float64]) -> float:
        height = out[flight.REACH] * math.sin(0.05) - out[flight.DROP] * math.cos(0.05)
        # Turning energy from the rates: cos² of pitch for the yaw part.
        spin2 = (out[flight.END_YAW_RATE] * math.cos(out[flight.END_PITCH])) ** 2
        spin2 += out[flight.END_PITCH_RATE] ** 2
        return float(
            0.5 * row[aero.MASS] * out[flight.END_SPEED] ** 2
            + 0.5 * row[aero.INERTIA] * spin2
            + row[aero.MASS] * G * height
        )

    def energies(air: NDArray[np.float64]) -> list[float]:
        return [
            energy(flight.fly(disturbed(), row, air, d)[0]) for d in (0.5, 1, 2, 4, 8, 16, 32, 64)
        ]

    assert np.all(np.diff(energies(STILL)) < 0.0)
    vacuum = energies(flight.still_air(0.0, VISCOSITY))
    assert np.ptp(vacuum) < 1e-9


def test_an_even_wind_is_the_same_flight_seen_from_a_moving_cart() -> None:
    wind = np.array([-3.0, 2.0, 0.5])
    still = flight.fly(disturbed(), wooden(), STILL, 18.0, 1e-3)[0]
    t = still[flight.TIME]
    state = disturbed()
    state[flight.SPEED] += wind[0]
    state[flight.SIDE_SPEED] += wind[1]
    state[flight.RISE_SPEED] += wind[2]
    air = STILL.copy()
    air[2:5] = wind
    carried = flight.fly(state, wooden(), air, 18.0 + wind[0] * t, 1e-3)[0]
    assert carried[flight.TIME] == pytest.approx(t, abs=1e-9)
    assert carried[flight.HIT_Y] == pytest.approx(still[flight.HIT_Y] + wind[1] * t, abs=1e-7)
    assert carried[flight.HIT_Z] == pytest.approx(still[flight.HIT_Z] + wind[2] * t, abs=1e-7)


def test_a_cross_wind_carries_the_arrow_with_it_once_it_has_turned_into_it() -> None:
    air = STILL.copy()
    air[3] = 3.0
    out = flight.fly(leaving(), wooden(), air, 50.0)[0]
    assert out[flight.HIT_Y] > 0.0
    assert out[flight.END_YAW] < 0.0


def test_a_batch_gives_what_each_arrow_gives_alone_in_any_order_and_thread() -> None:
    rng = np.random.default_rng(7)
    states = np.tile(disturbed(), (64, 1))
    states[:, flight.YAW] += rng.normal(0.0, 0.03, 64)
    states[:, flight.SPEED] += rng.normal(0.0, 1.0, 64)
    rows = np.tile(wooden(), (64, 1))
    whole = flight.fly(states, rows, STILL, 18.0)
    shared = np.empty_like(whole)

    def part(piece: slice) -> None:
        flight.fly_batch(states[piece], rows[piece], STILL, 18.0, 0.0, shared[piece])

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(part, [slice(i, i + 16) for i in range(0, 64, 16)]))
    assert np.array_equal(whole, shared)
    assert np.array_equal(whole[::-1], flight.fly(states[::-1], rows[::-1], STILL, 18.0))
    assert np.array_equal(whole[5], flight.fly(states[5], rows[5], STILL, 18.0)[0])
    assert np.array_equal(whole, flight.fly(states, wooden(), STILL, 18.0))


def test_the_arrow_lands_on_flat_ground_before_a_far_target() -> None:
    out = flight.fly(leaving(height=1.5), wooden(), STILL, 200.0)[0]
    assert out[flight.STATUS] == flight.GROUNDED
    assert out[flight.DROP] == pytest.approx(1.5, abs=1e-9)
    assert out[flight.REACH] < 60.0


def test_ground_and_target_in_one_step_take_the_one_that_comes_first() -> None:
    landed = flight.fly(leaving(height=1.5), wooden(), STILL, 200.0)[0]
    arm = wooden()[aero.TIP] - wooden()[aero.BALANCE]
    tip = landed[flight.REACH] + arm * (math.cos(landed[flight.END_PITCH]) - 1.0)
    before = flight.fly(leaving(height=1.5), wooden(), STILL, tip - 0.02)[0]
    beyond = flight.fly(leaving(height=1.5), wooden(), STILL, tip + 0.02)[0]
    assert before[flight.STATUS] == flight.REACHED
    assert beyond[flight.STATUS] == flight.GROUNDED
    assert beyond[flight.TIME] == pytest.approx(landed[flight.TIME], abs=1e-9)


def tip_height(state: NDArray[np.float64], out: NDArray[np.float64]) -> float:
    """Of an arrow that has arrived, from where it struck along and square to the line of aim."""
    e = state[flight.ELEVATION]
    arm = wooden()[aero.TIP] - wooden()[aero.BALANCE]
    ahead = out[flight.REACH] + arm * math.cos(out[flight.END_PITCH]) * math.cos(
        out[flight.END_YAW]
    )
    return float(state[flight.HEIGHT] + ahead * math.sin(e) + out[flight.HIT_Z] * math.cos(e))


def test_over_water_the_flight_ends_when_the_tip_touches_it() -> None:
    state = disturbed(height=1.5, elevation=-0.1)
    out = flight.fly(state, wooden(), STILL, 200.0, surface=flight.WATER_SURFACE)[0]
    assert out[flight.STATUS] == flight.WATER
    assert tip_height(state, out) == pytest.approx(0.0, abs=1e-9)
    ground = flight.fly(state, wooden(), STILL, 200.0)[0]
    assert ground[flight.STATUS] == flight.GROUNDED
    assert out[flight.TIME] < ground[flight.TIME]


def test_in_a_vacuum_the_tip_of_a_slanting_arrow_touches_the_water_when_it_must() -> None:
    """Level loose, nose 0.1 rad down all the way: the tip falls h − arm sin 0.1 freely."""
    vacuum = flight.still_air(0.0, VISCOSITY)
    state = leaving(height=1.5, pitch=-0.1)
    out = flight.fly(state, wooden(), vacuum, 1e6, surface=flight.WATER_SURFACE)[0]
    arm = wooden()[aero.TIP] - wooden()[aero.BALANCE]
    fall = 1.5 - arm * math.sin(0.1)
    assert out[flight.TIME] == pytest.approx(math.sqrt(2.0 * fall / G), abs=1e-9)
    assert out[flight.END_RISE_SPEED] == pytest.approx(-math.sqrt(2.0 * fall * G), abs=1e-8)


def test_a_tip_that_swings_down_touches_the_water_on_its_own_arc() -> None:
    """In a vacuum without gravity only the turning brings the tip down."""
    state = leaving(height=0.05, pitch=0.0, pitch_rate=-2.0)
    out = flight.fly(state, wooden(), weightless(0.0), 1e6, surface=flight.WATER_SURFACE)[0]
    arm = wooden()[aero.TIP] - wooden()[aero.BALANCE]
    assert out[flight.STATUS] == flight.WATER
    assert out[flight.TIME] == pytest.approx(math.asin(0.05 / arm) / 2.0, abs=1e-7)


def test_a_target_before_the_water_is_reached_and_one_beyond_it_is_not() -> None:
    state = leaving(height=1.5)
    wet = flight.fly(state, wooden(), STILL, 200.0, surface=flight.WATER_SURFACE)[0]
    # Measured as the flight measures it: the way of the tip along the line of aim.
    arm = wooden()[aero.TIP] - wooden()[aero.BALANCE]
    way = wet[flight.REACH] + arm * (math.cos(wet[flight.END_PITCH]) - 1.0)
    near, far = (
        flight.fly(state, wooden(), STILL, way + more, surface=flight.WATER_SURFACE)[0]
        for more in (-0.02, 0.02)
    )
    assert near[flight.STATUS] == flight.REACHED
    assert far[flight.STATUS] == flight.WATER
    assert far[flight.TIME] == pytest.approx(wet[flight.TIME], abs=1e-9)


def test_a_path_over_water_ends_where_its_result_says() -> None:
    state = leaving(height=1.5)
    path, out = flight.fly_path(state, wooden(), STILL, 200.0, surface=flight.WATER_SURFACE)
    assert out[flight.STATUS] == flight.WATER
    assert path[-1, 1] == out[flight.REACH]
    alone = flight.fly(state, wooden(), STILL, 200.0, surface=flight.WATER_SURFACE)[0]
    assert np.array_equal(alone, out)


def test_a_start_under_water_or_over_nothing_known_is_refused() -> None:
    under = leaving(height=0.02, pitch=-0.2)
    wet = flight.fly(under, wooden(), STILL, 18.0, surface=flight.WATER_SURFACE)[0]
    assert wet[flight.STATUS] == flight.REFUSED
    assert np.all(np.isnan(wet[1:]))
    assert flight.fly(under, wooden(), STILL, 18.0)[0, flight.STATUS] == flight.GROUNDED
    odd = flight.fly(leaving(), wooden(), STILL, 18.0, surface=7)[0]
    assert odd[flight.STATUS] == flight.REFUSED


def test_the_parts_of_the_last_velocity_make_up_its_speed() -> None:
    out = flight.fly(disturbed(), wooden(), STILL, 18.0)[0]
    parts = out[[flight.FORWARD, flight.END_SIDE_SPEED, flight.END_RISE_SPEED]]
    assert np.linalg.norm(parts) == pytest.approx(out[flight.END_SPEED], rel=round_off)
    fine = flight.fly_path(disturbed(), wooden(), STILL, 18.0, 1e-4)[0]
    last = (fine[-2, 1:4] - fine[-3, 1:4]) / (fine[-2, 0] - fine[-3, 0])
    assert parts == pytest.approx(last, abs=0.02)


@pytest.mark.parametrize(
    ("column", "value"),
    [(flight.SPEED, 0.0), (flight.SPEED, math.nan), (flight.YAW, math.inf), (flight.SPEED, -40.0)],
)
def test_a_launch_that_cannot_be_is_refused(column: int, value: float) -> None:
    state = leaving()
    state[column] = value
    out = flight.fly(state, wooden(), STILL, 18.0)[0]
    assert out[flight.STATUS] == flight.REFUSED
    assert np.all(np.isnan(out[1:]))


def test_an_arrow_or_distance_that_cannot_be_is_refused() -> None:
    for row in (wooden(mass=0.0), wooden(inertia=-1.0), wooden(diameter=math.nan)):
        assert flight.fly(leaving(), row, STILL, 18.0)[0, flight.STATUS] == flight.REFUSED
    for distance in (0.0, -5.0, math.nan):
        assert flight.fly(leaving(), wooden(), STILL, distance)[0, flight.STATUS] == flight.REFUSED


def test_a_tumbling_arrow_says_that_its_numbers_do_not_hold() -> None:
    out = flight.fly(leaving(yaw_rate=40.0), wooden(), STILL, 18.0)[0]
    assert out[flight.STATUS] == flight.TUMBLED
    assert out[flight.LARGEST_ANGLE] > flight.LARGEST_HELD_ANGLE


def test_bending_rings_down_by_its_damping() -> None:
    row = wooden(bend_frequency=70.0, bend_damping=0.01, bend_amplitude=0.004)
    out = flight.fly(leaving(), row, STILL, 18.0)[0]
    closed = 0.004 * math.exp(-2.0 * math.pi * 70.0 * 0.01 * out[flight.TIME])
    assert out[flight.BEND] == pytest.approx(closed, rel=round_off)


def test_spin_builds_up_and_then_turns_once_a_pitch() -> None:
    row = wooden()
    near, far = (
        flight.fly(leaving(), row, weightless(), d)[0, [flight.REACH, flight.TURNS]]
        for d in (30.0, 50.0)
    )
    settled = aero.spin_per_metre(row[aero.ANGLE], row[aero.DIAMETER], row[aero.HEIGHT])
    per_metre = (far[1] - near[1]) / (far[0] - near[0])
    assert per_metre == pytest.approx(settled / (2.0 * math.pi), rel=1e-3)
    assert near[1] < near[0] * settled / (2.0 * math.pi)
