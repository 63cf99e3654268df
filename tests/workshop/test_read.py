"""Reading outings of the invented camp: stops, arrows, mirror, replay, and what went wrong."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from loosewell.errors import ContradictionRefusal, NotFoundRefusal
from loosewell.records import (
    Archer,
    Arrow,
    BenchReading,
    Bow,
    Change,
    DrawReading,
    Inspection,
    Outing,
    Shaft,
    ShotSeen,
)
from loosewell.workshop.keep import Workshop
from loosewell.workshop.reading import learn, read, said, weigh, went
from loosewell.workshop.reading.answer import ChangeTold, ReadAnswer, from_plain
from loosewell.workshop.reading.worlds import Setting
from loosewell.workshop.session import Session, silent

DAY = datetime.date(2024, 5, 30)
SHOTS = (
    ShotSeen(left_in=1.0, high_in=0.0, nock_sideways="straight", marks=("none",)),
    ShotSeen(left_in=-2.0, high_in=1.0),
    ShotSeen(left_in=0.5, high_in=-2.0),
    ShotSeen(bare=True, left_in=8.0, high_in=1.0, nock_left_deg=-8.0),
    ShotSeen(bare=True, left_in=9.0, high_in=-1.0, nock_sideways="right"),
    ShotSeen(bare=True, left_in=7.0, high_in=0.0),
)
PASSED = Inspection(result="passed", on=DAY)


def shaft(name: str = "S1", **fields: Any) -> Shaft:
    bend = BenchReading(span_in=26.0, load_lb=2.0, deflection_in=0.45)
    length = {"length_in": 31.0, "weight_gr": 360.0, "bench_readings": (bend,)}
    return Shaft(**{"name": name, "inspection": PASSED, **length, **fields})


def people(hand: str = "right") -> list[Any]:
    return [
        Bow(
            name="Ash",
            hand=hand,  # type: ignore[arg-type]
            make="plain wooden",
            length_in=68.0,
            brace_height_in=6.5,
            draw_measured="true",
            draw_readings=(
                DrawReading(weight_lb=20.0, draw_in=15.0),
                DrawReading(weight_lb=45.0, draw_in=26.0),
            ),
            drawn_to_limit_in=28.0,
            plate_offset_in=0.35,
        ),
        Archer(
            name="Wren",
            hand=hand,  # type: ignore[arg-type]
            draw_length_in=26.0,
            draw_measured="true",
            draw_method="marked arrow",
            draw_error_in=0.3,
        ),
        shaft(),
        Arrow(name="A1", shaft="S1", length_in=29.5, point_weight_gr=125.0),
    ]


def outing(**fields: Any) -> Outing:
    plain = {"name": "Evening", "bow": "Ash", "archer": "Wren", "on": DAY, "distance_yd": 20.0}
    return Outing(**{**plain, "shots": SHOTS, "arrow": "A1", **fields})


@pytest.fixture
def kept(workshop_path: Path) -> Iterator[Workshop]:
    with Workshop.open(workshop_path) as workshop:
        workshop.add_all(people())
        yield workshop


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Few worlds: what is asked here does not hang on how many."""
    for name, value in (("FIRST", 256), ("NEXT", 256), ("ROUNDS", 2), ("KEPT", 32)):
        monkeypatch.setattr(weigh, name, value)


def mirrored(one: Outing) -> Outing:
    """Every left a right; written out here anew, to be no copy of what is tested."""
    other = {"left": "right", "right": "left", "straight": "straight", None: None}
    shots = []
    for shot in one.shots:
        left = None if shot.left_in is None else -shot.left_in
        angle = None if shot.nock_left_deg is None else -shot.nock_left_deg
        turned = {"left_in": left, "nock_left_deg": angle}
        turned["nock_sideways"] = other[shot.nock_sideways]  # type: ignore[assignment]
        shots.append(shot.model_copy(update=turned))
    wind = None if one.wind_left_fps is None else -one.wind_left_fps
    return one.model_copy(update={"shots": tuple(shots), "wind_left_fps": wind})


def weighed(path: Path, hand: str, one: Outing) -> weigh.Reading:
    from loosewell import units
    from loosewell.workshop import bridge
    from loosewell.workshop.wish import wish_of

    with Workshop.open(path) as workshop:
        workshop.add_all([*people(hand), one])
        material = read.gather(workshop, "Evening")
    loose = bridge.loose_model(material.archer)
    draw_in = loose.inputs[0].middle / units.INCH
    wish = wish_of(
        material.bow, material.archer, "target", 20.0, 125.0, 29.5, None, None, None, None,
        one.wind_left_fps, 5,
    )  # fmt: skip
    job = Session(
        material.bow, material.archer, material.shafts, material.arrows, wish, loose, draw_in,
        silent,
    )  # fmt: skip
    labelled, cases, _ = read._cases(job, one, read._named(material))
    return weigh.weigh(Setting(job, cases), labelled, 5, silent)


