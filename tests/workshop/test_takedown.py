"""Joints compared: what an adapter changes, against the same wood and by the same shots."""

from __future__ import annotations

import datetime
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy import integrate

from loosewell.errors import BoundRefusal, ContradictionRefusal, MissingRefusal, Refusal
from loosewell.records import BenchReading, DiameterStation, Inspection, Joint, Shaft
from loosewell.workshop import bridge, takedown
from loosewell.workshop.bench import shaft_spine
from loosewell.workshop.takedown import (
    Adapter,
    Change,
    Takedown,
    bench_spine_lb,
    jointed_profile,
    plain_level,
)
from tolerances import round_off, tenth_grain_gr, tenth_of_a_percent
from workshop.test_scrape import pair

IN = 0.0254
GR = 6.479891e-5
FTLB = 1.3558179483314004
WIDE = 11 / 32
PASSED = Inspection(result="passed", on=datetime.date(2026, 4, 1))
BRASS = Adapter("brass", 2.0, 45.0, 150.0, 0.5, 0.2)
TIGHT = Adapter("tight", 2.0, 45.0, 150.0, 0.5, 0.0)
NOTHING = Adapter("nothing", 2.0, None, 100.0, 0.0, 0.0)


def shaft(**changes: Any) -> Shaft:
    usual: dict[str, Any] = {
        "name": "S1",
        "kind": "solid",
        "material": "Port-Orford-cedar",
        "length_in": 32.0,
        "stations": (DiameterStation(station_in=16.0, diameter_in=WIDE),),
        "weight_gr": 370.0,
        "bench_readings": tuple(
            BenchReading(span_in=26.0, load_lb=2.0, deflection_in=0.5, rotation_deg=turn)
            for turn in (0.0, 90.0)
        ),
        "inspection": PASSED,
    }
    return Shaft(**(usual | changes))


def uniform(spine_lb: float = 50.0) -> bridge.Profile:
    from loosewell.physics import spine

    return bridge.uniform_profile(
        float(spine.stiffness_from_spine_pounds(spine_lb)), 0.0295, WIDE * IN, 32.0 * IN
    )


# ---- the joint in the shaft


def test_give_adds_its_turn_to_the_reading() -> None:
    """Closed form: a hinge of compliance c at mid-span adds F L²/16 c to the deflection."""
    joint = Adapter("g", 0.25, None, 100.0, 1.5, 0.0).joint(16.0)
    told = bench_spine_lb(jointed_profile(uniform(), shaft(), [joint]))
    load, span = 2.0 * 4.4482216152605, 26.0 * IN
    ei = load * span**3 / 48.0 / (26.0 / 50.0 * IN)
    added = load * span**2 / 16.0 * math.radians(1.5) / FTLB
    # The give is spread over its quarter inch, where the moment falls off on both sides.
    added *= integrate.quad(lambda x: (1.0 - x / 13.0) ** 2, 0.0, 0.125)[0] / 0.125
    deflection = load * span**3 / 48.0 / ei + added
    assert told == pytest.approx(26.0 / (deflection / IN), rel=tenth_of_a_percent / 10)


def test_a_stiff_sleeve_reads_as_the_beam_integral_says() -> None:
    """Unit-load integral by scipy's quadrature: 150 % from 15 to 17 in."""
    joint = Adapter("s", 2.0, None, 150.0, 0.0, 0.0).joint(16.0)
    told = bench_spine_lb(jointed_profile(uniform(), shaft(), [joint]))

    def bend(x: float, ratio: float) -> float:
        stiff = ratio if 15.0 < x < 17.0 else 1.0
        return (0.5 * min(x - 3.0, 29.0 - x)) ** 2 / stiff

    plain = integrate.quad(bend, 3, 29, args=(1.0,), points=[15, 16, 17])[0]
    sleeved = integrate.quad(bend, 3, 29, args=(1.5,), points=[15, 16, 17])[0]
    assert told == pytest.approx(50.0 * plain / sleeved, rel=tenth_of_a_percent)


