"""What may be given to whom: the stops of a class, its lots of arrows, and how well a lot fits."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from loosewell.chance import forecast
from loosewell.chance.priors import Uncertain
from loosewell.errors import Refusal
from loosewell.records import Archer, Arrow, ArrowSet, Bow, Jig, Pupil, Shaft
from loosewell.workshop import bridge, stops
from loosewell.workshop.answer import Notice
from loosewell.workshop.bench import shaft_spine
from loosewell.workshop.session import Progress, Session, silent
from loosewell.workshop.wish import wish_of

Array = NDArray[np.float64]

WORLDS, SHOTS, SPINES = 32, 1, 7
"""Launches of the cheap response, for each bow, draw and kind of arrow."""
MATCHED_SHARE = 0.5
"""An arrow is matched where its share of clean shots is at least this part of the best spine's.
Modelling choice: a class shoots close and its looses vary more than its shafts."""
SET_LENGTH_IN, LOT_SPINE_LB, LOT_POINT_GR = 0.5, 5.0, 25.0
"""Arrows of one lot differ by no more than this. Five pounds is a common spine group (common
practice, no source)."""
SAME_DRAW_IN, SAME_LENGTH_IN, NODE_IN, SAME_POINT_GR = 0.75, 1.0, 4.0, 50.0
"""Draws, lengths and points nearer than this share one response; lengths further apart are shot
no more than ``NODE_IN`` apart. Between two of them the share is read off a straight line.
Modelling choices."""
LONG_IN, LONG_COUNTS = 3.0, 1.0
"""An arrow this much longer than the least counts a percent point for each further inch."""
LIGHT_COUNTS = 1.0
"""A pound of draw weight below half of a person's strength counts a percent point."""
SEED = 20260211


@dataclass(frozen=True)
class Piece:
    """One arrow, or a shaft of a set on which none is recorded, as a class may shoot it."""

    name: str
    shaft: str
    length_in: float
    spine_lb: float
    spine_error_lb: float
    point_gr: float | None
    weight_gr: float | None


@dataclass(frozen=True)
class Lot:
    """Arrows that go together, the shortest told as its length."""

    code: str
    pieces: tuple[Piece, ...]

    @property
    def length_in(self) -> float:
        """Of its shortest arrow, nock throat to back of point."""
        return min(one.length_in for one in self.pieces)

    @property
    def spine(self) -> tuple[float, float]:
        """Weakest and stiffest of its arrows (26 in span, 2 lb). [lb]"""
        each = [one.spine_lb for one in self.pieces]
        return min(each), max(each)

    def without(self, names: frozenset[str]) -> Lot:
        """The lot when these arrows are gone."""
        return replace(self, pieces=tuple(p for p in self.pieces if p.name.casefold() not in names))


@dataclass(frozen=True)
class Kind:
    """A length and a point, for which one response serves."""

    length_in: float
    point_gr: float | None


@dataclass(frozen=True)
class Curve:
    """Share of clean shots over spine, for one bow, draw and kind of arrow."""

    weight_lb: float
    spine: Array
    share: Array

    def at(self, spine_lb: float, weight_lb: float) -> float:
        """The share at a spine, read as the same part of the draw weight; outside it is 0."""
        place = spine_lb * self.weight_lb / weight_lb
        return float(np.interp(place, self.spine, self.share, left=0.0, right=0.0))


# ---- the stops of a class


