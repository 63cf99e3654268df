"""The bridge between trade units and SI: where a draw weight becomes a force.

Records stay on one side and know no physics, kernels stay on the other and know
no records. A left-handed archer is mirrored here, once, on the way back.

Positions are metres, masses kilograms, angles radians on the far side; the names
without a unit suffix say so.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from types import ModuleType

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.chance.priors import Uncertain, combine
from loosewell.errors import ContradictionRefusal, EngineRefusal, MissingRefusal
from loosewell.records import Archer, Arrow, Bow, DrawReading, Fletching, Shaft
from loosewell.records.bow import SAME_DRAW_IN
from loosewell.workshop.answer import ContactSpell

Array = NDArray[np.float64]

TRUE_BELOW_STANDARD_IN = 1.75
"""Standard draw is true draw and 1.75 in more. Rated-draw definition of the bow
makers' trade association, as quoted in coaching texts."""

ELEMENTS = 16
"""Beam elements of an arrow; see docs/physics/launch.md for how close that is."""

DRIVE_STEPS, PASS_STEPS = 400, 90
"""Time steps on the string and behind it: yaw rates within 0.01 rad/s of a fine solution."""


# ------------------------------------------------------------------------------ the bow


@dataclass(frozen=True)
class Assumed:
    """One input as the engine got it: value and error in words, and whether it was measured."""

    key: str
    name: str
    value: str
    error: str
    assumed: bool
    how_to_measure: str
    measured_error: float
    """Standard error after a careful measurement, in SI; 0 if there is no bench method."""


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


def true_draw_in(draw_in: float, measured: str | None) -> float:
    """True draw in inches from a draw stated either way.

    Parameters
    ----------
    draw_in : float
        As stated.
    measured : str or None
        "true" or "standard".

    Returns
    -------
    draw_in : float
        String to the deepest part of the grip.

    Raises
    ------
    MissingRefusal
        If it was not said which.
    """
    if measured == "true":
        return draw_in
    if measured == "standard":
        return draw_in - TRUE_BELOW_STANDARD_IN
    raise MissingRefusal(
        f"A draw of {draw_in:g} in was given without saying how it was measured. Say true "
        "(string to the deepest part of the grip) or standard (that and 1.75 in more)."
    )


# Assumptions by make. All are common practice, no source, unless a source is named.
BRACE_IN = {"plain wooden": 6.25, "backed": 6.5, "reflex-deflex": 7.0, "recurve": 8.0}
BOW_LENGTH_IN = {"plain wooden": 68.0, "backed": 66.0, "reflex-deflex": 64.0, "recurve": 62.0}
PLATE_OFFSET_IN = {"plain wooden": 0.40, "backed": 0.30, "reflex-deflex": 0.10, "recurve": -0.05}
# Stored energy over full-draw force times stroke: plain wooden 0.50 to 0.55 (common practice, no
# source), recurves 0.58 to 0.60 (Tuijn and Kooi 1992, Eur. J. Phys. 13, Table I).
ENERGY_RATIO = {
    "plain wooden": (0.520, 0.015),
    "backed": (0.530, 0.018),
    "reflex-deflex": (0.555, 0.018),
    "recurve": (0.588, 0.010),
}
# Virtual mass with a light string: 12.2, 15.9 and 12.8 g for three wooden bows (Hickman, Effect of
# String Weight, in Archery: the Technical Side, 1947); 14.2 g from Pope's arrows (restated 1942).
VIRTUAL_MASS = (0.0140, 0.0018)
VIRTUAL_MASS_STRING_GR = 150.0
# Both limbs as if at their tips, for a bow that stores LIMB_ENERGY. No source: about a fifth of the
# mass of each tapered limb of a longbow of 0.6 to 0.7 kg. Smaller bows carry less.
LIMB_MASS = (0.105, 0.10)
LIMB_ENERGY = 55.0
# What the string's tension holds sideways against what it pulls forward: the geometry says 1. The
# error stands for limbs that give sideways and for a braced string tighter than a smooth draw curve
# tells.
STRING_HOLD = (1.0, 0.07)
STRING_MASS_GR = {
    "polyester": 160.0,
    "low-stretch": 110.0,
    "linen": 220.0,
    "hemp": 240.0,
    "nylon": 260.0,
    "sinew": 300.0,
}
# Strike plate, as a spring: hard against the arrow, so that its figure hardly matters. No
# measurement of a strike plate was found; modelling choices.
PLATE_STIFFNESS = {
    "leather": 50000.0,
    "hide with hair": 25000.0,
    "felt": 25000.0,
    "bare wood": 100000.0,
    "horn or bone": 100000.0,
    "plastic": 70000.0,
}
PLATE_STIFFNESS_UNKNOWN = 50000.0
PLATE_RELAXATION = 0.0004
PLATE_RELAXATION_ERROR = 0.4


