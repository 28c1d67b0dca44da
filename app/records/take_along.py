"""Which pages of a car a phone keeps, so that they open where the garage does not answer."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.rows import row, rows

#: How many closed jobs and proved tickets are kept beside the open ones.
_LAST = 8

# Kind of record, its id, its name, and whether it is the past rather than the present, in the order they are kept.
_RECORDS = f"""
SELECT 'job', id, title, 0 FROM job WHERE car = ?1 AND void_reason IS NULL AND (ends_left > 0 OR closed_at IS NULL)
UNION ALL SELECT 'ticket', id, what, 0 FROM ticket WHERE car = ?1 AND void_reason IS NULL AND stands <> 'proved'
UNION ALL SELECT 'stopgap', id, used, 0 FROM stopgap WHERE car = ?1 AND void_reason IS NULL AND ended_at IS NULL
UNION ALL SELECT 'recheck', id, what, 0 FROM recheck WHERE car = ?1 AND void_reason IS NULL AND done_at IS NULL
UNION ALL SELECT 'fastener', id, name, 0 FROM fastener WHERE car = ?1 AND void_reason IS NULL AND retired_on IS NULL
UNION ALL SELECT 'event', id, name, 0 FROM event
  WHERE car = ?1 AND void_reason IS NULL AND on_day >= date('now', '-7 days')
UNION ALL SELECT 'finding', id, what, 0 FROM finding
  WHERE car = ?1 AND void_reason IS NULL AND settled_at IS NULL
UNION ALL SELECT 'part', id, name, 0 FROM part
  WHERE car = ?1 AND void_reason IS NULL AND state IN ('wanted', 'ordered', 'here')
UNION ALL SELECT * FROM (
  SELECT 'line', id, name, 0 FROM line WHERE car = ?1 AND void_reason IS NULL AND retired_on IS NULL ORDER BY number)
UNION ALL SELECT 'joint', j.id, l.name, 0 FROM joint j JOIN line l ON l.id = j.line
  WHERE l.car = ?1 AND l.void_reason IS NULL AND l.retired_on IS NULL AND j.void_reason IS NULL
UNION ALL SELECT * FROM (
  SELECT 'component', id, name, 0 FROM component
  WHERE car = ?1 AND void_reason IS NULL AND retired_on IS NULL ORDER BY name)
UNION ALL SELECT * FROM (
  SELECT 'job', id, title, 1 FROM job WHERE car = ?1 AND void_reason IS NULL AND ends_left <= 0 AND closed_at NOT NULL
  ORDER BY opened_at DESC LIMIT {_LAST})
UNION ALL SELECT * FROM (
  SELECT 'ticket', id, what, 1 FROM ticket WHERE car = ?1 AND void_reason IS NULL AND stands = 'proved'
  ORDER BY noticed_at DESC LIMIT {_LAST})
UNION ALL SELECT * FROM (
  SELECT 'hold_test', id, 'Hold test', 1 FROM hold_test WHERE car = ?1 AND void_reason IS NULL
  ORDER BY ended_at DESC LIMIT {_LAST})
UNION ALL SELECT * FROM (
  SELECT 'photo', id, coalesce(note, 'A photo'), 1 FROM photo WHERE car = ?1 AND void_reason IS NULL
  ORDER BY taken_at DESC LIMIT {_LAST})
"""

_FACTS = ("car", "component", "joint", "line")
_LAST_FACT = f"SELECT max(seq) FROM entry WHERE kind IN ({', '.join('?' * len(_FACTS))})"
_LAST_ENTRY = "SELECT max(seq) FROM entry"


@dataclass(frozen=True, slots=True)
class KeptRecord:
    """A record whose page is kept; `past` for a job or ticket that is done with."""

    kind: str
    id: str
    name: str
    past: int


def records_to_keep(db: Connection, car: str) -> list[KeptRecord]:
    """The records of a car whose pages are kept: what is open first, then the car's parts, then the last done."""
    return rows(db, KeptRecord, _RECORDS, car)


def last_entries(db: Connection) -> tuple[int, int]:
    """The number of the last entry of all, and of the last one about what a car is made of; 0 where there is none.

    A page made from the car's parts alone has changed only if the second one has.
    """
    last = row(db, lambda seq: seq or 0, _LAST_ENTRY)
    fact = row(db, lambda seq: seq or 0, _LAST_FACT, *_FACTS)
    return last or 0, fact or 0