def test_a_mirrored_outing_of_a_left_hander_has_the_same_causes_to_the_last_digit(
    tmp_path: Path, small: None
) -> None:
    """Mirror symmetry: nothing in nature knows left from right."""
    one = outing(wind_left_fps=4.0)
    right = weighed(tmp_path / "right.sqlite", "right", one)
    left = weighed(tmp_path / "left.sqlite", "left", mirrored(one))
    assert [(c.key, c.chance, c.before) for c in right.causes] == [
        (c.key, c.chance, c.before) for c in left.causes
    ]
    np.testing.assert_array_equal(right.weighed.weight, left.weighed.weight)
    for a, b in zip(right.worlds.seen, left.worlds.seen, strict=True):
        np.testing.assert_array_equal(a.hit_left, -b.hit_left)
        np.testing.assert_array_equal(a.hit_high, b.hit_high)
    assert right.causes[0].chance > right.causes[1].chance > 0.0
    told, other = learn.taught(right), learn.taught(left)
    assert (told is None) == (other is None)
    if told is not None and other is not None:
        assert told["precision"] == other["precision"]
        assert told["pull"] == other["pull"]


def test_an_answer_is_kept_shown_again_and_replayed_as_it_was(kept: Workshop, small: None) -> None:
    kept.add(outing())
    answer, answered = read.read_and_keep(kept, "evening")
    assert not answer.stops
    assert sum(one.chance_percent for one in answer.causes) == pytest.approx(100.0, abs=1.0)
    assert answer.hand == "right"
    assert answer.step is not None
    assert answer.difference_in is not None
    assert answer.picture is not None
    shown, same = read.again(kept, "Evening", 1)
    assert same == answered
    # Shown again: from the file alone, and the same to the last letter.
    assert shown == from_plain(answer.plain()) == from_plain(answered.answer)
    assert shown.plain() == answered.answer
    # Everything it rests on changes afterwards; the old answer still comes out as it was.
    kept.change("bow", "Ash", plate_offset_in=0.1, name="Old ash")
    kept.change("archer", "Wren", hand="left")
    kept.change("arrow", "A1", point_weight_gr=60.0)
    kept.change("outing", "Evening", distance_yd=30.0, name="Dusk")
    kept.retire("shaft", "S1", "lost")
    anew, apart = read.replayed(kept, "Dusk", 1)
    assert apart == []
    assert anew.causes == shown.causes
    assert kept.answers("Dusk") == [answered]


def test_a_replay_says_where_an_answer_comes_out_otherwise(
    kept: Workshop, small: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept.add(outing())
    read.read_and_keep(kept, "Evening")
    monkeypatch.setattr(weigh, "TRADE_LEFT", 0.02)
    _, apart = read.replayed(kept, "Evening", 1)
    assert "causes" in apart


def test_an_answer_that_was_not_given_is_refused_with_how_many_there_are(kept: Workshop) -> None:
    kept.add(outing())
    with pytest.raises(NotFoundRefusal, match="has none yet, and answer 1"):
        read.again(kept, "Evening", 1)


def test_a_retired_outing_is_not_read(kept: Workshop) -> None:
    kept.add(outing())
    kept.retire("outing", "Evening", "wrong archer")
    with pytest.raises(ContradictionRefusal, match="--again"):
        read.gather(kept, "Evening")


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (("arrow", "A1", {"length_in": 28.0}), "arrow-too-short"),
        (
            ("shaft", "S1", {"inspection": Inspection(result="failed", on=DAY)}),
            "shaft-unfit",
        ),
        (("bow", "Ash", {"hand": "left"}), "hand"),
        (("bow", "Ash", {"drawn_to_limit_in": None, "loaner": True}), "limit-unknown"),
    ],
)
def test_a_hard_stop_comes_first_and_nothing_is_reckoned(
    kept: Workshop, change: tuple[Any, str, dict[str, Any]], code: str
) -> None:
    kind, name, fields = change
    kept.change(kind, name, **fields)
    kept.add(outing())
    answer, answered = read.read_and_keep(kept, "Evening")
    assert [one.code for one in answer.stops] == [code]
    assert answer.step is not None
    assert answer.step.kind == "stop"
    assert answer.causes == ()
    assert answer.picture is None
    assert answered.learned is None
    assert answer.seen  # what was seen is still told


