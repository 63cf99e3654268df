"""The jig itself: what hangs from it, what looks like a slip, and its check against a known rod."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from loosewell import units
from loosewell.errors import BoundRefusal, MissingRefusal
from loosewell.records.shaft import BenchReading, Shaft
from loosewell.workshop.bench import Make, Rig, rig_of

if TYPE_CHECKING:
    from loosewell.records.jig import Jig


@dataclass(frozen=True)
class Hung:
    """What hangs at the middle, from water and its jug."""

    load_lb: float
    error_percent: float
    words: str


def hung_water(
    water_l: float,
    jug_lb: float | None,
    temperature_f: float = 68.0,
    water_error: float | None = None,
    jug_error_lb: float | None = None,
) -> Hung:
    """The load that a measured volume of water makes, its jug included.

    Parameters
    ----------
    water_l : float
        Volume. [litre]
    jug_lb : float or None
        The empty jug with its string. [lb]
    temperature_f : float
        Of the water. [degF]
    water_error : float or None
        Relative error of the volume; None is a kitchen measure, 1 %. [1]
    jug_error_lb : float or None
        Of the jug; None is a kitchen scale, 2 g. [lb]

    Returns
    -------
    hung : Hung
        Load with its error. [lb, %]

    Raises
    ------
    MissingRefusal
        Without the jug.

    Source
    ------
    Density of water: physics.jig.water_density. Errors: common practice, no source.
    """
    from loosewell.physics import jig as physics

    if jug_lb is None:
        raise MissingRefusal(
            "Water was given without its jug, and the jug hangs from the shaft too. Weigh the "
            'empty jug with its string and give it: --jug "45 g". A bag of next to no weight is '
            '--jug "5 g".',
            code="missing-jug",
        )
    if not 0.03 <= water_l <= 12.0:
        raise BoundRefusal(
            f"{water_l:.4g} L of water is outside 0.03 to 12 L. For 2 lb hang about 0.907 L, the "
            "jug included; check litres against millilitres.",
            code="bound-water",
        )
    jug_g = jug_lb * units.POUND * 1000.0
    if not 3.0 <= jug_g <= 3000.0:
        raise BoundRefusal(
            f"A jug of {jug_g:.3g} g ({jug_g / 1000.0 / units.GRAIN:.4g} gr) is outside 3 to "
            "3000 g. Weigh the empty jug with its string; grains (gr) are not grams (g).",
            code="bound-jug",
        )
    if not 32.0 <= temperature_f <= 140.0:
        raise BoundRefusal(
            f"Water at {temperature_f:g} degF is outside 32 to 140 degF. Give the temperature of "
            "the water, or leave it out.",
            code="bound-water-temperature",
        )
    kelvin = (temperature_f + 459.67) * 5.0 / 9.0
    water_lb = physics.water_weight(water_l * 1e-3, kelvin) / units.POUND
    off_water = (0.01 if water_error is None else water_error) * water_lb
    off_jug = 0.002 / units.POUND if jug_error_lb is None else jug_error_lb
    load = water_lb + jug_lb
    percent = 100.0 * math.hypot(off_water, off_jug) / load
    metric = load * units.POUND
    words = (
        f"{water_l:.4g} L of water at {temperature_f:.0f} degF weighs {water_lb:.3f} lb, the jug "
        f"{jug_lb:.3f} lb: {load:.3f} lb ± {percent:.1f} % hangs ({metric:.3f} kg)."
    )
    return Hung(load, percent, words)


def unlikely(readings: Sequence[BenchReading], shaft: Shaft | None = None) -> tuple[str, ...]:
    """What looks like a mixed-up unit, as sentences that ask; a reading is not refused for it.

    Parameters
    ----------
    readings : sequence of BenchReading
        As typed. [trade units]
    shaft : Shaft or None
        For its diameters and make. [trade units]

    Returns
    -------
    asked : tuple of str
        One sentence a doubt.

    Source
    ------
    Plausible moduli: Wood Handbook woods 5 to 20 GPa, metals to 210 GPa (from memory).
    """
    asked: list[str] = []
    make = Make.of(shaft)
    wood = shaft is not None and shaft.kind in ("solid", "shoot", "cane") and not make.metal
    for one in readings:
        if abs(one.load_lb / 0.907 - 1.0) < 0.03 or abs(one.load_lb / 0.88 - 1.0) < 0.005:
            asked.append(
                f"A load of {one.load_lb:g} lb is {one.load_lb * units.POUND:.3g} kg. The "
                "standards' 2 lb and 1.94 lb are 0.907 kg and 0.880 kg: were kilograms (or litres "
                "of water) typed as pounds?"
            )
        if make.assumed or shaft is None:
            continue
        pascal = make.modulus(one)
        low, high = (3e9, 26e9) if wood else (2e9, 260e9)
        if low <= pascal <= high:
            continue
        tries = (
            (units.POUND, "pounds typed as kilograms"),
            (1.0 / units.POUND, "kilograms typed as pounds"),
            (25.4, "inches of deflection typed as millimetres"),
            (1.0 / 25.4, "millimetres of deflection typed as inches"),
        )
        fits = [words for factor, words in tries if 5e9 <= pascal * factor <= 20e9] if wood else []
        guess = f" It looks like {' or '.join(fits)}." if fits else ""
        asked.append(
            f"{one.deflection_in:.3g} in over {one.span_in:g} in under {one.load_lb:g} lb makes a "
            f"shaft of {make.diameter_in:.3g} in as stiff as no {'wood' if wood else 'shaft'} is "
            f"({pascal / 1e9:.2g} GPa; {low / 1e9:g} to {high / 1e9:g} GPa is usual).{guess} Check "
            "span, load, deflection and diameter."
        )
    return tuple(dict.fromkeys(asked))


Rod = Literal["steel", "aluminium"]


@dataclass(frozen=True)
class RodStuff:
    """What a rod is made of: Young's modulus with its spread. [Pa], [1]"""

    modulus: float
    spread: float
    source: str


