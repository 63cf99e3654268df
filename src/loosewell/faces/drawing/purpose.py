"""Drawings of a purpose: how far an arrow carries at every angle, and the fishing card."""

from __future__ import annotations

from collections.abc import Sequence

from loosewell.faces import wording
from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, fixed, points
from loosewell.workshop.fishing import Aim
from loosewell.workshop.purposes import PurposeAnswer

_WIDTH = 640.0


def purpose_drawing(answer: PurposeAnswer, key: str = "purpose") -> Sheet:
    """The drawing that belongs to a purpose: the card for fishing, else the carries.

    Parameters
    ----------
    answer : PurposeAnswer
        Without a stop. [in, yd]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the answer's own figures.
    """
    return fishing_card(answer, key) if answer.fishing is not None else carry_chart(answer, key)


def carry_chart(answer: PurposeAnswer, key: str = "carry") -> Sheet:
    """Carry against the angle it is loosed at, with its range, and the longest as a line.

    Parameters
    ----------
    answer : PurposeAnswer
        With its reach. [yd, deg]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the answer's own figures.
    """
    reach = answer.reach
    if reach is None:
        raise ValueError("an answer without a reach has no carry chart")
    left, right, top, bottom = 70.0, _WIDTH - 24.0, 112.0, 420.0
    title = f"{answer.title}: how far it carries"
    sheet = Sheet(_WIDTH, 600.0, title, reach.text, key)
    sheet.text(16, 32, title, 20.0, bold=True)
    who = f"{answer.archer} with {answer.bow}; {answer.fletching}; {answer.point_weight_gr:g} gr"
    sheet.text(16, 58, f"{who} point", 15.0)
    tallest = max([1.06 * reach.longest_yd, *reach.plain_carry_yd])
    most = pen.nice_step(tallest, 5)
    high = most * -(-tallest // most)

    def px(angle: float) -> float:
        return left + angle / 85.0 * (right - left)

    def py(yards: float) -> float:
        return bottom - yards / high * (bottom - top)

    mark = 0.0
    while mark <= high + 1e-9:
        sheet.path(f"M{left} {fixed(py(mark))}H{right}", stroke=pen.FAINT, pen=0.8)
        sheet.text(left - 6, py(mark) + 5, f"{mark:g}", 15.0, "end")
        mark += most
    sheet.text(16, top - 12, "yards", 15.0)
    hatch = sheet.hatch("band", pen.INK, 45, 6.0, 0.7)
    over = [(px(a), py(c.high)) for a, c in zip(reach.angles_deg, reach.carry_yd, strict=True)]
    under = [(px(a), py(c.low)) for a, c in zip(reach.angles_deg, reach.carry_yd, strict=True)]
    sheet.path(points([*over, *reversed(under)]) + "Z", fill=hatch)
    line = [(px(a), py(c.middle)) for a, c in zip(reach.angles_deg, reach.carry_yd, strict=True)]
    sheet.path(points(line), stroke=pen.INK, pen=3.0)
    if reach.plain_carry_yd:
        pairs = zip(reach.angles_deg, reach.plain_carry_yd, strict=True)
        sheet.path(points([(px(a), py(c)) for a, c in pairs]), stroke=pen.INK, pen=1.8, dash="9 6")
    level = py(reach.longest_yd)
    sheet.path(f"M{left} {fixed(level)}H{right}", stroke=pen.INK, pen=2.2, dash="2 5")
    longest = (
        f"longest reckoned {reach.longest_yd:.0f} yd ({reach.longest_yd * 0.9144:.0f} m), wind "
        "from behind"
    )
    sheet.text(right, level - 8, longest, 15.0, "end", halo=True)
    sheet.path(f"M{left} {bottom}H{right}M{left} {top}V{bottom}", stroke=pen.INK, pen=1.4)
    for angle in range(0, 81, 10):
        sheet.path(f"M{fixed(px(angle))} {bottom}v5", stroke=pen.INK)
        sheet.text(px(angle), bottom + 22, f"{angle}°", 15.0, "middle")
    sheet.text((left + right) / 2.0, bottom + 46, "angle above level on leaving", 15.0, "middle")
    y = bottom + 74.0
    sheet.path(f"M16 {y - 5}h40", stroke=pen.INK, pen=3.0)
    sheet.text(64, y, "this arrow; hatched: eight of ten", 15.0)
    if reach.plain_carry_yd:
        sheet.path(f"M360 {y - 5}h40", stroke=pen.INK, pen=1.8, dash="9 6")
        sheet.text(408, y, "plain target arrow", 15.0)
    told = (
        "Flat ground, no margin, no skip, no slide. Where it comes down is not where danger ends; "
        "the rule of your range and its captain say what is kept empty."
    )
    if reach.calibration is not None:
        told = f"Drag by your own far shot ({reach.far_shot}). " + told
    for k, text in enumerate(pen.wrap(told, 15.0, _WIDTH - 32.0)):
        sheet.text(16, y + 32 + 21 * k, text, 15.0)
    return sheet


def _grouped(card: Sequence[Aim]) -> tuple[list[float], dict[float, list[Aim]]]:
    rows: dict[float, list[Aim]] = {}
    for one in sorted(card, key=lambda a: (a.distance_ft, a.depth_in)):
        rows.setdefault(one.distance_ft, []).append(one)
    return sorted({one.depth_in for one in card}), rows


def fishing_card(answer: PurposeAnswer, key: str = "fishing") -> Sheet:
    """The practice card: how far below the seen fish to aim, for its true depth.

    Parameters
    ----------
    answer : PurposeAnswer
        With its fishing part. [in, ft]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the answer's own figures.
    """
    told = answer.fishing
    if told is None:
        raise ValueError("an answer without fishing has no fishing card")
    depths, rows = _grouped(told.card)
    first, column, row_height = 118.0, 118.0, 62.0
    width = 16.0 + first + column * len(depths) + 16.0
    top = 178.0
    foot = top + row_height * len(rows)
    sheet = Sheet(width, foot + 190.0, "Fishing practice card", "Aim below the fish you see", key)
    sheet.text(16, 36, "Fishing practice card", 26.0, bold=True)
    sheet.text(
        16, 64, f"{answer.archer} with {answer.bow}. Aim this far BELOW the fish you see.", 18.0
    )
    sheet.text(
        16, 90,
        f"Eye {told.eye_height_ft:g} ft ({told.eye_height_ft * 0.3048:.2f} m) above the water, "
        f"{told.water} water.",
        18.0,
    )  # fmt: skip
    sheet.text(16, 130, "TRUE depth", 17.0, bold=True)
    sheet.text(16, top - 10, "out", 17.0, bold=True)
    for j, deep in enumerate(depths):
        x = 16.0 + first + column * (j + 0.5)
        sheet.text(x, 130, f"{deep:g} in", 20.0, "middle", bold=True)
        sheet.text(x, 153, f"{deep * 2.54:.0f} cm", 16.0, "middle")
    for i, (far, row) in enumerate(rows.items()):
        y = top + row_height * i
        sheet.path(f"M16 {fixed(y)}H{fixed(width - 16.0)}", stroke=pen.INK, pen=1.0)
        sheet.text(16, y + 28, f"{far:g} ft", 20.0, bold=True)
        sheet.text(16, y + 51, f"{far * 0.3048:.1f} m", 16.0)
        for j, one in enumerate(row):
            x = 16.0 + first + column * j
            if one.may_skip:
                sheet.rect(x + 4, y + 4, column - 8, row_height - 8, stroke=pen.INK, pen=1.6)
                sheet.path(
                    f"M{fixed(x + column - 22)} {fixed(y + 4)}l18 18", stroke=pen.INK, pen=1.6
                )
            middle = x + column / 2.0
            sheet.text(middle, y + 30, wording.number(one.below_in, 0) + " in", 22.0, "middle",
                       bold=True)  # fmt: skip
            error = max(one.error_in, 0.5)
            sheet.text(
                middle, y + 51,
                f"{one.below_in * 2.54:.0f} cm ± {error * 2.54:.0f}", 15.0, "middle",
            )  # fmt: skip
    sheet.path(f"M16 {fixed(foot)}H{fixed(width - 16.0)}", stroke=pen.INK, pen=1.0)
    sheet.rect(16, foot + 16, 26, 20, stroke=pen.INK, pen=1.6)
    sheet.path(f"M30 {fixed(foot + 16)}l12 12", stroke=pen.INK, pen=1.6)
    lines = pen.wrap(
        "Boxed: so flat that the arrow may skip, by a rule of thumb; the others may skip too. "
        "Straight way assumed: what the arrow falls is not in it. A table for practice, no "
        "promise: shoot it, and write down your own.",
        16.0, width - 72.0,
    )  # fmt: skip
    for k, text in enumerate(lines):
        sheet.text(52, foot + 32 + 22 * k, text, 16.0)
    y = foot + 44 + 22 * len(lines)
    for k, text in enumerate(
        (
            "Before every shot: line ahead of the string, never tied at the nock,",
            "never round the hand. Nobody ahead. What lies beyond the fish?",
        )
    ):
        sheet.text(16, y + 14 + 24 * k, text, 17.0, bold=True)
    return sheet
