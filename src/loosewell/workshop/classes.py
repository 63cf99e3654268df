"""A class: one plan that gives each person a bow and arrows, what is short, and swaps in the day.

docs/bench/classes.md tells the method.
"""

from __future__ import annotations

import datetime
import math
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from loosewell.chance import forecast
from loosewell.errors import MissingRefusal, NotFoundRefusal
from loosewell.records import Arrow, ArrowSet, Bow, ClassRoster, Holding, Jig, Pupil, Shaft
from loosewell.workshop import class_fit, class_solver, stops
from loosewell.workshop.answer import Notice
from loosewell.workshop.class_fit import Fit, Kind, Lot, Response, Weighed
from loosewell.workshop.class_solver import NO_LOT
from loosewell.workshop.session import Progress, silent
from loosewell.workshop.sweep import LATER_INCH_POUNDS, SHARE_OF_BEST

ARROWS_EACH = 6
LOSS_PERCENT = 8.0
"""Arrows for one person, and the share of them lost or broken in a day, where the class does not
say. Common practice, no source."""
SECONDS, RESERVE_SECONDS = 20.0, 4.0
ALIKE_IN, OVERLAP_LB = 0.5, 3.0
"""Two orders of shafts become one where their lengths differ by no more, and their ranges share
this much. Modelling choice."""

OBJECTIVE = (
    "Stops come first and are never traded: no bow for the other hand, past its drawn-to limit or "
    "above a person's strength, no arrow shorter than the least or not looked over. Among all "
    "plans that keep them: as many people with a bow and their arrows as can be; then as many of "
    "the rest with a bow whose arrows are to be made; in a swap, then as few people as can be "
    "whose bow or arrows change; then as few spare arrows missing for the expected loss; then the "
    "least misfit, summed over the people: 100 less the percent of shots that come out clean, one "
    f"for each inch an arrow is more than {class_fit.LONG_IN:g} in longer than its least, one for "
    "each pound a bow is below half of the person's strength (the last two are modelling choices)."
)


@dataclass(frozen=True)
class Line:
    """One person with a bow: turn, weights, arrows and how well they fit."""

    person: str
    hand: str
    bow: str
    turn: int
    arrows: tuple[str, ...]
    lot: str | None
    true_draw_in: float
    drawn_to_limit_in: float
    """As a true draw."""
    draw_weight_lb: float
    draw_weight_error_lb: float
    strength_lb: float
    least_length_in: float
    arrow_length_in: float | None
    """Of the shortest arrow given."""
    spine_low_26in_2lb_lb: float | None
    spine_high_26in_2lb_lb: float | None
    clean_percent: float | None
    best_clean_percent: float | None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Without:
    """A person with nothing, or with a bow and no arrows: why, and what would help."""

    person: str
    lacks: str
    why: str
    needs: str


@dataclass(frozen=True)
class SpareLot:
    """What is left in a lot, and what its users are expected to lose."""

    lot: str
    spares: tuple[str, ...]
    expected_loss: float
    missing: float


@dataclass(frozen=True)
class Order:
    """Shafts to make or buy, in plain specification."""

    count: int
    spine_low_26in_2lb_lb: float
    spine_high_26in_2lb_lb: float
    length_in: float
    point_gr: float
    people: tuple[str, ...]
    text: str


@dataclass(frozen=True)
class Wish:
    """One wish of the plan, as far as it is met and proven."""

    wish: str
    value: float
    bound: float
    proven: bool


@dataclass(frozen=True)
class Reserve:
    """The two bows whose loss would leave the fewest people served, and what to do then."""

    bows: tuple[str, ...]
    served_before: int
    served_after: int
    proven: bool
    alike: int
    pairs: int
    looked: int
    changes: tuple[str, ...]
    without: tuple[str, ...]
    text: str


@dataclass(frozen=True)
class Plan:
    """Everything there is to say about a class."""

    name: str
    on: str
    invented: bool
    stops: list[Notice]
    warnings: list[Notice]
    cautions: list[Notice]
    lines: list[Line]
    without: list[Without]
    bows_left: list[str]
    orders: list[Order]
    bow_orders: list[str]
    spares: list[SpareLot]
    left_out: list[tuple[str, str]]
    turns: int
    turns_reason: str
    arrows_each: int
    loss_percent: float
    loss_reason: str
    changes: list[str]
    reserve: Reserve | None
    objective: str
    wishes: list[Wish]
    proof: str
    exact: bool
    launches: int
    seconds: float
    holdings: tuple[Holding, ...] = field(default=())


