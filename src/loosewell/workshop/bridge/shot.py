"""The shot: launch, flight and strike of a batch, and what came of each."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from dataclasses import dataclass
from types import ModuleType

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.workshop.bridge.arrow import ArrowModel
from loosewell.workshop.bridge.bow import BowModel
from loosewell.workshop.bridge.makes import VIRTUAL_MASS_STRING_GR

Array = NDArray[np.float64]


DRIVE_STEPS, PASS_STEPS = 400, 90
"""Time steps on the string and behind it: yaw rates within 0.01 rad/s of a fine solution."""


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

    @property
    def knock_mns(self) -> Array:
        """How hard the tail knocks in passing the bow. [mN s]"""
        return 1e3 * self.tail_knock

    @property
    def swing_deg(self) -> Array:
        """Farthest the arrow swings off its path in flight. [deg]"""
        from loosewell.physics import flight

        return np.degrees(self.flight[:, flight.LARGEST_ANGLE])

    @property
    def stand_off_deg(self) -> Array:
        """How far off the line of flight it stands, both planes together. [deg]"""
        return np.degrees(np.hypot(self.stand_left, self.stand_high))


REACH_BY_COUNT = {3: 0.5, 4: 0.71, 2: 0.0, 6: 0.87}
"""How far one fletching reaches toward the plate as a share of its height, cock feather out."""
SHELF_WIDTH = 0.02
"""Of a shelf, from the plate outward. [m] Common practice, no source."""
FLETCHING_FOLD = {"feather": 0.4, "tape": 0.2, "vane": 0.05}
"""Damping of a fletching squeezed against the bow: feathers fold and lose what they take,
plastic vanes kick it back. [N s/m] Modelling choices, no source."""
PENETRATION = 0.15
"""Depth into a straw or foam butt. [m] Common practice, no source."""


_AWAKE = threading.Event()


def wake(progress: Callable[[float], None]) -> None:
    """Compile the engine, or load it, with signs of life; at once when that was done before.

    Parameters
    ----------
    progress : callable
        Called several times a second with a rough share of the way.
    """
    if _AWAKE.is_set():
        return
    from loosewell.physics import aero, flight
    from loosewell.physics import launch as kernel

    def compile_both() -> None:
        one = np.zeros(1, dtype=np.int64)
        # Rows of zeros are refused, but only after the kernels were made for these kinds of rows.
        kernel.launch_batch(
            np.zeros((1, kernel.LAUNCH_COLUMNS)), one, one, np.zeros((1, 5, 5, 7)),
            np.zeros((1, kernel.ARROW_COLUMNS)), np.zeros((1, 5)), np.zeros((1, 4, 9)), 1, 1,
        )  # fmt: skip
        state = np.zeros(flight.STATE_COLUMNS)
        state[flight.SPEED] = 50.0
        row = aero.arrow_row(mass=0.03, inertia=0.002, balance=0.4, tip=0.75, diameter=0.009)
        flight.fly(state, row, flight.still_air(1.2, 1.8e-5), 1.0)

    with ThreadPoolExecutor(1) as pool:
        work = pool.submit(compile_both)
        share = 0.0
        while not work.done():
            share += 0.03 * (1.0 - share)
            progress(share)
            wait([work], timeout=0.25)
        work.result()
    _AWAKE.set()
    progress(1.0)


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
        Every uncertain input by key; stiffness_scale and mass_scale default to 1, nock_pinch [N]
        to the arrows' own, reach_scale of the fletching to 1.
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
    row[:, kernel.STRING_THIRD] = values["nock_serving"]
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
    pinch = np.array([one.parts.nock_pinch for one in arrows])[arrow_index]
    row[:, kernel.PINCH] = values.get("nock_pinch", pinch)
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
    far = values.get("reach_scale", 1.0)
    row[:, kernel.FLETCHING_REACH_Y] = reach[arrow_index] * far
    row[:, kernel.FLETCHING_REACH_Z] = reach[arrow_index] * far
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
        np.array([one.slack for one in arrows]),
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


STATUS_SENTENCES = {
    1: "the numbers of the launch went out of bounds",
    2: "the shaft bends further than the beam theory holds: far too weak for this bow",
    3: "the arrow is shorter than the draw and falls behind the strike plate",
    4: "the draw, brace height or masses do not fit together",
    5: "the arrow drops off the shelf while the string drives it",
    6: "the arrow is longer than the engine was checked for, 63 in (1.6 m)",
    103: "the arrow tumbles: it stands at more than 30 degrees to the air on its way",
    104: "the arrow never reaches the butt",
    101: "the arrow falls to the ground before the butt",
    105: "the arrow comes down on the water before the butt",
    102: "the flight could not be computed from these numbers",
}
