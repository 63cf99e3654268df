"""The shelf: opening one workshop file, and the transactions on it.

A file is looked at before it is touched. One that is foreign, corrupt or
written by a newer loosewell is refused by name and left as it was, byte for
byte. A new file is made beside its final place and moved there whole, so that
no half-made file is ever found. Writes are acknowledged only after SQLite has
put them on the disk (write-ahead log, synchronous FULL).
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
import uuid
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DBAPIError

from loosewell.errors import FileRefusal
from loosewell.store.tables import APPLICATION_ID, SCHEMA_VERSION

_MAGIC = b"SQLite format 3\x00"
_BUSY_SECONDS = 10.0


class Shelf:
    """One open workshop file.

    ``reading`` and ``writing`` give a connection inside one transaction; a
    writing transaction is on the disk when the block ends, or did not happen.
    """

    def __init__(self, path: Path, engine: Engine) -> None:
        self.path = path
        self.engine = engine

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that sees one state of the file and changes nothing."""
        with speaking(self.path), self.engine.connect() as connection:
            connection.exec_driver_sql("BEGIN")
            yield connection
            connection.rollback()

    @contextlib.contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that is written whole or not at all."""
        with speaking(self.path), self.engine.connect() as connection:
            connection.exec_driver_sql("BEGIN IMMEDIATE")
            yield connection
            connection.commit()

    def close(self) -> None:
        """Every connection given back."""
        self.engine.dispose()


def open_shelf(path: Path, *, create: bool = True) -> Shelf:
    """The workshop file at a path, made if it is not there yet.

    Parameters
    ----------
    path : pathlib.Path
        Where the file lies. [path]
    create : bool
        Whether a missing file is made. [yes or no]

    Returns
    -------
    shelf : Shelf
        The open file. [object]

    Holds
    -----
    Raises FileRefusal for a foreign, corrupt, newer, busy or unreachable file,
    and leaves that file as it was.

    Source
    ------
    SQLite's file header: magic at byte 0, user_version at 60, application_id at 68.
    """
    path = Path(path)
    try:
        there = path.exists()
    except (OSError, ValueError) as error:
        raise _unreachable(path, error) from None
    if not there:
        if not create:
            raise FileRefusal(
                f"There is no workshop file at {path}. Add a first record to make one, or give "
                "the right file with --workshop.",
                code="file-missing",
            )
        _make(path)
    elif not path.is_file():
        raise FileRefusal(
            f"{path} is not a file. Give the workshop file itself with --workshop.",
            code="file-foreign",
        )
    found = _look(path)
    if found < SCHEMA_VERSION:
        _carry_forward(path, found)
    return Shelf(path, _engine(path))


@contextlib.contextmanager
def speaking(path: Path) -> Iterator[None]:
    """Whatever the database has to complain about, as a sentence."""
    try:
        yield
    except DBAPIError as error:
        raise _refusal(path, error.orig if error.orig is not None else error) from error
    except sqlite3.Error as error:
        raise _refusal(path, error) from error


def connect(path: Path, mode: str) -> sqlite3.Connection:
    """A bare connection to an existing file; ``mode`` is "rw", "ro" or "immutable"."""
    options = "mode=ro&immutable=1" if mode == "immutable" else f"mode={mode}"
    return sqlite3.connect(
        f"file:{quote(str(path.absolute()))}?{options}",
        uri=True,
        timeout=_BUSY_SECONDS,
        isolation_level=None,
        check_same_thread=False,
    )


def half_made(path: Path) -> Path:
    """A name beside a path for a file under way, shared with no other process or thread."""
    return path.with_name(f".{path.name}.new-{uuid.uuid4().hex[:12]}")


def _engine(path: Path) -> Engine:
    engine = create_engine("sqlite://", creator=lambda: connect(path, "rw"), pool_size=4)

    @event.listens_for(engine, "connect")
    def _prepare(connection: sqlite3.Connection, _record: object) -> None:
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA synchronous = FULL")

    return engine


def _look(path: Path) -> int:
    """Schema version of a file that was found sound and ours; a refusal otherwise."""
    header = _header(path)
    if header[:16] != _MAGIC or int.from_bytes(header[68:72], "big") != APPLICATION_ID:
        raise FileRefusal(
            f"{path} is not a loosewell workshop. It was left as it was. "
            "Give another file with --workshop.",
            code="file-foreign",
        )
    # Without a log beside it nobody has the file open, and it can be read without a trace.
    log = path.with_name(path.name + "-wal")
    mode = "ro" if log.exists() else "immutable"
    try:
        complaint, version = _check(path, mode)
        if complaint and mode == "immutable" and log.exists():
            complaint, version = _check(path, "ro")
    except sqlite3.OperationalError as error:
        raise _refusal(path, error) from error
    except sqlite3.Error as error:
        complaint, version = str(error), 0
    if complaint:
        raise _corrupt(path, complaint)
    if version > SCHEMA_VERSION:
        raise FileRefusal(
            f"{path} was written by a newer loosewell (file version {version}; this one knows up "
            f"to {SCHEMA_VERSION}). It was left as it was. Install the newer loosewell to open it.",
            code="file-newer",
        )
    return version


def _header(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(100)
    except OSError as error:
        raise _unreachable(path, error) from None


def _check(path: Path, mode: str) -> tuple[str, int]:
    with contextlib.closing(connect(path, mode)) as connection:
        found = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
        version = connection.execute("PRAGMA user_version").fetchone()[0]
    return ("" if found == "ok" else str(found)), int(version)


def _make(path: Path) -> None:
    """A new empty workshop, moved into its place only when it is whole."""
    fresh = half_made(path)
    try:
        fresh.touch(exist_ok=False)
    except (OSError, ValueError) as error:
        raise _unreachable(path, error) from None
    try:
        with speaking(path):
            with contextlib.closing(connect(fresh, "rw")) as connection:
                connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            _migrate(fresh)
            with contextlib.closing(connect(fresh, "rw")) as connection:
                connection.execute("PRAGMA journal_mode = WAL")
        try:
            # A link, unlike a rename, never takes the place of a file made meanwhile.
            os.link(fresh, path)
        except FileExistsError:
            pass
        except OSError:
            fresh.replace(path)
    except OSError as error:
        raise _unreachable(path, error) from None
    finally:
        for tail in ("", "-journal", "-wal", "-shm"):
            fresh.with_name(fresh.name + tail).unlink(missing_ok=True)


def _carry_forward(path: Path, found: int) -> None:
    """An older file brought up to this version, after a copy of it was put beside it."""
    from loosewell.store.backup import copy_to

    copy_to(path, path.with_name(f"{path.name}.version-{found}"), replace=True)
    _migrate(path)


def _migrate(path: Path) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    config.set_main_option("path_separator", "os")
    engine = create_engine("sqlite://", creator=lambda: connect(path, "rw"))
    try:
        with speaking(path), engine.connect() as connection:
            connection.exec_driver_sql("BEGIN IMMEDIATE")
            config.attributes["connection"] = connection
            command.upgrade(config, "head")
            connection.commit()
    finally:
        engine.dispose()


def _corrupt(path: Path, complaint: str) -> FileRefusal:
    return FileRefusal(
        f"{path} is damaged and was left as it was ({complaint.strip()}). Open a backup with "
        "--workshop, or copy this file elsewhere before anything is tried on it.",
        code="file-corrupt",
    )


def _unreachable(path: Path, error: Exception) -> FileRefusal:
    reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    code = "disk-full" if isinstance(error, OSError) and error.errno == 28 else "file-unreachable"
    return FileRefusal(
        f"The workshop file {path} cannot be used: {reason.lower()}. Check that its folder exists "
        "and may be written to, or give another file with --workshop.",
        code=code,
    )


def _refusal(path: Path, error: BaseException) -> FileRefusal:
    """The sentence for a complaint of SQLite."""
    words = str(error)
    if "full" in words:
        return FileRefusal(
            f"The disk is full: nothing was written to {path}, and what was there before is "
            "still there. Make room and try again.",
            code="disk-full",
        )
    if "locked" in words or "busy" in words:
        return FileRefusal(
            f"{path} is being written by another program and did not come free within "
            f"{_BUSY_SECONDS:g} seconds. Nothing was written. Try again.",
            code="file-busy",
        )
    if "malformed" in words or "not a database" in words or "corrupt" in words:
        return _corrupt(path, words)
    if "readonly" in words or "unable to open" in words or "disk I/O" in words:
        return FileRefusal(
            f"{path} cannot be written ({words}). Nothing was changed. Check that the file and "
            "its folder may be written to and that the disk is whole.",
            code="file-unreachable",
        )
    return FileRefusal(
        f"{path} refused the change ({words}). Nothing was written.", code="file-refused"
    )
