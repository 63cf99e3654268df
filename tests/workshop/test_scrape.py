"""Taking a shaft down: diameter for spine, in steps, and never past a stop."""

from __future__ import annotations

import datetime
import itertools
import math
from typing import Any

import numpy as np
import pytest
from scipy import integrate

from loosewell.errors import (
    BoundRefusal,
    ContradictionRefusal,
    EngineRefusal,
    MissingRefusal,
    Refusal,
)
from loosewell.records import (
    Archer,
    BenchReading,
    Bow,
    Check,
    DiameterStation,
    DrawReading,
    Inspection,
    Shaft,
)
from loosewell.workshop.bench import shaft_spine
from loosewell.workshop.scrape import (
    BLIND_IN,
    RUPTURE_SHARE,
    ScrapePlan,
    ScrapeWish,
    scrape,
    wood_of,
)
from tolerances import one_percent, tenth_grain_gr, tenth_of_a_percent, thousandth_inch_in

WIDE = 11 / 32
PASSED = Inspection(result="passed", on=datetime.date(2026, 4, 1))


def reading(deflection_in: float = 0.46, **more: Any) -> BenchReading:
    return BenchReading(**{"span_in": 26.0, "load_lb": 2.0, "deflection_in": deflection_in, **more})


def shaft(**changes: Any) -> Shaft:
    usual: dict[str, Any] = {
        "name": "S1",
        "kind": "solid",
        "material": "Port-Orford-cedar",
        "length_in": 32.0,
        "stations": tuple(
            DiameterStation(station_in=x, diameter_in=WIDE) for x in (2.0, 16.0, 30.0)
        ),
        "weight_gr": 370.0,
        "bench_readings": (reading(rotation_deg=0.0), reading(rotation_deg=90.0)),
        "inspection": PASSED,
    }
    return Shaft(**(usual | changes))


def asked(to_lb: float = 45.0, one: Shaft | None = None, **wish: Any) -> ScrapePlan:
    return scrape(one or shaft(), ScrapeWish(to_lb=to_lb, **wish))


def now_lb(one: Shaft) -> float:
    spine = shaft_spine(one)
    assert spine is not None
    return spine.spine_26in_2lb_lb


def test_evenly_scraped_wood_follows_the_fourth_power_and_the_square() -> None:
    """Closed form: D² = D₁² sqrt(S₂/S₁), and mass with D²."""
    told = asked()
    assert told.off_diameter_in is not None
    assert told.spine_after is not None
    assert told.weight_after is not None
    ratio = (45.0 / now_lb(shaft())) ** 0.25
    assert told.off_diameter_in.middle == pytest.approx(WIDE * (1.0 - ratio), abs=6e-5)
    assert told.spine_after.middle == pytest.approx(45.0, abs=0.01)
    assert told.weight_after.middle == pytest.approx(370.0 * ratio**2, abs=tenth_grain_gr)


def test_five_thousandths_off_an_11_32_shaft_take_six_percent() -> None:
    """Handbook arithmetic: 1 - (1 - 0.005/0.34375)⁴ = 5.7 %."""
    told = scrape(shaft(), ScrapeWish(to_diameter_in=WIDE - 0.005))
    assert told.target_lb / now_lb(shaft()) == pytest.approx(1.0 - 0.057, abs=5e-4)


@pytest.mark.parametrize("where", ["middle", "rear"])
def test_a_worked_stretch_reads_as_the_beam_integral_says(where: str) -> None:
    """Unit-load integral of a stepped beam by scipy's quadrature, written out here again."""
    over, thin = (8.0, 0.31) if where == "middle" else (10.0, 0.29)
    told = scrape(shaft(), ScrapeWish(to_diameter_in=thin, where=where, over_in=over))

    def diameter(x: float) -> float:
        if where == "rear":
            return WIDE - (WIDE - thin) * max(1.0 - x / over, 0.0)
        # An inch of fading at both ends of the stretch from 12 to 20 in.
        part = min(max(min(x - 12.0, 20.0 - x), 0.0), 1.0)
        return WIDE - (WIDE - thin) * part

    def bend(x: float, own: bool) -> float:
        arm = 0.5 * min(x - 3.0, 29.0 - x)
        return arm**2 / (diameter(x) if own else WIDE) ** 4

    breaks = [4.0, 10.0, 12.0, 13.0, 16.0, 19.0, 20.0]
    before = integrate.quad(bend, 3.0, 29.0, args=(False,), points=breaks)[0]
    after = integrate.quad(bend, 3.0, 29.0, args=(True,), points=breaks)[0]
    expected = now_lb(shaft()) * before / after
    assert told.target_lb == pytest.approx(expected, rel=tenth_of_a_percent)
    assert told.spine_after is not None
    assert told.spine_after.middle == pytest.approx(expected, rel=tenth_of_a_percent)