def person_stops(one: Pupil, day: datetime.date) -> list[Notice]:
    """Why a person is given nothing at all, whatever bows there are.

    Parameters
    ----------
    one : Pupil
        As on the roster.
    day : date
        Of the class; a child's draw must not be older than a term on it.

    Returns
    -------
    notices : list of Notice
        Empty when nothing of this kind was found. That is no fitness statement.
    """
    found: list[Notice] = []
    if one.draw_length_in is None:
        found.append(
            Notice(
                "class-draw-unknown",
                f"No bow for {one.name} yet: the draw length is not on the roster. Measure it with "
                "a marked arrow and a light bow.",
            )
        )
    elif one.draw_method != "marked arrow":
        how = one.draw_method or "method not told"
        found.append(
            Notice(
                "class-draw-not-measured",
                f"No bow for {one.name} yet: the draw was not measured on a bow ({how}). Measure "
                "it with a marked arrow and a light bow.",
            )
        )
    if one.child and one.draw_length_in is not None:
        if one.draw_date is None:
            found.append(
                Notice(
                    "class-child-draw-undated",
                    f"No bow for {one.name} yet: the draw of a child carries no date. Measure it "
                    "again and write the day down.",
                )
            )
        elif (day - one.draw_date).days > stops.TERM_DAYS:
            found.append(
                Notice(
                    "class-child-draw-old",
                    f"No bow for {one.name} yet: the draw of this child was measured on "
                    f"{one.draw_date.isoformat()}, {(day - one.draw_date).days} days before the "
                    f"class; after {stops.TERM_DAYS} days it no longer counts. Children grow: "
                    "measure it again.",
                )
            )
    if one.strength_lb is None:
        found.append(
            Notice(
                "class-strength-unknown",
                f"No bow for {one.name} yet: how much draw weight this person holds steadily is "
                "not on the roster. Let the instructor say it: strength 20 lb.",
            )
        )
    return found


@dataclass(frozen=True)
class Weighed:
    """A bow's draw weight over the draw, or why it cannot be lent at all."""

    bow: Bow
    why_not: Notice | None
    model: bridge.BowModel | None = None

    def weight_lb(self, draw_in: float) -> float:
        """Draw weight at a true draw."""
        assert self.model is not None
        return self.model.weight_at(draw_in)

    def error_lb(self, draw_in: float) -> float:
        """Error of the reading nearest to a true draw."""
        near = min(
            self.bow.draw_readings,
            key=lambda r: abs(bridge.true_draw_in(r.draw_in, self.bow.draw_measured) - draw_in),
        )
        return near.error_lb()

    @property
    def limit_in(self) -> float:
        """Drawn-to limit as a true draw."""
        assert self.bow.drawn_to_limit_in is not None
        return bridge.true_draw_in(self.bow.drawn_to_limit_in, self.bow.draw_measured)


def weigh(bow: Bow) -> Weighed:
    """A bow ready to be lent, or the reason why it stays on the rack."""
    if not bow.draw_readings:
        why = Notice(
            "class-bow-unread",
            f"Do not lend {bow.name}: no draw weight is recorded. Hang it on a scale and read it "
            "at the draws of the class.",
        )
        return Weighed(bow, why)
    if bow.drawn_to_limit_in is None:
        why = Notice(
            "limit-unknown",
            f"Do not lend {bow.name}: its drawn-to limit is not recorded. Ask its maker how far it "
            "was tillered and record it with --drawn-to-limit.",
        )
        return Weighed(bow, why)
    limit = bridge.true_draw_in(bow.drawn_to_limit_in, bow.draw_measured)
    try:
        return Weighed(bow, None, bridge.bow_model(bow, limit))
    except Refusal as refusal:
        return Weighed(bow, Notice("class-bow-model", f"{bow.name}: {refusal.message}"))


def pair_stop(one: Pupil, weighed: Weighed) -> Notice | None:
    """The first reason why this person must not have this bow, or None.

    Parameters
    ----------
    one : Pupil
        Without a stop of their own.
    weighed : Weighed
        The bow.

    Returns
    -------
    notice : Notice or None
        Hand, drawn-to limit, weight unread at this draw, or weight above the strength.
    """
    if weighed.why_not is not None:
        return weighed.why_not
    bow, archer, draw = weighed.bow, one.archer(), draw_of(one)
    found = stops.stops(bow, archer, draw, None)
    if found:
        return found[0]
    longest = max(bridge.true_draw_in(r.draw_in, bow.draw_measured) for r in bow.draw_readings)
    if draw > longest + stops.BEYOND_READINGS_IN:
        return Notice(
            "class-weight-unread",
            f"Do not lend {bow.name} to {one.name}: its draw weight was read to {longest:.2f} in "
            f"and {one.name} draws {draw:.2f} in (true draw). Read it at that draw first.",
        )
    weight = weighed.weight_lb(draw)
    assert one.strength_lb is not None
    if weight > one.strength_lb + 1e-9:
        return Notice(
            "class-too-strong",
            f"Do not lend {bow.name} to {one.name}: it draws {weight:.1f} lb at {draw:.2f} in "
            f"(true draw), and {one.name} holds {one.strength_lb:g} lb steadily.",
        )
    return None


