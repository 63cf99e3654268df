"""`loosewell along`, `ends`, `dry` and `wood` as a person types them."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from loosewell.faces.cli.app import app
from loosewell.workshop import demo

RUN = CliRunner()

HAZEL = [
    *("shaft", "add", "Hazel 3", "--kind", "shoot", "--length", "36 in", "--weight", "31.1 g"),
    *("--diameter-at", "0.375 in x 0.365 in @ 2 in", "--diameter-at", "0.345 in x 0.34 in @ 18 in"),
    *("--diameter-at", "0.312 in x 0.308 in @ 34 in"),
    *("--bench-reading", "span 24 in, load 2 lb, deflection 0.38 in, on 2026-03-01"),
    *("--weighing", "620 gr on 2026-03-01", "--weighing", "561 gr on 2026-03-08"),
    *("--weighing", "525 gr on 2026-03-15", "--weighing", "505 gr on 2026-03-22"),
]


def run(*words: str) -> Result:
    return RUN.invoke(app, [str(word) for word in words])


def told(*words: str) -> str:
    result = run(*words)
    assert result.exit_code == 0, result.output
    return result.stdout


def refused(*words: str) -> str:
    result = run(*words)
    assert result.exit_code == 2, result.output
    assert "Traceback" not in result.output
    return result.stderr


@pytest.fixture
def shed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A new workshop with one hazel shoot in it, made by the commands a person would type."""
    path = tmp_path / "shed.sqlite"
    monkeypatch.setenv("LOOSEWELL_WORKSHOP", str(path))
    told(*HAZEL)
    return tmp_path


