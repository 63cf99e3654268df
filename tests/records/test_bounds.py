"""Every bound speaks: what was given, what is accepted, what to do."""

from __future__ import annotations

import math
from typing import Any

import pytest

from loosewell.errors import BoundRefusal
from loosewell.records import (
    Archer,
    Arrow,
    BenchReading,
    Bow,
    BowString,
    BreakSample,
    ClassRoster,
    DiameterStation,
    DrawReading,
    ExtraPart,
    Fletching,
    Jig,
    Joint,
    Outing,
    Pupil,
    RangeRule,
    Section,
    SetMember,
    Shaft,
    ShotSeen,
    SpeedReading,
    Tap,
    Weighing,
)
from loosewell.records.bounds import BOUNDS, check

# A record of each kind that is right as it stands, to be spoilt in one field.
RIGHT: dict[str, tuple[Any, dict[str, Any]]] = {
    "bow": (Bow, {"name": "Ash", "hand": "right", "draw_measured": "true", "plate_offset_in": 0.3}),
    "archer": (
        Archer,
        {"name": "Wren", "hand": "left", "draw_measured": "true", "draw_length_in": 26.0},
    ),
    "shaft": (Shaft, {"name": "1", "weight_gr": 350.0}),
    "arrow": (Arrow, {"name": "a", "shaft": "1"}),
    "reading": (DrawReading, {"draw_in": 26.0, "weight_lb": 50.0}),
    "speed": (SpeedReading, {"arrow_weight_gr": 500.0, "speed_fps": 150.0, "draw_in": 26.0}),
    "station": (DiameterStation, {"station_in": 16.0, "diameter_in": 0.34}),
    "bench": (BenchReading, {"span_in": 26.0, "load_lb": 2.0, "deflection_in": 0.5}),
    "fletching": (Fletching, {"material": "feather"}),
    "joint": (Joint, {"station_in": 10.0}),
    "section": (Section, {"from_in": 20.0, "to_in": 28.0}),
    "weighing": (Weighing, {"on": "2024-05-01", "weight_gr": 350.0}),
    "tap": (Tap, {"frequencies_hz": (60.0,), "length_in": 32.0, "weight_gr": 350.0}),
    "part": (ExtraPart, {"what": "sleeve", "weight_gr": 12.0, "at_in": 0.5}),
    "jig": (Jig, {"name": "two nails", "stiffness_factor": 1.0}),
    "member": (SetMember, {"shaft": "1"}),
    "shot": (ShotSeen, {"left_in": 0.0, "high_in": 0.0}),
    "outing": (
        Outing,
        {
            "name": "Dusk",
            "bow": "Ash",
            "archer": "Wren",
            "on": "2024-05-01",
            "distance_yd": 20.0,
            "shots": (ShotSeen(),),
        },
    ),
    "string": (BowString, {"name": "1", "strand_length_in": 360.0, "strand_weight_gr": 40.0}),
    "class": (ClassRoster, {"name": "Saturday"}),
    "pupil": (Pupil, {"name": "A.B.", "hand": "left"}),
    "rule": (
        RangeRule,
        {
            "what": "side",
            "text": "side zone",
            "source": "club handbook",
            "on": "2024-03-01",
            "figure_yd": 10.0,
        },
    ),
    "sample": (BreakSample, {"of": "strand", "load_lb": 50.0}),
}
# Held by a test of its own: it belongs to a whole reading, not to one field.
FIELDS = sorted(set(BOUNDS) - {"shaft.spine_lb"})


def put(field: str, value: object) -> dict[str, object]:
    """The value in its field; of a tap, as its only frequency."""
    return {field: (value,) if field == "frequencies_hz" else value}


@pytest.mark.parametrize("key", FIELDS)
@pytest.mark.parametrize("side", ["below", "above"])
def test_every_bound_speaks(key: str, side: str) -> None:
    bound = BOUNDS[key]
    kind, field = key.split(".")
    model, fields = RIGHT[kind]
    step = 1 if bound.unit == "" else max(1e-3, 1e-3 * abs(bound.high))
    value = bound.low - step if side == "below" else bound.high + step
    with pytest.raises(BoundRefusal) as refused:
        model(**{**fields, **put(field, value)})
    assert refused.value.code == f"bound-{key}"
    assert refused.value.message.startswith(f"{bound.said} {value:.6g}")
    assert f"is outside {bound.range_text()}. " in refused.value.message
    assert refused.value.message.endswith(bound.advice)
    assert bound.advice.endswith(".")


@pytest.mark.parametrize("key", sorted(BOUNDS))
def test_the_ends_of_a_bound_are_accepted(key: str) -> None:
    bound = BOUNDS[key]
    assert bound.low < bound.high
    assert check(bound.low, key) == bound.low
    assert check(bound.high, key) == bound.high


@pytest.mark.parametrize("key", FIELDS)
def test_every_bound_belongs_to_a_field_of_its_unit(key: str) -> None:
    kind, field = key.split(".")
    assert field in RIGHT[kind][0].model_fields
    unit = BOUNDS[key].unit
    whole = ("count", "point_blades", "strands", "plies", "twists", "arrows_each", "turns")
    counts = field in whole or field.endswith(("_ratio", "_factor"))
    assert field.endswith(f"_{unit}") if unit else counts


def test_the_house_example_reads_as_it_should() -> None:
    with pytest.raises(BoundRefusal) as refused:
        Bow(name="Ash", hand="right", brace_height_in=18.0)
    assert refused.value.message == (
        "Brace height 18 in is outside 3 to 12 in. "
        "Measure from the string to the deepest part of the grip, with the bow strung."
    )


@pytest.mark.parametrize("key", FIELDS)
@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, "7", True, [1.0]])
def test_what_is_no_finite_number_is_refused(key: str, value: object) -> None:
    kind, field = key.split(".")
    model, fields = RIGHT[kind]
    with pytest.raises(BoundRefusal) as refused:
        model(**{**fields, **put(field, value)})
    assert refused.value.message.endswith(".")


def test_a_negative_value_is_refused_where_none_can_be() -> None:
    with pytest.raises(BoundRefusal, match="Draw weight -50 lb is outside"):
        DrawReading(draw_in=26.0, weight_lb=-50.0)
    with pytest.raises(BoundRefusal, match="Shaft mass -350 gr is outside"):
        Shaft(name="1", weight_gr=-350.0)


def test_a_reading_that_makes_no_possible_shaft_is_refused() -> None:
    # 13.2 mm typed as inches would be refused for its size; 2 lb typed as 20 lb is caught here.
    with pytest.raises(BoundRefusal) as refused:
        BenchReading(span_in=26.0, load_lb=20.0, deflection_in=0.5)
    assert refused.value.code == "bound-shaft.spine_lb"
    assert "(26 in span, 2 lb) 520 lb is outside 2 to 400 lb" in refused.value.message
