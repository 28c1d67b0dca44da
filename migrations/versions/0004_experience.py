"""What a fitter knows better: tools, suspects of their own, overruled grades, and tickets that are not to teach."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0004"
down_revision: str | None = "0003"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    op.create_table("tool", *_recorded("tool"), sa.Column("owned", sa.Integer(), nullable=False), **_END)
    own = _recorded("car", "label", "behaves_like", "likely")
    op.create_table(
        "own_suspect", *own, sa.Column("note", sa.Text()), sa.ForeignKeyConstraint(["car"], ["car.id"]), **_END
    )
    overrule = _recorded("car", "kind", "sign", "outcome", "grade", "note")
    op.create_table("overrule", *overrule, sa.ForeignKeyConstraint(["car"], ["car.id"]), **_END)
    for table in ("own_suspect", "overrule"):
        op.create_index(f"ix_{table}_car", table, ["car"])
    # Not by making the tables anew: others refer to them.
    for table, column in (("ticket", "found_own_suspect"), ("direct_check", "own_suspect")):
        op.execute(f"ALTER TABLE {table} ADD COLUMN {column} TEXT REFERENCES own_suspect (id)")
        op.create_index(f"ix_{table}_{column}", table, [column])
    op.execute("ALTER TABLE ticket ADD COLUMN teaches INTEGER NOT NULL DEFAULT 1")


_END = {"sqlite_strict": True}


def _recorded(*texts: str) -> list[sa.Column[str] | sa.PrimaryKeyConstraint]:
    return [
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        *(sa.Column(name, sa.Text(), nullable=False) for name in texts),
        sa.PrimaryKeyConstraint("id"),
    ]


def downgrade() -> None:
    raise NotImplementedError("A record is never taken back to an older form: restore a backup instead.")
