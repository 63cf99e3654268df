"""Keeping: what went in comes out, changes add up, nothing is ever lost."""

from __future__ import annotations

import datetime
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

import made_up_records
from loosewell.errors import (
    BoundRefusal,
    ContradictionRefusal,
    MissingRefusal,
    NotFoundRefusal,
    Refusal,
)
from loosewell.records import (
    Archer,
    Arrow,
    ArrowSet,
    BenchReading,
    Bow,
    DrawReading,
    Inspection,
    Jig,
    SetMember,
    Shaft,
    Tap,
    Weighing,
)
from loosewell.workshop.keep import Kind, Workshop, default_path

NOON = datetime.datetime(2024, 12, 31, 12, tzinfo=datetime.UTC)


def noon() -> datetime.datetime:
    return NOON


def ash(**fields: Any) -> Bow:
    return Bow(**{"name": "Ash", "hand": "right", "brace_height_in": 7.0, **fields})


@pytest.mark.parametrize(
    "kind", ["bow", "archer", "shaft", "arrow", "jig", "set", "outing", "string"]
)
@given(data=st.data())
def test_a_record_on_disk_and_back_is_the_same(kind: Kind, data: st.DataObject) -> None:
    record = data.draw(made_up_records.BY_KIND[kind])
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "workshop.sqlite"
        with Workshop.open(path, now=noon) as workshop:
            if kind in ("arrow", "set"):
                workshop.add(Shaft(name="the shaft"))
            if kind == "outing":
                workshop.add(Bow(name="the bow", hand="right"))
                workshop.add(Archer(name="the archer", hand="right"))
            assert workshop.add(record).record == record
        with Workshop.open(path, now=noon) as workshop:
            kept = workshop.get(kind, record.name)
            assert kept.record == record
            assert type(kept.record) is type(record)
            assert (kept.version, kept.retired, kept.changed_at) == (1, False, NOON)
            assert workshop.list(kind) == [kept]
            (first,) = workshop.history(kind, record.name)
            assert (first.version, first.at, first.what) == (1, NOON, "added")
            assert first.record == record


def test_history_keeps_every_earlier_state(workshop_path: Path) -> None:
    with Workshop.open(workshop_path) as workshop:
        workshop.add(ash())
        workshop.change("bow", "Ash", length_in=66.0, make="backed")
        workshop.change("bow", "Ash", brace_height_in=None)
        workshop.retire("bow", "Ash", "cracked  at the\nnock")
        workshop.restore("bow", "Ash")
        versions = workshop.history("bow", "ash")
    assert [one.version for one in versions] == [1, 2, 3, 4, 5]
    assert [one.what for one in versions] == [
        "added",
        "changed make, length_in",
        "changed brace_height_in",
        "retired: cracked at the nock",
        "restored",
    ]
    assert versions[0].record == ash()
    assert versions[1].record == ash(length_in=66.0, make="backed")
    assert versions[4].record == ash(length_in=66.0, make="backed", brace_height_in=None)


def test_a_change_to_the_same_is_no_new_version(workshop_path: Path) -> None:
    with Workshop.open(workshop_path) as workshop:
        first = workshop.add(ash())
        assert workshop.change("bow", "Ash", brace_height_in=7.0) == first
        assert len(workshop.history("bow", "Ash")) == 1


def test_retired_and_restored(workshop_path: Path) -> None:
    with Workshop.open(workshop_path) as workshop:
        workshop.add(ash())
        assert workshop.retire("bow", "Ash", "sold").retired
        assert workshop.list("bow") == []
        (gone,) = workshop.list("bow", retired=True)
        assert gone.record == ash()
        assert workshop.get("bow", "Ash").retired
        with pytest.raises(ContradictionRefusal, match="Restore it first"):
            workshop.change("bow", "Ash", length_in=66.0)
        with pytest.raises(ContradictionRefusal, match="already retired"):
            workshop.retire("bow", "Ash", "again")
        with pytest.raises(ContradictionRefusal, match="A retired bow is called Ash"):
            workshop.add(ash())
        assert not workshop.restore("bow", "Ash").retired
        assert workshop.list("bow", retired=True) == []
        with pytest.raises(ContradictionRefusal, match="needs no restoring"):
            workshop.restore("bow", "Ash")
        with pytest.raises(BoundRefusal, match="--why"):
            workshop.retire("bow", "Ash", "  ")


