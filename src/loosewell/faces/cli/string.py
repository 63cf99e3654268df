"""``string plan`` for a string as typed, ``string check`` for one on record and a bow."""

from __future__ import annotations

import dataclasses
import inspect
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from loosewell.faces.cli.common import JsonOption, WorkshopOption, open_workshop, print_json
from loosewell.faces.cli.fields import BOW, STRING, Field

if TYPE_CHECKING:
    from rich.console import Console

    from loosewell.records import Bow, BowString
    from loosewell.workshop.answer import Band
    from loosewell.workshop.string import StringAnswer

# Of a string: what belongs to its record only and changes nothing here.
_LEFT_OUT = ("bow", "made_on", "remarks", "invented")
# Of a bow, and how it is called beside a string.
_OF_BOW = {
    "length_in": "bow-length",
    "brace_height_in": "brace-height",
    "make": "make",
    "draw_measured": "draw-measured",
    "draw_readings": "draw-weight",
}
_LAST = (
    "Every figure here is for a string at rest, and none knows wear, fraying or a nick. Look at "
    "loops, serving and nocking point every time the bow is strung, and follow the bow's maker and "
    "a qualified instructor."
)
_Draw = Annotated[
    str | None,
    typer.Option("--draw", metavar="IN", help="Draw it is shot at, in the bow's own measure."),
]
_Arrow = Annotated[
    str | None,
    typer.Option("--arrow-weight", metavar="GR", help='Whole arrow, "450 gr", for the speeds.'),
]
_Picture = Annotated[
    Path | None, typer.Option("--picture", metavar="FILE.svg", help="Draw it to this new file.")
]
_PLAN_HELP = (
    "Plan a string from what is typed, without a workshop: what it bears against the draw weight, "
    "its tensions, mass, what it costs in speed, thickness against the nock, and length. Values "
    "carry their unit. What is left out is taken and listed, or stays unknown."
)


def register(group: typer.Typer) -> None:
    """The commands plan and check, hung into the group of strings."""
    group.command("plan", help=_PLAN_HELP)(_dressed_plan())
    group.command("check")(check)


def _bow_fields() -> list[Field]:
    known = {one.path: one for one in BOW}
    return [
        dataclasses.replace(known[path], option=option, said=known[path].said or option)
        for path, option in _OF_BOW.items()
    ]


def _dressed_plan() -> Any:
    from loosewell.faces.cli import keeping

    string_fields = [one for one in STRING if one.path not in _LEFT_OUT]
    bow_fields = _bow_fields()

    def plan(
        draw: str | None = None,
        arrow_weight: str | None = None,
        picture: Path | None = None,
        as_json: bool = False,
        **given: Any,
    ) -> None:
        from loosewell.faces.cli import typed
        from loosewell.records import BowString
        from loosewell.workshop import string as workshop

        told = typed.record_fields(tuple(string_fields), given)
        of_bow = typed.record_fields(tuple(bow_fields), given)
        record = BowString.model_validate({"name": "this string", **told})
        bow = workshop.typed_bow(
            of_bow.get("draw_readings", ()),
            of_bow.get("draw_measured"),
            of_bow.get("length_in"),
            of_bow.get("brace_height_in"),
            of_bow.get("make"),
        )
        _give(record, bow, draw, arrow_weight, picture, as_json)

    def option(name: str, annotation: Any, default: Any = None) -> inspect.Parameter:
        kind = inspect.Parameter.KEYWORD_ONLY
        return inspect.Parameter(name, kind, default=default, annotation=annotation)

    return keeping._dressed(
        plan,
        [
            *(keeping._option(one) for one in (*string_fields, *bow_fields)),
            option("draw", _Draw),
            option("arrow_weight", _Arrow),
            option("picture", _Picture),
            option("as_json", JsonOption, False),
        ],
    )


