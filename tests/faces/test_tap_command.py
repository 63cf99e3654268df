"""``loosewell tap``: a recording to a spine, kept with a shaft, and every refusal a sentence."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
import soundfile
from typer.testing import CliRunner, Result

from loosewell.faces.cli.app import app
from loosewell.faces.drawing import tap as drawing
from loosewell.workshop import tap as use_case
from loosewell.workshop.hanging import hanging
from loosewell.workshop.keep import Workshop
from loosewell.workshop.sound import hear, listen
from workshop.tap_recordings import Beam, Room, sound, speech

BEAM = Beam(uneven=0.0, sides=0.06)
ROOM = Room(rate=44100, hum=0.2, signal_over_noise_db=28.0)
MEASURES = ["--length", "31 in", "--weight", "355 gr"]
runner = CliRunner()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("taps")
    soundfile.write(place / "tap.wav", sound(BEAM, ROOM), ROOM.rate, subtype="PCM_16")
    soundfile.write(place / "talk.wav", speech(), 22050, subtype="PCM_16")
    assert (place / "tap.wav").stat().st_size < 400_000
    return place


def run(*words: str) -> Result:
    return runner.invoke(app, ["tap", *words])


def did(*words: str) -> str:
    told = run(*words)
    assert told.exit_code == 0, told.stderr
    return told.stdout


def test_a_tap_is_told_with_span_load_modes_and_reasons(folder: Path) -> None:
    told = did(str(folder / "tap.wav"), *MEASURES, "--kind", "solid", "--diameter", "11/32 in")
    found = json.loads(did(str(folder / "tap.wav"), *MEASURES, "--kind", "solid", "--json"))
    pounds = found["ringing_spine_26in_2lb_lb"]
    assert pounds == pytest.approx(45.0, rel=0.02)
    for words in ("lb (26 in span, 2 lb)", "in (28 in span, 1.94 lb)", "The error is made of",
                  "Tones heard", "weak side", "Damping: 0.3", "Mains hum at 50 Hz",
                  "look it over by hand"):  # fmt: skip
        assert words in told, words
    assert [one["mode"] for one in found["tones"] if one["mode"]][:4] == [1, 1, 2, 2]
    assert found["mains_hz"] == 50
    assert found["kept_version"] is None


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ([], "No recording was given"),
        (["tap.wav"], "--length and --weight are missing"),
        (["tap.wav", "--length", "31 in"], "--weight is missing"),
        (["tap.wav", "--length", "31", "--weight", "355 gr"], "without a unit"),
        (["tap.wav", "--length", "31 in", "--weight", "23"], "without a unit"),
        (["tap.wav", *MEASURES, "--length-error", "3 in"], "outside 0.002 to 1 in"),
        (["tap.wav", *MEASURES, "--point-weight", "3000 gr"], "outside 5 to 800 gr"),
        (["no.wav", *MEASURES], "There is no file"),
        (["talk.wav", *MEASURES], "speech"),
        (["--how"], "--length"),
    ],
)
def test_what_is_wrong_is_said_in_a_sentence(
    folder: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], says: str
) -> None:
    monkeypatch.chdir(folder)
    told = run(*words)
    assert told.exit_code == 2
    assert told.stdout == ""
    assert says in told.stderr
    assert told.stderr.strip().endswith(".")


def test_a_tap_is_kept_with_its_shaft_and_compared_with_the_bench(
    folder: Path, tmp_path: Path
) -> None:
    file = tmp_path / "w.sqlite"
    at = f"--workshop={file}"
    added = runner.invoke(
        app,
        ["shaft", "add", at, "Fir-1", "--kind", "solid", "--material", "fir", *MEASURES,
         "--bench-reading", "span 26 in, load 2 lb, deflection 0.59 in"],
    )  # fmt: skip
    assert added.exit_code == 0, added.stderr
    looked = did(str(folder / "tap.wav"), at, "--shaft", "Fir-1", "--only-look")
    assert "which their errors cover" in looked
    with Workshop.open(file) as kept:
        assert kept.get("shaft", "Fir-1").record.taps == ()  # type: ignore[union-attr]
    told = did(str(folder / "tap.wav"), at, "--shaft", "Fir-1", "--on", "2024-05-31")
    assert "Kept with shaft Fir-1 (version 2)" in told
    assert "All readings and taps of it together" in told
    with Workshop.open(file) as kept:
        (record,) = kept.get("shaft", "Fir-1").record.taps  # type: ignore[union-attr]
    assert record.file == "tap.wav"
    assert str(record.on) == "2024-05-31"
    assert record.length_in == 31.0
    assert record.damping_ratio == pytest.approx(0.003, abs=2e-4)
    assert 62.0 < record.frequencies_hz[0] < 65.0
    did(str(folder / "tap.wav"), at, "--shaft", "Fir-1")
    with Workshop.open(file) as kept:
        assert len(kept.get("shaft", "Fir-1").record.taps) == 2  # type: ignore[union-attr]


def test_nothing_is_kept_when_it_may_not_be(folder: Path, tmp_path: Path) -> None:
    file = tmp_path / "w.sqlite"
    at = f"--workshop={file}"
    assert run(str(folder / "tap.wav"), at, "--shaft", "Fir-1").exit_code == 2
    assert not file.exists()
    runner.invoke(app, ["shaft", "add", at, "Fir-1", *MEASURES])
    pointed = run(str(folder / "tap.wav"), at, "--shaft", "Fir-1", "--point-weight", "5 gr")
    assert pointed.exit_code == 2
    assert "Take the point off" in pointed.stderr
    later = run(str(folder / "tap.wav"), at, "--shaft", "Fir-1", "--on", "2199-01-01")
    assert later.exit_code == 2
    assert "future" in later.stderr
    with Workshop.open(file) as kept:
        assert kept.get("shaft", "Fir-1").version == 1


def test_pictures_are_well_formed_and_nothing_is_cut_off(folder: Path, tmp_path: Path) -> None:
    picture = tmp_path / "tap.svg"
    told = did(str(folder / "tap.wav"), *MEASURES, "--picture", str(picture))
    assert f"Wrote {picture}" in told
    assert "var(" not in picture.read_text(encoding="utf-8")
    assert ET.fromstring(picture.read_text(encoding="utf-8")).tag.endswith("svg")
    heard = listen(folder / "tap.wav")
    tone = use_case.read_tone(BEAM.record(), heard.rings)
    for sheet in (
        drawing.spectrum_chart(heard, tone, "a shaft with a rather long name"),
        drawing.hanging_drawing(hanging(31.0)),
        drawing.hanging_drawing(hanging(19.875)),
    ):
        assert sheet.overflowing() == []
        assert len(sheet.svg()) < 60_000


def test_a_tone_left_out_is_marked_in_the_picture() -> None:
    room = Room(rate=22050)
    heard = hear(sound(Beam(uneven=0.0), room), room.rate)
    tone = use_case.read_tone(BEAM.record(), heard.rings)
    odd = [one for one in tone.rings if not one.mode]
    sheet = drawing.spectrum_chart(heard, tone, "x")
    words = [text for text, _, _ in sheet.lines]
    assert words.count("?") == len(odd)
    assert {"1", "2", "3"} <= set(words)


def test_the_way_to_hang_a_shaft_is_told_in_both_units() -> None:
    told = did("--how", "--length", "31 in")
    assert "6.95 in (177 mm)" in told
    assert "sideways" in told
    assert "lengthwise (1 : 2 : 3)" in told
    found = json.loads(did("--how", "--length", "787.4 mm", "--json"))
    assert found["loop_from_end_in"] == pytest.approx(6.95, abs=0.01)


def test_fingers_at_the_node_spare_the_lowest_mode_and_the_middle_the_second() -> None:
    """Nodes of the free beam: mode 1 at 0.224, mode 2 at 0.132 and 0.5 (any text on vibration)."""
    supports = {one.name: one.modes for one in hanging(31.0).supports}
    assert set(supports["loops, tapped sideways"]) == {"rings on"}
    assert supports["two fingertips at 22.4 %"][:2] == ("rings on", "dies")
    assert supports["held in the middle"][:2] == ("dies", "rings on")
