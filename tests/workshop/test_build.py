"""The cut plan: every length adds up, every grain is counted, and stops come before any cut."""

from __future__ import annotations

import dataclasses
import datetime
import math
from typing import Any

import numpy as np
import pytest
import uncertainties
from scipy import integrate

from loosewell.errors import BoundRefusal, ContradictionRefusal, MissingRefusal
from loosewell.physics import shaft as physics
from loosewell.records import (
    Archer,
    Arrow,
    Bow,
    DiameterStation,
    DrawReading,
    Fletching,
    Inspection,
    Joint,
    Section,
    Shaft,
)
from loosewell.records.arrow import ExtraPart
from loosewell.workshop.build import BuildPart, BuildPlan, BuildWish, budget, build
from tolerances import one_percent, round_off, tenth_grain_gr, thousandth_inch_in

BARE = Fletching(material="none")
WIDE = 11 / 32
PASSED = Inspection(result="passed", on=datetime.date(2026, 4, 1))


def shaft(**changes: Any) -> Shaft:
    """A parallel rod of 10 gr an inch, 32 in long."""
    usual: dict[str, Any] = {
        "name": "S1",
        "kind": "solid",
        "length_in": 32.0,
        "stations": (DiameterStation(station_in=16.0, diameter_in=WIDE),),
        "weight_gr": 320.0,
        "inspection": PASSED,
    }
    return Shaft(**(usual | changes))


def archer(**changes: Any) -> Archer:
    usual: dict[str, Any] = {
        "name": "Fern",
        "hand": "right",
        "draw_length_in": 26.0,
        "draw_measured": "true",
        "draw_method": "marked arrow",
    }
    return Archer(**(usual | changes))


def bow(**changes: Any) -> Bow:
    usual: dict[str, Any] = {
        "name": "Alder",
        "hand": "right",
        "make": "plain wooden",
        "draw_measured": "true",
        "draw_readings": (
            DrawReading(draw_in=24.0, weight_lb=44.0),
            DrawReading(draw_in=26.0, weight_lb=50.0),
        ),
        "drawn_to_limit_in": 27.0,
    }
    return Bow(**(usual | changes))


def plan(**wished: Any) -> BuildPlan:
    usual: dict[str, Any] = {"length_in": 28.0, "point_weight_gr": 125.0}
    return build(shaft(), BuildWish(**(usual | wished)))


def line(told: BuildPlan, what: str) -> BuildPart:
    return next(one for one in told.parts if one.what == what)


# ---- geometry


@pytest.mark.parametrize(("wide", "narrow"), [(0.0087, 0.0043), (0.0087, 0.0), (0.0087, 0.0087)])
def test_a_taper_has_the_volume_and_the_middle_of_its_slices(wide: float, narrow: float) -> None:
    """Slices of a cone added up by quadrature."""
    length = 0.0254
    volume, centre = physics.frustum(wide, narrow, length)

    def slice_(x: float) -> float:
        return math.pi / 4 * (wide + (narrow - wide) * x / length) ** 2

    added = integrate.quad(slice_, 0.0, length)[0]
    assert volume == pytest.approx(added, rel=1e-9)
    moment = integrate.quad(lambda x: x * slice_(x), 0.0, length)[0]
    assert centre == pytest.approx(moment / added, rel=1e-9)


def test_a_taper_wider_at_its_narrow_end_has_no_volume() -> None:
    assert math.isnan(physics.frustum(0.004, 0.008, 0.02)[0])


def test_usual_tapers_are_an_inch_under_the_point_and_half_an_inch_under_the_nock() -> None:
    """Trade, from memory: 11/32 in drops 0.175 in an inch at 5 deg, 0.389 in at 11 deg."""
    point = physics.taper_length(WIDE, WIDE - 0.175, math.radians(5.0))
    nock = physics.taper_length(WIDE, WIDE - 0.389 / 2, math.radians(11.0))
    assert point == pytest.approx(1.0, rel=one_percent)
    assert nock == pytest.approx(0.5, rel=one_percent)
    told = plan()
    tapers = {one.what: one for one in told.tapers}
    assert tapers["point"].length_in == pytest.approx(1.0, abs=0.02)
    assert tapers["nock"].length_in == pytest.approx(0.5, abs=0.02)


