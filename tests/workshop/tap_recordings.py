"""Recordings of taps that nobody made: a beam by scikit-fem, its modes summed, room and hum added.

Nothing here comes from physics/tone.py: the modes are scikit-fem's Hermite elements, shear and
rotary inertia come from the transfer matrix of the whole Timoshenko beam, the stiffness a bench
would read from the unit-load integral.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

import numpy as np
import skfem
from numpy.typing import NDArray
from scipy import linalg, signal
from skfem.helpers import dd, ddot

from loosewell.records.shaft import Shaft
from loosewell.units import GRAIN, INCH
from physics.thick_beam import frequency as whole_timoshenko

Array = NDArray[np.float64]
POUND = 2.0 * 4.4482216152605 * 26.0**2 * INCH**2 / 48.0
"""E·I of one pound of spine: 26 in over the deflection under 2 lb on 26 in. [N m²]"""
MODES = 7


@dataclass(frozen=True)
class Beam:
    """A shaft whose stiffness wavers along its length and between its two sides."""

    spine_lb: float = 45.0
    length: float = 31.0 * INCH
    mass: float = 355.0 * GRAIN
    diameter: float = 11.0 / 32.0 * INCH
    uneven: float = 0.03
    """Standard deviation of ln E·I along the shaft, in waves of a third of it and shorter."""
    sides: float = 0.0
    """ln of stiff over weak side."""
    shear_ratio: float = 18.0
    damping: float = 0.003
    seed: int = 1

    def stiffness(self, share: Array) -> Array:
        chance = np.random.default_rng(self.seed)
        wave = sum(
            chance.standard_normal() * np.cos(n * np.pi * share)
            + chance.standard_normal() * np.sin(n * np.pi * share)
            for n in range(2, 8)
        )
        even = self.spine_lb * POUND
        return np.asarray(even * np.exp(self.uneven * wave / np.sqrt(6.0)))

    def resting_spine_lb(self) -> float:
        """What a bench would read, both sides averaged, if wood rested as it rings. [lb]"""
        span = 26.0 * INCH
        start = 0.5 * (self.length - span)
        s = (np.arange(4000) + 0.5) * span / 4000
        arm = 0.5 * np.minimum(s, span - s)
        bend = np.sum(arm**2 / self.stiffness((start + s) / self.length)) * span / 4000
        level = span**3 / 48.0 / bend
        return float(level / POUND)

    @cache  # noqa: B019 - a handful of beams, frozen
    def modes(self) -> tuple[Array, Array, Array]:
        """Frequencies of the weak-to-stiff mean [Hz], and motion at the tap and the microphone."""
        n = 48
        basis = skfem.Basis(
            skfem.MeshLine(np.linspace(0.0, self.length, n + 1)),
            skfem.ElementLineHermite(),
            intorder=6,
        )
        per_length = self.mass / self.length + 1.2 * np.pi * self.diameter**2 / 4.0

        @skfem.BilinearForm
        def bending(u: object, v: object, w: object) -> object:
            return self.stiffness(w.x[0] / self.length) * ddot(dd(u), dd(v))  # type: ignore[attr-defined]

        @skfem.BilinearForm
        def inertia(u: object, v: object, _: object) -> object:
            return per_length * u * v  # type: ignore[operator]

        K, M = bending.assemble(basis).toarray(), inertia.assemble(basis).toarray()
        value, shape = linalg.eigh(K, M, subset_by_index=(2, MODES + 1))
        hertz = np.sqrt(value) / (2.0 * np.pi)
        gyration, even = 0.25 * self.diameter, float(np.mean(self.stiffness(np.linspace(0, 1, 99))))
        root = np.array([4.7300407, 7.8532046, 10.9956078, 14.1371655, 17.2787596, 20.4203522,
                         23.5619449])  # fmt: skip
        thin = root**2 / (2.0 * np.pi * self.length**2) * np.sqrt(even / per_length)
        thick = [
            whole_timoshenko(even, per_length, self.length, gyration, self.shear_ratio, 0.985 * f)
            for f in thin
        ]
        nodal = basis.get_dofs(elements=True).all("u")
        nodal = nodal[np.argsort(basis.doflocs[0, nodal])]
        return hertz * np.array(thick) / thin, shape[nodal[3]], shape[nodal[-6]]

    def record(self) -> Shaft:
        return Shaft(
            name="A shaft",
            kind="solid",
            length_in=round(self.length / INCH, 3),
            weight_gr=self.mass / GRAIN,
            weight_error_gr=0.5,
            stations=({"station_in": 0.0, "diameter_in": self.diameter / INCH},),  # type: ignore[arg-type]
        )


@dataclass(frozen=True)
class Room:
    """Where it was recorded; ``signal_over_noise_db`` compares the first 0.3 s with the room."""

    rate: int = 22050
    before: float = 0.6
    after: float = 2.0
    signal_over_noise_db: float = 30.0
    hum: float = 0.0
    """Mains hum over the ring's first 0.3 s, as root mean squares."""
    mains: float = 50.01
    lowest: float = 120.0
    """Below this the microphone loses 12 dB an octave. [Hz]"""
    full_scale: float = 0.5
    turn: float = 0.6
    """How the blow is shared between the two sides. [rad]"""
    seed: int = 11
    blows: tuple[tuple[float, float], ...] = field(default=((0.0, 1.0),))
    """Seconds after the first tap, and strength."""


