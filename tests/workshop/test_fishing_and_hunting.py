"""Fishing cards and line stops; cold first shots and typed rules: no engine but water and light."""

from __future__ import annotations

import datetime
import math

import numpy as np
import pytest

from loosewell.errors import BoundRefusal, MissingRefusal
from loosewell.records.outing import Outing, ShotSeen
from loosewell.workshop import fishing, hunting
from loosewell.workshop.answer import Band
from loosewell.workshop.fishing import Line, Water
from loosewell.workshop.hunting import ColdShot, Rule
from tolerances import stated_to_two_figures

TODAY = datetime.date(2026, 6, 1)


def aim(distance_ft: float, depth_in: float, water: Water | None = None) -> fishing.Aim:
    water = water or Water(eye_height_ft=5.5)
    return fishing.aims(water, np.array([distance_ft]), np.array([depth_in]), math.radians(18.0))[0]


@pytest.mark.parametrize(
    ("distance_ft", "depth_in", "below_in"), [(20.0, 12.0, 8.0), (10.0, 36.0, 16.0)]
)
def test_the_two_disputed_fish(distance_ft: float, depth_in: float, below_in: float) -> None:
    """20 ft out 1 ft down about 8 in, 10 ft out 3 ft down about 16 in, eye 5 1/2 ft up.

    Geometry with Snell's law, worked out beforehand to the inch; the rules in circulation (11, 21
    and 13 in) do not say which depth they mean.
    """
    assert aim(distance_ft, depth_in).below_in == pytest.approx(below_in, abs=0.5)


def test_the_fish_seems_as_much_higher_as_the_aim_is_lower() -> None:
    one = aim(15.0, 24.0)
    assert one.seen_depth_in + one.below_in == pytest.approx(24.0, abs=0.11)


def test_deeper_and_farther_fish_want_a_lower_aim() -> None:
    assert aim(15.0, 24.0).below_in > aim(15.0, 12.0).below_in > aim(9.0, 12.0).below_in > 0.0


def test_ripples_widen_the_card_and_still_water_does_not() -> None:
    still = Water(eye_height_ft=5.5, slope_deg=0.0)
    rough = Water(eye_height_ft=5.5, slope_deg=8.0)
    assert aim(12.0, 24.0, still).wave_in == 0.0
    assert aim(12.0, 24.0, rough).error_in > aim(12.0, 24.0, still).error_in > 0.0
    assert aim(12.0, 24.0, rough).below_in == aim(12.0, 24.0, still).below_in


def test_the_error_holds_an_inch_of_depth_and_the_eye() -> None:
    still = Water(eye_height_ft=5.5, slope_deg=0.0)
    here = aim(12.0, 24.0, still)
    inch = aim(12.0, 25.0, still).below_in - here.below_in
    higher = Water(eye_height_ft=5.75, arrow_height_ft=5.0, slope_deg=0.0)
    eye = aim(12.0, 24.0, higher).below_in - here.below_in
    # All three are told to a tenth of an inch.
    assert here.error_in == pytest.approx(math.hypot(inch, eye), abs=0.1)
    assert min(inch, abs(eye)) > 0.1


def test_flat_shots_are_marked_as_those_that_may_skip() -> None:
    """18 degrees over the root of the specific gravity, from memory; here a body as dense as water.

    Arrow 5 ft up: at 20 ft and 6 in down the way dips atan(5.5 / 20) = 15.4 degrees.
    """
    flat, steep = aim(20.0, 6.0), aim(6.0, 6.0)
    assert flat.dip_deg == pytest.approx(math.degrees(math.atan2(5.5, 20.0)), abs=0.1)
    assert flat.may_skip
    assert not steep.may_skip


@pytest.mark.parametrize(
    ("distance_ft", "depth_in", "says"),
    [(15.0, -3.0, "above the surface"), (1.0, 6.0, "outside 3 to 60 ft"),
     (15.0, 200.0, "outside 0 to 120 in")],
)  # fmt: skip
def test_fish_that_cannot_be_are_refused(distance_ft: float, depth_in: float, says: str) -> None:
    with pytest.raises(BoundRefusal, match=says):
        fishing.check_fish(distance_ft, depth_in)


@pytest.mark.parametrize(
    ("line", "code"),
    [(Line(on=True, at_nock=True), "line-at-nock"), (Line(ahead=False), "line-behind"),
     (Line(round_hand=True), "line-round-hand")],
)  # fmt: skip
def test_a_bad_line_is_a_stop(line: Line, code: str) -> None:
    told = fishing.line_stops(line)
    assert [one.code for one in told] == [code]
    assert told[0].text.startswith("Do not shoot")


def test_what_was_not_looked_at_stays_to_be_looked_at() -> None:
    assert len(fishing.line_checks(Line())) == 3
    assert fishing.line_checks(Line(True, True, False, False)) == []
    assert fishing.line_checks(Line(on=False)) == []
    assert fishing.line_stops(Line()) == []


def test_water_that_cannot_be_is_refused() -> None:
    with pytest.raises(BoundRefusal, match="not known"):
        Water(kind="soup")
    with pytest.raises(BoundRefusal, match="above the eye"):
        Water(eye_height_ft=4.0, arrow_height_ft=5.0)
    with pytest.raises(BoundRefusal, match="outside 0 to 15 deg"):
        Water(slope_deg=40.0)


# ---- cold first shots


