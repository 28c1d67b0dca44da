"""Joints taken off and not yet back on and checked: of one job, or of the whole car."""

from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection

from app.records.follow import ENDS
from app.records.rows import rows

JointState = Literal["off", "on", "checked"]


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """One joint a job took off. `id` is the record a form about it fills: the job's id, a dot and the joint's."""

    job: str
    joint: str
    line: str
    off_at: str
    back_on_at: str | None
    state: JointState
    id: str
    line_name: str
    at_component: str
    end: str
    hold: str | None
    hard_to_reach: int
    torque_value: float | None
    torque_tolerance: float | None
    torque_unit: str | None
    torque_source: str | None
    reached_value: float | None
    reached_unit: str | None
    seated: int | None
    mark: str | None
    checked_at: str | None
    check_note: str | None
    job_title: str
    carried_reason: str | None


_SELECT = """
SELECT x.job, x.joint, x.line, x.off_at, x.back_on_at, x.state, x.job || '.' || x.joint,
       l.name, c.name, j."end", j.hold, j.hard_to_reach,
       j.torque_value, j.torque_tolerance, j.torque_unit, j.torque_source,
       k.torque_value, k.torque_unit, k.seated, k.mark, k.done_at, k.note, job.title, job.carried_reason
FROM ({ends}) x
JOIN job ON job.id = x.job
JOIN joint j ON j.id = x.joint
JOIN line l ON l.id = x.line
JOIN component c ON c.id = CASE j."end" WHEN 'from' THEN l.from_component ELSE l.to_component END
LEFT JOIN joint_check k ON k.id = x.job || '.' || x.joint AND k.void_reason IS NULL
"""
_OF_JOB = (
    _SELECT.format(ends=ENDS.format(where="t.job = ?"))
    # What can only be reached first goes back first; then line by line.
    + ' ORDER BY j.hard_to_reach DESC, l.number IS NULL, l.number, l.id, j."end"'
)
_OF_CAR = (
    _SELECT.format(
        ends=ENDS.format(where="t.job IN (SELECT id FROM job WHERE car = ? AND ends_left > 0 AND void_reason IS NULL)")
    )
    + " WHERE x.state <> 'checked' ORDER BY x.off_at DESC, l.number, j.\"end\""
)


@dataclass(frozen=True, slots=True)
class CarJoint:
    """One joint on the car, whatever was done to it."""

    id: str
    line: str
    line_name: str
    at_component: str
    end: str
    hold: str | None
    hard_to_reach: int
    torque_value: float | None
    torque_tolerance: float | None
    torque_unit: str | None
    torque_source: str | None


_JOINTS = """
SELECT j.id, l.id, l.name, c.name, j."end", j.hold, j.hard_to_reach,
       j.torque_value, j.torque_tolerance, j.torque_unit, j.torque_source
FROM line l
JOIN joint j ON j.line = l.id AND j.void_reason IS NULL
JOIN component c ON c.id = CASE j."end" WHEN 'from' THEN l.from_component ELSE l.to_component END
WHERE l.car = ? AND l.retired_on IS NULL AND l.void_reason IS NULL
ORDER BY j.hard_to_reach DESC, l.number IS NULL, l.number, l.id, j."end"
"""


def joints_of(connection: Connection, car: str) -> list[CarJoint]:
    """Every joint on the car, in the order to put them back should they come off."""
    return rows(connection, CarJoint, _JOINTS, car)


def of_job(connection: Connection, job: str) -> list[LooseEnd]:
    """Every joint the job took off, in the order to put them back, the checked ones among them."""
    return rows(connection, LooseEnd, _OF_JOB, job)


def of_car(connection: Connection, car: str) -> list[LooseEnd]:
    """Every joint on the car that hangs loose or is unchecked, whatever job took it off."""
    return rows(connection, LooseEnd, _OF_CAR, car)
