"""How the range of a shaft closes: by the name of its wood, weighed, bent."""

from __future__ import annotations

from loosewell.faces import wording
from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, fixed
from loosewell.workshop.wood import WoodEstimate

_WIDTH = 480.0
_STEPS = ("by name", "weighed", "bent")


def wood_chart(told: WoodEstimate, key: str = "wood") -> Sheet:
    """Three bars of spine on one axis: by name, weighed, bent.

    Parameters
    ----------
    told : WoodEstimate
        With one step or more. [lb]
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
    known = {one.name: one for one in told.steps}
    words = "; ".join(
        f"{one.name}: {one.spine_26in_2lb_lb.low:.0f} to {one.spine_26in_2lb_lb.high:.0f} lb"
        for one in told.steps
    )
    title = f"{told.species}, {told.diameter_in:.3f} in by {told.length_in:g} in"
    sheet = Sheet(_WIDTH, 300.0, title, words, key)
    sheet.text(10, 24, title, 16.5, bold=True)
    low = 5.0 * ((min(one.spine_26in_2lb_lb.low for one in told.steps) - 4.0) // 5.0)
    high = 5.0 * -(-(max(one.spine_26in_2lb_lb.high for one in told.steps) + 4.0) // 5.0)
    left, right, top, bottom = 96.0, _WIDTH - 20.0, 40.0, 220.0

    def px(spine: float) -> float:
        return left + (spine - low) / (high - low) * (right - left)

    step = max(5.0, pen.nice_step(high - low, 6))
    mark = step * -(-low // step)
    while mark <= high + 1e-9:
        x = px(mark)
        sheet.path(f"M{fixed(x)} {top}V{bottom}", stroke=pen.FAINT, pen=0.8)
        sheet.path(f"M{fixed(x)} {bottom}v5", stroke=pen.INK)
        sheet.text(x, bottom + 19, f"{mark:g}", 12.5, "middle")
        later = wording.number(wording.later_deflection_in(mark), 2)
        sheet.text(x, bottom + 54, later, 12.5, "middle", fill=pen.SOFT_INK)
        mark += step
    sheet.path(f"M{left} {bottom}H{right}", stroke=pen.INK, pen=1.2)
    sheet.text(right, bottom + 36, f"lb ({wording.WOOD_STANDARD})", 12, "end")
    sheet.text(right, bottom + 71, f"in ({wording.LATER_STANDARD})", 12, "end", fill=pen.SOFT_INK)
    hatch = sheet.hatch("guess", pen.WEAK, 45, 6.0, 1.6)
    for row, name in enumerate(_STEPS):
        y = top + 14.0 + 58.0 * row
        one = known.get(name)
        sheet.text(left - 10, y + 17, name, 13.5, "end", bold=one is not None)
        if one is None:
            sheet.text(left + 8, y + 17, "not yet", 12.5, fill=pen.SOFT_INK)
            continue
        band = one.spine_26in_2lb_lb
        fill = pen.FIT if name == "bent" else hatch
        edge = pen.FIT if name == "bent" else pen.WEAK
        start, end = px(band.low), px(band.high)
        sheet.rect(start, y, end - start, 24.0, fill=fill, stroke=edge, pen=1.4)
        middle = px(band.middle)
        colour = pen.PAPER if name == "bent" else pen.INK
        sheet.path(f"M{fixed(middle)} {fixed(y - 3)}v30", stroke=colour, pen=2.6)
        said = f"{band.low:.0f} to {band.high:.0f} lb"
        wide = pen.text_width(said, 12.5)
        # Beside the bar, on the side where there is room.
        if end + 8 + wide <= right:
            sheet.text(end + 8, y + 17, said, 12.5)
        else:
            x = min(max(0.5 * (start + end), left + wide / 2.0), right - wide / 2.0)
            sheet.text(x, y + 40, said, 12.5, "middle")
    sheet.text(10, 293, "each bar holds eight of ten such shafts", 12, fill=pen.SOFT_INK)
    return sheet
