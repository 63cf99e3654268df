"""Sets: from a rack and one or more bows the shafts that belong together, and what to do with the
rest. docs/bench/sets.md tells the method."""

from __future__ import annotations

import datetime
import math
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from loosewell import units
from loosewell.errors import BoundRefusal, ContradictionRefusal, EngineRefusal, MissingRefusal
from loosewell.records import Archer, Arrow, ArrowSet, Bow, Jig, Shaft
from loosewell.workshop import bridge, stops, surface
from loosewell.workshop.answer import Band, Notice
from loosewell.workshop.rack import Build, build_of, light_gr
from loosewell.workshop.session import Array, Progress, Session, silent
from loosewell.workshop.sweep import CLEAR_SHARE, SHARE_OF_BEST
from loosewell.workshop.wish import wish_of

if TYPE_CHECKING:
    from loosewell.records.arrow_set import SetMember
    from loosewell.workshop.bench import Spine

POUND_COUNTS_IN = 0.05
GRAIN_COUNTS_IN = 0.005
"""What a pound of spine and a grain of the arrow count beside inches at the target, so that of
sets which hit alike the one that is alike on the bench is taken. Modelling choices."""
MOST_SIZE, MOST_PER_BOW, MOST_PAIRS = 36, 24, 12
SECONDS = 60.0
"""After this time the choice is given as it stands, with its bound."""
DRAWS = 400
"""Draws of the reading errors for the true spread of a set."""
PLAIN_DIAMETER_IN = 0.008
"""A shaft within this of 11/32 in counts as the plain one in thickness. [in]"""
PLAIN_TAPER_IN = 0.005
FAR_FROM_FITTING = 0.5
"""A shaft whose plain twin's chance is below this part of the least needed is not shot as it is."""
NEAR_IN = 1.0
"""A leftover that lands this much beyond a set's own spread still serves as its spare. [in]"""
CHILD_LEAST_IN = 18.0
"""Shorter shafts are no use even to the smallest archers. [in] Common practice, no source."""
CHILD_MOST_LB = 35.0
"""Weaker shafts (26 in span, 2 lb) are offered to children first. [lb] Common practice, no
source."""

OBJECTIVE = (
    "As many of the sets wished as can be filled; and of all ways to fill them the smallest total "
    "spread: summed over the sets, the widest difference between any two arrows of a set left or "
    "right at the target, plus high or low, plus how far the nocks stand apart sideways in the "
    f"butt, all in inches; a pound of spine counts {POUND_COUNTS_IN:g} in and a grain of the arrow "
    f"{GRAIN_COUNTS_IN:g} in beside them, so that of sets that hit alike the one alike on the "
    "bench is taken (a modelling choice)."
)


@dataclass(frozen=True)
class Want:
    """One bow with one archer and purpose, for whom sets are wished."""

    bow: Bow
    archer: Archer
    purpose: str = "target"

    @property
    def name(self) -> str:
        """Bow, archer and purpose in words."""
        told = f"{self.bow.name} with {self.archer.name}"
        return told if self.purpose == "target" else f"{told}, {self.purpose}"


@dataclass(frozen=True)
class Member:
    """One shaft of a set; hits are from the middle of its set, left and high positive."""

    shaft: str
    spine_26in_2lb_lb: float
    spine_error_lb: float
    own_error_lb: float
    """What is left of the error when the jig's own, shared by all shafts read on it, is out."""
    deflection_28in_1_94lb_in: float
    arrow_weight_gr: float
    hit_left_in: float
    hit_high_in: float
    hit_error_in: float
    """One standard error of where it hits beside its fellows, from its own readings."""
    nock_left_in: float
    chance_percent: float
    nock_angle_deg: float | None
    stiff_side_mark: str
    notes: str = ""


@dataclass(frozen=True)
class Spread:
    """Widest difference between two arrows of a set: as read, and what it may truly be."""

    spine_lb: float
    weight_gr: float
    hit_left_in: float
    hit_high_in: float
    nock_left_in: float
    counted_in: float
    """All of it together, as the objective counts."""
    true_spine_lb: Band
    true_weight_gr: Band
    true_hit_left_in: Band
    true_hit_high_in: Band
    noise_spine_lb: float
    """Spread that so many equal shafts would show by their own reading errors alone (median)."""
    noise_hit_left_in: float


@dataclass(frozen=True)
class ChosenSet:
    """A set: code, who it is for, its arrows and how alike they are."""

    code: str
    bow: str
    archer: str
    purpose: str
    length_in: float
    point_weight_gr: float
    members: tuple[Member, ...]
    spread: Spread
    said: tuple[str, ...]


@dataclass(frozen=True)
class Moves:
    """What a small difference moves at the target, for one bow and archer; left, high positive."""

    bow: str
    archer: str
    purpose: str
    distance_yd: float
    at_spine_lb: float
    at_weight_gr: float
    two_lb_left_in: float
    two_lb_high_in: float
    ten_gr_left_in: float
    ten_gr_high_in: float
    scatter_left_in: float
    scatter_high_in: float
    surface_error_in: float
    fitting: int
    least_chance_percent: float
    text: str


@dataclass(frozen=True)
class Leftover:
    """A shaft in no set: what it is good for, in a word and in a sentence."""

    shaft: str
    use: str
    text: str
    spine_26in_2lb_lb: float | None
    weight_gr: float | None
    where: str = ""
    """Where it lands, for one that fits; so that the list stays short."""


