"""Purposes beside the plain target arrow: directions, stops first, and words never said."""

from __future__ import annotations

import json

import pytest

from loosewell.errors import BoundRefusal, MissingRefusal
from loosewell.faces.web.app import PURPOSES as ON_THE_PAGE
from loosewell.workshop import purpose_words, stops
from loosewell.workshop.fishing import Line
from loosewell.workshop.purposes import Asked, Figure, PurposeAnswer, purpose
from loosewell.workshop.reach import FarShot
from loosewell.workshop.wish import PURPOSES
from workshop.test_scrape import pair

VERDICTS = ("legal", "illegal", "is safe", "safely", "big enough", "is enough", "perfect")


def ask(name: str, asked: Asked | None = None) -> PurposeAnswer:
    bow, archer = pair()
    return purpose(bow, archer, (), name, asked)


@pytest.fixture(scope="module")
def flu() -> PurposeAnswer:
    return ask("flu-flu")


@pytest.fixture(scope="module")
def fish() -> PurposeAnswer:
    return ask("fishing", Asked(fish_distance_ft=20.0, fish_depth_in=12.0))


@pytest.fixture(scope="module")
def hunt() -> PurposeAnswer:
    return ask("hunting", Asked(head_width_in=1.125, head_length_in=2.0))


@pytest.fixture(scope="module")
def far() -> PurposeAnswer:
    return ask("long shot")


def figure(answer: PurposeAnswer, name: str) -> Figure:
    return next(one for one in answer.figures if one.name.startswith(name))


def change(answer: PurposeAnswer, name: str) -> tuple[float, float]:
    band = figure(answer, name).change
    assert band is not None
    return band.low, band.high


def test_every_purpose_has_its_words_and_stands_on_the_page() -> None:
    assert set(PURPOSES) == set(purpose_words.WORDS) == set(ON_THE_PAGE)
    for name, plan in PURPOSES.items():
        assert plan.name == name
        assert purpose_words.WORDS[name].why
    _, archer = pair()
    for name in ("stumping", "small game", "flu-flu"):
        told = {one.code for one in stops.cautions(archer, name, [])}
        assert "blunts-bounce" in told
    assert "skips" in {one.code for one in stops.cautions(archer, "fishing", [])}


def test_a_flu_flu_is_slower_farther_out_and_comes_down_nearer(flu: PurposeAnswer) -> None:
    """Common practice, no source: down by 40 to 60 yd; the guess here is longer and says so."""
    assert change(flu, "Drag area")[0] > 0.0
    assert change(flu, "Speed at 15 yd")[1] < 0.0
    assert flu.reach is not None
    assert flu.reach.plain_yd is not None
    assert flu.reach.farthest_yd.high < flu.reach.plain_yd.middle
    assert flu.reach.longest_yd >= flu.reach.windy_yd.high
    assert flu.slowing is not None
    assert flu.slowing.distance_yd is not None
    # Four feathers, 5.5 in by 1 in, 0.85 of the rectangle each.
    assert flu.slowing.feather_area_in2 == pytest.approx(4 * 5.5 * 0.85, abs=0.05)
    assert "plan by the longer" in flu.slowing.text
    assert "not the same as harmless" in flu.slowing.text
    assert flu.reach.causes[0].name == "Drag of the feathers"


def test_more_feather_and_a_spiral_bring_it_down_nearer(flu: PurposeAnswer) -> None:
    spiral = ask("flu-flu", Asked(cut="spiral"))
    assert spiral.reach is not None
    assert flu.reach is not None
    assert spiral.reach.farthest_yd.middle < flu.reach.farthest_yd.middle


def test_a_far_shot_of_their_own_replaces_the_guess(flu: PurposeAnswer) -> None:
    told = ask("flu-flu", Asked(far_shot=FarShot(70.0, 1.5)))
    assert told.reach is not None
    assert flu.reach is not None
    band, guess = told.reach.farthest_yd, flu.reach.farthest_yd
    assert band.low < 70.0 < band.high
    assert band.high - band.low < 0.5 * (guess.high - guess.low)
    assert told.reach.calibration is not None
    assert told.reach.causes[0].name == "Your far shot"
    assert told.reach.longest_yd >= 72.0


def test_wind_and_cold_air_move_the_carry() -> None:
    plain = ask("target").reach
    behind = ask("target", Asked(tail_wind_fps=20.0)).reach
    cold = ask("target", Asked(temperature_f=0.0)).reach
    assert plain is not None
    assert behind is not None
    assert cold is not None
    assert cold.farthest_yd.middle < plain.farthest_yd.middle < behind.farthest_yd.middle