@dataclass
class _Work:
    """A class at work: who may have what, and the options that follow."""

    roster: ClassRoster
    people: list[Pupil]
    weighed: list[Weighed]
    lots: list[Lot]
    turns: int
    each: int
    loss: float
    day: datetime.date
    response: Response
    person_stops: dict[int, list[Notice]]
    pair_stops: dict[tuple[int, int], Notice]
    weight: dict[tuple[int, int], float]
    fits: dict[tuple[int, int, int], Fit]
    options: class_solver.Options
    held: Mapping[str, Holding]

    @property
    def problem(self) -> class_solver.Class:
        return class_solver.Class(
            len(self.people),
            np.full(len(self.weighed), self.turns, dtype=np.int64),
            np.array([len(lot.pieces) for lot in self.lots], dtype=np.int64),
            self.each,
            round(self.each * self.loss / 100.0, 3),
            self.options,
        )


def plan(
    roster: ClassRoster,
    bows: Sequence[Bow],
    sets: Sequence[ArrowSet],
    shafts: Sequence[Shaft],
    arrows: Sequence[Arrow],
    jigs: Sequence[Jig] = (),
    *,
    today: datetime.date | None = None,
    reserve: bool = True,
    keep_held: bool = False,
    seconds: float = SECONDS,
    progress: Progress | None = None,
    response: Response | None = None,
) -> Plan:
    """The plan of a class.

    Parameters
    ----------
    roster : ClassRoster
        People, names of bows, sets and arrows. Without bows every loaner of ``bows`` is taken,
        without sets and arrows every set and arrow.
    bows, sets, shafts, arrows, jigs : sequences
        Those in use in the workshop.
    today : date, optional
        For the age of a child's draw where the class carries no day.
    reserve : bool
        Whether the two bows that would be missed most are looked for.
    keep_held : bool
        Whether what people hold stands before everything but the count of the served, as in a
        swap.
    seconds : float
        Time for the choice itself; after it the plan is a fallback, and says so.
    progress : callable, optional
        Told a stage in words and the share done.
    response : Response, optional
        Shares of clean shots found before, to be used again.

    Returns
    -------
    plan : Plan
        In trade units. A partial plan says who has nothing and why.

    Raises
    ------
    Refusal
        When there is nobody on the roster or no bow at all, in a sentence.
    """
    began = time.perf_counter()
    tell = progress or silent
    job, left_out = _work(
        roster, bows, sets, shafts, arrows, jigs, today, keep_held, tell, response
    )
    problem = job.problem
    choice = class_solver.choose(problem, seconds=seconds, tell=lambda part: tell("plan", part))
    lines, holdings = _lines(job, choice.taken)
    worst = _reserve(job, problem, lines, tell) if reserve else None
    orders, bare = _orders(job, choice.taken, tell)
    without = bare + _without(job, choice.taken)
    given = {name for one in lines for name in one.arrows}
    used = {one.bow for one in lines}
    made = Plan(
        name=roster.name,
        on=job.day.isoformat(),
        invented=roster.invented,
        stops=[n for i in sorted(job.person_stops) for n in job.person_stops[i]]
        + [w.why_not for w in job.weighed if w.why_not is not None]
        + [n for s in shafts if (n := stops.unfit(s)) is not None and _named(s, left_out, arrows)],
        warnings=_warnings(job, choice.taken),
        cautions=_cautions(job),
        lines=lines,
        without=without,
        bows_left=[w.bow.name for w in job.weighed if w.bow.name not in used],
        orders=orders,
        bow_orders=_bow_orders(job, choice.taken),
        spares=_spares(job, choice.taken, given),
        left_out=left_out,
        turns=job.turns,
        turns_reason=_turns_reason(job),
        arrows_each=job.each,
        loss_percent=job.loss,
        loss_reason="typed"
        if roster.loss_percent is not None
        else "common practice, no source: count your own at the end of a day",
        changes=_changes(job, lines) if keep_held else [],
        reserve=worst,
        objective=OBJECTIVE,
        wishes=[Wish(s.wish, s.value, s.bound, s.proven) for s in choice.stages],
        proof=_proof(choice, seconds),
        exact=choice.proven,
        launches=job.response.launches,
        seconds=round(time.perf_counter() - began, 2),
        holdings=holdings,
    )
    tell("done", 1.0)
    return made


