"""A rack of shafts as a table of text: read whole or refused whole, and written back.

The header names each column and, for a measured one, its unit: "length (in)"
or "weight (g)". Columns that may repeat carry a number: "station 1 (in)",
"diameter 1 (in)", "span 2 (in)", "weighed on 3", "weighed 3 (gr)". Several
frequencies of one tap stand in one cell with spaces between. A cell left empty
is unknown.
"""

from __future__ import annotations

import contextlib
import csv
import io
import os
import re
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from loosewell import units
from loosewell.errors import FileRefusal, ImportRefusal, MissingRefusal, Refusal, UnitRefusal
from loosewell.records.base import said
from loosewell.records.shaft import Shaft

_TEXT = ("name", "kind", "material", "kept where", "remarks")
_INSPECTION = ("inspection result", "inspection on", "inspection by", "inspection note")
_YES_NO = ("invented",)
_SINGLE = {"length": "in", "weight": "gr", "weight error": "gr", "wall": "in"}
_STATION = {"station": "in", "diameter": "in", "across": "in"}
_BENCH = {
    "span": "in",
    "load": "lb",
    "deflection": "in",
    "deflection error": "in",
    "rotation": "deg",
}
_JOINT = {
    "joint": "in",
    "joint sleeve": "in",
    "joint sleeve weight": "gr",
    "joint stiffness": "percent",
    "joint give": "deg_per_ftlb",
    "joint play": "deg",
}
_SECTION = {
    "section from": "in",
    "section to": "in",
    "section stiffness": "percent",
    "section weight": "gr",
}
_SECTION_TEXT = ("section material",)
_BENCH_TEXT = ("jig", "turned", "reading on")
_WEIGHED = {"weighed": "gr", "weighed error": "gr"}
_WEIGHED_TEXT = ("weighed on",)
_TAP = {"tap": "hz", "tap length": "in", "tap weight": "gr"}
_TAP_TEXT = ("tap damping ratio", "tap on", "tap file")
_CHECK_TEXT = ("check", "check finding", "check note")
_MEASURED = {**_SINGLE, **_STATION, **_BENCH, **_JOINT, **_SECTION, **_WEIGHED, **_TAP}
# What is not measured, and belongs to a numbered group.
_GROUP_TEXT = {*_SECTION_TEXT, *_BENCH_TEXT, *_WEIGHED_TEXT, *_TAP_TEXT, *_CHECK_TEXT}
_NUMBERED_NAMES = {*_MEASURED, *_GROUP_TEXT} - {*_SINGLE}
# Where a column's name is not its field's.
_FIELD = {
    "joint": "station_in",
    "joint sleeve": "sleeve_length_in",
    "joint sleeve weight": "sleeve_weight_gr",
    "reading on": "on",
    "weighed": "weight_gr",
    "weighed error": "weight_error_gr",
    "weighed on": "on",
    "tap": "frequencies_hz",
    "tap length": "length_in",
    "tap weight": "weight_gr",
    "tap damping ratio": "damping_ratio",
    "check": "what",
    "check finding": "finding",
    "check note": "note",
}
_HEADED = {"percent": "%", "deg_per_ftlb": "deg/ftlb", "hz": "Hz"}
_SUFFIXED = re.compile(r"^(?P<name>.+?)[ _](?P<unit>in|mm|cm|gr|g|kg|lb|oz|deg|percent|hz)$")
_BRACKETED = re.compile(r"^(?P<name>.*?)\s*[(\[](?P<unit>[^)\]]*)[)\]]$")
_NUMBERED = re.compile(r"^(?P<name>.*?)\s*(?P<number>[1-9][0-9]?)$")
_BARE_NUMBER = re.compile(
    r"^[+-]?(?:(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?|[0-9 -]*[0-9]+/[0-9]+)$"
)


@dataclass(frozen=True)
class _Column:
    name: str
    number: int
    unit: str
    heading: str


