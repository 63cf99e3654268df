"""The drawings of a tap: its spectrum with the modes, and how to hang, tap and listen."""

from __future__ import annotations

import math

from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, fixed, points
from loosewell.workshop.hanging import Hanging
from loosewell.workshop.sound import Heard
from loosewell.workshop.tap import Tone

_WIDTH = 640.0
DEEPEST_DB = -80.0


def _traced(heard: Heard, level: list[float], low: float, high: float) -> list[tuple[float, float]]:
    """The highest level in each of some hundred even steps of pitch, and where it is."""
    steps = 420
    best: dict[int, tuple[float, float]] = {}
    for f, y in zip(heard.frequency_hz, level, strict=True):
        if low <= f <= high:
            place = int(steps * math.log(f / low) / math.log(high / low))
            if place not in best or y > best[place][1]:
                best[place] = (float(f), y)
    return [best[place] for place in sorted(best)]


def spectrum_chart(heard: Heard, tone: Tone, name: str, key: str = "tap") -> Sheet:
    """Loudness against pitch after the tap, the noise before it, and the mode of each peak.

    Parameters
    ----------
    heard : Heard
        The recording. [Hz, dB]
    tone : Tone
        What was read from it. [Hz, lb]
    name : str
        Of the shaft. [text]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the recording.
    """
    left, right, top, bottom = 52.0, _WIDTH - 16.0, 104.0, 372.0
    used = [one for one in tone.rings if one.mode]
    low = min(40.0, 0.8 * min(one.frequency_hz for one in tone.rings))
    high = min(
        float(heard.frequency_hz[-1]), max(1.6 * max(one.frequency_hz for one in tone.rings), 1000)
    )
    words = f"Tap of {name}: {tone.spine.spine_text()}. " + "; ".join(
        f"mode {one.mode} at {one.frequency_hz:.1f} Hz" for one in used
    )
    sheet = Sheet(_WIDTH, bottom + 96.0, f"Tap of {name}", words, key)
    sheet.text(14, 26, f"Tap of {name}", 17, bold=True)
    sheet.text(14, 47, tone.spine.spine_text(), 13.5)
    sheet.text(_WIDTH - 14, 47, tone.spine.deflection_text(), 13.5, "end", fill=pen.SOFT_INK)

    def px(f: float) -> float:
        return left + (right - left) * math.log(f / low) / math.log(high / low)

    def py(level: float) -> float:
        return top + (bottom - top) * min(max(level / DEEPEST_DB, 0.0), 1.0)

    for mark in (0, -20, -40, -60, -80):
        sheet.line(left, py(mark), right, py(mark), pen.FAINT, 0.8)
        sheet.text(left - 7, py(mark) + 4, f"{mark}", 12, "end", fill=pen.SOFT_INK)
    sheet.text(left - 44, top - 14, "dB", 12, fill=pen.SOFT_INK)
    for mark in (20, 50, 100, 200, 500, 1000, 2000, 5000):
        if low <= mark <= high:
            sheet.line(px(mark), top, px(mark), bottom, pen.FAINT, 0.8)
            sheet.text(px(mark), bottom + 18, f"{mark:,}", 12, "middle")
    sheet.text(right, bottom + 36, "Hz", 12, "end", fill=pen.SOFT_INK)
    if heard.noise_db is not None:
        noise = [
            (px(f), py(y)) for f, y in _traced(heard, [float(y) for y in heard.noise_db], low, high)
        ]
        sheet.path(points(noise), stroke=pen.SOFT_INK, pen=1.0, dash="4 3")
    sound = [
        (px(f), py(y)) for f, y in _traced(heard, [float(y) for y in heard.level_db], low, high)
    ]
    sheet.path(points(sound), stroke=pen.INK, pen=1.5)
    if heard.mains_hz is not None:
        for order in range(1, 41):
            at = float(order * heard.mains_hz)
            if low <= at <= high and order <= 10:
                x = px(at)
                sheet.path(
                    f"M{fixed(x - 3)} {bottom - 3}l6 -6m0 6l-6 -6", stroke=pen.KNOCK, pen=1.4
                )
    seen: set[int] = set()
    for one in used:
        x = px(one.frequency_hz)
        sheet.line(x, top - 6, x, bottom, pen.FIT, 1.1, "6 3")
        if one.mode not in seen:
            sheet.text(x, top - 12, f"{one.mode}", 13.5, "middle", fill=pen.FIT, bold=True)
        seen.add(one.mode)
    for one in tone.rings:
        if not one.mode:
            x = px(one.frequency_hz)
            sheet.line(x, top + 4, x, bottom, pen.WEAK, 0.9, "1 4")
            sheet.text(x, top + 1, "?", 12, "middle", fill=pen.WEAK, halo=True)
    sheet.line(left, bottom, right, bottom, pen.INK, 1.2)
    y = bottom + 40.0
    sheet.text(14, y, "Full line: after the tap.", 12.5)
    if heard.noise_db is not None:
        sheet.text(182, y, "Dashed: before it.", 12.5, fill=pen.SOFT_INK)
    y += 20.0
    sheet.text(
        14, y, "Numbers: bending modes read, in the ratios 1 : 2.76 : 5.40 : 8.93 ...", 12.5,
        fill=pen.FIT,
    )  # fmt: skip
    y += 20.0
    marks = []
    if any(not one.mode for one in tone.rings):
        marks.append("?: a tone that is no bending mode, left out.")
    if heard.mains_hz is not None:
        marks.append(f"Crosses: mains hum ({heard.mains_hz} Hz and multiples).")
    if marks:
        sheet.text(14, y, "  ".join(marks), 12.5, fill=pen.SOFT_INK)
    return sheet