def check(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Name of the string.")],
    bow: Annotated[
        str | None,
        typer.Option("--bow", metavar="NAME", help="Name of the bow; else the string's own."),
    ] = None,
    draw: _Draw = None,
    arrow_weight: _Arrow = None,
    picture: _Picture = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Hold a string on record against a bow: stops first, then strength, tensions, mass, length."""
    from loosewell.errors import ContradictionRefusal, MissingRefusal

    with open_workshop(workshop) as kept:
        string: Any = kept.get("string", name).record
        called = bow or string.bow
        if called is None:
            raise MissingRefusal(
                f"The string {string.name} has no bow on record and none was given. Say which bow "
                "it is held against: --bow NAME.",
                code="missing-bow",
            )
        found = kept.get("bow", called)
    if found.retired:
        raise ContradictionRefusal(
            f"The bow {found.record.name} is retired. Restore it first, or choose another bow.",
            code="retired",
        )
    _give(string, found.record, draw, arrow_weight, picture, as_json)  # type: ignore[arg-type]


def _give(
    string: BowString,
    bow: Bow | None,
    draw: str | None,
    arrow_weight: str | None,
    picture: Path | None,
    as_json: bool,
) -> None:
    from loosewell import units
    from loosewell.workshop import string as workshop

    told = workshop.answer(
        string,
        bow,
        draw_in=None if draw is None else units.quantity(draw, "in", what="The draw"),
        arrow_weight_gr=None
        if arrow_weight is None
        else units.quantity(arrow_weight, "gr", what="The mass of the arrow"),
    )
    if picture is not None:
        from loosewell.errors import FileRefusal
        from loosewell.faces.cli import build
        from loosewell.faces.drawing import pen
        from loosewell.faces.drawing.string import string_sheet

        if picture.suffix.lower() != ".svg":
            raise FileRefusal(
                f"The picture was to go to {picture.name}, and it is written as SVG. Name a file "
                "ending in .svg.",
                code="picture-kind",
            )
        build._write(picture, pen.resolved(string_sheet(told).svg()))
    if as_json:
        print_json({**dataclasses.asdict(told), "last": _LAST})
        return
    _print(told)


def _print(told: StringAnswer) -> None:
    from loosewell.faces.cli import build

    console = build._console()
    build._say(console, f"{told.name[:1].upper()}{told.name[1:]}: {told.made}", "bold")
    build._notices(console, told.stops, told.warnings)
    _print_strength(console, told)
    _print_pulls(console, told)
    _print_mass(console, told)
    build._head(console, "Thickness and nock")
    lines = []
    if told.diameter_in is not None:
        lines.append(f"Without serving {_inches(told.diameter_in, 3)}.")
    if told.served_in is not None:
        lines.append(f"Over the serving {_inches(told.served_in, 3)}, {told.served_in.reason}.")
    build._bullets(console, [*lines, told.nock_words])
    _print_length(console, told)
    build._head(console, "Stretch, creep, wet")
    build._bullets(console, [*told.stretch_words, told.wet_words])
    _print_inputs(console, told)
    build._head(console, "Next")
    build._say(console, told.next_step)
    console.print()
    build._say(console, _LAST)


def _print_strength(console: Console, told: StringAnswer) -> None:
    from loosewell.faces.cli import build

    build._head(console, "What it bears, finished")
    if told.strength_lb is None:
        above = any(one.code == "no-test" for one in told.stops)
        words = "No test, no number." if above else " ".join(told.strength_words)
        build._bullets(console, [words])
    else:
        line = _pounds(told.strength_lb)
        if told.ratio is not None:
            line += (
                f", {told.ratio.low:g} to {told.ratio.high:g} times the draw weight of "
                f"{told.draw_words}"
            )
        lines = [f"{line}."]
        if told.strength_bound_lb is not None:
            times = (
                ""
                if told.draw_weight_lb is None
                else f", {told.strength_bound_lb / told.draw_weight_lb:.1f} times the draw weight"
            )
            lines.append(f"Low end by the tolerance bound: {told.strength_bound_lb:.0f} lb{times}.")
        lines += [f"{one[:1].upper()}{one[1:]}." for one in told.strength_words]
        build._bullets(console, lines)
    if not told.rules:
        return
    build._head(console, "Two rules side by side; neither is chosen here")
    lines = []
    for one in told.rules:
        strands = ""
        if one.strands_by_low_end is not None and one.strands_by_middle is not None:
            low, high = one.strands_by_middle, one.strands_by_low_end
            many = (
                f"{low} strands of this kind by the middle of the range, {high} by its low end"
                if low != high
                else f"{low} strands of this kind"
            )
            strands = f": {many}"
        lines.append(f"{one.name[:1].upper()}{one.name[1:]}, {one.asked_lb:.0f} lb asked{strands}.")
    build._bullets(console, [*lines, "Both are for a string at rest, untested for wear."])


def _print_pulls(console: Console, told: StringAnswer) -> None:
    from loosewell.faces.cli import build

    if not told.pulls:
        return
    build._head(console, f"Tension in the string (draw weight {told.draw_words})")
    build._bullets(
        console,
        [
            f"{one.name[:1].upper()}{one.name[1:]}: {one.tension_lb.low:.0f} to "
            f"{one.tension_lb.high:.0f} lb, {one.times_draw_weight.low:.1f} to "
            f"{one.times_draw_weight.high:.1f} times the draw weight; {one.note}."
            for one in told.pulls
        ],
    )


def _print_mass(console: Console, told: StringAnswer) -> None:
    from loosewell.faces.cli import build

    build._head(console, "Mass, and what it costs")
    if told.mass_gr is None:
        build._bullets(console, [told.mass_words])
        return
    band = told.mass_gr
    weighs = (
        f"{band.low:.0f} to {band.high:.0f} gr ({band.low * 0.06479891:.1f} to "
        f"{band.high * 0.06479891:.1f} g), {told.mass_words}."
    )
    lines = [weighs]
    if told.mass_measured:
        lines = [f"{band.middle:.4g} gr ({band.middle * 0.06479891:.1f} g), weighed."]
    if told.costs:
        taken = " (taken: 9 gr for each pound)" if told.arrow_assumed else ""
        lines.append(
            f"A third of it goes with the arrow. With an arrow of {told.arrow_gr:.0f} gr{taken}, "
            "by the engine's virtual mass:"
        )
    for one in told.costs:
        against = "" if one.name == "this string" else f", {one.against_fps:+.1f} fps"
        lines.append(
            f"{one.name[:1].upper()}{one.name[1:]}, {one.string_gr:.0f} gr: {one.speed_fps:.0f} "
            f"fps ({one.speed_fps * 0.3048:.1f} m/s){against}."
        )
    build._bullets(console, lines)
    if told.costs:
        build._say(console, "  The differences hold better than the speeds themselves.")


def _print_length(console: Console, told: StringAnswer) -> None:
    from loosewell.faces.cli import build

    build._head(console, "Length")
    plan = told.length
    if plan is None:
        build._bullets(console, ["Not known: give the bow's length and the brace height wanted."])
        return
    straight = ""
    if plan.twists is not None:
        laid = _inches(plan.straight_in, 2)
        straight = f" Its strands laid straight, for {plan.twists} turns: {laid}."
    lines = [
        (
            f"For a brace height of {plan.brace_height_in:g} in, braced: "
            f"{_inches(plan.braced_in, 2)} between the bearing points, for a bow that bends like "
            "links or like an arc. The string makers' rule, 3 in less than the bow, says "
            f"{plan.rule_in:g} in; it is for recurved tips too."
        ),
        f"Slack and twisted: {_inches(plan.slack_in, 2)}.{straight}",
        f"Cut: {_inches(plan.cut_in, 1)}, {plan.cut_words}.",
        (
            f"An inch of string is {plan.brace_per_inch_in.low:g} to "
            f"{plan.brace_per_inch_in.high:g} in of brace height."
        ),
    ]
    if plan.turns_for_eighth is not None:
        low, high = max(plan.turns_for_eighth.low, 0.0), plan.turns_for_eighth.high
        lines.append(
            f"From {plan.twists} turns, {low:.0f} to {high:.0f} turns more raise the brace by "
            "1/8 in, by the geometry of twist; count them on the first string."
        )
    if plan.would_brace_in is not None:
        lines.append(
            f"A string as long as the recorded one would brace at {plan.would_brace_in.low:g} to "
            f"{plan.would_brace_in.high:g} in."
        )
    build._bullets(console, lines)


def _print_inputs(console: Console, told: StringAnswer) -> None:
    from loosewell.faces.cli import build

    lines = []
    for of in ("strength", "mass", "length"):
        for one in told.inputs:
            if one.of == of:
                part = f", {one.share_percent:.0f} % of that range" if one.share_percent else ""
                taken = "taken" if one.assumed else "measured"
                lines.append(f"{of.capitalize()}: {one.name}, {one.value} ({taken}{part}).")
    if lines:
        build._head(console, "What the ranges rest on")
        build._bullets(console, lines)


def _pounds(band: Band) -> str:
    newton = 4.4482216152605
    return (
        f"{band.low:.0f} to {band.high:.0f} lb, middle {band.middle:.0f} lb "
        f"({band.low * newton:.0f} to {band.high * newton:.0f} N)"
    )


def _inches(band: Band, digits: int) -> str:
    metric = max(digits - 2, 0)
    return (
        f"{band.low:.{digits}f} to {band.high:.{digits}f} in "
        f"({band.low * 25.4:.{metric}f} to {band.high * 25.4:.{metric}f} mm)"
    )
