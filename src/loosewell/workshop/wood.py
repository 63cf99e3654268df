"""From wood before any reading: the spine and mass a species leads to, and how that closes."""

from __future__ import annotations

import difflib
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.chance.normal import EIGHT_OF_TEN, Normal
from loosewell.errors import ContradictionRefusal, MissingRefusal, NotFoundRefusal
from loosewell.records import BenchReading, Shaft, bounds
from loosewell.reference import reader
from loosewell.reference.reader import Wood
from loosewell.workshop.answer import Band, Notice
from loosewell.workshop.bench import readings_spine

Array = NDArray[np.float64]

PSI_MILLION = 6.894757293168361e9
"""A million pounds on the square inch. [Pa] From the pound-force and the inch, exact."""
MODULUS_VARIATION, GRAVITY_VARIATION = 0.22, 0.10
"""Of clear wood within a species, standard deviation over mean. [-] ASTM D2555 table of green
clear wood, read second-hand: means and deviations of three species give 22.0 %; the 10 % of
specific gravity agrees with the Wood Handbook's table of variation, from memory."""
MODULUS_WITH_DENSITY = 0.5
"""Correlation of modulus and density within a species, logarithms. [-] From memory, weak: 0.4 to
0.7 in clear wood; 0.5 makes the modulus go with about the density itself, near the power 0.84 that
the handbook gives between softwoods (from memory)."""
DENSITY_UNKNOWN, DENSITY_UNKNOWN_SPREAD = 480.0, 0.18
"""Mean arrow wood and the spread of woods, for a species whose density is not in the table."""
DIAMETER_ERROR_IN = 0.002
"""Of a turned shaft under calipers. [in] Common practice, no source."""
WEIGHT_ERROR_GR = 1.5
"""A scale that shows tenths of a gram. [gr] Common practice, no source."""
MOISTURE, MOISTURE_ERROR = 0.12, 0.02
"""Water over dry wood in a room, the table's own 12 %, and how far a shop strays. [-]"""
MEETING_MOISTURE = 0.25
USUAL_STIFFENING = 0.243
"""Mean logarithm of the 12 % modulus over the green one, all woods of the handbook's table. [-]"""
SWELLING_PER_MOISTURE = 0.49
"""Logarithm of the section's area for each unit of moisture, from the same table's two densities:
0.088 from green (30 %) to 12 %. [-]"""
SURPRISING = 2.5
"""Standard errors from which a reading and the wood's name do not go together. Modelling choice."""
LOG_DENSITY, LOG_MODULUS, LOG_DIAMETER, OFF_MOISTURE = range(4)
HOLLOW = ("Bamboo, culm wall", "River cane")


@dataclass(frozen=True)
class WoodStep:
    """What is known at one step: bands hold eight of ten such shafts."""

    name: str
    """by name, weighed, or bent."""
    spine_26in_2lb_lb: Band
    deflection_28in_1_94lb_in: Band
    weight_gr: Band
    because: str


@dataclass(frozen=True)
class WoodEstimate:
    """A shaft from its wood, step by step as it is weighed and bent."""

    species: str
    diameter_in: float
    length_in: float
    steps: list[WoodStep]
    density_g_cm3: float
    modulus_gpa: float
    mark: str
    source: str
    note: str
    assumed: list[str]
    notices: list[Notice] = field(default_factory=list)
    next_step: str = ""


@dataclass(frozen=True)
class WoodRow:
    """A wood of the table for a list: density at 12 % and modulus of a slender shaft."""

    species: str
    use: str
    density_g_cm3: float | None
    modulus_gpa: float | None
    modulus_million_psi: float | None
    spine_11_32_lb: float | None
    """Of a solid shaft of 11/32 in. [lb (26 in span, 2 lb)]"""
    mark: str
    source: str


def wood_rows() -> list[WoodRow]:
    """Every wood of the table, as a list shows it."""
    from loosewell.physics import shaft as physics
    from loosewell.physics import spine as beam

    found = []
    for one in reader.woods():
        modulus = _slender_modulus(one)
        second = physics.second_moment_solid(11.0 / 32.0 * units.INCH)
        density = _density(one)
        found.append(
            WoodRow(
                one.species,
                one.use,
                None if density is None else round(density / 1000.0, 3),
                None if modulus is None else round(modulus / 1e9, 2),
                None if modulus is None else round(modulus / PSI_MILLION, 3),
                None
                if modulus is None or one.species in HOLLOW
                else round(float(beam.spine_pounds_from_stiffness(modulus * second)), 1),
                one.mark,
                one.source,
            )
        )
    return found