@dataclass(frozen=True)
class SetsAnswer:
    """Everything there is to say about sets from a rack."""

    stops: list[Notice]
    warnings: list[Notice]
    sets: list[ChosenSet]
    moves: list[Moves]
    leftovers: list[Leftover]
    unfilled: list[str]
    objective: str
    total_in: float
    bound_in: float
    proven: bool
    gap_percent: float
    proof: str
    size: int
    launches: int
    seconds: float
    invented: bool
    cautions: list[Notice] = field(default_factory=list)


@dataclass
class _Pair:
    """One want at work: its session, surface, and what every shaft does there."""

    want: Want
    job: Session
    face: surface.Surface
    places: list[int]
    """Shafts that could be judged, by their place on the rack."""
    builds: dict[int, Build]
    spine: Array
    mass: Array
    weight_gr: Array
    effect: Array
    difference: Array
    chance: Array
    least: float
    fits: list[int]
    why_not: dict[int, str]
    jigs: tuple[Jig, ...]
    profiles: dict[int, bridge.Profile]

    def column(self, shaft: int) -> int:
        return self.places.index(shaft)


def choose(
    wants: Sequence[Want],
    shafts: Sequence[Shaft],
    *,
    size: int = 6,
    per_bow: int = 1,
    arrows: Sequence[Arrow] = (),
    jigs: Sequence[Jig] = (),
    taken: Mapping[str, str] | None = None,
    codes: Sequence[str] = (),
    code: str | None = None,
    distance_yd: float | None = None,
    point_weight_gr: float | None = None,
    length_in: float | None = None,
    seed: int = 20260211,
    seconds: float = SECONDS,
    today: datetime.date | None = None,
    progress: Progress | None = None,
) -> SetsAnswer:
    """Sets of a size for one or more bows, as alike at the target as the rack allows.

    Parameters
    ----------
    wants : sequence of Want
        Bows with their archers and purposes.
    shafts : sequence of Shaft
        The rack.
    size, per_bow : int
        Arrows in a set; sets for each bow.
    arrows, jigs : sequences
        As in match.
    taken : mapping of str to str, optional
        Shafts that already belong to a set, with its name; they are left alone.
    codes : sequence of str
        Codes in use already, not to be given again.
    code : str, optional
        The code wished; with a number behind it where there is more than one set.
    distance_yd, point_weight_gr, length_in : optional
        As in match, for all bows.
    seed : int
        Of the samples; the same seed gives the same answer.
    seconds : float
        Time for the choice itself, after the engine.
    today : date, optional
        For the age of a child's draw.
    progress : callable, optional
        Told a stage in words and the share done.

    Returns
    -------
    answer : SetsAnswer
        In trade units.

    Raises
    ------
    Refusal
        When no set can be made, or the question does not hold, in a sentence.
    """
    began = time.perf_counter()
    tell = progress or silent
    today = today or datetime.datetime.now(datetime.UTC).astimezone().date()
    _check(wants, shafts, size, per_bow)
    _codes([], code, codes)
    taken = {key.casefold(): name for key, name in (taken or {}).items()}
    _refuse_uninspected(shafts, taken)
    from loosewell.workshop import set_solver

    set_solver.wake()
    jobs = []
    doubts: list[Notice] = []
    for want in wants:
        job, found = _job(
            want, shafts, arrows, jigs, distance_yd, point_weight_gr, length_in, seed, today, tell
        )
        jobs.append(job)
        doubts += [one for one in found if one not in doubts]
    pairs = []
    profiles: dict[int, bridge.Profile] = {}
    for k, (want, job) in enumerate(zip(wants, jobs, strict=True)):
        pairs.append(_pair(want, job, jigs, taken, profiles))
        tell(f"surface of {want.bow.name}", (k + 1) / len(jobs))
    groups = [_group(one, per_bow) for one in pairs]
    if set_solver.most_sets(groups, len(shafts), size) == 0:
        raise _none_fits(pairs, shafts, size)
    choice = set_solver.choose_sets(
        groups, len(shafts), size, seconds=seconds, tell=lambda part: tell("choice", part)
    )
    named = _codes([wants[g].bow.name for g, _ in choice.sets], code, codes)
    sets = [
        _chosen(pairs[g], members, name, seed)
        for (g, members), name in zip(choice.sets, named, strict=True)
    ]
    inside = {int(i) for _, members in choice.sets for i in members}
    owners = [g for g, _ in choice.sets]
    unfilled = [
        _unfilled(one, per_bow, owners.count(g), size)
        for g, one in enumerate(pairs)
        if owners.count(g) < per_bow
    ]
    cautions: list[Notice] = []
    for want in wants:
        for one in stops.cautions(want.archer, want.purpose, [s.material for s in shafts]):
            if one not in cautions:
                cautions.append(one)
    answer = SetsAnswer(
        stops=[notice for one in shafts if (notice := stops.unfit(one)) is not None],
        warnings=doubts,
        sets=sets,
        moves=[_moves(one, [s for (g, _), s in zip(choice.sets, sets, strict=True) if g == k])
               for k, one in enumerate(pairs)],
        leftovers=[
            _leftover(i, shafts[i], pairs, sets, choice.sets, taken)
            for i in range(len(shafts))
            if i not in inside
        ],
        unfilled=unfilled,
        objective=OBJECTIVE,
        total_in=choice.total,
        bound_in=choice.bound,
        proven=choice.proven,
        gap_percent=choice.gap_percent,
        proof=_proof(choice, seconds),
        size=size,
        launches=sum(one.launches for one in jobs),
        seconds=round(time.perf_counter() - began, 2),
        invented=any(w.bow.invented or w.archer.invented for w in wants)
        or any(one.invented for one in shafts),
        cautions=cautions,
    )  # fmt: skip
    tell("done", 1.0)
    return answer


