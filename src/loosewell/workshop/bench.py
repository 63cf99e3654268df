"""Bench readings into one spine with its error, printed in both standards."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from loosewell import units
from loosewell.records.shaft import (
    USUAL_DEFLECTION_ERROR_IN,
    USUAL_LOAD_ERROR,
    USUAL_SPAN_ERROR_IN,
    BenchReading,
    Shaft,
)


@dataclass(frozen=True)
class Spine:
    """What the bench says about a shaft's stiffness.

    ``bending_stiffness`` is E·I in N m²; ``low`` and ``high`` are pounds of
    spine (26 in span, 2 lb), one standard error to either side; ``reasons``
    says in words where the error comes from, the largest first.
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

    def spine_text(self) -> str:
        """Pounds with their error, span and load: "45 lb ± 1.5 lb (26 in span, 2 lb)"."""
        error = 0.5 * (self.high - self.low)
        return f"{self.spine_26in_2lb_lb:.1f} lb ± {error:.1f} lb (26 in span, 2 lb)"

    def deflection_text(self) -> str:
        """Deflection with its error, span and load: "0.700 in ± 0.020 in (28 in span, 1.94 lb)"."""
        error = 0.5 * (self.deflection_high_in - self.deflection_low_in)
        return f"{self.deflection_28in_1_94lb_in:.3f} in ± {error:.3f} in (28 in span, 1.94 lb)"


def shaft_spine(shaft: Shaft) -> Spine | None:
    """The spine of a shaft from all its bench readings, or None when there are none.

    Parameters
    ----------
    shaft : Shaft
        The shaft with its readings. [trade units]

    Returns
    -------
    spine : Spine or None
        Stiffness with its error, in both standards. [N m², lb, in]

    Holds
    -----
    What ``readings_spine`` holds.
    """
    return readings_spine(shaft.bench_readings) if shaft.bench_readings else None


def readings_spine(
    readings: Sequence[BenchReading],
    *,
    load_error: float = USUAL_LOAD_ERROR,
    span_error_in: float = USUAL_SPAN_ERROR_IN,
) -> Spine:
    """The spine that follows from one or more readings of one shaft on one rig.

    Parameters
    ----------
    readings : sequence of BenchReading
        At least one. [trade units]
    load_error : float
        Relative standard error of the load. [1]
    span_error_in : float
        Standard error of the span. [in]

    Returns
    -------
    spine : Spine
        Stiffness with its error, in both standards. [N m², lb, in]

    Holds
    -----
    Deflection up to a tenth of the span. The ruler's error is each reading's
    own; load and span belong to the rig, are shared by all readings and do not
    average away. Readings that differ by more than their errors, as those of a
    shaft stiffer one way round, widen the error. A shaft whose stiffness varies
    along its length is described by the uniform shaft of the same deflection.

    Source
    ------
    Usual errors of ruler, load and span: common practice, no source.
    """
    import numpy as np

    from loosewell.physics import spine as beam

    stiffness = np.array(
        [
            beam.bending_stiffness_from_deflection(
                one.load_lb * units.POUND_FORCE,
                one.span_in * units.INCH,
                one.deflection_in * units.INCH,
            )
            for one in readings
        ]
    )
    own = np.array([_reading_error_in(one) / one.deflection_in for one in readings])
    span = 3.0 * span_error_in * sum(1.0 / one.span_in for one in readings) / len(readings)
    middle, error, scatter = beam.combined_stiffness(stiffness, own, math.hypot(load_error, span))
    parts = [
        (float(math.sqrt(max(error**2 - load_error**2 - span**2, 0.0))), _ruler(readings, scatter)),
        (load_error, "the load hung from the shaft"),
        (span, f"the span, known to {span_error_in:g} in"),
    ]
    pounds = float(beam.spine_pounds_from_stiffness(middle))
    later = float(beam.later_deflection_from_stiffness(middle)) / units.INCH
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
    )


def _reading_error_in(reading: BenchReading) -> float:
    error = reading.deflection_error_in
    return USUAL_DEFLECTION_ERROR_IN if error is None else error


def _ruler(readings: Sequence[BenchReading], scatter: float) -> str:
    assumed = any(one.deflection_error_in is None for one in readings)
    words = "reading the deflection"
    if assumed:
        words += " (assumed: a fine ruler, 1/64 in)"
    if len(readings) > 1:
        words += f", {len(readings)} readings"
    if scatter > 1.0:
        words += " that differ by more than their errors"
    return words
