"""The exact choice of disjoint sets: boxes priced to the end, and a mixed-integer programme.

Plain arrays in and out; docs/bench/sets.md tells the method so that it can be rebuilt.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loosewell.errors import EngineRefusal

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Tell = Callable[[float], None]

BRANCHES = 30_000_000
"""Branches looked into in one search for boxes before it gives up."""
BRANCHES_A_SECOND = 1_000_000.0
"""Looked into in a second on a slow machine, so that a search ends about in time."""
ROOM = 6_000
"""Boxes for one group that the last programme is given at most."""
CLOSE = 1e-7
"""Totals this near each other, as a share, are the same."""


@dataclass(frozen=True)
class Group:
    """One bow's wish: which points may go into its sets, and what each is worth there.

    ``value`` has one row a feature, all in one unit, and one column a point of ``points``;
    ``sets`` is the number of sets wished.
    """

    points: Index
    value: Array
    sets: int = 1


@dataclass(frozen=True)
class Choice:
    """The sets chosen: (group, points) each, their total, and how far that is proven.

    ``bound`` is a total no choice can go below. ``proven`` says that the total is the least.
    """

    sets: list[tuple[int, Index]]
    total: float
    bound: float
    proven: bool
    seconds: float
    filled: int
    wished: int

    @property
    def gap_percent(self) -> float:
        """How much of the total could at most still be saved. [percent]"""
        if self.proven or self.total <= 0.0:
            return 0.0
        return 100.0 * max(self.total - self.bound, 0.0) / self.total


@dataclass
class _Column:
    """A box of one group: its points (places in the group) and its cost."""

    group: int
    inside: Index
    cost: float


@dataclass
class _State:
    size: int
    groups: Sequence[Group]
    points: int
    filled: int
    until: float
    columns: list[_Column] = field(default_factory=list)
    known: set[tuple[int, bytes]] = field(default_factory=set)
    subsets: dict[tuple[int, bytes], tuple[int, Index, float]] = field(default_factory=dict)

    def branches(self) -> int:
        """Branches a search may look into in the time that is left."""
        left = max(self.until - time.perf_counter(), 0.0)
        return int(min(BRANCHES, 100_000 + BRANCHES_A_SECOND * left))

    def late(self) -> bool:
        return time.perf_counter() > self.until

    def add_box(self, group: int, row: Array) -> Index:
        """The points of a found box, kept as a column of the last programme."""
        one = self.groups[group]
        features = len(one.value)
        low, high = row[1 : 1 + features, None], row[1 + features :, None]
        inside = np.flatnonzero(np.all((one.value >= low) & (one.value <= high), axis=0))
        key = group, inside.tobytes()
        if key not in self.known:
            self.known.add(key)
            self.columns.append(_Column(group, inside, cost_of(one.value, inside)))
        return inside

    def add_subset(self, group: int, inside: Index, price: Array) -> None:
        """The cheapest set inside a box, as a column of the priced programme."""
        some = np.sort(inside[np.argsort(price[inside], kind="stable")[: self.size]])
        key = group, some.tobytes()
        if key not in self.subsets:
            one = self.groups[group]
            self.subsets[key] = group, some, cost_of(one.value, some)


_AWAKE: list[threading.Thread] = []


def wake() -> None:
    """Compile the search, or load it, while the caller does other work."""

    def compile_both() -> None:
        from loosewell.workshop import boxes

        value, price = np.zeros((1, 2)), np.zeros(2)
        boxes.cheapest_boxes(value, price, 2, price, 10)
        boxes.boxes_under(value, price, 2, 0.0, 1, 10)

    if not _AWAKE:
        _AWAKE.append(threading.Thread(target=compile_both, daemon=True))
        _AWAKE[0].start()


def cost_of(value: Array, members: Index) -> float:
    """What a set costs: the sum over the features of its widest difference."""
    return float(np.ptp(value[:, members], axis=1).sum())


def choose_sets(
    groups: Sequence[Group],
    points: int,
    size: int,
    *,
    seconds: float = 60.0,
    tell: Tell | None = None,
) -> Choice:
    """As many disjoint sets as can be filled, and of all ways to fill them the one least wide.

    Parameters
    ----------
    groups : sequence of Group
        One a bow.
    points : int
        How many points there are in all.
    size : int
        Points of a set.
    seconds : float
        After this time the best choice found so far is given, with its bound.
    tell : callable, optional
        Told the share done.

    Returns
    -------
    choice : Choice
        Sets in the order of the groups; an empty choice when no set can be filled.
    """
    wake()
    _AWAKE[0].join()
    from loosewell.workshop import boxes

    began = time.perf_counter()
    tell = tell or (lambda _: None)
    wished = sum(one.sets for one in groups)
    whole = _any_sets(groups, points, size)
    filled = len(whole)
    if filled == 0:
        return Choice([], 0.0, 0.0, True, 0.0, 0, wished)
    state = _State(size, groups, points, filled, began + seconds)
    for g, members in whole:
        _keep(state, g, members)
    _seed(state, boxes)
    tell(0.1)
    bound, prices, least = _price(state, boxes, tell)
    chosen, total = _programme(state)
    if not chosen:
        # The solver found nothing whole in its time; what can be filled at all is at hand.
        chosen = _in_order([(g, groups[g].points[members]) for g, members in whole])
        total = sum(cost_of(groups[g].value, members) for g, members in whole)
    tell(0.8)
    scale = CLOSE * max(total, 1.0)
    complete = np.isfinite(bound)
    if complete and total - bound > scale and not state.late():
        # No box left out can be part of a better choice.
        complete = _widen(state, boxes, prices, least, total + scale)
        again, less = _programme(state)
        if less <= total:
            chosen, total = again, less
        if complete and not state.late():
            bound = total
    if bound > total + scale:
        bound = -np.inf  # a bound that a choice goes below is none: nothing is claimed
    proven = bool(np.isfinite(bound) and total - bound <= scale)
    tell(1.0)
    return Choice(
        chosen,
        total,
        min(max(float(bound), 0.0), total) if np.isfinite(bound) else 0.0,
        proven,
        time.perf_counter() - began,
        filled,
        wished,
    )


def most_sets(groups: Sequence[Group], points: int, size: int) -> int:
    """The greatest number of disjoint sets that can be filled at all."""
    return len(_any_sets(groups, points, size))


def _any_sets(groups: Sequence[Group], points: int, size: int) -> list[tuple[int, Index]]:
    """As many disjoint sets as can be filled, however wide: (group, places in the group) each."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import coo_array

    number = len(groups)
    pairs = [(g, int(i)) for g, one in enumerate(groups) for i in one.points]
    if not pairs:
        return []
    rows, columns, data = [], [], []
    for g in range(number):
        rows.append(g)
        columns.append(g)
        data.append(-float(size))
    for k, (g, i) in enumerate(pairs):
        rows += [g, number + i]
        columns += [number + k, number + k]
        data += [1.0, 1.0]
    matrix = coo_array(
        (data, (rows, columns)), shape=(number + points, number + len(pairs))
    ).tocsr()
    low = np.concatenate((np.zeros(number), np.full(points, -np.inf)))
    high = np.concatenate((np.zeros(number), np.ones(points)))
    found = milp(
        np.concatenate((-np.ones(number), np.zeros(len(pairs)))),
        constraints=LinearConstraint(matrix, low, high),
        integrality=np.ones(number + len(pairs)),
        bounds=Bounds(
            np.zeros(number + len(pairs)),
            np.concatenate(([float(one.sets) for one in groups], np.ones(len(pairs)))),
        ),
    )
    if found.x is None:
        raise EngineRefusal(f"The solver could not count the sets that can be filled: {found}.")
    sets: list[tuple[int, Index]] = []
    given = [pair for pair, share in zip(pairs, found.x[number:], strict=True) if share > 0.5]
    for g, one in enumerate(groups):
        mine = np.array([i for h, i in given if h == g], dtype=np.int64)
        places = np.searchsorted(one.points, mine)
        places = places[np.argsort(one.value[0, places], kind="stable")]
        sets += [
            (g, np.sort(places[start : start + size])) for start in range(0, len(places), size)
        ]
    return sets


