"""Temporary repairs: what is left of each one's limit, and what it waits for."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from sqlalchemy import Connection

from app.airpath.words import Role
from app.records.rows import row, rows

#: Lines nobody drives on with a makeshift in them.
NOT_TO_BE_DRIVEN_ON = frozenset({Role.BRAKE_SERVO, Role.FUEL_REGULATOR})


@dataclass(frozen=True, slots=True)
class StopgapLine:
    """One stopgap; distances in the car's `distance_unit`.

    `name` is what it is on, `reads` and `from_reads` the odometer now (or when it ended) and when it was fitted.
    """

    id: str
    car: str
    car_name: str
    distance_unit: str
    name: str
    line: str | None
    role: str | None
    component: str | None
    what: str | None
    ticket: str | None
    job: str | None
    used: str
    fitted_at: str
    fitted_odometer: float | None
    limit_distance: float | None
    limit_days: int | None
    limit_heat_cycles: int | None
    part_name: str | None
    part_bore_mm: float | None
    part_length_mm: float | None
    part_material: str | None
    part_stands: str | None
    ordered_on: str | None
    expected_on: str | None
    ended_at: str | None
    ended_how: str | None
    void_reason: str | None
    reads: float | None
    from_reads: float | None
    heat_cycles: int

    @property
    def gone_distance(self) -> float | None:
        """How far the car went with it; None where a figure is missing."""
        if self.reads is None or self.from_reads is None:
            return None
        return max(0.0, self.reads - self.from_reads)

    @property
    def gone_days(self) -> int:
        """How many days it has been on, by the calendar."""
        until = datetime.fromisoformat(self.ended_at) if self.ended_at else datetime.now(UTC)
        return max(0, (until.astimezone().date() - datetime.fromisoformat(self.fitted_at).astimezone().date()).days)

    @property
    def share(self) -> float:
        """How much of its most used limit is used; 1 and more is past it. What is not known counts as nothing."""
        pairs = (
            (self.gone_distance, self.limit_distance),
            (self.gone_days, self.limit_days),
            (self.heat_cycles, self.limit_heat_cycles),
        )
        return max((gone / limit for gone, limit in pairs if gone is not None and limit is not None), default=0.0)

    @property
    def past_limit(self) -> bool:
        """Whether any limit is used up and the stopgap is still on."""
        return self.ended_at is None and self.share >= 1

    @property
    def last_day(self) -> str | None:
        """The day on which its limit of days runs out; None where it has none."""
        if self.limit_days is None:
            return None
        fitted = datetime.fromisoformat(self.fitted_at).astimezone().date()
        return (fitted + timedelta(days=self.limit_days)).isoformat()

    @property
    def part_comes_too_late(self) -> bool:
        """Whether the part it waits for is expected only after its limit of days has run out."""
        last = self.last_day
        return self.ended_at is None and last is not None and self.expected_on is not None and self.expected_on > last

    @property
    def not_to_be_driven_on(self) -> bool:
        """Whether it sits in a line whose failure takes the brakes or spills fuel."""
        return self.role in NOT_TO_BE_DRIVEN_ON


@dataclass(frozen=True, slots=True)
class Place:
    """A line or component a stopgap can be put on."""

    id: str
    name: str
    role: str | None
    retired_on: str | None


_SELECT = """
SELECT s.id, s.car, car.name, car.distance_unit, coalesce(l.name, c.name, s.what), s.line, l.role, s.component, s.what,
       s.ticket, s.job, s.used, s.fitted_at, s.fitted_odometer, s.limit_distance, s.limit_days, s.limit_heat_cycles,
       s.part_name, s.part_bore_mm, s.part_length_mm, s.part_material, s.part_stands, s.ordered_on, s.expected_on,
       s.ended_at, s.ended_how, s.void_reason,
       (SELECT reads FROM odometer WHERE car = s.car AND at <= coalesce(s.ended_at, '9') ORDER BY at DESC LIMIT 1),
       coalesce(s.fitted_odometer,
                (SELECT reads FROM odometer WHERE car = s.car AND at <= s.fitted_at ORDER BY at DESC LIMIT 1)),
       (SELECT coalesce(sum(heat_cycles), 0) FROM drive
        WHERE car = s.car AND at > s.fitted_at AND at <= coalesce(s.ended_at, '9') AND void_reason IS NULL)
FROM stopgap s
JOIN car ON car.id = s.car
LEFT JOIN line l ON l.id = s.line
LEFT JOIN component c ON c.id = s.component
"""
_ON = _SELECT + " WHERE s.car = ? AND s.ended_at IS NULL AND s.void_reason IS NULL"
_ENDED = (
    _SELECT + " WHERE s.car = ? AND s.ended_at IS NOT NULL AND s.void_reason IS NULL ORDER BY s.fitted_at DESC, s.id"
)


def stopgaps_of(db: Connection, car: str) -> list[StopgapLine]:
    """Every stopgap that is on the car, the one nearest to its limit first."""
    return sorted(rows(db, StopgapLine, _ON, car), key=lambda one: (-one.share, one.fitted_at))


def ended_stopgaps(db: Connection, car: str, limit: int = 20) -> list[StopgapLine]:
    """The last stopgaps that have ended, newest first."""
    return rows(db, StopgapLine, _ENDED + " LIMIT ?", car, limit)


def stopgap(db: Connection, stopgap_id: str) -> StopgapLine | None:
    """One stopgap, ended or struck out or not; None if there is none of that id."""
    return row(db, StopgapLine, _SELECT + " WHERE s.id = ?", stopgap_id)


def line_places(db: Connection, car: str) -> list[Place]:
    """The car's lines, retired ones too, in the order of their numbers."""
    sql = "SELECT id, name, role, retired_on FROM line WHERE car = ? AND void_reason IS NULL ORDER BY number, name"
    return rows(db, Place, sql, car)


def component_places(db: Connection, car: str) -> list[Place]:
    """The car's components, retired ones too, by name."""
    sql = "SELECT id, name, NULL, retired_on FROM component WHERE car = ? AND void_reason IS NULL ORDER BY name"
    return rows(db, Place, sql, car)


def found_at_fault(db: Connection, car: str, ticket: str) -> tuple[str | None, str | None]:
    """The line or component a ticket of this car found at fault: (line, component), both None where it did not."""
    sql = "SELECT found_line, found_component FROM ticket WHERE id = ? AND car = ?"
    return row(db, lambda line, component: (line, component), sql, ticket, car) or (None, None)


def was_replaced_before(db: Connection, line: str) -> bool:
    """Whether the line under a stopgap is itself a part that was fitted, not the one it came with."""
    sql = "SELECT fitted_on IS NOT NULL OR part IS NOT NULL FROM line WHERE id = ?"
    return row(db, bool, sql, line) or False