def read_shafts(path: Path) -> tuple[list[tuple[int, Shaft]], list[tuple[int, str]]]:
    """The good rows and the bad rows of a table of shafts.

    Parameters
    ----------
    path : pathlib.Path
        The table as text, with commas, semicolons or tabs between the columns. [path]

    Returns
    -------
    good : list of (int, Shaft)
        Line number and shaft. [trade units]
    bad : list of (int, str)
        Line number and what is wrong with that line. [sentences]

    Holds
    -----
    Raises ImportRefusal when the header itself cannot be taken, FileRefusal
    when the file cannot be read as text.
    """
    text = _text(path)
    head = next((line for line in text.splitlines() if line.strip()), "")
    between = max(",;\t", key=head.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=between, strict=True)
    lines = _numbered(reader)
    try:
        line, heading = next(lines, (1, []))
        while not any(cell.strip() for cell in heading):
            line, heading = next(lines)
    except StopIteration:
        heading = []
    except _UnreadableError as stop:
        raise ImportRefusal(
            f"The header of {path.name} cannot be taken, and nothing of it was kept. "
            "Mend it and import the file again.",
            [(stop.line, stop.sentence)],
        ) from None
    if not heading:
        raise ImportRefusal(
            f"{path.name} holds no table. Its first line must name the columns, such as: "
            "name,length (in),weight (gr),span (in),load (lb),deflection (in).",
            [(1, "The header is missing.")],
        )
    columns = _columns(heading, line, path)
    good: list[tuple[int, Shaft]] = []
    bad: list[tuple[int, str]] = []
    try:
        for line, cells in lines:
            if not any(cell.strip() for cell in cells):
                continue
            try:
                good.append((line, _shaft(columns, cells)))
            except Refusal as refusal:
                bad.append((line, refusal.message))
    except _UnreadableError as stop:
        bad.append((stop.line, stop.sentence))
    return good, bad


def refuse_rows(path: Path, _good: object, bad: list[tuple[int, str]]) -> None:
    """Nothing when no row is bad; otherwise a refusal that names every bad row."""
    if bad:
        count = "1 row" if len(bad) == 1 else f"{len(bad)} rows"
        raise ImportRefusal(
            f"{count} of {path.name} cannot be taken, and nothing of it was kept. "
            "Mend the lines below and import the file again.",
            sorted(bad),
        )


def write_shafts(shafts: list[Shaft], path: Path) -> None:
    """A table of shafts at a path that did not exist, written whole or not at all.

    Parameters
    ----------
    shafts : list of Shaft
        What to write. [trade units]
    path : pathlib.Path
        Where; a file that is already there is refused. [path]
    """
    sheet = table_text(shafts)
    fresh = path.with_name(f".{path.name}.new-{uuid.uuid4().hex[:12]}")
    try:
        if path.is_file():
            raise FileRefusal(
                f"{path} is already there and is not written over. Give another name.",
                code="export-exists",
            )
        if path.exists():
            # A device or a pipe is written to directly; it has no place to be moved to.
            with path.open("w", encoding="utf-8", newline="") as file:
                file.write(sheet)
            return
        with fresh.open("w", encoding="utf-8", newline="") as file:
            file.write(sheet)
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(path)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise FileRefusal(
            f"The table {path} could not be written: {reason.lower()}. The workshop is as it was. "
            "Give another place.",
            code="export-unwritable",
        ) from None
    finally:
        with contextlib.suppress(OSError, ValueError):
            fresh.unlink(missing_ok=True)