def hanging_drawing(how: Hanging, key: str = "hanging") -> Sheet:
    """Where the thread loops go, where to tap, where to listen, and which modes ring on.

    Parameters
    ----------
    how : Hanging
        Places for the shaft's length. [in]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Shapes of a free beam, docs/physics/tone.md.
    """
    words = (
        f"A shaft of {how.length_in:g} in hangs in two thread loops {how.node_in:.2f} in from its "
        "ends and is tapped sideways near one end; the microphone stands beside the other end."
    )
    left, right = 92.0, _WIDTH - 62.0
    sheet = Sheet(_WIDTH, 626.0, "Hang, tap, listen", words, key)
    sheet.text(14, 27, "Hang, tap, listen", 17, bold=True)
    sheet.text(
        14,
        47,
        f"Bare shaft, {how.length_in:g} in ({25.4 * how.length_in:.0f} mm) end to end",
        13,
        fill=pen.SOFT_INK,
    )

    def px(share: float) -> float:
        return left + share * (right - left)

    node = how.node_in / how.length_in
    y = 142.0
    sheet.text(14, 76, "From the side", 13, bold=True)
    sheet.line(px(0.1), 84, px(0.9), 84, pen.WOOD_EDGE, 5.0)
    for x in (px(node), px(1.0 - node)):
        sheet.path(
            f"M{fixed(x - 2)} 86L{fixed(x - 3)} {y - 4}C{fixed(x - 5)} {y + 9} {fixed(x + 5)} "
            f"{y + 9} {fixed(x + 3)} {y - 4}L{fixed(x + 2)} 86",
            stroke=pen.INK,
            pen=1.2,
        )
    sheet.rect(px(0.0), y - 4, px(1.0) - px(0.0), 8, pen.SHAFT, pen.WOOD_EDGE, 1.2)
    for a, b in ((0.0, node), (1.0 - node, 1.0)):
        sheet.line(px(a), y + 24, px(b), y + 24, pen.SOFT_INK, 1.0)
        for share in (a, b):
            sheet.line(px(share), y + 18, px(share), y + 30, pen.SOFT_INK, 1.0)
        sheet.text(
            px(0.5 * (a + b)), y + 43, f"{how.node_in:.2f} in ({25.4 * how.node_in:.0f} mm)", 12.5,
            "middle",
        )  # fmt: skip
    sheet.text(px(0.5), y + 28, "loops of thread, a foot or more", 12.5, "middle")
    _from_above(sheet, how, px)
    _shapes(sheet, how, px)
    _table(sheet, how)
    return sheet


