"""What is said before any number: who, what, both numbers, and what to do instead."""

from __future__ import annotations

import datetime
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import made_up_records
from loosewell.errors import MissingRefusal
from loosewell.records import Archer, Bow, DrawReading, Inspection, Shaft
from loosewell.workshop import stops
from loosewell.workshop.answer import Notice
from loosewell.workshop.match import PURPOSES

TODAY = datetime.date(2026, 5, 1)
NEVER = re.compile(r"\b(safe\w*|unsafe|legal\w*|illegal|enough)\b", re.IGNORECASE)


def bow(**changes: Any) -> Bow:
    usual: dict[str, Any] = {
        "name": "Alder",
        "make": "plain wooden",
        "brace_height_in": 6.5,
        "draw_measured": "true",
        "draw_readings": (
            DrawReading(draw_in=20.0, weight_lb=33.0),
            DrawReading(draw_in=26.0, weight_lb=48.0),
        ),
        "drawn_to_limit_in": 27.0,
        "hand": "right",
    }
    return Bow(**(usual | changes))


def archer(**changes: Any) -> Archer:
    usual: dict[str, Any] = {
        "name": "Fern",
        "draw_length_in": 25.5,
        "draw_measured": "true",
        "draw_method": "marked arrow",
        "draw_date": datetime.date(2026, 4, 1),
        "hand": "right",
        "child": False,
        "experience": "experienced",
    }
    return Archer(**(usual | changes))


def stopped(
    one_bow: Bow, one_archer: Archer, draw_in: float = 25.5, length_in: float | None = None
) -> dict[str, str]:
    return {one.code: one.text for one in stops.stops(one_bow, one_archer, draw_in, length_in)}


def warned(
    one_bow: Bow, one_archer: Archer, draw_in: float = 25.5, error_in: float = 0.25
) -> dict[str, str]:
    found = stops.warnings(one_bow, one_archer, draw_in, error_in, TODAY)
    return {one.code: one.text for one in found}


def test_a_pair_in_order_is_neither_stopped_nor_warned() -> None:
    assert stopped(bow(), archer()) == {}
    assert warned(bow(), archer()) == {}


# ------------------------------------------------------------------------------ stops


def test_a_draw_beyond_the_limit_stops_with_both_draws_and_what_to_use() -> None:
    text = stopped(bow(), archer(), 27.25)["draw-beyond-limit"]
    for part in ("Do not shoot", "Fern", "27.25 in", "Alder", "27.00 in", "Use a bow made for"):
        assert part in text
    assert stopped(bow(), archer(), 27.0) == {}


@pytest.mark.parametrize(("draw_in", "stops_it"), [(25.25, False), (25.5, True)])
def test_a_limit_in_standard_draw_counts_as_true_draw(draw_in: float, stops_it: bool) -> None:
    """27 in of standard draw are 25.25 in of true draw: the grip's 1.75 in are no draw."""
    standard = bow(
        draw_measured="standard",
        draw_readings=(DrawReading(draw_in=27.0, weight_lb=48.0),),
        drawn_to_limit_in=27.0,
    )
    found = stopped(standard, archer(), draw_in)
    assert ("draw-beyond-limit" in found) is stops_it
    if stops_it:
        assert "25.25 in" in found["draw-beyond-limit"]


def test_a_bow_lent_without_a_known_limit_stops_and_names_the_option() -> None:
    text = stopped(bow(loaner=True, drawn_to_limit_in=None), archer())["limit-unknown"]
    for part in ("Do not lend", "Alder", "maker", "--drawn-to-limit"):
        assert part in text
    assert stopped(bow(loaner=True), archer()) == {}


