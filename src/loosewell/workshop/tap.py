"""The rings of a tapped shaft into its stiffness, and a tap beside the bench readings."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.errors import BoundRefusal, FileRefusal, MissingRefusal, Refusal
from loosewell.records.shaft import Shaft, Tap
from loosewell.workshop.bench import SIDES_UNLIKE, Spine

if TYPE_CHECKING:
    from loosewell.workshop.sound import Ring

Array = NDArray[np.float64]
Modes = NDArray[np.int64]

MODES = 10
USUAL_LENGTH_ERROR_IN = 1.0 / 16.0
"""Of a shaft's length by a tape. Common practice, no source."""
USUAL_TAP_WEIGHT_ERROR_GR = 1.5
"""Of a scale that reads tenths of a gram. Common practice, no source."""
DAMPING_METHOD_ERROR = 0.16
"""Relative difference between two ways of reading a damping from the same ring: Merhar 2024,
Polymers 16, 1313 (abstract)."""
RECORDED_FREQUENCY_ERROR = 2e-3
"""Relative error of a frequency kept without its own. Modelling choice."""
SURE = 0.8
"""Share of likelihood below which a reading of the modes is not taken. Modelling choice."""


@dataclass(frozen=True)
class Stuff:
    """What must be assumed of a kind of shaft; relative errors, one standard error."""

    words: str
    shear_ratio: float
    """E over kappa G of the section."""
    shear_error: float
    uneven: float
    """Of the stiffness from one mode alone, growing with the mode: no shaft is even."""
    places: float
    """Between the stiffness that modes feel and the one that a bench reading feels."""
    lively: float
    """Stiffness while ringing over stiffness under a resting load."""
    lively_error: float
    squared_speed: float
    """Young's modulus over density. [m²/s²]"""
    density: float
    """Of the stuff itself. [kg/m³]"""
    spread: float
    """Relative spread of the last two together, for telling modes apart only."""
    sided: bool = True
    """Whether it may be stiffer one way round."""


# The shear ratios: 1/G* from E/G of 16 and kappa of 0.9 for wood (from memory, as the Wood
# Handbook's ratios), 2 (1 + nu) for metals, 2 kappa of 1 for thin tubes; fibre tubes vary widely
# with their layup. Unevenness and places are modelling choices. Lively: docs/bench/tap.md.
WOOD = Stuff("wood", 18.0, 0.3, 0.015, 0.015, 1.04, 0.03, 25e6, 480.0, 0.40)
CANE = Stuff("cane", 22.0, 0.4, 0.030, 0.030, 1.04, 0.03, 25e6, 700.0, 0.50)
SHOOT = Stuff("a grown shoot", 18.0, 0.4, 0.030, 0.030, 1.04, 0.03, 20e6, 650.0, 0.50)
JOINED = Stuff("a joined shaft", 18.0, 0.4, 0.030, 0.030, 1.04, 0.03, 25e6, 550.0, 0.50)
METAL = Stuff("metal", 3.0, 0.1, 0.006, 0.003, 1.0, 0.003, 25.8e6, 2750.0, 0.40, False)
METAL_TUBE = replace(METAL, words="a metal tube", shear_ratio=5.0, spread=0.50)
FIBRE_TUBE = Stuff("a fibre tube", 35.0, 0.6, 0.012, 0.010, 1.01, 0.01, 75e6, 1600.0, 0.60)
UNKNOWN = replace(WOOD, words="such wood", lively_error=0.04, spread=0.7)


@dataclass(frozen=True)
class Read:
    """One ring as it was read: its mode, or 0 and why it was left out."""

    frequency_hz: float
    error_hz: float
    damping_ratio: float | None
    damping_error: float | None
    mode: int
    spine_lb: float | None
    """Of this ring alone, as the bench would read it (26 in span, 2 lb)."""
    side: str
    """"stiff side", "weak side" or ""."""
    note: str


@dataclass(frozen=True)
class Other:
    """Another way to read the modes, with its share of the likelihood."""

    modes: tuple[int, ...]
    spine_lb: float
    share: float