def records(answer: SetsAnswer, on: datetime.date) -> list[ArrowSet]:
    """The sets of an answer as records, ready to be kept.

    Parameters
    ----------
    answer : SetsAnswer
        The answer.
    on : date
        The day they were made up.

    Returns
    -------
    sets : list of ArrowSet
        Each with its code, its members and their marks.
    """
    from loosewell.records.arrow_set import SetMember

    def member(one: Member) -> SetMember:
        return SetMember(
            shaft=one.shaft,
            nock_angle_deg=one.nock_angle_deg,
            stiff_side_mark=None
            if one.nock_angle_deg is None
            else f"{one.nock_angle_deg:.0f} deg round from the shaft's own mark",
        )

    return [
        ArrowSet(
            name=one.code,
            code=one.code,
            bow=one.bow,
            archer=one.archer,
            members=tuple(member(m) for m in one.members),
            made_on=on,
            purpose=one.purpose,
            invented=answer.invented,
        )
        for one in answer.sets
    ]


# ---- what is asked


def _check(wants: Sequence[Want], shafts: Sequence[Shaft], size: int, per_bow: int) -> None:
    """A refusal where the question itself does not hold."""
    if not wants:
        raise MissingRefusal(
            "No bow was named. Say for whom the sets are: a bow and its archer.", code="sets-bows"
        )
    if len(wants) > MOST_PAIRS:
        raise BoundRefusal(
            f"{len(wants)} bows were named at once; up to {MOST_PAIRS} are taken. Sort the rack "
            "for some of them first and keep those sets.",
            code="sets-bows",
        )
    if not 2 <= size <= MOST_SIZE:
        raise BoundRefusal(
            f"A set of {size} was asked for; 2 to {MOST_SIZE} arrows make a set here.",
            code="sets-size",
        )
    if not 1 <= per_bow <= MOST_PER_BOW:
        raise BoundRefusal(
            f"{per_bow} sets for each bow were asked for; 1 to {MOST_PER_BOW} are accepted.",
            code="sets-per-bow",
        )
    keys = [(w.bow.name.casefold(), w.archer.name.casefold(), w.purpose) for w in wants]
    twice = [key for key, count in Counter(keys).items() if count > 1]
    if twice:
        want = wants[keys.index(twice[0])]
        raise ContradictionRefusal(
            f"{want.name} was named twice. Name each once, and ask for more sets for each bow.",
            code="sets-twice",
        )
    if not shafts:
        raise MissingRefusal(
            "There is no shaft on the rack to make sets from. Add shafts, with their bench "
            "readings, masses and inspections, first.",
            code="sets-empty-rack",
        )
    names = Counter(one.name.casefold() for one in shafts)
    double = [one.name for one in shafts if names[one.name.casefold()] > 1]
    if double:
        raise ContradictionRefusal(
            f"The shaft {double[0]} stands on the rack {names[double[0].casefold()]} times. Give "
            "each shaft a name of its own.",
            code="sets-duplicate",
        )
    if size > len(shafts):
        count = "1 shaft" if len(shafts) == 1 else f"{len(shafts)} shafts"
        raise BoundRefusal(
            f"A set of {size} was asked for, and there {'is' if len(shafts) == 1 else 'are'} only "
            f"{count} on the rack. Ask for a smaller set, or add shafts.",
            code="sets-larger-than-rack",
        )


def _refuse_uninspected(shafts: Sequence[Shaft], taken: Mapping[str, str]) -> None:
    """A refusal when not one free shaft has passed its inspection."""
    free = [one for one in shafts if one.name.casefold() not in taken]
    if not free:
        raise ContradictionRefusal(
            f"All {len(shafts)} shafts of the rack belong to a set already. Retire a set to free "
            "its shafts, or add others.",
            code="sets-all-taken",
        )
    if not any(_passed(one) for one in free):
        failed = sum(stops.unfit(one) is not None for one in free)
        raise MissingRefusal(
            f"None of the {len(free)} free shafts has passed an inspection ({failed} failed, "
            f"{len(free) - failed} not looked over), and a shaft nobody looked over is never put "
            "into a set. Look them over and record it: loosewell inspect SHAFT.",
            code="sets-not-inspected",
        )


def _passed(shaft: Shaft) -> bool:
    return (
        shaft.inspection is not None
        and stops.unfit(shaft) is None
        and stops.not_looked_over(shaft) is None
    )


