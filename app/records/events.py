"""The days a car has to be fit for."""

from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import Connection

from app.records.rows import row, rows

#: What each kind of day is called.
KIND_LABEL = {"drive_home": "drive home", "sprint": "sprint", "track_day": "track day", "long_trip": "long trip"}


@dataclass(frozen=True, slots=True)
class EventRow:
    """One event. `on_day` is a day without a time; `void_reason` says why it was called off.

    `signed_despite`: why it was signed with something still open.
    """

    id: str
    car: str
    name: str
    kind: str
    on_day: str
    note: str | None
    void_reason: str | None
    signed_at: str | None
    signed_by: str | None
    signed_despite: str | None


_SELECT = """
SELECT id, car, name, kind, on_day, note, void_reason, signed_at, signed_by, signed_despite FROM event"""


def coming_events(db: Connection, car: str) -> list[EventRow]:
    """Events from today on, the first one first."""
    sql = _SELECT + " WHERE car = ? AND on_day >= ? AND void_reason IS NULL ORDER BY on_day, name"
    return rows(db, EventRow, sql, car, today())


def past_events(db: Connection, car: str, limit: int = 20) -> list[EventRow]:
    """Events gone by or called off, the last first."""
    sql = _SELECT + " WHERE car = ? AND (on_day < ? OR void_reason IS NOT NULL) ORDER BY on_day DESC, name LIMIT ?"
    return rows(db, EventRow, sql, car, today(), limit)


def event(db: Connection, event_id: str) -> EventRow | None:
    """One event, called off or not; None if there is none of that id."""
    return row(db, EventRow, _SELECT + " WHERE id = ?", event_id)


def nothing_planned(event_id: str, car: str) -> EventRow:
    """An event of this car of which nothing is known yet."""
    return EventRow(event_id, car, "", "", today(), *(None,) * 5)


def today() -> str:
    """The date on this machine's clock."""
    return datetime.now(UTC).astimezone().date().isoformat()
