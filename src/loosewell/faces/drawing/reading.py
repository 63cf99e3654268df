"""An outing in pictures: the butt from behind and above as seen, and the chances of the causes.

Shots are drawn as they were written down; what the engine expects after the evidence lies under
them as rings. Bare shafts are open, fletched ones filled: nothing is told by colour alone.
"""

from __future__ import annotations

from math import radians, sin

from loosewell.faces import wording
from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, fixed
from loosewell.workshop.reading.view import Expected, ReadingView, ShotDrawn

_WIDTH = 760.0
_FACE = 150.0
_NOCK_IN = 5.0
"""How long the visible tail is drawn for a nock that stands off, at 20 degrees. [in]"""
_SHOWN_CAUSES = 7


def reading_sheet(view: ReadingView, key: str = "reading") -> Sheet:
    """The whole picture: butt from behind, the same from above, and the causes.

    Parameters
    ----------
    view : ReadingView
        What was seen and expected. [in, deg]
    key : str
        Makes the ids inside unique. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [object]
    """
    bars = [one for one in view.causes if one[1] >= 0.02][:_SHOWN_CAUSES]
    top = 74.0
    height = top + 2 * _FACE + 116.0 + 30.0 * max(len(bars), 1) + 78.0
    words = _words(view)
    sheet = Sheet(_WIDTH, height, view.title, words, key)
    sheet.text(24, 30, view.title, 17, bold=True)
    sheet.text(
        24, 52,
        f"{wording.distance(view.distance_yd)}, {view.hand}-handed; seen from behind the archer",
        13, fill=pen.SOFT_INK,
    )  # fmt: skip
    reach = _reach(view)
    _behind(sheet, view, reach, 24.0 + _FACE, top + 20.0 + _FACE)
    _above(sheet, view, reach, 24.0 + 3 * _FACE + 60.0, top + 20.0 + _FACE)
    foot = top + 2 * _FACE + 72.0
    _legend(sheet, foot)
    _bars(sheet, bars, foot + 40.0)
    return sheet


def _reach(view: ReadingView) -> float:
    far = [6.0]
    for shot in view.shots:
        if shot.left_in is not None and shot.high_in is not None:
            far += [abs(shot.left_in) + 2.0, abs(shot.high_in) + 2.0]
    for one in view.expected:
        far += [
            abs(one.left_in) + min(one.spread_left_in, 12.0),
            abs(one.high_in) + min(one.spread_high_in, 12.0),
        ]
    return min(1.08 * max(far), 60.0)


def _behind(sheet: Sheet, view: ReadingView, reach: float, x: float, y: float) -> None:
    scale = _FACE / reach
    sheet.text(x, y - _FACE - 8, "from behind", 12.5, "middle", fill=pen.SOFT_INK)
    sheet.rect(
        x - _FACE, y - _FACE, 2 * _FACE, 2 * _FACE, fill=pen.STRAW, stroke=pen.WOOD_EDGE, pen=1.4,
        round_=6.0,
    )  # fmt: skip
    clip = f"{sheet.key}-butt"
    sheet.define(
        f'<clipPath id="{clip}"><rect x="{fixed(x - _FACE)}" y="{fixed(y - _FACE)}" '
        f'width="{fixed(2 * _FACE)}" height="{fixed(2 * _FACE)}"/></clipPath>'
    )
    sheet.add(f'<g clip-path="url(#{clip})">')
    for one in view.expected:
        _ring(sheet, one, scale, x, y)
    sheet.path(f"M{fixed(x - 8)} {fixed(y)}h16M{fixed(x)} {fixed(y - 8)}v16", stroke=pen.INK)
    for shot in view.shots:
        _shot(sheet, shot, scale, x, y)
    sheet.add("</g>")
    bar = pen.nice_step(reach, 3)
    foot = y + _FACE + 18.0
    sheet.path(
        f"M{fixed(x - _FACE)} {fixed(foot - 9)}v10m0 -5h{fixed(bar * scale)}m0 -5v10",
        stroke=pen.INK,
    )
    sheet.text(x - _FACE + bar * scale + 6, foot, f"{bar:g} in ({2.54 * bar:.0f} cm)", 12)


def _ring(sheet: Sheet, one: Expected, scale: float, x: float, y: float) -> None:
    """Where two of three such shots are expected."""
    at = (x - one.left_in * scale, y - one.high_in * scale)
    rx, ry = (1.5 * s * scale for s in (one.spread_left_in, one.spread_high_in))
    dash = ' stroke-dasharray="7 5"' if one.bare else ""
    sheet.add(
        f'<ellipse cx="{fixed(at[0])}" cy="{fixed(at[1])}" rx="{fixed(rx)}" ry="{fixed(ry)}" '
        f'fill="{pen.BAND}" fill-opacity="0.45" stroke="{pen.FIT}" stroke-width="1.6"{dash}/>'
    )


def _shot(sheet: Sheet, shot: ShotDrawn, scale: float, x: float, y: float) -> None:
    if shot.left_in is None or shot.high_in is None:
        return
    hole = (x - shot.left_in * scale, y - shot.high_in * scale)
    ink = pen.INK if shot.counted else pen.SOFT_INK
    tail = None
    if shot.nock_left_deg is not None or shot.nock_high_deg is not None:
        left = sin(radians(shot.nock_left_deg or 0.0)) / sin(radians(20.0))
        high = sin(radians(shot.nock_high_deg or 0.0)) / sin(radians(20.0))
        tail = (hole[0] - left * 42.0, hole[1] - high * 42.0)
        if abs(left) + abs(high) > 0.02:
            dash = "3 3" if shot.by_eye else ""
            sheet.line(*hole, *tail, stroke=ink, pen=2.0, dash=dash)
            sheet.circle(*tail, 3.0, fill=pen.PAPER, stroke=ink, pen=1.4)
    if shot.bare:
        sheet.circle(*hole, 4.6, fill=pen.PAPER, stroke=ink, pen=2.0)
    else:
        sheet.circle(*hole, 4.6, fill=ink)
    if not shot.counted:
        sheet.path(
            f"M{fixed(hole[0] - 7)} {fixed(hole[1] - 7)}l14 14m0 -14l-14 14", stroke=ink, pen=1.4
        )
    if shot.label:
        sheet.text(hole[0] + 7, hole[1] - 6, shot.label[:8], 11.5, halo=True)


