"""The bent shaft on its jig with span, load and sag, and its stiffness all round."""

from __future__ import annotations

import math

from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, points
from loosewell.workshop.bench import Seen, Spine

_WIDTH, _HEIGHT = 780.0, 500.0


def bend_sheet(spine: Spine, name: str, key: str = "bend") -> Sheet:
    """A shaft as its bench readings tell it.

    Parameters
    ----------
    spine : Spine
        With its readings. [trade units]
    name : str
        Of the shaft. [text]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Shape of a shaft under a load at its middle: s (3 L² − 4 s²), Euler-Bernoulli. The sag is
    drawn larger than life.
    """
    sheet = Sheet(
        _WIDTH,
        _HEIGHT,
        f"Shaft {name} on the jig",
        f"{name} bends by {spine.seen[0].reading.deflection_in:.3f} in over "
        f"{spine.seen[0].reading.span_in:g} in under {spine.seen[0].reading.load_lb:.3g} lb: "
        f"{spine.spine_text()}. {spine.sides.words}",
        key,
    )
    sheet.text(24.0, 34.0, f"Shaft {name} on the jig", 18.0, bold=True)
    jig(sheet, spine.seen[0], 24.0, 70.0)
    _rosette(sheet, spine, 630.0, 190.0)
    y = 402.0
    sheet.text(24.0, y, spine.spine_text(), 15.0, bold=True)
    sheet.text(24.0, y + 21.0, spine.deflection_text(), 13.5)
    sheet.block(24.0, y + 46.0, spine.sides.words, _WIDTH - 48.0, 12.5)
    return sheet


def jig(sheet: Sheet, seen: Seen, x: float, y: float) -> None:
    """Two supports, the shaft sunk between them, and what hangs from it."""
    one = seen.reading
    width, top = 450.0, y + 62.0
    left, right = x + 48.0, x + width - 48.0
    middle = 0.5 * (left + right)
    sag = min(max(400.0 * one.deflection_in / one.span_in * 3.0, 22.0), 62.0)
    # Straight line first: where the shaft lay before the load.
    sheet.line(x + 6.0, top, x + width - 6.0, top, pen.SOFT_INK, 1.0, "5 4")
    half = 0.5 * (right - left)
    curve = []
    for step in range(-46, 47):
        s = step / 40.0
        if abs(s) <= 1.0:
            part = 1.0 - abs(s)
            down = sag * (3.0 * part - part**3) / 2.0
        else:
            down = -1.5 * sag * (abs(s) - 1.0)
        curve.append((middle + s * half, top + down))
    sheet.path(points(curve), stroke=pen.WOOD_EDGE, pen=8.0)
    sheet.path(points(curve), stroke=pen.SHAFT, pen=5.6)
    for place in (left, right):
        sheet.rect(place - 9.0, top + 9.0, 18.0, 150.0, pen.WOOD, pen.WOOD_EDGE, 1.2)
        sheet.circle(place, top + 7.5, 4.0, pen.IRON, pen.INK, 0.8)
    low = top + sag
    sheet.line(middle, low + 4.0, middle, low + 44.0, pen.INK, 1.3)
    _jug(sheet, middle, low + 44.0)
    words = f"{one.load_lb:.3g} lb ({one.load_lb * 0.45359237:.3g} kg)"
    sheet.text(middle + 34.0, low + 74.0, words, 13.0, bold=True)
    sheet.text(middle + 34.0, low + 90.0, "jug and all", 11.5, fill=pen.SOFT_INK)
    # The sag, to the left of the load.
    at = middle - 22.0
    _measure(sheet, at, top, at, low)
    sheet.text(
        at - 8.0,
        top - 10.0,
        f"sinks {one.deflection_in:.3f} in ({25.4 * one.deflection_in:.1f} mm)",
        13.0,
        "middle",
        bold=True,
        halo=True,
    )
    base = top + 178.0
    _measure(sheet, left, base, right, base)
    for place in (left, right):
        sheet.line(place, top + 160.0, place, base + 6.0, pen.SOFT_INK, 0.8)
    sheet.text(
        middle,
        base + 19.0,
        f"span {one.span_in:g} in ({25.4 * one.span_in:.0f} mm)",
        13.0,
        "middle",
        bold=True,
    )
    sheet.text(
        middle, base + 37.0, "The sag is drawn larger than it is.", 11.5, "middle", pen.SOFT_INK
    )


