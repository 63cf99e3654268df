"""The exact plan of a class: who gets which bow and which lot, one wish after another.

Plain arrays in and out; docs/bench/classes.md tells the method so that it can be rebuilt.
"""

from __future__ import annotations

import itertools
import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Tell = Callable[[float], None]

NO_LOT = -1
"""The lot of an option in which the arrows are still to be made."""
HAIR = 1e-6
"""Two totals nearer than this share of what they are counted in are the same."""
COUNTED = 0.1
"""Misfit and missing spares are counted in tenths of a percent point and of an arrow."""
FIRST_ROOM = 8.0
"""Columns within this much of the relaxed plan are tried first, in what is counted in."""
MOST_PAIRS = 5_000
"""Pairs of bows looked at when it is asked which two would be missed most."""


@dataclass(frozen=True)
class Options:
    """What may be given at all: one entry a person, bow and lot that no stop forbids.

    ``lot`` is NO_LOT where the bow is given and the arrows are to be made. ``misfit`` is in
    percent points; ``change`` is 1 where taking the option changes what the person holds.
    """

    person: Index
    bow: Index
    lot: Index
    misfit: Array
    change: Array

    def without(self, bows: Sequence[int]) -> Options:
        """The options that are left when these bows are gone."""
        left = ~np.isin(self.bow, np.asarray(bows, dtype=np.int64))
        return Options(
            self.person[left], self.bow[left], self.lot[left], self.misfit[left], self.change[left]
        )


NOTHING = Options(
    np.zeros(0, dtype=np.int64),
    np.zeros(0, dtype=np.int64),
    np.zeros(0, dtype=np.int64),
    np.zeros(0),
    np.zeros(0),
)


@dataclass(frozen=True)
class Class:
    """The numbers of a class: turns at each bow, arrows in each lot, arrows for each person.

    ``spare`` is the number of arrows each person is expected to lose or break.
    """

    people: int
    turns: Index
    stock: Index
    each: int
    spare: float
    options: Options


@dataclass(frozen=True)
class Stage:
    """One wish: its value in the plan, the best value no plan can beat, and whether proven."""

    wish: str
    value: float
    bound: float
    proven: bool


@dataclass(frozen=True)
class Choice:
    """The options taken, by their place, and how far each wish is proven to be met."""

    taken: Index
    stages: tuple[Stage, ...]
    seconds: float

    @property
    def proven(self) -> bool:
        """Whether no better plan exists."""
        return all(one.proven for one in self.stages)