RODS: dict[Rod, RodStuff] = {
    "steel": RodStuff(
        203e9,
        0.02,
        "steel: 29 to 30 million psi, 200 to 207 GPa, for plain and tool steels; stainless is "
        "193 to 200 GPa (from memory)",
    ),
    "aluminium": RodStuff(
        69.5e9,
        0.02,
        "aluminium alloys: 9.9 to 10.3 million psi, 68.3 (6061) to 71.0 GPa (7075), after "
        "MIL-HDBK-5J (from memory)",
    ),
}
USUAL_DIAMETER_ERROR_IN = 0.001
"""Of a rod measured with a good caliper at three places. [in] Common practice, no source."""
FARTHEST_FACTOR = 2.0
"""A jig further out than this, either way, has a wrong span, load or unit."""


@dataclass(frozen=True)
class JigCheck:
    """What a rod of known stiffness says about a jig.

    ``factor`` is true stiffness over what the jig read: readings are multiplied by it. Pounds
    are of spine (26 in span, 2 lb).
    """

    jig: str
    rod: str
    factor: float
    factor_error_percent: float
    true_lb: float
    seen_lb: float
    off: bool
    rig_error_percent: float
    reasons: tuple[str, ...]
    likely: tuple[str, ...]
    used_factor: float
    used_error_percent: float

    def verdict(self) -> str:
        """In one sentence, whether the jig is off."""
        apart = 100.0 * abs(self.seen_lb / self.true_lb - 1.0)
        way = "stiff" if self.seen_lb > self.true_lb else "weak"
        both = math.hypot(self.factor_error_percent, self.rig_error_percent)
        if not self.off:
            return (
                f"The jig reads {apart:.1f} % too {way}, which its own errors and the rod's "
                f"({both:.1f} % together) allow: no fault is shown."
            )
        return (
            f"The jig reads {apart:.1f} % too {way}, more than twice what its own errors and the "
            f"rod's ({both:.1f} % together) allow: something is off."
        )


