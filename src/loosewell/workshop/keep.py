"""Keeping records: added, changed, retired, restored, and never lost.

A change writes the new state beside the old ones; a retired record stays on
the disk and can be restored. Every method either finishes and is on the disk,
or raises a refusal and changed nothing.
"""

from __future__ import annotations

import builtins
import datetime
import difflib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Literal, cast

from loosewell.errors import (
    BoundRefusal,
    ContradictionRefusal,
    FileRefusal,
    NotFoundRefusal,
    Refusal,
)
from loosewell.records.archer import Archer
from loosewell.records.arrow import Arrow
from loosewell.records.arrow_set import ArrowSet
from loosewell.records.base import plain_text
from loosewell.records.bow import Bow
from loosewell.records.class_ import ClassRoster
from loosewell.records.jig import Jig
from loosewell.records.outing import Outing
from loosewell.records.shaft import Shaft
from loosewell.records.string import BowString

if TYPE_CHECKING:
    from sqlalchemy import Connection, Row, Table

    from loosewell.store.shelf import Shelf

Kind = Literal["bow", "archer", "shaft", "arrow", "jig", "set", "outing", "string", "class"]
AnyRecord = Bow | Archer | Shaft | Arrow | Jig | ArrowSet | Outing | BowString | ClassRoster

RECORDS: dict[
    str,
    type[Bow]
    | type[Archer]
    | type[Shaft]
    | type[Arrow]
    | type[Jig]
    | type[ArrowSet]
    | type[Outing]
    | type[BowString]
    | type[ClassRoster],
] = {
    "bow": Bow,
    "archer": Archer,
    "shaft": Shaft,
    "arrow": Arrow,
    "jig": Jig,
    "set": ArrowSet,
    "outing": Outing,
    "string": BowString,
    "class": ClassRoster,
}
# A nock set on the end may make an arrow a little longer than the shaft it is built on.
LONGEST_NOCK_IN = 1.0


@dataclass(frozen=True)
class Kept:
    """A record as it stands in the file. ``changed_at`` is in universal time."""

    record: AnyRecord
    version: int
    retired: bool
    changed_at: datetime.datetime


@dataclass(frozen=True)
class Version:
    """One state a record once had, and what made it so. ``at`` is in universal time."""

    version: int
    at: datetime.datetime
    what: str
    record: AnyRecord


@dataclass(frozen=True)
class Answered:
    """An answer given to an outing, as it was given. ``at`` is in universal time.

    Outing, bow and archer are told by the numbers they keep under whatever name they go;
    ``outing`` is the name it had.
    """

    number: int
    outing_id: int
    outing_version: int
    outing: str
    bow_id: int
    archer_id: int
    at: datetime.datetime
    engine: str
    seed: int
    answer: Any
    learned: Any


@dataclass(frozen=True)
class Aside:
    """What was learned of a bow or an archer up to an answer, set aside. ``at`` is universal."""

    bow_id: int | None
    archer_id: int | None
    last_answer_id: int
    at: datetime.datetime
    why: str


def kind_of(record: AnyRecord) -> Kind:
    """The word for a record: bow, archer, shaft, arrow, jig, set, outing, string or class."""
    return cast(Kind, next(kind for kind, model in RECORDS.items() if type(record) is model))


def default_path() -> Path:
    """Where the workshop lies when no file is named: the person's own data folder."""
    import platformdirs

    return Path(platformdirs.user_data_dir("loosewell", appauthor=False)) / "workshop.sqlite"


