"""The one next step: a change with what to expect of it, or the test that would tell most."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.workshop import bridge
from loosewell.workshop.reading import faults
from loosewell.workshop.reading.groups import bare_against_fletched
from loosewell.workshop.reading.weigh import (
    EYE_ERROR,
    TRADE_LEFT,
    Reading,
    acts,
    middle_of,
    other_way,
    used,
)
from loosewell.workshop.reading.worlds import Case, Scatter, Seen, Setting, Worlds

Array = NDArray[np.float64]
Values = dict[str, Array]

LOOSES = 2
"""Shots in each kept world for the chance to be clean."""
WORTH = 0.08
"""Least gain in the chance to be clean for which a change is advised. [-] Modelling choice."""
CUT_WORTH = 0.15
"""The same for what cannot be undone, or for another shaft."""
TELLS = 0.10
"""Least expected information of a test that is advised. [nat] Modelling choice."""
GOOD_CLEAN = 0.90
"""From this chance to be clean on nothing is changed any more."""
SURE = 0.8
UP_DOWN = 0.15
"""Chance of both ways of the nocking point together from which it is settled first: the trade's
order, up and down before left and right (common practice, no source)."""
ONE_WAY = 0.75
"""Share of one way from which its opposite is not thought of. [-] Modelling choice."""
RAISED_IN = 0.25
"""How far the nocking point is raised to tell a bounce from one set too high. [in]"""


@dataclass(frozen=True)
class Option:
    """One change: words for the bench, and how the engine shoots it."""

    key: str
    words: str
    undone: str
    """How it is undone; empty where it cannot be."""
    apply: Callable[[Values, Case], tuple[Values, Case]]


@dataclass(frozen=True)
class Tried:
    """What one change would do."""

    option: Option
    clean: float
    gain: float
    gain_error: float
    move_left_in: float
    move_high_in: float
    stand_left_deg: float
    """How the watched arrow would stand with it, nock left positive."""
    stand_high_deg: float
    watched: str
    """Which arrow the moves are told of: bare or fletched."""


@dataclass(frozen=True)
class Test:
    """One more thing to shoot or look at, and what it is expected to tell."""

    key: str
    words: str
    information: float
    """Expected, in natural units. [nat]"""
    shots: int | None
    """How many are expected to make one cause stand out; None where more shots alone will not."""


@dataclass(frozen=True)
class Step:
    """The one thing to do next."""

    kind: str
    """change, test, form, leave or contact"""
    words: str
    expect: str
    clean_now: float
    clean_then: float | None
    tried: tuple[Tried, ...]
    tests: tuple[Test, ...]


def clean_share(setting: Setting, seen: Seen) -> NDArray[np.bool_]:
    """Which shots are clean by the limits of the match."""
    limits = setting.job.limits
    stand = np.degrees(np.hypot(seen.stand_left, seen.stand_high))
    return np.asarray(
        seen.good
        & (seen.knock <= limits.knock_mns)
        & (seen.swing <= limits.swing_deg)
        & (stand <= limits.stand_deg)
    )


def _good(setting: Setting, values: Values, case: Case, bare: Case | None) -> NDArray[np.bool_]:
    """Which shots are clean, and where bare shafts were shot too, land with them.

    The bare one has the same shaft, length and point; with is within what archers call a
    difference, both ways.
    """
    seen = setting.shoot(values, case, "changes")
    good = clean_share(setting, seen)
    if bare is not None:
        same = bridge.with_point(bare.parts, case.parts.point_mass / units.GRAIN)
        own = replace(bare, profile=case.profile, length=case.length, parts=same)
        other = setting.shoot(values, own, "changes")
        away = np.maximum(
            np.abs(other.hit_left - seen.hit_left), np.abs(other.hit_high - seen.hit_high)
        )
        good &= other.good & (away < TRADE_LEFT * setting.distance)
    return np.asarray(good)


def _set(values: Values, **new: Array) -> Values:
    return {**values, **new}


def _nocking(amount: float, draw: float) -> Callable[[Values, Case], tuple[Values, Case]]:
    def move(values: Values, case: Case) -> tuple[Values, Case]:
        moved = _set(
            values,
            nock_height=values["nock_height"] + amount,
            nock_path=values["nock_path"] + amount / draw,
        )
        return moved, case

    return move


def _adding(key: str, amount: float) -> Callable[[Values, Case], tuple[Values, Case]]:
    return lambda values, case: (_set(values, **{key: values[key] + amount}), case)


def _built(change: Callable[[Case], Case]) -> Callable[[Values, Case], tuple[Values, Case]]:
    return lambda values, case: (values, change(case))


def _eased(values: Values, case: Case) -> tuple[Values, Case]:
    return _set(values, nock_pinch=np.minimum(values["nock_pinch"], 4.0)), case


def _cleared(values: Values, case: Case) -> tuple[Values, Case]:
    clear = _set(
        values,
        reach_scale=np.minimum(values["reach_scale"], 1.0),
        fletching_stiffness=np.minimum(values["fletching_stiffness"], 300.0),
    )
    return clear, case


def _cut_to(length: float) -> Callable[[Values, Case], tuple[Values, Case]]:
    return _built(lambda one: replace(one, length=length))


def _of_shaft(profile: bridge.Profile) -> Callable[[Values, Case], tuple[Values, Case]]:
    return _built(lambda one: replace(one, profile=profile))


def _pointed(new_gr: float) -> Callable[[Values, Case], tuple[Values, Case]]:
    return _built(lambda one: replace(one, parts=bridge.with_point(one.parts, new_gr)))


def options(reading: Reading) -> list[Option]:
    """Every change that may be tried with this bow, archer and arrow: the reversible ones first."""
    setting = reading.setting
    job = setting.job
    inch = units.INCH
    found = [
        Option("brace up", "Raise the brace height by 1/4 in: twist the string up.",
               "untwist it again", _adding("brace", 0.25 * inch)),
        Option("brace down", "Lower the brace height by 1/4 in: untwist the string.",
               "twist it up again", _adding("brace", -0.25 * inch)),
        Option("nock up", "Raise the nocking point by 1/8 in.", "lower it again",
               _nocking(0.125 * inch, setting.draw)),
        Option("nock down", "Lower the nocking point by 1/8 in.", "raise it again",
               _nocking(-0.125 * inch, setting.draw)),
        Option("plate out", "Build the strike plate up by 1/16 in.", "take it off again",
               _adding("plate_offset", inch / 16.0)),
        Option("plate in", "Take 1/16 in off the strike plate's padding, where it has any.",
               "build it up again", _adding("plate_offset", -inch / 16.0)),
    ]  # fmt: skip
    case = setting.cases[0]
    point_gr = case.parts.point_mass / units.GRAIN
    for more in (25.0, 50.0, -25.0, -50.0):
        new = point_gr + more
        if 30.0 <= new <= 400.0 and not _too_light(reading, case, more):
            word = "heavier" if more > 0.0 else "lighter"
            found.append(
                Option(
                    f"point {more:+.0f}",
                    f"Try a point {abs(more):.0f} gr {word} ({new:.0f} gr).",
                    "put the old point back",
                    _pointed(new),
                )
            )  # fmt: skip
    found.append(
        Option(
            "nock eased",
            "Ease the nock until a light tap frees the hanging arrow: thinner serving, or the nock "
            "opened a little.",
            "serve the string thicker again",
            _eased,
        )
    )
    if case.parts.count:
        found.append(
            Option(
                "feather clear",
                "Turn the nock a little so that no feather faces the bow, and smooth the front end "
                "of the quill.",
                "turn it back",
                _cleared,
            )
        )
    for cut in (0.5, 1.0):
        length = case.length - cut * inch
        if length / inch >= job.minimum_in:
            found.append(
                Option(
                    f"cut {cut:g}",
                    f"Cut one arrow {cut:g} in shorter, to {length / inch:.2f} in (nock throat to "
                    f"back of point; never below {job.minimum_in:.2f} in for this archer).",
                    "",
                    _cut_to(length),
                )
            )
    return [*found, *_other_shafts(reading)]


MOST_SHAFTS = 8
"""Shafts of the rack that are tried: those nearest in stiffness."""


def stiffness(case: Case) -> float:
    """E·I of a case's shaft at its middle. [N m²]"""
    return float(np.median(case.profile.bending_stiffness))


