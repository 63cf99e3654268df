"""The file itself: made whole, looked at before it is touched, never shortened."""

from __future__ import annotations

import hashlib
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
import sqlalchemy as sa

from loosewell.errors import FileRefusal
from loosewell.records import Bow, Shaft
from loosewell.store import shelf, tables
from loosewell.store.backup import copy_to
from loosewell.store.shelf import open_shelf
from loosewell.workshop.keep import Workshop


def digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def beside(path: Path) -> list[str]:
    return sorted(one.name for one in path.parent.iterdir())


def filled(path: Path, count: int = 40) -> Path:
    with Workshop.open(path) as workshop:
        workshop.add(Bow(name="Ash", hand="right", brace_height_in=7.0))
        workshop.add_all(
            [Shaft(name=f"S{n}", length_in=32.0, remarks="x" * 200) for n in range(count)]
        )
    return path


def refused(path: Path, code: str) -> FileRefusal:
    """The refusal of a file that must stay as it was, with nothing put beside it."""
    before, neighbours = digest(path), beside(path)
    with pytest.raises(FileRefusal) as told:
        Workshop.open(path)
    assert told.value.code == code, told.value.message
    assert path.name in told.value.message
    assert digest(path) == before
    assert beside(path) == neighbours
    return told.value


def test_a_new_file_is_marked_as_ours_and_keeps_a_log(workshop_path: Path) -> None:
    filled(workshop_path)
    header = workshop_path.read_bytes()[:100]
    assert int.from_bytes(header[68:72], "big") == tables.APPLICATION_ID
    assert int.from_bytes(header[60:64], "big") == tables.SCHEMA_VERSION
    # Bytes 18 and 19 are 2 for a file with a write-ahead log (SQLite's file format).
    assert header[18:20] == b"\x02\x02"
    assert beside(workshop_path) == [workshop_path.name]
    opened = open_shelf(workshop_path)
    with opened.reading() as connection:
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
    opened.close()


@pytest.mark.parametrize(
    "content",
    [b"", b"a shopping list\n", b"SQLite format 3", b"\x00" * 4096, os.urandom(4096)],
    ids=["empty", "text", "cut header", "zeros", "noise"],
)
def test_a_file_that_is_no_database_is_refused_and_left(
    workshop_path: Path, content: bytes
) -> None:
    workshop_path.write_bytes(content)
    assert "is not a loosewell workshop" in refused(workshop_path, "file-foreign").message


def test_a_foreign_database_is_refused_and_left(workshop_path: Path) -> None:
    with sqlite3.connect(workshop_path) as other:
        other.execute("CREATE TABLE bow (name TEXT)")
        other.execute("INSERT INTO bow VALUES ('not ours')")
    other.close()
    refused(workshop_path, "file-foreign")


def test_a_newer_file_is_refused_and_left(workshop_path: Path) -> None:
    filled(workshop_path)
    raw = bytearray(workshop_path.read_bytes())
    raw[60:64] = (tables.SCHEMA_VERSION + 1).to_bytes(4, "big")
    workshop_path.write_bytes(raw)
    told = refused(workshop_path, "file-newer")
    assert "newer loosewell" in told.message


