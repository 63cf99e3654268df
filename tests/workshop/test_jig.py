"""What hangs from a jig, what looks like a slip, and a jig held against a known rod."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from uncertainties import ufloat

from loosewell import units
from loosewell.errors import BoundRefusal, MissingRefusal
from loosewell.physics import spine
from loosewell.records import BenchReading, DiameterStation, Jig, Shaft
from loosewell.workshop.jig import check_jig, hung_water, unlikely
from tolerances import one_percent, stated_to_three_figures

NAILS = Jig(
    name="two nails", span_in=26.0, load_lb=2.0, deflection_error_in=0.002, load_error_percent=1.0
)


def rod_reading(pascal: float, diameter_in: float, **wrong: float) -> BenchReading:
    """What a jig reads of a solid rod, its true span or load differing from what is noted. [in]"""
    true = {"span_in": 26.0, "load_lb": 2.0, **wrong}
    second = math.pi * (diameter_in * units.INCH) ** 4 / 64
    sinks = spine.midspan_deflection(
        true["load_lb"] * units.POUND_FORCE, true["span_in"] * units.INCH, pascal * second
    )
    return BenchReading(span_in=26.0, load_lb=2.0, deflection_in=sinks / units.INCH)


@pytest.mark.parametrize(
    ("rod", "low_msi", "high_msi"), [("steel", 29.0, 30.0), ("aluminium", 9.9, 10.3)]
)
def test_a_true_jig_reads_a_rod_of_handbook_modulus_true(
    rod: Any, low_msi: float, high_msi: float
) -> None:
    """Steel 29 to 30 million psi (from memory); 6061 9.9 and 7075 10.3 after MIL-HDBK-5J."""
    for msi in (low_msi, high_msi):
        pascal = msi * 1e6 * units.POUND_FORCE / units.INCH**2
        found = check_jig(NAILS, rod, 0.25, [rod_reading(pascal, 0.25)])
        assert found.factor == pytest.approx(1.0, abs=0.03)
        assert not found.off
        assert "no fault is shown" in found.verdict()


def test_the_error_of_a_check_agrees_with_the_uncertainties_package() -> None:
    """E·I = E π D⁴ / 64 against F L³ / (48 δ), first order, by `uncertainties`."""
    pascal, across, sinks = ufloat(203e9, 0.02 * 203e9), ufloat(0.25, 0.001), ufloat(0.13, 0.002)
    told = pascal * across**4 * sinks
    one = BenchReading(span_in=26.0, load_lb=2.0, deflection_in=0.13)
    found = check_jig(NAILS, "steel", 0.25, [one])
    assert found.factor_error_percent / 100 == pytest.approx(told.s / told.n, rel=one_percent)
    deeper = BenchReading(span_in=26.0, load_lb=2.0, deflection_in=0.38)
    tube = check_jig(NAILS, "aluminium", 0.25, [deeper], wall_in=0.125 - 1e-6)
    solid = check_jig(NAILS, "aluminium", 0.25, [deeper])
    assert tube.factor == pytest.approx(solid.factor, rel=1e-6)


def test_a_rods_diameter_counts_four_times() -> None:
    one = BenchReading(span_in=26.0, load_lb=2.0, deflection_in=0.13)
    thin = check_jig(NAILS, "steel", 0.25, [one], diameter_error_in=0.005)
    assert any(text.startswith("± 8.0 %") and "diameter" in text for text in thin.reasons)


def test_a_jug_that_was_not_counted_is_found_with_its_grams() -> None:
    """A load truly 2.3 lb, 136 g more than noted."""
    found = check_jig(NAILS, "steel", 0.25, [rod_reading(203e9, 0.25, load_lb=2.3)] * 3)
    assert found.off
    assert found.factor == pytest.approx(1.15, rel=0.005)
    assert "too weak" in found.verdict()
    assert any("136 g" in one for one in found.likely)


def test_a_span_too_long_is_found_with_its_inches() -> None:
    found = check_jig(NAILS, "steel", 0.25, [rod_reading(203e9, 0.25, span_in=24.5)] * 3)
    assert found.off
    assert "too stiff" in found.verdict()
    assert any("24.50 in, not 26 in" in one for one in found.likely)


@pytest.mark.parametrize(
    ("rod", "wrong", "words"),
    [
        ("steel", {"load_lb": 4.409}, "load in kilograms taken for pounds"),
        ("aluminium", {"load_lb": 0.907}, "load in pounds taken for kilograms"),
        ("steel", {"load_lb": 2.0 * 203 / 69.5}, "looks like an aluminium rod"),
        ("aluminium", {"load_lb": 2.0 * 69.5 / 203}, "looks like a steel rod"),
    ],
)
def test_a_jig_out_by_more_than_twice_is_refused_with_what_it_looks_like(
    rod: Any, wrong: dict[str, float], words: str
) -> None:
    pascal = 203e9 if rod == "steel" else 69.5e9
    with pytest.raises(BoundRefusal, match="nothing was stored") as told:
        check_jig(NAILS, rod, 0.25, [rod_reading(pascal, 0.25, **wrong)])
    assert words in told.value.message


@pytest.mark.parametrize(
    ("diameter_in", "more"),
    [(6.35, {}), (0.25, {"wall_in": 0.2}), (0.25, {"diameter_error_in": 0.1})],
)
def test_a_rod_that_cannot_be_is_refused(diameter_in: float, more: dict[str, float]) -> None:
    one = BenchReading(span_in=26.0, load_lb=2.0, deflection_in=0.13)
    with pytest.raises(BoundRefusal):
        check_jig(NAILS, "steel", diameter_in, [one], **more)


def test_the_factor_of_a_check_holds_the_truth_as_often_as_it_says() -> None:
    """Eight hundred made-up rods and jigs: 68 % within one error, 95 % within two."""
    rng = np.random.default_rng(12)
    within = np.zeros(2)
    for _ in range(800):
        across = 0.25 + 0.001 * rng.standard_normal()
        pascal = 203e9 * (1 + 0.02 * rng.standard_normal())
        off = float(np.exp(0.05 * rng.standard_normal()))
        one = rod_reading(pascal, across, load_lb=2.0 * off)
        seen = one.deflection_in + 0.002 * rng.standard_normal()
        one = BenchReading(span_in=26.0, load_lb=2.0, deflection_in=seen)
        found = check_jig(NAILS, "steel", 0.25, [one])
        apart = abs(math.log(found.factor / off)) / (found.factor_error_percent / 100)
        within += [apart < 1.0, apart < 2.0]
    assert 0.63 < within[0] / 800 < 0.73
    assert 0.93 < within[1] / 800 < 0.975


def test_the_usual_jug_of_water_weighs_two_pounds() -> None:
    """2 lb is 907.2 g exactly; 998.2 g/L at 20 °C less 1.2 g of air (tables, from memory)."""
    found = hung_water(0.862, 0.0470 / units.POUND)
    assert found.load_lb == pytest.approx(0.9072 / 0.45359, rel=stated_to_three_figures)
    litre, jug = ufloat(0.862, 0.00862), ufloat(0.047, 0.002)
    told = litre * 0.99701 + jug
    assert found.error_percent == pytest.approx(100 * told.s / told.n, rel=one_percent)
    warm = hung_water(0.862, 0.0470 / units.POUND, 104.0)
    assert warm.load_lb < found.load_lb


def test_water_without_its_jug_is_refused() -> None:
    with pytest.raises(MissingRefusal, match="Weigh the empty jug"):
        hung_water(0.907, None)
    with pytest.raises(BoundRefusal, match=r"grains \(gr\) are not grams"):
        hung_water(0.907, units.quantity("45 gr", "lb", what="The jug"))
    with pytest.raises(BoundRefusal, match="litres against millilitres"):
        hung_water(907.0, 0.1)


def test_slips_of_unit_are_asked_about() -> None:
    kilograms = BenchReading(span_in=26.0, load_lb=0.907, deflection_in=0.52)
    assert "typed as pounds?" in unlikely([kilograms])[0]
    usual = BenchReading(span_in=26.0, load_lb=2.0, deflection_in=0.52)
    shaft = Shaft(
        name="1",
        kind="solid",
        length_in=30.0,
        stations=(DiameterStation(station_in=15.0, diameter_in=11 / 32),),
    )
    assert unlikely([usual], shaft) == ()
    heavy = BenchReading(span_in=26.0, load_lb=5.6, deflection_in=0.52)
    (asked,) = unlikely([heavy], shaft)
    assert "as stiff as no wood is" in asked
    assert "pounds typed as kilograms" in asked