def swap(
    roster: ClassRoster,
    *,
    bows_out: Sequence[str] = (),
    people_out: Sequence[str] = (),
    arrows_out: Sequence[str] = (),
    bows_back: Sequence[str] = (),
    people_back: Sequence[str] = (),
) -> ClassRoster:
    """The class after what happened: bows that broke or are back, people who left or are back.

    Parameters
    ----------
    roster : ClassRoster
        With the plan that was kept.
    bows_out, people_out, arrows_out, bows_back, people_back : sequences of str
        Names; capitals do not matter.

    Returns
    -------
    roster : ClassRoster
        What broke or left marked as out. The plan held is left as it was: ``plan`` with
        ``keep_held`` changes as little of it as can be.

    Raises
    ------
    NotFoundRefusal
        For a name that is not in the class.
    """
    if not any((bows_out, people_out, arrows_out, bows_back, people_back)):
        raise MissingRefusal(
            "Nothing that happened was told. Say what: --breaks BOW, --leaves PERSON, --loses "
            "ARROW, --mended BOW or --returns PERSON.",
            code="missing-swap",
        )
    people = _known("person", people_out, [p.name for p in roster.people], roster.name)
    back = _known("person", people_back, roster.people_out, f"those out of {roster.name}")
    held = [one.bow for one in roster.held]
    broken = _known("bow", bows_out, [*roster.bows, *held], roster.name) if (
        roster.bows or held
    ) else tuple(bows_out)  # fmt: skip
    mended = _known("bow", bows_back, roster.bows_out, f"those out of {roster.name}")
    lost = tuple(dict.fromkeys([*roster.arrows_out, *arrows_out]))
    return roster.model_copy(
        update={
            "people_out": _without_these([*roster.people_out, *people], back),
            "bows_out": _without_these([*roster.bows_out, *broken], mended),
            "arrows_out": lost,
        }
    )


def _without_these(names: Sequence[str], gone: Sequence[str]) -> tuple[str, ...]:
    keys = {name.casefold() for name in gone}
    return tuple(dict.fromkeys(name for name in names if name.casefold() not in keys))


def _known(what: str, asked: Sequence[str], names: Sequence[str], where: str) -> tuple[str, ...]:
    """The names as the roster writes them; a refusal for one that is not there."""
    table = {name.casefold(): name for name in names}
    found = []
    for one in asked:
        if one.strip().casefold() not in table:
            known = ", ".join(dict.fromkeys(names)) or "nobody and nothing"
            raise NotFoundRefusal(
                f"There is no {what} called '{one[:80]}' in {where}. There are: {known}.",
                code="class-not-found",
            )
        found.append(table[one.strip().casefold()])
    return tuple(found)


# ---- who may have what


def _work(
    roster: ClassRoster,
    bows: Sequence[Bow],
    sets: Sequence[ArrowSet],
    shafts: Sequence[Shaft],
    arrows: Sequence[Arrow],
    jigs: Sequence[Jig],
    today: datetime.date | None,
    keep_held: bool,
    tell: Progress,
    response: Response | None,
) -> tuple[_Work, list[tuple[str, str]]]:
    gone = {name.casefold() for name in roster.people_out}
    people = [one for one in roster.people if one.name.casefold() not in gone]
    if not people:
        raise MissingRefusal(
            f'Nobody is on the roster of {roster.name}. Add people with --person "A.B., left, '
            'draw 24 in true, marked arrow, on 2026-03-02, strength 20 lb", or take a table in '
            "with: loosewell class import.",
            code="class-nobody",
        )
    here = _bows(roster, bows)
    named = {name.casefold() for name in roster.sets}
    everything = not roster.sets and not roster.arrows
    lots, left_out = class_fit.pieces_and_lots(
        [one for one in sets if everything or one.name.casefold() in named],
        [one.name for one in arrows] if everything else roster.arrows,
        shafts,
        arrows,
        jigs,
    )
    lost = frozenset(name.casefold() for name in roster.arrows_out)
    lots = [lot for one in lots if (lot := one.without(lost)).pieces]
    today = today or datetime.datetime.now(datetime.UTC).astimezone().date()
    day = roster.on or today
    weighed = [class_fit.weigh(one) for one in here]
    own_stops = {
        i: found for i, one in enumerate(people) if (found := class_fit.person_stops(one, day))
    }
    pair_stops: dict[tuple[int, int], Notice] = {}
    weight: dict[tuple[int, int], float] = {}
    for i, one in enumerate(people):
        if i in own_stops:
            continue
        for b, bow in enumerate(weighed):
            stop = class_fit.pair_stop(one, bow)
            if stop is not None:
                pair_stops[i, b] = stop
            else:
                weight[i, b] = bow.weight_lb(class_fit.draw_of(one))
    each = roster.arrows_each or ARROWS_EACH
    job = _Work(
        roster=roster,
        people=people,
        weighed=weighed,
        lots=lots,
        turns=roster.turns or _fewest_turns(people, own_stops, weighed),
        each=each,
        loss=LOSS_PERCENT if roster.loss_percent is None else roster.loss_percent,
        day=day,
        response=response or Response(tell),
        person_stops=own_stops,
        pair_stops=pair_stops,
        weight=weight,
        fits={},
        options=class_solver.NOTHING,
        held={one.person.casefold(): one for one in roster.held} if keep_held else {},
    )
    _fit_all(job, tell)
    job.options = _options(job)
    return job, left_out


