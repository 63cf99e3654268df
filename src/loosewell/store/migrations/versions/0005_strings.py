"""Strings: what they are made of, what pieces of them broke at, what they measure."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """The file of version 5, from one of version 4."""
    op.create_table(
        "string",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name_key", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("bow", sa.Text()),
        sa.Column("fibre", sa.Text()),
        sa.Column("home_made", sa.Boolean()),
        sa.Column("loops", sa.Text()),
        sa.Column("strands", sa.Integer()),
        sa.Column("plies", sa.Integer()),
        sa.Column("twists", sa.Integer()),
        sa.Column("strand_strength_lb", sa.Float()),
        sa.Column("samples", sa.JSON()),
        sa.Column("strand_length_in", sa.Float()),
        sa.Column("strand_weight_gr", sa.Float()),
        sa.Column("length_in", sa.Float()),
        sa.Column("weight_gr", sa.Float()),
        sa.Column("diameter_in", sa.Float()),
        sa.Column("serving_length_in", sa.Float()),
        sa.Column("serving_thread_in", sa.Float()),
        sa.Column("serving_diameter_in", sa.Float()),
        sa.Column("nock_slot_in", sa.Float()),
        sa.Column("maker_allows_low_stretch", sa.Boolean()),
        sa.Column("made_on", sa.Date()),
        sa.Column("remarks", sa.Text()),
        sa.Column("invented", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_string"),
        sa.UniqueConstraint("name_key", name="uq_string_name_key"),
        sa.UniqueConstraint("name", name="uq_string_name"),
        sa.ForeignKeyConstraint(
            ["bow"], ["bow.name"], name="fk_string_bow_bow", onupdate="CASCADE"
        ),
    )
    op.execute(
        "CREATE TRIGGER string_is_not_deleted BEFORE DELETE ON string BEGIN "
        "SELECT RAISE(ABORT, 'a string is retired, never deleted'); END"
    )
    op.execute("PRAGMA user_version = 5")


def downgrade() -> None:
    """Refused: going back would lose records; open a backup instead."""
    raise NotImplementedError("A workshop file never goes back; open a backup instead.")
