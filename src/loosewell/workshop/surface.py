"""Where an arrow hits and how it stands, as a smooth surface over stiffness and mass of its shaft.

One sheet of shots over a few stiffnesses and masses, the same worlds and looses at every node,
serves a whole rack: two hundred shafts cost no more than ten. A shaft unlike the plain one
(tapered, jointed, stiffer one way round, another diameter, built already) is shot as it is, with
the first of the same worlds, and its difference from the sheet is kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.workshop import bridge
from loosewell.workshop.session import Array, Session

WORLDS, SHOTS = 64, 2
FEW = 32
"""Worlds, one loose each, for a shaft shot as it is."""
STIFFNESSES, MASSES = 9, 4
CHECKS = 6
"""Places between the nodes where the sheet is held against shots."""
EFFECTS = ("hit left", "hit high", "nock left")


@dataclass(frozen=True)
class Sheet:
    """Means over the shots at every node; inches at the distance, left and high positive.

    ``effect`` has shape (3, stiffnesses, masses) in the order of EFFECTS, the nock as it stands
    out of the line of flight; ``clean`` is the share of clean shots.
    """

    spine_lb: Array
    mass_per_inch: Array
    effect: Array
    clean: Array

    @cached_property
    def _splines(self) -> list[Any]:
        from scipy.interpolate import RectBivariateSpline

        x, y = np.log(self.spine_lb), np.log(self.mass_per_inch)
        return [
            RectBivariateSpline(x, y, one, kx=3 if k < 3 else 1, ky=3 if k < 3 else 1)
            for k, one in enumerate([*self.effect, self.clean])
        ]

    def at(self, spine_lb: Array, mass_per_inch: Array) -> tuple[Array, Array]:
        """Effects, shape (3, ...), and share clean of shafts; beyond the sheet as at its edge."""
        x = np.log(np.clip(spine_lb, self.spine_lb[0], self.spine_lb[-1]))
        y = np.log(np.clip(mass_per_inch, self.mass_per_inch[0], self.mass_per_inch[-1]))
        found = [one.ev(x, y) for one in self._splines]
        return np.array(found[:3]), np.clip(found[3], 0.0, 1.0)


@dataclass(frozen=True)
class Surface:
    """The sheet of a bow and an archer, and what is known of its worth.

    ``scatter_in`` is one standard deviation left/right and high/low from loose to loose in one
    and the same world; ``error_in`` how far the sheet is off between its nodes (root mean
    square), left/right and high/low together.
    """

    sheet: Sheet
    few: Sheet
    scatter_in: tuple[float, float]
    error_in: float
    best_clean: float
    values: dict[str, Array]
    used: NDArray[np.bool_]

    def at(self, spine_lb: Array, mass_per_inch: Array) -> tuple[Array, Array]:
        """As Sheet.at, from all shots."""
        return self.sheet.at(spine_lb, mass_per_inch)


def _effects(shots: bridge.Shots, nodes: int, length_in: Array) -> Array:
    """Hits and nock of every shot, shape (3, nodes, shots). [in]"""
    stand = np.tan(shots.stand_left).reshape(nodes, -1) * length_in[:, None]
    return np.array(
        [
            shots.hit_left.reshape(nodes, -1) / units.INCH,
            shots.hit_high.reshape(nodes, -1) / units.INCH,
            stand,
        ]
    )


def _means(effect: Array, good: NDArray[np.bool_], used: NDArray[np.bool_]) -> Array:
    """Means over the shots that are used everywhere; nan where too few of a node are good."""
    weight = (good & used).astype(np.float64)
    count = weight.sum(axis=-1)
    filled = np.where(good, effect, 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = (filled * weight).sum(axis=-1) / count
    return np.where(count >= 0.5 * max(int(used.sum()), 1), mean, np.nan)


def _few(count: int) -> NDArray[np.int64]:
    """Places of the first worlds' first looses among all shots of a node."""
    return np.arange(count, dtype=np.int64) * SHOTS


def _filled(sheet: Array) -> Array:
    """Nodes without a mean take the nearest one along the stiffness; nothing fits there."""
    for row in sheet.reshape(-1, *sheet.shape[-2:]):
        for column in range(row.shape[1]):
            line = row[:, column]
            known = np.flatnonzero(np.isfinite(line))
            if len(known):
                lost = np.flatnonzero(~np.isfinite(line))
                nearest = np.abs(known[None, :] - lost[:, None]).argmin(axis=1)
                line[lost] = line[known[nearest]]
            else:
                line[:] = 0.0
    return sheet


