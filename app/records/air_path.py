"""The air path of one car as it stands: every line with the state of its joints, as a list and as a drawing."""

import json
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from itertools import groupby
from typing import NamedTuple

from sqlalchemy import Connection

from app.airpath.drawing import draw
from app.airpath.figure import Drawing, DrawnComponent, DrawnLine, JointMark, Marks
from app.airpath.geometry import Point
from app.airpath.words import ComponentKind, End, LineState, Material, Role, TouchKind
from app.records.fields import moment_text
from app.records.follow import ENDS
from app.records.rows import rows

#: For how long after a touch a line shows as touched lately.
LATELY = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class LineRow:
    """One line of the plain list. `number` is its place in the list and its number on the drawing.

    `touched_at` and `touched_how` tell of the last touch ever; `lately` whether one falls in the last thirty days or
    in an unfinished job. An open stopgap makes `state` stopgap, whatever the line's
    own record says.
    """

    id: str
    number: int
    name: str
    role: Role
    material: Material | None
    bore_mm: float | None
    length_mm: float | None
    state: LineState
    part: str | None
    fitted_on: str | None
    fitted_odometer: float | None
    from_component: str
    from_name: str
    to_component: str
    to_name: str
    route: str | None
    touched_at: str | None
    touched_how: TouchKind | None
    lately: bool
    from_joint: JointMark
    to_joint: JointMark

    @property
    def off(self) -> int:
        """How many of its two joints hang loose."""
        return (self.from_joint, self.to_joint).count(JointMark.OFF)

    @property
    def ring(self) -> str:
        """The ring that stands for the whole line in a list: the more worrying of its ends, else stopgap, else none."""
        for mark in (JointMark.OFF, JointMark.ON):
            if mark in (self.from_joint, self.to_joint):
                return mark.value
        if self.state is LineState.STOPGAP:
            return "stopgap"
        return "checked" if JointMark.CHECKED in (self.from_joint, self.to_joint) else ""


@dataclass(frozen=True, slots=True)
class AirPath:
    """The lines in the order of their numbers, and the drawing of the same lines."""

    lines: list[LineRow]
    drawing: Drawing

    @property
    def by_role(self) -> list[tuple[Role, list[LineRow]]]:
        """The lines role by role, along the air's way."""
        order = {role: place for place, role in enumerate(Role)}
        sorted_lines = sorted(self.lines, key=lambda line: (order[line.role], line.number))
        return [(role, list(group)) for role, group in groupby(sorted_lines, key=lambda line: line.role)]


def air_path(connection: Connection, car_id: str, *, apart_from: str = "") -> AirPath:
    """The list and the drawing of one car, from one look at the record.

    A joint that any job of the car left off or unchecked shows so; what the job `apart_from` did is left out.
    """
    lines = lines_of(connection, car_id, apart_from=apart_from)
    return AirPath(lines, draw(drawn_components(connection, car_id), [_drawn(line) for line in lines]))


def drawn_components(connection: Connection, car_id: str) -> list[DrawnComponent]:
    """The components to draw: what is on the car, and what a line of the car still ends at."""
    parts = rows(connection, _Part, _PARTS, car_id, car_id)
    return [DrawnComponent(p.id, p.name, ComponentKind(p.kind), p.x, p.y, p.w, p.h) for p in parts]


def drawn_line(line: LineRow, marks: Marks) -> DrawnLine:
    """A line to draw, with these marks in place of its own."""
    return DrawnLine(
        line.id,
        line.name,
        line.role,
        line.from_component,
        line.to_component,
        line.bore_mm,
        _route(line.route),
        line.state,
        marks,
    )


def picture(connection: Connection, car_id: str) -> Drawing:
    """The drawing alone."""
    return air_path(connection, car_id).drawing


def lines_of(connection: Connection, car_id: str, *, apart_from: str = "") -> list[LineRow]:
    """Every line that is on the car, by number."""
    marks = joint_marks(connection, car_id, apart_from=apart_from)
    found = rows(connection, _Line, _LINES, *_near(car_id, apart_from), car_id)
    return [_line(line, number, marks) for number, line in enumerate(found, 1)]


def joint_marks(connection: Connection, car_id: str, *, apart_from: str = "") -> dict[tuple[str, str], JointMark]:
    """The state of every joint that has one, by line and end. A joint not among them was left alone lately."""
    found = rows(connection, _Mark, _JOINTS, *_near(car_id, apart_from))
    return {(mark.line, mark.end): _MARKS[mark.rank] for mark in found}


def _near(car_id: str, apart_from: str) -> tuple[str, str, str, str, str]:
    return car_id, apart_from, car_id, moment_text(datetime.now(UTC) - LATELY), apart_from


class _Part(NamedTuple):
    id: str
    name: str
    kind: str
    x: float | None
    y: float | None
    w: float | None
    h: float | None


class _Mark(NamedTuple):
    line: str
    end: str
    rank: int


