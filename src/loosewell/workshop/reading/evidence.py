"""What was seen in the butt, and how well a world explains it.

The engine's own error, the scatter of the aim and its offset never enter the engine: they are
integrated out here, in closed form where they enter in a straight line and over a few nodes where
they do not. What is left to sample are the unknowns that the engine must be run for. Equations:
docs/physics/inference.md.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.chance import likelihood
from loosewell.records.outing import Outing, ShotSeen
from loosewell.workshop.reading import worlds
from loosewell.workshop.reading.worlds import Scatter, Setting, Worlds

Array = NDArray[np.float64]

PLACE_ERROR_IN = 0.5
ANGLE_ERROR_DEG = 4.0
SPEED_ERROR_PERCENT = 3.0
EYE_LIMIT = math.radians(3.0)
"""From this angle on an eye calls an arrow crooked. [rad] Modelling choice, no source."""
EYE_ERROR = math.radians(2.0)
SLIP = 0.05
AIM_OFF_SIDE, AIM_OFF_HEIGHT = 0.10, 0.10
"""How far the bow's plane may point beside the mark, as an angle. [rad] An archer aims so that
arrows land on it, wherever the bow throws them: only differences tell. Modelling choices."""
MARK_HALF, MARK_SHARP, MARK_MISS, MARK_FALSE = 15.0, 2.0, 0.10, 0.08
"""A knock of 15 mN s marks the bow or the feather half of the time. Modelling choices."""
FLOOR = -40.0
"""Logarithm of the chance of evidence in a world whose shot cannot be computed."""
AIMS, SIDES = 6, 7
"""Nodes over the scatter of the aim and over the engine's share of error."""
AGAINST = 10.8
"""Deviance from which the shots contradict one another: chi-square, 1 degree, one in 1,000."""
UNLIKE = 25.0
"""Deviance from which no world is like what was seen: about five standard errors."""
SIDE_OF = {"left": 1, "high": 1, "straight": 0, "right": -1, "low": -1}
WAYS = (
    ("left", "nock_sideways", "nock_left_deg", "model_side", AIM_OFF_SIDE),
    ("high", "nock_upright", "nock_high_deg", "model_height", AIM_OFF_HEIGHT),
)
_ANGLES = np.linspace(-1.0, 1.0, 4001)
_CENTRES = np.linspace(-0.9, 0.9, 241)
_NEAR = np.linspace(-5.0, 5.0, 501)
"""Where the engine's error of the stand is taken, in its standard errors."""


def used(outing: Outing) -> list[ShotSeen]:
    """The shots that count: not called bad before looking, not the cold first ones.

    When nothing else is there the cold ones are all there is, and count.
    """
    warm = [one for one in outing.shots if one.called != "bad" and not one.cold]
    return warm or [one for one in outing.shots if one.called != "bad"]


def mirrored(shot: ShotSeen) -> ShotSeen:
    """The shot with left and right exchanged."""
    turn = {"left": "right", "right": "left"}
    return shot.model_copy(
        update={
            "left_in": None if shot.left_in is None else -shot.left_in,
            "nock_left_deg": None if shot.nock_left_deg is None else -shot.nock_left_deg,
            "nock_sideways": turn.get(shot.nock_sideways or "", shot.nock_sideways),
        }
    )


def case_of(setting: Setting, shot: ShotSeen) -> int:
    """Which case a shot belongs to."""
    for k, case in enumerate(setting.cases):
        if case.bare == shot.bare and (shot.arrow is None or case.label in ("", shot.arrow)):
            return k
    return next(k for k, case in enumerate(setting.cases) if case.bare == shot.bare)


def kind_of(bare: bool) -> str:
    """The word for a case in the keys of the engine's error."""
    return "bare" if bare else "fletched"


def model_scale(bare: bool, what: str) -> float:
    """Standard error of the engine where a case lands or how it stands, as an angle. [rad]"""
    scale = worlds.MODEL_HIT if what.startswith("hit") else worlds.MODEL_STAND
    return scale * (1.0 if bare else 0.5)


