"""Bench readings into one stiffness with its error: any jig, any way round, both standards."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from loosewell import units
from loosewell.records.shaft import (
    HAIR_IN,
    USUAL_DEFLECTION_ERROR_IN,
    USUAL_LOAD_ERROR,
    USUAL_SPAN_ERROR_IN,
    BenchReading,
    Shaft,
)

if TYPE_CHECKING:
    from loosewell.records.jig import Jig

READS_TO_IN = {"dial gauge": 0.005, "fine ruler": 1.0 / 64.0, "eye and thread": 1.0 / 32.0}
"""Error of a deflection by what it is read with. [in] Common practice, no source."""
USUAL_DIAMETER_IN = 11.0 / 32.0
SUPPORT_RADIUS_IN = 0.3
"""Of a nail or peg (1/8 in) and half a shaft together. [in] A modelling choice."""
MODULUS_RATIO_ERROR = 0.3
"""Of Young's modulus over the shear modulus of a wood not measured. [1] From memory."""
USUAL_FACTOR_ERROR = 0.05
"""Of a jig's factor recorded without its error. [1] A modelling choice."""
SIDES_UNLIKE = 0.03
"""Usual swing of a wooden shaft's stiffness round its axis, over its mean; used only when two
ways round were read. [1] A modelling choice: sides of 5 to 7 % apart are common, no source."""
TURN_ERROR_DEG = 5.0
"""How well a shaft is turned by hand to a mark. [deg] Common practice, no source."""


@dataclass(frozen=True)
class Rig:
    """A jig as its readings are judged; the nameless one is a home bench nobody described."""

    name: str = ""
    span_in: float | None = None
    load_lb: float | None = None
    span_error_in: float = USUAL_SPAN_ERROR_IN
    load_error: float = USUAL_LOAD_ERROR
    deflection_error_in: float | None = None
    factor: float | None = None
    factor_error: float = USUAL_FACTOR_ERROR
    checked_on: datetime.date | None = None
    checked_with: str | None = None

    def own_error(self) -> float:
        """Relative error of a stiffness from span and load, before any check. [1]"""
        span_in = 26.0 if self.span_in is None else self.span_in
        return math.hypot(self.load_error, 3.0 * self.span_error_in / span_in)

    def best_factor(self) -> tuple[float, float]:
        """The factor to use and its relative error.

        A check that agrees with the jig's own span and load is weighed against them: a rod known
        worse than the jig cannot make it worse. One that contradicts them is taken as it is.
        """
        if self.factor is None:
            return 1.0, self.own_error()
        off, own = math.log(self.factor), self.own_error()
        both = math.hypot(own, self.factor_error)
        if abs(off) > 2.0 * both:
            return self.factor, self.factor_error
        return math.exp(off * (own / both) ** 2), own * self.factor_error / both


def rig_of(jig: Jig) -> Rig:
    """A jig of the workshop as its readings are judged."""
    plain = Rig()
    load, error = jig.load_error_percent, jig.stiffness_factor_error_percent
    reads = jig.deflection_error_in
    if reads is None and jig.reads is not None:
        reads = READS_TO_IN[jig.reads]
    return Rig(
        jig.name,
        jig.span_in,
        jig.load_lb,
        plain.span_error_in if jig.span_error_in is None else jig.span_error_in,
        plain.load_error if load is None else load / 100.0,
        reads,
        jig.stiffness_factor,
        plain.factor_error if error is None else error / 100.0,
        jig.checked_on,
        jig.checked_with,
    )


