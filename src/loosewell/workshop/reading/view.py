"""What a picture of an outing shows: the shots as seen, and what the engine expects of them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from loosewell import units
from loosewell.workshop.reading.weigh import Reading, case_of, middle_of, used


@dataclass(frozen=True)
class ShotDrawn:
    """One shot as it was seen; what was not looked at is None. Seen from behind."""

    left_in: float | None
    high_in: float | None
    bare: bool
    label: str
    counted: bool
    nock_left_deg: float | None
    nock_high_deg: float | None
    by_eye: bool


@dataclass(frozen=True)
class Expected:
    """Where the engine, after the evidence, expects a kind of arrow from the fletched group."""

    label: str
    bare: bool
    left_in: float
    high_in: float
    spread_left_in: float
    spread_high_in: float
    nock_left_deg: float
    nock_high_deg: float


@dataclass(frozen=True)
class ReadingView:
    """A reading of one outing, ready to be drawn."""

    title: str
    hand: str
    distance_yd: float
    shots: tuple[ShotDrawn, ...]
    expected: tuple[Expected, ...]
    causes: tuple[tuple[str, float, float], ...]
    """Words, chance now, chance before."""


EYE_DEG = 6.0
"""How crooked a nock called left or high is drawn. [deg]"""


def view(reading: Reading) -> ReadingView:
    """The picture's own figures of one reading.

    Parameters
    ----------
    reading : Reading
        After the evidence.

    Returns
    -------
    view : ReadingView
        Inches and degrees, left and high positive, from behind the archer; what is expected is
        told from the middle of the fletched shots, or of all where none is fletched.
    """
    outing = reading.outing
    step = {"left": 1.0, "high": 1.0, "straight": 0.0, "right": -1.0, "low": -1.0}
    shots = []
    for one in outing.shots:
        eye = one.nock_left_deg is None and one.nock_high_deg is None
        left = one.nock_left_deg
        if left is None and one.nock_sideways is not None:
            left = EYE_DEG * step[one.nock_sideways]
        high = one.nock_high_deg
        if high is None and one.nock_upright is not None:
            high = EYE_DEG * step[one.nock_upright]
        shots.append(
            ShotDrawn(
                one.left_in, one.high_in, one.bare, one.arrow or "",
                one.called != "bad" and not one.cold, left, high, eye,
            )
        )  # fmt: skip
    setting = reading.setting
    values = reading.kept.values
    placed = [one for one in used(outing) if one.left_in is not None]
    base = [one for one in placed if not one.bare] or placed
    where = np.array([(one.left_in, one.high_in) for one in base], dtype=np.float64)
    at = where.mean(axis=0) if base else np.zeros(2)
    anchor = (
        next((k for k, one in enumerate(setting.cases) if not one.bare), 0)
        if base and not base[0].bare
        else (case_of(setting, base[0]) if base else 0)
    )
    expected = []
    for k, case in enumerate(setting.cases):
        own, other = reading.kept.seen[k], reading.kept.seen[anchor]
        away = []
        for way in ("left", "high"):
            there = middle_of(values, case, own, f"hit_{way}", setting.distance)
            here = middle_of(values, setting.cases[anchor], other, f"hit_{way}", setting.distance)
            away.append((there - here) / units.INCH)
        aim = values["aim_scatter"] * setting.distance / units.INCH
        spread = []
        for i, way in enumerate(("left", "high")):
            loose = getattr(reading.scatter[k], f"hit_{way}") / units.INCH
            spread.append(math.sqrt(float(np.var(away[i])) + float(np.median(aim)) ** 2 + loose**2))
        stand = [
            float(np.degrees(np.median(middle_of(values, case, own, f"stand_{way}", 1.0))))
            for way in ("left", "high")
        ]
        expected.append(
            Expected(
                case.label, case.bare, float(np.median(away[0])) + float(at[0]),
                float(np.median(away[1])) + float(at[1]), spread[0], spread[1], *stand,
            )
        )  # fmt: skip
    return ReadingView(
        f"{outing.name}: {outing.archer} with {outing.bow}",
        setting.job.archer.hand,
        outing.distance_yd,
        tuple(shots),
        tuple(expected),
        tuple((one.words, one.chance, one.before) for one in reading.causes),
    )
