"""The first workshop: bows, archers, shafts, arrows and their history."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def _bookkeeping() -> list[sa.Column[object]]:
    columns: list[sa.Column[object]] = [
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name_key", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
    ]
    return columns


def _keys(table: str) -> list[sa.Constraint]:
    return [
        sa.PrimaryKeyConstraint("id", name=f"pk_{table}"),
        sa.UniqueConstraint("name_key", name=f"uq_{table}_name_key"),
        sa.UniqueConstraint("name", name=f"uq_{table}_name"),
    ]


def upgrade() -> None:
    """The file of version 1, from an empty one."""
    op.create_table(
        "bow",
        *_bookkeeping(),
        sa.Column("make", sa.Text()),
        sa.Column("length_in", sa.Float()),
        sa.Column("brace_height_in", sa.Float()),
        sa.Column("draw_measured", sa.Text()),
        sa.Column("draw_readings", sa.JSON()),
        sa.Column("drawn_to_limit_in", sa.Float()),
        sa.Column("plate_offset_in", sa.Float()),
        sa.Column("plate_offset_error_in", sa.Float()),
        sa.Column("plate_material", sa.Text()),
        sa.Column("shelf_material", sa.Text()),
        sa.Column("nocking_height_in", sa.Float()),
        sa.Column("string_material", sa.Text()),
        sa.Column("string_mass_gr", sa.Float()),
        sa.Column("hand", sa.Text(), nullable=False),
        sa.Column("speed_readings", sa.JSON()),
        sa.Column("maker_minimum_arrow_gr", sa.Float()),
        sa.Column("loaner", sa.Boolean()),
        sa.Column("remarks", sa.Text()),
        sa.Column("invented", sa.Boolean(), nullable=False),
        *_keys("bow"),
    )
    op.create_table(
        "archer",
        *_bookkeeping(),
        sa.Column("draw_length_in", sa.Float()),
        sa.Column("draw_measured", sa.Text()),
        sa.Column("draw_method", sa.Text()),
        sa.Column("draw_error_in", sa.Float()),
        sa.Column("draw_date", sa.Date()),
        sa.Column("hand", sa.Text(), nullable=False),
        sa.Column("hook", sa.Text()),
        sa.Column("loose", sa.Text()),
        sa.Column("child", sa.Boolean()),
        sa.Column("experience", sa.Text()),
        sa.Column("remarks", sa.Text()),
        sa.Column("invented", sa.Boolean(), nullable=False),
        *_keys("archer"),
    )
    op.create_table(
        "shaft",
        *_bookkeeping(),
        sa.Column("kind", sa.Text()),
        sa.Column("material", sa.Text()),
        sa.Column("length_in", sa.Float()),
        sa.Column("stations", sa.JSON()),
        sa.Column("wall_in", sa.Float()),
        sa.Column("weight_gr", sa.Float()),
        sa.Column("weight_error_gr", sa.Float()),
        sa.Column("bench_readings", sa.JSON()),
        sa.Column("kept_where", sa.Text()),
        sa.Column("inspection", sa.JSON()),
        sa.Column("remarks", sa.Text()),
        sa.Column("invented", sa.Boolean(), nullable=False),
        *_keys("shaft"),
    )
    op.create_table(
        "arrow",
        *_bookkeeping(),
        sa.Column("shaft", sa.Text(), nullable=False),
        sa.Column("length_in", sa.Float()),
        sa.Column("point_kind", sa.Text()),
        sa.Column("point_weight_gr", sa.Float()),
        sa.Column("nock_kind", sa.Text()),
        sa.Column("nock_weight_gr", sa.Float()),
        sa.Column("fletching", sa.JSON()),
        sa.Column("weight_gr", sa.Float()),
        sa.Column("balance_in", sa.Float()),
        sa.Column("remarks", sa.Text()),
        sa.Column("invented", sa.Boolean(), nullable=False),
        *_keys("arrow"),
        sa.ForeignKeyConstraint(
            ["shaft"], ["shaft.name"], name="fk_arrow_shaft_shaft", onupdate="CASCADE"
        ),
    )
    op.create_table(
        "history",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("record_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("record", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_history"),
        sa.UniqueConstraint(
            "kind", "record_id", "version", name="uq_history_kind_record_id_version"
        ),
    )
    op.execute(
        "CREATE TRIGGER history_is_not_changed BEFORE UPDATE ON history BEGIN "
        "SELECT RAISE(ABORT, 'history is never changed'); END"
    )
    op.execute(
        "CREATE TRIGGER history_is_not_deleted BEFORE DELETE ON history BEGIN "
        "SELECT RAISE(ABORT, 'history is never deleted'); END"
    )
    for kind in ("bow", "archer", "shaft", "arrow"):
        op.execute(
            f"CREATE TRIGGER {kind}_is_not_deleted BEFORE DELETE ON {kind} BEGIN "
            f"SELECT RAISE(ABORT, 'a {kind} is retired, never deleted'); END"
        )
    op.execute("PRAGMA user_version = 1")


def downgrade() -> None:
    """Refused: going back would lose records; open a backup instead."""
    raise NotImplementedError("A workshop file never goes back; open a backup instead.")
