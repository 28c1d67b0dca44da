"""The boost target of a car, the engine speed a boost was read at, and which logs over target were looked at."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0011"
down_revision: str | None = "0010"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    op.create_table(
        "boost_target",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("curve", sa.Text(), nullable=False),
        sa.Column("tolerance", sa.REAL(), nullable=False),
        sa.Column("boost_limit", sa.REAL(), nullable=True),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("basis", sa.Text(), nullable=False),
        sa.Column("barometer_value", sa.REAL(), nullable=True),
        sa.Column("barometer_unit", sa.Text(), nullable=True),
        sa.Column("altitude_m", sa.REAL(), nullable=True),
        sa.Column("source", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("id"),
        sa.ForeignKeyConstraint(["car"], ["car.id"]),
        sqlite_strict=True,
    )
    op.create_index("ix_boost_target_car", "boost_target", ["car"])
    op.create_table(
        "overboost",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("trace", sa.Text(), nullable=False),
        sa.Column("looked_at", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("id"),
        sa.ForeignKeyConstraint(["trace"], ["trace.id"]),
        sqlite_strict=True,
    )
    op.create_index("ix_overboost_trace", "overboost", ["trace"])
    # Not by making the table anew: others refer to it.
    op.execute("ALTER TABLE reading ADD COLUMN engine_speed REAL")


def downgrade() -> None:
    raise NotImplementedError("A record is never taken back to an older form: restore a backup instead.")