def find_wood(species: str) -> Wood:
    """The wood of this name, or a refusal that names those like it.

    Parameters
    ----------
    species : str
        As typed; capitals, hyphens and commas do not matter.

    Returns
    -------
    wood : Wood
        Of the table.

    Raises
    ------
    NotFoundRefusal
        With near names.
    """
    try:
        return reader.wood(species)
    except NotFoundRefusal:
        near = near_woods(species)
    like = f"Near it are: {'; '.join(near)}." if near else "No name in it is near that."
    raise NotFoundRefusal(
        f"No wood called '{species[:60]}' is in the table. {like} loosewell wood lists all of "
        "them. A wood that is not there needs no table: weigh a shaft of it and bend it.",
        code="wood-unknown",
    )


def near_woods(species: str) -> list[str]:
    """Names of the table that share a word with this one, or are spelled almost alike."""
    asked = _plain(species)
    words = {word for word in asked.split() if len(word) > 2}
    names = {_plain(one.species): one.species for one in reader.woods()}
    sharing = [
        name
        for plain, name in names.items()
        if any(word in part for word in words for part in plain.split())
    ]
    close = [names[one] for one in difflib.get_close_matches(asked, names, n=5, cutoff=0.6)]
    parts = {part for plain in names for part in plain.split() if len(part) > 2}
    for word in words:
        for part in difflib.get_close_matches(word, parts, n=2, cutoff=0.75):
            close += [name for plain, name in names.items() if part in plain.split()]
    return list(dict.fromkeys([*sharing, *close]))[:12]


def estimate(
    species: str,
    diameter_in: float,
    length_in: float,
    *,
    weight_gr: float | None = None,
    weight_error_gr: float | None = None,
    readings: Sequence[BenchReading] = (),
    wall_in: float | None = None,
    diameter_error_in: float = DIAMETER_ERROR_IN,
) -> WoodEstimate:
    """Spine and mass of a shaft from its wood, and what weighing and bending leave of the range.

    Parameters
    ----------
    species : str
        A wood of the table.
    diameter_in, length_in : float
        Of the shaft, parallel.
    weight_gr, weight_error_gr : float, optional
        Once it is weighed.
    readings : sequence of BenchReading
        Once it is bent.
    wall_in : float, optional
        Of a hollow one.
    diameter_error_in : float
        Standard error of the diameter.

    Returns
    -------
    estimate : WoodEstimate
        One step for each thing known.

    Raises
    ------
    Refusal
        For a wood that is not in the table, or has no modulus there.
    """
    wood = find_wood(species)
    bounds.check(diameter_in, "station.diameter_in")
    bounds.check(length_in, "shaft.length_in")
    if weight_gr is not None:
        bounds.check(weight_gr, "shaft.weight_gr")
    shaft = WoodModel.of(wood, diameter_in, length_in, wall_in, diameter_error_in)
    known = shaft.prior
    steps = [shaft.step("by name", known, "the wood's own variation, 22 % in modulus")]
    notices: list[Notice] = []
    if weight_gr is not None:
        error = (weight_error_gr or WEIGHT_ERROR_GR) / weight_gr
        seen = math.log(weight_gr * units.GRAIN) - shaft.mass_shift
        _note_surprise(notices, known.surprise(shaft.mass_row, seen, error), "weighs", wood)
        known = known.given(shaft.mass_row, seen, error)
        steps.append(
            shaft.step("weighed", known, f"{weight_gr:.6g} gr: dense wood is mostly stiff wood")
        )
    if readings:
        found = readings_spine(readings)
        seen = math.log(found.bending_stiffness) - shaft.stiffness_shift
        error = found.relative_error
        _note_surprise(notices, known.surprise(shaft.stiffness_row, seen, error), "bends", wood)
        known = known.given(shaft.stiffness_row, seen, error)
        steps.append(shaft.step("bent", known, found.spine_text()))
    density, modulus = _density(wood), _slender_modulus(wood)
    assert modulus is not None
    return WoodEstimate(
        wood.species,
        diameter_in,
        length_in,
        steps,
        round((DENSITY_UNKNOWN if density is None else density) / 1000.0, 3),
        round(modulus / 1e9, 2),
        wood.mark,
        wood.source,
        wood.note,
        _assumed(wood, diameter_error_in, wall_in),
        notices,
        _next_step(weight_gr is not None, bool(readings)),
    )