@dataclass(frozen=True)
class Sides:
    """Stiff and weak side of a shaft, or why they cannot be told.

    ``turn_deg`` is how far round from the shaft's mark the stiff side lies, 0 to 180; half a
    turn further it is as stiff. Pounds are of spine (26 in span, 2 lb).
    """

    told: bool
    words: str
    ways: int
    """1, 2 or 3: one way round was read, two, or enough to find the stiff side."""
    stiff_lb: float | None = None
    stiff_error_lb: float | None = None
    weak_lb: float | None = None
    weak_error_lb: float | None = None
    turn_deg: float | None = None
    turn_error_deg: float | None = None
    differ_percent: float | None = None
    """Stiff side over weak side, less one."""
    at_most_percent: float | None = None
    """When it cannot be told: the sides differ by no more than this, at 19 to 1."""
    weak_over_stiff: float = 1.0
    stiff_over_mean: float = 1.0

    def mark_text(self) -> str:
        """Where the stiff side is marked: "stiff side 40 deg ± 6 deg from the mark"."""
        if not self.told or self.turn_deg is None or self.turn_error_deg is None:
            return "stiff side not told"
        turn = round(self.turn_deg) % 180
        return (
            f"stiff side {turn} deg ± {max(self.turn_error_deg, 1.0):.0f} deg from the mark, and "
            f"again at {turn + 180} deg"
        )


@dataclass(frozen=True)
class Seen:
    """One reading as it entered the answer. ``spine_lb`` is pounds (26 in span, 2 lb)."""

    reading: BenchReading
    spine_lb: float
    error_lb: float
    """Of this reading by itself, what it shares with others left out."""
    factor: float
    """Of the jig, as used."""


@dataclass(frozen=True)
class Spine:
    """What the bench says about a shaft's stiffness.

    ``bending_stiffness`` is E·I in N m²; ``low`` and ``high`` are pounds of
    spine (26 in span, 2 lb), one standard error to either side; ``reasons``
    says in words where the error comes from, the largest first; ``said`` are
    sentences the person should read beside the number.
    """

    bending_stiffness: float
    relative_error: float
    spine_26in_2lb_lb: float
    low: float
    high: float
    deflection_28in_1_94lb_in: float
    deflection_low_in: float
    deflection_high_in: float
    reasons: tuple[str, ...]
    sides: Sides = field(default_factory=lambda: Sides(False, "", 1))
    said: tuple[str, ...] = ()
    seen: tuple[Seen, ...] = ()
    scatter: float = 1.0
    swing: tuple[float, float, float] = (0.0, 0.0, 0.0)
    """Compliance over its mean: cosine and sine of twice the turn, and end for end."""

    def spine_text(self) -> str:
        """Pounds with their error, span and load: "45 lb ± 1.5 lb (26 in span, 2 lb)"."""
        error = 0.5 * (self.high - self.low)
        return f"{self.spine_26in_2lb_lb:.1f} lb ± {error:.1f} lb (26 in span, 2 lb)"

    def deflection_text(self) -> str:
        """Deflection with its error, span and load: "0.700 in ± 0.020 in (28 in span, 1.94 lb)"."""
        error = 0.5 * (self.deflection_high_in - self.deflection_low_in)
        return f"{self.deflection_28in_1_94lb_in:.3f} in ± {error:.3f} in (28 in span, 1.94 lb)"


def shaft_spine(shaft: Shaft, jigs: Iterable[Jig] = ()) -> Spine | None:
    """The spine of a shaft from all its bench readings and taps, or None when there are none.

    Parameters
    ----------
    shaft : Shaft
        The shaft with its readings. [trade units]
    jigs : iterable of Jig
        Those of the workshop; readings that name one are judged by it. [trade units]

    Returns
    -------
    spine : Spine or None
        Stiffness with its error, in both standards. [N m², lb, in]

    Holds
    -----
    What ``readings_spine`` and ``tap.with_taps`` hold.
    """
    spine = None
    if shaft.bench_readings:
        rigs = [rig_of(one) for one in jigs]
        spine = readings_spine(shaft.bench_readings, rigs=rigs, shaft=shaft)
    if not shaft.taps:
        return spine
    from loosewell.workshop.tap import with_taps

    return with_taps(spine, shaft)


