"""The range of spine: the share of clean shots over a sweep of plain shafts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.chance import forecast
from loosewell.workshop import bridge, session
from loosewell.workshop.answer import Band
from loosewell.workshop.session import Array, Session, band_of

SHARE_OF_BEST = 0.85
"""The range reaches as far as the share of clean shots stays above this part of the best."""
CLEAR_SHARE = 0.30
"""Below this best share the answer says that no spine stands out."""


@dataclass(frozen=True)
class Sweep:
    """What the sweep over spines found, and the shots it rests on."""

    world: dict[str, Array]
    curve: forecast.Curve
    spread: forecast.Spread
    band: Band | None
    text: str
    definition: str
    least: float
    best_share: float
    weight: Band
    shots: bridge.Shots
    clean: NDArray[np.bool_]
    model: bridge.ArrowModel


def sweep_spines(job: Session) -> Sweep:
    """The share of clean shots over all spines, and the range that follows from it."""
    world, values = job.values(job.sweep_inputs, session.WORLDS, session.SHOTS, job.seed)
    n = session.WORLDS * session.SHOTS
    everything = {key: np.tile(value, session.SPINES) for key, value in values.items()}
    everything["stiffness_scale"] = np.repeat(job.spine / 50.0, n)
    model = job.generic()
    shots = job.shoot([model], np.zeros(n * session.SPINES, dtype=np.int64), everything, "spines")
    clean = job.clean(shots).reshape(session.SPINES, session.WORLDS, session.SHOTS)
    curve = forecast.share_curve(job.spine, clean)
    best = int(np.argmax(curve.share))
    best_share = float(curve.share[best])
    if best_share <= 0.0:
        raise job.nothing_clean(shots)
    least = SHARE_OF_BEST * best_share
    spread = forecast.spread_of_range(job.spine, clean, world)
    stretch = forecast.range_over(job.spine, curve.share, least)
    assert stretch is not None
    low, high, open_low, open_high = stretch
    inside = (job.spine >= low) & (job.spine <= high)
    weights = curve.share[inside] if inside.any() else np.array([1.0])
    places = job.spine[inside] if inside.any() else np.array([job.spine[best]])
    middle = float(np.clip(np.sum(weights * places) / np.sum(weights), low, high))
    drawn = np.clip(world["draw"], job.bow.brace + 0.05, job.bow.top)
    force = np.interp(
        drawn, np.linspace(job.bow.brace, job.bow.top, len(job.bow.force)), job.bow.force
    )
    weight = band_of(
        force * world["force_scale"] / units.POUND_FORCE,
        f"at this archer's draw, from {_readings_words(len(job.bow_record.draw_readings))}, "
        "with the errors of scale and draw",
        2,
    )
    definition = (
        f"Spines (26 in span, 2 lb) for which at least {100 * least:.0f} of 100 shots come out "
        f"clean ({100 * SHARE_OF_BEST:.0f} % of the best spine's {100 * best_share:.0f}), "
        "averaged over everything that is not known exactly, for a parallel shaft "
        f"cut to {job.length_in:.2f} in with a {job.point_gr:.0f} gr point."
    )
    band = Band(round(middle, 1), round(low, 1), round(high, 1), definition)
    text = _range_words(band, open_low, open_high)
    if best_share < CLEAR_SHARE:
        text += (
            f". No spine stands out: even the best leaves only {100 * best_share:.0f} of 100 "
            "shots clean by these limits, so bow, loose or point weigh more than the spine"
        )
    return Sweep(
        world, curve, spread, band, text, definition, least, best_share, weight, shots, clean,
        model,
    )  # fmt: skip


LATER_INCH_POUNDS = 31.4992
"""Spine in pounds (26 in span, 2 lb) times deflection in inches (28 in span, 1.94 lb)."""


def _range_words(band: Band, open_low: bool, open_high: bool) -> str:
    """The range in both standards; an end the sweep did not reach is not given a number."""
    low_in, high_in = LATER_INCH_POUNDS / band.high, LATER_INCH_POUNDS / band.low
    if open_low and open_high:
        early = f"every spine reckoned, {band.low:.0f} to {band.high:.0f} lb"
        later = f"{low_in:.3f} to {high_in:.3f} in"
    elif open_low:
        early, later = f"up to {band.high:.0f} lb", f"{low_in:.3f} in and more"
    elif open_high:
        early, later = f"{band.low:.0f} lb and stiffer", f"{high_in:.3f} in and less"
    else:
        early = f"{band.low:.0f} to {band.high:.0f} lb"
        later = f"{low_in:.3f} to {high_in:.3f} in"
    return (
        f"{early} (26 in span, 2 lb), best near {band.middle:.0f} lb; the same as {later} "
        "(28 in span, 1.94 lb)"
    )


def _readings_words(count: int) -> str:
    return "one reading" if count == 1 else f"{count} readings"


def fall(curve: forecast.Curve, way: int) -> float | None:
    """How fast the share falls from its best to half of it, in percent a pound; None if never."""
    best = int(np.argmax(curve.share))
    top = float(curve.share[best])
    i = best
    while 0 <= i + way < len(curve.spine):
        i += way
        if curve.share[i] <= 0.5 * top:
            before = i - way
            part = (curve.share[before] - 0.5 * top) / (curve.share[before] - curve.share[i])
            spine = curve.spine[before] + part * (curve.spine[i] - curve.spine[before])
            return round(50.0 * top / max(abs(float(spine - curve.spine[best])), 0.1), 2)
    return None
