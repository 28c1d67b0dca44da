"""Records as a page hands them to the phone, so that what waits there can be laid over them."""

from functools import cache
from typing import get_args

from sqlalchemy import Connection

from app.records.entry import Value
from app.records.kinds import KINDS
from app.records.rows import rows

Known = dict[str, dict[str, Value]]


def known(db: Connection, kind: str, **where: str) -> Known:
    """Every record of `kind` whose columns have these values: "kind/id" -> the fields that are set.

    A flag is written yes or no, as forms send it. Struck-out records are among them, with their reason.
    """
    table, names, flags = _columns(kind)
    condition = " AND ".join(f'"{name}" = ?' for name in where) or "true"
    columns = ", ".join(f'"{name}"' for name in names)
    found = rows(db, lambda *row: row, f"SELECT id, {columns} FROM {table} WHERE {condition}", *where.values())
    return {
        f"{kind}/{record}": {
            name: ("yes" if value else "no") if name in flags else value
            for name, value in zip(names, values, strict=True)
            if value is not None
        }
        for record, *values in found
    }


@cache
def _columns(kind: str) -> tuple[str, tuple[str, ...], frozenset[str]]:
    fields = KINDS[kind].fields.model_fields
    flags = frozenset(name for name, field in fields.items() if _may_be_flag(field.annotation))
    return KINDS[kind].table.name, tuple(fields), flags


def _may_be_flag(annotation: object) -> bool:
    # `Flag | None` keeps the bool inside an Annotated of its own.
    return annotation is bool or any(_may_be_flag(one) for one in get_args(annotation))
