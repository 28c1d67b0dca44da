"""The one door in. Everything that changes what the program knows passes through `take`.

An entry is checked against its kind's schema, appended to the entry table and applied to its record's row, in one
transaction. What the door refuses can never be right, whoever sends it and in whatever order; what is only unlikely,
or wrong for now (a job closed with loose ends), is asked about in the form that enters it, because an entry made
without a connection tells of something that has happened already.
"""

import json
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any, cast

from pydantic import ValidationError
from sqlalchemy import Connection, Engine, delete, insert, select
from sqlalchemy.dialects.sqlite import insert as upsert
from sqlalchemy.dialects.sqlite.dml import Insert as Upsert

from app.records.engine import writing
from app.records.entry import ENTRY, ODOMETER, Entry, Kept, Outcome, Value, counted, fields_text, merge
from app.records.fields import Fields as Schema
from app.records.fields import is_record_id, moment_text, moment_wrong
from app.records.findable import keep_findable
from app.records.follow import follow
from app.records.kinds import KINDS, Kind
from app.records.refusals import plain
from app.records.rows import rows

#: How far ahead of this machine's clock another's may be and still be believed.
CLOCKS_MAY_DIFFER = timedelta(minutes=5)

_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")


class RefusedError(Exception):
    """Raised by take_all: nothing was taken. `outcomes` holds the refused entries' reasons."""

    def __init__(self, outcomes: Sequence[Outcome]) -> None:
        """Keep the refused outcomes for whoever shows them."""
        super().__init__("; ".join(f"{one.kind} {one.record}: {dict(one.reasons)}" for one in outcomes))
        self.outcomes = outcomes


def now() -> str:
    """This moment, as entries write it."""
    return moment_text(datetime.now(UTC))


def take(engine: Engine, entry: Entry, *, received_at: str | None = None) -> Outcome:
    """Take one entry, in a transaction of its own. Safe to send again: the second answer is `had`."""
    with writing(engine) as connection:
        return take_one(connection, entry, received_at or now())


def take_all(engine: Engine, entries: Iterable[Entry], *, received_at: str | None = None) -> list[Outcome]:
    """Take entries that belong to one act, in order: all of them, or none.

    Raises RefusedError, with nothing kept, if any is refused.
    """
    at = received_at or now()
    with writing(engine) as connection:
        outcomes = [take_one(connection, entry, at) for entry in entries]
        if refused := [one for one in outcomes if one.outcome == "refused"]:
            raise RefusedError(refused)
    return outcomes


def take_each(engine: Engine, entries: Iterable[Entry], *, received_at: str | None = None) -> list[Outcome]:
    """Take entries that only happen to come together, in order: a refused one holds up no other.

    In one transaction, so that a whole outbox waits for the disk once; none is answered for before all are on it.
    """
    at = received_at or now()
    with writing(engine) as connection:
        return [take_one(connection, entry, at) for entry in entries]


def take_one(connection: Connection, entry: Entry, received_at: str) -> Outcome:
    """Take one entry inside the caller's transaction."""
    refuse = _refusal(entry)
    if reasons := _misshapen(entry):
        return refuse(reasons)
    kind = KINDS[entry.kind]
    earlier = _earlier(connection, entry)
    current = merge(earlier)
    try:
        fields = _normalised(kind, entry, current)
    except ValidationError as error:
        return refuse(plain(error))
    if had := _had(connection, kind, entry, fields):
        return had
    if reasons := _ahead_of_time(kind, entry, fields) or _strangers(connection, kind, fields):
        return refuse(reasons)
    kept = _keep(connection, replace(entry, fields=fields), earlier, received_at)
    _apply(connection, kind, entry.record, [*earlier, kept])
    return Outcome(entry.id, "taken", entry.kind, entry.record)


def replay(connection: Connection, kind: Kind, record: str) -> None:
    """Make a record's row again from its entries."""
    _apply(connection, kind, record, entries_of(connection, kind.name, record))


def entries_of(connection: Connection, kind: str, record: str) -> list[Kept]:
    """Every entry of one record, in order of arrival."""
    return rows(connection, _kept, _ENTRIES, kind, record)


_ENTRIES = """
SELECT id, kind, record, fields, happened_at, entered_at, entered_by, version, counted_at, received_at
FROM entry WHERE kind = ? AND record = ? ORDER BY seq
"""


def _kept(*row: Any) -> Kept:
    id_, kind, record, fields, *told, counted_at, received_at = row
    return Kept(Entry(id_, kind, record, json.loads(fields), *told), counted_at, received_at)


def _refusal(entry: Entry) -> Callable[[dict[str, str]], Outcome]:
    return lambda reasons: Outcome(entry.id, "refused", entry.kind, entry.record, reasons)