def test_a_rear_taper_takes_the_mass_of_its_shavings() -> None:
    """Closed form: a frustum of 10 in, from 11/32 to 5/16 in."""
    told = scrape(shaft(), ScrapeWish(to_diameter_in=5 / 16, where="rear"))
    narrow = 5 / 16
    left = 10.0 * (WIDE**2 + WIDE * narrow + narrow**2) / 3.0 / WIDE**2
    assert told.weight_after is not None
    expected = 370.0 / 32.0 * (22.0 + left)
    assert told.weight_after.middle == pytest.approx(expected, abs=tenth_grain_gr)


def test_the_bench_hardly_feels_the_ends_and_it_is_said() -> None:
    with pytest.raises(EngineRefusal, match="hardly feels the ends") as told:
        asked(45.0, where="rear")
    assert told.value.code == "stretch-too-small"


def test_a_tapered_shaft_is_levelled_by_its_own_shape() -> None:
    """Each step's reading on the rig: deflection goes up as the stiffness goes down."""
    stations = tuple(
        DiameterStation(station_in=x, diameter_in=d) for x, d in ((0, 0.31), (10, WIDE), (32, WIDE))
    )
    told = asked(45.0, shaft(stations=stations))
    last = told.steps[-1]
    assert last.reads_in == pytest.approx(0.46 * now_lb(shaft(stations=stations)) / 45.0, rel=2e-3)


def test_own_rig_of_another_span_gets_its_own_expected_reading() -> None:
    """Closed form: the same wood over 22 in under 3 lb."""
    ei = 2.0 * 26.0**3 / 48.0 / 0.46
    own = 3.0 * 22.0**3 / 48.0 / ei
    one = shaft(
        bench_readings=tuple(
            reading(own, span_in=22.0, load_lb=3.0, rotation_deg=turn) for turn in (0.0, 90.0)
        )
    )
    told = asked(45.0, one)
    assert told.rig == "22 in span, 3 lb"
    assert told.steps[-1].reads_in == pytest.approx(own * now_lb(one) / 45.0, rel=one_percent)


# ---- steps


def test_steps_take_half_of_what_is_left_and_end_on_the_target() -> None:
    told = asked()
    offs = [0.0, *(one.off_diameter_in for one in told.steps)]
    assert told.off_diameter_in is not None
    assert offs[1] == pytest.approx(0.5 * told.off_diameter_in.middle, abs=1e-4)
    assert offs[2] == pytest.approx(0.75 * told.off_diameter_in.middle, abs=1e-4)
    assert offs[-1] == told.off_diameter_in.middle
    assert all(b > a for a, b in itertools.pairwise(offs))
    spines = [one.spine_lb.middle for one in told.steps]
    assert all(b < a for a, b in itertools.pairwise(spines))
    assert spines[-1] == pytest.approx(45.0, abs=0.01)


def test_passes_are_counted_by_ones_own_paper() -> None:
    told = asked(per_pass_in=0.0005)
    for number, one in enumerate(told.steps):
        before = told.steps[number - 1].off_diameter_in if number else 0.0
        step = one.off_diameter_in - before
        assert one.passes is not None
        assert one.passes == pytest.approx(step / 0.0005, abs=1.0)
    assert asked().steps[0].passes is None


def test_the_error_afterwards_is_that_of_reading_change_and_caliper() -> None:
    """Monte Carlo over the reading, the change in diameter and the caliper."""
    told = asked()
    assert told.spine_after is not None
    assert told.off_diameter_in is not None
    spine = shaft_spine(shaft())
    assert spine is not None
    rng = np.random.default_rng(5)
    n = 200_000
    wide = WIDE + rng.normal(0.0, 0.003 / math.sqrt(3.0), n)
    off = told.off_diameter_in.middle + rng.normal(0.0, 0.001, n)
    read = 1.0 + rng.normal(0.0, spine.relative_error, n)
    after = spine.spine_26in_2lb_lb * read * ((wide - off) / wide) ** 4
    error = 0.5 * (told.spine_after.high - told.spine_after.low)
    assert error == pytest.approx(float(after.std()), rel=0.02)