def test_a_refused_change_leaves_everything_as_it_was(workshop_path: Path) -> None:
    with Workshop.open(workshop_path) as workshop:
        before = workshop.add(
            ash(draw_measured="true", draw_readings=(DrawReading(draw_in=26, weight_lb=50),))
        )
        for fields in (
            {"brace_height_in": 18.0},
            {"brace_height_in": "7 in"},
            {"hand": None},
            {"name": ""},
            {"colour": "red"},
            {"draw_readings": ({"draw_in": 26, "weight_lb": 50}, {"draw_in": 26, "weight_lb": 60})},
            {"drawn_to_limit_in": 20.0},
        ):
            with pytest.raises(Refusal):
                workshop.change("bow", "Ash", **fields)
        assert workshop.get("bow", "Ash") == before
        assert len(workshop.history("bow", "Ash")) == 1


def test_a_change_made_from_an_older_state_is_refused(workshop_path: Path) -> None:
    with Workshop.open(workshop_path) as one, Workshop.open(workshop_path) as other:
        seen = one.add(ash())
        other.change("bow", "Ash", length_in=66.0)
        with pytest.raises(ContradictionRefusal) as told:
            one.change("bow", "Ash", if_version=seen.version, length_in=68.0)
        assert told.value.code == "changed-meanwhile"
        assert one.change("bow", "Ash", if_version=2, length_in=68.0).version == 3


def test_names_are_one_whatever_their_capitals(workshop_path: Path) -> None:
    with Workshop.open(workshop_path) as workshop:
        workshop.add(ash(name="Élm  bow"))
        assert workshop.get("bow", "E\u0301LM BOW").record.name == "Élm bow"
        with pytest.raises(ContradictionRefusal) as told:
            workshop.add(ash(name="élm bow"))
        assert told.value.code == "name-taken"
        # One name may stand for one thing of each kind.
        workshop.add(Shaft(name="Élm bow"))
        assert workshop.change("bow", "élm bow", name="ÉLM BOW").record.name == "ÉLM BOW"
        workshop.add(ash())
        with pytest.raises(ContradictionRefusal):
            workshop.change("bow", "Ash", name="élm bow")


def test_a_missing_record_is_told_with_the_nearest_names(workshop_path: Path) -> None:
    with Workshop.open(workshop_path) as workshop:
        workshop.add(ash(name="Ash longbow"))
        with pytest.raises(NotFoundRefusal, match="Did you mean Ash longbow"):
            workshop.get("bow", "ash longbo")
        for method in (workshop.get, workshop.history, workshop.restore):
            with pytest.raises(NotFoundRefusal, match="no archer called 'Wren'"):
                method("archer", "Wren")


def test_numbered_names_are_listed_as_people_count(workshop_path: Path) -> None:
    with Workshop.open(workshop_path) as workshop:
        workshop.add_all([Shaft(name=name) for name in ("S10", "S9", "s1", "A2")])
        assert [one.record.name for one in workshop.list("shaft")] == ["A2", "s1", "S9", "S10"]


def test_all_of_a_batch_or_none(workshop_path: Path) -> None:
    with Workshop.open(workshop_path) as workshop:
        with pytest.raises(ContradictionRefusal):
            workshop.add_all([Shaft(name="1"), Shaft(name="2"), Shaft(name="1")])
        assert workshop.list("shaft") == []


def test_an_arrow_needs_its_shaft_and_fits_it(workshop_path: Path) -> None:
    with Workshop.open(workshop_path) as workshop:
        with pytest.raises(NotFoundRefusal, match="no shaft called 'S1'"):
            workshop.add(Arrow(name="a", shaft="S1"))
        workshop.add(Shaft(name="S1", length_in=30.0))
        with pytest.raises(ContradictionRefusal) as told:
            workshop.add(Arrow(name="a", shaft="S1", length_in=31.5))
        assert told.value.code == "arrow-longer-than-shaft"
        kept = workshop.add(Arrow(name="a", shaft="s1", length_in=29.0))
        assert kept.record.shaft == "S1"  # type: ignore[union-attr]
        with pytest.raises(ContradictionRefusal, match="change the arrow's length first"):
            workshop.change("shaft", "S1", length_in=27.0)
        with pytest.raises(ContradictionRefusal):
            workshop.change("shaft", "S1", name="S2", length_in=27.0)
        workshop.change("arrow", "a", length_in=26.0)
        assert workshop.change("shaft", "S1", length_in=27.0).version == 2