def _greedy_limits(value: Array, price: Array, size: int) -> Array:
    """For each point the cost of the set of its nearest neighbours upward in the first feature."""
    number = value.shape[1]
    limit = np.full(number, -1.0)
    for i in range(number):
        away = np.abs(value - value[:, [i]]).sum(axis=0) + price
        away[value[0] < value[0, i]] = np.inf
        away[i] = -1.0
        near = np.argsort(away, kind="stable")[:size]
        if len(near) == size and np.isfinite(away[near]).all():
            limit[i] = cost_of(value, near) + float(price[near].sum())
    return limit


def _seed(state: _State, boxes: Any) -> None:
    """First boxes: around near neighbours of each point, and sets picked one after another."""
    for g, one in enumerate(state.groups):
        if len(one.points) < state.size:
            continue
        for i in range(len(one.points)):
            away = np.abs(one.value - one.value[:, [i]]).sum(axis=0)
            near = np.sort(np.argsort(away, kind="stable")[: state.size])
            _keep(state, g, near)
    for turn in range(2 * len(state.groups)):
        taken = np.zeros(state.points, dtype=bool)
        order = [(turn + g) % len(state.groups) for g in range(len(state.groups))]
        if turn >= len(state.groups):
            order.reverse()
        for g in order:
            one = state.groups[g]
            for _ in range(one.sets):
                left = np.flatnonzero(~taken[one.points])
                if len(left) < state.size or state.late():
                    break
                value = np.ascontiguousarray(one.value[:, left])
                limit = _greedy_limits(value, np.zeros(len(left)), state.size)
                least = float(limit[limit >= 0.0].min()) if (limit >= 0.0).any() else np.inf
                found, _ = boxes.cheapest_boxes(
                    value, np.zeros(len(left)), state.size,
                    np.full(len(left), least * (1.0 + 1e-9) + 1e-12), BRANCHES // 10,
                )  # fmt: skip
                best = int(np.argmin(found[:, 0]))
                if not np.isfinite(found[best, 0]):
                    break
                features = len(value)
                low, high = found[best, 1 : 1 + features, None], found[best, 1 + features :, None]
                inside = np.flatnonzero(np.all((value >= low) & (value <= high), axis=0))
                some = left[inside[: state.size]]
                taken[one.points[some]] = True
                _keep(state, g, np.sort(some))


