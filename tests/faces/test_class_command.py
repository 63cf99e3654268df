"""A class day by command: roster in, plan kept, a bow breaks, roster out again."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from loosewell.faces.cli.app import app
from loosewell.workshop import class_fit
from loosewell.workshop.class_fit import Curve

ROSTER = """name,hand,draw (in),draw measured,draw method,draw date,child,experience,strength (kg)
A.B.,right,23.5,true,marked arrow,2025-06-01,,beginner,10
佐藤,left,61 cm,true,marked arrow,2025-06-01,,beginner,14
"""


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    def flat(self, bow, novice, child, draw_in, kinds):
        spine = np.linspace(4.0, 90.0, 87)
        return [Curve(20.0, spine, np.full(87, 0.9)) for _ in kinds]

    monkeypatch.setattr(class_fit.Response, "_shoot", flat)
    path = tmp_path / "shop.sqlite"
    for name, hand in (("Ash", "right"), ("Elm", "left"), ("Oak", "right")):
        did(path, "bow", "add", name, "--hand", hand, "--make", "plain wooden",
            "--draw-measured", "true", "--draw-weight", "14 lb @ 20 in", "--draw-weight",
            "21 lb @ 26 in", "--drawn-to-limit", "26.5 in", "--loaner", "yes")  # fmt: skip
    for n in range(1, 8):
        did(path, "shaft", "add", f"S{n}", "--length", "29 in", "--weight", "270 gr",
            "--bench-reading", "span 26 in, load 2 lb, deflection 0.95 in",
            "--inspection-result", "passed", "--inspection-on", "2025-06-01")  # fmt: skip
        did(path, "arrow", "add", f"A{n}", "--shaft", f"S{n}", "--length", "28.5 in")
    return path


def run(path: Path, *words: str):
    return CliRunner().invoke(app, [*words[:2], f"--workshop={path}", *words[2:]])


def did(path: Path, *words: str) -> str:
    told = run(path, *words)
    assert told.exit_code == 0, told.output
    return told.stdout


def saturday(shop: Path, tmp_path: Path) -> None:
    table = tmp_path / "roster.csv"
    table.write_text(ROSTER, encoding="utf-8")
    did(shop, "class", "import", "Saturday", str(table))
    did(shop, "class", "change", "Saturday", "--on", "2025-06-07", "--arrows-each", "3")


def test_a_class_day_from_roster_to_swap(shop: Path, tmp_path: Path) -> None:
    saturday(shop, tmp_path)
    first = json.loads(did(shop, "class", "plan", "Saturday", "--keep", "--json"))
    assert {one["person"]: one["bow"] for one in first["lines"]}["佐藤"] == "Elm"
    mine = next(one for one in first["lines"] if one["person"] == "A.B.")
    told = did(shop, "class", "swap", "Saturday", "--breaks", mine["bow"], "--keep")
    other = {"Ash": "Oak", "Oak": "Ash"}[mine["bow"]]
    assert f"A.B. takes {other} instead of {mine['bow']}" in told
    shown = did(shop, "class", "show", "Saturday")
    assert f"A.B. with {other}, turn 1" in shown
    assert mine["bow"] in shown.split("Broke")[1]
    did(shop, "bow", "change", other, "--name", "Rowan")
    assert "A.B. with Rowan, turn 1" in did(shop, "class", "show", "Saturday")


def test_a_swap_without_a_kept_plan_says_how_to_make_one(shop: Path, tmp_path: Path) -> None:
    saturday(shop, tmp_path)
    told = run(shop, "class", "swap", "Saturday", "--leaves", "A.B.")
    assert told.exit_code == 2
    assert "loosewell class plan 'Saturday' --keep" in told.output


def test_a_roster_goes_out_and_comes_back_the_same(shop: Path, tmp_path: Path) -> None:
    saturday(shop, tmp_path)
    out = tmp_path / "out.csv"
    did(shop, "class", "export", "Saturday", str(out))
    did(shop, "class", "import", "Sunday", str(out))
    both = [
        json.loads(did(shop, "class", "show", name, "--json"))["record"]["people"]
        for name in ("Saturday", "Sunday")
    ]
    assert both[0] == both[1]
    assert both[0][1]["draw_length_in"] == pytest.approx(24.0157480315)
    again = run(shop, "class", "export", "Saturday", str(out))
    assert again.exit_code == 2
    assert "already there" in again.output


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("name,hand,draw\nA,left,24\n", "carries no unit"),
        ("name,hand,bow\nA,left,Ash\n", "none of a roster"),
        ("name\nA\n", "no column 'hand'"),
        (f"name,hand\n{'A' * 300},left\n", "line 2: Name has 300 letters"),
        ("name,hand\nA,left\na,right\n", "line 3: a stands in line 2 already"),
        ("name,hand\nA,both\n", "line 2: "),
        ("name,hand\n", "holds nobody"),
    ],
)
def test_a_bad_roster_is_refused_line_by_line(
    shop: Path, tmp_path: Path, line: str, said: str
) -> None:
    table = tmp_path / "bad.csv"
    table.write_text(line, encoding="utf-8")
    told = run(shop, "class", "import", "Saturday", str(table))
    assert told.exit_code == 2
    assert said in told.output


def test_people_are_added_told_again_and_taken_off(shop: Path) -> None:
    did(shop, "class", "add", "Sunday", "--person",
        "A.B., left, draw 24 in true, marked arrow, child, strength 20 lb")  # fmt: skip
    did(shop, "class", "change", "Sunday", "--person", "a.b., right", "--person", "C.D., left")
    shown = did(shop, "class", "show", "Sunday")
    assert "a.b.: right hand, draw not known" in shown
    did(shop, "class", "change", "Sunday", "--forget", "person C.D.")
    assert "C.D." not in did(shop, "class", "show", "Sunday")
    told = run(shop, "class", "change", "Sunday", "--person", "E.F., left, fast")
    assert told.exit_code == 2
    assert "'fast' could not be read" in told.output


def test_the_plan_is_drawn(shop: Path, tmp_path: Path) -> None:
    saturday(shop, tmp_path)
    picture = tmp_path / "plan.svg"
    did(shop, "class", "plan", "Saturday", "--no-reserve", "--picture", str(picture))
    svg = picture.read_text(encoding="utf-8")
    assert "佐藤, left" in svg
    assert "(26 in span, 2 lb)" in svg
