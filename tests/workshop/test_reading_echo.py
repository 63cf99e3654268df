"""Speed from sound: the sound's own way, the air's share, and synthetic recordings."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from loosewell.errors import BoundRefusal, ContradictionRefusal, MissingRefusal
from loosewell.workshop.reading import echo
from tolerances import one_percent, stated_to_three_figures

YARD_M = 0.9144
FPS_MPS = 0.3048


@pytest.mark.parametrize(("celsius", "speed"), [(0.0, 331.3), (20.0, 343.2), (30.0, 349.0)])
def test_sound_is_as_fast_as_handbooks_say(celsius: float, speed: float) -> None:
    """331.3, 343.2 and 349.0 m/s at 0, 20 and 30 degC (any handbook of physics)."""
    assert echo.sound_speed(celsius * 1.8 + 32.0) == pytest.approx(
        speed, rel=stated_to_three_figures
    )


@pytest.mark.parametrize("recorder", ["line", "butt"])
def test_the_mean_speed_is_way_over_time_with_the_sounds_own_way_taken_off(recorder: str) -> None:
    way, mean, sound = 25.0 * YARD_M, 46.0, 343.2
    seconds = way / mean + (way / sound if recorder == "line" else -way / sound)
    found = echo.heard_speed(25.0, seconds, recorder=recorder)  # type: ignore[arg-type]
    assert found.mean_fps * FPS_MPS == pytest.approx(mean, rel=1e-3)
    # The air takes a little: near the bow it was faster, by one to five in a hundred.
    assert 1.005 < found.speed_fps / found.mean_fps < 1.05
    assert 0.01 < found.error_fps / found.speed_fps < 0.04


def test_a_longer_way_is_told_closer() -> None:
    near, far = (
        echo.heard_speed(yards, yards * YARD_M / 46.0 + yards * YARD_M / 343.2)
        for yards in (10.0, 30.0)
    )
    assert far.error_fps < near.error_fps


def shot(path: Path, between: float, rate: int = 44_100, blows: int = 2) -> Path:
    """A clap and thuds in a quiet field, each with its own short ring and a weak echo."""
    rng = np.random.default_rng(3)
    sound = 0.002 * rng.standard_normal(int(2.0 * rate))
    for k in range(blows):
        at = int((0.5 + k * between) * rate)
        n = int(0.08 * rate)
        t = np.arange(n) / rate
        blow = np.exp(-t / 0.012) * rng.standard_normal(n) * (0.5 if k == 0 else 0.8)
        sound[at : at + n] += blow
        sound[at + int(0.03 * rate) : at + int(0.03 * rate) + n // 2] += 0.08 * blow[: n // 2]
    soundfile.write(path, 0.9 * sound / np.max(np.abs(sound)), rate)
    return path


@pytest.mark.parametrize("rate", [16_000, 44_100])
def test_the_two_sounds_of_a_recording_are_told_apart(tmp_path: Path, rate: int) -> None:
    told = echo.two_sounds(shot(tmp_path / "shot.wav", 0.45, rate))
    assert told == pytest.approx(0.45, abs=echo.PICKED_S)
    found = echo.heard_speed(20.0, told, echo.PICKED_S)
    assert found.mean_fps == pytest.approx(
        20.0 * YARD_M / (0.45 - 20.0 * YARD_M / 343.2) / FPS_MPS, rel=one_percent
    )


@pytest.mark.parametrize(("blows", "words"), [(1, "one sudden sound"), (3, "3 sudden sounds")])
def test_a_recording_without_just_two_sounds_is_refused(
    tmp_path: Path, blows: int, words: str
) -> None:
    with pytest.raises(MissingRefusal, match=words):
        echo.two_sounds(shot(tmp_path / "shot.wav", 0.4, blows=blows))


def test_times_that_no_arrow_takes_are_refused() -> None:
    with pytest.raises(ContradictionRefusal, match="no arrow's flight"):
        echo.heard_speed(20.0, 0.05)
    with pytest.raises(ContradictionRefusal, match="line or at the butt"):
        echo.heard_speed(20.0, 3.0)
    with pytest.raises(BoundRefusal, match="5 to 120 yd"):
        echo.heard_speed(2.0, 0.1)
