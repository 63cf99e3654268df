"""Natural shoots: stiffness along them, what a reading cannot show, and which end goes forward."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import numpy as np
import pytest

from loosewell import units
from loosewell.errors import ContradictionRefusal, EngineRefusal, MissingRefusal
from loosewell.physics import spine as beam
from loosewell.records import Archer, Bow, Inspection, Shaft
from loosewell.workshop import bridge, demo
from loosewell.workshop.bench import shaft_spine
from loosewell.workshop.bridge import unseen
from loosewell.workshop.session import Session, silent
from loosewell.workshop.shoot import Ends, along, ends
from loosewell.workshop.wish import wish_of
from tolerances import (
    hundredth_pound_lb,
    one_percent,
    round_off,
    stated_to_three_figures,
    tenth_of_a_percent,
    thousandth_inch_in,
)

TAPER = ((1.0, 0.375), (9.0, 0.360), (16.0, 0.345), (24.0, 0.330), (31.0, 0.312))


def stations(pairs: Any = TAPER, oval: float = 1.0) -> tuple[dict[str, float], ...]:
    return tuple(
        {"station_in": at, "diameter_in": wide, "across_in": round(wide * oval, 4)}
        for at, wide in pairs
    )


def shoot(**more: Any) -> Shaft:
    fields: dict[str, Any] = {
        "name": "Hazel 3",
        "kind": "shoot",
        "length_in": 32.0,
        "weight_gr": 420.0,
        "stations": stations(),
        "bench_readings": ({"span_in": 26.0, "load_lb": 2.0, "deflection_in": 0.52},),
    }
    return Shaft(**{**fields, **more})


def profile(shaft: Shaft) -> bridge.Profile:
    spine = shaft_spine(shaft)
    assert spine is not None
    return bridge.shaft_profile(shaft, spine.bending_stiffness, spine.relative_error)


def standard_reading_in(told: bridge.Profile) -> float:
    middle = 0.5 * (told.edge[:-1] + told.edge[1:])
    return (
        beam.midspan_deflection_varying(
            beam.WOOD_LOAD, beam.WOOD_SPAN, middle, told.bending_stiffness
        )
        / units.INCH
    )


def test_the_stations_carry_the_fourth_power_of_their_diameters() -> None:
    told = along(shoot())
    places = {one.station_in: one for one in told.places if one.measured}
    ratio = places[1.0].spine_26in_2lb_lb.middle / places[31.0].spine_26in_2lb_lb.middle
    assert ratio == pytest.approx((0.375 / 0.312) ** 4, rel=2 * one_percent)
    mass = places[1.0].mass_gr_per_in.middle / places[31.0].mass_gr_per_in.middle
    assert mass == pytest.approx((0.375 / 0.312) ** 2, rel=one_percent)


def test_mass_and_reading_come_back_from_what_was_told() -> None:
    shaft = shoot()
    told = profile(shaft)
    assert standard_reading_in(told) == pytest.approx(0.52, abs=thousandth_inch_in)
    mass = float(np.sum(told.mass_per_length * np.diff(told.edge))) / units.GRAIN
    assert mass == pytest.approx(420.0, rel=round_off)


def test_any_span_gives_the_same_shoot() -> None:
    """A reading of the same shoot over 20 in, worked out by quadrature from the 26 in one."""
    whole = profile(shoot())
    middle = 0.5 * (whole.edge[:-1] + whole.edge[1:])
    sinks = beam.midspan_deflection_varying(
        3.0 * units.POUND_FORCE, 20.0 * units.INCH, middle, whole.bending_stiffness
    )
    barrel = ((1.0, 0.300), (16.0, 0.360), (31.0, 0.300))
    for pairs in (TAPER, barrel):
        there = profile(shoot(stations=stations(pairs)))
        middle = 0.5 * (there.edge[:-1] + there.edge[1:])
        sinks = beam.midspan_deflection_varying(
            3.0 * units.POUND_FORCE, 20.0 * units.INCH, middle, there.bending_stiffness
        )
        short = profile(
            shoot(
                stations=stations(pairs),
                bench_readings=(
                    {"span_in": 20.0, "load_lb": 3.0, "deflection_in": sinks / units.INCH},
                ),
            )
        )
        assert short.bending_stiffness == pytest.approx(there.bending_stiffness, rel=one_percent)
    # Without the diameters the barrel would read some percent stiffer on the short span.
    plain = beam.bending_stiffness_from_deflection(
        3.0 * units.POUND_FORCE, 20.0 * units.INCH, sinks
    )
    wide = beam.bending_stiffness_from_deflection(beam.WOOD_LOAD, beam.WOOD_SPAN, 0.52 * units.INCH)
    assert plain / wide > 1.03


def test_turned_end_for_end_it_reads_the_same() -> None:
    """A centre reading cannot tell which end is stiffer: users' fact, exact by symmetry."""
    told = profile(shoot())
    assert standard_reading_in(told.turned_round()) == pytest.approx(
        standard_reading_in(told), rel=round_off
    )
    assert told.turned_round().bending_stiffness[0] == told.bending_stiffness[-1]
    again = told.turned_round().turned_round()
    assert again.radius == pytest.approx(told.radius, rel=round_off)
    assert again.edge == pytest.approx(told.edge, abs=1e-15)


