"""One question to the engine, asked of the records in a workshop file."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from loosewell.errors import ContradictionRefusal
from loosewell.workshop.answer import MatchAnswer
from loosewell.workshop.keep import Kept, Kind, Workshop

Progress = Callable[[str, float], None]
Engine = Callable[..., MatchAnswer]


@dataclass(frozen=True)
class Question:
    """Which bow, which archer, and what is wished of the arrow."""

    bow: str
    archer: str
    purpose: str = "target"
    distance_yd: float = 20.0
    point_weight_gr: float | None = None
    length_in: float | None = None


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
        place = str(workshop.path.resolve())
    versions = [(type(k.record).__name__, k.record.name, k.version) for k in (bow, archer)]
    versions += [("shaft", k.record.name, k.version) for k in shafts]
    versions += [("arrow", k.record.name, k.version) for k in arrows]
    wish = (
        question.purpose,
        question.distance_yd,
        question.point_weight_gr,
        question.length_in,
    )
    key = hashlib.sha256(repr((place, wish, versions)).encode()).hexdigest()[:24]
    return Gathered(
        question,
        bow.record,
        archer.record,
        tuple(k.record for k in shafts),
        tuple(k.record for k in arrows),
        key,
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
    return engine(
        gathered.bow,
        gathered.archer,
        gathered.shafts,
        arrows=gathered.arrows,
        purpose=question.purpose,
        distance_yd=question.distance_yd,
        point_weight_gr=question.point_weight_gr,
        length_in=question.length_in,
        progress=progress,
    )
