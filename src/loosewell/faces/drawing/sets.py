"""The sets of a rack as a scatter: spine against mass, one mark a set, the rest as small dots."""

from __future__ import annotations

from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, fixed, points
from loosewell.workshop.sets import SetsAnswer

_WIDTH, _HEIGHT = 620.0, 470.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 62.0, 600.0, 70.0, 372.0
_COLOURS = (pen.FIT, pen.WEAK, pen.STIFF, pen.WOOD_EDGE, pen.INK, pen.KNOCK)
SHAPES = ("circle", "square", "triangle", "diamond", "triangle down", "hexagon")


def _shape(sheet: Sheet, kind: str, x: float, y: float, colour: str, filled: bool) -> None:
    """A mark of one kind about a place; open ones belong to every second round of shapes."""
    fill = colour if filled else pen.PAPER
    r = 4.6
    corners = {
        "square": [(-0.88, -0.88), (0.88, -0.88), (0.88, 0.88), (-0.88, 0.88)],
        "triangle": [(0.0, -1.15), (1.05, 0.75), (-1.05, 0.75)],
        "triangle down": [(0.0, 1.15), (1.05, -0.75), (-1.05, -0.75)],
        "diamond": [(0.0, -1.2), (1.0, 0.0), (0.0, 1.2), (-1.0, 0.0)],
        "hexagon": [
            (-0.5, -0.95),
            (0.5, -0.95),
            (1.05, 0.0),
            (0.5, 0.95),
            (-0.5, 0.95),
            (-1.05, 0),
        ],
    }.get(kind)
    if corners is None:
        sheet.circle(x, y, 0.95 * r, fill, colour, 1.8)
        return
    data = points([(x + r * a, y + r * b) for a, b in corners]) + "Z"
    sheet.path(data, fill=fill, stroke=colour, pen=1.8)


