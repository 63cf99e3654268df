"""Reading an outing: its records, the arrows as the engine takes them, the answer, the file.

Read once and kept as it was given; replayed from the records as they stood.
"""

from __future__ import annotations

import datetime
import math
import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from loosewell import units
from loosewell.errors import ContradictionRefusal, NotFoundRefusal
from loosewell.records import Archer, Arrow, Bow, Fletching, Jig, Outing, Shaft
from loosewell.workshop import bridge, stops
from loosewell.workshop.answer import Notice
from loosewell.workshop.keep import Answered, Kind, Workshop
from loosewell.workshop.reading import learn, said
from loosewell.workshop.reading.answer import (
    SEED,
    CauseTold,
    ChangeTold,
    InputTold,
    ReadAnswer,
    StepTold,
    TestTold,
    from_plain,
)
from loosewell.workshop.reading.went import difference, went_wrong

Progress = Callable[[str, float], None]

PLAIN_ERROR = 0.25
"""Relative error of the stiffness of a shaft nobody told: archers take one near the draw weight.
Modelling choice, no source."""
MOST_ARROWS = 2
"""Arrows of each kind, bare and fletched, that are reckoned each for itself."""
BARE_CAUTION = (
    "Bare wooden shafts break when they strike sideways: from 5 to 10 yd at first, into a soft "
    "butt, with nobody near it and everybody behind the line."
)


@dataclass(frozen=True)
class Material:
    """The records an outing is read with."""

    outing: Outing
    version: int
    bow: Bow
    archer: Archer
    shafts: tuple[Shaft, ...]
    arrows: tuple[Arrow, ...]
    jigs: tuple[Jig, ...]
    learned: learn.Learned | None
    previous: ReadAnswer | None
    """The last answer to the outing before this one, of the same bow and archer."""
    states: dict[str, Any]


def gather(workshop: Workshop, name: str) -> Material:
    """The records of an outing as they stand, and what other outings taught.

    Parameters
    ----------
    workshop : Workshop
        Open.
    name : str
        Of the outing.

    Returns
    -------
    material : Material
        Ready to be read.

    Raises
    ------
    Refusal
        For an outing that is unknown or retired.
    """
    kept = workshop.get("outing", name)
    outing = kept.record
    assert isinstance(outing, Outing)
    if kept.retired:
        raise ContradictionRefusal(
            f"The outing {outing.name} is retired and is not read. Restore it first: loosewell "
            f"outing restore '{outing.name}', or show an answer it had with --again.",
            code="retired",
        )
    bow, archer = workshop.get("bow", outing.bow), workshop.get("archer", outing.archer)
    found: dict[str, list[Any]] = {}
    states: dict[str, Any] = {
        "outing": [workshop.number_of("outing", outing.name), kept.version],
        "bow": [workshop.number_of("bow", outing.bow), bow.version],
        "archer": [workshop.number_of("archer", outing.archer), archer.version],
    }
    kinds: tuple[Kind, ...] = ("shaft", "arrow", "jig")
    for kind in kinds:
        rows = workshop.list(kind)
        found[kind] = [one.record for one in rows]
        states[kind] = [[workshop.number_of(kind, one.record.name), one.version] for one in rows]
    assert isinstance(bow.record, Bow)
    assert isinstance(archer.record, Archer)
    learned = learn.gather(workshop, _of_the_day(bow.record, outing), archer.record, outing.name)
    return Material(
        outing, kept.version, bow.record, archer.record, tuple(found["shaft"]),
        tuple(found["arrow"]), tuple(found["jig"]), learned, _before(workshop, outing), states,
    )  # fmt: skip


def _before(workshop: Workshop, outing: Outing) -> ReadAnswer | None:
    """The last answer to the outing before, of the same bow and archer."""
    same = []
    for kept in workshop.list("outing"):
        one = kept.record
        assert isinstance(one, Outing)
        if (one.bow, one.archer) == (outing.bow, outing.archer):
            same.append((one.on, workshop.number_of("outing", one.name), one.name))
    same.sort()
    place = next(i for i, one in enumerate(same) if one[2] == outing.name)
    for _, _, name in reversed(same[:place]):
        answered = workshop.answers(name)
        return from_plain(answered[-1].answer) if answered else None
    return None