def test_bending_stress_is_moment_over_section_modulus() -> None:
    """Worked by hand: 13 lbf in on 11/32 in, 32 x 13 / (pi x 0.34375³) = 3260 psi."""
    assert physics.bending_stress_solid(13.0, 0.34375) == pytest.approx(3260.0, rel=1e-3)
    radius = 0.17
    second = math.pi * radius**4 / 4.0
    assert physics.bending_stress_solid(2.0, 2 * radius) == pytest.approx(2.0 * radius / second)


# ---- lengths


@pytest.mark.parametrize(
    ("nock", "throat_in"),
    [("self", 5 / 16), ("plastic", -1 / 16), ("inserted", -1 / 4)],
)
def test_the_cut_length_is_nock_arrow_and_socket(nock: str, throat_in: float) -> None:
    """Arithmetic: throat inside the shaft, 28 in of arrow, 7/8 in inside the point."""
    told = plan(nock_kind=nock, point_socket_in=0.875)
    assert told.cut_in == pytest.approx(throat_in + 28.0 + 0.875, abs=1e-4)
    assert told.needs_in == pytest.approx(told.cut_in + 1 / 8 + 1 / 32, abs=1e-4)
    assert told.first_cut_in == pytest.approx(min(told.cut_in + 2.0, 32 - 1 / 32 - 1 / 8), abs=1e-4)


def test_a_point_without_a_socket_is_cut_at_its_back_and_has_no_taper() -> None:
    told = plan(point_socket_in=0.0)
    assert told.cut_in == pytest.approx(28.0 - 1 / 16, abs=1e-4)
    assert [one.what for one in told.tapers] == ["nock"]


def test_marks_are_told_from_the_squared_end_and_from_the_throat() -> None:
    told = plan(nock_kind="self", throat_in=0.3)
    back = next(one for one in told.marks if "back of the point" in one.what)
    assert back.from_throat_in == 28.0
    assert back.from_end_in == pytest.approx(28.3, abs=1e-9)
    assert [one.from_end_in for one in told.marks] == sorted(one.from_end_in for one in told.marks)


def test_the_wish_for_no_length_takes_the_least_of_the_archer_to_the_next_quarter() -> None:
    """26 in true draw, 1.75 in to the back of the bow, 1 in over: 28.75 in (stops.py)."""
    told = build(shaft(), archer=archer())
    assert told.length_in == 28.75
    assert told.minimum_length_in == 28.75
    assert build(shaft(), archer=archer(draw_length_in=26.1)).length_in == 29.0


# ---- stops


def test_no_arrow_is_planned_shorter_than_the_archer_needs() -> None:
    told = build(shaft(), BuildWish(length_in=28.5), archer=archer())
    assert [one.code for one in told.stops] == ["arrow-too-short"]
    assert told.stops[0].text.startswith("Do not cut")
    assert told.marks == []
    assert told.weight is None
    assert build(shaft(), BuildWish(length_in=28.75), archer=archer()).stops == []


def test_the_stops_of_the_bow_come_before_the_cut_too() -> None:
    deep = archer(draw_length_in=28.0)
    told = build(shaft(), BuildWish(length_in=31.0), archer=deep, bow=bow())
    assert "draw-beyond-limit" in [one.code for one in told.stops]
    assert told.parts == []


def test_a_failed_shaft_and_a_child_measured_by_hearsay_are_stops() -> None:
    broken = shaft(inspection=Inspection(result="failed", on=datetime.date(2026, 4, 1)))
    assert [one.code for one in build(broken, BuildWish(length_in=28.0)).stops] == ["shaft-unfit"]
    child = archer(child=True, draw_method="told", draw_length_in=20.0)
    assert "child-draw-not-measured" in [one.code for one in build(shaft(), archer=child).stops]


def test_without_an_archer_it_is_said_that_nobody_was_asked() -> None:
    assert "no-archer" in [one.code for one in plan().warnings]
    assert "no-archer" not in [one.code for one in build(shaft(), archer=archer()).warnings]