def _keep(state: _State, g: int, members: Index) -> None:
    """A set, as a column of the priced programme, and the box around it."""
    one = state.groups[g]
    ends = one.value[:, members]
    state.add_box(g, np.concatenate(([0.0], ends.min(axis=1), ends.max(axis=1))))
    key = g, members.tobytes()
    state.subsets.setdefault(key, (g, members, cost_of(one.value, members)))


def _penalty(state: _State) -> float:
    """More than any choice of sets can cost: what a set left out is charged."""
    widest = max(float(np.ptp(one.value, axis=1).sum()) for one in state.groups if len(one.points))
    return 2.0 * state.filled * widest + 1.0


def _price(state: _State, boxes: Any, tell: Tell) -> tuple[float, Array, Array]:
    """A bound from below, the prices of the points it rests on, and each group's cheapest set."""
    from scipy.optimize import linprog
    from scipy.sparse import csr_array

    groups, count = state.groups, len(state.groups)
    wished = np.array([float(one.sets) for one in groups])
    penalty = _penalty(state)
    bound = -np.inf
    best: tuple[Array, Array] = np.zeros(state.points), np.zeros(count)
    for turn in range(2000):
        subsets = list(state.subsets.values())
        number = len(subsets)
        rows = np.concatenate(
            [np.append(groups[g].points[some], state.points + g) for g, some, _ in subsets]
        )
        columns = np.repeat(np.arange(number), state.size + 1)
        upper = csr_array(
            (np.ones(len(rows)), (rows, columns)), shape=(state.points + count, number + 1)
        )
        found = linprog(
            np.append([cost for _, _, cost in subsets], penalty),
            A_ub=upper,
            b_ub=np.concatenate((np.ones(state.points), wished)),
            A_eq=csr_array(np.ones((1, number + 1))),
            b_eq=[float(state.filled)],
            bounds=(0.0, None),
            method="highs",
        )
        if found.x is None:
            break
        marginal = np.minimum(found.ineqlin.marginals, 0.0)
        prices = -marginal[: state.points]
        worth = float(found.eqlin.marginals[0]) + marginal[state.points :]
        if _near_columns(state, prices, worth):
            # The quick look still finds better sets: no need of the whole search yet.
            if state.late():
                break
            tell(0.1 + 0.6 * (1.0 - 0.97**turn))
            continue
        reduced = np.empty(count)
        complete = True
        for g, one in enumerate(groups):
            reduced[g] = worth[g]
            if len(one.points) < state.size:
                reduced[g] = np.inf
                continue
            price = prices[one.points]
            limit = np.full(len(one.points), worth[g] - 1e-9)
            near = _greedy_limits(one.value, price, state.size)
            limit = np.minimum(limit, near * (1.0 + 1e-9) + 1e-12)
            boxed, done = boxes.cheapest_boxes(
                one.value, price, state.size, limit, state.branches()
            )
            complete = complete and done
            some = np.argsort(boxed[:, 0])[:40]
            for k in some[np.isfinite(boxed[some, 0])]:
                state.add_subset(g, state.add_box(g, boxed[k]), price)
            reduced[g] = min(worth[g], float(boxed[:, 0].min()))
        if complete:
            # Lagrange: prices paid back, and the cheapest sets at these prices.
            each = np.sort(np.repeat(reduced, [one.sets for one in groups]))
            here = float(each[: state.filled].sum() - prices.sum())
            if here > bound:
                bound, best = here, (prices, reduced)
        if len(state.subsets) == number or state.late() or not complete:
            break
        if float(found.fun) - bound <= 1e-9 * max(1.0, abs(float(found.fun))):
            break
        tell(0.1 + 0.6 * (1.0 - 0.97**turn))
    return bound, *best