class Workshop:
    """One open workshop file; use it in a ``with`` block."""

    def __init__(self, shelf: Shelf, now: Callable[[], datetime.datetime]) -> None:
        self._shelf = shelf
        self._now = now

    @classmethod
    def open(
        cls,
        path: Path | None = None,
        *,
        create: bool = True,
        now: Callable[[], datetime.datetime] | None = None,
    ) -> Workshop:
        """The workshop in a file, made on first use.

        Parameters
        ----------
        path : pathlib.Path, optional
            The file; None is the one in the person's data folder. [path]
        create : bool
            Whether a missing file is made. [yes or no]
        now : callable, optional
            Clock, for tests; universal time. [time]

        Returns
        -------
        workshop : Workshop
            Open, to be closed or used in a ``with`` block. [object]
        """
        from loosewell.store.shelf import open_shelf

        if path is None:
            path = default_path()
            try:
                path.parent.mkdir(parents=True, exist_ok=True)
            except OSError as error:
                raise FileRefusal(
                    f"The folder {path.parent} for the workshop cannot be made: "
                    f"{(error.strerror or str(error)).lower()}. Name a file with --workshop.",
                    code="file-unreachable",
                ) from None
        return cls(open_shelf(path, create=create), now or _clock)

    def __enter__(self) -> Workshop:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """The file given back."""
        self._shelf.close()

    @property
    def path(self) -> Path:
        """Where the file lies."""
        return self._shelf.path

    def add(self, record: AnyRecord) -> Kept:
        """The record as kept; its name must be free, also among the retired."""
        return self.add_all([record])[0]

    def add_all(self, records: Sequence[AnyRecord]) -> list[Kept]:
        """The records as kept, all of them or none."""
        at = self._moment()
        with self._shelf.writing() as connection:
            return [self._insert(connection, record, at) for record in records]

    def get(self, kind: Kind, name: str) -> Kept:
        """The record of that name, retired or not; capitals do not matter."""
        with self._shelf.reading() as connection:
            return _kept(kind, _row(connection, kind, name))

    def list(self, kind: Kind, retired: bool = False) -> list[Kept]:
        """The records of a kind in the order of their names, natural numbers in order.

        Parameters
        ----------
        kind : str
            bow, archer, shaft, arrow, jig, set, outing, string or class. [word]
        retired : bool
            Whether the retired ones are listed instead of the ones in use. [yes or no]

        Returns
        -------
        records : list of Kept
            The records. [list]
        """
        table = _table(kind)
        with self._shelf.reading() as connection:
            rows = connection.execute(table.select().where(table.c.retired == retired)).all()
        kept = [_kept(kind, row) for row in rows]
        return sorted(kept, key=lambda one: _natural(one.record.name))

    def jigs(self) -> builtins.list[Jig]:
        """Every jig, the retired ones too: what was once read on one is still judged by it."""
        kept = [*self.list("jig"), *self.list("jig", retired=True)]
        return [cast(Jig, one.record) for one in kept]

    def change(
        self, kind: Kind, name: str, /, *, if_version: int | None = None, **fields: Any
    ) -> Kept:
        """The record after a change of some of its fields; None makes a field unknown.

        Parameters
        ----------
        kind : str
            bow, archer, shaft, arrow, jig, set, outing, string or class. [word]
        name : str
            Its name. [text]
        if_version : int, optional
            The version the change was made from; another one on disk is refused. [count]
        **fields
            New values by field name, in the field's own unit. [trade units]

        Returns
        -------
        kept : Kept
            The record as it now stands; unchanged when nothing differs. [object]
        """
        at = self._moment()
        with self._shelf.writing() as connection:
            row = _row(connection, kind, name)
            before = _kept(kind, row)
            if before.retired:
                raise ContradictionRefusal(
                    f"The {kind} {before.record.name} is retired and is not changed. Restore it "
                    f"first: loosewell {kind} restore '{before.record.name}'.",
                    code="retired",
                )
            if if_version is not None and if_version != before.version:
                raise ContradictionRefusal(
                    f"The {kind} {before.record.name} was changed meanwhile: it is at version "
                    f"{before.version}, and this change was made from version {if_version}. Look "
                    "at it again, then change it.",
                    code="changed-meanwhile",
                )
            record = RECORDS[kind].model_validate({**_fields(before.record), **fields})
            changed = [
                field
                for field in type(record).model_fields
                if getattr(record, field) != getattr(before.record, field)
            ]
            if not changed:
                return before
            if _key(record.name) != _key(before.record.name):
                _name_is_free(connection, kind, record.name)
            record = self._holds_together(connection, record, called=before.record.name)
            _update(
                connection, kind, row, record, at, before.retired, f"changed {', '.join(changed)}"
            )
            if record.name != before.record.name:
                self._follow(connection, kind, before.record.name, record.name, at)
            return Kept(record, before.version + 1, before.retired, at)

    def retire(self, kind: Kind, name: str, why: str) -> Kept:
        """The record taken out of use; it stays in the file with the reason."""
        reason = " ".join(plain_text(why, "The reason").split())
        if not reason:
            raise BoundRefusal(
                f"No reason was given for retiring the {kind} {name}. Say why in a few words: "
                '--why "cracked at the nock".',
                code="missing-why",
            )
        return self._set_retired(kind, name, True, f"retired: {reason}")

    def restore(self, kind: Kind, name: str) -> Kept:
        """The retired record back in use, as it was."""
        return self._set_retired(kind, name, False, "restored")

    def history(self, kind: Kind, name: str) -> builtins.list[Version]:
        """Every state the record had, the oldest first."""
        from loosewell.store import tables

        states = tables.history.c
        with self._shelf.reading() as connection:
            row = _row(connection, kind, name)
            rows = connection.execute(
                tables.history.select()
                .where(states.kind == kind, states.record_id == row.id)
                .order_by(states.version)
            ).all()
        return [
            Version(
                version=one.version,
                at=datetime.datetime.fromisoformat(one.at),
                what=one.what,
                record=RECORDS[kind].model_validate(one.record),
            )
            for one in rows
        ]

    def keep_answer(
        self, outing: str, engine: str, seed: int, answer: Any, learned: Any = None
    ) -> Answered:
        """The answer to an outing, written beside the ones before; never changed afterwards.

        Parameters
        ----------
        outing : str
            Its name. [text]
        engine : str
            What answered, with its version. [text]
        seed : int
            Of the samples. [-]
        answer, learned : dict
            Ready for JSON; ``learned`` is None where nothing was. [trade units]

        Returns
        -------
        kept : Answered
            As it lies in the file. [object]
        """
        from loosewell.store import tables

        at = self._moment()
        with self._shelf.writing() as connection:
            row = _row(connection, "outing", outing)
            values = {
                "outing_id": row.id,
                "outing_version": row.version,
                "outing": row.name,
                "bow_id": _row(connection, "bow", row.bow).id,
                "archer_id": _row(connection, "archer", row.archer).id,
                "at": at.isoformat(),
                "engine": engine,
                "seed": seed,
                "answer": answer,
                "learned": learned,
            }
            result = connection.execute(tables.answer.insert().values(**values))
            assert result.inserted_primary_key is not None
            number = int(result.inserted_primary_key[0])
            kept = connection.execute(
                tables.answer.select().where(tables.answer.c.id == number)
            ).one()
            return _answered(kept)

    def answers(self, outing: str | None = None) -> builtins.list[Answered]:
        """The answers to one outing, or to all of them, the oldest first."""
        from loosewell.store import tables

        with self._shelf.reading() as connection:
            asked = tables.answer.select().order_by(tables.answer.c.id)
            if outing is not None:
                row = _row(connection, "outing", outing)
                asked = asked.where(tables.answer.c.outing_id == row.id)
            return [_answered(one) for one in connection.execute(asked).all()]

    def put_aside(self, bow: str | None, archer: str | None, why: str) -> Aside:
        """What was learned of a bow, of an archer, or of both together, used no more from now on.

        Nothing is deleted: the answers stay, and outings read afterwards teach anew.
        """
        from sqlalchemy import func, select

        from loosewell.store import tables

        reason = " ".join(plain_text(why, "The reason").split())
        if not reason:
            raise BoundRefusal(
                "No reason was given for setting aside what was learned. Say why in a few words: "
                '--why "new limbs".',
                code="missing-why",
            )
        if bow is None and archer is None:
            raise BoundRefusal(
                "It was not said whose learning is set aside. Give --bow, --archer or both.",
                code="missing-name",
            )
        at = self._moment()
        with self._shelf.writing() as connection:
            last = connection.execute(select(func.max(tables.answer.c.id))).scalar() or 0
            values = {
                "bow_id": None if bow is None else _row(connection, "bow", bow).id,
                "archer_id": None if archer is None else _row(connection, "archer", archer).id,
                "last_answer_id": last,
                "at": at.isoformat(),
                "why": reason,
            }
            connection.execute(tables.set_aside.insert().values(**values))
            return _aside(values)

    def asides(self) -> builtins.list[Aside]:
        """Everything that was ever set aside, the oldest first."""
        from loosewell.store import tables

        with self._shelf.reading() as connection:
            rows = connection.execute(
                tables.set_aside.select().order_by(tables.set_aside.c.id)
            ).all()
        return [_aside(one._mapping) for one in rows]

    def number_of(self, kind: Kind, name: str) -> int:
        """The number a record keeps under whatever name it goes."""
        with self._shelf.reading() as connection:
            return int(_row(connection, kind, name).id)

    def state(self, kind: Kind, number: int, version: int) -> AnyRecord:
        """A record as it once stood."""
        from loosewell.store import tables

        states = tables.history.c
        with self._shelf.reading() as connection:
            row = connection.execute(
                tables.history.select().where(
                    states.kind == kind, states.record_id == number, states.version == version
                )
            ).one()
        return RECORDS[kind].model_validate(row.record)

    def import_shafts(self, path: Path) -> builtins.list[Kept]:
        """The shafts of a table, all of them or none.

        Parameters
        ----------
        path : pathlib.Path
            A table as text (CSV) with units in its header. [path]

        Returns
        -------
        kept : list of Kept
            The shafts in the order of the file. [list]

        Holds
        -----
        Raises ImportRefusal naming every bad row by its line number.
        """
        from loosewell.workshop.table import read_shafts, refuse_rows

        at = self._moment()
        rows, bad = read_shafts(Path(path))
        with self._shelf.writing() as connection:
            kept = []
            for line, shaft in rows:
                try:
                    kept.append(self._insert(connection, shaft, at))
                except FileRefusal:
                    raise
                except Refusal as refusal:
                    bad.append((line, refusal.message))
            # Raised inside the transaction, so that the good rows go with the bad ones.
            refuse_rows(Path(path), kept, bad)
        return kept

    def export_shafts(self, path: Path) -> int:
        """The number of shafts written to a new table that ``import_shafts`` reads back."""
        from loosewell.workshop.table import write_shafts

        shafts = [cast(Shaft, kept.record) for kept in self.list("shaft")]
        write_shafts(shafts, Path(path))
        return len(shafts)

    def backup(self, path: Path) -> Path:
        """The path of a whole copy of this workshop, which opens like the workshop itself."""
        from loosewell.store.backup import copy_to

        return copy_to(self.path, Path(path))

    def _moment(self) -> datetime.datetime:
        return self._now().astimezone(datetime.UTC).replace(microsecond=0)

    def _insert(self, connection: Connection, record: AnyRecord, at: datetime.datetime) -> Kept:
        kind = kind_of(record)
        _name_is_free(connection, kind, record.name)
        record = self._holds_together(connection, record)
        result = connection.execute(
            _table(kind)
            .insert()
            .values(
                name_key=_key(record.name),
                version=1,
                retired=False,
                changed_at=at.isoformat(),
                **_columns(record),
            )
        )
        assert result.inserted_primary_key is not None
        _remember(connection, kind, result.inserted_primary_key[0], 1, at, "added", record)
        return Kept(record, 1, False, at)

    def _set_retired(self, kind: Kind, name: str, retired: bool, what: str) -> Kept:
        at = self._moment()
        with self._shelf.writing() as connection:
            row = _row(connection, kind, name)
            before = _kept(kind, row)
            if before.retired == retired:
                state = "already retired" if retired else "in use and needs no restoring"
                raise ContradictionRefusal(
                    f"The {kind} {before.record.name} is {state}.", code="retired-already"
                )
            _update(connection, kind, row, before.record, at, retired, what)
            return Kept(before.record, before.version + 1, retired, at)

    def _holds_together(
        self, connection: Connection, record: AnyRecord, *, called: str | None = None
    ) -> AnyRecord:
        """The record, when it agrees with today's date and with the other records.

        ``called`` is the name the record has had in the file up to now.
        """
        refuse_future_days(record, self._now().astimezone().date())
        if isinstance(record, Shaft):
            table = _table("arrow")
            rows = connection.execute(
                table.select().where(table.c.shaft == (called or record.name))
            ).all()
            for row in rows:
                if not row.retired:
                    _arrow_fits(row.name, row.length_in, record)
        if isinstance(record, Arrow):
            shaft = _kept("shaft", _row(connection, "shaft", record.shaft)).record
            assert isinstance(shaft, Shaft)
            _arrow_fits(record.name, record.length_in, shaft)
            return record.model_copy(update={"shaft": shaft.name})
        if isinstance(record, ArrowSet):
            return _set_as_kept(connection, record)
        if isinstance(record, ClassRoster):
            return _class_as_kept(connection, record)
        if isinstance(record, BowString) and record.bow is not None:
            return record.model_copy(update={"bow": _row(connection, "bow", record.bow).name})
        if isinstance(record, Outing):
            return record.model_copy(
                update={
                    "bow": _row(connection, "bow", record.bow).name,
                    "archer": _row(connection, "archer", record.archer).name,
                }
            )
        return record

    def _follow(
        self, connection: Connection, kind: Kind, old: str, new: str, at: datetime.datetime
    ) -> None:
        """The new name of a record written into the arrows, sets and strings that name it."""
        # The foreign keys have already carried it into the columns; the members of a set lie
        # inside one column, and every history is told here.
        for held_by, field in _NAMED_BY.get(kind, ()):
            table = _table(held_by)
            for row in connection.execute(table.select()).all():
                kept = _kept(held_by, row)
                record = kept.record
                if isinstance(record, ArrowSet) and field == "members":
                    if all(one.shaft != old for one in record.members):
                        continue
                    members = tuple(
                        one.model_copy(update={"shaft": new}) if one.shaft == old else one
                        for one in record.members
                    )
                    record = record.model_copy(update={"members": members})
                elif isinstance(record, Outing) and field == "shots":
                    renamed = _shot_by(connection, record, kind, old, new)
                    if renamed is None:
                        continue
                    record = renamed
                elif isinstance(record, ClassRoster):
                    called = _class_calling(record, kind, old, new)
                    if called is None:
                        continue
                    record = called
                elif getattr(record, field) != new:
                    continue
                what = f"changed {field} ({kind} {old} is now called {new})"
                _update(connection, held_by, row, record, at, kept.retired, what)


