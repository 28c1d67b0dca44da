"""Candidates for one position of a car: the parts that may go there, and what the plan wants of it."""

from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection

from app.airpath.candidates import Candidate, Place
from app.airpath.words import Material, Role
from app.records.rows import row, rows

#: The states in which a part is a candidate, what is nearest to hand first.
STATES = ("here", "shelf", "ordered", "wanted")


@dataclass(frozen=True, slots=True)
class At:
    """A position: a line, a component, or, named freely, neither. Figures are those of the line on it."""

    of: Literal["line", "component", "position"]
    id: str
    name: str
    role: str | None = None
    material: str | None = None
    bore_mm: float | None = None
    length_mm: float | None = None
    part: str | None = None

    @property
    def air_role(self) -> Role | None:
        """The role of a line; None for what is none."""
        return Role(self.role) if self.role else None

    @property
    def place(self) -> Place:
        """What has to be fitted there."""
        return Place(self.bore_mm, self.length_mm)


@dataclass(frozen=True, slots=True)
class PartRow:
    """One part at a position, fitted or a candidate, with its stage in the plan."""

    id: str
    name: str
    kind: str
    state: str
    bore_mm: float | None
    wall_mm: float | None
    length_mm: float | None
    material: str | None
    plies: int | None
    needs_cutting: Literal["yes", "no"] | None
    price: float | None
    currency: str | None
    ordered_on: str | None
    expected_on: str | None
    arrived_on: str | None
    source: str | None
    condition: str | None
    step: int | None
    stage: str | None

    @property
    def candidate(self) -> Candidate:
        """What the comparison asks of it."""
        material = Material(self.material) if self.material else None
        return Candidate(
            self.id,
            self.name,
            self.bore_mm,
            self.wall_mm,
            self.length_mm,
            material,
            self.plies,
            self.needs_cutting,
            self.step or 0,
            self.stage,
        )


@dataclass(frozen=True, slots=True)
class Open:
    """A position with candidates of one kind, and how many."""

    at: str
    name: str
    kind: str
    count: int


@dataclass(frozen=True, slots=True)
class Aim:
    """The power a stage of the plan aims for."""

    power_kw: float
    step: int
    name: str


_AT = """
SELECT 'line', l.id, l.name, l.role, l.material, l.bore_mm, l.length_mm, l.part FROM line l
WHERE l.id = ?1 AND l.car = ?2 AND l.void_reason IS NULL
UNION ALL SELECT 'component', c.id, c.name, NULL, NULL, NULL, NULL, NULL FROM component c
WHERE c.id = ?1 AND c.car = ?2 AND c.void_reason IS NULL
"""

_PARTS = """
SELECT p.id, p.name, p.kind, p.state, p.bore_mm, p.wall_mm, p.length_mm, p.material, p.plies, p.needs_cutting,
       p.price, p.currency, p.ordered_on, p.expected_on, p.arrived_on, p.source, p.condition, s.step, s.name
FROM part p LEFT JOIN stage s ON s.id = p.stage AND s.void_reason IS NULL
WHERE p.car = ? AND p.{of} = ? AND p.void_reason IS NULL AND p.kind <> 'work' AND p.state <> 'gone'
ORDER BY CASE p.state WHEN 'here' THEN 0 WHEN 'shelf' THEN 1 WHEN 'ordered' THEN 2 ELSE 3 END, p.rowid
"""

_OPEN = """
SELECT coalesce(p.line, p.component, p.position), coalesce(l.name, c.name, p.position), p.kind, count(*)
FROM part p LEFT JOIN line l ON l.id = p.line LEFT JOIN component c ON c.id = p.component
WHERE p.car = ? AND p.void_reason IS NULL AND p.kind <> 'work' AND p.state NOT IN ('fitted', 'gone')
AND coalesce(p.line, p.component, p.position) IS NOT NULL
GROUP BY 1, 3 ORDER BY count(*) DESC, 2, 3
"""

_AIM = """
SELECT power_kw, step, name FROM stage WHERE car = ? AND power_kw IS NOT NULL AND void_reason IS NULL
ORDER BY step DESC, id LIMIT 1
"""


def position(connection: Connection, car: str, at: str) -> At:
    """The line or component of that id on this car; what is neither is a free position of that name."""
    return row(connection, At, _AT, at, car) or At("position", at, at)


def parts_at(connection: Connection, car: str, at: At) -> list[PartRow]:
    """Every part at a position that is not gone, what is nearest to hand first. `work` of the plan is no part."""
    return rows(connection, PartRow, _PARTS.format(of=at.of), car, at.id)


def to_compare(connection: Connection, car: str) -> list[Open]:
    """The positions of a car that have candidates, those with the most first."""
    return rows(connection, Open, _OPEN, car)


def aim_of(connection: Connection, car: str) -> Aim | None:
    """The power the car's plan comes to: that of its last stage that says one."""
    return row(connection, Aim, _AIM, car)