def _too_light(reading: Reading, case: Case, more_gr: float) -> bool:
    """Whether a lighter point would make the arrow lighter than the bow's maker allows."""
    least = reading.setting.job.bow_record.maker_minimum_arrow_gr
    if more_gr >= 0.0:
        return False
    if least is None:
        # Unknown stays unknown: a lighter arrow is not advised without the maker's figure.
        return True
    return case.model.mass / units.GRAIN + more_gr < least


def _other_shafts(reading: Reading) -> list[Option]:
    """Other shafts of the rack that were looked over and passed."""
    job = reading.setting.job
    case = reading.setting.cases[0]
    found = []
    known = [(i, one) for i, one in enumerate(job.spines) if one is not None]
    own = stiffness(case)
    near = sorted(known, key=lambda one: abs(one[1].bending_stiffness - own))
    for i, spine in near[:MOST_SHAFTS]:
        shaft = job.shafts[i]
        if shaft.inspection is None or shaft.inspection.result != "passed":
            continue
        profile = job.profile(i)
        if profile.length < case.length or profile.fingerprint == case.profile.fingerprint:
            continue
        found.append(
            Option(
                f"shaft {shaft.name}",
                f"Try shaft {shaft.name}, {spine.spine_text()}.",
                "go back to the old shaft",
                _of_shaft(profile),
            )
        )
    return found


