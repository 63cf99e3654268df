"""bend, spine and jig check, as a person with nails, a jug or a dial gauge types them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from loosewell.faces.cli.app import app
from loosewell.faces.drawing.bend import bend_sheet, two_nail_jig
from loosewell.records import BenchReading
from loosewell.workshop.bench import readings_spine

PICTURE = Path(__file__).resolve().parents[2] / "docs" / "pictures" / "two-nail-jig.svg"
runner = CliRunner()


def did(*words: str) -> str:
    told = runner.invoke(app, list(words))
    assert told.exit_code == 0, (told.stderr, told.exception)
    return told.stdout


def refused(*words: str) -> str:
    told = runner.invoke(app, list(words))
    assert told.exit_code == 2, told.stdout
    assert told.stdout == ""
    assert told.stderr.strip().endswith(".")
    return told.stderr


@pytest.fixture
def workshop(tmp_path: Path) -> str:
    place = f"--workshop={tmp_path / 'mine.sqlite'}"
    readings: list[str] = []
    for turn, sinks in ((0, 0.52), (45, 0.50), (90, 0.56), (135, 0.57)):
        text = f"span 26 in, load 2 lb, deflection {sinks} in, error 0.005 in, rotation {turn} deg"
        readings += ["--bench-reading", f"{text}, jig nails, on 2026-11-20"]
    did("shaft", "add", "S1", place, "--length", "31 in", "--weight", "350 gr", *readings)
    did("jig", "add", "nails", place, "--span", "26 in", "--load", "2 lb", "--reads", "dial gauge")
    return place


def test_bend_gives_both_standards_the_stiff_side_and_what_a_reading_cannot_show(
    workshop: str, tmp_path: Path
) -> None:
    drawn = tmp_path / "bent.svg"
    told = did("bend", "S1", workshop, "--picture", str(drawn))
    assert "(26 in span, 2 lb)" in told
    assert "(28 in span, 1.94 lb)" in told
    assert "The stiff side lies" in told
    assert "cannot tell which end is stiffer" in told
    assert "look it over by hand" in told
    assert "Its own weight, 350 gr" in told
    assert drawn.read_text(encoding="utf-8").startswith("<svg")
    assert "var(--" not in drawn.read_text(encoding="utf-8")
    plain = json.loads(did("bend", "S1", workshop, "--json"))
    assert plain["sides"]["told"] is True
    assert len(plain["readings"]) == 4
    refused("bend", "S1", workshop, "--picture", str(tmp_path / "bent.png"))


def test_a_jig_check_counts_from_its_day_on_and_every_command_agrees(workshop: str) -> None:
    before = json.loads(did("bend", "S1", workshop, "--json"))["spine_26in_2lb_lb"]
    rod = ["--rod", "steel", "--diameter", "1/4 in", "--diameter-error", "0.0005 in"]
    sank = ["--deflection", "0.155 in", "--deflection", "0.156 in"]
    looked = did("jig", "check", "nails", workshop, *rod, *sank, "--only-look")
    assert "Nothing was stored" in looked
    assert json.loads(did("bend", "S1", workshop, "--json"))["spine_26in_2lb_lb"] == before
    told = did("jig", "check", "nails", workshop, *rod, *sank, "--on", "2026-11-21")
    assert "something is off" in told
    assert "that was not counted would do it" in told
    assert "2026-11-21" in told
    # Read the day before the check: left as read, and said so.
    late = did("bend", "S1", workshop)
    assert "left as read" in late
    assert json.loads(did("bend", "S1", workshop, "--json"))["spine_26in_2lb_lb"] == before
    did("jig", "check", "nails", workshop, *rod, *sank, "--on", "2026-11-19")
    after = json.loads(did("bend", "S1", workshop, "--json"))
    assert after["spine_26in_2lb_lb"] == pytest.approx(before * 1.2, rel=0.02)
    assert after["readings"][0]["jig_factor"] == pytest.approx(1.2, rel=0.02)
    assert "multiplied by 1." in did("bend", "S1", workshop)
    shown = json.loads(did("shaft", "show", "S1", workshop, "--json"))
    assert shown["spine"]["spine_26in_2lb_lb"] == after["spine_26in_2lb_lb"]
    # A jig put away still speaks for what was read on it.
    did("jig", "retire", "nails", workshop, "--why", "took the board down")
    kept = json.loads(did("bend", "S1", workshop, "--json"))
    assert kept["spine_26in_2lb_lb"] == after["spine_26in_2lb_lb"]


def test_a_jig_check_needs_a_jig_a_known_rod_and_a_day_that_has_come(workshop: str) -> None:
    rod = ["--rod", "steel", "--diameter", "1/4 in", "--deflection", "0.13 in"]
    assert "other" in refused("jig", "check", "other", workshop, *rod)
    wood = ["--rod", "oak", "--diameter", "1/4 in", "--deflection", "0.13 in"]
    assert "steel and aluminium" in refused("jig", "check", "nails", workshop, *wood)
    assert "has not come yet" in refused(
        "jig", "check", "nails", workshop, *rod, "--on", "2199-01-01"
    )
    assert "two and" not in refused("jig", "check", "nails", workshop, *rod, "--on", "tomorrow")
    metric = ["--rod", "steel", "--diameter", "6.35 in", "--deflection", "0.13 in"]
    assert "mm" in refused("jig", "check", "nails", workshop, *metric)


def test_spine_takes_water_and_its_jug_and_turns_without_a_workshop() -> None:
    told = did(
        *("spine", "--span", "26 in", "--water", "862 mL", "--jug", "45 g"),
        *("--deflection", "0.52 in", "--rotation", "0 deg"),
        *("--deflection", "0.50 in", "--rotation", "45 deg"),
        *("--deflection", "0.56 in", "--rotation", "90 deg"),
        *("--bench-reading", "span 28 in, load 1.94 lb, deflection 0.68 in, rotation 135 deg"),
    )
    assert "the jug 0.099 lb: 1.994 lb ± 1.0 % hangs" in told
    assert "The stiff side lies" in told
    assert "over 28 in under 1.94 lb, turned 135 deg" in told


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--water", "0.907 L"], "Weigh the empty jug"),
        (["--jug", "45 g"], "without the water"),
        (["--load", "2 lb", "--water", "0.9 L", "--jug", "45 g"], "Both a load and water"),
        (["--water", "1 pint", "--jug", "45 g"], "differ by country"),
        (["--load", "2 lb", "--rotation", "0 deg", "--rotation", "90 deg"], "a --rotation for"),
        (["--load", "2000 lb"], "container included"),
    ],
)
def test_what_hangs_wrongly_is_refused_in_a_sentence(words: list[str], says: str) -> None:
    assert says in refused("spine", "--span", "26 in", "--deflection", "0.52 in", *words)


def test_kilograms_typed_as_pounds_are_asked_about_first() -> None:
    told = did("spine", "--span", "26 in", "--load", "0.907 lb", "--deflection", "0.52 in")
    assert told.startswith("Check first: A load of 0.907 lb")


def test_a_shaft_without_a_reading_is_told_how_to_take_one(workshop: str) -> None:
    did("shaft", "add", "S2", workshop)
    assert "--bench-reading" in refused("bend", "S2", workshop)


def read(*turns: float | None) -> list[BenchReading]:
    return [
        BenchReading(span_in=12.0, load_lb=6.0, deflection_in=0.152, rotation_deg=turn)
        for turn in turns
    ]


@pytest.mark.parametrize("turns", [(None,), (0.0,), (0.0, 90.0), (0.0, 45.0, 90.0, 135.0)])
def test_the_drawing_holds_its_text_and_names_span_and_load(turns: tuple[float | None]) -> None:
    sheet = bend_sheet(readings_spine(read(*turns)), "A shaft with a rather long name")
    assert sheet.overflowing() == []
    for words in ("span 12 in (305 mm)", "6 lb (2.72 kg)", "sinks 0.152 in (3.9 mm)"):
        assert words in sheet.svg()


def test_the_picture_of_the_jig_in_the_papers_is_the_drawing_of_today() -> None:
    """Made by builders/jig_picture.py."""
    from loosewell.faces.drawing.pen import resolved

    assert two_nail_jig().overflowing() == []
    assert PICTURE.read_text(encoding="utf-8") == resolved(two_nail_jig().svg()) + "\n"


def test_a_reading_by_water_is_kept_as_the_load_with_its_jug(workshop: str) -> None:
    """0.907 L of water at 68 F, 0.9982 kg/L less 1.2 g of air for each litre; the jug 45 g."""
    text = "span 26 in, water 0.907 L, jug 45 g, deflection 0.53 in"
    did("shaft", "add", "W1", workshop, "--bench-reading", text)
    shown = json.loads(did("shaft", "show", "W1", workshop, "--json"))
    (reading,) = shown["record"]["bench_readings"]
    assert reading["load_lb"] == pytest.approx((0.907 * 0.9970 + 0.045) / 0.45359237, rel=1e-4)
    for wrong, words in (
        ("span 26 in, water 0.907 L, deflection 0.53 in", "without its jug"),
        ("span 26 in, jug 45 g, deflection 0.53 in", "without its load"),
        (
            "span 26 in, load 2 lb, water 0.9 L, jug 45 g, deflection 0.5 in",
            "a load and with water",
        ),
    ):
        assert words in refused("shaft", "add", "W2", workshop, "--bench-reading", wrong)
