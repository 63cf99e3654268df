"""Rules of thumb: what each says, where it starts, and what it does with the unknown."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loosewell.workshop.answer import RuleOfThumb
from loosewell.workshop.rules import LEAST_SPOKEN_LB, left_out, rules_of_thumb

ZERO: dict[str, Any] = {
    "draw_weight_lb": 50.0,
    "true_draw_in": 26.25,
    "length_in": 28.0,
    "point_weight_gr": 125.0,
    "plate_offset_in": 0.0,
    "make": "recurve",
    "string_material": "polyester",
}


def rules(**changes: Any) -> dict[str, RuleOfThumb]:
    return {rule.name: rule for rule in rules_of_thumb(**(ZERO | changes))}


def test_there_are_at_least_six_and_each_says_its_zero_point() -> None:
    found = rules()
    assert len(found) >= 6
    for rule in found.values():
        assert rule.statement.endswith(".")
        assert rule.zero_point.endswith(".")
        assert "Common practice, no source." in rule.note


def test_at_the_zero_point_the_correcting_rules_all_say_the_draw_weight() -> None:
    for name in (
        "Weight as it is",
        "Three pounds a tenth",
        "Length and point",
        "Length and point, the gentle way",
        "How the shelf is cut",
        "The make of the bow",
        "All corrections together",
    ):
        assert rules()[name].spine_lb == 50.0


@pytest.mark.parametrize(
    ("name", "changes", "spine_lb"),
    [
        ("Ten pounds less", {}, 40.0),
        ("Three pounds a tenth", {"plate_offset_in": 0.5}, 35.0),
        ("A third less", {}, 100.0 / 3.0),
        ("Length and point", {"length_in": 30.0}, 60.0),
        ("Length and point", {"point_weight_gr": 150.0}, 55.0),
        ("Length and point, the gentle way", {"point_weight_gr": 185.0}, 55.0),
        ("How the shelf is cut", {"plate_offset_in": 0.125}, 42.5),
        ("How the shelf is cut", {"plate_offset_in": 0.5}, 37.5),
        ("How the shelf is cut", {"plate_offset_in": -0.1}, 55.0),
        ("The make of the bow", {"make": "reflex-deflex"}, 45.0),
        ("The make of the bow", {"make": "plain wooden"}, 40.0),
        ("All corrections together", {"string_material": "low-stretch"}, 55.0),
        ("All corrections together", {"string_material": "linen"}, 47.5),
    ],
)
def test_what_each_rule_says_of_a_50_lb_bow(
    name: str, changes: dict[str, Any], spine_lb: float
) -> None:
    """Common practice, no source."""
    assert rules(**changes)[name].spine_lb == pytest.approx(spine_lb, abs=1e-9)


def test_for_one_wooden_bow_the_rules_stand_fifteen_pounds_and_more_apart() -> None:
    """Common practice: 50, 40, 35 and 33 lb are all said of one 50 lb longbow, 1/2 in off."""
    found = rules(plate_offset_in=0.5, make="plain wooden")
    said = [found[n].spine_lb for n in ("Weight as it is", "Ten pounds less", "A third less")]
    said.append(found["Three pounds a tenth"].spine_lb)
    assert max(said) - min(said) > 15.0


@given(
    weight=st.floats(10.0, 120.0),
    length=st.floats(18.0, 34.0),
    point=st.floats(30.0, 400.0),
    offset=st.one_of(st.none(), st.floats(-0.5, 1.0)),
    make=st.sampled_from(["plain wooden", "backed", "reflex-deflex", "recurve", None]),
    string=st.sampled_from(["polyester", "low-stretch", "linen", "nylon", "other", None]),
)
def test_the_range_always_holds_the_middle(
    weight: float,
    length: float,
    point: float,
    offset: float | None,
    make: str | None,
    string: str | None,
) -> None:
    for rule in rules_of_thumb(weight, 26.0, length, point, offset, make, string):
        assert rule.spine_low_lb <= rule.spine_lb <= rule.spine_high_lb
        assert rule.spine_high_lb - rule.spine_low_lb >= 5.0 - 1e-9
        assert rule.spine_lb >= LEAST_SPOKEN_LB
        assert rule.spine_low_lb > 0.0


@pytest.mark.parametrize(
    ("unknown", "name"),
    [
        ("plate_offset_in", "How the shelf is cut"),
        ("plate_offset_in", "Three pounds a tenth"),
        ("make", "The make of the bow"),
        ("string_material", "All corrections together"),
    ],
)
def test_what_is_not_known_widens_its_rules_and_is_said(unknown: str, name: str) -> None:
    known, blank = rules()[name], rules(**{unknown: None})[name]
    assert blank.spine_high_lb - blank.spine_low_lb > known.spine_high_lb - known.spine_low_lb
    assert "not known" in blank.note or "not measured" in blank.note


def test_both_draws_stand_beside_the_weight() -> None:
    assert "26.25 in true draw (28.00 in standard draw)" in rules()["Weight as it is"].note


def test_a_rule_that_leaves_what_it_can_speak_for_is_left_out_by_name() -> None:
    """A child's 18 lb bow: ten pounds less, or a short arrow at 5 lb an inch, says nothing."""
    child = ZERO | {"draw_weight_lb": 18.0, "length_in": 22.0, "point_weight_gr": 70.0}
    told = [one.name for one in rules_of_thumb(**child)]
    gone = left_out(**child)
    assert "Weight as it is" in told
    assert {"Ten pounds less", "Length and point", "All corrections together"} <= set(gone)
    assert not set(told) & set(gone)
    assert len(told) + len(gone) == len(rules_of_thumb(**ZERO))
    assert left_out(**ZERO) == []
