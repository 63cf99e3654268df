"""A bow as the engine takes it: tables over the draw, and every input with its error."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.chance.priors import Uncertain, combine
from loosewell.errors import ContradictionRefusal, EngineRefusal, MissingRefusal
from loosewell.records import Bow, DrawReading
from loosewell.records.bow import SAME_DRAW_IN
from loosewell.workshop.bridge.inputs import Assumed, inches, true_draw_in
from loosewell.workshop.bridge.makes import (
    BOW_LENGTH_IN,
    BRACE_IN,
    ENERGY_RATIO,
    LIMB_ENERGY,
    LIMB_MASS,
    NOCK_SERVING,
    NOCK_SERVING_ERROR,
    NOCKING_HEIGHT_IN,
    PLATE_OFFSET_IN,
    PLATE_RELAXATION,
    PLATE_RELAXATION_ERROR,
    PLATE_STIFFNESS,
    PLATE_STIFFNESS_UNKNOWN,
    STRAND_SHARE,
    STRING_HOLD,
    STRING_MASS_GR,
    STRING_MODULUS,
    STRING_SHORTER_IN,
    VIRTUAL_MASS,
    VIRTUAL_MASS_STRING_GR,
)

Array = NDArray[np.float64]


def _string_stiffness(material: str | None, string_gr: float, bow_length_in: float) -> float:
    """Tension over the stretch of half a string, from what it weighs and is made of. [N/m]"""
    length = max(bow_length_in - STRING_SHORTER_IN, 10.0) * units.INCH
    tex = STRAND_SHARE * string_gr * units.GRAIN * 1e6 / length
    return STRING_MODULUS.get(material or "", STRING_MODULUS["polyester"]) * tex / (0.5 * length)


# How far beyond brace a draw reading says anything, and an archer's draw is a shot.
LEAST_READING_IN, LEAST_STROKE_IN = 0.4, 2.0


@dataclass(frozen=True)
class BowModel:
    """A bow ready for the engine: tables over the draw, and what they rest on."""

    force: Array
    string: Array
    brace: float
    top: float
    """True draw at the end of the tables. [m]"""
    last_reading: float
    """Longest true draw that was measured; beyond it the tables go straight on. [m]"""
    single_reading: bool
    inputs: tuple[Uncertain, ...]
    notes: tuple[Assumed, ...]

    def weight_at(self, draw_in: float) -> float:
        """Draw weight at a true draw by the middle of the tables. [lb]"""
        grid = np.linspace(self.brace, self.top, len(self.force))
        return float(np.interp(draw_in * units.INCH, grid, self.force)) / units.POUND_FORCE


def _word(table: dict[str, float], make: str | None, otherwise: str = "plain wooden") -> float:
    return table[make if make in table else otherwise]


def _draw_points(bow: Bow, readings: Sequence[DrawReading]) -> tuple[Array, Array]:
    """True draws [m] and forces [N], rising; readings a tape cannot tell apart are averaged."""
    groups: list[list[DrawReading]] = []
    for one in readings:
        if groups and one.draw_in - groups[-1][0].draw_in <= SAME_DRAW_IN:
            groups[-1].append(one)
        else:
            groups.append([one])
    draws, forces = [], []
    for group in groups:
        weights = [1.0 / max(one.error_lb(), 0.01) ** 2 for one in group]
        total = sum(weights)
        at = sum(w * one.draw_in for w, one in zip(weights, group, strict=True)) / total
        pounds = sum(w * one.weight_lb for w, one in zip(weights, group, strict=True)) / total
        draws.append(true_draw_in(at, bow.draw_measured) * units.INCH)
        forces.append(pounds * units.POUND_FORCE)
    return np.array(draws), np.maximum.accumulate(np.array(forces))


def bow_model(bow: Bow, draw_in: float, room_in: float = 0.0) -> BowModel:
    """The bow's tables and its uncertain inputs.

    Parameters
    ----------
    bow : Bow
        At least one draw reading.
    draw_in : float
        True draw of the archer.
    room_in : float
        How much further the tables must reach, for scatter.

    Returns
    -------
    model : BowModel
        Inputs carry the keys of the columns of the launch kernel.

    Raises
    ------
    MissingRefusal
        Without a draw reading, or without saying how draw was measured.
    EngineRefusal
        For a geometry the string model does not hold.
    ContradictionRefusal
        For an arrow speed that the draw weights cannot give.
    """
    from loosewell.physics import bow as physics

    if not bow.draw_readings:
        raise MissingRefusal(
            f"The bow {bow.name} has no draw weight. Hang it on a scale, pull to a known draw and "
            'record it, such as --draw-weight "50 lb @ 28 in".'
        )
    make = bow.make or "plain wooden"
    notes: list[Assumed] = []
    inputs: list[Uncertain] = []

    def note(
        key: str,
        name: str,
        value: str,
        error: str,
        assumed: bool,
        how: str,
        measured_error: float,
    ) -> None:
        notes.append(Assumed(key, name, value, error, assumed, how, measured_error))

    # brace height
    assumed_brace = bow.brace_height_in is None
    brace_in = bow.brace_height_in if bow.brace_height_in is not None else _word(BRACE_IN, make)
    brace_error = 0.5 if assumed_brace else 1.0 / 16.0
    inputs.append(
        Uncertain("brace", brace_in * units.INCH, brace_error * units.INCH, low=2.5 * units.INCH)
    )
    note(
        "brace",
        "Brace height",
        f"{brace_in:.2f} in",
        f"±{inches(brace_error)} in",
        assumed_brace,
        "measure from the string to the deepest part of the grip, bow strung",
        units.INCH / 16.0,
    )

    # draw force
    readings = sorted(bow.draw_readings, key=lambda reading: reading.draw_in)
    draws, forces = _draw_points(bow, readings)
    brace = brace_in * units.INCH
    assumed_words = ", assumed for its make" if assumed_brace else ""
    if draws[0] < brace + LEAST_READING_IN * units.INCH:
        raise EngineRefusal(
            f"The bow {bow.name} has a draw reading at {draws[0] / units.INCH:.1f} in of true "
            f"draw, less than {LEAST_READING_IN:g} in beyond its brace height of {brace_in:g} in"
            f"{assumed_words}. Check how its draw was measured."
        )
    if draw_in < brace_in + LEAST_STROKE_IN:
        raise EngineRefusal(
            f"A true draw of {draw_in:.1f} in is less than {LEAST_STROKE_IN:g} in beyond the brace "
            f"height of {bow.name}, {brace_in:g} in{assumed_words}. Check the archer's draw and "
            "how it was measured."
        )
    single = len(draws) == 1
    ratio, ratio_error = ENERGY_RATIO[make]
    top = max(float(draws[-1]), (draw_in + room_in) * units.INCH)
    measured_top = float(draws[-1])
    inner = physics.force_table(draws, forces, brace, ratio)
    grid = np.linspace(brace, top, physics.TABLE_POINTS)
    own = np.linspace(brace, measured_top, physics.TABLE_POINTS)
    slope = (inner[-1] - inner[-9]) / (own[-1] - own[-9])
    force = np.where(
        grid <= measured_top,
        np.interp(grid, own, inner),
        inner[-1] + np.maximum(slope, 0.0) * (grid - measured_top),
    )
    # One scale reads all of a session: its own error does not shrink with more readings, what the
    # hand and the eye add does. Half of the error is taken for that part; a modelling choice.
    reading_error = sum(r.error_lb() for r in readings) / len(readings)
    weight_error = reading_error * math.hypot(1.0, 0.5 / math.sqrt(len(readings)))
    at_draw = float(np.interp(draw_in * units.INCH, grid, force)) / units.POUND_FORCE
    beyond = max(0.0, draw_in - measured_top / units.INCH)
    inputs.append(
        Uncertain("force_scale", 1.0, math.hypot(weight_error, 0.8 * beyond) / max(at_draw, 1.0))
    )
    note(
        "force_scale",
        "Draw weight",
        f"{at_draw:.0f} lb at {draw_in:.1f} in true draw",
        f"±{math.hypot(weight_error, 0.8 * beyond):.1f} lb",
        False,
        "pull the bow slowly on a hanging scale to this archer's own draw",
        0.5 * weight_error / max(at_draw, 1.0),
    )
    if single:
        inputs.append(Uncertain("force_bulge", 0.0, 6.0 * ratio_error))
        note(
            "force_bulge",
            "Shape of the draw curve",
            f"stores {ratio:.2f} of weight times stroke",
            f"±{ratio_error:.2g}",
            True,
            "read the draw weight at three or four draws between brace and full draw",
            0.005 * 6.0,
        )

    # string and virtual mass
    assumed_string = bow.string_mass_gr is None
    string_gr = (
        bow.string_mass_gr
        if bow.string_mass_gr is not None
        else STRING_MASS_GR.get(bow.string_material or "", 170.0)
    )
    string_error = 35.0 if assumed_string else 2.0
    inputs.append(
        Uncertain(
            "string_mass",
            string_gr * units.GRAIN,
            string_error * units.GRAIN,
            low=20.0 * units.GRAIN,
        )
    )
    note(
        "string_mass",
        "String mass",
        f"{string_gr:.0f} gr",
        f"±{string_error:.0f} gr",
        assumed_string,
        "weigh the string with its serving",
        2.0 * units.GRAIN,
    )
    stored = physics.stored_energy(
        np.interp(np.linspace(brace, draw_in * units.INCH, 65), grid, force),
        draw_in * units.INCH - brace,
    )
    # Small bows have light limbs; the exponents are modelling choices and so the spread grows.
    size = stored / LIMB_ENERGY
    away = abs(math.log(size))
    mass = VIRTUAL_MASS[0] * size**0.4
    mass_error = mass * math.hypot(VIRTUAL_MASS[1] / VIRTUAL_MASS[0], 0.12 * away)
    limb, limb_error = LIMB_MASS[0] * size**0.42, math.hypot(LIMB_MASS[1], 0.15 * away)
    inputs.append(Uncertain("limb_mass", limb, limb_error, "log"))
    inputs.append(Uncertain("string_hold", STRING_HOLD[0], STRING_HOLD[1], "log"))
    note(
        "string_hold",
        "Firmness of the string sideways",
        f"{STRING_HOLD[0]:.1f} times its forward pull over its way",
        f"±{100 * STRING_HOLD[1]:.0f} %",
        True,
        "no bench method known yet; shooting results narrow it",
        0.0,
    )
    inputs.append(Uncertain("nock_serving", NOCK_SERVING, NOCK_SERVING_ERROR, "log"))
    note(
        "nock_serving",
        "String that goes sideways with the nock",
        f"{NOCK_SERVING / units.GRAIN:.0f} gr",
        "within a factor of 1.6",
        True,
        "no bench method known yet; shooting results narrow it",
        0.0,
    )
    note(
        "limb_mass",
        "Mass of the limbs as if at the tips",
        f"{limb * 1e3:.0f} g for both",
        f"±{100 * limb_error:.0f} %",
        True,
        "what of both limbs moves along with the string, reckoned as if it all sat at the tips; "
        "no bench method known yet; shooting results narrow it",
        0.0,
    )
    # The prior is told for a light string; what was seen holds for the bow's own.
    own_string = (string_gr - VIRTUAL_MASS_STRING_GR) * units.GRAIN / 3.0
    assumed_mass = not bow.speed_readings
    for reading in bow.speed_readings:
        arrow_mass = reading.arrow_weight_gr * units.GRAIN
        speed = reading.speed_fps * units.FPS
        at = true_draw_in(reading.draw_in, bow.draw_measured) * units.INCH
        part = np.linspace(brace, max(at, brace), physics.TABLE_POINTS)
        drawn = np.interp(part, grid, force) + np.maximum(slope * (part - top), 0.0)
        energy = physics.stored_energy(drawn, max(at, brace) - brace)
        seen = physics.virtual_mass_from_speed(energy, arrow_mass, speed)
        # A chronograph or a sound recording gives speed to about 3 % (common practice).
        seen_error = 0.06 * (arrow_mass + max(seen, 0.0))
        if seen + 3.0 * seen_error < 0.0:
            possible = physics.launch_speed(max(energy, 0.0), arrow_mass, 0.0)
            raise ContradictionRefusal(
                f"For the bow {bow.name} a speed of {reading.speed_fps:g} fps was recorded for an "
                f"arrow of {reading.arrow_weight_gr:g} gr, and its draw weights give that arrow "
                f"{possible / units.FPS:.0f} fps at most. Check the speed, the mass of the arrow "
                "(grains are not grams) and the draw weights.",
                code="speed-contradicts",
            )
        mass, mass_error = combine(mass, mass_error, seen - own_string, seen_error)
    inputs.append(Uncertain("virtual_mass", mass, mass_error, low=0.004))
    note(
        "virtual_mass",
        "Virtual mass of losses and string",
        f"{(mass + own_string) * 1e3:.1f} g ({(mass + own_string) / units.GRAIN:.0f} gr)",
        f"±{mass_error * 1e3:.1f} g",
        assumed_mass,
        "a mass that stands for what the arrow does not get: losses in the limbs and a third of "
        "the string; measure the speed of one weighed arrow",
        0.0010,
    )

    # strike plate
    assumed_offset = bow.plate_offset_in is None
    offset_in = (
        bow.plate_offset_in if bow.plate_offset_in is not None else _word(PLATE_OFFSET_IN, make)
    )
    if bow.plate_offset_error_in is not None:
        offset_error = bow.plate_offset_error_in
    else:
        offset_error = 0.12 if assumed_offset else 1.0 / 32.0
    inputs.append(Uncertain("plate_offset", offset_in * units.INCH, offset_error * units.INCH))
    note(
        "plate_offset",
        "Plate offset from the string plane",
        f"{offset_in:+.2f} in",
        f"±{inches(offset_error)} in",
        assumed_offset,
        "sight the string down the middle of both limbs and measure from it to the plate's face",
        units.INCH / 32.0,
    )
    material = bow.plate_material or bow.shelf_material
    stiffness = PLATE_STIFFNESS.get(material or "", PLATE_STIFFNESS_UNKNOWN)
    inputs.append(Uncertain("plate_stiffness", stiffness, 0.35, "log"))
    inputs.append(Uncertain("plate_relaxation", PLATE_RELAXATION, PLATE_RELAXATION_ERROR, "log"))
    note(
        "plate_stiffness",
        "Give of the strike plate",
        f"{stiffness / 1000:.0f} N/mm" + (f", {material}" if material else ""),
        "within a factor of 1.4",
        True,
        "no bench method known yet; shooting results narrow it",
        0.0,
    )
    note(
        "plate_relaxation",
        "How much of a slap the plate swallows",
        f"relaxes in {PLATE_RELAXATION * 1e3:.1f} ms",
        f"±{100 * PLATE_RELAXATION_ERROR:.0f} %",
        True,
        "no bench method known yet; shooting results narrow it",
        0.0,
    )
    inputs.append(Uncertain("fletching_stiffness", 250.0, 0.5, "log"))
    note(
        "fletching_stiffness",
        "Stiffness of the fletching against the bow",
        "250 N/m for feathers",
        "within a factor of 1.6",
        True,
        "no bench method known yet",
        0.0,
    )
    # nocking point: the first engine takes it as tuned, within what a square can show
    inputs.append(Uncertain("nock_path", 0.0, 0.0015))
    height_in = bow.nocking_height_in
    inputs.append(
        Uncertain(
            "nock_height",
            (NOCKING_HEIGHT_IN if height_in is None else height_in) * units.INCH,
            (1.0 / 8.0 if height_in is None else 1.0 / 32.0) * units.INCH,
        )
    )
    note(
        "nock_path",
        "Nocking point",
        f"taken as tuned, {NOCKING_HEIGHT_IN if height_in is None else height_in:.3g} in above "
        "square",
        "±0.03 in over the stroke",
        height_in is None,
        "set it with a square and shoot it in, up and down first",
        0.0,
    )

    length_in = bow.length_in if bow.length_in is not None else _word(BOW_LENGTH_IN, make)
    note(
        "bow_length",
        "Bow length",
        f"{length_in:.3g} in",
        "not varied: it hardly moves the range",
        bow.length_in is None,
        "measure along the back from string nock to string nock",
        0.0,
    )
    try:
        tip = physics.stretched_geometry(
            force,
            length_in * units.INCH,
            brace,
            top,
            _string_stiffness(bow.string_material, string_gr, length_in),
        )
    except ValueError as error:
        raise EngineRefusal(
            f"A bow {length_in:g} in long with a brace height of "
            f"{brace_in:g} in cannot be drawn to "
            f"{top / units.INCH:.1f} in (true draw): the string would not reach. Check the bow "
            "length, the brace height and how draw was measured."
        ) from error
    return BowModel(force, tip, brace, top, measured_top, single, tuple(inputs), tuple(notes))