# How far beyond brace a draw reading says anything, and an archer's draw is a shot.
LEAST_READING_IN, LEAST_STROKE_IN = 0.4, 2.0


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
        f"±{brace_error:.2g} in",
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
    weight_error = math.sqrt(sum(r.error_lb() ** 2 for r in readings)) / len(readings)
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
    note(
        "limb_mass",
        "Mass of the limbs as if at the tips",
        f"{limb * 1e3:.0f} g for both",
        f"±{100 * limb_error:.0f} %",
        True,
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
        "measure the speed of one weighed arrow",
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
        f"±{offset_error:.2g} in",
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
    note(
        "nock_path",
        "Nocking point",
        "taken as tuned" + (f", {height_in:.3g} in above square" if height_in is not None else ""),
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
        tip = physics.string_geometry(length_in * units.INCH, brace, top)
    except ValueError as error:
        raise EngineRefusal(
            f"A bow {length_in:g} in long with a brace height of "
            f"{brace_in:g} in cannot be drawn to "
            f"{top / units.INCH:.1f} in (true draw): the string would not reach. Check the bow "
            "length, the brace height and how draw was measured."
        ) from error
    return BowModel(force, tip, brace, top, measured_top, single, tuple(inputs), tuple(notes))


# --------------------------------------------------------------------------- the archer


@dataclass(frozen=True)
class LooseModel:
    """An archer's draw and loose: middles with errors, and scatter from shot to shot."""

    inputs: tuple[Uncertain, ...]
    notes: tuple[Assumed, ...]
    shots: tuple[Uncertain, ...]


# Sideways push of the fingers and its scatter from shot to shot. [m] No measurement was found; the
# string must roll off a fingertip about as thick, a modelling choice.
LOOSE_PUSH = {"steady": (0.0071, 0.18, 0.0010), "unsteady": (0.0085, 0.25, 0.0025)}
LOOSE_UNKNOWN = (0.0077, 0.25, 0.0016)
PLUCK = {"steady": 0.0004, "unsteady": 0.0016}
"""Scatter of the nock's place beside the string plane at the loose. [m] No source."""
HAND_TURN = {"steady": 0.03, "unsteady": 0.12}
"""Scatter of the plate's sideways speed as the bow hand turns. [m/s] No source."""
CHILD_FINGER = 0.7
"""Thickness of a child's fingertip over a grown one's. Modelling choice, no source."""
DRAW_SCATTER_IN = {"steady": 0.12, "unsteady": 0.40}


def loose_model(archer: Archer) -> LooseModel:
    """The archer's draw and loose as uncertain inputs.

    Parameters
    ----------
    archer : Archer
        With a draw length.

    Returns
    -------
    model : LooseModel
        ``inputs`` stay the same from shot to shot, ``shots`` are drawn anew for each.

    Raises
    ------
    MissingRefusal
        Without a draw length.
    """
    if archer.draw_length_in is None:
        raise MissingRefusal(
            f"The draw length of {archer.name} is not recorded, and without it no arrow length can "
            "be checked. Draw a light bow three times with a marked arrow while a helper reads it, "
            'and record it: loosewell archer change ... --draw-length "27 in" --draw-measured '
            "standard."
        )
    notes: list[Assumed] = []
    draw_in = true_draw_in(archer.draw_length_in, archer.draw_measured)
    by_method = {"marked arrow": 0.25, "arm span": 1.2, "told": 0.75}
    error = archer.draw_error_in
    if error is None:
        error = by_method.get(archer.draw_method or "", 0.5)
        if archer.experience == "beginner" or archer.child:
            error = max(error, 0.6)
    inputs = [Uncertain("draw", draw_in * units.INCH, error * units.INCH)]
    notes.append(
        Assumed(
            "draw",
            "Draw length",
            f"{draw_in:.2f} in true draw",
            f"±{error:.2g} in",
            archer.draw_method in (None, "arm span", "told") and archer.draw_error_in is None,
            "draw a light bow three times with a marked arrow, a helper reading",
            0.25 * units.INCH,
        )
    )
    push, relative, scatter = LOOSE_PUSH.get(archer.loose or "", LOOSE_UNKNOWN)
    if archer.child:
        push, scatter = CHILD_FINGER * push, CHILD_FINGER * scatter
    sign = 1.0
    if archer.hook == "thumb":
        sign = -1.0  # the string rolls off the other side of a thumb
    if archer.hook == "mechanical":
        push, scatter = 0.0004, 0.0002
    inputs.append(Uncertain("loose_push", sign * push, relative, "log"))
    inputs.append(Uncertain("loose_travel", 0.014, 0.20, "log", high=0.045))
    notes.append(
        Assumed(
            "loose_push",
            "Sideways push of the fingers",
            f"{push * 1e3:.1f} mm "
            + ("to the right" if (sign > 0) == (archer.hand == "left") else "to the left"),
            f"±{relative * 100:.0f} %",
            True,
            "cannot be measured at the bench; shooting results narrow it",
            0.0,
        )
    )
    notes.append(
        Assumed(
            "loose_travel",
            "Travel in which the fingers push",
            "14 mm",
            "±20 %",
            True,
            "cannot be measured at the bench; shooting results narrow it",
            0.0,
        )
    )
    if archer.hook == "three under":
        inputs.append(Uncertain("loose_rise", 0.0006, 0.0004))
    cant = archer.cant_deg
    inputs.append(
        Uncertain("cant", math.radians(cant or 0.0), math.radians(8.0 if cant is None else 3.0))
    )
    notes.append(
        Assumed(
            "cant",
            "Cant of the bow",
            "upright" if cant is None else f"{cant:.0f}° toward the string hand",
            "±8°" if cant is None else "±3°",
            cant is None,
            "have a helper hold a hanging thread before the string at full draw",
            math.radians(3.0),
        )
    )
    loose_word = archer.loose or ""
    shots = (
        Uncertain("pluck", 0.0, PLUCK.get(loose_word, 0.0008)),
        Uncertain("hand_turn", 0.0, HAND_TURN.get(loose_word, 0.05)),
        Uncertain("push_scatter", 0.0, scatter),
        Uncertain(
            "draw_scatter",
            0.0,
            DRAW_SCATTER_IN.get(archer.loose or "", 0.25) * units.INCH,
        ),
        Uncertain("path_scatter", 0.0, 0.0008 if archer.loose == "steady" else 0.0015),
    )
    return LooseModel(tuple(inputs), tuple(notes), shots)


# ---------------------------------------------------------------------------- the shaft


@dataclass(frozen=True)
class Profile:
    """Stiffness, mass and surface along a shaft as it lies on the rack, nock end first."""

    length: float
    edge: Array
    """Ends of the pieces. [m], shape (pieces + 1,)"""
    bending_stiffness: Array
    mass_per_length: Array
    radius: Array
    """At the ends of the pieces. [m]"""
    stiffness_error: float
    mass_error: float
    damping_ratio: float
    stiff_over_mean: float = 1.0
    """Stiffness in the stiff plane over the mean of all rotations. [-]"""
    weak_over_stiff: float = 1.0
    """Stiffness across the stiff plane over that in it. [-]"""

    def cut(self, length: float, elements: int) -> tuple[Array, Array, Array]:
        """E·I and mass of equal elements and radius of the nodes, cut from the front."""
        node = np.linspace(0.0, length, elements + 1)
        stiff = np.empty(elements)
        mass = np.empty(elements)
        inside = np.interp(
            node,
            self.edge,
            np.concatenate(([0.0], np.cumsum(self.mass_per_length * np.diff(self.edge)))),
        )
        mass[:] = np.diff(inside) / np.diff(node)
        # Flexibilities add, so that a joint turns as much inside a longer element.
        flex = np.interp(
            node,
            self.edge,
            np.concatenate(([0.0], np.cumsum(np.diff(self.edge) / self.bending_stiffness))),
        )
        stiff[:] = np.diff(node) / np.diff(flex)
        return stiff, mass, np.interp(node, self.edge, self.radius)


# Damping ratio of the material's first bending mode. Wood from tan delta after Ono and Norimoto
# (from memory, medium-high confidence); tubes and cane from memory.
DAMPING = {"solid": 0.003, "tube": 0.004, "cane": 0.005, "shoot": 0.004, "joined": 0.006}
PIECES = 32


def uniform_profile(
    bending_stiffness: float, mass_per_length: float, diameter: float, length: float
) -> Profile:
    """A plain parallel shaft.

    Parameters
    ----------
    bending_stiffness : float
        E·I. [N m²]
    mass_per_length : float
        [kg/m]
    diameter : float
        [m]
    length : float
        [m]

    Returns
    -------
    profile : Profile
        Exact, without errors of its own.
    """
    edge = np.linspace(0.0, length, PIECES + 1)
    return Profile(
        length,
        edge,
        np.full(PIECES, bending_stiffness),
        np.full(PIECES, mass_per_length),
        np.full(PIECES + 1, 0.5 * diameter),
        0.0,
        0.0,
        DAMPING["solid"],
    )


def shaft_profile(shaft: Shaft, bending_stiffness: float, relative_error: float) -> Profile:
    """A shaft of the rack: its shape from the diameters, its level from the bench.

    Parameters
    ----------
    shaft : Shaft
        With a length; diameters and mass where known.
    bending_stiffness : float
        From the bench readings, as of a parallel shaft of the same deflection over the standard
        span. [N m²]
    relative_error : float
        Its relative standard error. [-]

    Returns
    -------
    profile : Profile
        Scaled so that mid-span deflection and mass agree with what was read.

    Raises
    ------
    MissingRefusal
        Without a length.
    """
    from loosewell.physics import shaft as physics
    from loosewell.physics import spine

    if shaft.length_in is None:
        raise MissingRefusal(
            f"The length of shaft {shaft.name} is not recorded. Measure "
            "it from the nock end to the "
            "front end."
        )
    length = shaft.length_in * units.INCH
    edge = np.linspace(0.0, length, PIECES + 1)
    stations = sorted(shaft.stations, key=lambda one: one.station_in)
    if stations:
        at = np.array([one.station_in for one in stations]) * units.INCH
        outer = np.array([one.mean_in() for one in stations]) * units.INCH
    else:
        at = np.array([0.0, length])
        outer = np.full(2, 11.0 / 32.0 * units.INCH)
    wall = 0.0 if shaft.wall_in is None else shaft.wall_in * units.INCH
    inner = np.maximum(outer - 2.0 * wall, 0.0) if wall > 0.0 else np.zeros_like(outer)
    second, area = physics.profile_elements(at, outer, inner, length, PIECES)
    middle = 0.5 * (edge[:-1] + edge[1:])
    span = min(spine.WOOD_SPAN, 0.96 * length)
    deflection = spine.midspan_deflection(spine.WOOD_LOAD, span, bending_stiffness)
    level = 1.0
    stiffness, mass_shape = second, area
    for _ in range(1 + 2 * bool(shaft.joints or shaft.sections)):
        # The reading was taken on the shaft as it is, joints and sections included.
        stiffness, mass_shape = _pieced(shaft, edge, second * level, area)
        if not np.all(stiffness > 0.0):
            raise EngineRefusal(
                f"The joints and sections of shaft {shaft.name} do not make a shaft. Check their "
                "places and stiffnesses."
            )
        scale = physics.stiffness_scale(spine.WOOD_LOAD, span, middle, stiffness, deflection)
        level *= scale
        stiffness = stiffness * scale
    area = mass_shape
    across, stiff_over_mean = _unlike_sides(shaft)
    if shaft.weight_gr is not None:
        mass = shaft.weight_gr * units.GRAIN
        error_gr = 1.5 if shaft.weight_error_gr is None else shaft.weight_error_gr
        mass_error = error_gr / shaft.weight_gr
    else:
        # Unknown mass: that of mean arrow wood, 480 kg/m³, with the spread of woods.
        density = 480.0 if wall == 0.0 else 2000.0
        mass = density * float(np.mean(area)) * length
        mass_error = 0.18
    mass_per_length = area * (mass / (float(np.mean(area)) * length))
    return Profile(
        length,
        edge,
        stiffness,
        mass_per_length,
        0.5 * np.interp(edge, at, outer),
        relative_error,
        mass_error,
        DAMPING.get(shaft.kind or "solid", 0.003),
        stiff_over_mean,
        across,
    )


def _pieced(shaft: Shaft, edge: Array, stiffness: Array, area: Array) -> tuple[Array, Array]:
    """Shape of stiffness and mass with the shaft's own sections and joints in it."""
    from loosewell.physics import shaft as physics

    mass = area.copy()
    whole = float(np.sum(area * np.diff(edge)))
    per_grain = whole / shaft.weight_gr if shaft.weight_gr else whole / 350.0
    middle = 0.5 * (edge[:-1] + edge[1:]) / units.INCH
    for section in shaft.sections:
        inside = (middle >= section.from_in) & (middle < section.to_in)
        if section.stiffness_percent is not None:
            stiffness = np.where(inside, stiffness * section.stiffness_percent / 100.0, stiffness)
        if section.weight_gr is not None and inside.any():
            length = float(np.sum(np.diff(edge)[inside]))
            mass = np.where(inside, section.weight_gr * per_grain / length, mass)
    for joint in shaft.joints:
        give = math.radians(joint.give_deg_per_ftlb or 0.0) / units.FOOT_POUND
        stiffness, mass = physics.with_joint(
            edge,
            stiffness,
            mass,
            joint.station_in * units.INCH,
            (joint.sleeve_length_in or 0.0) * units.INCH,
            (joint.sleeve_weight_gr or 0.0) * per_grain,
            (joint.stiffness_percent or 100.0) / 100.0,
            give,
        )
    return stiffness, mass


def _unlike_sides(shaft: Shaft) -> tuple[float, float]:
    """Weak plane over stiff plane, and stiff plane over the mean, from readings all round."""
    from loosewell.physics import shaft as physics
    from loosewell.physics import spine

    turned = [one for one in shaft.bench_readings if one.rotation_deg is not None]
    if len(turned) < 3:
        return 1.0, 1.0
    rotation = np.radians([one.rotation_deg or 0.0 for one in turned])
    read = np.array(
        [
            float(
                spine.bending_stiffness_from_deflection(
                    one.load_lb * units.POUND_FORCE,
                    one.span_in * units.INCH,
                    one.deflection_in * units.INCH,
                )
            )
            for one in turned
        ]
    )
    stiff, weak, angle = physics.two_stiffnesses(rotation, read)
    if math.isnan(angle) or weak <= 0.5 * stiff:
        return 1.0, 1.0
    return weak / stiff, stiff / float(np.mean(read))


# ---------------------------------------------------------------------------- the arrow


@dataclass(frozen=True)
class Parts:
    """What is put on a shaft. Masses in kilograms, lengths in metres."""

    point_mass: float
    point_length: float
    point_drag: str
    nock_mass: float
    material: str
    fletching_mass: float
    count: int
    chord: float
    height: float
    rear: float
    angle: float
    nock_pinch: float = 4.0
    """Pull at which the nock lets go of the string. [N]"""
    stiff_side: float = 0.0
    """Turn from the plate down to the stiff side. [rad]"""
    blade_area: float = 0.0
    """Area of the blades of a broadhead seen from the side. [m²]"""


# Pull at which a nock lets go of the string. [N] No measurement was found: modelling choices.
NOCK_PINCH = {"loose": 1.0, "snug": 5.0, "tight": 15.0}
NOCK_PINCH_UNKNOWN = 4.0


def fitted(part: Parts, arrow: Arrow) -> Parts:
    """The parts with what the arrow's own record says of nock, stiff side and blades."""
    area = 0.0
    if arrow.point_width_in is not None and arrow.point_blade_length_in is not None:
        # A blade is a triangle; from the side two of them are seen.
        area = 0.5 * arrow.point_width_in * arrow.point_blade_length_in * units.INCH**2
    return replace(
        part,
        nock_pinch=NOCK_PINCH.get(arrow.nock_fit or "", NOCK_PINCH_UNKNOWN),
        stiff_side=math.radians(arrow.stiff_side_deg or 0.0),
        blade_area=area,
    )


# Masses and sizes of feathers, vanes and nocks: from memory, as ranges; shown as assumptions.
FEATHER_GR_PER_IN = 0.5
VANE_GR_PER_IN = 2.4
GLUE_GR = 5.0
NOCK_GR = {"self": -1.0, "reinforced self": 1.0, "plastic": 10.0, "inserted": 9.0, "other": 8.0}


def standard_fletching() -> Fletching:
    """Three feathers 4 in long and 0.5 in high with a slight offset: the usual wooden arrow."""
    return Fletching(
        material="feather", length_in=4.0, height_in=0.5, count=3, angle_deg=2.0, rear_in=1.0
    )


def parts(
    point_weight_gr: float,
    fletching: Fletching,
    point_kind: str | None = None,
    nock_kind: str | None = None,
    nock_weight_gr: float | None = None,
) -> Parts:
    """Point, nock and fletching in SI.

    Parameters
    ----------
    point_weight_gr : float
        Mass of the point.
    fletching : Fletching
        Sizes left out take the usual ones.
    point_kind, nock_kind : str or None
        As in the arrow record.
    nock_weight_gr : float or None
        Weighed nock.

    Returns
    -------
    parts : Parts
        Ready for the engine.
    """
    bare = fletching.material == "none"
    usual = standard_fletching()
    count = 0 if bare else (fletching.count or usual.count or 3)
    chord_in = 0.0 if bare else (fletching.length_in or usual.length_in or 4.0)
    height_in = 0.0 if bare else (fletching.height_in or usual.height_in or 0.5)
    per_inch = VANE_GR_PER_IN if fletching.material == "vane" else FEATHER_GR_PER_IN
    mass_gr = 0.0 if bare else count * chord_in * per_inch + GLUE_GR
    nock_gr = nock_weight_gr if nock_weight_gr is not None else NOCK_GR[nock_kind or "plastic"]
    drag = {"blunt": "blunt", "broadhead": "broadhead", "bullet": "bullet"}
    rear = usual.rear_in if fletching.rear_in is None else fletching.rear_in
    return Parts(
        point_weight_gr * units.GRAIN,
        0.9 * units.INCH * (point_weight_gr / 125.0) ** (1.0 / 3.0),
        drag.get(point_kind or "field", "field"),
        nock_gr * units.GRAIN,
        fletching.material,
        mass_gr * units.GRAIN,
        count,
        chord_in * units.INCH,
        height_in * units.INCH,
        (0.0 if rear is None else rear) * units.INCH,
        math.radians(fletching.angle_deg if fletching.angle_deg is not None else 2.0),
    )


def with_point(part: Parts, point_weight_gr: float) -> Parts:
    """The same parts with another point of the same kind."""
    return replace(
        part,
        point_mass=point_weight_gr * units.GRAIN,
        point_length=0.9 * units.INCH * (point_weight_gr / 125.0) ** (1.0 / 3.0),
    )


@dataclass(frozen=True)
class ArrowModel:
    """A built arrow ready for launch and flight."""

    blocks: Array
    number: Array
    radius: Array
    length: float
    mass: float
    balance: float
    inertia: float
    bend_rate: float
    """Angular frequency of the first free bending mode. [rad/s]"""
    bend_nock: float
    """Its shape at the nock for unit modal mass. [kg^-1/2]"""
    aero: Array
    parts: Parts
    diameter: float
    stiff_over_mean: float = 1.0
    weak_over_stiff: float = 1.0


def arrow_model(
    profile: Profile, length: float, part: Parts, elements: int = ELEMENTS
) -> ArrowModel:
    """Blocks, masses and air data of one build.

    Parameters
    ----------
    profile : Profile
        The shaft on the rack.
    length : float
        Nock throat to back of point. [m]
    part : Parts
        What is put on it.
    elements : int
        Beam elements.

    Returns
    -------
    model : ArrowModel
        For launch_batch and fly_batch.

    Raises
    ------
    EngineRefusal
        When the shaft is shorter than the arrow asked for.
    """
    from loosewell.physics import aero, beam
    from loosewell.physics import launch as kernel
    from loosewell.physics import shaft as physics

    if length > profile.length + 1e-6:
        raise EngineRefusal(
            f"An arrow of {length / units.INCH:.2f} in cannot be cut from a shaft of "
            f"{profile.length / units.INCH:.2f} in."
        )
    stiffness, mass_per_length, radius = profile.cut(length, elements)
    nodes = elements + 1
    nock_mass = part.nock_mass
    if nock_mass < 0.0:
        # A cut nock takes wood away: off the rearmost element, not off its end as a point, which
        # would leave a light shaft with a negative moving mass there.
        share = min(-nock_mass / (mass_per_length[0] * length / elements), 0.5)
        mass_per_length[0] *= 1.0 - share
        nock_mass = 0.0
    point_centre = 0.35 * part.point_length
    point_inertia = part.point_mass * (part.point_length**2) / 18.0
    middle = part.rear + 0.5 * part.chord
    node_mass = np.zeros(nodes)
    node_mass[0] += nock_mass
    if part.count:
        for share in (0.25, 0.75):
            node_mass += beam.shared_to_nodes(
                0.5 * part.fletching_mass, part.rear + share * part.chord, length, nodes
            )
    blocks = beam.arrow_blocks(
        stiffness, mass_per_length, length, node_mass, part.point_mass, point_centre, point_inertia
    )
    rate, shape = beam.free_modes(blocks[0], blocks[1] + blocks[2], 1)
    mass, balance, inertia = physics.arrow_mass_properties(
        mass_per_length,
        length,
        part.point_mass,
        point_centre,
        point_inertia,
        np.array([nock_mass, part.fletching_mass]),
        np.array([0.0, middle]),
    )
    shaft_mass = float(np.sum(mass_per_length)) * length / elements
    centre_shaft = (
        float(
            np.sum(mass_per_length * (np.arange(elements) + 0.5))
            / np.sum(mass_per_length)
            / elements
        )
        * length
    )
    place = np.linspace(0.0, length, nodes)
    part_mass = float(np.sum(node_mass)) + part.point_mass
    centre_part = (
        float(np.sum(node_mass * place)) + part.point_mass * (length + point_centre)
    ) / part_mass
    number = np.zeros(kernel.ARROW_COLUMNS)
    number[kernel.LENGTH] = length
    number[kernel.SHAFT_MASS] = shaft_mass
    number[kernel.PART_MASS] = part_mass
    number[kernel.CENTRE_SHAFT] = centre_shaft
    number[kernel.CENTRE_PART] = centre_part
    number[kernel.FLETCHING_REAR] = part.rear if part.count else 0.0
    number[kernel.FLETCHING_FRONT] = part.rear + part.chord if part.count else 0.0
    number[kernel.DAMPING_TIME] = 2.0 * profile.damping_ratio / float(rate[0])
    diameter = 2.0 * float(np.mean(radius))
    row = aero.arrow_row(
        mass=mass,
        inertia=inertia,
        balance=balance,
        tip=length + part.point_length,
        diameter=diameter,
        point_drag=aero.POINT_DRAG_COEFFICIENTS[part.point_drag],
        # A flat blade is a small wing of low aspect: about two per radian of its own area.
        point_normal=2.0 * part.blade_area,
        count=float(part.count),
        chord=part.chord,
        height=part.height,
        area=0.67 * part.chord * part.height,
        fletch_centre=middle,
        roughness=aero.VANE_ROUGHNESS if part.material == "vane" else aero.FEATHER_ROUGHNESS,
        angle=part.angle,
        bend_frequency=float(rate[0]) / (2.0 * math.pi),
        bend_damping=profile.damping_ratio,
    )
    return ArrowModel(
        blocks, number, radius, length, mass, balance, inertia,
        float(rate[0]), float(shape[0, 0]), row, part, diameter,
        profile.stiff_over_mean, profile.weak_over_stiff,
    )  # fmt: skip


# ------------------------------------------------------------------------------ the shot


@dataclass(frozen=True)
class Shots:
    """What a batch of shots did, SI, in the archer's own hand (left positive from behind)."""

    launch: Array
    flight: Array
    frame: Array
    stand_left: Array
    """Nock to the left of the line of flight where it stands. [rad]"""
    stand_high: Array
    hit_left: Array
    """Of the point, from the plane of the bow. [m]"""
    hit_high: Array
    tail_knock: Array
    """Impulse of everything that touches the bow after the string let go. [N s]"""
    status: NDArray[np.int64]


REACH_BY_COUNT = {3: 0.5, 4: 0.71, 2: 0.0, 6: 0.87}
"""How far one fletching reaches toward the plate as a share of its height, cock feather out."""

NOCK_SERVING = 0.0002
"""Of the string's mass, what moves sideways with the nock at once: the serving under it. [kg]
A sideways wave takes about 4 ms to the limb tips, so the rest acts by its tension only; along the
arrow a third of the string counts, and is in the virtual mass."""

SHELF_WIDTH = 0.02
"""Of a shelf, from the plate outward. [m] Common practice, no source."""

FLETCHING_FOLD = {"feather": 0.4, "tape": 0.2, "vane": 0.05}
"""Damping of a fletching squeezed against the bow: feathers fold and lose what they take,
plastic vanes kick it back. [N s/m] Modelling choices, no source."""

PENETRATION = 0.15
"""Depth into a straw or foam butt. [m] Common practice, no source."""


def shoot(
    bow: BowModel,
    arrows: Sequence[ArrowModel],
    arrow_index: NDArray[np.int64],
    values: dict[str, Array],
    hand: str,
    distance: float,
    air: Array | None = None,
    frame_every: int = 0,
    drive_steps: int = DRIVE_STEPS,
    pass_steps: int = PASS_STEPS,
    threads: int = 2,
    progress: Callable[[float], None] | None = None,
) -> Shots:
    """Launch, fly and strike a batch of shots from one bow.

    Parameters
    ----------
    bow : BowModel
        Its tables.
    arrows : sequence of ArrowModel
        All with the same number of elements.
    arrow_index : ndarray of int64, shape (n,)
        Which arrow each shot uses.
    values : dict of ndarray, shape (n,)
        Every uncertain input by key; stiffness_scale and mass_scale default to 1.
    hand : str
        "right" or "left"; the only place where a shot is mirrored.
    distance : float
        To the butt. [m]
    air : ndarray, optional
        An air row of the flight, its wind as felt by the archer (left positive);
        still air at 20 °C without it.
    frame_every, drive_steps, pass_steps, threads : int
        As in launch_batch.
    progress : callable, optional
        Called with the fraction done.

    Returns
    -------
    shots : Shots
        A status other than 0 means that shot must not be counted as clean.
    """
    from loosewell.physics import flight, strike
    from loosewell.physics import launch as kernel

    n = len(arrow_index)
    row = np.zeros((n, kernel.LAUNCH_COLUMNS))
    draw = values["draw"] + values.get("draw_scatter", 0.0)
    row[:, kernel.DRAW] = np.clip(draw, values["brace"] + 0.05, bow.top)
    row[:, kernel.BRACE] = values["brace"]
    row[:, kernel.TOP_DRAW] = bow.top
    row[:, kernel.FORCE_SCALE] = values["force_scale"]
    row[:, kernel.FORCE_BULGE] = values.get("force_bulge", 0.0)
    string_third = values["string_mass"] / 3.0
    usual_third = VIRTUAL_MASS_STRING_GR * units.GRAIN / 3.0
    row[:, kernel.VIRTUAL_MASS] = values["virtual_mass"] + string_third - usual_third
    row[:, kernel.STRING_THIRD] = NOCK_SERVING
    row[:, kernel.LIMB_MASS] = values["limb_mass"]
    row[:, kernel.STRING_HOLD] = values["string_hold"]
    row[:, kernel.STRING_Z] = 5000.0
    row[:, kernel.PLATE_OFFSET] = values["plate_offset"]
    row[:, kernel.PLATE_STIFFNESS] = values["plate_stiffness"]
    row[:, kernel.PLATE_DAMPING] = values["plate_stiffness"] * values["plate_relaxation"]
    row[:, kernel.SHELF_STIFFNESS] = values["plate_stiffness"]
    row[:, kernel.SHELF_DAMPING] = row[:, kernel.PLATE_DAMPING]
    row[:, kernel.NOCK_HEIGHT] = values.get("nock_height", 0.375 * units.INCH)
    row[:, kernel.NOCK_PATH] = values["nock_path"] + values.get("path_scatter", 0.0)
    push = values["loose_push"] + np.sign(values["loose_push"]) * values.get("push_scatter", 0.0)
    row[:, kernel.LOOSE_PUSH] = push
    row[:, kernel.LOOSE_TRAVEL] = values["loose_travel"]
    row[:, kernel.FINGER_STIFFNESS] = 10000.0
    own = np.array([one.stiff_over_mean for one in arrows])[arrow_index]
    row[:, kernel.STIFFNESS_SCALE] = values.get("stiffness_scale", 1.0) * own
    row[:, kernel.STIFFNESS_ACROSS] = np.array([one.weak_over_stiff for one in arrows])[arrow_index]
    row[:, kernel.NOCK_ANGLE] = np.array([one.parts.stiff_side for one in arrows])[arrow_index]
    row[:, kernel.PINCH] = np.array([one.parts.nock_pinch for one in arrows])[arrow_index]
    row[:, kernel.CANT] = values.get("cant", 0.0)
    row[:, kernel.PLUCK] = values.get("pluck", 0.0)
    row[:, kernel.LOOSE_RISE] = values.get("loose_rise", 0.0)
    row[:, kernel.PLATE_DRIFT] = values.get("hand_turn", 0.0)
    row[:, kernel.SHELF_WIDTH] = SHELF_WIDTH
    row[:, kernel.MASS_SCALE] = values.get("mass_scale", 1.0)
    feather = np.array(
        [1.0 if one.parts.material != "vane" else 8.0 for one in arrows], dtype=np.float64
    )
    reach = np.array(
        [REACH_BY_COUNT.get(one.parts.count, 0.5) * one.parts.height for one in arrows]
    )
    fold = np.array([FLETCHING_FOLD.get(one.parts.material, 0.3) for one in arrows])
    row[:, kernel.FLETCHING_DAMPING] = fold[arrow_index]
    row[:, kernel.FLETCHING_STIFFNESS] = values["fletching_stiffness"] * feather[arrow_index]
    row[:, kernel.FLETCHING_REACH_Y] = reach[arrow_index]
    row[:, kernel.FLETCHING_REACH_Z] = reach[arrow_index]
    index = np.ascontiguousarray(arrow_index, dtype=np.int64)
    launch_share = 0.95
    out, frame = kernel.launch_batch(
        row,
        index,
        np.zeros(n, dtype=np.int64),
        np.array([one.blocks for one in arrows]),
        np.array([one.number for one in arrows]),
        np.array([one.radius for one in arrows]),
        np.concatenate((bow.force[None], bow.string))[None],
        drive_steps,
        pass_steps,
        frame_every,
        threads,
        None if progress is None else (lambda part: progress(launch_share * part)),
    )
    good = out[:, kernel.STATUS] == kernel.FINE
    _upright(out, row[:, kernel.CANT], kernel)
    state = np.zeros((n, flight.STATE_COLUMNS))
    state[:, flight.SPEED] = np.where(good, out[:, kernel.SPEED], 30.0)
    for column, source in (
        (flight.SIDE_SPEED, kernel.Y_VELOCITY),
        (flight.RISE_SPEED, kernel.Z_VELOCITY),
        (flight.YAW, kernel.YAW),
        (flight.YAW_RATE, kernel.YAW_RATE),
        (flight.PITCH, kernel.PITCH),
        (flight.PITCH_RATE, kernel.PITCH_RATE),
    ):
        state[:, column] = np.where(good, out[:, source], 0.0)
    state[:, flight.HEIGHT] = 1000.0
    aero_rows = np.array([one.aero for one in arrows])[index]
    stiff, heavy = row[:, kernel.STIFFNESS_SCALE], row[:, kernel.MASS_SCALE]
    from loosewell.physics import aero

    rate = np.array([one.bend_rate for one in arrows])[index] * np.sqrt(stiff / heavy)
    nock = np.array([one.bend_nock for one in arrows])[index] / np.sqrt(heavy)
    aero_rows[:, aero.BEND_AMPLITUDE] = (
        np.sqrt(np.maximum(2.0 * out[:, kernel.BENDING_ENERGY], 0.0)) / rate * np.abs(nock)
    )
    aero_rows[:, aero.BEND_FREQUENCY] = rate / (2.0 * math.pi)
    here = flight.still_air(1.204, 1.82e-5) if air is None else air.copy()
    here[3] *= 1.0 if hand == "right" else -1.0
    landed = np.zeros((n, flight.RESULT_COLUMNS))
    half = max(1, (n + threads - 1) // threads)

    def fly(low: int) -> None:
        high = min(low + half, n)
        flight.fly_batch(
            state[low:high], aero_rows[low:high], here, distance, 0.0, landed[low:high]
        )

    with ThreadPoolExecutor(threads) as pool:
        list(pool.map(fly, range(0, n, half)))
    if progress is not None:
        progress(1.0)
    forward = np.maximum(landed[:, flight.FORWARD], 1.0)
    time = np.maximum(landed[:, flight.TIME], 1e-6)
    # The path of the centre of mass: sideways from its drift, in height from fall and rise.
    side = landed[:, flight.HIT_Y] / time / forward
    rise = (2.0 * -landed[:, flight.DROP] / time - state[:, flight.RISE_SPEED]) / forward
    stand_y = strike.stand_angle(
        landed[:, flight.END_YAW],
        side,
        landed[:, flight.END_YAW_RATE],
        landed[:, flight.END_SPEED],
        PENETRATION,
    )
    stand_z = strike.stand_angle(
        landed[:, flight.END_PITCH],
        rise,
        landed[:, flight.END_PITCH_RATE],
        landed[:, flight.END_SPEED],
        PENETRATION,
    )
    # Where the point strikes: from the plane of the bow, so the launch's own side step counts.
    hit = landed[:, flight.HIT_Y] + out[:, kernel.Y]
    mirror = 1.0 if hand == "right" else -1.0
    status = np.where(good, 0, out[:, kernel.STATUS]).astype(np.int64)
    lost = (landed[:, flight.STATUS] != flight.REACHED) & good
    status[lost] = 100 + landed[lost, flight.STATUS].astype(np.int64)
    knock = (
        out[:, kernel.TAIL_SHAFT_Y]
        + out[:, kernel.TAIL_FLETCHING_Y]
        + out[:, kernel.TAIL_SHAFT_Z]
        + out[:, kernel.TAIL_FLETCHING_Z]
    )
    return Shots(
        out,
        landed,
        frame,
        mirror * stand_y,
        stand_z,
        mirror * hit,
        landed[:, flight.HIT_Z] + out[:, kernel.Z],
        knock,
        status,
    )


def _upright(out: Array, cant: Array, kernel: ModuleType) -> None:
    """What left a canted bow, turned from the bow's own axes to level and upright ones."""
    with np.errstate(invalid="ignore"):
        cosine, sine = np.cos(cant), np.sin(cant)
    for y, z in (
        (kernel.Y, kernel.Z),
        (kernel.Y_VELOCITY, kernel.Z_VELOCITY),
        (kernel.YAW, kernel.PITCH),
        (kernel.YAW_RATE, kernel.PITCH_RATE),
    ):
        side, high = out[:, y].copy(), out[:, z].copy()
        out[:, y] = cosine * side - sine * high
        out[:, z] = sine * side + cosine * high


def weather_row(
    temperature_f: float | None, altitude_ft: float | None, wind_left_fps: float | None
) -> tuple[Array, str]:
    """The air of a day as a row for the flight, and in words.

    Parameters
    ----------
    temperature_f, altitude_ft, wind_left_fps : float or None
        None takes 68 °F, sea level, no wind; wind pushing to the left is positive.

    Returns
    -------
    air : ndarray
        For ``shoot``.
    words : str
        What was taken, with what was assumed.
    """
    from loosewell.physics import air as physics
    from loosewell.physics import flight

    celsius = 20.0 if temperature_f is None else (temperature_f - 32.0) / 1.8
    height = 0.0 if altitude_ft is None else altitude_ft * units.FOOT
    _, pressure, _ = physics.standard_atmosphere(height)
    kelvin = celsius + 273.15
    density = float(physics.air_density(kelvin, float(pressure), 0.5))
    row = flight.still_air(density, float(physics.viscosity(kelvin)))
    wind = 0.0 if wind_left_fps is None else wind_left_fps * units.FPS
    row[3] = wind
    assumed = [
        name
        for name, value in (
            ("temperature", temperature_f),
            ("altitude", altitude_ft),
            ("wind", wind_left_fps),
        )
        if value is None
    ]
    side = "still" if wind == 0.0 else f"wind {abs(wind):.1f} m/s to the "
    if wind:
        side += "left" if wind > 0.0 else "right"
    words = (
        f"Air {density:.2f} kg/m³ ({celsius * 1.8 + 32.0:.0f} °F, {celsius:.0f} °C; "
        f"{height / units.FOOT:.0f} ft, {height:.0f} m), {side}"
    )
    if assumed:
        words += f"; assumed: {', '.join(assumed)}"
    return row, words + "."


def marks(frame: Array, string_left: float, fletching_front: float, hand: str) -> list[str]:
    """Which traces a shot leaves, in words: where to look for rub and wear.

    Parameters
    ----------
    frame : ndarray, shape (frames, ...)
        Recorded frames of one launch.
    string_left : float
        When the string let the nock go. [s]
    fletching_front : float
        Front edge of the fletching from the nock throat. [m]
    hand : str
        "right" or "left".

    Returns
    -------
    sentences : list of str
        Empty when nothing worth a trace touched behind the string.
    """
    side = "right" if hand == "right" else "left"
    found = []
    time, station = frame[:, 0], -frame[:, 1] / units.INCH
    step = np.diff(time, prepend=0.0)
    behind = time > string_left * (1.0 + 1e-9)
    for column, least, words in (
        (2, 2.0, f"a rub on the {side} side of the shaft"),
        (3, 1.5, f"the feathers on the {side} worn at the base"),
        (4, 2.0, "a rub under the shaft"),
        (5, 1.5, "the lower feather ruffled by the shelf"),
    ):
        touching = behind & (frame[:, column] > 0.0)
        impulse = 1e3 * float(np.sum(frame[touching, column] * step[touching]))
        if impulse >= least:
            low, high = station[touching].min(), station[touching].max()
            found.append(f"{words}, {low:.1f} to {high:.1f} in from the nock ({impulse:.0f} mN·s)")
    before = ~behind & (frame[:, 2] > 0.0)
    if before.any() and not found:
        ahead = station[before].max()
        if ahead > fletching_front / units.INCH:
            found.append(
                f"only where the arrow lay: the plate touches the shaft from {ahead:.0f} in down "
                f"to {station[before].min():.0f} in from the nock while the string drives"
            )
    return found


def spells(frame: Array, string_left: float) -> list[ContactSpell]:
    """Stretches of time in which a part of the arrow pressed on plate or shelf.

    Parameters
    ----------
    frame : ndarray, shape (frames, ...)
        Recorded frames of one launch, as launch_batch gives them.
    string_left : float
        When the string let the nock go. [s]

    Returns
    -------
    spells : list of ContactSpell
        In order of time; touches below 0.2 mN·s are left out.
    """
    found: list[ContactSpell] = []
    time = frame[:, 0]
    step = np.diff(time, prepend=0.0)
    # The last step on the string ends as it lets go, to the last digits.
    behind = time > string_left * (1.0 + 1e-9)
    for column, part, plane in (
        (2, "shaft", "plate"),
        (3, "fletching", "plate"),
        (4, "shaft", "shelf"),
        (5, "fletching", "shelf"),
    ):
        touching = frame[:, column] > 0.0
        for after in (False, True):
            here = touching & (behind == after)
            edges = np.flatnonzero(np.diff(np.concatenate(([0], here.astype(int), [0]))))
            for start, stop in zip(edges[::2], edges[1::2], strict=True):
                impulse = float(np.sum(frame[start:stop, column] * step[start:stop]))
                if impulse * 1e3 >= 0.2:
                    found.append(
                        ContactSpell(
                            part,  # type: ignore[arg-type]
                            plane,  # type: ignore[arg-type]
                            round(float(time[start]) * 1e3, 3),
                            round(float(time[stop - 1]) * 1e3, 3),
                            round(impulse * 1e3, 2),
                            after,
                        )
                    )
    return sorted(found, key=lambda one: one.from_ms)


STATUS_SENTENCES = {
    1: "the numbers of the launch went out of bounds",
    2: "the shaft bends further than the beam theory holds: far too weak for this bow",
    3: "the arrow is shorter than the draw and falls behind the strike plate",
    4: "the draw, brace height or masses do not fit together",
    5: "the arrow drops off the shelf while the string drives it",
    103: "the arrow tumbles: it stands at more than 30 degrees to the air on its way",
    104: "the arrow never reaches the butt",
    101: "the arrow falls to the ground before the butt",
    102: "the flight could not be computed from these numbers",
}


def with_value(inputs: Sequence[Uncertain], key: str, middle: float) -> list[Uncertain]:
    """The same inputs with one fixed.

    Parameters
    ----------
    inputs : sequence of Uncertain
        All of them.
    key : str
        Which to fix.
    middle : float
        At this value.

    Returns
    -------
    inputs : list of Uncertain
        A new list.
    """
    return [replace(one, middle=middle, spread=0.0) if one.key == key else one for one in inputs]
