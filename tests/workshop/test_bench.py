"""One spine from bench readings, with an error that says where it comes from."""

from __future__ import annotations

import math

import pytest

from loosewell.records import BenchReading, Shaft
from loosewell.workshop.bench import readings_spine, shaft_spine
from tolerances import stated_to_four_figures, stated_to_three_figures


def reading(deflection_in: float, **fields: float) -> BenchReading:
    return BenchReading(
        **{"span_in": 26.0, "load_lb": 2.0, "deflection_in": deflection_in, **fields}
    )


@pytest.mark.parametrize(
    ("spine_lb", "wood_in", "stiffness", "later_in"),
    [
        (30, 0.8667, 2.425, 1.0500),
        (50, 0.5200, 4.042, 0.6300),
        (65, 0.4000, 5.254, 0.4846),
        (80, 0.3250, 6.467, 0.3937),
    ],
)
def test_a_reading_prints_as_both_standards(
    spine_lb: float, wood_in: float, stiffness: float, later_in: float
) -> None:
    """26 / deflection, 26 in and 2 lb (from memory); ASTM F2031: 28 in and 1.94 lb."""
    for one in (
        reading(wood_in),
        reading(later_in, span_in=28.0, load_lb=1.94),
    ):
        spine = readings_spine([one])
        assert spine.spine_26in_2lb_lb == pytest.approx(spine_lb, rel=stated_to_four_figures)
        assert spine.bending_stiffness == pytest.approx(stiffness, rel=stated_to_four_figures)
        assert spine.deflection_28in_1_94lb_in == pytest.approx(
            later_in, rel=stated_to_four_figures
        )
        assert "(26 in span, 2 lb)" in spine.spine_text()
        assert "(28 in span, 1.94 lb)" in spine.deflection_text()


def test_any_span_and_load_give_the_same_shaft() -> None:
    """Closed form: deflection goes as load x span³."""
    wood = readings_spine([reading(0.52)])
    short = readings_spine([reading(0.52 * 1.5 * (22 / 26) ** 3, span_in=22.0, load_lb=3.0)])
    assert short.bending_stiffness == pytest.approx(wood.bending_stiffness, rel=1e-12)


def test_the_error_is_the_root_of_the_squares() -> None:
    spine = readings_spine(
        [reading(0.52, deflection_error_in=0.0104)], load_error=0.03, span_error_in=0.26
    )
    expected = math.sqrt(0.02**2 + 0.03**2 + 0.03**2)
    assert spine.relative_error == pytest.approx(expected, rel=1e-12)
    assert spine.high - spine.spine_26in_2lb_lb == pytest.approx(50 * expected, rel=1e-9)
    assert spine.spine_26in_2lb_lb - spine.low == pytest.approx(50 * expected, rel=1e-9)


def test_usual_errors_are_those_of_a_fine_ruler_a_weighed_bag_and_a_tape() -> None:
    """Common practice, no source: 1/64 in is 1.5 lb at 50 lb."""
    spine = readings_spine([reading(0.52)], load_error=0.0, span_error_in=0.0)
    assert spine.high - spine.spine_26in_2lb_lb == pytest.approx(1.5, rel=stated_to_three_figures)
    assert "assumed: a fine ruler, 1/64 in" in spine.reasons[0]
    assert len(readings_spine([reading(0.52)]).reasons) == 3


def test_more_readings_narrow_the_ruler_but_not_the_rig() -> None:
    one = readings_spine([reading(0.52)])
    four = readings_spine([reading(0.52, rotation_deg=turn) for turn in (0.0, 90.0, 180.0, 270.0)])
    rig = math.hypot(0.015, 3 * 0.125 / 26)
    assert four.relative_error == pytest.approx(math.hypot(rig, 1 / 64 / 0.52 / 2), rel=1e-9)
    assert rig < four.relative_error < one.relative_error


def test_readings_that_differ_widen_the_error_and_say_so() -> None:
    alike = readings_spine([reading(0.5), reading(0.5)])
    apart = readings_spine([reading(0.45), reading(0.56)])
    assert apart.relative_error > alike.relative_error
    assert any("differ by more than their errors" in reason for reason in apart.reasons)


def test_a_shaft_without_readings_has_no_spine() -> None:
    assert shaft_spine(Shaft(name="1")) is None
    spine = shaft_spine(Shaft(name="1", bench_readings=(reading(0.52),)))
    assert spine is not None
    assert spine.spine_26in_2lb_lb == pytest.approx(50.0)