def table_text(shafts: list[Shaft]) -> str:
    """The table of shafts as text, with a unit in every measured column's heading."""
    groups = [
        ("stations", (), _STATION, ()),
        ("bench_readings", (), _BENCH, _BENCH_TEXT),
        ("joints", (), _JOINT, ()),
        ("sections", (), _SECTION, _SECTION_TEXT),
        ("weighings", _WEIGHED_TEXT, _WEIGHED, ()),
        ("taps", (), _TAP, _TAP_TEXT),
        ("checks", (), {}, _CHECK_TEXT),
    ]
    counts = [
        max((len(_group(shaft, field)) for shaft in shafts), default=0) for field, *_ in groups
    ]
    headings = ["name", "kind", "material"]
    headings += [f"{name} ({unit})" for name, unit in _SINGLE.items()]
    for count, (_, before, measured, after) in zip(counts, groups, strict=True):
        for number in range(1, count + 1):
            headings += [f"{name} {number}" for name in before]
            headings += [
                f"{name} {number} ({_HEADED.get(unit, unit)})" for name, unit in measured.items()
            ]
            headings += [f"{name} {number}" for name in after]
    headings += ["kept where", *_INSPECTION, "remarks", "invented"]
    sheet = io.StringIO()
    writer = csv.writer(sheet, lineterminator="\n")
    writer.writerow(headings)
    for shaft in shafts:
        row: list[object] = [shaft.name, shaft.kind, shaft.material]
        row += [shaft.length_in, shaft.weight_gr, shaft.weight_error_gr, shaft.wall_in]
        for count, (field, before, measured, after) in zip(counts, groups, strict=True):
            told = _group(shaft, field)
            for place in range(count):
                one = told[place] if place < len(told) else None
                row += [_cell(one, name) for name in (*before, *measured, *after)]
        seen = shaft.inspection
        row += [shaft.kept_where]
        row += [seen and seen.result, seen and seen.on.isoformat(), seen and seen.by]
        row += [seen and seen.note, shaft.remarks, "yes" if shaft.invented else "no"]
        writer.writerow(["" if cell is None else cell for cell in row])
    return sheet.getvalue()


def _group(shaft: Shaft, field: str) -> tuple[Any, ...]:
    """The readings or parts of a shaft that take a numbered group of columns."""
    if field == "checks":
        return () if shaft.inspection is None else shaft.inspection.checks
    told: tuple[Any, ...] = getattr(shaft, field)
    return told


def _cell(one: Any, name: str) -> object:
    """A cell of a numbered group; an empty one where nothing is known."""
    value = getattr(one, _group_field(name), None)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return " ".join(str(part) for part in value)
    return value


class _UnreadableError(Exception):
    def __init__(self, line: int, sentence: str) -> None:
        super().__init__(sentence)
        self.line = line
        self.sentence = sentence


def _text(path: Path) -> str:
    try:
        raw = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise FileRefusal(
            f"The table {path} cannot be read: {reason.lower()}. Check the name of the file.",
            code="table-unreadable",
        ) from None
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise ImportRefusal(
            f"{path.name} is not text in UTF-8, so nothing of it was kept. Save it as CSV in "
            "UTF-8 and import it again.",
            [(line, "This line holds bytes that are not UTF-8.")],
        ) from None


def _numbered(reader: Any) -> Iterator[tuple[int, list[str]]]:
    """Rows with the number of the line they begin on."""
    while True:
        line = reader.line_num + 1
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise _UnreadableError(
                line,
                f"This line cannot be split into columns ({error}). Check the quotation marks; "
                "the lines after it were not read.",
            ) from None
        yield line, row


def _columns(heading: list[str], line: int, path: Path) -> list[_Column | None]:
    columns: list[_Column | None] = []
    bad: list[tuple[int, str]] = []
    seen: set[tuple[str, int]] = set()
    for cell in heading:
        try:
            column = _column(cell)
        except Refusal as refusal:
            bad.append((line, refusal.message))
            continue
        columns.append(column)
        if column is None:
            continue
        if (column.name, column.number) in seen:
            bad.append((line, f"The column '{cell.strip()}' stands there twice. Keep one."))
        seen.add((column.name, column.number))
    if ("name", 1) not in seen and not bad:
        bad.append((line, "No column is called 'name'. Every shaft needs a name of its own."))
    if bad:
        raise ImportRefusal(
            f"The header of {path.name} cannot be taken, and nothing of it was kept. "
            "Mend it and import the file again.",
            bad,
        )
    return columns