@pytest.mark.parametrize("slope", [-0.5, -0.2, 0.3])
def test_a_tilted_shoot_reads_the_same_and_leans_by_that_much(slope: float) -> None:
    told = profile(shoot())
    tilted = told.tilted(slope)
    assert standard_reading_in(tilted) == pytest.approx(standard_reading_in(told), rel=1e-9)
    ratio = tilted.bending_stiffness / told.bending_stiffness
    assert math.log(ratio[-1] / ratio[0]) == pytest.approx(slope * 31.0 / 32.0, rel=1e-9)
    assert np.all(tilted.mass_per_length == told.mass_per_length)


def test_a_grown_stem_is_less_sure_than_a_turned_shaft_of_the_same_readings() -> None:
    grown, cane, turned = (profile(shoot(kind=kind)) for kind in ("shoot", "cane", "solid"))
    assert turned.slope_error == 0.0
    assert 0.15 < grown.slope_error < cane.slope_error
    assert turned.stiffness_error < grown.stiffness_error < cane.stiffness_error
    assert grown.bending_stiffness == pytest.approx(turned.bending_stiffness, rel=round_off)


def test_fewer_stations_leave_more_unknown() -> None:
    slopes = [
        profile(shoot(stations=stations(pairs))).slope_error
        for pairs in (TAPER, (TAPER[0], TAPER[-1]), (TAPER[2],), ())
    ]
    assert slopes[0] < slopes[1] < slopes[2]
    assert slopes[2] == pytest.approx(slopes[3], rel=0.05)


def test_the_causes_add_as_squares_to_the_whole() -> None:
    told = along(shoot())
    assert len(told.causes) == 3
    level = math.sqrt(sum(one.level_percent**2 for one in told.causes))
    slope = math.sqrt(sum(one.end_to_end_percent**2 for one in told.causes))
    assert level == pytest.approx(told.level_error_percent, abs=0.2)
    assert slope == pytest.approx(told.end_to_end_error_percent, abs=0.2)
    assert told.causes[0].end_to_end_percent == max(one.end_to_end_percent for one in told.causes)


def test_the_range_is_narrow_in_the_middle_and_wide_at_the_ends() -> None:
    places = {one.station_in: one.spine_26in_2lb_lb for one in along(shoot()).places}
    wide = {at: math.log(band.high / band.low) for at, band in places.items()}
    assert wide[16.0] < wide[9.0] < wide[1.0]
    assert wide[16.0] < wide[24.0] < wide[31.0]


