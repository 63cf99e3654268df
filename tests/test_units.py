"""Quantities as typed: factors against definitions and against pint, refusals as sentences."""

from __future__ import annotations

import math
import re

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loosewell import units
from loosewell.errors import UnitRefusal
from loosewell.units import metric, quantity, spoken
from tolerances import exact_factors, round_off

# Kept apart from the code: digits of a conversion are rounded at the twelfth figure.
twelve_figures = 1e-11
UNITS_WITH_TWIN = ["in", "yd", "gr", "lb", "fps", "deg_per_ftlb"]


def test_factors_are_the_ones_of_the_definitions() -> None:
    """International yard and pound agreement of 1959; standard free fall, CGPM 1901."""
    assert units.INCH == 0.9144 / 36
    assert pytest.approx(0.9144 / 3, rel=exact_factors) == units.FOOT
    assert units.YARD == 0.9144
    assert units.POUND == 0.45359237
    assert pytest.approx(0.45359237 / 7000, rel=exact_factors) == units.GRAIN
    assert pytest.approx(0.45359237 * 9.80665, rel=exact_factors) == units.POUND_FORCE
    assert pytest.approx(math.pi / 180, rel=exact_factors) == units.DEGREE


@pytest.mark.parametrize(
    ("typed", "unit", "expected"),
    [
        ("26 in", "in", 26.0),
        ("66 cm", "in", 660 / 25.4),
        ("178 mm", "in", 178 / 25.4),
        ("5'6\"", "in", 66.0),
        ("5' 6 1/2\"", "in", 66.5),
        ("5 ft. 6 in.", "in", 66.0),
        ("11/32 in", "in", 0.34375),
        ("26 1/2 in", "in", 26.5),
        ("26-1/2 in", "in", 26.5),
        ("26½ in", "in", 26.5),
        ("-1/8 in", "in", -0.125),
        ("−1/8 in", "in", -0.125),
        ("0,520 in", "in", 0.52),
        (".52 in", "in", 0.52),
        ("5.2e-1 in", "in", 0.52),
        ("3,7 g", "gr", 3.7 / 0.06479891),
        ("57 gr", "gr", 57.0),
        ("1 lb 3 oz", "gr", 8312.5),
        ("50#", "lb", 50.0),
        ("50 lb of draw", "lb", 50.0),
        ("20 kg", "lb", 20 / 0.45359237),
        ("200 N", "lb", 200 / 4.4482216152605),
        ("20 yd", "yd", 20.0),
        ("18 m", "yd", 18 / 0.9144),
        ("46 m/s", "fps", 46 / 0.3048),
        ("3°", "deg", 3.0),
        ("20 degC", "degF", 68.0),
        ("-40 degC", "degF", -40.0),
        ("1.5 %", "percent", 1.5),
        ("2 deg/ftlb", "deg_per_ftlb", 2.0),
        ("2 deg/ft-lb", "deg_per_ftlb", 2.0),
        ("2 degrees per foot-pound", "deg_per_ftlb", 2.0),
        # A foot-pound is 0.3048 x 4.4482216152605 N m.
        ("1 deg/Nm", "deg_per_ftlb", 0.3048 * 4.4482216152605),
    ],
)
def test_a_quantity_is_read(typed: str, unit: str, expected: float) -> None:
    assert quantity(typed, unit, what="It") == pytest.approx(expected, rel=twelve_figures)


@pytest.mark.parametrize(
    ("typed", "unit", "code"),
    [
        ("7", "in", "unit-missing"),
        ("7 in 3", "in", "unit-missing"),
        ("", "in", "unit-empty"),
        ("   ", "in", "unit-empty"),
        ("7 furlongs", "in", "unit-unknown"),
        ("7 lb", "in", "unit-wrong-kind"),
        ("7 deg", "deg_per_ftlb", "unit-wrong-kind"),
        ("7 deg/ftlb", "deg", "unit-wrong-kind"),
        ("7 in", "gr", "unit-wrong-kind"),
        ("50#", "gr", "unit-wrong-kind"),
        ("1,250 gr", "gr", "unit-comma"),
        ("1/0 in", "in", "unit-unreadable"),
        ("seven in", "in", "unit-unreadable"),
        ("--7 in", "in", "unit-unreadable"),
        ("6 in 5 ft", "in", "unit-unreadable"),
        ("20 C 3 C", "degF", "unit-unreadable"),
        ("nan in", "in", "unit-unreadable"),
        ("9" * 400 + " in", "in", "unit-unreadable"),
    ],
)
def test_what_cannot_be_read_is_refused_in_a_sentence(typed: str, unit: str, code: str) -> None:
    with pytest.raises(UnitRefusal) as refused:
        quantity(typed, unit, what="Brace height")
    assert refused.value.code == code
    assert refused.value.message.startswith("Brace height was ")
    assert re.search(r"Type an? ", refused.value.message)
    assert refused.value.message.endswith((".", "comma."))