@pytest.mark.parametrize(
    ("changes", "wish", "code"),
    [
        ({"length_in": 29.0, "weight_gr": 290.0}, {"length_in": 28.0}, "cut-longer-than-shaft"),
        ({"length_in": None, "stations": ()}, {"length_in": 28.0}, "missing-length"),
        ({}, {}, "missing-length"),
        ({}, {"length_in": 28.0, "point_socket_in": 4.0}, "bound-socket"),
        ({}, {"length_in": 28.0, "kerf_in": 1.0}, "bound-allowance"),
        ({}, {"length_in": 28.0, "point_weight_gr": 8.1}, "bound-point"),
        ({}, {"length_in": 28.0, "point_socket_in": 2.4}, "taper-too-long"),
    ],
)
def test_what_cannot_be_built_is_refused_in_a_sentence(
    changes: dict[str, Any], wish: dict[str, Any], code: str
) -> None:
    with pytest.raises((BoundRefusal, ContradictionRefusal, MissingRefusal)) as told:
        build(shaft(**changes), BuildWish(**wish))
    assert told.value.code == code
    assert told.value.message.endswith(".")


def test_grams_typed_as_grains_in_a_part_are_asked_about() -> None:
    heavy = ExtraPart(what="insert", weight_gr=480.0, at_in=27.0)
    with pytest.raises(ContradictionRefusal, match="grams") as told:
        plan(extra_parts=(heavy,))
    assert told.value.code == "part-implausible"


# ---- mass and balance


def test_a_plain_rod_with_a_point_and_a_slotted_nock_weighs_and_balances_as_worked_by_hand() -> (
    None
):
    """By hand. Rod 10 gr/in; L = 28 in; slot 0.3 x 1/8 in; no fletching; point 125 gr.

    Shaft behind the point: 28.3 in, 283 gr, middle 13.85 in from the throat. Slot: of a section
    of 0.0928 in² goes 0.125 x 0.34375 = 0.04297 in², 46.3 %: 0.3 x 10 x 0.463 = 1.389 gr at
    -0.15 in. Point: 28 + 0.35 x 0.9 = 28.315 in.
    """
    told = plan(nock_kind="self", throat_in=0.3, point_socket_in=0.0, fletching=BARE)
    assert told.weight is not None
    assert told.balance_in is not None
    slot = 0.3 * 10.0 * 0.125 * WIDE / (math.pi * WIDE**2 / 4.0)
    weight = 283.0 - slot + 125.0
    moment = 283.0 * 13.85 + slot * 0.15 + 125.0 * 28.315
    assert line(told, "slot of the nock, cut away").weight_gr == pytest.approx(-1.389, abs=0.01)
    assert told.weight.middle == pytest.approx(weight, abs=tenth_grain_gr)
    assert told.balance_in.middle == pytest.approx(moment / weight, abs=0.006)
    assert told.foc_percent is not None
    foc = 100.0 * (moment / weight - 14.0) / 28.0
    assert told.foc_percent.middle == pytest.approx(foc, abs=0.06)


def test_tapers_take_away_what_their_cones_do() -> None:
    """Frustum by hand: (D² + D d + d²)/3 over D² of a whole stretch."""
    told = plan(fletching=BARE)
    for what, flat in (("taper inside the point", 0.17), ("taper under the nock", 0.15)):
        taper = next(one for one in told.tapers if one.what in what)
        share = (WIDE**2 + WIDE * flat + flat**2) / 3.0 / WIDE**2
        assert line(told, what).weight_gr == pytest.approx(10.0 * taper.length_in * share, abs=0.02)


def test_the_lines_of_the_budget_add_up_to_the_arrow() -> None:
    told = plan(extra_parts=(ExtraPart(what="insert", weight_gr=20.0, at_in=27.0),), finish_gr=6.0)
    assert told.weight is not None
    assert told.balance_in is not None
    weight = sum(one.weight_gr for one in told.parts)
    moment = sum(one.weight_gr * one.at_in for one in told.parts)
    assert told.weight.middle == pytest.approx(weight, abs=tenth_grain_gr)
    assert told.balance_in.middle == pytest.approx(moment / weight, abs=0.006)
    assert sum(one.share_of_mass_percent for one in told.parts) == pytest.approx(100.0, abs=0.6)
    assert sum(one.share_of_balance_percent for one in told.parts) == pytest.approx(100.0, abs=0.6)
    assert line(told, "insert").at_in == 27.0


