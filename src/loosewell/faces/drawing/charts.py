"""The three charts of an answer: shots against spine, the rules, and what widens the range."""

from __future__ import annotations

from loosewell.faces import wording
from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, fixed, points
from loosewell.workshop.answer import MatchAnswer, RackShaft

_WIDTH = 384.0


def _marker(sheet: Sheet, shaft: RackShaft, x: float, y: float) -> None:
    """A rack shaft under the axis: filled fits, open misses, crossed is not to be shot.

    A ring was not looked over and is not offered, whatever its spine.
    """
    if shaft.acts in ("unfit", "too short"):
        sheet.path(f"M{fixed(x - 3.5)} {fixed(y - 3.5)}l7 7m0 -7l-7 7", stroke=pen.KNOCK, pen=1.8)
        return
    if shaft.acts == "not inspected":
        ring = f"M{fixed(x - 3.6)} {fixed(y)}a3.6 3.6 0 1 0 7.2 0a3.6 3.6 0 1 0 -7.2 0Z"
        sheet.path(ring, fill=pen.PAPER, stroke=pen.INK, pen=1.3)
        return
    fill = pen.FIT if shaft.acts == "fits" else pen.PAPER
    edge = {"fits": pen.FIT, "acts weak": pen.WEAK, "acts stiff": pen.STIFF}.get(
        shaft.acts, pen.INK
    )
    # Pointing up for all but the stiff ones, which point down: no need of colour.
    tip = 5.0 if shaft.acts == "acts stiff" else -5.0
    sheet.path(
        points([(x, y + tip), (x + 4.2, y - 0.7 * tip), (x - 4.2, y - 0.7 * tip)]) + "Z",
        fill=fill,
        stroke=edge,
        pen=1.3,
    )


def _rows(places: list[float], shafts: list[RackShaft]) -> list[tuple[float, RackShaft, int]]:
    """Each shaft with the first row in which its mark does not lie on another."""
    rows: list[float] = []
    placed = []
    for x, shaft in zip(places, shafts, strict=True):
        row = next((i for i, last in enumerate(rows) if x - last > 10.0), len(rows))
        if row == len(rows):
            rows.append(x)
        rows[row] = x
        placed.append((x, shaft, row))
    return placed