def test_a_missing_unit_is_asked_for_with_an_example() -> None:
    with pytest.raises(UnitRefusal) as refused:
        quantity("7", "in", what="Brace height")
    assert refused.value.message == (
        "Brace height was given as '7' without a unit. "
        "Type a length with its unit, such as 7 in or 178 mm."
    )


@pytest.mark.parametrize(
    ("unit", "other", "theirs"),
    [
        ("in", "mm", "millimeter"),
        ("in", "ft", "foot"),
        ("yd", "m", "meter"),
        ("gr", "g", "gram"),
        ("gr", "oz", "ounce"),
        ("fps", "km/h", "kilometer / hour"),
        ("fps", "mph", "mile / hour"),
        ("lb", "n", "newton"),
        ("lb", "kgf", "kilogram_force"),
        ("deg", "rad", "radian"),
        ("deg_per_ftlb", "deg/nm", "degree / newton / meter"),
    ],
)
def test_conversions_agree_with_an_independent_library(unit: str, other: str, theirs: str) -> None:
    """Source: pint's own unit definitions."""
    registry = pint.UnitRegistry()
    names = {"in": "inch", "yd": "yard", "gr": "grain", "fps": "foot / second"}
    names |= {"lb": "pound_force", "deg": "degree"}
    names |= {"deg_per_ftlb": "degree / pound_force / foot"}
    expected = registry.Quantity(137.25, theirs).to(names[unit]).magnitude
    assert quantity(f"137.25 {other}", unit, what="It") == pytest.approx(
        expected, rel=twelve_figures
    )


@given(st.floats(min_value=1e-3, max_value=1e6), st.sampled_from(UNITS_WITH_TWIN))
def test_metric_and_back_is_the_same(value: float, unit: str) -> None:
    twin, name = metric(value, unit)
    assert quantity(f"{twin:.17f} {name}", unit, what="It") == pytest.approx(
        value, rel=twelve_figures, abs=round_off
    )


@given(
    st.floats(min_value=0, max_value=1e9),
    st.sampled_from(["in", "ft", "yd", "gr", "lb", "fps", "deg"]),
)
def test_what_is_typed_in_the_unit_wanted_comes_back_bit_for_bit(value: float, unit: str) -> None:
    assert quantity(f"{value!r} {unit}", unit, what="It") == value


@given(st.text(max_size=40), st.sampled_from(["in", "gr", "lb", "yd", "fps", "deg", "degF"]))
def test_any_text_is_a_finite_number_or_a_sentence(text: str, unit: str) -> None:
    try:
        value, told = quantity(text, unit, what="It"), "It was read."
    except UnitRefusal as refusal:
        value, told = 0.0, refusal.message
    assert math.isfinite(value)
    assert told.startswith("It was ")


@given(
    st.from_regex(r"[+-]?[0-9]{1,3}([.,/][0-9]{1,3})? ?(in|mm|gr|g|lb|kg|#|N|ft|'|fps|m|deg)?"),
    st.sampled_from(["in", "gr", "lb", "yd", "fps", "deg", "degF"]),
)
def test_a_number_alone_is_never_taken(text: str, unit: str) -> None:
    try:
        quantity(text, unit, what="It")
    except UnitRefusal:
        return
    assert any(not letter.isdigit() and letter not in "+-., /\n" for letter in text)


def test_a_spoken_number_is_short() -> None:
    assert spoken(26.5, "in") == "26.5 in"
    assert spoken(2.0, "percent") == "2 %"
    assert spoken(0.5, "deg_per_ftlb") == "0.5 deg/ftlb"
