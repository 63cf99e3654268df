"""The gap card: shot gaps inked, computed ones in outline, and the point-on distance."""

from __future__ import annotations

from loosewell.faces import wording
from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, fixed, points
from loosewell.workshop.aim import AimCard, Gap

_WIDTH = 620.0


def held(below_in: float, digits: int = 0) -> str:
    """Where the point is held, in words: "14 in below", "6 in above", "on".

    Parameters
    ----------
    below_in : float
        At the target, positive under the spot. [in]
    digits : int
        Decimals. [1]

    Returns
    -------
    text : str
        In inches. [text]

    Source
    ------
    House style.
    """
    if round(abs(below_in), digits) == 0.0:
        return "on the spot"
    way = "below" if below_in > 0.0 else "above"
    return f"{wording.number(abs(below_in), digits)} in {way}"


def aim_card(card: AimCard, key: str = "aim") -> Sheet:
    """The gap card for one bow, archer and arrow, black and white, to be read at arm's length.

    Parameters
    ----------
    card : AimCard
        Without a stop. [in, yd]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        Filled dots and heavy figures were shot; rings and slanted figures are computed. [px]

    Source
    ------
    Derived from the card's own figures.
    """
    row = 46.0
    top = 176.0
    foot = top + row * len(card.gaps)
    words = pen.wrap(card.point_on_text, 18.0, _WIDTH - 32.0)
    chart_top = foot + 40.0 + 24.0 * len(words) + 20.0
    tall = chart_top + 330.0
    sheet = Sheet(_WIDTH, tall, "Gap card", card.point_on_text, key)
    sheet.text(16, 36, "Gap card", 26.0, bold=True)
    sheet.text(
        16, 64, f"{card.archer} with {card.bow}, {card.hand}-handed; anchor: {card.anchor}", 17.0
    )
    for k, text in enumerate(pen.wrap(card.arrow, 16.0, _WIDTH - 32.0)[:2]):
        sheet.text(16, 88 + 20 * k, text, 16.0)
    sheet.text(16, 150, "distance", 16.0, bold=True)
    sheet.text(190, 150, "hold the point, at the target", 16.0, bold=True)
    sheet.text(_WIDTH - 16, 150, "as seen at the point", 16.0, "end", bold=True)
    for i, gap in enumerate(card.gaps):
        _row(sheet, gap, top + row * i, row)
    sheet.path(f"M16 {fixed(foot)}H{fixed(_WIDTH - 16)}", stroke=pen.INK, pen=1.2)
    for k, text in enumerate(words):
        sheet.text(16, foot + 32 + 24 * k, text, 18.0, bold=True)
    _chart(sheet, card, chart_top)
    return sheet


def _row(sheet: Sheet, gap: Gap, y: float, row: float) -> None:
    """One distance: a filled dot and heavy figures when it was shot, a ring when computed."""
    sheet.path(f"M16 {fixed(y)}H{fixed(_WIDTH - 16)}", stroke=pen.INK, pen=0.8)
    middle = y + row / 2.0
    sheet.circle(26, middle, 7.0, fill=pen.INK if gap.shot else pen.PAPER, stroke=pen.INK, pen=1.8)
    sheet.text(44, middle + 1, f"{gap.distance_yd:g} yd", 20.0, bold=gap.shot)
    sheet.text(44, middle + 18, f"{gap.distance_yd * 0.9144:.0f} m", 13.0)
    below = gap.below_in
    digits = 0
    text = held(below.middle, digits)
    if gap.shot:
        sheet.text(190, middle + 6, text, 22.0, bold=True)
        sheet.text(350, middle + 6, f"({abs(below.middle) * 2.54:.0f} cm)", 16.0)
    else:
        error = 0.5 * (below.high - below.low)
        sheet.text(190, middle + 1, text, 19.0, italic=True)
        sheet.text(
            190, middle + 18,
            f"computed, ± {error:.0f} in ({abs(below.middle) * 2.54:.0f} ± {error * 2.54:.0f} cm)",
            13.0, italic=True,
        )  # fmt: skip
    seen = gap.at_point_in.middle
    inches = f"{wording.number(abs(seen), 1)} in ({abs(seen) * 25.4:.0f} mm)"
    sheet.text(_WIDTH - 16, middle + 6, inches, 16.0, "end", italic=not gap.shot)


def _axis(below: float) -> str:
    if abs(below) < 1e-9:
        return "0"
    return f"{abs(below):g} {'below' if below > 0.0 else 'above'}"


def _chart(sheet: Sheet, card: AimCard, top: float) -> None:
    """Gap against distance: its range hatched, dots where it was shot, rings where computed."""
    left, right = 92.0, _WIDTH - 30.0
    sheet.text(16, top - 14, "inches", 14.0)
    bottom = top + 250.0
    far = max([gap.distance_yd for gap in card.gaps] + [20.0])
    if card.point_on_yd is not None:
        far = max(far, min(card.point_on_yd.middle * 1.1, 100.0))
    curve = [one for one in card.curve if one[0] <= far + 0.1]
    values = [value for one in curve for value in (one[2], one[3])]
    values += [gap.below_in.middle for gap in card.gaps] + [0.0]
    low, high = min(values), max(values)
    step = pen.nice_step(high - low, 5)
    low, high = step * (low // step), step * -(-high // step)

    def px(yards: float) -> float:
        return left + yards / far * (right - left)

    def py(below: float) -> float:
        # Held below the spot lies below on the paper too.
        return top + (below - low) / (high - low) * (bottom - top)

    mark = low
    while mark <= high + 1e-9:
        sheet.path(f"M{left} {fixed(py(mark))}H{right}", stroke=pen.FAINT, pen=0.8)
        sheet.text(left - 6, py(mark) + 5, _axis(mark), 14.0, "end")
        mark += step
    hatch = sheet.hatch("gap", pen.INK, 45, 6.0, 0.6)
    over = [(px(one[0]), py(one[3])) for one in curve]
    under = [(px(one[0]), py(one[2])) for one in curve]
    if curve:
        sheet.path(points([*over, *reversed(under)]) + "Z", fill=hatch)
        sheet.path(
            points([(px(o[0]), py(o[1])) for o in curve]), stroke=pen.INK, pen=1.6, dash="8 5"
        )
    sheet.path(f"M{left} {fixed(py(0.0))}H{right}", stroke=pen.INK, pen=2.4)
    sheet.text(right, py(0.0) - 7, "the spot", 15.0, "end", halo=True)
    for gap in card.gaps:
        sheet.circle(
            px(gap.distance_yd), py(gap.below_in.middle), 6.0,
            fill=pen.INK if gap.shot else pen.PAPER, stroke=pen.INK, pen=1.8,
        )  # fmt: skip
    mark = 10.0
    while mark <= far + 1e-9:
        sheet.path(f"M{fixed(px(mark))} {bottom}v5", stroke=pen.INK)
        sheet.text(px(mark), bottom + 22, f"{mark:g} yd", 14.0, "middle")
        mark += 10.0
    sheet.path(f"M{left} {top}V{bottom}H{right}", stroke=pen.INK, pen=1.2)
    y = bottom + 52.0
    sheet.circle(26, y - 5, 7.0, fill=pen.INK, stroke=pen.INK, pen=1.8)
    sheet.text(42, y, "shot by you", 16.0, bold=True)
    sheet.circle(196, y - 5, 7.0, fill=pen.PAPER, stroke=pen.INK, pen=1.8)
    sheet.text(212, y, "computed: shoot it before you trust it", 16.0, italic=True)