def _job(
    want: Want,
    shafts: Sequence[Shaft],
    arrows: Sequence[Arrow],
    jigs: Sequence[Jig],
    distance_yd: float | None,
    point_weight_gr: float | None,
    length_in: float | None,
    seed: int,
    today: datetime.date,
    tell: Progress,
) -> tuple[Session, list[Notice]]:
    """The match at work for one want; a pair that must not shoot is refused."""
    bow, archer = want.bow, want.archer
    wish = wish_of(
        bow, archer, want.purpose, distance_yd, point_weight_gr, length_in, None, None,
        None, None, None, seed,
    )  # fmt: skip
    loose = bridge.loose_model(archer)
    draw = next(one for one in loose.inputs if one.key == "draw")
    draw_in, draw_error_in = draw.middle / units.INCH, draw.spread / units.INCH
    if not bow.draw_readings:
        bridge.bow_model(bow, draw_in)  # refuses in a sentence
    found = stops.stops(bow, archer, draw_in, length_in)
    if found:
        raise EngineRefusal(found[0].text, code=found[0].code)
    doubts = stops.warnings(bow, archer, draw_in, draw_error_in, today)
    return Session(bow, archer, shafts, arrows, wish, loose, draw_in, tell, jigs), doubts


# ---- what every shaft does


def _is_plain(job: Session, shaft: Shaft, build: Build, profile: bridge.Profile) -> bool:
    """Whether the sheet of plain shafts tells what this one does."""
    wide = [one.mean_in() for one in shaft.stations]
    return (
        shaft.kind in (None, "solid")
        and not shaft.joints
        and not shaft.sections
        and build.arrow is None
        and abs(build.length_in - job.length_in) < 1e-6
        and profile.stiff_over_mean == profile.weak_over_stiff == 1.0
        and all(abs(one - 11.0 / 32.0) <= PLAIN_DIAMETER_IN for one in wide)
        and (not wide or max(wide) - min(wide) <= PLAIN_TAPER_IN)
    )


def _pair(
    want: Want,
    job: Session,
    jigs: Sequence[Jig],
    taken: Mapping[str, str],
    known: dict[int, bridge.Profile],
) -> _Pair:
    """The surface of one want, and what every shaft of the rack does on it.

    ``known`` holds the shafts as the engine takes them, alike for every want.
    """
    from loosewell.physics import spine as physics

    why: dict[int, str] = {}
    builds: dict[int, Build] = {}
    fifty = float(physics.stiffness_from_spine_pounds(50.0))
    for i, shaft in enumerate(job.shafts):
        build = build_of(job, shaft)
        spine = job.spines[i]
        if isinstance(build, str):
            why[i] = build
        elif spine is None:
            why[i] = "not bent"
        elif shaft.weight_gr is None:
            why[i] = "not weighed"
        elif _passed(shaft):
            builds[i] = build
    places = sorted(builds)
    spines = [job.spines[i] for i in places]
    stiffness = np.array([one.bending_stiffness for one in spines if one is not None])
    lb = 50.0 * stiffness / fifty
    mass = np.array([_per_inch(job.shafts[i]) for i in places])
    inside = (lb >= job.spine[0]) & (lb <= job.spine[-1])
    some = lb[inside] if inside.any() else job.spine[[0, -1]]
    heavy = mass[inside] if inside.any() else np.array([job.mass_per_inch])
    face = surface.make_surface(
        job, (float(some.min()), float(some.max())), (float(heavy.min()), float(heavy.max()))
    )
    error = np.array([one.relative_error for one in spines if one is not None])
    for i in places:
        if i not in known:
            known[i] = job.profile(i)
    profiles = [known[i] for i in places]
    mass_error = np.array([one.mass_error for one in profiles])
    effect = face.at(lb, mass)[0]
    chance = _smeared(face, lb, mass, error, mass_error)
    difference = np.zeros_like(effect)
    least = SHARE_OF_BEST * max(face.best_clean, CLEAR_SHARE)
    # What is far from fitting by the sheet, or beyond the sweep, need not be shot to be left out.
    own = [
        k
        for k, i in enumerate(places)
        if inside[k]
        and chance[k] >= FAR_FROM_FITTING * least
        and not _is_plain(job, job.shafts[i], builds[i], profiles[k])
    ]
    models = [job.arrow(i, builds[i].length_in, builds[i].parts) for i in np.array(places)[own]]
    beyond, cleaner = surface.own_differences(job, face, models, lb[own], mass[own])
    difference[:, own] = beyond
    chance[own] = np.clip(chance[own] + cleaner, 0.0, 1.0)
    effect = effect + difference
    weight = np.array(
        [_arrow_gr(mass[k], builds[i]) for k, i in enumerate(places)], dtype=np.float64
    )
    fits = []
    for k, i in enumerate(places):
        shaft = job.shafts[i]
        if shaft.name.casefold() in taken:
            continue
        light = light_gr(job, shaft, builds[i].length_in, builds[i].parts, job.weight_lb)
        if lb[k] < job.spine[0]:
            why[i] = "acts weak"
        elif lb[k] > job.spine[-1]:
            why[i] = "acts stiff"
        elif light is not None and job.bow_record.maker_minimum_arrow_gr is not None:
            why[i] = "too light"
        elif chance[k] < least or not np.isfinite(effect[:, k]).all():
            best = _best_spine(face, mass[k])
            why[i] = "acts weak" if lb[k] < best else "acts stiff"
        else:
            fits.append(i)
    return _Pair(
        want, job, face, places, builds, lb, mass, weight, effect, difference, chance, least,
        fits, why, tuple(jigs), known,
    )  # fmt: skip


def _per_inch(shaft: Shaft) -> float:
    assert shaft.weight_gr is not None
    assert shaft.length_in is not None
    return shaft.weight_gr / shaft.length_in


