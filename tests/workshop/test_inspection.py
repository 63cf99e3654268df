"""Fit to shoot: the list for each kind of shaft, results that follow, nothing forgotten.

What belongs on the lists is common practice, no source; these tests hold the program to the lists
it prints, and to its promise that no pass comes from an incomplete one.
"""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import pytest

from loosewell.errors import ContradictionRefusal, MissingRefusal, Refusal
from loosewell.records import Arrow, Fletching, Inspection, Joint, Section, Shaft
from loosewell.workshop import inspection
from loosewell.workshop.keep import Workshop

DAY = datetime.date(2026, 5, 1)
LATER = datetime.date(2026, 6, 1)


def must(shaft: Shaft, arrow: Arrow | None = None) -> list[str]:
    return [one.what for one in inspection.checklist(shaft, arrow)]


def fine(*what: str, **other: Any) -> dict[str, tuple[str, str | None]]:
    found: dict[str, tuple[str, str | None]] = dict.fromkeys(what, ("fine", None))
    return {**found, **{one.replace("_", "-"): told for one, told in other.items()}}


def look(shaft: Shaft, found: dict[str, Any], on: datetime.date = DAY, **more: Any) -> Inspection:
    return inspection.inspected(shaft, None, found, by="Hale", on=on, **more)


SOLID = Shaft(name="S1", kind="solid")
WHOLE = fine("run-out", "straightness", "knots", "cracks", "dents")


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        ("solid", ["run-out", "straightness", "knots", "cracks", "dents"]),
        ("joined", ["run-out", "straightness", "knots", "cracks", "dents"]),
        (None, ["run-out", "straightness", "knots", "cracks", "dents"]),
        ("shoot", ["straightness", "knots", "cracks", "dents"]),
        ("cane", ["straightness", "knots", "cracks", "dents"]),
        ("tube", ["straightness", "cracks", "dents"]),
    ],
)
def test_each_kind_of_shaft_has_its_own_list(kind: Any, expected: list[str]) -> None:
    assert must(Shaft(name="1", kind=kind)) == expected


def test_what_is_built_on_a_shaft_is_looked_at_too() -> None:
    bare = must(SOLID)
    plastic = Arrow(name="a", shaft="S1", nock_kind="plastic")
    assert must(SOLID, plastic) == [*bare, "nock", "point", "fletching"]
    for nock in ("self", "reinforced self"):
        cut = Arrow(name="a", shaft="S1", nock_kind=nock)  # type: ignore[arg-type]
        assert must(SOLID, cut) == [*bare, "nock", "point", "fletching", "binding"]
    unfletched = plastic.model_copy(update={"fletching": Fletching(material="none")})
    assert must(SOLID, unfletched) == [*bare, "nock", "point"]
    jointed = SOLID.model_copy(update={"joints": (Joint(station_in=10.0),)})
    footed = SOLID.model_copy(update={"sections": (Section(from_in=20.0, to_in=28.0),)})
    assert must(jointed) == must(footed) == [*bare, "joint"]


def test_every_check_says_what_to_look_for_and_how_and_bending_is_done_guarded() -> None:
    arrow = Arrow(name="a", shaft="1", nock_kind="self")
    for kind in ("solid", "tube", "cane", "shoot", "joined", None):
        shaft = Shaft(name="1", kind=kind, joints=(Joint(station_in=10.0),))  # type: ignore[arg-type]
        looks = inspection.checklist(shaft, arrow)
        assert set(must(shaft, arrow)) <= set(inspection.WHAT)
        for one in looks:
            assert len(one.look_for) > 15
            assert len(one.how) > 15
        bend = next(one.how for one in looks if one.what == "cracks")
        for words in ("gloves", "away from the face", "eyes protected"):
            assert words in bend
    runout = next(one for one in inspection.checklist(SOLID) if one.what == "run-out")
    assert "fingernail" in runout.how
    assert "by eye" in runout.how


def test_all_fine_passes_and_any_fault_fails() -> None:
    seen = look(SOLID, WHOLE)
    assert (seen.result, seen.by, seen.on) == ("passed", "Hale", DAY)
    assert [one.what for one in seen.checks] == must(SOLID)
    bad = look(SOLID, {**WHOLE, "knots": ("fault", "pin at 20 in")})
    assert bad.result == "failed"
    assert bad.checks[2].note == "pin at 20 in"
    # Found cracked at the first look: nobody is made to go on before it can be written down.
    assert look(SOLID, {"cracks": ("fault", None)}).result == "failed"