def readings_spine(
    readings: Sequence[BenchReading],
    *,
    load_error: float = USUAL_LOAD_ERROR,
    span_error_in: float = USUAL_SPAN_ERROR_IN,
    rigs: Sequence[Rig] = (),
    shaft: Shaft | None = None,
) -> Spine:
    """The spine that follows from all readings of one shaft, on one jig or several.

    Parameters
    ----------
    readings : sequence of BenchReading
        At least one. [trade units]
    load_error : float
        Relative standard error of the load where no jig says another. [1]
    span_error_in : float
        Standard error of the span where no jig says another. [in]
    rigs : sequence of Rig
        The jigs that readings may name. [trade units]
    shaft : Shaft or None
        For its diameters, its make and its mass. [trade units]

    Returns
    -------
    spine : Spine
        Stiffness with its error, in both standards. [N m², lb, in]

    Holds
    -----
    Deflection up to a tenth of the span. The ruler's error is each reading's own and averages
    away; load and span belong to a jig at that load and that span, are shared by its readings
    and do not. Readings that differ by more than their errors widen the error. The standards'
    plain formula is kept at the standards' own span and load, and every other reading is
    brought to what would be read there: slope beyond the standard's by the elastica, shear by
    the span, each with half or a third of its size as error. What the standard's formula itself
    leaves out of E·I is part of the error.

    Source
    ------
    Usual errors of ruler, load and span: common practice, no source. docs/bench/jig.md.
    """
    import numpy as np

    from loosewell.physics import jig as physics
    from loosewell.physics import spine as beam

    home = Rig(load_error=load_error, span_error_in=span_error_in)
    known = {_plain(one.name): one for one in rigs}
    used = [_rig(one, known, home) for one in readings]
    notes = _Notes(readings, used, known)
    make = Make.of(shaft)
    each = [_reading(one, rig, make) for one, rig in zip(readings, used, strict=True)]
    stiffness = np.array([one[0] for one in each])
    left_out = np.array([one[1] for one in each])
    own = np.array(
        [_reading_error_in(o, r) / o.deflection_in for o, r in zip(readings, used, strict=True)]
    )
    rows, kinds = _shared(readings, used)
    rotation = np.array(
        [np.nan if o.rotation_deg is None else math.radians(o.rotation_deg) for o in readings]
    )
    ends = np.array([0.0 if o.turned is None else (0.5 if o.turned else -0.5) for o in readings])
    found, spread, weight, scatter = physics.compliance_round(
        rotation, stiffness, own, rows, ends, SIDES_UNLIKE
    )
    level = float(found[0])
    middle = 1.0 / level
    pull = weight[0] / level
    widened = np.where(np.all(rows != 0.0, axis=1), 1.0, max(1.0, scatter))
    shared = (rows @ pull) * widened
    own_part = math.sqrt(float(spread[0, 0])) / level
    step = float(found[3]) / level
    end_part = 0.5 * math.sqrt(max(step**2 - float(spread[3, 3]) / level**2, 0.0))
    parts = [(own_part, _ruler(readings, used, scatter))]
    for kind in ("load", "span", "check"):
        size = math.sqrt(sum(float(shared[i]) ** 2 for i, k in enumerate(kinds) if k == kind))
        if size > 0.0:
            parts.append((size, notes.words[kind]))
    if end_part > 0.0:
        parts.append((end_part, "lying end for end: it read differently at the other supports"))
    parts.append(
        (
            float(np.abs(pull) @ left_out),
            "what the plain formula leaves out: slope, round supports, shear",
        )
    )
    error = math.sqrt(sum(size**2 for size, _ in parts))
    pounds, later = (
        float(beam.spine_pounds_from_stiffness(middle)),
        float(beam.later_deflection_from_stiffness(middle)) / units.INCH,
    )
    wood, long = _by_taper(shaft, readings)
    pounds, later = pounds * wood, later / long
    told = physics.turns_told(rotation)
    sides = _sides(found, spread, told, pounds, error, own_part, rotation)
    return Spine(
        bending_stiffness=middle,
        relative_error=error,
        spine_26in_2lb_lb=pounds,
        low=pounds * (1.0 - error),
        high=pounds * (1.0 + error),
        deflection_28in_1_94lb_in=later,
        deflection_low_in=later * (1.0 - error),
        deflection_high_in=later * (1.0 + error),
        reasons=tuple(
            f"± {share * pounds:.1f} lb from {what}" for share, what in sorted(parts, reverse=True)
        ),
        sides=sides,
        said=(*_said(readings, shaft, step, end_part, wood), *notes.said),
        seen=tuple(
            Seen(o, k * pounds / middle, e * k * pounds / middle, one[2])
            for o, k, e, one in zip(readings, stiffness, own, each, strict=True)
        ),
        scatter=scatter,
        swing=(float(found[1]) / level, float(found[2]) / level, step),
    )


