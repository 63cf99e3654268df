"""Arrows, bows and rows the launch tests share: measures of our own, nothing published."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loosewell.physics import beam, bow, launch
from loosewell.units import GRAIN, INCH, POUND_FORCE

Array = NDArray[np.float64]

BRACE = 6.5 * INCH
DRAW = 26.25 * INCH
WEIGHT = 57.0 * POUND_FORCE
BOW_LENGTH = 68.0 * INCH


@dataclass(frozen=True)
class BuiltArrow:
    """Tables of one arrow as launch_batch wants them, and its first bending rate [rad/s]."""

    blocks: Array
    number: Array
    radius: Array
    rate: float


def built_arrow(
    elements: int = 16,
    bending_stiffness: float = 4.85,
    length: float = 29.0 * INCH,
    shaft_mass: float = 332.0 * GRAIN,
    point_mass: float = 125.0 * GRAIN,
    point_centre: float = 0.012,
    point_inertia: float = 5e-7,
    nock_mass: float = 10.0 * GRAIN,
    fletching: tuple[float, float] | None = None,
    fletching_mass: float = 9.0 * GRAIN,
    radius: float = 11.0 / 64.0 * INCH,
    damping_ratio: float = 0.004,
) -> BuiltArrow:
    """A parallel wooden arrow; fletching is where its rear and front edge lie, None is bare."""
    nodes = elements + 1
    mass_per_length = np.full(elements, shaft_mass / length)
    node_mass = np.zeros(nodes)
    node_mass[0] = nock_mass
    blocks = beam.arrow_blocks(
        np.full(elements, bending_stiffness),
        mass_per_length,
        length,
        node_mass,
        point_mass,
        point_centre,
        point_inertia,
    )
    feathers, middle = 0.0, 0.0
    if fletching is not None:
        feathers, middle = fletching_mass, 0.5 * sum(fletching)
        moving, softening = beam.lump_blocks(feathers, middle, length, nodes)
        blocks[2] += moving
        blocks[4] += softening
    rate = float(beam.free_modes(blocks[0], blocks[1] + blocks[2], 1)[0][0])
    part_mass = nock_mass + feathers + point_mass
    number = np.zeros(launch.ARROW_COLUMNS)
    number[launch.LENGTH] = length
    number[launch.SHAFT_MASS] = shaft_mass
    number[launch.PART_MASS] = part_mass
    number[launch.CENTRE_SHAFT] = 0.5 * length
    number[launch.CENTRE_PART] = (
        feathers * middle + point_mass * (length + point_centre)
    ) / part_mass
    if fletching is not None:
        number[launch.FLETCHING_REAR], number[launch.FLETCHING_FRONT] = fletching
    number[launch.DAMPING_TIME] = 2.0 * damping_ratio / rate
    return BuiltArrow(blocks, number, np.full(nodes, radius), rate)


def bow_table(
    weight: float = WEIGHT,
    brace: float = BRACE,
    draw: float = DRAW,
    bow_length: float = BOW_LENGTH,
    energy_ratio: float = 0.52,
    points: int = bow.TABLE_POINTS,
) -> Array:
    """Draw force and string geometry of a plain bow, shape (4, points)."""
    force = bow.force_table(np.array([draw]), np.array([weight]), brace, energy_ratio, points)
    return np.concatenate((force[None], bow.string_geometry(bow_length, brace, draw, points)))


def row(**changes: float) -> Array:
    """One launch from a wooden bow with plate, shelf and a push of the fingers.

    Columns are changed by their names in lower case.
    """
    values: dict[str, float] = {
        "draw": DRAW,
        "brace": BRACE,
        "top_draw": DRAW,
        "force_scale": 1.0,
        "virtual_mass": 0.014,
        "string_third": 0.0035,
        "string_z": 5000.0,
        "plate_offset": 0.25 * INCH,
        "plate_stiffness": 8000.0,
        "plate_damping": 36.0,
        "shelf_stiffness": 8000.0,
        "shelf_damping": 36.0,
        "nock_height": 0.375 * INCH,
        "loose_push": 0.0045,
        "loose_travel": 0.018,
        "finger_stiffness": 5000.0,
        "stiffness_scale": 1.0,
        "mass_scale": 1.0,
        "fletching_stiffness": 250.0,
        "fletching_reach_y": 0.25 * INCH,
        "fletching_reach_z": 0.25 * INCH,
        "limb_mass": 0.075,
    }
    out = np.zeros(launch.LAUNCH_COLUMNS)
    for name, value in (values | changes).items():
        out[getattr(launch, name.upper())] = value
    return out


def untouched(**changes: float) -> Array:
    """The same without plate, shelf, fletching or fingers: nothing but string and gravity.

    The arrow still starts at a slant, as if it lay against the plate.
    """
    nothing = {
        "plate_stiffness": 0.0,
        "plate_damping": 0.0,
        "shelf_stiffness": 0.0,
        "shelf_damping": 0.0,
        "fletching_stiffness": 0.0,
        "fletching_reach_y": 0.0,
        "fletching_reach_z": 0.0,
        "loose_push": 0.0,
    }
    return row(**(nothing | changes))


def undamped(arrow: BuiltArrow) -> BuiltArrow:
    """The same arrow of a material that swallows nothing."""
    number = arrow.number.copy()
    number[launch.DAMPING_TIME] = 0.0
    return replace(arrow, number=number)


def run(
    rows: list[Array] | Array,
    arrow: BuiltArrow | None = None,
    table: Array | None = None,
    **more: Any,
) -> tuple[Array, Array]:
    """All rows with one arrow from one bow: out and frame of launch_batch."""
    arrow = built_arrow() if arrow is None else arrow
    table = bow_table() if table is None else table
    which = np.zeros(len(rows), dtype=np.int64)
    return launch.launch_batch(
        np.array(rows),
        which,
        which,
        arrow.blocks[None],
        arrow.number[None],
        arrow.radius[None],
        table[None],
        **more,
    )
