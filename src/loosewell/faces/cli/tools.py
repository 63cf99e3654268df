"""Small commands that need one job done: spine conversion and backup."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from loosewell.faces.cli.common import JsonOption, WorkshopOption, open_workshop, print_json


def register(app: typer.Typer) -> None:
    """The commands spine and backup, hung into the app."""
    app.command("spine")(spine)
    app.command("backup")(backup)


def spine(
    span: Annotated[
        str, typer.Option("--span", metavar="IN", help='Between the supports, "26 in".')
    ] = "",
    load: Annotated[
        str, typer.Option("--load", metavar="LB", help='Hung at the middle, "2 lb".')
    ] = "",
    deflection: Annotated[
        str, typer.Option("--deflection", metavar="IN", help='How far it sinks, "0.52 in".')
    ] = "",
    deflection_error: Annotated[
        str | None,
        typer.Option("--deflection-error", metavar="IN", help="Without it: 1/64 in, a fine ruler."),
    ] = None,
    load_error: Annotated[
        str, typer.Option("--load-error", metavar="PERCENT", help="Of the load.")
    ] = "1.5 %",
    span_error: Annotated[
        str, typer.Option("--span-error", metavar="IN", help="Of the span.")
    ] = "1/8 in",
    as_json: JsonOption = False,
) -> None:
    """Turn one bench reading into spine, in both standards, with its error."""
    from loosewell import units
    from loosewell.errors import BoundRefusal
    from loosewell.faces.cli import show
    from loosewell.records.shaft import BenchReading
    from loosewell.workshop.bench import readings_spine

    error = None
    if deflection_error is not None:
        error = units.quantity(deflection_error, "in", what="The error of the deflection")
    reading = BenchReading(
        span_in=units.quantity(span, "in", what="The span"),
        load_lb=units.quantity(load, "lb", what="The load"),
        deflection_in=units.quantity(deflection, "in", what="The deflection"),
        deflection_error_in=error,
    )
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
    found = readings_spine([reading], load_error=share, span_error_in=width)
    if as_json:
        print_json(show.spine_json(found))
        return
    print(found.spine_text())
    print(found.deflection_text())
    print(
        "The same stiffness twice: pounds grow with it, deflection shrinks. The error is made of:"
    )
    for reason in found.reasons:
        print(f"  {reason}")


def backup(
    copy: Annotated[Path, typer.Argument(metavar="FILE", help="The new file to write.")],
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Write a whole copy of the workshop, which opens like the workshop itself."""
    with open_workshop(workshop) as kept:
        written = kept.backup(copy)
        original = kept.path
    if as_json:
        print_json({"workshop": str(original), "backup": str(written)})
        return
    print(f"Wrote {written}, a whole copy of {original}. Open it with --workshop {written}.")
