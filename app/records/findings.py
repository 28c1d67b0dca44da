"""Findings: what was seen while in there."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.rows import row, rows


@dataclass(frozen=True, slots=True)
class FindingRow:
    """One finding. `place` is the name of the line or component it is on, None where it is on neither."""

    id: str
    car: str
    car_name: str
    job: str | None
    line: str | None
    component: str | None
    place: str | None
    what: str
    weight: str
    seen_at: str
    settled_at: str | None
    settled_how: str | None


_SELECT = """
SELECT f.id, f.car, car.name, f.job, f.line, f.component, coalesce(l.name, c.name), f.what, f.weight, f.seen_at,
       f.settled_at, f.settled_how
FROM finding f JOIN car ON car.id = f.car
LEFT JOIN line l ON l.id = f.line LEFT JOIN component c ON c.id = f.component
WHERE f.void_reason IS NULL
"""


def finding(connection: Connection, finding_id: str) -> FindingRow | None:
    """One finding; None if there is no such finding."""
    return row(connection, FindingRow, f"{_SELECT} AND f.id = ?", finding_id)


def findings_in(connection: Connection, job: str) -> list[FindingRow]:
    """The job's findings, in the order they were entered."""
    return rows(connection, FindingRow, f"{_SELECT} AND f.job = ? ORDER BY f.rowid", job)


def to_act_on(connection: Connection, car: str) -> list[FindingRow]:
    """Every finding on the car that is marked to act on and not settled, the longest known first."""
    where = "f.car = ? AND f.weight = 'act' AND f.settled_at IS NULL ORDER BY f.seen_at, f.id"
    return rows(connection, FindingRow, f"{_SELECT} AND {where}", car)
