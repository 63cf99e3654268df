"""The drying curve of a shaft: its weighings, eight of ten curves, and when it is steady."""

from __future__ import annotations

import datetime

from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, fixed, points
from loosewell.workshop.drying import Drying

_WIDTH = 520.0


def drying_chart(told: Drying, key: str = "drying") -> Sheet:
    """Weight against days: the weighings, the curves they allow, and the day of steadiness.

    Parameters
    ----------
    told : Drying
        With its curve. [gr, days]
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
    first = told.weighings[0].on
    last = told.curve[-1].on
    days = max((last - first).days, 1)
    left, right, top, bottom = 58.0, _WIDTH - 18.0, 70.0, 300.0
    lows = [one.weight_gr.low for one in told.curve]
    highs = [one.weight_gr.high for one in told.curve]
    lows += [one.weight_gr - one.weight_error_gr for one in told.weighings]
    highs += [one.weight_gr + one.weight_error_gr for one in told.weighings]
    step = pen.nice_step(max(highs) - min(lows), 5)
    low, high = step * (min(lows) // step), step * -(-max(highs) // step)
    sheet = Sheet(_WIDTH, 396.0, f"{told.shaft} drying", told.steady_text, key)
    sheet.text(10, 24, f"{told.shaft} drying", 16.5, bold=True)
    sheet.text(10, 46, "weight in grains (gr)", 12.5)

    def px(day: datetime.date) -> float:
        return left + (day - first).days / days * (right - left)

    def py(weight: float) -> float:
        return bottom - (weight - low) / (high - low) * (bottom - top)

    mark = low
    while mark <= high + 1e-9:
        y = py(mark)
        sheet.path(f"M{left} {fixed(y)}H{right}", stroke=pen.FAINT, pen=0.8)
        sheet.text(left - 7, y + 4, f"{mark:g}", 12.5, "end", fill=pen.SOFT_INK)
        mark += step
    if told.steady_on is not None:
        start, likely, end = told.steady_on
        hatch = sheet.hatch("steady", pen.FIT, 45, 6.0, 1.0)
        x, far = px(start), min(px(end), right)
        if x < right:
            sheet.rect(x, top, max(far - x, 2.0), bottom - top, fill=hatch)
            name = "steady by the weekly rule"
            wide = pen.text_width(name, 12.5, bold=True) / 2.0
            middle = min(max(0.5 * (x + far), left + wide), right - wide)
            sheet.text(middle, top - 8, name, 12.5, "middle", fill=pen.FIT, bold=True)
        if px(likely) <= right:
            data = f"M{fixed(px(likely))} {top}V{bottom}"
            sheet.path(data, stroke=pen.FIT, pen=1.8)
    over = [(px(one.on), py(one.weight_gr.high)) for one in told.curve]
    under = [(px(one.on), py(one.weight_gr.low)) for one in told.curve]
    sheet.path(points([*over, *reversed(under)]) + "Z", fill=pen.BAND)
    for edge in (over, under):
        sheet.path(points(edge), stroke=pen.SOFT_INK, pen=0.9, dash="4 3")
    middle_line = [(px(one.on), py(one.weight_gr.middle)) for one in told.curve]
    sheet.path(points(middle_line), stroke=pen.INK, pen=2.2)
    for one in told.weighings:
        x, y = px(one.on), py(one.weight_gr)
        reach = max(py(one.weight_gr - one.weight_error_gr) - y, 0.0)
        sheet.path(f"M{fixed(x)} {fixed(y - reach)}V{fixed(y + reach)}", stroke=pen.INK, pen=1.4)
        sheet.circle(x, y, 3.6, fill=pen.PAPER, stroke=pen.INK, pen=1.6)
    x = px(told.next_on)
    if x <= right:
        sheet.path(f"M{fixed(x)} {bottom}v12", stroke=pen.WEAK, pen=2.0)
        sheet.path(
            points([(x, bottom + 2), (x - 4, bottom + 10), (x + 4, bottom + 10)]) + "Z",
            fill=pen.WEAK,
        )
    sheet.path(f"M{left} {bottom}H{right}M{left} {top}V{bottom}", stroke=pen.INK, pen=1.2)
    every = max(7, 7 * round(days / 6 / 7))
    day = first
    while day <= last:
        x = px(day)
        sheet.path(f"M{fixed(x)} {bottom}v5", stroke=pen.INK)
        wide = pen.text_width(day.isoformat()[5:], 12.5) / 2.0
        sheet.text(min(x, _WIDTH - wide), bottom + 26, day.isoformat()[5:], 12.5, "middle")
        day += datetime.timedelta(days=every)
    sheet.text(left, bottom + 46, f"month-day, from {first.isoformat()}", 12.5, fill=pen.SOFT_INK)
    sheet.text(10, 370, "rings: weighings with the scale's error; band: eight of ten curves", 12)
    sheet.text(
        10, 388, f"arrow below the axis: weigh again on {told.next_on.isoformat()}", 12,
        fill=pen.WEAK,
    )  # fmt: skip
    return sheet
