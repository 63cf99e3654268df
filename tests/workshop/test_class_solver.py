"""The plan of a class against every plan there is, on classes small enough to list them all."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loosewell.workshop import class_solver
from loosewell.workshop.class_solver import NO_LOT, Class, Options, choose, served, worst_losses


def small_class(seed, people=4, bows=3, lots=3, held=False):
    rng = np.random.default_rng(seed)
    rows = []
    for person, bow in itertools.product(range(people), range(bows)):
        if rng.random() < 0.4:
            continue
        rows.append((person, bow, NO_LOT, float(rng.integers(0, 20))))
        for lot in range(lots):
            if rng.random() < 0.6:
                rows.append((person, bow, lot, float(rng.integers(0, 40)) / 5.0))
    table = np.array(rows, dtype=float).reshape(-1, 4)
    change = np.zeros(len(table))
    if held:
        holds = rng.integers(0, bows, people)
        change = (table[:, 1] != holds[table[:, 0].astype(int)]).astype(float)
    options = Options(
        table[:, 0].astype(np.int64),
        table[:, 1].astype(np.int64),
        table[:, 2].astype(np.int64),
        table[:, 3],
        change,
    )
    turns = rng.integers(1, 3, bows).astype(np.int64)
    stock = rng.integers(2, 11, lots).astype(np.int64)
    return Class(people, turns, stock, 3, float(rng.choice([0.0, 0.3, 0.9])), options)


def worth(problem, picked):
    """What a plan is worth, wish by wish, smaller is better; None when it cannot be."""
    o = problem.options
    turns = np.zeros(len(problem.turns))
    held = np.zeros(len(problem.stock))
    full = bare = change = misfit = 0
    for k in picked:
        turns[o.bow[k]] += 1
        change += int(o.change[k])
        misfit += o.misfit[k]
        if o.lot[k] == NO_LOT:
            bare += 1
        else:
            full += 1
            held[o.lot[k]] += 1
    if np.any(turns > problem.turns) or np.any(held * problem.each > problem.stock):
        return None
    missing = np.maximum(held * (problem.each + problem.spare) - problem.stock, 0.0)
    return -full, -bare, change, float(np.round(missing, 1).sum()), misfit


def best_of_all(problem):
    each = [
        [None, *np.flatnonzero(problem.options.person == person)]
        for person in range(problem.people)
    ]
    found = [
        value
        for plan in itertools.product(*each)
        if (value := worth(problem, [k for k in plan if k is not None])) is not None
    ]
    return min(found)


@pytest.mark.parametrize("seed", range(24))
def test_the_plan_is_the_best_of_every_plan_there_is(seed):
    problem = small_class(seed, held=seed % 2 == 1)
    choice = choose(problem)
    value = worth(problem, choice.taken)
    best = best_of_all(problem)
    assert choice.proven
    assert value[:3] == best[:3]
    assert value[3:] == pytest.approx(best[3:], abs=class_solver.HAIR)


@pytest.mark.parametrize("seed", range(6))
def test_the_two_bows_missed_most_are_the_worst_of_every_pair(seed):
    problem = small_class(seed, people=5, bows=4, lots=2)

    def left_without(pair):
        left = problem.options.without(pair)
        some = Class(
            problem.people, problem.turns, problem.stock, problem.each, problem.spare, left
        )
        return -best_of_all(some)[0]

    useful = sorted({int(b) for b in problem.options.bow[problem.options.lot != NO_LOT]})
    least = min(left_without(pair) for pair in itertools.combinations(useful, 2))
    worst = worst_losses(problem)
    assert worst.proven
    assert worst.served == least
    assert left_without(worst.bows) == least
    assert served(problem)[0] == worst.served_before == -best_of_all(problem)[0]


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.booleans())
def test_nothing_is_given_twice_and_nothing_that_is_not_offered(seed, held):
    problem = small_class(seed, people=6, bows=4, lots=3, held=held)
    choice = choose(problem)
    assert worth(problem, choice.taken) is not None
    people = problem.options.person[choice.taken]
    assert len(set(people.tolist())) == len(people)


def test_a_plan_without_time_is_called_unproven_and_still_holds():
    problem = small_class(5, people=6, bows=4, lots=3)
    choice = choose(problem, seconds=0.0)
    assert not choice.proven
    assert worth(problem, choice.taken) is not None
    full = choice.stages[0]
    assert full.value < full.bound