def _above(sheet: Sheet, view: ReadingView, reach: float, x: float, y: float) -> None:
    """Butt at the top, the archer far below; the tails lean as the nocks stand."""
    scale = _FACE / reach
    sheet.text(x, y - _FACE - 8, "from above", 12.5, "middle", fill=pen.SOFT_INK)
    face = y - _FACE + 46.0
    sheet.rect(
        x - _FACE, y - _FACE, 2 * _FACE, 46.0, fill=pen.STRAW, stroke=pen.WOOD_EDGE, pen=1.4,
        round_=4.0,
    )  # fmt: skip
    sheet.line(x, face + 4, x, y + _FACE, stroke=pen.FAINT, pen=1.2, dash="2 6")
    clip = f"{sheet.key}-above"
    sheet.define(
        f'<clipPath id="{clip}"><rect x="{fixed(x - _FACE)}" y="{fixed(y - _FACE)}" '
        f'width="{fixed(2 * _FACE)}" height="{fixed(2 * _FACE)}"/></clipPath>'
    )
    sheet.add(f'<g clip-path="url(#{clip})">')
    for one in view.expected:
        at = x - one.left_in * scale
        lean = 190.0 * sin(radians(max(-50.0, min(50.0, one.nock_left_deg))))
        sheet.line(
            at, face, at - lean, face + 190.0, stroke=pen.FIT, pen=7.0 if one.bare else 9.0,
            dash="2 9" if one.bare else "",
        )  # fmt: skip
    for shot in view.shots:
        if shot.left_in is None:
            continue
        at = x - shot.left_in * scale
        lean = 150.0 * sin(radians(shot.nock_left_deg or 0.0))
        ink = pen.INK if shot.counted else pen.SOFT_INK
        sheet.line(
            at, face - 18.0, at - lean, face + 150.0, stroke=ink,
            pen=2.6, dash="8 5" if shot.nock_left_deg is None else "",
        )  # fmt: skip
        if not shot.bare:
            sheet.line(at - 0.86 * lean, face + 128.0, at - lean, face + 150.0, stroke=ink, pen=7.0)
        else:
            sheet.circle(at - lean, face + 150.0, 3.6, fill=pen.PAPER, stroke=ink, pen=1.6)
    sheet.add("</g>")
    sheet.text(
        x,
        y + _FACE + 18.0,
        "the archer stands below; dashed: how it stands was not looked at",
        12,
        "middle",
        fill=pen.SOFT_INK,
    )


def _legend(sheet: Sheet, y: float) -> None:
    x = 24.0
    sheet.circle(x + 5, y - 4, 4.6, fill=pen.INK)
    sheet.text(x + 16, y, "fletched", 12.5)
    sheet.circle(x + 95, y - 4, 4.6, fill=pen.PAPER, stroke=pen.INK, pen=2.0)
    sheet.text(x + 106, y, "bare", 12.5)
    sheet.path(
        f"M{fixed(x + 158)} {fixed(y - 11)}l14 14m0 -14l-14 14", stroke=pen.SOFT_INK, pen=1.4
    )
    sheet.text(x + 180, y, "called bad or cold: not counted", 12.5)
    sheet.add(
        f'<ellipse cx="{fixed(x + 396)}" cy="{fixed(y - 4)}" rx="14" ry="7" fill="{pen.BAND}" '
        f'stroke="{pen.FIT}" stroke-width="1.6"/>'
    )
    sheet.text(x + 418, y, "two of three expected here (bare: dashed)", 12.5)


def _bars(sheet: Sheet, bars: list[tuple[str, float, float]], y: float) -> None:
    sheet.text(24, y, "What lies behind it, as far as these shots tell", 15, bold=True)
    y += 26.0
    if not bars:
        sheet.text(24, y, "Nothing can be told from these shots.", 13)
        return
    start, wide = 396.0, 250.0
    for words, now, before in bars:
        sheet.text(start - 12, y, words, 13, "end")
        sheet.rect(start, y - 12, wide, 15.0, fill=pen.PAPER, stroke=pen.FAINT, pen=1.0)
        sheet.rect(start, y - 12, wide * now, 15.0, fill=pen.FIT)
        sheet.line(
            start + wide * before, y - 15, start + wide * before, y + 6, stroke=pen.INK, pen=1.6
        )
        sheet.text(start + wide + 10, y, wording.percent(100.0 * now), 13)
        y += 30.0
    sheet.text(start, y + 2, "0", 11.5, fill=pen.SOFT_INK)
    sheet.text(start + wide, y + 2, "100 %", 11.5, "end", fill=pen.SOFT_INK)
    sheet.text(24, y + 2, "The upright mark is what was thought before these shots.", 11.5,
               fill=pen.SOFT_INK)  # fmt: skip


def _words(view: ReadingView) -> str:
    shot = sum(one.left_in is not None for one in view.shots)
    parts = [f"{shot} shots at {view.distance_yd:g} yd, {view.hand}-handed, seen from behind."]
    parts += [f"{words}: {100.0 * now:.0f} %." for words, now, _ in view.causes[:4]]
    return " ".join(parts)
