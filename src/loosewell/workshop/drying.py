"""Drying by weighings: the curve, an honest estimate of when, and the spine it will have."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.chance import decay
from loosewell.errors import BoundRefusal, ContradictionRefusal, MissingRefusal, NotFoundRefusal
from loosewell.records import BenchReading, Jig, Shaft
from loosewell.workshop.answer import Band, Notice
from loosewell.workshop.bench import shaft_spine

Array = NDArray[np.float64]

WEEK_DAYS = 7.0
LEAST_WEEK_DAYS = 6.0
"""Two weighings this far apart count as a week apart. [days]"""
WEIGHING_ERROR_GR = 4.5
"""Error of one weighing when none was recorded: a kitchen scale that shows whole grams, 1 g
over √12 of rounding, exact; taken as always the same scale. [gr]"""
USUAL_TIME_DAYS = 30.0
USUAL_TIME_FACTOR = 2.5
"""Days in which a shoot loses two thirds of the water it still has to lose, and the factor either
way. Common practice, no source: three to twelve months until it is trusted."""
FAR_DAYS = 365.0 * 3.0
CURVES = 4096
DAMP_SHARE = 0.01
"""A rise of this share of the mass is the weather's; beyond it and the scale it contradicts."""
CURVE_POINTS = 60
"""Points of the curve that is drawn."""
HUMIDITY_PERCENT, HUMIDITY_ERROR_PERCENT = 50.0, 12.0
TEMPERATURE_F = 65.0
"""Air of the place where it is kept, when not said. Common practice, no source."""
FIBRE_SATURATION = 0.30
"""Water over dry wood below which wood shrinks. [-] Wood Handbook chapter 4, from memory."""
MEETING_MOISTURE, MEETING_MOISTURE_ERROR = 0.25, 0.02
"""Water below which wood grows stiffer. [-] Wood Handbook chapter 5, from memory: 25 %, single
woods 21 to 28 %."""


@dataclass(frozen=True)
class Change:
    """What drying from green to 12 % does to a wood: middles and errors of logarithms."""

    stiffening: float
    stiffening_error: float
    thinning: float
    thinning_error: float
    source: str


@dataclass(frozen=True)
class CurvePoint:
    """The drying curve on one day: eight of ten curves lie between low and high."""

    on: datetime.date
    weight_gr: Band


@dataclass(frozen=True)
class Weighed:
    """One weighing as it was taken into the curve."""

    on: datetime.date
    weight_gr: float
    weight_error_gr: float


@dataclass(frozen=True)
class DrySpine:
    """The spine now, and when the shaft is dry, with where the change comes from."""

    read_on: datetime.date
    read_day_assumed: bool
    spine_26in_2lb_lb: Band
    dry_spine_26in_2lb_lb: Band
    dry_deflection_28in_1_94lb_in: Band
    stiffening_percent: Band
    thinning_percent: Band
    source: str


@dataclass(frozen=True)
class Drying:
    """Everything the weighings of a shaft say. Weights in grains, bands hold eight of ten."""

    shaft: str
    weighings: list[Weighed]
    rule_text: str
    steady_by_rule: bool
    final_weight_gr: Band
    time_constant_days: Band
    water_now_gr: Band
    moisture_now_percent: Band
    steady_on: tuple[datetime.date, datetime.date, datetime.date] | None
    within_one_percent_on: tuple[datetime.date, datetime.date, datetime.date]
    still_to_lose_gr: Band
    """Of water, on the day the rule will call it steady."""
    steady_text: str
    fit_text: str
    next_on: datetime.date
    next_text: str
    assumed: list[str]
    cautions: list[Notice]
    curve: list[CurvePoint] = field(default_factory=list)
    spine: DrySpine | None = None
    spine_text: str = ""
    invented: bool = False