@dataclass
class _Group:
    """Places of one case, one way."""

    case: int
    count: float
    mean: float
    square: float
    error: float
    spread_known: bool


@dataclass
class _Plane:
    """All that was seen one way: places by group, and what each angle would say, by case."""

    way: str
    share_key: str
    off: float
    groups: list[_Group] = field(default_factory=list)
    angles: dict[int, Array] = field(default_factory=dict)
    """By case: log chance of all its angles and calls, on _ANGLES."""
    deviance: float = 0.0
    """How much the calls of one case contradict one another, the most of the cases."""


class Evidence:
    """The shots of an outing, ready to be held against worlds."""

    def __init__(self, setting: Setting, scatter: Sequence[Scatter], outing: Outing) -> None:
        self.setting, self.scatter = setting, list(scatter)
        # All is weighed as if right-handed, so that a mirrored outing gives the same figures.
        self.side = 1.0 if setting.job.archer.hand == "right" else -1.0
        shots = [mirrored(one) for one in used(outing)] if self.side < 0.0 else used(outing)
        self.count = len(shots)
        self.by_case = [
            [one for one in shots if case_of(setting, one) == k] for k in range(len(setting.cases))
        ]
        self.planes = [self._plane(outing, *one) for one in WAYS]
        node, weight = np.polynomial.hermite_e.hermegauss(SIDES)
        self.side_z, self.side_weight = node, np.log(weight / weight.sum())
        self._know_aim()
        self._covariances()
        self._tables()

    def _said(self, world: Worlds, case: int, what: str, plane: _Plane) -> Array:
        """Where a case lands or how it stands in every world, as if right-handed."""
        told = getattr(world.seen[case], f"{what}_{plane.way}")
        return np.asarray(told if plane.way == "high" else self.side * told)

    # What was seen -----------------------------------------------------------------------------

    def _plane(
        self, outing: Outing, way: str, word: str, angle: str, share_key: str, off: float
    ) -> _Plane:
        plane = _Plane(way, share_key, off)
        for k, shots in enumerate(self.by_case):
            places = [
                (getattr(one, f"{way}_in"), one.place_error_in or PLACE_ERROR_IN)
                for one in shots
                if one.left_in is not None
            ]
            if places:
                where = np.array([one[0] for one in places]) * units.INCH
                error = float(np.sqrt(np.mean([one[1] ** 2 for one in places]))) * units.INCH
                square = float(np.sum((where - where.mean()) ** 2))
                plane.groups.append(
                    _Group(k, float(len(where)), float(where.mean()), square, error, True)
                )
            self._look(plane, k, shots, word, angle)
        self._add_reference(outing, plane)
        return plane

    def _look(
        self, plane: _Plane, case: int, shots: Sequence[ShotSeen], word: str, angle: str
    ) -> None:
        """What the angles and calls of one case say of where it stands in the middle."""
        loose = self.scatter[case].stand_left if plane.way == "left" else (
            self.scatter[case].stand_high
        )  # fmt: skip
        told = np.zeros_like(_ANGLES)
        calls = np.zeros(3)
        looked = False
        for one in shots:
            if getattr(one, angle) is not None:
                looked = True
                error = math.radians(one.angle_error_deg or ANGLE_ERROR_DEG)
                wide = math.hypot(error, loose)
                off = (math.radians(getattr(one, angle)) - _ANGLES) / wide
                # A few angles are misread: a tail that a normal error would not forgive.
                told += np.log(
                    (1.0 - SLIP) * np.exp(-0.5 * off**2) / (wide * math.sqrt(2.0 * math.pi))
                    + SLIP / math.radians(120.0)
                )
            elif getattr(one, word) is not None:
                looked = True
                calls[SIDE_OF[getattr(one, word)] + 1] += 1.0
        eye = np.full_like(_ANGLES, math.hypot(EYE_ERROR, loose))
        by_eye = np.zeros_like(_ANGLES)
        for side, many in zip((-1, 0, 1), calls, strict=True):
            if many:
                by_eye += many * likelihood.class_log_chance(side, _ANGLES, eye, EYE_LIMIT, SLIP)
        if calls.sum() > 1.0:
            best = float(np.sum(calls * np.log(np.maximum(calls, 1.0) / calls.sum())))
            plane.deviance = max(plane.deviance, 2.0 * (best - float(by_eye.max())))
        if looked:
            plane.angles[case] = told + by_eye

    def _add_reference(self, outing: Outing, plane: _Plane) -> None:
        """Places told from the fletched group without its shots: the group is taken as six at 0.

        Its spread is not known and says nothing: only its mean is held to.
        """
        cases = self.setting.cases
        if outing.positions_from != "fletched group" or not plane.groups:
            return
        if any(not cases[one.case].bare for one in plane.groups):
            return
        fletched = next((k for k, one in enumerate(cases) if not one.bare), None)
        if fletched is not None:
            plane.groups.append(_Group(fletched, 6.0, 0.0, 0.0, 0.0, False))

    # What is integrated out ---------------------------------------------------------------------

    def _shot_error(self, plane: _Plane, aim: Array) -> Array:
        """Standard error of one shot of each group, for each scatter of the aim: (aims, groups)."""
        at = aim * self.setting.distance
        loose = [getattr(self.scatter[one.case], f"hit_{plane.way}") for one in plane.groups]
        fixed = np.array([
            a * a + one.error**2 for a, one in zip(loose, plane.groups, strict=True)
        ])  # fmt: skip
        return np.asarray(np.sqrt(at[:, None] ** 2 + fixed[None, :]))

    def _know_aim(self) -> None:
        """The scatter of the aim after how the groups scatter, at nodes of even chance."""
        from scipy.special import ndtr

        self.aim_z = np.linspace(-2.5, 2.5, 501)
        aim = self.setting.aim.at(ndtr(self.aim_z))
        told = np.zeros_like(self.aim_z)
        self.scatter_deviance = 0.0
        for plane in self.planes:
            known = np.array([one.spread_known for one in plane.groups], dtype=bool)
            if not known.any():
                continue
            count = np.array([one.count for one in plane.groups])[known]
            square = np.array([one.square for one in plane.groups])[known]
            shot = self._shot_error(plane, aim)[:, known]
            told += likelihood.scatter_log_density(count, square, shot)
            more = count > 1.0
            if more.any():
                best = np.sqrt(np.maximum(square[more] / (count[more] - 1.0), 1e-12))
                most = likelihood.scatter_log_density(count[more], square[more], best)
                here = likelihood.scatter_log_density(count[more], square[more], shot[:, more])
                # Scatter below what the aim may be is luck, above it is something else.
                wide = bool(np.all(best > shot[-1, more]))
                self.scatter_deviance = max(
                    self.scatter_deviance,
                    2.0 * (float(most) - float(here.max())) if wide else 0.0,
                )
        told = told - 0.5 * self.aim_z**2
        self.aim_told = float(np.max(told))
        chance = np.exp(told - self.aim_told)
        chance[0], chance[-1] = 0.5 * chance[0], 0.5 * chance[-1]
        total = float(chance.sum())
        self.aim_told += math.log(total * (self.aim_z[1] - self.aim_z[0]) / math.sqrt(2 * math.pi))
        self.aim_below = np.cumsum(chance) / total
        even = (np.arange(AIMS) + 0.5) / AIMS
        self.aim_node = self._aim_at(even)

    def _aim_at(self, chance: Array) -> Array:
        """Scatter of the aim below which it lies with so much chance, by its groups. [rad]"""
        from scipy.special import ndtr

        z = np.interp(chance, self.aim_below, self.aim_z)
        return self.setting.aim.at(ndtr(z))

    def _covariances(self) -> None:
        """Of the means of the groups about a world's, for every scatter of the aim."""
        self.covariance: list[list[Array]] = []
        self.model_root: list[Array] = []
        distance = self.setting.distance
        for plane in self.planes:
            kinds = [self.setting.cases[one.case].bare for one in plane.groups]
            root = np.zeros((len(plane.groups), 2))
            for g, bare in enumerate(kinds):
                root[g, 0 if bare else 1] = model_scale(bare, "hit") * distance
            self.model_root.append(root)
            common = (plane.off * distance) ** 2 + root @ root.T
            shot = self._shot_error(plane, self.aim_node)
            count = np.array([one.count for one in plane.groups])
            self.covariance.append([common + np.diag(row * row / count) for row in shot])

    def _tables(self) -> None:
        """For a kind with one case: what its angles say of the engine's, its error integrated."""
        self.table: list[dict[bool, tuple[list[int], Array | None]]] = []
        for plane in self.planes:
            found: dict[bool, tuple[list[int], Array | None]] = {}
            for bare in (True, False):
                mine = [k for k in plane.angles if self.setting.cases[k].bare == bare]
                if not mine:
                    continue
                table = None
                if len(mine) == 1:
                    wide = model_scale(bare, "stand")
                    told = plane.angles[mine[0]]
                    at = np.interp(_CENTRES[:, None] + wide * _NEAR[None, :], _ANGLES, told)
                    step = (_NEAR[1] - _NEAR[0]) / math.sqrt(2.0 * math.pi)
                    table = _log_sum(at - 0.5 * _NEAR[None, :] ** 2, 1) + math.log(step)
                found[bare] = (mine, table)
            self.table.append(found)

    # Held against worlds ------------------------------------------------------------------------

    def _stands(self, p: int, world: Worlds, factor: float) -> Array:
        """Log chance of all angles one way, the engine's error integrated out."""
        plane = self.planes[p]
        total = np.zeros(len(world))
        for bare, (mine, table) in self.table[p].items():
            said = [factor * self._said(world, k, "stand", plane) for k in mine]
            if table is not None:
                total += np.interp(said[0], _CENTRES, table)
                continue
            node, weight = np.polynomial.hermite_e.hermegauss(21)
            each = [
                math.log(w / math.sqrt(2.0 * math.pi))
                + sum(
                    np.interp(one + z * model_scale(bare, "stand"), _ANGLES, plane.angles[k])
                    for one, k in zip(said, mine, strict=True)
                )
                for z, w in zip(node, weight, strict=True)
            ]
            total += _log_sum(np.array(each), 0)
        return total

    def _nodes(self, p: int, world: Worlds) -> Array:
        """Log chance of a plane at every node: (aims, sides, worlds), side weights included."""
        plane = self.planes[p]
        found = np.zeros((AIMS, SIDES, len(world)))
        mean = np.array([one.mean for one in plane.groups])
        said = np.array([self._said(world, one.case, "hit", plane) for one in plane.groups])
        for j, z in enumerate(self.side_z):
            factor = math.exp(worlds.MODEL_SHARE * z)
            found[:, j] = self.side_weight[j] + self._stands(p, world, factor)
            if plane.groups:
                off = mean[None, :] - factor * said.T
                for i in range(AIMS):
                    found[i, j] += likelihood.means_log_density(off, self.covariance[p][i])
        return found

    def log_likelihood(self, world: Worlds) -> Array:
        """How well each world explains all that was seen."""
        sides = [_log_sum(self._nodes(p, world), 1) for p in range(len(self.planes))]
        total = _log_sum(sides[0] + sides[1], 0) - math.log(AIMS) + self.aim_told
        return np.asarray(total + self._rest(world))

    def _rest(self, world: Worlds) -> Array:
        """Marks and speeds, and worlds whose shot cannot be computed."""
        total = np.zeros(len(world))
        for k, shots in enumerate(self.by_case):
            if not shots:
                continue
            seen = world.seen[k]
            for one in [one for one in shots if one.marks][:6]:
                total += likelihood.mark_log_chance(
                    "none" not in one.marks, seen.knock,
                    MARK_HALF, MARK_SHARP, MARK_MISS, MARK_FALSE,
                )  # fmt: skip
            told = [one for one in shots if one.speed_fps is not None]
            for one in told:
                speed = float(one.speed_fps or 0.0)
                error = (one.speed_error_percent or SPEED_ERROR_PERCENT) / 100.0 * speed
                # A chronograph errs alike for all shots of a day.
                total += -0.5 * ((speed - seen.speed / units.FPS) / error) ** 2 / len(told)
            total += np.where(seen.good, 0.0, FLOOR)
        return total

    def unlike(self, world: Worlds) -> float:
        """Deviance of what was seen from the world nearest to it, the most of all kinds."""
        worst = 0.0
        for p, plane in enumerate(self.planes):
            if plane.groups:
                mean = np.array([one.mean for one in plane.groups])
                said = np.array([self._said(world, one.case, "hit", plane) for one in plane.groups])
                off = mean[None, :] - said.T
                inner = np.linalg.solve(self.covariance[p][AIMS // 2], off.T)
                worst = max(worst, float(np.min(np.sum(off.T * inner, axis=0))))
            best = sum(float(one.max()) for one in plane.angles.values())
            if plane.angles:
                near = float(np.max(self._stands(p, world, 1.0)))
                worst = max(worst, 2.0 * (best - near))
        return worst

    @property
    def contradicts(self) -> bool:
        """Whether the shots contradict one another whatever lies behind them."""
        return self.scatter_deviance > AGAINST or any(one.deviance > AGAINST for one in self.planes)

    # Drawn back ---------------------------------------------------------------------------------

    def drawn(self, world: Worlds, rng: np.random.Generator) -> dict[str, Array]:
        """The unknowns that were integrated out, drawn from their posterior in each world."""

        n = len(world)
        nodes = [self._nodes(p, world) for p in range(len(self.planes))]
        which = _picked(_log_sum(nodes[0], 1) + _log_sum(nodes[1], 1), rng)
        even = (which + rng.random(n)) / AIMS
        found = {"aim_scatter": self._aim_at(even)}
        for p, plane in enumerate(self.planes):
            here = nodes[p][which, :, np.arange(n)].T
            z = self._draw_share(here, rng)
            found[plane.share_key] = z
            factor = np.exp(worlds.MODEL_SHARE * z)
            hit = rng.standard_normal((n, 2))
            if plane.groups:
                self._draw_hits(p, world, which, factor, hit, rng)
            found[f"bare_hit_{plane.way}"], found[f"fletched_hit_{plane.way}"] = hit.T
            for bare in (True, False):
                key = f"{kind_of(bare)}_stand_{plane.way}"
                found[key] = self._draw_stand(p, world, bare, factor, rng)
        # The engine's own error is told as it is seen, left positive for either hand.
        for kind in ("bare", "fletched"):
            for what in ("hit", "stand"):
                found[f"{kind}_{what}_left"] = self.side * found[f"{kind}_{what}_left"]
        return found

    def _draw_share(self, told: Array, rng: np.random.Generator) -> Array:
        """The engine's share of error, drawn between its nodes along a spline: (sides, worlds)."""
        from scipy.interpolate import CubicSpline

        z = np.linspace(-3.5, 3.5, 141)
        line = CubicSpline(self.side_z, told - self.side_weight[:, None])
        chance = np.asarray(line(z)) - 0.5 * z[:, None] ** 2
        return np.asarray(z[_picked(chance, rng)] + (rng.random(told.shape[1]) - 0.5) * 0.05)

    def _draw_hits(
        self, p: int, world: Worlds, which: NDArray[np.int64], factor: Array, hit: Array,
        rng: np.random.Generator,
    ) -> None:  # fmt: skip
        """The engine's errors of place given the means, in place of prior ones."""
        plane, root = self.planes[p], self.model_root[p]
        mean = np.array([one.mean for one in plane.groups])
        said = np.array([self._said(world, one.case, "hit", plane) for one in plane.groups])
        off = mean[None, :] - factor[:, None] * said.T
        for i in np.unique(which):
            mine = which == i
            gain = np.linalg.solve(self.covariance[p][i], root).T
            left = np.eye(2) - gain @ root
            own = np.linalg.cholesky(left + 1e-12 * np.eye(2))
            noise = rng.standard_normal((int(mine.sum()), 2))
            hit[mine] = off[mine] @ gain.T + noise @ own.T

    def _draw_stand(
        self, p: int, world: Worlds, bare: bool, factor: Array, rng: np.random.Generator
    ) -> Array:
        """The engine's error of the stand given the angles, as standard normal numbers."""
        n = len(world)
        if bare not in self.table[p]:
            return rng.standard_normal(n)
        plane = self.planes[p]
        z = np.linspace(-4.0, 4.0, 161)
        told = np.repeat(-0.5 * z[:, None] ** 2, n, axis=1)
        for k in self.table[p][bare][0]:
            said = factor * self._said(world, k, "stand", plane)
            at = said[None, :] + z[:, None] * model_scale(bare, "stand")
            told += np.interp(at, _ANGLES, plane.angles[k])
        return np.asarray(z[_picked(told, rng)] + (rng.random(n) - 0.5) * (z[1] - z[0]))

    # Proposed from ------------------------------------------------------------------------------

    def summary(self, world: Worlds) -> tuple[Array, Array, Array]:
        """What the worlds say of the means of what was seen, what was seen, and its covariance.

        Only to propose worlds from: calls by eye stand as angles here, marks are left out.
        """
        said: list[Array] = []
        seen: list[float] = []
        blocks: list[Array] = []
        for p, plane in enumerate(self.planes):
            if plane.groups:
                said += [self._said(world, one.case, "hit", plane) for one in plane.groups]
                seen += [one.mean for one in plane.groups]
                blocks.append(self.covariance[p][AIMS // 2])
            for k, told in plane.angles.items():
                chance = np.exp(told - told.max())
                chance /= chance.sum()
                middle = float(np.sum(chance * _ANGLES))
                wide = float(np.sum(chance * (_ANGLES - middle) ** 2))
                said.append(self._said(world, k, "stand", plane))
                seen.append(middle)
                model = model_scale(self.setting.cases[k].bare, "stand")
                blocks.append(np.array([[wide + model**2]]))
        for k, shots in enumerate(self.by_case):
            speeds = [one.speed_fps * units.FPS for one in shots if one.speed_fps is not None]
            if speeds:
                said.append(world.seen[k].speed)
                seen.append(float(np.mean(speeds)))
                blocks.append(np.array([[(0.03 * seen[-1]) ** 2]]))
        from scipy.linalg import block_diag

        covariance = np.asarray(block_diag(*blocks)) if blocks else np.zeros((0, 0))
        covariance = covariance + np.diag((worlds.MODEL_SHARE * np.array(seen)) ** 2)
        return np.array(said).reshape(len(seen), len(world)).T, np.array(seen), covariance


def _log_sum(values: Array, axis: int) -> Array:
    """Logarithm of the sum of exponentials along an axis."""
    top = np.max(values, axis=axis, keepdims=True)
    return np.asarray(np.squeeze(top, axis) + np.log(np.sum(np.exp(values - top), axis=axis)))


def _picked(log_chance: Array, rng: np.random.Generator) -> NDArray[np.int64]:
    """One row for each column, with the chance its logarithm says."""
    noise = rng.gumbel(size=log_chance.shape)
    return np.asarray(np.argmax(log_chance + noise, axis=0), dtype=np.int64)