def sound(beam: Beam, room: Room) -> Array:
    """One channel, full scale 1."""
    chance = np.random.default_rng(room.seed)
    hertz, at_tap, at_ear = beam.modes()
    whole = np.zeros(int((room.before + room.after) * room.rate))
    time = np.arange(int(room.after * room.rate)) / room.rate
    ring = np.zeros_like(time)
    for side, share in ((-0.5, np.cos(room.turn) ** 2), (0.5, np.sin(room.turn) ** 2)):
        for f, a, b in zip(hertz, at_tap, at_ear, strict=True):
            there = f * np.exp(0.5 * side * beam.sides)
            if there > 0.42 * room.rate:
                continue
            omega = 2.0 * np.pi * there
            size = share * a * b / (1.0 + (there / 1200.0) ** 2)
            size *= (there / room.lowest) ** 2 / np.sqrt(1.0 + (there / room.lowest) ** 4)
            ring += size * np.exp(-beam.damping * omega * time) * np.sin(omega * time)
    start = len(whole) - len(time)
    for later, strength in room.blows:
        at = start + int(later * room.rate)
        whole[at:] += strength * ring[: len(whole) - at]
    loud = float(np.sqrt(np.mean(ring[: int(0.3 * room.rate)] ** 2)))
    noise = signal.lfilter([1.0], [1.0, -0.8], chance.standard_normal(len(whole)))
    whole += noise * loud * 10.0 ** (-room.signal_over_noise_db / 20.0) / np.std(noise)
    clock = np.arange(len(whole)) / room.rate
    hum = sum(np.sin(2.0 * np.pi * room.mains * k * clock + k) / k for k in (1, 2, 3, 4, 5))
    whole += room.hum * loud * np.asarray(hum)
    return np.asarray(room.full_scale * whole / np.max(np.abs(whole)))


def speech(rate: int = 22050, pitch: float = 120.0, seed: int = 5) -> Array:
    """Something like a voice: a gliding pitch, formants, two syllables a second."""
    chance = np.random.default_rng(seed)
    time = np.arange(3 * rate) / rate
    gliding = pitch * (1.0 + 0.08 * np.sin(2.0 * np.pi * 1.3 * time))
    phase = 2.0 * np.pi * np.cumsum(gliding) / rate
    voice = sum(np.sin(k * phase) / k for k in range(1, 25))
    out = np.zeros_like(time)
    for formant, width, size in ((600.0, 90.0, 1.0), (1200.0, 120.0, 0.6), (2500.0, 200.0, 0.3)):
        r = np.exp(-np.pi * width / rate)
        turn = 2.0 * np.pi * formant / rate
        out += size * signal.lfilter([1.0 - r], [1.0, -2.0 * r * np.cos(turn), r * r], voice)
    out *= np.clip(np.sin(2.0 * np.pi * 2.0 * time) + 0.2, 0.0, 1.0)
    return np.asarray(0.5 * out / np.max(np.abs(out)) + 0.002 * chance.standard_normal(len(out)))
