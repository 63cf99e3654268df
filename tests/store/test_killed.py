"""A process killed in the middle of its writes: what it was told is written stays written."""

from __future__ import annotations

import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from loosewell.records import Shaft
from loosewell.workshop.keep import Workshop

WRITER = """
import sys
from pathlib import Path
from loosewell.records import Bow, Shaft
from loosewell.workshop.keep import Workshop

with Workshop.open(Path(sys.argv[1])) as workshop:
    number = 0
    while True:
        number += 1
        kept = workshop.add(Shaft(name=f"S{number}", length_in=32.0, remarks="r" * 3000))
        print(f"added S{number}", flush=True)
        if number % 3 == 0:
            workshop.change("shaft", f"S{number}", length_in=30.0)
            print(f"changed S{number}", flush=True)
        if number % 10 == 0:
            many = [Shaft(name=f"B{number}-{n}", remarks="r" * 3000) for n in range(50)]
            workshop.add_all(many)
            print(f"batch B{number}", flush=True)
"""


# Prime, so that the kill falls into single writes, changes and batches alike.
@pytest.mark.parametrize("lines", [1, 17, 41, 83])
def test_killed_in_the_middle_of_writes_nothing_acknowledged_is_lost(
    workshop_path: Path, lines: int
) -> None:
    writer = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(workshop_path)], stdout=subprocess.PIPE, text=True
    )
    assert writer.stdout is not None
    told = [writer.stdout.readline().split() for _ in range(lines)]
    writer.send_signal(signal.SIGKILL)
    told += [
        line.split() for line in writer.stdout.read().splitlines(keepends=True) if line[-1] == "\n"
    ]
    writer.stdout.close()
    assert writer.wait() == -signal.SIGKILL

    with Workshop.open(workshop_path) as workshop:
        kept = {one.record.name: one for one in workshop.list("shaft")}
        for word, name in told:
            if word == "added":
                assert name in kept
            elif word == "changed":
                shaft = kept[name].record
                assert isinstance(shaft, Shaft)
                assert shaft.length_in == 30.0
                assert [one.version for one in workshop.history("shaft", name)] == [1, 2]
            else:
                assert all(f"{name}-{n}" in kept for n in range(50))
        # A batch is there whole or not at all, also the one that was under way.
        batches: dict[str, int] = {}
        for name in kept:
            if name.startswith("B"):
                batches[name.split("-")[0]] = batches.get(name.split("-")[0], 0) + 1
        assert set(batches.values()) <= {50}
        # And the file goes on being written to.
        workshop.add(Shaft(name="after"))
        for name, one in kept.items():
            assert len(workshop.history("shaft", name)) == one.version
    with sqlite3.connect(workshop_path) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    raw.close()


def test_killed_while_the_file_is_made_the_next_one_makes_it(workshop_path: Path) -> None:
    script = (
        "import os, sys; from pathlib import Path\n"
        "from loosewell.store import shelf\n"
        "made = shelf._migrate\n"
        "def stop(fresh):\n"
        "    made(fresh); os.kill(os.getpid(), 9)\n"
        "shelf._migrate = stop\n"
        "shelf.open_shelf(Path(sys.argv[1]))\n"
    )
    killed = subprocess.run([sys.executable, "-c", script, str(workshop_path)])
    assert killed.returncode == -signal.SIGKILL
    assert not workshop_path.exists()
    with Workshop.open(workshop_path) as workshop:
        workshop.add(Shaft(name="1"))
        assert len(workshop.list("shaft")) == 1