@dataclass(frozen=True)
class Tone:
    """What a tap says about a shaft; ``spine`` is as a bench would read it."""

    spine: Spine
    ringing_spine_lb: float
    """As it rings, before it is lowered to a resting load (26 in span, 2 lb)."""
    own_error: float
    """Relative, what another tap would average away."""
    shared_error: float
    rings: tuple[Read, ...]
    sides_percent: float | None
    """Stiff side over weak side less one, when both were heard."""
    sides_error_percent: float | None
    stiff_lb: float | None
    weak_lb: float | None
    damping_ratio: float | None
    damping_error: float | None
    damping_hz: float | None
    others: tuple[Other, ...]
    assumed: tuple[str, ...]
    said: tuple[str, ...]

    def modes(self) -> tuple[int, ...]:
        """Modes heard, each once, rising."""
        return tuple(sorted({one.mode for one in self.rings if one.mode}))


def stuff_of(shaft: Shaft) -> Stuff:
    """What is assumed of a shaft's material, from its kind and the word for its material.

    Parameters
    ----------
    shaft : Shaft
        Kind and material may be unknown. [trade units]

    Returns
    -------
    stuff : Stuff
        The assumptions. [SI]

    Source
    ------
    Each figure's beside the table.
    """
    told = "" if shaft.material is None else shaft.material.casefold()
    metal = any(word in told for word in ("alumin", "steel", "brass", "titan"))
    tube = shaft.kind == "tube" or shaft.wall_in is not None
    if metal:
        stuff = METAL_TUBE if tube else METAL
        if "steel" in told:
            return replace(stuff, density=7850.0)
        if "brass" in told:
            return replace(stuff, density=8450.0, squared_speed=12.5e6)
        return replace(stuff, density=4500.0) if "titan" in told else stuff
    if shaft.kind == "cane":
        return CANE
    if tube:
        return FIBRE_TUBE
    if shaft.kind == "shoot":
        return SHOOT
    if shaft.kind == "joined" or shaft.joints or shaft.sections:
        return JOINED
    if shaft.kind == "solid" or shaft.material is not None:
        return WOOD
    return UNKNOWN


@dataclass(frozen=True)
class _Model:
    """A shaft of unit level: what its modes would ring at, and how unsure that is."""

    stuff: Stuff
    length: float
    mass: float
    gyration: float
    frequency: Array
    level: float
    own: Array
    shear: Array
    later: float
    """Deflection over 28 in of this shape over that of the even shaft."""


LEVEL = 3.6
"""E·I that the model is built with; only its shape counts. [N m²]"""


def _model(shaft: Shaft, point_gr: float) -> _Model:
    from loosewell.physics import spine as beam
    from loosewell.physics import tone
    from loosewell.workshop.bridge.profile import shaft_profile

    if shaft.length_in is None or shaft.weight_gr is None:
        what = "length" if shaft.length_in is None else "mass"
        raise MissingRefusal(
            f"The {what} of {shaft.name} is not known, and a tone says nothing about stiffness "
            "without length and mass. Measure the bare shaft end to end (--length) and weigh it "
            "(--weight).",
            code=f"tap-without-{what}",
        )
    stuff = stuff_of(shaft)
    length = shaft.length_in * units.INCH
    mass = shaft.weight_gr * units.GRAIN
    # The shape alone: what bench readings and earlier taps say of the level must not come in.
    bare = shaft.model_copy(update={"bench_readings": (), "taps": ()})
    profile = shaft_profile(bare, LEVEL, 0.0)
    radius = float(np.mean(profile.radius))
    inner = 0.0
    if shaft.wall_in is not None:
        inner = max(radius - shaft.wall_in * units.INCH, 0.0)
    elif shaft.kind in ("tube", "cane"):
        inner = 0.7 * radius
    gyration = 0.5 * math.hypot(radius, inner)
    modes = np.arange(1, MODES + 1)
    # Twice as fine, so that ten modes are exact to a thousandth.
    thin = tone.shaft_frequencies(
        np.repeat(profile.bending_stiffness, 2),
        np.repeat(profile.mass_per_length, 2) + tone.air_along(2.0 * radius),
        length,
        0.0,
        point_gr * units.GRAIN,
        MODES,
    )
    factor = tone.thickness_factor(gyration, length, stuff.shear_ratio, modes)
    unsure = math.hypot(stuff.shear_error, 0.1 if shaft.stations else 0.25)
    later = 1.0
    if shaft.stations and length > beam.LATER_SPAN:
        middle = 0.5 * (profile.edge[:-1] + profile.edge[1:])
        varying = beam.midspan_deflection_varying(
            beam.LATER_LOAD, beam.LATER_SPAN, middle, profile.bending_stiffness
        )
        later = varying / float(beam.later_deflection_from_stiffness(LEVEL))
    return _Model(
        stuff,
        length,
        mass,
        gyration,
        np.asarray(thin / np.sqrt(factor)),
        LEVEL,
        np.asarray(stuff.uneven * (1.0 + 0.15 * (modes - 1)), dtype=np.float64),
        unsure * (factor - 1.0) / factor,
        later,
    )


