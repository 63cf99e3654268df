"""The tables of a workshop file: one column a record field, lists as JSON.

Beside the fields every table keeps ``id``, ``name_key`` (the name without
regard to capitals, unique), ``version``, ``retired`` and ``changed_at``. Every
state a record ever had lies in ``history``, which the file itself refuses to
change or to shorten.
"""

from __future__ import annotations

from sqlalchemy import (
    JSON,
    Boolean,
    Column,
    Date,
    Float,
    ForeignKey,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)

# "LOSE" in ASCII: how a workshop file is told from any other SQLite file.
APPLICATION_ID = 0x4C4F5345
# Number of the newest migration; the file carries it as its user_version.
SCHEMA_VERSION = 3

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _json(name: str) -> Column[object]:
    return Column(name, JSON(none_as_null=True))


def _bookkeeping() -> list[Column[object]]:
    columns: list[Column[object]] = [
        Column("id", Integer, primary_key=True),
        Column("name_key", Text, nullable=False, unique=True),
        Column("version", Integer, nullable=False),
        Column("retired", Boolean, nullable=False),
        Column("changed_at", Text, nullable=False),
    ]
    return columns


bow = Table(
    "bow",
    metadata,
    *_bookkeeping(),
    Column("name", Text, nullable=False, unique=True),
    Column("make", Text),
    Column("length_in", Float),
    Column("brace_height_in", Float),
    Column("draw_measured", Text),
    _json("draw_readings"),
    Column("drawn_to_limit_in", Float),
    Column("plate_offset_in", Float),
    Column("plate_offset_error_in", Float),
    Column("plate_material", Text),
    Column("shelf_material", Text),
    Column("nocking_height_in", Float),
    Column("string_material", Text),
    Column("string_mass_gr", Float),
    Column("hand", Text, nullable=False),
    _json("speed_readings"),
    Column("maker_minimum_arrow_gr", Float),
    Column("loaner", Boolean),
    Column("remarks", Text),
    Column("invented", Boolean, nullable=False),
)

archer = Table(
    "archer",
    metadata,
    *_bookkeeping(),
    Column("name", Text, nullable=False, unique=True),
    Column("draw_length_in", Float),
    Column("draw_measured", Text),
    Column("draw_method", Text),
    Column("draw_error_in", Float),
    Column("draw_date", Date),
    Column("hand", Text, nullable=False),
    Column("hook", Text),
    Column("loose", Text),
    Column("cant_deg", Float),
    Column("child", Boolean),
    Column("experience", Text),
    Column("remarks", Text),
    Column("invented", Boolean, nullable=False),
)

shaft = Table(
    "shaft",
    metadata,
    *_bookkeeping(),
    Column("name", Text, nullable=False, unique=True),
    Column("kind", Text),
    Column("material", Text),
    Column("length_in", Float),
    _json("stations"),
    Column("wall_in", Float),
    Column("weight_gr", Float),
    Column("weight_error_gr", Float),
    _json("bench_readings"),
    _json("joints"),
    _json("sections"),
    Column("kept_where", Text),
    _json("inspection"),
    _json("weighings"),
    _json("taps"),
    Column("remarks", Text),
    Column("invented", Boolean, nullable=False),
)

arrow = Table(
    "arrow",
    metadata,
    *_bookkeeping(),
    Column("name", Text, nullable=False, unique=True),
    Column("shaft", Text, ForeignKey("shaft.name", onupdate="CASCADE"), nullable=False),
    Column("length_in", Float),
    Column("point_kind", Text),
    Column("point_weight_gr", Float),
    Column("point_width_in", Float),
    Column("point_blade_length_in", Float),
    Column("point_blades", Integer),
    Column("nock_kind", Text),
    Column("nock_weight_gr", Float),
    Column("nock_fit", Text),
    Column("stiff_side_deg", Float),
    _json("fletching"),
    Column("weight_gr", Float),
    Column("balance_in", Float),
    _json("extra_parts"),
    Column("remarks", Text),
    Column("invented", Boolean, nullable=False),
)

jig = Table(
    "jig",
    metadata,
    *_bookkeeping(),
    Column("name", Text, nullable=False, unique=True),
    Column("span_in", Float),
    Column("span_error_in", Float),
    Column("load_lb", Float),
    Column("load_error_percent", Float),
    Column("reads", Text),
    Column("deflection_error_in", Float),
    Column("stiffness_factor", Float),
    Column("stiffness_factor_error_percent", Float),
    Column("checked_on", Date),
    Column("checked_with", Text),
    Column("remarks", Text),
    Column("invented", Boolean, nullable=False),
)

# Called arrow_set in the file, because SET is a word of the language the file speaks.
arrow_set = Table(
    "arrow_set",
    metadata,
    *_bookkeeping(),
    Column("name", Text, nullable=False, unique=True),
    Column("code", Text),
    Column("bow", Text, ForeignKey("bow.name", onupdate="CASCADE")),
    Column("archer", Text, ForeignKey("archer.name", onupdate="CASCADE")),
    _json("members"),
    Column("made_on", Date),
    Column("purpose", Text),
    Column("remarks", Text),
    Column("invented", Boolean, nullable=False),
)

history = Table(
    "history",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("record_id", Integer, nullable=False),
    Column("version", Integer, nullable=False),
    Column("at", Text, nullable=False),
    Column("what", Text, nullable=False),
    Column("record", JSON, nullable=False),
    UniqueConstraint("kind", "record_id", "version"),
)

KINDS: dict[str, Table] = {
    "bow": bow,
    "archer": archer,
    "shaft": shaft,
    "arrow": arrow,
    "jig": jig,
    "set": arrow_set,
}
BOOKKEEPING = ("id", "name_key", "version", "retired", "changed_at")


def triggers() -> dict[str, str]:
    """The triggers that keep what was written, by name."""
    kept = {
        "history_is_not_changed": (
            "CREATE TRIGGER history_is_not_changed BEFORE UPDATE ON history BEGIN "
            "SELECT RAISE(ABORT, 'history is never changed'); END"
        ),
        "history_is_not_deleted": (
            "CREATE TRIGGER history_is_not_deleted BEFORE DELETE ON history BEGIN "
            "SELECT RAISE(ABORT, 'history is never deleted'); END"
        ),
    }
    for kind, table in KINDS.items():
        kept[f"{kind}_is_not_deleted"] = (
            f"CREATE TRIGGER {kind}_is_not_deleted BEFORE DELETE ON {table.name} BEGIN "
            f"SELECT RAISE(ABORT, 'a {kind} is retired, never deleted'); END"
        )
    return kept