@dataclass
class _Programme:
    """A mixed-integer programme whose wishes are asked one after another."""

    problem: Class
    places: list[Index]
    """For each lot the columns of its places, the first person's place first."""
    whole: Array
    until: float
    matrix: list[tuple[Index, Index, Array]] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    stages: list[Stage] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.width = len(self.whole)
        self.start: Array = np.zeros(self.width)

    def row(self, columns: Index, values: Array, low: float, high: float) -> None:
        """One more constraint."""
        place = np.full(len(columns), len(self.low), dtype=np.int64)
        self.matrix.append((place, columns, values))
        self.low.append(low)
        self.high.append(high)

    def floor(self, cost: Array) -> float:
        """A value no plan is below: each person's cheapest option, and nothing missing."""
        person = self.problem.options.person
        least = np.zeros(self.problem.people)
        np.minimum.at(least, person, cost[: len(person)])
        return float(least.sum())

    def ask(self, wish: str, cost: Array, unit: float) -> None:
        """The least of a cost among all that meet the wishes before; it then stands as a row.

        ``unit`` is what the cost is a whole multiple of in any plan.
        """
        from scipy.sparse import coo_array

        if not np.any(cost):
            self.stages.append(Stage(wish, 0.0, 0.0, True))
            return
        rows = np.concatenate([one[0] for one in self.matrix])
        columns = np.concatenate([one[1] for one in self.matrix])
        data = np.concatenate([one[2] for one in self.matrix])
        table = coo_array((data, (rows, columns)), shape=(len(self.low), self.width)).tocsr()
        value, bound = float(cost @ self.start), self.floor(cost)
        limits = table, np.array(self.low), np.array(self.high)
        if value - bound > HAIR * unit and time.perf_counter() < self.until:
            # In whole units the solver knows that nothing lies between two plans' totals.
            value, bound = self._least(cost / unit, *limits)
            value, bound = value * unit, bound * unit
        proven = value - bound < unit * (1.0 - 1e-4)
        self.stages.append(Stage(wish, value, value if proven else bound, proven))
        some = np.flatnonzero(cost)
        self.row(some.astype(np.int64), cost[some] / unit, -np.inf, value / unit + 0.5)

    def _least(self, cost: Array, table: Any, low: Array, high: Array) -> tuple[float, float]:
        """The least cost found, kept in ``start``, and a bound from below.

        The relaxed programme comes first. A column whose reduced cost is above the gap between
        a plan and the relaxed value is in no better plan, so most columns are soon left out.
        """
        from scipy.optimize import linprog

        relaxed = linprog(
            cost,
            A_ub=table,
            b_ub=high,
            bounds=(0.0, 1.0),
            method="highs",
            options={"time_limit": max(self.until - time.perf_counter(), 0.05)},
        )
        value, bound = float(cost @ self.start), self.floor(cost)
        if relaxed.status != 0:
            return value, bound
        bound = max(bound, float(np.ceil(relaxed.fun - 1e-6)))
        value = self._take(cost, table, high, np.round(relaxed.x), value)
        reduced = np.maximum(relaxed.lower.marginals, 0.0)
        room, all_in = FIRST_ROOM, False
        while value - bound > 1e-6 and not all_in and time.perf_counter() < self.until:
            room = min(room, value - float(relaxed.fun))
            some = np.flatnonzero(reduced <= room + 1e-6)
            all_in = room >= value - float(relaxed.fun) - 1e-9
            solution, least = self._solve(cost, table, low, high, some)
            if solution is not None:
                value = self._take(cost, table, high, solution, value)
            # What was left out costs more than the room above the relaxed value.
            bound = max(bound, min(least, float(np.ceil(relaxed.fun + room - 1e-6)), value))
            all_in = all_in or value - float(relaxed.fun) <= room
            room *= 4.0
        return value, bound

    def _take(self, cost: Array, table: Any, high: Array, solution: Array, value: float) -> float:
        """The value of a solution, which becomes the plan where it holds and is no worse."""
        tried = self.tight(solution)
        if np.all(table @ tried <= high + 1e-6) and float(cost @ tried) <= value + HAIR:
            self.start = tried
            return float(cost @ tried)
        return value

    def _solve(
        self, cost: Array, table: Any, low: Array, high: Array, some: Index
    ) -> tuple[Array | None, float]:
        """A solution over some of the columns, and a bound for all solutions over them."""
        from scipy.optimize import Bounds, LinearConstraint, milp

        found = milp(
            cost[some],
            constraints=LinearConstraint(table[:, some], low, high),
            integrality=self.whole[some],
            bounds=Bounds(np.zeros(len(some)), np.ones(len(some))),
            options={
                "time_limit": max(self.until - time.perf_counter(), 0.05),
                "mip_rel_gap": 0.0,
            },
        )
        if found.status == 2:
            return None, np.inf
        known = found.mip_dual_bound is not None and np.isfinite(found.mip_dual_bound)
        least = float(np.ceil(found.mip_dual_bound - 1e-6)) if known else -np.inf
        if found.x is None:
            return None, least
        solution = np.zeros(self.width)
        solution[some] = found.x
        return solution, float(cost[some] @ found.x) if found.status == 0 else least

    def tight(self, solution: Array) -> Array:
        """A solution with whole options, and the cheapest places in the lots they need."""
        count = len(self.problem.options.person)
        made = np.zeros(self.width)
        made[:count] = np.round(solution[:count])
        held = np.bincount(
            self.problem.options.lot[made[:count] > 0.5] + 1, minlength=len(self.problem.stock) + 1
        )
        for lot, places in enumerate(self.places):
            made[places[: held[lot + 1]]] = 1.0
        return made


WISHES = (
    "people with a bow and arrows",
    "people with a bow whose arrows are to be made",
    "people whose bow or arrows change",
    "spare arrows missing for the expected loss",
    "misfit in percent points",
)


