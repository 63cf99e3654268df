"""The plan of a class: a row a person, the draw weight within the strength, the arrow beyond the
least."""

from __future__ import annotations

from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet
from loosewell.workshop.classes import Line, Plan

_WIDTH, _ROW, _TOP = 860.0, 34.0, 118.0
_NAME, _BOW, _PULL, _PULL_END, _LONG, _LONG_END, _ARROWS = (
    20.0,
    170.0,
    292.0,
    482.0,
    512.0,
    672.0,
    690.0,
)


def plan(made: Plan) -> str:
    """The plan as a drawing.

    Parameters
    ----------
    made : Plan
        A plan with its people.

    Returns
    -------
    svg : str
        A drawing on variables of the page. [text]

    Source
    ------
    House style.
    """
    rows = len(made.lines) + len([one for one in made.without if one.lacks == "bow"])
    height = _TOP + _ROW * max(rows, 1) + 50.0
    words = (
        f"{len(made.lines)} people with a bow, turn by turn; draw weight at each person's own draw "
        "against what they hold, and arrow length beyond the least."
    )
    sheet = Sheet(_WIDTH, height, f"Class {made.name}, {made.on}", words, "class")
    sheet.text(_NAME, 34, f"Class {made.name[:40]}, {made.on}", 20, bold=True)
    sheet.text(_NAME, 56, "Nobody shoots a bow or arrows that are not beside their own name.", 13)
    for x, head in (
        (_NAME, "Person, hand"),
        (_BOW, "Bow, turn"),
        (_PULL, "Weight at own draw, held, lb"),
        (_LONG, "Beyond the least, in"),
        (_ARROWS, "Arrows"),
    ):
        sheet.text(x, 84, head, 12.5, bold=True)
    strong = max((one.strength_lb for one in made.lines), default=10.0)
    long = max(
        (
            one.arrow_length_in - one.least_length_in
            for one in made.lines
            if one.arrow_length_in is not None
        ),
        default=1.0,
    )
    long = max(long, 1.0)
    y = _TOP
    for one in sorted(made.lines, key=lambda line: (line.bow, line.turn)):
        _row(sheet, one, y, strong, long)
        y += _ROW
    for gone in made.without:
        if gone.lacks == "bow":
            sheet.text(_NAME, y, _short(gone.person, 13.0, 140.0), 13)
            sheet.text(_BOW, y, "no bow: see the plan for why", 13, fill=pen.KNOCK, italic=True)
            sheet.line(_NAME, y + 10, _WIDTH - 20, y + 10, pen.FAINT, 0.8)
            y += _ROW
    for k, line in enumerate(
        (
            (
                "Bar: draw weight; thin mark after it: error of the reading; end stroke: the most "
                "this person holds steadily."
            ),
            "Spines (26 in span, 2 lb). Lengths from nock throat to back of point.",
        )
    ):
        sheet.text(_NAME, y + 14 + 18.0 * k, line, 12.0, fill=pen.SOFT_INK)
    return sheet.svg()


def _row(sheet: Sheet, one: Line, y: float, strong: float, long: float) -> None:
    def pull(weight: float) -> float:
        return _PULL + weight / (strong * 1.05) * (_PULL_END - _PULL)

    sheet.text(_NAME, y, _short(f"{one.person}, {one.hand}", 13.0, 140.0), 13)
    sheet.text(_BOW, y, _short(f"{one.bow}, turn {one.turn}", 13.0, 114.0), 13)
    sheet.rect(_PULL, y - 11, pull(one.draw_weight_lb) - _PULL, 12, pen.WOOD, pen.WOOD_EDGE, 0.8)
    error = min(one.draw_weight_lb + one.draw_weight_error_lb, strong * 1.05)
    sheet.line(pull(one.draw_weight_lb), y - 5, pull(error), y - 5, pen.INK, 1.2)
    sheet.line(pull(one.strength_lb), y - 14, pull(one.strength_lb), y + 4, pen.INK, 2.0)
    sheet.text(
        _PULL + 4, y - 1, f"{one.draw_weight_lb:.1f} of {one.strength_lb:.1f}", 11.5, bold=True
    )
    if one.arrow_length_in is None:
        sheet.text(_LONG, y, "arrows to be made", 13, fill=pen.KNOCK, italic=True)
    else:
        beyond = one.arrow_length_in - one.least_length_in
        end = _LONG + beyond / long * (_LONG_END - _LONG - 60.0)
        sheet.line(_LONG, y - 5, max(end, _LONG + 1.0), y - 5, pen.SHAFT, 5.0)
        sheet.line(_LONG, y - 13, _LONG, y + 3, pen.INK, 1.5)
        sheet.text(max(end, _LONG) + 7, y - 1, f"+{beyond:.2f}", 12.5)
        sheet.text(
            _ARROWS,
            y,
            _short(
                f"{len(one.arrows)} of {one.lot}, {one.spine_low_26in_2lb_lb:.0f}-"
                f"{one.spine_high_26in_2lb_lb:.0f} lb",
                12.5,
                _WIDTH - _ARROWS - 14.0,
            ),
            12.5,
        )
    sheet.line(_NAME, y + 10, _WIDTH - 20, y + 10, pen.FAINT, 0.8)


def _short(text: str, size: float, width: float) -> str:
    """A line shortened until it fits, which a dot tells."""
    if pen.text_width(text, size) <= width:
        return text
    while text and pen.text_width(text + "…", size) > width:
        text = text[:-1]
    return text + "…"
