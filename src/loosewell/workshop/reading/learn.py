"""What outings taught of a bow and of an archer: told, carried on, forgotten, set aside.

Every reading of an outing tells what it added to what was assumed, as a factor that is kept with
the answer. A later match or reading multiplies the factors of all other outings of its bow and
its archer: of the same pair as they are, of another bow or archer only the part both share.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from loosewell import units
from loosewell.chance import carried
from loosewell.chance.carried import Carried
from loosewell.chance.priors import Uncertain
from loosewell.records import Archer, Bow, Outing
from loosewell.workshop.bridge import Assumed

if TYPE_CHECKING:
    from loosewell.workshop.keep import Answered, Workshop
    from loosewell.workshop.reading.weigh import Reading

OF_BOW = (
    "force_scale",
    "force_bulge",
    "virtual_mass",
    "limb_mass",
    "string_hold",
    "nock_serving",
    "plate_offset",
    "plate_stiffness",
    "plate_relaxation",
)
OF_ARCHER = ("draw", "loose_push", "loose_travel", "loose_rise", "cant")
"""Inputs that stay with a bow and with an archer from day to day. Brace height and nocking point
are those of the day, the feathers those of the arrow: of these nothing is carried on."""

NEW_STRING = 1.0
"""How much a new string may have changed, over the square of the assumed spread: as much as one
bow of this make differs from another. Modelling choice."""
NEW_BRACE = 0.25
"""The same for another brace height: half the assumed spread. Modelling choice."""
SAME_BRACE_IN = 0.125


@dataclass(frozen=True)
class Changed:
    """Fields of a record which, told otherwise than before, loosen what was learned."""

    what: str
    fields: tuple[str, ...]
    keys: tuple[str, ...]
    variance: float


_BOW_CHANGES = (
    Changed("string", ("string_material", "string_mass_gr"),
            ("string_hold", "nock_serving", "virtual_mass"), NEW_STRING),
    Changed("brace height", ("brace_height_in",), ("string_hold", "virtual_mass"), NEW_BRACE),
    Changed("strike plate", ("plate_material", "shelf_material"),
            ("plate_stiffness", "plate_relaxation"), carried.SURE),
    Changed("plate offset", ("plate_offset_in",), ("plate_offset",), carried.SURE),
    Changed("draw weight", ("draw_readings", "draw_measured"), ("force_scale", "force_bulge"),
            carried.SURE),
    Changed("make or length", ("make", "length_in"), OF_BOW, NEW_STRING),
)  # fmt: skip
_ARCHER_CHANGES = (
    Changed("draw", ("draw_length_in", "draw_measured"), ("draw",), carried.SURE),
    Changed("loose", ("hook", "loose"), ("loose_push", "loose_travel", "loose_rise"), carried.SURE),
    Changed("cant", ("cant_deg",), ("cant",), carried.SURE),
)


@dataclass(frozen=True)
class Unit:
    """How an input is told: the factor from SI, the unit, and the digits."""

    name: str
    scale: float
    unit: str
    digits: int


NAMES = {
    "force_scale": Unit("Draw weight", 100.0, "% of its readings", 0),
    "force_bulge": Unit("Bulge of the draw curve", 1.0, "over the usual", 2),
    "virtual_mass": Unit("Virtual mass of losses", 1e3, "g", 1),
    "limb_mass": Unit("Mass of the limbs as if at the tips", 1e3, "g", 0),
    "string_hold": Unit("Firmness of the string sideways", 1.0, "times its pull over its way", 1),
    "nock_serving": Unit("String that goes sideways with the nock", 1 / units.GRAIN, "gr", 0),
    "plate_offset": Unit("Plate offset from the string plane", 1.0 / units.INCH, "in", 2),
    "plate_stiffness": Unit("Give of the strike plate", 1e-3, "N/mm", 0),
    "plate_relaxation": Unit("How much of a slap the plate swallows", 1e3, "ms", 2),
    "draw": Unit("Draw length", 1.0 / units.INCH, "in true draw", 2),
    "loose_push": Unit("Sideways push of the fingers", 1e3, "mm", 1),
    "loose_travel": Unit("Travel in which the fingers push", 1e3, "mm", 0),
    "loose_rise": Unit("Upward push of the fingers", 1e3, "mm", 1),
    "cant": Unit("Cant of the bow", 180.0 / math.pi, "deg toward the string hand", 0),
}


def said(one: Uncertain) -> tuple[str, str]:
    """An input's middle and its standard error in words, with the unit."""
    unit = NAMES[one.key]
    size = abs(one.middle) if one.key == "loose_push" else one.middle
    error = abs(one.middle) * one.spread if one.kind == "log" else one.spread
    # An error is told to one digit more where it would else read as none.
    digits = unit.digits if error * unit.scale >= 0.95 * 10.0**-unit.digits else unit.digits + 1
    return f"{size * unit.scale:.{digits}f} {unit.unit}", f"±{error * unit.scale:.{digits}f}"