def drying(
    shaft: Shaft,
    today: datetime.date,
    *,
    jigs: Sequence[Jig] = (),
    humidity_percent: float | None = None,
    temperature_f: float | None = None,
    seed: int = 20260301,
) -> Drying:
    """What the weighings of a shaft say of its drying, and of its spine when dry.

    Parameters
    ----------
    shaft : Shaft
        With two weighings or more, on different days.
    today : date
        From which "now" is told.
    jigs : sequence of Jig
        Those of the workshop, for bench readings that name one.
    humidity_percent, temperature_f : float, optional
        Of the air where the shaft is kept.
    seed : int
        Of the curves drawn; the same seed gives the same answer.

    Returns
    -------
    drying : Drying
        With ranges that hold eight of ten curves.

    Raises
    ------
    Refusal
        For weighings that are missing, or rise where a drying shaft cannot.
    """
    if humidity_percent is not None and not 5.0 <= humidity_percent <= 95.0:
        raise BoundRefusal(
            f"A humidity of {humidity_percent:g} % is outside 5 to 95 %. Give the relative "
            "humidity of the air where the shaft is kept.",
            code="bound-humidity",
        )
    if temperature_f is not None and not 20.0 <= temperature_f <= 120.0:
        raise BoundRefusal(
            f"A temperature of {temperature_f:g} °F is outside 20 to 120 °F. Give that of the "
            "room where the shaft is kept, not of an oven.",
            code="bound-room-temperature",
        )
    weighed = _weighed(shaft)
    first = weighed[0].on
    time = np.array([(one.on - first).days for one in weighed], dtype=np.float64)
    value = np.array([one.weight_gr for one in weighed])
    error = np.array([one.weight_error_gr for one in weighed])
    fit = decay.decay_fit(time, value, error, USUAL_TIME_DAYS)
    scatter = max(1.0, fit.scatter) if fit is not None and len(time) > 3 else 1.0
    curves = decay.decay_posterior(
        time, value, error * scatter, USUAL_TIME_DAYS, USUAL_TIME_FACTOR, CURVES, seed
    )
    scale_gr = float(np.median(error))
    now = float(max((today - first).days, time[-1]))
    done, rule = weekly_rule(weighed)
    steady = curves.time_of_loss(WEEK_DAYS, scale_gr)
    left = curves.rest * curves.excess * np.exp(-steady / curves.time_constant)
    near = curves.time_constant * np.log(np.maximum(curves.excess / 0.01, 1.0))
    wet = _wetness(humidity_percent, temperature_f, seed)
    moisture = (curves.at(now) / curves.rest) * (1.0 + wet) - 1.0
    steady_on = None if done else _days(first, np.maximum(steady, time[-1]))
    next_on, next_text = _next(weighed[-1].on, today, done, steady_on)
    spine = _spine(shaft, jigs, weighed, curves, wet, seed)
    return Drying(
        shaft=shaft.name,
        weighings=weighed,
        rule_text=rule,
        steady_by_rule=done,
        final_weight_gr=_band(curves.rest, 1),
        time_constant_days=_band(curves.time_constant, 1),
        water_now_gr=_band(curves.at(now) - curves.rest, 1),
        moisture_now_percent=_band(100.0 * moisture, 1),
        steady_on=steady_on,
        within_one_percent_on=_days(first, np.maximum(near, 0.0)),
        still_to_lose_gr=_band(left, 1),
        steady_text=_steady_text(done, steady_on, scale_gr),
        fit_text=_fit_text(fit, len(np.unique(time))),
        next_on=next_on,
        next_text=next_text,
        assumed=_assumed(shaft, humidity_percent, temperature_f, scatter, len(weighed)),
        cautions=list(CAUTIONS),
        curve=_curve(
            first,
            curves,
            max(
                now,
                float(np.quantile(steady, 0.9)),
                1.1 * time[-1],
                float((next_on - first).days) + 2.0,
            ),
        ),
        spine=spine,
        spine_text=_spine_text(spine),
        invented=shaft.invented,
    )


