"""Shoots, drying and wood: ``along``, ``ends``, ``dry`` and ``wood``."""

from __future__ import annotations

import dataclasses
import datetime
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
    from loosewell.records import Jig, Shaft
    from loosewell.workshop.answer import Band, Notice
    from loosewell.workshop.drying import Drying
    from loosewell.workshop.shoot import Along, Ends
    from loosewell.workshop.wood import WoodEstimate

PictureOption = Annotated[
    Path | None,
    typer.Option("--picture", metavar="FILE.svg", help="Write the picture to this file."),
]


def register(app: typer.Typer) -> None:
    """The commands along, ends, dry and wood, hung into the app."""
    app.command("along")(along)
    app.command("ends")(ends)
    app.command("dry")(dry)
    app.command("wood")(wood)


def along(
    shaft: Annotated[str, typer.Argument(metavar="SHAFT", help="Name of the shaft.")],
    picture: PictureOption = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Tell stiffness and mass along a shoot or cane, and what one bend reading cannot show."""
    from loosewell.workshop import shoot

    record, jigs = _shaft(workshop, shaft)
    told = shoot.along(record, jigs)
    if picture is not None:
        from loosewell.faces.drawing import stations

        write_picture(picture, stations.along_chart(told).svg())
    if as_json:
        print_json(_plain(told))
        return
    _print_along(told)
    _said_picture(picture)


def ends(
    shaft: Annotated[str, typer.Argument(metavar="SHAFT", help="Name of the shaft.")],
    bow: Annotated[str, typer.Option("--bow", metavar="NAME", help="Name of the bow.")],
    archer: Annotated[str, typer.Option("--archer", metavar="NAME", help="Name of the archer.")],
    point: Annotated[
        str | None, typer.Option(help='Point weight with its unit, such as "125 gr".')
    ] = None,
    length: Annotated[
        str | None,
        typer.Option(help='Arrow length, nock throat to back of point, such as "28 1/2 in".'),
    ] = None,
    purpose: Annotated[str, typer.Option(help="What the arrow is for.")] = "target",
    distance: Annotated[
        str | None, typer.Option(help='Shooting distance, such as "20 yd"; else the purpose\'s.')
    ] = None,
    picture: PictureOption = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Say which end of a shoot to put forward, both ways shot by the engine; or that none tells."""
    from loosewell.faces import asking
    from loosewell.faces.cli.match import Waiting
    from loosewell.workshop import ask, shoot

    question = asking.question(
        {
            "bow": bow,
            "archer": archer,
            "purpose": purpose,
            "distance": distance,
            "point": point,
            "length": length,
        }
    )
    record, jigs = _shaft(workshop, shaft)
    pair = ask.gather(workshop, question)
    with Waiting() as waiting:
        told = shoot.ends(
            pair.bow,
            pair.archer,
            record,
            jigs=jigs,
            purpose=question.purpose,
            distance_yd=question.distance_yd,
            point_weight_gr=question.point_weight_gr,
            length_in=question.length_in,
            progress=waiting,
        )
    if picture is not None:
        from loosewell.faces.drawing import stations

        write_picture(picture, stations.ends_chart(told).svg())
    if as_json:
        print_json(_plain(told))
        return
    _print_ends(told)
    _said_picture(picture)


def dry(
    shaft: Annotated[str, typer.Argument(metavar="SHAFT", help="Name of the shaft.")],
    humidity: Annotated[
        str | None, typer.Option(help='Of the air where it is kept, such as "55 %".')
    ] = None,
    temperature: Annotated[
        str | None, typer.Option(help='Of the place where it is kept, such as "65 F".')
    ] = None,
    today: Annotated[
        str | None,
        typer.Option(metavar="DAY", help="Tell it as of this day, year-month-day."),
    ] = None,
    picture: PictureOption = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Follow a shaft drying: when it is steady, when to weigh again, its spine when dry."""
    from loosewell import units
    from loosewell.workshop import drying

    record, jigs = _shaft(workshop, shaft)
    told = drying.drying(
        record,
        _day(today),
        jigs=jigs,
        humidity_percent=None
        if humidity is None
        else units.quantity(humidity, "percent", what="The humidity"),
        temperature_f=None
        if temperature is None
        else units.quantity(temperature, "degF", what="The temperature"),
    )
    if picture is not None:
        from loosewell.faces.drawing import drying as drawing

        write_picture(picture, drawing.drying_chart(told).svg())
    if as_json:
        print_json(_plain(told))
        return
    _print_drying(told)
    _said_picture(picture)


def wood(
    species: Annotated[
        str | None,
        typer.Argument(metavar="SPECIES", help="Name of the wood; without it, all are listed."),
    ] = None,
    diameter: Annotated[str | None, typer.Option(help='Of the shaft, such as "11/32 in".')] = None,
    length: Annotated[str | None, typer.Option(help='Of the shaft, such as "32 in".')] = None,
    weight: Annotated[
        str | None, typer.Option(help='Once it is weighed, such as "350 gr" or "350 gr +- 2 gr".')
    ] = None,
    deflection: Annotated[
        list[str] | None,
        typer.Option(
            metavar="READING",
            help='Once it is bent: "span 26 in, load 2 lb, deflection 0.52 in". May be given '
            "again.",
        ),
    ] = None,
    wall: Annotated[str | None, typer.Option(help='Of a hollow stem, such as "0.06 in".')] = None,
    picture: PictureOption = None,
    as_json: JsonOption = False,
) -> None:
    """Tell what spine and mass a wood leads to, and how the range closes once weighed and bent."""
    from loosewell import units
    from loosewell.errors import MissingRefusal
    from loosewell.faces.cli import typed
    from loosewell.records import BenchReading
    from loosewell.workshop import wood as workshop

    if species is None:
        _list_woods(as_json)
        return
    workshop.find_wood(species)
    if diameter is None or length is None:
        lacking = " and ".join(
            word for word, it in (("--diameter", diameter), ("--length", length)) if it is None
        )
        raise MissingRefusal(
            f"A wood alone makes no spine; {lacking} was not given. Say the size of the shaft: "
            f'loosewell wood "{species[:40]}" --diameter "11/32 in" --length "32 in".',
            code="wood-no-size",
        )
    grains, grains_error = _weight(weight)
    told = workshop.estimate(
        species,
        units.quantity(diameter, "in", what="The diameter"),
        units.quantity(length, "in", what="The length"),
        weight_gr=grains,
        weight_error_gr=grains_error,
        readings=[BenchReading(**typed.bench_reading(one)) for one in deflection or []],
        wall_in=None if wall is None else units.quantity(wall, "in", what="The wall"),
    )
    if picture is not None:
        from loosewell.faces.drawing import wood as drawing

        write_picture(picture, drawing.wood_chart(told).svg())
    if as_json:
        print_json(_plain(told))
        return
    _print_wood(told)
    _said_picture(picture)


def _shaft(path: Path | None, name: str) -> tuple[Shaft, tuple[Jig, ...]]:
    """The shaft of that name, and the jigs of the workshop that its readings may name."""
    with open_workshop(path) as kept:
        record: Any = kept.get("shaft", name).record
        jigs: Any = tuple(one.record for one in kept.list("jig"))
    return record, jigs


def _day(text: str | None) -> datetime.date:
    from loosewell.errors import BoundRefusal

    if text is None:
        return datetime.datetime.now(datetime.UTC).astimezone().date()
    try:
        return datetime.date.fromisoformat(text.strip())
    except ValueError:
        raise BoundRefusal(
            f"The day was given as '{text[:40]}', which is no day. Type it as year-month-day, such "
            "as 2026-03-08.",
            code="day-unreadable",
        ) from None


def _weight(text: str | None) -> tuple[float | None, float | None]:
    import re

    from loosewell import units
    from loosewell.errors import UnitRefusal

    if text is None:
        return None, None
    number, *error = re.split(r"\s*(?:±|\+/-|\+-)\s*", text)
    if len(error) > 1:
        raise UnitRefusal(
            f"The mass was given as '{text[:40]}', with more than one error. Type it as "
            '"350 gr +- 2 gr".',
            code="reading-unreadable",
        )
    grains = units.quantity(number, "gr", what="The mass")
    return grains, units.quantity(error[0], "gr", what="The error of the mass") if error else None


def _plain(told: Any) -> Any:
    """Dataclasses and days as plain values for JSON."""
    if dataclasses.is_dataclass(told) and not isinstance(told, type):
        return {one.name: _plain(getattr(told, one.name)) for one in dataclasses.fields(told)}
    if isinstance(told, list | tuple):
        return [_plain(one) for one in told]
    if isinstance(told, datetime.date):
        return told.isoformat()
    return told


def _said_picture(path: Path | None) -> None:
    import sys

    if path is not None:
        print(f"Wrote {path}", file=sys.stderr)


def _say(text: str, indent: str = "") -> None:
    """A sentence, broken to lines that a page of a notebook holds."""
    import shutil
    import textwrap

    width = max(60, min(shutil.get_terminal_size((92, 24)).columns, 100))
    print(
        textwrap.fill(
            text, width, initial_indent=indent, subsequent_indent=" " * len(indent),
            break_on_hyphens=False,
        )
    )  # fmt: skip


def _list(title: str, lines: list[str]) -> None:
    if lines:
        print(f"\n{title}")
        for line in lines:
            _say(line, "- ")


def _notices(title: str, notices: list[Notice]) -> None:
    _list(title, [one.text for one in notices])


def _range(band: Band, digits: int = 0) -> str:
    return f"{band.low:.{digits}f} to {band.high:.{digits}f}"


def _print_along(told: Along) -> None:
    made_up = " (invented)" if told.invented else ""
    print(f"{told.shaft}{made_up}, {told.kind}, {told.length_in:g} in, {told.weight_gr:g} gr")
    print(f"Spine as it reads: {told.spine_text}; {told.deflection_text}")
    _say(told.oval_text)
    print("\nAlong it, from the nock end; ranges hold eight of ten such shafts")
    print("    in   diameter       stiffness as a parallel shaft's      mass")
    print("         in             lb (26 in span, 2 lb)                gr/in")
    for one in told.places:
        across = "" if one.across_in is None else f" x {one.across_in:.3f}"
        if not one.measured:
            across = " reckoned"
        band = one.spine_26in_2lb_lb
        print(
            f"{one.station_in:6.1f}   {f'{one.diameter_in:.3f}{across}':<14}"
            f"{band.middle:5.0f}   {f'({_range(band)})':<28} {one.mass_gr_per_in.middle:5.1f} "
            f"({_range(one.mass_gr_per_in, 1)})"
        )
    print(
        f"\nThe wood itself: {told.modulus_gpa:.1f} GPa, {told.density_g_cm3:.2f} g/cm³. "
        f"By the diameters the nock end is {told.nock_over_front:.2f} times as stiff as the front."
    )
    print(
        f"Error: reading ± {told.reading_error_percent:g} %; what it cannot show, in level "
        f"± {told.level_error_percent:g} %, from end to end ± {told.end_to_end_error_percent:g} %."
    )
    if told.causes:
        _list(
            "What a bend reading at the middle cannot show (level; end to end):",
            [
                f"± {one.level_percent:.1f} %; ± {one.end_to_end_percent:.0f} %: {one.what}"
                for one in told.causes
            ],
        )
    _list("Assumed:", told.assumed)
    _notices("Before you shoot:", told.cautions)
    print("\nWhich end forward? loosewell ends SHAFT --bow BOW --archer ARCHER asks the engine.")


def _print_ends(told: Ends) -> None:
    made_up = " (invented)" if told.invented else ""
    print(
        f"{told.shaft}{made_up} on {told.bow} with {told.archer} ({told.hand}-handed), "
        f"{told.distance_yd:g} yd, point {told.point_weight_gr:g} gr"
    )
    if told.stops:
        _notices("STOP", told.stops)
        print(f"\n{told.verdict}")
        return
    _notices("Warning", told.warnings)
    print()
    _say(told.verdict)
    print(f"\nSpine of the shaft as it reads: {told.spine_text}")
    for way in told.ways:
        share = way.clean_percent
        print(f"\n{way.name.capitalize()}: thick end {way.thick_end}")
        print(f"  clean shots  {share.middle:.0f} of 100 ({_range(share)} by counting)")
        _say(way.spine_range_text, "  spines       ")
        balance, foc = way.balance_from_nock_throat_in, way.foc_percent
        print(
            f"  balance      {balance.middle:.1f} in from the nock throat ({_range(balance, 1)}), "
            f"FOC {foc.middle:.0f} % ({_range(foc)})"
        )
        mass = way.arrow_weight_gr
        print(f"  arrow        {mass.middle:.0f} gr ({_range(mass)})")
        _say(f"{way.nock_text}; front end {way.front_diameter_in:.3f} in", "  ends         ")
    print()
    _say(told.range_shift_text)
    _say(told.cut_text)
    print()
    _say(told.practice)
    _say(told.clean_definition)
    _list("Assumed:", told.assumed)
    _notices("Before you shoot:", told.cautions)


def _print_drying(told: Drying) -> None:
    made_up = " (invented)" if told.invented else ""
    print(f"{told.shaft}{made_up}, {len(told.weighings)} weighings")
    _say(told.rule_text)
    if not told.steady_by_rule:
        _say(told.steady_text)
    left = told.water_now_gr if told.steady_by_rule else told.still_to_lose_gr
    when = "now" if told.steady_by_rule else "on that day"
    _say(
        f"Still to lose {when}: {left.middle:.0f} gr of water ({_range(left)}). The weekly rule "
        "ends before the drying does; within 1 % of its final mass about "
        f"{told.within_one_percent_on[1].isoformat()} "
        f"({told.within_one_percent_on[0].isoformat()} to "
        f"{told.within_one_percent_on[2].isoformat()})."
    )
    final, rate = told.final_weight_gr, told.time_constant_days
    print(f"\nFinal mass  {final.middle:.0f} gr ({_range(final)})")
    print(f"Two thirds of the remaining water in {rate.middle:.0f} days ({_range(rate)})")
    wet = told.moisture_now_percent
    print(f"Moisture now {wet.middle:.0f} % of the dry wood ({_range(wet)})")
    _say(told.fit_text)
    print()
    _say(f"Next: {told.next_text}")
    print()
    _say(told.spine_text)
    if told.spine is not None:
        _say(f"What drying does to the wood is taken from {told.spine.source}.")
    _list("Assumed (ranges hold eight of ten):", told.assumed)
    _notices("Care:", told.cautions)


def _print_wood(told: WoodEstimate) -> None:
    print(f"{told.species}, {told.diameter_in:.4g} in by {told.length_in:g} in")
    _notices("Look again:", told.notices)
    print("\nRanges hold eight of ten such shafts")
    for one in told.steps:
        spine, later, mass = (
            one.spine_26in_2lb_lb,
            one.deflection_28in_1_94lb_in,
            one.weight_gr,
        )
        print(
            f"{one.name:<8} {spine.middle:3.0f} lb, {_range(spine)} lb (26 in span, 2 lb); "
            f"{_range(later, 2)} in (28 in span, 1.94 lb); {_range(mass)} gr"
        )
    for one in told.steps:
        _say(f"{one.name}: {one.because}.", "  ")
    print(
        f"\nTable: {told.density_g_cm3:.2f} g/cm³ at 12 % moisture, {told.modulus_gpa:.1f} GPa "
        "(slender shaft, shear taken out)"
    )
    _say(f"Source: {told.source} ({told.mark})." + (f" {told.note}." if told.note else ""))
    _say(
        "Picked shafts can lie far from the mean of their wood: of five woods with arrow specimens "
        "in a published table (Rheingans, Debunking Spine, part 7) four were 6 to 29 % stiffer "
        "than it and one 27 % weaker."
    )
    print()
    _say(f"Next: {told.next_step}")
    _list("Assumed:", told.assumed)


def _list_woods(as_json: bool) -> None:
    from loosewell.workshop import wood as workshop

    rows = workshop.wood_rows()
    if as_json:
        print_json(_plain(rows))
        return
    print(
        "Density at 12 % moisture, modulus of a slender shaft, spine of a solid 11/32 in shaft of"
    )
    print("mean wood in lb (26 in span, 2 lb). A dash is not known.\n")
    print(f"{'wood':<28} {'g/cm³':>6} {'GPa':>6} {'million psi':>12} {'lb':>4}  known")
    for one in rows:
        told = [
            "-" if value is None else f"{value:.{digits}f}"
            for value, digits in (
                (one.density_g_cm3, 2),
                (one.modulus_gpa, 1),
                (one.modulus_million_psi, 2),
                (one.spine_11_32_lb, 0),
            )
        ]
        print(f"{one.species:<28} {told[0]:>6} {told[1]:>6} {told[2]:>12} {told[3]:>4}  {one.mark}")
    print('\nA first range: loosewell wood "Sitka spruce" --diameter "11/32 in" --length "32 in"')
