"""A backup is a file: a whole, sound copy that opens like any workshop."""

from __future__ import annotations

import contextlib
import os
import sqlite3
from pathlib import Path

from loosewell.errors import FileRefusal
from loosewell.store import shelf


def copy_to(source: Path, target: Path, *, replace: bool = False) -> Path:
    """The path of a whole copy of a workshop file, taken while it may be in use.

    Parameters
    ----------
    source : pathlib.Path
        The workshop file. [path]
    target : pathlib.Path
        Where the copy shall lie; an existing file is refused. [path]
    replace : bool
        Whether an existing file at ``target`` gives way. [yes or no]

    Returns
    -------
    target : pathlib.Path
        Where the copy lies. [path]

    Holds
    -----
    The copy is made beside its place and moved there whole.

    Source
    ------
    SQLite's online backup.
    """
    target = Path(target)
    fresh = shelf.half_made(target)
    try:
        if target.exists() and not replace:
            raise FileRefusal(
                f"{target} is already there and is not written over. Give another name for the "
                "backup.",
                code="backup-exists",
            )
        if not target.parent.is_dir():
            raise FileRefusal(
                f"The folder {target.parent} does not exist, so no backup was written. Make the "
                "folder first.",
                code="file-unreachable",
            )
        with (
            shelf.speaking(target),
            contextlib.closing(shelf.connect(source, "rw")) as original,
            contextlib.closing(sqlite3.connect(fresh, isolation_level=None)) as copy,
        ):
            original.backup(copy)
        with fresh.open("rb") as written:
            os.fsync(written.fileno())
        if replace:
            fresh.replace(target)
        else:
            try:
                os.link(fresh, target)
            except FileExistsError:
                raise
            except OSError:
                fresh.replace(target)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise FileRefusal(
            f"The backup {target} could not be written: {reason.lower()}. The workshop itself is "
            "as it was. Give another place.",
            code="backup-unwritable",
        ) from None
    finally:
        with contextlib.suppress(OSError, ValueError):
            for tail in ("", "-journal", "-wal", "-shm"):
                fresh.with_name(fresh.name + tail).unlink(missing_ok=True)
    return target