def test_a_bare_shaft_shorter_than_the_draw_is_stopped_too(kept: Workshop) -> None:
    kept.add(shaft("Short", length_in=27.0))
    kept.add(outing(arrow="Short"))
    answer, _ = read.read(read.gather(kept, "Evening"))
    assert [one.code for one in answer.stops] == ["arrow-too-short"]


def test_a_shaft_nobody_looked_over_and_an_arrow_nobody_knows_are_warned_of(
    kept: Workshop, small: None
) -> None:
    kept.add(shaft("S2", inspection=None))
    shots = (SHOTS[0].model_copy(update={"arrow": "S2"}), *SHOTS[1:])
    kept.add(outing(shots=shots, arrow="Nobody's"))
    answer, _ = read.read(read.gather(kept, "Evening"))
    codes = [one.code for one in answer.warnings]
    assert codes[:2] == ["not-inspected", "arrow-unknown"] or codes[:2] == [
        "arrow-unknown",
        "not-inspected",
    ]
    assert answer.cautions[0].code == "bare-shafts"
    told = " ".join(answer.reasons)
    assert (
        "No arrow and no shaft is called 'nobody's' here, so a plain shaft of 45 lb ± 11 lb" in told
    )
    assert "(26 in span, 2 lb)" in told


def test_an_arrow_or_a_shaft_by_name_is_taken_as_it_is(kept: Workshop) -> None:
    kept.add(shaft("S2"))
    shots = (*SHOTS[:3], SHOTS[3].model_copy(update={"arrow": "s2"}))
    kept.add(outing(shots=shots))
    material = read.gather(kept, "Evening")
    named = read._named(material)
    assert isinstance(named["a1"], Arrow)
    assert isinstance(named["s2"], Shaft)


def test_the_bow_is_taken_as_it_was_strung_that_day(kept: Workshop) -> None:
    bow = people()[0]
    day = read._of_the_day(bow, outing(brace_height_in=7.25, nocking_height_in=0.3))
    assert (day.brace_height_in, day.nocking_height_in) == (7.25, 0.3)
    assert read._of_the_day(bow, outing()) == bow


def test_one_shot_gives_a_wide_answer(kept: Workshop, small: None) -> None:
    kept.add(outing(shots=(ShotSeen(left_in=30.0, high_in=0.0),)))
    answer, learned = read.read(read.gather(kept, "Evening"))
    assert not answer.confident
    assert "One shot tells little" in answer.verdict
    assert answer.causes[0].chance_percent < 80.0
    assert learned is None
    assert any("No bare shaft was shot" in one for one in answer.not_looked_at)


def test_a_stiffer_shaft_may_be_asked_for_as_a_test_and_a_weaker_one_never(
    kept: Workshop, small: None
) -> None:
    kept.add(outing())
    answer, _ = read.read(read.gather(kept, "Evening"))
    words = {one.key: one.words for one in answer.tests}
    assert "5 lb stiffer (26 in span, 2 lb)" in words["stiffer shaft"]
    assert {"bare", "powder", "heavier point", "more"} <= set(words)
    assert not any("weaker" in text for text in words.values())


# ---- what was seen, in words


def test_what_was_seen_names_sides_from_behind_and_keeps_bad_and_cold_apart() -> None:
    shots = (
        *SHOTS,
        ShotSeen(left_in=30.0, high_in=0.0, called="bad"),
        ShotSeen(left_in=-30.0, high_in=0.0, cold=True),
    )
    told = said.seen_words(outing(shots=shots))
    assert told[0].startswith("Fletched, 3 shots: middle 0.2 in right, 0.3 in low")
    assert any(one.startswith("Bare, 3 shots: middle 8.0 in left") for one in told)
    assert "Called bad before looking and left aside: 1." in told
    assert "Cold first shots, kept apart: 1." in told
    assert "Looked for marks of contact and found none: once." in told


# ---- against the last expectation


def before(**fields: Any) -> ReadAnswer:
    """An answer that expected bare shafts to come 6 in to the right with a heavier point."""
    changes = (
        ChangeTold("point +25", "", 50.0, 20.0, -6.0, 0.2, 1.0, 0.5),
        ChangeTold("brace up", "", 50.0, 20.0, 3.0, 0.0, 1.0, 0.5),
        ChangeTold("brace down", "", 50.0, 20.0, -3.0, 0.0, 1.0, 0.5),
        ChangeTold("nock down", "", 50.0, 20.0, 0.0, 4.0, 0.5, 1.0),
    )
    plain = ReadAnswer(
        "Evening", 1, "Ash", "Wren", "right", "2024-05-30", 20.0, False, 6,
        changes=changes, difference_in=(8.0, 0.0, 1.0), point_gr=125.0,
    )  # fmt: skip
    return replace(plain, **fields)