@pytest.mark.parametrize("loaner", [None, False])
def test_an_own_bow_without_a_limit_is_drawn_no_inch_past_its_readings(
    loaner: bool | None,
) -> None:
    unknown = bow(loaner=loaner, drawn_to_limit_in=None)
    assert stopped(unknown, archer(), 27.0) == {}
    text = stopped(unknown, archer(), 27.1)["draw-beyond-readings"]
    for part in ("Do not shoot", "Fern", "27.10 in", "Alder", "26.00 in", "Ask the bow's maker"):
        assert part in text


def test_readings_in_standard_draw_are_turned_into_true_draw_before_they_bound_it() -> None:
    unknown = bow(
        drawn_to_limit_in=None,
        draw_measured="standard",
        draw_readings=(DrawReading(draw_in=26.0, weight_lb=48.0),),
    )
    assert "24.25 in" in stopped(unknown, archer(), 25.5)["draw-beyond-readings"]


@pytest.mark.parametrize(
    ("changes", "least_in"),
    [
        ({}, 28.25),
        ({"experience": None}, 28.25),
        ({"experience": "beginner"}, 29.25),
        ({"child": True}, 29.25),
        ({"draw_length_in": 27.25, "draw_measured": "standard"}, 28.25),
    ],
)
def test_the_shortest_arrow_is_draw_grip_and_overhang(
    changes: dict[str, Any], least_in: float
) -> None:
    """True draw, 1.75 in to the back of the bow, and 1 in, or 2 in for beginners and children."""
    assert stops.minimum_length_in(archer(**changes)) == pytest.approx(least_in, abs=1e-12)


def test_a_short_arrow_stops_with_both_lengths_and_the_end_it_is_measured_to() -> None:
    assert stopped(bow(), archer(), length_in=28.25) == {}
    text = stopped(bow(), archer(), length_in=27.5)["arrow-too-short"]
    for part in ("Do not shoot", "27.50 in", "0.75 in", "Fern", "28.25 in", "nock throat", "back"):
        assert part in text
    assert "longer" in text
    beginner = archer(experience="beginner")
    assert "29.25 in" in stopped(bow(), beginner, length_in=28.25)["arrow-too-short"]


@pytest.mark.parametrize("made_for", ["right", "left"])
def test_the_wrong_hand_stops_and_a_bow_for_both_does_not(made_for: str) -> None:
    other = "left" if made_for == "right" else "right"
    assert stopped(bow(hand=made_for), archer(hand=made_for)) == {}
    assert stopped(bow(hand="either"), archer(hand=other)) == {}
    text = stopped(bow(hand=made_for), archer(hand=other))["hand"]
    assert f"Alder is built for a {made_for}-handed archer" in text
    assert f"Fern draws with the {other} hand" in text
    assert f"bow built for the {other} hand" in text


@pytest.mark.parametrize("method", [None, "told", "arm span"])
def test_a_childs_guessed_draw_stops_and_says_how_to_measure(method: str | None) -> None:
    text = stopped(bow(), archer(child=True, draw_method=method))["child-draw-not-measured"]
    for part in ("Do not shoot yet", "Fern", "marked arrow"):
        assert part in text
    assert stopped(bow(), archer(child=True)) == {}


def test_several_reasons_are_all_told() -> None:
    found = stopped(bow(hand="left"), archer(child=True, draw_method="told"), 28.0, length_in=26.0)
    assert list(found) == [
        "hand", "draw-beyond-limit", "arrow-too-short", "child-draw-not-measured",
    ]  # fmt: skip


def test_an_unfit_shaft_is_named_with_day_and_finding() -> None:
    failed = Inspection(result="failed", on=datetime.date(2026, 3, 2), note="hairline at 12 in")
    notice = stops.unfit(Shaft(name="Q7", inspection=failed))
    assert notice is not None
    assert notice.code == "shaft-unfit"
    for part in ("Do not shoot shaft Q7", "2026-03-02", "hairline at 12 in", "Break it"):
        assert part in notice.text
    passed = Inspection(result="passed", on=datetime.date(2026, 3, 2))
    assert stops.unfit(Shaft(name="Q7", inspection=passed)) is None
    assert stops.unfit(Shaft(name="Q7")) is None


