"""The report: one file that needs nothing, the stops before everything else."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from faces.sample_answer import sample_answer
from loosewell.errors import FileRefusal
from loosewell.faces.leaf import frames
from loosewell.faces.report import report, write
from loosewell.workshop.answer import MatchAnswer, Notice


class Reader(HTMLParser):
    """The words of a page in order, without style and script."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.open: list[str] = []
        self._hidden = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in ("style", "script", "desc"):
            self._hidden += 1

    def handle_endtag(self, tag: str) -> None:
        if tag in ("style", "script", "desc"):
            self._hidden -= 1

    def handle_data(self, data: str) -> None:
        if not self._hidden and data.strip():
            self.words.append(" ".join(data.split()))


def words_of(answer: MatchAnswer) -> str:
    reader = Reader()
    reader.feed(report(answer))
    return " ".join(reader.words)


def test_stops_come_first_and_the_rest_in_the_order_a_maker_reads() -> None:
    words = words_of(sample_answer())
    order = [
        "Do not shoot shaft R05",
        "Warning",
        "Which spine",
        "47 to 59 lb",
        "Narrow it next",
        "Next step",
        "The arrow to build first",
        "Passing the bow",
        "Standing in the butt",
        "The rack",
        "Rules of thumb side by side",
        "What the answer stands on",
    ]
    places = [words.index(part) for part in order]
    assert places == sorted(places)


def test_without_a_stop_the_report_claims_nothing() -> None:
    words = words_of(replace(sample_answer(), stops=[]))
    assert "No hard stop in what was entered" in words
    assert "does not replace looking every shaft" in words


def test_the_report_never_vouches() -> None:
    assert not re.search(r"\b(safe|legal|enough|perfect)\b", words_of(sample_answer()), re.I)


def test_the_report_needs_nothing_from_outside() -> None:
    page = report(sample_answer())
    outside = re.findall(r"""(?:src|href|action)\s*=\s*["'][^"'#]""", page)
    assert outside == []
    assert set(re.findall(r"https?://[^\"' )<]+", page)) == {"http://www.w3.org/2000/svg"}
    assert "@import" not in page
    assert not re.search(r"url\((?!#)", page)


def test_names_are_written_out_and_never_obeyed() -> None:
    trap = '</script><script>alert(1)</script>"'
    answer = sample_answer()
    answer = replace(
        answer,
        archer=trap,
        stops=[Notice("x", trap)],
        pictures=[replace(answer.pictures[0], acts=trap)],
        rack=[replace(answer.rack[0], shaft=trap, note=trap)],
    )
    page = report(answer)
    assert "<script>alert" not in page
    assert page.count("</script>") == 2


def test_frames_in_the_page_cannot_end_their_own_script() -> None:
    answer = sample_answer()
    trap: Any = "</script>"
    told = frames(replace(answer, pictures=[replace(answer.pictures[0], label=trap)]))
    assert "<" not in told
    assert json.loads(told)[0]["label"] == "</script>"
    block = re.search(
        r'<script type="application/json">(.*?)</script>', report(sample_answer()), re.S
    )
    assert block is not None
    assert "<" not in block.group(1)


def test_every_spine_figure_stands_with_its_span_and_load() -> None:
    words = words_of(sample_answer())
    assert words.count("26 in span, 2 lb") >= 5
    assert words.count("28 in span, 1.94 lb") >= 5


def test_unknown_stays_unknown_and_is_never_zero() -> None:
    words = words_of(replace(sample_answer(), draw_weight_lb=None))
    assert "Draw weight at this draw not known" in words
    row = words[words.index("R08") :][:160]
    assert "not told" in row
    assert "not measured" in row


def test_an_answer_that_is_only_a_stop_is_a_report_too() -> None:
    bare = replace(
        sample_answer(),
        spine_range_lb=None,
        spine_range_text="",
        best_share_percent=None,
        curve=[],
        inputs=[],
        rules=[],
        rules_spread_lb=None,
        rack=[],
        chosen=None,
        pictures=[],
        draw_weight_lb=None,
        true_draw_in=None,
    )
    words = words_of(bare)
    assert words.index("Do not shoot") < words.index("Which spine")
    assert "No shaft is on the rack yet" in words


def test_report_and_drawings_are_written_as_files(tmp_path: Path) -> None:
    files = write(sample_answer(), tmp_path / "new" / "folder")
    names = {file.name for file in files}
    assert names == {"report.html"} | {
        f"{name}.{ending}"
        for name in ("launch", "butt", "curve", "rules", "width")
        for ending in ("svg", "png")
    }
    for file in files:
        assert file.stat().st_size > 1000
    assert (tmp_path / "new/folder/launch.png").read_bytes().startswith(b"\x89PNG")


def test_a_folder_that_cannot_be_made_is_a_sentence(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    with pytest.raises(FileRefusal, match=r"could not be written to .*Name a folder"):
        write(sample_answer(), blocked / "report")
