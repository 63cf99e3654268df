"""Arrows and air the flight tests share: measures of our own, nothing published."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loosewell.physics import aero, air, flight, shaft
from loosewell.units import GRAIN, INCH

VISCOSITY = air.viscosity(288.15)
STILL = flight.still_air(1.225, VISCOSITY)


def wooden(fletched: bool = True, **changes: Any) -> NDArray[np.float64]:
    """A 500 gr wooden arrow, 11/32 in by 29 in, 125 gr point, three 4 in feathers or none."""
    length = 29.0 * INCH
    rear = np.array([20.0, 8.0]) * GRAIN
    rest = 500.0 - 125.0 - 28.0
    mass, balance, inertia = shaft.arrow_mass_properties(
        np.full(16, rest * GRAIN / length),
        length,
        125.0 * GRAIN,
        0.3 * INCH,
        0.0,
        rear,
        np.array([3.0, 0.0]) * INCH,
    )
    measures: dict[str, Any] = {
        "mass": mass,
        "inertia": inertia,
        "balance": balance,
        "tip": length + 0.9 * INCH,
        "diameter": 11.0 / 32.0 * INCH,
    }
    if fletched:
        measures |= {
            "count": 3.0,
            "chord": 4.0 * INCH,
            "height": 0.5 * INCH,
            "area": 2.0 / 3.0 * 4.0 * 0.5 * INCH**2,
            "fletch_centre": 3.0 * INCH,
            "angle": math.radians(2.0),
        }
    return aero.arrow_row(**(measures | changes))


def leaving(**columns: float) -> NDArray[np.float64]:
    """A state row, 45 m/s and high above the ground unless said otherwise."""
    state = np.zeros(flight.STATE_COLUMNS)
    state[flight.SPEED] = 45.0
    state[flight.HEIGHT] = 1000.0
    for name, value in columns.items():
        state[getattr(flight, name.upper())] = value
    return state


def weightless(density: float = 1.225) -> NDArray[np.float64]:
    """Still air without gravity."""
    return flight.still_air(density, VISCOSITY, 0.0)
