"""The drawings: well-formed, nothing cut off, left is left, and a knock is seen."""

from __future__ import annotations

import io
import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from PIL import Image

from faces.sample_answer import launch, mirrored, sample_answer
from loosewell.faces import drawing
from loosewell.faces.drawing import pen
from loosewell.faces.drawing.launch import handle_outline, moments, view_of
from loosewell.faces.report import drawings
from loosewell.workshop.answer import Band

third_of_a_millimetre = 0.3 / 25.4
SVG = "{http://www.w3.org/2000/svg}"
ANSWER = sample_answer()
SHEETS = drawings(ANSWER)


@pytest.fixture(params=sorted(SHEETS))
def sheet(request: pytest.FixtureRequest) -> drawing.Sheet:
    return SHEETS[request.param]


def texts(svg: str) -> list[str]:
    return ["".join(t.itertext()) for t in ET.fromstring(svg).iter(f"{SVG}text")]


def test_every_kind_of_drawing_is_there() -> None:
    assert set(SHEETS) == {"launch", "butt", "curve", "rules", "width"}


def test_a_drawing_is_well_formed_and_says_what_it_shows(sheet: drawing.Sheet) -> None:
    root = ET.fromstring(sheet.svg())
    assert root.tag == f"{SVG}svg"
    assert root.find(f"{SVG}title") is not None
    assert len(root.find(f"{SVG}desc").text or "") > 20  # type: ignore[union-attr]


def test_no_line_of_text_leaves_its_sheet(sheet: drawing.Sheet) -> None:
    assert sheet.overflowing() == []


def test_a_line_too_long_for_its_sheet_is_found() -> None:
    small = pen.Sheet(60.0, 20.0, "t", "d", "k")
    small.text(5, 15, "Far too many words for so small a sheet", 12)
    assert small.overflowing()


def test_ids_are_unique_when_all_drawings_share_a_page() -> None:
    together = "".join(
        s.svg()
        for s in [
            *SHEETS.values(),
            *(
                drawing.launch_panel(p, ANSWER.pictures, f"l{i}")
                for i, p in enumerate(ANSWER.pictures)
            ),
            *(
                drawing.butt_panel(p, ANSWER.pictures, f"b{i}")
                for i, p in enumerate(ANSWER.pictures)
            ),
        ]
    )
    ids = re.findall(r'id="([^"]+)"', together)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]+)\)", together)) <= set(ids)


def test_a_page_may_change_every_colour(sheet: drawing.Sheet) -> None:
    bare = re.sub(r"var\(--lw-[a-z-]+, #[0-9a-f]{6}\)", "", sheet.svg())
    assert "#" not in re.sub(r"url\(#[^)]+\)", "", bare)


def test_no_style_that_a_strict_page_would_refuse(sheet: drawing.Sheet) -> None:
    assert not re.search(r"\sstyle=", sheet.svg())
    assert "<style" not in sheet.svg()
    assert "<script" not in sheet.svg()


def test_a_file_stands_alone_without_variables(sheet: drawing.Sheet) -> None:
    plain = drawing.resolved(sheet.svg())
    assert "var(" not in plain
    assert plain.count("#") >= sheet.svg().count("#")


def test_png_has_twice_the_size_and_more_than_paper_on_it(sheet: drawing.Sheet) -> None:
    picture = Image.open(io.BytesIO(drawing.png(sheet.svg())))
    assert picture.width == pytest.approx(2 * sheet.width, abs=2)
    assert picture.height == pytest.approx(2 * sheet.height, abs=3)
    colours = picture.convert("RGB").getcolors(1 << 24)
    assert colours is not None
    assert len(colours) > 50


def test_png_is_the_same_each_time() -> None:
    svg = SHEETS["curve"].svg()
    assert drawing.png(svg) == drawing.png(svg)


def test_names_cannot_break_a_drawing() -> None:
    sheet = drawing.launch_sheet(ANSWER.pictures, "<b>&\"'")
    assert "<b>&\"'" in " ".join(texts(sheet.svg()))