def test_a_note_that_ends_in_a_full_stop_brings_no_second_one() -> None:
    failed = Inspection(result="failed", on=datetime.date(2026, 3, 2), note="A crack.")
    notice = stops.unfit(Shaft(name="Q7", inspection=failed))
    assert notice is not None
    assert "A crack)" in notice.text


# --------------------------------------------------------------------------- warnings


def test_an_unrecorded_limit_warns() -> None:
    text = warned(bow(drawn_to_limit_in=None), archer())["limit-not-recorded"]
    assert "Alder" in text
    assert "Ask its maker" in text


def test_a_draw_that_may_pass_the_limit_warns_with_draw_error_and_limit() -> None:
    assert "draw-near-limit" not in warned(bow(), archer(), 26.7, 0.3)
    text = warned(bow(), archer(), 26.8, 0.3)["draw-near-limit"]
    for part in ("Fern", "26.80 ± 0.3 in", "Alder", "27.00 in", "Watch it", "let down"):
        assert part in text


def test_a_draw_past_the_last_reading_warns_with_both_draws() -> None:
    text = warned(bow(), archer(), 26.5)["draw-past-readings"]
    for part in ("Fern", "Alder", "26.00 in", "26.50 in", "Read it at"):
        assert part in text
    assert "draw-past-readings" not in warned(bow(), archer(), 26.0)


def test_nobody_is_sent_to_draw_a_bow_past_an_unknown_limit_for_a_reading() -> None:
    text = warned(bow(drawn_to_limit_in=None), archer(), 26.5)["draw-past-readings"]
    assert "only after its maker has said" in text


def test_a_childs_draw_grows_old_within_a_term() -> None:
    child = {"child": True, "draw_date": TODAY - datetime.timedelta(days=120)}
    assert "child-draw-old" not in warned(bow(), archer(**child))
    older = {"child": True, "draw_date": TODAY - datetime.timedelta(days=121)}
    text = warned(bow(), archer(**older))["child-draw-old"]
    for part in ("Fern", "2025-12-31", "121 days ago", "measure it again"):
        assert part in text
    grown = archer(draw_date=datetime.date(2019, 1, 1))
    assert "child-draw-old" not in warned(bow(), grown)


def test_a_childs_undated_draw_is_not_taken_as_fresh() -> None:
    text = warned(bow(), archer(child=True, draw_date=None))["child-draw-undated"]
    assert "Fern" in text
    assert "again" in text


@pytest.mark.parametrize("method", ["told", "arm span"])
def test_a_grown_archers_guessed_draw_warns(method: str) -> None:
    text = warned(bow(), archer(draw_method=method))["draw-not-measured"]
    assert "Fern" in text
    assert method in text
    assert "marked arrow" in text


def test_an_unknown_make_is_said_to_be_assumed() -> None:
    assert "taken as a plain wooden bow" in warned(bow(make=None), archer())["make-unknown"]


# ------------------------------------------------------------------------ arrow's mass


def test_the_makers_least_arrow_counts_before_common_practice() -> None:
    known = bow(maker_minimum_arrow_gr=410.0)
    notice = stops.mass_warning(known, 398.0, 30.0)
    assert notice is not None
    assert notice.code == "arrow-below-maker-minimum"
    for part in ("398 gr", "410 gr", "Alder", "break the bow"):
        assert part in notice.text
    # 410 gr from a bow of 60 lb lies below common practice, but its maker has spoken.
    assert stops.mass_warning(known, 410.0, 60.0) is None


