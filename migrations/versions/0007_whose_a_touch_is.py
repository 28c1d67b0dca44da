"""Whose a touch is, beside whose job it was in, and the last look at each joint, line or component.

They are then looked up, whatever else was written down in ten years.
"""

from collections.abc import Sequence

from alembic import op

revision: str = "0007"
down_revision: str | None = "0006"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    # Not by making the table anew: others refer to it.
    op.execute("ALTER TABLE touch ADD COLUMN car TEXT")
    op.execute("UPDATE touch SET car = (SELECT car FROM job WHERE id = touch.job)")
    op.execute("DROP INDEX ix_touch_at")
    op.execute("CREATE INDEX ix_touch_past ON touch (car, at, id) WHERE void_reason IS NULL")
    op.execute("CREATE INDEX ix_joint_check_last ON joint_check (joint, done_at) WHERE void_reason IS NULL")
    for of in ("line", "component"):
        op.execute(f"CREATE INDEX ix_joint_check_of_{of} ON joint_check ({of}, done_at) WHERE {of} IS NOT NULL")


def downgrade() -> None:
    raise NotImplementedError("A record is never taken back to an older form: restore a backup instead.")
