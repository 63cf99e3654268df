"""How an arrow stands in the butt.

The point enters, the butt stops the arrow over its depth of penetration, and
meanwhile the tail goes on swinging until the growing grip of the butt holds it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

GRIP_SHARE = 1.0 / 3.0
"""Share of the stopping time for which the tail swings as if free. The grip on the
buried length grows from nothing, its moment with the cube of the depth; a third is
a modelling choice, no source, and matters little: 2 rad/s over 7 ms is 0.8 degrees
in full."""


def stand_angle(attitude: Array, path: Array, rate: Array, speed: Array, depth: float) -> Array:
    """Angle at which the arrow stands, against its line of flight on arrival.

    Parameters
    ----------
    attitude : ndarray, shape (n,)
        Angle of the arrow's axis on arrival, nose left or nose up positive. [rad]
    path : ndarray, shape (n,)
        Angle of the path of its centre of mass on arrival, same signs. [rad]
    rate : ndarray, shape (n,)
        Turning rate on arrival. [rad/s]
    speed : ndarray, shape (n,)
        Speed on arrival. [m/s]
    depth : float
        How deep the arrow goes in. [m]

    Returns
    -------
    stand : ndarray, shape (n,)
        Angle of the arrow from its line of flight, positive when the nock stands to
        the left, or high: the opposite side to the nose. [rad]

    Holds
    -----
    Even butt without grain, arrow stopped evenly over depth, no bounce, no old
    hole. The bend that is still ringing is not an angle and is reported apart.

    Source
    ------
    Derived in docs/physics/strike.md; GRIP_SHARE is a modelling choice.
    """
    stopping_time = 2.0 * depth / np.maximum(speed, 1.0)
    return -(attitude - path + rate * stopping_time * GRIP_SHARE)


def penetration_depth(energy: Array, resisting_force: float) -> Array:
    """Depth at which a steady resisting force has used up the energy.

    Parameters
    ----------
    energy : ndarray, shape (n,)
        Kinetic energy on arrival. [J]
    resisting_force : float
        Force of the butt on the arrow. [N]

    Returns
    -------
    depth : ndarray, shape (n,)
        How deep the point goes. [m]

    Holds
    -----
    One steady force; straight entry.

    Source
    ------
    Klopsteg 1943, Penetration of Arrows, in Physics of Bows and Arrows: for a
    given resisting force the depth goes with the kinetic energy.
    """
    return energy / resisting_force
