"""The commands build, scrape and takedown as typed: sentences, JSON, files, and no trace of a "
"no."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from loosewell.faces import drawing
from loosewell.faces.cli.app import app
from loosewell.faces.drawing.build import cut_plan, joint_chart, scrape_chart
from loosewell.records import Archer, Arrow, BenchReading, Bow, DiameterStation, DrawReading, Shaft
from loosewell.workshop.build import BuildWish, build
from loosewell.workshop.keep import Workshop
from loosewell.workshop.scrape import ScrapeWish, scrape
from loosewell.workshop.takedown import Adapter, AdapterResult, Change, Takedown
from tolerances import tenth_grain_gr

runner = CliRunner()
NEVER = re.compile(r"\b(safe\w*|legal\w*|enough|perfect\w*)\b", re.IGNORECASE)
READINGS = tuple(
    BenchReading(span_in=26.0, load_lb=2.0, deflection_in=0.46, rotation_deg=turn)
    for turn in (0.0, 90.0)
)
SHAFT = Shaft(
    name="S1",
    kind="solid",
    material="Sitka spruce",
    length_in=32.0,
    stations=(DiameterStation(station_in=16.0, diameter_in=11 / 32),),
    weight_gr=370.0,
    bench_readings=READINGS,
)
BOW = Bow(
    name="Alder",
    hand="right",
    make="plain wooden",
    draw_measured="true",
    draw_readings=(
        DrawReading(draw_in=20.0, weight_lb=34.0),
        DrawReading(draw_in=26.0, weight_lb=50.0),
    ),
    drawn_to_limit_in=27.0,
)
ARCHER = Archer(
    name="Fern", hand="right", draw_length_in=26.0, draw_measured="true", draw_method="marked arrow"
)
ARROW = Arrow(
    name="A1", shaft="S1", length_in=28.75, point_weight_gr=125.0, weight_gr=505.0, balance_in=18.9
)


@pytest.fixture
def path(workshop_path: Path) -> Path:
    with Workshop.open(workshop_path) as kept:
        kept.add_all([SHAFT, BOW, ARCHER])
        kept.add(ARROW)
    return workshop_path


def run(path: Path, *words: str) -> Result:
    return runner.invoke(app, [words[0], f"--workshop={path}", *words[1:]])


def did(path: Path, *words: str) -> str:
    told = run(path, *words)
    assert told.exit_code == 0, told.stderr
    assert not NEVER.search(told.stdout)
    return " ".join(told.stdout.split())


def refused(path: Path, *words: str) -> str:
    told = run(path, *words)
    assert told.exit_code == 2, told.stdout
    assert told.stdout == ""
    assert told.stderr.strip().endswith(".")
    return told.stderr


def test_build_prints_lengths_in_both_systems_and_names_the_definition(path: Path) -> None:
    told = did(path, "build", "S1", "--archer", "Fern", "--bow", "Alder", "--point", "125 gr")
    assert "28.75 in (730 mm) from nock throat to the back of the point" in told
    assert "cut" in told
    assert "never below 28.75 in" in told
    assert "±" in told
    assert "Nothing here says that a shaft is sound" in told


def test_a_stop_stands_first_and_no_picture_is_drawn(path: Path, tmp_path: Path) -> None:
    picture = tmp_path / "cut.svg"
    words = ("--archer", "Fern", "--length", "28 in", "--picture", str(picture))
    told = did(path, "build", "S1", *words)
    assert told.index("STOP.") < told.index("Nothing was planned")
    assert "shorter than the least for Fern" in told
    assert not picture.exists()
    assert "Every part" not in told


def test_an_arrow_on_record_stands_beside_the_scale(path: Path) -> None:
    told = did(path, "build", "--arrow", "A1")
    assert "on record 505 gr" in told
    assert "beyond the errors" in told
    assert "lever rule" in told


def test_metric_and_trade_units_give_the_same_plan(path: Path) -> None:
    trade = json.loads(did(path, "build", "S1", "--length", "28 in", "--point", "125 gr", "--json"))
    metric = json.loads(
        did(path, "build", "S1", "--length", "711.2 mm", "--point", "8.09986375 g", "--json")
    )
    assert metric["cut_in"] == pytest.approx(trade["cut_in"], abs=1e-3)
    assert metric["weight"]["middle"] == pytest.approx(
        trade["weight"]["middle"], abs=tenth_grain_gr
    )


def test_every_option_of_the_build_enters_its_budget(path: Path) -> None:
    words = ("--length", "28 in", "--point", "100 gr", "--nock", "self", "--throat", "0.3 in")
    more = ("--socket", "0 in", "--glue", "4 gr", "--finish", "7 gr", "--nock-weight", "3 gr")
    last = (
        "--fletching",
        "4 vanes 2 in, 0.4 in high, 1.5 in rear",
        "--part",
        "insert 20 gr @ 27 in",
    )
    told = json.loads(did(path, "build", "S1", *words, *more, *last, "--json"))
    lines = {one["what"]: one for one in told["parts"]}
    assert lines["point"]["weight_gr"] == pytest.approx(100.0)
    assert lines["nock"]["weight_gr"] == pytest.approx(3.0)
    assert lines["4 vanes, 2 in"]["weight_gr"] == pytest.approx(4 * 2 * 2.4)
    assert lines["4 vanes, 2 in"]["at_in"] == pytest.approx(2.5)
    assert lines["glue and binding of the fletching"]["weight_gr"] == 4.0
    assert lines["finish"]["weight_gr"] == 7.0
    assert lines["insert"]["at_in"] == 27.0
    assert told["cut_in"] == pytest.approx(28.3)


def test_tables_carry_units_and_add_up(path: Path, tmp_path: Path) -> None:
    table = tmp_path / "parts.csv"
    did(path, "build", "S1", "--length", "28 in", "--point", "125 gr", "--csv", str(table))
    rows = list(csv.DictReader(io.StringIO(table.read_text("utf-8"))))
    told = json.loads(did(path, "build", "S1", "--length", "28 in", "--point", "125 gr", "--json"))
    assert sum(float(row["mass (gr)"]) for row in rows) == pytest.approx(
        told["weight"]["middle"], abs=tenth_grain_gr
    )
    steps = tmp_path / "steps.csv"
    did(path, "scrape", "S1", "--to", "45 lb", "--csv", str(steps))
    rows = list(csv.DictReader(io.StringIO(steps.read_text("utf-8"))))
    assert float(rows[-1]["spine (lb; 26 in span and 2 lb)"]) == pytest.approx(45.0, abs=0.01)


def test_a_file_that_is_there_is_not_written_over(path: Path, tmp_path: Path) -> None:
    table = tmp_path / "parts.csv"
    table.write_text("mine", encoding="utf-8")
    told = refused(path, "build", "S1", "--length", "28 in", "--csv", str(table))
    assert "not written over" in told
    assert table.read_text("utf-8") == "mine"


def test_scrape_prints_span_and_load_beside_every_spine_and_the_stops(path: Path) -> None:
    told = did(path, "scrape", "S1", "--to", "45 lb")
    assert "(26 in span, 2 lb)" in told
    assert "(28 in span, 1.94 lb)" in told
    assert "then bend again" in told
    assert "Never beyond" in told
    assert "not looked over yet" in told
    deep = did(path, "scrape", "S1", "--to", "20 lb")
    assert deep.index("STOP.") < deep.index("How much")


def test_scrape_takes_passes_and_a_thickness(path: Path) -> None:
    told = json.loads(
        did(path, "scrape", "S1", "--to-diameter", "5/16 in", "--where", "rear", "--over", "9 in",
            "--per-pass", "0.0005 in", "--json")
    )  # fmt: skip
    assert told["until_in"] == 9.0
    assert told["steps"][-1]["diameter_in"] == pytest.approx(0.3125, abs=1e-4)
    assert sum(one["passes"] for one in told["steps"]) >= 62


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("build",), "Neither a shaft nor an arrow"),
        (("build", "S1"), "arrow length was not given"),
        (("build", "S9", "--length", "28 in"), "S9"),
        (("build", "S1", "--length", "28"), "without a unit"),
        (("build", "S1", "--length", "28 in", "--point", "8 gr"), "grams"),
        (("build", "S1", "--length", "31.8 in"), "long and this plan needs"),
        (("build", "S1", "--length", "28 in", "--nock", "sticky"), "Accepted are"),
        (("build", "S1", "--length", "28 in", "--fletching", "fluff"), "3 feathers 4 in"),
        (("build", "S1", "--length", "28 in", "--part", "insert 20 gr"), "insert 20 gr"),
        (("scrape", "S1"), "Say how far to go"),
        (("scrape", "S1", "--to", "90 lb"), "not weaker"),
        (("scrape", "S1", "--to", "45 gr"), "is outside"),
        (("takedown", "S1", "--bow", "Alder", "--archer", "Fern"), "Nothing to compare"),
        (("takedown", "S1", "--bow", "Alder", "--archer", "Fern", "--compare", "at 10 in, 45 gr"),
         "leave it out there"),
        (("takedown", "S1", "--bow", "Alder", "--archer", "Fern", "--compare", "brass:"),
         "without anything about it"),
        (("takedown", "S1", "--bow", "Alder", "--archer", "Fern", "--compare", "play 40 deg"),
         "Play of the joint"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_one_sentence(path: Path, words: tuple[str, ...], said: str) -> None:
    assert said in refused(path, *words)


def test_an_adapter_is_read_with_or_without_a_name() -> None:
    from loosewell.faces.cli.build import _adapter

    full = Adapter("tube, glued", 2.0, 45.0, 150.0, 0.5, 0.2)
    text = "sleeve 2 in, 45 gr, stiffness 150 %, give 0.5 deg/ftlb, play 0.2 deg"
    assert _adapter(f"tube, glued: {text}", 1) == full
    assert _adapter(text, 3).name == "adapter 3"
    assert _adapter("sleeve: 2 in, 45 gr", 2) == Adapter("adapter 2", 2.0, 45.0)
    assert _adapter("45 gr, sleeve: 2 in", 2) == Adapter("adapter 2", 2.0, 45.0)


# ---- drawings


def compared() -> Takedown:
    def one(name: str, joints: tuple[float, ...], change: Change | None) -> AdapterResult:
        return AdapterResult(
            name, joints, 2.0, 45.0, 150.0, 0.5, 0.2, 51.0, 480.0, 17.6, 11.4, 70.0, 4.0, 158.0,
            54.0, 1.0, change, change, change, change, change,
        )  # fmt: skip

    return Takedown(
        "S1", "Alder", "Fern", "right", True, [], [], 28.75, 125.0, 20.0,
        plain=one("in one piece", (), None),
        adapters=[
            one("a very long name for a very small piece of brass", (16.0,), Change(-4.0, 1.0)),
            one("none", (16.0,), Change(0.0, 0.0)),
        ],
        verdict=["brass: slower."],
    )  # fmt: skip


SHEETS = {
    "cut": cut_plan(build(SHAFT, BuildWish(point_weight_gr=125.0), archer=ARCHER)),
    "cut-self": cut_plan(build(SHAFT, BuildWish(nock_kind="self", length_in=28.0))),
    "cut-built": cut_plan(
        build(SHAFT.model_copy(update={"length_in": 29.0}), arrow=ARROW)
    ),
    "scrape": scrape_chart(scrape(SHAFT, ScrapeWish(to_lb=45.0))),
    "scrape-stopped": scrape_chart(scrape(SHAFT, ScrapeWish(to_lb=22.0))),
    "scrape-rear": scrape_chart(scrape(SHAFT, ScrapeWish(to_diameter_in=0.31, where="rear"))),
    "joints": joint_chart(compared()),
}  # fmt: skip


@pytest.mark.parametrize("name", SHEETS)
def test_a_drawing_keeps_its_words_on_the_sheet_and_can_be_printed(name: str) -> None:
    sheet = SHEETS[name]
    assert sheet.overflowing() == []
    assert drawing.png(sheet.svg(), 0.5).startswith(b"\x89PNG")
    assert "var(" not in drawing.resolved(sheet.svg())


def test_the_cut_plan_is_drawn_to_scale_both_ways() -> None:
    """The scale bar of 5 in and the thickness of the shaft have the same scale."""
    svg = SHEETS["cut"].svg()
    bar = re.search(r"M([0-9.]+) [0-9.]+v8H([0-9.]+)v-8", svg)
    assert bar is not None
    scale = (float(bar[2]) - float(bar[1])) / 5.0
    pieces = re.findall(r'width="([0-9.]+)" height="([0-9.]+)" fill="url\(#cut-spare\)"', svg)
    wide, tall = max((float(a), float(b)) for a, b in pieces if float(a) != 30.0)
    assert tall == pytest.approx(11 / 32 * scale, rel=0.01)
    assert wide == pytest.approx(2.0 * scale, rel=0.01)


def test_too_weak_is_drawn_as_a_stop_and_in_words() -> None:
    assert "stop: too weak beyond" in SHEETS["scrape-stopped"].svg()
    little = scrape_chart(scrape(SHAFT, ScrapeWish(to_lb=52.0)))
    assert "stop: too weak beyond" not in little.svg()