def shaft_sides(shaft: Shaft, jigs: Iterable[Jig] = ()) -> Sides | None:
    """Stiff and weak side as the bench tells them; None without readings.

    Parameters
    ----------
    shaft : Shaft
        The shaft with its readings. [trade units]
    jigs : iterable of Jig
        Those of the workshop. [trade units]

    Returns
    -------
    sides : Sides or None
        The one place where a stiff side is decided: commands, sets and the engine take it here.
    """
    spine = shaft_spine(shaft, jigs)
    return None if spine is None else spine.sides


@dataclass(frozen=True)
class Make:
    """What of a shaft the corrections need."""

    diameter_in: float
    inner_in: float
    ratio: float
    metal: bool
    assumed: bool

    @staticmethod
    def of(shaft: Shaft | None) -> Make:
        """What is known of a shaft, the usual 11/32 in of wood where nothing is."""
        from loosewell.physics import jig as physics

        told = shaft is not None and bool(shaft.stations)
        diameter = USUAL_DIAMETER_IN
        if shaft is not None and told:
            diameter = sum(one.mean_in() for one in shaft.stations) / len(shaft.stations)
        inner = 0.0
        if shaft is not None and shaft.wall_in is not None:
            inner = max(diameter - 2.0 * shaft.wall_in, 0.0)
        stuff = "" if shaft is None or shaft.material is None else shaft.material.casefold()
        metal = any(word in stuff for word in ("alumin", "steel", "brass", "titan"))
        ratio = physics.METAL_MODULUS_RATIO if metal else physics.WOOD_MODULUS_RATIO
        return Make(diameter, inner, ratio, metal, not told)

    def shear(self, span_in: float) -> float:
        """Deflection from shear over that from bending. [1]"""
        from loosewell.physics import jig as physics

        return physics.shear_share(span_in, self.diameter_in, self.inner_in, self.ratio)

    def modulus(self, one: BenchReading) -> float:
        """Young's modulus that one reading would mean. [Pa]"""
        from loosewell.physics import shaft, spine

        stiffness = spine.bending_stiffness_from_deflection(
            one.load_lb * units.POUND_FORCE,
            one.span_in * units.INCH,
            one.deflection_in * units.INCH,
        )
        second = shaft.second_moment_tube(self.diameter_in * units.INCH, self.inner_in * units.INCH)
        return stiffness / second


def _reading(one: BenchReading, rig: Rig, make: Make) -> tuple[float, float, float]:
    """E·I as the standard would read it, what the corrections leave unsure, the jig's factor."""
    from loosewell.physics import jig as physics
    from loosewell.physics import spine as beam

    stiffness = beam.bending_stiffness_from_deflection(
        one.load_lb * units.POUND_FORCE, one.span_in * units.INCH, one.deflection_in * units.INCH
    )
    factor = rig.best_factor()[0] if _checked(one, rig) else 1.0
    stiffness *= factor
    beyond, unsure = _beyond(one, stiffness, make)
    rolls = physics.support_share(one.span_in, one.deflection_in, SUPPORT_RADIUS_IN)
    return stiffness * beyond, math.hypot(unsure, 0.5 * rolls), factor