@pytest.mark.parametrize("sleeve_in", [0.3, 2.0, 3.7])
def test_any_number_of_sleeves_weigh_what_they_weigh_over_their_own_length(
    sleeve_in: float,
) -> None:
    joints = [Adapter("m", sleeve_in, 30.0, 100.0, 0.0, 0.0).joint(x) for x in (9.0, 16.3, 24.0)]
    profile = jointed_profile(uniform(), shaft(), joints)
    weight = float(np.sum(profile.mass_per_length * np.diff(profile.edge))) / GR
    assert weight == pytest.approx(0.0295 * 32.0 * IN / GR + 90.0, rel=1e-9)
    middle = 0.5 * (profile.edge[:-1] + profile.edge[1:])
    inside = np.abs(middle / IN - 16.3) < 0.5 * sleeve_in
    extra = (profile.mass_per_length - 0.0295) * np.diff(profile.edge)
    assert float(np.sum(extra[inside])) / GR == pytest.approx(30.0, rel=1e-6)


def test_play_goes_to_the_engine_as_play_and_not_as_give() -> None:
    firm = jointed_profile(uniform(), shaft(), [TIGHT.joint(16.0)])
    loose = jointed_profile(uniform(), shaft(), [BRASS.joint(16.0)])
    assert np.array_equal(firm.bending_stiffness, loose.bending_stiffness)
    assert firm.slack == ()
    assert loose.slack == (pytest.approx((16.0 * IN, math.radians(0.1))),)


def test_the_wood_of_a_jointed_shaft_is_found_behind_its_joints() -> None:
    """There and back: the wood plus its own joints reads what was read."""
    joints = (BRASS.joint(11.0), Adapter("b", 1.5, 20.0, 120.0, 1.0, 0.0).joint(21.0))
    jointed = shaft(joints=joints, weight_gr=435.0)
    plain_shaft = jointed.model_copy(update={"joints": (), "weight_gr": 370.0})
    spine = shaft_spine(jointed)
    assert spine is not None
    wood = plain_level(jointed, plain_shaft, spine)
    again = bench_spine_lb(jointed_profile(wood, plain_shaft, joints))
    straight = bench_spine_lb(
        bridge.shaft_profile(plain_shaft, spine.bending_stiffness, 0.0, spine.sides)
    )
    assert again == pytest.approx(straight, rel=1e-8)
    assert bench_spine_lb(wood) > straight * 1.02


# ---- the comparison


@pytest.fixture(scope="module")
def told() -> Takedown:
    """One comparison for all tests, with a joint that is none among the adapters."""
    bow, archer = pair()
    return takedown.takedown(
        shaft(),
        bow,
        archer,
        [NOTHING, TIGHT, BRASS, replace(BRASS, name="slack", play_deg=1.4)],
        at_in=[16.0],
    )


def by_name(told: Takedown, name: str) -> takedown.AdapterResult:
    return next(one for one in told.adapters if one.name == name)


def test_a_joint_that_is_none_changes_nothing_at_all(told: Takedown) -> None:
    """Same wood, same shots: every difference is nought, not merely small."""
    one = by_name(told, "nothing")
    assert told.plain is not None
    for change in (one.share_change_percent, one.best_change_lb):
        assert change is not None
        assert change.value == 0.0
    for change in (one.speed_change_fps, one.hit_left_change_in, one.hit_high_change_in):
        assert change is not None
        assert change.value == pytest.approx(0.0, abs=1e-3)
        assert not change.seen or abs(change.value) < 1e-3
    assert one.weight_change_gr == 0.0
    assert one.bench_spine_lb == pytest.approx(told.plain.bench_spine_lb, abs=0.01)
    assert "nothing that stands out of the noise" in told.verdict[0]


