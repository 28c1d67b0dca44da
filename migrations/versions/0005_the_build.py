"""The build: parts, the plan, fasteners, torque wrenches, what has to be true before an event, drawn-on photos."""

from collections.abc import Sequence
from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0005"
down_revision: str | None = "0004"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None

#: Table -> its columns: a name, `!` if it is always there, `#` a count, `~` a figure, `>table` a record of that table.
_TABLES = {
    "wrench": "name! smallest~ largest~! unit! lever_mm~ calibrated_on retired_on note",
    "fastener": "car!>car name! of! how_many# thread strength_class torque_value~ torque_tolerance~ torque_unit "
    "torque_source retired_on note",
    "must": "car!>car before! what!",
    "looked_at": "event!>event must!>must good#! looked_at! note",
    "stage": "car!>car step#! name! by_day power_kw~ note",
    "part": "car!>car name! kind! state! line>line component>component position stage>stage job>job ordered_on "
    "expected_on arrived_on fitted_at fitted_odometer~ removed_at price~ currency source condition bore_mm~ wall_mm~ "
    "length_mm~ material plies# stands_c~ stands_kpa~ needs_cutting hold range_low_mm~ range_high_mm~ band_mm~ thread "
    "strength_class life_distance~ life_days# note",
    "need": "part!>part needs_part>part needs_here>part tool reading what met_at",
}
#: The same for what older tables gain.
_GAINED = {
    "event": "signed_at signed_by signed_despite",
    "joint_check": "fastener>fastener wrench>wrench",
    "photo": "part>part before>photo rings arrows",
    "recheck": "fastener>fastener after_event# after_job#",
}


def upgrade() -> None:
    for table, columns in _TABLES.items():
        made: list[sa.Column[Any]] = [
            sa.Column("id", sa.Text(), nullable=False),
            sa.Column("changed_at", sa.Text(), nullable=False),
            sa.Column("void_reason", sa.Text(), nullable=True),
        ]
        keys: list[sa.PrimaryKeyConstraint | sa.ForeignKeyConstraint] = [sa.PrimaryKeyConstraint("id")]
        for word in columns.split():
            plain, _, of = word.partition(">")
            made.append(sa.Column(plain.strip("!#~"), _type(plain), nullable="!" not in plain))
            keys += [sa.ForeignKeyConstraint([plain.strip("!")], [f"{of}.id"])] if of else []
        op.create_table(table, *made, *keys, sqlite_strict=True)
        _index(table, columns)
    for table, columns in _GAINED.items():
        for word in columns.split():
            plain, _, of = word.partition(">")
            refers = f" REFERENCES {of} (id)" if of else ""
            # Not by making the tables anew: others refer to them.
            op.execute(f"ALTER TABLE {table} ADD COLUMN {plain.strip('#')} {_type(plain)}{refers}")
        _index(table, columns)


def _type(word: str) -> sa.Text | sa.Integer | sa.REAL[float]:
    return sa.Integer() if "#" in word else sa.REAL() if "~" in word else sa.Text()


def _index(table: str, columns: str) -> None:
    for word in columns.split():
        plain, _, of = word.partition(">")
        if of:
            op.create_index(f"ix_{table}_{plain.strip('!')}", table, [plain.strip("!")])


def downgrade() -> None:
    raise NotImplementedError("A record is never taken back to an older form: restore a backup instead.")
