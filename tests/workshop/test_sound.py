"""What is heard in a recording, and the sentence that says why another cannot be used."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from loosewell.errors import FileRefusal
from loosewell.workshop.sound import Heard, hear, listen
from workshop.tap_recordings import Beam, Room, sound, speech

Array = NDArray[np.float64]
EVEN = Beam(uneven=0.0)
RATE = Room().rate


def refusal(call: Callable[[], Heard]) -> FileRefusal:
    with pytest.raises(FileRefusal) as told:
        call()
    assert told.value.message.endswith(".") or "ffmpeg" in told.value.message
    return told.value


def nearest(heard: Heard, hertz: float) -> float:
    return min((one.frequency_hz for one in heard.rings), key=lambda one: abs(one - hertz))


@pytest.mark.parametrize("rate", [8000, 22050, 44100, 48000])
def test_frequencies_and_damping_are_those_of_the_beam(rate: int) -> None:
    truth, _, _ = EVEN.modes()
    heard = hear(sound(EVEN, Room(rate=rate)), rate)
    assert heard.tap_at_s == pytest.approx(0.6, abs=0.005)
    found = [one for one in heard.rings if np.min(np.abs(truth / one.frequency_hz - 1.0)) < 0.01]
    assert len(found) >= 6
    for one in found:
        off = np.min(np.abs(truth - one.frequency_hz))
        assert off < 4.0 * one.error_hz
        assert one.error_hz < 2e-3 * one.frequency_hz
        assert one.damping_ratio == pytest.approx(0.003, abs=max(4.0 * one.damping_error, 1e-4))


def test_errors_of_the_tones_cover_the_truth_as_often_as_they_say() -> None:
    """Twelve rooms of loud noise: the misses in units of the stated error scatter by about 1."""
    truth, _, _ = EVEN.modes()
    off = []
    for seed in range(12):
        room = Room(rate=8000, signal_over_noise_db=14.0, seed=seed)
        for one in hear(sound(EVEN, room), 8000).rings:
            miss = truth[np.argmin(np.abs(np.log(truth / one.frequency_hz)))] - one.frequency_hz
            if abs(miss) < 0.02 * one.frequency_hz:
                off.append(miss / one.error_hz)
    assert len(off) > 50
    # A clock error is added to each, and noise that is not white over a band takes some away.
    assert 0.6 < float(np.std(off)) < 1.5
    assert float(np.mean(np.abs(off) < 2.0)) > 0.85


@pytest.mark.parametrize("mains", [50.01, 59.98])
def test_mains_hum_beside_the_lowest_mode_is_told_from_it(mains: float) -> None:
    truth, _, _ = EVEN.modes()
    heard = hear(sound(EVEN, Room(hum=0.7, mains=mains)), RATE)
    assert heard.mains_hz == round(mains)
    assert nearest(heard, truth[0]) == pytest.approx(truth[0], rel=1e-3)
    lines = np.round(mains) * np.arange(1, 7)
    for one in heard.rings:
        assert np.min(np.abs(lines - one.frequency_hz)) > 0.5
    assert any("hum" in note for note in heard.notes)


@pytest.mark.parametrize("sides", [0.05, 0.015])
def test_two_sides_ring_as_two_close_tones(sides: float) -> None:
    """The closer pair is one peak of the spectrum to the eye."""
    beam = replace(EVEN, sides=sides)
    truth, _, _ = beam.modes()
    heard = hear(sound(beam, Room()), RATE)
    pair = [one for one in heard.rings if abs(one.frequency_hz / truth[0] - 1.0) < 0.03]
    assert len(pair) == 2
    ratio = (pair[1].frequency_hz / pair[0].frequency_hz) ** 2
    assert np.log(ratio) == pytest.approx(sides, abs=0.003)


def test_a_small_microphone_loses_the_lowest_mode() -> None:
    room = Room(lowest=1500.0, signal_over_noise_db=14.0)
    truth, _, _ = EVEN.modes()
    heard = hear(sound(EVEN, room), RATE)
    assert abs(nearest(heard, truth[0]) / truth[0] - 1.0) > 0.1
    assert abs(nearest(heard, truth[4]) / truth[4] - 1.0) < 0.002


@pytest.mark.parametrize("pitch", [90.0, 120.0, 160.0, 210.0])
def test_speech_is_recognised(pitch: float) -> None:
    told = refusal(lambda: hear(speech(pitch=pitch), RATE, "talk.wav"))
    assert told.code == "tap-speech"
    assert told.message.startswith("talk.wav sounds like speech")


@pytest.mark.parametrize("gap", [0.03, 0.06, 0.15, 0.4, 1.0])
def test_a_second_tap_into_the_first_is_refused(gap: float) -> None:
    room = Room(blows=((0.0, 1.0), (gap, 0.8)))
    told = refusal(lambda: hear(sound(EVEN, room), RATE))
    assert told.code == "tap-several"
    assert "2 blows" in told.message


def test_a_click_after_the_ring_only_ends_it() -> None:
    chance = np.random.default_rng(3)
    recorded = sound(EVEN, Room())
    recorded[-900:-700] += 0.02 * chance.standard_normal(200)
    heard = hear(recorded, RATE)
    assert any("noise at" in note for note in heard.notes)
    assert heard.ringing_s < 2.0


def test_silence_and_next_to_nothing_are_refused() -> None:
    assert refusal(lambda: hear(np.zeros(RATE), RATE)).code == "tap-silent"
    hiss = 1e-5 * np.random.default_rng(1).standard_normal(RATE)
    assert refusal(lambda: hear(hiss, RATE)).code == "tap-silent"
    assert refusal(lambda: hear(np.full(RATE, 0.7), RATE)).code == "tap-silent"


@pytest.mark.parametrize("mains", [50.0, 60.0])
def test_hum_alone_is_named(mains: float) -> None:
    time = np.arange(2 * RATE) / RATE
    hum = sum(0.1 * np.sin(2.0 * np.pi * mains * k * time + k) / k for k in range(1, 6))
    noise = 1e-3 * np.random.default_rng(1).standard_normal(len(time))
    told = refusal(lambda: hear(np.asarray(hum) + noise, RATE))
    assert told.code == "tap-hum"
    assert f"{mains:.0f} Hz" in told.message


def test_noise_and_a_whistle_hold_no_tap() -> None:
    time = np.arange(2 * RATE) / RATE
    chance = np.random.default_rng(1)
    assert refusal(lambda: hear(0.1 * chance.standard_normal(RATE * 2), RATE)).code == "tap-none"
    whistle = 0.3 * np.sin(2.0 * np.pi * 1000.0 * time) * np.clip(3.0 * time, 0.0, 1.0)
    whistle = whistle + 1e-3 * chance.standard_normal(len(time))
    assert refusal(lambda: hear(whistle, RATE)).code == "tap-none"


def test_a_thump_that_does_not_ring_is_refused() -> None:
    chance = np.random.default_rng(1)
    time = np.arange(RATE) / RATE
    thump = 0.5 * np.exp(-time / 0.01) * np.sin(2.0 * np.pi * 90.0 * time)
    quiet = 1e-4 * chance.standard_normal(RATE // 2)
    told = refusal(lambda: hear(np.concatenate([quiet, thump + 1e-4]), RATE))
    assert told.code == "tap-no-ring"


def test_clipping_is_refused_and_a_clipped_blow_alone_is_not() -> None:
    told = refusal(lambda: hear(np.clip(sound(EVEN, Room(full_scale=4.0)), -1.0, 1.0), RATE))
    assert told.code == "tap-clipped"
    turned_down = 0.4 * np.clip(sound(EVEN, Room(full_scale=4.0)), -1.0, 1.0)
    assert refusal(lambda: hear(turned_down, RATE)).code == "tap-clipped"
    loud = hear(sound(EVEN, Room(full_scale=0.999)), RATE)
    assert not any("too loud" in note for note in loud.notes)


def test_too_short_recordings_are_refused() -> None:
    whole = sound(EVEN, Room())
    told = refusal(lambda: hear(whole[: int(0.75 * RATE)], RATE))
    assert told.code == "tap-short"
    assert "after the tap" in told.message
    assert refusal(lambda: hear(whole[:100], RATE)).code == "tap-short"
    assert refusal(lambda: hear(whole, 3000)).code == "tap-rate"


def test_a_recording_cut_at_the_tap_is_used_with_a_note() -> None:
    whole = sound(EVEN, Room())
    heard = hear(whole[int(0.6 * RATE) :], RATE)
    truth, _, _ = EVEN.modes()
    assert nearest(heard, truth[1]) == pytest.approx(truth[1], rel=1e-3)
    assert any("before the tap" in note for note in heard.notes)


@pytest.mark.parametrize(
    ("name", "options"),
    [
        ("tap.wav", {"subtype": "PCM_16"}),
        ("tap.wav", {"subtype": "FLOAT"}),
        ("tap.flac", {"subtype": "PCM_16"}),
        ("tap.ogg", {"format": "OGG", "subtype": "VORBIS"}),
    ],
)
def test_files_of_each_kind_give_the_same_tones(
    tmp_path: Path, name: str, options: dict[str, str]
) -> None:
    samples = sound(EVEN, Room(rate=44100))
    # The quieter channel is in opposite phase: added up, they would lose the ring.
    soundfile.write(tmp_path / name, np.column_stack([-0.9 * samples, samples]), 44100, **options)
    assert (tmp_path / name).stat().st_size < 1_000_000
    heard = listen(tmp_path / name)
    truth, _, _ = EVEN.modes()
    for mode in (0, 1, 4, 5):
        assert nearest(heard, truth[mode]) == pytest.approx(truth[mode], rel=1e-3)


def test_other_kinds_of_file_say_how_to_convert(tmp_path: Path) -> None:
    phone = tmp_path / "tap.m4a"
    phone.write_bytes(b"\0\0\0\x18ftypM4A \0\0\0\0M4A isom" + b"\0" * 500)
    told = refusal(lambda: listen(phone))
    assert told.code == "tap-format"
    assert 'ffmpeg -i "tap.m4a" "tap.wav"' in told.message
    packed = tmp_path / "tap.mp3"
    soundfile.write(packed, sound(EVEN, Room()), RATE, format="MP3")
    told = refusal(lambda: listen(packed))
    assert told.code == "tap-format"
    assert "MP3" in told.message


def test_missing_damaged_and_endless_files_are_refused(tmp_path: Path) -> None:
    assert refusal(lambda: listen(tmp_path / "no.wav")).code == "tap-missing"
    broken = tmp_path / "broken.wav"
    broken.write_bytes(b"RIFF\x10\0\0\0WAVEfmt ")
    assert refusal(lambda: listen(broken)).code == "tap-format"
    long_ = tmp_path / "long.wav"
    soundfile.write(long_, np.zeros(61 * 8000), 8000, subtype="PCM_16")
    assert refusal(lambda: listen(long_)).code == "tap-long"
    odd = tmp_path / "odd.wav"
    samples = sound(EVEN, Room(rate=8000))
    samples[100] = np.nan
    soundfile.write(odd, samples, 8000, subtype="FLOAT")
    assert refusal(lambda: listen(odd)).code == "tap-format"
