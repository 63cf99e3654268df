"""Several normal statements about the same unknowns, taken together exactly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

EIGHT_OF_TEN = 1.2815515655446004
"""Standard errors to either side that hold eight of ten values of a normal. [-] Exact constant."""


@dataclass(frozen=True)
class Normal:
    """Jointly normal unknowns: ``mean`` of shape (n,), ``covariance`` of shape (n, n)."""

    mean: Array
    covariance: Array

    def of(self, row: Array, shift: float = 0.0) -> tuple[float, float]:
        """Mean and standard error of a weighted sum of the unknowns.

        Parameters
        ----------
        row : ndarray, shape (n,)
            The weights.
        shift : float
            Added to the sum.

        Returns
        -------
        mean, error : float
            Exact.
        """
        row = np.asarray(row, dtype=np.float64)
        variance = float(row @ self.covariance @ row)
        return float(row @ self.mean) + shift, float(np.sqrt(max(variance, 0.0)))

    def given(self, row: Array, seen: float, error: float) -> Normal:
        """The unknowns once a weighted sum of them was measured.

        Parameters
        ----------
        row : ndarray, shape (n,)
            The weights of the sum.
        seen : float
            What was measured.
        error : float
            Its standard error, above zero.

        Returns
        -------
        normal : Normal
            The exact posterior of normal statements (the update of Kalman 1960, J. Basic Eng.
            82, 35; from memory).
        """
        row = np.asarray(row, dtype=np.float64)
        pull = self.covariance @ row
        gain = pull / (float(row @ pull) + error**2)
        return Normal(
            self.mean + gain * (seen - float(row @ self.mean)),
            self.covariance - np.outer(gain, pull),
        )

    def surprise(self, row: Array, seen: float, error: float) -> float:
        """How many standard errors a measured sum lies from what was expected of it."""
        mean, own = self.of(row)
        return (seen - mean) / float(np.hypot(own, error))
