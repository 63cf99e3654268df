"""A shaft along its length: its stations, its stiffness, and both ways round."""

from __future__ import annotations

from collections.abc import Sequence

from loosewell.faces import wording
from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, fixed, points
from loosewell.workshop.shoot import Along, Ends, Place

_WIDTH = 520.0
_LEFT, _RIGHT = 54.0, _WIDTH - 20.0


def _ticks(sheet: Sheet, length_in: float, bottom: float) -> None:
    """The axis of stations from the nock end, in inches."""
    sheet.path(f"M{_LEFT} {fixed(bottom)}H{_RIGHT}", stroke=pen.INK, pen=1.2)
    step = pen.nice_step(length_in, 7)
    mark = 0.0
    while mark <= length_in + 1e-9:
        x = _LEFT + mark / length_in * (_RIGHT - _LEFT)
        sheet.path(f"M{fixed(x)} {fixed(bottom)}v5", stroke=pen.INK)
        sheet.text(x, bottom + 18, f"{mark:g}", 12.5, "middle")
        mark += step


def _stem(sheet: Sheet, places: Sequence[Place], length_in: float, middle: float) -> None:
    """The shaft seen from the side, its thickness drawn eight times too large."""
    wide = 8.0 * (_RIGHT - _LEFT) / length_in / 2.0

    def edge(way: float) -> list[tuple[float, float]]:
        return [
            (
                _LEFT + one.station_in / length_in * (_RIGHT - _LEFT),
                middle + way * wide * one.diameter_in,
            )
            for one in places
        ]

    outline = points([*edge(-1.0), *reversed(edge(1.0))]) + "Z"
    sheet.path(outline, fill=pen.SHAFT, stroke=pen.WOOD_EDGE, pen=1.3)


def _stiffness(
    sheet: Sheet,
    told: Along,
    top: float,
    bottom: float,
    most: float,
    turned: bool,
    cut_in: float | None = None,
) -> None:
    """The band and the line of stiffness over the stations, and dots where it was measured."""
    length = told.length_in

    def at(place: Place) -> float:
        station = length - place.station_in if turned else place.station_in
        return _LEFT + station / length * (_RIGHT - _LEFT)

    def up(spine: float) -> float:
        return bottom - spine / most * (bottom - top)

    step = pen.nice_step(most, 4)
    mark = 0.0
    while mark <= most + 1e-9:
        y = up(mark)
        sheet.path(f"M{_LEFT} {fixed(y)}H{_RIGHT}", stroke=pen.FAINT, pen=0.8)
        sheet.text(_LEFT - 7, y + 4, f"{mark:g}", 12.5, "end", fill=pen.SOFT_INK)
        mark += step
    over = [(at(one), up(one.spine_26in_2lb_lb.high)) for one in told.drawn]
    under = [(at(one), up(one.spine_26in_2lb_lb.low)) for one in told.drawn]
    sheet.path(points([*over, *reversed(under)]) + "Z", fill=pen.BAND)
    for edge in (over, under):
        sheet.path(points(edge), stroke=pen.FIT, pen=0.9, dash="4 3")
    line = [(at(one), up(one.spine_26in_2lb_lb.middle)) for one in told.drawn]
    sheet.path(points(line), stroke=pen.INK, pen=2.4)
    for one in told.places:
        if one.measured:
            x, y = at(one), up(one.spine_26in_2lb_lb.middle)
            sheet.circle(x, y, 3.6, fill=pen.PAPER, stroke=pen.INK, pen=1.6)
    if cut_in is not None and cut_in < length - 0.05:
        x = _LEFT + cut_in / length * (_RIGHT - _LEFT)
        hatch = sheet.hatch(f"away{int(turned)}", pen.SOFT_INK, 45, 6.0, 0.8)
        sheet.rect(x, top - 6, _RIGHT - x, bottom - top + 6, fill=hatch)
        sheet.path(f"M{fixed(x)} {fixed(top - 6)}V{fixed(bottom)}", stroke=pen.INK, pen=1.2)
        sheet.text(x - 4, bottom - 8, f"cut at {cut_in:.2f} in", 12, "end")