def choose(problem: Class, *, seconds: float = 20.0, tell: Tell | None = None) -> Choice:
    """The plan: as many people as can be served, and of all such plans the one that fits best.

    Parameters
    ----------
    problem : Class
        Its options hold no option that a stop forbids.
    seconds : float
        After this time the best plan so far is given, each wish with its bound.
    tell : callable, optional
        Told the share done.

    Returns
    -------
    choice : Choice
        Places in the options; the wishes in the order of WISHES.
    """
    began = time.perf_counter()
    tell = tell or (lambda _: None)
    programme, missing = _programme(problem, began + seconds)
    options = problem.options
    count, places = len(options.person), len(missing)
    armed = (options.lot != NO_LOT).astype(np.float64)
    none = np.zeros(places)
    # One person with arrows outweighs all people without: both wishes in one, in their order.
    weight = float(problem.people + 1)
    programme.ask("people", np.concatenate((-(1.0 + (weight - 1.0) * armed), none)), 1.0)
    stages = _people(programme.stages[0], weight)
    wishes = (
        (options.change, none, 1.0),
        (np.zeros(count), missing, COUNTED),
        (np.round(options.misfit / COUNTED) * COUNTED, none, COUNTED),
    )
    for turn, (wish, (own, lacking, unit)) in enumerate(zip(WISHES[2:], wishes, strict=True)):
        programme.ask(wish, np.concatenate((own, lacking)), unit)
        tell((turn + 3) / len(WISHES))
    taken = np.flatnonzero(programme.start[:count] > 0.5).astype(np.int64)
    return Choice(taken, (*stages, *programme.stages[1:]), time.perf_counter() - began)


def _people(both: Stage, weight: float) -> tuple[Stage, Stage]:
    """The first two wishes, told apart again."""
    full, bare = divmod(round(-both.value), round(weight))
    most, rest = divmod(math.floor(-both.bound + 1e-6), round(weight))
    return (
        Stage(WISHES[0], float(full), float(most), full == most),
        Stage(
            WISHES[1],
            float(bare),
            float(rest if full == most else weight - 1.0 - full),
            both.proven,
        ),
    )


