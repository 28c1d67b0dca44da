"""The days on which something is due: events, re-checks and stopgaps that count days, parts on their way, stages."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from app.records.rows import rows


@dataclass(frozen=True, slots=True)
class Due:
    """One day. `what` says which kind it is: event, recheck, stopgap, arrives or stage."""

    what: str
    id: str
    car: str
    car_name: str
    title: str
    note: str | None
    day: date
    changed_at: str


# A day as it stands, or a moment from which so many days are counted.
_SQL = """
SELECT 'event', e.id, e.car, car.name, e.name, e.note, e.on_day, 0, e.changed_at FROM event e
  JOIN car ON car.id = e.car WHERE e.void_reason IS NULL AND e.on_day >= date('now', '-31 days')
UNION ALL
SELECT 'recheck', r.id, r.car, car.name, r.what, r.note, r.since_at, r.after_days, r.changed_at FROM recheck r
  JOIN car ON car.id = r.car WHERE r.void_reason IS NULL AND r.done_at IS NULL AND r.after_days IS NOT NULL
UNION ALL
SELECT 'stopgap', s.id, s.car, car.name, coalesce(l.name, c.name, s.what), s.used, s.fitted_at, s.limit_days,
  s.changed_at FROM stopgap s JOIN car ON car.id = s.car
  LEFT JOIN line l ON l.id = s.line LEFT JOIN component c ON c.id = s.component
  WHERE s.void_reason IS NULL AND s.ended_at IS NULL AND s.limit_days IS NOT NULL
UNION ALL
SELECT 'arrives', s.id, s.car, car.name, coalesce(s.part_name, l.name, c.name, s.what), s.used, s.expected_on, 0,
  s.changed_at FROM stopgap s JOIN car ON car.id = s.car
  LEFT JOIN line l ON l.id = s.line LEFT JOIN component c ON c.id = s.component
  WHERE s.void_reason IS NULL AND s.ended_at IS NULL AND s.expected_on IS NOT NULL
UNION ALL
SELECT 'arrives', p.id, p.car, car.name, p.name, p.source, p.expected_on, 0, p.changed_at FROM part p
  JOIN car ON car.id = p.car WHERE p.void_reason IS NULL AND p.state = 'ordered' AND p.expected_on IS NOT NULL
UNION ALL
SELECT 'stage', s.id, s.car, car.name, s.name, s.note, s.by_day, 0, s.changed_at FROM stage s
  JOIN car ON car.id = s.car WHERE s.void_reason IS NULL AND s.by_day IS NOT NULL AND coalesce((
    SELECT max(state NOT IN ('fitted', 'gone')) FROM part WHERE stage = s.id AND void_reason IS NULL), 1)
"""
_OF_CAR = f"SELECT * FROM ({_SQL}) WHERE car = ? ORDER BY 1, 2"
_OF_GARAGE = f"SELECT * FROM ({_SQL}) WHERE car IN (SELECT id FROM car WHERE void_reason IS NULL) ORDER BY 3, 1, 2"


def due_days(db: Connection, car: str | None = None) -> list[Due]:
    """What is due on a day, on one car or on every car of the garage; one query."""
    made: Callable[..., Due] = _due
    return rows(db, made, _OF_GARAGE) if car is None else rows(db, made, _OF_CAR, car)


def _due(*row: str) -> Due:
    *head, since, after, changed_at = row
    day = date.fromisoformat(since) if len(since) == 10 else datetime.fromisoformat(since).astimezone().date()
    what, id_, car, car_name, title, note = head
    return Due(what, id_, car, car_name, title, note, day + timedelta(days=int(after)), changed_at)
