"""Water: skip or enter, the way below against closed forms and a solver, Snell against Fermat."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import integrate, optimize

from loosewell.physics import flight, water
from loosewell.units import GRAIN, INCH
from physics.arrows import STILL, VISCOSITY, leaving, wooden
from tolerances import (
    one_microsecond,
    one_millimetre,
    round_off,
    stated_to_three_figures,
    stated_to_two_figures,
)

Array = NDArray[np.float64]

G = 9.80665
FOOT = 12.0 * INCH
FRESH = np.array([998.2, 1.002e-3, G])
DRY_LAND = np.array([0.0, 1.002e-3, G])
LENGTH, DIAMETER = 0.76, 11.0 / 32.0 * INCH


def diver(**changes: float) -> Array:
    """A 500 gr wooden arrow, wet all along, at 40 m/s and 20 degrees, unless said otherwise."""
    columns: dict[str, float] = {
        "dive_speed": 40.0,
        "dive_dip": math.radians(20.0),
        "mass": 500.0 * GRAIN,
        "volume": 0.25 * math.pi * DIAMETER**2 * LENGTH,
        "length": LENGTH,
        "diameter": DIAMETER,
        "point_diameter": DIAMETER,
        "point_drag": 0.4,
        "wetted": LENGTH,
    }
    row = np.empty(water.DIVER_COLUMNS)
    for name, value in (columns | changes).items():
        row[getattr(water, name.upper())] = value
    return row


def arriving(speed: float, path: float, axis: float | None = None, slant: float = 0.0) -> Array:
    """One arrival, angles in degrees."""
    down = path if axis is None else axis
    return np.array([[speed, math.radians(path), math.radians(down), math.radians(slant)]])


def enter(one: Array, density: float = 998.2, **changes: float) -> Array:
    told = {"mass": 0.0324, "volume": 45e-6, "point_diameter": 0.0087} | changes
    return water.entry(one, density=density, **told)[0]


# ------------------------------------------------------------------------- on arrival


def test_an_arrival_keeps_the_speed_and_the_dip_of_a_vacuum_parabola() -> None:
    vacuum = flight.still_air(0.0, VISCOSITY)
    state = leaving(elevation=-0.2, height=2.0)
    landed = flight.fly(state, wooden(), vacuum, 1e6, surface=flight.WATER_SURFACE)
    row = water.arrival(landed, -0.2)[0]
    fall = 45.0 * math.sin(0.2) + G * landed[0, flight.TIME]
    assert row[water.ARRIVAL_SPEED] == pytest.approx(math.hypot(45.0 * math.cos(0.2), fall))
    path = math.atan2(fall, 45.0 * math.cos(0.2))
    assert row[water.PATH_DIP] == pytest.approx(path, abs=1e-9)
    # Nothing turns it: the axis still points along the line of aim.
    assert row[water.AXIS_DIP] == pytest.approx(0.2, abs=1e-9)
    assert row[water.SLANT] == pytest.approx(path - 0.2, abs=1e-9)


def test_an_arrow_yawed_across_its_path_slants_by_that_yaw() -> None:
    vacuum = flight.still_air(0.0, VISCOSITY, 0.0)
    state = leaving(elevation=-0.2, height=2.0, yaw=0.06)
    landed = flight.fly(state, wooden(), vacuum, 1e6, surface=flight.WATER_SURFACE)
    row = water.arrival(landed, -0.2)[0]
    assert row[water.SLANT] == pytest.approx(0.06, abs=1e-9)
    assert row[water.PATH_DIP] == pytest.approx(0.2, abs=1e-9)
    # Turning out of the upright plane makes the axis flatter: sin dip = cos yaw · sin 0.2.
    down = math.asin(math.cos(0.06) * math.sin(0.2))
    assert row[water.AXIS_DIP] == pytest.approx(down, abs=1e-9)


def test_only_a_flight_that_ends_on_water_arrives_there() -> None:
    states = np.stack([leaving(height=1.5), leaving(height=1.5)])
    wet = flight.fly(states[:1], wooden(), STILL, 200.0, surface=flight.WATER_SURFACE)
    ground = flight.fly(states[1:], wooden(), STILL, 200.0)
    rows = water.arrival(np.concatenate([wet, ground]), 0.0)
    assert np.all(np.isfinite(rows[0]))
    assert np.all(np.isnan(rows[1]))


# ------------------------------------------------------------------------------ entry


def test_a_ball_as_dense_as_water_skips_below_eighteen_degrees() -> None:
    """Birkhoff and others 1944; Johnson & Reid 1975, from memory."""
    assert np.degrees(water.critical_dip(1.0)) == pytest.approx(18.0, rel=round_off)
    # A steel ball, specific gravity 7.8: 6.4 degrees by the same rule.
    assert np.degrees(water.critical_dip(7.8)) == pytest.approx(6.4, rel=stated_to_two_figures)


def test_the_status_turns_over_at_the_critical_angle() -> None:
    critical = math.degrees(float(water.critical_dip(0.0324 / (45e-6 * 998.2))))
    steep, flat = enter(arriving(40.0, critical + 0.01)), enter(arriving(40.0, critical - 0.01))
    assert steep[water.ENTRY_STATUS] == water.ENTERS
    assert flat[water.ENTRY_STATUS] == water.MAY_SKIP
    assert math.degrees(flat[water.CRITICAL_DIP]) == pytest.approx(critical, rel=1e-12)


def test_a_heavier_arrow_of_the_same_size_may_be_shot_flatter() -> None:
    light, heavy = enter(arriving(40.0, 18.0)), enter(arriving(40.0, 18.0), mass=0.078)
    assert light[water.ENTRY_STATUS] == water.MAY_SKIP
    assert heavy[water.ENTRY_STATUS] == water.ENTERS


def test_an_arrow_that_stands_flatter_than_its_path_is_judged_by_its_axis() -> None:
    nose_high = enter(arriving(40.0, 24.0, 20.0, 4.0))
    nose_low = enter(arriving(40.0, 24.0, 28.0, 4.0))
    assert nose_high[water.ENTRY_STATUS] == water.MAY_SKIP
    assert nose_low[water.ENTRY_STATUS] == water.ENTERS
    assert nose_low[water.GRAZE] == pytest.approx(math.radians(24.0), rel=round_off)


def test_an_arrow_across_its_path_says_that_the_straight_path_does_not_hold() -> None:
    assert enter(arriving(40.0, 45.0, 45.0, 4.9))[water.ENTRY_STATUS] == water.ENTERS
    assert enter(arriving(40.0, 45.0, 45.0, 5.1))[water.ENTRY_STATUS] == water.SLANTED
    # What may skip says so first.
    assert enter(arriving(40.0, 5.0, 5.0, 5.1))[water.ENTRY_STATUS] == water.MAY_SKIP


def test_momentum_is_kept_on_entering_and_the_energy_book_closes() -> None:
    row = enter(arriving(40.0, 30.0))
    carried = 0.0324 + 4.0 / 3.0 * 998.2 * 0.00435**3
    assert carried * row[water.WATER_SPEED] == pytest.approx(0.0324 * 40.0, rel=round_off)
    after = 0.5 * carried * row[water.WATER_SPEED] ** 2
    assert after + row[water.ENTRY_LOSS] == pytest.approx(0.5 * 0.0324 * 1600.0, rel=round_off)
    # A tenth of a gram on 32 g: a third of a percent.
    assert row[water.WATER_SPEED] / 40.0 == pytest.approx(0.9966, abs=1e-4)


def test_water_without_density_takes_nothing_and_throws_nothing_back() -> None:
    row = enter(arriving(40.0, 0.5), density=0.0)
    assert row[water.ENTRY_STATUS] == water.ENTERS
    assert row[water.WATER_SPEED] == 40.0
    assert row[water.ENTRY_LOSS] == 0.0


@pytest.mark.parametrize(
    ("one", "changes"),
    [
        (arriving(0.0, 30.0), {}),
        (arriving(math.nan, 30.0), {}),
        (arriving(40.0, 0.0), {}),
        (arriving(40.0, 30.0, math.inf), {}),
        (arriving(40.0, 30.0), {"mass": 0.0}),
        (arriving(40.0, 30.0), {"volume": -1.0}),
        (arriving(40.0, 30.0), {"point_diameter": math.nan}),
        (arriving(40.0, 30.0), {"density": -1.0}),
        (arriving(40.0, 30.0), {"density": math.nan}),
    ],
)
def test_an_entry_that_cannot_be_is_refused(one: Array, changes: dict[str, float]) -> None:
    row = enter(one, **changes)
    assert row[water.ENTRY_STATUS] == water.REFUSED
    assert np.all(np.isnan(row[1:]))


# ------------------------------------------------------------------------ under water


def test_with_nothing_but_the_drag_of_the_point_the_speed_follows_the_closed_form() -> None:
    stations = np.array([0.0, 0.3, LENGTH, 1.0, 2.5])
    still = np.array([998.2, 1.002e-3, 0.0])
    track, end = water.travel(diver(wetted=0.0), still, stations, 1.0)
    area = 0.4 * 0.25 * math.pi * DIAMETER**2
    carried = 500.0 * GRAIN + float(water.added_mass(DIAMETER, 998.2))
    grip = 0.5 * 998.2 * area / carried
    assert track[0, :, water.TRACK_SPEED] == pytest.approx(
        40.0 * np.exp(-grip * stations), rel=1e-9
    )
    time = (np.exp(grip * stations) - 1.0) / (grip * 40.0)
    assert track[0, :, water.TRACK_TIME] == pytest.approx(time, rel=1e-8)
    assert end[0, water.END_STATUS] == water.PASSED
    # And the kernel's own closed form is that one.
    speed, took = water.coast(40.0, stations, carried, area, 998.2)
    assert speed == pytest.approx(40.0 * np.exp(-grip * stations), rel=round_off)
    assert took == pytest.approx(time, rel=1e-9)


def test_it_ends_where_the_closed_form_has_the_least_speed() -> None:
    still = np.array([998.2, 1.002e-3, 0.0])
    _, end = water.travel(diver(wetted=0.0), still, np.array([50.0]), 5.0)
    area = 0.4 * 0.25 * math.pi * DIAMETER**2
    carried = 500.0 * GRAIN + float(water.added_mass(DIAMETER, 998.2))
    length = 2.0 * carried / (998.2 * area) * math.log(40.0 / 5.0)
    assert end[0, water.END_STATUS] == water.SLOWED
    assert end[0, water.END_LENGTH] == pytest.approx(length, rel=1e-8)
    assert end[0, water.END_DEPTH] == pytest.approx(length * math.sin(math.radians(20.0)), rel=1e-8)
    assert end[0, water.END_SPEED] == pytest.approx(5.0, rel=1e-9)
    _, took = water.coast(40.0, length, carried, area, 998.2)
    assert end[0, water.END_TIME] == pytest.approx(float(took), rel=1e-7)


def test_a_thin_heavy_point_sinks_toward_its_terminal_speed_in_closed_form() -> None:
    """Weight and drag without buoyancy: the square of the speed nears its end exponentially."""
    stations = np.array([0.5, 2.0, 8.0])
    row = diver(wetted=0.0, volume=0.0, dive_speed=30.0)
    track, _ = water.travel(row, FRESH, stations, 0.1)
    area = 0.4 * 0.25 * math.pi * DIAMETER**2
    mass = 500.0 * GRAIN
    carried = mass + float(water.added_mass(DIAMETER, 998.2))
    final = 2.0 * mass * G * math.sin(math.radians(20.0)) / (998.2 * area)
    square = final + (900.0 - final) * np.exp(-998.2 * area / carried * stations)
    assert track[0, :, water.TRACK_SPEED] == pytest.approx(np.sqrt(square), rel=1e-8)


def test_water_without_density_is_a_fall_in_a_vacuum() -> None:
    stations = np.array([0.0, 0.2, 1.0, 5.0])
    dip = math.radians(20.0)
    track, end = water.travel(diver(), DRY_LAND, stations, 1.0)
    speed = np.sqrt(1600.0 + 2.0 * G * math.sin(dip) * stations)
    assert track[0, :, water.TRACK_SPEED] == pytest.approx(speed, rel=1e-12)
    assert track[0, :, water.TRACK_TIME] == pytest.approx(
        (speed - 40.0) / (G * math.sin(dip)), abs=1e-12
    )
    assert track[0, :, water.TRACK_DEPTH] == pytest.approx(stations * math.sin(dip), rel=1e-12)
    assert end[0, water.END_STATUS] == water.PASSED
    after, took = water.coast(40.0, stations, 0.03, 1e-5, 0.0)
    assert np.all(after == 40.0)
    assert took == pytest.approx(stations / 40.0, rel=round_off)


def solver(row: Array, stop: float) -> Any:
    """The same forces in time instead of path, written out anew for an independent solver."""
    mass, volume, length = row[water.MASS], row[water.VOLUME], row[water.LENGTH]
    face = math.pi * row[water.POINT_DIAMETER] ** 2 / 4.0
    added = 998.2 * row[water.POINT_DIAMETER] ** 3 / 6.0

    def rates(_: float, y: Array) -> list[float]:
        s, v = y
        reynolds = 998.2 * v * row[water.WETTED] / 1.002e-3
        skin = math.pi * row[water.DIAMETER] * min(s, row[water.WETTED])
        drag = 499.1 * v**2 * (row[water.POINT_DRAG] * face + 0.031 / reynolds ** (1 / 7) * skin)
        buoyancy = 998.2 * G * volume * min(1.0, s / length)
        along = (mass * G - buoyancy) * math.sin(row[water.DIVE_DIP])
        return [v, (along - drag) / (mass + added)]

    def slow(_: float, y: Array) -> float:
        return float(y[1] - stop)

    slow.terminal = True  # type: ignore[attr-defined]
    start = [0.0, row[water.DIVE_SPEED]]
    return integrate.solve_ivp(
        rates, (0.0, 20.0), start, events=slow, rtol=1e-10, atol=1e-12, dense_output=True,
        max_step=5e-4,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("least", "changes"),
    [
        (1.0, {}),
        (1.0, {"wetted": 0.3, "point_drag": 0.8}),
        # Heavier than water it keeps sinking, and never comes down to 1 m/s.
        (5.0, {"mass": 1200.0 * GRAIN, "point_diameter": 0.0095, "dive_dip": 1.2}),
        (1.0, {"dive_speed": 8.0, "dive_dip": math.pi / 2.0, "mass": 400.0 * GRAIN}),
    ],
)
def test_an_independent_solver_in_time_agrees_on_the_way_below(
    least: float, changes: dict[str, float]
) -> None:
    row = diver(**changes)
    reference = solver(row, least)
    track, end = water.travel(row, FRESH, np.array([0.1, 0.5, 30.0]), least)
    assert end[0, water.END_STATUS] == water.SLOWED
    assert end[0, water.END_LENGTH] == pytest.approx(reference.y[0, -1], abs=0.01 * one_millimetre)
    assert end[0, water.END_TIME] == pytest.approx(reference.t[-1], abs=20 * one_microsecond)
    for j in (0, 1):
        _, speed = reference.sol(track[0, j, water.TRACK_TIME])
        assert track[0, j, water.TRACK_SPEED] == pytest.approx(speed, abs=1e-4)


def test_the_energy_book_of_the_way_below_closes() -> None:
    """Kinetic energy lost is the work of drag less that of weight and buoyancy."""
    stations = np.linspace(0.0, 1.5, 3001)
    row = diver()
    track, _ = water.travel(row, FRESH, stations, 0.5)
    v = track[0, :, water.TRACK_SPEED]
    carried = row[water.MASS] + float(water.added_mass(DIAMETER, 998.2))
    skin = math.pi * DIAMETER * np.minimum(stations, LENGTH)
    friction = 0.031 * (998.2 * v * LENGTH / 1.002e-3) ** (-1.0 / 7.0)
    area = 0.4 * 0.25 * math.pi * DIAMETER**2 + friction * skin
    drag = integrate.simpson(499.1 * area * v**2, x=stations)
    sunk = row[water.VOLUME] * 998.2 * np.minimum(stations / LENGTH, 1.0)
    push = integrate.simpson(
        G * math.sin(row[water.DIVE_DIP]) * (row[water.MASS] - sunk), x=stations
    )
    lost = 0.5 * carried * (v[0] ** 2 - v[-1] ** 2)
    assert lost == pytest.approx(drag - push, rel=1e-6)
    assert np.all(np.diff(v) < 0.0)


def test_more_mass_less_drag_and_a_dry_shaft_each_carry_further() -> None:
    rows = np.stack(
        [
            diver(),
            diver(mass=700.0 * GRAIN),
            diver(wetted=0.4),
            diver(point_drag=0.3),
            diver(dive_speed=50.0),
        ]
    )
    _, end = water.travel(rows, FRESH, np.array([50.0]), 5.0)
    assert np.all(end[1:, water.END_LENGTH] > end[0, water.END_LENGTH])
    assert np.all(end[:, water.END_STATUS] == water.SLOWED)


def test_a_floating_arrow_is_held_back_and_a_sinking_one_driven_on() -> None:
    """At little speed, straight down, the sign of weight less buoyancy decides."""
    down = {"dive_speed": 2.0, "dive_dip": math.pi / 2.0, "point_drag": 0.0, "wetted": 0.0}
    stations = np.array([LENGTH, 1.1 * LENGTH])
    track, _ = water.travel(
        np.stack([diver(mass=900.0 * GRAIN, **down), diver(**down)]), FRESH, stations, 0.1
    )
    assert 900.0 * GRAIN > 998.2 * diver()[water.VOLUME] > 500.0 * GRAIN
    gained = np.diff(track[:, :, water.TRACK_SPEED], axis=1)[:, 0]
    assert gained[0] > 0.0 > gained[1]


def test_a_batch_of_divers_gives_what_each_gives_alone() -> None:
    rows = np.stack([diver(), diver(mass=0.05), diver(mass=0.0), diver(dive_speed=20.0)])
    stations = np.array([0.2, 0.9, 2.0])
    track, end = water.travel(rows, FRESH, stations, 5.0)
    for n, row in enumerate(rows):
        alone, last = water.travel(row, FRESH, stations, 5.0)
        assert np.array_equal(alone[0], track[n], equal_nan=True)
        assert np.array_equal(last[0], end[n], equal_nan=True)


def test_stations_beyond_the_end_are_not_told() -> None:
    track, end = water.travel(diver(), FRESH, np.array([0.5, 1.0, 3.0]), 5.0)
    assert 1.0 < end[0, water.END_LENGTH] < 3.0
    assert np.all(np.isfinite(track[0, :2]))
    assert np.all(np.isnan(track[0, 2]))


def test_an_arrow_already_slower_than_the_least_speed_goes_nowhere() -> None:
    track, end = water.travel(diver(dive_speed=4.0), FRESH, np.array([0.0, 1.0]), 5.0)
    assert end[0].tolist() == [water.SLOWED, 0.0, 0.0, 0.0, 4.0]
    assert np.all(np.isnan(track))


@pytest.mark.parametrize(
    "changes",
    [
        {"mass": 0.0},
        {"length": 0.0},
        {"dive_speed": 0.0},
        {"dive_speed": math.nan},
        {"dive_dip": 0.0},
        {"dive_dip": 2.0},
        {"wetted": LENGTH + 0.01},
        {"volume": -1e-6},
        {"point_drag": math.inf},
    ],
)
def test_a_dive_that_cannot_be_is_refused(changes: dict[str, float]) -> None:
    track, end = water.travel(diver(**changes), FRESH, np.array([0.5, 1.0]), 5.0)
    assert end[0, water.END_STATUS] == water.REFUSED
    assert np.all(np.isnan(end[0, 1:]))
    assert np.all(np.isnan(track))


def test_water_that_cannot_be_is_refused() -> None:
    for column in range(3):
        for value in (-1.0, math.nan):
            basin = FRESH.copy()
            basin[column] = value
            _, end = water.travel(diver(), basin, np.array([1.0]), 5.0)
            assert end[0, water.END_STATUS] == water.REFUSED


@pytest.mark.parametrize("least", [0.0, -1.0, math.nan])
def test_a_least_speed_that_is_none_is_refused(least: float) -> None:
    with pytest.raises(ValueError, match="least speed"):
        water.travel(diver(), FRESH, np.array([1.0]), least)


@pytest.mark.parametrize("stations", [[], [-0.1, 1.0], [1.0, 1.0], [1.0, math.nan], [1.0, 101.0]])
def test_stations_that_do_not_rise_are_refused(stations: list[float]) -> None:
    with pytest.raises(ValueError, match="stations"):
        water.travel(diver(), FRESH, np.array(stations), 5.0)


def test_rows_with_missing_columns_are_refused() -> None:
    with pytest.raises(ValueError, match="columns"):
        water.travel(diver()[:-1], FRESH, np.array([1.0]), 5.0)
    with pytest.raises(ValueError, match="columns"):
        water.travel(diver(), FRESH[:2], np.array([1.0]), 5.0)


# ------------------------------------------------------------------------- refraction


PLACES = [(1.7, 6.0, 0.3), (1.7, 3.0, 0.9), (0.4, 12.0, 2.0), (3.0, 0.2, 0.05), (1.2, 25.0, 0.1)]


@pytest.mark.parametrize(("eye", "distance", "depth"), PLACES)
def test_the_ray_takes_the_least_time(eye: float, distance: float, depth: float) -> None:
    """Fermat's principle, by a search that knows nothing of Snell."""

    def slope_of_time(x: float) -> float:
        step = 1e-5
        late = math.hypot(x + step, eye) + 1.333 * math.hypot(distance - x - step, depth)
        soon = math.hypot(x - step, eye) + 1.333 * math.hypot(distance - x + step, depth)
        return late - soon

    def time(x: float) -> float:
        return math.hypot(x, eye) + 1.333 * math.hypot(distance - x, depth)

    found = optimize.minimize_scalar(time, bounds=(0.0, distance), method="bounded",
                                     options={"xatol": 1e-9})  # fmt: skip
    sharp = optimize.brentq(slope_of_time, found.x - 1e-3, found.x + 1e-3, xtol=1e-12)
    row = water.refraction(eye, distance, depth)[0]
    assert row[water.SIGHT_STATUS] == water.SEEN
    # A search for a flat minimum finds it to the root of the rounding only.
    assert row[water.CROSSING] == pytest.approx(found.x, abs=5e-6)
    assert row[water.CROSSING] == pytest.approx(sharp, abs=1e-8)


