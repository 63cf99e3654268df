"""Shots as a table of text, one arrow a line, with the unit of every measure in its header."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path
from typing import Any

from loosewell import units
from loosewell.errors import ImportRefusal, MissingRefusal, Refusal, UnitRefusal
from loosewell.records import ShotSeen
from loosewell.workshop.table import _text as whole_text

MEASURED = {
    "left": ("left_in", "in", 1.0),
    "right": ("left_in", "in", -1.0),
    "high": ("high_in", "in", 1.0),
    "low": ("high_in", "in", -1.0),
    "place error": ("place_error_in", "in", 1.0),
    "nock left": ("nock_left_deg", "deg", 1.0),
    "nock right": ("nock_left_deg", "deg", -1.0),
    "nock high": ("nock_high_deg", "deg", 1.0),
    "nock low": ("nock_high_deg", "deg", -1.0),
    "angle error": ("angle_error_deg", "deg", 1.0),
    "speed": ("speed_fps", "fps", 1.0),
    "speed error": ("speed_error_percent", "percent", 1.0),
}
TEXT = ("arrow", "kind", "nock sideways", "nock upright", "called", "cold", "marks", "count")
EXAMPLE = "kind,arrow,left (in),high (in),nock sideways,called"
MOST_ALIKE = 50
_HEADING = re.compile(r"^(?P<name>[^(\[]*?)\s*(?:[(\[](?P<unit>[^)\]]*)[)\]])?$")


def read_shots(path: Path) -> list[ShotSeen]:
    """The shots of a table, all of them or none.

    Parameters
    ----------
    path : pathlib.Path
        Text with commas, semicolons or tabs between the columns. [path]

    Returns
    -------
    shots : list of ShotSeen
        In the order of the file. [trade units]

    Holds
    -----
    Raises ImportRefusal naming every bad row by its line number.
    """
    text = whole_text(path)
    lines = [line for line in text.splitlines() if line.strip()]
    if not lines:
        raise ImportRefusal(
            f"{path.name} holds no table. Its first line must name the columns, such as: "
            f"{EXAMPLE}.",
            [(1, "The header is missing.")],
        )
    between = max(",;\t", key=lines[0].count)
    rows = list(csv.reader(io.StringIO(text), delimiter=between))
    start = next(i for i, row in enumerate(rows) if any(cell.strip() for cell in row))
    try:
        columns = [_column(cell) for cell in rows[start]]
        if len(set(columns)) < len(columns):
            raise UnitRefusal("The header names one column twice.", code="column-twice")
    except Refusal as refusal:
        raise ImportRefusal(
            f"The header of {path.name} cannot be taken, and nothing of it was kept.",
            [(start + 1, refusal.message)],
        ) from None
    found: list[ShotSeen] = []
    bad: list[tuple[int, str]] = []
    for number, row in enumerate(rows[start + 1 :], start + 2):
        if not any(cell.strip() for cell in row):
            continue
        try:
            found += _shots(columns, row)
        except Refusal as refusal:
            bad.append((number, refusal.message))
    if bad:
        raise ImportRefusal(
            f"{len(bad)} of the rows of {path.name} cannot be taken, and nothing of it was kept. "
            "Mend the lines below and give the file again.",
            bad,
        )
    return found


def _column(heading: str) -> tuple[str, str]:
    """Name and unit of a column; an unknown one, or a measure without its unit, is refused."""
    told = _HEADING.match(" ".join(heading.split()).casefold().replace("_", " "))
    name, unit = ("", None) if told is None else (told["name"].strip(), told["unit"])
    if name in TEXT:
        return name, ""
    if name not in MEASURED:
        raise UnitRefusal(
            f"The column '{heading.strip()[:40]}' is not known. Known are: "
            f"{', '.join((*TEXT, *MEASURED))}.",
            code="column-unknown",
        )
    if not unit:
        raise UnitRefusal(
            f"The column '{heading.strip()[:40]}' carries no unit. Write it as "
            f"'{name} ({MEASURED[name][1].replace('percent', '%')})'.",
            code="column-unit",
        )
    return name, unit


def _shots(columns: list[tuple[str, str]], row: list[str]) -> list[ShotSeen]:
    if len(row) > len(columns) and any(cell.strip() for cell in row[len(columns) :]):
        raise UnitRefusal("This line has more cells than the header has columns.", code="cells")
    fields: dict[str, Any] = {}
    count = 1
    for (name, unit), cell in zip(columns, row, strict=False):
        text = " ".join(cell.split())
        if not text:
            continue
        if name in MEASURED:
            field, wanted, sign = MEASURED[name]
            if field in fields:
                raise UnitRefusal(
                    f"The column '{name}' and its opposite are both filled. Fill one of the two.",
                    code="twice",
                )
            fields[field] = sign * units.quantity(
                f"{text} {unit}", wanted, what=f"The column '{name}'"
            )
        elif name == "kind":
            if text.casefold() not in ("bare", "fletched"):
                raise UnitRefusal(
                    f"The kind '{text[:20]}' is neither bare nor fletched.", code="kind"
                )
            fields["bare"] = text.casefold() == "bare"
        elif name == "cold":
            if text.casefold() not in ("yes", "no"):
                raise UnitRefusal(f"Cold is '{text[:20]}'. Say yes or no.", code="cold")
            fields["cold"] = text.casefold() == "yes"
        elif name == "marks":
            fields["marks"] = tuple(part.strip() for part in re.split(r"[;+/]", text.casefold()))
        elif name == "count":
            if not text.isdigit() or not 1 <= int(text) <= MOST_ALIKE:
                raise UnitRefusal(
                    f"A count of '{text[:20]}' is not a whole number from 1 to {MOST_ALIKE}.",
                    code="count",
                )
            count = int(text)
        else:
            key = {"nock sideways": "nock_sideways", "nock upright": "nock_upright"}.get(name, name)
            fields[key] = text if name == "arrow" else text.casefold()
    if "bare" not in fields:
        raise MissingRefusal(
            "Of a shot it is not told whether it was bare or fletched. Fill the column 'kind'.",
            code="missing-kind",
        )
    return [ShotSeen(**fields)] * count
