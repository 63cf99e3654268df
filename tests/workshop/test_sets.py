"""Sets from a rack: what goes together, what is said of it, and what is never offered."""

from __future__ import annotations

import datetime
import math
import re
from typing import Any

import numpy as np
import pytest
from scipy.stats import studentized_range

from loosewell import units
from loosewell.errors import EngineRefusal, Refusal
from loosewell.records import (
    Archer,
    BenchReading,
    Bow,
    Check,
    DiameterStation,
    DrawReading,
    Inspection,
    Jig,
    Shaft,
)
from loosewell.workshop import bridge, sets, surface
from loosewell.workshop.bench import shaft_spine
from loosewell.workshop.sets import SetsAnswer, Want, choose
from tolerances import hundredth_pound_lb, round_off

TODAY = datetime.date(2026, 5, 1)
PASSED = Inspection(result="passed", on=datetime.date(2026, 4, 1))
FAILED = Inspection(result="failed", on=datetime.date(2026, 4, 1), note="cracked")
HALF = Inspection(
    result="incomplete",
    on=datetime.date(2026, 4, 1),
    checks=(Check(what="cracks", finding="not looked at"),),
)
NEVER = re.compile(r"\b(safe\w*|unsafe|legal\w*|illegal|enough)\b", re.IGNORECASE)

SURFACE_IN = 0.05
"""Hits off the sheet against hits shot: a tenth of what a pound moves. [in]"""


def bow(**changes: Any) -> Bow:
    usual: dict[str, Any] = {
        "name": "Alder",
        "make": "plain wooden",
        "length_in": 68.0,
        "brace_height_in": 6.5,
        "draw_measured": "true",
        "draw_readings": tuple(
            DrawReading(draw_in=draw, weight_lb=weight)
            for draw, weight in ((16.0, 22.0), (20.0, 31.0), (24.0, 40.0), (26.0, 45.0))
        ),
        "drawn_to_limit_in": 27.0,
        "plate_offset_in": 0.25,
        "nocking_height_in": 0.4,
        "string_material": "polyester",
        "string_mass_gr": 160.0,
        "hand": "right",
    }
    return Bow(**(usual | changes))


def archer(**changes: Any) -> Archer:
    usual: dict[str, Any] = {
        "name": "Fern",
        "draw_length_in": 26.0,
        "draw_measured": "true",
        "draw_method": "marked arrow",
        "draw_date": datetime.date(2026, 4, 1),
        "hand": "right",
        "hook": "split finger",
        "loose": "steady",
        "child": False,
        "experience": "experienced",
    }
    return Archer(**(usual | changes))


def rod(name: str, spine_lb: float = 47.0, weight_gr: float | None = 360.0, **more: Any) -> Shaft:
    """A parallel rod: 26 lb over its deflection in inches is its spine."""
    usual: dict[str, Any] = {
        "name": name,
        "kind": "solid",
        "length_in": 32.0,
        "weight_gr": weight_gr,
        "weight_error_gr": None if weight_gr is None else 1.5,
        "bench_readings": (
            BenchReading(
                span_in=26, load_lb=2, deflection_in=52.0 / 2.0 / spine_lb,
                deflection_error_in=0.005,
            ),
        ),
        "inspection": PASSED,
    }  # fmt: skip
    return Shaft(**(usual | more))


WANT = Want(bow(), archer())


def rack() -> list[Shaft]:
    """Two tight bundles, a few between and beyond, and what must never be in a set."""
    soft = [rod(f"soft {k}", 44.5 + 0.15 * k, 350.0 + k) for k in range(5)]
    firm = [rod(f"firm {k}", 49.5 + 0.15 * k, 372.0 + k) for k in range(5)]
    odd = [rod(f"odd {k}", 43.5 + 2.9 * k, 330.0 + 21.0 * k) for k in range(4)]
    never = [
        rod("cracked", 44.6, 351.0, inspection=FAILED),
        rod("unseen", 44.7, 351.0, inspection=None),
        rod("half seen", 44.8, 351.0, inspection=HALF),
        rod("unbent", bench_readings=()),
        rod("unweighed", 44.7, None),
        rod("stub", 44.7, 250.0, length_in=25.0),
        rod("peg", 44.7, 170.0, length_in=17.0),
        rod("reed", 16.0, 240.0),
        rod("pole", 90.0, 520.0),
    ]
    return [*soft, *firm, *odd, *never]


@pytest.fixture(scope="module")
def answer() -> SetsAnswer:
    return choose([WANT], rack(), size=4, per_bow=2, today=TODAY)


