"""The drives noted between jobs and readings: how far, and how often the engine went hot and cold."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.rows import rows


@dataclass(frozen=True, slots=True)
class DriveRow:
    """One note of the odometer."""

    id: str
    at: str
    odometer: float
    heat_cycles: int
    note: str | None


_LAST = """
SELECT d.id, d.at, d.odometer, d.heat_cycles, d.note
FROM drive d WHERE d.car = ? AND d.void_reason IS NULL ORDER BY d.at DESC LIMIT ?
"""


def last_drives(db: Connection, car: str, limit: int = 10) -> list[DriveRow]:
    """The last notes of a car's odometer, newest first."""
    return rows(db, DriveRow, _LAST, car, limit)