def draw_of(one: Pupil) -> float:
    """True draw of a person. [in]"""
    assert one.draw_length_in is not None
    return bridge.true_draw_in(one.draw_length_in, one.draw_measured)


# ---- the lots


def pieces_and_lots(
    sets: Sequence[ArrowSet],
    named: Sequence[str],
    shafts: Sequence[Shaft],
    arrows: Sequence[Arrow],
    jigs: Sequence[Jig],
) -> tuple[list[Lot], list[tuple[str, str]]]:
    """The lots a class may shoot, and every arrow that is left out with its reason.

    Parameters
    ----------
    sets : sequence of ArrowSet
        Those of the class.
    named : sequence of str
        Names of single arrows of the class.
    shafts, arrows, jigs : sequences
        Those of the workshop.

    Returns
    -------
    lots : list of Lot
        A set is one lot, or several where its lengths differ by more than half an inch.
    left_out : list of (str, str)
        Arrow and reason.
    """
    by_name = {one.name.casefold(): one for one in shafts}
    built = {one.shaft.casefold(): one for one in arrows}
    single = {one.name.casefold(): one for one in arrows}
    left_out: list[tuple[str, str]] = []
    seen: set[str] = set()

    def piece(shaft: Shaft | None, arrow: Arrow | None, called: str) -> Piece | None:
        if shaft is None:
            left_out.append((called, "not on the rack any more"))
            return None
        if shaft.name.casefold() in seen:
            return None
        seen.add(shaft.name.casefold())
        made = _piece(shaft, arrow, jigs)
        if isinstance(made, str):
            left_out.append((called, made))
            return None
        return made

    lots: list[Lot] = []
    for one in sets:
        some = []
        for member in one.members:
            shaft = by_name.get(member.shaft.casefold())
            made = piece(shaft, built.get(member.shaft.casefold()), member.shaft)
            some += [made] if made is not None else []
        lots += _split(one.code or one.name, some, None)
    loose = []
    for name in named:
        arrow = single.get(name.casefold())
        if arrow is None:
            left_out.append((name, "retired"))
            continue
        made = piece(by_name.get(arrow.shaft.casefold()), arrow, name)
        loose += [made] if made is not None else []
    lots += _split("loose", loose, LOT_SPINE_LB)
    return lots, left_out


def _piece(shaft: Shaft, arrow: Arrow | None, jigs: Sequence[Jig]) -> Piece | str:
    """The arrow as it is shot, or why it is not given to anybody."""
    unfit = stops.unfit(shaft)
    if unfit is not None:
        assert shaft.inspection is not None
        return f"failed its inspection on {shaft.inspection.on.isoformat()}: break it"
    unseen = stops.not_looked_over(shaft)
    if unseen is not None:
        return unseen
    length = shaft.length_in
    if arrow is not None and arrow.length_in is not None:
        length = arrow.length_in
    if length is None:
        return "length not measured"
    spine = shaft_spine(shaft, jigs)
    if spine is None:
        return "spine not measured: hang a load on it"
    point = None if arrow is None else arrow.point_weight_gr
    weight = None if arrow is None else arrow.weight_gr
    error = 0.5 * (spine.high - spine.low)
    return Piece(
        shaft.name if arrow is None else arrow.name,
        shaft.name,
        length,
        spine.spine_26in_2lb_lb,
        error,
        point,
        weight,
    )


def _split(code: str, pieces: Sequence[Piece], width_lb: float | None) -> list[Lot]:
    """Pieces as lots: alike in length and point, and in spine where a width is given."""
    groups: list[list[Piece]] = []
    for one in sorted(pieces, key=lambda p: (p.length_in, p.spine_lb)):
        for group in groups:
            head = group[0]
            weak = min(p.spine_lb for p in group)
            stiff = max(p.spine_lb for p in group)
            points = [p.point_gr for p in (*group, one) if p.point_gr is not None]
            if (
                one.length_in - head.length_in <= SET_LENGTH_IN + 1e-9
                and (not points or max(points) - min(points) <= LOT_POINT_GR)
                and (
                    width_lb is None
                    or max(stiff, one.spine_lb) - min(weak, one.spine_lb) <= width_lb
                )
            ):
                group.append(one)
                break
        else:
            groups.append([one])
    alone = len(groups) == 1 and width_lb is None
    return [
        Lot(code if alone else f"{code} {n + 1}", tuple(group)) for n, group in enumerate(groups)
    ]


