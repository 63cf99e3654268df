"""Migrations: every old file opens, and the steps lead to exactly the tables in the code."""

from __future__ import annotations

import re
import sqlite3
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from loosewell.errors import FileRefusal
from loosewell.records import (
    Archer,
    Arrow,
    ArrowSet,
    BenchReading,
    Bow,
    BowString,
    BreakSample,
    Change,
    Check,
    ClassRoster,
    ExtraPart,
    Holding,
    Jig,
    Joint,
    Outing,
    Pupil,
    RangeRule,
    Section,
    SetMember,
    Shaft,
    ShotSeen,
    Tap,
    Weighing,
)
from loosewell.store import shelf, tables
from loosewell.store.shelf import open_shelf
from loosewell.workshop.keep import Workshop

OLD = sorted((Path(__file__).parent / "old").glob("golden_version_*.sql"))
MODELS = {
    "bow": Bow,
    "archer": Archer,
    "shaft": Shaft,
    "arrow": Arrow,
    "jig": Jig,
    "set": ArrowSet,
    "outing": Outing,
    "string": BowString,
    "class": ClassRoster,
}


def steps() -> ScriptDirectory:
    config = Config()
    config.set_main_option("script_location", str(Path(shelf.__file__).parent / "migrations"))
    config.set_main_option("path_separator", "os")
    return ScriptDirectory.from_config(config)


def from_dump(dump: Path, path: Path) -> Path:
    with sqlite3.connect(path) as raw:
        raw.executescript(dump.read_text(encoding="utf-8"))
        raw.execute("PRAGMA journal_mode = WAL")
    raw.close()
    return path


def test_the_migrations_lead_to_the_tables_in_the_code(workshop_path: Path) -> None:
    opened = open_shelf(workshop_path)
    with opened.reading() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, tables.metadata) == []
        found = {
            row.name: row.sql
            for row in connection.exec_driver_sql(
                "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
            )
        }
    opened.close()
    assert found == tables.triggers()


def test_the_newest_step_is_the_version_of_the_code() -> None:
    (head,) = steps().get_heads()
    assert int(head) == tables.SCHEMA_VERSION
    revisions = [int(one.revision) for one in steps().walk_revisions()]
    assert sorted(revisions) == list(range(1, tables.SCHEMA_VERSION + 1))


@pytest.mark.parametrize("kind", MODELS)
def test_a_column_is_a_field_of_the_record(kind: str) -> None:
    columns = [one.name for one in tables.KINDS[kind].columns]
    assert columns == [*tables.BOOKKEEPING, *MODELS[kind].model_fields]


def test_there_is_an_old_file_of_every_version() -> None:
    numbers = [int(re.findall(r"\d+", dump.stem)[0]) for dump in OLD]
    assert numbers == list(range(1, tables.SCHEMA_VERSION + 1))


@pytest.mark.parametrize("dump", OLD, ids=lambda dump: dump.stem)
def test_every_old_file_opens_with_all_it_held(dump: Path, workshop_path: Path) -> None:
    from_dump(dump, workshop_path)
    with Workshop.open(workshop_path) as workshop:
        (bow,) = workshop.list("bow")
        assert bow.record.name == "Ash"
        assert bow.version == 2
        assert [one.what for one in workshop.history("bow", "Ash")] == [
            "added",
            "changed length_in",
        ]
        (archer,) = workshop.list("archer")
        assert archer.record.draw_length_in == 26.0  # type: ignore[union-attr]
        (gone,) = workshop.list("shaft", retired=True)
        assert gone.record.name == "S2"
        (arrow,) = workshop.list("arrow")
        assert arrow.record.shaft == "S1"  # type: ignore[union-attr]
        shaft = workshop.get("shaft", "S1").record
        assert isinstance(shaft, Shaft)
        assert shaft.bench_readings[0].deflection_in == 0.52
        assert shaft.stations[1].across_in == 0.34
        assert shaft.inspection is not None


