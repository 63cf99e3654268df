"""Simulated outings read from a small bank: ranks, mirrored hands, and when nothing may be sure."""

from __future__ import annotations

import importlib.util
import sys
from functools import cache
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import chisquare

from loosewell import units
from loosewell.records.outing import Outing, ShotSeen
from loosewell.workshop import demo
from loosewell.workshop.reading import evidence, faults, step, weigh
from loosewell.workshop.reading.worlds import Setting, Worlds

Array = NDArray[np.float64]

BUILDER = Path(__file__).resolve().parents[2] / "builders" / "outings.py"
SMALL = 2048
OUTINGS = 24


@cache
def builder() -> ModuleType:
    spec = importlib.util.spec_from_file_location("outings_builder", BUILDER)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["outings_builder"] = module
    spec.loader.exec_module(module)
    return module


@cache
def camp(hand: str) -> tuple[Setting, Worlds]:
    """Yew and Wren in either hand, with a small bank of worlds."""
    name, archer_name = demo.PAIRS[0]
    bow = next(one for one in demo.bows() if one.name == name)
    archer = next(one for one in demo.archers() if one.name == archer_name)
    setting = builder().camp_setting(bow, archer, hand)
    return setting, builder().bank_of(setting, 3, SMALL)


def shots(*told: dict[str, object]) -> Outing:
    return Outing.model_validate(
        {
            "name": "o", "bow": "b", "archer": "a", "on": "2026-05-01", "distance_yd": 20.0,
            "shots": [ShotSeen.model_validate(one) for one in told],
        }
    )  # fmt: skip


def fletched(*places: tuple[float, float]) -> list[dict[str, object]]:
    return [{"left_in": left, "high_in": high} for left, high in places]


def bare(*places: tuple[float, float], **more: object) -> list[dict[str, object]]:
    return [{"bare": True, "left_in": left, "high_in": high, **more} for left, high in places]


GROUP = fletched((1.0, 0.0), (-2.0, 1.0), (0.0, -2.0), (2.0, 2.0), (-1.0, -1.0), (0.0, 0.0))


def read(outing: Outing, hand: str = "right") -> weigh.Reading:
    setting, bank = camp(hand)
    return builder().read(setting, bank, outing, 11)


def chances(reading: weigh.Reading) -> dict[str, float]:
    return {one.key: one.chance for one in reading.causes}


def test_ranks_of_the_truth_are_even_over_simulated_outings() -> None:
    """Talts et al. 2018, arXiv 1804.06788, loosely: the page holds it over 500 outings."""
    setting, bank = camp("right")
    rng = np.random.default_rng(21)
    truth = setting.drawn(64, 909)
    setting.shoot_all(truth, "truths")
    scatter = setting.scatter(bank, 5)
    good = np.all([one.good for one in truth.seen], axis=0)
    table: dict[str, list[float]] = {}
    for place in np.flatnonzero(good)[:OUTINGS]:
        outing = builder().outing_of(
            setting, truth, int(place), builder().plan_of(rng), rng, scatter
        )
        reading = builder().read(setting, bank, outing, int(place))
        assert reading.weighed.trusted
        assert sum(chances(reading).values()) == pytest.approx(1.0, abs=1e-9)
        for name, rank in builder().ranks(setting, reading, truth, int(place), rng).items():
            table.setdefault(name, []).append(rank)
    for name, ranks in table.items():
        counts, _ = np.histogram(ranks, bins=4, range=(0.0, 1.0))
        assert chisquare(counts).pvalue > 1e-4, name
    every = np.concatenate([np.array(one) for one in table.values()])
    # A reading too sure of itself heaps ranks at both ends, one too wide in the middle.
    assert np.mean(np.abs(every - 0.5)) == pytest.approx(0.25, abs=0.03)