# ---- the cheap response


@dataclass
class Response:
    """Shares of clean shots for the bows of a class, shot once and kept.

    ``launches`` counts what was shot; ``silent_bows`` are those for which no shot came out.
    """

    progress: Progress = silent
    launches: int = 0
    _kept: dict[tuple[str, bool, bool, float, Kind], Curve | None] = field(default_factory=dict)

    def curves(
        self, bow: Bow, novice: bool, child: bool, draw_in: float, kinds: Sequence[Kind]
    ) -> dict[Kind, Curve | None]:
        """The curve of each kind of arrow from this bow at this draw; None where none can be."""
        bow_key = bow.model_dump_json()
        place = round(draw_in, 3)
        asked = [k for k in kinds if (bow_key, novice, child, place, k) not in self._kept]
        if asked:
            for kind, curve in zip(
                asked, self._shoot(bow, novice, child, place, asked), strict=True
            ):
                self._kept[bow_key, novice, child, place, kind] = curve
        return {k: self._kept[bow_key, novice, child, place, k] for k in kinds}

    def _shoot(
        self, bow: Bow, novice: bool, child: bool, draw_in: float, kinds: Sequence[Kind]
    ) -> list[Curve | None]:
        someone = Archer(
            name="a person of the class",
            hand="left" if bow.hand == "left" else "right",
            draw_length_in=draw_in,
            draw_measured="true",
            draw_method="marked arrow",
            child=child or None,
            experience="beginner" if novice else "experienced",
        )
        longest = max(one.length_in for one in kinds)
        try:
            wish = wish_of(
                bow, someone, "target", None, None, longest, None, None, None, None, None, SEED
            )
            job = Session(bow, someone, (), (), wish, bridge.loose_model(someone), draw_in, silent)
        except Refusal:
            return [None] * len(kinds)
        models = [
            job.arrow(
                None,
                one.length_in,
                job.parts
                if one.point_gr is None
                else bridge.parts(one.point_gr, job.fletching, job.plan.point_kind),
            )
            for one in kinds
        ]
        spine = np.linspace(float(job.spine[0]), float(job.spine[-1]), SPINES)
        inputs: list[Uncertain] = job.sweep_inputs
        _, values = job.values(inputs, WORLDS, SHOTS, job.seed)
        n, count = WORLDS * SHOTS, len(kinds)
        every = {key: np.tile(value, SPINES * count) for key, value in values.items()}
        every["stiffness_scale"] = np.tile(np.repeat(spine / 50.0, n), count)
        index = np.repeat(np.arange(count, dtype=np.int64), n * SPINES)
        clean = job.clean(job.shoot(models, index, every, "class"))
        self.launches += job.launches
        shaped = clean.reshape(count, SPINES, WORLDS, SHOTS)
        return [
            Curve(job.weight_lb, spine, forecast.share_curve(spine, one).share) for one in shaped
        ]


def nodes(low: float, high: float, same: float, apart: float) -> list[float]:
    """Values at which a response is shot, from the least to the greatest of what is wanted."""
    if high - low <= same:
        return [round(0.5 * (low + high), 2)]
    return [round(float(x), 2) for x in np.linspace(low, high, math.ceil((high - low) / apart) + 1)]


def parts_of(value: float, places: Sequence[float]) -> list[float]:
    """Weights of the places for a straight line between the two about a value; ends hold on."""
    return [float(np.interp(value, places, unit)) for unit in np.eye(len(places))]


def point_of(lot: Lot) -> float | None:
    """Mean point of a lot, or None where none is known. [gr]"""
    known = [p.point_gr for p in lot.pieces if p.point_gr is not None]
    return sum(known) / len(known) if known else None