CAUTIONS = (
    Notice(
        "dry-slowly",
        "Dry it slowly: out of the sun, in moving air, tied to something straight, the ends sealed "
        "if they check. Bark on holds the water back, and its own mass counts with it: weigh "
        "always with it or always without.",
    ),
    Notice(
        "no-heat-to-dry",
        "Do not put it in an oven or over a fire to hurry it: it splits, and hot wood burns hands "
        "and can catch fire. Where heat is used later, to straighten, wear gloves, keep water "
        "by, work in the open (hot bark, resin, glue and old finish give off fumes), and look it "
        "over for cracks once it is cold.",
    ),
    Notice(
        "dry-is-no-fitness",
        "Dry says nothing about cracks, knots or rot. Look every shaft over, flex it gently away "
        "from your face, and do not shoot one that you doubt.",
    ),
)


def weekly_rule(weighed: Sequence[Weighed]) -> tuple[bool, str]:
    """Whether two weekly weights agree within the scale's error, and that in words.

    Parameters
    ----------
    weighed : sequence of Weighed
        At least one, from the earliest day on.

    Returns
    -------
    steady : bool
        By the rule alone. Common practice, no source.
    text : str
        Which two were compared.
    """
    last = weighed[-1]
    before = [one for one in weighed if (last.on - one.on).days >= LEAST_WEEK_DAYS]
    if not before:
        return False, (
            "The weekly rule (steady when two weights a week apart agree within the scale's "
            "error; common practice, no source) cannot be asked yet: no weighing lies a week "
            "before the last."
        )
    other = before[-1]
    apart = other.weight_gr - last.weight_gr
    error = math.hypot(other.weight_error_gr, last.weight_error_gr)
    days = (last.on - other.on).days
    said = (
        f"{other.weight_gr:.6g} gr on {other.on.isoformat()} and {last.weight_gr:.6g} gr on "
        f"{last.on.isoformat()}, {days} days later, differ by {abs(apart):.1f} gr; the two "
        f"weighings err by {error:.1f} gr together"
    )
    if abs(apart) <= error:
        return True, f"Steady by the weekly rule (common practice, no source): {said}."
    return False, f"Not steady by the weekly rule (common practice, no source): {said}."


def _weighed(shaft: Shaft) -> list[Weighed]:
    """The weighings as they are taken, or the sentence that says why they cannot be."""
    found = [
        Weighed(
            one.on,
            one.weight_gr,
            one.weight_error_gr or shaft.weight_error_gr or WEIGHING_ERROR_GR,
        )
        for one in shaft.weighings
    ]
    if len({one.on for one in found}) < 2:
        raise MissingRefusal(
            f"Shaft {shaft.name} has {'no weighing' if not found else 'weighings of one day only'}"
            ", and drying shows only between days. Weigh it now and again in a week, always on "
            "the same scale, and give all of them: loosewell shaft change NAME --weighing "
            '"612 gr on 2026-03-01" --weighing "588 gr on 2026-03-08".',
            code="drying-too-few",
        )
    for before, after in pairwise(found):
        error = math.hypot(before.weight_error_gr, after.weight_error_gr)
        rise = after.weight_gr - before.weight_gr
        if rise > 3.0 * error + DAMP_SHARE * before.weight_gr:
            raise ContradictionRefusal(
                f"Shaft {shaft.name} weighed {before.weight_gr:.6g} gr on {before.on.isoformat()} "
                f"and {after.weight_gr:.6g} gr on {after.on.isoformat()}: it gained {rise:.3g} gr, "
                "more than scale and weather explain, and a drying shaft loses weight. Check both "
                "entries and that it is the same shaft; if it got wet, leave out the weighings "
                "before that.",
                code="drying-rising",
            )
    return found