def _arrow_gr(mass_per_inch: float, build: Build) -> float:
    """The finished arrow, cut, with its parts. [gr]"""
    part = build.parts
    extra = part.point_mass + part.nock_mass + part.fletching_mass
    return float(mass_per_inch * build.length_in + extra / units.GRAIN)


def _smeared(face: surface.Surface, lb: Array, mass: Array, error: Array, heavy: Array) -> Array:
    """Share of clean shots with the errors of a shaft's own readings in it.

    Three points and three weights stand for a normal error to fifth order (Gauss-Hermite).
    """
    total = np.zeros(len(lb))
    places, weights = (-math.sqrt(3.0), 0.0, math.sqrt(3.0)), (1.0 / 6.0, 2.0 / 3.0, 1.0 / 6.0)
    for a, wa in zip(places, weights, strict=True):
        for b, wb in zip(places, weights, strict=True):
            total += wa * wb * face.at(lb * np.exp(a * error), mass * np.exp(b * heavy))[1]
    return total


def _best_spine(face: surface.Surface, mass: float) -> float:
    spine = face.sheet.spine_lb
    return float(spine[int(np.argmax(face.at(spine, np.full(len(spine), mass))[1]))])


def _counted(pair: _Pair) -> Array:
    """What the objective counts of every judged shaft, shape (5, n). [in]"""
    return np.concatenate(
        (
            pair.effect,
            POUND_COUNTS_IN * pair.spine[None],
            GRAIN_COUNTS_IN * pair.weight_gr[None],
        )
    )


def _group(pair: _Pair, per_bow: int) -> Any:
    from loosewell.workshop.set_solver import Group

    columns = [pair.column(i) for i in pair.fits]
    return Group(
        np.array(pair.fits, dtype=np.int64),
        np.ascontiguousarray(_counted(pair)[:, columns]),
        per_bow,
    )


# ---- what is said of the sets


def own_error(spine: Spine, shaft: Shaft, jigs: Sequence[Jig] = ()) -> float:
    """Relative error of a shaft's stiffness beside others read on the same jig. [1]

    Parameters
    ----------
    spine : Spine
        From all its readings.
    shaft : Shaft
        With the readings.
    jigs : sequence of Jig
        Those of the workshop.

    Returns
    -------
    error : float
        The whole error less what span and load of the jig share among all shafts read on it.
    """
    from loosewell.workshop.bench import Rig, rig_of

    known = {one.name.casefold(): rig_of(one) for one in jigs}
    readings = shaft.bench_readings
    if not readings:
        return spine.relative_error
    first = readings[0]
    rig = known.get((first.jig or "").casefold(), Rig(span_in=first.span_in))
    shared = rig.best_factor()[1]
    alone = [one.error_lb / spine.spine_26in_2lb_lb for one in spine.seen]
    least = 1.0 / math.sqrt(sum(one**-2 for one in alone)) if alone and min(alone) > 0.0 else 0.0
    return max(math.sqrt(max(spine.relative_error**2 - shared**2, 0.0)), least)


def _chosen(pair: _Pair, members: Any, code: str, seed: int) -> ChosenSet:
    job = pair.job
    columns = [pair.column(int(i)) for i in members]
    order = sorted(range(len(columns)), key=lambda k: pair.spine[columns[k]])
    columns = [columns[k] for k in order]
    places = [pair.places[k] for k in columns]
    effect = pair.effect[:, columns]
    middle = 0.5 * (effect.max(axis=1) + effect.min(axis=1))
    spines = [one for i in places if (one := job.spines[i]) is not None]
    rigs = {_jig_of(job.shafts[i]) for i in places}
    own = np.array(
        [
            # Jigs that differ share nothing: then the whole error tells shafts apart.
            own_error(one, job.shafts[i], pair.jigs) if len(rigs) == 1 else one.relative_error
            for one, i in zip(spines, places, strict=True)
        ]
    )
    heavy = np.array([pair.profiles[i].mass_error for i in places])
    hit_error = _hit_errors(pair, columns, own, heavy)
    spread = _spread(pair, columns, own, heavy, seed)
    rows = []
    for k, (column, i, spine) in enumerate(zip(columns, places, spines, strict=True)):
        angle, mark = _mark(spine)
        build = pair.builds[i]
        notes = []
        if build.arrow is not None:
            notes.append(f"as built: {build.arrow.name}")
        elif build.length_in < job.length_in - 1e-6:
            notes.append(f"only {build.length_in:.2f} in long")
        light = light_gr(job, job.shafts[i], build.length_in, build.parts, job.weight_lb)
        if light is not None:
            notes.append(f"light: {light / job.weight_lb:.1f} grains per pound")
        rows.append(
            Member(
                shaft=job.shafts[i].name,
                spine_26in_2lb_lb=float(pair.spine[column]),
                spine_error_lb=float(spine.relative_error * pair.spine[column]),
                own_error_lb=float(own[k] * pair.spine[column]),
                deflection_28in_1_94lb_in=spine.deflection_28in_1_94lb_in,
                arrow_weight_gr=float(pair.weight_gr[column]),
                hit_left_in=float(effect[0, k] - middle[0]),
                hit_high_in=float(effect[1, k] - middle[1]),
                hit_error_in=float(hit_error[k]),
                nock_left_in=float(effect[2, k] - middle[2]),
                chance_percent=round(100.0 * float(pair.chance[column])),
                nock_angle_deg=angle,
                stiff_side_mark=mark,
                notes="; ".join(notes),
            )
        )
    return ChosenSet(
        code=code,
        bow=pair.want.bow.name,
        archer=pair.want.archer.name,
        purpose=pair.want.purpose,
        length_in=job.length_in,
        point_weight_gr=job.point_gr,
        members=tuple(rows),
        spread=spread,
        said=(*_said(spread, own, pair, columns), *_read_apart(rigs)),
    )