def along_chart(told: Along, key: str = "along") -> Sheet:
    """A shaft along its length: its shape, its stations and its stiffness with the range.

    Parameters
    ----------
    told : Along
        Stiffness and mass along it. [lb, in]
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
    words = "; ".join(
        f"{one.station_in:g} in: {one.spine_26in_2lb_lb.low:.0f} to "
        f"{one.spine_26in_2lb_lb.high:.0f} lb"
        for one in told.places
    )
    sheet = Sheet(_WIDTH, 424.0, f"Stiffness along {told.shaft}", words, key)
    title = pen.wrap(f"Stiffness along {told.shaft}", 16.5, _WIDTH - 20.0, bold=True)[0]
    sheet.text(10, 24, title, 16.5, bold=True)
    sheet.text(10, 44, f"lb ({wording.WOOD_STANDARD}) of a parallel shaft as stiff", 12.5)
    top, bottom = 64.0, 264.0
    most = 1.08 * max(one.spine_26in_2lb_lb.high for one in told.drawn)
    _stiffness(sheet, told, top, bottom, most, False)
    _ticks(sheet, told.length_in, bottom)
    sheet.text(_LEFT, bottom + 36, "inches from the nock end", 12.5, fill=pen.SOFT_INK)
    stem = bottom + 74.0
    _stem(sheet, told.drawn, told.length_in, stem)
    for one in told.places:
        if not one.measured:
            continue
        x = _LEFT + one.station_in / told.length_in * (_RIGHT - _LEFT)
        sheet.path(f"M{fixed(x)} {fixed(stem - 26)}V{fixed(stem + 26)}", stroke=pen.INK, dash="3 3")
        label = f"{one.diameter_in:.3f}".lstrip("0")
        wide = pen.text_width(label, 12) / 2.0
        sheet.text(min(max(x, wide), _WIDTH - wide), stem + 40, label, 12, "middle")
    sheet.text(_LEFT - 8, stem + 4, "nock", 12, "end")
    for y, foot in (
        (396.0, "thickness drawn 8 times too large"),
        (414.0, "band: eight of ten such shafts; rings: stations measured"),
    ):
        sheet.text(10, y, foot, 12, fill=pen.SOFT_INK)
    return sheet


def ends_chart(told: Ends, key: str = "ends") -> Sheet:
    """Both ways round of a shaft: its stiffness from the string forward, and the shares.

    Parameters
    ----------
    told : Ends
        With its ways; without them a sheet that says what stops. [lb, in, %]
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
    if told.along is None or not told.ways:
        sheet = Sheet(_WIDTH, 60.0, f"{told.shaft}, both ways round", told.verdict, key)
        sheet.text(10, 34, told.verdict or "Nothing was computed.", 14, bold=True)
        return sheet
    sheet = Sheet(_WIDTH, 560.0, f"{told.shaft}, both ways round", told.verdict, key)
    sheet.text(10, 24, f"{told.shaft}, both ways round on {told.bow}", 16.5, bold=True)
    sheet.text(10, 44, f"stiffness from the string forward, lb ({wording.WOOD_STANDARD})", 12.5)
    most = 1.08 * max(one.spine_26in_2lb_lb.high for one in told.along.drawn)
    for k, way in enumerate(told.ways):
        top = 92.0 + 240.0 * k
        bottom = top + 138.0
        fitting = told.better == way.name
        name = f"{way.name.capitalize()}, thick end {way.thick_end}"
        if fitting:
            name += ": better"
        sheet.text(10, top - 18, name, 14, bold=True, fill=pen.FIT if fitting else pen.INK)
        share = way.clean_percent
        said = f"{share.middle:.0f} of 100 clean ({share.low:.0f} to {share.high:.0f})"
        sheet.text(_RIGHT, top - 18, said, 13, "end")
        _stiffness(sheet, told.along, top, bottom, most, k == 1, told.length_in)
        _ticks(sheet, told.along.length_in, bottom)
        nock, front = f"nock {way.nock_diameter_in:.3f} in", f"front {way.front_diameter_in:.3f} in"
        balance = f"balance {way.balance_from_nock_throat_in.middle:.1f} in"
        sheet.text(_LEFT, bottom + 38, nock, 12.5)
        sheet.text(0.5 * (_LEFT + _RIGHT), bottom + 38, balance, 12.5, "middle")
        cut = _LEFT + min(told.length_in / told.along.length_in, 1.0) * (_RIGHT - _LEFT)
        wide = pen.text_width(front, 12.5) / 2.0
        sheet.text(min(cut, _RIGHT - wide), bottom + 38, front, 12.5, "middle")
    last = told.better or "cannot tell which is better: the difference is within the noise"
    foot = last if told.better is None else f"better: {last}"
    sheet.text(10, 530, foot, 13, bold=True)
    sheet.text(
        10, 550, "inches from the string; hatched: cut away; band: eight of ten", 12,
        fill=pen.SOFT_INK,
    )  # fmt: skip
    return sheet
