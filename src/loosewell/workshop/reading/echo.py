"""The speed of an arrow from what is heard: the loose, and the hit.

A recorder at the shooting line hears the loose at once and the hit late by the sound's way back;
one at the butt hears the loose late and the hit at once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from loosewell import units
from loosewell.errors import BoundRefusal, ContradictionRefusal, MissingRefusal

Recorder = Literal["line", "butt"]

DISTANCE_ERROR = 0.01
"""Relative error of a taped distance. [-] Users' figure, common practice."""
PICKED_S = 0.003
"""Standard error of the moment of one sound in a recording. [s] Modelling choice."""
HAND_S = 0.010
"""The same for a time told by hand from a sound editor's ruler. [s] Modelling choice."""
RELEASE_S = 0.004
"""The arrow leaves the bow this long before or after the loudest of the loose. [s] Modelling
choice: the string's clap comes as the arrow leaves it."""
TEMPERATURE_ERROR_K = 3.0
DRAG_ERROR = 0.3
"""Relative error of what the air takes on the way, for an arrow nobody weighed. [-]"""


@dataclass(frozen=True)
class HeardSpeed:
    """Speed near the bow, with its error and what makes it. [ft/s]"""

    speed_fps: float
    error_fps: float
    mean_fps: float
    seconds: float
    reasons: tuple[str, ...]

    def text(self) -> str:
        """The speed in words, both unit systems."""
        mps = self.speed_fps * units.FPS
        return (
            f"{self.speed_fps:.0f} fps ± {self.error_fps:.0f} fps ({mps:.1f} m/s) near the bow, "
            f"{self.mean_fps:.0f} fps on the mean of the way"
        )


def sound_speed(temperature_f: float) -> float:
    """Speed of sound in air.

    Parameters
    ----------
    temperature_f : float
        Of the air. [degF]

    Returns
    -------
    speed : float
        In dry air; damp air is at most 0.5 % faster. [m/s]

    Source
    ------
    Ideal gas: c = sqrt(1.4 · 287.05 · T), T in kelvin (any handbook of physics).
    """
    kelvin = (temperature_f - 32.0) / 1.8 + 273.15
    return math.sqrt(1.4 * 287.05 * kelvin)


def heard_speed(
    distance_yd: float,
    seconds: float,
    seconds_error: float = HAND_S,
    temperature_f: float = 68.0,
    recorder: Recorder = "line",
) -> HeardSpeed:
    """The speed near the bow from the time between loose and hit as recorded.

    Parameters
    ----------
    distance_yd : float
        Shooting line to butt. [yd]
    seconds : float
        From the sound of the loose to the sound of the hit. [s]
    seconds_error : float
        Standard error of it. [s]
    temperature_f : float
        Of the air. [degF]
    recorder : str
        Where it stood: at the "line" or at the "butt". [word]

    Returns
    -------
    heard : HeardSpeed
        With its error and reasons. [ft/s]

    Raises
    ------
    Refusal
        For times that no arrow takes.

    Source
    ------
    Way over time, the sound's own way taken off; what the air takes by the flight of a usual
    wooden arrow (physics/flight.py).
    """
    if not 5.0 <= distance_yd <= 120.0:
        raise BoundRefusal(
            f"A distance of {distance_yd:g} yd is outside 5 to 120 yd. Nearer, the time is too "
            "short to be told; tape 20 yd or more.",
            code="bound-heard-distance",
        )
    way = distance_yd * units.YARD
    sound = way / sound_speed(temperature_f)
    flown = seconds - sound if recorder == "line" else seconds + sound
    if not 0.02 <= flown <= 6.0 or not 40.0 <= way / flown / units.FPS <= 350.0:
        raise ContradictionRefusal(
            f"{seconds:g} s between loose and hit over {distance_yd:g} yd, less the {sound:.3f} s "
            "of the sound's own way, is no arrow's flight (40 to 350 fps). Check the two sounds, "
            "the distance, and whether the recorder stood at the line or at the butt.",
            code="heard-contradicts",
        )
    mean = way / flown
    first, steeper = _near_bow(way, flown)
    timing = math.hypot(seconds_error, RELEASE_S) / flown
    heat = sound * 0.5 * TEMPERATURE_ERROR_K / 293.0 / flown
    tape = DISTANCE_ERROR * (1.0 + sound / flown)
    air = DRAG_ERROR * steeper
    parts = [
        (timing, "the moments of the two sounds"),
        (tape, "the distance, taped to 1 %"),
        (air, "what the air takes on the way, for a usual wooden arrow"),
        (heat, "the temperature, known to 5 °F"),
    ]
    total = math.sqrt(sum(part * part for part, _ in parts))
    return HeardSpeed(
        first / units.FPS,
        total * first / units.FPS,
        mean / units.FPS,
        flown,
        tuple(
            f"± {100.0 * part:.1f} % from {words}" for part, words in sorted(parts, reverse=True)
        ),
    )


def _near_bow(way: float, flown: float) -> tuple[float, float]:
    """Speed on leaving of a usual arrow, and how much above its mean. [m/s, 1]"""
    import numpy as np
    from scipy.optimize import brentq

    from loosewell.physics import flight, spine
    from loosewell.workshop import bridge

    shaft = bridge.uniform_profile(
        spine.stiffness_from_spine_pounds(50.0),
        12.0 * units.GRAIN / units.INCH,
        11.0 / 32.0 * units.INCH,
        0.8,
    )
    part = bridge.parts(125.0, bridge.standard_fletching())
    arrow = bridge.arrow_model(shaft, 28.5 * units.INCH, part).aero
    air = flight.still_air(1.204, 1.82e-5)
    state = np.zeros(flight.STATE_COLUMNS)
    state[flight.HEIGHT] = 1000.0

    def late(speed: float) -> float:
        state[flight.SPEED] = speed
        return float(flight.fly(state, arrow, air, way)[0, flight.TIME]) - flown

    mean = way / flown
    first = float(brentq(late, 0.95 * mean, 1.6 * mean, xtol=1e-4))
    return first, first / mean - 1.0


def two_sounds(path: Path) -> float:
    """Time between the two loudest sudden sounds of a recording: loose and hit.

    Parameters
    ----------
    path : pathlib.Path
        WAV, FLAC or OGG, cut to one shot. [path]

    Returns
    -------
    seconds : float
        Between them. [s]

    Raises
    ------
    Refusal
        For a file that cannot be read, or one without exactly two such sounds.
    """
    import numpy as np

    from loosewell.workshop import sound

    samples, rate = sound.read_samples(path)
    power = np.mean((samples - samples.mean(axis=0)) ** 2, axis=0)
    found = sound.sudden(np.ascontiguousarray(samples[:, int(np.argmax(power))]), rate)
    # What follows a loose at once, or a hit, is its own echo and rattle.
    apart: list[int] = []
    for at in found:
        if not apart or at - apart[-1] > 0.08 * rate:
            apart.append(at)
    if len(apart) != 2:
        count = {0: "no sudden sound", 1: "one sudden sound"}.get(
            len(apart), f"{len(apart)} sudden sounds"
        )
        raise MissingRefusal(
            f"{path.name} holds {count}, and a shot has two: the loose and the hit. Cut the "
            "recording to one shot with half a second before and after, or read the time between "
            'them in a sound editor and give it: --seconds "0.45 s".',
            code="heard-sounds",
        )
    return (apart[1] - apart[0]) / rate