def recorded(workshop: Workshop, answered: Answered) -> Material:
    """The records an answer was given from, as they stood then."""
    told = from_plain(answered.answer)
    states = told.replay["states"]

    def one(kind: Kind) -> Any:
        return workshop.state(kind, *states[kind])

    def many(kind: Kind) -> tuple[Any, ...]:
        return tuple(workshop.state(kind, *each) for each in states[kind])

    before = told.replay["previous"]
    return Material(
        one("outing"), told.version, one("bow"), one("archer"), many("shaft"), many("arrow"),
        many("jig"), learn.from_plain(told.replay["started_from"]),
        None if before is None else from_plain(before), states,
    )  # fmt: skip


def _of_the_day(bow: Bow, outing: Outing) -> Bow:
    """The bow as it was strung that day."""
    day: dict[str, float] = {}
    if outing.brace_height_in is not None:
        day["brace_height_in"] = outing.brace_height_in
    if outing.nocking_height_in is not None:
        day["nocking_height_in"] = outing.nocking_height_in
    return bow.model_copy(update=day)


def read(
    material: Material,
    seed: int = SEED,
    progress: Progress | None = None,
    today: datetime.date | None = None,
) -> tuple[ReadAnswer, dict[str, Any] | None]:
    """The answer to an outing, and what was learned by it.

    Parameters
    ----------
    material : Material
        The records.
    seed : int
        The same seed gives the same answer.
    progress : callable, optional
        Called with a word and the fraction done.
    today : date, optional
        For the age of a child's draw.

    Returns
    -------
    answer : ReadAnswer
        With stops first; after one nothing is reckoned.
    learned : dict or None
        Ready to be kept.

    Raises
    ------
    Refusal
        For records from which nothing can be worked out.
    """
    from importlib.metadata import version

    from loosewell.workshop.session import silent
    from loosewell.workshop.wish import wish_of

    started = time.perf_counter()
    tell = progress or silent
    outing, archer = material.outing, material.archer
    bow = _of_the_day(material.bow, outing)
    today = today or datetime.datetime.now(datetime.UTC).astimezone().date()
    loose = bridge.loose_model(archer)
    draw = next(one for one in loose.inputs if one.key == "draw")
    draw_in = draw.middle / units.INCH
    if not bow.draw_readings:
        bridge.bow_model(bow, draw_in)  # refuses in a sentence
    named = _named(material)
    told = ReadAnswer(
        outing.name, material.version, bow.name, archer.name, archer.hand, outing.on.isoformat(),
        outing.distance_yd, outing.invented or bow.invented or archer.invented,
        len(outing.shots),
        stops=tuple(_stops(material, bow, draw_in, named)),
        warnings=tuple(_warnings(material, bow, draw_in, draw.spread / units.INCH, named, today)),
        cautions=tuple(_cautions(material, named)),
        seen=tuple(said.seen_words(outing)),
        not_looked_at=tuple(said.not_looked_at(outing)),
        difference_in=difference(outing),
        engine=f"loosewell {version('loosewell')}",
        seed=seed,
        replay={
            "states": material.states,
            "started_from": None if material.learned is None else material.learned.plain(),
            "previous": None if material.previous is None else _without_past(material.previous),
        },
    )  # fmt: skip
    if told.stops:
        return replace(
            told,
            verdict="Nothing was reckoned: settle the stop first.",
            step=StepTold("stop", told.stops[0].text, "", 0.0, None),
            seconds=round(time.perf_counter() - started, 2),
        ), None
    main = next((one for one in named.values() if isinstance(one, Arrow)), None)
    wish = wish_of(
        bow, archer, "target", outing.distance_yd,
        None if main is None else main.point_weight_gr,
        None if main is None else main.length_in, None, None,
        outing.temperature_f, None, outing.wind_left_fps, seed,
    )  # fmt: skip
    from loosewell.workshop.session import Session

    job = Session(
        bow, archer, material.shafts, material.arrows, wish, loose, draw_in, tell,
        material.jigs, material.learned,
    )  # fmt: skip
    return _reckoned(told, job, material, named, tell, started)