@pytest.fixture(scope="module")
def camp(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented camp with the hazel shoot beside it."""
    path = tmp_path_factory.mktemp("camp") / "camp.sqlite"
    demo.build(path)
    told(*HAZEL, "--workshop", str(path))
    return path


def svg(path: Path) -> str:
    text = path.read_text(encoding="utf-8")
    assert text.startswith("<svg")
    assert "var(" not in text
    return text


def test_along_prints_every_station_with_span_and_load(shed: Path) -> None:
    text = told("along", "Hazel 3", "--picture", str(shed / "along.svg"))
    assert "(26 in span, 2 lb)" in text
    assert "(28 in span, 1.94 lb)" in text
    for station in ("2.0", "18.0", "34.0"):
        assert re.search(rf"^ +{re.escape(station)} ", text, re.MULTILINE)
    assert "cannot show" in text
    assert "Assumed:" in text
    assert "Hazel 3" in svg(shed / "along.svg")
    found = json.loads(told("along", "Hazel 3", "--json"))
    assert found["length_in"] == 36.0
    assert found["weight_gr"] == pytest.approx(480.0, abs=0.2)
    assert len(found["causes"]) == 3
    assert found["places"][0]["spine_26in_2lb_lb"]["low"] > 0.0


def test_dry_says_when_and_weigh_again(shed: Path) -> None:
    text = told(
        "dry", "Hazel 3", "--today", "2026-03-23", "--humidity", "55 %",
        "--picture", str(shed / "dry.svg"),
    )  # fmt: skip
    assert "Not steady by the weekly rule (common practice, no source)" in text
    assert "Weigh it again on 2026-03-29" in text
    assert re.search(r"between 2026-\d\d-\d\d\s+and\s+2026-\d\d-\d\d", text)
    assert "When dry:" in text
    assert "(28 in span, 1.94 lb)" in " ".join(text.split())
    assert "fumes" in text
    assert "humidity (--humidity" not in text
    assert "steady by the weekly rule" in svg(shed / "dry.svg")
    found = json.loads(told("dry", "Hazel 3", "--today", "2026-03-23", "--json"))
    assert found["next_on"] == "2026-03-29"
    assert found["steady_on"][0] < found["steady_on"][1] < found["steady_on"][2]
    assert found["final_weight_gr"]["low"] < found["final_weight_gr"]["high"]


def test_dry_without_weighings_says_how_to_begin(shed: Path) -> None:
    told("shaft", "add", "New", "--length", "36 in")
    said = refused("dry", "New")
    assert "no weighing" in said
    assert "loosewell shaft change NAME --weighing" in said
    assert "year-month-day" in refused("dry", "Hazel 3", "--today", "next week")
    assert "without a unit" in refused("dry", "Hazel 3", "--humidity", "55")


def test_along_names_what_is_missing(shed: Path) -> None:
    told("shaft", "add", "Bare", "--length", "36 in", "--weight", "400 gr")
    said = refused("along", "Bare")
    assert "--diameter-at" in said
    assert "--bench-reading" in said
    assert "cannot tell which end is stiffer" in said
    assert "Nobody" in refused("along", "Nobody")


def test_wood_alone_lists_all_of_them(shed: Path) -> None:
    text = told("wood")
    assert re.search(r"Port-Orford-cedar +0\.48 +12\.9 +1\.87 +46 +read second-hand", text)
    assert re.search(r"Osage-orange +0\.95 +- +- +- ", text)
    rows = json.loads(told("wood", "--json"))
    assert len(rows) > 40
    assert {"species", "density_g_cm3", "modulus_gpa", "source"} <= set(rows[0])


def test_wood_prints_three_lines_and_three_bars(shed: Path) -> None:
    text = told(
        "wood", "port orford cedar", "--diameter", "11/32 in", "--length", "32 in",
        "--weight", "350 gr +- 2 gr", "--deflection", "span 26 in, load 2 lb, deflection 0.52 in",
        "--picture", str(shed / "wood.svg"),
    )  # fmt: skip
    for name in ("by name", "weighed", "bent"):
        line = re.search(rf"^{name} .*$", text, re.MULTILINE)
        assert line is not None, text
        assert "lb (26 in span, 2 lb)" in line.group()
        assert "in (28 in span, 1.94 lb)" in line.group()
    assert "from memory" in text
    drawn = svg(shed / "wood.svg")
    assert "by name" in drawn
    assert "not yet" not in drawn
    told(
        "wood", "port orford cedar", "--diameter", "11/32 in", "--length", "32 in",
        "--picture", str(shed / "named.svg"),
    )  # fmt: skip
    assert svg(shed / "named.svg").count("not yet") == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("spruce",), "Sitka spruce"),
        (("Sitka spruce",), "--diameter and --length was not given"),
        (("Sitka spruce", "--diameter", "0.34", "--length", "32 in"), "without a unit"),
        (("Sitka spruce", "--diameter", "11/32 in", "--length", "32 in", "--weight", "350"),
         "without a unit"),
        (("Sitka spruce", "--diameter", "11/32 in", "--length", "32 in", "--deflection",
          "deflection 0.5 in"), "without its span and load"),
        (("Osage-orange", "--diameter", "11/32 in", "--length", "32 in"), "no dry modulus"),
    ],
)  # fmt: skip
def test_wood_refuses_in_a_sentence(shed: Path, words: tuple[str, ...], said: str) -> None:
    assert said in " ".join(refused("wood", *words).split())


def test_a_picture_that_is_no_svg_is_refused(shed: Path) -> None:
    assert "ending in .svg" in refused("along", "Hazel 3", "--picture", str(shed / "a.png"))
    gone = str(shed / "nowhere" / "a.svg")
    assert "could not be written" in refused("along", "Hazel 3", "--picture", gone)


def test_ends_asks_the_engine_both_ways(camp: Path, tmp_path: Path) -> None:
    words = ("ends", "Hazel 3", "--bow", "Yew", "--archer", "Wren", "--point", "125 gr")
    picture = tmp_path / "ends.svg"
    text = told(*words, "--workshop", str(camp), "--picture", str(picture))
    assert "(right-handed)" in text
    assert "As it lies: thick end back" in text
    assert "Turned round: thick end forward" in text
    assert "Common practice, no source" in " ".join(text.split())
    assert re.search(r"difference\s+is\s+[+-][\d.]+\s+±\s+[\d.]+", text)
    assert "A shot is clean when" in " ".join(text.split())
    assert "both ways round" in svg(picture)
    found: dict[str, Any] = json.loads(told(*words, "--workshop", str(camp), "--json"))
    assert [one["name"] for one in found["ways"]] == ["as it lies", "turned round"]
    assert found["better"] in (None, "as it lies", "turned round")
    assert found["launches"] > 1000


def test_ends_puts_the_stop_first(camp: Path) -> None:
    told(
        "shaft", "change", "Hazel 3", "--inspection-result", "failed",
        "--inspection-on", "2026-04-01", "--workshop", str(camp),
    )  # fmt: skip
    text = told("ends", "Hazel 3", "--bow", "Yew", "--archer", "Wren", "--workshop", str(camp))
    assert "STOP" in text
    assert "settle the stop first" in text
    assert "clean shots" not in text
