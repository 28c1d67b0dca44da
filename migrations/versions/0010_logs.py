"""Logs of drives: their files, how each logger writes, and what a log holds."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0010"
down_revision: str | None = "0009"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None

_OTHERS = ("car", "job", "drive", "logger")


def upgrade() -> None:
    op.create_table(
        "log_file",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("received_at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    op.create_table(
        "log_piece",
        sa.Column("log", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("deflated", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("log", "number"),
        sqlite_strict=True,
    )
    op.create_table(
        "logger",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("columns", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    op.create_table(
        "trace",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("job", sa.Text(), nullable=True),
        sa.Column("drive", sa.Text(), nullable=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("begun_at", sa.Text(), nullable=False),
        sa.Column("logger", sa.Text(), nullable=True),
        sa.Column("columns", sa.Text(), nullable=True),
        sa.Column("ambient_kpa", sa.REAL(), nullable=True),
        sa.Column("seconds", sa.REAL(), nullable=True),
        sa.Column("channels", sa.Text(), nullable=True),
        sa.Column("rows", sa.Integer(), nullable=True),
        sa.Column("bad_rows", sa.Integer(), nullable=True),
        sa.Column("bad_cells", sa.Integer(), nullable=True),
        sa.Column("trouble", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        *(sa.ForeignKeyConstraint([name], [f"{name}.id"]) for name in _OTHERS),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    for name in _OTHERS:
        op.create_index(f"ix_trace_{name}", "trace", [name])


def downgrade() -> None:
    raise NotImplementedError("A record is never taken back to an older form: restore a backup instead.")
