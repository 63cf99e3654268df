"""The plain-text twin of a sheet: the same words, tables and blanks, 79 columns wide."""

from __future__ import annotations

import textwrap

from loosewell.faces.sheets.content import (
    BLANK,
    Block,
    Facts,
    Grid,
    Labels,
    Lines,
    Picture,
    Sheet,
)

WIDE = 79


def text(sheet: Sheet) -> str:
    """The whole sheet as plain text, the hard stops first."""
    lines: list[str] = []
    for stop in sheet.stops:
        lines += _wrapped(f"STOP. {stop}")
        lines.append("")
    lines += [*_wrapped(sheet.title.upper()), "=" * min(len(sheet.title), WIDE)]
    if sheet.under:
        lines += _wrapped(sheet.under)
    if sheet.invented:
        lines.append("Invented: nothing here was measured.")
    for block in sheet.blocks:
        lines.append("")
        if block.heading and not isinstance(block, Picture):
            lines += [block.heading, "-" * min(len(block.heading), WIDE)]
        lines += _told(block)
    if sheet.foot:
        lines.append("")
        for one in sheet.foot:
            lines += _wrapped(one)
    if sheet.link:
        lines += ["", sheet.link, f"Look it up with: {sheet.back}"]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _wrapped(words: str, first: str = "", later: str | None = None) -> list[str]:
    return textwrap.wrap(
        words,
        WIDE,
        initial_indent=first,
        subsequent_indent=" " * len(first) if later is None else later,
        break_long_words=False,
        break_on_hyphens=False,
    ) or [first]


def _told(block: Block) -> list[str]:
    if isinstance(block, Facts):
        wide = min(max((len(what) for what, _ in block.rows), default=0), 36)
        found: list[str] = []
        for what, value in block.rows:
            told = BLANK * 2 if value is None else value
            found += _wrapped(told, f"{what + ':':<{wide + 2}}", " " * (wide + 2))
        return found
    if isinstance(block, Grid):
        return _table(block)
    if isinstance(block, Lines):
        found = []
        for place, line in enumerate(block.lines, 1):
            found += _wrapped(line, f"{place}. " if block.numbered else "- ")
        return found
    if isinstance(block, Picture):
        return _wrapped(f"[{block.heading}: {block.words}]")
    if isinstance(block, Labels):
        found = []
        for label in block.labels:
            found += [f"| {label.title}", *(f"|   {line}" for line in label.lines), ""]
        return found[:-1]
    return ["[On paper: a ruler of 100 mm and 4 in, to check the scale of the print.]"]


def _table(grid: Grid) -> list[str]:
    rows = [*grid.rows, *(("",) * len(grid.columns) for _ in range(grid.blank_rows))]
    cells = [[cell or "_" * 6 for cell in row] for row in rows]
    wide = [
        max(len(name), *(len(row[place]) for row in cells)) if cells else len(name)
        for place, name in enumerate(grid.columns)
    ]
    note = [] if not grid.note else _wrapped(grid.note)
    if sum(wide) + 2 * (len(wide) - 1) <= WIDE:
        shown = [list(grid.columns), *cells]
        return [
            "  ".join(f"{cell:<{w}}" for cell, w in zip(row, wide, strict=True)) for row in shown
        ] + note
    found: list[str] = []
    for row in cells:
        for place, (name, cell) in enumerate(zip(grid.columns, row, strict=True)):
            found += _wrapped(f"{name}: {cell}" if name else cell, "- " if place == 0 else "  ")
    return found + note