def _bows(roster: ClassRoster, bows: Sequence[Bow]) -> list[Bow]:
    """The bows of the class that are not out."""
    named = {name.casefold() for name in roster.bows}
    broken = {name.casefold() for name in roster.bows_out}
    some = [
        one
        for one in bows
        if (one.name.casefold() in named if named else bool(one.loaner))
        and one.name.casefold() not in broken
    ]
    if not some:
        raise MissingRefusal(
            f"There is no bow for the class {roster.name}"
            + (": all that were named are out or retired. " if named else ": none is named, and "
               "none in this workshop is marked as a loaner. ")
            + "Name bows with --bow, or mark them with: loosewell bow change NAME --loaner yes.",
            code="class-no-bow",
        )  # fmt: skip
    return some


def _fewest_turns(
    people: Sequence[Pupil], own_stops: Mapping[int, object], weighed: Sequence[Weighed]
) -> int:
    bows = sum(1 for one in weighed if one.why_not is None)
    able = len(people) - len(own_stops)
    return max(math.ceil(able / bows), 1) if bows else 1


def _turns_reason(job: _Work) -> str:
    if job.roster.turns is not None:
        return "typed"
    return "not typed: the fewest turns by the count of people and bows"


def _group(one: Pupil) -> tuple[bool, bool]:
    archer = one.archer()
    return stops.is_novice(archer), bool(one.child)


def _fit_all(job: _Work, tell: Progress) -> None:
    """The fit of every lot for every person and bow that no stop forbids."""
    least = {i: stops.minimum_length_in(job.people[i].archer()) for i, _ in job.weight}
    for b, weighed in enumerate(job.weighed):
        groups: dict[bool, list[int]] = {}
        for i, at in job.weight:
            if at == b:
                groups.setdefault(_group(job.people[i])[0], []).append(i)
        for some in groups.values():
            shortest = min(least[i] for i in some)
            usable = [
                n
                for n, lot in enumerate(job.lots)
                if lot.length_in >= shortest - 1e-9
                and len(lot.pieces) >= job.each
                and not _too_light(weighed.bow, lot)
            ]
            if not usable:
                continue
            shares = class_fit.grid(
                job.response,
                weighed.bow,
                [job.people[i] for i in some],
                [job.lots[n] for n in usable],
            )
            for i in some:
                draw = class_fit.draw_of(job.people[i])
                for n in usable:
                    lot = job.lots[n]
                    if lot.length_in < least[i] - 1e-9:
                        continue
                    found = class_fit.fit(lot, shares.near(draw, lot), job.weight[i, b])
                    if found.matched:
                        job.fits[i, b, n] = found
        tell("arrows", (b + 1) / len(job.weighed))


def _too_light(bow: Bow, lot: Lot) -> bool:
    """Whether a lot may be lighter than the bow's maker allows; unknown is not enough."""
    least = bow.maker_minimum_arrow_gr
    return least is not None and any(
        one.weight_gr is None or one.weight_gr < least for one in lot.pieces
    )


def _options(job: _Work) -> class_solver.Options:
    """One option a person, bow and lot, and one a person and bow with arrows to be made."""
    rows: list[tuple[int, int, int, float, float]] = []
    none = Fit(0.0, 0.0, 0.0)
    by_pair: dict[tuple[int, int], list[int]] = {}
    for i, b, n in job.fits:
        by_pair.setdefault((i, b), []).append(n)
    for (i, b), weight in job.weight.items():
        one = job.people[i]
        held = job.held.get(one.name.casefold())
        other_bow = held is not None and held.bow.casefold() != job.weighed[b].bow.name.casefold()
        bare = held is not None and (other_bow or bool(held.arrows))
        rows.append((i, b, NO_LOT, class_fit.misfit(none, one, weight, None), float(bare)))
        for n in by_pair.get((i, b), []):
            changed = other_bow or (held is not None and not _holds(held, job.lots[n]))
            count = class_fit.misfit(job.fits[i, b, n], one, weight, job.lots[n])
            rows.append((i, b, n, count, float(changed)))
    table = np.array(rows, dtype=np.float64).reshape(-1, 5)
    return class_solver.Options(
        table[:, 0].astype(np.int64),
        table[:, 1].astype(np.int64),
        table[:, 2].astype(np.int64),
        table[:, 3],
        table[:, 4],
    )


def _holds(held: Holding, lot: Lot) -> bool:
    """Whether what a person holds comes from a lot; lost arrows are filled up from it."""
    names = {one.name.casefold() for one in lot.pieces}
    return any(name.casefold() in names for name in held.arrows)


# ---- the plan in words