def test_a_left_handed_archer_is_the_mirror_image() -> None:
    outing = shots(*GROUP, *bare((8.0, 1.0), (9.0, -1.0), (7.0, 0.0), nock_sideways="right"))
    mirror = shots(
        *[{**one, "left_in": -float(str(one["left_in"]))} for one in GROUP],
        *bare((-8.0, 1.0), (-9.0, -1.0), (-7.0, 0.0), nock_sideways="left"),
    )
    right, left = chances(read(outing)), chances(read(mirror, "left"))
    assert set(right) == set(left)
    for key, chance in right.items():
        assert left[key] == pytest.approx(chance, abs=1e-12), key


def test_bare_left_reads_stiff_and_bare_right_reads_weak_for_a_right_handed_archer() -> None:
    """Common practice, no source; the other way round for a left-handed archer."""
    for side, word, other in ((1.0, "stiff", "weak"), (-1.0, "weak", "stiff")):
        outing = shots(*GROUP, *bare((9.0 * side, 0.0), (8.0 * side, 1.0), (10.0 * side, 0.0)))
        found = chances(read(outing))
        assert found[word] > 10.0 * found[other]
        assert found[word] > found["none"]


@pytest.mark.parametrize("where", [(0.0, 0.0), (12.0, 0.0), (0.0, -20.0), (-60.0, 40.0)])
@pytest.mark.parametrize("kind", [True, False])
def test_one_shot_never_makes_an_answer_sure(where: tuple[float, float], kind: bool) -> None:
    outing = shots({"bare": kind, "left_in": where[0], "high_in": where[1]})
    reading = read(outing)
    assert not reading.confident
    assert reading.causes[0].chance < 0.8


def test_fewer_than_three_shots_are_never_sure_whatever_the_chances() -> None:
    for count, sure in ((2, False), (3, True)):
        reading = read(shots(*GROUP[:count]))
        reading.causes = [weigh.Cause("contact", "", 0.95, 0.08)]
        assert reading.confident is sure


def test_shots_that_contradict_one_another_are_not_explained() -> None:
    half = bare((8.0, 0.0), (9.0, 0.0), (8.0, 1.0), nock_sideways="left")
    other = bare((8.0, 0.0), (9.0, 1.0), (7.0, 0.0), nock_sideways="right")
    agreed = read(shots(*GROUP, *half, *half))
    against = read(shots(*GROUP, *half, *other))
    assert agreed.explained
    assert not against.explained
    assert not against.confident


def test_groups_all_over_the_butt_are_not_explained() -> None:
    wild = fletched((60.0, 0.0), (-70.0, 40.0), (0.0, -80.0), (50.0, 60.0), (-40.0, 10.0))
    reading = read(shots(*wild, *bare((0.0, 0.0), (90.0, 10.0))))
    assert not reading.explained
    assert not reading.confident


def test_a_thousand_shots_are_read_and_leave_the_engine_s_own_error() -> None:
    setting, _ = camp("right")
    rng = np.random.default_rng(7)
    aim_in, ruler_in = 4.0, evidence.PLACE_ERROR_IN
    # The scatter of the loose is the engine's own, so that the aim's can be found again.
    first = read(shots(*GROUP, *bare((0.0, 0.0))))
    many = []
    for count, left, is_bare, own in (
        (700, 0.0, False, first.scatter[0]),
        (300, 9.0, True, first.scatter[1]),
    ):
        loose = np.array([own.hit_left, own.hit_high]) / units.INCH
        wide = np.sqrt(aim_in**2 + ruler_in**2 + loose**2)
        for place in rng.normal((left, 0.0), wide, (count, 2)):
            many.append({"bare": is_bare, "left_in": float(place[0]), "high_in": float(place[1])})
    reading = read(shots(*many))
    assert reading.explained
    assert sum(chances(reading).values()) == pytest.approx(1.0, abs=1e-9)
    # What 300 bare shafts show is known to about a third of an inch.
    off = builder().bare_off(setting, reading.kept, "left") / units.INCH
    assert np.mean(off) == pytest.approx(9.0, abs=1.0)
    assert np.std(off) < 0.8
    aim = reading.kept.values["aim_scatter"] * setting.distance / units.INCH
    assert np.mean(aim) == pytest.approx(aim_in, rel=0.06)
    assert np.std(aim) < 0.06 * aim_in