def _wetness(humidity_percent: float | None, temperature_f: float | None, seed: int) -> Array:
    """Water over dry wood at which the shaft settles in its air, for every curve."""
    from loosewell.physics import shaft as physics

    rng = np.random.default_rng(seed + 1)
    middle = HUMIDITY_PERCENT if humidity_percent is None else humidity_percent
    error = HUMIDITY_ERROR_PERCENT if humidity_percent is None else 5.0
    kelvin = ((TEMPERATURE_F if temperature_f is None else temperature_f) + 459.67) * 5.0 / 9.0
    humidity = np.clip(middle + error * rng.standard_normal(CURVES), 8.0, 92.0) / 100.0
    return np.array([physics.equilibrium_moisture(kelvin, float(one)) for one in humidity])


def drying_change(material: str | None) -> Change:
    """What drying from green to 12 % does to a wood, by the handbook's green and dry columns.

    Parameters
    ----------
    material : str or None
        A species of the table; anything else takes what all its woods do.

    Returns
    -------
    change : Change
        Logarithms of modulus and of cross-section, dry over green.
    """
    from loosewell.reference import reader

    rows = [one for one in reader.woods() if one.source.startswith("Wood Handbook")]
    stiff = np.array(
        [
            math.log(one.modulus_dry_million_psi / one.modulus_green_million_psi)
            for one in rows
            if one.modulus_dry_million_psi and one.modulus_green_million_psi
        ]
    )
    thin = np.array(
        [
            math.log(one.specific_gravity_green / one.specific_gravity_dry)
            for one in rows
            if one.specific_gravity_dry and one.specific_gravity_green
        ]
    )
    try:
        own = reader.wood(material or "")
    except NotFoundRefusal:
        own = None
    thinning, thinning_error = float(np.mean(thin)), float(np.std(thin))
    if own is not None and own.modulus_green_million_psi and own.modulus_dry_million_psi:
        return Change(
            math.log(own.modulus_dry_million_psi / own.modulus_green_million_psi),
            0.5 * float(np.std(stiff)),
            thinning,
            thinning_error,
            f"{own.species}, its green and 12 % moduli ({own.source}); shrinkage as of all "
            f"{len(thin)} woods of the handbook's table",
        )
    return Change(
        float(np.mean(stiff)),
        float(np.std(stiff)),
        thinning,
        thinning_error,
        f"all {len(stiff)} woods of the handbook's table, for the wood itself is not in it",
    )


def dried_factor(start: Array, end: Array, change: Change, seed: int) -> tuple[Array, Array]:
    """Factors on modulus and on second moment between two moistures, with their errors.

    Parameters
    ----------
    start, end : ndarray, shape (n,)
        Water over dry wood before and after. [-]
    change : Change
        Of the wood.
    seed : int
        Of the samples.

    Returns
    -------
    modulus, second_moment : ndarray, shape (n,)
        The stiffness goes with their product: wood grows stiffer and thinner. [-]
    """
    from loosewell.physics import shaft as physics

    rng = np.random.default_rng(seed + 2)
    n = len(start)
    ratio = np.exp(change.stiffening + change.stiffening_error * rng.standard_normal(n))
    thin = change.thinning + change.thinning_error * rng.standard_normal(n)
    meeting = np.clip(
        MEETING_MOISTURE + MEETING_MOISTURE_ERROR * rng.standard_normal(n), 0.21, 0.28
    )
    modulus = np.array(
        [
            physics.modulus_at_moisture(r, 1.0, after, met)
            / physics.modulus_at_moisture(r, 1.0, before, met)
            for r, before, after, met in zip(ratio, start, end, meeting, strict=True)
        ]
    )
    lost = np.minimum(start, FIBRE_SATURATION) - np.minimum(end, FIBRE_SATURATION)
    # The second moment goes with the square of the section's area.
    second = np.exp(2.0 * thin * lost / (FIBRE_SATURATION - 0.12))
    return modulus, np.asarray(second)