def read_tone(
    shaft: Shaft,
    rings: Sequence[Ring],
    *,
    point_gr: float = 0.0,
    length_error_in: float = USUAL_LENGTH_ERROR_IN,
    bench: Spine | None = None,
) -> Tone:
    """Stiffness of a shaft from its rings.

    Parameters
    ----------
    shaft : Shaft
        With its length and its mass as they were when it was tapped. [trade units]
    rings : sequence of Ring
        As ``sound.hear`` gives them. [Hz]
    point_gr : float
        A point left on the front end, not counted in the shaft's mass. [gr]
    length_error_in : float
        Standard error of the length. [in]
    bench : Spine or None
        What bench readings say, to tell which ring is which mode; it does not enter the
        stiffness. [N m²]

    Returns
    -------
    tone : Tone
        Stiffness as a bench would read it, with its error and reasons. [lb, in, N m²]

    Raises
    ------
    MissingRefusal
        Without length or mass, or when it cannot be told which modes were heard.
    FileRefusal
        When the tones are no bending modes.

    Source
    ------
    docs/bench/tap.md and docs/physics/tone.md.
    """
    from loosewell.physics import tone

    model = _model(shaft, point_gr)
    stuff = model.stuff
    frequency = np.array([one.frequency_hz for one in rings])
    error = np.array([one.error_hz for one in rings])
    strength = np.array([one.strength for one in rings])
    slack = np.hypot(0.6 * model.own, np.hypot(0.5 * model.shear, 0.008))
    readings = [
        one for one in tone.match_modes(frequency, strength, model.frequency, slack) if one[2].any()
    ]
    ranked = sorted(
        (
            (score + _fitting(model, scale, bench, shaft), scale, mode)
            for score, scale, mode in readings
        ),
        key=lambda one: -one[0],
    )
    share = np.exp(np.array([one[0] for one in ranked]) - ranked[0][0])
    share = share / share.sum()
    lengthwise = _lengthwise(frequency, model.length)
    best = ranked[0][2]
    if len(lengthwise) >= 2:
        # A high bending mode may by chance lie where the shaft rings lengthwise.
        by_chance = [i for i in lengthwise if best[i] >= 5]
        best = best.copy()
        best[by_chance] = 0
    heard = float(strength[best > 0].sum())
    if len(lengthwise) >= 2 and heard < 1.2 * float(strength[lengthwise].sum()):
        raise FileRefusal(
            f"The tones at {_listed(frequency[lengthwise])} stand as 1 : 2 : 3: that is the shaft "
            "ringing lengthwise, as when it is struck on its end, and says nothing about spine "
            "by itself. Tap it sideways, close to an end or in the middle.",
            code="tap-lengthwise",
        )
    taken = np.unique(best[best > 0])
    gaps = int(taken[-1] - taken[0]) + 1 - len(taken)
    if len(rings) >= 3 and (
        heard < 0.5 * float(strength.sum()) or len(taken) < 2 or gaps >= len(taken)
    ):
        raise FileRefusal(
            f"The tones at {_listed(frequency)} do not stand as the bending modes of a free shaft "
            "do (1 : 2.76 : 5.40 : 8.93). Check that nothing but two thread loops or two "
            "fingertips touches the shaft, that no feathers are on it, and that a point left on "
            "is given with --point-weight.",
            code="tap-no-modes",
        )
    others = tuple(
        Other(
            tuple(int(n) for n in np.unique(mode[mode > 0])),
            _pounds(model.level * scale**2 / stuff.lively),
            float(part),
        )
        for (_, scale, mode), part in list(zip(ranked, share, strict=True))[1:]
        if part > 0.02
    )
    if share[0] < SURE:
        ways = "; ".join(
            f"as mode {modes_words(one.modes)}, {one.spine_lb:.0f} lb"
            for one in (
                Other(
                    tuple(int(n) for n in np.unique(best[best > 0])),
                    _pounds(model.level * ranked[0][1] ** 2 / stuff.lively),
                    float(share[0]),
                ),
                *others[:3],
            )
        )
        raise MissingRefusal(
            f"The tones at {_listed(frequency)} can be read in more than one way ({ways}; 26 in "
            "span, 2 lb), and nothing here decides. Tap close to an end and hold the microphone "
            "there, so that more modes are heard; give the diameter and the kind of shaft; or "
            "take one bench reading, a rough one will do.",
            code="tap-ambiguous",
        )
    return _answer(
        shaft,
        model,
        rings,
        (frequency, error, best),
        others,
        lengthwise,
        point_gr,
        length_error_in,
    )