@dataclass(frozen=True)
class Learned:
    """What earlier outings taught of one bow and one archer, ready to start from."""

    factor: Carried
    outings: tuple[str, ...]
    last: datetime.date
    forgotten: tuple[str, ...] = ()
    """What went back toward the assumed since, in sentences."""

    def words(self) -> str:
        """Where it comes from."""
        count = len(self.outings)
        many = "1 outing" if count == 1 else f"{count} outings"
        return f"learned from {many}, the last on {self.last.isoformat()}"

    def told(
        self,
        notes: Sequence[Assumed],
        assumed: Sequence[Uncertain],
        now: Sequence[Uncertain],
    ) -> tuple[Assumed, ...]:
        """The notes on inputs with what was learned in place of what was assumed."""
        before = {one.key: one for one in assumed}
        after = {one.key: one for one in now}
        found = []
        for note in notes:
            key = note.key
            if key not in NAMES or key not in after or after[key] == before[key]:
                found.append(note)
                continue
            value, error = said(after[key])
            source = f"{self.words()}; {'assumed' if note.assumed else 'measured'} before: "
            source += f"{note.value}, {note.error}"
            # The name tells what the figure is of: here the string's own mass is not in it.
            name = NAMES[key].name
            told = replace(note, name=name, value=value, error=f"{error}, {source}", assumed=False)
            found.append(told)
        return tuple(found)

    def plain(self) -> dict[str, Any]:
        """Ready for JSON."""
        return {
            **self.factor.plain(),
            "outings": list(self.outings),
            "last": self.last.isoformat(),
            "forgotten": list(self.forgotten),
        }


def from_plain(told: dict[str, Any] | None) -> Learned | None:
    """What ``plain`` told."""
    if told is None:
        return None
    return Learned(
        carried.from_plain(told),
        tuple(told["outings"]),
        datetime.date.fromisoformat(told["last"]),
        tuple(told["forgotten"]),
    )


# From one reading ------------------------------------------------------------------------------


def taught(reading: Reading) -> dict[str, Any] | None:
    """What one reading added to what was assumed, ready to be kept; None where it added nothing.

    Parameters
    ----------
    reading : Reading
        Trusted and explained, or nothing is learned of it.

    Returns
    -------
    told : dict or None
        The factor, and the state of bow and archer it holds for.
    """
    if not (reading.explained and reading.weighed.trusted):
        return None
    job = reading.setting.job
    keys = [
        i
        for i, one in enumerate(job.assumed)
        if one.key in (*OF_BOW, *OF_ARCHER) and one.spread > 0.0
    ]
    weight = reading.weighed.weight
    tied = reading.worlds.z if job.start is None else job.start.turned(reading.worlds.z)
    own = tied[:, keys]
    mean = weight @ own
    away = own - mean
    spread = (away * weight[:, None]).T @ away
    before = np.eye(len(keys))
    if job.start is not None:
        ties = np.eye(len(job.assumed))
        at = np.ix_(job.start.places, job.start.places)
        ties[at] = job.start.root @ job.start.root.T
        before = ties[np.ix_(keys, keys)]
    precision, pull = carried.from_moments(mean, spread, before, reading.weighed.size)
    if not precision.any():
        return None
    now = tuple(job.shared[i] for i in keys)
    factor = carried.moved(Carried(now, precision, pull), [job.assumed[i] for i in keys])
    return {
        **factor.plain(),
        "on": reading.outing.on.isoformat(),
        "shots": len(reading.outing.shots),
        "bow": _state(job.bow_record, _BOW_CHANGES),
        "archer": _state(job.archer, _ARCHER_CHANGES),
    }


def _state(record: Bow | Archer, changes: Sequence[Changed]) -> dict[str, Any]:
    """The fields of a record that what was learned depends on."""
    plain = record.model_dump(mode="json")
    return {field: plain[field] for one in changes for field in one.fields}


# For the next one ------------------------------------------------------------------------------


def _loosened(
    factor: Carried, was: dict[str, Any], record: Bow | Archer, changes: Sequence[Changed]
) -> tuple[Carried, list[str]]:
    """The factor after what changed on a record since, and what that was."""
    now = _state(record, changes)
    found = []
    for one in changes:
        if any(_differs(field, was.get(field), now[field]) for field in one.fields):
            factor = carried.loosened(factor, one.keys, one.variance)
            found.append(one.what)
    return factor, found


def _differs(field: str, was: Any, now: Any) -> bool:
    """Whether a field was told otherwise; what was unknown and became known is no change."""
    if was is None or now is None or was == []:
        return False
    if field == "brace_height_in":
        return abs(float(now) - float(was)) > SAME_BRACE_IN + 1e-9
    return bool(was != now)