def _beyond(one: BenchReading, stiffness: float, make: Make) -> tuple[float, float]:
    """Corrections for slope and shear beyond the standard, and what the standard leaves out.

    Both standards use the plain formula by definition, so a reading at either's own span and load
    is taken as it is.
    """
    from loosewell.physics import jig as physics
    from loosewell.physics import spine as beam

    share = float(beam.wood_deflection_from_stiffness(stiffness)) / beam.WOOD_SPAN
    there = physics.bending_correction(min(share, 0.1))
    sheared = make.shear(26.0)
    left_out = math.hypot(there - 1.0, sheared)
    if abs(one.span_in - 28.0) <= HAIR_IN and abs(one.load_lb / 1.94 - 1.0) <= 0.005:
        return 1.0, left_out
    slope = physics.bending_correction(one.deflection_in / one.span_in) / there
    shear = (1.0 + make.shear(one.span_in)) / (1.0 + sheared)
    here = 0.0 if make.metal else MODULUS_RATIO_ERROR * make.shear(one.span_in)
    return slope * shear, math.sqrt((0.5 * math.log(slope)) ** 2 + here**2 + left_out**2)


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()


def _rig(one: BenchReading, known: dict[str, Rig], home: Rig) -> Rig:
    if one.jig is None:
        return home
    if _plain(one.jig) in known:
        return known[_plain(one.jig)]
    return Rig(one.jig, load_error=home.load_error, span_error_in=home.span_error_in)


def _checked(one: BenchReading, rig: Rig) -> bool:
    """Whether the jig's check speaks for this reading: read on the day of the check or later."""
    if rig.factor is None:
        return False
    return rig.checked_on is None or (one.on is not None and one.on >= rig.checked_on)


def _same_set_up(one: BenchReading, rig: Rig) -> bool:
    span = rig.span_in is None or abs(rig.span_in - one.span_in) <= HAIR_IN
    return span and (rig.load_lb is None or abs(rig.load_lb / one.load_lb - 1.0) <= 0.002)


def _shared(readings: Sequence[BenchReading], used: Sequence[Rig]) -> tuple[Any, list[str]]:
    """What readings share, a row for each thing that errs, and what kind of thing it is."""
    import numpy as np

    rows: dict[tuple[str, str, float], Any] = {}

    def share(kind: str, rig: Rig, what: float, i: int, error: float) -> None:
        row = rows.setdefault((kind, _plain(rig.name), what), np.zeros(len(readings)))
        row[i] = error

    for i, (one, rig) in enumerate(zip(readings, used, strict=True)):
        if _checked(one, rig):
            share("check", rig, 0.0, i, rig.best_factor()[1])
            if _same_set_up(one, rig):
                continue
        elif rig.factor is not None and one.on is None:
            share("check", rig, 1.0, i, abs(math.log(rig.factor)))
        share("load", rig, one.load_lb, i, rig.load_error)
        share("span", rig, one.span_in, i, 3.0 * rig.span_error_in / one.span_in)
    kept = {key: row for key, row in rows.items() if np.any(row > 0.0)}
    if not kept:
        return np.zeros((1, len(readings))), ["load"]
    return np.array(list(kept.values())), [kind for kind, _, _ in kept]