def test_while_too_high_and_too_low_look_alike_the_nocking_point_is_tested_not_changed() -> None:
    """A tail nocked too low bounces off the shelf and lands low too (common practice)."""
    reading = read(
        shots(*GROUP, *bare((0.0, -8.0), (1.0, -9.0), (-1.0, -7.0), nock_upright="high"))
    )
    found = chances(reading)
    high, low = found["nocking point +"], found["nocking point -"]
    assert min(high, low) > 0.1
    advice = step.next_step(reading, lambda _word, _part: None)
    assert advice.kind == "test"
    assert advice.words.startswith("Raise the nocking point")
    assert "Bare wooden shafts break" in advice.words


def test_the_chances_before_are_those_of_the_faults() -> None:
    reading = read(shots(*GROUP))
    before = {one.key: one.before for one in reading.causes}
    assert sum(before.values()) == pytest.approx(1.0, abs=1e-9)
    pinch = next(one for one in faults.FAULTS if one.key == "nock")
    assert before["nock"] == pinch.chance


def test_evidence_held_against_worlds_by_hand_is_the_same() -> None:
    """One bare shot without any call: a plain normal density in both ways, integrated by hand."""
    setting, bank = camp("right")
    scatter = setting.scatter(bank, 5)
    outing = shots({"bare": True, "left_in": 5.0, "high_in": -3.0})
    held = evidence.Evidence(setting, scatter, outing).log_likelihood(bank)
    # By brute force: draw all that is integrated out, for the first few worlds.
    rng = np.random.default_rng(12)
    n = 400_000
    seen = bank.seen[1]
    for k in np.flatnonzero(seen.good)[:4]:
        aim = setting.aim.at(rng.random(n)) * setting.distance
        total = np.ones(n)
        for way, place in (("left", 5.0), ("high", -3.0)):
            said = getattr(seen, f"hit_{way}")[k] * np.exp(0.25 * rng.standard_normal(n))
            off = (0.10**2 + 0.0025**2) ** 0.5 * setting.distance * rng.standard_normal(n)
            wide = np.sqrt(
                aim**2 + getattr(scatter[1], f"hit_{way}") ** 2 + (0.5 * units.INCH) ** 2
            )
            away = (place * units.INCH - said - off) / wide
            total *= np.exp(-0.5 * away**2) / (wide * np.sqrt(2.0 * np.pi))
        assert held[k] == pytest.approx(np.log(np.mean(total)), abs=0.05)


def test_the_chance_after_a_test_of_two_outcomes_is_exact() -> None:
    """Three causes 2 : 1 : 1; a perfect test of the first leaves 1/2 + 1/2 · 1/2 by hand."""
    which = np.array([0, 0, 1, 2])
    perfect = np.column_stack(((which == 0) * 1.0, (which != 0) * 1.0))
    assert step._likeliest(which, perfect) == pytest.approx(0.75, abs=1e-12)
    assert step._likeliest(which, np.full((4, 2), 0.5)) == pytest.approx(0.5, abs=1e-12)
    # Mutual information of the perfect test: the entropy of a fair coin.
    assert step._information(which, perfect) == pytest.approx(np.log(2.0), rel=1e-12)
    assert step._information(which, np.full((4, 2), 0.5)) == pytest.approx(0.0, abs=1e-12)


def test_a_test_of_noise_alone_tells_nothing_and_a_clear_one_tells_all() -> None:
    rng = np.random.default_rng(3)
    which = rng.integers(0, 3, 256)
    noise, even = rng.standard_normal((256, 4)), np.ones(256)
    share, told = step._sharper(noise, np.full(4, 0.5), which, even)
    assert told < 0.05
    assert share < 0.55
    apart = noise.copy()
    apart[:, 0] = 20.0 * which
    share, told = step._sharper(apart, np.array([0.5, 5.0, 5.0, 5.0]), which, even)
    assert share > 0.95
    assert told == pytest.approx(np.log(3.0), abs=0.15)
