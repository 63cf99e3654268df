"""Outings and the answers to them in the file: they follow renames and are never rewritten."""

from __future__ import annotations

import signal
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from loosewell.errors import BoundRefusal, NotFoundRefusal
from loosewell.records import Archer, Arrow, Bow, Outing, Shaft, ShotSeen
from loosewell.workshop.keep import Workshop


def evening(**fields: Any) -> Outing:
    return Outing(
        **{
            "name": "Evening",
            "bow": "Ash",
            "archer": "Wren",
            "on": "2024-05-30",
            "distance_yd": 20.0,
            "arrow": "S1",
            "shots": (
                ShotSeen(left_in=1.0, high_in=2.0),
                ShotSeen(bare=True, arrow="A1", left_in=-6.0, high_in=0.0),
            ),
            **fields,
        }
    )


@pytest.fixture
def kept(workshop_path: Path) -> Any:
    with Workshop.open(workshop_path) as workshop:
        workshop.add(Bow(name="Ash", hand="right"))
        workshop.add(Archer(name="Wren", hand="right"))
        workshop.add(Shaft(name="S1"))
        workshop.add(Arrow(name="A1", shaft="S1"))
        yield workshop


def test_an_outing_takes_the_names_as_the_records_write_them(kept: Workshop) -> None:
    outing = kept.add(evening(bow="ash", archer="WREN")).record
    assert isinstance(outing, Outing)
    assert (outing.bow, outing.archer) == ("Ash", "Wren")


@pytest.mark.parametrize(("field", "word"), [("bow", "bow"), ("archer", "archer")])
def test_an_outing_of_nobody_known_is_refused(kept: Workshop, field: str, word: str) -> None:
    with pytest.raises(NotFoundRefusal, match=f"no {word} called 'Elm'"):
        kept.add(evening(**{field: "Elm"}))
    assert kept.list("outing") == []


def test_an_outing_follows_the_new_names_of_everything_it_names(kept: Workshop) -> None:
    kept.add(evening())
    kept.change("bow", "Ash", name="Old ash")
    kept.change("archer", "Wren", name="Jay")
    kept.change("shaft", "S1", name="Oak 1")
    kept.change("arrow", "A1", name="Red")
    now = kept.get("outing", "Evening")
    outing = now.record
    assert isinstance(outing, Outing)
    assert (outing.bow, outing.archer, outing.arrow) == ("Old ash", "Jay", "Oak 1")
    assert [one.arrow for one in outing.shots] == [None, "Red"]
    assert now.version == 5
    told = [one.what for one in kept.history("outing", "Evening")]
    assert told[1] == "changed bow (bow Ash is now called Old ash)"
    first = kept.history("outing", "Evening")[0].record
    assert isinstance(first, Outing)
    assert first.bow == "Ash"


def test_a_name_an_arrow_carries_means_the_arrow_and_not_a_shaft_called_alike(
    kept: Workshop,
) -> None:
    kept.add(Arrow(name="s1", shaft="S1"))
    kept.add(evening())
    kept.change("shaft", "S1", name="Oak 1")
    outing = kept.get("outing", "Evening").record
    assert isinstance(outing, Outing)
    assert outing.arrow == "S1"


def test_an_answer_is_found_again_as_it_was_given(kept: Workshop) -> None:
    kept.add(evening())
    first = kept.keep_answer("evening", "loosewell 1", 5, {"words": "stiff"}, {"keys": []})
    kept.change("outing", "Evening", name="Dusk", distance_yd=25.0)
    second = kept.keep_answer("Dusk", "loosewell 1", 6, {"words": "weak"})
    assert kept.answers("Dusk") == [first, second] == kept.answers()
    assert (first.outing, first.outing_version, second.outing_version) == ("Evening", 1, 2)
    was = kept.state("outing", first.outing_id, first.outing_version)
    assert isinstance(was, Outing)
    assert was.distance_yd == 20.0
    assert second.learned is None
    assert kept.answers("Dusk")[0].answer == {"words": "stiff"}


@pytest.mark.parametrize(
    "order",
    [
        "UPDATE answer SET seed = 1",
        "DELETE FROM answer",
        "UPDATE set_aside SET why = ''",
        "DELETE FROM set_aside",
        "DELETE FROM outing",
    ],
)
def test_the_file_itself_refuses_to_rewrite_an_answer(kept: Workshop, order: str) -> None:
    kept.add(evening())
    kept.keep_answer("Evening", "loosewell 1", 5, {"words": "stiff"})
    kept.put_aside("Ash", "Wren", "new string")
    raw = sqlite3.connect(kept.path)
    with pytest.raises(sqlite3.IntegrityError, match="never"):
        raw.execute(order)
    raw.close()
    assert len(kept.answers()) == len(kept.asides()) == len(kept.list("outing")) == 1


def test_setting_aside_asks_for_whom_and_why(kept: Workshop) -> None:
    with pytest.raises(BoundRefusal, match="why"):
        kept.put_aside("Ash", None, "  ")
    with pytest.raises(BoundRefusal, match="whose"):
        kept.put_aside(None, None, "new limbs")
    with pytest.raises(NotFoundRefusal):
        kept.put_aside("Elm", None, "new limbs")
    assert kept.asides() == []
    aside = kept.put_aside(None, "wren", "new  glove")
    assert (aside.bow_id, aside.archer_id) == (None, kept.number_of("archer", "Wren"))
    assert (aside.last_answer_id, aside.why) == (0, "new glove")


WRITER = """
import sys
from pathlib import Path
from loosewell.workshop.keep import Workshop

with Workshop.open(Path(sys.argv[1])) as workshop:
    number = 0
    while True:
        number += 1
        words = {"words": "w" * 60000}
        workshop.keep_answer("Evening", "loosewell 1", number, words, {"n": number})
        print(number, flush=True)
"""


@pytest.mark.parametrize("lines", [1, 13, 37])
def test_killed_while_answers_are_written_none_that_was_told_is_lost(
    kept: Workshop, lines: int
) -> None:
    kept.add(evening())
    writer = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(kept.path)], stdout=subprocess.PIPE, text=True
    )
    assert writer.stdout is not None
    told = [int(writer.stdout.readline()) for _ in range(lines)]
    writer.send_signal(signal.SIGKILL)
    rest = writer.stdout.read().splitlines(keepends=True)
    told += [int(line) for line in rest if line[-1] == "\n"]
    writer.stdout.close()
    assert writer.wait() == -signal.SIGKILL
    found = kept.answers("Evening")
    assert [one.seed for one in found][: len(told)] == told
    assert all(one.answer == {"words": "w" * 60000} for one in found)
    assert all(one.learned == {"n": one.seed} for one in found)
    kept.keep_answer("Evening", "loosewell 1", 0, {"words": "after"})