def _from_above(sheet: Sheet, how: Hanging, px: object) -> None:
    assert callable(px)
    y = 254.0
    sheet.text(14, 214, "From above", 13, bold=True)
    tap = px(how.tap_in / how.length_in)
    sheet.rect(px(0.0), y - 4, px(1.0) - px(0.0), 8, pen.SHAFT, pen.WOOD_EDGE, 1.2)
    swing = [(px(i / 80.0), y + 12.0 * value) for i, value in enumerate(how.shapes[0])]
    sheet.path(points(swing), stroke=pen.FIT, pen=1.2, dash="5 3")
    sheet.path(
        points([(px(i / 80.0), y - 12.0 * value) for i, value in enumerate(how.shapes[0])]),
        stroke=pen.FIT,
        pen=1.2,
        dash="5 3",
    )
    sheet.line(tap, y - 38, tap, y - 13, pen.KNOCK, 3.0)
    sheet.path(points([(tap, y - 6), (tap - 6, y - 17), (tap + 6, y - 17)]) + "Z", fill=pen.KNOCK)
    sheet.text(
        tap + 12, y - 26, f"tap sideways, {how.tap_in:.1f} in from the end", 12.5, fill=pen.KNOCK
    )
    x = px(0.95)
    sheet.rect(x - 9, y + 28, 18, 26, pen.IRON, pen.INK, 1.0, 5.0)
    sheet.path(f"M{fixed(x - 9)} {y + 36}h18", stroke=pen.PAPER, pen=1.2)
    sheet.text(x - 18, y + 46, "microphone beside the other end,", 12.5, "end")
    sheet.text(x - 18, y + 61, "a hand's breadth away, level with the shaft", 12.5, "end")


def _shapes(sheet: Sheet, how: Hanging, px: object) -> None:
    assert callable(px)
    sheet.text(14, 350, "How it swings in the first three modes", 13, bold=True)
    node = how.node_in / how.length_in
    for share in (node, 1.0 - node):
        sheet.line(px(share), 360, px(share), 492, pen.SOFT_INK, 0.9, "2 3")
    for number in range(3):
        y = 380.0 + 46.0 * number
        shape = how.shapes[number]
        sheet.text(14, y + 4, f"mode {number + 1}", 12.5)
        sheet.line(px(0.0), y, px(1.0), y, pen.FAINT, 1.0)
        sheet.path(
            points([(px(i / 80.0), y - 15.0 * value) for i, value in enumerate(shape)]),
            stroke=pen.INK,
            pen=1.6,
        )
        for i in range(80):
            if shape[i] * shape[i + 1] < 0.0:
                part = shape[i] / (shape[i] - shape[i + 1])
                sheet.circle(px((i + part) / 80.0), y, 3.2, pen.PAPER, pen.INK, 1.3)
        ratio = ("1", "2.76", "5.40")[number]
        sheet.text(px(1.0) + 10, y + 4, ratio, 12.5, fill=pen.SOFT_INK)


def _table(sheet: Sheet, how: Hanging) -> None:
    y = 512.0
    sheet.text(14, y, "Which modes ring on", 13, bold=True)
    columns = [246.0 + 80.0 * i for i in range(5)]
    for i, x in enumerate(columns):
        sheet.text(x, y, f"mode {i + 1}", 12.5, "middle", fill=pen.SOFT_INK)
    for row, support in enumerate(how.supports):
        y = 536.0 + 22.0 * row
        sheet.line(14, y - 15, _WIDTH - 14, y - 15, pen.FAINT, 0.8)
        sheet.text(14, y, support.name, 12.5)
        for x, word in zip(columns, support.modes, strict=True):
            colour = {"rings on": pen.FIT, "fades": pen.INK, "dies": pen.SOFT_INK}[word]
            sheet.text(x, y, word, 12.5, "middle", fill=colour, bold=word == "rings on")