def test_an_oval_shoot_is_weaker_one_way_round_by_the_square_of_its_diameters() -> None:
    """Closed form: E·I goes with a³b in one plane and ab³ in the other."""
    told = along(shoot(stations=stations(oval=0.95)))
    assert told.weak_over_stiff == pytest.approx(0.95**2, rel=stated_to_three_figures)
    assert "10 % weaker one way round" in told.oval_text
    assert "does not say which way round it lay" in told.oval_text
    both = shoot(
        stations=stations(oval=0.95),
        bench_readings=(
            {"span_in": 26.0, "load_lb": 2.0, "deflection_in": 0.50, "rotation_deg": 0.0},
            {"span_in": 26.0, "load_lb": 2.0, "deflection_in": 0.55, "rotation_deg": 90.0},
        ),
    )
    assert unseen.unread_side(both) == 0.0
    assert unseen.unread_side(shoot(stations=stations(oval=0.95))) == pytest.approx(
        (1 - 0.95**2) / (1 + 0.95**2) / math.sqrt(2), rel=stated_to_three_figures
    )
    assert along(shoot()).weak_over_stiff == 1.0


def test_both_standards_are_read_from_the_shoot_itself() -> None:
    """On a tapered shaft they are no fixed multiple of each other, on a parallel one they are."""
    told = along(shoot(stations=stations(((1.0, 0.34), (16.0, 0.34), (31.0, 0.34)))))
    pounds, inches = float(told.spine_text.split()[0]), float(told.deflection_text.split()[0])
    assert pounds == pytest.approx(50.0, abs=0.06)
    assert pounds * inches == pytest.approx(31.499, rel=3 * tenth_of_a_percent)
    barrel = along(shoot(stations=stations(((1.0, 0.27), (16.0, 0.36), (31.0, 0.27)))))
    pounds, inches = float(barrel.spine_text.split()[0]), float(barrel.deflection_text.split()[0])
    assert pounds * inches > 31.6


@pytest.mark.parametrize(
    ("missing", "words"),
    [
        ({"stations": stations(TAPER[:2])}, "3 stations or more"),
        ({"length_in": None}, "its length"),
        ({"weight_gr": None}, "its mass"),
        ({"bench_readings": ()}, "one bend reading"),
    ],
)
def test_what_is_not_measured_is_named(missing: dict[str, Any], words: str) -> None:
    with pytest.raises(MissingRefusal) as refused:
        along(shoot(**missing))
    assert refused.value.code == "shoot-incomplete"
    assert words in refused.value.message


@pytest.mark.parametrize("places", [(9.0, 1.0, 16.0), (1.0, 9.0, 9.0), (1.0, 9.0, 40.0)])
def test_stations_out_of_order_twice_or_beyond_the_end_are_refused(
    places: tuple[float, ...],
) -> None:
    with pytest.raises(ContradictionRefusal):
        shoot(stations=tuple({"station_in": at, "diameter_in": 0.34} for at in places))


# Both ways round -------------------------------------------------------------------------------


def pair() -> tuple[Bow, Archer]:
    bow = next(one for one in demo.bows() if one.name == "Yew")
    return bow, next(one for one in demo.archers() if one.name == "Wren")


def tapered(taper: float, kind: str) -> Shaft:
    """A shoot thicker at the nock end by so much of its middle, thinner at the front by as much."""
    pairs = [(at, round(0.345 * (1.0 + taper * (16.0 - at) / 16.0), 4)) for at, _ in TAPER]
    return shoot(stations=stations(pairs), kind=kind)


@cache
def both_ways(taper: float, kind: str = "shoot") -> Ends:
    return ends(*pair(), tapered(taper, kind), point_weight_gr=125.0)


