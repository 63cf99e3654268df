"""The two ends of a shaft at true scale, for paper: one unit of the drawing is one point."""

from __future__ import annotations

import math

from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, fixed, points
from loosewell.workshop.build import BuildPlan, Taper

INCH_PT = 72.0
"""Points in an inch, exactly. [pt]"""
WIDE_PT = 512.0
_EDGE = 12.0
_LETTERS = 11.0
_NARROWER = 0.9
"""The face on paper is this much narrower than the broad one the pen reckons with. [1]"""
_ROW = 13.0
_BELOW = 43.0
"""Height of a row of names, and from the middle of the shaft to the lower edge. [pt]"""
_WHITE, _BLACK, _GREY = "#ffffff", "#000000", "#555555"


def nock_end(plan: BuildPlan, key: str = "nock-end") -> Sheet:
    """The nock end at true scale, from what is squared off to the front of the feathers.

    Parameters
    ----------
    plan : BuildPlan
        Without stops. [in]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing, one unit to the point. [pt]

    Source
    ------
    Derived from the plan.
    """
    zero = _EDGE + (0.0 if plan.already_cut else plan.squaring_in * INCH_PT)
    far_in = (WIDE_PT - _EDGE - zero) / INCH_PT
    marks = [(plan.throat_in, "nock throat")]
    if plan.fletching_in is not None:
        rear, front = (plan.throat_in + one for one in plan.fletching_in)
        marks += [(rear, "rear of the fletching"), (front, "front of the fletching")]
    taper = next((one for one in plan.tapers if one.what == "nock"), None)
    if taper is not None:
        marks.append((taper.length_in, "end of the taper"))
    half = 0.5 * plan.diameter_nock_in * INCH_PT
    marks = [one for one in marks if 0.0 <= one[0] <= far_in]
    title = f"Nock end of shaft {plan.shaft} at true scale"
    strip = _Strip(key, title, zero, (0.0, far_in), marks, half)
    strip.shaft(0.0, far_in, half, taper, at_left=True)
    if not plan.already_cut:
        strip.gone(-plan.squaring_in, 0.0, half)
    if taper is None and plan.throat_in > 0.0:
        strip.slot(plan.throat_in)
    strip.marks()
    strip.tape()
    return strip.sheet


def point_end(plan: BuildPlan, key: str = "point-end") -> Sheet:
    """The point end at true scale, with the last cut, the first cut and the taper.

    Parameters
    ----------
    plan : BuildPlan
        Without stops. [in]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing, one unit to the point. [pt]

    Source
    ------
    Derived from the plan.
    """
    last = plan.cut_in
    first = last if plan.already_cut else max(plan.first_cut_in, last)
    end_in = first + 0.35
    start_in = end_in - (WIDE_PT - 2.0 * _EDGE) / INCH_PT
    zero = _EDGE - start_in * INCH_PT
    marks = [
        (plan.throat_in + plan.length_in, "back of the point"),
        (last, "front end" if plan.already_cut else "last cut"),
    ]
    if first - last > 0.05:
        marks.append((first, "first cut"))
    marks = [one for one in marks if start_in <= one[0] <= end_in]
    half = 0.5 * plan.diameter_point_in * INCH_PT
    title = f"Point end of shaft {plan.shaft} at true scale"
    strip = _Strip(key, title, zero, (start_in, end_in), marks, half)
    taper = next((one for one in plan.tapers if one.what == "point"), None)
    strip.shaft(start_in, last, half, taper, at_left=False)
    if not plan.already_cut:
        strip.later(last, first, half)
        strip.gone(first, end_in, half)
    strip.marks()
    strip.tape()
    return strip.sheet