def test_the_sideways_factor_stands_on_the_drawing() -> None:
    factor = view_of(ANSWER.pictures).factor
    assert factor > 1.0
    words = " ".join(texts(SHEETS["launch"].svg()))
    assert f"sideways drawn {factor:g} times as wide" in words
    assert f"(× {factor:g})" in words


def test_wider_swings_are_drawn_with_a_smaller_factor() -> None:
    wild = launch("too weak", 30.0, -1.2, 45.0, -0.6)
    assert view_of([wild]).factor < view_of(ANSWER.pictures).factor


def test_every_frame_drawn_lies_inside_its_lane() -> None:
    wild = launch("too weak", 30.0, -1.2, 45.0, -0.6)
    view = view_of([wild])
    for moment in moments(wild):
        assert max(moment.path_y) < view.left
        assert min(moment.path_y) > view.right


def test_moments_run_forward_and_end_past_the_bow() -> None:
    for picture in ANSWER.pictures:
        told = moments(picture)
        assert [m.time_ms for m in told] == sorted(m.time_ms for m in told)
        assert told[0].caption == "loose"
        assert told[-1].caption == "past the bow"
        assert told[-1].nock_x > -0.5


def test_only_an_arrow_that_knocks_carries_the_star() -> None:
    star = re.compile(rf'stroke="{re.escape(pen.KNOCK)}"')
    for picture in ANSWER.pictures:
        svg = drawing.launch_panel(picture, ANSWER.pictures, "k").svg()
        knocks = len(star.findall(svg))
        assert (knocks > 0) == (picture.label != "fits"), picture.label
    clear, *_ = (drawing.launch_panel(p, ANSWER.pictures, "k").svg() for p in ANSWER.pictures)
    assert "Tail clears the bow" in clear


@pytest.mark.parametrize(
    ("knock", "limit", "kind", "words"),
    [
        (0.1, 25.0, "clears", "Tail clears the bow"),
        (12.0, 25.0, "brushes", "Tail brushes the bow: 12 mN·s"),
        (46.0, 25.0, "slaps", "Tail slaps the bow: 46 mN·s"),
        # Without a limit nothing is made to look harmless.
        (3.0, None, "slaps", "Tail slaps the bow: 3.0 mN·s"),
    ],
)
def test_a_brush_within_the_limit_is_no_slap(
    knock: float, limit: float | None, kind: str, words: str
) -> None:
    picture = replace(ANSWER.pictures[1], tail_knock_mns=knock, clean_knock_mns=limit)
    svg = drawing.launch_panel(picture, [picture], "k").svg()
    assert words in texts(svg)
    assert (f'stroke="{pen.KNOCK}"' in svg) == (kind == "slaps")
    assert drawing.motion([picture])[0]["kind"] == kind


def test_marks_of_a_full_rack_never_lie_on_each_other() -> None:
    rack = [
        replace(ANSWER.rack[0], shaft=str(i), spine_26in_2lb_lb=Band(50 + i / 9, 49, 52))
        for i in range(24)
    ]
    svg = drawing.curve_chart(replace(ANSWER, rack=rack)).svg()
    marks = re.findall(
        r'<path d="M([\d.]+) ([\d.]+)L[^"]*Z" fill="[^"]*" stroke="[^"]*" [^>]*>', svg
    )
    spots = [(float(x), float(y)) for x, y in marks if float(y) > 360]
    assert len(spots) >= 24
    for i, (x, y) in enumerate(spots):
        for other_x, other_y in spots[i + 1 :]:
            assert abs(x - other_x) > 8.0 or abs(y - other_y) > 8.0


def test_weak_and_stiff_differ_from_fitting_by_line_and_not_by_colour_alone() -> None:
    dashes = []
    for picture in ANSWER.pictures:
        svg = drawing.launch_panel(picture, ANSWER.pictures, "k").svg()
        dashes.append(tuple(sorted(set(re.findall(r'stroke-dasharray="([^"]+)"', svg)))))
    assert len(set(dashes)) == 3


def shaft_middles(svg: str) -> list[float]:
    """Sideways middle of each shaft drawn, in its own lane."""
    middles = []
    for data in re.findall(rf'<path d="M([^"]+)Z" fill="{re.escape(pen.SHAFT)}"', svg):
        xs = [float(pair.split()[0]) for pair in data.split("L")]
        middles.append((min(xs) + max(xs)) / 2.0)
    return middles


