"""The exact choice of sets, against every choice there is on racks small enough for that."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from loosewell.workshop import boxes, set_solver
from loosewell.workshop.set_solver import Choice, Group, choose_sets, cost_of, most_sets
from tolerances import round_off

CLOSE = 1e-7
"""Relative, what the solver is asked for."""


def brute(groups: Sequence[Group], size: int) -> tuple[int, float]:
    """Most sets that can be filled, and their least total: every choice tried."""
    subsets = [
        [
            (cost_of(one.value, np.array(some)), frozenset(one.points[list(some)].tolist()))
            for some in itertools.combinations(range(len(one.points)), size)
        ]
        for one in groups
    ]
    slots = [g for g, one in enumerate(groups) for _ in range(one.sets)]
    best = (0, 0.0)

    def fill(slot: int, used: frozenset[int], filled: int, total: float) -> None:
        nonlocal best
        if slot == len(slots):
            if (-filled, total) < (-best[0], best[1]):
                best = (filled, total)
            return
        fill(slot + 1, used, filled, total)
        for cost, some in subsets[slots[slot]]:
            if not some & used:
                fill(slot + 1, used | some, filled + 1, total + cost)

    fill(0, frozenset(), 0, 0.0)
    return best


def rack(seed: int, rounded: bool) -> tuple[list[Group], int, int]:
    """A small rack with one or two bows that take some of its shafts."""
    rng = np.random.default_rng(seed)
    points, size = int(rng.integers(4, 10)), int(rng.integers(2, 4))
    features = int(rng.integers(1, 6))
    groups = []
    for _ in range(int(rng.integers(1, 3))):
        some = np.sort(rng.choice(points, int(rng.integers(1, points + 1)), replace=False))
        value = rng.normal(size=(features, len(some)))
        sets = int(rng.integers(1, 3))
        groups.append(Group(some, np.round(value) if rounded else value, sets))
    if points > 8:
        groups = [Group(one.points, one.value, 1) for one in groups]
    return groups, points, size


def holds(choice: Choice, groups: Sequence[Group], size: int) -> None:
    """Sets of the right size, of shafts that fit, none twice, and the total is theirs."""
    used = [int(i) for _, members in choice.sets for i in members]
    assert len(set(used)) == len(used) == size * choice.filled
    total = 0.0
    for g, members in choice.sets:
        assert set(members) <= set(groups[g].points)
        total += cost_of(groups[g].value, np.searchsorted(groups[g].points, members))
    for g, one in enumerate(groups):
        assert sum(h == g for h, _ in choice.sets) <= one.sets
    assert choice.total == pytest.approx(total, abs=round_off)


@pytest.mark.parametrize("rounded", [False, True], ids=["all different", "with ties"])
@settings(max_examples=30, deadline=None, derandomize=True)
@given(seed=st.integers(0, 10**6))
def test_the_choice_is_the_best_of_all_choices(rounded: bool, seed: int) -> None:
    groups, points, size = rack(seed, rounded)
    filled, total = brute(groups, size)
    choice = choose_sets(groups, points, size)
    assert choice.filled == filled == most_sets(groups, points, size)
    assert choice.proven
    assert choice.total == pytest.approx(total, rel=CLOSE, abs=CLOSE)
    assert choice.bound == pytest.approx(total, rel=CLOSE, abs=10 * CLOSE)
    holds(choice, groups, size)


def plain_programme(groups: Sequence[Group], points: int, size: int, filled: int) -> float:
    """The least total by the textbook programme: interval ends held by big constants.

    Nothing is shared with the solver but HiGHS itself; slow, and proven only on small racks.
    """
    slots = [g for g, one in enumerate(groups) for _ in range(one.sets)]
    features = len(groups[0].value)
    column: dict[tuple[Any, ...], int] = {}
    for s, g in enumerate(slots):
        names = [("set", s), *(("in", s, j) for j in range(len(groups[g].points)))]
        names += [(end, s, f) for f in range(features) for end in ("low", "high")]
        column |= {name: len(column) + k for k, name in enumerate(names)}
    rows: list[tuple[dict[tuple[Any, ...], float], float, float]] = []
    cost, low, high = np.zeros(len(column)), np.zeros(len(column)), np.ones(len(column))
    whole = np.array([float(name[0] in ("set", "in")) for name in column])
    for s, g in enumerate(slots):
        value = groups[g].value
        count = {("in", s, j): 1.0 for j in range(value.shape[1])}
        rows.append(({**count, ("set", s): -float(size)}, 0.0, 0.0))
        for f in range(features):
            least, most = value[f].min(), value[f].max()
            for end, sign in (("low", -1.0), ("high", 1.0)):
                k = column[end, s, f]
                low[k], high[k], cost[k] = least, most, sign
            rows.append(({("high", s, f): 1.0, ("low", s, f): -1.0}, 0.0, np.inf))
            for j, one in enumerate(value[f]):
                rows.append(({("high", s, f): 1.0, ("in", s, j): least - one}, least, np.inf))
                rows.append(({("low", s, f): 1.0, ("in", s, j): most - one}, -np.inf, most))
    for point in range(points):
        inside = {
            ("in", s, int(j)): 1.0
            for s, g in enumerate(slots)
            for j in np.flatnonzero(groups[g].points == point)
        }
        rows.append((inside, 0.0, 1.0))
    rows.append(({("set", s): 1.0 for s in range(len(slots))}, float(filled), float(filled)))
    matrix = np.zeros((len(rows), len(column)))
    for k, (row, _, _) in enumerate(rows):
        for name, factor in row.items():
            matrix[k, column[name]] += factor
    limits = LinearConstraint(matrix, [row[1] for row in rows], [row[2] for row in rows])
    found = milp(
        cost,
        constraints=limits,
        integrality=whole,
        bounds=Bounds(low, high),
        options={"mip_rel_gap": 1e-9},
    )
    assert found.status == 0
    return float(found.fun)


# In these the relaxed programme lies below the best choice; in 5, 69, 88 and 120 the boxes at
# hand then do not hold the best choice yet, and must be widened.
@pytest.mark.parametrize("seed", [5, 14, 69, 88, 98, 120])
def test_where_prices_leave_a_gap_it_is_closed(seed: int) -> None:
    rng = np.random.default_rng(seed)
    points, size, bows = int(rng.integers(9, 15)), int(rng.integers(2, 4)), int(rng.integers(2, 4))
    groups = []
    for _ in range(bows):
        some = np.sort(rng.choice(points, int(rng.integers(points // 2 + 1, points + 1)), False))
        groups.append(Group(some, rng.normal(size=(2, len(some))), int(rng.integers(1, 3))))
    choice = choose_sets(groups, points, size)
    assert choice.proven
    least = plain_programme(groups, points, size, choice.filled)
    assert choice.total == pytest.approx(least, rel=CLOSE)
    holds(choice, groups, size)


def test_two_sets_may_lie_in_one_box() -> None:
    """Four equal shafts behind two others: both pairs come from the same box of no width."""
    value = np.array([[50.0, 30.0, 0.0, 0.0, 0.0, 0.0]])
    choice = choose_sets([Group(np.arange(6), value, 2)], 6, 2)
    assert choice.total == 0.0
    assert choice.proven
    assert sorted(int(i) for _, members in choice.sets for i in members) == [2, 3, 4, 5]


def test_when_two_bows_want_the_same_shafts_the_sum_decides_and_not_the_first() -> None:
    """By hand: alone each takes 0, 1; together 0, 1 for the second and 5, 8 for the first."""
    first = np.array([[0.0, 1.0, 5.0, 8.0]])
    second = np.array([[0.0, 1.0, 50.0, 80.0]])
    points = np.arange(4)
    choice = choose_sets([Group(points, first), Group(points, second)], 4, 2)
    assert [(g, members.tolist()) for g, members in choice.sets] == [(0, [2, 3]), (1, [0, 1])]
    assert choice.total == pytest.approx(4.0, rel=CLOSE)


def test_taking_the_closest_set_first_is_worse_than_the_choice() -> None:
    """Two sets of two from 0, 2, 3, 5: the closest pair first leaves 1 + 5, the best is 2 + 2."""
    value = np.array([[0.0, 2.0, 3.0, 5.0]])
    choice = choose_sets([Group(np.arange(4), value, 2)], 4, 2)
    assert choice.total == pytest.approx(4.0, rel=CLOSE)


def test_equal_shafts_make_sets_without_any_spread() -> None:
    choice = choose_sets([Group(np.arange(12), np.ones((3, 12)), 2)], 12, 6)
    assert choice.filled == 2
    assert choice.total == 0.0
    assert choice.proven
    holds(choice, [Group(np.arange(12), np.ones((3, 12)), 2)], 6)


def test_more_sets_come_before_closer_ones() -> None:
    """One bow takes only 0 and 1, which are also the closest for the other: both are filled."""
    picky = Group(np.array([0, 1]), np.array([[0.0, 9.0]]))
    other = Group(np.arange(4), np.array([[0.0, 0.0, 7.0, 30.0]]))
    choice = choose_sets([picky, other], 4, 2)
    assert choice.filled == 2
    assert choice.total == pytest.approx(32.0, rel=CLOSE)


def test_what_cannot_be_filled_is_not_filled() -> None:
    few = Group(np.array([0, 1]), np.array([[0.0, 1.0]]))
    none = Group(np.zeros(0, dtype=np.int64), np.zeros((1, 0)))
    assert choose_sets([few, none], 5, 3).sets == []
    half = choose_sets([few, none, Group(np.arange(5), np.arange(5.0)[None])], 5, 3)
    assert [g for g, _ in half.sets] == [2]
    assert (half.filled, half.wished) == (1, 3)


def crowded(seed: int) -> list[Group]:
    """Three bows that all want most of a rack of sixty."""
    rng = np.random.default_rng(seed)
    groups = []
    for _ in range(3):
        some = np.sort(rng.choice(60, 50, replace=False))
        groups.append(Group(some, rng.normal(size=(5, 50)), 3))
    return groups


def test_out_of_time_it_says_so_and_its_bound_is_a_bound() -> None:
    """Cut off at once a crowded rack still gets whole sets, not called the best."""
    groups = crowded(4)
    choice = choose_sets(groups, 60, 6, seconds=0.01)
    assert not choice.proven
    assert choice.filled == 9
    assert 0.0 <= choice.bound < choice.total
    assert choice.gap_percent > 0.0
    holds(choice, groups, 6)


def test_the_same_rack_gives_the_same_sets() -> None:
    groups, points, size = rack(11, rounded=True)
    once, again = (choose_sets(groups, points, size) for _ in range(2))
    assert [m.tolist() for _, m in once.sets] == [m.tolist() for _, m in again.sets]


@settings(max_examples=60, deadline=None, derandomize=True)
@given(seed=st.integers(0, 10**6))
def test_every_box_under_a_limit_is_found_once(seed: int) -> None:
    """Against boxes made from every subset: the smallest box around it and all points inside."""
    rng = np.random.default_rng(seed)
    features, number, size = int(rng.integers(1, 4)), int(rng.integers(3, 8)), 3
    value = rng.normal(size=(features, number))
    if seed % 2:
        value = np.round(value)
    price = rng.uniform(0.0, 0.5, number)
    limit = float(rng.uniform(0.5, 6.0))
    wanted = set()
    for count in range(size, number + 1):
        for some in itertools.combinations(range(number), count):
            inside = value[:, list(some)]
            low, high = inside.min(axis=1), inside.max(axis=1)
            whole = np.all((value >= low[:, None]) & (value <= high[:, None]), axis=0)
            cost = float((high - low).sum()) + float(np.sort(price[whole])[:size].sum())
            if cost <= limit:
                wanted.add(np.flatnonzero(whole).tobytes())
    found, complete = boxes.boxes_under(value, price, size, limit, 500, 10**7)
    assert complete
    told = [
        np.flatnonzero(
            np.all(
                (value >= row[1 : 1 + features, None]) & (value <= row[1 + features :, None]),
                axis=0,
            )
        ).tobytes()
        for row in found
    ]
    assert len(told) == len(set(told))
    assert set(told) == wanted


def test_a_search_that_gives_up_says_so() -> None:
    value = np.random.default_rng(1).normal(size=(4, 40))
    limit = np.full(40, np.inf)
    assert not boxes.cheapest_boxes(value, np.zeros(40), 6, limit, 50)[1]
    assert not boxes.boxes_under(value, np.zeros(40), 6, 9.0, 3, 10**7)[1]


def test_a_search_cut_short_never_passes_as_proof(monkeypatch: pytest.MonkeyPatch) -> None:
    """With next to no branches allowed no bound is claimed but zero."""
    monkeypatch.setattr(set_solver, "BRANCHES", 3)
    choice = choose_sets(crowded(5), 60, 6, seconds=5.0)
    assert not choice.proven
    assert choice.bound == 0.0
