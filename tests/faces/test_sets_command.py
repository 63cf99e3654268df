"""`loosewell sets` as a person types it, on the invented camp."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from loosewell.faces.cli.app import app
from loosewell.faces.drawing import sets as drawing
from loosewell.workshop import demo
from loosewell.workshop.answer import Band
from loosewell.workshop.sets import ChosenSet, Leftover, Member, SetsAnswer, Spread

RUN = CliRunner()


def run(*words: str) -> Result:
    return RUN.invoke(app, [str(word) for word in words])


def told(*words: str) -> str:
    result = run(*words)
    assert result.exit_code == 0, result.output
    return result.stdout


def refused(*words: str) -> str:
    result = run(*words)
    assert result.exit_code == 2, result.output
    assert "Traceback" not in result.output
    return result.stderr


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("sets")
    demo.build(made / "camp.sqlite")
    return made


@pytest.fixture(scope="module")
def camp(folder: Path) -> str:
    return str(folder / "camp.sqlite")


@pytest.fixture(scope="module")
def printed(folder: Path, camp: str) -> str:
    """Kept, written and drawn in one go; what was kept is found by the tests after it."""
    return told(
        *("sets", "--for", "Yew, Wren", "--for", "Rowan, Corin", "--size", "4"),
        *("--save", "Spring", "--csv", str(folder / "sets.csv")),
        *("--picture", str(folder / "sets.svg"), "--workshop", camp),
    )


def test_the_answer_tells_sets_spreads_moves_and_the_rest(printed: str) -> None:
    words = " ".join(printed.split())
    assert words.index("STOP. Do not shoot shaft P3") < words.index("Set Spring-1")
    assert "Set Spring-1: Yew with Wren" in words
    assert "Set Spring-2: Rowan with Corin" in words
    assert re.search(r"Spread: \d+\.\d lb \(26 in span, 2 lb\), \d+ gr; at the target", words)
    assert re.search(r"2 lb stiffer moves the hit \d+\.\d in (left|right)", words)
    assert "10 gr heavier" in words
    assert "Firewood: P3." in words
    assert "Look it over: " in words
    assert "the smallest total spread" in words
    assert "This is the least total there is" in words
    assert not re.search(r"\b(safe|legal|enough)\b", words)


def test_no_line_is_wider_than_the_screen(printed: str) -> None:
    assert max(map(len, printed.splitlines())) <= 80


def test_kept_sets_are_records_with_their_shafts(printed: str, camp: str) -> None:
    kept = json.loads(told("set", "list", "--json", "--workshop", camp))
    text = json.dumps(kept)
    assert "Spring-1" in text
    assert "Spring-2" in text
    shown = told("set", "show", "Spring-1", "--workshop", camp)
    first = re.findall(r"^(\w+) +\d+\.\d ± ", printed, re.MULTILINE)[:4]
    assert len(first) == 4
    assert all(re.search(rf"\b{name}\b", shown) for name in first)


def test_a_second_asking_leaves_kept_shafts_alone(printed: str, camp: str) -> None:
    first = set(re.findall(r"^(\w+) +\d+\.\d ± ", printed, re.MULTILINE))
    assert len(first) == 8
    again = json.loads(
        told("sets", "--for", "Yew, Wren", "--size", "4", "--json", "--workshop", camp)
    )
    inside = {m["shaft"] for one in again["sets"] for m in one["members"]}
    assert not inside & first
    assert again["sets"][0]["code"] == "YEW-1"
    left = {one["shaft"]: one["use"] for one in again["leftovers"]}
    assert {left[name] for name in first} == {"in a set"}
    assert again["proven"]


def test_the_table_names_units_and_every_shaft(printed: str, folder: Path) -> None:
    with (folder / "sets.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert "spine 26 in span 2 lb (lb)" in rows[0]
    assert [row["set"] for row in rows[:8]] == ["Spring-1"] * 4 + ["Spring-2"] * 4
    assert len({row["shaft"] for row in rows}) == len(rows) > 40
    assert any(row["use"].startswith("firewood") for row in rows)


def test_the_picture_stays_on_its_sheet(printed: str, folder: Path) -> None:
    svg = (folder / "sets.svg").read_text(encoding="utf-8")
    assert svg.startswith("<svg")
    assert "Spring-1, Yew" in svg
    assert "26 in span, 2 lb" in svg


def answer_of(sets: int) -> SetsAnswer:
    """An answer with many sets, its numbers of no matter."""
    band = Band(1.0, 0.5, 1.5)
    spread = Spread(1, 1, 1, 1, 1, 1, band, band, band, band, 1, 1)

    def member(name: str, spine: float) -> Member:
        return Member(name, spine, 1.0, 0.5, 0.7, 450.0, 0, 0, 0.2, 0, 80.0, None, "mark")

    chosen = [
        ChosenSet(
            f"A-LONG-CODE-{k}", f"A bow with a long name {k}", "Fern", "target", 28.0, 125.0,
            tuple(member(f"S{k}-{n}", 40.0 + k + 0.3 * n) for n in range(4)), spread, (),
        )
        for k in range(sets)
    ]  # fmt: skip
    left = [Leftover("far", "other bow", "", 90.0, 600.0), Leftover("no", "firewood", "", 42, 401)]
    return SetsAnswer(
        [], [], chosen, [], left, [], "", 1.0, 1.0, True, 0.0, "", 4, 1, 1.0, False
    )  # fmt: skip


@pytest.mark.parametrize("count", [1, 5, 12])
def test_many_sets_keep_their_words_on_the_sheet(count: int) -> None:
    answer = answer_of(count)
    weights = {m.shaft: 400.0 + k for one in answer.sets for k, m in enumerate(one.members)}
    sheet = drawing.sets_chart(answer, weights)
    assert sheet.overflowing() == []
    assert "1 leftover lies outside" in sheet.svg()
    # A set is known by its mark and its code, not by its colour: no two share mark and filling.
    marks = re.findall(r"A-LONG-CODE-\d+, ", sheet.svg())
    assert len(marks) == count


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ([], "No bow was named"),
        (["--for", "Yew"], 'such as --for "Alder, Fern"'),
        (["--for", "Yow, Wren"], "no bow called 'Yow'"),
        (["--for", "Yew, Nobody"], "no archer called 'Nobody'"),
        (["--for", "Yew, Wren, croquet"], "Purpose 'croquet' is not known"),
        (["--for", "Yew, Wren", "--for", "yew, wren"], "named twice"),
        (["--for", "Yew, Wren", "--size", "36", "--per-bow", "2"], "No set of 36 can be made"),
        (["--for", "Yew, Wren", "--size", "1"], "2 to 36 arrows"),
        (["--for", "Yew, Wren", "--point", "125"], "without a unit"),
        (["--for", "Yew, Wren", "--distance", "20 lb"], "a distance with its unit"),
        (["--for", "Yew, Wren", "--time-limit", "0"], "0.5 to 3600 s"),
    ],
)
def test_bad_input_gets_one_sentence(camp: str, words: list[str], says: str) -> None:
    assert says in " ".join(refused("sets", *words, "--workshop", camp).split())


def test_an_empty_rack_and_a_file_that_is_there_are_refused(tmp_path: Path, camp: str) -> None:
    bare = str(tmp_path / "bare.sqlite")
    told("bow", "add", "Alder", "--hand", "right", "--workshop", bare)
    told("archer", "add", "Fern", "--hand", "right", "--workshop", bare)
    assert "no shaft on the rack" in refused("sets", "--for", "Alder, Fern", "--workshop", bare)
    there = tmp_path / "there.svg"
    there.write_text("mine", encoding="utf-8")
    words = ("sets", "--for", "Yew, Wren", "--picture", str(there), "--workshop", camp)
    assert "not written over" in refused(*words)
    assert there.read_text(encoding="utf-8") == "mine"


def test_a_name_with_a_comma_is_found(tmp_path: Path) -> None:
    path = str(tmp_path / "comma.sqlite")
    told("bow", "add", "Elm, the short one", "--hand", "right", "--workshop", path)
    told("archer", "add", "Fern", "--hand", "right", "--workshop", path)
    said = refused("sets", "--for", "Elm, the short one, Fern", "--workshop", path)
    assert "no shaft on the rack" in said