def _jig_of(shaft: Shaft) -> str:
    """The jig of a shaft's first reading; "" for one nobody named, "tap" without any."""
    readings = shaft.bench_readings
    return (readings[0].jig or "").casefold() if readings else "tap"


def _read_apart(rigs: set[str]) -> list[str]:
    if len(rigs) == 1:
        return []
    text = (
        f"These shafts were not all read on one jig ({len(rigs)} ways of reading). What the jigs "
        "themselves are off counts in full here; read the set again on one jig to be rid of it."
    )
    return [text]


def _mark(spine: Spine) -> tuple[float | None, str]:
    """How far from the shaft's mark the nock is turned, and what is marked."""
    sides = spine.sides
    if sides.told and sides.turn_deg is not None:
        turn = float(round(sides.turn_deg) % 180)
        return turn, f"stiff side {turn:.0f} deg from the mark, to the plate"
    if sides.ways >= 3:
        return None, "no stiff side found: nock by the grain"
    return None, "stiff side not read: nock by the grain"


def _hit_errors(pair: _Pair, columns: Sequence[int], own: Array, heavy: Array) -> Array:
    """One standard error of where each arrow hits, from its own readings. [in]"""
    lb, mass = pair.spine[columns], pair.mass[columns]
    square = np.zeros(len(columns))
    for up, down in (
        ((lb * np.exp(own), mass), (lb * np.exp(-own), mass)),
        ((lb, mass * np.exp(heavy)), (lb, mass * np.exp(-heavy))),
    ):
        moved = 0.5 * (pair.face.at(*up)[0] - pair.face.at(*down)[0])[:2]
        square += (moved**2).sum(axis=0)
    return np.sqrt(square)


def _spread(pair: _Pair, columns: Sequence[int], own: Array, heavy: Array, seed: int) -> Spread:
    """How far apart the arrows of a set are, as read and by draws of their reading errors."""
    lb, mass, weight = pair.spine[columns], pair.mass[columns], pair.weight_gr[columns]
    effect = pair.effect[:, columns]
    rng = np.random.default_rng(seed + 31)
    shape = DRAWS, len(columns)
    stiff = np.exp(own * rng.standard_normal(shape))
    light = np.exp(heavy * rng.standard_normal(shape))
    moved = pair.face.at(lb * stiff, mass * light)[0] + pair.difference[:, None, columns]
    lengths = np.array([pair.builds[pair.places[k]].length_in for k in columns])
    heavier = weight + mass * lengths * (light - 1.0)
    middle, usual = float(np.mean(lb)), float(np.mean(mass))
    even = pair.face.at(middle * stiff, np.full(shape, usual))[0][0]

    def band(drawn: Array, digits: int) -> Band:
        low, half, high = np.quantile(drawn, (0.1, 0.5, 0.9))
        words = "by the errors of the readings"
        return Band(
            round(float(half), digits), round(float(low), digits), round(float(high), digits), words
        )

    ranges = np.ptp(effect, axis=1)
    return Spread(
        spine_lb=float(np.ptp(lb)),
        weight_gr=float(np.ptp(weight)),
        hit_left_in=float(ranges[0]),
        hit_high_in=float(ranges[1]),
        nock_left_in=float(ranges[2]),
        counted_in=float(np.ptp(_counted(pair)[:, columns], axis=1).sum()),
        true_spine_lb=band(np.ptp(lb * stiff, axis=1), 2),
        true_weight_gr=band(np.ptp(heavier, axis=1), 1),
        true_hit_left_in=band(np.ptp(moved[0], axis=1), 2),
        true_hit_high_in=band(np.ptp(moved[1], axis=1), 2),
        noise_spine_lb=float(np.median(np.ptp(middle * stiff, axis=1))),
        noise_hit_left_in=float(np.median(np.ptp(even, axis=1))),
    )


def _said(spread: Spread, own: Array, pair: _Pair, columns: Sequence[int]) -> tuple[str, ...]:
    """What must be known to read a set's figures rightly."""
    said = []
    true = spread.true_spine_lb
    if spread.spine_lb < spread.noise_spine_lb:
        error = float(np.mean(own * pair.spine[columns]))
        said.append(
            f"The spread of {spread.spine_lb:.1f} lb (26 in span, 2 lb) is smaller than the "
            f"reading error makes of {len(columns)} equal shafts ({spread.noise_spine_lb:.1f} lb, "
            f"each read to ± {error:.1f} lb beside the others): the bench cannot tell these shafts "
            f"apart, and truly they may spread over {true.low:.1f} to {true.high:.1f} lb. Reading "
            "each twice more would narrow that; choosing finer would not."
        )
    wide = math.hypot(spread.hit_left_in, spread.hit_high_in)
    scatter = math.hypot(*pair.face.scatter_in)
    if wide < scatter:
        said.append(
            f"The widest two hit {wide:.1f} in apart; one loose differs from the next by "
            f"{scatter:.1f} in (one standard deviation, aim not counted). Sorting finer shows on "
            "no target."
        )
    return tuple(said)