def test_a_renamed_shaft_keeps_its_arrows_and_their_history(workshop_path: Path) -> None:
    with Workshop.open(workshop_path) as workshop:
        workshop.add_all([Shaft(name="S1"), Arrow(name="a", shaft="S1"), Shaft(name="S2")])
        workshop.add(Arrow(name="b", shaft="S2"))
        workshop.change("shaft", "S1", name="Oak 1")
        assert workshop.get("arrow", "a").record.shaft == "Oak 1"  # type: ignore[union-attr]
        assert workshop.get("arrow", "b").version == 1
        first, second = workshop.history("arrow", "a")
        assert first.record.shaft == "S1"  # type: ignore[union-attr]
        assert second.what == "changed shaft (shaft S1 is now called Oak 1)"
        with pytest.raises(NotFoundRefusal):
            workshop.get("shaft", "S1")


def test_what_a_set_names_must_be_there_and_is_written_as_it_is_called(
    workshop_path: Path,
) -> None:
    with Workshop.open(workshop_path) as workshop:
        workshop.add_all([Shaft(name="S1"), Shaft(name="S2"), ash()])
        for fields, missing in (
            ({"members": ({"shaft": "S1"}, {"shaft": "S3"})}, "no shaft called 'S3'"),
            ({"bow": "Yew"}, "no bow called 'Yew'"),
            ({"archer": "Wren"}, "no archer called 'Wren'"),
        ):
            with pytest.raises(NotFoundRefusal, match=missing):
                workshop.add(ArrowSet(name="Camp", **fields))  # type: ignore[arg-type]
        assert workshop.list("set") == []
        kept = workshop.add(
            ArrowSet(name="Camp", bow="ASH", members=(SetMember(shaft="s1"), SetMember(shaft="s2")))
        )
        assert isinstance(kept.record, ArrowSet)
        assert kept.record.bow == "Ash"
        assert [one.shaft for one in kept.record.members] == ["S1", "S2"]
        with pytest.raises(ContradictionRefusal, match="given twice"):
            workshop.change("set", "Camp", members=[{"shaft": "S1"}, {"shaft": "s1"}])
        with pytest.raises(NotFoundRefusal):
            workshop.change("set", "Camp", members=[{"shaft": "S4"}])
        assert workshop.get("set", "camp") == kept


def test_a_set_follows_the_names_of_its_shafts_and_of_its_bow(workshop_path: Path) -> None:
    with Workshop.open(workshop_path) as workshop:
        workshop.add_all([Shaft(name="S1"), Shaft(name="S2"), ash()])
        workshop.add(ArrowSet(name="Other", members=(SetMember(shaft="S2"),)))
        workshop.add(
            ArrowSet(
                name="Camp",
                bow="Ash",
                members=(SetMember(shaft="S2"), SetMember(shaft="S1", nock_angle_deg=90.0)),
            )
        )
        workshop.change("shaft", "S1", name="Oak 1")
        workshop.change("bow", "Ash", name="Old Ash")
        kept = workshop.get("set", "Camp")
        assert isinstance(kept.record, ArrowSet)
        assert kept.record.bow == "Old Ash"
        assert kept.record.members == (
            SetMember(shaft="S2"),
            SetMember(shaft="Oak 1", nock_angle_deg=90.0),
        )
        assert [one.what for one in workshop.history("set", "Camp")] == [
            "added",
            "changed members (shaft S1 is now called Oak 1)",
            "changed bow (bow Ash is now called Old Ash)",
        ]
        assert workshop.get("set", "Other").version == 1