def check_jig(
    jig: Jig,
    rod: Rod,
    diameter_in: float,
    readings: Sequence[BenchReading],
    diameter_error_in: float | None = None,
    wall_in: float | None = None,
) -> JigCheck:
    """A jig held against a rod of known stiffness.

    Parameters
    ----------
    jig : Jig
        As recorded. [trade units]
    rod : {"steel", "aluminium"}
        What it is made of. [name]
    diameter_in : float
        Of the rod. [in]
    readings : sequence of BenchReading
        Of the rod, on this jig. [trade units]
    diameter_error_in : float or None
        Its standard error; None is a good caliper's 0.001 in. [in]
    wall_in : float or None
        Wall of a tube; None is a solid rod. [in]

    Returns
    -------
    check : JigCheck
        Factor with its error, and what is likely wrong.

    Raises
    ------
    BoundRefusal
        For a rod that cannot be, or a jig out by more than twice.

    Holds
    -----
    Straight round rod of one thickness. The diameter counts four times.

    Source
    ------
    RODS for the moduli; E·I = E π D⁴ / 64.
    """
    from loosewell.physics import shaft as section
    from loosewell.workshop.bench import readings_spine

    error_in = USUAL_DIAMETER_ERROR_IN if diameter_error_in is None else diameter_error_in
    _rod_can_be(diameter_in, error_in, wall_in)
    stuff = RODS[rod]
    inner_in = 0.0 if wall_in is None else diameter_in - 2.0 * wall_in
    second = section.second_moment_tube(diameter_in * units.INCH, inner_in * units.INCH)
    true = stuff.modulus * second
    # A wall's own error is as large as the diameter's; the bore follows the outside.
    thick = 4.0 * error_in * diameter_in**3 / (diameter_in**4 - inner_in**4)
    if wall_in is not None:
        thick = math.hypot(thick, 8.0 * error_in * inner_in**3 / (diameter_in**4 - inner_in**4))
    known = Shaft(
        name="rod",
        kind="solid" if wall_in is None else "tube",
        material=rod,
        stations=({"station_in": 1.0, "diameter_in": diameter_in},),
        wall_in=wall_in,
    )
    rig = rig_of(jig)
    # The factor stands for span and load too, so here they count as exact; of the jig only what
    # it is read with is kept.
    bare = Rig(
        jig.name, load_error=0.0, span_error_in=0.0, deflection_error_in=rig.deflection_error_in
    )
    named = [one.model_copy(update={"jig": jig.name}) for one in readings]
    read = readings_spine(named, rigs=(bare,), shaft=known)
    factor = true / read.bending_stiffness
    parts = [
        (stuff.spread, f"the modulus of the {rod} ({stuff.source})"),
        (thick, f"the rod's diameter, known to {error_in:g} in and counting four times"),
        (read.relative_error, "reading the deflection"),
    ]
    error = math.sqrt(sum(size**2 for size, _ in parts))
    own = rig.own_error()
    off = abs(math.log(factor)) > 2.0 * math.hypot(error, own)
    likely = _likely(factor, readings, rod) if off else ()
    name = f"{diameter_in:.4g} in {rod} {'rod' if wall_in is None else 'tube'}"
    if not 1.0 / FARTHEST_FACTOR <= factor <= FARTHEST_FACTOR:
        raise BoundRefusal(
            f"A {name} should read {_pounds(true):.0f} lb (26 in span, 2 lb), and the jig read "
            f"{_pounds(read.bending_stiffness):.0f} lb: {max(factor, 1.0 / factor):.2g} times out, "
            f"too far for a factor. {' '.join(likely)} Put that right and check again; nothing "
            "was stored.",
            code="bound-jig-factor",
        )
    used, used_error = Rig(
        span_in=rig.span_in,
        span_error_in=rig.span_error_in,
        load_error=rig.load_error,
        factor=factor,
        factor_error=error,
    ).best_factor()
    return JigCheck(
        jig.name,
        name,
        factor,
        100.0 * error,
        _pounds(true),
        read.spine_26in_2lb_lb,
        off,
        100.0 * own,
        tuple(f"± {100.0 * size:.1f} % from {what}" for size, what in sorted(parts, reverse=True)),
        likely,
        used,
        100.0 * used_error,
    )


