"""The drawings of making: the cut plan to scale, taking a shaft down, joints compared."""

from __future__ import annotations

from collections.abc import Callable

from loosewell.faces import wording
from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, fixed, points
from loosewell.workshop.build import BuildPlan
from loosewell.workshop.scrape import ScrapePlan
from loosewell.workshop.takedown import AdapterResult, Change, Takedown

_WIDE = 1000.0
_LEFT, _RIGHT = 60.0, 940.0


def _arrowed(sheet: Sheet, x1: float, x2: float, y: float, words: str, size: float = 13.0) -> None:
    """A dimension line with its figure on it, or beside it where it is short."""
    sheet.line(x1, y, x2, y, pen.INK, 0.9)
    for x, way in ((x1, 1.0), (x2, -1.0)):
        sheet.path(points([(x + 6 * way, y - 3), (x, y), (x + 6 * way, y + 3)]), stroke=pen.INK)
        sheet.line(x, y - 6, x, y + 6, pen.INK, 0.7)
    wide = pen.text_width(words, size)
    if wide < abs(x2 - x1) - 16:
        sheet.text(0.5 * (x1 + x2), y - 5, words, size, "middle", halo=True)
    elif x2 + 8 + wide < _WIDE:
        sheet.text(x2 + 8, y + 4, words, size, halo=True)
    else:
        sheet.text(x1 - 8, y + 4, words, size, "end", halo=True)


def _both(value_in: float) -> str:
    return f"{value_in:.2f} in ({value_in * 25.4:.0f} mm)"


