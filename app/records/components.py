"""One component: what it is, the lines on it, and what was done to it."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.fitted import Fitted, Gap, PartChanged, Seen, findings_on, parts_on, stopgaps_on
from app.records.history import Told, history_of
from app.records.lines import SHOWN
from app.records.rows import row, rows
from app.records.touches import TouchRow, touches_of


@dataclass(frozen=True, slots=True)
class Component:
    """One component, retired or not. `reads` is the car's odometer now, in `distance_unit`."""

    id: str
    car: str
    car_name: str
    distance_unit: str
    reads: float | None
    kind: str
    name: str
    x: float | None
    y: float | None
    w: float | None
    h: float | None
    fitted_on: str | None
    fitted_odometer: float | None
    retired_on: str | None
    note: str | None

    @property
    def fitted(self) -> Fitted:
        """How long, and over what distance, it has been on the car."""
        return Fitted(self.fitted_on, self.fitted_odometer, self.reads)


@dataclass(frozen=True, slots=True)
class LineOn:
    """A line that starts or ends at a component; `across` is what its other end is on."""

    id: str
    name: str
    role: str
    across: str
    starts: int


@dataclass(frozen=True, slots=True)
class ComponentPage:
    """Everything the page of one component shows."""

    component: Component
    lines: list[LineOn]
    touches: list[TouchRow]
    stopgaps: list[Gap]
    parts: list[PartChanged]
    findings: list[Seen]
    history: list[Told]


_COMPONENT = """
SELECT p.id, p.car, c.name, c.distance_unit, (SELECT reads FROM odometer WHERE car = c.id ORDER BY at DESC LIMIT 1),
       p.kind, p.name, p.x, p.y, p.w, p.h, p.fitted_on, p.fitted_odometer, p.retired_on, p.note
FROM component p JOIN car c ON c.id = p.car AND c.void_reason IS NULL WHERE p.id = ? AND p.void_reason IS NULL
"""
_LINES_ON = """
SELECT l.id, l.name, l.role, c.name, l.from_component = ?1
FROM line l
JOIN component c ON c.id = CASE l.from_component WHEN ?1 THEN l.to_component ELSE l.from_component END
WHERE (l.from_component = ?1 OR l.to_component = ?1) AND l.retired_on IS NULL AND l.void_reason IS NULL
ORDER BY l.number IS NULL, l.number, l.id
"""


def component(connection: Connection, component_id: str) -> Component | None:
    """One component, retired or not; None if there is no such component or it was struck out."""
    return row(connection, Component, _COMPONENT, component_id)


def lines_on(connection: Connection, component_id: str) -> list[LineOn]:
    """The lines that start or end at a component, by number; retired ones are gone from it."""
    return rows(connection, LineOn, _LINES_ON, component_id)


def component_page(connection: Connection, component_id: str) -> ComponentPage | None:
    """One component with all that its page tells; None if there is no such component."""
    found = component(connection, component_id)
    if found is None:
        return None
    return ComponentPage(
        found,
        lines_on(connection, component_id),
        touches_of(connection, found.car, thing=component_id, limit=SHOWN),
        stopgaps_on(connection, component_id),
        parts_on(connection, component_id),
        findings_on(connection, component_id),
        history_of(connection, "component", component_id),
    )
