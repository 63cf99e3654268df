"""`loosewell match` and `loosewell serve` as a person calls them."""

from __future__ import annotations

import io
import json
import os
import re
import signal
import subprocess
import sys
import urllib.request
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console
from typer.testing import CliRunner

from faces.sample_answer import sample_answer
from loosewell.faces.cli.app import app
from loosewell.faces.cli.match import print_match
from loosewell.workshop import ask
from loosewell.workshop.answer import MatchAnswer, Notice

RUN = CliRunner()


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[ask.Gathered]:
    """The real command with the engine's place taken by a made-up answer."""
    seen: list[ask.Gathered] = []

    def engine(gathered: ask.Gathered, progress: Any = None, engine: Any = None) -> MatchAnswer:
        seen.append(gathered)
        progress("Shooting", 0.5)
        return sample_answer()

    monkeypatch.setattr(ask, "answer", engine)
    return seen


def told(width: int, answer: MatchAnswer | None = None, full: bool = False) -> str:
    page = io.StringIO()
    print_match(
        answer or sample_answer(),
        Console(file=page, width=width, highlight=False, force_terminal=False),
        full,
    )
    return page.getvalue()


def test_the_text_begins_with_the_stops() -> None:
    text = told(80)
    order = [
        "STOP",
        "Do not shoot shaft R05",
        "Warning",
        "Which spine",
        "47 to 59 lb",
        "Narrow it next",
        "Next step",
        "The arrow to build first",
        "Passing the bow",
        "The rack",
        "Rules of thumb side by side",
        "What widens the range",
        "Before you shoot",
    ]
    places = [text.index(part) for part in order]
    assert places == sorted(places)


@pytest.mark.parametrize("full", [False, True])
@pytest.mark.parametrize("width", [72, 80, 100, 140])
def test_nothing_is_cut_in_narrow_terminals(width: int, full: bool) -> None:
    text = told(width, full=full)
    assert max(len(line.rstrip()) for line in text.splitlines()) <= width
    assert "…" not in text
    flat = " ".join(re.sub("[┃┏┓┗┛━│┌┐└┘─]", " ", text).split())
    for row in sample_answer().rack:
        assert row.shaft in flat
    assert "Do not shoot shaft R05: it is marked unfit (crack at the nock)." in flat
    assert "28 1/2 in (724 mm)" in flat


def test_the_short_answer_leaves_statements_and_small_inputs_to_the_full_one() -> None:
    small = replace(sample_answer().inputs[4], share_of_width_percent=0.4)
    answer = replace(sample_answer(), inputs=[*sample_answer().inputs[:4], small])
    short, full = (" ".join(told(100, answer, full).split()) for full in (False, True))
    for rule in answer.rules:
        assert " ".join(rule.name.split()[:3]) in short
        assert rule.zero_point in short
    assert "Two thirds of the draw weight." in full
    assert "Two thirds of the draw weight." not in short
    assert answer.spine_range_definition in full
    assert answer.spine_range_definition not in short
    # What was assumed is named even where it costs little.
    assert "1 more inputs cause under 1 % each; assumed among them: string mass." in short
    assert len(short) < 0.85 * len(full)


def test_a_near_miss_shows_its_chance_before_and_after_in_one_row() -> None:
    answer = sample_answer()
    row = next(r for r in answer.rack if r.change is not None and r.acts == "acts weak")
    assert row.change is not None
    line = next(x for x in told(100).splitlines() if x.startswith(row.shaft))
    assert f"{row.chance_percent:.0f} %" in line
    assert f"then {row.change.chance_after_percent:.0f} %" in line


def test_weather_marks_forgiveness_and_bending_are_told() -> None:
    flat = " ".join(told(100).split())
    for part in (
        "Air 1.20 kg/m³",
        "The range is 12 lb wide",
        "Marks to look for: a rub on the right side of the shaft",
        "Bends no more (1 mm at the nock) after 12 yd (11.0 m)",
        "Still bends 0.21 in (5 mm) at the nock when it strikes",
    ):
        assert part in flat


def test_names_in_brackets_are_printed_and_not_taken_as_style() -> None:
    answer = replace(
        sample_answer(), bow="[bold]Bow[/bold]", stops=[Notice("a", "[red]Stop[/red]")]
    )
    text = told(80, answer)
    assert "[bold]Bow[/bold]" in text
    assert "[red]Stop[/red]" in text


def test_the_command_passes_on_what_was_typed(demo_path: Path, asked: list[ask.Gathered]) -> None:
    result = RUN.invoke(
        app,
        [
            *("match", "--bow", "yew", "--archer", "Wren", "--distance", "30 m"),
            *("--point", "10 g", "--length", "28 1/2 in", "--workshop", str(demo_path)),
            *("--temperature", "60 F", "--altitude", "500 ft", "--wind", "5 mph right"),
        ],
    )
    assert result.exit_code == 0, result.stderr
    question = asked[0].question
    # 30 m is 32.808 yd, 10 g is 154.32 gr: exact definitions of yard and grain.
    assert question.distance_yd == pytest.approx(32.8084, abs=1e-4)
    assert question.point_weight_gr == pytest.approx(154.3236, abs=1e-3)
    assert question.length_in == 28.5
    assert question.temperature_f == pytest.approx(60.0)
    assert question.altitude_ft == pytest.approx(500.0)
    # 5 mph is 22/3 ft/s exactly; to the right is negative.
    assert question.wind_left_fps == pytest.approx(-22.0 / 3.0)
    assert asked[0].bow.name == "Yew"
    assert len(asked[0].shafts) >= 25
    assert "STOP" in result.stdout


