"""The drawings of shoots, drying and wood: well-formed, nothing cut off, true to the numbers."""

from __future__ import annotations

import datetime
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from functools import cache

import pytest

from loosewell.faces.drawing import drying as drying_drawing
from loosewell.faces.drawing import pen, stations
from loosewell.faces.drawing import wood as wood_drawing
from loosewell.faces.drawing.pen import Sheet
from loosewell.records import BenchReading, Shaft
from loosewell.workshop import drying, shoot, wood
from loosewell.workshop.answer import Band

SVG = "{http://www.w3.org/2000/svg}"
READING = BenchReading(span_in=26.0, load_lb=2.0, deflection_in=0.52)
SHOOT = Shaft(
    name="A hazel shoot with a rather long name, cut by the brook",
    kind="shoot",
    length_in=36.0,
    weight_gr=480.0,
    stations=tuple(
        {"station_in": at, "diameter_in": wide, "across_in": wide - 0.005}
        for at, wide in ((2.0, 0.375), (18.0, 0.345), (34.0, 0.312))
    ),
    bench_readings=(READING,),
    weighings=tuple(
        {"on": f"2026-03-{1 + 7 * k:02d}", "weight_gr": gr}
        for k, gr in enumerate((620.0, 561.0, 525.0, 505.0))
    ),
)
SHORT = SHOOT.model_copy(update={"name": "Hazel 3"})


@cache
def sheets() -> dict[str, Sheet]:
    way = shoot.Way(
        "as it lies", "back", Band(87.0, 84.0, 89.0), 0.375, 0.318, "nock end 0.375 in",
        Band(519.0, 515.0, 523.0), Band(16.3, 16.1, 16.5), Band(8.7, 8.0, 9.4),
        Band(56.0, 50.0, 65.0), "50 to 65 lb",
    )  # fmt: skip
    turned = replace(way, name="turned round", thick_end="forward")
    both = shoot.Ends(
        "Hazel 3", "Alder", "Fern", "left", 20.0, 28.0, 125.0, [], [], [],
        ways=[way, turned], better="turned round", along=shoot.along(SHORT), verdict="Turn it.",
    )  # fmt: skip
    today = datetime.date(2026, 3, 23)
    named = {"diameter_in": 11 / 32, "length_in": 32.0}
    return {
        "along": stations.along_chart(shoot.along(SHORT)),
        "long name": stations.along_chart(shoot.along(SHOOT)),
        "ends": stations.ends_chart(both),
        "no telling": stations.ends_chart(replace(both, better=None)),
        "stopped": stations.ends_chart(
            replace(both, ways=[], along=None, verdict="Nothing was computed: settle the stop.")
        ),
        "drying": drying_drawing.drying_chart(drying.drying(SHORT, today)),
        "late": drying_drawing.drying_chart(
            drying.drying(SHORT, today + datetime.timedelta(days=300))
        ),
        "by name": wood_drawing.wood_chart(wood.estimate("Sitka spruce", **named)),
        "bent": wood_drawing.wood_chart(
            wood.estimate("Sugar (hard) maple", **named, weight_gr=500.0, readings=[READING])
        ),
    }


@pytest.fixture(params=["along", "long name", "ends", "no telling", "stopped", "drying", "late",
                        "by name", "bent"])  # fmt: skip
def sheet(request: pytest.FixtureRequest) -> Sheet:
    return sheets()[request.param]


def texts(one: Sheet) -> list[str]:
    return ["".join(t.itertext()) for t in ET.fromstring(one.svg()).iter(f"{SVG}text")]


def test_each_is_well_formed_and_says_what_it_shows(sheet: Sheet) -> None:
    root = ET.fromstring(sheet.svg())
    assert root.find(f"{SVG}title") is not None
    assert len(root.find(f"{SVG}desc").text or "") > 7  # type: ignore[union-attr]
    assert sheet.overflowing() == []
    assert len(pen.png(sheet.svg(), 1.0)) > 2000


def test_a_sheet_with_spines_names_span_and_load(sheet: Sheet) -> None:
    if "drying" in sheet.title or len(texts(sheet)) < 3:
        return
    assert any("(26 in span, 2 lb)" in one for one in texts(sheet))


def test_the_three_bars_stand_in_order_and_shrink() -> None:
    drawn = sheets()["bent"].svg()
    bars = [
        (float(x), float(wide))
        for x, wide in re.findall(
            r'<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)" height="24"', drawn
        )
    ]
    assert len(bars) == 3
    assert bars[0][1] > bars[1][1] > 2.0 * bars[2][1]
    named = sheets()["by name"]
    assert texts(named).count("not yet") == 2


def test_the_better_way_is_marked_and_none_when_it_cannot_be_told() -> None:
    assert any("thick end forward: better" in one for one in texts(sheets()["ends"]))
    plain = texts(sheets()["no telling"])
    assert not any("better" in one and "cannot tell" not in one for one in plain)


def test_the_two_ways_are_each_others_mirror() -> None:
    drawn = sheets()["ends"].svg()
    rings = re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="3.6"', drawn)
    lies, turned = rings[:3], rings[3:]
    middle = 54.0 + (520.0 - 20.0)
    for (x, y), (over, lower) in zip(lies, turned, strict=True):
        assert float(x) + float(over) == pytest.approx(middle, abs=0.02)
        assert float(lower) - float(y) == pytest.approx(240.0, abs=0.02)
