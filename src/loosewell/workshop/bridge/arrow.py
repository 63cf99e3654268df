"""An arrow as the engine takes it: what is put on a shaft, and the beam it makes."""

from __future__ import annotations

import math
from collections import OrderedDict
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.errors import EngineRefusal
from loosewell.records import Arrow, Fletching
from loosewell.workshop.bridge.profile import Profile

Array = NDArray[np.float64]


TRIMMED_AREA = 0.67
"""Area of a feather cut low and curved over length times height. [1] Segment of a parabola."""

ELEMENTS = 12
"""Beam elements of an arrow; see docs/physics/launch.md for how close that is."""


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
    lumps: tuple[tuple[float, float], ...] = ()
    """Further parts on the shaft, such as an insert: mass [kg] and place from the throat [m]."""
    area_share: float = TRIMMED_AREA
    """Area of one feather over its length times its height. [1]"""

    @property
    def mass(self) -> float:
        """Everything put on the shaft. [kg]"""
        return (
            self.point_mass
            + self.nock_mass
            + self.fletching_mass
            + sum(mass for mass, _ in self.lumps)
        )


# Pull at which a nock lets go of the string. [N] No measurement was found: modelling choices.
NOCK_PINCH = {"loose": 1.0, "snug": 5.0, "tight": 15.0}
NOCK_PINCH_UNKNOWN = 4.0


def fitted(part: Parts, arrow: Arrow) -> Parts:
    """The parts with what the arrow's own record says of nock, stiff side, blades and the rest."""
    area = 0.0
    if arrow.point_width_in is not None and arrow.point_blade_length_in is not None:
        # A blade is a triangle; from the side two of them are seen.
        area = 0.5 * arrow.point_width_in * arrow.point_blade_length_in * units.INCH**2
    return replace(
        part,
        nock_pinch=NOCK_PINCH.get(arrow.nock_fit or "", NOCK_PINCH_UNKNOWN),
        stiff_side=math.radians(arrow.stiff_side_deg or 0.0),
        blade_area=area,
        lumps=tuple(
            (one.weight_gr * units.GRAIN, one.at_in * units.INCH) for one in arrow.extra_parts
        ),
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
    slack: Array = field(default_factory=lambda: np.zeros((0, 2)))
    """Of each element half the play of its joints [rad], and its stiffness over length [N m]."""

    def __post_init__(self) -> None:
        if len(self.slack) != len(self.radius) - 1:
            object.__setattr__(self, "slack", np.zeros((len(self.radius) - 1, 2)))


_KEPT = 512
"""Arrow models kept for the next asking: a rack with its tries, and a slider's way."""
_models: OrderedDict[tuple[bytes, float, Parts, int], ArrowModel] = OrderedDict()


def arrow_model(
    profile: Profile, length: float, part: Parts, elements: int = ELEMENTS
) -> ArrowModel:
    """Blocks, masses and air data of one build; the same build is worked out once.

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
    key = (profile.fingerprint, length, part, elements)
    found = _models.get(key)
    if found is None:
        found = _models[key] = _arrow_model(profile, length, part, elements)
        while len(_models) > _KEPT:
            _models.popitem(last=False)
    return found


def _damping_by_air(row: Array, rate: float, shape: Array, place: float) -> float:
    """Damping ratio that the fletching adds to the first bending mode on the way.

    The fletching meets the air at an angle as its stretch of shaft swings, and its
    force is square to the swing and proportional to it: as much damping as half the
    density times speed times force slope times the mode's square there. Taken at
    50 m/s in plain air; the shaft's own cross-flow is left out, it is far smaller.
    """
    from loosewell.physics import aero

    slope = aero.coefficient_rows(row[None], 1.2, 1.82e-5, np.array([50.0]))[0, aero.C_FLETCH]
    at = float(np.interp(place * (len(shape) - 1), np.arange(len(shape)), shape))
    return float(0.5 * 1.2 * 50.0 * slope * at**2 / (2.0 * rate))


def _arrow_model(profile: Profile, length: float, part: Parts, elements: int) -> ArrowModel:
    """The work behind arrow_model."""
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
    blocks = beam.arrow_blocks(
        stiffness, mass_per_length, length, node_mass, part.point_mass, point_centre, point_inertia
    )
    fletching_mass = part.fletching_mass if part.count else 0.0
    for share in (0.25, 0.75):
        moving, softening = beam.lump_blocks(
            0.5 * fletching_mass, part.rear + share * part.chord, length, nodes
        )
        blocks[2] += moving
        blocks[4] += softening
    # What sits beyond an end of the shaft, as a collar on the point may, counts at that end.
    lump_mass = np.array([one for one, _ in part.lumps])
    lump_centre = np.array([min(max(place, 0.0), length) for _, place in part.lumps])
    for lump, place in zip(lump_mass, lump_centre, strict=True):
        moving, softening = beam.lump_blocks(float(lump), float(place), length, nodes)
        blocks[2] += moving
        blocks[4] += softening
    rate, shape = beam.free_modes(blocks[0], blocks[1] + blocks[2], 1)
    mass, balance, inertia = physics.arrow_mass_properties(
        mass_per_length,
        length,
        part.point_mass,
        point_centre,
        point_inertia,
        np.array([nock_mass, part.fletching_mass, *lump_mass]),
        np.array([0.0, middle, *lump_centre]),
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
    part_mass = nock_mass + fletching_mass + part.point_mass + float(np.sum(lump_mass))
    centre_part = (
        fletching_mass * middle
        + part.point_mass * (length + point_centre)
        + float(np.sum(lump_mass * lump_centre))
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
        area=part.area_share * part.chord * part.height,
        fletch_centre=middle,
        roughness=aero.VANE_ROUGHNESS if part.material == "vane" else aero.FEATHER_ROUGHNESS,
        angle=part.angle,
        bend_frequency=float(rate[0]) / (2.0 * math.pi),
        bend_damping=profile.damping_ratio,
    )
    row[aero.BEND_DAMPING] += _damping_by_air(row, rate[0], shape[::2, 0], middle / length)
    return ArrowModel(
        blocks, number, radius, length, mass, balance, inertia,
        float(rate[0]), float(shape[0, 0]), row, part, diameter,
        profile.stiff_over_mean, profile.weak_over_stiff,
        profile.slack_elements(length, stiffness),
    )  # fmt: skip