@pytest.fixture(scope="module")
def session() -> Any:
    return sets._job(WANT, rack(), (), (), None, None, None, 7, TODAY, lambda *_: None)[0]


@pytest.fixture(scope="module")
def face(session: Any) -> surface.Surface:
    return surface.make_surface(session, (36.0, 52.0), (10.0, 12.5))


# ---------------------------------------------------------------------- what goes together


def test_bundles_that_are_alike_become_the_sets(answer: SetsAnswer) -> None:
    assert answer.proven
    kinds = sorted({m.shaft.split()[0] for m in one.members} for one in answer.sets)
    assert kinds == [{"firm"}, {"soft"}] or kinds == [{"soft"}, {"firm"}]
    for one in answer.sets:
        assert one.spread.spine_lb < 0.65


def test_nothing_unlooked_at_or_failed_or_unmeasured_is_in_a_set(answer: SetsAnswer) -> None:
    inside = {m.shaft for one in answer.sets for m in one.members}
    never = {"cracked", "unseen", "half seen", "unbent", "unweighed", "stub", "peg", "reed", "pole"}
    assert not inside & never
    assert "cracked" in answer.stops[0].text


def test_every_shaft_is_in_one_set_or_left_over(answer: SetsAnswer) -> None:
    inside = [m.shaft for one in answer.sets for m in one.members]
    assert sorted(inside + [one.shaft for one in answer.leftovers]) == sorted(
        one.name for one in rack()
    )


def test_each_leftover_has_its_use(answer: SetsAnswer) -> None:
    use = {one.shaft: one.use for one in answer.leftovers}
    assert use["cracked"] == "firewood"
    assert use["unseen"] == use["half seen"] == "look it over"
    assert use["unbent"] == use["unweighed"] == "measure it"
    assert use["stub"] == use["reed"] == "children's arrow"
    assert use["peg"] == "dowel"
    assert use["pole"] == "blunts"
    spare = [name for name, word in use.items() if word == "spare"]
    assert sum(name.startswith(("soft", "firm")) for name in spare) == 2
    assert all("spare" not in one.use or one.where for one in answer.leftovers)


def test_a_stub_serves_the_draw_that_is_left_of_it(answer: SetsAnswer) -> None:
    """25 in less 1.75 in to the back of the bow and a beginner's 2 in: 21.25 in true draw."""
    stub = next(one for one in answer.leftovers if one.shaft == "stub")
    assert re.search(r"at most 21\.[23] in", stub.text)


def test_no_verdict_is_spoken(answer: SetsAnswer) -> None:
    words = [
        answer.objective,
        answer.proof,
        *(one.text for one in answer.moves),
        *(f"{one.use} {one.text}" for one in answer.leftovers),
        *(text for one in answer.sets for text in one.said),
    ]
    assert not [text for text in words if NEVER.search(text)]
    for text in words:
        if re.search(r"\d lb (?!stiffer)", text):
            assert "26 in span, 2 lb" in text, text


def test_the_total_is_what_the_objective_says(answer: SetsAnswer) -> None:
    """Rebuilt from the printed rows: widest differences, pounds and grains at their weights."""
    total = 0.0
    for one in answer.sets:
        for part, weight in (
            ("hit_left_in", 1.0),
            ("hit_high_in", 1.0),
            ("nock_left_in", 1.0),
            ("spine_26in_2lb_lb", 0.05),
            ("arrow_weight_gr", 0.005),
        ):
            row = [getattr(m, part) for m in one.members]
            total += weight * (max(row) - min(row))
    assert answer.total_in == pytest.approx(total, abs=1e-9)


def test_two_bows_share_the_rack_without_a_shaft_in_both() -> None:
    other = Want(bow(name="Birch"), archer(name="Moss"))
    found = choose([WANT, other], rack(), size=4, today=TODAY)
    assert [one.bow for one in found.sets] == ["Alder", "Birch"]
    assert [one.code for one in found.sets] == ["ALD-1", "BIR-1"]
    used = [m.shaft for one in found.sets for m in one.members]
    assert len(set(used)) == 8


def test_a_left_handed_pair_gets_the_same_sets_mirrored(answer: SetsAnswer) -> None:
    left = Want(bow(hand="left"), archer(hand="left"))
    mirrored = choose([left], rack(), size=4, per_bow=2, today=TODAY)
    for one, other in zip(answer.sets, mirrored.sets, strict=True):
        assert [m.shaft for m in one.members] == [m.shaft for m in other.members]
        for m, n in zip(one.members, other.members, strict=True):
            assert n.hit_left_in == pytest.approx(-m.hit_left_in, abs=1e-6)
            assert n.hit_high_in == pytest.approx(m.hit_high_in, abs=1e-6)


