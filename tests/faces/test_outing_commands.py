"""The commands outing, read and learned: shots typed in one go, answers found again, refusals."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from typer.testing import CliRunner, Result

import made_up_records
from loosewell.errors import Refusal
from loosewell.faces.cli.app import app
from loosewell.faces.cli.read import likely
from loosewell.faces.shots import shot_text, shots_typed
from loosewell.records import (
    Archer,
    Arrow,
    BenchReading,
    Bow,
    DrawReading,
    Inspection,
    Outing,
    Shaft,
    ShotSeen,
)
from loosewell.workshop.keep import Workshop
from loosewell.workshop.reading import weigh

runner = CliRunner()
MUST = ("--bow", "ash", "--archer", "wren", "--on", "2024-05-30", "--distance", "20 yd")
ONE = ("--shot", "fletched, 2 in left, 1 in high, straight")


@pytest.fixture
def shop(workshop_path: Path) -> Path:
    with Workshop.open(workshop_path) as workshop:
        workshop.add_all(
            [
                Bow(
                    name="Ash",
                    hand="left",
                    make="plain wooden",
                    length_in=68.0,
                    draw_measured="true",
                    draw_readings=(DrawReading(weight_lb=45.0, draw_in=26.0),),
                    drawn_to_limit_in=28.0,
                ),
                Archer(name="Wren", hand="left", draw_length_in=26.0, draw_measured="true"),
                Shaft(
                    name="S1",
                    length_in=31.0,
                    bench_readings=(BenchReading(span_in=26.0, load_lb=2.0, deflection_in=0.45),),
                    inspection=Inspection(result="passed", on="2024-05-01"),  # type: ignore[arg-type]
                ),
                Arrow(name="A1", shaft="S1", length_in=29.5, point_weight_gr=125.0),
            ]
        )
    return workshop_path


def run(path: Path, *words: str) -> Result:
    return runner.invoke(app, [*words, f"--workshop={path}"])


def did(path: Path, *words: str) -> str:
    told = run(path, *words)
    assert told.exit_code == 0, told.stderr
    return told.stdout


def refused(path: Path, *words: str) -> str:
    told = run(path, *words)
    assert told.exit_code == 2, (told.stdout, told.stderr)
    assert told.stdout == ""
    assert "Traceback" not in told.stderr
    return told.stderr


# ---- a shot as typed


def test_a_shot_is_read_from_behind_with_left_and_high_positive() -> None:
    (one,) = shots_typed("fletched, 2 in left, 1 in high, straight")
    assert one == ShotSeen(
        left_in=2.0, high_in=1.0, nock_sideways="straight", nock_upright="straight"
    )
    (other,) = shots_typed(
        "bare, arrow 3, 6 in right, 2 in low, nock left, good, powder on the tail"
    )
    assert other == ShotSeen(
        bare=True,
        arrow="3",
        left_in=-6.0,
        high_in=-2.0,
        nock_sideways="left",
        called="good",
        marks=("powder on the tail",),
    )


def test_angles_errors_speeds_and_shots_alike_are_read() -> None:
    found = shots_typed(
        "bare; 5,08 cm left ± 1 in; 0 in high; nock left 8 deg +- 2 deg; nock low; cold; bad; "
        "46 m/s +- 1 %; knock heard; plate marked; x3"
    )
    assert len(found) == 3
    assert found[0] == found[2]
    one = found[0]
    assert one.left_in == pytest.approx(2.0)
    assert (one.place_error_in, one.nock_left_deg, one.angle_error_deg) == (1.0, 8.0, 2.0)
    assert (one.nock_upright, one.cold, one.called) == ("low", True, "bad")
    assert one.speed_fps == pytest.approx(46.0 / 0.3048)
    assert one.speed_error_percent == 1.0
    assert one.marks == ("knock heard", "plate marked")


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("2 in left, 1 in high", "does not say whether the arrow was bare or fletched"),
        ("fletched, 2 left, 1 in high", "unit"),
        ("fletched, 2 in left", "One of the two places"),
        ("fletched, 2 in left, 1 in right, 0 in high", "says a place twice"),
        ("bare, nock left 95 deg", "95 deg is outside -90 to 90 deg"),
        ("bare, nock left, nock right 20 deg", "to the other side"),
        ("bare, nock straight 8 deg", "called straight with an angle"),
        ("bare, no marks, feather worn", "together with 'none'"),
        ("bare, wobbled a bit", "'wobbled a bit' could not be read"),
        ("bare, 1 in left, 0 in high, x400", "400 shots alike"),
        ("bare, 900 in left, 0 in high", "900 in is outside"),
        ("bare, good, bad", "says whether it was good twice"),
    ],
)
def test_a_shot_that_cannot_be_taken_is_refused_in_a_sentence(text: str, word: str) -> None:
    with pytest.raises(Refusal) as told:
        shots_typed(text)
    assert word in told.value.message
    assert told.value.message.endswith(".")


@given(shot=made_up_records.shots_seen)
def test_a_shot_shown_and_typed_again_says_the_same(shot: ShotSeen) -> None:
    if shot.arrow is not None and set(shot.arrow) & set(",;"):
        return  # a name with a comma is not typed this way
    (back,) = shots_typed(shot_text(shot))
    for field in ShotSeen.model_fields:
        was, now = getattr(shot, field), getattr(back, field)
        if isinstance(was, float):
            # Shown to four figures and more: finer than any ruler at a butt.
            assert now == pytest.approx(was, rel=1e-3, abs=1e-4)
        else:
            assert now == was, field


# ---- outing


def test_an_outing_is_typed_in_one_go_and_the_hand_repeated(shop: Path) -> None:
    told = did(
        shop, "outing", "add", "Evening", *MUST, *ONE,
        "--shot", "bare, 6 in right, 2 in low, nock left, x2", "--arrow", "A1",
        "--brace-height", "16.5 cm", "--nocking-height", "3/8 in", "--temperature", "15 C",
        "--wind", "5 fps right", "--change", "point: 150 gr", "--positions-from", "fletched group",
        "--remarks", "drizzle",
    )  # fmt: skip
    assert "3 shots at 20 yd. Wren is left-handed; left and right are seen from behind." in told
    with Workshop.open(shop) as workshop:
        outing = workshop.get("outing", "Evening").record
    assert isinstance(outing, Outing)
    assert (outing.bow, outing.archer, outing.arrow) == ("Ash", "Wren", "A1")
    assert outing.brace_height_in == pytest.approx(6.496, abs=0.001)
    assert (outing.nocking_height_in, outing.wind_left_fps) == (0.375, -5.0)
    assert outing.temperature_f == pytest.approx(59.0)
    assert outing.positions_from == "fletched group"
    assert outing.change is not None
    assert (outing.change.what, outing.change.text) == ("point", "150 gr")
    shown = did(shop, "outing", "show", "evening")
    assert "left, left and right seen from behind" in shown
    assert "bare, 6 in right, 2 in low, nock left" in shown
    assert "point: 150 gr" in shown
    assert "Evening: 2024-05-30, Wren with Ash, 20 yd, 3 shots (2 bare), not read yet" in did(
        shop, "outing", "list"
    )
    plain = json.loads(did(shop, "outing", "show", "Evening", "--json"))
    assert plain["hand"] == "left"
    assert plain["record"]["shots"][0]["left_in"] == 2.0


@pytest.mark.parametrize(
    ("left_out", "word"),
    [
        ("--distance", "The distance was not said"),
        ("--on", "The day was not said"),
        ("--bow", "Which bow was shot was not said"),
        ("--archer", "without the archer the hand is not known"),
    ],
)
def test_what_must_be_said_is_asked_for(shop: Path, left_out: str, word: str) -> None:
    place = MUST.index(left_out)
    words = (*MUST[:place], *MUST[place + 2 :])
    assert word in refused(shop, "outing", "add", "Evening", *words, *ONE)


@pytest.mark.parametrize(
    ("words", "word"),
    [
        ((), "No shots were given"),
        ((*ONE, "--change", "wax: more"), "A change of 'wax' is not known"),
        ((*ONE, "--positions-from", "the moon"), "Accepted are aim and fletched group"),
        ((*ONE, "--wind", "5 fps"), "without a side"),
        ((*ONE, "--bow", "Elm"), "no bow called 'Elm'"),
        ((*ONE, "--on", "2150-01-01"), "lies in the future"),
        ((*ONE, "--distance", "500 yd"), "outside 3 to 120 yd"),
    ],
)
def test_an_outing_that_cannot_be_taken_leaves_no_trace(
    shop: Path, words: tuple[str, ...], word: str
) -> None:
    assert word in refused(shop, "outing", "add", "Evening", *MUST, *words)
    assert "No outings" in did(shop, "outing", "list")


def test_five_thousand_shots_are_refused(shop: Path, tmp_path: Path) -> None:
    table = tmp_path / "many.csv"
    table.write_text("kind,left (in),high (in),count\n" + "fletched,1,1,50\n" * 100)
    told = refused(shop, "outing", "add", "Evening", *MUST, "--shots", str(table))
    assert "5000 shots; at most 1000" in told


def test_shots_come_from_a_table_with_units_in_its_header(shop: Path, tmp_path: Path) -> None:
    table = tmp_path / "shots.csv"
    table.write_text(
        "Kind;Arrow;left (cm);low (in);nock sideways;nock right (deg);called;cold;marks;"
        "speed (fps)\n"
        "fletched;A1;2,54;1;straight;;good;yes;;\n"
        "bare;S1;-5.08;0;;8;;;feather worn/knock heard;150\n"
    )
    did(shop, "outing", "add", "Evening", *MUST, "--shots", str(table))
    with Workshop.open(shop) as workshop:
        outing = workshop.get("outing", "Evening").record
    assert isinstance(outing, Outing)
    first, second = outing.shots
    assert first.left_in == pytest.approx(1.0)
    assert (first.arrow, first.high_in, first.nock_sideways) == ("A1", -1.0, "straight")
    assert (first.called, first.cold) == ("good", True)
    assert second.left_in == pytest.approx(-2.0)
    assert (second.bare, second.nock_left_deg, second.speed_fps) == (True, -8.0, 150.0)
    assert second.marks == ("feather worn", "knock heard")


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "holds no table"),
        ("kind,left,high (in)\nbare,1,1\n", "carries no unit. Write it as 'left (in)'"),
        ("kind,colour\nbare,red\n", "column 'colour' is not known"),
        ("kind,left (in),high (in)\nbare,1,1\n,2,2\n", "line 3: Of a shot it is not told"),
        ("kind,left (in),right (in)\nbare,1,1\n", "its opposite are both filled"),
        ("kind,left (in)\nbare,1\n", "line 2: One of the two places"),
        ("kind,left (in),left (cm)\nbare,1,1\n", "line 2"),
        ("kind,kind\nbare,bare\n", "names one column twice"),
    ],
)
def test_a_table_that_cannot_be_taken_is_refused_by_line(
    shop: Path, tmp_path: Path, text: str, word: str
) -> None:
    table = tmp_path / "shots.csv"
    table.write_text(text)
    assert word in refused(shop, "outing", "add", "Evening", *MUST, "--shots", str(table))
    assert "No outings" in did(shop, "outing", "list")


def test_an_outing_is_changed_retired_and_restored_with_its_history(shop: Path) -> None:
    did(shop, "outing", "add", "Evening", *MUST, *ONE)
    did(shop, "outing", "change", "Evening", "--shot", "bare, 3 in left, 0 in high")
    did(shop, "outing", "change", "Evening", "--shot", "bare, 4 in left, 0 in high",
        "--replace-shots", "--name", "Dusk")  # fmt: skip
    with Workshop.open(shop) as workshop:
        versions = workshop.history("outing", "Dusk")
    assert [len(one.record.shots) for one in versions] == [1, 2, 1]  # type: ignore[union-attr]
    assert "why" in refused(shop, "outing", "retire", "Dusk").lower()
    did(shop, "outing", "retire", "Dusk", "--why", "wrong archer")
    assert "Dusk" in did(shop, "outing", "list", "--retired")
    did(shop, "outing", "restore", "Dusk")
    told = did(shop, "outing", "history", "Dusk")
    assert "retired: wrong archer" in told
    assert "Shot 1: bare, 4 in left, 0 in high" in told
    assert "Nothing to change" in refused(shop, "outing", "change", "Dusk")


# ---- read and learned


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in (("FIRST", 256), ("NEXT", 256), ("ROUNDS", 2), ("KEPT", 32)):
        monkeypatch.setattr(weigh, name, value)


def in_order(text: str, *parts: str) -> None:
    text = " ".join(text.replace("┃", " ").split())
    places = [text.find(part) for part in parts]
    assert -1 not in places, parts[places.index(-1)]
    assert places == sorted(places)


def test_an_outing_is_read_told_in_order_and_shown_again(
    shop: Path, tmp_path: Path, small: None
) -> None:
    bare = "bare, 6 in right, 0 in high, nock left"
    did(shop, "outing", "add", "Evening", *MUST, *ONE, "--arrow", "A1",
        "--shot", "fletched, 1 in right, 2 in low, straight", "--shot", f"{bare}, x2")  # fmt: skip
    picture = tmp_path / "evening.svg"
    first = did(shop, "read", "Evening", "--picture", str(picture))
    in_order(
        first,
        "Wren is left-handed; left and right are",
        "No hard stop in what was entered",
        "Bare wooden shafts break when they strike sideways",
        "What was seen",
        "Fletched, 2 shots",
        "What lies behind it",
        " % ",
        "Next step",
        "What this rests on",
        "(26 in span, 2 lb)",
        "Learned for next time",
        "No word here says that a shaft",
        "Kept as answer 1 to Evening.",
    )
    assert "<svg" in picture.read_text()
    again = did(shop, "read", "evening", "--again", "1", "--picture", str(tmp_path / "again.svg"))
    assert again.split("\nAs answered on")[0] == first.split("\nKept as answer")[0]
    assert (tmp_path / "again.svg").read_text() == picture.read_text()
    assert "reckoned again from the records as they stood: the same" in " ".join(
        did(shop, "read", "Evening", "--replay", "1").split()
    )
    listed = did(shop, "read", "Evening", "--list")
    assert listed.startswith("1  ")
    assert listed.count("\n") == 1
    plain = json.loads(did(shop, "read", "Evening", "--again", "1", "--json"))
    assert plain["hand"] == "left"
    assert plain["stops"] == []
    assert sum(one["chance_percent"] for one in plain["causes"]) == pytest.approx(100.0, abs=1.0)
    assert "read once" in did(shop, "outing", "list")
    for words in (("--again", "2"), ("--replay", "9")):
        assert "one answer" in refused(shop, "read", "Evening", *words)
    assert "only one" in refused(shop, "read", "Evening", "--again", "1", "--list")
    assert ".svg" in refused(shop, "read", "Evening", "--picture", "evening.pdf")
    assert "no outing called" in refused(shop, "read", "Dawn")


def test_a_stop_stands_before_everything_that_was_seen(shop: Path) -> None:
    did(shop, "outing", "add", "Evening", *MUST, *ONE, "--arrow", "A1")
    did(shop, "arrow", "change", "A1", "--length", "27 in")
    told = did(shop, "read", "Evening")
    in_order(told, "STOP", "shorter than the least for Wren", "What was seen", "settle the stop")
    assert "Next step" not in told


def learned_of(shop: Path) -> None:
    import numpy as np

    from loosewell.chance.carried import Carried
    from loosewell.chance.priors import Uncertain
    from loosewell.workshop.reading import learn

    with Workshop.open(shop) as workshop:
        bow: Any = workshop.get("bow", "Ash").record
        archer: Any = workshop.get("archer", "Wren").record
        push = Uncertain("loose_push", 0.0077, 0.25, "log")
        factor = Carried((push,), 3.0 * np.eye(1), 4.0 * np.ones(1))
        told = {
            **factor.plain(),
            "on": "2024-05-30",
            "shots": 6,
            "bow": learn._state(bow, learn._BOW_CHANGES),
            "archer": learn._state(archer, learn._ARCHER_CHANGES),
        }
        workshop.keep_answer("Evening", "loosewell 1", 5, {}, told)


def test_what_was_learned_is_shown_with_its_day_and_set_aside_with_a_reason(shop: Path) -> None:
    assert "Nothing was learned yet" in did(shop, "learned")
    did(shop, "outing", "add", "Evening", *MUST, *ONE)
    learned_of(shop)
    told = did(shop, "learned", "--archer", "wren")
    assert "Wren with Ash: learned from 1 outing, the last on 2024-05-30." in told
    # 7.7 mm by exp(0.25), half of the 25 %: the exact posterior of the made-up factor.
    assert "Sideways push of the fingers: 9.9 mm, ±1.2 (without the shots: 7.7 mm, ±1.9)" in told
    plain = json.loads(did(shop, "learned", "--json"))
    assert plain["pairs"][0]["outings"] == ["Evening"]
    assert "Say why" in refused(shop, "learned", "--forget", "--archer", "Wren")
    assert "whose" in refused(shop, "learned", "--forget", "--why", "new glove")
    did(shop, "learned", "--forget", "--archer", "Wren", "--why", "new glove")
    after = did(shop, "learned")
    assert "Nothing was learned yet" in after
    assert "what had been learned of Wren (new glove)" in after
    with Workshop.open(shop) as workshop:
        assert len(workshop.answers("Evening")) == 1


def test_words_for_chances_rise_with_them() -> None:
    told = [likely(one) for one in (1.0, 10.0, 30.0, 60.0, 85.0, 97.0)]
    assert told == [
        "hardly",
        "possible",
        "quite possible",
        "more likely than not",
        "very likely",
        "almost surely",
    ]
