"""The whole Timoshenko beam, free at both ends, by its transfer matrix, apart from tone.py."""

from __future__ import annotations

import numpy as np
from scipy import linalg, optimize


def frequency(
    bending_stiffness: float,
    mass_per_length: float,
    length: float,
    gyration: float,
    shear_ratio: float,
    near: float,
) -> float:
    """The frequency next to a guess. [Hz]

    State: displacement, turn, moment, shear force. A section turns with the moment and the shear
    force slants it further; both motions have inertia.
    """
    shear = bending_stiffness / gyration**2 / shear_ratio  # kappa G A = E A / (E / kappa G)

    def held(hertz: float) -> float:
        square = (2.0 * np.pi * hertz) ** 2
        step = np.array(
            [
                [0.0, 1.0, 0.0, 1.0 / shear],
                [0.0, 0.0, 1.0 / bending_stiffness, 0.0],
                [0.0, -mass_per_length * gyration**2 * square, 0.0, -1.0],
                [-mass_per_length * square, 0.0, 0.0, 0.0],
            ]
        )
        across = linalg.expm(step * length)
        # Moment and shear force vanish at both ends.
        return float(np.linalg.det(across[2:, :2]))

    return float(optimize.brentq(held, 0.93 * near, 1.04 * near, xtol=1e-9 * near))