def _jug(sheet: Sheet, x: float, y: float) -> None:
    sheet.path(
        points([(x - 11, y), (x - 11, y + 9), (x - 22, y + 20), (x - 22, y + 54)])
        + points([(x + 22, y + 54), (x + 22, y + 20), (x + 11, y + 9), (x + 11, y)]).replace(
            "M", "L", 1
        )
        + "Z",
        pen.FEATHER,
        pen.INK,
        1.4,
    )
    sheet.rect(x - 20.5, y + 26.0, 41.0, 26.5, pen.BAND)


def _measure(sheet: Sheet, x1: float, y1: float, x2: float, y2: float) -> None:
    """A measuring line with a short bar at either end."""
    sheet.line(x1, y1, x2, y2, pen.INK, 1.0)
    across = (0.0, 4.0) if y1 == y2 else (4.0, 0.0)
    for x, y in ((x1, y1), (x2, y2)):
        sheet.line(x - across[0], y - across[1], x + across[0], y + across[1], pen.INK, 1.2)


def _rosette(sheet: Sheet, spine: Spine, x: float, y: float) -> None:
    """Pounds read each way round, with error bars; the mark is up, and both half turns show."""
    turned = [one for one in spine.seen if one.reading.rotation_deg is not None]
    sheet.text(x, 34.0, "All round, seen from the nock end", 13.5, "middle", bold=True)
    if not turned:
        sheet.circle(x, y, 96.0, "none", pen.FAINT, 1.0)
        sheet.block(
            x - 78.0,
            y - 24.0,
            "No rotation was noted: mark a line on the shaft and read it four ways round.",
            160.0,
            12.5,
            fill=pen.SOFT_INK,
        )
        return
    pounds, (p, q, _) = spine.spine_26in_2lb_lb, spine.swing
    low = min([one.spine_lb - one.error_lb for one in turned] + [pounds])
    high = max([one.spine_lb + one.error_lb for one in turned] + [pounds])
    swing = pounds * math.hypot(p, q)
    low, high = min(low, pounds - swing), max(high, pounds + swing)
    room = max(high - low, 0.04 * pounds)
    step = pen.nice_step(2.0 * room, 3)
    inner = step * math.floor((low - 0.6 * room) / step)
    outer = step * math.ceil(high / step)
    reach = 112.0

    def at(turn: float, spine_lb: float) -> tuple[float, float]:
        out = reach * max(spine_lb - inner, 0.0) / (outer - inner)
        return x + out * math.sin(turn), y - out * math.cos(turn)

    ring = inner + step
    while ring <= outer + 0.01 * step:
        sheet.circle(x, y, reach * (ring - inner) / (outer - inner), "none", pen.FAINT, 1.0)
        out = reach * (ring - inner) / (outer - inner)
        sheet.text(
            x + out * math.sin(2.75),
            y - out * math.cos(2.75) + 4.0,
            f"{ring:g} lb",
            10.5,
            "middle",
            pen.SOFT_INK,
            halo=True,
        )
        ring += step
    for degrees in range(0, 360, 45):
        end = at(math.radians(degrees), outer)
        sheet.line(x, y, *end, pen.FAINT, 0.8)
        beside = at(math.radians(degrees), outer + 0.16 * (outer - inner))
        words = "mark" if degrees == 0 else f"{degrees}°"
        sheet.text(beside[0], beside[1] + 4.0, words, 11.0, "middle", pen.SOFT_INK)
    if spine.sides.ways == 3:
        ways = [math.radians(one) for one in range(0, 361, 4)]
        fitted = [at(t, pounds / (1.0 + p * math.cos(2 * t) + q * math.sin(2 * t))) for t in ways]
        sheet.path(points(fitted) + "Z", stroke=pen.FIT, pen=1.8)
    else:
        sheet.circle(x, y, reach * (pounds - inner) / (outer - inner), "none", pen.FIT, 1.4)
    for one in turned:
        for half in (0.0, 180.0):
            turn = math.radians((one.reading.rotation_deg or 0.0) + half)
            near, far = at(turn, one.spine_lb - one.error_lb), at(turn, one.spine_lb + one.error_lb)
            sheet.line(*near, *far, pen.INK, 1.2)
            # What was read is filled; the same reading half a turn further is open.
            fill = pen.INK if half == 0.0 else pen.PAPER
            sheet.circle(*at(turn, one.spine_lb), 3.2, fill, pen.INK, 1.2)
    sides = spine.sides
    if sides.told and sides.turn_deg is not None:
        for half in (0.0, 180.0):
            turn = math.radians(sides.turn_deg + half)
            sheet.line(
                *at(turn, outer + 0.02 * (outer - inner)), *at(turn, inner), pen.STIFF, 2.6, "8 4"
            )
        turn_deg = round(sides.turn_deg) % 180
        words = f"dashed: stiff side, {turn_deg} deg ± {sides.turn_error_deg:.0f} deg"
    else:
        words = "stiff side not told"
    sheet.text(x, y + reach + 44.0, words, 12.0, "middle", pen.STIFF, bold=True)
    sheet.text(
        x,
        y + reach + 61.0,
        f"lb (26 in span, 2 lb); the middle is {inner:g} lb",
        11.0,
        "middle",
        pen.SOFT_INK,
    )


