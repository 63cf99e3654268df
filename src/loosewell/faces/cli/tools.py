"""Small commands that need one job done."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from loosewell.faces.cli.common import JsonOption, WorkshopOption, open_workshop, print_json


def register(app: typer.Typer) -> None:
    """The command backup, hung into the app."""
    app.command("speed")(speed)
    app.command("backup")(backup)


def speed(
    recording: Annotated[
        Path | None,
        typer.Argument(
            metavar="FILE", help="One shot as WAV, FLAC or OGG, the loose and the hit on it."
        ),
    ] = None,
    seconds: Annotated[
        str | None,
        typer.Option("--seconds", metavar="S", help='Without a file: loose to hit, "0.45 s".'),
    ] = None,
    distance: Annotated[
        str, typer.Option("--distance", metavar="YD", help='Line to butt, taped, "20 yd".')
    ] = "",
    temperature: Annotated[
        str, typer.Option("--temperature", metavar="DEGF", help="Of the air.")
    ] = "68 degF",
    recorder: Annotated[
        str, typer.Option("--recorder", help="Where it stood: line or butt.")
    ] = "line",
    as_json: JsonOption = False,
) -> None:
    """Tell an arrow's speed from the sounds of its loose and its hit."""
    from dataclasses import asdict
    from typing import cast

    from loosewell import units
    from loosewell.errors import BoundRefusal, MissingRefusal
    from loosewell.workshop.reading import echo

    if (recording is None) == (seconds is None):
        raise MissingRefusal(
            "Give either a recording of one shot, or the time between loose and hit: --seconds "
            '"0.45 s".',
            code="missing-seconds",
        )
    if recorder not in ("line", "butt"):
        raise BoundRefusal(
            f"The recorder was said to stand at '{recorder[:40]}'. Say line (beside the archer) or "
            "butt.",
            code="choice-recorder",
        )
    way = units.quantity(distance, "yd", what="The distance")
    warm = units.quantity(temperature, "degF", what="The temperature")
    if not -40.0 <= warm <= 130.0:
        raise BoundRefusal(
            f"A temperature of {warm:g} °F is outside -40 to 130 °F.", code="bound-temperature"
        )
    if recording is not None:
        time, error = echo.two_sounds(recording), echo.PICKED_S
    else:
        time, error = units.quantity(seconds or "", "s", what="The time"), echo.HAND_S
    found = echo.heard_speed(way, time, error, warm, cast(echo.Recorder, recorder))
    if as_json:
        print_json({**asdict(found), "said": found.text()})
        return
    print(found.text())
    print(
        f"Loose to hit {time:.3f} s; {found.seconds:.3f} s of it the arrow flew. The error is of:"
    )
    for reason in found.reasons:
        print(f"  {reason}")
    percent = 100.0 * found.error_fps / found.speed_fps
    print(
        f'For an outing: add to a shot "{found.speed_fps:.0f} fps" (± {percent:.1f} %). For a bow: '
        "--speed-reading with the arrow's mass and the draw."
    )


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
