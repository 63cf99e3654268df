"""Windows over several features at once, searched to the end: compiled, and no physics.

A *box* is a stretch of every feature. Its cost is the sum of its widths; a set of arrows costs
what the smallest box around it costs. The search goes feature by feature through the windows of
the points still inside, and leaves a branch as soon as no set in it can come under the limit.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]


@njit(cache=True, nogil=True)
def _lowest(number: Array, members: Index, size: int) -> Any:
    """Sum of the lowest so many numbers of some members."""
    return np.sort(number[members])[:size].sum()


@njit(cache=True, nogil=True)
def _narrowest(value: Array, members: Index, size: int) -> Any:
    """Width of the narrowest window of one feature that holds so many members."""
    row = np.sort(value[members])
    least = np.inf
    for low in range(len(row) - size + 1):
        least = min(least, row[low + size - 1] - row[low])
    return least


@njit(cache=True, nogil=True)
def _lost_an_edge(value: Array, members: Index, level: int, low: Array, high: Array) -> bool:
    """Whether no member lies any more on some side of the windows chosen so far."""
    for f in range(level):
        on_low, on_high = False, False
        for i in members:
            on_low = on_low or value[f, i] == low[f]
            on_high = on_high or value[f, i] == high[f]
        if not (on_low and on_high):
            return True
    return False


@njit(cache=True, nogil=True)
def _search(
    value: Array, price: Array, size: int, limit: Array, found: Array, most: int, every: bool
) -> tuple[int, int]:
    """Boxes under the limits of the points they start at; their number and the branches tried.

    With ``every`` all of them into the rows of found as far as they reach, and limits stay;
    without it the cheapest for each starting point, in that point's row, and its limit sinks.
    No function calls itself here: the compiler's disk cache does not bring such ones back whole.
    """
    features, number = value.shape
    order = np.zeros((features + 1, number), dtype=np.int64)
    inside = np.zeros(features + 1, dtype=np.int64)
    start = np.zeros(features, dtype=np.int64)
    end = np.zeros(features, dtype=np.int64)
    low, high = np.zeros(features), np.zeros(features)
    cost, rest = np.zeros(features + 1), np.zeros(features + 1)
    boxes, branches = 0, 0
    if number < size:
        return boxes, branches
    level = 0
    inside[0] = number
    order[0] = np.argsort(value[0], kind="mergesort")
    rest[0] = _lowest(price, order[0], size)
    for f in range(1, features):
        rest[0] += _narrowest(value[f], order[0], size)
    end[0] = size - 2
    while level >= 0:
        # The next window of this feature: further up, or from the next start.
        row = value[level]
        end[level] += 1
        a, b, count = start[level], end[level], inside[level]
        over = b >= count
        if not over:
            place = order[0, start[0]]
            width = row[order[level, b]] - row[order[level, a]]
            over = cost[level] + width + rest[level] > limit[place]
        if over:
            a += 1
            while a < count and row[order[level, a]] == row[order[level, a - 1]]:
                a += 1
            start[level], end[level] = a, a + size - 2
            if a + size > count:
                level -= 1
            continue
        if b + 1 < count and row[order[level, b + 1]] == row[order[level, b]]:
            continue
        branches += 1
        if branches > most:
            break
        low[level], high[level] = row[order[level, a]], row[order[level, b]]
        members = order[level, a : b + 1]
        # A box that lost an edge is looked into elsewhere, as a smaller one.
        if _lost_an_edge(value, members, level, low, high):
            continue
        spent = cost[level] + width
        prices = _lowest(price, members, size)
        if level + 1 < features:
            more = prices
            for f in range(level + 1, features):
                more += _narrowest(value[f], members, size)
            if spent + more > limit[place]:
                continue
            level += 1
            here = members[np.argsort(value[level][members], kind="mergesort")]
            inside[level] = len(here)
            order[level, : len(here)] = here
            cost[level] = spent
            rest[level] = more - _narrowest(value[level], members, size)
            start[level], end[level] = 0, size - 2
            continue
        if spent + prices > limit[place]:
            continue
        at = boxes if every else place
        boxes += 1
        if every and boxes > found.shape[0]:
            break
        if not every:
            limit[place] = spent + prices
        if at < found.shape[0]:
            found[at, 0] = spent + prices
            found[at, 1 : 1 + features] = low
            found[at, 1 + features :] = high
    return boxes, branches


@njit(cache=True, nogil=True)
def cheapest_boxes(
    value: Array, price: Array, size: int, limit: Array, most: int
) -> tuple[Array, bool]:
    """The cheapest box that starts at each point in the first feature.

    Parameters
    ----------
    value : ndarray, shape (features, n)
        Features of the points, all counted in one unit.
    price : ndarray, shape (n,)
        What each point costs beside the box.
    size : int
        Points a box must hold; their prices count, the cheapest so many of them.
    limit : ndarray, shape (n,)
        Boxes that start at a point count only up to this cost.
    most : int
        Branches looked into before the search gives up.

    Returns
    -------
    found : ndarray, shape (n, 1 + 2 features)
        Cost with prices, low ends and high ends; an infinite cost where nothing lies under the
        limit.
    complete : bool
        False when the search gave up.
    """
    features, number = value.shape
    found = np.full((number, 1 + 2 * features), np.inf)
    _, branches = _search(value, price, size, limit.copy(), found, most, False)
    return found, branches <= most


@njit(cache=True, nogil=True)
def boxes_under(
    value: Array, price: Array, size: int, limit: float, room: int, most: int
) -> tuple[Array, bool]:
    """Every box whose cost with the cheapest prices inside is not above a limit.

    Parameters
    ----------
    value, price, size, most
        As in cheapest_boxes.
    limit : float
        The limit.
    room : int
        Boxes there is room for.

    Returns
    -------
    found : ndarray, shape (boxes, 1 + 2 features)
        As in cheapest_boxes, one row a box; each box with a point on every side.
    complete : bool
        False when there was no room for all, or the search gave up.
    """
    features, number = value.shape
    found = np.full((room, 1 + 2 * features), np.inf)
    boxes, branches = _search(value, price, size, np.full(number, limit), found, most, True)
    return found[: min(boxes, room)], branches <= most and boxes <= room