# ---- stops


def test_one_reading_is_never_a_reason_to_take_wood() -> None:
    told = asked(45.0, shaft(bench_readings=(reading(),)))
    assert told.warnings[0].code == "one-reading"
    assert "never scrape on one reading" in told.warnings[0].text
    assert "one-reading" not in [one.code for one in asked().warnings]


def test_a_change_smaller_than_the_reading_knows_is_said() -> None:
    near = now_lb(shaft()) - 0.5
    assert "within-error" in [one.code for one in asked(near).warnings]
    assert "within-error" not in [one.code for one in asked(45.0).warnings]


def test_bending_at_the_bench_stops_at_the_stated_share_of_the_handbook() -> None:
    """Closed form: 32 M / (pi D³) = 0.4 x 12700 psi (handbook), M = 2 lb x 26 in / 4."""
    told = asked(20.0)
    thinnest = (32.0 * 13.0 / (math.pi * RUPTURE_SHARE * 12700.0)) ** (1.0 / 3.0)
    assert [one.code for one in told.stops] == ["too-weak"]
    assert told.off_diameter_in is not None
    assert told.spine_after is not None
    assert told.off_diameter_in.middle == pytest.approx(WIDE - thinnest, abs=thousandth_inch_in)
    lowest = now_lb(shaft()) * (thinnest / WIDE) ** 4
    assert told.spine_after.middle == pytest.approx(lowest, rel=one_percent)
    assert told.stress_after_percent == pytest.approx(100 * RUPTURE_SHARE, abs=0.3)
    assert max(one.off_diameter_in for one in told.steps) <= WIDE - thinnest + 1e-4


def test_an_unknown_wood_is_taken_down_no_further_than_stated() -> None:
    for material in (None, "an old broom"):
        told = asked(30.0, shaft(material=material))
        assert told.off_diameter_in is not None
        assert told.off_diameter_in.middle == pytest.approx(BLIND_IN, abs=1e-6)
        assert "cannot be told" in told.stops[0].text
        assert told.stress_after_percent is None


def test_a_name_for_several_woods_takes_the_weakest() -> None:
    """Handbook: Western redcedar 7500 psi is the weakest of the cedars in the table."""
    wood, words = wood_of("cedar")
    assert wood is not None
    assert wood.rupture_dry_psi == 7500.0
    assert "weakest of" in words
    sitka, _ = wood_of("sitka spruce")
    assert sitka is not None
    assert sitka.rupture_dry_psi == 10200.0
    assert wood_of(None)[0] is None
    assert wood_of("carbon")[0] is None


def pair() -> tuple[Bow, Archer]:
    bow = Bow(
        name="Alder",
        hand="right",
        make="plain wooden",
        draw_measured="true",
        draw_readings=(
            DrawReading(draw_in=20.0, weight_lb=34.0),
            DrawReading(draw_in=26.0, weight_lb=50.0),
        ),
        drawn_to_limit_in=27.0,
        plate_offset_in=0.35,
    )
    archer = Archer(
        name="Fern",
        hand="right",
        draw_length_in=26.0,
        draw_measured="true",
        draw_method="marked arrow",
        loose="steady",
        hook="split finger",
    )
    return bow, archer


def test_a_shaft_is_not_taken_below_the_range_of_its_pair() -> None:
    from loosewell.workshop.match import match

    bow, archer = pair()
    told = scrape(shaft(), ScrapeWish(to_lb=33.0), bow=bow, archer=archer)
    # The same answer that a match of this pair and this rack gives.
    answer = match(bow, archer, [shaft()], today=datetime.date(2026, 5, 1))
    assert answer.spine_range_lb is not None
    assert told.stops[0].code == "too-weak"
    assert "Alder and Fern" in told.stops[0].text
    assert told.spine_after is not None
    assert told.spine_after.middle == pytest.approx(answer.spine_range_lb.low, abs=0.05)
    assert {one.what for one in told.floors} == {"range", "bending at the bench", "launch"}
    # Bending on the bow is milder than bending at the bench under 2 lb.
    by_name = {one.what: one for one in told.floors}
    assert by_name["launch"].off_diameter_in > by_name["range"].off_diameter_in