def test_a_sleeve_is_a_line_of_its_own_and_not_counted_twice() -> None:
    jointed = shaft(
        weight_gr=365.0,
        joints=(Joint(station_in=16.0, sleeve_length_in=2.0, sleeve_weight_gr=45.0),),
    )
    wish = BuildWish(length_in=28.0, point_weight_gr=125.0)
    told, plain = build(jointed, wish), build(shaft(), wish)
    sleeve = next(one for one in told.parts if one.what.startswith("sleeve"))
    assert sleeve.weight_gr == 45.0
    assert sleeve.at_in == pytest.approx(16.0 - 1 / 8 + 1 / 16, abs=thousandth_inch_in)
    assert line(told, "shaft").weight_gr == pytest.approx(line(plain, "shaft").weight_gr, abs=0.05)
    assert told.weight is not None
    assert plain.weight is not None
    assert told.weight.middle - plain.weight.middle == pytest.approx(45.0, abs=tenth_grain_gr)


def test_errors_of_mass_and_balance_agree_with_the_uncertainties_package() -> None:
    """First-order propagation by a general-purpose library."""
    lines = [
        BuildPart("a", 280.0, 1.5, 14.0, 0.15, False, ""),
        BuildPart("b", 125.0, 1.0, 28.3, 0.10, False, ""),
        BuildPart("c", 11.0, 1.6, 3.0, 0.30, True, ""),
    ]
    masses = [uncertainties.ufloat(one.weight_gr, one.error_gr) for one in lines]
    places = [uncertainties.ufloat(one.at_in, one.at_error_in) for one in lines]
    whole = sum(masses)
    balance = sum(m * x for m, x in zip(masses, places, strict=True)) / whole
    found = budget(lines)
    assert found[0] == pytest.approx(whole.nominal_value, rel=round_off)
    assert found[1] == pytest.approx(balance.nominal_value, rel=round_off)
    assert found[2] == pytest.approx(whole.std_dev, rel=1e-9)
    assert found[3] == pytest.approx(balance.std_dev, rel=1e-9)
    of_balance = balance.error_components()
    for one, mass, place in zip(found[4], masses, places, strict=True):
        share = 100.0 * (of_balance[mass] ** 2 + of_balance[place] ** 2) / balance.std_dev**2
        assert one.share_of_balance_percent == pytest.approx(share, abs=0.06)


def test_a_shaft_heavier_in_front_keeps_its_heavy_end_when_its_rear_is_kept() -> None:
    """Footing 100 gr in the last 8 in: a cut from the front takes it away, and says so."""
    footed = shaft(sections=(Section(from_in=24.0, to_in=32.0, weight_gr=100.0),))
    told = build(footed, BuildWish(length_in=28.0, point_weight_gr=125.0, point_socket_in=0.0))
    assert "cut-through-section" in [one.code for one in told.warnings]
    body = line(told, "shaft")
    taper = line(told, "taper under the nock")
    # Rear 24 in weigh 220 gr, of the front 8 in 4.0625 are left.
    whole = 220.0 * (24.0 - 1 / 8) / 24.0 + 100.0 * (28.0 + 1 / 8 - 1 / 16 - 24.0) / 8.0
    cone = next(one for one in told.tapers if one.what == "nock").length_in
    assert body.weight_gr == pytest.approx(whole - cone * 220.0 / 24.0, abs=0.05)
    assert taper.weight_gr < cone * 220.0 / 24.0


def test_balance_is_told_before_and_after() -> None:
    told = plan()
    assert [one.length_in for one in told.stages] == [32.0, 30.0, 28.0]
    blank, long_, cut = told.stages
    assert (blank.weight_gr, blank.balance_in, blank.foc_percent) == (320.0, 16.0, 0.0)
    # Two inches of a 10 gr/in rod.
    assert long_.weight_gr - cut.weight_gr == pytest.approx(20.0, abs=tenth_grain_gr)
    assert cut.foc_percent > long_.foc_percent


