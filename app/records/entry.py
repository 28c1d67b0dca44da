"""An entry: a small set of field changes to one record. The entry table is audit trail, sync protocol and export."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from sqlalchemy import REAL, Column, Index, Integer, Table, Text
from sqlmodel import SQLModel

Value = str | int | float | bool | None
Fields = Mapping[str, Value]

#: Append-only: triggers in the migration refuse any UPDATE or DELETE of it.
ENTRY = Table(
    "entry",
    SQLModel.metadata,
    Column("seq", Integer, primary_key=True, autoincrement=True),
    Column("id", Text, nullable=False, unique=True),
    Column("kind", Text, nullable=False),
    Column("record", Text, nullable=False),
    Column("version", Integer, nullable=False),
    Column("fields", Text, nullable=False),
    Column("happened_at", Text, nullable=False),
    Column("entered_at", Text, nullable=False),
    Column("counted_at", Text, nullable=False),
    Column("entered_by", Text, nullable=False),
    Column("received_at", Text, nullable=False),
    Index("ix_entry_record", "kind", "record", "seq"),
    sqlite_strict=True,
    sqlite_autoincrement=True,
)

#: How far a car had come, as any record that says so said it: the one place the latest odometer is looked up.
ODOMETER = Table(
    "odometer",
    SQLModel.metadata,
    Column("kind", Text, primary_key=True),
    Column("record", Text, primary_key=True),
    Column("car", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("reads", REAL, nullable=False),
    Index("ix_odometer_car_at", "car", "at"),
    sqlite_strict=True,
)


@dataclass(frozen=True, slots=True)
class Entry:
    """What someone entered. Moments are UTC text (fields.moment_text); `id` is made where it was entered."""

    id: str
    kind: str
    record: str
    fields: Fields
    happened_at: str
    entered_at: str
    entered_by: str
    version: int = 1


@dataclass(frozen=True, slots=True)
class Kept:
    """An entry as the table keeps it: `counted_at` is the moment it counts as entered, whatever a fast clock said."""

    entry: Entry
    counted_at: str
    received_at: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of an entry. `had`: it was taken before, and nothing changed. `reasons`: field -> plain sentence."""

    id: str
    outcome: Literal["taken", "had", "refused"]
    kind: str
    record: str
    reasons: Mapping[str, str] = field(default_factory=dict)


def fields_text(fields: Fields) -> str:
    """Fields as the table and the export write them: one form for one content."""
    return json.dumps(fields, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def counted(entry: Entry, earlier: Iterable[Kept], received_at: str, latest_believable: str) -> str:
    """When an entry counts as entered: a clock further ahead than `latest_believable` is pulled back to receipt.

    But never to before what the same device entered `earlier` in the same record, and was still believed: on one
    phone, what was said last stands.
    """
    if entry.entered_at <= latest_believable:
        return entry.entered_at
    before = (
        one.counted_at
        for one in earlier
        if one.entry.entered_by == entry.entered_by and one.entry.entered_at <= entry.entered_at
    )
    return max(received_at, *before, received_at)


def merge(kept: Iterable[Kept]) -> dict[str, Value]:
    """One record's fields from all its entries: field by field, the one entered later wins (then the greater id).

    The order in which entries arrived makes no difference.
    """
    merged: dict[str, Value] = {}
    for one in in_order_of_entry(kept):
        merged.update(one.entry.fields)
    return merged


def in_order_of_entry(kept: Iterable[Kept]) -> Sequence[Kept]:
    """By the moment each counts as entered.

    Those pulled back to one moment keep the order their own clock gave them; ids settle what is left, so that every
    machine settles it alike.
    """
    return sorted(kept, key=lambda one: (one.counted_at, one.entry.entered_at, one.entry.id))