def test_an_even_shoot_cannot_tell_its_ends_apart() -> None:
    assert both_ways(0.0, "solid").difference_percent == 0.0
    told = both_ways(0.0)
    assert told.better is None
    assert "Cannot tell" in told.verdict
    lies, turned = told.ways
    assert lies.thick_end == turned.thick_end == "alike"
    assert lies.balance_from_nock_throat_in == turned.balance_from_nock_throat_in
    # It may still lean either way unseen, which the two ways meet in unlike worlds.
    assert lies.clean_percent.middle == pytest.approx(turned.clean_percent.middle, abs=3.0)


def test_the_thick_end_forward_moves_the_balance_forward() -> None:
    told = both_ways(0.12)
    lies, turned = told.ways
    assert (lies.thick_end, turned.thick_end) == ("back", "forward")
    assert turned.balance_from_nock_throat_in.low > lies.balance_from_nock_throat_in.high
    assert turned.foc_percent.middle > lies.foc_percent.middle
    assert lies.nock_diameter_in > turned.nock_diameter_in
    assert "disagree" in told.practice
    assert "no source" in told.practice


def test_turning_the_record_round_swaps_the_two_ways() -> None:
    """The same shoot written down from its other end: mirror symmetry, shot by shot."""
    there, back = both_ways(0.12, "solid"), both_ways(-0.12, "solid")
    for one, other in zip(there.ways, reversed(back.ways), strict=True):
        assert one.clean_percent.middle == pytest.approx(other.clean_percent.middle, abs=0.21)
        assert one.nock_diameter_in == pytest.approx(other.nock_diameter_in, abs=0.0011)
        assert one.thick_end == other.thick_end
    assert there.difference_percent is not None
    assert back.difference_percent == pytest.approx(-there.difference_percent, abs=0.4)


def test_a_verdict_is_given_only_outside_the_noise() -> None:
    for taper in (0.0, 0.12, 0.22):
        told = both_ways(taper)
        assert told.difference_percent is not None
        assert told.difference_error_percent is not None
        clear = abs(told.difference_percent) > 2.0 * told.difference_error_percent
        assert (told.better is not None) == clear
        assert ("Cannot tell" in told.verdict) != clear
        assert "± " in told.verdict


