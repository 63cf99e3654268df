"""Drying by weighings: the rule, the curve, the days, the spine when dry, and what is refused."""

from __future__ import annotations

import datetime
import math
from typing import Any

import numpy as np
import pytest

from loosewell.errors import BoundRefusal, ContradictionRefusal, MissingRefusal
from loosewell.records import Shaft
from loosewell.workshop import drying
from loosewell.workshop.drying import Change, dried_factor, drying_change
from tolerances import one_percent, stated_to_three_figures, stated_to_two_figures

FIRST = datetime.date(2026, 3, 1)
REST, EXCESS, DAYS = 410.0, 0.45, 28.0


def day(number: float) -> datetime.date:
    return FIRST + datetime.timedelta(days=int(number))


def weight(number: float) -> float:
    return REST * (1.0 + EXCESS * math.exp(-number / DAYS))


def shoot(numbers: list[int], error_gr: float | None = 1.5, seed: int = 5, **more: Any) -> Shaft:
    rng = np.random.default_rng(seed)
    noise = (4.5 if error_gr is None else error_gr) * rng.standard_normal(len(numbers))
    return Shaft(
        name="Hazel 3",
        kind="shoot",
        length_in=36.0,
        weighings=tuple(
            {"on": day(n), "weight_gr": round(weight(n) + e, 1), "weight_error_gr": error_gr}
            for n, e in zip(numbers, noise, strict=True)
        ),
        **more,
    )


def weeks(count: int) -> list[int]:
    return [7 * k for k in range(count)]


def test_ten_exact_weeks_tell_mass_and_day() -> None:
    told = drying.drying(shoot(weeks(10)), day(63))
    assert told.final_weight_gr.middle == pytest.approx(REST, rel=one_percent)
    assert told.final_weight_gr.low < REST < told.final_weight_gr.high
    assert told.time_constant_days.low < DAYS < told.time_constant_days.high
    assert told.steady_on is not None
    # Closed form of the week whose loss is the scale's 1.5 gr.
    start = REST * EXCESS * (1.0 - math.exp(-7.0 / DAYS))
    true = DAYS * math.log(start / 1.5) + 7.0
    low, _, high = told.steady_on
    assert low <= day(true) <= high
    assert (high - low).days < 45


def test_more_weighings_narrow_the_days() -> None:
    few, many = (drying.drying(shoot(weeks(n)), day(7 * n - 7)) for n in (3, 9))
    assert few.steady_on is not None
    assert many.steady_on is not None
    assert (few.steady_on[2] - few.steady_on[0]) > 2 * (many.steady_on[2] - many.steady_on[0])
    assert "how shoots usually dry" in few.fit_text
    assert "least squares" in many.fit_text


def test_the_days_hold_the_truth_eight_of_ten_times() -> None:
    held, trials = 0, 60
    start = REST * EXCESS * (1.0 - math.exp(-7.0 / DAYS))
    true = day(DAYS * math.log(start / 1.5) + 7.0)
    for seed in range(trials):
        told = drying.drying(shoot(weeks(6), seed=seed), day(35))
        assert told.steady_on is not None
        held += told.steady_on[0] <= true <= told.steady_on[2]
    # Three standard errors of 60 trials below; the prior is centred near, so more may hold.
    assert held / trials > 0.8 - 3.0 * (0.16 / trials) ** 0.5


def test_two_weights_a_week_apart_that_agree_are_steady() -> None:
    told = drying.drying(shoot([0, 7, 14, 21, 28, 210, 217]), day(217))
    assert told.steady_by_rule
    assert told.steady_on is None
    assert "common practice, no source" in told.rule_text
    assert told.next_on == day(217 + 28)


def test_a_coarse_scale_calls_it_steady_while_water_is_left() -> None:
    """The rule's weakness, told: what is lost after it is the closed form's remainder."""
    numbers = weeks(18)
    told = drying.drying(shoot(numbers, error_gr=4.5), day(numbers[-1]))
    left = REST * EXCESS * math.exp(-numbers[-1] / DAYS)
    assert told.water_now_gr.middle == pytest.approx(left, abs=2.0)
    assert told.still_to_lose_gr.middle == pytest.approx(
        4.5 / (math.exp(7.0 / DAYS) - 1.0), rel=0.15
    )