def _answer(
    shaft: Shaft,
    model: _Model,
    rings: Sequence[Ring],
    found: tuple[Array, Array, Modes],
    others: tuple[Other, ...],
    lengthwise: list[int],
    point_gr: float,
    length_error_in: float,
) -> Tone:
    from loosewell.physics import tone

    frequency, error, mode = found
    stuff = model.stuff
    sides = _two_sides(frequency, error, mode)
    heard, heard_error, number, both = [], [], [], []
    for n in np.unique(mode[mode > 0]):
        here = np.nonzero(mode == n)[0]
        heard.append(float(np.exp(np.mean(np.log(frequency[here])))))
        heard_error.append(float(np.sqrt(np.sum(error[here] ** 2)) / len(here)))
        number.append(int(n) - 1)
        both.append(len(here) == 2)
    own_model = model.own[number]
    if sides is not None:
        # A mode heard in one side alone lies half the difference off the mean of both.
        own_model = np.where(both, own_model, np.hypot(own_model, 0.35 * sides[0]))
    level, own, scatter, each = tone.stiffness_from_modes(
        np.array(heard),
        np.array(heard_error),
        model.frequency[number],
        model.level,
        own_model,
        model.shear[number],
    )
    weight_error = shaft.weight_error_gr
    assumed = []
    if weight_error is None:
        weight_error = USUAL_TAP_WEIGHT_ERROR_GR
        assumed.append(f"the mass known to {weight_error:g} gr (a scale reading tenths of a gram)")
    assert shaft.weight_gr is not None
    assert shaft.length_in is not None
    if length_error_in == USUAL_LENGTH_ERROR_IN:
        assumed.append("the length known to 1/16 in")
    if not shaft.stations:
        assumed.append("a diameter of 11/32 in, for shear and the air that swings along")
    if stuff is UNKNOWN:
        assumed.append("wood, since neither kind nor material was given")
    if stuff.lively != 1.0:
        assumed.append(
            f"that a resting load bends {stuff.words} {100.0 * (stuff.lively - 1.0):.0f} % ± "
            f"{100.0 * stuff.lively_error:.0f} % more than ringing does (derived, from memory)"
        )
    plural = "s" if len(number) > 1 else ""
    spoken = modes_words(tuple(n + 1 for n in number))
    pieces = [
        (own, f"the tones themselves and how even the shaft is (mode{plural} {spoken})"),
        (weight_error / shaft.weight_gr, f"the mass, ± {weight_error:g} gr"),
        (3.0 * length_error_in / shaft.length_in, f"the length, ± {length_error_in:.4g} in"),
        (stuff.places, "a tap and a bench feel different places of an uneven shaft"),
        (stuff.lively_error, "ringing against resting load"),
    ]
    if sides is None and stuff.sided:
        pieces.append((0.7 * SIDES_UNLIKE, "the other side, which was not heard"))
    total = math.sqrt(sum(part**2 for part, _ in pieces))
    shared = math.sqrt(max(total**2 - own**2, 0.0))
    resting = level / stuff.lively
    pounds = _pounds(resting)
    spine = _as_spine(
        resting,
        total,
        model.later,
        tuple(
            f"± {part * pounds:.1f} lb from {what}" for part, what in sorted(pieces, reverse=True)
        ),
        scatter,
    )
    reads = _reads(
        rings, mode, sides, model, dict(zip(number, each, strict=True)), lengthwise, frequency
    )
    lowest = next((one for one in reads if one.mode and one.damping_ratio is not None), None)
    damping_error = None
    if lowest is not None and lowest.damping_ratio is not None:
        damping_error = math.hypot(
            lowest.damping_error or 0.0, DAMPING_METHOD_ERROR * lowest.damping_ratio
        )
    said = _said(shaft, model, number, scatter, sides, point_gr)
    return Tone(
        spine=spine,
        ringing_spine_lb=_pounds(level),
        own_error=own,
        shared_error=shared,
        rings=reads,
        sides_percent=None if sides is None else 100.0 * math.expm1(sides[0]),
        sides_error_percent=None if sides is None else 100.0 * sides[1],
        stiff_lb=None if sides is None else pounds * math.exp(0.5 * sides[0]),
        weak_lb=None if sides is None else pounds * math.exp(-0.5 * sides[0]),
        damping_ratio=None if lowest is None else lowest.damping_ratio,
        damping_error=damping_error,
        damping_hz=None if lowest is None else lowest.frequency_hz,
        others=others,
        assumed=tuple(assumed),
        said=said,
    )