def _moves(pair: _Pair, sets: Sequence[ChosenSet]) -> Moves:
    """What 2 lb and 10 grains move at the target, about the middle of the sets, or of what fits."""
    inside = [
        k
        for k, i in enumerate(pair.places)
        if any(pair.job.shafts[i].name == m.shaft for one in sets for m in one.members)
    ] or [pair.column(i) for i in pair.fits]
    job, face = pair.job, pair.face
    if inside:
        lb, mass = float(np.mean(pair.spine[inside])), float(np.mean(pair.mass[inside]))
        whole = float(np.mean(pair.weight_gr[inside]))
    else:
        lb, mass = _best_spine(face, job.mass_per_inch), job.mass_per_inch
        whole = _arrow_gr(mass, Build(job.length_in, job.parts, None))
    step = 10.0 / job.length_in
    there = np.array([lb + 1.0, lb - 1.0, lb, lb])
    effect = face.at(there, np.array([mass, mass, mass + 0.5 * step, mass - 0.5 * step]))[0]
    two, ten = effect[:, 0] - effect[:, 1], effect[:, 2] - effect[:, 3]
    left, high = face.scatter_in
    text = (
        f"At {job.distance_yd:g} yd, for {pair.want.name} about {lb:.0f} lb (26 in span, 2 lb) and "
        f"{whole:.0f} gr: 2 lb stiffer moves the hit {_way(two)}; 10 gr heavier, {_way(ten)}. From "
        f"loose to loose the engine's own scatter is {left:.1f} in left or right and {high:.1f} in "
        "high or low (one standard deviation; aim and bow hand come on top)."
    )
    if max(math.hypot(two[0], two[1]), math.hypot(ten[0], ten[1])) < math.hypot(left, high):
        text += " Neither shows against it: do not chase tenths."
    elif math.hypot(ten[0], ten[1]) < 0.5 * math.hypot(left, high):
        text += " Stiffness counts here, grains hardly: do not chase tenths of a grain."
    return Moves(
        pair.want.bow.name, pair.want.archer.name, pair.want.purpose, job.distance_yd,
        lb, whole, float(two[0]), float(two[1]), float(ten[0]), float(ten[1]), left, high,
        face.error_in, len(pair.fits), round(100.0 * pair.least, 1), text,
    )  # fmt: skip


def _way(moved: Array) -> str:
    """A move in words: "1.2 in left, 0.1 in low"."""
    side = "left" if moved[0] > 0.0 else "right"
    height = "high" if moved[1] > 0.0 else "low"
    return f"{abs(moved[0]):.1f} in {side} and {abs(moved[1]):.1f} in {height}"


def _unfilled(pair: _Pair, wished: int, got: int, size: int) -> str:
    fitting = len(pair.fits)
    free = f"{fitting} shaft fits" if fitting == 1 else f"{fitting} shafts fit"
    sets = "set" if wished == 1 else "sets"
    more = "; those that fit others too went where more sets could be filled"
    return (
        f"{pair.want.name}: {got} of {wished} {sets} of {size} could be filled. {free} it "
        f"({_reasons(pair)}){more if fitting >= size else ''}."
    )


def _reasons(pair: _Pair) -> str:
    """Why the others do not fit, counted."""
    count = Counter(
        pair.why_not.get(i, "" if i in pair.fits else _unseen(shaft))
        for i, shaft in enumerate(pair.job.shafts)
    )
    count.pop("", None)
    return "; ".join(f"{n} {why}" for why, n in count.most_common()) or "no other on the rack"


def _unseen(shaft: Shaft) -> str:
    if stops.unfit(shaft) is not None:
        return "failed inspection"
    return "in a set already" if _passed(shaft) else "not inspected"


def _none_fits(pairs: Sequence[_Pair], shafts: Sequence[Shaft], size: int) -> ContradictionRefusal:
    told = " ".join(
        f"{one.want.name}: {len(one.fits)} of {len(shafts)} shafts fit ({_reasons(one)})."
        for one in pairs
    )
    most = max(len(one.fits) for one in pairs)
    advice = (
        f"Ask for sets of {most}, or add shafts."
        if most >= 2
        else "Match the bow first to see what spine it takes: loosewell match."
    )
    return ContradictionRefusal(f"No set of {size} can be made. {told} {advice}", code="sets-none")


def _proof(choice: Any, seconds: float) -> str:
    if choice.proven:
        return (
            f"This is the least total there is ({choice.total:.2f} in), proven in "
            f"{choice.seconds:.1f} s."
        )
    return (
        f"A fallback, not proven to be the best: the time for it ({seconds:g} s) or the room ran "
        f"out. Its total is {choice.total:.2f} in, and no choice goes below {choice.bound:.2f} in: "
        f"at most {choice.gap_percent:.1f} % of it could still be saved."
    )


def _codes(bows: Sequence[str], code: str | None, used: Sequence[str]) -> list[str]:
    """A code for each set that nothing else carries."""
    known = {one.casefold() for one in used}
    if code is not None:
        plain = " ".join(code.split())
        if not plain or len(plain) > 24:
            raise BoundRefusal(
                f"A set's code was given as '{code[:40]}'. Give 1 to 24 letters or figures, as "
                "they are written on a shaft.",
                code="sets-code",
            )
        codes = [plain] if len(bows) == 1 else [f"{plain}-{k}" for k in range(1, len(bows) + 1)]
        again = [one for one in codes if one.casefold() in known]
        if again:
            raise ContradictionRefusal(
                f"A set called {again[0]} is kept already. Give another code.", code="name-taken"
            )
        return codes
    codes = []
    for bow in bows:
        head = "".join(letter for letter in bow if letter.isalnum())[:3].upper() or "SET"
        number = 1
        while f"{head}-{number}".casefold() in known:
            number += 1
        codes.append(f"{head}-{number}")
        known.add(codes[-1].casefold())
    return codes