def test_sets_that_cannot_all_be_filled_are_told_of() -> None:
    found = choose([WANT], rack(), size=10, per_bow=3, today=TODAY)
    assert len(found.sets) == 1
    assert "1 of 3 sets of 10 could be filled" in found.unfilled[0]
    assert "not inspected" in found.unfilled[0]


def test_shafts_of_a_kept_set_are_left_alone() -> None:
    taken = {f"Soft {k}": "Spring" for k in range(5)}
    found = choose([WANT], rack(), size=4, taken=taken, today=TODAY)
    assert {m.shaft.split()[0] for m in found.sets[0].members} == {"firm"}
    kept = [one for one in found.leftovers if one.shaft.startswith("soft")]
    assert {one.use for one in kept} == {"in a set"}
    assert "Spring" in kept[0].text


def test_an_arrow_lighter_than_the_maker_allows_is_not_offered() -> None:
    heavy = bow(maker_minimum_arrow_gr=480.0)
    shafts = [rod(f"light {k}", 47.0, 320.0) for k in range(4)]
    with pytest.raises(Refusal, match="4 too light"):
        choose([Want(heavy, archer())], shafts, size=2, today=TODAY)


# ---------------------------------------------------------------------- errors of the readings


def alike(own_in: float, count: int = 6) -> SetsAnswer:
    shafts = [
        rod(
            f"R{k}",
            47.0,
            bench_readings=(
                BenchReading(
                    span_in=26, load_lb=2, deflection_in=26.0 / 47.0, deflection_error_in=own_in
                ),
            ),
        )
        for k in range(count)
    ]
    return choose([WANT], shafts, size=count, today=TODAY)


def test_equal_readings_are_told_apart_by_nobody() -> None:
    """The range of six equal normal errors: scipy's studentised range with endless degrees.

    Each shaft is read to ± 1/32 in of 26/47 in, 6 %; the jig's own error is the same for all.
    """
    found = alike(1.0 / 32.0).sets[0]
    assert found.spread.spine_lb == pytest.approx(0.0, abs=round_off * 100)
    error = found.members[0].own_error_lb
    assert error == pytest.approx(47.0 * (1.0 / 32.0) / (26.0 / 47.0), rel=0.10)
    usual = float(studentized_range.ppf(0.5, 6, np.inf)) * error
    assert found.spread.noise_spine_lb == pytest.approx(usual, rel=0.08)
    assert found.spread.true_spine_lb.middle == pytest.approx(usual, rel=0.08)
    assert "smaller than the reading error" in found.said[0]
    assert "26 in span, 2 lb" in found.said[0]


def test_a_finer_reading_leaves_less_doubt() -> None:
    coarse, fine = alike(1.0 / 32.0).sets[0], alike(0.005).sets[0]
    assert fine.spread.true_hit_left_in.high < 0.5 * coarse.spread.true_hit_left_in.high
    assert fine.members[0].hit_error_in < 0.5 * coarse.members[0].hit_error_in


def test_the_own_error_is_what_the_jig_does_not_share() -> None:
    """By hand: reading ± 0.02 in of 0.6 in is 3.3 %; load ± 1.5 % and span ± 1/8 in are shared."""
    shaft = rod(
        "S",
        bench_readings=(
            BenchReading(span_in=26, load_lb=2, deflection_in=0.6, deflection_error_in=0.02),
        ),
    )
    spine = shaft_spine(shaft)
    assert spine is not None
    shared = math.hypot(0.015, 3.0 * 0.125 / 26.0)
    own = sets.own_error(spine, shaft)
    assert math.hypot(own, shared) == pytest.approx(spine.relative_error, rel=1e-6)
    # What else one way round leaves unknown comes on top of the ruler's part.
    assert 0.02 / 0.6 <= own < 1.25 * 0.02 / 0.6


def test_a_jig_of_its_own_shares_its_own_error() -> None:
    jig = Jig(
        name="board", span_in=26.0, load_lb=2.0, span_error_in=0.02, load_error_percent=6.0,
        reads="dial gauge",
    )  # fmt: skip
    shaft = rod(
        "S",
        bench_readings=(
            BenchReading(
                span_in=26, load_lb=2, deflection_in=0.6, deflection_error_in=0.005, jig="board"
            ),
        ),
    )
    spine = shaft_spine(shaft, [jig])
    assert spine is not None
    assert spine.relative_error > 0.06
    assert sets.own_error(spine, shaft, [jig]) < 0.025