def _misshapen(entry: Entry) -> dict[str, str]:
    kind = KINDS.get(entry.kind)
    if kind is None:
        return {"kind": "There is no such kind of record."}
    reasons = {}
    if not _UUID.fullmatch(entry.id):
        reasons["id"] = "An entry's id is a UUID in small letters."
    if not is_record_id(entry.record):
        reasons["record"] = "A record's id is up to 200 letters, digits, dots and dashes."
    if not entry.fields:
        reasons["fields"] = "An entry sets at least one field."
    if not 1 <= entry.version <= kind.version:
        reasons["version"] = "This entry was written by a newer program. Update this one first."
    for name in ("happened_at", "entered_at"):
        if wrong := moment_wrong(getattr(entry, name)):
            reasons[name] = wrong
    if not (0 < len(entry.entered_by) <= 100 and entry.entered_by.isprintable()):
        reasons["entered_by"] = "Say which device entered it."
    return reasons


def _earlier(connection: Connection, entry: Entry) -> list[Kept]:
    # The entry itself, if it came before, is left out: it is judged again as it was the first time.
    return [one for one in entries_of(connection, entry.kind, entry.record) if one.entry.id != entry.id]


def _normalised(kind: Kind, entry: Entry, current: dict[str, Value]) -> dict[str, Value]:
    given = _whole_sets(kind, entry.fields)
    schema = kind.fields.model_validate({name: v for name, v in (current | given).items() if v is not None})
    whole = schema.model_dump(mode="json")
    return {name: whole[name] for name in sorted(given)}


def _whole_sets(kind: Kind, fields: Mapping[str, Value]) -> dict[str, Value]:
    missing = {name for group in kind.together if not fields.keys().isdisjoint(group) for name in group} - fields.keys()
    return dict(fields) | dict.fromkeys(missing)


def _had(connection: Connection, kind: Kind, entry: Entry, fields: dict[str, Value]) -> Outcome | None:
    row = connection.execute(
        select(ENTRY.c.kind, ENTRY.c.record, ENTRY.c.fields).where(ENTRY.c.id == entry.id)
    ).one_or_none()
    if row is None:
        return None
    # One taken before a set gained a field says nothing of that field, as it did then.
    if (row.kind, row.record) != (entry.kind, entry.record) or _whole_sets(kind, json.loads(row.fields)) != fields:
        return Outcome(entry.id, "refused", entry.kind, entry.record, {"id": "Another entry already has this id."})
    return Outcome(entry.id, "had", entry.kind, entry.record)


def _ahead_of_time(kind: Kind, entry: Entry, fields: dict[str, Value]) -> dict[str, str]:
    # Held against the clock of whoever entered it, not ours, so that the answer is the same whenever it arrives.
    latest = moment_text(datetime.fromisoformat(entry.entered_at) + CLOCKS_MAY_DIFFER)
    return {
        name: "This is still to come. Look at the date and the time."
        for name in kind.past
        if str(fields.get(name) or "") > latest
    }


def _strangers(connection: Connection, kind: Kind, fields: dict[str, Value]) -> dict[str, str]:
    reasons = {}
    for name, value in fields.items():
        for foreign in kind.table.c[name].foreign_keys if value is not None else ():
            target = foreign.column
            if connection.execute(select(target).where(target == value)).first() is None:
                thing = next(one.label for one in KINDS.values() if one.table is target.table)
                reasons[name] = f"This {thing} is not in the record."
    return reasons


def _keep(connection: Connection, entry: Entry, earlier: Sequence[Kept], received_at: str) -> Kept:
    latest = moment_text(datetime.fromisoformat(received_at) + CLOCKS_MAY_DIFFER)
    counted_at = counted(entry, earlier, received_at, latest)
    connection.execute(
        insert(ENTRY).values(
            id=entry.id,
            kind=entry.kind,
            record=entry.record,
            version=entry.version,
            fields=fields_text(entry.fields),
            happened_at=entry.happened_at,
            entered_at=entry.entered_at,
            counted_at=counted_at,
            entered_by=entry.entered_by,
            received_at=received_at,
        )
    )
    return Kept(entry, counted_at, received_at)


def _apply(connection: Connection, kind: Kind, record: str, kept: Sequence[Kept]) -> None:
    schema = kind.fields.model_validate({name: v for name, v in merge(kept).items() if v is not None})
    row: dict[str, Value] = {"id": record, "changed_at": max(one.counted_at for one in kept)}
    row |= schema.model_dump(mode="json") | dict(kind.derive(schema))
    _put(connection, upsert(kind.table).values(row), kind.table.c.id.name, row)
    if kind.odometer:
        _note_odometer(connection, kind, record, schema)
    follow(connection, kind.name, record)
    keep_findable(connection, kind.name, record, is_new=len(kept) == 1)


def _put(connection: Connection, statement: Upsert, at: str, row: dict[str, Value]) -> None:
    connection.execute(
        statement.on_conflict_do_update(index_elements=[at], set_={name: row[name] for name in row if name != at})
    )


def _note_odometer(connection: Connection, kind: Kind, record: str, schema: Schema) -> None:
    at, reads = (getattr(schema, name) for name in cast("tuple[str, str]", kind.odometer))
    connection.execute(delete(ODOMETER).where(ODOMETER.c.kind == kind.name, ODOMETER.c.record == record))
    if at is not None and reads is not None and schema.void_reason is None:
        car = getattr(schema, "car")  # noqa: B009  # every kind with an odometer has a car
        connection.execute(insert(ODOMETER).values(kind=kind.name, record=record, car=car, at=at, reads=reads))
