"""Numbers for a hunting arrow, without verdicts: areas, cold first shots, rules a person typed."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from loosewell.errors import BoundRefusal, MissingRefusal
from loosewell.workshop.answer import Band

if TYPE_CHECKING:
    from loosewell.records.outing import Outing

SHARE_ASKED = 5.0 / 6.0
"""Share of cold first shots inside the circle for the distance told: five of six, as one licence
asks of its candidates (second-hand). The person's own choice."""
LEAST_DAYS = 10
"""Days of cold first shots below which nothing is told (common practice, no source)."""


@dataclass(frozen=True)
class ColdShot:
    """The first arrow of a day: where it hit from the point of aim, left and high positive."""

    on: datetime.date
    distance_yd: float
    left_in: float
    high_in: float


def cold_of(outings: Sequence[Outing]) -> list[ColdShot]:
    """The cold shots of some outings that were measured from the point of aim.

    Parameters
    ----------
    outings : sequence of Outing
        Of one archer and bow. [in]

    Returns
    -------
    shots : list of ColdShot
        Of each day the first alone; bad ones included: a cold miss is a miss. [in]
    """
    found: dict[datetime.date, ColdShot] = {}
    for outing in sorted(outings, key=lambda one: one.on):
        if outing.positions_from != "aim":
            continue
        for shot in outing.shots:
            if shot.cold and shot.left_in is not None and shot.high_in is not None:
                found.setdefault(
                    outing.on,
                    ColdShot(outing.on, outing.distance_yd, shot.left_in, shot.high_in),
                )
                break
    return [found[day] for day in sorted(found)]


@dataclass(frozen=True)
class ColdDistance:
    """The person's own distance from cold first shots, or why there is none yet.

    ``distance_yd`` is where the stated share of cold first shots would stay inside the circle,
    never beyond the farthest that was shot.
    """

    days: int
    inside: int | None
    circle_in: float | None
    share_percent: float
    farthest_shot_yd: float | None
    off_in_at_20yd: Band | None
    distance_yd: Band | None
    capped: bool
    text: str


def cold_distance(shots: Sequence[ColdShot], circle_in: float | None) -> ColdDistance:
    """The distance at which a stated share of cold first shots stays inside a circle.

    Parameters
    ----------
    shots : sequence of ColdShot
        One a day.
    circle_in : float or None
        Diameter of the circle that the person chose.

    Returns
    -------
    found : ColdDistance
        With a 95 % interval, or the days still wanted.

    Source
    ------
    Miss from the point of aim normal and alike both ways, growing with distance (modelling
    choice): the chance inside a radius R is 1 - exp(-R²/2s²) (Rayleigh), and the mean square of
    2 n numbers has a chi-square distribution; any textbook of statistics.
    """
    if circle_in is not None and not 1.0 <= circle_in <= 60.0:
        raise BoundRefusal(
            f"A circle of {circle_in:g} in is outside 1 to 60 in. Give the diameter of the place "
            "that must be hit.",
            code="circle",
        )
    days = len({one.on for one in shots})
    share = round(100.0 * SHARE_ASKED, 0)
    if days < LEAST_DAYS:
        return ColdDistance(
            days, None, circle_in, share, None, None, None, False,
            f"Cannot tell yet: {days} day{'' if days == 1 else 's'} of cold first shots on record, "
            f"{LEAST_DAYS} are wanted. One arrow a day, cold, in hunting clothes, at a distance "
            "you did not measure first; write down every one, misses too.",
        )  # fmt: skip
    from scipy.stats import chi2

    slope2 = np.array(
        [(one.left_in**2 + one.high_in**2) / one.distance_yd**2 for one in shots], dtype=np.float64
    )
    freedom = 2 * len(slope2)
    total = float(slope2.sum())
    slopes = [
        math.sqrt(total / freedom),
        math.sqrt(total / float(chi2.ppf(0.975, freedom))),
        math.sqrt(total / float(chi2.ppf(0.025, freedom))),
    ]
    far = max(one.distance_yd for one in shots)
    off = _band([20.0 * one for one in slopes], "scatter of one cold shot each way")
    if circle_in is None:
        return ColdDistance(
            days, None, None, share, far, off, None, False,
            f"{len(shots)} cold first shots on {days} days: {off.middle:.1f} in each way at 20 yd "
            f"(95 %: {off.low:.1f} to {off.high:.1f} in) about the point of aim. Give --circle for "
            "the size of the place that must be hit, and a distance follows.",
        )  # fmt: skip
    reach = 0.5 * circle_in / math.sqrt(-2.0 * math.log(1.0 - SHARE_ASKED))
    told = [reach / slopes[0], reach / slopes[2], reach / slopes[1]]
    capped = told[0] > far
    band = _band([min(one, far) for one in told], "95 %, from cold first shots alone")
    inside = sum(math.hypot(one.left_in, one.high_in) <= 0.5 * circle_in for one in shots)
    text = (
        f"{len(shots)} cold first shots on {days} days, {inside} of them within the "
        f"{circle_in:g} in circle at the distances they were shot. At {band.middle:.0f} yd "
        f"({band.low:.0f} to {band.high:.0f} yd, 95 %) five of six would stay in it"
    )
    if capped:
        text += f"; cut off at {far:g} yd, the farthest you have shot cold"
    text += ". It says how you shoot cold, and nothing of anything else."
    return ColdDistance(days, inside, circle_in, share, far, off, band, capped, text)


