"""What is known by shooting of each pair of bow and archer, in words."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from loosewell import units
from loosewell.chance import carried
from loosewell.chance.priors import Uncertain
from loosewell.errors import Refusal
from loosewell.records import Archer, Bow
from loosewell.workshop import bridge
from loosewell.workshop.keep import Workshop
from loosewell.workshop.reading import learn

LEAST_CHANGE = 0.02
"""Relative change of an error, or shift in errors, below which an input is not told."""


@dataclass(frozen=True)
class Known:
    """What was learned of one pair."""

    bow: str
    archer: str
    source: str
    outings: tuple[str, ...]
    last: str
    lines: tuple[str, ...]
    forgotten: tuple[str, ...]

    def plain(self) -> dict[str, Any]:
        """Ready for JSON."""
        return asdict(self)


def known(workshop: Workshop, bow: str | None = None, archer: str | None = None) -> list[Known]:
    """What a match would start from, for every pair that an outing taught something of.

    Parameters
    ----------
    workshop : Workshop
        Open.
    bow, archer : str or None
        Only of these, where given.

    Returns
    -------
    pairs : list of Known
        In the order in which they first taught; with both names given that one pair, also where
        each was learned of with somebody else.
    """
    if bow is not None:
        bow = workshop.get("bow", bow).record.name
    if archer is not None:
        archer = workshop.get("archer", archer).record.name
    pairs = [(one.outing.bow, one.outing.archer) for one in learn.lessons(workshop)]
    if bow is not None and archer is not None:
        pairs = [(bow, archer)]
    found = []
    for pair in dict.fromkeys(pairs):
        if bow not in (None, pair[0]) or archer not in (None, pair[1]):
            continue
        one, other = workshop.get("bow", pair[0]).record, workshop.get("archer", pair[1]).record
        assert isinstance(one, Bow)
        assert isinstance(other, Archer)
        told = _told(workshop, one, other)
        if told is not None:
            found.append(told)
    return found


def _told(workshop: Workshop, bow: Bow, archer: Archer) -> Known | None:
    learned = learn.gather(workshop, bow, archer)
    if learned is None:
        return None
    try:
        assumed = assumed_inputs(bow, archer)
    except Refusal as refusal:
        lines: tuple[str, ...] = (f"Cannot be told in figures now: {refusal.message}",)
    else:
        lines = tuple(_line(was, now) for was, now in _moved(assumed, learned))
    return Known(
        bow.name, archer.name, learned.words(), learned.outings, learned.last.isoformat(), lines,
        learned.forgotten,
    )  # fmt: skip


def assumed_inputs(bow: Bow, archer: Archer) -> list[Uncertain]:
    """The inputs of a pair before anything was learned."""
    loose = bridge.loose_model(archer)
    draw = next(one for one in loose.inputs if one.key == "draw")
    return [*bridge.bow_model(bow, draw.middle / units.INCH).inputs, *loose.inputs]


def _moved(assumed: list[Uncertain], learned: learn.Learned) -> list[tuple[Uncertain, Uncertain]]:
    """Inputs that were told otherwise, before and after, the most changed first."""
    after = carried.start(assumed, learned.factor).inputs
    rows = []
    for was, now in zip(assumed, after, strict=True):
        if was.key not in learn.NAMES or was.spread <= 0.0:
            continue
        shift = abs(carried.place(now) - carried.place(was)) / was.spread
        size = max(shift, 1.0 - now.spread / was.spread)
        if size >= LEAST_CHANGE:
            rows.append((size, was, now))
    return [(was, now) for _, was, now in sorted(rows, key=lambda row: -row[0])]


def _line(was: Uncertain, now: Uncertain) -> str:
    old, new = learn.said(was), learn.said(now)
    name = learn.NAMES[was.key].name
    return f"{name}: {new[0]}, {new[1]} (without the shots: {old[0]}, {old[1]})"


def set_aside(workshop: Workshop) -> list[str]:
    """Everything that was set aside, in sentences."""
    names: dict[str, dict[int, str]] = {"bow": {}, "archer": {}}
    for kind, found in names.items():
        for retired in (False, True):
            for one in workshop.list(kind, retired):  # type: ignore[arg-type]
                found[workshop.number_of(kind, one.record.name)] = one.record.name  # type: ignore[arg-type]
    lines = []
    for aside in workshop.asides():
        whose = []
        if aside.bow_id is not None:
            whose.append(names["bow"][aside.bow_id])
        if aside.archer_id is not None:
            whose.append(names["archer"][aside.archer_id])
        lines.append(
            f"Set aside on {aside.at:%Y-%m-%d}: what had been learned of {' and '.join(whose)} "
            f"({aside.why})."
        )
    return lines