@pytest.mark.parametrize(
    "record",
    [
        Archer(name="Wren", hand="left", draw_date=datetime.date(2025, 1, 2)),
        Shaft(name="1", inspection=Inspection(result="passed", on=datetime.date(2030, 1, 1))),
        Shaft(name="1", weighings=(Weighing(on=datetime.date(2030, 1, 1), weight_gr=380.0),)),
        Shaft(
            name="1",
            bench_readings=(
                BenchReading(
                    span_in=26.0, load_lb=2.0, deflection_in=0.5, on=datetime.date(2030, 1, 1)
                ),
            ),
        ),
        Shaft(
            name="1",
            taps=(
                Tap(
                    frequencies_hz=(60.0,),
                    length_in=32.0,
                    weight_gr=380.0,
                    on=datetime.date(2030, 1, 1),
                ),
            ),
        ),
        Jig(name="nails", stiffness_factor=1.0, checked_on=datetime.date(2030, 1, 1)),
        ArrowSet(name="Camp", made_on=datetime.date(2030, 1, 1)),
    ],
)
def test_a_day_in_the_future_is_refused(workshop_path: Path, record: Any) -> None:
    with Workshop.open(workshop_path, now=noon) as workshop:
        with pytest.raises(BoundRefusal) as told:
            workshop.add(record)
        assert told.value.code == "date-in-future"
        assert "today is 20" in told.value.message
    later = datetime.datetime(2031, 1, 1, tzinfo=datetime.UTC)
    with Workshop.open(workshop_path, now=lambda: later) as workshop:
        assert workshop.add(record).version == 1


def test_a_clock_set_back_hides_nothing(workshop_path: Path) -> None:
    with Workshop.open(workshop_path, now=noon) as workshop:
        workshop.add(Archer(name="Wren", hand="left", draw_date=datetime.date(2024, 5, 5)))
    early = datetime.datetime(1970, 1, 1, tzinfo=datetime.UTC)
    with Workshop.open(workshop_path, now=lambda: early) as workshop:
        assert workshop.get("archer", "Wren").record.hand == "left"  # type: ignore[union-attr]


def test_without_a_file_named_it_lies_in_the_persons_data_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    with Workshop.open() as workshop:
        assert workshop.path == default_path()
        workshop.add(ash())
    assert default_path().is_file()


def test_hand_stays_asked_when_it_is_forgotten(workshop_path: Path) -> None:
    with Workshop.open(workshop_path) as workshop:
        workshop.add(ash())
        with pytest.raises(MissingRefusal, match="--hand"):
            workshop.change("bow", "Ash", hand=None)


class Keeping(RuleBasedStateMachine):
    """Any order of adding, changing, retiring and restoring against a plain dictionary."""

    shaft_names = st.sampled_from(["S1", "S2", "s2", "S3"])

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "workshop.sqlite"
        self.states: dict[str, list[Shaft]] = {}
        self.retired: set[str] = set()
        Workshop.open(self.path).close()

    def teardown(self) -> None:
        self.folder.cleanup()

    @rule(name=shaft_names, length=st.none() | st.floats(10, 40))
    def add(self, name: str, length: float | None) -> None:
        shaft = Shaft(name=name, length_in=length)
        with Workshop.open(self.path) as workshop:
            if name.upper() in self.states:
                with pytest.raises(ContradictionRefusal):
                    workshop.add(shaft)
            else:
                workshop.add(shaft)
                self.states[name.upper()] = [shaft]

    @rule(name=shaft_names, length=st.none() | st.floats(10, 40))
    def change(self, name: str, length: float | None) -> None:
        key = name.upper()
        with Workshop.open(self.path) as workshop:
            if key not in self.states:
                with pytest.raises(NotFoundRefusal):
                    workshop.change("shaft", name, length_in=length)
            elif key in self.retired:
                with pytest.raises(ContradictionRefusal):
                    workshop.change("shaft", name, length_in=length)
            else:
                after = workshop.change("shaft", name, length_in=length).record
                assert isinstance(after, Shaft)
                if after != self.states[key][-1]:
                    self.states[key].append(after)

    @rule(name=shaft_names)
    def retire_or_restore(self, name: str) -> None:
        key = name.upper()
        if key not in self.states:
            return
        with Workshop.open(self.path) as workshop:
            if key in self.retired:
                workshop.restore("shaft", name)
            else:
                workshop.retire("shaft", name, "a reason")
        self.retired ^= {key}
        self.states[key].append(self.states[key][-1])

    @invariant()
    def the_file_tells_the_same(self) -> None:
        with Workshop.open(self.path) as workshop:
            for key, states in self.states.items():
                assert [one.record for one in workshop.history("shaft", key)] == states
                assert workshop.get("shaft", key).retired == (key in self.retired)
            in_use = {one.record.name.upper() for one in workshop.list("shaft")}
        assert in_use == set(self.states) - self.retired


TestAnyOrder = Keeping.TestCase
TestAnyOrder.settings = settings(max_examples=12, stateful_step_count=20)