def _near_columns(state: _State, prices: Array, worth: Array) -> bool:
    """Whether sets of near neighbours, prices counted, promise a better choice; they are added."""
    added = False
    for g, one in enumerate(state.groups):
        number = len(one.points)
        if number < state.size:
            continue
        price = prices[one.points]
        away = np.abs(one.value[:, :, None] - one.value[:, None, :]).sum(axis=0) + price
        near = np.argpartition(away, state.size - 1, axis=1)[:, : state.size]
        cost = np.ptp(one.value[:, near], axis=2).sum(axis=0)
        gain = cost + price[near].sum(axis=1) - worth[g]
        for k in np.argsort(gain, kind="stable")[:20]:
            if gain[k] >= -1e-9:
                break
            members = np.sort(near[k])
            if (g, members.tobytes()) not in state.subsets:
                _keep(state, g, members)
                added = True
    return added


def _widen(state: _State, boxes: Any, prices: Array, least: Array, total: float) -> bool:
    """Every box that may be part of a choice below the total; False when there are too many.

    A choice with such a box costs at least the box, the cheapest sets beside it, less all prices.
    """
    complete = True
    each = np.repeat(least, [one.sets for one in state.groups])
    owner = np.repeat(np.arange(len(state.groups)), [one.sets for one in state.groups])
    for g, one in enumerate(state.groups):
        if len(one.points) < state.size:
            continue
        others = np.delete(each, int(np.argmax(owner == g)))
        beside = float(np.sort(others)[: state.filled - 1].sum())
        found, done = boxes.boxes_under(
            one.value,
            prices[one.points],
            state.size,
            total + float(prices.sum()) - beside,
            ROOM,
            state.branches(),
        )
        complete = complete and done
        for row in found:
            state.add_box(g, row)
        if state.late():
            return False
    return complete


