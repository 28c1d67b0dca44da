"""The first form of the record."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0001"
down_revision: str | None = None
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    op.create_table(
        "car",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("about", sa.Text(), nullable=True),
        sa.Column("layout", sa.Text(), nullable=False),
        sa.Column("fuel", sa.Text(), nullable=False),
        sa.Column("has_airflow_meter", sa.Integer(), nullable=False),
        sa.Column("throttle_vacuum", sa.Integer(), nullable=False),
        sa.Column("turbocharged", sa.Integer(), nullable=False),
        sa.Column("distance_unit", sa.Text(), nullable=False),
        sa.Column("altitude_m", sa.REAL(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    op.create_table(
        "entry",
        sa.Column("seq", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("record", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("fields", sa.Text(), nullable=False),
        sa.Column("happened_at", sa.Text(), nullable=False),
        sa.Column("entered_at", sa.Text(), nullable=False),
        sa.Column("counted_at", sa.Text(), nullable=False),
        sa.Column("entered_by", sa.Text(), nullable=False),
        sa.Column("received_at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("seq"),
        sa.UniqueConstraint("id"),
        sqlite_autoincrement=True,
        sqlite_strict=True,
    )
    with op.batch_alter_table("entry", schema=None) as batch_op:
        batch_op.create_index("ix_entry_record", ["kind", "record", "seq"], unique=False)

    op.create_table(
        "odometer",
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("record", sa.Text(), nullable=False),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("reads", sa.REAL(), nullable=False),
        sa.PrimaryKeyConstraint("kind", "record"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("odometer", schema=None) as batch_op:
        batch_op.create_index("ix_odometer_car_at", ["car", "at"], unique=False)

    op.create_table(
        "baseline",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("condition", sa.Text(), nullable=False),
        sa.Column("centre", sa.REAL(), nullable=False),
        sa.Column("spread", sa.REAL(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("basis", sa.Text(), nullable=True),
        sa.Column("barometer_value", sa.REAL(), nullable=True),
        sa.Column("barometer_unit", sa.Text(), nullable=True),
        sa.Column("altitude_m", sa.REAL(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("centre_si", sa.REAL(), nullable=True),
        sa.Column("spread_si", sa.REAL(), nullable=True),
        sa.ForeignKeyConstraint(
            ["car"],
            ["car.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("baseline", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_baseline_car"), ["car"], unique=False)

    op.create_table(
        "component",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("x", sa.REAL(), nullable=True),
        sa.Column("y", sa.REAL(), nullable=True),
        sa.Column("w", sa.REAL(), nullable=True),
        sa.Column("h", sa.REAL(), nullable=True),
        sa.Column("fitted_on", sa.Text(), nullable=True),
        sa.Column("fitted_odometer", sa.REAL(), nullable=True),
        sa.Column("retired_on", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["car"],
            ["car.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("component", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_component_car"), ["car"], unique=False)

    op.create_table(
        "drive",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("odometer", sa.REAL(), nullable=False),
        sa.Column("heat_cycles", sa.Integer(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["car"],
            ["car.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("drive", schema=None) as batch_op:
        batch_op.create_index("ix_drive_at", ["car", "at"], unique=False)
        batch_op.create_index(batch_op.f("ix_drive_car"), ["car"], unique=False)

    op.create_table(
        "event",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("on_day", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["car"],
            ["car.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("event", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_event_car"), ["car"], unique=False)

    op.create_table(
        "job",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("opened_at", sa.Text(), nullable=False),
        sa.Column("odometer", sa.REAL(), nullable=True),
        sa.Column("air_temp_c", sa.REAL(), nullable=True),
        sa.Column("engine_cold", sa.Integer(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("closed_at", sa.Text(), nullable=True),
        sa.Column("carried_reason", sa.Text(), nullable=True),
        sa.Column("touched", sa.Integer(), server_default="0", nullable=False),
        sa.Column("ends_off", sa.Integer(), server_default="0", nullable=False),
        sa.Column("ends_on", sa.Integer(), server_default="0", nullable=False),
        sa.Column("ends_left", sa.Integer(), server_default="0", nullable=False),
        sa.ForeignKeyConstraint(
            ["car"],
            ["car.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("job", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_job_car"), ["car"], unique=False)
        batch_op.create_index("ix_job_opened", ["car", "opened_at"], unique=False)
        batch_op.create_index(
            "ix_job_unfinished", ["car"], unique=False, sqlite_where=sa.text("ends_left > 0 OR closed_at IS NULL")
        )

    op.create_table(
        "line",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("material", sa.Text(), nullable=True),
        sa.Column("bore_mm", sa.REAL(), nullable=True),
        sa.Column("length_mm", sa.REAL(), nullable=True),
        sa.Column("from_component", sa.Text(), nullable=False),
        sa.Column("to_component", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("part", sa.Text(), nullable=True),
        sa.Column("fitted_on", sa.Text(), nullable=True),
        sa.Column("fitted_odometer", sa.REAL(), nullable=True),
        sa.Column("route", sa.Text(), nullable=True),
        sa.Column("number", sa.Integer(), nullable=True),
        sa.Column("retired_on", sa.Text(), nullable=True),
        sa.Column("retired_reason", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["car"],
            ["car.id"],
        ),
        sa.ForeignKeyConstraint(
            ["from_component"],
            ["component.id"],
        ),
        sa.ForeignKeyConstraint(
            ["to_component"],
            ["component.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("line", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_line_car"), ["car"], unique=False)
        batch_op.create_index(batch_op.f("ix_line_from_component"), ["from_component"], unique=False)
        batch_op.create_index(batch_op.f("ix_line_to_component"), ["to_component"], unique=False)

    op.create_table(
        "reading",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("free_name", sa.Text(), nullable=True),
        sa.Column("condition", sa.Text(), nullable=False),
        sa.Column("value", sa.REAL(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("basis", sa.Text(), nullable=True),
        sa.Column("barometer_value", sa.REAL(), nullable=True),
        sa.Column("barometer_unit", sa.Text(), nullable=True),
        sa.Column("altitude_m", sa.REAL(), nullable=True),
        sa.Column("taken_at", sa.Text(), nullable=False),
        sa.Column("odometer", sa.REAL(), nullable=True),
        sa.Column("healthy", sa.Integer(), nullable=False),
        sa.Column("job", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("series", sa.Text(), nullable=False),
        sa.Column("si", sa.REAL(), nullable=True),
        sa.Column("ambient_kpa", sa.REAL(), nullable=True),
        sa.ForeignKeyConstraint(
            ["car"],
            ["car.id"],
        ),
        sa.ForeignKeyConstraint(
            ["job"],
            ["job.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("reading", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_reading_car"), ["car"], unique=False)
        batch_op.create_index(
            "ix_reading_healthy",
            ["car", "series", "taken_at"],
            unique=False,
            sqlite_where=sa.text("void_reason IS NULL AND healthy = 1"),
        )
        batch_op.create_index(batch_op.f("ix_reading_job"), ["job"], unique=False)
        batch_op.create_index(
            "ix_reading_past", ["car", "series", "taken_at"], unique=False, sqlite_where=sa.text("void_reason IS NULL")
        )

    op.create_table(
        "finding",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("job", sa.Text(), nullable=True),
        sa.Column("line", sa.Text(), nullable=True),
        sa.Column("component", sa.Text(), nullable=True),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("weight", sa.Text(), nullable=False),
        sa.Column("seen_at", sa.Text(), nullable=False),
        sa.Column("settled_at", sa.Text(), nullable=True),
        sa.Column("settled_how", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["car"],
            ["car.id"],
        ),
        sa.ForeignKeyConstraint(
            ["component"],
            ["component.id"],
        ),
        sa.ForeignKeyConstraint(
            ["job"],
            ["job.id"],
        ),
        sa.ForeignKeyConstraint(
            ["line"],
            ["line.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("finding", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_finding_car"), ["car"], unique=False)
        batch_op.create_index(batch_op.f("ix_finding_component"), ["component"], unique=False)
        batch_op.create_index(batch_op.f("ix_finding_job"), ["job"], unique=False)
        batch_op.create_index(batch_op.f("ix_finding_line"), ["line"], unique=False)

    op.create_table(
        "joint",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("line", sa.Text(), nullable=False),
        sa.Column("end", sa.Text(), nullable=False),
        sa.Column("hold", sa.Text(), nullable=True),
        sa.Column("hard_to_reach", sa.Integer(), nullable=False),
        sa.Column("torque_value", sa.REAL(), nullable=True),
        sa.Column("torque_tolerance", sa.REAL(), nullable=True),
        sa.Column("torque_unit", sa.Text(), nullable=True),
        sa.Column("torque_source", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["line"],
            ["line.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("joint", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_joint_line"), ["line"], unique=False)

    op.create_table(
        "part_change",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("job", sa.Text(), nullable=False),
        sa.Column("line", sa.Text(), nullable=True),
        sa.Column("component", sa.Text(), nullable=True),
        sa.Column("position", sa.Text(), nullable=True),
        sa.Column("off_part", sa.Text(), nullable=True),
        sa.Column("on_part", sa.Text(), nullable=True),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["component"],
            ["component.id"],
        ),
        sa.ForeignKeyConstraint(
            ["job"],
            ["job.id"],
        ),
        sa.ForeignKeyConstraint(
            ["line"],
            ["line.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("part_change", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_part_change_component"), ["component"], unique=False)
        batch_op.create_index(batch_op.f("ix_part_change_job"), ["job"], unique=False)
        batch_op.create_index(batch_op.f("ix_part_change_line"), ["line"], unique=False)

    op.create_table(
        "ticket",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("noticed_at", sa.Text(), nullable=False),
        sa.Column("noticed_odometer", sa.REAL(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("found_at", sa.Text(), nullable=True),
        sa.Column("found_line", sa.Text(), nullable=True),
        sa.Column("found_component", sa.Text(), nullable=True),
        sa.Column("found_suspect", sa.Text(), nullable=True),
        sa.Column("found_wrong", sa.Text(), nullable=True),
        sa.Column("repaired_at", sa.Text(), nullable=True),
        sa.Column("repaired_how", sa.Text(), nullable=True),
        sa.Column("repaired_note", sa.Text(), nullable=True),
        sa.Column("proved_at", sa.Text(), nullable=True),
        sa.Column("proof_reading", sa.Text(), nullable=True),
        sa.Column("proof_reason", sa.Text(), nullable=True),
        sa.Column("reopened_at", sa.Text(), nullable=True),
        sa.Column("reopened_reason", sa.Text(), nullable=True),
        sa.Column("stands", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["car"],
            ["car.id"],
        ),
        sa.ForeignKeyConstraint(
            ["found_component"],
            ["component.id"],
        ),
        sa.ForeignKeyConstraint(
            ["found_line"],
            ["line.id"],
        ),
        sa.ForeignKeyConstraint(
            ["proof_reading"],
            ["reading.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("ticket", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_ticket_car"), ["car"], unique=False)
        batch_op.create_index(batch_op.f("ix_ticket_found_component"), ["found_component"], unique=False)
        batch_op.create_index(batch_op.f("ix_ticket_found_line"), ["found_line"], unique=False)
        batch_op.create_index(batch_op.f("ix_ticket_proof_reading"), ["proof_reading"], unique=False)
        batch_op.create_index(batch_op.f("ix_ticket_stands"), ["stands"], unique=False)

    op.create_table(
        "touch",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("job", sa.Text(), nullable=False),
        sa.Column("line", sa.Text(), nullable=True),
        sa.Column("component", sa.Text(), nullable=True),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("ends", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["component"],
            ["component.id"],
        ),
        sa.ForeignKeyConstraint(
            ["job"],
            ["job.id"],
        ),
        sa.ForeignKeyConstraint(
            ["line"],
            ["line.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("touch", schema=None) as batch_op:
        batch_op.create_index("ix_touch_at", ["at"], unique=False)
        batch_op.create_index(batch_op.f("ix_touch_component"), ["component"], unique=False)
        batch_op.create_index(batch_op.f("ix_touch_job"), ["job"], unique=False)
        batch_op.create_index(
            "ix_touch_last", ["line", "at", "id"], unique=False, sqlite_where=sa.text("void_reason IS NULL")
        )
        batch_op.create_index(batch_op.f("ix_touch_line"), ["line"], unique=False)

    op.create_table(
        "direct_check",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("ticket", sa.Text(), nullable=False),
        sa.Column("line", sa.Text(), nullable=True),
        sa.Column("component", sa.Text(), nullable=True),
        sa.Column("suspect", sa.Text(), nullable=True),
        sa.Column("method", sa.Text(), nullable=False),
        sa.Column("result", sa.Text(), nullable=False),
        sa.Column("done_at", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["component"],
            ["component.id"],
        ),
        sa.ForeignKeyConstraint(
            ["line"],
            ["line.id"],
        ),
        sa.ForeignKeyConstraint(
            ["ticket"],
            ["ticket.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("direct_check", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_direct_check_component"), ["component"], unique=False)
        batch_op.create_index(batch_op.f("ix_direct_check_line"), ["line"], unique=False)
        batch_op.create_index(batch_op.f("ix_direct_check_ticket"), ["ticket"], unique=False)

    op.create_table(
        "loose_end",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("job", sa.Text(), nullable=False),
        sa.Column("joint", sa.Text(), nullable=False),
        sa.Column("back_on_at", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["job"],
            ["job.id"],
        ),
        sa.ForeignKeyConstraint(
            ["joint"],
            ["joint.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("loose_end", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_loose_end_job"), ["job"], unique=False)
        batch_op.create_index(batch_op.f("ix_loose_end_joint"), ["joint"], unique=False)

    op.create_table(
        "recheck",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("joint", sa.Text(), nullable=True),
        sa.Column("line", sa.Text(), nullable=True),
        sa.Column("component", sa.Text(), nullable=True),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("since_at", sa.Text(), nullable=False),
        sa.Column("since_odometer", sa.REAL(), nullable=True),
        sa.Column("after_heat_cycles", sa.Integer(), nullable=True),
        sa.Column("after_distance", sa.REAL(), nullable=True),
        sa.Column("after_days", sa.Integer(), nullable=True),
        sa.Column("done_at", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["car"],
            ["car.id"],
        ),
        sa.ForeignKeyConstraint(
            ["component"],
            ["component.id"],
        ),
        sa.ForeignKeyConstraint(
            ["joint"],
            ["joint.id"],
        ),
        sa.ForeignKeyConstraint(
            ["line"],
            ["line.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("recheck", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_recheck_car"), ["car"], unique=False)
        batch_op.create_index(batch_op.f("ix_recheck_component"), ["component"], unique=False)
        batch_op.create_index(batch_op.f("ix_recheck_joint"), ["joint"], unique=False)
        batch_op.create_index(batch_op.f("ix_recheck_line"), ["line"], unique=False)

    op.create_table(
        "sign",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("ticket", sa.Text(), nullable=False),
        sa.Column("sign", sa.Text(), nullable=False),
        sa.Column("outcome", sa.Text(), nullable=True),
        sa.Column("reading", sa.Text(), nullable=True),
        sa.Column("noted_at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["reading"],
            ["reading.id"],
        ),
        sa.ForeignKeyConstraint(
            ["ticket"],
            ["ticket.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("sign", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sign_reading"), ["reading"], unique=False)
        batch_op.create_index(batch_op.f("ix_sign_ticket"), ["ticket"], unique=False)

    op.create_table(
        "stopgap",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("line", sa.Text(), nullable=True),
        sa.Column("component", sa.Text(), nullable=True),
        sa.Column("what", sa.Text(), nullable=True),
        sa.Column("ticket", sa.Text(), nullable=True),
        sa.Column("job", sa.Text(), nullable=True),
        sa.Column("used", sa.Text(), nullable=False),
        sa.Column("fitted_at", sa.Text(), nullable=False),
        sa.Column("fitted_odometer", sa.REAL(), nullable=True),
        sa.Column("limit_distance", sa.REAL(), nullable=True),
        sa.Column("limit_days", sa.Integer(), nullable=True),
        sa.Column("limit_heat_cycles", sa.Integer(), nullable=True),
        sa.Column("part_name", sa.Text(), nullable=True),
        sa.Column("part_bore_mm", sa.REAL(), nullable=True),
        sa.Column("part_length_mm", sa.REAL(), nullable=True),
        sa.Column("part_material", sa.Text(), nullable=True),
        sa.Column("part_stands", sa.Text(), nullable=True),
        sa.Column("ordered_on", sa.Text(), nullable=True),
        sa.Column("expected_on", sa.Text(), nullable=True),
        sa.Column("ended_at", sa.Text(), nullable=True),
        sa.Column("ended_how", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["car"],
            ["car.id"],
        ),
        sa.ForeignKeyConstraint(
            ["component"],
            ["component.id"],
        ),
        sa.ForeignKeyConstraint(
            ["job"],
            ["job.id"],
        ),
        sa.ForeignKeyConstraint(
            ["line"],
            ["line.id"],
        ),
        sa.ForeignKeyConstraint(
            ["ticket"],
            ["ticket.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("stopgap", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_stopgap_car"), ["car"], unique=False)
        batch_op.create_index(batch_op.f("ix_stopgap_component"), ["component"], unique=False)
        batch_op.create_index(batch_op.f("ix_stopgap_job"), ["job"], unique=False)
        batch_op.create_index(batch_op.f("ix_stopgap_line"), ["line"], unique=False)
        batch_op.create_index(batch_op.f("ix_stopgap_ticket"), ["ticket"], unique=False)

    op.create_table(
        "joint_check",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("void_reason", sa.Text(), nullable=True),
        sa.Column("car", sa.Text(), nullable=False),
        sa.Column("job", sa.Text(), nullable=True),
        sa.Column("joint", sa.Text(), nullable=True),
        sa.Column("line", sa.Text(), nullable=True),
        sa.Column("component", sa.Text(), nullable=True),
        sa.Column("recheck", sa.Text(), nullable=True),
        sa.Column("what", sa.Text(), nullable=True),
        sa.Column("done_at", sa.Text(), nullable=False),
        sa.Column("odometer", sa.REAL(), nullable=True),
        sa.Column("torque_value", sa.REAL(), nullable=True),
        sa.Column("torque_unit", sa.Text(), nullable=True),
        sa.Column("seated", sa.Integer(), nullable=True),
        sa.Column("mark", sa.Text(), nullable=True),
        sa.Column("good", sa.Integer(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["car"],
            ["car.id"],
        ),
        sa.ForeignKeyConstraint(
            ["component"],
            ["component.id"],
        ),
        sa.ForeignKeyConstraint(
            ["job"],
            ["job.id"],
        ),
        sa.ForeignKeyConstraint(
            ["joint"],
            ["joint.id"],
        ),
        sa.ForeignKeyConstraint(
            ["line"],
            ["line.id"],
        ),
        sa.ForeignKeyConstraint(
            ["recheck"],
            ["recheck.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("joint_check", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_joint_check_car"), ["car"], unique=False)
        batch_op.create_index(batch_op.f("ix_joint_check_component"), ["component"], unique=False)
        batch_op.create_index("ix_joint_check_done", ["car", "done_at"], unique=False)
        batch_op.create_index(batch_op.f("ix_joint_check_job"), ["job"], unique=False)
        batch_op.create_index(batch_op.f("ix_joint_check_joint"), ["joint"], unique=False)
        batch_op.create_index(batch_op.f("ix_joint_check_line"), ["line"], unique=False)
        batch_op.create_index(batch_op.f("ix_joint_check_recheck"), ["recheck"], unique=False)

    # What was entered stays entered: a correction is a new entry.
    op.execute(
        "CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry "
        "BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END"
    )
    op.execute(
        "CREATE TRIGGER entry_is_never_erased BEFORE DELETE ON entry "
        "BEGIN SELECT RAISE(ABORT, 'entries are never erased'); END"
    )


def downgrade() -> None:
    raise NotImplementedError("A record is never taken back to an older form: restore a backup instead.")
