"""From trade units to SI and back: every field in its column, with its factor, in its hand.

The factors are written out here again, so that a changed constant shows.
"""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

import made_up_records
from loosewell.chance.priors import Uncertain
from loosewell.errors import ContradictionRefusal, EngineRefusal, MissingRefusal, Refusal
from loosewell.physics import aero, flight, spine
from loosewell.physics import launch as kernel
from loosewell.physics import shaft as shaft_physics
from loosewell.records import (
    Archer,
    Bow,
    DiameterStation,
    DrawReading,
    Fletching,
    Joint,
    Shaft,
    SpeedReading,
)
from loosewell.workshop import bridge
from loosewell.workshop.bench import shaft_spine
from tolerances import exact_factors, one_percent, round_off

IN = 0.0254
GR = 6.479891e-5
LB = 4.4482216152605
FPS = 0.3048

Array = NDArray[np.float64]


def bow(**changes: Any) -> Bow:
    """Every field known, and no two numbers alike."""
    usual: dict[str, Any] = {
        "name": "Alder",
        "make": "plain wooden",
        "length_in": 67.0,
        "brace_height_in": 6.4,
        "draw_measured": "true",
        "draw_readings": (
            DrawReading(draw_in=15.0, weight_lb=19.0, weight_error_lb=0.6),
            DrawReading(draw_in=21.0, weight_lb=33.0, weight_error_lb=0.6),
            DrawReading(draw_in=26.5, weight_lb=47.0, weight_error_lb=0.6),
        ),
        "plate_offset_in": 0.37,
        "plate_offset_error_in": 0.043,
        "plate_material": "bare wood",
        "shelf_material": "felt",
        "nocking_height_in": 0.46,
        "string_material": "linen",
        "string_mass_gr": 187.0,
        "hand": "either",
    }
    return Bow(**(usual | changes))


def archer(**changes: Any) -> Archer:
    usual: dict[str, Any] = {
        "name": "Fern",
        "draw_length_in": 25.3,
        "draw_measured": "true",
        "draw_method": "marked arrow",
        "draw_error_in": 0.31,
        "hand": "right",
        "hook": "split finger",
        "loose": "steady",
    }
    return Archer(**(usual | changes))


def shaft(**changes: Any) -> Shaft:
    usual: dict[str, Any] = {
        "name": "Q7",
        "kind": "solid",
        "length_in": 31.7,
        "stations": (DiameterStation(station_in=15.0, diameter_in=0.351, across_in=0.347),),
        "weight_gr": 366.0,
        "weight_error_gr": 2.2,
    }
    return Shaft(**(usual | changes))


FEATHERS = Fletching(
    material="feather", length_in=4.6, height_in=0.52, count=4, angle_deg=3.0, rear_in=1.2
)
LENGTH_IN = 28.4


def known(inputs: tuple[Uncertain, ...], key: str) -> Uncertain:
    return next(one for one in inputs if one.key == key)


def noted(model: bridge.BowModel | bridge.LooseModel, key: str) -> bridge.Assumed:
    return next(one for one in model.notes if one.key == key)


def middles(bow_model: bridge.BowModel, loose: bridge.LooseModel, n: int) -> dict[str, Array]:
    inputs = [*bow_model.inputs, *loose.inputs]
    return {one.key: np.full(n, one.middle) for one in inputs}


def arrow(one: Shaft | None = None, stiffness: float = 3.0, **parts: Any) -> bridge.ArrowModel:
    profile = bridge.shaft_profile(one or shaft(), stiffness, 0.0)
    usual: dict[str, Any] = {
        "point_weight_gr": 133.0,
        "fletching": FEATHERS,
        "point_kind": "bullet",
        "nock_kind": "plastic",
        "nock_weight_gr": 11.0,
    }
    return bridge.arrow_model(profile, LENGTH_IN * IN, bridge.parts(**(usual | parts)))


