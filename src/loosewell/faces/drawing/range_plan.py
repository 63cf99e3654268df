"""The range from above, to scale: the lines that typed rules ask for beside the farthest reach."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from loosewell.faces import wording
from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet

if TYPE_CHECKING:
    from loosewell.records.class_ import RangeRule

WIDE_PT, TALL_PT = 512.0, 216.0
_BLACK, _WHITE, _GREY = "#000000", "#ffffff", "#666666"
_LETTERS = 11.0
_LEFT, _TOP, _BOTTOM = 12.0, 14.0, 202.0
_MIDDLE = 105.0


def place_yd(rule: RangeRule, target_yd: float | None) -> float | None:
    """How far down the range a rule asks for something, from the shooting line.

    Parameters
    ----------
    rule : RangeRule
        As typed. [yd]
    target_yd : float or None
        Where the targets stand. [yd]

    Returns
    -------
    place : float or None
        None for a rule of words, of a width, or from a target line that is not known. [yd]

    Source
    ------
    Derived from the rule.
    """
    if rule.figure_yd is None or rule.what not in ("stop", "overshoot", "other"):
        return None
    if rule.counted_from == "shooting line":
        return rule.figure_yd
    return None if target_yd is None else target_yd + rule.figure_yd


def range_plan(
    rules: Sequence[RangeRule],
    target_yd: float | None,
    farthest_yd: float | None,
    key: str = "range",
) -> Sheet:
    """The range from above, the shooting line below.

    Parameters
    ----------
    rules : sequence of RangeRule
        As typed, numbered in this order. [yd]
    target_yd, farthest_yd : float or None
        From the shooting line. [yd]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing, one unit to the point. [pt]

    Source
    ------
    Derived from the rules.
    """
    marks: list[tuple[float, str, str]] = []
    if target_yd is not None:
        marks.append((target_yd, "target line", ""))
    for number, rule in enumerate(rules, 1):
        at = place_yd(rule, target_yd)
        if at is not None:
            marks.append((at, f"rule {number}: {rule.what}", "6 3"))
    if farthest_yd is not None:
        marks.append((farthest_yd, "farthest reckoned", "2 2"))
    sides = [
        (one.at_yd or 0.0, one.figure_yd, number)
        for number, one in enumerate(rules, 1)
        if one.what == "side" and one.figure_yd is not None
    ]
    far = 1.08 * max([10.0, *(at for at, _, _ in marks), *(at for at, _, _ in sides)])
    scale = (_BOTTOM - _TOP) / far
    scale = min(scale, 90.0 / max((wide for _, wide, _ in sides), default=1e-9) if sides else scale)
    words = "; ".join(f"{what} {wording.distance(at)}" for at, what, _ in sorted(marks))
    sheet = Sheet(WIDE_PT, TALL_PT, "The range from above, to scale", words, key)
    sheet.rect(0, 0, WIDE_PT, TALL_PT, _WHITE)

    def py(at: float) -> float:
        return _BOTTOM - at * scale

    sheet.line(_LEFT, _BOTTOM, 200.0, _BOTTOM, _BLACK, 2.0)
    sheet.text(206.0, _BOTTOM + 4.0, "shooting line", _LETTERS, fill=_BLACK, bold=True)
    sheet.line(_MIDDLE, _BOTTOM, _MIDDLE, py(far / 1.08), _GREY, 0.5, "8 3 1 3")
    last = _BOTTOM
    for at, what, dash in sorted(marks):
        y = py(at)
        pen_wide = 2.0 if what == "farthest reckoned" else 1.1
        sheet.line(_LEFT, y, 198.0, y, _BLACK, pen_wide, dash)
        level = min(y + 4.0, last - 14.0)
        sheet.line(198.0, y, 206.0, level - 4.0, _GREY, 0.5)
        sheet.text(208.0, level, f"{what}, {wording.distance(at)}", _LETTERS, fill=_BLACK)
        last = level
    for at, wide, number in sides:
        for way in (-1.0, 1.0):
            sheet.line(_MIDDLE, py(at), _MIDDLE + way * wide * scale, py(at), _BLACK, 1.6, "1 2")
        sheet.text(
            _MIDDLE, py(at) - 3.0, f"side, rule {number}", _LETTERS, "middle",
            _BLACK, halo=True,
        )  # fmt: skip
    step = pen.nice_step(far, 4)
    sheet.line(420.0, _BOTTOM, 420.0, py(step), _BLACK, 1.2)
    for at in (0.0, step):
        sheet.line(415.0, py(at), 425.0, py(at), _BLACK, 1.2)
    sheet.text(430.0, py(0.5 * step) + 4.0, wording.distance(step), _LETTERS, fill=_BLACK)
    return sheet
