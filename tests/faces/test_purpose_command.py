"""``loosewell purpose`` and ``loosewell aim``: what is typed, what is said first, what is drawn."""

from __future__ import annotations

import datetime
import json
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner, Result

from loosewell.errors import BoundRefusal, MissingRefusal, UnitRefusal
from loosewell.faces.cli import aim, purpose
from loosewell.faces.cli.common import RefusingGroup
from loosewell.faces.drawing.aim import held

runner = CliRunner()
street = typer.Typer(cls=RefusingGroup, pretty_exceptions_enable=False)
purpose.register(street)
aim.register(street)
PAIR = ("--bow", "Yew", "--archer", "Wren")


def run(path: Path, *words: str) -> Result:
    return runner.invoke(street, [*words, *PAIR, "--workshop", str(path)])


@pytest.fixture(scope="module")
def fishing(demo_original: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Result, str]:
    picture = tmp_path_factory.mktemp("cards") / "fish.svg"
    told = run(
        demo_original, "purpose", "fishing", "--fish-distance", "20 ft", "--fish-depth", "1 ft",
        "--line-ahead", "--picture", str(picture),
    )  # fmt: skip
    return told, picture.read_text()


def test_the_line_is_asked_for_before_any_figure(fishing: tuple[Result, str]) -> None:
    told, _ = fishing
    assert told.exit_code == 0, told.stderr
    text = " ".join(told.stdout.split())
    assert text.index("STOP until the line") < text.index("The arrow to build")
    assert "not tied at the nock" in text
    for words in ("TRUE depth", "8.4 ± ", "(21 cm)", "may skip", "no promise", "26 in span, 2 lb",
                  "Longest reckoned", "Nothing here says that an arrow"):  # fmt: skip
        assert words in text, words


def test_the_fishing_card_holds_both_systems_and_the_line(fishing: tuple[Result, str]) -> None:
    _, drawn = fishing
    for words in ("Fishing practice card", "TRUE depth", "20 ft", "6.1 m", "8 in", "never tied at"):
        assert words in drawn, words


def test_a_line_at_the_nock_stops(demo_original: Path) -> None:
    told = run(demo_original, "purpose", "fishing", "--line-at-nock")
    assert "STOP. Do not shoot: the line is tied at the nock" in told.stdout
    assert "The arrow to build" not in told.stdout


def test_the_gap_card_inks_what_was_shot_alone(demo_original: Path, tmp_path: Path) -> None:
    picture = tmp_path / "gaps.svg"
    words = ("aim", "--eye-above", "2.5 in", "--shot", "20 yd gap 20 in", "--picture", str(picture))
    told = run(demo_original, *words, "--json")
    assert told.exit_code == 0, told.stderr
    found = json.loads(told.stdout)
    shot = [one for one in found["gaps"] if one["shot"]]
    assert [(one["distance_yd"], one["below_in"]["middle"]) for one in shot] == [(20.0, 20.0)]
    assert found["heavier_shift_yd"]["high"] < 0.0
    drawn = picture.read_text()
    assert "20 in below" in drawn
    assert drawn.count("computed, ±") == len(found["gaps"]) - 1
    again = run(demo_original, *words)
    assert again.exit_code == 2
    assert "not written over" in again.stderr


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("purpose", "golf"), "Accepted are target, field"),
        (
            ("purpose", "fishing", "--fish-distance", "15 ft", "--fish-depth=-3 in"),
            "above the surf",
        ),
        (("purpose", "hunting", "--rule", "draw weight at least 40 lb; source law"), "has no date"),
        (("purpose", "hunting", "--rule", "strong; source law"), "cannot be read"),
        (("purpose", "hunting", "--cold-shot", "2026-10-01, 18 yd"), "Type day, distance"),
        (("purpose", "flu-flu", "--cut", "bushy"), "trimmed, full height, spiral"),
        (("purpose", "flu-flu", "--far-shot", "62"), "without a unit"),
        (("aim", "--shot", "20 yd 14"), "cannot be read"),
        (("aim", "--eye-above", "30 in"), "outside 0 to 9 in"),
    ],
)
def test_refusals_are_sentences(demo_original: Path, words: tuple[str, ...], says: str) -> None:
    told = run(demo_original, *words)
    assert told.exit_code == 2
    assert says in told.stderr
    assert "Traceback" not in told.stderr


def test_what_is_typed_is_read() -> None:
    rule = purpose._rule("grains per pound minimum 6 gr/lb; source: law, p. 3; date 2026-01-31")
    assert (rule.what, rule.bound, rule.value) == ("grains per pound", "at least", 6.0)
    assert (rule.source, rule.on) == ("law, p. 3", datetime.date(2026, 1, 31))
    shot = purpose._cold("2026-10-01, 18 yd, 3 in right, 2 in high")
    assert (shot.left_in, shot.high_in, shot.distance_yd) == (-3.0, 2.0, 18.0)
    far = purpose._far_shot("62 yd +- 2 yd at 40 deg")
    assert far is not None
    assert (far.carry_yd, far.error_yd, far.angle_deg) == (62.0, 2.0, 40.0)
    paced = purpose._far_shot("60 yd")
    assert paced is not None
    assert (paced.error_yd, paced.angle_deg) == (3.0, None)
    assert aim._shot("45 yd point-on").below_in == 0.0
    assert aim._shot("60 yd gap 20 in above").below_in == -20.0
    assert aim._shot("20 yd gap 14 in").below_in == 14.0
    with pytest.raises(BoundRefusal):
        purpose._rule("draw weight at least 40 lb; source a; date yesterday")
    with pytest.raises(UnitRefusal):
        purpose._rule("energy at least 25; source a; date 2026-01-31")
    with pytest.raises(MissingRefusal):
        purpose._cold("2026-10-01, 18 yd, 3 in left")


def test_held_in_words() -> None:
    assert held(14.2) == "14 in below"
    assert held(-6.0) == "6 in above"
    assert held(0.3) == "on the spot"
