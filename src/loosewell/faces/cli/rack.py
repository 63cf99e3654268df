"""Shafts in and out as a table of text."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from loosewell.faces.cli.common import JsonOption, WorkshopOption, open_workshop, print_json

_IMPORT_HELP = (
    "Add the shafts of a table (CSV), all of them or none. The first line names the columns, "
    "with the unit of each measured one: name,material,length (in),weight (gr),diameter (in),"
    "span (in),load (lb),deflection (in). Further readings and stations carry a number: "
    "deflection 2 (in), station 1 (in), diameter 1 (in), joint 1 (in), joint play 1 (deg), "
    "section from 1 (in), section to 1 (in), section material 1, jig 1, turned 1, reading on 1, "
    "weighed on 1, weighed 1 (gr), tap 1 (Hz), check 1, check finding 1. Every bad line is named."
)


def register(group: typer.Typer) -> None:
    """The commands import and export, hung into the group of shafts."""
    group.command("import", help=_IMPORT_HELP)(_import)
    group.command("export", help="Write the shafts in use to a new table (CSV).")(_export)


def _import(
    table: Annotated[Path, typer.Argument(metavar="FILE.csv", help="The table.")],
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    from loosewell.faces.cli import show
    from loosewell.workshop.table import read_shafts, refuse_rows

    # Read once before the file is opened: a bad table leaves no new workshop behind.
    refuse_rows(table, *read_shafts(table))
    with open_workshop(workshop, create=True) as kept:
        added = kept.import_shafts(table)
    if as_json:
        print_json([show.kept_json("shaft", one) for one in added])
        return
    count = "1 shaft" if len(added) == 1 else f"{len(added)} shafts"
    print(f"Added {count} from {table.name}.")


def _export(
    table: Annotated[Path, typer.Argument(metavar="FILE.csv", help="The table to write.")],
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    with open_workshop(workshop) as kept:
        count = kept.export_shafts(table)
    if as_json:
        print_json({"file": str(table), "shafts": count})
        return
    print(f"Wrote {'1 shaft' if count == 1 else f'{count} shafts'} to {table}.")
