"""A string drawn: its section with serving and nock slot, and where its length goes."""

from __future__ import annotations

import itertools
import math

from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, fixed, points
from loosewell.workshop.string import StringAnswer

_WIDTH, _HEIGHT = 620.0, 450.0
_LEFT, _TOP, _SIDE = 20.0, 92.0, 230.0


def string_sheet(told: StringAnswer, key: str = "string") -> Sheet:
    """The section enlarged to scale on the left, the braced bow and its string on the right.

    Parameters
    ----------
    told : StringAnswer
        What is not known is left blank and said so. [in]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the answer's own numbers.
    """
    words = f"{told.made}. {told.nock_words}"
    sheet = Sheet(_WIDTH, _HEIGHT, f"String {told.name}", words, key)
    sheet.text(_LEFT, 26, f"{told.name[:1].upper()}{told.name[1:]}", 16.5, bold=True)
    sheet.block(_LEFT, 48, told.made, _WIDTH - 2 * _LEFT, 12.5, fill=pen.SOFT_INK)
    _section(sheet, told)
    _braced(sheet, told)
    foot = _HEIGHT - 26.0
    if told.stops:
        sheet.block(
            _LEFT,
            foot - 14.0,
            f"STOP. {told.stops[0].text.split('. ')[0].rstrip('.')}.",
            _WIDTH - 2 * _LEFT,
            12.5,
            fill=pen.KNOCK,
            bold=True,
        )
    else:
        sheet.text(
            _LEFT,
            foot,
            "For a string at rest, untested for wear. Look at loops, serving and nocking point.",
            12,
            fill=pen.SOFT_INK,
        )
    return sheet


def _section(sheet: Sheet, told: StringAnswer) -> None:
    """Section at the nocking point, slot of the nock around it, one scale for all."""
    sheet.text(_LEFT, _TOP - 6, "At the nocking point, enlarged", 13, bold=True)
    centre_x, centre_y = _LEFT + 0.5 * _SIDE, _TOP + 0.5 * _SIDE - 8
    served, bare = told.served_in, told.diameter_in
    if served is None:
        sheet.block(_LEFT, centre_y - 20, "Thickness not known: measure it strung.", _SIDE, 12.5)
        return
    slot = told.nock_slot_in
    scale = 0.52 * _SIDE / max(served.high, slot or 0.0)
    _slot(sheet, slot, centre_x, centre_y, scale)
    outer = 0.5 * served.middle * scale
    sheet.circle(centre_x, centre_y, outer, fill=pen.FAINT, stroke=pen.INK, pen=1.4)
    inner = outer - told.serving_thread_in * scale
    if bare is not None:
        inner = min(inner, 0.5 * bare.middle * scale)
    inner = max(inner, 0.4 * outer)
    sheet.circle(centre_x, centre_y, inner, fill=pen.PAPER, stroke=pen.INK, pen=1.0)
    _strands(sheet, told, centre_x, centre_y, inner)
    sheet.circle(centre_x, centre_y, 0.5 * served.high * scale, stroke=pen.SOFT_INK, pen=0.8)
    sheet.circle(centre_x, centre_y, 0.5 * served.low * scale, stroke=pen.SOFT_INK, pen=0.8)
    below = centre_y + 0.40 * _SIDE + 12
    lines = [f"over the serving {served.low:.3f} to {served.high:.3f} in (thin rings)"]
    if bare is not None:
        lines.append(f"without it {bare.low:.3f} to {bare.high:.3f} in")
    lines.append("slot not given" if slot is None else f"slot of the nock {slot:.3f} in (hatched)")
    for number, line in enumerate(lines):
        sheet.text(_LEFT, below + 18 * number, line, 12.5)
    tenth = 0.05 * scale
    rule_y = below + 18 * len(lines) + 6
    sheet.path(f"M{fixed(_LEFT)} {fixed(rule_y - 4)}v8m0 -4h{fixed(tenth)}m0 -4v8", stroke=pen.INK)
    sheet.text(_LEFT + tenth + 8, rule_y + 4, "0.05 in (1.27 mm)", 12)


def _slot(sheet: Sheet, slot: float | None, x: float, y: float, scale: float) -> None:
    """The nock seen along the arrow: two ears left and right of the string, open below."""
    if slot is None:
        return
    half, ear, deep = 0.5 * slot * scale, 22.0, 0.34 * _SIDE
    paint = sheet.hatch("nock", pen.WOOD_EDGE, 45)
    for side in (-1.0, 1.0):
        left = x + side * half if side > 0 else x - half - ear
        sheet.rect(left, y - deep, ear, 2.0 * deep, fill=paint, stroke=pen.WOOD_EDGE, pen=1.4)