def test_the_unseen_lean_belongs_to_the_wood_and_turns_round_with_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Whatever end grew stiffer, it is the same end of the same stick both ways round."""
    seen: list[Any] = []
    plain = Session.clean_shots

    def watched(job: Session, *rest: Any) -> Any:
        seen.append((rest[1], rest[-1]))
        return plain(job, *rest)

    monkeypatch.setattr(Session, "clean_shots", watched)
    ends(*pair(), tapered(0.1, "shoot"), point_weight_gr=125.0)
    (lies, _), leanings = seen[0]
    reach = math.sqrt(3.0) * lies.slope_error
    for k, slope in ((0, -reach), (1, reach)):
        model = leanings[0][k]
        own = bridge.arrow_model(lies.tilted(slope), model.length, model.parts)
        mirrored = bridge.arrow_model(lies.tilted(slope).turned_round(), model.length, model.parts)
        assert leanings[0][k].blocks == pytest.approx(own.blocks, rel=1e-9)
        assert leanings[1][k].blocks == pytest.approx(mirrored.blocks, rel=1e-6, abs=1e-9)


def test_a_strong_taper_moves_the_spines_that_suit() -> None:
    assert "within the noise" in both_ways(0.0).range_shift_text
    assert "must read weaker" in both_ways(0.22).range_shift_text
    assert "(26 in span, 2 lb)" in both_ways(0.22).range_shift_text


def test_a_hard_stop_comes_before_any_shot() -> None:
    bow, archer = pair()
    cracked = Inspection(result="failed", on="2026-05-01", note="a crack")
    told = ends(bow, archer, shoot(inspection=cracked))
    assert told.stops
    assert told.ways == []
    assert told.launches == 0
    assert "settle the stop" in told.verdict


def test_a_shaft_that_nobody_looked_over_is_warned_of() -> None:
    codes = [one.code for one in both_ways(0.12).warnings]
    assert "shoot-not-inspected" in codes
    looked_over = shoot(inspection=Inspection(result="passed", on="2026-05-01"))
    told = ends(*pair(), looked_over, point_weight_gr=125.0)
    assert "shoot-not-inspected" not in [one.code for one in told.warnings]


def test_a_shoot_shorter_than_the_draw_needs_is_refused_both_ways() -> None:
    short = shoot(length_in=24.0, stations=stations(TAPER[:3]), weight_gr=320.0)
    with pytest.raises(EngineRefusal, match="Neither way round helps"):
        ends(*pair(), short)


def test_the_same_seed_gives_the_same_verdict() -> None:
    again = ends(*pair(), tapered(0.12, "shoot"), point_weight_gr=125.0)
    assert again == both_ways(0.12)


# What reaches the match ------------------------------------------------------------------------


def session(shaft: Shaft) -> Session:
    bow, archer = pair()
    wish = wish_of(bow, archer, "target", None, 125.0, None, None, None, None, None, None, 3)
    loose = bridge.loose_model(archer)
    draw = next(one for one in loose.inputs if one.key == "draw").middle / units.INCH
    return Session(bow, archer, [shaft], (), wish, loose, draw, silent)


def test_a_leaning_shoot_is_shot_as_three_and_a_turned_shaft_as_one() -> None:
    for kind, models in (("shoot", 3), ("solid", 1)):
        job = session(shoot(kind=kind))
        seen: list[int] = []
        plain = job.shoot

        def counted(pool: Any, index: Any, *rest: Any, plain: Any = plain, seen: Any = seen) -> Any:
            seen.append(len(set(np.asarray(index).tolist())))
            return plain(pool, index, *rest)

        job.shoot = counted  # type: ignore[method-assign]
        own = job.profile(0)
        arrow = job.arrow(0, job.length_in, job.parts)
        chance = job.chances([arrow], [own], np.ones(1), "rack")
        assert seen == [models]
        assert 0.0 <= chance[0] <= 1.0


def test_the_three_leanings_have_the_moments_of_a_normal_error() -> None:
    """Gauss-Hermite: mean 0, variance 1, fourth moment 3 of the points −√3, 0, √3."""
    way = session(shoot())._leaning_ways(256) * math.sqrt(3.0)
    assert np.mean(way) == pytest.approx(0.0, abs=0.01)
    assert np.mean(way**2) == pytest.approx(1.0, rel=2 * one_percent)
    assert np.mean(way**4) == pytest.approx(3.0, rel=2 * one_percent)


def test_an_unbent_shaft_on_the_rack_shows_its_wide_range_as_not_bent() -> None:
    from loosewell.workshop.match import match
    from loosewell.workshop.wood import rack_guess

    unbent = Shaft(
        name="S1", material="Sitka spruce", length_in=32.0, weight_gr=350.0,
        stations=({"station_in": 16.0, "diameter_in": 0.344},),
    )  # fmt: skip
    looked_over = Inspection(result="passed", on="2026-05-01")
    row = match(*pair(), [unbent, shoot(inspection=looked_over)]).rack
    told = next(one for one in row if one.shaft == "S1")
    guess = rack_guess(unbent)
    assert guess is not None
    assert told.acts == "not measured"
    assert told.chance_percent is None
    assert told.spine_26in_2lb_lb is None
    assert told.spine_by_wood_26in_2lb_lb == guess.spine_26in_2lb_lb
    assert "not bent: by its wood and weight" in told.note
    assert "(26 in span, 2 lb)" in told.note
    bent = next(one for one in row if one.shaft == "Hazel 3")
    assert bent.spine_by_wood_26in_2lb_lb is None
    assert bent.chance_percent is not None
    assert (
        abs((bent.spine_26in_2lb_lb or guess.spine_26in_2lb_lb).middle - 50.0)
        < 100 * hundredth_pound_lb
    )
