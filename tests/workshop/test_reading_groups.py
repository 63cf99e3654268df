"""Groups and fliers against scipy, published tables and simulated archers."""

from __future__ import annotations

import datetime
from typing import Any

import numpy as np
import pytest
from scipy import stats

from loosewell.records.outing import Outing, ShotSeen
from loosewell.workshop.reading import groups


def outing(shots: list[ShotSeen]) -> Outing:
    return Outing(
        name="evening", bow="Ash", archer="Lark", on=datetime.date(2024, 5, 31), distance_yd=20.0,
        shots=tuple(shots), invented=True,
    )  # fmt: skip


def at(left: float, high: float, **more: Any) -> ShotSeen:
    return ShotSeen(left_in=float(left), high_in=float(high), **more)


def test_scatter_and_its_interval_are_those_of_chi_square() -> None:
    """Table of chi-square, 10 degrees of freedom: 3.247 and 20.483 (any handbook of statistics)."""
    rng = np.random.default_rng(3)
    where = rng.normal(0.0, 2.0, (6, 2))
    found = groups.group([at(*one) for one in where])
    assert found is not None
    assert found.scatter_in == pytest.approx(
        np.sqrt(np.mean(np.var(where, axis=0, ddof=1))), rel=1e-12
    )
    square = found.scatter_in**2 * 10
    assert found.low_in == pytest.approx(np.sqrt(square / 20.483), rel=5e-4)
    assert found.high_scatter_in == pytest.approx(np.sqrt(square / 3.247), rel=5e-4)
    assert found.middle_error_in == pytest.approx(found.scatter_in / np.sqrt(6), rel=1e-12)


def test_the_interval_of_the_scatter_holds_the_truth_as_often_as_it_says() -> None:
    rng = np.random.default_rng(4)
    held = 0
    for _ in range(400):
        found = groups.group([at(*one) for one in rng.normal(0.0, 3.0, (5, 2))])
        assert found is not None
        assert found.low_in is not None
        assert found.high_scatter_in is not None
        held += found.low_in <= 3.0 <= found.high_scatter_in
    assert 0.92 < held / 400 < 0.98


@pytest.mark.parametrize(
    ("bare", "fletched", "inches", "figures"),
    [(3, 6, 4.0, 0.3), (1, 3, 7.0, 0.3), (10, 10, 2.75, 0.15)],
)
def test_smallest_differences_are_those_worked_out_beforehand(
    bare: int, fletched: int, inches: float, figures: float
) -> None:
    """With 3 in of scatter each way: about 4, 7 and 2 3/4 in (derived, users' figures)."""
    assert groups.smallest_difference_in(bare, fletched, 3.0) == pytest.approx(inches, abs=figures)


def test_bare_against_fletched_is_scipys_t_test() -> None:
    rng = np.random.default_rng(8)
    bare, feathered = rng.normal(4.0, 2.0, (3, 2)), rng.normal(0.0, 2.0, (6, 2))
    # One way only, so that the pooled scatter is that of one way.
    bare[:, 1] = bare[:, 0]
    feathered[:, 1] = feathered[:, 0]
    found = groups.bare_against_fletched(
        outing([at(*one, bare=True) for one in bare] + [at(*one) for one in feathered])
    )
    assert found is not None
    plain = stats.ttest_ind(bare[:, 0], feathered[:, 0])
    assert found.left_in / found.error_in == pytest.approx(plain.statistic, rel=1e-9)
    assert found.left_in == pytest.approx(bare[:, 0].mean() - feathered[:, 0].mean(), rel=1e-12)
    assert found.side_believed == (abs(found.left_in) > found.shown_in)


def test_one_bare_and_one_fletched_take_the_usual_scatter_and_believe_nothing() -> None:
    found = groups.bare_against_fletched(outing([at(4.0, 0.0, bare=True), at(0.0, 0.0)]))
    assert found is not None
    assert found.shown_in == pytest.approx(8.3, abs=0.1)
    assert not found.side_believed
    assert "not to be believed" in found.text()
    assert groups.bare_against_fletched(outing([at(0.0, 0.0)])) is None


def arrows(rng: np.random.Generator, off: float, each: int) -> list[ShotSeen]:
    shots = []
    for k in range(6):
        middle = off if k == 2 else 0.0
        shots += [at(middle + x, y, arrow=str(k + 1)) for x, y in rng.normal(0.0, 2.0, (each, 2))]
    return shots


def test_a_flier_is_named_and_a_good_dozen_is_left_alone() -> None:
    """False alarms over all arrows together at most 5 %, and 6 in of 2 in scatter found."""
    rng = np.random.default_rng(11)
    alarms = sum(
        any(one.believed for one in groups.fliers(outing(arrows(rng, 0.0, 4)))) for _ in range(300)
    )
    assert alarms / 300 < 0.08
    found = groups.fliers(outing(arrows(rng, 6.0, 4)))
    assert found[0].arrow == "3"
    assert found[0].believed
    assert found[0].more is None
    assert [one.believed for one in found[1:]] == [False] * 5


def test_a_suspect_arrow_is_told_how_many_more_shots_it_wants() -> None:
    """As many as a simulation says find it in four of five times."""
    rng = np.random.default_rng(5)
    shots = []
    for k in range(6):
        base = rng.normal(0.0, 2.0, (3, 2))
        base += (2.2 if k == 0 else 0.0, 0.0) - base.mean(axis=0)
        shots += [at(*one, arrow=str(k + 1)) for one in base]
    first = next(one for one in groups.fliers(outing(shots)) if one.arrow == "1")
    assert not first.believed
    assert first.more is not None
    each = 3 + first.more
    hits = 0
    for _ in range(200):
        again = []
        for k in range(6):
            middle = first.left_in if k == 0 else 0.0
            again += [
                at(middle + x, y, arrow=str(k + 1)) for x, y in rng.normal(0.0, 2.0, (each, 2))
            ]
        found = groups.fliers(outing(again))
        hits += found[0].arrow == "1" and found[0].believed
    assert 0.6 < hits / 200 < 1.0


def test_bad_and_cold_shots_are_kept_apart() -> None:
    seen = outing(
        [at(0.0, 0.0), at(1.0, 0.0), at(30.0, 0.0, called="bad"), at(9.0, 1.0, cold=True)]
    )
    assert len(groups.counted(seen)) == 2
    cold = groups.cold_shots([seen, seen])
    assert cold is not None
    assert cold.count == 2
    assert cold.left_in == 9.0
    assert groups.group([ShotSeen(nock_sideways="left")]) is None
    lone = groups.group([at(1.0, 2.0)])
    assert lone is not None
    assert "tells nothing of the scatter" in lone.text()


def test_too_few_arrows_or_shots_name_nobody() -> None:
    rng = np.random.default_rng(2)
    assert groups.fliers(outing([at(*one, arrow="1") for one in rng.normal(size=(5, 2))])) == []
    once = [at(float(k), 0.0, arrow=str(k)) for k in range(6)]
    assert groups.fliers(outing(once)) == []