def _pounds(stiffness: float) -> float:
    from loosewell.physics import spine as beam

    return float(beam.spine_pounds_from_stiffness(stiffness))


def _rod_can_be(diameter_in: float, error_in: float, wall_in: float | None) -> None:
    if not 0.08 <= diameter_in <= 1.0:
        raise BoundRefusal(
            f"A rod of {diameter_in:.4g} in ({25.4 * diameter_in:.3g} mm) is outside 0.08 to 1 in. "
            "Measure its thickness; 1/4 in is 6.35 mm.",
            code="bound-rod-diameter",
        )
    if not 0.0 < error_in <= 0.1 * diameter_in:
        raise BoundRefusal(
            f"An error of {error_in:g} in on a rod of {diameter_in:.4g} in is outside 0 to a tenth "
            "of it. A good caliper gives 0.001 in, a ruler is too coarse for a rod.",
            code="bound-rod-error",
        )
    if wall_in is not None and not 0.003 <= wall_in < 0.5 * diameter_in:
        raise BoundRefusal(
            f"A wall of {wall_in:g} in is outside 0.003 in to half the diameter of "
            f"{diameter_in:.4g} in. Leave it out for a solid rod.",
            code="bound-rod-wall",
        )


def _likely(factor: float, readings: Sequence[BenchReading], rod: Rod) -> tuple[str, ...]:
    """What would make a jig read so wrong, the most telling first."""
    one = readings[0]
    span_in = one.span_in * factor ** (1.0 / 3.0)
    load_lb = one.load_lb * factor
    jug_lb = load_lb - one.load_lb
    found = []
    other = "an aluminium" if rod == "steel" else "a steel"
    swapped = RODS["steel"].modulus / RODS["aluminium"].modulus
    slips = (
        (2.2046, "a load in kilograms taken for pounds"),
        (1.0 / 2.2046, "a load in pounds taken for kilograms"),
        (25.4, "a deflection in millimetres taken for inches"),
        (1.0 / 25.4, "a deflection in inches taken for millimetres"),
        (swapped if rod == "steel" else 1.0 / swapped, f"{other} rod"),
    )
    found += [
        f"It looks like {words}." for ratio, words in slips if abs(math.log(factor / ratio)) < 0.08
    ]
    if 0.02 <= jug_lb <= 1.0 and jug_lb < 0.6 * one.load_lb:
        grams = jug_lb * units.POUND * 1000.0
        found.append(
            f"The load may be {load_lb:.2f} lb, not {one.load_lb:g} lb: a jug, hook or pan of "
            f"{grams:.0f} g that was not counted would do it."
        )
    elif factor < 1.0:
        found.append(
            f"The load may be {load_lb:.2f} lb, not {one.load_lb:g} lb: weigh it again, on "
            "another scale."
        )
    found.append(
        f"The span may be {span_in:.2f} in, not {one.span_in:g} in: measure between the lines "
        "where the rod touches."
    )
    if factor < 1.0:
        found.append(
            "A pointer or a dial that sticks, or a rod that cannot slide on its supports, makes "
            "it sink less too."
        )
    else:
        found.append(
            "Supports or a bench that give under the load, or a pointer not read at the middle, "
            "make it sink more too."
        )
    return tuple(found)