def test_the_next_weighing_is_a_week_on_but_never_in_the_past() -> None:
    assert drying.drying(shoot(weeks(4)), day(22)).next_on == day(28)
    late = drying.drying(shoot(weeks(4)), day(60))
    assert late.next_on == day(60)
    assert "which is today" in late.next_text


def test_weighings_a_day_apart_do_not_ask_the_weekly_rule() -> None:
    told = drying.drying(shoot([0, 1, 2]), day(2))
    assert not told.steady_by_rule
    assert "cannot be asked yet" in told.rule_text


def test_a_missing_error_is_assumed_and_said() -> None:
    told = drying.drying(shoot(weeks(5), error_gr=None), day(28))
    assert any("4.5 gr" in one for one in told.assumed)
    assert {one.weight_error_gr for one in told.weighings} == {4.5}


def test_weighings_that_stray_widen_the_errors_and_say_so() -> None:
    shaft = shoot(weeks(9))
    strayed = [
        {**one.model_dump(), "weight_gr": one.weight_gr + (12.0 if k % 2 else -12.0)}
        for k, one in enumerate(shaft.weighings)
    ]
    # Up and down by 12 gr on a scale of 5 gr: within what may rise, not within the errors.
    loose = Shaft(**{**shaft.model_dump(), "weighings": [
        {**one, "weight_error_gr": 5.0} for one in strayed
    ]})  # fmt: skip
    told = drying.drying(loose, day(56))
    assert "times as far from a smooth curve" in told.fit_text
    assert any("widened" in one for one in told.assumed)


@pytest.mark.parametrize(
    ("weights", "refusal", "code"),
    [
        ([], MissingRefusal, "drying-too-few"),
        ([(0, 600.0)], MissingRefusal, "drying-too-few"),
        ([(0, 600.0), (0, 599.0)], MissingRefusal, "drying-too-few"),
        ([(0, 520.0), (7, 610.0)], ContradictionRefusal, "drying-rising"),
        ([(0, 600.0), (7, 560.0), (14, 590.0)], ContradictionRefusal, "drying-rising"),
    ],
)
def test_weighings_that_cannot_be_used_are_refused(
    weights: list[tuple[int, float]], refusal: type[Exception], code: str
) -> None:
    shaft = Shaft(
        name="Hazel 3", weighings=tuple({"on": day(n), "weight_gr": gr} for n, gr in weights)
    )
    with pytest.raises(refusal) as refused:
        drying.drying(shaft, day(30))
    assert refused.value.code == code  # type: ignore[attr-defined]
    assert "Hazel 3" in str(refused.value)


def test_a_little_damp_is_no_contradiction() -> None:
    """A rise of one percent is the weather's."""
    shaft = Shaft(
        name="Hazel 3",
        weighings=tuple(
            {"on": day(n), "weight_gr": gr, "weight_error_gr": 1.5}
            for n, gr in [(0, 420.0), (7, 415.0), (14, 420.0)]
        ),
    )
    assert drying.drying(shaft, day(14)).final_weight_gr.middle > 300.0


@pytest.mark.parametrize(
    "air", [{"humidity_percent": 130.0}, {"temperature_f": 300.0}, {"humidity_percent": 0.0}]
)
def test_air_that_no_room_has_is_refused(air: dict[str, float]) -> None:
    with pytest.raises(BoundRefusal, match="outside"):
        drying.drying(shoot(weeks(4)), day(21), **air)


def test_heat_is_never_mentioned_without_its_caution() -> None:
    told = drying.drying(shoot(weeks(4)), day(21))
    heat = next(one for one in told.cautions if one.code == "no-heat-to-dry")
    assert "Do not put it in an oven" in heat.text
    assert "gloves" in heat.text
    assert "fumes" in heat.text


