"""``loosewell bend``, ``loosewell spine`` and ``loosewell jig check``: the bench in words."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from loosewell.faces.cli.common import (
    JsonOption,
    WorkshopOption,
    open_workshop,
    print_json,
    write_picture,
)

if TYPE_CHECKING:
    from loosewell.records.shaft import BenchReading, Shaft
    from loosewell.workshop.bench import Spine
    from loosewell.workshop.jig import Hung, JigCheck

PictureOption = Annotated[
    Path | None, typer.Option("--picture", metavar="FILE.svg", help="Write the drawing too.")
]
WaterOption = Annotated[
    str | None,
    typer.Option("--water", metavar="L", help='Water hung in place of a weight, "0.907 L".'),
]
JugOption = Annotated[
    str | None,
    typer.Option("--jug", metavar="G", help='The empty jug with its string, "45 g". With --water.'),
]
WarmthOption = Annotated[
    str, typer.Option("--water-temperature", metavar="DEG", help='Of the water, "20 degC".')
]


def register(app: typer.Typer) -> None:
    """The commands bend and spine, hung into the app."""
    app.command("bend")(bend)
    app.command("spine")(spine)


def register_jig(group: typer.Typer) -> None:
    """The command check, hung into the group of jigs."""
    group.command("check")(check)


def bend(
    name: Annotated[str, typer.Argument(metavar="SHAFT", help="A shaft of the workshop.")],
    picture: PictureOption = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Say what all bench readings of a shaft tell: stiffness, stiff side, and how well."""
    from loosewell.errors import MissingRefusal
    from loosewell.workshop.bench import shaft_spine
    from loosewell.workshop.jig import unlikely

    with open_workshop(workshop) as kept:
        shaft: Any = kept.get("shaft", name).record
        jigs = kept.jigs()
    found = shaft_spine(shaft, jigs)
    if found is None:
        raise MissingRefusal(
            f"Shaft {shaft.name} has no bench reading yet. Lay it on two supports, hang a load at "
            f'the middle, and add what you read: loosewell shaft change "{shaft.name}" '
            '--bench-reading "span 26 in, load 2 lb, deflection 0.52 in, rotation 0 deg".',
            code="missing-bench-reading",
        )
    _tell(found, shaft.name, shaft, unlikely(shaft.bench_readings, shaft), (), picture, as_json)


def spine(
    span: Annotated[
        str, typer.Option("--span", metavar="IN", help='Between the supports, "26 in".')
    ] = "",
    load: Annotated[
        str, typer.Option("--load", metavar="LB", help='Hung at the middle, "2 lb".')
    ] = "",
    water: WaterOption = None,
    jug: JugOption = None,
    water_temperature: WarmthOption = "68 degF",
    deflection: Annotated[
        list[str] | None,
        typer.Option(
            "--deflection",
            metavar="IN",
            help='How far it sinks, "0.52 in". May be given again, one for each reading.',
        ),
    ] = None,
    rotation: Annotated[
        list[str] | None,
        typer.Option(
            "--rotation",
            metavar="DEG",
            help='How far from its mark the shaft was turned, "90 deg": one for each --deflection, '
            "in the same order.",
        ),
    ] = None,
    bench_reading: Annotated[
        list[str] | None,
        typer.Option(
            "--bench-reading",
            metavar="READING",
            help='A whole reading, "span 28 in, load 1.94 lb, deflection 0.61 in, rotation '
            '90 deg, turned". May be given again.',
        ),
    ] = None,
    diameter: Annotated[
        str | None,
        typer.Option("--diameter", metavar="IN", help='Of the shaft, "11/32 in", for short spans.'),
    ] = None,
    deflection_error: Annotated[
        str | None,
        typer.Option("--deflection-error", metavar="IN", help="Without it: 1/64 in, a fine ruler."),
    ] = None,
    load_error: Annotated[
        str | None,
        typer.Option("--load-error", metavar="PERCENT", help="Of the load. Without it: 1.5 %."),
    ] = None,
    span_error: Annotated[
        str, typer.Option("--span-error", metavar="IN", help="Of the span.")
    ] = "1/8 in",
    picture: PictureOption = None,
    as_json: JsonOption = False,
) -> None:
    """Turn bench readings into spine, in both standards, with its error."""
    from loosewell import units
    from loosewell.errors import BoundRefusal
    from loosewell.faces.cli import typed
    from loosewell.records.shaft import BenchReading, Shaft
    from loosewell.workshop.bench import readings_spine
    from loosewell.workshop.jig import unlikely

    error = _length(deflection_error, "The error of the deflection")
    hung = _hung(load, water, jug, water_temperature)
    readings: list[BenchReading] = []
    if deflection or not bench_reading:
        readings += _plain_readings(span, load, hung, deflection or [""], rotation or [], error)
    for text in bench_reading or []:
        told = {"deflection_error_in": error} if error is not None else {}
        readings.append(BenchReading(**{**told, **typed.bench_reading(text)}))
    share = 0.015 if hung is None else hung.error_percent / 100.0
    if load_error is not None:
        share = units.quantity(load_error, "percent", what="The error of the load") / 100.0
    width = units.quantity(span_error, "in", what="The error of the span")
    if not 0.0 <= share <= 0.2:
        raise BoundRefusal(
            f"The error of the load, {100.0 * share:g} %, is outside 0 to 20 %. A weighed bag is "
            "known to about 1.5 %.",
            code="bound-load-error",
        )
    if not 0.0 <= width <= 2.0:
        raise BoundRefusal(
            f"The error of the span, {width:g} in, is outside 0 to 2 in. A tape gives about "
            "1/8 in.",
            code="bound-span-error",
        )
    stations: Any = ()
    if diameter is not None:
        across = units.quantity(diameter, "in", what="The diameter")
        stations = ({"station_in": 1.0, "diameter_in": across},)
    shaft = Shaft(
        name="typed here",
        kind=None if diameter is None else "solid",
        stations=stations,
        bench_readings=tuple(readings),
    )
    found = readings_spine(readings, load_error=share, span_error_in=width, shaft=shaft)
    first = () if hung is None else (hung.words,)
    _tell(found, "typed here", shaft, unlikely(readings, shaft), first, picture, as_json)