@pytest.mark.parametrize(("eye", "distance", "depth"), PLACES)
def test_the_sines_at_the_crossing_keep_the_ratio_of_the_index(
    eye: float, distance: float, depth: float
) -> None:
    row = water.refraction(eye, distance, depth)[0]
    x = row[water.CROSSING]
    above = x / math.hypot(x, eye)
    below = (distance - x) / math.hypot(distance - x, depth)
    assert above == pytest.approx(1.333 * below, rel=1e-11)
    assert row[water.SIGHT_DIP] == pytest.approx(math.atan2(eye, x), rel=round_off)
    assert row[water.TRUE_DIP] == pytest.approx(math.atan2(eye + depth, distance), rel=round_off)
    # The seen fish stands on the line of sight, at the fish's own distance.
    seen = (distance - x) * eye / x
    assert row[water.SEEN_DEPTH] == pytest.approx(seen, rel=1e-9)
    assert row[water.LIFT] == pytest.approx(row[water.TRUE_DIP] - row[water.SIGHT_DIP], abs=1e-15)


def test_straight_down_the_depth_seems_less_by_the_index() -> None:
    row = water.refraction(1.5, 0.0, 0.6)[0]
    assert row[water.CROSSING] == 0.0
    assert row[water.SIGHT_DIP] == pytest.approx(math.pi / 2.0, rel=round_off)
    assert row[water.LIFT] == 0.0
    assert row[water.SEEN_DEPTH] == pytest.approx(0.6 / 1.333, rel=round_off)
    near = water.refraction(1.5, 1e-6, 0.6)[0]
    assert near[water.SEEN_DEPTH] == pytest.approx(0.6 / 1.333, rel=1e-9)


