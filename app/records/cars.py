"""Cars: the list, and one car's own fields."""

from dataclasses import dataclass

from sqlalchemy import Connection

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


_SELECT = """
SELECT id, name, about, layout, fuel, has_airflow_meter, throttle_vacuum, turbocharged, distance_unit, altitude_m, note,
       (SELECT reads FROM odometer WHERE car = car.id ORDER BY at DESC LIMIT 1)
FROM car WHERE void_reason IS NULL
"""


def cars(connection: Connection) -> list[CarRow]:
    """Every car in the garage, by name."""
    return rows(connection, CarRow, _SELECT + " ORDER BY name, id")


def car(connection: Connection, car_id: str) -> CarRow | None:
    """One car; None if there is no such car."""
    return row(connection, CarRow, _SELECT + " AND id = ?", car_id)