def _pounds(stiffness: float) -> float:
    from loosewell.physics import spine as beam

    return float(beam.spine_pounds_from_stiffness(stiffness))


def _as_spine(
    stiffness: float, error: float, later_shape: float, reasons: tuple[str, ...], scatter: float
) -> Spine:
    from loosewell.physics import spine as beam

    pounds = _pounds(stiffness)
    later = later_shape * float(beam.later_deflection_from_stiffness(stiffness)) / units.INCH
    return Spine(
        bending_stiffness=stiffness,
        relative_error=error,
        spine_26in_2lb_lb=pounds,
        low=pounds * (1.0 - error),
        high=pounds * (1.0 + error),
        deflection_28in_1_94lb_in=later,
        deflection_low_in=later * (1.0 - error),
        deflection_high_in=later * (1.0 + error),
        reasons=reasons,
        scatter=scatter,
    )


def _fitting(model: _Model, scale: float, bench: Spine | None, shaft: Shaft) -> float:
    """How well a level goes with what is known of the shaft otherwise. [natural logarithm]"""
    level = model.level * scale**2 / model.stuff.lively
    if bench is not None:
        off = math.log(_pounds(level) / bench.spine_26in_2lb_lb)
        return -2.5 * math.log1p((off / math.hypot(bench.relative_error, 0.06)) ** 2 / 4.0)
    stuff = model.stuff
    gyration, spread = model.gyration, stuff.spread
    if not shaft.stations:
        # Without a diameter: that of a rod of this mass and the stuff's usual density.
        area = model.mass / model.length / stuff.density
        hollow = 1.0 if shaft.kind not in ("tube", "cane") else 2.2
        gyration = math.sqrt(area * hollow / (4.0 * math.pi))
        spread = math.hypot(spread, 0.15)
    usual = stuff.squared_speed * gyration**2 * model.mass / model.length
    return -2.5 * math.log1p((math.log(level / usual) / spread) ** 2 / 4.0)


def _lengthwise(frequency: Array, length: float) -> list[int]:
    """Rings in whole-number ratios whose speed of sound along the shaft is a shaft's."""
    best: list[int] = []
    for first in frequency:
        if not 2000.0 < 2.0 * length * float(first) < 6500.0:
            continue
        order = np.rint(frequency / first)
        fits = np.nonzero((np.abs(frequency / first - order) < 0.012 * order) & (order >= 1))[0]
        if len(np.unique(order[fits])) > len(best):
            best = [int(i) for i in fits]
    return best