@pytest.mark.parametrize(
    ("slant", "share"), [(15.0, 0.739), (30.0, 0.701), (45.0, 0.626), (60.0, 0.493)]
)
def test_seen_depths_match_the_tabled_shares(slant: float, share: float) -> None:
    """facts/handbook 6.2, derived there from Snell: tangent in water over tangent in air."""
    tangent = math.tan(math.radians(slant))
    water_tangent = math.tan(math.asin(math.sin(math.radians(slant)) / 1.333))
    row = water.refraction(2.0, 2.0 * tangent + 0.5 * water_tangent, 0.5)[0]
    assert row[water.SEEN_DEPTH] / 0.5 == pytest.approx(share, rel=stated_to_three_figures)
    assert row[water.SIGHT_DIP] == pytest.approx(math.radians(90.0 - slant), abs=1e-12)


def test_without_refraction_or_depth_the_fish_is_where_it_seems() -> None:
    alike = water.refraction(1.7, 6.0, 0.5, 1.0)[0]
    assert alike[water.LIFT] == pytest.approx(0.0, abs=1e-15)
    assert alike[water.SEEN_DEPTH] == pytest.approx(0.5, rel=round_off)
    floating = water.refraction(1.7, 6.0, 0.0)[0]
    assert floating[water.CROSSING] == pytest.approx(6.0, rel=round_off)
    assert floating[water.SEEN_DEPTH] == 0.0