@dataclass(frozen=True)
class WoodModel:
    """Mass and stiffness of a shaft as weighted sums of what is unknown of its wood.

    The unknowns are the logarithms of density and modulus at 12 %, that of the diameter,
    and the moisture off 12 %; the two rows give ln mass and ln E·I in SI.
    """

    prior: Normal
    mass_row: Array
    mass_shift: float
    stiffness_row: Array
    stiffness_shift: float

    @classmethod
    def of(
        cls,
        wood: Wood,
        diameter_in: float,
        length_in: float,
        wall_in: float | None,
        diameter_error_in: float,
    ) -> WoodModel:
        """The model of a shaft of this wood and size; without a modulus a refusal."""
        modulus = _slender_modulus(wood)
        if modulus is None:
            raise MissingRefusal(
                f"The table has no dry modulus of {wood.species}, so its spine cannot be told from "
                "the name. Bend a shaft of it on two supports instead.",
                code="wood-no-modulus",
            )
        if wood.species in HOLLOW and wall_in is None:
            raise MissingRefusal(
                f"{wood.species} is hollow, and without its wall nothing follows from its "
                'diameter. Give --wall "0.06 in", measured where it is cut between two nodes, or '
                "bend it instead.",
                code="wood-no-wall",
            )
        outer = diameter_in * units.INCH
        inner = 0.0 if wall_in is None else (diameter_in - 2.0 * wall_in) * units.INCH
        if inner < 0.0:
            raise ContradictionRefusal(
                f"A wall of {wall_in:g} in is thicker than the radius of {0.5 * diameter_in:g} in. "
                "Measure both again, or leave the wall out for a solid shaft.",
                code="wall-too-thick",
            )
        density, low = _density(wood), wood.modulus_dry_low_million_psi
        spread = MODULUS_VARIATION
        if low is not None and wood.modulus_dry_high_million_psi is not None:
            # A range in the table is one of means: what single shafts vary comes on top.
            half = 0.5 * math.log(wood.modulus_dry_high_million_psi / low)
            spread = math.hypot(spread, half)
        heavy = GRAVITY_VARIATION if density is not None else DENSITY_UNKNOWN_SPREAD
        covariance = np.diag(
            [
                heavy**2,
                spread**2,
                (diameter_error_in / diameter_in) ** 2,
                MOISTURE_ERROR**2,
            ]
        )
        # A density that is only that of woods at large says nothing of this wood's modulus.
        shared = (MODULUS_WITH_DENSITY if density is not None else 0.0) * heavy * spread
        covariance[LOG_DENSITY, LOG_MODULUS] = covariance[LOG_MODULUS, LOG_DENSITY] = shared
        mean = np.array(
            [
                math.log(DENSITY_UNKNOWN if density is None else density),
                math.log(modulus),
                math.log(outer),
                0.0,
            ]
        )
        green, dry = wood.modulus_green_million_psi, wood.modulus_dry_million_psi
        stiffening = math.log(dry / green) if green and dry else USUAL_STIFFENING
        area = 0.25 * math.pi * (outer**2 - inner**2)
        second = math.pi * (outer**4 - inner**4) / 64.0
        # With the wall kept, how the logarithms of area and of I go with that of the diameter.
        thick = 2.0 * outer * (outer - inner) / (outer**2 - inner**2)
        stiff = 4.0 * outer * (outer**3 - inner**3) / (outer**4 - inner**4)
        mass_row = np.array([1.0, 0.0, thick, 1.0 / (1.0 + MOISTURE) - SWELLING_PER_MOISTURE])
        stiffness_row = np.array([0.0, 1.0, stiff, -stiffening / (MEETING_MOISTURE - MOISTURE)])
        length = length_in * units.INCH
        return cls(
            Normal(mean, covariance),
            mass_row,
            math.log(area * length) - thick * math.log(outer),
            stiffness_row,
            math.log(second) - stiff * math.log(outer),
        )

    def stiffness_of(self, known: Normal) -> tuple[float, float]:
        """Mean and standard error of ln E·I. [N m²]"""
        return known.of(self.stiffness_row, self.stiffness_shift)

    def mass_of(self, known: Normal) -> tuple[float, float]:
        """Mean and standard error of ln mass. [kg]"""
        return known.of(self.mass_row, self.mass_shift)

    def step(self, name: str, known: Normal, because: str) -> WoodStep:
        """What is known now, in pounds, inches and grains."""
        from loosewell.physics import spine as beam

        mean, error = self.stiffness_of(known)
        ways = (0.0, -EIGHT_OF_TEN, EIGHT_OF_TEN)
        heavy, unsure = self.mass_of(known)
        stiff = [math.exp(mean + way * error) for way in ways]
        spine = [float(beam.spine_pounds_from_stiffness(one)) for one in stiff]
        later = [float(beam.later_deflection_from_stiffness(one)) / units.INCH for one in stiff]
        mass = [math.exp(heavy + way * unsure) / units.GRAIN for way in ways]
        return WoodStep(
            name,
            Band(round(spine[0], 1), round(spine[1], 1), round(spine[2], 1)),
            # The stiffest sinks least.
            Band(round(later[0], 3), round(later[2], 3), round(later[1], 3)),
            Band(round(mass[0], 1), round(mass[1], 1), round(mass[2], 1)),
            because,
        )


