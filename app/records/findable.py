"""What the search finds: for each record its title and words, kept true inside the door's own transaction.

Table `findable` holds a row for every record that has words of its own and is not struck out; the FTS5 index
`findable_words` is over its text (external content, so that nothing is kept twice). Both follow from the other tables
alone, and are made again from them after a migration.

A row's `place` is its group, its moment and a few bits of its id, so that each group is one run of places with the
newest last: the index hands out the last few that match and never looks at the rest, however many there are.
"""

import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from typing import Any

from sqlalchemy import Column, Connection, Index, Integer, Table, Text
from sqlmodel import SQLModel

from app.records.engine import driver_of
from app.records.find_words import FINDS
from app.records.kinds import KINDS
from app.records.record_heads import SAID
from app.records.rows import row, rows

FINDABLE = Table(
    "findable",
    SQLModel.metadata,
    Column("place", Integer, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("record", Text, nullable=False),
    Column("car", Text),
    Column("parent", Text),
    Column("at", Text),
    Column("newest", Text, nullable=False),
    Column("title", Text, nullable=False),
    Column("words", Text, nullable=False),
    Index("ix_findable_record", "kind", "record", unique=True),
    sqlite_strict=True,
)
#: The index's own name; SQLite keeps it in tables whose names begin with it.
WORDS = "findable_words"

_BEGINNING = datetime(1900, 1, 1, tzinfo=UTC)
_GROUP_BITS, _ID_BITS = 55, 20
#: What a record's page, title or words can follow from. Of the later three only whether they are there matters.
_NAMING = ("component", "line", "joint", "fastener", "own_suspect", "part", "must", "logger")
_HOLDING = ("job", "ticket", "event")


@dataclass(frozen=True, slots=True)
class _Said:
    """What is kept of one record, beside its place."""

    record: str
    car: str | None
    parent: str | None
    at: str | None
    newest: str
    title: str
    words: str


@dataclass(frozen=True, slots=True)
class _Kept(_Said):
    place: int


def places_of(group: int) -> tuple[int, int]:
    """The first and the last place a group's rows can have."""
    return group << _GROUP_BITS, ((group + 1) << _GROUP_BITS) - 1


def is_compared(name: str | None, type_: str, _parents: object) -> bool:
    """Whether Alembic is to compare this with the kinds: SQLite's own tables of the index are none of theirs."""
    return not (type_ == "table" and (name or "").startswith(WORDS))


def keep_findable(connection: Connection, kind: str, record: str, *, is_new: bool) -> None:
    """Write anew what is found of a record, and of those whose title or words follow from it.

    A new record (`is_new`) has none that do.
    """
    if kind not in FINDS:
        return
    old = row(connection, _Kept, _OLD, kind, record)
    new = row(connection, _Said, _select(kind, one=True), record)
    if old != new:
        if old is not None:
            _forget(connection, old)
        if new is not None:
            _put(connection, kind, new)
    if is_new:
        return
    if (kind in _NAMING and (old is None or new is None or _as_said(old) != new)) or (
        kind in _HOLDING and (old is None) is not (new is None)
    ):
        for other, column in _followers(kind):
            for (one,) in rows(
                connection, lambda *found: found, _THOSE.format(KINDS[other].table.name, column), record
            ):
                keep_findable(connection, other, one, is_new=False)


def find_anew(connection: Connection) -> None:
    """Make the whole of it again from the records as they stand."""
    driver = driver_of(connection)
    driver.execute("DELETE FROM findable")
    for kind in FINDS:
        for said in rows(connection, _Said, _select(kind, one=False)):
            _write(connection, kind, said)
    driver.execute(f"INSERT INTO {WORDS} ({WORDS}) VALUES ('rebuild')")
    driver.execute(f"INSERT INTO {WORDS} ({WORDS}) VALUES ('optimize')")  # in one piece, a word is looked up once


_OLD = "SELECT record, car, parent, at, newest, title, words, place FROM findable WHERE kind = ? AND record = ?"
_THOSE = "SELECT id FROM {0} WHERE {1} = ?"


def _as_said(old: _Kept) -> _Said:
    return _Said(old.record, old.car, old.parent, old.at, old.newest, old.title, old.words)


@cache
def _select(kind: str, *, one: bool) -> str:
    title, car, parent = SAID[kind]
    found = FINDS[kind]
    words = " || ".join(f"coalesce(nullif({part}, '') || ' · ', '')" for part in found.words) or "''"
    held = f" AND NOT EXISTS (SELECT 1 FROM {found.part_of} h WHERE h.id = {parent} AND h.void_reason IS NOT NULL)"
    return f"""
SELECT r.id, {car}, {parent}, {found.at}, coalesce({found.at}, r.changed_at), coalesce({found.title or title}, ''),
       rtrim({words}, ' ·')
FROM {KINDS[kind].table.name} r LEFT JOIN car c ON c.id = {car}
WHERE r.void_reason IS NULL AND ({found.only}){held if found.part_of else ""}{" AND r.id = ?" if one else ""}"""


@cache
def _followers(kind: str) -> tuple[tuple[str, str], ...]:
    return tuple(_columns_to(kind))


def _columns_to(kind: str) -> Iterator[tuple[str, str]]:
    for other in FINDS:
        for column in KINDS[other].table.columns:
            if any(foreign.column.table is KINDS[kind].table for foreign in column.foreign_keys):
                yield other, column.name


def _forget(connection: Connection, old: _Kept) -> None:
    driver = driver_of(connection)
    # An index without text of its own has to be told what it is to forget.
    gone = (old.place, old.title, old.words, old.car)
    driver.execute(f"INSERT INTO {WORDS} ({WORDS}, rowid, title, words, car) VALUES ('delete', ?, ?, ?, ?)", gone)
    driver.execute("DELETE FROM findable WHERE place = ?", (old.place,))


def _put(connection: Connection, kind: str, new: _Said) -> None:
    place = _write(connection, kind, new)
    driver_of(connection).execute(
        f"INSERT INTO {WORDS} (rowid, title, words, car) VALUES (?, ?, ?, ?)", (place, new.title, new.words, new.car)
    )


def _write(connection: Connection, kind: str, new: _Said) -> int:
    driver = driver_of(connection)
    place = _place(kind, new)
    while driver.execute("SELECT 1 FROM findable WHERE place = ?", (place,)).fetchone():
        place += 1
    told: tuple[Any, ...] = (place, kind, new.record, new.car, new.parent, new.at, new.newest, new.title, new.words)
    driver.execute(f"INSERT INTO findable VALUES ({', '.join('?' * len(told))})", told)
    return place


def _place(kind: str, new: _Said) -> int:
    when = datetime.fromisoformat(new.newest)
    seconds = int((when.replace(tzinfo=when.tzinfo or UTC) - _BEGINNING).total_seconds())
    few_bits = zlib.crc32(new.record.encode()) % (1 << _ID_BITS)
    return (FINDS[kind].group << _GROUP_BITS) + (seconds << _ID_BITS) + few_bits
