"""Groups of fasteners that share a figure: a wheel's bolts, a caliper's, a mounting's; and when each was checked."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.rows import row, rows

#: What each kind of group is called.
OF_LABEL = {"wheel": "wheel", "caliper": "caliper", "mounting": "mounting", "exhaust": "exhaust", "other": "other"}
_LAST = 12


@dataclass(frozen=True, slots=True)
class FastenerRow:
    """One group. `recheck` is the id of a re-check of it that is still to be done; `checked_at` its last check's."""

    id: str
    car: str
    car_name: str
    distance_unit: str
    name: str
    of: str
    how_many: int | None
    thread: str | None
    strength_class: str | None
    torque_value: float | None
    torque_tolerance: float | None
    torque_unit: str | None
    torque_source: str | None
    retired_on: str | None
    note: str | None
    void_reason: str | None
    checked_at: str | None
    recheck: str | None


@dataclass(frozen=True, slots=True)
class FastenerCheck:
    """One check of a group, with what it was tightened to and by which wrench."""

    id: str
    done_at: str
    torque_value: float | None
    torque_unit: str | None
    wrench: str | None
    wrench_name: str | None
    good: int
    note: str | None


_SELECT = """
SELECT f.id, f.car, car.name, car.distance_unit, f.name, f."of", f.how_many, f.thread, f.strength_class,
       f.torque_value, f.torque_tolerance, f.torque_unit, f.torque_source, f.retired_on, f.note, f.void_reason,
       (SELECT max(done_at) FROM joint_check WHERE fastener = f.id AND void_reason IS NULL),
       (SELECT id FROM recheck WHERE fastener = f.id AND done_at IS NULL AND void_reason IS NULL
        ORDER BY since_at DESC LIMIT 1)
FROM fastener f JOIN car ON car.id = f.car
"""
_CHECKS = """
SELECT k.id, k.done_at, k.torque_value, k.torque_unit, k.wrench, w.name, k.good, k.note
FROM joint_check k LEFT JOIN wrench w ON w.id = k.wrench
WHERE k.fastener = ? AND k.void_reason IS NULL ORDER BY k.done_at DESC, k.id DESC LIMIT ?
"""


def fasteners_of(db: Connection, car: str) -> list[FastenerRow]:
    """Every group of the car that is still on it, by name."""
    where = " WHERE f.car = ? AND f.void_reason IS NULL AND f.retired_on IS NULL ORDER BY f.name, f.id"
    return rows(db, FastenerRow, _SELECT + where, car)


def fastener(db: Connection, fastener_id: str) -> FastenerRow | None:
    """One group, retired or struck out or not; None if there is none of that id."""
    return row(db, FastenerRow, _SELECT + " WHERE f.id = ?", fastener_id)


def checks_on(db: Connection, fastener_id: str, limit: int = _LAST) -> list[FastenerCheck]:
    """The last checks of a group, newest first."""
    return rows(db, FastenerCheck, _CHECKS, fastener_id, limit)