def _band(values: Sequence[float], reason: str) -> Band:
    middle, low, high = (round(one, 1) for one in values)
    return Band(middle, low, high, reason)


RULE_UNITS = {
    "draw weight": "lb",
    "arrow mass": "gr",
    "grains per pound": "gr/lb",
    "head width": "in",
    "energy": "ft-lb",
    "speed": "fps",
}


@dataclass(frozen=True)
class Rule:
    """A rule as a person typed it: what, at least or at most, where it stands, as of which day."""

    what: str
    bound: str
    value: float
    source: str
    on: datetime.date | None

    def __post_init__(self) -> None:
        if self.what not in RULE_UNITS:
            raise BoundRefusal(
                f"A rule about '{self.what}' is not known. Accepted are {', '.join(RULE_UNITS)}.",
                code="rule",
            )
        if self.bound not in ("at least", "at most"):
            raise BoundRefusal(
                f"A rule about {self.what} does not say at least or at most. Type it as "
                '"draw weight at least 40 lb; source ...; date 2026-01-31".',
                code="rule",
            )
        if self.on is None:
            raise MissingRefusal(
                f"The rule about {self.what} has no date. Rules change every year: add the day of "
                'the text you read, such as "date 2026-01-31".',
                code="rule-without-date",
            )
        if not self.source.strip():
            raise MissingRefusal(
                f"The rule about {self.what} has no source. Say where it stands, such as "
                '"source game law of ..., page 12".',
                code="rule-without-source",
            )
        if not (math.isfinite(self.value) and self.value > 0.0):
            raise BoundRefusal(
                f"A rule about {self.what} with {self.value:g} {RULE_UNITS[self.what]} says "
                "nothing. Give its number.",
                code="rule",
            )

    def text(self) -> str:
        """The rule in words."""
        assert self.on is not None
        return (
            f"{self.what} {self.bound} {self.value:g} {RULE_UNITS[self.what]} "
            f"({self.source.strip()}, {self.on.isoformat()})"
        )


@dataclass(frozen=True)
class RuleBeside:
    """A typed rule and the figure beside it; where the figure lies, and no verdict."""

    rule: str
    what: str
    value: Band | None
    unit: str
    age_days: int
    text: str


def beside(rule: Rule, value: Band | None, today: datetime.date) -> RuleBeside:
    """A rule with this arrow's figure beside it.

    Parameters
    ----------
    rule : Rule
        As typed.
    value : Band or None
        Of this arrow; None is not known.
    today : date
        For the age of the rule.

    Returns
    -------
    beside : RuleBeside
        Says above, below, across, or unknown.
    """
    assert rule.on is not None
    if rule.on > today:
        raise BoundRefusal(
            f"The rule about {rule.what} carries the date {rule.on.isoformat()}, which is still to "
            "come. Give the day of the text you read.",
            code="rule-date",
        )
    unit = RULE_UNITS[rule.what]
    age = (today - rule.on).days
    if value is None:
        where = "this figure is not known here, and unknown is not zero"
    else:
        told = f"{value.middle:.4g} {unit} ({value.low:.4g} to {value.high:.4g} {unit})"
        if value.low > rule.value:
            where = f"this arrow: {told}, above it"
        elif value.high < rule.value:
            where = f"this arrow: {told}, below it"
        else:
            where = f"this arrow: {told}, on both sides of it: weigh or measure"
    text = f"You typed: {rule.text()}. {where[0].upper()}{where[1:]}."
    if age > 365:
        text += f" The text is {age} days old: read it again."
    return RuleBeside(rule.text(), rule.what, value, unit, age, text)