class Seen:
    """What the launch and the flight were called with."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        launch, fly = kernel.launch_batch, flight.fly_batch

        def seen_launch(row: Array, *rest: Any) -> Any:
            self.row, self.rest = row.copy(), rest
            return launch(row, *rest)

        def seen_fly(state: Array, arrows: Array, *rest: Any) -> Any:
            self.state, self.flying, self.distance = state.copy(), arrows.copy(), rest[1]
            return fly(state, arrows, *rest)

        monkeypatch.setattr(kernel, "launch_batch", seen_launch)
        monkeypatch.setattr(flight, "fly_batch", seen_fly)


@pytest.fixture
def seen(monkeypatch: pytest.MonkeyPatch) -> Seen:
    return Seen(monkeypatch)


def shoot(
    one_bow: Bow,
    one_archer: Archer,
    model: bridge.ArrowModel | None = None,
    hand: str | None = None,
    distance: float = 18.0,
    frame_every: int = 0,
    **values: Array,
) -> bridge.Shots:
    """One shot by the middle of everything."""
    loose = bridge.loose_model(one_archer)
    draw_in = known(loose.inputs, "draw").middle / IN
    model_bow = bridge.bow_model(one_bow, draw_in, 1.0)
    return bridge.shoot(
        model_bow,
        [model or arrow()],
        np.zeros(1, dtype=np.int64),
        middles(model_bow, loose, 1) | values,
        hand or one_archer.hand,
        distance,
        frame_every=frame_every,
    )


# --------------------------------------------------------------------- columns and factors


def test_every_known_field_of_bow_and_archer_lands_in_its_column(seen: Seen) -> None:
    shoot(bow(), archer())
    row = seen.row[0]
    string_third = 187.0 * GR / 3.0
    plate = bridge.PLATE_STIFFNESS["bare wood"]
    # Prior virtual mass holds for a string of 150 gr; this one is heavier.
    virtual = noted(bridge.bow_model(bow(), 25.3), "virtual_mass")
    expected = {
        kernel.DRAW: 25.3 * IN,
        kernel.BRACE: 6.4 * IN,
        kernel.FORCE_SCALE: 1.0,
        kernel.FORCE_BULGE: 0.0,
        kernel.STRING_THIRD: bridge.NOCK_SERVING,
        kernel.PLATE_OFFSET: 0.37 * IN,
        kernel.PLATE_STIFFNESS: plate,
        kernel.PLATE_DAMPING: plate * bridge.PLATE_RELAXATION,
        kernel.SHELF_STIFFNESS: plate,
        kernel.SHELF_DAMPING: plate * bridge.PLATE_RELAXATION,
        kernel.LOOSE_PUSH: bridge.LOOSE_PUSH["steady"][0],
        kernel.LOOSE_TRAVEL: known(bridge.loose_model(archer()).inputs, "loose_travel").middle,
        kernel.STIFFNESS_SCALE: 1.0,
        kernel.MASS_SCALE: 1.0,
        kernel.FLETCHING_REACH_Y: 0.71 * 0.52 * IN,
        kernel.FLETCHING_REACH_Z: 0.71 * 0.52 * IN,
        kernel.FLETCHING_STIFFNESS: 250.0,
    }
    for column, value in expected.items():
        assert row[column] == pytest.approx(value, rel=round_off, abs=1e-300), column
    assert f"{row[kernel.VIRTUAL_MASS] * 1e3:.1f} g" in virtual.value
    prior = known(bridge.bow_model(bow(), 25.3).inputs, "virtual_mass").middle
    assert row[kernel.VIRTUAL_MASS] == pytest.approx(prior + string_third - 150.0 * GR / 3.0)
    assert seen.distance == 18.0


def test_every_field_of_shaft_and_arrow_lands_in_its_column(seen: Seen) -> None:
    model = arrow()
    shoot(bow(), archer(), model)
    number = seen.rest[3][0]
    shaft_mass = 366.0 * GR * LENGTH_IN / 31.7
    fletching_mass = (4 * 4.6 * 0.5 + 5.0) * GR
    parts_mass = (133.0 + 11.0) * GR + fletching_mass
    point_length = 0.9 * IN * (133.0 / 125.0) ** (1.0 / 3.0)
    moment = 133.0 * GR * (LENGTH_IN * IN + 0.35 * point_length) + fletching_mass * 3.5 * IN
    expected = {
        kernel.LENGTH: 28.4 * IN,
        kernel.SHAFT_MASS: shaft_mass,
        kernel.PART_MASS: parts_mass,
        kernel.CENTRE_SHAFT: 14.2 * IN,
        kernel.CENTRE_PART: moment / parts_mass,
        kernel.FLETCHING_REAR: 1.2 * IN,
        kernel.FLETCHING_FRONT: 5.8 * IN,
    }
    for column, value in expected.items():
        assert number[column] == pytest.approx(value, rel=round_off), column
    radius = seen.rest[4][0]
    assert radius == pytest.approx(np.full_like(radius, 0.5 * 0.349 * IN), rel=round_off)
    flying = seen.flying[0]
    in_flight = {
        aero.MASS: shaft_mass + parts_mass,
        aero.BALANCE: (shaft_mass * 14.2 * IN + moment) / (shaft_mass + parts_mass),
        aero.TIP: LENGTH_IN * IN + point_length,
        aero.DIAMETER: 0.349 * IN,
        aero.POINT_DRAG: aero.POINT_DRAG_COEFFICIENTS["bullet"],
        aero.COUNT: 4.0,
        aero.CHORD: 4.6 * IN,
        aero.HEIGHT: 0.52 * IN,
        aero.AREA: 0.67 * 4.6 * 0.52 * IN**2,
        aero.FLETCH_CENTRE: 3.5 * IN,
        aero.ROUGHNESS: aero.FEATHER_ROUGHNESS,
        aero.ANGLE: math.radians(3.0),
    }
    for column, value in in_flight.items():
        assert flying[column] == pytest.approx(value, rel=round_off), column
    # The wood's own damping and what the feathers add on the way.
    assert 1.0 < flying[aero.BEND_DAMPING] / bridge.DAMPING["solid"] < 3.0


def test_the_launch_hands_its_end_to_the_flight_and_nothing_is_swapped(seen: Seen) -> None:
    shots = shoot(bow(), archer())
    assert shots.status[0] == 0
    out, state = shots.launch[0], seen.state[0]
    pairs = {
        flight.SPEED: kernel.SPEED,
        flight.SIDE_SPEED: kernel.Y_VELOCITY,
        flight.RISE_SPEED: kernel.Z_VELOCITY,
        flight.YAW: kernel.YAW,
        flight.YAW_RATE: kernel.YAW_RATE,
        flight.PITCH: kernel.PITCH,
        flight.PITCH_RATE: kernel.PITCH_RATE,
    }
    values = [out[source] for source in pairs.values()]
    assert len(set(values)) == len(values)
    for column, source in pairs.items():
        assert state[column] == out[source]


def test_the_speed_is_what_energy_and_moving_mass_give() -> None:
    """The whole chain in one number: pounds, inches and grains in, feet per second out.

    Bound: all stored work in the arrow and its virtual mass, none in the limbs. Draw curve
    read off by hand: trapezoids between the readings, a little under what a smooth curve
    through them holds.
    """
    model = arrow()
    out = shoot(bow(), archer(), model).launch[0]
    at_draw = 33.0 + (47.0 - 33.0) * (25.3 - 21.0) / (26.5 - 21.0)
    inch_pounds = (
        0.5 * 19.0 * (15.0 - 6.4) + 0.5 * (19.0 + 33.0) * 6.0 + 0.5 * (33.0 + at_draw) * 4.3
    )
    energy = inch_pounds * LB * IN
    moving = model.mass + known(bridge.bow_model(bow(), 25.3).inputs, "virtual_mass").middle
    moving += (187.0 - 150.0) * GR / 3.0
    fastest = math.sqrt(2.0 * energy / moving)
    assert 0.93 * fastest < out[kernel.SPEED] < 1.02 * fastest


# --------------------------------------------------------------------------------- draws


def test_true_and_standard_draw_are_an_inch_and_three_quarters_apart() -> None:
    assert bridge.true_draw_in(28.0, "true") == 28.0
    assert bridge.true_draw_in(28.0, "standard") == 26.25
    with pytest.raises(MissingRefusal, match=r"28 in was given without saying.*standard"):
        bridge.true_draw_in(28.0, None)


def test_the_same_bow_and_archer_told_in_standard_draw_are_the_same_to_the_engine() -> None:
    readings = tuple(
        DrawReading(draw_in=one.draw_in + 1.75, weight_lb=one.weight_lb, weight_error_lb=0.6)
        for one in bow().draw_readings
    )
    standard = bow(
        draw_measured="standard",
        draw_readings=readings,
        speed_readings=(SpeedReading(arrow_weight_gr=480.0, speed_fps=145.0, draw_in=27.75),),
    )
    true = bow(speed_readings=(SpeedReading(arrow_weight_gr=480.0, speed_fps=145.0, draw_in=26.0),))
    one, other = bridge.bow_model(true, 25.3), bridge.bow_model(standard, 25.3)
    assert one.force == pytest.approx(other.force, rel=round_off)
    assert known(one.inputs, "virtual_mass").middle == pytest.approx(
        known(other.inputs, "virtual_mass").middle, rel=round_off
    )
    standard_archer = archer(draw_length_in=27.05, draw_measured="standard")
    assert known(bridge.loose_model(standard_archer).inputs, "draw").middle == pytest.approx(
        25.3 * IN, rel=round_off
    )


def test_draw_weight_passes_through_every_reading_and_starts_at_brace() -> None:
    model = bridge.bow_model(bow(), 25.3, 1.0)
    for one in bow().draw_readings:
        assert model.weight_at(one.draw_in) == pytest.approx(one.weight_lb, rel=1e-3)
    assert model.force[0] == 0.0
    assert model.brace == pytest.approx(6.4 * IN, rel=exact_factors)
    assert model.last_reading == pytest.approx(26.5 * IN, rel=exact_factors)
    assert model.top == pytest.approx(26.5 * IN, rel=exact_factors)
    assert np.all(np.diff(model.force) >= 0.0)


def test_beyond_the_last_reading_the_weight_goes_straight_on_and_grows_less_sure() -> None:
    model = bridge.bow_model(bow(), 28.0, 0.5)
    assert model.top == pytest.approx(28.5 * IN, rel=exact_factors)
    steps = [model.weight_at(draw) for draw in (26.75, 27.25, 27.75, 28.25)]
    # The last two readings rise 2.5 lb an inch.
    assert np.diff(steps) == pytest.approx(np.full(3, 1.25), rel=0.1)
    before = known(bridge.bow_model(bow(), 26.5).inputs, "force_scale").spread
    # 1.5 in beyond at 0.8 lb an inch is 1.2 lb, against about 0.7 lb of the scale itself.
    assert known(model.inputs, "force_scale").spread > 1.8 * before


@pytest.mark.parametrize("make", list(bridge.ENERGY_RATIO))
def test_one_reading_takes_the_usual_shape_of_its_make_and_says_so(make: str) -> None:
    single = bow(make=make, draw_readings=(DrawReading(draw_in=26.5, weight_lb=47.0),))
    model = bridge.bow_model(single, 26.5)
    assert model.single_reading
    stored = float(np.trapezoid(model.force, np.linspace(6.4 * IN, 26.5 * IN, len(model.force))))
    ratio = stored / (47.0 * LB * 20.1 * IN)
    assert ratio == pytest.approx(bridge.ENERGY_RATIO[make][0], rel=1e-3)
    shape = noted(model, "force_bulge")
    assert shape.assumed
    assert "of weight times stroke" in shape.value
    assert float(shape.value.split()[1]) == pytest.approx(ratio, abs=0.0051)
    assert known(model.inputs, "force_bulge").spread > 0.0


def test_many_readings_leave_no_assumed_shape_and_a_surer_weight() -> None:
    model = bridge.bow_model(bow(), 26.5)
    assert not model.single_reading
    assert "force_bulge" not in {one.key for one in model.inputs}
    single = bow(draw_readings=bow().draw_readings[-1:])
    assert (
        known(model.inputs, "force_scale").spread
        < known(bridge.bow_model(single, 26.5).inputs, "force_scale").spread
    )


def test_the_error_of_the_scale_does_not_shrink_with_the_number_of_readings() -> None:
    """Five readings with one scale: its error stays, half of it again shrinks by the root of 5."""
    many = tuple(
        DrawReading(draw_in=draw, weight_lb=weight, weight_error_lb=1.0)
        for draw, weight in ((16.0, 24.0), (20.0, 34.0), (23.0, 41.0), (25.0, 46.0), (26.5, 50.0))
    )
    spread = known(bridge.bow_model(bow(draw_readings=many), 26.5).inputs, "force_scale").spread
    assert spread * 50.0 == pytest.approx(math.hypot(1.0, 0.5 / math.sqrt(5.0)), rel=1e-6)


def test_an_error_of_length_reads_as_a_ruler_shows_it() -> None:
    assert [bridge.inches(one) for one in (1 / 16, 1 / 32, 0.12, 0.5)] == [
        "1/16", "1/32", "0.12", "0.5",
    ]  # fmt: skip
    assert noted(bridge.bow_model(bow(), 25.3), "brace").error == "±1/16 in"


def test_two_readings_at_one_draw_are_averaged_by_their_errors_not_chosen_from() -> None:
    rough = DrawReading(draw_in=26.5, weight_lb=50.0, weight_error_lb=2.0)
    fine = DrawReading(draw_in=26.5, weight_lb=47.0, weight_error_lb=1.0)
    model = bridge.bow_model(bow(draw_readings=(rough, fine)), 26.5)
    assert model.single_reading
    assert model.weight_at(26.5) == pytest.approx((47.0 + 50.0 / 4.0) / 1.25, rel=round_off)


def test_two_readings_a_tape_cannot_tell_apart_make_no_cliff() -> None:
    readings = (
        *bow().draw_readings,
        DrawReading(draw_in=26.56, weight_lb=48.0, weight_error_lb=0.6),
    )
    model = bridge.bow_model(bow(draw_readings=readings), 28.0, 0.0)
    assert model.weight_at(28.0) < 53.0


# ------------------------------------------------------------------------ what was measured


def test_the_error_of_each_input_is_the_one_recorded() -> None:
    model = bridge.bow_model(bow(), 25.3)
    assert known(model.inputs, "plate_offset").spread == pytest.approx(0.043 * IN)
    assert known(model.inputs, "string_mass").spread == pytest.approx(2.0 * GR)
    assert known(model.inputs, "brace").spread == pytest.approx(IN / 16.0)
    loose = bridge.loose_model(archer())
    assert known(loose.inputs, "draw").spread == pytest.approx(0.31 * IN)


@pytest.mark.parametrize("speed_fps", [136.0, 143.0, 156.0])
def test_a_speed_reading_moves_the_launch_toward_it(speed_fps: float) -> None:
    """The launch of that very arrow at that very draw comes nearer to what was read."""
    model = arrow()
    reading = SpeedReading(arrow_weight_gr=model.mass / GR, speed_fps=speed_fps, draw_in=25.3)
    before = shoot(bow(), archer(), model).launch[0, kernel.SPEED] / FPS
    after = shoot(bow(speed_readings=(reading,)), archer(), model).launch[0, kernel.SPEED] / FPS
    assert abs(before - speed_fps) > 1.0
    assert abs(after - speed_fps) < abs(before - speed_fps)
    assert (after - before) * (speed_fps - before) > 0.0


def test_a_speed_reading_makes_the_virtual_mass_measured_and_surer() -> None:
    reading = SpeedReading(arrow_weight_gr=480.0, speed_fps=146.0, draw_in=25.3)
    before = bridge.bow_model(bow(), 25.3)
    after = bridge.bow_model(bow(speed_readings=(reading,)), 25.3)
    twice = bridge.bow_model(bow(speed_readings=(reading, reading)), 25.3)
    assert noted(before, "virtual_mass").assumed
    assert not noted(after, "virtual_mass").assumed
    spreads = [known(one.inputs, "virtual_mass").spread for one in (before, after, twice)]
    assert spreads[0] > spreads[1] > spreads[2]


def test_a_string_heavier_than_usual_is_not_counted_twice_in_a_measured_virtual_mass() -> None:
    """A measured speed already contains the string that was on the bow."""
    many = tuple(
        SpeedReading(arrow_weight_gr=480.0, speed_fps=146.0, draw_in=25.3) for _ in range(400)
    )
    totals = []
    for string_gr in (100.0, 400.0):
        model = bridge.bow_model(bow(string_mass_gr=string_gr, speed_readings=many), 25.3)
        own = known(model.inputs, "virtual_mass").middle
        totals.append(own + (string_gr - 150.0) * GR / 3.0)
    assert totals[0] == pytest.approx(totals[1], rel=0.02)


def test_a_speed_read_beyond_the_archers_draw_counts_too() -> None:
    reading = SpeedReading(arrow_weight_gr=480.0, speed_fps=150.0, draw_in=27.5)
    model = bridge.bow_model(bow(speed_readings=(reading,)), 25.3)
    assert not noted(model, "virtual_mass").assumed


def test_a_speed_that_no_draw_weight_can_give_is_refused_with_both_speeds() -> None:
    """Bound worked by hand: 480 gr with all of the stored work and nothing lost."""
    reading = SpeedReading(arrow_weight_gr=480.0, speed_fps=320.0, draw_in=25.3)
    with pytest.raises(ContradictionRefusal, match=r"320 fps .* 480 gr.*17\d fps at most"):
        bridge.bow_model(bow(speed_readings=(reading,)), 25.3)


# --------------------------------------------------------------------------- unknown values


def test_what_is_not_recorded_is_assumed_by_make_listed_and_less_sure() -> None:
    known_bow = bridge.bow_model(bow(), 25.3)
    for make in bridge.BRACE_IN:
        bare = Bow(
            name="Alder",
            make=make,
            draw_measured="true",
            draw_readings=bow().draw_readings,
            hand="right",
        )
        model = bridge.bow_model(bare, 25.3)
        assumed = {one.key for one in model.notes if one.assumed}
        assert {
            "brace", "string_mass", "plate_offset", "virtual_mass", "bow_length", "nock_path",
        } <= assumed  # fmt: skip
        assert known(model.inputs, "brace").middle == pytest.approx(bridge.BRACE_IN[make] * IN)
        assert known(model.inputs, "plate_offset").middle == pytest.approx(
            bridge.PLATE_OFFSET_IN[make] * IN
        )
        assert f"{bridge.PLATE_OFFSET_IN[make]:+.2f} in" in noted(model, "plate_offset").value
        assert f"{bridge.BOW_LENGTH_IN[make]:g} in" in noted(model, "bow_length").value
        for key in ("brace", "plate_offset", "string_mass"):
            assert known(model.inputs, key).spread > known(known_bow.inputs, key).spread
    assert not {one.key for one in known_bow.notes if one.assumed} & {
        "brace",
        "string_mass",
        "plate_offset",
        "force_scale",
        "nock_path",
        "bow_length",
    }


@pytest.mark.parametrize("material", ["polyester", "low-stretch", "linen", "sinew"])
def test_an_unweighed_string_takes_the_usual_mass_of_its_material(material: str) -> None:
    model = bridge.bow_model(bow(string_mass_gr=None, string_material=material), 25.3)
    expected = bridge.STRING_MASS_GR[material] * GR
    assert known(model.inputs, "string_mass").middle == pytest.approx(expected)
    assert noted(model, "string_mass").assumed


def test_a_measured_zero_is_a_measurement() -> None:
    model = bridge.bow_model(bow(plate_offset_in=0.0, nocking_height_in=0.0), 25.3)
    assert known(model.inputs, "plate_offset").middle == 0.0
    assert not noted(model, "plate_offset").assumed
    assert not noted(model, "nock_path").assumed
    assert bridge.parts(125.0, Fletching(material="feather", rear_in=0.0)).rear == 0.0


@pytest.mark.parametrize(
    ("method", "error_in"),
    [("marked arrow", 0.25), ("arm span", 1.2), ("told", 0.75), (None, 0.5)],
)
def test_a_draw_is_as_sure_as_its_method(method: str | None, error_in: float) -> None:
    """Errors by method: common practice, no source."""
    model = bridge.loose_model(archer(draw_method=method, draw_error_in=None))
    assert known(model.inputs, "draw").spread == pytest.approx(error_in * IN)
    assert noted(model, "draw").assumed is (method != "marked arrow")
    child = bridge.loose_model(archer(draw_method=method, draw_error_in=None, child=True))
    assert known(child.inputs, "draw").spread >= 0.6 * IN - 1e-12


def test_an_unsteady_loose_scatters_more_and_an_unknown_one_lies_between() -> None:
    scatter = {}
    for loose in ("steady", "unsteady", None):
        model = bridge.loose_model(archer(loose=loose))
        scatter[loose] = known(model.shots, "push_scatter").spread
        assert noted(model, "loose_push").assumed
    assert scatter["steady"] < scatter[None] < scatter["unsteady"]


@pytest.mark.parametrize(
    ("hand", "hook", "side"),
    [
        ("right", "split finger", "to the left"),
        ("left", "split finger", "to the right"),
        ("right", "thumb", "to the right"),
        ("left", "thumb", "to the left"),
    ],
)
def test_fingers_push_away_from_the_face_and_a_thumb_the_other_way(
    hand: str, hook: str, side: str
) -> None:
    model = bridge.loose_model(archer(hand=hand, hook=hook))
    assert side in noted(model, "loose_push").value
    push = known(model.inputs, "loose_push").middle
    assert (push > 0.0) is (hook != "thumb")


def test_nothing_to_go_on_is_refused_with_what_to_do() -> None:
    with pytest.raises(MissingRefusal, match=r"Alder has no draw weight.*--draw-weight"):
        bridge.bow_model(bow(draw_readings=()), 25.3)
    with pytest.raises(MissingRefusal, match=r"draw length of Fern is not recorded.*marked arrow"):
        bridge.loose_model(archer(draw_length_in=None, draw_error_in=None))
    with pytest.raises(MissingRefusal, match=r"length of shaft Q7 is not recorded.*Measure"):
        bridge.shaft_profile(shaft(length_in=None), 3.0, 0.0)


@pytest.mark.parametrize(
    ("one_bow", "draw_in", "words"),
    [
        (bow(brace_height_in=None, draw_readings=(DrawReading(draw_in=6.5, weight_lb=9.0),)),
         25.3, r"reading at 6.5 in .* brace height of 6.25 in, assumed for its make"),
        (bow(), 8.0, r"true draw of 8.0 in .* Alder, 6.4 in"),
        (bow(length_in=30.0), 25.3, r"bow 30 in long .* cannot be drawn to 26.5 in"),
    ],
)  # fmt: skip
def test_a_geometry_that_cannot_be_is_refused_with_its_numbers(
    one_bow: Bow, draw_in: float, words: str
) -> None:
    with pytest.raises(EngineRefusal, match=words):
        bridge.bow_model(one_bow, draw_in)


# ---------------------------------------------------------------------------- the shaft


TAPERED = (
    DiameterStation(station_in=0.0, diameter_in=0.36),
    DiameterStation(station_in=10.0, diameter_in=0.35, across_in=0.34),
    DiameterStation(station_in=22.0, diameter_in=0.33),
    DiameterStation(station_in=31.7, diameter_in=0.30),
)


@pytest.mark.parametrize("stations", [(), TAPERED[1:2], TAPERED, TAPERED[::3]])
def test_a_shaft_reads_and_weighs_what_was_read_and_weighed(
    stations: tuple[DiameterStation, ...],
) -> None:
    """Hung on the bench again with 2 lb over 26 in it sinks as its bench stiffness says."""
    profile = bridge.shaft_profile(shaft(stations=stations), 3.1, 0.04)
    middle = 0.5 * (profile.edge[:-1] + profile.edge[1:])
    load, span = 2.0 * LB, 26.0 * IN
    sinks = shaft_physics.midspan_deflection_varying(load, span, middle, profile.bending_stiffness)
    assert sinks == pytest.approx(load * span**3 / (48.0 * 3.1), rel=round_off)
    weighs = float(np.sum(profile.mass_per_length * np.diff(profile.edge))) / GR
    assert weighs == pytest.approx(366.0, rel=round_off)
    assert profile.length == pytest.approx(31.7 * IN, rel=exact_factors)
    assert profile.stiffness_error == 0.04
    assert profile.mass_error == pytest.approx(2.2 / 366.0)


def test_a_taper_makes_the_thick_end_stiffer_by_the_fourth_power() -> None:
    profile = bridge.shaft_profile(shaft(stations=TAPERED[::3]), 3.1, 0.0)
    stiff, heavy = profile.bending_stiffness, profile.mass_per_length
    assert np.all(np.diff(stiff) < 0.0)
    # Ends of the outermost pieces, from 0.36 in to 0.30 in over 32 pieces.
    rear, front = 0.36 - 0.03 / 32.0, 0.30 + 0.03 / 32.0
    assert stiff[0] / stiff[-1] == pytest.approx((rear / front) ** 4, rel=1e-4)
    assert heavy[0] / heavy[-1] == pytest.approx((rear / front) ** 2, rel=1e-4)
    assert 2.0 * profile.radius[0] == pytest.approx(0.36 * IN)
    assert 2.0 * profile.radius[-1] == pytest.approx(0.30 * IN)


def test_a_tubes_wall_counts_in_mass_and_stiffness() -> None:
    """A tapered tube of one wall is relatively lighter at its thick end than a solid rod."""
    tube = shaft(kind="tube", wall_in=0.03, stations=TAPERED[::3])
    heavy = bridge.shaft_profile(tube, 3.1, 0.0).mass_per_length
    rear, front = 0.36 - 0.03 / 32.0, 0.30 + 0.03 / 32.0
    expected = (rear - 0.03) / (front - 0.03)  # area of a ring: pi wall (diameter - wall)
    assert heavy[0] / heavy[-1] == pytest.approx(expected, rel=1e-3)


def test_an_unweighed_shaft_takes_mean_arrow_wood_and_is_unsure() -> None:
    profile = bridge.shaft_profile(shaft(weight_gr=None, weight_error_gr=None), 3.1, 0.0)
    volume = 0.25 * math.pi * (0.349 * IN) ** 2 * 31.7 * IN
    mass = float(np.sum(profile.mass_per_length * np.diff(profile.edge)))
    assert mass == pytest.approx(480.0 * volume, rel=round_off)
    assert profile.mass_error > 0.1


def test_cutting_from_the_front_leaves_the_rest_as_it_was() -> None:
    profile = bridge.shaft_profile(shaft(stations=TAPERED), 3.1, 0.0)
    whole = profile.cut(profile.length, 32)
    assert whole[0] == pytest.approx(profile.bending_stiffness, rel=round_off)
    assert whole[1] == pytest.approx(profile.mass_per_length, rel=round_off)
    shorter = profile.length * 24.0 / 32.0
    stiff, heavy, radius = profile.cut(shorter, 24)
    assert stiff == pytest.approx(profile.bending_stiffness[:24], rel=round_off)
    assert heavy == pytest.approx(profile.mass_per_length[:24], rel=round_off)
    assert radius == pytest.approx(profile.radius[:25], rel=round_off)
    # An uneven cut keeps the mass of what is left.
    _, heavy, _ = profile.cut(27.3 * IN, 16)
    left = np.interp(
        27.3 * IN, profile.edge,
        np.concatenate(([0.0], np.cumsum(profile.mass_per_length * np.diff(profile.edge)))),
    )  # fmt: skip
    assert float(np.sum(heavy)) * 27.3 * IN / 16 == pytest.approx(left, rel=round_off)


def test_an_arrow_longer_than_its_shaft_is_refused() -> None:
    profile = bridge.shaft_profile(shaft(length_in=28.0), 3.1, 0.0)
    with pytest.raises(EngineRefusal, match=r"28.40 in cannot be cut from a shaft of 28.00 in"):
        bridge.arrow_model(profile, LENGTH_IN * IN, bridge.parts(125.0, FEATHERS))


# ------------------------------------------------------------------- point, nock, fletching


def test_point_nock_and_fletching_add_their_masses_where_they_sit() -> None:
    bare = Fletching(material="none")
    plain = arrow(fletching=bare, nock_kind="self", nock_weight_gr=0.5)
    pointed = arrow(point_weight_gr=158.0, fletching=bare, nock_kind="self", nock_weight_gr=0.5)
    nocked = arrow(fletching=bare, nock_weight_gr=20.5)
    feathered = arrow(nock_kind="self", nock_weight_gr=0.5)
    assert pointed.mass - plain.mass == pytest.approx(25.0 * GR)
    assert nocked.mass - plain.mass == pytest.approx(20.0 * GR)
    assert feathered.mass - plain.mass == pytest.approx((4 * 4.6 * 0.5 + 5.0) * GR)
    assert pointed.balance > plain.balance > feathered.balance > nocked.balance
    # Of point masses at the ends a heavier one lowers the first bending mode.
    assert pointed.bend_rate < plain.bend_rate
    assert nocked.bend_rate < plain.bend_rate


def test_balance_is_where_the_whole_arrow_balances() -> None:
    bare = Fletching(material="none")
    model = arrow(fletching=bare)
    shaft_mass = 366.0 * LENGTH_IN / 31.7
    tip = LENGTH_IN + 0.35 * 0.9 * (133.0 / 125.0) ** (1.0 / 3.0)
    expected = (shaft_mass * 0.5 * LENGTH_IN + 133.0 * tip) / (shaft_mass + 133.0 + 11.0)
    assert model.balance / IN == pytest.approx(expected, rel=round_off)


def test_a_bare_shaft_has_no_fletching_anywhere(seen: Seen) -> None:
    model = arrow(fletching=Fletching(material="none"))
    shoot(bow(), archer(), model)
    number, flying = seen.rest[3][0], seen.flying[0]
    assert number[kernel.FLETCHING_REAR] == number[kernel.FLETCHING_FRONT] == 0.0
    assert flying[aero.COUNT] == flying[aero.AREA] == 0.0
    assert seen.row[0, kernel.FLETCHING_REACH_Y] == 0.0


def test_vanes_are_stiffer_smoother_and_heavier_than_feathers(seen: Seen) -> None:
    vanes = FEATHERS.model_copy(update={"material": "vane"})
    shoot(bow(), archer(), arrow(fletching=vanes))
    assert seen.row[0, kernel.FLETCHING_STIFFNESS] > 4.0 * 250.0
    assert seen.flying[0, aero.ROUGHNESS] == aero.VANE_ROUGHNESS
    assert arrow(fletching=vanes).mass > arrow().mass


def test_another_point_is_the_same_arrow_built_with_it() -> None:
    part = bridge.parts(133.0, FEATHERS, "bullet", "plastic", 11.0)
    assert bridge.with_point(part, 158.0) == bridge.parts(
        158.0, FEATHERS, "bullet", "plastic", 11.0
    )


@given(made_up_records.arrows())
def test_every_kind_of_nock_point_and_fletching_has_a_mass(built: Any) -> None:
    fletching = built.fletching or bridge.standard_fletching()
    point_gr = built.point_weight_gr or 125.0
    part = bridge.parts(
        point_gr, fletching, built.point_kind, built.nock_kind, built.nock_weight_gr
    )
    assert part.point_mass == pytest.approx(point_gr * GR)
    assert part.fletching_mass >= 0.0
    assert math.isfinite(part.nock_mass)
    assert part.point_drag in aero.POINT_DRAG_COEFFICIENTS


# ---------------------------------------------------------------------------------- hands


def test_a_left_handed_shot_is_the_exact_mirror_of_a_right_handed_one() -> None:
    right = shoot(bow(), archer(), hand="right")
    left = shoot(bow(), archer(), hand="left")
    assert right.hit_left[0] != 0.0
    assert right.stand_left[0] != 0.0
    assert left.hit_left[0] == -right.hit_left[0]
    assert left.stand_left[0] == -right.stand_left[0]
    assert left.hit_high[0] == right.hit_high[0]
    assert left.stand_high[0] == right.stand_high[0]
    assert left.tail_knock[0] == right.tail_knock[0]


def test_the_nock_stands_to_the_left_when_the_nose_points_right() -> None:
    """And the other way round, told from the axis and the path on arrival."""
    sides = set()
    for stiffness in np.linspace(1.2, 7.0, 15):
        shots = shoot(bow(), archer(), arrow(stiffness=float(stiffness)))
        assert shots.status[0] == 0
        nose_left = shots.flight[0, flight.END_YAW] - shots.flight[0, flight.HIT_Y] / 18.0
        if abs(math.degrees(nose_left)) > 0.5:
            assert shots.stand_left[0] * nose_left < 0.0
            sides.add(nose_left > 0.0)
    assert sides == {True, False}


# -------------------------------------------------------------------------------- statuses


def statuses() -> list[int]:
    own = [
        kernel.NOT_FINITE, kernel.BENT_TOO_FAR, kernel.OFF_THE_PLATE, kernel.BAD_INPUT,
        kernel.OFF_THE_SHELF, kernel.TOO_LONG,
    ]  # fmt: skip
    air = [flight.GROUNDED, flight.REFUSED, flight.TUMBLED, flight.SPENT, flight.WATER]
    return own + [100 + one for one in air]


def test_every_status_of_launch_and_flight_has_a_sentence_of_its_own() -> None:
    assert set(bridge.STATUS_SENTENCES) == set(statuses())
    assert len(set(bridge.STATUS_SENTENCES.values())) == len(statuses())


def test_statuses_come_out_of_real_shots() -> None:
    weak = shoot(bow(), archer(), arrow(stiffness=0.02))
    assert weak.status[0] in (kernel.BENT_TOO_FAR, kernel.OFF_THE_SHELF)
    short = bridge.arrow_model(
        bridge.shaft_profile(shaft(), 3.0, 0.0), 20.0 * IN, bridge.parts(125.0, FEATHERS)
    )
    assert shoot(bow(), archer(), short).status[0] == kernel.OFF_THE_PLATE
    far = shoot(bow(), archer(), distance=3000.0)
    assert far.status[0] > 100
    assert shoot(bow(), archer(), virtual_mass=np.array([-1.0])).status[0] == kernel.BAD_INPUT


def test_spells_of_contact_add_up_to_the_knock_of_the_tail() -> None:
    """Frames at every step: the impulses behind the string are those the launch summed itself."""
    shots = shoot(bow(plate_offset_in=0.6), archer(), arrow(stiffness=1.9), frame_every=1)
    string_left = shots.launch[0, kernel.STRING_LEFT]
    found = bridge.spells(shots.frame[0], float(string_left))
    assert [one.from_ms for one in found] == sorted(one.from_ms for one in found)
    knock = sum(one.impulse_mns for one in found if one.after_string)
    assert shots.tail_knock[0] * 1e3 > 1.0
    # Touches below 0.2 mN·s are left out.
    assert knock == pytest.approx(shots.tail_knock[0] * 1e3, abs=0.4)
    for one in found:
        assert one.to_ms >= one.from_ms > 0.0
        assert one.after_string is bool(one.from_ms > string_left * 1e3)


def test_the_knock_of_the_tail_is_all_that_touches_bow_and_shelf() -> None:
    """Over weak and stiff arrows, pushed aside and not, all four of shaft and feathers count."""
    four = [
        kernel.TAIL_SHAFT_Y, kernel.TAIL_FLETCHING_Y,
        kernel.TAIL_SHAFT_Z, kernel.TAIL_FLETCHING_Z,
    ]  # fmt: skip
    touched = np.zeros(4, dtype=bool)
    for stiffness in (1.9, 3.0, 5.0):
        for push in (-0.01, 0.0, 0.0095):
            model = arrow(stiffness=stiffness)
            shots = shoot(bow(), archer(), model, loose_push=np.array([push]))
            parts = shots.launch[0, four]
            assert shots.tail_knock[0] == pytest.approx(float(np.sum(parts)), rel=round_off)
            touched |= parts > 0.0
    assert np.all(touched)


def test_fixing_one_input_leaves_the_others() -> None:
    inputs = list(bridge.bow_model(bow(), 25.3).inputs)
    fixed = bridge.with_value(inputs, "plate_offset", 0.001)
    assert known(tuple(fixed), "plate_offset") == Uncertain("plate_offset", 0.001, 0.0)
    for one, other in zip(inputs, fixed, strict=True):
        assert one.key == "plate_offset" or one == other


# ------------------------------------------------------------------------------------ fuzz


def shot_is_finite_or_told(shots: bridge.Shots) -> None:
    for k, status in enumerate(shots.status):
        numbers = [
            shots.stand_left[k], shots.stand_high[k], shots.hit_left[k], shots.hit_high[k],
            shots.tail_knock[k], shots.flight[k, flight.LARGEST_ANGLE],
            shots.launch[k, kernel.SPEED],
        ]  # fmt: skip
        if status == 0:
            assert np.all(np.isfinite(numbers)), numbers
            assert shots.tail_knock[k] >= 0.0
            assert shots.launch[k, kernel.SPEED] > 0.0
        else:
            assert status in bridge.STATUS_SENTENCES, status


@st.composite
def shootable(draw: st.DrawFn) -> tuple[Bow, Archer, Shaft]:
    """Extreme records with what a shot needs filled in, so that most of them are shot."""
    one_bow = draw(made_up_records.bows())
    readings = one_bow.draw_readings or (
        DrawReading(draw_in=draw(st.floats(15, 30)), weight_lb=draw(st.floats(3, 200))),
    )
    long = one_bow.model_copy(
        update={
            "length_in": draw(st.floats(46, 90)),
            "draw_readings": readings,
            "speed_readings": draw(st.sampled_from([(), one_bow.speed_readings])),
        }
    )
    one_archer = draw(made_up_records.archers())
    drawing = one_archer.model_copy(update={"draw_length_in": draw(st.floats(15, 31))})
    one_shaft = draw(made_up_records.shafts())
    lying = one_shaft.model_copy(
        update={"length_in": draw(st.floats(26, 40)), "weight_gr": draw(st.floats(80, 900))}
    )
    return long, drawing, lying


@settings(max_examples=250)
@given(
    st.tuples(made_up_records.bows(), made_up_records.archers(), made_up_records.shafts())
    | shootable()
    | shootable(),
    made_up_records.arrows(),
    st.floats(3.0, 110.0),
    st.floats(0.6, 1.0),
)
def test_any_records_give_a_shot_or_a_sentence(
    records: tuple[Bow, Archer, Shaft], built: Any, distance: float, part: float
) -> None:
    """Whatever a bound lets through: never a crash, never a number that is none, counted clean."""
    one_bow, one_archer, one_shaft = records
    measured = shaft_spine(one_shaft)
    stiffness = spine.stiffness_from_spine_pounds(45.0) if measured is None else (
        measured.bending_stiffness
    )  # fmt: skip
    try:
        loose = bridge.loose_model(one_archer)
        draw_in = known(loose.inputs, "draw").middle / IN
        model = bridge.bow_model(one_bow, draw_in, 1.0)
        profile = bridge.shaft_profile(one_shaft, float(stiffness), 0.05)
        parts = bridge.parts(
            built.point_weight_gr or 125.0,
            built.fletching or bridge.standard_fletching(),
            built.point_kind,
            built.nock_kind,
            built.nock_weight_gr,
        )
        one_arrow = bridge.arrow_model(profile, profile.length * part, parts)
    except Refusal as refusal:
        text = str(refusal)
        assert text.endswith(".")
        assert len(text) > 40
        return
    for one in [*model.inputs, *loose.inputs, *loose.shots]:
        assert math.isfinite(one.middle)
        assert one.spread >= 0.0
        assert math.isfinite(one.spread)
    for note in [*model.notes, *loose.notes]:
        assert "nan" not in note.value
        assert "inf" not in note.value
    assert np.all(np.isfinite(model.force))
    assert np.all(np.isfinite(model.string))
    values = middles(model, loose, 2)
    for key, value in values.items():
        spread = known((*model.inputs, *loose.inputs), key)
        value[1] = spread.at(np.array([0.98]))[0]
    shots = bridge.shoot(
        model, [one_arrow], np.zeros(2, dtype=np.int64), values, one_archer.hand, distance
    )
    shot_is_finite_or_told(shots)


@settings(max_examples=100)
@given(st.data())
def test_absurd_columns_are_told_never_counted(data: st.DataObject) -> None:
    """Beyond any record: the engine's own inputs at random, zeros and infinities among them."""
    model = bridge.bow_model(bow(), 25.3, 1.0)
    loose = bridge.loose_model(archer())
    values = middles(model, loose, 1)
    wild = st.sampled_from([0.0, -1.0, 1e-9, 1e9, math.inf, -math.inf, math.nan])
    for key in data.draw(st.lists(st.sampled_from(sorted(values)), min_size=1, max_size=3)):
        values[key] = np.array([data.draw(wild)])
    shots = bridge.shoot(model, [arrow()], np.zeros(1, dtype=np.int64), values, "right", 18.0)
    shot_is_finite_or_told(shots)


