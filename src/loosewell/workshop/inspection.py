"""Fit to shoot: what to look for on this shaft, what was found, and who must look again when.

Nothing here decides that a shaft is sound. A person looks; the record says who
looked, when, and what was found. The lists and the rules are common practice,
no source.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

from loosewell.errors import ContradictionRefusal, MissingRefusal
from loosewell.records.shaft import Check, CheckWhat, Finding, Inspection, Shaft

if TYPE_CHECKING:
    from loosewell.records.arrow import Arrow
    from loosewell.workshop.keep import Version, Workshop

WHAT: tuple[str, ...] = (
    *("run-out", "straightness", "knots", "cracks", "dents"),
    *("nock", "point", "fletching", "binding", "joint"),
)
"""Everything that may be looked at, in the order of the hand along the shaft."""

USUAL_AGE_DAYS = 180
"""A season: how old an inspection may grow when nothing else is said. [days]
A modelling choice; common practice only says "after a season"."""

AGAIN_AFTER = (
    "a hard strike: wood, stone, metal, frozen ground, another arrow",
    "a miss, before the arrow is shot again",
    "a season, shot or not",
    "a time in the damp or in great heat",
    "any repair, and after building an arrow on a bare shaft",
    "lending it out",
)
"""When any shaft is looked over again. Common practice, no source."""

BREAK_IT = (
    "A crack, a splinter, a lifted grain, a crease or a crushed place in wood; a nick, a crack, a "
    "crease or a bend in a tube: the shaft is broken in two on the spot, so that nobody else "
    "shoots it. A loose point, a split nock, a torn feather or a slack binding is mended and "
    "looked at anew."
)
"""What ends a shaft and what is mended. Common practice, no source."""


@dataclass(frozen=True)
class Look:
    """One thing to look at on this shaft: what a fault is, and how to find it."""

    what: str
    look_for: str
    how: str


@dataclass(frozen=True)
class Seen:
    """An inspection as it was recorded, with the version of the shaft that first held it."""

    inspection: Inspection
    version: int
    recorded_at: datetime.datetime


@dataclass(frozen=True)
class Due:
    """A shaft that somebody must look over, and why."""

    shaft: str
    state: str
    why: str
    on: datetime.date | None
    by: str | None
    arrow: str | None


_WOOD = ("solid", "shoot", "cane", "joined", None)


def checklist(shaft: Shaft, arrow: Arrow | None = None) -> list[Look]:
    """What must be looked at on this shaft before it is shot.

    Parameters
    ----------
    shaft : Shaft
        As recorded; a kind that is not known is looked at like solid wood and like a tube.
    arrow : Arrow, optional
        The arrow built on it; None is a bare shaft.

    Returns
    -------
    looks : list of Look
        In the order of the hand along the shaft.

    Source
    ------
    Common practice, no source; run-out of 1 in 15 to 1 in 20 from the trade, from memory.
    """
    kind = shaft.kind
    looks = []
    if kind in ("solid", "joined", None):
        looks.append(
            Look(
                "run-out",
                "long grain lines that leave the side of the shaft, steeper than 1 in 15 to 1 in "
                "20 (across over along; trade, from memory), or any that starts at a knot",
                "follow the lines by eye all round in slanting light, then draw a fingernail along "
                "both ways: where it catches one way only, the grain runs out there",
            )
        )
    looks.append(
        Look(
            "straightness",
            "a bend or a kink; a kink in wood is often a crushed place",
            "sight along it from the nock end while turning it, or roll it on a flat table",
        )
    )
    if kind in ("solid", "shoot", "joined", None):
        looks.append(
            Look(
                "knots",
                "knots, pins and the stumps of side shoots, worst in the front third and near the "
                "nock; a dead or loose one is a fault",
                "by eye all round, then feel for a step or a hole",
            )
        )
    if kind == "cane":
        looks.append(
            Look(
                "knots",
                "nodes scraped too deep, split or soft",
                "press a fingernail in at every node, and bend it gently there",
            )
        )
    looks.append(_cracks(kind))
    looks.append(
        Look(
            "dents",
            "crushed, flattened or nicked places, where the edge of the shelf, a stone or another "
            "arrow struck" + ("; a tube that is no longer round" if kind in ("tube", None) else ""),
            "roll it between the fingers from end to end and feel for a flat or a step",
        )
    )
    looks += _of_arrow(arrow)
    if shaft.joints or shaft.sections:
        looks.append(
            Look(
                "joint",
                "play, a lifted or cracked glue line, a split sleeve, thread that is worn",
                "twist and rock the parts against each other, look along every glue line; take a "
                "joint apart that is made for it, and look inside",
            )
        )
    return looks


def _cracks(kind: str | None) -> Look:
    wood = (
        "hold it in gloves at both ends, away from the face and with eyes protected, bend it a "
        "little four ways round and listen: a tick is a fault"
    )
    tube = (
        "look in bright light and feel for splinters with a cloth, not with the bare hand; in "
        "gloves, away from the face and with eyes protected, bend and twist it a little and "
        "listen: a tick is a fault. Carbon breaks into long splinters"
    )
    if kind == "tube":
        return Look("cracks", "cracks, splits and splinters, most of all behind the point", tube)
    how = wood if kind is not None else f"{wood}. If it is a tube: {tube}"
    return Look(
        "cracks",
        "cracks and lifted grain, most of all behind the point, at the nock and beside any knot",
        how,
    )


def _of_arrow(arrow: Arrow | None) -> list[Look]:
    if arrow is None:
        return []
    selfnock = arrow.nock_kind in ("self", "reinforced self")
    looks = [
        Look(
            "nock",
            "a split, a worn or widened slot, a nock that turns or is loose or stands crooked",
            "spread it gently with the thumbnails and look down into the slot in good light; twist "
            "a fitted nock; hang it on the string: it holds, and a tap frees it",
        ),
        Look(
            "point",
            "a loose, bent or crooked point; a split or a bulge in the shaft behind it",
            "pull and twist it, and spin the arrow on its point",
        ),
    ]
    if arrow.fletching is None or arrow.fletching.material != "none":
        looks.append(
            Look(
                "fletching",
                "a feather or vane that lifts, above all a front quill end that can run into the "
                "hand; worn so far that it no longer steers",
                "stroke it from the front to the rear with a gloved finger, and try each end",
            )
        )
    if selfnock:
        looks.append(
            Look(
                "binding",
                "thread or sinew below the self nock that is slack, cut or missing; without it the "
                "string splits the shaft",
                "push at it with a fingernail all round",
            )
        )
    return looks


def inspected(
    shaft: Shaft,
    arrow: Arrow | None,
    findings: Mapping[str, tuple[str, str | None]],
    *,
    by: str,
    on: datetime.date,
    note: str | None = None,
) -> Inspection:
    """An inspection from what a person found; the result follows from the findings.

    Parameters
    ----------
    shaft, arrow : Shaft, Arrow or None
        What was looked at.
    findings : mapping of str to (str, str or None)
        Of each thing: fine, fault or not looked at, and a note.
    by : str
        Who looked.
    on : date
        The day.
    note : str, optional
        Anything else; asked for when a shaft that failed is to pass again.

    Returns
    -------
    inspection : Inspection
        Failed with any fault, incomplete with anything not looked at, else passed.

    Raises
    ------
    Refusal
        When something of the checklist was left out and nothing is a fault, when a later
        inspection is on record, or when a failed shaft is to pass without a word why.
    """
    checks = tuple(
        Check(
            what=cast(CheckWhat, what),
            finding=cast(Finding, findings[what][0]),
            note=findings[what][1],
        )
        for what in WHAT
        if what in findings
    )
    found = {one.finding for one in checks}
    must = [one.what for one in checklist(shaft, arrow)]
    left = [what for what in must if what not in findings]
    # A fault ends it: nobody goes on looking at a shaft that is to be broken.
    if left and "fault" not in found:
        raise MissingRefusal(
            f"The inspection of shaft {shaft.name} does not say what was found in: "
            f"{', '.join(left)}. Look at it and say "
            f"{' and '.join(f'--{what} fine' for what in left[:2])}"
            f"{' and so on' if len(left) > 2 else ''}, or say 'not looked at', which does not "
            "pass.",
            code="checks-missing",
        )
    before = shaft.inspection
    if before is not None and on < before.on:
        raise ContradictionRefusal(
            f"Shaft {shaft.name} was inspected on {before.on.isoformat()} already "
            f"({before.result}), and {on.isoformat()} lies before that. What is recorded last is "
            "what counts: give the day of this inspection, or look it over again today.",
            code="inspection-earlier",
        )
    result = "failed" if "fault" in found else "passed"
    if result == "passed" and "not looked at" in found:
        result = "incomplete"
    if before is not None and before.result == "failed" and result != "failed" and not note:
        raise MissingRefusal(
            f"Shaft {shaft.name} failed on {before.on.isoformat()}{_why(before)}. Say with --note "
            "what was done to it since; cracked wood is not mended but broken.",
            code="missing-repair",
        )
    return Inspection.model_validate(
        {"result": result, "on": on, "by": by, "note": note, "checks": checks}
    )


def _why(seen: Inspection) -> str:
    faults = [
        one.what if one.note is None else f"{one.what}: {one.note}"
        for one in seen.checks
        if one.finding == "fault"
    ]
    faults += [seen.note.rstrip(" .")] if seen.note else []
    return f" ({'; '.join(faults)})" if faults else ""


def record(workshop: Workshop, shaft: Shaft, seen: Inspection, version: int) -> int:
    """The version under which the inspection was kept; the one before stays in the history."""
    kept = workshop.change("shaft", shaft.name, if_version=version, inspection=seen)
    return kept.version


def past(versions: Sequence[Version]) -> list[Seen]:
    """Every inspection a shaft ever had, the oldest first, nothing left out.

    Parameters
    ----------
    versions : sequence of Version
        The history of the shaft, the oldest first.

    Returns
    -------
    seen : list of Seen
        One entry for each state; a change of what was recorded is an entry of its own.
    """
    found: list[Seen] = []
    last: Inspection | None = None
    for version in versions:
        assert isinstance(version.record, Shaft)
        seen = version.record.inspection
        if seen is not None and seen != last:
            found.append(Seen(seen, version.version, version.at))
        last = seen
    return found


def due(
    shafts: Sequence[Shaft],
    arrows: Sequence[Arrow],
    today: datetime.date,
    older_than_days: float = USUAL_AGE_DAYS,
) -> list[Due]:
    """Shafts that somebody must look over, or that must not be shot.

    Parameters
    ----------
    shafts, arrows : sequences of Shaft and Arrow
        Those in use.
    today : date
        The day it is.
    older_than_days : float
        How old an inspection may be.

    Returns
    -------
    due : list of Due
        The failed first, then the never inspected, the unfinished, the outgrown and the old.
    """
    order = ("failed", "never inspected", "not finished", "built on since", "due again")
    built = {one.shaft: one for one in arrows}
    found = []
    for shaft in shafts:
        seen, arrow = shaft.inspection, built.get(shaft.name)
        named = None if arrow is None else arrow.name
        if seen is None:
            found.append(Due(shaft.name, order[1], "nobody looked it over", None, None, named))
            continue
        must = [one.what for one in checklist(shaft, arrow)]
        told = {one.what for one in seen.checks}
        age = (today - seen.on).days
        state, why = "", ""
        if seen.result == "failed":
            state, why = order[0], f"do not shoot it: failed{_why(seen)}; break it, or mend it"
        elif seen.result == "incomplete":
            missed = [one.what for one in seen.checks if one.finding == "not looked at"]
            state, why = order[2], f"not looked at: {', '.join(missed) or 'not said what'}"
        elif seen.checks and any(what not in told for what in must):
            left = [what for what in must if what not in told]
            state, why = order[3], f"now also to be looked at: {', '.join(left)}"
        elif age > older_than_days:
            state, why = order[4], f"looked over {age} days ago, more than {older_than_days:g}"
        if state:
            found.append(Due(shaft.name, state, why, seen.on, seen.by, named))
    return sorted(found, key=lambda one: order.index(one.state))
