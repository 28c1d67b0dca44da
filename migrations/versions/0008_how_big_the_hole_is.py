"""How big the hole is: the figures of a car by which it is reckoned."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0008"
down_revision: str | None = "0007"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None

_FIGURES = ("displacement_l", "idle_airflow_gs", "ve_idle", "ve_full", "reservoir_l", "charge_side_l")


def upgrade() -> None:
    op.create_table(
        "car_figures",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("cylinders", sa.Integer(), nullable=True),
        *(sa.Column(name, sa.REAL(), nullable=True) for name in _FIGURES),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["car"], ["car.id"]),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    op.create_index("ix_car_figures_car", "car_figures", ["car"], unique=False)


def downgrade() -> None:
    raise NotImplementedError("A record is never taken back to an older form: restore a backup instead.")
