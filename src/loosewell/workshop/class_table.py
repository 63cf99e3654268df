"""The roster of a class in and out as a table of text, units in its header."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from loosewell import units
from loosewell.errors import FileRefusal, ImportRefusal, Refusal, UnitRefusal
from loosewell.records import Pupil

# Heading without its unit, field, and the trade unit of a measured one.
COLUMNS: tuple[tuple[str, str, str | None], ...] = (
    ("name", "name", None),
    ("hand", "hand", None),
    ("draw", "draw_length_in", "in"),
    ("draw measured", "draw_measured", None),
    ("draw method", "draw_method", None),
    ("draw error", "draw_error_in", "in"),
    ("draw date", "draw_date", None),
    ("child", "child", None),
    ("experience", "experience", None),
    ("strength", "strength_lb", "lb"),
    ("remarks", "remarks", None),
)


def read_people(path: Path) -> list[Pupil]:
    """The people of a table; a refusal that names every bad line.

    Parameters
    ----------
    path : pathlib.Path
        UTF-8, the first line the header, measured columns with a unit: draw (in), strength (kg).

    Returns
    -------
    people : list of Pupil
        In the order of the file.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise FileRefusal(
            f"{path} is not text in UTF-8. Save the table as CSV in UTF-8.", code="table-encoding"
        ) from None
    except OSError as error:
        raise FileRefusal(
            f"The table {path} cannot be read: {(error.strerror or str(error)).lower()}. Check "
            "where it lies.",
            code="file-unreachable",
        ) from None
    head = text.splitlines()[0] if text.strip() else ""
    divider = ";" if head.count(";") > head.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=divider)
    rows = iter(reader)
    columns = _columns(next(rows, []), path)
    people: list[Pupil] = []
    bad: list[tuple[int, str]] = []
    seen: dict[str, int] = {}
    line = reader.line_num + 1
    for cells in rows:
        if any(cell.strip() for cell in cells):
            try:
                one = _person(columns, cells)
                if one.name.casefold() in seen:
                    raise UnitRefusal(
                        f"{one.name} stands in line {seen[one.name.casefold()]} already. Tell two "
                        "people of one name apart by a letter or a number.",
                        code="class-twice",
                    )
                seen[one.name.casefold()] = line
                people.append(one)
            except Refusal as refusal:
                bad.append((line, refusal.message))
        line = reader.line_num + 1
    if bad:
        raise ImportRefusal(f"Nothing was taken from {path}: mend these lines first.", bad)
    if not people:
        raise FileRefusal(
            f"{path} holds nobody. Give one line a person below the header.", code="table-empty"
        )
    return people


def _columns(heading: Sequence[str], path: Path) -> list[tuple[str, str | None]]:
    known = {name: (field, unit) for name, field, unit in COLUMNS}
    found: list[tuple[str, str | None]] = []
    for cell in heading:
        name, _, rest = cell.strip().casefold().partition("(")
        unit = rest.rstrip(") ").strip() or None
        if name.strip() not in known:
            raise FileRefusal(
                f"{path} has a column '{cell.strip()[:40]}', which is none of a roster. Columns "
                f"are: {header_text()}.",
                code="table-column",
            )
        field, wanted = known[name.strip()]
        if wanted is not None and unit is None:
            raise FileRefusal(
                f"The column '{cell.strip()}' of {path} carries no unit. Write it into the header: "
                f"{name.strip()} ({wanted}).",
                code="table-unit",
            )
        found.append((field, unit))
    for need in ("name", "hand"):
        if need not in [field for field, _ in found]:
            raise FileRefusal(
                f"{path} has no column '{need}'. Columns are: {header_text()}.",
                code="table-column",
            )
    return found


def _person(columns: Sequence[tuple[str, str | None]], cells: Sequence[str]) -> Pupil:
    given: dict[str, object] = {}
    wanted = {field: unit for _, field, unit in COLUMNS}
    for (field, unit), cell in zip(columns, cells, strict=False):
        text = cell.strip()
        if not text:
            continue
        if field == "child":
            if text.casefold() not in ("yes", "no", "true", "false", "y", "n"):
                raise UnitRefusal(
                    f"Child was given as '{text[:40]}'. Say yes or no, or leave it empty.",
                    code="choice-child",
                )
            given[field] = text.casefold() in ("yes", "true", "y")
        elif wanted[field] is not None:
            what = next(name for name, own, _ in COLUMNS if own == field)
            bare = text.replace(",", ".").replace(".", "", 1).isdigit()
            given[field] = units.quantity(
                f"{text} {unit}" if bare else text, str(wanted[field]), what=what.capitalize()
            )
        elif field in ("hand", "draw_measured", "draw_method", "experience"):
            given[field] = text.casefold()
        else:
            given[field] = text
    return Pupil.model_validate(given)


def header_text() -> str:
    """The header of a roster, units included."""
    return ",".join(name if unit is None else f"{name} ({unit})" for name, _, unit in COLUMNS)


def write_people(people: Sequence[Pupil], path: Path) -> None:
    """A new table that ``read_people`` reads back.

    Parameters
    ----------
    people : sequence of Pupil
        The roster.
    path : pathlib.Path
        Must not be there yet.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header_text().split(","))
    for one in people:
        row = []
        for _, field, _ in COLUMNS:
            value = getattr(one, field)
            row.append(
                ""
                if value is None
                else ("yes" if value else "no")
                if isinstance(value, bool)
                else f"{value:.12g}"
                if isinstance(value, float)
                else str(value)
            )
        writer.writerow(row)
    try:
        with path.open("x", encoding="utf-8", newline="") as file:
            file.write(out.getvalue())
    except FileExistsError:
        raise FileRefusal(
            f"{path} is already there and was left as it was. Give another name.",
            code="file-there",
        ) from None
    except OSError as error:
        raise FileRefusal(
            f"{path} cannot be written: {(error.strerror or str(error)).lower()}.",
            code="file-unreachable",
        ) from None