def test_two_jigs_in_one_set_share_nothing() -> None:
    jigs = [Jig(name=name, span_in=26.0, load_lb=2.0, load_error_percent=6.0) for name in "AB"]

    def on(name: str, jig: str) -> Shaft:
        reading = BenchReading(
            span_in=26, load_lb=2, deflection_in=26.0 / 47.0, deflection_error_in=0.005, jig=jig
        )
        return rod(name, bench_readings=(reading,))

    one = choose([WANT], [on("S", "A"), on("T", "A")], size=2, jigs=jigs, today=TODAY).sets[0]
    two = choose([WANT], [on("S", "A"), on("T", "B")], size=2, jigs=jigs, today=TODAY).sets[0]
    assert two.spread.true_spine_lb.middle > 2.0 * one.spread.true_spine_lb.middle
    assert "one jig" in two.said[-1]
    assert not any("one jig" in text for text in one.said)


# ---------------------------------------------------------------------- the surface


def test_the_sheet_tells_what_shots_tell(session: Any, face: surface.Surface) -> None:
    """Plain shafts between the nodes, shot as they are with the same worlds."""
    spine, mass = np.array([41.3, 45.7, 50.9]), np.array([10.7, 11.4, 12.1])
    models = [
        bridge.arrow_model(
            bridge.uniform_profile(
                float(lb) / 50.0 * session.profile(None).bending_stiffness[0],
                float(m) * units.GRAIN / units.INCH,
                11.0 / 32.0 * units.INCH,
                32.0 * units.INCH,
            ),
            session.length_in * units.INCH,
            session.parts,
        )
        for lb, m in zip(spine, mass, strict=True)
    ]
    off, share = surface.own_differences(session, face, models, spine, mass)
    assert np.abs(off[:2]).max() < SURFACE_IN
    assert np.abs(share).max() < 0.15
    assert face.error_in < SURFACE_IN


def test_a_tapered_shaft_is_shot_as_it_is() -> None:
    """Thinner at the nock end, same reading and mass: it does not hit where the plain one does."""
    thin = tuple(
        DiameterStation(station_in=at, diameter_in=wide)
        for at, wide in ((1.0, 0.31), (8.0, 0.335), (16.0, 0.344), (31.0, 0.344))
    )
    shafts = [rod("plain"), rod("plain too"), rod("tapered", stations=thin)]
    found = choose([WANT], shafts, size=3, today=TODAY).sets[0]
    hit = {m.shaft: m.hit_left_in for m in found.members}
    assert hit["plain"] == hit["plain too"]
    assert abs(hit["tapered"] - hit["plain"]) > SURFACE_IN


def test_what_ten_grains_move_is_about_what_falling_bodies_say(answer: SetsAnswer) -> None:
    """Same energy: drop g x²/2v² grows by dm / (m + virtual mass); drag and launch left out.

    About half an inch at 20 yd, as reckoned without drag for a 500 gr arrow at 150 fps.
    """
    one = answer.moves[0]
    metres = one.distance_yd * units.YARD
    drop_in = 9.80665 * metres**2 / (2.0 * (150.0 * units.FPS) ** 2) / units.INCH
    closed = drop_in * 10.0 / (one.at_weight_gr + 100.0)
    assert -1.6 * closed < one.ten_gr_high_in < -0.5 * closed


def test_moves_add_up_to_the_difference_between_bundles(answer: SetsAnswer) -> None:
    """Sets five pounds and twenty grains apart hit apart by so many times the printed moves."""
    one = answer.moves[0]
    low, high = sorted(answer.sets, key=lambda s: s.members[0].spine_26in_2lb_lb)
    lb = high.members[0].spine_26in_2lb_lb - low.members[0].spine_26in_2lb_lb
    assert 4.0 < lb < 6.0
    assert one.at_spine_lb == pytest.approx(47.2, abs=0.6)
    assert abs(one.two_lb_left_in) > 0.1
    assert one.scatter_left_in > 0.0
    assert "stiffer moves the hit" in one.text


def test_a_shorter_distance_moves_less() -> None:
    near = choose([WANT], rack(), size=4, distance_yd=10.0, today=TODAY).moves[0]
    far = choose([WANT], rack(), size=4, distance_yd=30.0, today=TODAY).moves[0]
    assert abs(near.ten_gr_high_in) < 0.35 * abs(far.ten_gr_high_in)
    assert "At 10 yd" in near.text


# ---------------------------------------------------------------------- marks and records


