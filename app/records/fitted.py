"""What lies on one position of the air path, be it a line or a component: stopgaps, parts on and off, findings."""

from dataclasses import dataclass
from datetime import UTC, date, datetime

from sqlalchemy import Connection

from app.records.rows import rows


@dataclass(frozen=True, slots=True)
class Fitted:
    """Since when something is on the car. Odometer figures are in the car's own unit."""

    on: str | None
    odometer: float | None
    reads: float | None

    @property
    def days(self) -> int | None:
        """Days since it was fitted; None if nobody wrote down when."""
        if self.on is None:
            return None
        return max((datetime.now(UTC).astimezone().date() - date.fromisoformat(self.on)).days, 0)

    @property
    def distance(self) -> float | None:
        """How far the car has gone with it; None if either figure is missing or the odometer ran backwards."""
        if self.odometer is None or self.reads is None or self.reads < self.odometer:
            return None
        return self.reads - self.odometer


@dataclass(frozen=True, slots=True)
class Gap:
    """One stopgap on it; open while `ended_at` is None."""

    id: str
    used: str
    fitted_at: str
    ended_at: str | None
    ended_how: str | None


@dataclass(frozen=True, slots=True)
class PartChanged:
    """One part off, on, or both, on it."""

    id: str
    job: str
    job_title: str
    at: str
    off_part: str | None
    on_part: str | None
    note: str | None


@dataclass(frozen=True, slots=True)
class Seen:
    """One finding on it; settled once `settled_at` says so."""

    id: str
    what: str
    weight: str
    seen_at: str
    settled_at: str | None
    settled_how: str | None


# `line = ? OR component = ?` with one id: ids of lines and components never meet, and either column is indexed.
_GAPS = """
SELECT id, used, fitted_at, ended_at, ended_how FROM stopgap
WHERE (line = ?1 OR component = ?1) AND void_reason IS NULL ORDER BY ended_at IS NOT NULL, fitted_at DESC, id
"""
_PARTS = """
SELECT p.id, p.job, job.title, p.at, p.off_part, p.on_part, p.note FROM part_change p JOIN job ON job.id = p.job
WHERE (p.line = ?1 OR p.component = ?1) AND p.void_reason IS NULL AND job.void_reason IS NULL ORDER BY p.at DESC, p.id
"""
_SEEN = """
SELECT id, what, weight, seen_at, settled_at, settled_how FROM finding
WHERE (line = ?1 OR component = ?1) AND void_reason IS NULL ORDER BY settled_at IS NOT NULL, seen_at DESC, id
"""


def stopgaps_on(connection: Connection, thing: str) -> list[Gap]:
    """Every stopgap ever on a line or component, the open ones first."""
    return rows(connection, Gap, _GAPS, thing)


def parts_on(connection: Connection, thing: str) -> list[PartChanged]:
    """Every part ever changed on a line or component, newest first."""
    return rows(connection, PartChanged, _PARTS, thing)


def findings_on(connection: Connection, thing: str) -> list[Seen]:
    """Everything ever seen on a line or component, what is unsettled first."""
    return rows(connection, Seen, _SEEN, thing)