# ---- what is left over


def _leftover(
    i: int,
    shaft: Shaft,
    pairs: Sequence[_Pair],
    sets: Sequence[ChosenSet],
    chosen: Sequence[tuple[int, Any]],
    taken: Mapping[str, str],
) -> Leftover:
    spine = pairs[0].job.spines[i]
    use, text, *where = _use(i, shaft, pairs, sets, chosen, taken)
    lb = None if spine is None else spine.spine_26in_2lb_lb
    return Leftover(shaft.name, use, text, lb, shaft.weight_gr, "".join(where))


def _use(
    i: int,
    shaft: Shaft,
    pairs: Sequence[_Pair],
    sets: Sequence[ChosenSet],
    chosen: Sequence[tuple[int, Any]],
    taken: Mapping[str, str],
) -> tuple[str, ...]:
    """What a shaft in no set is good for; nothing for one that failed or was not looked over."""
    if stops.unfit(shaft) is not None:
        return "firewood", "Failed its inspection: break it, so that nobody shoots it."
    if shaft.name.casefold() in taken:
        return "in a set", f"Belongs to the set {taken[shaft.name.casefold()]} already."
    unseen = stops.not_looked_over(shaft)
    if unseen is not None:
        return "look it over", f"{unseen[0].upper()}{unseen[1:]}; until then it is no arrow."
    missing = [
        word
        for word, known in (
            ("measure its length", shaft.length_in is not None),
            ("weigh it", shaft.weight_gr is not None),
            ("hang a load on it", pairs[0].job.spines[i] is not None),
        )
        if not known
    ]
    if missing:
        told = " and ".join(missing)
        return "measure it", f"{told[0].upper()}{told[1:]}: what it is good for is not known."
    fitting = [one for one in pairs if i in one.fits]
    if fitting:
        return _spare(i, fitting, pairs, sets, chosen)
    why = {one.why_not.get(i, "") for one in pairs}
    assert shaft.length_in is not None
    if why == {"too short"}:
        # What is left for the draw of a child: the arrow less 1.75 in and a beginner's overhang.
        draw = shaft.length_in - bridge.TRUE_BELOW_STANDARD_IN - stops.OVERHANG_NOVICE_IN
        if shaft.length_in < CHILD_LEAST_IN:
            return "dowel", f"Too short for any arrow at {shaft.length_in:g} in: pegs and dowels."
        text = (
            "Too short for these archers; it serves a measured true draw of at most "
            f"{draw:.1f} in. Match it to that child's bow first."
        )
        return "children's arrow", text
    if "too light" in why:
        return "other bow", "Too light for what a bow's maker asks: for a lighter bow."
    spine = pairs[0].job.spines[i]
    if why <= {"acts weak", "too short"}:
        if spine is not None and spine.spine_26in_2lb_lb <= CHILD_MOST_LB:
            text = (
                "Too weak for these bows. Children's arrows after cutting, for cut shorter it "
                "acts stiffer. Match it to that child's bow first."
            )
            return "children's arrow", text
        return "lighter bow", "Too weak for these bows: for a lighter one. Match it there first."
    if why <= {"acts stiff", "too short"}:
        text = (
            "Too stiff for these bows. Small game or stumping with a heavy blunt, which makes it "
            "act weaker, or a stronger bow. Match it with that point first."
        )
        return "blunts", text
    return "other bow", "Too weak for one of these bows and too stiff for another: for one between."


def _spare(
    i: int,
    fitting: Sequence[_Pair],
    pairs: Sequence[_Pair],
    sets: Sequence[ChosenSet],
    chosen: Sequence[tuple[int, Any]],
) -> tuple[str, ...]:
    """Which set it stands by for, or which bow it fits although it hits elsewhere."""
    near: list[tuple[float, str, Array]] = []
    for (g, members), one in zip(chosen, sets, strict=True):
        pair = pairs[g]
        if i not in pair.fits:
            continue
        columns = [pair.column(int(k)) for k in members]
        effect = pair.effect[:2, columns]
        middle = 0.5 * (effect.max(axis=1) + effect.min(axis=1))
        off = pair.effect[:2, pair.column(i)] - middle
        beyond = np.maximum(np.abs(off) - 0.5 * np.ptp(effect, axis=1), 0.0)
        near.append((float(np.hypot(*beyond)), one.code, off))
    if near:
        beyond_in, code, off = min(near, key=lambda one: (one[0], one[1]))
        where = f"{_way(off)} of the middle of {code}"
        if beyond_in <= NEAR_IN:
            return "spare", f"Lands near {code}: keep it to replace a lost arrow.", where
        return "other set", "Flies clean, but lands elsewhere: for another set.", where
    best = max(fitting, key=lambda one: one.chance[one.column(i)])
    chance = round(100.0 * float(best.chance[best.column(i)]))
    where = f"{chance} % clean shots from {best.want.name}"
    return "other set", "Flies clean, but lands elsewhere: for another set.", where
