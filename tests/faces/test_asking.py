"""What people type is read the same at the command line and on the page."""

from __future__ import annotations

import pytest

from loosewell.errors import Refusal
from loosewell.faces import asking

# 1 mph is 5280 ft in 3600 s, 1 ft is 0.3048 m: both exact.
MPH = 5280.0 / 3600.0
MPS = 1.0 / 0.3048


@pytest.mark.parametrize(
    ("typed", "left_fps"),
    [
        ("5 mph left", 5.0 * MPH),
        ("5 mph to the left", 5.0 * MPH),
        ("5 mph right", -5.0 * MPH),
        ("2 m/s from the left", -2.0 * MPS),
        ("2 m/s from right", 2.0 * MPS),
        ("  3  MPH   Left ", 3.0 * MPH),
        ("3 mph, left", 3.0 * MPH),
        ("calm", 0.0),
        ("0 mph", 0.0),
    ],
)
def test_a_wind_pushes_to_the_side_that_was_named(typed: str, left_fps: float) -> None:
    assert asking.wind_left_fps(typed) == pytest.approx(left_fps, rel=1e-9)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("5 mph", "without a side"),
        ("5 left", "without a unit"),
        ("-5 mph left", "minus sign"),
        ("5 gr left", "Wind"),
        ("left", "Wind"),
        ("a breeze from the left", "Wind"),
    ],
)
def test_a_wind_that_can_be_read_two_ways_is_asked_back(typed: str, sentence: str) -> None:
    with pytest.raises(Refusal, match=sentence) as refused:
        asking.wind_left_fps(typed)
    assert refused.value.message.endswith(".")


def test_a_question_carries_every_field_in_its_own_unit() -> None:
    question = asking.question(
        {
            "bow": " Yew ",
            "archer": "Wren",
            "purpose": "hunting",
            "distance": "30 m",
            "point": "10 g",
            "length": "28 1/2 in",
            "temperature": "15 C",
            "altitude": "100 m",
            "wind": "2 m/s right",
        }
    )
    assert (question.bow, question.archer, question.purpose) == ("Yew", "Wren", "hunting")
    # Exact definitions: 0.9144 m a yard, 64.79891 mg a grain, 9/5 and 32 for °F, 0.3048 m a foot.
    assert question.distance_yd == pytest.approx(30.0 / 0.9144)
    assert question.point_weight_gr == pytest.approx(10.0 / 0.06479891)
    assert question.length_in == 28.5
    assert question.temperature_f == pytest.approx(59.0)
    assert question.altitude_ft == pytest.approx(100.0 / 0.3048)
    assert question.wind_left_fps == pytest.approx(-2.0 / 0.3048)


def test_what_was_not_said_stays_unknown_and_is_never_zero() -> None:
    question = asking.question({"bow": "Yew", "archer": "Wren", "wind": " ", "point": None})
    assert question.purpose == "target"
    assert question.distance_yd is None
    assert question.point_weight_gr is None
    assert question.length_in is None
    assert question.temperature_f is None
    assert question.altitude_ft is None
    assert question.wind_left_fps is None
