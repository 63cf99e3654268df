"""Command aim: the gap card and the point-on distance."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from loosewell.faces.cli.build import _bullets, _console, _head, _notices, _quantity, _record, _say
from loosewell.faces.cli.build import _write as write_new
from loosewell.faces.cli.common import JsonOption, WorkshopOption, open_workshop, print_json
from loosewell.faces.cli.purpose import progress_bar

if TYPE_CHECKING:
    from loosewell.workshop.aim import AimCard, Shot


def register(app: typer.Typer) -> None:
    """The command aim, hung into the app."""
    app.command("aim")(aim)


def aim(
    bow: Annotated[str, typer.Option("--bow", metavar="NAME", help="The bow on record.")],
    archer: Annotated[str, typer.Option("--archer", metavar="NAME", help="The archer on record.")],
    arrow: Annotated[
        str | None,
        typer.Option("--arrow", metavar="NAME", help="An arrow on record; else a plain one."),
    ] = None,
    eye_above: Annotated[
        str | None,
        typer.Option(
            "--eye-above", metavar="IN", help='The eye above the arrow at full draw, "2 3/4 in".'
        ),
    ] = None,
    anchor: Annotated[
        str | None,
        typer.Option("--anchor", metavar="TEXT", help='In words: "corner of the mouth".'),
    ] = None,
    shot: Annotated[
        list[str] | None,
        typer.Option(
            "--shot",
            metavar="TEXT",
            help='A gap you shot, at the target: "20 yd gap 14 in", "60 yd gap 20 in above", '
            '"45 yd point-on". May be given again.',
        ),
    ] = None,
    distance: Annotated[
        list[str] | None,
        typer.Option("--distance", metavar="YD", help='For the card, "25 yd". Again for more.'),
    ] = None,
    point: Annotated[
        str | None, typer.Option("--point", metavar="GR", help='Mass of the point, "125 gr".')
    ] = None,
    length: Annotated[
        str | None,
        typer.Option("--length", metavar="IN", help="Nock throat to the back of the point."),
    ] = None,
    heavier: Annotated[
        str, typer.Option("--heavier", metavar="GR", help="Second arrow: so much more point.")
    ] = "50 gr",
    picture: Annotated[
        Path | None, typer.Option("--picture", metavar="FILE.svg", help="Draw the card.")
    ] = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Where to hold the point at each distance, the point-on distance, and what moves it."""
    from loosewell.workshop.aim import DISTANCES_YD
    from loosewell.workshop.aim import aim as card_of

    shots = [_shot(one) for one in shot or ()]
    places = [_quantity(one, "yd", "A distance of the card") or 0.0 for one in distance or ()]
    with open_workshop(workshop) as kept, progress_bar(as_json) as tell:
        card = card_of(
            _record(kept, "bow", bow),
            _record(kept, "archer", archer),
            [one.record for one in kept.list("shaft")],  # type: ignore[misc]
            arrow=_record(kept, "arrow", arrow),
            eye_above_in=_quantity(eye_above, "in", "The eye above the arrow"),
            anchor=anchor,
            shots=shots,
            distances_yd=places or DISTANCES_YD,
            point_weight_gr=_quantity(point, "gr", "The point weight"),
            length_in=_quantity(length, "in", "The arrow length"),
            heavier_gr=_quantity(heavier, "gr", "What the second point weighs more") or 0.0,
            jigs=kept.jigs(),
            progress=tell,
        )
    if picture is not None and not card.stops:
        from loosewell.faces.drawing import pen
        from loosewell.faces.drawing.aim import aim_card

        write_new(picture, pen.resolved(aim_card(card).svg()))
    if as_json:
        print_json(card.as_dict())
    else:
        show(card)


_SHOT = re.compile(
    r"(?P<far>.+?)[\s,:]+(?:(?P<on>point[ -]on)|gap\s+(?P<gap>.+?)(?:\s+(?P<way>below|above))?)",
    re.IGNORECASE,
)