def handle_sides(svg: str) -> tuple[float, float]:
    """Left and right side of the first handle drawn, in its own lane."""
    found = re.search(rf'd="M([^"]+)Z" fill="{re.escape(pen.WOOD)}"', svg)
    assert found is not None
    xs = [float(pair.split()[0]) for pair in found.group(1).split("L")]
    return min(xs), max(xs)


def test_the_left_handed_drawing_is_the_mirror_of_the_right_handed() -> None:
    right = replace(ANSWER.pictures[1], plate_offset_in=0.6)
    left = mirrored(right)
    ahead, behind = view_of([right]), view_of([left])
    assert ahead.factor == behind.factor
    assert ahead.left == pytest.approx(-behind.right)
    assert ahead.right == pytest.approx(-behind.left)
    width = (ahead.left - ahead.right) * ahead.across
    near, far = handle_sides(drawing.launch_panel(right, [right], "a").svg())
    far_mirrored, near_mirrored = handle_sides(drawing.launch_panel(left, [left], "b").svg())
    assert near + near_mirrored == pytest.approx(width, abs=0.05)
    assert far + far_mirrored == pytest.approx(width, abs=0.05)
    one = shaft_middles(drawing.launch_panel(right, [right], "a").svg())
    other = shaft_middles(drawing.launch_panel(left, [left], "b").svg())
    assert len(one) == 5
    for x, y in zip(one, other, strict=True):
        assert x + y == pytest.approx(width, abs=0.05)


def inside(outline: list[tuple[float, float]], x: float) -> tuple[float, float]:
    """Where a closed outline begins and ends across, at a place along the arrow."""
    found = []
    for (x1, y1), (x2, y2) in zip(outline, [*outline[1:], outline[0]], strict=True):
        if min(x1, x2) <= x < max(x1, x2):
            found.append(y1 + (y2 - y1) * (x - x1) / (x2 - x1))
    return (min(found), max(found)) if found else (math.inf, -math.inf)


@pytest.mark.parametrize("slope", [-0.25, -0.12, 0.0, 0.12, 0.25])
@pytest.mark.parametrize("offset", [0.6, 0.31, 0.0, -0.1])
@pytest.mark.parametrize("hand", ["right", "left"])
def test_an_arrow_that_only_touches_the_plate_crosses_no_wood(
    slope: float, offset: float, hand: str
) -> None:
    away = 1.0 if hand == "right" else -1.0
    picture = replace(ANSWER.pictures[0], hand=hand, plate_offset_in=away * offset)
    outlines = handle_outline(picture)
    for outline in outlines:
        for i in range(-90, 91):
            x = i / 100.0
            edge = away * offset + away * slope * x
            low, high = inside(outline, x)
            crossed = (high - edge) if hand == "right" else (edge - low)
            assert crossed < third_of_a_millimetre, (x, crossed)
    faces = [away * max(away * y for _, y in outline) for outline in outlines]
    assert faces[1] == pytest.approx(away * offset)
    assert away * (faces[1] - faces[0]) > 0.1


def test_the_moving_launch_shows_the_same_handle_as_the_still_one() -> None:
    moving = drawing.motion(ANSWER.pictures)[0]
    for name, outline in zip(
        ("handle_in", "plate_in"), handle_outline(ANSWER.pictures[0]), strict=True
    ):
        assert len(moving[name]) == len(outline)
        for told, point in zip(moving[name], outline, strict=True):
            assert told == pytest.approx(point, abs=0.001)


@pytest.mark.parametrize(("way", "hand"), [(1.0, "right"), (-1.0, "left")])
def test_the_archers_left_is_left_on_the_page(way: float, hand: str) -> None:
    picture = ANSWER.pictures[0] if hand == "right" else mirrored(ANSWER.pictures[0])
    aside = replace(picture, path_y_in=[[way * 0.9] * 17 for _ in picture.time_ms])
    svg = drawing.launch_panel(aside, [aside], "k").svg()
    string_plane = float(re.search(r'd="M([\d.]+) 0v', svg).group(1))  # type: ignore[union-attr]
    handle = float(re.search(rf'd="M([\d.]+) [^"]+" fill="{re.escape(pen.WOOD)}"', svg).group(1))  # type: ignore[union-attr]
    for middle in shaft_middles(svg):
        assert (string_plane - middle) * way > 5.0
        assert (handle - middle) * way > 5.0


