"""How far the car has come, and how many heat cycles it has seen, as the record says."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.rows import row, rows


@dataclass(frozen=True, slots=True)
class Odometer:
    """The latest figure read off the cluster, in the car's own unit, and when."""

    reads: float
    at: str


def odometer(connection: Connection, car: str) -> Odometer | None:
    """The latest odometer figure any record of this car gives; None before the first."""
    return row(connection, Odometer, "SELECT reads, at FROM odometer WHERE car = ? ORDER BY at DESC LIMIT 1", car)


def odometer_before(connection: Connection, car: str, at: str) -> Odometer | None:
    """The last odometer figure given for a moment up to `at`."""
    return row(
        connection,
        Odometer,
        "SELECT reads, at FROM odometer WHERE car = ? AND at <= ? ORDER BY at DESC LIMIT 1",
        car,
        at,
    )


def last_figures(connection: Connection, car: str, howmany: int) -> list[tuple[str, float, str]]:
    """The latest odometer figures of this car, newest first: when, what it read, and the record that says so."""
    sql = "SELECT at, reads, kind || '/' || record FROM odometer WHERE car = ? ORDER BY at DESC LIMIT ?"
    return rows(connection, lambda *one: one, sql, car, howmany)


def heat_cycles_since(connection: Connection, car: str, at: str) -> int:
    """Heat cycles noted in drives after `at`."""
    sql = "SELECT coalesce(sum(heat_cycles), 0) FROM drive WHERE car = ? AND at > ? AND void_reason IS NULL"
    return row(connection, int, sql, car, at) or 0