def _spine(
    shaft: Shaft,
    jigs: Sequence[Jig],
    weighed: Sequence[Weighed],
    curves: decay.Decay,
    wet: Array,
    seed: int,
) -> DrySpine | None:
    found = shaft_spine(shaft, jigs)
    if found is None:
        return None
    days = [one.on for one in shaft.bench_readings if one.on is not None]
    read_on = _middle_day(shaft.bench_readings) or weighed[-1].on
    start = float((read_on - weighed[0].on).days)
    then = (curves.at(start) / curves.rest) * (1.0 + wet) - 1.0
    change = drying_change(shaft.material)
    modulus, second = dried_factor(then, wet, change, seed)
    rng = np.random.default_rng(seed + 3)
    own = np.exp(found.relative_error * rng.standard_normal(CURVES))
    spine = found.spine_26in_2lb_lb * own
    dry = spine * modulus * second
    from loosewell.physics import spine as beam

    later = np.array(
        [
            float(beam.later_deflection_from_stiffness(beam.stiffness_from_spine_pounds(one)))
            for one in np.quantile(dry, (0.5, 0.9, 0.1))
        ]
    )
    middle, low, high = (round(float(one) / units.INCH, 3) for one in later)
    return DrySpine(
        read_on,
        len(days) == 0,
        _band(spine, 1),
        _band(dry, 1),
        Band(middle, low, high),
        _band(100.0 * (modulus - 1.0), 1),
        _band(100.0 * (second - 1.0), 1),
        change.source,
    )


