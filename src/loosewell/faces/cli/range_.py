"""Command range: lanes, lines and zones from typed rules, and the farthest reach beside them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from loosewell import units
from loosewell.errors import EngineRefusal, MissingRefusal
from loosewell.faces.cli.common import JsonOption, WorkshopOption, open_workshop, print_json


def register(app: typer.Typer) -> None:
    """The command range, hung into the app."""
    app.command("range")(range_)


def range_(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Name of the place or the class.")],
    distance: Annotated[
        str, typer.Option("--distance", metavar="YD", help="Shooting line to targets: 20 yd.")
    ],
    lanes: Annotated[int, typer.Option("--lanes", help="Lanes side by side.")] = 1,
    lane_width: Annotated[
        str | None, typer.Option("--lane-width", metavar="YD", help="Width of a lane: 3 yd.")
    ] = None,
    rule: Annotated[
        list[str] | None,
        typer.Option(
            "--rule",
            help="lane, waiting line, stop, overshoot, side or other, with figure, source and day: "
            "\"overshoot 110 yd from the shooting line, source the club's handbook, on "
            '2026-03-01". May be given again.',
        ),
    ] = None,
    class_name: Annotated[
        str | None, typer.Option("--class", metavar="NAME", help="Take the rules of a class too.")
    ] = None,
    bow: Annotated[str | None, typer.Option("--bow", help="Bow whose reach is drawn.")] = None,
    archer: Annotated[
        str | None,
        typer.Option("--archer", help="Who draws it: an archer on record or one of the class."),
    ] = None,
    arrow: Annotated[
        str | None, typer.Option("--arrow", help="Arrow on record; else one built for a long shot.")
    ] = None,
    picture: Annotated[
        Path | None, typer.Option("--picture", metavar="FILE.svg", help="Draw it to scale.")
    ] = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Draw a range from the rules you type, with the farthest reach of an arrow beside them.

    Rules that disagree are all shown and none is chosen. Nothing here says that a place is fit to
    shoot at: that is for the responsible person.
    """
    import dataclasses

    from loosewell.faces.cli.class_ import rule as read_rule
    from loosewell.records import RangeRule
    from loosewell.workshop import range_ as room

    rules = [RangeRule.model_validate(read_rule(one)) for one in rule or ()]
    target = units.quantity(distance, "yd", what="The distance")
    wide = None if lane_width is None else units.quantity(lane_width, "yd", what="The lane width")
    reach: Any = None
    of = None
    if class_name or bow or archer or arrow:
        with open_workshop(workshop) as kept:
            roster: Any = None if class_name is None else kept.get("class", class_name).record
            if roster is not None:
                rules = [*roster.rules, *rules]
            if bow or archer or arrow:
                reach, of = _reach(kept, roster, bow, archer, arrow)
    made = room.lay_out(
        name,
        rules,
        target_yd=target,
        lanes=lanes,
        lane_width_yd=room.lane_width(rules, wide),
        reach_yd=None if reach is None else reach.farthest_yd,
        longest_yd=None if reach is None else reach.longest_yd,
        reach_of=of,
    )
    if picture is not None:
        from loosewell.faces.cli.build import _write
        from loosewell.faces.drawing import pen
        from loosewell.faces.drawing import range_ as drawing

        _write(picture, pen.resolved(drawing.layout(made)))
    if as_json:
        print_json(dataclasses.asdict(made))
        return
    print("\n".join(_lines(made)))


def _reach(kept: Any, roster: Any, bow: str | None, archer: str | None, arrow: str | None) -> Any:
    from loosewell.workshop import purposes

    if bow is None or archer is None:
        raise MissingRefusal(
            "A reach needs a bow and who draws it. Give --bow and --archer together.",
            code="missing-archer",
        )
    people = () if roster is None else roster.people
    pupil = next((one for one in people if one.name.casefold() == archer.casefold()), None)
    who = kept.get("archer", archer).record if pupil is None else pupil.archer()
    stave = kept.get("bow", bow).record
    shot = None if arrow is None else kept.get("arrow", arrow).record
    shafts = [one.record for one in kept.list("shaft")]
    found = purposes.purpose(stave, who, shafts, "long shot", arrow=shot, jigs=kept.jigs())
    if found.stops:
        raise EngineRefusal(found.stops[0].text, code=found.stops[0].code)
    if found.reach is None:
        raise EngineRefusal("No reach came out for this pair.", code="range-reach")
    what = "an arrow built for a long shot" if shot is None else f"arrow {shot.name}"
    return found.reach, f"{stave.name} drawn by {who.name}, {what}"


def _lines(made: Any) -> list[str]:
    lines = [
        (
            f"Range {made.name}: {made.lanes} lanes of {_yd(made.lane_width_yd, 1)}, targets at "
            f"{_yd(made.target_yd)} from the shooting line."
        )
    ]
    lines += [f"WATCH: {one}" for one in made.disagreements]
    lines += ["", "Rules as typed"]
    for one in made.zones:
        place = one.from_shooting_line_yd
        figure = f" [{_yd(one.figure_yd)}]" if one.figure_yd is not None else ""
        if place is not None and place >= 0.0:
            figure = f" [{_yd(place)} from the shooting line]"
        lines.append(f"  {one.what}: {one.text}{figure} ({one.source}, {one.on})")
    if not made.zones:
        lines.append("  none: only the lanes are drawn. Type yours with --rule.")
    lines += [f"  {one}" for one in made.missing]
    lines += ["", "Reach", *(f"  {one}" for one in made.reach_sentences), ""]
    lines += [f"{one}: ______________________" for one in made.blanks]
    return [*lines, "", *made.said]


def _yd(yards: float, digits: int = 0) -> str:
    return f"{yards:.{digits}f} yd ({yards * units.YARD:.{digits}f} m)"
