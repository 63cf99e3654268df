"""Air for the flight: density, viscosity, pressure with height, and gravity.

Plain Python: worked out once a match.
"""

from __future__ import annotations

import math

STANDARD_TEMPERATURE = 288.15
"""Sea-level temperature of the standard atmosphere. [K]"""
STANDARD_PRESSURE = 101325.0
"""Sea-level pressure of the standard atmosphere. [Pa]"""
STANDARD_DENSITY = 1.225
"""Sea-level density of the standard atmosphere, rounded as usual. [kg/m³]"""
LAPSE_RATE = 0.0065
"""Fall of temperature with height below 11 km. [K/m]"""
GAS_CONSTANT_AIR = 287.05287
"""Specific gas constant of dry air in the standard atmosphere. [J/(kg K)]"""
EARTH_RADIUS = 6356766.0
"""Radius that turns geometric into geopotential height. [m]"""


def saturation_pressure(temperature: float) -> float:
    """Pressure of water vapour over water at saturation.

    Parameters
    ----------
    temperature : float
        Air temperature. [K]

    Returns
    -------
    pressure : float
        Saturation vapour pressure. [Pa]

    Holds
    -----
    0 to 35 °C; used a little beyond with an error far below that of any weather
    report.

    Source
    ------
    Picard, Davis, Gläser, Fujii 2008, Metrologia 45, 149 (CIPM-2007), appendix A1.1.
    """
    return math.exp(
        1.2378847e-5 * temperature**2
        - 1.9121316e-2 * temperature
        + 33.93711047
        - 6343.1645 / temperature
    )


def air_density(temperature: float, pressure: float, humidity: float) -> float:
    """Density of moist air.

    Parameters
    ----------
    temperature : float
        Air temperature. [K]
    pressure : float
        Pressure at the place itself, not reduced to sea level. [Pa]
    humidity : float
        Relative humidity, 0 to 1. [1]

    Returns
    -------
    density : float
        Mass of moist air per volume. [kg/m³]

    Holds
    -----
    Fitted for 15 to 27 °C and 600 to 1100 hPa; outside it stays within about
    0.1 %, plenty for a flight. Carbon dioxide 400 parts per million.

    Source
    ------
    Picard, Davis, Gläser, Fujii 2008, Metrologia 45, 149 (CIPM-2007).
    """
    t = temperature - 273.15
    enhancement = 1.00062 + 3.14e-8 * pressure + 5.6e-7 * t**2
    vapour = humidity * enhancement * saturation_pressure(temperature) / pressure
    compressibility = (
        1.0
        - pressure
        / temperature
        * (
            1.58123e-6
            - 2.9331e-8 * t
            + 1.1043e-10 * t**2
            + (5.707e-6 - 2.051e-8 * t) * vapour
            + (1.9898e-4 - 2.376e-6 * t) * vapour**2
        )
        + (pressure / temperature) ** 2 * (1.83e-11 - 0.765e-8 * vapour**2)
    )
    return 3.483740e-3 * pressure / (compressibility * temperature) * (1.0 - 0.3780 * vapour)


def standard_atmosphere(height: float) -> tuple[float, float, float]:
    """Temperature, pressure and density of the standard atmosphere at a height.

    Parameters
    ----------
    height : float
        Geometric height above sea level. [m]

    Returns
    -------
    temperature : float
        Temperature. [K]
    pressure : float
        Pressure. [Pa]
    density : float
        Density. [kg/m³]

    Holds
    -----
    −500 m to 11 km; a convention, not weather.

    Source
    ------
    International standard atmosphere (ISO 2533), from memory; held against two
    libraries in the tests.
    """
    potential = EARTH_RADIUS * height / (EARTH_RADIUS + height)
    temperature = STANDARD_TEMPERATURE - LAPSE_RATE * potential
    power = 9.80665 / (GAS_CONSTANT_AIR * LAPSE_RATE)
    pressure = STANDARD_PRESSURE * math.pow(temperature / STANDARD_TEMPERATURE, power)
    return temperature, pressure, pressure / (GAS_CONSTANT_AIR * temperature)


def viscosity(temperature: float) -> float:
    """Dynamic viscosity of air.

    Parameters
    ----------
    temperature : float
        Air temperature. [K]

    Returns
    -------
    viscosity : float
        Dynamic viscosity. [Pa s]

    Holds
    -----
    About 100 to 1900 K; moisture ignored (below 1 %).

    Source
    ------
    Sutherland's law with the constants of the standard atmosphere,
    1.458e-6 T^1.5 / (T + 110.4), from memory.
    """
    return 1.458e-6 * temperature * math.sqrt(temperature) / (temperature + 110.4)


def normal_gravity(latitude: float, height: float) -> float:
    """Acceleration of free fall on the reference ellipsoid.

    Parameters
    ----------
    latitude : float
        Geographic latitude. [rad]
    height : float
        Height above the ellipsoid. [m]

    Returns
    -------
    gravity : float
        Normal gravity. [m/s²]

    Holds
    -----
    Heights to a few kilometres; local anomalies (below 0.0005 m/s²) ignored.

    Source
    ------
    WGS 84 normal gravity (Somigliana), with the height term to second order, as in
    public navigation texts.
    """
    semi_major = 6378137.0
    flattening = 1.0 / 298.257223563
    ratio = 0.00344978650684  # centrifugal over gravity at the equator
    sine2 = math.sin(latitude) ** 2
    level = 9.7803253359 * (1.0 + 0.00193185265241 * sine2) / math.sqrt(1.0 - 0.00669437999 * sine2)
    return level * (
        1.0
        - 2.0 / semi_major * (1.0 + flattening + ratio - 2.0 * flattening * sine2) * height
        + 3.0 * height**2 / semi_major**2
    )