# Which kinds of record name another kind, and in which field.
_NAMED_BY: dict[str, tuple[tuple[Kind, str], ...]] = {
    "shaft": (("arrow", "shaft"), ("set", "members"), ("outing", "shots"), ("class", "held")),
    "arrow": (("outing", "shots"), ("class", "arrows")),
    "set": (("class", "sets"),),
    "bow": (("set", "bow"), ("outing", "bow"), ("string", "bow"), ("class", "bows")),
    "archer": (("set", "archer"), ("outing", "archer")),
}


def _shot_by(
    connection: Connection, record: Outing, kind: Kind, old: str, new: str
) -> Outing | None:
    """The outing with the new name of an arrow or shaft; None where it does not name it.

    A name that an arrow carries means the arrow, also where a shaft is called alike.
    """
    if kind == "shaft":
        arrow = _table("arrow")
        alike = arrow.select().where(arrow.c.name_key == _key(old))
        if connection.execute(alike).first() is not None:
            return None

    def now(name: str | None) -> str | None:
        return new if name is not None and _key(name) == _key(old) else name

    shots = tuple(one.model_copy(update={"arrow": now(one.arrow)}) for one in record.shots)
    found = record.model_copy(update={"arrow": now(record.arrow), "shots": shots})
    return None if found == record else found


