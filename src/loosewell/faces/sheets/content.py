"""What a sheet holds, before it is paper or plain text: stops, facts, tables, drawings, blanks.

A sheet is written once as these parts; ``press`` sets it on paper and ``twin`` prints it as
plain text, so that both say the same. A value of None is a blank for a pencil.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

BLANK = "________"
"""A blank in the plain text."""
LEAST_ROWS = 2
"""Empty rows that are left when a sheet has to be made shorter."""


@dataclass(frozen=True)
class Facts:
    """Named values one below the other; None is a blank line."""

    heading: str
    rows: tuple[tuple[str, str | None], ...]
    spare: bool = False
    """May be left out of the paper when the page is full."""


@dataclass(frozen=True)
class Grid:
    """A table; an empty cell is a box for a pencil. ``wide`` are the shares of the width."""

    heading: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    wide: tuple[float, ...]
    blank_rows: int = 0
    note: str = ""
    spare: bool = False
    left_out: int = 0


@dataclass(frozen=True)
class Lines:
    """Sentences, as points or numbered."""

    heading: str
    lines: tuple[str, ...]
    numbered: bool = False
    spare: bool = False


@dataclass(frozen=True)
class Picture:
    """A drawing in points at its true size, and the same in words."""

    heading: str
    svg: str
    width_pt: float
    height_pt: float
    words: str
    spare: bool = False


@dataclass(frozen=True)
class Ruler:
    """A printed ruler, 100 mm and 4 in long, to check the scale of the paper."""

    heading: str = "Lay a ruler on this one first"
    spare: bool = False


@dataclass(frozen=True)
class Label:
    """One label to be cut out."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Labels:
    """Labels side by side, to be cut out."""

    heading: str
    labels: tuple[Label, ...]
    across: int = 2
    spare: bool = False
    left_out: int = 0


Block = Facts | Grid | Lines | Picture | Ruler | Labels


@dataclass(frozen=True)
class Sheet:
    """One sheet of paper: what it is, the hard stops, the parts in order.

    ``link`` is the short code that leads back to the record, ``back`` the command that
    shows it; both are empty for a sheet of no record.
    """

    kind: str
    title: str
    stops: tuple[str, ...]
    blocks: tuple[Block, ...]
    link: str = ""
    back: str = ""
    under: str = ""
    foot: tuple[str, ...] = ()
    invented: bool = False
    cut: tuple[str, ...] = field(default=())
    """What was left out of the paper because the page was full; the twin has it."""

    def as_dict(self) -> dict[str, Any]:
        """The sheet for JSON, drawings in words only."""
        return {
            "kind": self.kind,
            "title": self.title,
            "under": self.under,
            "stops": list(self.stops),
            "link": self.link,
            "back": self.back,
            "parts": [_plain(one) for one in self.blocks],
            "foot": list(self.foot),
            "invented": self.invented,
            "left_out_of_the_paper": list(self.cut),
        }


def _plain(block: Block) -> dict[str, Any]:
    told: dict[str, Any] = {"part": type(block).__name__.lower(), "heading": block.heading}
    if isinstance(block, Facts):
        told["rows"] = [{"what": what, "value": value} for what, value in block.rows]
    elif isinstance(block, Grid):
        told |= {"columns": list(block.columns), "rows": [list(row) for row in block.rows]}
        told |= {"blank_rows": block.blank_rows, "note": block.note}
    elif isinstance(block, Lines):
        told["lines"] = list(block.lines)
    elif isinstance(block, Picture):
        told["words"] = block.words
    elif isinstance(block, Labels):
        told["labels"] = [{"title": one.title, "lines": list(one.lines)} for one in block.labels]
    return told


def shorter(sheet: Sheet) -> Sheet | None:
    """The sheet with a little less on it, or None when nothing may go.

    Parameters
    ----------
    sheet : Sheet
        As it stands.

    Returns
    -------
    sheet : Sheet or None
        First empty rows go, then what is marked spare, then rows of the longest list; what went
        is named in ``cut``. Stops never go.
    """
    return _fewer_blanks(sheet) or _without_spare(sheet) or _fewer_rows(sheet)


def _fewer_blanks(sheet: Sheet) -> Sheet | None:
    most = max((one.blank_rows for one in sheet.blocks if isinstance(one, Grid)), default=0)
    if most <= LEAST_ROWS:
        return None
    blocks: list[Block] = []
    done = False
    for one in sheet.blocks:
        if isinstance(one, Grid) and one.blank_rows == most and not done:
            one, done = replace(one, blank_rows=most - 1), True
        blocks.append(one)
    return replace(sheet, blocks=tuple(blocks))


def _without_spare(sheet: Sheet) -> Sheet | None:
    places = [place for place, one in enumerate(sheet.blocks) if one.spare]
    if not places:
        return None
    gone = sheet.blocks[places[-1]]
    blocks = tuple(one for place, one in enumerate(sheet.blocks) if place != places[-1])
    return replace(sheet, blocks=blocks, cut=(*sheet.cut, gone.heading))


def _fewer_rows(sheet: Sheet) -> Sheet | None:
    def size(block: Block) -> int:
        if isinstance(block, Grid):
            return len(block.rows)
        return len(block.labels) if isinstance(block, Labels) else 0

    longest = max(sheet.blocks, key=size, default=None)
    if longest is None or size(longest) <= 1:
        return None
    less: Block
    if isinstance(longest, Grid):
        less = replace(longest, rows=longest.rows[:-1], left_out=longest.left_out + 1)
    else:
        assert isinstance(longest, Labels)
        less = replace(
            longest,
            labels=longest.labels[: -longest.across],
            left_out=longest.left_out + len(longest.labels[-longest.across :]),
        )
    blocks = tuple(less if one is longest else one for one in sheet.blocks)
    said = f"rows of {longest.heading}" if longest.heading else "rows"
    cut = sheet.cut if said in sheet.cut else (*sheet.cut, said)
    return replace(sheet, blocks=blocks, cut=cut)


def known(rows: Sequence[tuple[str, str | None]]) -> tuple[tuple[str, str], ...]:
    """Only the rows that hold a value."""
    return tuple((what, value) for what, value in rows if value is not None)