def _without_past(answer: ReadAnswer) -> dict[str, Any]:
    """An answer for comparing only: without its own past, or each would hold all before it."""
    return replace(answer, picture=None, replay={}).plain()


def _reckoned(
    told: ReadAnswer,
    job: Any,
    material: Material,
    named: dict[str, Arrow | Shaft | None],
    tell: Progress,
    started: float,
) -> tuple[ReadAnswer, dict[str, Any] | None]:
    """The engine's part of the answer."""
    from loosewell.workshop.reading import step as steps
    from loosewell.workshop.reading import weigh
    from loosewell.workshop.reading.view import view
    from loosewell.workshop.reading.worlds import Setting

    outing = material.outing
    labelled, cases, taken = _cases(job, outing, named)
    setting = Setting(job, cases)
    reading = weigh.weigh(setting, labelled, told.seed, tell)
    wrong = went_wrong(material.previous, outing)
    step = steps.next_step(reading, tell, wrong)
    tell("changes", 0.95)
    changes = _changes(reading, step.tried)
    causes = tuple(
        CauseTold(one.key, one.words, round(100.0 * one.chance, 1), round(100.0 * one.before, 1))
        for one in reading.causes
    )
    learned = learn.taught(reading)
    tests = tuple(
        TestTold(one.key, one.words, round(one.information, 4), one.shots) for one in step.tests
    )
    verdict, alike = said.verdict_words(causes, reading, told.shots)
    mine = material.learned
    tell("done", 1.0)
    answer = replace(
        told,
        causes=causes,
        verdict=verdict,
        alike=alike,
        step=StepTold(
            step.kind, step.words, step.expect, round(100.0 * step.clean_now, 1),
            None if step.clean_then is None else round(100.0 * step.clean_then, 1),
        ),
        cannot_tell="" if reading.confident else said.cannot_tell(tests, step.kind),
        changes=tuple(changes),
        tests=tests,
        inputs=tuple(_inputs(reading)),
        reasons=(*taken, *_reasons(reading)),
        went_wrong=wrong,
        point_gr=round(cases[0].parts.point_mass / units.GRAIN, 1),
        started_from=() if mine is None else (said.sentence(mine.words()), *mine.forgotten),
        learned=tuple(said.learned_words(job, learned)),
        confident=reading.confident,
        picture=view(replace(reading, outing=outing)),
        launches=job.launches,
        seconds=round(time.perf_counter() - started, 2),
    )  # fmt: skip
    return answer, learned


def _key(name: str) -> str:
    return " ".join(name.split()).casefold()


def _named(material: Material) -> dict[str, Arrow | Shaft | None]:
    """Every name an arrow goes by in the outing, and the record behind it, the most shot first.

    The empty name stands for shots of which it was not told.
    """
    shots = material.outing.shots
    counts = Counter(_key(one.arrow or material.outing.arrow or "") for one in shots)
    arrows = {_key(one.name): one for one in material.arrows}
    shafts = {_key(one.name): one for one in material.shafts}
    return {name: arrows.get(name) or shafts.get(name) for name, _ in counts.most_common()}


def _shaft_of(material: Material, record: Arrow | Shaft | None) -> Shaft | None:
    if isinstance(record, Arrow):
        return next((one for one in material.shafts if one.name == record.shaft), None)
    return record