def test_an_incomplete_list_never_passes() -> None:
    for left in must(SOLID):
        found = {what: told for what, told in WHOLE.items() if what != left}
        with pytest.raises(MissingRefusal) as told:
            look(SOLID, found)
        assert told.value.code == "checks-missing"
        assert f"found in: {left}." in told.value.message
        assert f"--{left} fine" in told.value.message
        seen = look(SOLID, {**found, left: ("not looked at", None)})
        assert seen.result == "incomplete"
    with pytest.raises(MissingRefusal) as told:
        look(SOLID, {})
    assert all(what in told.value.message for what in must(SOLID))


def test_a_failed_shaft_passes_again_only_with_a_word_on_what_was_done() -> None:
    failed = SOLID.model_copy(update={"inspection": look(SOLID, {"nock": ("fault", "split")})})
    with pytest.raises(MissingRefusal) as told:
        look(failed, WHOLE, LATER)
    assert told.value.code == "missing-repair"
    assert "(nock: split)" in told.value.message
    assert look(failed, WHOLE, LATER, note="new nock cut, old one sawn off").result == "passed"
    unfinished = {**WHOLE, "dents": ("not looked at", None)}
    with pytest.raises(MissingRefusal):
        look(failed, unfinished, LATER)
    assert look(failed, {"cracks": ("fault", None)}, LATER).result == "failed"


def test_an_earlier_day_never_hides_what_was_found_later() -> None:
    failed = SOLID.model_copy(
        update={"inspection": look(SOLID, {"cracks": ("fault", None)}, LATER)}
    )
    with pytest.raises(ContradictionRefusal) as told:
        look(failed, WHOLE, DAY, note="mended")
    assert told.value.code == "inspection-earlier"
    assert look(failed, WHOLE, LATER, note="mended").result == "passed"


def test_every_inspection_stays_in_the_record_and_restoring_keeps_a_failed_shaft_failed(
    workshop_path: Path,
) -> None:
    with Workshop.open(workshop_path) as workshop:
        workshop.add(SOLID)
        first = look(SOLID, WHOLE)
        assert inspection.record(workshop, SOLID, first, 1) == 2
        workshop.change("shaft", "S1", kept_where="by the stove")
        shaft = workshop.get("shaft", "S1").record
        assert isinstance(shaft, Shaft)
        second = look(shaft, {"cracks": ("fault", "at the nock")}, LATER)
        with pytest.raises(Refusal):
            inspection.record(workshop, shaft, second, 2)
        assert inspection.record(workshop, shaft, second, 3) == 4
        workshop.retire("shaft", "S1", "cracked")
        workshop.restore("shaft", "S1")
        kept = workshop.get("shaft", "S1").record
        assert isinstance(kept, Shaft)
        assert kept.inspection == second
        past = inspection.past(workshop.history("shaft", "S1"))
    assert [one.inspection for one in past] == [first, second]
    assert [one.version for one in past] == [2, 4]


def test_the_due_list_names_each_shaft_once_with_its_reason() -> None:
    passed = look(SOLID, WHOLE)
    told = Inspection(result="passed", on=DAY)
    shafts = [
        SOLID.model_copy(update={"name": "never"}),
        SOLID.model_copy(update={"name": "sound", "inspection": passed}),
        SOLID.model_copy(update={"name": "told sound", "inspection": told}),
        SOLID.model_copy(
            update={"name": "bad", "inspection": look(SOLID, {"dents": ("fault", "flat")})}
        ),
        SOLID.model_copy(
            update={
                "name": "begun",
                "inspection": look(SOLID, {**WHOLE, "knots": ("not looked at", None)}),
            }
        ),
        SOLID.model_copy(update={"name": "built", "inspection": passed}),
    ]
    arrows = [Arrow(name="a", shaft="built", nock_kind="self")]
    found = inspection.due(shafts, arrows, DAY + datetime.timedelta(days=180), 180.0)
    assert [(one.shaft, one.state) for one in found] == [
        ("bad", "failed"),
        ("never", "never inspected"),
        ("begun", "not finished"),
        ("built", "built on since"),
    ]
    assert "dents: flat" in found[0].why
    assert "knots" in found[2].why
    assert found[3].why.endswith("nock, point, fletching, binding")
    assert found[3].arrow == "a"
    # One day more and a season is over.
    later = inspection.due(shafts, arrows, DAY + datetime.timedelta(days=181), 180.0)
    assert [one.shaft for one in later if one.state == "due again"] == ["sound", "told sound"]
    assert len(later) == len(shafts)
    few = inspection.due(shafts, arrows, DAY + datetime.timedelta(days=181), 365.0)
    assert [one.shaft for one in few] == [one.shaft for one in found]