def _lines(job: _Work, taken: Sequence[int] | np.ndarray) -> tuple[list[Line], tuple[Holding, ...]]:
    """A line for every person with a bow, with single arrows and a turn at the bow."""
    options = job.options
    rows = [(int(options.person[k]), int(options.bow[k]), int(options.lot[k])) for k in taken]
    turns = _give_turns(job, rows)
    arrows = _give_arrows(job, rows)
    lines, holdings = [], []
    for i, b, n in sorted(rows, key=lambda row: row[0]):
        one, weighed = job.people[i], job.weighed[b]
        draw = class_fit.draw_of(one)
        weight = job.weight[i, b]
        lot = None if n == NO_LOT else job.lots[n]
        mine = arrows[i]
        own = [] if lot is None else [p for p in lot.pieces if p.name in mine]
        found = None if lot is None else job.fits[i, b, n]
        assert one.strength_lb is not None
        lines.append(
            Line(
                person=one.name,
                hand=one.hand,
                bow=weighed.bow.name,
                turn=turns[i],
                arrows=tuple(mine),
                lot=None if lot is None else lot.code,
                true_draw_in=round(draw, 2),
                drawn_to_limit_in=round(weighed.limit_in, 2),
                draw_weight_lb=round(weight, 1),
                draw_weight_error_lb=weighed.error_lb(draw),
                strength_lb=one.strength_lb,
                least_length_in=round(stops.minimum_length_in(one.archer()), 2),
                arrow_length_in=min((p.length_in for p in own), default=None),
                spine_low_26in_2lb_lb=round(min(p.spine_lb for p in own), 1) if own else None,
                spine_high_26in_2lb_lb=round(max(p.spine_lb for p in own), 1) if own else None,
                clean_percent=None if found is None else round(100.0 * found.share),
                best_clean_percent=None if found is None else round(100.0 * found.best),
            )
        )
        holdings.append(
            Holding(person=one.name, bow=weighed.bow.name, turn=turns[i], arrows=tuple(mine))
        )
    return lines, tuple(holdings)


def _give_turns(job: _Work, rows: Sequence[tuple[int, int, int]]) -> dict[int, int]:
    """A turn for each person, the one held before where it is free."""
    turns: dict[int, int] = {}
    for b in sorted({row[1] for row in rows}):
        free = list(range(1, job.turns + 1))
        some = [i for i, bow, _ in rows if bow == b]
        for i in some:
            held = job.held.get(job.people[i].name.casefold())
            same = held is not None and held.bow.casefold() == job.weighed[b].bow.name.casefold()
            if held is not None and same and held.turn in free:
                turns[i] = held.turn
                free.remove(held.turn)
        for i in some:
            if i not in turns:
                turns[i] = free.pop(0)
    return turns


def _give_arrows(job: _Work, rows: Sequence[tuple[int, int, int]]) -> dict[int, list[str]]:
    """Single arrows of the lots, neighbours in spine together, the ones held before first."""
    given: dict[int, list[str]] = {i: [] for i, _, _ in rows}
    for n in sorted({row[2] for row in rows} - {NO_LOT}):
        some = [i for i, _, lot in rows if lot == n]
        names = [p.name for p in sorted(job.lots[n].pieces, key=lambda p: (p.spine_lb, p.name))]
        for i in some:
            held = job.held.get(job.people[i].name.casefold())
            mine = {name.casefold() for name in held.arrows} if held is not None else set()
            given[i] = [name for name in names if name.casefold() in mine][: job.each]
        taken = {name for i in some for name in given[i]}
        left = [name for name in names if name not in taken]
        for i in some:
            while len(given[i]) < job.each:
                given[i].append(left.pop(0))
    return given


def _spares(job: _Work, taken: np.ndarray, given: set[str]) -> list[SpareLot]:
    users = Counter(int(job.options.lot[k]) for k in taken)
    found = []
    for n, lot in enumerate(job.lots):
        left = tuple(p.name for p in lot.pieces if p.name not in given)
        loss = users.get(n, 0) * job.each * job.loss / 100.0
        if left or loss:
            found.append(
                SpareLot(lot.code, left, round(loss, 1), round(max(loss - len(left), 0.0), 1))
            )
    return found


def _warnings(job: _Work, taken: np.ndarray) -> list[Notice]:
    """What is doubtful about the pairs of the plan."""
    found: list[Notice] = []
    for k in taken:
        i, b, n = (int(part[k]) for part in (job.options.person, job.options.bow, job.options.lot))
        one, weighed = job.people[i], job.weighed[b]
        draw, weight = class_fit.draw_of(one), job.weight[i, b]
        error = one.draw_error_in if one.draw_error_in is not None else (
            1.0 if stops.is_novice(one.archer()) else 0.25
        )  # fmt: skip
        found += [
            notice
            for notice in stops.warnings(weighed.bow, one.archer(), draw, error, job.day)
            if notice.code != "child-draw-old"
        ]
        assert one.strength_lb is not None
        if weight + weighed.error_lb(draw) > one.strength_lb:
            found.append(
                Notice(
                    "class-near-strength",
                    f"{weighed.bow.name} draws {weight:.1f} ± {weighed.error_lb(draw):g} lb at the "
                    f"draw of {one.name}, who holds {one.strength_lb:g} lb steadily: it may be "
                    "more. Watch the first draws and let down early.",
                )
            )
        if n == NO_LOT:
            continue
        masses = [p.weight_gr for p in job.lots[n].pieces if p.weight_gr is not None]
        light = stops.mass_warning(weighed.bow, min(masses), weight) if masses else None
        if light is not None:
            found.append(Notice(light.code, f"{one.name}: {light.text}"))
    unique: list[Notice] = []
    for notice in found:
        if notice not in unique:
            unique.append(notice)
    return unique


