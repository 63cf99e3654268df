"""A full disk: a sentence, nothing half written, nothing lost that was there."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from loosewell.errors import FileRefusal
from loosewell.records import Shaft
from loosewell.store import shelf
from loosewell.store.backup import copy_to
from loosewell.workshop.keep import Workshop


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of one megabyte; only root can mount one."""
    place = tmp_path / "disk"
    place.mkdir()
    if sys.platform != "linux" or os.geteuid() != 0:
        pytest.skip("only root on Linux can mount a small disk")
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(place)], capture_output=True
    )
    if mounted.returncode:
        pytest.skip("mounting a small disk is not allowed here")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def big(name: str) -> Shaft:
    return Shaft(name=name, remarks="x" * 4000)


def fill_until_refused(workshop: Workshop) -> tuple[list[str], FileRefusal]:
    written: list[str] = []
    with contextlib.ExitStack() as stack:
        told = stack.enter_context(pytest.raises(FileRefusal))
        while True:
            workshop.add(big(f"S{len(written)}"))
            written.append(f"S{len(written)}")
    return written, told.value


def check_after(path: Path, written: list[str]) -> None:
    with Workshop.open(path) as workshop:
        assert {one.record.name for one in workshop.list("shaft")} == set(written)
        for name in written:
            assert [one.record for one in workshop.history("shaft", name)] == [big(name)]


def test_a_real_full_disk_loses_nothing(small_disk: Path) -> None:
    path = small_disk / "workshop.sqlite"
    with Workshop.open(path) as workshop:
        written, told = fill_until_refused(workshop)
    assert told.code == "disk-full", told.message
    assert "The disk is full" in told.message
    assert len(written) > 20
    check_after(path, written)
    with pytest.raises(FileRefusal) as refused:
        copy_to(path, small_disk / "copy.sqlite")
    assert "was written" in refused.value.message or "could not be written" in refused.value.message
    assert not (small_disk / "copy.sqlite").exists()
    check_after(path, written)


def test_no_room_for_a_new_workshop_leaves_no_half_of_one(small_disk: Path) -> None:
    with (small_disk / "ballast").open("wb", buffering=0) as ballast, contextlib.suppress(OSError):
        while ballast.write(b"x" * 4096):
            pass
    with pytest.raises(FileRefusal) as told:
        Workshop.open(small_disk / "workshop.sqlite")
    assert told.value.code == "disk-full", told.value.message
    assert [one.name for one in small_disk.iterdir()] == ["ballast"]


def test_a_file_that_may_grow_no_more_loses_nothing(
    workshop_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same without root: SQLite answers max_page_count as it answers a full disk."""
    Workshop.open(workshop_path).close()
    open_plainly = shelf.connect

    def connect(path: Path, mode: str) -> object:
        connection = open_plainly(path, mode)
        connection.execute("PRAGMA max_page_count = 120")
        return connection

    with monkeypatch.context() as small:
        small.setattr(shelf, "connect", connect)
        with Workshop.open(workshop_path) as workshop:
            written, told = fill_until_refused(workshop)
            assert told.code == "disk-full", told.message
            with pytest.raises(FileRefusal):
                workshop.add_all([Shaft(name="small"), *[big(f"T{n}") for n in range(50)]])
    assert len(written) > 10
    check_after(workshop_path, written)


def test_an_export_to_a_full_device_is_refused(workshop_path: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    with Workshop.open(workshop_path) as workshop:
        workshop.add(big("S1"))
        with pytest.raises(FileRefusal) as told:
            workshop.export_shafts(Path("/dev/full"))
        assert "no space left" in told.value.message
        assert len(workshop.list("shaft")) == 1


def test_an_export_that_finds_no_room_leaves_no_half_of_a_table(
    small_disk: Path, workshop_path: Path
) -> None:
    with Workshop.open(workshop_path) as workshop:
        workshop.add_all([big(f"S{n}") for n in range(400)])
        with pytest.raises(FileRefusal) as told:
            workshop.export_shafts(small_disk / "rack.csv")
    assert "no space left" in told.value.message
    assert list(small_disk.iterdir()) == []