def test_a_sleeve_adds_its_grains_and_moves_the_balance_by_the_lever_rule(told: Takedown) -> None:
    """Closed form, sleeve 45 gr at 16 in."""
    plain, one = told.plain, by_name(told, "tight")
    assert plain is not None
    assert one.weight_change_gr == pytest.approx(45.0, abs=tenth_grain_gr)
    lever = (plain.arrow_weight_gr * plain.balance_in + 45.0 * 16.0) / one.arrow_weight_gr
    assert one.balance_in == pytest.approx(lever, abs=2e-3)


def test_a_heavier_arrow_leaves_slower_by_the_virtual_mass_rule(told: Takedown) -> None:
    """Energy shared with the bow's virtual mass: v goes as 1/sqrt(m + K), K within 40 to 400 gr."""
    plain, one = told.plain, by_name(told, "tight")
    assert plain is not None
    assert one.speed_change_fps is not None
    ratio = (plain.speed_fps + one.speed_change_fps.value) / plain.speed_fps

    def slower(virtual_gr: float) -> float:
        return math.sqrt((plain.arrow_weight_gr + virtual_gr) / (one.arrow_weight_gr + virtual_gr))

    assert slower(40.0) < ratio < slower(400.0)
    assert one.speed_change_fps.seen


def test_play_alone_changes_the_flight_and_neither_mass_nor_bench(told: Takedown) -> None:
    tight, slack = by_name(told, "tight"), by_name(told, "slack")
    assert tight.bench_spine_lb == slack.bench_spine_lb
    assert tight.arrow_weight_gr == slack.arrow_weight_gr
    assert tight.hit_left_change_in is not None
    assert slack.hit_left_change_in is not None
    apart = abs(tight.hit_left_change_in.value - slack.hit_left_change_in.value)
    noise = math.hypot(tight.hit_left_change_in.noise, slack.hit_left_change_in.noise)
    assert apart > 2.0 * noise
    assert "much-play" in [one.code for one in told.warnings]


def test_a_joint_that_gives_in_the_middle_acts_weak(told: Takedown) -> None:
    """Trade and mechanics agree: give and mass at mid-length make a shaft act weaker."""
    one = by_name(told, "brass")
    assert one.best_change_lb is not None
    assert one.best_change_lb.value > 0.0
    assert one.best_change_lb.seen


def test_a_left_handed_pair_is_the_mirror_of_a_right_handed_one(told: Takedown) -> None:
    bow, archer = pair()
    left = takedown.takedown(
        shaft(),
        bow.model_copy(update={"hand": "left"}),
        archer.model_copy(update={"hand": "left"}),
        [TIGHT],
        at_in=[16.0],
    )
    one, other = left.adapters[0], by_name(told, "tight")
    assert one.hit_left_change_in is not None
    assert other.hit_left_change_in is not None
    assert one.hit_left_change_in.value == -other.hit_left_change_in.value
    assert one.share_percent == other.share_percent


def test_the_same_question_has_the_same_answer(told: Takedown) -> None:
    bow, archer = pair()
    again = takedown.takedown(shaft(), bow, archer, [TIGHT], at_in=[16.0])
    # Which other adapters are compared changes nothing either.
    assert again.adapters[0] == by_name(told, "tight")


def test_noise_is_that_of_the_worlds() -> None:
    assert Change(1.0, 0.4).seen
    assert not Change(1.0, 0.6).seen


def test_unknown_of_an_adapter_is_said_and_never_silently_nothing() -> None:
    said = Adapter("x").unknown()
    assert len(said) == 5
    assert any("every joint gives some" in one for one in said)
    assert BRASS.unknown() == []


def test_joints_on_record_are_compared_without_being_asked_for() -> None:
    bow, archer = pair()
    jointed = shaft(joints=(BRASS.joint(14.0),), weight_gr=415.0)
    told = takedown.takedown(jointed, bow, archer, [])
    assert [one.name for one in told.adapters] == ["as recorded"]
    assert told.adapters[0].joints_in == (14.0,)
    assert told.plain is not None
    assert told.plain.arrow_weight_gr < told.adapters[0].arrow_weight_gr
    spine = shaft_spine(jointed)
    assert spine is not None
    # With its joints in it reads what was read, apart from the taper-free correction of the bench.
    assert told.adapters[0].bench_spine_lb == pytest.approx(spine.spine_26in_2lb_lb, rel=2e-3)