def test_the_fish_seems_higher_the_deeper_and_the_farther_it_is() -> None:
    deep = water.refraction(1.7, 6.0, np.linspace(0.05, 2.0, 40))
    assert np.all(np.diff(deep[:, water.LIFT]) > 0.0)
    far = water.aim_below(1.7, 1.5, np.linspace(0.0, 30.0, 60), 0.5)
    assert np.all(np.diff(far[:, water.BELOW]) > 0.0)
    assert np.all(far[:, water.BELOW] < 0.5)
    denser = water.aim_below(1.7, 1.5, 6.0, 0.5, np.linspace(1.0, 1.5, 20))
    assert np.all(np.diff(denser[:, water.BELOW]) > 0.0)


@pytest.mark.parametrize(("eye", "distance", "depth"), [*PLACES, (1.7, 0.0, 0.4)])
def test_the_true_depth_is_found_back_from_the_seen_one(
    eye: float, distance: float, depth: float
) -> None:
    seen = water.refraction(eye, distance, depth)[0, water.SEEN_DEPTH]
    back = water.true_depth(eye, distance, seen)[0]
    assert back == pytest.approx(depth, rel=1e-10)
    assert np.isnan(water.true_depth(-eye, distance, seen)[0])


@pytest.mark.parametrize(("out_ft", "down_ft", "below_in"), [(20.0, 1.0, 8.0), (10.0, 3.0, 16.0)])
def test_aiming_below_agrees_with_the_worked_cases(
    out_ft: float, down_ft: float, below_in: float
) -> None:
    """users 1.8, eye 5.5 ft: "about 8 in" and 16 in; true depth, on the upright through it."""
    row = water.aim_below(5.5 * FOOT, 5.0 * FOOT, out_ft * FOOT, down_ft * FOOT)[0]
    assert row[water.BELOW] / INCH == pytest.approx(below_in, abs=0.5)