def cut_plan(plan: BuildPlan, key: str = "cut") -> Sheet:
    """The shaft to scale with every cut, the arrow on it, its balance, and its two ends enlarged.

    Parameters
    ----------
    plan : BuildPlan
        Without stops. [in, gr]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the plan.
    """
    title = f"Cut plan of shaft {plan.shaft}"
    weight, balance = plan.weight, plan.balance_in
    assert weight is not None
    assert balance is not None
    marks = plan.marks
    tall = 632.0 + 22.0 * len(marks)
    words = (
        f"{title}: {plan.blank_in:.2f} in of shaft, arrow {plan.length_in:.2f} in from nock throat "
        f"to the back of the point, {weight.middle:.0f} gr, balance {balance.middle:.2f} in from "
        "the nock throat."
    )
    sheet = Sheet(_WIDE, tall, title, words, key)
    sheet.text(_LEFT, 32, title + (" (invented)" if plan.invented else ""), 19, bold=True)
    sheet.text(
        _LEFT,
        54,
        f"Arrow {_both(plan.length_in)} from nock throat to the back of the point; "
        f"{wording.band(weight, 'gr', 0)}. This is no fitness check.",
        13,
        fill=pen.SOFT_INK,
    )
    far = max(plan.blank_in, plan.squaring_in + plan.cut_in + 1.2)
    scale = (_RIGHT - _LEFT) / far
    axis = 208.0

    def px(x_in: float) -> float:
        return _LEFT + x_in * scale

    x0 = plan.squaring_in
    throat = x0 + plan.throat_in
    back, front = throat + plan.length_in, x0 + plan.cut_in
    first = x0 + plan.first_cut_in
    r_nock, r_point = (0.5 * d * scale for d in (plan.diameter_nock_in, plan.diameter_point_in))
    gone = sheet.hatch("gone", pen.KNOCK, 45, 5.0, 1.0)
    spare = sheet.hatch("spare", pen.STIFF, -45, 7.0, 0.9)

    def piece(a: float, b: float, fill: str, dash: str = "") -> None:
        if b - a > 1e-6:
            sheet.rect(
                px(a),
                axis - r_point,
                (b - a) * scale,
                2 * r_point,
                fill,
                pen.WOOD_EDGE,
                0.9,
                more=f' stroke-dasharray="{dash}"' if dash else "",
            )

    # Feathers first, so that the shaft lies over them.
    if plan.fletching_in is not None:
        rear, end = (throat + x for x in plan.fletching_in)
        for way in (-1.0, 1.0):
            sheet.path(
                f"M{fixed(px(rear))} {fixed(axis + way * r_nock)}"
                f"Q{fixed(px(rear + 0.25 * (end - rear)))} {fixed(axis + way * (r_nock + 22))} "
                f"{fixed(px(end))} {fixed(axis + way * r_nock)}Z",
                fill=pen.FEATHER,
                stroke=pen.SOFT_INK,
            )
    if not plan.already_cut:
        piece(0.0, x0, gone, "3 2")
        if first - front > 0.02:
            piece(front, first, spare, "5 3")
        piece(first, plan.blank_in, gone, "3 2")
    nock_taper = next((one for one in plan.tapers if one.what == "nock"), None)
    point_taper = next((one for one in plan.tapers if one.what == "point"), None)
    outline = []
    if nock_taper is not None:
        outline += [
            (px(x0), axis - 0.5 * nock_taper.to_diameter_in * scale),
            (px(x0 + nock_taper.length_in), axis - r_nock),
        ]
    else:
        outline += [(px(x0), axis - r_nock)]
    outline += [(px(back), axis - r_point)]
    tip = r_point if point_taper is None else 0.5 * point_taper.to_diameter_in * scale
    outline += [(px(front), axis - tip)]
    lower = [(x, 2 * axis - y) for x, y in reversed(outline)]
    sheet.path(points([*outline, *lower]) + "Z", fill=pen.SHAFT, stroke=pen.WOOD_EDGE, pen=1.2)
    for joint, sleeve in plan.joints_in:
        sheet.rect(
            px(throat + joint - 0.5 * sleeve), axis - r_point - 2, max(sleeve * scale, 2.0),
            2 * r_point + 4, pen.IRON, pen.INK, 0.8, 2,
        )  # fmt: skip
    # The point over its taper, dashed: it is not cut.
    nose = px(front + 0.9)
    sheet.path(
        points([(px(back), axis - r_point), (nose, axis), (px(back), axis + r_point)]),
        stroke=pen.IRON,
        pen=1.3,
        dash="4 2",
    )
    # Dimensions above: what the saw needs.
    _arrowed(sheet, px(0.0), px(plan.blank_in), 92, f"shaft as it lies {_both(plan.blank_in)}")
    if not plan.already_cut and first - front > 0.02:
        _arrowed(sheet, px(x0), px(first), 122, f"first cut at {_both(plan.first_cut_in)}")
    _arrowed(sheet, px(x0), px(front), 152, f"last cut at {_both(plan.cut_in)}")
    for x in (x0, front):
        sheet.line(px(x), 152, px(x), axis + r_point + 4, pen.SOFT_INK, 0.7, "2 3")
    # Dimensions below: the arrow as it is measured.
    _arrowed(sheet, px(throat), px(back), 292, f"arrow length {_both(plan.length_in)}")
    _arrowed(
        sheet, px(throat), px(throat + balance.middle), 322,
        f"balance {_both(balance.middle)}",
    )  # fmt: skip
    if plan.fletching_in is not None:
        low, high = plan.fletching_in
        _arrowed(
            sheet, px(throat + low), px(throat + high), 262, f"feathers {low:.2f} to {high:.2f} in"
        )
    for x in (throat, back):
        sheet.line(px(x), axis + r_point, px(x), 296, pen.SOFT_INK, 0.7, "2 3")
    b = px(throat + balance.middle)
    sheet.path(
        points(
            [(b, axis + r_point + 2), (b - 9, axis + r_point + 18), (b + 9, axis + r_point + 18)]
        )
        + "Z",
        fill=pen.INK,
    )
    sheet.line(b, axis + r_point + 18, b, 326, pen.SOFT_INK, 0.7, "2 3")
    _key(sheet, plan, 352.0, gone, spare)
    _ends(sheet, plan, 452.0)
    y = 574.0
    sheet.text(_LEFT, y, "Marks to pencil", 15, bold=True)
    y += 24
    sheet.text(_LEFT, y, "from the squared nock end", 12, fill=pen.SOFT_INK)
    sheet.text(_LEFT + 190, y, "from the nock throat", 12, fill=pen.SOFT_INK)
    for one in marks:
        y += 22
        sheet.text(_LEFT, y, _both(one.from_end_in).replace("-", "−"), 13)
        sheet.text(_LEFT + 190, y, _both(one.from_throat_in).replace("-", "−"), 13)
        sheet.text(_LEFT + 370, y, one.what, 13)
    return sheet


def _key(sheet: Sheet, plan: BuildPlan, y: float, gone: str, spare: str) -> None:
    """What the hatchings mean, and how large things are drawn."""
    far = max(plan.blank_in, plan.squaring_in + plan.cut_in + 1.2)
    scale = (_RIGHT - _LEFT) / far
    x = _LEFT
    if not plan.already_cut:
        for paint, words in ((gone, "sawn off"), (spare, "left until it has been shot")):
            sheet.rect(x, y, 30, 13, paint, pen.WOOD_EDGE, 0.8)
            sheet.text(x + 38, y + 11, words, 13)
            x += 60 + pen.text_width(words, 13)
    x = 500.0
    sheet.path(f"M{fixed(x)} {y + 3}v8H{fixed(x + 5 * scale)}v-8", stroke=pen.INK)
    sheet.text(x + 5 * scale + 8, y + 12, "5 in (127 mm), thickness to the same scale", 12)