def check(
    name: Annotated[str, typer.Argument(metavar="JIG", help="A jig of the workshop.")],
    rod: Annotated[
        str, typer.Option("--rod", metavar="STUFF", help="What the rod is: steel or aluminium.")
    ],
    diameter: Annotated[
        str, typer.Option("--diameter", metavar="IN", help='Of the rod, "1/4 in".')
    ],
    deflection: Annotated[
        list[str],
        typer.Option(
            "--deflection", metavar="IN", help='How far it sank, "0.13 in". May be given again.'
        ),
    ],
    wall: Annotated[
        str | None, typer.Option("--wall", metavar="IN", help="Of a tube; a rod is solid.")
    ] = None,
    diameter_error: Annotated[
        str | None,
        typer.Option("--diameter-error", metavar="IN", help="Without it: 0.001 in, good calipers."),
    ] = None,
    deflection_error: Annotated[
        str | None,
        typer.Option("--deflection-error", metavar="IN", help="Without it: the jig's own."),
    ] = None,
    span: Annotated[
        str | None, typer.Option("--span", metavar="IN", help="Without it: the jig's own.")
    ] = None,
    load: Annotated[
        str | None, typer.Option("--load", metavar="LB", help="Without it: the jig's own.")
    ] = None,
    on: Annotated[
        str | None, typer.Option("--on", metavar="DAY", help="Day of the check; without it: today.")
    ] = None,
    only_look: Annotated[
        bool, typer.Option("--only-look", help="Say what is found, and store nothing.")
    ] = False,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Check a jig against a rod of known stiffness, and store the factor it is off by.

    Readings that name the jig are multiplied by the factor when they were read on the day of the
    check or later; what was read before stays as it is.
    """
    from loosewell import units
    from loosewell.errors import BoundRefusal
    from loosewell.records.shaft import BenchReading
    from loosewell.workshop.jig import check_jig

    stuff = {"aluminum": "aluminium"}.get(rod.strip().casefold(), rod.strip().casefold())
    if stuff not in ("steel", "aluminium"):
        raise BoundRefusal(
            f"The rod was given as '{rod[:30]}'. Accepted are steel and aluminium, whose stiffness "
            "is known to about 2 %; wood and carbon vary too much to check a jig with.",
            code="choice-rod",
        )
    day = None if on is None else _day(on)
    with open_workshop(workshop) as kept:
        before = kept.get("jig", name)
        jig: Any = before.record
        span_in = _or_jig(_length(span, "The span"), jig.span_in, jig.name, "span")
        hung = None if load is None else units.quantity(load, "lb", what="The load")
        load_lb = _or_jig(hung, jig.load_lb, jig.name, "load")
        readings = [
            BenchReading(
                span_in=span_in,
                load_lb=load_lb,
                deflection_in=units.quantity(one, "in", what="The deflection"),
                deflection_error_in=_length(deflection_error, "The error of the deflection"),
            )
            for one in deflection
        ]
        found = check_jig(
            jig,
            stuff,  # type: ignore[arg-type]
            units.quantity(diameter, "in", what="The diameter of the rod"),
            readings,
            _length(diameter_error, "The error of the diameter"),
            _length(wall, "The wall of the tube"),
        )
        if not only_look:
            today = datetime.datetime.now(datetime.UTC).astimezone().date()
            jig = _store(kept, jig, found, day or today)
    if as_json:
        print_json(_check_json(found, stored=not only_look))
        return
    _print_check(found, span_in, load_lb)
    if only_look:
        print("Nothing was stored.")
    else:
        print(
            f"Stored with jig {jig.name}, checked {jig.checked_on}: readings that name it are "
            f"multiplied by {found.used_factor:.3f} from that day on. Earlier ones stay as read. "
            "Check again after moving a nail, a pointer or the board."
        )


def _store(kept: Any, jig: Any, found: JigCheck, day: datetime.date) -> Any:
    return kept.change(
        "jig",
        jig.name,
        stiffness_factor=round(found.factor, 5),
        stiffness_factor_error_percent=round(found.factor_error_percent, 3),
        checked_on=day,
        checked_with=found.rod,
    ).record


def _print_check(found: JigCheck, span_in: float, load_lb: float) -> None:
    print(
        f"A {found.rod} is {found.true_lb:.1f} lb (26 in span, 2 lb); jig {found.jig} read "
        f"{found.seen_lb:.1f} lb (from {span_in:g} in span, {load_lb:.4g} lb)."
    )
    print(found.verdict())
    for one in found.likely:
        print(f"  {one}")
    print(f"True over seen: {found.factor:.3f} ± {found.factor_error_percent:.1f} %, made of:")
    for one in found.reasons:
        print(f"  {one}")
    if abs(found.used_factor / found.factor - 1.0) > 0.001:
        print(
            f"Weighed against what the jig's own span and load are worth "
            f"(± {found.rig_error_percent:.1f} %), the factor used is {found.used_factor:.3f} ± "
            f"{found.used_error_percent:.1f} %."
        )


def _check_json(found: JigCheck, *, stored: bool) -> dict[str, Any]:
    return {
        "jig": found.jig,
        "rod": found.rod,
        "factor": found.factor,
        "factor_error_percent": found.factor_error_percent,
        "true_spine_26in_2lb_lb": found.true_lb,
        "seen_spine_26in_2lb_lb": found.seen_lb,
        "off_beyond_error": found.off,
        "likely": list(found.likely),
        "reasons": list(found.reasons),
        "used_factor": found.used_factor,
        "used_factor_error_percent": found.used_error_percent,
        "stored": stored,
    }


def _or_jig(given: float | None, own: float | None, name: str, what: str) -> float:
    from loosewell.errors import MissingRefusal

    told = own if given is None else given
    if told is None:
        raise MissingRefusal(
            f"The {what} of jig {name} is not on record. Give --{what}, or put it on record with: "
            f'loosewell jig change "{name}" --{what} ...',
            code=f"missing-{what}",
        )
    return told


def _length(text: str | None, what: str) -> float | None:
    from loosewell import units

    return None if text is None else units.quantity(text, "in", what=what)


def _day(text: str) -> datetime.date:
    from loosewell.errors import BoundRefusal

    try:
        day = datetime.date.fromisoformat(text.strip())
    except ValueError:
        raise BoundRefusal(
            f"The day of the check was given as '{text[:30]}'. Write year-month-day, such as "
            "2026-05-31.",
            code="day-unreadable",
        ) from None
    if day > datetime.datetime.now(datetime.UTC).astimezone().date():
        raise BoundRefusal(
            f"The day of the check, {day.isoformat()}, has not come yet. Give the day it was done.",
            code="day-future",
        )
    return day


def _hung(load: str, water: str | None, jug: str | None, warmth: str) -> Hung | None:
    """What hangs, when it is water; a refusal when it is said twice or half."""
    from loosewell import units
    from loosewell.errors import ContradictionRefusal, MissingRefusal
    from loosewell.workshop.jig import hung_water

    if water is None:
        if jug is not None:
            raise MissingRefusal(
                "A jug was given without the water in it. Give --water, or weigh both together "
                "and give --load.",
                code="missing-water",
            )
        return None
    if load:
        raise ContradictionRefusal(
            "Both a load and water were given. Give --load for what was weighed as a whole, or "
            "--water with --jug.",
            code="load-twice",
        )
    return hung_water(
        units.quantity(water, "litre", what="The water"),
        None if jug is None else units.quantity(jug, "lb", what="The jug"),
        units.quantity(warmth, "degF", what="The temperature of the water"),
    )


def _plain_readings(
    span: str,
    load: str,
    hung: Hung | None,
    deflections: Sequence[str],
    rotations: Sequence[str],
    error: float | None,
) -> list[BenchReading]:
    from loosewell import units
    from loosewell.errors import MissingRefusal
    from loosewell.records.shaft import BenchReading

    if rotations and len(rotations) != len(deflections):
        raise MissingRefusal(
            f"{len(deflections)} deflections and {len(rotations)} rotations were given. Give a "
            "--rotation for each --deflection, in the same order, or none.",
            code="missing-rotation",
        )
    span_in = units.quantity(span, "in", what="The span")
    load_lb = units.quantity(load, "lb", what="The load") if hung is None else hung.load_lb
    turns = [units.quantity(one, "deg", what="The rotation") for one in rotations]
    return [
        BenchReading(
            span_in=span_in,
            load_lb=load_lb,
            deflection_in=units.quantity(one, "in", what="The deflection"),
            deflection_error_in=error,
            rotation_deg=turns[i] if turns else None,
        )
        for i, one in enumerate(deflections)
    ]


def _tell(
    found: Spine,
    name: str,
    shaft: Shaft,
    asked: Sequence[str],
    first: Sequence[str],
    picture: Path | None,
    as_json: bool,
) -> None:
    from loosewell.faces.cli import show

    if picture is not None:
        from loosewell.faces.drawing.bend import bend_sheet

        write_picture(picture, bend_sheet(found, name).svg())
    if as_json:
        plain = show.spine_json(found)
        plain["asked"] = list(asked)
        plain["said"] = [*first, *found.said]
        plain["sides"] = sides_json(found)
        plain["readings"] = [
            {
                **one.reading.model_dump(mode="json"),
                "spine_26in_2lb_lb": one.spine_lb,
                "own_error_lb": one.error_lb,
                "jig_factor": one.factor,
            }
            for one in found.seen
        ]
        print_json(plain)
        return
    for one in asked:
        print(f"Check first: {one}")
    print(found.spine_text())
    print(found.deflection_text())
    print(
        "The same stiffness twice: pounds grow with it, deflection shrinks. The error is made of:"
    )
    for reason in found.reasons:
        print(f"  {reason}")
    sides = found.sides
    if len(found.seen) > 1 or shaft.length_in is not None:
        print(f"Stiff side: {sides.words}")
        if sides.told:
            print(
                f"  stiff way {sides.stiff_lb:.1f} lb ± {sides.stiff_error_lb:.1f} lb, weak way "
                f"{sides.weak_lb:.1f} lb ± {sides.weak_error_lb:.1f} lb (26 in span, 2 lb)"
            )
    if len(found.seen) > 1:
        print("What was read, each by itself (26 in span, 2 lb):")
        for seen in found.seen:
            r = seen.reading
            way = "" if r.rotation_deg is None else f", turned {r.rotation_deg:g} deg"
            end = ", end for end" if r.turned else ""
            rig = "" if r.jig is None else f", jig {r.jig}"
            print(
                f"  {seen.spine_lb:5.1f} lb ± {seen.error_lb:.1f} lb  from "
                f"{r.deflection_in:.3f} in over {r.span_in:g} in under {r.load_lb:.4g} lb"
                f"{way}{end}{rig}"
            )
    for sentence in (*first, *found.said):
        print(sentence)
    print(
        "A reading at the middle weighs the middle: seven eighths of it come from the middle half "
        "of the span, and it cannot tell which end is stiffer. It says nothing of whether the "
        "shaft is sound: look it over by hand."
    )
    if picture is not None:
        print(f"Wrote {picture}.")


def sides_json(found: Spine) -> dict[str, Any]:
    """The stiff and the weak side as plain values, units in their names."""
    sides = found.sides
    return {
        "told": sides.told,
        "words": sides.words,
        "mark": sides.mark_text(),
        "stiff_26in_2lb_lb": sides.stiff_lb,
        "stiff_error_26in_2lb_lb": sides.stiff_error_lb,
        "weak_26in_2lb_lb": sides.weak_lb,
        "weak_error_26in_2lb_lb": sides.weak_error_lb,
        "stiff_side_deg": sides.turn_deg,
        "stiff_side_error_deg": sides.turn_error_deg,
        "differ_percent": sides.differ_percent,
        "differ_at_most_percent": sides.at_most_percent,
    }