def colds(days: int, slope: float, seed: int = 3) -> list[ColdShot]:
    """Made-up cold shots whose miss grows with distance: standard deviation slope times yards."""
    rng = np.random.default_rng(seed)
    found = []
    for k in range(days):
        far = (12.0, 18.0, 24.0, 30.0)[k % 4]
        left, high = rng.normal(0.0, slope * far, 2)
        found.append(ColdShot(TODAY - datetime.timedelta(days=k + 1), far, left, high))
    return found


def test_below_ten_days_nothing_is_told() -> None:
    told = hunting.cold_distance(colds(9, 0.2), 8.0)
    assert told.distance_yd is None
    assert "Cannot tell yet: 9 days" in told.text


def test_the_distance_follows_rayleigh() -> None:
    """1 - exp(-R²/2s²) = 5/6 at R = 4 in: s = 2.113 in, so 10.6 yd where s is 0.2 in a yard."""
    wanted = 4.0 / math.sqrt(2.0 * math.log(6.0)) / 0.2
    told = hunting.cold_distance(colds(400, 0.2), 8.0)
    assert told.distance_yd is not None
    assert told.distance_yd.middle == pytest.approx(wanted, rel=stated_to_two_figures)
    assert told.distance_yd.low < wanted < told.distance_yd.high


def test_the_interval_holds_the_truth_nineteen_times_of_twenty() -> None:
    wanted = 4.0 / math.sqrt(2.0 * math.log(6.0)) / 0.2
    held = 0
    for seed in range(300):
        told = hunting.cold_distance(colds(12, 0.2, seed), 8.0)
        assert told.distance_yd is not None
        held += told.distance_yd.low - 0.06 <= wanted <= told.distance_yd.high + 0.06
    # 285 of 300 on average; 3.8 is one standard deviation.
    assert 270 <= held <= 297


def test_it_never_goes_beyond_what_was_shot() -> None:
    told = hunting.cold_distance(colds(20, 0.01), 8.0)
    assert told.distance_yd is not None
    assert told.capped
    assert told.distance_yd.middle == 30.0
    assert "farthest you have shot cold" in told.text


def test_a_miss_aside_of_the_aim_counts_although_the_group_is_small() -> None:
    tight = [ColdShot(one.on, one.distance_yd, 6.0, 0.0) for one in colds(12, 0.01)]
    told = hunting.cold_distance(tight, 8.0)
    assert told.inside == 0
    assert told.distance_yd is not None
    assert told.distance_yd.middle < 30.0


def test_cold_shots_come_from_outings_one_a_day_bad_ones_too() -> None:
    def outing(name: str, day: int, *shots: ShotSeen, aimed: bool = True) -> Outing:
        return Outing(
            name=name, bow="B", archer="A", on=datetime.date(2026, 5, day), distance_yd=18.0,
            shots=shots, positions_from="aim" if aimed else "fletched group",
        )  # fmt: skip

    cold = ShotSeen(left_in=1.0, high_in=-2.0, cold=True, called="bad")
    warm = ShotSeen(left_in=9.0, high_in=9.0)
    found = hunting.cold_of(
        [
            outing("b", 2, warm, cold, ShotSeen(left_in=5.0, high_in=5.0, cold=True)),
            outing("a", 1, cold),
            outing("c", 2, cold),
            outing("d", 3, cold, aimed=False),
            outing("e", 4, warm),
        ]
    )
    assert [(one.on.day, one.left_in, one.high_in) for one in found] == [(1, 1.0, -2.0),
                                                                        (2, 1.0, -2.0)]  # fmt: skip


# ---- rules


def rule(**changes: object) -> Rule:
    told: dict[str, object] = {
        "what": "draw weight", "bound": "at least", "value": 40.0, "source": "a law",
        "on": datetime.date(2026, 1, 31),
    }  # fmt: skip
    return Rule(**(told | changes))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changes", "kind", "says"),
    [({"on": None}, MissingRefusal, "has no date"), ({"source": " "}, MissingRefusal, "no source"),
     ({"what": "colour"}, BoundRefusal, "not known"),
     ({"bound": "about"}, BoundRefusal, "at least"),
     ({"value": math.nan}, BoundRefusal, "says nothing")],
)  # fmt: skip
def test_a_rule_without_its_parts_is_refused(
    changes: dict[str, object], kind: type[Exception], says: str
) -> None:
    with pytest.raises(kind, match=says):
        rule(**changes)


@pytest.mark.parametrize(
    ("low", "high", "says"),
    [(42.0, 44.0, "above it"), (36.0, 38.0, "below it"), (39.0, 41.0, "on both sides")],
)
def test_a_rule_is_told_beside_the_figure_without_a_verdict(
    low: float, high: float, says: str
) -> None:
    told = hunting.beside(rule(), Band(0.5 * (low + high), low, high), TODAY)
    assert says in told.text
    assert "a law, 2026-01-31" in told.text
    for word in ("legal", "enough", "safe", "allowed", "pass"):
        assert word not in told.text.lower()


def test_an_unknown_figure_stays_unknown_and_an_old_rule_is_to_be_read_again() -> None:
    told = hunting.beside(rule(on=datetime.date(2024, 1, 1)), None, TODAY)
    assert "not known" in told.text
    assert "read it again" in told.text
    assert told.value is None
    with pytest.raises(BoundRefusal, match="still to come"):
        hunting.beside(rule(on=datetime.date(2027, 1, 1)), None, TODAY)