def _ends(sheet: Sheet, plan: BuildPlan, axis: float) -> None:
    """Nock end and point end four times as large, with their tapers."""
    sheet.text(_LEFT, axis - 56, "Nock end and point end, larger", 15, bold=True)
    zoom = 130.0
    for what, left, way in (("nock", _LEFT + 20.0, 1.0), ("point", 900.0, -1.0)):
        taper = next((one for one in plan.tapers if one.what == what), None)
        wide = plan.diameter_nock_in if what == "nock" else plan.diameter_point_in
        half = 0.5 * wide * zoom
        length = 0.0 if taper is None else taper.length_in * zoom
        tip = half if taper is None else 0.5 * taper.to_diameter_in * zoom
        start, edge, end = left, left + way * length, left + way * (length + 90.0)
        if taper is None and what == "nock" and plan.throat_in > 0.0:
            slot = plan.throat_in * zoom
            sheet.path(
                points(
                    [
                        (start, axis - half), (end, axis - half), (end, axis + half),
                        (start, axis + half), (start, axis + 6), (start + slot, axis + 6),
                        (start + slot, axis - 6), (start, axis - 6),
                    ]
                )
                + "Z",
                fill=pen.SHAFT, stroke=pen.WOOD_EDGE, pen=1.3,
            )  # fmt: skip
            sheet.text(end + 12, axis - 4, f"slot {plan.throat_in:.3f} in deep", 13)
            sheet.text(
                end + 12, axis + 14, f"({plan.throat_in * 25.4:.1f} mm), across the rings", 13
            )
            continue
        sheet.path(
            points(
                [
                    (start, axis - tip), (edge, axis - half), (end, axis - half),
                    (end, axis + half), (edge, axis + half), (start, axis + tip),
                ]
            )
            + "Z",
            fill=pen.SHAFT, stroke=pen.WOOD_EDGE, pen=1.3,
        )  # fmt: skip
        if taper is None:
            sheet.text(end + 12 * way, axis + 4, "cut square", 13, "start" if way > 0 else "end")
            continue
        low, high = min(start, edge), max(start, edge)
        _arrowed(
            sheet, low, high, axis + half + 22,
            f"{taper.length_in:.2f} in ({taper.length_in * 25.4:.1f} mm)",
        )  # fmt: skip
        lines = [
            f"{taper.half_angle_deg:g}° to the axis",
            f"from {taper.from_diameter_in:.3f} in ({taper.from_diameter_in * 25.4:.2f} mm)",
            f"to {taper.to_diameter_in:.3f} in ({taper.to_diameter_in * 25.4:.2f} mm)",
        ]
        for i, line in enumerate(lines):
            sheet.text(end + 12 * way, axis - 14 + 18 * i, line, 13, "start" if way > 0 else "end")


