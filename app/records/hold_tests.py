"""Hold tests of a car: what was shut under vacuum or pressure, and how it held."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.entry import Value
from app.records.rows import row, rows

#: How many of a car's tests its list shows.
_LAST = 50


@dataclass(frozen=True, slots=True)
class HoldTestRow:
    """One hold test as it was entered, with the names of its car, line and ticket. `passed` is 1, 0 or not told."""

    id: str
    car: str
    car_name: str
    line: str | None
    line_name: str | None
    branch: str | None
    ticket: str | None
    ticket_what: str | None
    job: str | None
    medium: str
    unit: str
    ambient_kpa: float
    volume_ml: float | None
    most_value: float | None
    start_value: float
    end_value: float
    started_at: str
    ended_at: str
    readings: str | None
    start_c: float | None
    end_c: float | None
    limit_from: str
    limit_loss: float
    limit_s: float
    passed: int | None
    hole_mm: float | None
    note: str | None
    void_reason: str | None

    @property
    def what(self) -> str:
        """What was tested."""
        return self.line_name or self.branch or ""

    @property
    def known(self) -> dict[str, Value]:
        """What a list says of it, as the phone knows it."""
        names = ("car", "line", "branch", "medium", "unit", "start_value", "end_value", "ended_at", "hole_mm")
        said: dict[str, Value] = {name: getattr(self, name) for name in (*names, "void_reason")}
        said["passed"] = None if self.passed is None else ("yes" if self.passed else "no")
        return {name: value for name, value in said.items() if value is not None}


_SELECT = """
SELECT h.id, h.car, car.name, h.line, l.name, h.branch, h.ticket, t.what, h.job, h.medium, h.unit, h.ambient_kpa,
       h.volume_ml, h.most_value, h.start_value, h.end_value, h.started_at, h.ended_at, h.readings, h.start_c, h.end_c,
       h.limit_from, h.limit_loss, h.limit_s, h.passed, h.hole_mm, h.note, h.void_reason
FROM hold_test h JOIN car ON car.id = h.car LEFT JOIN line l ON l.id = h.line LEFT JOIN ticket t ON t.id = h.ticket
"""
_LINES = """
SELECT id, name, bore_mm, length_mm FROM line
WHERE car = ? AND retired_on IS NULL AND void_reason IS NULL ORDER BY number, name, id
"""


@dataclass(frozen=True, slots=True)
class Hose:
    """A line that can be tested, with the size its volume follows from."""

    id: str
    name: str
    bore_mm: float | None
    length_mm: float | None


def hold_tests_of(db: Connection, car: str) -> list[HoldTestRow]:
    """The last hold tests of a car, newest first."""
    where = " WHERE h.car = ? AND h.void_reason IS NULL ORDER BY h.ended_at DESC, h.id LIMIT ?"
    return rows(db, HoldTestRow, _SELECT + where, car, _LAST)


def hold_test(db: Connection, test_id: str) -> HoldTestRow | None:
    """One of them, struck out or not; None if there is none of that id."""
    return row(db, HoldTestRow, _SELECT + " WHERE h.id = ?", test_id)


def hoses_of(db: Connection, car: str) -> list[Hose]:
    """The lines of a car that can be tested, by number."""
    return rows(db, Hose, _LINES, car)
