"""The launch seen from above: one arrow passing the bow at several moments.

Up the page is forward, left on the page is the archer's left. Along the arrow the
scale is true; sideways it is stretched by a factor that stands on the drawing, the
shaft's thickness and the feathers with it, so that touching looks like touching.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from math import cos, pi, sin

from loosewell.faces import wording
from loosewell.faces.drawing import pen
from loosewell.faces.drawing.pen import Sheet, fixed, points
from loosewell.workshop.answer import LaunchPicture

PANEL_WIDTH = 384.0
_LANES = 5
_ALONG = 8.4  # px an inch
_HEAD = 76.0
_FOOT = 84.0
# The handle's section is drawn, not known: its least width, half its depth along the arrow,
# and how far the plate, and half of what it takes along the arrow, stands out of it. [in]
_NARROWEST, _HALF_HANDLE, _PROUD, _HALF_PLATE = 0.8, 0.8, 0.15, 0.24
_FACTORS = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)

COLOUR = {
    "fits": pen.FIT,
    "no arrow fits well": pen.FIT,
    "this shaft": pen.INK,
    "too weak": pen.WEAK,
    "too stiff": pen.STIFF,
}
DASH = {"too weak": "7 4", "too stiff": "2 3.5", "this shaft": "12 3 2 3"}


@dataclass(frozen=True)
class Moment:
    """One moment of a launch: positions between two computed frames, in inches."""

    caption: str
    time_ms: float
    nock_x: float
    path_y: tuple[float, ...]
    knock: float
    on_string: bool


@dataclass(frozen=True)
class View:
    """The scale shared by the panels of one answer."""

    factor: float
    left: float
    right: float
    front: float
    rear: float

    @property
    def across(self) -> float:
        """Pixels an inch, sideways."""
        return _ALONG * self.factor


def at(picture: LaunchPicture, time_ms: float) -> tuple[float, tuple[float, ...]]:
    """Nock position and sideways path at a time between two computed frames.

    Parameters
    ----------
    picture : LaunchPicture
        The launch. [in, ms]
    time_ms : float
        Time since the loose; clipped to the frames there are. [ms]

    Returns
    -------
    nock_x : float
        Nock throat ahead of the strike plate. [in]
    path_y : tuple of float
        Axis to the left of the plane of the bow, along the stations. [in]

    Source
    ------
    Linear interpolation between frames.
    """
    times = picture.time_ms
    if time_ms <= times[0]:
        return picture.nock_x_in[0], tuple(picture.path_y_in[0])
    if time_ms >= times[-1]:
        return picture.nock_x_in[-1], tuple(picture.path_y_in[-1])
    after = bisect_right(times, time_ms)
    before = after - 1
    part = (time_ms - times[before]) / (times[after] - times[before])
    nock = picture.nock_x_in[before] + part * (picture.nock_x_in[after] - picture.nock_x_in[before])
    path = tuple(
        a + part * (b - a)
        for a, b in zip(picture.path_y_in[before], picture.path_y_in[after], strict=True)
    )
    return nock, path


def _bend(picture: LaunchPicture, frame: int) -> float:
    path, station = picture.path_y_in[frame], picture.station_in
    run = station[-1] - station[0]
    return max(
        abs(y - path[0] - (path[-1] - path[0]) * (s - station[0]) / run)
        for y, s in zip(path, station, strict=True)
    )


def moments(picture: LaunchPicture) -> list[Moment]:
    """The five moments a maker looks at, in order of time.

    Parameters
    ----------
    picture : LaunchPicture
        The launch. [in, ms]

    Returns
    -------
    moments : list of Moment
        Loose, most bent on the string, off the string, feathers at the bow (or the
        hardest knock of the tail), past the bow. [in, ms]

    Source
    ------
    House style.
    """
    driven = [i for i, t in enumerate(picture.time_ms) if t <= picture.string_left_ms] or [0]
    bent = max(driven, key=lambda i: _bend(picture, i))
    middle = (picture.fletching_rear_in + picture.fletching_front_in) / 2.0
    tail_at = next(
        (t for t, x in zip(picture.time_ms, picture.nock_x_in, strict=True) if x + middle >= 0.0),
        picture.time_ms[-1],
    )
    spells = wording.tail_spells(picture) if wording.meeting_kind(picture) != "clears" else []
    knock = picture.tail_knock_mns
    if spells:
        hardest = max(spells, key=lambda c: c.impulse_mns)
        tail_at = (hardest.from_ms + hardest.to_ms) / 2.0
    feathers = "tail meets bow" if spells else "tail at bow"
    wanted = [
        ("loose", picture.time_ms[0], 0.0),
        ("most bent", picture.time_ms[bent], 0.0),
        ("off the string", picture.string_left_ms, 0.0),
        (feathers, tail_at, knock if spells else 0.0),
        ("past the bow", picture.nock_past_plate_ms, 0.0),
    ]
    made = []
    for caption, time, hit in sorted(wanted, key=lambda w: w[1]):
        nock, path = at(picture, time)
        made.append(Moment(caption, time, nock, path, hit, time <= picture.string_left_ms + 1e-9))
    return made


def _handle(picture: LaunchPicture) -> tuple[float, float]:
    """The two sides of the handle, left one first, in inches from the string plane."""
    away = 1.0 if picture.hand == "right" else -1.0
    plate = picture.plate_offset_in
    far = plate - away * max(2.0 * away * plate, _NARROWEST)
    return max(plate, far), min(plate, far)


def handle_outline(
    picture: LaunchPicture,
) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """The handle and its strike plate seen from above, as closed outlines.

    Parameters
    ----------
    picture : LaunchPicture
        The launch; its plate and hand. [in]

    Returns
    -------
    handle, plate : list of (float, float)
        Ahead of the plate, and left of the string plane. [in, in]

    Holds
    -----
    Only the place of the plate's face is known: an arrow touches the bow there, and there
    alone. The handle's own section is drawn as an oval that falls away from the plate on
    both sides, so that an arrow lying slantwise on the plate crosses no wood.

    Source
    ------
    House style.
    """
    away = 1.0 if picture.hand == "right" else -1.0
    face = picture.plate_offset_in
    deep = max(2.0 * away * face, _NARROWEST)
    half = (deep - _PROUD) / 2.0
    turns = [2.0 * pi * i / 40 for i in range(40)]
    handle = [
        (_HALF_HANDLE * sin(turn), face - away * (_PROUD + half - half * cos(turn)))
        for turn in turns
    ]
    across = [_HALF_PLATE * (i / 6.0 - 1.0) for i in range(13)]
    plate = [(x, face - away * _PROUD * (x / _HALF_PLATE) ** 2) for x in across]
    seated = _PROUD + half * 0.35
    plate += [(_HALF_PLATE, face - away * seated), (-_HALF_PLATE, face - away * seated)]
    return handle, plate


def vane_shares(picture: LaunchPicture) -> tuple[float, float]:
    """How far the fletching reaches to the left and right of the shaft, seen from above.

    Parameters
    ----------
    picture : LaunchPicture
        The launch; its number of feathers. [1]

    Returns
    -------
    left, right : float
        Shares of a feather's height. [1]

    Holds
    -----
    Three feathers: the cock feather points away from the bow, the two others lean to it.

    Source
    ------
    Geometry; common practice, no source, for the cock feather.
    """
    if picture.fletching_count == 0 or picture.fletching_height_in <= 0.0:
        return 0.0, 0.0
    if picture.fletching_count == 3:
        return (1.0, 0.5) if picture.hand == "right" else (0.5, 1.0)
    if picture.fletching_count == 4:
        return 0.707, 0.707
    return 1.0, 1.0


def view_of(pictures: list[LaunchPicture], lane: float = PANEL_WIDTH / _LANES) -> View:
    """One scale for all panels of an answer, from what they have to show.

    Parameters
    ----------
    pictures : list of LaunchPicture
        The launches side by side. [in]
    lane : float
        Width of one lane. [px]

    Returns
    -------
    view : View
        Limits and the sideways factor. [in, 1]

    Source
    ------
    House style.
    """
    lefts, rights, fronts, rears = [], [], [], []
    for picture in pictures:
        left, right = _handle(picture)
        radius = picture.diameter_in / 2.0
        tall_left, tall_right = vane_shares(picture)
        lefts.append(left)
        rights.append(right)
        for moment in moments(picture):
            for station, y in zip(picture.station_in, moment.path_y, strict=True):
                tail = picture.fletching_rear_in <= station <= picture.fletching_front_in
                tall = picture.fletching_height_in if tail else 0.0
                lefts.append(y + radius + tall * tall_left)
                rights.append(y - radius - tall * tall_right)
            fronts.append(moment.nock_x + picture.length_in + picture.point_length_in)
            rears.append(moment.nock_x)
    left, right = max(lefts) + 0.05, min(rights) - 0.05
    fitting = [f for f in _FACTORS if f * _ALONG * (left - right) <= lane - 5.0]
    factor = max(fitting, default=_FACTORS[0])
    return View(factor, left, right, max(fronts) + 0.6, min(rears) - 1.0)


def _feather(
    picture: LaunchPicture, moment: Moment, side: float, share: float, view: View
) -> list[tuple[float, float]]:
    """Outline of the fletching on one side, in lane pixels."""
    rear, front = picture.fletching_rear_in, picture.fletching_front_in
    profile = ((0.0, 0.0), (0.04, 0.75), (0.22, 1.0), (0.45, 0.82), (0.75, 0.42), (1.0, 0.0))
    radius = picture.diameter_in / 2.0
    outer = []
    for along, tall in profile:
        station = rear + along * (front - rear)
        y = _axis(picture, moment, station)
        outer.append((station, y + side * (radius + tall * share * picture.fletching_height_in)))
    inner = [
        (s, _axis(picture, moment, s) + side * radius * 0.9)
        for s in (front, (front + rear) / 2.0, rear)
    ]
    return [_spot(moment.nock_x + s, y, view) for s, y in outer + inner]


def _axis(picture: LaunchPicture, moment: Moment, station: float) -> float:
    """Sideways position of the axis at a station, continued straight beyond the ends."""
    stations = picture.station_in
    after = min(max(bisect_right(stations, station), 1), len(stations) - 1)
    a, b = stations[after - 1], stations[after]
    ya, yb = moment.path_y[after - 1], moment.path_y[after]
    return ya + (yb - ya) * (station - a) / (b - a)


def _spot(x: float, y: float, view: View) -> tuple[float, float]:
    return (view.left - y) * view.across, (view.front - x) * _ALONG


def _draw_bow(sheet: Sheet, picture: LaunchPicture, view: View, wood: str) -> None:
    handle, plate = (
        points([_spot(x, y, view) for x, y in outline]) + "Z" for outline in handle_outline(picture)
    )
    sheet.path(handle, fill=pen.WOOD, stroke=pen.WOOD_EDGE, pen=0.9)
    sheet.path(handle, fill=wood)
    sheet.path(plate, fill=pen.LEATHER)


def _draw_string(sheet: Sheet, picture: LaunchPicture, moment: Moment, view: View) -> None:
    """The string from nock to the limb tips, which stand above and below each other.

    The tips' own travel is drawn, not computed: two fifths of the string's.
    """
    brace = -picture.brace_height_in
    if moment.on_string:
        nock = _spot(moment.nock_x + 0.15, moment.path_y[0], view)
        back = brace + 0.4 * (min(moment.nock_x, brace) - brace)
        tip = _spot(max(back, moment.nock_x + 0.6), 0.0, view)
        sheet.path(points([nock, tip]), stroke=pen.INK, pen=1.6)
        sheet.circle(*nock, 2.6, fill=pen.INK)
        return
    x, y = _spot(brace, 0.0, view)
    sheet.circle(x, y, 2.6, fill=pen.INK)


def _draw_feathers(sheet: Sheet, picture: LaunchPicture, moment: Moment, view: View) -> None:
    colour = COLOUR[picture.label]
    for side, share in zip((1.0, -1.0), vane_shares(picture), strict=True):
        if share > 0.0:
            outline = _feather(picture, moment, side, share, view)
            sheet.path(points(outline) + "Z", fill=pen.FEATHER, stroke=colour, pen=1.1)


def _draw_arrow(sheet: Sheet, picture: LaunchPicture, moment: Moment, view: View) -> None:
    radius = picture.diameter_in / 2.0
    colour = COLOUR[picture.label]
    length = picture.length_in
    stations = [s for s in picture.station_in if 0.5 < s < length] + [length]
    stations.insert(0, 0.0)
    lefts = [_spot(moment.nock_x + s, _axis(picture, moment, s) + radius, view) for s in stations]
    rights = [_spot(moment.nock_x + s, _axis(picture, moment, s) - radius, view) for s in stations]
    notch = _spot(moment.nock_x + 0.45, _axis(picture, moment, 0.45), view)
    sheet.path(
        points([*lefts, *reversed(rights), notch]) + "Z", fill=pen.SHAFT, stroke=colour, pen=1.3
    )
    tip_station = length + picture.point_length_in
    tip = _spot(moment.nock_x + tip_station, _axis(picture, moment, tip_station), view)
    (x1, y1), (x2, y2) = lefts[-1], rights[-1]
    knee = (tip[1] - y1) * 0.45
    sheet.path(
        f"M{fixed(x1)} {fixed(y1)}Q{fixed(x1)} {fixed(y1 + knee)} {fixed(tip[0])} {fixed(tip[1])}"
        f"Q{fixed(x2)} {fixed(y2 + knee)} {fixed(x2)} {fixed(y2)}Z",
        fill=pen.IRON,
        stroke=pen.IRON,
        pen=0.8,
    )


def _draw_knock(sheet: Sheet, picture: LaunchPicture, view: View, size: float) -> None:
    """A star at the strike plate for a slap, larger for a harder one; a ring for a brush."""
    x, y = _spot(0.0, picture.plate_offset_in, view)
    if wording.meeting_kind(picture) == "slaps":
        _star(sheet, x, y, size)
    else:
        _ring(sheet, x, y, min(size, 8.0))


def _ring(sheet: Sheet, x: float, y: float, size: float) -> None:
    sheet.circle(x, y, size, stroke=pen.INK, pen=1.6)


def _star(sheet: Sheet, x: float, y: float, size: float) -> None:
    star = []
    for i in range(16):
        radius = size if i % 2 == 0 else size * 0.45
        star.append((x + radius * sin(i * pi / 8), y - radius * cos(i * pi / 8)))
    sheet.path(points(star) + "Z", fill=pen.PAPER, stroke=pen.KNOCK, pen=1.8)
    sheet.circle(x, y, size * 0.2, fill=pen.KNOCK)


def _draw_panel(
    sheet: Sheet, picture: LaunchPicture, view: View, hardest: float, index: int
) -> None:
    colour = COLOUR[picture.label]
    lane = PANEL_WIDTH / _LANES
    tall = (view.front - view.rear) * _ALONG
    sheet.text(8, 26, wording.title_of(picture), 19, fill=colour, bold=True)
    sheet.text(
        8,
        44,
        f"{wording.number(wording.later_deflection_in(picture.spine_26in_2lb_lb), 3)} in "
        f"({wording.LATER_STANDARD}); stands {wording.side(picture.stand_nock_left_deg, '°')}",
        12,
        fill=pen.SOFT_INK,
    )
    sheet.text(
        PANEL_WIDTH - 8,
        26,
        wording.clean_in_short(picture),
        14.5,
        "end",
        bold=True,
    )
    kind = wording.meeting_kind(picture)
    if kind == "slaps":
        _star(sheet, 16, 58, 8.0)
    elif kind == "brushes":
        _ring(sheet, 16, 58, 6.5)
    else:
        sheet.path("M9 58l5 6L24 51", stroke=colour, pen=3.0)
    sheet.text(30, 63, wording.bow_meeting(picture), 14.5, bold=True)
    sheet.path(
        f"M8 {_HEAD - 6}H{PANEL_WIDTH - 8}",
        stroke=colour,
        pen=2.4,
        dash=DASH.get(picture.label, ""),
    )
    clip = f"{sheet.key}-lane{index}"
    sheet.define(
        f'<clipPath id="{clip}"><rect width="{fixed(lane)}" height="{fixed(tall)}"/></clipPath>'
    )
    wood = sheet.hatch(f"wood{index}", pen.WOOD_EDGE, 90, 4.0, 0.5)
    slack = (lane - (view.left - view.right) * view.across) / 2.0
    for number, moment in enumerate(moments(picture)):
        x = number * lane
        if number:
            sheet.path(f"M{fixed(x)} {_HEAD + 4}v{fixed(tall - 8)}", stroke=pen.FAINT, pen=1)
        sheet.open(x, _HEAD, clip)
        sheet.open(slack, 0.0)
        zero = view.left * view.across
        sheet.path(f"M{fixed(zero)} 0v{fixed(tall)}", stroke=pen.SOFT_INK, pen=0.7, dash="1 4")
        # Feathers pressed by the bow vanish behind it, as a folded feather does.
        _draw_feathers(sheet, picture, moment, view)
        _draw_bow(sheet, picture, view, wood)
        _draw_arrow(sheet, picture, moment, view)
        _draw_string(sheet, picture, moment, view)
        if moment.knock > 0.0:
            share = (moment.knock / hardest) ** 0.5 if hardest > 0 else 1.0
            _draw_knock(sheet, picture, view, 6.0 + 11.0 * share)
        sheet.close(slack, 0.0)
        sheet.close(x, _HEAD)
        middle = x + lane / 2.0
        sheet.text(
            middle, _HEAD + tall + 16, f"{wording.number(moment.time_ms, 1)} ms", 12.5, "middle"
        )
        first, _, second = moment.caption.partition(" ")
        if moment.caption.startswith(("off the", "past the")):
            first, second = moment.caption.rsplit(" ", 1)
        sheet.text(middle, _HEAD + tall + 31, first, 12, "middle", fill=pen.SOFT_INK)
        sheet.text(middle, _HEAD + tall + 45, second, 12, "middle", fill=pen.SOFT_INK)
    foot = _HEAD + tall + 66
    sheet.path(
        f"M8 {fixed(foot - 9)}v10M8 {fixed(foot - 4)}h{fixed(5 * _ALONG)}v-5v10", stroke=pen.INK
    )
    sheet.text(8 + 5 * _ALONG + 6, foot, "5 in along", 12)
    wide = 0.5 * view.across
    start = 172.0
    sheet.path(f"M{fixed(start)} {fixed(foot - 9)}v10m0 -5h{fixed(wide)}m0 -5v10", stroke=pen.INK)
    sheet.text(start + wide + 6, foot, f"1/2 in sideways (× {view.factor:g})", 12)


def _height(view: View) -> float:
    return _HEAD + (view.front - view.rear) * _ALONG + _FOOT


def _words(picture: LaunchPicture) -> str:
    spells = " ".join(wording.contact_sentence(c) for c in picture.contacts)
    return (
        f"{wording.title_of(picture)}. {wording.bow_meeting(picture)}. "
        f"The arrow leaves the string at {wording.number(picture.string_left_ms, 1)} ms and "
        f"is past the bow at {wording.number(picture.nock_past_plate_ms, 1)} ms. {spells}"
    )


def launch_panel(picture: LaunchPicture, pictures: list[LaunchPicture], key: str) -> Sheet:
    """One arrow passing the bow, for a page that sets the panels itself.

    Parameters
    ----------
    picture : LaunchPicture
        The arrow to draw. [in, ms]
    pictures : list of LaunchPicture
        All arrows of the answer: they share one scale. [in, ms]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the answer's own frames.
    """
    view = view_of(pictures)
    hardest = max(p.tail_knock_mns for p in pictures)
    sheet = Sheet(PANEL_WIDTH, _height(view), wording.title_of(picture), _words(picture), key)
    _draw_panel(sheet, picture, view, hardest, 0)
    return sheet


def launch_sheet(pictures: list[LaunchPicture], heading: str, key: str = "launch") -> Sheet:
    """The arrows side by side passing the bow, on one sheet.

    Parameters
    ----------
    pictures : list of LaunchPicture
        The arrows, fitting one first. [in, ms]
    heading : str
        Bow and archer. [text]
    key : str
        Name unique on the page. [text]

    Returns
    -------
    sheet : Sheet
        The drawing. [px]

    Source
    ------
    Derived from the answer's own frames.
    """
    view = view_of(pictures)
    gap, top = 26.0, 66.0
    width = len(pictures) * (PANEL_WIDTH + gap) + gap
    how = (
        f"Seen from above; the archer stands below and shoots up the page. Along the arrow true "
        f"scale, sideways drawn {view.factor:g} times as wide. Brown: the handle with its strike "
        "plate. Black: the string. Dotted: the plane of the string. "
        "Tick: the tail clears the bow. Ring: it brushes it. Star: it slaps it."
    )
    lines = pen.wrap(how, 13, width - 2 * gap)
    top += 17.0 * (len(lines) - 1)
    sheet = Sheet(
        width,
        top + _height(view) + 8.0,
        f"Passing the bow: {heading}",
        " ".join(_words(p) for p in pictures),
        key,
    )
    sheet.block(gap, 30, f"Passing the bow: {heading}", width - 2 * gap, 20, bold=True)
    for number, line in enumerate(lines):
        sheet.text(gap, 52 + 17 * number, line, 13, fill=pen.SOFT_INK)
    hardest = max(p.tail_knock_mns for p in pictures)
    for number, picture in enumerate(pictures):
        x = gap + number * (PANEL_WIDTH + gap)
        if number:
            sheet.path(
                f"M{fixed(x - gap / 2)} {fixed(top + 8)}V{fixed(sheet.height - 16)}",
                stroke=pen.SOFT_INK,
                pen=0.8,
            )
        sheet.open(x, top)
        _draw_panel(sheet, picture, view, hardest, number)
        sheet.close(x, top)
    return sheet