def _stale(workshop: Workshop, answered: Answered, names: dict[int, tuple[str, int]]) -> bool:
    """Whether the outing was corrected after it was read: then it teaches only when read again."""
    name, version = names[answered.outing_id]
    if version == answered.outing_version:
        return False
    for one in workshop.history("outing", name):
        if one.version <= answered.outing_version or not one.what.startswith("changed "):
            continue
        if "is now called" in one.what:
            continue
        fields = set(one.what.removeprefix("changed ").split(", "))
        if fields - {"name", "remarks", "invented"}:
            return True
    return False


@dataclass(frozen=True)
class Lesson:
    """One outing that teaches something, and the answer that tells it."""

    answered: Answered
    outing: Outing
    factor: Carried


def lessons(workshop: Workshop) -> list[Lesson]:
    """The outings of a workshop that teach, each once, the oldest answer first.

    The last answer of an outing counts; none of a retired or corrected outing; of two records of
    the very same shots only the first; what was set aside is left out.
    """
    names: dict[int, tuple[str, int]] = {}
    records: dict[int, Outing] = {}
    for kept in workshop.list("outing"):
        assert isinstance(kept.record, Outing)
        number = workshop.number_of("outing", kept.record.name)
        names[number] = (kept.record.name, kept.version)
        records[number] = kept.record
    last: dict[int, Answered] = {}
    for one in workshop.answers():
        if one.outing_id in names:
            last[one.outing_id] = one
    asides = workshop.asides()
    found, seen = [], set()
    for one in sorted(last.values(), key=lambda each: each.number):
        if one.learned is None or _stale(workshop, one, names):
            continue
        outing = records[one.outing_id]
        shown = (one.bow_id, one.archer_id, outing.on, outing.distance_yd, outing.shots)
        if shown in seen:
            continue
        seen.add(shown)
        factor = carried.from_plain(one.learned)
        for aside in asides:
            if one.number > aside.last_answer_id:
                continue
            if aside.bow_id in (None, one.bow_id) and aside.archer_id in (None, one.archer_id):
                gone = OF_BOW if aside.archer_id is None else OF_ARCHER
                both = aside.bow_id is not None and aside.archer_id is not None
                factor = carried.without(factor, (*OF_BOW, *OF_ARCHER) if both else gone)
        if factor.inputs:
            found.append(Lesson(one, outing, factor))
    return found


def gather(
    workshop: Workshop, bow: Bow, archer: Archer, leave_out: str | None = None
) -> Learned | None:
    """What all outings but one taught of a bow and an archer.

    Parameters
    ----------
    workshop : Workshop
        With the answers.
    bow, archer : Bow, Archer
        As they stand now, or stood on the day of an outing.
    leave_out : str or None
        Name of the outing that is about to be read: it never teaches itself.

    Returns
    -------
    learned : Learned or None
        None where nothing was learned of either.
    """
    bow_id = workshop.number_of("bow", bow.name)
    archer_id = workshop.number_of("archer", archer.name)
    left = None if leave_out is None else workshop.get("outing", leave_out).record
    pairs: dict[tuple[int, int], list[Carried]] = {}
    outings, days, forgotten = [], [], []
    for one in lessons(workshop):
        pair = (one.answered.bow_id, one.answered.archer_id)
        if bow_id != pair[0] and archer_id != pair[1]:
            continue
        if isinstance(left, Outing) and _same_shots(left, one.outing):
            continue
        factor, told = one.factor, one.answered.learned
        changed: list[str] = []
        if pair[0] == bow_id:
            factor, changed = _loosened(factor, told["bow"], bow, _BOW_CHANGES)
            forgotten += [_back(what, f"of {bow.name}", one.outing) for what in changed]
        if pair[1] == archer_id:
            factor, changed = _loosened(factor, told["archer"], archer, _ARCHER_CHANGES)
            forgotten += [_back(what, f"of {archer.name}", one.outing) for what in changed]
        pairs.setdefault(pair, []).append(factor)
        outings.append(one.outing.name)
        days.append(one.outing.on)
    shared = []
    for pair, factors in pairs.items():
        whole = carried.together(factors)
        # The other half of another pair is integrated out after all its outings were joined.
        if pair[0] != bow_id:
            whole = carried.without(whole, OF_BOW)
        if pair[1] != archer_id:
            whole = carried.without(whole, OF_ARCHER)
        shared.append(whole)
    if not shared:
        return None
    factor = carried.together(shared)
    if not factor.inputs or not factor.precision.any():
        return None
    return Learned(factor, tuple(outings), max(days), tuple(dict.fromkeys(forgotten)))


def _same_shots(one: Outing, other: Outing) -> bool:
    """Whether two outings are the same one, under whatever names."""
    return one.name == other.name or (one.bow, one.archer, one.on, one.distance_yd, one.shots) == (
        other.bow, other.archer, other.on, other.distance_yd, other.shots
    )  # fmt: skip


def _back(what: str, whose: str, outing: Outing) -> str:
    return (
        f"The {what} {whose} changed since {outing.name} ({outing.on.isoformat()}): what was "
        "learned there and hangs on it went back toward what is assumed."
    )