def _column(heading: str) -> _Column | None:
    shown = " ".join(heading.split())
    if not shown:
        return None
    words = shown.lower().replace("_", " ")
    unit = ""
    found = _BRACKETED.match(words) or _SUFFIXED.match(words)
    if found is not None:
        words, unit = found["name"].strip(), found["unit"].strip()
    number = 1
    numbered = _NUMBERED.match(words)
    if numbered is not None and numbered["name"] in _NUMBERED_NAMES:
        words, number = numbered["name"], int(numbered["number"])
    if words in _MEASURED:
        kind = _MEASURED[words]
        if not unit:
            raise UnitRefusal(
                f"The column '{shown}' has no unit. Put it into the header, such as "
                f"'{words} ({_HEADED.get(kind, kind)})'.",
                code="header-unit-missing",
            )
        units.quantity(f"1 {unit}", kind, what=f"The unit of column '{shown}'")
        return _Column(words, number, unit, shown)
    if words in _GROUP_TEXT:
        return _Column(words, number, "", shown)
    if words in (*_TEXT, *_INSPECTION, *_YES_NO):
        return _Column(words, 1, "", shown)
    known = ", ".join(
        [*_TEXT[:3], *_MEASURED, *sorted(_GROUP_TEXT), *_TEXT[3:], *_INSPECTION, *_YES_NO]
    )
    raise MissingRefusal(
        f"The column '{shown[:60]}' is not known. Known columns are {known}. Rename it, or move "
        "its content into the remarks.",
        code="header-unknown",
    )


def _shaft(columns: list[_Column | None], cells: list[str]) -> Shaft:
    """One row as a shaft; every complaint of the row in one sentence after another."""
    complaints: list[str] = []
    single: dict[str, Any] = {}
    groups: dict[str, dict[int, dict[str, Any]]] = {
        group: {} for group in (*_OF_GROUP, "inspection")
    }
    if len(cells) > len(columns) and any(cell.strip() for cell in cells[len(columns) :]):
        complaints.append(
            f"This line has {len(cells)} cells and the header {len(columns)}. Check for a comma "
            "inside a text or a decimal comma; put such a cell into quotation marks."
        )
    for column, cell in zip(columns, cells, strict=False):
        if column is None or not cell.strip():
            continue
        try:
            value: Any = cell.strip()
            if column.name == "tap":
                value = [_measured(column, part) for part in re.split(r"[\s;]+", value)]
            elif column.name in _MEASURED:
                value = _measured(column, value)
            elif column.name in _YES_NO or column.name == "turned":
                value = _yes_no(column, value)
            elif column.name == "tap damping ratio":
                value = _plain_number(column, value)
        except Refusal as refusal:
            complaints.append(refusal.message)
            continue
        group = next((one for one, names in _OF_GROUP.items() if column.name in names), None)
        if group is not None:
            place = groups[group].setdefault(column.number, {})
            place[_group_field(column.name)] = value
        elif column.name in _INSPECTION:
            field = column.name.removeprefix("inspection ")
            groups["inspection"].setdefault(1, {})[field] = value
        else:
            field = column.name.replace(" ", "_")
            single[f"{field}_{_SINGLE[column.name]}" if column.name in _SINGLE else field] = value
    if complaints:
        raise MissingRefusal(" ".join(complaints), code="row")
    _place_lone_diameter(groups["station"], single)
    single["stations"] = [groups["station"][number] for number in sorted(groups["station"])]
    single["bench_readings"] = [
        _whole(groups["bench"][number], number) for number in sorted(groups["bench"])
    ]
    single["joints"] = [_placed(one, "joint") for one in _in_turn(groups["joint"])]
    single["sections"] = [_placed(one, "section") for one in _in_turn(groups["section"])]
    single["weighings"] = [one for _, one in _in_turn(groups["weighed"])]
    single["taps"] = [one for _, one in _in_turn(groups["tap"])]
    if groups["inspection"]:
        single["inspection"] = groups["inspection"][1]
    if groups["check"]:
        checks = [one for _, one in _in_turn(groups["check"])]
        single["inspection"] = {**single.get("inspection", {}), "checks": checks}
    return Shaft.model_validate(single)


