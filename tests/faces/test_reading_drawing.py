"""The picture of an outing: everything seen is on it, and nothing by colour alone."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from loosewell.faces.drawing import pen
from loosewell.faces.drawing.reading import reading_sheet
from loosewell.workshop.reading.view import Expected, ReadingView, ShotDrawn

SHOTS = (
    ShotDrawn(0.5, -1.0, False, "1", True, 0.0, None, True),
    ShotDrawn(-2.0, 1.0, False, "2", True, None, None, True),
    ShotDrawn(8.0, 1.0, True, "", True, -6.0, 0.0, True),
    ShotDrawn(-9.0, 3.0, False, "3", False, None, None, True),
    ShotDrawn(None, None, True, "", True, -6.0, None, True),
)
VIEW = ReadingView(
    "Evening: Wren with Yew",
    "right",
    20.0,
    SHOTS,
    (
        Expected("", False, -0.7, 0.0, 3.0, 2.5, 0.2, -0.1),
        Expected("", True, 7.0, 0.5, 8.0, 4.0, -7.0, 0.5),
    ),
    (("the arrow acts stiff for this bow and loose", 0.62, 0.05), ("something else", 0.38, 0.95)),
)


def texts(svg: str) -> list[str]:
    root = ElementTree.fromstring(svg)
    return ["".join(one.itertext()) for one in root.iter() if one.tag.endswith("text")]


def test_words_stay_on_the_sheet_and_say_hand_distance_and_view() -> None:
    sheet = reading_sheet(VIEW)
    assert sheet.overflowing() == []
    said = " ".join(texts(sheet.svg()))
    for words in ("20 yd (18.3 m)", "right-handed", "from behind", "from above", "62 %", "in ("):
        assert words in said


def test_left_in_the_butt_is_left_on_the_picture_from_behind() -> None:
    lone = replace(
        VIEW, expected=(), shots=(replace(SHOTS[2], nock_left_deg=None, nock_high_deg=None),)
    )
    svg = reading_sheet(lone).svg()
    hole = re.search(r'<circle cx="([0-9.]+)" cy="([0-9.]+)" r="4.6"', svg)
    assert hole is not None
    assert float(hole.group(1)) < 24.0 + 150.0


def test_bare_and_fletched_differ_by_more_than_colour() -> None:
    bare, feathered = (
        reading_sheet(replace(VIEW, expected=(one,), shots=())).svg() for one in VIEW.expected[::-1]
    )
    assert 'stroke-dasharray="7 5"' in bare
    assert 'stroke-dasharray="7 5"' not in feathered


def test_shots_that_do_not_count_are_crossed_out() -> None:
    cross = re.compile(r"l14 14m0 -14l-14 14")
    with_bad = len(cross.findall(reading_sheet(VIEW).svg()))
    without = replace(VIEW, shots=tuple(one for one in SHOTS if one.counted))
    assert with_bad == len(cross.findall(reading_sheet(without).svg())) + 1


@pytest.mark.parametrize("shots", [(), SHOTS[4:]])
def test_an_outing_without_places_is_still_a_picture(shots: tuple[ShotDrawn, ...]) -> None:
    sheet = reading_sheet(replace(VIEW, shots=shots, expected=(), causes=()))
    assert "Nothing can be told" in " ".join(texts(sheet.svg()))
    assert pen.png(sheet.svg(), 1.0)[:4] == b"\x89PNG"