def _two_sides(frequency: Array, error: Array, mode: Modes) -> tuple[float, float] | None:
    """Logarithm of stiff over weak stiffness, and its error, where modes came as pairs."""
    ratios, errors = [], []
    for n in np.unique(mode[mode > 0]):
        pair = np.sort(np.nonzero(mode == n)[0])
        if len(pair) == 2:
            ratios.append(2.0 * math.log(frequency[pair[1]] / frequency[pair[0]]))
            errors.append(math.hypot(0.01, 2.0 * float(np.hypot(*(error[pair] / frequency[pair])))))
    if not ratios:
        return None
    weight = np.array(errors) ** -2.0
    mean = float(np.average(ratios, weights=weight))
    spread = float(1.0 / np.sqrt(weight.sum()))
    if len(ratios) > 1:
        off = float(np.sqrt(np.sum(weight * (np.array(ratios) - mean) ** 2) / (len(ratios) - 1)))
        spread *= max(1.0, off)
    elif mean < 3.0 * errors[0]:
        return None
    return mean, spread


def _reads(
    rings: Sequence[Ring],
    mode: Modes,
    sides: tuple[float, float] | None,
    model: _Model,
    each: dict[int, float],
    lengthwise: list[int],
    frequency: Array,
) -> tuple[Read, ...]:
    reads = []
    for i, ring in enumerate(rings):
        n = int(mode[i])
        alone, side, note = None, "", ""
        if n:
            twin = np.nonzero(mode == n)[0]
            alone = each[n - 1] / model.stuff.lively
            if len(twin) == 2:
                alone *= float(
                    (frequency[i] / math.sqrt(frequency[twin[0]] * frequency[twin[1]])) ** 2
                )
                side = "weak side" if i == twin[0] else "stiff side"
                side = side if sides is not None else ""
        elif i in lengthwise and len(lengthwise) > 1:
            note = "rings lengthwise (1 : 2 : 3), left out"
        elif 3000.0 < 2.0 * model.length * ring.frequency_hz < 6000.0:
            note = "no bending mode; may be the shaft ringing lengthwise, left out"
        else:
            note = "no bending mode of a free shaft, left out"
        reads.append(
            Read(
                ring.frequency_hz,
                ring.error_hz,
                ring.damping_ratio if ring.damping_ratio > 0.0 else None,
                ring.damping_error if ring.damping_ratio > 0.0 else None,
                n,
                None if alone is None else _pounds(alone),
                side,
                note,
            )
        )
    return tuple(reads)


def _said(
    shaft: Shaft,
    model: _Model,
    number: Sequence[int],
    scatter: float,
    sides: tuple[float, float] | None,
    point_gr: float,
) -> tuple[str, ...]:
    said = []
    if number[0] > 0:
        lost = "The lowest mode was" if number[0] == 1 else f"The lowest {number[0]} modes were"
        said.append(
            f"{lost} not heard, as small microphones lose them; the ratios of the others place "
            "them."
        )
    if len(number) == 1:
        said.append(
            f"Only one mode was heard; that it is mode {number[0] + 1} rests on what is usual for "
            "such a shaft or on the bench readings, not on the ratios. Tap close to an end to "
            "hear more."
        )
    if scatter > 1.5:
        said.append(
            f"The modes differ by {scatter:.1f} times what an even shaft allows: it is uneven, "
            "tapered beyond the diameters given, or something touched it. The error was widened."
        )
    if sides is None and model.stuff.sided:
        said.append(
            "One side was heard. Tap again with the shaft turned a quarter round: wood is often "
            "stiffer one way."
        )
    if point_gr > 0.0:
        said.append(
            "The point was taken as a mass right at the front end; a bare shaft reads more surely."
        )
    if shaft.joints:
        said.append("Joints are in the reckoning as recorded; play rattles and shows as damping.")
    return tuple(said)


