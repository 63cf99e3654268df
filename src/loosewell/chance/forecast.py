"""From clean and unclean shots to a share, a range, and what makes it wide."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Curve:
    """Share of clean shots against spine.

    ``share`` is the mean over worlds and shots, ``low`` and ``high`` the shares
    between which eight of ten worlds lie; all from 0 to 1, shape (spines,).
    """

    spine: Array
    share: Array
    low: Array
    high: Array


@dataclass(frozen=True)
class Spread:
    """Why the range is as wide as it is.

    ``within`` is the part of the variance that would stay if every input were
    known exactly: the bow's own tolerance and the archer's scatter. ``by_input``
    is the part each input's error causes, ``rest`` what they cause together and
    what the straight-line fit cannot tell apart. They add up to 1.
    """

    within: float
    by_input: dict[str, float]
    rest: float
    middle: float
    deviation: float


def share_curve(spine: Array, clean: Flags) -> Curve:
    """Share of clean shots for each spine, smoothed over its neighbours.

    Parameters
    ----------
    spine : ndarray, shape (spines,)
        Rising.
    clean : ndarray of bool, shape (spines, worlds, shots)
        Which shots were clean.

    Returns
    -------
    curve : Curve
        Neighbouring spines share a quarter of their weight each side: the same
        worlds and shots are used for all spines, so the curve is smooth and the
        rest is counting noise.
    """
    by_world = _smooth(clean.mean(axis=2))
    return Curve(
        spine,
        by_world.mean(axis=1),
        np.quantile(by_world, 0.1, axis=1),
        np.quantile(by_world, 0.9, axis=1),
    )


def _smooth(values: Array) -> Array:
    padded = np.concatenate([values[:1], values, values[-1:]])
    return np.asarray(0.25 * padded[:-2] + 0.5 * padded[1:-1] + 0.25 * padded[2:])


def range_over(spine: Array, share: Array, least: float) -> tuple[float, float, bool, bool] | None:
    """The stretch of spine around the best one where the share stays above a limit.

    Parameters
    ----------
    spine, share : ndarray, shape (spines,)
        The curve, spine rising.
    least : float
        The limit, 0 to 1.

    Returns
    -------
    low, high : float
        Ends of the stretch, linearly between the spines.
    open_low, open_high : bool
        True where the curve ends before the share has fallen to the limit.
        None when even the best share lies below the limit.
    """
    best = int(np.argmax(share))
    if share[best] < least:
        return None
    low, open_low = float(spine[0]), True
    for i in range(best, 0, -1):
        if share[i - 1] < least:
            part = (share[i] - least) / (share[i] - share[i - 1])
            low, open_low = float(spine[i] - part * (spine[i] - spine[i - 1])), False
            break
    high, open_high = float(spine[-1]), True
    for i in range(best, len(spine) - 1):
        if share[i + 1] < least:
            part = (share[i] - least) / (share[i] - share[i + 1])
            high, open_high = float(spine[i] + part * (spine[i + 1] - spine[i])), False
            break
    return low, high, open_low, open_high


def spread_of_range(spine: Array, clean: Flags, inputs: dict[str, Array]) -> Spread:
    """How much of the width of the range each input's error causes.

    Parameters
    ----------
    spine : ndarray, shape (spines,)
        Evenly spaced, in the unit the range is told in.
    clean : ndarray of bool, shape (spines, worlds, shots)
        Which shots were clean.
    inputs : dict of ndarray, shape (worlds,)
        What each input was in each world; constant ones are passed over.

    Returns
    -------
    spread : Spread
        By the law of total variance: each world's clean shots are a weight over
        spine; the variance of all of them is the mean variance inside a world
        plus the variance of the worlds' middles, and the latter is shared out by
        a straight-line fit on the inputs, which are independent. The fit's own
        noise (inputs over worlds) is taken off before sharing out.
    """
    weight = clean.sum(axis=2).astype(np.float64)
    area = weight.sum(axis=0)
    used = area > 0
    names = [name for name, value in inputs.items() if np.ptp(value) > 0.0]
    if used.sum() <= len(names) + 2:
        return Spread(1.0, dict.fromkeys(names, 0.0), 0.0, float("nan"), float("nan"))
    weight, area = weight[:, used], area[used]
    middle = (spine[:, None] * weight).sum(axis=0) / area
    inside = ((spine[:, None] - middle) ** 2 * weight).sum(axis=0) / area
    share = area / area.sum()
    mean = float((share * middle).sum())
    within = float((share * inside).sum())
    between = float((share * (middle - mean) ** 2).sum())
    total = within + between
    if total <= 0.0:
        return Spread(1.0, dict.fromkeys(names, 0.0), 0.0, mean, 0.0)
    columns = np.column_stack([np.ones(used.sum())] + [inputs[n][used] for n in names])
    scale = np.sqrt(share)
    fit, *_ = np.linalg.lstsq(columns * scale[:, None], middle * scale, rcond=None)
    left = middle - columns @ fit
    noise = float((share * left**2).sum())
    degrees = used.sum() - len(names) - 1
    variance_per_input = noise / max(degrees, 1)
    by_input = {}
    for i, name in enumerate(names, 1):
        value = inputs[name][used]
        own = float((share * (value - (share * value).sum()) ** 2).sum())
        by_input[name] = max(fit[i] ** 2 * own - variance_per_input, 0.0)
    explained = sum(by_input.values())
    if explained > between > 0.0:
        by_input = {name: part * between / explained for name, part in by_input.items()}
        explained = between
    return Spread(
        within / total,
        {name: part / total for name, part in by_input.items()},
        (between - explained) / total,
        mean,
        float(np.sqrt(total)),
    )
