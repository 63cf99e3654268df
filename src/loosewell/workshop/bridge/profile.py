"""A shaft as the engine takes it: stiffness, mass and surface along its length."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.errors import EngineRefusal, MissingRefusal
from loosewell.records import Shaft
from loosewell.workshop.bench import Sides, shaft_sides
from loosewell.workshop.bridge import unseen as hidden

Array = NDArray[np.float64]


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
    slack: tuple[tuple[float, float], ...] = ()
    """Of each joint with play: its place from the nock end [m] and half of its play [rad]."""
    slope_error: float = 0.0
    """Standard error of ln E·I from the nock end to the front end, the reading kept. [-]"""

    @cached_property
    def fingerprint(self) -> bytes:
        """Alike for alike shafts, so that what was worked out from one serves the other."""
        numbers = (
            self.length,
            self.stiffness_error,
            self.mass_error,
            self.damping_ratio,
            self.stiff_over_mean,
            self.weak_over_stiff,
            self.slope_error,
        )
        arrays = (self.edge, self.bending_stiffness, self.mass_per_length, self.radius)
        slack = np.array(self.slack, dtype=np.float64).ravel()
        return np.concatenate([np.array(numbers), *arrays, slack]).tobytes()

    def tilted(self, slope: float) -> Profile:
        """The same shaft stiffer toward its front end by so much of ln E·I, the reading kept."""
        from loosewell.physics import shaft as physics
        from loosewell.physics import spine

        middle = 0.5 * (self.edge[:-1] + self.edge[1:])
        span = min(spine.WOOD_SPAN, 0.96 * self.length)
        read = spine.midspan_deflection_varying(1.0, span, middle, self.bending_stiffness)
        leaning = self.bending_stiffness * np.exp(slope * (middle / self.length - 0.5))
        level = physics.stiffness_scale(1.0, span, middle, leaning, read)
        return replace(self, bending_stiffness=level * leaning)

    def turned_round(self) -> Profile:
        """The same shaft with its front end made the nock end."""
        return replace(
            self,
            edge=self.length - self.edge[::-1],
            bending_stiffness=self.bending_stiffness[::-1].copy(),
            mass_per_length=self.mass_per_length[::-1].copy(),
            radius=self.radius[::-1].copy(),
            slack=tuple((self.length - place, half) for place, half in reversed(self.slack)),
        )

    def slack_elements(self, length: float, stiffness: Array) -> Array:
        """For each of equal elements: half the play of the joints in it, and E·I over its length.

        Joints cut away with the front do not count; the plays of two joints in one element add.
        """
        elements = len(stiffness)
        found = np.zeros((elements, 2))
        found[:, 1] = stiffness * elements / length
        for place, half in self.slack:
            if 0.0 <= place < length:
                found[min(int(place / length * elements), elements - 1), 0] += half
        return found

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


def shaft_profile(
    shaft: Shaft,
    bending_stiffness: float,
    relative_error: float,
    sides: Sides | None = None,
) -> Profile:
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
    sides : Sides, optional
        Stiff and weak side as the bench told them; without them they are read off the shaft.

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
    bending_stiffness *= hidden.span_correction(shaft, middle, second, span)
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
    across, stiff_over_mean = _unlike_sides(shaft, sides)
    unseen = hidden.unseen(shaft, edge, stiffness, span)
    slope_error = 0.0
    if unseen is not None:
        relative_error = math.hypot(relative_error, unseen.level, hidden.unread_side(shaft))
        slope_error = unseen.slope
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
        tuple(
            (joint.station_in * units.INCH, 0.5 * math.radians(joint.play_deg))
            for joint in shaft.joints
            if joint.play_deg
        ),
        slope_error,
    )


SLEEVE_IN = 2.0
"""Length of a sleeve that was not measured. [in] Common practice, no source."""


def _pieced(shaft: Shaft, edge: Array, stiffness: Array, area: Array) -> tuple[Array, Array]:
    """Shape of stiffness and mass with the shaft's own sections and joints in it."""
    from loosewell.physics import shaft as physics

    mass = area.copy()
    middle = 0.5 * (edge[:-1] + edge[1:]) / units.INCH
    per_grain = _per_grain(shaft, middle, area * np.diff(edge))
    for section in shaft.sections:
        inside = (middle >= section.from_in) & (middle < section.to_in)
        if section.stiffness_percent is not None:
            stiffness = np.where(inside, stiffness * section.stiffness_percent / 100.0, stiffness)
        if section.weight_gr is not None and inside.any():
            length = float(np.sum(np.diff(edge)[inside]))
            mass = np.where(inside, section.weight_gr * per_grain / length, mass)
    for joint in shaft.joints:
        give = math.radians(joint.give_deg_per_ftlb or 0.0) / units.FOOT_POUND
        sleeve_in = SLEEVE_IN if joint.sleeve_length_in is None else joint.sleeve_length_in
        stiffness, mass = physics.with_joint(
            edge,
            stiffness,
            mass,
            joint.station_in * units.INCH,
            sleeve_in * units.INCH,
            (joint.sleeve_weight_gr or 0.0) * per_grain,
            (joint.stiffness_percent or 100.0) / 100.0,
            give,
        )
    return stiffness, mass


def _per_grain(shaft: Shaft, middle: Array, volume: Array) -> float:
    """What a grain of a weighed part counts in the shape of the mass, so that it keeps its grains.

    The whole was weighed with its sleeves and sections; the plain rest weighs what they leave.
    """
    whole = float(np.sum(volume))
    if not shaft.weight_gr:
        return whole / 350.0
    parts_gr = sum(one.sleeve_weight_gr or 0.0 for one in shaft.joints)
    plain = np.ones(len(volume), dtype=np.bool_)
    for one in shaft.sections:
        inside = (middle >= one.from_in) & (middle < one.to_in)
        if one.weight_gr is not None and inside.any():
            parts_gr += one.weight_gr
            plain &= ~inside
    if not plain.any() or parts_gr >= shaft.weight_gr:
        return whole / shaft.weight_gr
    return float(np.sum(volume[plain])) / (shaft.weight_gr - parts_gr)


def _unlike_sides(shaft: Shaft, sides: Sides | None) -> tuple[float, float]:
    """Weak plane over stiff plane, and stiff plane over the mean, as the bench tells them."""
    told = shaft_sides(shaft) if sides is None else sides
    if told is None or told.ways < 3:
        return hidden.oval(shaft)
    return told.weak_over_stiff, told.stiff_over_mean