def _strands(sheet: Sheet, told: StringAnswer, x: float, y: float, radius: float) -> None:
    """Strands as dots, in plies where there are some; a count beyond 60 is hinted at only."""
    strands = told.strands or 0
    plies = told.plies or 1
    if not strands:
        sheet.text(x, y + 4, "?", 14, "middle")
        return
    groups = [strands // plies + (1 if number < strands % plies else 0) for number in range(plies)]
    if plies == 1:
        _dots(sheet, groups[0], x, y, 0.96 * radius)
        return
    turned = math.sin(math.pi / plies)
    ply = radius * turned / (1.0 + turned)
    for number, count in enumerate(groups):
        angle = 2.0 * math.pi * number / plies
        at_x, at_y = x + (radius - ply) * math.cos(angle), y + (radius - ply) * math.sin(angle)
        sheet.circle(at_x, at_y, ply, stroke=pen.SOFT_INK, pen=0.8)
        _dots(sheet, count, at_x, at_y, 0.92 * ply)


def _dots(sheet: Sheet, count: int, x: float, y: float, radius: float) -> None:
    """Dots spread evenly over a round (one turn of a sunflower)."""
    shown = min(count, 60)
    if shown == 1:
        sheet.circle(x, y, radius, fill=pen.STRAW, stroke=pen.INK, pen=0.8)
        return
    golden = math.pi * (3.0 - math.sqrt(5.0))
    spread = [math.sqrt((number + 0.5) / shown) for number in range(shown)]
    places = [
        (far * math.cos(golden * number), far * math.sin(golden * number))
        for number, far in enumerate(spread)
    ]
    near = min(math.dist(one, other) for one, other in itertools.combinations(places, 2))
    # Dots touch where they are nearest, and none reaches beyond the round.
    size = radius * 0.5 * near / (1.0 + 0.5 * near)
    for across, up in places:
        sheet.circle(
            x + across * (radius - size),
            y + up * (radius - size),
            size,
            fill=pen.STRAW,
            stroke=pen.INK,
            pen=0.7,
        )


def _braced(sheet: Sheet, told: StringAnswer) -> None:
    """The braced bow from the side, to scale, with the lengths along its string."""
    left, top, right, bottom = 300.0, _TOP, _WIDTH - 20.0, _TOP + 300.0
    sheet.text(left, _TOP - 6, "Braced, to scale", 13, bold=True)
    plan = told.length
    if plan is None:
        sheet.block(
            left,
            top + 40,
            "Length not known: give the bow's length and the brace height wanted.",
            right - left,
            12.5,
        )
        return
    scale = (bottom - top - 20.0) / plan.braced_in.middle
    string_x, middle = left + 60.0 + plan.brace_height_in * scale, 0.5 * (top + bottom)
    half = 0.5 * plan.braced_in.middle * scale
    height = plan.brace_height_in * scale
    radius = (half**2 + height**2) / (2.0 * height)
    reach = math.asin(half / radius)
    arc = [
        (
            string_x - radius * math.cos(reach * part / 40.0) + radius - height,
            middle + radius * math.sin(reach * part / 40.0),
        )
        for part in range(-40, 41)
    ]
    # The back of the bow to the left: the archer stands on the right.
    sheet.path(points(arc), stroke=pen.WOOD_EDGE, pen=5.0)
    sheet.line(string_x, middle - half, string_x, middle + half, pen=1.6)
    grip_x = string_x - height
    sheet.line(grip_x + 4.0, middle, string_x, middle, stroke=pen.SOFT_INK, dash="4 3")
    sheet.text(
        grip_x - 8.0,
        middle + 4,
        f"{plan.brace_height_in:g} in",
        12,
        "end",
    )
    say_x = string_x + 26.0
    rows = [
        ("braced", plan.braced_in, 2),
        ("slack, twisted", plan.slack_in, 2),
        ("strands straight", plan.straight_in, 2),
        ("cut", plan.cut_in, 1),
    ]
    if plan.twists is None:
        del rows[2]
    y = top + 40.0
    for name, band, digits in rows:
        sheet.text(say_x, y, name, 12.5, bold=True)
        sheet.text(say_x, y + 17, f"{band.low:.{digits}f} to {band.high:.{digits}f} in", 12.5)
        y += 46.0
    if plan.turns_for_eighth is not None:
        low, high = max(plan.turns_for_eighth.low, 0.0), plan.turns_for_eighth.high
        sheet.text(say_x, y, "1/8 in more brace", 12.5, bold=True)
        sheet.text(say_x, y + 17, f"{low:.0f} to {high:.0f} turns beyond {plan.twists}", 12.5)
