"""Cant of the archer; joints and sections of a shaft; nock fit, stiff side and blades of an arrow.

What was not asked before is unknown (NULL) in every record already there; a shaft
then had no joints and no sections on record, which is the empty list.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """The file of version 2, from one of version 1."""
    op.add_column("archer", sa.Column("cant_deg", sa.Float()))
    op.add_column("shaft", sa.Column("joints", sa.JSON()))
    op.add_column("shaft", sa.Column("sections", sa.JSON()))
    op.execute("UPDATE shaft SET joints = '[]', sections = '[]'")
    op.add_column("arrow", sa.Column("point_width_in", sa.Float()))
    op.add_column("arrow", sa.Column("point_blade_length_in", sa.Float()))
    op.add_column("arrow", sa.Column("point_blades", sa.Integer()))
    op.add_column("arrow", sa.Column("nock_fit", sa.Text()))
    op.add_column("arrow", sa.Column("stiff_side_deg", sa.Float()))
    op.execute("PRAGMA user_version = 2")


def downgrade() -> None:
    """Refused: going back would lose records; open a backup instead."""
    raise NotImplementedError("A workshop file never goes back; open a backup instead.")