def counted(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every row of history, and the version of every record, as the file itself tells them."""
    with sqlite3.connect(path) as raw:
        told = {"history": raw.execute("SELECT * FROM history ORDER BY id").fetchall()}
        made = {name for (name,) in raw.execute("SELECT name FROM sqlite_master")}
        # A table that a later version brought is empty in an older file.
        for kind in MODELS:
            table = tables.KINDS[kind].name
            rows = f"SELECT id, name, version, retired, changed_at FROM {table} ORDER BY id"
            told[kind] = raw.execute(rows).fetchall() if table in made else []
    raw.close()
    return told


@pytest.mark.parametrize("dump", OLD[:-1], ids=lambda dump: dump.stem)
def test_carrying_a_file_forward_changes_nothing_that_was_kept(
    dump: Path, workshop_path: Path
) -> None:
    from_dump(dump, workshop_path)
    before = counted(workshop_path)
    Workshop.open(workshop_path).close()
    with sqlite3.connect(workshop_path) as raw:
        assert raw.execute("PRAGMA user_version").fetchone() == (tables.SCHEMA_VERSION,)
    raw.close()
    assert counted(workshop_path) == before
    number = re.findall(r"\d+", dump.stem)[0]
    assert counted(workshop_path.with_name(f"{workshop_path.name}.version-{number}")) == before


def test_what_version_1_never_asked_is_unknown_and_can_be_told_now(workshop_path: Path) -> None:
    from_dump(OLD[0], workshop_path)
    with Workshop.open(workshop_path) as workshop:
        archer, arrow = workshop.get("archer", "Wren"), workshop.get("arrow", "A1")
        assert archer.record.cant_deg is None  # type: ignore[union-attr]
        assert isinstance(arrow.record, Arrow)
        for field in ("nock_fit", "stiff_side_deg", "point_width_in", "point_blades"):
            assert getattr(arrow.record, field) is None
        for name in ("S1", "S2"):
            shaft = workshop.get("shaft", name).record
            assert isinstance(shaft, Shaft)
            assert shaft.joints == shaft.sections == ()
        # The record as it stands and its last state in the history still tell the same.
        assert workshop.history("shaft", "S1")[-1].record == workshop.get("shaft", "S1").record
        after = workshop.change("shaft", "S1", joints=[{"station_in": 11.0, "play_deg": 0.2}])
        assert after.version == 2
        first, second = workshop.history("shaft", "S1")
        assert first.record.joints == ()  # type: ignore[union-attr]
        assert second.what == "changed joints"
        assert second.record.joints[0].play_deg == 0.2  # type: ignore[union-attr]


def test_a_file_of_version_2_opens_with_joints_cant_and_blades(workshop_path: Path) -> None:
    from_dump(OLD[1], workshop_path)
    with Workshop.open(workshop_path) as workshop:
        shaft, arrow = workshop.get("shaft", "S1").record, workshop.get("arrow", "A1").record
        assert workshop.get("archer", "Wren").record.cant_deg == 12.0  # type: ignore[union-attr]
    assert isinstance(shaft, Shaft)
    assert isinstance(arrow, Arrow)
    assert shaft.joints == (
        Joint(
            station_in=11.0,
            sleeve_length_in=2.0,
            sleeve_weight_gr=45.0,
            stiffness_percent=150.0,
            give_deg_per_ftlb=0.5,
            play_deg=0.2,
        ),
    )
    assert shaft.sections == (
        Section(from_in=24.0, to_in=32.0, material="hickory", stiffness_percent=130.0),
    )
    told = (arrow.point_width_in, arrow.point_blade_length_in, arrow.point_blades)
    assert told == (1.125, 2.25, 2)
    assert (arrow.nock_fit, arrow.stiff_side_deg) == ("snug", 90.0)


def test_what_version_2_never_asked_is_unknown_and_can_be_told_now(workshop_path: Path) -> None:
    from_dump(OLD[1], workshop_path)
    with Workshop.open(workshop_path) as workshop:
        shaft, arrow = workshop.get("shaft", "S1").record, workshop.get("arrow", "A1").record
        assert isinstance(shaft, Shaft)
        assert isinstance(arrow, Arrow)
        assert shaft.weighings == shaft.taps == arrow.extra_parts == ()
        (read,) = shaft.bench_readings
        assert (read.jig, read.turned, read.on) == (None, None, None)
        assert shaft.inspection is not None
        # A pass from before the checklist stays the pass it was.
        assert (shaft.inspection.result, shaft.inspection.checks) == ("passed", ())
        assert workshop.list("jig") == workshop.list("set") == []
        assert workshop.history("shaft", "S1")[-1].record == shaft
        workshop.add(Jig(name="nails", span_in=26.0))
        workshop.add(ArrowSet(name="Camp", bow="ash", members=({"shaft": "s1"},)))  # type: ignore[arg-type]
        camp = workshop.get("set", "Camp").record
    assert isinstance(camp, ArrowSet)
    assert (camp.bow, camp.members[0].shaft) == ("Ash", "S1")


def test_a_file_of_version_3_opens_with_jigs_sets_and_weighings(workshop_path: Path) -> None:
    from_dump(OLD[2], workshop_path)
    with Workshop.open(workshop_path) as workshop:
        shaft, arrow = workshop.get("shaft", "S1").record, workshop.get("arrow", "A1").record
        jig, camp = (
            workshop.get("jig", "Two nails").record,
            workshop.get("set", "camp dozen").record,
        )
    assert isinstance(shaft, Shaft)
    assert isinstance(arrow, Arrow)
    assert isinstance(camp, ArrowSet)
    assert shaft.bench_readings == (
        BenchReading(
            span_in=26.0,
            load_lb=2.0,
            deflection_in=0.52,
            jig="two nails",
            turned=True,
            on="2024-05-02",  # type: ignore[arg-type]
        ),
    )
    assert shaft.weighings == (
        Weighing(on="2024-04-01", weight_gr=410.0, weight_error_gr=1.5),  # type: ignore[arg-type]
        Weighing(on="2024-05-01", weight_gr=368.0),  # type: ignore[arg-type]
    )
    assert shaft.taps == (
        Tap(
            frequencies_hz=(61.5, 169.0),
            length_in=32.0,
            weight_gr=368.0,
            damping_ratio=0.004,
            on="2024-05-01",  # type: ignore[arg-type]
            file="s1.wav",
        ),
    )
    assert shaft.inspection is not None
    assert shaft.inspection.checks == (
        Check(what="run-out", finding="fault", note="at 20 in"),
        Check(what="cracks", finding="fine"),
        Check(what="nock", finding="not looked at"),
    )
    assert arrow.extra_parts == (ExtraPart(what="binding", weight_gr=6.0, at_in=0.5),)
    assert jig == Jig(
        name="two nails",
        span_in=26.0,
        span_error_in=0.125,
        load_lb=2.0,
        load_error_percent=1.5,
        reads="fine ruler",
        deflection_error_in=0.015625,
        stiffness_factor=0.97,
        stiffness_factor_error_percent=2.0,
        checked_on="2024-05-01",  # type: ignore[arg-type]
        checked_with="steel rod 1/4 in",
        invented=True,
    )
    assert (camp.code, camp.bow, camp.archer, camp.purpose) == ("C1", "Ash", "Wren", "roving")
    assert camp.members == (
        SetMember(shaft="S1", nock_angle_deg=90.0, stiff_side_mark="red dot"),
        SetMember(shaft="S2"),
    )


def test_a_file_of_version_4_opens_with_outings_answers_and_what_was_set_aside(
    workshop_path: Path,
) -> None:
    from_dump(OLD[3], workshop_path)
    with Workshop.open(workshop_path) as workshop:
        evening = workshop.get("outing", "first evening").record
        (told,) = workshop.answers("First evening")
        (aside,) = workshop.asides()
        bow, archer = workshop.number_of("bow", "Ash"), workshop.number_of("archer", "Wren")
    assert evening == Outing(
        name="First evening",
        bow="Ash",
        archer="Wren",
        on="2024-05-30",  # type: ignore[arg-type]
        distance_yd=10.0,
        arrow="A1",
        shots=(
            ShotSeen(left_in=2.0, high_in=-1.0, nock_sideways="straight", marks=("none",)),
            ShotSeen(
                arrow="S1",
                bare=True,
                left_in=-6.0,
                high_in=-2.0,
                place_error_in=1.0,
                nock_left_deg=8.0,
                angle_error_deg=2.0,
                called="good",
                cold=True,
                marks=("powder on the tail",),
                speed_fps=150.0,
                speed_error_percent=1.0,
            ),
        ),
        positions_from="fletched group",
        brace_height_in=6.5,
        nocking_height_in=0.4,
        temperature_f=50.0,
        wind_left_fps=-3.0,
        change=Change(what="point", text="150 gr"),
        remarks="drizzle",
        invented=True,
    )
    assert (told.outing, told.outing_version, told.engine, told.seed) == (
        "First evening",
        1,
        "loosewell 0",
        5,
    )
    assert told.answer == {"heading": "an answer", "causes": [["stiff", 0.5]]}
    assert told.learned == {"keys": ["draw"]}
    assert (told.bow_id, told.archer_id) == (bow, archer)
    assert (aside.bow_id, aside.archer_id, aside.last_answer_id) == (bow, None, told.number)
    assert aside.why == "new limbs"


def test_a_file_of_version_5_opens_with_strings_and_what_broke(workshop_path: Path) -> None:
    from_dump(OLD[4], workshop_path)
    with Workshop.open(workshop_path) as workshop:
        kept = workshop.get("string", "nettle ONE").record
    assert kept == BowString(
        name="Nettle one",
        bow="Ash",
        fibre="nettle",
        home_made=True,
        loops="timber hitch",
        strands=12,
        plies=2,
        twists=60,
        strand_strength_lb=20.0,
        samples=(
            BreakSample(of="ply", load_lb=180.0, on="2024-06-01"),  # type: ignore[arg-type]
            BreakSample(of="string", load_lb=240.5, wet=True),
        ),
        strand_length_in=360.0,
        strand_weight_gr=40.0,
        length_in=63.5,
        weight_gr=190.0,
        diameter_in=0.12,
        serving_length_in=6.0,
        serving_thread_in=0.02,
        serving_diameter_in=0.16,
        nock_slot_in=0.165,
        maker_allows_low_stretch=False,
        made_on="2024-05-20",  # type: ignore[arg-type]
        remarks="retted in dew",
        invented=True,
    )


def test_a_second_step_that_stops_half_way_leaves_version_1_whole(workshop_path: Path) -> None:
    from_dump(OLD[0], workshop_path)
    with sqlite3.connect(workshop_path) as raw:
        # The step gives the archers and the shafts their columns and then trips over this.
        raw.execute("ALTER TABLE arrow ADD COLUMN stiff_side_deg FLOAT")
    raw.close()
    before = counted(workshop_path)
    with pytest.raises(FileRefusal, match="stiff_side_deg"):
        Workshop.open(workshop_path)
    assert counted(workshop_path) == before
    with sqlite3.connect(workshop_path) as raw:
        assert raw.execute("PRAGMA user_version").fetchone() == (1,)
        columns = {row[1] for row in raw.execute("PRAGMA table_info(shaft)")}
    raw.close()
    assert "joints" not in columns


def test_a_file_of_version_6_opens_with_a_class_and_its_plan(workshop_path: Path) -> None:
    from_dump(OLD[5], workshop_path)
    with Workshop.open(workshop_path) as workshop:
        kept = workshop.get("class", "saturday").record
    assert kept == ClassRoster(
        name="Saturday",
        on="2024-06-08",  # type: ignore[arg-type]
        people=(
            Pupil(
                name="A.B.",
                hand="left",
                draw_length_in=24.0,
                draw_measured="true",
                draw_method="marked arrow",
                draw_date="2024-05-20",  # type: ignore[arg-type]
                child=True,
                experience="beginner",
                strength_lb=22.0,
            ),
        ),
        bows=("Ash",),
        arrows=kept.arrows,  # type: ignore[union-attr]
        arrows_each=3,
        turns=2,
        loss_percent=8.0,
        rules=(
            RangeRule(
                what="side",
                text="side zone widens",
                source="club handbook",
                on="2024-03-01",  # type: ignore[arg-type]
                figure_yd=20.0,
                at_yd=100.0,
            ),
        ),
        held=(Holding(person="A.B.", bow="Ash", turn=1),),
        invented=True,
    )
    assert len(kept.arrows) == 1  # type: ignore[union-attr]


def test_an_older_file_is_copied_before_it_is_carried_forward(workshop_path: Path) -> None:
    # Version 0: the mark of a workshop, and nothing in it yet.
    with sqlite3.connect(workshop_path) as raw:
        raw.execute(f"PRAGMA application_id = {tables.APPLICATION_ID}")
        raw.execute("CREATE TABLE keepsake (words TEXT)")
        raw.execute("INSERT INTO keepsake VALUES ('still here')")
    raw.close()
    with Workshop.open(workshop_path) as workshop:
        workshop.add(Bow(name="Ash", hand="right"))
    copy = workshop_path.with_name(workshop_path.name + ".version-0")
    for place in (copy, workshop_path):
        with sqlite3.connect(place) as raw:
            assert raw.execute("SELECT words FROM keepsake").fetchall() == [("still here",)]
        raw.close()


def test_a_migration_that_stops_half_way_leaves_the_file_as_it_was(
    workshop_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with sqlite3.connect(workshop_path) as raw:
        raw.execute(f"PRAGMA application_id = {tables.APPLICATION_ID}")
        # The step makes the bows first and then trips over this.
        raw.execute("CREATE TABLE shaft (name TEXT)")
    raw.close()
    before = workshop_path.read_bytes()
    with pytest.raises(FileRefusal, match="shaft"):
        Workshop.open(workshop_path)
    with sqlite3.connect(workshop_path) as raw:
        made = raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
    raw.close()
    assert made == [("shaft",)]
    assert workshop_path.read_bytes() == before