def _shot(typed: str) -> Shot:
    """A shot gap from "20 yd gap 14 in", "60 yd gap 20 in above" or "45 yd point-on"."""
    from loosewell import units
    from loosewell.errors import UnitRefusal
    from loosewell.workshop.aim import Shot

    read = _SHOT.fullmatch(typed.strip())
    if read is None:
        raise UnitRefusal(
            f"A gap was given as '{typed[:60]}', which cannot be read. Type it as "
            '"20 yd gap 14 in" (the point held 14 in below the spot), "60 yd gap 20 in above" or '
            '"45 yd point-on".',
            code="reading-unreadable",
        )
    far = units.quantity(read["far"], "yd", what="The distance of a gap")
    if read["on"]:
        return Shot(far, 0.0)
    gap = units.quantity(read["gap"], "in", what="A gap")
    return Shot(far, -gap if (read["way"] or "").lower() == "above" else gap)


def show(card: AimCard) -> None:
    """The card in plain text, stops first."""
    from rich.padding import Padding
    from rich.table import Table

    from loosewell.faces.drawing.aim import held
    from loosewell.faces.wording import number

    console = _console()
    console.print()
    _say(console, f"Gaps of {card.archer} with {card.bow}", "bold")
    if card.invented:
        _say(console, "Invented records: for trying out only.")
    _notices(console, card.stops, card.warnings)
    if card.stops:
        _head(console, "Nothing was computed: settle the stop first.")
        return
    assert card.eye_above_in is not None
    assert card.speed_fps is not None
    eye = card.eye_above_in
    _say(
        console,
        f"{card.arrow}. Anchor: {card.anchor}; eye {eye.low:.1f} to {eye.high:.1f} in "
        f"({eye.low * 25.4:.0f} to {eye.high * 25.4:.0f} mm) above the arrow; speed "
        f"{card.speed_fps.low:.0f} to {card.speed_fps.high:.0f} fps "
        f"({card.speed_fps.low * 0.3048:.0f} to {card.speed_fps.high * 0.3048:.0f} m/s). The spot "
        "is level with the eye.",
    )
    _head(console, "Where to hold the point, at the target")
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
    for word in ("", "", "hold", "eight of ten", "seen at the point", "falls"):
        table.add_column(word)
    table.add_column(f"{card.heavier_gr:+g} gr")
    for gap in card.gaps:
        below, seen = gap.below_in, gap.at_point_in
        table.add_row(
            f"{gap.distance_yd:g} yd ({gap.distance_yd * 0.9144:.0f} m)",
            "SHOT" if gap.shot else "computed",
            f"{held(below.middle)} ({abs(below.middle) * 2.54:.0f} cm)",
            "" if gap.shot else f"{held(below.low)} to {held(below.high)}",
            f"{number(abs(seen.middle), 1)} in ({abs(seen.middle) * 25.4:.0f} mm)",
            f"{gap.fall_in:.0f} in",
            "" if gap.heavier_below_in is None else held(gap.heavier_below_in),
        )
    console.print(Padding(table, (0, 0, 0, 2)))
    _head(console, "Point-on")
    _say(console, "  " + card.point_on_text)
    if card.heavier_shift_yd is not None and card.heavier_point_on_yd is not None:
        shift = card.heavier_shift_yd
        way = "nearer" if shift.middle < 0.0 else "farther"
        low, high = sorted((abs(shift.low), abs(shift.high)))
        _say(
            console,
            f"  With {card.heavier_gr:+g} gr in the point ({card.heavier_gr * 0.0648:+.1f} g) it "
            f"comes {low:.1f} to {high:.1f} yd {way} ({low * 0.9144:.1f} to {high * 0.9144:.1f} "
            f"m); that arrow leaves at {card.heavier_speed_fps:.0f} fps.",
        )
    if card.causes:
        _head(console, "What makes it uncertain")
        _bullets(
            console,
            [
                f"{one.share_percent:.0f} %: {one.name}, {one.value}, {one.error}"
                + (" (assumed)" if one.assumed else "")
                + f"; {one.how_to_measure}"
                for one in card.causes
            ],
        )
    if card.notes:
        _head(console, "Notes")
        _bullets(console, card.notes)
    console.print()
    _say(
        console,
        "Only what you shot is inked; the rest is computed and is to be shot before it is trusted. "
        f"A change of arrow, point, string or anchor moves all of it. {card.weather}",
    )