def _cases(
    job: Any, outing: Outing, named: dict[str, Arrow | Shaft | None]
) -> tuple[Outing, list[Any], list[str]]:
    """The arrows as the engine takes them, the shots told by them, and what was taken in words."""
    chosen: dict[bool, list[str]] = {False: [], True: []}
    counts = Counter((one.bare, _key(one.arrow or outing.arrow or "")) for one in outing.shots)
    for (bare, name), _ in counts.most_common():
        if len(chosen[bare]) < MOST_ARROWS:
            chosen[bare].append(name)
    cases, words, said = [], [], set()
    # The fletched ones first: changes are judged by them.
    for bare in (False, True):
        for name in chosen[bare]:
            case, text = _case(job, name, named[name], bare)
            cases.append(case)
            if name not in said:
                said.add(name)
                words.append(text)
        left = [name for (other, name), _ in counts.items() if other == bare]
        left = [name for name in left if name not in chosen[bare]]
        if left:
            kind = "bare" if bare else "fletched"
            words.append(
                f"{len(left)} more {kind} arrows are taken to be like {chosen[bare][0] or 'these'}:"
                " shots of many arrows tell their own differences in the groups above."
            )
    shots = []
    for one in outing.shots:
        name = _key(one.arrow or outing.arrow or "")
        label = name if name in chosen[one.bare] else chosen[one.bare][0]
        shots.append(one.model_copy(update={"arrow": label}))
    return outing.model_copy(update={"shots": tuple(shots)}), cases, words


def _case(job: Any, name: str, record: Arrow | Shaft | None, bare: bool) -> tuple[Any, str]:
    """One arrow as the engine takes it, and in words what was taken."""
    from loosewell.physics import spine as physics
    from loosewell.workshop.reading.worlds import Case

    none = Fletching(material="none")
    length_in, part = job.length_in, bridge.parts(job.point_gr, none if bare else job.fletching)
    shaft_name = None
    if isinstance(record, Arrow):
        shaft_name = record.shaft
        length_in = record.length_in if record.length_in is not None else length_in
        own = record.fletching or job.fletching
        if own.material == "none":
            own = job.fletching
        part = bridge.parts(
            record.point_weight_gr if record.point_weight_gr is not None else job.point_gr,
            none if bare else own,
            record.point_kind or job.plan.point_kind,
            record.nock_kind,
            record.nock_weight_gr,
        )
        part = bridge.fitted(part, record)
    elif isinstance(record, Shaft):
        shaft_name = record.name
    place = next((i for i, one in enumerate(job.shafts) if one.name == shaft_name), None)
    point = part.point_mass / units.GRAIN
    built = f"{length_in:.2f} in from nock throat to back of point, {point:.0f} gr point"
    if isinstance(record, Shaft):
        built += " (its build is assumed)"
    if place is not None and job.spines[place] is not None:
        shaft = job.shafts[place]
        if shaft.length_in is not None:
            length_in = min(length_in, shaft.length_in)
        profile = job.profile(place)
        text = f"{record.name}: {job.spines[place].spine_text()}, {built}."  # type: ignore[union-attr]
        return Case(name, bare, profile, length_in * units.INCH, part), text
    profile = bridge.uniform_profile(
        physics.stiffness_from_spine_pounds(job.weight_lb),
        job.mass_per_inch * units.GRAIN / units.INCH,
        11.0 / 32.0 * units.INCH,
        (length_in + 1.0) * units.INCH,
    )
    profile = replace(profile, stiffness_error=PLAIN_ERROR, mass_error=job.mass_spread)
    why = "No arrow was named"
    if record is not None:
        why = f"{record.name} was never bent on a bench"
    elif name:
        why = f"No arrow and no shaft is called '{name}' here"
    text = (
        f"{why}, so a plain shaft of {job.weight_lb:.0f} lb ± {PLAIN_ERROR * job.weight_lb:.0f} lb "
        f"(26 in span, 2 lb) is taken, {built}. A bench reading of it would narrow this answer."
    )
    return Case(name, bare, profile, length_in * units.INCH, part), text