def test_a_nock_to_the_left_is_drawn_to_the_left() -> None:
    turns = {}
    for picture in ANSWER.pictures:
        svg = drawing.butt_panel(picture, ANSWER.pictures, "k").svg()
        turns[picture.label] = float(re.search(r"\) rotate\((-?[\d.]+)\)\">", svg).group(1))  # type: ignore[union-attr]
    # The arrow hangs below its hole, so turning clockwise swings the nock to the left.
    assert turns["too stiff"] > 0 > turns["too weak"]


def test_angles_are_drawn_by_the_factor_that_is_printed() -> None:
    picture = ANSWER.pictures[2]
    svg = drawing.butt_panel(picture, ANSWER.pictures, "k").svg()
    factor = float(re.search(r"angles drawn ([\d.]+) times", svg).group(1))  # type: ignore[union-attr]
    turn = float(re.search(r"\) rotate\((-?[\d.]+)\)\">", svg).group(1))  # type: ignore[union-attr]
    assert turn == pytest.approx(factor * picture.stand_nock_left_deg, abs=0.01)


def test_the_curve_shows_every_measured_shaft_and_tells_those_not_to_be_shot() -> None:
    svg = SHEETS["curve"].svg()
    measured = [s for s in ANSWER.rack if s.spine_26in_2lb_lb is not None]
    barred = [s for s in measured if s.acts in ("unfit", "too short")]
    # One more of each in the legend.
    assert svg.count("l7 7m0 -7l-7 7") == len(barred) + 1
    assert "do not shoot" in " ".join(texts(svg))


def test_the_curve_carries_both_standards_on_its_axis() -> None:
    words = " ".join(texts(SHEETS["curve"].svg()))
    assert "lb (26 in span, 2 lb)" in words
    assert "in (28 in span, 1.94 lb)" in words


def test_answers_without_a_range_are_drawn_too() -> None:
    bare = replace(ANSWER, spine_range_lb=None)
    for sheet in (drawing.curve_chart(bare), drawing.rules_chart(bare)):
        ET.fromstring(sheet.svg())
        assert sheet.overflowing() == []
    assert "Engine" not in " ".join(texts(drawing.rules_chart(bare).svg()).__iter__()).replace(
        "beside the engine", ""
    )


def test_long_names_are_shortened_and_not_cut_off() -> None:
    rules = [replace(ANSWER.rules[0], name="A rule with a very long name " * 4)]
    inputs = [replace(ANSWER.inputs[0], value="a value told in very many words " * 4)]
    long = replace(ANSWER, rules=rules, inputs=inputs)
    assert drawing.rules_chart(long).overflowing() == []
    assert drawing.width_chart(long).overflowing() == []


def test_all_arrows_of_the_animation_share_the_same_moments() -> None:
    arrows = drawing.motion(ANSWER.pictures)
    times = [[frame[0] for frame in arrow["frames"]] for arrow in arrows]
    assert times[0] == times[1] == times[2]
    assert times[0][0] == 0.0
    assert len(arrows[0]["frames"][0]) == 2 + len(arrows[0]["station_in"])


def test_an_arrow_whose_frames_end_early_flies_on() -> None:
    short = ANSWER.pictures[0]
    half = len(short.time_ms) // 2
    cut = replace(
        short,
        time_ms=short.time_ms[:half],
        nock_x_in=short.nock_x_in[:half],
        path_y_in=short.path_y_in[:half],
        path_z_in=short.path_z_in[:half],
    )
    arrows = drawing.motion([cut, ANSWER.pictures[1]])
    nocks = [frame[1] for frame in arrows[0]["frames"]]
    assert nocks[-1] > nocks[len(nocks) // 2 + 2] > nocks[len(nocks) // 2]


def test_nothing_to_draw_gives_no_frames() -> None:
    assert drawing.motion([]) == []