@dataclass(frozen=True)
class Grid:
    """Shares of one bow over draw, length and point, shot at a few places of each."""

    draws: tuple[float, ...]
    lengths: tuple[float, ...]
    points: tuple[float | None, ...]
    curves: dict[tuple[float, Kind], Curve | None]

    def near(self, draw_in: float, lot: Lot) -> list[tuple[float, Curve]]:
        """The curves about a draw and a lot with their weights; none where one is missing."""
        length = sum(p.length_in for p in lot.pieces) / len(lot.pieces)
        point = point_of(lot)
        point = min(self.points, key=lambda one: abs((one or 0.0) - (point or 0.0)))
        found = []
        for draw, by_draw in zip(self.draws, parts_of(draw_in, self.draws), strict=True):
            for long, by_length in zip(self.lengths, parts_of(length, self.lengths), strict=True):
                weight = by_draw * by_length
                curve = self.curves[draw, Kind(long, point)]
                if weight > 1e-9 and curve is None:
                    return []
                if weight > 1e-9 and curve is not None:
                    found.append((weight, curve))
        return found


def grid(
    response: Response,
    bow: Bow,
    people: Sequence[Pupil],
    lots: Sequence[Lot],
) -> Grid:
    """The shares of a bow for these people, all novices or none, and the lots they may shoot.

    Parameters
    ----------
    response : Response
        Where shots are kept.
    bow : Bow
        The bow.
    people : sequence of Pupil
        Those whom no stop keeps from it.
    lots : sequence of Lot
        Those long enough for one of them.

    Returns
    -------
    grid : Grid
        Shot at the ends of the draws and lengths, and between where they lie far apart.
    """
    draws = [draw_of(one) for one in people]
    lengths = [p.length_in for lot in lots for p in lot.pieces]
    told = [point for lot in lots if (point := point_of(lot)) is not None]
    points: list[float | None] = (
        [*nodes(min(told), max(told), SAME_POINT_GR, 500.0)] if told else []
    )
    if len(told) < len(lots):
        points.append(None)
    at_draws = nodes(min(draws), max(draws), SAME_DRAW_IN, 100.0)
    at_lengths = nodes(min(lengths), max(lengths), SAME_LENGTH_IN, NODE_IN)
    kinds = [Kind(length, point) for length in at_lengths for point in points]
    novice = stops.is_novice(people[0].archer())
    child = all(one.child for one in people)
    curves: dict[tuple[float, Kind], Curve | None] = {}
    for draw in at_draws:
        for kind, curve in response.curves(bow, novice, child, draw, kinds).items():
            curves[draw, kind] = curve
    return Grid(tuple(at_draws), tuple(at_lengths), tuple(points), curves)


@dataclass(frozen=True)
class Fit:
    """How a lot fits a person with a bow: mean and least share of clean shots, and the best."""

    share: float
    least: float
    best: float

    @property
    def matched(self) -> bool:
        """Whether every arrow of the lot is matched."""
        return self.best > 0.0 and self.least >= MATCHED_SHARE * self.best


def fit(lot: Lot, near: Sequence[tuple[float, Curve]], weight_lb: float) -> Fit:
    """The fit of a lot by the curves about it, at a draw weight."""
    if not near:
        return Fit(0.0, 0.0, 0.0)
    shares = [sum(w * curve.at(p.spine_lb, weight_lb) for w, curve in near) for p in lot.pieces]
    best = sum(w * float(curve.share.max()) for w, curve in near)
    return Fit(sum(shares) / len(shares), min(shares), best)


def misfit(fit_: Fit, one: Pupil, weight_lb: float, lot: Lot | None) -> float:
    """What an option counts, in percent points: see docs/bench/classes.md."""
    assert one.strength_lb is not None
    light = max(0.5 * one.strength_lb - weight_lb, 0.0) * LIGHT_COUNTS
    if lot is None:
        return light
    spare_in = lot.length_in - stops.minimum_length_in(one.archer()) - LONG_IN
    return 100.0 * (1.0 - fit_.share) + light + max(spare_in, 0.0) * LONG_COUNTS


def shaft_length_in(one: Pupil) -> float:
    """Length to make an arrow for a person: the least, up to the next quarter inch. [in]"""
    return math.ceil(stops.minimum_length_in(one.archer()) * 4.0 - 1e-9) / 4.0