def test_an_arrow_pointed_so_passes_through_the_true_fish() -> None:
    eye, bow, distance, depth = 1.7, 1.4, 6.0, 0.5
    row = water.aim_below(eye, bow, distance, depth)[0]
    reach = distance * math.tan(row[water.ARROW_DIP])
    assert bow - reach == pytest.approx(-depth, abs=1e-12)
    seen = water.refraction(eye, distance, depth)[0]
    assert seen[water.SEEN_DEPTH] + row[water.BELOW] == pytest.approx(depth, rel=round_off)
    # Turned up by the angle told, the arrow points at the seen fish.
    up = distance * math.tan(row[water.ARROW_DIP] - row[water.AIM_ANGLE])
    assert bow - up == pytest.approx(-seen[water.SEEN_DEPTH], abs=1e-12)
    meets = bow / math.tan(row[water.ARROW_DIP])
    assert seen[water.CROSSING] - meets == pytest.approx(row[water.SHORT], abs=1e-12)


def test_the_height_of_the_bow_moves_the_angle_but_not_the_place_to_point_at() -> None:
    rows = water.aim_below(1.7, np.array([1.0, 1.4, 1.7]), 6.0, 0.5)
    assert np.ptp(rows[:, water.BELOW]) == 0.0
    assert np.all(np.diff(rows[:, water.ARROW_DIP]) > 0.0)
    assert np.all(np.diff(rows[:, water.AIM_ANGLE]) < 0.0)
    # From the eye's own height the angle is the one by which the fish is lifted.
    assert rows[2, water.AIM_ANGLE] == pytest.approx(
        water.refraction(1.7, 6.0, 0.5)[0, water.LIFT], abs=1e-14
    )