def _stops(
    material: Material, bow: Bow, draw_in: float, named: dict[str, Arrow | Shaft | None]
) -> list[Notice]:
    """Reasons not to shoot any of this again before something is settled."""
    found: list[Notice] = []
    for record in named.values():
        length = record.length_in if isinstance(record, Arrow) else None
        shaft = _shaft_of(material, record)
        if length is None and shaft is not None and shaft.length_in is not None:
            # A shaft shorter than the least is too short however it is built.
            short = shaft.length_in < stops.minimum_length_in(material.archer)
            length = shaft.length_in if short else None
        found += stops.stops(bow, material.archer, draw_in, length)
        unfit = None if shaft is None else stops.unfit(shaft)
        if unfit is not None:
            found.append(unfit)
    return list({one.text: one for one in found}.values())


def _warnings(
    material: Material,
    bow: Bow,
    draw_in: float,
    error_in: float,
    named: dict[str, Arrow | Shaft | None],
    today: datetime.date,
) -> list[Notice]:
    found = []
    for record in named.values():
        shaft = _shaft_of(material, record)
        why = None if shaft is None else stops.not_looked_over(shaft)
        if shaft is not None and why is not None:
            found.append(Notice("not-inspected", f"Shaft {shaft.name}: {why}."))
    if any(record is None for record in named.values()):
        found.append(
            Notice(
                "arrow-unknown",
                "Of an arrow nobody has told the length and the state cannot be checked here: look "
                "it over, and hold it against the draw before it is shot again. It must reach past "
                f"the back of the bow at full draw: at least "
                f"{stops.minimum_length_in(material.archer):.2f} in from the nock throat to the "
                f"back of the point for {material.archer.name}.",
            )
        )
    found += stops.warnings(bow, material.archer, draw_in, error_in, today)
    return found


def _cautions(material: Material, named: dict[str, Arrow | Shaft | None]) -> list[Notice]:
    shafts = [_shaft_of(material, one) for one in named.values()]
    found = []
    if any(one.bare for one in material.outing.shots):
        found.append(Notice("bare-shafts", BARE_CAUTION))
    materials = [None if one is None else one.material for one in shafts]
    usual = stops.cautions(material.archer, "target", materials)
    told = {one.code for one in found}
    return [*found, *(one for one in usual if one.code not in told)]


def _changes(reading: Any, tried: Sequence[Any]) -> list[ChangeTold]:
    """Every change tried, and how it would move bare shafts against fletched ones."""
    setting, kept = reading.setting, reading.kept
    bare = next((one for one in setting.cases if one.bare), None)
    fletched = next((one for one in setting.cases if not one.bare), None)
    pair = None
    if bare is not None:
        from loosewell.workshop.reading.weigh import other_way

        pair = (bare, fletched or other_way(bare))

    # Half of the worlds tell a median well enough, and the person waits half as long.
    some = {key: one[::2] for key, one in kept.values.items()}

    def apart(change: Any) -> tuple[Any, Any, Any]:
        sides = []
        for case in pair:  # type: ignore[union-attr]
            values, moved = (some, case) if change is None else change(some, case)
            sides.append(setting.shoot(values, moved, "changes"))
        one, other = sides
        return (
            one.hit_left - other.hit_left, one.hit_high - other.hit_high, one.good & other.good
        )  # fmt: skip

    still = None if pair is None else apart(None)
    found = []
    for one in tried:
        moves: list[float | None] = [None] * 4
        reversible = bool(one.option.undone) and not one.option.key.startswith("shaft")
        if still is not None and reversible:
            then = apart(one.option.apply)
            both = then[2] & still[2]
            if both.any():
                for k in (0, 1):
                    move = (then[k] - still[k])[both] / units.INCH
                    moves[k] = round(float(np.median(move)), 2)
                    low, high = np.quantile(move, (0.16, 0.84))
                    moves[2 + k] = round(0.5 * float(high - low), 2)
        found.append(
            ChangeTold(
                one.option.key, one.option.words, round(100.0 * one.clean, 1),
                round(100.0 * one.gain, 1), *moves,
            )
        )  # fmt: skip
    return found