class _Notes:
    """Words about the jigs that were used, and about the errors they bring."""

    def __init__(
        self, readings: Sequence[BenchReading], used: Sequence[Rig], known: dict[str, Rig]
    ) -> None:
        names = {one.name for one in used}
        # With one jig its own figures stand in the reason; with several, only what it is.
        spans = {f"{one.span_error_in:g}" for one in used}
        self.words = {
            "load": "the load hung from the shaft",
            "span": f"the span, known to {spans.pop()} in" if len(spans) == 1 else "the spans",
            "check": _check_words([one for one in used if one.factor is not None]),
        }
        said: list[str] = []
        for name in sorted(names - {""}):
            rig = known.get(_plain(name))
            on_it = [o for o, r in zip(readings, used, strict=True) if r.name == name]
            if rig is None:
                said.append(
                    f"The jig {name} is not on record here: its span and load were given the usual "
                    f'errors. Add it with: loosewell jig add "{name}"'
                )
            elif rig.factor is not None:
                said += _check_said(rig, on_it)
        if len(names) > 1:
            said.append(
                f"Read on {len(names)} jigs: what one jig has wrong in span and load is averaged "
                "with the others', and shows when they disagree."
            )
        self.said = tuple(said)


def _check_words(checked: Sequence[Rig]) -> str:
    each = sorted({f"{one.name}: {one.best_factor()[0]:.3f}" for one in checked})
    return f"the check of the jig against a known rod (factor of {'; '.join(each)})"


def _check_said(rig: Rig, on_it: Sequence[BenchReading]) -> list[str]:
    factor, error = rig.best_factor()
    when = "" if rig.checked_on is None else f" of {rig.checked_on.isoformat()}"
    rod = f" with {rig.checked_with}" if rig.checked_with else ""
    after = [o for o in on_it if _checked(o, rig)]
    undated = [o for o in on_it if not _checked(o, rig) and o.on is None]
    before = len(on_it) - len(after) - len(undated)
    said = []
    if after:
        said.append(
            f"Jig {rig.name}: {_counted(len(after))} multiplied by {factor:.3f} ± {error:.3f}, "
            f"from the check{when}{rod}."
        )
        if not all(_same_set_up(o, rig) for o in after):
            said.append(
                f"Jig {rig.name} was checked at another span or load than some of these readings "
                "have, so the errors of span and load stay in."
            )
    if undated:
        said.append(
            f"Jig {rig.name}: {_counted(len(undated))} without a day, so it is not known whether "
            f"before or after the check{when}. Left as read, and the error widened by the "
            f"{100.0 * abs(math.log(rig.factor or 1.0)):.1f} % the check found."
        )
    if before:
        said.append(
            f"Jig {rig.name}: {_counted(before)} from before the check{when}, left as read. Read "
            "again to have the check count."
        )
    return said


def _counted(number: int) -> str:
    return "1 reading" if number == 1 else f"{number} readings"


def _by_taper(shaft: Shaft | None, readings: Sequence[BenchReading]) -> tuple[float, float]:
    """E·I that 26 in and 28 in would read over what the spans used read, by the diameters."""
    if shaft is None or shaft.length_in is None or len(shaft.stations) < 2:
        return 1.0, 1.0
    wide = [one.mean_in() for one in shaft.stations]
    if max(wide) - min(wide) < 0.002:
        return 1.0, 1.0
    import numpy as np

    from loosewell.physics import shaft as physics
    from loosewell.physics import spine as beam

    at = np.array([one.station_in for one in shaft.stations]) * units.INCH
    outer = np.array(wide) * units.INCH
    wall = 0.0 if shaft.wall_in is None else shaft.wall_in * units.INCH
    inner = np.maximum(outer - 2.0 * wall, 0.0) if wall > 0.0 else np.zeros_like(outer)
    second = physics.second_moment_tube(outer, inner)
    middle = 0.5 * shaft.length_in * units.INCH

    def told(span_in: float) -> float:
        span = min(span_in, 0.96 * shaft.length_in) * units.INCH  # type: ignore[operator]
        sinks = beam.midspan_deflection_varying(1.0, span, at, second, middle - 0.5 * span)
        return float(beam.bending_stiffness_from_deflection(1.0, span, sinks))

    read = math.exp(sum(math.log(told(one.span_in)) for one in readings) / len(readings))
    return told(26.0) / read, told(28.0) / read


