"""A range to scale: lanes, lines, every rule in its place, the reach beside them, a scale bar."""

from __future__ import annotations

from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, points
from loosewell.workshop.range_ import Range

_WIDTH, _PLAN, _TOP, _LEAST = 860.0, 470.0, 86.0, 10.0
_HEIGHT = 620.0
"""Of the plan itself, which the longest line fills."""
_DASHES = ("9 4", "2 4", "12 4 2 4", "5 5")


def scale(made: Range) -> float:
    """Units of the drawing for a yard of ground, alike in both directions.

    Parameters
    ----------
    made : Range
        The range.

    Returns
    -------
    per_yard : float
        So that the farthest line and the widest zone are on the sheet. [px/yd]

    Source
    ------
    House style.
    """
    near, far = _ends(made)
    wide = 2.0 * _half_width(made)
    return min(_HEIGHT / (far - near), (_PLAN - 40.0) / wide)


def _ends(made: Range) -> tuple[float, float]:
    places = [one.from_shooting_line_yd for one in made.zones]
    known = [one for one in places if one is not None]
    far = max([made.target_yd, made.longest_yd or 0.0, *known]) * 1.03 + 2.0
    near = min([-0.04 * far, *known]) - 1.0
    return near, far


def _half_width(made: Range) -> float:
    widest = max((width for _, edge in made.side_edges for _, width in edge), default=0.0)
    return 0.5 * made.lanes * made.lane_width_yd + widest + 2.0


def layout(made: Range) -> str:
    """The range as a drawing.

    Parameters
    ----------
    made : Range
        As laid out.

    Returns
    -------
    svg : str
        A drawing on variables of the page, the same scale along and across. [text]

    Source
    ------
    House style.
    """
    per = scale(made)
    near, far = _ends(made)
    tall = per * (far - near)
    sheet = Sheet(
        _WIDTH,
        max(_TOP + tall + 90.0, 760.0) + 130.0,
        f"Range {made.name}",
        f"{made.lanes} lanes, targets at {made.target_yd:g} yd, every typed rule at its distance.",
        "range",
    )
    middle, base = 20.0 + 0.5 * (_PLAN - 20.0), _TOP + per * far

    def px(across: float) -> float:
        return middle + per * across

    def py(down: float) -> float:
        return base - per * down

    half = 0.5 * made.lanes * made.lane_width_yd
    sheet.text(20, 34, f"Range {made.name[:40]}", 20, bold=True)
    sheet.text(20, 56, "Only the rules typed here are drawn. Walk the ground first.", 13)
    sides = []
    for k, (source, edge) in enumerate(made.side_edges):
        sides.append((py(0.45 * far - 0.06 * far * k), f"Side zone: {source}", pen.INK, ""))
        ends = [*edge, (far, edge[-1][1])] if edge[-1][0] < far else edge
        for sign in (-1.0, 1.0):
            line = [(px(sign * (half + width)), py(place)) for place, width in ends]
            if edge[0][0] > 0.0:
                line = [(px(sign * (half + edge[0][1])), py(0.0)), *line]
            sheet.path(points(line), stroke=pen.KNOCK, pen=1.4, dash=_DASHES[k % 4])
    for lane in range(made.lanes + 1):
        x = px(-half + lane * made.lane_width_yd)
        sheet.line(x, py(0.0), x, py(made.target_yd), pen.FAINT, 1.0)
    sheet.rect(px(-half), py(made.target_yd) - 3, per * 2 * half, 6, pen.STRAW, pen.WOOD_EDGE, 1.0)
    sheet.line(px(-half), py(0.0), px(half), py(0.0), pen.INK, 2.4)
    labels: list[tuple[float, str, str, str]] = [
        (py(0.0), "Shooting line, 0 yd", pen.INK, ""),
        (py(made.target_yd), f"Targets, {_both(made.target_yd)}", pen.INK, ""),
    ]
    labels += sides
    count = 0
    for one in made.zones:
        if one.from_shooting_line_yd is None:
            continue
        y = py(one.from_shooting_line_yd)
        dash = _DASHES[count % 4]
        count += 1
        sheet.line(30.0, y, _PLAN, y, pen.KNOCK if one.what == "overshoot" else pen.INK, 1.6, dash)
        labels.append(
            (y, (f"{one.what.capitalize()}, {_both(one.from_shooting_line_yd)}: {one.source}, "
                f"{one.on}"), pen.INK, dash)
        )  # fmt: skip
    if made.reach_yd is not None and made.longest_yd is not None:
        low, high = py(made.reach_yd.low), py(made.reach_yd.high)
        hatch = sheet.hatch("reach", pen.WEAK, 45)
        sheet.rect(middle - 26, high, 52, low - high, hatch, pen.WEAK, 1.2)
        sheet.line(
            middle - 40, py(made.longest_yd), middle + 40, py(made.longest_yd), pen.WEAK, 2.6
        )
        labels.append(
            (py(made.longest_yd), f"Longest carry reckoned, {_both(made.longest_yd)}", pen.WEAK, "")
        )
        labels.append(
            (0.5 * (low + high), (f"Farthest carry, {made.reach_yd.low:.0f} to "
             f"{made.reach_yd.high:.0f} yd (8 of 10)"), pen.WEAK, "")
        )  # fmt: skip
    _label_all(sheet, labels)
    _scale_bar(sheet, per, sheet.height - 40.0)
    for k, blank in enumerate(made.blanks):
        y = sheet.height - 150.0 + 26.0 * k
        sheet.text(330.0, y, f"{blank}:", 13.0)
        sheet.line(560.0, y + 3.0, _WIDTH - 20.0, y + 3.0, pen.INK, 0.8)
    return sheet.svg()


def _both(yards: float) -> str:
    if yards < 0.0:
        return f"{-yards:.0f} yd ({-yards * 0.9144:.0f} m) behind the shooting line"
    return f"{yards:.0f} yd ({yards * 0.9144:.0f} m)"


def _label_all(sheet: Sheet, labels: list[tuple[float, str, str, str]]) -> None:
    """Words beside the lines, moved apart where they would stand on one another."""
    x, last = _PLAN + 34.0, _TOP - 24.0
    for y, text, colour, _ in sorted(labels):
        broken = pen.wrap(text, 13.0, _WIDTH - x - 12.0)
        at = max(y + 4.0, last + 18.0)
        sheet.line(_PLAN, y, x - 6.0, at - 4.0, pen.SOFT_INK, 0.7)
        for k, line in enumerate(broken):
            sheet.text(x, at + 16.0 * k, line, 13.0, fill=colour)
        last = at + 16.0 * (len(broken) - 1)


def _scale_bar(sheet: Sheet, per: float, y: float) -> None:
    """A bar in yards above and one in metres below, each a round length."""
    for unit, factor, dy in (("yd", 1.0, 0.0), ("m", 1.0 / 0.9144, 24.0)):
        step = pen.nice_step(160.0 / (per * factor), 1)
        width = step * per * factor
        sheet.rect(20.0, y + dy - 6.0, 0.5 * width, 6.0, pen.INK, pen.INK, 1.0)
        sheet.rect(
            20.0, y + dy - 6.0, width, 6.0, "none", pen.INK, 1.0, more=f' class="scale-{unit}"'
        )
        sheet.text(20.0 + width + 8.0, y + dy, f"{step:g} {unit}", 12.5)
