"""Small commands that need one job done."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from loosewell.faces.cli.common import JsonOption, WorkshopOption, open_workshop, print_json


def register(app: typer.Typer) -> None:
    """The command backup, hung into the app."""
    app.command("backup")(backup)


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
