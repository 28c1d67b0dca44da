"""Jobs: one, and a car's list of them."""

from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection

from app.records.cars import CarRow
from app.records.rows import row, rows

JobState = Literal["open", "unfinished", "carried", "closed"]


@dataclass(frozen=True, slots=True)
class JobRow:
    """One job with its counts: `touched` things, `ends_off` joints taken off, `ends_on` of them back on, `ends_left`
    of them not yet both on and checked."""

    id: str
    car: str
    car_name: str
    distance_unit: str
    title: str
    opened_at: str
    odometer: float | None
    air_temp_c: float | None
    engine_cold: int | None
    note: str | None
    closed_at: str | None
    carried_reason: str | None
    touched: int
    ends_off: int
    ends_on: int
    ends_left: int

    @property
    def state(self) -> JobState:
        """Closed only if nothing hangs loose, or a reason was given to carry it over.

        `unfinished`: it was closed, and a touch that came in late took something off after all.
        """
        if self.closed_at is None:
            return "open"
        if self.ends_left == 0:
            return "closed"
        return "carried" if self.carried_reason is not None else "unfinished"


_SELECT = """
SELECT job.id, job.car, car.name, car.distance_unit, job.title, job.opened_at, job.odometer, job.air_temp_c,
       job.engine_cold, job.note, job.closed_at, job.carried_reason,
       job.touched, job.ends_off, job.ends_on, job.ends_left
FROM job JOIN car ON car.id = job.car
WHERE job.void_reason IS NULL
"""
# The first condition is the index's own.
_OPEN = """
AND job.car = ?1 AND (job.ends_left > 0 OR job.closed_at IS NULL)
AND (job.closed_at IS NULL OR job.carried_reason IS NULL)
ORDER BY job.opened_at DESC, job.id DESC
"""
_UNFINISHED = """
AND job.car = ? AND (job.ends_left > 0 OR job.closed_at IS NULL) ORDER BY job.opened_at DESC, job.id DESC
"""
_CLOSED = """
AND job.car = ?1 AND job.closed_at IS NOT NULL AND (job.ends_left = 0 OR job.carried_reason IS NOT NULL)
"""
_AFTER = "AND (job.opened_at, job.id) < (SELECT opened_at, id FROM job WHERE id = ?3)"
_NEWEST = " ORDER BY job.opened_at DESC, job.id DESC LIMIT ?2"

#: A job first entered more than this after it began was written down afterwards.
WRITTEN_AFTERWARDS_DAYS = 0.5
_WORKED = """
SELECT CASE WHEN julianday(e.entered_at) - julianday(job.opened_at) > ?3 THEN job.opened_at ELSE ?2 END
FROM job JOIN entry e ON e.kind = 'job' AND e.record = job.id WHERE job.id = ?1 ORDER BY e.seq LIMIT 1
"""


def job(connection: Connection, job_id: str) -> JobRow | None:
    """One job; None if there is no such job."""
    return row(connection, JobRow, f"{_SELECT} AND job.id = ?", job_id)


def nothing_yet(job_id: str, of: CarRow, at: str) -> JobRow:
    """A job of this car of which nothing is known yet."""
    unknown = (None, None, None, None, None, None)
    return JobRow(job_id, of.id, of.name, of.distance_unit, "", at, *unknown, 0, 0, 0, 0)


def open_jobs(connection: Connection, car: str) -> list[JobRow]:
    """The car's open and unfinished jobs, newest first."""
    return rows(connection, JobRow, _SELECT + _OPEN, car)


def unfinished_jobs(connection: Connection, car: str) -> list[JobRow]:
    """The car's jobs that are open or left something loose, carried over or not, newest first."""
    return rows(connection, JobRow, _SELECT + _UNFINISHED, car)


def closed_jobs(connection: Connection, car: str, *, before: str = "", limit: int = 50) -> list[JobRow]:
    """A page of the car's closed jobs, newest first; `before` is the last job of the page before."""
    given = (car, limit, before) if before else (car, limit)
    return rows(connection, JobRow, _SELECT + _CLOSED + (_AFTER if before else "") + _NEWEST, *given)


def first_entered(connection: Connection, job_id: str) -> str | None:
    """When a job was first entered; None if it never was."""
    sql = "SELECT entered_at FROM entry WHERE kind = 'job' AND record = ? ORDER BY seq LIMIT 1"
    return row(connection, str, sql, job_id)


def worked_at(connection: Connection, job_id: str, at: str) -> str:
    """When what is noted in a job at `at` was done: then, or when the job began if it was written down days later.

    A fault noticed since is held against what was touched before it, so a past job's touches must lie in the past.
    """
    return row(connection, str, _WORKED, job_id, at, WRITTEN_AFTERWARDS_DAYS) or at
