"""One line of a car: what it is, its two joints, and everything that was done to it."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.airpath.figure import JointMark
from app.records.air_path import joint_marks
from app.records.fitted import Fitted, Gap, PartChanged, Seen, findings_on, parts_on, stopgaps_on
from app.records.history import Told, histories
from app.records.rows import row, rows
from app.records.touches import TouchRow, touches_of

#: How many of a line's touches and checks its page shows; the list of what was touched has them all.
SHOWN = 10


@dataclass(frozen=True, slots=True)
class Line:
    """One line, retired or not. `state` is the record's own; `stopgap` the id of an open one on it, which outranks it.

    `reads` is the car's odometer now, in `distance_unit`, as every distance of the car is.
    """

    id: str
    car: str
    car_name: str
    distance_unit: str
    reads: float | None
    name: str
    role: str
    material: str | None
    bore_mm: float | None
    length_mm: float | None
    from_component: str
    from_name: str
    to_component: str
    to_name: str
    state: str
    part: str | None
    fitted_on: str | None
    fitted_odometer: float | None
    retired_on: str | None
    retired_reason: str | None
    note: str | None
    stopgap: str | None
    stopgap_used: str | None

    @property
    def fitted(self) -> Fitted:
        """How long, and over what distance, it has been on the car."""
        return Fitted(self.fitted_on, self.fitted_odometer, self.reads)


@dataclass(frozen=True, slots=True)
class Joint:
    """One end of a line, with what holds it, the torque it wants, and the last look anybody had at it."""

    id: str
    line: str
    end: str
    component: str
    at_component: str
    hold: str | None
    hard_to_reach: int
    torque_value: float | None
    torque_tolerance: float | None
    torque_unit: str | None
    torque_source: str | None
    note: str | None
    checked_at: str | None
    reached_value: float | None
    reached_unit: str | None
    seated: int | None
    witness: str | None
    good: int | None


@dataclass(frozen=True, slots=True)
class Checked:
    """One check of a line or of one of its joints; `at_component` is None for the line as a whole."""

    id: str
    at_component: str | None
    job: str | None
    done_at: str
    torque_value: float | None
    torque_unit: str | None
    seated: int | None
    witness: str | None
    good: int
    note: str | None


@dataclass(frozen=True, slots=True)
class LinePage:
    """Everything the page of one line shows. `history` is the line's own; `joint_history` by joint, from end first."""

    line: Line
    joints: list[Joint]
    marks: dict[str, JointMark]
    touches: list[TouchRow]
    checks: list[Checked]
    stopgaps: list[Gap]
    parts: list[PartChanged]
    findings: list[Seen]
    history: list[Told]
    joint_history: list[tuple[Joint, list[Told]]]


_LINE = """
SELECT l.id, l.car, c.name, c.distance_unit, (SELECT reads FROM odometer WHERE car = c.id ORDER BY at DESC LIMIT 1),
       l.name, l.role, l.material, l.bore_mm, l.length_mm, l.from_component, f.name, l.to_component, o.name,
       l.state, l.part, l.fitted_on, l.fitted_odometer, l.retired_on, l.retired_reason, l.note, s.id, s.used
FROM line l
JOIN car c ON c.id = l.car AND c.void_reason IS NULL
JOIN component f ON f.id = l.from_component
JOIN component o ON o.id = l.to_component
LEFT JOIN stopgap s ON s.id = (SELECT id FROM stopgap WHERE line = l.id AND ended_at IS NULL AND void_reason IS NULL
                               ORDER BY fitted_at DESC LIMIT 1)
WHERE l.id = ? AND l.void_reason IS NULL
"""

_JOINTS = """
SELECT j.id, j.line, j."end", c.id, c.name, j.hold, j.hard_to_reach,
       j.torque_value, j.torque_tolerance, j.torque_unit, j.torque_source, j.note,
       k.done_at, k.torque_value, k.torque_unit, k.seated, k.mark, k.good
FROM joint j
JOIN line l ON l.id = j.line
JOIN component c ON c.id = CASE j."end" WHEN 'from' THEN l.from_component ELSE l.to_component END
LEFT JOIN joint_check k ON k.id = (
  SELECT id FROM joint_check WHERE joint = j.id AND void_reason IS NULL ORDER BY done_at DESC, id LIMIT 1)
WHERE {where} AND j.void_reason IS NULL ORDER BY j."end" <> 'from'
"""

_CHECKS = """
SELECT k.id, c.name, k.job, k.done_at, k.torque_value, k.torque_unit, k.seated, k.mark, k.good, k.note
FROM joint_check k
LEFT JOIN joint j ON j.id = k.joint
JOIN line l ON l.id = ?1
LEFT JOIN component c ON c.id = CASE j."end" WHEN 'from' THEN l.from_component WHEN 'to' THEN l.to_component END
WHERE (k.line = ?1 OR k.joint IN (SELECT id FROM joint WHERE line = ?1)) AND k.void_reason IS NULL
ORDER BY k.done_at DESC, k.id LIMIT ?2
"""


def line(connection: Connection, line_id: str) -> Line | None:
    """One line, retired or not; None if there is no such line or it was struck out."""
    return row(connection, Line, _LINE, line_id)


def joint(connection: Connection, joint_id: str) -> Joint | None:
    """One joint; None if there is no such joint."""
    return row(connection, Joint, _JOINTS.format(where="j.id = ?"), joint_id)


def joints_of(connection: Connection, line_id: str) -> list[Joint]:
    """The joints of a line, the one at the from end first."""
    return rows(connection, Joint, _JOINTS.format(where="j.line = ?"), line_id)


def line_page(connection: Connection, line_id: str) -> LinePage | None:
    """One line with all that its page tells; None if there is no such line."""
    found = line(connection, line_id)
    if found is None:
        return None
    joints = joints_of(connection, line_id)
    told, *of_joints = histories(connection, [("line", line_id), *(("joint", one.id) for one in joints)])
    return LinePage(
        found,
        joints,
        {end: mark for (of, end), mark in joint_marks(connection, found.car).items() if of == line_id},
        touches_of(connection, found.car, thing=line_id, limit=SHOWN),
        rows(connection, Checked, _CHECKS, line_id, SHOWN),
        stopgaps_on(connection, line_id),
        parts_on(connection, line_id),
        findings_on(connection, line_id),
        told,
        list(zip(joints, of_joints, strict=True)),
    )


@dataclass(frozen=True, slots=True)
class Place:
    """A component a line may start or end at."""

    id: str
    name: str


def places(connection: Connection, car_id: str, *besides: str) -> list[Place]:
    """The components on the car, by name, and those `besides`, which may be retired."""
    marks = ", ".join("?" for _ in besides) or "NULL"
    sql = f"""
SELECT id, name FROM component
WHERE car = ? AND (retired_on IS NULL AND void_reason IS NULL OR id IN ({marks})) ORDER BY name, id"""
    return rows(connection, Place, sql, car_id, *besides)


def next_number(connection: Connection, car_id: str) -> int:
    """The number after the last of the car's lines."""
    found = connection.exec_driver_sql(
        "SELECT coalesce(max(number), 0) + 1 FROM line WHERE car = ?", (car_id,)
    ).scalar()
    return min(int(found or 1), 999)