def try_all(reading: Reading, tell: Callable[[str, float], None]) -> tuple[float, list[Tried]]:
    """The chance to be clean now, and what every change would do to it."""
    setting = reading.setting
    kept = reading.kept
    fletched = next((one for one in setting.cases if not one.bare), None)
    bare = next((one for one in setting.cases if one.bare), None)
    first = setting.cases[0]
    judged = fletched or other_way(first)
    watched = bare or judged
    many = setting.scattered(kept.values, LOOSES, 31)
    still = setting.shoot(kept.values, watched, "as it is")
    now = _good(setting, many, judged, bare)
    found = []
    choices = options(reading)
    for k, option in enumerate(choices):
        tell("changes", k / len(choices))
        values, case = option.apply(many, judged)
        then = _good(setting, values, case, bare)
        gain = then.astype(np.float64) - now
        by_world = gain.reshape(-1, LOOSES).mean(axis=1)
        values, case = option.apply(kept.values, watched)
        seen = setting.shoot(values, case, "changes")
        both = seen.good & still.good
        if not both.any():
            continue
        found.append(
            Tried(
                option,
                float(then.mean()),
                float(gain.mean()),
                float(by_world.std() / math.sqrt(len(by_world))),
                float(np.median((seen.hit_left - still.hit_left)[both])) / units.INCH,
                float(np.median((seen.hit_high - still.hit_high)[both])) / units.INCH,
                float(np.degrees(np.median(seen.stand_left[both]))),
                float(np.degrees(np.median(seen.stand_high[both]))),
                "bare" if watched.bare else "fletched",
            )
        )
    return float(now.mean()), found


def classes(setting: Setting, world: Worlds) -> NDArray[np.int64]:
    """One number for each world: its fault with its sign, or how its tackle acts."""
    side = np.where(world.amount < 0.0, 1, 0)
    own = 3 + 2 * world.fault + side
    return np.asarray(np.where(world.fault == 0, acts(setting, world), own)).astype(np.int64)