def _middle_day(readings: Sequence[BenchReading]) -> datetime.date | None:
    days = sorted(one.on for one in readings if one.on is not None)
    return days[len(days) // 2] if days else None


def _spine_text(spine: DrySpine | None) -> str:
    if spine is None:
        return (
            "No bench reading yet, so nothing is said of its spine. Bend it once now and once "
            "when it is steady, and give the day of each."
        )
    now, dry, later = (
        spine.spine_26in_2lb_lb,
        spine.dry_spine_26in_2lb_lb,
        spine.dry_deflection_28in_1_94lb_in,
    )
    day = f"as read on {spine.read_on.isoformat()}"
    if spine.read_day_assumed:
        day += " (assumed: the reading has no day, so the last weighing's is taken)"
    return (
        f"Spine {day}: {now.middle:.0f} lb, {now.low:.0f} to {now.high:.0f} lb (26 in span, 2 lb). "
        f"When dry: {dry.middle:.0f} lb, {dry.low:.0f} to {dry.high:.0f} lb (26 in span, 2 lb), "
        f"or {later.low:.3f} to {later.high:.3f} in (28 in span, 1.94 lb). The wood grows stiffer "
        f"by {spine.stiffening_percent.low:.0f} to {spine.stiffening_percent.high:.0f} % and the "
        f"shaft thinner, which changes its stiffness by {spine.thinning_percent.low:.0f} to "
        f"{spine.thinning_percent.high:.0f} %. Bend it again when it is steady: that reading is "
        "worth more than this reckoning."
    )


def _next(
    last: datetime.date,
    today: datetime.date,
    done: bool,
    steady_on: tuple[datetime.date, datetime.date, datetime.date] | None,
) -> tuple[datetime.date, str]:
    week = last + datetime.timedelta(days=int(WEEK_DAYS))
    if done:
        month = last + datetime.timedelta(days=28)
        on = max(month, today)
        return on, (
            f"Bend it now, and weigh it again on {on.isoformat()}: a slow shaft can look steady "
            "for a week on a coarse scale."
        )
    on = max(week, today)
    words = f"Weigh it again on {on.isoformat()}, on the same scale"
    words += ", which is today." if on == today else "."
    if steady_on is not None and steady_on[0] > on + datetime.timedelta(days=21):
        words += (
            f" It will hardly be steady before {steady_on[0].isoformat()}; a weight a week until "
            "then is what narrows the range."
        )
    return on, words


def _steady_text(
    done: bool,
    steady_on: tuple[datetime.date, datetime.date, datetime.date] | None,
    scale_gr: float,
) -> str:
    if done or steady_on is None:
        return "It is steady by the rule now; what the curve still expects it to lose is below."
    low, middle, high = steady_on
    return (
        f"A week's loss falls below the scale's {scale_gr:.2g} gr between {low.isoformat()} and "
        f"{high.isoformat()}, most likely near {middle.isoformat()} (eight of ten curves that fit "
        "the weighings)."
    )


def _fit_text(fit: decay.Fit | None, days: int) -> str:
    if fit is None:
        if days < 4:
            return (
                f"{days} days of weighing do not fix a curve of three unknowns: the ranges rest "
                "in part on how shoots usually dry (common practice). From four on they fix it."
            )
        return "The weighings alone fix no curve: they hardly fall, or not toward a rest."
    text = (
        f"By the weighings alone (least squares): final mass {fit.rest:.0f} ± "
        f"{fit.rest_error:.0f} gr, two thirds of the water gone every {fit.time_constant:.0f} ± "
        f"{fit.time_constant_error:.0f} days."
    )
    if fit.rest_error > 0.15 * fit.rest or fit.time_constant_error > fit.time_constant:
        text += " That is hardly fixed yet; the ranges rest in part on how shoots usually dry."
    if fit.scatter > 1.5:
        text += (
            f" The weighings stray {fit.scatter:.1f} times as far from a smooth curve as the scale "
            "errs (damp days, bark lost, another scale?), so the errors were widened by it."
        )
    return text


def _assumed(
    shaft: Shaft,
    humidity_percent: float | None,
    temperature_f: float | None,
    scatter: float,
    count: int,
) -> list[str]:
    usual = (
        f"Drying time: two thirds of the remaining water in {USUAL_TIME_DAYS:.0f} days, or "
        f"{USUAL_TIME_FACTOR:g} times faster or slower (common practice, no source); the more "
        "weighings, the less it counts."
    )
    found = [usual]
    if any(one.weight_error_gr is None for one in shaft.weighings):
        if shaft.weight_error_gr is None:
            found.append(
                f"Error of a weighing: {WEIGHING_ERROR_GR:g} gr, a kitchen scale that shows whole "
                "grams."
            )
        else:
            found.append(
                f"Error of a weighing: {shaft.weight_error_gr:g} gr, as recorded of the shaft."
            )
    if humidity_percent is None:
        found.append(
            f"Air where it is kept: {HUMIDITY_PERCENT:.0f} ± {HUMIDITY_ERROR_PERCENT:.0f} % "
            "humidity (--humidity says it). Only moisture and dry spine rest on it."
        )
    if temperature_f is None:
        found.append(f"Temperature there: {TEMPERATURE_F:.0f} °F.")
    if scatter > 1.0:
        found.append(f"Errors of the weighings widened {scatter:.1f} times, by their scatter.")
    if shaft.bench_readings:
        found.append(
            "Modulus against moisture: the handbook's power relation, from memory; shrinkage "
            "below 30 % moisture, from memory, its amount from the handbook's green and 12 % "
            "densities."
        )
    if count == 2:
        found.append("Two weighings only: the ranges are mostly how shoots usually dry.")
    return found


def _band(values: Array, digits: int) -> Band:
    low, middle, high = np.quantile(values, (0.1, 0.5, 0.9))
    return Band(round(float(middle), digits), round(float(low), digits), round(float(high), digits))


def _days(first: datetime.date, days: Array) -> tuple[datetime.date, datetime.date, datetime.date]:
    low, middle, high = np.quantile(np.minimum(days, FAR_DAYS), (0.1, 0.5, 0.9))
    return (
        first + datetime.timedelta(days=math.floor(low)),
        first + datetime.timedelta(days=round(float(middle))),
        first + datetime.timedelta(days=math.ceil(high)),
    )


def _curve(first: datetime.date, curves: decay.Decay, until: float) -> list[CurvePoint]:
    step = max(1, math.ceil(min(until, FAR_DAYS) / CURVE_POINTS))
    return [
        CurvePoint(first + datetime.timedelta(days=day), _band(curves.at(float(day)), 2))
        for day in range(0, math.ceil(min(until, FAR_DAYS)) + step, step)
    ]