class _Strip:
    """One stretch of shaft lying across the page; places in inches from the squared nock end."""

    def __init__(
        self,
        key: str,
        title: str,
        zero: float,
        span_in: tuple[float, float],
        marks: list[tuple[float, str]],
        half: float,
    ) -> None:
        self.zero = zero
        self.low, self.high = span_in
        self.half = half
        self.named = _named([(self.px(at), at, words) for at, words in sorted(marks)])
        rows = 1 + max((row for _, _, row, _ in self.named), default=0)
        self.axis = rows * _ROW + 6.0 + half
        tall = self.axis + max(half, 12.0) + _BELOW - 12.0
        self.sheet = Sheet(WIDE_PT, tall, title, title, key)
        self.sheet.rect(0, 0, WIDE_PT, tall, _WHITE)

    def px(self, at_in: float) -> float:
        return self.zero + at_in * INCH_PT

    def shaft(
        self, low: float, high: float, half: float, taper: Taper | None, at_left: bool
    ) -> None:
        """The outline, open where the shaft goes on."""
        cut = low if at_left else high
        way = 1.0 if at_left else -1.0
        tip = half if taper is None else 0.5 * taper.to_diameter_in * INCH_PT
        edge = cut if taper is None else cut + way * taper.length_in
        open_ = high if at_left else low
        for side in (-1.0, 1.0):
            self.sheet.path(
                points(
                    [
                        (self.px(cut), self.axis),
                        (self.px(cut), self.axis + side * tip),
                        (self.px(edge), self.axis + side * half),
                        (self.px(open_), self.axis + side * half),
                    ]
                ),
                stroke=_BLACK,
                pen=1.1,
            )
        x = self.px(open_)
        self.sheet.path(
            f"M{fixed(x)} {fixed(self.axis - half)}q{fixed(5 * way)} {fixed(0.5 * half)} 0 "
            f"{fixed(half)}t0 {fixed(half)}",
            stroke=_BLACK, pen=0.8,
        )  # fmt: skip
        self.sheet.line(self.px(low), self.axis, self.px(high), self.axis, _GREY, 0.4, "8 3 1 3")

    def gone(self, low: float, high: float, half: float) -> None:
        """A stretch that is sawn off."""
        paint = self.sheet.hatch("gone", _BLACK, 45, 4.0, 0.7)
        self._box(low, high, half, paint, "")

    def later(self, low: float, high: float, half: float) -> None:
        """A stretch left long until it has been shot."""
        paint = self.sheet.hatch("later", _GREY, -45, 8.0, 0.5)
        self._box(low, high, half, paint, "4 2")
        if (high - low) * INCH_PT > 100.0:
            self.sheet.rect(self.px(0.5 * (low + high)) - 46, self.axis - 8, 92, 16, _WHITE)
            self.sheet.text(
                self.px(0.5 * (low + high)), self.axis + 4, "left until shot", _LETTERS, "middle",
                _BLACK,
            )  # fmt: skip

    def _box(self, low: float, high: float, half: float, paint: str, dash: str) -> None:
        more = f' stroke-dasharray="{dash}"' if dash else ""
        self.sheet.rect(
            self.px(low), self.axis - half, (high - low) * INCH_PT, 2 * half, paint, _BLACK, 0.7,
            more=more,
        )  # fmt: skip

    def slot(self, deep_in: float) -> None:
        """The string slot of a nock cut into the shaft, 1/8 in wide."""
        half = 0.0625 * INCH_PT
        self.sheet.path(
            f"M{fixed(self.px(0.0))} {fixed(self.axis - half)}H{fixed(self.px(deep_in) - half)}"
            f"a{fixed(half)} {fixed(half)} 0 0 1 0 {fixed(2 * half)}H{fixed(self.px(0.0))}",
            fill=_WHITE, stroke=_BLACK, pen=1.1,
        )  # fmt: skip

    def marks(self) -> None:
        """Lines across the shaft, and their names above it."""
        top = self.axis - self.half - 6.0
        for x, _, row, _ in self.named:
            self.sheet.line(
                x, top - row * _ROW + 2.0, x, self.axis + self.half + 5.0, _BLACK, 0.7, "3 2"
            )
        for _, left, row, told in self.named:
            wide = pen.text_width(told, _LETTERS) * _NARROWER
            y = top - row * _ROW
            self.sheet.rect(left - 1.0, y - 9.0, wide, 11.0, _WHITE)
            self.sheet.text(left, y, told, _LETTERS, fill=_BLACK)

    def tape(self) -> None:
        """Inches from the squared nock end along the lower side, as a tape lies on it."""
        low, high = self.low, self.high
        y = self.axis + max(self.half, 12.0) + 9.0
        self.sheet.line(self.px(low), y, self.px(high), y, _BLACK, 0.8)
        for quarter in range(math.ceil(low * 4 - 1e-9), math.floor(high * 4 + 1e-9) + 1):
            whole = quarter % 4 == 0
            x = self.px(quarter / 4.0)
            self.sheet.line(x, y, x, y + (8.0 if whole else 4.0), _BLACK, 0.8 if whole else 0.5)
            if whole and self.px(high) - x > 30.0:
                self.sheet.text(x, y + 18.0, str(quarter // 4), _LETTERS, "middle", _BLACK)
        self.sheet.text(self.px(high), y + 18.0, "in", _LETTERS, "end", _BLACK)


def _named(marks: list[tuple[float, float, str]]) -> list[tuple[float, float, int, str]]:
    """Place, left edge of the name, row above the shaft and words of each mark."""
    found: list[tuple[float, float, int, str]] = []
    taken: list[tuple[float, float, int]] = []
    for x, at, words in marks:
        told = f"{words} {at:.2f} in ({at * 25.4:.0f} mm)"
        wide = pen.text_width(told, _LETTERS) * _NARROWER
        left, row = _free(x, wide, taken)
        taken.append((left, left + wide, row))
        found.append((x, left, row, told))
    return found


def _free(x: float, wide: float, taken: list[tuple[float, float, int]]) -> tuple[float, int]:
    """Left edge and row of a name that runs into no other."""
    row = 0
    while True:
        for left in (x - 0.5 * wide, x - wide + 6.0, x - 6.0):
            left = min(max(left, 0.0), WIDE_PT - wide)
            if all(row != other or left > b or left + wide < a for a, b, other in taken):
                return left, row
        row += 1