def _features(
    setting: Setting, values: Values, case: Case, against: Case | None
) -> tuple[Array, NDArray[np.bool_]]:
    """What a test shows: places against the fletched group, and the stand. SI angles."""
    seen = setting.shoot(values, case, "tests")
    good = seen.good

    def middle(one: Case, shot: Seen, what: str) -> Array:
        # The engine's own error, as drawn from the outing: more of the same cannot narrow it.
        return middle_of(values, one, shot, what, setting.distance)

    places = [middle(case, seen, "hit_left"), middle(case, seen, "hit_high")]
    if against is not None:
        other = setting.shoot(values, against, "tests")
        places[0] = places[0] - middle(against, other, "hit_left")
        places[1] = places[1] - middle(against, other, "hit_high")
        good = good & other.good
    stands = [middle(case, seen, "stand_left"), middle(case, seen, "stand_high")]
    return np.column_stack([*(one / setting.distance for one in places), *stands]), good


STIFFER_LB = 5.0
"""A group stiffer, as a test. A weaker shaft is never asked for: it may break. [lb]"""


def _stiffer(case: Case) -> Case:
    """The same arrow on a shaft a group stiffer."""
    from loosewell.physics import spine

    pounds = float(spine.spine_pounds_from_stiffness(stiffness(case)))
    profile = case.profile
    factor = (pounds + STIFFER_LB) / pounds
    return replace(
        case, profile=replace(profile, bending_stiffness=profile.bending_stiffness * factor)
    )


def tests(reading: Reading) -> list[Test]:
    """Tests worth thinking of, the one that is expected to tell most first."""
    setting, kept = reading.setting, reading.kept
    which = classes(setting, kept)
    first = setting.cases[0]
    fletched = first if not first.bare else other_way(first)
    bare = other_way(fletched)
    wooden = "Bare wooden shafts break when they strike sideways: soft butt, nobody near it."
    values = kept.values
    scatter = reading.scatter[0]
    more_bare = (
        "Shoot three more bare shafts with six fletched ones, and write down each. "
        if any(one.bare for one in used(reading.outing))
        else "Shoot three bare shafts with six fletched ones, from 5 to 10 yd at first. "
    )
    found = [
        _told(
            "bare", more_bare + wooden, setting, values, bare, fletched, which, scatter,
        ),
        _told(
            "heavier point", "Shoot three arrows with a point 50 gr heavier beside the others.",
            setting, values,
            replace(fletched, parts=bridge.with_point(
                fletched.parts, fletched.parts.point_mass / units.GRAIN + 50.0)),
            fletched, which, scatter,
        ),
        _told(
            "stiffer shaft",
            f"Shoot three arrows {STIFFER_LB:g} lb stiffer (26 in span, 2 lb) beside the others, "
            "of the same length, point and feathers.",
            setting, values, _stiffer(fletched), fletched, which, scatter,
        ),
        _told(
            "more", "Shoot six more of the same fletched arrows and write down each.",
            setting, values, fletched, None, which, scatter,
        ),
    ]  # fmt: skip
    if sum(both_ways(reading)) >= UP_DOWN:
        raised, _ = _nocking(RAISED_IN * units.INCH, setting.draw)(values, bare)
        found.append(
            _told(
                RAISE,
                f"Raise the nocking point by {RAISED_IN:g} in for a test, and shoot three bare "
                "shafts beside the fletched ones again. " + wooden,
                setting, raised, bare, fletched, which, scatter,
            )
        )  # fmt: skip
    knock = setting.shoot(values, fletched, "tests").knock
    chance = 1.0 / (1.0 + (np.maximum(knock, 1e-6) / 15.0) ** -2.0)
    found.append(
        Test(
            "powder",
            "Dust the tail of one arrow and the strike plate with powder, shoot it once, and look "
            "where it was wiped off.",
            _information(which, np.column_stack((chance, 1.0 - chance))),
            1 if _likeliest(which, np.column_stack((chance, 1.0 - chance))) >= SURE else None,
        )
    )
    archers = np.array([one.key in ("pluck", "hand", "draw") for one in faults.FAULTS])
    form = archers[kept.fault].astype(np.float64)
    if 0.05 < form.mean() < 0.95:
        sure = 0.8 * form + 0.1
        found.append(
            Test(
                "another archer",
                "Let another competent archer shoot the same tackle, within the bow's drawn-to "
                "limit and with arrows of their own length.",
                _information(which, np.column_stack((sure, 1.0 - sure))),
                3 if _likeliest(which, np.column_stack((sure, 1.0 - sure))) >= SURE else None,
            )
        )
    return sorted(found, key=lambda one: -one.information)