def after(left_in: float, change: Change | None, high_in: float = 0.0) -> Outing:
    fletched = [ShotSeen(left_in=x, high_in=x) for x in (1.0, -1.0, 0.5, -0.5)]
    bare = [ShotSeen(bare=True, left_in=left_in + x, high_in=high_in + x) for x in (1.0, -1.0, 0.0)]
    return outing(name="Next", on="2024-05-31", shots=(*fletched, *bare), change=change)


HEAVIER = Change(what="point", text="150 gr")


def test_bare_shafts_that_moved_the_other_way_are_told() -> None:
    told = went.went_wrong(before(), after(13.0, HEAVIER))
    assert told is not None
    assert "should have moved about 6 in right" in told
    assert "moved 5 in left" in told


@pytest.mark.parametrize("left_in", [2.0, 5.0, 8.5, -4.0])
def test_bare_shafts_that_moved_as_expected_or_hardly_are_no_alarm(left_in: float) -> None:
    assert went.went_wrong(before(), after(left_in, HEAVIER)) is None


def test_height_is_judged_as_well() -> None:
    lower = Change(what="nocking point", text="lowered 1/8 in")
    assert went.went_wrong(before(), after(8.0, lower, 4.0)) is None
    told = went.went_wrong(before(), after(8.0, lower, -6.0))
    assert told is not None
    assert "about 4 in up" in told


@pytest.mark.parametrize(
    ("what", "text", "key"),
    [
        ("point", "150 gr", "point +25"),
        ("point", "100 gr", None),
        ("point", None, None),
        ("brace height", "up 1/4 in", "brace up"),
        ("brace height", "lowered by 1/4 in", "brace down"),
        ("string twist", "untwisted", "brace down"),
        ("brace height", "1/4 in", None),
        ("nocking point", "1/8 in lower", "nock down"),
        ("length", "1 in", None),
    ],
)
def test_which_change_was_made_is_read_or_left_open(
    what: Any, text: str | None, key: str | None
) -> None:
    found = went.option_of(before(), after(0.0, Change(what=what, text=text)))
    assert (None if found is None else found.key) == key


@pytest.mark.parametrize(
    "previous", [None, before(difference_in=None), before(distance_yd=30.0), before(changes=())]
)
def test_without_an_expectation_nothing_goes_wrong(previous: ReadAnswer | None) -> None:
    assert went.went_wrong(previous, after(13.0, HEAVIER)) is None


def test_a_change_that_went_wrong_leads_to_contact(kept: Workshop, small: None) -> None:
    kept.add(outing())
    kept.keep_answer("Evening", "loosewell 1", 5, before().plain())
    kept.add(after(13.0, HEAVIER))
    answer, _ = read.read_and_keep(kept, "Next")
    assert answer.went_wrong is not None
    assert answer.step is not None
    assert answer.step.kind == "contact"
    assert answer.step.words.startswith("Stop changing things and look for contact.")
    _, apart = read.replayed(kept, "Next", 1)
    assert apart == []


def test_the_outing_before_is_that_of_the_same_bow_and_archer(kept: Workshop) -> None:
    kept.add(outing())
    kept.keep_answer("Evening", "loosewell 1", 5, before().plain())
    kept.add(Archer(name="Jay", hand="right", draw_length_in=26.0, draw_measured="true"))
    kept.add(after(13.0, HEAVIER).model_copy(update={"archer": "Jay"}))
    assert read.gather(kept, "Next").previous is None
    assert read.gather(kept, "Evening").previous is None


def test_a_reading_starts_from_what_other_outings_taught(kept: Workshop, small: None) -> None:
    from loosewell.chance.carried import Carried
    from loosewell.chance.priors import Uncertain

    kept.add(outing())
    kept.add(outing(name="Other", shots=SHOTS[:4]))
    factor = Carried((Uncertain("loose_push", 0.0077, 0.25, "log"),), np.eye(1) * 8, np.ones(1) * 9)
    material = read.gather(kept, "Other")
    told = {
        **factor.plain(),
        "on": "2024-05-30",
        "shots": 6,
        "bow": learn._state(material.bow, learn._BOW_CHANGES),
        "archer": learn._state(material.archer, learn._ARCHER_CHANGES),
    }
    kept.keep_answer("Evening", "loosewell 1", 5, before().plain(), told)
    answer, _ = read.read(read.gather(kept, "Other"))
    assert answer.started_from[0] == "Learned from 1 outing, the last on 2024-05-30."
    assert read.read(read.gather(kept, "Evening"))[0].started_from == ()
    plain = replace(read.gather(kept, "Other"), learned=None)
    assert read.read(plain)[0].causes != answer.causes
