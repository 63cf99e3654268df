"""How an arrow stands in the butt: seen from behind the archer, and from above.

The angles are drawn larger than they are by a factor that stands on the drawing;
the places of the holes are true to the scale bar.
"""

from __future__ import annotations

from math import cos, pi, radians, sin, tan

from loosewell.faces import wording
from loosewell.faces.drawing import pen
from loosewell.faces.drawing.launch import COLOUR, DASH, PANEL_WIDTH
from loosewell.faces.drawing.pen import Sheet, fixed, points
from loosewell.workshop.answer import LaunchPicture

_HEIGHT = 322.0
_TOP = 54.0
_FACE = 88.0
_FACTORS = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0)


def _factor(pictures: list[LaunchPicture]) -> float:
    widest = max(
        max(abs(p.stand_low_deg), abs(p.stand_high_deg), abs(p.stand_nock_left_deg), 0.5)
        for p in pictures
    )
    return max((f for f in _FACTORS if f * widest <= 32.0), default=1.0)


def _reach(pictures: list[LaunchPicture]) -> float:
    """Half the width of the butt shown, in inches."""
    needed = max(
        max(abs(p.hit_left_in), abs(p.hit_high_in))
        + 8.0 * tan(radians(min(abs(p.stand_nock_left_deg) * _factor(pictures), 40.0)))
        for p in pictures
    )
    return max(9.0, 1.25 * needed)


def _straw(sheet: Sheet, x: float, y: float, radius: float) -> None:
    sheet.circle(x, y, radius, fill=pen.STRAW, stroke=pen.WOOD_EDGE, pen=1.4)
    turns, steps = 7, 260
    spiral = []
    for i in range(steps):
        angle = turns * 2 * pi * i / steps
        r = radius * i / steps
        spiral.append((x + r * cos(angle), y + r * sin(angle)))
    sheet.path(points(spiral), stroke=pen.FAINT, pen=1.2)


def _draw_behind(
    sheet: Sheet, picture: LaunchPicture, factor: float, reach: float, x: float, y: float
) -> None:
    scale = _FACE / reach
    _straw(sheet, x, y, _FACE)
    sheet.path(f"M{fixed(x - 7)} {fixed(y)}h14M{fixed(x)} {fixed(y - 7)}v14", stroke=pen.SOFT_INK)
    hole = (x - picture.hit_left_in * scale, y - picture.hit_high_in * scale)
    # The tail comes toward the viewer; only its offset from the hole shows.
    away_left = 8.0 * tan(radians(_capped(picture.stand_nock_left_deg * factor)))
    away_up = 8.0 * tan(radians(_capped(picture.stand_nock_high_deg * factor)))
    nock = (hole[0] - away_left * scale, hole[1] - away_up * scale)
    colour = COLOUR[picture.label]
    sheet.circle(*hole, 3.4, fill=pen.INK)
    dx, dy = nock[0] - hole[0], nock[1] - hole[1]
    run = max((dx * dx + dy * dy) ** 0.5, 1e-6)
    nx, ny = -dy / run, dx / run
    sheet.path(
        points(
            [
                (hole[0] + 1.3 * nx, hole[1] + 1.3 * ny),
                (nock[0] + 3.6 * nx, nock[1] + 3.6 * ny),
                (nock[0] - 3.6 * nx, nock[1] - 3.6 * ny),
                (hole[0] - 1.3 * nx, hole[1] - 1.3 * ny),
            ]
        )
        + "Z",
        fill=pen.SHAFT,
        stroke=colour,
        pen=1.2,
    )
    count = picture.fletching_count
    cock = 180.0 if picture.hand == "right" else 0.0
    for i in range(count):
        turn = radians(cock + i * 360.0 / count)
        sheet.line(
            nock[0] + 3.5 * cos(turn),
            nock[1] + 3.5 * sin(turn),
            nock[0] + 13.5 * cos(turn),
            nock[1] + 13.5 * sin(turn),
            stroke=colour,
            pen=2.4,
        )
    sheet.circle(*nock, 4.6, fill=pen.FEATHER, stroke=colour, pen=1.8)
    sheet.line(nock[0], nock[1] - 3.4, nock[0], nock[1] + 3.4, stroke=colour, pen=1.4)
    bar = pen.nice_step(reach, 3)
    foot = y + _FACE + 17.0
    sheet.path(
        f"M{fixed(x - _FACE)} {fixed(foot - 9)}v10m0 -5h{fixed(bar * scale)}m0 -5v10",
        stroke=pen.INK,
    )
    sheet.text(x - _FACE + bar * scale + 6, foot, f"{bar:g} in", 12)


def _capped(angle: float) -> float:
    return max(-55.0, min(55.0, angle))