# The columns of each numbered group.
_OF_GROUP: dict[str, set[str]] = {
    "station": {*_STATION},
    "bench": {*_BENCH, *_BENCH_TEXT},
    "joint": {*_JOINT},
    "section": {*_SECTION, *_SECTION_TEXT},
    "weighed": {*_WEIGHED, *_WEIGHED_TEXT},
    "tap": {*_TAP, *_TAP_TEXT},
    "check": {*_CHECK_TEXT},
}


def _group_field(name: str) -> str:
    """Field of a reading or a part for a column: "section from" is from_in."""
    if name in _FIELD:
        return _FIELD[name]
    inside = name in _JOINT or name in _SECTION or name in _SECTION_TEXT or name in _TAP_TEXT
    words = "_".join(name.split()[1:] if inside else name.split())
    unit = _MEASURED.get(name)
    return words if unit is None else f"{words}_{unit}"


def _in_turn(group: dict[int, dict[str, Any]]) -> list[tuple[int, dict[str, Any]]]:
    return [(number, group[number]) for number in sorted(group)]


def _placed(numbered: tuple[int, dict[str, Any]], word: str) -> dict[str, Any]:
    """A joint or a section that says where it is; play alone makes no joint."""
    number, part = numbered
    needed = {
        "joint": {"station_in": "joint"},
        "section": {"from_in": "section from", "to_in": "section to"},
    }[word]
    missing = [f"'{name} {number} (in)'" for field, name in needed.items() if field not in part]
    if missing:
        raise MissingRefusal(
            f"{word.capitalize()} {number} has values but no place on the shaft. Fill the column "
            f"{' and the column '.join(missing)}, measured from the nock end, or leave all of it "
            "empty.",
            code="part-without-place",
        )
    return part


def _place_lone_diameter(stations: dict[int, dict[str, Any]], single: dict[str, Any]) -> None:
    """One diameter without a station is the diameter at the middle of the shaft."""
    if len(stations) != 1:
        return
    (lone,) = stations.values()
    if "diameter_in" in lone and "station_in" not in lone:
        if "length_in" not in single:
            raise MissingRefusal(
                "A diameter was given without its station and without a shaft length. Give the "
                "length, or a column 'station 1 (in)'.",
                code="missing-station",
            )
        lone["station_in"] = 0.5 * single["length_in"]


def _whole(reading: dict[str, Any], number: int) -> dict[str, Any]:
    needed: dict[str, Callable[[], str]] = {
        "span_in": lambda: "span",
        "load_lb": lambda: "load",
        "deflection_in": lambda: "deflection",
    }
    missing = [word() for field, word in needed.items() if field not in reading]
    if missing:
        raise MissingRefusal(
            f"Bench reading {number} lacks its {' and its '.join(missing)}. A deflection means "
            "nothing without its span and its load: give all three, or leave all three empty.",
            code="reading-incomplete",
        )
    return reading


def _measured(column: _Column, cell: str) -> float:
    kind = _MEASURED[column.name]
    what = said("shaft", f"{column.name.replace(' ', '_')}_{kind}")
    text = f"{cell} {column.unit}" if _BARE_NUMBER.match(cell) else cell
    return units.quantity(text, kind, what=what)


def _plain_number(column: _Column, cell: str) -> float:
    try:
        return float(cell.replace(",", "."))
    except ValueError:
        raise UnitRefusal(
            f"The column '{column.heading}' holds '{cell[:40]}'. Write a plain number without a "
            "unit, such as 0.004.",
            code="plain-number",
        ) from None


def _yes_no(column: _Column, cell: str) -> bool:
    if cell.lower() in ("yes", "y", "true", "1"):
        return True
    if cell.lower() in ("no", "n", "false", "0"):
        return False
    raise MissingRefusal(
        f"The column '{column.heading}' holds '{cell[:40]}'. Write yes or no.", code="yes-no"
    )
