"""The command inspect: a list to hold in the hand, a record with day and person, who is due."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from loosewell.faces.cli.app import app
from loosewell.records import Arrow, Joint, Shaft
from loosewell.workshop.keep import Workshop

runner = CliRunner()
FINE = [
    *("--run-out", "fine", "--straightness", "fine", "--knots", "fine"),
    *("--cracks", "fine", "--dents", "fine"),
]
WHO = ["--by", "Hale", "--on", "2024-05-05"]


@pytest.fixture
def rack(workshop_path: Path) -> Path:
    with Workshop.open(workshop_path) as workshop:
        workshop.add_all(
            [
                Shaft(name="S1", kind="solid"),
                Shaft(name="T1", kind="tube"),
                Shaft(name="J1", kind="solid", joints=(Joint(station_in=10.0),)),
                Arrow(name="Wren 1", shaft="T1", nock_kind="plastic"),
            ]
        )
    return workshop_path


def run(path: Path, *words: str) -> Result:
    return runner.invoke(app, ["inspect", f"--workshop={path}", *words])


def did(path: Path, *words: str) -> str:
    told = run(path, *words)
    assert told.exit_code == 0, told.stderr
    assert told.stderr == ""
    return told.stdout


def refused(path: Path, *words: str) -> str:
    with Workshop.open(path) as workshop:
        before = [workshop.history("shaft", name) for name in ("S1", "T1", "J1")]
    told = run(path, *words)
    assert told.exit_code == 2, told.stdout
    assert told.stdout == ""
    assert told.stderr.strip().endswith(".")
    with Workshop.open(path) as workshop:
        assert [workshop.history("shaft", name) for name in ("S1", "T1", "J1")] == before
    return told.stderr


def test_the_checklist_is_that_of_this_shaft(rack: Path) -> None:
    solid, tube, jointed = (did(rack, name) for name in ("s1", "wren 1", "J1"))
    assert solid.startswith("Shaft S1 (solid; bare, no arrow is built on it). Look at:\n")
    assert re.search(r"^  run-out  ", solid, re.MULTILINE)
    assert not re.search(r"^  (joint|nock)  ", solid, re.MULTILINE)
    # Asked by the arrow's name, the shaft under it is meant.
    assert tube.startswith("Shaft T1 (tube; arrow Wren 1 is on it). Look at:\n")
    assert re.search(r"^  nock  ", tube, re.MULTILINE)
    assert not re.search(r"^  (run-out|knots|binding)  ", tube, re.MULTILINE)
    assert re.search(r"^  joint  ", jointed, re.MULTILINE)
    for told in (solid, tube, jointed):
        words = " ".join(told.split())
        assert "Nobody has looked it over yet, so no match offers it." in words
        assert "away from the face and with eyes protected" in words
        assert "common practice, no source; no record here makes a shaft sound." in words
        assert not re.search(r"\b(safe|legal|enough)\b", words)
        assert max(map(len, told.splitlines()[:10])) <= 100


def test_the_line_printed_for_recording_is_taken_as_it_stands(rack: Path) -> None:
    line = next(one for one in did(rack, "Wren 1").splitlines() if "loosewell inspect '" in one)
    words = line.replace("YEAR-MONTH-DAY", "2024-05-05").split()
    assert words[:3] == ["loosewell", "inspect", "'T1'"]
    assert "passed (6 of 6 checks fine)" in did(rack, "T1", *words[3:])


def test_an_inspection_is_recorded_by_day_and_person_and_none_is_lost(rack: Path) -> None:
    told = did(rack, "S1", *WHO, *FINE)
    assert told.startswith(
        "Recorded: shaft S1, 2024-05-05, by Hale: passed (5 of 5 checks fine) (version 2).\n"
    )
    told = did(
        rack,
        *("S1", "--by", "Tamsin", "--on", "2024-08-01", "--cracks", "Fault: hairline at 3 in"),
        *("--note", "hit a stone"),
    )
    assert "failed (0 of 1 checks fine)" in told
    assert "Do not shoot it" in told
    shown = did(rack, "S1")
    first, second = shown.index("2024-08-01, by Tamsin: failed"), shown.index("2024-05-05, by Hale")
    assert first < second
    assert "    cracks fault: hairline at 3 in\n    hit a stone\n" in shown
    plain = json.loads(did(rack, "S1", "--json"))
    assert [(one["by"], one["result"]) for one in plain["inspections"]] == [
        ("Hale", "passed"),
        ("Tamsin", "failed"),
    ]
    assert plain["inspection"]["checks"] == [
        {"what": "cracks", "finding": "fault", "note": "hairline at 3 in"}
    ]
    assert plain["checklist"][0]["what"] == "run-out"
    told = json.loads(
        did(rack, "S1", "--by", "Hale", "--on", "2024-08-02", *FINE, "--note", "sawn off", "--json")
    )
    assert (told["inspection"]["result"], told["offered_by_a_match"]) == ("passed", True)


def test_what_was_not_looked_at_is_recorded_and_does_not_pass(rack: Path) -> None:
    told = did(rack, "S1", *WHO, *FINE[:-1], "not looked at: bark still on")
    assert "incomplete (4 of 5 checks fine)" in told
    assert "no match offers it" in told


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["S1", *FINE], "Give who looked (--by NAME) and the day (--on YEAR-MONTH-DAY) too."),
        (["S1", "--by", "Hale", *FINE], "Give the day (--on YEAR-MONTH-DAY) too."),
        (["S1", "--on", "2024-05-05", *FINE], "Give who looked (--by NAME) too."),
        (["S1", *WHO], "run-out, straightness, knots, cracks, dents"),
        (["S1", *WHO, *FINE[2:]], "found in: run-out. Look at it and say --run-out fine"),
        (["J1", *WHO, *FINE], "found in: joint."),
        (["S1", "--by", "Hale", "--on", "Monday", *FINE], "not a day of the calendar"),
        (["S1", "--by", "Hale", "--on", "2199-01-01", *FINE], "in the future"),
        (["S1", "--by", " ", "--on", "2024-05-05", *FINE], "is empty"),
        (["S1", *WHO, *FINE[:-1], "good"], "Say fine, fault or 'not looked at'"),
        (["S9"], "no shaft called 'S9'"),
        ([], "Name the shaft"),
        (["S1", "--due"], "takes neither a name nor a finding"),
        (["--due", "--older-than", "180"], "a time with its unit"),
        (["--due", "--older-than", "0 days"], "from 1 day up"),
    ],
)
def test_what_cannot_be_recorded_is_refused_in_a_sentence(
    rack: Path, words: list[str], told: str
) -> None:
    assert told in refused(rack, *words)


def test_the_due_list_counts_the_days_it_is_told(rack: Path) -> None:
    told = did(rack, "--due")
    assert "Never inspected (3 of 3 shafts)\n" in told
    assert re.search(r"T1 \(arrow Wren 1\) +nobody looked it over", told)
    did(rack, "S1", *WHO, *FINE)
    did(rack, "J1", *WHO, "--joint", "fault: play")
    told = did(rack, "--due", "--older-than", "90 years")
    assert told.startswith("Failed: do not shoot (1 of 3 shafts)\n")
    assert re.search(r"J1 +do not shoot it: failed \(joint: play\)", told)
    assert "S1" not in told
    assert "Due again: older than 14 days (1 of 3 shafts)" in did(
        rack, "--due", "--older-than", "2 weeks"
    )
    plain = json.loads(did(rack, "--due", "--older-than", "2 weeks", "--json"))
    assert plain["older_than_days"] == 14.0
    assert {one["shaft"]: one["state"] for one in plain["due"]} == {
        "J1": "failed",
        "T1": "never inspected",
        "S1": "due again",
    }
    assert "after a season" in did(rack, "--due")


def test_a_retired_shaft_is_not_due_and_is_not_inspected(rack: Path) -> None:
    with Workshop.open(rack) as workshop:
        workshop.retire("shaft", "S1", "lost in the grass")
    assert "S1" not in did(rack, "--due")
    assert "retired" in did(rack, "S1")
    assert "Restore it first" in refused(rack, "S1", *WHO, *FINE)
