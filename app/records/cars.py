"""Cars: the list, and one car's own fields."""

from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection

from app.airpath.words import Role
from app.records.gone_by import EVENT_GONE, JOB_GONE
from app.records.rows import row, rows


@dataclass(frozen=True, slots=True)
class CarRow:
    """One car with how far it has come."""

    id: str
    name: str
    about: str | None
    layout: str
    fuel: str
    has_airflow_meter: int
    throttle_vacuum: int
    turbocharged: int
    distance_unit: str
    altitude_m: float | None
    note: str | None
    reads: float | None


@dataclass(frozen=True, slots=True)
class CarInList:
    """One car of the list with what stands in its way, counted.

    `loose` joints off or unchecked, `spent` stopgaps past their limit or where none may be driven on, `due`
    re-checks, `to_act_on` findings, `tickets` not yet proved.
    """

    id: str
    name: str
    about: str | None
    distance_unit: str
    reads: float | None
    loose: int
    spent: int
    due: int
    to_act_on: int
    tickets: int

    @property
    def state(self) -> Literal["not_fit", "ticket", "fit"]:
        """Not fit as records.fitness judges it; with a ticket open, whether to drive is for the car's page to say."""
        if self.loose or self.spent or self.due or self.to_act_on:
            return "not_fit"
        return "ticket" if self.tickets else "fit"


_SELECT = """
SELECT id, name, about, layout, fuel, has_airflow_meter, throttle_vacuum, turbocharged, distance_unit, altitude_m, note,
       (SELECT reads FROM odometer WHERE car = car.id ORDER BY at DESC LIMIT 1)
FROM car WHERE void_reason IS NULL
"""

_READS_THEN = "(SELECT reads FROM odometer WHERE car = x.car AND at <= x.{at} ORDER BY at DESC LIMIT 1)"
# What has gone by since something was fitted or began to count, held against its limits.
_RUN_OUT = """
(x.{cycles} <= (SELECT coalesce(sum(heat_cycles), 0) FROM drive
                WHERE car = x.car AND at > x.{at} AND void_reason IS NULL)
 OR x.{distance} <= cars.reads - coalesce(x.{odometer}, {then})
 OR x.{days} <= {days_gone})
"""
_STOPGAP_SPENT = _RUN_OUT.format(
    cycles="limit_heat_cycles",
    distance="limit_distance",
    days="limit_days",
    at="fitted_at",
    odometer="fitted_odometer",
    then=_READS_THEN.format(at="fitted_at"),
    days_gone="julianday('now', 'localtime', 'start of day') - julianday(x.fitted_at, 'localtime', 'start of day')",
)
_RECHECK_DUE = _RUN_OUT.format(
    cycles="after_heat_cycles",
    distance="after_distance",
    days="after_days",
    at="since_at",
    odometer="since_odometer",
    then=_READS_THEN.format(at="since_at"),
    days_gone="julianday('now') - julianday(x.since_at)",
)
_LIST = f"""
WITH cars AS (
  SELECT id, name, about, distance_unit,
         (SELECT reads FROM odometer WHERE car = car.id ORDER BY at DESC LIMIT 1) AS reads
  FROM car WHERE void_reason IS NULL)
SELECT id, name, about, distance_unit, reads,
       (SELECT coalesce(sum(ends_left), 0) FROM job
        WHERE car = cars.id AND (ends_left > 0 OR closed_at IS NULL) AND void_reason IS NULL),
       (SELECT count(*) FROM stopgap x LEFT JOIN line l ON l.id = x.line
        WHERE x.car = cars.id AND x.ended_at IS NULL AND x.void_reason IS NULL
        AND (l.role IN ('{Role.BRAKE_SERVO}', '{Role.FUEL_REGULATOR}') OR {_STOPGAP_SPENT})),
       (SELECT count(*) FROM recheck x
        WHERE x.car = cars.id AND x.done_at IS NULL AND x.void_reason IS NULL
        AND ({_RECHECK_DUE} OR {EVENT_GONE} IS NOT NULL OR {JOB_GONE} IS NOT NULL)),
       (SELECT count(*) FROM finding
        WHERE car = cars.id AND weight = 'act' AND settled_at IS NULL AND void_reason IS NULL),
       (SELECT count(*) FROM ticket WHERE car = cars.id AND stands <> 'proved' AND void_reason IS NULL)
FROM cars ORDER BY name, id
"""


def cars(connection: Connection) -> list[CarInList]:
    """Every car in the garage, by name, with what stands in its way: one query for them all."""
    return rows(connection, CarInList, _LIST)


def car(connection: Connection, car_id: str) -> CarRow | None:
    """One car; None if there is no such car."""
    return row(connection, CarRow, _SELECT + " AND id = ?", car_id)