def _cautions(job: _Work) -> list[Notice]:
    found: list[Notice] = []
    for one in job.people:
        for notice in stops.cautions(one.archer(), "target", []):
            if notice not in found and notice.code in ("inspect-first", "range", "novice"):
                found.append(notice)
    found.append(
        Notice(
            "class-shared-bow",
            "Where a bow is shared, the plan holds for the person at their own draw: nobody draws "
            "it further, and the arrows go with the person, not with the bow.",
        )
    )
    return found


def _changes(job: _Work, lines: Sequence[Line]) -> list[str]:
    """What is different from what people hold, one sentence a person."""
    now = {one.person.casefold(): one for one in lines}
    said = []
    for one in job.people:
        line, held = now.get(one.name.casefold()), job.held.get(one.name.casefold())
        if held is None and line is not None:
            said.append(
                f"{one.name} gets {line.bow}, turn {line.turn}, {_arrow_words(line.arrows)}."
            )
        elif held is not None and line is None:
            said.append(f"{one.name} gives {held.bow} back and has no bow now.")
        elif held is not None and line is not None:
            parts = []
            if held.bow.casefold() != line.bow.casefold():
                parts.append(f"takes {line.bow} instead of {held.bow}, turn {line.turn}")
            elif held.turn != line.turn:
                parts.append(f"keeps {line.bow}, now in turn {line.turn}")
            mine = {name.casefold() for name in held.arrows}
            new = [name for name in line.arrows if name.casefold() not in mine]
            if new:
                whole = len(new) == len(line.arrows)
                parts.append(
                    f"takes {_arrow_words(new)}"
                    + (" instead of the ones before" if whole and mine else " more")
                )
            elif not line.arrows and held.arrows:
                parts.append("has no arrows that fit now")
            if parts:
                said.append(f"{one.name} {' and '.join(parts)}.")
    for name in job.roster.people_out:
        held = {one.person.casefold(): one for one in job.roster.held}.get(name.casefold())
        if held is not None:
            said.append(f"{name} left: {held.bow} and {_arrow_words(held.arrows)} come back.")
    return said


def _arrow_words(names: Sequence[str]) -> str:
    if not names:
        return "no arrows"
    return ("arrow " if len(names) == 1 else "arrows ") + ", ".join(names)


def _proof(choice: class_solver.Choice, seconds: float) -> str:
    if choice.proven:
        return "Exact: no plan that keeps the stops is better, wish by wish (proven)."
    told = "; ".join(
        f"{one.wish}: {one.value:g} found, at best {one.bound:g}"
        for one in choice.stages
        if not one.proven
    )
    return (
        f"This is a fallback, not the proven best: after {seconds:g} s the choice was stopped. It "
        f"keeps every stop. What could still be gained: {told}."
    )


# ---- what is short


def _why_no_bow(job: _Work, i: int, taken: np.ndarray) -> tuple[str, str]:
    """Why a person has no bow, and which bow would do."""
    one = job.people[i]
    if i in job.person_stops:
        return (
            " ".join(notice.text for notice in job.person_stops[i]),
            "Settle this first.",
        )
    draw = class_fit.draw_of(one)
    assert one.strength_lb is not None
    hand = f"{one.hand}-handed"
    most = math.floor(one.strength_lb * 10.0) / 10.0
    needs = (
        f"a {hand} bow of at most {most:g} lb at {draw:.2f} in true draw, drawn-to limit at least "
        f"{draw:.2f} in true draw"
    )
    fitting = [b for p, b in job.weight if p == i]
    if fitting:
        names = ", ".join(job.weighed[b].bow.name for b in fitting)
        users = [
            job.people[int(job.options.person[k])].name
            for k in taken
            if int(job.options.bow[k]) in fitting
        ]
        count = "The only bow that may be lent" if len(fitting) == 1 else (
            f"All {len(fitting)} bows that may be lent"
        )  # fmt: skip
        verb = "is" if len(fitting) == 1 else "are"
        turns = "the one turn" if job.turns == 1 else f"all {job.turns} turns"
        return (
            f"{count} to {one.name} ({names}) {verb} with {', '.join(users)} in {turns}.",
            f"{needs}, or one more turn at {names}",
        )
    reasons = Counter(
        _REASONS.get(job.pair_stops[i, b].code, "something else forbids it")
        for b in range(len(job.weighed))
    )
    told = "; ".join(f"{count}: {reason}" for reason, count in reasons.most_common())
    return (f"None of the {len(job.weighed)} bows may be lent to {one.name} ({told}).", needs)


