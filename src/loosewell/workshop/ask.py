"""One question to the engine, asked of the records in a workshop file."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from loosewell.errors import ContradictionRefusal
from loosewell.records import Archer, Bow
from loosewell.workshop.answer import LaunchPicture, MatchAnswer
from loosewell.workshop.keep import Kept, Kind, Workshop
from loosewell.workshop.reading import learn

Progress = Callable[[str, float], None]
Engine = Callable[..., MatchAnswer]
Launcher = Callable[..., LaunchPicture]


@dataclass(frozen=True)
class Question:
    """Which bow, which archer, what is wished of the arrow, and the weather of the day.

    What is None was not said: the purpose's own distance and point, the shortest length,
    and ordinary air are taken, and the answer says so.
    """

    bow: str
    archer: str
    purpose: str = "target"
    distance_yd: float | None = None
    point_weight_gr: float | None = None
    length_in: float | None = None
    temperature_f: float | None = None
    altitude_ft: float | None = None
    wind_left_fps: float | None = None


@dataclass(frozen=True)
class Gathered:
    """The records a question is about, as they stood when they were read.

    ``key`` changes whenever the question or any record it reads does, so that an
    answer kept under it is never an answer to something else.
    """

    question: Question
    bow: Any
    archer: Any
    shafts: tuple[Any, ...]
    arrows: tuple[Any, ...]
    key: str
    jigs: tuple[Any, ...] = ()
    learned: Any = None
    """What outings taught of this bow and this archer, or None."""


def _in_use(workshop: Workshop, kind: Kind, name: str) -> Kept:
    kept = workshop.get(kind, name)
    if kept.retired:
        raise ContradictionRefusal(
            f"The {kind} {kept.record.name} is retired and is not matched. Restore it first, or "
            f"choose another {kind}.",
            code="retired",
        )
    return kept


def gather(path: Path | None, question: Question) -> Gathered:
    """The records a question is about.

    Parameters
    ----------
    path : Path or None
        The workshop file; None is the one in the person's data folder. [path]
    question : Question
        The question. [trade units]

    Returns
    -------
    gathered : Gathered
        Bow, archer, all shafts and arrows in use, and the key of the question. [object]

    Holds
    -----
    Raises a refusal when bow or archer is unknown or retired.
    """
    with Workshop.open(path, create=path is None) as workshop:
        bow = _in_use(workshop, "bow", question.bow)
        archer = _in_use(workshop, "archer", question.archer)
        shafts = workshop.list("shaft")
        arrows = workshop.list("arrow")
        jigs = workshop.list("jig") + workshop.list("jig", retired=True)
        assert isinstance(bow.record, Bow)
        assert isinstance(archer.record, Archer)
        learned = learn.gather(workshop, bow.record, archer.record)
        place = str(workshop.path.resolve())
    versions = [(type(k.record).__name__, k.record.name, k.version) for k in (bow, archer)]
    versions += [("shaft", k.record.name, k.version) for k in shafts]
    versions += [("arrow", k.record.name, k.version) for k in arrows]
    versions += [("jig", k.record.name, k.version) for k in jigs]
    taught = None if learned is None else learned.plain()
    key = hashlib.sha256(repr((place, question, versions, taught)).encode()).hexdigest()[:24]
    return Gathered(
        question,
        bow.record,
        archer.record,
        tuple(k.record for k in shafts),
        tuple(k.record for k in arrows),
        key,
        tuple(k.record for k in jigs),
        learned,
    )


def answer(
    gathered: Gathered, progress: Progress | None = None, engine: Engine | None = None
) -> MatchAnswer:
    """The engine's answer to a question.

    Parameters
    ----------
    gathered : Gathered
        The records. [object]
    progress : callable, optional
        Told a stage in words and the share done. [text, 1]
    engine : callable, optional
        Stands in for the match itself, for tests. [function]

    Returns
    -------
    answer : MatchAnswer
        Everything there is to say. [trade units]
    """
    if engine is None:
        from loosewell.workshop.match import match

        engine = match
    question = gathered.question
    # Named only where there is something, so that a stand-in needs no word for it.
    taught = {} if gathered.learned is None else {"learned": gathered.learned}
    return engine(
        gathered.bow,
        gathered.archer,
        gathered.shafts,
        arrows=gathered.arrows,
        jigs=gathered.jigs,
        purpose=question.purpose,
        distance_yd=question.distance_yd,
        point_weight_gr=question.point_weight_gr,
        length_in=question.length_in,
        temperature_f=question.temperature_f,
        altitude_ft=question.altitude_ft,
        wind_left_fps=question.wind_left_fps,
        progress=progress,
        **taught,
    )


def picture(gathered: Gathered, spine_lb: float, launcher: Launcher | None = None) -> LaunchPicture:
    """The launch of one plain shaft of a wished spine, quick enough for a slider.

    Parameters
    ----------
    gathered : Gathered
        The records, with the point and the length wished. [object]
    spine_lb : float
        Spine of the shaft over 26 in under 2 lb. [lb]
    launcher : callable, optional
        Stands in for the engine, for tests. [function]

    Returns
    -------
    picture : LaunchPicture
        One shot by the middle of everything known. [trade units]

    Holds
    -----
    Raises a refusal for a pair that must not shoot, or an arrow the engine cannot follow.
    """
    if launcher is None:
        from loosewell.workshop.match import picture_only

        launcher = picture_only
    question = gathered.question
    return launcher(
        gathered.bow,
        gathered.archer,
        gathered.shafts,
        spine_lb=spine_lb,
        point_weight_gr=question.point_weight_gr,
        length_in=question.length_in,
        purpose=question.purpose,
        distance_yd=question.distance_yd,
    )
