"""A range from typed rules: all of them shown, none chosen, drawn to scale."""

from __future__ import annotations

import datetime
import re

import pytest
from typer.testing import CliRunner

import tolerances
from loosewell.errors import BoundRefusal, MissingRefusal, UnitRefusal
from loosewell.faces.cli.app import app
from loosewell.faces.cli.class_ import rule
from loosewell.faces.drawing import range_ as drawing
from loosewell.records import RangeRule
from loosewell.workshop import range_ as room
from loosewell.workshop.answer import Band

# UK national rule 302 as in facts/handbook.md (read, R1): bows shot off the fingers, targets to
# 60 yd, overshoot at least 110 yd from the shooting line; beyond 60 yd at least 50 yd behind the
# targets; side from 10 yd at the shooting line to 20 yd at 100 yd.
TYPED = (
    "overshoot 110 yd from the shooting line, source national rule 302, on 2026-03-01",
    "overshoot 50 yd behind the targets, source another club, on 2025-05-01",
    "side 10 yd at 0 yd, source national rule 302, on 2026-03-01",
    "side 20 yd at 100 yd, source national rule 302, on 2026-03-01",
)


def laid_out(typed=TYPED, **fields):
    rules = [RangeRule.model_validate(rule(one)) for one in typed]
    return room.lay_out(
        "Field", rules, **{"target_yd": 20.0, "lanes": 5, "lane_width_yd": 3.0, **fields}
    )


def test_a_typed_rule_is_read_with_its_figure_its_source_and_its_day():
    one = RangeRule.model_validate(rule(TYPED[0]))
    assert (one.what, one.figure_yd, one.counted_from) == ("overshoot", 110.0, "shooting line")
    assert (one.source, one.on) == ("national rule 302", datetime.date(2026, 3, 1))
    assert RangeRule.model_validate(rule(TYPED[1])).counted_from == "target line"
    assert RangeRule.model_validate(rule(TYPED[3])).at_yd == 100.0
    metric = rule("overshoot 100 m, source a club, on 2026-01-01")
    assert metric["figure_yd"] == pytest.approx(109.361, abs=tolerances.tenth_yard_yd)


@pytest.mark.parametrize(
    ("typed", "refusal"),
    [
        ("overshoot 110 yd, on 2026-03-01", MissingRefusal),
        ("overshoot 110 yd, source a club", MissingRefusal),
        ("beyond 110 yd, source a club, on 2026-03-01", UnitRefusal),
    ],
)
def test_a_rule_without_source_or_date_or_subject_is_refused(typed, refusal):
    with pytest.raises(refusal):
        RangeRule.model_validate(rule(typed))


def test_lines_lie_where_the_rules_put_them_and_disagreement_is_told():
    made = laid_out()
    places = {
        one.source: one.from_shooting_line_yd for one in made.zones if one.what == "overshoot"
    }
    assert places == {"national rule 302": 110.0, "another club": 70.0}
    assert made.side_edges == [("national rule 302", [(0.0, 10.0), (100.0, 20.0)])]
    (said,) = made.disagreements
    assert "110 yd by national rule 302; 70 yd by another club" in said
    assert "None is chosen" in said
    assert made.missing == ["no rule about stop"]


def test_the_reach_stands_beside_each_overshoot_line_without_a_verdict():
    made = laid_out(reach_yd=Band(94.0, 83.0, 105.0), longest_yd=128.0, reach_of="Ash, A.B.")
    told = " ".join(made.reach_sentences)
    assert "18 yd beyond it" in told
    assert "58 yd beyond it" in told
    short = " ".join(laid_out(reach_yd=Band(60.0, 55.0, 65.0), longest_yd=66.0).reach_sentences)
    assert "44 yd short of it" in short
    for word in ("safe", "legal", "enough"):
        assert word not in " ".join([told, short, *made.said, *made.disagreements]).lower()


@pytest.mark.parametrize(
    "fields", [{"target_yd": 0.0}, {"lanes": 0}, {"lanes": 61}, {"lane_width_yd": 0.1}]
)
def test_a_range_that_cannot_be_is_refused(fields):
    with pytest.raises(BoundRefusal):
        laid_out(**fields)


def height_of(svg: str, words: str) -> float:
    """Where the leader of a label leaves its line."""
    at = svg.index(f">{words}")
    leaders = re.findall(r'<path d="M470 ([0-9.]+)L498 [0-9.]+"', svg[:at])
    return float(leaders[-1])


def test_the_drawing_is_to_scale_and_its_bars_say_the_same_scale():
    made = laid_out(reach_yd=Band(94.0, 83.0, 105.0), longest_yd=128.0, reach_of="Ash")
    svg, per = drawing.layout(made), drawing.scale(made)
    line = height_of(svg, "Shooting line")
    for words, yards in (("Overshoot, 110 yd", 110.0), ("Overshoot, 70 yd", 70.0),
                         ("Targets, 20 yd", 20.0), ("Longest carry", 128.0)):  # fmt: skip
        assert (line - height_of(svg, words)) / per == pytest.approx(
            yards, abs=tolerances.tenth_yard_yd
        )
    for unit, yards in (("yd", 1.0), ("m", 1.0 / 0.9144)):
        width = re.search(rf'width="([0-9.]+)"[^>]*class="scale-{unit}"', svg)
        length = re.search(rf">([0-9]+) {unit}</text>", svg[svg.index(f"scale-{unit}") :])
        assert width is not None
        assert length is not None
        assert float(width[1]) / per == pytest.approx(
            float(length[1]) * yards, abs=tolerances.tenth_yard_yd
        )


def test_the_command_draws_prints_blanks_and_chooses_nothing(tmp_path):
    picture = tmp_path / "range.svg"
    words = ["range", "Field", "--distance", "20 yd", "--lanes", "5", "--lane-width", "3 yd"]
    for one in TYPED:
        words += ["--rule", one]
    told = CliRunner().invoke(app, [*words, "--picture", str(picture)])
    assert told.exit_code == 0, told.output
    assert "Responsible person: ____" in told.stdout
    assert "disagree" in told.stdout
    assert picture.read_text(encoding="utf-8").startswith("<svg")
    lacking = CliRunner().invoke(app, words[:6])
    assert lacking.exit_code == 2
    assert "width of a lane" in lacking.output