_REASONS = {
    "hand": "built for the other hand",
    "draw-beyond-limit": "made for a shorter draw",
    "class-too-strong": "heavier than this person holds steadily",
    "class-weight-unread": "weight not read at this draw",
    "class-bow-unread": "no draw weight recorded",
    "limit-unknown": "drawn-to limit not recorded",
    "class-bow-model": "its records do not hold together",
}


def _without(job: _Work, taken: np.ndarray) -> list[Without]:
    served = {int(job.options.person[k]) for k in taken}
    return [
        Without(one.name, "bow", *_why_no_bow(job, i, taken))
        for i, one in enumerate(job.people)
        if i not in served
    ]


def _bow_orders(job: _Work, taken: np.ndarray) -> list[str]:
    """Bows to make or buy: the needs of those without one that more turns do not help."""
    served = {int(job.options.person[k]) for k in taken}
    said = []
    for i in range(len(job.people)):
        if i in served or i in job.person_stops:
            continue
        _, needs = _why_no_bow(job, i, taken)
        said.append(f"For {job.people[i].name}: {needs.split(', or one more turn')[0]}.")
    return said


_NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
)  # fmt: skip


def _counted(count: int) -> str:
    return _NUMBERS[count] if count < len(_NUMBERS) else str(count)


def _orders(job: _Work, taken: np.ndarray, tell: Progress) -> tuple[list[Order], list[Without]]:
    """Shafts to make or buy for those who hold a bow without arrows."""
    asked: list[tuple[int, int]] = [
        (int(job.options.person[k]), int(job.options.bow[k]))
        for k in taken
        if int(job.options.lot[k]) == NO_LOT
    ]
    count = job.each + math.ceil(job.each * job.loss / 100.0 - 1e-9)
    made: list[Order] = []
    bare: list[Without] = []
    for turn, (i, b) in enumerate(asked):
        one, weighed = job.people[i], job.weighed[b]
        length = class_fit.shaft_length_in(one)
        why = _why_no_arrows(job, i, b)
        # Draws of a half inch share their response; the longer draw is the stronger one.
        draw = math.ceil(class_fit.draw_of(one) * 2.0 - 1e-9) / 2.0
        draw = min(draw, weighed.limit_in)
        kind = Kind(float(math.ceil(length - 1e-9)), None)
        curve = job.response.curves(weighed.bow, *_group(one), draw, [kind])[kind]
        tell("what is short", (turn + 1) / len(asked))
        if curve is None or curve.share.max() <= 0.0:
            bare.append(
                Without(one.name, "arrows", why,
                        f"No spine comes out clean from {weighed.bow.name} at this draw as far as "
                        "it can be reckoned: look at the bow's plate and the match of one pair.")
            )  # fmt: skip
            continue
        best = float(curve.share.max())
        stretch = forecast.range_over(curve.spine, curve.share, SHARE_OF_BEST * best)
        assert stretch is not None
        scale = job.weight[i, b] / curve.weight_lb
        point = _point_gr(weighed.bow)
        made.append(
            Order(
                count,
                round(stretch[0] * scale, 1),
                round(stretch[1] * scale, 1),
                length,
                point,
                (f"{one.name} with {weighed.bow.name}",),
                "",
            )
        )
        bare.append(Without(one.name, "arrows", why, _order_text(made[-1])))
    return _merged(made), bare


def _point_gr(bow: Bow) -> float:
    """The point the response was shot with, which is the usual one for the bow's weight."""
    from loosewell.workshop.wish import PURPOSES, _usual_point_gr

    heaviest = max(r.weight_lb for r in bow.draw_readings)
    return min(PURPOSES["target"].point_weight_gr, _usual_point_gr(heaviest))


def _why_no_arrows(job: _Work, i: int, b: int) -> str:
    one, bow = job.people[i], job.weighed[b].bow
    least = stops.minimum_length_in(one.archer())
    whole = [lot for lot in job.lots if len(lot.pieces) >= job.each]
    long = [n for n, lot in enumerate(job.lots) if lot in whole and lot.length_in >= least - 1e-9]
    matched = [n for n in long if (i, b, n) in job.fits]
    if not whole:
        return f"No lot holds {job.each} arrows that may be shot."
    if not long:
        longest = max(lot.length_in for lot in whole)
        return (
            f"Every lot of {job.each} is too short for {one.name}, who needs at least {least:.2f} "
            f"in from nock throat to back of point; the longest is {longest:.2f} in."
        )
    if not matched:
        return f"No lot of the length needed matches {bow.name} at the draw of {one.name}."
    return f"The lots that would do ({', '.join(job.lots[n].code for n in matched)}) are given out."


