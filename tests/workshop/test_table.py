"""A rack as a table: units in the header, every bad row named, nothing half taken."""

from __future__ import annotations

import csv
import datetime
import io
import tempfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import made_up_records
from loosewell.errors import FileRefusal, ImportRefusal, Refusal
from loosewell.records import (
    BenchReading,
    Check,
    DiameterStation,
    Inspection,
    Joint,
    Section,
    Shaft,
    Tap,
    Weighing,
)
from loosewell.workshop.keep import Workshop
from loosewell.workshop.table import read_shafts, table_text, write_shafts

HEADER = (
    "name,kind,material,length (in),weight (g),diameter (in),span (in),load (lb),deflection (in)"
)


def table(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "rack.csv"
    path.write_text(text, encoding="utf-8")
    return path


def rows(tmp_path: Path, text: str) -> list[Shaft]:
    good, bad = read_shafts(table(tmp_path, text))
    assert bad == []
    return [shaft for _, shaft in good]


def test_a_plain_table_is_read(tmp_path: Path) -> None:
    (shaft,) = rows(tmp_path, f"{HEADER}\nA1,solid,Sitka spruce,32,22.6796185,11/32,26,2,0.52\n")
    assert shaft.name == "A1"
    assert shaft.weight_gr == pytest.approx(350.0, rel=1e-9)
    assert shaft.stations == (DiameterStation(station_in=16.0, diameter_in=0.34375),)
    assert shaft.bench_readings == (BenchReading(span_in=26, load_lb=2, deflection_in=0.52),)


def test_units_of_the_header_and_of_a_cell_are_both_heard(tmp_path: Path) -> None:
    (shaft,) = rows(tmp_path, "name,length [mm],weight_gr,wall mm\nA1,812.8,23 g,0.5\n")
    assert shaft.length_in == pytest.approx(32.0)
    assert shaft.weight_gr == pytest.approx(354.944242, rel=1e-6)
    assert shaft.wall_in == pytest.approx(0.5 / 25.4)


def test_semicolons_decimal_commas_and_a_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "rack.csv"
    path.write_bytes(
        b"\xef\xbb\xbf" + "name;length (mm);remarks\r\n1;812,8;fünf, sechs\r\n\r\n2;;\r\n".encode()
    )
    good, bad = read_shafts(path)
    assert bad == []
    assert [line for line, _ in good] == [2, 4]
    assert good[0][1].length_in == pytest.approx(32.0)
    assert good[0][1].remarks == "fünf, sechs"
    assert good[1][1] == Shaft(name="2")


def test_an_empty_cell_is_unknown_and_never_zero(tmp_path: Path) -> None:
    (shaft,) = rows(tmp_path, f"{HEADER}\nA1,,,,,,,,\n")
    assert shaft == Shaft(name="A1")


def test_numbered_readings_stations_and_an_inspection(tmp_path: Path) -> None:
    (shaft,) = rows(
        tmp_path,
        "name,station 1 (in),diameter 1 (in),station 2 (in),diameter 2 (in),across 2 (in),"
        "span (in),load (lb),deflection (in),rotation (deg),span 2 (in),load 2 (lb),"
        "deflection 2 (in),rotation 2 (deg),inspection result,inspection on,inspection by\n"
        "A1,2,0.34,16,0.344,0.340,26,2,0.5,0,26,2,0.55,90,passed,2024-05-05,Wren\n",
    )
    assert [one.station_in for one in shaft.stations] == [2.0, 16.0]
    assert shaft.stations[1].across_in == 0.34
    assert [one.rotation_deg for one in shaft.bench_readings] == [0.0, 90.0]
    assert isinstance(shaft.inspection, Inspection)


def test_joints_and_sections_come_in_with_their_units(tmp_path: Path) -> None:
    (shaft,) = rows(
        tmp_path,
        "name,joint (mm),joint sleeve (in),joint sleeve weight (g),joint stiffness (%),"
        "joint play (deg),joint 2 (in),joint give 2 (deg/Nm),section from (in),section to (in),"
        "section material,section stiffness_percent\n"
        "A1,254,2,3,150,0,20,1,22,28,hickory,130\n",
    )
    first, second = shaft.joints
    assert first == Joint(
        station_in=10.0,
        sleeve_length_in=2.0,
        sleeve_weight_gr=first.sleeve_weight_gr,
        stiffness_percent=150.0,
        play_deg=0.0,
    )
    assert first.sleeve_weight_gr == pytest.approx(3.0 / 0.06479891, rel=1e-9)
    assert second.station_in == 20.0
    assert second.give_deg_per_ftlb == pytest.approx(0.3048 * 4.4482216152605, rel=1e-9)
    assert shaft.sections == (
        Section(from_in=22.0, to_in=28.0, material="hickory", stiffness_percent=130.0),
    )


@pytest.mark.parametrize(
    ("header", "row", "words"),
    [
        ("joint play (deg)", "0.2", "Joint 1 has values but no place on the shaft."),
        ("joint sleeve 2 (in)", "2", "Joint 2 has values but no place on the shaft."),
        ("section from (in),section material", "20,hickory", "the column 'section to 1 (in)'"),
        ("length (in),joint (in)", "30,31", "only 30 in long"),
        ("joint (in),joint stiffness (%)", "10,5", "outside 10 to 3000 %"),
    ],
)
def test_a_joint_or_section_that_cannot_be_is_a_bad_row(
    tmp_path: Path, header: str, row: str, words: str
) -> None:
    good, ((line, told),) = read_shafts(table(tmp_path, f"name,{header}\nA1,{row}\n"))
    assert (good, line) == ([], 2)
    assert words in told


def test_weighings_taps_checks_and_the_jig_of_a_reading_come_in(tmp_path: Path) -> None:
    (shaft,) = rows(
        tmp_path,
        "name,span (in),load (lb),deflection (in),jig,turned,reading on,weighed on,weighed (g),"
        "weighed on 2,weighed 2 (gr),weighed error 2 (gr),tap (Hz),tap length (mm),tap weight (g),"
        "tap damping ratio,tap on,tap file,inspection result,inspection on,check,check finding,"
        "check 2,check finding 2,check note 2\n"
        "A1,26,2,0.5,two nails,yes,2026-10-02,2026-09-01,29,2026-10-01,380,1.5,62 171.5,812.8,24,"
        "0.004,2026-10-02,a1.wav,failed,2026-10-02,run-out,fine,cracks,fault,at the nock\n",
    )
    on = datetime.date(2026, 10, 2)
    assert shaft.bench_readings == (
        BenchReading(span_in=26, load_lb=2, deflection_in=0.5, jig="two nails", turned=True, on=on),
    )
    first, second = shaft.weighings
    assert first.weight_gr == pytest.approx(29.0 / 0.06479891, rel=1e-9)
    assert second == Weighing(on=datetime.date(2026, 10, 1), weight_gr=380, weight_error_gr=1.5)
    (tap,) = shaft.taps
    assert tap.frequencies_hz == (62.0, 171.5)
    assert tap.length_in == pytest.approx(32.0)
    assert tap.weight_gr == pytest.approx(24.0 / 0.06479891, rel=1e-9)
    assert (tap.damping_ratio, tap.on, tap.file) == (0.004, on, "a1.wav")
    assert shaft.inspection is not None
    assert shaft.inspection.checks == (
        Check(what="run-out", finding="fine"),
        Check(what="cracks", finding="fault", note="at the nock"),
    )


@pytest.mark.parametrize(
    ("header", "row", "words"),
    [
        ("weighed (gr)", "355", "The day of the weighing is missing"),
        ("weighed on,weighed (gr)", "2026-10-02,20", "outside 30 to 5000 gr"),
        (
            "weighed on,weighed (gr),weighed on 2,weighed 2 (gr)",
            "2026-10-02,355,2026-09-02,390",
            "out of order",
        ),
        ("tap (Hz),tap length (in),tap weight (gr)", "171 62,32,355", "do not rise"),
        ("tap (Hz),tap length (in)", "62,32", "Mass of the tapped shaft is missing"),
        ("tap damping ratio", "0.4 %", "Write a plain number"),
        ("jig", "two nails", "Bench reading 1 lacks its span and its load and its deflection."),
        ("turned", "perhaps", "Write yes or no."),
        ("check,check finding", "cracks,fine", "is missing for this inspection"),
        (
            "inspection result,inspection on,check,check finding",
            "passed,2026-10-02,cracks,fault",
            "A shaft with a fault has failed",
        ),
    ],
)
def test_a_weighing_tap_or_check_that_cannot_be_is_a_bad_row(
    tmp_path: Path, header: str, row: str, words: str
) -> None:
    good, ((line, told),) = read_shafts(table(tmp_path, f"name,{header}\nA1,{row}\n"))
    assert (good, line) == ([], 2)
    assert words in told


BAD_ROWS = f"""{HEADER}
A1,solid,spruce,32,22,0.344,26,2,0.52
A2,solid,spruce,three,22,0.344,26,2,0.52

A3,solid,spruce,32,22,0.344,26,2,0
A4,steel,spruce,32,22,0.344,26,2,0.52
A5,solid,"a long
text",32,-22,0.344,26,2,0.52
A6,solid,spruce,32,22,0.344,26,,0.52
A1,solid,spruce,32,22,0.344,26,2,0.52
,solid,spruce,32,22,0.344,26,2,0.52
A8,solid,spruce,32,22,0.344,26,2,0.52,extra
A9,solid,spruce,32,22,0.344,26,2,0.52
"""


def test_every_bad_row_is_named_and_nothing_is_kept(tmp_path: Path, workshop_path: Path) -> None:
    path = table(tmp_path, BAD_ROWS)
    with Workshop.open(workshop_path) as workshop:
        workshop.add(Shaft(name="a9"))
        with pytest.raises(ImportRefusal) as told:
            workshop.import_shafts(path)
        assert [one.record.name for one in workshop.list("shaft")] == ["a9"]
        assert len(workshop.history("shaft", "a9")) == 1
    assert "9 rows of rack.csv cannot be taken, and nothing of it was kept." in told.value.message
    said = dict(told.value.rows)
    assert sorted(said) == [3, 5, 6, 7, 9, 10, 11, 12, 13]
    for line, words in {
        3: "'three",
        5: "deflection of 0 in",
        6: "'steel'",
        7: "outside 30 to 2500 gr",
        9: "lacks its load",
        10: "already there",
        11: "Name is missing",
        12: "10 cells and the header 9",
        13: "already there",
    }.items():
        assert words in said[line], (line, said[line])
        assert said[line].endswith((".", "marks."))


def test_all_faults_of_a_row_are_told_at_once(tmp_path: Path) -> None:
    _, ((line, told),) = read_shafts(table(tmp_path, f"{HEADER}\nA1,,,x,y,,,,\n"))
    assert line == 2
    assert "'x" in told
    assert "'y" in told


@pytest.mark.parametrize(
    ("header", "words"),
    [
        ("name,length", "has no unit"),
        ("name,length (lb)", "which is a mass"),
        ("name,length (furlong)", "not a unit known here"),
        ("name,colour", "is not known"),
        ("length (in)", "No column is called 'name'"),
        ("name,name", "twice"),
        ("name,diameter (in),diameter 1 (mm)", "twice"),
    ],
)
def test_a_header_that_cannot_be_taken_is_refused(tmp_path: Path, header: str, words: str) -> None:
    with pytest.raises(ImportRefusal) as told:
        read_shafts(table(tmp_path, f"{header}\nA1,3\n"))
    assert words in " ".join(sentence for _, sentence in told.value.rows)
    assert told.value.rows[0][0] == 1


def test_files_that_are_no_table_are_refused(tmp_path: Path) -> None:
    with pytest.raises(FileRefusal):
        read_shafts(tmp_path / "none.csv")
    with pytest.raises(FileRefusal):
        read_shafts(tmp_path)
    with pytest.raises(ImportRefusal):
        read_shafts(table(tmp_path, ""))
    (tmp_path / "rack.csv").write_bytes("name\nA1\nfünf\n".encode("latin-1"))
    with pytest.raises(ImportRefusal) as told:
        read_shafts(tmp_path / "rack.csv")
    assert told.value.rows[0][0] == 3


def test_a_quotation_mark_left_open_is_named_by_its_line(tmp_path: Path) -> None:
    good, bad = read_shafts(table(tmp_path, 'name,remarks\nA1,fine\nA2,"open\nA3,x\n'))
    assert [shaft.name for _, shaft in good] == ["A1"]
    assert [line for line, _ in bad] == [3]


@given(st.lists(made_up_records.shafts(), max_size=4, unique_by=lambda one: one.name.casefold()))
def test_a_rack_written_and_read_back_is_the_same(shafts: list[Shaft]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "rack.csv"
        write_shafts(shafts, path)
        good, bad = read_shafts(path)
    assert bad == []
    assert [shaft for _, shaft in good] == shafts


def test_every_measured_heading_carries_its_unit() -> None:
    shaft = Shaft(
        name="1",
        length_in=32,
        stations=(DiameterStation(station_in=1, diameter_in=0.34),),
        bench_readings=(BenchReading(span_in=26, load_lb=2, deflection_in=0.5),),
        joints=(Joint(station_in=10, stiffness_percent=150, give_deg_per_ftlb=1, play_deg=0.2),),
        sections=(Section(from_in=20, to_in=28, material="hickory"),),
        weighings=(Weighing(on=datetime.date(2026, 10, 2), weight_gr=355, weight_error_gr=2),),
        taps=(Tap(frequencies_hz=(62,), length_in=32, weight_gr=355, damping_ratio=0.004),),
    )
    headings, values = csv.reader(io.StringIO(table_text([shaft])))
    for heading, value in zip(headings, values, strict=True):
        if value.replace(".", "").isdigit() and heading != "name":
            known = ("(in)", "(lb)", "(gr)", "(deg)", "(%)", "(deg/ftlb)", "(Hz)", "ratio 1")
            assert heading.endswith(known), heading


def test_an_export_never_writes_over_a_file(tmp_path: Path) -> None:
    path = table(tmp_path, "mine\n")
    with pytest.raises(FileRefusal) as told:
        write_shafts([Shaft(name="1")], path)
    assert told.value.code == "export-exists"
    assert path.read_text(encoding="utf-8") == "mine\n"
    assert [one.name for one in tmp_path.iterdir()] == ["rack.csv"]


@given(st.text(max_size=200) | st.text(",;\t\"\n'in(mm)namelengthA0123456789. ", max_size=200))
def test_any_text_is_a_table_or_a_refusal(text: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "rack.csv"
        path.write_text(text, encoding="utf-8", errors="surrogatepass", newline="")
        try:
            _, bad = read_shafts(path)
        except Refusal as refusal:
            bad = getattr(refusal, "rows", [])
    assert all(line >= 1 and sentence.endswith((".", ")")) for line, sentence in bad)