def _sides(
    found: Any,
    spread: Any,
    ways: int,
    pounds: float,
    error: float,
    own: float,
    rotation: Any,
) -> Sides:
    """Stiff and weak side in words and pounds, or why they cannot be told."""
    import numpy as np

    from loosewell.physics import jig as physics

    if ways == 1:
        words = "Cannot be told: read one way round only."
        if not np.any(np.isfinite(rotation)):
            words = "Cannot be told: no rotation was noted with the readings."
        return Sides(
            False,
            f"{words} Mark a line on the shaft and read it with the line up, then turned by "
            "45, 90 and 135 deg.",
            1,
        )
    level, p, q = (float(one) for one in found[:3])
    if ways == 2:
        return _two_faces(rotation, found, spread)
    value, off = physics.stiff_and_weak(found, spread)
    raw = math.hypot(p, q) / level
    noise = math.sqrt(0.5 * float(np.trace(spread[1:3, 1:3]))) / level
    if value[3] <= physics.TOLD:
        most = 200.0 * (raw + 1.645 * noise)
        return Sides(
            False,
            f"Cannot be told: the difference between its sides, about {200.0 * raw:.1f} %, is "
            f"within the reading error. They differ by {most:.0f} % at most (19 to 1).",
            3,
            at_most_percent=most,
        )
    mean = 1.0 / level
    rig = math.sqrt(max(error**2 - own**2, 0.0))
    stiff, weak = pounds * value[0] / mean, pounds * value[1] / mean
    known = rotation[np.isfinite(rotation)]
    turn_error = math.hypot(
        math.degrees(off[2]), TURN_ERROR_DEG / math.sqrt(max(np.unique(known).size, 1))
    )
    differ = 100.0 * (value[0] / value[1] - 1.0)
    differ_error = 200.0 * noise
    turn = math.degrees(value[2])
    sides = Sides(
        True,
        "",
        3,
        float(stiff),
        float(stiff * math.hypot(off[0], rig)),
        float(weak),
        float(weak * math.hypot(off[1], rig)),
        float(turn),
        float(turn_error),
        float(differ),
        None,
        float(value[1] / value[0]),
        float(value[0] / mean),
    )
    shown = round(turn) % 180
    words = (
        f"The stiff side lies {shown} deg ± {max(turn_error, 1.0):.0f} deg round from the mark "
        f"(and again at {shown + 180} deg); the stiff way is {differ:.0f} % ± {differ_error:.0f} % "
        "stiffer than the weak way."
    )
    return _with_words(sides, words)


def _with_words(sides: Sides, words: str) -> Sides:
    from dataclasses import replace

    return replace(sides, words=words)


def _two_faces(rotation: Any, found: Any, spread: Any) -> Sides:
    """Only two ways round were read: which face is stiffer, but not where the stiff side lies."""
    import numpy as np

    known = np.unique(np.round(np.degrees(rotation[np.isfinite(rotation)]) % 180.0, 1))
    first, second = float(known[0]), float(known[-1])
    lean = np.array(
        [
            0.0,
            math.cos(math.radians(2.0 * second)) - math.cos(math.radians(2.0 * first)),
            math.sin(math.radians(2.0 * second)) - math.sin(math.radians(2.0 * first)),
            0.0,
        ]
    )
    apart = float(lean @ found) / float(found[0])
    error = math.sqrt(float(lean @ spread @ lean)) / float(found[0])
    stiffer, weaker = (first, second) if apart > 0.0 else (second, first)
    if abs(apart) <= 2.0 * error:
        words = (
            f"Cannot be told: the two ways round that were read ({first:g} deg and {second:g} deg) "
            "differ within the reading error, and the stiff side may lie between them."
        )
    else:
        words = (
            f"At {stiffer:g} deg it is {100.0 * abs(apart):.0f} % ± {100.0 * error:.0f} % stiffer "
            f"than at {weaker:g} deg, but the stiff side may lie between: two ways round cannot "
            "tell."
        )
    third = (first + 45.0) % 180.0
    return Sides(False, f"{words} Read it at {third:g} deg as well.", 2)


