"""Groups and fliers, from the places of the shots alone: no engine, ordinary statistics."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loosewell.records.outing import Outing, ShotSeen

Array = NDArray[np.float64]

BELIEVED = 0.05
"""Chance of a false alarm over all arrows together below which a flier is believed."""
POWER = 0.80
"""Chance to find a flier as far off as it seems, for the number of shots still wanted."""
USUAL_SCATTER_IN = 3.0
"""Scatter of one shot each way when the shots themselves cannot tell. [in] Common practice."""
LEAST_DAYS_COLD = 10
"""Cold first shots below this number say little (common practice, no source)."""


@dataclass(frozen=True)
class Group:
    """Shots that belong together: their middle and their scatter, with errors. [in]

    ``scatter_in`` is the standard deviation of one shot, both ways pooled; None for one shot.
    ``low_in`` and ``high_in`` hold it with 95 %.
    """

    count: int
    left_in: float
    high_in: float
    middle_error_in: float
    scatter_in: float | None
    low_in: float | None
    high_scatter_in: float | None

    def text(self) -> str:
        """The group in words."""
        side = "left" if self.left_in >= 0.0 else "right"
        way = "high" if self.high_in >= 0.0 else "low"
        where = f"middle {abs(self.left_in):.1f} in {side}, {abs(self.high_in):.1f} in {way}"
        if self.scatter_in is None:
            return f"1 shot: {where}; one shot tells nothing of the scatter"
        return (
            f"{self.count} shots: {where} (± {self.middle_error_in:.1f} in), scatter of one shot "
            f"{self.scatter_in:.1f} in each way (95 %: {self.low_in:.1f} to "
            f"{self.high_scatter_in:.1f} in)"
        )


@dataclass(frozen=True)
class Flier:
    """One numbered arrow against the others.

    ``chance`` is that of a false alarm, held over all arrows together; ``more`` the shots of this
    arrow still wanted to believe an offset as large as seen, None where it is believed.
    """

    arrow: str
    count: int
    left_in: float
    high_in: float
    chance: float
    believed: bool
    more: int | None


@dataclass(frozen=True)
class Difference:
    """Bare against fletched: where the bare ones land from the fletched group. [in]

    ``shown_in`` is the smallest difference these shots can show, one way, with 95 %.
    """

    bare: int
    fletched: int
    left_in: float
    high_in: float
    error_in: float
    shown_in: float
    side_believed: bool
    height_believed: bool

    def text(self) -> str:
        """The difference in words, and whether it is to be believed."""
        side = "left" if self.left_in >= 0.0 else "right"
        way = "above" if self.high_in >= 0.0 else "below"
        words = (
            f"{self.bare} bare against {self.fletched} fletched: {abs(self.left_in):.1f} in {side} "
            f"and {abs(self.high_in):.1f} in {way} (± {self.error_in:.1f} in); so few shots show "
            f"no difference below {self.shown_in:.1f} in"
        )
        believed = [
            word
            for word, seen in (
                ("sideways", self.side_believed),
                ("in height", self.height_believed),
            )
            if seen
        ]
        tail = "; to be believed " + " and ".join(believed) if believed else "; not to be believed"
        return words + tail


def _places(shots: Sequence[ShotSeen]) -> Array:
    return np.array(
        [(one.left_in, one.high_in) for one in shots if one.left_in is not None], dtype=np.float64
    ).reshape(-1, 2)


def counted(outing: Outing) -> list[ShotSeen]:
    """Shots with a place that were not called bad before looking and were not cold."""
    return [
        one
        for one in outing.shots
        if one.left_in is not None and one.called != "bad" and not one.cold
    ]


def group(shots: Sequence[ShotSeen]) -> Group | None:
    """The group of some shots, or None without a single place.

    Parameters
    ----------
    shots : sequence of ShotSeen
        Those with a place count. [in]

    Returns
    -------
    group : Group or None
        Middle and scatter with their errors. [in]

    Source
    ------
    Normal scatter alike both ways: chi-square interval with 2 (n - 1) degrees of freedom, any
    textbook of statistics.
    """
    where = _places(shots)
    n = len(where)
    if n == 0:
        return None
    left, high = (float(one) for one in where.mean(axis=0))
    if n == 1:
        return Group(1, left, high, USUAL_SCATTER_IN, None, None, None)
    from scipy.stats import chi2

    freedom = 2 * (n - 1)
    square = float(np.sum((where - where.mean(axis=0)) ** 2))
    scatter = math.sqrt(square / freedom)
    low = math.sqrt(square / float(chi2.ppf(0.975, freedom)))
    top = math.sqrt(square / float(chi2.ppf(0.025, freedom)))
    return Group(n, left, high, scatter / math.sqrt(n), scatter, low, top)


def smallest_difference_in(bare: int, fletched: int, scatter_in: float) -> float:
    """Smallest difference of two groups that so many shots can show, one way.

    Parameters
    ----------
    bare, fletched : int
        Shots of each, at least 1. [-]
    scatter_in : float
        Standard deviation of one shot, taken as known. [in]

    Returns
    -------
    difference : float
        Shown with 95 %. [in]

    Source
    ------
    Difference of two normal means, two-sided 5 %.
    """
    from scipy.special import ndtri

    return float(ndtri(0.975)) * scatter_in * math.sqrt(1.0 / bare + 1.0 / fletched)


def bare_against_fletched(outing: Outing) -> Difference | None:
    """The bare shafts against the fletched group, or None unless both were shot.

    Parameters
    ----------
    outing : Outing
        Its counted shots. [in]

    Returns
    -------
    difference : Difference or None
        With the scatter of both groups pooled, and the usual one where there is none. [in]

    Source
    ------
    Two-sample t interval with pooled variance; scipy.stats.ttest_ind gives the same.
    """
    shots = counted(outing)
    bare = _places([one for one in shots if one.bare])
    feathered = _places([one for one in shots if not one.bare])
    if len(bare) == 0 or len(feathered) == 0:
        return None
    freedom = 2 * (len(bare) + len(feathered) - 2)
    away = bare.mean(axis=0) - feathered.mean(axis=0)
    spread = math.sqrt(1.0 / len(bare) + 1.0 / len(feathered))
    if freedom >= 2:
        from scipy.stats import t

        square = float(
            np.sum((bare - bare.mean(axis=0)) ** 2)
            + np.sum((feathered - feathered.mean(axis=0)) ** 2)
        )
        scatter = math.sqrt(square / freedom)
        wide = float(t.ppf(0.975, freedom))
        error, shown = scatter * spread, wide * scatter * spread
    else:
        error = USUAL_SCATTER_IN * spread
        shown = smallest_difference_in(len(bare), len(feathered), USUAL_SCATTER_IN)
    return Difference(
        len(bare),
        len(feathered),
        float(away[0]),
        float(away[1]),
        error,
        shown,
        abs(float(away[0])) > shown,
        abs(float(away[1])) > shown,
    )


def fliers(outing: Outing) -> list[Flier]:
    """Each numbered arrow against all the others, the most suspect first.

    Parameters
    ----------
    outing : Outing
        Shots with an arrow's name and a place; bare ones are left out. [in]

    Returns
    -------
    fliers : list of Flier
        Empty with fewer than three arrows, or where no arrow was shot twice and nothing tells
        scatter from arrows. [in]

    Source
    ------
    F test of one arrow's mean against the rest with the scatter within arrows, both ways pooled;
    false alarms held over all arrows after Holm 1979, Scand. J. Stat. 6.
    """
    shots = [one for one in counted(outing) if one.arrow is not None and not one.bare]
    names = sorted({str(one.arrow) for one in shots})
    if len(names) < 3:
        return []
    parts = {name: _places([one for one in shots if one.arrow == name]) for name in names}
    within = sum(float(np.sum((one - one.mean(axis=0)) ** 2)) for one in parts.values())
    freedom = 2 * sum(len(one) - 1 for one in parts.values())
    if freedom < 4:
        return []
    from scipy.stats import f

    scatter2 = within / freedom
    rows = []
    for name in names:
        own = parts[name]
        rest = np.concatenate([parts[other] for other in names if other != name])
        away = own.mean(axis=0) - rest.mean(axis=0)
        ratio = float(np.sum(away**2)) / (2.0 * scatter2 * (1.0 / len(own) + 1.0 / len(rest)))
        rows.append((name, own, rest, away, float(f.sf(ratio, 2, freedom))))
    rows.sort(key=lambda one: one[4])
    found, running = [], 0.0
    for k, (name, own, rest, away, chance) in enumerate(rows):
        running = max(running, min(1.0, chance * (len(rows) - k)))
        believed = running < BELIEVED
        more = None if believed else _more(away, scatter2, len(own), len(rest), len(names))
        found.append(Flier(name, len(own), float(away[0]), float(away[1]), running, believed, more))
    return found


def _more(away: Array, scatter2: float, own: int, rest: int, arrows: int) -> int | None:
    """Further shots of one arrow that would show an offset as large as seen; None beyond 30."""
    from scipy.stats import f, ncf

    size = float(np.sum(away**2))
    for more in range(1, 31):
        total = own + more
        others = rest + more * (arrows - 1)
        freedom = 2 * (total + others - arrows)
        strength = size / (scatter2 * (1.0 / total + 1.0 / others))
        limit = float(f.isf(BELIEVED / arrows, 2, freedom))
        if float(ncf.sf(limit, 2, freedom, strength)) >= POWER:
            return more
    return None


def cold_shots(outings: Sequence[Outing]) -> Group | None:
    """The first shots of the day over many outings, kept apart from the warm ones.

    Parameters
    ----------
    outings : sequence of Outing
        Of one archer and bow. [in]

    Returns
    -------
    group : Group or None
        Of all shots marked cold, bad ones included: a cold miss is a miss. [in]
    """
    return group([one for outing in outings for one in outing.shots if one.cold])
