"""Temporary repairs: what is left of each one's limit, and what it waits for."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from sqlalchemy import Connection

from app.airpath.words import Role
from app.records.rows import row, rows
from app.records.shown import written

#: Lines nobody drives on with a makeshift in them.
NOT_TO_BE_DRIVEN_ON = frozenset({Role.BRAKE_SERVO, Role.FUEL_REGULATOR})


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit of a stopgap. `used` is None where the record can't say, as without an odometer figure."""

    used: float | None
    limit: float
    unit: str

    @property
    def share(self) -> float:
        """How much of it is used; more than 1 beyond the limit."""
        return 0.0 if self.used is None else self.used / self.limit

    @property
    def says(self) -> str:
        """`160 of 300 km used`."""
        limit = f"{written(self.limit, 0)} {self.unit}"
        return f"up to {limit}, used: not known" if self.used is None else f"{written(self.used, 0)} of {limit} used"


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
    def limits(self) -> list[Limit]:
        """Its limits, the most used first."""
        found = []
        if self.limit_distance is not None:
            found.append(Limit(self._driven(), self.limit_distance, self.distance_unit))
        if self.limit_days is not None:
            found.append(Limit(self._days(), self.limit_days, "day" if self.limit_days == 1 else "days"))
        if self.limit_heat_cycles is not None:
            unit = "heat cycle" if self.limit_heat_cycles == 1 else "heat cycles"
            found.append(Limit(self.heat_cycles, self.limit_heat_cycles, unit))
        return sorted(found, key=lambda one: -one.share)

    @property
    def share(self) -> float:
        """How much of its most used limit is used."""
        return self.limits[0].share

    @property
    def past_limit(self) -> bool:
        """Whether any limit is used up and the stopgap is still on."""
        return self.ended_at is None and self.share >= 1

    @property
    def sentence(self) -> str:
        """`Barb and cable tie. 160 of 300 km used. Tee ordered, due Friday`."""
        return f"{_first_line(self.used)}. {self.limits[0].says}. {self.order}"

    @property
    def order(self) -> str:
        """How it stands with the permanent part: `Tee ordered, due Friday`."""
        part = self.part_name or "Permanent part"
        if self.ordered_on is None:
            return f"{part} not ordered yet"
        return f"{part} ordered" + (f", {due(self.expected_on)}" if self.expected_on else "")

    @property
    def not_to_be_driven_on(self) -> bool:
        """Whether it sits in a line whose failure takes the brakes or spills fuel."""
        return self.role in NOT_TO_BE_DRIVEN_ON

    def _driven(self) -> float | None:
        if self.reads is None or self.from_reads is None:
            return None
        return max(0.0, self.reads - self.from_reads)

    def _days(self) -> int:
        until = datetime.fromisoformat(self.ended_at) if self.ended_at else datetime.now(UTC)
        return max(0, (until.astimezone().date() - datetime.fromisoformat(self.fitted_at).astimezone().date()).days)


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
_ENDED = _SELECT + " WHERE s.car = ? AND s.ended_at IS NOT NULL AND s.void_reason IS NULL ORDER BY s.ended_at DESC"


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
    found = db.exec_driver_sql(sql, (ticket, car)).one_or_none()
    return (None, None) if found is None else (found[0], found[1])


def was_replaced_before(db: Connection, line: str) -> bool:
    """Whether the line under a stopgap is itself a part that was fitted, not the one it came with."""
    sql = "SELECT fitted_on IS NOT NULL OR part IS NOT NULL FROM line WHERE id = ?"
    return bool(db.exec_driver_sql(sql, (line,)).scalar())


def due(expected_on: str) -> str:
    """How a part's arrival is said: `due Friday`, `due 24 Apr 2026`, `was due yesterday`."""
    when, today = date.fromisoformat(expected_on), datetime.now(UTC).astimezone().date()
    ahead = (when - today) // timedelta(days=1)
    near = {0: "today", 1: "tomorrow", -1: "yesterday"}
    said = near.get(ahead) or (f"{when:%A}" if 1 < ahead < 7 else f"{when.day} {when:%b %Y}")
    return f"was due {said}" if ahead < 0 else f"due {said}"


def _first_line(text: str) -> str:
    line = text.strip().splitlines()[0]
    return (line if len(line) <= 80 else line[:79] + "…").rstrip(".")