def test_one_percent_of_weight_is_one_percent_of_force() -> None:
    """A guard for the whole of it: pounds-force, not pounds-mass, not kilograms."""
    model = bridge.bow_model(bow(), 26.5)
    assert model.force[-1] == pytest.approx(47.0 * LB, rel=one_percent * 1e-6)


def test_the_same_arrow_is_worked_out_once_and_another_anew() -> None:
    def profile(stiffness: float) -> bridge.Profile:
        return bridge.uniform_profile(stiffness, 0.0288, 0.0087, 0.8)

    parts = bridge.parts(125.0, bridge.standard_fletching())
    one = bridge.arrow_model(profile(4.0), 0.71, parts)
    assert bridge.arrow_model(profile(4.0), 0.71, parts) is one
    for other in (
        bridge.arrow_model(profile(4.1), 0.71, parts),
        bridge.arrow_model(profile(4.0), 0.72, parts),
        bridge.arrow_model(profile(4.0), 0.71, bridge.with_point(parts, 150.0)),
    ):
        assert other is not one
        assert not np.array_equal(other.blocks, one.blocks)


def test_feathers_damp_the_bending_on_the_way_and_a_bare_shaft_has_its_wood_alone() -> None:
    from loosewell.physics import aero

    profile = bridge.uniform_profile(4.0, 0.0288, 0.0087, 0.8)

    def damping(fletching: Fletching) -> float:
        model = bridge.arrow_model(profile, 0.71, bridge.parts(125.0, fletching))
        return float(model.aero[aero.BEND_DAMPING])

    usual, great = bridge.standard_fletching(), bridge.standard_fletching()
    great = great.model_copy(update={"length_in": 5.0, "height_in": 1.0})
    assert damping(Fletching(material="none")) == profile.damping_ratio
    assert damping(great) > damping(usual) > profile.damping_ratio