def make_surface(
    job: Session, spine_lb: tuple[float, float], mass_per_inch: tuple[float, float]
) -> Surface:
    """The surface of a bow and an archer over the stiffnesses and masses of a rack.

    Parameters
    ----------
    job : Session
        The match at work.
    spine_lb : (float, float)
        Least and most spine wanted (26 in span, 2 lb); kept within the match's own sweep. [lb]
    mass_per_inch : (float, float)
        Lightest and heaviest shaft wanted. [gr/in]

    Returns
    -------
    surface : Surface
        For shafts cut to the match's length with its parts.

    Raises
    ------
    EngineRefusal
        When not one shot comes out clean.
    """
    low = max(float(job.spine[0]), min(spine_lb[0] / 1.1, 0.8 * job.weight_lb))
    high = min(float(job.spine[-1]), max(spine_lb[1] * 1.1, 1.05 * job.weight_lb))
    spines = np.geomspace(low, max(high, 1.2 * low), STIFFNESSES)
    light = min(mass_per_inch[0], job.mass_per_inch) / 1.04
    heavy = max(mass_per_inch[1], job.mass_per_inch) * 1.04
    masses = np.geomspace(light, max(heavy, 1.1 * light), MASSES)
    world = job.values(job.shared, WORLDS, SHOTS, job.seed + 13)[1]
    count = WORLDS * SHOTS
    x, y = (one.ravel() for one in np.meshgrid(spines, masses, indexing="ij"))
    # Places between the nodes ride along in the same batch.
    rng = np.random.default_rng(job.seed + 14)
    x_check = np.exp(rng.uniform(np.log(spines[0]), np.log(spines[-1]), CHECKS))
    y_check = np.exp(rng.uniform(np.log(masses[0]), np.log(masses[-1]), CHECKS))
    x, y = np.concatenate((x, x_check)), np.concatenate((y, y_check))
    nodes = len(x)
    values = {key: np.tile(one, nodes) for key, one in world.items()}
    values["stiffness_scale"] = np.repeat(x / 50.0, count)
    values["mass_scale"] = np.repeat(y / job.mass_per_inch, count)
    shots = job.shoot([job.generic()], np.zeros(nodes * count, dtype=np.int64), values, "surface")
    effect = _effects(shots, nodes, np.full(nodes, job.length_in))
    good = (shots.status == 0).reshape(nodes, count)
    clean = job.clean(shots).reshape(nodes, count)
    grid = slice(0, len(spines) * len(masses))
    sound = good[grid][good[grid].mean(axis=1) >= 0.9]
    used = sound.all(axis=0) if len(sound) else np.zeros(count, dtype=bool)
    if used.sum() < 16:
        used = np.ones(count, dtype=bool)
    shape = len(spines), len(masses)

    def sheet(some: NDArray[np.int64]) -> tuple[Sheet, Array]:
        mean = _means(effect[:, :, some], good[:, some], used[some])
        share = clean[:, some].mean(axis=1)[grid].reshape(shape)
        nodes_mean = _filled(mean[:, grid].reshape(3, *shape).copy())
        return Sheet(spines, masses, nodes_mean, share), mean[:, grid.stop :]

    whole, checks = sheet(np.arange(count))
    off = whole.at(x_check, y_check)[0] - checks
    fits = np.isfinite(off[0]) & (good[grid.stop :].mean(axis=1) >= 0.9)
    error = float(np.sqrt(np.mean(off[:2, fits] ** 2))) if fits.any() else 0.0
    usual = whole.at(spines, np.full(len(spines), job.mass_per_inch))[1]
    best = float(usual.max())
    if best <= 0.0:
        raise job.nothing_clean(shots)
    near = int(np.argmax(usual))
    at_best = (near * len(masses)) + int(np.argmin(np.abs(masses - job.mass_per_inch)))
    scatter = _scatter(effect[:2, at_best], good[at_best])
    return Surface(whole, sheet(_few(FEW))[0], scatter, error, best, world, used)


def _scatter(effect: Array, good: NDArray[np.bool_]) -> tuple[float, float]:
    """Standard deviation from loose to loose within a world. [in]"""
    pairs = effect.reshape(2, -1, SHOTS)
    both = good.reshape(-1, SHOTS).all(axis=1)
    if not both.any():
        return 0.0, 0.0
    variance = pairs[:, both].var(axis=2, ddof=1).mean(axis=1)
    return float(np.sqrt(variance[0])), float(np.sqrt(variance[1]))


def own_differences(
    job: Session,
    surface: Surface,
    models: Sequence[bridge.ArrowModel],
    spine_lb: Array,
    mass_per_inch: Array,
) -> tuple[Array, Array]:
    """What arrows shot as they are do beyond the sheet: effects (3, n) [in], and share clean.

    An arrow that the engine cannot follow has nan effects and a share far below the sheet's.
    """
    if not models:
        return np.zeros((3, 0)), np.zeros(0)
    few = _few(FEW)
    n = len(models)
    values = {key: np.tile(one[few], n) for key, one in surface.values.items()}
    index = np.repeat(np.arange(n, dtype=np.int64), FEW)
    shots = job.shoot(models, index, values, "shafts as they are")
    lengths = np.array([one.length for one in models]) / units.INCH
    effect = _effects(shots, n, lengths)
    good = (shots.status == 0).reshape(n, FEW)
    mean = _means(effect, good, surface.used[few])
    clean = job.clean(shots).reshape(n, FEW).mean(axis=1)
    there, share = surface.few.at(spine_lb, mass_per_inch)
    return mean - there, clean - share