def _axes(sheet: Sheet, low: tuple[float, float], high: tuple[float, float]) -> None:
    """Both scales with their words and a faint grid."""

    def px(spine: float) -> float:
        return _LEFT + (spine - low[0]) / (high[0] - low[0]) * (_RIGHT - _LEFT)

    def py(weight: float) -> float:
        return _BOTTOM - (weight - low[1]) / (high[1] - low[1]) * (_BOTTOM - _TOP)

    step = pen.nice_step(high[0] - low[0], 8)
    mark = step * -(-low[0] // step)
    while mark <= high[0] + 1e-9:
        sheet.line(px(mark), _TOP, px(mark), _BOTTOM, pen.FAINT, 0.8)
        sheet.text(px(mark), _BOTTOM + 17, f"{mark:g}", 12.5, "middle")
        mark += step
    step = pen.nice_step(high[1] - low[1], 6)
    mark = step * -(-low[1] // step)
    while mark <= high[1] + 1e-9:
        sheet.line(_LEFT, py(mark), _RIGHT, py(mark), pen.FAINT, 0.8)
        sheet.text(_LEFT - 6, py(mark) + 4, f"{mark:g}", 12.5, "end")
        mark += step
    sheet.path(f"M{_LEFT} {_TOP}V{_BOTTOM}H{_RIGHT}", stroke=pen.INK, pen=1.2)
    words = "spine, lb (26 in span, 2 lb)"
    sheet.text(0.5 * (_LEFT + _RIGHT), _BOTTOM + 36, words, 12.5, "middle")
    sheet.text(10, _TOP - 12, "mass of the shaft as it lies, gr", 12.5)


def _labels(sheet: Sheet, places: list[list[tuple[float, float]]], codes: list[str]) -> None:
    """Each set's code above its topmost mark, or below its lowest where that is taken."""
    # Marks count as taken too: their place, less by half the height of a letter.
    taken = [(x, y + 4.0, 4.0) for spots in places for x, y in spots]
    for spots, code in sorted(zip(places, codes, strict=True), key=lambda pair: pair[0][0]):
        half = 0.5 * pen.text_width(code, 12.0, bold=True)
        x = sum(one[0] for one in spots) / len(spots)
        x = min(max(x, _LEFT + half), _RIGHT - half)
        top, bottom = min(one[1] for one in spots), max(one[1] for one in spots)
        tries = [y for n in range(6) for y in (top - 10.0 - 15.0 * n, bottom + 19.0 + 15.0 * n)]
        tries = [y for y in tries if _TOP + 8.0 < y < _BOTTOM - 4.0] or [top - 10.0]
        y = next(
            (y for y in tries if all(abs(y - b) > 13.0 or abs(x - a) > half + w
                                     for a, b, w in taken)),
            tries[0],
        )  # fmt: skip
        taken.append((x, y, half))
        sheet.text(x, y, code, 12.0, "middle", bold=True, halo=True)


def sets_chart(answer: SetsAnswer, weights: dict[str, float], key: str = "sets") -> Sheet:
    """Every measured shaft by spine and mass: sets by shape and code, leftovers as small dots.

    Parameters
    ----------
    answer : SetsAnswer
        The sets. [lb]
    weights : dict of str to float
        Mass of each shaft by its name. [gr]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the answer.
    """
    inside = [(one, m) for one in answer.sets for m in one.members]
    left = [
        (row.spine_26in_2lb_lb, row.weight_gr, row.use)
        for row in answer.leftovers
        if row.spine_26in_2lb_lb is not None and row.weight_gr is not None
    ]
    spines = [m.spine_26in_2lb_lb for _, m in inside]
    masses = [weights[m.shaft] for _, m in inside]
    # The sets and their neighbours are shown; what lies far off would press them together.
    pad = 0.6 * (max(spines) - min(spines)) + 4.0, 0.6 * (max(masses) - min(masses)) + 20.0
    low, high = (
        (min(spines) - pad[0], min(masses) - pad[1]),
        (
            max(spines) + pad[0],
            max(masses) + pad[1],
        ),
    )
    near = [one for one in left if low[0] < one[0] < high[0] and low[1] < one[1] < high[1]]
    rows = -(-(len(answer.sets) + 1) // 3)
    height = _HEIGHT + 20.0 * max(rows - 2, 0)
    told = "; ".join(
        f"{one.code} for {one.bow}: {', '.join(m.shaft for m in one.members)}"
        for one in answer.sets
    )
    title = f"{len(answer.sets)} set{'s' if len(answer.sets) != 1 else ''} of {answer.size}"
    sheet = Sheet(_WIDTH, height, title, f"Spine against mass. {told}.", key)
    sheet.text(10, 24, f"{title}, and what is left over", 16, bold=True)
    note = "Bars: standard error beside shafts of the same jig."
    if len(near) < len(left):
        off = len(left) - len(near)
        note += f" {off} leftover{'s lie' if off > 1 else ' lies'} outside."
    sheet.text(10, 42, note, 11.5, fill=pen.SOFT_INK)
    _axes(sheet, low, high)

    def at(spine: float, mass: float) -> tuple[float, float]:
        return (
            _LEFT + (spine - low[0]) / (high[0] - low[0]) * (_RIGHT - _LEFT),
            _BOTTOM - (mass - low[1]) / (high[1] - low[1]) * (_BOTTOM - _TOP),
        )

    never = ("firewood", "look it over")
    for lb, mass, use in near:
        x, y = at(lb, mass)
        if use in never:
            sheet.path(f"M{fixed(x - 3)} {fixed(y - 3)}l6 6m0 -6l-6 6", stroke=pen.KNOCK, pen=1.4)
        else:
            sheet.circle(x, y, 2.4, pen.SOFT_INK)
    for number, one in enumerate(answer.sets):
        for m in one.members:
            x, y = at(m.spine_26in_2lb_lb, weights[m.shaft])
            reach = at(m.spine_26in_2lb_lb + m.own_error_lb, weights[m.shaft])[0] - x
            sheet.line(x - reach, y, x + reach, y, _COLOURS[number % 6], 1.0)
    for number, one in enumerate(answer.sets):
        for m in one.members:
            x, y = at(m.spine_26in_2lb_lb, weights[m.shaft])
            _shape(sheet, SHAPES[number % 6], x, y, _COLOURS[number % 6], number % 12 < 6)
    _labels(
        sheet,
        [[at(m.spine_26in_2lb_lb, weights[m.shaft]) for m in one.members] for one in answer.sets],
        [one.code for one in answer.sets],
    )
    wide = (_WIDTH - 20.0) / 3.0
    for number, one in enumerate(answer.sets):
        x, y = 18.0 + wide * (number % 3), _BOTTOM + 62.0 + 20.0 * (number // 3)
        _shape(sheet, SHAPES[number % 6], x, y - 4, _COLOURS[number % 6], number % 12 < 6)
        words = f"{one.code}, {one.bow}"
        while pen.text_width(words, 12.5) > wide - 24 and len(words) > 6:
            words = words[:-2].rstrip(" .…") + "…"
        sheet.text(x + 11, y, words, 12.5)
    number = len(answer.sets)
    x, y = 18.0 + wide * (number % 3), _BOTTOM + 62.0 + 20.0 * (number // 3)
    sheet.circle(x, y - 4, 2.4, pen.SOFT_INK)
    sheet.text(x + 9, y, "left over", 12.5)
    sheet.path(f"M{fixed(x + 72)} {fixed(y - 7)}l6 6m0 -6l-6 6", stroke=pen.KNOCK, pen=1.4)
    sheet.text(x + 83, y, "not offered", 12.5)
    return sheet