def lacking(problem: Class, lot: int) -> Array:
    """Spares that each further person in a lot makes missing, in tenths of an arrow."""
    held = np.arange(problem.stock[lot] // problem.each + 1)
    missing = np.maximum(held * (problem.each + problem.spare) - problem.stock[lot], 0.0)
    return np.diff(np.round(missing / COUNTED) * COUNTED)


def _programme(problem: Class, until: float) -> tuple[_Programme, Array]:
    """One variable an option, then one a place in a lot; and what the places make missing.

    A lot's places are taken in any order by the programme, the cheapest first by itself, since
    what is missing grows with every further person.
    """
    options = problem.options
    count = len(options.person)
    own_missing = [np.sort(lacking(problem, lot)) for lot in range(len(problem.stock))]
    ends = np.cumsum([count, *(len(one) for one in own_missing)])
    places = [np.arange(a, b, dtype=np.int64) for a, b in itertools.pairwise(ends)]
    whole = np.concatenate((np.ones(count), np.zeros(ends[-1] - count)))
    made = _Programme(problem, places, whole, until)
    place = np.arange(count, dtype=np.int64)
    for person in range(problem.people):
        own = place[options.person == person]
        if len(own):
            made.row(own, np.ones(len(own)), -np.inf, 1.0)
    for bow, turns in enumerate(problem.turns):
        own = place[options.bow == bow]
        if len(own):
            made.row(own, np.ones(len(own)), -np.inf, float(turns))
    for lot, seats in enumerate(places):
        own = place[options.lot == lot]
        if len(own):
            made.row(
                np.concatenate((own, seats)),
                np.concatenate((np.ones(len(own)), -np.ones(len(seats)))),
                -np.inf,
                0.0,
            )
    if not made.low:
        made.row(np.array([0], dtype=np.int64), np.zeros(1), -np.inf, 0.0)
    if count:
        made.start = made.tight(_first_plan(problem))
    return made, np.concatenate([*own_missing, np.zeros(0)])


def _first_plan(problem: Class) -> Array:
    """A plan picked person by person, the ones with the fewest options first."""
    options = problem.options
    count = len(options.person)
    turns, stock = problem.turns.copy(), problem.stock.copy()
    taken = np.zeros(count)
    few = np.bincount(options.person, minlength=problem.people)
    for person in np.argsort(few, kind="stable"):
        own = np.flatnonzero(options.person == person)
        order = np.lexsort((options.misfit[own], options.change[own], options.lot[own] == NO_LOT))
        for k in own[order]:
            bow, lot = options.bow[k], options.lot[k]
            if turns[bow] < 1 or (lot != NO_LOT and stock[lot] < problem.each):
                continue
            taken[k] = 1.0
            turns[bow] -= 1
            if lot != NO_LOT:
                stock[lot] -= problem.each
            break
    return taken


# ---- which two bows would be missed most


def _scarcity(problem: Class, bow: int, users: Index) -> float:
    """How many people a bow serves, the more so the fewer other bows would serve them."""
    options = problem.options
    mine = np.unique(options.person[(options.bow == bow) & (options.lot != NO_LOT)])
    others = [len(np.unique(options.bow[options.person == person])) for person in mine]
    return float(users[bow]) + sum(1.0 / one for one in others)


@dataclass(frozen=True)
class Worst:
    """The bows whose loss leaves the fewest people with bow and arrows.

    ``looked`` of ``pairs`` pairs had to be solved; ``proven`` says that no other pair is worse.
    ``alike`` is how many of the solved pairs were as bad.
    """

    bows: tuple[int, ...]
    served: int
    served_before: int
    looked: int
    pairs: int
    alike: int
    proven: bool


def served(problem: Class, gone: Sequence[int] = (), seconds: float = 10.0) -> tuple[int, Index]:
    """The most people that can be given bow and arrows without these bows, and how many a bow has.

    Parameters
    ----------
    problem : Class
        The class.
    gone : sequence of int
        Bows taken away.
    seconds : float
        For this one count.

    Returns
    -------
    count : int
        People served.
    users : ndarray of int, shape (bows,)
        How many of them use each bow.
    """
    left = problem.options.without(gone)
    armed = left.lot != NO_LOT
    left = Options(
        left.person[armed], left.bow[armed], left.lot[armed], left.misfit[armed], left.change[armed]
    )
    some = Class(problem.people, problem.turns, problem.stock, problem.each, 0.0, left)
    programme, missing = _programme(some, time.perf_counter() + seconds)
    count = len(left.person)
    programme.ask(WISHES[0], np.concatenate((-np.ones(count), np.zeros(len(missing)))), 1.0)
    taken = programme.start[:count] > 0.5
    users = np.bincount(left.bow[taken], minlength=len(problem.turns))
    return int(taken.sum()), users.astype(np.int64)


def worst_losses(
    problem: Class, number: int = 2, *, seconds: float = 10.0, tell: Tell | None = None
) -> Worst | None:
    """The bows, one or two, whose breaking leaves the fewest people with bow and arrows.

    Parameters
    ----------
    problem : Class
        The class.
    number : int
        How many bows break, 1 or 2.
    seconds : float
        After this time the worst found so far is told, and that it is not proven.
    tell : callable, optional
        Told the share done.

    Returns
    -------
    worst : Worst or None
        None when fewer bows than that are of any use.

    Notes
    -----
    Taking a bow away from a plan leaves all but its users served. So a plan made without bow a
    bounds from below what is left without a and b, and most pairs need no solving.
    """
    until = time.perf_counter() + seconds
    useful = sorted({int(b) for b in problem.options.bow[problem.options.lot != NO_LOT]})
    if len(useful) < number:
        return None
    before, users = served(problem, seconds=0.5 * seconds)
    useful.sort(key=lambda bow: -_scarcity(problem, bow, users))
    alone = {}
    for turn, bow in enumerate(useful):
        if time.perf_counter() > until:
            break
        alone[bow] = served(problem, [bow])
        if tell is not None:
            tell(0.5 * (turn + 1) / len(useful))
    if number == 1 or not alone:
        pairs = [(bow,) for bow in alone]
        least = [alone[bow][0] for bow in alone]
        k = int(np.argmin(least)) if least else 0
        alike = sum(1 for one in least if one == least[k]) if least else 0
        return (
            Worst(pairs[k], least[k], before, len(pairs), len(useful), alike,
                  len(alone) == len(useful))
            if least
            else None
        )  # fmt: skip
    bounds = []
    for a, b in itertools.combinations(sorted(alone), 2):
        (left_a, users_a), (left_b, users_b) = alone[a], alone[b]
        bounds.append((max(left_a - int(users_a[b]), left_b - int(users_b[a])), a, b))
    bounds.sort()
    found, looked, alike = (before + 1, (-1, -1)), 0, 0
    proven = len(alone) == len(useful)
    for least_left, a, b in bounds[:MOST_PAIRS]:
        if least_left >= found[0]:
            break
        if time.perf_counter() > until and looked:
            proven = False
            break
        left, _ = served(problem, [a, b])
        looked += 1
        if left < found[0]:
            found, alike = (left, (a, b)), 1
        elif left == found[0]:
            alike += 1
    total = len(useful) * (len(useful) - 1) // 2
    return Worst(found[1], found[0], before, looked, total, alike, proven)