class _Line(NamedTuple):
    id: str
    name: str
    role: str
    material: str | None
    bore_mm: float | None
    length_mm: float | None
    state: str
    part: str | None
    fitted_on: str | None
    fitted_odometer: float | None
    from_component: str
    from_name: str
    to_component: str
    to_name: str
    route: str | None
    touched_at: str | None
    touched_how: str | None
    lately: int


# A component taken off the car is still drawn while a line ends at it: the line has to end somewhere.
_PARTS = """
SELECT id, name, kind, x, y, w, h FROM component c
WHERE car = ? AND (retired_on IS NULL AND void_reason IS NULL OR EXISTS (
  SELECT 1 FROM line WHERE car = ? AND retired_on IS NULL AND void_reason IS NULL
  AND (from_component = c.id OR to_component = c.id)))
ORDER BY c.rowid
"""

# The touches that count as lately. Parameters: the car, the job left out, and again with since when. A CROSS JOIN keeps
# SQLite to the order written, from the few to the many: a record of ten years has thousands of touches and checks.
_NEAR = """
WITH near(id, job, line, at) AS (
  SELECT t.id, t.job, t.line, t.at FROM touch t
  WHERE t.line IS NOT NULL AND t.void_reason IS NULL AND t.job IN (
    SELECT id FROM job WHERE car = ? AND id <> ? AND void_reason IS NULL AND (ends_left > 0 OR closed_at IS NULL))
  UNION
  SELECT t.id, t.job, t.line, t.at FROM touch t
  CROSS JOIN job b ON b.id = t.job AND b.void_reason IS NULL
  WHERE t.car = ? AND t.at >= ? AND t.job <> ? AND t.line IS NOT NULL AND t.void_reason IS NULL)
"""

_MARKS = {3: JointMark.OFF, 2: JointMark.ON, 1: JointMark.CHECKED}
# A joint that several jobs speak of shows the most worrying of what they say. One whose clamp was only moved was
# never off, so there is nothing to show until somebody has looked at it.
_JOINTS = f"""
{_NEAR}
SELECT j.line, j."end", max(seen.rank) FROM (
  SELECT joint, CASE state WHEN 'off' THEN 3 WHEN 'on' THEN 2 ELSE 1 END AS rank
  FROM ({ENDS.format(where="t.id IN (SELECT id FROM near)")})
  UNION ALL
  SELECT j.id, 1 FROM near CROSS JOIN joint j ON j.line = near.line
  WHERE EXISTS (SELECT 1 FROM joint_check k
                WHERE k.joint = j.id AND k.done_at >= near.at AND k.good = 1 AND k.void_reason IS NULL)
) seen CROSS JOIN joint j ON j.id = seen.joint GROUP BY j.id
"""

_LINES = f"""
{_NEAR}
SELECT l.id, l.name, l.role, l.material, l.bore_mm, l.length_mm,
       CASE WHEN EXISTS (SELECT 1 FROM stopgap WHERE line = l.id AND ended_at IS NULL AND void_reason IS NULL)
            THEN 'stopgap' ELSE l.state END,
       l.part, l.fitted_on, l.fitted_odometer, l.from_component, f.name, l.to_component, o.name, l.route,
       last.at, last.how, l.id IN (SELECT line FROM near)
FROM line l
JOIN component f ON f.id = l.from_component
JOIN component o ON o.id = l.to_component
LEFT JOIN touch last ON last.id = (
  SELECT t.id FROM touch t CROSS JOIN job b ON b.id = t.job AND b.void_reason IS NULL
  WHERE t.line = l.id AND t.void_reason IS NULL ORDER BY t.at DESC, t.id DESC LIMIT 1)
WHERE l.car = ? AND l.retired_on IS NULL AND l.void_reason IS NULL
ORDER BY l.number IS NULL, l.number, l.id
"""


def _line(found: _Line, number: int, marks: dict[tuple[str, str], JointMark]) -> LineRow:
    return LineRow(
        found.id,
        number,
        found.name,
        Role(found.role),
        Material(found.material) if found.material else None,
        found.bore_mm,
        found.length_mm,
        LineState(found.state),
        found.part,
        found.fitted_on,
        found.fitted_odometer,
        found.from_component,
        found.from_name,
        found.to_component,
        found.to_name,
        found.route,
        found.touched_at,
        TouchKind(found.touched_how) if found.touched_how else None,
        bool(found.lately),
        marks.get((found.id, End.FROM), JointMark.UNTOUCHED),
        marks.get((found.id, End.TO), JointMark.UNTOUCHED),
    )


def _drawn(line: LineRow) -> DrawnLine:
    return drawn_line(line, Marks(line.lately, line.from_joint, line.to_joint))


@lru_cache(maxsize=512)
def _route(text: str | None) -> tuple[Point, ...]:
    return tuple(Point(x, y) for x, y in json.loads(text)) if text else ()
