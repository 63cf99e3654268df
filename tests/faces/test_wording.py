"""Every figure carries its unit, every spine its span and load, every side its word."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from rich.console import Console

from faces.sample_answer import mirrored, sample_answer
from loosewell.faces import wording
from loosewell.faces.cli import match as command
from loosewell.workshop import match
from loosewell.workshop.answer import Band


def test_spine_is_told_in_both_standards_with_span_and_load() -> None:
    # Exact beam relation, δ28 = 31.4992 / S: 31.4992 / 45 = 0.69998.
    assert wording.spine(45.0) == "45 lb (26 in span, 2 lb) / 0.700 in (28 in span, 1.94 lb)"


@pytest.mark.parametrize(
    ("spine_lb", "deflection_in"), [(30.0, 1.0500), (50.0, 0.6300), (60.0, 0.5250), (80.0, 0.3937)]
)
def test_later_deflection_follows_the_beam_relation(spine_lb: float, deflection_in: float) -> None:
    # Ratio of the two standards on one uniform beam, 1.94 · 28³ / (2 · 26³) = 1.211507.
    assert wording.later_deflection_in(spine_lb) == pytest.approx(deflection_in, abs=5e-5)


def test_a_range_of_spine_turns_round_as_deflection() -> None:
    text = wording.spine_range(40.0, 50.0)
    assert text.startswith("40 to 50 lb (26 in span, 2 lb)")
    assert text.endswith("0.787 to 0.630 in (28 in span, 1.94 lb)")


@pytest.mark.parametrize(
    ("value_in", "text"),
    [(28.75, "28 3/4"), (28.0, "28"), (0.5, "1/2"), (27.99, "28"), (-0.25, "−1/4"), (0.01, "0")],
)
def test_a_tape_reads_sixteenths(value_in: float, text: str) -> None:
    assert wording.fraction_of_inch(value_in) == text


def test_both_unit_systems_stand_side_by_side() -> None:
    # 1 in = 25.4 mm, 1 gr = 64.79891 mg, 1 lb = 0.45359237 kg, 1 ft = 0.3048 m, all exact.
    assert wording.tape_length(28.5) == "28 1/2 in (724 mm)"
    assert wording.mass(125.0) == "125 gr (8.1 g)"
    assert wording.distance(20.0) == "20 yd (18.3 m)"
    assert (
        wording.draw_weight(Band(50.0, 49.0, 51.0)) == "50.0 lb (49.0 to 51.0 lb), 22.2 to 23.1 kg"
    )
    assert (
        wording.speed_band(Band(150.0, 140.0, 160.0))
        == "150 fps (140 to 160 fps), 42.7 to 48.8 m/s"
    )
    # One foot-pound is 1.35582 J.
    assert wording.energy_band(Band(25.0, 25.0, 25.0)) == "25.0 ft-lb, 33.9 J"


def test_minus_zero_is_never_printed() -> None:
    assert wording.number(-0.001, 1) == "0.0"
    assert wording.number(-1.25, 1) == "−1.2"


def test_left_and_right_are_told_in_words() -> None:
    assert wording.side(2.14, " in") == "2.1 in left"
    assert wording.side(-2.14, " in") == "2.1 in right"
    assert wording.side(-0.01, " in") == "0.0 in"
    assert wording.height(-1.0, "°") == "1.0° low"


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        (0.4, 1.9, "0.4 to 1.9° left"),
        (-1.9, -0.4, "0.4 to 1.9° right"),
        (-0.4, 1.9, "0.4° right to 1.9° left"),
    ],
)
def test_a_range_of_angles_names_its_sides(low: float, high: float, text: str) -> None:
    assert wording.side_range(low, high) == text


def test_shares_at_the_ends_claim_no_certainty() -> None:
    assert wording.percent(100.0) == "over 99 %"
    assert wording.percent(0.0) == "under 1 %"
    assert wording.percent(84.4) == "84 %"


def test_mirrored_launches_swap_left_and_right_and_nothing_else() -> None:
    def swapped(found: re.Match[str]) -> str:
        return {"left": "right", "right": "left"}[found.group()]

    for picture in sample_answer().pictures:
        told = wording.nock_stands(picture) + wording.lands(picture)
        mirror = wording.nock_stands(mirrored(picture)) + wording.lands(mirrored(picture))
        turned = re.sub("left|right", swapped, told)
        # A range that crosses zero names its ends in the other order.
        assert sorted(re.findall(r"[\w.]+", mirror)) == sorted(re.findall(r"[\w.]+", turned))


def test_shafts_not_to_be_shot_come_last_on_the_rack() -> None:
    order = [row.acts for row in wording.rack_order(sample_answer().rack)]
    assert order[0] == "fits"
    assert order[-2:] == ["too short", "unfit"]
    assert len(order) == 30


def test_json_has_a_unit_in_the_key_of_every_number() -> None:
    unit = re.compile(
        r"_(in|gr|lb|fps|ft|yd|deg|f|percent|ms|s|mns|ftlb|mps|count|x)(_|$)|^grains_per_pound$"
    )
    bare = {"launches"}
    parents_with_unit: list[str] = []

    def walk(value: object, key: str, parent: str) -> None:
        if isinstance(value, dict):
            for name, inner in value.items():
                walk(inner, name, key)
        elif isinstance(value, list):
            for inner in value:
                walk(inner, key, parent)
        elif isinstance(value, int | float) and not isinstance(value, bool):
            told = parent if key in ("middle", "low", "high") else key
            if told not in bare:
                assert unit.search(told), f"{told} ({key}) has no unit"
            parents_with_unit.append(told)

    walk(wording.as_json(sample_answer()), "", "")
    assert len(parents_with_unit) > 1000


def test_json_turns_what_is_not_finite_into_null() -> None:
    answer = replace(sample_answer(), rules_spread_lb=float("nan"))
    data = wording.as_json(answer)
    assert data["rules_spread_lb"] is None
    json.dumps(data, allow_nan=False)


def test_the_range_and_the_spread_of_rules_are_each_told_once() -> None:
    answer = sample_answer()
    assert wording.rules_verdict(answer).count("20 lb apart") == 1
    told = replace(answer, rules_against_engine="The rules stand 20 lb apart. Six agree.")
    assert wording.rules_verdict(told) == "The rules stand 20 lb apart. Six agree."
    assert not wording.repeats_range(answer)
    assert wording.repeats_range(replace(answer, spine_range_text="47 to 59 lb, best near 53 lb"))


def test_notes_become_sentences() -> None:
    assert wording.sentence("not inspected yet") == "Not inspected yet."
    assert wording.sentence("Stop!") == "Stop!"
    assert wording.sentence("  ") == ""


def test_what_is_left_of_the_bending_is_told_with_its_place() -> None:
    picture = sample_answer().pictures[0]
    assert wording.straightens(replace(picture, straight_after_yd=12.0)) == (
        "Bends no more (1 mm at the nock) after 12 yd (11.0 m)."
    )
    # 1 in is 25.4 mm: 0.21 in is 5.3 mm.
    still = wording.straightens(replace(picture, straight_after_yd=None, bend_left_in=0.21))
    assert still == "Still bends 0.21 in (5 mm) at the nock when it strikes."
    assert "Hardly" in wording.straightens(replace(picture, straight_after_yd=0.0))


def test_marks_are_told_and_none_is_no_promise() -> None:
    picture = replace(sample_answer().pictures[0], marks=["a rub", "a worn feather."])
    assert wording.traces(picture) == "Marks to look for: a rub; a worn feather."
    assert "none computed" in wording.traces(replace(picture, marks=[]))


def test_forgiveness_has_a_width_and_a_fall_on_each_side_that_is_known() -> None:
    answer = sample_answer()
    told = wording.forgiveness(answer)
    assert "12 lb wide" in told
    assert "3.4 of 100 for each pound weaker" in told
    assert "5.0 of 100 for each pound stiffer" in told
    half = wording.forgiveness(replace(answer, fall_weak_percent_per_lb=None))
    assert "weaker" not in half
    assert "stiffer" in half
    assert wording.forgiveness(replace(answer, forgiveness_lb=None)) == ""


def test_one_tried_shot_has_a_verdict_and_no_share() -> None:
    picture = replace(sample_answer().pictures[0], label="this shaft", share_clean_percent=100.0)
    told = " ".join(wording.shot_sentences(picture))
    assert "is clean" in told
    assert "% of such" not in told
    assert wording.clean_in_short(picture) == "clean"
    assert wording.clean_in_short(replace(picture, share_clean_percent=0.0)) == "not clean"
    assert "is not clean" in wording.shots_like_it(replace(picture, share_clean_percent=0.0))


def test_the_share_of_a_picture_says_why_its_shot_is_not_clean() -> None:
    picture = replace(
        sample_answer().pictures[1],
        share_clean_percent=14.0,
        unclean_because="swings 14° off its path",
    )
    assert wording.shots_like_it(picture) == (
        "14 % of such shots are clean; the one shown is not: it swings 14° off its path."
    )
    knocking = replace(picture, unclean_because="tail knocks 36 mN·s")
    assert wording.shots_like_it(knocking).endswith("is not: its tail knocks 36 mN·s.")
    tried = replace(picture, label="this shaft", share_clean_percent=0.0)
    assert wording.shots_like_it(tried).endswith("is not clean: it swings 14° off its path.")


@pytest.mark.parametrize("start", ["up to 23 lb", "50 lb and stiffer", "every spine reckoned"])
def test_an_open_end_of_the_range_is_printed_nowhere_as_a_figure(start: str) -> None:
    answer = sample_answer()
    assert not wording.open_range(answer)
    answer = replace(answer, spine_range_text=f"{start} (26 in span, 2 lb), best near 20 lb")
    assert wording.open_range(answer)
    console = Console(width=200, record=True, file=io.StringIO())
    command._print_spine(answer, console, full=False)
    told = console.export_text()
    assert start in told
    assert answer.spine_range_lb is not None
    assert wording.spine_range(answer.spine_range_lb.low, answer.spine_range_lb.high) not in told


def test_only_inputs_that_matter_count_as_wideners() -> None:
    told = [item.share_of_width_percent for item in wording.wideners(sample_answer(), 12.0)]
    assert told == [44.0, 23.0, 17.0]


def test_every_stage_of_the_engine_has_words_for_people_waiting() -> None:
    room = Path(match.__file__).parent
    files = sorted([*room.glob("*.py"), *room.glob("*/*.py")])
    source = "\n".join(path.read_text(encoding="utf-8") for path in files)
    told = re.findall(r'\.(?:shoot|chances)\([^"]*?"([a-z ]+)"', source)
    told += re.findall(r'tell\("([a-z ]+)"', source)
    assert {"spines", "rack", "pictures", "done"} <= set(told)
    for word in told:
        assert wording.stage(word) != word, word