def _said(
    readings: Sequence[BenchReading],
    shaft: Shaft | None,
    step: float,
    end_part: float,
    wood: float,
) -> list[str]:
    """What the number does not say by itself."""
    from loosewell.physics import jig as physics

    said = []
    spans = [one.span_in for one in readings]
    make = Make.of(shaft)
    short = min(spans)
    if short < 20.0:
        size = 100.0 * make.shear(short)
        whose = f"{make.diameter_in:.3g} in thick"
        if make.assumed:
            whose = "taken as 11/32 in thick, not measured"
        said.append(
            f"Over {short:g} in, shear is {size:.1f} % of the bending (26 in: "
            f"{100.0 * make.shear(26.0):.1f} %); taken off, for a shaft {whose}, and a third of it "
            "left in the error."
        )
    if abs(wood - 1.0) > 0.002:
        more = "more" if wood > 1.0 else "less"
        said.append(
            f"By its diameters a 26 in span would read {100.0 * abs(wood - 1.0):.1f} % {more} than "
            "the spans used; both figures are given as the standards would read them."
        )
    elif shaft is not None and len(shaft.stations) < 2 and abs(min(spans) - 26.0) > 2.0:
        said.append(
            "Its taper was not measured. A shorter span looks at the middle only: a shaft thinner "
            "at its ends would read weaker over 26 in than this says."
        )
    deepest = max(one.deflection_in / one.span_in for one in readings)
    if deepest > 0.05:
        said.append(
            f"It sank by {100.0 * deepest:.0f} % of the span. Beyond 5 % the plain formula drifts "
            f"({100.0 * (physics.bending_correction(deepest) - 1.0):.1f} % here); corrected, and "
            "half of it left in the error. A lighter load needs no correction."
        )
    turned = {one.turned for one in readings}
    if end_part > 0.0 and abs(step) > 2.0 * end_part / math.sqrt(2.0):
        said.append(
            f"Lying end for end it read {100.0 * abs(step):.1f} % differently. A shaft whose "
            "middle lies over the middle of the span reads the same either way: check where it "
            "lies, and that the load hangs half-way."
        )
    elif {True, False} <= turned:
        said.append("Lying end for end it reads the same, as it should.")
    if shaft is not None and shaft.weight_gr is not None and shaft.length_in is not None:
        weight = shaft.weight_gr * units.GRAIN * units.GRAVITY
        one = readings[0]
        sag = physics.own_weight_share(
            weight,
            shaft.length_in * units.INCH,
            min(one.span_in, shaft.length_in) * units.INCH,
            one.load_lb * units.POUND_FORCE,
        )
        if abs(sag) > 0.002:
            said.append(
                f"Its own weight, {shaft.weight_gr:.0f} gr, bends it too, less what hangs over the "
                "supports. Read before and after the load is hung, both cancel; read from a "
                f"straight line instead, it would seem {100.0 * abs(sag):.1f} % too "
                f"{'weak' if sag > 0 else 'stiff'}."
            )
    return said


def _reading_error_in(reading: BenchReading, rig: Rig) -> float:
    for error in (reading.deflection_error_in, rig.deflection_error_in):
        if error is not None:
            return error
    return USUAL_DEFLECTION_ERROR_IN


def _ruler(readings: Sequence[BenchReading], used: Sequence[Rig], scatter: float) -> str:
    assumed = any(
        one.deflection_error_in is None and rig.deflection_error_in is None
        for one, rig in zip(readings, used, strict=True)
    )
    words = "reading the deflection"
    if assumed:
        words += " (assumed: a fine ruler, 1/64 in)"
    if len(readings) > 1:
        words += f", {len(readings)} readings"
    if scatter > 1.0:
        words += " that differ by more than their errors"
    return words