def tap_record(tone: Tone, shaft: Shaft, on: datetime.date | None, file: str | None) -> Tap:
    """A tap as the workshop keeps it: the rings that were read as bending modes.

    Parameters
    ----------
    tone : Tone
        As ``read_tone`` gave it. [Hz]
    shaft : Shaft
        With length and mass as tapped. [trade units]
    on : date or None
        The day. [calendar]
    file : str or None
        Name of the recording. [text]

    Returns
    -------
    tap : Tap
        The record. [Hz, in, gr]

    Source
    ------
    House style.
    """
    if shaft.length_in is None or shaft.weight_gr is None:
        raise MissingRefusal(
            "A tap is kept with the length and the mass of the shaft as it was tapped. Give both.",
            code="tap-without-length",
        )
    return Tap(
        frequencies_hz=tuple(round(one.frequency_hz, 3) for one in tone.rings if one.mode),
        length_in=shaft.length_in,
        weight_gr=shaft.weight_gr,
        damping_ratio=None if tone.damping_ratio is None else round(tone.damping_ratio, 6),
        on=on,
        file=file,
    )


def kept_tone(shaft: Shaft, tap: Tap, bench: Spine | None = None) -> Tone:
    """What a tap kept with a shaft says.

    Parameters
    ----------
    shaft : Shaft
        For its kind, material and diameters. [trade units]
    tap : Tap
        With the length and mass of its day. [Hz, in, gr]
    bench : Spine or None
        To tell the modes apart. [N m²]

    Returns
    -------
    tone : Tone
        As ``read_tone`` gives it.

    Raises
    ------
    Refusal
        As ``read_tone``.
    """
    from loosewell.workshop.sound import Ring

    then = shaft.model_copy(update={"length_in": tap.length_in, "weight_gr": tap.weight_gr})
    rings = [
        Ring(one, RECORDED_FREQUENCY_ERROR * one, 0.0, 0.0, 0.0, 0.6) for one in tap.frequencies_hz
    ]
    return read_tone(then, rings, bench=bench)


def with_taps(spine: Spine | None, shaft: Shaft) -> Spine | None:
    """The spine of a shaft from its bench readings and its taps together.

    Parameters
    ----------
    spine : Spine or None
        From the bench readings alone. [N m²]
    shaft : Shaft
        With its taps. [trade units]

    Returns
    -------
    spine : Spine or None
        Weighed by their errors; the same object when there is no tap. [N m², lb, in]

    Holds
    -----
    What taps share (mass, length, ringing against resting load) does not average away between
    them; the bench readings' own sides stay as they are. Both are compared as pounds (26 in span,
    2 lb), whatever span the bench readings had. Where bench and taps differ by more than
    their errors, the error is widened by as much.

    Source
    ------
    Weighted mean with the scale factor of Birge 1932 (from memory).
    """
    if not shaft.taps:
        return spine
    tones, said = [], []
    for tap in shaft.taps:
        try:
            tones.append(kept_tone(shaft, tap, spine))
        except Refusal as refusal:
            when = "" if tap.on is None else f" of {tap.on.isoformat()}"
            said.append(f"The tap{when} was left out. {refusal.message}")
    if not tones:
        return spine if spine is None else replace(spine, said=(*spine.said, *said))
    weight = np.array([one.own_error**-2.0 for one in tones])
    logarithm = np.log([one.spine.spine_26in_2lb_lb for one in tones])
    middle = float(np.average(logarithm, weights=weight))
    own = float(1.0 / np.sqrt(weight.sum()))
    if len(tones) > 1:
        off = float(np.sqrt(np.sum(weight * (logarithm - middle) ** 2) / (len(tones) - 1)))
        own *= max(1.0, off)
    shared = max(one.shared_error for one in tones)
    error = math.hypot(own, shared)
    count = "1 tap" if len(tones) == 1 else f"{len(tones)} taps"
    if spine is None:
        ratio = math.exp(middle) / tones[0].spine.spine_26in_2lb_lb
        found = _scaled(tones[0].spine, ratio, error)
        return replace(found, said=(f"From {count} alone, no bench reading.", *said))
    bench_part = error**2 / (error**2 + spine.relative_error**2)
    apart = middle - math.log(spine.spine_26in_2lb_lb)
    scatter = abs(apart) / math.hypot(error, spine.relative_error)
    both = error * spine.relative_error / math.hypot(error, spine.relative_error)
    ratio = math.exp((1.0 - bench_part) * apart)
    found = _scaled(spine, ratio, both * max(1.0, scatter))
    pounds = found.spine_26in_2lb_lb
    wide = max(1.0, scatter)
    tap_lb = spine.spine_26in_2lb_lb * math.exp(apart)
    parts = [
        (
            bench_part * spine.relative_error * wide,
            f"the bench readings, alone {spine.spine_text()}",
        ),
        (
            (1.0 - bench_part) * error * wide,
            f"{count}, alone {tap_lb:.1f} lb ± {error * tap_lb:.1f} lb",
        ),
    ]
    reasons = tuple(
        f"± {part * pounds:.1f} lb from {what}" for part, what in sorted(parts, reverse=True)
    )
    return replace(
        found, reasons=reasons, said=(*spine.said, agreement(spine, tap_lb, error), *said)
    )