def test_a_known_wood_dries_as_its_own_row_says() -> None:
    """Wood Handbook Table 5-3b: Port-Orford-cedar 1.30 green, 1.70 at 12 %."""
    own, any_wood = drying_change("Port-Orford-cedar"), drying_change("hazel from the hedge")
    assert own.stiffening == pytest.approx(math.log(1.70 / 1.30), rel=stated_to_three_figures)
    assert own.stiffening_error < any_wood.stiffening_error
    assert "Port-Orford-cedar" in own.source
    assert any_wood.stiffening == pytest.approx(0.243, rel=stated_to_two_figures)
    assert any_wood.thinning < 0.0


@pytest.mark.parametrize(
    ("moisture", "modulus"), [(0.06, 1.924), (0.08, 1.846), (0.12, 1.700), (0.18, 1.502)]
)
def test_the_modulus_follows_the_handbook_relation(moisture: float, modulus: float) -> None:
    """Port-Orford-cedar by P = P12 (P12/Pg)^((12 − M)/13), worked by hand; relation from memory."""
    exact = Change(math.log(1.70 / 1.30), 0.0, 0.0, 0.0, "")
    n = 4001
    told, second = dried_factor(np.full(n, 0.60), np.full(n, moisture), exact, 3)
    # The moisture at which drying begins to tell is itself uncertain: the median is its middle.
    assert np.median(1.30 * told) == pytest.approx(modulus, rel=stated_to_three_figures)
    assert np.all(second == 1.0)


def test_shrinking_takes_back_what_stiffening_gives() -> None:
    """Green to 12 %: the section's area by the table's two densities, I with its square."""
    exact = Change(0.0, 0.0, -0.088, 0.0, "")
    modulus, second = dried_factor(np.full(9, 0.60), np.full(9, 0.12), exact, 3)
    assert np.all(modulus == 1.0)
    assert second == pytest.approx(math.exp(-0.176), rel=1e-12)
    # Above fibre saturation nothing shrinks.
    _, above = dried_factor(np.full(9, 0.60), np.full(9, 0.35), exact, 3)
    assert np.all(above == 1.0)


def reading(**more: Any) -> dict[str, Any]:
    return {"span_in": 26.0, "load_lb": 2.0, "deflection_in": 0.5, **more}


def test_the_spine_when_dry_is_a_range_that_holds_both_changes() -> None:
    shaft = shoot(weeks(9), bench_readings=(reading(on=FIRST),))
    told = drying.drying(shaft, day(56)).spine
    assert told is not None
    assert not told.read_day_assumed
    dry, now = told.dry_spine_26in_2lb_lb, told.spine_26in_2lb_lb
    assert dry.high - dry.low > now.high - now.low
    grown = 1.0 + told.stiffening_percent.middle / 100.0
    thinned = 1.0 + told.thinning_percent.middle / 100.0
    assert grown > 1.0 > thinned
    assert dry.middle == pytest.approx(now.middle * grown * thinned, rel=2 * one_percent)
    # 31.499 = pounds times inches of the two standards.
    assert dry.middle * told.dry_deflection_28in_1_94lb_in.middle == pytest.approx(
        31.499, rel=stated_to_three_figures
    )


def test_a_shaft_bent_when_dry_keeps_its_spine() -> None:
    shaft = shoot([*weeks(9), 250, 257], bench_readings=(reading(on=day(257)),))
    told = drying.drying(shaft, day(257)).spine
    assert told is not None
    assert told.dry_spine_26in_2lb_lb.middle == pytest.approx(
        told.spine_26in_2lb_lb.middle, rel=one_percent
    )


def test_a_reading_without_its_day_says_what_was_assumed() -> None:
    told = drying.drying(shoot(weeks(5), bench_readings=(reading(),)), day(28))
    assert told.spine is not None
    assert told.spine.read_day_assumed
    assert told.spine.read_on == day(28)
    assert "assumed" in told.spine_text
    assert "(26 in span, 2 lb)" in told.spine_text
    assert "(28 in span, 1.94 lb)" in told.spine_text
    bare = drying.drying(shoot(weeks(5)), day(28))
    assert bare.spine is None
    assert "No bench reading yet" in bare.spine_text
