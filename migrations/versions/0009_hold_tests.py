"""Hold tests: a line or a set of lines shut under vacuum or pressure, and timed."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0009"
down_revision: str | None = "0008"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None

_OF = ("car", "line", "ticket", "job")


def upgrade() -> None:
    op.create_table(
        "hold_test",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        *(sa.Column(name, sa.Text(), nullable=name != "car") for name in _OF),
        sa.Column("branch", sa.Text(), nullable=True),
        *(sa.Column(name, sa.Text(), nullable=False) for name in ("medium", "unit")),
        sa.Column("ambient_kpa", sa.REAL(), nullable=False),
        *(sa.Column(name, sa.REAL(), nullable=True) for name in ("volume_ml", "most_value")),
        *(sa.Column(name, sa.REAL(), nullable=False) for name in ("start_value", "end_value")),
        *(sa.Column(name, sa.Text(), nullable=False) for name in ("started_at", "ended_at")),
        sa.Column("readings", sa.Text(), nullable=True),
        *(sa.Column(name, sa.REAL(), nullable=True) for name in ("start_c", "end_c")),
        sa.Column("limit_from", sa.Text(), nullable=False),
        *(sa.Column(name, sa.REAL(), nullable=False) for name in ("limit_loss", "limit_s")),
        sa.Column("passed", sa.Integer(), nullable=True),
        sa.Column("hole_mm", sa.REAL(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("id"),
        *(sa.ForeignKeyConstraint([name], [f"{name}.id"]) for name in _OF),
        sqlite_strict=True,
    )
    for name in _OF:
        op.create_index(f"ix_hold_test_{name}", "hold_test", [name])


def downgrade() -> None:
    raise NotImplementedError("A record is never taken back to an older form: restore a backup instead.")