def curve_chart(answer: MatchAnswer, key: str = "curve") -> Sheet:
    """Share of clean shots against spine, its band, the range and the rack below it.

    Parameters
    ----------
    answer : MatchAnswer
        The answer with its curve. [lb, %]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the answer's own curve.
    """
    spines = [p.spine_lb for p in answer.curve]
    low, high = min(spines), max(spines)
    left, right, top, bottom = 46.0, _WIDTH - 16.0, 64.0, 284.0
    range_ = answer.spine_range_lb
    words = answer.spine_range_text

    def px(spine: float) -> float:
        return left + (spine - low) / (high - low) * (right - left)

    known = sorted(
        (
            (px(s.spine_26in_2lb_lb.middle), s)
            for s in answer.rack
            if s.spine_26in_2lb_lb is not None and low <= s.spine_26in_2lb_lb.middle <= high
        ),
        key=lambda pair: pair[0],
    )
    deepest = max(
        (row for _, _, row in _rows([x for x, _ in known], [s for _, s in known])), default=0
    )
    tall = bottom + (138.0 + 12.0 * deepest if known else 74.0)
    sheet = Sheet(_WIDTH, tall, "Share of clean shots against spine", words, key)
    sheet.text(10, 24, "Share of clean shots against spine", 16.5, bold=True)

    def py(share: float) -> float:
        return bottom - share / 100.0 * (bottom - top)

    if range_ is not None:
        start, end = px(max(range_.low, low)), px(min(range_.high, high))
        sheet.rect(start, top, end - start, bottom - top, fill=pen.BAND)
        for x in (start, end):
            sheet.path(f"M{fixed(x)} {top}V{bottom}", stroke=pen.FIT, pen=1.4)
        sheet.path(f"M{fixed(start)} {top - 4}v-6H{fixed(end)}v6", stroke=pen.FIT, pen=2.0)
        name = f"{wording.number(range_.low, 0)} to {wording.number(range_.high, 0)} lb"
        wide = pen.text_width(name, 14, bold=True) / 2.0
        middle = min(max((start + end) / 2.0, left + wide), right - wide)
        sheet.text(middle, top - 15, name, 14, "middle", fill=pen.FIT, bold=True)
    for share in (0, 25, 50, 75, 100):
        y = py(share)
        sheet.path(f"M{left} {fixed(y)}H{right}", stroke=pen.FAINT, pen=0.8)
        sheet.text(left - 6, y + 4, f"{share} %" if share else "0", 12, "end", fill=pen.SOFT_INK)
    over = [(px(p.spine_lb), py(p.share_high_percent)) for p in answer.curve]
    under = [(px(p.spine_lb), py(p.share_low_percent)) for p in answer.curve]
    hatch = sheet.hatch("band", pen.INK, 45, 5.0, 0.6)
    sheet.path(points([*over, *reversed(under)]) + "Z", fill=hatch)
    for edge in (over, under):
        sheet.path(points(edge), stroke=pen.SOFT_INK, pen=0.9, dash="4 3")
    sheet.path(
        points([(px(p.spine_lb), py(p.share_percent)) for p in answer.curve]),
        stroke=pen.INK,
        pen=2.4,
    )
    stated = py(answer.share_stated_percent)
    sheet.path(f"M{left} {fixed(stated)}H{right}", stroke=pen.FIT, pen=1.2, dash="9 4 2 4")
    sheet.path(f"M{left} {bottom}H{right}M{left} {top}V{bottom}", stroke=pen.INK, pen=1.2)
    step = max(5.0, pen.nice_step(high - low, 6))
    mark = step * -(-low // step)
    while mark <= high + 1e-9:
        x = px(mark)
        sheet.path(f"M{fixed(x)} {bottom}v5", stroke=pen.INK)
        sheet.text(x, bottom + 19, f"{mark:g}", 12.5, "middle")
        sheet.text(
            x,
            bottom + 50,
            wording.number(wording.later_deflection_in(mark), 2),
            12.5,
            "middle",
            fill=pen.SOFT_INK,
        )
        mark += step
    sheet.text(left, bottom + 34, f"lb ({wording.WOOD_STANDARD})", 12)
    sheet.text(left, bottom + 65, f"in ({wording.LATER_STANDARD})", 12, fill=pen.SOFT_INK)
    for x, shaft, row in _rows([x for x, _ in known], [s for _, s in known]):
        _marker(sheet, shaft, x, bottom + 84.0 + 12.0 * row)
    if known:
        legends = (
            (("fits", "fits"), ("acts weak", "acts weak"), ("acts stiff", "acts stiff")),
            (("not inspected", "not looked over, not offered"), ("unfit", "do not shoot")),
        )
        sheet.text(10, bottom + 88.0, "Rack", 12)
        for y, legend in zip((sheet.height - 28.0, sheet.height - 12.0), legends, strict=True):
            x = 10.0
            for acts, name in legend:
                sample = RackShaft("", "", None, None, None, None, acts)  # type: ignore[arg-type]
                _marker(sheet, sample, x + 4, y - 4)
                sheet.text(x + 13, y, name, 12)
                x += 24.0 + pen.text_width(name, 12)
    stated_words = f"dash-dot: the stated {answer.share_stated_percent:.0f} %"
    sheet.text(right, bottom + 34, stated_words, 12, "end", fill=pen.FIT)
    return sheet


def rules_chart(answer: MatchAnswer, key: str = "rules") -> Sheet:
    """The rules of thumb as bars on one spine axis, with the engine's range through them.

    Parameters
    ----------
    answer : MatchAnswer
        The answer with its rules. [lb]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the answer's own rules.
    """
    range_ = answer.spine_range_lb
    lows = [r.spine_low_lb for r in answer.rules]
    highs = [r.spine_high_lb for r in answer.rules]
    if range_ is not None:
        lows.append(range_.low)
        highs.append(range_.high)
    low = 5.0 * ((min(lows) - 3.0) // 5.0)
    high = 5.0 * -(-(max(highs) + 3.0) // 5.0)
    left, right, top, row = 14.0, _WIDTH - 14.0, 44.0, 42.0
    count = len(answer.rules) + (1 if range_ is not None else 0)
    bottom = top + count * row + 6.0
    words = "; ".join(
        f"{r.name}: {wording.number(r.spine_low_lb, 0)} to {wording.number(r.spine_high_lb, 0)} lb"
        for r in answer.rules
    )
    sheet = Sheet(_WIDTH, bottom + 44.0, "Rules of thumb beside the engine", words, key)
    sheet.text(10, 24, "Rules of thumb beside the engine", 16.5, bold=True)

    def px(spine: float) -> float:
        return left + (spine - low) / (high - low) * (right - left)

    step = pen.nice_step(high - low, 6)
    step = max(step, 5.0)
    mark = step * -(-low // step)
    sheet.path(f"M{left} {fixed(bottom)}H{right}", stroke=pen.INK, pen=1.2)
    while mark <= high + 1e-9:
        x = px(mark)
        sheet.path(f"M{fixed(x)} {fixed(bottom)}v5", stroke=pen.INK)
        wide = pen.text_width(f"{mark:g}", 12.5) / 2.0
        sheet.text(min(max(x, wide), _WIDTH - wide), bottom + 19, f"{mark:g}", 12.5, "middle")
        mark += step
    sheet.text(left, bottom + 36, f"lb ({wording.WOOD_STANDARD})", 12, fill=pen.SOFT_INK)

    def bar(y: float, name: str, low_: float, middle: float, high_: float, engine: bool) -> None:
        colour = pen.FIT if engine else pen.INK
        value = (
            f"{wording.number(middle, 0)} lb "
            f"({wording.number(low_, 0)} to {wording.number(high_, 0)})"
        )
        space = right - left - pen.text_width(value, 12) - 10.0
        shown = pen.wrap(name, 12.5, space, bold=engine)
        first = shown[0] if len(shown) == 1 else shown[0] + " …"
        sheet.text(left, y + 14, first, 12.5, fill=colour, bold=engine)
        sheet.text(right, y + 14, value, 12, "end", fill=pen.SOFT_INK)
        start, end = px(low_), px(high_)
        if range_ is not None:
            # The engine's range stands behind every bar, but not behind the words.
            edge, width = px(range_.low), px(range_.high) - px(range_.low)
            sheet.rect(edge, y + 18, width, 17, pen.BAND)
            for x in (edge, edge + width):
                sheet.path(f"M{fixed(x)} {fixed(y + 18)}v17", stroke=pen.FIT, pen=1.2)
        if engine:
            sheet.rect(start, y + 20, end - start, 12, fill=pen.FIT)
        else:
            sheet.rect(start, y + 21, max(end - start, 2.0), 10, fill=pen.FAINT, stroke=pen.INK)
        mid = px(middle)
        sheet.path(
            f"M{fixed(mid)} {fixed(y + 18)}v16", stroke=pen.PAPER if engine else pen.INK, pen=2.4
        )

    y = top
    if range_ is not None:
        bar(y, "Engine, this bow and archer", range_.low, range_.middle, range_.high, True)
        y += row
    for rule in answer.rules:
        bar(y, rule.name, rule.spine_low_lb, rule.spine_lb, rule.spine_high_lb, False)
        y += row
    return sheet


def width_chart(answer: MatchAnswer, key: str = "width") -> Sheet:
    """How much of the width of the range each input's own error causes.

    Parameters
    ----------
    answer : MatchAnswer
        The answer with its inputs. [%]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the answer's own inputs.
    """
    shown = wording.wideners(answer)[:10]
    rest = len(answer.inputs) - len(shown)
    left, right, top = 14.0, _WIDTH - 14.0, 40.0
    widest = max((i.share_of_width_percent for i in shown), default=1.0)
    words = "; ".join(
        f"{i.name}: {i.share_of_width_percent:.0f} %{', assumed' if i.assumed else ''}"
        for i in shown
    )
    labels = []
    for item in shown:
        value = f"{item.value}, {item.error}" if item.error else item.value
        labels.append(
            (
                pen.wrap(item.name, 13, right - left, bold=True)[:2],
                pen.wrap(value, 12, right - left)[:2] if value.strip() else [],
            )
        )
    heights = [15.0 * len(names) + 14.0 * len(values) + 26.0 for names, values in labels]
    sheet = Sheet(
        _WIDTH,
        top + sum(heights) + (48.0 if rest else 30.0),
        "What widens the range",
        words or "Nothing",
        key,
    )
    sheet.text(10, 24, "What widens the range", 16.5, bold=True)
    hatch = sheet.hatch("assumed", pen.WEAK, 45, 5.0, 2.0)
    room = right - left - 76.0
    y = top
    for item, (names, values), tall in zip(shown, labels, heights, strict=True):
        line = y + 12.0
        for name in names:
            sheet.text(left, line, name, 13, bold=True)
            line += 15.0
        for value in values:
            sheet.text(left, line - 1.0, value, 12, fill=pen.SOFT_INK)
            line += 14.0
        wide = max(2.0, item.share_of_width_percent / widest * room)
        if item.assumed:
            sheet.rect(left, line - 9, wide, 12, fill=hatch, stroke=pen.WEAK, pen=1.2)
        else:
            sheet.rect(left, line - 9, wide, 12, fill=pen.INK, stroke=pen.INK, pen=1.2)
        share = wording.percent(item.share_of_width_percent)
        sheet.text(left + wide + 6, line + 2, share, 12.5, bold=True)
        y += tall
    foot = y + 12.0
    sheet.rect(left, foot - 10, 22, 11, fill=hatch, stroke=pen.WEAK, pen=1.2)
    sheet.text(left + 28, foot, "assumed", 12)
    sheet.rect(left + 110, foot - 10, 22, 11, fill=pen.INK)
    sheet.text(left + 138, foot, "measured, entered or computed", 12)
    if rest:
        words = f"{rest} more inputs, the smaller ones under 1 % each"
        sheet.text(left, foot + 20, words, 12, fill=pen.SOFT_INK)
    return sheet