def _set_as_kept(connection: Connection, record: ArrowSet) -> ArrowSet:
    """The set with every name as its own record writes it; a refusal when one is not there."""
    named: dict[str, Any] = {
        kind: _row(connection, kind, name).name
        for kind, name in (("bow", record.bow), ("archer", record.archer))
        if name is not None
    }
    named["members"] = tuple(
        one.model_copy(update={"shaft": _row(connection, "shaft", one.shaft).name})
        for one in record.members
    )
    return record.model_copy(update=named)


# Where a class names records of other kinds.
_CLASS_NAMES = {
    "bow": ("bows", "bows_out"),
    "set": ("sets",),
    "arrow": ("arrows", "arrows_out"),
    "shaft": ("arrows_out",),
}


def _class_as_kept(connection: Connection, record: ClassRoster) -> ClassRoster:
    """The class with bows, sets and arrows as their own records write them."""
    named: dict[str, Any] = {
        field: tuple(_row(connection, kind, name).name for name in getattr(record, field))
        for kind, field in (("bow", "bows"), ("set", "sets"), ("arrow", "arrows"))
    }
    return record.model_copy(update=named)


def _class_calling(record: ClassRoster, kind: str, old: str, new: str) -> ClassRoster | None:
    """The class with the new name of a bow, set, arrow or shaft; None where it does not name it."""

    def now(names: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(new if _key(name) == _key(old) else name for name in names)

    changes: dict[str, Any] = {
        field: now(getattr(record, field)) for field in _CLASS_NAMES.get(kind, ())
    }
    part = "bow" if kind == "bow" else "arrows" if kind in ("arrow", "shaft") else None
    if part is not None:
        changes["held"] = tuple(
            one.model_copy(update={part: now((one.bow,))[0] if part == "bow" else now(one.arrows)})
            for one in record.held
        )
    found = record.model_copy(update=changes)
    return None if found == record else found


def _clock() -> datetime.datetime:
    return datetime.datetime.now(datetime.UTC)


def _table(kind: str) -> Table:
    from loosewell.store.tables import KINDS

    return KINDS[kind]


def _key(name: str) -> str:
    """The name as it is compared: letters composed, spaces single, capitals alike."""
    return " ".join(plain_text(name, "Name").split()).casefold()


def _natural(name: str) -> list[tuple[int, int, str]]:
    """Sorting key that puts shaft 9 before shaft 10."""
    parts: list[tuple[int, int, str]] = []
    digits = ""
    for letter in [*name.casefold(), ""]:
        if letter.isascii() and letter.isdigit():
            digits += letter
            continue
        if digits:
            parts.append((0, int(digits), digits))
            digits = ""
        parts.append((1, 0, letter))
    return parts


def _fields(record: AnyRecord) -> dict[str, Any]:
    """Field names and values, nested records kept as they are."""
    return {field: getattr(record, field) for field in type(record).model_fields}


def _columns(record: AnyRecord) -> dict[str, Any]:
    """The record as column values: lists and nested records ready for JSON."""
    plain = record.model_dump(mode="json")
    for field, value in _fields(record).items():
        if isinstance(value, datetime.date):
            plain[field] = value
    return plain


def _kept(kind: str, row: Row[Any]) -> Kept:
    from loosewell.store.tables import BOOKKEEPING

    record = RECORDS[kind].model_validate(
        {field: row._mapping[field] for field in row._fields if field not in BOOKKEEPING}
    )
    return Kept(
        record=record,
        version=row.version,
        retired=row.retired,
        changed_at=datetime.datetime.fromisoformat(row.changed_at),
    )


def _row(connection: Connection, kind: str, name: str) -> Row[Any]:
    table = _table(kind)
    found = connection.execute(table.select().where(table.c.name_key == _key(name))).one_or_none()
    if found is not None:
        return found
    names = [row.name for row in connection.execute(table.select()).all()]
    near = difflib.get_close_matches(name, names, n=3, cutoff=0.6)
    hint = f"Did you mean {' or '.join(near)}? " if near else ""
    raise NotFoundRefusal(
        f"There is no {kind} called '{name[:80]}' in this workshop. {hint}"
        f"See them all with: loosewell {kind} list.",
        code="not-found",
    )


def _name_is_free(connection: Connection, kind: str, name: str) -> None:
    table = _table(kind)
    found = connection.execute(table.select().where(table.c.name_key == _key(name))).one_or_none()
    if found is None:
        return
    if found.retired:
        raise ContradictionRefusal(
            f"A retired {kind} is called {found.name}. Take another name, or bring the old one "
            f"back with: loosewell {kind} restore '{found.name}'.",
            code="name-taken",
        )
    raise ContradictionRefusal(
        f"A {kind} called {found.name} is already there. Take another name, or change that one "
        f"with: loosewell {kind} change '{found.name}'.",
        code="name-taken",
    )


def _update(
    connection: Connection,
    kind: str,
    row: Row[Any],
    record: AnyRecord,
    at: datetime.datetime,
    retired: bool,
    what: str,
) -> None:
    table = _table(kind)
    connection.execute(
        table.update()
        .where(table.c.id == row.id)
        .values(
            name_key=_key(record.name),
            version=row.version + 1,
            retired=retired,
            changed_at=at.isoformat(),
            **_columns(record),
        )
    )
    _remember(connection, kind, row.id, row.version + 1, at, what, record)


def _remember(
    connection: Connection,
    kind: str,
    record_id: int,
    version: int,
    at: datetime.datetime,
    what: str,
    record: AnyRecord,
) -> None:
    from loosewell.store import tables

    connection.execute(
        tables.history.insert().values(
            kind=kind,
            record_id=record_id,
            version=version,
            at=at.isoformat(),
            what=what,
            record=record.model_dump(mode="json"),
        )
    )


def _answered(row: Row[Any]) -> Answered:
    return Answered(
        row.id,
        row.outing_id,
        row.outing_version,
        row.outing,
        row.bow_id,
        row.archer_id,
        datetime.datetime.fromisoformat(row.at),
        row.engine,
        row.seed,
        row.answer,
        row.learned,
    )


def _aside(row: Any) -> Aside:
    return Aside(
        row["bow_id"],
        row["archer_id"],
        row["last_answer_id"],
        datetime.datetime.fromisoformat(row["at"]),
        row["why"],
    )


def refuse_future_days(record: AnyRecord, today: datetime.date) -> None:
    """Nothing when every day of a record has come; a refusal otherwise.

    Not a bound of the record itself: a clock set back must never hide what was
    written before.
    """
    for day, what in _days(record):
        # One day of grace: the calendar of another time zone may already have turned.
        if day is not None and day > today + datetime.timedelta(days=1):
            raise BoundRefusal(
                f"{what} on {day.isoformat()}, which lies in the future (today is "
                f"{today.isoformat()}). Give the day it was done, as year-month-day.",
                code="date-in-future",
            )


def _days(record: AnyRecord) -> list[tuple[datetime.date | None, str]]:
    """Every day a record tells, and what was done on it."""
    if isinstance(record, Archer):
        return [(record.draw_date, "The draw was measured")]
    if isinstance(record, Jig):
        return [(record.checked_on, "The jig was checked")]
    if isinstance(record, ArrowSet):
        return [(record.made_on, "The set was made")]
    if isinstance(record, Outing):
        return [(record.on, "The outing took place")]
    if isinstance(record, ClassRoster):
        told = [(one.draw_date, f"The draw of {one.name} was measured") for one in record.people]
        return [*told, *((one.on, "A rule about the range was read") for one in record.rules)]
    if isinstance(record, BowString):
        broken = [(one.on, "A piece was broken") for one in record.samples]
        return [(record.made_on, "The string was made"), *broken]
    if not isinstance(record, Shaft):
        return []
    seen = record.inspection
    return [
        (None if seen is None else seen.on, "The shaft was inspected"),
        *((one.on, "A bench reading was taken") for one in record.bench_readings),
        *((one.on, "The shaft was weighed") for one in record.weighings),
        *((one.on, "The shaft was tapped") for one in record.taps),
    ]


def _arrow_fits(name: str, length_in: float | None, shaft: Shaft) -> None:
    if length_in is None or shaft.length_in is None:
        return
    if length_in > shaft.length_in + LONGEST_NOCK_IN:
        raise ContradictionRefusal(
            f"The arrow {name} is {length_in:g} in long (nock throat to back of point), but its "
            f"shaft {shaft.name} is cut to {shaft.length_in:g} in. Measure both again; if the "
            "shaft was cut, change the arrow's length first.",
            code="arrow-longer-than-shaft",
        )