def rack_guess(shaft: Shaft) -> WoodStep | None:
    """The range a shaft of the rack has by its wood, when it was not bent; None if none follows.

    Parameters
    ----------
    shaft : Shaft
        Its material a wood of the table, its diameter and length measured.

    Returns
    -------
    step : WoodStep or None
        By name, or by name and weight. Never a reading.
    """
    if not (shaft.material and shaft.stations and shaft.length_in) or shaft.kind == "joined":
        return None
    try:
        wood = reader.wood(shaft.material)
        diameter_in = float(np.mean([one.mean_in() for one in shaft.stations]))
        model = WoodModel.of(wood, diameter_in, shaft.length_in, shaft.wall_in, DIAMETER_ERROR_IN)
    except (NotFoundRefusal, MissingRefusal, ContradictionRefusal):
        return None
    known = model.prior
    if shaft.weight_gr is None:
        return model.step("by name", known, wood.species)
    error = (shaft.weight_error_gr or WEIGHT_ERROR_GR) / shaft.weight_gr
    seen = math.log(shaft.weight_gr * units.GRAIN) - model.mass_shift
    return model.step("weighed", known.given(model.mass_row, seen, error), wood.species)


def _density(wood: Wood) -> float | None:
    from loosewell.physics import shaft as physics

    if wood.specific_gravity_dry is None:
        return None
    return float(physics.wood_density(wood.specific_gravity_dry, MOISTURE))


def _slender_modulus(wood: Wood) -> float | None:
    """Modulus at 12 % of a slender shaft, the table's shear taken out. [Pa]"""
    if wood.modulus_dry_million_psi is None:
        return None
    return wood.modulus_dry_million_psi * PSI_MILLION * wood.shear_correction


def _note_surprise(notices: list[Notice], off: float, verb: str, wood: Wood) -> None:
    if abs(off) < SURPRISING:
        return
    if verb == "weighs":
        how = "far more" if off > 0.0 else "far less"
        words = f"This shaft weighs {how} than {wood.species} of its size"
    else:
        how = "far stiffer" if off > 0.0 else "far weaker"
        words = f"This shaft is {how} than {wood.species} of its size and weight"
    notices.append(
        Notice(
            f"wood-{verb}",
            f"{words} ({abs(off):.1f} standard errors). Check diameter, units and whether it is "
            "that wood; a crack or rot makes a shaft weak too. Trust the reading over the name.",
        )
    )


def _assumed(wood: Wood, diameter_error_in: float, wall_in: float | None) -> list[str]:
    found = [
        (
            f"Variation within a species: {100 * MODULUS_VARIATION:.0f} % of modulus, "
            f"{100 * GRAVITY_VARIATION:.0f} % of density (clear wood; from read means and "
            "deviations of three species, and the handbook from memory)."
        ),
        (
            f"Correlation of modulus and density: {MODULUS_WITH_DENSITY:g} (from memory, weak; "
            "0.4 to 0.7)."
        ),
        (
            f"Moisture: {100 * MOISTURE:.0f} ± {100 * MOISTURE_ERROR:.0f} %, as in a dry room; its "
            "effect on stiffness by the handbook's relation, from memory."
        ),
        f"Diameter known to {diameter_error_in:g} in, alike along the shaft.",
    ]
    if wood.specific_gravity_dry is None:
        found.append(
            f"Density of {wood.species} is not in the table: that of mean arrow wood, "
            f"{DENSITY_UNKNOWN / 1000:.2f} g/cm³ ± {100 * DENSITY_UNKNOWN_SPREAD:.0f} %, was "
            "taken, and weighing then tells nothing of its stiffness."
        )
    if wood.modulus_dry_low_million_psi is not None:
        found.append(
            f"Modulus of {wood.species}: a range in the table, added to the variation "
            f"({wood.mark})."
        )
    if wall_in is not None:
        found.append(f"Wall {wall_in:g} in all along.")
    return found


def _next_step(weighed: bool, bent: bool) -> str:
    if bent:
        return "It is bent: from here on the name of the wood adds nothing. Inspect it by hand."
    if weighed:
        return (
            "Bend it on two supports with a known weight (two nails, a jug of water and a ruler "
            "will do): that closes the range, the name of the wood never does."
        )
    return "Weigh it next, then bend it: the second closes the range, the first only a little."


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").replace(",", " ").split())
