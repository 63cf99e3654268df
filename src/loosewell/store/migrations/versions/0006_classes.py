"""Classes: people, bows, arrows, rules of the range, and the plan that was kept."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """The file of version 6, from one of version 5."""
    op.create_table(
        "class_roster",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name_key", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("on", sa.Date()),
        sa.Column("people", sa.JSON()),
        sa.Column("bows", sa.JSON()),
        sa.Column("sets", sa.JSON()),
        sa.Column("arrows", sa.JSON()),
        sa.Column("arrows_each", sa.Integer()),
        sa.Column("turns", sa.Integer()),
        sa.Column("loss_percent", sa.Float()),
        sa.Column("rules", sa.JSON()),
        sa.Column("held", sa.JSON()),
        sa.Column("people_out", sa.JSON()),
        sa.Column("bows_out", sa.JSON()),
        sa.Column("arrows_out", sa.JSON()),
        sa.Column("remarks", sa.Text()),
        sa.Column("invented", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_class_roster"),
        sa.UniqueConstraint("name_key", name="uq_class_roster_name_key"),
        sa.UniqueConstraint("name", name="uq_class_roster_name"),
    )
    op.execute(
        "CREATE TRIGGER class_is_not_deleted BEFORE DELETE ON class_roster BEGIN "
        "SELECT RAISE(ABORT, 'a class is retired, never deleted'); END"
    )
    op.execute("PRAGMA user_version = 6")


def downgrade() -> None:
    """Refused: going back would lose records; open a backup instead."""
    raise NotImplementedError("A workshop file never goes back; open a backup instead.")
