"""The air of a day as the flight takes it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loosewell import units

Array = NDArray[np.float64]


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