def test_json_is_all_that_stands_on_standard_output(
    demo_path: Path, asked: list[ask.Gathered]
) -> None:
    result = RUN.invoke(
        app, ["match", "--bow", "Yew", "--archer", "Wren", "--json", "--workshop", str(demo_path)]
    )
    data = json.loads(result.stdout)
    assert data["spine_range_lb"]["low"] == 47.0
    assert data["chosen"]["total_weight_gr"]["middle"] == 488.0


def test_out_writes_the_report_and_says_where(
    demo_path: Path, asked: list[ask.Gathered], tmp_path: Path
) -> None:
    folder = tmp_path / "leaf"
    result = RUN.invoke(
        app,
        [
            *("match", "--bow", "Yew", "--archer", "Wren", "--out", str(folder)),
            *("--workshop", str(demo_path)),
        ],
    )
    assert result.exit_code == 0
    assert "report.html" in result.stderr
    assert "STOP" in result.stdout
    assert (folder / "report.html").exists()


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        (["--distance", "20"], "without a unit"),
        (["--distance", "20 gr"], "Distance"),
        (["--point", "125"], "without a unit"),
        (["--point", "heavy"], "Point weight"),
        (["--length", "28"], "without a unit"),
        (["--temperature", "60"], "without a unit"),
        (["--altitude", "high"], "Altitude"),
        (["--wind", "5 mph"], "without a side"),
    ],
)
def test_a_value_without_its_unit_is_refused_in_a_sentence(
    demo_path: Path, asked: list[ask.Gathered], more: list[str], sentence: str
) -> None:
    result = RUN.invoke(
        app, ["match", "--bow", "Yew", "--archer", "Wren", "--workshop", str(demo_path), *more]
    )
    assert result.exit_code == 2
    assert sentence in result.stderr
    assert result.stderr.rstrip().endswith(".")
    assert asked == []


def test_an_unknown_bow_is_refused_in_a_sentence(demo_path: Path) -> None:
    result = RUN.invoke(
        app, ["match", "--bow", "Oak", "--archer", "Wren", "--workshop", str(demo_path)]
    )
    assert result.exit_code == 2
    assert "Oak" in result.stderr
    assert "Traceback" not in result.stderr


def test_a_retired_bow_is_not_matched(demo_path: Path, asked: list[ask.Gathered]) -> None:
    from loosewell.workshop.keep import Workshop

    with Workshop.open(demo_path) as workshop:
        workshop.retire("bow", "Yew", "cracked")
    result = RUN.invoke(
        app, ["match", "--bow", "Yew", "--archer", "Wren", "--workshop", str(demo_path)]
    )
    assert result.exit_code == 2
    assert "retired" in result.stderr
    assert asked == []


def test_the_key_of_a_question_changes_with_every_record_it_reads(demo_path: Path) -> None:
    from loosewell.workshop.keep import Workshop

    question = ask.Question("Yew", "Wren")
    first = ask.gather(demo_path, question).key
    assert ask.gather(demo_path, question).key == first
    assert ask.gather(demo_path, replace(question, distance_yd=30.0)).key != first
    with Workshop.open(demo_path) as workshop:
        workshop.change("bow", "Yew", brace_height_in=6.75)
    second = ask.gather(demo_path, question).key
    assert second != first
    with Workshop.open(demo_path) as workshop:
        shaft = workshop.list("shaft")[0].record.name
        workshop.change("shaft", shaft, remarks="looked over")
    assert ask.gather(demo_path, question).key not in (first, second)


def loosewell(*words: str, **more: Any) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "loosewell", *words], capture_output=True, text=True, **more
    )


def test_a_missing_workshop_file_ends_the_real_command_with_a_sentence(tmp_path: Path) -> None:
    missing = tmp_path / "nowhere.sqlite"
    ended = loosewell("match", "--bow", "A", "--archer", "B", "--workshop", str(missing))
    assert ended.returncode == 2
    assert "nowhere.sqlite" in ended.stderr
    assert "Traceback" not in ended.stderr
    assert not missing.exists()


def test_serve_listens_on_this_machine_only_and_says_where(demo_path: Path) -> None:
    serving = subprocess.Popen(
        [sys.executable, "-m", "loosewell", "serve", "--port", "0", "--workshop", str(demo_path)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    assert serving.stdout is not None
    try:
        line = serving.stdout.readline()
        address = re.search(r"http://127\.0\.0\.1:\d+/", line)
        assert address is not None, line
        with urllib.request.urlopen(address.group(), timeout=30) as page:
            assert "Which arrow for this bow" in page.read().decode()
    finally:
        serving.send_signal(signal.SIGINT)
        _, errors = serving.communicate(timeout=30)
    assert "Traceback" not in errors


def test_a_taken_port_is_a_sentence(demo_path: Path) -> None:
    import socket

    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        ended = loosewell("serve", "--port", port, "--workshop", str(demo_path))
    assert ended.returncode == 2
    assert f"Port {port} on this machine cannot be used" in ended.stderr
    assert "Traceback" not in ended.stderr


@pytest.mark.parametrize("full", [False, True])
def test_a_shaft_nobody_looked_over_stands_apart_and_is_not_told_as_fitting(full: bool) -> None:
    answer = sample_answer()
    (row,) = [one for one in answer.rack if one.acts == "not inspected"]
    lines = told(140, full=full).splitlines()
    if full:
        assert any(
            row.shaft in line
            and "Were it sound, its readings say it would fit, chance 71 %." in line
            for line in lines
        )
        assert not any(line.startswith(row.shaft) and "fits" in line.split() for line in lines)
        return
    start = "Not inspected, not offered until looked over (loosewell inspect NAME): "
    assert f"{start}{row.shaft} (would be 71 %)." in lines
    assert not any(line.startswith(row.shaft) for line in lines)