def two_nail_jig(key: str = "jig") -> Sheet:
    """The jig of two nails and a jug, as a drawing to build from.

    Parameters
    ----------
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Common practice, no source.
    """
    sheet = Sheet(
        780.0,
        440.0,
        "A jig of two nails and a jug",
        "A board on the wall with two nails 26 in apart; the shaft lies on them, a jug of water "
        "hangs from its middle, and a ruler behind it shows how far it sinks.",
        key,
    )
    sheet.text(24.0, 34.0, "Two nails and a jug", 18.0, bold=True)
    sheet.rect(60.0, 74.0, 660.0, 96.0, pen.WOOD, pen.WOOD_EDGE, 1.4, 3.0)
    left, right, top, sag = 140.0, 640.0, 122.0, 40.0
    middle = 0.5 * (left + right)
    sheet.rect(middle - 26.0, 70.0, 20.0, 190.0, pen.FEATHER, pen.INK, 1.0)
    for tick in range(24):
        mark = 12.0 if tick % 4 == 0 else 7.0
        sheet.line(
            middle - 26.0, 76.0 + 8.0 * tick, middle - 26.0 + mark, 76.0 + 8.0 * tick, pen.INK, 0.8
        )
    half = 0.5 * (right - left)
    curve = []
    for step in range(-48, 49):
        s = step / 40.0
        part = 1.0 - abs(s)
        down = sag * (3.0 * part - part**3) / 2.0 if part >= 0 else 1.5 * sag * part
        curve.append((middle + s * half, top - 8.0 + down))
    sheet.line(60.0, top - 8.0, 720.0, top - 8.0, pen.INK, 0.9, "5 4")
    sheet.path(points(curve), stroke=pen.WOOD_EDGE, pen=8.0)
    sheet.path(points(curve), stroke=pen.SHAFT, pen=5.6)
    for place in (left, right):
        sheet.circle(place, top, 5.0, pen.IRON, pen.INK, 1.0)
    low = top - 8.0 + sag
    sheet.line(middle, low + 4.0, middle, low + 80.0, pen.INK, 1.3)
    _jug(sheet, middle, low + 80.0)
    _measure(sheet, left, 56.0, right, 56.0)
    sheet.text(
        middle, 50.0, "26 in (660 mm) between the lines where the shaft touches", 12.5, "middle"
    )
    notes = (
        (84.0, 206.0, "Shaft's middle over the middle of the span; the mark on it up.", 200.0),
        (
            84.0,
            262.0,
            "Ruler beside the string, read level with the shaft: before the jug hangs, and after.",
            200.0,
        ),
        (462.0, 200.0, "Smooth nails, level. The shaft must slide on them.", 250.0),
        (462.0, 250.0, "Jug, string and water weighed together: 2 lb is 907 g.", 250.0),
        (
            462.0,
            300.0,
            "Turn the shaft by 45 deg and read again: four ways round, twice each.",
            250.0,
        ),
    )
    for x, y, words, width in notes:
        sheet.block(x, y, words, width, 12.5)
    sheet.block(
        24.0,
        392.0,
        "The dashed line is a thread from nail to nail: where the shaft lies without the jug. What "
        "counts is how far the middle sinks from the first reading to the second.",
        732.0,
        12.5,
        fill=pen.SOFT_INK,
    )
    return sheet