@pytest.mark.parametrize(
    ("eye", "distance", "depth", "index"),
    [
        (0.0, 6.0, 0.5, 1.333),
        (-1.0, 6.0, 0.5, 1.333),
        (1.7, -1.0, 0.5, 1.333),
        (1.7, 6.0, -0.1, 1.333),
        (1.7, 6.0, 0.5, 0.9),
        (math.nan, 6.0, 0.5, 1.333),
        (1.7, math.inf, 0.5, 1.333),
    ],
)
def test_a_sight_that_cannot_be_is_refused(
    eye: float, distance: float, depth: float, index: float
) -> None:
    both = water.refraction([eye, 1.7], [distance, 6.0], [depth, 0.5], [index, 1.333])
    assert both[:, water.SIGHT_STATUS].tolist() == [water.REFUSED, water.SEEN]
    assert np.all(np.isnan(both[0, 1:]))
    assert np.array_equal(both[1], water.refraction(1.7, 6.0, 0.5)[0])
    aim = water.aim_below(eye, 1.5, distance, depth, index)[0]
    assert aim[water.AIM_STATUS] == water.REFUSED
    assert np.all(np.isnan(aim[1:]))


def test_an_arrow_without_height_over_the_water_is_refused() -> None:
    aim = water.aim_below(1.7, np.array([0.0, math.nan, -1.0]), 6.0, 0.5)
    assert np.all(aim[:, water.AIM_STATUS] == water.REFUSED)
    assert np.all(np.isnan(aim[:, 1:]))
