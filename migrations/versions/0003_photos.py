"""Photos, and their pictures."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0003"
down_revision: str | None = "0002"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None

_ABOUT = ("car", "job", "ticket", "line", "component")


def upgrade() -> None:
    op.create_table(
        "picture",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("jpeg", sa.LargeBinary(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("sent_sha256", sa.Text(), nullable=False),
        sa.Column("received_at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    op.create_table(
        "photo",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("job", sa.Text(), nullable=True),
        sa.Column("ticket", sa.Text(), nullable=True),
        sa.Column("line", sa.Text(), nullable=True),
        sa.Column("component", sa.Text(), nullable=True),
        sa.Column("taken_at", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        *(sa.ForeignKeyConstraint([name], [f"{name}.id"]) for name in _ABOUT),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("photo", schema=None) as batch_op:
        for name in _ABOUT:
            batch_op.create_index(f"ix_photo_{name}", [name], unique=False)


def downgrade() -> None:
    raise NotImplementedError("A record is never taken back to an older form: restore a backup instead.")