def _draw_above(
    sheet: Sheet, picture: LaunchPicture, factor: float, x: float, y: float, index: int
) -> None:
    """The arrow in the butt from above: butt at the top, the archer far below."""
    colour = COLOUR[picture.label]
    face = y - _FACE + 44.0
    clip = f"{sheet.key}-above{index}"
    sheet.define(
        f'<clipPath id="{clip}"><rect x="{fixed(x - _FACE)}" y="{fixed(y - _FACE)}" '
        f'width="{fixed(2 * _FACE)}" height="{fixed(2 * _FACE)}"/></clipPath>'
    )
    sheet.rect(x - _FACE, y - _FACE, 2 * _FACE, 44.0, fill=pen.STRAW, stroke=pen.WOOD_EDGE, pen=1.2)
    for i in range(1, 5):
        sheet.path(
            f"M{fixed(x - _FACE + 2)} {fixed(y - _FACE + i * 8.8)}h{fixed(2 * _FACE - 4)}",
            stroke=pen.FAINT,
            pen=1.2,
        )
    sheet.add(f'<g clip-path="url(#{clip})">')
    sheet.path(f"M{fixed(x)} {fixed(face)}v{fixed(2 * _FACE)}", stroke=pen.SOFT_INK, dash="1 4")
    run = 2 * _FACE - 44.0 - 14.0

    def end(angle: float, along: float) -> tuple[float, float]:
        turn = radians(_capped(angle * factor))
        return x - along * sin(turn), face + along * cos(turn)

    low, high = end(picture.stand_low_deg, run), end(picture.stand_high_deg, run)
    wedge = sheet.hatch(f"wedge{index}", colour, 45, 5.0, 0.8)
    sheet.path(points([(x, face), low, high]) + "Z", fill=wedge, stroke=colour, pen=0.8, dash="3 3")
    turn = radians(_capped(picture.stand_nock_left_deg * factor))
    sheet.add(
        f'<g transform="translate({fixed(x)} {fixed(face)}) rotate({fixed(turn * 180 / pi)})">'
    )
    sheet.path("M-2.6 -20L0 -30L2.6 -20Z", fill=pen.IRON)
    sheet.rect(-2.4, -20, 4.8, run + 14.0, fill=pen.SHAFT, stroke=colour, pen=1.2)
    if picture.fletching_count:
        tail = run - 10.0
        for way in (-1, 1):
            sheet.path(
                f"M{2.4 * way} {fixed(tail - 34)}L{11 * way} {fixed(tail - 6)}"
                f"L{2.4 * way} {fixed(tail)}Z",
                fill=pen.FEATHER,
                stroke=colour,
                pen=1.1,
            )
    sheet.add("</g></g>")


def _draw_panel(
    sheet: Sheet, picture: LaunchPicture, factor: float, reach: float, index: int
) -> None:
    colour = COLOUR[picture.label]
    left, right = PANEL_WIDTH * 0.255, PANEL_WIDTH * 0.745
    sheet.text(8, 26, wording.title_of(picture), 19, fill=colour, bold=True)
    sheet.path(
        f"M8 36H{fixed(PANEL_WIDTH - 8)}", stroke=colour, pen=2.4, dash=DASH.get(picture.label, "")
    )
    middle = _TOP + 14.0 + _FACE
    sheet.text(left, _TOP + 4, "from behind", 12.5, "middle", fill=pen.SOFT_INK, italic=True)
    sheet.text(right, _TOP + 4, "from above", 12.5, "middle", fill=pen.SOFT_INK, italic=True)
    _draw_behind(sheet, picture, factor, reach, left, middle)
    _draw_above(sheet, picture, factor, right, middle, index)
    foot = middle + _FACE + 40.0
    sheet.text(8, foot, f"Nock {wording.side(picture.stand_nock_left_deg, '°')}", 15, bold=True)
    sheet.text(
        PANEL_WIDTH / 2,
        foot,
        f"({wording.side_range(picture.stand_low_deg, picture.stand_high_deg)})",
        12.5,
    )
    sheet.text(8, foot + 18, wording.lands(picture), 12.5)
    sheet.text(
        8,
        foot + 35,
        f"Nock {wording.height(picture.stand_nock_high_deg, '°')}; "
        f"angles drawn {factor:g} times as large.",
        12,
        fill=pen.SOFT_INK,
    )


def _words(picture: LaunchPicture) -> str:
    return f"{wording.title_of(picture)}. {wording.nock_stands(picture)} {wording.lands(picture)}"


def butt_panel(picture: LaunchPicture, pictures: list[LaunchPicture], key: str) -> Sheet:
    """One arrow standing in the butt, for a page that sets the panels itself.

    Parameters
    ----------
    picture : LaunchPicture
        The arrow to draw. [deg, in]
    pictures : list of LaunchPicture
        All arrows of the answer: they share one scale. [deg, in]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the answer's own angles.
    """
    sheet = Sheet(PANEL_WIDTH, _HEIGHT, wording.title_of(picture), _words(picture), key)
    _draw_panel(sheet, picture, _factor(pictures), _reach(pictures), 0)
    return sheet


def butt_sheet(pictures: list[LaunchPicture], heading: str, key: str = "butt") -> Sheet:
    """The arrows of an answer standing in the butt, side by side.

    Parameters
    ----------
    pictures : list of LaunchPicture
        The arrows, fitting one first. [deg, in]
    heading : str
        Bow and archer. [text]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the answer's own angles.
    """
    gap, top = 26.0, 66.0
    width = len(pictures) * (PANEL_WIDTH + gap) + gap
    how = (
        f"At {wording.distance(pictures[0].distance_yd)}. {wording.SEEN_FROM} "
        "The cross marks where the fitting arrow lands; the hatched wedge is the range of "
        "the angle."
    )
    lines = pen.wrap(how, 13, width - 2 * gap)
    top += 17.0 * (len(lines) - 1)
    sheet = Sheet(
        width,
        top + _HEIGHT + 8.0,
        f"Standing in the butt: {heading}",
        " ".join(_words(p) for p in pictures),
        key,
    )
    sheet.block(gap, 30, f"Standing in the butt: {heading}", width - 2 * gap, 20, bold=True)
    for number, line in enumerate(lines):
        sheet.text(gap, 52 + 17 * number, line, 13, fill=pen.SOFT_INK)
    for number, picture in enumerate(pictures):
        x = gap + number * (PANEL_WIDTH + gap)
        if number:
            sheet.path(
                f"M{fixed(x - gap / 2)} {fixed(top + 8)}V{fixed(sheet.height - 16)}",
                stroke=pen.SOFT_INK,
                pen=0.8,
            )
        sheet.open(x, top)
        _draw_panel(sheet, picture, _factor(pictures), _reach(pictures), number)
        sheet.close(x, top)
    return sheet
