"""The press: a sheet set on one page of A4 or letter, in PDF or as a picture."""

from __future__ import annotations

import bisect
import json
import re
import unicodedata
from dataclasses import dataclass
from importlib import resources
from typing import Any, Literal

from loosewell.errors import ContradictionRefusal
from loosewell.faces.sheets import link
from loosewell.faces.sheets.content import (
    Block,
    Facts,
    Grid,
    Labels,
    Lines,
    Picture,
    Ruler,
    Sheet,
    shorter,
)

Paper = Literal["a4", "letter"]
SIZE_PT = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}
"""Width and height of the two papers. [pt] ISO 216: 210 by 297 mm; ANSI: 8.5 by 11 in."""
MARGIN_PT = 38.0
_TYPST_PAPER = {"a4": "a4", "letter": "us-letter"}
LEAST_PT = 11.0
"""Smallest letters on any sheet. [pt]"""
LEVELS = (
    (24.0, 13.0, 1.0),
    (21.0, 12.0, 0.8),
    (18.0, 11.5, 0.6),
    (16.0, LEAST_PT, 0.35),
    (16.0, LEAST_PT, 0.1),
)
"""Title with stops, body, and the air between lines, from roomy to tight. [pt, pt, 1]"""
_HELD = re.compile(
    r"(?<=[0-9]) (?=(?:in|mm|cm|ft|yd|m|lb|kg|gr|g|deg|fps)\b)|(?<=±) | (?=±)"
    r"|(?<=\bin) (?=/)|(?<=/) (?=mm)"
)
"""Blanks at which no line is broken: between a number, its error and its unit."""
_COVERED = ("LATIN", "GREEK", "CYRILLIC", "HEBREW")
"""Scripts of the faces that travel with the typesetter."""


@dataclass(frozen=True)
class Pressed:
    """One page, the sheet as it stands on it, and what to say about it."""

    page: bytes
    sheet: Sheet
    words: tuple[str, ...]


def press(sheet: Sheet, paper: Paper = "a4", as_picture: bool = False) -> Pressed:
    """The sheet on one page, as large as it fits.

    Parameters
    ----------
    sheet : Sheet
        What it says.
    paper : str
        a4 or letter.
    as_picture : bool
        A PNG in place of the PDF.

    Returns
    -------
    pressed : Pressed
        The page; the same sheet gives the same bytes.

    Raises
    ------
    Refusal
        When even the shortest sheet does not fit: its stops or its names are too long.
    """
    import typst

    source = (resources.files(__package__) / "sheet.typ").read_bytes()
    own_faces = covered(sheet)
    code = link.qr(sheet.link) if sheet.link else ""

    def inputs(one: Sheet, level: tuple[float, float, float]) -> dict[str, str]:
        told = _held(_data(one, paper, level))
        return {"sheet": json.dumps(told, ensure_ascii=False), "code": code}

    def pages(one: Sheet, level: tuple[float, float, float]) -> int:
        found = typst.query(
            source, "<pages>", field="value", sys_inputs=inputs(one, level),
            ignore_system_fonts=own_faces,
        )  # fmt: skip
        return int(json.loads(found)[0])

    level = next((one for one in LEVELS if pages(sheet, one) == 1), None)
    if level is None:
        versions = [sheet]
        while (less := shorter(versions[-1])) is not None:
            versions.append(less)
        if pages(versions[-1], LEVELS[-1]) > 1:
            raise ContradictionRefusal(
                f"The sheet '{sheet.title}' does not fit on one page at letters that can be read "
                "at arm's length. Shorten its names and remarks, or print the plain text with "
                "--text.",
                code="sheet-too-long",
            )
        fits = bisect.bisect_left(versions, True, key=lambda one: pages(one, LEVELS[-1]) == 1)
        sheet = versions[fits]
        level = next(one for one in LEVELS if pages(sheet, one) == 1)
    told = inputs(sheet, level)
    made: Any
    if as_picture:
        made = typst.compile(
            source, format="png", ppi=144.0, sys_inputs=told, ignore_system_fonts=own_faces
        )
    else:
        made = typst.compile(
            source, format="pdf", timestamp=0, sys_inputs=told, ignore_system_fonts=own_faces
        )
    words = []
    if sheet.cut:
        words.append(
            f"Left out, because the page was full: {', '.join(sheet.cut)}. The plain text "
            "(--text) has all of it."
        )
    if not own_faces:
        words.append(
            "It holds letters that the faces of this tool do not have, and the faces of this "
            "machine were used: look at the page before you hand it out."
        )
    return Pressed(made, sheet, tuple(words))


def covered(sheet: Sheet) -> bool:
    """Whether the faces that travel with the tool hold all letters of the sheet."""
    letters = {one for one in json.dumps(sheet.as_dict(), ensure_ascii=False) if one.isalpha()}
    return all(unicodedata.name(one, "").startswith(_COVERED) or one in "ªºµ" for one in letters)


def _held(value: Any) -> Any:
    """The same with numbers kept beside their units; drawings and codes as they are."""
    if isinstance(value, str):
        return _HELD.sub("\u00a0", value)
    if isinstance(value, list):
        return [_held(one) for one in value]
    if isinstance(value, dict):
        return {k: v if k in ("svg", "link", "back") else _held(v) for k, v in value.items()}
    return value


def _data(sheet: Sheet, paper: Paper, level: tuple[float, float, float]) -> dict[str, Any]:
    title, body, air = level
    return {
        "paper": _TYPST_PAPER[paper],
        "margin": MARGIN_PT,
        "size": {"title": title, "body": body, "air": air, "least": LEAST_PT},
        "kind": sheet.kind,
        "title": sheet.title,
        "under": sheet.under,
        "invented": sheet.invented,
        "stops": list(sheet.stops),
        "foot": list(sheet.foot),
        "link": sheet.link,
        "back": sheet.back,
        "cut": bool(sheet.cut),
        "blocks": [_block(one) for one in sheet.blocks],
    }


def _block(block: Block) -> dict[str, Any]:
    told: dict[str, Any] = {"is": type(block).__name__.lower(), "heading": block.heading}
    if isinstance(block, Facts):
        told["rows"] = [[what, value] for what, value in block.rows]
    elif isinstance(block, Grid):
        blank = [""] * len(block.columns)
        told |= {
            "columns": list(block.columns),
            "rows": [list(row) for row in block.rows] + [blank] * block.blank_rows,
            "wide": list(block.wide),
            "note": block.note,
            "left_out": block.left_out,
        }
    elif isinstance(block, Lines):
        told |= {"lines": list(block.lines), "numbered": block.numbered}
    elif isinstance(block, Picture):
        told |= {"svg": block.svg, "width": block.width_pt, "words": block.words}
    elif isinstance(block, Labels):
        told |= {
            "labels": [{"title": one.title, "lines": list(one.lines)} for one in block.labels],
            "across": block.across,
            "left_out": block.left_out,
        }
    else:
        assert isinstance(block, Ruler)
    return told