def _merged(orders: Sequence[Order]) -> list[Order]:
    """Orders of about one length whose ranges overlap, made one; each shaft then serves both."""
    groups: list[Order] = []
    for one in sorted(orders, key=lambda o: (o.point_gr, o.length_in, o.spine_low_26in_2lb_lb)):
        for k, group in enumerate(groups):
            low = max(group.spine_low_26in_2lb_lb, one.spine_low_26in_2lb_lb)
            high = min(group.spine_high_26in_2lb_lb, one.spine_high_26in_2lb_lb)
            if (
                group.point_gr == one.point_gr
                and one.length_in - group.length_in <= ALIKE_IN + 1e-9
                and high - low >= OVERLAP_LB
            ):
                groups[k] = Order(
                    group.count + one.count, low, high, max(group.length_in, one.length_in),
                    one.point_gr, group.people + one.people, "",
                )  # fmt: skip
                break
        else:
            groups.append(one)
    return [replace(one, text=_order_text(one)) for one in groups]


def _order_text(order: Order) -> str:
    low, high = order.spine_low_26in_2lb_lb, order.spine_high_26in_2lb_lb
    return (
        f"{_counted(order.count)} shafts of {low:.0f} to {high:.0f} lb (26 in span, 2 lb; "
        f"{LATER_INCH_POUNDS / high:.2f} to {LATER_INCH_POUNDS / low:.2f} in at 28 in span, "
        f"1.94 lb), {order.length_in:g} in from nock throat to back of point, "
        f"{order.point_gr:g} gr point, for {', '.join(order.people)}"
    )


# ---- in reserve


def _reserve(
    job: _Work,
    problem: class_solver.Class,
    lines: Sequence[Line],
    tell: Progress,
) -> Reserve | None:
    """What happens when the two bows break that would be missed most."""
    worst = class_solver.worst_losses(
        problem, seconds=RESERVE_SECONDS, tell=lambda part: tell("if two bows break", part)
    )
    if worst is None:
        return None
    # What was reckoned in a hurry may serve fewer than the plan itself does.
    served = sum(1 for one in lines if one.arrows)
    worst = replace(worst, served_before=max(worst.served_before, served))
    names = tuple(job.weighed[b].bow.name for b in worst.bows)
    held = {
        one.person.casefold(): Holding(
            person=one.person, bow=one.bow, turn=one.turn, arrows=one.arrows
        )
        for one in lines
    }
    again = replace(job, held=held)
    again.options = _options(again).without(worst.bows)
    then = class_solver.choose(again.problem, seconds=RESERVE_SECONDS)
    after, _ = _lines(again, then.taken)
    still = {one.person for one in after}
    without = tuple(one.person for one in lines if one.person not in still)
    lost = worst.served_before - worst.served
    count = f"{worst.served} of {worst.served_before} people keep a bow and arrows"
    text = (
        f"If {names[0]} and {names[1]} break, {count}"
        + (f": {_counted(lost)} would stand by" if lost else "; nobody would stand by")
        + f". No other two bows leave fewer ({worst.pairs} pairs; the rest are bounded)."
    )
    if not worst.proven:
        text = (
            f"Of the pairs of bows looked at in {RESERVE_SECONDS:g} s, {names[0]} and {names[1]} "
            f"would be missed most: {count}. Not all {worst.pairs} pairs were looked at, so two "
            "others may be missed more."
        )
    return Reserve(
        names,
        worst.served_before,
        worst.served,
        worst.proven,
        worst.alike,
        worst.pairs,
        worst.looked,
        tuple(_changes(again, after)),
        without,
        text,
    )


def _named(shaft: Shaft, left_out: Sequence[tuple[str, str]], arrows: Sequence[Arrow]) -> bool:
    """Whether a shaft that failed belongs to what this class would have shot."""
    names = {name.casefold() for name, _ in left_out}
    if shaft.name.casefold() in names:
        return True
    return any(
        one.shaft.casefold() == shaft.name.casefold() and one.name.casefold() in names
        for one in arrows
    )


def missing_from(roster: ClassRoster, bows: Sequence[Bow]) -> list[str]:
    """Bows the class names that are not in use in the workshop any more."""
    here = {one.name.casefold() for one in bows}
    return [name for name in roster.bows if name.casefold() not in here]


__all__ = [
    "ARROWS_EACH",
    "LOSS_PERCENT",
    "OBJECTIVE",
    "Line",
    "Order",
    "Plan",
    "Reserve",
    "SpareLot",
    "Wish",
    "Without",
    "missing_from",
    "plan",
    "swap",
]
