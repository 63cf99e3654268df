"""Jigs and sets; weighings and taps of a shaft; further parts of an arrow.

The readings and inspections inside a shaft gained parts of their own; a reading or an
inspection written before stays as it was, and what it was not asked is unknown.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
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
    """The file of version 3, from one of version 2."""
    op.add_column("shaft", sa.Column("weighings", sa.JSON()))
    op.add_column("shaft", sa.Column("taps", sa.JSON()))
    op.execute("UPDATE shaft SET weighings = '[]', taps = '[]'")
    op.add_column("arrow", sa.Column("extra_parts", sa.JSON()))
    op.execute("UPDATE arrow SET extra_parts = '[]'")
    op.create_table(
        "jig",
        *_bookkeeping(),
        sa.Column("span_in", sa.Float()),
        sa.Column("span_error_in", sa.Float()),
        sa.Column("load_lb", sa.Float()),
        sa.Column("load_error_percent", sa.Float()),
        sa.Column("reads", sa.Text()),
        sa.Column("deflection_error_in", sa.Float()),
        sa.Column("stiffness_factor", sa.Float()),
        sa.Column("stiffness_factor_error_percent", sa.Float()),
        sa.Column("checked_on", sa.Date()),
        sa.Column("checked_with", sa.Text()),
        sa.Column("remarks", sa.Text()),
        sa.Column("invented", sa.Boolean(), nullable=False),
        *_keys("jig"),
    )
    op.create_table(
        "arrow_set",
        *_bookkeeping(),
        sa.Column("code", sa.Text()),
        sa.Column("bow", sa.Text()),
        sa.Column("archer", sa.Text()),
        sa.Column("members", sa.JSON()),
        sa.Column("made_on", sa.Date()),
        sa.Column("purpose", sa.Text()),
        sa.Column("remarks", sa.Text()),
        sa.Column("invented", sa.Boolean(), nullable=False),
        *_keys("arrow_set"),
        sa.ForeignKeyConstraint(
            ["bow"], ["bow.name"], name="fk_arrow_set_bow_bow", onupdate="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["archer"], ["archer.name"], name="fk_arrow_set_archer_archer", onupdate="CASCADE"
        ),
    )
    for kind, table in (("jig", "jig"), ("set", "arrow_set")):
        op.execute(
            f"CREATE TRIGGER {kind}_is_not_deleted BEFORE DELETE ON {table} BEGIN "
            f"SELECT RAISE(ABORT, 'a {kind} is retired, never deleted'); END"
        )
    op.execute("PRAGMA user_version = 3")


def downgrade() -> None:
    """Refused: going back would lose records; open a backup instead."""
    raise NotImplementedError("A workshop file never goes back; open a backup instead.")