def scrape_chart(plan: ScrapePlan, key: str = "scrape") -> Sheet:
    """Spine against what is off the diameter, its error, the steps and where to stop.

    Parameters
    ----------
    plan : ScrapePlan
        With its curve. [in, lb]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the plan.
    """
    left, right, top, bottom = 64.0, 690.0, 96.0, 400.0
    title = f"Taking down shaft {plan.shaft}"
    after = plan.spine_after
    assert after is not None
    words = (
        f"{title}: from {plan.spine_now.middle:.1f} to {after.middle:.1f} lb "
        f"({wording.WOOD_STANDARD})."
    )
    notes = [
        f"{'Steps' if len(plan.steps) > 1 else 'Step'}, each followed by a new reading: "
        + ", ".join(f"{one.off_diameter_in:.4f} in" for one in plan.steps)
        + " off the diameter in all.",
        (
            f"Dashed: one standard error. Places worked on: {plan.from_in:.1f} to "
            f"{plan.until_in:.1f} "
            f"in from the nock end, {plan.shape}."
        ),
        *(f"Stop: {one.reason}." for one in plan.floors),
    ]
    blocks = [pen.wrap(note, 13, right - left) for note in notes]
    tall = bottom + 76 + sum(18 * len(one) + 6 for one in blocks)
    sheet = Sheet(720.0, tall, title, words, key)
    sheet.text(20, 32, title + (" (invented)" if plan.invented else ""), 18, bold=True)
    sheet.text(
        20, 54, f"Spine in lb ({wording.WOOD_STANDARD}) against what is off the diameter", 13,
        fill=pen.SOFT_INK,
    )  # fmt: skip
    curve = plan.curve
    most = curve[-1][0] or 1e-6
    low = min(one[2] for one in curve)
    high = max(one[3] for one in curve)
    low, high = low - 0.06 * (high - low), high + 0.06 * (high - low)

    def px(off: float) -> float:
        return left + off / most * (right - left)

    def py(pounds: float) -> float:
        return bottom - (pounds - low) / (high - low) * (bottom - top)

    floor = min((one.off_diameter_in for one in plan.floors), default=None)
    if floor is not None and floor < most:
        hatch = sheet.hatch("stop", pen.KNOCK, 45, 7.0, 1.0)
        sheet.rect(px(floor), top, right - px(floor), bottom - top, hatch)
        sheet.line(px(floor), top, px(floor), bottom, pen.KNOCK, 2.0)
        side = "start" if px(floor) < 0.7 * right else "end"
        sheet.text(
            px(floor) + (8 if side == "start" else -8), top + 18, "stop: too weak beyond", 13.5,
            side, pen.KNOCK, bold=True, halo=True,
        )  # fmt: skip
    step = pen.nice_step(high - low, 6)
    mark = step * -(-low // step)
    while mark <= high:
        sheet.line(left, py(mark), right, py(mark), pen.FAINT, 0.8)
        sheet.text(left - 8, py(mark) + 4, f"{mark:g}", 13, "end")
        mark += step
    for column, dash, wide in ((2, "4 3", 1.0), (3, "4 3", 1.0), (1, "", 2.4)):
        sheet.path(
            points([(px(one[0]), py(one[column])) for one in curve]),
            stroke=pen.INK if column == 1 else pen.SOFT_INK, pen=wide, dash=dash,
        )  # fmt: skip
    named = px(0.0)
    for number, one in enumerate(plan.steps, 1):
        x, y = px(one.off_diameter_in), py(one.spine_lb.middle)
        sheet.circle(x, y, 5, pen.FIT if number == len(plan.steps) else pen.PAPER, pen.INK, 1.4)
        last = number == len(plan.steps)
        end = px(plan.steps[-1].off_diameter_in)
        if last or (number < 3 and x - named > 60.0 and end - x > 60.0):
            named = x
            words = f"{one.spine_lb.middle:.1f} lb, {one.diameter_in:.4f} in thick"
            if last and x > 0.45 * right:
                sheet.text(x - 9, y + 22, words, 12.5, "end", halo=True)
            else:
                sheet.text(x + 9, y - 9, words, 12.5, halo=True)
    sheet.circle(px(0.0), py(plan.spine_now.middle), 5, pen.INK)
    sheet.text(
        px(0.0) + 8, py(plan.spine_now.low) + 20, f"now {plan.spine_now.middle:.1f} lb", 12.5,
        bold=True, halo=True,
    )  # fmt: skip
    sheet.path(f"M{left} {bottom}H{right}M{left} {top}V{bottom}", stroke=pen.INK, pen=1.2)
    step = pen.nice_step(most, 6)
    mark = 0.0
    while mark <= most * 1.0001:
        sheet.line(px(mark), bottom, px(mark), bottom + 5)
        sheet.text(px(mark), bottom + 20, f"{mark:.3f}", 13, "middle")
        sheet.text(px(mark), bottom + 38, f"{mark * 25.4:.2f}", 13, "middle", fill=pen.SOFT_INK)
        mark += step
    sheet.text(20, bottom + 20, "in", 13)
    sheet.text(20, bottom + 38, "mm", 13, fill=pen.SOFT_INK)
    y = bottom + 70
    for lines in blocks:
        for line in lines:
            sheet.text(left, y, line, 13)
            y += 18
        y += 6
    return sheet


def joint_chart(told: Takedown, key: str = "joints") -> Sheet:
    """Adapters side by side: clean shots, best wood, speed, hit, each with its noise.

    Parameters
    ----------
    told : Takedown
        Without stops. [lb, %, fps, in]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the comparison.
    """
    plain = told.plain
    assert plain is not None
    rows = told.adapters
    row_tall, top = 58.0, 138.0
    bottom = top + row_tall * (len(rows) + 1)
    title = f"Joints on shaft {told.shaft}: {told.archer} with {told.bow}"
    note = pen.wrap(
        f"Bars: ± two standard errors of counting. {wording.SEEN_FROM} Against the same wood in "
        "one "
        f"piece, {plain.bench_spine_lb:.1f} lb ({wording.WOOD_STANDARD}).",
        13,
        920.0,
    )
    tall = bottom + 40 + 18 * len(note)
    sheet = Sheet(_WIDE, tall, title, " ".join(told.verdict) or title, key)
    sheet.text(30, 32, title + (" (invented)" if told.invented else ""), 18, bold=True)
    sheet.text(
        30, 54,
        f"Arrow {_both(told.length_in)}, {told.point_weight_gr:.0f} gr point, butt at "
        f"{wording.distance(told.distance_yd)}",
        13, fill=pen.SOFT_INK,
    )  # fmt: skip
    Get = Callable[[AdapterResult], Change | None]
    columns: tuple[tuple[str, Get, int], ...] = (
        ("Clean of 100 shots", lambda one: one.share_change_percent, 0),
        ("Best wood, lb", lambda one: one.best_change_lb, 1),
        ("Speed, fps", lambda one: one.speed_change_fps, 1),
        (f"Lands left at {told.distance_yd:g} yd, in", lambda one: one.hit_left_change_in, 1),
    )
    starts = (250.0, 440.0, 630.0, 820.0)
    width = 150.0
    for (name, get, digits), x in zip(columns, starts, strict=True):
        for i, line in enumerate(pen.wrap(name, 13, width + 20, bold=True)):
            sheet.text(x, 102 + 16 * i, line, 13, bold=True)
        changes: list[Change] = [c for one in rows if (c := get(one)) is not None]
        reach = max((abs(c.value) + 2 * c.noise for c in changes), default=1.0) or 1.0
        reach = max(reach, 0.5)
        middle = x + 0.5 * width
        sheet.line(middle, top - 6, middle, bottom, pen.SOFT_INK, 1.2, "3 3")
        for number, one in enumerate(rows):
            change = get(one)
            if change is None:
                continue
            y = top + row_tall * (number + 1.45)
            if name.startswith("Best") and plain.best_open:
                sheet.text(middle, y + 4, "cannot be told", 12.5, "middle", halo=True)
                continue
            at = middle + change.value / reach * 0.5 * width
            off = 2 * change.noise / reach * 0.5 * width
            sheet.line(at - off, y, at + off, y, pen.INK, 1.6)
            for end in (at - off, at + off):
                sheet.line(end, y - 5, end, y + 5, pen.INK, 1.2)
            fill = pen.KNOCK if change.seen else pen.PAPER
            sheet.circle(at, y, 5, fill, pen.INK, 1.3)
            text = wording.number(change.value, digits)
            if change.value > 0:
                text = "+" + text
            if one.best_open and name.startswith("Best"):
                text = "at least " + text
            sheet.text(middle, y - 11, text, 12.5, "middle", halo=True)
        zero = {
            "Clean of 100 shots": f"{plain.share_percent:.0f}",
            "Best wood, lb": f"{plain.best_spine_lb:.1f}",
            "Speed, fps": f"{plain.speed_fps:.1f}",
        }.get(name, "0")
        sheet.text(middle, top + 0.62 * row_tall, zero, 13, "middle", bold=True, halo=True)
    sheet.text(30, top + 0.5 * row_tall, "in one piece", 13.5, bold=True)
    sheet.text(
        30, top + 0.5 * row_tall + 17,
        f"{plain.arrow_weight_gr:.0f} gr, balance {plain.balance_in:.2f} in", 12, fill=pen.SOFT_INK,
    )  # fmt: skip
    for number, one in enumerate(rows):
        y = top + row_tall * (number + 1)
        sheet.line(30, y, 970, y, pen.FAINT, 0.9)
        sheet.text(30, y + 19, _short(one.name, 13.5), 13.5, bold=True)
        for i, line in enumerate(pen.wrap(_in_short(one), 11.5, 205.0)[:2]):
            sheet.text(30, y + 35 + 14 * i, line, 11.5, fill=pen.SOFT_INK)
    sheet.line(30, bottom, 970, bottom, pen.FAINT, 0.9)
    for i, line in enumerate(note):
        sheet.text(30, bottom + 30 + 18 * i, line, 13)
    return sheet


def _short(name: str, size: float) -> str:
    while pen.text_width(name, size, bold=True) > 205.0:
        name = name[:-2].rstrip(". ") + "…"
    return name


def _in_short(one: AdapterResult) -> str:
    parts = [
        f"{one.arrow_weight_gr:.0f} gr, balance {one.balance_in:.2f} in",
        "" if one.play_deg is None else f"play {one.play_deg:g}°",
        "" if one.give_deg_per_ftlb is None else f"give {one.give_deg_per_ftlb:g}°/ft-lb",
    ]
    return ", ".join(part for part in parts if part)