def test_a_truncated_file_is_refused_and_left(workshop_path: Path) -> None:
    filled(workshop_path)
    raw = workshop_path.read_bytes()
    workshop_path.write_bytes(raw[: len(raw) // 2])
    refused(workshop_path, "file-corrupt")


def test_a_file_with_a_page_of_noise_is_refused_and_left(workshop_path: Path) -> None:
    filled(workshop_path)
    raw = bytearray(workshop_path.read_bytes())
    size = int.from_bytes(raw[16:18], "big")
    raw[size : 3 * size] = b"\xa5" * (2 * size)
    workshop_path.write_bytes(raw)
    told = refused(workshop_path, "file-corrupt")
    assert "damaged and was left as it was" in told.message


def test_a_folder_a_missing_folder_and_a_device_are_refused(tmp_path: Path) -> None:
    for place in (tmp_path, tmp_path / "no" / "workshop.sqlite", Path("/dev/null")):
        with pytest.raises(FileRefusal):
            Workshop.open(place)
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(FileRefusal) as told:
        Workshop.open(tmp_path / "none.sqlite", create=False)
    assert told.value.code == "file-missing"
    assert list(tmp_path.iterdir()) == []


def test_a_file_made_meanwhile_is_not_replaced(
    workshop_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    migrate = shelf._migrate

    def slow(fresh: Path) -> None:
        migrate(fresh)
        monkeypatch.setattr(shelf, "_migrate", migrate)
        filled(workshop_path)

    monkeypatch.setattr(shelf, "_migrate", slow)
    with Workshop.open(workshop_path) as workshop:
        assert workshop.get("bow", "Ash").version == 1
    assert beside(workshop_path) == [workshop_path.name]


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE history SET what = 'never happened'",
        "DELETE FROM history",
        "DELETE FROM bow",
        "DELETE FROM archer",
        "DELETE FROM shaft",
        "DELETE FROM arrow",
    ],
)
def test_the_file_itself_refuses_to_forget(workshop_path: Path, statement: str) -> None:
    filled(workshop_path)
    with Workshop.open(workshop_path) as workshop:
        from loosewell.records import Archer, Arrow

        workshop.add(Archer(name="Wren", hand="left"))
        workshop.add(Arrow(name="a", shaft="S1"))
    raw = sqlite3.connect(workshop_path)
    with pytest.raises(sqlite3.IntegrityError, match="never"):
        raw.execute(statement)
    raw.close()


def test_a_shaft_with_an_arrow_on_it_cannot_vanish_under_it(workshop_path: Path) -> None:
    filled(workshop_path)
    opened = open_shelf(workshop_path)
    with pytest.raises(FileRefusal, match="FOREIGN KEY"), opened.writing() as connection:
        connection.execute(
            tables.arrow.insert().values(
                name_key="a",
                version=1,
                retired=False,
                changed_at="now",
                name="a",
                shaft="no such shaft",
                invented=False,
            )
        )
    opened.close()


def test_a_transaction_that_fails_leaves_nothing(workshop_path: Path) -> None:
    filled(workshop_path)
    opened = open_shelf(workshop_path)

    def stopped_half_way() -> None:
        with opened.writing() as connection:
            connection.execute(sa.update(tables.bow).values(make="recurve"))
            raise RuntimeError

    with pytest.raises(RuntimeError):
        stopped_half_way()
    opened.close()
    with Workshop.open(workshop_path) as workshop:
        assert workshop.get("bow", "Ash").record.make is None  # type: ignore[union-attr]


def test_a_file_being_written_elsewhere_is_waited_for_and_then_refused(
    workshop_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    filled(workshop_path)
    monkeypatch.setattr(shelf, "_BUSY_SECONDS", 0.05)
    other = sqlite3.connect(workshop_path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with Workshop.open(workshop_path) as workshop:
        with pytest.raises(FileRefusal) as told:
            workshop.add(Bow(name="Elm", hand="left"))
        assert told.value.code == "file-busy"
        other.execute("ROLLBACK")
        assert workshop.add(Bow(name="Elm", hand="left")).version == 1
    other.close()


def test_a_backup_is_whole_and_never_written_over(workshop_path: Path, tmp_path: Path) -> None:
    filled(workshop_path)
    copy = tmp_path / "copy.sqlite"
    with Workshop.open(workshop_path) as workshop:
        # While the workshop is open, with a log beside it.
        workshop.add(Bow(name="Elm", hand="left"))
        workshop.backup(copy)
    with Workshop.open(copy) as opened, Workshop.open(workshop_path) as original:
        for kind in ("bow", "archer", "shaft", "arrow"):
            assert opened.list(kind) == original.list(kind)
        assert opened.history("bow", "Elm") == original.history("bow", "Elm")
    before = digest(copy)
    with pytest.raises(FileRefusal) as told:
        copy_to(workshop_path, copy)
    assert told.value.code == "backup-exists"
    assert digest(copy) == before
    with pytest.raises(FileRefusal):
        copy_to(workshop_path, tmp_path / "no" / "copy.sqlite")


def test_a_file_left_by_a_killed_program_opens_with_its_log(workshop_path: Path) -> None:
    filled(workshop_path)
    script = (
        "import os, sys; from pathlib import Path\n"
        "from loosewell.workshop.keep import Workshop; from loosewell.records import Bow\n"
        "w = Workshop.open(Path(sys.argv[1])); w.add(Bow(name='Elm', hand='left'))\n"
        "os.kill(os.getpid(), 9)\n"
    )
    subprocess.run([sys.executable, "-c", script, str(workshop_path)])
    log = workshop_path.with_name(workshop_path.name + "-wal")
    assert log.stat().st_size > 0
    with Workshop.open(workshop_path) as workshop:
        assert workshop.get("bow", "elm").record.hand == "left"  # type: ignore[union-attr]
    assert not log.exists()


def test_a_damaged_file_with_a_log_beside_it_keeps_both(workshop_path: Path) -> None:
    """Opening it to write would carry the log into the file and destroy what is left of it."""
    filled(workshop_path)
    script = (
        "import os, sys; from pathlib import Path\n"
        "from loosewell.workshop.keep import Workshop; from loosewell.records import Bow\n"
        "w = Workshop.open(Path(sys.argv[1])); w.add(Bow(name='Elm', hand='left'))\n"
        "os.kill(os.getpid(), 9)\n"
    )
    subprocess.run([sys.executable, "-c", script, str(workshop_path)])
    raw = bytearray(workshop_path.read_bytes())
    size = int.from_bytes(raw[16:18], "big")
    # From the 21st page on, so that the log's own copies of pages do not mend it.
    raw[20 * size :] = b"\xa5" * (len(raw) - 20 * size)
    workshop_path.write_bytes(raw)
    log = workshop_path.with_name(workshop_path.name + "-wal")
    before = digest(workshop_path), digest(log)
    with pytest.raises(FileRefusal) as told:
        Workshop.open(workshop_path)
    assert told.value.code == "file-corrupt", told.value.message
    assert (digest(workshop_path), digest(log)) == before