def _programme(state: _State) -> tuple[list[tuple[int, Index]], float]:
    """The best choice from the boxes at hand, by the mixed-integer solver."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import coo_array

    boxes, size = state.columns, state.size
    number = len(boxes)
    inside = [one.inside for one in boxes]
    lengths = np.array([len(one) for one in inside])
    places = number + np.concatenate(([0], np.cumsum(lengths)))
    width = int(places[-1]) + 1
    owner = np.repeat(np.arange(number), lengths)
    member = np.arange(number, width - 1)
    point = np.concatenate([state.groups[one.group].points[one.inside] for one in boxes])
    group = np.array([one.group for one in boxes])
    count = len(state.groups)
    # Rows: a point in one set at most; members of a box; a member only of a box taken;
    # sets a group may have; sets in all.
    first = np.array([0, state.points, number, width - 1 - number, count]).cumsum()
    rows = [
        point, first[1] + owner, first[1] + np.arange(number),
        first[2] + np.arange(len(member)), first[2] + np.arange(len(member)),
        first[3] + group, np.full(number + 1, first[4]),
    ]  # fmt: skip
    columns = [
        member, member, np.arange(number), member, owner, np.arange(number),
        np.append(np.arange(number), width - 1),
    ]  # fmt: skip
    data = [
        np.ones(len(member)), np.ones(len(member)), np.full(number, -float(size)),
        np.ones(len(member)), -np.ones(len(member)), np.ones(number), np.ones(number + 1),
    ]  # fmt: skip
    matrix = coo_array(
        (np.concatenate(data), (np.concatenate(rows), np.concatenate(columns))),
        shape=(int(first[4]) + 1, width),
    ).tocsr()
    wished = [float(one.sets) for one in state.groups]
    low = np.concatenate(
        (np.full(state.points, -np.inf), np.zeros(number), np.full(len(member), -np.inf),
         np.full(count, -np.inf), [float(state.filled)])
    )  # fmt: skip
    high = np.concatenate(
        (np.ones(state.points), np.zeros(number), np.zeros(len(member)), wished,
         [float(state.filled)])
    )  # fmt: skip
    cost = np.zeros(width)
    cost[:number] = [one.cost for one in boxes]
    cost[-1] = _penalty(state)
    integral = np.zeros(width)
    integral[:number] = 1.0
    top = np.ones(width)
    top[:number] = np.minimum([wished[g] for g in group], lengths // size)
    top[-1] = float(state.filled)
    found = milp(
        cost,
        constraints=LinearConstraint(matrix, low, high),
        integrality=integral,
        bounds=Bounds(np.zeros(width), top),
        options={"mip_rel_gap": 1e-9, "time_limit": max(state.until - time.perf_counter(), 1.0)},
    )
    if found.x is None:
        return [], np.inf
    solution = found.x
    if np.abs(solution - np.round(solution)).max() > 1e-6:
        # The boxes are settled; who goes where among them is a matter of whole arrows too.
        settled = np.round(solution[:number])
        found = milp(
            cost,
            constraints=LinearConstraint(matrix, low, high),
            integrality=np.ones(width),
            bounds=Bounds(
                np.concatenate((settled, np.zeros(width - number))),
                np.concatenate((settled, top[number:])),
            ),
        )
        if found.x is None:
            return [], np.inf
        solution = found.x
    return _read_off(state, np.round(solution), places)


def _read_off(
    state: _State, solution: Array, places: Index
) -> tuple[list[tuple[int, Index]], float]:
    """The sets in a solution, in the order of the groups, and their total."""
    chosen: list[tuple[int, Index]] = []
    total = 0.0
    for k in np.flatnonzero(solution[: len(state.columns)] > 0.5):
        one = state.columns[k]
        value, points = state.groups[one.group].value, state.groups[one.group].points
        members = one.inside[solution[places[k] : places[k + 1]] > 0.5]
        # Two sets in one box: neighbours in the first feature stay together.
        members = members[np.argsort(value[0, members], kind="stable")]
        for start in range(0, len(members), state.size):
            some = np.sort(members[start : start + state.size])
            chosen.append((one.group, points[some]))
            total += cost_of(value, some)
    if len(chosen) < state.filled:
        return [], np.inf
    return _in_order(chosen), total


def _in_order(chosen: list[tuple[int, Index]]) -> list[tuple[int, Index]]:
    return sorted(chosen, key=lambda pair: (pair[0], pair[1].tolist()))