def _scaled(spine: Spine, ratio: float, error: float) -> Spine:
    pounds = spine.spine_26in_2lb_lb * ratio
    later = spine.deflection_28in_1_94lb_in / ratio
    return replace(
        spine,
        bending_stiffness=spine.bending_stiffness * ratio,
        relative_error=error,
        spine_26in_2lb_lb=pounds,
        low=pounds * (1.0 - error),
        high=pounds * (1.0 + error),
        deflection_28in_1_94lb_in=later,
        deflection_low_in=later * (1.0 - error),
        deflection_high_in=later * (1.0 + error),
    )


def agreement(bench: Spine, tap_lb: float, tap_error: float) -> str:
    """A sentence on how a tap and the bench readings of a shaft go together.

    Parameters
    ----------
    bench : Spine
        From the bench readings alone. [lb]
    tap_lb : float
        Spine from the tap, as the bench would read it (26 in span, 2 lb). [lb]
    tap_error : float
        Its relative standard error. [1]

    Returns
    -------
    words : str
        One or two sentences.

    Source
    ------
    House style.
    """
    apart = math.log(tap_lb / bench.spine_26in_2lb_lb)
    times = abs(apart) / math.hypot(tap_error, bench.relative_error)
    off = tap_lb - bench.spine_26in_2lb_lb
    words = (
        f"Tap {tap_lb:.1f} lb ± {tap_error * tap_lb:.1f} lb, bench {bench.spine_text()}: the tap "
        f"reads {abs(off):.1f} lb {'more' if off > 0 else 'less'}"
    )
    if times < 2.0:
        return f"{words}, which their errors cover."
    return (
        f"{words}, {times:.1f} times what their errors cover. Check span, load (its container "
        "too), the mass in grains and the length of the shaft as it was tapped; a joint with play "
        "or a loose support reads too weak on the bench."
    )


def length_error(text_in: float | None) -> float:
    """The error of a length, or the usual one; refused where it cannot be one.

    Parameters
    ----------
    text_in : float or None
        As given. [in]

    Returns
    -------
    error_in : float
        Standard error. [in]

    Source
    ------
    Common practice, no source.
    """
    if text_in is None:
        return USUAL_LENGTH_ERROR_IN
    if not 0.002 <= text_in <= 1.0:
        raise BoundRefusal(
            f"The error of the length, {text_in:g} in, is outside 0.002 to 1 in. A tape gives "
            "about 1/16 in.",
            code="bound-length-error",
        )
    return text_in


def _listed(frequency: Array) -> str:
    shown = [f"{one:.0f}" for one in frequency[:6]]
    more = " Hz and more" if len(frequency) > 6 else " Hz"
    return (shown[0] if len(shown) == 1 else ", ".join(shown[:-1]) + " and " + shown[-1]) + more


def modes_words(modes: Sequence[int]) -> str:
    """Numbers of modes as a sentence wants them: "1, 2 and 5 to 8"."""
    runs: list[list[int]] = []
    for one in modes:
        if runs and one == runs[-1][-1] + 1:
            runs[-1].append(one)
        else:
            runs.append([one])
    shown = []
    for run in runs:
        shown += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(one) for one in run]
    return shown[0] if len(shown) == 1 else ", ".join(shown[:-1]) + " and " + shown[-1]