def _told(
    key: str, words: str, setting: Setting, values: Values, case: Case, against: Case | None,
    which: NDArray[np.int64], scatter: Scatter,
) -> Test:  # fmt: skip
    """A shot test with its expected information, and how many shots make one cause stand out."""
    shown, good = _features(setting, values, case, against)
    aim = float(np.median(values["aim_scatter"]))
    loose = np.array([
        math.hypot(aim, scatter.hit_left / setting.distance),
        math.hypot(aim, scatter.hit_high / setting.distance),
        math.hypot(EYE_ERROR, scatter.stand_left),
        math.hypot(EYE_ERROR, scatter.stand_high),
    ])  # fmt: skip
    weight = np.where(good, 1.0, 0.0)
    if against is None:
        # Without another group the place says nothing: the aim is the archer's own.
        shown, loose = shown[:, 2:], loose[2:]
    else:
        # The fletched group it is held against is at most as large as six shots.
        loose[:2] *= math.sqrt(1.5)
    best, information = None, 0.0
    for shots in (3, 6, 12, 24):
        error = loose / math.sqrt(shots)
        share, told = _sharper(shown, error, which, weight)
        if shots == 3:
            information = told
        if share >= SURE:
            best = shots
            break
    return Test(key, words, information, best)


def _sharper(
    shown: Array, error: Array, which: NDArray[np.int64], weight: Array
) -> tuple[float, float]:
    """Expected chance of the likeliest cause after a test, and its expected information.

    Few worlds seem to tell more than they do: what the same worlds would tell of causes dealt out
    to them by chance is taken off.
    """
    most, told = _sharpened(shown, error, which, weight)
    rng = np.random.default_rng(17)
    chance = [_sharpened(shown, error, rng.permutation(which), weight) for _ in range(2)]
    start = _largest(which, weight)
    lucky = max(float(np.mean([one[0] for one in chance])), start)
    seeming = float(np.mean([one[1] for one in chance]))
    # Nothing told stays nothing, all told stays all.
    whole = _entropy(which, weight)
    share = start + max(most - lucky, 0.0) * (1.0 - start) / max(1.0 - lucky, 1e-9)
    return share, max(told - seeming, 0.0) * whole / max(whole - seeming, 1e-9)


def _entropy(which: NDArray[np.int64], weight: Array) -> float:
    """Entropy of the causes before a test. [nat]"""
    if weight.sum() <= 0.0:
        return 0.0
    share = np.bincount(which, weights=weight) / weight.sum()
    return -float(np.sum(share * np.log(np.maximum(share, 1e-300))))


def _largest(which: NDArray[np.int64], weight: Array) -> float:
    """Chance of the likeliest cause before a test."""
    if weight.sum() <= 0.0:
        return 0.0
    return float(np.max(np.bincount(which, weights=weight)) / weight.sum())


