"""How a shaft rings: bending frequencies free at both ends, and what they say about its stiffness.

Frequencies here are in Hz, as they are read off a recording; modes are counted from 1, the lowest
bending mode. Plain NumPy on purpose: a recording at a time needs no compiler.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loosewell.physics import beam

Array = NDArray[np.float64]
Modes = NDArray[np.int64]

AIR_DENSITY = 1.2
"""Of the air that moves along with a ringing shaft. [kg/m³]"""
FARTHEST_PLANES = 1.14
"""Two rings closer than this ratio may be one mode in two unlike planes. [-]"""


def free_free_root(mode: Modes) -> Array:
    """Root beta L of a uniform beam free at both ends.

    Parameters
    ----------
    mode : ndarray of int, any shape
        Counted from 1. [-]

    Returns
    -------
    root : ndarray, same shape
        Solution of cos x cosh x = 1. [-]

    Holds
    -----
    Bending only; the two rigid motions are not counted.

    Source
    ------
    Euler-Bernoulli beam, any text on vibration; Newton's method from (mode + 1/2) pi.
    """
    x = (np.asarray(mode, dtype=np.float64) + 0.5) * np.pi
    for _ in range(6):
        x = x - (np.cos(x) - 1.0 / np.cosh(x)) / (np.tanh(x) / np.cosh(x) - np.sin(x))
    return np.asarray(x)


def free_free_shape(place: Array, mode: int) -> Array:
    """Sideways motion along a uniform beam free at both ends.

    Parameters
    ----------
    place : ndarray, any shape
        From one end, as a share of the length, 0 to 1. [-]
    mode : int
        Counted from 1. [-]

    Returns
    -------
    motion : ndarray, same shape
        1 at the first end; its mean square along the beam is 1/4. [-]

    Holds
    -----
    Thin uniform beam.

    Source
    ------
    Euler-Bernoulli beam, any text on vibration.
    """
    root = float(free_free_root(np.array([mode]))[0])
    x = root * np.asarray(place, dtype=np.float64)
    # cosh and sinh written so that nothing grows beyond what it is subtracted from.
    sigma = (np.cosh(root) - np.cos(root)) / (np.sinh(root) - np.sin(root))
    far = (np.cos(root) - np.sin(root) - np.exp(-root)) / (np.sinh(root) - np.sin(root))
    growing = 0.5 * far * np.exp(x)
    return np.asarray(
        0.5 * (np.cos(x) - sigma * np.sin(x) + growing + 0.5 * (1.0 + sigma) * np.exp(-x))
    )


def uniform_frequencies(
    bending_stiffness: float, mass_per_length: float, length: float, mode: Modes
) -> Array:
    """Bending frequencies of a thin uniform shaft free at both ends.

    Parameters
    ----------
    bending_stiffness : float
        E·I. [N m²]
    mass_per_length : float
        Mass for each metre. [kg/m]
    length : float
        End to end. [m]
    mode : ndarray of int, any shape
        Counted from 1. [-]

    Returns
    -------
    frequency : ndarray, same shape
        In the ratios 1 : 2.757 : 5.404 : 8.933 : 13.34. [Hz]

    Holds
    -----
    No shear, no rotary inertia (thickness_factor gives those), no air, no support.

    Source
    ------
    Euler-Bernoulli beam, (beta L)² / (2 pi L²) · sqrt(E I / mu); any text on vibration.
    """
    root = free_free_root(mode)
    return np.asarray(
        root**2 / (2.0 * np.pi * length**2) * np.sqrt(bending_stiffness / mass_per_length)
    )


def thickness_factor(gyration: float, length: float, shear_ratio: float, mode: Modes) -> Array:
    """By what the square of a frequency falls because the shaft is not infinitely thin.

    Parameters
    ----------
    gyration : float
        Radius of gyration of the section: a quarter of the diameter of a round rod. [m]
    length : float
        End to end. [m]
    shear_ratio : float
        Young's modulus over shear modulus and shear coefficient, E / (kappa G): about 3 for a
        metal rod, 5 for a metal tube, 18 for a wooden rod. [-]
    mode : ndarray of int, any shape
        Counted from 1. [-]

    Returns
    -------
    factor : ndarray, same shape
        At least 1: thin frequency squared over the true one squared. [-]

    Holds
    -----
    First order in (gyration/length)²: against the whole Timoshenko equation the factor less 1 is
    out by about its own square.

    Source
    ------
    Rayleigh's quotient with rotary inertia and shear energy, derived in docs/physics/tone.md; the
    two functions of theta agree with Goens 1931 as Hearmon 1958 gives them (from memory).
    """
    root = free_free_root(mode)
    sigma = (np.cosh(root) - np.cos(root)) / (np.sinh(root) - np.sin(root))
    theta = root * sigma
    rotary = theta * (theta + 6.0)
    shear = theta * (theta - 2.0)
    return np.asarray(1.0 + (gyration / length) ** 2 * (rotary + shear_ratio * shear))


def air_along(diameter: float) -> float:
    """Mass of air that moves with each metre of a ringing shaft.

    Parameters
    ----------
    diameter : float
        Outer diameter. [m]

    Returns
    -------
    mass_per_length : float
        The air the shaft displaces. [kg/m]

    Holds
    -----
    Motion small against the diameter; about 0.25 % of a wooden shaft's own mass.

    Source
    ------
    Added mass of a cylinder in potential flow; any text on fluid mechanics.
    """
    return AIR_DENSITY * np.pi * 0.25 * diameter**2


def shaft_frequencies(
    bending_stiffness: Array,
    mass_per_length: Array,
    length: float,
    rear_mass: float,
    front_mass: float,
    count: int,
) -> Array:
    """Bending frequencies of a thin shaft that varies along its length, with masses at its ends.

    Parameters
    ----------
    bending_stiffness : ndarray, shape (elements,)
        E·I of each of a number of equal elements, from the nock end on. [N m²]
    mass_per_length : ndarray, shape (elements,)
        Mass for each metre of each element. [kg/m]
    length : float
        End to end. [m]
    rear_mass : float
        Mass sitting on the nock end, 0 for none. [kg]
    front_mass : float
        Mass sitting on the front end, such as a point; 0 for none. [kg]
    count : int
        Number of modes, well below the number of elements. [-]

    Returns
    -------
    frequency : ndarray, shape (count,)
        Rising. [Hz]

    Holds
    -----
    End masses are points without a length of their own; no shear, no rotary inertia.

    Source
    ------
    beam.free_modes: Hermite elements.
    """
    stiff = beam.stiffness_blocks(bending_stiffness, length)
    mass = beam.mass_blocks(mass_per_length, length)
    mass[0, 0] += rear_mass
    mass[-1, 0] += front_mass
    angular, _ = beam.free_modes(stiff, mass, count)
    return np.asarray(angular / (2.0 * np.pi))


def stiffness_from_modes(
    frequency: Array,
    frequency_error: Array,
    model_frequency: Array,
    model_stiffness: float,
    own_model_error: Array,
    shear_effect: Array,
) -> tuple[float, float, float, Array]:
    """Bending stiffness from several rings of one shaft.

    Parameters
    ----------
    frequency : ndarray, shape (rings,)
        As heard. [Hz]
    frequency_error : ndarray, shape (rings,)
        Standard error of each. [Hz]
    model_frequency : ndarray, shape (rings,)
        What the mode of each would ring at with the model's stiffness. [Hz]
    model_stiffness : float
        E·I, or the scale of it, used for model_frequency. [N m²]
    own_model_error : ndarray, shape (rings,)
        Relative standard error of the stiffness from each ring alone because no shaft is the
        model: one mode feels other places than the next. [1]
    shear_effect : ndarray, shape (rings,)
        Relative error of the stiffness from each ring that comes from not knowing the shear
        modulus; the same unknown for all rings. [1]

    Returns
    -------
    bending_stiffness : float
        Best weighted mean of the logarithms. [N m²]
    relative_error : float
        Of it, with the shear; without the errors of mass and length. [1]
    scatter : float
        Root mean square misfit per degree of freedom; above 1 the error has been widened by it. [1]
    each : ndarray, shape (rings,)
        Stiffness from each ring alone. [N m²]

    Holds
    -----
    Frequency grows with the root of stiffness. Errors well below 1.

    Source
    ------
    Generalised least squares with the scale factor of Birge 1932, Phys. Rev. 40, 207 (from
    memory).
    """
    logarithm = 2.0 * np.log(frequency / model_frequency)
    own = (2.0 * frequency_error / frequency) ** 2 + own_model_error**2
    covariance = np.diag(own) + np.outer(shear_effect, shear_effect)
    inverse = np.linalg.inv(covariance)
    total = float(inverse.sum())
    mean = float(inverse.sum(axis=0) @ logarithm) / total
    scatter = 1.0
    if logarithm.size > 1:
        off = logarithm - mean
        scatter = float(np.sqrt(off @ inverse @ off / (logarithm.size - 1)))
    error = max(1.0, scatter) / np.sqrt(total)
    return (
        model_stiffness * float(np.exp(mean)),
        float(error),
        scatter,
        np.asarray(model_stiffness * np.exp(logarithm)),
    )


def match_modes(
    frequency: Array, strength: Array, model_frequency: Array, slack: Array
) -> list[tuple[float, float, Modes]]:
    """Ways to read a set of rings as bending modes, the likeliest first.

    Parameters
    ----------
    frequency : ndarray, shape (rings,)
        As heard, rising. [Hz]
    strength : ndarray, shape (rings,)
        How plainly each stands out, 0 to 1; a plain ring left over costs more than a faint one. [1]
    model_frequency : ndarray, shape (modes,)
        Frequencies of the modes of some such shaft, from the lowest; only their ratios count. [Hz]
    slack : ndarray, shape (modes,)
        How far each mode may stand off its ratio, one standard error, relative. [1]

    Returns
    -------
    readings : list of (score, scale, mode)
        Score, natural logarithm of a likelihood [1]; frequency over model frequency [1]; the mode
        of each ring, 0 for one that is none [-]. Each differs from those before it by more than a
        hair in scale.

    Holds
    -----
    The lowest modes may be missing, as small microphones lose them: the first at little cost,
    further ones at more; any number at the top at none; one missing in between at some cost.
    A mode may have two rings, in two unlike planes. What is left over lies anywhere, evenly in
    the logarithm.

    Source
    ------
    Derived in docs/physics/tone.md; the costs are modelling choices, no source.
    """
    clutter = 1.0 / 4.0
    low_cost = (0.0, 0.7, 2.0, 4.0)
    found: list[tuple[float, float, Modes]] = []
    logarithm, model = np.log(frequency), np.log(model_frequency)
    for start in range(len(frequency)):
        for first in range(min(len(model), 6)):
            scale = float(logarithm[start] - model[first])
            for _ in range(4):
                off = logarithm[:, None] - model[None, :] - scale
                nearest = np.argmin(np.abs(off) / slack[None, :], axis=1)
                miss = off[np.arange(len(frequency)), nearest]
                allowed = 3.0 * slack[nearest]
                mode = np.where(np.abs(miss) < allowed, nearest + 1, 0)
                mode[start] = first + 1
                used = mode > 0
                weight = strength[used] / slack[mode[used] - 1] ** 2
                shift = np.average(logarithm[used] - model[mode[used] - 1], weights=weight)
                if abs(shift - scale) < 1e-6:
                    break
                scale = float(shift)
            score = 0.0
            for number in range(1, len(model) + 1):
                rings = np.nonzero(mode == number)[0]
                if len(rings) > 2 or (
                    len(rings) == 2 and frequency[rings[1]] > FARTHEST_PLANES * frequency[rings[0]]
                ):
                    plainest = rings[np.argsort(-strength[rings])[:1]]
                    mode[np.setdiff1d(rings, plainest)] = 0
            used = mode > 0
            taken = np.unique(mode[used])
            for ring in np.nonzero(used)[0]:
                width = slack[mode[ring] - 1]
                away = (logarithm[ring] - model[mode[ring] - 1] - scale) / width
                density = np.exp(-0.5 * away**2) / (width * np.sqrt(2.0 * np.pi))
                gain = np.log(0.7 * density / clutter)
                # A second ring of a mode tells of planes, not of the ratio.
                twin = np.any((mode == mode[ring]) & (strength > strength[ring]))
                score += (0.3 if twin else 0.4 + 0.6 * strength[ring]) * gain
            score -= float(np.sum(2.0 * strength[~used]))
            score -= 1.4 * float(taken[-1] - taken[0] + 1 - len(taken))
            lost = int(taken[0]) - 1
            score -= low_cost[lost] if lost < len(low_cost) else 4.0 + 2.0 * (lost - 3)
            found.append((float(score), float(np.exp(scale)), mode.astype(np.int64)))
    found.sort(key=lambda one: -one[0])
    kept: list[tuple[float, float, Modes]] = []
    for one in found:
        if all(abs(np.log(one[1] / other[1])) > 0.04 for other in kept):
            kept.append(one)
    return kept


def damping_from_envelope(time: Array, envelope: Array, frequency: float) -> tuple[float, float]:
    """Damping ratio of one ring from how its envelope dies away.

    Parameters
    ----------
    time : ndarray, shape (samples,)
        Since any moment. [s]
    envelope : ndarray, shape (samples,)
        Size of the oscillation, any unit, above 0. [any]
    frequency : float
        Of the ring. [Hz]

    Returns
    -------
    damping_ratio : float
        Share of critical damping. [-]
    error : float
        Standard error from the scatter about the straight line. [-]

    Holds
    -----
    One ring alone, clear of the noise.

    Source
    ------
    Slope of the logarithm, minus zeta omega; any text on vibration.
    """
    centred = time - np.mean(time)
    logarithm = np.log(envelope)
    slope = float(centred @ logarithm / (centred @ centred))
    off = logarithm - np.mean(logarithm) - slope * centred
    spread = float(np.sqrt(off @ off / max(len(time) - 2, 1) / (centred @ centred)))
    omega = 2.0 * np.pi * frequency
    return -slope / omega, spread / omega


def damping_from_width(frequency: float, width: float, window_decay: float) -> float:
    """Damping ratio of one ring from the half-power width of its peak, freed from the window's.

    Parameters
    ----------
    frequency : float
        Of the peak. [Hz]
    width : float
        Between the places where the power is half of the peak's. [Hz]
    window_decay : float
        Rate at which the exponential window falls that the sound was multiplied by, 0 for
        none. [1/s]

    Returns
    -------
    damping_ratio : float
        Share of critical damping. [-]

    Holds
    -----
    A sound that, with its window, has died away inside the stretch that was transformed.

    Source
    ------
    Lorentzian of an exponential decay: width = rate / pi; an exponential window adds its rate to
    the ring's, exactly. Any text on modal testing.
    """
    return (np.pi * width - window_decay) / (2.0 * np.pi * frequency)


def ring_fit(
    spectrum: NDArray[np.complex128],
    bin_frequency: Array,
    samples: int,
    rate: float,
    start_frequency: Array,
    start_decay: Array,
    steady_frequency: Array,
) -> tuple[Array, Array, Array, Array, float, Array]:
    """Frequencies and decays of the rings inside a narrow band of a spectrum.

    Parameters
    ----------
    spectrum : ndarray of complex, shape (bins,)
        Discrete Fourier transform of the bare stretch of sound, no window, in the band. [any]
    bin_frequency : ndarray, shape (bins,)
        Of each bin. [Hz]
    samples : int
        Length of the stretch. [-]
    rate : float
        Samples a second. [1/s]
    start_frequency : ndarray, shape (rings,)
        Where to look for each ring. [Hz]
    start_decay : ndarray, shape (rings,)
        First guess of how fast each dies. [1/s]
    steady_frequency : ndarray, shape (hums,)
        Tones in the band that do not die, such as mains hum. [Hz]

    Returns
    -------
    frequency : ndarray, shape (rings,)
        Of the damped ring. [Hz]
    decay : ndarray, shape (rings,)
        Rate at which it dies. [1/s]
    frequency_error, decay_error : ndarray, shape (rings,)
        Standard errors from the misfit left over in the band. [Hz, 1/s]
    misfit : float
        Mean square of what is left over, in the unit of the spectrum squared. [any²]
    amplitude : ndarray, shape (rings,)
        Size of each ring at the start of the stretch. [any]

    Holds
    -----
    Noise even over the band; everything outside the band is a straight line across it. All
    errors nan when the fit failed or there are too few bins.

    Source
    ------
    The transform of a cut exponential is a geometric sum; linear parts solved for inside the
    misfit (variable projection, Golub and Pereyra 1973, from memory); scipy.optimize.least_squares.
    """
    from scipy.optimize import least_squares

    rings, hums = len(start_frequency), len(steady_frequency)
    width = float(bin_frequency[-1] - bin_frequency[0])
    centre = float(np.mean(bin_frequency))
    line = (bin_frequency - centre) / width
    scale = float(np.sqrt(np.mean(np.abs(spectrum) ** 2)))
    goal = spectrum / scale

    def tone(frequency: float, decay: float) -> NDArray[np.complex128]:
        q = (2j * np.pi * (frequency - bin_frequency) - decay) / rate
        small = np.abs(q) < 1e-12
        q = np.where(small, 1e-12, q)
        return np.asarray(np.expm1(q * samples) / np.expm1(q) / samples)

    def columns(x: Array) -> NDArray[np.complex128]:
        parts = [tone(x[i], np.exp(x[rings + i])) for i in range(rings)]
        parts += [tone(x[2 * rings + i], 0.0) for i in range(hums)]
        return np.column_stack([*parts, np.ones_like(line), line])

    def left_over(x: Array) -> Array:
        shape = columns(x)
        size = np.linalg.lstsq(shape, goal, rcond=None)[0]
        off = goal - shape @ size
        return np.concatenate([off.real, off.imag])

    start = np.concatenate([start_frequency, np.log(start_decay), steady_frequency])
    near = max(0.25 * width / max(rings, 1), 1e-6)
    low = np.concatenate(
        [start_frequency - near, np.full(rings, np.log(1e-3)), steady_frequency - 0.4]
    )
    high = np.concatenate(
        [start_frequency + near, np.log(start_decay) + 4.0, steady_frequency + 0.4]
    )
    low = np.minimum(low, start - 1e-9)
    none = np.full(rings, np.nan)
    freedom = 2 * len(goal) - len(start) - 2 * (rings + hums + 2)
    if freedom < 4:
        return none, none, none, none, float("nan"), none
    steps = np.concatenate([np.full(rings, 1.0), np.full(rings, 0.5), np.full(hums, 0.1)])
    fit = least_squares(left_over, start, bounds=(low, high), x_scale=steps, max_nfev=200)
    variance = 2.0 * float(fit.cost) / freedom
    try:
        spread = np.sqrt(np.diag(np.linalg.inv(fit.jac.T @ fit.jac)) * variance)
    except np.linalg.LinAlgError:
        return none, none, none, none, float("nan"), none
    size = np.linalg.lstsq(columns(fit.x), goal, rcond=None)[0]
    decay = np.exp(fit.x[rings : 2 * rings])
    return (
        np.asarray(fit.x[:rings]),
        np.asarray(decay),
        np.asarray(spread[:rings]),
        np.asarray(decay * spread[rings : 2 * rings]),
        2.0 * variance * scale**2,
        np.asarray(2.0 * np.abs(size[:rings]) * scale / samples),
    )