def test_marks_and_the_inspection_list_name_the_joint(told: Takedown) -> None:
    assert any("across every joint" in one for one in told.marks)
    assert any("clockwise" in one for one in told.marks)
    assert all(one for one in told.inspect)
    assert sum(one.startswith("joint:") for one in told.inspect) >= 4


# ---- stops and refusals


def test_a_stop_of_the_pair_or_the_shaft_ends_it_before_a_shot() -> None:
    bow, archer = pair()
    left = bow.model_copy(update={"hand": "left"})
    assert [s.code for s in takedown.takedown(shaft(), left, archer, [TIGHT]).stops] == ["hand"]
    broken = shaft(inspection=Inspection(result="failed", on=datetime.date(2026, 4, 1)))
    told = takedown.takedown(broken, bow, archer, [TIGHT])
    assert [one.code for one in told.stops] == ["shaft-unfit"]
    assert told.plain is None


@pytest.mark.parametrize(
    ("changes", "adapters", "more", "kind", "code"),
    [
        ({}, [], {}, MissingRefusal, "missing-adapter"),
        ({}, [TIGHT] * 9, {}, BoundRefusal, "too-many-adapters"),
        ({}, [TIGHT], {"at_in": [1.0] * 7}, BoundRefusal, "too-many-joints"),
        ({}, [TIGHT], {"at_in": [30.5]}, ContradictionRefusal, "joint-outside"),
        ({}, [TIGHT], {"at_in": [16.0, 17.0]}, ContradictionRefusal, "sleeves-overlap"),
        ({}, [TIGHT], {"length_in": 33.0}, ContradictionRefusal, "cut-longer-than-shaft"),
        ({"bench_readings": ()}, [TIGHT], {}, MissingRefusal, "missing-bench-reading"),
    ],
)
def test_joints_that_cannot_be_compared_are_refused_in_a_sentence(
    changes: dict[str, Any],
    adapters: list[Adapter],
    more: dict[str, Any],
    kind: type[Refusal],
    code: str,
) -> None:
    bow, archer = pair()
    with pytest.raises(kind) as told:
        takedown.takedown(shaft(**changes), bow, archer, adapters, **more)
    assert told.value.code == code
    assert told.value.message.endswith(".")


def test_a_joint_of_a_short_shaft_is_held_against_its_length() -> None:
    with pytest.raises(ContradictionRefusal):
        jointed_profile(uniform(), shaft(), [Joint(station_in=33.0)])
    assert jointed_profile(uniform(), shaft(), []).length == pytest.approx(32.0 * IN, rel=round_off)


def test_where_the_best_spine_is_not_bounded_no_shift_of_it_is_told(told: Takedown) -> None:
    assert told.plain is not None
    assert told.plain.best_open is None
    assert "cannot be told" not in " ".join(told.verdict)
    child = pair()[1].model_copy(
        update={"draw_length_in": 19.0, "experience": "beginner", "loose": "unsteady"}
    )
    weak = pair()[0].model_copy(
        update={
            "draw_readings": (
                pair()[0].draw_readings[0].model_copy(update={"draw_in": 16.0, "weight_lb": 16.0}),
                pair()[0].draw_readings[1].model_copy(update={"draw_in": 19.0, "weight_lb": 20.0}),
            ),
        }
    )
    open_ = takedown.takedown(shaft(), weak, child, [TIGHT])
    assert open_.plain is not None
    assert open_.plain.best_open is not None
    assert "cannot be told here" in open_.verdict[-1]
    assert "the best wood is" not in open_.verdict[0]