def _sharpened(
    shown: Array, error: Array, which: NDArray[np.int64], weight: Array
) -> tuple[float, float]:
    """The two figures of _sharper as the worlds give them."""
    rng = np.random.default_rng(5)
    truths = np.flatnonzero(weight > 0.0)
    if len(truths) == 0:
        return 0.0, 0.0
    some = truths[:: max(1, len(truths) // 96)]
    kinds = np.unique(which)
    member = (which[None, :] == kinds[:, None]).astype(np.float64) * weight
    start = member.sum(axis=1) / member.sum()
    before = -float(np.sum(start * np.log(np.maximum(start, 1e-12))))
    most, after = [], []
    for k in some:
        seen = shown[k] + error * rng.standard_normal(shown.shape[1])
        fit = np.exp(-0.5 * np.sum(((shown - seen) / error) ** 2, axis=1))
        fit[k] = 0.0  # a world must not vouch for itself
        chance = member @ fit
        if chance.sum() <= 0.0:
            continue
        chance = chance / chance.sum()
        most.append(float(chance.max()))
        after.append(-float(np.sum(chance * np.log(np.maximum(chance, 1e-12)))))
    if not most:
        return 0.0, 0.0
    return float(np.mean(most)), max(before - float(np.mean(after)), 0.0)


def _information(which: NDArray[np.int64], outcome: Array) -> float:
    """Mutual information of the causes and the chances of an outcome. [nat]"""
    kinds = np.unique(which)
    joint = np.array([outcome[which == kind].sum(axis=0) for kind in kinds]) / len(which)
    rows, columns = joint.sum(axis=1, keepdims=True), joint.sum(axis=0, keepdims=True)
    with np.errstate(divide="ignore", invalid="ignore"):
        part = joint * np.log(joint / (rows * columns))
    return float(np.nansum(part))


RAISE = "raise"
RAISE_TELLS = (
    "An arrow nocked too low strikes the shelf with its tail and bounces: its bare shaft can land "
    "low just like one nocked too high. If the bare shafts come up toward the fletched ones, or "
    "pass them, it was too low: leave it raised. If they drop still lower, it was too high: go "
    "down from where you began."
)


def _likeliest(which: NDArray[np.int64], outcome: Array) -> float:
    """Expected chance of the likeliest cause once an outcome is seen."""
    joint = np.array([outcome[which == kind].sum(axis=0) for kind in np.unique(which)])
    return float(joint.max(axis=0).sum() / len(which))


FORM = {
    "pluck": "Let the string hand come straight back along the jaw, and loose by relaxing the "
    "fingers.",
    "hand": "Hold the bow with a loose hand in line with the forearm, and let it settle before the "
    "loose.",
    "draw": "Come to the same anchor each time; have a helper read the draw on a marked arrow.",
}


def next_step(
    reading: Reading,
    tell: Callable[[str, float], None],
    went_wrong: str | None = None,
) -> Step:
    """The one thing to do next.

    Parameters
    ----------
    reading : Reading
        The posterior of the outing.
    tell : callable
        Progress.
    went_wrong : str or None
        What the last change did against its expectation, in words; None if it went as expected or
        nothing was changed.

    Returns
    -------
    step : Step
        A reversible change first, then a test, then length or another shaft; or nothing.
    """
    now, tried = try_all(reading, tell)
    thought = tests(reading)
    ranked = tuple(sorted(tried, key=lambda one: -one.gain))
    tested = tuple(thought)
    if went_wrong is not None:
        return Step(
            "contact",
            f"Stop changing things and look for contact. {went_wrong} Powder the tail and the "
            "strike plate, shoot once, and look where it was wiped off.",
            "The powder shows which part strikes, or that nothing does.",
            now, None, ranked, tested,
        )  # fmt: skip
    top = reading.causes[0] if reading.causes else None
    if reading.explained and now >= GOOD_CLEAN and (top is None or top.key == "none"):
        return Step(
            "leave",
            "Leave it as it is and shoot: nothing that can be changed would do more than these "
            "shots can show.",
            "", now, None, ranked, tested,
        )  # fmt: skip
    if not reading.explained or not reading.weighed.trusted:
        best = tested[0]
        return Step("test", best.words, "The reckoning could not settle on what lies behind "
                    "these shots; this tells most.", now, None, ranked, tested)  # fmt: skip
    head = top.key.split(" ")[0] if top is not None else ""
    if top is not None and head in FORM and top.chance >= SURE:
        return Step("form", FORM[head], "The next group should come together.", now, None, ranked,
                    tested)  # fmt: skip
    upright = _up_and_down_first(reading, ranked, tested, now)
    if upright is not None:
        return upright
    for one in ranked:
        reversible = bool(one.option.undone) and not one.option.key.startswith("shaft")
        worth = WORTH if reversible else CUT_WORTH
        if one.option.key in ("nock up", "nock down") and not _one_way(reading, one.option.key):
            continue
        if one.gain - 2.0 * one.gain_error < worth:
            continue
        if not reversible and any(
            other.gain > 0.7 * one.gain
            and other.option.undone
            and not other.option.key.startswith("shaft")
            for other in ranked
        ):
            continue
        if not one.option.undone and not reading.confident:
            # Never a cut on a reading that could be something else.
            continue
        return Step("change", one.option.words, expectation(one), now, one.clean, ranked, tested)
    fits = top is not None and top.key == "none" and top.chance >= 0.5
    best = tested[0]
    if best.information >= TELLS and not fits:
        return Step("test", best.words, _why_test(best), now, None, ranked, tested)
    return Step(
        "leave",
        "Leave it as it is: no single change is worth more than these shots can show.",
        "", now, None, ranked, tested,
    )  # fmt: skip


def both_ways(reading: Reading) -> tuple[float, float]:
    """Chances that the nocking point is too high, and too low."""
    chance = {one.key: one.chance for one in reading.causes}
    return chance.get("nocking point +", 0.0), chance.get("nocking point -", 0.0)


def _one_way(reading: Reading, key: str) -> bool:
    """Whether a move of the nocking point goes the way that its two causes point."""
    high, low = both_ways(reading)
    mine = high if key == "nock down" else low
    return mine >= ONE_WAY * (high + low)


def _up_and_down_first(
    reading: Reading, ranked: tuple[Tried, ...], tested: tuple[Test, ...], now: float
) -> Step | None:
    """What to do about the nocking point before anything sideways; None where it is no matter.

    Too high and too low can look alike, because a tail nocked too low bounces off the shelf.
    While both are possible the answer is a test, and never a change to one side.
    """
    high, low = both_ways(reading)
    if high + low < UP_DOWN or max(high, low) < 0.5 * UP_DOWN:
        return None
    first = reading.causes[0].key.startswith("nocking point")
    apart = bare_against_fletched(reading.outing)
    if not first and high + low < 0.5 and not (apart is not None and apart.height_believed):
        return None
    if max(high, low) < ONE_WAY * (high + low):
        test = next(one for one in tested if one.key == RAISE)
        return Step("test", test.words, RAISE_TELLS, now, None, ranked, tested)
    key = "nock down" if high > low else "nock up"
    for one in ranked:
        if one.option.key == key and one.gain - one.gain_error > 0.0:
            return Step(
                "change", one.option.words, expectation(one), now, one.clean, ranked, tested
            )
    return None


def expectation(one: Tried) -> str:
    """What to expect of a change, as a direction and a size, and what it means if it fails."""
    parts = []
    for value, plus, minus in (
        (one.move_left_in, "left", "right"),
        (one.move_high_in, "up", "down"),
    ):
        if abs(value) >= 0.75:
            size = max(1.0, round(abs(value)))
            parts.append(f"about {size:.0f} in {plus if value > 0.0 else minus}")
    what = "bare shaft" if one.watched == "bare" else "group"
    moved = (
        f"Expect the {what} to move " + " and ".join(parts) + "."
        if parts
        else f"Expect the {what} to stay where it is, and to fly cleaner."
    )
    return (
        f"{moved} Of 100 shots about {100.0 * one.clean:.0f} should then come out clean "
        f"({100.0 * (one.clean - one.gain):.0f} now). If it goes the other way, stop and look for "
        "contact."
    )


def _why_test(one: Test) -> str:
    if one.shots is None:
        return "It narrows the causes; more shots of it alone will not single one out."
    return f"About {one.shots} of them should make one cause stand out."