def test_a_stop_of_the_pair_ends_the_plan_before_any_figure() -> None:
    bow, archer = pair()
    left = bow.model_copy(update={"hand": "left"})
    told = scrape(shaft(), ScrapeWish(to_lb=45.0), bow=left, archer=archer)
    assert [one.code for one in told.stops] == ["hand"]
    assert told.steps == []


@pytest.mark.parametrize(
    ("changes", "wish", "kind", "code"),
    [
        ({}, {"to_lb": 70.0}, ContradictionRefusal, "target-not-weaker"),
        ({}, {"to_diameter_in": 0.36}, ContradictionRefusal, "target-not-thinner"),
        ({}, {"to_diameter_in": 0.1}, ContradictionRefusal, "target-not-thinner"),
        ({}, {}, MissingRefusal, "missing-target"),
        ({}, {"to_lb": 45.0, "to_diameter_in": 0.3}, MissingRefusal, "missing-target"),
        ({}, {"to_lb": 45.0, "where": "belly"}, BoundRefusal, "choice-where"),
        ({}, {"to_lb": 45.0, "over_in": 40.0}, BoundRefusal, "bound-over"),
        ({}, {"to_lb": 45.0, "per_pass_in": 1.0}, BoundRefusal, "bound-pass"),
        ({"bench_readings": ()}, {"to_lb": 45.0}, MissingRefusal, "missing-bench-reading"),
        ({"stations": ()}, {"to_lb": 45.0}, MissingRefusal, "missing-diameter"),
        ({"kind": "cane"}, {"to_lb": 45.0}, ContradictionRefusal, "not-scrapable"),
        ({"kind": "tube", "wall_in": 0.02}, {"to_lb": 45.0}, ContradictionRefusal, "not-scrapable"),
    ],
)
def test_what_cannot_be_scraped_is_refused_in_a_sentence(
    changes: dict[str, Any], wish: dict[str, Any], kind: type[Refusal], code: str
) -> None:
    with pytest.raises(kind) as told:
        scrape(shaft(**changes), ScrapeWish(**wish))
    assert told.value.code == code
    assert told.value.message.endswith(".")


def test_a_bow_without_its_archer_is_asked_for_the_other() -> None:
    with pytest.raises(MissingRefusal, match="Give both"):
        scrape(shaft(), ScrapeWish(to_lb=45.0), bow=pair()[0])


def test_a_failed_shaft_is_not_worked_on() -> None:
    broken = shaft(inspection=Inspection(result="failed", on=datetime.date(2026, 4, 1)))
    told = asked(45.0, broken)
    assert [one.code for one in told.stops] == ["shaft-unfit"]
    assert told.steps == []


def test_a_light_load_at_the_bench_moves_its_stop_only_where_the_pair_is_named() -> None:
    """Closed form: half the load, so the stop lies at D over the cube root of 2."""
    light = shaft(
        bench_readings=tuple(reading(0.23, load_lb=1.0, rotation_deg=turn) for turn in (0.0, 90.0))
    )
    bow, archer = pair()
    alone = {one.what: one for one in asked(45.0, light).floors}
    paired = scrape(light, ScrapeWish(to_lb=48.0), bow=bow, archer=archer)
    named = {one.what: one for one in paired.floors}
    thick = WIDE - alone["bending at the bench"].off_diameter_in
    thin = WIDE - named["bending at the bench"].off_diameter_in
    assert thin == pytest.approx(thick / 2.0 ** (1.0 / 3.0), abs=thousandth_inch_in)
    assert "name the bow and the archer" in alone["bending at the bench"].reason
    assert "lighter load" in named["bending at the bench"].reason


def test_only_an_inspection_to_the_end_takes_the_warning_away() -> None:
    def codes(inspection: Inspection | None) -> list[str]:
        return [one.code for one in asked(one=shaft(inspection=inspection)).warnings]

    unfinished = Inspection(
        result="incomplete",
        on=datetime.date(2024, 5, 1),
        by="Hale",
        checks=(Check(what="cracks", finding="not looked at"),),
    )
    assert "not-inspected" in codes(None)
    assert "not-inspected" in codes(unfinished)
    assert "not-inspected" not in codes(PASSED)