def test_the_plain_target_arrow_is_beside_nothing() -> None:
    told = ask("target")
    assert all(one.plain is None and one.change is None for one in told.figures)
    assert told.plain_words == ""
    assert told.slowing is told.fishing is told.hunting is None


def test_a_fishing_arrow_is_front_heavy_bare_and_slower(fish: PurposeAnswer) -> None:
    assert fish.fletching.startswith("none")
    assert change(fish, "Front of centre")[0] > 5.0
    assert change(fish, "Speed at the bow")[1] < 0.0
    told = fish.fishing
    assert told is not None
    assert len(told.card) == 30
    assert told.asked is not None
    assert told.asked.below_in == pytest.approx(8.4, abs=0.1)
    for entry in told.entries:
        assert 0.0 < entry.depth_wet_in < entry.depth_dry_in
    # Flatter farther out: more may skip, none goes deeper.
    assert [one.dip_deg for one in told.entries] == sorted(
        (one.dip_deg for one in told.entries), reverse=True
    )
    assert told.entries[0].may_skip_percent <= told.entries[-1].may_skip_percent
    assert told.steady[0].swing_deg.middle <= told.steady[1].swing_deg.middle
    assert len(told.checks) == 3


def test_a_bad_line_stops_everything() -> None:
    told = ask("fishing", Asked(line=Line(at_nock=True)))
    assert [one.code for one in told.stops] == ["line-at-nock"]
    assert told.fishing is None
    assert told.reach is None


def test_hunting_gives_numbers_and_no_verdict(hunt: PurposeAnswer) -> None:
    told = hunt.hunting
    assert told is not None
    assert told.head.head_area_in2 == pytest.approx(0.5 * 1.125 * 2.0, abs=0.01)
    assert told.head.ratio == pytest.approx(3 * 5.0 * 0.55 * 0.67 / 1.125, rel=0.01)
    assert told.cold.distance_yd is None
    text = json.dumps(hunt.as_dict()).lower()
    for word in VERDICTS:
        assert word not in text, word
    energy, speed, mass = (
        figure(hunt, name).this.middle for name in ("Energy at the bow", "Speed at the bow", "Mass")
    )
    # Grains times feet a second squared over 450,437 (handbook): medians of three bands.
    assert energy == pytest.approx(mass * speed**2 / 450437.0, rel=0.03)


def test_a_wider_head_turns_more(hunt: PurposeAnswer) -> None:
    wide = ask("hunting", Asked(head_width_in=1.75, head_length_in=2.0)).hunting
    assert wide is not None
    assert hunt.hunting is not None
    assert wide.head.straightens_over_turns is not None
    assert hunt.hunting.head.straightens_over_turns is not None
    assert wide.head.straightens_over_turns < hunt.hunting.head.straightens_over_turns


def test_an_unknown_head_stays_unknown() -> None:
    told = ask("hunting").hunting
    assert told is not None
    assert told.head.ratio is None
    assert "not known" in told.head.text


def test_a_long_shot_arrow_is_lighter_and_carries_farther(far: PurposeAnswer) -> None:
    assert change(far, "Mass")[1] < 0.0
    assert change(far, "Speed at the bow")[0] > 0.0
    assert far.reach is not None
    assert far.reach.plain_yd is not None
    assert far.reach.farthest_yd.middle > far.reach.plain_yd.middle
    assert "No margin" in far.reach.text


@pytest.mark.parametrize(
    ("name", "asked", "kind", "says"),
    [("golf", Asked(), BoundRefusal, "not known"),
     ("fishing", Asked(fish_distance_ft=10.0, fish_depth_in=-2.0), BoundRefusal, "above the surf"),
     ("fishing", Asked(fish_distance_ft=10.0), MissingRefusal, "one of the two is missing"),
     ("hunting", Asked(head_width_in=1.0), MissingRefusal, "One of the two measures"),
     ("target", Asked(tail_wind_fps=200.0), BoundRefusal, "outside -75 to 75"),
     ("flu-flu", Asked(slow_fps=1.0), BoundRefusal, "outside 10 to 200")],
)  # fmt: skip
def test_what_cannot_be_is_refused(
    name: str, asked: Asked, kind: type[Exception], says: str
) -> None:
    with pytest.raises(kind, match=says):
        ask(name, asked)


def test_a_short_arrow_is_a_stop_for_every_purpose() -> None:
    for name in PURPOSES:
        told = ask(name, Asked(length_in=20.0))
        assert "arrow-too-short" in [one.code for one in told.stops]
        assert told.figures == []
