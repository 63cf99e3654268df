"""Outings, the answers given to them, and what was set aside of the answers."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """The file of version 4, from one of version 3."""
    op.create_table(
        "outing",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name_key", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("bow", sa.Text(), nullable=False),
        sa.Column("archer", sa.Text(), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("distance_yd", sa.Float(), nullable=False),
        sa.Column("shots", sa.JSON()),
        sa.Column("arrow", sa.Text()),
        sa.Column("positions_from", sa.Text(), nullable=False),
        sa.Column("brace_height_in", sa.Float()),
        sa.Column("nocking_height_in", sa.Float()),
        sa.Column("temperature_f", sa.Float()),
        sa.Column("wind_left_fps", sa.Float()),
        sa.Column("change", sa.JSON()),
        sa.Column("remarks", sa.Text()),
        sa.Column("invented", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_outing"),
        sa.UniqueConstraint("name_key", name="uq_outing_name_key"),
        sa.UniqueConstraint("name", name="uq_outing_name"),
        sa.ForeignKeyConstraint(
            ["bow"], ["bow.name"], name="fk_outing_bow_bow", onupdate="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["archer"], ["archer.name"], name="fk_outing_archer_archer", onupdate="CASCADE"
        ),
    )
    op.create_table(
        "answer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("outing_id", sa.Integer(), nullable=False),
        sa.Column("outing_version", sa.Integer(), nullable=False),
        sa.Column("outing", sa.Text(), nullable=False),
        sa.Column("bow_id", sa.Integer(), nullable=False),
        sa.Column("archer_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("engine", sa.Text(), nullable=False),
        sa.Column("seed", sa.Integer(), nullable=False),
        sa.Column("answer", sa.JSON(), nullable=False),
        sa.Column("learned", sa.JSON()),
        sa.PrimaryKeyConstraint("id", name="pk_answer"),
    )
    op.create_table(
        "set_aside",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("bow_id", sa.Integer()),
        sa.Column("archer_id", sa.Integer()),
        sa.Column("last_answer_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_set_aside"),
    )
    op.execute(
        "CREATE TRIGGER outing_is_not_deleted BEFORE DELETE ON outing BEGIN "
        "SELECT RAISE(ABORT, 'a outing is retired, never deleted'); END"
    )
    for name in ("answer", "set_aside"):
        for word, deed in (("changed", "UPDATE"), ("deleted", "DELETE")):
            op.execute(
                f"CREATE TRIGGER {name}_is_not_{word} BEFORE {deed} ON {name} BEGIN "
                f"SELECT RAISE(ABORT, '{name.replace('_', ' ')} is never {word}'); END"
            )
    op.execute("PRAGMA user_version = 4")


def downgrade() -> None:
    """Refused: going back would lose records; open a backup instead."""
    raise NotImplementedError("A workshop file never goes back; open a backup instead.")