def test_a_joint_with_play_rattles_in_its_own_element_and_only_there(seen: Seen) -> None:
    joints = (Joint(station_in=12.0, play_deg=0.8), Joint(station_in=29.5, play_deg=2.0))
    profile = bridge.shaft_profile(shaft(length_in=31.0, joints=joints), 4.4, 0.03)
    part = bridge.parts(125.0, bridge.standard_fletching())
    model = bridge.arrow_model(profile, 28.4 * IN, part)
    half = math.radians(0.4)
    element = int(12.0 / 28.4 * bridge.ELEMENTS)
    assert model.slack[element, 0] == pytest.approx(half, rel=round_off)
    # The joint that was cut away with the front is gone.
    assert np.count_nonzero(model.slack[:, 0]) == 1
    stiffness, _, _ = profile.cut(28.4 * IN, bridge.ELEMENTS)
    firm = stiffness * bridge.ELEMENTS / (28.4 * IN)
    assert model.slack[:, 1] == pytest.approx(firm, rel=round_off)
    tight = dataclasses.replace(model, slack=np.zeros_like(model.slack))
    loose = shoot(bow(), archer(), model=model).launch[0, kernel.YAW_RATE]
    assert abs(loose - shoot(bow(), archer(), model=tight).launch[0, kernel.YAW_RATE]) > 0.01
    assert np.array_equal(seen.rest[-1][0], tight.slack)