def test_an_unweighed_shaft_has_a_far_wider_mass_and_says_why() -> None:
    wish = BuildWish(length_in=28.0, point_weight_gr=125.0)
    told = build(shaft(weight_gr=None), wish)
    weighed = build(shaft(), wish)
    assert told.weight is not None
    assert weighed.weight is not None
    assert told.weight.high - told.weight.low > 8.0 * (weighed.weight.high - weighed.weight.low)
    assert "not weighed" in line(told, "shaft").why
    assert any("not weighed" in one for one in told.assumed)


# ---- beside the scale


def built(**changes: Any) -> Arrow:
    usual: dict[str, Any] = {
        "name": "A1",
        "shaft": "S1",
        "length_in": 28.0,
        "point_weight_gr": 125.0,
        "nock_kind": "plastic",
    }
    return Arrow(**(usual | changes))


def measured(extra_gr: float, at_in: float) -> BuildPlan:
    """The plan of an arrow that weighs so much more than its parts, sitting so far from throat."""
    told = build(shaft(), arrow=built())
    weight = sum(one.weight_gr for one in told.parts)
    moment = sum(one.weight_gr * one.at_in for one in told.parts)
    heavy = weight + extra_gr
    arrow = built(
        weight_gr=round(heavy, 2), balance_in=round((moment + extra_gr * at_in) / heavy, 4)
    )
    return build(shaft(), arrow=arrow)


def test_an_arrow_that_weighs_its_parts_is_within_the_errors() -> None:
    told = measured(0.0, 0.0)
    assert [one.what for one in told.weighed] == ["mass", "balance"]
    assert all(one.within_errors for one in told.weighed)
    assert "agree within their errors" in told.likely[0]


@pytest.mark.parametrize(
    ("at_in", "words"),
    [(27.5, "near the point"), (14.0, "along the shaft"), (2.0, "at the rear")],
)
def test_a_forgotten_part_is_looked_for_where_the_lever_rule_puts_it(
    at_in: float, words: str
) -> None:
    told = measured(30.0, at_in)
    mass = told.weighed[0]
    assert not mass.within_errors
    assert mass.difference == pytest.approx(30.0, abs=tenth_grain_gr)
    assert words in told.likely[0]
    assert f"about {at_in:.1f} in" in told.likely[0]


def test_an_arrow_on_a_shaft_recorded_as_cut_is_not_cut_again() -> None:
    short = shaft(length_in=28.9, weight_gr=289.0)
    told = build(short, arrow=built(weight_gr=440.0))
    assert told.already_cut
    wood = sum(
        one.weight_gr for one in told.parts if one.what in ("shaft", "taper inside the point")
    )
    # What was weighed with its tapers on is not tapered twice.
    assert wood == pytest.approx(289.0, abs=tenth_grain_gr)
    assert "nothing is left to cut" in told.steps[0]


def test_extra_parts_of_the_record_enter_the_budget() -> None:
    sleeve = ExtraPart(what="collar", weight_gr=12.0, at_in=27.5)
    told = build(shaft(), arrow=built(extra_parts=(sleeve,)))
    assert line(told, "collar").weight_gr == 12.0


def test_an_arrow_of_another_shaft_is_refused() -> None:
    with pytest.raises(ContradictionRefusal, match="built on shaft S2"):
        build(shaft(), arrow=built(shaft="S2"))


def test_a_light_arrow_for_a_bow_is_warned_of_first() -> None:
    light = shaft(weight_gr=160.0)
    wish = BuildWish(point_weight_gr=60.0, length_in=28.75)
    told = build(light, wish, archer=archer(), bow=bow())
    assert told.warnings[0].code == "arrow-below-practice"
    assert told.grains_per_pound is not None
    assert told.weight is not None
    assert told.grains_per_pound.middle == pytest.approx(told.weight.middle / 50.0, rel=one_percent)


def test_nothing_is_called_fit_to_shoot() -> None:
    told = build(shaft(), archer=archer(), bow=bow())
    text = " ".join(map(str, dataclasses.asdict(told).values())).lower()
    for word in ("safe", "legal", "enough", "perfect"):
        assert word not in text.replace("unsafe", "")
    assert np.isfinite(told.weight.middle if told.weight else math.nan)