def round_about(name: str, turn_deg: float) -> Shaft:
    """Read six ways round; 8 % stiffer with its stiff side that far from the mark."""
    readings = tuple(
        BenchReading(
            span_in=26,
            load_lb=2,
            rotation_deg=float(at),
            deflection_in=(26.0 / 47.0)
            * (1.0 - 0.04 * math.cos(2.0 * math.radians(at - turn_deg))),
            deflection_error_in=0.002,
        )
        for at in range(0, 180, 30)
    )
    return rod(name, bench_readings=readings)


def test_the_stiff_side_is_marked_to_the_plate() -> None:
    shafts = [round_about("A", 40.0), round_about("B", 130.0), rod("C")]
    found = choose([WANT], shafts, size=3, today=TODAY, code="Pine")
    marks = {m.shaft: m for m in found.sets[0].members}
    assert marks["A"].nock_angle_deg == pytest.approx(40.0, abs=2.0)
    assert marks["B"].nock_angle_deg == pytest.approx(130.0, abs=2.0)
    assert marks["C"].nock_angle_deg is None
    assert "not read" in marks["C"].stiff_side_mark
    (kept,) = sets.records(found, TODAY)
    assert (kept.name, kept.code, kept.bow, kept.archer) == ("Pine", "Pine", "Alder", "Fern")
    members = {one.shaft: one for one in kept.members}
    assert members["A"].nock_angle_deg == marks["A"].nock_angle_deg
    assert members["C"].stiff_side_mark is None
    assert kept.made_on == TODAY


def test_codes_are_never_given_twice() -> None:
    assert sets._codes(["Yew", "Yew", "Ash"], None, ["yew-1"]) == ["YEW-2", "YEW-3", "ASH-1"]
    assert sets._codes(["Yew"], "Spring", []) == ["Spring"]
    assert sets._codes(["Yew", "Ash"], "Spring", []) == ["Spring-1", "Spring-2"]
    with pytest.raises(Refusal, match="Spring-2 is kept already"):
        sets._codes(["Yew", "Ash"], "Spring", ["spring-2"])


# ---------------------------------------------------------------------- what is refused


@pytest.mark.parametrize(
    ("shafts", "asked", "says"),
    [
        ([], {}, "no shaft on the rack"),
        ([rod("A")], {"size": 6}, "only 1 shaft"),
        ([rod("A"), rod("B")], {"size": 6}, "only 2 shafts"),
        ([rod("A"), rod("B")], {"size": 1}, "2 to 36"),
        ([rod("A"), rod("B")], {"size": 2, "per_bow": 0}, "1 to 24"),
        ([rod("A"), rod("a")], {"size": 2}, "stands on the rack 2 times"),
        (
            [rod("A", inspection=None), rod("B", inspection=FAILED)],
            {"size": 2},
            r"None of the 2 free shafts has passed an inspection \(1 failed, 1 not looked over\)",
        ),
        ([rod("A"), rod("B")], {"size": 2, "taken": {"A": "X", "B": "X"}}, "belong to a set"),
        ([rod("A", 16.0), rod("B", 17.0)], {"size": 2}, "2 acts weak"),
        ([rod("A"), rod("B")], {"size": 2, "code": " "}, "1 to 24 letters"),
        ([rod("A"), rod("B")], {"size": 2, "distance_yd": 500.0}, "outside 3 to 120 yd"),
    ],
)
def test_a_question_that_does_not_hold_is_refused(
    shafts: list[Shaft], asked: dict[str, Any], says: str
) -> None:
    with pytest.raises(Refusal, match=says) as refused:
        choose([WANT], shafts, today=TODAY, **asked)
    assert refused.value.message.endswith((".", "match."))


def test_the_same_pair_twice_is_refused() -> None:
    with pytest.raises(Refusal, match="Alder with Fern was named twice"):
        choose([WANT, WANT], rack(), today=TODAY)
    with pytest.raises(Refusal, match="No bow was named"):
        choose([], rack(), today=TODAY)


def test_a_pair_that_must_not_shoot_gets_no_sets() -> None:
    with pytest.raises(EngineRefusal, match="Do not shoot"):
        choose([Want(bow(hand="left"), archer())], rack(), today=TODAY)
    with pytest.raises(EngineRefusal, match="Do not shoot"):
        choose([WANT], rack(), length_in=26.0, today=TODAY)


def test_a_pound_counts_as_read(answer: SetsAnswer) -> None:
    row = next(m for one in answer.sets for m in one.members if m.shaft == "soft 1")
    assert row.spine_26in_2lb_lb == pytest.approx(44.65, abs=5 * hundredth_pound_lb)
    assert row.deflection_28in_1_94lb_in == pytest.approx(31.4992 / row.spine_26in_2lb_lb, rel=1e-3)
