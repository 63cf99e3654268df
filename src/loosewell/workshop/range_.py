"""A range on paper: zones from rules that a person typed, and the farthest reach beside them.

No rule is chosen and nothing is judged: where rules disagree, all of them are drawn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from loosewell.errors import BoundRefusal, MissingRefusal
from loosewell.records import RangeRule
from loosewell.workshop.answer import Band

MOST_LANES, FARTHEST_YD = 60, 200.0


@dataclass(frozen=True)
class Zone:
    """What one rule asks for, as it is drawn."""

    what: str
    text: str
    source: str
    on: str
    figure_yd: float | None
    from_shooting_line_yd: float | None
    """Where it lies down the range; None for a width or for words alone."""
    at_yd: float | None
    counted_from: str


@dataclass(frozen=True)
class Range:
    """A range as it was typed, with every rule and the farthest reach."""

    name: str
    target_yd: float
    lanes: int
    lane_width_yd: float
    zones: list[Zone]
    side_edges: list[tuple[str, list[tuple[float, float]]]]
    """For each source its side zone: (yards down the range, yards beyond the outermost lane)."""
    disagreements: list[str]
    reach_yd: Band | None
    longest_yd: float | None
    reach_of: str | None
    reach_sentences: list[str]
    blanks: list[str]
    said: list[str]
    invented: bool = False
    missing: list[str] = field(default_factory=list)


BLANKS = (
    "Responsible person",
    "Signed, and the day",
    "Signal to stop shooting",
    "First aid, and who gives it",
    "Paths, houses and slopes looked at",
)
SAID = (
    "Drawn to scale from what was typed; no rule was chosen, none was checked against the ground.",
    "A reach is reckoned over flat ground: a slope down, a hard ground or a wind carry farther.",
    "What an arrow strikes may throw it aside.",
    "Nobody shoots until the responsible person named here has walked the ground.",
)


def lay_out(
    name: str,
    rules: Sequence[RangeRule],
    *,
    target_yd: float,
    lanes: int,
    lane_width_yd: float,
    reach_yd: Band | None = None,
    longest_yd: float | None = None,
    reach_of: str | None = None,
) -> Range:
    """The range with every rule in its place.

    Parameters
    ----------
    name : str
        Of the class or the place.
    rules : sequence of RangeRule
        As typed, each with its source and day.
    target_yd : float
        Shooting line to target line.
    lanes : int
        Lanes side by side.
    lane_width_yd : float
        Width of one lane.
    reach_yd, longest_yd, reach_of : Band, float, str, optional
        Farthest carry over all angles, the longest of all worlds reckoned, and of which bow,
        person and arrow.

    Returns
    -------
    range : Range
        Every rule, and where two of one kind disagree a sentence that says so.

    Raises
    ------
    BoundRefusal
        For a distance or a number of lanes that no range has.
    """
    if not 3.0 <= target_yd <= FARTHEST_YD:
        raise BoundRefusal(
            f"A target line at {target_yd:g} yd is outside 3 to {FARTHEST_YD:g} yd. Give the "
            "distance from the shooting line to the targets.",
            code="range-distance",
        )
    if not 1 <= lanes <= MOST_LANES:
        raise BoundRefusal(
            f"{lanes} lanes were asked for; 1 to {MOST_LANES} are drawn. Count the targets side by "
            "side.",
            code="range-lanes",
        )
    if not 0.5 <= lane_width_yd <= 30.0:
        raise BoundRefusal(
            f"A lane of {lane_width_yd:g} yd is outside 0.5 to 30 yd. Give the width from one "
            "target's middle to the next.",
            code="range-lane-width",
        )
    zones = [_zone(one, target_yd) for one in rules]
    missing = [
        f"no rule about {what}"
        for what in ("overshoot", "side", "stop")
        if all(one.what != what for one in rules)
    ]
    reach = _reach_sentences(zones, reach_yd, longest_yd, reach_of)
    return Range(
        name,
        target_yd,
        lanes,
        lane_width_yd,
        zones,
        _sides(rules),
        _disagreements(zones),
        reach_yd,
        longest_yd,
        reach_of,
        reach,
        list(BLANKS),
        list(SAID),
        missing=missing,
    )


def _zone(one: RangeRule, target_yd: float) -> Zone:
    place = None
    if one.figure_yd is not None and one.what in ("overshoot", "stop"):
        place = one.figure_yd + (target_yd if one.counted_from == "target line" else 0.0)
    if one.figure_yd is not None and one.what == "waiting line":
        place = -one.figure_yd
    return Zone(
        one.what,
        one.text,
        one.source,
        one.on.isoformat(),
        one.figure_yd,
        place,
        one.at_yd,
        one.counted_from,
    )


def _sides(rules: Sequence[RangeRule]) -> list[tuple[str, list[tuple[float, float]]]]:
    """For each source the edge of its side zone, straight between the places it names."""
    found: dict[str, list[tuple[float, float]]] = {}
    for one in rules:
        if one.what == "side" and one.figure_yd is not None:
            places = found.setdefault(one.source, [])
            places.append((0.0 if one.at_yd is None else one.at_yd, one.figure_yd))
    return [(source, sorted(places)) for source, places in found.items()]


def _disagreements(zones: Sequence[Zone]) -> list[str]:
    """A sentence for each kind of rule of which two ask for different figures."""
    said = []
    for what in ("overshoot", "stop", "waiting line", "lane", "side"):
        asked: dict[float, list[tuple[float, str]]] = {}
        for one in zones:
            figure = one.figure_yd if one.from_shooting_line_yd is None else abs(
                one.from_shooting_line_yd
            )  # fmt: skip
            if one.what == what and figure is not None:
                asked.setdefault(one.at_yd or 0.0, []).append((figure, one.source))
        for place, some in sorted(asked.items()):
            if len({round(figure, 3) for figure, _ in some}) > 1:
                where = "" if what != "side" else f" at {place:g} yd"
                told = "; ".join(f"{figure:g} yd by {source}" for figure, source in some)
                said.append(
                    f"The rules about {what}{where} disagree: {told}. None is chosen here: the "
                    "responsible person does."
                )
    return said


def _reach_sentences(
    zones: Sequence[Zone], reach: Band | None, longest: float | None, of: str | None
) -> list[str]:
    """The reach beside each overshoot line, as lengths and nothing more."""
    if reach is None or longest is None:
        return ["How far an arrow carries was not reckoned: name a bow and an archer."]
    said = [
        (
            f"{of}: farthest carry at the worst angle {reach.middle:.0f} yd ({reach.low:.0f} to "
            f"{reach.high:.0f} yd, eight of ten), the longest of all reckoned {longest:.0f} yd."
        )
    ]
    for one in zones:
        if one.what != "overshoot" or one.from_shooting_line_yd is None:
            continue
        line = one.from_shooting_line_yd
        more = longest - line
        said.append(
            f"The overshoot line of {one.source} lies at {line:.0f} yd: the longest carry reaches "
            + (f"{more:.0f} yd beyond it." if more > 0.0 else f"{-more:.0f} yd short of it.")
        )
    return said


def of_kind(rules: Sequence[RangeRule], what: str) -> list[RangeRule]:
    """The rules of one kind, the oldest first."""
    return sorted((one for one in rules if one.what == what), key=lambda one: one.on)


def lane_width(rules: Sequence[RangeRule], typed: float | None) -> float:
    """The width of a lane as typed; rules are shown and never taken in its place."""
    if typed is None:
        raise MissingRefusal(
            "The width of a lane was not given. Say how far one target's middle is from the next: "
            '--lane-width "3 yd". '
            + "".join(
                f"{one.source} ({one.on.isoformat()}) says: {one.text}. "
                for one in of_kind(rules, "lane")
            ),
            code="missing-lane-width",
        )
    return typed
