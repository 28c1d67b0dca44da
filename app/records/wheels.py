"""Whether the wheels' torque was checked since a wheel may last have been off, as far as the record can tell."""

import json
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.car_known import filled
from app.records.known import Known
from app.records.rows import rows


@dataclass(frozen=True, slots=True)
class WheelGroup:
    """One group of wheel fasteners, its last check, and the last job opened since.

    No record says that a wheel was off. So a check counts until the next job is opened: after that it has to be made
    again, or said again by hand.
    """

    id: str
    name: str
    torque_value: float | None
    torque_unit: str | None
    check: str | None
    checked_at: str | None
    good: int | None
    reached_value: float | None
    reached_unit: str | None
    last_job_at: str | None
    job: str | None
    job_title: str | None

    @property
    def settled(self) -> bool:
        """Whether the last check said good, and no job was opened after it."""
        return bool(self.checked_at and self.good) and self.job is None


_GROUPS = """
WITH last AS (
  SELECT f.id AS fastener, (SELECT k.id FROM joint_check k WHERE k.fastener = f.id AND k.void_reason IS NULL
                            ORDER BY k.done_at DESC, k.id DESC LIMIT 1) AS check_id
  FROM fastener f WHERE f.car = ?1 AND f."of" = 'wheel' AND f.retired_on IS NULL AND f.void_reason IS NULL)
SELECT f.id, f.name, f.torque_value, f.torque_unit, k.id, k.done_at, k.good, k.torque_value, k.torque_unit,
       (SELECT max(opened_at) FROM job WHERE car = f.car AND void_reason IS NULL), j.id, j.title
FROM last JOIN fastener f ON f.id = last.fastener
LEFT JOIN joint_check k ON k.id = last.check_id
LEFT JOIN job j ON j.id = (SELECT id FROM job WHERE car = f.car AND void_reason IS NULL AND opened_at > k.done_at
                           ORDER BY opened_at DESC, id DESC LIMIT 1)
ORDER BY f.rowid
"""


def wheel_groups(db: Connection, car: str) -> list[WheelGroup]:
    """Every group of wheel fasteners that is on the car, in the order they were written down."""
    return rows(db, WheelGroup, _GROUPS, car)


_CHECKS = """
SELECT id, done_at, CASE good WHEN 1 THEN 'yes' ELSE 'no' END, torque_value, torque_unit
FROM joint_check WHERE id IN (SELECT value FROM json_each(?))
"""


def check_id(event: str, fastener: str) -> str:
    """The id of the check of one group of fasteners that is made for an event."""
    return f"{event}.{fastener}"


def checks_known(db: Connection, event: str, groups: Sequence[WheelGroup]) -> Known:
    """The checks made for an event, as a page hands them to the phone; only while each is its group's last."""
    names = ("done_at", "good", "torque_value", "torque_unit")
    ids = json.dumps([one.check for one in groups if one.check == check_id(event, one.id)])
    found = rows(db, lambda *row: row, _CHECKS, ids)
    return {f"check/{check}": filled(zip(names, values, strict=True)) for check, *values in found}