@pytest.mark.parametrize("make", [None, "plain wooden", "backed", "reflex-deflex"])
def test_without_the_makers_word_common_practice_for_wooden_bows_warns(make: str | None) -> None:
    """Eight grains per pound: common practice, no source."""
    assert stops.mass_warning(bow(make=make), 400.0, 50.0) is None
    notice = stops.mass_warning(bow(make=make), 350.0, 50.0)
    assert notice is not None
    assert notice.code == "arrow-below-practice"
    for part in ("350 gr", "7.0 grains per pound", "below the 8", "Alder", "not recorded: ask"):
        assert part in notice.text
    assert "common practice, no source" in notice.text


def test_for_a_recurve_no_practice_of_wooden_bows_is_made_up() -> None:
    assert stops.mass_warning(bow(make="recurve"), 250.0, 50.0) is None


# --------------------------------------------------------------------------- cautions


def said(one_archer: Archer, purpose: str, *materials: str | None) -> list[str]:
    return [one.code for one in stops.cautions(one_archer, purpose, materials)]


def test_cautions_come_with_every_answer_and_more_where_more_can_go_wrong() -> None:
    usual = ["inspect-first", "grain-up", "bare-shafts", "range"]
    assert said(archer(), "target") == usual
    assert said(archer(), "target", None, "cedar") == usual
    assert "carbon" in said(archer(), "target", "cedar", "Carbon tube")
    assert "hunting-rules" in said(archer(), "hunting")
    assert "novice" in said(archer(child=True), "target")
    assert "novice" in said(archer(experience="beginner"), "target")


def test_the_engine_never_declares_a_shaft_sound() -> None:
    first = stops.cautions(archer(), "target", [])[0].text
    assert "No spine answer says that a shaft is sound" in first
    assert "look for cracks" in first


# -------------------------------------------------------------------------- all of them


def notices(one_bow: Bow, one_archer: Archer, shaft: Shaft, length_in: float) -> list[Notice]:
    found: list[Notice | None] = [stops.unfit(shaft)]
    try:
        least_in = stops.minimum_length_in(one_archer)
    except MissingRefusal:
        return []
    draw_in = least_in - 2.75
    found += stops.stops(one_bow, one_archer, draw_in, length_in)
    found += stops.warnings(one_bow, one_archer, draw_in, 0.5, TODAY)
    for purpose in PURPOSES:
        found += stops.cautions(one_archer, purpose, [shaft.material])
    found.append(stops.mass_warning(one_bow, 300.0, 45.0))
    return [one for one in found if one is not None]


@given(
    made_up_records.bows().filter(lambda one: bool(one.draw_readings)),
    made_up_records.archers().filter(lambda one: one.draw_length_in is not None),
    made_up_records.shafts(),
    st.floats(8.0, 34.0),
)
def test_no_sentence_promises_anything_and_each_is_whole(
    one_bow: Bow, one_archer: Archer, shaft: Shaft, length_in: float
) -> None:
    """With plain names: a person may call a bow anything, the program may not."""
    plain_bow = one_bow.model_copy(update={"name": "Alder"})
    plain_archer = one_archer.model_copy(update={"name": "Fern"})
    inspection = shaft.inspection and shaft.inspection.model_copy(update={"note": "split"})
    plain = shaft.model_copy(update={"name": "Q7", "material": "carbon", "inspection": inspection})
    found = notices(plain_bow, plain_archer, plain, length_in)
    assert found
    for one in found:
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", one.code)
        assert one.text[0].isupper()
        assert one.text.endswith(".")
        assert ".." not in one.text
        assert "nan" not in one.text
        assert NEVER.search(one.text) is None


@given(
    made_up_records.bows().filter(lambda one: bool(one.draw_readings)),
    made_up_records.archers().filter(lambda one: one.draw_length_in is not None),
    st.floats(4.0, 36.0),
)
def test_a_longer_draw_never_lifts_a_stop(one_bow: Bow, one_archer: Archer, draw_in: float) -> None:
    before = set(stopped(one_bow, one_archer, draw_in))
    assert before <= set(stopped(one_bow, one_archer, draw_in + 0.5))
