"""The tables of a workshop file: one column a record field, lists as JSON.

Beside the fields every table keeps ``id``, ``name_key`` (the name without
regard to capitals, unique), ``version``, ``retired`` and ``changed_at``. Every
state a record ever had lies in ``history``; what was answered to an outing lies
in ``answer``, and what was set aside of it in ``set_aside``. These three the file
itself refuses to change or to shorten.
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
SCHEMA_VERSION = 6

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

outing = Table(
    "outing",
    metadata,
    *_bookkeeping(),
    Column("name", Text, nullable=False, unique=True),
    Column("bow", Text, ForeignKey("bow.name", onupdate="CASCADE"), nullable=False),
    Column("archer", Text, ForeignKey("archer.name", onupdate="CASCADE"), nullable=False),
    Column("on", Date, nullable=False),
    Column("distance_yd", Float, nullable=False),
    _json("shots"),
    Column("arrow", Text),
    Column("positions_from", Text, nullable=False),
    Column("brace_height_in", Float),
    Column("nocking_height_in", Float),
    Column("temperature_f", Float),
    Column("wind_left_fps", Float),
    _json("change"),
    Column("remarks", Text),
    Column("invented", Boolean, nullable=False),
)

string = Table(
    "string",
    metadata,
    *_bookkeeping(),
    Column("name", Text, nullable=False, unique=True),
    Column("bow", Text, ForeignKey("bow.name", onupdate="CASCADE")),
    Column("fibre", Text),
    Column("home_made", Boolean),
    Column("loops", Text),
    Column("strands", Integer),
    Column("plies", Integer),
    Column("twists", Integer),
    Column("strand_strength_lb", Float),
    _json("samples"),
    Column("strand_length_in", Float),
    Column("strand_weight_gr", Float),
    Column("length_in", Float),
    Column("weight_gr", Float),
    Column("diameter_in", Float),
    Column("serving_length_in", Float),
    Column("serving_thread_in", Float),
    Column("serving_diameter_in", Float),
    Column("nock_slot_in", Float),
    Column("maker_allows_low_stretch", Boolean),
    Column("made_on", Date),
    Column("remarks", Text),
    Column("invented", Boolean, nullable=False),
)

# Called class_roster in the file, since a class there is many other things too.
class_roster = Table(
    "class_roster",
    metadata,
    *_bookkeeping(),
    Column("name", Text, nullable=False, unique=True),
    Column("on", Date),
    _json("people"),
    _json("bows"),
    _json("sets"),
    _json("arrows"),
    Column("arrows_each", Integer),
    Column("turns", Integer),
    Column("loss_percent", Float),
    _json("rules"),
    _json("held"),
    _json("people_out"),
    _json("bows_out"),
    _json("arrows_out"),
    Column("remarks", Text),
    Column("invented", Boolean, nullable=False),
)

# What was answered to an outing, and what was learned by it; and what was later set aside of it.
# Bow, archer and outing are told by their ids, which no renaming moves.
answer = Table(
    "answer",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("outing_id", Integer, nullable=False),
    Column("outing_version", Integer, nullable=False),
    Column("outing", Text, nullable=False),
    Column("bow_id", Integer, nullable=False),
    Column("archer_id", Integer, nullable=False),
    Column("at", Text, nullable=False),
    Column("engine", Text, nullable=False),
    Column("seed", Integer, nullable=False),
    Column("answer", JSON, nullable=False),
    _json("learned"),
)
set_aside = Table(
    "set_aside",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("bow_id", Integer),
    Column("archer_id", Integer),
    Column("last_answer_id", Integer, nullable=False),
    Column("at", Text, nullable=False),
    Column("why", Text, nullable=False),
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
    "outing": outing,
    "string": string,
    "class": class_roster,
}
BOOKKEEPING = ("id", "name_key", "version", "retired", "changed_at")


def triggers() -> dict[str, str]:
    """The triggers that keep what was written, by name."""
    kept = {}
    for name in ("history", "answer", "set_aside"):
        for word, deed in (("changed", "UPDATE"), ("deleted", "DELETE")):
            kept[f"{name}_is_not_{word}"] = (
                f"CREATE TRIGGER {name}_is_not_{word} BEFORE {deed} ON {name} BEGIN "
                f"SELECT RAISE(ABORT, '{name.replace('_', ' ')} is never {word}'); END"
            )
    for kind, table in KINDS.items():
        kept[f"{kind}_is_not_deleted"] = (
            f"CREATE TRIGGER {kind}_is_not_deleted BEFORE DELETE ON {table.name} BEGIN "
            f"SELECT RAISE(ABORT, 'a {kind} is retired, never deleted'); END"
        )
    return kept