def _inputs(reading: Any) -> list[InputTold]:
    """Inputs with their part in the doubt about the first cause, the largest first.

    The part is the squared correlation, over the worlds kept, of the input with whether the first
    cause holds; so few worlds give none below about 2 %.
    """
    from loosewell.workshop.reading import faults, step

    setting, kept = reading.setting, reading.kept
    job = setting.job
    which = step.classes(setting, kept)
    top = reading.causes[0].key
    head, _, sign = top.partition(" ") if top[-2:] in (" +", " -") else (top, "", "")
    if top[-2:] in (" +", " -"):
        head, sign = top[:-2], top[-1]
    tackle = {"none": 0, "stiff": 1, "weak": 2}
    if head in tackle:
        number = tackle[head]
    else:
        place = next(k for k, one in enumerate(faults.FAULTS) if one.key == head)
        number = 3 + 2 * place + (1 if sign == "-" else 0)
    holds = (which == number).astype(np.float64)
    notes = {one.key: one for one in [*job.bow.notes, *job.loose.notes]}
    found = []
    for i, one in enumerate(setting.unknown):
        share = 0.0
        if holds.std() > 0.0 and one.spread > 0.0:
            share = float(np.corrcoef(holds, kept.z[:, i])[0, 1]) ** 2
        if one.key == "own_stiffness":
            row = ("Stiffness of the shaft", "see the arrows", "as told there", False)
        elif one.key in notes:
            note = notes[one.key]
            row = (note.name, note.value, note.error, note.assumed)
        else:
            continue
        found.append(InputTold(*row, round(100.0 * share, 1)))
    return sorted(found, key=lambda one: -one.share_of_doubt_percent)


def _reasons(reading: Any) -> list[str]:
    """What the answer rests on beside the inputs."""
    from loosewell.workshop.reading import worlds

    weighed = reading.weighed
    job = reading.setting.job
    off_in = worlds.MODEL_HIT * job.distance / units.INCH
    return [
        (
            f"The engine itself may be off by {off_in:.1f} in at {job.distance_yd:g} yd where a "
            f"bare arrow lands, by {math.degrees(worlds.MODEL_STAND):.1f} deg in how it stands, "
            f"and by {100.0 * worlds.MODEL_SHARE:.0f} % of what it says; a fletched one by half "
            "(modelling choices)."
        ),
        f"Weather: {job.weather}" if job.weather else "Ordinary air is taken.",
        (
            f"{len(reading.worlds)} possible states of bow, archer, arrow and faults were shot in "
            f"the engine; as good as {weighed.size:.0f} of them explain these shots (tail shape "
            f"{weighed.tail_shape:.2f}; up to 0.7 may be trusted)."
        ),
    ]


def read_and_keep(
    workshop: Workshop, name: str, seed: int = SEED, progress: Progress | None = None
) -> tuple[ReadAnswer, Answered]:
    """The answer to an outing, kept in the file as it was given."""
    material = gather(workshop, name)
    answer, learned = read(material, seed, progress)
    kept = workshop.keep_answer(name, answer.engine, seed, answer.plain(), learned)
    return answer, kept


def again(workshop: Workshop, name: str, which: int) -> tuple[ReadAnswer, Answered]:
    """An answer an outing had, as it was given; they are counted from 1, the oldest first."""
    answered = workshop.answers(name)
    if not 1 <= which <= len(answered):
        have = {0: "none yet", 1: "one answer"}.get(len(answered), f"{len(answered)} answers")
        raise NotFoundRefusal(
            f"The outing {name} has {have}, and answer {which} was asked for. List them with: "
            f"loosewell read '{name}' --list.",
            code="no-such-answer",
        )
    return from_plain(answered[which - 1].answer), answered[which - 1]


def replayed(
    workshop: Workshop, name: str, which: int, progress: Progress | None = None
) -> tuple[ReadAnswer, list[str]]:
    """An old answer reckoned again from the records as they stood; and where it differs now.

    Nothing is kept: the old answer stays as it was given.
    """
    old, answered = again(workshop, name, which)
    new, _ = read(recorded(workshop, answered), answered.seed, progress,
                  answered.at.astimezone().date())  # fmt: skip
    was, now = old.plain(), new.plain()
    free = ("seconds", "engine")
    return new, [key for key in was if key not in free and was[key] != now[key]]
