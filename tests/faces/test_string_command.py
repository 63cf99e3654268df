"""string plan and string check, as a person with a spool and a bow types them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from loosewell.faces.cli.app import app
from loosewell.faces.drawing import pen
from loosewell.faces.drawing.string import string_sheet
from loosewell.records import Bow, BowString
from loosewell.workshop.string import answer

runner = CliRunner()
SPOOL = ["string", "plan", "--fibre", "polyester", "--strands", "14", "--loops", "endless"]
BOW = ["--draw-weight", "45 lb @ 28 in", "--draw-measured", "standard", "--bow-length", "66 in"]


def did(*words: str) -> str:
    told = runner.invoke(app, list(words))
    assert told.exit_code == 0, (told.stderr, told.exception)
    return " ".join(told.stdout.split())


def refused(*words: str) -> str:
    told = runner.invoke(app, list(words))
    assert told.exit_code == 2, told.stdout
    assert told.stdout == ""
    assert told.stderr.strip().endswith((".", '".'))
    return told.stderr


def test_a_plan_needs_no_workshop_and_shows_both_rules(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LOOSEWELL_WORKSHOP", str(tmp_path / "never.sqlite"))
    told = did(*SPOOL, *BOW, "--nock-slot", "1/8 in")
    assert "Common practice: ten times for the finished string, 450 lb asked" in told
    assert "An older rule of four, 180 lb asked" in told
    assert "neither is chosen here" in told
    assert "untested for wear" in told
    assert "45 lb at 28 in (standard draw)" in told
    assert "taken: 9 gr for each pound" in told
    assert "raise the brace by 1/8 in" in told
    for word in ("safe", "enough", "legal"):
        assert f" {word}" not in told.lower()
    assert not (tmp_path / "never.sqlite").exists()


def test_the_stop_stands_before_every_figure() -> None:
    told = did("string", "plan", "--fibre", "low-stretch", "--strands", "3", *BOW)
    # The first line says what the string is; then the stops, then the strength.
    assert told.index("STOP.") < told.index("What it bears")
    assert "STOP. Do not use a low-stretch string" not in did(
        "string", "plan", "--fibre", "polyester", "--strands", "14", *BOW
    )


def test_home_made_cordage_without_a_test_has_no_number() -> None:
    cord = ["string", "plan", "--fibre", "nettle", "--plies", "2"]
    told = did(*cord, *BOW)
    assert "STOP. Do not draw a bow on it. No test, no number" in told
    plain = json.loads(runner.invoke(app, [*cord, *BOW, "--json"]).stdout)
    assert plain["strength_lb"] is None
    assert plain["ratio"] is None
    tested = did(
        *cord,
        "--sample",
        "380 lb, ply",
        "--sample",
        "400 lb, ply, dry",
        *BOW,
        *(["--sample", "410 lb, ply, on 2026-11-01", "--loops", "laid in"]),
    )
    assert "3 pieces of ply broke at 380 to 410 lb" in tested
    assert "Only 3 pieces were broken" in tested


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--strands", "0"], "Number of strands 0 is outside 1 to 400"),
        (["--strands", "twelve"], "not a whole number"),
        (["--strand-strength", "50"], "without a unit"),
        (["--strand-strength", "50 in"], "which is a length"),
        (["--strand-strength", "900 kg"], "outside 0.2 to 800 lb"),
        (["--sample", "50 lb"], "without saying what broke"),
        (["--sample", "50 lb, rope"], "could not be read"),
        (["--sample", "50, strand"], "without a unit"),
        (["--weight", "10 lb"], "outside 20 to 1500 gr"),
        (["--fibre", "wool"], "Accepted are polyester"),
        (["--draw-weight", "45 lb @ 28 in"], "--draw-measured"),
        (["--twists", "-3"], "not a whole number"),
        (["--draw", "40 in", *BOW], "outside 4 to 36 in"),
        (["--arrow-weight", "30 gr", *BOW], "outside 80 to 3000 gr"),
        (["--picture", "string.png", *BOW], "ending in .svg"),
    ],
)
def test_what_cannot_be_taken_is_a_sentence(words: list[str], said: str) -> None:
    assert said in refused("string", "plan", "--fibre", "polyester", *words)


def test_a_string_without_its_fibre_is_asked_for_it() -> None:
    assert "Say what it is: --fibre" in refused("string", "plan", "--strands", "14")


def test_kilograms_and_newtons_serve_for_pounds() -> None:
    pounds = json.loads(runner.invoke(app, [*SPOOL, "--strand-strength", "50 lb", "--json"]).stdout)
    newtons = json.loads(
        runner.invoke(app, [*SPOOL, "--strand-strength", "222.411080763025 N", "--json"]).stdout
    )
    assert pounds["strength_lb"] == newtons["strength_lb"]


@pytest.fixture
def workshop(tmp_path: Path) -> str:
    place = f"--workshop={tmp_path / 'mine.sqlite'}"
    weight = ["--draw-weight", "45 lb @ 28 in", "--draw-measured", "standard"]
    did(
        "bow",
        "add",
        "Alder",
        place,
        "--hand",
        "right",
        "--make",
        "plain wooden",
        *weight,
        *(["--length", "66 in", "--brace-height", "6.5 in", "--drawn-to-limit", "28 in"]),
    )
    spare = ["--fibre", "polyester", "--strands", "14", "--loops", "laid in"]
    did("string", "add", "Spare", place, "--bow", "alder", *spare)
    return place


def test_a_string_is_kept_changed_and_checked_against_its_bow(
    workshop: str, tmp_path: Path
) -> None:
    did("string", "change", "Spare", workshop, "--sample", "52 lb, strand")
    did("string", "change", "Spare", workshop, "--sample", "55 lb, strand", "--twists", "30")
    shown = did("string", "show", "Spare", workshop)
    assert "one strand broke at 52 lb (231.3 N), dry" in shown
    assert "14 strands" in did("string", "list", workshop)
    assert "Sample: one strand broke at 52 lb" in did("string", "history", "Spare", workshop)
    drawn = tmp_path / "string.svg"
    told = did("string", "check", "Spare", workshop, "--picture", str(drawn))
    assert "45 lb at 28 in (standard draw)" in told
    assert "usual bowstring yarn, from memory" in told
    assert drawn.read_text(encoding="utf-8").startswith("<svg")
    assert "var(--" not in drawn.read_text(encoding="utf-8")
    assert "is there already" in refused(
        "string", "check", "Spare", workshop, "--picture", str(drawn)
    )
    did("string", "change", "Spare", workshop, "--sample", "50 lb, strand")
    assert "3 pieces of strand broke at 50 to 55 lb" in did("string", "check", "Spare", workshop)
    did("bow", "change", "Alder", workshop, "--name", "Rowan")
    assert "Rowan" in did("string", "show", "Spare", workshop)


def test_a_check_needs_a_bow_in_use_and_a_draw_it_bears(workshop: str) -> None:
    assert "drawn to 28 in at most" in refused(
        "string", "check", "Spare", workshop, "--draw", "28.5 in"
    )
    assert "no bow called 'Elm'" in refused("string", "check", "Spare", workshop, "--bow", "Elm")
    did("string", "add", "Loose", workshop, "--fibre", "linen")
    assert "--bow NAME" in refused("string", "check", "Loose", workshop)
    did("bow", "retire", "Alder", workshop, "--why", "cracked")
    assert "is retired" in refused("string", "check", "Spare", workshop)


def test_a_string_that_names_a_bow_never_makes_a_new_file(tmp_path: Path) -> None:
    place = tmp_path / "none.sqlite"
    refused("string", "add", "Spare", f"--workshop={place}", "--bow", "Alder")
    assert not place.exists()
    thick = ["--fibre", "linen", "--diameter", "1/8 in"]
    did("string", "add", "Spare", f"--workshop={place}", *thick)
    assert "0.125 in (3.175 mm)" in did("string", "show", "Spare", f"--workshop={place}")


@pytest.mark.parametrize("slot", [None, 0.09, 0.2])
@pytest.mark.parametrize(
    "fields",
    [
        {"fibre": "polyester", "strands": 14, "loops": "endless"},
        {"fibre": "linen", "strands": 60, "plies": 3, "strand_strength_lb": 6.0},
        {"fibre": "sinew", "plies": 2},
        {"fibre": "parachute cord", "strands": 1},
    ],
)
def test_the_drawing_keeps_its_words_on_the_sheet(
    fields: dict[str, object], slot: float | None
) -> None:
    bow = Bow(
        name="Alder",
        hand="left",
        length_in=66.0,
        draw_measured="true",
        draw_readings=({"draw_in": 26.0, "weight_lb": 45.0},),  # type: ignore[arg-type]
    )
    record = BowString.model_validate({"name": "Spare", "nock_slot_in": slot, **fields})
    sheet = string_sheet(answer(record, bow))
    assert sheet.overflowing() == []
    svg = sheet.svg()
    assert svg.count("<circle") >= (3 if fields["fibre"] != "sinew" else 0)
    assert ("string-nock" in svg) == (slot is not None and fields["fibre"] != "sinew")
    assert "nan" not in svg
    assert string_sheet(answer(record)).overflowing() == []
    assert pen.resolved(svg).count("var(") == 0


def test_section_and_slot_share_one_scale() -> None:
    import re

    record = BowString(
        name="Spare", fibre="polyester", strands=12, serving_diameter_in=0.12, nock_slot_in=0.24
    )
    svg = string_sheet(answer(record)).svg()
    outer = float(re.findall(r'<circle [^>]*r="([0-9.]+)"', svg)[0])
    ears = [float(one) for one in re.findall(r'<rect x="([0-9.]+)"[^>]*string-nock', svg)]
    assert len(ears) == 2
    # Between the inner faces of the two ears, 22 px wide each, lies twice the serving.
    assert ears[1] - ears[0] - 22.0 == pytest.approx(4.0 * outer, abs=0.05)
